"""Voltage drops, short circuits, fuses and grouping against printed examples."""

import math

import pytest

from selector.physics import conductor, fuses, grouping, short_circuit, voltage_drop
from tests.published.published_figures import FOOT, each_row, kelvin, number, printed, rows

COPPER_A_S05_PER_MM2 = 226.0  # IEC 60949, key iec-60949
COPPER_ZERO_K = 273.15 - 234.5
ALUMINIUM_A_S05_PER_MM2 = 148.0
ALUMINIUM_ZERO_K = 273.15 - 228.0
CMIL_MM2 = conductor.round_area_mm2(25.4e-6)


@pytest.mark.parametrize("row", each_row("voltage_drops.csv", "example"))
def test_drops_to_the_digit(row):
    length_m = number(row, "loop length [ft]") / 2 * FOOT
    drop_v = voltage_drop.voltage_drop_v(
        number(row, "current [A]"), length_m, number(row, "resistance [ohm/ft]") / FOOT
    )
    assert drop_v == printed(row["drop [V]"])


# 10 AWG, 273 ft there and back, 20 A: 6.88 V. AC 43.13-1B Table 11-8. Key: ac-43-13-1b.
def test_the_drop_of_the_longest_run():
    assert voltage_drop.voltage_drop_v(20.0, 273 / 2 * FOOT, 0.00126 / FOOT) == printed("6.88")


# Area = 10.75 I L/E in circular mils, L there and back: 10 A, 21 ft, 3 % of 12 V and of 32 V. ABYC E-11.
# Key: abyc-e-11.
@pytest.mark.parametrize("nominal_v, area_cmil", [(12.0, 6270.8), (32.0, 2351.6)])
def test_the_circular_mil_formula(nominal_v, area_cmil):
    resistivity = 10.75 * CMIL_MM2 / FOOT
    area_mm2 = voltage_drop.area_for_drop_mm2(10.0, 21 / 2 * FOOT, 0.03 * nominal_v, resistivity)
    assert area_mm2 / CMIL_MM2 == pytest.approx(area_cmil, abs=0.06)


# L2 = 254.5 L1/(234.5 + T2) for copper, 258.1/(238.1 + T2) for aluminium. AC 43.13-1B, paragraph 11-66.
@pytest.mark.parametrize(
    "zero_degc, hot_degc, share", [(-234.5, 20, 1.0), (-234.5, 105, 0.7496), (-238.1, 105, 0.7523)]
)
def test_hot_wires_run_less_far(zero_degc, hot_degc, share):
    asked = voltage_drop.hot_length_m(1.0, hot_degc + 273.15, zero_degc + 273.15)
    assert asked == pytest.approx(share, abs=0.00005)


# 2000 W at 10.5 V and 0.88: 216 A. Common practice, no source.
def test_constant_power_draws_most_at_the_lowest_voltage():
    assert voltage_drop.constant_power_current_a(2000.0, 10.5, 0.88) == printed("216")


@pytest.mark.parametrize("row", each_row("adiabatic_factors.csv", "insulation", "use", "initial [degC]"))
def test_k_of_copper_within_06_percent(row):
    start, end = kelvin(row, "initial [degC]"), kelvin(row, "final [degC]")
    k = short_circuit.adiabatic_k(COPPER_A_S05_PER_MM2, COPPER_ZERO_K, start, end)
    assert k == pytest.approx(number(row, "k [A s^0.5/mm2]"), rel=0.006)


@pytest.mark.parametrize("row", each_row("adiabatic_factors_aluminium.csv", "insulation"))
def test_k_of_aluminium_within_06_percent(row):
    start, end = kelvin(row, "initial [degC]"), kelvin(row, "final [degC]")
    k = short_circuit.adiabatic_k(ALUMINIUM_A_S05_PER_MM2, ALUMINIUM_ZERO_K, start, end)
    assert k == pytest.approx(number(row, "k [A s^0.5/mm2]"), rel=0.006)


