"""What a suppressor stands, where it clamps and what a pulse does to it."""

import math

from selector.maths import along, keep, least, log, most, where

PULSE_FACTOR = 1.4
"""Energy of an exponential pulse over peak power and width to half: 1.4 in print and the safe end, 1/ln 2 exactly."""
RISE_FACTOR = 0.5
"""Energy of the ramp before it over peak power and rise time."""


def breakdown_at_v(breakdown_v, temperature_coefficient_per_k, junction_k, *, printed_k=298.15):
    r"""Breakdown or clamping voltage at another temperature than 25 degC.

    .. math:: V(T) = V_{25}[1 + \alpha (T - 25\,^\circ C)]

    Parameters
    ----------
    breakdown_v : voltage at 25 degC, any end of the window [V]
    temperature_coefficient_per_k : of that voltage, about 0.001 [1/K]
    junction_k : temperature of the junction [K]

    Returns
    -------
    breakdown_at_v : [V]

    Notes
    -----
    Avalanche breakdown, above about 6 V. The coldest air gives the stand-off, the warmest the clamp.

    References
    ----------
    .. [1] Data sheets of 1500 W axial suppressors. Source key: datasheet-suppressor-1500w-axial.

    Examples
    --------
    >>> round(breakdown_at_v(36.7, 0.001, 233.15), 2), round(breakdown_at_v(53.3, 0.001, 398.15), 2)
    (34.31, 58.63)
    """
    return breakdown_v * (1.0 + temperature_coefficient_per_k * (junction_k - printed_k))


def dynamic_resistance_ohm(greatest_breakdown_v, clamping_v, peak_current_a):
    r"""Slope of the line from the greatest breakdown to the clamp point.

    .. math:: R_d = (V_C - V_{BR})/I_{PP}

    Parameters
    ----------
    greatest_breakdown_v : upper end of the breakdown window [V]
    clamping_v : greatest voltage at ``peak_current_a`` [V]
    peak_current_a : rated peak pulse current [A]

    References
    ----------
    .. [1] Application notes on clamping voltage at other pulse currents. Source key: application-note-clamp-voltage.

    Examples
    --------
    >>> round(dynamic_resistance_ohm(40.6, 53.3, 28.1), 3)
    0.452
    """
    return (clamping_v - greatest_breakdown_v) / peak_current_a


def clamp_at_v(current_a, greatest_breakdown_v, clamping_v, peak_current_a):
    r"""Greatest clamping voltage at a current.

    .. math:: V = V_{BR} + (V_C - V_{BR}) I/I_{PP}

    Parameters
    ----------
    current_a : current through one suppressor [A]
    greatest_breakdown_v, clamping_v, peak_current_a : as for ``dynamic_resistance_ohm``

    Returns
    -------
    clamp_at_v : [V] at 25 degC; hotter by ``breakdown_at_v``

    Notes
    -----
    Measured curves are flatter, so the line is on the safe side up to the rated current. Beyond it the line is drawn
    on, and the part is used beyond its rating.

    References
    ----------
    .. [1] Application notes on clamping voltage at other pulse currents. Source key: application-note-clamp-voltage.

    Examples
    --------
    >>> round(clamp_at_v(10.0, 40.6, 53.3, 28.1), 2)
    45.12
    """
    return greatest_breakdown_v + (clamping_v - greatest_breakdown_v) * (current_a / peak_current_a)


def current_at_clamp_a(clamp_v, greatest_breakdown_v, clamping_v, peak_current_a):
    """Current at which the clamp reaches a voltage; 0 below breakdown [A]. Source key: application-note-clamp-voltage.

    Examples
    --------
    >>> round(current_at_clamp_a(22.0, 18.5, 24.4, 61.5), 2)
    36.48
    """
    resistance = dynamic_resistance_ohm(greatest_breakdown_v, clamping_v, peak_current_a)
    current_a = (clamp_v - greatest_breakdown_v) / resistance
    return most(current_a, 0.0 * current_a)


