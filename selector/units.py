"""Units of headers and cells.

Inside the program a value stands in the inner unit of its dimension and its name ends in that unit. Everything else
(feet, mils, degC, percent) lives in headers, cells and reports, and passes through here. The table is plain, so that
reading a project needs no unit library; a test holds it to one.
"""

import functools
import math
import re
import unicodedata
from dataclasses import dataclass

from selector.errors import UnitError, nearest, quoted
from selector.numerals import GRAMMAR, LARGEST, not_a_number, parse_number, tidy


@dataclass(frozen=True)
class Unit:
    """A unit: ``inner = value * scale + offset``."""

    name: str
    dimension: str
    scale: float
    offset: float
    inner: str

    def to_inner(self, value):
        """The value in the inner unit of this dimension, to 15 digits: 3/8 in and 9.525 mm are the same length."""
        if self.scale == 1.0 and not self.offset:
            return float(value)
        return float(f"{value * self.scale + self.offset:.15g}")

    def from_inner(self, value):
        """The value, given in the inner unit, in this unit."""
        if self.offset:
            return round((value - self.offset) / self.scale, 10)
        return float(f"{value / self.scale:.15g}")


_FT, _LBF, _G = 0.3048, 4.4482216152605, 9.80665
_MIL_AREA = math.pi / 4 * 0.0254**2  # a circular mil in mm2

# dimension: (ending of a column name, inner unit, {unit: scale to the inner unit})
_TABLE = {
    "length": ("m", "m", {"m": 1, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "um": 1e-6, "in": 0.0254, "ft": _FT,
                          "yd": 0.9144, "mil": 2.54e-5}),
    "area": ("mm2", "mm2", {"mm2": 1, "cm2": 100, "m2": 1e6, "in2": 645.16, "cmil": _MIL_AREA,
                            "kcmil": 1000 * _MIL_AREA}),
    "temperature": ("k", "K", {}),
    "temperature difference": ("k", "K", {"K": 1}),
    "current": ("a", "A", {"A": 1, "mA": 1e-3, "uA": 1e-6, "kA": 1e3}),
    "voltage": ("v", "V", {"V": 1, "mV": 1e-3, "uV": 1e-6, "kV": 1e3}),
    "power": ("w", "W", {"W": 1, "mW": 1e-3, "kW": 1e3, "MW": 1e6}),
    "energy": ("j", "J", {"J": 1, "mJ": 1e-3, "kJ": 1e3, "Wh": 3600, "kWh": 3.6e6}),
    "resistance": ("ohm", "ohm", {"ohm": 1, "mohm": 1e-3, "uohm": 1e-6, "kohm": 1e3}),
    "resistance per length": ("ohm_per_m", "ohm/m", {
        "ohm/m": 1, "ohm/km": 1e-3, "mohm/m": 1e-3, "mohm/km": 1e-6, "uohm/m": 1e-6, "ohm/ft": 1 / _FT,
        "mohm/ft": 1e-3 / _FT, "ohm/kft": 1e-3 / _FT, "mV/A/m": 1e-3}),
    "resistivity": ("ohm_mm2_per_m", "ohm mm2/m", {"ohm mm2/m": 1, "ohm m": 1e6, "uohm cm": 1e-2, "nohm m": 1e-3,
                                                   "uohm m": 1}),
    "time": ("s", "s", {"s": 1, "ms": 1e-3, "us": 1e-6, "ns": 1e-9, "min": 60, "h": 3600}),
    "frequency": ("hz", "Hz", {"Hz": 1, "kHz": 1e3, "MHz": 1e6}),
    "rotation": ("rpm", "rpm", {"rpm": 1}),
    "speed": ("m_per_s", "m/s", {"m/s": 1, "km/h": 1 / 3.6, "kn": 1852 / 3600, "ft/min": _FT / 60, "ft/s": _FT,
                                 "mph": 0.44704}),
    "i2t": ("a2s", "A2 s", {"A2 s": 1, "kA2 s": 1e6}),
    "charge": ("ah", "Ah", {"Ah": 1, "mAh": 1e-3}),
    "inductance": ("h", "H", {"H": 1, "mH": 1e-3, "uH": 1e-6}),
    "capacitance": ("f", "F", {"F": 1, "mF": 1e-3, "uF": 1e-6, "nF": 1e-9}),
    "ratio": ("", "", {"%": 1e-2}),
    "number": ("", "", {"": 1}),
    "mass": ("kg", "kg", {"kg": 1, "g": 1e-3, "lb": 0.45359237}),
    "mass per length": ("kg_per_m", "kg/m", {"kg/m": 1, "kg/km": 1e-3, "g/m": 1e-3}),
    "density": ("kg_per_m3", "kg/m3", {"kg/m3": 1, "g/cm3": 1000}),
    "force": ("n", "N", {"N": 1, "kN": 1000, "lbf": _LBF, "kgf": _G}),
    "torque": ("n_m", "N m", {"N m": 1, "lb-in": _LBF * 0.0254, "lb-ft": _LBF * _FT}),
    "pressure": ("pa", "Pa", {"Pa": 1, "kPa": 1000, "MPa": 1e6, "hPa": 100}),
    "thermal conductivity": ("w_per_m_k", "W/(m K)", {"W/(m K)": 1}),
    "film coefficient": ("w_per_m2_k", "W/(m2 K)", {"W/(m2 K)": 1}),
    "thermal resistance": ("k_per_w", "K/W", {"K/W": 1}),
    "thermal conductance": ("w_per_k", "W/K", {"W/K": 1}),
    "specific heat": ("j_per_kg_k", "J/(kg K)", {"J/(kg K)": 1, "kJ/(kg K)": 1000}),
    "per temperature": ("per_k", "1/K", {"1/K": 1, "%/K": 1e-2, "ppm/K": 1e-6}),
    "voltage per temperature": ("v_per_k", "V/K", {"V/K": 1, "mV/K": 1e-3}),
    "current density": ("a_per_mm2", "A/mm2", {"A/mm2": 1}),
    "adiabatic constant": ("a_root_s_per_mm2", "A s0.5/mm2", {"A s0.5/mm2": 1}),
}  # fmt: skip

