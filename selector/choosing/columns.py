"""Columns of a block: places down, candidates of one role across, picks of the others down."""

import numpy as np

ABSENT = -1


class Columns:
    """Columns of a block for an `Evaluation`: places down, candidates of one role across, picks of the others down."""

    def __init__(self, solver, cases, picks, role=None, chosen=None, replaced=None):
        self.solver, self.cases, self.picks = solver, cases, picks
        self.role, self.chosen = role, chosen
        self.replaced = replaced or {}
        self._made = {}

    def __contains__(self, key):
        solver = self.solver
        if solver.stores(key) or key in self.replaced or key in solver.dear:
            return True
        return key in solver.lazy and solver.lazy[key] in self.picks

    def __getitem__(self, key):
        if key in self.replaced:
            return self.replaced[key]
        if key not in self._made:
            self._made[key] = self._make(key)
        return self._made[key]

    def _make(self, key):
        solver = self.solver
        if key in solver.constants:
            return solver.constants[key]
        if key in solver.case_columns:
            return solver.case_columns[key][self.cases][:, None]
        if key in solver.dear:
            values = solver.dear_values(key)
            role = solver.dear[key]
            if role == self.role:
                return values[self.cases][:, self._across()]
            return values[self.cases, self._picked(role)][:, None]
        if key in solver.lazy:
            return solver.lazy_values(key, self.cases, self.picks[solver.lazy[key]])[:, None]
        role, column = solver.plan.part_columns[key]
        values = solver.plan.part_values(role, column)
        if role == self.role:
            take = self._across()
            return tuple(v[None, take] for v in values) if isinstance(values, tuple) else values[None, take]
        index = self._picked(role)
        return tuple(v[index][:, None] for v in values) if isinstance(values, tuple) else values[index][:, None]

    def _picked(self, role):
        return self.picks[role] if role in self.picks else np.full(len(self.cases), ABSENT)

    def _across(self):
        return slice(0, -1) if self.chosen is None else self.chosen
