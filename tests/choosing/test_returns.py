"""Returns that lead nowhere, joints between grounds, and what a bar carries: circuit theory, Kirchhoff's current law.

Rules without a source are common practice, no source; systems, nodes and currents are made up.
"""

import pytest

from tests.choosing.projects import check, pick

MACHINE = {"type": "alternator", "rated current [A]": "90", "load dump [V]": "101", "load dump resistance [ohm]": "2",
           "load dump time [ms]": "100"}  # fmt: skip
BANK = {"type": "battery", "chemistry": "agm", "capacity [Ah]": "200", "short-circuit current [A]": "2500"}


def project(rows, nodes=None, supplies=None):
    """A boat of one or two systems; ``nodes`` says name -> cells, a bus where nothing is said."""
    supplies = {"bank": BANK, **(supplies or {})}
    nodes = {name: {"role": "supply"} for name in supplies} | (nodes or {})
    ends = {row[end] for row in rows for end in ("from", "to") if row.get(end)}
    nodes |= {name: {"role": "bus"} for name in sorted(ends) if name not in nodes}
    return {
        "connections.csv": [{"kind": "cable", "length [m]": "1", "zone": "z", **row} for row in rows],
        "nodes.csv": [{"node": name, "system": "12 V", "stud": "M8", **cells} for name, cells in nodes.items()],
        "supplies.csv": [{"node": name, **cells} for name, cells in supplies.items()],
        "systems.csv": [
            {"system": "12 V", "nominal [V]": "12", "highest [V]": "14.4", "lowest [V]": "10.5"},
            {"system": "24 V", "nominal [V]": "24", "highest [V]": "28.8", "lowest [V]": "21"},
        ],
        "zones.csv": [{"zone": "z", "ambient [degC]": "30"}],
        "settings.csv": [{"setting": "fuse classes", "value": "blade, cartridge, bolt-down, post, high-capacity"}],
    }


def row(name, start, end, **cells):
    return {"connection": name, "from": start, "to": end, **cells}


GROUND = {"role": "ground"}
GUARD = row("guard", "bus", "minus", kind="suppressor")
LAMP = {"role": "load", "withstand [V]": "60"}


def told(folder, rows, nodes, supplies=None):
    """The findings W06: the connections each names."""
    data = pick(folder, project(rows, nodes, supplies))
    return [(f["connections"], f["nodes"]) for f in data["findings"] if f["code"] == "W06"]


# -- returns -----------------------------------------------------------------------------------------------------------


def test_a_suppressor_whose_ground_meets_no_supply_is_told_until_the_negative_is_drawn(tmp_path):
    rows = [row("main", "bank", "bus", **{"return": "single", "current [A]": "20"}), GUARD]
    nodes = {"minus": GROUND, "minus post": GROUND}
    assert told(tmp_path / "a", rows, nodes) == [(["guard"], ["minus"])]
    far = [*rows, row("negative", "bank", "minus post", **{"return": "single", "current [A]": "20"})]
    assert told(tmp_path / "b", far, nodes) == [(["guard"], ["minus"])]
    joined = [*far, row("tie", "minus post", "minus", **{"return": "single", "current [A]": "20"})]
    assert told(tmp_path / "c", joined, nodes) == []


@pytest.mark.parametrize("shape", ["", "pair"])
def test_a_row_of_both_legs_brings_the_negative_along(tmp_path, shape):
    rows = [row("main", "bank", "bus", **{"return": shape, "current [A]": "20"}), GUARD]
    assert told(tmp_path, rows, {"minus": GROUND}) == []


def test_a_chassis_is_a_negative_too_and_without_grounds_nothing_is_told(tmp_path):
    chassis = [row("main", "bank", "bus", **{"return": "chassis", "current [A]": "20"}), GUARD]
    assert told(tmp_path / "a", chassis, {"minus": GROUND}) == []
    pairs = [row("main", "bank", "bus"), row("lamp", "bus", "lamp", **{"current [A]": "5"})]
    assert told(tmp_path / "b", pairs, {"lamp": LAMP}) == []


