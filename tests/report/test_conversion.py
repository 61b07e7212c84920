"""The review of a 12 V class alternator on a 24 V bank: values by hand, the ladder, and unknown that stays unknown."""

import json
import math

import openpyxl
import pytest
from typer.testing import CliRunner

from selector import pipeline
from selector.cli import app
from selector.report.conversion import class_of, cut_in, field_at, used_above
from selector.report.conversion_text import reverse_test_v, review_text
from selector.report.result import result
from selector.report.text import summary_text
from selector.report.workbook import build, write_workbook
from tests.report import converted


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return converted.write(tmp_path_factory.mktemp("converted") / "boat")


@pytest.fixture(scope="module")
def outcome(folder):
    return pipeline.run(folder)


@pytest.fixture(scope="module")
def review(outcome):
    (own,) = outcome.reviews
    return own


def limits(review, component):
    return [limit for limit in review.limits if limit.component == component]


def of_project(tmp_path, **changes):
    outcome = pipeline.run(converted.write(tmp_path / "boat", **changes))
    return outcome, outcome.reviews[0] if outcome.reviews else None


# -- when there is one -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("design, nominal, charging, converted_", [
    (12, 24, 29.2, True), (14, 24, 29.2, True), (24, 24, 31.0, False), (28, 24, 29.2, False), (12, 12, 15.5, False),
    (24, 48, 58.4, True), (24, 36, 43.8, True), (12, 12, 29.2, True),
])  # fmt: skip
def test_a_machine_is_converted_where_its_system_is_of_a_higher_class(design, nominal, charging, converted_):
    """Charging voltages of lead-acid and lithium systems: common practice, no source."""
    assert used_above(design, nominal, charging) == converted_


def test_a_machine_that_says_nothing_or_fits_has_no_review(tmp_path):
    assert of_project(tmp_path / "a", supplies={"alternator": {"design voltage [V]": ""}})[1] is None
    assert of_project(tmp_path / "b", supplies={"alternator": {"design voltage [V]": "28"}})[1] is None


def test_it_may_be_named_by_its_charging_voltage():
    assert [class_of(volts) for volts in (12, 13.8, 14, 24, 28, 48)] == [12, 12, 12, 24, 24, 48]


# -- values by hand --------------------------------------------------------------------------------------------------


def test_the_cut_in_speed_about_doubles():
    """EMF follows speed: 1200 rpm (24 + 1.4) V / (12 + 1.4) V; electrical machines textbooks, two diodes of 0.7 V."""
    speed, ratio = cut_in(1200.0, 12.0, 24.0)
    assert speed == pytest.approx(1200 * 25.4 / 13.4) == pytest.approx(2274.6, abs=0.1)
    assert 1.8 < ratio < 2.0


def test_without_a_known_speed_the_ratio_alone_is_told(tmp_path):
    _, review = of_project(tmp_path, supplies={"alternator": {"cut-in speed [rpm]": ""}})
    change = next(c for c in review.changes if c["what"] == "cut-in speed")
    assert change["before"] == "not known" and change["now"] == "1.896 times as high"
    (speed,) = limits(review, "machine")
    assert speed.status == "unknown"


def test_twice_the_supply_is_twice_the_current_and_four_times_the_heat():
    """Ohm: 14 V and 28 V over 3.5 ohm give 4 A and 8 A, 56 W and 224 W."""
    low, high = field_at(14.0, 3.5, 4.0, 14.0), field_at(28.0, 3.5, 4.0, 14.0)
    assert low == pytest.approx((4.0, 56.0, 1.0))
    assert high == pytest.approx((8.0, 224.0, 2.0))
    assert high[1] / low[1] == pytest.approx(4.0)


def test_a_field_on_the_old_voltage_passes_and_on_the_new_one_fails(tmp_path):
    """14.6 V / 3.2 ohm = 4.5625 A of 4.6 A; 29.2 V / 3.2 ohm = 9.125 A and 266.45 W."""
    _, old = of_project(tmp_path / "a")
    current, heat = limits(old, "field winding")
    assert (current.actual, current.limit, current.status) == (pytest.approx(4.5625), 4.6, "pass")
    outcome, new = of_project(tmp_path / "b", supplies={"alternator": {"field supply [V]": "29.2"}})
    current, heat = limits(new, "field winding")
    assert (current.actual, current.status) == (pytest.approx(9.125), "fail")
    assert (heat.actual, heat.limit, heat.status) == (pytest.approx(266.45), pytest.approx(4.6**2 * 3.2), "fail")
    (finding,) = [f for f in outcome.findings if f["code"] == "V01"]
    assert finding["severity"] == "must" and finding["nodes"] == ["alternator"]
    assert "1 of them to be settled before use" in summary_text(outcome) and "! must: alternator: " in summary_text(
        outcome
    )


