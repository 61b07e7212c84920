"""What every part of the work on places uses: reading a column, putting one, noting a default, complaining."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from selector.catalogue.arrays import floats
from selector.project.values import fold, shown


@dataclass
class Default:
    """A value assumed: for which rows, what, its value and unit as shown, where to set it, what to ask."""

    what: str
    value: Any
    unit: str
    set_in: str
    rows: Any
    question: str = ""


class Filling:
    """The rows of one project on their way to places; the parts of the work inherit from it and meet in the builder."""

    project: Any
    system_rows: Any
    catalogue: Any
    settings: Any
    rule: Any
    problems: Any
    frame: Any
    data: Any
    count: Any
    columns: Any
    high: Any
    defaults: Any
    kinds: Any
    questions: Any
    limit_sources: Any
    limit_words: Any
    drop_rows: Any
    typical_inputs: Any
    guards: Any
    disconnecting: Any
    _joint_terminals: Any
    _control_wires: Any
    _class_voltage: Any
    nodes: Any
    node_rows: Any
    node_lines: Any
    node_frame: Any
    a: Any
    b: Any
    network: Any
    is_return: Any
    no_lug: Any
    ground_joint: Any
    device_end: Any
    has_own_device: Any
    upstream: Any
    kinds_folded: Any
    is_kind: Any
    machine_of: Any
    supply_at: Any
    field_leads: Any
    field_machine: Any
    _typical: Any
    _rotor: Any
    _rests_on: Any
    _machine_terminals: Any
    _machine_currents: Any
    bus_rows: Any
    rectifier_nodes: Any
    rectifier_rows: Any
    _is_battery: Any
    _ends_at_battery: Any
    _end_nearer_battery: Any
    _check_listed: Any
    chemistry: Any
    _typical_voltage: Any
    _overcurrent: Any
    system_of_node: Any
    stated: Any

    def text(self, name):
        return self.data[name].to_list()

    def number(self, name):
        low = floats(self.data[name])
        high_name = f"{name}__high"
        high = floats(self.data[high_name]) if high_name in self.data.columns else low
        return low, high

    def _mask(self, rows):
        """Mask of the rows of these numbers."""
        mask = np.zeros(self.count, bool)
        mask[rows] = True
        return mask

    def put(self, name, low, high=None):
        self.columns[name] = np.asarray(low, dtype=float)
        if high is not None and not np.array_equal(low, high, equal_nan=True):
            self.high[name] = np.asarray(high, dtype=float)

    def default(self, what, value, unit, set_in, mask, question=""):
        rows = np.flatnonzero(mask)
        if len(rows):
            self.defaults.append(Default(what, value, unit, set_in, rows, question))

    def fill(self, low, high, what, mask=None):
        """Put a default where a number is missing (and ``mask`` allows) and note it."""
        missing = np.isnan(low) if mask is None else np.isnan(low) & mask
        value = self.settings.number(what)
        self.default(what, shown(value, self.settings.units[what]), self.settings.units[what],
                     self.settings.set_in[what], missing, self.settings.questions.get(what, ""))  # fmt: skip
        return np.where(missing, value, low), np.where(missing, value, high)

    def complain(self, row, column, found, expected, near=""):
        header = self.frame.headers.get(column, column)
        self.problems.add(self.frame.label, self.frame.lines[row], header, found, expected, near)

    def resolve(self, column, known, what):
        """Row numbers of the keys a column names; -1 where empty; a problem where unknown."""
        from selector.errors import nearest, quoted

        texts, suggestions = self.text(column), {}
        number_of = {text: known.get(fold(text), -1) for text in {*texts} - {None}}
        for row, text in enumerate(texts if -1 in number_of.values() else ()):
            if number_of.get(text) == -1:
                if text not in suggestions:
                    suggestions[text] = nearest(text, self.spelled(what)) if len(suggestions) < 50 else ""
                self.complain(row, column, f"{quoted(text)} is not a {what} of this project",
                              f"Write one that is, or add it to {what}s.csv.", suggestions[text])  # fmt: skip
        return np.array([number_of.get(text, -1) for text in texts], dtype=np.int64)

    def spelled(self, what):
        """Names of a file as they are written there, for suggestions."""
        if what in ("node", "system"):
            names = [row[what] for row in (self.node_rows if what == "node" else self.system_rows)]
        else:
            names = self.project.frames[f"{what}s.csv"].data[what].to_list()
        return [name for name in names if name]
