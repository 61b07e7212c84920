"""A description read as one family: which rows agree with every statement, and what casts doubt on it."""

import re
from dataclasses import dataclass, field
from typing import Any

from selector.catalogue.reading import fold_key
from selector.project.describing_numbers import Figure, number
from selector.project.describing_tokens import Word, squashed, words_of
from selector.project.describing_words import PLAIN, SHAPES
from selector.units import snake

_SAME = 1e-3
_SAME_WIDTH = 0.01
_SAME_MEASURE = 0.004
_NEAR_DIAMETER = 0.1


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
        plain = self.block.plain_keys or self.block.keys
        return [int(i) for i in self.mask.nonzero()[0] if plain[i] == self.block.keys[i]]


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
    for place, token in enumerate(tokens):
        before = tokens[place - 1] if place else None
        after = tokens[place + 1] if place + 1 < len(tokens) else None
        if isinstance(token, Word):
            _word(reading, token, after, vocabulary)
        elif token.kind in ("mm", "inches", "fraction") and not _named_measure(reading, token, before):
            if not (token.kind != "mm" and _stud(reading, token)):
                reading.widths.append((token, _context(before, after)))
        else:
            _figure(reading, token, before, after, tokens)
    _widths(reading)
    return reading


def _context(before, after):
    """The words beside a figure that say what it is of: length, diameter, about."""
    beside = [t for t in (before, after) if isinstance(t, Word)]
    return {c for t in beside for c in ("long", "diameter", "approximate") if t.means(c) is not None}


def _word(reading, word, after, vocabulary):
    own = [m for m in word.meanings if m[0] == reading.family]
    meanings = own or [m for m in word.meanings if m[0] == ""]
    if not meanings:
        _stranger(reading, word, vocabulary)
    for _, column, value in meanings:
        if column == "colour":
            reading.colour = value if reading.colour in ("", value) else f"{reading.colour} and {value}"
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
            if getattr(after, "kind", "") in ("length", "feet", "feet and inches", "mm", "inches"):
                reading.remarks.append("The length is only about so long: measure it.")
            else:
                reading.doubts.append(f"'{word.text}' leaves it open")
        elif column not in ("family", "measure", "filler", "long", "diameter", "each", "remainder"):
            _hold_word(reading, column, value, word)


def _hold_word(reading, column, value, word):
    import numpy as np

    name = snake(column)
    if column == "key":
        wanted = squashed(value)
        held = [wanted in squashed(key) for key in reading.block.keys]
        reading.hold("kind", value, np.array(held, dtype=bool))
    elif name in reading.block.words:
        wanted = {fold_key(one) for one in value.split(" / ")}
        held = [v is not None and fold_key(v) in wanted for v in reading.block.words[name]]
        reading.hold(name, value, np.array(held, dtype=bool))
    else:
        reading.doubts.append(f"'{word.text}' is no property of {reading.family} in these tables")


def _stranger(reading, word, vocabulary):
    """A word without meaning for this family: one of its keys, one of another family, or not known at all."""
    import numpy as np

    text = squashed(word.text)
    held = np.array([text in words_of(key) for key in reading.block.keys], dtype=bool)
    if word.meanings:
        if held.any() and all(m[1] != "family" for m in word.meanings):
            reading.hold("kind", word.text, held)
            return
        if (
            any(m[0] == "wires" and m[1] == "family" for m in word.meanings)
            and SHAPES.get(reading.family, PLAIN).counted
        ):
            return  # a lug, a fuse or a splice is often said to be for some wire
        reading.strangers += 1
        reading.doubts.append(f"'{word.text}' is said of other parts, not of {reading.family}")
        return
    if len(text) > 1 and held.any():
        reading.hold("kind", word.text, held)
        return
    near = vocabulary.near(word.text, reading.family)
    if near:
        reading.doubts.append(f"'{word.text}' is not understood: is '{near}' meant?")
    elif word.text.isupper() and len(word.text) > 1:
        reading.doubts.append(f"'{word.text}' looks like a type code and is not understood")
    elif len(word.text) > 1:
        reading.remarks.append(f"'{word.text}' is not understood and decides nothing.")


