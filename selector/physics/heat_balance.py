r"""Steady heat balance of a wire, per metre: what the current makes goes through the wall and off the surface.

.. math:: I^2 R_{20}[1 + \alpha_{20}(T_c - 20)] k_s = \frac{T_c - T_s}{\ln(D/d)/(2\pi k)} = \pi D (h_c + h_r)(T_s - T_a)

Both solvers work on thermal resistances, which change little between the ends of the bracket: that is what lets a
fixed number of steps reach 1e-9. Source keys: morgan-1975, churchill-bernstein-1977, neher-mcgrath-1957.
"""

from selector.maths import PI, false_position, keep, least, log, most, sqrt, where
from selector.physics.air import pressure_pa
from selector.physics.conductor import resistance_at_temperature_ohm_per_m
from selector.physics.convection import film_w_per_m2_k

AMPACITY_STEPS = 5
TEMPERATURE_STEPS = 8


def wall_k_m_per_w(diameter_m, outer_diameter_m, conductivity_w_per_m_k):
    r"""Thermal resistance of a metre of insulation wall.

    .. math:: R_w = \ln(D/d)/(2 \pi k)

    Parameters
    ----------
    diameter_m : diameter of the metal [m]
    outer_diameter_m : diameter over the insulation [m]
    conductivity_w_per_m_k : thermal conductivity of the insulation [W/(m K)]

    Returns
    -------
    wall_k_m_per_w : temperature difference over heat per metre [K m/W]; 0 for a bare wire

    References
    ----------
    .. [1] J. H. Neher and M. H. McGrath, "The calculation of the temperature rise and load capability of cable
       systems", AIEE Trans. Part III, vol. 76, pp. 752-764, 1957, equation 38. Source key: neher-mcgrath-1957.

    Examples
    --------
    >>> round(wall_k_m_per_w(4.0e-3, 7.0e-3, 0.2), 4)
    0.4453
    """
    return log(outer_diameter_m / diameter_m) / (2.0 * PI * conductivity_w_per_m_k)


def _air_k_m_per_w(rise_k, ambient_k, outer_diameter_m, air_speed_m_per_s, air_pressure_pa, emissivity):
    """Thermal resistance from a metre of surface, so much warmer than the air, to the surroundings."""
    surface_k = ambient_k + rise_k
    film = film_w_per_m2_k(surface_k, ambient_k, outer_diameter_m, air_speed_m_per_s, air_pressure_pa, emissivity)
    return 1.0 / (PI * outer_diameter_m * film)


def ampacity_a(
    resistance_at_20_degc_ohm_per_m,
    temperature_coefficient_per_k,
    diameter_m,
    outer_diameter_m,
    conductivity_w_per_m_k,
    emissivity,
    limit_k,
    ambient_k,
    air_speed_m_per_s,
    altitude_m,
    skin_factor=1.0,
):
    r"""Steady current that brings a single wire in air to its limit.

    Parameters
    ----------
    resistance_at_20_degc_ohm_per_m : resistance at 20 degC [ohm/m]
    temperature_coefficient_per_k : of that resistance, at 20 degC [1/K]
    diameter_m : diameter of the metal [m]
    outer_diameter_m : diameter over the insulation [m]
    conductivity_w_per_m_k : thermal conductivity of the insulation [W/(m K)]
    emissivity : of the outer surface
    limit_k : temperature the metal may reach [K]
    ambient_k : temperature of air and surroundings [K]
    air_speed_m_per_s : air stream across the wire, 0 for still air [m/s]
    altitude_m : height above the sea [m]
    skin_factor : a.c. over d.c. resistance

    Returns
    -------
    ampacity_a : continuous current [A]; 0 where no temperature difference is left

    Notes
    -----
    With x the rise of the surface over the air, X the rise the metal may have, and R_w, R_s(x) the thermal resistances
    of wall and surface,

    .. math:: x = X \frac{R_s(x)}{R_w + R_s(x)}, \qquad I = \sqrt{\frac{X}{(R_w + R_s(x)) R(T_c)}}

    The right side of the first falls as x grows, so its value at X is the least x may be: 5 steps between the two solve
    it. In the second the error of x counts only through R_s, which changes slowly with it.

    References
    ----------
    .. [1] V. T. Morgan, Advances in Heat Transfer, vol. 11, 1975. Source key: morgan-1975.
    .. [2] S. W. Churchill and M. Bernstein, J. Heat Transfer, vol. 99, 1977. Source key: churchill-bernstein-1977.
    .. [3] J. H. Neher and M. H. McGrath, AIEE Trans., vol. 76, 1957. Source key: neher-mcgrath-1957.

    Examples
    --------
    35 mm2 of stranded copper, 12.7 mm over a 90 degC wall, in still air of 30 degC; BS 7671 Table 4E1A has 226 A.

    >>> round(ampacity_a(0.524e-3, 0.00393, 7.5e-3, 12.7e-3, 0.286, 0.9, 363.15, 303.15, 0.0, 0.0), 1)
    226.0
    """
    rise_k = keep(most(limit_k - ambient_k, 0.0 * ambient_k), "rise allowed")
    wall = keep(wall_k_m_per_w(diameter_m, outer_diameter_m, conductivity_w_per_m_k), "wall resistance")
    pressure = keep(pressure_pa(altitude_m), "air pressure")

    def outside(surface_rise_k):
        return keep(
            _air_k_m_per_w(surface_rise_k, ambient_k, outer_diameter_m, air_speed_m_per_s, pressure, emissivity),
            "surface resistance",
        )

    def balanced(surface_rise_k):
        film = outside(surface_rise_k)
        return rise_k * (film / (wall + film))

    least_rise_k = keep(balanced(rise_k), "least rise")
    surface_rise_k = false_position(
        lambda x: x - balanced(x), least_rise_k, rise_k, AMPACITY_STEPS, rise_k - least_rise_k
    )
    resistance = resistance_at_temperature_ohm_per_m(
        resistance_at_20_degc_ohm_per_m, temperature_coefficient_per_k, limit_k, skin_factor
    )
    return sqrt(rise_k / ((wall + outside(surface_rise_k)) * resistance))