def pulse_power_w(width_s, widths_s, powers_w):
    r"""Peak power a class stands for a pulse width: log-log between printed points, constant energy beyond the last.

    .. math:: P = P_n\,w_n/w \quad (w > w_n)

    Parameters
    ----------
    width_s : width of the pulse to half its peak [s]
    widths_s : widths of the printed points, rising [s]
    powers_w : peak power there, one pulse at 25 degC [W]

    Returns
    -------
    pulse_power_w : [W]; below the first point the power of the first point

    Notes
    -----
    Small parts fall with the root of the width, load-dump parts much more slowly: each class has its own points.

    References
    ----------
    .. [1] Data sheets of the 6600 W load-dump class. Source key: datasheet-suppressor-load-dump-6600w.

    Examples
    --------
    >>> [round(pulse_power_w(w, (1e-3, 1e-2), (6600.0, 5200.0))) for w in (1e-4, 3e-3, 1e-2, 1e-1)]
    [6600, 5890, 5200, 520]
    """
    first_s, first_w = widths_s[0], powers_w[0]
    widths, powers = tuple(w / first_s for w in widths_s), tuple(p / first_w for p in powers_w)
    width = keep(width_s / first_s, "width over the first printed")
    within = along(width, widths, powers)
    return first_w * where(width, widths[-1], within, powers[-1] * (widths[-1] / width))


def pulse_energy_j(peak_power_w, width_s, rise_s=0.0):
    r"""Energy of an exponential pulse by its peak and its width to half.

    .. math:: E = 1.4 P w + 0.5 P t_r

    Parameters
    ----------
    peak_power_w : peak of voltage times current [W]
    width_s : from the peak to half of it [s]
    rise_s : ramp before it [s]

    References
    ----------
    .. [1] Application note on transient energy in a suppressor. Source key: application-note-suppressor-energy.

    Examples
    --------
    >>> round(pulse_energy_j(1500.0, 1e-3, 10e-6), 4)
    2.1075
    """
    return PULSE_FACTOR * peak_power_w * width_s + RISE_FACTOR * peak_power_w * rise_s


def equivalent_width_s(energy_j, peak_power_w):
    """Width to half of the exponential pulse that has this energy and this peak [s].

    How a pulse of any form is laid beside a power against width curve. Source key: application-note-suppressor-energy.

    Examples
    --------
    >>> round(1000 * equivalent_width_s(51.4, 610.0), 1)
    60.2
    """
    return energy_j / (PULSE_FACTOR * peak_power_w)


def allowed_energy_j(energy_j, peak_power_w, widths_s, powers_w, temperature_share):
    """Energy one suppressor stands in a pulse of this form: its power at that width, for that width [J].

    Parameters
    ----------
    energy_j, peak_power_w : of the pulse in one suppressor [J], [W]
    widths_s, powers_w : printed points of its class [s], [W]
    temperature_share : what is left of the rating where it is, by ``temperature_share``

    Notes
    -----
    Beyond the last printed width this no longer depends on the pulse: the energy stays constant, extrapolated.

    Examples
    --------
    >>> round(allowed_energy_j(57.7, 537.0, (1e-3, 1e-2), (6600.0, 5200.0), 1.0), 1)
    72.8
    """
    width_s = equivalent_width_s(energy_j, peak_power_w)
    return pulse_energy_j(pulse_power_w(width_s, widths_s, powers_w), width_s, 0.0 * width_s) * temperature_share


def temperature_share(junction_k, greatest_junction_k, *, printed_k=298.15):
    r"""What is left of a 25 degC pulse rating on a warm junction.

    .. math:: s = \frac{T_{j,max} - T}{T_{j,max} - 25\,^\circ C}

    Parameters
    ----------
    junction_k : temperature before the pulse [K]
    greatest_junction_k : greatest junction temperature [K]

    Returns
    -------
    temperature_share : bare number from 1 to 0

    Notes
    -----
    The straight line; one printed curve lies above it, so it is the safe choice.

    References
    ----------
    .. [1] MIL-PRF-19500/500, derating of a 1500 W suppressor. Source key: mil-prf-19500-500.

    Examples
    --------
    >>> [round(temperature_share(t + 273.15, 448.15), 3) for t in (0.0, 85.0, 125.0, 200.0)]
    [1.0, 0.6, 0.333, 0.0]
    """
    share = (greatest_junction_k - junction_k) / (greatest_junction_k - printed_k)
    return least(most(share, 0.0), 1.0)


