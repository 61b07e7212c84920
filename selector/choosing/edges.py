"""How far each circumstance may move before the pick no longer complies: ``holds until ambient 61 degC``."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from selector.choosing.checks import PASS, judge
from selector.choosing.columns import Columns
from selector.facts.evaluator import Evaluation

FIRST_POINTS = 16
NARROWING = ((256, 3), (64, 4), (16, 6), (8, 8))
"""(points, rounds), each of which cuts a span into 2**24 in all: many points at once while that stays a small block."""
SMALL_BLOCK = 4096
GROUPED_MOST = 40
STRETCHED = ("current", "length", "peak time")
"""Circumstances tried by growing steps: what matters may lie close by or a thousandfold away."""


@dataclass(frozen=True)
class Edge:
    """One circumstance: its column, the far end it is tried to, and the unit shown."""

    what: str
    column: str
    unit: str
    far: Any
    upward: bool = True
    applies: str | None = None


EDGES = (
    Edge("current", "current_a", "A", lambda now: np.maximum(now * 1e3, 1.0)),
    Edge("length", "length_m", "m", lambda now: np.maximum(now * 1e4, 1.0)),
    Edge("ambient", "ambient_k", "degC", lambda now: np.full(now.shape, 1273.15)),
    Edge("peak time", "peak_time_s", "s", lambda now: np.maximum(now * 1e4, 1.0), applies="has_peak"),
    Edge("air speed", "air_speed_m_per_s", "m/s", lambda now: np.zeros(now.shape), upward=False),
    Edge("altitude", "altitude_m", "m", lambda now: np.full(now.shape, 10000.0)),
    Edge("hot end", "hottest_k", "degC", lambda now: np.full(now.shape, 1273.15), applies="hottest_stated"),
    Edge("grouped with", "grouped_with", "", lambda now: now + GROUPED_MOST),
)


@dataclass
class Jobs:
    """Circumstances of places to be narrowed together: number of the edge, row among the served, both ends."""

    edge: Any
    place: Any
    good: Any
    bad: Any

    @property
    def whole(self):
        """Which are counts."""
        return np.array([not EDGES[e].unit for e in self.edge], dtype=bool)

    def only(self, mask):
        return Jobs(self.edge[mask], self.place[mask], self.good[mask], self.bad[mask])


def holds_until(block, chosen, picks):
    """Fill ``holds`` of every served place: (what, value, unit, code of the check that fails beyond it)."""
    served = np.array([i for i, one in enumerate(chosen) if one.status == "served"], dtype=np.int64)
    if not len(served):
        return
    trier = Trier(block, served, {role: index[served] for role, index in picks.items()})
    musts = [check for check in block.solver.checks if check.must]
    jobs = _jobs(trier)
    if not len(jobs.edge):
        return
    codes = np.full(len(jobs.edge), None, dtype=object)
    failing = _narrow(trier, jobs, _trials(jobs, _first_shares(jobs)), musts, codes)
    checks = [check for check in musts if check.code in failing]
    alive = np.array([code is not None for code in codes], dtype=bool)
    points, rounds = next((own for own in NARROWING if own[0] * alive.sum() <= SMALL_BLOCK), NARROWING[-1])
    shares = np.arange(1, points + 1) / points
    for _ in range(rounds):
        rest = np.flatnonzero(alive & ~(jobs.whole & (jobs.bad - jobs.good <= 1)))
        if not len(rest):
            break
        some, own = jobs.only(rest), codes[rest]
        _narrow(trier, some, _trials(some, shares), checks, own)
        jobs.good[rest], jobs.bad[rest], codes[rest] = some.good, some.bad, own
    for j in np.flatnonzero(alive):
        edge = EDGES[jobs.edge[j]]
        chosen[served[jobs.place[j]]].holds.append((edge.what, float(jobs.good[j]), edge.unit, codes[j]))


def _jobs(trier):
    number, place, good, bad = [], [], [], []
    for e, edge in enumerate(EDGES):
        now = trier.now(edge)
        far = edge.far(now)
        useful = trier.applies(edge) & ~np.isnan(now) & (now != far)
        rows = np.flatnonzero(useful)
        number.append(np.full(len(rows), e))
        place.append(rows)
        good.append(now[rows])
        bad.append(far[rows])
    return Jobs(*(np.concatenate(part) for part in (number, place, good, bad)))


def _first_shares(jobs):
    even = np.arange(1, FIRST_POINTS + 1) / FIRST_POINTS
    growing = (np.geomspace(1.0, 1e3 + 1, FIRST_POINTS + 1)[1:] - 1) / 1e3
    stretched = np.array([EDGES[e].what in STRETCHED for e in jobs.edge])
    return np.where(stretched[:, None], growing[None, :], even[None, :])


def _trials(jobs, shares):
    """Values to be tried between the two ends of every job; counts are whole."""
    trials = jobs.good[:, None] + (jobs.bad - jobs.good)[:, None] * shares
    trials = np.where(jobs.whole[:, None], np.ceil(trials - 1e-9), trials)
    trials[:, -1] = jobs.bad
    return trials


def _narrow(trier, jobs, trials, checks, codes):
    """Move both ends of every job to the trials around its first failure; returns codes that failed anywhere there."""
    fails = trier.fails(jobs, trials, checks)
    any_fail = np.zeros(trials.shape, dtype=bool)
    for bad in fails:
        any_fail |= bad
    has = any_fail.any(axis=1)
    first = any_fail.argmax(axis=1)
    at = np.arange(len(jobs.edge))
    before = np.where(first > 0, trials[at, np.maximum(first - 1, 0)], jobs.good)
    jobs.good = np.where(has, before, jobs.good)
    jobs.bad = np.where(has, trials[at, first], jobs.bad)
    seen = set()
    for check, bad in reversed(list(zip(checks, fails, strict=True))):
        own = has & bad[at, first]
        codes[own] = check.code
        if own.any():
            seen.add(check.code)
    return seen


class Trier:
    """Judges served places with one circumstance of each changed."""

    def __init__(self, block, served, picks):
        self.solver = _Fresh(block.solver)
        self.registry, self.spares = block.solver.registry, block.solver.spares
        self.served, self.picks = served, picks
        self.cases, self.starts = block.solver.cases_of(served)
        begin = np.arange(len(served)) if self.starts is None else self.starts
        self.begin = begin
        self.count = np.diff(np.append(begin, len(self.cases)))
        self.columns = block.solver.case_columns

    def _of_places(self, values, reduce):
        return values if self.starts is None else reduce.reduceat(values, self.starts)

    def now(self, edge):
        reduce = np.maximum if edge.upward else np.minimum
        if edge.column == "hottest_k":
            both = [
                np.where(self.columns["hottest_stated", end] == 1, self.columns["hottest_k", end], -np.inf)[self.cases]
                for end in ("from", "to")
            ]
            return self._of_places(np.maximum(*both), reduce)
        return self._of_places(self.columns[edge.column][self.cases], reduce)

    def applies(self, edge):
        if edge.applies is None:
            return np.ones(len(self.served), dtype=bool)
        if edge.applies in self.columns:
            flag = self.columns[edge.applies][self.cases]
        else:
            flag = np.maximum(*(self.columns[edge.applies, end][self.cases] for end in ("from", "to")))
        return self._of_places(flag, np.maximum) == 1

    def fails(self, jobs, trials, checks):
        """For each check an array (jobs, points): whether it does not pass in some case."""
        points = trials.shape[1]
        count = self.count[jobs.place]
        job_of = np.repeat(np.arange(len(jobs.place)), count)
        offset = np.arange(len(job_of)) - np.repeat(np.cumsum(count) - count, count)
        case = self.cases[self.begin[jobs.place][job_of] + offset]
        rows = np.repeat(case, points)
        values = trials[job_of].reshape(-1)
        edge = np.repeat(jobs.edge[job_of], points)
        place = jobs.place[job_of]
        picks = {role: np.repeat(index[place], points) for role, index in self.picks.items()}
        evaluation = Evaluation(
            self.registry, Columns(self.solver, rows, picks, replaced=self._replaced(rows, values, edge))
        )
        starts = np.cumsum(count) - count
        found = []
        for check in checks:
            status = np.asarray(judge(check, evaluation, self.spares[check.code]).status)
            status = np.broadcast_to(status.reshape(-1), (len(rows),)) if status.size == 1 else status[:, 0]
            status = np.broadcast_to(status, (len(rows),)) if len(status) == 1 else status
            bad = status.reshape(len(job_of), points) != PASS
            bad &= ~self.solver.skips(check, {}, self.served[place])[:, None]
            found.append(bad if len(starts) == len(bad) else np.logical_or.reduceat(bad, starts, axis=0))
        return found

    def _replaced(self, rows, values, edge):
        """Columns with the tried values in the rows of their edge; what follows from them moves along."""
        replaced = {}
        for e, own in enumerate(EDGES):
            mine = edge == e
            if not mine.any() or own.column == "hottest_k":
                continue
            replaced[own.column] = np.where(mine, values, self.columns[own.column][rows])[:, None]
            if own.column == "grouped_with":
                for name, least in (("touches_any", 1), ("touches_others", 2)):
                    replaced[name] = np.where(mine, (values >= least) * 1.0, self.columns[name][rows])[:, None]
        names = [own.column for own in EDGES]
        hot, air = edge == names.index("hottest_k"), edge == names.index("ambient_k")
        for end in ("from", "to"):
            now = self.columns["hottest_k", end][rows]
            stated = self.columns["hottest_stated", end][rows] == 1
            now = np.where(hot & stated, np.maximum(values, now), now)
            replaced["hottest_k", end] = np.where(air & ~stated, values, now)[:, None]
        return replaced


class _Fresh:
    """The solver without its block-wide values, which belong to the circumstances as they are."""

    def __init__(self, solver):
        self._solver = solver
        self.dear = {}
        self.lazy = {}

    def has_column(self, key):
        return self._solver.stores(key)

    def __getattr__(self, name):
        return getattr(self._solver, name)
