"""Every public formula on rectifiers, sinks, suppressors, coils, leads, bars and joints, with an example and its unit."""

import inspect
from contextlib import contextmanager

from selector.physics import (
    air,
    bench,
    busbar,
    duty,
    fin,
    freewheel,
    heatsink,
    joint,
    load_dump,
    rectifier,
    rectifier_ratios,
    suppressor,
)
from tests.physics.formulas import ENDINGS, Q, each

MODULES = (bench, busbar, duty, fin, freewheel, heatsink, joint, load_dump, rectifier, rectifier_ratios, suppressor)
UNITS_BY_END = {
    "_j_per_m_k": "J/(m K)",
    "_w_per_m_k": "W/(m K)",
    "_k_per_w": "K/W",
    "_v_per_k": "V/K",
    "_m3_per_s": "m**3/s",
    "rpm_per_hz": "rpm/Hz",
    "_rpm": "rpm",
    "_per_m": "1/m",
    "_ohm": "ohm",
    "_j": "J",
    "_h": "H",
    **ENDINGS,
}
SORTED = dict(sorted(UNITS_BY_END.items(), key=lambda item: -len(item[0])))


def unit_of(name):
    return next((unit for ending, unit in SORTED.items() if name.endswith(ending)), "")


WAVE = {"widths_s": (1e-5, 1e-3, 1e-2), "powers_w": (15000.0, 1500.0, 474.0)}
DUMP = {"peak_v": 101.0, "clamp_v": 29.5, "source_resistance_ohm": 4.0, "clamp_resistance_ohm": 0.055}
LEAD = {"length_m": 0.6, "fin_per_m": 7.5, "far_k": 370.0, "from_end_k": 343.15, "to_end_k": 338.15}
COIL = {"inductance_h": 0.2, "resistance_ohm": 3.0, "current_a": 4.0, "path_v": 40.0}
WIRE = {
    "current_a": 100.0,
    "resistance_at_20_degc_ohm_per_m": 1.21e-3,
    "temperature_coefficient_per_k": 0.00393,
    "shed_w_per_m_k": 0.35,
}

