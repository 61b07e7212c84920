"""An alternator used above the voltage it was made for: what changes, what each part stands, what gives way first."""

import math
from dataclasses import dataclass, field
from typing import Any

from selector.catalogue.reading import fold_key
from selector.choosing.checks import STATUS_WORDS
from selector.physics.rectifier import cut_in_speed_rpm
from selector.project.values import CHARGED, or_nan
from selector.report.result import Sources, digits, margin, part_of, plain, shown

CLASSES = (6.0, 12.0, 24.0, 36.0, 48.0)
"""Voltages systems are named for; a machine for 14 V is of the 12 V class."""
FAR_ABOVE = 1.5
"""A charging voltage above this multiple of the design voltage is no longer that class's (15.5 V of 12 V is)."""
CUT_IN_DROP_V = 1.4
"""Two silicon diodes that only just conduct; common practice, no source."""
OF_MACHINE = ("phase lead", "rectifier", "suppressor", "freewheel", "joint")
OF_LEADS = ("device_voltage", "insulation_voltage")
"""Checks of a cable or wire that a higher voltage concerns."""
OF_TWO = ("upper_takes_dump",)
"""Checks that compare two parts with each other: they say nothing of what one of them stands."""
COLUMNS = {
    "rectifier": (("least_breakdown_v", "begins to conduct backwards (avalanche)", "conducts"),
                  ("reverse_voltage_v", "reverse voltage of its diodes", "stands")),
    "suppressor": (("stand_off_v", "stand-off: up to here it leaks only", "stands off"),
                   ("least_breakdown_v", "begins to conduct", "conducts")),
    "diode": (("reverse_voltage_v", "reverse voltage", "stands"),),
    "conductor": (("voltage_rating_v", "insulation", "stands"),),
    "protection": (("voltage_rating_v", "voltage it can break", "breaks"),),
}  # fmt: skip
"""Steps of the ladder a picked part gives: column, what it is, and what the part does there."""
CLAMPED = "clamp of the suppressors"
REFUSED = "is refused"
"""What the ladder says of a part whose row is not served: it is not to be used, so it gives way to nothing."""
NAN = float("nan")


@dataclass(frozen=True)
class Limit:
    """One component against what it sees now; status is pass, fail or unknown, and unknown is never a pass.

    margin : the room left, as a share of the limit where ``of_limit``, else of what it sees; ``spare`` is asked of it
    """

    component: str
    where: str
    what: str
    limit: float
    actual: float
    unit: str
    status: str
    margin: float | None
    source: str
    note: str = ""
    code: str = ""
    spare: float = 0.0
    of_limit: bool = True

    def data(self):
        return {
            "component": self.component, "where": self.where, "what": self.what, "limit": digits(self.limit),
            "actual": digits(self.actual), "unit": self.unit, "status": self.status, "margin": digits(self.margin),
            "source": self.source, "code": self.code, "note": self.note,
        }  # fmt: skip


@dataclass(frozen=True)
class Step:
    """One rung of the ladder of voltages; a voltage that is not known stands last."""

    voltage_v: float
    component: str
    what: str
    does: str

    def data(self):
        return {"voltage": digits(self.voltage_v), "unit": "V", "component": self.component, "what": self.what,
                "does": self.does}  # fmt: skip


