"""Sheets as data, written into a workbook package: openpyxl for looks and set-up, row text for the cells.

openpyxl stores no results beside formulas and takes half a millisecond a row; so it writes the package with empty
sheets, and the rows are put in as text, with fixed dates, so that the same input gives the same bytes.
"""

import contextlib
import io
import itertools
import math
import os
import re
import tempfile
import zipfile
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from selector.errors import OutputError
from selector.report.live import CONNECTION, ROW, letters
from selector.report.numbers import lines
from selector.report.styles import HINT, WORDS, Styles, quoted

LONGEST_TEXT = 32767
LINE = 13.5
"""Points a line of words is high."""
WIDEST_PAGE, WIDEST_HINT = 215, 150
"""Characters across A4 on its side at 7 points or more, and across a line of words."""
TALLEST = 409.0
"""Points a row may be high."""
STRINGS = "xl/sharedStrings.xml"
_DATE = (1980, 1, 1, 0, 0, 0)
_WHEN = "2000-01-01T00:00:00Z"
_BAD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
_ROW, _CONNECTION = ROW.encode(), CONNECTION.encode()
_LIKE_A_FORMULA = ("=", "+", "-", "@")
_ESCAPE = re.compile("_(?=x[0-9A-Fa-f]{4}_)")
_CORE = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<cp:coreProperties '
    'xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties" '
    'xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/" '
    'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><dc:title>{title}</dc:title>'
    "<dc:creator>selector</dc:creator>"
    '<dcterms:created xsi:type="dcterms:W3CDTF">{when}</dcterms:created>'
    '<dcterms:modified xsi:type="dcterms:W3CDTF">{when}</dcterms:modified></cp:coreProperties>'
)
_APP = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<Properties '
    'xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties">'
    "<Application>selector</Application></Properties>"
)
_STRINGS = (
    '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" uniqueCount="{count}">'
)
_DECLARED = {
    "[Content_Types].xml": (
        "</Types>", f'<Override PartName="/{STRINGS}" '
        'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/>'
    ),
    "xl/_rels/workbook.xml.rels": (
        "</Relationships>", f'<Relationship Id="strings" Target="/{STRINGS}" '
        'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings"/>'
    ),
}  # fmt: skip
"""Where the part of the strings is told of, which openpyxl does not write."""


@dataclass(frozen=True)
class Formula:
    """A formula with the result stored beside it; a result of None or NaN is stored as #N/A."""

    text: str
    value: object


@dataclass
class Row:
    """Cells of a row as (value, look) pairs or None; ``height`` in points."""

    cells: list
    height: float | None = None


@dataclass
class Sheet:
    """One sheet.

    head : number of the row the column headers stand in (0 for none); filters and repeated rows follow from it
    freeze : cell below and right of what stays in view; title_columns : columns repeated on paper, as "A:B"
    lists : (cell range, source range) of the drop-downs; states : cell ranges whose words carry a sign
    chunks : function of the styles that gives ready row text, or its bytes, in place of rows, for long sheets
    paper : cells that are printed, where a sheet is not for paper
    """

    title: str
    widths: list
    rows: list = field(default_factory=list)
    head: int = 0
    freeze: str | None = None
    filtered: bool = True
    title_columns: str | None = None
    pages_wide: int = 1
    lists: list = field(default_factory=list)
    states: list = field(default_factory=list)
    merges: list = field(default_factory=list)
    chunks: object = None
    size: tuple = (0, 0)
    tab: str | None = None
    paper: str | None = None

    def add(self, *cells, height=None):
        self.rows.append(Row(list(cells), height))

    def hint(self, text, first=0):
        """A line of words across the columns of one printed page from ``first`` on, as tall as it needs to be."""
        last, wide = hint_reach(self.widths, first)
        row = len(self.rows) + 1
        self.add(*[None] * first, (text, HINT), height=LINE * lines(text, wide))
        if last > first:
            self.merges.append(f"{letters(first)}{row}:{letters(last)}{row}")

    def pages_for(self, repeated=0):
        """How many pages side by side keep the words legible; ``repeated`` columns stand on each."""
        again = sum(self.widths[:repeated])
        return max(1, math.ceil((sum(self.widths) - again) / (WIDEST_PAGE - again)))

    @property
    def extent(self):
        if self.chunks is not None:
            return self.size
        return len(self.rows), max((len(row.cells) for row in self.rows), default=0)


