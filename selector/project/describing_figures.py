"""The figures of a description put to the rows of one family: sizes, studs, ratings, pieces, lengths and widths."""

import math
import re
from dataclasses import replace

from selector.catalogue.reading import fold_key
from selector.project.describing_numbers import Figure, number
from selector.project.describing_tokens import Word, squashed
from selector.units import snake

_SAME = 1e-3
_SAME_WIDTH = 0.01
_SAME_MEASURE = 0.004
_NEAR_DIAMETER = 0.1
_SAME_STRANDS = 0.15
"""How far the strands' metal may lie from the nominal area (IEC 60228 limits the resistance, not the area)."""


def beside_of(before, after):
    """The words beside a figure that say what it is of: length, diameter, about."""
    beside = [t for t in (before, after) if isinstance(t, Word)]
    return {c for t in beside for c in ("long", "diameter", "approximate") if t.means(c) is not None}


def read_figure(reading, token, before, after, tokens):
    import numpy as np

    shape, block, kind = reading.shape, reading.block, token.kind
    vague = getattr(before, "kind", "") == "roughly" or (
        isinstance(before, Word) and before.means("approximate") is not None
    )
    if kind in ("roughly", "doubt"):
        if kind == "doubt" or getattr(after, "kind", "") not in ("length", "feet", "feet and inches"):
            reading.doubts.append(f"'{token.text}' leaves it open")
        return
    if kind in ("price", "place", "year"):
        reading.remarks.append(f"'{token.text}' is taken as a {kind} and decides nothing.")
        return
    if kind == "pair":
        if shape.counted:
            reading.quantities.add(2)
        else:
            reading.doubts.append(f"'{token.text}' may be two pieces, or two cores in one jacket")
        return
    if kind in ("count", "times", "number", "bracketed", "trailing"):
        _count(reading, token, before, after, tokens)
        return
    if kind in ("length", "feet", "feet and inches"):
        _length(reading, token)
        return
    if named_measure(reading, token, before):
        return
    if kind in ("gauge", "area", "kcmil", "hash") and _size(reading, token, before, tokens):
        return
    if kind in ("thread", "hash") and read_stud(reading, token):
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
    elif kind in ("dims", "dims in inches"):
        column, held = (
            "body" if reading.family == "fuses" else "kind",
            _dimensions(reading, token, beside_of(before, after), tokens),
        )
        if held is None:
            return
    elif kind == "strands" and "area_mm2" in block.columns:
        column, area = "area_mm2", token.value * math.pi / 4 * (token.high or 0) ** 2
        held = _close(block.columns[column], area, _SAME_STRANDS)
    elif kind == "block":
        column, held = "kind", _in_keys(block, r"\D".join(rf"\D*{v or -1:g}" for v in token.value) + r" mm\b")
    elif kind == "surface":
        column, held = "kind", _in_keys(block, rf"\b{token.value:g} cm2\b")
    elif kind == "size and stud" and reading.family == "lugs":
        sizes = _row_sizes(block)
        mask = np.array([s is not None and s[0] == "mm2" and s[1] <= token.value <= s[2] for s in sizes], dtype=bool)
        reading.hold("size", f"{token.value:g} mm2", mask)
        column, held = "stud", np.array([value == f"M{token.high:g}" for value in block.words["stud"]], dtype=bool)
    if held is None or vague or (kind in ("block", "surface", "dims in inches") and not held.any()):
        _unexplained(reading, token)
    else:
        reading.hold(column, token.text, held)


AC_VOLTAGES = (230.0, 400.0, 500.0, 690.0)
"""Rated ac voltages of gG fuse-links; key iec-60269-1, from memory. They print these, and the tables hold what they break in dc."""


