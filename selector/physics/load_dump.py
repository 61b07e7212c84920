r"""The pulse of an alternator whose battery comes off, and what a clamp takes of it.

.. math:: u(t) = U_A + (U_s - U_A)\,e^{-t/\tau}, \qquad \tau = t_d/\ln 10

behind a source resistance; the rise is left out. Any pulse given by its peak, resistance and time to a tenth is worked
the same way. Source key: iso-16750-2-2012.
"""

import math

from selector.maths import exp, keep, log, most

LN10 = math.log(10.0)


def time_constant_s(pulse_time_s):
    """Time constant of a pulse by its duration, from a tenth to a tenth of its height, rise neglected [s].

    Source key: iso-16750-2-2012.

    Examples
    --------
    >>> [round(1000 * time_constant_s(ms / 1000), 2) for ms in (100, 350, 400)]
    [43.43, 152.0, 173.72]
    """
    return pulse_time_s / LN10


def pulse_at_v(time_s, supply_v, peak_v, pulse_time_s):
    r"""Open-circuit voltage of the pulse.

    .. math:: u = U_A + (U_s - U_A) e^{-t \ln 10/t_d}

    Parameters
    ----------
    time_s : time since the peak [s]
    supply_v : voltage the machine charged at, U_A [V]
    peak_v : absolute peak, U_s [V]
    pulse_time_s : duration t_d [s]

    References
    ----------
    .. [1] ISO 16750-2:2012, 4.6.4. Source key: iso-16750-2-2012. ISO 7637-2:2004 gives its peaks above the supply.

    Examples
    --------
    >>> pulse_at_v(0.0, 14.0, 101.0, 0.4), round(pulse_at_v(0.4, 14.0, 101.0, 0.4), 2)
    (101.0, 22.7)
    """
    return supply_v + (peak_v - supply_v) * exp(0.0 - time_s / time_constant_s(pulse_time_s))


def source_resistance_ohm(rated_v, rated_current_a, speed_rpm, *, reference_rpm=12000.0):
    r"""Resistance behind the pulse by the machine's rating.

    .. math:: R_i = \frac{10\,U_{nom} N_{act}}{0.8\, I_{rated}\, 12000\,min^{-1}}

    Parameters
    ----------
    rated_v : voltage the machine is used at [V]
    rated_current_a : rated current at 6000 rpm [A]
    speed_rpm : speed at the moment of the dump [1/min]

    Returns
    -------
    source_resistance_ohm : [ohm]

    References
    ----------
    .. [1] ISO 16750-2:2012, 4.6.4. Source key: iso-16750-2-2012.

    Examples
    --------
    >>> source_resistance_ohm(14.0, 100.0, 6000.0)
    0.875
    """
    return 10.0 * rated_v * speed_rpm / (0.8 * rated_current_a * reference_rpm)


def dump_current_a(peak_v, clamp_v, source_resistance_ohm, clamp_resistance_ohm):
    r"""Greatest current into a clamp.

    .. math:: I = \frac{U_s - V}{R_i + R_d}

    Parameters
    ----------
    peak_v : absolute peak [V]
    clamp_v : voltage at which the clamp begins, V [V]
    source_resistance_ohm : R_i [ohm]
    clamp_resistance_ohm : R_d of all suppressors together, 0 for a constant clamp [ohm]

    Returns
    -------
    dump_current_a : [A]; 0 where the peak does not reach the clamp

    References
    ----------
    .. [1] From the pulse form of ISO 16750-2:2012. Source key: iso-16750-2-2012.

    Examples
    --------
    >>> dump_current_a(101.0, 40.0, 4.0, 0.0)
    15.25
    """
    return most(peak_v - clamp_v, 0.0 * peak_v) / (source_resistance_ohm + clamp_resistance_ohm)


def dump_power_w(peak_v, clamp_v, source_resistance_ohm, clamp_resistance_ohm):
    """Greatest power in the clamp, at the peak [W].

    Parameters
    ----------
    peak_v, clamp_v, source_resistance_ohm, clamp_resistance_ohm : as for ``dump_current_a``

    Examples
    --------
    >>> round(dump_power_w(101.0, 29.5, 4.0, 0.05529), 1)
    537.3
    """
    current = keep(dump_current_a(peak_v, clamp_v, source_resistance_ohm, clamp_resistance_ohm), "dump current")
    return (clamp_v + clamp_resistance_ohm * current) * current


