"""The rules of what hangs on an alternator read a second time: plain loops, published formulas, nothing shared.

As in second_reading.py nothing of the program is imported. What a cable and a phase lead have in common stands there;
what is added here comes from these papers:

- currents of a bridge: line rms over dc current of a smooth dc side, sqrt(2/3) for three phases, 1 for one; of sine
  waves in the lines, pi/(3 sqrt 2) and pi/(2 sqrt 2) (power-electronics textbooks, uncontrolled rectifiers);
- skin effect: Re[z J0(z) / 2 J1(z)] of a round wire, z = x exp(-j pi/4), x^2 = 2 mu f / R (IEC 60287-1-1), Bessel
  functions by scipy; orders and weights are those of blocks of current (120 degrees in three lines, 180 in two), 1/n
  up to 25, what is left at order 25: commutation rounds the blocks;
- heat of a diode V0 Iav + r Irms^2 (application note on conduction losses); a sink's 75 K figure by the quarter power of
  its rise, 0.435 of it at 2 m/s (heat sink catalogues);
- load dumps by the pulse of ISO 16750-2, short pulses by ISO 7637-2, both integrated step by step (Gauss-Legendre);
  energy of a rating 1.4 P w (application note on transient energy), its derating a straight line (MIL-PRF-19500/500);
- room for equal circles in a circle: Kravitz 1967; inductance of a straight wire: Terman 1943.
"""

import cmath
import itertools
import math
import re

import numpy as np
from scipy import special

from tests.cases import second_reading as reading
from tests.cases.second_reading import ZERO, ends, number, yes

MU_0 = 4e-7 * math.pi
DIODE = 1.1  # V, a silicon diode at its rated current, upper end of printed lines
ORDERS = {3: (1, 5, 7, 11, 13, 17, 19, 23, 25), 2: (1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25)}
WHOLE = {3: math.pi**2 / 9, 2: math.pi**2 / 8}  # sums of 1/n^2 over every order


class Machine:
    """An alternator of supplies.csv, what is usual where it says nothing taken from typicals.csv at the unsafe end."""

    def __init__(self, tables, supply):
        self.row = supply
        self.rated = number(supply.get("rated current [A]"))
        self.highest = number(supply.get("highest [V]"))
        phases = number(supply.get("phases")) or 3
        self.lines = 2 if phases == 1 else int(phases)
        self.delta = supply.get("winding") == "delta"
        model = supply.get("source model") or tables.defaults["source model"]
        self.sine = model == "reactance-limited"
        if self.sine:
            self.ratio = math.pi / 2 / math.sqrt(2) if phases == 1 else math.pi / 3 / math.sqrt(2)
        elif model == "stiff":
            self.ratio = 1.0 if phases == 1 else math.sqrt(2 / 3)
        else:
            self.ratio = float(model)
        poles = number(supply.get("poles")) or usual(tables, "poles", "alternator", "high")
        speed = ends(supply.get("speed range [rpm]"))
        fastest = speed[1] if speed else usual(tables, "speed", "alternator", "high")
        self.highest_frequency = poles / 2 * fastest / 60

    @property
    def line_rms(self):
        return None if self.rated is None else self.ratio * self.rated


def usual(tables, what, subject, end):
    """A typical value; None where the table has none."""
    return next((number(r[end]) for r in tables.typicals if (r["what"], r["subject"]) == (what, subject)), None)


# ------------------------------------------------------------------------------------------------------ phase leads


def round_wire(frequency, ohm_per_metre):
    """A.c. over d.c. resistance of a round wire."""
    z = math.sqrt(2 * MU_0 * frequency / ohm_per_metre) * cmath.exp(-0.25j * math.pi)
    return (z * special.jve(0, z) / (2 * special.jve(1, z))).real


def blocks(frequency, ohm_per_metre, lines, memory={}):  # noqa: B006 - the memory is meant to stay
    """The same for blocks of current: of 120 degrees in three lines, of 180 degrees in two."""
    key = (frequency, ohm_per_metre, lines)
    if key not in memory:
        squares = {n: 1 / n**2 for n in ORDERS[lines]}
        squares[25] += WHOLE[lines] - sum(squares.values())
        memory[key] = sum(w * round_wire(n * frequency, ohm_per_metre) for n, w in squares.items()) / WHOLE[lines]
    return memory[key]


OF_HOT_END = frozenset({"C06", "L07", "S04"})
"""Checks that rest on how warm a terminal is in service, which nobody may have measured."""


class PhaseLead(reading.Place):
    """The three leads of one row, two for a single phase."""

    guessed = frozenset()
    asks_device = False
    own_circuit = 3

    def __init__(self, tables, project, row, rule, settings):
        supplies = {s["node"]: s for s in project["supplies.csv"]}
        ends_at = [n for n in (row["from"], row["to"]) if supplies.get(n, {}).get("type") == "alternator"]
        self.machine = Machine(tables, supplies[ends_at[0]])
        super().__init__(tables, project, row, rule, settings)
        if self.machine.highest is not None:
            self.highest = max(self.highest or 0.0, self.machine.highest)
        self.line_rms = self.machine.line_rms
        self.line_voltage = None if self.highest is None else self.highest + 2 * DIODE
        warm = [
            usual(tables, "terminal temperature", f"{name} stud", "high") + ZERO for name in ("alternator", "rectifier")
        ]
        at_machine = [n in supplies for n in (row["from"], row["to"])]
        for end in (0, 1):
            if self.hottest[end] is None:
                self.guessed_ends = (*self.guessed_ends, end)
                own = warm[0 if at_machine[end] else 1]
                self.hottest[end] = (own, own)
                self.guessed = OF_HOT_END

    def _network(self, project, row, nodes, supplies):
        self.fault = None
        self.stated_current = self.current = ends(row.get("current [A]"))
        worked = self.machine.line_rms
        if worked is not None:
            low, high = self.current or (worked, worked)
            self.current = (max(low, worked), max(high, worked))

    def _lie(self, row, start, end):
        super()._lie({**row, "grouped with": row.get("grouped with") or self.tables.defaults["phase lead grouped with"],
                      "return": "single"}, start, end)  # fmt: skip

    def _protection(self, row, start, end, supplies):
        self.is_return = self.own_device = False
        self.protected_by, self.devices = "", 0

    def _terminal(self, node, supplies):
        stated = number(node.get("terminal limit [degC]"))
        if stated is not None:
            return stated + ZERO
        name = "alternator" if node["node"] in supplies else "rectifier"
        return self._assumed(f"{name} stud terminal limit") + ZERO

    def _drop(self, row, start, end, supplies, settings):
        self.chassis_ohm = 0.0
        share, volts = number(row.get("drop limit [%]")), number(row.get("drop limit [V]"))
        self.drop = volts if volts is not None else None if share is None else share / 100 * self.nominal
        self.peak_drop = self._printed_drop("peak")

    def case(self, *corner):
        return LeadCase(self, *corner)


class LeadCase(reading.Case):
    """A phase lead under one set of outside values."""

    def __init__(self, place, current, *others):
        super().__init__(place, current, *others)
        self.current = self.heating  # what flows in a lead is what drops along it

    def skin(self, wire):
        machine = self.place.machine
        return blocks(machine.highest_frequency, wire["ohm per m"], machine.lines)


# ------------------------------------------------------------------------------------------------------ field leads


