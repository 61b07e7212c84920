"""Currents, voltages and heat of a rectifier on a machine's windings.

Everything follows from the dc current and one ratio, the line's rms current over it, which depends on the source:

- stiff (little reactance), smooth dc current: blocks of 120 degrees, 0.8165; the safe figure at rated current
- reactance-limited (a loaded alternator into a battery): sine waves, 0.7405
- near cut-in: ``reactance_line_ratio``, above both, where the current is small

Source keys: rectifier-textbook, electrical-machines-textbook.
"""

import math

from selector.maths import PI, cos, false_position, keep, most, sqrt, where

STIFF_LINE_RATIO = math.sqrt(2.0 / 3.0)
"""Line rms over dc current of a three-phase bridge on a stiff source, dc current smooth."""
REACTANCE_LIMITED_LINE_RATIO = PI / (3.0 * math.sqrt(2.0))
"""Line rms over dc current of a three-phase bridge whose phase currents are sine waves."""
SINGLE_PHASE_LINE_RATIO = 1.0
"""Line rms over dc current of a single-phase bridge, dc current smooth."""
SINGLE_PHASE_SINE_LINE_RATIO = PI / (2.0 * math.sqrt(2.0))
"""Line rms over dc current of a single-phase bridge whose line current is a sine wave."""
SMOOTH_PEAK_RATIO = 1.0
"""Diode peak over dc current where the dc current is smooth."""
SINE_PEAK_RATIO = PI / 3.0
"""Diode peak over dc current of a three-phase bridge whose phase currents are sine waves, or on a bare resistor."""
OVERLAP_STEPS = 14
LEAST_EMF_RATIO = 1.0531
"""EMF over dc voltage below which the current of a reactance-limited bridge pauses (1.05305 exactly)."""
GAUSS = (
    (-0.9061798459386640, 0.2369268850561891),
    (-0.5384693101056831, 0.4786286704993665),
    (0.0, 0.5688888888888889),
    (0.5384693101056831, 0.4786286704993665),
    (0.9061798459386640, 0.2369268850561891),
)
"""Nodes and weights of five-point Gauss-Legendre quadrature; key abramowitz-stegun."""


def mean_over_peak(pulses):
    r"""Mean of a rectified voltage over its peak.

    .. math:: \frac{V_{dc}}{V_{pk}} = \frac{p}{\pi}\sin\frac{\pi}{p}

    Parameters
    ----------
    pulses : tops of the wave in a turn: 2 single-phase bridge, 3 three-phase half-wave, 6 three-phase bridge

    Returns
    -------
    mean_over_peak : bare number; the peak is that of the line-to-line voltage for bridges

    Notes
    -----
    Stiff source, current never interrupted, diodes without drop. Two pulses or more.

    References
    ----------
    .. [1] Power-electronics textbooks, uncontrolled rectifiers. Source key: rectifier-textbook.

    Examples
    --------
    >>> [round(mean_over_peak(pulses), 4) for pulses in (2, 3, 6)]
    [0.6366, 0.827, 0.9549]
    """
    return pulses / PI * cos(PI / pulses - PI / 2.0)


def form_factor(pulses):
    r"""Rms of a rectified voltage over its mean; on a bare resistor also that of the dc current.

    .. math:: F = \frac{\sqrt{1/2 + p/(4\pi)\,\sin(2\pi/p)}}{(p/\pi)\sin(\pi/p)}

    Parameters
    ----------
    pulses : tops of the wave in a turn, 2 or more

    References
    ----------
    .. [1] Power-electronics textbooks, uncontrolled rectifiers. Source key: rectifier-textbook.

    Examples
    --------
    >>> [round(form_factor(pulses), 4) for pulses in (2, 3, 6)]
    [1.1107, 1.0166, 1.0009]
    """
    square = 0.5 + pulses / (4.0 * PI) * cos(2.0 * PI / pulses - PI / 2.0)
    return sqrt(square) / mean_over_peak(pulses)


