"""Declared columns, and how the cells of one column are read."""

import re
from dataclasses import dataclass, field
from functools import cached_property

from selector.errors import UnitError, nearest, quoted
from selector.units import UNITS, column_name, find_unit, fold, parse_quantity

_SIMPLE = {".": re.compile(r"[0-9]{1,9}(?:\.[0-9]{1,9})?"), ",": re.compile(r"[0-9]{1,9}")}
_YES_NO = {"yes": "yes", "true": "yes", "1": "yes", "no": "no", "false": "no", "0": "no"}


@dataclass(frozen=True)
class Text:
    """A column of words.

    words : header words
    refers_to : "table.csv:column" whose keys the cells are; compared by ``check_references``
    required : the column must be there
    words_allowed : the only words a cell may hold; cells come out as spelled here
    filled : no cell may be empty
    """

    words: str
    refers_to: str | None = None
    required: bool = False
    words_allowed: tuple | None = None
    filled: bool = False

    unit = None
    dimension = None

    @cached_property
    def name(self):
        """Inner name of the column."""
        return column_name(self.words)

    @property
    def title(self):
        """The header as declared."""
        return self.words


@dataclass(frozen=True)
class YesNo:
    """A column of yes and no; takes yes, no, true, false, 1, 0."""

    words: str
    required: bool = False
    filled: bool = False

    unit = None
    dimension = None

    @cached_property
    def name(self):
        """Inner name of the column."""
        return column_name(self.words)

    @property
    def title(self):
        """The header as declared."""
        return self.words


@dataclass(frozen=True)
class Number:
    """A column of numbers in a unit; bounds are in that unit.

    words : header words
    unit : name of the unit a header without one means; None for a plain number
    above, least, most : bounds of every value; ``above`` itself is not allowed
    required : the column must be there
    ranges : cells may hold ``60..80``; the frame then has a second column, NAME__high
    filled : no cell may be empty
    whole : a count; no fractions
    """

    words: str
    unit: str | None = None
    above: float | None = None
    least: float | None = None
    most: float | None = None
    required: bool = False
    ranges: bool = False
    filled: bool = False
    whole: bool = False
    dimension: str = field(init=False)

    def __post_init__(self):
        found = find_unit(self.unit) if self.unit else UNITS[""]
        object.__setattr__(self, "dimension", found.dimension)

    @cached_property
    def name(self):
        """Inner name of the column, ending in the inner unit."""
        return column_name(self.words, self.dimension)

    @property
    def title(self):
        """The header as declared, with its unit."""
        return f"{self.words} [{self.unit}]" if self.unit else self.words

    @cached_property
    def bounds(self):
        """Bounds in the inner unit: (above, least, most), None where there is none."""
        unit = find_unit(self.unit) if self.unit else UNITS[""]
        return tuple(None if b is None else unit.to_inner(b) for b in (self.above, self.least, self.most))


@dataclass(frozen=True)
class Table:
    """A declared table: its file name, the header words of its key, its columns."""

    name: str
    key: str | None
    columns: tuple

    @property
    def column_names(self):
        """Inner names of the declared columns, in order."""
        return tuple(column.name for column in self.columns)


def one_line(text):
    """A name with single spaces and no line breaks."""
    return text if text.isalnum() else " ".join(text.split())


def read_cells(column, unit, texts, decimal, complain):
    """Values of one column: a list for text, a pair of lists (low, high) for numbers.

    ``complain(index, found, expected, nearest)`` is called for each cell that cannot be used, which becomes None.
    """
    if isinstance(column, Number):
        return _numbers(column, unit, texts, decimal, complain)
    reader = _yes_no if isinstance(column, YesNo) else _words if column.words_allowed else None
    if reader is None:
        words = {text: one_line(text) or None for text in {*texts}} if column.filled else {"": None}
        return [words.get(text, text) for text in texts]
    known, errors = {"": None}, {}
    for text in {*texts} - {""}:
        try:
            known[text] = reader(column, text)
        except UnitError as error:
            known[text], errors[text] = None, error
    _complain(texts, errors, complain)
    return [known[text] for text in texts]


def _complain(texts, errors, complain):
    """Complain of every cell whose text is among ``errors``, from the top down."""
    for index, text in enumerate(texts if errors else ()):
        if text in errors:
            complain(index, errors[text].found, errors[text].expected, errors[text].nearest)


def _yes_no(column, text):
    value = _YES_NO.get(text.casefold())
    if value is None:
        raise UnitError(f"{quoted(text)} is neither yes nor no", "Write yes or no, or leave it empty if unknown.")
    return value


def _words(column, text):
    allowed = {fold(word): word for word in column.words_allowed}
    if fold(text) in allowed:
        return allowed[fold(text)]
    listed = ", ".join(word for word in column.words_allowed if word)
    raise UnitError(f"{quoted(text)} is not one of the words for it", f"Write one of: {listed}.",
                    nearest(text, column.words_allowed))  # fmt: skip


def _numbers(column, unit, texts, decimal, complain):
    lows, highs, errors = {"": None}, {"": None}, {}
    limited = any(bound is not None for bound in column.bounds)
    for text in {*texts} - {""}:
        try:
            low, high = _quantity(text, unit, decimal)
            if limited:
                _within(column, (low, high), text)
            if column.whole and not (low.is_integer() and high.is_integer()):
                raise UnitError(f"{quoted(text)} is not a whole number", "Write a count such as 2.")
            if low != high and not column.ranges:
                raise UnitError(f"{quoted(text)} is a range", "Write one number here.")
        except UnitError as error:
            errors[text] = error
            low = high = None
        lows[text], highs[text] = low, high
    _complain(texts, errors, complain)
    values = [lows[text] for text in texts]
    return values, [highs[text] for text in texts] if column.ranges else values


def _quantity(text, unit, decimal):
    """A cell in inner units; plain digits take the short way."""
    if _SIMPLE[decimal].fullmatch(text) and unit.dimension != "temperature":
        value = unit.to_inner(float(text))
        return value, value
    return parse_quantity(text, unit, decimal)


def _within(column, pair, text):
    above, least, most = column.bounds
    slack = 1e-12 * max(abs(pair[0]), abs(pair[1]), 1e-12)
    if above is not None and pair[0] <= above:
        raise _out_of_bounds(column, text, "not above", "above", column.above)
    if least is not None and pair[0] < least - slack:
        raise _out_of_bounds(column, text, "less than", "of at least", column.least)
    if most is not None and pair[1] > most + slack:
        raise _out_of_bounds(column, text, "more than", "of at most", column.most)


def _out_of_bounds(column, text, fault, remedy, bound):
    limit = f"{bound:g} {column.unit}" if column.unit else f"{bound:g}"
    return UnitError(f"{quoted(text)} is {fault} {limit}", f"Write a value {remedy} {limit}, or leave it empty if "
                     "unknown.")  # fmt: skip


__all__ = ["Number", "Table", "Text", "YesNo", "read_cells"]
