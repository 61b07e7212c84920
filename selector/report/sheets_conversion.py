"""*Conversion review*: one block for each alternator used above the voltage it was made for, with live verdicts."""

from selector.cell import number_text
from selector.report.conversion_text import first_words, headline
from selector.report.numbers import lines, twelve
from selector.report.package import LINE, Formula, Sheet
from selector.report.result import Sources
from selector.report.sheets_bench import BAD, GOOD, NOT_READ
from selector.report.sheets_connections import NOT_HERE
from selector.report.styles import BARE, GIVEN, HEADER, SECTION, STATE, STRONG, TEXT, TITLE, number

WIDTHS = [30, 22, 34, 11, 11, 8, 11, 16, 46, 28]
STATES = {"pass": "✓ pass", "fail": "✗ fail", "unknown": "? unknown"}
HOW = ("Figures as picked. A yellow limit is not known: measure it and write it there, and its verdict follows; write what "
       "the meter reads beside each step.")  # fmt: skip
PLAIN, OPEN = number("about"), number("about", GIVEN)
"""Some four digits to read; the cells keep all of them, which verdicts need."""


def conversion_review(outcome, values_only):
    """The sheet; None where no alternator is converted."""
    if not outcome.reviews:
        return None
    page = _Page(values_only)
    page.sheet.add(("Conversion review", TITLE), height=21)
    page.sheet.hint("Figures as picked." if values_only else HOW)
    for review in outcome.reviews:
        page.sheet.add()
        page.section(headline(review))
        _changes(page, review)
        _components(page, review, Sources(outcome))
        _ladder(page, review)
        _steps(page, review, Sources(outcome))
        page.heads("Cautions")
        for caution in review.cautions:
            page.across(f"• {caution}")
    return page.sheet


class _Page:
    """Rows of the sheet, with the cells that run across several columns."""

    def __init__(self, values_only):
        self.sheet = Sheet("Conversion review", list(WIDTHS), head=2, freeze="A3", filtered=False, tab="8A5A00")
        self.values_only = values_only

    @property
    def next_row(self):
        return len(self.sheet.rows) + 1

    def section(self, text):
        self.sheet.add((text, SECTION), *[("", SECTION)] * (len(WIDTHS) - 1), height=16)

    def heads(self, *names, merges=()):
        self._merge(merges)
        cells = [(name, HEADER) for name in names]
        cells += [("", HEADER)] * (len(WIDTHS) - len(cells))
        self.sheet.add(*cells, height=15 if max(map(len, names)) < 30 else 28)

    def row(self, *cells, merges=()):
        """A row as tall as its longest text; ``merges`` are pairs of first and last column that run together."""
        wide = {first: sum(WIDTHS[first : last + 1]) for first, last in merges}
        texts = [(cell[0], wide.get(i, WIDTHS[i])) for i, cell in enumerate(cells) if cell and isinstance(cell[0], str)]
        self._merge(merges)
        if self.values_only:
            cells = [(c[0].value, c[1]) if c is not None and isinstance(c[0], Formula) else c for c in cells]
        self.sheet.add(*cells, height=LINE * max(lines(text, width - 1) for text, width in texts))

    def across(self, text):
        self._merge([(0, len(WIDTHS) - 1)])
        self.sheet.add((text, BARE), *[("", BARE)] * (len(WIDTHS) - 1), height=LINE * lines(text, sum(WIDTHS)))

    def _merge(self, merges):
        for first, last in merges:
            self.sheet.merges.append(f"{LETTERS[first]}{self.next_row}:{LETTERS[last]}{self.next_row}")


LETTERS = "ABCDEFGHIJ"


def _changes(page, review):
    across = ((3, 9),)
    page.heads("What is changed", "Before", "Now", "How it is worked out", merges=across)
    for change in review.changes:
        page.row((change["what"], STRONG), (change["before"], TEXT), (change["now"], TEXT), (change["how"], TEXT),
                 *[("", TEXT)] * 6, merges=across)  # fmt: skip
    page.sheet.add()


def _components(page, review, sources):
    page.heads(
        "Component", "Where", "What is compared", "Limit", "It sees", "Unit", "Margin [%]", "Verdict", "Note", "Source"
    )
    first = page.next_row
    for limit in review.by_weight:
        row = page.next_row
        known = limit.limit == limit.limit
        spare = number_text(limit.spare)
        both = f"COUNT(D{row}:E{row})=2"
        base = "D" if limit.of_limit else "E"
        margin = f'IF({both},100*(D{row}-E{row})/ABS({base}{row}),"{NOT_HERE}")'
        verdict = (
            f'IF({both},IF((D{row}-E{row})/ABS({base}{row})>={spare}-0.000000001,"{STATES["pass"]}","{STATES["fail"]}"),'
            f'"{STATES["unknown"]}")'
        )
        share = NOT_HERE if limit.margin is None else 100 * limit.margin
        code = f"{limit.code}: " if limit.code else ""
        page.row((limit.component, STRONG), (limit.where, TEXT), (f"{code}{limit.what}", TEXT),
                 (twelve(limit.limit), PLAIN if known else OPEN),
                 (twelve(limit.actual) if limit.actual == limit.actual else "unknown", PLAIN),
                 (limit.unit, TEXT), (Formula(margin, share), number("%")), (Formula(verdict, STATES[limit.status]), STATE),
                 (limit.note, TEXT), (sources.words(limit.source), TEXT))  # fmt: skip
    page.sheet.states.append(f"H{first}:H{page.next_row - 1}")
    page.sheet.add()


def _ladder(page, review):
    across = ((4, 9),)
    page.heads("What gives way first", "What it does there", "What it is", "At [V]", "", merges=across)
    for text in first_words(review):
        page.across(text)
    for step in review.ladder:
        known = step.voltage_v == step.voltage_v
        page.row((step.component, STRONG), (step.does, TEXT), (step.what, TEXT),
                 (twelve(step.voltage_v) if known else "unknown", PLAIN))  # fmt: skip
    page.sheet.add()


def _steps(page, review, sources):
    across = ((1, 2),)
    page.heads("To measure before use", "How", "", "Least", "Most", "Unit", "Did read", "Verdict", "Expected, and what to mind",
               "Source", merges=across)  # fmt: skip
    first = page.next_row
    for at, step in enumerate(review.steps, 1):
        row = page.next_row
        asked = f"AND(IF(COUNT(D{row})=1,G{row}>=D{row},1=1),IF(COUNT(E{row})=1,G{row}<=E{row},1=1))"
        verdict = (
            f'IF(COUNT(G{row})=0,"{NOT_READ}",IF(COUNT(D{row}:E{row})=0,"? note it",IF({asked},"{GOOD}","{BAD}")))'
        )
        page.row((f"{at}. {step.what}", STRONG), (step.how, TEXT), ("", TEXT), _figure(step.low),
                 _figure(step.high), (step.unit, TEXT), (None, OPEN),
                 (Formula(verdict, NOT_READ), STATE), (f"Expect {step.expected}. {step.caution}", TEXT),
                 (sources.words(step.source), TEXT), merges=across)  # fmt: skip
    page.sheet.states.append(f"H{first}:H{page.next_row - 1}")
    page.sheet.add()


def _figure(value):
    return (twelve(value), PLAIN) if value == value else (NOT_HERE, TEXT)
