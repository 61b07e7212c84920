"""A conversion in words: what is changed, what to measure before use, and the page a terminal shows."""

from dataclasses import dataclass

from selector.project.values import or_nan, some, typed
from selector.report.conversion import (
    CLAMPED,
    CUT_IN_DROP_V,
    NAN,
    cut_in,
    field_at,
    field_doubt,
    field_now,
    machines_of,
)
from selector.report.result import digits, part_of, plain

KELVIN = 273.15
USUAL_TEST_V = 60.0
"""Reverse test of a salvaged diode; common practice, no source."""
TEST_MARGIN = 1.25
"""The reverse test reaches this multiple of the highest working voltage; common practice, no source."""
INSULATION_TEST_V, INSULATION_LEAST_MOHM = 500.0, 5.0
"""Test voltage and least reading of a random-wound machine below 1 kV; key ieee-43."""
EQUAL_WITHIN = 0.05
"""How far apart the three phases may read; common practice, no source."""
CAUTIONS = (
    "local codes first", "work dead", "battery short circuit", "load dump", "polarity", "rotating machinery",
    "winding voltage", "hot rectifier", "insulation fumes", "bench supply", "bench voltage", "suppressor end",
)  # fmt: skip
"""Rows of cautions.csv that every conversion needs."""
SIGNS = {"pass": "+", "fail": "x", "unknown": "?"}


@dataclass(frozen=True)
class BenchStep:
    """One measurement: what, how, the reading to expect (low to high, NaN where open), and what to mind."""

    what: str
    how: str
    low: float
    high: float
    unit: str
    expected: str
    caution: str
    source: str = "common-practice"

    def data(self):
        return {"what": self.what, "how": self.how, "low": digits(self.low), "high": digits(self.high),
                "unit": self.unit, "expected": self.expected, "caution": self.caution, "source": self.source}  # fmt: skip


def number(value):
    return plain(digits(value))


def reviews_of(outcome):
    """The reviews of a project's conversions, complete with what is changed, what to measure and what to mind."""
    reviews = machines_of(outcome)
    for review in reviews:
        review.changes = changes_of(outcome, review)
        review.steps = steps_of(outcome, review)
        review.cautions = cautions_of_review(outcome)
    return reviews


def changes_of(outcome, review):
    """What is different from the machine as it was made: (what, before, now, how it is worked out)."""
    supply, old, new = review.supply, review.old_charging_v, review.charging_v
    known = or_nan(supply["cut_in_speed_rpm"])
    speed, ratio = cut_in(known, review.old_class_v, review.nominal_v)
    amps, heat, _ = field_now(review)
    ohms, rated = or_nan(supply["field_resistance_ohm"]), or_nan(supply["field_current_a"])
    before = field_at(old, ohms, rated, old)
    hot, doubt = or_nan(supply["rated_current_a"]), field_doubt(outcome, review)
    rows = [
        ("rectifier", "inside, behind the fan",
         "outside: " + _names(outcome, review, "rectifier") if review.of("rectifier") else "no other is named",
         "its heat leaves the machine; the old diodes come off the windings"),
        ("regulator", f"inside, holds {number(old)} V", f"outside, senses {number(review.nominal_v)} V",
         "sense lead at the battery, behind fuse, switch and shunt"),
        ("field feed", _field_words(old, before),
         _field_words(or_nan(supply["field_supply_v"]), (amps, heat)),
         f"on {number(new)} V direct it would be {number(new / old)} times the current and "
         f"{number((new / old) ** 2)} times the heat" + (f"; {doubt}" if doubt else "")),
        ("cut-in speed", f"{number(known)} rpm" if known == known else "not known",
         f"{number(speed)} rpm" if speed == speed else f"{number(ratio)} times as high",
         _cut_in_words(review, ratio)),
        ("output", "the label's current, cold and at full speed",
         f"{number(hot)} A, as stated" if hot == hot else "not known",
         "state the hot figure: some 0.75 to 0.85 of the label; the windings set the current, not the voltage"),
        ("power and belt", f"{number(hot * old)} W" if hot == hot else "not known",
         f"{number(hot * new)} W" if hot == hot else "not known",
         _shaft(outcome, hot * new)),
    ]  # fmt: skip
    return [dict(zip(("what", "before", "now", "how"), row, strict=True)) for row in rows]


def _cut_in_words(review, ratio):
    drop = f"{number(CUT_IN_DROP_V)} V"
    return (f"n = n0 ({number(review.nominal_v)} V + {drop}) / ({number(review.old_class_v)} V + {drop}) = "
            f"{number(ratio)} n0; two diodes take {drop}")  # fmt: skip


def _names(outcome, review, kind):
    return ", ".join(outcome.places.names[one.place] or "" for one in review.of(kind))


