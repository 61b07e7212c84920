"""Parts of a project from stock: for every place the parts it may take, linked as its checks link them, as one task.

A place's roles are questions: which device, which wire under that device, which lug on that wire. Roles that no check
ties together are asked apart. Each answer passes every must of its stage, so every way through the questions is a tuple
that complies. What is bought is the plain pick's way of filling a role; no wire is bought that comes after the plain pick's by preference.

Waste is metal, in cm3: what a wire has beyond the plain pick's section and, a tenth as much, what is left of wires that
were cut into. A part that is no length counts 1 cm3 for each doubling of its size.
"""

import math
from dataclasses import dataclass, field

import numpy as np

from selector.catalogue.expression import parse
from selector.choosing import cutting
from selector.choosing.checks import FAIL, PASS
from selector.choosing.choose import Block
from selector.choosing.columns import ABSENT, Columns
from selector.choosing.lengths import UNITS_A_METRE, counted, cuts_of, units_of_cut, units_of_piece
from selector.choosing.stocked import CARRIES, by_block, repeated, times_the_pick
from selector.facts.evaluator import Evaluation

WIRES = "wires"
LEFT_ALONE = 10_000.0
"""Cost of taking nothing from stock at a place and keeping its plain pick unserved, or because nothing else is left:
more than anything bought. A served plain pick is among the answers with the parts it buys."""
SHOULD_FAILS = 1.0
RANKED = 1e-3
"""Waste of an answer that fails a should, and of one that comes last by preference, in metres of the part."""
OFFCUT = 0.1
"""What the metal of an offcut counts beside metal built in for nothing: it stays on the shelf, and may serve yet."""


@dataclass(frozen=True)
class Kept:
    """One answer: ``index`` in ``role`` at ``place``; ``draw`` what it needs, None where it needs nothing."""

    place: int
    row: int
    role: str
    index: int
    factor: float


@dataclass
class Assigned:
    """What goes where: a cut of a piece of an item, or whole pieces of one."""

    place: int
    role: str
    part: str
    line: int
    piece: int
    length_m: float | None
    quantity: float
    unit: str


@dataclass
class Assignment:
    """The plan in the project's words.

    picks : place -> {role: candidate number} of places that take something from stock; factors : place -> share
    """

    picks: dict
    factors: dict
    assigned: list
    plan: cutting.Plan | None
    task: cutting.Task | None
    by_price: bool = False
    without_price: list = field(default_factory=list)
    ways: dict = field(default_factory=dict)
    items: list = field(default_factory=list)


