"""Findings of the circuit as a whole: drop over all pieces, faults at the far end, devices in series, grounds."""

from selector.choosing.circuit import FAULT_CLEARED_S, devices_above, ground_joints
from selector.report.result import digits, plain

GRADED = 1.6
"""Rating of the device before over that of the device behind, from which fuses of one class open in order; key
iec-60269-1, from memory."""
CODES = ("W01", "W02", "W03", "W04", "W05")
"""Codes of findings of the whole, beside those of checks.csv."""


def circuit_findings(outcome):
    """(code, severity, connections, nodes, actual, limit, unit, text, cure) of what is wrong with the whole."""
    yield from _drops(outcome)
    yield from _faults(outcome)
    yield from _series(outcome)
    yield from _grounds(outcome)


def _name(outcome, row):
    return outcome.places.names[row] or f"line {outcome.places.lines[row]}"


def _path(outcome, row):
    """Rows from the supply to this one, in order."""
    ways, network = outcome.circuit.ways, outcome.places.network
    names, node = [_name(outcome, row)], None
    a, b = (int(n) for n in network.ends[row])
    node = b if a in ways and ways[a].row == row else a
    while node in ways and ways[node].row is not None:
        upper = ways[node].row
        names.append(_name(outcome, upper))
        a, b = (int(n) for n in network.ends[upper])
        node = a if ways[a].row != upper else b
    return names[::-1]


def _drops(outcome):
    places = outcome.places
    found = {one.place for one in outcome.chosen if one.found}
    for row, total in outcome.circuit.cumulative_drop_v.items():
        limit = places.columns["drop_limit_v"][row]
        if places.columns["has_load_limit"][row] != 1 or not total > limit or row not in found:
            continue
        path, load = _path(outcome, row), places.rows[row]["to"]
        if len(path) < 2:
            continue
        yield ("W01", "should", path, [], digits(total), digits(limit), "V",
               f"From the supply to {load} {plain(total)} V is lost on the way ({', '.join(path)}), and {plain(limit)} V "
               "may be: each piece keeps its own limit, all together do not.",
               "Give the pieces before it a lower drop limit in connections.csv, the longest with the most current first.")  # fmt: skip


def _faults(outcome):
    by_row = {one.place: one for one in outcome.chosen}
    for row, seconds in outcome.circuit.clearing_s.items():
        columns = outcome.places.columns
        fault, one = outcome.circuit.fault_far_a[row], by_row[row]
        if not seconds > FAULT_CLEARED_S or not one.found or not one.result("conductor_balance_ampacity_a") < fault:
            continue
        if columns["cranking"][row] == 1:
            continue
        name = _name(outcome, row)
        yield ("W02", "should", [name], [], digits(seconds), FAULT_CLEARED_S, "s",
               f"A short at the far end of {name} draws {plain(fault)} A, and its device may take "
               f"{'for ever' if seconds >= 1e9 else plain(seconds) + ' s'} to open.",
               "Take a larger wire, a device that opens sooner, or put the device for this piece nearer.")  # fmt: skip


def _outputs(places):
    """Nodes a machine or charger feeds from: the device of a row that leaves one guards it against the battery."""
    network = places.network
    rectified = {
        int(network.ends[row][1]) for row, kind in enumerate(places.kinds) if (kind or "").casefold() == "rectifier"
    }
    return rectified | {node for node, supply in network.supplies.items() if (supply["type"] or "battery") != "battery"}


def _series(outcome):
    sources = _outputs(outcome.places)
    for row, above, rating, upper in devices_above(outcome.circuit, outcome.places, outcome.chosen, outcome.candidates):
        if upper >= GRADED * rating or int(outcome.places.network.ends[row][0]) in sources:
            continue
        names = [_name(outcome, above), _name(outcome, row)]
        yield ("W03", "should", names, [], digits(upper), digits(GRADED * rating), "A",
               f"The device of {names[0]} ({plain(upper)} A) stands before that of {names[1]} ({plain(rating)} A): a fault "
               "behind the second may open the first, and with it all it feeds.",
               f"Take a device of at least {plain(GRADED * rating)} A for the first, with the wire it asks for, or live with it.")  # fmt: skip


def _grounds(outcome):
    network = outcome.places.network
    groups, rings = ground_joints(network)
    spelled = {number: row["node"] for number, row in enumerate(outcome.project.rows("nodes.csv"))}
    fed = [group for group in groups if any(network.leaving[n] or network.entering[n] for n in group)]
    if len(fed) > 1:
        nodes = [spelled.get(group[0], "") for group in fed]
        yield ("W04", "should", [], nodes, float(len(fed)), 1.0, "",
               f"The grounds of {', '.join(nodes)} never meet: what one system floats at, the other does not know.",
               "Join the negatives at one agreed place with a single row, or keep them apart on purpose.")  # fmt: skip
    for row in rings:
        yield ("W05", "should", [_name(outcome, row)], [], None, None, "",
               f"{_name(outcome, row)} joins grounds that meet elsewhere already: current takes both ways.",
               "Keep one joint between grounds.")  # fmt: skip
