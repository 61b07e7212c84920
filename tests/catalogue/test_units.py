"""Units and numbers: against a unit library, printed conversion factors, and the grammar's own promises."""

import math
import string

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from selector.errors import UnitError
from selector.numerals import LARGEST, parse_number
from selector.units import (
    SUFFIX,
    UNITS,
    column_name,
    find_unit,
    fold,
    header,
    parse_quantity,
    quantity,
    registry,
    show,
    snake,
    split_header,
    units_of,
)

# Each unit as the unit library spells it (pint 0.25, its own definitions; only the names are ours).
LIBRARY = {
    "m": "m", "mm": "mm", "cm": "cm", "km": "km", "um": "um", "in": "inch", "ft": "foot", "yd": "yard", "mil": "thou",
    "mm2": "mm**2", "cm2": "cm**2", "m2": "m**2", "in2": "inch**2", "cmil": "circular_mil",
    "kcmil": "1000 * circular_mil", "degC": "degC", "degF": "degF", "K": "kelvin", "A": "A", "mA": "mA", "uA": "uA",
    "kA": "kA", "V": "V", "mV": "mV", "uV": "uV", "kV": "kV", "W": "W", "mW": "mW", "kW": "kW", "MW": "MW", "J": "J",
    "mJ": "mJ", "kJ": "kJ", "Wh": "watt_hour", "kWh": "kilowatt_hour", "ohm": "ohm", "mohm": "milliohm",
    "uohm": "microohm", "kohm": "kiloohm", "ohm/m": "ohm/m", "ohm/km": "ohm/km", "mohm/m": "milliohm/m",
    "mohm/km": "milliohm/km", "uohm/m": "microohm/m", "ohm/ft": "ohm/foot", "mohm/ft": "milliohm/foot",
    "ohm/kft": "ohm/(1000*foot)", "mV/A/m": "mV/A/m", "ohm mm2/m": "ohm*mm**2/m", "ohm m": "ohm*m",
    "uohm cm": "microohm*cm", "nohm m": "nanoohm*m", "uohm m": "microohm*m", "s": "s", "ms": "ms", "us": "us",
    "ns": "ns", "min": "minute", "h": "hour", "Hz": "1/s", "kHz": "1000/s", "MHz": "1e6/s", "rpm": "rpm",
    "m/s": "m/s", "km/h": "km/hour", "kn": "knot", "ft/min": "foot/minute", "ft/s": "foot/s", "mph": "mile/hour",
    "A2 s": "A**2*s", "kA2 s": "kA**2*s", "Ah": "A*hour", "mAh": "mA*hour", "H": "henry", "mH": "millihenry",
    "uH": "microhenry", "F": "farad", "mF": "millifarad", "uF": "microfarad", "nF": "nanofarad", "%": "percent",
    "": "dimensionless", "kg": "kg", "g": "g", "lb": "pound", "kg/m": "kg/m", "kg/km": "kg/km", "g/m": "g/m",
    "kg/m3": "kg/m**3", "g/cm3": "g/cm**3", "N": "N", "kN": "kN", "lbf": "lbf", "kgf": "kgf", "N m": "N*m",
    "lb-in": "lbf*inch", "lb-ft": "lbf*foot", "Pa": "Pa", "kPa": "kPa", "MPa": "MPa", "hPa": "hPa",
    "W/(m K)": "W/m/kelvin", "W/(m2 K)": "W/m**2/kelvin", "K/W": "kelvin/W", "W/K": "W/kelvin",
    "J/(kg K)": "J/kg/kelvin", "kJ/(kg K)": "kJ/kg/kelvin", "1/K": "1/kelvin", "%/K": "percent/kelvin",
    "ppm/K": "ppm/kelvin", "V/K": "V/kelvin", "mV/K": "mV/kelvin", "A/mm2": "A/mm**2",
    "A s0.5/mm2": "A*s**0.5/mm**2",
}  # fmt: skip


def by_library(value, name, inner):
    """A value converted by the unit library."""
    units = registry()
    if name in ("degC", "degF"):
        return units.Quantity(value, name).to(LIBRARY[inner]).magnitude
    return (value * units.parse_expression(LIBRARY[name])).to(units.parse_units(LIBRARY[inner])).magnitude


