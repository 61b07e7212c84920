"""Numbers as cells carry them."""

import math
from functools import lru_cache


def twelve(value):
    """A number with 12 significant digits; None where it is not known or not finite.

    >>> twelve(40.00000000000006)
    40.0
    """
    if value is None or not math.isfinite(value):
        return None
    return float(f"{value:.12g}") + 0.0


def plain(value):
    """A number for reading: four significant digits, no needless zeros."""
    if value is None:
        return "unknown"
    if isinstance(value, str):
        return value
    if value != 0 and not 1e-3 <= abs(value) < 1e6:
        return f"{value:.3g}"
    return f"{value:.4g}" if abs(value) < 1000 else f"{value:.0f}"


@lru_cache(maxsize=20000)
def lines(text, width):
    """How many lines a text takes in a cell of so many characters.

    >>> lines("one two three", 8)
    2
    """
    total = 0
    for paragraph in str(text).split("\n"):
        total += max(1, math.ceil(len(paragraph) * 0.97 / max(width, 1)))
    return total
