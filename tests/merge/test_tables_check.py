"""The shipped tables pass every rule a datasheet is held against, quickly."""

import time

import pytest

from selector.catalogue.catalogue import load
from selector.catalogue.judging import REFUSE, Tables, judge
from selector.upkeep.audit import audit
from tests.merge.made import copied_tables


@pytest.fixture(scope="module")
def shipped():
    return Tables.of(load(None))


def test_the_shipped_tables_are_clean():
    assert audit(None)["findings"] == []


def test_judging_every_table_takes_less_than_reading_them_twice(shipped):
    start = time.perf_counter()
    load(None)
    reading = time.perf_counter() - start
    start = time.perf_counter()
    for file in shipped.rows:
        judge(file, shipped)
    assert time.perf_counter() - start < 2 * reading + 0.2


# What cannot be true in one row of each kind: (table, key, column, value).
WRONG = (
    ("conductors.csv", "1/0 AWG stranded tinned copper", "resistance_at_20_degc_ohm_per_m", 0.3426e-4, "resistivity"),
    ("conductors.csv", "1/0 AWG stranded tinned copper", "diameter_m", 0.0045, "diameter"),
    ("conductors.csv", "1/0 AWG stranded tinned copper", "area_mm2", 33.6, "size"),
    ("wires.csv", "8 AWG tinned PVC 105", "outer_diameter_m", 0.0031, "wall"),
    ("lugs.csv", "1/0 AWG ring M8", "hole_m", 0.0064, "hole"),
    ("lugs.csv", "1/0 AWG ring M8", "bore_m", 0.0164, "order in the row"),
    ("lugs.csv", "1/0 AWG ring M8", "bore_m", 0.00114, "bore"),
    ("sleeves.csv", "polyolefin 2:1 3.2 mm", "recovered_bore_m", 0.0033, "order in the row"),
    ("sleeves.csv", "polyolefin 2:1 3.2 mm", "supplied_bore_m", 0.0023, "key"),
    ("fuses.csv", "blade small 30 A", "rating_a", 3.0, "key"),
    ("fuses.csv", "blade small 30 A", "breaking_capacity_a", 32.0, "breaking"),
    ("shunts.csv", "50 A 50 mV shunt", "drop_v", 50.0, "drop"),
    ("suppressors.csv", "400 W surface-mount 12 V", "peak_current_a", 2.01, "power"),
    ("suppressors.csv", "400 W surface-mount 12 V", "greatest_breakdown_v", 13.0, "order in the row"),
    ("suppressors.csv", "400 W surface-mount 12 V", "stand_off_v", 15.0, "order in the row"),
    ("suppressors.csv", "400 W surface-mount 12 V", "test_current_a", 1.0, "test current"),
    ("insulations.csv", "PVC 105", "temperature_rating_k", 314.0, "rating"),
    ("materials.csv", "copper", "conductivity_w_per_m_k", 3.91, "metal"),
    ("studs.csv", "M8", "medium_hole_m", 0.0079, "order in the row"),
    ("stud_torques.csv", "M8 battery insert", "greatest_torque_n_m", 1070.0, "torque"),
)


@pytest.mark.parametrize("file, key, column, value, rule", WRONG)
def test_what_cannot_be_true_is_found(shipped, file, key, column, value, rule):
    rows = [dict(row) for row in shipped.rows[file]]
    row = next(row for row in rows if row[next(iter(row))] == key)
    assert column in row
    row[column] = value
    found = [f for f in judge(file, shipped.having(file, rows)) if f.severity == REFUSE]
    assert (key, rule) in {(f.key, f.rule) for f in found}


def test_names_that_differ_by_signs_alone_are_found(tmp_path):
    tables = copied_tables(tmp_path)
    with open(tables / "shunts.csv", "a", encoding="utf-8") as stream:
        stream.write("50A 50mV shunt,50,50,33,common-practice,memory,\n")
    [finding] = audit(tables)["findings"]
    assert "50A 50mV shunt: nearly the name of line" in finding
