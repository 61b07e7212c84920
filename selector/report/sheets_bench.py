"""*Bench checks*: what a meter should read at each place, a cell for what it did read, and a live verdict."""

from selector.cell import number_text
from selector.report.bench_checks import readings_of
from selector.report.numbers import lines, twelve
from selector.report.package import LINE, Formula, Sheet
from selector.report.result import Sources
from selector.report.sheets_connections import FIRST, HEAD, NOT_HERE
from selector.report.styles import GIVEN, HEADER, STATE, STRONG, TEXT, TITLE, number

WIDTHS = [20, 26, 22, 44, 9, 9, 9, 9, 7, 10, 16, 32]
HEADS = ("Connection", "Where", "What", "How", "At current [A]", "Should read", "Least", "Most", "Unit", "Did read",
         "Verdict", "Source")  # fmt: skip
NOT_READ, GOOD, BAD, OPEN = NOT_HERE + " not read", "✓ good", "✗ look into it", "? no limit"
HOW = ("Write what the meter reads into the yellow cells: the verdict follows. A drop follows the current beside it (write what "
       "flows), and wire and length on Connections.")  # fmt: skip
GIVEN_AT = ("given", "current_a", None, False)
UPPER_AT = ("given", "current_a", None, True)
DROP_AT = ("result", "voltage_drop_v")
EDITED, FLOWS = number("figure", GIVEN), number("A", GIVEN)


def bench_checks(outcome, plan, values_only):
    """A row for every reading."""
    sheet = Sheet("Bench checks", list(WIDTHS), head=HEAD, freeze=f"B{FIRST}", title_columns="A:A")
    sheet.add(("Bench checks", TITLE), height=21)
    sheet.hint("What each place should read. A verdict needs the live workbook." if values_only else HOW)
    sheet.add()
    sheet.add(*[(text, HEADER) for text in HEADS], height=28)
    rows = {entry.one.place: entry for entry in plan.entries}
    sources = Sources(outcome)
    for reading in readings_of(outcome):
        source = sources.words(reading.source)
        cells = _cells(plan, rows.get(reading.place), reading, len(sheet.rows) + 1, source)
        if values_only:
            cells = [(c[0].value, c[1]) if c is not None and isinstance(c[0], Formula) else c for c in cells]
        texts = zip((reading.name, reading.where, reading.what, reading.how, source),
                    (*WIDTHS[:4], WIDTHS[-1]), strict=True)  # fmt: skip
        sheet.add(*cells, height=LINE * max(lines(text, width - 1) for text, width in texts))
    if len(sheet.rows) > HEAD:
        sheet.states.append(f"K{FIRST}:K{len(sheet.rows)}")
    return sheet


def _cells(plan, entry, reading, row, source):
    look = number(reading.unit if reading.at_a == reading.at_a else "figure")
    at, expected, low, high = reading.at_a, reading.expected, reading.low, reading.high
    figures = [_figure(value, look) for value in (expected, low, high)]
    current = (NOT_HERE, TEXT) if at != at else (twelve(at), FLOWS)
    if at == at and expected == expected and at > 0:
        stated, per_amp, expected = _base(plan, entry, reading)
        current = (stated, FLOWS)
        low, high = (expected * factor / reading.expected for factor in (low, high))
        figures = [
            (Formula(f"{_times(value, expected)}E{row}*{per_amp}", twelve(value)), look) if value == value
            else (NOT_HERE, TEXT)
            for value in (expected, low, high)
        ]  # fmt: skip
    return [
        (reading.name, STRONG), (reading.where, TEXT), (reading.what, TEXT), (reading.how, TEXT), current, *figures,
        (reading.unit, TEXT), (None, EDITED),
        (Formula(verdict(row), OPEN if low != low and high != high else NOT_READ), STATE), (source, TEXT),
    ]  # fmt: skip


def _times(part, whole):
    return "" if part == whole else f"{number_text(round(part / whole, 12))}*"


def _base(plan, entry, reading):
    """Current as it is first shown, volts an ampere loses on the part of the way that is read, and their product now."""
    shown = None if entry is None else entry.cells.get("voltage_drop_v")
    if reading.flows == reading.flows and reading.live and shown is not None and not isinstance(shown, str):
        drop = f"{number_text(reading.share)}*{plan.address(DROP_AT, entry.row)}"
        per_amp = f"{drop}/{_given_current(plan, entry)}"
        return twelve(reading.flows), per_amp, shown * reading.share * reading.flows / reading.at_a
    if not reading.live or shown is None or isinstance(shown, str) or GIVEN_AT not in plan.letters:
        return twelve(reading.at_a), number_text(reading.expected / reading.at_a), reading.expected
    drop = f"{number_text(reading.share)}*{plan.address(DROP_AT, entry.row)}"
    value = shown * reading.share
    given = _given_current(plan, entry)
    return Formula(given, twelve(reading.at_a)), f"{drop}/{given}", value


def _given_current(plan, entry):
    cells = [plan.address(key, entry.row) for key in (GIVEN_AT, UPPER_AT) if key in plan.letters]
    return cells[0] if len(cells) == 1 else f"MAX({','.join(cells)})"


def _figure(value, look):
    return (twelve(value), look) if value == value else (NOT_HERE, TEXT)


def verdict(row):
    """The verdict on a reading: within least and most, as far as there are such."""
    asked = f"AND(IF(COUNT(G{row})=1,J{row}>=G{row},1=1),IF(COUNT(H{row})=1,J{row}<=H{row},1=1))"
    return f'IF(COUNT(G{row}:H{row})=0,"{OPEN}",IF(COUNT(J{row})=0,"{NOT_READ}",IF({asked},"{GOOD}","{BAD}")))'
