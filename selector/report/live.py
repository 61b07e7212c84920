"""One kind of connection as helper columns of a sheet: the program's own formulas, read as cells and as numbers.

The facts and checks of a kind are run twice, in the same order: once on cells, which writes a formula template for
every column, and once on numbers, which gives the result stored beside each formula. A row of a helper sheet is one
case of one connection; in a template `ROW` stands for its row and `CONNECTION` for the row on *Connections*.
"""

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np

from selector.cell import ATOM, Cell, number_text
from selector.choosing.cases import corner_cases as cases_of
from selector.facts.evaluator import Evaluation
from selector.maths import keep, recording

ROW, CONNECTION = "\x00", "\x01"


@lru_cache(maxsize=20000)
def letters(index):
    """Letters of the sheet column with this number, counted from 0.

    >>> letters(0), letters(26), letters(701)
    ('A', 'AA', 'ZZ')
    """
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(65 + rest) + text
    return text


@dataclass
class Column:
    """A helper column: what it shows, its formula template (None for stored values; a list where every row has a formula
    of its own, or None) and its values, one a row."""

    name: Any
    inside: Any
    template: Any
    values: Any = None
    group: str = "step"


class Helper:
    """The helper columns of one kind; the ``sheet`` of its cells, so that ``keep`` lands here."""

    def __init__(self):
        self.columns = []
        self.kept = []
        self.inside = None
        self._at = {}

    def add(self, name, template, values=None, group="step", inside=None):
        """A new column; gives the cell that refers to it."""
        self.columns.append(Column(name, inside, template, values, group))
        return self.cell(len(self.columns) - 1)

    def cell(self, index):
        return Cell(f"{letters(index)}{ROW}", ATOM, self)

    def keep(self, name, cell):
        """The column that holds this formula: one that is there already, or a new one."""
        index = self.index_of(cell)
        if index is None:
            index = len(self.columns)
            self._at[cell.text] = index
            self.add(name, cell.text, inside=self.inside)
        self.kept.append(index)
        return self.cell(index)

    def index_of(self, cell):
        """Number of the column a bare reference points to, or that holds just this formula."""
        index = self._at.get(cell.text)
        if index is None and cell.level == ATOM and cell.text.endswith(ROW) and cell.text[:-1].isalpha():
            return _number(cell.text[:-1])
        return index

    def label(self, cell, name, group):
        """Name the column a cell refers to, where it has only a step's name so far."""
        column = self.columns[self.index_of(cell)]
        if column.group == "step":
            column.name, column.group = name, group


def _number(text):
    number = 0
    for letter in text:
        number = number * 26 + ord(letter) - 64
    return number - 1


class Kept(Evaluation):
    """Facts that are kept, every one, so that each has its column and later formulas stay short."""

    def __init__(self, registry, columns, helper=None):
        super().__init__(registry, columns)
        self.helper = helper

    def _work_out(self, name, end):
        if (name, end) in self.columns or name in self.columns or name not in self.registry.functions:
            return super()._work_out(name, end)
        values = [self.value(parameter, end) for parameter in self.registry.parameters[name]]
        if self.helper is not None:
            self.helper.inside = (name, end)
        value = self.registry.functions[name](*values)
        kept = keep(value, name)
        if isinstance(kept, Cell) and self.helper is not None:
            self.helper.label(kept, (name, end), "fact")
        return kept


class Source:
    """The program's own columns for what was chosen of one kind, one line across for all cases.

    ``case_columns`` hold what the places see, a row a case; ``parts`` maps a role to the number of the part in each
    case, negative where there is none.
    """

    def __init__(self, plan, constants, case_columns, parts):
        self.plan, self.constants = plan, constants
        self.case_columns, self.parts = case_columns, parts
        self._made = {}

    def __contains__(self, key):
        return key in self.constants or key in self.case_columns or key in self.plan.part_columns

    def __getitem__(self, key):
        if key not in self._made:
            self._made[key] = self._make(key)
        return self._made[key]

    def _make(self, key):
        if key in self.constants:
            return self.constants[key]
        if key in self.case_columns:
            return np.asarray(self.case_columns[key], dtype=float).reshape(1, -1)
        role, column = self.plan.part_columns[key]
        values, index = self.plan.part_values(role, column), self.parts[role]
        if isinstance(values, tuple):
            return tuple(v[index].reshape(1, -1) for v in values)
        return values[index].reshape(1, -1)


