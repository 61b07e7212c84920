"""The figures in a description: sizes, areas, ratings, lengths and counts, each with what it is a figure of."""

import math
import re
import unicodedata
from dataclasses import dataclass

from selector.numerals import tidy

_PLAIN = r"(?:\d+(?:[.,]\d+)*|[.,]\d+)"
_FRACTION = r"(?:\d{1,4}[ -]\d{1,4}/\d{1,4}|\d{1,4}/\d{1,4})"
_ANY = rf"(?:{_FRACTION}|{_PLAIN})"
_SIZE = r"(?:[1-6]/0|0{1,4}|\d{1,2})"
_GAUGE = r"(?:awg|ga|gauge|gage|jauge|calibre)"
_TO = r"\s*(?:-|to|bis|\.\.|–)\s*"
_END = r"(?![A-Za-z0-9])"
_AREA = (
    r"(?:mm2|mm\^2|sq\.?\s?mm|mm\.?\s?sq|q\s?mm|mm\s?q|mm\s?carres?|mm\s?quadrati?|mm\s?cuadrados|mm\s?quadri"
    r"|quadratmillimeter|square\s(?:mm|millimet(?:er|re)s?)|vierkante\smm)"
)
_METRES = {"m": 1.0, "mtr": 1.0, "mtrs": 1.0, "mt": 1.0, "meter": 1.0, "meters": 1.0, "metre": 1.0, "metres": 1.0,
           "metro": 1.0, "metros": 1.0, "metri": 1.0, "cm": 0.01, "centimetre": 0.01, "centimetres": 0.01,
           "centimeter": 0.01, "centimeters": 0.01, "km": 1000.0, "yd": 0.9144, "yard": 0.9144, "yards": 0.9144,
           "dm": 0.1}  # fmt: skip
_FOOT = r"(?:ft\.?|foot|feet|fuss|pieds?|pies|piedi|voet|')"
_INCH = r"(?:in\.?|inch|inches|zoll|pouces?|pulgadas?|pollic[ei]|duim|\"|'')"
_PIECES = (
    r"(?:pcs?\.?|pces?|off|st\.|stk\.?|stuecke?|stucke?|stuks?|units?|uds?\.?|unidades|pezzi|pezzo|pz\.?|piezas?|pieces?"
    r"|ea|each|nos)"
)
_QUANTITY = r"(?:qty|quantity|menge|anzahl|qte|quantite|cantidad|quantita|aantal)"
_LENGTH = rf"(?:{'|'.join(sorted(_METRES, key=len, reverse=True))}|mm|{_FOOT}|{_INCH})"
_HELD = r"(?:box|bag|pack|packet|strip|card|set)"
"""Words for what pieces come in: the number behind ``of`` counts them, unless a unit or another figure goes on with it."""
_NOT_A_COUNT = (
    rf"(?![\w/]|[.,]\d|\s*(?:-|to\b|x|/|:|°|\.\.|\d+/)|\s*(?:{_AREA}|{_GAUGE}|kcmil|mcm|{_LENGTH}|[km]?[avw]|volts?|amps?"
    rf"|amperes?|watts?|ohms?|deg|degc|[cf]|celsius|fahrenheit|grad|circuits?|poles?|cores?|ways?|conductors?){_END})"
)
_TERMINAL_RANGE = r"(?:(?P<a>22)-(?P<b>18)|(?P<c>16)-(?P<d>14)|(?P<e>12)-(?P<f>10))"
"""The three ranges terminals are sold in; no area in mm2 is written so, as sizes in mm2 rise and these fall."""
_NO_UNIT = rf"(?!\s*(?:{_AREA}|{_GAUGE}|kcmil|(?!mm){_LENGTH}|[av]|amps?|pcs){_END})"

