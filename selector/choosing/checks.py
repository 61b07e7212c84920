"""Check rows made ready: what each reads, on which role it is decided, and how a verdict and its sentence are made."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from selector.catalogue.expression import Expression, parse
from selector.catalogue.names import prefix_of
from selector.errors import DefinitionError, Problems
from selector.units import UnitError, find_unit

FAIL, UNKNOWN, PASS = 0, 1, 2
STATUS_WORDS = ("fail", "unknown", "pass")
TOLERANCE = 1e-9
YES_NO = "yes/no"
OPTIMISTIC = {"conductor_temperature_k": "least_conductor_temperature_k", "device_resistance_ohm": 0.0}
"""Facts that rest on other picks or cost much, and what they are at their best: a fact, or a number.

Every must that reads them is harder to pass as they grow; what fails with these fails in earnest.
"""


@dataclass(frozen=True)
class Check:
    """One check row for one role of a kind.

    stage : number of the role, in the kind's order, with which everything the check reads is known
    end : "from" or "to" where the role belongs to an end
    role_alone : the only role whose part the check reads, facts that rest on others at their best; None if several
    exact_alone : whether nothing has to stand at its best for that
    """

    code: str
    name: str
    role: str
    end: str | None
    when: object
    actual: object
    sense: str
    limit: object
    unit: str
    severity: str
    spare_kind: str
    avoid_within: float
    source: str
    text: str
    stage: int
    reads: frozenset
    needs_roles: frozenset
    role_alone: str | None = None
    exact_alone: bool = False
    status: str = "read"

    def rests_on(self, columns, registry):
        """Whether the check reads any of these columns of a place; one of an end has the end before its name."""
        leaves = {leaf for name in self.reads for leaf in registry.leaves(name)}
        return bool((leaves | {f"{self.end}_{leaf}" for leaf in leaves if self.end}) & set(columns))

    @property
    def must(self):
        return self.severity == "must"

    @property
    def yes_no(self):
        return self.unit == YES_NO

    @property
    def margin_in_k(self):
        return self.unit in ("degC", "degF", "K")

    @property
    def at_most(self):
        return self.sense == "at most"


def compile_checks(rows, kind, names, registry, label="checks.csv"):
    """Checks of one kind from check rows; a row that reads a part the kind has no role for does not concern it."""
    problems = Problems()
    checks = []
    roles = [role.role for role in kind.roles]

    @cache
    def role_of(leaf, end):
        return _role_of(leaf, end, kind)

    for row in rows:
        for index, role in enumerate(roles):
            if row["role"] in (role, prefix_of(role)):
                check = _compile(row, kind, index, role, names, registry, problems, label, role_of)
                if check is not None:
                    checks.append(check)
    problems.raise_if_any(DefinitionError, f"{label} cannot be used")
    return checks


def _compile(row, kind, index, role, names, registry, problems, label, role_of):
    line, label = row.get("line"), row.get("file") or label
    read = names.reader(role)
    try:
        when = parse(row["when"], read, (label, line, "when")) if row["when"] else None
        actual = parse(row["actual"], read, (label, line, "actual"))
        limit = parse(row["limit"], read, (label, line, "limit"))
        unit = row["unit"] or ""
        if unit and unit != YES_NO:
            limit = _in_its_unit(limit, find_unit(unit))
    except UnitError as error:
        problems.add(label, line, "unit", error.found, error.expected, error.nearest)
        return None
    except DefinitionError as error:
        problems.extend(error.problems)
        return None
    end = role.rsplit(" ", 1)[-1] if role.endswith((" from", " to")) else None
    used = {name for e in (when, actual, limit) if e is not None for name in e.names}
    leaves = frozenset().union(*(registry.leaves(name) for name in used)) if used else frozenset()
    if not all(names.has(leaf) for leaf in leaves):
        return None
    needs = frozenset(r for r in (role_of(leaf, end) for leaf in leaves) if r is not None)
    stage = max([index, *(kind.stage(r) for r in needs)])
    at_best = {name for name in OPTIMISTIC if any(registry.rests_on(n, (name,)) for n in used)}
    few = frozenset().union(*(registry.leaves_at_best(name, OPTIMISTIC) for name in used)) if used else frozenset()
    alone = {r for r in (role_of(leaf, end) for leaf in few) if r is not None} | {role}
    return Check(
        code=row["code"],
        name=row["name"],
        role=role,
        end=end,
        when=when,
        actual=actual,
        sense=row["sense"],
        limit=limit,
        unit=unit,
        severity=row["severity"] or "must",
        spare_kind=row["spare"] or "no",
        avoid_within=row["avoid_within"] or 0.0,
        source=row["source"] or "",
        text=row["text"] or row["name"].replace("_", " "),
        stage=stage,
        reads=frozenset(used),
        needs_roles=needs | {role},
        role_alone=role if alone == {role} else None,
        exact_alone=alone == {role} and not at_best,
        status=row.get("status") or "read",
    )


def _in_its_unit(limit, unit):
    """A limit that is a bare number stands in the row's unit; one with a unit of its own has been read in that."""
    if limit.is_constant and not any(c.isalpha() for c in limit.text.replace("e", "").replace("E", "")):
        value = unit.to_inner(limit.value(lambda name: None))
        return Expression(limit.text, ("number", value), ())
    return limit


