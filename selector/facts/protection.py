"""What a fuse or breaker does: what it carries, when it opens, what it lets through."""

from selector.maths import either, keep, known, most, where
from selector.physics import fuses
from selector.physics.conductor import resistance_at_temperature_ohm_per_m
from selector.physics.short_circuit import fault_current_a, let_through_a2s


def protection_ambient_factor(ambient_k, protection_ambient_factors):
    """Share of the rating left at this ambient, from the class's seven printed points."""
    return keep(fuses.ambient_factor(ambient_k, protection_ambient_factors), "device ambient factor")


def protection_carries_a(protection_rating_a, protection_ambient_factor, load_factor):
    """Continuous load the device may have: its rating here, over the one factor for continuous load."""
    return keep(fuses.carried_a(protection_rating_a, protection_ambient_factor, load_factor), "device carries")


def protection_greatest_for_load_a(
    heating_current_a,
    load_factor,
    protection_ambient_factor,
    has_peak,
    peak_current_a,
    large_device_multiple,
    small_device_a,
):
    """Rating above which the device is more than its load asks: a multiple of the load, or of its peak.

    Source: common practice, no source; the multiple and the rating that is never questioned are defaults.
    """
    steady = keep(heating_current_a * load_factor / protection_ambient_factor, "rating the load asks for")
    asked = where(has_peak, 0.0, steady, most(steady, peak_current_a))
    return keep(most(large_device_multiple * asked, small_device_a), "greatest rating for the load")


def protection_shortest_at_peak_s(
    peak_current_a, protection_rating_a, protection_shortest_multiples, protection_shortest_times_s
):
    """Shortest time in which the device may open at the peak."""
    multiple = keep(peak_current_a / protection_rating_a, "peak over rating")
    return keep(
        fuses.opening_time_s(multiple, protection_shortest_multiples, protection_shortest_times_s),
        "shortest opening at peak",
    )


def low_fault_a(short_circuit_a, least_short_circuit_a, conductor_balance_ampacity_a):
    """Lowest fault that must be cleared: the low end of the supply's range, unless the wire carries that for good."""
    return keep(
        where(least_short_circuit_a, conductor_balance_ampacity_a, short_circuit_a, least_short_circuit_a), "low fault"
    )


def _longest_s(fault_a, rating_a, multiples, times_s, fault):
    """Longest opening time of a device on a fault, which ``fault`` names for those who read the steps."""
    multiple = keep(fault_a / rating_a, f"{fault} over rating")
    return keep(fuses.longest_opening_time_s(multiple, multiples, times_s), f"longest opening on {fault}")


def protection_longest_at_fault_s(
    low_fault_a, protection_rating_a, protection_longest_multiples, protection_longest_times_s
):
    """Longest time the device may take to open on the lowest fault: the low end of a range counts for clearing."""
    return _longest_s(
        low_fault_a, protection_rating_a, protection_longest_multiples, protection_longest_times_s, "low fault"
    )


def protection_longest_at_highest_s(
    short_circuit_a, protection_rating_a, protection_longest_multiples, protection_longest_times_s
):
    """Longest time the device may take to open on the highest fault."""
    return _longest_s(
        short_circuit_a, protection_rating_a, protection_longest_multiples, protection_longest_times_s, "fault"
    )


def protection_lets_through_a2s(
    short_circuit_a, protection_longest_at_highest_s, low_fault_a, protection_longest_at_fault_s
):
    """Heat a fault leaves in the wire until the device has opened: the most of the highest and the lowest fault."""
    high = keep(let_through_a2s(short_circuit_a, protection_longest_at_highest_s), "let-through, highest fault")
    low = keep(let_through_a2s(low_fault_a, protection_longest_at_fault_s), "let-through, low fault")
    return keep(most(high, low), "let-through")


def fault_above_ampacity(protected, short_circuit_a, conductor_balance_ampacity_a):
    """1 where a fault must be cleared: no supply that cannot exceed the wire's ampacity needs a device for it.

    Source: IEC 60364-4-43, limitation of overcurrent by the supply, from memory; key iec-60364-4-43.
    """
    return where(protected, 0.0, 0.0, where(short_circuit_a, conductor_balance_ampacity_a, 0.0, protected))


