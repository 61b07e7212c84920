"""A sheet small enough for a test: takes what ``keep`` names and works the formulas out the way a spreadsheet does."""

import math
import re

from selector.cell import ATOM, Cell

NAN = math.nan
_TOKEN = re.compile(r"\s*(\d+\.?\d*(?:E[+-]?\d+)?|\.\d+|[A-Z]+\d+|[A-Z]+|<=|[-+*/^(),=])")


def _number(work, *values):
    """The result of ``work``, unknown where a value is or where the sheet would show an error."""
    if any(value != value for value in values):
        return NAN
    try:
        result = work(*values)
    except (ValueError, ZeroDivisionError, OverflowError):
        return NAN
    return NAN if isinstance(result, complex) else result


_FUNCTIONS = {
    "SQRT": math.sqrt,
    "LN": math.log,
    "EXP": math.exp,
    "COS": math.cos,
    "MIN": min,
    "MAX": max,
}


class Reader:
    """Reads one formula into a function of the dictionary of cells; branches of IF are worked out only when chosen."""

    def __init__(self, text):
        self.tokens = _TOKEN.findall(text)
        assert "".join(self.tokens) == text, text
        self.at = 0

    def peek(self):
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def take(self, expected=None):
        token = self.peek()
        assert expected is None or token == expected, (token, expected)
        self.at += 1
        return token

    def whole(self):
        result = self.comparison()
        assert self.at == len(self.tokens), self.tokens[self.at :]
        return result

    def comparison(self):
        left = self.sums()
        if self.peek() not in ("<=", "="):
            return left
        sign, right = self.take(), self.sums()
        compare = (lambda a, b: float(a <= b)) if sign == "<=" else (lambda a, b: float(a == b))
        return lambda cells: _number(compare, left(cells), right(cells))

    def _chain(self, signs, inner):
        result = inner()
        while self.peek() in signs and self.peek():
            result = self._joined(self.take(), result, inner())
        return result

    @staticmethod
    def _joined(sign, left, right):
        work = {
            "+": lambda a, b: a + b,
            "-": lambda a, b: a - b,
            "*": lambda a, b: a * b,
            "/": lambda a, b: a / b,
            "^": lambda a, b: a**b,
        }[sign]
        return lambda cells: _number(work, left(cells), right(cells))

    def sums(self):
        return self._chain("+-", self.products)

    def products(self):
        return self._chain("*/", self.powers)

    def powers(self):
        return self._chain("^", self.signed)

    def signed(self):
        if self.peek() == "-":
            self.take()
            inner = self.signed()
            return lambda cells: -inner(cells)
        return self.atom()

    def atom(self):
        token = self.take()
        if token == "(":
            inner = self.comparison()
            self.take(")")
            return inner
        if token[0].isdigit() or token[0] == ".":
            value = float(token)
            return lambda cells: value
        if token[-1].isdigit():
            return lambda cells: cells[token]
        return self.call(token)

    def call(self, name):
        self.take("(")
        arguments = []
        while self.peek() != ")":
            arguments.append(self.comparison())
            if self.peek() == ",":
                self.take()
        self.take(")")
        if name == "NA":
            return lambda cells: NAN
        if name == "IF":
            asked, then, otherwise = arguments
            return lambda cells: NAN if asked(cells) != asked(cells) else (then if asked(cells) else otherwise)(cells)
        if name == "IFERROR":
            tried, fallback = arguments
            return lambda cells: fallback(cells) if tried(cells) != tried(cells) else tried(cells)
        work = _FUNCTIONS[name]
        return lambda cells: _number(work, *(argument(cells) for argument in arguments))


class Sheet:
    """Helper columns in the order they are kept, and the cells handed in."""

    def __init__(self):
        self.values = {}
        self.kept = []

    def given(self, value):
        reference = f"A{len(self.values) + 1}"
        self.values[reference] = float(value)
        return Cell(reference, ATOM, self)

    def keep(self, name, cell):
        reference = f"K{len(self.kept) + 1}"
        self.kept.append((reference, name, cell.text))
        return Cell(reference, ATOM, self)

    def worked_out(self, cell):
        """The value of the cell, every helper column worked out before it; #N/A is NaN."""
        cells = dict(self.values)
        for reference, _, text in self.kept:
            cells[reference] = Reader(text).whole()(cells)
        return Reader(cell.text).whole()(cells)
