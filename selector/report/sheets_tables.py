"""The *Tables used* sheet: every candidate of the families a project uses, with the columns its live cells read."""

from selector import glossary
from selector.report.live import ROW, letters
from selector.report.live_cells import NONE, TABLES
from selector.report.package import Sheet, cell_of, cell_text, hint_reach, row_text, rows_text
from selector.report.styles import HEADER, PLAIN, SECTION, TITLE, number
from selector.units import UNITS, find_unit, split_header

FIRST_NUMBER = 4
WORDS_OF_STATUS = {"memory": "from memory: confirm", "read": "read", "computed": "computed", "measured": "measured"}
HOW = (
    "The parts the drop-downs on Connections offer and the values the live cells look up. An empty cell is unknown, "
    "never zero. Change a part's data in the program's tables, not here. Not for paper: only this heading is in its print area."
)
ALSO_IN = {"wires": ("conductors.csv", "insulations.csv", "materials.csv")}


class TablesUsed:
    """Where each family's parts and columns stand; a column is placed the first time it is asked for."""

    def __init__(self, outcome, families):
        self.outcome = outcome
        self.candidates = {family: outcome.candidates[family] for family in families}
        self.start, self._columns = {}, {family: {} for family in families}
        row = 4
        for family in families:
            self.start[family] = row + 2
            row += 2 + len(self.candidates[family]) + 2

    def keys(self, family):
        first = self.start[family]
        return f"'{TABLES}'!$A${first}:$A${first + len(self.candidates[family])}"

    def has_wildcards(self, family):
        return any(sign in key for key in self.candidates[family].keys for sign in "*?~")

    def column(self, family, name, step=None):
        """Range of a column's cells, with scale and offset from what is shown to the inner unit."""
        columns = self._columns[family]
        if (name, step) not in columns:
            columns[name, step] = FIRST_NUMBER + len(columns)
        letter = letters(columns[name, step])
        first = self.start[family]
        unit = self.unit(family, name)[1]
        area = f"'{TABLES}'!${letter}${first}:${letter}${first + len(self.candidates[family])}"
        return area, unit.scale, unit.offset

    def unit(self, family, name):
        """Header words and unit in which a column is shown: as the table's own header has it, else by the glossary."""
        catalogue = self.outcome.catalogue
        own = name.removeprefix("metal_")
        for file in (self.candidates[family].table, *ALSO_IN.get(family, ())):
            header = catalogue.headers.get(file, {}).get(own)
            if header is not None and name not in glossary.NAMES:
                words, unit = split_header(header)
                return (f"metal: {words}" if name != own else words), find_unit(unit) if unit else UNITS[""]
        entry = glossary.entry(name)
        return entry.label, _unit("degC" if entry.unit == "K" and name.endswith("_k") else entry.unit)

    def header(self, family, name, step):
        words, unit = self.unit(family, name)
        shown = unit.name or glossary.entry(name).unit
        if not shown and self._is_yes_no(family, name):
            shown = glossary.YES
        point = "" if step is None else f", point {step + 1}"
        return f"{words}{point} [{shown}]" if shown else f"{words}{point}"

    def _is_yes_no(self, family, name):
        values = self.candidates[family].columns[name]
        return not isinstance(values, tuple) and all(value in (0.0, 1.0) or value != value for value in values.tolist())

    def sheet(self):
        width = FIRST_NUMBER + max((len(columns) for columns in self._columns.values()), default=0)
        sheet = Sheet(TABLES, [36, 13, 21, 28] + [12] * (width - FIRST_NUMBER), freeze="B4", title_columns="A:A")
        sheet.paper = f"A1:{letters(hint_reach(sheet.widths, 1)[0])}2"
        sheet.add(("Tables used", TITLE), height=21)
        sheet.hint(HOW, 1)
        sheet.add()
        sheet.size = (3 + sum(len(own) + 4 for own in self.candidates.values()), width)
        sheet.chunks = lambda styles: list(self._chunks(sheet.rows, styles))
        return sheet

    def _chunks(self, head, styles):
        """Row text. Most cells of a workbook stand here and few of a column differ: each is put into words once."""
        yield from rows_text(head, styles)
        for family, candidates in self.candidates.items():
            columns, first = self._columns[family], self.start[family]
            title = f"{candidates.table.removesuffix('.csv')} ({len(candidates)} parts)"
            titles = [(title if i == 0 else "", SECTION) for i in range(FIRST_NUMBER + len(columns))]
            heads = ["part", "size", "status", "source", *(self.header(family, *key) for key in columns)]
            yield row_text(first - 2, titles, styles)
            yield row_text(first - 1, [(head, HEADER) for head in heads], styles, 68)
            statuses = [WORDS_OF_STATUS.get(status, "") for status in candidates.statuses]
            words = (candidates.keys, candidates.sizes, statuses, candidates.sources)
            cells = [_words(letters(at), texts, styles) for at, texts in enumerate(words)]
            cells += [self._numbers(letters(at), family, *key, styles) for key, at in columns.items()]
            yield "".join([
                f'<row r="{ROW}">{"".join(own)}</row>'.replace(ROW, str(row))
                for row, own in enumerate(zip(*cells, strict=True), first)
            ])  # fmt: skip
            last = first + len(candidates)
            yield row_text(last, [(NONE, PLAIN), ("no part wanted", PLAIN)], styles)
            yield row_text(last + 1, [], styles)

    def _numbers(self, letter, family, name, step, styles):
        """Cells of a column in the unit it is shown in, with `ROW` for the row; no cell where a number is unknown."""
        values = self.candidates[family].columns[name]
        values = (values if step is None else values[step]).tolist()
        unit = self.unit(family, name)[1]
        look = number("band" if name == "rule_ambients_k" else None)
        known = {value for value in values if value == value}
        cells = {
            value: cell_text(f"{letter}{ROW}", unit.from_inner(value), styles[look], styles.strings) for value in known
        }
        return [cells.get(value, "") for value in values]


def _words(letter, texts, styles):
    """Cells of a column of words, with `ROW` for the row."""
    cells = {text: cell_of(f"{letter}{ROW}", text or "", PLAIN, styles) for text in dict.fromkeys(texts)}
    return [cells[text] for text in texts]


def _unit(text):
    """A unit of the program, or the bare number for words such as ``share``."""
    return UNITS.get(text, UNITS[""]) if text else UNITS[""]
