"""What a row carries: stated, by power, or summed from what it feeds, peaks passed on."""

from itertools import combinations

import numpy as np

from selector.catalogue.arrays import floats
from selector.project.declarations import WITHOUT_LEAD
from selector.project.filling import Filling
from selector.project.values import NAN, YES, or_nan

MOST_EITHER = 10
"""Rows of batteries at one bar whose ways are tried out; of more, each counts both ways."""


def most_through(gives, takes, either, battery=False):
    """The greatest current that can enter a node and leave it again.

    gives, takes, either : currents of the rows that give, that take, and that do one of the two [A]; battery : whether one
    stands at the node itself, which gives and takes what is over

    A battery and a machine on loads; a machine that charges through the bar; nothing known that takes; an unknown row:

    >>> most_through([90.0], [150.0, 72.0], [222.0]), most_through([90.0], [20.0], [70.0])
    (222.0, 90.0)
    >>> most_through([30.0, 40.0], [], []), most_through([float("nan")], [20.0], [])
    (70.0, nan)
    """
    rows = (*gives, *takes, *either)
    if not rows or any(value != value for value in rows):
        return NAN
    into, out, swing = sum(gives), sum(takes), sum(either)
    if battery:
        return max(into, out) + swing
    if not either and not (gives and takes):
        return into + out
    if len(either) > MOST_EITHER:
        return min(into, out) + swing
    ways = [sum(some) for count in range(len(either) + 1) for some in combinations(either, count)]
    return max(*rows, *(min(into + some, out + swing - some) for some in ways))


def _has_length(kind):
    """Whether a kind of connection has a length to ask for: a wire of its own, or parts bought by it."""
    return any(role.family == "wires" or "length" in role.quantity for role in kind.roles)