def steady_power_at_w(steady_power_w, rated_at_k, mount_k, greatest_junction_k):
    """Steady dissipation allowed with warm leads or case: full to ``rated_at_k``, then a straight line to none [W].

    Parameters
    ----------
    steady_power_w : rated steady power [W]
    rated_at_k : lead or case temperature it holds to [K]
    mount_k : temperature of the leads or the case in service [K]
    greatest_junction_k : greatest junction temperature [K]

    Notes
    -----
    Source key: datasheet-suppressor-1500w-axial (5.0 W with leads at 75 degC, none at 175 degC).

    Examples
    --------
    >>> [steady_power_at_w(5.0, 348.15, t + 273.15, 448.15) for t in (25.0, 75.0, 125.0)]
    [5.0, 5.0, 2.5]
    """
    share = (greatest_junction_k - mount_k) / (greatest_junction_k - rated_at_k)
    return steady_power_w * least(most(share, 0.0), 1.0)


def steady_dissipation_w(voltage_v, leakage_a, pulse_energy_j, pulses_hz):
    """Heat of leakage and of pulses that come again [W].

    Parameters
    ----------
    voltage_v : voltage in service [V]
    leakage_a : leakage there, hot [A]
    pulse_energy_j : energy of each pulse [J]
    pulses_hz : pulses in a second [Hz]

    Examples
    --------
    >>> round(steady_dissipation_w(29.4, 150e-6, 0.0025, 10.0), 5)
    0.02941
    """
    return voltage_v * leakage_a + pulse_energy_j * pulses_hz


def greatest_share_a(current_a, number, mismatch_v, dynamic_resistance_ohm):
    r"""Current of the suppressor that takes most, one breaking down earlier than its equal neighbours.

    .. math:: I_1 = \frac{I + (n - 1)\,\Delta V/R_d}{n} \le I

    Parameters
    ----------
    current_a : current of all of them [A]
    number : suppressors in parallel
    mismatch_v : how much earlier one of them breaks down [V]
    dynamic_resistance_ohm : slope of each [ohm]

    Notes
    -----
    All share one voltage; each is a voltage with its slope in series. Alone it takes all, and it never takes more.

    References
    ----------
    .. [1] Circuit theory textbooks, sources in parallel. Source key: circuit-textbook.

    Examples
    --------
    >>> [greatest_share_a(60.0, *rest, 0.1) for rest in ((4.0, 0.0), (4.0, 1.0), (1.0, 1.0))]
    [15.0, 22.5, 60.0]
    """
    return least(current_a, (current_a + (number - 1.0) * mismatch_v / dynamic_resistance_ohm) / number)


def lead_inductance_h(length_m, diameter_m, *, permeability_h_per_m=4e-7 * math.pi):
    r"""Inductance of a straight round lead at high frequency.

    .. math:: L = \frac{\mu_0 l}{2\pi}\left(\ln\frac{4 l}{d} - 1\right)

    Parameters
    ----------
    length_m : length of the lead, both of a suppressor's leads together [m]
    diameter_m : diameter of its metal [m]

    Returns
    -------
    lead_inductance_h : [H]; nothing for a lead no longer than it is thick

    Notes
    -----
    Far from its return, which is the unsafe side; about 1 uH for a metre.

    References
    ----------
    .. [1] F. E. Terman, Radio Engineers' Handbook, 1943, inductance of a straight wire. Source key: terman-handbook.

    Examples
    --------
    >>> round(1e9 * lead_inductance_h(0.1, 2e-3))
    86
    """
    long = log(most(4.0 * length_m / diameter_m, 1e-9))
    return permeability_h_per_m * length_m / (2.0 * math.pi) * most(long - 1.0, 0.0)


def overshoot_v(inductance_h, current_a, rise_s):
    """Voltage over the leads while the current rises, which comes on top of the clamp [V].

    Parameters
    ----------
    inductance_h : of both leads [H]
    current_a : current it rises to [A]
    rise_s : in this time, steadily [s]

    Examples
    --------
    >>> round(overshoot_v(86e-9, 50.0, 1e-6), 2)
    4.3
    """
    return inductance_h * current_a / rise_s
