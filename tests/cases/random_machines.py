"""Seeded random alternators with all that hangs on them: leads, joints, bridges, suppressors and coils, oddly filled in.

Each alternator is an island of its own with a battery, so that rows of different machines have nothing to do with one
another.
"""

from tests.cases import random_projects

KINDS = ("phase lead", "joint", "rectifier", "suppressor", "freewheel", "field lead")
"""Kinds of rows; a field lead is a control wire, and needs the suppressor's regulator."""
HEADERS = {
    **random_projects.HEADERS,
    "connections.csv": (*random_projects.HEADERS["connections.csv"], "joins", "splice", "sleeve", "rectifier",
                        "heatsink", "suppressor", "diode", "drop limit [V]", "purpose", "on time [s]",
                        "off time [s]"),
    "nodes.csv": (*random_projects.HEADERS["nodes.csv"], "withstand [V]", "coil inductance [H]",
                  "coil resistance [ohm]", "load type"),
    "supplies.csv": (*random_projects.HEADERS["supplies.csv"], "chemistry", "may disconnect", "highest [V]", "winding",
                     "source model", "poles", "speed range [rpm]", "load dump [V]", "load dump resistance [ohm]",
                     "load dump time [ms]", "load dump suppressed [V]", "field current [A]", "field inductance [H]", "field resistance [ohm]",
                     "field supply [V]", "design voltage [V]", "phases"),
}  # fmt: skip


def kind_of(row):
    """The kind of a row as it is counted here."""
    return "field lead" if row["purpose"] == "field" else row["kind"]


DUMPS = {"12 V": (40, 101), "24 V": (58, 202), "48 V": (70, 300)}


