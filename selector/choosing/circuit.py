"""The circuit: what lies between a supply and a row, drop to each load, fault current at both ends, devices in series.

Read row by row from the supplies outward. Currents are those of the rows, so where two rows feed one node the way with
less drop counts. A battery is where the way begins; other supplies are only where no battery is joined. What a row takes
from the pieces before it (`rest_of_way`) changes as they are picked: the choice goes in rounds.
"""

from collections import deque
from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf, isnan, nan

from selector.physics.short_circuit import fault_current_a
from selector.project.declarations import WITHOUT_DEVICE

CARRY_NOTHING = tuple(kind for kind in WITHOUT_DEVICE if kind != "shunt")
"""Kinds that are no piece of the way from a supply to a load."""


@dataclass
class Way:
    """What lies between a supply and a node: volts lost, resistance, and the row that leads there."""

    drop_v: float = 0.0
    resistance_ohm: float = 0.0
    row: int | None = None


@dataclass
class Circuit:
    """``ways`` from the supplies by node; values by row.

    before : row -> the other rows between its supply and its far end, returns included
    unknown : row -> rows before it of which nobody knows what they lose
    """

    ways: dict
    cumulative_drop_v: dict
    fault_near_a: dict
    fault_far_a: dict
    before: dict
    unknown: dict


def has_own_wire(wanted):
    """Whether a row has a wire of the user's own, by what is wanted of its roles."""
    want = wanted.get("conductor")
    return want is not None and want.present and want.fixed


def is_there(one, wanted):
    """Whether a row has a piece that counts: one that serves it, or a wire of the user's own, which loses what it loses
    even where it does not comply."""
    return one.found or has_own_wire(wanted)


class Wiring:
    """Which rows carry current between which nodes, and how many pieces lie between a supply and each row.

    level : row -> pieces before it; 0 at a supply, and where no supply is joined
    """

    def __init__(self, places, wanted):
        self.places, self.wanted, network = places, wanted, places.network
        self.rows = [row for row, kind in enumerate(places.kinds) if (kind or "").casefold() not in CARRY_NOTHING]
        self.ends = {row: (int(a), int(b)) for row, (a, b) in ((row, network.ends[row]) for row in self.rows)}
        self.is_return = [bool(places.is_return[row]) for row in range(len(places.kinds))]
        outward = [row for row in self.rows if not self.is_return[row] and min(self.ends[row]) >= 0]
        self.outward = self._both(outward)
        homeward = [
            row for row in self.rows
            if self.is_return[row] and all(network.is_ground(n) or n in network.supplies for n in self.ends[row])
        ]  # fmt: skip
        self.homeward = self._both(homeward)
        batteries = [n for n, s in network.supplies.items() if (s["type"] or "battery") == "battery"]
        self.starts = (batteries, [n for n in network.supplies if n not in batteries])
        self.pieces_to = self._pieces_to()
        self.level = {row: 0 if self.is_return[row] else len(self._hops(row)) for row in self.rows}
        self.joined = {row for row in self.rows if any(n in self.pieces_to for n in self.ends[row])}

    def _both(self, rows):
        found = {}
        for row in rows:
            a, b = self.ends[row]
            found.setdefault(a, []).append((row, b))
            found.setdefault(b, []).append((row, a))
        return found

    def _pieces_to(self):
        """Node -> rows between it and the nearest start, by their number."""
        found: dict[int, tuple[int, ...]] = {}
        for starts in self.starts:
            queue: deque[tuple[int, tuple[int, ...]]] = deque((node, ()) for node in starts if node not in found)
            while queue:
                node, rows = queue.popleft()
                if node in found:
                    continue
                found[node] = rows
                queue.extend((other, (*rows, row)) for row, other in self.outward.get(node, ()) if other not in found)
        return found

    def _hops(self, row):
        """Rows between a supply and a row, by the way with the fewest; known before anything is picked."""
        ways = [self.pieces_to[n] for n in self.ends[row] if n in self.pieces_to and row not in self.pieces_to[n]]
        return min(ways, key=len, default=())

    def unknown_before(self, row, by_row):
        """Rows before a row of which nobody knows what they lose."""
        return [other for other in self._hops(row) if isnan(self.piece(other, by_row)[0])]

    def solve(self, by_row):
        """(ways, returns) by node as far as rows are picked; ``by_row`` maps a row to what was chosen there."""

        def piece(row):
            return self.piece(row, by_row)

        ways = {}
        for starts in self.starts:
            _spread(ways, starts, self.outward, piece)
        returns = {}
        for starts in self.starts:
            _spread(returns, starts, self.homeward, piece)
        return ways, returns

    def piece(self, row, by_row):
        """Drop and resistance of a piece as picked; unknown where nothing is picked yet."""
        one = by_row.get(row)
        if one is None:
            return nan, nan
        if not is_there(one, self.wanted[row]):  # nothing serves it: what lies behind is judged without it
            return 0.0, 0.0
        if any(role.role == "conductor" for role in one.kind.roles):
            return one.result("voltage_drop_v"), one.result("path_resistance_ohm")
        if one.kind.name != "shunt":  # a kind of the builder's own: no column of it says what it loses
            return 0.0, 0.0
        drop, current = one.result("shunt_reading_v"), float(self.places.columns["current_a"][row])
        return drop, drop / current if current > 0 else nan

    def near_and_far(self, row, ways):
        """The end of a row towards its supply, and the other."""
        a, b = self.ends[row]
        return (b, a) if (way := ways.get(a)) is not None and way.row == row else (a, b)

    def returns_at(self, node):
        """Rows by which current goes back from a node to a ground, or from a ground on."""
        network = self.places.network
        rows = (*network.entering[node], *network.leaving[node])
        return [row for row in rows if row in self.ends and self.is_return[row]]

    def _back(self, node, returns, by_row):
        """(volts, ohms, row) of the return from a node to the supplies with the least drop, as far as rows say how it
        goes on; None where the rows to the node hold both legs. Unknown volts where no return has a known drop."""
        found = []
        for row in self.returns_at(node):
            a, b = self.ends[row]
            home, (drop, ohm) = returns.get(b if a == node else a, Way()), self.piece(row, by_row)
            found.append((home.drop_v + drop, home.resistance_ohm + ohm, row))
        return min(found, key=lambda back: inf if back[0] != back[0] else back[0], default=None)

    def rest_of_way(self, row, ways, returns, by_row):
        """(volts, ohms) of the pieces that lie between the supply and the far end of a row, the row itself left out.

        Unknown where a piece on the way has no known drop; nothing where no supply is joined.
        """
        if row not in self.joined or self.is_return[row]:
            return 0.0, 0.0
        near, far = self.near_and_far(row, ways)
        start = ways.get(near)
        if start is None:
            return nan, nan
        drop, ohm, _ = self._back(far, returns, by_row) or (0.0, 0.0, None)
        return start.drop_v + drop, start.resistance_ohm + ohm

    def way_rows(self, row, ways, returns, by_row):
        """Rows between the supply and the far end of a row, its returns included and itself left out."""
        if row not in self.joined:
            return []
        near, far = self.near_and_far(row, ways)
        if near not in ways:
            return []
        back = self._back(far, returns, by_row)
        rows = self._chain(near, ways)
        if back is not None:
            a, b = self.ends[back[2]]
            home = b if a == far else a
            rows += [back[2], *(self._chain(home, returns) if home in returns else ())]
        return rows

    def _chain(self, node, ways):
        rows = []
        while (row := ways[node].row) is not None:
            rows.append(row)
            a, b = self.ends[row]
            node = a if b == node else b
        return rows


