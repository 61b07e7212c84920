"""Facts of a lead that carries alternating current; they stand in for the facts of the same names of a dc lead.

The skin effect is taken at the metal's resistance at 20 degC: warmer metal has less of it, so this is the safe end.
"""

from selector.facts.place import PEAK_IS_CONTINUOUS_FROM_S
from selector.maths import keep, known, least, most, sqrt, where
from selector.physics import heat_balance, short_circuit
from selector.physics.conductor import rectifier_lead_skin_factor, resistance_at_temperature_ohm_per_m


def heating_current_a(current_a, line_rms_a, has_peak, peak_current_a, peak_time_s):
    """Current that heats: the line's rms by the machine's rating, or what is stated where that is more or all there is.

    A peak longer than 60 s counts as continuous here too. Source: common practice, no source.
    """
    steady = most(current_a, known(line_rms_a, 0.0))
    held = where(peak_time_s, PEAK_IS_CONTINUOUS_FROM_S, steady, most(steady, peak_current_a))
    return keep(where(has_peak, 0.0, steady, held), "heating current")


def conductor_skin_factor(frequency_high_hz, conductor_resistance_at_20_degc_ohm_per_m, machine_lines):
    """Resistance to the current of a rectifier's line, harmonics included, over that to dc, at the highest speed."""
    return keep(
        rectifier_lead_skin_factor(frequency_high_hz, conductor_resistance_at_20_degc_ohm_per_m, machine_lines),
        "skin factor",
    )


def equivalent_current_a(heating_current_a, laying_and_grouping, condition_factor, conductor_skin_factor):
    """Direct current at which a lone new wire in free air would be as warm as this one is, where it lies."""
    share = laying_and_grouping * condition_factor
    return keep(heating_current_a / share * sqrt(conductor_skin_factor), "equivalent current")


def conductor_balance_ampacity_a(
    conductor_lone_ampacity_a, laying_and_grouping, condition_factor, conductor_skin_factor
):
    """Continuous rms current by the heat balance, where the wire lies and as it is, skin effect taken off."""
    share = laying_and_grouping * condition_factor
    return keep(conductor_lone_ampacity_a * share / sqrt(conductor_skin_factor), "ampacity by balance")


def conductor_surface_k(
    conductor_temperature_k,
    equivalent_current_a,
    conductor_working_resistance_ohm_per_m,
    conductor_skin_factor,
    conductor_diameter_m,
    conductor_outer_diameter_m,
    conductor_conductivity_w_per_m_k,
):
    """Temperature of the insulation's surface; the direct current that heats as much meets no skin effect."""
    heat = equivalent_current_a**2 * conductor_working_resistance_ohm_per_m / conductor_skin_factor
    return heat_balance.surface_temperature_k(
        conductor_temperature_k,
        heat,
        conductor_diameter_m,
        conductor_outer_diameter_m,
        conductor_conductivity_w_per_m_k,
    )


def conductor_peak_limit_a(
    conductor_metal_adiabatic_constant,
    conductor_metal_inferred_zero_k,
    conductor_temperature_k,
    conductor_temperature_rating_k,
    conductor_area_mm2,
    peak_time_s,
    conductor_skin_factor,
):
    """Current that takes the wire from its working temperature to its rating in the peak's time, skin effect taken off.

    Source: adiabatic rule, key iec-60364-5-54.
    """
    k = short_circuit.adiabatic_k(
        conductor_metal_adiabatic_constant,
        conductor_metal_inferred_zero_k,
        least(conductor_temperature_k, conductor_temperature_rating_k),
        conductor_temperature_rating_k,
    )
    direct = short_circuit.withstand_current_a(k, conductor_area_mm2, peak_time_s)
    return keep(direct / sqrt(conductor_skin_factor), "peak limit")


def conductor_working_resistance_ohm_per_m(
    conductor_resistance_at_20_degc_ohm_per_m,
    conductor_metal_temperature_coefficient_per_k,
    conductor_temperature_k,
    conductor_skin_factor,
):
    """Resistance per metre to the line's current at the working temperature."""
    return keep(
        resistance_at_temperature_ohm_per_m(
            conductor_resistance_at_20_degc_ohm_per_m,
            conductor_metal_temperature_coefficient_per_k,
            conductor_temperature_k,
            conductor_skin_factor,
        ),
        "working resistance",
    )


def path_resistance_ohm(conductor_working_resistance_ohm_per_m, length_m):
    """Resistance of one of the leads; there is no device in it."""
    return keep(conductor_working_resistance_ohm_per_m * length_m, "path resistance")


def voltage_drop_v(heating_current_a, path_resistance_ohm):
    """Rms drop along one lead in service, its resistance alone."""
    return keep(heating_current_a * path_resistance_ohm, "voltage drop")