def test_the_negative_of_another_system_is_no_way_back(tmp_path):
    """The suppressor of one system returns to the other's negative alone."""
    rows = [row("main", "bank", "bus", **{"return": "single", "current [A]": "20"}), GUARD,
            row("negative", "other", "minus", **{"return": "single", "current [A]": "20"})]  # fmt: skip
    assert told(tmp_path, rows, {"minus": GROUND}, {"other": BANK}) == [(["guard"], ["minus"])]


def test_a_freewheel_diode_and_a_load_that_return_nowhere_are_told_together(tmp_path):
    single = {"return": "single", "current [A]": "5"}
    rows = [row("main", "bank", "bus", **single), row("feed", "bus", "coil", **single), row("back", "coil", "minus", **single),
            row("wheel", "coil", "minus", kind="freewheel")]  # fmt: skip
    nodes = {"minus": GROUND, "coil": {"role": "load", "coil inductance [H]": "0.3", "coil resistance [ohm]": "3"}}
    assert told(tmp_path / "a", rows, nodes) == [(["back", "wheel"], ["minus"])]
    assert told(tmp_path / "b", [*rows, row("negative", "bank", "minus", **single)], nodes) == []


def test_a_load_fed_by_a_single_leg_needs_a_row_that_leads_back(tmp_path):
    single = {"return": "single", "current [A]": "5"}
    rows = [row("main", "bank", "bus", **single), row("lamp feed", "bus", "lamp", **single),
            row("negative", "bank", "minus", **single)]  # fmt: skip
    nodes = {"minus": GROUND, "lamp": LAMP}
    assert told(tmp_path / "a", rows, nodes) == [(["lamp feed"], ["lamp"])]
    assert told(tmp_path / "b", [*rows, row("lamp return", "lamp", "minus", **single)], nodes) == []


def test_it_can_be_accepted(tmp_path):
    files = project([row("main", "bank", "bus", **{"return": "single", "current [A]": "20"}), GUARD], {"minus": GROUND})
    files["accepted.csv"] = [{"connection": "guard", "code": "w06", "reason": "returns by the mast"}]
    (finding,) = [f for f in pick(tmp_path, files)["findings"] if f["code"] == "W06"]
    assert (finding["accepted"], finding["severity"]) == (True, "should") and finding["cure"]


# -- systems of what ends at a ground ------------------------------------------------------------------------------------


@pytest.mark.parametrize("start, end", [("coil", "minus"), ("minus", "coil")])
def test_a_coil_s_diode_is_of_the_coil_s_system_whatever_ground_it_returns_to(tmp_path, start, end):
    """14.4 V over 3 ohm is 4.8 A, and L I^2/2 of 0.3 H is 3.456 J: circuit theory."""
    rows = [row("feed", "bank", "coil", **{"current [A]": "5"}), row("wheel", start, end, kind="freewheel")]
    coil = {"role": "load", "coil inductance [H]": "0.3", "coil resistance [ohm]": "3"}
    wheel = pick(tmp_path, project(rows, {"coil": coil, "minus": {**GROUND, "system": "24 V"}}))["by_name"]["wheel"]
    assert wheel["currents"]["continuous"] == pytest.approx(4.8)
    assert wheel["results"]["stored_energy"] == pytest.approx(3.456)