def _role_of(leaf, end, kind):
    """Which role of the kind a column comes from; None for a column of the place."""
    for own in ("from", "to"):
        if leaf.startswith(f"{own}_"):
            role = _role_of(leaf[len(own) + 1 :], own, kind)
            if role is not None:
                return role
    for role in kind.roles:
        prefix = prefix_of(role.role)
        if leaf.startswith(f"{prefix}_") and leaf[len(prefix) + 1 :] in kind.columns_of(role.family):
            if role.role.endswith((" from", " to")):
                return f"{prefix} {end}" if end else None
            return role.role
    return None


NOWHERE, UNKNOWN_NUMBER = np.array(False), np.array(np.nan)


class Verdict:
    """Status and numbers of one check on a block; arrays broadcast over places and candidates."""

    __slots__ = ("actual", "applies", "limit", "status")

    def __init__(self, status, applies, actual, limit):
        self.status, self.applies, self.actual, self.limit = status, applies, actual, limit


def judge(check, evaluation, spare):
    """Judge a check: PASS, FAIL or UNKNOWN, with what applies and both numbers in inner units."""

    def resolve(name):
        return evaluation.value(name, check.end)

    with np.errstate(all="ignore"):
        applies, does_not, away = None, NOWHERE, 0
        if check.when is not None:
            applies = np.asarray(check.when.value(resolve), dtype=float)
            does_not = np.asarray(applies == 0)
            away = np.count_nonzero(does_not)
            if away == does_not.size:  # what it compares need not be worked out
                return Verdict(np.full(does_not.shape, PASS, dtype=np.int8), ~does_not, UNKNOWN_NUMBER, UNKNOWN_NUMBER)
        actual = np.asarray(check.actual.value(resolve), dtype=float)
        limit = np.asarray(check.limit.value(resolve), dtype=float)
        short = limit - actual if check.at_most else actual - limit
        enough = spare - TOLERANCE
        if not check.margin_in_k and not check.yes_no:
            enough = enough * np.abs(limit) - TOLERANCE * (limit == 0)
        passes, fails = np.asarray(short >= enough), np.asarray(short < enough)  # neither where it is unknown
        status = UNKNOWN + passes.view(np.int8) - fails.view(np.int8)
        if away:
            status = np.where(does_not, np.int8(PASS), status)
        if applies is not None:
            doubtful = applies != applies
            if np.count_nonzero(doubtful):
                status = np.where(doubtful & (status == FAIL), np.int8(UNKNOWN), status)
    return Verdict(status, ~does_not, actual, limit)


def margin_of(check, actual, limit):
    """Margin of a check: a share of the limit, or kelvin for a temperature; at a limit of 0, +-inf by the sign."""
    short = limit - actual if check.at_most else actual - limit
    return short if check.margin_in_k or check.yes_no else _share(short, limit)


def margins_of(checks, actual, limit):
    """`margin_of` each check, for arrays whose first axis is the checks."""
    margin = limit - actual
    downward = np.array([not check.at_most for check in checks], dtype=bool)
    margin[downward] = actual[downward] - limit[downward]
    shares = np.array([not (check.margin_in_k or check.yes_no) for check in checks], dtype=bool)
    with np.errstate(all="ignore"):
        margin[shares] = _share(margin[shares], limit[shares])
    return margin


def _share(short, limit):
    scale = np.abs(limit)
    zero = scale == 0
    return np.where(zero, np.where(short >= -TOLERANCE, np.inf, -np.inf), short / np.where(zero, 1.0, scale))
