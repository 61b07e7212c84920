"""Choose for every place of a project: turns, preferences that are not musts, near misses, what governs, what holds."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from selector.catalogue.names import Names, prefix_of
from selector.choosing.cases import corner_cases
from selector.choosing.checks import FAIL, OPTIMISTIC, PASS, UNKNOWN, compile_checks, margin_of
from selector.choosing.circuit import has_own_wire
from selector.choosing.columns import ABSENT
from selector.choosing.order import Preference
from selector.choosing.plan import Plan
from selector.choosing.search import Solver
from selector.choosing.verdicts import TIE_DIGITS, VerdictTable, margin_scale
from selector.facts.distinct import distinct_numbers
from selector.project.limits import OF_THE_WAY
from selector.project.wanted import Wanted

BLOCK = 2000
TURNS = ((False, False), (False, True), (True, False), (True, True))
"""Turns of the choice as (unknown counts as pass, exotic parts too)."""
PROVISIONAL_TURN, LAST_TURN = 2, len(TURNS) - 1
DEAR = {"conductor_lone_ampacity_a": "conductor", "conductor_skin_factor": "conductor"}
LAZY = {"conductor_temperature_k": "conductor"}
"""Dear facts: worked out for all candidates of a role at once, or for those asked for."""
RESULTS = (
    "conductor_temperature_k", "conductor_surface_k", "voltage_drop_v", "path_resistance_ohm", "peak_drop_v", "whole_drop_v",
    "far_fault_a", "protection_longest_at_far_fault_s", "conductor_lone_ampacity_a",
    "conductor_balance_ampacity_a", "conductor_rule_ampacity_a", "heating_current_a", "laying_and_grouping",
    "line_rms_a", "winding_rms_a", "frequency_low_hz", "frequency_high_hz", "phase_to_phase_v", "ripple_rms_a", "conductor_skin_factor",
    "shunt_reading_v", "shunt_blade_k", "busbar_carries_a", "diode_average_a", "diode_rms_a", "diode_peak_a",
    "diode_loss_w", "module_loss_w", "sink_k", "case_k", "junction_k", "heat_share_low", "heat_share_high",
    "conductor_area_mm2", "conductor_diameter_m", "conductor_outer_diameter_m", "joint_grip_m", "joint_second_mm2",
    "joint_temperature_k", "joint_limit_k", "pull_force_n", "regulation_error_v", "pulse_current_a", "pulse_energy_j",
    "pulse_time_s", "clamping_voltage_v", "clamp_heated_v", "begins_at_v", "holds_at_rating_v", "suppressor_stand_off_v", "energy_share", "extrapolated",
    "release_time_s", "release_time_zener_s", "release_time_suppressor_s", "stored_energy_j",
    "released_energy_suppressor_j", "switch_with_suppressor_v",
)  # fmt: skip
HARDER_ON_THE_WAY = frozenset({"whole_drop_v", "whole_peak_drop_v"})
"""Facts that only grow with the rest of the way, where the peak is no less than the current: a must that they stay below
a limit is harder to pass for every part."""
LOSSES = ("voltage_drop_v", "path_resistance_ohm", "shunt_reading_v")
"""Results that say what a piece loses."""
SERVED, UNSERVED, INCOMPLETE = "served", "unserved", "incomplete"
WORDS = {word: word for word in (SERVED, UNSERVED, INCOMPLETE)}


@dataclass
class Ranks:
    """Order of preference of one role at each place of a block."""

    preference: Preference
    group: Any
    combinations: list

    def rank_of(self, combination):
        return self.preference.rank_of(combination)


@dataclass
class Miss:
    """A candidate next to the pick and the musts it fails: (check, actual, limit) with inner-unit numbers."""

    role: str
    index: int
    fails: list
    no_later: list = field(default_factory=list)


@dataclass
class Chosen:
    """What was chosen for one place; ``found`` where a tuple passes, the nearest stands in otherwise. Its numbers stand in the arrays of its block, at ``row``.

    waits : nothing passes, but something might if values nobody stated were known
    stands : it comes first, alone, even without the musts that a longer way may ease, or nothing does: on any known way
        where it passes, it is first there too
    picks : role -> candidate number, -1 for none; results : fact name -> number; quantities : role -> number
    """

    place: int
    kind: Any
    status: str
    row: int
    block: Any
    provisional: bool = False
    found: bool = True
    waits: bool = False
    stands: bool = False
    misses: list = field(default_factory=list)
    governing: str | None = None
    holds: list = field(default_factory=list)
    avoided: list = field(default_factory=list)

    @property
    def picks(self):
        return {role.role: int(self.block.picks[role.role][self.row]) for role in self.kind.roles}

    def pick(self, role):
        """Number of the part in a role, -1 where there is none."""
        index = self.block.picks.get(role) if any(own.role == role for own in self.kind.roles) else None
        return -1 if index is None else int(index[self.row])

    def result(self, name):
        """One of the results, unknown where its kind has none of that name."""
        values = self.block.results.get(name)
        return float("nan") if values is None else float(values[self.row])

    @property
    def results(self):
        return {name: float(values[self.row]) for name, values in self.block.results.items()}

    @property
    def quantities(self):
        return {role.role: float(self.block.quantities[role.role][self.row]) for role in self.kind.roles}

    @property
    def verdicts(self):
        """Every check that applies to the tuple: (check, status, actual, limit), numbers in inner units."""
        return self.block.verdicts.of(self.row)


@dataclass
class BlockResult:
    """Arrays of one block's places: picks and quantities by role, results by name, verdicts."""

    picks: dict
    quantities: dict = field(default_factory=dict)
    results: dict = field(default_factory=dict)
    verdicts: Any = None