_ALIASES = {
    "in": ("inch", "inches", '"'),
    "ft": ("foot", "feet", "'"),
    "mil": ("mils", "thou"),
    "m": ("metre", "metres", "meter", "meters"),
    "um": ("µm", "μm", "micron", "microns"),
    "mm2": ("mm^2", "mm²", "sq mm", "sqmm"),
    "cm2": ("cm^2", "cm²"),
    "m2": ("m^2", "m²"),
    "in2": ("in^2", "in²", "sq in"),
    "cmil": ("circular mil", "circular mils", "CM"),
    "kcmil": ("MCM",),
    "degC": ("°C", "ºC", "℃", "deg C", "° C"),
    "degF": ("°F", "ºF", "℉", "deg F", "° F"),
    "uA": ("µA", "μA"),
    "uV": ("µV", "μV"),
    "A": ("amp", "amps", "ampere", "amperes"),
    "V": ("volt", "volts"),
    "W": ("watt", "watts"),
    "ohm": ("Ω", "Ω", "ohms", "Ohm"),
    "mohm": ("mΩ", "mΩ", "milliohm", "milliohms"),
    "uohm": ("µohm", "μohm", "µΩ", "μΩ", "µΩ", "μΩ", "microhm"),
    "kohm": ("kΩ", "kΩ"),
    "ohm/km": ("Ω/km", "Ω/km", "mΩ/m", "mΩ/m"),
    "ohm/m": ("Ω/m", "Ω/m"),
    "ohm/kft": ("Ω/kft", "Ω/kft", "ohm/1000 ft", "Ω/1000 ft"),
    "mV/A/m": ("mV/(A m)",),
    "s": ("sec", "second", "seconds"),
    "us": ("µs", "μs"),
    "min": ("minute", "minutes"),
    "h": ("hr", "hour", "hours"),
    "rpm": ("r/min", "1/min", "rev/min"),
    "kn": ("knot", "knots", "kt"),
    "km/h": ("kph", "kmh"),
    "ft/min": ("fpm",),
    "A2 s": ("A2s", "A²s", "A² s", "A^2 s"),
    "kA2 s": ("kA2s", "kA²s", "kA² s"),
    "uH": ("µH", "μH"),
    "uF": ("µF", "μF"),
    "%": ("percent", "per cent", "pct"),
    "N m": ("Nm", "N·m", "N-m"),
    "lb-in": ("lbf in", "lbf-in", "lb in", "in-lb", "in lb", "in-lbf", "in lbf"),
    "lb-ft": ("lbf ft", "lbf-ft", "lb ft", "ft-lb", "ft lb", "ft-lbf", "ft lbf"),
    "W/(m K)": ("W/m K", "W/mK", "W/m/K", "W/(m·K)"),
    "W/(m2 K)": ("W/m2 K", "W/m2K", "W/m2/K", "W/(m²·K)"),
    "K/W": ("degC/W", "°C/W"),
    "J/(kg K)": ("J/kg K", "J/kgK", "J/kg/K", "J/(kg·K)"),
    "kg/m3": ("kg/m^3", "kg/m³"),
    "g/cm3": ("g/cm^3", "g/cm³"),
    "1/K": ("1/degC", "1/°C", "/K"),
    "ohm mm2/m": ("Ω mm²/m", "Ω mm²/m", "ohm mm²/m"),
    "A s0.5/mm2": ("A s^0.5/mm2", "A s½/mm²", "A√s/mm²"),
}
_LOOSE_CASE = """degC degF in ft yd mil thou inch inches foot feet cmil kcmil ohm ohms ohm/km ohm/m Hz rpm A V W kV kW
    Ah Wh kWh min hr kg amp amps volt volts watt watts km/h knot knots m s m/s"""


