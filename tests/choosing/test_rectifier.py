"""A rectifier beside its alternator, chosen with its sink: what is taken, what is refused by name, what is asked.

Rectifier and sink rows of a test are its own (``tables/`` in the project); figures from elsewhere are in tests/published.
"""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from selector import pipeline
from selector.report.text import explain_text
from tests.choosing.projects import check, part, pick, write

BASE = {
    "connections.csv": [
        {"connection": "bridge", "kind": "rectifier", "from": "alternator", "to": "charge post", "zone": "duct"},
    ],
    "nodes.csv": [
        {"node": "alternator", "system": "24 V", "role": "supply"},
        {"node": "charge post", "system": "24 V", "role": "bus"},
    ],
    "supplies.csv": [{"node": "alternator", "type": "alternator", "rated current [A]": "100"}],
    "systems.csv": [{"system": "24 V", "nominal [V]": "24", "highest [V]": "29.4", "lowest [V]": "22"}],
    "zones.csv": [{"zone": "duct", "ambient [degC]": "50", "air speed [m/s]": "3"}],
}  # fmt: skip
RECTIFIER = {
    "rectifier": "our bridge", "circuit": "three-phase bridge", "build": "module", "diodes": "6", "lines": "3", "avalanche": "no",
    "average current [A]": "150", "rating temperature [degC]": "100", "rating point": "case", "reverse voltage [V]": "1000",
    "surge current [A]": "1500", "threshold [V]": "0.8", "slope [mohm]": "3", "junction to case [K/W]": "0.6",
    "case to sink [K/W]": "0.03", "greatest junction [degC]": "150", "base": "insulated", "source": "common-practice",
    "status": "measured",
}  # fmt: skip
SINK = {"heatsink": "our sink", "form": "extrusion", "base": "insulated", "sink to air [K/W]": "0.2", "air speed [m/s]": "0",
        "source": "common-practice", "status": "measured"}  # fmt: skip
AVALANCHE = "three-phase bridge of 6 avalanche 40 A low 18 V"


def job(*, row=None, alternator=None, zone=None, system=None, rectifier=None, sink=None, **files):
    """The base job with cells changed; ``rectifier`` or ``sink`` are cells of our own part, fixed in the row."""
    changed = {name: [dict(r) for r in rows] for name, rows in BASE.items()}
    changed["connections.csv"][0].update(row or {})
    changed["supplies.csv"][0].update(alternator or {})
    changed["zones.csv"][0].update(zone or {})
    changed["systems.csv"][0].update(system or {})
    if rectifier is not None:
        changed["tables/rectifiers.csv"] = [{**RECTIFIER, **rectifier}]
        changed["connections.csv"][0]["rectifier"] = "our bridge"
    if sink is not None:
        changed["tables/heatsinks.csv"] = [{**SINK, **sink}]
        changed["connections.csv"][0]["heatsink"] = "our sink"
    return {**changed, **{f"{name}.csv": rows for name, rows in files.items()}}


def bridge_of(folder, **changes):
    return pick(folder, job(**changes))["by_name"]["bridge"]


# -- what is taken ---------------------------------------------------------------------------------------------------


def test_the_smallest_rectifier_and_the_smallest_sink_that_comply_are_taken(tmp_path):
    bridge = bridge_of(tmp_path)
    assert bridge["status"] == "served"
    assert all(c["status"] == "pass" for c in bridge["checks"] if c["severity"] == "must")
    rating = float(next(p["size"] for p in bridge["picks"] if p["role"] == "rectifier").split()[0])
    assert 100 <= rating <= 130
    assert {miss["role"] for miss in bridge["near_misses"]} == {"rectifier", "heatsink"}
    assert all(miss["fails"] for miss in bridge["near_misses"])
    assert bridge["governing"] in {c["code"] for c in bridge["checks"]}
    assert {h["what"] for h in bridge["holds_until"]} >= {"current", "ambient"}


def test_a_module_has_one_sink_and_separate_diodes_have_two_that_stand_insulated(tmp_path):
    module = bridge_of(tmp_path / "module", rectifier={}, zone={"air speed [m/s]": "8"})
    assert [p["quantity"] for p in module["picks"]] == [1, 1]
    separate = bridge_of(tmp_path / "separate", row={"rectifier": "three-phase bridge of 6 stud 70 A 400 V"})
    assert separate["status"] == "served"
    assert [p["quantity"] for p in separate["picks"]] == [1, 2]
    assert check(separate, "base_on_sink")["actual"] == "yes"
    assert "insulating feet" in part(separate, "heatsink")