def ripple_rms_share(pulses):
    """Rms of the ripple over the mean of a rectified voltage, from its form factor: the root of F squared less one.

    A reactance-limited machine has the same share in its dc current. Source key: rectifier-textbook.

    Parameters
    ----------
    pulses : tops of the wave in a turn, 2 or more

    Examples
    --------
    >>> [round(ripple_rms_share(pulses), 4) for pulses in (2, 3, 6)]
    [0.4834, 0.1827, 0.042]
    """
    factor = keep(form_factor(pulses), "form factor")
    return sqrt(factor * factor - 1.0)


def ripple_peak_to_peak_share(pulses):
    r"""Height of the ripple over the mean of a rectified voltage.

    .. math:: \frac{V_{pp}}{V_{dc}} = \frac{1 - \cos(\pi/p)}{(p/\pi)\sin(\pi/p)}

    Parameters
    ----------
    pulses : tops of the wave in a turn, 2 or more

    Examples
    --------
    >>> [round(ripple_peak_to_peak_share(pulses), 4) for pulses in (2, 3, 6)]
    [1.5708, 0.6046, 0.1403]
    """
    return (1.0 - cos(PI / pulses)) / mean_over_peak(pulses)


def line_rms_a(dc_current_a, line_ratio):
    r"""Rms current in each line between winding and rectifier.

    .. math:: I_L = r I_{dc}

    Parameters
    ----------
    dc_current_a : mean current on the dc side [A]
    line_ratio : line rms over dc current; 0.8165 stiff, 0.7405 reactance-limited, or measured

    Returns
    -------
    line_rms_a : [A]

    Notes
    -----
    Never the dc current over the root of three, nor 0.6 times it: both are below what flows.

    References
    ----------
    .. [1] Power-electronics textbooks, six-pulse bridge. Source key: rectifier-textbook.

    Examples
    --------
    >>> [round(line_rms_a(220.0, ratio)) for ratio in (STIFF_LINE_RATIO, REACTANCE_LIMITED_LINE_RATIO)]
    [180, 163]
    """
    return dc_current_a * line_ratio


def least_line_rms_a(dc_current_a):
    """Least line rms current a three-phase bridge can draw for a dc current: that of sine waves [A].

    A stated phase current below it is a mistake, whatever the machine. Source key: rectifier-textbook.

    Examples
    --------
    >>> round(least_line_rms_a(220.0), 1)
    162.9
    """
    return dc_current_a * REACTANCE_LIMITED_LINE_RATIO


def winding_rms_a(line_rms_a, delta):
    r"""Rms current in each winding.

    Parameters
    ----------
    line_rms_a : rms current in each line [A]
    delta : 1 for windings in delta, 0 in star

    Returns
    -------
    winding_rms_a : the line's in star, over the root of three in delta [A]

    Notes
    -----
    Without a current that circulates in the delta, as in a machine whose third harmonic is small.

    References
    ----------
    .. [1] Electrical machines textbooks, three-phase windings. Source key: electrical-machines-textbook.

    Examples
    --------
    >>> winding_rms_a(173.2, 0.0), round(winding_rms_a(173.2, 1.0), 1)
    (173.2, 100.0)
    """
    return where(delta, 0.0, line_rms_a, line_rms_a / math.sqrt(3.0))


def diode_average_a(dc_current_a, lines):
    """Average current of each diode: the dc current over the lines it takes turns with [A].

    Parameters
    ----------
    dc_current_a : mean current on the dc side [A]
    lines : 3 for three-phase circuits, 2 for a single-phase bridge

    Examples
    --------
    >>> round(diode_average_a(130.0, 3.0), 2)
    43.33
    """
    return dc_current_a / lines


