"""*Reasons*, every check of every pick, live; and *Verification*, the program's values beside the live cells."""

import re
from itertools import chain

import numpy as np

from selector import glossary
from selector.cell import number_text
from selector.choosing.checks import UNKNOWN, margin_of
from selector.report.live import CONNECTION, ROW, letters
from selector.report.live_cells import KELVIN
from selector.report.live_checks import DOES_NOT_APPLY, KELVIN_SHARE, SIGN, follows
from selector.report.numbers import lines
from selector.report.package import (
    LINE,
    TALLEST,
    Formula,
    RowTemplate,
    Sheet,
    cell_text,
    escape,
    result_parts,
    row_text,
    rows_text,
)
from selector.report.result import Sources, part_of
from selector.report.sheets_connections import FIRST, HEAD, NOT_HERE, TIMES, UNKNOWN_WORD, of_case, span, values_of
from selector.report.styles import HEADER, HINT, STATE, STRONG, TEXT, TITLE, number, quoted
from selector.units import UNITS, find_unit

STATES = {"pass": "✓ pass", "fail": "✗ fail", "unknown": "? unknown", DOES_NOT_APPLY: NOT_HERE + " does not apply"}
AGREE = 1e-9
MOST_ROWS = 1_000_000
WIDTHS = (19, 12, 26, 7, 40, 11, 9, 11, 8, 9, 8, 8, 16, 8, 6, 34)
_GAP = "\x03"
HEADS = (
    "Connection",
    "Role",
    "Part as picked",
    "Code",
    "What is checked",
    "Actual",
    "Sense",
    "Limit",
    "Unit",
    "Margin",
    "Margin unit",
    "Spare asked",
    "Verdict",
    "Weight",
    "Case",
    "Source",
)
VERDICT_COLUMN, CASE_COLUMN = (letters(HEADS.index(head)) for head in ("Verdict", "Case"))
HOW = "Every check of every pick. A must decides; a should is a hint. Margin is the room left to the limit."


def reasons(outcome, plan, values_only):
    """A row for every check that applies, or that a change on *Connections* may bring to apply."""
    sheet = Sheet("Reasons", list(WIDTHS), head=HEAD, freeze=f"B{FIRST}",
                  title_columns="A:A")  # fmt: skip
    sheet.add(("Reasons", TITLE), height=21)
    hint = HOW
    total = sum(len(entry.live.live_checks) for entry in plan.entries)
    if total > MOST_ROWS:
        hint = "There are more checks than a sheet has rows: only those that do not pass stand here."
    sheet.hint(hint, 1)
    sheet.add()
    sheet.add(*[(text, HEADER) for text in HEADS], height=28)
    wanted = list(_wanted(outcome, plan, values_only, total > MOST_ROWS))
    sheet.size = (HEAD + len(wanted), len(HEADS))
    looks = [TITLE, HINT, HEADER, STATE, STRONG, TEXT, quoted(STRONG), quoted(TEXT), number("whole"), number("%")]
    looks += [number(check.unit) for check in {own.check.code: own.check for _, own in wanted}.values()] + [number("K")]

    def chunks(styles):
        styles.ready(looks)
        return _chunks(outcome, sheet.rows, wanted, values_only, styles)

    sheet.chunks = chunks
    if wanted:
        sheet.states.append(f"{VERDICT_COLUMN}{FIRST}:{VERDICT_COLUMN}{HEAD + len(wanted)}")
    return sheet


def _wanted(outcome, plan, values_only, only_open):
    """The checks to show, as (entry, check) in row order."""
    movable = {}
    for entry in plan.entries:
        first, last = entry.live.cases(entry.number)
        for own in entry.live.live_checks:
            states = own.status_values[first : last + 1]
            if all(state == DOES_NOT_APPLY for state in states):
                if id(own) not in movable:
                    movable[id(own)] = not values_only and follows(own.check, entry.live.numbers.registry)
                if not movable[id(own)]:
                    continue
            if only_open and all(state == "pass" for state in states):
                continue
            yield entry, own


