"""Which classes of suppressors and diodes an unmarked part can be, by what it showed on a bench."""

import math
import re
from dataclasses import dataclass, field, replace
from itertools import pairwise

from selector.catalogue.bench_readings import Reading, parse_readings
from selector.errors import UnitError, quoted
from selector.physics import bench
from selector.physics.suppressor import breakdown_at_v, dynamic_resistance_ohm
from selector.units import parse_quantity

TEST_CURRENT_A = 0.01
"""Current limit of the next measurement: it harms none of the parts."""
FORWARD_TEST_V = 5.0
"""Voltage of the next measurement the other way round: above any forward drop, below any breakdown."""
SOFT_BELOW_V = 6.0
"""Below this zeners tunnel: they bend softly and leak far more than parts that avalanche (common practice, no source)."""
HARMLESS_V = 60.0
"""Dry dc that does not hurt at a touch; also as far as usual bench supplies go."""
KINDS = {"suppressor": "suppressor", "avalanche": "avalanche diode", "zener": "zener", "rectifier": "rectifier diode",
         "Schottky": "Schottky diode"}  # fmt: skip
_VOLTS_AT_END = re.compile(r" [\d.]+ V$")
_SYSTEM = re.compile(r"([\d.]+) V$")
_SETTINGS = ("bench air", "bench warming", "meter resolution", "meter accuracy")
_IN_REVERSE = ("breakdown temperature coefficient", "breakdown rise", "test current", "reverse leakage")
_FORWARD = ("junction drop", "resistive drop", "ideality")


@dataclass(frozen=True)
class Bench:
    """How it was measured, and the usual figures of parts that do not give their own.

    air_k, warming_k : temperature of the bench; how much warmer the part may have got
    resolution_a, accuracy : least current the meter shows; share its voltage may be wrong by
    usual : (what, subject) -> low and high of typicals.csv
    """

    air_k: float
    warming_k: float
    resolution_a: float
    accuracy: float
    usual: dict

    def temperatures(self):
        return self.air_k, self.air_k + self.warming_k


@dataclass(frozen=True)
class Part:
    """A row of suppressors.csv or diodes.csv as a bench sees it; what is not known is None.

    least_v, greatest_v : window of its breakdown at 25 degC; None for a part not made to break down
    """

    key: str
    name: str
    kind: str
    polarity: str | None
    stand_off_v: float | None
    least_v: float | None
    greatest_v: float | None
    test_low_a: float
    test_high_a: float
    slope_ohm: float
    rise_share: float
    coefficients: tuple
    leakage_a: float | None
    rated_a: float | None
    drop_limit: tuple | None
    clamping_v: float | None
    peak_current_a: float | None
    pulse_power_w: float | None
    steady: tuple
    status: str

    @property
    def breaks(self):
        return self.least_v is not None

    @property
    def bipolar(self):
        return self.polarity == "bipolar"


@dataclass
class Candidate:
    """A part that every reading allows, and what they leave of its breakdown at 25 degC [V]."""

    part: Part
    low_v: float = 0.0
    high_v: float = math.inf


@dataclass
class Refused:
    """A class none of whose parts fits: the readings that exclude it by themselves, and what its nearest part does."""

    name: str
    kind: str
    readings: list[str]
    why: str


@dataclass
class Group:
    """Parts of which the next measurement expects the same."""

    expect: str
    classes: list[str]
    parts: int
    stand_off_v: tuple | None


@dataclass
class Measurement:
    """The next measurement: what to set, and what each group of candidates shows.

    forward : the way a diode conducts, where the drop is read at the limit; otherwise in reverse, where the current is
    """

    forward: bool
    set_v: float
    limit_a: float
    groups: list[Group]


@dataclass
class Untold:
    """What no bench reading tells, and the range over the candidates."""

    what: str
    low: float | None
    high: float | None
    unit: str
    why: str