def test_a_live_base_on_a_grounded_sink_fails(tmp_path):
    bridge = bridge_of(tmp_path, rectifier={"base": "positive"}, sink={"base": "negative"})
    assert bridge["status"] == "unserved" and check(bridge, "base_on_sink")["status"] == "fail"


def test_each_plate_of_separate_diodes_carries_half_of_the_heat(tmp_path):
    one = bridge_of(tmp_path / "one", rectifier={}, sink={})["results"]
    two = bridge_of(tmp_path / "two", rectifier={"build": "separate diodes"}, sink={})["results"]
    assert one["module_loss"] == two["module_loss"]
    rises = [r["sink_temperature"] - 50 for r in (one, two)]  # in a stream the rise goes with the heat
    assert rises[1] == pytest.approx(rises[0] / 2)


def test_the_parts_list_counts_them(tmp_path):
    data = pick(tmp_path, job(rectifier={"build": "separate diodes"}, sink={}))
    assert {p["part"]: p["quantity"] for p in data["parts"]} == {"our bridge": 1, "our sink": 2}


def test_diodes_at_a_star_point_are_refused_on_a_delta_and_add_no_heat(tmp_path):
    eight = {"circuit": "three-phase bridge with neutral diodes", "diodes": "8"}
    star = bridge_of(tmp_path / "star", rectifier=eight, sink={})
    assert check(star, "neutral_diodes")["status"] == "pass"
    assert (
        star["results"]["module_loss"] == bridge_of(tmp_path / "six", rectifier={}, sink={})["results"]["module_loss"]
    )
    delta = bridge_of(tmp_path / "delta", rectifier=eight, sink={}, alternator={"winding": "delta"})
    assert check(delta, "neutral_diodes")["status"] == "fail" and delta["status"] == "unserved"


def test_a_machine_of_one_phase_gets_a_bridge_of_four(tmp_path):
    bridge = bridge_of(tmp_path, alternator={"phases": "1", "rated current [A]": "50"}, zone={"ambient [degC]": "30"})
    assert bridge["status"] == "served" and "single-phase" in part(bridge, "rectifier")
    assert bridge["results"]["diode_average"] == 25
    assert bridge["results"]["module_loss"] == pytest.approx(4 * bridge["results"]["diode_loss"])


def test_a_single_phase_bridge_on_three_phases_fails(tmp_path):
    bridge = bridge_of(tmp_path, row={"rectifier": "single-phase bridge 174 A module 800 V"})
    assert check(bridge, "rectifier_lines")["status"] == "fail"


# -- heat ------------------------------------------------------------------------------------------------------------


def test_a_junction_keeps_25_k_unless_another_spare_is_set(tmp_path):
    def spare(folder, *rows):
        data = pick(folder, job(rectifier={}, sink={}, **({"settings": list(rows)} if rows else {})))
        listed = [d for d in data["defaults"] if d["what"] == "junction temperature spare"]
        return check(data["by_name"]["bridge"], "junction_temperature")["spare"], [d["value"] for d in listed]

    assert spare(tmp_path / "as it is") == (25, [25])
    assert spare(tmp_path / "set", {"setting": "junction temperature spare", "value": "10"}) == (10, [])
    assert spare(tmp_path / "by code", {"setting": "spare R10 [K]", "value": "40"}) == (40, [])


def test_a_general_spare_in_percent_leaves_the_junction_s_own(tmp_path):
    data = pick(tmp_path, job(rectifier={}, sink={}, settings=[{"setting": "spare [%]", "value": "20"}]))
    assert check(data["by_name"]["bridge"], "junction_temperature")["spare"] == 25
    assert check(data["by_name"]["bridge"], "rectifier_current")["spare"] == pytest.approx(0.2)


def test_a_warm_case_takes_from_the_rating(tmp_path):
    """150 A to a case of 100 degC, none at a junction of 150 degC: half of it at 125 degC."""
    ideal = {"sink to air [K/W]": "0.000001"}
    cold = bridge_of(tmp_path / "cold", rectifier={}, sink=ideal)
    assert check(cold, "rating_here")["limit"] == 150
    bare = {"case to sink [K/W]": "0.000001"}
    warm = bridge_of(tmp_path / "warm", rectifier=bare, sink=ideal, zone={"ambient [degC]": "125"})
    assert check(warm, "rating_here")["limit"] == pytest.approx(75, rel=1e-3)
    hot = bridge_of(tmp_path / "hot", rectifier=bare, sink=ideal, zone={"ambient [degC]": "160"})
    assert check(hot, "rating_here")["limit"] == 0 and check(hot, "rating_here")["status"] == "fail"


