"""Every fact: it leads to no ring, says what it is, passes an unknown on, and reads the same as number, array and cell."""

import math
from importlib import import_module

import numpy as np
import pytest

from selector.errors import DefinitionError
from selector.facts import END_COLUMNS, STAND_INS, registry
from selector.facts.evaluator import Evaluation, Registry
from tests.physics.cell_sheet import Sheet


def _own(modules):
    """Names of the facts of the modules that stand in for one kind of connection."""
    found = [import_module(f"selector.facts.{module}") for module in modules]
    return [
        name
        for module in found
        for name, f in vars(module).items()
        if getattr(f, "__module__", "") == module.__name__ and name[0] != "_"
    ]


FACTS = registry()
OF_KIND = {f"{kind}: {name}": registry(kind) for kind, modules in STAND_INS.items() for name in _own(modules)}
ALL = [*FACTS.functions, *OF_KIND]
NAN = math.nan

# One plausible place with a 16 mm2 wire behind a 100 A device; curves have eight points as candidates carry them.
PLACE = {
    "current_a": 60.0, "peak_current_a": 150.0, "peak_time_s": 10.0, "has_peak": 1.0, "grouped_with": 3.0,
    "laying_factor": 0.88, "enclosed": 0.0, "air_speed_m_per_s": 1.5, "altitude_m": 200.0, "ambient_k": 313.15,
    "engine_space": 1.0, "fuel_vapour": 1.0, "nominal_v": 24.0, "length_m": 3.0, "legs": 2.0, "chassis_resistance_ohm": 0.0,
    "devices": 1.0, "own_device": 1.0, "protected": 1.0, "cranking": 0.0, "limited_machine": 1.0, "short_circuit_a": 2500.0, "least_short_circuit_a": 1500.0,
    "way_drop_v": 0.2, "way_resistance_ohm": 3e-3, "has_load_limit": 1.0,
    "unknown_fuse_resistance_ohm": 0.0, "fuse_self_heating_k": 40.0, "load_factor": 1.25, "touches_others": 1.0,
    "neighbour_rating_k": 343.15, "sheathed": 0.0, "smallest_single_mm2": 1.0, "smallest_sheathed_mm2": 0.75,
    "smallest_short_mm2": 0.75, "smallest_short_m": 0.5, "from_battery": 1.0, "has_rule_table": 1.0,
    "rule_distance_m": 0.18, "rule_distance_sheathed_m": 1.0, "rule_distance_battery_m": 1.8,
    "rule_device_multiple": 1.5, "rule_generator_multiple": 1.2, "rule_grouping_from_v": 20.0, "rule_count_scale": 1.0,
    "bunched_counts": (1.0, 2.0, 3.0, 20.0), "bunched_factors": (1.0, 0.8, 0.7, 0.38),
    "rule_counts": (2.0, 3.0, 6.0, 24.0), "rule_factors": (1.0, 0.7, 0.6, 0.5),
    "stud_diameter_m": 0.008, "terminal_limit_k": 363.15, "hottest_k": 333.15, "palm_space_m": 0.03,
    "conductor_resistance_at_20_degc_ohm_per_m": 1.21e-3, "conductor_metal_temperature_coefficient_per_k": 0.00393,
    "conductor_diameter_m": 0.0063, "conductor_outer_diameter_m": 0.0095, "conductor_conductivity_w_per_m_k": 0.2,
    "conductor_emissivity": 0.9, "conductor_temperature_rating_k": 378.15, "conductor_area_mm2": 16.0,
    "conductor_metal_adiabatic_constant": 226.0, "conductor_metal_inferred_zero_k": 38.65,
    "conductor_short_circuit_temperature_k": 433.15, "conductor_rule_table_ampacity_a": 130.0,
    "conductor_rule_counts_bundle": 0.0, "conductor_rule_engine_factor": 0.86,
    "conductor_rule_ambients_k": (308.15, 318.15, 1e9), "conductor_rule_factors": (1.0, 0.9, 0.8),
    "conductor_is_copper": 1.0, "conductor_is_aluminium": 0.0, "conductor_is_solid": 0.0, "conductor_is_stranded": 0.0,
    "conductor_is_class_2": 0.0, "conductor_is_class_5": 1.0,
    "exempt_from_device": 0.0, "large_device_multiple": 3.0, "small_device_a": 10.0, "protection_rating_a": 100.0, "protection_cold_resistance_ohm": 5e-4, "protection_conventional_multiple": 1.35,
    "protection_ambient_factors": (1.12, 1.05, 1.0, 0.95, 0.9, 0.86, 0.8),
    "protection_longest_multiples": (1.35, 2.0, 3.5, 6.0, 6e4, 6e5, 6e6, 6e7),
    "protection_longest_times_s": (1800.0, 60.0, 7.0, 1.0, 1e-8, 1e-10, 1e-12, 1e-14),
    "protection_shortest_multiples": (1.1, 1.35, 2.0, 6.0, 6e4, 6e5, 6e6, 6e7),
    "protection_shortest_times_s": (36e4, 60.0, 2.0, 0.04, 4e-10, 4e-12, 4e-14, 4e-16),
    "lug_hole_m": 0.0084, "lug_takes_copper": 1.0, "lug_takes_aluminium": 0.0, "lug_takes_solid": 0.0,
    "lug_takes_stranded": 1.0, "lug_takes_class_2": 1.0, "lug_takes_class_5": 1.0,
    "shunt_continuous_current_a": 50.0, "shunt_current_a": 75.0, "shunt_drop_v": 0.05, "shunt_self_heating_k": 50.0,
    "busbar_ampacity_a": 203.0, "busbar_ambient_k": 308.15, "busbar_bar_temperature_k": 338.15, "bar_limit_k": 363.15,
    "stud_set_thread_diameter_m": 0.008, "from_stud_diameter_m": 0.008,
    "machine_rated_current_a": 100.0, "machine_line_ratio": 0.8165, "machine_lines": 3.0, "machine_is_sine": 0.0,
    "machine_delta": 0.0, "condition_factor": 1.0, "machine_poles": 12.0, "machine_low_speed_rpm": 1500.0, "machine_high_speed_rpm": 9000.0,
    "highest_v": 29.4,
    "has_dump": 1.0, "has_upper": 1.0, "upper_clamp_v": 48.0, "has_central": 1.0, "central_clamp_v": 60.0, "dump_peak_v": 151.0, "dump_resistance_ohm": 1.0, "dump_time_s": 0.1,
    "dump_rise_s": 5e-3, "short_above_v": 112.0, "short_resistance_ohm": 2.0, "short_time_s": 5e-5, "short_rise_s": 5e-7,
    "burst_above_v": 300.0, "burst_resistance_ohm": 50.0, "negative_v": 600.0, "negative_resistance_ohm": 50.0,
    "negative_time_s": 1e-3, "weakest_withstand_v": 60.0, "lead_length_m": 0.1, "lead_diameter_m": 1e-3,
    "suppressor_mismatch": 0.0025, "suppressor_heated_k": 398.15, "coldest_k": 263.15, "suppressor_number": 2.0, "suppressor_stand_off_v": 33.0,
    "suppressor_least_breakdown_v": 36.7, "suppressor_greatest_breakdown_v": 40.6, "suppressor_clamping_v": 53.3,
    "suppressor_peak_current_a": 124.0, "suppressor_temperature_coefficient_per_k": 1e-3, "suppressor_is_bipolar": 0.0,
    "suppressor_curve_widths_s": (1e-3, 1e-2), "suppressor_curve_powers_w": (6600.0, 5200.0), "suppressor_last_width_s": 1e-2,
    "suppressor_greatest_junction_k": 448.15, "suppressor_leakage_a": 1e-5, "suppressor_steady_power_w": 8.0,
    "suppressor_steady_to_k": 348.15, "suppressor_junction_to_case_k_per_w": 0.9,
    "coil_inductance_h": 0.2, "coil_resistance_ohm": 3.0, "release_zener_v": 24.0, "release_clamp_v": 40.0,
    "has_release_period": 1.0, "release_period_s": 2.0, "has_suppressor": 1.0, "clamp_at_node_v": 48.0,
    "diode_average_current_a": 25.0, "diode_rating_temperature_k": 328.15, "diode_greatest_junction_k": 448.15,
    "diode_rated_in_air": 1.0, "diode_threshold_v": 0.65, "diode_surge_current_a": 400.0, "diode_reverse_voltage_v": 200.0,
    "joined_wires_k": 353.15, "joined_air_k": 323.15, "joint_parallel": 0.0, "joint_first_area_mm2": 4.95, "joint_second_area_mm2": 5.26,
    "joint_least_side_mm2": 4.95, "joint_greatest_side_mm2": 5.26, "joint_total_mm2": 10.21, "joint_thinnest_side_m": 2.6e-3, "joint_sides_m": 5.7e-3,
    "joint_widest_side_m": 3e-3, "joint_first_bundle_m": 2.9e-3, "joint_first_grip_m": 2.6e-3, "has_joint_lead": 1.0, "joint_lead_mm2": 8.37,
    "joint_lead_m": 3.7e-3, "joint_lead_outer_m": 5.6e-3,
    "joint_pull_force_n": 178.0, "joint_has_solid": 1.0, "joint_has_stranded": 1.0, "joint_has_class_2": 0.0, "joint_has_class_5": 0.0,
    "joint_has_copper": 1.0, "joint_has_aluminium": 0.0, "has_sleeve": 0.0, "is_sense": 1.0, "sense_lead": 1.0,
    "splice_sums_all": 0.0, "splice_takes_through": 1.0, "splice_takes_parallel": 0.0, "splice_takes_copper": 1.0,
    "splice_takes_aluminium": 0.0, "splice_takes_solid": 1.0, "splice_takes_stranded": 1.0, "splice_takes_class_2": 0.0,
    "splice_takes_class_5": 1.0, "splice_softens": 1.0, "splice_softening_k": 456.15, "splice_margin_k": 50.0,
    "splice_temperature_limit_k": 448.15, "splice_is_insulated": 0.0, "splice_has_barrel": 1.0, "splice_barrel_diameter_m": 5.6e-3,
    "splice_pull_tested": 1.0,
    "machine_peak_over_dc": 1.0, "machine_short_peak_over_dc": 1.0472, "machine_short_circuit_a": 300.0, "machine_short_over_dc": 4.0,
    "machine_efficiency_low": 0.5, "machine_efficiency_high": 0.65, "load_dump_peak_v": 151.0,
    "rectifier_average_current_a": 130.0, "rectifier_rating_temperature_k": 358.15, "rectifier_rated_at_case": 1.0,
    "rectifier_diodes": 6.0, "rectifier_lines": 3.0, "rectifier_plates": 1.0, "rectifier_avalanche": 0.0, "rectifier_live_base": 0.0,
    "rectifier_least_breakdown_v": 34.0, "rectifier_threshold_v": 0.78, "rectifier_slope_ohm": 4.59e-3,
    "rectifier_junction_to_case_k_per_w": 1.08, "rectifier_case_to_sink_k_per_w": 0.05, "rectifier_greatest_junction_k": 423.15,
    "heatsink_sink_to_air_k_per_w": 0.37, "heatsink_air_speed_m_per_s": 0.0, "heatsink_is_insulated": 1.0,
    "heatsink_bodies": 1.0,
}  # fmt: skip