# 70 to 160 degC 115, 90 to 160 degC 100, 60 to 200 degC 141: BS 7671 Table 43.1. Key: bs-7671-43-1. 90 to 250 degC 143:
# the same table, from memory.
@pytest.mark.parametrize("start, end, text", [(70, 160, "115"), (90, 160, "100"), (60, 200, "141"), (90, 250, "143")])
def test_k_of_the_usual_cables_to_the_digit(start, end, text):
    k = short_circuit.adiabatic_k(COPPER_A_S05_PER_MM2, COPPER_ZERO_K, start + 273.15, end + 273.15)
    assert k == printed(text)


# K = sqrt(Qc (beta + 20)/rho) with 3.45e-3 J/(K mm3), 234.5 and 17.241e-6 ohm mm: 226. IEC 60364-5-54, annex A. Key:
# iec-60364-5-54.
def test_the_constant_of_copper():
    constant = short_circuit.adiabatic_constant_a_s05_per_mm2(1.0, 3.45e6, 0.017241, 1 / 254.5)
    assert constant == printed("226")
    assert constant == pytest.approx(225.67, abs=0.005)


# Printed in 1e6 A2 s with four decimals, cut rather than rounded.
@pytest.mark.parametrize("row", each_row("cable_let_through.csv", "area [mm2]"))
def test_let_through_of_pvc_cable(row):
    withstand = short_circuit.withstand_a2s(115.0, number(row, "area [mm2]"))
    assert 0 <= withstand - number(row, "let-through [A2 s]") < 100


# k2 of 115, 76 and 94: 13225, 5776, 8836. Key: electrical-installation-guide.
@pytest.mark.parametrize("k, square", [(115, 13225), (76, 5776), (94, 8836)])
def test_withstand_of_one_square_millimetre(k, square):
    assert short_circuit.withstand_a2s(float(k), 1.0) == square


# 120 A for 0.4 s at k 115 need 0.66 mm2. Key: bs-7671-adiabatic-discussion. 2500 A and 5000 A for 0.1 s need 6.875 and
# 13.75 mm2 by IEC 60364-4-43, computed. Key: iec-60364-4-43.
@pytest.mark.parametrize("current_a, time_s, text", [(120, 0.4, "0.66"), (2500, 0.1, "6.87"), (5000, 0.1, "13.75")])
def test_least_areas(current_a, time_s, text):
    heat = short_circuit.let_through_a2s(float(current_a), time_s)
    assert short_circuit.least_area_mm2(heat, 115.0) == printed(text)


# A flexible cord of 0.75 mm2 stands 160 A for 0.29 s. Key: flexible-cord-adiabatic-discussion.
def test_the_time_a_cord_stands():
    assert short_circuit.withstand_time_s(115.0, 0.75, 160.0) == printed("0.29")


# 4 mm2 of PVC cable at k 115 gives 211600 A2 s, which takes it from 70 to 160 degC. Key: iec-60364-4-43.
def test_the_temperature_a_let_through_leaves():
    end = short_circuit.end_temperature_k(211600.0, 4.0, 343.15, COPPER_A_S05_PER_MM2, COPPER_ZERO_K)
    assert end - 273.15 == pytest.approx(160.0, abs=0.1)


def gate_classes():
    """Classes of fuse with the points of their shortest and longest curve."""
    curves = {}
    for row in rows("fuse_gates.csv"):
        for column in ("shortest [s]", "longest [s]"):
            if row[column]:
                points = curves.setdefault((row["class"], column), [])
                points.append((number(row, "multiple"), number(row, column)))
    return [(name, column, tuple(zip(*points, strict=True))) for (name, column), points in curves.items()]


@pytest.mark.parametrize(
    "name, column, curve", gate_classes(), ids=lambda value: value if isinstance(value, str) else ""
)
def test_opening_times_stand_on_the_gates(name, column, curve):
    multiples, times_s = curve
    for multiple, time_s in zip(multiples, times_s, strict=True):
        assert fuses.opening_time_s(multiple, multiples, times_s) == pytest.approx(time_s, rel=1e-9)
        assert fuses.longest_opening_time_s(multiple, multiples, times_s) == pytest.approx(time_s, rel=1e-9)
    for left, right, early, late in zip(multiples, multiples[1:], times_s, times_s[1:], strict=False):
        halfway = fuses.opening_time_s(math.sqrt(left * right), multiples, times_s)
        assert halfway == pytest.approx(math.sqrt(early * late), rel=1e-9)


