"""The rules of a cable read a second time: plain loops over the tables, one part after the other, nothing shared.

Nothing of the program is imported. The tables are read with csv, the heat balance is written again from its papers
(Morgan 1975, Churchill and Bernstein 1977, the standard atmosphere, Moran and Shapiro's heat capacity of air) and
solved by Ridders' method to 1e-12, and every check of tables/checks.csv is a function of its own, by its code. It has
to be right, not fast: it is what the program's picks are held against.

Why the lugs are searched one end after the other: the roles come in the order protection, conductor, lug from, lug to,
sleeve from, sleeve to. Once device and wire stand, no check names parts of both ends, so the tuples that pass are all
pairs of a passing (lug from, sleeve from) with a passing (lug to, sleeve to). The first of such a product, compared
role by role, has the first lug from that has any sleeve, the first lug to that has any sleeve, and then the first
sleeve of each. The same holds without sleeves.
"""

import csv
import itertools
import math
from pathlib import Path

TABLES = Path(__file__).resolve().parents[2] / "tables"
ZERO = 273.15
PASS, UNKNOWN, FAIL = "pass", "unknown", "fail"
BOUND = 1e-9
STRANDINGS = ("class 5", "stranded", "class 2", "solid")  # to be bent first, where it vibrates
PLATINGS = ("tin", "nickel", "silver", "bare")
NEVER = 1e9
WORDS_OF_RULE = ("overcurrent rule", "table", "next standard size", "two-pole", "source", "status", "note")
FOUR_HOURS = 4 * 3600.0
HOTTEST = 1000.0 + ZERO


# ---------------------------------------------------------------------------------------------------- heat balance


def air_pressure(altitude):
    """US Standard Atmosphere 1976, equations 33a and 33b."""
    low = min(altitude, 11000.0)
    pressure = 101325.0 * (1 - 0.0065 * low / 288.15) ** 5.255876
    return pressure * math.exp(-(altitude - 11000.0) / 6341.62) if altitude > 11000.0 else pressure


def outer_resistance(surface, ambient, diameter, speed, pressure, emissivity):
    """K m/W from a metre of surface to air and surroundings; temperatures in K, diameter in m."""
    film = (surface + ambient) / 2
    viscosity = 1.458e-6 * film**1.5 / (film + 110.4)
    conductivity = 2.64638e-3 * film**1.5 / (film + 245.4 * math.exp(-27.631021 / film))
    t = film / 1000
    heat = 287.053 * (3.653 - 1.337 * t + 3.294 * t**2 - 1.913 * t**3 + 0.2763 * t**4)
    kinematic = viscosity * 287.053 * film / pressure
    prandtl = viscosity * heat / conductivity
    rayleigh = max(9.80665 / film * max(surface - ambient, 0) * diameter**3 / kinematic**2 * prandtl, 1e-10)
    free = max(
        0.675 * rayleigh**0.058,
        1.02 * rayleigh**0.148,
        0.850 * rayleigh**0.188,
        0.480 * rayleigh**0.250,
        0.125 * rayleigh**0.333,
    )
    nusselt = free
    if speed > 0:
        reynolds = speed * diameter / kinematic
        forced = 0.3 + (
            0.62
            * math.sqrt(reynolds)
            * prandtl ** (1 / 3)
            / (1 + (0.4 / prandtl) ** (2 / 3)) ** 0.25
            * (1 + (reynolds / 282000) ** 0.625) ** 0.8
        )
        nusselt = (free**3 + forced**3) ** (1 / 3)
    radiation = emissivity * 5.670374419e-8 * (surface**2 + ambient**2) * (surface + ambient)
    return 1 / (math.pi * diameter * (nusselt * conductivity / diameter + radiation))


def root(function, low, high):
    """Ridders' method; the function has opposite signs at both ends."""
    at_low, at_high = function(low), function(high)
    if at_low == 0:
        return low
    if at_high == 0:
        return high
    found = None
    for _ in range(200):
        middle = (low + high) / 2
        at_middle = function(middle)
        under = math.sqrt(at_middle * at_middle - at_low * at_high)
        if under == 0:
            return middle
        trial = middle + (middle - low) * (1 if at_low > at_high else -1) * at_middle / under
        if found is not None and abs(trial - found) <= 1e-13 * max(1.0, abs(trial)):
            return trial
        found = trial
        at_trial = function(trial)
        if at_trial == 0:
            return trial
        if (at_middle < 0) != (at_trial < 0):
            low, at_low, high, at_high = middle, at_middle, trial, at_trial
        elif (at_low < 0) != (at_trial < 0):
            high, at_high = trial, at_trial
        else:
            low, at_low = trial, at_trial
        if abs(high - low) <= 1e-13 * max(1.0, abs(high)):
            return (low + high) / 2
    raise AssertionError("no root")


def warm_resistance(wire, kelvin):
    return wire["ohm per m"] * (1 + wire["coefficient"] * (kelvin - 293.15))


def wall(wire):
    return math.log(wire["outer"] / wire["diameter"]) / (2 * math.pi * wire["conductivity"])


def lone_ampacity(wire, limit, ambient, speed, altitude, memory={}):  # noqa: B006 - the memory is meant to stay
    key = (wire["alike"], limit, ambient, speed, altitude)
    if key not in memory:
        memory[key] = _lone_ampacity(wire, limit, ambient, speed, altitude)
    return memory[key]


def _lone_ampacity(wire, limit, ambient, speed, altitude):
    rise = limit - ambient
    if rise <= 0:
        return 0.0
    inner, pressure = wall(wire), air_pressure(altitude)
    diameter = wire["outer"] / 1000

    def outer(x):
        return outer_resistance(ambient + x, ambient, diameter, speed, pressure, wire["emissivity"])

    surface = root(lambda x: x * inner - (rise - x) * outer(x), 0.0, rise)
    return math.sqrt(rise / ((inner + outer(surface)) * warm_resistance(wire, limit)))


def warmth(wire, current, ambient, speed, altitude, memory={}):  # noqa: B006 - the memory is meant to stay
    """Metal and surface in K at a steady current of a wire that lies alone."""
    key = (wire["alike"], current, ambient, speed, altitude)
    if key not in memory:
        memory[key] = _warmth(wire, current, ambient, speed, altitude)
    return memory[key]


def _warmth(wire, current, ambient, speed, altitude):
    if current == 0:
        return ambient, ambient
    inner, pressure = wall(wire), air_pressure(altitude)
    diameter = wire["outer"] / 1000

    def missing(metal):
        heat = current * current * warm_resistance(wire, metal)
        surface = max(metal - heat * inner, ambient)
        outer = outer_resistance(surface, ambient, diameter, speed, pressure, wire["emissivity"])
        return metal - ambient - heat * (inner + outer)

    if missing(HOTTEST) <= 0:
        return HOTTEST, HOTTEST
    metal = root(missing, ambient, HOTTEST)
    return metal, metal - current * current * warm_resistance(wire, metal) * inner


# --------------------------------------------------------------------------------------------------------- reading


def number(text):
    text = (text or "").strip()
    return float(text) if text else None


def ends(text):
    """Low and high of a cell, ``None`` where it is empty."""
    text = (text or "").strip()
    if not text:
        return None
    low, _, high = text.partition("..")
    return (float(low), float(high or low))


def yes(text):
    text = (text or "").strip().lower()
    return {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}.get(text)


