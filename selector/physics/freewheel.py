r"""A coil let go: its current runs on through a diode, a diode with a zener behind it, or a suppressor.

.. math:: L \frac{di}{dt} + R i + V = 0

with V the voltage that the path holds against the current: a diode's forward drop, and the zener's or the
suppressor's voltage with it. Source key: circuit-textbook.
"""

from selector.maths import exp, keep, log, most


def stored_energy_j(inductance_h, current_a):
    r"""Energy in a coil.

    .. math:: E = L I^2/2

    Parameters
    ----------
    inductance_h : [H]
    current_a : current when it is let go [A]

    References
    ----------
    .. [1] Circuit theory textbooks. Source key: circuit-textbook.

    Examples
    --------
    >>> stored_energy_j(0.2, 4.0)
    1.6
    """
    return inductance_h * (current_a * current_a) / 2.0


def release_time_s(inductance_h, resistance_ohm, current_a, path_v, left_a):
    r"""Time until a coil's current has fallen to what is left.

    .. math:: t = \frac{L}{R} \ln\frac{I R + V}{I_1 R + V}

    Parameters
    ----------
    inductance_h : [H]
    resistance_ohm : of the coil, above 0 [ohm]
    current_a : current when it is let go [A]
    path_v : voltage the path holds against it [V]
    left_a : current at which a relay drops out or a field counts as gone; 0 for the whole decay [A]

    Returns
    -------
    release_time_s : [s]; 0 where less is flowing from the start

    Notes
    -----
    A plain diode of 0.7 V leaves the coil's own time constant; a clamp well above I R shortens it to about L I/V.

    References
    ----------
    .. [1] Circuit theory textbooks, decay of an inductive current. Source key: circuit-textbook.

    Examples
    --------
    >>> [round(1000 * release_time_s(0.2, 3.0, 4.0, volts, 0.0), 2) for volts in (0.7, 40.0)]
    [193.22, 17.49]
    """
    ratio = (current_a * resistance_ohm + path_v) / (left_a * resistance_ohm + path_v)
    return inductance_h / resistance_ohm * log(most(ratio, 1.0))


def released_energy_j(inductance_h, resistance_ohm, current_a, path_v):
    r"""Energy that goes into the path; the rest warms the coil.

    .. math:: E = V \int i\,dt = \frac{V}{R} (L I - V t)

    Parameters
    ----------
    inductance_h, resistance_ohm, current_a, path_v : as for ``release_time_s``

    References
    ----------
    .. [1] Circuit theory textbooks, decay of an inductive current. Source key: circuit-textbook.

    Examples
    --------
    >>> round(released_energy_j(0.2, 3.0, 4.0, 40.0), 4)
    1.3382
    """
    time_s = keep(
        inductance_h / resistance_ohm * log((current_a * resistance_ohm + path_v) / path_v), "time of the whole decay"
    )
    return path_v * (inductance_h * current_a - path_v * time_s) / resistance_ohm


def mean_release_w(released_energy_j, releases_hz):
    """Heat of a path whose coil is let go again and again [W]. Source key: circuit-textbook.

    Examples
    --------
    >>> round(mean_release_w(0.0025, 10.0), 3)
    0.025
    """
    return released_energy_j * releases_hz


def switch_v(supply_v, path_v):
    """Voltage over the switch that let the coil go: the supply's and the path's [V].

    Examples
    --------
    >>> switch_v(28.8, 40.0)
    68.8
    """
    return supply_v + path_v


def decay_a(time_s, inductance_h, resistance_ohm, current_a, path_v):
    r"""Current of the coil at a time.

    .. math:: i = (I + V/R) e^{-tR/L} - V/R

    Parameters
    ----------
    time_s : since it was let go [s]
    inductance_h, resistance_ohm, current_a, path_v : as for ``release_time_s``

    Returns
    -------
    decay_a : [A]; 0 once it has stopped

    Examples
    --------
    >>> round(decay_a(0.01, 0.2, 3.0, 4.0, 40.0), 3), decay_a(0.02, 0.2, 3.0, 4.0, 40.0)
    (1.586, 0.0)
    """
    held_a = path_v / resistance_ohm
    left_a = (current_a + held_a) * exp(0.0 - time_s * resistance_ohm / inductance_h) - held_a
    return most(left_a, 0.0 * current_a)
