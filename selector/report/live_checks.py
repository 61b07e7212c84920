"""The checks of one kind as helper columns: actual, limit, status, margin, and what they say of the whole case."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from selector.cell import Cell, number_text
from selector.choosing.checks import FAIL, PASS, STATUS_WORDS, TOLERANCE, UNKNOWN, margin_of
from selector.report.live import ROW, expression_cell, letters
from selector.report.live_cells import LIVE_NAMES

DOES_NOT_APPLY = "does not apply"
KELVIN_SHARE = 100.0
"""Kelvin of margin that count as much as the whole limit, where margins are compared."""
DECIMALS = 12
"""Margins are rounded there, so that equal ones are equal however they were worked out."""
MOST_JOINED = 60
SERVED, UNSERVED, INCOMPLETE = "✓ served", "✗ unserved", "? incomplete"
SIGN = {"served": SERVED, "unserved": UNSERVED, "incomplete": INCOMPLETE}


@dataclass
class LiveCheck:
    """One check on the helper sheet: cells of a row and their values, one a case."""

    check: Any
    actual: Cell
    limit: Cell
    actual_values: Any
    limit_values: Any
    status_values: Any = None
    room_values: Any = None
    status: int = -1
    room: int | None = None
    actual_at: int | None = None
    limit_at: int | None = None

    @property
    def numeric(self):
        return not self.check.yes_no


@dataclass
class Summary:
    """Columns of the helper sheet that sum up a case, by number."""

    failing: int
    unknown: int
    missing: int
    told: int
    least: int
    tightest: int
    unsettled: int
    assumed: int


def add_checks(live, cells):
    """Add every check of the kind to the helper sheet; gives them in order, musts first."""
    ordered = sorted(live.checks, key=lambda c: not c.must)
    made, whens = [], []
    for check in ordered:
        when = None
        if check.when is not None:
            when = expression_cell(live, check.when, check.end, ("applies", check), "check")
        actual, actual_values = expression_cell(live, check.actual, check.end, ("actual", check), "check")
        limit, limit_values = expression_cell(live, check.limit, check.end, ("limit", check), "check")
        own = LiveCheck(check, actual, limit, actual_values, limit_values)
        own.actual_at, own.limit_at = live.helper.index_of(actual), live.helper.index_of(limit)
        made.append(own)
        whens.append(when)
    for own, when in zip(made, whens, strict=True):
        _status(live, cells, own, when)
    for own in made:
        if own.numeric:
            _room(live, own)
    return made


def follows(check, registry):
    """Whether a change on *Connections* may bring a check to apply."""
    if check.when is None:
        return False
    leaves = frozenset().union(*(registry.leaves(name) for name in check.when.names))
    return bool(leaves & LIVE_NAMES)


def _short(own):
    """How far inside its limit, in the check's own measure."""
    left, right = (own.limit, own.actual) if own.check.at_most else (own.actual, own.limit)
    return left - right


