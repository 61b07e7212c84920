"""Suppressors through the whole choice: published pulses, classes refused, numbers in parallel, what the user is told.

Sources of the figures stand beside them, by their key in tables/sources.csv; the rules of choosing without one are
common practice, no source. Machines, nodes and withstands are made up.
"""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from selector import pipeline
from selector.catalogue.catalogue import load
from selector.choosing.checks import PASS, judge
from selector.choosing.order import Preference
from selector.facts import registry
from selector.facts.evaluator import Evaluation
from selector.report.text import explain_text
from selector.upkeep.audit import compiled_for
from tests.choosing.projects import check, part, pick, write
from tests.published.published_figures import each_row, number, printed

CLASS = "6600 W load-dump"


def project(row=None, machine=None, nodes=(), ambient="25", coldest="25", highest="14", nominal="12", **files):
    """An alternator, a battery, and a suppressor at the battery's node."""
    supplies = [
        {
            "node": "machine",
            "type": "alternator",
            "rated current [A]": "100",
            "self-limiting": "yes",
            **(machine or {}),
        },
        {
            "node": "bank",
            "type": "battery",
            "chemistry": "agm",
            "capacity [Ah]": "200",
            "short-circuit current [A]": "1800",
        },
    ]
    return {
        "connections.csv": [
            {"connection": "out", "kind": "cable", "from": "machine", "to": "bank", "length [m]": "2", "zone": "z"},
            {"connection": "guard", "kind": "suppressor", "from": "bank", "to": "ground", "length [m]": "0.1", "zone": "z",
             **(row or {})},
        ],
        "nodes.csv": [
            {"node": "machine", "system": "s", "role": "supply", "stud": "M8"},
            {"node": "bank", "system": "s", "role": "supply", "stud": "M8", "withstand [V]": "60"},
            {"node": "ground", "system": "s", "role": "ground", "stud": "M8"},
            *nodes,
        ],
        "supplies.csv": supplies,
        "systems.csv": [{"system": "s", "nominal [V]": nominal, "highest [V]": highest, "lowest [V]": "10"}],
        "zones.csv": [{"zone": "z", "ambient [degC]": ambient, "coldest [degC]": coldest}],
        **files,
    }  # fmt: skip


def dump(peak, resistance, milliseconds):
    return {"load dump [V]": peak, "load dump resistance [ohm]": resistance, "load dump time [ms]": milliseconds}


def constant(volts):
    """A clamp that holds one voltage whatever the current, as the published pulses have it."""
    return [{
        "suppressor": f"constant {volts} V", "class": CLASS, "polarity": "unipolar", "stand-off [V]": "29.9",
        "least breakdown [V]": volts, "greatest breakdown [V]": volts, "clamping [V]": volts, "peak current [A]": "100",
        "pulse power [W]": "6600", "steady power [W]": "8", "steady to [degC]": "75", "greatest junction [degC]": "175",
        "temperature coefficient [1/K]": "0.001", "leakage [uA]": "1", "junction to case [K/W]": "1",
        "source": "iso-16750-2-2012", "status": "computed", "note": "for a test",
    }]  # fmt: skip


def guard(folder, files, **options):
    return pick(folder, files, **options)["by_name"]["guard"]


# ISO 16750-2, pulses worked out by its form: tests/published/load_dumps.csv. Key: iso-16750-2-2012.
@pytest.mark.parametrize("row", each_row("load_dumps.csv", "case"))
def test_published_pulses_come_out_of_the_choice(tmp_path, row):
    clamp, slope = row["clamp [V]"], number(row, "clamp resistance [ohm]")
    supply = row["supply [V]"]
    own = {"tables/suppressors.csv": constant(clamp)} if slope == 0 else {}
    key = f"constant {clamp} V" if slope == 0 else f"{CLASS} 24 V"
    machine = dump(*(row[name] for name in ("peak [V]", "resistance [ohm]", "time [ms]")))
    nominal = "24" if supply == "28" else "12"
    one = guard(tmp_path / "p", project({"suppressor": f"1 x {key}"}, machine, highest=supply, nominal=nominal, **own))
    results = one["results"]
    assert results["pulse_current"] == printed(row["current [A]"])
    assert results["pulse_energy"] == printed(row["energy [J]"])
    assert 1000 * results["pulse_time"] == printed(row["conducts [ms]"])
    assert one["picks"][0]["quantity"] == 1


