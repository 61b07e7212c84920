"""A description read as one family: which rows agree with every statement, and what casts doubt on it."""

import re
from dataclasses import dataclass, field, replace
from typing import Any

from selector.catalogue.reading import fold_key
from selector.project.describing_figures import beside_of, named_measure, read_figure, read_stud, read_widths
from selector.project.describing_numbers import Figure, number
from selector.project.describing_tokens import Word, squashed, words_of
from selector.project.describing_words import PLAIN, SHAPES
from selector.units import snake


@dataclass
class Reading:
    """A description read as one of a family: which rows agree, what was understood, what casts doubt on it."""

    family: str
    block: Any
    mask: Any
    shape: Any
    fields: dict = field(default_factory=dict)
    said: list = field(default_factory=list)
    doubts: list = field(default_factory=list)
    remarks: list = field(default_factory=list)
    columns_said: set = field(default_factory=set)
    quantities: set = field(default_factory=set)
    lengths: list = field(default_factory=list)
    condition: str = ""
    colour: str = ""
    contradictions: list = field(default_factory=list)
    strangers: int = 0
    total: bool = False
    nouns: set = field(default_factory=set)
    """Words for pieces, whatever they are called."""
    of_purpose: bool = False
    """Whether the words being read tell where the piece is from or for."""
    named: bool = False
    """Whether a word of the description names the family."""
    widths: list = field(default_factory=list)

    def hold(self, column, words, mask):
        """Keep the rows of a mask: the description says ``words`` of a column."""
        self.said.append((words, mask))
        self.columns_said.add(column)
        label = column_words(column)
        self.fields[label] = f"{self.fields[label]}, {words}" if label in self.fields else words
        self.mask = self.mask & mask

    @property
    def rows(self):
        """Numbers of the rows that agree with everything said; a part in stock is one, not two or more in parallel."""
        block = self.block
        plain, bars = block.plain_keys or block.keys, block.columns.get("bars")
        single = [
            plain[i] == key and (bars is None or bars[i] == 1) and not key.startswith("two ")
            for i, key in enumerate(block.keys)
        ]
        return [int(i) for i in self.mask.nonzero()[0] if single[i]]


def column_words(column):
    """A column's name for people: ``temperature rating`` of ``temperature_rating_k``."""
    return re.sub(r"_(k_per_w|m_per_s|mm2|ohm|a2s|[kmvaw])$", "", column).replace("_", " ")


def shown(column, value):
    """A value of a column with its unit."""
    if not isinstance(value, float):
        return str(value)
    for suffix, unit, scale, offset in (("_k_per_w", "K/W", 1, 0), ("_m_per_s", "m/s", 1, 0), ("_k", "degC", 1, -273.15),
                                        ("_m", "mm", 1000, 0), ("_v", "V", 1, 0), ("_a", "A", 1, 0), ("_w", "W", 1, 0)):  # fmt: skip
        if column.endswith(suffix):
            return f"{value * scale + offset:.4g} {unit}"
    return f"{value:g}"


def read_as(tokens, family, block, vocabulary):
    """The reading of a description as a part of one family."""
    import numpy as np

    reading = Reading(family, block, np.ones(len(block), dtype=bool), SHAPES.get(family, PLAIN))
    tokens = [_of_family(token, reading) for token in tokens]
    reading.named = any((family, "family") == m[:2] for t in tokens if isinstance(t, Word) for m in t.meanings)
    for place, token in enumerate(tokens):
        before = tokens[place - 1] if place else None
        after = tokens[place + 1] if place + 1 < len(tokens) else None
        if before is not None and token.start - before.end > 1:
            reading.of_purpose = False
        if isinstance(token, Word):
            _word(reading, token, (before, after), vocabulary)
            _discoloured(reading, token, (before, after))
        elif token.kind in ("mm", "inches", "fraction") and not named_measure(reading, token, before):
            if not (token.kind != "mm" and read_stud(reading, token)):
                reading.widths.append((token, beside_of(before, after)))
        else:
            read_figure(reading, token, before, after, tokens)
        reading.of_purpose = _of_purpose(token, reading.of_purpose)
    read_widths(reading)
    _coloured_terminal(reading)
    return reading


