"""Findings of the circuit as a whole: devices in series, grounds."""

from selector.choosing.circuit import devices_above, ground_joints
from selector.report.result import digits, plain

GRADED = 1.6
"""Rating of the device before over that of the device behind, from which fuses of one class open in order; key
iec-60269-1, from memory."""
CODES = ("W03", "W04", "W05")
"""Codes of findings of the whole, beside those of checks.csv."""


def circuit_findings(outcome):
    """(code, severity, connections, nodes, actual, limit, unit, text, cure) of what is wrong with the whole."""
    yield from _series(outcome)
    yield from _grounds(outcome)


def _name(outcome, row):
    return outcome.places.names[row] or f"line {outcome.places.lines[row]}"


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
