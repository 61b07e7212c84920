"""The outcome as plain data: the JSON of the program, and the sentences every report shares."""

import math

from selector.catalogue.names import prefix_of
from selector.choosing.checks import STATUS_WORDS, margin_of
from selector.project.machines import HOTTEST
from selector.project.values import some
from selector.report.cures import cures_of
from selector.report.numbers import plain
from selector.units import find_unit

FORMAT = 1
_WORDS = {1.0: "yes", 0.0: "no"}
RESULTS = {
    "conductor_temperature": ("conductor_temperature_k", "degC"),
    "voltage_drop": ("voltage_drop_v", "V"),
    "peak_drop": ("peak_drop_v", "V"),
    "surface_temperature": ("conductor_surface_k", "degC"),
    "ampacity_balance": ("conductor_balance_ampacity_a", "A"),
    "ampacity_table": ("conductor_rule_ampacity_a", "A"),
    "line_rms": ("line_rms_a", "A"),
    "winding_rms": ("winding_rms_a", "A"),
    "frequency_low": ("frequency_low_hz", "Hz"),
    "frequency_high": ("frequency_high_hz", "Hz"),
    "phase_to_phase": ("phase_to_phase_v", "V"),
    "shunt_reading": ("shunt_reading_v", "V"),
    "shunt_temperature": ("shunt_blade_k", "degC"),
    "bar_ampacity": ("busbar_carries_a", "A"),
    "diode_average": ("diode_average_a", "A"),
    "diode_rms": ("diode_rms_a", "A"),
    "diode_peak": ("diode_peak_a", "A"),
    "ripple_rms": ("ripple_rms_a", "A"),
    "diode_loss": ("diode_loss_w", "W"),
    "module_loss": ("module_loss_w", "W"),
    "sink_temperature": ("sink_k", "degC"),
    "case_temperature": ("case_k", "degC"),
    "junction_temperature": ("junction_k", "degC"),
    "heat_share_low": ("heat_share_low", "%"),
    "heat_share_high": ("heat_share_high", "%"),
    "joint_temperature": ("joint_temperature_k", "degC"),
    "joint_limit": ("joint_limit_k", "degC"),
    "pull_force": ("pull_force_n", "N"),
    "regulation_error": ("regulation_error_v", "V"),
    "pulse_current": ("pulse_current_a", "A"),
    "pulse_energy": ("pulse_energy_j", "J"),
    "pulse_time": ("pulse_time_s", "s"),
    "clamping_voltage": ("clamping_voltage_v", "V"),
    "clamping_heated": ("clamp_heated_v", "V"),
    "begins_at": ("begins_at_v", "V"),
    "clamping_at_rating": ("holds_at_rating_v", "V"),
    "stand_off": ("suppressor_stand_off_v", "V"),
    "energy_share": ("energy_share", ""),
    "release_time": ("release_time_s", "s"),
    "release_time_zener": ("release_time_zener_s", "s"),
    "release_time_suppressor": ("release_time_suppressor_s", "s"),
    "stored_energy": ("stored_energy_j", "J"),
    "released_energy_suppressor": ("released_energy_suppressor_j", "J"),
    "switch_voltage_suppressor": ("switch_with_suppressor_v", "V"),
}
"""Results shown: name -> fact and unit."""
_LEAD = ("conductor_temperature", "voltage_drop", "peak_drop", "surface_temperature", "ampacity_balance", "ampacity_table",
         "cumulative_drop", "fault_near", "fault_far")  # fmt: skip
PARTS_ORDER = (
    "protection", "conductor", "lug", "splice", "sleeve", "rectifier", "heatsink", "suppressor", "diode", "shunt", "busbar",
)  # fmt: skip
_MACHINE = (
    "line_rms", "winding_rms", "diode_average", "diode_rms", "diode_peak", "ripple_rms", "frequency_low", "frequency_high",
)  # fmt: skip
_RECTIFIER = (
    *_MACHINE, "diode_loss", "module_loss", "sink_temperature", "case_temperature", "junction_temperature", "heat_share_low", "heat_share_high",
)  # fmt: skip
_PULSE = ("pulse_current", "pulse_energy", "pulse_time", "clamping_voltage", "clamping_heated", "begins_at",
          "clamping_at_rating", "stand_off", "energy_share")  # fmt: skip