def conductor_temperature_k(
    current_a,
    resistance_at_20_degc_ohm_per_m,
    temperature_coefficient_per_k,
    diameter_m,
    outer_diameter_m,
    conductivity_w_per_m_k,
    emissivity,
    ambient_k,
    air_speed_m_per_s,
    altitude_m,
    skin_factor=1.0,
    *,
    greatest_k=1273.15,
):
    r"""Steady temperature of the metal of a single wire in air.

    Parameters
    ----------
    current_a : continuous current [A]
    resistance_at_20_degc_ohm_per_m, temperature_coefficient_per_k, diameter_m, outer_diameter_m,
    conductivity_w_per_m_k, emissivity, ambient_k, air_speed_m_per_s, altitude_m, skin_factor : as for ``ampacity_a``
    greatest_k : where the search ends [K]

    Returns
    -------
    conductor_temperature_k : temperature of the metal [K]; exactly ``greatest_k`` where no steady temperature lies
        below it, and exactly the ambient without a current

    Notes
    -----
    With y the rise of the metal over the air and Q(y) the heat made at that temperature, the root of

    .. math:: y - Q(y) [R_w + R_s(y - Q(y) R_w)]

    by 8 steps. More current or a hotter wire makes more heat; heat shed grows faster than resistance does, so there
    is one root at most. R_s falls as the wire warms: with its value at the end of the search the heat at the ambient
    gives a rise no root lies below, and the heat at that rise a higher one, from which the steps begin. (In a gale
    without radiation R_s grows a little instead; the steps find a root just below their low end as well.)

    References
    ----------
    As for ``ampacity_a``.

    Examples
    --------
    8 AWG of stranded copper, 7 mm over silicone rubber, at 135 A in still air of 30 degC.

    >>> round(conductor_temperature_k(135.0, 2.1e-3, 0.00393, 4.0e-3, 7.0e-3, 0.2, 0.9, 303.15, 0.0, 0.0) - 273.15, 1)
    169.4
    """
    wall = keep(wall_k_m_per_w(diameter_m, outer_diameter_m, conductivity_w_per_m_k), "wall resistance")
    pressure = keep(pressure_pa(altitude_m), "air pressure")
    squared = keep(current_a * current_a, "current squared")
    nothing = 0.0 * ambient_k
    greatest_rise_k = greatest_k - ambient_k

    def heat_at(rise_k):
        resistance = resistance_at_temperature_ohm_per_m(
            resistance_at_20_degc_ohm_per_m, temperature_coefficient_per_k, ambient_k + rise_k, skin_factor
        )
        return keep(squared * resistance, "heat per metre")

    def way_out(rise_k, heat):
        surface_rise_k = keep(most(rise_k - heat * wall, nothing), "surface rise")
        return wall + _air_k_m_per_w(
            surface_rise_k, ambient_k, outer_diameter_m, air_speed_m_per_s, pressure, emissivity
        )

    def excess(trial_k):
        rise_k = keep(least(most(trial_k, nothing), greatest_rise_k), "rise within the search")
        heat = heat_at(rise_k)
        return rise_k - heat * way_out(rise_k, heat)

    greatest_heat = heat_at(greatest_rise_k)
    least_way = keep(way_out(greatest_rise_k, greatest_heat), "least thermal resistance")
    left_over_k = keep(greatest_rise_k - greatest_heat * least_way, "left over at the end of the search")
    least_rise_k = keep(least(heat_at(heat_at(nothing) * least_way) * least_way, greatest_rise_k), "least rise")
    rise_k = keep(false_position(excess, least_rise_k, greatest_rise_k, TEMPERATURE_STEPS, left_over_k), "rise found")
    steady_k = ambient_k + where(squared, 0.0 * squared, 0.0 * rise_k, rise_k)
    return where(left_over_k, nothing, greatest_k + 0.0 * rise_k, steady_k)


def surface_temperature_k(
    conductor_k, heat_w_per_m, diameter_m, outer_diameter_m, conductivity_w_per_m_k, *, greatest_k=1273.15
):
    r"""Temperature of the insulation's surface.

    .. math:: T_s = T_c - Q R_w

    Parameters
    ----------
    conductor_k : steady temperature of the metal [K]
    heat_w_per_m : heat made in a metre at that temperature [W/m]
    diameter_m, outer_diameter_m : diameters of the metal and over the insulation [m]
    conductivity_w_per_m_k : thermal conductivity of the insulation [W/(m K)]
    greatest_k : end of the search of ``conductor_temperature_k``; a wire that warm is not in balance and its surface
        counts as being as warm as its metal [K]

    Returns
    -------
    surface_temperature_k : temperature of the surface [K]

    Examples
    --------
    >>> round(surface_temperature_k(440.0, 60.0, 4.0e-3, 7.0e-3, 0.2), 2)
    413.28
    """
    wall = wall_k_m_per_w(diameter_m, outer_diameter_m, conductivity_w_per_m_k)
    through = conductor_k - heat_w_per_m * wall
    return where(greatest_k, conductor_k, conductor_k + 0.0 * through, through)