def _field_words(volts, now):
    if volts != volts:
        return "not known"
    if now[0] != now[0]:
        return f"{number(volts)} V"
    return f"{number(volts)} V: {number(now[0])} A, {number(now[1])} W"


def _shaft(outcome, watts):
    rows = outcome.catalogue.rows("typicals.csv", what="efficiency", subject="alternator")
    if not rows or watts != watts:
        return "the same current at twice the voltage asks about twice the belt"
    worst = typed(rows[0]["low"], rows[0]["unit"])
    return f"at {number(100 * worst)} % efficiency the belt carries {number(watts / worst)} W: look at belt, pulley, bracket"


# -- bench steps -----------------------------------------------------------------------------------------------------


def reverse_test_v(highest_working_v):
    """Voltage a salvaged diode is tested to in reverse: the highest it works at and a quarter more, at least 60 V.

    >>> reverse_test_v(44.0), reverse_test_v(60.0), reverse_test_v(float("nan"))
    (60.0, 75.0, 60.0)
    """
    asked = TEST_MARGIN * highest_working_v
    return asked if asked > USUAL_TEST_V else USUAL_TEST_V


def not_yet(unsettled):
    """Why a reverse test has no voltage yet, and what to do first.

    >>> not_yet("a suppressor that is not served")
    'Not yet: what the diodes see rests on a suppressor that is not served. Settle that first, then pick again.'
    """
    return f"Not yet: what the diodes see rests on {unsettled}. Settle that first, then pick again."


def steps_of(outcome, review):
    """The measurements before first use, in the order in which they are made."""
    return [
        *_diode_steps(outcome, review),
        *_winding_steps(review),
        *_clamp_steps(outcome, review),
        *_running_steps(outcome, review),
    ]


def _diode_steps(outcome, review):
    yield _reverse_step(outcome, review)
    yield BenchStep(
        "forward drop of every diode", "Meter on its diode range, each of the six alone, at the same warmth.",
        0.4, 0.7, "V", "0.4 to 0.7 V, all within 0.05 V of each other; the other way round open",
        "Polarity: the striped or stud end tells which of the two kinds it is; a diode the wrong way round is a short.",
    )  # fmt: skip


def _reverse_step(outcome, review):
    """Reverse test of the diodes; without a voltage where theirs is not settled: it would be asked for far too high."""
    what = "reverse test of every salvaged diode"
    if review.unsettled:
        return BenchStep(what, not_yet(review.unsettled), NAN, NAN, "mA", "no reading yet: the voltage is not known",
                         "A test at a voltage nobody has settled may kill the part, or you.")  # fmt: skip
    working = max((v for v in (review.charging_v, review.transient_v) if v == v), default=NAN)
    volts = reverse_test_v(working)
    usual = {row["subject"]: row for row in outcome.catalogue.rows("typicals.csv", what="reverse leakage")}
    leakage = typed(usual["silicon diode"]["high"], "mA") if "silicon diode" in usual else NAN
    return BenchStep(
        what,
        f"Supply limited to 10 mA with 1 kohm in series, each diode alone, at room warmth: raise slowly to "
        f"{number(volts)} V ({number(USUAL_TEST_V)} V is common practice; at least a quarter above the "
        f"{number(working)} V it works at). Note where it begins to conduct.",
        0.0, leakage * 1e3, "mA",
        f"under {number(leakage * 1e3)} mA at {number(volts)} V; one that conducts below that is an avalanche diode "
        "or broken: do not use it",
        "Limit the current before the part is connected. Above 60 V dc keep hands away. Hold a reading for a second.",
    )  # fmt: skip


