"""Unmarked parts by their bench readings: known cases, parts that are never lost, readings that fit nothing."""

import random
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from selector.catalogue.bench import HARMLESS_V, KINDS, identify
from selector.catalogue.bench_readings import parse_readings
from selector.catalogue.catalogue import load
from selector.errors import UnitError

TABLES = load()
SUPPRESSORS = list(TABLES["suppressors.csv"].iter_rows(named=True))
DIODES = list(TABLES["diodes.csv"].iter_rows(named=True))
AIR_C, WARMING_K, METER = 20.0, 10.0, 0.01
EVERY_CLASS = {row["class"] for row in SUPPRESSORS} | {re.sub(r" [0-9.]+ V$", "", row["diode"]) for row in DIODES}


def keys(found):
    return {candidate.part.key for candidate in found.candidates}


def classes(found):
    return {candidate.part.name for candidate in found.candidates}


# ---- reading what is written


@pytest.mark.parametrize(
    "text, expected",
    [
        ("0 A at 20 V; 0.1 A at 27 V; 1 A at 27.4 V", [(0, 20, False, True), (0.1, 27, False, False), (1, 27.4, False, False)]),
        ("1 mA at 33,5 V\n27 V at 0,1 A", [(0.001, 33.5, False, False), (0.1, 27, False, False)]),
        ("forward 0.7 V at 1 A", [(1, 0.7, True, False)]),
        ("Reverse 5 µA at 60 V;", [(5e-6, 60, False, False)]),
        ("< 1 mA at 60 V", [(0.001, 60, False, True)]),
        ("30000 mV @ 2e-3 A", [(0.002, 30, False, False)]),
    ],
)  # fmt: skip
def test_readings_are_read_as_people_write_them(text, expected):
    found = [(r.current_a, r.voltage_v, r.forward, r.below) for r in parse_readings(text)]
    assert [(pytest.approx(a), pytest.approx(v), f, b) for a, v, f, b in expected] == found


@pytest.mark.parametrize(
    "text, found, remedy",
    [
        ("", "no reading", "0.1 A at 27 V"),
        (" ; \n", "no reading", "0.1 A at 27 V"),
        ("0.1 A 27 V", "not a reading", "0.1 A at 27 V"),
        ("0.1 at 27 V", "has no unit", "0.1 A"),
        ("1 A at 2 A", "two of current", "voltage"),
        ("1e300 kA at 20 V", "no bench reading", "up to 10000"),
        ("3 W at 20 V", "is a power", "current"),
        ("1 mB at 20 V", "not a known unit", ""),
        ("1,000 V at 1 A", "two ways", "1000 V or 1.000 V"),
        ("-1 A at 20 V", "negative", "forward or reverse"),
        ("0.1 A at 27 V, 1 A at 28 V", "more than one reading", "semicolon"),
        ("0.1..0.2 A at 30 V", "a range", "one reading"),
        ("0 A at < 20 V", "gives no voltage", "< 1 mA at 20 V"),
        ("< 0 A at 20 V", "below nothing", "0 A"),
        ("0.7 V at 1 A", "does not say its direction", "forward 0.7 V at 1 A"),
        ("0 A at 20 V; nothing", "'nothing' is not a reading", "0.1 A at 27 V"),
    ],
)
def test_what_cannot_be_read_is_said_with_what_would_be_right(text, found, remedy):
    with pytest.raises(UnitError) as raised:
        parse_readings(text)
    assert found in raised.value.found
    assert remedy in raised.value.expected
    at = raised.value.at("stock.csv", 7, "measured")
    assert str(at).startswith("stock.csv line 7, measured: ")


@given(st.text(max_size=60))
@settings(max_examples=300, deadline=None)
def test_any_text_is_read_or_refused(text):
    try:
        assert parse_readings(text)
    except UnitError as error:
        assert error.found


# ---- known cases


