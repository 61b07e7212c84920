"""Heat from the surface of a horizontal wire to the air and to what surrounds it."""

import math

from selector.maths import exp, keep, log, most, sqrt, where
from selector.physics.air import air, expansion_per_k

MORGAN = ((0.675, 0.058), (1.02, 0.148), (0.850, 0.188), (0.480, 0.250), (0.125, 0.333))
"""Factor and exponent of the five power laws, key morgan-1975."""

LEAST_RAYLEIGH = 1e-10
"""Lower end of the first power law; below it the Nusselt number stays what it is there."""


def rayleigh(
    surface_k,
    ambient_k,
    outer_diameter_m,
    expansion_per_k,
    kinematic_viscosity_m2_per_s,
    prandtl,
    *,
    gravity_m_per_s2=9.80665,
):
    r"""Rayleigh number of a cylinder.

    Parameters
    ----------
    surface_k, ambient_k : surface and air temperature [K]
    outer_diameter_m : diameter [m]
    expansion_per_k : thermal expansion of the air [1/K]
    kinematic_viscosity_m2_per_s : kinematic viscosity of the air [m2/s]
    prandtl : Prandtl number of the air

    Returns
    -------
    rayleigh : bare number; 0 where the surface is no warmer than the air

    Notes
    -----
    .. math:: Ra = g \beta (T_s - T_a) D^3 Pr/\nu^2

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, equation 9.25.
       Source key: incropera-heat-transfer.

    Examples
    --------
    >>> round(rayleigh(438.0, 296.0, 0.1, 1 / 367.0, 22.8e-6, 0.697) / 1e6, 2)
    5.09
    """
    difference = most(surface_k - ambient_k, 0.0 * ambient_k)
    cube = gravity_m_per_s2 * (outer_diameter_m * outer_diameter_m * outer_diameter_m)
    return cube * (
        expansion_per_k * difference * prandtl / (kinematic_viscosity_m2_per_s * kinematic_viscosity_m2_per_s)
    )


def free_nusselt(rayleigh):
    r"""Nusselt number of free convection from a horizontal cylinder: the largest of five power laws.

    Parameters
    ----------
    rayleigh : Rayleigh number of the diameter, properties at film temperature

    Returns
    -------
    free_nusselt : bare number

    Notes
    -----
    .. math:: Nu = \max_i C_i Ra^{n_i}

    The paper gives each law for a range of its own [1]_. The largest of them is within 0.25 % of that choice from
    1e-10 to 1e7, which no wire of 40 mm reaches, and has no steps; the paper's last step, at 1e7, is 0.8 %. It is taken
    as the exponential of the largest logarithm, one power instead of five.

    References
    ----------
    .. [1] V. T. Morgan, "The overall convective heat transfer from smooth circular cylinders", Advances in Heat
       Transfer, vol. 11, pp. 199-264, 1975, table of free convection. Source key: morgan-1975.

    Examples
    --------
    >>> round(free_nusselt(4.05e-5), 3)
    0.375
    """
    power = keep(log(most(rayleigh, LEAST_RAYLEIGH)), "logarithm of the Rayleigh number")
    return exp(most(*(math.log(factor) + exponent * power for factor, exponent in MORGAN)))


def reynolds(air_speed_m_per_s, outer_diameter_m, kinematic_viscosity_m2_per_s):
    """Reynolds number of a cylinder across a stream, speed times diameter over kinematic viscosity.

    Examples
    --------
    >>> round(reynolds(10.0, 0.0127, 15.89e-6))
    7992
    """
    return air_speed_m_per_s * outer_diameter_m / kinematic_viscosity_m2_per_s


