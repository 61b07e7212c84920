"""What a bar carries at another temperature than it was measured at."""

from selector.maths import exp, log, most, where

RISE_EXPONENT = 0.61
"""Current of a bar goes with the rise to this power, free air; from memory of bar makers' tables. Key din-43671."""


def ampacity_at_a(ampacity_a, printed_ambient_k, printed_bar_k, ambient_k, limit_k):
    r"""Continuous current of a bar whose air and limit are not those of the table.

    .. math:: I = I_0 \left(\frac{\theta_{lim} - \theta_a}{\theta_0 - \theta_{a0}}\right)^{n}

    Parameters
    ----------
    ampacity_a : printed continuous current [A]
    printed_ambient_k, printed_bar_k : air and bar it was printed for [K]
    ambient_k : air around the bar [K]
    limit_k : temperature the bar may reach [K]

    Returns
    -------
    ampacity_at_a : [A]; 0 where no rise is left

    Notes
    -----
    n is 0.61 below the printed rise and 0.5 above it, the safe one either way: a bar's film coefficient grows with the
    rise, the exponent of tables lies between.

    References
    ----------
    .. [1] DIN 43671:1975, continuous currents of copper bars at 35 degC air and 65 degC bar. Source key: din-43671.

    Examples
    --------
    >>> [round(ampacity_at_a(500.0, 308.15, 338.15, air + 273.15, 338.15)) for air in (35, 50, 65, 5)]
    [500, 328, 0, 707]
    """
    share = most(limit_k - ambient_k, 0.0 * ambient_k) / (printed_bar_k - printed_ambient_k)
    logarithm = log(most(share, 1e-12))
    factor = where(share, 1.0, exp(RISE_EXPONENT * logarithm), exp(0.5 * logarithm))
    return ampacity_a * where(share, 0.0, 0.0 * share, factor)
