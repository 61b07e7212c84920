"""What an unmarked part can be, as text and as plain data."""

import math
from itertools import groupby
from textwrap import fill

from selector.catalogue.bench import suits
from selector.report.result import digits, plain

WIDTH = 110


def identified_data(found):
    """The outcome of ``catalogue.bench.identify`` as plain data for JSON; voltages of windows are at 25 degC."""
    setup = found.bench
    following = found.next_measurement
    return {
        "readings": [
            {"text": r.text, "current": _value(r.current_a, "A"), "voltage": _value(r.voltage_v, "V"),
             "direction": "forward" if r.forward else "reverse", "below": r.below}
            for r in found.readings
        ],
        "bench": {
            "air": _value(setup.air_k - 273.15, "degC"), "warming": _value(setup.warming_k, "K"),
            "meter resolution": _value(setup.resolution_a * 1000, "mA"),
            "meter accuracy": _value(setup.accuracy * 100, "%"),
        },
        "candidates": [
            {"class": name, "kind": kind, "parts": [_part(candidate) for candidate in members]}
            for (name, kind), members in _classes(found)
        ],
        "likely_stand_off": _range(found.likely_stand_off_v, "V"),
        "likely_clamp": _range(found.likely_clamp_v, "V"),
        "suits_systems": [{"value": digits(named), "unit": "V"} for named in suits(found)],
        "breakdown": _range(found.breakdown_v, "V"),
        "cannot_tell": [
            {"what": u.what, "low": digits(u.low), "high": digits(u.high), "unit": u.unit, "why": u.why}
            for u in found.cannot_tell
        ],
        "next_measurement": None if following is None else {
            "direction": "forward" if following.forward else "reverse",
            "set": _value(following.set_v, "V"), "limit": _value(following.limit_a, "A"),
            "groups": [
                {"expect": g.expect, "classes": g.classes, "parts": g.parts, "stand_off": _range(g.stand_off_v, "V")}
                for g in following.groups
            ],
        },
        "refused": [
            {"class": r.name, "kind": r.kind, "readings": r.readings, "why": r.why} for r in found.refused
        ],
        "remarks": list(found.remarks),
        "cautions": list(found.cautions),
        "defaults": list(found.assumptions),
    }  # fmt: skip


def _value(value, unit):
    return None if value is None else {"value": digits(value), "unit": unit}


def _range(pair, unit):
    return None if pair is None else {"low": digits(pair[0]), "high": digits(pair[1]), "unit": unit}


def _part(candidate):
    part = candidate.part
    return {
        "part": part.key, "polarity": part.polarity, "stand_off_v": digits(part.stand_off_v),
        "least_breakdown_v": digits(part.least_v), "greatest_breakdown_v": digits(part.greatest_v),
        "clamping_v": digits(part.clamping_v), "at_peak_current_a": digits(part.peak_current_a),
        "pulse_power_w": digits(part.pulse_power_w), "data_status": part.status,
    }  # fmt: skip


def _classes(found):
    """Candidates by class, in table order."""
    return [(key, list(members)) for key, members in groupby(found.candidates, lambda c: (c.part.name, c.part.kind))]


def identified_text(found):
    """What the terminal shows."""
    setup = found.bench
    read = "; ".join(r.text for r in found.readings)
    lines = [
        f"Read: {read}",
        f"at {plain(setup.air_k - 273.15)} degC, up to {plain(setup.warming_k)} K warmer; the meter shows {plain(setup.resolution_a * 1000)} mA "
        f"and is right within {plain(setup.accuracy * 100)} %.",
        "",
    ]
    lines += _candidates(found) if found.candidates else ["Nothing in the tables fits all readings."]
    lines += _section("What the readings show", found.remarks)
    lines += _section("The bench cannot tell", [_untold(one) for one in found.cannot_tell])
    lines += _section("Measure next", _next(found))
    lines += _section("It cannot be", _refused(found))
    lines += _section("Take care", found.cautions)
    lines += _section("Taken because nothing was said", [_assumed(one) for one in found.assumptions])
    return "\n".join(lines)


def _section(title, entries):
    if not entries:
        return []
    wrapped = [
        fill(text, WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False) for text in entries
    ]
    return ["", f"{title}:", *wrapped]