def diode_rms_a(line_rms_a):
    r"""Rms current of each diode of a bridge: two of them share a line, one for each half wave.

    .. math:: I_{D} = I_L/\sqrt{2}

    Parameters
    ----------
    line_rms_a : rms current in each line [A]

    Returns
    -------
    diode_rms_a : [A]

    Examples
    --------
    >>> round(diode_rms_a(line_rms_a(130.0, STIFF_LINE_RATIO)), 2)
    75.06
    """
    return line_rms_a / math.sqrt(2.0)


def diode_peak_a(dc_current_a, peak_ratio=SINE_PEAK_RATIO):
    """Peak current of each diode of a three-phase bridge [A].

    Parameters
    ----------
    dc_current_a : mean current on the dc side [A]
    peak_ratio : diode peak over dc current; 1.0472 covers loaded machines, near cut-in it reaches 1.55

    Examples
    --------
    >>> round(diode_peak_a(100.0), 1)
    104.7
    """
    return dc_current_a * peak_ratio


def _in_quadrature(work, low, high):
    """Integral of ``work`` between two angles by Gauss's five points."""
    middle, half = keep((low + high) / 2.0, "middle"), keep((high - low) / 2.0, "half width")
    total = 0.0
    for node, weight in GAUSS:
        total = total + weight * work(keep(middle + node * half, "angle"))
    return keep(half * total, "integral")


def reactance_line_ratio(emf_ratio):
    r"""Line rms over dc current of a three-phase bridge fed through reactance into a battery, from cut-in upwards.

    Parameters
    ----------
    emf_ratio : peak of the line-to-line EMF over the dc voltage, both diode drops counted in the latter

    Returns
    -------
    reactance_line_ratio : bare number, falling from 1.0 at 1.0531 to 0.7405 far above; unknown below 1.0531

    Notes
    -----
    Only the EMF and equal reactances, no resistance. A sixth of a turn, begun when a third line joins at the angle t:
    two lines share one side for the angle u, until the older one's current is gone; then two lines carry on alone.
    With m the EMF ratio and currents in the unit of dc voltage over reactance,

    .. math:: i_c(x) = \frac{m}{\sqrt 3}[\cos(t + x) - \cos t] + \frac{x}{3}, \qquad
        i_a(x) = i_a(u) + \frac{m}{2}[\sin(t + x - 60^\circ) - \sin(t + u - 60^\circ)] - \frac{x - u}{2}

    u is where the older line's current, which began as what the sixth before it ended with, is zero. The third line
    joins where its EMF is a third of the dc voltage, sin t = 1/(m sqrt 3); from m = 1.34 on all three conduct all the
    time, u is the whole sixth and cos t = 2 pi/(3 sqrt 3 m). Below 1.0531 the current pauses, and so little flows that
    no wire is sized by it.

    References
    ----------
    .. [1] The circuit of power-electronics textbooks, solved here piece by piece. Source key: rectifier-textbook.

    Examples
    --------
    >>> [round(reactance_line_ratio(m), 4) for m in (1.06, 1.5, 10.0)]
    [0.8809, 0.747, 0.7405]
    """
    root, sixth = math.sqrt(3.0), PI / 3.0
    emf = keep(emf_ratio / root, "EMF of a line")
    all_conduct = 2.0 * PI / (3.0 * root) / emf_ratio
    squared = most(1.0 / (3.0 * emf_ratio * emf_ratio), 1.0 - all_conduct * all_conduct)
    sine, cosine = keep(sqrt(squared), "sine at the start"), keep(sqrt(1.0 - squared), "cosine at the start")

    def turned(x):
        own_sine, own_cosine = keep(cos(x - PI / 2.0), "sine"), keep(cos(x), "cosine")
        return (
            keep(sine * own_cosine + cosine * own_sine, "sine of the angle"),
            keep(cosine * own_cosine - sine * own_sine, "cosine of the angle"),
        )

    def joining(x):
        return keep(emf * (turned(x)[1] - cosine) + x / 3.0, "current of the line that joins")

    def driving(at_sine, at_cosine):
        return at_sine / 2.0 - at_cosine * root / 2.0

    def alone(x, u):
        here, before = keep(driving(*turned(x)), "driven here"), keep(driving(*turned(u)), "driven before")
        return keep((0.0 - joining(u)) + (emf_ratio * (here - before) - (x - u)) / 2.0, "current of two lines")

    def leaving(x, u):
        here, there = turned(x)
        fallen = root / 2.0 * (here - sine) + (there - cosine) / 2.0
        return keep(x / 3.0 - emf * fallen - alone(sixth + 0.0 * u, u), "current of the line that leaves")

    u = keep(false_position(lambda x: leaving(x, x), 0.0 * emf, sixth + 0.0 * emf, OVERLAP_STEPS), "overlap")
    whole = sixth + 0.0 * u

    def both(x):
        return 0.0 - (leaving(x, u) + joining(x))

    def squares(x):
        older, newer = leaving(x, u), joining(x)
        return older * older + newer * newer + (older + newer) * (older + newer)

    mean = _in_quadrature(both, 0.0 * u, u) + _in_quadrature(lambda x: alone(x, u), u, whole)
    square = _in_quadrature(squares, 0.0 * u, u) + _in_quadrature(lambda x: 2.0 * alone(x, u) ** 2.0, u, whole)
    ratio = keep(sqrt(sixth * square / 3.0) / mean, "line ratio")
    return where(LEAST_EMF_RATIO, emf_ratio, ratio, math.nan * ratio)


