"""What a meter should read at each place of a finished system, worked out from the outcome."""

from dataclasses import dataclass

from selector.catalogue.reading import fold_key
from selector.project.joints import printed_for
from selector.project.values import or_nan, some
from selector.report.conversion_text import not_yet, reverse_test_v
from selector.report.joining import of_size, pull_row, pull_words
from selector.report.result import part_of, plain

NAN = float("nan")
KELVIN = 273.15
MORE_DROP, LESS_DROP = 0.10, 0.5
"""A drop may read so much more than the wire and device alone, for lugs and studs, and so much less before the
current is in doubt; common practice, no source."""
MORE_OHM, LESS_OHM = 0.10, 0.3
"""The same for a resistance read cold: tables print the greatest a new wire may have; common practice, no source."""
MORE_K = 10.0
"""A surface may read so much warmer than worked out; common practice, no source."""
FORWARD_V = (0.4, 0.7)
"""A silicon junction on a meter's diode range; common practice, no source."""
LEAKAGE_MA = 0.1
"""Reverse current of a sound silicon diode at room warmth; upper end of typicals.csv, common practice, no source."""
NOMINAL_TORQUE = 0.10
"""A torque printed as one figure is met within this share; common practice, no source."""
TORQUE_JOINTS = {
    "battery": ("battery stud", "lead/copper-alloy battery insert", "battery insert"),
    "bus": ("brass stud of a busbar or battery switch", "steel bolt on copper bus", "steel bolt, one conical spring washer"),
    "other": ("steel bolt, one conical spring washer", "steel screw for ring terminal", "screw at earth bus bar",
              "brass stud of a busbar or battery switch"),
}  # fmt: skip
"""Joints of stud_torques.csv that stand for a node's, the first that has its stud."""


@dataclass(frozen=True)
class Reading:
    """One reading: where, what and how; the value to expect and the least and most that are good, in ``unit``.

    at_a : current it is read at, which the expected value, least and most follow in proportion; NaN for all others
    flows : current that flows where ``at_a`` is only what the row is sized for; NaN where it is ``at_a``
    place : number of the connection, None for what concerns several; live : whether the drop on Connections is its base
    share : what of that drop this reading sees
    """

    name: str
    where: str
    what: str
    how: str
    expected: float
    low: float
    high: float
    unit: str
    source: str = "common-practice"
    at_a: float = NAN
    place: int | None = None
    live: bool = False
    share: float = 1.0
    flows: float = NAN


def readings_of(outcome):
    """Every reading of a project, by connection, then studs, then sample crimps."""
    found = []
    for one in outcome.chosen:
        if one.found or any(index >= 0 for index in one.picks.values()):
            found += READERS.get(one.kind.name, _nothing)(outcome, one)
    return [*found, *_loads(outcome), *_torques(outcome), *_samples(outcome)]


def _nothing(outcome, one):
    return []


def _ends(outcome, one):
    row = outcome.places.rows[one.place]
    return row["from"] or "its beginning", row["to"] or "its end"


def _name(outcome, one):
    return outcome.places.names[one.place] or ""


def _column(outcome, one, role, name):
    part = part_of(outcome, one, role)
    values = None if part is None else part[0].columns.get(name)
    return NAN if values is None or isinstance(values, tuple) else float(values[part[1]])


def _source(outcome, one, role):
    part = part_of(outcome, one, role)
    return "" if part is None else part[0].sources[part[1]] or ""


def _place(outcome, one, name):
    columns, high = outcome.places.columns, outcome.places.high
    return float(high.get(name, columns.get(name))[one.place]) if name in columns else NAN


# -- wires -----------------------------------------------------------------------------------------------------------


def _wire(outcome, one):
    """Drop of each leg, resistance of one leg cold, warmth of the wire and of its terminals."""
    yield from _drops(outcome, one)
    yield from _lead(outcome, one)