# Where a fact rightly has a value although one of its inputs is unknown.
MAY_BE_UNKNOWN = {
    "far_fault_above_ampacity": ("cold_far_fault_a", "conductor_balance_ampacity_a"),
    "heating_current_a": {"peak_current_a", "peak_time_s"},  # without a peak
    "grouping_factor": set(),
    "still_or_moving_air_m_per_s": set(),
    "device_on_limited_machine": {"rule_generator_multiple"},  # the rule set prints none
    "device_protects_by_table": {"rule_device_multiple"},  # likewise
    # the listed default stands in for a resistance, and is not asked where one is known
    "device_resistance_ohm": {"protection_cold_resistance_ohm", "unknown_fuse_resistance_ohm"},
    "rule_grouping_factor": {"rule_counts", "rule_factors"},
    "conductor_smallest_mm2": {"smallest_short_mm2", "smallest_sheathed_mm2"},  # where they do not apply
    "conductor_neighbour_limit_k": set(),
    "device_distance_limit_m": {"rule_distance_sheathed_m", "rule_distance_battery_m"},
    "fault_above_ampacity": set(),
    "low_fault_a": {"short_circuit_a"},  # not asked where the low end must be cleared
    "shunt_carries_a": {"shunt_continuous_current_a", "shunt_current_a"},  # the other decides
    # what is stated is then all there is; without a peak
    "phase lead: heating_current_a": {"line_rms_a", "peak_current_a", "peak_time_s"},
    # one of them says yes
    "protected_or_exempt": {"protected", "exempt_from_device", "short_circuit_a", "conductor_balance_ampacity_a"},
    "joint_least_in_barrel_mm2": {"joint_all_mm2"},  # the splice counts one side
    "joint_greatest_in_barrel_mm2": {"joint_all_mm2"},
    # the lead as picked stands for what is written
    "joint_lead_counts": {"joint_lead_mm2"},  # not picked yet: what is written stands
    "joint_second_mm2": {"joint_second_area_mm2"},
    "joint_all_mm2": {"joint_total_mm2"},
    "joint_emptier_mm2": {"joint_least_side_mm2"},
    "joint_fuller_mm2": {"joint_greatest_side_mm2"},
    "joint_bundle_m": {"joint_widest_side_m"},
    "joint_lap_m": {"joint_sides_m"},
    "joint_grip_m": {"joint_thinnest_side_m", "joint_lead_outer_m", "joint_lead_m"},  # either of the two serves
    "splice_takes_style": {"splice_takes_parallel"},  # the wires meet end to end
    "joint_outside_m": {"joint_lap_m"},  # there is a barrel
    "suppressor: surge_peak_v": {"short_pulse_peak_v"},  # the load dump counts here
    "suppressor: surge_resistance_ohm": {"short_resistance_ohm"},
    "suppressor: surge_time_s": {"short_time_s"},
    "suppressor: surge_rise_s": {"short_rise_s"},
    "rectifier: first_moment_a": {
        "current_a",
        "machine_short_circuit_a",
        "machine_short_over_dc",
    },  # stated, or by its dc
    "rectifier: rectifier_reference_k": {"ambient_k"},  # rated by its case
    "rectifier: rectifier_carries_a": {"rectifier_greatest_junction_k"},  # asked only above the printed temperature
    "rectifier: transient_v": {"load_dump_peak_v"},  # the suppressor's clamp counts here
    "freewheel: diode_sees_v": {"has_dump", "dump_peak_v", "clamp_at_node_v"},  # the clamp counts, else the dump
    "freewheel: diode_forward_v": {"diode_threshold_v"},  # a silicon junction's drop stands in
}