def _units():
    units = {}
    for dimension, (_, inner, scales) in _TABLE.items():
        for name, scale in scales.items():
            units[name] = Unit(name, dimension, float(scale), 0.0, inner)
    units["degC"] = Unit("degC", "temperature", 1.0, 273.15, "K")
    units["degF"] = Unit("degF", "temperature", 5 / 9, 459.67 * 5 / 9, "K")
    for name, others in _ALIASES.items():
        for other in others:
            units[other] = units[name]
    return units


UNITS = _units()
"""Every accepted spelling -> its unit. ``find_unit`` reads more loosely (spaces, dots, powers)."""

SUFFIX = {dimension: suffix for dimension, (suffix, _, _) in _TABLE.items()}
"""Dimension -> what a column name of that dimension ends in."""

# The same word read as another dimension: kelvin as an absolute temperature, degC as a difference, % as a bare number.
_AS = {
    ("K", "temperature"): Unit("K", "temperature", 1.0, 0.0, "K"),
    ("degC", "temperature difference"): Unit("degC", "temperature difference", 1.0, 0.0, "K"),
    ("degF", "temperature difference"): Unit("degF", "temperature difference", 5 / 9, 0.0, "K"),
    ("%", "number"): Unit("%", "number", 0.01, 0.0, ""),
}
_NOT_UNITS = {
    "C": "C is the coulomb; for a temperature write degC.",
    "F": "For a temperature write degF, for a capacitance uF.",
    "AWG": "A wire size is not a quantity: write its area in mm2, or the size where a size is asked for.",
}


_KEY_BEFORE = {"√s": " s0.5", "½": "0.5", "º": "°", "˚": "°", "″": '"', "′": "'", "”": '"', "’": "'"}
_KEY_AFTER = {
    "μ": "u",
    "Ω": "ohm",
    "° ": "deg",
    "°": "deg",
    "**": "",
    "^": "",
    "·": " ",
    "⋅": " ",
    "*": " ",
    "×": " ",
    "–": "-",
}