def _drops(outcome, one):
    """Drop of each leg, as a share of the piece's."""
    start, end = _ends(outcome, one)
    legs = int(outcome.places.columns["legs"][one.place])
    path, drop = one.result("path_resistance_ohm"), one.result("voltage_drop_v")
    device = _device_ohm(outcome, one)
    leg = (path - device - _place(outcome, one, "chassis_resistance_ohm")) / legs
    with_device = one.pick("protection") >= 0 and not outcome.wanted[one.place]["protection"].inherited
    fuse = ", fuse included" if with_device else ""
    names = [f"positive leg{fuse}", "negative leg"] if legs == 2 else [f"its leg{fuse}"]
    flows, sized = _in_service(outcome, one)
    for at, what in enumerate(names):
        share = (leg + (device if at == 0 else 0.0)) / path
        ends = f"{start} to {end}" if at == 0 else f"negative at {end} to negative at {start}"
        expected = drop * share
        yield Reading(_name(outcome, one), ends, f"voltage drop, {what}",
                      f"Voltmeter on mV, stud to stud, wire warm, at the current beside; change that to what flows.{sized}",
                      expected, LESS_DROP * expected, (1 + MORE_DROP) * expected, "V",
                      at_a=_place(outcome, one, "current_a"), place=one.place, live=True, share=share,
                      flows=flows)  # fmt: skip


def _in_service(outcome, one):
    """What a cable between two grounds may carry in service, which is less than the device's rating it is sized for: the
    greatest a row at a battery carries; with the sentence that says so. NaN where the row's own current is that."""
    own = _place(outcome, one, "current_a")
    if not outcome.places.ground_joint[one.place]:
        return NAN, ""
    joints = outcome.places.ground_joint
    most, name = max(((_place(outcome, row, "current_a"), _name(outcome, row)) for row in outcome.chosen
                      if row.kind.name == "cable" and not joints[row.place] and _at_battery(outcome, row)
                      and _place(outcome, row, "current_a") == _place(outcome, row, "current_a")), default=(NAN, ""))  # fmt: skip
    if not most < own:
        return NAN, ""
    return most, f" The row is sized for a device of {plain(own)} A; taken here is what flows in {name}."


def _at_battery(outcome, one):
    row = outcome.places.rows[one.place]
    ends = {fold_key(row[end]) for end in ("from", "to") if row[end]}
    return any(fold_key(supply["node"] or "") in ends and (supply["type"] or "battery") == "battery"
               for supply in outcome.project.rows("supplies.csv"))  # fmt: skip


def _lead(outcome, one):
    """Resistance of one leg cold, warmth of the wire and of its terminals."""
    start, end = _ends(outcome, one)
    cold = (
        _column(outcome, one, "conductor", "resistance_at_20_degc_ohm_per_m") * _place(outcome, one, "length_m") * 1e3
    )
    yield Reading(_name(outcome, one), f"{start} to {end}", "resistance of one leg, dead",
                  "Four-wire meter, lug to lug, both ends off, wire at 20 degC.",
                  cold, (1 - LESS_OHM) * cold, (1 + MORE_OHM) * cold, "mohm", _source(outcome, one, "conductor"))  # fmt: skip
    warm = one.result("conductor_surface_k") - KELVIN
    limit = _column(outcome, one, "conductor", "temperature_rating_k") - KELVIN
    zone = outcome.places.rows[one.place]["zone"] or "its zone"
    high = min(warm + MORE_K, limit) if warm == warm and limit == limit else limit
    air = _place(outcome, one, "ambient_k") - KELVIN
    yield Reading(_name(outcome, one), f"hottest place of the run, {zone}", "temperature of the insulation",
                  f"Thermocouple under tape, after an hour in service; worked out for air of {plain(air)} degC: take off "
                  f"what the air is cooler. The insulation is good for {plain(limit)} degC.", warm, NAN, high, "degC",
                  _source(outcome, one, "conductor"))  # fmt: skip
    for side, node in (("from", start), ("to", end)):
        most = float(outcome.places.columns["terminal_limit_k", side][one.place]) - KELVIN
        if most == most and one.pick(f"lug {side}") >= 0:
            yield Reading(_name(outcome, one), f"lug at {node}", "temperature of the terminal",
                          "Thermocouple on the lug's palm, after an hour in service.", NAN, NAN, most, "degC")  # fmt: skip


