"""Which pieces are cut for what: an integer program over pieces, cuts and linked choices, with a greedy plan as floor.

Nothing here knows what a piece is. A *node* is a question with exactly one answer, a *choice*; a choice may open further
nodes and may draw cuts of a kind and size. Cuts come from pieces that serve that kind, each cut from one piece (no
joins), or are bought where that is possible. What is bought is kept least first, then what is wasted: the rests of
pieces that were cut into, each by its weight, and what the choices waste by themselves. Sizes are whole numbers, so that
sums are exact.
"""

import itertools
import math
from dataclasses import dataclass, field

NODE_LIMIT = 300
RELATIVE_GAP = 1e-4
MOST_PATTERNS = 600
"""Full ways to cut one piece up to which they are written out: they make the program's bound tight."""
MOST_STEPS = 20_000
ROUNDING = 1e-6


@dataclass(frozen=True)
class Piece:
    """Something in stock: ``size`` whole units, the kinds it may serve; ``cut`` where a rest has a length of its own.

    weight : what a unit of its rest counts beside one of another piece, such as the metal in it
    """

    size: int
    serves: tuple
    cut: bool = False
    weight: float = 1.0


@dataclass(frozen=True)
class Draw:
    """``count`` cuts of ``size`` whole units of one kind."""

    kind: object
    size: int
    count: int = 1


@dataclass
class Choice:
    """One answer to ``node``: what it draws, which nodes it opens, what it costs and wastes by itself."""

    node: object
    draws: tuple = ()
    opens: tuple = ()
    cost: float = 0.0
    waste: float = 0.0


@dataclass
class Task:
    """Everything to be decided.

    roots : nodes that must be answered; costs : (kind, size) -> cost of buying one, absent where it cannot be bought
    unit : what one whole unit of a cut piece of weight 1 counts as waste
    forbidden : (choices, how many of them may be taken)
    """

    pieces: list
    roots: list
    choices: list
    costs: dict
    unit: float = 1.0
    forbidden: list = field(default_factory=list)


@dataclass
class Plan:
    """What was decided: ``taken`` choices, ``cuts`` as (piece, choice, draw number), ``bought`` as (choice, draw number).

    gap : proven distance of the cost from the least possible, as a share of the cost; None where nothing is proven
    """

    taken: list
    cuts: list
    bought: list
    cost: float
    waste: float
    gap: float | None = None
    bound: float | None = None
    waste_gap: float | None = None
    stopped_early: bool = False
    by_greedy: bool = False


def solve(task, node_limit=NODE_LIMIT, relative_gap=RELATIVE_GAP):
    """The plan that buys least, then wastes least; the greedy one where the program finds none as good.

    Raises ``ValueError`` where no answer exists at all.
    """
    floor = greedy(task)
    program = _Program(task)
    first = program.minimise("cost", node_limit, relative_gap)
    if first.infeasible and floor is None:
        raise ValueError("no choice can be made: something has no answer and cannot be bought")
    best, early = floor, first.stopped_early
    plan = program.plan(first)
    best = _better(best, plan)
    if best is None:
        raise ValueError("no plan was found within the limit of nodes")
    waste_gap = None
    if not math.isclose(best.waste, 0.0, abs_tol=ROUNDING):
        second = program.minimise("waste", node_limit, relative_gap, most_cost=best.cost)
        best = _better(best, program.plan(second))
        early = early or second.stopped_early
        waste_gap = _gap(best.waste, second.bound)
    else:
        waste_gap = 0.0
    bound = first.bound
    if bound is not None and program.whole_costs:
        bound = math.ceil(bound - ROUNDING)
    best.bound, best.gap, best.waste_gap, best.stopped_early = bound, _gap(best.cost, bound), waste_gap, early
    return best


def _better(left, right):
    if left is None or right is None:
        return right if left is None else left
    close = math.isclose(left.cost, right.cost, rel_tol=1e-9, abs_tol=ROUNDING)
    if close:
        return right if right.waste < left.waste - ROUNDING else left
    return right if right.cost < left.cost else left


def _gap(value, bound):
    if bound is None:
        return None
    short = value - bound
    return 0.0 if short <= ROUNDING else short / max(abs(value), ROUNDING)


# -- the greedy plan --------------------------------------------------------------------------------------------------


