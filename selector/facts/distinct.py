"""Which rows of a block, and which numbers, differ."""


def distinct_rows(columns):
    """(index of the first of each distinct row, for every row the number of its distinct one) of columns of equal length.

    Rows are equal where their bits are, so that an unknown equals itself. They are sorted by one number each, mixed from
    their bits; where two different rows come to the same number, which is told by comparing, by all columns.

    >>> first, back = distinct_rows([[1.0, 2.0, 1.0], [5.0, 5.0, 5.0]])
    >>> len(first), len(set(back.tolist())), bool(back[0] == back[2])
    (2, 2, True)
    """
    import numpy

    bits = [numpy.ascontiguousarray(column).view(numpy.uint64) for column in columns]
    mixed = numpy.zeros(len(bits[0]), dtype=numpy.uint64)
    for column in bits:
        mixed = (mixed ^ (column ^ (column >> _SHIFT))) * _ODD
        mixed ^= mixed >> _SHIFT
    _, first, back = numpy.unique(mixed, return_index=True, return_inverse=True)
    if all((column[first][back] == column).all() for column in bits):
        return first, back
    _, first, back = numpy.unique(numpy.column_stack(bits), axis=0, return_index=True, return_inverse=True)
    return first, back.reshape(-1)


def distinct_numbers(numbers):
    """The numbers of an array, each once and rising; `numpy.unique` brings in numpy's masked arrays to find none.

    >>> import numpy
    >>> distinct_numbers(numpy.array([3, 1, 3])).tolist()
    [1, 3]
    """
    import numpy

    rising = numpy.sort(numbers)
    return rising[numpy.append(True, rising[1:] != rising[:-1])[: len(rising)]]


_SHIFT, _ODD = 29, 0x9E3779B97F4A7C15
"""Bits folded down, and an odd factor that spreads them: 2**64 over the golden ratio."""