# Two makers' notes on clamping at other currents: tests/published/clamp_voltages.csv. Key: application-note-clamp-voltage.
@pytest.mark.parametrize("row", each_row("clamp_voltages.csv", "class", "stand-off [V]", "current [A]"))
def test_published_clamping_voltages_come_out_of_the_choice(tmp_path, row):
    own = row
    family = "1500 W surface-mount" if own["class"] == "1500 W" else own["class"]
    current, slope = number(row, "current [A]"), number(row, "slope [ohm]")
    peak = number(row, "greatest breakdown [V]") + current * (1.0 + slope)
    files = project({"suppressor": f"1 x {family} {own['stand-off [V]']} V"}, dump(f"{peak}", "1", "1"), highest="14")
    results = guard(tmp_path / "p", files)["results"]
    assert results["pulse_current"] == pytest.approx(current, rel=1e-4)
    assert results["clamping_voltage"] == pytest.approx(number(row, "clamp [V]"), abs=6e-3)


# 6600 W class, 101 V behind 4 ohm for 400 ms: 57.7 J against 72.8 J at 25 degC, 43.7 J at 85 degC. Key:
# datasheet-suppressor-load-dump-6600w, derating by mil-prf-19500-500.
@pytest.mark.parametrize("ambient, stands", [("25", 72.8), ("85", 43.68)])
def test_what_the_load_dump_class_stands(tmp_path, ambient, stands):
    files = project({"suppressor": f"1 x {CLASS} 24 V"}, dump("101", "4", "400"), ambient=ambient)
    energy = check(guard(tmp_path / "p", files), "pulse_energy")
    assert energy["limit"] == pytest.approx(stands, rel=1e-3)
    assert energy["spare"] == 0.25
    assert energy["actual"] >= 57.6


# 10 U N / (0.8 I 12000) for 220 A, 6000 rpm at 28 V gives 0.80 ohm; into 45 V 151 V/100 ms gives 178 J and 202 V/350 ms
# 1010 J. Key: iso-16750-2-2012.
@pytest.mark.parametrize("peak, time, joules", [("151", "100", 178), ("202", "350", 1010)])
def test_a_12_v_machine_used_at_28_v(tmp_path, peak, time, joules):
    machine = {
        "rated current [A]": "220",
        "speed range [rpm]": "1500..6000",
        "load dump [V]": peak,
        "load dump time [ms]": time,
    }
    own = {"tables/suppressors.csv": constant("45")}
    files = project({"suppressor": "1 x constant 45 V"}, machine, highest="28", nominal="24", **own)
    data = pick(tmp_path / "p", files)
    assert data["by_name"]["guard"]["results"]["pulse_energy"] == pytest.approx(joules, rel=0.005)
    assumed = [d for d in data["defaults"] if d["connection"] == "guard" and "by formula" in d["what"]]
    assert assumed[0]["value"] == pytest.approx(0.7955, abs=1e-4)


@pytest.mark.parametrize("stated", [{"load dump [V]": "101", "load dump time [ms]": "400"}, {}])
def test_a_pulse_without_its_resistance_or_a_rating_is_incomplete(tmp_path, stated):
    one = guard(tmp_path / "p", project(None, {**stated, "rated current [A]": "", "speed range [rpm]": "1500..6000"}))
    assert one["status"] == "incomplete"
    assert any("source resistance" in text for text in one["questions"])


# 10 U N / (0.8 I 12000) with the least speed usual for alternators, 1500 rpm (tables/typicals.csv): 14 V and 100 A give
# 0.219 ohm. Key: iso-16750-2-2012.
def test_a_machine_nobody_described_is_judged_by_both_printed_peaks_behind_the_least_resistance(tmp_path):
    data = pick(tmp_path / "p", project({"suppressor": f"1 x {CLASS} 24 V"}))
    told = {
        d["what"]: d["value"] for d in data["defaults"] if d["connection"] == "guard" and d["what"].startswith("load")
    }
    assert told == {
        "load dump resistance by formula, 14 V, 100 A, 1500 rpm assumed": 0.21875,
        "load dump, 12 V pairs": "79 V for 40 ms, and 101 V for 400 ms",
    }
    results = data["by_name"]["guard"]["results"]
    assert results["pulse_current"] == pytest.approx((101 - 29.5) / (0.21875 + 0.05529), rel=1e-4)
    assert 1000 * results["pulse_time"] == pytest.approx(299.68, rel=1e-4)
    assert data["by_name"]["guard"]["status"] == "incomplete"
    assert any("how fast does it turn" in text for text in data["by_name"]["guard"]["questions"])