@dataclass
class Identified:
    """What the readings say: candidates, ranges over them, what they cannot say, what to measure next.

    charging_v : voltage of a system -> the highest it is charged at, equalising included
    """

    readings: list[Reading]
    bench: Bench
    candidates: list[Candidate] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)
    likely_stand_off_v: tuple | None = None
    likely_clamp_v: tuple | None = None
    charging_v: dict = field(default_factory=dict)
    breakdown_v: tuple | None = None
    cannot_tell: list[Untold] = field(default_factory=list)
    next_measurement: Measurement | None = None
    remarks: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    assumptions: list[dict] = field(default_factory=list)


def identify(text, catalogue, ambient_k=None, resolution_a=None, accuracy=None, warming_k=None, among=None):
    """What an unmarked part can be by its bench readings.

    Parameters
    ----------
    text : the readings as written (see ``parse_readings``)
    catalogue : tables with suppressors.csv, diodes.csv, defaults.csv, typicals.csv and cautions.csv
    ambient_k : air of the bench; None takes the default [K]
    resolution_a : least current the meter shows; None takes the default, or the least that was read if that is less [A]
    accuracy : share the meter may be wrong by; None takes the default
    warming_k : how much warmer than the bench the part may have got; None takes the default [K]
    among : keys of the parts it can only be; None: any of the tables

    Returns
    -------
    Identified

    Raises `UnitError` where the text is no readings.
    """
    readings = parse_readings(text)
    setup, assumptions, usual = _bench(catalogue, ambient_k, warming_k, resolution_a, accuracy)
    setup = _shown_finer(readings, setup, resolution_a is not None, assumptions)
    read = [_at_resolution(reading, setup) for reading in readings]
    parts = [part for part in parts_of(catalogue, setup.usual) if among is None or part.key in among]
    found = Identified(readings, setup, assumptions=assumptions)
    found.candidates = [c for part in parts if (c := _candidate(part, read, setup)) is not None]
    found.refused = _refused(parts, found.candidates, read, setup)
    _ranges(found)
    found.charging_v = _charging(catalogue)
    found.remarks = _remarks(found, read)
    found.cannot_tell = _cannot_tell(found)
    found.next_measurement = next_measurement(found)
    asked = [*(r.forward for r in readings), *([found.next_measurement.forward] if found.next_measurement else [])]
    words = (_IN_REVERSE if False in asked else ()) + (_FORWARD if True in asked else ())
    found.assumptions += [entry for what, entry in usual if what in words]
    high = max([r.voltage_v for r in readings] + ([found.next_measurement.set_v] if found.next_measurement else []))
    found.cautions = [
        row["text"]
        for row in catalogue["cautions.csv"].iter_rows(named=True)
        if row["when"] == "bench" and (row["caution"] != "bench voltage" or high > HARMLESS_V)
    ]
    return found


# ---- figures


def _bench(catalogue, ambient_k, warming_k, resolution_a, accuracy):
    """The bench, the defaults taken, and the usual figures of parts that give none, each as (what, entry)."""
    stated = dict(zip(_SETTINGS, (ambient_k, warming_k, resolution_a, accuracy), strict=True))
    rows = {row["default"]: row for row in catalogue["defaults.csv"].iter_rows(named=True)}
    values, taken = {}, []
    for name, value in stated.items():
        row = rows[name]
        if value is None:
            value = parse_quantity(row["value"], row["unit"])[0]
            taken.append({"what": name, "value": row["value"], "unit": row["unit"], "question": row["question"],
                          "source": row["source"], "status": row["status"]})  # fmt: skip
        values[name] = float(value)
    usual, entries = {}, []
    for row in catalogue["typicals.csv"].iter_rows(named=True):
        if row["what"] in (_IN_REVERSE + _FORWARD):
            ends = (parse_quantity(row[end], row["unit"] or "")[0] for end in ("low", "high"))
            usual[row["what"], row["subject"]] = tuple(ends)
            entries.append((row["what"], {
                "what": row["typical"], "value": f"{row['low']}..{row['high']}", "unit": row["unit"] or "",
                "question": row["question"], "source": row["source"], "status": row["status"],
            }))  # fmt: skip
    return Bench(*values.values(), usual), taken, entries