@pytest.mark.parametrize("name", sorted({unit.name for unit in UNITS.values()}))
@pytest.mark.parametrize("value", [0.375, 40.0])
def test_every_unit_agrees_with_the_unit_library(name, value):
    unit = UNITS[name]
    inner = unit.to_inner(value)
    # The library keeps fewer digits of pi for the circular mil than a float holds.
    assert inner == pytest.approx(by_library(value, name, unit.inner), rel=1e-9)
    assert show(inner, name) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("name", sorted({unit.name for unit in UNITS.values()} - {"degC", "degF"}))
def test_quantities_carry_the_dimension_of_their_unit(name):
    units = registry()
    assert quantity(3, name).is_compatible_with(units.parse_expression(LIBRARY[name]))


# NIST Special Publication 811 (2008), Appendix B.8, factors as printed; from memory.
@pytest.mark.parametrize(
    "name, printed",
    [("lb-ft", "1.355818"), ("lb-in", "0.1129848"), ("lbf", "4.448222"), ("kgf", "9.80665"), ("kn", "0.5144444"),
     ("ft/min", "0.00508"), ("mph", "0.44704"), ("cmil", "0.0005067075"), ("in2", "645.16"), ("lb", "0.4535924"),
     ("kWh", "3600000")],
)  # fmt: skip
def test_printed_conversion_factors(name, printed):
    digits = len(printed.partition(".")[2])
    assert UNITS[name].to_inner(1.0) == pytest.approx(float(printed), rel=0, abs=0.5 * 10**-digits)


@pytest.mark.parametrize(
    "text, kelvin",  # fixed points of the scales
    [("0 degC", 273.15), ("32 degF", 273.15), ("212 °F", 373.15), ("-40 degF", 233.15), ("−40 °C", 233.15),
     ("0 K", 0.0), ("-459.67 degF", 0.0), ("100 ℃", 373.15), ("20 deg C", 293.15)],
)  # fmt: skip
def test_temperatures(text, kelvin):
    assert parse_quantity(text, "degC") == pytest.approx((kelvin, kelvin), abs=1e-9)


@pytest.mark.parametrize(
    "spelling, name",
    [
        ("µm", "um"), ("μm", "um"), ("Ω", "ohm"), ("Ω", "ohm"), ("mΩ", "mohm"), ("mΩ", "mohm"), ("µΩ", "uohm"),
        ("mm²", "mm2"), ("mm^2", "mm2"), ("mm**2", "mm2"), ('"', "in"), ("″", "in"), ("'", "ft"), ("′", "ft"),
        ("thou", "mil"), ("MCM", "kcmil"), ("°C", "degC"), ("º C", "degC"), ("A²s", "A2 s"), ("A²·s", "A2 s"),
        ("A2s", "A2 s"), ("N·m", "N m"), ("Nm", "N m"), ("lbf·in", "lb-in"), ("in-lb", "lb-in"), ("ft lb", "lb-ft"),
        ("W/(m·K)", "W/(m K)"), ("W / (m K)", "W/(m K)"), ("W/mK", "W/(m K)"), ("kg/m³", "kg/m3"), ("°C/W", "K/W"),
        ("Ω·mm²/m", "ohm mm2/m"), ("Ω/km", "ohm/km"), ("ohm/1000 ft", "ohm/kft"), ("knots", "kn"), ("ft", "ft"),
        ("FT", "ft"), ("hours", "h"), ("ohm\u00a0mm²/m", "ohm mm2/m"), ("J/(kg·K)", "J/(kg K)"),
        ("A·s½/mm²", "A s0.5/mm2"),
    ],
)  # fmt: skip
def test_spellings(spelling, name):
    assert find_unit(spelling).name == name


@pytest.mark.parametrize("text", ["C", "furlong", "MM", "MA", "Mohm", "AWG", "kelvins2", "m m", "²", "mm3"])
def test_words_that_are_no_unit(text):
    with pytest.raises(UnitError):
        find_unit(text)


def test_the_coulomb_is_not_a_temperature():
    with pytest.raises(UnitError, match="write degC"):
        parse_quantity("40 C", "degC")


def test_a_wrong_dimension_names_both():
    with pytest.raises(UnitError, match=r"'A' is a unit of current, not of length\. Write m"):
        parse_quantity("12 A", "m")
    with pytest.raises(UnitError, match="number without unit"):
        parse_quantity("12 A", None)