def _device_ohm(outcome, one):
    """Resistance of a row's own devices; none where another row's device serves it."""
    want = outcome.wanted[one.place].get("protection")
    if want is None or want.inherited or one.pick("protection") < 0:
        return 0.0
    each = _column(outcome, one, "protection", "cold_resistance_ohm")
    if each != each:
        each = float(outcome.places.columns["unknown_fuse_resistance_ohm"][one.place])
    return each * float(outcome.places.columns["devices"][one.place])


def _phase_lead(outcome, one):
    """No drop: on ac a meter would read the lead's inductance as well."""
    yield from _lead(outcome, one)
    line = one.result("line_rms_a")
    start, end = _ends(outcome, one)
    yield Reading(_name(outcome, one), f"each lead from {start} to {end}", "line current, three alike",
                  "Clamp meter that reads true rms, one lead at a time, at full output.", line, 0.9 * line, 1.1 * line, "A",
                  "rectifier-textbook")  # fmt: skip


# -- semiconductors --------------------------------------------------------------------------------------------------


def _rectifier(outcome, one):
    name, (_, post) = _name(outcome, one), _ends(outcome, one)
    unsettled = _unsettled(outcome, one)
    guarded = outcome.places.columns["has_suppressor"][one.place] == 1
    peak = _place(outcome, one, "clamp_at_node_v" if guarded else "load_dump_peak_v")
    highest = max(v for v in (_place(outcome, one, "highest_v"), peak, 0.0) if v == v)
    volts = NAN if unsettled else reverse_test_v(highest)
    yield from _diode(outcome, one, "rectifier", name, volts, "each diode, all alike within 0.05 V", unsettled)
    case, junction = one.result("case_k") - KELVIN, one.result("junction_k") - KELVIN
    limit = _column(outcome, one, "rectifier", "greatest_junction_k") - KELVIN
    room = outcome.settings.number("junction temperature spare")
    yield Reading(name, "base of the bridge, beside the sink", "case temperature",
                  "Thermocouple, after an hour at full output in the warmest air; above the most its junctions are within "
                  f"{plain(room)} K of their limit.", case, NAN, limit - room - (junction - case), "degC",
                  _source(outcome, one, "rectifier"))  # fmt: skip
    highest_v = _place(outcome, one, "highest_v")
    yield Reading(name, f"{post} to negative", "charging voltage",
                  "Voltmeter at full speed, battery nearly full.", NAN, NAN, highest_v, "V")  # fmt: skip


def _unsettled(outcome, one):
    """What the voltage a rectifier sees without its battery rests on that is not settled, in words; else empty."""
    columns = outcome.places.columns
    if columns["has_suppressor"][one.place] == 1:
        if columns["clamp_at_node_v"][one.place] == columns["clamp_at_node_v"][one.place]:
            return ""
        rows = outcome.places.guards[one.place]["clamp_at_node_v"][1]
        served = {other.place for other in outcome.chosen if other.found}
        waiting = [row for row in rows if row not in served] or rows
        return f"{some([outcome.places.names[row] or '' for row in waiting])}, not served yet"
    if "load_dump_peak_v" in outcome.places.typical_inputs.get(one.place, ()):
        return "a load dump that nobody has stated, and no suppressor holds it down"
    return ""


def _diode(outcome, one, role, name, volts, alike, unsettled=""):
    yield Reading(name, alike, "forward drop", "Meter on its diode range, part out of the circuit, both ways round: the "
                  "other way it reads open.", NAN, *FORWARD_V, "V", _source(outcome, one, role))  # fmt: skip
    if unsettled:
        yield Reading(name, alike.split(",")[0], "reverse current", not_yet(unsettled), NAN, NAN, NAN, "mA",
                      _source(outcome, one, role))  # fmt: skip
        return
    yield Reading(name, alike.split(",")[0], f"reverse current at {plain(volts)} V",
                  "Supply limited to 10 mA, 1 kohm in series, room warmth, raised slowly; hands away above 60 V dc.",
                  0.0, NAN, LEAKAGE_MA, "mA", _source(outcome, one, role))  # fmt: skip


