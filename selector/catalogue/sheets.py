"""Files people saved -> sheets: a header, rows of text, and the line each row stands on."""

import csv
import datetime
import io
import re
import zipfile
import zlib
from dataclasses import dataclass, field
from pathlib import Path

from selector.catalogue.encoding import NotText, decode, plain
from selector.errors import Problems, SelectorError, UsageError, quoted
from selector.units import fold, split_header

LARGEST_FILE = 50 * 1024 * 1024
LONGEST_CELL = 32_767
_LARGEST_UNPACKED = 500 * 1024 * 1024
_DELIMITERS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_ERRORS = ("#N/A", "#REF!", "#DIV/0!", "#VALUE!", "#NAME?", "#NUM!", "#NULL!")
# A remark starts with #; a machine screw (#10) and an error cell (#N/A) do not make one.
_REMARK = re.compile(r"#(?!\d|N/A|REF!|DIV/0!|VALUE!|NAME\?|NUM!|NULL!)")
_COMMA_NUMBER = re.compile(r"[+-]?(?:\d{1,3}(?:\.\d{3})+|\d*),\d+(?:[eE][+-]?\d+)?(?: ?[^\d\s.,;]\S*)?")
_POINT_NUMBER = re.compile(r"[+-]?\d*\.\d+(?:[eE][+-]?\d+)?(?: ?[^\d\s.,;]\S*)?")
_GROUPED = re.compile(r"[+-]?[1-9]\d{0,2}(?:\.\d{3})+(?: ?[^\d\s.,;]\S*)?")


@dataclass
class Sheet:
    """One file or worksheet as text.

    label : the file as shown, "connections.csv" or "boat.xlsx:connections"
    header : header texts as written
    rows : cells as text, every row as long as the header
    lines : first line of each row, as an editor or a spreadsheet counts
    decimal : the decimal mark of the file, "." or ","
    note : what was assumed on reading it; empty for plain UTF-8 with commas and points
    """

    label: str
    header: list[str] = field(default_factory=list)
    rows: list[list[str]] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)
    decimal: str = "."
    note: str = ""


def read_csv(path, encoding=None, *, label=None, known=(), problems=None):
    """Read a CSV file of any locale.

    Parameters
    ----------
    path : the file
    encoding : its encoding where the user states it
    label : its name in messages; its own name by default
    known : header words expected; they settle which delimiter splits the header
    problems : collection to add to; without one the problems are raised as ``SelectorError``
    """
    path = Path(path)
    found = Problems() if problems is None else problems
    sheet = Sheet(label or path.name)
    data = _bytes_of(path, sheet.label, found)
    if data is not None:
        _fill(sheet, data, encoding, known, found)
    if problems is None:
        found.raise_if_any(SelectorError)
    return sheet


def _bytes_of(path, label, problems):
    """Bytes of a file that can be read; a missing one is a usage error."""
    try:
        if not path.exists() and not path.is_symlink():
            raise UsageError(f"{label}: no such file")
        if not path.exists():
            problems.add(label, None, "", "this is a link to a file that is not there", "Mend the link or remove it.")
            return None
        if path.is_dir():
            problems.add(label, None, "", "this is a folder, not a file", "Name a file.")
        elif not path.is_file():
            problems.add(label, None, "", "this is not a regular file", "Name a file.")
        elif path.stat().st_size > LARGEST_FILE:
            problems.add(label, None, "", f"the file is larger than {LARGEST_FILE // 2**20} MB", "Split it, or check "
                         "that it is the file you meant.")  # fmt: skip
        else:
            return path.read_bytes()
    except PermissionError:
        problems.add(label, None, "", "the file may not be read", "Give yourself the right to read it.")
    except OSError as error:
        problems.add(label, None, "", f"the file cannot be read: {error.strerror or error}", "Check the disk.")
    return None


def _fill(sheet, data, encoding, known, problems):
    try:
        text, note = decode(data, encoding)
    except NotText as error:
        found, line = error.args
        problems.add(sheet.label, line, "", found, "Save it as CSV text, best in UTF-8.")
        return
    control = re.search(r"[\x00-\x08\x0e-\x19\x1b-\x1f]", text)
    if control:
        line = text[: control.start()].count("\n") + 1
        problems.add(sheet.label, line, "", f"a control character ({control[0]!r})", "Save it as CSV text.")
        return
    before = len(problems)
    notes = [note] if note else []
    lines = list(io.StringIO(text, newline=""))
    delimiter, skip = _stated_delimiter(lines)
    if delimiter is None:
        delimiter = _find_delimiter(lines, known)
    if delimiter != ",":
        notes.append(f"cells parted by {_DELIMITERS.get(delimiter, quoted(delimiter))}")
    remarks = []
    records = _records(sheet.label, lines, skip, delimiter, problems, remarks)
    if remarks:
        notes.append(f"{len(remarks)} line{'s' if len(remarks) > 1 else ''} starting with # left out as remarks")
    if not _take(sheet, records, problems) and len(problems) == before:
        problems.add(sheet.label, None, "", "the file is empty", "Its first row names the columns.")
    _broken_off(sheet, lines, records, problems)
    if delimiter != "," and _decimal_comma(sheet):
        sheet.decimal = ","
        notes.append("numbers with a decimal comma")
    elif delimiter == ";":
        _thousands_or_fractions(sheet, problems)
    sheet.note = "; ".join(notes)


