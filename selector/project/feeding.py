"""What feeds a row: short-circuit currents, stated or typical."""

from typing import ClassVar

import numpy as np

from selector.project.declarations import WITHOUT_LEAD
from selector.project.filling import Filling
from selector.project.values import NAN, fold


class Feeding(Filling):
    """Columns of the supplies."""

    def _supplies(self):
        island_fault = {}
        low, high = np.full(self.count, NAN), np.full(self.count, NAN)
        for row in range(self.count):
            node = next((n for n in (self.a[row], self.b[row]) if n >= 0 and not self.network.is_ground(n)), -1)
            if node < 0:
                node = self._any_fed_node()
            if node < 0:
                continue
            island = self.network.island[node]
            if island not in island_fault:
                island_fault[island] = self._fault(self.network.supplies_of_island(node))
            low[row], high[row] = island_fault[island]
        for supply in self.network.supplies.values():
            if supply["type"] is None:
                self._supply_default(supply, "battery", "What is it: battery, alternator, converter or panel?", "type")
        nothing = np.isnan(high) & (not self.network.supplies)
        if nothing.any():
            value = 5000.0
            low, high = np.where(nothing, value, low), np.where(nothing, value, high)
            question = "Which battery feeds it, and what does its sheet give as short-circuit current?"
            self.default("short-circuit current of the supply", value, "A", "supplies.csv", nothing, question)
            self._assumed_fault(nothing, question)
        self.put("short_circuit_a", high)
        self.put("least_short_circuit_a", low)
        unknown = np.isnan(high) & ~self.is_kind(*WITHOUT_LEAD)
        if unknown.any():
            self.questions.setdefault("short-circuit current", []).extend(np.flatnonzero(unknown).tolist())

    def _any_fed_node(self):
        return next(iter(self.network.supplies), -1)

    def _fault(self, supplies):
        lows, highs = [], []
        for supply in supplies:
            low, high = self._short_circuit(supply)
            lows.append(low)
            highs.append(high)
        return (sum(lows), sum(highs)) if lows else (NAN, NAN)

    def _short_circuit(self, supply):
        """Short-circuit current of one supply: stated, from its resistance, or typical for what it is (listed)."""
        if supply["short_circuit_current_a"] is not None:
            return supply["short_circuit_current_a"], supply["short_circuit_current_a__high"]
        kind = supply["type"] or "battery"
        volts = supply["highest_v"] or self._nominal_of(supply)
        if kind == "battery" and supply["internal_resistance_ohm"] and volts:
            return volts / supply["internal_resistance_ohm__high"], volts / supply["internal_resistance_ohm"]
        if kind == "battery":
            return self._typical_battery(supply)
        rated = supply["rated_current_a"]
        what = {"alternator": "short-circuit current over rating, first moment"}.get(
            kind, "short-circuit current over rating"
        )
        rows = self.catalogue.rows("typicals.csv", what=what, subject=kind)
        if not rated or not rows:
            return NAN, NAN
        low, high = float(rows[0]["low"]) * rated, float(rows[0]["high"]) * rated
        self._supply_default(supply, f"{low:g}..{high:g}", rows[0]["question"])
        return low, high

    CHEMISTRIES: ClassVar = {
        "lithium": "lithium iron phosphate", "lifepo4": "lithium iron phosphate", "lfp": "lithium iron phosphate",
        "agm": "lead-acid agm", "gel": "lead-acid gel", "flooded": "lead-acid flooded", "starter": "lead-acid flooded starter",
        "flooded starter": "lead-acid flooded starter", "lead-acid": "lead-acid flooded", "lead acid": "lead-acid flooded",
    }  # fmt: skip

    def chemistry(self, text):
        """The chemistry as typicals.csv names it."""
        return self.CHEMISTRIES.get(fold(text or ""), fold(text or ""))

    def _typical_battery(self, supply):
        subject = self.chemistry(supply["chemistry"])
        breaking = self.catalogue.rows("typicals.csv", what="short-circuit current for breaking", subject=subject)
        clearing = self.catalogue.rows("typicals.csv", what="short-circuit current for clearing", subject=subject)
        if not breaking or not clearing or not supply["capacity_ah"]:
            return NAN, NAN
        strings = supply["in_parallel"] or 1.0
        low = float(clearing[0]["low"]) * supply["capacity_ah"] * strings
        high = float(breaking[0]["high"]) * supply["capacity_ah"] * strings
        self._supply_default(supply, f"{low:g}..{high:g}", breaking[0]["question"])
        return low, high

    def _nominal_of(self, supply):
        node = self.nodes.get(fold(supply["node"]), -1)
        for row in range(self.count):
            if node in (self.a[row], self.b[row]) and not np.isnan(self.columns["nominal_v"][row]):
                return self.columns["nominal_v"][row]
        return None

    def _supply_default(self, supply, value, question, what="short-circuit current"):
        node = self.nodes[fold(supply["node"])]
        island = self.network.island[node]
        mask = np.array([any(n >= 0 and not self.network.is_ground(n) and self.network.island[n] == island
                             for n in (self.a[r], self.b[r])) for r in range(self.count)])  # fmt: skip
        unit = "" if what == "type" else "A"
        if what != "type":
            mask &= ~self.is_kind(*WITHOUT_LEAD)  # no check of theirs asks for it
            self._assumed_fault(mask, question or f"What is the short-circuit current of {supply['node']}?")
        self.default(f"{what} of {supply['node']}", value, unit, "supplies.csv", mask, question or "")

    def _assumed_fault(self, mask, question):
        """A row that nothing serves only because of a short-circuit current nobody stated waits for it."""
        for column in ("short_circuit_a", "least_short_circuit_a"):
            self._rests_on(column, mask, question)