class Linker:
    """Builds the task from the fits of the places and reads the plan back."""

    def __init__(self, chooser, places, wanted, chosen, stock, fits, most_times=math.inf):
        self.chooser, self.places, self.wanted, self.stock = chooser, places, wanted, stock
        self.chosen = {one.place: one for one in chosen}
        self.most_times = most_times
        self.fits = [fit for fit in fits if fit.serves]
        self.by_place = {}
        for fit in self.fits:
            self.by_place.setdefault(fit.place, []).append(fit)
        self.choices, self.kept, self.roots = [], [], []
        self.prices = Prices(chooser.candidates)

    def build(self):
        """The task; None where nothing in stock fits anywhere."""
        by_kind = {}
        for i in sorted(self.by_place):
            by_kind.setdefault(self.chosen[i].kind.name, []).append(i)
        for own in by_kind.values():
            rows = [(i, factor) for i in own for factor in self._factors(i)]
            for block in by_block(rows):
                _Links(self, self.chosen[own[0]].kind, block).add()
        self._prune()
        if not self.roots:
            return None
        return self._task()

    def _factors(self, i):
        worn = {fit.use.factor for fit in self.by_place[i] if fit.role == CARRIES}
        return sorted({1.0} | worn, reverse=True)

    def add(self, choice, kept):
        self.choices.append(choice)
        self.kept.append(kept)

    def _prune(self):
        """Drop answers that lead to questions without an answer, and questions nobody asks any more."""
        alive = [True] * len(self.choices)
        by_node, parents = {}, {}
        for n, choice in enumerate(self.choices):
            by_node.setdefault(choice.node, set()).add(n)
            for child in choice.opens:
                parents.setdefault(child, []).append(n)
        dead = [child for child in parents if not by_node.get(child)]
        while dead:
            for n in parents.get(dead.pop(), ()):
                if alive[n]:
                    alive[n] = False
                    own = by_node[self.choices[n].node]
                    own.discard(n)
                    if not own:
                        dead.append(self.choices[n].node)
        asked = {("place", i) for i in self.by_place if by_node.get(("place", i))}
        self.roots = sorted(asked)
        open_nodes = list(asked)
        reached = set(asked)
        while open_nodes:
            for n in by_node[open_nodes.pop()]:
                for child in self.choices[n].opens:
                    if child not in reached:
                        reached.add(child)
                        open_nodes.append(child)
        keep = [n for n in range(len(self.choices)) if alive[n] and self.choices[n].node in reached]
        self.choices, self.kept = [self.choices[n] for n in keep], [self.kept[n] for n in keep]

    def _task(self):
        pieces, self.piece_of = [], []
        kinds = {}
        for choice in self.choices:
            for draw in choice.draws:
                kinds.setdefault(draw.kind[:2], set()).add(draw.kind)
        for item in self.stock.items:
            factor = self.stock.factors.get(item.line)
            ways = [] if factor is None else self.stock.ways(item)
            serves = tuple(sorted(k for w in ways for k in kinds.get((item.family, w), ()) if k[2] <= factor))
            if not serves:
                continue
            if serves[0][4]:
                size = units_of_piece(item.length_m or 0.0)
                metal = metal_of(self.chooser.candidates, item.family, item.index)
                for number in range(1, int(item.quantity) + 1 if size > 0 else 1):
                    pieces.append(cutting.Piece(size, serves, cut=True, weight=metal))
                    self.piece_of.append((item, number))
            elif int(item.quantity) > 0:
                pieces.append(cutting.Piece(int(item.quantity), serves))
                self.piece_of.append((item, 1))
        sold = {(d.kind, d.size) for choice in self.choices for d in choice.draws if d.kind[3]}
        costs = self.prices.costs(sold)
        return cutting.Task(pieces, self.roots, self.choices, costs, unit=OFFCUT / UNITS_A_METRE)

    def read(self, task, plan):
        """The plan in the project's words; places that take nothing from stock keep their plain pick."""
        cuts = {}
        for piece, number, at in plan.cuts:
            cuts.setdefault(number, []).append((piece, at))
        ways, served = {}, set()
        for number in plan.taken:
            kept = self.kept[number]
            if kept is None:
                continue
            ways.setdefault(kept.place, []).append(number)
            if cuts.get(number):
                served.add(kept.place)
        picks, factors, assigned, next_of = {}, {}, [], {}
        for place in sorted(served):
            own = [self.kept[number] for number in ways[place] if self.kept[number].role]
            picks[place] = {kept.role: kept.index for kept in own}
            factors[place] = next((kept.factor for kept in own if kept.role == CARRIES), 1.0)
            order = [role.role for role in self.chosen[place].kind.roles]
            numbers = [number for number in ways[place] if self.kept[number].role]
            for number in sorted(numbers, key=lambda n: order.index(self.kept[n].role)):
                kept, choice = self.kept[number], self.choices[number]
                for piece, at in cuts.get(number, ()):
                    item, first = self.piece_of[piece]
                    draw = choice.draws[at]
                    if draw.kind[4]:
                        length = draw.size / UNITS_A_METRE
                        assigned.append(Assigned(place, kept.role, item.part, item.line, first, length, length, "m"))
                    else:
                        for _ in range(draw.size):
                            next_of[piece] = next_of.get(piece, 0) + 1
                            assigned.append(
                                Assigned(place, kept.role, item.part, item.line, next_of[piece], None, 1.0, "piece")
                            )
        found = Assignment(picks, factors, assigned, plan, task, self.prices.used, self.prices.missing)
        found.ways = {place: frozenset(ways[place]) for place in served}
        return found