class FieldLead(reading.Place):
    """A control wire to the field of the only alternator on its island, from a regulator behind it."""

    def __init__(self, tables, project, row, rule, settings):
        self.project = project
        super().__init__(tables, project, row, rule, settings)
        machine = self.alternator
        feed = number(machine.get("field supply [V]")) or self.highest
        rated, ohm = number(machine.get("field current [A]")), number(machine.get("field resistance [ohm]"))
        design = number(machine.get("design voltage [V]"))
        limit = rated
        if ohm is None and None not in (rated, design):
            ohm = charging_at(tables, design) / rated  # by the machine's own label
        elif ohm is not None and rated is None:
            limit = charging_at(tables, design or self.nominal) / ohm
        used = rated
        if ohm is not None:
            used = feed / ohm
            self.field = (used, limit)
        elif rated is None and feed <= 16:
            used = feed / next(number(r["low"]) for r in tables.typicals if r["what"] == "field resistance")
        if self.current is None and used is not None:
            self.current = (used, used)

    def _network(self, project, row, nodes, supplies):
        """A fault is fed by the battery and by the alternator, two to four times its rating where nobody says."""
        name = row["from"].split()[-1]  # each machine of these projects is an island of its own
        self.alternator = supplies[f"alternator {name}"]
        self.current = ends(row.get("current [A]"))
        short, rated = (
            ends(self.alternator.get("short-circuit current [A]")),
            number(self.alternator.get("rated current [A]")),
        )
        battery = ends(supplies[f"battery {name}"]["short-circuit current [A]"])
        if short is None and rated is not None:
            what = "short-circuit current over rating, first moment"
            short = tuple(usual(self.tables, what, "alternator", end) * rated for end in ("low", "high"))
        self.fault = None if short is None else tuple(a + b for a, b in zip(short, battery, strict=True))


def charging_at(tables, volts):
    """The highest charging voltage usual for a system of 12, 24 or 48 V, named by its nominal or by its charging voltage."""
    return tables.typical_highest(max(n for n in (12, 24, 48) if n <= volts))


# ------------------------------------------------------------------------------------------- places without a lead


class Spot(reading.Place):
    """A row that is no length of wire: its zone, its system, its alternator, and how warm its from end is."""

    def __init__(self, tables, project, row, rule, settings):
        self.tables, self.project, self.row, self.rule, self.settings = tables, project, row, rule, settings
        self.nodes = {n["node"]: n for n in project["nodes.csv"]}
        self.supplies = {s["node"]: s for s in project["supplies.csv"]}
        system = next((s for s in project["systems.csv"] if s["system"] == self._system()), {})
        self.nominal, self.highest = number(system.get("nominal [V]")), number(system.get("highest [V]"))
        self.highest_stated = self.highest is not None
        if self.highest is None:
            self.highest = tables.typical_highest(self.nominal)
        self._zone(next((z for z in project["zones.csv"] if z["zone"] == row.get("zone")), {}))
        self.machine = self._machine()
        if self.machine is not None and self.machine.highest is not None:
            self.highest = max(self.highest or 0.0, self.machine.highest)
        hot = ends(self.nodes[row["from"]].get("hottest [degC]"))
        self.hot = None if hot is None else (hot[0] + ZERO, hot[1] + ZERO)

    def _system(self):
        """The system a row names; else that of the node it stands at, which is never a ground: what returns there may be
        of any system."""
        at = [self.nodes[n] for n in (self.row["from"], self.row["to"]) if n]
        return self.row["system"] or next(n["system"] for n in at if n["role"] != "ground")

    def setting(self, name):
        """A value of settings.csv, or what defaults.csv assumes."""
        return number(self.settings.get(name) or self.tables.defaults[name])

    def _machine(self):
        """The alternator at an end, or the one that feeds its island."""
        at = [n for n in (self.row["from"], self.row["to"]) if n]
        found = [n for n in at if self.is_alternator(n)]
        for node in at:
            if not found and self.nodes[node]["role"] != "ground":
                found = [n for n in self.supplies if n in self.island(node) and self.is_alternator(n)]
        return Machine(self.tables, self.supplies[found[0]]) if found else None

    def is_alternator(self, node):
        return self.supplies.get(node, {}).get("type") == "alternator"

    def island(self, node):
        """Nodes joined to this one by what carries direct current, grounds left out."""
        found = {node}
        while True:
            more = {n for r in self.project["connections.csv"] if r["kind"] in ("cable", "control wire", "rectifier")
                    and found & {r["from"], r["to"]} for n in (r["from"], r["to"])
                    if self.nodes[n]["role"] != "ground"}  # fmt: skip
            if more <= found:
                return found
            found |= more

    def fused(self, row):
        """Whether a row of the project has a fuse or breaker of its own: a lead that is told nothing else, no return."""
        if row["kind"] not in ("cable", "control wire") or row.get("protected by"):
            return False
        back = "ground" in (self.nodes[row["from"]]["role"], self.nodes[row["to"]]["role"])
        return row.get("protection") != "none" and (bool(row.get("protection")) or not back)

    def joined(self, starts, over=lambda row: True, beside=()):
        """Nodes that direct current reaches from these over such rows, never by a ground nor by the nodes ``beside``."""
        todo, found = [n for n in starts if n not in beside], set()
        while todo:
            node = todo.pop()
            if node in found or node in beside or self.nodes[node]["role"] == "ground":
                continue
            found.add(node)
            for r in self.project["connections.csv"]:
                if r["kind"] in ("cable", "control wire", "rectifier") and node in (r["from"], r["to"]) and over(r):
                    todo.append(r["to"] if r["from"] == node else r["from"])
        return found

    def held_down(self, node, suppressor):
        """Whether what an alternator sends to a node has to pass a suppressor's first, fuses being what may open: with
        the suppressor's node, and all that no fuse parts from it, taken out of the network, no way is left."""
        around = self.joined([suppressor], over=lambda row: not self.fused(row))
        machines = [n for n in self.supplies if self.is_alternator(n) and n in self.island(node)]
        return node not in self.joined(machines, beside=around)

    guessed = frozenset()
    """Checks that rest on a usual value where the project says nothing."""

    def corners(self):
        """Every pair of ambient and from end's temperature; an end nobody measured is as warm as the air."""
        hot = [None] if self.hot is None else sorted(set(self.hot))
        return [(air, air if h is None else h) for air in sorted(set(self.ambient)) for h in hot]


# ------------------------------------------------------------------------------------------------------------ joints

ROOM = (1.0, 2.0, 1 + 2 / math.sqrt(3), 1 + math.sqrt(2), 1 + math.sqrt(2 * (1 + 1 / math.sqrt(5))), 3.0, 3.0,
        1 + 1 / math.sin(math.pi / 7), 1 + math.sqrt(2 * (2 + math.sqrt(2))), 3.8130, 1 + 1 / math.sin(math.pi / 9),
        4.0296)  # fmt: skip
"""Circle around 1 to 12 equal circles, in their diameter (Kravitz 1967); 10 and 12 as printed, the others exact."""
LIKELY = ("stranded", "class 5", "class 2", "solid")
IN_A_WINDING = ("solid", "stranded", "class 5", "class 2")


def meeting_wires(tables, text, at_winding):
    """The sides of a joint: lists of (number, area, diameter, stranding, metal, size)."""
    sides = text.split(">")
    return [[_wires(tables, item, at_winding and len(sides) == 2 and side == 0) for item in sides[side].split("+")]
            for side in range(len(sides))]  # fmt: skip


def _wires(tables, item, tail):
    many, size, unit, words = re.fullmatch(r"(?:(\d+) x )?(\S+) (AWG|mm2)(.*)", item.strip()).groups()
    metal = "aluminium" if "aluminium" in words else "copper"
    said = words.replace("aluminium", "").strip()
    rows = [r for r in tables.conductors if r["size"] == f"{size} {unit}" and r["material"] == metal]
    if said == "solid" and unit == "mm2":
        rows = []
    for strands in [said] if said and said != "stranded" else LIKELY[:3] if said else IN_A_WINDING if tail else LIKELY:
        row = next((r for r in rows if r["strand class"] == strands), None)
        if row is None and unit == "mm2" and strands == "solid" and metal == "copper":
            area = float(size)  # a round wire of that area
            return int(many or 1), area, 2 * math.sqrt(area / math.pi), "solid", metal, f"{size} {unit}"
        if row is not None:
            return int(many or 1), number(row["area [mm2]"]), number(row["diameter [mm]"]), strands, metal, row["size"]
    raise AssertionError(f"{item} is in no table")


def hole_for(wires):
    """Bore in mm that takes these wires; solid ones keep their shape, strands fill what is left."""
    if any(diameter is None for _, _, diameter, *_ in wires):
        return None
    stiff = [diameter for many, _, diameter, strands, *_ in wires for _ in range(many) if strands == "solid"]
    soft = sum(many * diameter**2 for many, _, diameter, strands, *_ in wires if strands != "solid")
    if len(stiff) > len(ROOM):
        return None
    circle = sum(stiff) if len(stiff) == 2 else max(stiff) * ROOM[len(stiff) - 1] if stiff else 0.0
    return math.sqrt(circle**2 + soft)


