"""Findings that are not musts of one connection, acceptances, and the cautions that concern a project."""

from selector.catalogue.reading import fold_key
from selector.choosing.checks import FAIL
from selector.report.circuit_findings import circuit_findings
from selector.report.cures import SENSE_FUSES, sense_cure
from selector.report.joining import joint_findings
from selector.report.result import Sources, sentence, shown
from selector.report.returns import return_findings
from selector.report.transients import transient_findings

CURES = {
    "C20": "Take a wire made to be bent (class 5, or AWG stranded), or clip it so that it cannot move.",
    "C23": "Take a larger wire, a cooler route, or state the zone as an engine space if it is one.",
    "C29": "Take a thicker sense lead, or a shorter way.",
    "C30": "Take a fuse of 1 to 3 A at the battery's post.",
    "C31": "Take a fuse of 1 to 3 A at the battery's post.",
    "C32": "Take the sense lead to the battery's own posts.",
    "J05": "Take wires whose areas add up to the same on both sides, or size both sides by the smaller one.",
    "L10": "Take a tinned lug.",
    "R07": "Put a suppressor that clamps below the window at the output, or take diodes that are not avalanche.",
    "R12": "Leave the current empty to have it taken from the alternator's rating, or correct that in supplies.csv.",
    "U11": "Keep the suppressor's own leads short and straight, or ask what the equipment stands for microseconds. Against "
    "3b put a capacitor at the terminals of what it guards.",
    "U12": "Take one that begins above what the other holds, or a lower one at the output; else its lead and fuse must stand "
    "the pulse, and the regulator must stand an opened lead.",
    "U13": "Take equipment that stands more, or a lower clamp where the charging voltage allows one.",
    "P12": "Take a larger wire, or the next smaller device if the load allows.",
    "P15": "It protects the wire, not the load: a jammed motor will not open it. Take a class with smaller ratings that "
    "breaks this fault (fuse classes in settings.csv), or put the load's own fuse at the load.",
    "P13": "Take a larger device, or a cooler place for its holder.",
}


def findings_of(outcome):
    """``should`` findings of every connection, accepted ones marked, and what is wrong with acceptances."""
    sources = Sources(outcome)
    accepted = {}
    for row in outcome.project.rows("accepted.csv"):
        accepted[fold_key(row["connection"] or ""), row["code"].casefold()] = row
    musts = {row["code"].casefold() for row in outcome.catalogue.rows("checks.csv") if row["severity"] != "should"}
    found, used = [], set()
    with_findings = {}
    for one in outcome.chosen:
        table = one.block.verdicts
        if id(table) not in with_findings:
            failing = set(table.failing("should").tolist())
            with_findings[id(table)] = (
                failing if table.rows is None else {r for r, i in table.rows.items() if i in failing}
            )
    for one in outcome.chosen:
        if one.row not in with_findings[id(one.block.verdicts)]:
            continue
        name = outcome.places.names[one.place]
        for check, status, actual, limit in one.verdicts:
            if check.must or status != FAIL:
                continue
            key = fold_key(name or ""), check.code.casefold()
            row = accepted.get(key)
            if row is not None:
                used.add(key)
            found.append(_finding(check.code, "should", [name], shown(check, actual), shown(check, limit),
                                  "" if check.yes_no else check.unit, sentence(check, status, actual, limit, sources, one.place),
                                  _cure_of(outcome, one, check.code), row))  # fmt: skip
    for code, severity, names, nodes, actual, limit, unit, text, cure in (
        *circuit_findings(outcome),
        *return_findings(outcome),
        *joint_findings(outcome),
        *transient_findings(outcome),
    ):
        keys = [(fold_key(name), code.casefold()) for name in names]
        key = next((key for key in keys if severity == "should" and key in accepted), None)
        used.update([key] if key else [])
        musts |= {code.casefold()} if severity == "must" else set()
        found.append(
            _finding(code, severity, names, actual, limit, unit, text, cure, accepted.get(key)) | {"nodes": nodes}
        )
    for key, row in accepted.items():
        if key in used:
            continue
        code = row["code"].upper()
        if row["code"].casefold() in musts:
            text = f"{row['connection']}: {code} is a must and cannot be accepted away."
        else:
            text = f"{row['connection']}: {code} was accepted but no longer occurs; the row in accepted.csv is stale."
        found.append(
            _finding(
                "A01", "should", [row["connection"]], None, None, "", text, "Take the row out of accepted.csv.", None
            )
        )
    return found


def _cure_of(outcome, one, code):
    own = sense_cure(outcome, one) if code in SENSE_FUSES else None
    return own or CURES.get(code, "")


def _finding(code, severity, connections, actual, limit, unit, text, cure, row):
    finding = {"code": code, "severity": severity, "connections": connections, "nodes": [], "actual": actual,
               "limit": limit, "unit": unit, "text": text, "cure": cure, "accepted": row is not None}  # fmt: skip
    if row is not None:
        finding["reason"] = row["reason"] or ""
    return finding


def cautions_of(outcome):
    """The safety sentences that concern this project, in table order."""
    words = {"always"}
    supplies = outcome.project.rows("supplies.csv")
    for row in supplies:
        kind = row["type"] or "battery"
        words.add(kind)
        chemistry = (row["chemistry"] or "").casefold()
        if kind == "battery":
            words.add("lithium" if "li" in chemistry.split("-")[0][:2] and "lead" not in chemistry else "lead-acid")
    if not supplies:
        words.add("battery")
    columns = outcome.places.columns
    if len(outcome.chosen):
        rows = [one.place for one in outcome.chosen]
        if (columns["fuel_vapour"][rows] == 1).any():
            words.add("fuel vapour")
        if (columns["chassis"][rows] == 1).any():
            words.add("chassis return")
        if any(one.results.get("conductor_temperature_k", 0) > 333.15 for one in outcome.chosen):
            words.add("hot surface")
        if any(one.pick("protection") >= 0 for one in outcome.chosen):
            words.add("protection")
    if any(row["role"] == "ground" for row in outcome.project.rows("nodes.csv")):
        words.add("ground")
    for one in outcome.chosen:
        if one.kind.name == "control wire":
            words.add(outcome.places.rows[one.place].get("purpose") or "control wire")
    names = " ".join(str(name) for name in outcome.places.names).casefold()
    if "inverter" in names:
        words.update(("inverter", "ac"))
    if any((kind or "").casefold() in ("phase lead", "rectifier", "suppressor") for kind in outcome.places.kinds):
        words.update((kind or "").casefold() for kind in outcome.places.kinds)
    return [row["text"] for row in outcome.catalogue.rows("cautions.csv") if (row["when"] or "always") in words]