@pytest.mark.parametrize("amperes, peak", [("85", ""), ("220", ""), ("30", "60"), ("55", "60"), ("100", "60")])
@pytest.mark.parametrize("blank", ["speed range [rpm]", "rated current [A]"])
def test_what_nobody_says_of_a_machine_never_serves_more(tmp_path, blank, amperes, peak):
    machine = {"rated current [A]": amperes, "speed range [rpm]": "1500..6000", "load dump [V]": peak}
    found = []
    for name, own in (("said", machine), ("unsaid", {**machine, blank: ""})):
        one = guard(tmp_path / name, project(None, own, highest="28", nominal="24"))
        found.append(one["picks"][0]["quantity"] if one["status"] == "served" else 99)
    assert found[0] <= found[1]


# Test B of ISO 16750-2 is the pulse of test A cut off at a voltage: it is flat for tau ln((Us - UA)/(Us* - UA)), with tau
# the time over ln 10; 101 V, 14.4 V and 400 ms cut off at 35 V make 250 ms. Key: iso-16750-2-2012.
SUPPRESSED = {**dump("101", "4", "400"), "load dump suppressed [V]": "35"}


def test_a_part_that_begins_below_what_the_machine_holds_takes_its_whole_load_dump(tmp_path):
    with_diodes, without = (
        pick(tmp_path / name, project({"suppressor": f"1 x {CLASS} 24 V"}, machine, highest="14"))["by_name"]["guard"]
        for name, machine in (("b", SUPPRESSED), ("a", dump("101", "4", "400")))
    )
    assert (
        with_diodes["results"]["pulse_energy"] == without["results"]["pulse_energy"] == pytest.approx(57.653, rel=1e-4)
    )
    assert not [c for c in with_diodes["checks"] if c["name"] == "central_lets_through"]


def test_a_part_that_begins_above_what_the_machine_holds_takes_nothing_of_its_load_dump(tmp_path):
    files = project({"suppressor": f"1 x {CLASS} 33 V"}, SUPPRESSED, highest="14.4")
    folder = write(tmp_path / "p", files)
    one = guard(folder, files)
    assert one["status"] == "served"
    held = check(one, "central_lets_through")
    assert (held["actual"], held["limit"]) == (35.0, 60.0)
    assert one["results"]["pulse_time"] < 50e-6  # pulse 2a of key iso-7637-2-2011 is what is left
    outcome = pipeline.run(folder)
    chosen = next(c for c in outcome.chosen if c.kind.name == "suppressor")
    flat = 1000 * 0.4 / math.log(10) * math.log((101 - 14.4) / (35 - 14.4))
    assert flat == pytest.approx(249.46, abs=0.01)
    assert "diodes hold it at: 35 V, for 249.5 ms" in explain_text(outcome, chosen)


def test_without_a_suppressor_what_the_machine_holds_is_what_diodes_see(tmp_path):
    files = project(
        None, {**SUPPRESSED, "field current [A]": "2", "field resistance [ohm]": "7", "field inductance [H]": "0.2"}
    )
    files["connections.csv"][1:] = [
        {"connection": "bridge", "kind": "rectifier", "from": "machine", "to": "bank", "zone": "z"},
        {"connection": "coil diode", "kind": "freewheel", "from": "machine", "to": "ground", "zone": "z"},
    ]
    data = pick(tmp_path / "p", files)["by_name"]
    assert check(data["bridge"], "transient_reverse")["actual"] == pytest.approx(35 + 1.1)
    assert check(data["coil diode"], "diode_reverse")["limit"] == 35


@pytest.mark.parametrize("highest, words", [("14", "14 V, as stated"), ("", "usual for such a system")])
def test_the_charging_voltage_is_told_as_it_came(tmp_path, highest, words):
    outcome = pipeline.run(write(tmp_path / "p", project(None, dump("101", "4", "400"), highest=highest)))
    chosen = next(c for c in outcome.chosen if c.kind.name == "suppressor")
    text = explain_text(outcome, chosen)
    assert words in text and "cold compensation and equalising" in text


def test_what_the_machine_lets_through_is_held_against_the_weakest(tmp_path):
    files = project(
        {"suppressor": f"1 x {CLASS} 33 V"}, {**SUPPRESSED, "load dump suppressed [V]": "36"}, highest="14.4"
    )
    files["nodes.csv"][1]["withstand [V]"] = "34"
    one = guard(tmp_path / "p", files)
    assert check(one, "central_lets_through")["status"] == "fail"
    assert one["status"] == "unserved"


def test_a_load_dump_below_any_printed_one_is_asked_about(tmp_path):
    outcome = pipeline.run(write(tmp_path / "p", project(None, dump("35", "0.5", "400"), highest="14.4")))
    assert any("35 V is below the 79 V" in note and "load dump suppressed [V]" in note for note in outcome.notes)