def test_a_rating_by_the_air_looks_at_the_air(tmp_path):
    by_air = {"rating point": "ambient", "rating temperature [degC]": "50"}
    bridge = bridge_of(tmp_path, rectifier=by_air, sink={}, zone={"ambient [degC]": "70"})
    assert check(bridge, "rating_here")["limit"] == pytest.approx(150 * (150 - 70) / (150 - 50))


def test_a_closed_box_has_still_air_whatever_its_stream(tmp_path):
    still = bridge_of(tmp_path / "still", rectifier={}, sink={}, zone={"air speed [m/s]": "0"})
    closed = bridge_of(tmp_path / "closed", rectifier={}, sink={}, zone={"enclosed": "yes"})
    moved = bridge_of(tmp_path / "moved", rectifier={}, sink={})
    high = bridge_of(tmp_path / "high", rectifier={}, sink={}, zone={"altitude [m]": "3000"})
    temperature = [b["results"]["junction_temperature"] for b in (moved, high, still, closed)]
    assert temperature[0] < temperature[1] < temperature[2] == temperature[3]


def test_without_a_sink_the_junction_is_unknown_and_asked_for(tmp_path):
    bridge = bridge_of(tmp_path, row={"heatsink": "none"})
    assert bridge["status"] == "incomplete"
    assert bridge["results"]["junction_temperature"] is None and bridge["results"]["module_loss"] > 0
    assert any("heatsink" in question for question in bridge["questions"])


@pytest.mark.parametrize("blank", [
    "threshold [V]", "slope [mohm]", "junction to case [K/W]", "case to sink [K/W]", "greatest junction [degC]",
    "reverse voltage [V]", "surge current [A]", "base", "rating temperature [degC]", "lines", "build",
])  # fmt: skip
def test_a_blank_in_its_row_never_serves(tmp_path, blank):
    whole = bridge_of(tmp_path / "whole", rectifier={}, sink={}, zone={"air speed [m/s]": "8"})
    assert whole["status"] == "served"
    bridge = bridge_of(tmp_path / "blank", rectifier={blank: ""}, sink={}, zone={"air speed [m/s]": "8"})
    assert bridge["status"] == "incomplete"


def test_an_alternator_without_a_rating_is_asked_for_it(tmp_path):
    bridge = bridge_of(tmp_path, alternator={"rated current [A]": ""})
    assert bridge["status"] == "incomplete"
    assert any("rated current" in question for question in bridge["questions"])


def test_fuel_vapour_asks_for_ignition_protection_and_a_blank_is_no_proof(tmp_path):
    vapour = {"fuel vapour": "yes", "air speed [m/s]": "8"}
    assert bridge_of(tmp_path / "any", zone=vapour)["status"] == "incomplete"
    assert bridge_of(tmp_path / "blank", rectifier={}, sink={}, zone=vapour)["status"] == "incomplete"
    proven = bridge_of(tmp_path / "proven", rectifier={"ignition protected": "yes"}, sink={}, zone=vapour)
    assert proven["status"] == "served"
    open_one = bridge_of(tmp_path / "no", rectifier={"ignition protected": "no"}, sink={}, zone=vapour)
    assert check(open_one, "rectifier_ignition")["status"] == "fail"


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    pair=st.tuples(st.floats(0.05, 3.0), st.floats(0.05, 3.0)),
    speed=st.sampled_from(["0", "0.5", "3"]),
    current=st.sampled_from(["20", "75", "140"]),
)
def test_a_larger_sink_never_gives_a_hotter_junction(tmp_path_factory, pair, speed, current):
    """Common practice, no source: what sheds more heat for a kelvin is never warmer."""
    larger, smaller = (
        bridge_of(
            tmp_path_factory.mktemp("sink"), rectifier={}, sink={"sink to air [K/W]": repr(k_per_w)},
            zone={"air speed [m/s]": speed}, alternator={"rated current [A]": current},
        )["results"]["junction_temperature"]
        for k_per_w in sorted(pair)
    )  # fmt: skip
    assert larger <= smaller + 1e-9


# -- voltages --------------------------------------------------------------------------------------------------------


