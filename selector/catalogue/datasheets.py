"""Datasheets as they come -> grids of text: CSV of any dialect, workbooks, tables in PDF.

A grid is not a table yet: titles, notes and heads of several rows are still in it. ``mapping`` finds its way in.
"""

import csv
import io
import re
from dataclasses import dataclass, field
from pathlib import Path

from selector.catalogue.encoding import NotText, decode, plain
from selector.errors import Problem, TableError, UsageError, quoted

_DELIMITERS = (",", ";", "\t", "|")
_MOST_CELLS = 2_000_000
ERRORS = ("#N/A", "#REF!", "#DIV/0!", "#VALUE!", "#NAME?", "#NUM!", "#NULL!")


@dataclass
class Grid:
    """One table-like area of a datasheet.

    label : the file and sheet or page as shown
    rows : cells as text, all rows of the same length
    places : where each row stands, "line 4", "row 4", "page 2 row 4"
    loose : texts around the table, where footnotes may stand
    remarks : row index -> what is to be said of that row
    doubtful : numbers stored as text that may be thousands or decimals
    points : whether the decimal mark is known to be a point, numbers being stored as such
    notes : what was assumed on reading
    """

    label: str
    rows: list = field(default_factory=list)
    places: list = field(default_factory=list)
    loose: list = field(default_factory=list)
    remarks: dict = field(default_factory=dict)
    doubtful: set = field(default_factory=set)
    points: bool = False
    delimiter: str = ""
    notes: list = field(default_factory=list)

    def squared(self):
        """The grid with rows of equal length and columns that hold something."""
        width = max(map(len, self.rows), default=0)
        self.rows = [row + [""] * (width - len(row)) for row in self.rows]
        used = [i for i in range(width) if any(row[i] for row in self.rows)]
        self.rows = [[row[i] for i in used] for row in self.rows]
        return self


def read_datasheet(path, sheet=None, encoding=None):
    """The grids of a datasheet.

    Parameters
    ----------
    path : a .csv (or other text), .xlsx or .pdf file
    sheet : name of the worksheet to read; every sheet otherwise
    encoding : of a text file, where the user states it

    Raises `UsageError` where there is no such file, `TableError` where nothing in it can be read.
    """
    path = Path(path)
    if not path.exists():
        raise UsageError(f"{path}: no such file")
    if not path.is_file():
        raise UsageError(f"{path}: not a file")
    try:
        data = path.read_bytes()
    except OSError as error:
        raise cannot(path.name, None, f"the file cannot be read: {error.strerror or error}", "") from None
    if not data:
        raise cannot(path.name, None, "the file is empty", "")
    if data.startswith(b"%PDF") or path.suffix.lower() == ".pdf":
        from selector.catalogue.datasheets_pdf import read_pdf

        grids = read_pdf(path)
    elif data.startswith(b"PK\x03\x04"):
        grids = _workbook(path, sheet)
    else:
        grids = [_text(path.name, data, encoding)]
    grids = [grid.squared() for grid in grids]
    return [grid for grid in grids if grid.rows]


def cannot(label, line, found, expected):
    """The error for a datasheet, or a part of it, that cannot be read."""
    return TableError("datasheet cannot be read", [Problem(label, line, "", found, expected)])


def _text(label, data, encoding):
    try:
        text, note = decode(data, encoding)
    except NotText as error:
        raise cannot(label, error.args[1], error.args[0], "Give CSV, .xlsx or PDF.") from None
    grid = Grid(label, notes=[note] if note else [])
    lines = text.splitlines(keepends=True)
    skip = 0
    stated = re.fullmatch(r'"?sep=(.|\\t)"?', lines[0].strip("\r\n")) if lines else None
    if stated:
        delimiter, skip = {"\\t": "\t"}.get(stated[1], stated[1]), 1
    else:
        delimiter = _delimiter(text)
    reader = csv.reader(io.StringIO("".join(lines[skip:]), newline=""), delimiter=delimiter, skipinitialspace=True)
    before = 0
    try:
        for cells in reader:
            line, before = before + 1 + skip, reader.line_num
            cells = [_clean(cell) for cell in cells]
            if any(cells) and not (cells[0].startswith("#") and not re.match(r"#\d|#[A-Z/0?!]+$", cells[0])):
                grid.rows.append(cells)
                grid.places.append(f"line {line}")
    except csv.Error as error:
        raise cannot(label, reader.line_num, f"the text cannot be taken apart: {error}", "Close every quote.") from None
    if delimiter != ",":
        names = {";": "semicolons", "\t": "tabs", "|": "bars"}
        grid.notes.append(f"cells parted by {names.get(delimiter, quoted(delimiter))}")
    grid.delimiter = delimiter
    return grid