@dataclass
class Review:
    """All that is known of one such machine.

    design_v, nominal_v, charging_v, transient_v : what it was made for, the system's name, the highest charging
    voltage, and the highest voltage when the battery falls off (the suppressors' clamp, else its own load dump)
    rows : the connections that belong to it; leads : cables at its output and its control wires
    """

    name: str
    supply: dict
    node: int
    design_v: float
    nominal_v: float
    charging_v: float
    rows: list = field(default_factory=list)
    leads: list = field(default_factory=list)
    named: list = field(default_factory=list)
    outputs: set = field(default_factory=set)
    islands: set = field(default_factory=set)
    transient_v: float = NAN
    transient_from: str = ""
    transient_assumed: bool = False
    limits: list = field(default_factory=list)
    ladder: list = field(default_factory=list)
    guards: frozenset = frozenset()
    changes: list = field(default_factory=list)
    steps: list = field(default_factory=list)
    cautions: list = field(default_factory=list)

    def of(self, kind):
        return [one for one in self.rows if one.kind.name == kind]

    @property
    def old_class_v(self):
        return class_of(self.design_v)

    @property
    def old_charging_v(self):
        """The same charging voltage a cell, in the class the machine was made for."""
        return self.charging_v * self.old_class_v / self.nominal_v

    @property
    def counts(self):
        return {word: sum(1 for limit in self.limits if limit.status == word) for word in ("pass", "fail", "unknown")}

    @property
    def by_weight(self):
        """The limits, what fails first, then what is not known."""
        return sorted(self.limits, key=lambda limit: ("fail", "unknown", "pass").index(limit.status))

    @property
    def is_clear(self):
        return all(limit.status == "pass" for limit in self.limits)

    @property
    def weakest(self):
        """What gives way, first things first, of all that is known; suppressors apart: they are meant to conduct."""
        known = (s for s in self.ladder if s.does in ("stands", "conducts") and s.voltage_v == s.voltage_v)
        return [step for step in known if step not in self.guards]

    @property
    def refused(self):
        """Steps of parts that are not to be used."""
        return [step for step in self.ladder if step.does == REFUSED]

    @property
    def unsettled(self):
        """What the highest voltage of its diodes rests on that is not settled, in words; empty where it is known."""
        if self.transient_v == self.transient_v and self.transient_from == CLAMPED:
            return ""
        guards = self.of("suppressor")
        if guards:
            return "a suppressor at its output that is not served yet"
        if self.transient_v == self.transient_v and not self.transient_assumed:
            return ""
        return "a load dump that nobody has stated, and no suppressor holds it down"

    @property
    def unknown_steps(self):
        return [step for step in self.ladder if step.voltage_v != step.voltage_v]

    def data(self):
        return {
            "alternator": self.name,
            "design_voltage": digits(self.design_v),
            "nominal_voltage": digits(self.nominal_v),
            "charging_voltage": digits(self.charging_v),
            "transient_voltage": digits(self.transient_v),
            "unit": "V",
            "connections": self.named,
            "changes": self.changes,
            "components": [limit.data() for limit in self.limits],
            "ladder": [step.data() for step in self.ladder],
            "fails_first": self.weakest[0].data() if self.weakest else None,
            "bench_steps": [step.data() for step in self.steps],
            "cautions": self.cautions,
            "summary": self.counts,
        }


def class_of(volts):
    """The voltage a system is named for: 14 V is of the 12 V class.

    >>> class_of(14.0), class_of(28.0), class_of(12.0)
    (12.0, 24.0, 12.0)
    """
    return next((named for named in CLASSES if named <= volts <= CHARGED * named), volts)


def used_above(design_v, nominal_v, charging_v):
    """Whether a system asks more of a machine than the class it was made for.

    >>> used_above(12.0, 24.0, 29.2), used_above(14.0, 12.0, 14.6), used_above(24.0, 24.0, 31.0)
    (True, False, False)
    """
    return nominal_v > CHARGED * design_v or charging_v > FAR_ABOVE * design_v


def cut_in(known_rpm, old_v, new_v):
    """Speed at which charging begins at the new voltage, and its ratio to the old one; the speed may be unknown.

    >>> [round(value, 3) for value in cut_in(1200.0, 12.0, 24.0)]
    [2274.627, 1.896]
    """
    ratio = cut_in_speed_rpm(1.0, old_v, new_v, CUT_IN_DROP_V)
    return known_rpm * ratio, ratio


def field_now(review):
    """Current and heat of the field on what feeds it now, as (current, heat, ratio of currents); unknown is NaN.

    By its resistance where that is stated; else in proportion to the voltage its rated current belongs to.
    """
    supply = review.supply
    volts, ohms, rated = (
        or_nan(supply[name]) for name in ("field_supply_v", "field_resistance_ohm", "field_current_a")
    )
    return field_at(volts, ohms, rated, review.old_charging_v)


