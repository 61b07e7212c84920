"""Small readings the rooms of a project share."""

import re

from selector.catalogue.reading import fold_key as fold
from selector.errors import UnitError
from selector.units import find_unit, parse_quantity

NAN = float("nan")
YES = {"yes": 1.0, "no": 0.0}


def or_nan(value):
    return NAN if value is None else float(value)


def shown(value, unit):
    if not unit or value != value:
        return value
    return round(find_unit(unit).from_inner(value), 9)


def typed(text, unit):
    try:
        return None if text is None else parse_quantity(text, unit or "")[0]
    except UnitError:
        return None


def volts_named(text):
    """The voltage named in words such as ``12 V house``; None where there is none."""
    found = re.search(r"(\d+(?:\.\d+)?)\s*V\b", text)
    return float(found[1]) if found else None


__all__ = ["NAN", "YES", "fold", "or_nan", "shown", "typed", "volts_named"]