_RELEASE = ("release_time", "release_time_zener", "release_time_suppressor", "stored_energy",
            "released_energy_suppressor", "switch_voltage_suppressor")  # fmt: skip
ALWAYS_SHOWN = {
    "cable": _LEAD, "control wire": _LEAD, "phase lead": _MACHINE, "rectifier": _RECTIFIER, "suppressor": _PULSE, "freewheel": _RELEASE,
}  # fmt: skip
"""Results every connection of a kind has, null where they are not known; any other is there when it is."""
BESIDE_LINES = ("suppressor", "freewheel")
"""Kinds beside an alternator: what is worked out of its lines is not theirs to show."""


def digits(value):
    """A number with 12 significant digits; None for what is not known or not finite."""
    if value is None or isinstance(value, str):
        return value
    value = float(value)
    if not math.isfinite(value):
        return None
    return float(f"{value:.12g}") + 0.0


def in_unit(value, unit):
    """An inner-unit number in the unit a check is shown in."""
    if value is None or value != value:
        return None
    return digits(find_unit(unit).from_inner(value)) if unit else digits(value)


def shown(check, value):
    """What a check compares, as shown: a number in its unit, or yes and no."""
    if check.yes_no:
        return _WORDS.get(value)
    return in_unit(value, check.unit)


def margin(check, actual, limit):
    """Margin of a check, None where there is none to give."""
    if check.yes_no or limit == 0:
        return None
    value = float(margin_of(check, actual, limit))
    return digits(value)


def _share_words(share):
    return f"{share * 100:.3g} %" if share < 10 else f"{share:.3g} times the limit"


class Sources:
    """Short names of the sources, and what stands for the rule set's own."""

    def __init__(self, outcome):
        self.rule = outcome.rule
        self.limits = outcome.places.limit_sources
        self.places, self.circuit = outcome.places, outcome.circuit
        self.whose = outcome.places.limit_words
        self.rows = {row["source"]: row for row in outcome.catalogue.rows("sources.csv")}

    def key(self, source):
        return self.rule["source"] if source == "rule-set" else source

    def of(self, check, place=None):
        """Source key of a check at a place: limits that come from a table row carry that row's source."""
        own = self.limits.get(check.code)
        return own[place] if own is not None and place is not None and own[place] else check.source

    def way(self, check, place):
        """What a reader must know of the other pieces of the way that share a limit of drop."""
        if place is None or check.code not in ("C07", "C08") or self.circuit is None:
            return ""
        code, _, load = self.places.shares.get(place, ("", None, None))
        if check.code == code:
            return f", its share of what {self.places.names[load]} may lose on its whole way"
        before = self.circuit.before.get(place, ())
        if not before or self.places.columns["has_load_limit"][place] != 1:
            return ""
        names = [self.places.names[row] for row in before]
        if check.code == "C08":
            return f", with what {', '.join(names)} lose then"
        return f", {plain(digits(self.places.columns['way_drop_v'][place]))} V of it in {', '.join(names)}"

    def whose_limit(self, check, place):
        """Whose limit a check holds to at a place, in brackets; empty where its own words say so."""
        found = next((self.whose[name].get(place) for name in check.limit.names if name in self.whose), None)
        return f" ({found})" if found else ""

    def words(self, source):
        if source == "rule-set":
            return f"rule set {self.rule['rule_set']}, {self.rule['edition'] or 'edition not stated'}"
        if source == "own":
            return "your own"
        row = self.rows.get(source)
        return row["title"] if row else source


def sentence(check, status, actual, limit, sources, place=None):
    """One line a reader sees: what was compared, by how much it passes or fails, and on whose word."""
    a, x = shown(check, actual), shown(check, limit)
    if check.yes_no:
        head = f"{check.text}: {a or 'unknown'}"
        tail = {"pass": "as asked", "fail": "asked for otherwise", "unknown": "not known"}[STATUS_WORDS[status]]
        return f"{head}, {tail} ({check.code}, {sources.words(sources.of(check, place))})"
    unit = f" {check.unit}" if check.unit else ""
    text = f"{check.text}{sources.way(check, place)}"
    head = f"{text}: {plain(a)}{unit if a is not None else ''}, {check.sense} {plain(x)}{unit if x is not None else ''}"
    head += sources.whose_limit(check, place) if x is not None else ""
    return f"{head}: {_verdict_words(check, status, actual, limit)} ({check.code}, {sources.words(sources.of(check, place))})"