def parts_of(catalogue, usual):
    """The rows of suppressors.csv and diodes.csv as parts, in table order."""
    silent = {
        what: usual[what, "part that does not say"] for what in ("breakdown temperature coefficient", "test current")
    }
    rise = usual["breakdown rise", "part without a clamp point"][1]

    def part(row, key, name, kind, stand_off, slope, rated, **more):
        coefficient = row.get("temperature_coefficient_per_k")
        test = row["test_current_a"]
        low, high = (test, test) if test else silent["test current"]
        breaks = row["least_breakdown_v"] is not None and kind not in ("rectifier diode", "Schottky diode")
        return Part(
            key, name, kind, row.get("polarity"), stand_off, row["least_breakdown_v"] if breaks else None,
            row["greatest_breakdown_v"] or math.inf if breaks else None, low if test else 0.0, high,
            slope or 0.0, 0.0 if slope else rise,
            (coefficient, coefficient) if coefficient is not None else silent["breakdown temperature coefficient"],
            row.get("leakage_a"), rated, more.get("drop_limit"), row.get("clamping_v"), row.get("peak_current_a"),
            row.get("pulse_power_w"), (row["steady_power_w"], row.get("steady_to_k"), row["greatest_junction_k"]),
            row["status"],
        )  # fmt: skip

    found = []
    for row in catalogue["suppressors.csv"].iter_rows(named=True):
        figures = row["least_breakdown_v"], row["clamping_v"], row["peak_current_a"]
        slope = dynamic_resistance_ohm(*figures) if None not in figures else None
        found.append(part(row, row["suppressor"], row["class"], "suppressor", row["stand_off_v"], slope,
                          row["steady_power_w"]))  # fmt: skip
    for row in catalogue["diodes.csv"].iter_rows(named=True):
        kind = KINDS.get(row["type"] or "rectifier", "rectifier diode")
        if kind == "rectifier diode" and row["avalanche"] == "yes":
            kind = "avalanche diode"
        limit = (row["forward_voltage_v"], row["forward_at_a"])
        found.append(part(row, row["diode"], _VOLTS_AT_END.sub("", row["diode"]), kind, row["reverse_voltage_v"], None,
                          row["average_current_a"] or row["steady_power_w"],
                          drop_limit=limit if None not in limit else None))  # fmt: skip
    return [_with_open_window(one) for one in found]


def _with_open_window(part):
    """An avalanche part or suppressor without a printed window breaks down anywhere above its stand-off."""
    if part.breaks or part.kind in ("rectifier diode", "Schottky diode"):
        return part
    return replace(part, least_v=part.stand_off_v or 0.0, greatest_v=math.inf)


def _shown_finer(readings, setup, stated, assumptions):
    """The bench with a meter that shows the least current that was read; an error where it was said to show only more."""
    least = min((r for r in readings if r.current_a > 0), key=lambda r: r.current_a, default=None)
    if least is None or least.current_a >= setup.resolution_a * (1 - 1e-9):
        return setup
    if stated:
        raise UnitError(f"{quoted(least.text)} is less than the meter was said to show, {_amperes(setup.resolution_a)}",
                        "State the least current it shows, or mend the reading.")  # fmt: skip
    for entry in assumptions:
        if entry["what"] == "meter resolution":
            entry.update(value=f"{least.current_a * 1000:g}", unit="mA", source="the readings", status="measured")
    return replace(setup, resolution_a=least.current_a)


def _at_resolution(reading, setup):
    """A reading of nothing as one below what the meter shows."""
    return replace(reading, current_a=setup.resolution_a) if reading.below and reading.current_a == 0 else reading


# ---- one part, one reading


