"""What a wire does where it lies: how much it may carry, how warm it gets, what it drops, what a fault does to it."""

from selector.facts.evaluator import distinct
from selector.maths import keep, least, lookup, most, where
from selector.physics import heat_balance, short_circuit
from selector.physics.conductor import resistance_at_temperature_ohm_per_m


@distinct
def conductor_lone_ampacity_a(
    conductor_resistance_at_20_degc_ohm_per_m,
    conductor_metal_temperature_coefficient_per_k,
    conductor_diameter_m,
    conductor_outer_diameter_m,
    conductor_conductivity_w_per_m_k,
    conductor_emissivity,
    conductor_temperature_rating_k,
    ambient_k,
    still_or_moving_air_m_per_s,
    altitude_m,
):
    """Current that brings the lone wire to its insulation's rating. Source: heat balance, key morgan-1975."""
    return keep(
        heat_balance.ampacity_a(
            conductor_resistance_at_20_degc_ohm_per_m,
            conductor_metal_temperature_coefficient_per_k,
            conductor_diameter_m,
            conductor_outer_diameter_m,
            conductor_conductivity_w_per_m_k,
            conductor_emissivity,
            conductor_temperature_rating_k,
            ambient_k,
            still_or_moving_air_m_per_s,
            altitude_m,
        ),
        "lone ampacity",
    )


def conductor_balance_ampacity_a(conductor_lone_ampacity_a, laying_and_grouping):
    """Continuous current by the heat balance, where the wire lies."""
    return keep(conductor_lone_ampacity_a * laying_and_grouping, "ampacity by balance")


def conductor_rule_ambient_factor(
    ambient_k, engine_space, conductor_rule_ambients_k, conductor_rule_factors, conductor_rule_engine_factor
):
    """The rule set's factor for the stated ambient or, in an engine space, its engine-space factor if that is lower."""
    stated = lookup(ambient_k, conductor_rule_ambients_k, conductor_rule_factors)
    return keep(where(engine_space, 0.0, stated, least(stated, conductor_rule_engine_factor)), "rule ambient factor")


def rule_grouping_factor(bundle, nominal_v, rule_grouping_from_v, rule_counts, rule_count_scale, rule_factors):
    """The rule set's factor for the bundle, from the voltage at which it applies."""
    counted = lookup(bundle * rule_count_scale, rule_counts, rule_factors)
    return keep(where(rule_grouping_from_v, nominal_v, counted, 1.0), "rule grouping factor")


def conductor_rule_ampacity_a(
    conductor_rule_table_ampacity_a,
    conductor_rule_ambient_factor,
    conductor_rule_counts_bundle,
    rule_grouping_factor,
    condition_factor,
):
    """Continuous current by the rule set's table; a table that counts the bundle is not derated for it again."""
    grouping = where(conductor_rule_counts_bundle, 0.0, rule_grouping_factor, 1.0)
    factor = conductor_rule_ambient_factor * grouping * condition_factor
    return keep(conductor_rule_table_ampacity_a * factor, "ampacity by rule table")


@distinct
def conductor_temperature_k(
    equivalent_current_a,
    conductor_resistance_at_20_degc_ohm_per_m,
    conductor_metal_temperature_coefficient_per_k,
    conductor_diameter_m,
    conductor_outer_diameter_m,
    conductor_conductivity_w_per_m_k,
    conductor_emissivity,
    ambient_k,
    still_or_moving_air_m_per_s,
    altitude_m,
):
    """Steady temperature of the metal at the current that heats; 1000 degC stands for no steady temperature below."""
    return keep(
        heat_balance.conductor_temperature_k(
            equivalent_current_a,
            conductor_resistance_at_20_degc_ohm_per_m,
            conductor_metal_temperature_coefficient_per_k,
            conductor_diameter_m,
            conductor_outer_diameter_m,
            conductor_conductivity_w_per_m_k,
            conductor_emissivity,
            ambient_k,
            still_or_moving_air_m_per_s,
            altitude_m,
        ),
        "conductor temperature",
    )


def conductor_surface_k(
    conductor_temperature_k,
    equivalent_current_a,
    conductor_working_resistance_ohm_per_m,
    conductor_diameter_m,
    conductor_outer_diameter_m,
    conductor_conductivity_w_per_m_k,
):
    """Temperature of the insulation's surface: the metal's, less the drop through the wall at the same heat."""
    heat = equivalent_current_a**2 * conductor_working_resistance_ohm_per_m
    return heat_balance.surface_temperature_k(
        conductor_temperature_k,
        heat,
        conductor_diameter_m,
        conductor_outer_diameter_m,
        conductor_conductivity_w_per_m_k,
    )


