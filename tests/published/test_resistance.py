"""Sizes and resistances of wires against printed tables."""

import pytest

from selector.physics import conductor
from tests.published.published_figures import FOOT, INCH, each_row, number, printed, rows

# 100 % IACS is 1/58 by definition; the 0.017241 of most texts and the 10.371 ohm cmil/ft are this, rounded. NBS
# Handbook 100 (1966). Key: nbs-handbook-100.
IACS_OHM_MM2_PER_M = 1 / 58
COPPER_PER_K = 0.00393
CMIL_MM2 = conductor.round_area_mm2(0.001 * INCH)
LAY = 1.02  # concentric strands; NFPA 70 chapter 9 table 8 follows it. Key: nfpa-70-ch9-table-8.


def solid_ohm_per_kft(gauge_number):
    resistance = conductor.resistance_at_20_degc_ohm_per_m(IACS_OHM_MM2_PER_M, conductor.awg_area_mm2(gauge_number))
    return resistance * FOOT * 1000


def decimals(text):
    return len(text.partition(".")[2])


@pytest.mark.parametrize("row", each_row("solid_wire_resistances.csv", "size"))
def test_solid_wire_to_the_digit(row):
    text = row["resistance at 20 degC [ohm/kft]"]
    assert f"{solid_ohm_per_kft(number(row, 'gauge number')):.{decimals(text)}f}" == text


# Solid annealed copper at 20 degC, ohm/km. NBS Handbook 100 (1966), metric wire table (from memory). Key:
# nbs-handbook-100.
@pytest.mark.parametrize("gauge_number, text", [(10, "3.277"), (18, "20.95")])
def test_metric_wire_table_to_the_digit(gauge_number, text):
    assert solid_ohm_per_kft(gauge_number) / FOOT == printed(text)


@pytest.mark.parametrize("row", each_row("solid_wire_sizes.csv", "size"))
def test_diameters_to_the_digit(row):
    assert conductor.awg_diameter_m(number(row, "gauge number")) / INCH == printed(row["diameter [in]"])


# Areas in circular mils, printed to four digits at most, ASTM B258. Key: astm-b258 (from memory).
@pytest.mark.parametrize("gauge_number, published", [(-3, 211600), (0, 105600), (10, 10380), (18, 1620), (20, 1020)])
def test_areas_in_circular_mils(gauge_number, published):
    assert conductor.awg_area_mm2(gauge_number) / CMIL_MM2 == pytest.approx(published, rel=0.003)


# A circular mil is 5.067e-4 mm2 and 4/0 is 107.2 mm2, ASTM B258. Key: astm-b258.
def test_areas_in_square_millimetres():
    assert conductor.round_area_mm2(0.001 * INCH) == printed("5.067e-4")
    assert conductor.awg_area_mm2(-3) == printed("107.2")


@pytest.mark.parametrize("row", each_row("stranded_resistances_75_degc.csv", "size", "strands"))
def test_warm_wire_within_08_percent(row):
    lay = LAY if number(row, "strands") > 1 else 1.0
    cold = conductor.resistance_at_20_degc_ohm_per_m(IACS_OHM_MM2_PER_M, number(row, "area [cmil]") * CMIL_MM2, lay)
    warm = conductor.resistance_at_temperature_ohm_per_m(cold, COPPER_PER_K, 75 + 273.15)
    text = row["uncoated resistance at 75 degC [ohm/kft]"]
    assert warm * FOOT * 1000 == pytest.approx(float(text), rel=0.008)


def half_a_digit(text):
    return 0.5 * 10.0 ** -decimals(text)


@pytest.mark.parametrize("row", each_row("resistances_25_and_65_degc.csv", "size"))
def test_warming_from_25_to_65_degc_within_the_digits_printed(row):
    cold, warm = row["resistance at 25 degC [ohm/kft]"], row["resistance at 65 degC [ohm/kft]"]
    factor = conductor.resistance_at_temperature_ohm_per_m(1.0, COPPER_PER_K, 65 + 273.15)
    factor = factor / conductor.resistance_at_temperature_ohm_per_m(1.0, COPPER_PER_K, 25 + 273.15)
    least = (float(warm) - half_a_digit(warm)) / (float(cold) + half_a_digit(cold))
    greatest = (float(warm) + half_a_digit(warm)) / (float(cold) - half_a_digit(cold))
    assert least <= factor <= greatest


