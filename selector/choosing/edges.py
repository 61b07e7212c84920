"""How far each circumstance may move before the pick no longer complies: ``holds until ambient 61 degC``."""

from copy import copy
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from selector.choosing.checks import PASS, judge, margin_of
from selector.choosing.columns import Columns
from selector.facts.evaluator import Evaluation

FIRST_POINTS = 16
EVEN, CLOSE = np.arange(1, 9) / 8, np.array([-3e-2, -1e-3, -3e-5, -1e-6, 1e-6, 3e-5, 1e-3, 3e-2])
"""Shares of a span that are tried: even ones, and some close to where its end is expected by the chord."""
ROUNDS, NARROW = 8, 2.0**-24
"""Most rounds of trials; share of the first span at which a span is narrow enough: what the even trials come to by then."""
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


CHANGED = frozenset(
    {*(edge.column for edge in EDGES), "from_hottest_k", "to_hottest_k", "touches_any", "touches_others"}
)
"""Columns that change with a circumstance; a check that rests on none of them stays as it is."""


@dataclass
class Jobs:
    """Circumstances of places to be narrowed together.

    edge, place : number of the edge, and row among the served
    good, bad : values with which the place still complies, and no longer does
    room_good, room_bad : margin there of the check that fails, less its spare; unknown where it is no number
    code : of that check, None where nothing fails
    """

    edge: Any
    place: Any
    good: Any
    bad: Any
    room_good: Any
    room_bad: Any
    code: Any

    @classmethod
    def of(cls, edge, place, good, bad):
        unknown = np.full(len(edge), np.nan)
        return cls(edge, place, good, bad, unknown, unknown.copy(), np.full(len(edge), None, dtype=object))

    @property
    def whole(self):
        """Which are counts."""
        return np.array([not EDGES[e].unit for e in self.edge], dtype=bool)

    def only(self, mask):
        return Jobs(*(getattr(self, own.name)[mask] for own in fields(self)))

    def put(self, rows, others):
        for own in fields(self):
            getattr(self, own.name)[rows] = getattr(others, own.name)


def holds_until(block, chosen, picks):
    """Fill ``holds`` of every served place: (what, value, unit, code of the check that fails beyond it)."""
    served = np.array([i for i, one in enumerate(chosen) if one.status == "served"], dtype=np.int64)
    if not len(served):
        return
    trier = Trier(block, served, {role: index[served] for role, index in picks.items()})
    registry = block.solver.registry
    musts = [check for check in block.solver.checks if check.must and check.rests_on(CHANGED, registry)]
    jobs = _jobs(trier)
    if not len(jobs.edge):
        return
    failing = _narrow(trier, jobs, _trials(jobs, _first_shares(jobs)), musts)
    alive = np.array([code is not None for code in jobs.code], dtype=bool)
    enough = np.where(jobs.whole, 1.0, np.abs(jobs.bad - jobs.good) * NARROW)
    for _ in range(ROUNDS):
        rest = np.flatnonzero(alive & (np.abs(jobs.bad - jobs.good) > enough))
        if not len(rest):
            break
        some, checks = jobs.only(rest), [check for check in musts if check.code in failing]
        failing = _narrow(trier, some, _trials(some, _shares(some)), checks)
        jobs.put(rest, some)
    for j in np.flatnonzero(alive):
        edge = EDGES[jobs.edge[j]]
        chosen[served[jobs.place[j]]].holds.append((edge.what, float(jobs.good[j]), edge.unit, jobs.code[j]))


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
    return Jobs.of(*(np.concatenate(part) for part in (number, place, good, bad)))


def _first_shares(jobs):
    even = np.arange(1, FIRST_POINTS + 1) / FIRST_POINTS
    growing = (np.geomspace(1.0, 1e3 + 1, FIRST_POINTS + 1)[1:] - 1) / 1e3
    stretched = np.array([EDGES[e].what in STRETCHED for e in jobs.edge])
    return np.where(stretched[:, None], growing[None, :], even[None, :])