def _broken_off(sheet, lines, records, problems):
    """A last row that is too short and has no line end: half a file, whose last number may be half a number."""
    if len(records) < 2 or lines[-1].endswith(("\n", "\r")):
        return
    line, cells = records[-1]
    if sheet.lines and line == sheet.lines[-1] and len(cells) < len(sheet.header):
        problems.add(sheet.label, line, "", f"the file breaks off here: {len(cells)} of {len(sheet.header)} cells and no "
                     "line end", "Fetch the whole file, or end the row.")  # fmt: skip


def _stated_delimiter(lines):
    """The delimiter of a first line such as ``sep=;`` and the number of lines that takes."""
    match = re.fullmatch(r"sep=(.|\\t|)", lines[0].strip('\r\n"') if lines else "", re.IGNORECASE)
    if match:
        return {"\\t": "\t", "": ","}.get(match[1], match[1]), 1
    return None, 0


def _find_delimiter(lines, known):
    """The delimiter that splits the header into most known names, then into most cells."""
    start = next((i for i, line in enumerate(lines) if line.strip(' \t\r\n,;|"') and not _REMARK.match(line)), None)
    if start is None:
        return ","
    names = {fold(name) for name in known}
    best, best_score = ",", (0, 0)
    for delimiter in _DELIMITERS:
        try:
            cells = next(csv.reader(iter(lines[start : start + 50]), delimiter=delimiter, skipinitialspace=True))
        except (csv.Error, StopIteration):
            continue
        words = [fold(split_header(plain(cell))[0]) for cell in cells] if names else []
        score = (sum(word in names for word in words), len(cells))
        if score > best_score:
            best, best_score = delimiter, score
    return best


def _straight_quotes(lines, delimiter):
    """Lines with curly quotes around a cell made straight, for files that have no straight ones."""
    text = "".join(lines)
    if '"' in text or not ("“" in text or "„" in text):
        return lines
    mark = re.escape(delimiter)
    opening, closing = re.compile(rf"(^|{mark}) *[“„]"), re.compile(rf"[”“] *(?={mark}|[\r\n]*$)")
    return [closing.sub('"', opening.sub(r'\1"', line)) for line in lines]


def _records(label, lines, skip, delimiter, problems, remarks):
    """Line and cells of each record; remarks left out and their lines noted, physical lines counted."""
    lines = _straight_quotes(lines, delimiter)
    at = start = skip
    fresh = True

    def feed():
        nonlocal at, fresh, start
        for line in lines[skip:]:
            at += 1
            if fresh:
                if line[0] == "#" and _REMARK.match(line):
                    remarks.append(at)
                    continue
                fresh, start = False, at
            yield line

    reader = csv.reader(feed(), delimiter=delimiter, skipinitialspace=True, strict=True)
    records = []
    long_lines = max(map(len, lines), default=0) > LONGEST_CELL
    try:
        for cells in reader:
            fresh = True
            if (long_lines or at > start) and max(map(len, cells), default=0) > LONGEST_CELL:
                problems.add(label, start, "", f"a cell of more than {LONGEST_CELL} characters", "Shorten it; or is a quote "
                             "missing?")  # fmt: skip
                continue
            records.append((start, cells))
    except csv.Error as error:
        _quote_problem(label, lines, start, at, str(error), problems)
    return records


def _quote_problem(label, lines, start, at, error, problems):
    """Say why the record of lines ``start`` to ``at`` ends the reading."""
    large = "field limit" in error or "field larger" in error
    if large and any(len(line) > LONGEST_CELL for line in lines[start - 1 : at]):
        problems.add(label, start, "", f"a cell of more than {LONGEST_CELL} characters", "Shorten it; "
                     "or is a quote missing? The rows below were not read.")  # fmt: skip
    elif large or "unexpected end" in error:
        found = "a quote opens here and never closes: the rest of the file is one cell, or half a file is missing"
        problems.add(label, start, "", found, 'Close the quote, or write two ("") for one.')
    else:
        found = "text goes on after a closing quote"
        problems.add(label, at, "", found, 'Write two quotes ("") for one inside a cell; the rows below were not read.')