def test_an_unknown_field_supply_is_unknown_and_says_what_the_new_voltage_would_do(tmp_path):
    outcome, review = of_project(tmp_path, supplies={"alternator": {"field supply [V]": ""}})
    current, heat = limits(review, "field winding")
    assert current.status == heat.status == "unknown"
    assert "9.125 A" in current.note and "266.4 W" in current.note
    assert not [f for f in outcome.findings if f["code"] == "V01"]


@pytest.mark.parametrize("start, stated, told", [
    ("bank", "14.6", True), ("bank", "29.2", False), ("bank", "", False), ("pump", "14.6", False),
])  # fmt: skip
def test_a_field_said_to_be_fed_lower_than_its_row_is_told(tmp_path, start, stated, told):
    """29.2 V at the 24 V bank is twice the 14.6 V that is said to feed the field."""
    _, review = of_project(
        tmp_path, supplies={"alternator": {"field supply [V]": stated}},
        nodes={"regulator": {"role": "device", "stud": "M4"}},
        connections={"feed": {"kind": "control wire", "purpose": "field", "from": start, "to": "regulator", "length [m]": "2"}},
    )  # fmt: skip
    change = next(c for c in review.changes if c["what"] == "field feed")
    current, _ = limits(review, "field winding")
    for text in (change["how"], current.note):
        assert ("stated as 14.6 V, yet feed comes from bank at up to 29.2 V" in text) == told


def test_power_doubles_at_the_same_current(review):
    """100 A at 14.6 V and at 29.2 V; at the poorest usual efficiency, 50 % (typicals.csv), twice that on the belt."""
    change = next(c for c in review.changes if c["what"] == "power and belt")
    assert (change["before"], change["now"]) == ("1460 W", "2920 W")
    assert "5840 W" in change["how"]


# -- components ------------------------------------------------------------------------------------------------------


def test_what_nobody_measured_is_never_a_pass(review):
    for component in ("old rectifier diodes", "old regulator", "capacitor or suppressor left inside",
                      "winding and lead-out insulation"):  # fmt: skip
        (limit,) = limits(review, component)
        assert limit.status == "unknown" and math.isnan(limit.limit), component
    assert not review.is_clear


def test_a_machine_without_a_bridge_outside_has_its_diodes_to_measure(tmp_path):
    changes = {"out": {"from": "alternator"}, "guard": {"from": "alternator"}}
    _, review = of_project(tmp_path, connections=changes, left_out=("bridge", "leads"))
    (limit,) = limits(review, "rectifier diodes in the machine")
    assert limit.status == "unknown" and limit.actual == pytest.approx(29.2)
    assert not limits(review, "old rectifier diodes")


def test_equipment_is_judged_by_what_it_is_said_to_stand(tmp_path):
    _, review = of_project(tmp_path, nodes={"pump": {"withstand [V]": "28"}})
    steady, transient = limits(review, "pump")
    assert (steady.limit, steady.actual, steady.status) == (28, pytest.approx(29.2), "fail")
    assert transient.limit == 28 and transient.status != "pass"
    assert not limits(review, "other equipment on the same system")


def test_equipment_that_says_nothing_is_named_and_unknown(tmp_path):
    _, review = of_project(tmp_path, nodes={"pump": {"withstand [V]": ""}})
    (limit,) = limits(review, "other equipment on the same system")
    assert limit.status == "unknown" and limit.where == "pump"


def test_the_checks_of_its_connections_are_in_it_with_their_own_verdict(outcome, review):
    names = {outcome.places.names[one.place]: one for one in outcome.chosen}
    for name, code in (("leads", "C27"), ("bridge", "R04"), ("out", "P03")):
        (limit,) = [own for own in review.limits if own.where == name and own.code == code]
        status = {check.code: word for check, word, *_ in names[name].verdicts}[code]
        assert limit.status == ("fail", "unknown", "pass")[status]
    bridge = names["bridge"]
    index = bridge.picks["rectifier"]
    (limit,) = [own for own in review.limits if own.code == "R04"]
    assert limit.limit == outcome.candidates["rectifiers"].columns["reverse_voltage_v"][index]