@dataclass
class Live:
    """One kind worked out: its helper columns and where the sheet finds what.

    rows : for every helper row the number of its connection in ``chosen``; first and last : rows of a connection
    at : name or (name, end) of a fact or column -> helper column number
    reads : given columns of *Connections* that something of this kind follows
    """

    kind: Any
    chosen: list
    places: Any
    checks: list
    source: Source
    spares: dict
    evaluation: Any
    numbers: Any
    helper: Helper
    rows: Any
    present: dict
    parts: dict = field(default_factory=dict)
    verdicts: dict = field(default_factory=dict)
    ends: dict = field(default_factory=dict)
    reads: set = field(default_factory=set)

    @property
    def count(self):
        return len(self.rows)

    def cases(self, number):
        """First and last helper row (from 0) of the connection ``number`` of this kind."""
        return self.ends[number]

    def number(self, name, end=None):
        """A fact's or column's values, one a case; None where this kind does not have it."""
        value = self.numbers.value(name, end)
        return self.spread(value)

    def spread(self, value):
        values = np.asarray(value, dtype=float).reshape(-1)
        return values if len(values) == self.count else np.broadcast_to(values, (self.count,))


def prepare(outcome, kind, chosen):
    """The engine's own columns for what was chosen of one kind, one row a case."""
    places, chooser = outcome.places, outcome.chooser
    indices = np.array([one.place for one in chosen], dtype=np.int64)
    cases, place_of_case = cases_of(places, indices)
    given = [name for name in cases if not isinstance(name, tuple)]
    given += list(places.constants) + [name[0] for name in cases if isinstance(name, tuple)]
    plan, _ = chooser.plan(kind, given)
    checks = plan.checks
    spares = {check.code: outcome.settings.spare_of(check.code, check.spare_kind) for check in checks}
    present = {
        role.role: np.array([outcome.wanted[i][role.role].present for i in indices], dtype=bool) for role in kind.roles
    }
    picks = {role.role: np.array([one.pick(role.role) for one in chosen]) for role in kind.roles}
    spread = {role: index[place_of_case] for role, index in picks.items()}
    source = Source(plan, places.constants, cases, spread)
    live = Live(kind, chosen, places, checks, source, spares, None, None, Helper(), place_of_case, present, spread)
    first = np.searchsorted(place_of_case, np.arange(len(chosen)))
    last = np.searchsorted(place_of_case, np.arange(len(chosen)), side="right") - 1
    live.ends = {i: (int(a), int(b)) for i, (a, b) in enumerate(zip(first, last, strict=True))}
    live.numbers = Kept(chooser.registry_of(kind.name), source)
    return live


def work_out(live, cells, names):
    """Read the facts ``names`` and all checks as cells and as numbers; fills the helper's columns.

    ``cells`` is the mapping of columns to cells that reads the other sheets; ``names`` are (name, end) pairs shown
    whatever the checks need.
    """
    helper = live.helper
    live.evaluation = Kept(live.numbers.registry, cells, helper)
    with recording(lambda name, value: helper.kept.append(None)):
        _ask(live.evaluation, live.checks, names)
    recorded = []
    with np.errstate(all="ignore"), recording(lambda name, value: recorded.append(value)):
        _ask(live.numbers, live.checks, names)
    if len(recorded) != len(helper.kept):
        raise AssertionError("cells and numbers were not read in the same order")
    for index, value in zip(helper.kept, recorded, strict=True):
        if index is not None and helper.columns[index].values is None:
            helper.columns[index].values = live.spread(value)


def _ask(evaluation, checks, names):
    for name, end in names:
        evaluation.value(name, end)
    for check in checks:
        for expression in (check.when, check.actual, check.limit):
            if expression is not None:
                for name in expression.names:
                    evaluation.value(name, check.end)


def expression_cell(live, expression, end, name, group):
    """A check's arithmetic as a cell of a column of its own (or a plain number), and its values."""
    cell = expression.value(lambda n: live.evaluation.value(n, end))
    with np.errstate(all="ignore"):
        values = live.spread(expression.value(lambda n: live.numbers.value(n, end)))
    if not isinstance(cell, Cell):
        return Cell(number_text(cell), ATOM), values
    helper = live.helper
    index = helper.index_of(cell)
    if index is not None:
        return helper.cell(index), values
    return helper.add(name, cell.text, values, group), values
