"""Lines of the explanation for joints, and for the leads a regulator senses and feeds by."""

from selector.catalogue.reading import fold_key
from selector.project.joints import LEADS, SAME_SIZE, JoinsError, area_of, printed_for, read_joins
from selector.report.result import digits, in_unit, part_of, plain

CODES = ("J16", "J17")
"""Codes of findings about joints that belong to no single check."""
ALIKE = 0.1
"""Areas within this share of each other are one size, as in J05; common practice, no source."""


def joint_lines(outcome, one):
    """What meets in a joint, how warm it gets, and what a sample of it must hold: (label, value) pairs."""
    if one.kind.name != "joint":
        return
    columns, results = outcome.places.columns, one.results

    def result(name, unit):
        value = in_unit(results.get(name), unit)
        return "not known" if value is None else f"{plain(value)} {unit}"

    row = outcome.places.rows[one.place]
    yield "what meets", row["joins"]
    first, second = columns["joint_first_area_mm2"][one.place], columns["joint_second_area_mm2"][one.place]
    leads_on = columns["has_joint_lead"][one.place] == 1
    second = results.get("joint_second_mm2") if leads_on else second
    if leads_on and (second is None or second != second):
        yield "metal", f"{plain(float(first))} mm2 against a lead whose wire is not settled yet"
    elif second == second:
        picked = ", the lead as picked" if leads_on else ""
        yield "metal", f"{plain(float(first))} mm2 against {plain(float(second))} mm2{picked}"
    else:
        yield "metal", f"{plain(float(first))} mm2 in all"
    yield "the joint gets", f"{result('joint_temperature_k', 'degC')}; it may reach {result('joint_limit_k', 'degC')}"
    if results.get("pull_force_n") == results.get("pull_force_n"):
        yield "a sample must hold", f"{result('pull_force_n', 'N')} on its smallest wire ({pull_words(outcome, one)})"
    elif crimped(outcome, one):
        yield (
            "a sample must hold",
            f"not known: {outcome.settings.values['pull test']} prints nothing for its smallest wire",
        )
    yield (
        "a sleeve grips",
        f"{result('joint_grip_m', 'mm')} at least: the lead picked, or the thinnest insulation sold on such a wire, or a "
        "tail's bare metal",
    )


def crimped(outcome, one):
    """Whether the splice of a joint is a crimp, which a pull test is meant for."""
    part = part_of(outcome, one, "splice")
    return part is not None and part[0].columns["is_crimped"][part[1]] == 1


def pull_row(outcome, one):
    """The row of pull_forces.csv that a joint's smallest wire is held to, and that wire; (None, None) where there is none."""
    winding = outcome.places.columns["at_a_winding"][one.place] == 1
    try:
        sides = read_joins(
            outcome.places.rows[one.place]["joins"] or "", outcome.catalogue.rows("conductors.csv"), winding
        )
    except JoinsError:
        return None, None
    smallest = min((wires for side in sides for wires in side), key=lambda wires: wires.area_mm2)
    asked = fold_key(outcome.settings.values["pull test"])
    rows = [
        row for row in outcome.catalogue.rows("pull_forces.csv", joint="crimp") if fold_key(row["requirement"]) == asked
    ]
    return printed_for(rows, smallest.area_mm2), smallest


def pull_words(outcome, one):
    """Where the pull force of a joint is from: the test, the size printed there, and whether that is a larger one."""
    row, wire = pull_row(outcome, one)
    if row is None:
        return outcome.settings.values["pull test"]
    return of_size(row, wire.size, wire.area_mm2)


def of_size(row, size, area_mm2):
    """A row of pull_forces.csv in words; for a wire between two printed sizes it is the next larger one's.

    >>> of_size({"requirement": "UL 486A", "size": "14 AWG", "area_mm2": 2.081}, "15 AWG", 1.65)
    'UL 486A for 14 AWG, the next printed above 15 AWG'
    """
    words = f"{row['requirement']} for {row['size']}"
    return words if row["area_mm2"] <= (1 + SAME_SIZE) * area_mm2 else f"{words}, the next printed above {size}"


def control_lines(outcome, one):
    """What a sense lead does to its regulator, and a field lead's current: (label, value) pairs."""
    error = one.results.get("regulation_error_v")
    if error is not None and error == error:
        yield ("by its drop", f"the regulator reads {plain(error)} V low: the battery is charged that much higher")
        yield (
            "taken",
            "at the battery's own posts, after fuse, switch and shunt; ask what the regulator does when it opens",
        )
    columns = outcome.places.columns
    if columns["field_judged"][one.place] == 1:
        used, limit = (plain(float(columns[name][one.place])) for name in ("field_used_a", "field_limit_a"))
        yield ("field", f"{used} A at the voltage it is used at; it is made for {limit} A")