def dump_time_s(peak_v, supply_v, clamp_v, pulse_time_s):
    r"""How long the clamp conducts.

    .. math:: t_1 = \tau \ln\frac{U_s - U_A}{V - U_A}

    Parameters
    ----------
    peak_v, supply_v : U_s and U_A [V]
    clamp_v : voltage at which the clamp begins, V [V]
    pulse_time_s : duration t_d [s]

    Returns
    -------
    dump_time_s : [s]; 0 where the peak does not reach the clamp, unknown where the clamp conducts at the supply already

    References
    ----------
    .. [1] From the pulse form of ISO 16750-2:2012. Source key: iso-16750-2-2012.

    Examples
    --------
    >>> round(1000 * dump_time_s(101.0, 14.0, 40.0, 0.4), 2)
    209.82
    """
    time_s = time_constant_s(pulse_time_s) * log((peak_v - supply_v) / (clamp_v - supply_v))
    return most(time_s, 0.0 * pulse_time_s)


def dump_energy_j(peak_v, supply_v, clamp_v, source_resistance_ohm, clamp_resistance_ohm, pulse_time_s):
    r"""Energy the clamp takes of one pulse, all suppressors together.

    .. math:: E = V Q + R_d \int_0^{t_1} i^2 dt, \qquad i = a e^{-t/\tau} - b,\ a = \frac{U_s - U_A}{R_i + R_d},\
        b = \frac{V - U_A}{R_i + R_d}

    Parameters
    ----------
    peak_v, supply_v, clamp_v : U_s, U_A and V [V]
    source_resistance_ohm, clamp_resistance_ohm : R_i and R_d [ohm]
    pulse_time_s : duration t_d [s]

    Returns
    -------
    dump_energy_j : [J]; 0 and unknown as for ``dump_time_s``

    Notes
    -----
    With both parts of the integral in closed form, Q = a tau (1 - b/a) - b t_1. A lower clamp may take more energy
    than a higher one: both ends of a breakdown window count. The energy lost in the source is not in it.

    References
    ----------
    .. [1] From the pulse form of ISO 16750-2:2012. Source key: iso-16750-2-2012.

    Examples
    --------
    >>> round(dump_energy_j(101.0, 14.0, 40.0, 4.0, 0.0, 0.4), 2)
    51.42
    """
    resistance = source_resistance_ohm + clamp_resistance_ohm
    fall_a = keep((peak_v - supply_v) / resistance, "falling part of the current")
    held_a = keep((clamp_v - supply_v) / resistance, "part the clamp holds back")
    time_s = keep(dump_time_s(peak_v, supply_v, clamp_v, pulse_time_s), "conduction time")
    tau_s = keep(time_constant_s(pulse_time_s), "time constant")
    left = keep(exp(0.0 - time_s / tau_s), "left of the pulse")
    charge = fall_a * tau_s * (1.0 - left) - held_a * time_s
    falling = fall_a * fall_a * tau_s / 2.0 * (1.0 - left * left)
    mixed = 2.0 * fall_a * held_a * tau_s * (1.0 - left)
    return clamp_v * charge + clamp_resistance_ohm * (falling - mixed + held_a * held_a * time_s)


def matched_energy_j(peak_v, supply_v, source_resistance_ohm, pulse_time_s):
    r"""Energy of the pulse in a resistor equal to the source's, the supply ignored.

    .. math:: E = \frac{(U_s - U_A)^2 t_d}{8 \ln 10\, R_i}

    Parameters
    ----------
    peak_v, supply_v : U_s and U_A [V]
    source_resistance_ohm : R_i [ohm]
    pulse_time_s : duration t_d [s]

    Notes
    -----
    The greatest energy the part above the supply can leave in any resistor; no measure of what a clamp takes.

    References
    ----------
    .. [1] Integral of the pulse form of ISO 16750-2:2012. Source key: iso-16750-2-2012.

    Examples
    --------
    >>> round(matched_energy_j(101.0, 14.0, 4.0, 0.4), 2)
    41.09
    """
    return (peak_v - supply_v) ** 2 * pulse_time_s / (8.0 * LN10 * source_resistance_ohm)
