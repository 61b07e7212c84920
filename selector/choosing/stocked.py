"""What is in stock against every place: what complies there, what does not, and what would make it comply.

Stock is judged as any part is: by the same checks on the same facts, at its real dimensions. An item stands for a part
of the tables; its condition takes its share off what a wire may carry.
"""

import math
from dataclasses import dataclass, field, replace

import numpy as np

from selector.choosing.checks import PASS
from selector.choosing.choose import BLOCK, Block
from selector.choosing.edges import EDGES, Trier
from selector.project.wanted import Wanted

POINTS, ROUNDS = 16, 3
COLDEST_TRIED_K = 60.0
"""How much cooler than it is a place is tried."""
MOST_NAMED = 12
"""Parts a doubtful item may be; where it is one or more than these, what its words lack is told instead."""
CARRIES = "conductor"
"""The role whose checks know the factor of a condition."""


@dataclass(frozen=True)
class Use:
    """A part in stock, in one state: its family, its number among the candidates, the share left of its ampacity."""

    family: str
    index: int
    factor: float


@dataclass
class Refused:
    """Why an item, or a part of it, does not serve: a check with its numbers, or a sentence."""

    line: int
    part: str | None
    place: int | None
    role: str | None
    code: str
    actual: object = None
    limit: object = None
    text: str = ""
    check: object = None


@dataclass
class Fit:
    """One part in stock in one role of one place.

    picks : the parts it complies with, None where it does not comply; fails : the musts it fails
    cures : what would make it comply; pieces_m : lengths in stock, longest first; cut_m : what one cut needs
    beside : (role, part, the pick's part) where it is judged beside another part than the pick's
    times, most_times : how often a wire's section is the plain pick's, and how often a plan lets it be
    """

    place: int
    role: str
    use: Use
    picks: dict | None
    fails: list = field(default_factory=list)
    no_later: tuple = ()
    cures: list = field(default_factory=list)
    pieces_m: list = field(default_factory=list)
    cut_m: float | None = None
    explained: bool = False
    beside: tuple | None = None
    times: float = 1.0
    most_times: float = math.inf

    @property
    def too_short(self):
        return self.cut_m is not None and not any(length >= self.cut_m - 1e-9 for length in self.pieces_m)

    @property
    def too_large(self):
        return self.times > self.most_times * (1 + 1e-9)

    @property
    def serves(self):
        """Whether a plan may use it: it complies, is long enough, and is no wire far larger than the pick."""
        return self.picks is not None and not self.too_short and not self.too_large


class Stock:
    """Items sorted by what they may be used for.

    uses : use -> items; tests : line -> what to try before use; refused : items that are used nowhere, and why
    """

    def __init__(self, items, conditions, candidates):
        self.items, self.candidates = items, candidates
        self.uses, self.tests, self.refused, self.factors = {}, {}, [], {}
        for item in items:
            reason = self._why_not(item, conditions)
            if reason:
                self.refused.append(Refused(item.line, item.part, None, None, *reason))
                continue
            for index in self.ways(item):
                self.uses.setdefault(Use(item.family, index, self.factors[item.line]), []).append(item)

    def ways(self, item):
        """The candidates an item may be taken as: itself, and several of it in parallel where its family has that."""
        own = self.candidates[item.family]
        if not own.plain_keys:
            return [item.index]
        plain = own.plain_key(item.index)
        return [index for index in range(len(own)) if own.plain_key(index) == plain]

    def _why_not(self, item, conditions):
        """(code, actual, limit, sentence) of an item nobody may use, or None."""
        if item.quantity == 0:
            return "NONE", 0, "a piece", "None is left, the list says."
        if item.status == "ambiguous":
            some = ", ".join(item.candidates[:4])
            count = item.candidates_in_all or len(item.candidates)
            more = f" and {count - 4} more" if count > 4 else ""
            if item.remarks and (
                item.identified is not None or not 2 <= count <= MOST_NAMED
            ):  # what is missing says more than the names do
                return "AMBIGUOUS", None, None, " ".join(item.remarks)
            return "AMBIGUOUS", None, None, f"It may be any of {some}{more}: say which, and it can be used."
        if item.status == "exact" and item.index is None:
            return "IDLE", None, None, " ".join(item.remarks)
        if item.status == "unread" or item.index is None or item.family not in self.candidates:
            return "UNREAD", None, None, " ".join(item.remarks) or "No part of the tables is meant by these words."
        row = condition_of(conditions, item.condition, item.family)
        if row is None:
            return (
                "CONDITION",
                item.condition,
                "a known condition",
                f"Nothing is known of the condition {item.condition}.",
            )
        if row["test_before_use"]:
            self.tests[item.line] = row["test_before_use"]
        if row["usable"] != "yes":
            return "CONDITION", item.condition, "usable", f"Its condition ({item.condition}) rules it out."
        factor = row["ampacity_factor"]
        self.factors[item.line] = 1.0 if factor is None else float(factor)
        if self.factors[item.line] != 1.0 and item.family != "wires":
            self.factors.pop(item.line)
            return (
                "CONDITION",
                item.condition,
                "as new",
                "Its condition takes a share off it that no check of it knows.",
            )
        return None

    def part(self, use):
        return self.candidates[use.family].keys[use.index]

    def lines(self, use):
        return [item.line for item in self.uses[use]]

    def of_family(self, family):
        return [use for use in self.uses if use.family == family]

    def pieces_m(self, use):
        """Lengths in stock of a part, longest first, in this state or a better one."""
        found = []
        for own, items in self.uses.items():
            if (own.family, own.index) == (use.family, use.index) and own.factor >= use.factor:
                found += [
                    item.length_m for item in items for _ in range(int(item.quantity)) if item.length_m is not None
                ]
        return sorted(found, reverse=True)


