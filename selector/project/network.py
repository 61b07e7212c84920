"""What is joined to what: nodes as numbers, islands without the grounds, how far each node is from a battery."""

from collections import deque

GROUND = "ground"


class Network:
    """The project's nodes and rows as a graph.

    nodes : folded node name -> number; ends : (from, to) numbers of each row, -1 where a cell is empty
    role : word of each node, or None; cells : whether a row carries direct current from node to node
    """

    def __init__(self, nodes, ends, role, supplies, cells):
        self.nodes, self.ends, self.role = nodes, ends, role
        self.supplies = supplies
        self.cells = cells
        count = len(role)
        self.neighbours = [[] for _ in range(count)]
        self.leaving = [[] for _ in range(count)]
        self.entering = [[] for _ in range(count)]
        for row, (a, b) in enumerate(ends):
            if a < 0 or b < 0 or a == b or not cells[row]:
                continue
            self.leaving[a].append(row)
            self.entering[b].append(row)
            if role[a] != GROUND and role[b] != GROUND:
                self.neighbours[a].append(b)
                self.neighbours[b].append(a)
        self.island = self._islands()
        self.to_battery = self._distances([n for n, s in supplies.items() if s["type"] in ("battery", None)])

    def _islands(self):
        island = [-1] * len(self.role)
        for start in range(len(self.role)):
            if island[start] >= 0:
                continue
            island[start] = start
            queue = deque([start])
            while queue:
                for other in self.neighbours[queue.popleft()]:
                    if island[other] < 0:
                        island[other] = start
                        queue.append(other)
        return island

    def _distances(self, starts):
        distance = [None] * len(self.role)
        queue = deque(starts)
        for start in starts:
            distance[start] = 0
        while queue:
            node = queue.popleft()
            for other in self.neighbours[node]:
                if distance[other] is None:
                    distance[other] = distance[node] + 1
                    queue.append(other)
        return distance

    def reached(self, starts, shut=(), barred=()):
        """Nodes joined to these, grounds left out, without going over the rows ``shut`` or onto the nodes ``barred``:
        node -> the row it was reached over, None of the starts."""
        found = {node: None for node in starts if node not in barred and not self.is_ground(node)}
        queue = deque(found)
        while queue:
            node = queue.popleft()
            for row in (*self.leaving[node], *self.entering[node]):
                a, b = self.ends[row]
                other = b if a == node else a
                if row not in shut and other not in found and other not in barred and not self.is_ground(other):
                    found[other] = row
                    queue.append(other)
        return found

    def way(self, start, goals):
        """Rows of a shortest way from a node to one of these; None where none of them is joined to it."""
        found = self.reached([start])
        node = next((n for n in found if n in goals), None)
        if node is None:
            return None
        rows = []
        while (row := found[node]) is not None:
            a, b = self.ends[row]
            rows.append(row)
            node = b if a == node else a
        return rows

    def alternators_of_island(self, node):
        """Nodes of the alternators on a node's island."""
        return [
            n for n, s in self.supplies.items() if s["type"] == "alternator" and self.island[n] == self.island[node]
        ]

    def guarded_at(self, node, suppressor, devices):
        """Whether a suppressor at one node holds down what an alternator sends to another, whatever device opens.

        A fuse or breaker (a row of ``devices``) that opens leaves its far side alone. What the suppressor holds is the
        nodes no device parts from it; another node is guarded if every way to it from an alternator leads over these:
        it lies among them or behind them, seen from the machine.
        """
        held = self.reached([suppressor], devices)
        return node not in self.reached(self.alternators_of_island(node), barred=held)

    def is_ground(self, node):
        return node >= 0 and self.role[node] == GROUND

    def is_return(self, row):
        """Whether a row ends at a ground node or joins two: such a row is a return."""
        return self.is_ground(self.ends[row][0]) or self.is_ground(self.ends[row][1])

    def supply(self, node):
        return self.supplies.get(node)

    def supplies_of_island(self, node):
        return [s for n, s in self.supplies.items() if self.island[n] == self.island[node]] if node >= 0 else []
