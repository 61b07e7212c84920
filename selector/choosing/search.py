"""The first tuple of parts, roles compared in turn by preference, that passes every must.

Rows are places with the parts of earlier roles; a stage judges all candidates of the next role at once, takes the
first few that pass, and asks whether the later roles can be filled. Roles that no check ties together are filled
apart, and equal questions are asked once.
"""

import numpy as np

from selector.choosing.checks import PASS, UNKNOWN, judge
from selector.choosing.columns import ABSENT, Columns
from selector.facts.distinct import distinct_numbers, distinct_rows
from selector.facts.evaluator import Evaluation

BLOCK_ELEMENTS = 16_000
"""Elements worked on at once: what stays in a processor's cache."""
SMALL_BLOCK = 40_000
MOST_REMEMBERED = 20_000


class Solver:
    """Searches for one kind's places; see the module. ``allowed`` maps a role to a mask (places, candidates)."""

    def __init__(self, plan, case_columns, constants, case_place, spares, ranks, dear, lazy, memo, near):
        self.plan = plan
        self.kind, self.checks, self.candidates, self.registry = plan.kind, plan.checks, plan.candidates, plan.registry
        self.roles, self.by_stage, self.optimistic = plan.roles, plan.by_stage, plan.optimistic
        self.case_columns, self.constants = case_columns, constants
        self.case_place = case_place
        self.count = int(case_place[-1]) + 1 if len(case_place) else 0
        self.first_case = np.searchsorted(case_place, np.arange(self.count))
        self.single_case = len(case_place) == self.count
        self.case_count = np.diff(np.append(self.first_case, len(case_place)))
        self.spares = spares
        self.ranks = ranks
        self.dear = dear
        self.lazy = lazy
        self.memo = memo
        self.near = near
        self._far = {}
        self._dear_values = {}
        self._alone_statuses = {}
        self._lazy_values = {}
        self._asked = {}
        self._answers = {}
        self._orders = {}
        self.allowed = {}
        self.common = {}
        self.present = {}
        self.extra_musts = frozenset()
        self.waived = frozenset()

    # -- columns -----------------------------------------------------------------------------------------------------

    def stores(self, key):
        """Whether a column is at hand: of the places, of a part, or the same everywhere."""
        return key in self.case_columns or key in self.plan.part_columns or key in self.constants

    def has_column(self, key):
        return self.stores(key) or key in self.dear

    def knows(self, leaf):
        """Whether a column is there for this kind, at either end where it belongs to one."""
        return (
            self.has_column(leaf)
            or self.has_column((leaf, "from"))
            or any(
                leaf.startswith(f"{end}_") and self.has_column((leaf[len(end) + 1 :], end)) for end in ("from", "to")
            )
        )

    def dear_values(self, name):
        """A dear fact for every case and every candidate of its role; each distinct case is worked out once."""
        if name not in self._dear_values:
            role = self.dear[name]
            inputs = [leaf for leaf in sorted(self.registry.leaves(name)) if leaf in self.case_columns]
            columns = [np.asarray(self.case_columns[leaf], dtype=float) for leaf in inputs]
            first, back = distinct_rows(columns or [np.zeros(len(self.case_place))])
            rows = np.column_stack([column[first] for column in columns]) if columns else np.zeros((1, 1))
            known = self.memo.setdefault((name, self.candidates[role].family), {})
            if len(known) > MOST_REMEMBERED:
                known.clear()
            keys = [row.tobytes() for row in rows]
            new = np.array([i for i, key in enumerate(keys) if key not in known], dtype=np.int64)
            step = max(1, BLOCK_ELEMENTS // max(1, len(self.candidates[role])))
            for start in range(0, len(new), step):
                some = new[start : start + step]
                for i, values in zip(some, self._dear_of(name, role, first[some]), strict=True):
                    known[keys[i]] = values
            self._dear_values[name] = np.array([known[key] for key in keys])[back]
        return self._dear_values[name]

    def _dear_of(self, name, role, cases):
        keep, self.dear = self.dear, {}
        try:
            with np.errstate(all="ignore"):
                values = np.asarray(Evaluation(self.registry, Columns(self, cases, {}, role)).value(name), dtype=float)
        finally:
            self.dear = keep
        values = np.broadcast_to(values, (len(cases), len(self.candidates[role])))
        return np.concatenate([values, np.full((len(cases), 1), np.nan)], axis=1)

    def lazy_values(self, name, cases, index):
        """A fact that costs much, worked out once for each case and candidate that is ever asked for."""
        role = self.lazy[name]
        if name not in self._lazy_values:
            self._lazy_values[name] = np.full((len(self.case_place), len(self.candidates[role]) + 1), np.nan)
            self._asked[name] = np.zeros(self._lazy_values[name].shape, dtype=bool)
            self._asked[name][:, -1] = True
        values, asked = self._lazy_values[name], self._asked[name]
        new = np.flatnonzero(~asked[cases, index])
        if len(new):
            pairs = distinct_numbers(cases[new] * values.shape[1] + index[new])
            case, candidate = pairs // values.shape[1], pairs % values.shape[1]
            keep, self.lazy = self.lazy, {}
            try:
                evaluation = Evaluation(self.registry, Columns(self, case, {role: candidate}))
                with np.errstate(all="ignore"):
                    found = np.asarray(evaluation.value(name), dtype=float)
            finally:
                self.lazy = keep
            values[case, candidate] = np.broadcast_to(found.reshape(-1), (len(case),))
            asked[case, candidate] = True
        return values[cases, index]

    # -- judging -----------------------------------------------------------------------------------------------------

    def cases_of(self, places):
        """Case rows of the places in order, and where each place's begin."""
        if self.single_case:
            return places, None
        counts = self.case_count[places]
        ends = np.cumsum(counts)
        starts = ends - counts
        return np.repeat(self.first_case[places] - starts, counts) + np.arange(ends[-1] if len(ends) else 0), starts

    def spread(self, picks, places, starts):
        """Picks of the places repeated for their cases."""
        if starts is None:
            return picks
        repeats = self.case_count[places]
        return {role: np.repeat(index, repeats) for role, index in picks.items()}

    def skips(self, check, places):
        """Where a check does not concern a place because its part is not there."""
        skip = np.zeros(len(places), dtype=bool)
        for role in check.needs_roles:
            if role == check.role or role.endswith((" from", " to")):
                skip |= ~self.present[role][places]
        return skip

    def worst(self, checks, places, picks, role=None, chosen=None, optimistic=False):
        """Worst status of the checks, (places, candidates of ``role``) or (places, 1), over each place's cases."""
        cases, starts = self.cases_of(places)
        evaluation = self.evaluation(cases, starts, places, picks, role, chosen, optimistic)
        worst = np.array(PASS, dtype=np.int8)
        for check in checks:
            status = judge(check, evaluation, self.spares[check.code]).status
            skip = self.skips(check, places)
            if skip.any():
                skip = skip if starts is None else skip.repeat(self.case_count[places])
                status = np.where(skip[:, None], np.int8(PASS), status)
            worst = np.minimum(worst, status)
        return _of_places(worst, starts)

    def verdicts(self, checks, places, picks, role=None):
        """(check, status, verdict) of each check: status as in `worst`, the verdict of every case of the places."""
        cases, starts = self.cases_of(places)
        evaluation = self.evaluation(cases, starts, places, picks, role)
        for check in checks:
            verdict = judge(check, evaluation, self.spares[check.code])
            status = _of_places(verdict.status, starts)
            skip = self.skips(check, places)
            if skip.any():
                status = np.where(skip[:, None], PASS, status)
            yield check, status, verdict

    def evaluation(self, cases, starts, places, picks, role=None, chosen=None, optimistic=False):
        """Facts of the places, whose ``cases`` and ``starts`` `cases_of` gives, with these picks."""
        columns = Columns(self, cases, self.spread(picks, places, starts), role, chosen)
        if optimistic:
            at_best = Evaluation(self.registry, columns)
            columns.replaced = {
                name: at_best.value(bound) if isinstance(bound, str) else bound
                for name, bound in self.optimistic.items()
                if not isinstance(bound, str) or all(self.knows(leaf) for leaf in self.registry.leaves(bound))
            }
        return Evaluation(self.registry, columns)

    def is_must(self, check):
        return (check.must or check.code in self.extra_musts) and (check.code, check.role) not in self.waived

    def waive(self, checks):
        """Search as if these checks, as (code, role), were no musts, until told otherwise."""
        before, self.waived = self.waived, frozenset(checks)
        changed = before ^ self.waived
        for role in {c.role_alone for c in self.checks if (c.code, c.role) in changed}:
            self._alone_statuses.pop(role, None)
            self._far.pop(role, None)

    # -- searching ---------------------------------------------------------------------------------------------------

    def search(self, places, lenient, exotic):
        """Best tuple for each place: (found mask, role -> index). ``lenient`` counts unknown as pass."""
        self.least_status = UNKNOWN if lenient else PASS
        self.exotic = exotic
        self._answers = {}
        hope = np.ones(len(places), dtype=bool)
        for role in self.roles:
            hope &= ~self.present[role][places] | self._alone(role, places).any(axis=1)
        found = np.zeros(len(places), dtype=bool)
        chosen = {role: np.full(len(places), ABSENT) for role in self.roles}
        rows = np.flatnonzero(hope)
        if len(rows):
            found[rows], own = self._fill(places[rows], {}, list(self.roles))
            for role, index in own.items():
                chosen[role][rows] = index
        return found, chosen

    def _alone(self, role, places):
        """Mask of the candidates of ``role`` that the checks on them alone leave, whatever the other parts are."""
        allowed = self.allowed[role][places]
        if not self.exotic:
            allowed = allowed & self.common[role][places]
        return allowed & (self._alone_status(role)[places] >= self.least_status)

    def solo(self, role, places):
        """As `_alone`, for others to ask."""
        return self._alone(role, places)

    def _alone_status(self, role):
        """Worst status of each candidate under the musts that read no other role's part, for the whole block.

        Facts that rest on other picks stand at their best here, so what fails fails with any of them.
        """
        if role not in self._alone_statuses:
            places = np.arange(self.count)
            checks = [c for c in self.checks if c.must and (c.code, c.role) not in self.waived and c.role_alone == role]
            worst = self.worst(checks, places, {}, role, optimistic=True)
            self._alone_statuses[role] = np.broadcast_to(worst, (self.count, len(self.candidates[role])))
        return self._alone_statuses[role]

    def far(self, role, places):
        """Mask of the candidates far larger than the least one that complies by itself, and not small; None where the
        order of the role does not ask. An unknown counts as complying only where nothing complies for certain."""
        if not self.ranks[role].preference.near_first:
            return None
        if role not in self._far:
            size, status = self.candidates[role].size_value, self._alone_status(role)
            allowed = self.allowed[role][np.arange(self.count)]
            least = np.full(self.count, np.inf)
            for enough in (UNKNOWN, PASS):
                some = np.where(allowed & (status >= enough), size, np.inf).min(axis=1, initial=np.inf)
                least = np.where(np.isfinite(some), some, least)
            times, small = self.near
            self._far[role] = size > np.maximum(times * least, small)[:, None] * (1 + 1e-9)
        return self._far[role][places]

    def rank(self, role, places):
        """Rank of every candidate at each place, (places, candidates); what is far above the least comes last."""
        ranks = self.ranks[role]
        table = np.array([ranks.rank_of(combination) for combination in ranks.combinations])
        rank, far = table[ranks.group[places]], self.far(role, places)
        return rank if far is None else rank + far * rank.shape[1]

    def _fill(self, places, picks, roles):
        """Fill ``roles`` for rows (places with picks); rows that ask the same are asked once."""
        if not roles:
            return np.ones(len(places), dtype=bool), {}
        parts = self.plan.parts_of(roles)
        if len(parts) > 1:
            found, chosen = np.ones(len(places), dtype=bool), {}
            for part in parts:
                ok = np.zeros(len(places), dtype=bool)
                alive = np.flatnonzero(found)
                some, own = self._fill(places[alive], {r: i[alive] for r, i in picks.items()}, part)
                ok[alive] = some
                found &= ok
                for role, index in own.items():
                    chosen[role] = np.full(len(places), ABSENT)
                    chosen[role][alive] = index
            return found, chosen
        relevant = self.plan.relevant(roles, picks)
        if len(relevant) == 1:
            return self._remembered(places, picks, roles, relevant[0])
        first, back = distinct_rows([places, *(picks[r] for r in relevant)])
        if len(first) == len(places):
            return self._fill_head(places, picks, roles)
        found, chosen = self._fill_head(places[first], {r: i[first] for r, i in picks.items()}, roles)
        return found[back], {role: index[back] for role, index in chosen.items()}

    def _remembered(self, places, picks, roles, role):
        """As `_fill` where the answer rests on one earlier pick only: each place and pick is asked once a search."""
        key = tuple(roles)
        width = len(self.candidates[role]) + 1
        if key not in self._answers:
            shape = (self.count, width)
            self._answers[key] = (
                np.full(shape, -1, dtype=np.int8),
                {r: np.full(shape, ABSENT, dtype=np.int32) for r in roles},
            )
        found, chosen = self._answers[key]
        index = picks[role]
        new = np.flatnonzero(found[places, index] < 0)
        if len(new):
            pairs = distinct_numbers(places[new] * width + (index[new] % width))
            place, pick = pairs // width, pairs % width
            own = {r: np.full(len(place), ABSENT) for r in picks}
            own[role] = np.where(pick == width - 1, ABSENT, pick)
            some, filled = self._fill_head(place, own, roles)
            found[place, pick] = some
            for r, values in filled.items():
                chosen[r][place, pick] = values
        return found[places, index] == 1, {r: values[places, index].astype(np.int64) for r, values in chosen.items()}

    def _fill_head(self, places, picks, roles):
        head, rest = roles[0], roles[1:]
        found = np.zeros(len(places), dtype=bool)
        chosen = {role: np.full(len(places), ABSENT) for role in roles}
        here = self.present[head][places]
        away = np.flatnonzero(~here)
        if len(away):
            without = {**{r: i[away] for r, i in picks.items()}, head: np.full(len(away), ABSENT)}
            some, own = self._fill(places[away], without, rest)
            found[away] = some & self._verified(self._of_others(head), places[away], without)
            for role, index in own.items():
                chosen[role][away] = index
        for group, combination in enumerate(self.ranks[head].combinations):
            rows = np.flatnonzero(here & (self.ranks[head].group[places] == group))
            if len(rows):
                some, own = self._first(places[rows], {r: i[rows] for r, i in picks.items()}, head, rest, combination)
                found[rows] = some
                for role, index in own.items():
                    chosen[role][rows] = index
        return found, chosen

    def _of_others(self, role):
        """Musts on parts of other roles that read the part of this one: unknown, not passed, where it has none."""
        return [c for c in self.by_stage[self.roles.index(role)] if self.is_must(c) and c.role != role]

    def _first(self, places, picks, head, rest, combination):
        """The first candidate of ``head``, with the roles after it, that passes: first among what is near in size to
        the least that complies, then among the rest."""
        allowed, far = self._passing(places, picks, head), self.far(head, places)
        if far is None:
            return self._first_of(allowed, places, picks, head, rest, combination)
        found, chosen = self._first_of(allowed & ~far, places, picks, head, rest, combination)
        left = np.flatnonzero(~found & (allowed & far).any(axis=1))
        if len(left):
            own = {role: index[left] for role, index in picks.items()}
            found[left], some = self._first_of((allowed & far)[left], places[left], own, head, rest, combination)
            for role, index in some.items():
                chosen[role][left] = index
        return found, chosen

    def _first_of(self, allowed, places, picks, head, rest, combination):
        """As `_first`, among the candidates ``allowed`` at each place."""
        order = self._order(head, combination)
        allowed = allowed[:, order]
        dear = self._must_verify(head)
        found = np.zeros(len(places), dtype=bool)
        chosen = {role: np.full(len(places), ABSENT) for role in (head, *rest)}
        count = allowed.cumsum(axis=1, dtype=np.int32)
        pending = np.flatnonzero(count[:, -1] > 0) if count.shape[1] else np.zeros(0, dtype=np.int64)
        done, batch = 0, 1
        while len(pending):
            window = allowed[pending] & (count[pending] > done) & (count[pending] <= done + batch)
            row, place_in_order = np.nonzero(window)
            row, candidate = pending[row], order[place_in_order]
            ok = np.ones(len(row), dtype=bool)
            sub = {**{r: i[row] for r, i in picks.items()}, head: candidate}
            if dear:
                ok = self._verified(dear, places[row], sub)
            own = {}
            alive = np.flatnonzero(ok)
            if rest and len(alive):
                some, own = self._fill(places[row[alive]], {r: i[alive] for r, i in sub.items()}, rest)
                ok[alive] = some
                own = {role: _scattered(index, alive, len(row)) for role, index in own.items()}
            good = np.flatnonzero(ok)
            winners, first = np.unique(row[good], return_index=True)
            found[winners] = True
            chosen[head][winners] = candidate[good[first]]
            for role, index in own.items():
                chosen[role][winners] = index[good[first]]
            done += batch
            batch *= 4
            pending = pending[~found[pending] & (count[pending, -1] > done)]
        return found, chosen

    def _passing(self, places, picks, role):
        """Mask of the candidates of ``role`` that no check of its stage rules out, dear facts at their best."""
        allowed = self._alone(role, places)
        checks = [c for c in self.by_stage[self.roles.index(role)] if self.is_must(c) and not self._settled_alone(c)]
        picked = role != self.optimistic_role
        for some_checks in self._together(checks, allowed.size):
            rows = np.flatnonzero(allowed.any(axis=1))
            if not len(rows):
                break
            some = np.flatnonzero(allowed[rows].any(axis=0))
            own = {r: i[rows] for r, i in picks.items()}
            best = not picked and self._is_dear(some_checks[0])
            allowed[np.ix_(rows, some)] &= (
                self.worst(some_checks, places[rows], own, role, some, best) >= self.least_status
            )
        return allowed

    def _together(self, checks, size):
        """Checks in the groups they are judged in: a large block one by one, so that each leaves less to the next."""
        plain = [check for check in checks if not self._is_dear(check)]
        dear = [check for check in checks if self._is_dear(check)]
        groups = [plain, dear] if size <= SMALL_BLOCK else [[check] for check in (*plain, *dear)]
        return [group for group in groups if group]

    def _settled_alone(self, check):
        return check.must and check.role_alone is not None and check.exact_alone

    optimistic_role = "conductor"

    def _order(self, role, combination):
        key = role, combination
        if key not in self._orders:
            self._orders[key] = np.argsort(self.ranks[role].rank_of(combination))
        return self._orders[key]

    def _is_dear(self, check):
        return (check.code, check.role) in self.plan.dear_checks

    def _must_verify(self, role):
        """Checks of the stage that were judged at their best and must be judged again as they are."""
        if role != self.optimistic_role:
            return []
        return [c for c in self.by_stage[self.roles.index(role)] if self.is_must(c) and self._is_dear(c)]

    def _verified(self, checks, places, picks):
        ok = self.worst(checks, places, picks)[:, 0] >= self.least_status
        return ok if len(ok) == len(places) else ok.repeat(len(places))


def _of_places(status, starts):
    """Status of each place, the worst of its cases; one line where it is the same at all."""
    if starts is not None and status.ndim and len(status) > 1:
        status = np.minimum.reduceat(status, starts, axis=0)
    return status if status.ndim else status.reshape(1, 1)


def _scattered(values, at, count):
    full = np.full(count, ABSENT)
    full[at] = values
    return full
