r"""A lead between two terminals of given temperature, making heat of its own and shedding it along the way.

.. math:: k A \frac{d^2T}{dx^2} - g (T - T_a) + I^2 R_{20}[1 + \alpha_{20}(T - T_{20})] = 0

With g, the heat a metre sheds for each kelvin of the metal over the air, held constant, the lead strives for the
temperature it has far from its ends, and the ends pull it away over a length 1/m. Source key: incropera-heat-transfer.
"""

from selector.maths import exp, keep, most, sqrt, where


def far_k(
    current_a,
    resistance_at_20_degc_ohm_per_m,
    temperature_coefficient_per_k,
    shed_w_per_m_k,
    ambient_k,
    *,
    reference_k=293.15,
):
    r"""Temperature of the lead far from its ends.

    .. math:: T_\infty = T_a + \frac{I^2 R_{20}[1 + \alpha_{20}(T_a - T_{20})]}{g - I^2 R_{20}\alpha_{20}}

    Parameters
    ----------
    current_a : rms current [A]
    resistance_at_20_degc_ohm_per_m : with its skin factor [ohm/m]
    temperature_coefficient_per_k : at 20 degC [1/K]
    shed_w_per_m_k : heat shed by a metre for each kelvin over the air [W/(m K)]
    ambient_k : air along the lead [K]

    Returns
    -------
    far_k : [K]; unknown where heat grows faster with temperature than it is shed, and there is no steady state

    Examples
    --------
    >>> round(far_k(100.0, 1.21e-3, 0.00393, 0.35, 313.15) - 273.15, 1)
    83.2
    """
    joule = keep(current_a * current_a * resistance_at_20_degc_ohm_per_m, "heat at 20 degC")
    left = keep(shed_w_per_m_k - joule * temperature_coefficient_per_k, "net heat shed")
    known_only = sqrt(left) / sqrt(left)
    warm = 1.0 + temperature_coefficient_per_k * (ambient_k - reference_k)
    return ambient_k + joule * warm / left * known_only


def shed_w_per_m_k(heat_w_per_m, conductor_k, ambient_k):
    """Heat a metre sheds for each kelvin, from one state of its heat balance [W/(m K)].

    Examples
    --------
    >>> shed_w_per_m_k(21.0, 373.15, 313.15)
    0.35
    """
    return heat_w_per_m / (conductor_k - ambient_k)


def fin_per_m(
    current_a,
    resistance_at_20_degc_ohm_per_m,
    temperature_coefficient_per_k,
    shed_w_per_m_k,
    conductivity_w_per_m_k,
    area_mm2,
    *,
    m2_per_mm2=1e-6,
):
    r"""How quickly the pull of an end dies away along the lead; half of it is gone after 0.7/m.

    .. math:: m = \sqrt{\frac{g - I^2 R_{20} \alpha_{20}}{k A}}

    Parameters
    ----------
    current_a, resistance_at_20_degc_ohm_per_m, temperature_coefficient_per_k, shed_w_per_m_k : as for ``far_k``
    conductivity_w_per_m_k : thermal conductivity of the metal [W/(m K)]
    area_mm2 : area of the metal [mm2]

    Returns
    -------
    fin_per_m : [1/m]; unknown where there is no steady state

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, fins of uniform section.
       Source key: incropera-heat-transfer.

    Examples
    --------
    >>> round(fin_per_m(0.0, 1.21e-3, 0.00393, 0.35, 391.0, 16.0), 2)
    7.48
    """
    net = shed_w_per_m_k - current_a * current_a * resistance_at_20_degc_ohm_per_m * temperature_coefficient_per_k
    return sqrt(net / (conductivity_w_per_m_k * area_mm2 * m2_per_mm2))


def _hyperbolic(length_m, fin_per_m):
    """1/sinh and coth of the lead's length in its own measure, without overflow."""
    once = keep(exp(0.0 - fin_per_m * length_m), "left of an end at the other")
    twice = keep(1.0 - once * once, "1 less its square")
    return keep(2.0 * once / twice, "inverse hyperbolic sine"), keep((1.0 + once * once) / twice, "coth")


