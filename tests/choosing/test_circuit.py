"""The circuit as picked: drops summed to each load, faults at both ends, devices in series, grounds."""

import random

import numpy as np
import pytest

from selector import pipeline
from selector.choosing.circuit import ground_joints
from selector.physics.short_circuit import fault_current_a
from selector.project.network import Network
from selector.report.workbook import write_workbook
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


def chain(folder, lamp=12, nodes=NODES, lamp_more=None, pump_more=None, **more):
    rows = [cable("main", "battery", "main bus", 1), cable("feed", "main bus", "panel", 5, **more),
            cable("lamp", "panel", "lamp", lamp, **{"current [A]": "5"} | (lamp_more or {})),
            cable("pump", "panel", "pump", 2, **{"current [A]": "8"} | (pump_more or {}))]  # fmt: skip
    return pick(folder, with_rows(connections=rows, nodes=nodes))


def test_drops_add_up_to_the_load(tmp_path):
    by_name = chain(tmp_path)["by_name"]
    own = {name: by_name[name]["results"]["voltage_drop"] for name in ("main", "feed", "lamp", "pump")}
    total = {name: by_name[name]["results"]["cumulative_drop"] for name in own}
    assert total["main"] == pytest.approx(own["main"])
    assert total["feed"] == pytest.approx(own["main"] + own["feed"])
    assert total["lamp"] == pytest.approx(own["main"] + own["feed"] + own["lamp"])
    assert total["pump"] == pytest.approx(own["main"] + own["feed"] + own["pump"])


def test_a_load_s_limit_holds_for_its_whole_way(tmp_path):
    data = chain(tmp_path)
    lamp = data["by_name"]["lamp"]
    whole = check(lamp, "voltage_drop")
    assert whole["status"] == "pass" and whole["limit"] == pytest.approx(0.36)
    assert whole["actual"] == pytest.approx(lamp["results"]["cumulative_drop"], rel=1e-9)
    assert whole["actual"] > lamp["results"]["voltage_drop"]
    before = data["by_name"]["feed"]["results"]["cumulative_drop"]
    assert f"{before:.4g} V of it in feed, main" in whole["text"]


def test_a_limit_stated_for_a_piece_is_for_that_piece_alone(tmp_path):
    lamp = chain(tmp_path, lamp_more={"drop limit [%]": "3"})["by_name"]["lamp"]
    whole = check(lamp, "voltage_drop")
    assert whole["actual"] == pytest.approx(lamp["results"]["voltage_drop"]) and " of it in " not in whole["text"]


def test_the_peak_counts_on_the_whole_way_too(tmp_path):
    """The pieces before it carry what the pump takes above its 8 A while it starts."""
    by_name = chain(tmp_path, pump_more={"peak current [A]": "30", "peak time [s]": "2"})["by_name"]
    rows = {name: by_name[name] for name in ("main", "feed", "pump")}
    ohm = {name: one["results"]["voltage_drop"] / one["currents"]["continuous"] for name, one in rows.items()}
    more = 30 - 8
    expected = sum(ohm[name] * (rows[name]["currents"]["continuous"] + more) for name in ohm)
    assert check(rows["pump"], "peak_drop")["actual"] == pytest.approx(expected, rel=1e-9)


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
        drops["main"] + drops["lamp"] + drops["lamp back"] + drops["battery back"]
    )


@pytest.mark.parametrize(
    "volts, amperes, ohm, fault", [(12, 2000, 0, 2000), (12, 2000, 0.114, 100), (24, 4000, 0.018, 1000)]
)
def test_fault_behind_a_resistance(volts, amperes, ohm, fault):
    assert fault_current_a(volts, amperes, ohm) == pytest.approx(fault)


def test_a_dead_short_far_away_draws_no_more_than_ohm_allows():
    assert fault_current_a(12.0, 1e9, 1.0) == pytest.approx(12.0)
    assert np.isnan(fault_current_a(12.0, float("nan"), 1.0))


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
    plain = pick(tmp_path / "plain", with_rows(connections=rows, nodes=nodes))["findings"]
    of = next(f for f in plain if f["code"] == "W03")["connections"][0]
    files = with_rows(
        connections=rows, nodes=nodes, accepted=[{"connection": of, "code": "W03", "reason": "both are at hand"}]
    )
    found = next(f for f in pick(tmp_path / "own", files)["findings"] if f["code"] == "W03" and of in f["connections"])
    assert found["accepted"] and found["reason"] == "both are at hand"


def far(folder, length=12, **more):
    rows = [cable("main", "battery", "main bus", 1),
            cable("lamp", "main bus", "lamp", length, **{"current [A]": "1", "drop limit [V]": "4"} | more)]  # fmt: skip
    return pick(folder, with_rows(connections=rows, nodes=[NODES[0], NODES[1], NODES[3]]))["by_name"]