# -- what is written against what is picked ------------------------------------------------------------------------------


def joint_findings(outcome):
    """J16: a wire picked for a row that ends at a joint, of another size than `joins` writes for it there.

    Behind a winding's tails stands the phase lead, and the joint is worked out for it as picked; elsewhere any side may be
    the lead's, and leads of a node with a stud are taken to sit on that. J17, a must: no barrel there takes that wire.
    """
    network, conductors = outcome.places.network, outcome.catalogue.rows("conductors.csv")
    studs = {fold_key(row["node"]): row["stud"] for row in outcome.project.rows("nodes.csv") if row["node"]}
    at = {}
    for one in outcome.chosen:
        row = outcome.places.rows[one.place]
        if one.kind.name == "joint" and row["from"]:
            at.setdefault(network.ends[one.place][0], []).append((one, row))
    for node, joints in at.items():
        supply = network.supply(node)
        winding = supply is not None and supply["type"] == "alternator"
        if not winding and fold_key(studs.get(fold_key(joints[0][1]["from"])) or "none") != "none":
            continue
        written, barrels = {}, {}
        for one, row in joints:
            try:
                first, second = read_joins(row["joins"] or "", conductors, winding)
            except JoinsError:
                continue
            name = outcome.places.names[one.place]
            sides = [second] if winding else [first, second]
            written[name] = [side for side in sides if side]
            if outcome.places.columns["has_joint_lead"][one.place] != 1:  # else its own checks have asked that
                barrels[name] = _takes_mm2(outcome, one)
        yield from _other_sizes(
            _leads_at(outcome, node, ("phase lead",) if winding else LEADS), written, barrels, winding
        )


def _takes_mm2(outcome, one):
    """The greatest area the splice picked for a joint takes [mm2]; None where none is picked."""
    part = part_of(outcome, one, "splice") if one.found else None
    return None if part is None else float(part[0].columns["greatest_area_mm2"][part[1]])


def _leads_at(outcome, node, kinds):
    """(name, size, area [mm2]) of the wires picked for the rows that end at a node."""
    found = []
    for one in outcome.chosen:
        if one.kind.name in kinds and one.found and node in outcome.places.network.ends[one.place]:
            part = part_of(outcome, one, "conductor")
            if part is not None:
                block, i = part
                name = outcome.places.names[one.place] or ""
                found.append((name, block.words["size"][i] or block.keys[i], float(block.columns["area_mm2"][i])))
    return found


def _other_sizes(leads, written, barrels, winding):
    together = sum(area for _, _, area in leads)
    for name, size, area in leads:
        other = {}
        for joint, sides in written.items():
            sums = [area_of(side) for side in sides]
            items = [] if winding and len(leads) == 1 else [own for side in sides for wires in side
                                                            for own in (wires.area_mm2, wires.count * wires.area_mm2)]  # fmt: skip
            near = [*sums, *items]
            if not near or any(abs(area - own) <= ALIKE * own for own in near):
                continue
            if any(abs(together - own) <= ALIKE * own for own in sums):
                continue
            words = " > ".join(" + ".join(f"{w.count} x {w.size}" for w in side) for side in sides)
            other.setdefault((words, min(sums, key=lambda own: abs(own - area))), []).append(joint)
        if not winding and sum(map(len, other.values())) < len(written):
            continue  # another joint of the node takes it
        for (words, own), joints in other.items():
            yield _finding(name, size, area, words, own, joints, [barrels.get(joint) for joint in joints])


def _finding(name, size, area, words, own, joints, takes):
    several = "join" if len(joints) > 1 else "joins"
    said = (
        f"{' and '.join(joints)} {several} {words} ({plain(digits(own))} mm2), and {name} got {size} "
        f"({plain(digits(area))} mm2)"
    )
    cure = f"Write {size} in joins, or fix the wire of {name} to the size written."
    if None not in takes and max(takes) < area:
        return ("J17", "must", [*joints, name], [], digits(area), digits(max(takes)), "mm2",
                f"{said}: it does not enter the barrel picked, which takes {plain(digits(max(takes)))} mm2 at most.",
                cure)  # fmt: skip
    return ("J16", "should", [*joints, name], [], digits(area), digits(own), "mm2",
            f"{said}: what is written is not the wire that comes.", cure)  # fmt: skip