def hint_reach(widths, first=0):
    """(last column, width) of the columns a hint runs across: no further than one legible page."""
    wide, last = widths[first], first
    while last + 1 < len(widths) and wide + widths[last + 1] <= WIDEST_HINT:
        last += 1
        wide += widths[last]
    return last, wide


def clean(text):
    """User text fit for a cell: no control characters, nothing that reads as an escape, not too long."""
    text = str(text)
    if not text.isprintable():  # nothing that is bad can be printed
        text = _BAD.sub("", text)
    if "_x" in text:
        text = _ESCAPE.sub("_x005F_", text)
    return text[:LONGEST_TEXT]


def escape(text):
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


@lru_cache(maxsize=10000)
def words(text):
    """User text as a cell holds it; the same words stand in many cells."""
    return escape(clean(text))


def result_parts(value):
    """Type attribute and text of a stored result."""
    if isinstance(value, str):
        return ' t="str"', words(value)
    if value is None or not math.isfinite(value):
        return ' t="e"', "#N/A"
    return "", repr(float(value))


class Strings(dict):
    """The words of a workbook's cells, each kept once: text -> its number as the cells hold it, given as it is asked for."""

    def __missing__(self, text):
        number = self[text] = str(len(self))
        return number

    def part(self):
        """The part of the package the numbers point into."""
        yield _STRINGS.format(count=len(self))
        yield "".join([f'<si><t xml:space="preserve">{words(text)}</t></si>' for text in self])
        yield "</sst>"


def cell_text(place, value, style, strings):
    """One cell as row text."""
    if isinstance(value, str):
        return f'<c r="{place}" s="{style}" t="s"><v>{strings[value]}</v></c>'
    if isinstance(value, Formula):
        kind, result = result_parts(value.value)
        return f'<c r="{place}" s="{style}"{kind}><f>{escape(value.text)}</f><v>{result}</v></c>'
    if value is None or (isinstance(value, float) and not math.isfinite(value)):
        return f'<c r="{place}" s="{style}"/>'
    return f'<c r="{place}" s="{style}"><v>{float(value)!r}</v></c>'


def cell_of(place, value, look, styles):
    """One cell as row text; words that begin like a formula stay words when they are edited."""
    if isinstance(value, str) and value.startswith(_LIKE_A_FORMULA):
        look = quoted(look)
    return cell_text(place, value, styles[look], styles.strings)


class RowTemplate:
    """Row text with gaps, `ROW` and `CONNECTION`, held as the bytes of the file: a sign beside ASCII doubles a text's size."""

    def __init__(self, text, gap):
        self._text = text.replace("%", "%%").replace(gap, "%b").encode()

    def filled(self, row, connection, values):
        """The row with these numbers for its own row and that on *Connections*, and ``values`` in the gaps."""
        text = self._text.replace(_ROW, b"%d" % row).replace(_CONNECTION, b"%d" % connection)
        return text % tuple([value.encode() for value in values])


def rows_text(rows, styles):
    """Chunks of row text of many rows."""
    chunk = []
    for number, row in enumerate(rows, 1):
        chunk.append(row_text(number, row.cells, styles, row.height))
        if len(chunk) > 500:
            yield "".join(chunk)
            chunk = []
    yield "".join(chunk)


def row_text(number, cells, styles, height=None):
    """One row as text."""
    tall = f' ht="{min(height, TALLEST):g}" customHeight="1"' if height else ""
    pieces = [
        cell_of(f"{name}{number}", *cell, styles)
        for name, cell in zip(_names(len(cells)), cells, strict=True)
        if cell is not None
    ]
    return f'<row r="{number}"{tall}>{"".join(pieces)}</row>'


@lru_cache
def _names(count):
    return [letters(i) for i in range(count)]


def write(sheets, path, title):
    """Write the sheets to ``path`` in one step; the old file stays whole where anything goes wrong."""
    path = Path(os.path.realpath(path))
    temporary = None
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{path.stem[:40]}-", suffix=".part", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            _package(sheets, file, title)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o666 & ~_mask())
        os.replace(temporary, path)
        temporary = None
    except OSError as error:
        reason = error.strerror or str(error)
        raise OutputError(f"{path}: the workbook could not be written ({reason}); nothing was replaced.") from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                os.unlink(temporary)