class Chooser:
    """Everything the choice needs, made once for a project: candidates, checks, orders.

    ``registry_of`` gives the facts as a kind of connection reads them.
    """

    def __init__(self, catalogue, rule, settings, registry_of, kinds, candidates, bought, own_checks=(), own_order=()):
        self.catalogue, self.rule, self.settings = catalogue, rule, settings
        self.registry_of, self.kinds, self.candidates = registry_of, kinds, candidates
        self.bought = bought
        self.preferences = {
            family: Preference([*catalogue.rows("preference.csv"), *own_order], own)
            for family, own in candidates.items()
        }
        self.rows = [*catalogue.rows("checks.csv"), *own_checks]
        self._plans = {}
        self.progress = None
        self.memo = {}

    def forget(self):
        """Forget what rests on the candidates: there are others now."""
        self._plans.clear()
        self.memo.clear()

    def plan(self, kind, given):
        """The plan of one kind, and the names its formulas may use; ``given`` are the columns of its places."""
        if kind.name not in self._plans:
            parts = {prefix_of(role.role): self.candidates[role.family].columns for role in kind.roles}
            registry = self.registry_of(kind.name)
            every = [role for other in self.kinds.values() for role in other.roles]
            elsewhere = {prefix_of(role.role): self.candidates[role.family].columns for role in every}
            names = Names(registry, given, parts, elsewhere)
            checks = compile_checks(self.rows, kind, names, registry)
            candidates = {role.role: self.candidates[role.family] for role in kind.roles}
            self._plans[kind.name] = Plan(kind, checks, candidates, registry, OPTIMISTIC), names
        return self._plans[kind.name]

    def choose(self, places, indices, kind, wanted, brief=False, kinds_of=None, given=None, kept=None, alone=False):
        """Choose for the places ``indices`` by the roles of ``kind``; ``wanted`` says what each role may be there.

        ``kinds_of`` gives each place's own kind, whose roles are among those of ``kind``.

        ``given`` maps a place to parts decided elsewhere, role -> candidate number: they are judged, not searched.

        ``kept`` maps a place to a `Chosen` that stands, picked with no rest of its way: where it holds, it is the pick.

        ``alone``: the places have no rest of their way; the picks say whether they stand, and no more than `LOSSES`.
        """
        kept = kept or {}

        def blocks(places_of):
            for start in range(0, len(places_of), BLOCK):
                own = places_of[start : start + BLOCK]
                yield Block(self, places, own, kind, wanted, [kinds_of[i] if kinds_of else kind for i in own])

        if kept:  # those that are searched come together, as few blocks as may be
            kept = {i: kept[i] for block in blocks([i for i in indices if i in kept]) for i in block.holding(kept)}
            indices = sorted(indices, key=lambda i: i not in kept)
        chosen = []
        for block in blocks(indices):
            if self.progress is not None:
                self.progress(len(chosen), len(indices))
            chosen += block.choose(brief, given or {}, kept, alone)
        return chosen


