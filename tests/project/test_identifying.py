"""Bench readings in a stock list: they narrow what the words leave, and settle only what both leave no choice in.

Breakdown windows are those of tables/suppressors.csv and tables/diodes.csv. The unmarked suppressor that shows nothing at
36.5 V, 0.1 A at 52 V and 1 A at 52.5 V is one of 43 to 45 V stand-off: common practice, no source.
"""

import csv

import pytest

from selector.errors import Problems
from selector.project.identifying import stated_bench
from selector.project.settings import Settings
from selector.project.stock import read_stock
from tests.project.test_stock import CATALOGUE, PARTS


def read(tmp_path, text, measured, bench=None, **more):
    row = {"part": text, "measured": measured} | more
    path = tmp_path / "stock.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, row)
        writer.writeheader()
        writer.writerow(row)
    problems = Problems()
    items = read_stock(path, PARTS, CATALOGUE, problems, bench)
    return items[0] if items else None, [str(problem) for problem in problems]


def said(item):
    return " ".join(item.remarks)


def test_words_that_name_no_part_leave_what_the_readings_leave(tmp_path):
    item, problems = read(tmp_path, "unmarked suppressor", "0 A at 36.5 V; 0.1 A at 52 V; 1 A at 52.5 V")
    assert problems == [] and (item.status, item.part, item.index) == ("ambiguous", None, None)
    stand_off = {part.split(" V")[0].rsplit(" ", 1)[1] for part in item.candidates}
    assert stand_off == {"43", "45"} and item.candidates_in_all == len(item.identified.candidates) > 12
    assert "stands off 43 to 45 V" in said(item) and "No bench reading tells its pulse power" in said(item)
    assert "Measure next: turned round, set 5 V with a limit of 10 mA, read the voltage." in said(item)


def test_readings_never_settle_a_part_by_themselves(tmp_path):
    """One zener row is left, but words that say nothing may mean a part no table has."""
    item, _ = read(tmp_path, "thing from the old regulator", "10 mA at 36.4 V; forward 0.7 V at 10 mA; 0 A at 35 V")
    assert item.status == "ambiguous" and item.part is None


@pytest.mark.parametrize(
    ("turned_round", "part"),
    [("forward 0.6 V at 10 mA", "1500 W surface-mount 36 V"),
     ("forward 0 A at 5 V", "1500 W surface-mount 36 V bipolar")],
)  # fmt: skip
def test_words_and_readings_together_settle_one(tmp_path, turned_round, part):
    """A diode drop the other way round parts one that works one way from one that works both."""
    open_, _ = read(tmp_path, "1500 W 36 V suppressor", "")
    assert open_.status == "ambiguous" and part in open_.candidates
    item, _ = read(tmp_path, "1500 W 36 V suppressor", f"1 mA at 41.5 V; {turned_round}")
    assert (item.status, item.part, item.family) == ("read", part, "suppressors")
    assert PARTS["suppressors"].keys[item.index] == part
    assert f"Its words leave {open_.candidates_in_all} parts" in said(item)


def test_a_reading_below_the_test_current_leaves_the_next_voltage_down_too(tmp_path):
    """10 mA lies below the test current of a 5 W zener: one of 30 V, 5 % high and warm, can show 33 V there."""
    item, _ = read(tmp_path, "zener 5 W", "10 mA at 33 V")
    assert item.status == "ambiguous" and item.candidates == ["zener 5 W 30 V", "zener 5 W 33 V"]


def test_a_marked_part_is_confirmed_or_refused(tmp_path):
    right, _ = read(tmp_path, "1500 W surface-mount 36 V", "0 A at 36 V; 1 mA at 41.5 V")
    assert right.status == "exact" and "Its readings agree with it." in right.remarks
    wrong, _ = read(tmp_path, "1500 W surface-mount 36 V", "0 A at 36 V; 1 mA at 55 V")
    assert (wrong.status, wrong.part, wrong.index) == ("ambiguous", None, None)
    assert "'1500 W surface-mount 36 V' cannot have shown its readings" in said(wrong)
    assert wrong.candidates and "1500 W surface-mount 36 V" not in wrong.candidates


def test_parts_the_words_mean_but_the_readings_exclude(tmp_path):
    item, _ = read(tmp_path, "5000 W 33 V suppressor", "0 A at 36 V; 1 mA at 47 V")
    assert item.status == "ambiguous" and not any(" 33 V" in part for part in item.candidates)
    assert "None of the 3 parts its words may mean can have shown its readings." in item.remarks


def test_readings_nothing_fits(tmp_path):
    item, _ = read(tmp_path, "unmarked suppressor", "1 A at 3 V; 0 A at 300 V")
    assert item.status == "unread" and item.remarks[-1] == "Its readings fit no part of the tables."


def test_words_in_doubt_are_not_settled_by_readings(tmp_path):
    item, _ = read(tmp_path, "burnt zener 5 W", "0.05 A at 33 V")
    assert item.part is None and item.status in ("ambiguous", "unread")


@pytest.mark.parametrize("text", ["8 AWG tinned silicone 200", "three-phase bridge 35 A metal base 400 V"])
def test_readings_of_other_parts_are_kept_and_said_so(tmp_path, text):
    item, problems = read(tmp_path, text, "0 A at 20 V; 0.1 A at 27 V")
    assert problems == [] and item.status == "exact" and item.identified is None
    assert "Readings tell suppressors, zeners and diodes apart" in said(item)


@pytest.mark.parametrize(
    ("measured", "found"), [("33 V", "is not a reading"), ("3 m at 4 V", "length"), ("1 A at 0.6 V", "direction")]
)
def test_what_is_no_reading_is_a_problem_with_its_line(tmp_path, measured, found):
    _, problems = read(tmp_path, "unmarked suppressor", measured)
    assert len(problems) == 1 and problems[0].startswith("stock.csv line 2, measured: ") and found in problems[0]


def test_how_it_was_measured_is_the_project_s_to_say(tmp_path):
    """A breakdown rises some 0.1 % a kelvin: read at 60 K more, a lower part shows the same."""
    assert stated_bench(Settings(values={"bench air": 300.0})) == {}
    hot = stated_bench(
        Settings(values={"bench air": 363.15, "bench warming": 0.0}, stated={"bench air", "bench warming"})
    )
    assert hot == {"ambient_k": 363.15, "warming_k": 0.0}
    cold, _ = read(tmp_path, "zener 5 W", "0.05 A at 37.5 V", {"ambient_k": 298.15, "warming_k": 0.0})
    warm, _ = read(tmp_path, "zener 5 W", "0.05 A at 37.5 V", hot)
    assert "zener 5 W 39 V" in cold.candidates and "zener 5 W 39 V" not in warm.candidates
