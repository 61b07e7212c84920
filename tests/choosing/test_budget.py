"""A load's limit shared among the pieces of its way: least copper, nobody's limit broken, no piece asked for nothing.

That pieces in series take least conductor when each loses in proportion to length times the root of its current is a
textbook result (key series-feeder-textbook, from memory); here scipy finds the same minimum by itself.
"""

import numpy as np
import pytest
from scipy.optimize import minimize

from selector.choosing.budget import fill
from tests.choosing.projects import part, with_rows
from tests.choosing.projects import pick as picked
from tests.choosing.test_circuit import NODES, cable


@pytest.mark.parametrize("seed", range(6))
def test_the_shares_take_the_least_copper(seed):
    """sum(length x area) with sum(length x current / area) held, resistivity 1."""
    dice = np.random.default_rng(seed)
    length, current, limit = dice.uniform(1, 10, 4), dice.uniform(1, 100, 4), dice.uniform(0.1, 1.0)
    weights = length * np.sqrt(current)
    drops = fill(limit, [1e9] * 4, list(weights)) * weights
    ours = (length * length * current / drops).sum()
    found = minimize(
        lambda d: (length * length * current / d).sum() / ours, np.full(4, limit / 4), bounds=[(1e-9, None)] * 4,
        constraints={"type": "eq", "fun": lambda d: d.sum() / limit - 1}, options={"maxiter": 500, "ftol": 1e-14},
    )  # fmt: skip
    assert drops.sum() == pytest.approx(limit)
    assert found.fun == pytest.approx(1.0, rel=1e-6) and found.x == pytest.approx(drops, rel=1e-2)


def test_a_piece_that_loses_less_anyway_leaves_the_rest_to_the_others():
    assert fill(3.0, [1.0, 5.0], [1.0, 1.0]) == pytest.approx(2.0)
    assert fill(3.0, [0.5, 5.0, 5.0], [1.0, 1.0, 4.0]) == pytest.approx(0.5)
    assert fill(3.0, [0.1, 0.2, 5.0], [1.0, 1.0, 1.0]) == pytest.approx(2.7)


def chain(folder, limit, lamp=8, **feed):
    """Battery, main bus, panel, lamp; the lamp may lose ``limit`` volts in all."""
    nodes = [*NODES[:2], {**NODES[2], "stud": "M8"}, {**NODES[3], "stud": "M8", "drop limit [V]": str(limit)}]
    rows = [cable("main", "battery", "main bus", 2), cable("feed", "main bus", "panel", 6, **feed),
            cable("lamp", "panel", "lamp", lamp, **{"current [A]": "10"})]  # fmt: skip
    return picked(folder, with_rows(connections=rows, nodes=nodes))["by_name"]


@pytest.mark.parametrize("limit", [0.1, 0.15, 0.25, 0.36, 0.6])
def test_the_pieces_together_keep_the_limit(tmp_path, limit):
    by_name = chain(tmp_path, limit)
    assert {one["status"] for one in by_name.values()} == {"served"}
    assert by_name["lamp"]["results"]["cumulative_drop"] <= limit


def area(connection):
    size = next(p["size"] for p in connection["picks"] if p["role"] == "conductor")
    return float(size.removesuffix(" mm2"))


def test_a_tighter_limit_makes_every_piece_larger_not_only_the_last(tmp_path):
    loose, tight = chain(tmp_path / "loose", 1.2), chain(tmp_path / "tight", 0.15)
    assert all(area(tight[name]) > area(loose[name]) for name in ("feed", "lamp"))


def test_a_shared_limit_says_whose_it_is(tmp_path):
    feed = chain(tmp_path, 0.15)["feed"]
    drop = next(c for c in feed["checks"] if c["name"] == "voltage_drop")
    assert "its share of what lamp may lose on its whole way" in drop["text"]
    assert drop["source"] == "series-feeder-textbook" and drop["limit"] < 0.15


def test_a_fixed_wire_leaves_the_others_what_it_does_not_lose(tmp_path):
    free = chain(tmp_path / "free", 0.36)
    fixed = chain(tmp_path / "fixed", 0.36, conductor=part(free["lamp"], "conductor"))
    assert fixed["lamp"]["status"] == "served" and fixed["lamp"]["results"]["cumulative_drop"] <= 0.36
    assert part(fixed["feed"], "conductor") == part(free["lamp"], "conductor")


def test_a_way_that_cannot_keep_its_limit_leaves_the_load_unserved_and_the_others_alone(tmp_path):
    plain = chain(tmp_path / "plain", 5)
    by_name = chain(tmp_path / "none", 0.002)
    assert by_name["lamp"]["status"] == "unserved" and {by_name[n]["status"] for n in ("main", "feed")} == {"served"}
    assert part(by_name["main"], "protection") == part(plain["main"], "protection")


def test_a_return_row_shares_the_limit(tmp_path):
    nodes = [NODES[0], {**NODES[3], "drop limit [V]": "0.3"},
             {"node": "negative", "system": "12 V", "role": "ground", "stud": "M8"}]  # fmt: skip
    single = {"return": "single"}
    rows = [cable("out", "battery", "lamp", 8, **{"current [A]": "10"} | single),
            cable("back", "lamp", "negative", 8, **single),
            cable("home", "negative", "battery", 1, **single)]  # fmt: skip
    by_name = picked(tmp_path, with_rows(connections=rows, nodes=nodes))["by_name"]
    assert {one["status"] for one in by_name.values()} == {"served"}
    assert by_name["out"]["results"]["cumulative_drop"] <= 0.3
    drops = [by_name[name]["results"]["voltage_drop"] for name in ("out", "back", "home")]
    assert by_name["out"]["results"]["cumulative_drop"] == pytest.approx(sum(drops))
