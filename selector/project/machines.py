"""The alternator behind a row: its currents, voltages and speeds, for rows on its winding side and at its rectifier."""

import numpy as np

from selector.project.filling import Filling
from selector.project.values import NAN, fold, or_nan, typed

STIFF, REACTANCE_LIMITED = "stiff", "reactance-limited"
FIELD = ("field_current_a", "field_inductance_h", "field_resistance_ohm", "field_supply_v")
"""What supplies.csv says of an alternator's field."""
OF_MACHINE = ("phase lead", "rectifier", "suppressor", "freewheel", "joint")
MACHINE_NUMBERS = (
    "rated_current_a", "poles", "load_dump_v", "load_dump_resistance_ohm", "load_dump_time_s", "load_dump_suppressed_v",
    "field_current_a", "field_inductance_h", "field_resistance_ohm", "field_supply_v",
)  # fmt: skip


def together(machines):
    """Several alternators that feed one place, as one: ratings add up, and so does what their load dumps can drive.

    The highest peak, all resistances side by side and the longest time stand for dumps that come together.
    """
    machines = list({machine["_line"]: machine for machine in machines}.values())
    if len(machines) < 2:
        return machines[0] if machines else None

    def every(name, combine):
        values = [machine[name] for machine in machines]
        return None if any(value is None for value in values) else combine(values)

    return {
        **machines[0],
        "node": " and ".join(machine["node"] for machine in machines),
        "rated_current_a": every("rated_current_a", sum),
        "highest_v": max((m["highest_v"] for m in machines if m["highest_v"] is not None), default=None),
        "load_dump_v": every("load_dump_v", max),
        "load_dump_resistance_ohm": every("load_dump_resistance_ohm", lambda all_: 1.0 / sum(1.0 / r for r in all_)),
        "load_dump_time_s": every("load_dump_time_s", max),
        "load_dump_suppressed_v": every("load_dump_suppressed_v", max),
        "speed_range_rpm__high": every("speed_range_rpm__high", min),
        "self_limiting": "no"
        if any(machine["self_limiting"] == "no" for machine in machines)
        else machines[0]["self_limiting"],
        "_several": len(machines),
    }


HOTTEST = "hottest, "
"""How the default of a terminal nobody measured begins; the terminal's name follows."""


