r"""Wires that warm and cool: the heat that metal and insulation hold, current and rest times.

One lump with one time constant,

.. math:: C \frac{dT}{dt} = \frac{T_\infty - T}{R}, \qquad \tau = R C

In its first moments a wire in thick insulation is warmer than one lump says, since the wall has taken little yet:
for times short beside the time constant leave the wall out. Source key: incropera-heat-transfer.
"""

from selector.maths import PI, exp, keep, least, log, most, sqrt, where


def wall_area_mm2(diameter_m, outer_diameter_m, *, mm2_per_m2=1e6):
    """Area of the insulation around a round wire [mm2].

    Examples
    --------
    >>> round(wall_area_mm2(4e-3, 7e-3), 2)
    25.92
    """
    return PI / 4.0 * (outer_diameter_m * outer_diameter_m - diameter_m * diameter_m) * mm2_per_m2


def heat_capacity_j_per_m_k(
    area_mm2,
    metal_density_kg_per_m3,
    metal_heat_capacity_j_per_kg_k,
    wall_area_mm2,
    wall_density_kg_per_m3,
    wall_heat_capacity_j_per_kg_k,
    *,
    m2_per_mm2=1e-6,
):
    r"""Heat a metre of wire holds for each kelvin.

    .. math:: C = \rho_m c_m A_m + \rho_i c_i A_i

    Parameters
    ----------
    area_mm2 : area of the metal [mm2]
    metal_density_kg_per_m3, metal_heat_capacity_j_per_kg_k : of the metal [kg/m3], [J/(kg K)]
    wall_area_mm2 : area of the insulation [mm2]
    wall_density_kg_per_m3, wall_heat_capacity_j_per_kg_k : of the insulation [kg/m3], [J/(kg K)]

    Returns
    -------
    heat_capacity_j_per_m_k : [J/(m K)]

    Notes
    -----
    All of the wall counts, though its outside is cooler; leave the wall out for the safe side of short times.

    Examples
    --------
    >>> round(heat_capacity_j_per_m_k(8.37, 8890.0, 388.0, 25.9, 1200.0, 1300.0), 1)
    69.3
    """
    metal = area_mm2 * m2_per_mm2 * metal_density_kg_per_m3 * metal_heat_capacity_j_per_kg_k
    return metal + wall_area_mm2 * m2_per_mm2 * wall_density_kg_per_m3 * wall_heat_capacity_j_per_kg_k


def time_constant_s(heat_capacity_j_per_m_k, steady_rise_k, heat_w_per_m):
    r"""Time constant of a wire by its steady state at one current.

    .. math:: \tau = C\,\Delta T_\infty/Q

    Parameters
    ----------
    heat_capacity_j_per_m_k : heat a metre holds for each kelvin [J/(m K)]
    steady_rise_k : steady rise over the air [K]
    heat_w_per_m : heat made in a metre in that state [W/m]

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, lumped capacitance.
       Source key: incropera-heat-transfer.

    Examples
    --------
    >>> round(time_constant_s(69.3, 60.0, 18.0))
    231
    """
    return heat_capacity_j_per_m_k * steady_rise_k / heat_w_per_m


def after_k(start_k, steady_k, time_s, time_constant_s):
    r"""Temperature after a time.

    .. math:: T = T_\infty + (T_0 - T_\infty) e^{-t/\tau}

    Parameters
    ----------
    start_k : temperature to begin with [K]
    steady_k : temperature it would end at [K]
    time_s, time_constant_s : [s]

    Examples
    --------
    >>> round(after_k(300.0, 400.0, 231.0, 231.0), 1)
    363.2
    """
    return steady_k + (start_k - steady_k) * exp(0.0 - time_s / time_constant_s)


def cycle_peak_k(on_steady_k, off_steady_k, on_time_s, off_time_s, time_constant_s):
    r"""Highest temperature of a load that comes and goes, once it repeats itself.

    .. math:: T = T_{off} + (T_{on} - T_{off}) \frac{1 - e^{-t_{on}/\tau}}{1 - e^{-(t_{on} + t_{off})/\tau}}

    Parameters
    ----------
    on_steady_k : steady temperature at the load's current [K]
    off_steady_k : steady temperature at rest, the air's where no current is left [K]
    on_time_s, off_time_s : current and rest times [s]
    time_constant_s : of the wire [s]

    Examples
    --------
    >>> round(cycle_peak_k(400.0, 300.0, 60.0, 60.0, 231.0), 1), round(cycle_peak_k(400.0, 300.0, 1e4, 60.0, 231.0), 1)
    (356.5, 400.0)
    """
    share = (1.0 - exp(0.0 - on_time_s / time_constant_s)) / (
        1.0 - exp(0.0 - (on_time_s + off_time_s) / time_constant_s)
    )
    return off_steady_k + (on_steady_k - off_steady_k) * share


def time_to_s(start_k, steady_k, limit_k, time_constant_s, *, never_s=1e9):
    r"""Time until a wire reaches a limit on its way to a steady temperature.

    .. math:: t = \tau \ln\frac{T_\infty - T_0}{T_\infty - T_{lim}}

    Parameters
    ----------
    start_k, steady_k, limit_k : [K]
    time_constant_s : [s]

    Returns
    -------
    time_to_s : [s]; 0 where it is there already, ``never_s`` where it never gets there

    References
    ----------
    .. [1] IEC 60255-149, thermal overload relays, has this with squares of currents. Source key: iec-60255-149.

    Examples
    --------
    >>> [round(time_to_s(*ends, 363.2, 231.0)) for ends in ((300.0, 400.0), (300.0, 350.0), (370.0, 400.0))]
    [231, 1000000000, 0]
    """
    left = keep(steady_k - limit_k, "rise beyond the limit")
    ratio = keep((steady_k - start_k) / where(left, 0.0 * left, limit_k, left), "rises over the limit's")
    time_s = time_constant_s * log(most(ratio, 1.0))
    reached = where(limit_k, start_k, 0.0 * time_s, never_s + 0.0 * time_s)
    return where(left, 0.0 * left, reached, time_s)


def duty_rms_a(on_current_a, off_current_a, on_time_s, off_time_s):
    r"""Rms of a current that comes and goes; what counts once the cycle is short beside the time constant.

    .. math:: I = \sqrt{\frac{I_{on}^2 t_{on} + I_{off}^2 t_{off}}{t_{on} + t_{off}}}

    Parameters
    ----------
    on_current_a, off_current_a : [A]
    on_time_s, off_time_s : [s]

    Examples
    --------
    >>> round(duty_rms_a(100.0, 0.0, 15.0, 45.0), 1)
    50.0
    """
    heat = on_current_a * on_current_a * on_time_s + off_current_a * off_current_a * off_time_s
    return sqrt(heat / (on_time_s + off_time_s))


def overload_factor(before_share, time_s, time_constant_s):
    r"""Current a wire stands for a time over its continuous current.

    .. math:: k = \sqrt{\frac{1 - p^2 e^{-t/\tau}}{1 - e^{-t/\tau}}}

    Parameters
    ----------
    before_share : current before over the continuous one, at most 1
    time_s, time_constant_s : [s]

    Notes
    -----
    Rise taken as going with the square of the current, as in IEC 60255-149. Source key: iec-60255-149.

    Examples
    --------
    >>> round(overload_factor(0.0, 60.0, 231.0), 2), round(overload_factor(1.0, 60.0, 231.0), 2)
    (2.09, 1.0)
    """
    left = keep(exp(0.0 - time_s / time_constant_s), "left of the start")
    before = least(before_share, 1.0)
    return sqrt((1.0 - before * before * left) / (1.0 - left))
