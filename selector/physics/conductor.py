"""Bare metal: sizes, resistance at temperature, plating, skin effect."""

import math

from selector.maths import keep, least, most, sqrt, where

SERIES_TERMS = 14
SERIES_UP_TO = 10.0
"""Skin effect: terms of the power series, and the argument at which the large-argument form takes over."""

HARMONICS = (1, 5, 7, 11, 13, 17, 19, 23, 25)
"""Orders in the line current of a six-pulse bridge; amplitudes fall as one over the order."""
TRIPLES = (3, 9, 15, 21)
"""Orders in the line current of a single-phase bridge besides: its blocks last half a turn."""


def awg_diameter_m(gauge_number, *, gauge_36_m=0.127e-3):
    r"""Diameter of a solid wire by its gauge number.

    .. math:: d = 0.127\,mm \cdot 92^{(36 - n)/39}

    Parameters
    ----------
    gauge_number : AWG number; 1/0 to 4/0 are 0, -1, -2, -3

    Returns
    -------
    diameter_m : diameter [m]

    References
    ----------
    .. [1] ASTM B258, Standard nominal diameters and cross-sectional areas of AWG sizes of solid round wires.
       Source key: astm-b258.

    Examples
    --------
    >>> round(1000 * awg_diameter_m(10), 4)
    2.5882
    """
    return gauge_36_m * 92.0 ** ((36.0 - gauge_number) / 39.0)


def round_area_mm2(diameter_m, *, mm2_per_m2=1e6):
    """Area of a round wire [mm2].

    Examples
    --------
    >>> round(round_area_mm2(2e-3), 4)
    3.1416
    """
    return math.pi / 4.0 * (diameter_m * diameter_m) * mm2_per_m2


def awg_area_mm2(gauge_number):
    """Area of a solid wire by its gauge number [mm2]. Source key: astm-b258.

    Examples
    --------
    >>> round(awg_area_mm2(10), 4)
    5.2612
    """
    return round_area_mm2(awg_diameter_m(gauge_number))


def resistance_at_20_degc_ohm_per_m(resistivity_ohm_mm2_per_m, area_mm2, lay_factor=1.0):
    """Resistance of a metre by resistivity and area; strands are longer than the wire by ``lay_factor`` [ohm/m].

    For metals whose table gives no resistance: a standard's greatest resistance is never worked out from area.

    Parameters
    ----------
    resistivity_ohm_mm2_per_m : resistivity at 20 degC [ohm mm2/m]
    area_mm2 : area of the metal [mm2]
    lay_factor : length of a strand over length of the wire, 1 for solid, about 1.02 for concentric strands

    Examples
    --------
    >>> round(1000 * resistance_at_20_degc_ohm_per_m(0.017241, 5.2612), 3)
    3.277
    """
    return resistivity_ohm_mm2_per_m / area_mm2 * lay_factor


def resistance_at_temperature_ohm_per_m(
    resistance_at_20_degc_ohm_per_m, temperature_coefficient_per_k, conductor_k, skin_factor=1.0, *, reference_k=293.15
):
    r"""Resistance of a metre at the temperature it has.

    .. math:: R = R_{20} [1 + \alpha_{20} (T - 20\,^\circ C)] k_s

    Parameters
    ----------
    resistance_at_20_degc_ohm_per_m : resistance at 20 degC [ohm/m]
    temperature_coefficient_per_k : of that resistance, at 20 degC [1/K]
    conductor_k : temperature of the metal [K]
    skin_factor : a.c. over d.c. resistance

    Returns
    -------
    resistance_ohm_per_m : resistance [ohm/m]

    References
    ----------
    .. [1] NBS Handbook 100, Copper wire tables, 1966, section 2. Source key: nbs-handbook-100.

    Examples
    --------
    >>> round(1000 * resistance_at_temperature_ohm_per_m(3.277e-3, 0.00393, 348.15), 3)
    3.985
    """
    warmer = 1.0 + temperature_coefficient_per_k * (conductor_k - reference_k)
    return resistance_at_20_degc_ohm_per_m * warmer * skin_factor


def zero_resistance_k(temperature_coefficient_per_k, *, reference_k=293.15):
    """Temperature at which the straight line of resistance meets zero; 234.5 degC below zero for copper [K].

    Examples
    --------
    >>> round(zero_resistance_k(0.00393) - 273.15, 1)
    -234.5
    """
    return reference_k - 1.0 / temperature_coefficient_per_k