def _window(part, reading, setup):
    """Lowest and highest breakdown at 25 degC and test current that explain a reading [V]; None: no breakdown does."""
    current, cool, warm = reading.current_a, *setup.temperatures()
    low = min(
        bench.least_breakdown_v(reading.voltage_v, setup.accuracy, current, part.test_low_a, part.slope_ohm,
                                part.rise_share if current > part.test_low_a else 0.0, c, t)
        for c in part.coefficients for t in (cool, warm)
    )  # fmt: skip
    if reading.below:
        return low, math.inf
    high = max(
        bench.greatest_breakdown_v(reading.voltage_v, setup.accuracy, c, t)
        for c in part.coefficients for t in (cool, warm)
    )  # fmt: skip
    if current >= part.test_high_a:
        return low, high
    if current <= _leak_limit_a(part, setup) or high < SOFT_BELOW_V:
        return low, math.inf
    return (low, math.inf) if part.stand_off_v is not None and part.stand_off_v <= high else None


def _material(part):
    return "Schottky diode" if part.kind == "Schottky diode" else "silicon diode"


def forward_band_v(part, current_a, setup):
    """Least and greatest forward drop of a part that conducts one way at a current [V]."""
    junction, resistive, ideality = (
        setup.usual[what, _material(part)] for what in ("junction drop", "resistive drop", "ideality")
    )
    if part.rated_a is None:
        return 0.0, math.inf

    def drop(end, n, junction_k):
        return bench.forward_drop_v(current_a, part.rated_a, junction[end], resistive[end], n, junction_k)

    cool, warm = setup.temperatures()
    drops = [drop(end, n, t) for end in (0, 1) for n in ideality for t in (cool, warm)]
    greatest = max(drops)
    if part.drop_limit is not None and current_a <= part.drop_limit[1]:
        colder = max(drop(1, n, cool) - drop(1, n, 298.15) for n in ideality)
        greatest = min(greatest, part.drop_limit[0] + max(colder, 0.0))
    return max(0.0, min(drops)), greatest


def _allows(part, reading, setup):
    """The breakdowns a reading leaves of a part, as (low, high); None where the part cannot have shown it."""
    both = (part.least_v, part.greatest_v) if part.breaks else (0.0, math.inf)
    if reading.forward and not part.bipolar:
        low, high = forward_band_v(part, reading.current_a, setup)
        fits = reading.voltage_v * (1 - setup.accuracy) <= high and (
            reading.below or reading.voltage_v * (1 + setup.accuracy) >= low
        )
        return both if fits else None
    if not part.breaks:
        if reading.below:
            return both
        return both if reading.current_a <= _leak_limit_a(part, setup) else None
    window = _window(part, reading, setup)
    if window is None:
        return None
    low, high = max(both[0], window[0]), min(both[1], window[1])
    return (low, high) if low <= high else None


def _leak_limit_a(part, setup):
    """The most a part passes in reverse on this bench where it does not break down [A]."""
    own = part.leakage_a if part.leakage_a is not None else setup.usual["reverse leakage", _material(part)][1]
    return bench.leakage_at_a(own, max(setup.temperatures()[1], 298.15))


def _candidate(part, readings, setup):
    low, high = (part.least_v, part.greatest_v) if part.breaks else (0.0, math.inf)
    for reading in readings:
        left = _allows(part, reading, setup)
        if left is None:
            return None
        low, high = max(low, left[0]), min(high, left[1])
    return Candidate(part, low, high) if low <= high else None


# ---- what is refused, and why


def _shown_v(part, reading, setup):
    """Voltages a part can show at the current of a reading [V], for saying why it is refused."""
    if reading.forward and not part.bipolar:
        return forward_band_v(part, reading.current_a, setup)
    if not part.breaks:
        return (part.stand_off_v or 0.0), math.inf
    factors = [breakdown_at_v(1.0, c, t) for c in part.coefficients for t in setup.temperatures()]
    rise = part.slope_ohm * max(reading.current_a - part.test_low_a, 0.0)
    top = part.greatest_v * max(factors) * (1 + part.rise_share) + rise
    return part.least_v * min(factors), top


