"""Seeded random projects for the second reading: every row has nodes of its own, so that rows differ in everything."""

import csv

RULES = ("general", "us-small-craft", "intl-small-craft", "aircraft")
HEADERS = {
    "connections.csv": ("connection", "kind", "from", "to", "system", "zone", "current [A]", "length [m]",
                        "peak current [A]", "peak time [s]", "laid", "grouped with", "return", "drop limit [%]",
                        "protection at", "protected by", "device distance [m]", "sheathed", "cranking", "protection",
                        "conductor", "insulation", "lug from", "lug to", "sleeve from", "sleeve to"),
    "nodes.csv": ("node", "system", "role", "stud", "hottest [degC]", "terminal limit [degC]", "palm space [mm]",
                  "drop limit [%]", "drop need"),
    "supplies.csv": ("node", "type", "rated current [A]", "short-circuit current [A]"),
    "systems.csv": ("system", "nominal [V]", "highest [V]", "lowest [V]"),
    "zones.csv": ("zone", "ambient [degC]", "coldest [degC]", "air speed [m/s]", "enclosed", "engine space", "wet",
                  "oil", "fuel vapour", "sun", "vibrates", "altitude [m]"),
    "settings.csv": ("setting", "value"),
}  # fmt: skip


class Maker:
    """Makes projects of about ``count`` rows each."""

    def __init__(self, random, tables, odd=0.12):
        self.random, self.tables, self.odd = random, tables, odd

    def seldom(self, chance=None):
        return self.random.random() < (self.odd if chance is None else chance)

    def pick(self, *choices):
        return self.random.choice(choices)

    def number(self, low, high, digits=3, log=False):
        value = low * (high / low) ** self.random.random() if log else self.random.uniform(low, high)
        return f"{value:.{digits}g}"

    def span(self, text, share=0.05):
        """Now and then a range instead of one number."""
        if not text or not self.seldom(share):
            return text
        low = float(text)
        return f"{text}..{low * 1.3:.4g}" if low > 0 else text

    def project(self, rule, count):
        self.project_ = {name: [] for name in HEADERS}
        self._settings(rule)
        self._systems()
        self._zones()
        self.limit_header = self.pick("drop limit [%]", "drop limit [V]")
        while len(self.project_["connections.csv"]) < count:
            self._string()
        return self.project_

    def _settings(self, rule):
        settings = {"rule set": rule}
        if self.seldom(0.4):
            settings["spare [%]"] = self.pick("5", "10", "25")
        if self.seldom(0.2):
            settings["spare C01 [%]"] = self.pick("0", "20")
        if self.seldom(0.2):
            settings["spare C03 [K]"] = self.pick("5", "15")
        if self.seldom(0.1):
            settings["chassis resistance"] = "0.5"
        if self.seldom(0.15):
            insulations = sorted({w["insulation"] for w in self.tables.wires if not w["exotic"]})
            settings["insulations"] = ", ".join(self.random.sample(insulations, 3))
        if self.seldom(0.1):
            settings["size systems"] = self.pick("AWG", "mm2", "mm2, AWG")
        if self.seldom(0.1):
            settings["fuse classes"] = ", ".join(self.random.sample(sorted({f["class"] for f in self.tables.fuses}), 6))
        if self.seldom(0.1):
            settings["lug styles"] = self.pick("tube, ring", "tube, ring, insulated ring")
        self.project_["settings.csv"] = [{"setting": k, "value": v} for k, v in settings.items()]

    def _systems(self):
        for volts, highest in (("12", "14.8"), ("24", "29.6"), ("48", "58.4")):
            highest = "" if self.seldom(0.05) else highest
            row = {"system": f"{volts} V", "nominal [V]": volts, "highest [V]": highest, "lowest [V]": ""}
            self.project_["systems.csv"].append(row)

    def _flag(self, chance):
        return "yes" if self.seldom(chance) else self.pick("no", "")

    def _zones(self):
        for index in range(self.random.randint(4, 8)):
            ambient = self.number(10, 45) if self.seldom(0.75) else self.number(-20, 90)
            engine = self._flag(0.12)
            self.project_["zones.csv"].append({
                "zone": f"zone {index}",
                "ambient [degC]": "" if self.seldom(0.1) and float(ambient) > 0 else self.span(ambient),
                "coldest [degC]": self.pick("", "", "0", "-5", "-18", "-25") if float(ambient) > 0 else "-30",
                "air speed [m/s]": self.pick("", "", "0", "0.5", "3"),
                "enclosed": self._flag(0.15), "engine space": engine, "wet": self._flag(0.25), "oil": self._flag(0.12),
                "fuel vapour": self._flag(0.08), "sun": self._flag(0.1), "vibrates": self.pick("", "yes", "no"),
                "altitude [m]": self.pick("", "", "0", "1500", "3500"),
            })  # fmt: skip

    def _stud(self, amps):
        if self.seldom(0.05):
            return self.pick("", "none")
        if self.seldom(0.08):
            return self.random.choice(sorted(self.tables.studs))
        return self.pick("M6", "M8", "M6", "5/16") if amps < 60 else self.pick("M8", "M10", "3/8", "M10", "M12")

    def _node(self, name, role, system, amps):
        row = {"node": name, "system": system, "role": role, "stud": self._stud(amps)}
        if self.seldom():
            row["hottest [degC]"] = self.span(self.number(30, 80 if self.seldom(0.8) else 130), 0.1)
        if self.seldom(0.2):
            row["terminal limit [degC]"] = self.pick("75", "90", "105", "130")
        if self.seldom(0.06):
            row["palm space [mm]"] = self.pick("16", "20", "25", "32")
        if role == "load":
            if self.seldom(0.2):
                row["drop limit [%]"] = self.pick("2", "5", "8")
            row["drop need"] = self.pick("", "full voltage", "may dim", "may dim")
        self.project_["nodes.csv"].append(row)
        return name

    def _string(self):
        """A battery and a load; or a battery, a bus and what hangs on it; now and then with returns as rows."""
        index = len(self.project_["connections.csv"])
        system = self.pick("12 V", "24 V", "48 V")
        amps = float(self.number(0.1, 400, 3, log=True))
        battery = self._node(f"battery {index}", "supply", system, amps)
        short = "" if self.seldom(0.06) else self.span(self.number(200, 12000, 3, log=True), 0.15)
        self.project_["supplies.csv"].append({"node": battery, "type": "battery", "short-circuit current [A]": short})
        shape = self.random.random()
        if shape < 0.55:
            load = self._node(f"load {index}", "load", system, amps)
            row = self._row(f"row {index}", battery, load, system, amps)
            if self.seldom(0.15):
                row["return"] = "single"
                ground = self._node(f"ground {index}", "ground", system, amps)
                self._row(f"row {index} back", load, ground, system, amps)
            return
        bus = self._node(f"bus {index}", "bus", system, amps)
        feeder = self._row(f"row {index}", battery, bus, system, amps)
        if self.seldom(0.15):
            self._node(f"bus {index} b", "bus", system, amps)
            self._row(f"row {index} on", bus, f"bus {index} b", system, amps)
        total = 0.0
        peaks = False
        for branch in range(self.random.randint(1, 3)):
            share = float(f"{amps * self.random.uniform(0.1, 0.8):.3g}")
            load = self._node(f"load {index} {branch}", "load", system, share)
            row = self._row(f"row {index} {branch}", bus, load, system, share, span=False)
            peaks = peaks or bool(row["peak current [A]"])
            total += share
            if self.seldom(0.08):
                row["protection"] = "none"
                if self.seldom(0.5) and feeder["cranking"] != "yes":  # which has no device to protect with
                    row["protected by"] = feeder["connection"]
                    row["protection"] = ""
        if self.seldom(0.1) and total and not peaks:
            feeder["current [A]"] = ""

    def _row(self, name, start, end, system, amps, span=True):
        row = dict.fromkeys(HEADERS["connections.csv"], "")
        longest = min(60.0, 150.0 / amps) * (0.25 if self.project_["nodes.csv"][-1]["role"] == "bus" else 1.0)
        length = (
            self.number(0.1, 60, 3, log=True)
            if self.seldom(0.12)
            else self.number(0.15, max(longest, 0.3), 2, log=True)
        )
        row.update({
            "connection": name, "kind": "control wire" if amps < 20 and self.seldom(0.1) else "cable",
            "from": start, "to": end, "system": system,
            "zone": "" if self.seldom(0.05) else self.random.choice(self.project_["zones.csv"])["zone"],
            "current [A]": self.span(f"{amps:g}") if span else f"{amps:g}",
            "length [m]": "" if self.seldom(0.02) else self.span(length),
        })  # fmt: skip
        if self.seldom(0.25):
            row["peak current [A]"] = self.span(f"{amps * self.random.uniform(1.2, 6):.3g}")
            row["peak time [s]"] = (
                "" if self.seldom(0.1) else self.pick("0.1", "0.5", "2", "5", "10", "30", "60", "90", "300")
            )
        if self.seldom(0.5):
            row["grouped with"] = str(self.random.randint(0, 6) if self.seldom(0.3) else self.random.randint(0, 2))
        if self.seldom(0.4):
            row["laid"] = "in tube" if self.seldom(0.05) else self.pick("apart", "touching", "clipped")
        if self.seldom(0.15):
            row["return"] = "chassis" if self.seldom(0.2) else self.pick("pair", "single")
        if self.seldom(0.15):
            row[self.limit_header] = self.number(2, 10, 2) if "%" in self.limit_header else self.number(0.2, 1.5, 2)
        if self.seldom(0.1):
            row["protection at"] = self.pick("from", "to", "both")
        if self.seldom(0.2):
            row["device distance [m]"] = self.pick("0", "0.1", "0.17", "0.5", "1.5", "2.5")
        row["sheathed"], row["cranking"] = self._flag(0.3), self._flag(0.05)
        self._fix(row)
        return row

    def _fix(self, row):
        tables = self.tables
        if self.seldom(0.1):
            row["insulation"] = self.random.choice(sorted({w["insulation"] for w in tables.wires}))
        elif self.seldom(0.06):
            row["conductor"] = self.random.choice(tables.wires)["key"]
        if self.seldom(0.05):
            row["protection"] = self.random.choice(tables.fuses)["key"]
        for end in ("from", "to"):
            if self.seldom(0.03):
                row[f"lug {end}"] = self.random.choice(tables.lugs)["key"]
            if row["kind"] == "cable" and self.seldom(0.04):
                row[f"sleeve {end}"] = "none" if self.seldom(0.5) else self.random.choice(tables.sleeves)["key"]
        self.project_["connections.csv"].append(row)

    def header(self, name):
        if name != "connections.csv":
            return HEADERS[name]
        return tuple(self.limit_header if h == "drop limit [%]" else h for h in HEADERS[name])


def write(project, folder, header=HEADERS.get):
    """The project as files; columns and rows in the order given."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in project.items():
        with open(folder / name, "w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, header(name), restval="", extrasaction="ignore")
            writer.writeheader()
            writer.writerows(rows)
    return folder
