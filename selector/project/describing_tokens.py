"""A description cut into figures and words, the words with what the trade means by them."""

import difflib
import re
from dataclasses import dataclass
from functools import lru_cache

from selector.catalogue.reading import fold_key
from selector.project.describing_numbers import Figure, figure, flat
from selector.project.describing_patterns import LAST_PATTERNS, PATTERNS

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
    meant: str = ""
    """The listed word a misspelt one is taken as."""

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
            gap = re.compile("\\.?(?: ?/ ?|[ -]*)").match(text, match.end())
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
        for vowel in "oaei":
            phrase = "".join(f"{word[:-1]}{vowel}" if len(word) > 4 and word[-1] in "oaei" else word for word in words)
            if phrase in self.meanings:
                return self.meanings[phrase]
        return self._compound(words[0]) if len(words) == 1 else None

    def _compound(self, word, parts=3):
        """Meanings of up to three listed words written as one, as German and Dutch do; None where it is not so."""
        for at in range(_SHORTEST_PART - 1, len(word) - _SHORTEST_PART + 2):
            first, rest = self.meanings.get(word[:at]), word[at:]
            if first and (
                second := self.meanings.get(rest) or (self._compound(rest, parts - 1) if parts > 2 else None)
            ):
                return [*first, *second]
        return None

    def near(self, text, family):
        """A word of the family that a misspelled one may mean."""
        if len(text) < 5:
            return ""
        known = [p for p, meanings in self.meanings.items() if len(p) > 4 and any(m[0] == family for m in meanings)]
        found = difflib.get_close_matches(squashed(text), known, n=1, cutoff=0.84)
        return found[0] if found else ""

    def misspelt(self, text):
        """The listed word that a word with one slip can be: a letter left out, put in, or two swapped; "" if not one.

        A wrong letter is no such slip (tinted is not tinned), nor is another ending (double is not doubler).
        """
        word = squashed(text)
        if len(word) < _SHORTEST_PART or not word.isalpha():
            return ""
        near = {word[:i] + word[i + 1 :] for i in range(len(word) - 1)}
        near |= {word[:i] + word[i + 1] + word[i] + word[i + 2 :] for i in range(len(word) - 1)}
        near |= self._longer().get(word, set())
        near = {one for one in near if len(one) >= _SHORTEST_PART and one in self.meanings}
        meanings = {tuple(self.meanings[one]) for one in near}
        return min(near) if len(meanings) == 1 else ""

    def _longer(self):
        """Listed words by what is left of them without one letter."""
        if not hasattr(self, "_shortened"):
            self._shortened: dict[str, set] = {}
            for word in self.meanings:
                for i in range(len(word) - 1):
                    self._shortened.setdefault(word[:i] + word[i + 1 :], set()).add(word)
        return self._shortened


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
    """A phrase for comparing: plain letters, no case, no spaces, hyphens, strokes or full stops."""
    return re.sub("[ ./-]", "", flat(text).casefold())


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
    word = vocabulary.at(text, at) or _designated(text, at, vocabulary)
    if word is not None:
        return word
    for kind, pattern in LAST_PATTERNS:
        match = pattern.match(text, at)
        if match and kind == "word":
            return _unlisted(match, vocabulary)
        if match:
            return (
                figure(kind, match, text)
                if kind in ("number", "trailing")
                else Figure(kind, None, match[0], at, match.end())
            )
    return None


_DESIGNATED = re.compile(r"([A-Za-z]{3,})(?=\d{2,3}(?![\w]|[.,/]\d))")


def _designated(text, at, vocabulary):
    """An insulation with its temperature class grown on: the letters of ``XLPE125``; None where it is no such word."""
    match = _DESIGNATED.match(text, at)
    if match is None:
        return None
    meanings = vocabulary.of([match[1]])
    if not meanings or not any(column.startswith("insulation") for _, column, _ in meanings):
        return None
    return Word(match[1], tuple(meanings), match.start(1), match.end(1))


def _unlisted(match, vocabulary):
    """A word nothing is known of, up to the first hyphen where a listed word stands behind it."""
    parts = match[0].split("-")
    known = len(parts) > 1 and any(vocabulary.of([part]) for part in parts[1:])
    text = parts[0] if known else match[0]
    return Word(text, (), match.start(), match.start() + len(text))


def corrected(tokens, vocabulary, parts):
    """The tokens, unlisted words with one slip in them taken as the word they can only be, if no key has them so."""
    done = []
    for token in tokens:
        if isinstance(token, Word) and not token.meanings:
            meant = vocabulary.misspelt(token.text)
            own = squashed(token.text)
            if meant and not any(own in words_of(key) for block in parts.values() for key in block.keys):
                token = Word(token.text, tuple(vocabulary.meanings[meant]), token.start, token.end, meant)
        done.append(token)
    return done
