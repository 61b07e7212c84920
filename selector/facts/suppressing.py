"""What a suppressor's place asks of it and what its pulses do to it there, one piece or several matched in parallel.

The pulse that counts is the load dump where this suppressor takes it, else the hardest short pulse of its place.
Currents, energies and times are those of the printed line at 25 degC; what it holds is corrected to the warmest place.
"""

from selector.maths import exp, keep, most, where
from selector.physics import load_dump, suppressor

FORWARD_V = 1.0
"""Forward drop of a unipolar suppressor in a negative pulse, a silicon junction's; common practice, no source."""
LEAKAGE_DOUBLES_IN_K = 10.0
"""Leakage of a silicon junction about doubles in that many kelvin; common practice, no source."""
PRINTED_K = 298.15
LEAST_ENERGY_J, LEAST_POWER_W = 1e-9, 1e-3
"""A pulse that does not reach the clamp counts as this much, so that its width stays a number."""


def suppressor_mount_k(ambient_k, from_hottest_k):
    """Temperature of the suppressor before a pulse: the warmer of the air and the terminal it stands at."""
    return keep(most(ambient_k, from_hottest_k), "temperature before the pulse")


def least_breakdown_cold_v(suppressor_least_breakdown_v, suppressor_temperature_coefficient_per_k, coldest_k):
    """Lower end of the breakdown window in the coldest air. Source: key datasheet-suppressor-1500w-axial."""
    return keep(
        suppressor.breakdown_at_v(suppressor_least_breakdown_v, suppressor_temperature_coefficient_per_k, coldest_k),
        "least breakdown, coldest",
    )


def begins_at_v(suppressor_greatest_breakdown_v, suppressor_temperature_coefficient_per_k, suppressor_mount_k):
    """Voltage at which it begins at the latest, where it is warmest. Source: key datasheet-suppressor-1500w-axial."""
    return keep(
        suppressor.breakdown_at_v(
            suppressor_greatest_breakdown_v, suppressor_temperature_coefficient_per_k, suppressor_mount_k
        ),
        "begins at the latest, warmest",
    )


def holds_at_rating_v(suppressor_clamping_v, suppressor_temperature_coefficient_per_k, suppressor_mount_k):
    """Voltage one piece holds at its full peak current, where it is warmest."""
    return keep(
        suppressor.breakdown_at_v(suppressor_clamping_v, suppressor_temperature_coefficient_per_k, suppressor_mount_k),
        "clamping voltage at full current",
    )


def slope_of_one_ohm(suppressor_greatest_breakdown_v, suppressor_clamping_v, suppressor_peak_current_a):
    """Slope of one piece from its greatest breakdown to its clamp point. Source: key application-note-clamp-voltage."""
    return keep(
        suppressor.dynamic_resistance_ohm(
            suppressor_greatest_breakdown_v, suppressor_clamping_v, suppressor_peak_current_a
        ),
        "slope of one piece",
    )


def slope_of_all_ohm(slope_of_one_ohm, suppressor_number):
    """Slope of all pieces together."""
    return slope_of_one_ohm / suppressor_number


# -- which pulse ---------------------------------------------------------------------------------------------------------


def takes_dump(has_dump, has_upper, upper_clamp_v, has_central, central_clamp_v, least_breakdown_cold_v):
    """1 where the load dump is this suppressor's to take: none nearer the alternator, or one that clamps above it.

    The machine's own diodes are such a one. In front of them a part that begins below what they hold takes the whole
    pulse, as test B of key iso-16750-2-2012 cuts it off from there on only; one that begins above takes nothing.
    """
    before = where(upper_clamp_v, least_breakdown_cold_v, 0.0, 1.0)
    outside = where(has_upper, 0.0, 1.0, before)
    inside = where(central_clamp_v, least_breakdown_cold_v, 0.0, outside)
    return keep(has_dump * where(has_central, 0.0, outside, inside), "takes the load dump")


def behind_upper(has_dump, has_upper):
    """1 where a load dump can come and another suppressor stands nearer the alternator."""
    return has_dump * has_upper