_STRANDS = frozenset(
    ("strand", "strands", "end", "ends", "inside", "enden", "drahte", "brins", "bouts", "puntas", "hebras", "fili", "estremita",
     "uiteinden", "draadjes")
)  # fmt: skip


def _discoloured(reading, word, beside):
    """Doubts where a colour is that of strands or ends: green or black copper is corroded."""
    if word.means("colour") is None:
        return
    for other in beside:
        if isinstance(other, Word) and squashed(other.text) in _STRANDS:
            reading.doubts.append(f"'{word.text}' may be the colour of its strands: list what is sound by itself")


def _of_purpose(token, so_far):
    """Whether what follows a token may tell where the piece is from or for: up to the next figure, comma or known word."""
    if not isinstance(token, Word):
        return False
    if any(column == "filler" and value == PURPOSE for _, column, value in token.meanings):
        return True
    return so_far and all(column in ("filler", "condition") for _, column, _ in token.meanings)


def _of_family(token, reading):
    """A figure whose form means something of its own in this family: ``24/8`` of a sleeve, ``m 6`` of a wire."""
    if not isinstance(token, Figure):
        return token
    columns, words = reading.block.columns, reading.block.words
    if token.kind == "fraction" and "recovered_bore_m" in columns and re.fullmatch(r"\d+/\d+", token.text):
        first, second = map(float, token.text.split("/"))
        if second == 1:
            return replace(token, kind="ratio", value=first)
        if first > second:
            return replace(token, kind="before and after", value=first, high=second)
    if token.kind == "size and stud" and "recovered_bore_m" in columns and "/" in token.text:
        return replace(token, kind="before and after")
    if token.kind == "thread" and re.match(r"m\s", token.text) and reading.shape.lengthy and "stud" not in words:
        return replace(token, kind="length", value=number(token.value))
    return token


def _coloured_terminal(reading):
    """A terminal or splice said to have the colour of an insulation is insulated: bare ones have none."""
    import numpy as np

    values = reading.block.words.get("insulated")
    colour = reading.colour
    if values is None or not reading.mask.any() or not any(one in colour for one in ("red", "blue", "yellow")):
        return
    reading.hold("insulated", colour, np.array([value == "yes" for value in values], dtype=bool))


def _word(reading, word, beside, vocabulary):
    if word.meant:
        reading.remarks.append(f"'{word.text}' is taken as '{word.meant}'.")
    own = [m for m in word.meanings if m[0] == reading.family]
    meanings = own or [m for m in word.meanings if m[0] == ""]
    if not meanings:
        _stranger(reading, word, vocabulary)
    for _, column, value in meanings:
        if column == "colour":
            known = {reading.colour, "-".join(reversed(reading.colour.split("-")))}
            reading.colour = value if known & {"", value} else f"{reading.colour} and {value}"
        elif column == "condition" and reading.of_purpose:
            reading.remarks.append(f"'{word.text}' is taken to say where it is from or for, and decides nothing.")
        elif column == "condition":
            if reading.condition not in ("", value):
                reading.contradictions.append(f"'{word.text}' contradicts the condition {reading.condition}")
            reading.condition = value
        elif column == "not in tables":
            reading.doubts.append(f"'{word.text}' is {value}: the tables have no such part")
        elif column == "damage":
            reading.doubts.append(f"'{word.text}' tells of damage: list what is sound, measured, by itself")
        elif column in ("uncertain", "negation"):
            reading.doubts.append(f"'{word.text}' leaves it open")
        elif column == "total":
            reading.total = True
        elif column == "approximate":
            if any(getattr(t, "kind", "") in ("length", "feet", "feet and inches", "mm", "inches") for t in beside):
                reading.remarks.append("The length is only about so long: measure it.")
            else:
                reading.doubts.append(f"'{word.text}' leaves it open")
        elif column not in ("family", "measure", "filler", "long", "diameter", "each", "remainder"):
            _hold_word(reading, column, value, word)


