"""Cells that contradict each other are problems; cells that decide nothing are remarks. Nothing is ignored in silence."""

import numpy as np

from selector.catalogue.reading import fold_key
from selector.errors import nearest, quoted
from selector.project.declarations import ROLES, WITHOUT_DEVICE, WITHOUT_LEAD
from selector.project.values import some

NONE = ("none", "-", "no")


def check_consistency(project, builder, kinds, roles, problems):
    """Note contradictions in ``problems``, and in the project's notes what a cell says without effect."""
    _connections(project, builder, kinds, problems)
    _voltages(project, problems)
    _withstands(project, builder)
    _zones(project)
    _supplies(project, builder, problems)
    _own_checks(project, roles, problems)
    _chemistries(project, builder)


def _folded(text):
    return fold_key(text or "")


def _both(frame, row, first, second):
    return row.get(first) is not None and row.get(second) is not None and first in frame.headers


def _connections(project, builder, kinds, problems):
    frame = project.frames["connections.csv"]
    notes, unwanted, idle = {}, [], {}
    rows = project.rows("connections.csv")
    filled = {series.name for series in frame.data if series.null_count() < len(series)}

    def complain(row, column, found, expected, near=""):
        problems.add(frame.label, row["_line"], frame.headers.get(column, column), found, expected, near)

    for i, row in enumerate(rows):
        kind = _folded(row["kind"])
        roles = _roles(kinds, kind)
        if kind not in idle:
            idle[kind] = [name for name in _none_of_kind(kind, roles) if name in filled]
        if _both(frame, row, "current_a", "power_w"):
            complain(row, "power_w", "current and power both stand here", "Write one of them.")
        if _both(frame, row, "drop_limit", "drop_limit_v"):
            complain(row, "drop_limit_v", "a drop limit in % and one in V both stand here", "Write one of them.")
        said = (row.get("protection") or "").casefold()
        own_part = said and said not in NONE
        if row.get("protected_by") and own_part:
            complain(row, "protection", f"{quoted(row['protection'])} stands here, and protected by names the device of another "
                     "row", "Write one of them; none in protection for no device here.")  # fmt: skip
        if builder.served_by[i] >= 0 and any(role.role == "protection" for role in roles):
            _protected_by(builder, kinds, i, row, complain)
        for column, what in (*_idle(row, own_part, said), *_said_in_vain(row, kind, idle[kind])):
            notes.setdefault((column, what), []).append(row["connection"] or "")
        if kind in kinds and all((row.get(role.role.replace(" ", "_")) or "").casefold() in NONE for role in roles):
            unwanted.append(row["connection"] or "")
    for (column, what), names in sorted(notes.items()):
        project.notes.append(
            f"{frame.label}, {frame.headers.get(column, column)} of {some(sorted(names))}: not used, {what}"
        )
    if unwanted:
        project.notes.append(
            f"{frame.label}, {some(sorted(unwanted))}: none of its parts is wanted; nothing was chosen or judged there"
        )
    _ends(rows, builder, complain)


def _roles(kinds, folded):
    kind = kinds.get(folded)
    return kind.roles if kind is not None else ()


def _idle(row, own_part, said):
    """Columns of a row that say something nothing is worked out from, and why."""
    if row.get("peak_time_s") is not None and row.get("peak_current_a") is None:
        yield "peak_time_s", "for want of a peak current"
    if row.get("efficiency") is not None and row.get("power_w") is None:
        yield "efficiency", "for want of a power"
    if said in NONE or (row.get("protected_by") and not own_part):
        for column in ("protection_at", "device_distance_m"):
            if row.get(column) is not None:
                yield column, "for want of a device in this row"


ALONG = ("return", "laid", "grouped_with", "drop_limit", "drop_limit_v", "cranking")
"""Columns of what runs from place to place."""
AT_A_DEVICE = ("protection_at", "protected_by", "device_distance_m")
PEAKS = ("peak_current_a", "peak_time_s")
LOADS = ("current_a", "power_w", "efficiency")
UNUSED = {
    "joint": (*LOADS, *PEAKS, "to"),
    "suppressor": (*LOADS, *PEAKS),
    "freewheel": ("power_w", "efficiency", *PEAKS),
    "rectifier": PEAKS,
    "bus": ("to",),
}
"""Columns beside those above that say nothing of a kind."""


def _none_of_kind(kind, roles):
    """Columns that say nothing of a kind with these roles."""
    if not roles:
        return []
    roles = {role.role for role in roles}
    idle = [role for role in ROLES if role not in roles and not (role == "insulation" and "conductor" in roles)]
    if kind != "control wire":
        idle.append("purpose")
    if kind in WITHOUT_LEAD:
        idle += ALONG if kind == "suppressor" else (*ALONG, "length_m")
    if kind in WITHOUT_DEVICE:
        idle += AT_A_DEVICE
    idle += UNUSED.get(kind, ())
    return [column.replace(" ", "_") for column in idle]


