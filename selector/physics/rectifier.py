"""Currents, voltages and heat of a rectifier on a machine's windings.

Everything follows from the dc current and one ratio, the line's rms current over it, which depends on the source:

- stiff (little reactance), smooth dc current: blocks of 120 degrees, 0.8165; the safe figure at rated current
- reactance-limited (a loaded alternator into a battery): sine waves, 0.7405
- near cut-in: ``rectifier_ratios.reactance_line_ratio``, above both, where the current is small

Source keys: rectifier-textbook, electrical-machines-textbook.
"""

import math

from selector.maths import sqrt, where
from selector.physics.rectifier_ratios import (
    REACTANCE_LIMITED_LINE_RATIO,
    SINE_PEAK_RATIO,
    ripple_rms_share,
)


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
    >>> [round(line_rms_a(220.0, ratio)) for ratio in (math.sqrt(2 / 3), REACTANCE_LIMITED_LINE_RATIO)]
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
    >>> round(diode_rms_a(line_rms_a(130.0, math.sqrt(2 / 3))), 2)
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


def frequency_hz(poles, speed_rpm, *, rpm_per_hz=60.0):
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
    return poles / 2.0 * speed_rpm / rpm_per_hz


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
    """Line-to-line voltage: the winding's times the root of three in star (0), the same in delta (1) [V].

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
    6.363
    """
    return sqrt(duty / 3.0 * (first_a * first_a + first_a * last_a + last_a * last_a))
