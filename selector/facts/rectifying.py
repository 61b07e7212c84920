"""Facts of a rectifier on its sink: currents and heat of its diodes, temperatures, voltages it must stand.

They stand in for the facts of the same names of a machine: what flows here follows the dc current of the row.
"""

from selector.facts.machine import DIODE_DROP_V
from selector.maths import keep, known, same, where
from selector.physics import heatsink, rectifier
from selector.physics.suppressor import breakdown_at_v

BREAKDOWN_COEFFICIENT_PER_K = 0.001
"""Rise of an avalanche voltage with temperature; key datasheet-suppressor-1500w-axial."""


# -- currents --------------------------------------------------------------------------------------------------------


def machine_dc_a(current_a):
    """Dc current of the row, from which the currents of lines and diodes follow."""
    return current_a


def first_moment_a(current_a, machine_short_circuit_a, machine_short_over_dc, machine_short_peak_over_dc):
    """Peak current of a diode in the first moment of a short on the dc side: sine waves behind the reactance.

    The machine's short-circuit current where it is stated, else so many times its dc current.
    """
    dc_a = known(machine_short_circuit_a, current_a * machine_short_over_dc)
    return keep(rectifier.diode_peak_a(dc_a, machine_short_peak_over_dc), "first moment of a short")


# -- heat ------------------------------------------------------------------------------------------------------------


def diode_loss_w(rectifier_threshold_v, rectifier_slope_ohm, diode_average_a, diode_rms_a):
    """Heat of one diode by its loss line. Source key: application-note-conduction-loss."""
    return keep(
        rectifier.diode_loss_w(rectifier_threshold_v, rectifier_slope_ohm, diode_average_a, diode_rms_a), "diode loss"
    )


def module_loss_w(diode_loss_w, machine_lines):
    """Heat of the whole rectifier, two diodes a line; what leaves the alternator where the rectifier stands apart.

    Diodes at a star point take over a share of the same current: counting them as idle is the upper side.
    """
    return keep(rectifier.module_loss_w(diode_loss_w, 2.0 * machine_lines), "rectifier loss")


def sink_heat_w(module_loss_w, rectifier_plates):
    """Heat into one sink: all of it, or half where positive and negative diodes have a plate each."""
    return keep(module_loss_w / rectifier_plates, "heat into a sink")


def sink_rise_k(
    sink_heat_w, heatsink_sink_to_air_k_per_w, heatsink_air_speed_m_per_s, still_or_moving_air_m_per_s, altitude_m
):
    """Rise of the sink over the zone's air, whose speed is taken as that between the fins.

    Source keys: datasheet-heatsink-natural, datasheet-heatsink-forced-air.
    """
    return keep(
        heatsink.sink_rise_k(
            sink_heat_w,
            heatsink_sink_to_air_k_per_w,
            heatsink_air_speed_m_per_s,
            still_or_moving_air_m_per_s,
            altitude_m,
        ),
        "sink rise",
    )


def sink_k(ambient_k, sink_rise_k):
    """Temperature of the sink under the case."""
    return keep(ambient_k + sink_rise_k, "sink temperature")


def case_k(sink_k, diode_loss_w, rectifier_diodes, rectifier_case_to_sink_k_per_w):
    """Temperature of the case; the joint's resistance is that of the whole circuit, one diode's over their number."""
    return keep(rectifier.case_k(sink_k, diode_loss_w * rectifier_diodes, rectifier_case_to_sink_k_per_w), "case")


def junction_k(case_k, diode_loss_w, rectifier_junction_to_case_k_per_w):
    """Temperature of the junctions."""
    return keep(rectifier.junction_k(case_k, diode_loss_w, rectifier_junction_to_case_k_per_w), "junction")


def rectifier_reference_k(rectifier_rated_at_case, case_k, ambient_k):
    """Temperature the rating is printed for, as it is here: of the case, or of the air."""
    return where(rectifier_rated_at_case, 0.0, ambient_k, case_k)


def rectifier_carries_a(
    rectifier_average_current_a, rectifier_reference_k, rectifier_rating_temperature_k, rectifier_greatest_junction_k
):
    """Dc current left of the rating here: all of it to the printed temperature, then a straight line to none.

    A loss line is steeper than straight, so the straight line is the safe side.
    """
    left = (rectifier_greatest_junction_k - rectifier_reference_k) / (
        rectifier_greatest_junction_k - rectifier_rating_temperature_k
    )
    warm = rectifier_average_current_a * where(left, 0.0, 0.0 * left, left)
    return keep(
        where(rectifier_reference_k, rectifier_rating_temperature_k, rectifier_average_current_a, warm),
        "rating left here",
    )


def heat_share_low(module_loss_w, current_a, highest_v, machine_efficiency_low):
    """Share of the alternator's whole loss that its rectifier makes, if the machine is of the poorest efficiency."""
    return keep(
        rectifier.share_of_losses(module_loss_w, current_a * highest_v, machine_efficiency_low), "heat share, low"
    )


def heat_share_high(module_loss_w, current_a, highest_v, machine_efficiency_high):
    """Share of the alternator's whole loss that its rectifier makes, if the machine is of the best efficiency."""
    return keep(
        rectifier.share_of_losses(module_loss_w, current_a * highest_v, machine_efficiency_high), "heat share, high"
    )


# -- voltages --------------------------------------------------------------------------------------------------------


def diode_reverse_v(highest_v):
    """Reverse voltage of a diode at the highest charging voltage: the other diode of its line adds its drop."""
    return keep(highest_v + DIODE_DROP_V, "reverse voltage while charging")


def transient_v(has_suppressor, clamp_at_node_v, load_dump_peak_v):
    """Voltage at the output when the battery falls off: the suppressor's clamp, else the alternator's own peak."""
    return where(has_suppressor, 0.0, load_dump_peak_v, clamp_at_node_v)


def transient_reverse_v(transient_v):
    """Reverse voltage of a diode when the battery falls off."""
    return keep(transient_v + DIODE_DROP_V, "reverse voltage, battery off")


def coldest_breakdown_v(rectifier_least_breakdown_v, coldest_k):
    """Least voltage at which an avalanche diode begins to conduct backwards, in the coldest air."""
    return keep(
        breakdown_at_v(rectifier_least_breakdown_v, BREAKDOWN_COEFFICIENT_PER_K, coldest_k), "coldest breakdown"
    )


def rectifier_blocks(rectifier_avalanche):
    """Whether the diodes are to block the transient rather than to take it."""
    return 1.0 - rectifier_avalanche


# -- what fits together ----------------------------------------------------------------------------------------------


def rectifier_takes_lines(rectifier_lines, machine_lines):
    """Whether the circuit is made for as many lines as the machine has."""
    return same(rectifier_lines, machine_lines)


def machine_star(machine_delta):
    """Whether the winding has a star point."""
    return 1.0 - machine_delta


def sink_suits_base(rectifier_live_base, heatsink_is_insulated):
    """Whether the sink may carry the base: an insulated base any sink, a live one a sink that stands insulated."""
    return where(rectifier_live_base, 0.0, 1.0 + 0.0 * heatsink_is_insulated, heatsink_is_insulated)


def sink_bodies_suit(heatsink_bodies, rectifier_plates, rectifier_lines):
    """Whether the rectifier's heat goes into each body of the sink alike: it is one body, or each has a diode of a plate.

    A module is one piece and lies on one sink. A plate of separate diodes has one for each line.
    """
    apart = where(rectifier_plates, 1.0, 0.0 * rectifier_lines, same(heatsink_bodies, rectifier_lines))
    return where(heatsink_bodies, 1.0, 1.0 + 0.0 * apart, apart)
