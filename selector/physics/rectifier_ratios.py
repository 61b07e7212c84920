"""What a rectifier's circuit alone decides: its voltages and currents as bare ratios.

Ideal diodes, equal phases. Source keys: rectifier-textbook, electrical-machines-textbook.
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
OVERLAP_STEPS = 8
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