def _figure(reading, token, before, after, tokens):
    import numpy as np

    shape, block, kind = reading.shape, reading.block, token.kind
    vague = getattr(before, "kind", "") == "roughly" or (
        isinstance(before, Word) and before.means("approximate") is not None
    )
    if kind in ("roughly", "doubt"):
        if kind == "doubt" or getattr(after, "kind", "") not in ("length", "feet", "feet and inches"):
            reading.doubts.append(f"'{token.text}' leaves it open")
        return
    if kind in ("count", "times", "number"):
        _count(reading, token, before, tokens)
        return
    if kind in ("length", "feet", "feet and inches"):
        _length(reading, token)
        return
    if _named_measure(reading, token, before):
        return
    if kind in ("gauge", "area", "kcmil", "hash") and _size(reading, token, before, tokens):
        return
    if kind in ("thread", "hash") and _stud(reading, token):
        return
    held, column = None, kind
    if token.value is None:
        pass
    elif kind in shape.figures and shape.figures[kind] in block.columns:
        column = shape.figures[kind]
        held = np.isclose(block.columns[column], token.value, rtol=_SAME, atol=1e-9)
        if column.endswith("_k"):
            held = np.abs(block.columns[column] - token.value) < 0.6
        if kind == "voltage" and not held.any():  # a nominal voltage that only the keys have
            held = np.array([f" {token.value:g} V" in f" {key} " for key in block.keys], dtype=bool)
        if kind == "voltage":
            held = held | _printed_for_ac(reading, token, tokens)
    elif kind == "ratio" and "ratio" in block.words:
        held = np.array([value == f"{token.value:g}:1" for value in block.words["ratio"]], dtype=bool)
    elif kind == "before and after" and "recovered_bore_m" in block.columns:
        held = _close(block.columns["supplied_bore_m"], token.value / 1000, _SAME_WIDTH) & _close(
            block.columns["recovered_bore_m"], (token.high or 0) / 1000, 0.05
        )
        column = "supplied_bore_m"
    elif kind == "curve" and "class" in block.words and "rating_a" in block.columns:
        letter, rating = token.value
        held = np.array([(v or "").casefold().endswith(f"breaker {letter}".casefold()) for v in block.words["class"]])
        held = held & np.isclose(block.columns["rating_a"], rating)
        column = "rating_a"
        reading.columns_said.add("class")
    elif kind == "dims":
        column, held = "kind", _dimensions(reading, token, _context(before, after))
        if held is None:
            return
    if held is None or vague:
        _unexplained(reading, token)
    else:
        reading.hold(column, token.text, held)


AC_VOLTAGES = (230.0, 400.0, 500.0, 690.0)
"""Rated ac voltages of gG fuse-links; key iec-60269-1, from memory. They print these, and the tables hold what they break in dc."""


def _printed_for_ac(reading, token, tokens):
    """Rows of a fuse that is said to be gG, whose printed ac voltage is above what the tables give it for dc."""
    import numpy as np

    words = {t.text.casefold() for t in tokens if isinstance(t, Word)}
    for_dc = token.text.casefold().endswith(("dc", "=")) or words & {"dc", "d", "pv", "solar"}
    if reading.family != "fuses" or "gg" not in words or for_dc or token.value not in AC_VOLTAGES:
        return np.zeros(len(reading.block), dtype=bool)
    classes = [(name or "").endswith(" gG") for name in reading.block.words["class"]]
    held = np.array(classes, dtype=bool) & (reading.block.columns["voltage_rating_v"] < token.value)
    if (held & reading.mask).any():
        reading.remarks.append(
            f"'{token.text}' is taken as its ac voltage: in dc it breaks no more than the tables say."
        )
    return held


def _close(values, wanted, part):
    import numpy as np

    with np.errstate(invalid="ignore"):
        return np.abs(values - wanted) <= part * wanted


def _unexplained(reading, token):
    reading.strangers += 1
    if token.value is None and token.kind not in ("code", "sign", "number"):
        reading.doubts.append(f"'{token.text}' can be read as thousands or as a fraction")
    else:
        reading.doubts.append(f"'{token.text}' is not explained by anything known of {reading.family}")


