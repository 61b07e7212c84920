"""The helpers a formula may use, each readable four ways: floats, numpy arrays, pint quantities and workbook cells.

A formula is a plain function of ``+ - * / **`` and these helpers. It never branches on its inputs, so the same text
gives a number, a block of numbers, a dimension check or the formula of a live cell. Unknown is NaN in numbers and
``#N/A`` in cells, and every helper passes it on.
"""

import math
from contextlib import contextmanager
from functools import reduce
from itertools import pairwise

import numpy as np
from numpy import ndarray

from selector.cell import Cell

PI = math.pi
NAN = math.nan
SOLVED_IN = 1e-9
"""Relative agreement the fixed numbers of steps are chosen for."""

_recorder = None


@contextmanager
def recording(record):
    """While open, every ``keep`` hands its name and value to ``record(name, value)``, in the order of evaluation."""
    global _recorder
    before, _recorder = _recorder, record
    try:
        yield
    finally:
        _recorder = before


PLAIN = (int, float)


def _plain(value, other=0.0):
    return isinstance(value, PLAIN) and isinstance(other, PLAIN)


def _cell(value, other=None):
    """The one of two that is a cell, None where neither is."""
    if isinstance(value, Cell):
        return value
    return other if isinstance(other, Cell) else None


def _magnitude(value, unit=None):
    """The bare number of a quantity (in ``unit`` where given); anything else as it is."""
    if not hasattr(value, "magnitude"):
        return value
    return value.to(unit).magnitude if unit is not None else value.to_base_units().magnitude


def sqrt(x):
    """Square root; unknown below zero."""
    if isinstance(x, ndarray):
        return np.sqrt(x)
    if _plain(x):
        return math.sqrt(x) if x >= 0 else NAN
    if _cell(x):
        return x.call("SQRT")
    return x**0.5


def log(x):
    """Natural logarithm of a bare number; unknown at and below zero."""
    if isinstance(x, ndarray):
        return np.log(np.where(x > 0, x, NAN))
    if _plain(x):
        return math.log(x) if x > 0 else NAN
    if _cell(x):
        return x.call("LN")
    return log(float(_magnitude(x, "")))


def exp(x):
    """Exponential of a bare number."""
    if isinstance(x, ndarray):
        return np.exp(x)
    if _plain(x):
        return math.exp(x) if x < 700 else NAN
    if _cell(x):
        return x.call("EXP")
    return exp(float(_magnitude(x, "")))


def cos(x):
    """Cosine of a bare number in radians."""
    if _plain(x):
        return math.cos(x)
    if _cell(x):
        return x.call("COS")
    return np.cos(_magnitude(x, ""))


def least(first, *others):
    """The smallest of the values; unknown when any is."""
    return _extreme("MIN", np.minimum, min, first, others)


def most(first, *others):
    """The greatest of the values; unknown when any is."""
    return _extreme("MAX", np.maximum, max, first, others)


def _extreme(name, of_arrays, plain, first, others):
    values = (first, *others)
    if any(isinstance(value, ndarray) for value in values):
        return reduce(of_arrays, values)
    for value in values:
        if isinstance(value, Cell):
            return value.function(name, *values)
    if all(isinstance(value, PLAIN) for value in values) and any(value != value for value in values):
        return NAN
    return plain(values)


def where(value, limit, then, otherwise):
    """``then`` where ``value <= limit``, else ``otherwise``; unknown where either compared value is."""
    if isinstance(value, ndarray) or isinstance(limit, ndarray):
        return np.where(value <= limit, then, np.where(value > limit, otherwise, NAN))
    if _plain(value, limit):
        if value != value or limit != limit:
            return then * NAN if not _plain(then) else NAN
        return then if value <= limit else otherwise
    cell = _cell(value, limit)
    if cell is not None:
        return cell.choose(value, limit, then, otherwise)
    return then if value <= limit else otherwise


def same(left, right):
    """1 where two words agree, 0 where they differ, unknown where either is (words are numbered in arrays)."""
    if _plain(left, right):
        return NAN if left != left or right != right else float(left == right)
    cell = _cell(left, right)
    if cell is not None:
        return cell.equal(left, right)
    return np.where((left != left) | (right != right), NAN, (left == right) * 1.0)


def either(first, *others):
    """1 where any of the yes/no values is yes, 0 where all are no; an unknown beside a yes does not matter."""
    result = first
    for value in others:
        result = _either(result, value)
    return result


def _either(left, right):
    if _plain(left, right):
        if left == 1 or right == 1:
            return 1.0
        return NAN if left != left or right != right else 0.0
    cell = _cell(left, right)
    if cell is not None:
        return cell.either(left, right)
    return np.where((left == 1) | (right == 1), 1.0, left + right)


def known(value, fallback):
    """``value`` where it is known, else ``fallback``; the one helper that ends an unknown, so each use is a rule."""
    if _plain(value):
        return fallback if value != value else value
    if _cell(value):
        return value.function("IFERROR", value, fallback)
    if hasattr(value, "magnitude"):
        return fallback if value.magnitude != value.magnitude else value
    return np.where(value != value, fallback, value)