def coated_resistance_ohm_per_m(resistance_at_20_degc_ohm_per_m, coating_factor):
    """Resistance of a coated wire by the factor of its standard, such as 1.0399 for thin tinned wire [ohm/m].

    Source key: astm-b33.

    Examples
    --------
    >>> round(1000 * coated_resistance_ohm_per_m(20.95e-3, 1.0399), 2)
    21.79
    """
    return resistance_at_20_degc_ohm_per_m * coating_factor


def plating_share(diameter_m, plating_m):
    r"""Share of a wire's area that is plating.

    .. math:: s = 1 - (1 - 2 t/d)^2

    Parameters
    ----------
    diameter_m : diameter over the plating [m]
    plating_m : thickness of the plating [m]

    Examples
    --------
    >>> round(plating_share(0.2e-3, 1.0e-6), 5)
    0.0199
    """
    core = 1.0 - 2.0 * plating_m / diameter_m
    return 1.0 - core * core


def plating_share_by_mass(mass_share, core_density_kg_per_m3, plating_density_kg_per_m3):
    """Share of a wire's area that is plating, from its share of the mass, as classes of plated wire are named.

    Examples
    --------
    >>> round(plating_share_by_mass(0.27, 8890.0, 8900.0), 4)
    0.2698
    """
    plating = mass_share / plating_density_kg_per_m3
    return plating / (plating + (1.0 - mass_share) / core_density_kg_per_m3)


def plated_resistivity_ohm_mm2_per_m(plating_share, core_resistivity_ohm_mm2_per_m, plating_resistivity_ohm_mm2_per_m):
    r"""Resistivity of a plated wire over its whole area: core and plating carry current side by side.

    .. math:: 1/\rho = (1 - s)/\rho_c + s/\rho_p

    Parameters
    ----------
    plating_share : share of the area that is plating
    core_resistivity_ohm_mm2_per_m, plating_resistivity_ohm_mm2_per_m : of the two metals [ohm mm2/m]

    Notes
    -----
    The least a plated wire can have; standards allow more, since plating and core alloy where they meet.

    Examples
    --------
    >>> round(plated_resistivity_ohm_mm2_per_m(0.02, 0.017241, 0.0684), 5)
    0.0175
    """
    core = (1.0 - plating_share) / core_resistivity_ohm_mm2_per_m
    return 1.0 / (core + plating_share / plating_resistivity_ohm_mm2_per_m)


def skin_depth_m(frequency_hz, resistivity_ohm_mm2_per_m, *, permeability_h_per_m=4e-7 * math.pi, m2_per_mm2=1e-6):
    r"""Depth at which current has fallen to 1/e.

    .. math:: \delta = \sqrt{\rho/(\pi f \mu)}

    Parameters
    ----------
    frequency_hz : frequency [Hz]
    resistivity_ohm_mm2_per_m : resistivity of the metal [ohm mm2/m]

    References
    ----------
    .. [1] Meinke and Gundlach, Taschenbuch der Hochfrequenztechnik, skin effect. Source key: meinke-gundlach-handbook.

    Examples
    --------
    >>> round(1000 * skin_depth_m(103790.0, 0.01786), 4)
    0.2088
    """
    return sqrt(resistivity_ohm_mm2_per_m * m2_per_mm2 / (math.pi * frequency_hz * permeability_h_per_m))


def skin_argument(frequency_hz, resistance_ohm_per_m, *, permeability_h_per_m=4e-7 * math.pi):
    r"""Argument of the skin effect: the square root of two times radius over skin depth.

    .. math:: x = \sqrt{2 \mu f/R}

    Parameters
    ----------
    frequency_hz : frequency [Hz]
    resistance_ohm_per_m : d.c. resistance at the working temperature [ohm/m]

    References
    ----------
    .. [1] IEC 60287-1-1, clause on the skin effect factor: x squared is 8 pi f 1e-7/R. Source key: iec-60287-1-1.

    Examples
    --------
    >>> round(skin_argument(50.0, 0.0754e-3), 3)
    1.291
    """
    return sqrt(2.0 * permeability_h_per_m * frequency_hz / resistance_ohm_per_m)


def _horner(terms, y):
    """1 + y/q1 (1 + y/q2 (1 + ...)) for the quotients q of successive terms."""
    total = 1.0
    for quotient in reversed(terms):
        total = 1.0 + y * (1.0 / quotient) * total
    return total


