"""Helper sheets: one kind each, a row for every case of every connection, a column for every step of every formula."""

import numpy as np

from selector import glossary
from selector.catalogue.names import prefix_of
from selector.report.live import CONNECTION, ROW, letters, prepare, work_out
from selector.report.live_cells import SheetCells
from selector.report.live_checks import add_checks, summarise
from selector.report.package import RowTemplate, Sheet, cell_text, escape, result_parts
from selector.report.sheets_connections import FIRST, HEAD, RESULTS
from selector.report.styles import ASIDE, BAND_LOOK, HEADER, PLAIN, TITLE, Look
from selector.units import find_unit

_FILL = "\x03"
BOLD, RIGHT = Look(bold=True), Look(right=True)
GROUPS = {
    "head": "Case",
    "given": "What the place sees",
    "part": "What the part gives",
    "fact": "Result",
    "step": "Step",
    "check": "Compared",
    "status": "Verdict of a check",
    "room": "Margin of a check (share of its limit; kelvin in hundreds)",
    "summary": "The whole case",
}


def work(outcome, plan, tables, entries, kind):
    """Work out one kind live: its facts, checks and sums, all on one helper sheet."""
    live = prepare(outcome, kind, [entry.one for entry in entries])
    live.title = f"Working {kind.name}"[:31]
    for number, entry in enumerate(entries):
        entry.live, entry.number = live, number
    names = [outcome.places.names[entries[i].one.place] or "" for i in live.rows]
    live.helper.add(("connection", None), None, names, "head")
    first = np.array([live.cases(i)[0] for i in live.rows])
    live.helper.add(("case", None), None, np.arange(live.count) - first + 1.0, "head")
    live.at = {}
    factors = {row["laying"]: row["factor"] for row in outcome.catalogue.rows("laying_factors.csv")}
    cells = SheetCells(live, plan.layout, tables, outcome.settings, factors)
    wanted = [(name, None) for name, *_ in RESULTS if _has(live, cells, name)]
    work_out(live, cells, wanted)
    live.live_checks = add_checks(live, cells)
    live.summary = summarise(live, live.live_checks, cells, [entry.one.status for entry in entries])
    for name, _, _, condition in RESULTS:
        for asked in (name, condition):
            if asked and (asked == condition or (name, None) in wanted):
                _place(live, cells, asked)
    live.connection_rows = [entries[i].row for i in live.rows]
    return live


def _has(live, cells, name):
    registry = live.numbers.registry
    return name in registry.functions and all(
        leaf in cells or (leaf, "from") in cells or registry.split_end(leaf) in cells for leaf in registry.leaves(name)
    )


def _place(live, cells, name):
    """Note the helper column of a fact or given value, where it has one."""
    if name in live.source.case_columns or name in live.numbers.registry.functions:
        cell = live.evaluation.value(name)
        live.at[name] = live.helper.index_of(cell)


def sheet(live):
    """The helper sheet of one kind, its rows as ready text."""
    columns = live.helper.columns
    widths = [20, 6] + [15] * (len(columns) - 2)
    made = Sheet(live.title, widths, head=HEAD, freeze=f"C{FIRST}", filtered=False, title_columns="A:B")
    made.size = (FIRST + live.count - 1, len(columns))
    made.paper = "A1:L2"
    made.tab = "A6A6A6"
    made.chunks = lambda styles: _chunks(live, styles)
    return made


def heading(column):
    """Header text of a helper column, with its unit."""
    name = column.name
    if column.group in ("check", "status", "room"):
        kind, check = name
        unit = {"room": "share", "actual": check.unit, "limit": check.unit, "applies": glossary.YES}.get(kind, "")
        unit = _inner(unit) if kind in ("actual", "limit") else unit
        label = f"{glossary.CHECKED[kind]}: {check.text}"
        label = f"{label} ({check.role})" if check.end else label
        return f"{label} [{unit}]" if unit else label
    if column.group == "step":
        label, unit = glossary.step(name)
        return f"{label} [{unit or 'bare'}]"
    if name[0] == "part":
        _, role, part_column, step = name
        entry = glossary.entry(part_column)
        full = glossary.NAMES.get(f"{prefix_of(role)}_{part_column}", entry)
        point = "" if step is None else f", point {step + 1}"
        unit = full.unit or glossary.YES
        return f"{role}: {full.label}{point} [{unit}]"
    if name[0] in ("wanted", "part_missing", "row_of_part"):
        label = {"wanted": "wanted", "part_missing": "not chosen", "row_of_part": "row in Tables used"}[name[0]]
        unit = "count" if name[0] == "row_of_part" else glossary.YES
        return f"{name[1]}: {label} [{unit}]"
    if name[0] == "upper_end":
        return f"{glossary.entry(name[1]).label}: upper value [{glossary.YES}]"
    if name[0] == "rests_on_assumed":
        return f"{name[1]}: {glossary.entry(name[0]).label} [{glossary.YES}]"
    if name[0] == "connection":
        return "Connection"
    if name[0] == "case":
        return "Case [count]"
    entry = glossary.entry(name[0])
    end = f", {name[1]} end" if isinstance(name[1], str) else ""
    return f"{entry.label}{end} [{entry.unit}]" if entry.unit else f"{entry.label}{end}"


