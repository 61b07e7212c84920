"""What suppressors and freewheel diodes face: pulses, what stands at their node, the coil that is let go."""

import numpy as np

from selector.project.filling import Filling
from selector.project.values import NAN, fold, of_class, or_nan, shown, some, typed, volts_named

PULSE_QUESTION = "Has the machine's rectifier avalanche diodes, and what load dump does its maker give?"
WITHSTAND_QUESTION = "What is the greatest voltage its maker allows, and for how long?"
COIL_OF = {
    "resistance": "What resistance has the coil at {}? Measure it, and write coil resistance [ohm] in nodes.csv.",
    "inductance": "What inductance has the coil at {}? Measure it, and write coil inductance [H] in nodes.csv.",
}
WITHSTAND_OF = (
    "What is the greatest voltage the maker of {} allows, and for how long? Write withstand [V] in nodes.csv."
)
NO_PULSE = "What peak, source resistance and time has its load dump? Write them, or rating and speed, in supplies.csv."
CHARGING_OVER_NOMINAL = 14.0 / 12.0
"""A system named 24 V is used at 28 V, as ISO 16750-2 has it."""
LITHIUM = ("li", "lfp", "nmc")
"""How the words for a lithium battery begin."""
NAMED_BY_BATTERY = (12.0, 24.0, 36.0, 48.0)
DUMP, SHORT, NEGATIVE, BURST = "A", "2a", "1", "3b"
"""Pulses by the words of their standards: key iso-16750-2-2012, key iso-7637-2-2011."""
FIELD_COLUMNS = {
    "field inductance": ("coil_inductance_h",),
    "field resistance": ("coil_resistance_ohm", "current_a"),
    "field supply": ("current_a",),
}
"""What of a row rests on each thing nobody said of a field."""