def _named_measure(reading, token, before):
    """A figure behind the word for what it measures: ``bore 17``, ``stand-off 33 V``. Whether it was one."""
    if not isinstance(before, Word) or not isinstance(token.value, float):
        return False
    what = before.means("measure", reading.family)
    if what is None:
        return False
    suffix, value = {"mm": ("_m", token.value / 1000), "number": ("_m", token.value / 1000),
                     "voltage": ("_v", token.value)}.get(token.kind, ("", 0.0))  # fmt: skip
    column = snake(what) + suffix
    if not suffix or column not in reading.block.columns:
        return False
    reading.hold(column, token.text, _close(reading.block.columns[column], value, _SAME_MEASURE))
    return True


def _count(reading, token, before, tokens):
    """Numbers of pieces; a bare number is one only where nothing else it could be."""
    if token.kind != "number":
        reading.quantities.add(token.value)
        return
    value = token.value
    if _named_measure(reading, token, before):
        return
    if isinstance(before, Word) and value is not None and _designation(reading, token, before):
        return
    whole = value is not None and value == int(value) and 0 < value < 10_000 and token.text.isdigit()
    if whole and token is tokens[0] and len(tokens) > 1 and reading.shape.counted:
        reading.quantities.add(int(value))
        reading.remarks.append(f"{token.text} is taken as the number of pieces.")
        return
    _unexplained(reading, token)


def _designation(reading, token, before):
    """A number behind an insulation or a class is its temperature class: PVC 105."""
    import numpy as np

    column = reading.shape.figures.get("temperature")
    named = any(before.means(c, reading.family) for c in ("insulation material", "insulation", "class"))
    if column is None or not named:
        return False
    rated = np.abs(reading.block.columns[column] - 273.15 - token.value) < 0.6
    if not (rated & reading.mask).any():
        return False
    reading.hold(column, token.text, rated)
    return True


def _length(reading, token):
    if token.value is None or not reading.shape.lengthy:
        _unexplained(reading, token)
    else:
        reading.lengths.append((token.value, token.text))


_ROW_SIZE = re.compile(r"(?P<a>[\d./]+?)(?:-(?P<b>[\d./]+))? (?P<unit>AWG|mm2|kcmil)\b")


def _gauge_number(text):
    return 1 - int(text.split("/")[0]) if "/" in text else int(text)


def _row_sizes(block):
    """Size of each row as (system, low, high); None where it has none. Gauges count down as they grow thicker."""
    texts = block.words.get("size") or block.keys
    sizes = []
    for text in texts:
        match = _ROW_SIZE.match(str(text or ""))
        if match is None:
            sizes.append(None)
            continue
        convert = _gauge_number if match["unit"] == "AWG" else float
        ends = sorted((convert(match["a"]), convert(match["b"] or match["a"])))
        sizes.append((match["unit"], *ends))
    return sizes


def _size(reading, token, before, tokens):
    """A wire size, in the system it is written in. Whether the family has sizes at all."""
    import numpy as np

    sizes = _row_sizes(reading.block)
    if all(size is None for size in sizes) or token.value is None:
        return False
    if token.kind == "hash":
        if reading.family != "wires" or any(getattr(t, "kind", "") in ("gauge", "area") for t in tokens):
            return False
        unit, low, high = "AWG", int(token.value), int(token.value)
    elif token.kind == "gauge":
        unit = "AWG"
        low, high = sorted((_gauge_number(token.value), _gauge_number(token.high or token.value)))
    else:
        unit = "kcmil" if token.kind == "kcmil" else "mm2"
        low, high = sorted((float(token.value), float(token.high or token.value)))
    if getattr(before, "kind", "") == "times" and not reading.shape.counted:
        reading.doubts.append(f"'{before.text} {token.text}' may be pieces, or cores in one jacket")
    if getattr(before, "kind", "") == "roughly" or (
        isinstance(before, Word) and before.means("approximate") is not None
    ):
        reading.doubts.append(f"the size {token.text} is only about right")
    if low != high:
        held = [size is not None and size == (unit, low, high) for size in sizes]
    else:
        held = [size is not None and size[0] == unit and size[1] <= low <= size[2] for size in sizes]
    reading.hold("size", _size_words(token, unit), np.array(held, dtype=bool))
    return True