# Said in the trade: a suppressor for a 24 V conversion conducts at about 33 V. That is the class of 30 V stand-off
# (least breakdown 33.3 V, key datasheet-suppressor-load-dump-6600w); the 28 V class is refused at 29.4 V.
def test_the_28_v_class_is_refused_at_29_4_v(tmp_path):
    files = project({"suppressor": f"{CLASS} 28 V"}, dump("80", "4", "100"), highest="29.4", nominal="24")
    one = guard(tmp_path / "p", files)
    refused = check(one, "stand_off")
    assert (refused["status"], refused["actual"], refused["limit"]) == ("fail", 28.0, 29.4)
    assert one["status"] == "unserved"


def test_the_30_v_class_conducts_at_about_33_v_and_its_near_miss_is_the_28_v_class(tmp_path):
    one = guard(tmp_path / "p", project(None, dump("80", "4", "100"), highest="29.4", nominal="24"))
    assert one["status"] == "served"
    assert one["results"]["stand_off"] == 30.0
    assert check(one, "breakdown_coldest")["actual"] == pytest.approx(33.3)
    miss = one["near_misses"][0]
    assert miss["size"] == "28 V"
    assert [fail["code"] for fail in miss["fails"]] == ["U01"]
    assert one["governing"] == "U01"


# At 125 degC the 30 V class begins at up to 40 V and holds some 50 V at full pulse: 36.8 V and 48.4 V printed, 0.1 %/K.
# Key: datasheet-suppressor-load-dump-6600w, coefficient by datasheet-suppressor-1500w-axial.
def test_30_v_of_stand_off_does_not_protect_a_regulator_that_stands_40_v(tmp_path):
    nodes = [{"node": "regulator", "system": "s", "role": "load", "stud": "none", "withstand [V]": "40"}]
    files = project({"suppressor": f"{CLASS} 30 V"}, dump("80", "4", "100"), nodes, "125", highest="29.4", nominal="24")
    files["connections.csv"].append(
        {
            "connection": "feed",
            "kind": "cable",
            "from": "bank",
            "to": "regulator",
            "length [m]": "1",
            "current [A]": "5",
            "zone": "z",
        }
    )
    folder = write(tmp_path / "p", files)
    outcome = pipeline.run(folder)
    one = guard(folder, files)
    clamp = check(one, "clamping_voltage")
    assert (clamp["status"], clamp["limit"]) == ("fail", 40.0)
    assert one["status"] == "unserved"
    assert one["results"]["begins_at"] == pytest.approx(40.48)
    assert one["results"]["clamping_at_rating"] == pytest.approx(53.24)
    chosen = next(c for c in outcome.chosen if c.kind.name == "suppressor")
    assert "begins at 40.48 V at the latest and holds 53.24 V" in explain_text(outcome, chosen)


def test_a_key_means_as_many_pieces_as_it_takes_and_2_x_key_means_two(tmp_path):
    machine = dump("101", "2", "400")
    free = guard(tmp_path / "a", project({"suppressor": f"{CLASS} 24 V"}, machine))
    assert free["status"] == "served"
    assert part(free, "suppressor") == f"{CLASS} 24 V"
    assert free["picks"][0]["number"] == free["picks"][0]["quantity"] == 3
    assert free["picks"][0]["fixed"]
    two = pick(tmp_path / "b", project({"suppressor": f"2 x {CLASS} 24 V"}, machine))
    assert two["by_name"]["guard"]["status"] == "unserved"
    assert check(two["by_name"]["guard"], "pulse_energy")["status"] == "fail"
    assert two["by_name"]["guard"]["picks"][0]["quantity"] == 2


def test_the_parts_list_counts_pieces_of_the_plain_part(tmp_path):
    files = project({"suppressor": f"2 x {CLASS} 24 V"}, dump("101", "4", "400"))
    files["connections.csv"].append(
        {**files["connections.csv"][1], "connection": "second", "suppressor": f"3 x {CLASS} 24 V"}
    )
    rows = [row for row in pick(tmp_path / "p", files)["parts"] if row["role"] == "suppressor"]
    assert [(row["part"], row["quantity"], row["unit"]) for row in rows] == [(f"{CLASS} 24 V", 5.0, "piece")]


def test_words_that_name_several_suppressors_are_a_problem(tmp_path):
    with pytest.raises(Exception, match="names 2 parts"):
        pipeline.run(write(tmp_path / "p", project({"suppressor": "1500 W axial 33.3"}, dump("101", "4", "400"))))