def left_to_upper(has_dump, has_upper, takes_dump, upper_clamp_v, has_central, central_clamp_v):
    """1 where another suppressor nearer the alternator takes the load dump, so that its clamp is what arrives here."""
    first = where(has_central, 0.0, 1.0, where(upper_clamp_v, central_clamp_v, 1.0, 0.0))
    return where(has_upper, 0.0, 0.0 * has_dump, has_dump * (1.0 - takes_dump) * first)


def left_to_central(has_dump, has_central, takes_dump, has_upper, upper_clamp_v, central_clamp_v):
    """1 where the machine's own diodes take the load dump, so that what they hold is what arrives here."""
    first = where(has_upper, 0.0, 1.0, where(upper_clamp_v, central_clamp_v, 0.0, 1.0))
    return where(has_central, 0.0, 0.0 * has_dump, has_dump * (1.0 - takes_dump) * first)


def short_pulse_peak_v(short_above_v, highest_v):
    """Absolute peak of the positive short pulse, which stands on the charging voltage. Source: key iso-7637-2-2011."""
    return short_above_v + highest_v


def surge_peak_v(takes_dump, short_pulse_peak_v, dump_peak_v):
    """Absolute peak of the pulse that counts."""
    return keep(where(takes_dump, 0.5, short_pulse_peak_v, dump_peak_v), "peak of the pulse")


def surge_resistance_ohm(takes_dump, short_resistance_ohm, dump_resistance_ohm):
    """Source resistance of the pulse that counts."""
    return keep(where(takes_dump, 0.5, short_resistance_ohm, dump_resistance_ohm), "resistance behind the pulse")


def surge_time_s(takes_dump, short_time_s, dump_time_s):
    """Duration of the pulse that counts."""
    return keep(where(takes_dump, 0.5, short_time_s, dump_time_s), "duration of the pulse")


def surge_rise_s(takes_dump, short_rise_s, dump_rise_s):
    """Rise time of the pulse that counts."""
    return where(takes_dump, 0.5, short_rise_s, dump_rise_s)


# -- what it does, all pieces together -----------------------------------------------------------------------------------


def pulse_current_a(surge_peak_v, suppressor_greatest_breakdown_v, surge_resistance_ohm, slope_of_all_ohm):
    """Peak current of all pieces together. Source: pulse form of key iso-16750-2-2012."""
    return keep(
        load_dump.dump_current_a(surge_peak_v, suppressor_greatest_breakdown_v, surge_resistance_ohm, slope_of_all_ohm),
        "pulse current",
    )


def pulse_time_s(surge_peak_v, highest_v, suppressor_greatest_breakdown_v, surge_time_s):
    """How long they conduct. Source: pulse form of key iso-16750-2-2012."""
    return keep(
        load_dump.dump_time_s(surge_peak_v, highest_v, suppressor_greatest_breakdown_v, surge_time_s),
        "conduction time",
    )


def pulse_energy_j(
    surge_peak_v, highest_v, suppressor_greatest_breakdown_v, surge_resistance_ohm, slope_of_all_ohm, surge_time_s
):
    """Energy of one pulse in all pieces together. Source: pulse form of key iso-16750-2-2012."""
    return keep(
        load_dump.dump_energy_j(
            surge_peak_v, highest_v, suppressor_greatest_breakdown_v, surge_resistance_ohm, slope_of_all_ohm,
            surge_time_s,
        ),
        "pulse energy",
    )  # fmt: skip


def pulse_energy_early_j(
    surge_peak_v, highest_v, suppressor_least_breakdown_v, surge_resistance_ohm, slope_of_all_ohm, surge_time_s
):
    """The same for pieces at the lower end of their window, which may take more."""
    return keep(
        load_dump.dump_energy_j(
            surge_peak_v, highest_v, suppressor_least_breakdown_v, surge_resistance_ohm, slope_of_all_ohm, surge_time_s
        ),
        "pulse energy, early part",
    )


def pulse_time_early_s(surge_peak_v, highest_v, suppressor_least_breakdown_v, surge_time_s):
    """How long pieces at the lower end of their window conduct."""
    return keep(
        load_dump.dump_time_s(surge_peak_v, highest_v, suppressor_least_breakdown_v, surge_time_s),
        "conduction time, early part",
    )


