"""How a heat sink sheds heat in the air it stands in.

Catalogues print one thermal resistance, in still air at a rise of 75 K or at an air speed. Less rise, an air stream
and thin air change it. Source keys: datasheet-heatsink-natural, datasheet-heatsink-forced-air, trade-practice.
"""

from selector.maths import least, most, sqrt, where
from selector.physics.air import pressure_pa

FORCED_FACTOR_AT_2_M_PER_S = 0.435
"""Resistance in a stream of 2 m/s over that in still air at a rise of 75 K."""


def rise_factor(sink_rise_k, *, printed_rise_k=75.0):
    r"""Resistance of a sink in still air over the printed one: less rise drives less air.

    .. math:: f = (75\,K/\Delta T)^{0.25}

    Parameters
    ----------
    sink_rise_k : rise of the sink over the air [K]

    Returns
    -------
    rise_factor : bare number, 1 at a rise of 75 K

    References
    ----------
    .. [1] Heat sink data page, correction for temperature rise. Source key: datasheet-heatsink-natural.

    Examples
    --------
    >>> [round(rise_factor(rise), 4) for rise in (75.0, 50.0, 30.0)]
    [1.0, 1.1067, 1.2574]
    """
    return (printed_rise_k / sink_rise_k) ** 0.25


def forced_factor(air_speed_m_per_s, *, printed_speed_m_per_s=2.0):
    r"""Resistance of a sink in an air stream over that printed for still air.

    .. math:: f = 0.435 \sqrt{2\,m/s \,/\, v}

    Parameters
    ----------
    air_speed_m_per_s : speed between the fins [m/s]

    Returns
    -------
    forced_factor : bare number, 0.435 at 2 m/s

    Notes
    -----
    One printed point, carried to other speeds by the root of the speed; a measured curve of the sink is better. Below
    1 to 2 m/s free convection has a share that this leaves out.

    References
    ----------
    .. [1] Heat sink catalogue page, forced-air correction. Source key: datasheet-heatsink-forced-air.
    .. [2] Technical paper on heat sink flow regimes. Source key: heatsink-flow-paper.

    Examples
    --------
    >>> [round(forced_factor(speed), 3) for speed in (1.0, 2.0, 3.0, 5.0)]
    [0.615, 0.435, 0.355, 0.275]
    """
    return FORCED_FACTOR_AT_2_M_PER_S * sqrt(printed_speed_m_per_s / air_speed_m_per_s)


def altitude_factor(altitude_m, *, sea_level_pa=101325.0):
    r"""Resistance of a sink at a height over that at sea level, still or moving air.

    .. math:: f = \sqrt{p_0/p}

    Parameters
    ----------
    altitude_m : height above the sea [m]

    Notes
    -----
    Laminar convection, free or forced, goes with the root of the density of the air.

    References
    ----------
    .. [1] Common practice gives 1.1 at 1500 m. Source key: trade-practice.

    Examples
    --------
    >>> round(altitude_factor(1500.0), 2)
    1.09
    """
    return sqrt(sea_level_pa / pressure_pa(altitude_m))


def forced_k_per_w(
    sink_to_air_k_per_w,
    printed_at_m_per_s,
    air_speed_m_per_s,
    altitude_m,
    *,
    least_speed_m_per_s=1e-6,
):
    """Thermal resistance of a sink in an air stream [K/W].

    Parameters
    ----------
    sink_to_air_k_per_w : as printed [K/W]
    printed_at_m_per_s : air speed it is printed for, 0 for still air at a rise of 75 K [m/s]
    air_speed_m_per_s : speed between the fins; none makes the resistance as good as endless [m/s]
    altitude_m : height above the sea [m]

    Examples
    --------
    >>> [round(forced_k_per_w(0.37, *rest, 0.0), 3) for rest in ((0.0, 2.0), (2.0, 8.0))]
    [0.161, 0.185]
    """
    speed = most(air_speed_m_per_s, least_speed_m_per_s)
    printed = most(printed_at_m_per_s, least_speed_m_per_s)
    factor = where(printed_at_m_per_s, 0.0 * least_speed_m_per_s, forced_factor(speed), sqrt(printed / speed))
    return sink_to_air_k_per_w * factor * altitude_factor(altitude_m)


