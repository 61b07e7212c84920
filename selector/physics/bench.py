"""What readings on a bench say about an unmarked suppressor, zener or diode, and what they cannot say."""

import math

from selector.maths import exp, keep, log, most
from selector.physics.suppressor import breakdown_at_v


def least_breakdown_v(
    reading_v,
    meter_share,
    current_a,
    test_current_a,
    slope_ohm,
    rise_share,
    temperature_coefficient_per_k,
    junction_k,
):
    r"""Lowest breakdown at 25 degC and test current that explains a voltage read in reverse.

    .. math:: V_{BR} \ge \frac{V(1 - m) - R\,\max(I - I_T, 0)}{(1 + s)\,[1 + \alpha (T - 25\,^\circ C)]}

    Parameters
    ----------
    reading_v : voltage read [V]
    meter_share : what the meter may be wrong by, as a share of what it shows
    current_a : current read, or the one that was not reached [A]
    test_current_a : current the part's breakdown is given at [A]
    slope_ohm : steepest rise of its voltage with current; 0 where ``rise_share`` stands for it [ohm]
    rise_share : rise above breakdown at bench currents of a part whose slope nobody gives, as a share
    temperature_coefficient_per_k : of its breakdown [1/K]
    junction_k : warmest its junction may have been [K]

    Notes
    -----
    Breakdown is steep: from a milliampere to an ampere an avalanche part rises by a few percent, much of that from its own
    warmth. The line from breakdown to the clamp point is the most it may rise. A reading at less than the test
    current, or of no current at all, has this lower bound and no upper one.

    References
    ----------
    .. [1] Application notes on clamping voltage at other pulse currents. Source key: application-note-clamp-voltage.

    Examples
    --------
    >>> round(least_breakdown_v(52.5, 0.01, 1.0, 0.001, 0.77, 0.0, 0.001, 303.15), 2)
    50.95
    """
    rise_v = slope_ohm * most(current_a - test_current_a, 0.0 * current_a)
    at_test_v = (reading_v * (1.0 - meter_share) - rise_v) / (1.0 + rise_share)
    return at_test_v / breakdown_at_v(1.0, temperature_coefficient_per_k, junction_k)


def greatest_breakdown_v(reading_v, meter_share, temperature_coefficient_per_k, junction_k):
    r"""Highest breakdown at 25 degC and test current that explains a voltage read in reverse at that current or more.

    .. math:: V_{BR} \le \frac{V(1 + m)}{1 + \alpha (T - 25\,^\circ C)}

    Parameters
    ----------
    reading_v, meter_share, temperature_coefficient_per_k : as for ``least_breakdown_v``
    junction_k : coolest its junction may have been [K]

    References
    ----------
    .. [1] Data sheets of 1500 W axial suppressors. Source key: datasheet-suppressor-1500w-axial.

    Examples
    --------
    >>> round(greatest_breakdown_v(52.0, 0.01, 0.001, 293.15), 2)
    52.78
    """
    return reading_v * (1.0 + meter_share) / breakdown_at_v(1.0, temperature_coefficient_per_k, junction_k)


def leakage_at_a(leakage_a, junction_k, *, printed_k=298.15, doubles_in_k=10.0):
    r"""Leakage at another temperature than 25 degC: it doubles every 10 K.

    .. math:: I(T) = I_{25}\,2^{(T - 25\,^\circ C)/10\,K}

    Parameters
    ----------
    leakage_a : at 25 degC [A]
    junction_k : temperature of the junction [K]

    Notes
    -----
    The usual rule for silicon; common practice, no source.

    Examples
    --------
    >>> round(1e6 * leakage_at_a(5e-6, 318.15), 9)
    20.0
    """
    return leakage_a * exp(math.log(2.0) * (junction_k - printed_k) / doubles_in_k)


def forward_drop_v(
    current_a,
    rated_a,
    junction_drop_v,
    resistive_drop_v,
    ideality,
    junction_k,
    *,
    thermal_v_per_k=8.617333e-5,
    drift_v_per_k=-0.002,
    printed_k=298.15,
):
    r"""Forward drop at a current from what it is at the rated current.

    .. math:: V = V_j - n\frac{kT}{q}\ln\frac{I_N}{I} + V_r\frac{I}{I_N} - 2\,\frac{mV}{K}(T - 25\,^\circ C)

    Parameters
    ----------
    current_a, rated_a : current read and rated current [A]
    junction_drop_v : of the junction alone at rated current [V]
    resistive_drop_v : of metal and silicon at rated current [V]
    ideality : 1 to 2 for silicon
    junction_k : temperature of the junction [K]

    Notes
    -----
    The drop falls by 60 mV (ideality 1) to 120 mV (ideality 2) for each tenth of the current. The drift of 2 mV/K is
    common practice, no source.

    References
    ----------
    .. [1] W. Shockley, Bell System Technical Journal 28, 1949. Source key: shockley-1949.

    Examples
    --------
    >>> round(forward_drop_v(0.01, 1.0, 0.9, 0.2, 1.0, 298.15), 3)
    0.784
    """
    thermal_v = keep(thermal_v_per_k * junction_k, "thermal voltage")
    junction_v = junction_drop_v - ideality * thermal_v * log(rated_a / current_a)
    return junction_v + resistive_drop_v * (current_a / rated_a) + drift_v_per_k * (junction_k - printed_k)


def steady_rise_k(power_w, steady_power_w, rated_at_k, greatest_junction_k):
    r"""Rise of a junction over its leads or case in a steady test, by the rating of its steady power.

    .. math:: \Delta T = P\,\frac{T_{j,max} - T_{rated}}{P_{steady}}

    Parameters
    ----------
    power_w : voltage times current of the test [W]
    steady_power_w : rated steady power [W]
    rated_at_k : lead or case temperature the rating holds to [K]
    greatest_junction_k : greatest junction temperature [K]

    References
    ----------
    .. [1] Data sheets of 1500 W axial suppressors (5.0 W, leads at 75 degC, 175 degC). Source key:
       datasheet-suppressor-1500w-axial.

    Examples
    --------
    >>> round(steady_rise_k(5.2, 5.0, 348.15, 448.15))
    104
    """
    return power_w * ((greatest_junction_k - rated_at_k) / steady_power_w)


def apparent_warming_k(lower_v, upper_v, temperature_coefficient_per_k):
    r"""Warming that alone would explain a rise of breakdown between two readings.

    .. math:: \Delta T = \frac{V_2/V_1 - 1}{\alpha}

    Parameters
    ----------
    lower_v, upper_v : readings at the lower and the higher current [V]
    temperature_coefficient_per_k : of the breakdown [1/K]

    References
    ----------
    .. [1] Data sheets of 1500 W axial suppressors. Source key: datasheet-suppressor-1500w-axial.

    Examples
    --------
    >>> round(apparent_warming_k(52.0, 52.5, 0.001), 1)
    9.6
    """
    return (upper_v / lower_v - 1.0) / temperature_coefficient_per_k


def reading_slope_ohm(lower_v, lower_a, upper_v, upper_a):
    """Rise of voltage with current between two readings [ohm].

    It holds warming and slope together; it does not tell the pulse power. Source key: circuit-textbook.

    Examples
    --------
    >>> round(reading_slope_ohm(52.0, 0.1, 52.5, 1.0), 3)
    0.556
    """
    return (upper_v - lower_v) / (upper_a - lower_a)