def _chunks(outcome, head, wanted, values_only, styles):
    """Row text: one template a check for connections of one case, cell by cell where there are several."""
    sources, titles, templates, named = Sources(outcome), {}, {}, {}
    yield from rows_text(head, styles)
    chunk = []
    for row, (entry, own) in enumerate(wanted, HEAD + 1):
        first, last = entry.live.cases(entry.number)
        key = sources.of(own.check, entry.one.place)
        if key not in titles:
            titles[key] = sources.words(key)
        if first != last:
            cells = _row(outcome, entry, own, titles[key], row)
            if values_only:
                cells = [(c[0].value, c[1]) if isinstance(c[0], Formula) else c for c in cells]
            chunk.append(row_text(row, cells, styles, _height(c[0] for c in cells)).encode())
        else:
            template = templates.get((id(own), key))
            if template is None:
                template = templates[id(own), key] = _Template(outcome, entry, own, titles[key], values_only, styles)
            names = named.get((entry.row, own.check.role))
            if names is None:
                names = named[entry.row, own.check.role] = _Names(outcome, entry, own.check.role, styles.strings)
            chunk.append(template.text(names, row, first))
        if len(chunk) > 2000:
            yield b"".join(chunk)
            chunk = []
    yield b"".join(chunk)


class _Names:
    """A connection and its part in one role as numbers of their words, and the height they need."""

    def __init__(self, outcome, entry, role, strings):
        part = part_of(outcome, entry.one, role)
        key = part[0].keys[part[1]] if part else ""
        connection = outcome.places.names[entry.one.place] or ""
        self.connection, self.part = strings[connection], strings[key]
        self.height = LINE * max(lines(key, WIDTHS[2]), lines(connection, WIDTHS[0]))


class _Template:
    """Row text of one check with gaps for the connection, its part, and the results of each case."""

    def __init__(self, outcome, entry, own, source, values_only, styles):
        first, _ = entry.live.cases(entry.number)
        pieces, results = [], []
        for at, (value, look) in enumerate(_row(outcome, entry, own, source, ROW)):
            place, style = f"{letters(at)}{ROW}", styles[look]
            if at in (0, 2):
                pieces.append(f'<c r="{place}" s="{style}" t="s"><v>{_GAP}</v></c>')
            elif isinstance(value, Formula):
                formula = "" if values_only else f"<f>{escape(_with_gap(value.text, FIRST + first))}</f>"
                pieces.append(f'<c r="{place}" s="{style}"{_GAP}>{formula}<v>{_GAP}</v></c>')
                results.append(_results_of(own, at))
            else:
                pieces.append(cell_text(place, value, style, styles.strings))
        row = f'<row r="{ROW}" ht="{_GAP}" customHeight="1">{"".join(pieces)}</row>'
        self.template = RowTemplate(row, _GAP)
        self.results = [tuple(chain.from_iterable(own)) for own in zip(*results, strict=True)]
        self.height = LINE * max(lines(own.check.text, WIDTHS[4]), lines(source, WIDTHS[-1]))

    def text(self, names, row, case):
        height = min(max(self.height, names.height), TALLEST)
        values = (f"{height:g}", names.connection, names.part, *self.results[case])
        return self.template.filled(row, FIRST + case, values)


def _with_gap(text, row):
    """The formula with the helper row's number replaced by its placeholder."""
    return re.sub(rf"(?<=![A-Z]){row}\b|(?<=![A-Z]{{2}}){row}\b|(?<=![A-Z]{{3}}){row}\b", CONNECTION, text)


def _results_of(own, at):
    """Stored results, as type and text, of one column of *Reasons* for every case."""
    what = HEADS[at]
    if what == "Verdict":
        values = [STATES[state] for state in own.status_values]
    elif what == "Margin":
        values = [NOT_HERE if room != room else KELVIN_SHARE * room for room in own.room_values.tolist()]
    else:
        values = (own.actual_values if what == "Actual" else own.limit_values).tolist()
        pairs = zip(values, own.status_values, strict=True)
        values = [NOT_HERE if state == DOES_NOT_APPLY else _shown(own.check, value) for value, state in pairs]
    return [result_parts(value) for value in values]