def _mask():
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _package(sheets, file, title):
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    styles = Styles(book, Strings())
    pages = {}
    for number, sheet in enumerate(sheets, 1):
        _set_up(book.create_sheet(sheet.title), sheet)
        pages[f"xl/worksheets/sheet{number}.xml"] = sheet
    ready = {
        sheet.title: list(rows_text(sheet.rows, styles)) if sheet.chunks is None else sheet.chunks(styles)
        for sheet in sheets
    }
    styles.done()
    book.calculation.fullCalcOnLoad = True
    shell = io.BytesIO()
    book.save(shell)
    with zipfile.ZipFile(shell) as source, zipfile.ZipFile(file, "w") as target:
        names = [name for name in source.namelist() if name != STRINGS]
        for name in (*names, STRINGS):  # the strings last: rows that are written add to them
            info = zipfile.ZipInfo(name, _DATE)
            info.compress_type = zipfile.ZIP_DEFLATED
            info._compresslevel = 1  # ty: ignore[missing-attribute]
            info.external_attr = 0o600 << 16
            with target.open(info, "w", force_zip64=True) as out:
                for piece in _pieces(name, source, pages, ready, title, styles.strings):
                    out.write(piece.encode("utf-8") if isinstance(piece, str) else piece)


def _pieces(name, source, pages, ready, title, strings):
    if name == STRINGS:
        return strings.part()
    if name == "docProps/core.xml":
        return [_CORE.format(title=words(title), when=_WHEN)]
    if name == "docProps/app.xml":
        return [_APP]
    sheet = pages.get(name)
    if sheet is None:
        text = source.read(name).decode("utf-8")
        end, entry = _DECLARED.get(name, ("", ""))
        return [text.replace(end, entry + end) if end and STRINGS not in text else text]
    return _sheet_pieces(source.read(name).decode("utf-8"), sheet, ready[sheet.title])


def _sheet_pieces(shell, sheet, ready):
    rows, columns = sheet.extent
    area = f"A1:{letters(max(columns, 1) - 1)}{max(rows, 1)}"
    shell = re.sub(r'<dimension ref="[^"]*"', f'<dimension ref="{area}"', shell, count=1)
    before, after = re.split(r"<sheetData\s*/>|<sheetData>\s*</sheetData>", shell, maxsplit=1)
    yield before
    yield "<sheetData>"
    yield from ready
    yield "</sheetData>"
    yield after


def _set_up(page, sheet):
    """Widths, panes, filters, drop-downs and the printed page of one sheet."""
    from openpyxl.formatting.rule import FormulaRule
    from openpyxl.styles import PatternFill
    from openpyxl.worksheet.cell_range import CellRange
    from openpyxl.worksheet.datavalidation import DataValidation
    from openpyxl.worksheet.properties import PageSetupProperties

    rows, columns = sheet.extent
    start = 0
    for width, same in itertools.groupby(sheet.widths):
        end = start + len(list(same))
        column = page.column_dimensions[letters(start)]
        column.width, column.min, column.max = width, start + 1, end
        start = end
    if sheet.freeze:
        page.freeze_panes = sheet.freeze
    if sheet.tab:
        page.sheet_properties.tabColor = sheet.tab
    if sheet.head and sheet.filtered and rows > sheet.head:
        page.auto_filter.ref = f"A{sheet.head}:{letters(columns - 1)}{rows}"
    if sheet.head:
        page.print_title_rows = f"1:{sheet.head}" if sheet.head < 3 else f"{sheet.head}:{sheet.head}"
    if sheet.title_columns:
        page.print_title_cols = sheet.title_columns
    if sheet.paper:
        page.print_area = sheet.paper
    for cells, source in sheet.lists:
        choice = DataValidation(type="list", formula1=source, allow_blank=True, showErrorMessage=True, sqref=cells)
        choice.errorTitle, choice.error = "Not in the tables", "Choose a part of the list, or none."
        page.add_data_validation(choice)
    for cells in sheet.states:
        corner = cells.split(":")[0].split()[0]
        for sign, colour in WORDS:
            fill = PatternFill("solid", start_color=colour, end_color=colour)
            page.conditional_formatting.add(cells, FormulaRule([f'LEFT({corner},1)="{sign}"'], fill=fill))
    page.merged_cells.ranges.update(map(CellRange, sheet.merges))
    page.page_setup.orientation = "landscape"
    page.page_setup.paperSize = 9
    page.page_setup.fitToWidth = sheet.pages_wide
    page.page_setup.fitToHeight = 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    margins = page.page_margins
    margins.left = margins.right = 0.4
    margins.top, margins.bottom, margins.footer = 0.5, 0.75, 0.35
    page.oddFooter.left.text = "&A"
    page.oddFooter.right.text = "Page &P of &N"
    page.sheet_view.showGridLines = False