def grip_of(tables, wires, tail):
    """The least in mm that a sleeve has to grip: over the thinnest insulation such wires are sold in, or bare metal."""
    over = []
    for many, _, _, strands, _, size in wires:
        sold = [w["outer"] for w in tables.wires if w["size"] == size and w["strands"] == strands and w["outer"]]
        over.append((many, min(sold, default=None)))
    if tail or any(outer is None for _, outer in over):
        return hole_for(wires)
    return math.sqrt(sum(many * outer**2 for many, outer in over))


class Joint(Spot):
    """Wires that meet at a node."""

    def __init__(self, tables, project, row, rule, settings):
        super().__init__(tables, project, row, rule, settings)
        self.at_winding = at_winding = self.is_alternator(row["from"])
        if self.hot is None and at_winding:
            lead_out = self.setting("winding lead-out temperature") + ZERO
            self.hot = (lead_out, lead_out)
        self.sides = meeting_wires(tables, row["joins"], at_winding)
        self.wires = [wires for side in self.sides for wires in side]
        self.areas = [sum(many * area for many, area, *_ in side) for side in self.sides]
        self.holes = [hole_for(side) for side in self.sides]
        tails = [at_winding and len(self.sides) == 2 and side == 0 for side in range(len(self.sides))]
        self.grips = [grip_of(tables, side, tail) for side, tail in zip(self.sides, tails, strict=True)]
        self.warmth = None

    def lead_on(self, wire):
        """What leaves a joint at a winding is the lead of a phase: the wire that comes counts, not what was written of it."""
        for values, header in ((self.areas, "area"), (self.holes, "diameter"), (self.grips, "outer")):
            values[1] = wire[header]
        if wire["outer"] is None:
            self.grips[1] = wire["diameter"]

    def warmest(self, temperatures):
        """Of the place and of the wires that end there; None where a wire's is not known."""
        self.warmth = None if None in temperatures else max([hot for _, hot in self.corners()] + temperatures)
        if not temperatures:
            self.warmth = max(self.warmth, *self.ambient)


def in_barrel(case, splice):
    """Emptier and fuller end of a splice: of one pool of metal, all that is joined."""
    return (min(case.areas), max(case.areas)) if splice["crimped"] else (sum(case.areas), sum(case.areas))


def j01(case, splice, **_):
    other = "parallel" if len(case.sides) == 2 else "butt"
    return not splice["method"].startswith(other), True


def j02(case, splice, **_):
    return in_barrel(case, splice)[0], splice["least"]


def j03(case, splice, **_):
    return in_barrel(case, splice)[1], splice["greatest"]


def j04(case, splice, **_):
    if not splice["crimped"]:
        return None
    return (None if None in case.holes else max(case.holes)), splice["bore"]


def j06(case, splice, **_):
    return (case.warmth, splice["softens at"] - splice["margin"]) if splice["softens"] else None


def j07(case, splice, **_):
    return case.warmth, splice["limit"]


def j08(case, splice, **_):
    return all(metal in splice["metals"] for *_, metal, _ in case.wires), True


def j09(case, splice, **_):
    return all(strands in splice["strands"] for _, _, _, strands, *_ in case.wires), True


def j10(case, splice, **_):
    return (splice["holds"], True) if case.zone["vibrates"] else None


def j11(case, splice, **_):
    return (in_barrel(case, splice)[1], 6.0) if splice["insulated"] and splice["crimped"] else None


def j12(case, splice, **_):
    return splice["insulated"] or case.row.get("sleeve") != "none", True


def j13(case, splice, sleeve):
    if splice["barreled"]:
        return sleeve["supplied"], splice["barrel"]
    return sleeve["supplied"], None if None in case.holes else sum(case.holes)


def j14(case, sleeve, **_):
    return sleeve["recovered"], None if None in case.grips else min(case.grips)


def j15(case, sleeve, **_):
    return case.warmth, sleeve["rating"]


def splices(tables, at_winding=False):
    """The splices in order of preference, with what their method is like; at a winding solder comes last."""
    methods = {m["joining method"]: m for m in reading.rows_of("joining_methods.csv")}
    found = []
    for place, row in enumerate(reading.rows_of("splices.csv")):
        method = methods[row["method"]]
        softens_at = number(method["softening [degC]"])
        limit = number(row["temperature limit [degC]"])
        if limit is None and method["kind"] == "weld":
            limit = softens_at
        one = {
            "key": row["splice"], "place": place, "method": row["method"], "kind": method["kind"],
            "crimped": method["kind"].startswith("crimp"), "barreled": method["kind"].startswith("crimp") or yes(row["insulated"]),
            "least": number(row["least area [mm2]"]), "greatest": number(row["greatest area [mm2]"]),
            "bore": number(row["bore [mm]"]), "barrel": number(row["barrel diameter [mm]"]),
            "metals": ["copper"] if row["metal"] != "aluminium" else ["aluminium"],
            "strands": [word.strip() for word in row["strand classes"].split("/")],
            "insulated": yes(row["insulated"]), "plating": row["plating"],
            "limit": None if limit is None else limit + ZERO, "softens": yes(method["softens"]),
            "softens at": None if softens_at is None else softens_at + ZERO, "margin": number(method["margin [K]"]),
            "holds": yes(method["sole joint where it vibrates"]),
        }  # fmt: skip
        found.append(one)
    kinds = ["crimp", "crimp and solder", "solder", "braze", "weld"]
    if at_winding:
        kinds.append(kinds.pop(2))

    def order(s):
        bore = math.inf if s["bore"] is None else s["bore"]
        coolness = math.inf if s["limit"] is None else -s["limit"]
        one_size = s["least"] > 0.9 * s["greatest"]
        plating = reading.PLATINGS.index(s["plating"])
        return (kinds.index(s["kind"]), s["insulated"], one_size, plating, s["greatest"], bore, coolness, s["place"])

    return sorted(found, key=order)


OF_SPLICE = ("J01", "J02", "J03", "J04", "J06", "J07", "J08", "J09", "J10", "J11", "J12")
OF_JOINT_SLEEVE = ("J13", "J14", "J15")


# -------------------------------------------------------------------------------------------------------- rectifiers


class Bridge(Spot):
    """A rectifier on its sink, between an alternator and a dc node."""

    def __init__(self, tables, project, row, rule, settings):
        super().__init__(tables, project, row, rule, settings)
        machine = self.machine
        self.stated = self.current = ends(row.get("current [A]"))
        if machine.rated is not None:
            low, high = self.stated or (machine.rated, machine.rated)
            self.current = (max(low, machine.rated), max(high, machine.rated))
        sine = math.pi / 2 if machine.lines == 2 else math.pi / 3
        self.short_peak = sine  # a short-circuited machine is its reactance alone: sine waves
        short = ends(machine.row.get("short-circuit current [A]"))
        self.short = None if short is None else short[1]
        self.short_times = usual(tables, "short-circuit current over rating, first moment", "alternator", "high")
        self.dump = number(machine.row.get("load dump suppressed [V]") or machine.row.get("load dump [V]"))
        self.guards = self.suppressors_of(row["to"])
        self.guessed = {"R08"} if self.short is None else set()
        self.guessed |= set() if self.highest_stated else {"R04", "R06"}
        if self.dump is None:
            self.guessed |= set() if self.guards else {"R05"}
            self.dump = highest_dump(tables, self.nominal)
        self.clamp = None

    def suppressors_of(self, node):
        """Rows of suppressors at a node; if it has none, those on its island that hold it down."""
        rows = [r for r in self.project["connections.csv"] if r["kind"] == "suppressor"]
        island = self.island(node)
        return [r["connection"] for r in rows if r["from"] == node] or [
            r["connection"] for r in rows if r["from"] in island and self.held_down(node, r["from"])
        ]

    @property
    def off_battery(self):
        """Voltage at the output when the battery falls off."""
        return self.clamp if self.guards else self.dump

    def cases(self):
        currents = [None] if self.current is None else sorted(set(self.current))
        return [BridgeCase(self, current, air) for current in currents for air in sorted(set(self.ambient))]


