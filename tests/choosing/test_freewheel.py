"""Freewheel diodes through the whole choice: published releases, fields on another voltage, what a diode must stand.

Sources of the figures stand beside them, by their key in tables/sources.csv; machines and coils are made up.
"""

import pytest

from tests.choosing.projects import check, part, pick
from tests.published.published_figures import each_row, number, printed


def project(row=None, coil=None, machine=None, highest="28", nominal="24"):
    supplies = [
        {"node": "machine", "type": "alternator", "rated current [A]": "100", "self-limiting": "yes", "load dump [V]": "151",
         "load dump resistance [ohm]": "1", "load dump time [ms]": "100", **(machine or {})},
        {"node": "bank", "type": "battery", "chemistry": "agm", "capacity [Ah]": "200", "short-circuit current [A]": "1800"},
    ]  # fmt: skip
    return {
        "connections.csv": [
            {"connection": "out", "kind": "cable", "from": "machine", "to": "bank", "length [m]": "2", "zone": "z"},
            {"connection": "coil diode", "kind": "freewheel", "from": "coil" if coil else "machine", "to": "ground",
             "zone": "z", **(row or {})},
        ],
        "nodes.csv": [
            {"node": "machine", "system": "s", "role": "supply", "stud": "M8"},
            {"node": "bank", "system": "s", "role": "supply", "stud": "M8"},
            {"node": "ground", "system": "s", "role": "ground", "stud": "M8"},
            {"node": "coil", "system": "s", "role": "device", "stud": "none", **(coil or {})},
        ],
        "supplies.csv": supplies,
        "systems.csv": [{"system": "s", "nominal [V]": nominal, "highest [V]": highest, "lowest [V]": "20"}],
        "zones.csv": [{"zone": "z", "ambient [degC]": "40"}],
    }  # fmt: skip


def diode(folder, *rows, **more):
    return pick(folder, project(*rows, **more))["by_name"]["coil diode"]


# Energy and decay of coils: tests/published/coil_releases.csv. Key: circuit-textbook.
@pytest.mark.parametrize("row", [r for r in each_row("coil_releases.csv", "coil") if r.values[0]["coil"] != "harness"])
def test_published_releases_come_out_of_the_choice(tmp_path, row):
    own = row
    resistance = own["resistance [ohm]"] or "3"
    coil = {"coil inductance [H]": own["inductance [H]"], "coil resistance [ohm]": resistance}
    results = diode(tmp_path / "p", {"current [A]": own["current [A]"]}, coil)["results"]
    assert results["stored_energy"] == printed(own["stored [J]"])
    if own["time [ms]"]:
        assert number(own, "clamp [V]") == 40.0  # what the defaults compare
        assert 1000 * results["release_time_suppressor"] == printed(own["time [ms]"])
        assert results["released_energy_suppressor"] == printed(own["released [J]"])


# 0.2 H, 3 ohm, 4 A: L/R ln((IR + V)/V) by the printed formula with a diode of 0.65 V. Key: circuit-textbook.
def test_a_zener_or_a_suppressor_lets_go_faster_than_the_plain_diode(tmp_path):
    coil = {"coil inductance [H]": "0.2", "coil resistance [ohm]": "3"}
    results = diode(tmp_path / "p", {"current [A]": "4"}, coil)["results"]
    times = [results[f"release_time{end}"] for end in ("", "_zener", "_suppressor")]
    assert times == sorted(times, reverse=True)
    assert times[0] == pytest.approx(0.19790, abs=2e-4)
    assert times[1] == pytest.approx(0.02662, abs=2e-4)


# The same field on twice the supply voltage takes twice the current; common practice, no source.
def test_a_field_on_twice_its_voltage_takes_twice_the_current(tmp_path):
    machine = {
        "field current [A]": "4",
        "design voltage [V]": "14",
        "field inductance [H]": "0.2",
        "field supply [V]": "28",
    }
    one = diode(tmp_path / "p", None, None, machine)
    assert one["currents"]["continuous"] == pytest.approx(8.0)
    assert one["results"]["stored_energy"] == pytest.approx(0.2 * 64 / 2)
    assert check(one, "diode_average")["actual"] == pytest.approx(8.0)


def test_what_nobody_says_of_a_field_is_listed_at_its_unsafe_end(tmp_path):
    data = pick(tmp_path / "p", project())
    listed = {d["what"]: d["value"] for d in data["defaults"] if d["connection"] == "coil diode"}
    assert (listed["field resistance"], listed["field inductance"], listed["field supply"]) == (2.0, 0.5, 28.0)
    assert data["by_name"]["coil diode"]["currents"]["continuous"] == pytest.approx(14.0)


def test_a_diode_must_stand_the_load_dump_and_be_a_rectifier(tmp_path):
    coil = {"coil inductance [H]": "0.2", "coil resistance [ohm]": "20"}
    machine = {"field current [A]": "2", "field resistance [ohm]": "14", "field inductance [H]": "0.2"}
    one = diode(tmp_path / "a", None, None, machine)
    assert one["status"] == "served"
    assert check(one, "diode_reverse")["limit"] == 151.0
    assert check(one, "diode_reverse")["actual"] >= 151.0
    low = diode(tmp_path / "b", {"diode": "axial 3 A standard 100 V"}, None, machine)
    assert low["status"] == "unserved" and check(low, "diode_reverse")["status"] == "fail"
    zener = diode(tmp_path / "c", {"diode": "zener 5 W 24 V"}, coil)
    assert check(zener, "diode_type")["status"] == "fail"


def test_the_clamp_of_a_suppressor_counts_in_place_of_the_load_dump(tmp_path):
    machine = {"field current [A]": "2", "field resistance [ohm]": "14", "field inductance [H]": "0.2"}
    files = project(None, None, machine)
    files["nodes.csv"][1]["withstand [V]"] = "60"
    files["connections.csv"].append(
        {"connection": "guard", "kind": "suppressor", "from": "machine", "to": "ground", "zone": "z"}
    )
    data = pick(tmp_path / "p", files)["by_name"]
    assert data["guard"]["status"] == "served"
    assert check(data["coil diode"], "diode_reverse")["limit"] == pytest.approx(
        data["guard"]["results"]["clamping_voltage"]
    )


# Without its resistance nobody can say what a coil takes: that is the question, in words a reader can act on.
def test_a_coil_without_its_resistance_asks_for_it_first(tmp_path):
    row = diode(tmp_path / "a", None, {"coil inductance [H]": "0.9"})
    assert row["status"] == "incomplete"
    assert row["questions"][0] == (
        "What resistance has the coil at coil? Measure it, and write coil resistance [ohm] in nodes.csv."
    )
    stated = diode(tmp_path / "b", {"current [A]": "0.2"}, {"coil inductance [H]": "0.9"})
    assert stated["status"] == "served" and not any("resistance" in asked for asked in stated["questions"])
    (asked,) = [q for q in diode(tmp_path / "c", None, {"coil resistance [ohm]": "180"})["questions"] if "coil" in q]
    assert asked.startswith("What inductance has the coil at coil?")


def test_how_often_a_coil_is_let_go_lowers_the_mean(tmp_path):
    coil = {"coil inductance [H]": "0.5", "coil resistance [ohm]": "280"}
    often = diode(tmp_path / "a", None, coil)
    seldom = diode(tmp_path / "b", {"on time [s]": "5", "off time [s]": "5"}, coil)
    assert check(often, "diode_average")["actual"] == pytest.approx(0.1)
    assert check(seldom, "diode_average")["actual"] < 1e-4
    assert part(often, "diode") == part(seldom, "diode") == "axial 1 A standard 100 V"