def field_at(volts, ohms, rated_a, old_v):
    """The field's current [A], heat [W] and current over the rated one at a voltage.

    >>> [round(value, 2) for value in field_at(28.0, 3.5, 4.0, 14.0)]
    [8.0, 224.0, 2.0]
    >>> [round(value, 2) for value in field_at(28.0, float("nan"), 4.0, 14.0)]
    [8.0, 224.0, 2.0]
    """
    amps = volts / ohms if ohms == ohms else rated_a * volts / old_v
    return amps, amps * volts, amps / rated_a


# -- finding the machines --------------------------------------------------------------------------------------------


def machines_of(outcome):
    """A review of every alternator whose stated design voltage is below that of the system it charges."""
    found = [review for supply in outcome.project.rows("supplies.csv") if (review := _review(outcome, supply))]
    for review in found:
        _belongings(outcome, review, alone=len(found) == 1)
        _transient(outcome, review)
        _limits(outcome, review)
        _ladder(outcome, review)
    return found


def review_of(outcome, name):
    """The review of an alternator by its node's name; None where there is none."""
    return next((r for r in outcome.reviews if fold_key(r.name) == fold_key(name)), None)


def review_with(outcome, one):
    """The review a connection is part of; None for all others."""
    return next((r for r in outcome.reviews if any(own.place == one.place for own in [*r.rows, *r.leads])), None)


def _review(outcome, supply):
    network = outcome.places.network
    node = network.nodes.get(fold_key(supply["node"] or ""))
    design_v = or_nan(supply["design_voltage_v"])
    if supply["type"] != "alternator" or node is None or design_v != design_v:
        return None
    outputs = _outputs(outcome, node)
    touching = [i for i, (a, b) in enumerate(network.ends) if {a, b} & {node, *outputs}]
    columns = outcome.places.columns
    nominal_v = _greatest(columns["nominal_v"][i] for i in touching)
    charging_v = _greatest([*(columns["highest_v"][i] for i in touching), or_nan(supply["highest_v"])])
    if not used_above(design_v, nominal_v, charging_v):
        return None
    nominal_v = nominal_v if nominal_v == nominal_v else class_of(charging_v)
    review = Review(supply["node"], supply, node, design_v, nominal_v, charging_v)
    review.outputs = outputs
    review.islands = {network.island[n] for n in outputs}
    return review


def _outputs(outcome, node):
    """Nodes its rectifiers lead to; its own where it has none outside."""
    ends, kinds = outcome.places.network.ends, outcome.places.kinds
    found = {
        b if a == node else a
        for (a, b), kind in zip(ends, kinds, strict=True)
        if fold_key(kind or "") == "rectifier" and node in (a, b)
    }
    return {n for n in found if n >= 0} or {node}


def _greatest(values):
    known = [float(value) for value in values if value == value]
    return max(known, default=NAN)


def _belongings(outcome, review, alone):
    network, rows = outcome.places.network, outcome.places.rows
    near = {review.node, *review.outputs}
    others = {n for n, s in network.supplies.items() if s["type"] == "alternator" and n != review.node}
    control = [one for one in outcome.chosen if _purpose(rows, one)]
    mine = [one for one in control if set(network.ends[one.place]) & near]
    if alone:
        mine = [one for one in control if not set(network.ends[one.place]) & others]
    for one in mine:
        near |= {
            n for n in network.ends[one.place] if n >= 0 and not network.is_ground(n) and n not in network.supplies
        }
    for one in outcome.chosen:
        ends = [n for n in network.ends[one.place] if n >= 0 and not network.is_ground(n)]
        kind = one.kind.name
        here = any(n in near for n in ends)
        if kind == "suppressor":
            here = here or any(network.island[n] in review.islands for n in ends)
        if kind in OF_MACHINE and here:
            review.rows.append(one)
        elif kind == "cable" and set(ends) & review.outputs:
            review.leads.append(one)
    review.leads += mine
    review.named = [outcome.places.names[one.place] or "" for one in [*review.rows, *review.leads]]


def _purpose(rows, one):
    return one.kind.name == "control wire" and rows[one.place].get("purpose")


