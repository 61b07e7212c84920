"""Where a row ends: studs, what a terminal may reach, how warm it is."""

import numpy as np

from selector.project.declarations import WITHOUT_LEAD
from selector.project.filling import Filling
from selector.project.values import NAN, fold, or_nan, shown


class Terminals(Filling):
    """Columns of both ends."""

    def _ends(self):
        studs = {fold(row["stud"]): row["thread_diameter_m"] for row in self.catalogue.rows("studs.csv")}
        diameter, no_lug = [], []
        for i, row in enumerate(self.node_rows):
            value, none = self._stud(i, row["stud"], studs)
            diameter.append(value)
            no_lug.append(none)
        lead = ~self.is_kind(*WITHOUT_LEAD)
        self.no_lug = {"from": np.zeros(self.count, bool), "to": np.zeros(self.count, bool)}
        limits, what = self._terminal_limits()
        hottest = np.array([or_nan(r["hottest_k"]) for r in self.node_rows] + [NAN])
        hottest_high = np.array([or_nan(r["hottest_k__high"]) for r in self.node_rows] + [NAN])
        palm = np.array([or_nan(r["palm_space_m"]) for r in self.node_rows] + [NAN])
        diameter, no_lug = np.array([*diameter, NAN]), np.array([*no_lug, False])
        for end, nodes in (("from", self.a), ("to", self.b)):
            at = np.where(nodes < 0, len(self.node_rows), nodes)
            self.columns["stud_diameter_m", end] = diameter[at]
            self.no_lug[end] = no_lug[at]
            self.columns["terminal_limit_k", end] = limits[at]
            for name in sorted({w for w in what if w}):
                mask = np.array([what[node] == name if node < len(what) else False for node in at])
                mask &= lead | (self.is_kind("bus") & (end == "from"))
                self.default(f"{name}, {end} end", shown(self.settings.number(name), "degC"), "degC", "nodes.csv", mask,
                             self.settings.questions.get(name, ""))  # fmt: skip
            stated = ~np.isnan(hottest[at])
            ambient_high = self.high.get("ambient_k", self.columns["ambient_k"])
            low = np.where(stated, hottest[at], self.columns["ambient_k"])
            top = np.where(stated, hottest_high[at], ambient_high)
            low, top, stated = self._machine_terminals(end, nodes, low, top, stated)
            low, top, stated = self._joint_terminals(end, low, top, stated)
            self.columns["hottest_k", end] = low
            if not np.array_equal(low, top, equal_nan=True):
                self.high["hottest_k", end] = top
            self.columns["hottest_stated", end] = stated * 1.0
            self.columns["palm_space_m", end] = palm[at]
            if end == "from":
                self._bars(nodes, limits[at])
            self.columns["has_palm_space", end] = (~np.isnan(palm[at])) * 1.0

    def _bars(self, nodes, limits):
        """What shunts and bars are judged by: their own heating, a bar's limit, how many rows meet at its node."""
        self.put("shunt_self_heating_k", np.full(self.count, self.settings.number("shunt self-heating")))
        self.put("blade_limit_k", np.full(self.count, self.settings.number("shunt blade limit")))
        self.put("bar_limit_k", np.where(self.is_kind("bus"), limits, NAN))
        shunt = self.is_kind("shunt")
        for name, unit in (("shunt self-heating", "K"), ("shunt blade limit", "degC")):
            self.default(name, shown(self.settings.number(name), unit), unit, "settings.csv", shunt,
                         self.settings.questions.get(name, ""))  # fmt: skip
        meeting = [0 if n < 0 else len(self.network.entering[n]) + len(self.network.leaving[n]) for n in nodes]
        self.put("rows_at_node", meeting)

    def _stud(self, index, text, studs):
        from selector.errors import nearest, quoted

        if text is None:
            return NAN, False
        folded = fold(text)
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
            rectifier = node in self.rectifier_nodes
            leads_on = bool(self.network.leaving[node])
            name = (
                {
                    "battery": "battery post terminal limit",
                    "alternator": "alternator stud terminal limit",
                    "converter": "converter terminal limit",
                    "panel": "panel terminal limit",
                }.get(kind)
                or ("rectifier stud terminal limit" if rectifier else None)
                or {
                    "bus": "insulated bus terminal limit",
                    "load": "load terminal limit",
                    "ground": "ground terminal limit",
                    "device": "device terminal limit",
                }.get(row["role"], "insulated bus terminal limit" if leads_on else "load terminal limit")
            )
            limits.append(self.settings.number(name))
            what.append(name)
        return np.array([*limits, NAN]), what
