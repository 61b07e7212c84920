"""A table's own text: cells replaced and rows added in place, every other byte as it was."""

import re
from dataclasses import dataclass, field
from pathlib import Path

from selector.catalogue.encoding import _BOMS, NotText, decode, plain
from selector.catalogue.sheets import _REMARK, _find_delimiter, _stated_delimiter, read_csv
from selector.errors import Problem, TableError, quoted


@dataclass
class Record:
    """One row of the file: where its cells and its line end stand in the text."""

    line: int
    spans: list
    end: int
    line_end: str


@dataclass
class TableText:
    """A CSV file as text, with what is needed to write it back byte for byte.

    records : the header first, then the rows; remarks and empty lines belong to none
    decimal : the decimal mark of its numbers
    edits : (start, end, new text), to be applied by ``text_after``
    """

    path: Path
    data: bytes
    text: str
    codec: str
    mark: bytes
    delimiter: str
    records: list
    decimal: str = "."
    edits: list = field(default_factory=list)
    added: list = field(default_factory=list)

    @property
    def header(self):
        """Header texts as read."""
        return [self.cell_of(self.records[0], i) for i in range(len(self.records[0].spans))]

    def raw(self, record, index):
        """The cell's text as it stands in the file, quotes and spaces with it."""
        if index >= len(record.spans):
            return ""
        start, end = record.spans[index]
        return self.text[start:end]

    def cell_of(self, record, index):
        """The cell's text as read."""
        return plain(unquoted(self.raw(record, index)).strip())

    def set_cell(self, record, index, value):
        """Replace one cell by ``value``; spaces around it and its quotes stay."""
        if index >= len(record.spans):
            missing = index - len(record.spans) + 1
            before = [edit for edit in self.edits if edit[0] == edit[1] == record.end]
            missing -= sum(edit[2].count(self.delimiter) for edit in before)
            self.edits.append((record.end, record.end, self.delimiter * max(missing, 0) + self._written(value)))
            return
        start, end = record.spans[index]
        raw = self.text[start:end]
        core = raw.strip(" ")
        lead = raw[: len(raw) - len(raw.lstrip(" "))] if core else ""
        tail = raw[len(raw.rstrip(" ")) :] if core else ""
        self.edits.append((start, end, lead + self._written(value, core.startswith('"')) + tail))

    def add_row(self, cells):
        """A row below the last one, in the file's own way of writing."""
        self.added.append(self.delimiter.join(self._written(cell) for cell in cells))

    def _written(self, value, always=False):
        value = str(value)
        risky = any(mark in value for mark in (self.delimiter, '"', "\n", "\r")) or value != value.strip()
        if value and (always or risky or _REMARK.match(value)):
            return '"' + value.replace('"', '""') + '"'
        return value

    def text_after(self):
        """The text with every edit applied, and the splices ``(start, old, new)`` that make it."""
        splices = [(start, self.text[start:end], new) for start, end, new in sorted(self.edits)]
        if self.added:
            last = self.records[-1]
            at = last.end + len(last.line_end)
            line_end = next((r.line_end for r in self.records if r.line_end), "\n")
            if last.line_end:
                splices.append((at, "", "".join(row + line_end for row in self.added)))
            else:
                splices.append((at, "", "".join(line_end + row for row in self.added)))
        out, at = [], 0
        for start, old, new in splices:
            out += [self.text[at:start], new]
            at = start + len(old)
        return "".join([*out, self.text[at:]])

    def bytes_after(self):
        """The file's new bytes, in its own encoding."""
        try:
            return self.mark + self.text_after().encode(self.codec)
        except UnicodeEncodeError as error:
            bad = error.object[error.start : error.end]
            raise TableError(
                "table cannot be written",
                [
                    Problem(
                        self.path.name,
                        None,
                        "",
                        f"{quoted(bad)} cannot be written in {self.codec}, the file's own encoding",
                        "Save the table as UTF-8 first.",
                    )
                ],
            ) from None


def unquoted(raw):
    """A raw cell without its quotes."""
    core = raw.strip(" ")
    if len(core) >= 2 and core[0] == core[-1] == '"':
        return core[1:-1].replace('""', '"')
    return core