def _refused(parts, candidates, readings, setup):
    kept = {candidate.part.name for candidate in candidates}
    classes = {}
    for part in parts:
        if part.name not in kept:
            classes.setdefault(part.name, []).append(part)
    found = []
    for name, members in classes.items():
        against = [r for r in readings if all(_allows(part, r, setup) is None for part in members)]
        texts = [r.text for r in against] or [r.text for r in readings]
        why = _why(members, against[0], setup) if against else "none of its parts fits all readings together"
        found.append(Refused(name, members[0].kind, texts, why))
    return found


def _why(members, reading, setup):
    """What the nearest part of a class does at a reading that excludes the class."""

    def apart(part):
        low, high = _shown_v(part, reading, setup)
        return max(low - reading.voltage_v, reading.voltage_v - high, 0.0)

    part = min(members, key=apart)
    low, high = _shown_v(part, reading, setup)
    nearest = f"the nearest, {part.key}," if len(members) > 1 else "it"
    if reading.forward and not part.bipolar:
        if reading.below:
            return f"conducts forward from {low:.2g} to {high:.2g} V"
        return f"{nearest} drops {low:.2f} to {high:.2f} V forward at {_amperes(reading.current_a)}"
    if not part.breaks:
        return f"is not made to break down: passes at most {_amperes(_leak_limit_a(part, setup))} in reverse"
    if reading.below:
        return f"{nearest} conducts by {high:.4g} V"
    return f"{nearest} holds {low:.4g} to {high:.4g} V at {_amperes(reading.current_a)}"


def _amperes(current_a):
    for scale, unit in ((1.0, "A"), (1e-3, "mA"), (1e-6, "uA")):
        if current_a >= scale:
            return f"{current_a / scale:.3g} {unit}"
    return f"{current_a / 1e-9:.3g} nA"


# ---- over the candidates


def _span(values):
    known = [value for value in values if value is not None and math.isfinite(value)]
    return (min(known), max(known)) if known else None


def _ranges(found):
    suppressors = [c.part for c in found.candidates if c.part.kind == "suppressor"]
    found.likely_stand_off_v = _span(part.stand_off_v for part in suppressors)
    found.likely_clamp_v = _span(part.clamping_v for part in suppressors)
    breaking = [c for c in found.candidates if c.part.breaks]
    if breaking and len(breaking) == len(found.candidates) and all(math.isfinite(c.high_v) for c in breaking):
        found.breakdown_v = min(c.low_v for c in breaking), max(c.high_v for c in breaking)


def _charging(catalogue):
    """Voltage of a system -> the highest voltage systems named so are usually charged at [V]; rows of typicals.csv."""
    highest = {}
    for row in catalogue.rows("typicals.csv", what="highest charging voltage"):
        found = _SYSTEM.search(row["subject"] or "")
        if found is None:
            continue
        named = float(found[1])
        highest[named] = max(highest.get(named, 0.0), parse_quantity(row["high"], row["unit"])[1])
    return dict(sorted(highest.items()))


def suits(found):
    """Voltages of systems whose highest charging voltage stays below the least stand-off it may have as a suppressor."""
    if found.likely_stand_off_v is None:
        return []
    return [named for named, charged in found.charging_v.items() if charged < found.likely_stand_off_v[0]]


def _conducting(readings, forward=False):
    return sorted((r for r in readings if not r.below and r.forward == forward), key=lambda r: r.current_a)