def test_more_than_four_is_nothing_fits_with_the_cures(tmp_path):
    data = pick(tmp_path / "p", project(None, dump("202", "0.8", "350"), highest="28", nominal="24"))
    assert data["by_name"]["guard"]["status"] == "unserved"
    finding = next(f for f in data["findings"] if f["code"] == "T02")
    assert finding["severity"] == "must" and finding["connections"] == ["guard"]
    for cure in ("second battery", "field", "avalanche window"):
        assert cure in finding["cure"]


# Where no peak is stated, both of ISO 16750-2 (key iso-16750-2-2012) are tried: 151 V for 100 ms and 202 V for 350 ms,
# behind a stated 0.8 ohm more than four pieces take. The machine's own peak may be less: the row is not settled.
def test_what_only_fails_by_an_assumption_is_not_called_unserved(tmp_path):
    files = project(None, {"load dump resistance [ohm]": "0.8"}, highest="28", nominal="24")
    data = pick(tmp_path / "p", files)
    assert data["by_name"]["guard"]["status"] == "incomplete"
    finding = next(f for f in data["findings"] if f["code"] == "T02")
    assert finding["text"].startswith("Not settled: nothing fits what is only assumed here (")
    assert "load dump" in finding["text"].split(")")[0] and "Nothing fits." not in finding["text"]
    assert finding["cure"].startswith("Find that out and state it. If it stays so: keep a second battery")


def test_the_setting_lowers_how_many_may_stand_in_parallel(tmp_path):
    limit = {"settings.csv": [{"setting": "suppressors in parallel limit", "value": "1"}]}
    one = guard(tmp_path / "p", project(None, dump("101", "2", "400"), **limit))
    assert one["status"] == "unserved"


def test_a_withstand_nobody_stated_is_listed_at_its_unsafe_end(tmp_path):
    files = project(None, dump("80", "4", "100"), highest="29.4", nominal="24")
    files["nodes.csv"][1]["withstand [V]"] = ""
    data = pick(tmp_path / "p", files)
    one = data["by_name"]["guard"]
    assert check(one, "clamping_voltage")["limit"] == 32.0
    assert one["status"] == "incomplete"
    assert any("greatest voltage its maker allows" in text for text in one["questions"])
    assert {"connection": "guard", "what": "withstand", "value": 32.0}.items() <= next(
        d for d in data["defaults"] if d["what"] == "withstand"
    ).items()


def test_one_behind_another_takes_only_what_is_let_through(tmp_path):
    nodes = [{"node": "console", "system": "s", "role": "load", "stud": "none", "withstand [V]": "60"}]
    files = project(None, dump("101", "4", "400"), nodes)
    files["connections.csv"] += [
        {"connection": "feed", "kind": "cable", "from": "bank", "to": "console", "length [m]": "4", "current [A]": "5", "zone": "z"},
        {"connection": "upper", "kind": "suppressor", "from": "machine", "to": "ground", "length [m]": "0.1", "zone": "z",
         "suppressor": f"2 x {CLASS} 24 V"},
        {"connection": "lower", "kind": "suppressor", "from": "console", "to": "ground", "length [m]": "0.1", "zone": "z",
         "suppressor": f"1 x {CLASS} 33 V"},
    ]  # fmt: skip
    del files["connections.csv"][1]
    data = pick(tmp_path / "p", files)["by_name"]
    assert data["upper"]["status"] == data["lower"]["status"] == "served"
    assert data["upper"]["results"]["clamping_voltage"] < 36.7
    assert check(data["lower"], "upper_lets_through")["actual"] == data["upper"]["results"]["clamping_voltage"]
    # pulse 2a of key iso-7637-2-2011: 112 V above 14 V behind 2 ohm, for 50 us
    assert data["lower"]["results"]["pulse_time"] < 50e-6


# A lithium battery may disconnect while it is charged; common practice, no source.
@pytest.mark.parametrize("chemistry, said, second, told", [
    ("lithium", "", False, True), ("lithium", "no", False, False), ("agm", "", False, False), ("agm", "yes", False, True),
    ("lithium", "", True, False),
])  # fmt: skip
def test_a_battery_that_may_disconnect_needs_something_that_takes_the_pulse(tmp_path, chemistry, said, second, told):
    files = project(None, dump("101", "4", "400"))
    files["supplies.csv"][1] |= {"chemistry": chemistry, "may disconnect": said}
    del files["connections.csv"][1]
    if second:
        files["nodes.csv"].append({"node": "start", "system": "s", "role": "supply", "stud": "M8"})
        files["supplies.csv"].append(
            {"node": "start", "type": "battery", "chemistry": "flooded starter", "short-circuit current [A]": "1500"}
        )
        files["connections.csv"].append(
            {
                "connection": "link",
                "kind": "cable",
                "from": "start",
                "to": "bank",
                "length [m]": "1",
                "current [A]": "50",
            }
        )
    data = pick(tmp_path / "p", files)
    found = [f for f in data["findings"] if f["code"] == "T01"]
    assert bool(found) == told
    assert all(f["severity"] == "must" and f["nodes"] == ["bank"] and "second battery" in f["cure"] for f in found)
    if told and not said:
        assert any(d["what"] == "lithium may disconnect" and d["value"] == "yes" for d in data["defaults"])


