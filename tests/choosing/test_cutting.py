"""The integer program of pieces and cuts: against every possible plan, against first fit, and with its gap proven.

The cases are invented and seeded; what they are held against is written here anew: a search through all plans.
"""

import random
import time

import pytest

from selector.choosing.cutting import Choice, Draw, Piece, Task, faults, greedy, solve, waste_of


def cutting(dice, pieces, cuts, sizes, least=300, most=4000):
    """Cuts of a few sizes from pieces of any length; what no piece gives is bought, one cut a piece."""
    lengths = [dice.randint(least, most) for _ in range(sizes)]
    drawn = [dice.choice(lengths) for _ in range(cuts)]
    stock = [
        Piece(dice.randint(least, 3 * most), ("wire",), cut=True, weight=dice.choice((1.0, 1.0, 2.5)))
        for _ in range(pieces)
    ]
    choices = [Choice(("cut", n), (Draw("wire", size),)) for n, size in enumerate(drawn)]
    return Task(
        stock, [choice.node for choice in choices], choices, {("wire", size): 1.0 for size in lengths}, unit=1e-3
    )


def least_bought(task):
    """(bought, waste) of the best plan of one kind of cut, by trying every piece for every cut."""
    cuts = sorted((choice.draws[0].size for choice in task.choices), reverse=True)
    sizes = [piece.size for piece in task.pieces]
    weights = [piece.weight for piece in task.pieces]
    best = [(len(cuts) + 1, 0.0)]
    seen = set()

    def fill(n, left, bought):
        state = n, tuple(sorted(zip(left, sizes, weights, strict=True))), bought
        if bought > best[0][0] or state in seen:
            return
        seen.add(state)
        if n == len(cuts):
            rests = [rest * w for rest, size, w in zip(left, sizes, weights, strict=True) if rest < size]
            waste = sum(rests) * task.unit
            best[0] = min(best[0], (bought, round(waste, 9)))
            return
        for piece, rest in enumerate(left):
            if rest >= cuts[n]:
                fill(n + 1, [*left[:piece], rest - cuts[n], *left[piece + 1 :]], bought)
        fill(n + 1, left, bought + 1)

    fill(0, sizes, 0)
    return best[0]


@pytest.mark.parametrize("seed", range(40))
def test_no_plan_is_better(seed):
    dice = random.Random(seed)
    task = cutting(dice, dice.randint(0, 3), dice.randint(1, 6), dice.randint(1, 4))
    plan = solve(task)
    assert (plan.cost, round(plan.waste, 9)) == least_bought(task)
    assert plan.gap == 0.0 and not plan.stopped_early
    assert faults(task, plan) == []


def linked(dice):
    """Places that each take one of several wires, and on each wire one of several lugs, from scarce stock."""
    wires, lugs = ("w1", "w2", "w3"), ("l1", "l2", "l3", "l4")
    metal = {wire: dice.choice((1.0, 2.1, 5.3)) for wire in wires}
    pieces = []
    for _ in range(dice.randint(0, 3)):
        wire = dice.choice(wires)
        pieces.append(Piece(dice.randint(500, 3000), (wire,), cut=True, weight=metal[wire]))
    pieces += [Piece(dice.randint(1, 3), (dice.choice(lugs),)) for _ in range(dice.randint(0, 2))]
    choices, roots, costs = [], [], {}
    for place in range(dice.randint(1, 3)):
        roots.append(("wire", place))
        size = dice.randint(300, 1500)
        for wire in dice.sample(wires, 2):
            node = ("lug", place, wire)
            choices.append(
                Choice(("wire", place), (Draw(wire, size, dice.randint(1, 2)),), (node,), waste=dice.random())
            )
            if wire != "w3":
                costs[wire, size] = 1.0
            for lug in dice.sample(lugs, 2):
                choices.append(Choice(node, (Draw(lug, 1, 2),), waste=dice.random()))
                costs[lug, 1] = 1.0
    return Task(pieces, roots, choices, costs, unit=1e-3)


def every_plan(task):
    """Least (cost, waste) over all ways to answer, and for each all ways to take what it draws from the pieces."""
    by_node = {}
    for number, choice in enumerate(task.choices):
        by_node.setdefault(choice.node, []).append(number)
    best = [None]

    def answer(open_nodes, taken):
        if not open_nodes:
            draws = [(number, at, draw) for number in taken for at, draw in enumerate(task.choices[number].draws)]
            cuts = [(number, at, draw) for number, at, draw in draws for _ in range(draw.count)]
            take(cuts, [piece.size for piece in task.pieces], [], 0.0, taken)
            return
        node, *rest = open_nodes
        for number in by_node.get(node, ()):
            answer([*rest, *task.choices[number].opens], [*taken, number])

    def take(cuts, left, used, cost, taken):
        if best[0] is not None and cost > best[0][0] + 1e-9:
            return
        if not cuts:
            waste = waste_of(task, taken, used)
            own = round(cost, 6), round(waste, 6)
            best[0] = own if best[0] is None else min(best[0], own)
            return
        (number, at, draw), *rest = cuts
        for piece, size in enumerate(left):
            if draw.kind in task.pieces[piece].serves and size >= draw.size:
                now = [*left[:piece], size - draw.size, *left[piece + 1 :]]
                take(rest, now, [*used, (piece, number, at)], cost, taken)
        if (draw.kind, draw.size) in task.costs:
            take(rest, left, used, cost + task.costs[draw.kind, draw.size], taken)

    answer(list(task.roots), [])
    return best[0]