def _status(live, cells, own, when):
    check, x = own.check, own.limit
    spare = live.spares[check.code]
    needed = number_text(spare - TOLERANCE)
    short = _short(own).text
    if check.margin_in_k or check.yes_no:
        passes = f"{short}>={needed}"
    elif _constant(x) is not None and _constant(x) != 0:
        passes = f"({short})/{number_text(abs(_constant(x)))}>={needed}"
    else:
        share = f"({short})/ABS({x.text})"
        passes = f"IF({x.text}=0,{short}>={number_text(-TOLERANCE)},{share}>={needed})"
    known = "*".join(f"ISNUMBER({cell.text})" for cell in (own.actual, own.limit) if _constant(cell) is None)
    fails = '"fail"' if when is None else f'IF(ISNUMBER({when[0].text}),"fail","unknown")'
    text = f'IF({passes},"pass",{fails})'
    if known:
        text = f'IF({known}=0,"unknown",{text})'
    roles = [r for r in sorted(check.needs_roles) if r == check.role or r.endswith((" from", " to"))]
    conditions = [f"{cells.wanted[role].text}=0" for role in roles]
    if when is not None:
        conditions.append(f"IFERROR({when[0].text},1)=0")
    if conditions:
        text = f'IF({"+".join(f"({c})" for c in conditions)}>0,"{DOES_NOT_APPLY}",{text})'
    margin = margin_of(check, own.actual_values, own.limit_values)
    with np.errstate(all="ignore"):
        status = np.where(margin >= spare - TOLERANCE, PASS, FAIL)
        unknown = ~np.isfinite(own.actual_values) | ~np.isfinite(own.limit_values)
        status = np.where(unknown, UNKNOWN, status)
        applies = np.ones(live.count) if when is None else when[1]
        status = np.where(np.isnan(applies) & (status == FAIL), UNKNOWN, status)
        skip = applies == 0
    for role in roles:
        skip = skip | ~live.present[role][live.rows]
    words = np.array(STATUS_WORDS, dtype=object)[status]
    own.status_values = np.where(skip, DOES_NOT_APPLY, words)
    live.helper.add(("status", check), text, own.status_values, "status")
    own.status = len(live.helper.columns) - 1


def _constant(cell):
    """The number a cell's text is, or None."""
    try:
        return float(cell.text.strip("()").replace("E", "e"))
    except ValueError:
        return None


def _room(live, own):
    """Margin of a check whose verdict stands: a share of the limit, kelvin counted in hundreds; else empty."""
    check, status = own.check, f"{letters(own.status)}{ROW}"
    short, limit = _short(own).text, own.limit.text
    share = f"({short})/{number_text(KELVIN_SHARE)}" if check.margin_in_k else f"({short})/ABS({limit})"
    decided = f'OR({status}="pass",{status}="fail")'
    decided = decided if check.margin_in_k else f"AND({decided},IFERROR({limit},0)<>0)"
    template = f'IF({decided},ROUND({share},{DECIMALS}),"")'
    values = margin_of(check, own.actual_values, own.limit_values) / (KELVIN_SHARE if check.margin_in_k else 1.0)
    values = np.round(values, DECIMALS)
    judged = np.isin(own.status_values, ("pass", "fail")) & np.isfinite(values)
    own.room_values = np.where(judged, values, np.nan)
    own.room = len(live.helper.columns)
    rooms = [float(v) if ok else "" for v, ok in zip(values, judged, strict=True)]
    live.helper.add(("room", check), template, rooms, "room")


def summarise(live, checks, cells, statuses):
    """Columns that sum up each case; ``statuses`` are the words the program gave each connection."""
    helper = live.helper
    musts = [own for own in checks if own.check.must]
    span = _span(musts[0].status, musts[-1].status) if musts else None
    count = {
        word: sum((own.status_values == word).astype(int) for own in musts) + np.zeros(live.count)
        for word in STATUS_WORDS
    }
    failing = _plus(helper, ("musts_failing", None), f'COUNTIF({span},"fail")' if span else "0", count["fail"])
    unknown = _plus(helper, ("musts_unknown", None), f'COUNTIF({span},"unknown")' if span else "0", count["unknown"])
    blanks = [cell.text for cell in cells.missing.values()]
    blank_values = sum(np.asarray(helper.columns[helper.index_of(cell)].values) for cell in cells.missing.values())
    missing = _plus(helper, ("parts_missing", None), "+".join(blanks), blank_values)
    told = _told(live, checks)
    rooms = [own for own in musts if own.room is not None]
    if rooms:
        span = _span(rooms[0].room, rooms[-1].room)
        codes = f"${letters(rooms[0].room)}$3:${letters(rooms[-1].room)}$3"
        table = np.array([own.room_values for own in rooms])
        none = np.asarray(np.isnan(table).all(axis=0))
        best = np.asarray(np.nanargmin(np.where(np.isnan(table), np.inf, table), axis=0))
        least_values = ["" if n else float(table[b, i]) for i, (n, b) in enumerate(zip(none, best, strict=True))]
        code_values = ["" if n else rooms[b].check.code for n, b in zip(none, best, strict=True)]
        least = _plus(helper, ("least_room", None), f'IF(COUNT({span})=0,"",MIN({span}))', least_values)
        template = f'IF(COUNT({span})=0,"",INDEX({codes},MATCH(MIN({span}),{span},0)))'
        tightest = _plus(helper, ("tightest", None), template, code_values)
    else:
        least = tightest = _plus(helper, ("least_room", None), None, [""] * live.count)
    plain = np.where(count["unknown"] > 0, "incomplete", "served")
    plain = np.where(blank_values + count["fail"] > 0, "unserved", plain)
    unsettled = np.zeros(live.count)
    for number, status in enumerate(statuses):
        first, last = live.cases(number)
        if status == "incomplete" and (plain[first : last + 1] == "served").all():
            unsettled[first : last + 1] = 1.0
    settled = _plus(helper, ("unsettled", None), None, unsettled)
    return Summary(failing, unknown, missing, told, least, tightest, settled, _assumed(live, musts, cells))