def _take(sheet, records, problems):
    """Fill a sheet from records: the first with text is the header. Whether there was any."""
    cleaned = ((line, _cleaned(cells)) for line, cells in records)
    filled = [(line, cells) for line, cells in cleaned if any(cells)]
    if not filled:
        return False
    (line, header), rows = filled[0], filled[1:]
    while header and not header[-1]:
        header.pop()
    sheet.header = [" ".join(text.split()) for text in header]
    width, errors = len(header), frozenset(_ERRORS)
    for row_line, cells in rows:
        if len(cells) > width and any(cells[width:]):
            many = max(i for i, cell in enumerate(cells) if cell) + 1
            problems.add(sheet.label, row_line, "", f"{many} cells, where the header has {width}", "Name every column; "
                         "put a text that holds the delimiter into double quotes.")  # fmt: skip
        sheet.rows.append(cells if len(cells) == width else cells[:width] + [""] * (width - len(cells)))
        sheet.lines.append(row_line)
        if errors.isdisjoint(cells):
            continue
        for text in errors.intersection(cells[:width]):
            problems.add(sheet.label, row_line, sheet.header[cells.index(text)], f"the cell holds the error {text}",
                         "Mend the formula and save again, or leave the cell empty if unknown.")  # fmt: skip
            sheet.rows[-1] = ["" if cell in errors else cell for cell in sheet.rows[-1]]
    _drop_nameless(sheet, line, problems)
    return True


def _cleaned(cells):
    """Cells without spaces around them and in one spelling; most rows are plain ASCII and have one."""
    cells = list(map(str.strip, cells))
    return cells if "".join(cells).isascii() else list(map(plain, cells))


def _drop_nameless(sheet, line, problems):
    """Columns without a header: left out when empty, a problem when filled."""
    for index in [i for i, text in enumerate(sheet.header) if not text][::-1]:
        if any(row[index] for row in sheet.rows):
            problems.add(sheet.label, line, "", f"column {index + 1} has cells but no header", "Name the column.")
        del sheet.header[index]
        for row in sheet.rows:
            del row[index]


def _decimal_comma(sheet):
    """Whether numbers have a decimal comma: some clearly do, none clearly has a point. Decided once for the file."""
    columns = [i for i, text in enumerate(sheet.header) if split_header(text)[1] is not None]
    for chosen in (columns, range(len(sheet.header))):
        comma = point = False
        for row in sheet.rows:
            for index in chosen:
                for cell in row[index].split("..") if ".." in row[index] else (row[index],):
                    if "," in cell and _COMMA_NUMBER.fullmatch(cell):
                        comma = True
                    elif "." in cell and _POINT_NUMBER.fullmatch(cell) and not _GROUPED.fullmatch(cell):
                        point = True
        if comma or point:
            return comma and not point
    return False


def _thousands_or_fractions(sheet, problems):
    """Cells such as 1.000 of a file parted by semicolons, where nothing else tells what its point means."""
    columns = [i for i, text in enumerate(sheet.header) if split_header(text)[1] is not None]
    cells = [(line, index, row[index]) for line, row in zip(sheet.lines, sheet.rows, strict=True) for index in columns]
    if any(
        _POINT_NUMBER.fullmatch(part) and not _GROUPED.fullmatch(part) for _, _, c in cells for part in c.split("..")
    ):
        return
    for line, index, cell in cells:
        if _GROUPED.fullmatch(cell):
            number = "".join(re.findall(r"^[+-]?[\d.]+", cell))
            problems.add(sheet.label, line, sheet.header[index], f"{quoted(cell)} may be thousands or a fraction: nothing "
                         "in this file tells which", f"Write {number.replace('.', '')}, or {number}0 for a fraction, or "
                         "part the cells by commas.")  # fmt: skip


def read_workbook(path, *, label=None, problems=None):
    """Read the filled worksheets of an .xlsx file: lower-case sheet name -> ``Sheet``.

    Values are taken as stored. A formula without a stored result, an error cell and a file that is no workbook are
    problems; without a collection for them they are raised as ``SelectorError``.
    """
    path = Path(path)
    found = Problems() if problems is None else problems
    label = label or path.name
    data = _bytes_of(path, label, found)
    sheets = {} if data is None else _sheets(data, label, found)
    if problems is None:
        found.raise_if_any(SelectorError)
    return sheets