def _said_in_vain(row, kind, idle):
    """Columns a row fills in of those that say nothing of its kind, and why they do not."""
    for name in idle:
        said = row[name]
        if said is None or (isinstance(said, str) and said.casefold() in NONE):
            continue
        if name == "to" and _folded(said) == _folded(row["from"]):
            continue
        yield name, f"a {kind} has none"


def _protected_by(builder, kinds, i, row, complain):
    named = builder.served_by[i]
    other = builder.text("connection")[named]
    if named == i:
        complain(row, "protected_by", "the row names itself", "Name the row whose fuse or breaker protects this one, or leave it "
                 "empty.")  # fmt: skip
        return
    roles = {role.role for role in _roles(kinds, builder.kinds_folded()[named])}
    if builder.columns["own_device"][named] == 0 or (roles and "protection" not in roles):
        complain(
            row,
            "protected_by",
            f"{quoted(other)} has no device of its own",
            "Name the row whose fuse or breaker it is.",
        )


def _ends(rows, builder, complain):
    """A piece that starts where it ends, or that joins two systems."""
    runs = builder.is_kind("cable", "control wire", "phase lead")
    between = runs | builder.is_kind("rectifier", "suppressor", "freewheel", "shunt")
    for i in np.flatnonzero(between & (builder.a == builder.b) & (builder.a >= 0)):
        complain(rows[i], "to", f"{quoted(rows[i]['to'])} is at both ends", "Name the node at the other end.")
    _polarity(builder, rows, complain)
    known = {_folded(name) for name in builder.spelled("system")}
    system = [_folded(node["system"]) for node in builder.node_rows]
    tells = [name in known and not builder.network.is_ground(node) for node, name in enumerate(system)]

    def named(node):
        return quoted(builder.node_rows[node]["system"])

    for i in np.flatnonzero(runs & (builder.a >= 0) & (builder.b >= 0)):
        ends = [n for n in builder.network.ends[i] if tells[n]]
        if not ends:
            continue
        own, theirs = rows[i]["system"], {system[n] for n in ends}
        if len(theirs) > 1:
            complain(rows[i], "to", f"it joins system {named(ends[0])} with {named(ends[1])}", "Put a converter or charger "
                     "between them, or mend the system of a node.")  # fmt: skip
        elif own and _folded(own) in known - theirs:
            complain(rows[i], "system", f"{quoted(own)} is not the system of its nodes, {named(ends[0])}", "Write that one, or "
                     "leave it empty.")  # fmt: skip


def _polarity(builder, rows, complain):
    """Rows of the alternator's side whose ends are swapped, or that lead where such a row cannot."""
    network = builder.network

    def is_alternator(node):
        return (network.supply(node) or {}).get("type") == "alternator"

    judged = builder.is_kind("rectifier", "phase lead", "suppressor")
    for i in np.flatnonzero(judged & (builder.a >= 0) & (builder.b >= 0) & (builder.a != builder.b)):
        kind, a, b = builder.kinds_folded()[i], builder.a[i], builder.b[i]
        start, end = quoted(rows[i]["from"]), quoted(rows[i]["to"])
        if kind in ("rectifier", "phase lead") and is_alternator(b) and not is_alternator(a):
            complain(rows[i], "from", f"{start} is no alternator, but {end} is", f"A {kind} begins at the alternator: swap from and "
                     "to.")  # fmt: skip
        elif kind == "rectifier" and network.is_ground(b):
            complain(rows[i], "to", f"{end} is a ground in nodes.csv", "Name the node its positive output leads to.")
        elif kind == "suppressor" and network.is_ground(a):
            swap = "" if network.is_ground(b) else ": swap from and to"
            complain(rows[i], "from", f"{start} is a ground in nodes.csv", f"A suppressor runs from the node it protects to its return{swap}.")  # fmt: skip
        elif kind == "suppressor" and not network.is_ground(b) and network.island[a] == network.island[b]:
            complain(
                rows[i], "to", f"{end} is of the same polarity as {start}", "Name the ground node its return leads to."
            )


def _voltages(project, problems):
    frame = project.frames["systems.csv"]
    for row in project.rows("systems.csv"):
        low, nominal, high = row["lowest_v"], row["nominal_v"], row["highest_v"]
        if low is not None and high is not None and low > high:
            problems.add(frame.label, row["_line"], frame.headers["lowest_v"], "the lowest voltage is above the highest",
                         "Write what the battery is at when empty.")  # fmt: skip
        if nominal is not None and high is not None and high < nominal:
            problems.add(frame.label, row["_line"], frame.headers["highest_v"], "the highest voltage is below the nominal one",
                         "Write what it reaches when charging.")  # fmt: skip


