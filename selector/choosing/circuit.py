"""The circuit as picked: drop from the supply to each load, fault current at both ends of a row, devices in series.

A reading of what was chosen, row by row from the supplies outward; it changes no pick. Currents are those of the rows,
so where two rows feed one node the way with less drop counts. The supplies of an island are taken as one, at the
nearest supply's node.
"""

from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf, nan

from selector.physics import fuses
from selector.project.declarations import WITHOUT_DEVICE

FAULT_CLEARED_S = 5.0
"""Longest time for a fault at the far end, key electrical-installation-guide."""


@dataclass
class Way:
    """What lies between a supply and a node: volts lost, resistance, and the row that leads there."""

    drop_v: float = 0.0
    resistance_ohm: float = 0.0
    row: int | None = None


@dataclass
class Circuit:
    """``ways`` from the supplies by node; ``returns`` from ground nodes to the supplies' own; values by row."""

    ways: dict
    returns: dict
    cumulative_drop_v: dict
    fault_near_a: dict
    fault_far_a: dict
    clearing_s: dict


def solve(places, chosen, candidates):
    """The circuit of what was chosen.

    candidates : family name -> its candidates, for the devices' curves
    """
    network = places.network
    by_row = {one.place: one for one in chosen if one.kind.name not in WITHOUT_DEVICE}
    ends = {row: _ends(network, row) for row in by_row}
    supplies = list(network.supplies)
    outward = [(row, a, b) for row, (a, b) in ends.items() if not places.is_return[row]]
    ways = _ways(supplies, _both(outward), by_row)
    fed = set(supplies)
    homes = [
        _other(network, node, pair) for row, pair in ends.items() if places.is_return[row] for node in fed & set(pair)
    ]
    between = [(row, a, b) for row, (a, b) in ends.items() if network.is_ground(a) and network.is_ground(b)]
    home = _ways([node for node in homes if node >= 0], _both(between), by_row)
    circuit = Circuit(ways, home, {}, {}, {}, {})
    for row, one in by_row.items():
        if not places.is_return[row]:
            _row(circuit, places, row, one, ends, by_row, candidates)
    return circuit


def _piece(one):
    """Drop and resistance of a piece as picked, read from its block's arrays."""
    return one.result("voltage_drop_v"), one.result("path_resistance_ohm")


def _ends(network, row):
    a, b = network.ends[row]
    return int(a), int(b)


def _other(network, node, pair):
    return pair[1] if pair[0] == node else pair[0]


def _both(rows):
    found = {}
    for row, a, b in rows:
        found.setdefault(a, []).append((row, b))
        found.setdefault(b, []).append((row, a))
    return found


def _ways(starts, rows_of, by_row):
    """The way with the least drop from any of ``starts`` to every node that rows with known drops lead to."""
    ways, queue = {}, []
    for node in starts:
        heappush(queue, (0.0, node, 0.0, None))
    while queue:
        drop, node, resistance, row = heappop(queue)
        if node in ways:
            continue
        ways[node] = Way(drop, resistance, row)
        for other_row, other in rows_of.get(node, ()):
            own, ohm = _piece(by_row[other_row])
            if other not in ways and own == own and ohm == ohm:
                heappush(queue, (drop + own, other, resistance + ohm, other_row))
    return ways


def _row(circuit, places, row, one, ends, by_row, candidates):
    a, b = ends[row]
    near, far = (b, a) if (way := circuit.ways.get(a)) is not None and way.row == row else (a, b)
    start = circuit.ways.get(near)
    drop, ohm = _piece(one)
    if start is None or ohm != ohm:
        return
    back_drop, back_ohm = _back(circuit, places, far, ends, by_row)
    circuit.cumulative_drop_v[row] = start.drop_v + drop + back_drop
    columns, high = places.columns, places.high
    low_a, high_a = columns["least_short_circuit_a"][row], columns["short_circuit_a"][row]
    nominal, highest = columns["nominal_v"][row], high.get("highest_v", columns["highest_v"])[row]
    circuit.fault_near_a[row] = fault_a(highest, high_a, start.resistance_ohm)
    circuit.fault_far_a[row] = fault_a(nominal, low_a, start.resistance_ohm + ohm + back_ohm)
    device = one.pick("protection")
    if device >= 0:
        circuit.clearing_s[row] = _clearing_s(candidates["fuses"], device, circuit.fault_far_a[row])