def highest_dump(tables, nominal):
    """The high end of the load dumps usual at a nominal voltage; above the classes in proportion to the nearest."""
    found = {}
    for row in tables.typicals:
        if row["what"] == "load dump peak":
            found[float(row["subject"].split()[0])] = number(row["high"])
    if nominal in found:
        return found[nominal]
    near = min(found, key=lambda volts: abs(volts - nominal))
    return found[near] / near * nominal


class BridgeCase:
    """A rectifier under one current and in one air."""

    def __init__(self, place, current, air):
        self.place, self.current, self.air = place, current, air

    def diode_heat(self, bridge):
        """V0 Iav + r Irms^2 of one diode (application note on conduction losses)."""
        if None in (self.current, bridge["threshold"], bridge["slope"]):
            return None
        machine = self.place.machine
        mean = self.current / (3 if machine.lines == 3 else 2)
        rms = self.current * machine.ratio / math.sqrt(2)
        return bridge["threshold"] * mean + bridge["slope"] * rms * rms

    def sink(self, bridge, sink):
        """Temperature of the sink: P R (75/rise)^(1/4) = rise in still air, or 0.435 sqrt(2/v) R in a stream."""
        heat = self.diode_heat(bridge)
        if sink is None or heat is None:
            return None
        place = self.place
        watts = heat * 2 * place.machine.lines / (2 if bridge["apart"] else 1)
        thin = math.sqrt(101325.0 / reading.air_pressure(place.altitude))
        ohm = sink["resistance"] * thin
        rise = reading.root(lambda x: watts * ohm * (75 / x) ** 0.25 - x, 1e-9, 1e6) if watts > 0 else 0.0
        if place.speed > 0:
            rise = min(rise, watts * ohm * 0.435 * math.sqrt(2 / place.speed))
        return self.air + rise

    def case(self, bridge, sink):
        sink_at, heat = self.sink(bridge, sink), self.diode_heat(bridge)
        if None in (sink_at, heat, bridge["case to sink"]):
            return None
        return sink_at + heat * bridge["diodes"] * bridge["case to sink"]

    def junction(self, bridge, sink):
        case = self.case(bridge, sink)
        if None in (case, bridge["junction to case"]):
            return None
        return case + self.diode_heat(bridge) * bridge["junction to case"]


def r01(case, bridge, **_):
    return case.current, bridge["average"]


def r02(case, bridge, **_):
    return bridge["lines"] == case.place.machine.lines, True


def r03(case, bridge, **_):
    extra = bridge["diodes"] - 2 * bridge["lines"]
    return (not case.place.machine.delta, True) if extra > 0 else None


def r04(case, bridge, **_):
    highest = case.place.highest
    return (None if highest is None else highest + 2 * DIODE), bridge["reverse"]


def r05(case, bridge, **_):
    if bridge["avalanche"]:
        return None
    volts = case.place.off_battery
    return (None if volts is None else volts + DIODE), bridge["reverse"]


def r06(case, bridge, **_):
    """A thousandth of a volt is the difference between below and at the avalanche."""
    if not bridge["avalanche"]:
        return None
    least = bridge["least"]
    cold = None if least is None else least * (1 + 0.001 * (case.place.coldest - 298.15)) - 0.001
    return (None if case.place.highest is None else case.place.highest + DIODE), cold


def r08(case, bridge, **_):
    place = case.place
    direct = place.short
    if direct is None:
        direct = None if case.current is None else case.current * place.short_times
    return (None if direct is None else direct * place.short_peak), bridge["surge"]


def r09(case, bridge, sink, **_):
    at = case.case(bridge, sink) if bridge["rated at"] == "case" else case.air
    if None in (at, bridge["average"], bridge["rating temperature"], bridge["junction"]):
        return case.current, None
    left = (bridge["junction"] - at) / (bridge["junction"] - bridge["rating temperature"])
    return case.current, bridge["average"] * min(1.0, max(left, 0.0))


def r10(case, bridge, sink, **_):
    return case.junction(bridge, sink), bridge["junction"]


def r11(case, bridge, **_):
    return (bridge["ignition"], True) if case.place.zone["fuel vapour"] else None


def h01(bridge, sink, **_):
    if sink is None:
        return None
    return (None if not bridge["base"] else bridge["base"] == "insulated" or sink["base"] == "insulated"), True


def h02(bridge, sink, **_):
    """A module is one piece on one sink; of separate diodes each body takes one of a plate, so that all are as warm."""
    if sink is None:
        return None
    return sink["bodies"] == 1 or (bridge["apart"] and sink["bodies"] == bridge["lines"]), True


OF_BRIDGE = ("R01", "R02", "R03", "R04", "R05", "R06", "R08", "R11")
OF_BRIDGE_AND_SINK = ("H01", "H02", "R09", "R10")


def bridges(folder):
    """The rectifiers in order of preference."""
    found = []
    for place, row in enumerate(reading.rows_of("rectifiers.csv", folder)):
        kelvin = {name: number(row[f"{name} [degC]"]) for name in ("rating temperature", "greatest junction")}
        slope = number(row["slope [mohm]"])
        found.append({
            "key": row["rectifier"], "place": place, "diodes": number(row["diodes"]), "lines": number(row["lines"]),
            "avalanche": yes(row["avalanche"]), "average": number(row["average current [A]"]),
            "rated at": row["rating point"], "reverse": number(row["reverse voltage [V]"]),
            "least": number(row["least breakdown [V]"]), "surge": number(row["surge current [A]"]),
            "threshold": number(row["threshold [V]"]), "slope": None if slope is None else slope / 1000,
            "junction to case": number(row["junction to case [K/W]"]),
            "case to sink": number(row["case to sink [K/W]"]), "base": row["base"],
            "apart": row["build"] == "separate diodes", "ignition": yes(row["ignition protected"]),
            "rating temperature": _kelvin(kelvin["rating temperature"]), "junction": _kelvin(kelvin["greatest junction"]),
        })  # fmt: skip

    def order(b):
        reverse = math.inf if b["reverse"] is None else b["reverse"]
        return (b["avalanche"], b["diodes"] - 2 * b["lines"], b["average"], reverse, b["place"])

    return sorted(found, key=order)


def sinks(folder):
    """The sinks in order of preference, the one that carries least away first; all are printed for still air."""
    found = []
    for place, row in enumerate(reading.rows_of("heatsinks.csv", folder)):
        assert number(row["air speed [m/s]"]) == 0
        found.append(
            {
                "key": row["heatsink"],
                "place": place,
                "base": row["base"],
                "bodies": number(row["bodies"]),
                "resistance": number(row["sink to air [K/W]"]),
            }
        )
    return sorted(found, key=lambda s: (-s["resistance"], s["place"]))


def _kelvin(celsius):
    return None if celsius is None else celsius + ZERO


# ------------------------------------------------------------------------------------------------------- suppressors

TEN_TO_A_TENTH = math.log(10)
NODES, WEIGHTS = np.polynomial.legendre.leggauss(24)
LEAST = 1e-9, 1e-3  # J and W that a pulse counts for at least


class Pulse:
    """A pulse behind a resistance, from its absolute peak down to what stands there already (ISO 16750-2, 4.6.4)."""

    def __init__(self, peak, supply, ohm, seconds):
        self.peak, self.supply, self.ohm, self.seconds = peak, supply, ohm, seconds

    def into(self, begins, slope):
        """Peak current, seconds and joules into what begins at a voltage and rises by a slope, step by step."""
        if None in (self.peak, self.supply, self.ohm, begins, slope) or begins <= self.supply:
            return None, None, None
        amperes = max(self.peak - begins, 0.0) / (self.ohm + slope)
        if self.seconds is None:
            return amperes, None, None
        if self.peak <= begins:
            return 0.0, 0.0, 0.0
        tau, height, ohm = self.seconds / TEN_TO_A_TENTH, self.peak - self.supply, self.ohm + slope
        lasts = tau * math.log(height / (begins - self.supply))
        steps = lasts / 2 * (NODES + 1)
        flow = (self.supply + height * np.exp(-steps / tau) - begins) / ohm
        return amperes, lasts, lasts / 2 * float(np.sum(WEIGHTS * (begins + slope * flow) * flow))