@pytest.mark.parametrize("seed", range(40))
def test_no_linked_plan_is_better(seed):
    task = linked(random.Random(1000 + seed))
    best = every_plan(task)
    if best is None:
        with pytest.raises(ValueError, match="no choice"):
            solve(task)
        return
    plan = solve(task)
    assert round(plan.cost, 6) == best[0]
    assert plan.waste == pytest.approx(best[1], rel=2e-4, abs=1e-6)  # the program stops within 1e-4 of the least
    assert faults(task, plan) == []


def test_twenty_pieces_and_sixty_cuts_are_proven_within_ten_seconds():
    gaps = []
    for seed in range(2):
        task = cutting(random.Random(seed), 20, 60, 6, 800, 6000)
        start = time.process_time()
        plan = solve(task)
        assert time.process_time() - start < 10
        gaps.append(plan.gap)
        assert faults(task, plan) == []
    assert max(gaps) <= 0.01, gaps


def against_first_fit(seeds=range(50)):
    """Bought cuts of the program and of first fit, longest first, over seeded cases of 50 cuts."""
    program, first_fit = [], []
    for seed in seeds:
        dice = random.Random(500 + seed)
        task = cutting(dice, dice.randint(6, 14), 50, dice.randint(4, 12), 500, 5000)
        program.append(solve(task, node_limit=100).cost)
        first_fit.append(greedy(task).cost)
    return program, first_fit


def test_never_worse_than_first_fit():
    program, first_fit = against_first_fit(range(2))
    assert all(own <= other for own, other in zip(program, first_fit, strict=True))
    assert sum(program) < sum(first_fit)
    print(f"bought {sum(program):g} against {sum(first_fit):g} by first fit")


@pytest.mark.parametrize(
    "first", [pytest.param(first, marks=pytest.mark.long if first else pytest.mark.slow) for first in range(0, 50, 10)]
)
def test_never_worse_than_first_fit_on_fifty_cases(first):
    program, first_fit = against_first_fit(range(first, first + 10))
    assert all(own <= other for own, other in zip(program, first_fit, strict=True))
    print(
        f"bought {sum(program):g} against {sum(first_fit):g} by first fit: {1 - sum(program) / sum(first_fit):.1%} less"
    )


def test_pieces_of_a_better_state_serve_what_a_worse_one_would():
    task = Task([Piece(1000, ("good", "worn"), cut=True)], ["place"], [Choice("place", (Draw("worn", 900),))], {})
    plan = solve(task)
    assert plan.cuts == [(0, 0, 0)] and plan.cost == 0


def test_the_rest_of_a_heavy_piece_wastes_more():
    """Of two pieces that save one cut alike, the one with less metal in its rest is cut into."""
    heavy, light = Piece(1000, ("heavy",), cut=True, weight=5.0), Piece(2000, ("light",), cut=True)
    choices = [Choice("place", (Draw("heavy", 800),)), Choice("place", (Draw("light", 800),))]
    task = Task([heavy, light], ["place"], choices, {}, unit=1e-3)
    assert solve(task).taken == [0] and solve(task).waste == pytest.approx(1.0)
    task.pieces[0] = Piece(1100, ("heavy",), cut=True, weight=5.0)
    assert solve(task).taken == [1] and solve(task).waste == pytest.approx(1.2)


def test_a_forbidden_way_is_not_taken():
    choices = [Choice("place", (Draw("a", 1),)), Choice("place", (Draw("b", 1),))]
    task = Task([Piece(1, ("a",))], ["place"], choices, {("b", 1): 1.0}, forbidden=[((0,), 0)])
    assert solve(task).taken == [1]


def test_a_faulty_plan_is_told():
    task = Task([Piece(1000, ("w",), cut=True)], [0, 1], [Choice(0, (Draw("w", 600),)), Choice(1, (Draw("w", 600),))],
                {("w", 600): 1.0})  # fmt: skip
    plan = solve(task)
    assert plan.cost == 1
    plan.cuts, plan.bought = [(0, 0, 0), (0, 1, 0)], []
    assert any("beyond its size" in text for text in faults(task, plan))


def test_the_same_answer_twice():
    plans = [solve(cutting(random.Random(7), 8, 30, 5)) for _ in range(2)]
    assert plans[0] == plans[1]
