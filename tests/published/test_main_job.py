"""The main job against printed choices of a wire: the whole chain is run, not a formula.

AC 43.13-1B Table 11-7 and its chart: wire sizes for a current, a length of run and an allowed drop, key ac-43-13-1b.
33 CFR 183.425 Table 5 with note 1: what a size may carry, key 33cfr-183-425.
"""

import pytest

from selector import pipeline
from selector.catalogue.catalogue import load
from selector.project.single import single_project
from selector.report.result import result

TABLES = load()


def size(volts, cells, rules, zone=None):
    project = single_project("cable", volts, cells, zone or {}, {"stud": "none"}, {}, {})
    (connection,) = result(pipeline.choose(project, TABLES, rules))["connections"]
    return connection


@pytest.mark.parametrize("feet, current, drop, volts, printed", [
    (107, 20, "1 V", "28", "6 AWG"),
    (90, 20, "0.5 V", "14", "4 AWG"),
    (88, 20, "4 V", "115", "12 AWG"),
])  # fmt: skip
def test_the_size_read_from_the_chart_is_the_size_picked(feet, current, drop, volts, printed):
    cells = {"current [A]": str(current), "length [m]": f"{feet} ft", "drop limit [V]": drop, "return": "single"}
    connection = size(volts, cells, "aircraft", {"ambient [degC]": "20"})
    assert connection["status"] == "served"
    assert next(p["size"] for p in connection["picks"] if p["role"] == "conductor") == printed


@pytest.mark.parametrize("wire, dry, engine", [
    ("14 AWG tinned PVC 105", 35, 0.85), ("10 AWG tinned PVC 105", 60, 0.85), ("4 AWG tinned PVC 105", 160, 0.85),
    ("2/0 AWG tinned PVC 105", 330, 0.85), ("8 AWG tinned silicone 200", 100, 1.00), ("6 AWG tinned XLPE 125", 125, 0.89),
])  # fmt: skip
def test_the_law_s_table_and_its_engine_space_note(wire, dry, engine):
    cells = {"current [A]": "5", "length [m]": "1", "conductor": wire}

    def limit(zone):
        checks = size("12", cells, "us-small-craft", zone)["checks"]
        return next(c["limit"] for c in checks if c["name"] == "ampacity_table")

    assert limit({"ambient [degC]": "30"}) == dry
    assert limit({"ambient [degC]": "50", "engine space": "yes"}) == pytest.approx(dry * engine)
