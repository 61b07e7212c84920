"""What a role needs of a part in pieces or cuts, and whole micrometres, in which cuts add up exactly."""

import math

UNITS_A_METRE = 1_000_000
"""Lengths are whole micrometres, so that cuts add up exactly."""


def units_of_cut(length_m):
    """Micrometres a cut takes."""
    return math.ceil(length_m * UNITS_A_METRE - 1e-3)


def units_of_piece(length_m):
    """Micrometres a piece gives."""
    return math.floor(length_m * UNITS_A_METRE + 1e-3)


def counted(amount):
    """Whole pieces that an amount takes."""
    return math.ceil(amount - 1e-9)


def cuts_of(amount_m, each_m):
    """(how many, length of each): cuts of one length that make up an amount; else the amount as one cut.

    >>> cuts_of(12.4, 6.2), cuts_of(7.0, 6.2)
    ((2, 6.2), (1, 7.0))
    """
    count = round(amount_m / each_m) if each_m > 0 else 0
    return (count, each_m) if count >= 1 and abs(count * each_m - amount_m) <= 1e-9 * amount_m else (1, amount_m)


def needed(places, place, role, amount):
    """(how many, length of each): pieces of a part that is counted, cuts of one that is a length, its longest."""
    if role.unit != "m":
        return counted(amount), None
    longest = float(places.high.get("length_m", places.columns["length_m"])[place])
    return cuts_of(amount, longest + places.constants["cut_allowance_m"])