def stands(points, watts, joules, left):
    """Power and energy a class stands in a pulse as wide as one of these watts and joules: E = 1.4 P w."""
    width = max(joules, LEAST[0]) / (1.4 * max(watts, LEAST[1]))
    power = power_at(points, width)
    return power, None if left is None else 1.4 * power * width * left


def power_at(points, width):
    """Log-log between printed points; before the first its power, beyond the last its energy."""
    if width <= points[0][0]:
        return points[0][1]
    for (a, at_a), (b, at_b) in itertools.pairwise(points):
        if width <= b:
            return at_a * (at_b / at_a) ** (math.log(width / a) / math.log(b / a))
    last, power = points[-1]
    return power * last / width


WINDING = ("coil inductance [H]", "coil resistance [ohm]")


class Guard(Spot):
    """A suppressor's place: what its node stands, which pulses come, how warm it is and how long its leads are."""

    def __init__(self, tables, project, row, rule, settings):
        super().__init__(tables, project, row, rule, settings)
        self.guessed = set() if self.highest_stated else {*OF_SUPPRESSOR} - {"U04", "U10", "U14"}
        self._withstand()
        self._dump()
        self.length = ends(row.get("length [m]"))
        if self.length is None:
            self.length = (self.setting("suppressor lead length"),) * 2
        self.thickness = self.setting("suppressor lead diameter") / 1000
        self.mismatch = self.setting("suppressor mismatch") / 100
        self.uppers = self._uppers()
        self.upper_clamp = None
        self.short = {test: self._standard(test) for test in ("2a", "1", "3b")}
        if None in self.short.values():
            self.short = None

    def _withstand(self):
        """The weakest that is said on the island, by a bridge's reverse voltage too; a load that is silent is taken to
        stand the least that is usual at its voltage, whatever its neighbours say (common practice, no source)."""
        island = self.island(self.row["from"])
        said = [number(self.nodes[n].get("withstand [V]")) for n in island]
        bridges = {b["key"]: b for b in self.tables.bridges}
        for row in self.project["connections.csv"]:
            own = bridges.get(row.get("rectifier") or "")
            if row["kind"] == "rectifier" and row["to"] in island and own and not own["avalanche"]:
                said.append(own["reverse"])
        said = [volts for volts in said if volts is not None]
        self.withstand = min(said, default=None)
        if not said or any(self._is_silent(n) for n in island):
            low = usual(self.tables, "withstand", f"{self.nominal:g} V equipment, not stated", "low")
            if self.withstand is None or low <= self.withstand:
                self.withstand = low
                self.guessed |= {"U03", "U04", "U14"}

    def _is_silent(self, name):
        """A load that does not say what it stands; a coil or a field, no more than a winding, need not."""
        node = self.nodes[name]
        if node["role"] != "load" or any(node.get(h) for h in WINDING) or number(node.get("withstand [V]")) is not None:
            return False
        return not any(r["to"] == name and r.get("purpose") == "field" for r in self.project["connections.csv"])

    def _standard(self, test):
        """A pulse of the standards at this class of system."""
        rows = [r for r in self.tables.pulses if r["test"] == test]
        return next(
            (r for r in rows if number(r["system [V]"]) <= self.nominal <= 1.25 * number(r["system [V]"])), None
        )

    def _dump(self):
        """Both pairs of a load dump, (peak, ohm, seconds): low with low and high with high where nobody says.

        The ohms of the printed pairs are no machine's; they go by rating and speed, a speed nobody says at its low end.
        """
        self.dumps, self.rise, self.central = [], 0.005, None
        if self.machine is None:
            return
        row, standard = self.machine.row, self._standard("A")
        peak, ohm, milli = (number(row.get(f"load dump{n}")) for n in (" [V]", " resistance [ohm]", " time [ms]"))
        self.central = number(row.get("load dump suppressed [V]"))
        speed = ends(row.get("speed range [rpm]"))
        if ohm is None and self.machine.rated is not None:
            fastest = speed[1] if speed is not None else usual(self.tables, "speed", "alternator", "low")
            ohm = 10 * (self.nominal * 14 / 12) * fastest / (0.8 * self.machine.rated * 12000)
            self.guessed |= {"U03", "U05", "U06"} if speed is None else set()
        if standard is not None:
            self.rise = number(standard["least rise time [us]"]) / 1e6
            self.guessed |= {"U03", "U05", "U06"} if peak is None else {"U05", "U06"} if milli is None else set()
        for end in ("least", "greatest"):
            own = standard if peak is None else None
            timed = standard if milli is None else None
            time_end = end if peak is None else "greatest"
            self.dumps.append((
                peak if own is None else number(own[f"{end} peak [V]"]),
                ohm,
                milli / 1000 if milli is not None else None if timed is None
                else number(timed[f"{time_end} duration [ms]"]) / 1000,
            ))  # fmt: skip
        self.dumps = list(dict.fromkeys(self.dumps))

    def _uppers(self):
        """Suppressors at the alternator's output, where this one stands further on."""
        island = self.island(self.row["from"])
        outputs = {r["to"] for r in self.project["connections.csv"] if r["kind"] == "rectifier" and r["to"] in island}
        outputs = outputs or {n for n in island if self.is_alternator(n)}
        if self.row["from"] in outputs:
            return []
        return [
            r["connection"]
            for r in self.project["connections.csv"]
            if r["kind"] == "suppressor" and r["from"] in outputs
        ]

    def cases(self):
        found = []
        for air, hot in self.corners():
            for length in sorted(set(self.length)):
                found += [GuardCase(self, max(air, hot), length, dump) for dump in self.dumps or [None]]
        return found


class GuardCase:
    """A suppressor's place at one temperature, with one length of leads, under one load dump."""

    def __init__(self, place, warm, length, dump):
        self.place, self.warm, self.length = place, warm, length
        self.dump = None if dump is None else Pulse(dump[0], place.highest, dump[1], dump[2])
        self.memory = {}

    def cold_breakdown(self, part):
        return _times(part["least"], _warmed(part, self.place.coldest))

    def takes_dump(self, part):
        """Whether the load dump is this suppressor's: none stands before it, or one that holds more than it.

        The machine's own diodes stand before all.
        """
        place, cold = self.place, self.cold_breakdown(part)
        if self.dump is None:
            return False
        if place.central is not None and (cold is None or place.central <= cold):
            return None if cold is None else False
        if not place.uppers:
            return True
        return None if None in (place.upper_clamp, cold) else place.upper_clamp > cold

    def pulse(self, part):
        """The pulse that counts, and its rise time."""
        takes, place = self.takes_dump(part), self.place
        if takes is None:
            return None, None
        if takes:
            return self.dump, place.rise
        return self.short_pulse(), _micro(place.short, "2a", "least rise time [us]")

    def short_pulse(self):
        """Pulse 2a of ISO 7637-2, wiring cut off: it stands on the charging voltage."""
        place = self.place
        if place.short is None or place.highest is None:
            return None
        own = place.short["2a"]
        return Pulse(number(own["greatest peak [V]"]) + place.highest, place.highest,
                     number(own["least source resistance [ohm]"]), number(own["greatest duration [ms]"]) / 1000)  # fmt: skip

    def negative_pulse(self):
        """Pulse 1 of ISO 7637-2, a coil switched off: the other way round, no supply behind it."""
        own = self.place.short["1"]
        return Pulse(abs(number(own["least peak [V]"])), 0.0, number(own["least source resistance [ohm]"]),
                     number(own["greatest duration [ms]"]) / 1000)  # fmt: skip

    def worked(self, part):
        """Current of all, clamp at 25 degC, and current and energy of the piece that takes most."""
        if part["key"] not in self.memory:
            self.memory[part["key"]] = self._worked(part)
        return self.memory[part["key"]]

    def _worked(self, part):
        pulse, rise = self.pulse(part)
        slope = part["slope"]
        if pulse is None or slope is None:
            return None
        n = part["number"]
        amperes, _, late = pulse.into(part["greatest"], slope / n)
        _, lasts, early = pulse.into(part["least"], slope / n)
        if amperes is None:
            return None
        clamp = part["greatest"] + slope * amperes / n
        ahead = self.place.mismatch * part["greatest"]  # volts by which the first one breaks down earlier
        most, joules = amperes, None if None in (late, early) else max(late, early)
        if n > 1:
            most = min(amperes, (amperes + (n - 1) * ahead / slope) / n)
            if joules is not None:
                joules = min(joules, (joules + (n - 1) * ahead * clamp * lasts / slope) / n)
        return {"all": amperes, "late": late, "clamp": clamp, "most": most, "joules": joules, "rise": rise}

    def clamp(self, part):
        """What it holds where it is warmest."""
        found = self.worked(part)
        return None if found is None else _times(found["clamp"], _warmed(part, self.warm))

    def over_leads(self, amperes, rise):
        """Terman's straight round wire, mu0 l/2pi (ln 4l/d - 1), while the current rises."""
        length, thick = self.length, self.place.thickness
        henry = 2e-7 * length * max(math.log(max(4 * length / thick, 1e-9)) - 1, 0.0) if length > 0 else 0.0
        return henry * amperes / rise

    def left(self, part):
        """Share of a 25 degC pulse rating left on a warm junction: a straight line (MIL-PRF-19500/500)."""
        if part["junction"] is None:
            return None
        return min(1.0, max(0.0, (part["junction"] - self.warm) / (part["junction"] - 298.15)))

    def leaks(self, part):
        """Watts of leakage in service; twice as much every 10 K."""
        if None in (part["leakage"], self.place.highest):
            return None
        return self.place.highest * part["leakage"] * 2 ** ((self.warm - 298.15) / 10)