def _winding_steps(review):
    supply, name = review.supply, review.name
    yield BenchStep(
        "winding to frame", f"Insulation tester at {number(INSULATION_TEST_V)} V dc, rectifier, regulator, capacitor and "
        "sense leads all disconnected; each phase to the frame, and the field to the shaft at 100 V.",
        INSULATION_LEAST_MOHM, NAN, "Mohm", f"at least {number(INSULATION_LEAST_MOHM)} Mohm, cold and again hot",
        "The tester bites, and a winding holds its charge: short it to the frame afterwards.", "ieee-43",
    )  # fmt: skip
    yield BenchStep(
        "phase to phase resistance", "Four-wire meter between each two of the three lead-outs; they are tens of milliohm.",
        -100 * EQUAL_WITHIN, 100 * EQUAL_WITHIN, "%",
        f"each within {number(100 * EQUAL_WITHIN)} % of the mean of the three; note how far the worst is off",
        "Cold and dead; wait until the machine is at room warmth.",
    )  # fmt: skip
    ohms, rated = or_nan(supply["field_resistance_ohm"]), or_nan(supply["field_current_a"])
    yield BenchStep(
        "field resistance", "Ohmmeter across the field leads, brushes seated, rotor turned by hand.",
        0.9 * ohms, 1.1 * ohms, "ohm",
        f"{number(ohms)} ohm within 10 %, steady while it turns" if ohms == ohms else "not known: note it, it decides the field's feed",
        "A reading that jumps is a worn ring or brush.",
    )  # fmt: skip
    amps = field_now(review)[0]
    yield BenchStep(
        "field current", f"Ammeter in the field lead, fed with {_volts(supply['field_supply_v'])} from a limited supply, at standstill.",
        NAN, rated, "A", (f"about {number(amps)} A; " if amps == amps else "")
        + (f"at most {number(rated)} A, and less as it warms" if rated == rated else "what its sheet gives at that voltage"),
        "Break it only through its freewheel diode: the field answers an opened lead with hundreds of volts.",
    )  # fmt: skip
    known = or_nan(supply["cut_in_speed_rpm"])
    speed, ratio = cut_in(known, review.old_class_v, review.nominal_v)
    low = or_nan(supply["speed_range_rpm"])
    yield BenchStep(
        "no-load voltage at a low speed",
        f"Field at no more than its rated current, output on a voltmeter and a small lamp alone, speed raised slowly: note where it reaches "
        f"{number(review.nominal_v)} V. It is the cut-in speed, some {number(ratio)} times the old one.",
        NAN, min((rpm for rpm in (1.1 * speed, low) if rpm == rpm), default=NAN), "rpm",
        f"about {number(speed)} rpm" + (f"; it must lie below the {number(low)} rpm it runs at" if low == low else ""),
        f"An unloaded {name} climbs to dangerous voltage with speed: field off first, never race it. Keep clear of belt and fan.",
    )  # fmt: skip


def _volts(volts):
    return f"{number(volts)} V" if volts is not None else "the voltage that will feed it"


def _clamp_steps(outcome, review):
    for one in review.of("suppressor"):
        part = part_of(outcome, one, "suppressor")
        if part is None:
            continue
        low, high = (float(part[0].columns[name][part[1]]) for name in ("least_breakdown_v", "greatest_breakdown_v"))
        amps = part[0].columns.get("test_current_a")
        at = 1e-3 if amps is None or amps[part[1]] != amps[part[1]] else float(amps[part[1]])
        yield BenchStep(
            f"clamp of {outcome.places.names[one.place]}",
            f"{part[0].keys[part[1]]}, each piece alone, in reverse: supply limited to {number(1e3 * at)} mA; read the "
            "voltage at which it carries that.",
            low, high, "V", f"{number(low)} to {number(high)} V at {number(1e3 * at)} mA; where several stand in parallel, within 0.1 V of each other",
            "It warms at once and reads high: a second is enough.",
        )  # fmt: skip


def _running_steps(outcome, review):
    yield BenchStep(
        "charging voltage at full speed", "At the battery, regulator connected, everything that can be off switched off.",
        NAN, review.charging_v, "V", f"a steady reading at or below {number(review.charging_v)} V; then lift the sense "
        "lead and see that it does not run away",
        "Never open the battery line while it charges.",
    )  # fmt: skip
    bridges = [one for one in review.of("rectifier") if one.found and one.picks["rectifier"] >= 0]
    for one in review.of("phase lead"):
        line = one.result("line_rms_a")
        yield BenchStep(
            f"line current in {outcome.places.names[one.place]}", "Clamp meter that reads true rms, each lead, at full output.",
            0.9 * line, 1.1 * line, "A", f"about {number(line)} A rms, the three within {number(100 * EQUAL_WITHIN)} %",
            "One lead without current is an open joint or diode: stop at once.",
        )  # fmt: skip
    ripple = max((one.result("ripple_rms_a") for one in bridges), default=NAN)
    yield BenchStep(
        "ripple", "At full output: ac range of a clamp meter on the dc cable, and of a voltmeter at the output post.",
        0.0, 2 * ripple, "A",
        f"about {number(ripple)} A rms; several times that, at a third of the frequency, is a diode or a phase that is missing"
        if ripple == ripple else "a few percent of the dc current; several times that is a diode or a phase that is missing",
        "Probes only where they cannot slip between posts.",
    )  # fmt: skip
    for one in bridges:
        case, junction = (one.result(name) - KELVIN for name in ("case_k", "junction_k"))
        part = part_of(outcome, one, "rectifier")
        greatest = float(part[0].columns["greatest_junction_k"][part[1]]) - KELVIN
        most = greatest - outcome.settings.number("junction temperature spare") - (junction - case)
        yield BenchStep(
            f"case of {outcome.places.names[one.place]}", "Thermocouple on the bridge's base beside the sink, after an hour at full output in the "
            "warmest air there is.",
            NAN, most, "degC", f"about {number(case)} degC in the zone's warmest air, less what the air is cooler; above "
            f"{number(most)} degC its junctions are too warm" if most == most
            else "no more than its sheet allows: what it gets here is not known",
            "Hot enough to burn, and under the bridge the sink may be live.",
        )  # fmt: skip
    yield BenchStep(
        "case of the machine", "Thermocouple on the stator iron and at the lead-out, after an hour at full output; note the air at its inlet.",
        NAN, 180.0, "degC", "no more than the winding's insulation class allows; above 180 degC at the lead-out, or where it smells, stop",
        "Hot surfaces, belt and fan; overheated insulation gives off poisonous smoke before it burns.",
    )  # fmt: skip