def _assumed(live, musts, cells):
    """Column with the number of musts that fail and rest on a value nobody stated."""
    leaves, helper = live.numbers.registry.leaves, live.helper
    places = [one.place for one in live.chosen]
    typical = [live.places.typical_inputs.get(places[i], {}).keys() for i in live.rows]
    pieces, values = [], np.zeros(live.count)
    for own in musts if any(typical) else ():
        read = frozenset().union(*(leaves(name) for name in own.check.reads))
        rests = [sorted(read & names) for names in typical]
        if not any(rests):
            continue
        texts = [
            f"MAX({','.join(cells.still_assumed(name, places[i]) for name in names)})" if names else None
            for names, i in zip(rests, live.rows, strict=True)
        ]
        flags = np.array([float(bool(names)) for names in rests])
        flag = helper.add(("rests_on_assumed", own.check.code), texts, flags, "summary")
        pieces.append(f'IF({letters(own.status)}{ROW}="fail",{flag.text},0)')
        values = values + (own.status_values == "fail") * flags
    return _plus(helper, ("musts_failing_assumed", None), "+".join(pieces) or None, values)


def _span(first, last):
    return f"{letters(first)}{ROW}:{letters(last)}{ROW}"


def _plus(helper, name, template, values):
    helper.add(name, template, values, "summary")
    return len(helper.columns) - 1


def _told(live, checks):
    """Column with the signs and codes of all that fails or is unknown; several columns where there are many checks."""
    if not checks:  # a family of the builder's own without a check
        return _plus(live.helper, ("told", None), None, [""] * live.count)
    pieces = []
    for start in range(0, len(checks), MOST_JOINED):
        some = checks[start : start + MOST_JOINED]
        text, values = [], [""] * live.count
        for own in some:
            at, code = f"{letters(own.status)}{ROW}", own.check.code
            wrong, open_ = (f"✗{code} ", f"?{code} ") if own.check.must else (f"(✗{code}) ", f"(?{code}) ")
            text.append(f'IF({at}="fail","{wrong}",IF({at}="unknown","{open_}",""))')
            words = {"fail": wrong, "unknown": open_}
            values = [value + words.get(status, "") for value, status in zip(values, own.status_values, strict=True)]
        pieces.append((_plus(live.helper, ("told", start), "&".join(text), values), values))
    if len(pieces) == 1:
        return pieces[0][0]
    joined = "&".join(f"{letters(at)}{ROW}" for at, _ in pieces)
    values = ["".join(some) for some in zip(*(values for _, values in pieces), strict=True)]
    return _plus(live.helper, ("told", None), joined, values)