def conductor_working_resistance_ohm_per_m(
    conductor_resistance_at_20_degc_ohm_per_m, conductor_metal_temperature_coefficient_per_k, conductor_temperature_k
):
    """Resistance per metre at the working temperature."""
    return keep(
        resistance_at_temperature_ohm_per_m(
            conductor_resistance_at_20_degc_ohm_per_m,
            conductor_metal_temperature_coefficient_per_k,
            conductor_temperature_k,
        ),
        "working resistance",
    )


def path_resistance_ohm(
    conductor_working_resistance_ohm_per_m, length_m, legs, chassis_resistance_ohm, device_resistance_ohm
):
    """Resistance of the piece: its legs, the chassis where that is the return, and its device."""
    wire = conductor_working_resistance_ohm_per_m * length_m * legs
    return keep(wire + chassis_resistance_ohm + device_resistance_ohm, "path resistance")


def voltage_drop_v(current_a, path_resistance_ohm):
    """Drop of the piece in service."""
    return keep(current_a * path_resistance_ohm, "voltage drop")


def peak_drop_v(peak_current_a, path_resistance_ohm):
    """Drop of the piece at the peak, the wire still at its working temperature."""
    return keep(peak_current_a * path_resistance_ohm, "drop at peak")


def whole_drop_v(voltage_drop_v, way_drop_v):
    """Drop of the whole way that shares the limit: this piece, and the rest of the way between supply and load."""
    return keep(voltage_drop_v + way_drop_v, "drop of the whole way")


def whole_peak_drop_v(peak_drop_v, has_load_limit, way_drop_v, way_resistance_ohm, peak_current_a, current_a):
    """Drop of the whole way at this row's peak; the pieces before it carry what it takes above its continuous current."""
    before = way_drop_v + way_resistance_ohm * (peak_current_a - current_a)
    return keep(peak_drop_v + where(has_load_limit, 0.0, 0.0 * way_drop_v, before), "whole drop at peak")


def conductor_peak_limit_a(
    conductor_metal_adiabatic_constant,
    conductor_metal_inferred_zero_k,
    conductor_temperature_k,
    conductor_temperature_rating_k,
    conductor_area_mm2,
    peak_time_s,
):
    """Current that takes the wire from its working temperature to its rating in the peak's time, no heat shed.

    Source: adiabatic rule, key iec-60364-5-54; that a peak of up to 60 s is judged so: common practice, no source.
    """
    k = short_circuit.adiabatic_k(
        conductor_metal_adiabatic_constant,
        conductor_metal_inferred_zero_k,
        least(conductor_temperature_k, conductor_temperature_rating_k),
        conductor_temperature_rating_k,
    )
    return keep(short_circuit.withstand_current_a(k, conductor_area_mm2, peak_time_s), "peak limit")


def conductor_withstand_a2s(
    conductor_metal_adiabatic_constant,
    conductor_metal_inferred_zero_k,
    conductor_temperature_rating_k,
    conductor_short_circuit_temperature_k,
    conductor_area_mm2,
):
    """What the wire stands of a fault that finds it at its rating: k2 S2. Source: key iec-60364-4-43."""
    k = short_circuit.adiabatic_k(
        conductor_metal_adiabatic_constant,
        conductor_metal_inferred_zero_k,
        conductor_temperature_rating_k,
        conductor_short_circuit_temperature_k,
    )
    return keep(short_circuit.withstand_a2s(k, conductor_area_mm2), "short-circuit withstand")


def conductor_neighbour_limit_k(touches_others, neighbour_rating_k, conductor_temperature_rating_k):
    """Lowest insulation rating the wire's surface touches: its own kind, or an unknown neighbour's."""
    return where(
        touches_others,
        0.0,
        conductor_temperature_rating_k,
        least(neighbour_rating_k, conductor_temperature_rating_k),
    )


def conductor_smallest_mm2(
    sheathed, length_m, smallest_single_mm2, smallest_sheathed_mm2, smallest_short_mm2, smallest_short_m
):
    """Smallest area the rule set permits here: in a sheath, in a short run, or alone."""
    short = where(length_m, smallest_short_m, least(smallest_single_mm2, smallest_short_mm2), smallest_single_mm2)
    single = where(smallest_short_m, 0.0, smallest_single_mm2, short)
    return where(sheathed, 0.0, single, least(single, smallest_sheathed_mm2))


def conductor_at_lug_k(conductor_temperature_k, hottest_k):
    """What the lug at this end must stand: the wire's temperature or the terminal's, whichever is higher."""
    return most(conductor_temperature_k, hottest_k)
