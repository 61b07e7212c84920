"""What binds a row: limits of drop and size, and the values of the rule set."""

import numpy as np

from selector.catalogue.arrays import floats
from selector.project.declarations import WITHOUT_DEVICE
from selector.project.filling import Filling
from selector.project.values import NAN, YES, or_nan

LOAD_NEEDS = ("full voltage", "may dim")
"""Needs of a load: its limit is that of the whole way from its supply."""


OF_THE_WAY = ("way_drop_v", "way_resistance_ohm")
"""Columns of the rest of a row's way, nothing while it stands alone; they follow from what other rows take."""


class Limits(Filling):
    """Columns of limits, and the constants of the rule set."""

    def _drops(self):
        share, volts = floats(self.data["drop_limit"]), floats(self.data["drop_limit_v"])
        nominal = self.columns["nominal_v"]
        limit = np.where(np.isnan(volts), share * nominal, volts)
        own_peak = "peak drop limit" in self.settings.stated
        peak_share = self.settings.number("peak drop limit")
        of_load = np.zeros(self.count, bool)
        self.field_leads = self.is_kind("control wire") & np.array(
            [p == "field" for p in self.text("purpose")], dtype=bool
        )
        voltages, at = np.unique(nominal, return_inverse=True)
        peak = np.array([peak_share * one if own_peak else self._drop_limit("peak", one) for one in voltages])[at]
        by_need, bare = {}, self.is_kind(*WITHOUT_DEVICE)
        needs = [self._need(row) for row in range(self.count)]
        for row in np.flatnonzero(np.isnan(limit) & ~bare):
            need, own = needs[row]
            of_load[row] = own is not None or need in LOAD_NEEDS
            if own is not None:
                limit[row] = own
                continue
            limit[row] = self._drop_limit(need, nominal[row])
            by_need.setdefault((need, limit[row]), []).append(row)
        for (need, value), rows in by_need.items():
            self.default(f"drop limit, {need}", value, "V", "nodes.csv, connections.csv or the rule set",
                         self._mask(rows), "How much may be lost on the way?")  # fmt: skip
        self.limit_sources["C07"], self.limit_sources["C08"] = self._drop_sources(needs)
        self.put("drop_limit_v", limit)
        self.put("has_load_limit", of_load * 1.0)
        for name in OF_THE_WAY:
            self.put(name, np.zeros(self.count))
        self.put("peak_drop_limit_v", peak)
        self.put("has_drop_limit", (~bare | ~np.isnan(limit)) * 1.0)

    def _need(self, row):
        a, b = self.network.ends[row]
        node = b if b >= 0 and not self.network.is_ground(b) else a
        load = self.node_rows[node] if node >= 0 else None
        is_load = load is not None and (
            load["role"] == "load"
            or (load["role"] is None and not self.network.leaving[node] and not self.network.supply(node))
        )
        if is_load:
            nominal = self.columns["nominal_v"][row]
            if load["drop_limit_v"] is not None:
                return None, load["drop_limit_v"]
            if load["drop_limit"] is not None:
                return None, load["drop_limit"] * nominal
            return load["drop_need"] or self.settings.values["drop need"], None
        if self.field_leads[row]:  # a regulator makes up for what its field lead drops
            return "feeder", None
        from_supply, to_supply = self.supply_at(a), self.network.supply(b) if b >= 0 else None
        if from_supply is not None and (from_supply["type"] or "battery") != "battery":
            return "charging", None
        if to_supply is not None and not self.network.is_ground(a):
            return "charging", None
        if from_supply is not None or (self.is_return[row] and to_supply is not None):
            return "battery to bus", None
        return "feeder", None

    def _drop_sources(self, needs):
        """Source key of each row's drop limit and of its peak's: the table row's, or the user's own statement."""
        share = self.data["drop_limit"].is_not_null().to_numpy() | self.data["drop_limit_v"].is_not_null().to_numpy()
        own_peak = "peak drop limit" in self.settings.stated
        drops, peaks = [], []
        for row, nominal in enumerate(self.columns["nominal_v"].tolist()):
            need, _ = needs[row]
            drops.append("own" if share[row] or need is None else self._drop_source(need, nominal))
            peaks.append("own" if own_peak else self._drop_source("peak", nominal))
        return drops, peaks

    def _drop_row(self, need, nominal):
        """The table row for a need at a nominal voltage, None where the rule set has none; looked up once each."""
        key = need, nominal
        if key not in self.drop_rows:
            rows = self.catalogue.rows("drop_limits.csv", table=self.rule["drop_table"] or "default", need=need)
            self.drop_rows[key] = next(
                (row for row in rows if (row["from_v"] or 0.0) <= nominal < (row["to_v"] or 1e9)), None
            )
        return self.drop_rows[key]

    def _drop_limit(self, need, nominal):
        row = self._drop_row(need, nominal)
        if row is None:
            return NAN
        return row["limit_v"] if row["limit_v"] is not None else row["limit"] * nominal

    def _drop_source(self, need, nominal):
        row = self._drop_row(need, nominal)
        return None if row is None else row["source"]

    def _smallest(self):
        table = self.rule["smallest_table"] or "default"
        self.limit_sources["C09"] = [
            next((row["source"] for row in self.catalogue.rows("smallest_sizes.csv", table=table)), None)
        ] * self.count
        sizes = {row["condition"]: row for row in self.catalogue.rows("smallest_sizes.csv", table=table)}
        single = sizes.get("single", {}).get("least_area_mm2") or 0.0
        self.put("smallest_single_mm2", np.full(self.count, single))
        self.put(
            "smallest_sheathed_mm2", np.full(self.count, sizes.get("sheathed", {}).get("least_area_mm2") or single)
        )
        self.put("smallest_short_mm2", np.full(self.count, sizes.get("short", {}).get("least_area_mm2") or single))
        self.put("smallest_short_m", np.full(self.count, sizes.get("short", {}).get("longest_m") or -1.0))

    def _constants(self):
        """Values of the rule set: the same for every place of one nominal voltage, tuples for its steps."""
        constants = {}
        rule = self.rule
        bunched = sorted(
            (r["to_count"], r["factor"]) for r in self.catalogue.rows("grouping_factors.csv", table="bunched")
        )
        constants["bunched_counts"] = tuple(count for count, _ in bunched)
        constants["bunched_factors"] = tuple(factor for _, factor in bunched)
        counts, factors, scale, start = _grouping(
            self.catalogue.rows("grouping_factors.csv", table=rule["grouping_table"] or "")
        )
        constants.update(rule_counts=counts, rule_factors=factors, rule_count_scale=scale, rule_grouping_from_v=start)
        constants["has_rule_table"] = 1.0 if rule["ampacity_table"] else 0.0
        for name in ("stranded_copper_only", "chassis_return_allowed", "two_pole_protection"):
            constants[name] = YES.get(rule[name], NAN)
        self._overcurrent()
        return constants

    def _overcurrent(self):
        names = {
            "rule_device_multiple": "multiple_of_table",
            "rule_balance_multiple": "multiple_of_balance",
            "rule_conventional_multiple": "conventional_multiple",
            "rule_distance_m": "distance_m",
            "rule_distance_sheathed_m": "distance_sheathed_m",
            "rule_distance_battery_m": "distance_at_battery_m",
            "rule_generator_multiple": "generator_multiple",
        }
        rows = self.catalogue.rows("overcurrent_rules.csv", table=self.rule["overcurrent_table"] or "general")
        nominal, at = np.unique(self.columns["nominal_v"], return_inverse=True)
        own = [next((r for r in rows if (r["from_v"] or 0.0) <= volts < (r["to_v"] or 1e9)), {}) for volts in nominal]
        for name, column in names.items():
            self.put(name, np.array([or_nan(row.get(column)) for row in own])[at])
        distance = self.columns["rule_distance_m"]
        limited = ~np.isnan(distance) & (self.columns["cranking"] == 0) & (self.columns["own_device"] == 1)
        self.put("distance_limited", limited * 1.0)
        at_battery = [
            self._is_battery(self.a[r] if self.device_end[r] == "from" else self.b[r]) for r in range(self.count)
        ]
        self.put("from_battery", np.array(at_battery, dtype=bool) * 1.0)


def _grouping(rows):
    """Steps of a rule set's grouping table at the voltage from which it applies; nothing printed means a factor of 1."""
    rows = [row for row in rows if row["factor"] < 1.0 or (row["from_v"] or 0) > 0]
    if not rows:
        return (1e9,), (1.0,), 1.0, 1e9
    start = max(row["from_v"] or 0.0 for row in rows)
    rows = [row for row in rows if (row["from_v"] or 0.0) == start]
    steps = sorted((row["to_count"] or 1e9, row["factor"]) for row in rows)
    first = min(row["from_count"] or 1.0 for row in rows)
    if first > 1:
        steps = [(first - 1, 1.0), *steps]
    scale = 0.5 if rows[0]["counted"] == "circuits" else 1.0
    return tuple(c for c, _ in steps), tuple(f for _, f in steps), scale, start - 1e-9