def _inner(unit):
    if unit == "yes/no":
        return glossary.YES
    return find_unit(unit).inner if unit else "bare"


def _inside(column):
    if column.group in ("status", "room", "check"):
        return column.name[1].code
    if column.group == "step" and column.inside:
        return glossary.entry(column.inside[0]).label
    return GROUPS[column.group]


def _chunks(live, styles):
    """Row text. What is the same in every row is put into words once, a formula that runs down a column written once."""
    columns = live.helper.columns
    base, bold = styles[PLAIN], styles[BOLD]
    plain = styles[RIGHT]
    top, pieces, fills, shared = _head(live, styles), [], [], 0
    for number, column in enumerate(columns):
        place = f"{letters(number)}{ROW}"
        values = _stored(column)
        if column.template is None and isinstance(column.values[0], str):
            style = bold if column.group == "head" else base
            pieces.append([f'<c r="{place}" s="{style}" t="s"><v>{_FILL}</v></c>'] * 2)
            fills.append([styles.strings[value] for value in column.values])
            continue
        own = isinstance(column.template, list)
        formulas = [_FILL if own else "" if column.template is None else f"<f>{escape(column.template)}</f>"] * 2
        if _is_shared(column.template, live.count):
            area = f"{letters(number)}{FIRST}:{letters(number)}{FIRST + live.count - 1}"
            formulas[0] = f'<f t="shared" ref="{area}" si="{shared}">{escape(column.template)}</f>'
            formulas[1] = f'<f t="shared" si="{shared}"/>'
            shared += 1
        style = bold if column.group in ("fact", "summary") else plain
        pieces.append([f'<c r="{place}" s="{style}"{_FILL}>{formula}<v>{_FILL}</v></c>' for formula in formulas])
        if own:
            values = [values[0], [f"<f>{escape(text)}</f>" if text else "" for text in column.template], values[1]]
        fills += values
    first, others = (RowTemplate(f'<row r="{ROW}">{"".join(own)}</row>', _FILL) for own in zip(*pieces, strict=True))
    return _rows(live, top, first, others, fills)


def _is_shared(template, rows):
    """Whether the formula of a column is written in its first row alone: it names no cell but those of its own row."""
    return isinstance(template, str) and rows > 1 and CONNECTION not in template and "!" not in template


def _rows(live, top, template, others, fills):
    """Chunks of rows by ``template`` for the first, ``others`` for the rest."""
    yield top
    chunk = []
    for index, own in enumerate(zip(*fills, strict=True)):
        chunk.append(template.filled(FIRST + index, live.connection_rows[index], own))
        template = others
        if len(chunk) > 20:
            yield b"".join(chunk)
            chunk = []
    yield b"".join(chunk)


def _stored(column):
    """Type attributes and texts of a column's stored results."""
    values = column.values
    if isinstance(values, np.ndarray):
        finite = values.dtype.kind == "f" and np.isfinite(values).all()
        values = values.tolist()
        if finite:
            return [[""] * len(values), list(map(repr, values))]
    return list(zip(*map(result_parts, values), strict=True))


def _head(live, styles):
    columns = live.helper.columns
    title, hint = styles[TITLE], styles[ASIDE]
    band, head = styles[BAND_LOOK], styles[HEADER]
    how = (
        f"How every {live.kind.name} is worked out, step by step, in the program's own units (kelvin, metres). "
        "Nothing here is to be typed: change Connections. Not for paper: only this heading is in its print area."
    )

    def text(place, value, style):
        return cell_text(place, value, style, styles.strings)

    rows = [
        f'<row r="1" ht="21" customHeight="1">{text("A1", live.title, title)}</row>',
        f'<row r="2">{text("A2", how, hint)}</row>',
    ]
    third = "".join(text(f"{letters(i)}3", _inside(column), band) for i, column in enumerate(columns))
    fourth = "".join(text(f"{letters(i)}4", heading(column), head) for i, column in enumerate(columns))
    rows.append(f'<row r="3" ht="40" customHeight="1">{third}</row><row r="4" ht="66" customHeight="1">{fourth}</row>')
    return "".join(rows)