class Transients(Filling):
    """Columns of suppressor and freewheel rows; unknown elsewhere."""

    def _transients(self):
        suppressor, freewheel = self.is_kind("suppressor"), self.is_kind("freewheel")
        self.put("is_suppressor", suppressor * 1.0)
        self.put("is_freewheel", freewheel * 1.0)
        self._dump(suppressor, freewheel)
        self._short_pulses(suppressor)
        self._withstands(suppressor)
        self._leads(suppressor)
        self._spares(suppressor)
        self._coils(freewheel)
        self._disconnecting()
        semiconductor = suppressor | freewheel | self.is_kind("rectifier")
        for default in self.defaults:
            if default.what == "highest charging voltage":
                mask = self._mask(default.rows) & semiconductor
                self._rests_on("highest_v", mask)
                if mask.any():
                    self.questions.setdefault(default.question, []).extend(map(int, np.flatnonzero(mask)))

    # -- pulses ------------------------------------------------------------------------------------------------------

    def _pulse(self, row, test):
        """The row of pulses.csv for a test at the row's class of system, 12 or 24 V; None for any other."""
        nominal = self.columns["nominal_v"][row]
        volts = nominal if nominal == nominal else self.columns["highest_v"][row] / CHARGING_OVER_NOMINAL
        for own in self.catalogue.rows("pulses.csv", test=test):
            if own["system_v"] <= volts <= 1.25 * own["system_v"]:
                return own
        return None

    def _dump(self, suppressor, freewheel):
        """Load dump of the alternator behind a row: stated, by formula, or both pairs printed for its voltage."""
        own = (suppressor | freewheel) & (self.columns["has_machine"] == 1)
        self.put("has_dump", own * 1.0)
        self.default("load dump", "none, for want of an alternator", "", "supplies.csv", suppressor & ~own,
                     "Can an alternator lose its battery here? Write it in supplies.csv, and how it is joined.")  # fmt: skip
        low = {name: np.full(self.count, NAN) for name in ("peak_v", "resistance_ohm", "time_s")}
        high = {name: values.copy() for name, values in low.items()}
        rise = np.full(self.count, NAN)
        suppressed = np.where(own, self.columns["machine_load_dump_suppressed_v"], NAN)
        listed = {}
        for row in np.flatnonzero(own):
            if freewheel[row] and suppressed[row] == suppressed[row]:  # a coil sees what the machine's own diodes leave
                low["peak_v"][row] = high["peak_v"][row] = suppressed[row]
                continue
            pulse = self._pulse(row, DUMP)
            pairs = _pairs(pulse) if pulse else ({}, {})
            peak, resistance, time = self._stated_dump(row)
            rise[row] = pulse["least_rise_time_s"] if pulse else 0.005
            if resistance != resistance:
                resistance = self._by_formula(row, suppressor)
            bare = peak != peak
            if pulse and peak < pulse["least_peak_v"]:
                self._odd_dump(row, peak, pulse)
            for target, pair in ((low, pairs[0]), (high, pairs[1])):
                target["peak_v"][row] = pair.get("peak_v", NAN) if bare else peak
                target["resistance_ohm"][row] = (
                    resistance  # those of the pairs are no machine's: it may be a larger one
                )
                usual = pair if bare else pairs[1]
                target["time_s"][row] = usual.get("time_s", NAN) if time != time else time
            if pulse and (bare or time != time):
                listed.setdefault(_pair_words(pulse, bare, time != time), []).append(row)
        for (what, words, unit), rows in listed.items():
            self.default(what, words, unit, "supplies.csv", self._mask(rows), PULSE_QUESTION)
            for name in ("dump_peak_v", "dump_time_s") if "pairs" in what else ("dump_time_s",):
                self._rests_on(name, self._mask(rows))
            self.questions.setdefault(PULSE_QUESTION, []).extend(map(int, rows))
        unknown = suppressor & own & np.isnan(high["peak_v"] + high["resistance_ohm"] + high["time_s"])
        if unknown.any():
            self.questions.setdefault(NO_PULSE, []).extend(np.flatnonzero(unknown).tolist())
        central = suppressor & ~np.isnan(suppressed)
        self.put("has_central", central * 1.0)
        self.put("central_clamp_v", np.where(central, suppressed, NAN))
        for name, values in low.items():
            self.put(f"dump_{name}", values, high[name])
        self.put("dump_rise_s", rise)

    def _odd_dump(self, row, peak, pulse):
        """A load dump below any that is printed for a machine that nothing holds down: said, once a machine."""
        frame, own = self.project.frames["supplies.csv"], self.machine_of[row]
        note = (f"{frame.label}, {frame.headers['load_dump_v']} of {own['node']}: {peak:g} V is below the "
                f"{pulse['least_peak_v']:g} V of a {pulse['system_v']:g} V machine that nothing holds down. If its own diodes "
                "do, write that voltage as load dump suppressed [V] instead.")  # fmt: skip
        if note not in self.project.notes:
            self.project.notes.append(note)

    def _stated_dump(self, row):
        return (float(self.columns[f"machine_load_dump_{name}"][row]) for name in ("v", "resistance_ohm", "time_s"))

    def _by_formula(self, row, suppressor):
        """Source resistance by rating and highest speed: peak and resistance both rise with the speed.

        A speed nobody states is taken at its usual low end, where the resistance is least and the current greatest.
        """
        from selector.physics.load_dump import source_resistance_ohm

        rated, speed = self.columns["machine_rated_current_a"][row], self.machine_of[row]["speed_range_rpm__high"]
        if rated != rated:
            return NAN
        assumed = ""
        if speed is None:
            usual = self.catalogue.rows("typicals.csv", what="speed", subject="alternator")
            if not usual:
                return NAN
            speed, assumed = float(usual[0]["low"]), " assumed"
            if suppressor[row]:
                self._rests_on("dump_resistance_ohm", self._mask([row]))
                self.questions.setdefault(usual[0]["question"], []).append(int(row))
        used_at = _used_at(self.columns["nominal_v"][row], self.columns["highest_v"][row])
        value = source_resistance_ohm(used_at, float(rated), float(speed))
        if suppressor[row]:
            what = f"load dump resistance by formula, {used_at:g} V, {rated:g} A, {speed:g} rpm{assumed}"
            self.default(what, round(value, 6),
                         "ohm", "supplies.csv", self._mask([row]),
                         self.settings.questions.get("load dump resistance", ""))  # fmt: skip
        return value

    def _short_pulses(self, suppressor):
        """The short pulses of road-vehicle wiring at this voltage: hardest peak, least resistance, longest."""
        columns = {
            "short_above_v": (SHORT, "greatest_peak_v"),
            "short_resistance_ohm": (SHORT, "least_source_resistance_ohm"),
            "short_time_s": (SHORT, "greatest_duration_s"),
            "short_rise_s": (SHORT, "least_rise_time_s"),
            "burst_above_v": (BURST, "greatest_peak_v"),
            "burst_resistance_ohm": (BURST, "least_source_resistance_ohm"),
            "negative_v": (NEGATIVE, "least_peak_v"),
            "negative_resistance_ohm": (NEGATIVE, "least_source_resistance_ohm"),
            "negative_time_s": (NEGATIVE, "greatest_duration_s"),
        }
        found = {name: np.full(self.count, NAN) for name in columns}
        has = np.zeros(self.count)
        for row in np.flatnonzero(suppressor):
            pulses = {test: self._pulse(row, test) for test in (SHORT, NEGATIVE, BURST)}
            if None in pulses.values():
                continue
            has[row] = 1.0
            for name, (test, column) in columns.items():
                found[name][row] = abs(or_nan(pulses[test][column]))
        self.put("has_short_pulses", has)
        for name, values in found.items():
            self.put(name, values)

    # -- what stands at the node -------------------------------------------------------------------------------------

    def _withstands(self, suppressor):
        """Weakest of what stands at a suppressor's node and at those joined to it, or a typical value if none is said."""
        typical = {}
        for row in self.catalogue.rows("typicals.csv", what="withstand"):
            if (row["subject"] or "").endswith("equipment, not stated"):
                typical[volts_named(row["subject"])] = typed(row["low"], row["unit"])
        weakest, assumed = np.full(self.count, NAN), {}
        for row in np.flatnonzero(suppressor & (self.a >= 0)):
            said = [*self._stated_withstands(self.a[row]), *self._rectifier_withstands(self.a[row])]
            silent = self._silent_loads(self.a[row])
            if said and not silent:
                weakest[row] = min(said)
                self._whose_withstand(row, weakest[row])
                continue
            nominal = self.columns["nominal_v"][row]
            value = of_class(typical, nominal) if nominal == nominal else None
            if value is not None:
                weakest[row] = min([*said, value])
                if value == weakest[row]:
                    what = f"withstand of {some(silent)}" if said else "withstand"
                    assumed.setdefault((what, value), []).append(int(row))
                self._whose_withstand(row, weakest[row], silent if value == weakest[row] else None)
            if value is None or value == weakest[row]:
                question = WITHSTAND_OF.format(some(silent)) if said else WITHSTAND_QUESTION
                self.questions.setdefault(question, []).append(int(row))
        for (what, value), rows in assumed.items():
            self.default(what, value, "V", "nodes.csv", self._mask(rows), WITHSTAND_QUESTION)
            self._rests_on("weakest_withstand_v", self._mask(rows))
        self.put("weakest_withstand_v", weakest)

    def _whose_withstand(self, row, value, silent=None):
        """Note whose withstand the least at a row's node is: of the nodes that state it, or assumed for silent loads."""
        if silent is not None:
            words = f"assumed for {some(silent)}" if silent else "assumed: nothing there states a withstand"
        else:
            named = [self.node_rows[other]["node"] for other in self._on_island(self.a[row])
                     if self.node_rows[other]["withstand_v"] == value]  # fmt: skip
            words = f"what {some(named)} stands" if named else "the rectifier's reverse voltage"
        self.limit_words.setdefault("weakest_withstand_v", {})[int(row)] = words

    def _on_island(self, node):
        island = self.network.island
        return [other for other in range(len(self.node_rows)) if island[other] == island[node]]

    def _stated_withstands(self, node):
        return [float(self.node_rows[other]["withstand_v"]) for other in self._on_island(node)
                if self.node_rows[other]["withstand_v"] is not None]  # fmt: skip

    def _silent_loads(self, node):
        """Names of the loads there that do not say what they stand; what others say does not speak for them.

        A bare winding is none of them: a relay's coil or a field takes a surge that kills electronics.
        """
        windings = {self.b[row] for row, purpose in enumerate(self.text("purpose")) if purpose == "field"}
        return [row["node"] for other in self._on_island(node) if other not in windings
                and (row := self.node_rows[other])["role"] == "load" and row["withstand_v"] is None
                and row["coil_inductance_h"] is None and row["coil_resistance_ohm"] is None]  # fmt: skip

    def _rectifier_withstands(self, node):
        """Reverse voltage of the user's own rectifiers there; one with an avalanche window clamps and is left out."""
        nodes, words = set(self._on_island(node)), self.text("rectifier")
        found = []
        for row in (row for output, rows in self.rectifier_rows.items() if output in nodes for row in rows):
            if words[row] is None:
                continue
            for own in self.catalogue.rows("rectifiers.csv"):
                if fold(own["rectifier"]) == fold(words[row]) and own["avalanche"] != "yes":
                    found.append(or_nan(own["reverse_voltage_v"]))
        return [value for value in found if value == value]

    def _leads(self, suppressor):
        length, high = self.number("length_m")
        length, high = self.fill(length, high, "suppressor lead length", suppressor)
        self.put("lead_length_m", np.where(suppressor, length, NAN), np.where(suppressor, high, NAN))
        for name, what in (
            ("lead_diameter_m", "suppressor lead diameter"),
            ("suppressor_mismatch", "suppressor mismatch"),
            ("suppressor_heated_k", "suppressor heated to"),
        ):
            self.put(name, np.where(suppressor, self.settings.number(what), NAN))
            self.default(what, shown(self.settings.number(what), self.settings.units[what]), self.settings.units[what],
                         self.settings.set_in[what], suppressor, self.settings.questions.get(what, ""))  # fmt: skip

    def _spares(self, suppressor):
        for code, what in (("u06", "suppressor energy spare"), ("u08", "junction temperature spare")):
            if what not in self.settings.stated and code not in self.settings.spare_by_code:
                unit = self.settings.units[what]
                self.default(what, shown(self.settings.number(what), unit), unit, "settings.csv", suppressor,
                             self.settings.questions.get(what, ""))  # fmt: skip

    # -- coils -------------------------------------------------------------------------------------------------------

    def _coils(self, freewheel):
        """The coil a diode lies across: of a node, or the field of the alternator; its current stands in for the row's."""
        inductance, resistance, current = (np.full(self.count, NAN) for _ in range(3))
        feed, by_amperes = np.full(self.count, NAN), np.full(self.count, NAN)
        by_current = np.zeros(self.count)
        stated = self.number("current_a")[1]
        guessed = {"field inductance": [], "field resistance": [], "field supply": []}
        for row in np.flatnonzero(freewheel):
            coil = self._coil_at(row)
            if stated[row] == 0:
                self.complain(row, "current_a", "a coil that carries no current needs no diode",
                              "Write the coil's current, or leave the cell empty to have it worked out.")  # fmt: skip
            if coil is not None:
                inductance[row], resistance[row] = coil
                feed[row] = volts = self.columns["highest_v"][row]
                current[row] = volts / resistance[row] if stated[row] != stated[row] else stated[row]
                if resistance[row] != resistance[row] and current[row] > 0:
                    resistance[row] = volts / current[row]
                    by_current[row] = 1.0
                for what, value in (("resistance", resistance[row]), ("inductance", inductance[row])):
                    if value != value:
                        asked = COIL_OF[what].format(self._coil_node(row)["node"])
                        self.questions.setdefault(asked, []).append(int(row))
            elif (machine := self.field_machine(row)) is not None:
                inductance[row], resistance[row], current[row], feed[row], by_amperes[row] = self._field(
                    machine, row, stated[row], guessed
                )
            else:
                self.complain(row, "from", "no coil stands at either end",
                              "Write coil inductance [H] and coil resistance [ohm] of the node, or an alternator's node.")  # fmt: skip
        for what, rows in guessed.items():
            question = next(
                (r["question"] for r in self.catalogue.rows("typicals.csv", what=what) if r["question"]), ""
            )
            for row, value, unit in rows:
                self.default(what, value, unit, "supplies.csv", self._mask([row]), question)
                for column in FIELD_COLUMNS[what]:
                    if column != "current_a" or stated[row] != stated[row]:
                        self._rests_on(column, self._mask([row]))
        self.put("coil_inductance_h", inductance)
        self.put("coil_resistance_ohm", resistance)
        fed_by_highest = [row for row, _, _ in guessed["field supply"]]
        fed_by_highest += [row for row in np.flatnonzero(freewheel) if self._coil_at(row) is not None]
        self.put("coil_feed_v", feed)
        self.put("coil_fed_by_highest", self._mask(fed_by_highest) * 1.0)
        self.put("coil_current_worked_out", (freewheel & np.isnan(stated)) * 1.0)
        self.put("coil_resistance_by_current", by_current)
        self.put("coil_resistance_by_a", by_amperes)
        high = self.high.get("current_a")
        self.columns["current_a"] = np.where(freewheel, current, self.columns["current_a"])
        if high is not None:
            self.high["current_a"] = np.where(freewheel, current, high)
        self._compared(freewheel)

    def _compared(self, freewheel):
        """How often a coil is let go, and the paths its release is compared with."""
        on, off = self.number("on_time_s")[0], self.number("off_time_s")[0]
        idle = np.flatnonzero(~freewheel & (~np.isnan(on) | ~np.isnan(off)))
        if len(idle):
            names = ", ".join(self.text("connection")[row] or f"line {self.frame.lines[row]}" for row in idle)
            self.project.not_used.append(f"connections.csv: on time and off time of {names}; give the rms as current")
        told = freewheel & (on + off > 0)
        self.put("release_period_s", np.where(told, on + off, NAN))
        self.put("has_release_period", told * 1.0)
        self.default("share of the time the coil's current runs in the diode", 100, "%", "connections.csv",
                     freewheel & ~told, "How often is the coil let go? Write on time and off time.")  # fmt: skip
        for name, what in (("release_zener_v", "release zener"), ("release_clamp_v", "release suppressor")):
            value = self.settings.number(what)
            self.put(name, np.where(freewheel, value, NAN))
            self.default(what, shown(value, "V"), "V", "settings.csv", freewheel, self.settings.questions.get(what, ""))

    def _coil_at(self, row):
        """Inductance and resistance of the coil at either end; None where no node there says of one."""
        own = self._coil_node(row)
        return None if own is None else (or_nan(own["coil_inductance_h"]), or_nan(own["coil_resistance_ohm"]))

    def _coil_node(self, row):
        nodes = (self.node_rows[node] for node in (self.a[row], self.b[row]) if node >= 0)
        return next((own for own in nodes if own["coil_inductance_h"] is not None
                     or own["coil_resistance_ohm"] is not None), None)  # fmt: skip

    def _field(self, machine, row, stated, guessed):
        """Inductance, resistance and current of an alternator's field, the voltage it is fed from, and the rated current
        its resistance was worked out by at that voltage where that is the row's highest; unknown where it was not."""
        inductance, resistance = or_nan(machine["field_inductance_h"]), or_nan(machine["field_resistance_ohm"])
        rated, supply = or_nan(machine["field_current_a"]), or_nan(machine["field_supply_v"])
        if supply != supply:
            supply = float(self.columns["highest_v"][row])
            guessed["field supply"].append((row, supply, "V"))
        if inductance != inductance:
            inductance, shown_value = self._rotor("field inductance", "high")
            guessed["field inductance"].append((row, shown_value, "H"))
        design, by_amperes = or_nan(machine["design_voltage_v"]), NAN
        if resistance != resistance and rated == rated:
            if design != design and machine["field_supply_v"] is None:
                by_amperes = rated
            resistance = (supply if design != design else design) / rated
        if resistance != resistance:
            resistance, shown_value = self._rotor("field resistance", "low")
            guessed["field resistance"].append((row, shown_value, "ohm"))
        current = stated if stated == stated else supply / resistance
        return inductance, resistance, current, supply, by_amperes

    # -- batteries ---------------------------------------------------------------------------------------------------

    def _disconnecting(self):
        """Nodes of batteries that may go off while an alternator charges them: as stated, else lithium ones."""
        supplies = self.network.supplies
        charged = {self.network.island[node] for node, own in supplies.items() if own["type"] == "alternator"}
        self.disconnecting = []
        for node, own in supplies.items():
            if (own["type"] or "battery") != "battery" or self.network.island[node] not in charged:
                continue
            lithium = self.chemistry(own["chemistry"]).startswith(LITHIUM)
            what = "lithium may disconnect" if lithium else "may disconnect"
            word = own["may_disconnect"] or self.settings.values[what]
            if word == "yes":
                self.disconnecting.append(node)
            if own["may_disconnect"] is None and lithium:
                self.default(what, word, "", "supplies.csv", (self.a == node) | (self.b == node),
                             self.settings.questions.get(what, ""))  # fmt: skip


def _used_at(nominal_v, highest_v):
    """Voltage a machine is used at: a system's charging voltage, which some write as its nominal one (28 V)."""
    if nominal_v != nominal_v:
        return highest_v
    return nominal_v * CHARGING_OVER_NOMINAL if nominal_v in NAMED_BY_BATTERY else nominal_v


def _pairs(pulse):
    """Peak and duration of the low pair and of the high one; the standard does not mix them."""
    return tuple(
        {
            "peak_v": pulse[f"{end}_peak_v"],
            "time_s": pulse[f"{end}_duration_s"],
        }
        for end in ("least", "greatest")
    )


def _pair_words(pulse, peak, time):
    """What of a pulse was assumed, in words: (what, value, unit)."""
    if not peak:
        return "load dump time", round(1000 * pulse["greatest_duration_s"], 9), "ms"
    words = []
    for end in ("least", "greatest"):
        text = f"{pulse[f'{end}_peak_v']:g} V"
        text += f" for {1000 * pulse[f'{end}_duration_s']:g} ms" if time else ""
        words.append(text)
    return f"load dump, {pulse['system_v']:g} V pairs", ", and ".join(words), ""