def _suppressor(outcome, one):
    name, (node, _) = _name(outcome, one), _ends(outcome, one)
    amps = _column(outcome, one, "suppressor", "test_current_a")
    low, high = (
        _column(outcome, one, "suppressor", column) for column in ("least_breakdown_v", "greatest_breakdown_v")
    )
    yield Reading(name, f"each piece for {node}, before it goes in", "breakdown voltage",
                  f"Supply limited to {plain(1e3 * amps)} mA, in reverse; a second is enough, it warms and reads high.",
                  NAN, low, high, "V", _source(outcome, one, "suppressor"))  # fmt: skip
    volts, leak = _place(outcome, one, "highest_v"), _column(outcome, one, "suppressor", "leakage_a") * 1e3
    yield Reading(name, f"{node}, in its lead", "current while charging",
                  f"Ammeter in its lead at {plain(volts)} V: it must not conduct. Doubles every 10 K above 25 degC.",
                  NAN, NAN, leak, "mA", _source(outcome, one, "suppressor"))  # fmt: skip


def _freewheel(outcome, one):
    start, end = _ends(outcome, one)
    volts = max((v for v in (_place(outcome, one, "highest_v"), 0.0) if v == v), default=0.0)
    yield from _diode(outcome, one, "diode", _name(outcome, one), reverse_test_v(volts),
                      f"across {start} and {end}, stripe to the positive")  # fmt: skip


# -- joints, shunts, bars --------------------------------------------------------------------------------------------


def _joint(outcome, one):
    name, (node, _) = _name(outcome, one), _ends(outcome, one)
    limit, warm = (one.result(key) for key in ("joint_limit_k", "joint_temperature_k"))
    yield Reading(name, f"over the joint at {node}", "temperature",
                  "Thermocouple under the sleeve of a sample, or beside it, after an hour at full output.",
                  warm - KELVIN, NAN, limit - KELVIN, "degC", _source(outcome, one, "splice"))  # fmt: skip
    force = one.result("pull_force_n")
    if force == force:
        row, _ = pull_row(outcome, one)
        yield Reading(name, "a sample joint, same wires and tool", "pull test",
                      f"Pull steadily on its smallest wire for a minute; it must hold: {pull_words(outcome, one)}.",
                      NAN, force, NAN, "N", "" if row is None else row["source"])  # fmt: skip


def _shunt(outcome, one):
    current = _place(outcome, one, "current_a")
    volts = one.result("shunt_reading_v")
    yield Reading(_name(outcome, one), "its two small screws", "shunt reading", "Millivoltmeter on the sense screws.",
                  volts, 0.98 * volts, 1.02 * volts, "V", _source(outcome, one, "shunt"), at_a=current)  # fmt: skip


def _bus(outcome, one):
    limit = _place(outcome, one, "bar_limit_k") - KELVIN
    yield Reading(_name(outcome, one), "middle of the bar", "temperature", "Thermocouple, after an hour in service.",
                  NAN, NAN, limit, "degC", _source(outcome, one, "busbar"))  # fmt: skip


READERS = {
    "cable": _wire, "control wire": _wire, "phase lead": _phase_lead, "rectifier": _rectifier, "suppressor": _suppressor,
    "freewheel": _freewheel, "joint": _joint, "shunt": _shunt, "bus": _bus,
}  # fmt: skip


# -- what concerns a node or a size ------------------------------------------------------------------------------------


