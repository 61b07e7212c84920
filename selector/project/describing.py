"""A description of a part, as builders write it on a list, understood against the part tables.

Every statement (a size, a metal, an insulation, a rating …) leaves only the rows that agree with it. One row left is
*read*, several are *ambiguous*, none is *unread*. Rules that keep it safe:

- A size is compared as it is written. 10 AWG is never taken for 6 mm2, nor 3/8 in for M10: whether a piece will do is
  judged later, by its real dimensions. Bores of sleeves are lengths and compare as such, within 1 %.
- A figure, type code or word that nothing explains, a word of doubt or damage, or one that names what the tables do not hold
  makes it ambiguous. Only what follows a word for origin or purpose (from, for) stays as a remark.
- A word with one slip in it (a letter left out, put in, or two swapped) is taken as the one listed word it can be, and said.
- Of several rows one is taken only where it is no better than any other in whatever tells them apart, and a remark says so.
- A wire whose rating is not given is read only if its material's lowest listed rating lies within one class of the
  row's (`CLASS_STEP_K`), and is then good for that lowest rating only (`at_worst`).
"""

import re
from dataclasses import dataclass, field
from functools import lru_cache

from selector.catalogue.reading import fold_key
from selector.project.describing_numbers import Figure, flat
from selector.project.describing_reading import column_words, read_as, shown
from selector.project.describing_tokens import Word, corrected, folded, tokens_of
from selector.project.describing_words import CLASS_STEP_K, MOST_CANDIDATES, NOT_COMPARED, PLAIN, SAME_OUTSIDE, SHAPES


@dataclass
class Understood:
    """What a description was understood to be; see `selector.project.stock.StockItem`."""

    status: str
    family: str | None = None
    part: str | None = None
    index: int | None = None
    candidates: list = field(default_factory=list)
    candidates_in_all: int = 0
    fields: dict = field(default_factory=dict)
    quantity: int | None = None
    length_m: float | None = None
    condition: str = ""
    colour: str = ""
    remarks: list = field(default_factory=list)
    at_worst: dict = field(default_factory=dict)
    open_parts: list = field(default_factory=list)
    """(family, index) of the parts that remain, where nothing else is doubtful."""


def understand(text, parts, vocabulary, insulations=()):
    """What a description says, against the parts of every family.

    Parameters
    ----------
    text : the description
    parts : family -> `Candidates`
    vocabulary : `Vocabulary`
    insulations : rows of insulations.csv, for ratings that are not given
    """
    plain = flat(text)
    tokens = corrected(tokens_of(plain, vocabulary), vocabulary, parts)
    exact = _exact(plain, tokens, parts, vocabulary)
    done = None if exact is None else _of_key(*exact, parts, vocabulary)
    if done is not None:
        return done
    named = {v for t in tokens if isinstance(t, Word) for _, c, v in t.meanings if c == "family" and v in parts}
    unserved = {v for t in tokens if isinstance(t, Word) for _, c, v in t.meanings if c == "family"} - set(parts)
    beside = named & {"wires"} if len(named) > 1 else set()
    named -= beside  # a lug, a fuse or a sleeve is often said to be for some wire
    readings = [read_as(tokens, family, parts[family], vocabulary) for family in (named or parts)]
    readings = [r for r in readings if r.said and len(r.block)]
    if not readings or (unserved and not named):
        what = f"The tables read here have no {' or '.join(sorted(unserved))}." if unserved and not named else (
            "Nothing here names a part: say what it is, its size and its kind.")  # fmt: skip
        return Understood("unread", remarks=[what])
    least = min(_cost(reading) for reading in readings)
    if beside and least:  # nor a wire that tells of its lugs or its sleeve, if all of it agrees
        other = read_as(tokens, "wires", parts["wires"], vocabulary)
        readings += [other] if other.said and other.rows and not _cost(other) else []
        least = min(_cost(reading) for reading in readings)
    best = [reading for reading in readings if _cost(reading) == least]
    if len(best) > 1:
        return _several_families(best)
    return _settled(best[0], insulations)


