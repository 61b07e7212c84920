"""How a splice and its sleeve fit the wires that meet in it, and what heat the joint stands."""

from selector.maths import either, keep, known, least, most, where
from selector.physics import joint


def joint_temperature_k(from_hottest_k, joined_wires_k, joined_air_k, ambient_k):
    """Temperature of the joint: the hotter of its place and of the wires that end there, which follow the air."""
    return keep(most(from_hottest_k, joined_wires_k + (ambient_k - joined_air_k)), "joint temperature")


def joint_lead_counts(has_joint_lead, joint_lead_mm2):
    """1 where the joint leads on to a wire that is picked; until it is, `joins` stands, and the joint's warmth is unknown."""
    return has_joint_lead * known(0.0 * joint_lead_mm2 + 1.0, 0.0)


def joint_second_mm2(joint_lead_counts, joint_lead_mm2, joint_second_area_mm2):
    """Area of the second side: of the lead picked for it where the joint is at a winding, else as it is written."""
    return where(joint_lead_counts, 0.0, joint_second_area_mm2, joint_lead_mm2)


def joint_all_mm2(joint_lead_counts, joint_lead_mm2, joint_first_area_mm2, joint_total_mm2):
    """Area of all wires, the second side as `joint_second_mm2`."""
    return where(joint_lead_counts, 0.0, joint_total_mm2, joint_first_area_mm2 + joint_lead_mm2)


def joint_emptier_mm2(joint_lead_counts, joint_lead_mm2, joint_first_area_mm2, joint_least_side_mm2):
    """Area of the side that has less metal."""
    return where(joint_lead_counts, 0.0, joint_least_side_mm2, least(joint_first_area_mm2, joint_lead_mm2))


def joint_fuller_mm2(joint_lead_counts, joint_lead_mm2, joint_first_area_mm2, joint_greatest_side_mm2):
    """Area of the side that has more metal."""
    return where(joint_lead_counts, 0.0, joint_greatest_side_mm2, most(joint_first_area_mm2, joint_lead_mm2))


def joint_bundle_m(joint_lead_counts, joint_lead_m, joint_first_bundle_m, joint_widest_side_m):
    """Hole that takes the metal of the thicker side; a lead's strands give way, they fill no more than their own."""
    return where(joint_lead_counts, 0.0, joint_widest_side_m, most(joint_first_bundle_m, joint_lead_m))


def joint_lap_m(joint_lead_counts, joint_lead_m, joint_first_bundle_m, joint_sides_m):
    """Metal of both sides side by side."""
    return where(joint_lead_counts, 0.0, joint_sides_m, joint_first_bundle_m + joint_lead_m)


def joint_grip_m(joint_lead_counts, joint_lead_outer_m, joint_lead_m, joint_first_grip_m, joint_thinnest_side_m):
    """What a sleeve grips of the thinner side: the lead's own insulation where its wire is picked."""
    of_lead = least(joint_first_grip_m, known(joint_lead_outer_m, joint_lead_m))
    return where(joint_lead_counts, 0.0, joint_thinnest_side_m, of_lead)


def joint_least_in_barrel_mm2(splice_sums_all, joint_emptier_mm2, joint_all_mm2):
    """Area in the emptier end of the splice; what is joined in one pool of metal counts in all."""
    return where(splice_sums_all, 0.0, joint_emptier_mm2, joint_all_mm2)


def joint_greatest_in_barrel_mm2(splice_sums_all, joint_fuller_mm2, joint_all_mm2):
    """Area in the fuller end of the splice; what is joined in one pool of metal counts in all."""
    return where(splice_sums_all, 0.0, joint_fuller_mm2, joint_all_mm2)


def joint_difference(joint_first_area_mm2, joint_second_mm2):
    """Difference of the areas of the two sides, over the larger. Source: common practice, no source."""
    return joint.area_difference(joint_first_area_mm2, joint_second_mm2)


def splice_takes_style(joint_parallel, splice_takes_through, splice_takes_parallel):
    """1 where the splice is made for wires that meet end to end, or side by side, as these do."""
    return where(joint_parallel, 0.0, splice_takes_through, splice_takes_parallel)


def splice_takes_metal(joint_has_copper, joint_has_aluminium, splice_takes_copper, splice_takes_aluminium):
    """1 where the splice is made for every metal among the wires."""
    copper = 1.0 - joint_has_copper * (1.0 - splice_takes_copper)
    return copper * (1.0 - joint_has_aluminium * (1.0 - splice_takes_aluminium))


def splice_takes_strands(
    joint_has_solid,
    joint_has_stranded,
    joint_has_class_2,
    joint_has_class_5,
    splice_takes_solid,
    splice_takes_stranded,
    splice_takes_class_2,
    splice_takes_class_5,
):
    """1 where the splice is made for the stranding of every wire."""
    solid = 1.0 - joint_has_solid * (1.0 - splice_takes_solid)
    stranded = 1.0 - joint_has_stranded * (1.0 - splice_takes_stranded)
    class_2 = 1.0 - joint_has_class_2 * (1.0 - splice_takes_class_2)
    return solid * stranded * class_2 * (1.0 - joint_has_class_5 * (1.0 - splice_takes_class_5))


def joint_limit_k(splice_softens, splice_softening_k, splice_margin_k, splice_temperature_limit_k):
    """Temperature the joint may reach: the splice's own limit, and where it softens that less a margin. Key iso-9453."""
    return keep(
        joint.joint_limit_k(splice_softens, splice_softening_k, splice_margin_k, splice_temperature_limit_k),
        "joint limit",
    )


def joint_covered(splice_is_insulated, has_sleeve):
    """1 where the joint is covered: by a sleeve, or by the splice's own insulation."""
    return either(splice_is_insulated, has_sleeve)


def joint_outside_m(splice_has_barrel, splice_barrel_diameter_m, joint_lap_m):
    """Thickest place a sleeve must pass: the barrel, or where there is none the wires of both sides side by side."""
    return where(splice_has_barrel, 0.0, joint_lap_m, splice_barrel_diameter_m)


def joint_thinner_m(joint_grip_m):
    """What a sleeve must grip: the thinner side, its thinnest insulation or, where that is unknown, its bare metal."""
    return keep(joint_grip_m, "thinner side")


def pull_force_n(joint_pull_force_n, splice_pull_tested):
    """Force a sample crimp must hold, by the smallest wire in it; unknown where the splice is no crimp."""
    return joint_pull_force_n * splice_pull_tested