NOT_THERE = Wanted(present=False)


class Block:
    def __init__(self, chooser, places, indices, kind, wanted, kinds_of):
        self.chooser, self.places, self.kind = chooser, places, kind
        self.kinds_of = kinds_of
        self.indices = np.asarray(indices, dtype=np.int64)
        self.wanted = wanted
        cases, place_of_case = corner_cases(places, self.indices)
        given = [name for name in cases if not isinstance(name, tuple)]
        given += list(places.constants) + [name[0] for name in cases if isinstance(name, tuple)]
        self.plan, self.names = chooser.plan(kind, given)
        self.checks = self.plan.checks
        settings = chooser.settings
        spares = {check.code: settings.spare_of(check.code, check.spare_kind) for check in self.checks}
        first = np.searchsorted(place_of_case, np.arange(len(indices)))
        flat = {name: values[first] for name, values in cases.items()}
        ranks = {}
        for role in kind.roles:
            preference = chooser.preferences[role.family]
            ranks[role.role] = Ranks(preference, *preference.groups(flat, len(indices)))
        near = settings.number("near rating"), settings.number("small device")
        dear, lazy = (
            {name: names[name] for name in names if name in self.plan.registry.functions} for names in (DEAR, LAZY)
        )
        self.solver = Solver(
            self.plan, cases, places.constants, place_of_case, spares, ranks, dear, lazy, chooser.memo, near
        )
        self._masks()

    def _masks(self):
        solver = self.solver
        for role in self.kind.roles:
            own = [self.wanted[i].get(role.role, NOT_THERE) for i in self.indices]
            count = len(solver.candidates[role.role])
            bought = self.chooser.bought[role.family]
            exotic = solver.candidates[role.role].columns.get("exotic", np.zeros(count))
            masks, number = [bought], {}
            commons = [~(exotic == 1)]
            which = np.zeros(len(own), dtype=np.int64)
            for i, want in enumerate(own):
                if want.only is None:
                    continue
                key = (tuple(want.only), want.fixed)
                if key not in number:
                    mask = np.zeros(count, dtype=bool)
                    mask[list(want.only)] = True
                    number[key] = len(masks)
                    if not want.fixed:  # the row's own insulation stands in for the project's, its size systems stay
                        mask = mask & (
                            solver.candidates[role.role].columns.get("in_bought_size_system", np.ones(count)) == 1
                        )
                    masks.append(mask)
                    commons.append(np.ones(count, dtype=bool) if want.fixed else commons[0])
                which[i] = number[key]
            solver.allowed[role.role] = _Rows(np.array(masks), which)
            solver.common[role.role] = _Rows(np.array(commons), which)
            solver.present[role.role] = np.array([want.present for want in own])

    # -- turns -------------------------------------------------------------------------------------------------------

    def choose(self, brief, given, kept, alone):
        solver = self.solver
        count = len(self.indices)
        picks = {role: np.full(count, ABSENT) for role in solver.roles}
        turn_of = np.full(count, -1)
        decided = self._take(given, picks)
        turn_of[decided] = 0
        settled = self._keep(kept, picks, turn_of)
        left, stands = np.flatnonzero(~settled), np.zeros(count, dtype=bool)
        if alone:
            left = self._first_on_any_way(left, picks, turn_of, stands)
        self._take_turns(left, picks, turn_of)
        avoided = self._avoid(picks, np.where(decided, -1, turn_of))
        waits = self._waits(np.flatnonzero(turn_of < 0))
        status = np.where(turn_of < 0, UNSERVED, np.where(turn_of < PROVISIONAL_TURN, SERVED, INCOMPLETE))
        self.result = BlockResult(picks)
        chosen = [
            Chosen(
                int(self.indices[i]),
                self.kinds_of[i],
                WORDS[status[i]],
                i,
                self.result,
                bool(turn_of[i] >= PROVISIONAL_TURN),
                bool(turn_of[i] >= 0),
                waits=bool(waits[i]),
                stands=bool(stands[i] and i not in avoided),
                avoided=avoided.get(i, []),
            )
            for i in range(count)
        ]
        unserved = np.flatnonzero(turn_of < 0)
        if alone:  # what else is unserved has no piece that loses anything
            self._nearest_to_serving([i for i in unserved if has_own_wire(self.wanted[self.indices[i]])], picks)
            self._results(self._evaluation(picks), LOSSES)
            return chosen
        self._nearest_to_serving(unserved, picks)
        if not brief:
            self._near_misses(chosen, picks, turn_of)
        self._verdicts(picks)
        self._judge(chosen, decided, status)
        self._govern(chosen)
        if brief:
            shown = np.union1d(self.result.verdicts.failing("should"), np.flatnonzero(status != SERVED))
            self.result.verdicts.keep_only(shown)
        else:
            from selector.choosing.edges import holds_until

            holds_until(self, chosen, picks)
        return chosen

    def _take(self, given, picks):
        """Put in the parts decided elsewhere; a mask of their places. What another row's device does stays its own."""
        decided = np.zeros(len(self.indices), dtype=bool)
        for i, place in enumerate(self.indices):
            own = given.get(int(place))
            if own is None:
                continue
            decided[i] = True
            for role in self.solver.roles:
                want = self.wanted[place].get(role, NOT_THERE)
                if want.inherited and want.present:
                    picks[role][i] = want.only[0]
                elif want.present:
                    picks[role][i] = own.get(role, ABSENT)
        return decided

    def holding(self, kept):
        """Of these places, each with a kept pick, those whose pick passes here as well as its turn asked, or where nothing
        can.

        What a finding would turn away from is left to be searched.
        """
        own = [kept[int(place)] for place in self.indices]
        found = np.array([one.found for one in own], dtype=bool)
        provisional = np.array([one.provisional for one in own], dtype=bool)
        rows = np.flatnonzero(found)
        picks = {role: np.array([own[i].pick(role) for i in rows], dtype=np.int64) for role in self.solver.roles}
        table = self.judged([c for c in self.checks if c.must or c.avoid_within], rows, picks)
        misses = (table.open_musts() & ((table.status == FAIL) | ~provisional[rows])).any(axis=0)
        avoids = np.array([bool(check.avoid_within) for check in table.checks], dtype=bool)
        turned_away = (table.applies & (table.status == FAIL))[avoids].any(axis=0)
        holds = ~found
        holds[rows] = ~misses & ~turned_away
        return self.indices[holds].tolist()

    def _keep(self, kept, picks, turn_of):
        """Put in the kept picks, which hold here; a mask of the rows that need no search."""
        settled = turn_of >= 0
        for i in np.flatnonzero(~settled):
            one = kept.get(int(self.indices[i]))
            if one is None:
                continue
            settled[i] = True
            if one.found:
                turn_of[i] = PROVISIONAL_TURN if one.provisional else 0
                for role in self.solver.roles:
                    picks[role][i] = one.pick(role)
        return settled

    def _take_turns(self, rows, picks, turn_of):
        """Search these rows turn by turn and put in what is found first."""
        self._turn(0, rows, picks, turn_of)
        self._turn(LAST_TURN, rows[turn_of[rows] < 0], picks, turn_of)  # what this does not find, none does
        for turn in range(1, LAST_TURN):
            self._turn(turn, rows[turn_of[rows] == LAST_TURN], picks, turn_of)

    def _turn(self, turn, rows, picks, turn_of):
        if not len(rows):
            return
        found, own = self.solver.search(rows, *TURNS[turn])
        for role, index in own.items():
            picks[role][rows[found]] = index[found]
        turn_of[rows[found]] = turn

    def _first_on_any_way(self, rows, picks, turn_of, stands):
        """Put in what comes first without the musts that a longer way may ease, where it passes those too; ``stands``
        says where, and where nothing is found even so. Returns the rows that must be searched with all musts.

        A longer way takes candidates away and adds none but by these musts. So what is first without them, and passes
        them there, is first there.
        """
        solver = self.solver
        eased = [check for check in self.checks if check.must and self._may_ease(check)]
        if any(c.role_alone and solver.ranks[c.role_alone].preference.near_first for c in eased):
            return rows  # such a must has a say in what counts as near, and so in the order itself
        solver.waive((check.code, check.role) for check in eased)
        self._take_turns(rows, picks, turn_of)
        solver.waive(())
        stands[rows] = ~self._peak_is_less()[rows]
        rows = rows[turn_of[rows] >= 0]
        if not len(rows):
            return rows
        table = self.judged(eased, rows, {role: index[rows] for role, index in picks.items()})
        strict = turn_of[rows] < PROVISIONAL_TURN
        again = rows[(table.open_musts() & ((table.status == FAIL) | strict)).any(axis=0)]
        turn_of[again], stands[again] = -1, False
        for index in picks.values():
            index[again] = ABSENT
        return again

    def _peak_is_less(self):
        """Rows whose peak may be less than their current."""
        columns, high = self.places.columns, self.places.high
        return columns["peak_current_a"][self.indices] < high.get("current_a", columns["current_a"])[self.indices]

    def _may_ease(self, check):
        """Whether a part may pass this check on a longer way though it does not on a shorter one."""
        registry = self.solver.registry
        if not check.rests_on(OF_THE_WAY, registry):
            return False
        leaves = (registry.leaves(name) for e in (check.when, check.limit) if e is not None for name in e.names)
        still = all(own.isdisjoint(OF_THE_WAY) for own in leaves)
        return not (check.at_most and still and check.actual.is_one_of(HARDER_ON_THE_WAY))

    def _judge(self, chosen, decided, status):
        """Parts decided elsewhere serve only where every must passes."""
        table = self.result.verdicts
        own = np.array([check.must for check in table.checks], dtype=bool)[:, None] & table.applies
        fails, unknown = ((own & (table.status == word)).any(axis=0) for word in (FAIL, UNKNOWN))
        for i in np.flatnonzero(decided & (fails | unknown)):
            chosen[i].status = status[i] = UNSERVED if fails[i] else INCOMPLETE

    def _waits(self, rows):
        """Which of these places have a tuple that fails nothing but musts resting on a value nobody stated."""
        waits, groups = np.zeros(len(self.indices), dtype=bool), {}
        for i in rows:
            assumed = self.places.typical_inputs.get(int(self.indices[i]))
            if assumed:
                groups.setdefault(self._resting_on(frozenset(assumed)), []).append(i)
        for codes, own in groups.items():
            self.solver.waive(codes)
            found, _ = self.solver.search(np.array(own), True, True)
            waits[np.array(own)[found]] = True
        if groups:
            self.solver.waive(())
        return waits

    def _resting_on(self, columns):
        """Musts, as (code, role), that rest on any of these columns of a place."""
        registry = self.solver.registry
        return frozenset((c.code, c.role) for c in self.checks if c.must and c.rests_on(columns, registry))

    def _avoid(self, picks, turn_of):
        """Turn away from tuples that fail a check marked so, where others are near enough in size."""
        solver, notes = self.solver, {}
        for check in self.checks:
            if not check.avoid_within:
                continue
            rows = np.flatnonzero(turn_of >= 0)
            if not len(rows):
                return notes
            status = _column(solver.worst([check], rows, {r: i[rows] for r, i in picks.items()}), len(rows))
            for turn, (lenient, exotic) in enumerate(TURNS):
                failing = rows[(status == FAIL) & (turn_of[rows] == turn)]
                kept = {}  # what a row was turned away from before, it is not led back to
                for i in failing:
                    kept.setdefault(tuple(notes.get(int(i), ())), []).append(i)
                for codes, bad in kept.items():
                    taken = self._turn_away(check, codes, np.array(bad), picks, lenient, exotic)
                    for i in taken:
                        notes.setdefault(int(i), []).append(check.code)
        return notes

    def _turn_away(self, check, kept, bad, picks, lenient, exotic):
        """Put in the tuples without a finding of this check, or of those kept, that are near enough; their rows."""
        solver, lead = self.solver, self.kind.leading
        solver.extra_musts = frozenset({check.code, *kept})
        found, own = solver.search(bad, lenient, exotic)
        solver.extra_musts = frozenset()
        take = found & (self._sizes_between(picks[lead][bad], own[lead], lead) <= check.avoid_within)
        for role, index in own.items():
            picks[role][bad[take]] = index[take]
        return bad[take]

    def _sizes_between(self, old, new, role):
        candidates = self.solver.candidates[role]
        values = np.append(candidates.size_value, np.nan)
        system = candidates.columns.get("in_size_system", np.ones(len(candidates)))
        system = np.append(system, np.nan)
        counts = np.zeros(len(old))
        for i, (a, b) in enumerate(zip(old, new, strict=True)):
            if b >= 0 and a >= 0:
                sizes = distinct_numbers(np.round(values[:-1][system[:-1] == system[b]], 6))
                counts[i] = np.sum((sizes > values[a] * 1.0001) & (sizes <= values[b] * 1.0001))
        return counts

    def _nearest_to_serving(self, rows, picks):
        """For rows that nothing serves: the leading role's candidate that fails fewest musts, earlier roles at their best."""
        solver, lead, rows = self.solver, self.kind.leading, np.asarray(rows, dtype=np.int64)
        if not len(rows):
            return
        lead_index = solver.roles.index(lead)
        early = solver.roles[:lead_index]
        for role in early:
            picks[role][rows] = self._fewest_alone(
                rows, role, {r: i[rows] for r, i in picks.items() if r in early[: early.index(role)]}
            )
        known = {role: picks[role][rows] for role in early}
        picks[lead][rows] = self._fewest_alone(rows, lead, known)
        for role in solver.roles[lead_index + 1 :]:
            known = {r: picks[r][rows] for r in solver.roles[: solver.roles.index(role)]}
            picks[role][rows] = self._fewest_alone(rows, role, known)

    def _fewest_alone(self, rows, role, known):
        solver = self.solver
        allowed = solver.allowed[role][rows]
        fails, short = np.zeros(allowed.shape), np.zeros(allowed.shape)
        for check, status, verdict in solver.verdicts(solver.plan.musts([role]), rows, known, role):
            misses = status != PASS
            fails = fails + misses
            if not check.yes_no and misses.any():
                short = np.minimum(short, self._shortfall(check, verdict, rows))
        rank = solver.rank(role, rows)
        best = np.empty(len(rows), dtype=np.int64)
        for i in range(len(rows)):
            best[i] = np.lexsort((rank[i], -short[i], np.where(allowed[i], fails[i], np.inf)))[0]
        usable = solver.present[role][rows] & allowed.any(axis=1)
        return np.where(usable, best, ABSENT)

    def _shortfall(self, check, verdict, rows):
        """Margin of each candidate under a numeric check that fails, in the places' first case; 0 where nothing is short,
        or where no part could help."""
        solver = self.solver
        _, starts = solver.cases_of(rows)

        def first(values):
            values = np.atleast_2d(values)
            return values if starts is None or len(values) == 1 else values[starts]

        actual, limit, failing = (first(v) for v in (verdict.actual, verdict.limit, verdict.status == FAIL))
        with np.errstate(all="ignore"):
            margin = margin_of(check, actual, limit) / margin_scale(check)
        margin = np.where(first(verdict.applies) & failing, margin, 0.0)
        if check.margin_in_k and check.at_most:  # where the air itself is too warm no part comes nearer than another
            air = np.reshape(solver.case_columns["ambient_k"][solver.first_case[rows]], (-1, 1)) + 1e-6
            margin = np.where(limit - solver.spares[check.code] <= air, 0.0, margin)
        return np.nan_to_num(margin, nan=0.0, neginf=-1e9)

    # -- reasons -----------------------------------------------------------------------------------------------------

    def _near_misses(self, chosen, picks, turn_of):
        solver, answers = self.solver, {PASS: {}, UNKNOWN: {}}
        rows = np.flatnonzero(turn_of >= 0)
        for stage, role in enumerate(solver.roles):
            pairs = self._smaller(rows, picks, role)
            if not len(pairs[0]):
                continue
            place, candidate = pairs
            sub = {r: picks[r][place] for r in solver.roles[:stage]}
            sub[role] = candidate
            table = self.judged(solver.plan.musts([role]), place, sub)
            count = table.open_musts().sum(axis=0)
            rest = solver.roles[stage + 1 :]
            rank = self._rank_at(place, candidate, role)
            filled = {r: picks[r][place] for r in rest}
            none_later = self._none_later(place, count, rank, sub, filled, turn_of, answers)
            order = np.lexsort((rank, count + none_later, place))
            _, first = np.unique(place[order], return_index=True)
            for at in order[first]:
                if count[at] + none_later[at] > 0:
                    fails = table.fails_of(at)
                    if none_later[at] and not fails:
                        fails = self._fails_later(place[[at]], {r: i[[at]] for r, i in sub.items()}, rest)
                    miss = Miss(role, int(candidate[at]), fails, rest if none_later[at] else [])
                    chosen[place[at]].misses.append(miss)
        lead = self.kind.leading
        unserved = np.flatnonzero((turn_of < 0) & (picks[lead] >= 0))
        if len(unserved):
            musts = [c for c in self.checks if c.must]
            table = self.judged(musts, unserved, {r: picks[r][unserved] for r in solver.roles})
            for at, i in enumerate(unserved):
                chosen[i].misses.append(Miss(lead, int(picks[lead][i]), table.fails_of(at)))

    def _none_later(self, place, count, rank, picks, later, turn_of, answers):
        """Which of these parts leave nothing for the roles ``later``, as far as it decides what comes first at their place.

        The one that fails least, and first among such, comes first where the rest can be filled: no other need be asked.
        """
        none = np.zeros(len(place), dtype=bool)
        if not later:
            return none

        def ask(at):
            own, filled = ({role: index[at] for role, index in some.items()} for some in (picks, later))
            none[at] = ~self._can_be_filled(place[at], own, filled, turn_of, answers)

        order = np.lexsort((rank, count, place))
        heads = order[np.unique(place[order], return_index=True)[1]]
        ask(heads)
        others = np.isin(place, place[heads[none[heads]]])
        others[heads] = False
        if others.any():
            ask(np.flatnonzero(others))
        return none

    def _can_be_filled(self, places, picks, later, turn_of, answers):
        """Whether later roles can be filled: by the parts picked there, ``later``, or by others.

        An unknown is good enough only where it was for the pick.
        """
        solver, can = self.solver, np.zeros(len(places), dtype=bool)
        status = solver.worst(solver.plan.musts(later), places, picks | later)[:, 0]
        for least, own in ((PASS, turn_of[places] < PROVISIONAL_TURN), (UNKNOWN, turn_of[places] >= PROVISIONAL_TURN)):
            can |= own & (status >= least)
            at = np.flatnonzero(own & ~can)
            if len(at):
                solver.least_status, solver.exotic, solver._answers = least, True, answers[least]
                can[at], _ = solver._fill(places[at], {r: i[at] for r, i in picks.items()}, list(later))
        return can

    def _fails_later(self, places, picks, roles):
        """The musts a part fails with the later parts that come nearest to suiting it."""
        solver, picks = self.solver, dict(picks)
        for role in roles:
            picks[role] = self._fewest_alone(places, role, picks)
        return self.judged(solver.plan.musts(roles), places, picks).fails_of(0)

    def _rank_at(self, place, candidate, role):
        return self.solver.rank(role, place)[np.arange(len(place)), candidate]

    def _smaller(self, rows, picks, role):
        """Pairs (place, candidate) of the next smaller size among what comes before the pick of a free role."""
        solver = self.solver
        size = solver.candidates[role].size_value
        places, candidates = [], []
        table = solver.rank(role, rows)
        for i, rank in zip(rows, table, strict=True):
            pick = picks[role][i]
            want = self.wanted[self.indices[i]].get(role, NOT_THERE)
            if pick < 0 or want.fixed or want.inherited or not want.present:
                continue
            before = solver.allowed[role][np.array([i])][0] & (rank < rank[pick])
            sized = size[pick] == size[pick]  # a part that has no size: all that comes before it is smaller
            if sized:
                before = before & (size < size[pick] * (1 - 1e-6))
            if (
                solver.candidates[role].columns.get("exotic", np.zeros(1))[
                    pick if "exotic" in solver.candidates[role].columns else 0
                ]
                != 1
            ):
                before = before & solver.common[role][np.array([i])][0]
            if not before.any():
                continue
            own = np.flatnonzero(before & (size >= size[before].max() * (1 - 1e-6)) if sized else before)
            places.append(np.full(len(own), i))
            candidates.append(own)
        if not places:
            return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
        return np.concatenate(places), np.concatenate(candidates)

    def judged(self, checks, places, picks, evaluation=None):
        """For each place the checks that apply, at the case of least margin; see `VerdictTable`.

        ``evaluation`` is that of these places and picks, where one is at hand.
        """
        solver = self.solver
        cases, starts = solver.cases_of(places)
        if evaluation is None:
            evaluation = solver.evaluation(cases, starts, places, picks)
        table = VerdictTable.judged(checks, evaluation, solver.spares, len(cases))
        table = table if starts is None else table.worst(starts)
        for number, check in enumerate(checks):
            table.applies[number] &= ~solver.skips(check, places)
        return table

    def _evaluation(self, picks):
        """Facts of the whole block with these picks."""
        places = np.arange(len(self.indices))
        return self.solver.evaluation(*self.solver.cases_of(places), places, picks)

    def _verdicts(self, picks):
        evaluation = self._evaluation(picks)
        self.result.verdicts = self.judged(self.checks, np.arange(len(self.indices)), picks, evaluation)
        self._results(evaluation)
        self.result.quantities = self.quantities(picks, evaluation)

    def _results(self, evaluation, names=RESULTS):
        """The published results, or some: the worst over a place's cases, low for what is had, high for what is suffered."""
        solver = self.solver
        cases, starts = solver.cases_of(np.arange(len(self.indices)))
        with np.errstate(all="ignore"):
            for name in names:
                if not all(self.solver.knows(leaf) for leaf in solver.registry.leaves(name)):
                    continue
                values = _column(np.asarray(evaluation.value(name), dtype=float), len(cases))
                if starts is not None:
                    reduce = np.fmin if name.endswith(("ampacity_a", "far_fault_a")) else np.fmax
                    values = reduce.reduceat(values, starts)
                self.result.results[name] = np.array(values)

    def quantities(self, picks, evaluation=None):
        """How much of each role's part every place takes, role -> array; ``evaluation`` as for `judged`."""
        from selector.catalogue.expression import parse

        found = {}
        cases, starts = self.solver.cases_of(np.arange(len(self.indices)))
        evaluation = self._evaluation(picks) if evaluation is None else evaluation
        for role in self.kind.roles:
            amount = parse(role.quantity, self.names.reader(role.role), ("kinds.csv", None, "quantity"))
            values = _column(np.asarray(amount.value(evaluation.value), dtype=float), len(cases))
            values = values if starts is None else np.maximum.reduceat(values, starts)  # enough for the longest
            found[role.role] = np.array(values)
        return found

    def _govern(self, chosen):
        """The near miss's worst margin in the leading role; yes/no only where nothing numeric fails."""
        lead = self.kind.leading
        least = self.result.verdicts.least_margins()
        for one in chosen:
            miss = next((m for m in one.misses if m.role == lead), None)
            if miss is not None and one.status != UNSERVED:
                numeric = [
                    (round(float(margin_of(c, a, x)) / margin_scale(c), TIE_DIGITS), c.code)
                    for c, a, x in miss.fails
                    if not c.yes_no and a == a and x == x
                ]
                worst = min(numeric, default=None)
                if worst is not None:
                    one.governing = worst[1]
                    continue
                if miss.fails:
                    one.governing = miss.fails[0][0].code
                    continue
            one.governing = least[one.row]


class _Rows:
    """Masks by row without a row's copy: ``masks[which[rows]]``."""

    def __init__(self, masks, which):
        self.masks, self.which = masks, which

    def __getitem__(self, rows):
        return self.masks[self.which[rows]]


def _column(values, count):
    values = np.asarray(values)
    if values.ndim == 2:
        values = values[:, 0]
    return np.broadcast_to(values, (count,)) if values.ndim < 1 or len(values) != count else values