def frequency_hz(poles, speed_rpm, *, turns_rpm_per_hz=60.0):
    r"""Electrical frequency of a machine.

    .. math:: f = p n/60

    Parameters
    ----------
    poles : poles, twice the pole pairs p
    speed_rpm : shaft speed [1/min]

    Returns
    -------
    frequency_hz : [Hz]

    References
    ----------
    .. [1] Electrical machines textbooks. Source key: electrical-machines-textbook.

    Examples
    --------
    >>> frequency_hz(12.0, 6000.0), frequency_hz(16.0, 1800.0)
    (600.0, 240.0)
    """
    return poles / 2.0 * speed_rpm / turns_rpm_per_hz


def ripple_hz(frequency_hz, pulses):
    """Frequency of the ripple on the dc side: as many tops a turn as the circuit has pulses [Hz].

    Examples
    --------
    >>> ripple_hz(600.0, 6.0)
    3600.0
    """
    return frequency_hz * pulses


def ripple_rms_a(dc_current_a, pulses):
    """Rms of the ripple current a reactance-limited machine sends into the battery [A]. Source key: rectifier-textbook.

    Examples
    --------
    >>> round(ripple_rms_a(220.0, 6.0), 2)
    9.23
    """
    return dc_current_a * ripple_rms_share(pulses)


def closed_line_v(winding_v, delta):
    """Line-to-line voltage of windings in star (0) or delta (1): the winding's times the root of three, or the same [V].

    Source key: electrical-machines-textbook.

    Examples
    --------
    >>> round(closed_line_v(10.0, 0.0), 2), closed_line_v(10.0, 1.0)
    (17.32, 10.0)
    """
    return where(delta, 0.0, winding_v * math.sqrt(3.0), winding_v)


def peak_line_v(dc_voltage_v, peak_ratio=1.0):
    """Greatest line-to-line voltage, and reverse voltage of each diode of a bridge [V].

    Parameters
    ----------
    dc_voltage_v : highest dc voltage: the charging voltage, or the clamp of a suppressor while it works [V]
    peak_ratio : 1 while a battery or a suppressor holds the dc side; 1.0472 for a six-pulse wave on a bare load

    Notes
    -----
    A disconnected machine is held by nothing but its suppressor: give the clamp, or the open-circuit peak.
    Source key: rectifier-textbook.

    Examples
    --------
    >>> peak_line_v(29.4), round(peak_line_v(29.4, SINE_PEAK_RATIO), 2)
    (29.4, 30.79)
    """
    return dc_voltage_v * peak_ratio