def _between(values, unit="V"):
    """Least to greatest of what is known."""
    known = [value for value in values if value is not None and math.isfinite(value)]
    if not known:
        return "unknown"
    low, high = plain(min(known)), plain(max(known))
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def _candidates(found):
    classes = _classes(found)
    count = len(found.candidates)
    lines = [
        f"It can be one of {count} {'part' if count == 1 else 'parts'} in {len(classes)} {'class' if len(classes) == 1 else 'classes'}:"
    ]
    wide = max(len(name) for (name, _), _ in classes)
    for (name, kind), members in classes:
        parts = [c.part for c in members]
        low, high = (_between(getattr(p, end) for p in parts) for end in ("least_v", "greatest_v"))
        text = f"  {name:<{wide}}  {kind}"
        if kind == "suppressor":
            ways = sorted({p.polarity or "unknown polarity" for p in parts}, reverse=True)
            text += f", stand-off {_between(p.stand_off_v for p in parts)}, clamps at {_between(p.clamping_v for p in parts)}"
            text += f" at {_between((p.peak_current_a for p in parts), 'A')}, {' or '.join(ways)}"
        elif parts[0].breaks:
            text += f", breaks down from {low} on, by {high}"
        else:
            text += f", rated to block {_between(p.stand_off_v for p in parts)}"
        lines.append(text)
    if found.likely_stand_off_v:
        lines.append(
            f"As a suppressor: stand-off of {_between(found.likely_stand_off_v)}, clamps at {_between(found.likely_clamp_v)} at its peak current."
        )
        lines += _good_for(found)
    memory = sum(c.part.status == "memory" for c in found.candidates)
    if memory:
        lines.append(f"{memory} of them rest on rows from memory.")
    return lines


def _good_for(found):
    """What it would be good for as a suppressor, by the least it may stand off and the most it may let through."""
    *before, last = found.charging_v
    classes = f"{', '.join(map(plain, before))} and {plain(last)} V"
    charged = f"{', '.join(plain(found.charging_v[v]) for v in before)} and {plain(found.charging_v[last])} V"
    own, least = suits(found), plain(found.likely_stand_off_v[0])
    what = f"up to a {plain(own[-1])} V system" if own else "none of them"
    lines = [] if found.likely_clamp_v is None else [
        f"Good for: it clamps at about {_between(found.likely_clamp_v)}, so it guards only what stands more than {plain(found.likely_clamp_v[1])} V."
    ]  # fmt: skip
    lines.append(
        f"Stand-off must exceed the highest charging voltage, some {charged} in {classes} systems: {least} V suits {what}."
    )
    return lines


def _refused(found):
    """Classes excluded by the same reading for the same reason stand in one line."""
    together = {}
    for one in found.refused:
        together.setdefault((one.readings[0], one.why), []).append(one.name)
    return [
        f"{', '.join(names) if len(names) < 4 else f'{names[0]} and {len(names) - 1} more classes'}: {why} ({reading})"
        for (reading, why), names in together.items()
    ]


def _untold(one):
    text = one.what
    if one.low is not None:
        text += f", {_between((one.low, one.high), one.unit)}"
    return f"{text}: {one.why}"


def _next(found):
    following = found.next_measurement
    if following is None:
        return (
            ["no bench reading parts what is left; body, leads and where it came from may."]
            if len(found.candidates) > 1
            else []
        )
    limit = plain(following.limit_a * 1000)
    way, read = ("turned round", "voltage") if following.forward else ("in reverse", "current")
    lines = [f"{way}, set {plain(following.set_v)} V with a limit of {limit} mA and read the {read}:"]
    for group in following.groups:
        names = ", ".join(group.classes[:3]) + (f" and {len(group.classes) - 3} more" if len(group.classes) > 3 else "")
        off = f", stand-off {_between(group.stand_off_v)}" if group.stand_off_v else ""
        lines.append(f"- {group.expect}: {group.parts} {'part' if group.parts == 1 else 'parts'} ({names}{off})")
    return lines


def _assumed(one):
    return f"{one['what']}: {one['value']} {one['unit']}".rstrip() + f" ({one['status']}). {one['question']}"
