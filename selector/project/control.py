"""Control wires by what they are for: the current of a field lead, what its winding may take, where a sense lead begins."""

import numpy as np

from selector.project.filling import Filling
from selector.project.values import NAN, or_nan, shown

HIGHEST_12_V = 16.0
"""Highest voltage of what counts as a 12 V system here [V]."""


FIELD_QUESTION = (
    "For which voltage was the machine made (design voltage), and what does a meter read across its slip rings?"
)


class Control(Filling):
    """Columns of control wires; every other row counts as no sense lead and no field lead."""

    def _control_wires(self, low, high):
        """Currents of control wires that state none, and the columns of field and sense leads."""
        control = self.is_kind("control wire")
        purposes = [purpose if own else None for purpose, own in zip(self.text("purpose"), control, strict=True)]
        is_for = {name: np.array([purpose == name for purpose in purposes], dtype=bool)
                  for name in ("field", "sense", "temperature", "signal")}  # fmt: skip
        self.put("is_sense", is_for["sense"] * 1.0)
        self.put("sense_lead", np.where(is_for["sense"], 1.0, NAN))
        self.put(
            "sense_at_battery",
            [float(self._is_battery(a) or self._is_battery(b)) for a, b in zip(self.a, self.b, strict=True)],
        )
        used = self._fields(is_for["field"])
        low, high = low.copy(), high.copy()
        self._take_field(low, high, is_for["field"], used)
        for what, mask in (("sense current", is_for["sense"]),
                           ("temperature lead current", is_for["temperature"] | is_for["signal"])):  # fmt: skip
            low, high = self.fill(low, high, what, mask)
        self.default("regulator with an open sense lead", "not known", "", "the regulator's sheet", is_for["sense"],
                     "What does the regulator do when a sense lead opens: stop, limit, or charge without end?")  # fmt: skip
        return low, high

    def _take_field(self, low, high, field, used):
        missing = field & np.isnan(low) & ~np.isnan(used)
        self.put("field_current_worked_out", missing * 1.0)
        for row in np.flatnonzero(missing):
            self.default("field current", shown(round(float(used[row]), 4), "A"), "A", "connections.csv or supplies.csv",
                         self._mask([row]), "What current does the field take at full field?")  # fmt: skip
        low[missing] = high[missing] = used[missing]

    def _fields(self, field):
        """Current of each field at the voltage it is used at, and what it is made for; unknown where nothing is stated."""
        machines = [self.field_machine(row) if field[row] else None for row in range(self.count)]

        def of(name):
            return np.array([NAN if machine is None else or_nan(machine[name]) for machine in machines])

        own = np.array([machine is not None for machine in machines], dtype=bool)
        stated, resistance, design, supply = (
            of(name) for name in ("field_current_a", "field_resistance_ohm", "design_voltage_v", "field_supply_v")
        )
        used_at = np.where(np.isnan(supply), self.high.get("highest_v", self.columns["highest_v"]), supply)
        by_design = own & np.isnan(resistance) & ~np.isnan(stated) & ~np.isnan(design)
        by_voltage = own & ~np.isnan(resistance) & np.isnan(stated)
        made_for = self._made_for(np.where(np.isnan(design), self.columns["nominal_v"], design), by_design | by_voltage)
        resistance = np.where(by_design, made_for / stated, resistance)
        limit = np.where(by_voltage, made_for / resistance, stated)
        judged = own & ~np.isnan(resistance)
        typical = own & ~judged & np.isnan(stated) & (used_at <= HIGHEST_12_V)
        rotor, _ = self._rotor("field resistance", "low")
        used = np.where(judged, used_at / resistance, np.where(typical, used_at / rotor, stated))
        self.put("field_judged", judged * 1.0)
        self.put("field_used_a", used)
        ohm = np.where(judged, resistance, np.where(typical, rotor, NAN))
        self.put("field_at_highest_ohm", np.where(np.isnan(supply), ohm, NAN))
        self.put("field_limit_a", limit)
        guessed = own & np.isnan(design) & (~judged | by_voltage)
        self.default("voltage the field is made for", "that of its system", "", "supplies.csv", guessed, FIELD_QUESTION)
        self.default("field resistance", rotor, "ohm", "supplies.csv", typical, FIELD_QUESTION)
        return used

    def _made_for(self, nominal, mask):
        """Highest charging voltage of the system a field is made for, by its nominal voltage; unknown elsewhere."""
        found = np.full(self.count, NAN)
        for volts in sorted(set(nominal[mask & ~np.isnan(nominal)])):
            own = mask & (nominal == volts)
            value = self._class_voltage(float(volts), "highest charging voltage", "high")
            found[own] = or_nan(value)
            self.default(
                "highest charging voltage where the field was made for", value, "V", "supplies.csv", own, FIELD_QUESTION
            )
        return found
