"""What bench readings say of a breakdown and of a forward drop: published figures, limits, order."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from selector.physics import bench, suppressor

VOLTS = st.floats(5.0, 200.0)
SHARES = st.floats(0.0, 0.05)
AMPERES = st.floats(0.001, 2.0)
COEFFICIENTS = st.floats(0.0005, 0.0012)
KELVINS = st.floats(250.0, 400.0)


# kT/q is 25.69 mV at 25 degC, so an ideal junction drops 59.2 mV less at a tenth of the current: W. Shockley, Bell
# System Technical Journal 28, 1949 (key shockley-1949), with the constants of the SI.
def test_an_ideal_junction_falls_by_59_mv_for_a_tenth_of_the_current():
    kelvin, boltzmann, charge = 298.15, 1.380649e-23, 1.602176634e-19
    expected = math.log(10) * boltzmann * kelvin / charge
    at = [bench.forward_drop_v(current, 1.0, 0.9, 0.0, 1.0, kelvin) for current in (1.0, 0.1, 0.01)]
    assert at[0] - at[1] == pytest.approx(expected, rel=1e-6) == pytest.approx(0.05916, abs=1e-5)
    assert at[1] - at[2] == pytest.approx(expected, rel=1e-6)


# 0.1 % a kelvin: the coefficient of the 1500 W axial class (key datasheet-suppressor-1500w-axial).
def test_ten_kelvin_read_one_percent_high():
    warm = suppressor.breakdown_at_v(50.0, 0.001, 308.15)
    assert warm == pytest.approx(50.5)
    assert bench.apparent_warming_k(50.0, warm, 0.001) == pytest.approx(10.0)


# 5.0 W with leads at 75 degC brings the junction to 175 degC (key datasheet-suppressor-1500w-axial).
def test_the_rated_steady_power_brings_the_junction_to_its_limit():
    assert bench.steady_rise_k(5.0, 5.0, 348.15, 448.15) == pytest.approx(100.0)


# Common practice, no source: 0.1 A at 52 V, 1 A at 52.5 V.
def test_the_slope_of_the_known_part_lies_below_the_pulse_line_of_a_small_class():
    slope = bench.reading_slope_ohm(52.0, 0.1, 52.5, 1.0)
    assert slope == pytest.approx(0.5 / 0.9)
    assert slope < suppressor.dynamic_resistance_ohm(52.8, 69.4, 5.76)
    assert slope > suppressor.dynamic_resistance_ohm(52.8, 69.4, 95.0)


def test_leakage_doubles_every_10_k():
    assert [bench.leakage_at_a(1e-6, t + 273.15) for t in (15, 25, 35, 125)] == pytest.approx(
        [5e-7, 1e-6, 2e-6, 1.024e-3]
    )


@given(VOLTS, SHARES, AMPERES, st.floats(0.0, 4.0), SHARES, COEFFICIENTS, KELVINS)
def test_the_bounds_hold_what_a_part_would_have_shown(breakdown, meter, current, slope, rise, coefficient, junction):
    """Forward and back: the reading of a part, wrong by a share of what is shown, has the part's breakdown within its bounds."""
    true = suppressor.breakdown_at_v(breakdown, coefficient, junction)
    risen = true * (1 + rise) + slope * max(current - 0.001, 0)
    for shown in (true / (1 + meter), true, risen, risen / (1 - meter)):
        low = bench.least_breakdown_v(shown, meter, current, 0.001, slope, rise, coefficient, junction)
        high = bench.greatest_breakdown_v(shown, meter, coefficient, junction)
        assert low * (1 - 1e-9) <= breakdown <= high * (1 + 1e-9)


@given(VOLTS, COEFFICIENTS, KELVINS, SHARES)
def test_a_perfect_meter_at_the_test_current_leaves_one_breakdown(breakdown, coefficient, junction, rise):
    reading = suppressor.breakdown_at_v(breakdown, coefficient, junction)
    assert bench.greatest_breakdown_v(reading, 0.0, coefficient, junction) == pytest.approx(breakdown)
    assert bench.least_breakdown_v(reading, 0.0, 0.001, 0.001, 1.0, 0.0, coefficient, junction) == pytest.approx(
        breakdown
    )
    assert bench.least_breakdown_v(reading, 0.0, 0.001, 0.001, 1.0, rise, coefficient, junction) <= breakdown * (
        1 + 1e-12
    )


@given(AMPERES, st.floats(0.5, 150.0), st.floats(0.3, 1.0), st.floats(0.0, 0.7), st.floats(1.0, 2.0))
def test_the_drop_rises_with_current_and_meets_its_rating(current, rated, junction, resistive, ideality):
    drops = [
        bench.forward_drop_v(a, rated, junction, resistive, ideality, 298.15) for a in (current, 2 * current, rated)
    ]
    assert drops[0] < drops[1]
    assert drops[2] == pytest.approx(junction + resistive)