# Common practice, no source: an unmarked suppressor showed nothing at 36.5 V, 0.1 A at 52 V and 1 A at 52.5 V. It has
# a stand-off of 43 to 45 V, and the slope does not tell its power.
def test_the_unmarked_suppressor_of_52_v_stands_43_to_45_v():
    found = identify("0 A at 36.5 V; 0.1 A at 52 V; 1 A at 52.5 V", TABLES)
    assert found.likely_stand_off_v == (43.0, 45.0)
    assert found.likely_clamp_v == (69.4, 72.7)
    powers = next(one for one in found.cannot_tell if one.what == "pulse power")
    assert (powers.low, powers.high) == (400.0, 6600.0)
    assert any("does not tell the pulse power" in remark for remark in found.remarks)
    assert {"peak current", "steady power", "polarity"} <= {one.what for one in found.cannot_tell}


def test_it_is_no_rectifier_and_no_avalanche_diode_of_12_v():
    found = identify("0 A at 36.5 V; 0.1 A at 52 V; 1 A at 52.5 V", TABLES)
    against = {refused.name: refused.readings for refused in found.refused}
    assert against["stud 40 A"] == ["0.1 A at 52 V", "1 A at 52.5 V"]
    assert "0 A at 36.5 V" in against["avalanche 40 A high"]


# Common practice, no source: avalanche diodes meant for 12 V systems conduct from about 24 V.
@pytest.mark.parametrize("volts", ["24.5", "25", "26"])
def test_avalanche_diodes_of_12_v_systems_conduct_from_about_24_v(volts):
    found = identify(f"0 A at 18 V; 0.1 A at {volts} V", TABLES)
    assert {"avalanche 40 A low", "avalanche 40 A high", "load-dump zener 50 A"} <= classes(found)
    assert not {"stud 40 A", "axial 3 A standard"} & classes(found)


# Common practice, no source: salvaged diodes of a conversion are reverse-tested to 60 V with a current-limited supply.
# One that blocks there and drops 0.6 V at 10 mA is a silicon rectifier or a suppressor of more than 60 V; no avalanche
# diode for 12 V or 24 V, no Schottky of a few amperes.
def test_a_salvaged_diode_that_blocks_60_v_is_no_avalanche_diode():
    found = identify("< 1 mA at 60 V; forward 0.6 V at 10 mA", TABLES)
    kinds = {candidate.part.kind for candidate in found.candidates}
    assert "rectifier diode" in kinds
    assert not kinds & {"avalanche diode", "Schottky diode"}
    assert all(part.stand_off_v >= 51 for part in (c.part for c in found.candidates) if part.kind == "suppressor")


def test_a_low_forward_drop_is_a_schottky():
    found = identify("0 A at 30 V; forward 0.22 V at 10 mA", TABLES)
    small = {c.part.kind for c in found.candidates if c.part.rated_a is not None and c.part.rated_a <= 3}
    assert small == {"Schottky diode"}


def test_a_bipolar_part_has_no_forward_drop():
    one_way = identify("0.1 A at 52 V; forward 0.7 V at 10 mA", TABLES)
    both_ways = identify("0.1 A at 52 V; forward 0.1 A at 52 V", TABLES)
    assert {c.part.polarity for c in one_way.candidates if c.part.kind == "suppressor"} == {"unipolar"}
    assert {c.part.polarity for c in both_ways.candidates} == {"bipolar"}
    nothing = identify("0.1 A at 52 V; forward 0 A at 5 V", TABLES)
    assert {c.part.polarity for c in nothing.candidates} == {"bipolar"}


# ---- never lost


def _reading(volts, amperes, rng):
    """A meter is right within a share of what it shows."""
    shown = volts / (1 + METER * rng.choice((-0.999, rng.uniform(-1, 1), 0.999)))
    return f"{amperes:g} A at {shown:.9f} V"


