"""The *Connections* sheet: given values, picks as drop-downs, live results, and a verdict on each connection."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from selector import glossary
from selector.cell import number_text
from selector.choosing.circuit import is_there
from selector.project.limits import OF_THE_WAY
from selector.report.live import letters
from selector.report.live_cells import (
    CONNECTIONS,
    GIVEN,
    KELVIN,
    NONE,
    SHOWN_IN,
    WHERE_KNOWN,
    Layout,
    key_of,
    worked_out,
)
from selector.report.live_checks import INCOMPLETE, KELVIN_SHARE, SERVED, UNSERVED
from selector.report.numbers import twelve
from selector.report.package import LINE, Formula, Sheet
from selector.report.result import holds_of, plain
from selector.report.styles import BAND_LOOK, HEADER, INHERITED, PICKED, STATE, STRONG, TEXT, TITLE, number
from selector.report.styles import GIVEN as GIVEN_FILL

HEAD, FIRST = 4, 5
"""Row of the headers and first row of data, here and on the helper sheets."""
FROZEN = 3
"""Columns that stay in view."""
NOT_HERE = "–"
UNKNOWN_WORD = "unknown"
HOW = (
    "Change a yellow value or choose another part (blue): results, margins and verdicts follow, clamping voltages and "
    "wire temperatures in other rows too. Summed currents and faults stay as they were. A coil's current that is not "
    "yellow is voltage over resistance: write over it to state your own. Grey: the device of another row. "
    "Where nothing fits, the nearest fit stands here."
)
HEADERS = {
    "connection": "Connection",
    "verdict": "Verdict",
    "told": "What fails ✗ or is unknown ? (check codes)",
    "kind": "Kind",
    "from": "From",
    "to": "To",
    "least": "Least margin [%] (1 K = 1 %)",
    "tightest": "Tightest check",
    "decided": "Size decided by",
    "holds": "Holds until",
}
BANDS = {
    "given": "Given values",
    "role": "Parts",
    "result": "Results",
    "margin": "Results",
    "least": "Results",
    "tightest": "Results",
    "decided": "As picked",
    "holds": "As picked",
}
WIDTHS = {
    "connection": 19,
    "verdict": 13,
    "told": 15,
    "kind": 12,
    "from": 13,
    "to": 13,
    "given": 11,
    "role": 19,
    "result": 11,
    "margin": 11,
    "least": 9,
    "tightest": 9,
    "decided": 28,
    "holds": 56,
}
RESULTS = (
    ("conductor_temperature_k", "degC", "MAX", None),
    ("conductor_balance_ampacity_a", "A", "MIN", None),
    ("conductor_rule_ampacity_a", "A", "MIN", "has_rule_table"),
    ("voltage_drop_v", "V", "MAX", None),
    ("peak_drop_v", "V", "MAX", "has_peak"),
    ("module_loss_w", "W", "MAX", "is_rectifier"),
    ("case_k", "degC", "MAX", "is_rectifier"),
    ("junction_k", "degC", "MAX", "is_rectifier"),
    ("heat_share_low", "%", "MIN", "is_rectifier"),
    ("heat_share_high", "%", "MAX", "is_rectifier"),
    ("pulse_current_a", "A", "MAX", "is_suppressor"),
    ("pulse_energy_j", "J", "MAX", "is_suppressor"),
    ("clamping_voltage_v", "V", "MAX", "is_suppressor"),
    ("release_time_s", "ms", "MAX", "is_freewheel"),
    ("release_time_zener_s", "ms", "MAX", "is_freewheel"),
    ("release_time_suppressor_s", "ms", "MAX", "is_freewheel"),
    ("stored_energy_j", "J", "MAX", "is_freewheel"),
)
"""Results shown: fact, unit, which case counts, and what it takes to be shown."""
TIMES = {"%": 100.0, "ms": 1000.0}
"""What a result is multiplied by to be shown in its unit; temperatures are shifted instead."""
MARGINS = (
    ("Ampacity margin", "%", ("ampacity_balance", "ampacity_table")),
    ("Drop margin", "%", ("voltage_drop", "peak_drop")),
    ("Temperature margin", "K", None),
)
"""Margins shown: label, unit, and the checks it is the least of (None: of every temperature)."""


@dataclass
class Entry:
    """One connection on the sheet: its row, and where its live cells stand."""

    one: Any
    row: int
    live: object = None
    number: int = 0
    cells: dict = field(default_factory=dict)


@dataclass
class Plan:
    """Columns of the sheet, by letter, and the entries in row order."""

    layout: Layout
    given: list
    roles: list
    entries: list
    results: list
    letters: dict
    sheets: dict

    def address(self, key, row):
        return f"{CONNECTIONS}!{self.letters[key]}{row}"


def plan(outcome, values_only):
    """Where everything stands on *Connections*; made before the live cells, which refer to it."""
    places = outcome.places
    entries = [Entry(one, FIRST + i) for i, one in enumerate(outcome.chosen)]
    kinds = list({one.kind.name: one.kind for one in outcome.chosen}.values())
    roles = list(dict.fromkeys(role.role for kind in kinds for role in kind.roles))
    keys: list[Any] = ["connection", "verdict", "told", "kind", "from", "to"]
    given = [
        (name, end) for name, end in GIVEN if key_of(name, end) in places.columns and _worth_showing(outcome, name)
    ]
    given_columns = []
    for name, end in given:
        given_columns.append((name, end, False))
        if key_of(name, end) in places.high:
            given_columns.append((name, end, True))
    keys += [("given", *column) for column in given_columns]
    keys += [("role", role) for role in roles]
    shown = [r for r in RESULTS if r[3] is None or _ever(places, r[3])]
    results = [("result", r[0]) for r in shown] + [("margin", m[0]) for m in MARGINS]
    keys += [*results, "least", "tightest", "decided", "holds"]
    at: dict[Any, str] = {key: letters(i) for i, key in enumerate(keys)}
    layout = Layout(
        {key_of(name, end): (at["given", name, end, False], at.get(("given", name, end, True))) for name, end in given},
        {role: at["role", role] for role in roles},
        {r[0]: at["result", r[0]] for r in shown},
        at["verdict"],
        at["told"],
        {entry.one.place: entry.row for entry in entries},
    )
    return Plan(layout, given_columns, roles, entries, shown, at, {})


def _worth_showing(outcome, name):
    chosen = [one.place for one in outcome.chosen]
    if name in OF_THE_WAY:
        return bool((outcome.places.columns["way_resistance_ohm"][chosen] > 0).any())
    return name not in WHERE_KNOWN or not np.isnan(outcome.places.columns[name][chosen]).all()


def _ever(places, name):
    if name in places.constants:
        return places.constants[name] == 1
    return name in places.columns and bool((places.columns[name] == 1).any())


def fill(outcome, plan, values_only):
    """The sheet with all its rows; leaves in each entry the cells the other sheets refer to."""
    count = len(plan.letters)
    sheet = Sheet(CONNECTIONS, _widths(plan), head=HEAD, freeze=f"D{FIRST}", title_columns="A:B")
    sheet.pages_wide = sheet.pages_for(repeated=2)
    sheet.add(("Connections", TITLE), height=21)
    sheet.hint("Values as picked." if values_only else HOW, FROZEN)
    sheet.add(*_bands(plan))
    sheet.add(*[(text, HEADER) for text in _headers(plan)], height=72)
    by_place = {entry.one.place: entry for entry in plan.entries}
    for entry in plan.entries:
        cells = [_identity(outcome, entry, key) for key in ("connection",)]
        cells += _verdict(plan, entry)
        cells += [_identity(outcome, entry, key) for key in ("kind", "from", "to")]
        cells += [
            _of_the_way(outcome, plan, entry, by_place, column[0])
            if column[0] in OF_THE_WAY
            else _given(outcome, plan, entry, *column, values_only)
            for column in plan.given
        ]
        cells += [_pick(outcome, plan, entry, role, by_place, values_only) for role in plan.roles]
        cells += _results(plan, entry)
        cells += [(_decided(entry.one), TEXT), (_holds(entry.one), TEXT)]
        if values_only:
            cells = [(c[0].value, c[1]) if isinstance(c[0], Formula) else c for c in cells]
        sheet.add(*cells, height=_height(outcome, entry))
    last = FIRST + len(plan.entries) - 1
    if plan.entries:
        sheet.states.append(f"B{FIRST}:B{last}")
        if not values_only:
            _drop_downs(sheet, plan, outcome)
    assert count == len(sheet.widths)
    return sheet


def _kind_of(key):
    return key if isinstance(key, str) else key[0]


def _widths(plan):
    return [22 if key == ("role", "conductor") else WIDTHS[_kind_of(key)] for key in plan.letters]


def _bands(plan):
    bands = [BANDS.get(_kind_of(key), "Connection") for key in plan.letters]
    return [(band if i == 0 or bands[i - 1] != band else "", BAND_LOOK) for i, band in enumerate(bands)]


def _headers(plan):
    heads = []
    for key in plan.letters:
        if isinstance(key, str):
            heads.append(HEADERS[key])
        elif key[0] == "given":
            entry = glossary.entry(key[1])
            end = f", {key[2]} end" if key[2] else ""
            upper = ", upper value" if key[3] else ""
            heads.append(f"{entry.label}{end}{upper} [{given_unit(key[1])}]")
        elif key[0] == "role":
            heads.append(key[1].capitalize())
        elif key[0] == "result":
            heads.append(f"{glossary.entry(key[1]).label} [{next(r[1] for r in RESULTS if r[0] == key[1])}]")
        else:
            heads.append(f"{key[1]} [{next(m[1] for m in MARGINS if m[0] == key[1])}]")
    return heads


def shown_unit(unit):
    """The unit a value is read in: absolute temperatures in degC."""
    return "degC" if unit == "K" else unit


def given_unit(name):
    """The unit a given value is read in: the project's own."""
    return SHOWN_IN[name][0] if name in SHOWN_IN else shown_unit(glossary.entry(name).unit)


