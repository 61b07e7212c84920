"""Joints: which wires meet in one, read from a cell such as ``4 x 16 AWG > 1 x 10 AWG``, and what they ask of a splice."""

import re
from dataclasses import dataclass, replace

import numpy as np

from selector.errors import nearest, quoted
from selector.physics import joint
from selector.project.filling import Filling
from selector.project.values import NAN, fold, shown

CLASSES = ("solid", "stranded", "class 2", "class 5")
SOFT = ("stranded", "class 5", "class 2", "solid")
HARD = ("solid", "stranded", "class 5", "class 2")
"""Stranding taken where a wire's is not said, best known first: of any wire, and of a winding's tails."""
METALS = {"copper": "copper", "aluminium": "aluminium", "aluminum": "aluminium"}
MOST_WIRES = 100
EXAMPLE = "4 x 16 AWG > 1 x 10 AWG, or 12 AWG + 12 AWG + 8 AWG"
_ITEM = re.compile(
    r"(?:(?P<count>[^\s]+?)\s*[x*]\s*)?(?P<size>(?:\d+(?:\.\d+)?|\d/0)\s*(?:awg|mm2)|awg\s*(?:\d+|\d/0))(?P<words>\s.*)?$"
)
_ALIKE = (("\u00a0", " "), ("\u202f", " "), ("×", "x"), ("→", ">"), ("²", "2"), ("mm^2", "mm2"), ("sq mm", "mm2"))
SAME_SIZE = 0.02
"""A printed area within this share of a wire's is its own: 1.3 mm2 is printed for 16 AWG of 1.309; common practice, no source."""
LEADS = ("cable", "control wire", "phase lead")


@dataclass(frozen=True)
class Wires:
    """Wires of one size on one side of a joint.

    assumed : whether the stranding was not said and could be another; outer_m : over the thinnest insulation such a wire
    is sold in, unknown for a winding's tails and for what is sold in none
    """

    count: int
    size: str
    area_mm2: float
    diameter_m: float
    strands: str
    metal: str
    assumed: bool = False
    outer_m: float = NAN


class JoinsError(Exception):
    """What was found in the cell, what would be right, and the nearest known size."""

    def __init__(self, found, expected, near=""):
        super().__init__(found)
        self.found, self.expected, self.near = found, expected, near


def read_joins(text, conductors, winding=False, thinnest=None):
    """Both sides of a joint as lists of `Wires`; the second is empty where all wires lie side by side.

    conductors : rows of conductors.csv; winding : whether the first side may be the tails of a winding
    thinnest : (size, stranding) -> least diameter over insulation of wires.csv [m]
    """
    plain = text.casefold()
    for odd, usual in _ALIKE:
        plain = plain.replace(odd, usual)
    plain = re.sub(r"(\d),(\d)", r"\1.\2", plain)
    sides = plain.split(">")
    if len(sides) > 2:
        raise JoinsError(f"{quoted(text)} has more than one >", f"A joint has one side or two: {EXAMPLE}.")
    through = len(sides) == 2
    read = [[_item(item, text, conductors, winding and through and number == 0, thinnest or {}) for item in side.split("+")]
            for number, side in enumerate(sides)]  # fmt: skip
    if not through and sum(wires.count for wires in read[0]) < 2:
        raise JoinsError(f"{quoted(text)} is one wire alone", f"Write what it is joined to: {EXAMPLE}.")
    return read[0], read[1] if through else []


def _item(item, text, conductors, tail, thinnest):
    item = " ".join(item.split())
    if not item:
        raise JoinsError(f"{quoted(text)} has nothing where a wire should stand",
                         f"Write wires on both sides of > and of +: {EXAMPLE}.")  # fmt: skip
    match = _ITEM.match(item)
    if match is None:
        raise _unread(item)
    count = _count(match["count"])
    size = match["size"].replace("awg", " AWG").replace("mm2", " mm2")
    size = " ".join(size.split())
    size = f"{size[4:]} AWG" if size.startswith("AWG") else size
    strands, metal, coating = _words(match["words"] or "", conductors)
    wires = _wires(count, size, strands, metal, coating, conductors, tail)
    return wires if tail else replace(wires, outer_m=thinnest.get((wires.size, wires.strands), NAN))


def _unread(item):
    if re.search(r"\d\s*mm\b", item):
        return JoinsError(
            f"{quoted(item)} is a diameter in mm", "Write the size in AWG or its area in mm2, such as 2.5 mm2."
        )
    if not re.search(r"awg|mm2", item):
        return JoinsError(f"{quoted(item)} has no size in AWG or mm2",
                          "Write the number of wires, x, and a size: 4 x 16 AWG, or 2 x 2.5 mm2.")  # fmt: skip
    return JoinsError(f"{quoted(item)} is no number of wires of a size", f"Write as in {EXAMPLE}.")