def _unit_key(text):
    """One spelling for the many ways a unit is typed."""
    for old, new in _KEY_BEFORE.items():
        text = text.replace(old, new)
    text = unicodedata.normalize("NFKC", text)
    for old, new in _KEY_AFTER.items():
        text = text.replace(old, new)
    return re.sub(r" ?([/()]) ?", r"\1", " ".join(text.split()))


_BY_KEY = {_unit_key(name): unit for name, unit in UNITS.items()}
_SPACELESS = {key.replace(" ", ""): unit for key, unit in _BY_KEY.items() if " " in key}
_LOOSE = {name.casefold(): UNITS[name] for name in _LOOSE_CASE.split()}


def _look_up(text):
    """The unit a text names, or None."""
    key = _unit_key(text)
    return UNITS.get(text) or _BY_KEY.get(key) or _SPACELESS.get(key.replace(" ", "")) or _LOOSE.get(key.casefold())


@functools.lru_cache(maxsize=4096)
def find_unit(text, dimension=None):
    """The unit a text names, read as one of ``dimension`` where the word has two meanings.

    Raises ``UnitError`` for a word that is no unit, and for one of another dimension, naming both.

    >>> find_unit("mm²").name, find_unit("K", "temperature").dimension
    ('mm2', 'temperature')
    """
    text = text.strip()
    unit = _look_up(text)
    if unit is not None and unit.name == "F" and dimension in ("temperature", "temperature difference"):
        unit = None
    if unit is None:
        known = units_of(dimension) if dimension else ()
        remedy = _NOT_UNITS.get(text, "")
        if known:
            remedy = f"{remedy} Units of {dimension}: {', '.join(known)}.".strip()
        near = "" if text in _NOT_UNITS else nearest(text, known or list(UNITS))
        raise UnitError(f"{quoted(text)} is not a known unit", remedy, near)
    if dimension is None or unit.dimension == dimension:
        return unit
    if (unit.name, dimension) in _AS:
        return _AS[unit.name, dimension]
    raise UnitError(
        f"{quoted(text)} is a unit of {unit.dimension}, not of {dimension}",
        f"Write {' or '.join(units_of(dimension)[:3])}." if units_of(dimension) else "Write a number without unit.",
    )


def units_of(dimension):
    """Names of the units of a dimension, the usual ones first."""
    if dimension == "temperature":
        return ["degC", "degF", "K"]
    return [name for name in _TABLE.get(dimension, ("", "", {}))[2] if name]


def _as_unit(unit):
    if unit is None:
        return UNITS[""]
    return find_unit(unit) if isinstance(unit, str) else unit


@functools.lru_cache(maxsize=4096)
def fold(words):
    """Header words for comparing: no case, and spaces, underscores and hyphens alike."""
    return " ".join(re.sub(r"[\s_\-]+", " ", words.casefold()).split())


@functools.lru_cache(maxsize=4096)
def snake(words):
    """Header words as part of a name: lower case, everything but letters and digits an underscore."""
    return re.sub(r"[\W_]+", "_", words.casefold()).strip("_")


def column_name(words, dimension=None):
    """Inner name of a column: its words and the inner unit of its dimension.

    >>> column_name("resistance at 20 degC", "resistance per length")
    'resistance_at_20_degc_ohm_per_m'
    """
    suffix = SUFFIX[dimension] if dimension else ""
    return f"{snake(words)}_{suffix}" if suffix else snake(words)


def split_header(text):
    """Words and unit text of a header; the unit text is None where none stands.

    ``length [ft]``, ``length (ft)`` and ``length, ft`` are the same. Round brackets and a comma count only with a
    known unit behind them; square brackets always do.
    """
    text = " ".join(text.split())
    square = re.fullmatch(r"(.*?)\s*\[([^\[\]]*)\]", text)
    if square:
        return square[1], square[2].strip() or None
    starts = [m.start() for m in re.finditer(r"\(", text)] if text.endswith(")") else []
    for words, unit in [(text[:i], text[i + 1 : -1]) for i in starts] + [tuple(text.rpartition(",")[::2])]:
        if words.strip() and unit.strip() and _look_up(unit.strip()):
            return words.strip(), unit.strip()
    return text, None