def fault_a(supply_v, short_circuit_a, resistance_ohm):
    """Fault current behind a resistance: the supply's voltage over its own resistance and that of the way [A].

    supply_v : voltage of the supply [V]; short_circuit_a : what it gives into a dead short at its posts [A];
    resistance_ohm : of the way to the fault and back [ohm]. Source: circuit theory, key circuit-textbook.

    >>> round(fault_a(12.0, 2000.0, 0.0), 3), round(fault_a(12.0, 2000.0, 0.114), 3)
    (2000.0, 100.0)
    """
    if short_circuit_a != short_circuit_a or supply_v != supply_v or short_circuit_a <= 0:
        return nan
    return supply_v / (supply_v / short_circuit_a + resistance_ohm)


def _back(circuit, places, node, ends, by_row):
    """Drop and resistance of the return rows from a load's node to the supplies; nothing where its rows hold both legs."""
    best = (inf, 0.0)
    for row in (*places.network.entering[node], *places.network.leaving[node]):
        if row not in by_row or not places.is_return[row]:
            continue
        home = circuit.returns.get(_other(places.network, node, ends[row]))
        drop, ohm = _piece(by_row[row])
        if home is not None and drop == drop:
            best = min(best, (home.drop_v + drop, home.resistance_ohm + ohm))
    return (0.0, 0.0) if best[0] == inf else best


def _clearing_s(devices, device, fault):
    """Longest time a device may take on a fault; unknown where its curve or the fault is."""
    columns = devices.columns
    multiples = [values[device] for values in columns["longest_multiples"]]
    times = [values[device] for values in columns["longest_times_s"]]
    return float(fuses.longest_opening_time_s(fault / float(columns["rating_a"][device]), multiples, times))


def devices_above(circuit, places, chosen, candidates):
    """For each row with a device of its own: the row of the next device towards the supply, and both ratings [A]."""
    by_row = {one.place: one for one in chosen}
    ratings = candidates["fuses"].columns["rating_a"]
    found = []
    for row, one in by_row.items():
        device = one.pick("protection")
        if device < 0 or places.is_return[row] or places.columns["own_device"][row] != 1:
            continue
        above = _device_towards_supply(circuit, places, row, by_row)
        if above is not None:
            upper = by_row[above].pick("protection")
            found.append((row, above, float(ratings[device]), float(ratings[upper])))
    return found


def _device_towards_supply(circuit, places, row, by_row):
    a, b = _ends(places.network, row)
    way = circuit.ways.get(a)
    node = b if way is not None and way.row == row else a
    while node in circuit.ways and (upper := circuit.ways[node].row) is not None:
        if places.columns["own_device"][upper] == 1 and by_row[upper].pick("protection") >= 0:
            return upper
        a, b = _ends(places.network, upper)
        node = a if circuit.ways[a].row != upper else b
    return None


def ground_joints(network):
    """Groups of grounds that meet, and joints too many: rows between grounds that close a ring.

    Returns (groups, rows that close a ring); one group and no such row is what is wanted.
    """
    grounds = [node for node, role in enumerate(network.role) if role == "ground"]
    group = {node: node for node in grounds}

    def root(node):
        while group[node] != node:
            node = group[node]
        return node

    rings = []
    for row, (a, b) in enumerate(network.ends):
        if not (network.cells[row] and network.is_ground(a) and network.is_ground(b)):
            continue
        first, second = root(int(a)), root(int(b))
        if first == second:
            rings.append(row)
        else:
            group[second] = first
    groups = {}
    for node in grounds:
        groups.setdefault(root(node), []).append(node)
    return list(groups.values()), rings
