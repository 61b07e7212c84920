"""What the terminal shows: the summary of a run, one connection explained, one table row."""

from selector.choosing.checks import STATUS_WORDS
from selector.report.conversion import review_with
from selector.report.conversion_text import reference
from selector.report.cures import breaking_notes, considered, cures_of, none_breaks
from selector.report.joining import control_lines, joint_lines
from selector.report.machine import machine_lines
from selector.report.rectifying import heat_lines
from selector.report.result import (
    Sources,
    defaults_of,
    holds_of,
    misses_of,
    part_of,
    picks_of,
    plain,
    questions_of,
    sentence,
)
from selector.report.transients import transient_lines

SIGNS = {"served": "+", "unserved": "x", "incomplete": "?"}
MOST_FINDINGS = 20
DOUBTFUL = "did you mean"
"""Notes with these words come before the results: what was meant may change them all."""
STATUS_SIGNS = {"pass": "+", "fail": "x", "unknown": "?"}


def summary_text(outcome, width=100):
    """One line a connection, then counts, findings, what is not used yet."""
    lines = [
        f"{outcome.project.name}, rule set {outcome.rule['rule_set']} ({outcome.rule['edition'] or 'edition not stated'})",
        "",
    ]
    doubtful = [note for note in outcome.notes if DOUBTFUL in note]
    lines += ["Not read, and perhaps meant:", *doubtful, ""] if doubtful else []
    names = [outcome.places.names[one.place] for one in outcome.chosen]
    wide = min(max((len(name) for name in names), default=0), 32)
    for one, name in zip(outcome.chosen, names, strict=True):
        lines.append(f"{SIGNS[one.status]} {name[:wide]:<{wide}}  {_one_line(outcome, one)}")
    count = outcome.summary
    lines += ["", f"{count['served']} served, {count['unserved']} unserved, {count['incomplete']} incomplete"]
    lines += _memory_note(outcome)
    lines += [*_fault_note(outcome), *breaking_notes(outcome)]
    lines += [f"Conversion: {reference(review)}" for review in outcome.reviews]
    lines += _findings(outcome)
    if outcome.project.not_used:
        lines += ["", "Read, but not used yet:", *(f"  {text}" for text in outcome.project.not_used)]
    other = [note for note in outcome.notes if DOUBTFUL not in note]
    lines += ["", *other] if other else []
    lines += [
        "",
        "Lengths are one way. Local codes and licensed practice come first; see the cautions in the workbook.",
    ]
    return "\n".join(lines)


def _one_line(outcome, one):
    if one.status == "unserved":
        cures = cures_of(outcome, one, without=("P04",) if none_breaks(outcome, one) is not None else ())
        return ". ".join([f"unserved: {_why_unserved(outcome, one)}", *cures[:1]])
    picks = {p["role"]: p for p in picks_of(outcome, one)}
    shown = [role for role in ("protection", "conductor") if role in picks] or list(picks)
    parts = [_pieces(picks[role]) for role in shown]
    length = outcome.places.columns["length_m"][one.place]
    text = " + ".join(parts) or "no parts of its own"
    text += f", {plain(float(length))} m one way" if length == length else ""
    if one.governing:
        text += f" (sized by {_name_of(one, one.governing)})"
    if one.status == "incomplete":
        asked = questions_of(outcome, one)
        first = asked[0] if asked else "Something is not known."
        if not one.found and none_breaks(outcome, one) is not None:
            return f"incomplete: {_why_unserved(outcome, one)}; that current is assumed"
        if not one.found:
            return f"incomplete: {first} With what is assumed, {_why_unserved(outcome, one)}"
        if any(want.missing for want in outcome.wanted[one.place].values()):
            return f"incomplete: {first}" + (f" Named: {text}" if parts else "")
        if _sizeless(outcome, one):
            return f"incomplete: {first} No size before that is known."
        text = f"incomplete: {first} Provisional: {text}"
    return text


def _sizeless(outcome, one):
    """Whether the parts shown are the least there is, because nobody knows what current they carry."""
    rows = outcome.places.questions.get("current", ())
    return one.place in rows and not any(want.fixed for want in outcome.wanted[one.place].values())


def _name_of(one, code):
    return next((c.name.replace("_", " ") for c in one.block.verdicts.checks if c.code == code), code)


def _why_unserved(outcome, one):
    fails = [(c, s, a, x) for c, s, a, x in one.verdicts if c.must and STATUS_WORDS[s] == "fail"]
    fault = none_breaks(outcome, one)
    if fault is not None:
        more = f" and {len(fails) - 1} more" if len(fails) > 1 else ""
        return f"no fuse or breaker {considered(outcome)} breaks {plain(fault)} A (P04){more}"
    part = part_of(outcome, one, one.kind.leading)
    if not fails:
        missing = [m for m in one.misses if m.no_later]
        if missing:
            return f"no {missing[0].no_later[0]} fits any part"
        return "nothing in the tables passes every must"
    sources = Sources(outcome)
    check, status, actual, limit = fails[0]
    near = f"nearest is {part[0].keys[part[1]]}; " if part else ""
    text = sentence(check, status, actual, limit, sources, one.place)
    more = f" and {len(fails) - 1} more" if len(fails) > 1 else ""
    return f"{near}{text}{more}"


