"""Sheets -> frames: headers matched with declared columns, cells read, every problem kept with its line."""

from dataclasses import dataclass, field
from pathlib import PurePath
from typing import Any

from selector.catalogue.cells import Number, Table, Text, YesNo, read_cells
from selector.catalogue.sheets import Sheet, read_csv, read_workbook
from selector.errors import UnitError, nearest, quoted
from selector.units import UNITS, find_unit, fold, snake, split_header

__all__ = [
    "Frame", "Number", "Sheet", "Table", "Text", "YesNo", "check_references", "fold_key", "read_csv", "read_table",
    "read_workbook",
]  # fmt: skip
_MOST_SUGGESTIONS = 50


@dataclass
class Frame:
    """A table as read.

    name : file name without folder, "connections.csv"
    data : polars frame; every declared column is there, null where the sheet has none
    lines : line of each row in its file
    headers : inner column name -> header as written, for columns the sheet has
    extra : headers nobody declared; kept as text columns
    hints : remarks for the user, no problems
    label : the file as shown in messages
    origin : whose it is, as the caller says
    """

    name: str
    data: object
    lines: list[int]
    headers: dict[str, str] = field(default_factory=dict)
    extra: list[str] = field(default_factory=list)
    hints: list[str] = field(default_factory=list)
    label: str = ""
    origin: str = ""


def fold_key(text):
    """A name for comparing: without regard to case and spaces around it."""
    return " ".join(text.split()).casefold()


def read_table(sheet, columns, key, problems, origin=""):
    """Read a sheet by its declared columns.

    Parameters
    ----------
    sheet : the sheet
    columns : declarations (``Text``, ``Number``, ``YesNo``)
    key : header words of the key column, or None
    problems : collection every problem is added to; nothing is raised
    origin : kept in the frame, for the caller

    Returns
    -------
    frame : a ``Frame``; a cell that could not be used is null in it, so use it only when there are no problems
    """
    import polars as pl

    frame = Frame(_file_name(sheet.label), None, list(sheet.lines), label=sheet.label, origin=origin)
    if not sheet.header:  # an empty file has been reported by whoever read it
        matched, extra = {}, []
    else:
        matched, extra = _match_headers(sheet, columns, problems, frame.hints)
    series, folded = [], fold(key or "")
    by_index = list(zip(*sheet.rows, strict=True)) if sheet.rows else [()] * len(sheet.header)
    for column in columns:
        index, unit = matched.get(column.name, (None, None))
        if index is None:
            values = [None] * len(sheet.rows)
            values = (values, values) if isinstance(column, Number) else values
        else:
            frame.headers[column.name] = sheet.header[index]
            complain = _complainer(sheet, sheet.header[index], problems)
            values = read_cells(column, unit, by_index[index], sheet.decimal, complain)
            if (column.filled or fold(column.words) == folded) and "" in by_index[index]:
                _check_filled(sheet, index, problems)
        series += _series(pl, column, values)
    _add_extra(pl, sheet, by_index, extra, series, frame)
    frame.data = pl.DataFrame(series)
    if key is not None:
        _check_key(sheet, next((matched.get(c.name) for c in columns if fold(c.words) == folded), None), problems)
    return frame


def _file_name(label):
    """The file a label means: boat.xlsx:connections is read as connections.csv would be."""
    name = PurePath(label).name
    book, colon, sheet = name.partition(":")
    if colon and book.lower().endswith((".xlsx", ".xlsm")):
        return f"{sheet.casefold().removesuffix('.csv')}.csv"
    return name


def _series(pl, column, values):
    if not isinstance(column, Number):
        return [pl.Series(column.name, values, dtype=pl.String)]
    made = [pl.Series(column.name, values[0], dtype=pl.Float64)]
    if column.ranges:
        made.append(pl.Series(f"{column.name}__high", values[1], dtype=pl.Float64))
    return made


def _add_extra(pl, sheet, by_index, extra, series, frame):
    used = {one.name for one in series}
    for index in extra:
        name = snake(sheet.header[index]) or f"column_{index + 1}"
        while name in used:
            name += "_"
        used.add(name)
        series.append(pl.Series(name, [text or None for text in by_index[index]], dtype=pl.String))
        frame.extra.append(sheet.header[index])
        frame.headers[name] = sheet.header[index]


def _complainer(sheet, header, problems):
    def complain(index, found, expected, near=""):
        problems.add(sheet.label, sheet.lines[index], header, found, expected, near)

    return complain


def _match_headers(sheet, columns, problems, hints):
    """Declared name -> (index, unit) of the headers that are declared, and the indices of those that are not."""
    by_words, by_name = {}, {column.name: column for column in columns}
    for column in columns:
        by_words.setdefault(fold(column.words), []).append(column)
    matched, extra = {}, []
    for index, text in enumerate(sheet.header):
        words, unit_text = split_header(text)
        candidates = by_words.get(fold(words), [])
        if not candidates and text.casefold() in by_name:  # the inner name itself: its unit is the inner one
            column = by_name[text.casefold()]
            candidates, unit_text = [column], _inner_unit(column)
        if not candidates:
            extra.append(index)
            continue
        chosen = _choose(sheet, text, unit_text, candidates, problems, hints)
        if chosen is None:
            matched.update({c.name: matched.get(c.name, (None, None)) for c in candidates})
            continue
        column, unit = chosen
        if matched.get(column.name, (None, None))[0] is not None:
            other = matched[column.name][0]
            problems.add(sheet.label, None, text, f"columns {other + 1} and {index + 1} are the same column",
                         "Keep one of them.")  # fmt: skip
            continue
        matched[column.name] = (index, unit)
    _missing(sheet, columns, matched, extra, problems, hints)
    return matched, extra


