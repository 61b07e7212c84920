"""A formula of a spreadsheet cell, written by running a formula of the program on it.

``Cell("D7") * 2 + Cell("E7")`` has the text ``D7*2+E7``. Brackets go where a spreadsheet needs them: it reads
``-2^2`` as 4 and ``2^3^2`` as 64, so every power is bracketed and a sign is written as a difference from zero.
"""

SUM, PRODUCT, ATOM = 1, 2, 3


def number_text(value):
    """A number as a formula spells it: the shortest text that reads back the same, never a sign alone in front."""
    if value != value:
        return "NA()"
    text = repr(float(value))
    if text.endswith(".0"):
        text = text[:-2]
    return f"(0{text})" if text.startswith("-") else text.replace("e", "E")


class Cell:
    """Text of a formula with the strength of its outermost sign; ``sheet`` takes what ``keep`` names."""

    __slots__ = ("level", "sheet", "text")

    def __init__(self, text, level=ATOM, sheet=None):
        self.text = text
        self.level = level
        self.sheet = sheet

    def __repr__(self):
        return f"Cell({self.text!r})"

    def _of(self, value):
        return value if isinstance(value, Cell) else Cell(number_text(value))

    def _at(self, level):
        return self.text if self.level >= level else f"({self.text})"

    def _joined(self, other):
        return self.sheet if self.sheet is not None else other.sheet

    def _pair(self, left, sign, right, level, right_level):
        return Cell(f"{left._at(level)}{sign}{right._at(right_level)}", level, left._joined(right))

    def __add__(self, other):
        return self._pair(self, "+", self._of(other), SUM, SUM)

    def __radd__(self, other):
        return self._pair(self._of(other), "+", self, SUM, SUM)

    def __sub__(self, other):
        return self._pair(self, "-", self._of(other), SUM, PRODUCT)

    def __rsub__(self, other):
        return self._pair(self._of(other), "-", self, SUM, PRODUCT)

    def __mul__(self, other):
        return self._pair(self, "*", self._of(other), PRODUCT, PRODUCT)

    def __rmul__(self, other):
        return self._pair(self._of(other), "*", self, PRODUCT, PRODUCT)

    def __truediv__(self, other):
        return self._pair(self, "/", self._of(other), PRODUCT, ATOM)

    def __rtruediv__(self, other):
        return self._pair(self._of(other), "/", self, PRODUCT, ATOM)

    def __pow__(self, other):
        return self._power(self, self._of(other))

    def __rpow__(self, other):
        return self._power(self._of(other), self)

    def _power(self, base, exponent):
        return Cell(f"({base._at(ATOM)}^{exponent._at(ATOM)})", ATOM, base._joined(exponent))

    def __neg__(self):
        return 0 - self

    def call(self, name):
        """The one-argument function ``name`` of this cell."""
        return Cell(f"{name}({self.text})", ATOM, self.sheet)

    def function(self, name, *values):
        """The function ``name`` of several values, this cell among them."""
        cells = [self._of(value) for value in values]
        sheet = next((cell.sheet for cell in cells if cell.sheet is not None), None)
        return Cell(f"{name}({','.join(cell.text for cell in cells)})", ATOM, sheet)

    def choose(self, value, limit, then, otherwise):
        """``IF(value<=limit,then,otherwise)``."""
        value, limit, then, otherwise = (self._of(v) for v in (value, limit, then, otherwise))
        sheet = next((c.sheet for c in (value, limit, then, otherwise) if c.sheet is not None), None)
        return Cell(f"IF({value._at(PRODUCT)}<={limit._at(PRODUCT)},{then.text},{otherwise.text})", ATOM, sheet)

    def equal(self, left, right):
        """1 or 0 for two words that agree or differ; the sum with their lengths passes an unknown on."""
        left, right = self._of(left), self._of(right)
        return Cell(f"IF({left._at(PRODUCT)}={right._at(PRODUCT)},1,0)", ATOM, left._joined(right))

    def either(self, left, right):
        """1 when one of two yes/no cells is 1, whatever the other is."""
        left, right = self._of(left), self._of(right)
        text = f"IF(IFERROR({left.text},0)=1,1,IF(IFERROR({right.text},0)=1,1,{left._at(SUM)}+{right._at(SUM)}))"
        return Cell(text, ATOM, left._joined(right))

    def missing(self):
        """The unknown value on this cell's sheet."""
        return Cell("NA()", ATOM, self.sheet)

    def not_zero(self):
        """This cell, or 1 where it is exactly zero."""
        return Cell(f"IF({self._at(PRODUCT)}=0,1,{self.text})", ATOM, self.sheet)

    def keep(self, name):
        """This formula in a helper column of its own, where the cell belongs to a sheet."""
        return self if self.sheet is None else self.sheet.keep(name, self)