def _fault_note(outcome):
    """Short-circuit currents nobody stated decide which devices may stand where; they are named, not left to explain."""
    said = []
    for default in outcome.places.defaults:
        if default.what.startswith("short-circuit current of"):
            of = default.what.removeprefix("short-circuit current of ")
            value = default.value if isinstance(default.value, str) else plain(default.value)
            said.append(f"{value} {default.unit} for {of}")
    if not said:
        return []
    return [
        f"Assumed short-circuit current: {'; '.join(said)}. It decides which fuses can break a fault; give the true figure in supplies.csv."
    ]


def _near_lines(outcome, one):
    """For what nothing serves: the parts that come nearest, beside the user's own, which every check below is of."""
    near = []
    for role in one.kind.roles:
        part, want = part_of(outcome, one, role.role), outcome.wanted[one.place][role.role]
        if part is not None and not want.fixed and not want.inherited:
            near.append(f"  {role.role}: {part[0].keys[part[1]]}, nearest, not a pick")
    return near


def _memory_note(outcome):
    resting = set()
    for one in outcome.chosen:
        for pick in picks_of(outcome, one):
            if pick["data_status"] == "memory":
                resting.add(pick["part"])
    if not resting:
        return []
    return [f"{len(resting)} of the picked parts rest on rows from memory: confirm their figures before buying."]


def _findings(outcome):
    open_ones = [f for f in outcome.findings if not f["accepted"]]
    accepted = [f for f in outcome.findings if f["accepted"]]
    lines = []
    if open_ones:
        open_ones.sort(key=lambda finding: finding["severity"] != "must")
        musts = sum(finding["severity"] == "must" for finding in open_ones)
        lines += ["", f"Findings, {musts} of them to be settled before use:" if musts else "Findings:"]
        for f in open_ones[:MOST_FINDINGS]:
            sign = "! must:" if f["severity"] == "must" else "!"
            where, cure = ", ".join([*f["connections"], *f["nodes"]]), f" {f['cure']}" if f["cure"] else ""
            lines.append(f"  {sign} {where}: {f['text']}{cure}")
        if len(open_ones) > MOST_FINDINGS:
            lines.append(f"  and {len(open_ones) - MOST_FINDINGS} more in the workbook and the JSON")
    if accepted:
        lines += ["", "Accepted:"]
        lines += [
            f"  = {', '.join(f['connections'])}: {f['text']} Reason: {f.get('reason') or 'none given'}"
            for f in accepted
        ]
    return lines


def explain_text(outcome, one):
    """All of one connection, for reading."""
    sources = Sources(outcome)
    name = outcome.places.names[one.place]
    row = outcome.places.rows[one.place]
    ends = f"from {row['from']} to {row['to']}" if row["to"] else f"at {row['from']}"
    lines = [f"{name}: {one.kind.name} {ends}, {one.status}"]
    lines += [f"rule set {outcome.rule['rule_set']} ({outcome.rule['edition'] or 'edition not stated'})", ""]
    lines += ["What it sees", *(f"  {label}: {value}" for label, value in _sees(outcome, one))]
    used = [d for d in defaults_of(outcome) if d["connection"] == name]
    if one.kind.name not in outcome.catalogue["kinds.csv"]["kind"].to_list():
        used = []
    if used:
        lines += ["", "Assumed, because nothing was said"]
        lines += [
            f"  {d['what']}: {plain(d['value']) if d['value'] is not None else 'empty'} {d['unit']}".rstrip()
            + f" (set in {d['set_in']}{'; ' + d['question'] if d['question'] else ''})"
            for d in used
        ]
    review = review_with(outcome, one)
    if review is not None:
        lines += ["", "Conversion", f"  {reference(review)}"]
    picks = picks_of(outcome, one)
    lines += ["", f"Parts{_standing(outcome, one)}"]
    lines += [_pick_line(pick) for pick in picks]
    lines += _near_lines(outcome, one) if not one.found else []
    lines += [] if lines[-1].startswith("  ") else ["  none: nothing in the tables passes every must"]
    want = outcome.wanted[one.place].get("protection")
    if want is not None and want.inherited:
        part = part_of(outcome, one, "protection")
        above = [outcome.places.names[r] for r in outcome.places.upstream[one.place]]
        lines += [f"  protected by {part[0].keys[part[1]]} of {', '.join(above)}"]
    if one.governing and one.found:
        lines += [
            "",
            f"Sized by {one.governing}, {_name_of(one, one.governing)}: what the next smaller part fails by most.",
        ]
    misses = misses_of(outcome, one)
    if misses:
        lines += [
            "",
            "Next smaller parts, and what they would break" if one.found else "What comes nearest, and what it fails",
        ]
        for miss in misses:
            fails = "; ".join(_fail_words(one, fail) for fail in miss["fails"])
            lines.append(f"  {miss['role']}: {_pieces(miss)} fails {fails}")
    holds = holds_of(one)
    if holds:
        lines += ["", "Holds until"]
        lines += [
            f"  {h['what']} {plain(h['value'])} {h['unit']}".rstrip() + f" ({h['code']}, {_name_of(one, h['code'])})"
            for h in holds
        ]
    lines += ["", "Checks"]
    for check, status, actual, limit in sorted(one.verdicts, key=lambda v: STATUS_WORDS[v[1]] == "pass"):
        where = f" [{check.role}]" if check.end else ""
        should = "" if check.must else " (should)"
        lines.append(
            f"  {STATUS_SIGNS[STATUS_WORDS[status]]} {STATUS_WORDS[status]:<7}{should} {sentence(check, status, actual, limit, sources, one.place)}{where}"
        )
    if one.status != "served":
        asked = questions_of(outcome, one)
        if asked:
            lines += ["", "To find out, or to change", *(f"  {text}" for text in asked)]
    return "\n".join(lines)