@pytest.mark.parametrize(
    "node, protection, answers", [("bank", "", False), ("bank", "none", True), ("machine", "", True)]
)
def test_a_suppressor_answers_for_a_battery_that_may_disconnect_where_no_fuse_parts_it_from_the_machine(
    tmp_path, node, protection, answers
):
    files = project({"from": node}, dump("101", "4", "400"))
    files["connections.csv"][0]["protection"] = protection
    files["supplies.csv"][1]["chemistry"] = "lithium"
    found = [f for f in pick(tmp_path / "p", files)["findings"] if f["code"] in ("T01", "T03")]
    assert [f["code"] for f in found] == ([] if answers else ["T01"])
    assert all("guard stands behind a fuse or breaker" in f["text"] for f in found)


# An opening alternator fuse is a load dump, and a fuse between a machine and its battery needs what a battery that may
# disconnect needs; common practice, no source.
@pytest.mark.parametrize("machine, bare, told", [
    ({}, False, True), ({}, True, False), ({"may disconnect": "no"}, False, False), ({"may disconnect": "yes"}, True, True),
    ({"load dump suppressed [V]": "35"}, False, False), ({"load dump suppressed [V]": "35", "may disconnect": "yes"}, True, False),
])  # fmt: skip
def test_a_fuse_between_an_alternator_and_its_battery_is_a_must(tmp_path, machine, bare, told):
    files = project(None, {**dump("101", "4", "400"), **machine})
    del files["connections.csv"][1]
    files["connections.csv"][0]["protection"] = "none" if bare else ""
    found = [f for f in pick(tmp_path / "p", files)["findings"] if f["code"] == "T03"]
    assert bool(found) == told
    if told:
        assert found[0]["severity"] == "must" and found[0]["nodes"] == ["machine"]
        assert found[0]["connections"] == ([] if bare else ["out"])
        assert all(words in found[0]["cure"] for words in ("load dump suppressed", "may disconnect no", "suppressor"))


@pytest.mark.parametrize("second, told", [("machine", False), ("bank", True)])
def test_a_second_battery_answers_where_the_fuse_does_not_part_it_too(tmp_path, second, told):
    files = project(None, dump("101", "4", "400"), [{"node": "start", "system": "s", "role": "supply", "stud": "M8"}])
    files["supplies.csv"].append(
        {"node": "start", "type": "battery", "chemistry": "flooded starter", "short-circuit current [A]": "1500"}
    )
    files["connections.csv"][1] = {"connection": "link", "kind": "cable", "from": second, "to": "start", "zone": "z",
                                   "length [m]": "1", "current [A]": "50"}  # fmt: skip
    found = [f for f in pick(tmp_path / "p", files)["findings"] if f["code"] == "T03"]
    assert [f["connections"] for f in found] == ([["out"]] if told else [])