def _size_words(token, unit):
    value = token.value if isinstance(token.value, str) else f"{token.value:g}"
    high = "" if token.high is None else f"-{token.high}" if isinstance(token.high, str) else f"-{token.high:g}"
    return f"{value}{high} {unit}"


def _stud(reading, token):
    """A stud: M8, 5/16, #10; as named, never by a nearby size of another system. Whether the family has studs."""
    import numpy as np

    studs = reading.block.words.get("stud")
    if studs is None or all(value is None for value in studs):
        return False
    if token.kind == "thread":
        name = f"M{token.value.replace(',', '.')}"
    elif token.kind == "hash":
        name = f"#{token.value}"
    else:
        match = re.match(r"(?:\d+[ -])?\d+/\d+", token.text)
        if match is None:
            return False
        name = match[0]
    if token.kind == "hash" and not any(c == "size" for c in reading.columns_said):
        reading.doubts.append(f"'{token.text}' may be a stud or a wire size")
    held = [value is not None and fold_key(value) == fold_key(name) for value in studs]
    reading.hold("stud", name, np.array(held, dtype=bool))
    return True


def _dimensions(reading, token, context):
    """``5x20`` is a body where a key or a bar has it; elsewhere pieces times a width. None where it was taken so."""
    import numpy as np

    if token.value is None or token.high is None:
        _unexplained(reading, token)
        return None
    block, first, second = reading.block, token.value, token.high
    named = np.array([f"{first:g}x{second:g}" in str(key).casefold() for key in block.keys], dtype=bool)
    if named.any():
        return named
    if "thickness_m" in block.columns:
        wide, thick = sorted((first, second), reverse=True)
        return _close(block.columns["width_m"], wide / 1000, _SAME_WIDTH) & _close(
            block.columns["thickness_m"], thick / 1000, _SAME_WIDTH
        )
    if reading.shape.across and first == int(first) and first > 0:
        reading.quantities.add(int(first))
        reading.widths.append((Figure("mm", second, f"{second:g} mm", token.start, token.end), context))
        return None
    _unexplained(reading, token)
    return None


def _widths(reading):
    """Figures in mm or inches: the bore of a sleeve, the length of a piece, or nothing that can be told."""
    metres = [(token, _in_metres(token), context) for token, context in reading.widths]
    across = reading.shape.across
    for token, value, context in metres:
        if value is None or not (across or reading.shape.lengthy):
            _unexplained(reading, token)
        elif "long" in context and "diameter" not in context:
            reading.lengths.append((value, token.text))
        elif across:
            _bore(reading, token, value, context)
        else:
            _wire_width(reading, token, value, context)


def _in_metres(token):
    value = number(token.value) if token.kind == "fraction" else token.value
    if value is None or token.kind == "inches":
        return value
    return value * (0.001 if token.kind == "mm" else 0.0254)


def _bore(reading, token, value, context):
    column = reading.shape.across
    held = _close(reading.block.columns[column], value, _SAME_WIDTH)
    if column in reading.columns_said:
        if value > 0.15 and "diameter" not in context:
            reading.lengths.append((value, token.text))
        else:
            reading.doubts.append(f"'{token.text}' is a second width: say which is the bore as supplied")
        return
    if not held.any() and value > 0.15:
        reading.lengths.append((value, token.text))
        return
    reading.hold(column, token.text, held)


def _wire_width(reading, token, value, context):
    """A width beside a wire: its length if no wire of the tables is that thick, its diameter if it says so."""
    import numpy as np

    diameters = reading.block.columns.get("outer_diameter_m")
    if diameters is None:
        _unexplained(reading, token)
    elif "diameter" in context:
        reading.hold("outer_diameter_m", token.text, _close(diameters, value, _NEAR_DIAMETER))
    elif "size" in reading.columns_said and value > 2 * float(np.nanmax(diameters)):
        reading.lengths.append((value, token.text))
    else:
        reading.doubts.append(f"'{token.text}' may be an area, a diameter or a length: write mm2, 'diameter' or 'long'")