def facts_of(name):
    """The registry and the plain name of a fact; ``phase lead: skin factor`` is read as a phase lead reads it."""
    return OF_KIND.get(name, FACTS), name.rpartition(": ")[2]


def value_of(name, columns):
    facts, plain = facts_of(name)
    return Evaluation(facts, dict(columns)).value(plain)


def direct(name, columns=PLACE):
    """The inputs of a fact: facts below it worked out, columns as they are."""
    facts, plain = facts_of(name)
    evaluation = Evaluation(facts, dict(columns))
    return {parameter: evaluation.value(parameter) for parameter in facts.parameters[plain]}


def function_of(name):
    facts, plain = facts_of(name)
    return facts.functions[plain]


@pytest.mark.parametrize("name", ALL)
def test_says_what_it_is(name):
    assert (function_of(name).__doc__ or "").strip()


@pytest.mark.parametrize("name", ALL)
def test_rests_on_columns_the_place_has(name):
    ends = {f"{end}_{column}" for end in ("from", "to") for column in PLACE}
    assert facts_of(name)[0].leaves(facts_of(name)[1]) <= set(PLACE) | ends


@pytest.mark.parametrize("name", ALL)
def test_has_a_value(name):
    assert math.isfinite(float(value_of(name, PLACE)))


@pytest.mark.parametrize("name", ALL)
def test_array_equals_numbers(name):
    arrays = {
        k: tuple(np.full((3, 1), x) for x in v) if isinstance(v, tuple) else np.full((3, 1), v)
        for k, v in PLACE.items()
    }
    number = float(value_of(name, PLACE))
    array = np.broadcast_to(np.asarray(value_of(name, arrays), dtype=float), (3, 1))
    assert array == pytest.approx(np.full((3, 1), number), rel=1e-12)