class Prices:
    """Prices of new parts: a column ``price`` in a part table, a unit; used where every part in question has one."""

    def __init__(self, candidates):
        self.candidates = candidates
        self.used, self.missing = False, []

    def of(self, family, index):
        own = self.candidates[family]
        if "price" in own.columns:
            value = float(own.columns["price"][index])
            return value if value == value else None
        text = (own.words.get("price") or [None] * len(own))[index]
        try:
            value = float(text.replace(",", ".")) if text else None
        except ValueError:
            return None
        return value if value is not None and math.isfinite(value) and value >= 0 else None

    @property
    def any_given(self):
        return any("price" in own.columns or "price" in own.words for own in self.candidates.values())

    def costs(self, sold):
        """(kind, size) -> cost: its price where all have one, else 1 a new piece."""
        prices = {}
        if self.any_given:
            for kind, size in sold:
                price = self.of(kind[0], kind[1])
                prices[kind, size] = None if price is None else price * (size / UNITS_A_METRE if kind[4] else size)
            unknown = {kind[:2] for (kind, _), price in prices.items() if price is None}
            self.missing = sorted(self.candidates[family].keys[index] for family, index in unknown)
            self.used = bool(prices) and not unknown
        return prices if self.used else {(kind, size): 1.0 if kind[4] else float(size) for kind, size in sold}


