"""What a meter should read: values by hand, and verdicts that follow what is written."""

import math

import openpyxl
import pytest

from selector import pipeline
from selector.report.bench_checks import LESS_DROP, MORE_DROP, readings_of
from selector.report.workbook import write_workbook
from tests.report import converted
from tests.report.conftest import write_project
from tests.report.test_recalculation import recalculate

__all__ = ["recalculate"]


@pytest.fixture(scope="module")
def machine(tmp_path_factory):
    return pipeline.run(converted.write(tmp_path_factory.mktemp("bench") / "boat"))


def of(outcome, name, what):
    return [r for r in readings_of(outcome) if r.name == name and r.what.startswith(what)]


def chosen(outcome, name):
    return next(one for one in outcome.chosen if outcome.places.names[one.place] == name)


def test_the_drops_of_both_legs_add_up_to_the_piece(outcome):
    drops = of(outcome, "lights", "voltage drop")
    assert [r.what for r in drops] == ["voltage drop, positive leg, fuse included", "voltage drop, negative leg"]
    assert sum(r.expected for r in drops) == pytest.approx(chosen(outcome, "lights").results["voltage_drop_v"])
    assert all(r.at_a == 5 and r.unit == "V" for r in drops)


def test_a_drop_is_current_times_resistance(outcome):
    """5 A through 6 m of the wire at its working temperature, no fuse resistance known: each leg the same."""
    one = chosen(outcome, "lights")
    wires, index = outcome.candidates["wires"].columns, one.picks["conductor"]
    cold = wires["resistance_at_20_degc_ohm_per_m"][index] * 6.0
    warm = cold * (
        1 + wires["metal_temperature_coefficient_per_k"][index] * (one.results["conductor_temperature_k"] - 293.15)
    )
    negative = of(outcome, "lights", "voltage drop, negative")[0]
    assert negative.expected == pytest.approx(5.0 * warm, rel=1e-9)
    assert (negative.low, negative.high) == pytest.approx((LESS_DROP * 5 * warm, (1 + MORE_DROP) * 5 * warm))
    (dead,) = of(outcome, "lights", "resistance of one leg")
    assert dead.expected == pytest.approx(1000 * cold) and dead.unit == "mohm"


def test_what_is_not_known_is_not_expected(outcome):
    """The horn's length is not known."""
    assert all(math.isnan(r.expected) for r in of(outcome, "horn", "voltage drop"))
    (dead,) = of(outcome, "horn", "resistance of one leg")
    assert math.isnan(dead.expected) and math.isnan(dead.high)


def test_torques_are_those_printed_for_the_stud(outcome):
    """M8 battery stud 6.6 to 8.5 N m: torque table of an AGM battery, key datasheet-agm-battery-torque."""
    (battery,) = [r for r in readings_of(outcome) if r.where == "battery" and r.what == "torque of the M8 stud"]
    assert (battery.low, battery.high, battery.source) == (6.6, 8.5, "datasheet-agm-battery-torque")
    assert len([r for r in readings_of(outcome) if r.where == "main bus" and "torque" in r.what]) == 1


def test_pull_forces_are_those_of_the_pull_test_asked_for(outcome):
    """10 AWG 80 lbf (356 N), 2/0 AWG 300 lbf (1335 N): UL 486A, pull-out values for crimped copper wire."""
    forces = {r.where.split(" on ")[1].split()[0]: r.low for r in readings_of(outcome) if r.what == "pull test"}
    expected = {"10": 80 * 4.448222, "2/0": 300 * 4.448222}
    assert set(expected) <= set(forces)
    assert {size: forces[size] for size in expected} == pytest.approx(expected, rel=1e-3)


def test_a_load_is_tried_for_polarity_before_it_is_connected(outcome):
    (pump,) = of(outcome, "pump", "voltage and polarity")
    assert (pump.low, pump.high) == (10.5, 14.4)


def test_semiconductors_have_their_readings(machine):
    (forward,) = of(machine, "bridge", "forward drop")
    assert (forward.low, forward.high) == (0.4, 0.7), "common practice, no source"
    (reverse,) = of(machine, "bridge", "reverse current")
    assert reverse.what == "reverse current at 60 V" and reverse.high == 0.1, "common practice, no source"
    guard = chosen(machine, "guard")
    columns, index = machine.candidates["suppressors"].columns, guard.picks["suppressor"]
    (clamp,) = of(machine, "guard", "breakdown voltage")
    assert (clamp.low, clamp.high) == (columns["least_breakdown_v"][index], columns["greatest_breakdown_v"][index])
    (line,) = of(machine, "leads", "line current")
    assert line.expected == pytest.approx(100 * math.sqrt(2 / 3))
    (case,) = of(machine, "bridge", "case temperature")
    bridge = chosen(machine, "bridge").results
    room = case.high - case.expected
    limit = machine.candidates["rectifiers"].columns["greatest_junction_k"][
        chosen(machine, "bridge").picks["rectifier"]
    ]
    assert room == pytest.approx(limit - 25 - bridge["junction_k"])


def test_every_reading_says_where_and_how_and_has_a_source(machine, outcome):
    known = set(machine.catalogue["sources.csv"]["source"].to_list())
    for reading in (*readings_of(machine), *readings_of(outcome)):
        assert reading.where and reading.what and reading.how and reading.unit
        assert reading.source in known, reading