def _most(values):
    """The greatest of those known, as of a result that stands for several cases."""
    return max((value for value in values if value is not None), default=None)


def _warmed(part, kelvin):
    return None if part["coefficient"] is None else 1 + part["coefficient"] * (kelvin - 298.15)


def _times(*factors):
    return None if None in factors else math.prod(factors)


def _micro(pulses, test, header):
    return None if pulses is None else number(pulses[test][header]) / 1e6


def u01(case, part):
    return part["stand-off"], case.place.highest


def u02(case, part):
    return case.cold_breakdown(part), case.place.highest


def u03(case, part):
    found, clamp = case.worked(part), case.clamp(part)
    if clamp is None:
        return None, case.place.withstand
    return clamp + case.over_leads(found["all"] / part["number"], found["rise"]), case.place.withstand


def u04(case, part):
    """Where the upper one takes the dump its clamp arrives here; where this one does, U03 has asked it."""
    place = case.place
    if not place.uppers or case.dump is None or case.takes_dump(part):
        return None
    if None not in (place.central, place.upper_clamp) and place.central < place.upper_clamp:
        return None  # the machine's own diodes hold it lower still
    return place.upper_clamp, place.withstand


def u05(case, part):
    found = case.worked(part)
    if found is None or not part["points"] or found["joules"] is None:
        return None if found is None else found["most"], None
    power, _ = stands(part["points"], found["clamp"] * found["most"], found["joules"], 1.0)
    return found["most"], power / found["clamp"]


def u06(case, part):
    found = case.worked(part)
    if found is None or not part["points"] or found["joules"] is None:
        return None, None
    return found["joules"], stands(part["points"], found["clamp"] * found["most"], found["joules"], case.left(part))[1]


def u07(case, part):
    watts = case.leaks(part)
    if None in (part["steady"], part["steady to"], part["junction"]):
        return watts, None
    share = (part["junction"] - case.warm) / (part["junction"] - part["steady to"])
    return watts, part["steady"] * min(1.0, max(0.0, share))


def u08(case, part):
    watts = case.leaks(part)
    rise = _times(watts, part["junction to case"])
    return (None if rise is None else case.warm + rise), part["junction"]


def u09(case, part):
    if case.place.short is None:
        return None
    if part["slope"] is None or not part["points"]:
        return None, None
    amperes, _, joules = case.short_pulse().into(part["greatest"], part["slope"] / part["number"])
    if amperes is None:
        return None, None
    return joules, stands(part["points"], part["clamping"] * amperes, joules, case.left(part))[1]


def u10(case, part):
    if case.place.short is None:
        return None
    if not part["points"]:
        return None, None
    holds = part["greatest"] if part["bipolar"] else 1.0
    amperes, _, joules = case.negative_pulse().into(holds, 0.0)
    if amperes is None:
        return None, None
    return joules, stands(part["points"], holds * amperes, joules, case.left(part))[1]


def u14(case, part):
    """Where the machine's own diodes take the dump, what they hold arrives here (ISO 16750-2, test B)."""
    place = case.place
    if place.central is None or case.dump is None or case.takes_dump(part):
        return None
    if place.uppers and place.upper_clamp is None:
        return None, place.withstand
    if place.uppers and place.upper_clamp <= place.central:
        return None
    return place.central, place.withstand


def u12(case, part):
    """What begins first takes the load dump: it is to be the one at the machine's output, whose leads are made for it."""
    if not case.place.uppers or case.dump is None:
        return None
    return case.cold_breakdown(part), case.place.upper_clamp


AVOIDED = ("U12",)
OF_SUPPRESSOR = ("U01", "U02", "U08", "U07", "U04", "U14", "U03", "U05", "U06", "U09", "U10")


def suppressors(folder):
    """The suppressors alone, in twos, threes and fours, in order of preference."""
    curves = {}
    for row in reading.rows_of("suppressor_curves.csv", folder):
        curves.setdefault(row["class"], []).append((number(row["width [ms]"]) / 1000, number(row["power [W]"])))
    found = []
    for n in (1, 2, 3, 4):
        for row in reading.rows_of("suppressors.csv", folder):
            greatest, clamping, peak = (
                number(row[h]) for h in ("greatest breakdown [V]", "clamping [V]", "peak current [A]")
            )
            leakage = number(row["leakage [uA]"])
            found.append({
                "key": row["suppressor"] if n == 1 else f"{n} x {row['suppressor']}", "place": len(found), "number": n,
                "stand-off": number(row["stand-off [V]"]), "least": number(row["least breakdown [V]"]),
                "greatest": greatest, "clamping": clamping, "power": number(row["pulse power [W]"]),
                "slope": None if None in (greatest, clamping, peak) else (clamping - greatest) / peak,
                "steady": number(row["steady power [W]"]), "steady to": _kelvin(number(row["steady to [degC]"])),
                "junction": _kelvin(number(row["greatest junction [degC]"])), "bipolar": row["polarity"] == "bipolar",
                "coefficient": number(row["temperature coefficient [1/K]"]),
                "leakage": None if leakage is None else leakage / 1e6,
                "junction to case": number(row["junction to case [K/W]"]),
                "points": sorted(curves.get(row["class"], ())),
            })  # fmt: skip
    return sorted(found, key=lambda p: (p["number"], p["bipolar"], p["clamping"], p["power"], p["place"]))


# -------------------------------------------------------------------------------------------------- freewheel diodes


