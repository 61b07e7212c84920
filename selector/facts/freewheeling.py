"""A coil let go across a diode: what the diode must stand, and how fast the current dies by three kinds of path."""

from selector.maths import NAN, keep, known, least, most, where
from selector.physics import freewheel

FORWARD_V = 0.7
"""Forward drop of a silicon diode whose loss line is not known; common practice, no source."""


def diode_average_here_a(
    diode_average_current_a, diode_rating_temperature_k, diode_greatest_junction_k, diode_rated_in_air, ambient_k
):
    """Average current the diode may carry hanging in this air; unknown for one rated on a case held cool.

    A straight line from the rated air to none at the greatest junction. Source: key datasheet-diode-axial-typical.
    """
    share = (diode_greatest_junction_k - ambient_k) / (diode_greatest_junction_k - diode_rating_temperature_k)
    here = diode_average_current_a * least(most(share, 0.0), 1.0)
    return keep(where(diode_rated_in_air, 0.5, NAN * diode_average_current_a, here), "average current here")


def diode_mean_a(current_a, released_charge_as, release_period_s, has_release_period):
    """Mean current in the diode: by how often the coil is let go, or all of the coil's current where nobody knows."""
    mean = least(current_a, released_charge_as / release_period_s)
    return keep(where(has_release_period, 0.5, current_a, mean), "mean current in the diode")


def released_charge_as(coil_inductance_h, coil_resistance_ohm, current_a, diode_forward_v, release_time_s):
    """Charge of one release through the plain diode. Source: key circuit-textbook."""
    left = coil_inductance_h * current_a - diode_forward_v * release_time_s
    return keep(left / coil_resistance_ohm, "charge of a release")


def diode_sees_v(highest_v, has_suppressor, clamp_at_node_v, has_dump, dump_peak_v):
    """Greatest reverse voltage: the charging voltage, the load dump, or what the suppressor lets through of it.

    A suppressor that nothing serves does not count.
    """
    dump = where(has_dump, 0.5, highest_v, most(highest_v, dump_peak_v))
    guarded = most(highest_v, known(clamp_at_node_v, dump))
    return keep(where(has_suppressor, 0.5, dump, guarded), "greatest reverse voltage")


def diode_forward_v(diode_threshold_v):
    """Forward drop that holds the current up while it dies: the threshold of the diode's loss line."""
    return known(diode_threshold_v, FORWARD_V)


def stored_energy_j(coil_inductance_h, current_a):
    """Energy in the coil. Source: key circuit-textbook."""
    return keep(freewheel.stored_energy_j(coil_inductance_h, current_a), "energy in the coil")


def release_time_s(coil_inductance_h, coil_resistance_ohm, current_a, diode_forward_v):
    """Time until the current is gone through the plain diode. Source: key circuit-textbook."""
    return keep(
        freewheel.release_time_s(coil_inductance_h, coil_resistance_ohm, current_a, diode_forward_v, 0.0 * current_a),
        "release by the diode",
    )


def release_time_zener_s(coil_inductance_h, coil_resistance_ohm, current_a, diode_forward_v, release_zener_v):
    """The same with a zener behind the diode. Source: key circuit-textbook."""
    path = diode_forward_v + release_zener_v
    return keep(
        freewheel.release_time_s(coil_inductance_h, coil_resistance_ohm, current_a, path, 0.0 * current_a),
        "release by diode and zener",
    )


def release_time_suppressor_s(coil_inductance_h, coil_resistance_ohm, current_a, release_clamp_v):
    """The same with a suppressor in the diode's place. Source: key circuit-textbook."""
    return keep(
        freewheel.release_time_s(coil_inductance_h, coil_resistance_ohm, current_a, release_clamp_v, 0.0 * current_a),
        "release by a suppressor",
    )


def released_energy_suppressor_j(coil_inductance_h, coil_resistance_ohm, current_a, release_clamp_v):
    """Energy a suppressor in the diode's place would take of one release; the rest warms the coil."""
    return keep(
        freewheel.released_energy_j(coil_inductance_h, coil_resistance_ohm, current_a, release_clamp_v),
        "energy into a suppressor",
    )


def switch_with_suppressor_v(highest_v, release_clamp_v):
    """Voltage over the switch or regulator that lets go, with a suppressor in the diode's place."""
    return keep(freewheel.switch_v(highest_v, release_clamp_v), "voltage over the switch")
