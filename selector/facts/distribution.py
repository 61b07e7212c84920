"""Shunts and bars: what they carry where they are, how warm they get, what a meter reads."""

from selector.maths import keep, known, most
from selector.physics import busbar, fuses

CONTINUOUS_SHARE = 2.0 / 3.0
"""Of a shunt's rating it carries for good, where its sheet gives no figure; key trade-note-shunts."""


def shunt_carries_a(shunt_continuous_current_a, shunt_current_a):
    """Continuous current of a shunt: its sheet's, or two thirds of its rating. Source: key trade-note-shunts."""
    return keep(known(shunt_continuous_current_a, CONTINUOUS_SHARE * shunt_current_a), "shunt carries")


def shunt_blade_k(ambient_k, shunt_self_heating_k, heating_current_a, shunt_current_a):
    """Temperature of a shunt's blade: the air and its own heat, by the square of the current over the rating.

    Source: common practice, no source; the rise at full rating is a default.
    """
    return ambient_k + fuses.self_heating_k(heating_current_a, shunt_current_a, shunt_self_heating_k)


def shunt_reading_v(current_a, shunt_drop_v, shunt_current_a):
    """What a meter reads over the shunt in service."""
    return keep(shunt_drop_v * (current_a / shunt_current_a), "shunt reading")


def busbar_carries_a(busbar_ampacity_a, busbar_ambient_k, busbar_bar_temperature_k, ambient_k, bar_limit_k):
    """Continuous current of a bar in this air, at the temperature a bar may reach here. Source: key din-43671."""
    return keep(
        busbar.ampacity_at_a(busbar_ampacity_a, busbar_ambient_k, busbar_bar_temperature_k, ambient_k, bar_limit_k),
        "bar carries",
    )


def stud_set_misfit_m(stud_set_thread_diameter_m, from_stud_diameter_m):
    """How far a stud's thread is from the one the node is said to have."""
    return most(stud_set_thread_diameter_m - from_stud_diameter_m, from_stud_diameter_m - stud_set_thread_diameter_m)