def without_amounts(text, vocabulary, understood):
    """A description without its pieces and its length, if it means the same part so; else as it is.

    ``understood`` gives what a description is understood to be.
    """
    rest = plain = flat(text)
    for token in reversed(tokens_of(plain, vocabulary)):
        each = isinstance(token, Word) and token.means("each") is not None
        if each or getattr(token, "kind", "") in (*_COUNTS, *_LENGTHS):
            rest = f"{rest[: token.start]} {rest[token.end :]}"
    rest = " ".join(re.sub(r"\s+(?=[,;])", "", rest).split()).strip(" ,;:-")
    before, after = understood(text), understood(rest)
    same = (before.status, before.part, before.at_worst) == (after.status, after.part, after.at_worst)
    return rest if same and after.quantity is None and after.length_m is None else text


def _cost(reading):
    """How badly a family explains a description: doubts, words of other families, nothing that agrees."""
    return len(reading.doubts) + reading.strangers + (0.0 if reading.mask.any() else 1.5)


_COUNTS = ("count", "times", "bracketed", "trailing")
_APART = (*_COUNTS, "price", "place", "year")
"""Kinds of figures that are no part of a key."""
_LENGTHS = ("length", "feet", "feet and inches")


def _exact(plain, tokens, parts, vocabulary):
    """(family, number, tokens beside the key) of the part whose key the text has; None where it has no key alone.

    What stands in the key is the key's: its figures are neither pieces nor lengths. Beside it may stand pieces, length,
    condition and colour, and nothing else.
    """
    whole, spaced = fold_key(plain), _without_commas(plain)
    found = []
    for text in dict.fromkeys((whole, spaced)):
        found = found or [(family, index, ()) for _, family, index in _keys_in(text, parts, True)]
    for text in () if found else dict.fromkeys((whole, spaced)):
        longest = 0
        for key, family, index in _keys_in(text, parts, False):
            at = text.index(key)
            beside = [*tokens_of(text[:at], vocabulary), *tokens_of(text[at + len(key) :], vocabulary)]
            if len(key) >= longest and _apart_only(beside, family):
                found = [(family, index, beside)] if len(key) > longest else [*found, (family, index, beside)]
                longest = len(key)
        if found:
            break
    return found[0] if len(found) == 1 else (None if found else _scattered(plain, tokens, parts))


def _without_commas(text):
    """A text for comparing, without the commas between its words."""
    return fold_key(re.sub(r",(?=\s|$)", " ", text)).strip(" ;:-")


@lru_cache(maxsize=32_768)
def _forms(key):
    """A key as it may stand in a text for comparing: as it is, and without commas between its words."""
    return tuple(dict.fromkeys((folded(key), _without_commas(folded(key)))))


def _keys_in(text, parts, whole):
    """(folded key, family, number) of the keys that are the text, or stand in it as words of their own."""
    for family, block in parts.items():
        for index, key in enumerate(block.keys):
            for own in _forms(key):
                if own == text if whole else own in text and _stands_alone(own, text):
                    yield own, family, index


def _stands_alone(key, text):
    at = text.index(key)
    before, after = text[at - 1 : at], text[at + len(key) :]
    return not (before.isalnum() or before in (".", "/") or re.match(r"[\w/]|[.,]\d", after))


def _apart_only(tokens, family):
    """Whether all of some words tell of pieces, condition or colour, and of length where such parts are lengths."""
    lengthy = SHAPES.get(family, PLAIN).lengthy
    return all(_is_apart(token) and (lengthy or getattr(token, "kind", "") not in _LENGTHS) for token in tokens)


def _is_apart(token):
    if isinstance(token, Figure):
        return token.kind in (*_APART, *_LENGTHS)
    return any(token.means(c) is not None for c in ("colour", "condition", "remainder", "each"))


def _scattered(plain, tokens, parts):
    """As `_exact` for a key with words of length, condition or colour between its own."""
    apart = [_is_apart(token) for token in tokens]
    for n, token in enumerate(tokens):  # a number of pieces stands before or behind a key, never in it
        inside = not all(apart[:n]) and not all(apart[n + 1 :])
        if getattr(token, "kind", "") in _COUNTS and inside:
            apart[n] = False
    beside = [token for token, extra in zip(tokens, apart, strict=True) if extra]
    rest = plain
    for token in reversed(beside):
        rest = f"{rest[: token.start]} {rest[token.end :]}"
    rest = _without_commas(rest)
    found = [(family, index) for _, family, index in _keys_in(rest, parts, True) if _apart_only(beside, family)]
    return (*found[0], beside) if len(found) == 1 else None