def _transient(outcome, review):
    """The highest voltage at the output when the battery falls off."""
    held = _held_at(outcome, review, review.outputs)
    if held == held:
        review.transient_v, review.transient_from = held, CLAMPED
        return
    suppressed = or_nan(review.supply["load_dump_suppressed_v"])
    if suppressed == suppressed:
        review.transient_v, review.transient_from = suppressed, "what its own diodes leave of its load dump"
        return
    stated = or_nan(review.supply["load_dump_v"])
    review.transient_assumed = stated != stated
    review.transient_v = _assumed_dump(outcome, review) if review.transient_assumed else stated
    how = ", assumed," if review.transient_v == review.transient_v and review.transient_assumed else ","
    here = "here " if review.of("suppressor") else ""
    review.transient_from = f"its load dump{how} which no suppressor {here}holds down"


def _held_at(outcome, review, nodes):
    """What suppressors hold these nodes down to, whatever fuse or breaker opens [V]; NaN where none does."""
    network, own = outcome.places.network, outcome.places.columns["own_device"]
    devices = {row for row in range(len(own)) if own[row] == 1}
    ends = {one.place: network.ends[one.place][0] for one in review.of("suppressor")}
    guards = [one for one in review.of("suppressor") if ends[one.place] in nodes] or [
        one for one in review.of("suppressor") if all(network.guarded_at(n, ends[one.place], devices) for n in nodes)
    ]
    clamps = [one.result("clamping_voltage_v") if one.found else NAN for one in guards]
    return max(clamps) if clamps and all(c == c for c in clamps) else NAN


def _assumed_dump(outcome, review):
    """Greatest peak its suppressors and rectifiers are judged by where its maker's is not stated [V]."""
    places = outcome.places
    rows = [(one.place, name) for kind, name in (("suppressor", "dump_peak_v"), ("rectifier", "load_dump_peak_v"))
            for one in review.of(kind)]  # fmt: skip
    return _greatest(
        values[name][row] for row, name in rows for values in (places.columns, places.high) if name in values
    )


# -- each component's limit ------------------------------------------------------------------------------------------


def _limits(outcome, review):
    sources = Sources(outcome)
    review.limits = [
        *_checked(outcome, review, sources),
        *_inside(review),
        *_field(outcome, review),
        *_speed(review),
        *_equipment(outcome, review),
    ]


def _limit(component, where, what, limit, actual, unit, source="common-practice", note="", code=""):
    known = limit == limit and actual == actual
    status = "unknown" if not known else "pass" if actual <= limit * (1 + 1e-9) else "fail"
    room = (limit - actual) / abs(limit) if known and limit else None
    return Limit(component, where, what, limit, actual, unit, status, room, source, note, code)


def _checked(outcome, review, sources):
    """What the checks of its rows say of voltages: the limit is the part's side of each."""
    for one in review.rows + review.leads:
        whole = one in review.rows
        name = outcome.places.names[one.place] or ""
        if whole and part_of(outcome, one, one.kind.leading) is None:
            yield _limit(f"no {one.kind.leading} yet", name, "what it will stand", NAN, review.charging_v, "V")
            continue
        for check, status, actual, limit in one.verdicts:
            if check.unit != "V" or (not whole and check.name not in OF_LEADS) or "drop" in check.name:
                continue
            if check.name in OF_TWO:
                continue
            part = part_of(outcome, one, check.role)
            seen, stands = shown(check, actual), shown(check, limit)
            if check.sense == "at least":
                seen, stands = stands, seen
            component = part[0].keys[part[1]] if part else f"no {check.role}"
            yield Limit(component, name, check.text, or_nan(stands), or_nan(seen), "V",
                        STATUS_WORDS[status], margin(check, actual, limit), sources.key(sources.of(check, one.place)),
                        "" if check.must else "a should, not a must", check.code,
                        outcome.settings.spare_of(check.code, check.spare_kind), check.sense == "at most")  # fmt: skip


