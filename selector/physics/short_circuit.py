"""Current of a fault, and its heat: short enough to stay in the metal."""

from selector.maths import exp, least, log, most, sqrt

GREATEST_EXPONENT = 25.0
"""Beyond it every metal is long vapour; holding it there keeps the end temperature a number."""


def adiabatic_constant_a_s05_per_mm2(
    density_kg_per_m3,
    heat_capacity_j_per_kg_k,
    resistivity_ohm_mm2_per_m,
    temperature_coefficient_per_k,
    *,
    m2_per_mm2=1e-6,
):
    r"""Constant K of a metal: 226 for copper, 148 for aluminium.

    .. math:: K = \sqrt{Q_c (\beta + 20)/\rho_{20}}

    Parameters
    ----------
    density_kg_per_m3, heat_capacity_j_per_kg_k : their product is the heat capacity of the volume [J/(K m3)]
    resistivity_ohm_mm2_per_m : at 20 degC [ohm mm2/m]
    temperature_coefficient_per_k : at 20 degC; its inverse is beta + 20 [1/K]

    Returns
    -------
    adiabatic_constant_a_s05_per_mm2 : [A s^0.5/mm2]

    References
    ----------
    .. [1] IEC 60364-5-54, annex A. Source key: iec-60364-5-54.

    Examples
    --------
    >>> round(adiabatic_constant_a_s05_per_mm2(8890.0, 388.0, 0.017241, 0.00393), 1)
    225.6
    """
    volume = density_kg_per_m3 * heat_capacity_j_per_kg_k * m2_per_mm2
    return sqrt(volume / (resistivity_ohm_mm2_per_m * temperature_coefficient_per_k))


def adiabatic_k(adiabatic_constant_a_s05_per_mm2, zero_resistance_k, initial_k, final_k):
    r"""Factor k of a metal between two temperatures.

    .. math:: k = K \sqrt{\ln\frac{\beta + \theta_f}{\beta + \theta_i}}

    Parameters
    ----------
    adiabatic_constant_a_s05_per_mm2 : constant of the metal [A s^0.5/mm2]
    zero_resistance_k : inferred temperature of no resistance, 38.65 K for copper [K]
    initial_k, final_k : temperatures before and after [K]

    Returns
    -------
    adiabatic_k : [A s^0.5/mm2]; 0 where the end is no warmer than the start

    References
    ----------
    .. [1] IEC 60949, and IEC 60364-5-54, annex A. Source keys: iec-60949, iec-60364-5-54.

    Examples
    --------
    >>> round(adiabatic_k(226.0, 38.65, 343.15, 433.15), 1)
    115.0
    """
    ratio = most(1.0, (final_k - zero_resistance_k) / (initial_k - zero_resistance_k))
    return adiabatic_constant_a_s05_per_mm2 * sqrt(log(ratio))


def fault_current_a(supply_v, short_circuit_a, resistance_ohm):
    """Current of a fault behind a resistance: the supply's voltage over its own resistance and that of the way [A].

    Parameters
    ----------
    supply_v : voltage of the supply [V]
    short_circuit_a : what it gives into a dead short at its posts [A]
    resistance_ohm : of the way to the fault and back [ohm]

    Notes
    -----
    Ohm's law; the supply's own resistance is its voltage over what it gives into a dead short. Source key:
    circuit-textbook.

    Examples
    --------
    >>> round(fault_current_a(12.0, 2000.0, 0.0), 3), round(fault_current_a(12.0, 2000.0, 0.114), 3)
    (2000.0, 100.0)
    """
    return supply_v / (supply_v / short_circuit_a + resistance_ohm)


def let_through_a2s(current_a, time_s):
    """Square of a steady current times its time [A2 s].

    Examples
    --------
    >>> let_through_a2s(1000.0, 0.1)
    100000.0
    """
    return current_a * current_a * time_s


def withstand_a2s(k_a_s05_per_mm2, area_mm2):
    """Let-through a wire stands, k2 S2 [A2 s]. Up to 5 s. Source key: iec-60364-4-43.

    Examples
    --------
    >>> withstand_a2s(115.0, 4.0)
    211600.0
    """
    square = k_a_s05_per_mm2 * area_mm2
    return square * square


def withstand_time_s(k_a_s05_per_mm2, area_mm2, current_a):
    """Time a wire stands a current, (k S/I)2 [s]. Up to 5 s. Source key: iec-60364-4-43.

    Examples
    --------
    >>> round(withstand_time_s(115.0, 0.75, 160.0), 2)
    0.29
    """
    ratio = k_a_s05_per_mm2 * area_mm2 / current_a
    return ratio * ratio


def withstand_current_a(k_a_s05_per_mm2, area_mm2, time_s):
    """Current a wire stands for a time, k S over the root of the time [A]. Up to 5 s. Source key: iec-60364-4-43.

    Examples
    --------
    >>> withstand_current_a(115.0, 4.0, 4.0)
    230.0
    """
    return k_a_s05_per_mm2 * area_mm2 / sqrt(time_s)


def least_area_mm2(let_through_a2s, k_a_s05_per_mm2):
    """Smallest area that stands a let-through, its root over k [mm2]. Source key: iec-60364-4-43.

    Examples
    --------
    >>> round(least_area_mm2(5000.0**2 * 0.1, 115.0), 2)
    13.75
    """
    return sqrt(let_through_a2s) / k_a_s05_per_mm2


def end_temperature_k(let_through_a2s, area_mm2, initial_k, adiabatic_constant_a_s05_per_mm2, zero_resistance_k):
    r"""Temperature of the metal after a let-through that stays in it.

    .. math:: \beta + \theta_f = (\beta + \theta_i) \exp\left(\frac{I^2 t}{K^2 S^2}\right)

    Parameters
    ----------
    let_through_a2s : [A2 s]
    area_mm2 : area of the metal [mm2]
    initial_k : temperature before [K]
    adiabatic_constant_a_s05_per_mm2 : constant of the metal [A s^0.5/mm2]
    zero_resistance_k : inferred temperature of no resistance, 38.65 K for copper [K]

    Returns
    -------
    end_temperature_k : temperature after [K]; far beyond melting it says no more than that

    References
    ----------
    .. [1] IEC 60949, solved for the final temperature. Source key: iec-60949.

    Examples
    --------
    >>> round(end_temperature_k(211600.0, 4.0, 343.15, 226.0, 38.65) - 273.15, 1)
    160.0
    """
    constant = adiabatic_constant_a_s05_per_mm2 * area_mm2
    exponent = least(let_through_a2s / (constant * constant), GREATEST_EXPONENT)
    return zero_resistance_k + (initial_k - zero_resistance_k) * exp(exponent)
