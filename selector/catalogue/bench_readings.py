"""Bench readings as people write them: ``0 A at 20 V; 0.1 A at 27 V; forward 0.55 V at 10 mA``."""

import re
from dataclasses import dataclass

from selector.errors import UnitError, quoted
from selector.numerals import GRAMMAR, parse_number, tidy
from selector.units import find_unit

_EXAMPLE = "Write a current and a voltage, such as 0.1 A at 27 V or forward 0.55 V at 10 mA."
_DIRECTION = re.compile(r"(forward|reverse)\b[\s:]*", re.I)
_BELOW = re.compile(r"(?:<|less than\b|below\b|under\b)\s*", re.I)
_AT = re.compile(r"\s+at\s+|\s*@\s*", re.I)
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?!\d)")
LARGEST = 1e4
"""Greatest current and voltage taken for a reading [A], [V]."""
LEAST_REVERSE_V = 2.0
"""Below this a current without a word for its direction could be a forward drop; nothing here breaks down so low."""


@dataclass(frozen=True)
class Reading:
    """One reading.

    text : as written
    current_a : what flowed; with ``below``, what it stayed under, 0 where the meter showed nothing
    voltage_v : over the part
    forward : in the direction a diode conducts
    below : the current is an upper bound
    """

    text: str
    current_a: float
    voltage_v: float
    forward: bool = False
    below: bool = False


def parse_readings(text):
    """The readings of a text, parted by semicolons or line ends.

    Decimal points and commas are both read. Raises `UnitError` with what was found and what would be right.

    >>> [(r.current_a, r.voltage_v) for r in parse_readings("0 A at 20 V; 1 mA at 33,5 V")]
    [(0.0, 20.0), (0.001, 33.5)]
    """
    pieces = [tidy(piece) for piece in re.split(r"[;\n\r]+", text)]
    readings = [_reading(piece) for piece in pieces if piece]
    if not readings:
        raise UnitError("no reading is there", _EXAMPLE)
    return readings


def _reading(piece):
    rest, direction = piece, ""
    if match := _DIRECTION.match(rest):
        direction, rest = match[1].casefold(), rest[match.end() :]
    halves = _AT.split(rest)
    if len(halves) > 2:
        raise UnitError(f"{quoted(piece)} holds more than one reading", "Put a semicolon between readings.")
    if len(halves) < 2 or not all(half.strip() for half in halves):
        raise UnitError(f"{quoted(piece)} is not a reading", _EXAMPLE)
    found, below = {}, False
    for half in halves:
        match = _BELOW.match(half)
        value, unit = _quantity(half[match.end() :].strip() if match else half.strip(), piece)
        if unit.dimension in found:
            raise UnitError(f"{quoted(piece)} holds two of {unit.dimension}", _EXAMPLE)
        if match and unit.dimension != "current":
            raise UnitError(f"{quoted(piece)} gives no voltage", "Write which current was not reached: < 1 mA at 20 V.")
        below |= match is not None
        found[unit.dimension] = unit.to_inner(value)
        if found[unit.dimension] > LARGEST:
            raise UnitError(
                f"{quoted(half)} in {quoted(piece)} is no bench reading", f"Write up to {LARGEST:g} A or V."
            )
    current_a, voltage_v = found["current"], found["voltage"]
    if below and current_a == 0:
        raise UnitError(f"{quoted(piece)} is below nothing", "Write 0 A, or the least current the meter shows.")
    if not direction and not below and current_a > 0 and voltage_v < LEAST_REVERSE_V:
        raise UnitError(f"{quoted(piece)} does not say its direction", f"Write forward {piece} or reverse {piece}.")
    return Reading(piece, current_a, voltage_v, direction == "forward", below or current_a == 0)


def _quantity(text, piece):
    """Number and unit, a current or a voltage, of one half of a reading."""
    if ".." in text:
        raise UnitError(f"{quoted(text)} in {quoted(piece)} is a range", "Write one reading for each voltage tried.")
    comma = "," in text and "." not in text and not _THOUSANDS.match(text)
    decimal = "," if comma else "."
    match = GRAMMAR[decimal].match(text)
    if match is None:
        raise UnitError(f"{quoted(text)} in {quoted(piece)} is not a number with its unit", _EXAMPLE)
    value, name = parse_number(match[0], decimal), text[match.end() :].strip()
    if name.startswith(","):
        raise UnitError(f"{quoted(text)} in {quoted(piece)} can be read two ways",
                        f"Write {text.replace(',', '', 1)} or {text.replace(',', '.', 1)}.")  # fmt: skip
    if not name:
        raise UnitError(f"{quoted(text)} in {quoted(piece)} has no unit", f"Write {text} A, mA or V.")
    unit = find_unit(name)
    if unit.dimension not in ("current", "voltage"):
        raise UnitError(f"{quoted(text)} in {quoted(piece)} is a {unit.dimension}", _EXAMPLE)
    if value < 0:
        raise UnitError(f"{quoted(text)} in {quoted(piece)} is negative",
                        "Write it without a sign, and forward or reverse before the reading.")  # fmt: skip
    return value, unit
