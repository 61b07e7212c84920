"""Wires that meet in one barrel or one pool of metal."""

from selector.maths import least, lookup, most, sqrt, where

SAME_WITHIN = 0.10
"""Two areas within this share count as equal, common practice, no source."""
PACKED = (1.0, 2.0, 2.1547, 2.4142, 2.7013, 3.0, 3.0, 3.3048, 3.6131, 3.8130, 3.9238, 4.0296)
"""Diameter of the smallest circle around 1 to 12 equal circles, in theirs; key kravitz-1967."""


def summed_area_mm2(counts, areas_mm2):
    """Area of all the conductors on one side of a joint [mm2].

    Parameters
    ----------
    counts : how many of each, a sequence
    areas_mm2 : area of each, a sequence as long [mm2]

    Examples
    --------
    >>> round(summed_area_mm2((3.0,), (1.65,)), 2), round(summed_area_mm2((2.0, 1.0), (3.31, 8.37)), 2)
    (4.95, 14.99)
    """
    total = 0.0 * areas_mm2[0]
    for count, area in zip(counts, areas_mm2, strict=True):
        total = total + count * area
    return total


def area_difference(first_area_mm2, second_area_mm2):
    r"""Difference of two areas over the larger.

    .. math:: d = 1 - \frac{\min(A_1, A_2)}{\max(A_1, A_2)}

    Parameters
    ----------
    first_area_mm2, second_area_mm2 : summed areas of the two sides [mm2]

    Returns
    -------
    area_difference : bare number, 0 for equal sides; up to 0.10 counts as equal

    Notes
    -----
    Common practice, no source. Source key: common-practice.

    Examples
    --------
    >>> round(area_difference(4.95, 5.26), 3)
    0.059
    """
    return 1.0 - least(first_area_mm2, second_area_mm2) / most(first_area_mm2, second_area_mm2)


def bundle_diameter_m(count, diameter_m):
    """Diameter of the narrowest round hole that takes so many equal wires, to 12; unknown above [m].

    With wires of several thicknesses the thickest one's diameter gives the unsafe end. Source key: kravitz-1967.

    Parameters
    ----------
    count : wires side by side in the hole
    diameter_m : of each, as it is inside the barrel [m]

    Examples
    --------
    >>> [round(1000 * bundle_diameter_m(count, 1e-3), 3) for count in (1.0, 3.0, 7.0)]
    [1.0, 2.155, 3.0]
    """
    return diameter_m * lookup(count, tuple(float(n) for n in range(1, len(PACKED) + 1)), PACKED)


def strand_bundle_m(counts, diameters_m):
    r"""Diameter over stranded wires pushed into one barrel: their strands give way and lie as in one thicker wire [m].

    .. math:: D = \sqrt{\sum n d^2}

    Parameters
    ----------
    counts : how many of each, a sequence
    diameters_m : over the metal of each, a sequence as long [m]

    Notes
    -----
    A stranded wire's area is in proportion to the square of its diameter, so wires of like stranding keep their share
    of metal. Common practice, no source; barrels are chosen by summed area, key trade-guide-splice-area.

    Examples
    --------
    >>> round(1000 * strand_bundle_m((1.0, 1.0), (1.17e-3, 1.47e-3)), 3)
    1.879
    """
    squares = 0.0 * diameters_m[0] * diameters_m[0]
    for count, diameter in zip(counts, diameters_m, strict=True):
        squares = squares + count * diameter * diameter
    return sqrt(squares)


def filled_diameter_m(solids_m, strands_m):
    """Diameter of the hole that takes solid wires as they lie and strands in the ring around them [m].

    Parameters
    ----------
    solids_m : circle around the solid wires, 0 for none [m]
    strands_m : bundle of the stranded ones, 0 for none [m]

    Examples
    --------
    >>> filled_diameter_m(3e-3, 4e-3)
    0.005
    """
    return sqrt(solids_m * solids_m + strands_m * strands_m)


def joint_limit_k(softens, softening_k, margin_k, part_limit_k):
    """Temperature a joint may reach: its part's limit, and where its method softens also that less a margin [K].

    Parameters
    ----------
    softens : 1 for solders, 0 for crimps and welds
    softening_k : where the metal that holds the joint begins to melt [K]
    margin_k : distance to keep from it [K]
    part_limit_k : limit of the splice itself [K]

    Notes
    -----
    Tin-lead begins to melt at 183 degC, tin-copper at 227 degC. Source key: iso-9453; the margin is common practice.

    Examples
    --------
    >>> [round(joint_limit_k(softens, 456.15, 50.0, 448.15) - 273.15) for softens in (1.0, 0.0)]
    [133, 175]
    """
    return where(softens, 0.0, part_limit_k, least(part_limit_k, softening_k - margin_k))


def melt_margin_k(softening_k, joint_k):
    """How far a joint stays below the melting of what holds it [K].

    Examples
    --------
    >>> round(melt_margin_k(456.15, 433.15))
    23
    """
    return softening_k - joint_k


def joint_heat_w(current_a, contact_resistance_ohm):
    """Heat of a joint by its resistance [W].

    Examples
    --------
    >>> round(joint_heat_w(180.0, 50e-6), 2)
    1.62
    """
    return current_a * current_a * contact_resistance_ohm
