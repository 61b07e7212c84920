"""The circuit as picked: drops summed to each load, faults at both ends, devices in series, grounds."""

import random

import numpy as np
import pytest

from selector.choosing.circuit import fault_a, ground_joints
from selector.project.network import Network
from tests.choosing.projects import BASE, check, pick, with_rows

NODES = [
    {"node": "battery", "system": "12 V", "role": "supply", "stud": "M8"},
    {"node": "main bus", "system": "12 V", "role": "bus", "stud": "M8"},
    {"node": "panel", "system": "12 V", "role": "bus", "stud": "M6"},
    {"node": "lamp", "system": "12 V", "role": "load", "stud": "M5"},
    {"node": "pump", "system": "12 V", "role": "load", "stud": "M5"},
]


def cable(name, a, b, length, **more):
    return {"connection": name, "kind": "cable", "from": a, "to": b, "length [m]": str(length), "zone": "cabin", **more}


def chain(folder, lamp=12, nodes=NODES, **more):
    rows = [cable("main", "battery", "main bus", 1), cable("feed", "main bus", "panel", 5, **more),
            cable("lamp", "panel", "lamp", lamp, **{"current [A]": "5"}),
            cable("pump", "panel", "pump", 2, **{"current [A]": "8"})]  # fmt: skip
    return pick(folder, with_rows(connections=rows, nodes=nodes))


def test_drops_add_up_to_the_load(tmp_path):
    by_name = chain(tmp_path)["by_name"]
    own = {name: by_name[name]["results"]["voltage_drop"] for name in ("main", "feed", "lamp", "pump")}
    total = {name: by_name[name]["results"]["cumulative_drop"] for name in own}
    assert total["main"] == pytest.approx(own["main"])
    assert total["feed"] == pytest.approx(own["main"] + own["feed"])
    assert total["lamp"] == pytest.approx(own["main"] + own["feed"] + own["lamp"])
    assert total["pump"] == pytest.approx(own["main"] + own["feed"] + own["pump"])


def test_more_than_the_load_may_lose_on_the_whole_way_is_told(tmp_path):
    data = chain(tmp_path)
    lamp = data["by_name"]["lamp"]
    assert check(lamp, "voltage_drop")["status"] == "pass" and lamp["results"]["cumulative_drop"] > 0.36
    found = next(f for f in data["findings"] if f["code"] == "W01" and f["connections"][-1] == "lamp")
    assert found["connections"] == ["main", "feed", "lamp"] and found["limit"] == pytest.approx(0.36)
    assert found["actual"] == pytest.approx(lamp["results"]["cumulative_drop"]) and found["severity"] == "should"


def test_a_limit_stated_for_a_piece_is_for_that_piece_alone(tmp_path):
    files = {**BASE}
    data = pick(tmp_path, files)
    assert not [f for f in data["findings"] if f["code"] == "W01" and f["connections"][-1] == "battery"]


def test_faults_by_the_resistances_of_the_way(tmp_path):
    """12 V behind 12/1800 ohm of battery and the pieces' resistance, by hand from the drops and currents told."""
    by_name = chain(tmp_path)["by_name"]
    ohm = {name: by_name[name]["results"]["voltage_drop"] / by_name[name]["currents"]["continuous"]
           for name in ("main", "feed", "lamp")}  # fmt: skip
    assert by_name["main"]["results"]["fault_near"] == pytest.approx(1800)
    whole = 12 / 1800 + sum(ohm.values())
    assert by_name["lamp"]["results"]["fault_far"] == pytest.approx(12 / whole)
    assert by_name["lamp"]["results"]["fault_near"] == pytest.approx(14.4 / (14.4 / 1800 + ohm["main"] + ohm["feed"]))


def test_single_returns_count_for_the_load_they_serve(tmp_path):
    nodes = [*NODES, {"node": "neg bus", "system": "12 V", "role": "ground", "stud": "M8"}]
    rows = [cable("main", "battery", "main bus", 1, **{"return": "single"}),
            cable("lamp", "main bus", "lamp", 6, **{"current [A]": "5", "return": "single"}),
            cable("lamp back", "lamp", "neg bus", 6, **{"return": "single"}),
            cable("battery back", "neg bus", "battery", 1, **{"return": "single"})]  # fmt: skip
    by_name = pick(
        tmp_path, with_rows(connections=rows, nodes=[n for n in nodes if n["node"] not in ("panel", "pump")])
    )["by_name"]
    drops = {name: one["results"]["voltage_drop"] for name, one in by_name.items()}
    assert by_name["main"]["results"]["cumulative_drop"] == pytest.approx(drops["main"])
    assert by_name["lamp"]["results"]["cumulative_drop"] == pytest.approx(
        drops["main"] + drops["lamp"] + drops["lamp back"]
    )


@pytest.mark.parametrize(
    "volts, amperes, ohm, fault", [(12, 2000, 0, 2000), (12, 2000, 0.114, 100), (24, 4000, 0.018, 1000)]
)
def test_fault_behind_a_resistance(volts, amperes, ohm, fault):
    assert fault_a(volts, amperes, ohm) == pytest.approx(fault)