def _remarks(found, readings):
    """What the readings themselves show: contradictions, warmth, a part that never conducted."""
    said = []
    flows = _conducting(readings)
    for blocked in (r for r in readings if r.below and not r.forward):
        other = next((r for r in flows if r.voltage_v < blocked.voltage_v and r.current_a > blocked.current_a), None)
        if other is not None:
            said.append(f"The readings contradict each other: {blocked.text}, yet {other.text}.")
    for lower, upper in pairwise(flows):
        if upper.voltage_v < lower.voltage_v * (1 - 2 * found.bench.accuracy):
            said.append(f"The voltage falls as the current rises ({lower.text}, {upper.text}): a warming zener of less "
                        "than 6 V, a part that latches, or a slip of the pen.")  # fmt: skip
    if not _conducting(readings) and not _conducting(readings, forward=True):
        said.append("The part was never seen to conduct: an open one reads the same.")
    if not found.candidates and any(r.voltage_v < 2 and r.current_a > 0.01 for r in flows):
        said.append("So little voltage in reverse is a shorted part, or one put in the other way round.")
    spread = _spread(flows)
    if spread is not None:
        lower, upper = spread
        slope = bench.reading_slope_ohm(lower.voltage_v, lower.current_a, upper.voltage_v, upper.current_a)
        warming = bench.apparent_warming_k(lower.voltage_v, upper.voltage_v, 0.001)
        lines = _span(c.part.slope_ohm for c in found.candidates if c.part.slope_ohm)
        text = f"From {_amperes(lower.current_a)} to {_amperes(upper.current_a)} it rose by {slope:.2g} ohm, as {warming:.0f} K of warmth does alone"
        if lines:
            text += f"; pulse lines of the candidates rise by {lines[0]:.2g} to {lines[1]:.2g} ohm"
        said.append(text + ". The slope does not tell the pulse power.")
    said += _overload(found, flows)
    return said


def _spread(flows):
    """The conducting readings farthest apart in current, where the voltage rose between them."""
    if len(flows) < 2 or not 0 < flows[0].current_a < flows[-1].current_a or flows[0].voltage_v <= 0:
        return None
    return (flows[0], flows[-1]) if flows[-1].voltage_v > flows[0].voltage_v else None


def _overload(found, flows):
    """Readings at more heat than the smallest candidate stands for good."""
    if not flows or not found.candidates:
        return []
    hottest = max(flows, key=lambda r: r.voltage_v * r.current_a)
    power_w = hottest.voltage_v * hottest.current_a
    steady = [c.part for c in found.candidates if c.part.steady[0] and c.part.steady[0] < power_w]
    if not steady:
        return []
    least = min(steady, key=lambda part: part.steady[0])
    text = f"{hottest.text} is {power_w:.3g} W, {power_w / least.steady[0]:.2g} times what {least.name} stands for good"
    if least.steady[1] is not None:
        rise = bench.steady_rise_k(power_w, least.steady[0], least.steady[1], least.steady[2])
        survives = found.bench.air_k + rise <= least.steady[2]
        text += f" ({rise:.0f} K over its leads, if held)" if survives else " (held, it is destroyed)"
    return [text + ": read it within a second, or the reading is one of a hot part."]


def _cannot_tell(found):
    """What stays open whatever the bench shows."""
    parts = [c.part for c in found.candidates]
    if not parts:
        return []
    breaking = [part for part in parts if part.breaks]
    untold = []

    def put(what, values, unit, why):
        span = _span(values)
        if span is not None:
            untold.append(Untold(what, *span, unit, why))

    put("pulse power", (part.pulse_power_w for part in breaking), "W",
        "small and large dice of one voltage read alike at bench currents")  # fmt: skip
    put("peak current", (part.peak_current_a for part in breaking), "A", "it follows from the pulse power")
    put("steady power", (part.steady[0] for part in breaking), "W", "it is set by body and leads")
    put("average current", (part.rated_a for part in parts if part.kind in ("rectifier diode", "Schottky diode")), "A",
        "a bench current is far below it")  # fmt: skip
    if breaking:
        untold.append(
            Untold("wear", None, None, "", "whether a pulse has hurt it shows only in leakage, hot, at its stand-off")
        )
    if len({part.polarity for part in parts if part.kind == "suppressor"}) > 1:
        untold.append(
            Untold("polarity", None, None, "", "both ways alike or not shows in a reading the other way round")
        )
    return untold


# ---- the next measurement