# formula: (unit of its result, example)
EXAMPLES = {
    busbar.ampacity_at_a: (
        "A",
        {
            "ampacity_a": 500.0,
            "printed_ambient_k": 308.15,
            "printed_bar_k": 338.15,
            "ambient_k": 323.15,
            "limit_k": 338.15,
        },
    ),
    bench.least_breakdown_v: (
        "V",
        {
            "reading_v": 52.5,
            "meter_share": 0.01,
            "current_a": 1.0,
            "test_current_a": 0.001,
            "slope_ohm": 0.77,
            "rise_share": 0.02,
            "temperature_coefficient_per_k": 0.001,
            "junction_k": 303.15,
        },
    ),
    bench.greatest_breakdown_v: (
        "V",
        {"reading_v": 52.0, "meter_share": 0.01, "temperature_coefficient_per_k": 0.001, "junction_k": 293.15},
    ),
    bench.leakage_at_a: ("A", {"leakage_a": 5e-6, "junction_k": 318.15}),
    bench.forward_drop_v: (
        "V",
        {
            "current_a": 0.01,
            "rated_a": 3.0,
            "junction_drop_v": 0.8,
            "resistive_drop_v": 0.2,
            "ideality": 1.5,
            "junction_k": 303.15,
        },
    ),
    bench.steady_rise_k: (
        "K",
        {"power_w": 5.2, "steady_power_w": 5.0, "rated_at_k": 348.15, "greatest_junction_k": 448.15},
    ),
    bench.apparent_warming_k: ("K", {"lower_v": 52.0, "upper_v": 52.5, "temperature_coefficient_per_k": 0.001}),
    bench.reading_slope_ohm: ("ohm", {"lower_v": 52.0, "lower_a": 0.1, "upper_v": 52.5, "upper_a": 1.0}),
    duty.wall_area_mm2: ("mm**2", {"diameter_m": 4e-3, "outer_diameter_m": 7e-3}),
    duty.heat_capacity_j_per_m_k: (
        "J/(m K)",
        {
            "area_mm2": 8.37,
            "metal_density_kg_per_m3": 8890.0,
            "metal_heat_capacity_j_per_kg_k": 388.0,
            "wall_area_mm2": 25.9,
            "wall_density_kg_per_m3": 1200.0,
            "wall_heat_capacity_j_per_kg_k": 1300.0,
        },
    ),
    duty.time_constant_s: ("s", {"heat_capacity_j_per_m_k": 69.3, "steady_rise_k": 60.0, "heat_w_per_m": 18.0}),
    duty.after_k: ("K", {"start_k": 300.0, "steady_k": 400.0, "time_s": 100.0, "time_constant_s": 231.0}),
    duty.cycle_peak_k: (
        "K",
        {
            "on_steady_k": 400.0,
            "off_steady_k": 300.0,
            "on_time_s": 60.0,
            "off_time_s": 90.0,
            "time_constant_s": 231.0,
        },
    ),
    duty.time_to_s: ("s", {"start_k": 300.0, "steady_k": 420.0, "limit_k": 378.15, "time_constant_s": 231.0}),
    duty.duty_rms_a: (
        "A",
        {"on_current_a": 100.0, "off_current_a": 20.0, "on_time_s": 15.0, "off_time_s": 45.0},
    ),
    duty.overload_factor: ("", {"before_share": 0.7, "time_s": 60.0, "time_constant_s": 231.0}),
    fin.far_k: ("K", {**WIRE, "ambient_k": 313.15}),
    fin.shed_w_per_m_k: ("W/(m K)", {"heat_w_per_m": 21.0, "conductor_k": 373.15, "ambient_k": 313.15}),
    fin.fin_per_m: ("1/m", {**WIRE, "conductivity_w_per_m_k": 391.0, "area_mm2": 16.0}),
    fin.along_k: ("K", {"position_m": 0.2, **LEAD}),
    fin.hottest_k: ("K", LEAD),
    fin.terminal_heat_w: (
        "W",
        {
            "length_m": 0.6,
            "fin_per_m": 7.5,
            "far_k": 370.0,
            "own_end_k": 343.15,
            "other_end_k": 338.15,
            "conductivity_w_per_m_k": 391.0,
            "area_mm2": 16.0,
        },
    ),
    freewheel.stored_energy_j: ("J", {"inductance_h": 0.2, "current_a": 4.0}),
    freewheel.release_time_s: ("s", {**COIL, "left_a": 0.5}),
    freewheel.released_energy_j: ("J", COIL),
    freewheel.mean_release_w: ("W", {"released_energy_j": 0.0025, "releases_hz": 10.0}),
    freewheel.switch_v: ("V", {"supply_v": 28.8, "path_v": 40.0}),
    freewheel.decay_a: ("A", {"time_s": 0.005, **COIL}),
    heatsink.rise_factor: ("", {"sink_rise_k": 50.0}),
    heatsink.forced_factor: ("", {"air_speed_m_per_s": 3.0}),
    heatsink.altitude_factor: ("", {"altitude_m": 1500.0}),
    heatsink.forced_k_per_w: (
        "K/W",
        {
            "sink_to_air_k_per_w": 0.35,
            "printed_at_m_per_s": 0.0,
            "air_speed_m_per_s": 3.0,
            "altitude_m": 500.0,
        },
    ),
    heatsink.free_rise_k: ("K", {"heat_w": 50.0, "sink_to_air_k_per_w": 1.5, "altitude_m": 500.0}),
    heatsink.sink_rise_k: (
        "K",
        {
            "heat_w": 230.0,
            "sink_to_air_k_per_w": 0.35,
            "printed_at_m_per_s": 0.0,
            "air_speed_m_per_s": 3.0,
            "altitude_m": 500.0,
        },
    ),
    heatsink.still_k_per_w: ("K/W", {"sink_to_air_k_per_w": 0.16, "printed_at_m_per_s": 2.0}),
    heatsink.channel_speed_m_per_s: (
        "m/s",
        {"flow_m3_per_s": 0.02, "channels": 10.0, "channel_height_m": 0.03, "channel_width_m": 0.008},
    ),
    heatsink.warmed_air_k: (
        "K",
        {"air_k": 323.15, "upstream_w": 230.0, "flow_m3_per_s": 0.02, "altitude_m": 500.0},
    ),
    joint.summed_area_mm2: ("mm**2", {"counts": (2.0, 1.0), "areas_mm2": (3.31, 8.37)}),
    joint.area_difference: ("", {"first_area_mm2": 4.95, "second_area_mm2": 5.26}),
    joint.bundle_diameter_m: ("m", {"count": 3.0, "diameter_m": 1.5e-3}),
    joint.strand_bundle_m: ("m", {"counts": (1.0, 2.0), "diameters_m": (1.17e-3, 1.47e-3)}),
    joint.filled_diameter_m: ("m", {"solids_m": 3e-3, "strands_m": 4e-3}),
    joint.joint_limit_k: (
        "K",
        {"softens": 1.0, "softening_k": 456.15, "margin_k": 50.0, "part_limit_k": 448.15},
    ),
    joint.melt_margin_k: ("K", {"softening_k": 456.15, "joint_k": 433.15}),
    joint.joint_heat_w: ("W", {"current_a": 180.0, "contact_resistance_ohm": 50e-6}),
    load_dump.time_constant_s: ("s", {"pulse_time_s": 0.4}),
    load_dump.pulse_at_v: ("V", {"time_s": 0.1, "supply_v": 14.0, "peak_v": 101.0, "pulse_time_s": 0.4}),
    load_dump.source_resistance_ohm: ("ohm", {"rated_v": 28.0, "rated_current_a": 150.0, "speed_rpm": 4500.0}),
    load_dump.dump_current_a: ("A", DUMP),
    load_dump.dump_power_w: ("W", DUMP),
    load_dump.dump_time_s: ("s", {"peak_v": 101.0, "supply_v": 14.0, "clamp_v": 29.5, "pulse_time_s": 0.4}),
    load_dump.dump_energy_j: ("J", {**DUMP, "supply_v": 14.0, "pulse_time_s": 0.4}),
    load_dump.matched_energy_j: (
        "J",
        {"peak_v": 101.0, "supply_v": 14.0, "source_resistance_ohm": 4.0, "pulse_time_s": 0.4},
    ),
    rectifier.line_rms_a: ("A", {"dc_current_a": 220.0, "line_ratio": 0.8165}),
    rectifier.least_line_rms_a: ("A", {"dc_current_a": 220.0}),
    rectifier.winding_rms_a: ("A", {"line_rms_a": 180.0, "delta": 1.0}),
    rectifier.diode_average_a: ("A", {"dc_current_a": 220.0, "lines": 3.0}),
    rectifier.diode_rms_a: ("A", {"line_rms_a": 180.0}),
    rectifier.diode_peak_a: ("A", {"dc_current_a": 220.0, "peak_ratio": 1.0472}),
    rectifier.frequency_hz: ("Hz", {"poles": 12.0, "speed_rpm": 6000.0}),
    rectifier.ripple_hz: ("Hz", {"frequency_hz": 600.0, "pulses": 6.0}),
    rectifier.ripple_rms_a: ("A", {"dc_current_a": 220.0, "pulses": 6.0}),
    rectifier.closed_line_v: ("V", {"winding_v": 10.0, "delta": 0.0}),
    rectifier.peak_line_v: ("V", {"dc_voltage_v": 29.4, "peak_ratio": 1.0472}),
    rectifier.overlap_drop_v: ("V", {"frequency_hz": 50.0, "inductance_h": 2e-3, "dc_current_a": 50.9}),
    rectifier.cut_in_speed_rpm: (
        "rpm",
        {"known_speed_rpm": 1200.0, "known_v": 13.5, "dc_voltage_v": 27.0, "drop_v": 2.0},
    ),
    rectifier.diode_loss_w: (
        "W",
        {"threshold_v": 0.78, "slope_ohm": 4.59e-3, "diode_average_a": 43.3, "diode_rms_a": 75.1},
    ),
    rectifier.module_loss_w: ("W", {"diode_loss_w": 59.7, "diodes": 6.0}),
    rectifier.series_loss_share: ("", {"dc_voltage_v": 28.0, "diode_drop_v": 1.0}),
    rectifier.share_of_losses: ("", {"module_loss_w": 212.0, "dc_power_w": 1400.0, "efficiency": 0.55}),
    rectifier.case_k: ("K", {"sink_k": 340.0, "module_loss_w": 230.0, "case_to_sink_k_per_w": 0.05}),
    rectifier.junction_k: ("K", {"case_k": 358.15, "diode_loss_w": 59.7, "junction_to_case_k_per_w": 1.08}),
    rectifier.greatest_sink_k_per_w: (
        "K/W",
        {
            "junction_limit_k": 398.15,
            "air_k": 323.15,
            "module_loss_w": 231.5,
            "junction_to_case_k_per_w": 0.18,
            "case_to_sink_k_per_w": 0.05,
        },
    ),
    rectifier.slope_ohm: ("ohm", {"lower_v": 0.43, "lower_a": 4.0, "upper_v": 0.55, "upper_a": 11.8}),
    rectifier.threshold_v: ("V", {"point_v": 0.43, "point_a": 4.0, "slope_ohm": 0.0154}),
    rectifier.block_rms_a: ("A", {"first_a": 4.0, "last_a": 11.8, "duty": 0.6}),
    rectifier_ratios.mean_over_peak: ("", {"pulses": 6.0}),
    rectifier_ratios.form_factor: ("", {"pulses": 3.0}),
    rectifier_ratios.ripple_rms_share: ("", {"pulses": 3.0}),
    rectifier_ratios.ripple_peak_to_peak_share: ("", {"pulses": 6.0}),
    rectifier_ratios.reactance_line_ratio: ("", {"emf_ratio": 1.2}),
    suppressor.breakdown_at_v: (
        "V",
        {"breakdown_v": 36.7, "temperature_coefficient_per_k": 0.001, "junction_k": 233.15},
    ),
    suppressor.dynamic_resistance_ohm: (
        "ohm",
        {"greatest_breakdown_v": 40.6, "clamping_v": 53.3, "peak_current_a": 28.1},
    ),
    suppressor.clamp_at_v: (
        "V",
        {"current_a": 10.0, "greatest_breakdown_v": 40.6, "clamping_v": 53.3, "peak_current_a": 28.1},
    ),
    suppressor.current_at_clamp_a: (
        "A",
        {"clamp_v": 45.0, "greatest_breakdown_v": 40.6, "clamping_v": 53.3, "peak_current_a": 28.1},
    ),
    suppressor.pulse_power_w: ("W", {"width_s": 5e-4, **WAVE}),
    suppressor.pulse_energy_j: ("J", {"peak_power_w": 1500.0, "width_s": 1e-3, "rise_s": 1e-5}),
    suppressor.equivalent_width_s: ("s", {"energy_j": 51.4, "peak_power_w": 610.0}),
    suppressor.allowed_energy_j: (
        "J",
        {"energy_j": 1.2, "peak_power_w": 1000.0, **WAVE, "temperature_share": 0.6},
    ),
    suppressor.temperature_share: ("", {"junction_k": 358.15, "greatest_junction_k": 448.15}),
    suppressor.steady_power_at_w: (
        "W",
        {"steady_power_w": 5.0, "rated_at_k": 348.15, "mount_k": 398.15, "greatest_junction_k": 448.15},
    ),
    suppressor.steady_dissipation_w: (
        "W",
        {"voltage_v": 29.4, "leakage_a": 150e-6, "pulse_energy_j": 0.0025, "pulses_hz": 10.0},
    ),
    suppressor.greatest_share_a: (
        "A",
        {"current_a": 60.0, "number": 4.0, "mismatch_v": 1.0, "dynamic_resistance_ohm": 0.1},
    ),
    suppressor.lead_inductance_h: ("H", {"length_m": 0.1, "diameter_m": 2e-3}),
    suppressor.overshoot_v: ("V", {"inductance_h": 86e-9, "current_a": 50.0, "rise_s": 1e-6}),
}


def public_formulas(modules=MODULES):
    """Every function of the modules that does not begin with an underscore."""
    return {
        value
        for module in modules
        for name, value in vars(module).items()
        if inspect.isfunction(value) and value.__module__ == module.__name__ and not name.startswith("_")
    }


def with_unit(name, value):
    """The value as a quantity in SI base units, where the name ends in a unit."""
    unit = unit_of(name)
    return each(value, lambda item: Q(item, unit).to_base_units()) if unit else value


@contextmanager
def constants_with_units():
    """While open, the constants of every formula are quantities, wherever one formula calls another."""
    before = {formula: formula.__kwdefaults__ for formula in public_formulas((*MODULES, air))}
    try:
        for formula, constants in before.items():
            if constants:
                formula.__kwdefaults__ = {name: with_unit(name, value) for name, value in constants.items()}
        yield
    finally:
        for formula, constants in before.items():
            formula.__kwdefaults__ = constants


def on_quantities(formula, example):
    """The formula on quantities."""
    with constants_with_units():
        return formula(**{name: with_unit(name, value) for name, value in example.items()})