def _simulated(row, share, rng):
    """Readings of a suppressor whose breakdown stands so far in its window, by its sheet's own words.

    Breakdown follows its coefficient; above it the voltage rises by at most the line to the clamp point; the part is up
    to 10 K warmer than the air; the meter is wrong by up to 1 % of what it shows.
    """
    at_25 = row["least_breakdown_v"] + share * (row["greatest_breakdown_v"] - row["least_breakdown_v"])
    line = (row["clamping_v"] - row["greatest_breakdown_v"]) / row["peak_current_a"]
    test = row["test_current_a"] or 0.005
    texts = [f"0 A at {0.98 * row['stand_off_v'] * (1 + METER * rng.uniform(-1, 1)):.6f} V"]
    for amperes in (0.02, 0.1, 1.0):
        warmer = AIR_C + rng.uniform(0, WARMING_K) - 25
        volts = at_25 * (1 + row["temperature_coefficient_per_k"] * warmer)
        volts += rng.uniform(0, 1) * line * (amperes - test)
        if amperes >= (row["test_current_a"] or 0.1):
            texts.append(_reading(volts, amperes, rng))
    return "; ".join(texts)


@pytest.mark.parametrize(
    "share", [pytest.param(0.0, marks=pytest.mark.slow), 0.5, pytest.param(1.0, marks=pytest.mark.slow)]
)
def test_no_suppressor_is_ever_lost(share):
    rng = random.Random(20 + int(10 * share))
    for row in SUPPRESSORS:
        found = identify(_simulated(row, share, rng), TABLES)
        assert row["suppressor"] in keys(found), row["suppressor"]
        assert found.likely_stand_off_v[0] <= row["stand_off_v"] <= found.likely_stand_off_v[1]
        assert found.likely_clamp_v[0] <= row["clamping_v"] <= found.likely_clamp_v[1]


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_no_zener_or_avalanche_diode_is_ever_lost(share):
    rng = random.Random(50 + int(10 * share))
    breaking = [row for row in DIODES if row["least_breakdown_v"] is not None]
    assert len(breaking) > 40
    for row in breaking:
        at_25 = row["least_breakdown_v"] + share * (row["greatest_breakdown_v"] - row["least_breakdown_v"])
        volts = at_25 * (1 + rng.uniform(0.0005, 0.0012) * (AIR_C + rng.uniform(0, WARMING_K) - 25))
        text = f"0 A at {0.9 * row['least_breakdown_v']} V; {_reading(volts * rng.uniform(1, 1.05), 0.1, rng)}"
        assert row["diode"] in keys(identify(text, TABLES)), (row["diode"], text)


@pytest.mark.slow
def test_no_rectifier_diode_that_blocks_is_lost():
    for row in DIODES:
        if row["type"] in ("rectifier", "Schottky"):
            text = f"0 A at {0.95 * row['reverse_voltage_v']} V"
            assert row["diode"] in keys(identify(text, TABLES)), row["diode"]


def test_noise_stays_narrow():
    """A window of 10 %, a meter of 1 %: what is left is a handful of steps of a series, not half the table."""
    rng = random.Random(7)
    for row in SUPPRESSORS[::7]:
        found = identify(_simulated(row, 0.5, rng), TABLES)
        low, high = found.likely_stand_off_v
        assert high / low < 1.25, row["suppressor"]


# ---- what fits nothing


def test_a_shorted_part_is_said_to_be_one():
    found = identify("reverse 1 A at 0.02 V", TABLES)
    assert found.candidates == []
    assert any("shorted" in remark for remark in found.remarks)
    assert {refused.name for refused in found.refused} >= {row["class"] for row in SUPPRESSORS}
    assert found.likely_stand_off_v is None and found.next_measurement is None


def test_readings_that_contradict_each_other_fit_nothing_and_are_named():
    found = identify("0 A at 40 V; 0.1 A at 27 V", TABLES)
    assert found.candidates == []
    assert "The readings contradict each other: 0 A at 40 V, yet 0.1 A at 27 V." in found.remarks