@pytest.mark.parametrize("name, dimension", [("K", "temperature"), ("degF", "temperature difference"), ("%", "number")])
def test_words_with_two_meanings_follow_the_dimension_asked_for(name, dimension):
    assert find_unit(name, dimension).dimension == dimension


def test_a_difference_has_no_zero_point():
    assert parse_quantity("9 degF", "K") == pytest.approx((5.0, 5.0))
    assert parse_quantity("9 degC", "K") == (9.0, 9.0)


@pytest.mark.parametrize(
    "text, words, unit",
    [
        ("length [ft]", "length", "ft"), ("length (ft)", "length", "ft"), ("length, ft", "length", "ft"),
        ("Length[m]", "Length", "m"), ("length", "length", None), ("length []", "length", None),
        ("conductivity [W/(m K)]", "conductivity", "W/(m K)"), ("conductivity (W/(m K))", "conductivity", "W/(m K)"),
        ("length (one way) (m)", "length (one way)", "m"), ("note (free)", "note (free)", None),
        ("what, where", "what, where", None), ("resistance at 20 degC [ohm/km]", "resistance at 20 degC", "ohm/km"),
        ("melting I2t [A²s]", "melting I2t", "A2 s"), ("drop limit [%]", "drop limit", "%"),
    ],
)  # fmt: skip
def test_headers(text, words, unit):
    found = header(text)
    assert (found[0], found[1] and found[1].name) == (words, unit)


def test_an_unknown_unit_in_square_brackets_is_an_error():
    assert split_header("length [furlong]") == ("length", "furlong")
    with pytest.raises(UnitError, match="furlong"):
        header("length [furlong]")


@pytest.mark.parametrize(
    "text, name",
    [
        ("outer diameter [mm]", "outer_diameter_m"), ("area [mm2]", "area_mm2"),
        ("temperature rating [degC]", "temperature_rating_k"), ("rating [A]", "rating_a"), ("drop [mV]", "drop_v"),
        ("cold resistance [mohm]", "cold_resistance_ohm"), ("melting I2t [A2 s]", "melting_i2t_a2s"),
        ("resistance at 20 degC [ohm/km]", "resistance_at_20_degc_ohm_per_m"), ("air speed [m/s]", "air_speed_m_per_s"),
        ("resistivity [ohm mm2/m]", "resistivity_ohm_mm2_per_m"), ("conductivity [W/(m K)]", "conductivity_w_per_m_k"),
        ("junction to case [K/W]", "junction_to_case_k_per_w"), ("temperature coefficient [1/K]",
         "temperature_coefficient_per_k"), ("density [kg/m3]", "density_kg_per_m3"), ("heat capacity [J/(kg K)]",
         "heat_capacity_j_per_kg_k"), ("torque [N m]", "torque_n_m"), ("capacity [Ah]", "capacity_ah"),
        ("speed range [rpm]", "speed_range_rpm"), ("field inductance [H]", "field_inductance_h"),
        ("spare [%]", "spare"),
        ("emissivity", "emissivity"), ("stand-off [V]", "stand_off_v"), ("pull [lbf]", "pull_n"),
    ],
)  # fmt: skip
def test_column_names(text, name):
    words, unit = header(text)
    assert column_name(words, unit.dimension if unit else None) == name


def test_every_dimension_has_a_suffix_and_an_inner_unit_worth_one():
    for unit in UNITS.values():
        assert unit.dimension in SUFFIX
    for dimension in set(SUFFIX) - {"temperature", "ratio"}:
        inner = {unit.inner for unit in UNITS.values() if unit.dimension == dimension}
        assert len(inner) == 1
        assert find_unit(inner.pop() or "", dimension).to_inner(7.0) == 7.0
    assert units_of("temperature") == ["degC", "degF", "K"]


def test_words_for_comparing_and_for_names():
    assert fold(" Stand_off  Voltage ") == fold("stand-off voltage") == "stand off voltage"
    assert snake("Resistance at 20 degC") == "resistance_at_20_degc"