def _loads(outcome):
    """Polarity and voltage at every load before it is connected."""
    network, columns = outcome.places.network, outcome.places.columns
    loads = {n for n, role in enumerate(network.role) if role == "load"}
    told = set()
    for one in outcome.chosen:
        node = network.ends[one.place][1]
        if node in loads and node not in told and one.kind.name == "cable" and not outcome.places.is_return[one.place]:
            told.add(node)
            low, high = (float(columns[name][one.place]) for name in ("lowest_v", "highest_v"))
            _, end = _ends(outcome, one)
            yield Reading(_name(outcome, one), f"{end}, lugs off", "voltage and polarity",
                          "Voltmeter, red on the positive lug, before the load is connected: it must not read negative.",
                          NAN, low, high, "V")  # fmt: skip


def _torques(outcome):
    """Torque of every stud a lug goes on, where one is published for such a stud."""
    network = outcome.places.network
    rows, told = outcome.catalogue.rows("stud_torques.csv"), set()
    named = {fold_key(row["node"]): row for row in outcome.project.rows("nodes.csv") if row["node"]}
    for one in outcome.chosen:
        for side, end in (("from", 0), ("to", 1)):
            node = network.ends[one.place][end]
            word = outcome.places.rows[one.place][side]
            row = named.get(fold_key(word or ""))
            if row is None or node in told or one.pick(f"lug {side}") < 0 or not row["stud"]:
                continue
            found = _torque(rows, row["stud"], _sort_of_node(network, node))
            if found is None:
                continue
            told.add(node)
            low, high = _torque_limits(found)
            yield Reading("every lug on this stud", row["node"], f"torque of the {row['stud']} stud",
                          f"Torque wrench. Printed for: {found['joint']}. The part's own sheet goes first.",
                          NAN, low, high, "N m", found["source"])  # fmt: skip


def _sort_of_node(network, node):
    supply = network.supply(node)
    if supply is not None and (supply["type"] or "battery") == "battery":
        return "battery"
    return "bus" if network.role[node] == "bus" else "other"


def _torque(rows, stud, sort):
    wanted = fold_key(stud).removesuffix("in").removesuffix('"').strip()
    own = [row for row in rows if fold_key(row["stud"]) == wanted]
    for joint in TORQUE_JOINTS[sort]:
        found = next((row for row in own if row["joint"] == joint), None)
        if found is not None:
            return found
    return None


def _torque_limits(row):
    low, high = or_nan(row["least_torque_n_m"]), or_nan(row["greatest_torque_n_m"])
    if low != low and row["kind"] != "greatest":
        return (1 - NOMINAL_TORQUE) * high, (1 + NOMINAL_TORQUE) * high
    if high != high:
        return low, (1 + NOMINAL_TORQUE) * low
    return low, high


def _samples(outcome):
    """Pull force a sample crimp of every lug and wire must hold."""
    asked = fold_key(outcome.settings.values["pull test"])
    rows = [
        row for row in outcome.catalogue.rows("pull_forces.csv")
        if fold_key(row["requirement"]) == asked and row["joint"] in ("crimp", "any")
    ]  # fmt: skip
    used = {}
    for one in outcome.chosen:
        for side in ("from", "to"):
            lug, wire = part_of(outcome, one, f"lug {side}") if f"lug {side}" in one.picks else None, None
            wire = part_of(outcome, one, "conductor") if lug else None
            if lug and wire:
                key = lug[0].keys[lug[1]], wire[0].keys[wire[1]]
                area, size = float(wire[0].columns["area_mm2"][wire[1]]), wire[0].words["size"][wire[1]]
                used.setdefault(key, (area, size or key[1], []))[2].append(_name(outcome, one))
    for (lug, wire), (area, size, names) in used.items():
        row = printed_for(rows, area)
        if row is None:
            continue
        held = or_nan(row["held_s"])
        time = f"held for {plain(held)} s" if held == held else "pulled slowly"
        count = len(dict.fromkeys(names))
        yield Reading(f"a sample for {count} connection{'s' if count > 1 else ''}", f"{lug} on {wire}", "pull test",
                      f"A sample of the same lug, wire and tool, {time}: {of_size(row, size, area)}.",
                      NAN, or_nan(row["least_force_n"]), NAN, "N", row["source"])  # fmt: skip