def _withstands(project, builder):
    """Nodes that state less than their own system reaches."""
    frame = project.frames["nodes.csv"]
    for node, row in enumerate(builder.node_rows):
        highest = _highest_at(builder, node)
        if row["withstand_v"] is not None and highest is not None and row["withstand_v"] < highest:
            project.notes.append(f"{frame.label}, {frame.headers['withstand_v']} of {row['node']}: {row['withstand_v']:g} V is less "
                                 f"than the {highest:g} V its system reaches; is that meant?")  # fmt: skip


def _zones(project):
    frame = project.frames["zones.csv"]
    for row in project.rows("zones.csv"):
        coldest, warmest = row["coldest_k"], row["ambient_k__high"]
        if coldest is not None and warmest is not None and coldest > warmest:
            project.notes.append(f"{frame.label}, {frame.headers['coldest_k']} of {row['zone']}: warmer than the warmest air "
                                 "there; is that meant?")  # fmt: skip


def _supplies(project, builder, problems):
    frame = project.frames["supplies.csv"]
    for row in project.rows("supplies.csv"):
        node = builder.nodes.get(_folded(row["node"]))
        role = builder.node_rows[node]["role"] if node is not None else None
        if role in ("ground", "load"):
            problems.add(frame.label, row["_line"], frame.headers["node"], f"{quoted(row['node'])} is a {role} in nodes.csv",
                         "A supply's node has the role supply.")  # fmt: skip
        if row["type"] == "alternator":
            _odd_field(project, frame, row)
            for column, found, expected in _odd_machine(row, _highest_at(builder, node)):
                problems.add(frame.label, row["_line"], frame.headers.get(column, column), found, expected)


def _odd_field(project, frame, row):
    """A field's current and resistance that do not belong to one voltage."""
    current, resistance, made_for = row["field_current_a"], row["field_resistance_ohm"], row["design_voltage_v"]
    if current and resistance and made_for and not 0.5 <= current * resistance / made_for <= 2:
        project.notes.append(f"{frame.label}, {frame.headers['field_current_a']} of {row['node']}: {current:g} A through {resistance:g} "
                             f"ohm is {current * resistance:.4g} V, and it is made for {made_for:g} V; is that meant?")  # fmt: skip


def _highest_at(builder, node):
    """Highest voltage of a node's system as systems.csv states it; None where it does not."""
    if node is None:
        return None
    name = _folded(builder.node_rows[node]["system"])
    return next((row["highest_v"] for row in builder.system_rows if _folded(row["system"]) == name), None)


def _odd_machine(row, system_v):
    """What no alternator can be: (column, found, expected)."""
    highest, dump = row["highest_v"] or system_v, row["load_dump_v"]
    if dump is not None and highest is not None and dump <= highest:
        yield ("load_dump_v", f"{dump:g} V is not above the {highest:g} V it charges at",
               "Write the absolute peak, charging voltage included, or leave it empty if unknown.")  # fmt: skip
    suppressed = row["load_dump_suppressed_v"]
    if suppressed is not None and highest is not None and suppressed <= highest:
        yield ("load_dump_suppressed_v", f"{suppressed:g} V is not above the {highest:g} V it charges at",
               "Write the voltage its own diodes hold the load dump at, or leave it empty if nothing in it does.")  # fmt: skip
    if suppressed is not None and dump is not None and suppressed >= dump:
        yield ("load_dump_suppressed_v", f"{suppressed:g} V is not below the load dump of {dump:g} V",
               "Write as load dump the peak without them, or leave one of the two empty.")  # fmt: skip
    if row["poles"] is not None and row["poles"] % 2:
        yield "poles", f"{row['poles']:g} is odd", "Count north and south poles both: 12 for six pairs."
    if row["phases"] not in (None, 1, 3):
        yield ("phases", f"{row['phases']:g} phases are not worked out here",
               "Write 1 or 3; enter a winding of two sets of three phases as two alternators of half the current.")  # fmt: skip


def _own_checks(project, roles, problems):
    frame = project.frames["own_checks.csv"]
    for row in project.rows("own_checks.csv"):
        if row["role"] is not None and _folded(row["role"]) not in roles:
            problems.add(frame.label, row["_line"], frame.headers["role"], f"{quoted(row['role'])} is no role of any kind",
                         f"Write one of: {', '.join(sorted(roles))}.", nearest(row["role"], roles))  # fmt: skip


def _chemistries(project, builder):
    """A battery's chemistry nothing is known of: said, because its short-circuit current may rest on it."""
    frame = project.frames["supplies.csv"]
    known = sorted(
        {row["subject"] for row in builder.catalogue.rows("typicals.csv", what="short-circuit current for breaking")}
    )
    for row in project.rows("supplies.csv"):
        subject = builder.chemistry(row["chemistry"])
        if subject and row["type"] in (None, "battery") and subject not in known:
            near = nearest(subject, [*known, *builder.CHEMISTRIES])
            project.notes.append(f"{frame.label}, {frame.headers['chemistry']} of {row['node']}: {quoted(row['chemistry'])} is not "
                                 "known; nothing is taken from it" + (f". Did you mean {quoted(near)}?" if near else ""))  # fmt: skip