def test_a_dead_short_far_away_draws_no_more_than_ohm_allows():
    assert fault_a(12.0, 1e9, 1.0) == pytest.approx(12.0)
    assert np.isnan(fault_a(12.0, float("nan"), 1.0))


def test_a_way_of_drops_agrees_with_the_nodal_equations(tmp_path):
    """A random tree of pieces: sums along the way against the conductance matrix solved by numpy."""
    dice = random.Random(3)
    nodes = [{"node": "battery", "system": "12 V", "role": "supply", "stud": "M8"}]
    rows, parents = [], {}
    for i in range(12):
        above = dice.choice(["battery", *parents]) if parents else "battery"
        name = f"n{i}"
        parents[name] = above
        nodes.append({"node": name, "system": "12 V", "role": "bus", "stud": "M6"})
        rows.append(cable(f"to {name}", above, name, dice.uniform(0.5, 4)))
    for i, above in enumerate(list(parents)):
        nodes.append({"node": f"load {i}", "system": "12 V", "role": "load", "stud": "M5"})
        rows.append(
            cable(f"load {i}", above, f"load {i}", dice.uniform(1, 4), **{"current [A]": f"{dice.uniform(0.5, 6):.3f}"})
        )
    by_name = pick(tmp_path, with_rows(connections=rows, nodes=nodes))["by_name"]
    index = {node["node"]: i for i, node in enumerate(nodes)}
    matrix, sinks = np.zeros((len(nodes), len(nodes))), np.zeros(len(nodes))
    for row in rows:
        one = by_name[row["connection"]]
        conductance = one["currents"]["continuous"] / one["results"]["voltage_drop"]
        a, b = index[row["from"]], index[row["to"]]
        matrix[a, a] += conductance
        matrix[b, b] += conductance
        matrix[a, b] -= conductance
        matrix[b, a] -= conductance
        if row["connection"].startswith("load"):
            sinks[b] -= float(row["current [A]"])
    drop = -np.linalg.solve(matrix[1:, 1:], sinks[1:])
    for row in rows:
        told = by_name[row["connection"]]["results"]["cumulative_drop"]
        assert told == pytest.approx(drop[index[row["to"]] - 1], rel=1e-9)


def test_a_device_hardly_larger_than_the_one_behind_it_is_told(tmp_path):
    data = chain(tmp_path)
    ratings = {c["connection"]: float(p["size"].split()[0]) for c in data["connections"] for p in c["picks"]
               if p["role"] == "protection"}  # fmt: skip
    told = {tuple(f["connections"]) for f in data["findings"] if f["code"] == "W03"}
    above = {"feed": "main", "lamp": "feed", "pump": "feed"}
    expected = {(above[name], name) for name in above if ratings[above[name]] < 1.6 * ratings[name]}
    assert told == expected and ratings


def network(*rows, grounds="abc"):
    nodes = {name: i for i, name in enumerate(grounds)}
    return Network(nodes, [(nodes[a], nodes[b]) for a, b in rows], ["ground"] * len(nodes), {}, [True] * len(rows))


def test_grounds_meet_once():
    assert ground_joints(network("ab", "bc")) == ([[0, 1, 2]], [])
    groups, rings = ground_joints(network("ab", "bc", "ca"))
    assert len(groups) == 1 and rings == [2]
    groups, rings = ground_joints(network("ab"))
    assert sorted(len(g) for g in groups) == [1, 2] and rings == []


def test_a_finding_of_the_whole_can_be_accepted(tmp_path):
    rows = [cable("main", "battery", "main bus", 1), cable("feed", "main bus", "panel", 5),
            cable("lamp", "panel", "lamp", 12, **{"current [A]": "5"})]  # fmt: skip
    nodes = [n for n in NODES if n["node"] != "pump"]
    files = with_rows(
        connections=rows, nodes=nodes, accepted=[{"connection": "lamp", "code": "W01", "reason": "it may dim"}]
    )
    found = next(f for f in pick(tmp_path, files)["findings"] if f["code"] == "W01")
    assert found["accepted"] and found["reason"] == "it may dim"


CHARGER = {"node": "charger", "type": "converter", "rated current [A]": "70", "short-circuit current [A]": "80..105"}


def test_a_main_carries_what_charges_the_battery_where_that_is_more(tmp_path):
    nodes = [*NODES[:2], {"node": "lamp", "system": "12 V", "role": "load", "stud": "M8"},
             {"node": "charger", "system": "12 V", "role": "supply", "stud": "M6"}]  # fmt: skip
    rows = [cable("main", "battery", "main bus", 1), cable("charge", "charger", "main bus", 2),
            cable("lamp", "main bus", "lamp", 2, **{"current [A]": "50"})]  # fmt: skip
    data = pick(tmp_path, with_rows(connections=rows, nodes=nodes, supplies=[*BASE["supplies.csv"], CHARGER]))
    main = data["by_name"]["main"]
    assert main["currents"]["continuous"] == 70  # 50 A out to the load, 70 A back from the charger
    assert check(main, "continuous_load")["limit"] >= 70
    assert not [f for f in data["findings"] if f["code"] == "W03" and "charge" in f["connections"]]