class _Links:
    """Questions and answers of the places of one kind, a row for each place and state its wire may be in."""

    def __init__(self, linker, kind, rows):
        self.linker, self.kind = linker, kind
        self.place = [i for i, _ in rows]
        self.factor = [factor for _, factor in rows]
        places = repeated(linker.places, np.array(self.place, dtype=np.int64), self.factor)
        wanted = [linker.wanted[i] for i in self.place]
        self.wanted = wanted
        count = len(rows)
        self.block = Block(linker.chooser, places, list(range(count)), kind, wanted, [kind] * count)
        self.solver = self.block.solver
        self.roles = self.solver.roles
        self.units = {role.role: role.unit for role in kind.roles}
        self.families = {role.role: role.family for role in kind.roles}
        high = places.high.get("length_m", places.columns["length_m"])
        self.cuts = high + places.constants["cut_allowance_m"]
        self.fits = [
            [fit for fit in linker.by_place[i] if fit.role != CARRIES or fit.use.factor == factor] for i, factor in rows
        ]
        self.seen = set()

    def add(self):
        groups = self.solver.plan.parts_of(list(self.roles))
        nodes = {}
        for row, i in enumerate(self.place):
            keys = []
            for group in groups:
                key = self._node(row, group, {})
                keys.append(key)
                nodes.setdefault(tuple(group), []).append((row, {}, key))
            self.linker.add(cutting.Choice(("place", i), opens=tuple(keys)), Kept(i, row, "", -1, self.factor[row]))
        for i in dict.fromkeys(self.place):
            self.linker.add(cutting.Choice(("place", i), cost=LEFT_ALONE), None)
        while nodes:
            group, own = next(iter(nodes.items()))
            del nodes[group]
            for opened, entry in self._answer(list(group), own):
                nodes.setdefault(opened, []).append(entry)

    def _node(self, row, group, picks):
        """A question: the roles it asks of, and the earlier parts its checks read."""
        tied = {r for c in self.solver.checks if c.needs_roles & set(group) for r in c.needs_roles}
        relevant = tuple((role, picks[role]) for role in self.roles if role in picks and role in tied)
        return ("roles", self.place[row], self.factor[row], tuple(group), relevant)

    def _answer(self, group, own):
        """Answers of many questions of the same roles; yields the questions they open."""
        head, rest = group[0], group[1:]
        fresh = []
        for row, picks, key in own:
            if key not in self.seen:
                self.seen.add(key)
                fresh.append((row, picks, key))
        asked = []
        present = self.solver.present[head]
        for (row, picks, key), bought in zip(fresh, self._to_buy(fresh, group), strict=True):
            want = self.wanted[row][head]
            if not present[row]:
                asked.append((row, picks, key, ABSENT, False))
                continue
            options = {}
            if want.inherited:
                options[want.only[0]] = False
            else:
                for fit in self.fits[row]:
                    if fit.role == head:
                        options[fit.use.index] = self._sold(row, head, fit.use.index)
                for index in bought:
                    options[index] = self._sold(row, head, index) or index == self._plain(row, head)
            asked += [(row, picks, key, index, sold) for index, sold in options.items()]
        passing, should = self._judged(head, asked)
        amounts = self._amounts(head, asked)
        for n, (row, picks, key, index, sold) in enumerate(asked):
            if not passing[n]:
                continue
            now = {**picks, head: index}
            opens, more = [], []
            for part in self.solver.plan.parts_of(rest) if rest else []:
                child = self._node(row, part, now)
                opens.append(child)
                more.append((tuple(part), (row, now, child)))
            draws = self._draws(row, head, index, sold, amounts[n])
            if draws is None:
                continue
            waste = self._waste(row, head, index, draws, float(should[n]))
            self.linker.add(
                cutting.Choice(key, draws, tuple(opens), waste=waste),
                Kept(self.place[row], row, head, int(index), self.factor[row]),
            )
            yield from more

    def _to_buy(self, fresh, group):
        """For each question the numbers of what may be bought: the first that passes, the plain pick's, and what parts
        of later roles in stock need before them."""
        head = group[0]
        found = [set() for _ in fresh]
        rows = np.array([row for row, _, _ in fresh], dtype=np.int64)
        picks = {role: np.array([own[role] for _, own, _ in fresh]) for role in (fresh[0][1] if fresh else ())}
        worn = head == CARRIES
        left = np.ones(len(fresh), dtype=bool)
        for exotic in (False, True):
            some = np.flatnonzero(left)
            if not len(some):
                break
            self.solver.least_status, self.solver.exotic, self.solver._answers = PASS, exotic, {}
            passed, own = self.solver._fill(rows[some], {r: index[some] for r, index in picks.items()}, list(group))
            for n in np.flatnonzero(passed):
                found[some[n]].add(int(own[head][n]))
            left[some[passed]] = False
        for n, (row, _, _) in enumerate(fresh):
            plain = self._plain(row, head)
            found[n] |= {plain} if plain >= 0 else set()
            found[n] |= {fit.picks[head] for fit in self.fits[row] if fit.role in group[1:] and fit.picks[head] >= 0}
            found[n] -= {index for index in found[n] if worn and self._too_large(row, head, index)}
            if worn and self.factor[row] != 1.0:
                found[n] = set()
            elif not self.linker.prices.any_given:
                found[n] = {index for index in found[n] if not self._worse(row, head, index)}
        return found

    def _plain(self, row, role):
        one = self.linker.chosen[self.place[row]]
        return one.pick(role) if one.status == "served" else ABSENT

    def _worse(self, row, role, index):
        """Whether a leading part comes after the plain pick's: it is not bought to save another part."""
        plain = self._plain(row, role)
        if role != self.kind.leading or plain < 0:
            return False
        ranks = self.solver.ranks[role]
        rank = ranks.rank_of(ranks.combinations[ranks.group[row]])
        return rank[index] > rank[plain]

    def _too_large(self, row, role, index):
        sizes = self.solver.candidates[role].size_value
        return times_the_pick(sizes, index, self._plain(row, role)) > self.linker.most_times * (1 + 1e-9)

    def _sold(self, row, role, index):
        """Whether this part may be bought here beside what there is of it."""
        if role == CARRIES and self.factor[row] != 1.0:
            return False
        at = np.array([row])
        allowed = self.solver.allowed[role][at][0, index] and self.solver.common[role][at][0, index]
        return bool(allowed) and (self.linker.prices.any_given or not self._worse(row, role, index))

    def _judged(self, head, asked):
        """Which answers pass every must of their stage, and how many shoulds worth avoiding they fail."""
        if not asked:
            return [], []
        stage = self.roles.index(head)
        checks = [c for c in self.solver.by_stage[stage] if c.must or c.avoid_within]
        rows = np.array([row for row, *_ in asked], dtype=np.int64)
        names = list(asked[0][1])
        picks = {role: np.array([own[role] for _, own, *_ in asked]) for role in names}
        picks[head] = np.array([index for *_, index, _ in asked])
        ok, should = np.ones(len(asked), dtype=bool), np.zeros(len(asked))
        for check, status, _ in self.solver.verdicts(checks, rows, picks):
            status = np.broadcast_to(status, (len(rows), 1))[:, 0]
            if check.must:
                ok &= status >= PASS
            else:
                should += status == FAIL
        return ok, should

    def _amounts(self, head, asked):
        """How much of the part each answer needs, the most over the place's cases."""
        if not asked:
            return []
        role = next(own for own in self.kind.roles if own.role == head)
        rows = np.array([row for row, *_ in asked], dtype=np.int64)
        picks = {name: np.array([own[name] for _, own, *_ in asked]) for name in asked[0][1]}
        picks[head] = np.array([index for *_, index, _ in asked])
        cases, starts = self.solver.cases_of(rows)
        columns = Columns(self.solver, cases, self.solver.spread(picks, rows, starts))
        evaluation = Evaluation(self.solver.registry, columns)
        amount = parse(role.quantity, self.block.names.reader(head), ("kinds.csv", None, "quantity"))
        values = np.asarray(amount.value(evaluation.value), dtype=float)
        values = np.broadcast_to(values[:, 0] if values.ndim == 2 else values, (len(cases),))
        return values if starts is None else np.maximum.reduceat(values, starts)

    def _draws(self, row, role, index, sold, amount):
        """Cuts or pieces an answer draws; None where the amount is not known."""
        if index < 0 or self.wanted[row][role].inherited:
            return ()
        if amount != amount or amount <= 0:
            return None
        long = self.units[role] == "m"
        factor = self.factor[row] if role == CARRIES else 1.0
        kind = (self.families[role], int(index), factor, bool(sold), long)
        if not long:
            count = counted(amount)
            matched = self.solver.candidates[role].pieces(int(index)) > 1  # all of one lot, or all new
            return (cutting.Draw(kind, count, 1) if matched else cutting.Draw(kind, 1, count),)
        count, cut = cuts_of(float(amount), float(self.cuts[row]))
        return (cutting.Draw(kind, units_of_cut(cut), count),)

    def _waste(self, row, role, index, draws, should):
        """Metal beyond the plain pick's, or the logarithm of sizes where a part is no length; the place in the preference
        and the shoulds it fails, so that they decide among what wastes alike."""
        if index < 0 or not draws:
            return SHOULD_FAILS * should
        size = self.solver.candidates[role].size_value
        plain = self._plain(row, role)
        ranks = self.solver.ranks[role]
        rank = ranks.rank_of(ranks.combinations[ranks.group[row]])[index] / len(size)
        metal = metal_of(self.linker.chooser.candidates, self.families[role], index)
        waste = metal * (RANKED * float(rank) + SHOULD_FAILS * should)
        if plain >= 0 and size[plain] > 0 and size[index] > size[plain]:
            amount = sum(d.count * (d.size / UNITS_A_METRE if d.kind[4] else 1) for d in draws)
            if self.families[role] == WIRES:
                waste += amount * (metal - metal_of(self.linker.chooser.candidates, WIRES, plain))
            else:
                waste += amount * math.log2(float(size[index] / size[plain]))
        return waste


def metal_of(candidates, family, index):
    """Metal in a metre of a wire, cm3, which is its section in mm2; 1 for a length of any other family."""
    area = float(candidates[family].size_value[index]) if family == WIRES else 1.0
    return area if area > 0 else 1.0