def _count(text):
    if text is None:
        return 1
    if not text.isdigit() or not 1 <= int(text) <= MOST_WIRES:
        raise JoinsError(
            f"{quoted(text)} is no number of wires", f"Write a whole number from 1 to {MOST_WIRES} before the x."
        )
    return int(text)


def _words(text, conductors):
    strands = metal = coating = None
    left = " ".join(text.split())
    coatings = sorted({row["coating"] for row in conductors if row["coating"]})
    known = [*CLASSES, *METALS, *coatings]
    while left:
        word = next((word for word in known if left == word or left.startswith(word + " ")), None)
        if word is None:
            first = left.split()[0]
            raise JoinsError(
                f"{quoted(first)} says nothing known of a wire",
                f"Write one of: {', '.join(known)}.",
                nearest(first, known),
            )
        left = left[len(word) :].strip()
        if word in CLASSES:
            if strands not in (None, word):
                raise JoinsError(f"{quoted(text.strip())} is both {strands} and {word}", "Write one of them.")
            strands = word
        elif word in METALS:
            if metal not in (None, METALS[word]):
                raise JoinsError(f"{quoted(text.strip())} is both {metal} and {word}", "Write one of them.")
            metal = METALS[word]
        else:
            coating = word
    return strands, metal or "copper", coating


def _wires(count, size, strands, metal, coating, conductors, tail):
    rows = [
        row for row in conductors if row["size"].casefold() == _spelled(size).casefold() and row["material"] == metal
    ]
    rows = [row for row in rows if coating is None or row["coating"] == coating]
    order = HARD if tail else SOFT
    said = [strands] if strands not in (None, "stranded") else list(SOFT[:3] if strands else order)
    found = [row for name in said for row in rows if row["strand_class"] == name]
    own_area = float(size.split()[0]) if size.endswith("mm2") else None
    solid = said == ["solid"] or (tail and strands is None)
    if own_area and metal == "copper" and solid and not any(row["strand_class"] == "solid" for row in found):
        return Wires(count, size, own_area, 2e-3 * (own_area / np.pi) ** 0.5, "solid", metal, strands is None)
    if not found:
        known = list(dict.fromkeys(row["size"] for row in conductors if row["material"] == metal))
        what = " ".join(word for word in (size, coating, strands, None if metal == "copper" else metal) if word)
        raise JoinsError(f"{quoted(what)} is no conductor of conductors.csv",
                         "Write a size it has, with the stranding and coating it has it in.", nearest(size, known))  # fmt: skip
    row = found[0]
    assumed = strands is None and len({r["strand_class"] for r in rows}) > 1
    return Wires(count, row["size"], row["area_mm2"], row["diameter_m"] or NAN, row["strand_class"], metal, assumed)


def _spelled(size):
    """A size as conductors.csv spells it: ``0 AWG`` is 1/0, ``2.50 mm2`` is 2.5."""
    number, unit = size.split()
    if unit == "AWG":
        return {"0": "1/0", "00": "2/0", "000": "3/0", "0000": "4/0"}.get(number, number) + " AWG"
    return f"{float(number):g} mm2"


def filled_m(wires):
    """Diameter of the hole that takes these wires: strands give way to each other, solid wires do not [m]."""
    solids = [w for w in wires if w.strands == "solid"]
    strands = [w for w in wires if w.strands != "solid"]
    count = sum(w.count for w in solids)
    thickest = max((w.diameter_m for w in solids), default=0.0)
    circle = joint.bundle_diameter_m(float(count), thickest) if count else 0.0
    if count == 2:
        circle = sum(w.count * w.diameter_m for w in solids)  # two of different thickness lie side by side
    soft = joint.strand_bundle_m([w.count for w in strands], [w.diameter_m for w in strands]) if strands else 0.0
    return joint.filled_diameter_m(circle, soft)


def grip_m(wires):
    """The least the wires of one side can measure over what a sleeve grips: insulation, or bare metal where unknown [m]."""
    if all(w.outer_m == w.outer_m for w in wires):
        return joint.strand_bundle_m([w.count for w in wires], [w.outer_m for w in wires])
    return filled_m(wires)