def test_without_a_suppressor_the_load_dump_decides_the_reverse_voltage(tmp_path):
    stated = bridge_of(tmp_path / "stated", alternator={"load dump [V]": "90"})
    assert check(stated, "transient_reverse")["actual"] == pytest.approx(91.1)
    data = pick(tmp_path / "silent", job())
    assert check(data["by_name"]["bridge"], "transient_reverse")["actual"] == pytest.approx(203.1)  # 24 V class, 202 V
    assert ("load dump peak", 202) in {(d["what"], d["value"]) for d in data["defaults"]}
    weak = bridge_of(tmp_path / "weak", rectifier={"reverse voltage [V]": "200"}, sink={})
    assert check(weak, "transient_reverse")["status"] == "fail"
    assert weak["status"] == "incomplete"  # nothing but a peak nobody stated stands in the way
    dumped = {"rectifier": {"reverse voltage [V]": "200"}, "sink": {}, "alternator": {"load dump [V]": "202"}}
    assert bridge_of(tmp_path / "sure", **dumped)["status"] == "unserved"


def test_a_suppressor_at_its_output_takes_the_place_of_the_load_dump(tmp_path):
    dump = {"load dump [V]": "60", "load dump resistance [ohm]": "1.5", "load dump time [ms]": "60"}
    window = {
        "avalanche": "yes",
        "reverse voltage [V]": "1000",
        "least breakdown [V]": "34",
        "greatest breakdown [V]": "42",
    }
    files = job(alternator=dump, zone={"air speed [m/s]": "8"}, rectifier=window, sink={})
    files["connections.csv"].append({"connection": "guard", "kind": "suppressor", "from": "charge post", "to": "ground",
                                     "length [m]": "0.1", "zone": "duct"})  # fmt: skip
    files["nodes.csv"] = [{**row, "withstand [V]": "58"} for row in files["nodes.csv"]]
    files["nodes.csv"].append({"node": "ground", "system": "24 V", "role": "ground"})
    data = pick(tmp_path, files)
    clamp = data["by_name"]["guard"]["results"]["clamping_voltage"]
    own = check(data["by_name"]["bridge"], "becomes_suppressor")
    assert own["actual"] == pytest.approx(clamp + 1.1) and own["status"] == "fail"
    assert "R07" in {f["code"] for f in data["findings"]}  # its window lies between charging voltage and clamp


def test_a_rectifier_for_less_than_the_charging_voltage_fails(tmp_path):
    bridge = bridge_of(tmp_path, rectifier={"reverse voltage [V]": "30"}, sink={})
    assert check(bridge, "reverse_voltage")["actual"] == pytest.approx(31.6)
    assert check(bridge, "reverse_voltage")["status"] == "fail"


def test_no_avalanche_diode_is_taken_unless_it_is_named(tmp_path):
    assert "avalanche" not in part(bridge_of(tmp_path), "rectifier")


def test_avalanche_diodes_that_reach_the_charging_voltage_are_refused_by_name(tmp_path):
    bridge = bridge_of(tmp_path, row={"rectifier": AVALANCHE})
    own = check(bridge, "avalanche_above_charging")
    assert bridge["status"] == "unserved" and own["status"] == "fail"
    assert own["actual"] == pytest.approx(30.5) and own["limit"] == pytest.approx(20 * (1 - 0.001 * 35), abs=2e-3)
    assert "conducts while charging" in own["text"] and "destroys the conversion" in own["text"]
    assert part(bridge, "rectifier") == AVALANCHE


def test_a_colder_place_lowers_the_window(tmp_path):
    """31 V at 25 degC is 28.985 V at -40 degC: it holds off 29.4 V in a warm place only."""
    window = {
        "avalanche": "yes",
        "reverse voltage [V]": "1000",
        "least breakdown [V]": "31",
        "greatest breakdown [V]": "39",
    }
    for coldest, status in (("20", "pass"), ("-40", "fail")):
        bridge = bridge_of(tmp_path / coldest, rectifier=window, sink={}, zone={"coldest [degC]": coldest})
        assert check(bridge, "avalanche_above_charging")["status"] == status


def test_a_window_nobody_knows_never_passes(tmp_path):
    bridge = bridge_of(tmp_path, rectifier={"avalanche": "yes"}, sink={}, zone={"air speed [m/s]": "8"})
    assert bridge["status"] == "incomplete"
    assert check(bridge, "avalanche_above_charging")["status"] == "unknown"