def _verdict_words(check, status, actual, limit):
    if STATUS_WORDS[status] == "unknown":
        return "not known, so not passed"
    value = margin(check, actual, limit)
    if value is None:
        return {"pass": "passes", "fail": "fails"}[STATUS_WORDS[status]]
    amount = f"{abs(value):.3g} K" if check.margin_in_k else _share_words(abs(value))
    if STATUS_WORDS[status] == "pass":
        return f"{amount} to spare"
    return f"short by {amount}" if value < 0 else f"only {amount} to spare, less than asked"


def part_of(outcome, one, role):
    """(candidates, number) of the part in a role, or None where there is none."""
    index = one.pick(role)
    if index is None or index < 0:
        return None
    family = next(r.family for r in one.kind.roles if r.role == role)
    return outcome.candidates[family], index


def picks_of(outcome, one):
    """The picks of one place as data; what another row's device does here is not a pick."""
    found = []
    for role in one.kind.roles:
        want = outcome.wanted[one.place][role.role]
        part = part_of(outcome, one, role.role)
        if part is None or not want.present or want.inherited:
            continue
        if not one.found and not want.fixed:
            continue
        candidates, index = part
        found.append({
            "role": role.role,
            "part": candidates.plain_key(index),
            "table": candidates.table,
            "size": candidates.sizes[index],
            "number": candidates.pieces(index),
            "quantity": digits(one.quantities.get(role.role)),
            "unit": role.unit,
            "fixed": want.fixed,
            "data_status": candidates.statuses[index],
            "provisional": one.provisional,
        })  # fmt: skip
    return found


def checks_of(outcome, one, sources):
    """Every check of one place's tuple as data."""
    found = []
    for check, status, actual, limit in one.verdicts:
        part = part_of(outcome, one, check.role)
        entry = {
            "code": check.code,
            "name": check.name,
            "role": check.role,
            "part": part[0].plain_key(part[1]) if part else None,
            "actual": shown(check, actual),
            "limit": shown(check, limit),
            "unit": "" if check.yes_no else check.unit,
            "sense": check.sense,
            "margin": margin(check, actual, limit),
            "spare": digits(outcome.settings.spare_of(check.code, check.spare_kind)),
            "status": STATUS_WORDS[status],
            "severity": check.severity,
            "source": sources.key(sources.of(check, one.place)),
            "text": sentence(check, status, actual, limit, sources, one.place),
        }
        if check.margin_in_k:
            entry["margin_unit"] = "K"
        found.append(entry)
    return found


def misses_of(outcome, one):
    """Near misses of one place as data."""
    found = []
    for miss in one.misses:
        family = next(r.family for r in one.kind.roles if r.role == miss.role)
        candidates = outcome.candidates[family]
        fails = [
            {"code": c.code, "actual": shown(c, a), "limit": shown(c, x), "unit": "" if c.yes_no else c.unit}
            for c, a, x in miss.fails
        ]
        for role in miss.no_later[:1]:
            fails.append({"code": "FIT", "actual": "none", "limit": f"a {role} that fits", "unit": ""})
        found.append(
            {
                "role": miss.role,
                "part": candidates.plain_key(miss.index),
                "size": candidates.sizes[miss.index],
                "number": candidates.pieces(miss.index),
                "fails": fails,
            }
        )
    return found


def holds_of(one):
    return [
        {"what": what, "value": in_unit(value, unit), "unit": unit, "code": code}
        for what, value, unit, code in one.holds
    ]


def connection_of(outcome, one, sources, brief=False):
    """One connection as data."""
    columns, high = outcome.places.columns, outcome.places.high
    i = one.place

    def top(name):
        value = high.get(name, columns[name])[i]
        return digits(value)

    results = one.results
    fixed = {name: in_unit(results.get(fact), unit) for name, (fact, unit) in RESULTS.items()}
    if "fault_near" in ALWAYS_SHOWN.get(one.kind.name, ()):
        circuit = outcome.circuit
        fixed |= {
            "cumulative_drop": digits(circuit.cumulative_drop_v.get(i)),
            "fault_near": digits(circuit.fault_near_a.get(i)),
            "fault_far": digits(circuit.fault_far_a.get(i)),
        }
    always, beside = ALWAYS_SHOWN.get(one.kind.name, ()), one.kind.name in BESIDE_LINES
    fixed = {name: value for name, value in fixed.items() if name in always or (value is not None and not beside)}
    data = {
        "connection": outcome.places.names[i],
        "kind": one.kind.name,
        "status": one.status,
        "currents": {"continuous": top("current_a"), "peak": top("peak_current_a"), "fault": top("short_circuit_a")},
        "picks": picks_of(outcome, one),
        "governing": one.governing,
        "results": fixed,
    }
    if not brief:
        data["checks"] = checks_of(outcome, one, sources)
        data["near_misses"] = misses_of(outcome, one)
        data["holds_until"] = holds_of(one)
        data["questions"] = questions_of(outcome, one)
    return data