def _row(outcome, entry, own, source, row):
    check = own.check
    part = part_of(outcome, entry.one, check.role)
    state, case, case_text = _state(entry, own)
    spare = outcome.settings.spare_of(check.code, check.spare_kind)
    margin_unit = "K" if check.margin_in_k else "%"
    spare_shown = NOT_HERE if check.spare_kind == "no" else float(spare if check.margin_in_k else 100 * spare)
    margin, look = _margin(entry, own), number(margin_unit)
    unit = check.unit if not check.yes_no else "yes/no"
    return [
        (outcome.places.names[entry.one.place] or "", STRONG), (check.role, TEXT),
        (part[0].keys[part[1]] if part else "", TEXT), (check.code, TEXT),
        (check.text, TEXT), (_side(entry, own, "actual", case, row), number(check.unit)),
        (check.sense, TEXT),
        (_side(entry, own, "limit", case, row), number(check.unit)), (unit, TEXT),
        (margin, look), (margin_unit if own.numeric else NOT_HERE, TEXT), (spare_shown, look), (state, STATE),
        (check.severity, TEXT), (case_text, number("whole")), (source, TEXT),
    ]  # fmt: skip


def _state(entry, own):
    """Verdict over the cases of a connection, the case it is shown for, and that as a live cell."""
    states = list(values_of(entry, own.status))
    first, last = entry.live.cases(entry.number)
    area = span(entry, own.status)
    order = ("fail", "unknown", "pass", DOES_NOT_APPLY)
    worst = next(word for word in order if word in states)
    if first == last:
        chain = f'"{STATES[DOES_NOT_APPLY]}"'
        for word in ("pass", "unknown", "fail"):
            chain = f'IF({area}="{word}","{STATES[word]}",{chain})'
        return Formula(chain, STATES[worst]), 0, 1.0
    chain = f'"{STATES[DOES_NOT_APPLY]}"'
    at = f'MATCH("{DOES_NOT_APPLY}",{area},0)'
    rooms = None if own.room is None else span(entry, own.room)
    for word in ("pass", "unknown", "fail"):
        chain = f'IF(COUNTIF({area},"{word}")>0,"{STATES[word]}",{chain})'
        place = f'MATCH("{word}",{area},0)'
        if rooms is not None and word != "unknown":
            place = f"IF(COUNT({rooms})=0,{place},MATCH(MIN({rooms}),{rooms},0))"
        at = f'IF(COUNTIF({area},"{word}")>0,{place},{at})'
    case = states.index(worst)
    if own.room is not None and worst in ("fail", "pass"):
        values = [np.inf if v == "" else v for v in values_of(entry, own.room)]
        case = int(np.argmin(values)) if min(values) < np.inf else case
    return Formula(chain, STATES[worst]), case, Formula(at, case + 1.0)


def _side(entry, own, side, case, row):
    """Actual or limit in the check's unit, live."""
    check = own.check
    column = own.actual_at if side == "actual" else own.limit_at
    values = own.actual_values if side == "actual" else own.limit_values
    first, last = entry.live.cases(entry.number)
    value = float(values[first + case])
    if column is None:
        cell = number_text(value)
    elif first == last:
        cell = of_case(entry, column, first)
    else:
        cell = f"INDEX({span(entry, column)},{CASE_COLUMN}{row})"
    shown = _shown(check, value) if own.status_values[first + case] != DOES_NOT_APPLY else NOT_HERE
    if column is None:
        return _shown(check, value)
    absent = f'{VERDICT_COLUMN}{row}="{STATES[DOES_NOT_APPLY]}","{NOT_HERE}"'
    if check.yes_no:
        return Formula(f'IF({absent},IFERROR(IF({cell}=1,"yes","no"),"{UNKNOWN_WORD}"))', shown)
    unit = find_unit(check.unit) if check.unit else UNITS[""]
    text = cell if unit.offset == 0 else f"({cell}-{number_text(unit.offset)})"
    text = text if unit.scale == 1.0 else f"{text}/{number_text(unit.scale)}"
    return Formula(f'IF({absent},IFERROR({text},"{UNKNOWN_WORD}"))', shown)


def _height(texts):
    """Height of a row by its longest text."""
    return LINE * max(lines(text, width) for text, width in zip(texts, WIDTHS, strict=True) if isinstance(text, str))


def _shown(check, value):
    """An actual or limit as it is shown: in the check's unit, yes or no, or unknown."""
    if value != value:
        return UNKNOWN_WORD
    if check.yes_no:
        return "yes" if value == 1 else "no"
    unit = find_unit(check.unit) if check.unit else UNITS[""]
    return (value - unit.offset) / unit.scale


def _margin(entry, own):
    if own.room is None:
        return NOT_HERE
    area = span(entry, own.room)
    rooms = [v for v in values_of(entry, own.room) if v != ""]
    value = KELVIN_SHARE * min(rooms) if rooms else NOT_HERE
    return Formula(f'IF(COUNT({area})=0,"{NOT_HERE}",100*MIN({area}))', value)