def read_text(path, known):
    """A table's text and its places.

    Parameters
    ----------
    path : the file
    known : header words expected, which settle the delimiter

    Raises `TableError` where the file could not be written back byte for byte, or does not read as plain CSV.
    """
    data = Path(path).read_bytes()
    try:
        decode(data)
    except NotText as error:
        raise _cannot(path, error.args[1], str(error.args[0]), "Save it as CSV text in UTF-8.") from None
    mark, codec = next(((mark, name) for mark, name in _BOMS if data.startswith(mark)), (b"", ""))
    for name in [codec] if codec else ["utf-8", "cp1252"]:
        try:
            text = data[len(mark) :].decode(name)
        except UnicodeDecodeError:
            continue
        if mark + text.encode(name) == data:
            codec = name
            break
    else:
        raise _cannot(path, None, "its encoding cannot be written back unchanged", "Save it as UTF-8.")
    lines = re.split(r"(?<=\n)|(?<=\r)(?!\n)", text)
    lines = [line for line in lines if line]
    delimiter, skip = _stated_delimiter(lines)
    if delimiter is None:
        delimiter = _find_delimiter(lines, known)
    records = records_of(text, lines, skip, delimiter)
    table = TableText(Path(path), data, text, codec, mark, delimiter, records)
    _hold_against_reader(table, known)
    return table


def _cannot(path, line, found, expected):
    return TableError("table cannot be edited", [Problem(Path(path).name, line, "", found, expected)])


def records_of(text, lines, skip, delimiter):
    """Spans of every record, remarks and empty lines left out."""
    starts, at = [], 0
    for line in lines:
        starts.append(at)
        at += len(line)
    records, number, at = [], 1 + skip, starts[skip] if skip < len(starts) else len(text)
    while at < len(text):
        line_end = _end_of_line(text, at)
        if _REMARK.match(text, at) or not text[at:line_end].strip(f" \t\r\n{delimiter}"):
            at = _after(text, line_end)
            number += 1
            continue
        spans, at_end = _spans(text, at, delimiter)
        after = _after(text, at_end)
        records.append(Record(number, spans, at_end, text[at_end:after]))
        number += len(re.findall(r"\r\n|\n|\r", text[at:after]))
        at = after
    return records


def _end_of_line(text, at):
    found = re.compile(r"[\r\n]").search(text, at)
    return found.start() if found else len(text)


def _after(text, at):
    if text.startswith("\r\n", at):
        return at + 2
    return at + 1 if at < len(text) else at


def _spans(text, at, delimiter):
    """Spans of the cells of the record that starts at ``at``, and where it ends."""
    spans, start = [], at
    while True:
        here = start
        while here < len(text) and text[here] == " ":
            here += 1
        if here < len(text) and text[here] == '"':
            here += 1
            while True:
                close = text.find('"', here)
                if close < 0:
                    return [*spans, (start, len(text))], len(text)
                if text.startswith('""', close):
                    here = close + 2
                    continue
                here = close + 1
                break
        while here < len(text) and text[here] not in (delimiter, "\r", "\n"):
            here += 1
        spans.append((start, here))
        if here >= len(text) or text[here] != delimiter:
            return spans, here
        start = here + 1


def _hold_against_reader(table, known):
    """The places found must say what the reader of tables reads."""
    sheet = read_csv(table.path, known=known)
    table.decimal = sheet.decimal
    if not table.records:
        raise _cannot(table.path, None, "the file is empty", "Its first row names the columns.")
    header = [" ".join(text.split()) for text in table.header]
    while header and not header[-1]:
        header.pop()
    if header != sheet.header:
        raise _cannot(
            table.path,
            table.records[0].line,
            "its header is written in a way that cannot be kept",
            "Save it as plain CSV.",
        )
    rows = table.records[1:]
    if [r.line for r in rows] != sheet.lines:
        raise _cannot(table.path, None, "its rows are written in a way that cannot be kept", "Save it as plain CSV.")
    for record, cells in zip(rows, sheet.rows, strict=True):
        if [table.cell_of(record, i) for i in range(len(cells))] != cells:
            raise _cannot(
                table.path, record.line, "this row is written in a way that cannot be kept", "Save it as plain CSV."
            )