# Seen from the machine, a suppressor holds down what lies with it or behind it, whatever fuse opens; what is parted from it
# by a fuse and not from the machine sees the whole pulse. Circuit theory; common practice, no source.
@pytest.mark.parametrize("at, fused, held", [
    ("output", {"feed", "sense"}, {"bridge", "coil"}), ("post", {"feed", "sense"}, set()),
    ("post", {"sense"}, {"bridge", "coil"}), ("regulator", {"feed", "sense"}, set()), ("regulator", {"feed"}, set()),
    ("regulator", set(), {"bridge", "coil"}), ("coil", {"feed", "sense"}, {"coil"}),
])  # fmt: skip
def test_a_suppressor_guards_what_no_opening_fuse_takes_from_it(tmp_path, at, fused, held):
    def lead(name, start, end, **cells):
        return {"connection": name, "kind": "cable", "from": start, "to": end, "length [m]": "2", "zone": "z",
                "protection": "" if name in fused else "none", **cells}  # fmt: skip

    files = {
        "connections.csv": [
            {"connection": "bridge", "kind": "rectifier", "from": "machine", "to": "output", "zone": "z"},
            lead("feed", "output", "post"), lead("battery", "post", "bank"),
            lead("sense", "post", "regulator", **{"current [A]": "1"}),
            lead("own", "output", "coil", **{"current [A]": "1", "protection": ""}),
            {"connection": "coil diode", "kind": "freewheel", "from": "coil", "to": "ground", "zone": "z"},
            {"connection": "guard", "kind": "suppressor", "from": at, "to": "ground", "length [m]": "0.1", "zone": "z"},
        ],
        "nodes.csv": [
            *({"node": name, "system": "s", "role": role, "stud": "M8", "withstand [V]": "60"}
              for name, role in (("machine", "supply"), ("bank", "supply"), ("output", "bus"), ("post", "bus"),
                                 ("regulator", "device"), ("ground", "ground"))),
            {"node": "coil", "system": "s", "role": "device", "stud": "M8", "coil inductance [H]": "0.5",
             "coil resistance [ohm]": "150"},
        ],
        "supplies.csv": project(None, dump("170", "3", "100"))["supplies.csv"],
        "systems.csv": [{"system": "s", "nominal [V]": "24", "highest [V]": "29", "lowest [V]": "22"}],
        "zones.csv": [{"zone": "z", "ambient [degC]": "35", "coldest [degC]": "0"}],
    }  # fmt: skip
    data = pick(tmp_path / "p", files)["by_name"]
    clamp = data["guard"]["results"]["clamping_voltage"]
    reverse = {
        "bridge": check(data["bridge"], "transient_reverse")["actual"] - 1.1,
        "coil": check(data["coil diode"], "diode_reverse")["limit"],
    }
    assert {name for name, volts in reverse.items() if volts == pytest.approx(clamp)} == held
    assert all(volts == pytest.approx(170) for name, volts in reverse.items() if name not in held)


# At 125 degC a stand-off of 30 V begins at up to 40 V (36.8 V printed, 0.1 %/K); in cool air too the pulse warms it.
@pytest.mark.parametrize("ambient", ["25", "45"])
def test_30_v_of_stand_off_against_40_v_is_told_in_cool_air_too(tmp_path, ambient):
    files = project(
        {"suppressor": f"1 x {CLASS} 30 V"}, dump("80", "4", "100"), (), ambient, highest="29.4", nominal="24"
    )
    files["nodes.csv"][1]["withstand [V]"] = "40"
    data = pick(tmp_path / "p", files)
    one = data["by_name"]["guard"]
    assert one["status"] == "served" and check(one, "clamp_heated")["status"] == "fail"
    current, slope = one["results"]["pulse_current"], (48.4 - 36.8) / 136
    assert one["results"]["clamping_heated"] == pytest.approx(1.1 * (36.8 + slope * current), rel=1e-3)
    assert "U13" in [f["code"] for f in data["findings"] if f["severity"] == "should"]


# -- harder never gives an earlier suppressor ----------------------------------------------------------------------------

CATALOGUE = load(None)
CHECKS = [c for c in compiled_for(CATALOGUE)["suppressor"][1] if c.must]


def _parts():
    from selector.catalogue.families import FAMILIES, candidates

    return candidates(FAMILIES["suppressors"], CATALOGUE, CATALOGUE.rows("rule_sets.csv")[0])


PARTS = _parts()
RANK = Preference(list(CATALOGUE["preference.csv"].iter_rows(named=True)), PARTS).rank_of(())
EASY = {
    "highest_v": 29.4, "coldest_k": 263.15, "has_dump": 1.0, "has_upper": 0.0, "upper_clamp_v": float("nan"),
    "has_central": 0.0, "central_clamp_v": float("nan"), "suppressor_heated_k": 398.15, "dump_rise_s": 5e-3, "has_short_pulses": 1.0, "short_above_v": 112.0, "short_resistance_ohm": 2.0, "short_time_s": 5e-5,
    "short_rise_s": 5e-7, "burst_above_v": 300.0, "burst_resistance_ohm": 50.0, "negative_v": 600.0,
    "negative_resistance_ohm": 50.0, "negative_time_s": 1e-3, "lead_length_m": 0.1, "lead_diameter_m": 1e-3,
    "suppressor_mismatch": 0.0025,
}  # fmt: skip