def piece_clamp_v(
    pulse_current_a,
    suppressor_number,
    suppressor_greatest_breakdown_v,
    suppressor_clamping_v,
    suppressor_peak_current_a,
):
    """Voltage they hold at the pulse's peak by their printed line. Source: key application-note-clamp-voltage."""
    return keep(
        suppressor.clamp_at_v(
            pulse_current_a / suppressor_number,
            suppressor_greatest_breakdown_v,
            suppressor_clamping_v,
            suppressor_peak_current_a,
        ),
        "clamping voltage at 25 degC",
    )


def clamping_voltage_v(piece_clamp_v, suppressor_temperature_coefficient_per_k, suppressor_mount_k):
    """Voltage they hold at the pulse's peak, where it is warmest. Source: key datasheet-suppressor-1500w-axial."""
    return keep(
        suppressor.breakdown_at_v(piece_clamp_v, suppressor_temperature_coefficient_per_k, suppressor_mount_k),
        "clamping voltage",
    )


def lead_inductance_h(lead_length_m, lead_diameter_m):
    """Inductance of a suppressor's own leads. Source: key terman-handbook."""
    return keep(suppressor.lead_inductance_h(lead_length_m, lead_diameter_m), "lead inductance")


def clamp_heated_v(piece_clamp_v, suppressor_temperature_coefficient_per_k, suppressor_mount_k, suppressor_heated_k):
    """The same with the junction as warm as a hot place or the pulse itself makes it.

    Pulses of a tenth of a second end with a junction far above its surroundings. Common practice, no source: 125 degC.
    """
    warm = most(suppressor_mount_k, suppressor_heated_k)
    return keep(
        suppressor.breakdown_at_v(piece_clamp_v, suppressor_temperature_coefficient_per_k, warm),
        "clamping voltage, heated",
    )


def clamp_with_leads_v(clamping_voltage_v, lead_inductance_h, pulse_current_a, suppressor_number, surge_rise_s):
    """What the node sees: the clamp, and what the leads of each piece drop while the current rises."""
    over = suppressor.overshoot_v(lead_inductance_h, pulse_current_a / suppressor_number, surge_rise_s)
    return keep(clamping_voltage_v + over, "voltage at the node")


# -- what it does to the most loaded piece -------------------------------------------------------------------------------


def mismatch_v(suppressor_mismatch, suppressor_greatest_breakdown_v):
    """How much earlier the first of several matched pieces may break down."""
    return suppressor_mismatch * suppressor_greatest_breakdown_v


def piece_current_a(pulse_current_a, suppressor_number, mismatch_v, slope_of_one_ohm):
    """Peak current of the piece that takes most. Source: circuit theory, key circuit-textbook."""
    shared = suppressor.greatest_share_a(pulse_current_a, suppressor_number, mismatch_v, slope_of_one_ohm)
    return keep(where(suppressor_number, 1.0, pulse_current_a, shared), "current of the most loaded piece")


def piece_energy_j(
    pulse_energy_j, pulse_energy_early_j, suppressor_number, mismatch_v, slope_of_one_ohm, pulse_time_early_s,
    piece_clamp_v,
):  # fmt: skip
    """Energy of one pulse in the piece that takes most: its share, and what it takes before the others join.

    That is at most its mismatch over its slope, at the clamp, as long as it conducts. Source: key circuit-textbook.
    """
    together = most(pulse_energy_j, pulse_energy_early_j)
    early = mismatch_v * piece_clamp_v * pulse_time_early_s
    shared = suppressor.greatest_share_a(together, suppressor_number, early, slope_of_one_ohm)
    return keep(where(suppressor_number, 1.0, together, shared), "energy of the most loaded piece")


def piece_width_s(piece_energy_j, piece_clamp_v, piece_current_a):
    """Width to half of the exponential pulse with this energy and peak. Source: key application-note-suppressor-energy."""
    energy = most(piece_energy_j, LEAST_ENERGY_J)
    power = most(piece_clamp_v * piece_current_a, LEAST_POWER_W)
    return keep(suppressor.equivalent_width_s(energy, power), "width of the pulse")


