"""Voltage lost along a wire, and the sizes and lengths that keep it small."""


def voltage_drop_v(current_a, length_m, resistance_ohm_per_m, legs=2.0):
    r"""Voltage lost along a wire.

    .. math:: U = n I L R

    Parameters
    ----------
    current_a : current [A]
    length_m : one way [m]
    resistance_ohm_per_m : resistance at the working temperature [ohm/m]
    legs : 2 there and back, 1 where the return is another row or the chassis

    Returns
    -------
    drop_v : voltage [V]

    References
    ----------
    .. [1] AC 43.13-1B, paragraph 11-66, Table 11-7. Source key: ac-43-13-1b.

    Examples
    --------
    >>> voltage_drop_v(20.0, 136.5, 0.00126)
    6.8796
    """
    return legs * current_a * length_m * resistance_ohm_per_m


def area_for_drop_mm2(current_a, length_m, drop_v, resistivity_ohm_mm2_per_m, legs=2.0):
    r"""Area that loses just so much.

    .. math:: S = n \rho I L/U

    Parameters
    ----------
    current_a : current [A]
    length_m : one way [m]
    drop_v : voltage that may be lost [V]
    resistivity_ohm_mm2_per_m : at the working temperature, with lay [ohm mm2/m]
    legs : 2 there and back, 1 for one leg

    Returns
    -------
    area_mm2 : area [mm2]

    References
    ----------
    .. [1] ABYC E-11, circular-mil formula, 10.75 I L/E. Source key: abyc-e-11.

    Examples
    --------
    >>> round(area_for_drop_mm2(10.0, 3.2004, 0.36, 0.017871), 3)
    3.177
    """
    return legs * resistivity_ohm_mm2_per_m * current_a * length_m / drop_v


def length_for_drop_m(current_a, drop_v, resistance_ohm_per_m, legs=2.0):
    """Greatest length, one way, that loses just so much [m]. Source key: ac-43-13-1b.

    Examples
    --------
    >>> round(length_for_drop_m(20.0, 7.0, 0.00126) * 2, 1)
    277.8
    """
    return drop_v / (legs * current_a * resistance_ohm_per_m)


def hot_length_m(length_m, conductor_k, zero_resistance_k, *, reference_k=293.15):
    r"""What is left of a greatest length worked out at 20 degC when the wire is warm.

    .. math:: L_2 = L_1 (234.5 + 20)/(234.5 + T_2)

    Parameters
    ----------
    length_m : length found with the resistance at 20 degC [m]
    conductor_k : working temperature [K]
    zero_resistance_k : inferred temperature of no resistance, 38.65 K for copper [K]

    References
    ----------
    .. [1] AC 43.13-1B, paragraph 11-66. Source key: ac-43-13-1b.

    Examples
    --------
    >>> round(hot_length_m(1.0, 378.15, 38.65), 4)
    0.7496
    """
    return length_m * (reference_k - zero_resistance_k) / (conductor_k - zero_resistance_k)


def drop_share(drop_v, nominal_v):
    """A drop as a share of the nominal voltage.

    Examples
    --------
    >>> drop_share(0.36, 12.0)
    0.03
    """
    return drop_v / nominal_v


def constant_power_current_a(power_w, voltage_v, efficiency=1.0):
    """Current of a load that takes the same power whatever its voltage: greatest at the lowest voltage [A].

    Common practice, no source.

    Examples
    --------
    >>> round(constant_power_current_a(2000.0, 10.5, 0.88))
    216
    """
    return power_w / (voltage_v * efficiency)