# What a number may look like. Spaces as group marks: ISO 80000-1, 7.3.2 (from memory).
@pytest.mark.parametrize(
    "text, value",
    [
        ("12", 12), ("-3", -3), ("+3", 3), ("−3", -3), ("7.5", 7.5), (".5", 0.5), ("5.", 5), ("1e3", 1000),
        ("1.5E-3", 0.0015), ("3/8", 0.375), ("1 1/2", 1.5), ("-1 1/2", -1.5), ("1½", 1.5), ("½", 0.5), ("3⁄8", 0.375),
        ("1 234", 1234), ("12 345.6", 12345.6), ("1\u202f234\u202f567", 1234567), ("1\u00a0234.5", 1234.5),
        ("1\u2009234", 1234), ("  7 ", 7), ("\ufeff7", 7), ("0", 0), ("0e5", 0), ("007", 7), ("5/4", 1.25),
    ],
)  # fmt: skip
def test_numbers(text, value):
    assert parse_number(text) == value


@pytest.mark.parametrize("text, value", [("1,5", 1.5), ("0,375", 0.375), ("1 234,5", 1234.5), ("12", 12),
                                         ("1,5e3", 1500), ("3/8", 0.375)])  # fmt: skip
def test_numbers_with_a_decimal_comma(text, value):
    assert parse_number(text, decimal=",") == value


@pytest.mark.parametrize(
    "text, complaint",
    [
        ("", "missing"), (" ", "missing"), ("ten", "not a number"), ("nan", "not a number"), ("NaN", "not a number"),
        ("inf", "not a number"), ("-Infinity", "not a number"), ("1_000", "not a number"), ("0x10", "not a number"),
        ("1e400", "too large"), ("-1e400", "too large"), ("1e-400", "too small"), ("1,5", "decimal point"),
        ("1,000", "decimal point"), ("1.2.3", "not a number"), ("--5", "not a number"), ("5-", "not a number"),
        ("3-4", r"3\.\.4"), ("3–4", r"3\.\.4"), ("1/0", "zero"), ("1 5/4", "mixed fraction"),
        ("1 2345", "not a number"),
        ("12 34", "not a number"), ("1 234 56", "not a number"), (".", "not a number"), ("e5", "not a number"),
        ("1e", "not a number"), ("10²", "not a number"), ("١٢", "not a number"), ("１２", "not a number"),
        ("5 m", "not a number"), ("2026-03-08", "date"), ("9" * 6000, "too"), ("1/" + "9" * 6000, "too"),
        ("=1+1", "not a number"), ("5;6", "not a number"),
    ],
)  # fmt: skip
def test_texts_that_are_no_number(text, complaint):
    with pytest.raises(UnitError, match=complaint):
        parse_number(text)


def test_a_point_in_a_file_of_commas_is_asked_about():
    with pytest.raises(UnitError, match="decimal comma"):
        parse_number("1.234", decimal=",")


@pytest.mark.parametrize(
    "text, unit, low, high",
    [
        ("12", "m", 12, 12), ("12", "mm", 0.012, 0.012), ("12 ft", "m", 3.6576, 3.6576), ("12ft", "m", 3.6576, 3.6576),
        ("3/8 in", "mm", 0.009525, 0.009525), ('3/8"', "mm", 0.009525, 0.009525), ("3/8”", "mm", 0.009525, 0.009525),
        ("1 1/2 in", "mm", 0.0381, 0.0381), ("60..80", "A", 60, 80), ("60 .. 80", "A", 60, 80), ("60…80", "A", 60, 80),
        ("60..80 degC", "degC", 333.15, 353.15), ("60 degC..80 degC", "degC", 333.15, 353.15),
        ("500 mA..2 A", "A", 0.5, 2), ("-20..40", "degC", 253.15, 313.15), ("3", "%", 0.03, 0.03),
        ("95 %", "%", 0.95, 0.95), ("80 mil", "mm", 0.002032, 0.002032), ("1 mΩ", "ohm", 0.001, 0.001),
        ("6 kn", "m/s", 3.0866666666666667, 3.0866666666666667), ("2 1/K", "1/K", 2, 2), ("1..1", "V", 1, 1),
        ("4 kA2s", "A2 s", 4e6, 4e6), ("250 kcmil", "mm2", 126.6768698, 126.6768698),
    ],
)  # fmt: skip
def test_quantities(text, unit, low, high):
    assert parse_quantity(text, unit) == pytest.approx((low, high), rel=1e-9)


