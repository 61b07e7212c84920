"""How lug, stud and sleeve fit each other; every name here serves both ends of a connection."""

from selector.maths import keep


def lug_slack_m(lug_hole_m, stud_diameter_m):
    """How much wider the hole is than the stud's thread."""
    return keep(lug_hole_m - stud_diameter_m, "hole less stud")


def lug_takes_metal(conductor_is_copper, conductor_is_aluminium, lug_takes_copper, lug_takes_aluminium):
    """1 where the barrel is made for the wire's metal."""
    return conductor_is_copper * lug_takes_copper + conductor_is_aluminium * lug_takes_aluminium


def lug_takes_strands(
    conductor_is_solid,
    conductor_is_stranded,
    conductor_is_class_2,
    conductor_is_class_5,
    lug_takes_solid,
    lug_takes_stranded,
    lug_takes_class_2,
    lug_takes_class_5,
):
    """1 where the barrel is made for the wire's stranding."""
    return (
        conductor_is_solid * lug_takes_solid
        + conductor_is_stranded * lug_takes_stranded
        + conductor_is_class_2 * lug_takes_class_2
        + conductor_is_class_5 * lug_takes_class_5
    )