# A fuse that opens within its conventional time at 1.6 times its rating, IEC 60269-1 gG, and a breaker at 1.45 times,
# IEC 60898: 100 A open at 160 A and 145 A.
@pytest.mark.parametrize("row", [row for row in rows("conventional_currents.csv") if row["longest [s]"]])
def test_conventional_currents(row):
    opens_at_a = fuses.conventional_current_a(100.0, number(row, "multiple"))
    hour_s = number(row, "longest [s]")
    curve = {"multiples": (number(row, "multiple"),), "times_s": (hour_s,), "keeps_i2t": 0.0}
    assert fuses.longest_opening_time_s(opens_at_a / 100.0, **curve) == hour_s
    assert fuses.longest_opening_time_s(opens_at_a / 100.0 * 0.99, **curve) > 1e8


# 1.5 A through a chip fuse at 0.70 for continuous load and 0.95 for its ambient needs 2.256 A. Key:
# datasheet-chip-fuse.
def test_a_chip_fuse_with_both_its_factors():
    assert fuses.carried_a(2.256, 0.95, 1 / 0.70) == pytest.approx(1.5, abs=0.0005)


# A fuse of 40 A carries 32 A for good, at 80 %. Key: trade-catalogue-continuous-load.
def test_a_fuse_for_a_continuous_load():
    assert fuses.carried_a(40.0, 1.0, 1.25) == 32.0


# Factors of blade and strip fuses by ambient, from memory. Key: trade-practice.
@pytest.mark.parametrize(
    "degc, factor", [(-40, 1.12), (0, 1.05), (25, 1.0), (60, 0.95), (85, 0.9), (105, 0.86), (125, 0.8)]
)
def test_ambient_factors_of_fuses(degc, factor):
    factors = (1.12, 1.05, 1.0, 0.95, 0.9, 0.86, 0.8)
    assert fuses.ambient_factor(degc + 273.15, factors) == pytest.approx(factor, rel=1e-9)


# 47 A, 0.91 for 40 degC and 0.6 for the group leave 25.7 A; 24 A x 0.57 = 13.7 A. Key: electricians-guide-16th.
# 16.2 and 21.5 A x 0.52 = 8.4 and 11.2 A; these x 0.79 = 6.6 and 8.8 A. Key: ac-43-13-1b (from memory).
@pytest.mark.parametrize(
    "single_a, first, second, text",
    [
        (47.0, 0.91, 0.6, "25.7"),
        (24.0, 1.0, 0.57, "13.7"),
        (16.2, 1.0, 0.52, "8.4"),
        (21.5, 1.0, 0.52, "11.2"),
        (8.4, 0.79, 1.0, "6.6"),
        (11.2, 0.79, 1.0, "8.8"),
    ],
)
def test_derated_currents(single_a, first, second, text):
    derated = grouping.derated_ampacity_a(single_a, first, second)
    assert derated == printed(text)
    assert grouping.equivalent_current_a(derated, first, second) == pytest.approx(single_a)


# Two single cables touching carry 200 A of 35 mm2 and 310 A of 70 mm2, side by side with a gap 226 A and 353 A: BS 7671
# Table 4E1A, methods F and G, so 0.88 for touching. Key: bs-7671-4e1a.
@pytest.mark.parametrize("apart_a, touching_a", [(226.0, 200.0), (353.0, 310.0)])
def test_two_that_touch(apart_a, touching_a):
    assert grouping.derated_ampacity_a(apart_a, 0.88, 1.0) == pytest.approx(touching_a, rel=0.006)
    assert grouping.circuits_from_conductors(grouping.bundle(1.0)) == 1.0