# -- verification --------------------------------------------------------------------------------------------------


def verification(outcome, plan, values_only):
    """The value the program worked out, the live cell, and how far apart they are."""
    sheet = Sheet("Verification", [22, 26, 8, 18, 18, 16, 20], head=HEAD, freeze=f"B{FIRST}")
    sheet.add(("Verification", TITLE), height=21)
    hint = ("The program's value, worked out when the workbook was written, beside the live cell. After a change on "
            "Connections the two differ: that is the change.")  # fmt: skip
    if values_only:
        hint = "The program's values. This workbook stands as values, so there are no live cells to compare with."
    sheet.hint(hint)
    heads = ("Connection", "What", "Unit", "Program's value", "Live cell", "Relative difference", "Verdict")
    sheet.add()
    sheet.add(*[(text, HEADER) for text in heads], height=28)
    for entry, room in zip(plan.entries, _least_rooms(plan.entries), strict=True):
        name = outcome.places.names[entry.one.place] or ""
        for what, unit, value, key in _compared(plan, entry, room):
            row = len(sheet.rows) + 1
            look = number(unit)
            live = plan.address(key, entry.row)
            cells = [(name, STRONG), (what, TEXT), (unit, TEXT), (value, look)]
            if values_only:
                sheet.add(*cells, (NOT_HERE, TEXT), (NOT_HERE, TEXT), (NOT_HERE, TEXT))
                continue
            shown = entry.cells[key[1] if isinstance(key, tuple) else key]
            apart = _apart(value, shown)
            both, share = f"AND(ISNUMBER(D{row}),ISNUMBER(E{row}))", f"ABS(E{row}-D{row})/MAX(1,ABS(D{row}))"
            difference = f"IF({both},{share},IF(D{row}=E{row},0,1))"
            verdict = f'IF(F{row}<={number_text(AGREE)},"✓ agrees","✗ differs")'
            sheet.add(*cells, (Formula(live, shown), look), (Formula(difference, apart), number("difference")),
                      (Formula(verdict, "✓ agrees" if apart <= AGREE else "✗ differs"), STATE))  # fmt: skip
    if len(sheet.rows) > HEAD:
        sheet.states.append(f"G{FIRST}:G{len(sheet.rows)}")
    return sheet


def _apart(value, shown):
    if isinstance(value, str) or isinstance(shown, str):
        return 0.0 if value == shown else 1.0
    return abs(value - shown) / max(1.0, abs(value))


def _compared(plan, entry, room):
    """What is compared of one connection: label, unit, the program's own value, key of the live cell.

    ``room`` is its least margin, infinite where it has none.
    """
    one = entry.one
    yield "Verdict", "", SIGN[one.status], "verdict"
    first, last = entry.live.cases(entry.number)
    for name, unit, worst, condition in plan.results:
        if name not in entry.cells:
            continue
        value = one.result(name)
        if first != last or name not in one.results:
            values = entry.live.number(name)[first : last + 1]
            value = float(values.max() if worst == "MAX" else values.min())
        if condition in entry.live.at and max(values_of(entry, entry.live.at[condition])) == 0:
            value = NOT_HERE
        elif value != value:
            value = UNKNOWN_WORD
        else:
            value = value * TIMES.get(unit, 1.0) - (KELVIN if unit == "degC" else 0.0)
        yield glossary.entry(name).label, unit, value, ("result", name)
    yield "Least margin", "%", 100 * room if room < np.inf else NOT_HERE, "least"


def _least_rooms(entries):
    """Least margin of the settled musts of each connection: a share, kelvin in hundreds."""
    compared = {}
    for at, entry in enumerate(entries):
        for check, status, actual, limit in entry.one.verdicts:
            if check.must and not check.yes_no and status != UNKNOWN:
                compared.setdefault(id(check), (check, []))[1].append((at, actual, limit))
    least = np.full(len(entries), np.inf)
    for check, own in compared.values():
        places, actual, limit = np.array(own).T
        with np.errstate(all="ignore"):
            room = margin_of(check, actual, limit) / (KELVIN_SHARE if check.margin_in_k else 1.0)
        np.minimum.at(least, places.astype(int), np.where(np.isfinite(room), room, np.inf))
    return least.tolist()
