"""What control wires do: how far a sense lead deceives its regulator, and whether it has its fuse here."""

from selector.maths import keep


def regulation_error_v(voltage_drop_v, sense_lead):
    """Volts the regulator reads too low, so that the battery is charged that much higher; unknown for other wires."""
    return keep(voltage_drop_v * sense_lead, "regulation error")


def sense_fused(is_sense, own_device):
    """1 where the row is a sense lead with a device of its own."""
    return is_sense * own_device