def overlap_drop_v(frequency_hz, inductance_h, dc_current_a):
    r"""Voltage a three-phase bridge loses while current passes from one line to the next.

    .. math:: \Delta V = 3 \omega L I_{dc}/\pi

    Parameters
    ----------
    frequency_hz : electrical frequency [Hz]
    inductance_h : commutating inductance of each phase [H]
    dc_current_a : mean current on the dc side [A]

    Returns
    -------
    overlap_drop_v : [V]

    Notes
    -----
    While no more than two lines overlap, as with the smooth dc current of a stiff source.

    References
    ----------
    .. [1] Power-electronics textbooks, commutation. Source key: rectifier-textbook.

    Examples
    --------
    >>> round(overlap_drop_v(50.0, 2e-3, 50.919), 2)
    30.55
    """
    return 6.0 * frequency_hz * inductance_h * dc_current_a


def cut_in_speed_rpm(known_speed_rpm, known_v, dc_voltage_v, drop_v):
    r"""Speed at which a machine begins to charge another voltage, by the same field.

    .. math:: n = n_0 \frac{V + V_d}{V_0 + V_d}

    Parameters
    ----------
    known_speed_rpm : cut-in speed at ``known_v`` [1/min]
    known_v, dc_voltage_v : the two dc voltages [V]
    drop_v : of the two diodes in series [V]

    Notes
    -----
    EMF follows speed; the field saturates the same way at both. Source key: electrical-machines-textbook.

    Examples
    --------
    >>> round(cut_in_speed_rpm(1200.0, 13.5, 27.0, 2.0))
    2245
    """
    return known_speed_rpm * (dc_voltage_v + drop_v) / (known_v + drop_v)


def diode_loss_w(threshold_v, slope_ohm, diode_average_a, diode_rms_a):
    r"""Heat of one diode by its loss line.

    .. math:: P = V_{T0} I_{AV} + r_T I_{RMS}^2

    Parameters
    ----------
    threshold_v : threshold of the loss line [V]
    slope_ohm : slope of the loss line [ohm]
    diode_average_a, diode_rms_a : current of the diode [A]

    Returns
    -------
    diode_loss_w : [W]

    Notes
    -----
    Good while the peak stays below three times the average current of the rating; switching is not counted, which is
    nothing at the frequencies of alternators.

    References
    ----------
    .. [1] Application note on conduction losses in a power rectifier. Source key: application-note-conduction-loss.

    Examples
    --------
    >>> round(diode_loss_w(0.78, 4.59e-3, 130.0 / 3, 75.056), 2)
    59.66
    """
    return threshold_v * diode_average_a + slope_ohm * (diode_rms_a * diode_rms_a)


def module_loss_w(diode_loss_w, diodes):
    """Heat of the whole circuit; where the rectifier stands apart, the heat that leaves the alternator [W].

    Examples
    --------
    >>> round(module_loss_w(59.66, 6.0), 1)
    358.0
    """
    return diode_loss_w * diodes


def series_loss_share(dc_voltage_v, diode_drop_v):
    r"""Share of what the windings give that two diodes in series turn to heat.

    .. math:: \frac{2 V_F}{V_{dc} + 2 V_F}

    Parameters
    ----------
    dc_voltage_v : [V]
    diode_drop_v : forward drop of one diode [V]

    Examples
    --------
    >>> [round(100 * series_loss_share(volts, 1.0), 1) for volts in (14.0, 28.0)]
    [12.5, 6.7]
    """
    return 2.0 * diode_drop_v / (dc_voltage_v + 2.0 * diode_drop_v)


def share_of_losses(module_loss_w, dc_power_w, efficiency):
    r"""Share of an alternator's whole loss that its rectifier makes.

    .. math:: \frac{P_r}{P_{dc}(1/\eta - 1)}

    Parameters
    ----------
    module_loss_w : heat of the rectifier [W]
    dc_power_w : power at the dc terminals [W]
    efficiency : dc power over shaft power

    Examples
    --------
    >>> round(share_of_losses(212.0, 1400.0, 0.55), 3)
    0.185
    """
    return module_loss_w / (dc_power_w * (1.0 / efficiency - 1.0))