@pytest.mark.parametrize("name", ALL)
def test_cell_equals_number(name):
    sheet = Sheet()
    given = {
        k: tuple(sheet.given(x) for x in v) if isinstance(v, tuple) else sheet.given(v) for k, v in direct(name).items()
    }
    cell = function_of(name)(**given)
    assert sheet.worked_out(cell) == pytest.approx(float(function_of(name)(**direct(name))), rel=1e-9)
    assert all(len(text) <= 8192 for _, _, text in sheet.kept)


@pytest.mark.parametrize("name, unknown", [(n, p) for n in ALL for p in facts_of(n)[0].parameters[facts_of(n)[1]]])
def test_unknown_is_passed_on(name, unknown):
    given = direct(name)
    given[unknown] = tuple(NAN for _ in given[unknown]) if isinstance(given[unknown], tuple) else NAN
    result = float(function_of(name)(**given))
    if unknown in MAY_BE_UNKNOWN.get(name, ()):
        return
    if name in ("conductor_smallest_mm2", "device_distance_limit_m", "conductor_rule_ambient_factor"):
        # a branch that is not taken does not count
        assert math.isnan(result) or result == float(function_of(name)(**direct(name)))
        return
    assert math.isnan(result), f"{name} has a value although {unknown} is unknown"


def test_a_ring_is_refused():
    import types

    module = types.ModuleType("ring")
    exec("def one_a(two_a):\n    return two_a\n\n\ndef two_a(one_a):\n    return one_a\n", module.__dict__)
    for function in (module.one_a, module.two_a):
        function.__module__ = "ring"
    with pytest.raises(DefinitionError, match=r"one_a -> two_a -> one_a|two_a -> one_a -> two_a"):
        Registry((module,), END_COLUMNS)


