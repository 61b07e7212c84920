"""What the search of one kind rests on wherever it is done: roles, checks, and the columns of the parts."""

from functools import cached_property

import numpy as np

from selector.catalogue.names import prefix_of


class Plan:
    """One kind's roles, checks, facts and candidates, with what follows from them alone; shared by all its blocks.

    by_stage : number of a role -> the checks judged once it is filled
    optimistic : facts that stand at a bound until the pick they rest on is known, and the bound
    """

    def __init__(self, kind, checks, candidates, registry, optimistic):
        self.kind, self.checks, self.candidates, self.registry = kind, checks, candidates, registry
        self.optimistic = optimistic
        self.roles = [role.role for role in kind.roles]
        self.by_stage = {i: [c for c in checks if c.stage == i] for i in range(len(self.roles))}
        self._part_values, self._parts, self._relevant = {}, {}, {}

    @cached_property
    def part_columns(self):
        """Key of a column -> (role, name of the column among its candidates)."""
        found = {}
        for role in self.roles:
            end = role.rsplit(" ", 1)[-1] if role.endswith((" from", " to")) else None
            for column in self.candidates[role].columns:
                name = f"{prefix_of(role)}_{column}"
                found.setdefault((name, end) if end else name, (role, column))
        return found

    def part_values(self, role, column):
        """A column of a role's candidates with an unknown entry added at the end, for an absent part."""
        key = role, column
        if key not in self._part_values:
            values = self.candidates[role].columns[column]
            if isinstance(values, tuple):
                self._part_values[key] = tuple(np.append(v, np.nan) for v in values)
            else:
                self._part_values[key] = np.append(values, np.nan)
        return self._part_values[key]

    def musts(self, roles):
        """The musts judged once these roles are filled, role by role."""
        return [c for role in roles for c in self.by_stage[self.roles.index(role)] if c.must]

    def parts_of(self, roles):
        """Roles that checks tie together, in order, each group on its own."""
        key = tuple(roles)
        if key not in self._parts:
            left, self._parts[key] = list(roles), []
            while left:
                group = {left[0]}
                grown = True
                while grown:
                    tied = {r for c in self.checks for r in c.needs_roles if c.needs_roles & group and r in left}
                    grown = not tied <= group
                    group |= tied
                self._parts[key].append([role for role in left if role in group])
                left = [role for role in left if role not in group]
        return self._parts[key]

    def relevant(self, roles, picked):
        """The roles among ``picked`` that a check ties to one of ``roles``."""
        key = tuple(roles), tuple(picked)
        if key not in self._relevant:
            own = set(roles)
            self._relevant[key] = sorted(
                {r for c in self.checks if c.needs_roles & own for r in c.needs_roles} & {*picked}
            )
        return self._relevant[key]

    @cached_property
    def dear_checks(self):
        """The checks, as (code, role), that rest on a fact which stands at a bound."""
        return frozenset(
            (c.code, c.role) for c in self.checks if any(self.registry.rests_on(n, self.optimistic) for n in c.reads)
        )
