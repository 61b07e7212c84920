"""Suppressors through the whole choice: published pulses, classes refused, numbers in parallel, what the user is told.

Sources of the figures stand beside them, by their key in tables/sources.csv; the rules of choosing without one are
common practice, no source. Machines, nodes and withstands are made up.
"""

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


def test_a_pulse_without_its_resistance_rating_or_speed_is_incomplete(tmp_path):
    one = guard(tmp_path / "p", project(None, {"load dump [V]": "101", "load dump time [ms]": "400"}))
    assert one["status"] == "incomplete"
    assert any("source resistance" in text for text in one["questions"])


def test_a_machine_nobody_described_is_judged_by_both_printed_pairs(tmp_path):
    data = pick(tmp_path / "p", project({"suppressor": f"1 x {CLASS} 24 V"}))
    words = [d["value"] for d in data["defaults"] if d["connection"] == "guard" and d["what"].startswith("load dump")]
    assert words == ["79 V behind 0.5 ohm for 40 ms, and 101 V behind 4 ohm for 400 ms"]
    # 79 V behind 0.5 ohm gives the greater current, 101 V for 400 ms the longer time (pairs of key iso-16750-2-2012)
    results = data["by_name"]["guard"]["results"]
    assert results["pulse_current"] == pytest.approx((79 - 29.5) / (0.5 + 0.05529), rel=1e-4)
    assert 1000 * results["pulse_time"] == pytest.approx(299.68, rel=1e-4)


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


def test_a_suppressor_there_answers_for_a_battery_that_may_disconnect(tmp_path):
    files = project(None, dump("101", "4", "400"))
    files["supplies.csv"][1]["chemistry"] = "lithium"
    assert not [f for f in pick(tmp_path / "p", files)["findings"] if f["code"] == "T01"]


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
    "dump_rise_s": 5e-3, "has_short_pulses": 1.0, "short_above_v": 112.0, "short_resistance_ohm": 2.0, "short_time_s": 5e-5,
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