class Coil(Spot):
    """A diode across a coil: of a node, or the field of an alternator."""

    def __init__(self, tables, project, row, rule, settings):
        super().__init__(tables, project, row, rule, settings)
        stated = ends(row.get("current [A]"))
        self.current = None if stated is None else stated[1]
        self.guessed = set() if self.highest_stated else {"D03"}
        self.henry = self.ohm = None
        coil = next((self.nodes[n] for n in (row["from"], row["to"]) if n in self.nodes and
                     (self.nodes[n].get("coil inductance [H]") or self.nodes[n].get("coil resistance [ohm]"))), None)  # fmt: skip
        if coil is not None:
            self.henry, self.ohm = number(coil.get("coil inductance [H]")), number(coil.get("coil resistance [ohm]"))
            if self.current is None and self.ohm is not None:
                self.current = self.highest / self.ohm
            elif self.ohm is None and self.current is not None:
                self.ohm = self.highest / self.current
        else:
            self._field()
        on, off = number(row.get("on time [s]")), number(row.get("off time [s]"))
        self.period = None if None in (on, off) else on + off
        self.guards = Bridge.suppressors_of(self, row["from"])
        self.clamp = None
        self.dump = None
        if self.machine is not None:
            guard = Guard(tables, project, row, rule, settings)
            self.dump = [pair[0] for pair in guard.dumps]
            standard = guard._standard("A")
            if guard.central is not None:
                self.dump = [guard.central]
            elif standard is not None and not self.machine.row.get("load dump [V]"):
                self.guessed |= {"D03"}

    def _field(self):
        """The rotor of a machine; at what is usual, low in ohms, where nobody says."""
        row, tables = self.machine.row, self.tables
        unsaid = {"D01", "D02"} if self.current is None else set()
        feed = number(row.get("field supply [V]"))
        if feed is None:
            feed, self.guessed = self.highest, self.guessed | unsaid
        self.henry = number(row.get("field inductance [H]"))
        if self.henry is None:
            self.henry = next(number(r["high"]) for r in tables.typicals if r["what"] == "field inductance")
            self.guessed |= {"D01"}
        self.ohm, rated = number(row.get("field resistance [ohm]")), number(row.get("field current [A]"))
        if self.ohm is None and rated is not None:
            self.ohm = (number(row.get("design voltage [V]")) or feed) / rated
        if self.ohm is None:
            self.ohm = next(number(r["low"]) for r in tables.typicals if r["what"] == "field resistance")
            self.guessed |= {"D01"} | unsaid
        if self.current is None:
            self.current = feed / self.ohm

    def release_time(self, diode):
        """Seconds until the current is gone: L di/dt + R i + V = 0."""
        if None in (self.current, self.henry, self.ohm):
            return None
        return self.henry / self.ohm * math.log(1 + self.current * self.ohm / forward(diode))

    def cases(self):
        return [CoilCase(self, air) for air in sorted(set(self.ambient))]


def forward(diode):
    """Drop that holds the current up while it dies: the threshold of the loss line, or a silicon junction's."""
    return 0.7 if diode["threshold"] is None else diode["threshold"]


class CoilCase:
    def __init__(self, place, air):
        self.place, self.air = place, air

    def mean(self, diode):
        """Mean of the diode's current: the charge of a release, L di/dt + R i + V = 0, over how often it comes."""
        place = self.place
        if place.period is None:
            return place.current
        if None in (place.current, place.henry, place.ohm):
            return None
        lasts, drop = place.release_time(diode), forward(diode)
        steps = lasts / 2 * (NODES + 1)
        amperes = (place.current + drop / place.ohm) * np.exp(-steps * place.ohm / place.henry) - drop / place.ohm
        charge = lasts / 2 * float(np.sum(WEIGHTS * amperes))
        return min(place.current, charge / place.period)

    def sees(self):
        """Highest voltage the diode must block: charging, or the load dump, or what a suppressor leaves of it."""
        place = self.place
        dumps = place.dump or []
        dump = None if None in dumps else max([place.highest, *dumps])
        if not place.guards or place.clamp is None:
            return dump
        return max(place.highest, place.clamp)


def d01(case, diode):
    if diode["rated at"] != "ambient":
        return case.mean(diode), None
    if None in (diode["rating temperature"], diode["junction"]):
        return case.mean(diode), None
    share = (diode["junction"] - case.air) / (diode["junction"] - diode["rating temperature"])
    return case.mean(diode), diode["average"] * min(1.0, max(0.0, share))


def d02(case, diode):
    return case.place.current, diode["surge"]


def d03(case, diode):
    return diode["reverse"], case.sees()


def d04(case, diode):
    return diode["type"] == "rectifier", True


OF_DIODE = ("D04", "D01", "D02", "D03")


def diodes(folder):
    """The diodes in order of preference."""
    found = []
    for place, row in enumerate(reading.rows_of("diodes.csv", folder)):
        found.append({
            "key": row["diode"], "place": place, "type": row["type"], "average": number(row["average current [A]"]),
            "rated at": row["rating point"], "rating temperature": _kelvin(number(row["rating temperature [degC]"])),
            "reverse": number(row["reverse voltage [V]"]), "surge": number(row["surge current [A]"]),
            "threshold": number(row["threshold [V]"]), "junction": _kelvin(number(row["greatest junction [degC]"])),
            "recovery": row["recovery"],
        })  # fmt: skip

    def last(value):
        return math.inf if value is None else value

    types, recoveries = ("rectifier", "Schottky", "avalanche", "zener"), ("standard", "fast", "ultrafast", "Schottky")

    def order(d):
        in_air = {"ambient": 0, "": 2}.get(d["rated at"], 1)
        recovery = recoveries.index(d["recovery"]) if d["recovery"] in recoveries else 4
        return (types.index(d["type"]), in_air, last(d["average"]), last(d["reverse"]), recovery, d["place"])

    return sorted(found, key=order)


CODED = {
    "J01": j01, "J02": j02, "J03": j03, "J04": j04, "J06": j06, "J07": j07, "J08": j08, "J09": j09, "J10": j10,
    "J11": j11, "J12": j12, "J13": j13, "J14": j14, "J15": j15,
    "R01": r01, "R02": r02, "R03": r03, "R04": r04, "R05": r05, "R06": r06, "R08": r08, "R09": r09, "R10": r10,
    "R11": r11, "H01": h01, "H02": h02,
    "U01": u01, "U02": u02, "U03": u03, "U04": u04, "U05": u05, "U06": u06, "U07": u07, "U08": u08, "U09": u09,
    "U10": u10, "U12": u12, "U14": u14, "D01": d01, "D02": d02, "D03": d03, "D04": d04,
}  # fmt: skip
ASKED = frozenset(OF_SPLICE + OF_JOINT_SLEEVE + OF_BRIDGE + OF_BRIDGE_AND_SINK + OF_SUPPRESSOR + AVOIDED + OF_DIODE)
OWN_SPARES = {
    "R10": "junction temperature spare",
    "U06": "suppressor energy spare",
    "U08": "junction temperature spare",
}
"""Checks whose spare is a default of its own: 25 K of a junction, 25 % of a suppressor's energy."""


# -------------------------------------------------------------------------------------------------------- the choice

TURNS = ((False, False), (False, True), (True, False), (True, True))
PLACES = {"phase lead": PhaseLead, "joint": Joint, "rectifier": Bridge, "suppressor": Guard, "freewheel": Coil}