def printed_for(rows, area_mm2):
    """The row of a pull test that a wire is held to: of its own size, else of the next larger one printed.

    Forces rise with the size, so of two printed sizes the larger asks for more. None above the last one printed.
    """
    own = [row for row in rows if row["area_mm2"] and row["area_mm2"] >= (1 - SAME_SIZE) * area_mm2]
    return min(own, key=lambda row: row["area_mm2"], default=None)


def area_of(wires):
    """Summed area [mm2]."""
    return joint.summed_area_mm2([w.count for w in wires], [w.area_mm2 for w in wires])


NUMBERS = (
    "joint_parallel", "joint_through", "joint_first_area_mm2", "joint_second_area_mm2", "joint_least_side_mm2",
    "joint_greatest_side_mm2", "joint_total_mm2", "joint_widest_side_m", "joint_thinnest_side_m", "joint_sides_m",
    "joint_first_bundle_m", "joint_first_grip_m", "joint_pull_force_n",
    *(f"joint_has_{name.replace(' ', '_')}" for name in (*CLASSES, "copper", "aluminium")),
)  # fmt: skip


OF_LEAD = {
    "joint_lead_mm2": "conductor_area_mm2",
    "joint_lead_m": "conductor_diameter_m",
    "joint_lead_outer_m": "conductor_outer_diameter_m",
}
"""Columns of the lead that leaves a joint at a winding, and what of its pick they are."""


