"""Properties of dry air that carry heat away from a wire."""

from selector.maths import exp, keep, least, most, sqrt

# mean of cp/R of air against temperature in thousands of kelvin, Moran and Shapiro, Table A-21
_HEAT_CAPACITY_TERMS = (3.653, -1.337, 3.294, -1.913, 0.2763)


def pressure_pa(
    altitude_m,
    *,
    sea_level_pa=101325.0,
    sea_level_k=288.15,
    lapse_k_per_m=0.0065,
    pressure_exponent=5.255876,
    tropopause_m=11000.0,
    isothermal_scale_m=6341.62,
):
    r"""Pressure of the standard atmosphere.

    Parameters
    ----------
    altitude_m : height above the sea [m]

    Returns
    -------
    pressure_pa : air pressure [Pa]

    Notes
    -----
    .. math:: p = p_0 (1 - L H/T_0)^{5.2559}

    to 11 km and falling exponentially above it [1]_. Meant to 20 km; geometric and geopotential height are taken as
    one, which is 0.03 % of pressure at 4 km.

    References
    ----------
    .. [1] U.S. Standard Atmosphere, 1976, NASA-TM-X-74335, equations 33a and 33b (the same as ISO 2533 here).
       Source key: us-standard-atmosphere-1976.

    Examples
    --------
    >>> round(pressure_pa(2000.0))
    79495
    """
    below = least(altitude_m, tropopause_m)
    above = most(altitude_m - tropopause_m, 0.0 * tropopause_m)
    rest = (1.0 - lapse_k_per_m * below / sea_level_k) ** pressure_exponent
    return sea_level_pa * rest * exp(0.0 - above / isothermal_scale_m)


def film_k(surface_k, ambient_k):
    """Temperature at which the properties of the air are taken: midway between surface and surroundings [K].

    Examples
    --------
    >>> film_k(373.15, 303.15)
    338.15
    """
    return (surface_k + ambient_k) / 2.0


def viscosity_kg_per_m_s(film_k, *, viscosity_constant_kg_per_m_s_k05=1.458e-6, sutherland_k=110.4):
    r"""Dynamic viscosity of air.

    Parameters
    ----------
    film_k : air temperature [K]

    Returns
    -------
    viscosity_kg_per_m_s : dynamic viscosity [kg/(m s)]

    Notes
    -----
    .. math:: \mu = \beta T^{3/2}/(T + S)

    Sutherland's form with the constants of [1]_; within 1 % of handbook tables from 200 to 1000 K.

    References
    ----------
    .. [1] U.S. Standard Atmosphere, 1976, equation 51. Source key: us-standard-atmosphere-1976.

    Examples
    --------
    >>> round(viscosity_kg_per_m_s(300.0) * 1e7, 1)
    184.6
    """
    return viscosity_constant_kg_per_m_s_k05 * (film_k * sqrt(film_k)) / (film_k + sutherland_k)


def air_conductivity_w_per_m_k(
    film_k, *, conductivity_constant_w_per_m_k15=2.64638e-3, sutherland_k=245.4, decade_k=27.631021
):
    r"""Thermal conductivity of air.

    Parameters
    ----------
    film_k : air temperature [K]

    Returns
    -------
    air_conductivity_w_per_m_k : thermal conductivity [W/(m K)]

    Notes
    -----
    .. math:: k = C T^{3/2}/(T + 245.4 \cdot 10^{-12/T})

    The power of ten is written as an exponential, 12 ln 10 being ``decade_k`` [1]_. Within 2 % of handbook tables from
    230 to 1000 K.

    References
    ----------
    .. [1] U.S. Standard Atmosphere, 1976, equation 53. Source key: us-standard-atmosphere-1976.

    Examples
    --------
    >>> round(air_conductivity_w_per_m_k(300.0), 5)
    0.02625
    """
    lowered = film_k + sutherland_k * exp(0.0 - decade_k / film_k)
    return conductivity_constant_w_per_m_k15 * (film_k * sqrt(film_k)) / lowered


def heat_capacity_j_per_kg_k(film_k, *, gas_constant_j_per_kg_k=287.053, thousand_k=1000.0):
    r"""Heat capacity of air at constant pressure.

    Parameters
    ----------
    film_k : air temperature [K]

    Returns
    -------
    heat_capacity_j_per_kg_k : specific heat capacity [J/(kg K)]

    Notes
    -----
    .. math:: c_p/R = 3.653 - 1.337 t + 3.294 t^2 - 1.913 t^3 + 0.2763 t^4,\quad t = T/1000\,K

    Printed for 300 to 1000 K [1]_; 0.3 % low at 233 K.

    References
    ----------
    .. [1] M. J. Moran and H. N. Shapiro, Fundamentals of Engineering Thermodynamics, Table A-21 (air).
       Source key: moran-shapiro.

    Examples
    --------
    >>> round(heat_capacity_j_per_kg_k(600.0))
    1050
    """
    t = film_k / thousand_k
    first, second, third, fourth, fifth = _HEAT_CAPACITY_TERMS
    return gas_constant_j_per_kg_k * (first + t * (second + t * (third + t * (fourth + t * fifth))))


def kinematic_viscosity_m2_per_s(viscosity_kg_per_m_s, film_k, pressure_pa, *, gas_constant_j_per_kg_k=287.053):
    """Dynamic viscosity over the density of an ideal gas [m2/s].

    Parameters
    ----------
    viscosity_kg_per_m_s : dynamic viscosity [kg/(m s)]
    film_k : air temperature [K]
    pressure_pa : air pressure [Pa]

    Examples
    --------
    >>> round(kinematic_viscosity_m2_per_s(184.6e-7, 300.0, 101325.0) * 1e6, 2)
    15.69
    """
    return viscosity_kg_per_m_s * (gas_constant_j_per_kg_k * film_k / pressure_pa)


def prandtl(viscosity_kg_per_m_s, heat_capacity_j_per_kg_k, air_conductivity_w_per_m_k):
    """Prandtl number, viscosity times heat capacity over conductivity.

    Examples
    --------
    >>> round(prandtl(184.6e-7, 1007.0, 0.0263), 3)
    0.707
    """
    return viscosity_kg_per_m_s * heat_capacity_j_per_kg_k / air_conductivity_w_per_m_k


def expansion_per_k(film_k):
    """Thermal expansion of an ideal gas, one over its temperature [1/K].

    Examples
    --------
    >>> expansion_per_k(250.0)
    0.004
    """
    return 1.0 / film_k


def air(surface_k, ambient_k, pressure_pa):
    """What convection needs of the air between a surface and its surroundings.

    Parameters
    ----------
    surface_k, ambient_k : temperatures of the surface and of the air far away [K]
    pressure_pa : air pressure [Pa]

    Returns
    -------
    tuple : film temperature [K], conductivity [W/(m K)], kinematic viscosity [m2/s], Prandtl number

    Examples
    --------
    >>> [round(x, 7) for x in air(330.0, 270.0, 101325.0)]
    [300.0, 0.026252, 1.57e-05, 0.7062673]
    """
    film = keep(film_k(surface_k, ambient_k), "film temperature")
    viscosity = viscosity_kg_per_m_s(film)
    conductivity = keep(air_conductivity_w_per_m_k(film), "conductivity of air")
    capacity = heat_capacity_j_per_kg_k(film)
    return (
        film,
        conductivity,
        keep(kinematic_viscosity_m2_per_s(viscosity, film, pressure_pa), "kinematic viscosity of air"),
        keep(prandtl(viscosity, capacity, conductivity), "Prandtl number"),
    )