def _inner_unit(column):
    if not isinstance(column, Number):
        return None
    if column.dimension == "ratio":
        return column.unit
    return find_unit(column.unit).inner if column.unit else None


def _choose(sheet, text, unit_text, candidates, problems, hints):
    """The declared column a header means and the unit of its cells; None, with a problem, where there is none."""
    numbers = [column for column in candidates if isinstance(column, Number)]
    if not numbers:
        if unit_text is not None:
            problems.add(sheet.label, None, text, "this column takes words, not a quantity",
                         f"Name it {quoted(candidates[0].words)}, without a unit.")  # fmt: skip
            return None
        return candidates[0], None
    if unit_text is None:
        if len(candidates) > 1:
            units = " or ".join(f"[{column.unit}]" for column in numbers)
            problems.add(sheet.label, None, text, "the unit is missing, and it could be more than one",
                         f"Write the unit behind the name: {units}.")  # fmt: skip
            return None
        column = numbers[0]
        if column.unit:
            hints.append(f"{sheet.label}, {text}: no unit in the header, read as {column.unit}")
        return column, find_unit(column.unit, column.dimension) if column.unit else UNITS[""]
    failure: Any = None
    for column in numbers:
        try:
            return column, find_unit(unit_text, column.dimension)
        except UnitError as error:
            failure = failure or error
    problems.add(failure.at(sheet.label, None, text))
    return None


def _missing(sheet, columns, matched, extra, problems, hints):
    """Report required columns that are not there, and hint at misspelled ones."""
    absent = {column.words: column for column in columns if column.name not in matched}
    for index in extra:
        text = sheet.header[index]
        near = _named_by_unit(split_header(text)[0], columns, absent) or nearest(split_header(text)[0], absent)
        hint = f"{sheet.label}: column {quoted(text)} is not known"
        if near:
            hints.append(f"{hint}: did you mean {quoted(near)}?")
        else:
            hints.append(f"{hint}; it is kept and shown, nothing is worked out from it")
    unknown = [sheet.header[index] for index in extra]
    for column in absent.values():
        if column.required:
            by_words = {split_header(text)[0]: text for text in unknown}
            near = by_words.get(nearest(column.words, by_words), "")
            expected = f"Its header is {quoted(column.title)}."
            expected += f" The column {quoted(near)} looks like it." if near else ""
            problems.add(sheet.label, None, column.title, "this column is missing", expected)


def _named_by_unit(words, columns, absent):
    """Header of the first column in whose unit a header ends, as ``load watts`` does of ``power [W]``; empty where that
    column is there."""
    last = words.split()[-1] if words.split() else ""
    if len(last) < 3:  # a letter or two may be anything
        return ""
    try:
        dimension = find_unit(last.casefold()).dimension
    except UnitError:
        return ""
    first = next((c for c in columns if isinstance(c, Number) and c.dimension == dimension), None)
    return first.title if first is not None and first.words in absent else ""


def _check_filled(sheet, index, problems):
    for line, row in zip(sheet.lines, sheet.rows, strict=True):
        if not row[index]:
            problems.add(sheet.label, line, sheet.header[index], "the cell is empty", "Every row needs it.")


def _check_key(sheet, place, problems):
    """Report keys that stand twice, with both lines."""
    if place is None or place[0] is None:
        return
    index, seen = place[0], {}
    for line, row in zip(sheet.lines, sheet.rows, strict=True):
        text = row[index]
        first = seen.setdefault(fold_key(text), line) if text else line
        if first != line:
            problems.add(sheet.label, line, sheet.header[index], f"{quoted(text)} stands on line {first} already",
                         "Every row needs a name of its own.")  # fmt: skip


def check_references(frame, column, known, problems, where=""):
    """Report cells of a text column that are no key of another table.

    Parameters
    ----------
    frame : the ``Frame``
    column : inner name of the column
    known : the keys of the other table
    problems : collection to add to
    where : name of the other table, for the message
    """
    folded = {fold_key(name) for name in known}
    suggestions = {}
    for line, text in zip(frame.lines, frame.data[column], strict=True):
        if text is None or fold_key(text) in folded:
            continue
        if text not in suggestions:
            suggestions[text] = nearest(text, known) if len(suggestions) < _MOST_SUGGESTIONS else ""
        found = f"{quoted(text)} is not {f'a key of {where}' if where else 'known'}"
        header = frame.headers.get(column, column)
        problems.add(frame.label or frame.name, line, header, found, "Write one that is, or add it.", suggestions[text])