def free_rise_k(heat_w, sink_to_air_k_per_w, altitude_m, *, printed_rise_k=75.0):
    r"""Rise of a sink in still air, its own correction for the rise worked in.

    .. math:: \Delta T = (P R f_h\, 75^{0.25})^{0.8}

    Parameters
    ----------
    heat_w : heat into the sink [W]
    sink_to_air_k_per_w : printed for still air at a rise of 75 K [K/W]
    altitude_m : height above the sea [m]

    Examples
    --------
    >>> round(free_rise_k(50.0, 1.5, 0.0), 1), round(free_rise_k(20.0, 1.5, 0.0), 1)
    (75.0, 36.0)
    """
    at_75 = heat_w * sink_to_air_k_per_w * altitude_factor(altitude_m)
    return printed_rise_k * (at_75 / printed_rise_k) ** 0.8


def sink_rise_k(heat_w, sink_to_air_k_per_w, printed_at_m_per_s, air_speed_m_per_s, altitude_m):
    """Rise of a sink over its air, free or forced, whichever carries more away [K].

    Parameters
    ----------
    heat_w : heat into the sink [W]
    sink_to_air_k_per_w : as printed [K/W]
    printed_at_m_per_s : air speed it is printed for, 0 for still air at a rise of 75 K [m/s]
    air_speed_m_per_s : speed between the fins, 0 for still air [m/s]
    altitude_m : height above the sea [m]

    Notes
    -----
    A sink printed for a stream says nothing of still air: its free rise is taken from its stream's figure over 0.435
    at 2 m/s, the same relation backwards. The better of the two alone is on the safe side of both together.

    Examples
    --------
    >>> [round(sink_rise_k(100.0, 0.35, 0.0, speed, 0.0), 1) for speed in (0.0, 2.0, 5.0)]
    [40.8, 15.2, 9.6]
    """
    forced = heat_w * forced_k_per_w(sink_to_air_k_per_w, printed_at_m_per_s, air_speed_m_per_s, altitude_m)
    still = still_k_per_w(sink_to_air_k_per_w, printed_at_m_per_s)
    return least(forced, free_rise_k(heat_w, still, altitude_m))


def still_k_per_w(sink_to_air_k_per_w, printed_at_m_per_s, *, least_speed_m_per_s=1e-6):
    """Thermal resistance in still air at a rise of 75 K, of a sink printed for that or for a stream [K/W].

    Parameters
    ----------
    sink_to_air_k_per_w : as printed [K/W]
    printed_at_m_per_s : air speed it is printed for, 0 for still air [m/s]

    Examples
    --------
    >>> still_k_per_w(0.37, 0.0), round(still_k_per_w(0.161, 2.0), 2)
    (0.37, 0.37)
    """
    printed = most(printed_at_m_per_s, least_speed_m_per_s)
    from_stream = sink_to_air_k_per_w / forced_factor(printed)
    return where(printed_at_m_per_s, 0.0 * least_speed_m_per_s, sink_to_air_k_per_w, from_stream)


def channel_speed_m_per_s(flow_m3_per_s, channels, channel_height_m, channel_width_m):
    """Speed between the fins, from the flow of a fan and the channels it goes through [m/s].

    Source key: datasheet-heatsink-forced-air, which prints 471 for cubic feet a minute and millimetres.

    Examples
    --------
    >>> round(channel_speed_m_per_s(0.02, 10.0, 0.03, 0.008), 2)
    8.33
    """
    return flow_m3_per_s / (channels * channel_height_m * channel_width_m)


def warmed_air_k(
    air_k,
    upstream_w,
    flow_m3_per_s,
    altitude_m,
    *,
    heat_capacity_j_per_kg_k=1007.0,
    gas_j_per_kg_k=287.05,
):
    r"""Air of a duct after what it has cooled.

    .. math:: T = T_0 + \frac{P R_s T_0}{p\, c_p \dot V}

    Parameters
    ----------
    air_k : air that enters the duct [K]
    upstream_w : heat given to it before the sink [W]
    flow_m3_per_s : volume of that air in a second [m3/s]
    altitude_m : height above the sea [m]

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, energy balance of a stream.
       Source key: incropera-heat-transfer.

    Examples
    --------
    >>> round(warmed_air_k(323.15, 230.0, 0.02, 0.0) - 323.15, 1)
    10.5
    """
    density = pressure_pa(altitude_m) / (gas_j_per_kg_k * air_k)
    return air_k + upstream_w / (density * heat_capacity_j_per_kg_k * flow_m3_per_s)
