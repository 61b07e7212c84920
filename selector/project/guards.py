"""Which suppressors guard a rectifier, and which stand between another suppressor and the alternator."""

import numpy as np

from selector.project.filling import Filling
from selector.project.values import NAN

CLAMP = "clamping_voltage_v"


class Guards(Filling):
    """Columns that take their values from what is picked for other rows; ``guards`` says from which.

    guards : row -> {column: (fact, rows)}: the greatest of that fact over the picks of those rows
    """

    def _guards(self):
        suppressors = [int(row) for row in np.flatnonzero(self.is_kind("suppressor")) if self.a[row] >= 0]
        rectifiers = self.is_kind("rectifier")
        self.guards = {}
        for row in np.flatnonzero(self.is_kind("rectifier", "freewheel")):
            found = self._at_or_near((self.b if rectifiers[row] else self.a)[row], suppressors)
            if found:
                self.guards[int(row)] = {"clamp_at_node_v": (CLAMP, found)}
        for row in suppressors:
            outputs = self._outputs(row)
            upper = [s for s in suppressors if s != row and self.a[s] in outputs and self.a[row] not in outputs]
            if upper:
                self.guards[row] = {"upper_clamp_v": (CLAMP, upper)}
        for flag, column in (("has_suppressor", "clamp_at_node_v"), ("has_upper", "upper_clamp_v")):
            self.put(flag, [float(column in self.guards.get(row, {})) for row in range(self.count)])
            self.put(column, np.full(self.count, NAN))

    def _at_or_near(self, node, suppressors):
        """Suppressors at a node, or else those on its island that hold it down whatever device opens."""
        own = [row for row in suppressors if self.a[row] == node]
        if own or node < 0:
            return own
        network = self.network
        devices = set(np.flatnonzero(self.has_own_device()).tolist())
        return [
            row
            for row in suppressors
            if network.island[self.a[row]] == network.island[node] and network.guarded_at(node, self.a[row], devices)
        ]

    def _outputs(self, row):
        """Nodes of an alternator's dc output on the island of a suppressor."""
        island = self.network.island[self.a[row]]
        found = {node for node in self.rectifier_rows if self.network.island[node] == island}
        return found | {node for node, supply in self.network.supplies.items()
                        if supply["type"] == "alternator" and self.network.island[node] == island
                        and not found}  # fmt: skip