def _identity(outcome, entry, key):
    if key == "kind":
        return entry.one.kind.name, TEXT
    if key == "connection":
        return outcome.places.names[entry.one.place] or "", STRONG
    return outcome.places.rows[entry.one.place].get(key) or "", TEXT


def _given(outcome, plan, entry, name, end, upper, values_only):
    places, i = outcome.places, entry.one.place
    key = key_of(name, end)
    low = float(places.columns[key][i])
    value = low
    if upper:
        value = float(places.high[key][i])
        if value == low or value != value:
            value = float("nan")
    if name == "hottest_k" and places.columns["hottest_stated", end][i] != 1:
        value = float("nan")
    unit = given_unit(name)
    if name.endswith("_k"):
        value = value - KELVIN
    value = value * SHOWN_IN.get(name, ("", 1.0))[1]
    value = None if value != value else twelve(value)
    formula = None if values_only or upper else worked_out(plan.layout, places, i, name)
    if formula is not None:
        return Formula(formula, "" if value is None else value), number(unit)
    followed = entry.live is None or key in entry.live.reads or values_only
    return value, number(unit, GIVEN_FILL) if followed else number(unit)


def _of_the_way(outcome, plan, entry, by_place, name):
    """What the other pieces of the way lose, or their resistance: a sum of their results, so that it follows them.

    A piece whose figure its cells do not give exactly (ranges, shunts) stands in the sum as a number.
    """
    value = float(outcome.places.columns[name][entry.one.place])
    look = number(glossary.entry(name).unit)
    if value != value or not value:
        return None if value != value else twelve(value), look
    terms, rest = [], value
    for row in outcome.circuit.before.get(entry.one.place, ()):
        other = by_place.get(row)
        counts = other is not None and is_there(other.one, outcome.wanted[row])
        term = _piece_term(outcome, plan, other, name) if counts else None
        if term is not None:
            terms.append(term[0])
            rest -= term[1]
    if not terms:
        return twelve(value), look
    constant = "" if abs(rest) <= 1e-12 * abs(value) else f"+{number_text(rest)}"
    return Formula(f"{'+'.join(terms)}{constant}", twelve(value)), look