# Greatest resistances of IEC 60228 lie above the metal alone: 4 to 13 % in class 2, 10 to 16 % in class 5.
@pytest.mark.parametrize("row", each_row("greatest_resistances_iec_60228.csv", "area [mm2]", "class"))
def test_a_standard_allows_more_than_the_metal_needs(row):
    metal = conductor.resistance_at_20_degc_ohm_per_m(IACS_OHM_MM2_PER_M, number(row, "area [mm2]"))
    ratio = number(row, "resistance at 20 degC [ohm/km]") / (1000 * metal)
    low, high = (1.04, 1.13) if row["class"] == "2" else (1.10, 1.16)
    assert low <= ratio <= high
    tinned = number(row, "tinned resistance at 20 degC [ohm/km]") / number(row, "resistance at 20 degC [ohm/km]")
    assert 1.0 < tinned < 1.035


# R2/R1 = (234.5 + T2)/(234.5 + T1), AC 43.13-1B, paragraph 11-66. Key: ac-43-13-1b.
def test_copper_meets_zero_at_234_5_degrees_below():
    assert conductor.zero_resistance_k(COPPER_PER_K) - 273.15 == pytest.approx(-234.5, abs=0.1)


# Tinned wire, greatest resistivity over that of bare copper by diameter in inches: 910.15 over 875.20 ohm lb/mile2 from
# 0.0201 to 0.103, 896.15 from 0.290 to 0.460. ASTM B33. Key: astm-b33.
@pytest.mark.parametrize("greatest, text", [(896.15, "1.0239"), (900.77, "1.0292"), (910.15, "1.0399")])
def test_coating_factors_of_tinned_wire(greatest, text):
    factor = conductor.coated_resistance_ohm_per_m(1.0, greatest / 875.20)
    assert factor == printed(text)


# Least conductivity of nickel-plated wire by class, in per cent of IACS; the class is the share of nickel by mass.
# ASTM B355. Key: astm-b355 (from memory). Nickel 0.0684 ohm mm2/m and 8900 kg/m3, from memory. Core and plating side by
# side carry at least what the standard asks.
@pytest.mark.parametrize("mass_percent, least_percent", [(2, 96), (4, 94), (7, 91), (10, 88), (27, 71)])
def test_nickel_plated_wire_conducts_at_least_what_its_class_asks(mass_percent, least_percent):
    share = conductor.plating_share_by_mass(mass_percent / 100, 8890.0, 8900.0)
    plated = conductor.plated_resistivity_ohm_mm2_per_m(share, IACS_OHM_MM2_PER_M, 0.0684)
    percent = 100 * IACS_OHM_MM2_PER_M / plated
    assert least_percent <= percent <= least_percent + 11


@pytest.mark.parametrize("row", each_row("skin_effect.csv", "argument", "source"))
def test_skin_effect_ratios_within_the_digits_printed(row):
    text = row["ratio"]
    ratio = conductor.skin_factor(number(row, "argument"))
    assert ratio == pytest.approx(float(text), rel=2e-5, abs=half_a_digit(text))


# A tabulated approximation that reads low, by up to 2.6 %.
@pytest.mark.parametrize("row", each_row("skin_effect_approximation.csv", "argument"))
def test_a_tabulated_approximation_reads_a_little_lower(row):
    assert 1.0 <= conductor.skin_factor(number(row, "argument")) / number(row, "ratio") <= 1.027


# Skin depth of copper: 0.208778 mm at 103.79 kHz and 0.01786 ohm mm2/m, Meinke and Gundlach. Key:
# meinke-gundlach-handbook. 8.5 mm at 60 Hz. Key: skin-depth-article.
def test_skin_depths():
    assert 1000 * conductor.skin_depth_m(103790.0, 0.01786) == pytest.approx(0.208778, rel=1e-5)
    assert 1000 * conductor.skin_depth_m(60.0, 0.017241) == printed("8.5")


def test_there_are_as_many_wires_as_the_table_prints():
    assert len(rows("solid_wire_resistances.csv")) == 28