def test_a_part_that_is_not_there_is_a_limit_that_is_not_known(folder):
    """As built, nothing is filled in: this project names no parts."""
    (review,) = pipeline.run(folder, as_built=True).reviews
    missing = {limit.where: limit for limit in review.limits if limit.component.startswith("no ")}
    assert set(missing) == {"leads", "bridge", "guard"}
    assert all(limit.status == "unknown" for limit in missing.values())
    assert review.transient_v == 151, "no suppressor, so its load dump"


def test_the_pump_of_the_same_bank_is_no_part_of_it(review):
    assert set(review.named) == {"leads", "bridge", "out", "guard"}


# -- the ladder ------------------------------------------------------------------------------------------------------


def test_the_ladder_rises_and_what_is_not_known_stands_last(review):
    volts = [step.voltage_v for step in review.ladder]
    known = [v for v in volts if v == v]
    assert known == sorted(known) and len(known) >= 5
    assert all(v != v for v in volts[len(known) :]) and len(volts) > len(known)
    assert known[:2] == [24.0, pytest.approx(29.2)]


def test_the_clamp_stands_between_the_charging_voltage_and_the_diodes(outcome, review):
    where = {step.what: step.voltage_v for step in review.ladder}
    clamp = where["battery falls off: clamp of the suppressors"]
    assert 29.2 < clamp < where["reverse voltage of its diodes"]
    guard = next(one for one in outcome.chosen if one.kind.name == "suppressor")
    assert clamp == pytest.approx(guard.results["clamping_voltage_v"])


def test_the_weakest_equipment_gives_way_first(tmp_path):
    _, review = of_project(tmp_path, nodes={"pump": {"withstand [V]": "31"}})
    assert (review.weakest[0].component, review.weakest[0].voltage_v) == ("pump", 31)
    assert "pump, its withstand, at 31 V" in review_text(None, review)


def test_without_a_suppressor_the_load_dump_is_what_it_may_see(tmp_path):
    _, review = of_project(tmp_path, left_out=("guard",))
    assert review.transient_v == 151
    assert "which no suppressor holds down" in review.transient_from


def test_what_its_own_diodes_leave_is_what_it_may_see(tmp_path):
    own = {"alternator": {"load dump suppressed [V]": "58"}}
    _, review = of_project(tmp_path, left_out=("guard",), supplies=own)
    assert review.transient_v == 58
    assert "own diodes" in review.transient_from


@pytest.mark.parametrize("protection, sees", [("", 151.0), ("none", None)])
def test_a_suppressor_behind_a_fuse_holds_its_own_equipment_down_and_not_the_output(tmp_path, protection, sees):
    """A fuse that opens leaves the machine's side alone: circuit theory; common practice, no source."""
    changes = {"guard": {"from": "pump"}, "pump": {"protection": protection}, "out": {"protection": protection}}
    outcome, review = of_project(tmp_path, connections=changes)
    guard = next(one for one in outcome.chosen if one.kind.name == "suppressor")
    clamp = pytest.approx(guard.results["clamping_voltage_v"])
    assert guard.found and review.transient_v == (sees or clamp)
    (pump,) = [limit for limit in limits(review, "pump") if "charging" not in limit.what]
    assert (pump.what, pump.actual, pump.status) == ("withstand against clamp of the suppressors", clamp, "pass")


@pytest.mark.parametrize("changes", [
    {"left_out": ("guard",)},
    {"nodes": {"pump": {"withstand [V]": "31"}}},
], ids=["no suppressor", "none that fits"])  # fmt: skip
def test_an_assumed_load_dump_that_nothing_holds_is_what_it_may_see(tmp_path, changes):
    """ISO 16750-2, test A, 24 V systems, from memory: a peak of 151 to 202 V; nothing clamps below 31 V and above 29.2 V."""
    outcome, review = of_project(tmp_path, supplies={"alternator": {"load dump [V]": ""}}, **changes)
    assert not any(one.found for one in review.of("suppressor"))
    assert review.transient_v == 202
    assert "assumed" in review.transient_from and "holds down" in review.transient_from
    assert next(step for step in review.ladder if step.voltage_v == 202).what.startswith("battery falls off")
    for limit in review.limits:
        if limit.what.startswith("withstand against its load dump"):
            assert (limit.actual, limit.status) == (202, "fail" if limit.limit == limit.limit else "unknown")
    text = review_text(outcome, review)
    assert "it may see 29.2 V" not in text
    assert "It may see 202 V: its load dump, assumed, which no suppressor" in text
    assert not [f for f in outcome.findings if f["code"] == "V02"], "an assumption alone breaks no must"