def _piece_term(outcome, plan, other, name):
    """(formula, number) of one piece in a sum over a way; None where its cells do not give its figure."""
    if other.live is None:
        return None
    drop, ohm = other.one.result("voltage_drop_v"), other.one.result("path_resistance_ohm")
    cell = f"{plan.letters['result', 'voltage_drop_v']}{other.row}"
    if drop != drop:
        return None
    if name == "way_drop_v":
        return cell, drop
    current = float(outcome.places.columns["current_a"][other.one.place])
    if not current > 0 or abs(drop / current - ohm) > 1e-12 * ohm:
        return None
    return f"{cell}/{plan.letters['given', 'current_a', None, False]}{other.row}", ohm


def _pick(outcome, plan, entry, role, by_place, values_only):
    own = next((r for r in entry.one.kind.roles if r.role == role), None)
    if own is None:
        return NOT_HERE, TEXT
    want = outcome.wanted[entry.one.place][role]
    if not want.present:
        return NONE, PICKED
    index = entry.one.pick(role)
    part = outcome.candidates[own.family].keys[index] if index >= 0 else ""
    if not want.inherited:
        return part, PICKED
    above = [row for row in outcome.places.upstream[entry.one.place] or () if row in by_place]
    if len(above) == 1 and not values_only:
        source = by_place[above[0]]
        if source.one.pick(role) == index:
            return Formula(f"{letters_of(plan, role)}{source.row}", part), INHERITED
    return part, INHERITED