def test_a_part_between_the_classes_fits_nothing():
    """200 V at 0.1 A: above every window, and a rectifier diode is not made to break down."""
    found = identify("0.1 A at 200 V", TABLES)
    assert found.candidates == []
    assert all(refused.why for refused in found.refused)


def test_a_part_that_never_conducted_may_be_open():
    found = identify("0 A at 20 V", TABLES)
    assert any("open one reads the same" in remark for remark in found.remarks)


# ---- the next measurement


def test_the_next_measurement_parts_what_it_says():
    """A part of one group, measured as told, is refused the other group's outcome."""
    text = "0 A at 36.5 V; forward 0.7 V at 10 mA"
    found = identify(text, TABLES)
    following = found.next_measurement
    assert not following.forward and following.set_v <= HARMLESS_V
    by_outcome = {group.expect: group for group in following.groups}
    blocks = identify(f"{text}; 0 A at {following.set_v} V", TABLES)
    conducts = identify(f"{text}; 10 mA at {following.set_v} V", TABLES)
    assert len(found.candidates) - len(blocks.candidates) >= by_outcome["the limit, 10 mA"].parts
    assert len(found.candidates) - len(conducts.candidates) >= by_outcome["less than 1 mA"].parts
    assert sum(group.parts for group in following.groups) == len(found.candidates)


def test_what_only_a_reading_above_60_v_parts_is_cautioned():
    high = identify("0 A at 60 V; forward 0.6 V at 10 mA", TABLES)
    assert high.next_measurement.set_v > HARMLESS_V
    low = identify("0.1 A at 27 V; forward 0.7 V at 10 mA", TABLES)
    assert any("Above 60 V" in text for text in high.cautions)
    assert not any("Above 60 V" in text for text in low.cautions)
    assert any("current limit" in text for text in low.cautions)


def test_where_no_reading_parts_the_rest_none_is_named():
    found = identify("0.1 A at 52 V; 1 mA at 51.6 V; forward 0.7 V at 10 mA; 0 A at 51 V", TABLES)
    assert len(found.candidates) > 1
    assert found.next_measurement is None


# ---- more readings, better meters


BENCH_READING = st.one_of(
    st.builds(lambda a, v: f"{a} A at {v:.3f} V", st.sampled_from(["0", "0.0002", "0.001", "0.01", "0.1", "1"]),
              st.floats(2.0, 120.0)),
    st.builds(lambda a, v: f"forward {a} A at {v:.3f} V", st.sampled_from(["0", "0.01", "0.1", "1"]), st.floats(0.05, 60.0)),
)  # fmt: skip


@given(st.lists(BENCH_READING, min_size=1, max_size=4), BENCH_READING)
@settings(max_examples=20, deadline=None)
def test_more_readings_never_add_candidates(texts, one_more):
    before, after = identify("; ".join(texts), TABLES), identify("; ".join([*texts, one_more]), TABLES)
    assert keys(after) <= keys(before)


@given(st.lists(BENCH_READING, min_size=1, max_size=4), st.randoms())
@settings(max_examples=10, deadline=None)
def test_the_order_of_readings_does_not_matter(texts, rng):
    mixed = list(texts)
    rng.shuffle(mixed)
    assert keys(identify("; ".join(texts), TABLES)) == keys(identify("; ".join(mixed), TABLES))


@given(st.lists(BENCH_READING, min_size=1, max_size=3))
@settings(max_examples=10, deadline=None)
def test_every_class_is_a_candidate_or_refused_with_its_readings(texts):
    found = identify("; ".join(texts), TABLES)
    refused = {one.name for one in found.refused}
    assert classes(found).isdisjoint(refused)
    assert classes(found) | refused == EVERY_CLASS
    assert all(refused.readings and refused.why for refused in found.refused)