def _reverse_limits(candidate, setup):
    """(blocks for sure below, conducts for sure from) in reverse at the test current [V]."""
    part = candidate.part
    if not part.breaks:
        blocks = (part.stand_off_v or 0.0) if _leak_limit_a(part, setup) <= setup.resolution_a else 0.0
        return blocks, math.inf
    factors = [breakdown_at_v(1.0, c, t) for c in part.coefficients for t in setup.temperatures()]
    sharp = part.test_high_a <= setup.resolution_a
    blocks = candidate.low_v * min(factors) if sharp else min(candidate.low_v * min(factors), part.stand_off_v or 0.0)
    rise = part.slope_ohm * max(TEST_CURRENT_A - part.test_low_a, 0.0)
    return blocks, candidate.high_v * max(factors) * (1 + part.rise_share) + rise


def next_measurement(found):
    """The reading that parts most pairs of candidates for sure, up to 60 V where one does; None where none parts any."""
    setup = found.bench
    limits = [(candidate, *_reverse_limits(candidate, setup)) for candidate in found.candidates]
    tests = []
    for volts in sorted({_step_above(v / (1 - setup.accuracy)) for _, _, v in limits if math.isfinite(v)}):
        groups = _reverse_groups(limits, volts, setup)
        tests.append((len(groups[0]) * len(groups[1]), volts, groups))
    if not any(reading.forward for reading in found.readings):
        bands = _forward_bands(found.candidates, setup)
        tests.append((_apart(bands), None, bands))
    parting = [test for test in tests if test[0]]
    if not parting:
        return None
    gentle = [test for test in parting if (test[1] or 0.0) <= HARMLESS_V]
    _, volts, groups = max(gentle or parting, key=lambda test: test[0])
    if volts is None:
        return Measurement(True, FORWARD_TEST_V, TEST_CURRENT_A, _forward_words(groups))
    words = (f"less than {_amperes(setup.resolution_a)}", f"the limit, {_amperes(TEST_CURRENT_A)}", "either")
    made = [_group(text, [c.part for c in own]) for text, own in zip(words, groups, strict=True) if own]
    return Measurement(False, volts, TEST_CURRENT_A, made)


def _step_above(volts):
    """The next tenth of a volt: what a supply is set to."""
    return math.ceil(round(volts * 10, 9)) / 10


def _reverse_groups(limits, volts, setup):
    """Candidates that block for sure at a voltage, that conduct for sure, and the rest."""
    blocks, conducts, rest = [], [], []
    for candidate, below, above in limits:
        if volts * (1 + setup.accuracy) <= below:
            blocks.append(candidate)
        elif volts * (1 - setup.accuracy) >= above:
            conducts.append(candidate)
        else:
            rest.append(candidate)
    return blocks, conducts, rest


def _forward_bands(candidates, setup):
    """Each candidate with the drop it shows forward at the test current [V]."""
    bands = []
    for candidate in candidates:
        if candidate.part.bipolar:
            bands.append((FORWARD_TEST_V, math.inf, candidate))
        else:
            bands.append((*forward_band_v(candidate.part, TEST_CURRENT_A, setup), candidate))
    return bands


def _apart(bands):
    """How many pairs of bands do not touch."""
    lows = sorted(low for low, _, _ in bands)
    count, at = 0, 0
    for high in sorted(high for _, high, _ in bands):
        while at < len(lows) and lows[at] <= high:
            at += 1
        count += len(lows) - at
    return count


def _forward_words(bands):
    """Groups by what they show forward: silicon, Schottky, or nothing at all."""
    groups = {}
    for low, high, candidate in bands:
        name = "both ways alike" if candidate.part.bipolar else _material(candidate.part)
        name = name if candidate.part.bipolar or math.isfinite(high) else "unknown"
        own = groups.setdefault(name, [math.inf, 0.0, []])
        own[0], own[1] = min(own[0], low), max(own[1], high)
        own[2].append(candidate.part)
    made = []
    for name, (low, high, parts) in groups.items():
        text = {"both ways alike": "no current", "unknown": "a drop that is not known"}.get(
            name, f"{low:.2f} to {high:.2f} V"
        )
        made.append(_group(text, parts))
    return made


def _group(expect, parts):
    names = list(dict.fromkeys(part.name for part in parts))
    return Group(expect, names, len(parts), _span(part.stand_off_v for part in parts if part.kind == "suppressor"))