def along_k(position_m, length_m, fin_per_m, far_k, from_end_k, to_end_k):
    r"""Temperature of the metal at a place along the lead.

    .. math:: T = T_\infty + \frac{\theta_1 \sinh m(L - x) + \theta_2 \sinh m x}{\sinh m L}

    Parameters
    ----------
    position_m : distance from the from end [m]
    length_m : length of the lead [m]
    fin_per_m : m [1/m]
    far_k : temperature far from the ends [K]
    from_end_k, to_end_k : temperatures of the two terminals [K]

    Examples
    --------
    >>> [round(along_k(x, 0.6, 7.48, 356.0, 393.15, 343.15), 2) for x in (0.0, 0.3, 0.6)]
    [393.15, 358.55, 343.15]
    """
    before = exp(0.0 - fin_per_m * position_m)
    behind = exp(0.0 - fin_per_m * (length_m - position_m))
    once = keep(exp(0.0 - fin_per_m * length_m), "left of an end at the other")
    own = (from_end_k - far_k) * (before - once * behind)
    return far_k + (own + (to_end_k - far_k) * (behind - once * before)) / (1.0 - once * once)


def _slope_k_per_m(length_m, fin_per_m, far_k, own_end_k, other_end_k):
    """How steeply the temperature rises from an end into the lead."""
    inverse, coth = _hyperbolic(length_m, fin_per_m)
    return fin_per_m * ((other_end_k - far_k) * inverse - (own_end_k - far_k) * coth)


def hottest_k(length_m, fin_per_m, far_k, from_end_k, to_end_k):
    r"""Temperature of the hottest place of the lead.

    .. math:: T_\infty - \sqrt{\theta_1^2 - [\theta_1 \coth mL - \theta_2/\sinh mL]^2}

    Parameters
    ----------
    length_m, fin_per_m, far_k, from_end_k, to_end_k : as for ``along_k``

    Returns
    -------
    hottest_k : [K]; the warmer terminal's where no place within is hotter

    Notes
    -----
    The place within exists where the temperature rises from both ends inwards.

    Examples
    --------
    >>> round(hottest_k(0.6, 7.48, 356.0, 343.15, 338.15), 2), hottest_k(0.6, 7.48, 356.0, 393.15, 343.15)
    (352.83, 393.15)
    """
    inverse, coth = _hyperbolic(length_m, fin_per_m)
    own, other = keep(from_end_k - far_k, "from end over far"), keep(to_end_k - far_k, "to end over far")
    squared = keep(inverse * (2.0 * own * other * coth - (own * own + other * other) * inverse), "square within")
    inside = keep(far_k - sqrt(most(squared, 0.0 * squared)), "hottest within")
    ends = most(from_end_k, to_end_k)
    from_slope = keep(_slope_k_per_m(length_m, fin_per_m, far_k, from_end_k, to_end_k), "slope at the from end")
    to_slope = keep(_slope_k_per_m(length_m, fin_per_m, far_k, to_end_k, from_end_k), "slope at the to end")
    either_way = where(to_slope, 0.0 * to_slope, ends, inside)
    return where(from_slope, 0.0 * from_slope, ends + 0.0 * inside, either_way)


def terminal_heat_w(
    length_m,
    fin_per_m,
    far_k,
    own_end_k,
    other_end_k,
    conductivity_w_per_m_k,
    area_mm2,
    *,
    m2_per_mm2=1e-6,
):
    r"""Heat the lead brings into one of its terminals; below 0 it takes heat out of it.

    .. math:: Q = k A m \left[\frac{\theta_2}{\sinh mL} - \theta_1 \coth mL\right]

    Parameters
    ----------
    length_m, fin_per_m, far_k : as for ``along_k``
    own_end_k, other_end_k : temperatures of this terminal and of the other [K]
    conductivity_w_per_m_k : thermal conductivity of the metal [W/(m K)]
    area_mm2 : area of the metal [mm2]

    Returns
    -------
    terminal_heat_w : [W]

    Examples
    --------
    >>> round(terminal_heat_w(0.6, 7.48, 356.0, 393.15, 343.15, 391.0, 16.0), 3)
    -1.752
    """
    slope = _slope_k_per_m(length_m, fin_per_m, far_k, own_end_k, other_end_k)
    return conductivity_w_per_m_k * area_mm2 * m2_per_mm2 * slope