def header(text):
    """Words and unit of a header; raises ``UnitError`` for an unknown unit in square brackets.

    >>> words, unit = header("length [ft]")
    >>> words, unit.name
    ('length', 'ft')
    """
    words, unit = split_header(text)
    return words, None if unit is None else find_unit(unit)


_STRAY = re.compile(r"""[xX'"] ?\d|to ?\d""")


def _split_quantity(text, decimal):
    """Number and unit text of one quantity."""
    match = GRAMMAR[decimal].match(text)
    if match is None:
        raise not_a_number(text, decimal)
    rest = text[match.end() :].strip()
    if rest and (_STRAY.match(rest) or not re.match(r"[^\W\d_]|[%\"'°º˚℃℉√]|1/|/K", rest)):
        raise not_a_number(text, decimal)
    return parse_number(text[: match.end()], decimal), rest


def parse_quantity(text, unit, decimal="."):
    """A cell as ``(low, high)`` in inner units: ``12``, ``12 ft``, ``3/8 in``, ``60..80``, ``60..80 degC``.

    Low and high are equal for one number. The cell's own unit wins over ``unit`` (the header's); one of another
    dimension raises ``UnitError`` naming both.

    >>> parse_quantity("10 ft", "m")
    (3.048, 3.048)
    """
    unit, text = _as_unit(unit), tidy(text)
    if "..." in text:
        raise UnitError(f"{quoted(text)} is not a range", "Write a range with two points: 60..80.")
    first, dots, second = text.partition("..")
    low, low_unit = _split_quantity(first.strip(), decimal)
    high, high_unit = _split_quantity(second.strip(), decimal) if dots else (low, low_unit)
    own = high_unit or low_unit
    last = find_unit(own, unit.dimension) if own else unit
    start = find_unit(low_unit, unit.dimension) if low_unit else last
    ends = _checked(start.to_inner(low), unit, text), _checked(last.to_inner(high), unit, text)
    if ends[0] > ends[1]:
        raise UnitError(f"{quoted(text)} runs backwards", "Write the lower value first: 60..80.")
    return ends


def _checked(value, unit, text):
    if not abs(value) <= LARGEST:
        raise UnitError(f"{quoted(text)} is too large", f"Write a value up to {LARGEST:g}.")
    if unit.dimension == "temperature" and value < 0:
        if value > -1e-9:  # what rounding leaves of -459.67 degF
            return 0.0
        raise UnitError(f"{quoted(text)} is below absolute zero", "Write a temperature above -273.15 degC.")
    return value


def show(value, unit):
    """A value given in the inner unit, in ``unit``; None stays None.

    >>> show(3.048, "ft")
    10.0
    """
    return None if value is None else _as_unit(unit).from_inner(value)


@functools.cache
def registry():
    """The program's one unit registry; loads pint."""
    import pint

    made = pint.UnitRegistry()
    for area in ("mm2 = millimeter ** 2", "cm2 = centimeter ** 2", "m2 = meter ** 2", "A2 = ampere ** 2"):
        made.define(area)
    return made


# Inner units as the registry spells them, where that is not simply the name.
_REGISTRY_NAMES = {
    "K": "kelvin",
    "ohm mm2/m": "ohm * mm2 / m",
    "A2 s": "A2 * s",
    "Ah": "ampere * hour",
    "": "dimensionless",
    "kg/m3": "kg / m ** 3",
    "N m": "N * m",
    "W/(m K)": "W / m / K",
    "W/(m2 K)": "W / m ** 2 / K",
    "J/(kg K)": "J / kg / K",
    "A s0.5/mm2": "A * s ** 0.5 / mm2",
}


def quantity(value, unit):
    """A value in ``unit`` as a quantity of the registry in the inner unit, for tests of dimensions."""
    unit = _as_unit(unit)
    return registry().Quantity(unit.to_inner(value), _REGISTRY_NAMES.get(unit.inner, unit.inner))