@given(st.lists(BENCH_READING, min_size=1, max_size=3), st.floats(0.001, 0.01))
@settings(max_examples=10, deadline=None)
def test_a_better_meter_never_adds_candidates(texts, accuracy):
    text = "; ".join(texts)
    assert keys(identify(text, TABLES, accuracy=accuracy)) <= keys(identify(text, TABLES, accuracy=0.01))


# ---- what was assumed


def test_what_is_stated_is_no_longer_assumed():
    taken = {one["what"] for one in identify("0 A at 20 V", TABLES).assumptions}
    assert {"bench air", "bench warming", "meter resolution", "meter accuracy"} <= taken
    stated = identify("0 A at 20 V", TABLES, ambient_k=303.15, resolution_a=1e-4, accuracy=0.005)
    assert {one["what"] for one in stated.assumptions} & taken == taken - {
        "bench air",
        "meter resolution",
        "meter accuracy",
    }
    assert (stated.bench.air_k, stated.bench.resolution_a, stated.bench.accuracy) == (303.15, 1e-4, 0.005)


def test_nothing_means_less_than_the_meter_shows():
    """5 mA at 30 V is nothing on a meter that shows 10 mA."""
    coarse = identify("0 A at 30 V", TABLES, resolution_a=0.01)
    fine = identify("0 A at 30 V", TABLES, resolution_a=0.001)
    assert keys(fine) <= keys(coarse)


def test_a_hot_bench_reads_higher():
    """0.1 % a kelvin: 45 K more lift 50 V by 2.2 V, so the same reading means a lower part."""
    cold, hot = (identify("0.1 A at 52 V", TABLES, ambient_k=c + 273.15) for c in (20, 65))
    assert hot.likely_stand_off_v[0] < cold.likely_stand_off_v[0]
    assert hot.likely_stand_off_v[1] <= cold.likely_stand_off_v[1]


def test_a_part_without_a_printed_window_breaks_down_anywhere_above_its_stand_off():
    import polars as pl

    own = load()
    own.frames["diodes.csv"] = own["diodes.csv"].with_columns(
        pl.when(pl.col("diode") == "avalanche 40 A low 18 V").then(None).otherwise(pl.col(name)).alias(name)
        for name in ("least_breakdown_v", "greatest_breakdown_v")
    )
    assert "avalanche 40 A low 18 V" in keys(identify("0 A at 17 V; 0.1 A at 50 V", own))
    assert "avalanche 40 A low 18 V" not in keys(identify("0.1 A at 16 V", own))
    assert "avalanche 40 A low 18 V" not in keys(identify("0 A at 17 V; 0.1 A at 50 V", TABLES))


def test_every_type_of_diode_has_a_kind():
    assert {row["type"] for row in DIODES} <= set(KINDS)


# The drop rises by some 2 mV for each kelvin of cold (common practice, no source): a diode that keeps its printed limit
# at 25 degC passes it a little in the cold, and is still itself.
def test_a_cold_diode_may_pass_its_printed_drop():
    row = next(row for row in DIODES if row["diode"] == "axial 6 A standard 100 V")
    text = f"forward {row['forward_voltage_v'] + 0.06} V at {row['forward_at_a']} A"
    assert row["diode"] not in keys(identify(text, TABLES, accuracy=0.005))
    assert row["diode"] in keys(identify(text, TABLES, ambient_k=268.15, accuracy=0.005))


@pytest.mark.slow
def test_diodes_that_keep_their_sheet_forward_are_never_lost():
    """At the printed current the printed drop is the most: 75 to 100 % of it belongs to the diode."""
    checked = 0
    for row in DIODES:
        if row["forward_voltage_v"] is not None and row["forward_at_a"] is not None and row["type"] != "Schottky":
            for share in (0.75, 1.0):
                text = f"forward {share * row['forward_voltage_v']:.4f} V at {row['forward_at_a']} A"
                assert row["diode"] in keys(identify(text, TABLES)), (row["diode"], text)
                checked += 1
    assert checked > 100
