"""What a place sees: the current that heats, the bundle it lies in, what surrounds it."""

from selector.maths import keep, known, lookup, most, where

PEAK_IS_CONTINUOUS_FROM_S = 60.0


def heating_current_a(current_a, has_peak, peak_current_a, peak_time_s):
    """Current the wire must carry for good; a peak longer than 60 s counts as continuous.

    Source: common practice, no source, until heat and time are worked out together.
    """
    held = where(peak_time_s, PEAK_IS_CONTINUOUS_FROM_S, current_a, most(current_a, peak_current_a))
    return keep(where(has_peak, 0.0, current_a, held), "heating current")


def bundle(grouped_with):
    """Loaded conductors in the bundle: this one and those that touch it."""
    return grouped_with + 1


def circuits(bundle):
    """Circuits in the bundle: half its conductors (the lookups round up to the next printed count)."""
    return bundle / 2


def grouping_factor(circuits, bunched_counts, bunched_factors):
    """Share of a lone circuit's current allowed in the bundle.

    Source: IEC 60364-5-52 Table B.52.17 row 1, key iec-60364-5-52-b52-17.
    """
    return keep(lookup(circuits, bunched_counts, bunched_factors), "grouping factor")


def laying_and_grouping(laying_factor, grouping_factor, condition_factor):
    """What brings the lone new wire of the balance to where it lies, and to the state a wire out of a box is in."""
    return keep(laying_factor * grouping_factor * condition_factor, "laying and grouping")


def equivalent_current_a(heating_current_a, laying_and_grouping):
    """Current at which a lone wire in free air would be as warm as this one is where it lies."""
    return keep(heating_current_a / laying_and_grouping, "equivalent current")


def least_conductor_temperature_k(
    ambient_k,
    equivalent_current_a,
    conductor_resistance_at_20_degc_ohm_per_m,
    conductor_metal_temperature_coefficient_per_k,
    conductor_diameter_m,
    conductor_outer_diameter_m,
    conductor_conductivity_w_per_m_k,
    conductor_emissivity,
):
    """The least a wire's temperature can be, unknown where the temperature is: as warm as the air around it."""
    needed = (
        equivalent_current_a
        + conductor_resistance_at_20_degc_ohm_per_m
        + conductor_metal_temperature_coefficient_per_k
        + conductor_diameter_m
        + conductor_outer_diameter_m
        + conductor_conductivity_w_per_m_k
        + conductor_emissivity
    )
    return ambient_k + 0 * needed


def still_or_moving_air_m_per_s(enclosed, air_speed_m_per_s):
    """Air speed at the wire; an enclosed place has still air whatever was stated."""
    return where(enclosed, 0.0, air_speed_m_per_s, 0.0 * air_speed_m_per_s)


def warmest_terminal_k(from_hottest_k, to_hottest_k):
    """The hotter of the two terminals in service."""
    return most(from_hottest_k, to_hottest_k)


def own_device_and_peak(own_device, has_peak):
    """1 where the row has a device of its own and a peak to survive."""
    return own_device * has_peak


def own_device_in_vapour(own_device, fuel_vapour):
    """1 where the row's own device stands among fuel vapour."""
    return own_device * fuel_vapour


def device_protects_by_table(protected, rule_table_binds, rule_device_multiple):
    """1 where a device must protect the wire by the rule set's table too: where it prints a multiple for it."""
    return protected * rule_table_binds * known(0 * rule_device_multiple + 1, 0.0)


def rule_table_binds(has_rule_table, cranking):
    """1 where the rule set's table bounds the current; a cranking lead is left out of it. Source: key 33cfr-183-425."""
    return has_rule_table * (1 - cranking)


def device_on_limited_machine(limited_machine, rule_generator_multiple):
    """1 where the device stands at a machine that does not limit itself and the rule set bounds it."""
    return limited_machine * known(0 * rule_generator_multiple + 1, 0.0)
