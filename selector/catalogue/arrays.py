"""Columns of a table as arrays of numbers; unknown is NaN."""

_YES_NO = {"yes": 1.0, "no": 0.0}


def floats(series):
    """A column of numbers, unknown where empty."""
    import numpy as np

    return np.array(series.cast(float).to_numpy(), dtype=np.float64)


def numbered(series, numbers):
    """A column of words as the numbers they stand for; a word without one is unknown."""
    import numpy as np

    return np.array([numbers.get(word, np.nan) for word in series.to_list()], dtype=np.float64)


def yes_no(series):
    """A yes/no column as 1, 0 and unknown."""
    return numbered(series, _YES_NO)


def is_word(series, word):
    """1 where a column has this word, 0 where it has another or none."""
    import numpy as np

    return np.array([float(own is not None and own == word) for own in series.to_list()], dtype=np.float64)