def _inside(review):
    """What stays in the machine, or may: nobody knows what it stands until it is measured or gone."""
    name, charging = review.name, review.charging_v
    if not review.of("rectifier"):
        yield _limit("rectifier diodes in the machine", name, "reverse voltage against the highest charging voltage", NAN,
                     charging, "V", note="no rectifier outside is named: measure every diode, or take the rectifier out")  # fmt: skip
    else:
        yield _limit("old rectifier diodes", name, "reverse voltage, if any of them stays connected", NAN, charging, "V",
                     note="cut every one of them off the windings, or measure it")  # fmt: skip
    yield _limit("old regulator", name, "voltage it stands, if it stays in the machine", NAN, charging, "V",
                 note="it holds the old voltage and would fight the new one: take it out, brushes to the field leads")  # fmt: skip
    yield _limit("capacitor or suppressor left inside", name, "voltage it stands", NAN, charging, "V",
                 note="look for it at the output and behind the old rectifier: measure it, or take it out")  # fmt: skip
    yield _limit("winding and lead-out insulation", name, "voltage between lines and to the frame", NAN,
                 _greatest([review.charging_v, review.transient_v]), "V",
                 note="sound enamel stands far more, cooked enamel nothing: measure it to the frame")  # fmt: skip


def _field(outcome, review):
    supply = review.supply
    amps, heat, _ = field_now(review)
    rated = or_nan(supply["field_current_a"])
    ohms = or_nan(supply["field_resistance_ohm"])
    full = field_at(review.charging_v, ohms, rated, review.old_charging_v)
    note = "" if full[0] != full[0] else (
        f"on {plain(review.charging_v)} V it would draw {plain(digits(full[0]))} A and make {plain(digits(full[1]))} W"
    )  # fmt: skip
    if full[2] == full[2]:
        note += f": {plain(digits(full[2]))} times the current, {plain(digits(full[2] ** 2))} times the heat"
    if or_nan(supply["field_supply_v"]) != or_nan(supply["field_supply_v"]):
        note = f"say what feeds it: field supply [V]; {note}".rstrip("; ")
    note = "; ".join(text for text in (note, field_doubt(outcome, review)) if text)
    yield _limit("field winding", review.name, "current on what feeds it, fully on", rated, amps, "A", note=note,
                 code="V01")  # fmt: skip
    allowed = rated * rated * ohms if ohms == ohms else rated * review.old_charging_v
    yield _limit("field winding", review.name, "heat on what feeds it, fully on", allowed, heat, "W",
                 note="a cold winding draws more for its first minutes")  # fmt: skip


def field_doubt(outcome, review):
    """Where a field's row hangs on a bus or battery of a much higher voltage than is said to feed the field; else empty."""
    supplied = or_nan(review.supply["field_supply_v"])
    roles = {fold_key(row["node"]): row["role"] for row in outcome.project.rows("nodes.csv") if row["node"]}
    for one in review.leads:
        row, volts = outcome.places.rows[one.place], float(outcome.places.columns["highest_v"][one.place])
        if _purpose(outcome.places.rows, one) != "field" or not volts > CHARGED * supplied:
            continue
        for node in (row["from"], row["to"]):
            if fold_key(node or "") != fold_key(review.name) and roles.get(fold_key(node or "")) in ("bus", "supply"):
                return (f"stated as {plain(supplied)} V, yet {outcome.places.names[one.place]} comes from {node} at up to "
                        f"{plain(volts)} V: name what brings it down (resistor, converter, limited duty), or feed it from "
                        f"{plain(supplied)} V")  # fmt: skip
    return ""


def _speed(review):
    supply = review.supply
    new, ratio = cut_in(or_nan(supply["cut_in_speed_rpm"]), review.old_class_v, review.nominal_v)
    low = or_nan(supply["speed_range_rpm"])
    yield _limit("machine", review.name, "cut-in speed against the lowest it runs at", low, new, "rpm",
                 "electrical-machines-textbook",
                 f"{plain(digits(ratio))} times that at {plain(review.old_class_v)} V; below it nothing is charged")  # fmt: skip