def letters_of(plan, role):
    return plan.letters["role", role]


def _drop_downs(sheet, plan, outcome):
    tables = plan.sheets["tables"]
    for role in plan.roles:
        ranges = {}
        for entry in plan.entries:
            own = next((r for r in entry.one.kind.roles if r.role == role), None)
            if own is not None and not outcome.wanted[entry.one.place][role].inherited:
                ranges.setdefault(own.family, []).append(entry.row)
        for family, rows in ranges.items():
            letter = letters_of(plan, role)
            sheet.lists.append((" ".join(f"{letter}{a}:{letter}{b}" for a, b in _runs(rows)), tables.keys(family)))


def _runs(rows):
    runs = []
    for row in rows:
        if runs and row == runs[-1][1] + 1:
            runs[-1][1] = row
        else:
            runs.append([row, row])
    return runs


# -- live results --------------------------------------------------------------------------------------------------


def span(entry, column):
    """The cells of one helper column for all cases of a connection, as a formula of another sheet names them."""
    first, last = entry.live.cases(entry.number)
    letter = letters(column)
    name = f"'{entry.live.title}'!"
    if first == last:
        return f"{name}{letter}{FIRST + first}"
    return f"{name}{letter}{FIRST + first}:{letter}{FIRST + last}"


def of_case(entry, column, case):
    return f"'{entry.live.title}'!{letters(column)}{FIRST + case}"


def values_of(entry, column):
    first, last = entry.live.cases(entry.number)
    return entry.live.helper.columns[column].values[first : last + 1]


def _verdict(plan, entry):
    s = entry.live.summary
    missing, failing = values_of(entry, s.missing), values_of(entry, s.failing)
    unknown, unsettled = values_of(entry, s.unknown), values_of(entry, s.unsettled)
    bad = sum(missing) + sum(failing)
    # where a typical value stands in for what nobody stated, what fails by it is not settled
    assumed = values_of(entry, s.assumed)
    hard = bad - sum(assumed)
    failed = INCOMPLETE if entry.one.waits and hard > 0 else UNSERVED  # other parts than those shown might do
    open_ = sum(unknown) + sum(unsettled) + sum(assumed)
    value = failed if hard > 0 else INCOMPLETE if open_ > 0 else SERVED
    soft = f"SUM({span(entry, s.assumed)})"
    text = (
        f'IF(SUM({span(entry, s.missing)})+SUM({span(entry, s.failing)})-{soft}>0,"{failed}",'
        f'IF(SUM({span(entry, s.unknown)})+SUM({span(entry, s.unsettled)})+{soft}>0,"{INCOMPLETE}","{SERVED}"))'
    )
    entry.cells["verdict"] = value
    told = values_of(entry, s.told)
    first, last = entry.live.cases(entry.number)
    if first == last:
        return [(Formula(text, value), STATE), (Formula(span(entry, s.told), told[0]), TEXT)]
    at = int(np.argmax(failing)) if max(failing) > 0 else int(np.argmax(unknown))
    fails, open_ = span(entry, s.failing), span(entry, s.unknown)
    told_text = (
        f"INDEX({span(entry, s.told)},IF(MAX({fails})>0,MATCH(MAX({fails}),{fails},0),MATCH(MAX({open_}),{open_},0)))"
    )
    return [(Formula(text, value), STATE), (Formula(told_text, told[at]), TEXT)]