def test_a_short_at_the_far_end_is_cleared(tmp_path):
    """The fault by Ohm's law from the resistances told; the wire is as large as its clearing in 5 s asks."""
    by_name = far(tmp_path, protection="long-slot strip 35 A")
    lamp = by_name["lamp"]
    cleared = check(lamp, "far_fault_cleared")
    assert cleared["status"] == "pass" and cleared["severity"] == "must" and cleared["actual"] <= 5.0
    ohm = sum(by_name[n]["results"]["voltage_drop"] / by_name[n]["currents"]["continuous"] for n in ("main", "lamp"))
    assert lamp["results"]["fault_far"] == pytest.approx(12 / (12 / 1800 + ohm))
    assert any(miss["code"] == cleared["code"] for near in lamp["near_misses"] for miss in near["fails"])


def test_a_short_that_no_device_clears_is_no_pick(tmp_path):
    thin = {"conductor": "16 AWG tinned PVC 105", "protection": "long-slot strip 35 A"}
    lamp = far(tmp_path, 10, **thin)["lamp"]
    assert check(lamp, "far_fault_cleared")["status"] == "fail" and lamp["status"] == "unserved"


def test_a_fault_the_wire_carries_for_good_need_not_be_cleared(tmp_path):
    """A supply of 20 A behind a wire of more ampacity: nothing to clear at either end."""
    rows = [cable("lamp", "battery", "lamp", 10, **{"current [A]": "1", "conductor": "10 AWG tinned PVC 105"})]
    supplies = [{**BASE["supplies.csv"][0], "short-circuit current [A]": "20"}]
    lamp = pick(tmp_path, with_rows(connections=rows, nodes=[NODES[0], NODES[3]], supplies=supplies))["by_name"]["lamp"]
    assert not [c for c in lamp["checks"] if c["name"] in ("far_fault_cleared", "fault_cleared")]


def test_a_piece_without_a_length_leaves_what_lies_behind_it_incomplete(tmp_path):
    rows = [cable("main", "battery", "main bus", ""),
            cable("lamp", "main bus", "lamp", 5, **{"current [A]": "5"})]  # fmt: skip
    by_name = pick(tmp_path, with_rows(connections=rows, nodes=[NODES[0], NODES[1], NODES[3]]))["by_name"]
    assert check(by_name["lamp"], "voltage_drop")["status"] == "unknown" and by_name["lamp"]["status"] == "incomplete"
    assert any("main" in question for question in by_name["lamp"]["questions"])


def test_a_shunt_on_the_way_counts(tmp_path):
    nodes = [*NODES[:2], {"node": "metered", "system": "12 V", "role": "bus", "stud": "M8"}, NODES[3]]
    rows = [cable("main", "battery", "main bus", 1),
            {"connection": "meter", "kind": "shunt", "from": "main bus", "to": "metered", "zone": "cabin"},
            cable("lamp", "metered", "lamp", 5, **{"current [A]": "20"})]  # fmt: skip
    by_name = pick(tmp_path, with_rows(connections=rows, nodes=nodes))["by_name"]
    reading = by_name["meter"]["results"]["shunt_reading"]
    own = by_name["main"]["results"]["voltage_drop"] + by_name["lamp"]["results"]["voltage_drop"]
    assert reading > 0 and by_name["lamp"]["results"]["cumulative_drop"] == pytest.approx(own + reading)


def test_a_piece_of_a_kind_of_its_own_does_not_hold_back_what_lies_behind_it(tmp_path):
    nodes = [*NODES[:2], {"node": "switched", "system": "12 V", "role": "bus", "stud": "M8"}, NODES[3]]
    rows = [cable("main", "battery", "main bus", 1),
            {"connection": "isolator", "kind": "battery switch", "from": "main bus", "to": "switched", "current [A]": "20"},
            cable("lamp", "switched", "lamp", 3, **{"current [A]": "5"})]  # fmt: skip
    own = {"tables/switches.csv": [{"switch": "battery switch 100 A", "rating [A]": "100"}],
           "tables/switches.family.csv": [
               {"what": "role", "name": "switch", "unit": "", "value": ""}, {"what": "key", "name": "switch", "unit": "", "value": ""},
               {"what": "column", "name": "rating", "unit": "A", "value": ""},
               {"what": "smallest by", "name": "rating", "unit": "", "value": ""}],
           "tables/kinds.csv": [{"kind": "battery switch", "order": "1", "role": "switch", "family": "switches", "leads": "yes",
                                 "quantity": "1", "unit": "piece", "source": "common-practice", "status": "measured"}]}  # fmt: skip
    by_name = pick(tmp_path, {**with_rows(connections=rows, nodes=nodes), **own})["by_name"]
    write_workbook(pipeline.run(tmp_path), tmp_path / "own.xlsx")  # a family without a check has its row there too
    assert by_name["lamp"]["status"] == "served"
    drops = [by_name[name]["results"]["voltage_drop"] for name in ("main", "lamp")]
    assert by_name["lamp"]["results"]["cumulative_drop"] == pytest.approx(sum(drops))


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
