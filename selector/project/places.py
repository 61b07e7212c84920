"""From the user's rows to places: one column of numbers for each thing a place sees, every default written down."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from selector.project.control import Control
from selector.project.currents import Currents
from selector.project.declarations import BESIDE
from selector.project.devices import Devices
from selector.project.feeding import Feeding
from selector.project.filling import Default
from selector.project.guards import Guards
from selector.project.joints import Joints
from selector.project.limits import Limits
from selector.project.machines import Machines
from selector.project.network import Network
from selector.project.rectifying import Rectifying
from selector.project.surroundings import Surroundings
from selector.project.terminals import Terminals
from selector.project.transients import Transients
from selector.project.values import NAN, fold, of_class, or_nan, typed, volts_named


class Rows:
    """Rows of a frame as dictionaries, made when asked for, with the line each stands on."""

    def __init__(self, data, lines):
        self.data, self.lines = data, lines

    def __len__(self):
        return self.data.height

    def __getitem__(self, i):
        return {**self.data.row(i, named=True), "_line": self.lines[i]}

    def __iter__(self):
        for line, row in zip(self.lines, self.data.iter_rows(named=True), strict=True):
            yield {**row, "_line": line}


@dataclass
class Places:
    """One entry a served row, in project order.

    columns : name or (name, end) -> array of shape (rows,), the low end where the user gave a range
    high : the same names -> the high end, only for those where it differs somewhere
    limit_words : column -> {row: whose limit it is}
    fixed : role -> list of what the row says of it (None to fill, ``none``, or the user's words)
    """

    names: list
    kinds: list
    rows: Any
    lines: list
    columns: dict
    high: dict
    fixed: dict
    defaults: list = field(default_factory=list)
    network: Network | None = None
    is_return: Any = None
    questions: dict = field(default_factory=dict)
    constants: dict = field(default_factory=dict)
    upstream: list = field(default_factory=list)
    ground_joint: Any = None
    index: list = field(default_factory=list)
    limit_sources: dict = field(default_factory=dict)
    limit_words: dict = field(default_factory=dict)
    guards: dict = field(default_factory=dict)
    typical_inputs: dict = field(default_factory=dict)
    disconnecting: list = field(default_factory=list)
    shares: dict = field(default_factory=dict)


class Builder(
    Surroundings,
    Machines,
    Guards,
    Rectifying,
    Terminals,
    Control,
    Currents,
    Feeding,
    Devices,
    Joints,
    Transients,
    Limits,
):
    """Builds the places of one project; each method fills some columns and notes the defaults it used."""

    def __init__(self, project, catalogue, settings, rule, problems, kinds):
        self.project, self.catalogue, self.settings = project, catalogue, settings
        self.rule, self.problems = rule, problems
        self.frame = project.frames["connections.csv"]
        self.data = self.frame.data
        self.count = self.data.height
        self.columns, self.high, self.defaults = {}, {}, []
        self.kinds = kinds
        self._kinds_folded, self._of_kind = None, {}
        self.questions = {}
        self.limit_sources = {}
        self.limit_words = {}
        self.drop_rows = {}
        self.typical_inputs = {}

    def build(self):
        if not self.count:
            self.problems.add(self.frame.label or "connections.csv", None, "", "it has no rows",
                              "Write one row for each connection to be served.")  # fmt: skip
            from selector.errors import ProjectError

            self.problems.raise_if_any(ProjectError, f"{self.project.name} cannot be used")
        self._nodes()
        self._systems()
        self._network()
        self._zones()
        self._lengths()
        self._alternators()
        self._guards()
        self._joints()
        self._ends()
        self._currents()
        self._supplies()
        self._rectifiers()
        self._transients()
        self._devices()
        self._drops()
        self._ties()
        self._smallest()
        self.put("condition_factor", np.ones(self.count))
        return Places(
            names=self.text("connection"),
            kinds=self.text("kind"),
            rows=Rows(self.data, self.frame.lines),
            lines=self.frame.lines,
            columns=self.columns,
            high=self.high,
            fixed={},
            defaults=self.defaults,
            network=self.network,
            is_return=self.is_return,
            questions=self.questions,
            constants=self._constants(),
            upstream=self.upstream,
            ground_joint=self.ground_joint,
            index=list(range(self.count)),
            limit_sources=self.limit_sources,
            limit_words=self.limit_words,
            guards=self.guards,
            typical_inputs=self.typical_inputs,
            disconnecting=self.disconnecting,
        )

    # -- nodes, systems, network -------------------------------------------------------------------------------------

    def _nodes(self):
        frame = self.project.frames["nodes.csv"]
        self.node_rows = [dict(row) for row in frame.data.iter_rows(named=True)]
        self.node_lines = list(frame.lines)
        self.node_frame = frame
        listed = bool(self.node_rows)
        self.nodes = {fold(row["node"]): i for i, row in enumerate(self.node_rows) if row["node"]}
        if not listed:
            blank = dict.fromkeys(frame.data.columns)
            names = [name for pair in zip(self.text("from"), self.text("to"), strict=True) for name in pair if name]
            names += [row["node"] for row in self.project.rows("supplies.csv") if row["node"]]
            for name in names:
                if fold(name) not in self.nodes:
                    self.nodes[fold(name)] = len(self.node_rows)
                    self.node_rows.append({**blank, "node": name})
        self.a = self.resolve("from", self.nodes, "node")
        self.b = self.resolve("to", self.nodes, "node")
        for row, (kind, a, b) in enumerate(zip(self.kinds_folded(), self.text("from"), self.text("to"), strict=True)):
            for column, value in (("from", a), ("to", b)):
                if value is None and column in ENDS_ASKED.get(kind, {}):
                    self.complain(row, column, "the cell is empty", ENDS_ASKED[kind][column])

    def kinds_folded(self):
        """Kind of each row, folded; worked out once, as it is asked for row by row."""
        if self._kinds_folded is None:
            texts = self.text("kind")
            folded = {text: fold(text or "") for text in {*texts}}
            self._kinds_folded = [folded[text] for text in texts]
        return self._kinds_folded

    def is_kind(self, *names):
        """Mask of the rows of these kinds."""
        mask = np.zeros(self.count, bool)
        for name in names:
            if name not in self._of_kind:
                self._of_kind[name] = np.array([kind == name for kind in self.kinds_folded()], dtype=bool)
            mask |= self._of_kind[name]
        return mask

    def _systems(self):
        frame = self.project.frames["systems.csv"]
        rows = [dict(row) for row in frame.data.iter_rows(named=True)]
        known = {fold(row["system"]): i for i, row in enumerate(rows) if row["system"]}
        if not rows:
            blank = dict.fromkeys(frame.data.columns)
            for text in {t for t in [*self.text("system"), *(n["system"] for n in self.node_rows)] if t}:
                known[fold(text)] = len(rows)
                rows.append({**blank, "system": text, "nominal_v": volts_named(text)})
        self.system_rows = rows
        self._check_listed(self.node_frame, "system", known, "system")
        own = self.resolve("system", known, "system")
        of_node = [known.get(fold(row["system"]), -1) if row["system"] else -1 for row in self.node_rows]
        for supply in self.project.rows("supplies.csv"):
            node = self.nodes.get(fold(supply["node"] or ""), -1)
            if node >= 0 and of_node[node] < 0 and len(rows) == 1:
                of_node[node] = 0
        system = own.copy()
        volts = [row["nominal_v"] or 0.0 for row in rows]
        grounds = {i for i, row in enumerate(self.node_rows) if row["role"] == "ground"}
        self.system_of_node, across, guessed = of_node, self.is_kind("freewheel"), {}
        for row in range(self.count):
            if system[row] >= 0:
                continue
            known = [of_node[n] for n in self._nodes_that_say(row, grounds, across[row]) if of_node[n] >= 0]
            if {self.a[row], self.b[row]} <= grounds and len(set(known)) != 1 and volts:
                system[row] = max(known or range(len(volts)), key=volts.__getitem__)
                guessed.setdefault(system[row], []).append(row)
            elif known:
                system[row] = known[0]
            elif len(rows) == 1:
                system[row] = 0
        for taken, between in guessed.items():
            self.default("system of a joint between grounds", rows[taken]["system"], "", "connections.csv",
                         self._mask(between), "Which systems does it join? The highest voltage is taken.")  # fmt: skip
        nominal = np.array([or_nan(r["nominal_v"]) for r in rows] + [NAN])
        highest = np.array([or_nan(r["highest_v"]) for r in rows] + [NAN])
        lowest = np.array([or_nan(r["lowest_v"]) for r in rows] + [NAN])
        at = np.where(system < 0, len(rows), system)
        self.put("nominal_v", nominal[at])
        self.put("highest_v", self._typical_voltage(highest[at], nominal[at], "highest charging voltage", "high"))
        self.put("lowest_v", self._typical_voltage(lowest[at], nominal[at], "lowest voltage in service", "low"))

    def _nodes_that_say(self, row, grounds, across):
        """Nodes of a row in the order in which their system is the row's: a coil's own, what it leads to, a ground last.

        Grounds of several systems may meet in one post, so a ground's system says nothing of what returns to it.
        """

        def is_coil(node):
            own = self.node_rows[node]
            return own["coil_inductance_h"] is not None or own["coil_resistance_ohm"] is not None

        nodes = [node for node in (self.b[row], self.a[row]) if node >= 0]
        return sorted(nodes, key=lambda node: (node in grounds, across and not is_coil(node)))

    def _ties(self):
        """A joint between the grounds of two systems carries a fault, and no current in service: it may drop what it does.

        One that states its current, or its limit, is judged like any row.
        """
        of_node, columns = self.system_of_node, self.columns
        stated = [self.data[name].is_not_null().to_numpy() for name in ("drop_limit", "drop_limit_v")]
        between = np.array([of_node[a] != of_node[b] and min(of_node[a], of_node[b]) >= 0 if min(a, b) >= 0 else False
                            for a, b in zip(self.a, self.b, strict=True)], dtype=bool)  # fmt: skip
        tie = self.ground_joint & between & ~stated[0] & ~stated[1]
        if not tie.any():
            return
        columns["has_drop_limit"] = np.where(tie, 0.0, columns["has_drop_limit"])
        columns["drop_limit_v"] = np.where(tie, NAN, columns["drop_limit_v"])
        for default in self.defaults:
            if default.what.startswith("drop limit, "):
                default.rows = np.array([row for row in default.rows if not tie[row]], dtype=np.int64)
        self.defaults = [default for default in self.defaults if len(default.rows)]
        self.default("drop limit between two systems' grounds", "none", "", "connections.csv", tie,
                     "Does current flow there in service? State current and drop limit.")  # fmt: skip

    def _check_listed(self, frame, column, known, what):
        from selector.errors import nearest, quoted

        for line, text in zip(frame.lines, frame.data[column], strict=True):
            if text is not None and fold(text) not in known:
                self.problems.add(frame.label, line, frame.headers.get(column, column),
                                  f"{quoted(text)} is not a {what} of this project",
                                  f"Write one that is, or add it to {what}s.csv.", nearest(text, self.spelled(what)))  # fmt: skip

    def _typical_voltage(self, values, nominal, what, end):
        """Where a system says nothing: the typical value at its unsafe end, by nominal voltage."""
        values = values.copy()
        for volts in sorted(set(nominal[np.isnan(values) & ~np.isnan(nominal)])):
            mask = np.isnan(values) & (nominal == volts)
            value = self._class_voltage(volts, what, end)
            if value is not None:
                question = "What are the highest and lowest voltages of this system?"
                self.default(what, value, "V", "systems.csv", mask, question)
                values[mask] = value
        return values

    def _class_voltage(self, volts, what, end):
        """The typical value of the system a nominal voltage stands for, at one end; None where the table has none."""
        typical = {}
        for row in self.catalogue.rows("typicals.csv", what=what):
            named = volts_named(row["subject"] or "")
            value = typed(row[end], row["unit"])
            if named is not None and value is not None:
                pick = max if end == "high" else min
                typical[named] = pick(value, typical.get(named, value))
        return of_class(typical, volts)

    def _network(self):
        frame = self.project.frames["supplies.csv"]
        supplies = {}
        for row in self.project.rows("supplies.csv"):
            node = self.nodes.get(fold(row["node"] or ""))
            if node is None:
                from selector.errors import nearest, quoted

                self.problems.add(frame.label, row["_line"], "node", f"{quoted(row['node'] or '')} is not a node of this project",
                                  "Write one that is, or add it to nodes.csv.", nearest(row["node"] or "", self.spelled("node")))  # fmt: skip
                continue
            supplies[node] = row
        for node, row in enumerate(self.node_rows):
            if row["role"] == "supply" and node not in supplies and node < len(self.node_lines):
                from selector.errors import quoted

                self.problems.add(self.node_frame.label, self.node_lines[node], "role",
                                  f"{quoted(row['node'])} is a supply without a row in supplies.csv",
                                  "Say there what it is: battery, alternator, converter or panel.")  # fmt: skip
        role = [row["role"] for row in self.node_rows]
        cells = [kind not in BESIDE for kind in self.kinds_folded()]
        ends = list(zip(self.a.tolist(), self.b.tolist(), strict=True))
        self.network = Network(self.nodes, ends, role, supplies, cells)
        self.is_return = np.array([self.network.is_return(row) for row in range(self.count)], dtype=bool)
        if supplies:
            self._check_fed(supplies)

    def _check_fed(self, supplies):
        from selector.errors import quoted

        fed = {self.network.island[node] for node in supplies}
        loose = (self.a < 0) | (self.b < 0)  # a row with an end that is not known may be what feeds the other
        fed |= {self.network.island[n] for row in np.flatnonzero(loose) for n in (self.a[row], self.b[row]) if n >= 0}
        seen = set()
        beside = self.is_kind("suppressor")
        for row in np.flatnonzero(np.array(self.network.cells) | beside):
            for column, node in (("from", self.a[row]), ("to", -1 if beside[row] else self.b[row])):
                if node < 0 or self.network.is_ground(node) or self.network.island[node] in fed or node in seen:
                    continue
                seen.add(node)
                self.complain(row, column, f"no supply feeds {quoted(self.node_rows[node]['node'])}",
                              "Add the rows that lead from a supply to it, or its supply in supplies.csv.")  # fmt: skip


ENDS_ASKED = {
    **{kind: dict.fromkeys(("from", "to"), f"A {kind} runs from a node to a node.")
       for kind in ("cable", "control wire", "phase lead")},
    "rectifier": {"from": "Name the alternator's node.", "to": "Name the node its positive output leads to."},
    "suppressor": {"from": "Name the node it protects.", "to": "Name the node of its return."},
    "freewheel": {"from": "Name one end of the coil.", "to": "Name the other end of the coil."},
    "joint": {"from": "Name the node the wires meet at."},
    "shunt": {"from": "Name the node at one of its ends.", "to": "Name the node at the other."},
    "bus": {"from": "Name the node it is the bar of."},
}  # fmt: skip
"""What each kind's end must name."""


__all__ = ["Builder", "Default", "Places", "Rows"]
