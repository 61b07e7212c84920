"""Control wires by purpose: sense leads and their fuse, field leads and what the winding may take."""

import pytest

from selector import pipeline
from selector.catalogue.catalogue import load
from selector.errors import Problems
from selector.project.files import read_project
from selector.report.result import result
from selector.report.text import explain_text
from tests.choosing.projects import check, part, write

CATALOGUE = load(None)
NODES = [
    {"node": "alternator", "system": "boat", "role": "supply", "stud": "M6"},
    {"node": "bank", "system": "boat", "role": "supply", "stud": "M8"},
    {"node": "bus", "system": "boat", "role": "bus", "stud": "M8"},
    {"node": "regulator", "system": "boat", "role": "load", "stud": "M4"},
    {"node": "rotor", "system": "boat", "role": "load", "stud": "M4"},
]
OUT = {
    "connection": "out",
    "kind": "cable",
    "from": "alternator",
    "to": "bus",
    "zone": "engine",
    "length [m]": "2",
    "drop limit [V]": "0.5",
}
UP = {
    "connection": "up",
    "kind": "cable",
    "from": "bank",
    "to": "bus",
    "zone": "engine",
    "length [m]": "1",
    "drop limit [V]": "0.5",
}
SENSE = {
    "connection": "sense",
    "kind": "control wire",
    "from": "bank",
    "to": "regulator",
    "zone": "engine",
    "length [m]": "4",
    "purpose": "sense",
}
FIELD = {
    "connection": "field",
    "kind": "control wire",
    "from": "regulator",
    "to": "rotor",
    "zone": "engine",
    "length [m]": "1.5",
    "purpose": "field",
}

FEED = {"connection": "feed", "kind": "control wire", "from": "bus", "to": "regulator", "zone": "engine", "length [m]": "2",
        "purpose": "ignition", "current [A]": "6"}  # fmt: skip


def project(*rows, nominal=24, highest=28.8, **machine):
    """An alternator, a bank and a regulator; ``machine`` are cells of the alternator's row."""
    machine = {"node": "alternator", "type": "alternator", "rated current [A]": "60", **machine}
    return {
        "connections.csv": [OUT, UP, *rows, FEED],
        "nodes.csv": NODES,
        "supplies.csv": [machine, {"node": "bank", "type": "battery", "chemistry": "agm", "capacity [Ah]": "100",
                                   "short-circuit current [A]": "900"}],
        "systems.csv": [{"system": "boat", "nominal [V]": str(nominal), "highest [V]": str(highest), "lowest [V]": str(nominal * 0.9)}],
        "zones.csv": [{"zone": "engine", "ambient [degC]": "40"}],
    }  # fmt: skip


def outcome_of(folder, files):
    problems = Problems()
    return pipeline.choose(read_project(write(folder, files), problems, None), CATALOGUE, problems=problems)


def pick(folder, files):
    data = result(outcome_of(folder, files))
    data["by_name"] = {connection["connection"]: connection for connection in data["connections"]}
    return data


def defaults(data, connection):
    return {d["what"]: d["value"] for d in data["defaults"] if d["connection"] == connection}


# -- sense leads --------------------------------------------------------------------------------------------------------


def test_a_sense_lead_takes_a_fuse_of_1_to_3_a_at_the_post(tmp_path):
    """Practice near a bank: sense leads are fused 1 to 3 A at the post (common practice, no source)."""
    data = pick(tmp_path, project(SENSE))
    row = data["by_name"]["sense"]
    assert (
        row["status"] == "served"
        and check(row, "sense_fuse_most")["status"] == check(row, "sense_fuse_least")["status"] == "pass"
    )
    assert 1 <= check(row, "sense_fuse_most")["actual"] <= 3
    assert defaults(data, "sense")["sense current"] == 0.1
    assert not any(f["code"] in ("C29", "C30", "C31", "C32") for f in data["findings"])


@pytest.mark.parametrize("fuse, code", [("blade medium 5 A", "C30"), ("glass 5x20 0.5 A", "C31")])
def test_another_fuse_is_a_finding_with_its_cure(tmp_path, fuse, code):
    data = pick(tmp_path, project({**SENSE, "protection": fuse}))
    finding = next(f for f in data["findings"] if f["code"] == code)
    assert finding["severity"] == "should" and finding["connections"] == ["sense"] and "1 to 3 A" in finding["cure"]


def test_the_drop_of_a_sense_lead_is_what_the_regulator_reads_low(tmp_path):
    outcome = outcome_of(tmp_path, project({**SENSE, "current [A]": "0.2", "length [m]": "8"}))
    row = result(outcome)["connections"][2]
    error = row["results"]["regulation_error"]
    assert error == row["results"]["voltage_drop"] and error > 0
    # both legs of 8 m of the 1 mm2 class 5 wire: 19.5 ohm/km at 20 degC (iec-60228), a little more when warm
    assert 16 * 0.2 * 0.0195 < error < 16 * 0.2 * 0.0195 * 1.15
    text = explain_text(outcome, outcome.chosen[2])
    assert "V low: the battery is charged that much higher" in text and "after fuse, switch and shunt" in text
    assert "regulator with an open sense lead: not known" in text and "charge without end?" in text
    assert any("sense lead that opens" in caution for caution in outcome.cautions)