def lookup(value, upper_ends, results):
    """The result of the first step whose upper end is at least ``value``; unknown above the last.

    ``upper_ends`` and ``results`` are sequences of equal length, the ends rising.
    """
    if isinstance(value, ndarray) and all(isinstance(own, PLAIN) for own in (*upper_ends, *results)):
        return _looked_up(value, upper_ends, results)
    found = value * NAN if not _cell(value) else value.missing()
    for end, result in reversed(list(zip(upper_ends, results, strict=True))):
        found = where(value, end, result, found)
    return found


def _looked_up(value, upper_ends, results):
    """`lookup` of an array in plain numbers, at one go; an unknown comes after every number."""
    return np.array([*results, NAN], dtype=float)[np.searchsorted(upper_ends, value)]


def between(value, knots, results):
    """Straight lines through the points; the end values beyond the ends. ``knots`` rise and are plain numbers."""
    found = results[-1] + 0 * value
    pairs = list(zip(knots, results, strict=True))
    for (left, at_left), (right, at_right) in reversed(list(pairwise(pairs))):
        line = at_left + (at_right - at_left) * ((value - left) / (right - left))
        found = where(value, right, line, found)
    return where(value, knots[0], results[0] + 0 * value, found)


def along(value, knots, results):
    """Straight lines on log-log paper through the points; the end values beyond the ends.

    ``knots`` and ``results`` are sequences of equal length of positive values (numbers, columns or cells), the knots
    rising. Fuse curves and pulse ratings are printed that way.
    """
    if _recorder is None and isinstance(value, ndarray) and _of_one_shape(*knots, *results):
        return _along_points(value, knots, results)
    x = keep(log(value), "log of value")
    found = results[-1] + 0 * value
    pairs = list(zip(knots, results, strict=True))
    for (left, at_left), (right, at_right) in reversed(list(pairwise(pairs))):
        share = (x - log(left)) / (log(right) - log(left))
        line = keep(at_left * exp(share * log(at_right / at_left)), "line")
        found = where(value, right, line, found)
    return where(value, knots[0], results[0] + 0 * value, found)


def _of_one_shape(first, *others):
    shape = getattr(first, "shape", ())
    return len(shape) == 2 and all(getattr(own, "shape", ()) == shape for own in others)


def _along_points(value, knots, results):
    """`along` of a block in points that are blocks, every value on the one piece of the line that is its own."""
    knots, results = np.array(knots), np.array(results)
    if np.isnan(knots).any():
        knots = np.maximum.accumulate(knots)  # no point behind an unknown one is passed
    passed = (value > knots).sum(axis=0)
    size = knots[0].size
    right = np.minimum(np.maximum(passed, 1), len(knots) - 1) * size + np.arange(size).reshape(knots[0].shape)
    left_knot, right_knot, at_left, at_right = (
        own.take(at) for own in (knots, results) for at in (right - size, right)
    )
    share = np.log(value / left_knot) / np.log(right_knot / left_knot)
    line = at_left * np.exp(share * np.log(at_right / at_left))
    return np.where(value <= knots[0], results[0], np.where(passed == len(knots), results[-1], line))


def keep(value, name):
    """Name an intermediate: a helper column in a sheet, the value itself elsewhere."""
    if isinstance(value, Cell):
        return value.keep(name)
    if _recorder is not None:
        _recorder(name, value)
    return value


def false_position(residual, low, high, steps, at_high=None):
    r"""Root of ``residual`` between ``low`` and ``high`` by a fixed number of steps of Anderson and Bjorck's rule [1]_.

    Parameters
    ----------
    residual : function of one value, of opposite sign at the two ends
    low, high : the ends, any of the four kinds of value
    steps : how many times the residual is worked out between the ends
    at_high : the residual at the high end, where it is known already

    Notes
    -----
    Each step draws the chord. Where the new point falls on the side of the last one, the residual kept for the other
    end is lessened: to the share 1 - f_new/f_last of it, which draws the next chord as the parabola through the three
    points runs, or to half where that share is not positive. The order is about 1.7. Every step is kept, so that a
    sheet shows the iteration.

    References
    ----------
    .. [1] N. Anderson and A. Bjorck, "A new high order method of regula falsi type for computing a root of an
       equation", BIT, vol. 13, pp. 253-264, 1973.

    Examples
    --------
    >>> round(false_position(lambda x: x * x - 2, 1.0, 2.0, 8), 9)
    1.414213562
    """
    other, at_other = low, keep(residual(low), "residual at the low end")
    last, at_last = high, keep(residual(high), "residual at the high end") if at_high is None else at_high
    for step in range(1, steps + 1):
        slope = keep(_not_zero(at_last - at_other), f"chord {step}")
        new = keep(last - at_last * (last - other) / slope, f"estimate {step}")
        at_new = keep(residual(new), f"residual {step}")
        crossed = at_new * at_last
        left = keep(1 - at_new / _not_zero(at_last), f"share left {step}")
        lessened = at_other * where(left, 0.0, 0.5, left)
        other, at_other = (
            keep(where(crossed, 0 * crossed, last, other), f"other end {step}"),
            keep(where(crossed, 0 * crossed, at_last, lessened), f"residual at the other end {step}"),
        )
        last, at_last = new, at_new
    return last


def _not_zero(x):
    """``x``, or 1 in its unit where it is exactly zero: both ends have met and the numerator is zero too."""
    if isinstance(x, ndarray):
        return np.where(x == 0, 1.0, x)
    if _plain(x):
        return x if x != 0 else 1.0
    if isinstance(x, Cell):
        return x.not_zero()
    return x if x.magnitude != 0 else x + 1 * x.units