PATTERNS = tuple(
    (kind, re.compile(pattern, re.IGNORECASE))
    for kind, pattern in (
        ("feet and inches", rf"(?P<a>{_PLAIN})\s*{_FOOT}\s*(?:and\s+)?(?P<b>{_ANY})\s*(?:{_INCH}{_END}|(?<=\d)(?!\S))"),
        ("gauge range", rf"(?:awg\s*)?(?P<a>{_SIZE})\s*(?:awg\s*)?{_TO}(?P<b>{_SIZE})\s*{_GAUGE}{_END}"),
        ("gauge range", rf"(?P<a>\d\d)/(?P<b>\d\d)\s*{_GAUGE}{_END}"),
        ("gauge range", rf"awg\s*(?P<a>{_SIZE}){_TO}(?P<b>{_SIZE}){_END}"),
        ("gauge", rf"(?:(?:no|nr)\.?\s*|#\s*)?(?P<a>{_SIZE})\s*-?\s*{_GAUGE}{_END}"),
        ("gauge", rf"{_GAUGE}[\s.:]*(?:(?:no|nr)\.?\s*|#\s*)?(?P<a>{_SIZE})(?![\w.,/]?\d|[A-Za-z])"),
        ("terminal range", rf"{_TERMINAL_RANGE}{_NOT_A_COUNT}(?!-)"),
        ("count", rf"{_HELD}\s+of\s+(?P<b>\d{{1,6}}){_NOT_A_COUNT}"),
        ("kcmil", rf"(?P<a>\d+)\s*(?:kcmil|mcm){_END}"),
        ("gauge", r"(?P<a>[1-6]/0|0{2,4})(?![.,/]?\d|[A-Za-z])"),
        ("area", rf"(?P<a>{_PLAIN})(?:{_TO}(?P<b>{_PLAIN}))?\s*{_AREA}{_END}"),
        ("ratio", rf"(?P<a>{_PLAIN})\s*(?::|\bto\b)\s*(?P<b>1){_END}(?![.,:]\d)"),
        ("thermal", rf"(?P<a>{_PLAIN})\s*(?:k|°\s?c|degc)/w{_END}"),
        ("speed", rf"(?P<a>{_PLAIN})\s*m/s{_END}"),
        ("temperature", rf"(?P<a>-?{_PLAIN})\s*(?:°|deg\.?|degrees?|grad)?\s*(?P<u>celsius|fahrenheit|c|f){_END}(?!/)"),
        ("temperature", rf"(?P<a>-?{_PLAIN})\s*grad{_END}"),
        ("voltage", rf"(?P<a>{_PLAIN})(?:\s*/\s*(?P<b>{_PLAIN}))?\s*(?P<u>kv|v|volts?|voltios?)(?:\s?(?:dc|ac|=))?{_END}"),
        ("millivolts", rf"(?P<a>{_PLAIN})\s*(?P<u>mv){_END}"),
        ("current", rf"(?P<a>{_PLAIN})\s*(?P<u>ka|ma|a|amps?|amperes?|amperios?|amperios){_END}"),
        ("power", rf"(?P<a>{_PLAIN})\s*(?P<u>kw|w|watts?){_END}"),
        ("dims", rf"(?P<a>{_PLAIN})\s?x\s?(?P<b>{_PLAIN})(?![\d.,/]){_NO_UNIT}(?:\s*(?P<u>mm){_END})?"),
        ("count", rf"(?P<a>\d{{1,6}})\s*x(?=\s*\S)(?![A-Za-z])|(?P<b>\d{{1,6}})\s*{_PIECES}{_END}|{_QUANTITY}[.:\s]*(?P<c>\d{{1,6}}){_END}"),
        ("count", r"(?P<a>\d{1,6})\s*x(?=[A-Za-z#])|(?<![\w.])x\s?(?P<b>\d{1,6})(?![\w/]|[.,]\d)"),
        ("before and after", rf"(?P<a>{_PLAIN})\s*/\s*(?P<b>{_PLAIN})\s*mm{_END}"),
        ("mm", rf"(?P<a>{_PLAIN})\s*(?:mm|millimet(?:er|re)s?|millimetri|milimetros){_END}"),
        ("length", rf"(?P<a>{_PLAIN})\s*(?P<u>{'|'.join(sorted(_METRES, key=len, reverse=True))}){_END}(?!\s?/)"),
        ("feet", rf"(?P<a>{_ANY})\s*{_FOOT}{_END}"),
        ("inches", rf"(?P<a>{_ANY})\s*{_INCH}{_END}"),
        ("curve", r"(?P<u>[BCDKZ])(?:\s?(?P<a>\d{1,3})\s?A|(?P<b>\d{1,3}))(?![\w.])"),
        ("thread", r"M\s?(?P<a>\d{1,2}(?:[.,]5)?)(?![\w/]|[.,]\d)"),
        ("fraction", rf"(?P<a>{_FRACTION})(?![\w/])"),
        ("hash", r"(?:#\s?|(?:no|nr)\.?\s?|n°\s?)(?P<a>\d{1,2})(?![\w/]|[.,]\d)"),
    )
)  # fmt: skip
LAST_PATTERNS = tuple(
    (kind, re.compile(pattern))
    for kind, pattern in (
        ("code", r"[A-Za-z]+[-/.]?\d[\w./-]*|\d+(?:[.,]\d+)?[A-Za-z][\w/-]*"),
        ("number", rf"(?P<a>[-+]?{_ANY})"),
        ("word", r"[^\W\d_]+(?:['-][^\W\d_]+)*"),
        ("doubt", r"[?]"),
        ("roughly", r"[~≈±]"),
        ("sign", r"[^\s\w,;.()\[\]\-–—+/:&*'\"!|]"),
    )
)


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
    for old, new in (("º", "°"), ("˚", "°"), ("ß", "ss"), ("×", "x"), ("–", "-"), ("—", "-"), ("ø", " diameter "),
                     ("Ø", " diameter "), ("⌀", " diameter "), ("#", "#"), ("`", "'"), ("´", "'")):  # fmt: skip
        text = text.replace(old, new)
    apart = unicodedata.normalize("NFKD", text)
    return " ".join("".join(c for c in apart if not unicodedata.combining(c)).split())


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


_SCALES = {"ka": 1e3, "ma": 1e-3, "kv": 1e3, "mv": 1e-3, "kw": 1e3}


def figure(kind, match, text):
    """The figure a match of one of the patterns stands for."""
    groups = {name: value for name, value in match.groupdict().items() if value is not None}
    first, second, unit = groups.get("a"), groups.get("b"), (groups.get("u") or "").casefold()
    value = high = None
    if kind in ("gauge", "gauge range"):
        kind, value, high = "gauge", gauge(first), gauge(second) if second else None
    elif kind == "terminal range":
        kind, (value, high) = "gauge", groups.values()
    elif kind == "count":
        value = int(first or second or groups["c"])
        kind = "times" if first else "count"
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
    return value * {"feet": 0.3048, "inches": 0.0254}.get(kind, _METRES.get(unit, 1.0))


def _kelvin(value, unit):
    if value is None:
        return None
    return (value - 32) / 1.8 + 273.15 if unit.startswith("f") else value + 273.15