def test_the_sheet_has_a_row_for_every_reading_and_nothing_read_yet(written, outcome):
    rows = list(openpyxl.load_workbook(written, data_only=True)["Bench checks"].iter_rows(min_row=5, values_only=True))
    assert len(rows) == len(readings_of(outcome))
    assert all(row[9] is None for row in rows)
    titles = {row["source"]: row["title"] for row in outcome.catalogue.rows("sources.csv")}
    assert [row[11] for row in rows] == [titles[reading.source] for reading in readings_of(outcome)]
    assert {row[10] for row in rows} <= {"– not read", "? no limit"}
    drop = next(row for row in rows if row[0] == "lights" and row[2].startswith("voltage drop, negative"))
    expected = of(outcome, "lights", "voltage drop, negative")[0]
    assert (drop[4], drop[5]) == (5, pytest.approx(expected.expected))


@pytest.mark.office
def test_verdicts_follow_what_is_written_and_drops_the_current(written, outcome, tmp_path, recalculate):
    book = openpyxl.load_workbook(written)
    sheet = book["Bench checks"]
    rows = {(row[0].value, row[2].value): row[0].row for row in sheet.iter_rows(min_row=5)}
    drop = rows["lights", "voltage drop, negative leg"]
    cold = rows["lights", "resistance of one leg, dead"]
    stud = next(
        row[0].row for row in sheet.iter_rows(min_row=5) if row[1].value == "battery" and "torque" in row[2].value
    )
    expected = of(outcome, "lights", "voltage drop, negative")[0].expected
    sheet.cell(drop, 5).value = 2.5
    sheet.cell(drop, 10).value = expected / 2
    sheet.cell(cold, 10).value = 1e6
    sheet.cell(stud, 10).value = 7.0
    path = tmp_path / "read.xlsx"
    book.save(path)
    again = openpyxl.load_workbook(recalculate(path), data_only=True)["Bench checks"]
    assert again.cell(drop, 6).value == pytest.approx(expected / 2, rel=1e-9)
    assert again.cell(drop, 11).value == "✓ good"
    assert again.cell(cold, 11).value == "✗ look into it"
    assert again.cell(stud, 11).value == "✓ good"


@pytest.mark.office
def test_a_measured_limit_settles_a_conversion_s_unknown(machine, tmp_path, recalculate):
    path = tmp_path / "boat.xlsx"
    write_workbook(machine, path)
    book = openpyxl.load_workbook(path)
    sheet = book["Conversion review"]
    row = next(row[0].row for row in sheet.iter_rows() if row[0].value == "capacitor or suppressor left inside")
    step = next(row[0].row for row in sheet.iter_rows() if str(row[0].value).endswith("field resistance"))
    sheet.cell(row, 4).value = 50
    sheet.cell(step, 7).value = 1.0
    book.save(path)
    again = openpyxl.load_workbook(recalculate(path), data_only=True)["Conversion review"]
    assert again.cell(row, 8).value == "✓ pass"
    assert again.cell(row, 7).value == pytest.approx(100 * (50 - 29.2) / 50)
    assert again.cell(step, 8).value == "✗ look into it"


def test_a_joint_of_grounds_is_read_at_what_may_flow(tmp_path):
    """It is sized for its device's rating; in service it is taken to carry what the row at the battery does, 60 A."""
    rows = {
        "connections.csv": [["connection", "kind", "from", "to", "zone", "current [A]", "length [m]", "return"],
                            ["plus", "cable", "battery", "bus", "cabin", "60", "1", "single"],
                            ["minus", "cable", "battery minus", "bus minus", "cabin", "", "1", "single"]],
        "nodes.csv": [["node", "system", "role", "stud"], ["battery", "12 V", "supply", "M8"], ["bus", "12 V", "bus", "M8"],
                      ["battery minus", "", "ground", "M8"], ["bus minus", "", "ground", "M8"]],
        "supplies.csv": [["node", "type", "chemistry", "capacity [Ah]"], ["battery", "battery", "agm", "200"]],
        "systems.csv": [["system", "nominal [V]"], ["12 V", "12"]],
        "zones.csv": [["zone", "ambient [degC]"], ["cabin", "30"]],
    }  # fmt: skip
    outcome = pipeline.run(write_project(tmp_path / "boat", rows))
    (plus,), (minus,) = of(outcome, "plus", "voltage drop"), of(outcome, "minus", "voltage drop")
    rating = minus.at_a
    assert rating > 60 and minus.flows == 60 and math.isnan(plus.flows)
    assert f"sized for a device of {rating:g} A; taken here is what flows in plus" in minus.how
    write_workbook(outcome, tmp_path / "boat.xlsx")
    stored = openpyxl.load_workbook(tmp_path / "boat.xlsx", data_only=True)["Bench checks"]
    row = next(
        r for r in stored.iter_rows(min_row=5, values_only=True) if r[0] == "minus" and r[2].startswith("voltage")
    )
    assert row[4] == 60 and row[5] == pytest.approx(minus.expected * 60 / rating)
    assert row[7] == pytest.approx((1 + MORE_DROP) * row[5])