def sheet_names(path):
    """Names of the sheets of an .xlsx file, in lower case; none where it cannot be read as one."""
    try:
        with zipfile.ZipFile(path) as archive:
            if archive.getinfo("xl/workbook.xml").file_size > LARGEST_FILE:
                return []
            text = archive.read("xl/workbook.xml").decode("utf-8", "replace")
    except (zipfile.BadZipFile, OSError, EOFError, RuntimeError, NotImplementedError, ValueError, KeyError, zlib.error):
        return []
    return [name.strip().casefold() for name in re.findall(r'<(?:\w+:)?sheet\b[^>]*?\bname="([^"]*)"', text)]


def _sheets(data, label, problems):
    has_formulas = _looks_sound(data, label, problems)
    if has_formulas is None:
        return {}
    import openpyxl

    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        formulas = openpyxl.load_workbook(io.BytesIO(data), read_only=True) if has_formulas else None
        return _worksheets(book, formulas, label, problems)
    except Exception as error:  # openpyxl raises whatever the broken part of the file provokes
        problems.add(label, None, "", f"the workbook cannot be read ({type(error).__name__})", "Open it and save it "
                     "as .xlsx again.")  # fmt: skip
        return {}


def _looks_sound(data, label, problems):
    """Whether a workbook has formulas; None, with a problem, where it is none at all."""
    remedy = "Save it as .xlsx, without a password."
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        problems.add(label, None, "", "the workbook has a password or is of the old binary kind", remedy)
        return None
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            if sum(part.file_size for part in parts) > _LARGEST_UNPACKED:
                problems.add(label, None, "", "the workbook unpacks to more than 500 MB", "Split it.")
                return None
            if any(part.filename.startswith("xl/chartsheets/") for part in parts):
                problems.add(label, None, "", "a sheet of the workbook is one chart", "Move the chart into a worksheet, or "
                             "remove it.")  # fmt: skip
                return None
            names = [part.filename for part in parts if part.filename.startswith("xl/worksheets/")]
            return any(re.search(rb"<f[ >/]", archive.read(name)) for name in names if name.endswith(".xml"))
    except (zipfile.BadZipFile, OSError, EOFError, RuntimeError, NotImplementedError, ValueError, zlib.error):
        problems.add(label, None, "", "this is not an .xlsx workbook, or half of it is missing", remedy)
        return None


def _worksheets(book, formulas, label, problems):
    sheets = {}
    for number, worksheet in enumerate(book.worksheets):
        name = worksheet.title.strip().casefold().removesuffix(".csv")
        sheet = Sheet(f"{label}:{worksheet.title.strip()}")
        worksheet.reset_dimensions()
        records, empty_results = [], set()
        for line, row in enumerate(worksheet.iter_rows(), 1):
            records.append((line, [_cell_text(cell, sheet, problems) for cell in row]))
            if formulas is not None:
                empty_results.update(c.coordinate for c in row if c.value is None and c.data_type == "str")
        if formulas is not None:
            _unstored(formulas.worksheets[number], records, empty_results, sheet, problems)
        records = [(line, cells) for line, cells in records if not _REMARK.match(next(iter(cells), ""))]
        if not any(any(cells) for _, cells in records):
            continue
        _take(sheet, records, problems)
        if name in sheets:
            problems.add(sheet.label, None, "", "two sheets have the same name", "Rename or remove one.")
        sheets[name] = sheet
    return sheets


def _cell_text(cell, sheet, problems):
    """A stored value as somebody would type it."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, str):
        if cell.data_type == "e" or value in _ERRORS:
            problems.add(sheet.label, cell.row, "", f"cell {cell.coordinate} holds the error {quoted(value)}",
                         "Mend it, or leave it empty if unknown.")  # fmt: skip
            return ""
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        percent = "%" in (cell.number_format or "")
        return f"{_digits(round(value * 100, 10))} %" if percent else _digits(value)
    if isinstance(value, datetime.datetime) and value.time() == datetime.time():
        return value.date().isoformat()
    return str(value)


def _digits(value):
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    return repr(value)


def _unstored(worksheet, records, empty_results, sheet, problems):
    """Report formulas whose result nobody has worked out yet; an empty text is a result."""
    worksheet.reset_dimensions()
    for (line, cells), row in zip(records, worksheet.iter_rows(), strict=False):
        for index, cell in enumerate(row):
            if cell.value is None or cell.data_type != "f" or cell.coordinate in empty_results:
                continue
            if not (index < len(cells) and cells[index]):
                problems.add(sheet.label, line, "", f"cell {cell.coordinate} is a formula without a stored result",
                             "Open the workbook in a spreadsheet and save it once.")  # fmt: skip