def forced_nusselt(reynolds, prandtl):
    r"""Nusselt number of a cylinder across a stream of air; 0 without a stream.

    Parameters
    ----------
    reynolds : Reynolds number of the diameter
    prandtl : Prandtl number, both at film temperature

    Returns
    -------
    forced_nusselt : bare number

    Notes
    -----
    .. math:: Nu = 0.3 + \frac{0.62 Re^{1/2} Pr^{1/3}}{[1 + (0.4/Pr)^{2/3}]^{1/4}}
              \left[1 + \left(\frac{Re}{282000}\right)^{5/8}\right]^{4/5}

    Meant for Re Pr above 0.2 [1]_. The paper's 0.3 is conduction into air at rest, which free convection already holds;
    without a stream the number is therefore 0, and free convection stands alone.

    References
    ----------
    .. [1] S. W. Churchill and M. Bernstein, "A correlating equation for forced convection from gases and liquids to a
       circular cylinder in crossflow", J. Heat Transfer, vol. 99, pp. 300-306, 1977, equation 9.
       Source key: churchill-bernstein-1977.

    Examples
    --------
    >>> round(forced_nusselt(6071.0, 0.70), 1)
    40.6
    """
    cube_root = prandtl ** (1.0 / 3.0)
    of_prandtl = 0.62 * cube_root / sqrt(sqrt(1.0 + 0.4 ** (2.0 / 3.0) / (cube_root * cube_root)))
    root = sqrt(reynolds / 282000.0)  # to the power 5/8 by square roots alone, which blocks work out faster
    turbulent = (1.0 + root * sqrt(sqrt(root))) ** 0.8
    return where(reynolds, 0.0, 0.0 * reynolds, 0.3 + of_prandtl * sqrt(reynolds) * turbulent)


def combined_nusselt(free_nusselt, forced_nusselt):
    r"""Free and forced convection together.

    .. math:: Nu^3 = Nu_{free}^3 + Nu_{forced}^3

    The usual rule for a stream across the plume [1]_; smooth between its two limits.

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, equation 9.64 (n = 3).
       Source key: incropera-heat-transfer.

    Examples
    --------
    >>> round(combined_nusselt(3.0, 5.0), 3)
    5.337
    """
    free = free_nusselt * free_nusselt * free_nusselt
    forced = forced_nusselt * forced_nusselt * forced_nusselt
    return (free + forced) ** (1.0 / 3.0)


def radiation_w_per_m2_k(surface_k, ambient_k, emissivity, *, stefan_boltzmann_w_per_m2_k4=5.670374419e-8):
    r"""Radiation coefficient of a small grey body in large surroundings.

    .. math:: h_r = \varepsilon \sigma (T_s^2 + T_a^2)(T_s + T_a)

    Parameters
    ----------
    surface_k, ambient_k : temperatures of the surface and of what it sees [K]
    emissivity : of the surface

    Returns
    -------
    radiation_w_per_m2_k : radiated heat over temperature difference [W/(m2 K)]

    References
    ----------
    .. [1] F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, equation 1.9.
       Source key: incropera-heat-transfer.

    Examples
    --------
    >>> round(radiation_w_per_m2_k(438.15, 296.15, 0.85), 2)
    9.9
    """
    squares = surface_k * surface_k + ambient_k * ambient_k
    return emissivity * stefan_boltzmann_w_per_m2_k4 * (squares * (surface_k + ambient_k))


def film_w_per_m2_k(surface_k, ambient_k, outer_diameter_m, air_speed_m_per_s, pressure_pa, emissivity):
    """Convection and radiation together.

    Parameters
    ----------
    surface_k, ambient_k : surface and air temperature [K]
    outer_diameter_m : diameter of the surface [m]
    air_speed_m_per_s : air stream across the wire, 0 for still air [m/s]
    pressure_pa : air pressure [Pa]
    emissivity : of the surface

    Returns
    -------
    film_w_per_m2_k : heat shed over area and temperature difference [W/(m2 K)]

    Examples
    --------
    >>> round(film_w_per_m2_k(438.15, 296.15, 0.1, 0.0, 101325.0, 0.85), 1)
    17.1
    """
    film, conductivity, viscosity, number = air(surface_k, ambient_k, pressure_pa)
    free = keep(
        free_nusselt(rayleigh(surface_k, ambient_k, outer_diameter_m, expansion_per_k(film), viscosity, number)),
        "Nusselt number, free",
    )
    forced = keep(
        forced_nusselt(reynolds(air_speed_m_per_s, outer_diameter_m, viscosity), number),
        "Nusselt number, forced",
    )
    convection = combined_nusselt(free, forced) * conductivity / outer_diameter_m
    return convection + radiation_w_per_m2_k(surface_k, ambient_k, emissivity)
