"""From the user's rows to places: one column of numbers for each thing a place sees, every default written down."""

from dataclasses import dataclass, field
from typing import Any, ClassVar

import numpy as np

from selector.project.network import Network

NAN = float("nan")
YES = {"yes": 1.0, "no": 0.0}
END_COLUMNS = ("stud_diameter_m", "terminal_limit_k", "hottest_k", "palm_space_m", "has_palm_space")
ZONE_FLAGS = ("enclosed", "engine_space", "wet", "oil", "fuel_vapour", "sun", "vibrates")


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
class Default:
    """A value assumed: for which rows, what, its value and unit as shown, where to set it, what to ask."""

    what: str
    value: Any
    unit: str
    set_in: str
    rows: Any
    question: str = ""


@dataclass
class Places:
    """One entry a served row, in project order.

    columns : name or (name, end) -> array of shape (rows,), the low end where the user gave a range
    high : the same names -> the high end, only for those where it differs somewhere
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


class Builder:
    """Builds the places of one project; each method fills some columns and notes the defaults it used."""

    def __init__(self, project, catalogue, settings, rule, problems, kinds):
        self.project, self.catalogue, self.settings = project, catalogue, settings
        self.rule, self.problems = rule, problems
        self.frame = project.frames["connections.csv"]
        self.data = self.frame.data
        self.count = self.data.height
        self.columns, self.high, self.defaults = {}, {}, []
        self.kinds = kinds
        self.questions = {}
        self.limit_sources = {}

    # -- small tools ---------------------------------------------------------------------------------------------

    def text(self, name):
        return self.data[name].to_list()

    def number(self, name):
        low = self.data[name].fill_null(NAN).to_numpy().astype(float)
        high_name = f"{name}__high"
        high = self.data[high_name].fill_null(NAN).to_numpy().astype(float) if high_name in self.data.columns else low
        return low, high

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
        self.default(what, _shown(value, self.settings.units[what]), self.settings.units[what],
                     self.settings.set_in[what], missing, self.settings.questions.get(what, ""))  # fmt: skip
        return np.where(missing, value, low), np.where(missing, value, high)

    def complain(self, row, column, found, expected, near=""):
        header = self.frame.headers.get(column, column)
        self.problems.add(self.frame.label, self.frame.lines[row], header, found, expected, near)

    # -- names -----------------------------------------------------------------------------------------------------

    def resolve(self, column, known, what):
        """Row numbers of the keys a column names; -1 where empty; a problem where unknown."""
        from selector.errors import nearest, quoted

        found = np.full(self.count, -1)
        suggestions, spelled = {}, self.spelled(what)
        for row, text in enumerate(self.text(column)):
            if text is None:
                continue
            index = known.get(_fold(text))
            if index is None:
                if text not in suggestions:
                    suggestions[text] = nearest(text, spelled) if len(suggestions) < 50 else ""
                self.complain(row, column, f"{quoted(text)} is not a {what} of this project",
                              f"Write one that is, or add it to {what}s.csv.", suggestions[text])  # fmt: skip
            else:
                found[row] = index
        return found

    def spelled(self, what):
        """Names of a file as they are written there, for suggestions."""
        rows = (
            self.node_rows
            if what == "node"
            else self.system_rows
            if what == "system"
            else self.project.rows(f"{what}s.csv")
        )
        return [row[what] for row in rows if row[what]]

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
        self._ends()
        self._currents()
        self._supplies()
        self._devices()
        self._drops()
        self._smallest()
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
        )

    # -- nodes, systems, network -------------------------------------------------------------------------------------

    def _nodes(self):
        frame = self.project.frames["nodes.csv"]
        self.node_rows = [dict(row) for row in frame.data.iter_rows(named=True)]
        self.node_lines = list(frame.lines)
        self.node_frame = frame
        listed = bool(self.node_rows)
        self.nodes = {_fold(row["node"]): i for i, row in enumerate(self.node_rows) if row["node"]}
        if not listed:
            blank = dict.fromkeys(frame.data.columns)
            names = [name for pair in zip(self.text("from"), self.text("to"), strict=True) for name in pair if name]
            names += [row["node"] for row in self.project.rows("supplies.csv") if row["node"]]
            for name in names:
                if _fold(name) not in self.nodes:
                    self.nodes[_fold(name)] = len(self.node_rows)
                    self.node_rows.append({**blank, "node": name})
        self.a = self.resolve("from", self.nodes, "node")
        self.b = self.resolve("to", self.nodes, "node")
        for row, (kind, a, b) in enumerate(zip(self.kinds_folded(), self.text("from"), self.text("to"), strict=True)):
            if kind in ("cable", "control wire", "phase lead"):
                for column, value in (("from", a), ("to", b)):
                    if value is None:
                        self.complain(row, column, "the cell is empty", f"A {kind} runs from a node to a node.")

    def kinds_folded(self):
        return [" ".join((kind or "").split()).casefold() for kind in self.text("kind")]

    def _systems(self):
        frame = self.project.frames["systems.csv"]
        rows = [dict(row) for row in frame.data.iter_rows(named=True)]
        known = {_fold(row["system"]): i for i, row in enumerate(rows) if row["system"]}
        if not rows:
            blank = dict.fromkeys(frame.data.columns)
            for text in {t for t in [*self.text("system"), *(n["system"] for n in self.node_rows)] if t}:
                known[_fold(text)] = len(rows)
                rows.append({**blank, "system": text, "nominal_v": _volts(text)})
        self.system_rows = rows
        self._check_listed(self.node_frame, "system", known, "system")
        own = self.resolve("system", known, "system")
        of_node = [known.get(_fold(row["system"]), -1) if row["system"] else -1 for row in self.node_rows]
        for supply in self.project.rows("supplies.csv"):
            node = self.nodes.get(_fold(supply["node"] or ""), -1)
            if node >= 0 and of_node[node] < 0 and len(rows) == 1:
                of_node[node] = 0
        system = own.copy()
        for row in range(self.count):
            for node in (self.b[row], self.a[row]):
                if system[row] < 0 and node >= 0:
                    system[row] = of_node[node]
            if system[row] < 0 and len(rows) == 1:
                system[row] = 0
        grounds = {i for i, row in enumerate(self.node_rows) if row["role"] == "ground"}
        between = np.array(
            [system[r] < 0 and self.a[r] in grounds and self.b[r] in grounds for r in range(self.count)], dtype=bool
        )
        volts = [row["nominal_v"] or 0.0 for row in rows]
        if between.any() and volts:
            highest = max(range(len(volts)), key=volts.__getitem__)
            system[between] = highest
            self.default("system of a joint between grounds", rows[highest]["system"], "", "connections.csv", between,
                         "Which systems does it join? The highest voltage is taken.")  # fmt: skip
        nominal = np.array([_or_nan(r["nominal_v"]) for r in rows] + [NAN])
        highest = np.array([_or_nan(r["highest_v"]) for r in rows] + [NAN])
        lowest = np.array([_or_nan(r["lowest_v"]) for r in rows] + [NAN])
        at = np.where(system < 0, len(rows), system)
        self.put("nominal_v", nominal[at])
        self.put("highest_v", self._typical_voltage(highest[at], nominal[at], "highest charging voltage", "high"))
        self.put("lowest_v", self._typical_voltage(lowest[at], nominal[at], "lowest voltage in service", "low"))

    def _check_listed(self, frame, column, known, what):
        from selector.errors import nearest, quoted

        for line, text in zip(frame.lines, frame.data[column], strict=True):
            if text is not None and _fold(text) not in known:
                self.problems.add(frame.label, line, frame.headers.get(column, column),
                                  f"{quoted(text)} is not a {what} of this project",
                                  f"Write one that is, or add it to {what}s.csv.", nearest(text, self.spelled(what)))  # fmt: skip

    def _typical_voltage(self, values, nominal, what, end):
        """Where a system says nothing: the typical value at its unsafe end, by nominal voltage."""
        values = values.copy()
        typical = {}
        for row in self.catalogue.rows("typicals.csv", what=what):
            volts = _volts(row["subject"] or "")
            value = _typed(row[end], row["unit"])
            if volts is not None and value is not None:
                pick = max if end == "high" else min
                typical[volts] = pick(value, typical.get(volts, value))
        for volts in sorted(set(nominal[np.isnan(values) & ~np.isnan(nominal)])):
            mask = np.isnan(values) & (nominal == volts)
            if volts in typical:
                question = "What are the highest and lowest voltages of this system?"
                self.default(what, typical[volts], "V", "systems.csv", mask, question)
                values[mask] = typical[volts]
        return values

    def _network(self):
        frame = self.project.frames["supplies.csv"]
        supplies = {}
        for row in self.project.rows("supplies.csv"):
            node = self.nodes.get(_fold(row["node"] or ""))
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
        cells = [True] * self.count
        self.network = Network(self.nodes, list(zip(self.a, self.b, strict=True)), role, supplies, cells)
        self.is_return = np.array([self.network.is_return(row) for row in range(self.count)], dtype=bool)
        if supplies:
            self._check_fed(supplies)

    def _check_fed(self, supplies):
        from selector.errors import quoted

        fed = {self.network.island[node] for node in supplies}
        loose = (self.a < 0) | (self.b < 0)  # a row with an end that is not known may be what feeds the other
        fed |= {self.network.island[n] for row in np.flatnonzero(loose) for n in (self.a[row], self.b[row]) if n >= 0}
        seen = set()
        for row in range(self.count):
            for column, node in (("from", self.a[row]), ("to", self.b[row])):
                if node < 0 or self.network.is_ground(node) or self.network.island[node] in fed or node in seen:
                    continue
                seen.add(node)
                self.complain(row, column, f"no supply feeds {quoted(self.node_rows[node]['node'])}",
                              "Add the rows that lead from a supply to it, or its supply in supplies.csv.")  # fmt: skip

    # -- surroundings ------------------------------------------------------------------------------------------------

    def _zones(self):
        frame = self.project.frames["zones.csv"]
        data = frame.data
        known = {_fold(key): i for i, key in enumerate(data["zone"]) if key}
        zone = self.resolve("zone", known, "zone")
        count = data.height

        def of_zone(name):
            low = np.append(data[name].fill_null(NAN).to_numpy().astype(float), NAN)
            high = np.append(data[f"{name}__high"].fill_null(NAN).to_numpy().astype(float), NAN)
            at = np.where(zone < 0, count, zone)
            return low[at], high[at]

        def flag_of_zone(name):
            values = np.array([YES.get(v, NAN) for v in data[name]] + [NAN])
            return values[np.where(zone < 0, count, zone)]

        for name in ZONE_FLAGS:
            what = name.replace("_", " ")
            values = flag_of_zone(name)
            missing = np.isnan(values)
            self.default(
                what, self.settings.values[what], "", "zones.csv", missing, self.settings.questions.get(what, "")
            )
            self.put(name, np.where(missing, self.settings.flag(what), values))
        low, high = of_zone("ambient_k")
        engine = self.columns["engine_space"] == 1
        low, high = self.fill(low, high, "engine space ambient", engine)
        self.put("ambient_k", *self.fill(low, high, "ambient"))
        self.put("coldest_k", *self.fill(*of_zone("coldest_k"), "coldest"))
        self.put("air_speed_m_per_s", *self.fill(*of_zone("air_speed_m_per_s"), "air speed"))
        self.put("altitude_m", *self.fill(*of_zone("altitude_m"), "altitude"))

    def _lengths(self):
        length = self.number("length_m")
        self.put("length_m", *length)
        returns = self.text("return")
        control = np.array([kind == "control wire" for kind in self.kinds_folded()], dtype=bool)
        stated = np.array([value is not None for value in returns], dtype=bool)
        shape = []
        for row, value in enumerate(returns):
            if value is None:
                own = "control wire return" if control[row] else "cable return"
                value = "single" if self.is_return[row] else self.settings.values[own]
            shape.append(value)
        for what, mask in (("cable return", ~control), ("control wire return", control)):
            self.default(what, self.settings.values[what], "", "connections.csv", ~stated & mask & ~self.is_return,
                         self.settings.questions.get(what, ""))  # fmt: skip
        self.put("legs", [2.0 if value == "pair" else 1.0 for value in shape])
        chassis = np.array([value == "chassis" for value in shape])
        self.put("chassis", chassis * 1.0)
        resistance = self.settings.number("chassis resistance")
        if chassis.any() and np.isnan(resistance):
            self.questions.setdefault("chassis resistance", []).extend(np.flatnonzero(chassis).tolist())
        self.put("chassis_resistance_ohm", np.where(chassis, resistance, 0.0))
        grouped = self.number("grouped_with")
        low, high = self.fill(*grouped, "control wire grouped with", control)
        low, high = self.fill(low, high, "cable grouped with")
        self.put("grouped_with", low, high)
        laid = self.text("laid")
        apart = self.settings.values["laid when grouped with none"]
        words = [w or (apart if g == 0 else self.settings.values["laid"]) for w, g in zip(laid, high, strict=True)]
        empty = np.array([value is None for value in laid])
        self.default(
            "laid",
            self.settings.values["laid"],
            "",
            "connections.csv",
            empty & (high > 0),
            self.settings.questions["laid"],
        )
        self.default("laid", apart, "", "connections.csv", empty & (high == 0), self.settings.questions["laid"])
        factors = {
            row["laying"]: _or_nan(row["factor"]) for row in self.catalogue["laying_factors.csv"].iter_rows(named=True)
        }
        self.put("laying_factor", [factors.get(word, NAN) for word in words])
        self.put("touches_any", (high >= 1) * 1.0)
        self.put("touches_others", (high >= 2) * 1.0)
        self.put("neighbour_rating_k", np.full(self.count, self.settings.number("neighbour rating")))
        self.default("neighbour rating", _shown(self.settings.number("neighbour rating"), "degC"), "degC", "settings.csv",
                     high >= 2, self.settings.questions.get("neighbour rating", ""))  # fmt: skip
        self.put("cool_place", 1.0 - self.columns["engine_space"])
        self.put("hot_wire_limit_k", np.full(self.count, self.settings.number("warm wire notice")))

    # -- ends --------------------------------------------------------------------------------------------------------

    def _ends(self):
        studs = {
            _fold(key): size
            for key, size in self.catalogue["studs.csv"].select("stud", "thread_diameter_m").iter_rows()
        }
        diameter, no_lug = [], []
        for i, row in enumerate(self.node_rows):
            value, none = self._stud(i, row["stud"], studs)
            diameter.append(value)
            no_lug.append(none)
        self.no_lug = {"from": np.zeros(self.count, bool), "to": np.zeros(self.count, bool)}
        limits, what = self._terminal_limits()
        hottest = np.array([_or_nan(r["hottest_k"]) for r in self.node_rows] + [NAN])
        hottest_high = np.array([_or_nan(r["hottest_k__high"]) for r in self.node_rows] + [NAN])
        palm = np.array([_or_nan(r["palm_space_m"]) for r in self.node_rows] + [NAN])
        diameter, no_lug = np.array([*diameter, NAN]), np.array([*no_lug, False])
        for end, nodes in (("from", self.a), ("to", self.b)):
            at = np.where(nodes < 0, len(self.node_rows), nodes)
            self.columns["stud_diameter_m", end] = diameter[at]
            self.no_lug[end] = no_lug[at]
            self.columns["terminal_limit_k", end] = limits[at]
            for name in sorted({w for w in what if w}):
                mask = np.array([what[node] == name if node < len(what) else False for node in at])
                self.default(name, _shown(self.settings.number(name), "degC"), "degC", "nodes.csv", mask,
                             self.settings.questions.get(name, ""))  # fmt: skip
            stated = ~np.isnan(hottest[at])
            ambient_high = self.high.get("ambient_k", self.columns["ambient_k"])
            low = np.where(stated, hottest[at], self.columns["ambient_k"])
            top = np.where(stated, hottest_high[at], ambient_high)
            self.columns["hottest_k", end] = low
            if not np.array_equal(low, top, equal_nan=True):
                self.high["hottest_k", end] = top
            self.columns["hottest_stated", end] = stated * 1.0
            self.columns["palm_space_m", end] = palm[at]
            self.columns["has_palm_space", end] = (~np.isnan(palm[at])) * 1.0

    def _stud(self, index, text, studs):
        from selector.errors import nearest, quoted

        if text is None:
            return NAN, False
        folded = _fold(text)
        if folded in ("none", "no"):
            return NAN, True
        plain = folded.removesuffix("in").removesuffix('"').strip()
        for name in (folded, plain, folded.replace(" ", "")):
            if name in studs:
                return studs[name], False
        if index < len(self.node_lines):
            names = self.catalogue["studs.csv"]["stud"].to_list()
            self.problems.add(self.node_frame.label, self.node_lines[index], self.node_frame.headers.get("stud", "stud"),
                              f"{quoted(text)} is not a stud of studs.csv", f"Known are {', '.join(names)}, or none.",
                              nearest(text, names))  # fmt: skip
        return NAN, False

    def _terminal_limits(self):
        """Limit of each node's terminal and, where it is a default, which."""
        limits, what = [], []
        for node, row in enumerate(self.node_rows):
            if row["terminal_limit_k"] is not None:
                limits.append(row["terminal_limit_k"])
                what.append(None)
                continue
            supply = self.network.supply(node)
            kind = (supply["type"] or "battery") if supply else None
            leads_on = bool(self.network.leaving[node])
            name = {
                "battery": "battery post terminal limit",
                "alternator": "alternator stud terminal limit",
                "converter": "converter terminal limit",
                "panel": "panel terminal limit",
            }.get(kind) or {
                "bus": "insulated bus terminal limit",
                "load": "load terminal limit",
                "ground": "ground terminal limit",
                "device": "device terminal limit",
            }.get(row["role"], "insulated bus terminal limit" if leads_on else "load terminal limit")
            limits.append(self.settings.number(name))
            what.append(name)
        return np.array([*limits, NAN]), what

    # -- currents ----------------------------------------------------------------------------------------------------

    def _currents(self):
        low, high = self.number("current_a")
        power_low, power_high = self.number("power_w")
        efficiency = self.data["efficiency"].fill_null(NAN).to_numpy().astype(float)
        by_power = np.isnan(low) & ~np.isnan(power_low)
        missing = by_power & np.isnan(efficiency)
        self.default("efficiency", 100, "%", "connections.csv", missing, self.settings.questions.get("efficiency", ""))
        share = np.where(np.isnan(efficiency), self.settings.number("efficiency"), efficiency)
        low = np.where(by_power, power_low / (share * self.columns["lowest_v"]), low)
        high = np.where(by_power, power_high / (share * self.columns["lowest_v"]), high)
        self.ground_joint = np.zeros(self.count, bool)
        stated = ~np.isnan(low)
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
        questions = (("current", np.isnan(low)), ("length", np.isnan(self.columns["length_m"])),
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

        missing = np.flatnonzero(np.isnan(low))
        new_low = {row: current(row, low) for row in missing}
        new_high = {row: current(row, high) for row in missing}
        low, high = low.copy(), high.copy()
        for row in missing:
            low[row], high[row] = new_low[row], new_high[row]
        return low, high

    def _sum_of(self, row, current):
        """Current of a row from those of the rows it carries; the greater way where a battery gives and takes."""
        network, a = self.network, self.a[row]
        if self.is_return[row] and network.is_ground(a) and network.is_ground(self.b[row]):
            self.ground_joint[row] = True
            return NAN
        supply = network.supply(a) if a >= 0 else None
        if not self.is_return[row] and supply is not None and (supply["type"] or "battery") != "battery":
            if supply["rated_current_a"] is None:
                self.questions.setdefault("rated current", []).append(row)
            return _or_nan(supply["rated_current_a"])
        ways = [[current(r) for r in way] for way in self._carried(row) if way]
        sums = [sum(way) for way in ways]
        return max(sums) if sums and not any(value != value for value in sums) else NAN

    def _carried(self, row):
        """Rows whose currents add up in this one, a list for each way current may flow."""
        network, (a, b) = self.network, (self.a[row], self.b[row])
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
            elif stated[row]:
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

    def _ends_at_battery(self, row):
        supply = self.network.supply(self.b[row])
        return supply is not None and (supply["type"] or "battery") == "battery"

    # -- supplies and devices ----------------------------------------------------------------------------------------

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
            self.default("short-circuit current of the supply", value, "A", "supplies.csv", nothing,
                         "Which battery feeds it, and what does its sheet give as short-circuit current?")  # fmt: skip
        self.put("short_circuit_a", high)
        self.put("least_short_circuit_a", low)
        unknown = np.isnan(high)
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
        return self.CHEMISTRIES.get(_fold(text or ""), _fold(text or ""))

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
        node = self.nodes.get(_fold(supply["node"]), -1)
        for row in range(self.count):
            if node in (self.a[row], self.b[row]) and not np.isnan(self.columns["nominal_v"][row]):
                return self.columns["nominal_v"][row]
        return None

    def _supply_default(self, supply, value, question, what="short-circuit current"):
        node = self.nodes[_fold(supply["node"])]
        island = self.network.island[node]
        mask = np.array([any(n >= 0 and not self.network.is_ground(n) and self.network.island[n] == island
                             for n in (self.a[r], self.b[r])) for r in range(self.count)])  # fmt: skip
        unit = "" if what == "type" else "A"
        self.default(f"{what} of {supply['node']}", value, unit, "supplies.csv", mask, question or "")

    def _devices(self):
        at = self.text("protection_at")
        by = self.text("protected_by")
        names = {_fold(name): row for row, name in enumerate(self.text("connection")) if name}
        served_by = self.served_by = self.resolve("protected_by", names, "connection")
        said = [None if value is None else _fold(value) for value in self.text("protection")]
        usual = self.settings.values["protection at"]
        devices, at_end, assumed = np.zeros(self.count), [None] * self.count, np.zeros(self.count, bool)
        for row in range(self.count):
            if by[row] is not None or said[row] in ("none", "-", "no"):
                continue
            if self.is_return[row] and said[row] is None:
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
        self.upstream = [None if own[row] else self._upstream(row, served_by[row], own) for row in range(self.count)]
        protected = own | np.array([value is not None and len(value) > 0 for value in self.upstream], dtype=bool)
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
            np.isnan(sheathed),
            self.settings.questions.get("sheathed", ""),
        )
        self.put("sheathed", np.where(np.isnan(sheathed), self.settings.flag("sheathed"), sheathed))
        self._machines(own)
        resistance = self.settings.number("fuse resistance")
        self.put("unknown_fuse_resistance_ohm", np.full(self.count, resistance))
        self.default(
            "fuse resistance",
            _shown(resistance, "mohm"),
            "mohm",
            "settings.csv",
            own,
            "What is the device's cold resistance?",
        )
        self.put("fuse_self_heating_k", np.full(self.count, self.settings.number("fuse self-heating")))
        self.put("holder_limit_k", np.full(self.count, self.settings.number("fuse or breaker holder terminal limit")))

    def _end_nearer_battery(self, row):
        a, b = self.a[row], self.b[row]
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
            supply = self.network.supply(self.a[row])
            if supply is not None and supply["type"] == "alternator":
                factor[row] = self.settings.number("charging device multiple")
                machine[row] = _or_nan(supply["rated_current_a"])
                limited[row] = supply["self_limiting"] == "no"
            elif self.b[row] >= 0 and self.node_rows[self.b[row]]["load_type"] == "motor":
                factor[row] = 1.0 + self.settings.number("motor margin")
        rated = np.where(np.isnan(machine), 0.0, machine)
        self.put("load_factor", factor)
        self.put("machine_rating_a", rated)
        self.put("limited_machine", (limited & own) * 1.0)
        usual = own & (factor == 1.0 + self.settings.number("load margin"))
        self.default(
            "load margin",
            _shown(self.settings.number("load margin"), "%"),
            "%",
            "settings.csv",
            usual,
            self.settings.questions.get("load margin", ""),
        )

    # -- limits of drop and size -------------------------------------------------------------------------------------

    def _drops(self):
        share = self.data["drop_limit"].fill_null(NAN).to_numpy().astype(float)
        volts = self.data["drop_limit_v"].fill_null(NAN).to_numpy().astype(float)
        nominal = self.columns["nominal_v"]
        limit = np.where(np.isnan(volts), share * nominal, volts)
        peak = np.full(self.count, NAN)
        cache = {}
        by_need = {}
        for row in range(self.count):
            key = (nominal[row], "peak")
            if key not in cache:
                own = "peak drop limit" in self.settings.stated
                share = self.settings.number("peak drop limit")
                cache[key] = share * nominal[row] if own else self._drop_limit("peak", nominal[row])
            peak[row] = cache[key]
            if not np.isnan(limit[row]):
                continue
            need, own = self._need(row)
            if own is not None:
                limit[row] = own
                continue
            key = (nominal[row], need)
            if key not in cache:
                cache[key] = self._drop_limit(need, nominal[row])
            limit[row] = cache[key]
            by_need.setdefault((need, cache[key]), []).append(row)
        for (need, value), rows in by_need.items():
            mask = np.zeros(self.count, bool)
            mask[rows] = True
            self.default(f"drop limit, {need}", value, "V", "nodes.csv, connections.csv or the rule set", mask,
                         "How much may be lost on the way?")  # fmt: skip
        self.limit_sources["C07"], self.limit_sources["C08"] = self._drop_sources()
        self.put("drop_limit_v", limit)
        self.put("peak_drop_limit_v", peak)
        self.put("has_drop_limit", np.ones(self.count))

    def _need(self, row):
        a, b = self.a[row], self.b[row]
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
        from_supply, to_supply = self.network.supply(a) if a >= 0 else None, self.network.supply(b) if b >= 0 else None
        if from_supply is not None and (from_supply["type"] or "battery") != "battery":
            return "charging", None
        if to_supply is not None and not self.network.is_ground(a):
            return "charging", None
        if from_supply is not None or (self.is_return[row] and to_supply is not None):
            return "battery to bus", None
        return "feeder", None

    def _drop_sources(self):
        """Source key of each row's drop limit and of its peak's: the table row's, or the user's own statement."""
        share = self.data["drop_limit"].is_not_null().to_numpy() | self.data["drop_limit_v"].is_not_null().to_numpy()
        drops, peaks = [], []
        for row in range(self.count):
            need, _ = self._need(row)
            drops.append("own" if share[row] or need is None else self._drop_row(need, row).get("source"))
            own = "peak drop limit" in self.settings.stated
            peaks.append("own" if own else self._drop_row("peak", row).get("source"))
        return drops, peaks

    def _drop_row(self, need, row):
        nominal = self.columns["nominal_v"][row]
        for one in self.catalogue.rows("drop_limits.csv", table=self.rule["drop_table"] or "default", need=need):
            if (one["from_v"] or 0.0) <= nominal < (one["to_v"] or 1e9):
                return one
        return {}

    def _drop_limit(self, need, nominal):
        for row in self.catalogue.rows("drop_limits.csv", table=self.rule["drop_table"] or "default", need=need):
            low, high = row["from_v"] or 0.0, row["to_v"] or 1e9
            if low <= nominal < high:
                return row["limit_v"] if row["limit_v"] is not None else row["limit"] * nominal
        return NAN

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

    # -- the rule set ------------------------------------------------------------------------------------------------

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
        columns = {name: np.full(self.count, NAN) for name in names}
        rows = self.catalogue.rows("overcurrent_rules.csv", table=self.rule["overcurrent_table"] or "general")
        for i, nominal in enumerate(self.columns["nominal_v"]):
            row = next((r for r in rows if (r["from_v"] or 0.0) <= nominal < (r["to_v"] or 1e9)), None)
            if row is not None:
                for name, column in names.items():
                    columns[name][i] = _or_nan(row.get(column))
        for name, values in columns.items():
            self.put(name, values)
        limited = (
            ~np.isnan(columns["rule_distance_m"]) & (self.columns["cranking"] == 0) & (self.columns["own_device"] == 1)
        )
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


def _fold(text):
    return " ".join(text.split()).casefold()


def _or_nan(value):
    return NAN if value is None else float(value)


def _shown(value, unit):
    from selector.units import find_unit

    if not unit or value != value:
        return value
    return round(find_unit(unit).from_inner(value), 9)


def _typed(text, unit):
    from selector.errors import UnitError
    from selector.units import parse_quantity

    try:
        return None if text is None else parse_quantity(text, unit or "")[0]
    except UnitError:
        return None


def _volts(text):
    """The voltage named in words such as ``12 V house``; None where there is none."""
    import re

    found = re.search(r"(\d+(?:\.\d+)?)\s*V\b", text)
    return float(found[1]) if found else None