def test_a_name_nobody_supplies_is_a_definition_error():
    with pytest.raises(DefinitionError, match="current_a"):
        Evaluation(FACTS, {}).value("heating_current_a")


def test_ends_are_told_apart():
    columns = {("hottest_k", "from"): 300.0, ("hottest_k", "to"): 350.0}
    evaluation = Evaluation(FACTS, columns)
    assert evaluation.value("warmest_terminal_k") == 350.0
    assert evaluation.value("hottest_k", "from") == 300.0


def test_a_peak_longer_than_a_minute_counts_as_continuous():
    assert value_of("heating_current_a", {**PLACE, "peak_time_s": 61.0}) == 150.0
    assert value_of("heating_current_a", {**PLACE, "peak_time_s": 60.0}) == 60.0
    assert value_of("heating_current_a", {**PLACE, "has_peak": 0.0, "peak_current_a": NAN, "peak_time_s": NAN}) == 60.0


def test_a_supply_that_cannot_exceed_the_ampacity_needs_no_device():
    weak = {**PLACE, "short_circuit_a": 10.0, "protected": 0.0, "own_device": 0.0}
    assert value_of("fault_above_ampacity", weak) == 0.0
    assert value_of("protected_or_exempt", weak) == 1.0
    assert value_of("protected_or_exempt", {**weak, "short_circuit_a": 2500.0}) == 0.0


def test_once_per_distinct_row():
    """A dear fact on many rows works on the distinct ones: 1000 rows of two ambients cost two solves a wire."""
    calls = []
    original = FACTS.functions["conductor_lone_ampacity_a"]

    def counted(*values):
        calls.append(np.asarray(values[7]).shape)
        return original(*values)

    counted.distinct = True
    FACTS.functions["conductor_lone_ampacity_a"] = counted
    try:
        rows = {k: np.full((1000, 1), v) for k, v in PLACE.items() if not isinstance(v, tuple)}
        rows["ambient_k"] = np.where(np.arange(1000) % 2, 303.15, 323.15)[:, None]
        rows |= {k: v for k, v in PLACE.items() if isinstance(v, tuple)}
        wires = {
            k: np.array([[PLACE[k], PLACE[k] * 1.01]])
            for k in PLACE
            if k.startswith("conductor_") and not isinstance(PLACE[k], tuple)
        }
        found = Evaluation(FACTS, {**rows, **wires}).value("conductor_lone_ampacity_a")
    finally:
        FACTS.functions["conductor_lone_ampacity_a"] = original
    assert calls == [(2, 1)]
    assert found.shape == (1000, 2)
    assert found[0, 0] != found[1, 0] and found[0, 0] == found[2, 0]
