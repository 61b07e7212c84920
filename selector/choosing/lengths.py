"""What a role needs of a part in pieces or cuts, and the unit in which cuts add up."""

import math

UNITS_A_METRE = 1_000_000
"""Lengths are whole micrometres, so that cuts add up exactly."""


def needed(places, place, role, amount):
    """(how many, length of each): pieces of a part that is counted, cuts of one that is a length, its longest."""
    if role.unit != "m":
        return math.ceil(amount - 1e-9), None
    longest = float(places.high.get("length_m", places.columns["length_m"])[place])
    each = longest + places.constants["cut_allowance_m"]
    count = round(amount / each) if each > 0 else 0
    return (count, each) if count >= 1 and abs(count * each - amount) <= 1e-9 * amount else (1, amount)
