"""Rounds: a pick that stands is judged again where its way is longer, and is what a search would find there.

The reference is the search itself, made for every row of every round; the projects are seeded and invented.
"""

import random

import pytest

from selector import pipeline
from selector.choosing import choose, rounds
from selector.report.result import result
from tests.cases import random_projects as projects
from tests.cases import second_reading as reading
from tests.choosing.projects import BASE, with_rows, write


@pytest.fixture(scope="module")
def tables():
    return reading.Tables()


def picked(folder, monkeypatch, kept):
    """The whole result, and how many picks were offered to be kept."""
    offered = []
    whole = rounds.Alone.kept

    def watched(self, rows, inputs):
        found = whole(self, rows, inputs) if kept else {}
        offered.append(len(found))
        return found

    with monkeypatch.context() as patch:
        patch.setattr(rounds.Alone, "kept", watched)
        return result(pipeline.run(folder)), sum(offered)


def kept_as_searched(folder, monkeypatch):
    """The result of a project, whose picks are the same whether some are kept or all are searched; how many were kept."""
    with_kept, offered = picked(folder, monkeypatch, True)
    searched, _ = picked(folder, monkeypatch, False)
    assert with_kept["connections"] == searched["connections"]
    return searched, offered


@pytest.mark.parametrize("seed", range(6))
def test_a_kept_pick_is_the_one_a_search_finds(tables, tmp_path, monkeypatch, seed):
    maker = projects.Maker(random.Random(seed), tables)
    project = maker.project(projects.RULES[seed % len(projects.RULES)], 60)
    folder = projects.write(project, tmp_path / "project", maker.header)
    _, offered = kept_as_searched(folder, monkeypatch)
    assert offered > 0


def test_rows_that_are_searched_come_together_in_blocks(tables, tmp_path, monkeypatch):
    maker = projects.Maker(random.Random(9), tables)
    folder = projects.write(maker.project("general", 60), tmp_path / "project", maker.header)
    whole = result(pipeline.run(folder))
    monkeypatch.setattr(choose, "BLOCK", 7)
    assert result(pipeline.run(folder))["connections"] == whole["connections"]


def test_what_a_longer_way_eases_is_searched_again(tmp_path, monkeypatch):
    """Alone these wires would leave a fault that must be cleared in 5 s and is not; behind 60 m of feeder they carry it."""
    load = {"kind": "cable", "from": "panel", "zone": "cabin", "protection": "long-slot strip 35 A"}
    feeder = {"connection": "feeder", "kind": "cable", "from": "battery", "to": "panel", "zone": "cabin"}
    rows, nodes = [{**feeder, "length [m]": "60", "drop limit [%]": "60"}], BASE["nodes.csv"][:1]
    nodes = [*nodes, {"node": "panel", "system": "12 V", "role": "bus", "stud": "M8"}]
    for length, current in ((9, 1), (9, 3), (11, 3), (13, 4), (19, 1)):
        name = f"{length} m {current} A"
        rows.append({**load, "connection": name, "to": name, "current [A]": current, "length [m]": length})
        nodes.append({"node": name, "system": "12 V", "role": "load", "stud": "M5", "drop limit [%]": "90"})
    folder = write(tmp_path / "far", with_rows(connections=rows, nodes=nodes))
    searched, _ = kept_as_searched(folder, monkeypatch)
    monkeypatch.setattr(choose.Block, "_may_ease", lambda block, check: False)
    careless, _ = picked(folder, monkeypatch, True)
    assert careless["connections"] != searched["connections"]  # else nothing here is eased, and nothing is shown


OF_THE_WAY = [
    {"role": "protection", "actual": "rating", "sense": "at least", "limit": "20 - 1500 * way resistance", "unit": "A"},
    {"role": "protection", "actual": "rating / way resistance", "sense": "at least", "limit": "1500", "unit": "A"},
    {"role": "conductor", "actual": "way drop", "sense": "at least", "limit": "0.2 - area / 100", "unit": "V"},
    {"role": "conductor", "actual": "whole drop", "sense": "at most", "limit": "0.3 + way drop", "unit": "V"},
]


@pytest.mark.parametrize("rule", OF_THE_WAY, ids=lambda rule: f"{rule['role']}, {rule['actual']}, {rule['limit']}")
def test_own_checks_may_ask_for_a_long_way(tmp_path, monkeypatch, rule):
    """A rule of the builder's own may be easier to pass behind a longer way, and may decide which fuse is near in size."""
    rows = [
        {"connection": "feeder", "kind": "cable", "from": "battery", "to": "panel", "zone": "cabin", "length [m]": "9",
         "drop limit [%]": "6"},
        *(
            {"connection": f"load {n}", "kind": "cable", "from": "panel", "to": f"load {n}", "zone": "cabin",
             "current [A]": current, "length [m]": length}
            for n, (current, length) in enumerate([(2, 3), (6, 9), (12, 4), (25, 2), (40, 6), (0.5, 20)])
        ),
    ]  # fmt: skip
    nodes = [
        BASE["nodes.csv"][0],
        {"node": "panel", "system": "12 V", "role": "bus", "stud": "M8"},
        *(
            {"node": row["to"], "system": "12 V", "role": "load", "stud": "M6", "drop limit [%]": "15"}
            for row in rows[1:]
        ),
    ]
    own = [{**rule, "reason": "the builder's own"}]
    folder = write(tmp_path / "own", with_rows(connections=rows, nodes=nodes, own_checks=own))
    searched, _ = kept_as_searched(folder, monkeypatch)
    assert searched["connections"][0]["status"] == "served"  # else no way holds anything
    assert any(check["code"] == "O01" for connection in searched["connections"] for check in connection["checks"])


def test_what_failed_alone_is_not_known_to_fail_on_a_way_nobody_knows(tmp_path, monkeypatch):
    """An incomplete pick asks for no more than that nothing fails: behind a feeder of unknown length a thinner wire may do."""
    rows = [
        {"connection": "feeder", "kind": "cable", "from": "battery", "to": "panel", "zone": "cabin", "current [A]": "9"},
        {"connection": "lamp", "kind": "cable", "from": "panel", "to": "lamp", "zone": "cabin", "current [A]": "2",
         "length [m]": "40"},
    ]  # fmt: skip
    nodes = [
        BASE["nodes.csv"][0],
        {"node": "panel", "system": "12 V", "role": "bus", "stud": "M8"},
        {"node": "lamp", "system": "12 V", "role": "load", "stud": "M5"},
    ]
    supplies = [{"node": "battery", "type": "battery"}]  # its fault current is not known either
    folder = write(tmp_path / "unknown", with_rows(connections=rows, nodes=nodes, supplies=supplies))
    searched, _ = kept_as_searched(folder, monkeypatch)
    assert searched["connections"][1]["status"] == "incomplete"