class Currents(Filling):
    """Columns of current and peak."""

    def _currents(self):
        low, high = self.number("current_a")
        power_low, power_high = self.number("power_w")
        efficiency = floats(self.data["efficiency"])
        by_power = np.isnan(low) & ~np.isnan(power_low)
        missing = by_power & np.isnan(efficiency)
        self.default("efficiency", 100, "%", "connections.csv", missing, self.settings.questions.get("efficiency", ""))
        share = np.where(np.isnan(efficiency), self.settings.number("efficiency"), efficiency)
        low = np.where(by_power, power_low / (share * self.columns["lowest_v"]), low)
        high = np.where(by_power, power_high / (share * self.columns["lowest_v"]), high)
        self.ground_joint = np.zeros(self.count, bool)
        self.bus_rows = {int(row) for row in np.flatnonzero(self.is_kind("bus")) if self.a[row] >= 0}
        stated = self.stated = ~np.isnan(low)
        low, high = self._machine_currents(low, high)
        low, high = self._control_wires(low, high)
        if np.isnan(low).any():
            low, high = self._summed(low, high)
        self.put("current_a", low, high)
        peak_low, peak_high = self.number("peak_current_a")
        time_low, time_high = self.number("peak_time_s")
        peak_low, peak_high = peak_low.copy(), peak_high.copy()
        time_low, time_high = time_low.copy(), time_high.copy()
        passed = self._pass_peaks_on(stated, peak_high, time_high)
        peak_low[passed], time_low[passed] = peak_high[passed], time_high[passed]
        self.default("peak of what it feeds, passed on", "the greatest", "", "connections.csv", passed,
                     "What is the greatest current here, and for how long?")  # fmt: skip
        has_peak = ~np.isnan(peak_low)
        limit = self.settings.number("peak time limit")
        self.put("has_peak", has_peak * 1.0)
        self.put("has_short_peak", (has_peak & ~(time_low > limit)) * 1.0)
        self.put("peak_current_a", peak_low, peak_high)
        self.put("peak_time_s", time_low, time_high)
        self.put("peak_time_factor", np.full(self.count, self.settings.number("peak time multiple")))
        cranking = np.array([YES.get(value, NAN) for value in self.text("cranking")])
        missing = np.isnan(cranking)
        self.put("cranking", np.where(missing, self.settings.flag("cranking"), cranking))
        lead = ~self.is_kind(*WITHOUT_LEAD)
        long = lead & self.is_kind(*(name for name, kind in self.kinds.items() if _has_length(kind)))
        carries = lead | self.is_kind("shunt", "bus")
        questions = (("current", np.isnan(low) & carries), ("length", np.isnan(self.columns["length_m"]) & long),
                     ("peak time", has_peak & np.isnan(time_low)))  # fmt: skip
        for what, mask in questions:
            if mask.any():
                self.questions.setdefault(what, []).extend(np.flatnonzero(mask).tolist())

    def _summed(self, low, high):
        """Currents of rows that state none: what they feed, the source's rating, or what their return carries."""
        known = {}

        def current(row, values, above=()):
            if not np.isnan(values[row]):
                return values[row]
            key = (id(values), row)
            if key in known:
                return known[key]
            if row in above:
                return NAN
            known[key] = self._sum_of(row, lambda r: current(r, values, (*above, row)))
            return known[key]

        missing = np.flatnonzero(np.isnan(low) & self.network.cells)
        new_low = {row: current(row, low) for row in missing}
        new_high = {row: current(row, high) for row in missing}
        low, high = low.copy(), high.copy()
        for row in missing:
            low[row], high[row] = new_low[row], new_high[row]
        return low, high

    def _sum_of(self, row, current):
        """Current of a row from those of the rows it carries; the greater way where a battery gives and takes."""
        network, a = self.network, self.a[row]
        if row in self.bus_rows:
            return self._through(a, current)
        if self.is_return[row] and network.is_ground(a) and network.is_ground(self.b[row]):
            self.ground_joint[row] = True
            return NAN
        if self._is_limited(row):
            supply = self.supply_at(a)
            if supply["rated_current_a"] is None:
                self.questions.setdefault("rated current", []).append(row)
            return or_nan(supply["rated_current_a"])
        ways = [[current(r) for r in way] for way in self._carried(row) if way]
        sums = [sum(way) for way in ways]
        return max(sums) if sums and not any(value != value for value in sums) else NAN

    def _through(self, node, current):
        """The most a bar carries: what enters its node leaves it again, so it is the most that rows can do both ways.

        Rows of loads take, rows of machines give, and a row behind which a battery lies does one or the other: what loads
        draw beyond the machines comes from it, what machines give beyond the loads goes into it. No less than the greatest
        row, which passes the bar whole.
        """
        gives, takes, either = [], [], []
        for row in {*self.network.entering[node], *self.network.leaving[node]} - self.bus_rows:
            if self.is_return[row] == self.network.is_ground(node):
                {"gives": gives, "takes": takes}.get(self._way_of(row, node), either).append(row)
        gives, takes = ([current(row) for row in rows] for rows in (gives, takes))
        supply, battery = self.network.supply(node), self._is_battery(node)
        if supply is not None and not battery:  # it stands at the bar itself
            gives.append(or_nan(supply["rated_current_a"]))
        balance = max(sum(gives), sum(takes))  # a battery whose current nobody stated makes up for all of it
        swing = [current(row) if self.stated[row] else max(current(row), balance) for row in either]
        return most_through(gives, takes, swing, battery)

    def _way_of(self, row, node):
        """Whether a row gives to a node or takes from it; anything else where it may do both."""
        network = self.network
        other = self.b[row] if self.a[row] == node else self.a[row]
        if network.is_ground(node):
            if network.is_ground(other) or self._is_battery(other):
                return "either"
            return "takes" if network.supply(other) is not None else "gives"  # what a load draws comes back here
        beyond, queue = {node, other}, [other]
        while queue:
            at = queue.pop()
            if self._is_battery(at):
                return "either"
            more = [n for n in network.neighbours[at] if n not in beyond]
            beyond.update(more)
            queue += more
        return "gives" if row in network.entering[node] else "takes"

    def _carried(self, row):
        """Rows whose currents add up in this one, a list for each way current may flow."""
        network, (a, b) = self.network, (self.a[row], self.b[row])
        if row in self.bus_rows:
            ground = network.is_ground(a)
            return [
                [r for r in rows if self.is_return[r] == ground] for rows in (network.entering[a], network.leaving[a])
            ]
        if a < 0 or b < 0:
            return []

        def rows(candidates):
            return [r for r in candidates if r != row and not self.is_return[r]]

        if self.is_return[row]:
            if network.is_ground(a) and network.is_ground(b):
                return []
            node = b if network.is_ground(a) else a
            if network.supply(node) is None:
                return [rows(network.entering[node])]
            return [rows(network.leaving[node]), rows(network.entering[node])]
        onward = [r for r in rows(network.leaving[b]) if not self._ends_at_battery(r)]
        if self._is_battery(b):
            return [rows(network.entering[a])]
        if self._is_battery(a):  # what charges it comes back this way
            back = [r for r in rows(network.entering[b]) if not self._is_battery(self.a[r])]
            return [onward, back]
        return [onward]

    def _pass_peaks_on(self, stated, peak, time):
        """Peaks of rows that state neither current nor peak: the greatest rise among the rows they carry, on their own
        current. Returns which rows have one."""
        known = {}

        def rise(row, above=()):
            if row in known:
                return known[row]
            if row in above:
                return (0.0, None)
            if not np.isnan(peak[row]):
                found = (peak[row] - self.columns["current_a"][row], row)
            elif stated[row] or self._is_limited(row):
                found = (0.0, None)
            else:
                carried = [r for way in self._carried(row) for r in way]
                rises = [rise(r, (*above, row)) for r in carried]
                found = max((r for r in rises if r[1] is not None), key=lambda r: r[0], default=(0.0, None))
            known[row] = found
            return found

        passed = np.zeros(self.count, bool)
        for row in np.flatnonzero(~stated & np.isnan(peak)):
            more, origin = rise(row)
            if origin is not None and more > 0:
                peak[row], time[row] = self.columns["current_a"][row] + more, time[origin]
                passed[row] = True
        return passed

    def _is_limited(self, row):
        """Whether a row is the output of what gives its rating and no more; a peak comes from the battery then."""
        supply = None if self.is_return[row] else self.supply_at(self.a[row])
        return supply is not None and (supply["type"] or "battery") != "battery"

    def _ends_at_battery(self, row):
        supply = self.network.supply(self.b[row])
        return supply is not None and (supply["type"] or "battery") == "battery"
