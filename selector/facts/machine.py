"""What an alternator's rating means on its winding side: currents, frequencies, the highest voltage between lines."""

from selector.maths import keep, where
from selector.physics import rectifier

DIODE_DROP_V = 1.1
"""Forward drop of a silicon diode at its rated current, upper end of printed lines; key datasheet-bridge-3ph-25-35a."""


def machine_dc_a(machine_rated_current_a):
    """Dc current of the machine: its rating, where no row's own current stands in for it."""
    return machine_rated_current_a


def line_rms_a(machine_dc_a, machine_line_ratio):
    """Rms current in each line for the dc current the machine gives. Source: the ratio stated, key rectifier-textbook."""
    return keep(rectifier.line_rms_a(machine_dc_a, machine_line_ratio), "line rms")


def winding_rms_a(line_rms_a, machine_delta):
    """Rms current in each winding, in star or in delta."""
    return keep(rectifier.winding_rms_a(line_rms_a, machine_delta), "winding rms")


def diode_average_a(machine_dc_a, machine_lines):
    """Average current of each diode."""
    return keep(rectifier.diode_average_a(machine_dc_a, machine_lines), "diode average")


def diode_rms_a(line_rms_a):
    """Rms current of each diode."""
    return keep(rectifier.diode_rms_a(line_rms_a), "diode rms")


def diode_peak_a(machine_dc_a, machine_peak_over_dc):
    """Peak current of each diode; unknown where the source is a bare ratio, which does not say the wave's shape."""
    return keep(rectifier.diode_peak_a(machine_dc_a, machine_peak_over_dc), "diode peak")


def frequency_low_hz(machine_poles, machine_low_speed_rpm):
    """Electrical frequency at the lowest speed."""
    return keep(rectifier.frequency_hz(machine_poles, machine_low_speed_rpm), "lowest frequency")


def frequency_high_hz(machine_poles, machine_high_speed_rpm):
    """Electrical frequency at the highest speed."""
    return keep(rectifier.frequency_hz(machine_poles, machine_high_speed_rpm), "highest frequency")


def machine_pulses(machine_lines):
    """Tops of the rectified voltage in a turn: two for each line of three, two in all for a single phase."""
    return where(machine_lines, 2.0, 2.0, 2.0 * machine_lines)


def ripple_rms_a(machine_dc_a, machine_pulses):
    """Rms of the ripple that goes into the battery with the dc current."""
    return keep(rectifier.ripple_rms_a(machine_dc_a, machine_pulses), "ripple rms")


def phase_to_phase_v(highest_v, machine_line_ratio):
    """Highest voltage between two lines with the battery connected: the dc voltage and both diodes' drop.

    Known only where there is a machine.

    Source: each line is held to one of the dc rails by a conducting diode; key rectifier-textbook.
    """
    return keep(highest_v + 2.0 * DIODE_DROP_V + 0 * machine_line_ratio, "voltage between lines")