def greedy(task):
    """First fit, longest first: questions with the longest cuts before others, each answered as cheaply as it can be.

    None where a question has no answer left, or the plan is forbidden.
    """
    answers = _answers(task)
    longest = {root: _longest(task, answers, root, set()) for root in task.roots}
    order = sorted(range(len(task.roots)), key=lambda i: (-longest[task.roots[i]], i))
    by_size = sorted(range(len(task.pieces)), key=lambda i: (task.pieces[i].size, i))
    left = [piece.size for piece in task.pieces]
    taken, cuts, bought = [], [], []
    for i in order:
        found = _cheapest(task, answers, by_size, task.roots[i], left)
        if found is None:
            return None
        _, _, left, own, own_cuts, own_bought = found
        taken += own
        cuts += own_cuts
        bought += own_bought
    plan = _priced(task, sorted(taken), cuts, bought)
    plan.by_greedy = True
    return None if faults(task, plan) else plan


def _answers(task):
    answers = {}
    for number, choice in enumerate(task.choices):
        answers.setdefault(choice.node, []).append(number)
    return answers


def _longest(task, answers, node, seen):
    most = 0
    for number in answers.get(node, ()):
        choice = task.choices[number]
        most = max([most, *(draw.size for draw in choice.draws)])
        for child in choice.opens:
            if child not in seen:
                seen.add(child)
                most = max(most, _longest(task, answers, child, seen))
    return most


def _cheapest(task, answers, by_size, node, left):
    """(cost, waste, what is left, choices, cuts, bought) of the cheapest answer to a node, or None."""
    best = None
    for number in answers.get(node, ()):
        choice = task.choices[number]
        now, cost, waste = list(left), choice.cost, choice.waste
        cuts, bought, taken = [], [], [number]
        possible = True
        for at, draw in enumerate(choice.draws):
            for _ in range(draw.count):
                piece = next((i for i in by_size if now[i] >= draw.size and draw.kind in task.pieces[i].serves), None)
                if piece is not None:
                    now[piece] -= draw.size
                    cuts.append((piece, number, at))
                elif (draw.kind, draw.size) in task.costs:
                    cost += task.costs[draw.kind, draw.size]
                    bought.append((number, at))
                else:
                    possible = False
        for child in choice.opens:
            found = _cheapest(task, answers, by_size, child, now) if possible else None
            if found is None:
                possible = False
                break
            cost, waste, now = cost + found[0], waste + found[1], found[2]
            taken, cuts, bought = taken + found[3], cuts + found[4], bought + found[5]
        if possible and (best is None or (cost, waste) < (best[0] - 1e-12, best[1])):
            best = cost, waste, now, taken, cuts, bought
    return best


# -- what a plan is worth ---------------------------------------------------------------------------------------------


def _priced(task, taken, cuts, bought):
    cost = sum(task.choices[n].cost for n in taken)
    cost += sum(task.costs[_key(task, number, at)] for number, at in bought)
    return Plan(taken, cuts, bought, cost, waste_of(task, taken, cuts))


def waste_of(task, taken, cuts):
    """Waste of the choices, and what is left of pieces that were cut into."""
    used = {}
    for piece, number, at in cuts:
        if task.pieces[piece].cut:
            used[piece] = used.get(piece, 0) + task.choices[number].draws[at].size
    rests = sum((task.pieces[piece].size - size) * task.pieces[piece].weight for piece, size in used.items())
    return sum(task.choices[n].waste for n in taken) + rests * task.unit


def _key(task, number, at):
    draw = task.choices[number].draws[at]
    return draw.kind, draw.size


def faults(task, plan):
    """Every rule a plan breaks, in words; empty for a sound one. Whole numbers only, so nothing is lost to rounding."""
    said = []
    taken = set(plan.taken)
    answered = {}
    for number in plan.taken:
        answered.setdefault(task.choices[number].node, []).append(number)
    opened = list(task.roots) + [node for number in plan.taken for node in task.choices[number].opens]
    for node in opened:
        if len(answered.get(node, ())) != 1:
            said.append(f"{node} has {len(answered.get(node, ()))} answers")
    said += [f"{node} is answered, but nobody asked" for node in answered if node not in set(opened)]
    used, had = {}, {}
    for piece, number, at in plan.cuts:
        draw = task.choices[number].draws[at]
        used[piece] = used.get(piece, 0) + draw.size
        had[number, at] = had.get((number, at), 0) + 1
        if draw.kind not in task.pieces[piece].serves:
            said.append(f"piece {piece} does not serve {draw.kind}")
    for number, at in plan.bought:
        had[number, at] = had.get((number, at), 0) + 1
        if _key(task, number, at) not in task.costs:
            said.append(f"{_key(task, number, at)} cannot be bought")
    for number in plan.taken:
        for at, draw in enumerate(task.choices[number].draws):
            if had.pop((number, at), 0) != draw.count:
                said.append(f"choice {number} has not the cuts it draws")
    said += [f"cuts for choice {number}, which is not taken" for number, _ in had]
    said += [f"piece {p} is cut beyond its size" for p, size in used.items() if size > task.pieces[p].size]
    said += ["too many are taken of a set" for own, most in task.forbidden if len(taken.intersection(own)) > most]
    return said