def first_that_complies(ambient_k, peak_v, time_s, withstand_v, resistance_ohm):
    """Rank of the first candidate that passes every must; beyond the last where none does."""
    columns = {
        **EASY, "ambient_k": ambient_k, ("hottest_k", "from"): ambient_k, "dump_peak_v": peak_v, "dump_time_s": time_s,
        "dump_resistance_ohm": resistance_ohm, "weakest_withstand_v": withstand_v,
        **{f"suppressor_{name}": values for name, values in PARTS.columns.items()},
    }  # fmt: skip
    evaluation = Evaluation(registry("suppressor"), columns)
    passes = RANK >= 0
    for one in CHECKS:
        passes = passes & (judge(one, evaluation, 0.25 if one.code == "U06" else 0.0).status == PASS)
    return int(RANK[passes].min()) if passes.any() else len(PARTS)


PLACES = {
    "ambient_k": st.floats(263.15, 398.15), "peak_v": st.floats(50.0, 202.0), "time_s": st.floats(0.04, 0.4),
    "withstand_v": st.floats(35.0, 80.0), "resistance_ohm": st.floats(0.5, 8.0),
}  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(
    st.fixed_dictionaries(PLACES),
    st.sampled_from(["ambient_k", "peak_v", "time_s", "withstand_v"]),
    st.floats(0.0, 1.0),
)
def test_harder_never_gives_an_earlier_suppressor(place, what, share):
    low, high = {
        "ambient_k": (263.15, 398.15),
        "peak_v": (50.0, 202.0),
        "time_s": (0.04, 0.4),
        "withstand_v": (35.0, 80.0),
    }[what]
    far = low if what == "withstand_v" else high
    harder = {**place, what: place[what] + share * (far - place[what])}
    assert first_that_complies(**harder) >= first_that_complies(**place)


# -- two suppressors, one behind the other -------------------------------------------------------------------------------


def two(stands, lower=None, machine=None):
    """One at the machine's output, which holds some 30 to 33 V of this pulse, and one at a console behind a 5 A lead."""
    nodes = [{"node": "console", "system": "s", "role": "load", "stud": "none", "withstand [V]": stands}]
    files = project(None, {**dump("101", "4", "400"), **(machine or {})}, nodes)
    files["nodes.csv"][1]["withstand [V]"] = ""
    files["connections.csv"] += [
        {"connection": "feed", "kind": "cable", "from": "bank", "to": "console", "length [m]": "4", "current [A]": "5", "zone": "z"},
        {"connection": "upper", "kind": "suppressor", "from": "machine", "to": "ground", "length [m]": "0.1", "zone": "z",
         "suppressor": f"2 x {CLASS} 24 V"},
        {"connection": "lower", "kind": "suppressor", "from": "console", "to": "ground", "length [m]": "0.1", "zone": "z",
         "suppressor": lower or ""},
    ]  # fmt: skip
    del files["connections.csv"][1]
    return files


def test_one_that_leaves_the_load_dump_to_the_other_comes_first(tmp_path):
    """The lower clamp would take the dump through its 5 A lead: common practice, no source."""
    data = pick(tmp_path, two("60"))
    held = data["by_name"]["upper"]["results"]["clamping_voltage"]
    lower = data["by_name"]["lower"]
    begins = check(lower, "upper_takes_dump")
    assert (begins["status"], begins["limit"]) == ("pass", pytest.approx(held)) and begins["actual"] >= held
    assert lower["status"] == "served" and lower["results"]["pulse_time"] < 1e-3  # the short pulses alone
    assert not [f for f in data["findings"] if f["code"] == "U12"]


def test_one_that_must_begin_first_is_taken_and_told(tmp_path):
    """Nothing that begins above some 32 V keeps 35 V in a short pulse: the lower one then takes the whole dump."""
    folder = write(tmp_path, two("35"))
    outcome = pipeline.run(folder)
    lower = next(one for one in outcome.chosen if outcome.places.names[one.place] == "lower")
    assert lower.status == "served" and lower.results["pulse_time_s"] > 10e-3
    (finding,) = [f for f in outcome.findings if f["code"] == "U12"]
    assert (finding["severity"], finding["connections"]) == ("should", ["lower"])
    assert finding["actual"] < finding["limit"] and "fuse" in finding["cure"]
    assert "it takes the load dump, and so do its lead and the fuse in it" in explain_text(outcome, lower)


def test_a_lower_one_of_the_user_s_own_is_kept_and_told(tmp_path):
    data = pick(tmp_path, two("60", lower=f"1 x {CLASS} 18 V", machine=dump("40", "4", "100")))
    assert part(data["by_name"]["lower"], "suppressor") == f"{CLASS} 18 V"
    assert [f["connections"] for f in data["findings"] if f["code"] == "U12"] == [["lower"]]