def test_a_window_below_the_transient_is_flagged_for_it_becomes_the_suppressor(tmp_path):
    window = {
        "avalanche": "yes",
        "reverse voltage [V]": "1000",
        "least breakdown [V]": "34",
        "greatest breakdown [V]": "42",
    }
    data = pick(tmp_path / "dump", job(rectifier=window, sink={}, zone={"air speed [m/s]": "8"}))
    (finding,) = [f for f in data["findings"] if f["code"] == "R07"]
    assert "become the suppressor" in finding["text"] and finding["cure"]
    assert data["by_name"]["bridge"]["status"] == "served"
    low = job(rectifier=window, sink={}, zone={"air speed [m/s]": "8"}, alternator={"load dump [V]": "30"})
    assert not [f for f in pick(tmp_path / "low", low)["findings"] if f["code"] == "R07"]


def test_the_first_moment_of_a_short_is_stated_or_assumed(tmp_path):
    data = pick(tmp_path / "assumed", job(rectifier={}, sink={}))
    assert check(data["by_name"]["bridge"], "first_moment")["actual"] == pytest.approx(4 * 100 * 1.0471975512)
    assert any(d["what"].startswith("first-moment") and d["value"] == 4 for d in data["defaults"])
    stated = bridge_of(tmp_path / "stated", rectifier={}, sink={}, alternator={"short-circuit current [A]": "150"})
    assert check(stated, "first_moment")["actual"] == pytest.approx(150 * 1.0471975512)


# -- what is said ----------------------------------------------------------------------------------------------------


def test_a_stated_current_below_the_machine_s_is_told_and_more_is_used(tmp_path):
    data = pick(tmp_path / "less", job(row={"current [A]": "135"}, alternator={"rated current [A]": "220"}))
    assert data["by_name"]["bridge"]["currents"]["continuous"] == 220
    (finding,) = [f for f in data["findings"] if f["code"] == "R12"]
    assert (finding["actual"], finding["limit"]) == (135, 220)
    more = bridge_of(tmp_path / "more", row={"current [A]": "120"})
    assert more["results"]["line_rms"] == pytest.approx(120 * (2 / 3) ** 0.5)


def test_the_share_of_the_alternator_s_heat_is_said(tmp_path):
    files = job(
        rectifier={},
        sink={},
        zone={"air speed [m/s]": "8"},
        system={"nominal [V]": "12", "highest [V]": "14.4", "lowest [V]": "10.5"},
    )
    outcome = pipeline.run(write(tmp_path, files))
    (one,) = outcome.chosen
    loss, power = one.results["module_loss_w"], 100 * 14.4
    shares = [100 * loss / (power * (1 / efficiency - 1)) for efficiency in (0.50, 0.65)]
    text = explain_text(outcome, one)
    assert f"{shares[0]:.4g} to {shares[1]:.4g} %" in text and "trade often says half" in text
    assert any(d.what.startswith("alternator's efficiency") for d in outcome.places.defaults)


# -- one sink, or several bodies -----------------------------------------------------------------------------------------

TWO = "two extrusions 300 x 300 x 80 mm on insulating feet"


def test_a_module_never_lies_on_two_bodies(tmp_path):
    """One base plate, one sink: common practice, no source. A smaller module on two is passed over for a larger on one."""
    bridge = bridge_of(
        tmp_path / "a", alternator={"rated current [A]": "90"}, zone={"ambient [degC]": "45", "air speed [m/s]": "6"}
    )
    assert bridge["status"] == "served" and not part(bridge, "heatsink").startswith("two ")
    fixed = bridge_of(tmp_path / "b", row={"heatsink": TWO}, rectifier={})
    bodies = check(fixed, "sink_bodies")
    assert (fixed["status"], bodies["status"], bodies["severity"]) == ("unserved", "fail", "must")


def test_of_separate_diodes_each_body_takes_one_of_a_plate(tmp_path):
    """Two bodies halve the heat of a plate of two diodes; a plate of three gives one body twice the other's."""
    apart = {"build": "separate diodes"}
    single = {**apart, "circuit": "single-phase bridge", "diodes": "4", "lines": "2"}
    one = bridge_of(tmp_path / "a", row={"heatsink": TWO}, rectifier=single, alternator={"phases": "1"})
    three = bridge_of(tmp_path / "b", row={"heatsink": TWO}, rectifier=apart)
    assert (check(one, "sink_bodies")["status"], check(three, "sink_bodies")["status"]) == ("pass", "fail")


def test_a_sink_that_does_not_say_is_one_body(tmp_path):
    assert check(bridge_of(tmp_path, rectifier={}, sink={}), "sink_bodies")["status"] == "pass"