class Maker(random_projects.Maker):
    """Makes projects of machines with about ``count`` rows of the kinds asked for."""

    def __init__(self, random, tables, kinds=KINDS, odd=0.12):
        super().__init__(random, tables, odd)
        self.kinds = kinds

    def project(self, rule, count):
        self.project_ = {name: [] for name in HEADERS}
        self._settings(rule)
        if self.seldom(0.2):
            self.project_["settings.csv"].append(
                {"setting": "junction temperature spare", "value": self.pick("0", "10", "40")}
            )
        if self.seldom(0.2):
            self.project_["settings.csv"].append(
                {"setting": "suppressor energy spare", "value": self.pick("0", "10", "50")}
            )
        self._systems()
        self._zones()
        self.limit_header = "drop limit [%]"
        while sum(kind_of(row) in self.kinds for row in self.project_["connections.csv"]) < count:
            self._machine(len(self.project_["supplies.csv"]) // 2)
        return self.project_

    def header(self, name):
        return HEADERS[name]

    def maybe(self, chance, text):
        return text if self.seldom(chance) else ""

    def _zone(self):
        return "" if self.seldom(0.05) else self.random.choice(self.project_["zones.csv"])["zone"]

    def _blank(self, name, kind, start, end, system):
        row = dict.fromkeys(HEADERS["connections.csv"], "")
        row.update({"connection": name, "kind": kind, "from": start, "to": end, "system": system, "zone": self._zone()})
        self.project_["connections.csv"].append(row)
        return row

    def _point(self, name, role, system, amps):
        row = {"node": name, "system": system, "role": role, "stud": self._stud(amps)}
        self.project_["nodes.csv"].append(row)
        return row

    def _machine(self, i):
        system = self.pick("12 V", "24 V", "24 V", "48 V")
        amps = float(self.number(15, 320, 3, log=True))
        alternator = self._point(f"alternator {i}", "supply", system, amps)
        bridge = self._point(f"bridge {i}", "device", system, amps)
        self._point(f"post {i}", self.pick("bus", "device"), system, amps)
        self._point(f"battery {i}", "supply", system, amps)
        self._point(f"ground {i}", "ground", self.pick(system, system, "12 V", "24 V", ""), amps)
        if self.seldom(0.7):
            alternator["hottest [degC]"] = self.span(self.number(60, 180), 0.1)
        if self.seldom(0.7):
            bridge["hottest [degC]"] = self.span(self.number(40, 140), 0.1)
        for node in (alternator, bridge):
            if self.seldom(0.15):
                node["terminal limit [degC]"] = self.pick("105", "130", "175")
        self.supply = self._alternator(i, system, amps)
        self.project_["supplies.csv"].append(
            {"node": f"battery {i}", "type": "battery", "short-circuit current [A]": "1500"}
        )
        out = self._blank(f"out {i}", "cable", f"post {i}", f"battery {i}", system)
        out["length [m]"] = "1"
        out["protection"] = self.maybe(0.2, "none")
        for kind in dict.fromkeys(("rectifier", *self.kinds)):  # without its bridge a machine feeds nothing
            getattr(self, "_" + kind.replace(" ", "_"))(i, system, amps)

    def _alternator(self, i, system, amps):
        low, high = DUMPS[system]
        peak = "" if self.seldom(0.25) else self.number(low, high)
        held = float(self.number(1.3 * float(system[:2]), 3 * float(system[:2])))
        row = {
            "node": f"alternator {i}", "type": "alternator",
            "rated current [A]": "" if self.seldom(0.06) else f"{amps:g}",
            "short-circuit current [A]": self.maybe(0.2, f"{amps * self.random.uniform(2, 4):.3g}"),
            "highest [V]": self.maybe(0.3, f"{float(system[:2]) * self.random.uniform(1.15, 1.35):.3g}"),
            "winding": self.pick("star", "star", "delta", ""),
            "source model": self.pick("", "stiff", "reactance-limited", f"{self.random.uniform(0.74, 0.88):.3f}"),
            "poles": self.pick("12", "12", "14", "16", "8", ""),
            "speed range [rpm]": self.pick("1500..6000", "1800..15000", "2000..12000", "3000", "900..3600", ""),
            "load dump [V]": peak,
            "load dump suppressed [V]": self.maybe(0.25, f"{held:g}") if not peak or held < float(peak) else "",
            "load dump resistance [ohm]": "" if self.seldom(0.4) else self.number(0.4, 8, log=True),
            "load dump time [ms]": "" if self.seldom(0.15) else self.pick("40", "100", "200", "350", "400"),
            "field current [A]": "" if self.seldom(0.1) else self.number(1.5, 12),
            "field inductance [H]": "" if self.seldom(0.1) else self.number(0.05, 0.5),
            "field resistance [ohm]": "" if self.seldom(0.1) else self.number(1.5, 9),
            "field supply [V]": self.pick("", system[:2], "12", "28"),
            "design voltage [V]": self.maybe(0.3, self.pick("14", "28")),
            "phases": self.pick("", "", "3", "3", "1"),
        }  # fmt: skip
        self.project_["supplies.csv"].append(row)
        return row

    # ................................................................................................ one kind each

    def _phase_lead(self, i, system, amps):
        row = self._blank(f"lead {i}", "phase lead", f"alternator {i}", f"bridge {i}", system)
        row["length [m]"] = "" if self.seldom(0.03) else self.span(self.number(0.2, 3, 2))
        if self.seldom(0.3):
            row["current [A]"] = self.span(f"{amps * self.random.uniform(0.5, 1.1):.3g}")
        if self.seldom(0.2):
            row["peak current [A]"] = self.span(f"{amps * self.random.uniform(0.8, 3):.3g}")
            row["peak time [s]"] = "" if self.seldom(0.1) else self.pick("1", "10", "60", "90", "300")
        if self.seldom(0.5):
            row["grouped with"] = str(self.random.randint(0, 5))
        if self.seldom(0.4):
            row["laid"] = "in tube" if self.seldom(0.05) else self.pick("apart", "touching", "clipped")
        if self.seldom(0.3):
            row[self.pick("drop limit [%]", "drop limit [V]")] = self.number(0.2, 3, 2)
        row["sheathed"] = self._flag(0.3)
        if self.seldom(0.15):
            row["insulation"] = self.random.choice(sorted({w["insulation"] for w in self.tables.wires}))
        elif self.seldom(0.08):
            row["conductor"] = self.random.choice(self.tables.wires)["key"]
        for end in ("from", "to"):
            if self.seldom(0.03):
                row[f"lug {end}"] = self.random.choice(self.tables.lugs)["key"]
            if self.seldom(0.05):
                row[f"sleeve {end}"] = "none" if self.seldom(0.5) else self.random.choice(self.tables.sleeves)["key"]

    def _joint(self, i, system, amps):
        """At the alternator, or at a point of its own."""
        node = f"alternator {i}"
        if self.seldom(0.5):
            node = f"splice {i}"
            point = self._point(node, "device", system, amps)
            if self.seldom(0.5):
                point["hottest [degC]"] = self.span(self.number(30, 180), 0.1)
        row = self._blank(f"joint {i}", "joint", node, "", system)
        if self.seldom(0.7):
            first = self._wires(self.random.uniform(1, 40))
            fat = sum(many * area for many, area, _ in first)
            second = self._wires(fat * self.random.uniform(0.7, 1.4), 1)
            row["joins"] = f"{self._text(first)} > {self._text(second)}"
        else:
            row["joins"] = self._text(
                [*self._wires(self.random.uniform(0.5, 20)), *self._wires(self.random.uniform(0.5, 20))]
            )
        if self.seldom(0.1):
            row["splice"] = self.random.choice(self.tables.splices)["key"]
        if self.seldom(0.15):
            row["sleeve"] = "none" if self.seldom(0.6) else self.random.choice(self.tables.sleeves)["key"]

    def _rectifier(self, i, system, amps):
        row = self._blank(f"bridge {i}", "rectifier", f"alternator {i}", f"post {i}", system)
        if self.seldom(0.2):
            row["current [A]"] = self.span(f"{amps * self.random.uniform(0.6, 1.2):.3g}")
        if self.seldom(0.2):
            row["rectifier"] = self.random.choice(self.tables.bridges)["key"]
        if self.seldom(0.12):
            row["heatsink"] = "none" if self.seldom(0.3) else self.random.choice(self.tables.sinks)["key"]

    def _suppressor(self, i, system, amps):
        """At the post, at a regulator behind it, at both, or at none."""
        volts = float(system[:2])
        self._point(f"regulator {i}", "load", system, 5)["withstand [V]"] = self._stands(volts)
        feed = self._blank(f"feed {i}", "control wire", f"post {i}", f"regulator {i}", system)
        feed["length [m]"], feed["current [A]"] = "1", "1"
        feed["protection"] = self.maybe(0.3, "none")
        where = self.pick("post", "post", "both", "both", "regulator", "none")
        for node in ["post", "regulator"] if where == "both" else [] if where == "none" else [where]:
            row = self._blank(f"guard {i} {node}", "suppressor", f"{node} {i}", f"ground {i}", system)
            row["length [m]"] = self.pick("", "", "0.1", "0.05", "0.6", "0")
            row["system"] = self.maybe(0.7, system)
            if self.seldom(0.1):
                row["suppressor"] = self.random.choice(self.tables.suppressors)["key"]
        if self.seldom(0.3):
            post = next(n for n in self.project_["nodes.csv"] if n["node"] == f"post {i}")
            post["hottest [degC]"] = self.span(self.number(30, 120), 0.2)

    def _stands(self, volts):
        return "" if self.seldom(0.12) else f"{volts * self.random.uniform(1.5, 4.5):.3g}"

    def _freewheel(self, i, system, amps):
        """Across the field, or across a relay's coil."""
        if self.seldom(0.5):
            row = self._blank(f"wheel {i}", "freewheel", f"alternator {i}", f"ground {i}", system)
        else:
            coil = self._point(f"relay {i}", "load", system, 5)
            coil["coil inductance [H]"] = "" if self.seldom(0.1) else self.number(0.01, 1, log=True)
            coil["coil resistance [ohm]"] = "" if self.seldom(0.1) else self.number(4, 200, log=True)
            feed = self._blank(f"relay feed {i}", "control wire", f"post {i}", f"relay {i}", system)
            feed["length [m]"], feed["current [A]"] = "1", "1"
            row = self._blank(f"wheel {i}", "freewheel", f"relay {i}", f"ground {i}", system)
            if not coil["coil inductance [H]"] and not coil["coil resistance [ohm]"]:
                coil["coil resistance [ohm]"] = "20"
        row["system"] = self.maybe(0.7, system)
        if self.seldom(0.2):
            row["current [A]"] = self.number(0.05, 30, log=True)
        if self.seldom(0.3):
            row["on time [s]"], row["off time [s]"] = self.number(0.01, 10, log=True), self.number(0.01, 10, log=True)
        if self.seldom(0.1):
            row["diode"] = self.random.choice(self.tables.diodes)["key"]

    def _field_lead(self, i, system, amps):
        field = self._point(f"field {i}", "load", system, 5)
        field["terminal limit [degC]"], field["drop need"] = self.pick("", "90", "130"), self.pick("", "may dim")
        row = self._blank(f"field lead {i}", "control wire", f"regulator {i}", f"field {i}", system)
        row["purpose"], row["length [m]"] = "field", self.span(self.number(0.3, 4, 2))
        if self.seldom(0.2):
            row["current [A]"] = self.number(1, 12)

    def _wires(self, area, most=14):
        """A few wires of about this area together: (number, area of one, words)."""
        many = self.random.randint(1, most)
        metal = "aluminium" if self.seldom(0.04) else "copper"
        rows = [r for r in self.tables.conductors if r["material"] == metal]
        row = min(rows, key=lambda r: abs(float(r["area [mm2]"]) - area / many) + 0.01 * self.random.random())
        words = [row["size"]]
        if self.seldom(0.6):
            words.append(row["strand class"])
        if metal == "aluminium":
            words.append(metal)
        return [(many, float(row["area [mm2]"]), " ".join(words))]

    def _text(self, wires):
        return " + ".join(words if many == 1 and self.seldom(0.5) else f"{many} x {words}" for many, _, words in wires)


write = random_projects.write