_ABOVE = [float(k * k * 2 * k * (2 * k + 1)) for k in range(1, SERIES_TERMS)]
_BELOW = [float(k * k * (2 * k + 1) * (2 * k + 2)) for k in range(1, SERIES_TERMS)]


def skin_factor(skin_argument):
    r"""A.c. over d.c. resistance of a round wire.

    .. math:: k_s = \Re\left[\frac{z J_0(z)}{2 J_1(z)}\right],\quad z = x e^{-j\pi/4}

    Parameters
    ----------
    skin_argument : square root of two times radius over skin depth

    Returns
    -------
    skin_factor : bare number, 1 for d.c.

    Notes
    -----
    With y = (x/2)^4 the products of Kelvin functions in that expression are series of positive terms [1]_:

    .. math:: k_s = \frac{\sum_k y^k/[k!^2 (2k+1)!]}{2 \sum_k y^k/[k!^2 (2k+2)!]}

    14 terms give 1e-9 up to x = 10. Beyond, x/sqrt(8) + 1/4 + 3/(16 sqrt(2) x) - 63/(256 sqrt(2) x^3), from the
    expansion of the Bessel functions for large arguments [2]_, within 2e-5 of the exact value.

    References
    ----------
    .. [1] Abramowitz and Stegun, Handbook of Mathematical Functions, 9.10.25 and 9.10.27 and what follows.
       Source key: abramowitz-stegun.
    .. [2] Abramowitz and Stegun, 9.7.1. Source key: abramowitz-stegun.

    Examples
    --------
    >>> round(skin_factor(4.0), 5)
    1.67787
    """
    short = least(skin_argument, SERIES_UP_TO)
    square = short * short / 4.0
    y = keep(square * square, "fourth power of half the skin argument")
    series = keep(_horner(_ABOVE, y), "skin series above") / keep(_horner(_BELOW, y), "skin series below")
    long = keep(most(skin_argument, SERIES_UP_TO), "large skin argument")
    root = math.sqrt(2.0)
    beyond = long / (2.0 * root) + 0.25 + 3.0 / (16.0 * root * long) - 63.0 / (256.0 * root * (long * long * long))
    return where(skin_argument, SERIES_UP_TO, series, beyond)


def rectifier_lead_skin_factor(frequency_hz, resistance_ohm_per_m, lines=3.0):
    r"""Skin factor of a lead between an alternator and a bridge, weighted by the harmonics it carries.

    .. math:: k_s = \frac{\sum_n I_n^2 k_s(n f)}{\sum_n I_n^2}, \quad I_n \propto 1/n,\ n = 1, 5, 7, 11, 13, \ldots

    Parameters
    ----------
    frequency_hz : electrical frequency of the alternator [Hz]
    resistance_ohm_per_m : d.c. resistance at the working temperature [ohm/m]
    lines : leads of the alternator; 2 for a single phase, whose current has every odd order

    Notes
    -----
    Blocks of 120 degrees, of 180 degrees for a single phase [1]_. Orders up to 25 are counted; the rest, 1.1 to 1.6 %
    of the square of the current, is given the factor of order 25. Commutation rounds the blocks, so this is the upper side.

    References
    ----------
    .. [1] Power-electronics textbooks, line currents of bridges. Source key: rectifier-textbook.

    Examples
    --------
    >>> round(rectifier_lead_skin_factor(1000.0, 0.5e-3), 3), round(rectifier_lead_skin_factor(1000.0, 0.5e-3, 2.0), 3)
    (1.259, 1.336)
    """
    argument = keep(skin_argument(frequency_hz, resistance_ohm_per_m), "skin argument")
    three = _weights(HARMONICS, math.pi**2 / 9.0)
    single = _weights(sorted((*HARMONICS, *TRIPLES)), math.pi**2 / 8.0)
    factor = 0.0
    for order, weight in single.items():
        share = where(lines, 2.0, weight, three.get(order, 0.0))
        factor = factor + share * keep(skin_factor(argument * math.sqrt(order)), f"skin factor of order {order}")
    return factor


def _weights(orders, whole):
    """Share of the square of the current by order; the last order takes what is left of the ``whole`` of 1/n^2."""
    squares = {order: 1.0 / order**2 for order in orders}
    squares[orders[-1]] += whole - sum(squares.values())
    return {order: square / whole for order, square in squares.items()}