def _rests_on(outcome, one):
    """Rows that would have to be served first, where what they give is not known."""
    places = outcome.places
    served = {other.place for other in outcome.chosen if other.status == "served"}
    for column, (_, rows) in places.guards.get(one.place, {}).items():
        value = places.columns[column][one.place]
        if value != value:
            names = some(
                [places.names[row] for row in rows if row not in served] or [places.names[row] for row in rows]
            )
            yield f"It rests on {names}, not served yet: settle that first."
    before = outcome.circuit.unknown.get(one.place)
    if before:
        yield f"What is lost on the way before it is not known: settle {some([places.names[row] for row in before])} first."


def _hot_ends(outcome, one):
    """Terminals nobody measured, where they stand in the way: a warm plating's limit is what fails first."""
    if not one.waits:
        return
    for default in outcome.places.defaults:
        if default.what.startswith(HOTTEST) and one.place in default.rows:
            yield (f"How hot does the {default.what.removeprefix(HOTTEST)} get after an hour at full load? Write "
                   "hottest [degC] of its node, or name a lug whose plating stands more.")  # fmt: skip


CURRENT = "What current does it carry?"
PEAK_ONLY = " Write 0 where it carries nothing but its peak."
VOLTAGE = "What is the nominal voltage of {}? Write nominal [V] in systems.csv{}."
OF_VOLTAGE = frozenset(
    ("nominal_v", "highest_v", "lowest_v", "drop_limit_v", "peak_drop_limit_v", "rule_balance_multiple",
     "rule_conventional_multiple", "rule_device_multiple", "rule_generator_multiple")
)  # fmt: skip
"""Columns of a place that are not known where its voltage is not."""


def _voltage_question(outcome, place):
    """What to ask where the voltage of a row is not known; None where it is."""
    columns, row = outcome.places.columns, outcome.places.rows[place]
    if columns["nominal_v"][place] == columns["nominal_v"][place]:
        return None
    ends = " and ".join(dict.fromkeys(row[end] for end in ("from", "to") if row[end])) or "it"
    return VOLTAGE.format(row["system"] or f"the system of {ends}",
                          "" if row["system"] else ", and name the system in nodes.csv")  # fmt: skip


def questions_of(outcome, one):
    """What to find out or to change before a connection can be served."""
    asked = []
    voltage = _voltage_question(outcome, one.place) if one.status != "served" else None
    asked += [voltage] if voltage else []
    texts = {
        "current": CURRENT,
        "length": "How long is it, one way?",
        "peak time": "How long does the peak last?",
        "rated current": "What does its source give for hours? Write rated current [A] in supplies.csv.",
        "short-circuit current": "What short-circuit current can its supply give?",
        "heatsink": "What carries the rectifier's heat away? Name a heatsink, or leave its cell empty.",
        "chassis resistance": "What resistance has the metal that is its return?",
    }
    if one.status == "incomplete" and not any(want.missing for want in outcome.wanted[one.place].values()):
        asked += [*_rests_on(outcome, one), *_hot_ends(outcome, one)]
    for what, rows in outcome.places.questions.items():
        if one.place in rows:
            only = PEAK_ONLY if what == "current" and outcome.places.columns["has_peak"][one.place] == 1 else ""
            asked.append(texts.get(what, what) + only)
    asked += _assumed(outcome, one)
    registry = outcome.chooser.registry_of(one.kind.name)
    for check, status, actual, limit in one.verdicts:
        if STATUS_WORDS[status] == "unknown" and check.must:
            if voltage and check.rests_on(OF_VOLTAGE, registry):
                continue
            missing = [name for name, value in (("actual", actual), ("limit", limit)) if value != value]
            words = (check.actual if missing == ["actual"] else check.limit).text.replace("_", " ") + " is not known"
            words = "neither side is known" if len(missing) == 2 else words
            asked.append(f"{check.code} {check.text}: {words}")
    missing = [role for role, want in outcome.wanted[one.place].items() if want.missing]
    if missing:
        asked.append(f"Which part stands there as {', '.join(missing)}? None is named.")
    asked += cures_of(outcome, one)
    if one.status != "served":
        for end in ("from", "to"):
            row = outcome.places.rows[one.place]
            stud = outcome.places.columns["stud_diameter_m", end][one.place]
            if (
                stud != stud
                and outcome.wanted[one.place].get(f"lug {end}")
                and outcome.wanted[one.place][f"lug {end}"].present
            ):
                asked.append(f"Which stud has {row[end]}? Write it, or none, in nodes.csv.")
    return list(dict.fromkeys(asked))