def _hold_word(reading, column, value, word):
    import numpy as np

    name = snake(column)
    if column == "key":
        wanted = [squashed(one) for one in value.split(" / ")]
        held = [any(one in squashed(key) for one in wanted) for key in reading.block.keys]
        reading.hold("kind", value, np.array(held, dtype=bool))
    elif name in reading.block.words:
        wanted = {fold_key(one) for one in value.split(" / ")}
        held = [v is not None and fold_key(v) in wanted for v in reading.block.words[name]]
        reading.hold(name, value, np.array(held, dtype=bool))
    else:
        reading.doubts.append(f"'{word.text}' is no property of {reading.family} in these tables")


_DESCRIBING = frozenset(
    {"filler", "key", "class", "style", "circuit", "method", "surface", "form", "type", "measure", "group"}
)
"""Columns whose words, said of a part of a named family that has no such, tell of what it goes with."""
PURPOSE = "from or for"
"""Value of the words behind which a piece's origin, place or purpose stands: for, from, ex, aus, pour …"""
_PARTICIPLE = re.compile(
    r"\w{3,}(?<!e)ed|(?!gerat|gewicht|gebiet)(?:\w{2,3})?ge\w{3,}[td]|(?:ver|zer)\w{4,}t|\w{4,}(?:at|ut|ad|id)[aeio]s?"
)
"""Words formed as participles in English, German, Dutch, Italian or Spanish: nicked, geknickt, pelado. They tell of a
state, and what state nobody knows cannot be passed over; common practice, no source."""
_SEVERAL = re.compile(r"(?:twin|duo|dual|multi|tri|quad|zwilling|mehr|zwei|drei|vier|fünf|meer|twee|drie|bi)")


def _stranger(reading, word, vocabulary):
    """A word without meaning for this family: one of its keys, one of another family, or not known at all."""
    import numpy as np

    if word in reading.nouns:
        return
    text = squashed(word.text)
    if len(text) == 1 and word.text in "BCDFKMRTZ" and reading.family in ("fuses", "diodes"):
        reading.doubts.append(f"'{word.text}' may be a curve, a speed or a polarity: say which")
        return
    held = np.array([text in words_of(key) for key in reading.block.keys], dtype=bool)
    if any(column != "filler" for _, column, _ in word.meanings):
        if held.any() and all(m[1] != "family" for m in word.meanings):
            reading.hold("kind", word.text, held)
            return
        if (
            any(m[0] == "wires" and m[1] == "family" for m in word.meanings)
            and SHAPES.get(reading.family, PLAIN).counted
        ):
            return  # a lug, a fuse or a splice is often said to be for some wire
        reading.strangers += 1
        if reading.named and all(column in _DESCRIBING for _, column, _ in word.meanings):
            reading.remarks.append(f"'{word.text}' is said of other parts and decides nothing.")
        else:
            reading.doubts.append(f"'{word.text}' is said of other parts, not of {reading.family}")
        return
    if len(text) > 1 and held.any():
        reading.hold("kind", word.text, held)
        return
    near = "" if word.meanings else vocabulary.near(word.text, reading.family)
    if word.meanings:
        reading.remarks.append(f"'{word.text}' decides nothing.")
    elif near:
        reading.doubts.append(f"'{word.text}' is not understood: is '{near}' meant?")
    elif len(word.text) > 1 and (word.text.isupper() or not word.text[1:].islower()) and word.text.isalpha():
        reading.doubts.append(f"'{word.text}' looks like a type code and is not understood")
    elif _PARTICIPLE.fullmatch(text) or (reading.family == "wires" and _SEVERAL.match(text)):
        reading.doubts.append(f"'{word.text}' tells how the piece is made or what became of it, and is not understood")
    elif len(word.text) > 1 and reading.of_purpose:
        reading.remarks.append(f"'{word.text}' is taken to say where it is from or for, and decides nothing.")
    elif len(word.text) > 1:
        reading.doubts.append(f"'{word.text}' is not understood: write it otherwise, or into the column 'note'")