def _printed_for_ac(reading, token, tokens):
    """Rows of a fuse that is said to be gG, whose printed ac voltage is above what the tables give it for dc."""
    import numpy as np

    words = {t.text.casefold() for t in tokens if isinstance(t, Word)}
    for_dc = token.text.casefold().replace(".", "").endswith(("dc", "=")) or words & {"dc", "d", "pv", "solar"}
    if reading.family != "fuses" or "gg" not in words or for_dc or token.value not in AC_VOLTAGES:
        return np.zeros(len(reading.block), dtype=bool)
    classes = [(name or "").endswith(" gG") for name in reading.block.words["class"]]
    held = np.array(classes, dtype=bool) & (reading.block.columns["voltage_rating_v"] < token.value)
    if (held & reading.mask).any():
        reading.remarks.append(
            f"'{token.text}' is taken as its ac voltage: in dc it breaks no more than the tables say."
        )
    return held


def _in_keys(block, pattern):
    import numpy as np

    return np.array([re.search(pattern, key) is not None for key in block.keys], dtype=bool)


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


def named_measure(reading, token, before):
    """A figure behind the word for what it measures: ``bore 17``, ``stand-off 33 V``. Whether it was one."""
    if not isinstance(before, Word) or not isinstance(token.value, float):
        return False
    what = before.means("measure", reading.family)
    if what is None:
        return False
    suffix, value = {"mm": ("_m", token.value / 1000), "number": ("_m", token.value / 1000),
                     "voltage": ("_v", token.value)}.get(token.kind, ("", 0.0))  # fmt: skip
    column = snake(what) + suffix
    if not suffix:
        return False
    columns = reading.block.columns
    if column not in columns and suffix == "_m":
        return False
    if column not in columns:
        least, greatest = columns.get(f"least_{column}"), columns.get(f"greatest_{column}")
        if least is None or greatest is None:
            _unexplained(reading, token)
        else:
            reading.hold(column, token.text, (least <= value) & (value <= greatest))
        return True
    reading.hold(column, token.text, _close(reading.block.columns[column], value, _SAME_MEASURE))
    return True


def _count(reading, token, before, after, tokens):
    """Numbers of pieces; a bare number is one only where nothing else it could be."""
    value = token.value
    if token.kind in ("count", "times") or (
        token.kind in ("bracketed", "trailing")
        and reading.shape.counted
        and not (token.kind == "trailing" and _may_be_rated(reading, value))
    ):
        reading.quantities.add(value)
        if token.kind in ("bracketed", "trailing"):
            reading.remarks.append(f"{token.text} is taken as the number of pieces.")
        return
    if named_measure(reading, token, before):
        return
    if isinstance(before, Word) and value is not None and _designation(reading, token, before):
        return
    whole = value is not None and value == int(value) and 0 < value < 10_000 and token.text.isdigit()
    of_pieces = isinstance(after, Word) and (
        after.means("condition") is not None or any(m[:2] == (reading.family, "family") for m in after.meanings)
    )
    if whole and reading.shape.lengthy and _of_lengths(reading, token, tokens):
        reading.quantities.add(int(value))
        return
    bars = "bars" in reading.block.columns
    if whole and (reading.shape.counted or bars) and ((token is tokens[0] and len(tokens) > 1) or of_pieces):
        reading.quantities.add(int(value))
        reading.remarks.append(f"{token.text} is taken as the number of pieces.")
        return
    _unexplained(reading, token)


def _of_lengths(reading, token, tokens):
    """``2 runs of 1.6 m``: a number, a word for pieces of any kind, a word for each, a length. Whether it is so."""
    following = tokens[tokens.index(token) + 1 :][:1]
    if any(isinstance(t, Figure) and t.kind == "length" and t.text.casefold().startswith("ring") for t in following):
        return True
    noun, link, figure = (tokens[tokens.index(token) + 1 :] + [None] * 3)[:3]
    if not isinstance(noun, Word) or getattr(figure, "kind", "") not in (
        "length",
        "feet",
        "feet and inches",
        "mm",
        "inches",
    ):
        return False
    linked = isinstance(link, Word) and (
        link.means("each") or squashed(link.text) in ("of", "a", "de", "da", "van", "di", "zu")
    )
    plain = all(column in ("filler", "remainder") for _, column, _ in noun.meanings)
    if linked and plain:
        reading.nouns.add(noun)
    return bool(linked and plain)