def _clean(cell):
    return " ".join(plain(cell.strip()).split())


def _delimiter(text):
    """The delimiter under which most rows have the same number of cells, more than one."""
    best, best_score = ",", 0.0
    for delimiter in _DELIMITERS:
        try:
            rows = list(csv.reader(io.StringIO(text[:200_000], newline=""), delimiter=delimiter, skipinitialspace=True))
        except csv.Error:
            continue
        widths = [len(row) for row in rows if any(cell.strip() for cell in row)]
        if not widths:
            continue
        usual = max((w for w in set(widths) if w > 1), key=lambda w: (widths.count(w), w), default=1)
        if usual == 1:
            continue
        score = widths.count(usual) / len(widths) + min(usual, 30) / 100
        if score > best_score:
            best, best_score = delimiter, score
    return best


def _workbook(path, sheet):
    import zipfile

    import openpyxl

    try:
        with zipfile.ZipFile(path) as archive:
            if sum(part.file_size for part in archive.infolist()) > 500 * 1024 * 1024:
                raise cannot(path.name, None, "the workbook unpacks to more than 500 MB", "Split it.")
        book = openpyxl.load_workbook(path, data_only=True)
        formulas = openpyxl.load_workbook(path)
    except TableError:
        raise
    except Exception as error:
        raise cannot(
            path.name, None, f"this is not an .xlsx workbook, or half of it is missing ({type(error).__name__})", ""
        ) from None
    names = [worksheet.title for worksheet in book.worksheets]
    if sheet is not None and sheet.casefold().strip() not in {name.casefold().strip() for name in names}:
        raise UsageError(f"--sheet: {quoted(sheet)} is not a sheet of {path.name}; it has {', '.join(names)}")
    grids = []
    for worksheet in book.worksheets:
        if sheet is not None and worksheet.title.casefold().strip() != sheet.casefold().strip():
            continue
        if sheet is None and worksheet.sheet_state != "visible":
            grids.append(
                Grid(f"{path.name}:{worksheet.title}", notes=["a hidden sheet, not read; name it with --sheet"])
            )
            continue
        grids.append(_worksheet(path.name, worksheet, formulas[worksheet.title]))
    return [grid for grid in grids if grid.rows]


def _worksheet(name, worksheet, formulas):
    grid = Grid(f"{name}:{worksheet.title.strip()}", points=True)
    if worksheet.max_row * worksheet.max_column > _MOST_CELLS:
        raise cannot(grid.label, None, "the sheet is larger than two million cells", "Remove what is not the table.")
    filled = {}
    for merged in worksheet.merged_cells.ranges:
        first = worksheet.cell(merged.min_row, merged.min_col)
        for row in range(merged.min_row, merged.max_row + 1):
            for column in range(merged.min_col, merged.max_col + 1):
                filled[row, column] = first
    for number, row in enumerate(worksheet.iter_rows(), 1):
        cells = []
        for cell in row:
            source = filled.get((cell.row, cell.column), cell)
            text = _cell(source)
            if isinstance(source.value, str) and re.fullmatch(r"[+-]?[1-9]\d{0,2}(?:[.,]\d{3})+", text):
                grid.doubtful.add(text)
            if source.value is None and formulas.cell(source.row, source.column).data_type == "f":
                text = "#formula"
            cells.append(text)
        if not any(cells):
            continue
        if worksheet.row_dimensions[number].hidden:
            grid.remarks[len(grid.rows)] = "a hidden row of the sheet"
        if any(cell.font is not None and cell.font.strike for cell in row if cell.value is not None):
            grid.remarks[len(grid.rows)] = "!struck out in the sheet"
        grid.rows.append(cells)
        grid.places.append(f"row {number}")
    return grid


def _cell(cell):
    """A stored value as somebody would type it; a percentage and a date say so."""
    import datetime

    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
            value = int(value)
        if "%" in (cell.number_format or ""):
            return f"{round(value * 100, 10):.15g} %"
        unit = re.search(r'"\s*([^"]+?)\s*"', cell.number_format or "")
        text = repr(value) if isinstance(value, int) else f"{value:.15g}"
        return f"{text} {unit[1]}" if unit and re.match(r"[^\W\d]", unit[1]) else text
    if isinstance(value, datetime.datetime | datetime.date):
        return f"{value:%Y-%m-%d}"
    return _clean(str(value))
