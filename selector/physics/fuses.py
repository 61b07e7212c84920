"""When a fuse or breaker opens, and what it carries where it is warm."""

from selector.maths import along, between, keep, where

AMBIENT_KNOTS_K = (233.15, 273.15, 298.15, 333.15, 358.15, 378.15, 398.15)
"""-40, 0, 25, 60, 85, 105 and 125 degC: where the factors of ``ambient_factor`` stand."""


def ambient_factor(ambient_k, factors, *, one_kelvin_k=1.0):
    """What a device carries at an ambient over what it carries at 25 degC.

    Straight lines between -40, 0, 25, 60, 85, 105 and 125 degC; the end values beyond.

    Parameters
    ----------
    ambient_k : air around the device [K]
    factors : seven values, one for each of those temperatures

    Returns
    -------
    ambient_factor : bare number

    Examples
    --------
    >>> round(ambient_factor(318.15, (1.12, 1.05, 1.0, 0.95, 0.9, 0.86, 0.8)), 4)
    0.9714
    """
    return between(ambient_k / one_kelvin_k, AMBIENT_KNOTS_K, factors)


def carried_a(rating_a, ambient_factor, load_factor):
    """Continuous load a device may have: its rating where it is, over the one factor for continuous load [A].

    Examples
    --------
    >>> carried_a(40.0, 1.0, 1.25)
    32.0
    """
    return rating_a * ambient_factor / load_factor


def conventional_current_a(rating_a, conventional_multiple):
    """Current that opens a device within its conventional time [A]. Source key: iec-60269-1.

    Examples
    --------
    >>> conventional_current_a(100.0, 1.6)
    160.0
    """
    return rating_a * conventional_multiple


def opening_time_s(multiple, multiples, times_s, keeps_i2t=1.0):
    r"""Opening time by the printed points of a class, straight lines on log-log paper.

    Parameters
    ----------
    multiple : current over rating
    multiples : multiples of rating of the printed points, rising
    times_s : opening times there [s]
    keeps_i2t : 1 for a fuse, whose I2t stays what it is at the last point, 0 for a breaker, whose time does

    Returns
    -------
    opening_time_s : time [s]; below the first point the time of the first point

    Notes
    -----
    .. math:: t = t_i (m/m_i)^{\ln(t_{i+1}/t_i)/\ln(m_{i+1}/m_i)}, \qquad t = t_n (m_n/m)^2\ \text{beyond the last}

    For the shortest time the value below the first point is on the safe side; for the longest use
    ``longest_opening_time_s``. Common practice, no source.

    Examples
    --------
    >>> times = (1800.0, 60.0, 7.0, 1.0)
    >>> [round(opening_time_s(m, (1.35, 2.0, 3.5, 6.0), times), 3) for m in (1.35, 2.0, 2.5, 12.0)]
    [1800.0, 60.0, 25.474, 0.25]
    """
    fallen = multiples[-1] / multiple
    beyond = times_s[-1] * (keeps_i2t * (fallen * fallen) + (1.0 - keeps_i2t))
    return where(multiple, multiples[-1], along(multiple, multiples, times_s), beyond)


def longest_opening_time_s(multiple, multiples, times_s, keeps_i2t=1.0, *, never_s=1e9):
    """As ``opening_time_s``; below the first point nobody says that the device opens at all: ``never_s`` [s].

    Examples
    --------
    >>> [longest_opening_time_s(m, (1.35, 2.0), (1800.0, 60.0)) for m in (1.2, 2.0, 4.0)]
    [1000000000.0, 60.0, 15.0]
    """
    time_s = keep(opening_time_s(multiple, multiples, times_s, keeps_i2t), "opening time")
    return where(multiples[0], multiple, time_s, never_s + 0.0 * time_s)


def self_heating_k(current_a, rating_a, rise_at_rating_k):
    """Rise of a device over its surroundings, with the square of its load [K]. Common practice, no source.

    Examples
    --------
    >>> self_heating_k(50.0, 100.0, 40.0)
    10.0
    """
    share = current_a / rating_a
    return rise_at_rating_k * (share * share)