def condition_of(conditions, condition, family):
    """The row of a condition for a family: its own, else the one for all."""
    own = [row for row in conditions if row["condition"].casefold() == condition.casefold()]
    for wanted in (family, None, "", "all", "any"):
        for row in own:
            if row["family"] == wanted:
                return row
    return None


def repeated(places, rows, condition=None):
    """The places of ``rows``, each as often as it stands there; ``condition`` gives each row's condition factor."""
    columns = {name: values[rows] for name, values in places.columns.items()}
    high = {name: values[rows] for name, values in places.high.items()}
    if condition is not None:
        columns["condition_factor"] = np.array(condition, dtype=float)
    return replace(places, columns=columns, high=high)


def times_the_pick(sizes, index, plain):
    """How often a wire's section is that of the plain pick; 1 where there is none, or a section is not known."""
    if plain < 0 or not sizes[plain] > 0 or not sizes[index] > 0:
        return 1.0
    return float(sizes[index] / sizes[plain])


def by_block(rows):
    return [rows[start : start + BLOCK] for start in range(0, len(rows), BLOCK)]


class Fits:
    """Every part in stock in every role it may take: the plain picks stand in ``chosen``."""

    def __init__(self, chooser, places, wanted, chosen, stock, parallel=None, most_times=math.inf):
        self.chooser, self.places, self.wanted, self.stock = chooser, places, wanted, stock
        self.chosen = {one.place: one for one in chosen}
        self.parallel, self.most_times = parallel, most_times
        self.read = {}

    def of(self, indices):
        """Fits of the places ``indices``; `explain` says of what does not comply why."""
        found = []
        by_kind = {}
        for i in indices:
            by_kind.setdefault(self.chosen[i].kind.name, []).append(i)
        for own in by_kind.values():
            kind = self.chosen[own[0]].kind
            asked = [ask for i in own for ask in self._asks(i, kind)]
            leading = []
            for block in by_block([ask for ask in asked if ask[1] == kind.leading]):
                leading += self._judge(kind, block, {})
            complying = {}
            for fit in leading:
                if fit.picks is not None:
                    complying.setdefault(fit.place, []).append(fit.picks)
            found += leading
            for block in by_block([ask for ask in asked if ask[1] != kind.leading]):
                found += self._judge(kind, block, complying)
        return found

    def _asks(self, i, kind):
        """(place, role, use) for each role the row leaves to stock."""
        for role in kind.roles:
            want = self.wanted[i].get(role.role)
            if want is None or not want.present or want.inherited:
                continue
            for use in self.stock.of_family(role.family):
                if use.factor != 1.0 and role.role != CARRIES:
                    continue
                if want.only is None or use.index in want.only:
                    yield i, role.role, use

    def _judge(self, kind, asked, leading):
        """Fits of what is asked: beside the plain pick's other parts where that will do, else beside what will.

        ``leading`` has the tuples of leading parts in stock that comply at a place: other roles may need one of them,
        but no part is bought larger for their sake.
        """
        block = self._block(kind, asked, self._narrow(kind, asked, leading, True))
        passed, picks = search_both(block.solver, np.arange(len(asked)))
        left = np.flatnonzero(~passed)
        if len(left):
            again = [asked[at] for at in left]
            wider = self._block(kind, again, self._narrow(kind, again, leading, False))
            more, own = search_both(wider.solver, np.arange(len(again)))
            passed = passed.copy()
            passed[left[more]] = True
            for role, index in own.items():
                picks[role][left[more]] = index[more]
        cuts = cut_of(block, np.arange(len(asked)), self.places.constants["cut_allowance_m"])
        units = {role.role: role.unit for role in kind.roles}
        fits = []
        for at, (i, role, use) in enumerate(asked):
            own = {name: int(index[at]) for name, index in picks.items()} if passed[at] else None
            fit = Fit(i, role, use, own)
            if units[role] == "m":
                fit.cut_m, fit.pieces_m = float(cuts[at]), self.stock.pieces_m(use)
            if role == CARRIES:
                size, one = self.chooser.candidates[use.family].size_value, self.chosen[i]
                fit.times = times_the_pick(size, use.index, one.pick(role) if one.status == "served" else -1)
                fit.most_times = self.most_times
            fits.append(fit)
        return fits

    def explain(self, fits):
        """For what does not comply: what it fails, and what would cure it."""
        by_kind = {}
        for fit in fits:
            if fit.picks is None and not fit.explained:
                by_kind.setdefault(self.chosen[fit.place].kind.name, []).append(fit)
        for own in by_kind.values():
            kind = self.chosen[own[0].place].kind
            for some in by_block(own):
                asked = [(fit.place, fit.role, fit.use) for fit in some]
                self._reasons(self._block(kind, asked, self._narrow(kind, asked, {}, False)), kind, some)
                for fit in some:
                    fit.explained = True

    def _narrow(self, kind, asked, leading, plain):
        """What each role may be: the one asked about is fixed; with ``plain`` the ones before the ends are the pick's."""
        wanted = []
        for i, role, use in asked:
            own = {**self.wanted[i], role: Wanted(only=[use.index], fixed=True)}
            one = self.chosen[i]
            for other in kind.roles if one.status == "served" else ():
                name, want = other.role, self.wanted[i].get(other.role)
                pick = one.pick(name)
                if name == role or want is None or not want.present or want.inherited or pick < 0:
                    continue
                if name.endswith((" from", " to")):
                    continue
                if plain:
                    own[name] = Wanted(only=[pick], fixed=True)
                elif role != kind.leading:
                    others = {picks[name] for picks in leading.get(i, ()) if picks[name] >= 0}
                    own[name] = Wanted(only=sorted({pick} | others), fixed=True)
            wanted.append(own)
        return wanted

    def _block(self, kind, asked, wanted):
        rows = np.array([i for i, _, _ in asked], dtype=np.int64)
        places = repeated(self.places, rows, [use.factor for _, _, use in asked])
        return Block(self.chooser, places, list(range(len(rows))), kind, wanted, [kind] * len(rows))

    def _reasons(self, block, kind, fits):
        """Fill in what each part that does not comply fails, beside the plain pick's other parts, and its cures."""
        solver = block.solver
        for stage, role in enumerate(solver.roles):
            rows = np.array(
                [at for at, fit in enumerate(fits) if fit.picks is None and fit.role == role], dtype=np.int64
            )
            if not len(rows):
                continue
            picks = {
                name: np.array([self.chosen[fits[at].place].pick(name) for at in rows]) for name in solver.roles[:stage]
            }
            picks[role] = np.array([fits[at].use.index for at in rows])
            if stage and role == kind.leading:
                self._best_head(solver, fits, rows, picks, stage)
            checks = [check for check in solver.by_stage[stage] if check.must]
            table = block.judged(checks, rows, picks)
            for n, at in enumerate(rows):
                fits[at].fails = table.fails_of(n)
            self._without_company(block, kind, fits, rows, picks, stage)
            self._cures(block, fits, rows, picks, checks)

    def _best_head(self, solver, fits, rows, picks, stage):
        """A wire that does not comply is judged beside the device it fails least with, where the row leaves it free."""
        head, lead = solver.roles[0], solver.roles[stage]
        checks = [check for check in solver.by_stage[stage] if check.must]
        free = [
            n
            for n, at in enumerate(rows)
            if solver.present[head][at]
            and (want := self.wanted[fits[at].place][head]).only is None
            and not want.inherited
        ]
        if not free:
            return
        own = rows[free]
        fails = np.zeros((len(own), len(solver.candidates[head])))
        for _, status, _ in solver.verdicts(checks, own, {lead: picks[lead][free]}, head):
            fails = fails + (status != PASS)
        solver.least_status, solver.exotic = PASS, True
        fails[~solver.solo(head, own)] = np.inf
        ranks = solver.ranks[head]
        for k, n in enumerate(free):
            rank = ranks.rank_of(ranks.combinations[ranks.group[own[k]]])
            best, now = int(np.lexsort((rank, fails[k]))[0]), picks[head][n]
            if np.isfinite(fails[k, best]) and (now < 0 or fails[k, best] < fails[k, now]):
                picks[head][n] = best
                fits[own[k]].beside = head, best, int(now)

    def _without_company(self, block, kind, fits, rows, picks, stage):
        """For parts that pass by themselves: what they fail beside the pick's other parts, or the first role that no
        part of the tables fills beside them."""
        solver = block.solver
        alone = np.array([n for n, at in enumerate(rows) if not fits[at].fails], dtype=np.int64)
        if not len(alone):
            return
        role, rest = solver.roles[stage], list(solver.roles[stage + 1 :])
        lead = solver.roles.index(kind.leading)
        if stage < lead:
            known = {
                name: np.array([self.chosen[fits[at].place].pick(name) for at in rows[alone]])
                for name in solver.roles[: lead + 1]
            }
            known[role] = picks[role][alone]
            table = block.judged([c for c in solver.checks if c.must and role in c.needs_roles and c.stage <= lead],
                                 rows[alone], known)  # fmt: skip
            for k, n in enumerate(alone):
                fits[rows[n]].fails = table.fails_of(k)
            alone = np.array([n for n in alone if not fits[rows[n]].fails], dtype=np.int64)
        solver.least_status, solver.exotic, solver._answers = PASS, True, {}
        for group in solver.plan.parts_of(rest) if rest and len(alone) else []:
            passed, _ = solver._fill(rows[alone], {name: index[alone] for name, index in picks.items()}, group)
            for n in alone[~passed]:
                fits[rows[n]].no_later = fits[rows[n]].no_later or (group[0],)
        for n in alone:
            earlier = [name for name in solver.roles[:stage] if solver.present[name][rows[n]]]
            fits[rows[n]].no_later = fits[rows[n]].no_later or tuple(earlier[:1])

    def _cures(self, block, fits, rows, picks, checks):
        """What would make it comply: a shorter run, a cooler place, a lower fuse, two side by side."""
        few = [
            n
            for n, at in enumerate(rows)
            if fits[at].fails and all(not c.yes_no and a == a and x == x for c, a, x in fits[at].fails)
        ]
        if not few or "length_m" not in block.solver.case_columns:
            return
        own = rows[few]
        names = [edge.what for edge in EDGES]
        for what, column, least in (("length", "length_m", lambda now: now * 0.0),
                                    ("ambient", "ambient_k", lambda now: now - COLDEST_TRIED_K)):  # fmt: skip
            some = [n for n in few if all(self._reads(block.solver, c, column) for c, *_ in fits[rows[n]].fails)]
            if not some:
                continue
            trier = Trier(block, rows[some], {role: index[some] for role, index in picks.items()})
            now = trier.now(EDGES[names.index(what)])
            reached = nearest_good(trier, names.index(what), now, least(now), checks)
            for n, value in zip(some, reached, strict=True):
                if value == value:
                    fits[rows[n]].cures.append((what, float(value)))
        self._lower_device(fits, own)
        self._side_by_side(fits, own)

    def _reads(self, solver, check, column):
        """Whether a check's numbers rest on a column of the place at all."""
        key = id(solver.registry), check.code, check.end, column
        if key not in self.read:
            self.read[key] = any(column in solver.registry.leaves(name) for name in check.reads)
        return self.read[key]

    def _lower_device(self, fits, rows):
        """Where the row's own device is what is in the way: the device with which the part would comply."""
        asked = []
        for at in rows:
            want = self.wanted[fits[at].place].get("protection")
            if want is not None and want.present and want.fixed and not want.inherited and fits[at].role == CARRIES:
                asked.append(at)
        for at, index in self._again(fits, asked, {}, {"protection": Wanted()}, "protection"):
            fits[at].cures.append(("lower fuse", index))

    def _side_by_side(self, fits, rows):
        """Two of it, each with half the current and a device of its own, where the rule set allows it."""
        asked = [at for at in rows if fits[at].role == CARRIES]
        if not asked:
            return
        changed = {
            name: lambda values, legs: values / 2
            for name in ("current_a", "peak_current_a")
            if name in self.places.columns
        }
        changed["grouped_with"] = lambda values, legs: values + legs
        free = {"protection": Wanted()}
        for at, index in self._again(fits, asked, changed, free, "protection"):
            fits[at].cures.append(("two side by side" if self.parallel == "yes" else "not side by side", index))

    def _again(self, fits, asked, changed, free, shown):
        """Search once more with columns changed and roles set free: (number, what stands in ``shown``) of what passes."""
        if not asked:
            return []
        kind = self.chosen[fits[asked[0]].place].kind
        rows = np.array([fits[at].place for at in asked], dtype=np.int64)
        places = repeated(self.places, rows, [fits[at].use.factor for at in asked])
        legs = places.columns["legs"]
        for own in (places.columns, places.high):
            for name, change in changed.items():
                if name in own:
                    own[name] = change(own[name], legs)
        wanted = []
        for at in asked:
            now = self.wanted[fits[at].place]
            loose = {
                role: want
                for role, want in free.items()
                if role in now and now[role].present and not now[role].inherited
            }
            wanted.append({**now, **loose, fits[at].role: Wanted(only=[fits[at].use.index], fixed=True)})
        block = Block(self.chooser, places, list(range(len(rows))), kind, wanted, [kind] * len(rows))
        passed, picks = search_both(block.solver, np.arange(len(rows)))
        return [(at, int(picks[shown][n]) if shown in picks else -1) for n, at in enumerate(asked) if passed[n]]