def cautions_of_review(outcome):
    """The sentences of cautions.csv that every such conversion needs, local codes first."""
    texts = {row["caution"]: row["text"] for row in outcome.catalogue.rows("cautions.csv")}
    return [texts[key] for key in CAUTIONS if key in texts]


# -- the page of a terminal ------------------------------------------------------------------------------------------


def review_text(outcome, review):
    """The whole review, for reading."""
    lines = [headline(review), ""]
    lines += ["What is changed"]
    lines += [f"  {c['what']}: {c['before']} -> {c['now']} ({c['how']})" for c in review.changes]
    lines += ["", "Each component against the new voltage"]
    for limit in review.by_weight:
        lines.append(f"  {SIGNS[limit.status]} {limit.status:<7} {limit_words(limit)}")
    lines += ["", "What gives way first, from the lowest voltage up"]
    lines += [f"  {_volts_wide(s.voltage_v)}  {s.component}: {s.what}" for s in review.ladder]
    lines += [f"  {text}" for text in first_words(review)]
    lines += ["", "To measure before use"]
    for at, step in enumerate(review.steps, 1):
        lines += [f"  {at}. {step.what}: {step.how}", f"     Expect {step.expected}. Mind: {step.caution}"]
    lines += ["", "Cautions", *(f"  {text}" for text in review.cautions)]
    return "\n".join(lines)


def headline(review):
    return (
        f"{review.name}: made for {number(review.design_v)} V, used on {number(review.nominal_v)} V, "
        f"charged up to {number(review.charging_v)} V"
    )


def limit_words(limit):
    """One component in a line: limit, what it sees, room."""
    unit = limit.unit
    sees, stands = ("sees", "stands") if unit == "V" else ("is", "at most")
    seen = f"{sees} {number(limit.actual)} {unit}" if limit.actual == limit.actual else "what it sees is not known"
    stands = f"{stands} {number(limit.limit)} {unit}" if limit.limit == limit.limit else "its limit is not known"
    room = f", margin {number(100 * limit.margin)} %" if limit.margin is not None else ""
    code = f" ({limit.code})" if limit.code else ""
    note = f": {limit.note}" if limit.note else ""
    where = f" [{limit.where}]" if limit.where and limit.where != limit.component else ""
    return f"{limit.component}{where}, {limit.what}: {seen}, {stands}{room}{code}{note}"


def first_words(review):
    """Which of all that is known gives way first, and what is not known."""
    unknown = review.unknown_steps
    seen = max(v for v in (review.charging_v, review.transient_v) if v == v)
    weak = [step for step in review.weakest if step.voltage_v < seen]
    out = list(dict.fromkeys(step.component for step in review.refused if step.voltage_v < seen))
    first = next((step for step in review.weakest if step.voltage_v >= seen), None)
    said = [
        f"Gives way BELOW the {number(seen)} V it may see: {step.component}, {step.what}, at {number(step.voltage_v)} V."
        for step in weak
    ]
    if out:
        said.append(f"Not counted, for its row is not served and it is not to be used: {some(out)}.")
    if first is not None:
        said.append(f"{'Next' if weak else 'First'} of what is known: {first.component}, {first.what}, at "
                    f"{number(first.voltage_v)} V; it may see {number(seen)} V.")  # fmt: skip
    if seen == review.transient_v and review.transient_from != CLAMPED:
        said.insert(0, f"It may see {number(seen)} V: {review.transient_from}.")
    if review.transient_v != review.transient_v:
        said.append("How high it goes when the battery falls off is not known: count on none of these.")
    if unknown:
        said.append(f"{len(unknown)} limits are not known: any of them may give way earlier.")
    return said


def reference(review):
    """The line other reports show."""
    return f"{counted(review)}; see Conversion review, or explain '{review.name}'"


def counted(review):
    """What it is and how its limits stand."""
    count = review.counts
    return f"{headline(review)}: {count['pass']} limits pass, {count['fail']} fail, {count['unknown']} are not known"


def _volts_wide(volts):
    return f"{number(volts):>6} V" if volts == volts else " not known"
