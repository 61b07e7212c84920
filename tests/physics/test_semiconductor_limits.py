"""Limits one can do by head, and the shape of the formulas on rectifiers, sinks, suppressors, coils, leads, joints."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_bvp, solve_ivp

from selector.physics import duty, fin, freewheel, heatsink, joint, load_dump, suppressor
from selector.physics import rectifier as r
from selector.physics import rectifier_ratios as ratios

# --- rectifier -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pulses", [2, 3, 6, 12])
def test_the_ratios_of_a_rectified_wave_are_its_integrals(pulses):
    """A cosine top from minus to plus pi over the pulses, integrated."""
    half = math.pi / pulses
    mean = quad(math.cos, -half, half)[0] / (2 * half)
    square = quad(lambda x: math.cos(x) ** 2, -half, half)[0] / (2 * half)
    assert ratios.mean_over_peak(pulses) == pytest.approx(mean, rel=1e-12)
    assert ratios.form_factor(pulses) == pytest.approx(math.sqrt(square) / mean, rel=1e-12)
    assert ratios.ripple_rms_share(pulses) == pytest.approx(math.sqrt(square - mean * mean) / mean, rel=1e-8)
    assert ratios.ripple_peak_to_peak_share(pulses) == pytest.approx((1 - math.cos(half)) / mean, rel=1e-12)


def test_endless_pulses_make_direct_current():
    assert ratios.mean_over_peak(1e4) == pytest.approx(1.0, abs=1e-6)
    assert ratios.ripple_peak_to_peak_share(1e4) == pytest.approx(0.0, abs=1e-6)


def test_a_block_and_a_sine_have_the_line_ratios_of_the_two_sources():
    block = math.sqrt(2 / 3)  # carries the dc current for two thirds of the time
    sine_mean = 3 / math.pi  # dc current of three equal sines, each rectified, over their peak
    assert pytest.approx(block, rel=1e-15) == ratios.STIFF_LINE_RATIO
    assert pytest.approx(math.sqrt(0.5) / sine_mean, rel=1e-12) == ratios.REACTANCE_LIMITED_LINE_RATIO
    assert pytest.approx(math.sqrt(0.5) / (2 / math.pi), rel=1e-12) == ratios.SINGLE_PHASE_SINE_LINE_RATIO


def test_much_reactance_gives_the_ratio_of_sine_waves():
    assert ratios.reactance_line_ratio(1e3) == pytest.approx(ratios.REACTANCE_LIMITED_LINE_RATIO, rel=1e-6)


def test_the_reactance_ratio_falls_with_the_emf_and_has_no_step():
    near = np.diff(ratios.reactance_line_ratio(np.linspace(1.0531, 1.5, 2000)))
    far = np.diff(ratios.reactance_line_ratio(np.linspace(1.5, 20.0, 2000)))
    assert (near < 0).all()
    assert (far < 0).all()
    assert np.abs(near[1200:]).max() < 4e-5  # across 1.34, where all three lines begin to conduct all the time


def bridge_on_reactance(emf_ratio, turns=6, steps=12000):
    """Line rms over dc current by stepping through time: three equal reactances, a battery of 1 V, diodes as clamps.

    Each line's current follows its own reactance; a line whose current would reverse stops until its terminal passes
    the battery or the ground again. Written apart from the formula, for comparison.
    """
    peak, dt = emf_ratio / math.sqrt(3.0), 2 * math.pi / steps
    current, side = np.zeros(3), np.zeros(3, dtype=int)
    squares = dc = 0.0
    for step in range(turns * steps):
        emf = peak * np.cos(step * dt - np.array([0.0, 2.0, 4.0]) * math.pi / 3.0)
        on = side != 0
        neutral = ((side[on] > 0).sum() - emf[on].sum()) / on.sum() if on.any() else 0.0
        if not on.any():
            high, low = emf.argmax(), emf.argmin()
            if emf[high] - emf[low] > 1.0:
                side[high], side[low] = 1, -1
            continue
        terminal = emf + neutral
        for line in np.flatnonzero(~on):
            side[line] = 1 if terminal[line] > 1.0 else -1 if terminal[line] < 0.0 else 0
        on = side != 0
        neutral = ((side[on] > 0).sum() - emf[on].sum()) / on.sum()
        current[on] += dt * (emf[on] + neutral - (side[on] > 0))
        stopped = on & (current * side < 0)
        current[stopped], side[stopped] = 0.0, 0
        if (side != 0).sum() < 2:
            current[:], side[:] = 0.0, 0
        if step >= (turns - 1) * steps:
            squares += (current**2).mean()
            dc += current[current > 0].sum()
    return math.sqrt(squares / steps) / (dc / steps)


@pytest.mark.slow
@pytest.mark.parametrize("emf_ratio, steps", [(1.06, 60000), (1.15, 12000), (1.3, 12000), (1.6, 12000), (3.0, 12000)])
def test_the_reactance_ratio_is_that_of_a_circuit_stepped_through_time(emf_ratio, steps):
    stepped = bridge_on_reactance(emf_ratio, steps=steps)
    assert ratios.reactance_line_ratio(emf_ratio) == pytest.approx(stepped, rel=0.003)


def test_two_diodes_share_a_line():
    assert 2 * r.diode_rms_a(100.0) ** 2 == pytest.approx(100.0**2)


def test_star_has_the_lines_current_and_delta_the_lines_voltage():
    assert r.winding_rms_a(100.0, 0.0) == 100.0
    assert r.closed_line_v(10.0, 1.0) == 10.0
    # the same power either way
    assert r.winding_rms_a(100.0, 1.0) * r.closed_line_v(10.0, 1.0) == pytest.approx(100.0 * 10.0 / math.sqrt(3))


def test_two_poles_turn_once_a_cycle():
    assert r.frequency_hz(2.0, 60.0) == 1.0
    assert r.ripple_hz(1.0, 6.0) == 6.0


def test_a_diode_without_slope_loses_its_threshold_times_the_average():
    assert r.diode_loss_w(0.8, 0.0, 100.0, 173.2) == 80.0
    assert r.diode_loss_w(0.0, 1e-3, 0.0, 100.0) == 10.0
    assert r.module_loss_w(80.0, 6.0) == 480.0


def test_the_greatest_sink_brings_the_junction_to_its_limit():
    sink = r.greatest_sink_k_per_w(398.15, 323.15, 231.5, 0.18, 0.05)
    case = r.case_k(323.15 + 231.5 * sink, 231.5, 0.05)
    assert r.junction_k(case, 231.5, 0.18) == pytest.approx(398.15)


def test_the_line_through_two_points_passes_through_both():
    slope = r.slope_ohm(0.43, 4.0, 0.55, 11.8)
    threshold = r.threshold_v(0.43, 4.0, slope)
    assert threshold + slope * 11.8 == pytest.approx(0.55)


def test_rms_of_a_rectangle_and_of_a_triangle():
    assert r.block_rms_a(20.0, 20.0, 0.25) == pytest.approx(10.0)
    assert r.block_rms_a(0.0, 30.0, 1.0) == pytest.approx(30.0 / math.sqrt(3.0))


@given(st.floats(5, 500), st.floats(0.3, 1.1), st.floats(1e-4, 2e-2), st.floats(1.001, 3))
def test_more_current_is_never_less_heat_and_a_larger_sink_never_a_hotter_junction(dc_a, threshold_v, slope, more):
    def junction(current, sink_k_per_w):
        rms = r.diode_rms_a(r.line_rms_a(current, ratios.STIFF_LINE_RATIO))
        loss = r.diode_loss_w(threshold_v, slope, r.diode_average_a(current, 3.0), rms)
        whole = r.module_loss_w(loss, 6.0)
        rise = heatsink.sink_rise_k(whole, sink_k_per_w, 0.0, 2.0, 0.0)
        return r.junction_k(r.case_k(323.15 + rise, whole, 0.05), loss, 1.0)

    assert junction(dc_a * more, 0.3) >= junction(dc_a, 0.3)
    assert junction(dc_a, 0.3 / more) <= junction(dc_a, 0.3)


# --- heat sink -------------------------------------------------------------------------------------------------------


def test_a_sink_at_its_printed_rise_has_its_printed_resistance():
    assert heatsink.rise_factor(75.0) == 1.0
    assert heatsink.free_rise_k(100.0, 0.75, 0.0) == pytest.approx(75.0)


@given(st.floats(1, 1000), st.floats(0.05, 5))
def test_the_rise_in_still_air_is_that_of_the_corrected_resistance(heat_w, resistance):
    rise = heatsink.free_rise_k(heat_w, resistance, 0.0)
    assert rise == pytest.approx(heat_w * resistance * heatsink.rise_factor(rise), rel=1e-9)


def test_no_heat_is_no_rise_and_still_air_no_forced_cooling():
    assert heatsink.sink_rise_k(0.0, 0.35, 0.0, 3.0, 0.0) == 0.0
    assert heatsink.sink_rise_k(100.0, 0.35, 0.0, 0.0, 0.0) == heatsink.free_rise_k(100.0, 0.35, 0.0)


def test_four_times_the_air_is_half_the_resistance():
    slow, fast = (heatsink.forced_k_per_w(0.35, 0.0, speed, 0.0) for speed in (2.0, 8.0))
    assert fast == pytest.approx(slow / 2)


def test_a_sink_printed_for_a_stream_has_its_printed_resistance_there():
    assert heatsink.forced_k_per_w(0.16, 3.0, 3.0, 0.0) == pytest.approx(0.16)
    assert heatsink.still_k_per_w(heatsink.forced_k_per_w(0.37, 0.0, 3.0, 0.0), 3.0) == pytest.approx(0.37)


def test_thin_air_cools_less():
    assert heatsink.altitude_factor(0.0) == 1.0
    assert heatsink.sink_rise_k(100.0, 0.35, 0.0, 3.0, 3000.0) > heatsink.sink_rise_k(100.0, 0.35, 0.0, 3.0, 0.0)


def test_a_cubic_metre_of_air_a_second_takes_about_a_kilowatt_for_each_kelvin():
    assert heatsink.warmed_air_k(293.15, 1213.0, 1.0, 0.0) - 293.15 == pytest.approx(1.0, abs=0.001)
    assert heatsink.channel_speed_m_per_s(1.0, 1.0, 1.0, 1.0) == 1.0


# --- suppressor ------------------------------------------------------------------------------------------------------

LINE = {"greatest_breakdown_v": 40.0, "clamping_v": 60.0, "peak_current_a": 20.0}
CURVE = {"widths_s": (1e-5, 1e-3, 1e-2), "powers_w": (15000.0, 1500.0, 474.0)}


def test_at_25_degc_a_breakdown_is_as_printed():
    assert suppressor.breakdown_at_v(36.7, 0.001, 298.15) == 36.7


def test_the_clamp_line_runs_from_breakdown_to_the_rated_point():
    assert suppressor.clamp_at_v(0.0, **LINE) == 40.0
    assert suppressor.clamp_at_v(20.0, **LINE) == 60.0
    assert suppressor.clamp_at_v(10.0, **LINE) == 50.0
    assert suppressor.dynamic_resistance_ohm(**LINE) == 1.0
    assert suppressor.current_at_clamp_a(50.0, **LINE) == 10.0
    assert suppressor.current_at_clamp_a(30.0, **LINE) == 0.0


def test_a_pulse_curve_passes_through_its_points_and_keeps_energy_beyond_the_last():
    for width, power in zip(*CURVE.values(), strict=True):
        assert suppressor.pulse_power_w(width, **CURVE) == pytest.approx(power, rel=1e-12)
    for width in (2e-2, 0.1, 1.0):
        energy = suppressor.pulse_energy_j(suppressor.pulse_power_w(width, **CURVE), width)
        assert energy == pytest.approx(suppressor.pulse_energy_j(474.0, 1e-2), rel=1e-12)
    assert suppressor.pulse_power_w(1e-7, **CURVE) == 15000.0


@given(st.floats(1e-6, 10), st.floats(1.001, 5))
def test_a_longer_pulse_is_never_allowed_more_power_nor_less_energy(width_s, longer):
    short, long = (suppressor.pulse_power_w(width, **CURVE) for width in (width_s, width_s * longer))
    assert long <= short * (1 + 1e-12)
    if width_s >= CURVE["widths_s"][0]:
        assert long * width_s * longer >= short * width_s * (1 - 1e-9)


def test_the_factor_of_an_exponential_pulse_is_the_safe_side_of_its_integral():
    exact = quad(lambda t: 2.0**-t, 0, 60)[0]
    assert exact == pytest.approx(1 / math.log(2), rel=1e-9)
    assert exact * 0.96 < suppressor.PULSE_FACTOR < exact


def test_width_and_energy_of_an_equivalent_pulse_belong_together():
    width = suppressor.equivalent_width_s(51.4, 610.0)
    assert suppressor.pulse_energy_j(610.0, width) == pytest.approx(51.4)


def test_a_pulse_exactly_at_the_rating_is_allowed_exactly():
    energy = suppressor.pulse_energy_j(1500.0, 1e-3)
    assert suppressor.allowed_energy_j(energy, 1500.0, **CURVE, temperature_share=1.0) == pytest.approx(energy)
    assert suppressor.allowed_energy_j(energy, 1500.0, **CURVE, temperature_share=0.5) == pytest.approx(energy / 2)


def test_the_share_left_falls_from_all_at_25_degc_to_none_at_the_limit():
    assert suppressor.temperature_share(298.15, 448.15) == 1.0
    assert suppressor.temperature_share(373.15, 448.15) == 0.5
    assert suppressor.temperature_share(448.15, 448.15) == 0.0
    assert suppressor.temperature_share(250.0, 448.15) == 1.0


def test_matched_suppressors_share_alike_and_one_alone_takes_all():
    assert suppressor.greatest_share_a(60.0, 3.0, 0.0, 0.1) == 20.0
    assert suppressor.greatest_share_a(60.0, 1.0, 5.0, 0.1) == 60.0
    assert suppressor.greatest_share_a(60.0, 4.0, 100.0, 0.1) == 60.0


@given(st.floats(1, 200), st.integers(2, 4), st.floats(0, 2), st.floats(0.02, 1))
def test_the_share_of_the_first_to_break_down_is_that_of_the_circuit(current_a, number, mismatch_v, slope):
    share = suppressor.greatest_share_a(current_a, float(number), mismatch_v, slope)
    others = (current_a - share) / (number - 1)
    if share < current_a:  # all conduct at one voltage
        assert share * slope == pytest.approx(mismatch_v + others * slope, rel=1e-9, abs=1e-9)
    else:  # the others have not begun
        assert share * slope <= mismatch_v * (1 + 1e-9)


def test_a_metre_of_lead_has_about_a_microhenry():
    assert suppressor.lead_inductance_h(1.0, 2e-3) == pytest.approx(1.32e-6, rel=0.005)
    assert suppressor.lead_inductance_h(1e-3, 2e-3) == 0.0
    assert suppressor.overshoot_v(1e-6, 1.0, 1e-6) == pytest.approx(1.0)


def test_steady_heat_is_leakage_and_pulses():
    assert suppressor.steady_dissipation_w(30.0, 1e-3, 0.0, 10.0) == pytest.approx(0.03)
    assert suppressor.steady_dissipation_w(30.0, 0.0, 0.5, 2.0) == 1.0
    assert suppressor.steady_power_at_w(5.0, 348.15, 448.15, 448.15) == 0.0


# --- load dump -------------------------------------------------------------------------------------------------------


@given(
    st.floats(60, 220),
    st.floats(12, 30),
    st.floats(1.05, 6),
    st.floats(0.2, 8),
    st.floats(0, 0.5),
    st.floats(0.02, 0.5),
)
def test_energy_current_and_time_are_the_integral_of_the_pulse(peak_v, supply_v, over, source, slope, time_s):
    clamp_v = supply_v * over

    def current(t):
        return max(0.0, (load_dump.pulse_at_v(t, supply_v, peak_v, time_s) - clamp_v) / (source + slope))

    end = load_dump.dump_time_s(peak_v, supply_v, clamp_v, time_s)
    energy = quad(lambda t: (clamp_v + slope * current(t)) * current(t), 0, end)[0] if end else 0.0
    assert load_dump.dump_current_a(peak_v, clamp_v, source, slope) == pytest.approx(current(0.0))
    assert load_dump.dump_energy_j(peak_v, supply_v, clamp_v, source, slope, time_s) == pytest.approx(
        energy, rel=1e-7, abs=1e-9
    )
    assert current(end * 1.000001 + 1e-9) == 0.0


def test_a_pulse_below_the_clamp_leaves_nothing_in_it():
    assert load_dump.dump_current_a(50.0, 60.0, 1.0, 0.1) == 0.0
    assert load_dump.dump_time_s(50.0, 14.0, 60.0, 0.4) == 0.0
    assert load_dump.dump_energy_j(50.0, 14.0, 60.0, 1.0, 0.1, 0.4) == 0.0


def test_a_clamp_below_the_supply_is_no_answer():
    assert math.isnan(load_dump.dump_energy_j(101.0, 28.0, 27.0, 1.0, 0.0, 0.4))


def test_after_its_duration_a_tenth_of_the_pulse_is_left():
    assert load_dump.pulse_at_v(0.4, 14.0, 101.0, 0.4) == pytest.approx(14.0 + 8.7)


def test_the_matched_resistor_takes_the_integral():
    def power(t):
        return ((load_dump.pulse_at_v(t, 14.0, 101.0, 0.4) - 14.0) / 2) ** 2 / 4.0

    assert load_dump.matched_energy_j(101.0, 14.0, 4.0, 0.4) == pytest.approx(quad(power, 0, 5)[0], rel=1e-7)


# --- coils -----------------------------------------------------------------------------------------------------------

COILS = (st.floats(0.01, 1), st.floats(0.5, 200), st.floats(0.05, 10), st.floats(0.5, 100))


@given(*COILS)
def test_a_released_coil_ends_at_nothing_and_its_energy_is_shared(inductance_h, resistance, current_a, path_v):
    time_s = freewheel.release_time_s(inductance_h, resistance, current_a, path_v, 0.0)
    assert freewheel.decay_a(time_s, inductance_h, resistance, current_a, path_v) == pytest.approx(
        0, abs=1e-9 * current_a
    )
    coil = quad(
        lambda t: resistance * freewheel.decay_a(t, inductance_h, resistance, current_a, path_v) ** 2, 0, time_s
    )
    path = freewheel.released_energy_j(inductance_h, resistance, current_a, path_v)
    assert path + coil[0] == pytest.approx(freewheel.stored_energy_j(inductance_h, current_a), rel=1e-6)


@given(*COILS, st.floats(1.01, 10))
def test_more_volts_let_a_coil_go_sooner_and_take_more_of_its_energy(inductance_h, resistance, current_a, path_v, more):
    slow, quick = (
        freewheel.release_time_s(inductance_h, resistance, current_a, volts, 0.0) for volts in (path_v, path_v * more)
    )
    assert quick < slow
    little, much = (
        freewheel.released_energy_j(inductance_h, resistance, current_a, volts) for volts in (path_v, path_v * more)
    )
    assert much > little * (1 - 1e-9)


def test_a_coil_without_current_is_gone_at_once():
    assert freewheel.release_time_s(0.2, 3.0, 0.0, 0.7, 0.1) == 0.0
    assert freewheel.switch_v(28.0, 0.0) == 28.0
    assert freewheel.mean_release_w(0.5, 2.0) == 1.0


# --- leads between warm ends -----------------------------------------------------------------------------------------

COPPER = {"conductivity_w_per_m_k": 391.0, "area_mm2": 16.0}
WIRE = (1.21e-3, 0.00393, 0.35)
AIR_K = 313.15


def lead(current_a, length_m):
    return length_m, fin.fin_per_m(current_a, *WIRE, **COPPER), fin.far_k(current_a, *WIRE, AIR_K)


def test_without_current_and_with_cool_ends_a_lead_is_as_warm_as_the_air():
    length, m, far = lead(0.0, 0.5)
    assert far == AIR_K
    assert fin.hottest_k(length, m, far, AIR_K, AIR_K) == AIR_K
    assert fin.terminal_heat_w(length, m, far, AIR_K, AIR_K, **COPPER) == 0.0


def test_a_very_long_lead_reaches_its_far_temperature():
    length, m, far = lead(150.0, 50.0)
    assert fin.hottest_k(length, m, far, 330.0, 330.0) == pytest.approx(far)
    assert fin.along_k(25.0, length, m, far, 330.0, 420.0) == pytest.approx(far)


def test_the_ends_have_their_own_temperatures():
    length, m, far = lead(150.0, 0.4)
    assert fin.along_k(0.0, length, m, far, 400.0, 350.0) == pytest.approx(400.0)
    assert fin.along_k(length, length, m, far, 400.0, 350.0) == pytest.approx(350.0)


def test_a_lead_that_sheds_nothing_rises_by_the_textbook_parabola():
    """Heat q a metre between two cool ends: the middle is q L^2/(8 k A) warmer."""
    heat, length, shed = 10.0, 0.2, 1e-6
    m = fin.fin_per_m(0.0, 1.0, 0.0, shed, **COPPER)
    far = 300.0 + heat / shed
    rise = heat * length**2 / (8 * 391.0 * 16e-6)
    assert fin.hottest_k(length, m, far, 300.0, 300.0) - 300.0 == pytest.approx(rise, rel=1e-3)
    assert fin.terminal_heat_w(length, m, far, 300.0, 300.0, **COPPER) == pytest.approx(heat * length / 2, rel=1e-3)


@given(st.floats(0, 250), st.floats(0.05, 5), st.floats(290, 450), st.floats(290, 450))
def test_the_hottest_place_is_the_hottest_of_all_places(current_a, length_m, from_k, to_k):
    length, m, far = lead(current_a, length_m)
    places = fin.along_k(np.linspace(0, length, 4001), length, m, far, from_k, to_k)
    hottest = fin.hottest_k(length, m, far, from_k, to_k)
    assert hottest >= places.max() - 1e-6
    assert hottest == pytest.approx(places.max(), abs=0.01)


@given(st.floats(0, 250), st.floats(0.05, 3), st.floats(290, 450), st.floats(290, 450))
def test_what_is_made_is_shed_or_goes_into_the_terminals(current_a, length_m, from_k, to_k):
    length, m, far = lead(current_a, length_m)
    places = np.linspace(0, length, 20001)
    metal = fin.along_k(places, length, m, far, from_k, to_k)
    made = current_a**2 * WIRE[0] * (1 + WIRE[1] * (metal - 293.15))
    net = np.trapezoid(made - WIRE[2] * (metal - AIR_K), places)
    ends = sum(
        fin.terminal_heat_w(length, m, far, own, other, **COPPER) for own, other in ((from_k, to_k), (to_k, from_k))
    )
    assert ends == pytest.approx(net, rel=1e-4, abs=1e-3)


def test_the_temperatures_along_a_lead_solve_its_equation():
    length, m, far = lead(160.0, 0.7)

    def slope(x, y):
        made = 160.0**2 * WIRE[0] * (1 + WIRE[1] * (y[0] - 293.15))
        return np.vstack([y[1], (WIRE[2] * (y[0] - AIR_K) - made) / (391.0 * 16e-6)])

    places = np.linspace(0, length, 41)
    solved = solve_bvp(
        slope, lambda a, b: np.array([a[0] - 400, b[0] - 340]), places, np.full((2, 41), 350.0), tol=1e-8
    )
    assert fin.along_k(places, length, m, far, 400.0, 340.0) == pytest.approx(solved.sol(places)[0], abs=1e-3)


def test_a_lead_that_runs_away_has_no_steady_state():
    assert math.isnan(fin.far_k(400.0, 1.21e-3, 0.00393, 0.35, AIR_K))
    assert math.isnan(fin.fin_per_m(400.0, *WIRE, **COPPER))


def test_a_hot_end_makes_nothing_hotter_than_itself_and_gives_heat_away():
    length, m, far = lead(20.0, 1.0)
    assert fin.hottest_k(length, m, far, 420.0, 320.0) == 420.0
    assert fin.terminal_heat_w(length, m, far, 420.0, 320.0, **COPPER) < 0


# --- duty ------------------------------------------------------------------------------------------------------------


def test_one_time_constant_leaves_a_share_of_1_over_e():
    assert duty.after_k(300.0, 400.0, 231.0, 231.0) == pytest.approx(400.0 - 100.0 / math.e)
    assert duty.after_k(300.0, 400.0, 0.0, 231.0) == 300.0


def test_a_load_that_never_rests_ends_at_its_steady_temperature():
    assert duty.cycle_peak_k(400.0, 300.0, 50.0, 0.0, 231.0) == 400.0
    assert duty.duty_rms_a(80.0, 0.0, 10.0, 0.0) == 80.0


def test_quick_cycles_end_at_the_mean_heat():
    peak = duty.cycle_peak_k(400.0, 300.0, 0.01, 0.03, 231.0)
    assert peak == pytest.approx(325.0, abs=0.01)
    assert duty.duty_rms_a(100.0, 0.0, 1.0, 3.0) == 50.0


def test_a_cycle_repeats_itself():
    peak = duty.cycle_peak_k(400.0, 300.0, 60.0, 90.0, 231.0)
    cooled = duty.after_k(peak, 300.0, 90.0, 231.0)
    assert duty.after_k(cooled, 400.0, 60.0, 231.0) == pytest.approx(peak)


@given(st.floats(280, 350), st.floats(360, 700), st.floats(1, 1e4))
def test_time_to_a_limit_and_temperature_after_it_undo_each_other(start_k, steady_k, tau_s):
    limit_k = start_k + 0.6 * (steady_k - start_k)
    time_s = duty.time_to_s(start_k, steady_k, limit_k, tau_s)
    assert duty.after_k(start_k, steady_k, time_s, tau_s) == pytest.approx(limit_k)


def test_a_limit_is_reached_at_once_or_never():
    assert duty.time_to_s(380.0, 400.0, 370.0, 231.0) == 0.0
    assert duty.time_to_s(380.0, 360.0, 370.0, 231.0) == 0.0
    assert duty.time_to_s(300.0, 360.0, 370.0, 231.0) == 1e9
    assert duty.time_to_s(300.0, 370.0, 370.0, 231.0) == 1e9


def test_the_lump_follows_its_differential_equation():
    capacity = duty.heat_capacity_j_per_m_k(8.37, 8890.0, 388.0, duty.wall_area_mm2(4e-3, 7e-3), 1200.0, 1300.0)
    tau = duty.time_constant_s(capacity, 60.0, 18.0)
    solved = solve_ivp(lambda t, y: (18.0 - 18.0 / 60.0 * (y - 300.0)) / capacity, (0, 500), [300.0], rtol=1e-10)
    assert duty.after_k(300.0, 360.0, 500.0, tau) == pytest.approx(solved.y[0, -1], abs=1e-3)


def test_a_long_overload_is_the_continuous_current():
    assert duty.overload_factor(0.3, 1e5, 231.0) == pytest.approx(1.0)
    assert duty.overload_factor(1.0, 10.0, 231.0) == pytest.approx(1.0)
    assert duty.overload_factor(0.0, 2.31, 231.0) == pytest.approx(10.02, abs=0.01)  # the root of a hundred, nearly


# --- joint -----------------------------------------------------------------------------------------------------------


def test_areas_add_up():
    assert joint.summed_area_mm2((1.0, 2.0, 3.0), (1.0, 10.0, 100.0)) == 321.0


@given(st.floats(0.1, 300), st.floats(0.1, 300))
def test_the_difference_of_areas_knows_no_order(first, second):
    assert joint.area_difference(first, second) == joint.area_difference(second, first)
    assert joint.area_difference(first, first) == 0.0


def test_two_wires_need_twice_the_hole_and_seven_three_times():
    assert joint.bundle_diameter_m(1.0, 2e-3) == 2e-3
    assert joint.bundle_diameter_m(2.0, 2e-3) == 4e-3
    assert joint.bundle_diameter_m(7.0, 2e-3) == pytest.approx(6e-3)
    assert joint.bundle_diameter_m(3.0, 1.0) == pytest.approx(1 + 2 / math.sqrt(3), abs=1e-4)
    assert math.isnan(joint.bundle_diameter_m(13.0, 2e-3))


def test_a_solder_never_raises_the_limit_of_its_part():
    assert joint.joint_limit_k(1.0, 600.0, 50.0, 448.15) == 448.15
    assert joint.joint_limit_k(1.0, 456.15, 50.0, 448.15) == pytest.approx(406.15)
    assert joint.melt_margin_k(456.15, 456.15) == 0.0


def test_twice_the_current_heats_a_joint_four_times_as_much():
    assert joint.joint_heat_w(200.0, 1e-4) == pytest.approx(4 * joint.joint_heat_w(100.0, 1e-4))