# -- bench steps -----------------------------------------------------------------------------------------------------


def test_salvaged_diodes_are_tested_to_60_v_or_a_quarter_above_what_they_work_at():
    """60 V: common practice, no source."""
    assert [reverse_test_v(volts) for volts in (29.2, 45.0, 48.0, 80.0)] == [60, 60, 60, 100]


def test_the_steps_name_the_60_v_test_and_every_measurement(review):
    texts = {step.what: step for step in review.steps}
    reverse = texts["reverse test of every salvaged diode"]
    assert "60 V" in reverse.how and "10 mA" in reverse.how
    assert reverse.high == pytest.approx(0.1)
    for what in ("forward drop of every diode", "winding to frame", "phase to phase resistance", "field resistance",
                 "field current", "no-load voltage at a low speed", "clamp of guard", "charging voltage at full speed",
                 "line current in leads", "ripple", "case of bridge", "case of the machine"):  # fmt: skip
        assert what in texts, what
        assert texts[what].caution and texts[what].expected


def test_expected_readings_by_hand(outcome, review):
    steps = {step.what: step for step in review.steps}
    line = steps["line current in leads"]
    assert (line.low, line.high) == pytest.approx((0.9 * 100 * math.sqrt(2 / 3), 1.1 * 100 * math.sqrt(2 / 3)))
    ohm = steps["field resistance"]
    assert (ohm.low, ohm.high) == pytest.approx((2.88, 3.52))
    assert steps["field current"].high == 4.6
    # 1.1 * 1200 * 25.4 / 13.4 = 2502 rpm would pass a machine that does not charge at the 2400 rpm it runs at
    assert steps["no-load voltage at a low speed"].high == 2400
    guard = next(one for one in outcome.chosen if one.kind.name == "suppressor")
    columns, index = outcome.candidates["suppressors"].columns, guard.picks["suppressor"]
    clamp = steps["clamp of guard"]
    assert (clamp.low, clamp.high) == (columns["least_breakdown_v"][index], columns["greatest_breakdown_v"][index])
    # IEEE Std 43 table 3, from memory: 5 Mohm for random-wound machines below 1 kV
    assert steps["winding to frame"].low == 5.0


def test_local_codes_come_first_among_the_cautions(review):
    assert review.cautions[0].startswith("Local codes")
    text = " ".join(review.cautions).casefold()
    for word in ("battery line", "polarity", "belts", "burn", "smoke", "disconnect every source"):
        assert word in text, word


# -- where it is shown -----------------------------------------------------------------------------------------------


def test_explain_shows_it_by_the_alternator_s_name(folder):
    shown = CliRunner().invoke(app, ["explain", str(folder), "Alternator"])
    assert shown.exit_code == 1, "limits are not known, so it is not clear"
    for words in (
        "made for 12 V, used on 24 V",
        "What is changed",
        "What gives way first",
        "To measure before use",
        "60 V",
    ):
        assert words in shown.output
    for name in ("bridge", "leads", "guard"):
        own = CliRunner().invoke(app, ["explain", str(folder), name]).output
        assert "explain 'alternator'" in own, name
    assert "explain 'alternator'" not in CliRunner().invoke(app, ["explain", str(folder), "pump"]).output


def test_the_json_has_it_with_null_for_unknown(outcome):
    data = json.loads(json.dumps(result(outcome), allow_nan=False))
    (own,) = data["conversion_reviews"]
    assert (own["alternator"], own["design_voltage"], own["nominal_voltage"], own["charging_voltage"]) == (
        "alternator", 12, 24, 29.2)  # fmt: skip
    assert {row["status"] for row in own["components"]} <= {"pass", "fail", "unknown"}
    inside = next(row for row in own["components"] if row["component"] == "capacitor or suppressor left inside")
    assert inside["limit"] is None and inside["status"] == "unknown"
    assert own["summary"]["unknown"] == sum(row["status"] == "unknown" for row in own["components"])
    assert own["ladder"][-1]["voltage"] is None