def _results(plan, entry):
    live, cells = entry.live, []
    for name, unit, worst, condition in plan.results:
        column = live.at.get(name)
        if column is None:
            cells.append((NOT_HERE, TEXT))
            continue
        shift, times = (KELVIN if unit == "degC" else 0.0), TIMES.get(unit, 1.0)
        values = np.asarray(values_of(entry, column), dtype=float)
        value = float(values.max() if worst == "MAX" else values.min()) * times - shift
        value = UNKNOWN_WORD if value != value else value
        text = f"{worst}({span(entry, column)}){f'-{KELVIN}' if shift else ''}{f'*{times:g}' if times != 1 else ''}"
        text = f'IFERROR({text},"{UNKNOWN_WORD}")'
        asked = live.at.get(condition)
        if asked is not None:
            text = f'IF(MAX({span(entry, asked)})=0,"{NOT_HERE}",{text})'
            value = NOT_HERE if max(values_of(entry, asked)) == 0 else value
        entry.cells[name] = value
        cells.append((Formula(text, value), number(unit)))
    for label, unit, names in MARGINS:
        cells.append(_margin(entry, label, unit, names))
    s = live.summary
    least = [(v, c) for v, c in zip(values_of(entry, s.least), values_of(entry, s.tightest), strict=True) if v != ""]
    best = min(least, default=("", ""), key=lambda pair: pair[0])
    rooms, codes = span(entry, s.least), span(entry, s.tightest)
    text = f'IF(COUNT({rooms})=0,"{NOT_HERE}",100*MIN({rooms}))'
    value = NOT_HERE if best[0] == "" else 100 * best[0]
    entry.cells["least"] = value
    first, last = live.cases(entry.number)
    code = codes if first == last else f'IF(COUNT({rooms})=0,"",INDEX({codes},MATCH(MIN({rooms}),{rooms},0)))'
    return [*cells, (Formula(text, value), number("%")), (Formula(code, best[1]), TEXT)]


def _margin(entry, label, unit, names):
    live = entry.live
    found = [
        own for own in live.live_checks
        if own.room is not None and own.check.must
        and (own.check.name in names if names is not None else own.check.margin_in_k)
    ]  # fmt: skip
    if not found:
        return NOT_HERE, TEXT
    rooms = [v for own in found for v in values_of(entry, own.room) if v != ""]
    value = NOT_HERE if not rooms else KELVIN_SHARE * min(rooms)
    areas = ",".join(span(entry, own.room) for own in found)
    entry.cells[label] = value
    return Formula(f'IF(COUNT({areas})=0,"{NOT_HERE}",100*MIN({areas}))', value), number(unit)


# -- words of the pick ---------------------------------------------------------------------------------------------


def _decided(one):
    check = next((c for c, *_ in one.verdicts if c.code == one.governing), None)
    check = check or next((f[0] for miss in one.misses for f in miss.fails if f[0].code == one.governing), None)
    return f"{one.governing} {check.text}" if check is not None else one.governing or NOT_HERE


def _holds(one):
    if not one.holds:
        return NOT_HERE
    return "; ".join(
        f"{h['what']} {plain(h['value'])}{' ' + h['unit'] if h['unit'] else ''} ({h['code']})" for h in holds_of(one)
    )


def _height(outcome, entry):
    name = outcome.places.names[entry.one.place] or ""
    longest = [len(_holds(entry.one)) / 54, len(_decided(entry.one)) / 27, len(name) / 17]
    for role in entry.one.kind.roles:
        index = entry.one.pick(role.role)
        if index >= 0:
            longest.append(len(outcome.candidates[role.family].keys[index]) / 17)
    return LINE * min(8, max(2, int(max(longest)) + 1))
