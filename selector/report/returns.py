"""Returns that lead nowhere: of suppressors, freewheel diodes and loads, whose ground reaches no negative of their supply."""

from selector.choosing.circuit import ground_joints
from selector.project.values import some

CODES = ("W06",)
"""Codes of findings about returns."""
BESIDE_A_RETURN = ("suppressor", "freewheel")
"""Kinds that end at a return themselves."""
WIRES = ("cable", "control wire")


def return_findings(outcome):
    """(code, severity, connections, nodes, actual, limit, unit, text, cure) of returns that reach no supply."""
    net = _Negatives(outcome)
    yield from _dead_ends(outcome, net)
    yield from _without_return(outcome, net)


class _Negatives:
    """Which supplies' negatives each ground meets, and which nodes have their negative beside them in the same rows.

    group : ground node -> number of its group; islands : group -> islands of the supplies joined to it
    paired : nodes that rows of both legs, or with the chassis as return, lead to from a supply
    """

    def __init__(self, outcome):
        places = outcome.places
        self.network = network = places.network
        groups, _ = ground_joints(network)
        self.group = {node: number for number, group in enumerate(groups) for node in group}
        self.islands = {number: set() for number in range(len(groups))}
        both = {}
        for row, (a, b) in enumerate(network.ends):
            a, b = int(a), int(b)
            if a < 0 or b < 0 or not network.cells[row]:
                continue
            for ground, node in ((a, b), (b, a)):
                if ground in self.group and network.supply(node) is not None:
                    self.islands[self.group[ground]].add(network.island[node])
            legs, chassis = places.columns["legs"][row], places.columns["chassis"][row]
            if _kind(places, row) in WIRES and (legs == 2 or chassis == 1) and not {a, b} & set(self.group):
                both.setdefault(a, []).append(b)
                both.setdefault(b, []).append(a)
        self.paired, queue = set(), [node for node in network.supplies if node in both]
        while queue:
            node = queue.pop()
            if node not in self.paired:
                self.paired.add(node)
                queue += both[node]

    def reaches(self, ground, node):
        """Whether a return from ``node`` that ends at ``ground`` gets back to a supply of the node's island."""
        return node in self.paired or self.network.island[node] in self.islands[self.group[ground]]


def _kind(places, row):
    return (places.kinds[row] or "").casefold()


def _name(outcome, row):
    return outcome.places.names[row] or f"line {outcome.places.lines[row]}"


def _dead_ends(outcome, net):
    """Rows that end at a ground no row joins to a supply of their island."""
    places, network = outcome.places, outcome.places.network
    spelled = _spelled(outcome)
    found = {}
    for row, (a, b) in enumerate(network.ends):
        a, b = int(a), int(b)
        wire = network.cells[row] and not {a, b} & set(network.supplies)
        if not (wire or _kind(places, row) in BESIDE_A_RETURN) or (a in net.group) == (b in net.group):
            continue
        ground, node = (a, b) if a in net.group else (b, a)
        if node >= 0 and not net.reaches(ground, node):
            found.setdefault((ground, network.island[node]), []).append(row)
    for (ground, island), rows in found.items():
        names = [_name(outcome, row) for row in rows]
        supplies = [s["node"] for n, s in network.supplies.items() if network.island[n] == island]
        of = f"the negative of {some(supplies)}" if supplies else "the negative of any supply"
        first = next((s["node"] for n, s in network.supplies.items() if network.island[n] == island
                      and (s["type"] or "battery") == "battery"), supplies[0] if supplies else "the supply")  # fmt: skip
        yield ("W06", "should", names, [spelled[ground]], None, None, "",
               f"{some(names)} {'returns' if len(names) == 1 else 'return'} to {spelled[ground]}, and no row joins that to {of}: "
               "what flows there has no way back.",
               f"Write the negative lead of {first}: a single row from {first} to a ground that meets {spelled[ground]}.")  # fmt: skip


def _without_return(outcome, net):
    """Loads fed by single legs alone, with no row that leads back."""
    places, network = outcome.places, outcome.places.network
    spelled = _spelled(outcome)
    for node, role in enumerate(network.role):
        rows = sorted({*network.entering[node], *network.leaving[node]})
        feeds = [row for row in rows if not places.is_return[row] and _kind(places, row) in WIRES]
        if role != "load" or node in net.paired or network.supply(node) is not None or not feeds:
            continue
        single = all(places.columns["legs"][row] == 1 and places.columns["chassis"][row] != 1 for row in feeds)
        if not single or any(places.is_return[row] for row in rows):
            continue
        names = [_name(outcome, row) for row in feeds]
        yield ("W06", "should", names, [spelled[node]], None, None, "",
               f"{some(names)} {'is' if len(names) == 1 else 'are'} a single leg to {spelled[node]}, and no row leads back from "
               "there.",
               f"Write its return, a single row from {spelled[node]} to a ground; or pair, where both legs lie in this row.")  # fmt: skip


def _spelled(outcome):
    """Names of the nodes as they are written, by number; as folded where nodes.csv does not list them."""
    spelled = {number: name for name, number in outcome.places.network.nodes.items()}
    return spelled | {number: row["node"] for number, row in enumerate(outcome.project.rows("nodes.csv"))}
