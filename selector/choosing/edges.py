"""How far each circumstance may move before the pick no longer complies: ``holds until ambient 61 degC``."""

from dataclasses import dataclass

import numpy as np

from selector.choosing.checks import PASS, judge
from selector.choosing.search import Columns
from selector.facts.evaluator import Evaluation

POINTS, ROUNDS = 24, 7


@dataclass(frozen=True)
class Edge:
    """One circumstance: its column, how far it is tried, and whether upward; ``unit`` is shown."""

    what: str
    column: object
    unit: str
    far: object
    upward: bool = True
    whole: bool = False
    applies: str | None = None


EDGES = (
    Edge("current", "current_a", "A", lambda now: np.maximum(now * 1e3, 1.0)),
    Edge("length", "length_m", "m", lambda now: np.maximum(now * 1e4, 1.0)),
    Edge("ambient", "ambient_k", "degC", lambda now: np.full(now.shape, 1273.15)),
    Edge("peak time", "peak_time_s", "s", lambda now: np.maximum(now * 1e4, 1.0), applies="has_peak"),
    Edge("air speed", "air_speed_m_per_s", "m/s", lambda now: np.zeros(now.shape), upward=False),
    Edge("altitude", "altitude_m", "m", lambda now: np.full(now.shape, 10000.0)),
    Edge("grouped with", "grouped_with", "", lambda now: now + 40.0, whole=True),
    Edge("hot end", "hottest_k", "degC", lambda now: np.full(now.shape, 1273.15), applies="hottest_stated"),
)


def holds_until(block, chosen, picks):
    """Fill ``holds`` of every served place: (what, value, unit, code of the check that fails beyond it)."""
    solver = block.solver
    served = np.array([i for i, one in enumerate(chosen) if one.status == "served"], dtype=np.int64)
    if not len(served):
        return
    own = {role: index[served] for role, index in picks.items()}
    cases, starts = solver.cases_of(served)
    columns = solver.case_columns
    musts = [check for check in solver.checks if check.must]
    jobs = []
    for edge in EDGES:
        now, far = _ends(edge, columns, cases, starts)
        if edge.applies:
            applies = _flag(edge.applies, columns, cases)
            applies = applies if starts is None else np.maximum.reduceat(applies, starts)
        else:
            applies = np.ones(len(served))
        useful = (applies == 1) & ~np.isnan(now) & (now != far)
        jobs.append((edge, now, far, useful))
    for edge, now, far, useful in jobs:
        rows = np.flatnonzero(useful)
        if len(rows):
            _search(block, edge, served[rows], {r: i[rows] for r, i in own.items()}, now[rows], far[rows], musts, chosen)


def _flag(name, columns, cases):
    if name in columns:
        return columns[name][cases]
    return np.maximum(columns[name, "from"][cases], columns[name, "to"][cases])


def _ends(edge, columns, cases, starts):
    if edge.column == "hottest_k":
        now = np.maximum(columns["hottest_k", "from"][cases], columns["hottest_k", "to"][cases])
    else:
        now = columns[edge.column][cases]
    if starts is not None:
        now = np.maximum.reduceat(now, starts) if edge.upward else np.minimum.reduceat(now, starts)
    return now, edge.far(now)


def _search(block, edge, places, picks, now, far, musts, chosen):
    """Narrow the first failing value between ``now`` (passing) and ``far`` by repeated division."""
    good, bad = now.astype(float), far.astype(float)
    code = [None] * len(places)
    alive = np.ones(len(places), dtype=bool)
    for turn in range(1 if edge.whole else ROUNDS):
        points = 40 if edge.whole else POINTS
        share = np.arange(1, points + 1) / points
        if turn == 0 and not edge.whole and edge.what in ("current", "length", "peak time"):
            share = (np.geomspace(1.0, 1e3 + 1, points + 1)[1:] - 1) / 1e3
        trial = good[:, None] + (bad - good)[:, None] * share[None, :]
        trial[:, -1] = bad
        passes, first_code = _passes(block, edge, places, picks, trial, musts)
        failing = ~passes
        any_fail = failing.any(axis=1)
        if turn == 0:
            alive &= any_fail
        first = np.where(any_fail, failing.argmax(axis=1), points - 1)
        at = np.arange(len(places))
        new_bad = trial[at, first]
        new_good = np.where(first > 0, trial[at, np.maximum(first - 1, 0)], good)
        good = np.where(any_fail, new_good, good)
        bad = np.where(any_fail, new_bad, bad)
        for i in np.flatnonzero(any_fail):
            code[i] = first_code[i, first[i]]
    for i, place in enumerate(places):
        if alive[i] and code[i] is not None:
            chosen[place].holds.append((edge.what, float(good[i]), edge.unit, code[i]))


def _passes(block, edge, places, picks, trial, musts):
    """Whether all musts pass at each trial value, and the code of the first that does not."""
    solver = block.solver
    cases, starts = solver.cases_of(places)
    per_case = np.arange(len(places)) if starts is None else np.repeat(np.arange(len(places)), np.diff(np.append(starts, len(cases))))
    points = trial.shape[1]
    rows = np.repeat(cases, points)
    values = trial[per_case].reshape(-1)
    own = {role: np.repeat(index[per_case], points) for role, index in picks.items()}
    replaced = _replaced(edge, solver.case_columns, rows, values)
    columns = Columns(_Fresh(solver), rows, own, replaced=replaced)
    evaluation = Evaluation(solver.registry, columns)
    good = np.ones((len(cases), points), dtype=bool)
    code = np.full((len(cases), points), None, dtype=object)
    for check in musts:
        verdict = judge(check, evaluation, solver.spares[check.code])
        status = np.broadcast_to(np.asarray(verdict.status).reshape(-1), (len(rows),)) if np.ndim(verdict.status) == 0 else np.asarray(verdict.status)[:, 0]
        if len(status) != len(rows):
            status = np.broadcast_to(status, (len(rows),))
        fails = status.reshape(len(cases), points) != PASS
        fails &= ~solver.skips(check, picks, places)[per_case][:, None]
        code[fails & good] = check.code
        good &= ~fails
    if starts is None:
        return good, code
    passes = np.logical_and.reduceat(good, starts, axis=0)
    worst = np.array([[next((c for c in code[a:b, p] if c is not None), None) for p in range(points)]
                      for a, b in zip(starts, np.append(starts[1:], len(cases)), strict=True)], dtype=object)  # fmt: skip
    return passes, worst


def _replaced(edge, columns, rows, values):
    values = values[:, None]
    if edge.column == "hottest_k":
        return {("hottest_k", end): np.where(columns["hottest_stated", end][rows][:, None] == 1, values, columns["hottest_k", end][rows][:, None])
                for end in ("from", "to")}  # fmt: skip
    replaced = {edge.column: values}
    if edge.column == "ambient_k":
        for end in ("from", "to"):
            stated = columns["hottest_stated", end][rows][:, None] == 1
            replaced["hottest_k", end] = np.where(stated, columns["hottest_k", end][rows][:, None], values)
    if edge.column == "grouped_with":
        replaced["touches_any"] = (values >= 1) * 1.0
        replaced["touches_others"] = (values >= 2) * 1.0
    return replaced


class _Fresh:
    """The solver without its block-wide values, which belong to the circumstances as they are."""

    def __init__(self, solver):
        self._solver = solver
        self.dear = {}
        self.lazy = {}

    def has_column(self, key):
        return key in self._solver.constants or key in self._solver.case_columns or self._solver.part_column(key) is not None

    def __getattr__(self, name):
        return getattr(self._solver, name)