def _assumed(outcome, one):
    """Questions after the values nobody stated that nothing but stands in the way of a row; hot ends have their own."""
    inputs = outcome.places.typical_inputs.get(one.place) or {}
    if not one.waits or not inputs:
        return
    registry = outcome.chooser.registry_of(one.kind.name)
    failing = [check for check, status, *_ in one.verdicts if check.must and STATUS_WORDS[status] == "fail"]
    for column, question in inputs.items():
        if (
            question
            and not column.endswith("hottest_k")
            and any(check.rests_on((column,), registry) for check in failing)
        ):
            yield question


def parts_of(outcome):
    """The parts list: sums of the picks of served and incomplete connections."""
    rows = {}
    columns = outcome.places.columns
    longest = outcome.places.high.get("length_m", columns["length_m"])
    allowance = outcome.places.constants["cut_allowance_m"]
    for one in outcome.chosen:
        if one.status == "unserved":
            continue
        name = outcome.places.names[one.place]
        for pick in picks_of(outcome, one):
            key = (pick["table"], pick["part"])
            row = rows.setdefault(key, {
                "role": prefix_of(pick["role"]), "part": pick["part"], "size": pick["size"], "quantity": 0.0,
                "unit": pick["unit"], "pieces": [], "connections": [], "table": pick["table"], "data_status": pick["data_status"],
            })  # fmt: skip
            row["quantity"] = (
                None
                if row["quantity"] is None or pick["quantity"] is None
                else digits(row["quantity"] + pick["quantity"])
            )
            if pick["unit"] == "m" and pick["quantity"] is not None:
                legs = int(columns["machine_lines" if one.kind.name == "phase lead" else "legs"][one.place])
                row["pieces"] += [digits(longest[one.place] + allowance)] * legs
            if name not in row["connections"]:
                row["connections"].append(name)
    order = {role: i for i, role in enumerate(PARTS_ORDER)}
    return sorted(rows.values(), key=lambda row: (order.get(row["role"], 99), row["role"]))


def defaults_of(outcome):
    """Every default that was used, one entry a connection."""
    served = {one.place for one in outcome.chosen}
    return [
        {
            "connection": outcome.places.names[i],
            "what": d.what,
            "value": digits(d.value),
            "unit": d.unit,
            "set_in": d.set_in,
            "question": d.question or None,
        }
        for d in outcome.places.defaults
        for i in d.rows.tolist()
        if i in served
    ]


def result(outcome, brief=False):
    """The whole outcome in the JSON's form."""
    sources = Sources(outcome)
    return {
        "format": FORMAT,
        "project": outcome.project.name,
        "rule_set": outcome.rule["rule_set"],
        "tables": dict(outcome.catalogue.hashes),
        "defaults": defaults_of(outcome),
        "cautions": list(outcome.cautions),
        "connections": [connection_of(outcome, one, sources, brief) for one in outcome.chosen],
        "parts": parts_of(outcome),
        "findings": outcome.findings,
        "conversion_reviews": [review.data() for review in outcome.reviews],
        "summary": outcome.summary,
        "own_rows": [{"table": table, "row": key} for table, key in outcome.catalogue.own_rows],
        "not_used_yet": list(outcome.project.not_used),
        "notes": list(outcome.notes),
    }


def to_json(data):
    """JSON text: two-space indents, never NaN or infinity."""
    import json

    return json.dumps(data, ensure_ascii=False, allow_nan=False, indent=2) + "\n"