def _of_key(family, index, beside, parts, vocabulary):
    """The part of a key, with what is said beside it; None where that leaves a doubt."""
    block = parts[family]
    reading = read_as(beside, family, block, vocabulary)
    if reading.doubts:
        return None
    key = block.plain_key(index)
    if key != block.keys[index]:  # a number side by side is that many pieces
        reading.quantities.add(block.pieces(index))
        index = block.keys.index(key)
    done = Understood("exact", family, key, index, [key], 1)
    _common(done, reading)
    done.fields = {**read_as(tokens_of(flat(key), vocabulary), family, block, vocabulary).fields, **done.fields}
    if reading.contradictions:
        done.status, done.part, done.index = "ambiguous", None, None
        done.remarks = [*_sentences(reading.contradictions), *done.remarks]
    return done


def _sentences(texts):
    return [f"{text[0].upper()}{text[1:]}." for text in dict.fromkeys(texts)]


def _common(done, reading):
    """What stands beside the part itself: pieces, length, condition, colour. Contradictions become doubts."""
    done.fields, done.colour, done.condition = dict(reading.fields), reading.colour, reading.condition
    done.remarks = list(dict.fromkeys(reading.remarks))
    quantities = sorted(reading.quantities)
    if len(quantities) > 1:
        reading.contradictions.append(f"{' and '.join(map(str, quantities))} pieces are said")
    done.quantity = quantities[0] if len(quantities) == 1 else None
    if done.quantity == 0:
        reading.contradictions.append("no piece is left, it says")
    different = [
        (v, t) for i, (v, t) in enumerate(reading.lengths) if all(abs(v - w) > 1e-3 for w, _ in reading.lengths[:i])
    ]
    if len(different) > 1:
        reading.contradictions.append(f"it gives the lengths {' and '.join(t for _, t in different)}")
    elif different and reading.total and (done.quantity or 1) > 1:
        reading.contradictions.append("the length is of all pieces together: say the length of each")
    elif different:
        done.length_m = different[0][0]


def _several_families(readings):
    done = Understood("ambiguous")
    _common(done, readings[0])
    names = []
    for reading in readings:
        rows = reading.rows
        done.candidates_in_all += len(rows)
        done.candidates += [reading.block.keys[i] for i in rows]
        names.append(reading.family)
    done.candidates = done.candidates[:MOST_CANDIDATES]
    done.remarks.insert(0, f"It may be one of the {' or '.join(names)}: say which.")
    if not done.candidates:
        done.status = "unread"
    return done


def _settled(reading, insulations):
    rows, block = reading.rows, reading.block
    done = Understood("ambiguous", reading.family)
    _common(done, reading)
    doubts = _sentences([*reading.doubts, *reading.contradictions])
    if not rows:
        done.status = "unread"
        done.remarks = [_no_such(reading), *doubts, *done.remarks]
        return done
    done.candidates_in_all = len(rows)
    done.candidates = [block.keys[i] for i in rows[:MOST_CANDIDATES]]
    worst = rows[0] if len(rows) == 1 else _worst(reading, rows)
    missing = [group for group in reading.shape.needed if not reading.columns_said.intersection(group)]
    missing += [
        (c,)
        for c in reading.shape.needed_if_any
        if worst is not None and block.words[c][worst] and c not in reading.columns_said
    ]
    if worst is None:
        done.open_parts = [] if doubts else [(reading.family, int(row)) for row in rows]
        doubts.append(_ask(reading, rows))
    elif missing:
        what = ", ".join(column_words(group[0]) for group in missing)
        doubts.append(f"Say its {what}: '{block.keys[worst]}' agrees only because the tables have no other.")
    elif not doubts:
        doubts += _rating_open(reading, worst, insulations, done)
    if doubts or worst is None:
        done.remarks = [*doubts, *done.remarks]
        return done
    done.status, done.part, done.index = "read", block.keys[worst], worst
    if len(rows) > 1:
        done.remarks.insert(0, f"Taken as '{done.part}', the least of {len(rows)} parts it may be.")
    taken = _not_said(reading, worst)
    if taken:
        done.remarks.append(f"Not said, taken from the part: {taken}.")
    return done


