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


CHARGED = 1.25
"""A nominal voltage up to this multiple of 12, 24 or 48 V is that system's, named by its charging voltage (14, 28 V)."""


def of_class(typical, volts):
    """The typical value of a system's class; in proportion for a nominal voltage between the classes (36 V)."""
    for nominal, value in sorted(typical.items()):
        if nominal <= volts <= CHARGED * nominal:
            return value
    if not typical:
        return None
    nearest = min(typical, key=lambda nominal: abs(nominal - volts))
    return round(typical[nearest] / nearest * volts, 6)


def some(names, most=5):
    """The first names of a list, and how many more there are."""
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")


__all__ = ["NAN", "YES", "fold", "of_class", "or_nan", "shown", "some", "typed", "volts_named"]
