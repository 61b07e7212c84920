"""What protects a row: where its device stands, or whose device stands before it."""

import numpy as np

from selector.project.declarations import WITHOUT_DEVICE, WITHOUT_LEAD
from selector.project.filling import Filling
from selector.project.values import NAN, YES, fold, or_nan, shown


class Devices(Filling):
    """Columns of devices and machines."""

    def _devices(self):
        at = self.text("protection_at")
        names = {fold(name): row for row, name in enumerate(self.text("connection")) if name}
        served_by = self.served_by = self.resolve("protected_by", names, "connection")
        usual = self.settings.values["protection at"]
        bare, has_own = self._without_device(), self.has_own_device()
        self.put("asks_device", ~bare * 1.0)
        self.default("cranking protection", "none", "", "connections.csv", self._cranks_bare(),
                     self.settings.questions.get("cranking protection", ""))  # fmt: skip
        devices, at_end, assumed = np.zeros(self.count), [None] * self.count, np.zeros(self.count, bool)
        for row in range(self.count):
            if not has_own[row]:
                continue
            place = at[row]
            if place is None:
                assumed[row] = True
                place = usual if usual in ("from", "to", "both") else self._end_nearer_battery(row)
            at_end[row] = place
            devices[row] = 2.0 if place == "both" else 1.0
        self.default("protection at", usual, "", "connections.csv", assumed,
                     self.settings.questions.get("protection at", ""))  # fmt: skip
        self.device_end = at_end
        self.put("devices", devices)
        own = devices > 0
        self.upstream = [
            None if own[row] or bare[row] else self._upstream(row, served_by[row], own) for row in range(self.count)
        ]
        protected = own | np.array([value is not None and len(value) > 0 for value in self.upstream], dtype=bool)
        self.put("exempt_from_device", (self.columns["cranking"] == 1) | self._returns_of_cranking(own))
        self.put("own_device", own * 1.0)
        self.put("protected", protected * 1.0)
        self.put("is_return", self.is_return * 1.0)
        distance, _ = self.number("device_distance_m")
        distance, _ = self.fill(distance, distance, "device distance", own)
        self.put("device_distance_m", distance)
        sheathed = np.array([YES.get(value, NAN) for value in self.text("sheathed")])
        self.default(
            "sheathed",
            self.settings.values["sheathed"],
            "",
            "connections.csv",
            np.isnan(sheathed) & ~self.is_kind(*WITHOUT_LEAD),
            self.settings.questions.get("sheathed", ""),
        )
        self.put("sheathed", np.where(np.isnan(sheathed), self.settings.flag("sheathed"), sheathed))
        self._machines(own)
        self._classes(own & np.array([text is None for text in self.text("protection")], dtype=bool))
        self.put("device_sized_by_load", (own & (self.columns["is_sense"] == 0)) * 1.0)
        for name, what in (("large_device_multiple", "large device multiple"), ("small_device_a", "small device")):
            self.put(name, np.full(self.count, self.settings.number(what)))
        resistance = self.settings.number("fuse resistance")
        self.put("unknown_fuse_resistance_ohm", np.full(self.count, resistance))
        self.default(
            "fuse resistance",
            shown(resistance, "mohm"),
            "mohm",
            "settings.csv",
            own,
            "What is the device's cold resistance?",
        )
        self.put("fuse_self_heating_k", np.full(self.count, self.settings.number("fuse self-heating")))
        self.put("holder_limit_k", np.full(self.count, self.settings.number("fuse or breaker holder terminal limit")))

    def has_own_device(self):
        """Mask of the rows that have a fuse or breaker of their own, picked or not."""
        said = [None if value is None else fold(value) for value in self.text("protection")]
        return np.array(
            [
                not bare and by is None and word not in ("none", "-", "no") and (word is not None or not back)
                for bare, by, word, back in zip(
                    self._without_device() | self._cranks_bare(), self.text("protected_by"), said, self.is_return,
                    strict=True,
                )
            ],
            dtype=bool,
        )  # fmt: skip

    def _without_device(self):
        """Mask of the rows whose kind has no place for a device."""
        without = {name for name, kind in self.kinds.items() if all(r.role != "protection" for r in kind.roles)}
        return self.is_kind(*WITHOUT_DEVICE, *without)

    def _cranks_bare(self):
        """Mask of the cranking leads that get no device because nobody asks for one.

        Source: 33 CFR 183.455(e) exempts the conductors of cranking motors, ABYC E-11 asks for no device there.
        """
        if self.settings.values["cranking protection"] != "none":
            return np.zeros(self.count, bool)
        asks = (self.text(name) for name in ("protection", "protection_at", "protected_by"))
        silent = np.array([not any(words) for words in zip(*asks, strict=True)], dtype=bool)
        cranking = np.array([YES.get(value, self.settings.flag("cranking")) for value in self.text("cranking")])
        return silent & ~self._without_device() & ~self.is_return & (cranking == 1)

    def _returns_of_cranking(self, own):
        """Mask of the returns of which what has no device on its way is cranking leads: they are of the exempt circuit."""
        network, found = self.network, np.zeros(self.count, bool)
        for row in np.flatnonzero(self.is_return):
            nodes = [n for n in (self.a[row], self.b[row]) if n >= 0 and not network.is_ground(n)]
            feeding = [r for n in nodes for r in (*network.entering[n], *network.leaving[n]) if not self.is_return[r]]
            bare = [r for r in feeding if not own[r]]
            found[row] = bool(bare) and all(self.columns["cranking"][r] == 1 for r in bare)
        return found

    def _classes(self, picked):
        """Note by what order of classes a device is picked, and how far it reaches."""
        if not self.settings.choices.get("fuse classes"):
            self.default("fuse classes", self.settings.values["fuse classes"], "", "settings.csv", picked,
                         self.settings.questions.get("fuse classes", ""))  # fmt: skip
        if "near rating" not in self.settings.stated:
            self.default("near rating", self.settings.number("near rating"), "", "settings.csv", picked,
                         "How many times the least rating that complies may a class come before another?")  # fmt: skip

    def _end_nearer_battery(self, row):
        a, b = self.network.ends[row]
        if a < 0 or b < 0:
            return "from"
        if self._is_battery(a) and self._is_battery(b):
            return "both"
        distance = self.network.to_battery
        if distance[a] is None or distance[b] is None:
            return "from"
        return "to" if distance[b] < distance[a] else "from"

    def _is_battery(self, node):
        supply = self.network.supply(node)
        return supply is not None and (supply["type"] or "battery") == "battery"

    def _upstream(self, row, named, own):
        """Rows whose devices stand between this row and each supply: the first on every way, or the one named."""
        if named >= 0:
            return [int(named)]
        network = self.network
        starts = [n for n in (self.a[row], self.b[row]) if n >= 0 and not network.is_ground(n)]
        if not starts:
            return [r for r in range(self.count) if own[r]]
        if self.is_return[row]:
            node = starts[0]
            feeding = [
                r for r in (*network.entering[node], *network.leaving[node]) if r != row and not self.is_return[r]
            ]
            found = []
            for other in feeding:
                above = [other] if own[other] else self._towards_supply(self._upper(other), own, {other, row})
                if above is None:  # one of them has no device: this return may carry its fault
                    return None
                found += above
            return sorted(set(found)) or None
        return self._towards_supply(self._upper(row), own, {row})

    def _upper(self, row):
        distance = self.network.to_battery
        a, b = self.a[row], self.b[row]
        if distance[a] is not None and distance[b] is not None and distance[b] < distance[a]:
            return b
        return a

    def _towards_supply(self, node, own, seen):
        """First own devices met going upstream from a node; None where a supply is met without one."""
        network = self.network
        if network.supply(node) is not None:
            return None
        found, unprotected = [], False
        for row in network.entering[node]:
            if row in seen or self.is_return[row]:
                continue
            seen.add(row)
            if own[row]:
                found.append(row)
                continue
            above = self._towards_supply(self.a[row], own, seen)
            if above is None:
                unprotected = True
            else:
                found += above
        return None if unprotected or not found else sorted(set(found))

    def _machines(self, own):
        factor = np.full(self.count, 1.0 + self.settings.number("load margin"))
        machine, limited = np.full(self.count, NAN), np.zeros(self.count, bool)
        for row in range(self.count):
            start, end = self.network.ends[row]
            supply = self.supply_at(start)
            if supply is not None and supply["type"] == "alternator":
                factor[row] = self.settings.number("charging device multiple")
                machine[row] = or_nan(supply["rated_current_a"])
                limited[row] = supply["self_limiting"] == "no"
            elif end >= 0 and self.node_rows[end]["load_type"] == "motor":
                factor[row] = 1.0 + self.settings.number("motor margin")
        rated = np.where(np.isnan(machine), 0.0, machine)
        self.put("load_factor", factor)
        self.put("machine_rating_a", rated)
        self.put("limited_machine", (limited & own) * 1.0)
        usual = own & (factor == 1.0 + self.settings.number("load margin"))
        self.default(
            "load margin",
            shown(self.settings.number("load margin"), "%"),
            "%",
            "settings.csv",
            usual,
            self.settings.questions.get("load margin", ""),
        )