def _no_such(reading):
    """Why no row agrees: the one statement without which some would."""
    import numpy as np

    nearest = []
    for i, (words, _) in enumerate(reading.said):
        others = [mask for j, (_, mask) in enumerate(reading.said) if j != i]
        left = np.logical_and.reduce(others) if others else np.zeros(len(reading.block), dtype=bool)
        if left.any():
            nearest.append(f"but for '{words}' it could be '{reading.block.keys[int(left.nonzero()[0][0])]}'")
    what = ", ".join(dict.fromkeys(words for words, _ in reading.said))
    return f"No {reading.family} of the tables are {what}" + (f" ({'; '.join(nearest)})." if nearest else ".")


def _columns(block):
    """Every column by which rows are compared, words and numbers."""
    for name, values in block.words.items():
        if name not in NOT_COMPARED and name not in block.columns:
            yield name, values
    for name, values in block.columns.items():
        if name not in NOT_COMPARED:
            yield name, values


def _differ(values, rows, near=1e-9):
    import numpy as np

    if isinstance(values, tuple):
        return any(_differ(part, rows, near) for part in values)
    if isinstance(values, list):
        return len({values[i] for i in rows}) > 1
    chosen = np.asarray(values)[rows].astype(float)
    return not np.allclose(chosen, chosen[0], rtol=near, atol=0, equal_nan=True)


def _worst(reading, rows):
    """The row that is no better than the others in any column that tells them apart; None where none is."""
    import numpy as np

    block, worse = reading.block, reading.shape.worse
    key = next(iter(block.words), None)
    left = set(rows)
    for name, values in _columns(block):
        if name == key or not _differ(values, rows, SAME_OUTSIDE if name == "outer_diameter_m" else 1e-9):
            continue
        if name not in worse or not isinstance(values, np.ndarray):
            return None
        chosen = np.where(np.isnan(values[rows]), -np.inf, values[rows] if worse[name] == "less" else -values[rows])
        left &= {row for row, value in zip(rows, chosen, strict=True) if value == chosen.min()}
    return min(left) if left else None


def _distinct(block, column, rows):
    if column in block.columns and not isinstance(block.columns[column], tuple) and column not in block.words:
        values = [float(block.columns[column][i]) for i in rows]
        return list(dict.fromkeys("unknown" if v != v else shown(column, v) for v in values))
    if column in block.words:
        return list(dict.fromkeys(block.words[column][i] or "none" for i in rows))
    return []


def _ask(reading, rows):
    """Which columns would settle it, with the values to choose from."""
    asked = []
    for column in reading.shape.open_columns:
        values = _distinct(reading.block, column, rows)
        if len(values) > 1:
            more = " …" if len(values) > 6 else ""
            asked.append(f"{column_words(column)}: {' or '.join(values[:6])}{more}")
    return f"Say {'; '.join(asked)}." if asked else "Give the key of the part, as in the tables."


def _not_said(reading, row):
    values = []
    for column in reading.shape.open_columns:
        if column in reading.columns_said or column in ("insulation", "size"):
            continue
        value = _distinct(reading.block, column, [row])
        if value and value[0] not in ("none", "unknown"):
            values.append(f"{column_words(column)} {value[0]}")
    return ", ".join(values)


def _rating_open(reading, row, insulations, done):
    """A wire's rating that is not given: doubts if its material may be much worse, else what it is good for at worst."""
    column, block = "temperature_rating_k", reading.block
    material = (block.words.get("insulation_material") or [None] * len(block))[row]
    if reading.family != "wires" or material is None or {column, "insulation"} & reading.columns_said:
        return []
    own = float(block.columns[column][row])
    listed = [r[column] for r in insulations if fold_key(r["material"] or "") == fold_key(material) and r[column]]
    lowest = min(listed, default=own)
    if lowest >= own - 0.01:
        return []
    if own - lowest > CLASS_STEP_K + 0.01:
        return [f"{material} is listed from {shown(column, lowest)} to {shown(column, max(listed))}: say its rating, "
                "as printed on the jacket."]  # fmt: skip
    done.at_worst = {column: lowest}
    done.remarks.append(f"Its rating is not said: good for {shown(column, lowest)}, the lowest listed of {material}, until "
                        "the print on the jacket says more.")  # fmt: skip
    return []