def _equipment(outcome, review):
    """What hangs on its output or its control wires, by the voltage it is said to stand."""
    network = outcome.places.network
    ends = {n for one in review.leads + review.of("suppressor") for n in network.ends[one.place]}
    named = {fold_key(row["node"]): row for row in outcome.project.rows("nodes.csv") if row["node"]}
    silent = []
    for folded, node in network.nodes.items():
        row = named.get(folded)
        here = network.island[node] in review.islands or node in ends
        if row is None or not here or network.is_ground(node) or node in {review.node, *review.outputs}:
            continue
        stands = or_nan(row["withstand_v"])
        on_output = network.island[node] in review.islands
        if stands == stands and on_output:
            yield _limit(row["node"], row["node"], "withstand against the highest charging voltage", stands,
                         review.charging_v, "V")  # fmt: skip
            held = _held_at(outcome, review, {node}) if review.transient_from != CLAMPED else NAN
            if held == held:  # a suppressor of its own, behind a device that parts it from the machine
                yield _limit(row["node"], row["node"], f"withstand against {CLAMPED}", stands, held, "V")
                continue
            yield _limit(row["node"], row["node"], f"withstand against {review.transient_from}", stands,
                         review.transient_v, "V", note="the load dump is assumed" if review.transient_assumed else "",
                         code="" if review.of("suppressor") or review.transient_assumed else "V02")  # fmt: skip
        elif stands != stands and row["role"] in ("load", "device", None) and node not in network.supplies:
            (silent if on_output else []).append(row["node"])
    if silent:
        some = ", ".join(silent[:4]) + (f" and {len(silent) - 4} more" if len(silent) > 4 else "")
        yield _limit("other equipment on the same system", some, f"withstand against {review.transient_from}", NAN,
                     review.transient_v, "V", note="write withstand [V] in nodes.csv")  # fmt: skip


# -- what gives way first --------------------------------------------------------------------------------------------


def _ladder(outcome, review):
    system = f"{plain(review.nominal_v)} V system"
    steps = [
        Step(review.nominal_v, system, "the voltage it is named for", "is there"),
        Step(review.charging_v, system, "highest charging voltage: everything must stand it for good", "is there"),
    ]
    if review.transient_v == review.transient_v:
        steps.append(Step(review.transient_v, review.name, f"battery falls off: {review.transient_from}", "is there"))
    guards = []
    for one in review.rows + review.leads:
        where = outcome.places.names[one.place] or ""
        for role in one.kind.roles:
            part = part_of(outcome, one, role.role)
            for column, what, does in COLUMNS.get(role.role, ()):
                values = part[0].columns.get(column) if part else None
                value = NAN if values is None or isinstance(values, tuple) else float(values[part[1]])
                if part is None or (column == "least_breakdown_v" and value != value):
                    continue
                own = where if one.found else f"{where}, not served"
                step = Step(value, f"{part[0].keys[part[1]]} ({own})", what, does if one.found else REFUSED)
                steps.append(step)
                guards += [step] if role.role == "suppressor" else []
    for limit in review.limits:
        if limit.what.startswith("withstand against the highest"):
            steps.append(Step(limit.limit, limit.component, "its withstand", "stands"))
        elif limit.unit == "V" and not limit.code and limit.limit != limit.limit:
            steps.append(Step(NAN, limit.component, limit.what, "not known"))
    review.guards = frozenset(guards)
    review.ladder = sorted(dict.fromkeys(steps), key=lambda s: math.inf if s.voltage_v != s.voltage_v else s.voltage_v)


# -- findings --------------------------------------------------------------------------------------------------------


def findings_of_reviews(reviews):
    """What a conversion breaks that no check of a connection says: a must each."""
    found: list[Any] = []
    for review in reviews:
        for limit in review.limits:
            if limit.code.startswith("V") and limit.status == "fail":
                found.append({
                    "code": limit.code, "severity": "must", "connections": [], "nodes": [review.name],
                    "actual": digits(limit.actual), "limit": digits(limit.limit), "unit": limit.unit,
                    "text": f"{limit.component}, {limit.what}: {plain(digits(limit.actual))} {limit.unit}, at most "
                            f"{plain(digits(limit.limit))} {limit.unit}"
                            + (f" ({limit.note})." if limit.note else "."),
                    "cure": CURES[limit.code], "accepted": False,
                })  # fmt: skip
    return found


CURES = {
    "V01": "Feed the field from the old voltage, or limit its current.",
    "V02": "Put a suppressor at the output that clamps lower than that.",
}