def test_the_sheet_has_its_verdicts_and_yellow_cells(outcome, review, tmp_path):
    path = tmp_path / "boat.xlsx"
    write_workbook(outcome, path)
    live, stored = openpyxl.load_workbook(path)["Conversion review"], openpyxl.load_workbook(path, data_only=True)
    rows = list(stored["Conversion review"].iter_rows(values_only=True))
    head = next(i for i, row in enumerate(rows) if row[0] == "Component")
    shown = rows[head + 1 : head + 1 + len(review.limits)]
    assert [row[0] for row in shown] == [limit.component for limit in review.by_weight]
    assert [row[7].split()[1] for row in shown] == [limit.status for limit in review.by_weight]
    assert all((row[3] is None) == math.isnan(limit.limit) for row, limit in zip(shown, review.by_weight, strict=True))
    assert str(live.cell(head + 2, 8).value).startswith("=IF(COUNT(")
    assert {live.cell(head + 2, column).number_format for column in (4, 5)} == {"[>=1000]0_);[>=10]0.0#_);0.0##_);@_)"}


def test_a_project_without_one_has_no_such_sheet(tmp_path):
    outcome, _ = of_project(tmp_path, supplies={"alternator": {"design voltage [V]": "28"}})
    assert "Conversion review" not in [sheet.title for sheet in build(outcome)]


# -- what is not settled is not tested for, what is refused gives way to nothing -----------------------------------------


def reverse_tests(outcome):
    """The step of the review and the reading of *Bench checks* that ask for a reverse test."""
    from selector.report.bench_checks import readings_of

    (review,) = outcome.reviews
    step = next(s for s in review.steps if s.what == "reverse test of every salvaged diode")
    reading = next(r for r in readings_of(outcome) if r.name == "bridge" and r.what.startswith("reverse current"))
    return step, reading


@pytest.mark.parametrize("changes", [
    {"connections": {"guard": {"suppressor": "6600 W load-dump 20 V"}}, "supplies": {"alternator": {"load dump [V]": ""}}},
    {"connections": {"guard": {"suppressor": "6600 W load-dump 20 V"}}},
    {"left_out": ("guard",), "supplies": {"alternator": {"load dump [V]": ""}}},
])  # fmt: skip
def test_no_reverse_test_at_a_voltage_nothing_has_settled(tmp_path, changes):
    """Its suppressor is refused, or nobody stated its load dump: 1.25 times 202 V would be asked for."""
    outcome, _ = of_project(tmp_path, **changes)
    step, reading = reverse_tests(outcome)
    for how, low, high in ((step.how, step.low, step.high), (reading.how, reading.low, reading.high)):
        assert how.startswith("Not yet") and "Settle that first" in how and " V " not in how
        assert math.isnan(low) and math.isnan(high)
    assert "252" not in review_text(outcome, outcome.reviews[0])
    build(outcome)


def test_a_stated_load_dump_that_nothing_holds_is_what_the_diodes_must_stand(tmp_path):
    """A quarter above 100 V: common practice, no source."""
    outcome, _ = of_project(tmp_path, left_out=("guard",), supplies={"alternator": {"load dump [V]": "100"}})
    step, reading = reverse_tests(outcome)
    assert "125 V" in step.how and reading.what == "reverse current at 125 V"


def test_a_refused_part_and_a_fuse_s_rating_give_way_to_nothing(tmp_path):
    refused = {"old": {"kind": "rectifier", "from": "alternator", "to": "charge post",
                       "rectifier": "three-phase bridge of 6 press-fit avalanche 50 A 20 V"}}  # fmt: skip
    outcome, review = of_project(tmp_path, connections=refused)
    steps = [s for s in review.ladder if "(old, not served)" in s.component]
    assert steps and all(s.does == "is refused" and s not in review.weakest for s in steps)
    assert not [s for s in review.weakest if s.what == "voltage it can break"]
    text = review_text(outcome, review)
    assert "Gives way BELOW" not in text and "Not counted, for its row is not served" in text