# -- the integer program ----------------------------------------------------------------------------------------------


@dataclass
class _Answer:
    values: object
    bound: float | None
    stopped_early: bool
    infeasible: bool


class _Program:
    """Columns: choices, cuts by (piece, kind, size), bought by (kind, size), pieces cut into."""

    def __init__(self, task):
        self.task = task
        self.wants = {}
        for number, choice in enumerate(task.choices):
            for draw in choice.draws:
                self.wants.setdefault((draw.kind, draw.size), []).append((number, draw.count))
        self.keys = list(self.wants)
        most = {key: sum(count for _, count in own) for key, own in self.wants.items()}
        at = len(task.choices)
        self.cut_at, self.buy_at, self.open_at = {}, {}, {}
        uppers = [1.0] * at
        for piece, own in enumerate(task.pieces):
            for key in self.keys:
                if key[0] in own.serves and key[1] <= own.size:
                    self.cut_at[piece, key] = at
                    uppers.append(float(min(most[key], own.size // key[1])))
                    at += 1
        for key in self.keys:
            if key in task.costs:
                self.buy_at[key] = at
                uppers.append(float(most[key]))
                at += 1
        for piece, own in enumerate(task.pieces):
            if own.cut and any(p == piece for p, _ in self.cut_at):
                self.open_at[piece] = at
                uppers.append(1.0)
                at += 1
        self.patterns = {}
        for piece in dict.fromkeys(p for p, _ in self.cut_at):
            found = self._patterns(piece, most)
            if found:
                self.patterns[piece] = list(range(at, at + len(found))), found
                uppers += [1.0] * len(found)
                at += len(found)
        self.count, self.uppers = at, uppers
        self.whole_costs = all(float(c).is_integer() for c in [*task.costs.values(), *(c.cost for c in task.choices)])
        self._rows()

    def _patterns(self, piece, most):
        """Every full way to cut one piece: counts by key, none of which can grow; none where there are too many."""
        own = self.task.pieces[piece]
        keys = sorted((key for key in self.keys if (piece, key) in self.cut_at), key=lambda key: -key[1])
        found, counts, steps = [], [0] * len(keys), 0

        def fill(place, left, grown):
            """``grown``: least size that could still be added; a way is full when the rest is shorter."""
            nonlocal steps
            steps += 1
            if len(found) > MOST_PATTERNS or steps > MOST_STEPS:
                return
            if place == len(keys):
                if left < grown:
                    found.append(tuple(counts))
                return
            size, bound = keys[place][1], most[keys[place]]
            for count in range(min(bound, left // size), -1, -1):
                counts[place] = count
                fill(place + 1, left - count * size, grown if count == bound else min(grown, size))
            counts[place] = 0

        if own.cut and len(keys) > 1:
            fill(0, own.size, math.inf)
        if len(found) > MOST_PATTERNS or steps > MOST_STEPS:
            return []
        place = {key: i for i, key in enumerate(keys)}
        order = [place[key] for key in self.keys if key in place]
        return [tuple(way[i] for i in order) for way in found]

    def _rows(self):
        task = self.task
        self.entries, self.low, self.high = [], [], []
        nodes, parents = {}, {}
        for number, choice in enumerate(task.choices):
            nodes.setdefault(choice.node, []).append(number)
            for child in choice.opens:
                parents.setdefault(child, []).append(number)
        asked = set(task.roots)
        for node in dict.fromkeys([*task.roots, *nodes, *parents]):
            row = [(number, 1.0) for number in nodes.get(node, ())]
            if node in asked:
                self._row(row, 1.0, 1.0)
            else:
                self._row([*row, *((number, -1.0) for number in parents.get(node, ()))], 0.0, 0.0)
        by_key, by_piece = {}, {}
        for (piece, key), at in self.cut_at.items():
            by_key.setdefault(key, []).append(at)
            by_piece.setdefault(piece, []).append((at, key[1]))
        for key, own in self.wants.items():
            row = [(at, 1.0) for at in by_key.get(key, ())]
            row += [(self.buy_at[key], 1.0)] if key in self.buy_at else []
            self._row([*row, *((number, -float(count)) for number, count in own)], 0.0, 0.0)
        for piece, own in by_piece.items():
            size = task.pieces[piece].size
            row = [(at, float(cut) / size) for at, cut in own]
            if piece in self.open_at:
                self._row([*row, (self.open_at[piece], -1.0)], -math.inf, 0.0)
            else:
                self._row(row, -math.inf, 1.0)
        for piece, (columns, ways) in self.patterns.items():
            own = [(key, self.cut_at[piece, key]) for key in self.keys if (piece, key) in self.cut_at]
            for place, (_, at) in enumerate(own):
                row = [(column, -float(way[place])) for column, way in zip(columns, ways, strict=True) if way[place]]
                self._row([(at, 1.0), *row], -math.inf, 0.0)
            open_too = [(self.open_at[piece], -1.0)] if piece in self.open_at else []
            self._row([*((column, 1.0) for column in columns), *open_too], -math.inf, 0.0 if open_too else 1.0)
        for own, most in task.forbidden:
            self._row([(number, 1.0) for number in own], -math.inf, float(most))
        alike = {}
        for piece in self.open_at:  # of pieces that are alike the first is cut into first
            own = task.pieces[piece]
            alike.setdefault((own.size, own.serves, own.weight), []).append(piece)
        for own in alike.values():
            for one, other in itertools.pairwise(own):
                self._row([(self.open_at[one], 1.0), (self.open_at[other], -1.0)], 0.0, 1.0)

    def _row(self, entries, low, high):
        self.entries.append(entries)
        self.low.append(low)
        self.high.append(high)

    def _cost(self):
        values = [0.0] * self.count
        for number, choice in enumerate(self.task.choices):
            values[number] = choice.cost
        for key, at in self.buy_at.items():
            values[at] = self.task.costs[key]
        return values

    def _waste(self):
        values = [0.0] * self.count
        for number, choice in enumerate(self.task.choices):
            values[number] = choice.waste
        for piece, at in self.open_at.items():
            own = self.task.pieces[piece]
            values[at] = own.size * own.weight * self.task.unit
        for (piece, key), at in self.cut_at.items():
            if piece in self.open_at:
                values[at] = -key[1] * self.task.pieces[piece].weight * self.task.unit
        return values

    def minimise(self, what, node_limit, relative_gap, most_cost=None):
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        entries, low, high = list(self.entries), list(self.low), list(self.high)
        cost = self._cost()
        if most_cost is not None:
            entries.append([(at, value) for at, value in enumerate(cost) if value])
            low.append(-math.inf)
            high.append(most_cost + ROUNDING * max(1.0, abs(most_cost)))
        rows = [i for i, row in enumerate(entries) for _ in row]
        columns = [at for row in entries for at, _ in row]
        values = [value for row in entries for _, value in row]
        matrix = csr_array((values, (rows, columns)), shape=(len(entries), self.count))
        target = cost if what == "cost" else self._waste()
        found = milp(
            np.array(target),
            integrality=np.ones(self.count),
            bounds=Bounds(0.0, np.array(self.uppers)),
            constraints=LinearConstraint(matrix, low, high),
            options={"mip_rel_gap": relative_gap, "node_limit": node_limit, "disp": False},
        )
        bound = getattr(found, "mip_dual_bound", None)
        bound = float(bound) if bound is not None and math.isfinite(bound) else None
        near = found.mip_gap is not None and found.mip_gap <= relative_gap * 1.01
        return _Answer(found.x, bound, not near and found.status != 2, found.status == 2)

    def plan(self, answer):
        """The plan an answer stands for, rounded and looked over again; None where it breaks a rule."""
        if answer.values is None:
            return None
        task = self.task
        values = [round(float(value)) for value in answer.values]
        taken = [number for number in range(len(task.choices)) if values[number]]
        supply = {}
        for (piece, key), at in self.cut_at.items():
            supply.setdefault(key, []).extend([piece] * values[at])
        cuts, bought, draws = [], [], []
        for number in taken:
            draws += [(-draw.count, number, at, draw) for at, draw in enumerate(task.choices[number].draws)]
        for _, number, at, draw in sorted(draws, key=lambda own: own[:3]):
            own = supply.get((draw.kind, draw.size), [])
            for _ in range(draw.count):
                if own:
                    cuts.append((own.pop(0), number, at))
                else:
                    bought.append((number, at))
        if any((task.choices[n].draws[at].kind, task.choices[n].draws[at].size) not in task.costs for n, at in bought):
            return None
        plan = _priced(task, taken, cuts, bought)
        return None if faults(task, plan) else plan