def rows_of(name, folder=TABLES):
    with open(folder / name, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


class Tables:
    """The shipped tables in mm, mm2, K, A, s and ohm."""

    def __init__(self, folder=TABLES):
        self.checks = rows_of("checks.csv", folder)
        self.rule_sets = {r["rule set"]: r for r in rows_of("rule_sets.csv", folder)}
        self.defaults = {r["default"]: r["value"] for r in rows_of("defaults.csv", folder)}
        self.ampacities = {}
        for row in rows_of("ampacities.csv", folder):
            columns = self.ampacities.setdefault((row["table"], row["material"]), {})
            column = columns.setdefault(number(row["rating [degC]"]), {"rows": [], "by size": {}})
            one = {"area": number(row["area [mm2]"]), "ampacity": number(row["ampacity [A]"])}
            one["counts bundle"] = yes(row["counts bundle"])
            column["rows"].append(one)
            column["by size"].setdefault(row["size"], one)
        self.ambients = rows_of("ambient_factors.csv", folder)
        self.groupings = rows_of("grouping_factors.csv", folder)
        self.overcurrents = [
            {name: text if name in WORDS_OF_RULE else number(text) for name, text in row.items()}
            for row in rows_of("overcurrent_rules.csv", folder)
        ]
        self.typicals = rows_of("typicals.csv", folder)
        self.drops = rows_of("drop_limits.csv", folder)
        self.smallests = rows_of("smallest_sizes.csv", folder)
        self.layings = {r["laying"]: number(r["factor"]) for r in rows_of("laying_factors.csv", folder)}
        self.studs = {r["stud"]: number(r["thread diameter [mm]"]) for r in rows_of("studs.csv", folder)}
        self.wires = self._wires(folder)
        self.fuses = self._fuses(folder)
        self.lugs = self._lugs(folder)
        self.sleeves = self._sleeves(folder)
        self.areas, self.barrels, self.bores = {}, {}, {}
        for wire in self.wires:
            self.areas.setdefault(wire["system"], set()).add(wire["area"])

    def typical_highest(self, nominal):
        """The highest charging voltage usual for a nominal one: the highest of all chemistries."""
        usual = [r for r in self.typicals if r["what"] == "highest charging voltage"]
        return max((number(r["high"]) for r in usual if r["subject"].endswith(f" {nominal:g} V")), default=None)

    def _wires(self, folder):
        metals = {r["material"]: r for r in rows_of("materials.csv", folder)}
        conductors = {r["conductor"]: r for r in rows_of("conductors.csv", folder)}
        insulations = {r["insulation"]: r for r in rows_of("insulations.csv", folder)}
        wires = []
        for place, row in enumerate(rows_of("wires.csv", folder)):
            conductor, insulation = conductors[row["conductor"]], insulations[row["insulation"]]
            metal = metals[conductor["material"]]
            wire = {
                "key": row["wire"],
                "place": place,
                "insulation": row["insulation"],
                "metal": conductor["material"],
                "coating": conductor["coating"],
                "size": conductor["size"],
                "system": conductor["size system"],
                "strands": conductor["strand class"],
                "area": number(conductor["area [mm2]"]),
                "diameter": number(conductor["diameter [mm]"]),
                "outer": number(row["outer diameter [mm]"]),
                "ohm per m": number(conductor["resistance at 20 degC [ohm/km]"]) / 1000,
                "coefficient": number(metal["temperature coefficient [1/K]"]),
                "no resistance": number(metal["inferred zero [degC]"]) + ZERO,
                "adiabatic": number(metal["adiabatic constant [A s0.5/mm2]"]),
                "rating": number(insulation["temperature rating [degC]"]) + ZERO,
                "short circuit": number(insulation["short-circuit temperature [degC]"]) + ZERO,
                "conductivity": number(insulation["conductivity [W/(m K)]"]),
                "emissivity": number(insulation["emissivity"]),
                "voltage": number(insulation["voltage rating [V]"]),
                "coldest": number(insulation["coldest flexing [degC]"]) + ZERO,
                "exotic": yes(insulation["exotic"]),
            }
            for fluid in ("oil", "fuel", "wet", "sun", "engine space"):
                wire[fluid] = yes(insulation[fluid])
            names = ("diameter", "outer", "ohm per m", "coefficient", "conductivity", "emissivity")
            wire["alike"] = tuple(wire[name] for name in names)
            wires.append(wire)
        return wires

    def _fuses(self, folder):
        ambients, curves = {}, {}
        for row in rows_of("fuse_ambients.csv", folder):
            knot = (number(row["ambient [degC]"]) + ZERO, number(row["factor"]))
            ambients.setdefault(row["class"], []).append(knot)
        for row in rows_of("fuse_curves.csv", folder):
            curves.setdefault(row["class"], []).append(row)
        fuses = []
        for place, row in enumerate(rows_of("fuses.csv", folder)):
            rating = number(row["rating [A]"])
            own = [
                (number(c["multiple"]), number(c["shortest [s]"]), number(c["longest [s]"]))
                for c in curves.get(row["class"], ())
                if number(c["from rating [A]"]) <= rating <= number(c["to rating [A]"])
            ]
            own.sort()
            milliohm = number(row["cold resistance [mohm]"])
            fuses.append(
                {
                    "key": row["fuse"],
                    "place": place,
                    "class": row["class"],
                    "group": row["group"],
                    "breaker": row["device"] == "breaker",
                    "rating": rating,
                    "voltage": number(row["voltage rating [V]"]),
                    "breaking": number(row["breaking capacity [A]"]),
                    "ohm": None if milliohm is None else milliohm / 1000,
                    "ignition": yes(row["ignition protected"]),
                    "ambients": sorted(ambients.get(row["class"], ())),
                    "shortest": [(m, s) for m, s, _ in own if s is not None],
                    "longest": [(m, t) for m, _, t in own if t is not None],
                }
            )
        for fuse in fuses:
            fuse["opens"] = next((multiple for multiple, seconds in fuse["longest"] if seconds <= FOUR_HOURS), None)
            alike = [f for f in fuses if f["class"] == fuse["class"] and f["voltage"] == fuse["voltage"]]
            fuse["below"] = max((f["rating"] for f in alike if f["rating"] < fuse["rating"]), default=0.0)
        return fuses

    def _lugs(self, folder):
        lugs = []
        for place, row in enumerate(rows_of("lugs.csv", folder)):
            limit = number(row["temperature limit [degC]"])
            lugs.append(
                {
                    "key": row["lug"],
                    "place": place,
                    "style": row["style"],
                    "least": number(row["least area [mm2]"]),
                    "greatest": number(row["greatest area [mm2]"]),
                    "bore": number(row["bore [mm]"]),
                    "barrel": number(row["barrel diameter [mm]"]),
                    "hole": number(row["hole [mm]"]),
                    "palm": number(row["palm width [mm]"]),
                    "plating": row["plating"],
                    "metal": row["metal"],
                    "strands": [word.strip() for word in row["strand classes"].split("/")],
                    "insulated": yes(row["insulated"]),
                    "limit": None if limit is None else limit + ZERO,
                }
            )
        return sorted(lugs, key=lug_order)

    def _sleeves(self, folder):
        return [
            {
                "key": row["sleeve"],
                "place": place,
                "adhesive": yes(row["adhesive"]),
                "supplied": number(row["supplied bore [mm]"]),
                "recovered": number(row["recovered bore [mm]"]),
                "rating": number(row["temperature rating [degC]"]) + ZERO,
                "exotic": yes(row["exotic"]),
            }
            for place, row in enumerate(rows_of("sleeves.csv", folder))
        ]


def lug_order(lug):
    usual = (lug["style"] == "tube" and lug["greatest"] >= 10) or (lug["style"] == "ring" and lug["least"] < 10)
    plating = PLATINGS.index(lug["plating"]) if lug["plating"] in PLATINGS else len(PLATINGS)
    return (not usual, plating, lug["greatest"], lug["bore"], lug["hole"], lug["palm"], lug["place"])


def fuse_order(fuse):
    return (fuse["rating"], fuse["voltage"], fuse["breaking"], fuse["place"])


def sleeve_order(sleeve, wet):
    return (sleeve["exotic"], wet and not sleeve["adhesive"], sleeve["supplied"], sleeve["rating"], sleeve["place"])


# ------------------------------------------------------------------------------------------- what a place is given


ROLES = {
    "cable": ("protection", "conductor", "lug from", "lug to", "sleeve from", "sleeve to"),
    "control wire": ("protection", "conductor", "lug from", "lug to"),
    "phase lead": ("conductor", "lug from", "lug to", "sleeve from", "sleeve to"),
}
TERMINALS = {"bus": "insulated bus", "load": "load", "ground": "ground", "device": "device"}
SUPPLIES = {"battery": "battery post", "alternator": "alternator stud", "converter": "converter", "panel": "panel"}


class Place:
    """One connection: its own cells, its nodes, zone, supply and system, and what is assumed where they are silent."""

    asks_device = True
    way_drop, way_ohm, of_load = 0.0, 0.0, False  # the other pieces between the supply and the far end
    own_circuit = 2  # wires of its own kind in its circuit, itself included
    line_rms = line_voltage = None  # of the alternating current in it; a dc lead has none
    stated_current = None
    guessed_ends = ()  # whose terminals are as hot as such terminals get, because nobody measured them
    field = None  # amperes a field takes here, and what it is made for

    def __init__(self, tables, project, row, rule, settings):
        self.tables, self.rule, self.row = tables, rule, row
        self.overcurrent = None
        self.device_unknown = False  # another row's device protects this one, and that row has none yet
        self.roles = ROLES[row["kind"]]
        nodes = {n["node"]: n for n in project["nodes.csv"]}
        supplies = {s["node"]: s for s in project["supplies.csv"]}
        system = next((s for s in project["systems.csv"] if s["system"] == row["system"]), {})
        zone = next((z for z in project["zones.csv"] if z["zone"] == row.get("zone")), {})
        start, end = nodes[row["from"]], nodes[row["to"]]
        self.nominal, self.highest = number(system.get("nominal [V]")), number(system.get("highest [V]"))
        if self.highest is None:
            self.highest = tables.typical_highest(self.nominal)
        self._zone(zone)
        self._network(project, row, nodes, supplies)
        self._lie(row, start, end)
        self._protection(row, start, end, supplies)
        self.bare = [n.get("stud") == "none" for n in (start, end)]
        self.studs = [self.tables.studs.get(n.get("stud", "")) for n in (start, end)]
        self.palms = [number(n.get("palm space [mm]")) for n in (start, end)]
        self.limits = [self._terminal(n, supplies) for n in (start, end)]
        self._drop(row, start, end, supplies, settings)
        self.fixed = {role: row.get(role) for role in (*self.roles, "insulation") if row.get(role)}

    def _assumed(self, name):
        return number(self.tables.defaults[name])

    def _zone(self, zone):
        in_engine_space = yes(zone.get("engine space")) or False
        ambient = ends(zone.get("ambient [degC]"))
        if ambient is None:
            warm = self._assumed("engine space ambient" if in_engine_space else "ambient")
            ambient = (warm, warm)
        self.ambient = tuple(t + ZERO for t in ambient)
        coldest = number(zone.get("coldest [degC]"))
        self.coldest = (self._assumed("coldest") if coldest is None else coldest) + ZERO
        still = yes(zone.get("enclosed")) or False
        self.speed = 0.0 if still else number(zone.get("air speed [m/s]")) or 0.0
        self.altitude = number(zone.get("altitude [m]")) or 0.0
        self.zone = {"engine space": in_engine_space}
        for flag in ("wet", "oil", "fuel vapour", "sun"):
            self.zone[flag] = yes(zone.get(flag)) or False
        stated = yes(zone.get("vibrates"))
        self.zone["vibrates"] = True if stated is None else stated

    def _network(self, project, row, nodes, supplies):
        """Nodes joined by rows, grounds left out, and what their supplies can feed into a fault."""
        island = {n for n in (row["from"], row["to"]) if nodes[n]["role"] != "ground"}
        while True:
            joined = {
                n
                for other in project["connections.csv"]
                if island & {other["from"], other["to"]}
                for n in (other["from"], other["to"])
                if n and nodes[n]["role"] != "ground"
            }
            if joined <= island:
                break
            island |= joined
        self.fault = (0.0, 0.0)
        for node in island & set(supplies):
            short = ends(supplies[node].get("short-circuit current [A]"))
            if short is None:
                self.fault = None
                break
            self.fault = (self.fault[0] + short[0], self.fault[1] + short[1])
        self.current = ends(row.get("current [A]"))
        if self.current is None:
            fed = [
                ends(o.get("current [A]"))
                for o in project["connections.csv"]
                if o["from"] == row["to"] and o is not row and nodes[o["to"]]["role"] != "ground"
            ]
            if fed and None not in fed:
                self.current = (sum(f[0] for f in fed), sum(f[1] for f in fed))

    def _lie(self, row, start, end):
        beside = number(row.get("grouped with"))
        self.beside = 1.0 if beside is None else beside
        laid = row.get("laid") or ("touching" if self.beside >= 1 else "apart")
        self.laying = self.tables.layings.get(laid)
        self.grounded = "ground" in (start["role"], end["role"])
        self.returns = row.get("return") or ("single" if self.grounded else "pair")
        self.legs = 2 if self.returns == "pair" else 1
        self.length = ends(row.get("length [m]"))
        self.sheathed = yes(row.get("sheathed")) or False
        self.cranking = yes(row.get("cranking")) or False
        self.peak = ends(row.get("peak current [A]"))
        self.peak_time = ends(row.get("peak time [s]"))
        hottest = [ends(n.get("hottest [degC]")) for n in (start, end)]
        self.hottest = [None if h is None else (h[0] + ZERO, h[1] + ZERO) for h in hottest]

    def _protection(self, row, start, end, supplies):
        """Own device or none, at which end, and whether that end is a battery's post."""
        stated = row.get("protection", "")
        self.is_return = self.grounded
        self.protected_by = row.get("protected by") or ""
        self.own_device = stated != "none" and not self.protected_by and not (self.grounded and not stated)
        if self.cranking and not stated and not row.get("protection at"):
            self.own_device = False  # 33 CFR 183.455(e): nobody asks a cranking lead for one
        batteries = [n["node"] in supplies and supplies[n["node"]]["type"] == "battery" for n in (start, end)]
        where = row.get("protection at") or ("both" if all(batteries) else "to" if batteries[1] else "from")
        self.devices = (2 if where == "both" else 1) if self.own_device else 0
        self.at_battery = {"from": batteries[0], "to": batteries[1], "both": all(batteries)}[where]
        self.distance = number(row.get("device distance [m]")) or 0.0
        types = [supplies[n["node"]]["type"] if n["node"] in supplies else "" for n in (start, end)]
        self.machine = types[0] == "alternator"
        self.machine_rating = number(supplies[start["node"]].get("rated current [A]")) if self.machine else None
        self.load_factor = 1.4 if self.machine else 1.25

    def _terminal(self, node, supplies):
        stated = number(node.get("terminal limit [degC]"))
        if stated is not None:
            return stated + ZERO
        is_supply = node["role"] == "supply"
        name = SUPPLIES[supplies[node["node"]]["type"]] if is_supply else TERMINALS[node["role"]]
        return self._assumed(f"{name} terminal limit") + ZERO

    def _drop(self, row, start, end, supplies, settings):
        self.chassis_ohm = 0.0
        if self.returns == "chassis":
            milliohm = number(settings.get("chassis resistance"))
            self.chassis_ohm = None if milliohm is None else milliohm / 1000
        loads = [n for n in (end, start) if n["role"] == "load"]
        kinds = [supplies[n["node"]]["type"] if n["node"] in supplies else "" for n in (start, end)]
        if row.get("drop limit [%]"):
            self.drop = number(row["drop limit [%]"]) / 100 * self.nominal
        elif row.get("drop limit [V]"):
            self.drop = number(row["drop limit [V]"])
        elif loads and loads[0].get("drop limit [%]"):
            self.of_load = True
            self.drop = number(loads[0]["drop limit [%]"]) / 100 * self.nominal
        elif loads:
            self.of_load = True
            self.drop = self._printed_drop(loads[0].get("drop need") or "full voltage")
        elif (kinds[0] and kinds[0] != "battery") or kinds[1]:
            self.drop = self._printed_drop("charging")
        elif kinds[0] == "battery":
            self.drop = self._printed_drop("battery to bus")
        else:
            self.drop = self._printed_drop("feeder")
        self.peak_drop = self._printed_drop("peak")

    def _printed_drop(self, need):
        for row in self.tables.drops:
            if row["table"] != self.rule["drop table"] or row["need"] != need:
                continue
            if number(row["from [V]"]) <= self.nominal < number(row["to [V]"]):
                share = number(row["limit [%]"])
                return share / 100 * self.nominal if share is not None else number(row["limit [V]"])
        return None

    def cases(self):
        """Every corner of what is a range."""
        names = ("current", "peak", "peak_time", "length", "ambient", "fault")
        choices = []
        for name in names:
            value = getattr(self, name)
            choices.append([None] if value is None else sorted(set(value)))
        for hot in self.hottest:
            choices.append([None] if hot is None else sorted(set(hot)))
        return [self.case(*corner) for corner in itertools.product(*choices)]

    def case(self, *corner):
        return Case(self, *corner)


class Case:
    """A place under one set of outside values."""

    def __init__(self, place, current, peak, peak_time, length, ambient, fault, hot_from, hot_to):
        self.place, self.current, self.peak, self.peak_time = place, current, peak, peak_time
        self.length, self.ambient, self.fault = length, ambient, fault
        self.hot = [ambient if hot is None else hot for hot in (hot_from, hot_to)]
        self.heating = current
        if peak is not None and current is not None:
            if peak_time is None:
                self.heating = None
            elif peak_time > 60:
                self.heating = max(current, peak)
        self.grouping = self._bunched()
        together = None
        if place.laying is not None and self.grouping is not None:
            together = place.laying * self.grouping
        self.together = together
        self.alone = None if together is None or self.heating is None else self.heating / together
        self.known = {"balance": {}, "warm": {}, "table": {}}

    def _once(self, what, wire, work):
        memory = self.known[what]
        if wire["key"] not in memory:
            memory[wire["key"]] = work(wire)
        return memory[wire["key"]]

    def skin(self, wire):
        """Resistance to the current that flows over that to a direct one."""
        return 1.0

    def balance(self, wire):
        return self._once("balance", wire, self._balance)

    def warm(self, wire):
        return self._once("warm", wire, self._warm)

    def by_table(self, wire):
        return self._once("table", wire, self._by_table)

    def _bunched(self):
        bundle = self.place.beside + 1
        for row in self.place.tables.groupings:
            if row["table"] == "bunched" and bundle / 2 <= number(row["to count"]):
                return number(row["factor"])
        return None

    def _balance(self, wire):
        if self.together is None:
            return None
        place = self.place
        lone = lone_ampacity(wire, wire["rating"], self.ambient, place.speed, place.altitude)
        return lone * self.together / math.sqrt(self.skin(wire))

    def _warm(self, wire):
        if self.alone is None:
            return None, None
        alike = self.alone * math.sqrt(self.skin(wire))  # a direct current that heats the wire as much
        return warmth(wire, alike, self.ambient, self.place.speed, self.place.altitude)

    def _by_table(self, wire):
        """The rule set's ampacity of a wire where it lies."""
        place, rule = self.place, self.place.rule
        columns = place.tables.ampacities.get((rule["ampacity table"], wire["metal"]), {})
        ratings = [rating for rating in columns if rating <= wire["rating"] - ZERO + BOUND]
        if not ratings:
            return None
        rating = max(ratings)
        row = columns[rating]["by size"].get(wire["size"])
        if row is None:
            smaller = [r for r in columns[rating]["rows"] if r["area"] <= wire["area"]]
            if not smaller:
                return None
            row = max(smaller, key=lambda r: r["area"])
        grouping = 1.0 if row["counts bundle"] else self._rule_grouping()
        return None if grouping is None else row["ampacity"] * self._ambient_factor(rating) * grouping

    def _ambient_factor(self, rating):
        factor = 1.0
        for row in self.place.tables.ambients:
            if row["table"] != self.place.rule["ambient table"] or number(row["rating [degC]"]) != rating:
                continue
            inside = number(row["from [degC]"]) < self.ambient - ZERO <= number(row["to [degC]"])
            if inside and (row["when"] == "always" or self.place.zone["engine space"]):
                factor = min(factor, number(row["factor"])) if row["when"] != "always" else number(row["factor"])
        return factor

    def _rule_grouping(self):
        table = self.place.rule["grouping table"]
        if not table:
            return 1.0
        bundle = self.place.beside + 1
        for row in self.place.tables.groupings:
            count = bundle if row["counted"] == "conductors" else bundle / 2
            if (
                row["table"] == table
                and self.place.nominal >= number(row["from [V]"])
                and count <= number(row["to count"])
            ):
                return number(row["factor"])
        return None

    def overcurrent(self):
        if self.place.overcurrent is None:
            self.place.overcurrent = self._overcurrent()
        return self.place.overcurrent

    def _overcurrent(self):
        for row in self.place.tables.overcurrents:
            holds = row["from [V]"] <= self.place.nominal < row["to [V]"]
            if holds and row["table"] == self.place.rule["overcurrent table"]:
                return row
        raise AssertionError("no overcurrent rule")


# ---------------------------------------------------------------------------------------------- devices in time


def straight(knots, x):
    """Straight lines between knots, ends held."""
    if x <= knots[0][0]:
        return knots[0][1]
    for (a, at_a), (b, at_b) in itertools.pairwise(knots):
        if x <= b:
            return at_a + (at_b - at_a) * (x - a) / (b - a)
    return knots[-1][1]


def opening(points, multiple, breaker):
    """Seconds at a multiple of the rating, by the printed points of one bound."""
    if not points:
        return None
    if multiple <= points[0][0]:
        return points[0][1]
    for (a, at_a), (b, at_b) in itertools.pairwise(points):
        if multiple <= b:
            share = math.log(multiple / a) / math.log(b / a)
            return math.exp(math.log(at_a) + share * math.log(at_b / at_a))
    last, seconds = points[-1]
    return seconds if breaker else seconds * (last / multiple) ** 2


def lets_through(case, fuse):
    if case.fault is None:
        return None, None
    if case.fault == 0:
        return None, None
    multiple = case.fault / fuse["rating"]
    if fuse["longest"] and multiple < fuse["longest"][0][0]:
        return case.fault**2 * NEVER, NEVER  # nobody says that it opens at all
    seconds = opening(fuse["longest"], multiple, fuse["breaker"])
    return (None, None) if seconds is None else (case.fault**2 * seconds, seconds)


def adiabatic(wire, start, end):
    if end <= start:
        return 0.0
    zero = wire["no resistance"]
    return wire["adiabatic"] * math.sqrt(math.log((end - zero) / (start - zero)))


# ---------------------------------------------------------------------------------------- the checks, by their code
# Each function answers None where its check does not apply, else (actual, limit), either of them None where unknown.


def _times(*factors):
    return None if None in factors else math.prod(factors)


def _plus(*terms):
    return None if None in terms else sum(terms)


def c01(case, wire, **_):
    return case.heating, case.balance(wire)


def c02(case, wire, **_):
    binds = case.place.rule["ampacity table"] and not case.place.cranking
    return (case.heating, case.by_table(wire)) if binds else None


def c03(case, wire, **_):
    return case.warm(wire)[0], wire["rating"]


def c04(case, wire, **_):
    return case.warm(wire)[0], case.place.limits[0]


def c05(case, wire, **_):
    return case.warm(wire)[0], case.place.limits[1]


def c06(case, wire, **_):
    return max(case.hot), wire["rating"]


def _path_ohm(case, wire, fuse):
    place = case.place
    metal = case.warm(wire)[0]
    if metal is None or case.length is None or place.chassis_ohm is None:
        return None
    devices = place.devices * (fuse["ohm"] or 0.0) if fuse and place.devices else 0.0
    return warm_resistance(wire, metal) * case.skin(wire) * case.length * place.legs + place.chassis_ohm + devices


def c07(case, wire, fuse, **_):
    if not case.place.asks_device and case.place.drop is None:
        return None  # an alternator's leads have no share in a load's limit: only what the row states
    return _plus(_times(case.current, _path_ohm(case, wire, fuse)), case.place.way_drop), case.place.drop


def c08(case, wire, fuse, **_):
    if case.peak is None:
        return None
    own, way = _times(case.peak, _path_ohm(case, wire, fuse)), case.place.way_drop
    if not case.place.of_load:
        return own, case.place.peak_drop
    more = None if case.current is None else case.peak - case.current
    return _plus(own, way, _times(case.place.way_ohm, more)), case.place.peak_drop


def c09(case, wire, **_):
    least = None
    for row in case.place.tables.smallests:
        if row["table"] != case.place.rule["smallest table"]:
            continue
        if row["condition"] == "short" and case.length is None:
            return wire["area"], None
        short = row["condition"] == "short" and case.length <= number(row["longest [m]"])
        if row["condition"] == "single" or (row["condition"] == "sheathed" and case.place.sheathed) or short:
            area = number(row["least area [mm2]"])
            least = area if least is None else min(least, area)
    return wire["area"], least


def _harmless(case, wire):
    """A supply that cannot feed more than the wire carries for good needs no device for it; None where unknown."""
    carries = case.balance(wire)
    return None if carries is None or case.fault is None else case.fault <= carries


def c10(case, wire, fuse, **_):
    if fuse is None and not case.place.device_unknown:
        return None
    harmless = _harmless(case, wire)
    if harmless or harmless is None:
        return None if harmless else (None, None)
    stands = adiabatic(wire, wire["rating"], wire["short circuit"]) * wire["area"]
    if fuse is None:
        return None, stands**2
    return lets_through(case, fuse)[0], stands**2


def c11(case, wire, fuse, **_):
    if fuse is None and not case.place.device_unknown:
        return None
    harmless = _harmless(case, wire)
    if harmless or harmless is None:
        return None if harmless else (None, None)
    if fuse is None:
        return None, 5.0
    return lets_through(case, fuse)[1], 5.0


def c33(case, wire, fuse, **_):
    """Ohm's law for a short at the far end: once with a cold wire, to see whether it matters, once with a warm one."""
    place = case.place
    if (fuse is None and not place.device_unknown) or place.cranking:
        return None
    carries, short, rest = case.balance(wire), place.fault and place.fault[0], place.way_ohm
    if None in (carries, short, rest, case.length, place.chassis_ohm):
        return None, 5.0
    if short == 0:
        return None, 5.0
    supply = place.nominal / short
    cold = warm_resistance(wire, case.ambient) * case.length * place.legs + place.chassis_ohm
    if place.nominal / (supply + rest + cold) <= carries:
        return None
    warm = _path_ohm(case, wire, fuse)
    if warm is None or fuse is None:
        return None, 5.0
    multiple = place.nominal / (supply + rest + warm) / fuse["rating"]
    if fuse["longest"] and multiple < fuse["longest"][0][0]:
        return NEVER, 5.0
    return opening(fuse["longest"], multiple, fuse["breaker"]), 5.0


def c12(case, wire, **_):
    return wire["voltage"], case.place.highest


def _stands(zone, fluid):
    def check(case, wire, **_):
        return (wire[fluid], True) if case.place.zone[zone] else None

    return check


def c18(case, wire, **_):
    return wire["coldest"], case.place.coldest


def c19(case, wire, **_):
    if not yes(case.place.rule["stranded copper only"]):
        return None
    return wire["metal"] == "copper" and wire["strands"] != "solid", True


def c20(case, wire, **_):
    """IEC 60228: class 2 is for fixed installation, class 5 is flexible."""
    return (wire["strands"] in ("stranded", "class 5"), True) if case.place.zone["vibrates"] else None


def c21(case, wire, **_):
    if case.peak is None or (case.peak_time is not None and case.peak_time > 60):
        return None
    metal = case.warm(wire)[0]
    if metal is None or case.peak_time is None:
        return case.peak, None
    heat = case.peak_time * case.skin(wire)
    return case.peak, adiabatic(wire, metal, wire["rating"]) * wire["area"] / math.sqrt(heat)


def c22(case, wire, **_):
    if case.place.beside < 1:
        return None
    own = wire["rating"]
    neighbour = 70.0 + ZERO  # nobody says what the others are rated for
    return case.warm(wire)[1], own if case.place.beside < case.place.own_circuit else min(own, neighbour)


def c23(case, wire, **_):
    return None if case.place.zone["engine space"] else (case.warm(wire)[0], 90.0 + ZERO)


def c24(case, **_):
    return (yes(case.place.rule["chassis return allowed"]), True) if case.place.returns == "chassis" else None


def c25(case, wire, fuse, **_):
    if not case.place.asks_device:
        return None
    if fuse is not None or case.place.device_unknown or case.place.is_return or case.place.cranking:
        return True, True
    return _harmless(case, wire), True


def c26(case, **_):
    stated = case.place.stated_current
    return None if stated is None else (stated[0], case.place.line_rms)


def c27(case, wire, **_):
    return None if case.place.asks_device else (wire["voltage"], case.place.line_voltage)


def c28(case, **_):
    return case.place.field


def c30(case, fuse, own, **_):
    return (fuse["rating"], 3.0) if own and case.place.row.get("purpose") == "sense" else None


def c31(case, fuse, own, **_):
    return (fuse["rating"], 1.0) if own and case.place.row.get("purpose") == "sense" else None


def p01(case, fuse, own, **_):
    if not own:
        return None
    factor = straight(fuse["ambients"], case.ambient) if fuse["ambients"] else None
    return case.heating, _times(fuse["rating"], factor, 1 / case.place.load_factor)


def p02(case, fuse, own, **_):
    if not own or case.peak is None:
        return None
    seconds = opening(fuse["shortest"], case.peak / fuse["rating"], fuse["breaker"])
    return seconds, _times(2.0, case.peak_time)


def p03(case, fuse, own, **_):
    return (fuse["voltage"], case.place.highest) if own else None


def p04(case, fuse, own, **_):
    return (fuse["breaking"], case.fault) if own else None


def p05(case, fuse, own, **_):
    return (fuse["ignition"], True) if own and case.place.zone["fuel vapour"] else None


def p06(case, own, **_):
    rule, place = case.overcurrent(), case.place
    if not own or place.cranking or rule["distance [m]"] is None:
        return None
    limits = [rule["distance [m]"]]
    if place.sheathed:
        limits.append(rule["distance sheathed [m]"])
    if place.at_battery:
        limits.append(rule["distance at battery [m]"])
    return place.distance, max(limits)


def p07(case, own, **_):
    return (not own or yes(case.place.rule["two-pole protection"]), True) if case.place.is_return else None


def p08(case, wire, fuse, **_):
    if fuse is None:
        return None
    return fuse["rating"], _times(case.overcurrent()["multiple of balance"], case.balance(wire))


def p09(case, wire, fuse, **_):
    if fuse is None:
        return None
    opens = fuse["opens"]
    limit = _times(case.overcurrent()["conventional multiple"], case.balance(wire))
    return _times(fuse["rating"], opens), limit


def _by_table(case, fuse):
    return (
        fuse is not None
        and not case.place.cranking
        and case.place.rule["ampacity table"]
        and case.overcurrent()["multiple of table"]
    )


def p10(case, wire, fuse, **_):
    if not _by_table(case, fuse):
        return None
    return fuse["rating"], _times(case.overcurrent()["multiple of table"], case.by_table(wire))


def p11(case, wire, fuse, **_):
    return (fuse["below"], case.by_table(wire)) if _by_table(case, fuse) else None


def p12(case, wire, fuse, **_):
    return (fuse["rating"], case.by_table(wire)) if _by_table(case, fuse) else None


def p13(case, fuse, own, **_):
    """Holder: its surroundings and the device's own heat, 40 K at full rating."""
    if not own:
        return None
    rise = None if case.heating is None else 40.0 * (case.heating / fuse["rating"]) ** 2
    return None if rise is None else case.ambient + rise, 75.0 + ZERO


def p14(case, fuse, own, **_):
    multiple = case.overcurrent()["generator multiple"]
    if not own or not case.place.machine or multiple is None:
        return None
    return fuse["rating"], _times(multiple, case.place.machine_rating)


def p15(case, fuse, own, **_):
    """A device of more than 10 A and more than three times what the load asks, or its peak, does not protect the load."""
    if not own or case.place.row.get("purpose") == "sense":
        return None
    factor = straight(fuse["ambients"], case.ambient) if fuse["ambients"] else None
    if case.heating is None or not factor:
        return fuse["rating"], None
    asked = max(case.heating * case.place.load_factor / factor, case.peak or 0.0)
    return fuse["rating"], max(3.0 * asked, 10.0)


def l01(wire, lug, **_):
    return wire["area"], lug["least"]


def l02(wire, lug, **_):
    return wire["area"], lug["greatest"]


def l03(wire, lug, **_):
    return wire["diameter"], lug["bore"]


def l04(case, lug, end, **_):
    return lug["hole"], case.place.studs[end]


def l05(case, lug, end, **_):
    stud = case.place.studs[end]
    return None if stud is None else lug["hole"] - stud, 1.0


def l06(case, lug, end, **_):
    space = case.place.palms[end]
    return None if space is None else (lug["palm"], space)


def _at_lug(case, wire, end):
    metal = case.warm(wire)[0]
    return None if metal is None else max(metal, case.hot[end])


def l07(case, wire, lug, end, **_):
    return _at_lug(case, wire, end), lug["limit"]


def l08(wire, lug, **_):
    takes = {"nickel": ("nickel", "copper")}.get(lug["metal"], (lug["metal"],))  # nickel is drawn over copper too
    return wire["metal"] in takes, True


def l09(wire, lug, **_):
    return wire["strands"] in lug["strands"], True


def l10(case, lug, **_):
    return (lug["plating"] != "bare", True) if case.place.zone["wet"] else None


def l11(wire, lug, **_):
    return (wire["area"], 6.0) if lug["insulated"] else None


def s01(sleeve, lug, **_):
    return None if lug is None else (sleeve["supplied"], lug["barrel"])


def s02(sleeve, wire, **_):
    return sleeve["supplied"], wire["outer"]


def s03(sleeve, wire, **_):
    return sleeve["recovered"], wire["outer"]


def s04(case, sleeve, wire, end, **_):
    return _at_lug(case, wire, end), sleeve["rating"]


CODED = {
    "C01": c01, "C02": c02, "C03": c03, "C04": c04, "C05": c05, "C06": c06, "C07": c07, "C08": c08, "C09": c09,
    "C10": c10, "C11": c11, "C12": c12, "C13": _stands("oil", "oil"), "C14": _stands("fuel vapour", "fuel"),
    "C15": _stands("wet", "wet"), "C16": _stands("sun", "sun"), "C17": _stands("engine space", "engine space"),
    "C18": c18, "C19": c19, "C20": c20, "C21": c21, "C22": c22, "C23": c23, "C24": c24, "C25": c25,
    "C26": c26, "C27": c27, "C28": c28, "C30": c30, "C31": c31, "C33": c33,
    "P01": p01, "P02": p02, "P03": p03, "P04": p04, "P05": p05, "P06": p06, "P07": p07, "P08": p08, "P09": p09,
    "P10": p10, "P11": p11, "P12": p12, "P13": p13, "P14": p14, "P15": p15,
    "L01": l01, "L02": l02, "L03": l03, "L04": l04, "L05": l05, "L06": l06, "L07": l07, "L08": l08, "L09": l09,
    "L10": l10, "L11": l11, "S01": s01, "S02": s02, "S03": s03, "S04": s04,
}  # fmt: skip

# What each check needs before it can be asked, cheap ones first. Device alone, wire alone, device with wire.
OF_DEVICE = ("P03", "P05", "P06", "P07", "P04", "P01", "P02", "P14")
OF_WIRE = ("C19", "C24", "C12", "C27", "C28", "C13", "C14", "C15", "C16", "C17", "C18", "C09", "C06", "C02", "C01", "C03",
           "C04", "C05", "C21", "C22")  # fmt: skip
OF_PAIR = ("C25", "P11", "P10", "P08", "P09", "C11", "C10", "C07", "C08", "C33")
OF_HOLE = ("L04", "L05", "L06")
OF_BARREL = ("L01", "L02", "L03", "L08", "L09", "L11")
OF_LUG = ("L07",)
OF_BORE = ("S02", "S03")
OF_SLEEVE = ("S01", "S04")
SHOULD = ("C20", "C23", "C26", "C30", "C31", "P12", "P13", "P15", "L10")
ASKED = frozenset(OF_DEVICE + OF_WIRE + OF_PAIR + OF_HOLE + OF_BARREL + OF_LUG + OF_BORE + OF_SLEEVE + SHOULD)


# ------------------------------------------------------------------------------------------------------- the choice


WIRES = ("cable", "control wire")


class Reading:
    """The rules of one project, read a second time."""

    coded = CODED

    def __init__(self, tables, project, rules=None):
        self.tables, self.project = tables, project
        self.settings = {r["setting"]: r["value"] for r in project["settings.csv"]}
        self.rule = tables.rule_sets[rules or self.settings.get("rule set") or tables.defaults["rule set"]]
        self.rows = {r["code"]: r for r in tables.checks}
        self.asks = {c: (r["sense"] == "at most", r["unit"], self._spare(r)) for c, r in self.rows.items()}
        self.solved, self.solved_alone, self.remembered, self.losses = {}, {}, {}, {}
        self.is_alone, self.tightened = False, None

    def _spare(self, row):
        if row["spare"] == "yes":
            own = self.settings.get(f"spare {row['code']} [%]")
            return number(own if own is not None else self.settings.get("spare [%]") or "0") / 100
        return number(self.settings.get(f"spare {row['code']} [K]") or "0") if row["spare"] == "K" else 0.0

    def judge(self, code, cases, **parts):
        """Pass, unknown or fail over every case; a fail anywhere outweighs an unknown."""
        verdict, read = PASS, self.coded[code]
        for case in cases:
            found = read(case=case, **parts)
            if found is None:
                continue
            actual, limit = found
            if actual is None or limit is None:
                verdict = UNKNOWN
            elif not self._holds(code, actual, limit):
                return FAIL
        return verdict

    def _holds(self, code, actual, limit):
        at_most, unit, spare = self.asks[code]
        if unit == "yes/no":
            return actual == limit
        left = limit - actual if at_most else actual - limit
        if unit == "degC":
            return left >= spare - BOUND
        return left >= 0 if limit == 0 else left / abs(limit) >= spare - BOUND

    def barrels(self, wire):
        """By lug: whether its barrel takes the wire's metal. These checks know no place and take no spare."""
        key = tuple(wire[name] for name in ("area", "diameter", "metal", "strands"))
        if key not in self.tables.barrels:
            lugs = sorted(self.tables.lugs, key=lambda lug: lug["place"])
            self.tables.barrels[key] = [self.worst(OF_BARREL, (None,), wire=wire, lug=lug) for lug in lugs]
        return self.tables.barrels[key]

    def bores(self, wire):
        """By sleeve: whether it goes over the wire and grips it."""
        if wire["outer"] not in self.tables.bores:
            found = [self.worst(OF_BORE, (None,), wire=wire, sleeve=sleeve) for sleeve in self.tables.sleeves]
            self.tables.bores[wire["outer"]] = found
        return self.tables.bores[wire["outer"]]

    def worst(self, codes, cases, **parts):
        verdict = PASS
        for code in codes:
            one = self.judge(code, cases, **parts)
            if one == FAIL:
                return FAIL
            if one == UNKNOWN:
                verdict = UNKNOWN
        return verdict

    # ............................................................................................. order

    def wire_list(self, place):
        systems = _words(self.settings.get("size systems")) or None
        bought = _words(self.settings.get("insulations"))
        wanted = float(self.rule["insulation order [degC]"])
        first_system = systems[0] if systems else self.rule["size system"]

        def order(wire):
            off_class = abs(wire["rating"] - ZERO - wanted) > BOUND
            turn = bought.index(wire["insulation"].casefold()) if bought else off_class
            coating = ("tinned", "plain").index(wire["coating"]) if wire["coating"] in ("tinned", "plain") else 2
            return (
                wire["exotic"],
                wire["system"].casefold() != first_system.casefold(),
                wire["strands"] == "solid",
                coating if place.zone["wet"] else 0,
                turn,
                wire["area"],
                STRANDINGS.index(wire["strands"]) if place.zone["vibrates"] else 0,
                wire["outer"],
                wire["rating"],
                wire["place"],
            )

        fixed, insulation = place.fixed.get("conductor"), place.fixed.get("insulation")
        if fixed:
            return [w for w in self.tables.wires if w["key"] == fixed]
        wires = [w for w in self.tables.wires if not bought or w["insulation"].casefold() in bought]
        if insulation:
            wires = [w for w in self.tables.wires if w["insulation"] == insulation]
            if bought:
                bought = [*bought, insulation.casefold()]
        if systems:
            wires = [w for w in wires if w["system"].casefold() in systems]
        return sorted(wires, key=order)

    def fuse_list(self, place, inherited):
        if inherited:
            return [inherited]
        if not place.own_device:
            return [None]
        fixed = place.fixed.get("protection")
        if fixed:
            return [f for f in self.tables.fuses if f["key"] == fixed]
        stated = _words(self.settings.get("fuse classes"))
        order = stated or _words(self.tables.defaults["fuse classes"])

        def turn(fuse):
            return min(
                [order.index(w) for w in (fuse["group"], fuse["class"].casefold()) if w in order] or [len(order)]
            )

        bought = [f for f in self.tables.fuses if not stated or turn(f) < len(order)]
        reach = self._reach(bought, place.cases())
        return sorted(bought, key=lambda f: (f["rating"] > reach, turn(f), *fuse_order(f)))

    def _reach(self, fuses, cases):
        """Greatest rating that the order of classes may choose: some times the least that complies by itself.

        What nobody knows complies only where nothing complies for certain.
        """
        verdicts = [self.worst(OF_DEVICE, cases, fuse=f, own=True) for f in fuses]
        for enough in ((PASS,), (PASS, UNKNOWN)):
            ratings = [f["rating"] for f, verdict in zip(fuses, verdicts, strict=True) if verdict in enough]
            if ratings:
                times, small = (number(self.tables.defaults[name]) for name in ("near rating", "small device"))
                return max(min(ratings) * times, small) + BOUND
        return math.inf

    def solve(self, name):
        """Status and picked keys of a connection."""
        if self.tightened is None:
            self.tightened = {}
            self._tighten()
            self._settle()
        memory = self.solved_alone if self.is_alone else self.solved
        if name not in memory:
            memory[name] = self._solve(self.row(name))
        return memory[name]

    def _settle(self):
        """What every piece loses, from what was picked the round before, until it stays."""
        names = [r["connection"] for r in self.project["connections.csv"] if r["kind"] in WIRES]
        self.is_alone = True
        for name in self.tightened:
            self.solved_alone.pop(name)
        self.losses = {name: self._lost(name) for name in names}
        self.is_alone = False
        for _ in range(30):
            self.solved = {}
            losses = {name: self._lost(name) for name in names}
            if losses == self.losses:
                return
            self.losses = losses
        raise AssertionError("the losses never settle")

    def row(self, name):
        return next(r for r in self.project["connections.csv"] if r["connection"] == name)

    # ............................................................................... what shares a load's limit

    def _tighten(self):
        """Limits of pieces that lose too much together while each stands alone; none that would leave a row unserved."""
        self.is_alone, found = True, {}
        for row in self.project["connections.csv"]:
            place = self.place(row) if row["kind"] in WIRES else None
            if place is None or not place.of_load or place.is_return:
                continue
            pieces = self._others(row)
            for code, current, limit in (("C07", place.current, place.drop), ("C08", place.peak, place.peak_drop)):
                if current is None or limit is None or not pieces or pieces == [None]:
                    continue
                for name, share in self._split(row, pieces, current[-1], limit * (1 - self.asks[code][2])).items():
                    found[name] = min(share / (1 - self.asks["C07"][2]), found.get(name, math.inf))
        for name, limit in found.items():
            before = self.solve(name)[0]
            memory, self.tightened = self.solved_alone.pop(name), {name: limit}
            after = self.solve(name)[0]
            self.solved_alone[name], self.tightened = memory, {}
            if after == "unserved" != before:
                found[name] = None
        self.is_alone = False
        self.tightened = {name: limit for name, limit in found.items() if limit is not None}

    def _split(self, row, pieces, current, whole):
        """Shares of a limit by length and root of current, none larger than what the piece loses anyway; by halving."""
        own = self.place(row).current
        if own is None:
            return {}
        lost, weight, flows, services = {}, {}, {}, {}
        for name in [row["connection"], *pieces]:
            place, ohm = self.place(self.row(name)), self._lost(name)[1]
            if place.current is None or place.length is None or ohm is None:
                return {}
            services[name] = place.current[-1]
            flows[name] = current if name == row["connection"] else services[name] + current - own[-1]
            lost[name] = ohm * flows[name]
            free = not self.row(name).get("conductor")
            weight[name] = place.length[-1] * place.legs * math.sqrt(max(flows[name], 0.0)) if free else 0.0
        left = whole - sum(lost[name] for name in lost if not weight[name])
        if sum(lost.values()) <= whole or left <= 0 or not any(weight.values()):
            return {}
        low, high = 0.0, max(lost[name] / weight[name] for name in lost if weight[name])
        for _ in range(200):
            middle = (low + high) / 2
            if sum(min(lost[name], middle * weight[name]) for name in lost if weight[name]) > left:
                high = middle
            else:
                low = middle
        return {
            name: low * weight[name] * services[name] / flows[name]
            for name in pieces
            if weight[name] and services[name] and low * weight[name] < lost[name] * (1 - 1e-12)
        }

    def _lost(self, name):
        return self.loss(name, *self.solve(name))

    def loss(self, name, status, parts):
        """(volts, ohms) at most of a piece with these parts; nothing where nothing serves it, None where not known."""
        if status == "unserved":  # a wire of the user's own is there, and loses what it loses
            fixed = self.row(name).get("conductor")
            if not fixed:
                return 0.0, 0.0
            parts = {"conductor": fixed, "protection": self.row(name).get("protection")}
        place = self.place(self.row(name))
        wire = next(w for w in self.tables.wires if w["key"] == parts["conductor"])
        fuse = next((f for f in self.tables.fuses if f["key"] == parts.get("protection")), None)
        ohms = [(case.current, _path_ohm(case, wire, fuse)) for case in place.cases()]
        volts = [_times(*pair) for pair in ohms]
        known = [v for v in volts if v is not None], [o for _, o in ohms if o is not None]
        return tuple(max(values) if values else None for values in known)

    def _others(self, row):
        """Names of the other pieces between the supply and the far end of a row; [None] where one has no known drop."""
        nodes = {n["node"]: n for n in self.project["nodes.csv"]}
        supplies = {s["node"]: s for s in self.project["supplies.csv"]}

        def grounded(name):
            return nodes[name]["role"] == "ground"

        wires = [r for r in self.project["connections.csv"] if r["kind"] in WIRES]
        onward = [r for r in wires if not grounded(r["from"]) and not grounded(r["to"])]
        reached = {}
        for batteries in (True, False):
            edge = [n for n, s in supplies.items() if (s["type"] == "battery") == batteries and n not in reached]
            reached.update(dict.fromkeys(edge))
            while edge:
                new = []
                for node in edge:
                    for other in onward:
                        far = {other["from"]: other["to"], other["to"]: other["from"]}.get(node)
                        if far is not None and far not in reached:
                            reached[far] = other, node
                            new.append(far)
                edge = new
        ends_of_row = (row["from"], row["to"])
        if not any(end in reached for end in ends_of_row):
            return []
        near = row["to"] if reached.get(row["from"]) and reached[row["from"]][0] is row else row["from"]
        far = row["to"] if near == row["from"] else row["from"]
        names, node = [], near
        while reached.get(node):
            names.append(reached[node][0]["connection"])
            node = reached[node][1]
        back = [r for r in wires if far in (r["from"], r["to"]) and (grounded(r["from"]) or grounded(r["to"]))]
        if grounded(far) or not back:
            return names
        homeward = [
            r for r in wires if all(grounded(r[e]) or r[e] in supplies for e in ("from", "to")) and r not in onward
        ]
        home, edge = {n: [] for n, s in supplies.items() if s["type"] == "battery"}, None
        home = home or {n: [] for n in supplies}
        edge = list(home)
        while edge:
            new = []
            for node in edge:
                for other in homeward:
                    beyond = {other["from"]: other["to"], other["to"]: other["from"]}.get(node)
                    if beyond is not None and beyond not in home:
                        home[beyond] = [other["connection"], *home[node]]
                        new.append(beyond)
            edge = new
        (last,) = back
        return [*names, last["connection"], *home.get(last["to"] if last["from"] == far else last["from"], [])]

    def find_way(self, place, row):
        """Put in place what other pieces leave this row: what they lose, their resistance, its share of a limit."""
        if row["kind"] not in WIRES:
            return
        if row["connection"] in self.tightened:
            place.drop = self.tightened[row["connection"]]
        if self.is_alone or place.is_return:
            return
        lost = [self.losses[name] for name in self._others(row)]
        place.way_ohm = _plus(0.0, *(ohm for _, ohm in lost))
        place.way_drop = _plus(0.0, *(volts for volts, _ in lost)) if place.of_load else 0.0

    def _solve(self, row):
        place = self.place(row)
        self.find_way(place, row)
        inherited = None
        if not place.own_device and place.asks_device:
            inherited = self._from_others(row, place)
        key = (row["connection"], place.way_drop, place.way_ohm, place.drop, inherited and inherited["key"],
               place.device_unknown)  # fmt: skip
        if key not in self.remembered:
            self.remembered[key] = self._search(place, inherited)
        return self.remembered[key]

    def _search(self, place, inherited):
        search = Search(self, place, inherited)
        for unknown_passes in (False, True):
            for exotic in (False, True):
                found = search.first(unknown_passes, exotic, ())
                if found is None:
                    continue
                found = self._avoid(search, found, unknown_passes, exotic)
                parts = found if "protection" in place.roles else {r: found[r] for r in found if r != "protection"}
                return ("incomplete" if unknown_passes else "served"), parts
        if place.guessed_ends and Search(self, place, inherited, place.guessed_ends).first(True, True, ()) is not None:
            return "incomplete", None  # only a temperature that nobody stated stands in the way
        return "unserved", None

    def place(self, row):
        return Place(self.tables, self.project, row, self.rule, self.settings)

    def _from_others(self, row, place):
        """The device of the row named, or of the first row towards the supply."""
        before = self._before(row)
        others = [place.protected_by] if place.protected_by else before
        for name in others:
            _, parts = self.solve(name)
            if parts and parts["protection"]:
                return next(f for f in self.tables.fuses if f["key"] == parts["protection"])
        place.device_unknown = bool(place.protected_by) or any(self.awaits_device(name) for name in before)
        return None

    def _before(self, row):
        return [r["connection"] for r in self.project["connections.csv"] if r["to"] == row["from"]]

    def awaits_device(self, name):
        """Whether a row has a device, its own or one before it, even if no part for it is known yet."""
        row = next(r for r in self.project["connections.csv"] if r["connection"] == name)
        place = self.place(row)
        if place.own_device or place.protected_by:
            return True
        return any(self.awaits_device(other) for other in self._before(row))

    def _avoid(self, search, found, unknown_passes, exotic):
        """Should-findings that are taken only where nothing a few sizes larger is without them, in the file's order."""
        kept = []
        for row in self.tables.checks:
            sizes = number(row["avoid within"]) or 0
            own = row["role"] in ("conductor", "protection")
            if not sizes or not own or search.should(row["code"], found) != FAIL:
                continue
            better = search.first(unknown_passes, exotic, (*kept, row["code"]))
            if better is None:
                continue
            wires = {w["key"]: w for w in self.tables.wires}
            old, new = wires[found["conductor"]], wires[better["conductor"]]
            between = [a for a in self.tables.areas[new["system"]] if old["area"] < a <= new["area"]]
            if len(between) <= sizes:
                found = better
                kept.append(row["code"])
        return found


def _words(text):
    return [word.strip().casefold() for word in (text or "").replace(";", ",").split(",") if word.strip()]


class Search:
    """Nested loops over one place: device, wire, each end's lug and sleeve."""

    def __init__(self, reading, place, inherited, unasked_ends=()):
        self.reading, self.place, self.inherited = reading, place, inherited
        self.unasked_ends = unasked_ends  # ends whose terminal's heat is asked of no part
        self.cases = place.cases()
        self.own = place.own_device
        self.wires = reading.wire_list(place)
        self.fuses = reading.fuse_list(place, inherited)
        wet = place.zone["wet"]
        self.sleeves = sorted(reading.tables.sleeves, key=lambda s: sleeve_order(s, wet))
        styles = _words(reading.settings.get("lug styles"))
        self.lugs = [g for g in reading.tables.lugs if not styles or g["style"].casefold() in styles]
        self.memory = {}

    def verdict(self, codes, *key, **parts):
        """The worst verdict of some checks on some parts, worked out once."""
        if key not in self.memory:
            unasked = self._unasked(parts.get("end"))
            self.memory[key] = self.reading.worst([c for c in codes if c not in unasked], self.cases, **parts)
        return self.memory[key]

    def _unasked(self, end):
        """Checks on a terminal's heat that are not asked: of the wire, or of what is crimped on at one end."""
        if end is None:
            return ("C06",) if self.unasked_ends else ()
        return ("L07", "S04") if end in self.unasked_ends else ()

    def should(self, code, found):
        wire = next(w for w in self.reading.tables.wires if w["key"] == found["conductor"])
        fuse = next((f for f in self.reading.tables.fuses if f["key"] == found["protection"]), None)
        return self.reading.judge(code, self.cases, wire=wire, fuse=fuse, own=self.own)

    def first(self, unknown_passes, exotic, musts):
        good = (PASS, UNKNOWN) if unknown_passes else (PASS,)
        wires = [w for w in self.wires if exotic or not w["exotic"] or "conductor" in self.place.fixed]
        for fuse in self.fuses:
            own = self.own and fuse is not None
            key = fuse["key"] if fuse else None
            if self.verdict(OF_DEVICE, "device", key, fuse=fuse, own=own) not in good:
                continue
            for wire in wires:
                if self.verdict(OF_WIRE, "wire", wire["key"], wire=wire, fuse=None) not in good:
                    continue
                if self.verdict(OF_PAIR, "pair", key, wire["key"], wire=wire, fuse=fuse, own=own) not in good:
                    continue
                if musts and self.reading.worst(musts, self.cases, wire=wire, fuse=fuse, own=own) not in good:
                    continue
                finds = self._ends(wire, good, exotic)
                if finds is not None:
                    return {"protection": key, "conductor": wire["key"], **finds}
            if fuse is not self.fuses[-1]:
                wires = [wire for wire in wires if self._usable(wire, good, exotic)]
            if not wires:
                return None  # no wire does here, whatever the device
        return None

    def _usable(self, wire, good, exotic):
        if self.verdict(OF_WIRE, "wire", wire["key"], wire=wire, fuse=None) not in good:
            return False
        return self._ends(wire, good, exotic) is not None

    def _ends(self, wire, good, exotic):
        key = ("ends", wire["key"], good, exotic)
        if key not in self.memory:
            parts = {}
            for end, name in enumerate(("from", "to")):
                found = self._end(end, name, wire, good, exotic)
                if found is None:
                    parts = None
                    break
                parts[f"lug {name}"] = found[0]
                if f"sleeve {name}" in self.place.roles:
                    parts[f"sleeve {name}"] = found[1]
            self.memory[key] = parts
        return self.memory[key]

    def _end(self, end, name, wire, good, exotic):
        """First lug of one end that has a sleeve, and that sleeve."""
        fixed_sleeve = self.place.fixed.get(f"sleeve {name}")
        sleeved = f"sleeve {name}" in self.place.roles and fixed_sleeve != "none"
        if self.place.bare[end] and not fixed_sleeve and not self.place.fixed.get(f"lug {name}"):
            sleeved = False  # a terminal without a stud takes the bare wire
        barrels = self.reading.barrels(wire)
        for lug in self._lugs_at(end, name, good):
            if lug is not None:
                if barrels[lug["place"]] not in good:
                    continue
                key = ("lug", end, wire["key"], lug["key"])
                if self.verdict(OF_LUG, *key, wire=wire, lug=lug, end=end) not in good:
                    continue
            if not sleeved:
                return (lug["key"] if lug else None), None
            sleeve = self._sleeve(end, wire, lug, good, exotic, fixed_sleeve)
            if sleeve is not None:
                return (lug["key"] if lug else None), sleeve["key"]
        return None

    def _lugs_at(self, end, name, good):
        """The lugs in question at an end: those whose hole and palm suit it, whatever the wire."""
        fixed = self.place.fixed.get(f"lug {name}")
        if fixed == "none" or (self.place.bare[end] and not fixed):
            return [None]
        key = ("lugs", end, good)
        if key not in self.memory:
            lugs = [g for g in self.reading.tables.lugs if g["key"] == fixed] if fixed else self.lugs
            self.memory[key] = [
                g for g in lugs if self.reading.worst(OF_HOLE, self.cases, lug=g, end=end, wire=None) in good
            ]
        return self.memory[key]

    def _sleeve(self, end, wire, lug, good, exotic, fixed):
        bores = self.reading.bores(wire)
        for sleeve in self.sleeves:
            if bores[sleeve["place"]] not in good or (fixed and sleeve["key"] != fixed):
                continue
            if sleeve["exotic"] and not exotic and not fixed:
                continue
            key = ("sleeve", end, wire["key"], lug["key"] if lug else "", sleeve["key"])
            if self.verdict(OF_SLEEVE, *key, wire=wire, lug=lug, sleeve=sleeve, end=end) in good:
                return sleeve
        return None