def far_fault_a(nominal_v, least_short_circuit_a, way_resistance_ohm, path_resistance_ohm):
    """Least current of a fault at the far end: the supply's voltage over its own resistance, the way's and the piece's.

    The supply's resistance is its voltage over its least short-circuit current. Source: key circuit-textbook.
    """
    current = fault_current_a(nominal_v, least_short_circuit_a, way_resistance_ohm + path_resistance_ohm)
    return keep(current, "fault at the far end")


def protection_longest_at_far_fault_s(
    far_fault_a, protection_rating_a, protection_longest_multiples, protection_longest_times_s
):
    """Longest time the device may take to open on a fault at the far end."""
    return _longest_s(
        far_fault_a, protection_rating_a, protection_longest_multiples, protection_longest_times_s, "far fault"
    )


def cold_far_fault_a(
    nominal_v,
    least_short_circuit_a,
    way_resistance_ohm,
    conductor_resistance_at_20_degc_ohm_per_m,
    conductor_metal_temperature_coefficient_per_k,
    ambient_k,
    length_m,
    legs,
    chassis_resistance_ohm,
):
    """Fault at the far end while the wire is no warmer than the air: what has to be ruled out before none need clear it."""
    ohm_per_m = resistance_at_temperature_ohm_per_m(
        conductor_resistance_at_20_degc_ohm_per_m, conductor_metal_temperature_coefficient_per_k, ambient_k
    )
    path = ohm_per_m * length_m * legs + chassis_resistance_ohm
    return fault_current_a(nominal_v, least_short_circuit_a, way_resistance_ohm + path)


def far_fault_above_ampacity(protected, exempt_from_device, cold_far_fault_a, conductor_balance_ampacity_a):
    """1 where a fault at the far end must be cleared: it exceeds what the wire carries for good, or is not known.

    A cranking lead and its return are left out, as of the other device checks.
    """
    harmful = where(cold_far_fault_a, conductor_balance_ampacity_a, 0.0, 1.0 + 0.0 * cold_far_fault_a)
    return protected * (1 - exempt_from_device) * known(harmful, 1.0)


def protected_or_exempt(protected, exempt_from_device, short_circuit_a, conductor_balance_ampacity_a):
    """1 where a device protects the wire, or none is asked for: a cranking lead, or a supply that cannot harm it."""
    settled = either(protected, exempt_from_device)
    return where(settled, 0.0, where(short_circuit_a, conductor_balance_ampacity_a, 1.0, 0.0), 1.0)


def protection_opens_at_a(protection_rating_a, protection_conventional_multiple):
    """Current that opens the device within its conventional time."""
    return fuses.conventional_current_a(protection_rating_a, protection_conventional_multiple)


def protection_rule_limit_a(conductor_rule_ampacity_a, rule_device_multiple):
    """Greatest rating the rule set allows over this wire."""
    return conductor_rule_ampacity_a * rule_device_multiple


def device_distance_limit_m(from_battery, sheathed, rule_distance_m, rule_distance_sheathed_m, rule_distance_battery_m):
    """How far from the source of power the device may stand: the longest of the distances that apply.

    Source: 33 CFR 183.455(b) and 183.460(a), whose cases are alternatives; keys 33cfr-183-455, 33cfr-183-460.
    """
    elsewhere = where(sheathed, 0.0, rule_distance_m, most(rule_distance_m, rule_distance_sheathed_m))
    return where(from_battery, 0.0, elsewhere, most(elsewhere, rule_distance_battery_m))


def device_resistance_ohm(own_device, devices, protection_cold_resistance_ohm, unknown_fuse_resistance_ohm):
    """Resistance of the row's devices; the stated default where the table has none, nothing without a device."""
    each = known(protection_cold_resistance_ohm, unknown_fuse_resistance_ohm)
    return where(own_device, 0.0, 0.0, devices * each)


def protection_holder_k(ambient_k, fuse_self_heating_k, heating_current_a, protection_rating_a):
    """Temperature of the device's holder: the air and its own heat, by the square of the load over the rating.

    Source: common practice, no source; the rise at full rating is a default.
    """
    return ambient_k + fuses.self_heating_k(heating_current_a, protection_rating_a, fuse_self_heating_k)
