"""Arithmetic on named facts, as the check rows and the user's own checks are written.

``lug hole - stud diameter`` or ``1.5 * rule ampacity``: names, numbers (with a unit where they have one), ``+ - * /``,
``**`` with a number up to 4, and brackets. Nothing else is understood, so nothing else can happen.
"""

import re
from typing import NoReturn

from selector.errors import DefinitionError, Problem, quoted

_TOKEN = re.compile(
    r"""\s*(?:
    (?P<number>\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)
  | (?P<name>[^\W\d]\w*(?:(?:-|\s+)(?=\w)(?:[^\W\d]\w*|\d+(?=\s+[^\W\d])))*)
  | (?P<unit>\[[^\]]*\])
  | (?P<sign>\*\*|[-+*/()−×·])
)""",
    re.VERBOSE,
)
_PLAIN_SIGNS = {"−": "-", "×": "*", "·": "*"}
MOST_POWER = 4
MOST_LENGTH = 400


class Expression:
    """A parsed piece of arithmetic; ``names`` are the full names it reads."""

    def __init__(self, text, tree, names):
        self.text = text
        self.tree = tree
        self.names = names

    @property
    def is_constant(self):
        return not self.names

    def is_one_of(self, names):
        """Whether it is nothing but one of these names."""
        return self.tree[0] == "name" and self.tree[1] in names

    def value(self, resolve):
        """The result, with ``resolve(name)`` supplying each name's value (number, array or cell)."""
        return _run(self.tree, resolve)


def _run(tree, resolve):
    kind = tree[0]
    if kind == "number":
        return tree[1]
    if kind == "name":
        return resolve(tree[1])
    left, right = _run(tree[1], resolve), _run(tree[2], resolve)
    if kind == "+":
        return left + right
    if kind == "-":
        return left - right
    if kind == "*":
        return left * right
    if kind == "/":
        return left / right
    return left**right


class _Reader:
    def __init__(self, text, full_name, place):
        self.text, self.full_name, self.place = text, full_name, place
        self.names = []
        self.tokens = self._split(text)
        self.at = 0

    def problem(self, found, expected, nearest=""):
        file, line, column = self.place
        found = f"{quoted(found)} cannot be read here"
        return DefinitionError("", [Problem(file, line, column, found, f"Write {expected}.", nearest)])

    def fail(self, found, expected, nearest="") -> NoReturn:
        raise self.problem(found, expected, nearest)

    def _split(self, text):
        if len(text) > MOST_LENGTH:
            self.fail(f"{text[:30]}… ({len(text)} characters)", f"at most {MOST_LENGTH} characters of arithmetic")
        tokens, at = [], 0
        text = text.rstrip()
        while at < len(text):
            match = _TOKEN.match(text, at)
            if match is None or match.lastgroup is None:
                self.fail(text[at:].strip()[:40], "arithmetic on fact names: + - * / ** and brackets")
            kind = match.lastgroup
            value = match.group(kind)
            tokens.append((kind, _PLAIN_SIGNS.get(value, value) if kind == "sign" else value))
            at = match.end()
        return tokens

    def peek(self):
        return self.tokens[self.at] if self.at < len(self.tokens) else ("end", "")

    def take(self):
        token = self.peek()
        self.at += 1
        return token

    def whole(self):
        if not self.tokens:
            self.fail(self.text, "a fact name or arithmetic on fact names")
        tree = self.sum()
        if self.peek()[0] != "end":
            self.fail(str(self.peek()[1]), "an operator or the end")
        return tree

    def sum(self):
        tree = self.product()
        while self.peek() in (("sign", "+"), ("sign", "-")):
            sign = self.take()[1]
            tree = (sign, tree, self.product())
        return tree

    def product(self):
        tree = self.signed()
        while self.peek() in (("sign", "*"), ("sign", "/")):
            sign = self.take()[1]
            tree = (sign, tree, self.signed())
        return tree

    def signed(self):
        if self.peek() == ("sign", "-"):
            self.take()
            return ("-", ("number", 0.0), self.signed())
        return self.power()

    def power(self):
        tree = self.atom()
        if self.peek() == ("sign", "**"):
            self.take()
            kind, value = self.take()
            if kind != "number" or float(value) > MOST_POWER:
                self.fail(f"** {value}", f"a power that is a number up to {MOST_POWER}")
            tree = ("**", tree, ("number", float(value)))
            if self.peek() == ("sign", "**"):
                self.fail("** **", "one power, not a power of a power")
        return tree

    def atom(self):
        kind, value = self.take()
        if (kind, value) == ("sign", "("):
            tree = self.sum()
            if self.take() != ("sign", ")"):
                self.fail(self.text, "a closing bracket")
            return tree
        if kind == "number":
            return ("number", self._with_unit(float(value)))
        if kind == "name":
            full, nearest = self.full_name(value)
            if full is None:
                self.fail(value, "the name of a fact or column", nearest)
            if self.peek()[0] == "unit":
                self._known_unit(self.take()[1])
            self.names.append(full)
            return ("name", full)
        raise self.problem(value or "the end", "a name, a number or an opening bracket")

    def _known_unit(self, text):
        from selector.units import UnitError, find_unit

        try:
            find_unit(text.strip("[]"))
        except UnitError:
            self.fail(text, "a unit in square brackets, or nothing")

    def _with_unit(self, number):
        kind, value = self.peek()
        if kind not in ("name", "unit"):
            return number
        from selector.units import UNITS

        unit = UNITS.get(value.strip("[]"))
        if unit is None:
            self.fail(f"{number:g} {value}", "a number with a unit that is known, or an operator between")
        self.take()
        return number * unit.scale + unit.offset


def parse(text, full_name, place=("", None, "")):
    """Read ``text``; ``full_name(words)`` gives ``(full name or None, nearest known name)``.

    ``place`` is (file, line, column) for the message. Raises `DefinitionError` on anything but arithmetic.
    """
    reader = _Reader(text, full_name, place)
    tree = reader.whole()
    return Expression(text, tree, tuple(dict.fromkeys(reader.names)))
