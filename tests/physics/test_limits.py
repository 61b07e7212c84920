"""Limits one can do by head, and the shape each formula must have."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import jv

from selector.maths import lookup
from selector.physics import air, conductor, convection, fuses, grouping, short_circuit, voltage_drop


def test_six_gauge_numbers_double_the_diameter_nearly():
    assert conductor.awg_diameter_m(4) / conductor.awg_diameter_m(10) == pytest.approx(2.005, abs=0.0005)
    assert conductor.awg_diameter_m(36) == 0.127e-3


def test_a_wire_at_20_degc_has_its_resistance_at_20_degc():
    assert conductor.resistance_at_temperature_ohm_per_m(3e-3, 0.00393, 293.15) == 3e-3


def test_half_the_area_is_twice_the_resistance():
    whole = conductor.resistance_at_20_degc_ohm_per_m(0.017241, 10.0)
    assert conductor.resistance_at_20_degc_ohm_per_m(0.017241, 5.0) == 2 * whole


def test_the_line_of_resistance_meets_zero_where_it_says():
    zero = conductor.zero_resistance_k(0.00393)
    assert conductor.resistance_at_temperature_ohm_per_m(3e-3, 0.00393, zero) == pytest.approx(0, abs=1e-15)


def test_no_plating_leaves_the_core_and_all_plating_leaves_the_plating():
    assert conductor.plating_share(1e-3, 0.0) == 0.0
    assert conductor.plating_share(1e-3, 0.5e-3) == 1.0
    assert conductor.plated_resistivity_ohm_mm2_per_m(0.0, 0.0172, 0.068) == pytest.approx(0.0172)
    assert conductor.plated_resistivity_ohm_mm2_per_m(1.0, 0.0172, 0.068) == pytest.approx(0.068)
    assert conductor.plating_share_by_mass(0.3, 8900.0, 8900.0) == pytest.approx(0.3)


def exact_skin_factor(x):
    """Re[z J0(z)/(2 J1(z))] by scipy."""
    z = x * np.exp(-0.25j * np.pi)
    return (z * jv(0, z) / (2 * jv(1, z))).real


def test_the_skin_series_is_the_bessel_expression():
    x = np.linspace(0.05, conductor.SERIES_UP_TO, 400)
    assert conductor.skin_factor(x) == pytest.approx(exact_skin_factor(x), rel=1e-9)


def test_the_skin_factor_of_thick_wires_is_the_bessel_expression():
    x = np.linspace(conductor.SERIES_UP_TO, 400.0, 2000)
    assert conductor.skin_factor(x) == pytest.approx(exact_skin_factor(x), rel=2e-5)


def test_the_two_forms_of_the_skin_factor_meet():
    below, above = conductor.skin_factor(conductor.SERIES_UP_TO), conductor.skin_factor(conductor.SERIES_UP_TO + 1e-9)
    assert above == pytest.approx(below, rel=2e-5)


def test_direct_current_has_no_skin_effect():
    assert conductor.skin_factor(0.0) == 1.0
    assert conductor.rectifier_lead_skin_factor(0.0, 1e-3) == pytest.approx(1.0, rel=1e-12)


def test_the_skin_argument_is_radius_over_skin_depth_times_root_two():
    diameter_m, resistivity = 8e-3, 0.0213
    resistance = conductor.resistance_at_20_degc_ohm_per_m(resistivity, conductor.round_area_mm2(diameter_m))
    depth = conductor.skin_depth_m(700.0, resistivity)
    argument = conductor.skin_argument(700.0, resistance)
    assert argument == pytest.approx(math.sqrt(2) * diameter_m / 2 / depth, rel=1e-12)


def test_harmonics_make_a_rectifier_lead_worse_than_a_sine():
    for frequency_hz in (100.0, 500.0, 1500.0):
        sine = conductor.skin_factor(conductor.skin_argument(frequency_hz, 0.3e-3))
        assert conductor.rectifier_lead_skin_factor(frequency_hz, 0.3e-3) > sine


def test_the_harmonics_of_a_block_carry_its_whole_heat():
    counted = sum(1 / order**2 for order in conductor.HARMONICS)
    assert counted / (math.pi**2 / 9) == pytest.approx(0.9888, abs=0.0001)


def test_the_sea_has_sea_level_pressure_and_heights_have_less():
    assert air.pressure_pa(0.0) == 101325.0
    shares = np.diff(np.log(air.pressure_pa(np.linspace(0.0, 20000.0, 201))))  # of pressure lost in each 100 m
    assert (shares < 0).all()
    assert (np.abs(np.diff(shares)) < 2e-4).all()  # no jump at the tropopause


def test_film_temperature_lies_midway():
    assert air.film_k(400.0, 300.0) == 350.0


def test_half_the_pressure_is_twice_the_kinematic_viscosity():
    thin = air.kinematic_viscosity_m2_per_s(2e-5, 300.0, 5e4)
    assert thin == 2 * air.kinematic_viscosity_m2_per_s(2e-5, 300.0, 1e5)


def test_a_surface_no_warmer_than_the_air_moves_none():
    assert convection.rayleigh(300.0, 300.0, 1e-2, 1 / 300, 1.6e-5, 0.7) == 0.0
    assert convection.rayleigh(290.0, 300.0, 1e-2, 1 / 295, 1.6e-5, 0.7) == 0.0


def test_the_power_laws_join_without_a_step_and_rise():
    numbers = convection.free_nusselt(np.logspace(-10, 12, 20000))
    steps = np.diff(np.log(numbers))
    assert (steps > 0).all()
    assert steps.max() < 0.001


def test_without_a_stream_free_convection_stands_alone():
    assert convection.forced_nusselt(0.0, 0.7) == 0.0
    still = convection.film_w_per_m2_k(380.0, 300.0, 7e-3, 0.0, 1e5, 0.0)
    film, conductivity, viscosity, number = air.air(380.0, 300.0, 1e5)
    free = convection.free_nusselt(convection.rayleigh(380.0, 300.0, 7e-3, 1 / film, viscosity, number))
    assert still == pytest.approx(free * conductivity / 7e-3, rel=1e-12)


def test_equal_parts_of_free_and_forced_make_the_cube_root_of_two():
    assert convection.combined_nusselt(5.0, 5.0) == pytest.approx(5 * 2 ** (1 / 3))


def test_radiation_is_the_difference_of_fourth_powers():
    coefficient = convection.radiation_w_per_m2_k(400.0, 300.0, 1.0, stefan_boltzmann_w_per_m2_k4=1.0)
    assert coefficient * 100.0 == 400.0**4 - 300.0**4
    assert convection.radiation_w_per_m2_k(400.0, 300.0, 0.0) == 0.0


def test_no_length_drops_nothing_and_twice_the_current_drops_twice_as_much():
    assert voltage_drop.voltage_drop_v(100.0, 0.0, 1e-3) == 0.0
    assert voltage_drop.voltage_drop_v(20.0, 5.0, 1e-3) == 2 * voltage_drop.voltage_drop_v(10.0, 5.0, 1e-3)
    assert voltage_drop.voltage_drop_v(10.0, 5.0, 1e-3) == 2 * voltage_drop.voltage_drop_v(10.0, 5.0, 1e-3, legs=1.0)


@given(st.floats(1, 500), st.floats(0.1, 50), st.floats(1e-5, 0.1), st.sampled_from([1.0, 2.0]))
def test_length_area_and_drop_undo_each_other(current_a, length_m, resistance, legs):
    drop_v = voltage_drop.voltage_drop_v(current_a, length_m, resistance, legs)
    assert voltage_drop.length_for_drop_m(current_a, drop_v, resistance, legs) == pytest.approx(length_m, rel=1e-12)
    area = voltage_drop.area_for_drop_mm2(current_a, length_m, drop_v, 0.018, legs)
    assert 0.018 / area == pytest.approx(resistance, rel=1e-12)


def test_a_wire_at_20_degc_keeps_its_length():
    assert voltage_drop.hot_length_m(12.0, 293.15, 38.65) == pytest.approx(12.0)


def test_a_fault_that_ends_no_warmer_is_not_stood():
    assert short_circuit.adiabatic_k(226.0, 38.65, 400.0, 400.0) == 0.0
    assert short_circuit.adiabatic_k(226.0, 38.65, 400.0, 350.0) == 0.0


def test_no_let_through_leaves_the_metal_as_it_was():
    assert short_circuit.end_temperature_k(0.0, 4.0, 343.15, 226.0, 38.65) == pytest.approx(343.15)


def test_an_impossible_fault_still_ends_in_a_number():
    assert 1e10 < short_circuit.end_temperature_k(1e12, 0.5, 343.15, 226.0, 38.65) < math.inf


@given(st.floats(0.2, 240), st.floats(250, 500), st.floats(5, 300))
def test_withstand_and_end_temperature_are_the_same_balance(area_mm2, initial_k, warmer_k):
    k = short_circuit.adiabatic_k(226.0, 38.65, initial_k, initial_k + warmer_k)
    withstand = short_circuit.withstand_a2s(k, area_mm2)
    end = short_circuit.end_temperature_k(withstand, area_mm2, initial_k, 226.0, 38.65)
    assert end == pytest.approx(initial_k + warmer_k, rel=1e-9)
    assert short_circuit.least_area_mm2(withstand, k) == pytest.approx(area_mm2, rel=1e-9)
    current_a = short_circuit.withstand_current_a(k, area_mm2, 0.3)
    assert short_circuit.withstand_time_s(k, area_mm2, current_a) == pytest.approx(0.3, rel=1e-9)
    assert short_circuit.let_through_a2s(current_a, 0.3) == pytest.approx(withstand, rel=1e-9)


CURVE = {"multiples": (1.5, 3.0, 6.0), "times_s": (400.0, 4.0, 0.5)}


def test_a_curve_passes_through_its_points():
    for multiple, time_s in zip(*CURVE.values(), strict=True):
        assert fuses.opening_time_s(multiple, **CURVE) == pytest.approx(time_s, rel=1e-12)


def test_between_points_a_curve_is_straight_on_log_log_paper():
    assert fuses.opening_time_s(math.sqrt(1.5 * 3.0), **CURVE) == pytest.approx(math.sqrt(400.0 * 4.0))


def test_beyond_the_last_point_a_fuse_keeps_its_i2t_and_a_breaker_its_time():
    assert fuses.opening_time_s(12.0, **CURVE) == pytest.approx(0.5 / 4)
    assert fuses.opening_time_s(12.0, **CURVE, keeps_i2t=0.0) == 0.5


def test_below_the_first_point_the_shortest_time_holds_and_the_longest_never_ends():
    assert fuses.opening_time_s(1.0, **CURVE) == 400.0
    assert fuses.longest_opening_time_s(1.0, **CURVE) == 1e9
    assert fuses.longest_opening_time_s(1.5, **CURVE) == pytest.approx(400.0)


def scattered(draw, shape, share):
    """Positive numbers over decades, this share of them unknown."""
    return np.where(draw.random(shape) < share, math.nan, np.exp(draw.normal(0.0, 2.0, shape)))


@pytest.mark.parametrize("curves", [(1, 5), (4, 1), (4, 5)], ids=["a candidate each", "a place each", "both"])
@pytest.mark.parametrize("unknown", [0.0, 0.2])
def test_a_block_of_curves_is_each_curve_by_itself(curves, unknown):
    """Blocks take another way than numbers do; unknown points and unknown currents are among both."""
    draw = np.random.default_rng(5)
    for points in range(2, 8):
        multiples = np.sort(scattered(draw, (points, *curves), 0.0), axis=0)
        multiples[draw.random(multiples.shape) < unknown] = math.nan
        times_s = scattered(draw, (points, *curves), unknown)
        asked = scattered(draw, (4, 5), 0.1)
        asked[0] = np.broadcast_to(multiples[0], (4, 5))[0]  # exactly on a point
        found = fuses.longest_opening_time_s(asked, tuple(multiples), tuple(times_s))
        knots, results = (np.broadcast_to(own, (points, 4, 5)) for own in (multiples, times_s))
        for at in np.ndindex(4, 5):
            alone = fuses.longest_opening_time_s(
                float(asked[at]), tuple(map(float, knots[:, *at])), tuple(map(float, results[:, *at]))
            )
            assert found[at] == pytest.approx(alone, rel=1e-12, nan_ok=True)


def test_a_block_looked_up_is_each_number_looked_up():
    ends, results = (1.0, 2.0, 5.0), (10.0, math.nan, 30.0)
    asked = np.array([[-1.0, 1.0, 1.5], [2.0, 5.0, 5.1], [math.nan, math.inf, 3.0]])
    found = lookup(asked, ends, results)
    for at in np.ndindex(asked.shape):
        assert found[at] == pytest.approx(lookup(float(asked[at]), ends, results), nan_ok=True)
    assert np.isnan(found).sum() == 5


@given(st.floats(0.5, 50), st.floats(1.001, 3))
def test_more_current_never_opens_later(multiple, more):
    for time_s in (fuses.opening_time_s, fuses.longest_opening_time_s):
        assert time_s(multiple * more, **CURVE) <= time_s(multiple, **CURVE) * (1 + 1e-12)


def test_ambient_factors_stand_at_their_temperatures_and_end_values_beyond():
    factors = (1.12, 1.05, 1.0, 0.95, 0.9, 0.86, 0.8)
    for knot_k, factor in zip(fuses.AMBIENT_KNOTS_K, factors, strict=True):
        assert fuses.ambient_factor(knot_k, factors) == pytest.approx(factor, rel=1e-12)
    assert fuses.ambient_factor(200.0, factors) == 1.12
    assert fuses.ambient_factor(420.0, factors) == 0.8
    assert fuses.ambient_factor(315.65, factors) == pytest.approx(0.975)


def test_twice_the_load_heats_a_device_four_times_as_much():
    assert fuses.self_heating_k(100.0, 100.0, 40.0) == 40.0
    assert fuses.self_heating_k(200.0, 100.0, 40.0) == 160.0


def test_a_wire_run_apart_is_a_bundle_of_one():
    assert grouping.bundle(0.0) == 1.0


def test_circuits_are_half_the_conductors_rounded_up():
    counted = grouping.circuits_from_conductors(np.arange(1.0, 101.0))
    assert counted.tolist() == [math.ceil(n / 2) for n in range(1, 101)]
    assert math.isnan(grouping.circuits_from_conductors(101.0))


def test_laying_and_grouping_divide():
    allowed = grouping.derated_ampacity_a(100.0, 0.88, 0.7)
    assert grouping.equivalent_current_a(allowed, 0.88, 0.7) == pytest.approx(100.0)
