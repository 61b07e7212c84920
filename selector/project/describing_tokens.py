"""A description cut into figures and words, the words with what the trade means by them."""

import difflib
import re
from dataclasses import dataclass
from functools import lru_cache

from selector.catalogue.reading import fold_key
from selector.project.describing_numbers import LAST_PATTERNS, PATTERNS, Figure, figure, flat

WORD = re.compile(r"[^\W_]+(?:'[^\W_]+)?")
_ENDINGS = ("s", "e", "n", "es", "en", "er")
_LONGEST_PHRASE = 5
_SHORTEST_PART = 5


@dataclass(frozen=True)
class Word:
    """A phrase of the vocabulary, or a word nothing is known of (no meanings); meanings are (family, column, value)."""

    text: str
    meanings: tuple
    start: int
    end: int

    def means(self, column, family=""):
        """The value this word has in a column, for a family or for all."""
        return next((v for f, c, v in self.meanings if c == column and f in ("", family)), None)


class Vocabulary:
    """The rows of trade_words.csv, found by phrase without regard to case, accents, hyphens and endings."""

    def __init__(self, rows):
        self.meanings: dict[str, list] = {}
        for row in rows:
            meaning = (row["family"] or "", row["column"], row["value"] or "")
            self.meanings.setdefault(squashed(row["word"]), []).append(meaning)

    def at(self, text, start):
        """The longest phrase that starts here, or None."""
        found, at = [], start
        while len(found) < _LONGEST_PHRASE:
            match = WORD.match(text, at)
            if match is None:
                break
            found.append(match)
            gap = re.compile("[ -]*").match(text, match.end())
            at = gap.end() if gap else match.end()
            if at == match.end():
                break
        for count in range(len(found), 0, -1):
            meanings = self.of([match[0] for match in found[:count]])
            if meanings:
                end = found[count - 1].end()
                return Word(text[start:end], tuple(meanings), start, end)
        return None

    def of(self, words):
        """Meanings of the words of a phrase: as listed, without endings, or as two listed words written as one."""
        words = [squashed(word) for word in words]
        stems = ["", *_ENDINGS]
        for endings in [[e] * len(words) for e in stems] + [[""] * (len(words) - 1) + [e] for e in _ENDINGS]:
            phrase = "".join(_without(word, ending) for word, ending in zip(words, endings, strict=True))
            if phrase in self.meanings:
                return self.meanings[phrase]
        return self._compound(words[0]) if len(words) == 1 else None

    def _compound(self, word):
        for at in range(_SHORTEST_PART, len(word) - _SHORTEST_PART + 1):
            first, second = self.meanings.get(word[:at]), self.meanings.get(word[at:])
            if first and second:
                return [*first, *second]
        return None

    def near(self, text, family):
        """A word of the family that a misspelled one may mean."""
        if len(text) < 5:
            return ""
        known = [p for p, meanings in self.meanings.items() if len(p) > 4 and any(m[0] == family for m in meanings)]
        found = difflib.get_close_matches(squashed(text), known, n=1, cutoff=0.84)
        return found[0] if found else ""


def _without(word, ending):
    return word.removesuffix(ending) if ending and len(word) - len(ending) > 2 else word


@lru_cache(maxsize=32_768)
def words_of(key):
    """The words of a part's key, for comparing."""
    return frozenset(squashed(word) for word in WORD.findall(key))


@lru_cache(maxsize=32_768)
def folded(key):
    """A key for comparing, in plain letters."""
    return fold_key(flat(key))


@lru_cache(maxsize=32_768)
def squashed(text):
    """A phrase for comparing: plain letters, no case, no spaces or hyphens."""
    return re.sub("[ -]", "", flat(text).casefold())


def tokens_of(text, vocabulary):
    """Figures and words of a flat text, in order."""
    found, at = [], 0
    while at < len(text):
        if text[at].isspace():
            at += 1
            continue
        token = _token(text, at, vocabulary)
        if token is None:
            at += 1
            continue
        found.append(token)
        at = token.end
    return found


def _token(text, at, vocabulary):
    for kind, pattern in PATTERNS:
        match = pattern.match(text, at)
        if match:
            return figure(kind, match, text)
    word = vocabulary.at(text, at)
    if word is not None:
        return word
    for kind, pattern in LAST_PATTERNS:
        match = pattern.match(text, at)
        if match and kind == "word":
            return Word(match[0], (), match.start(), match.end())
        if match:
            return figure(kind, match, text) if kind == "number" else Figure(kind, None, match[0], at, match.end())
    return None