def piece_power_w(piece_width_s, suppressor_curve_widths_s, suppressor_curve_powers_w):
    """Peak power the class stands for that width; beyond its last point the energy stays constant, extrapolated."""
    return keep(
        suppressor.pulse_power_w(piece_width_s, suppressor_curve_widths_s, suppressor_curve_powers_w),
        "power at that width",
    )


def piece_carries_a(piece_power_w, piece_clamp_v):
    """Peak current one piece stands for that width, at 25 degC."""
    return keep(piece_power_w / piece_clamp_v, "current at that width")


def left_when_warm(suppressor_mount_k, suppressor_greatest_junction_k):
    """Share of the 25 degC pulse rating that is left here. Source: key mil-prf-19500-500."""
    return keep(suppressor.temperature_share(suppressor_mount_k, suppressor_greatest_junction_k), "rating left")


def piece_stands_j(piece_power_w, piece_width_s, left_when_warm):
    """Energy one piece stands in a pulse of that width, as warm as it is."""
    return keep(
        suppressor.pulse_energy_j(piece_power_w, piece_width_s, 0.0 * piece_width_s) * left_when_warm,
        "energy one piece stands",
    )


def energy_share(piece_energy_j, piece_stands_j):
    """Share of what it stands that the most loaded piece takes."""
    return piece_energy_j / piece_stands_j


def extrapolated(piece_width_s, suppressor_last_width_s):
    """1 where the pulse is longer than the last point of the class's curve."""
    return where(piece_width_s, suppressor_last_width_s, 0.0, 1.0)


# -- the short pulses of road-vehicle wiring, ISO 7637-2 -----------------------------------------------------------------


def short_current_a(short_pulse_peak_v, suppressor_greatest_breakdown_v, short_resistance_ohm, slope_of_all_ohm):
    """Peak current of all pieces in the positive short pulse, as when wiring is cut off."""
    return keep(
        load_dump.dump_current_a(
            short_pulse_peak_v, suppressor_greatest_breakdown_v, short_resistance_ohm, slope_of_all_ohm
        ),
        "current of the short pulse",
    )


def burst_current_a(burst_above_v, highest_v, suppressor_greatest_breakdown_v, burst_resistance_ohm, slope_of_all_ohm):
    """Peak current of all pieces in the positive bursts of switching."""
    return keep(
        load_dump.dump_current_a(
            burst_above_v + highest_v, suppressor_greatest_breakdown_v, burst_resistance_ohm, slope_of_all_ohm
        ),
        "current of the burst",
    )


def short_energy_j(
    short_pulse_peak_v, highest_v, suppressor_greatest_breakdown_v, short_resistance_ohm, slope_of_all_ohm,
    short_time_s,
):  # fmt: skip
    """Energy of the positive short pulse, taken whole by one piece."""
    return keep(
        load_dump.dump_energy_j(
            short_pulse_peak_v, highest_v, suppressor_greatest_breakdown_v, short_resistance_ohm, slope_of_all_ohm,
            short_time_s,
        ),
        "energy of the short pulse",
    )  # fmt: skip


def short_stands_j(
    short_energy_j, short_current_a, suppressor_clamping_v, suppressor_curve_widths_s, suppressor_curve_powers_w,
    left_when_warm,
):  # fmt: skip
    """Energy one piece stands in a pulse as short as that one."""
    energy, power = _reached(short_energy_j, suppressor_clamping_v * short_current_a)
    return keep(
        suppressor.allowed_energy_j(
            energy, power, suppressor_curve_widths_s, suppressor_curve_powers_w, left_when_warm
        ),
        "stood in the short pulse",
    )


def short_clamp_v(
    short_current_a,
    burst_current_a,
    suppressor_number,
    suppressor_greatest_breakdown_v,
    suppressor_clamping_v,
    suppressor_peak_current_a,
    suppressor_temperature_coefficient_per_k,
    suppressor_mount_k,
):
    """Voltage they hold in the short pulses, where it is warmest."""
    printed = keep(
        suppressor.clamp_at_v(
            most(short_current_a, burst_current_a) / suppressor_number,
            suppressor_greatest_breakdown_v,
            suppressor_clamping_v,
            suppressor_peak_current_a,
        ),
        "clamp in the short pulses at 25 degC",
    )
    return keep(
        suppressor.breakdown_at_v(printed, suppressor_temperature_coefficient_per_k, suppressor_mount_k),
        "clamp in the short pulses",
    )