class Joints(Filling):
    """Columns of the wires that meet in a joint; unknown for every other row."""

    def _joints(self):
        own = self.is_kind("joint")
        for row, text in enumerate(self.text("joins")):
            if text is not None and not own[row]:
                self.complain(row, "joins", f"{quoted(text)} stands in a row that is no joint",
                              "Write joint as its kind, or leave the cell empty.")  # fmt: skip
        self.put("at_a_winding", [float(own[row] and self._at_a_winding(row)) for row in range(self.count)])
        if not own.any():
            return
        conductors = self.catalogue.rows("conductors.csv")
        self.pull_test = self._pull_test()
        thinnest = self._thinnest()
        insulated = np.zeros(self.count, bool)
        columns = {name: np.full(self.count, NAN) for name in NUMBERS}
        assumed = {True: np.zeros(self.count, bool), False: np.zeros(self.count, bool)}
        texts = self.text("joins")
        for row in np.flatnonzero(own):
            winding = self._at_a_winding(row)
            if texts[row] is None:
                self.complain(row, "joins", "the cell is empty", f"Write which wires meet: {EXAMPLE}.")
                continue
            try:
                first, second = read_joins(texts[row], conductors, winding, thinnest)
            except JoinsError as error:
                self.complain(row, "joins", error.found, error.expected, error.near)
                continue
            for name, value in self._asked(first, second).items():
                columns[name][row] = value
            insulated[row] = any(wires.outer_m == wires.outer_m for wires in (*first, *second))
            for wires in (*first, *second):
                if wires.assumed:
                    assumed[wires.strands == "solid"][row] = True
        question = "Are the joined wires solid or stranded? Write it after their size in joins."
        self.default(
            "joined wires whose stranding is not said", "stranded", "", "connections.csv", assumed[False], question
        )
        self.default(
            "winding's tails whose stranding is not said", "solid", "", "connections.csv", assumed[True], question
        )
        for name, values in columns.items():
            self.put(name, values)
        said = [(text or "").casefold() in ("none", "-", "no") for text in self.text("sleeve")]
        self.put("has_sleeve", np.where(own, 1.0 - np.array(said), NAN))
        self._joined_wires(own)
        self._joined_lead(own & (self.columns["joint_through"] == 1))
        self.default("insulation a sleeve grips", "the thinnest sold on such a wire", "", "wires.csv", insulated & (self.columns["has_sleeve"] == 1),
                     "What do the joined wires measure over their insulation?")  # fmt: skip
        self.default("pull test", self.pull_test, "", "settings.csv", own & ("pull test" not in self.settings.stated),
                     self.settings.questions.get("pull test", ""))  # fmt: skip

    def _at_a_winding(self, row):
        supply = self.network.supply(self.a[row]) if self.a[row] >= 0 else None
        return supply is not None and supply["type"] == "alternator"

    def _asked(self, first, second):
        """What these wires ask: areas, holes, stranding, metals, and the pull force of the smallest."""
        every = [*first, *second]
        sides = [side for side in (first, second) if side]
        areas = [area_of(side) for side in sides]
        holes, grips = [filled_m(side) for side in sides], [grip_m(side) for side in sides]
        asked = {
            "joint_parallel": float(not second),
            "joint_through": float(bool(second)),
            "joint_first_area_mm2": areas[0],
            "joint_second_area_mm2": areas[1] if second else NAN,
            "joint_least_side_mm2": min(areas),
            "joint_greatest_side_mm2": max(areas),
            "joint_total_mm2": sum(areas),
            "joint_widest_side_m": NAN if any(hole != hole for hole in holes) else max(holes),
            "joint_thinnest_side_m": NAN if any(grip != grip for grip in grips) else min(grips),
            "joint_sides_m": sum(holes) if second else holes[0],
            "joint_first_bundle_m": holes[0],
            "joint_first_grip_m": grips[0],
            "joint_pull_force_n": self._pull_force(min(wires.area_mm2 for wires in every)),
        }
        for name in CLASSES:
            asked[f"joint_has_{name.replace(' ', '_')}"] = float(any(wires.strands == name for wires in every))
        for name in ("copper", "aluminium"):
            asked[f"joint_has_{name}"] = float(any(wires.metal == name for wires in every))
        return asked

    def _thinnest(self):
        """Least diameter over insulation each size and stranding is sold in [m]."""
        made = self.catalogue.rows("conductors.csv")
        of = {fold(row["conductor"]): (row["size"], row["strand_class"]) for row in made}
        found, wires = {}, self.catalogue["wires.csv"]
        for key, outer in zip(wires["conductor"], wires["outer_diameter_m"], strict=True):
            wire = of.get(fold(key))
            if outer is not None and wire is not None:
                found[wire] = min(outer, found.get(wire, outer))
        return found

    def _pull_test(self):
        """The requirement of pull_forces.csv the project holds its crimps to, as the table spells it."""
        known = list(dict.fromkeys(row["requirement"] for row in self.catalogue.rows("pull_forces.csv", joint="crimp")))
        wanted = self.settings.values["pull test"] or ""
        for name in known:
            if fold(name) == fold(wanted):
                return name
        self.problems.add(self.project.frames["settings.csv"].label or "settings.csv", None, "pull test",
                          f"{quoted(wanted)} is no pull test of pull_forces.csv", f"Write one of: {', '.join(known)}.",
                          nearest(wanted, known))  # fmt: skip
        return wanted

    def _pull_force(self, area):
        """Least force a crimp on a wire of this area must hold [N]."""
        row = printed_for(self.catalogue.rows("pull_forces.csv", requirement=self.pull_test, joint="crimp"), area)
        return NAN if row is None else row["least_force_n"]

    def _joined_wires(self, own):
        """How warm the wires of other rows are that end at the joint: taken from what is picked for them."""
        leads = np.flatnonzero(self.is_kind(*LEADS))
        warmest = self.high.get("ambient_k", self.columns["ambient_k"])
        values = warmest.copy()
        for row in np.flatnonzero(own):
            rows = [int(r) for r in leads if self.a[row] in (self.a[r], self.b[r])]
            if rows:
                self.guards.setdefault(int(row), {})["joined_wires_k"] = ("conductor_temperature_k", rows)
                values[row] = NAN
        self.put("joined_air_k", warmest)
        self.put("joined_wires_k", values)

    def _joined_lead(self, through):
        """The lead of a phase, which a joint at the winding leads on to: its second side is what is picked for that row.

        Where several rows of leads leave a winding nobody says which of them a joint is of: `joins` stands.
        """
        phase = np.flatnonzero(self.is_kind("phase lead"))
        has = np.zeros(self.count)
        for row in np.flatnonzero(through):
            leads = [int(r) for r in phase if self.a[row] in (self.a[r], self.b[r])]
            if not self._at_a_winding(row) or len(leads) != 1:
                continue
            has[row] = 1.0
            for column, fact in OF_LEAD.items():
                self.guards.setdefault(int(row), {})[column] = (fact, leads)
        self.put("has_joint_lead", has)
        for column in OF_LEAD:
            self.put(column, np.full(self.count, NAN))

    def _joint_terminals(self, end, low, top, stated):
        """How warm a joint's place is: at an alternator it stands where the winding's leads come out."""
        if end != "from":
            return low, top, stated
        own = [kind == "joint" and self._at_a_winding(row) for row, kind in enumerate(self.kinds_folded())]
        missing = np.array(own, dtype=bool) & ~stated
        what = "winding lead-out temperature"
        value = self.settings.number(what)
        self.default(what, shown(value, "degC"), "degC", "nodes.csv", missing, self.settings.questions.get(what, ""))
        return np.where(missing, value, low), np.where(missing, value, top), stated | missing