def _may_be_rated(reading, value):
    """Whether a bare number may be a voltage, a current or a drop that the description does not give otherwise."""
    import numpy as np

    scales = {"voltage": 1.0, "current": 1.0, "millivolts": 1e-3}
    return any(
        not any(
            column == one or {column, one} <= set(group)
            for group in (*reading.shape.needed, ())
            for one in reading.columns_said
        )
        and np.isclose(reading.block.columns[column], value * scales[kind]).any()
        for kind, column in reading.shape.figures.items()
        if kind in scales and column in reading.block.columns
    ) or (reading.family == "fuses" and "voltage_rating_v" not in reading.columns_said and value in AC_VOLTAGES)


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
    if getattr(before, "kind", "") == "times" and before.value != 1 and not reading.shape.counted:
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


def read_stud(reading, token):
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


def _dimensions(reading, token, context, tokens):
    """``5x20`` is a body where a key or a bar has it; elsewhere pieces times a width. None where it was taken so."""
    import numpy as np

    if token.value is None or token.high is None:
        _unexplained(reading, token)
        return None
    block, first, second = reading.block, token.value, token.high
    if token.kind == "dims in inches":
        return np.array([_bodies_agree(key, first, second) for key in block.keys], dtype=bool)
    named = np.array([f"{first:g}x{second:g}" in str(key).casefold() for key in block.keys], dtype=bool)
    if named.any():
        return named
    if first == 1 and _single_core(reading, token, second, tokens):
        return None
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


def _bodies_agree(key, first, second):
    """Whether a key has a body of these two measures in millimetres, within what a name in inches rounds off."""
    match = re.search(r"([\d.]+)x([\d.]+)", key)
    own = sorted(map(float, match.groups())) if match else ()
    return len(own) == 2 and all(
        abs(a - b) <= _SAME_WIDTH * b for a, b in zip(own, sorted((first, second)), strict=True)
    )


def _single_core(reading, token, area, tokens):
    """``1x10`` beside the code of a wire: one core of 10 mm2. Whether it was taken so."""
    coded = any(
        isinstance(t, Word) and t.means("insulation", "wires") and re.match(r"H0\d", t.text, re.I) for t in tokens
    )
    if reading.family != "wires" or not coded:
        return False
    return _size(reading, replace(token, kind="area", value=area, high=None), None, tokens)


def read_widths(reading):
    """Figures in mm or inches: the bore of a sleeve, the length of a piece, or nothing that can be told."""
    metres = [(token, _in_metres(token), context) for token, context in reading.widths]
    across = reading.shape.across
    for token, value, context in metres:
        if value is not None and not across and token.kind == "mm" and reading.shape.counted and (
            (held := _in_keys(reading.block, rf"(?:\b|x){token.value:g} mm\b|x{token.value:g}\b")).any()
            and "long" not in context
        ):  # fmt: skip
            reading.hold("kind", token.text, held)
        elif value is None or not (across or reading.shape.lengthy):
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
        widths = reading.block.columns.get("width_m")
        if widths is not None and value > float(np.nanmax(widths)):
            reading.lengths.append((value, token.text))
        else:
            _unexplained(reading, token)
    elif "diameter" in context:
        reading.hold("outer_diameter_m", token.text, _close(diameters, value, _NEAR_DIAMETER))
    elif "size" in reading.columns_said and value > 2 * float(np.nanmax(diameters)):
        reading.lengths.append((value, token.text))
    else:
        reading.doubts.append(f"'{token.text}' may be an area, a diameter or a length: write mm2, 'diameter' or 'long'")