def case_k(sink_k, module_loss_w, case_to_sink_k_per_w):
    """Temperature of the case over its sink [K].

    Parameters
    ----------
    sink_k : temperature of the sink under the case [K]
    module_loss_w : heat that crosses from the case, of the whole circuit [W]
    case_to_sink_k_per_w : thermal resistance of that joint, of the whole circuit [K/W]

    Examples
    --------
    >>> round(case_k(340.0, 230.0, 0.05), 1)
    351.5
    """
    return sink_k + module_loss_w * case_to_sink_k_per_w


def junction_k(case_k, diode_loss_w, junction_to_case_k_per_w):
    r"""Temperature of a junction over its case.

    .. math:: T_j = T_c + P_D R_{th,jc}

    Parameters
    ----------
    case_k : temperature of the case [K]
    diode_loss_w : heat of one diode [W]
    junction_to_case_k_per_w : thermal resistance of one junction [K/W]

    Returns
    -------
    junction_k : mean temperature of the junction [K]

    Notes
    -----
    The pulse within a turn warms the junction a little more; a figure given for 120 degree blocks has that in it.

    References
    ----------
    .. [1] Data sheet of a 130 A bridge module. Source key: datasheet-bridge-3ph-130a.

    Examples
    --------
    >>> round(junction_k(358.15, 59.66, 1.08) - 273.15, 1)
    149.4
    """
    return case_k + diode_loss_w * junction_to_case_k_per_w


def greatest_sink_k_per_w(junction_limit_k, air_k, module_loss_w, junction_to_case_k_per_w, case_to_sink_k_per_w):
    r"""Thermal resistance a sink may have, both others given for the whole circuit.

    .. math:: R_{sa} = (T_j - T_a)/P - R_{jc} - R_{cs}

    Parameters
    ----------
    junction_limit_k : temperature the junction may reach [K]
    air_k : air at the sink [K]
    module_loss_w : heat of the whole circuit [W]
    junction_to_case_k_per_w, case_to_sink_k_per_w : of the whole circuit [K/W]

    Examples
    --------
    >>> round(greatest_sink_k_per_w(398.15, 323.15, 231.5, 0.18, 0.05), 3)
    0.094
    """
    return (junction_limit_k - air_k) / module_loss_w - junction_to_case_k_per_w - case_to_sink_k_per_w


def slope_ohm(lower_v, lower_a, upper_v, upper_a):
    """Slope of a loss line through two points of a forward curve [ohm].

    Source key: application-note-conduction-loss.

    Examples
    --------
    >>> round(1000 * slope_ohm(0.43, 4.0, 0.55, 11.8), 2)
    15.38
    """
    return (upper_v - lower_v) / (upper_a - lower_a)


def threshold_v(point_v, point_a, slope_ohm):
    """Threshold of a loss line of known slope through one point [V]. Source key: application-note-conduction-loss.

    Examples
    --------
    >>> round(threshold_v(0.43, 4.0, 0.0153846), 4)
    0.3685
    """
    return point_v - point_a * slope_ohm


def block_rms_a(first_a, last_a, duty):
    r"""Rms of a current that runs straight from one value to another for a share of the time and rests for the other.

    .. math:: I = \sqrt{\frac{d}{3}(I_1^2 + I_1 I_2 + I_2^2)}

    Parameters
    ----------
    first_a, last_a : the two ends; equal for a rectangle, one of them 0 for a triangle [A]
    duty : share of the time

    References
    ----------
    .. [1] Application note on conduction losses in a power rectifier. Source key: application-note-conduction-loss.

    Examples
    --------
    >>> round(block_rms_a(4.0, 11.8, 0.6), 3)
    6.364
    """
    return sqrt(duty / 3.0 * (first_a * first_a + first_a * last_a + last_a * last_a))
