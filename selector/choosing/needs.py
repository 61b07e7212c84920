"""How many pieces of a part a role needs, and of what length."""

import math


def needed(places, place, role, amount):
    """(how many, length of each): pieces of a part that is counted, cuts of one that is a length, its longest."""
    if role.unit != "m":
        return math.ceil(amount - 1e-9), None
    longest = float(places.high.get("length_m", places.columns["length_m"])[place])
    each = longest + places.constants["cut_allowance_m"]
    count = round(amount / each) if each > 0 else 0
    return (count, each) if count >= 1 and abs(count * each - amount) <= 1e-9 * amount else (1, amount)