def test_a_large_error_is_a_finding(tmp_path):
    data = pick(tmp_path, project({**SENSE, "current [A]": "0.5", "length [m]": "10"}))
    finding = next(f for f in data["findings"] if f["code"] == "C29")
    assert finding["limit"] == 0.05 and finding["actual"] > 0.05


def test_a_sense_lead_from_elsewhere_is_a_finding(tmp_path):
    data = pick(tmp_path, project({**SENSE, "from": "bus"}))
    assert any(f["code"] == "C32" and f["cure"] for f in data["findings"])


def test_another_control_wire_has_no_regulation_error(tmp_path):
    data = pick(tmp_path, project({**SENSE, "purpose": "temperature"}))
    row = data["by_name"]["sense"]
    assert "regulation_error" not in row["results"] and not any(
        c["code"] in ("C29", "C30", "C31", "C32") for c in row["checks"]
    )
    assert row["currents"]["continuous"] == 0.1


# -- field leads --------------------------------------------------------------------------------------------------------


def test_the_same_field_on_twice_the_voltage_takes_twice_the_current(tmp_path):
    """Ohm's law: 3 ohm takes 14.4/3 = 4.8 A and 28.8/3 = 9.6 A; practice: a limit that is a must (common practice)."""
    field = {"field resistance [ohm]": "3", "field current [A]": "5"}
    at_12 = check(
        pick(tmp_path / "a", project(FIELD, nominal=12, highest=14.4, **field))["by_name"]["field"], "field_current"
    )
    at_24 = check(pick(tmp_path / "b", project(FIELD, **field))["by_name"]["field"], "field_current")
    assert (at_12["actual"], at_12["limit"], at_12["status"]) == (pytest.approx(4.8), 5, "pass")
    assert (at_24["actual"], at_24["limit"], at_24["status"]) == (pytest.approx(9.6), 5, "fail")
    assert at_24["severity"] == "must" and "resistor in series" in at_24["text"] and "limits the duty" in at_24["text"]
    assert "9.6 A" in at_24["text"] and "5 A" in at_24["text"]


def test_a_field_supply_of_its_own_is_what_counts(tmp_path):
    field = {"field resistance [ohm]": "3", "field current [A]": "5", "field supply [V]": "14.4"}
    row = pick(tmp_path, project(FIELD, **field))["by_name"]["field"]
    assert row["status"] == "served" and check(row, "field_current")["actual"] == pytest.approx(4.8)


def test_the_limit_follows_from_what_the_machine_was_made_for(tmp_path):
    """15.5 V at most on a 12 V lead-acid system (typicals.csv, common practice, from memory): 15.5/3 A."""
    field = {"field resistance [ohm]": "3", "design voltage [V]": "12"}
    row = pick(tmp_path / "a", project(FIELD, **field))["by_name"]["field"]
    assert check(row, "field_current")["limit"] == pytest.approx(15.5 / 3) and row["status"] == "unserved"
    stated = {"field current [A]": "5", "design voltage [V]": "12"}
    row = pick(tmp_path / "b", project(FIELD, **stated))["by_name"]["field"]
    assert check(row, "field_current")["actual"] == pytest.approx(28.8 / (15.5 / 5)) and row["status"] == "unserved"


def test_a_field_lead_takes_the_fields_current_and_says_so(tmp_path):
    data = pick(
        tmp_path / "a",
        project(FIELD, nominal=12, highest=14.4, **{"field resistance [ohm]": "3", "field current [A]": "5"}),
    )
    assert data["by_name"]["field"]["currents"]["continuous"] == pytest.approx(4.8)
    assert defaults(data, "field")["field current"] == pytest.approx(4.8)
    data = pick(tmp_path / "b", project({**FIELD, "current [A]": "6"}, **{"field current [A]": "5"}))
    assert data["by_name"]["field"]["currents"]["continuous"] == 6 and "field current" not in defaults(data, "field")


def test_an_unknown_field_is_never_passed_in_silence(tmp_path):
    """Nothing known of a 12 V rotor: 2 ohm, the unsafe end of typicals.csv (electrical-machines-textbook, from memory)."""
    data = pick(tmp_path / "a", project(FIELD, nominal=12, highest=14.4))
    assert data["by_name"]["field"]["currents"]["continuous"] == pytest.approx(7.2)
    said = defaults(data, "field")
    assert said["field resistance"] == 2 and said["voltage the field is made for"] == "that of its system"
    data = pick(tmp_path / "b", project(FIELD))
    row = data["by_name"]["field"]
    assert row["status"] == "incomplete" and any("current" in question for question in row["questions"])


def test_parts_of_a_control_wire(tmp_path):
    data = pick(tmp_path, project(SENSE, FIELD, nominal=12, highest=14.4, **{"field current [A]": "5"}))
    for name in ("sense", "field"):
        row = data["by_name"][name]
        assert row["status"] == "served" and part(row, "protection") and part(row, "conductor") and part(row, "lug to")