def test_a_joint_of_two_systems_grounds_is_sized_for_a_fault_and_may_drop_what_it_does(tmp_path):
    """Sized for the largest device (common practice, no source); one that states its current has a limit again."""
    tie = row("tie", "minus", "other minus", **{"return": "single", "length [m]": "6"})
    rows = [
        row("main", "bank", "bus", **{"current [A]": "40"}),
        row("far", "other", "other bus", **{"current [A]": "60"}),
        tie,
    ]
    nodes = {"minus": GROUND, "other minus": {**GROUND, "system": "24 V"}, "other": {"role": "supply", "system": "24 V"},
             "other bus": {"role": "bus", "system": "24 V"}}  # fmt: skip
    data = pick(tmp_path / "a", project(rows, nodes, {"other": BANK}))
    joint = data["by_name"]["tie"]
    assert "C07" not in {c["code"] for c in joint["checks"]}
    assert check(joint, "insulation_voltage")["limit"] == 28.8
    assumed = {d["what"] for d in data["defaults"] if d["connection"] == "tie"}
    assert "drop limit between two systems' grounds" in assumed and not any(w == "drop limit, feeder" for w in assumed)
    tie["current [A]"] = "40"
    assert "C07" in {
        c["code"] for c in pick(tmp_path / "b", project(rows, nodes, {"other": BANK}))["by_name"]["tie"]["checks"]
    }
    del tie["current [A]"]
    tie["drop limit [V]"] = "0.3"
    stated = pick(tmp_path / "c", project(rows, nodes, {"other": BANK}))["by_name"]["tie"]
    assert check(stated, "voltage_drop")["limit"] == 0.3


def test_a_joint_of_one_system_s_grounds_keeps_its_limit(tmp_path):
    rows = [
        row("main", "bank", "bus", **{"current [A]": "40"}),
        row("link", "minus", "minus b", **{"return": "single"}),
    ]
    link = pick(tmp_path, project(rows, {"minus": GROUND, "minus b": GROUND}))["by_name"]["link"]
    assert check(link, "voltage_drop")["limit"] == pytest.approx(0.12)


# -- bars ----------------------------------------------------------------------------------------------------------------


def bar_of(folder, *rows, nodes=None, supplies=None, node="bus"):
    rows = [*rows, {"connection": "bar", "kind": "bus", "from": node, "length [m]": ""}]
    return pick(folder, project(rows, nodes, supplies))["by_name"]["bar"]["currents"]["continuous"]


def loads(*amps):
    return [row(f"load {i}", "bus", f"load {i}", **{"current [A]": str(value)}) for i, value in enumerate(amps)]


def test_what_enters_a_bar_leaves_it_again(tmp_path):
    """222 A of loads, 90 A from the machine: the battery gives the rest, and no more than 222 A crosses the bar."""
    charge = row("charge", "machine", "bus")
    main = row("main", "bank", "bus")
    machine = {"machine": MACHINE}
    assert bar_of(tmp_path / "a", main, charge, *loads(150, 72), supplies=machine) == 222
    assert (
        bar_of(tmp_path / "b", main, charge, *loads(20), supplies=machine) == 90
    )  # what is over goes into the battery
    assert bar_of(tmp_path / "c", row("main", "bus", "bank"), charge, *loads(150, 72), supplies=machine) == 222
    assert bar_of(tmp_path / "d", row("main", "bank", "bus", **{"current [A]": "300"}), *loads(150)) == 300


def test_a_bar_between_two_batteries_carries_what_one_gives_the_other(tmp_path):
    """A machine and a battery behind one row, a battery and a load at the bar: 90 A may cross it, though 20 A leave."""
    machine = {"machine": MACHINE, "starter": BANK}
    rows = [row("charge", "machine", "starter"), row("feed", "starter", "bus", **{"current [A]": "90"}),
            row("house", "bus", "bank"), *loads(20)]  # fmt: skip
    assert bar_of(tmp_path, *rows, supplies=machine) == 90


def test_a_bar_of_returns_carries_what_comes_back(tmp_path):
    single = {"return": "single"}
    rows = [row("back 1", "pump", "minus", **single, **{"current [A]": "30"}), row("back 2", "minus", "lamp", **single, **{"current [A]": "12"}),
            row("negative", "bank", "minus", **single, **{"current [A]": "42"}), row("feed", "bank", "pump"), row("feed 2", "bank", "lamp")]  # fmt: skip
    nodes = {"minus": GROUND, "pump": LAMP, "lamp": LAMP}
    assert bar_of(tmp_path, *rows, nodes=nodes, node="minus") == 42