def _standing(outcome, one):
    """What the parts shown are worth, in brackets."""
    if not one.found:
        return " (nothing in the tables passes every must)"
    if one.provisional and _sizeless(outcome, one):
        return " (provisional: no size before its current is known)"
    return " (provisional: something is not known)" if one.provisional else ""


def _pick_line(pick):
    quantity = f"{plain(pick['quantity'])} {pick['unit']}" if pick["quantity"] is not None else "quantity not known"
    own = ", yours" if pick["fixed"] else ""
    memory = ", rests on a row from memory" if pick["data_status"] == "memory" else ""
    matched = ", matched, in parallel" if pick["number"] > 1 else ""
    return f"  {pick['role']}: {pick['part']}, {quantity}{matched}{own}{memory}"


def _pieces(entry):
    """A part with the number that stand in parallel before it, where there are several."""
    return f"{entry['number']} x {entry['part']}" if entry["number"] > 1 else entry["part"]


def _fail_words(one, fail):
    if fail["code"] == "FIT":
        return f"for want of {fail['limit']}"
    unit = f" {fail['unit']}" if fail["unit"] else ""
    return (
        f"{_name_of(one, fail['code'])} ({fail['code']}: {plain(fail['actual'])} against {plain(fail['limit'])}{unit})"
    )


def _span(low, high):
    return low if low == high else f"{low}..{high}"


def _joining_grounds(outcome, i):
    """Where the current of a row between two grounds comes from, nobody having stated it."""
    return (
        ", the rating of the largest device: it joins grounds; state current [A] if you know it"
        if outcome.places.ground_joint[i]
        else ""
    )


def _sees(outcome, one):
    columns, high = outcome.places.columns, outcome.places.high
    i = one.place

    def show(name, scale=1.0, offset=0.0):
        low = float(columns[name][i])
        top = float(high.get(name, columns[name])[i])
        if low != low:
            return "not known"
        low, top = low * scale + offset, top * scale + offset
        return plain(low) if low == top else f"{plain(low)}..{plain(top)}"

    if not any(role.role == "conductor" for role in one.kind.roles):
        if columns["current_a"][i] == columns["current_a"][i]:
            yield "current", f"{show('current_a')} A{_joining_grounds(outcome, i)}"
        yield "voltage", f"{show('nominal_v')} V nominal, {show('lowest_v')} to {show('highest_v')} V"
        yield from machine_lines(outcome, one)
        yield from heat_lines(outcome, one)
        yield from joint_lines(outcome, one)
        yield from transient_lines(outcome, one)
        return
    legs = int(columns["machine_lines"][i] if one.kind.name == "phase lead" else columns["legs"][i])
    yield from machine_lines(outcome, one)
    yield "current", f"{show('current_a')} A{_joining_grounds(outcome, i)}"
    if columns["has_peak"][i]:
        yield "peak", f"{show('peak_current_a')} A for {show('peak_time_s')} s"
    yield "length", f"{show('length_m')} m one way, {legs} leg{'s' if legs > 1 else ''}"
    yield "voltage", f"{show('nominal_v')} V nominal, {show('lowest_v')} to {show('highest_v')} V"
    yield (
        "air",
        f"{show('ambient_k', 1, -273.15)} degC, {show('air_speed_m_per_s')} m/s, {show('altitude_m')} m above the sea",
    )
    yield "loaded conductors that touch it", show("grouped_with")
    yield (
        "short-circuit current, taken here as at its supplies' terminals",
        f"{_span(show('least_short_circuit_a'), show('short_circuit_a'))} A",
    )
    results = one.results
    unknown = float("nan")
    if results.get("conductor_temperature_k", unknown) == results.get("conductor_temperature_k"):
        yield "the wire works at", f"{plain(results['conductor_temperature_k'] - 273.15)} degC"
    if results.get("voltage_drop_v", unknown) == results.get("voltage_drop_v"):
        yield "it drops", f"{plain(results['voltage_drop_v'])} V"
    yield from control_lines(outcome, one)