def short_with_leads_v(short_clamp_v, lead_inductance_h, short_current_a, suppressor_number, short_rise_s):
    """What the node sees of the short pulses: the clamp, and what the leads of each piece drop as pulse 2a rises.

    Nothing is added for the leads in 3b: it rises in nanoseconds, in which a lead of a decimetre drops more than the
    clamp and no suppressor answers. What takes it is a capacitor at the terminals.
    """
    over = suppressor.overshoot_v(lead_inductance_h, short_current_a / suppressor_number, short_rise_s)
    return keep(short_clamp_v + over, "voltage at the node, short pulses")


def negative_clamp_v(suppressor_is_bipolar, suppressor_greatest_breakdown_v):
    """What it holds in a negative pulse: forward drop of a unipolar one, breakdown of a bipolar one."""
    return where(suppressor_is_bipolar, 0.0, FORWARD_V + 0.0 * suppressor_greatest_breakdown_v,
                 suppressor_greatest_breakdown_v)  # fmt: skip


def negative_energy_j(negative_v, negative_clamp_v, negative_resistance_ohm, negative_time_s):
    """Energy of the negative short pulse, the supply off, taken whole by one piece of no slope."""
    nothing = 0.0 * negative_v
    return keep(
        load_dump.dump_energy_j(
            negative_v, nothing, negative_clamp_v, negative_resistance_ohm, 0.0 * negative_resistance_ohm,
            negative_time_s,
        ),
        "energy of the negative pulse",
    )  # fmt: skip


def negative_stands_j(
    negative_energy_j, negative_v, negative_clamp_v, negative_resistance_ohm, suppressor_curve_widths_s,
    suppressor_curve_powers_w, left_when_warm,
):  # fmt: skip
    """Energy one piece stands in a pulse like the negative one."""
    current = load_dump.dump_current_a(
        negative_v, negative_clamp_v, negative_resistance_ohm, 0.0 * negative_resistance_ohm
    )
    energy, power = _reached(negative_energy_j, negative_clamp_v * current)
    return keep(
        suppressor.allowed_energy_j(
            energy, power, suppressor_curve_widths_s, suppressor_curve_powers_w, left_when_warm
        ),
        "stood in the negative pulse",
    )


def _reached(energy_j, power_w):
    return (
        keep(most(energy_j, LEAST_ENERGY_J), "energy, at least"),
        keep(most(power_w, LEAST_POWER_W), "power, at least"),
    )


# -- in service ----------------------------------------------------------------------------------------------------------


def leakage_warm_a(suppressor_leakage_a, suppressor_mount_k):
    """Leakage where it is warmest; the printed one is at 25 degC."""
    doubled = exp(0.6931471805599453 * ((suppressor_mount_k - PRINTED_K) / LEAKAGE_DOUBLES_IN_K))
    return keep(suppressor_leakage_a * doubled, "leakage, warmest")


def steady_dissipation_w(highest_v, leakage_warm_a):
    """Heat of one piece in service at the highest charging voltage."""
    return keep(suppressor.steady_dissipation_w(highest_v, leakage_warm_a, 0.0 * leakage_warm_a, 0.0), "steady heat")


def steady_power_here_w(
    suppressor_steady_power_w, suppressor_steady_to_k, suppressor_mount_k, suppressor_greatest_junction_k
):
    """Steady power one piece may have here. Source: key datasheet-suppressor-1500w-axial."""
    return keep(
        suppressor.steady_power_at_w(
            suppressor_steady_power_w, suppressor_steady_to_k, suppressor_mount_k, suppressor_greatest_junction_k
        ),
        "steady power here",
    )


def suppressor_in_service_k(suppressor_mount_k, steady_dissipation_w, suppressor_junction_to_case_k_per_w):
    """Junction in service, before any pulse."""
    return keep(suppressor_mount_k + steady_dissipation_w * suppressor_junction_to_case_k_per_w, "junction in service")