UNKNOWN_V = 1e9
"""What a piece of unknown drop counts in the choice between ways: any that is known comes first."""


def _spread(ways, starts, rows_of, piece):
    """Add the way with the least drop from any of ``starts`` to every node that rows lead to; unknown is passed on."""
    queue = []
    for node in starts:
        heappush(queue, (0.0, node, -1, 0.0, 0.0))
    while queue:
        length, node, row, drop, resistance = heappop(queue)
        if node in ways:
            continue
        ways[node] = Way(drop, resistance, None if row < 0 else row)
        for other_row, other in rows_of.get(node, ()):
            if other not in ways:
                own, ohm = piece(other_row)
                more = UNKNOWN_V if isnan(own) else own
                heappush(queue, (length + more, other, other_row, drop + own, resistance + ohm))


def solve(places, chosen, wanted):
    """The circuit of what was chosen; ``wanted`` says which parts are the user's own."""
    wiring, by_row = Wiring(places, wanted), {one.place: one for one in chosen}
    ways, returns = wiring.solve(by_row)
    circuit = Circuit(ways, {}, {}, {}, {}, {})
    columns, high = places.columns, places.high
    for row in wiring.rows:
        if wiring.is_return[row] or row not in by_row:
            continue
        circuit.unknown[row] = wiring.unknown_before(row, by_row)
        circuit.before[row] = wiring.way_rows(row, ways, returns, by_row)
        near, _ = wiring.near_and_far(row, ways)
        drop, _ = wiring.piece(row, by_row)
        rest, _ = wiring.rest_of_way(row, ways, returns, by_row)
        if near not in ways or isnan(rest + drop):
            continue
        circuit.cumulative_drop_v[row] = rest + drop
        highest = high.get("highest_v", columns["highest_v"])[row]
        top = high.get("short_circuit_a", columns["short_circuit_a"])[row]
        circuit.fault_near_a[row] = fault_current_a(highest, top, ways[near].resistance_ohm) if top > 0 else nan
        circuit.fault_far_a[row] = by_row[row].result("far_fault_a")
    return circuit


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
    a, b = (int(node) for node in places.network.ends[row])
    way = circuit.ways.get(a)
    node = b if way is not None and way.row == row else a
    while node in circuit.ways and (upper := circuit.ways[node].row) is not None:
        if places.columns["own_device"][upper] == 1 and by_row[upper].pick("protection") >= 0:
            return upper
        a, b = (int(node) for node in places.network.ends[upper])
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
