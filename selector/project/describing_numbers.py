"""The figures in a description: sizes, areas, ratings, lengths and counts, each with what it is a figure of."""

import math
import re
import unicodedata
from dataclasses import dataclass

from selector.numerals import tidy
from selector.project.describing_patterns import LARGE_NUMBER, METRES, NUMBER_WORD


@dataclass(frozen=True)
class Figure:
    """One figure of a description: what it is of, its value (None where it can be read two ways) and its text."""

    kind: str
    value: object
    text: str
    start: int
    end: int
    high: object = None


def flat(text):
    """A description in plain letters: no accents, powers and fractions as typed on a keyboard.

    >>> flat("câble étamé 6 mm², ½ in, 105 °C"), flat("weiß")
    ('cable etame 6 mm2, 1/2 in, 105 °C', 'weiss')
    """
    text = re.sub(r"\s*²", "2", tidy(str(text)))
    text = re.sub(r"(?<![\w.,])([13])\s?~(?=\s|$)", r"\1-phase", text)
    for old, new in (("º", "°"), ("˚", "°"), ("ß", "ss"), ("œ", "oe"), ("Œ", "Oe"), ("æ", "ae"), ("×", "x"), ("–", "-"), ("—", "-"), ("ø", " diameter "),
                     ("Ø", " diameter "), ("⌀", " diameter "), ("#", "#"), ("`", "'"), ("´", "'")):  # fmt: skip
        text = text.replace(old, new)
    apart = unicodedata.normalize("NFKD", text)
    text = " ".join("".join(c for c in apart if not unicodedata.combining(c)).split())
    for pattern in (NUMBER_WORD, LARGE_NUMBER):
        text = pattern.sub(lambda match: next(k[1:] for k, v in match.groupdict().items() if v), text)
    return text


def number(text):
    """A number as written with point or comma; None where it may be thousands or a fraction: ``1,500``.

    >>> number("6,0"), number("1 1/2"), number("1,500"), number("0.500")
    (6.0, 1.5, None, 0.5)
    """
    text = text.strip()
    if "/" in text:
        whole, _, part = text.replace("-", " ").rpartition(" ")
        above, _, below = part.partition("/")
        return None if int(below) == 0 else (int(whole) if whole else 0) + int(above) / int(below)
    if re.fullmatch(r"-?[1-9]\d{0,2}[.,]\d{3}", text) or len(re.findall("[.,]", text)) > 1:
        return None
    value = float(text.replace(",", "."))
    return value if math.isfinite(value) else None


def gauge(text):
    """A gauge size as the tables write it: ``8``, ``2/0``; ``0`` and ``00`` are 1/0 and 2/0.

    >>> gauge("00"), gauge("08"), gauge("1/0")
    ('2/0', '8', '1/0')
    """
    if set(text) == {"0"}:
        return f"{len(text)}/0"
    return text if "/" in text else str(int(text))


_SCALES = {"ka": 1e3, "ma": 1e-3, "kv": 1e3, "mv": 1e-3, "millivolt": 1e-3, "millivolts": 1e-3, "kw": 1e3}


def figure(kind, match, text):
    """The figure a match of one of the patterns stands for."""
    groups: dict[str, str] = {name: value for name, value in match.groupdict().items() if value is not None}
    first, second, unit = groups.get("a", ""), groups.get("b", ""), groups.get("u", "").casefold()
    value = high = None
    if kind in ("gauge", "gauge range"):
        kind, value, high = "gauge", gauge(first), gauge(second) if second else None
    elif kind == "terminal range":
        kind, (value, high) = "gauge", groups.values()
    elif kind == "count":
        value = int(first or second or groups["c"])
        kind = "times" if first else "count"
    elif kind == "number word":
        kind, value = "count", int(next(iter(groups))[1:])
    elif kind in ("bracketed", "trailing"):
        value = int(first)
    elif kind == "coil":
        kind, value = "length", number(first or second)
    elif kind == "and a half":
        kind, value = "length", int(first or 0) + 0.5
    elif kind == "packs":
        kind, value = "count", int(first) * int(second)
    elif kind == "dozens":
        kind, value = "count", (6 if first.startswith("half") else 12 * int(first))
    elif kind == "metres and centimetres":
        kind, value = "length", int(first) + int(second) / 100
    elif kind == "bare area range":
        kind, value, high = "area", number(first), number(second)
    elif kind == "block":
        value = tuple(number(one) for one in (first, second, groups["c"]))
    elif kind == "dims in inches":
        value, high = 25.4 * (number(first) or math.nan), 25.4 * (number(second) or math.nan)
    elif kind == "size and stud":
        value, high = float(first), float(second)
    elif kind in ("fraction", "kcmil", "hash", "thread"):
        value = first
    elif kind in ("feet and inches", "feet", "inches", "length"):
        value = _length(kind, number(first), number(second) if second else 0.0, unit)
    else:
        value, high = number(first) if first else None, number(second) if second else None
        scale = _SCALES.get(unit, 1.0)
        value = None if value is None else value * scale
        if kind == "temperature":
            value = _kelvin(value, unit)
        elif kind == "current" and unit == "ka":
            kind = "breaking"
        elif kind == "curve":
            value, high = (groups["u"].upper(), number(first or second)), None
    return Figure(kind, value, match[0].strip(), match.start(), match.end(), high)


def _length(kind, value, more, unit):
    if value is None or more is None:
        return None
    if kind == "feet and inches":
        return value * 0.3048 + more * 0.0254
    return value * {"feet": 0.3048, "inches": 0.0254}.get(kind, METRES.get(unit, 1.0))


def _kelvin(value, unit):
    if value is None:
        return None
    return (value - 32) / 1.8 + 273.15 if unit.startswith("f") else value + 273.15