class Machines(Filling):
    """Columns of the alternator a row belongs to; unknown for rows that belong to none."""

    def _alternators(self):
        kinds = self.kinds_folded()
        rows = [row for row, kind in enumerate(kinds) if kind == "rectifier"]
        self.rectifier_rows = {}
        for row in rows:
            if self.a[row] >= 0 and self.b[row] >= 0:
                self.rectifier_rows.setdefault(self.b[row], []).append(row)
        self.rectifier_nodes = {self.b[row] for row, kind in enumerate(kinds) if kind == "phase lead"}
        self.machine_of = [self._machine(row, kind) if kind in OF_MACHINE else None for row, kind in enumerate(kinds)]
        own = np.array([machine is not None for machine in self.machine_of], dtype=bool)
        self.put("has_machine", own * 1.0)
        self.put("alternating", self.is_kind("phase lead") * 1.0)
        for name in MACHINE_NUMBERS:
            self.put(f"machine_{name}", self._of_machine(name))
        self._winding(own)
        self._speeds(own)
        stated = self._of_machine("highest_v")
        self.put("highest_v", np.fmax(self.columns["highest_v"], stated))

    def _machine(self, row, kind):
        """The alternator's row of supplies.csv: at an end of this row, or the one that feeds its island."""
        nodes = [node for node in (self.a[row], self.b[row]) if node >= 0]
        at_end = self._alternators_at(nodes)
        if at_end:
            return at_end[0]
        if kind in ("phase lead", "rectifier"):
            self.complain(row, "from", "no alternator stands at either end",
                          f"A {kind} begins at an alternator of supplies.csv.")  # fmt: skip
            return None
        found = [s for node in nodes for s in self._behind_rectifiers(node)] or self._alternators_near(nodes)
        return together(found) if kind == "suppressor" else found[0] if found else None

    def field_machine(self, row):
        """The alternator whose field a row concerns: at one of its ends, the only one whose field is described, the
        one on its island, or the only one; None where it could be several."""
        nodes = [node for node in (self.a[row], self.b[row]) if node >= 0]
        machines = self._alternators_at(self.network.supplies)
        at_end = self._alternators_at(nodes)
        described = [s for s in machines if any(s[name] is not None for name in FIELD)]
        if at_end or len(described) == 1:
            return (at_end or described)[0]
        near = self._alternators_near(nodes)
        near = [s for s in near if s in described] or near
        return near[0] if near else machines[0] if len(machines) == 1 else None

    def _alternators_at(self, nodes):
        supplies = (self.network.supply(node) for node in nodes)
        return [s for s in supplies if s is not None and s["type"] == "alternator"]

    def _alternators_near(self, nodes):
        """Alternators on the islands of the nodes, grounds left out."""
        return [s for node in nodes if not self.network.is_ground(node)
                for s in self.network.supplies_of_island(node) if s["type"] == "alternator"]  # fmt: skip

    def _behind_rectifiers(self, node):
        """Alternators whose rectifiers lead to a node, each once."""
        rows = self.rectifier_rows.get(node, ())
        supplies = self._alternators_at([end for row in rows for end in (self.a[row], self.b[row])])
        return list({s["_line"]: s for s in supplies}.values())

    def supply_at(self, node):
        """The supply of a node, the alternator (or several as one) for the node rectifiers lead to; None elsewhere."""
        if node < 0:
            return None
        supply = self.network.supply(node)
        if supply is not None or node not in self.rectifier_rows:
            return supply
        return together(self._behind_rectifiers(node))

    def _of_machine(self, name):
        return np.array([NAN if m is None else or_nan(m[name]) for m in self.machine_of])

    def _winding(self, own):
        words = [None if m is None else m["winding"] for m in self.machine_of]
        alternating = self.is_kind("phase lead", "rectifier")
        empty = own & alternating & np.array([word is None for word in words], dtype=bool)
        six = own & alternating & np.array([word == "six ends" for word in words], dtype=bool)
        self.default("winding of six ends, closed as", "star", "", "supplies.csv", six,
                     "Are its six ends closed as star or as delta? Write that.")  # fmt: skip
        self.default("winding", "star", "", "supplies.csv", empty, "Is the winding closed as star or as delta?")
        self.put("machine_delta", np.array([word == "delta" for word in words]) * 1.0)
        phases = self._of_machine("phases")
        self.default("phases", 3, "", "supplies.csv", own & np.isnan(phases) & alternating,
                     "How many phases has the winding?")  # fmt: skip
        phases = np.where(own & np.isnan(phases), 3.0, phases)
        self.put("machine_lines", np.where(phases == 1, 2.0, phases))
        ratios, reactance = self._ratios(own, alternating, phases)
        self.put("machine_line_ratio", ratios)
        self.put("machine_is_sine", reactance * 1.0)

    def _ratios(self, own, alternating, phases):
        from selector.physics import rectifier_ratios as ratio

        frame = self.project.frames["supplies.csv"]
        of_model = {
            (STIFF, False): ratio.STIFF_LINE_RATIO,
            (REACTANCE_LIMITED, False): ratio.REACTANCE_LIMITED_LINE_RATIO,
            (STIFF, True): ratio.SINGLE_PHASE_LINE_RATIO,
            (REACTANCE_LIMITED, True): ratio.SINGLE_PHASE_SINE_LINE_RATIO,
        }
        found, sine, empty = np.full(self.count, NAN), np.zeros(self.count, bool), np.zeros(self.count, bool)
        told = set()
        for row in np.flatnonzero(own):
            machine = self.machine_of[row]
            text = fold(machine["source_model"] or "")
            empty[row] = not text
            model, single = text or self.settings.values["source model"], phases[row] == 1
            number = typed(text.replace(",", "."), "") if text else None
            if (model, single) in of_model:
                found[row], sine[row] = of_model[model, single], model == REACTANCE_LIMITED
            elif number is not None and 0.3 <= number <= 1.5:
                found[row] = number
            elif machine["_line"] not in told:
                told.add(machine["_line"])
                self.problems.add(frame.label, machine["_line"], frame.headers.get("source_model", "source model"),
                                  f"{machine['source_model']!r} is no model of a source",
                                  "Write stiff, reactance-limited, or line rms over dc current, a number from 0.3 to 1.5.")  # fmt: skip
        self.default("source model", self.settings.values["source model"], "", "supplies.csv", empty & alternating,
                     self.settings.questions.get("source model", ""))  # fmt: skip
        return found, sine

    def _speeds(self, own):
        """Poles and speeds; unknown ones at the end that gives the highest frequency."""
        alternating = own & self.is_kind("phase lead", "rectifier")
        low, high = self._of_machine("speed_range_rpm"), self._of_machine("speed_range_rpm__high")
        high = self._typical("speed", "alternator", high, alternating, "rpm", "speed range", "high")
        low = self._typical("speed", "alternator", low, alternating, "rpm", "", "low")
        self.put("machine_low_speed_rpm", low)
        self.put("machine_high_speed_rpm", high)
        poles = self.columns["machine_poles"]
        self.put("machine_poles", self._typical("poles", "alternator", poles, alternating, "", "poles", "high"))

    def _typical(self, what, subject, values, mask, unit, shown, end):
        """Fill unknown values where ``mask`` with the typical one at its unsafe end, listed under ``shown``."""
        rows = self.catalogue.rows("typicals.csv", what=what, subject=subject)
        missing = np.isnan(values) & mask
        if not rows or not missing.any():
            return values
        value = typed(rows[0][end], rows[0]["unit"])
        if shown:
            self.default(shown, float(rows[0][end]), unit, "supplies.csv", missing, rows[0]["question"])
        return np.where(missing, value, values)

    def _rotor(self, what, end):
        """Typical value of a field winding at one end of its range: as inner number and as the table writes it."""
        rows = self.catalogue.rows("typicals.csv", what=what)
        if not rows:
            return NAN, NAN
        return typed(rows[0][end], rows[0]["unit"]), float(rows[0][end])

    # -- what other columns take from it -----------------------------------------------------------------------------

    def _machine_currents(self, low, high):
        """Currents of phase leads and rectifiers: what can be worked out, or what is stated if that is more."""
        rated = self.columns["machine_rated_current_a"]
        phase, rectifier = self.is_kind("phase lead"), self.is_kind("rectifier")
        worked = np.where(phase, self.columns["machine_line_ratio"] * rated, np.where(rectifier, rated, NAN))
        of_machine = phase | rectifier
        self.put("stated_current_a", np.where(of_machine, low, NAN))
        self.put("has_stated_current", (of_machine & ~np.isnan(low)) * 1.0)
        asked = of_machine & np.isnan(rated)
        if asked.any():
            self.questions.setdefault("rated current", []).extend(np.flatnonzero(asked).tolist())
        low = np.where(of_machine, np.fmax(low, worked), low)
        return low, np.where(of_machine, np.fmax(high, worked), high)

    def _machine_terminals(self, end, nodes, low, top, stated):
        """How warm the ends of phase leads are: a terminal nobody measured is as hot as such terminals get."""
        phase = self.is_kind("phase lead")
        if not phase.any():
            return low, top, stated
        for subject, own in (("alternator stud", False), ("rectifier stud", True)):
            at = np.array([node in self.rectifier_nodes for node in nodes], dtype=bool) == own
            missing = phase & at & ~stated
            rows = self.catalogue.rows("typicals.csv", what="terminal temperature", subject=subject)
            if not rows or not missing.any():
                continue
            value = typed(rows[0]["high"], rows[0]["unit"])
            self.default(f"{HOTTEST}{subject}", float(rows[0]["high"]), "degC", "nodes.csv", missing,
                         rows[0]["question"])  # fmt: skip
            self._rests_on(f"{end}_hottest_k", missing, rows[0]["question"])
            low, top = np.where(missing, value, low), np.where(missing, value, top)
            stated = stated | missing
        return low, top, stated