def _shares(jobs):
    """Shares of every span to be tried next: even ones, and some about the zero of the chord between its rooms."""
    with np.errstate(all="ignore"):
        chord = jobs.room_good / (jobs.room_good - jobs.room_bad)
    close = np.where(np.isfinite(chord), chord, 0.5)[:, None] + CLOSE
    even = np.broadcast_to(EVEN, (len(close), len(EVEN)))
    return np.sort(np.concatenate([even, np.clip(close, 0.0, 1.0)], axis=1), axis=1)


def _trials(jobs, shares):
    """Values to be tried of every job, from its good end to its bad one; counts are whole."""
    trials = jobs.good[:, None] + (jobs.bad - jobs.good)[:, None] * shares
    trials = np.where(jobs.whole[:, None], np.ceil(trials - 1e-9), trials)
    trials[:, -1] = jobs.bad
    return np.column_stack([jobs.good, trials])


def _narrow(trier, jobs, trials, checks):
    """Move both ends of every job to the trials around its first failure; returns the codes of what fails there."""
    judged = trier.judged(jobs.edge, jobs.place, trials, checks)
    any_fail = np.zeros(trials.shape, dtype=bool)
    for bad, _ in judged:
        any_fail |= bad
    any_fail[:, 0] = False  # the good end is known to be good
    has = any_fail.any(axis=1)
    first = np.maximum(any_fail.argmax(axis=1), 1)
    at = np.arange(len(jobs.edge))
    jobs.good = np.where(has, trials[at, first - 1], jobs.good)
    jobs.bad = np.where(has, trials[at, first], jobs.bad)
    seen = set()
    for check, (bad, room) in reversed(list(zip(checks, judged, strict=True))):
        own = has & bad[at, first]
        if own.any():
            seen.add(check.code)
            jobs.code[own] = check.code
            jobs.room_good[own], jobs.room_bad[own] = room[at, first - 1][own], room[at, first][own]
    return seen


class Trier:
    """Judges served places with one circumstance of each changed."""

    def __init__(self, block, served, picks):
        self.registry, self.spares = block.solver.registry, block.solver.spares
        self.solver = copy(block.solver)  # without what the block found that changes with a circumstance
        self.solver.dear = {
            name: role for name, role in block.solver.dear.items() if self.registry.leaves(name).isdisjoint(CHANGED)
        }
        self.solver.lazy = {}
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

    def judged(self, edge, place, trials, checks):
        """For each check two arrays (jobs, points): whether it does not pass in some case, and its least room.

        A job changes the circumstance number ``edge`` of the row ``place`` among the served to the values in ``trials``.
        """
        points = trials.shape[1]
        count = self.count[place]
        job_of = np.repeat(np.arange(len(place)), count)
        offset = np.arange(len(job_of)) - np.repeat(np.cumsum(count) - count, count)
        case = self.cases[self.begin[place][job_of] + offset]
        rows = np.repeat(case, points)
        values = trials[job_of].reshape(-1)
        picks = {role: np.repeat(index[place[job_of]], points) for role, index in self.picks.items()}
        evaluation = Evaluation(
            self.registry,
            Columns(self.solver, rows, picks, replaced=self._replaced(rows, values, np.repeat(edge[job_of], points))),
        )
        starts = np.cumsum(count) - count
        several = len(starts) != len(job_of)

        def by_job(values, reduce):
            values = np.broadcast_to(np.reshape(values, (-1,)), (len(rows),)).reshape(len(job_of), points)
            return reduce.reduceat(values, starts, axis=0) if several else values

        found = []
        for check in checks:
            verdict = judge(check, evaluation, self.spares[check.code])
            with np.errstate(all="ignore"):
                room = margin_of(check, verdict.actual, verdict.limit) - self.spares[check.code]
            bad = by_job(verdict.status, np.minimum) != PASS
            bad = bad & ~self.solver.skips(check, self.served[place])[:, None]
            found.append((bad, by_job(room, np.minimum)))
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