class Reading(reading.Reading):
    """The rules of one project of machines, read a second time."""

    coded = reading.CODED | CODED
    waived = frozenset()

    def judge(self, code, cases, **parts):
        return reading.PASS if code in self.waived else super().judge(code, cases, **parts)

    def __init__(self, tables, project, losses, rules=None):
        """``losses``: (volts, ohms) of the cables and feeds that only lie on the way; their choice is second_reading's."""
        super().__init__(tables, project, rules)
        self.given_losses = losses

    def _lost(self, name):
        return self.given_losses[name] if name in self.given_losses else super()._lost(name)

    def _spare(self, row):
        own = OWN_SPARES.get(row["code"])
        unit = "K" if row["spare"] == "K" else "%"
        if own is None or self.settings.get(f"spare {row['code']} [{unit}]"):
            return super()._spare(row)
        value = number(self.settings.get(own) or self.tables.defaults[own])
        return value if unit == "K" else value / 100

    def place(self, row):
        if row.get("purpose") == "field":
            return FieldLead(self.tables, self.project, row, self.rule, self.settings)
        return PLACES.get(row["kind"], reading.Place)(self.tables, self.project, row, self.rule, self.settings)

    def _solve(self, row):
        if row["kind"] not in ("joint", "rectifier", "suppressor", "freewheel"):
            status, parts = super()._solve(row)
            if status == "unserved" and getattr(self.place(row), "guessed", None) and row["kind"] == "phase lead":
                self.waived = self.place(row).guessed
                waits = super()._solve(row)[0] != "unserved"
                self.waived = frozenset()
                return ("incomplete" if waits else "unserved"), None
            unknown = status == "served" and not row.get("length [m]")  # how much of it to buy
            return ("incomplete" if unknown else status), parts
        place = self.place(row)
        place.verdicts = {}
        for lenient, exotic in TURNS if row["kind"] == "joint" else TURNS[::2]:  # no semiconductor is exotic
            good = (reading.PASS, reading.UNKNOWN) if lenient else (reading.PASS,)
            found = getattr(self, "_" + row["kind"])(place, row, good, exotic)
            if found is not None:
                return ("incomplete" if lenient else "served"), found
        if place.guessed and getattr(self, "_" + row["kind"])(place, row, good, True, place.guessed) is not None:
            return "incomplete", None  # only a value that nobody stated stands in the way
        return "unserved", None

    def verdict(self, place, codes, waived, cases, **parts):
        """The worst verdict of some checks on some parts, worked out once."""
        key = (codes, bool(waived), *(part and part["key"] for part in parts.values()))
        if key not in place.verdicts:
            place.verdicts[key] = self.worst([code for code in codes if code not in waived], cases, **parts)
        return place.verdicts[key]

    def offered(self, parts, row, role, exotic=True):
        """The parts of a role in question: all, or the one that is fixed."""
        fixed = row.get(role)
        if fixed:
            return [part for part in parts if part["key"] == fixed]
        return [part for part in parts if exotic or not part.get("exotic")]

    def lead_temperature(self, name):
        """Highest temperature of the metal of the wire picked for another row; None where nothing is known of it."""
        _, parts = self.solve(name)
        if parts is None:
            return None
        row = next(r for r in self.project["connections.csv"] if r["connection"] == name)
        wire = next(w for w in self.tables.wires if w["key"] == parts["conductor"])
        metal = [case.warm(wire)[0] for case in self.place(row).cases()]
        return None if None in metal else max(metal)

    def clamp_of(self, names):
        """The highest of what these suppressors hold; None where one of them has no part, or its clamp is not known."""
        found = []
        for name in names:
            _, parts = self.solve(name)
            if parts is None:
                return None
            row = next(r for r in self.project["connections.csv"] if r["connection"] == name)
            place = self.place(row)
            place.upper_clamp = self.clamp_of(place.uppers) if place.uppers else None
            part = next(p for p in self.tables.suppressors if p["key"] == parts["suppressor"])
            clamps = [case.clamp(part) for case in place.cases()]
            if None in clamps:
                return None
            found += clamps
        return max(found, default=None)

    def results(self, name):
        """What the program publishes of a pick, by the names of its facts: the highest over the cases."""
        row = next(r for r in self.project["connections.csv"] if r["connection"] == name)
        place, (_, parts) = self.place(row), self.solve(name)
        if row["kind"] == "control wire":
            return {}
        if row["kind"] == "phase lead":
            wire = next(w for w in self.tables.wires if w["key"] == parts["conductor"])
            warm = [case.warm(wire) for case in place.cases()]
            return {"line_rms_a": place.line_rms, "phase_to_phase_v": place.line_voltage,
                    "conductor_temperature_k": _most(w[0] for w in warm),
                    "conductor_surface_k": _most(w[1] for w in warm)}  # fmt: skip
        if row["kind"] == "rectifier":
            bridge = next(b for b in self.tables.bridges if b["key"] == parts["rectifier"])
            sink = next((s for s in self.tables.sinks if s["key"] == parts["heatsink"]), None)
            cases = place.cases()
            return {"diode_loss_w": _most(c.diode_heat(bridge) for c in cases),
                    "sink_k": _most(c.sink(bridge, sink) for c in cases),
                    "case_k": _most(c.case(bridge, sink) for c in cases),
                    "junction_k": _most(c.junction(bridge, sink) for c in cases)}  # fmt: skip
        if row["kind"] == "suppressor":
            place.upper_clamp = self.clamp_of(place.uppers)
            part = next(p for p in self.tables.suppressors if p["key"] == parts["suppressor"])
            cases = place.cases()
            pulses = [case.worked(part) or {"all": None, "late": None} for case in cases]
            return {"pulse_current_a": _most(p["all"] for p in pulses), "pulse_energy_j": _most(p["late"] for p in pulses),
                    "clamping_voltage_v": _most(case.clamp(part) for case in cases)}  # fmt: skip
        if row["kind"] == "freewheel":
            return {
                "release_time_s": place.release_time(next(d for d in self.tables.diodes if d["key"] == parts["diode"]))
            }
        return {"joint_temperature_k": self._warmed_joint(place, row)}

    def _joined_lead(self, place, row):
        """The one row of leads behind a winding is what its joints lead on to."""
        leads = [r["connection"] for r in self.project["connections.csv"]
                 if r["kind"] == "phase lead" and row["from"] in (r["from"], r["to"])]  # fmt: skip
        if len(leads) == 1 and len(place.sides) == 2 and place.is_alternator(row["from"]):
            parts = self.solve(leads[0])[1]
            if parts:  # else the joint's warmth is not known either, and nothing of it is settled
                place.lead_on(next(w for w in self.tables.wires if w["key"] == parts["conductor"]))

    def _warmed_joint(self, place, row):
        leads = [r["connection"] for r in self.project["connections.csv"]
                 if r["kind"] in ("cable", "control wire", "phase lead") and row["from"] in (r["from"], r["to"])]  # fmt: skip
        place.warmest([self.lead_temperature(name) for name in leads])
        return place.warmth

    def _joint(self, place, row, good, exotic, waived=()):
        self._joined_lead(place, row)
        self._warmed_joint(place, row)
        for splice in self.offered(self.tables.splices_in_order[place.at_winding], row, "splice"):
            if self.worst(OF_SPLICE, (place,), splice=splice) not in good:
                continue
            if row.get("sleeve") == "none":
                return {"splice": splice["key"], "sleeve": None}
            sleeves = sorted(self.tables.sleeves, key=lambda s: reading.sleeve_order(s, place.zone["wet"]))
            for sleeve in self.offered(sleeves, row, "sleeve", exotic):
                if self.worst(OF_JOINT_SLEEVE, (place,), splice=splice, sleeve=sleeve) in good:
                    return {"splice": splice["key"], "sleeve": sleeve["key"]}
        return None

    def _rectifier(self, place, row, good, exotic, waived=()):
        place.clamp = self.clamp_of(place.guards)
        cases = place.cases()
        wanted = [None] if row.get("heatsink") == "none" else self.offered(self.tables.sinks, row, "heatsink")
        for bridge in self.offered(self.tables.bridges, row, "rectifier"):
            if self.verdict(place, OF_BRIDGE, waived, cases, bridge=bridge) not in good:
                continue
            for sink in wanted:
                if self.verdict(place, OF_BRIDGE_AND_SINK, waived, cases, bridge=bridge, sink=sink) in good:
                    return {"rectifier": bridge["key"], "heatsink": sink["key"] if sink else None}
        return None

    def _suppressor(self, place, row, good, exotic, waived=()):
        place.upper_clamp = self.clamp_of(place.uppers)
        cases = place.cases()
        said = row.get("suppressor")  # a part named alone leaves its number open
        first = None
        for part in self.tables.suppressors:
            if said and said not in (part["key"], part["key"].partition(f"{part['number']} x ")[2]):
                continue
            if self.verdict(place, OF_SUPPRESSOR, waived, cases, part=part) not in good:
                continue
            avoided = self.verdict(place, AVOIDED, (), cases, part=part)
            if first is None and avoided != reading.FAIL:
                return {"suppressor": part["key"]}
            if (
                first is not None and avoided in good
            ):  # one that leaves the dump to the other comes before one that takes it
                return {"suppressor": part["key"]}
            first = first or {"suppressor": part["key"]}
        return first

    def _freewheel(self, place, row, good, exotic, waived=()):
        place.clamp = self.clamp_of(place.guards)
        for diode in self.offered(self.tables.diodes, row, "diode"):
            if self.verdict(place, OF_DIODE, waived, place.cases(), diode=diode) in good:
                return {"diode": diode["key"]}
        return None


class Tables(reading.Tables):
    """The shipped tables with those of joints and semiconductors."""

    def __init__(self, folder=reading.TABLES):
        super().__init__(folder)
        self.conductors = reading.rows_of("conductors.csv", folder)
        self.pulses = reading.rows_of("pulses.csv", folder)
        self.splices = splices(self)
        self.splices_in_order = {False: self.splices, True: splices(self, at_winding=True)}
        self.bridges, self.sinks = bridges(folder), sinks(folder)
        self.suppressors, self.diodes = suppressors(folder), diodes(folder)