def search_both(solver, rows):
    """The first tuple that passes outright, common parts before exotic ones."""
    found, picks = solver.search(rows, False, False)
    left = rows[~found]
    if len(left):
        more, own = solver.search(left, False, True)
        found = found.copy()
        found[left[more]] = True
        for role, index in own.items():
            picks[role][left[more]] = index[more]
    return found, picks


def cut_of(block, rows, allowance):
    """Length of one cut at each place, the longest its range allows."""
    high = block.places.high.get("length_m", block.places.columns["length_m"])
    return high[block.indices[rows]] + allowance


def nearest_good(trier, edge, now, least, checks):
    """The value next to ``now``, towards ``least``, at which every check passes; NaN where there is none."""
    count = len(now)
    good, bad = np.full(count, np.nan), now.copy()
    low = least.copy()
    for step in range(ROUNDS):
        share = (np.arange(1, POINTS + 1) - (1 if step else 0)) / POINTS
        trials = bad[:, None] + (low - bad)[:, None] * share[None, :]
        if not step:
            trials[:, -1] = low + (now - low) * 1e-3  # never no length at all
        fails = np.zeros(trials.shape, dtype=bool)
        for own, _ in trier.judged(np.full(count, edge), np.arange(count), trials, checks):
            fails |= own
        fits = ~fails
        has = fits.any(axis=1)
        first = fits.argmax(axis=1)
        at = np.arange(count)
        good = np.where(has, trials[at, first], good)
        bad = np.where(has & (first > 0), trials[at, np.maximum(first - 1, 0)], bad)
        low = np.where(has, trials[at, first], low)
    return np.where(np.abs(good - now) < 1e-12, np.nan, good)