@pytest.mark.parametrize(
    "text, unit, complaint",
    [
        ("80..60", "A", "backwards"), ("60...80", "A", "two points"), ("60..", "A", "missing"),
        ("..80", "A", "missing"),
        ("60 to 80", "A", r"60\.\.80"), ("60-80", "A", r"60\.\.80"), ("60..80..90", "A", "not a number"),
        ("1e308", "A", "too large"), ("2e9 kA", "A", "too large"), ("-300", "degC", "absolute zero"),
        ("5' 3\"", "m", "not a number"), ("1'000", "m", "not a number"), ("5 furlong", "m", "not a known unit"),
        ("5 MM", "mm", "Did you mean 'mm'"), ("", "m", "missing"), ("m", "m", "not a number"), ("1,5", "m", "point"),
        ("60 degC..80 A", "degC", "current, not of temperature"),
    ],
)  # fmt: skip
def test_texts_that_are_no_quantity(text, unit, complaint):
    with pytest.raises(UnitError, match=complaint):
        parse_quantity(text, unit)


@pytest.mark.parametrize(
    "one, other, unit",
    [
        ("3/8 in", "9.525", "mm"),
        ("12 ft", "3.6576", "m"),
        ("0.84 cm", "8.4 mm", "m"),
        ("1 mm2", "0.01 cm2", "mm2"),
        ("18 ft", "5.4864 m", "m"),
    ],
)
def test_the_same_length_in_two_units_is_the_same_number(one, other, unit):
    assert parse_quantity(one, unit) == parse_quantity(other, unit)


def test_unknown_stays_unknown_when_shown():
    assert show(None, "mm") is None
    assert show(333.15, "degC") == 60.0
    assert show(0.0084, "mm") == 8.4


decimals = st.decimals(min_value=-(10**9), max_value=10**9, allow_nan=False, allow_infinity=False, places=6)


@given(decimals)
def test_what_is_written_is_read_back(value):
    assert parse_number(f"{value:f}") == float(value)
    assert parse_number(f"{value:f}".replace(".", ","), decimal=",") == float(value)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_float_reads_back_from_its_own_text(value):
    assert parse_number(repr(value)) == value


@given(st.integers(min_value=0, max_value=10**12), st.sampled_from(" \u00a0\u2009\u202f"))
def test_spaces_part_groups_of_three(value, space):
    assert parse_number(f"{value:,}".replace(",", space)) == value


@given(st.integers(0, 99), st.integers(1, 64), st.integers(1, 64))
def test_fractions(whole, above, below):
    assume(above < below)
    assert parse_number(f"{above}/{below}") == above / below
    assert parse_number(f"{whole} {above}/{below}") == whole + above / below


@given(st.text(alphabet=string.digits + "+-.,eE/_ xXnaif…'\u2009½", max_size=12), st.sampled_from(".,"))
def test_any_text_is_a_finite_number_or_a_unit_error(text, decimal):
    try:
        value = parse_number(text, decimal)
    except UnitError as error:
        assert error.found
    else:
        assert math.isfinite(value)
        assert any(c.isdigit() or c == "½" for c in text)
        assert not set(text) & set("_xXnaif'")


@given(st.text(max_size=20))
def test_any_text_is_a_quantity_within_bounds_or_a_unit_error(text):
    try:
        low, high = parse_quantity(text, "mm")
    except UnitError as error:
        assert str(error)
    else:
        assert -LARGEST <= low <= high <= LARGEST


@given(decimals, decimals, st.sampled_from(["mm", "in", "ft", "km"]))
def test_ranges_keep_their_order(one, other, unit):
    low, high = sorted((one, other))
    read = parse_quantity(f"{low:f}..{high:f} {unit}", "m")
    assert read == (parse_quantity(f"{low:f} {unit}", "m")[0], parse_quantity(f"{high:f} {unit}", "m")[0])
    assert read[0] <= read[1]


@given(st.floats(-1e6, 1e6), st.sampled_from(sorted({unit.name for unit in UNITS.values()})))
def test_there_and_back(value, name):
    assume(abs(value) > 1e-6)
    unit = UNITS[name]
    assert unit.from_inner(unit.to_inner(value)) == pytest.approx(value, rel=1e-9, abs=1e-9)
