"""A datasheet into a table: every row judged before any lands, all that land in one step, with a history and a way back."""

import difflib
import hashlib
import json
import re
from dataclasses import dataclass, field
from pathlib import Path

from selector.catalogue.catalogue import load, shipped_tables
from selector.catalogue.cells import Number, Text, YesNo, read_cells
from selector.catalogue.datasheets import Grid, cannot, read_datasheet
from selector.catalogue.datasheets_cells import UNKNOWN, footnote, read_number, read_pair
from selector.catalogue.declarations import DECLARED, Declaration
from selector.catalogue.judging import LOOK, REFUSE, Tables, judge, judge_change, key_of
from selector.catalogue.mapping import Matcher, map_bytes, map_grid, map_rows, read_map, settle_units
from selector.catalogue.mapping_words import IDENTITY, role_of
from selector.catalogue.merging_store import (
    FOLDER,
    HISTORY,
    Change,
    locked,
    next_number,
    now,
    own_folder,
    pack,
    replace_whole,
    sha256,
    shown,
    with_history,
)
from selector.catalogue.merging_text import read_text
from selector.catalogue.reading import fold_key, read_csv, read_table
from selector.errors import Problems, TableError, UnitError, UsageError, nearest, quoted
from selector.units import UNITS, find_unit, fold, split_header

NEW, CHANGED, SAME, REFUSED = "new", "changed", "same", "refused"
_RANK = {"measured": 3, "read": 2, "computed": 1, "memory": 0}
_OWN = ("source", "status", "note")


@dataclass
class Row:
    """One row of the datasheet and what became of it."""

    place: str
    key: str = ""
    result: str = ""
    reasons: list = field(default_factory=list)
    remarks: list = field(default_factory=list)
    changes: list = field(default_factory=list)
    values: dict = field(default_factory=dict)
    texts: dict = field(default_factory=dict)
    units: dict = field(default_factory=dict)
    old: dict | None = None
    new: dict | None = None
    written: dict = field(default_factory=dict)

    def refuse(self, reason):
        """Leave this row out, with a reason."""
        self.result = REFUSED
        if reason not in self.reasons:
            self.reasons.append(reason)

    def look(self, remark):
        """Say something about this row that does not keep it out."""
        if remark not in self.remarks:
            self.remarks.append(remark)

    @property
    def reason(self):
        """What is printed behind the result."""
        said = self.reasons if self.result == REFUSED else [*self.changed_words, *(r if self.result == SAME else f"look: {r}" for r in self.remarks)]
        return "; ".join(said)

    @property
    def changed_words(self):
        """Changes of an old row for reading."""
        if self.result != CHANGED:
            return []
        return [f"{column} {old or 'unknown'} -> {new}" for column, old, new in self.changes if column not in _OWN]


@dataclass
class Report:
    """What a merge did, or would do."""

    table: str
    datasheet: str
    source: str
    rows: list = field(default_factory=list)
    mappings: list = field(default_factory=list)
    notes: list = field(default_factory=list)
    map_file: Path | None = None
    number: int | None = None
    dry_run: bool = False
    effect: list = field(default_factory=list)
    files: dict = field(default_factory=dict)

    def count(self, result):
        """How many rows have this result."""
        return sum(row.result == result for row in self.rows)

    @property
    def exit_code(self):
        """0 all landed or the same, 1 some refused."""
        return 1 if self.count(REFUSED) else 0


@dataclass
class _Target:
    """The table merged into: its text, its declared and undeclared columns, its rows."""

    file: str
    declared: object
    path: Path
    text: object
    frame: object
    rows: list
    by_key: dict
    index: dict
    units: dict
    spelling: dict = field(default_factory=dict)


def merge(datasheet, table, folder=None, map_file=None, source=None, dry_run=False, effect=None, sheet=None, encoding=None):
    """Merge a datasheet into a table.

    Parameters
    ----------
    datasheet : .csv, .xlsx or .pdf file
    table : name of the table, with or without .csv
    folder : folder of tables; ./tables by default
    map_file : the map of columns; maps/TABLE beside the table by default
    source : key of sources.csv for what lands; by default one is made of the datasheet's name
    dry_run : judge and report, write nothing
    effect : called with the folder and the new bytes of its files before anything is written; its result is kept

    Returns
    -------
    report : a ``Report``

    Raises `UsageError` for a table or file that is not there, `TableError` where nothing can be read.
    """
    folder = own_folder(folder)
    if dry_run:
        return _merge(datasheet, table, folder, map_file, source, True, effect, sheet, encoding)
    if not Path(datasheet).is_file():
        raise UsageError(f"{datasheet}: no such file" if not Path(datasheet).exists() else f"{datasheet}: not a file")
    with locked(folder):
        return _merge(datasheet, table, folder, map_file, source, False, effect, sheet, encoding)


def _merge(datasheet, table, folder, map_file, source, dry_run, effect, sheet, encoding):
    file = table_file(table)
    catalogue = load_for(folder)
    tables = Tables.of(catalogue)
    target = _target(folder, file, tables)
    sources = {str(row["source"]).casefold(): row["source"] for row in tables.rows["sources.csv"]}
    report = Report(file, Path(datasheet).name, "", dry_run=dry_run)
    made_source = None
    if source is not None:
        if source.strip().casefold() not in sources:
            near = nearest(source, sources.values())
            raise UsageError(f"--source: {quoted(source)} is not a key of sources.csv. Add it there first." + (f" Did you mean '{near}'?" if near else ""))
        report.source = sources[source.strip().casefold()]
    else:
        report.source = _source_key(datasheet, sources)
        made_source = report.source
    saved, map_path = _saved_map(folder, file, map_file)
    grids = read_datasheet(datasheet, sheet, encoding)
    matcher = Matcher(target.declared, _vocabulary(target, tables))
    _map_all(report, grids, matcher, saved, target)
    report.map_file = map_path
    for mapping in report.mappings:
        report.rows += _incoming(mapping, target, report)
    if not report.rows:
        raise cannot(report.datasheet, None, f"its table has no rows for {file}", "Is it the right sheet?")
    _match(report, target)
    _compose(report, target, tables, sources)
    _judge_all(report, target, tables)
    landing = [row for row in report.rows if row.result in (NEW, CHANGED)]
    uses_made = made_source and any(row.new.get("source") == made_source for row in landing)
    report.files = _edited(folder, target, landing, made_source if uses_made else None, datasheet)
    if effect is not None:
        report.effect = effect(folder, report.files)
    _write(report, folder, target, landing, saved, map_path, map_file, dry_run)
    return report


def table_file(table):
    """The file of a table named with or without .csv; raises `UsageError` where there is none."""
    name = Path(str(table)).name.casefold()
    file = name if name.endswith(".csv") else f"{name}.csv"
    if file not in DECLARED:
        near = nearest(file, DECLARED)
        raise UsageError(f"--into: {quoted(table)} is not a table." + (f" Did you mean '{near}'?" if near else ""))
    return file


def load_for(folder):
    """The catalogue a folder of tables belongs to: itself, or laid over the shipped one where it is a project's own."""
    return load(None, folder) if is_projects(folder) else load(folder)


def is_projects(folder):
    """Whether a folder holds a project's own rows rather than whole tables."""
    return (Path(folder).resolve().parent / "connections.csv").exists()


def _start_text(folder, file):
    """A table's text; where the folder has none, the shipped table's, or heads alone for a project's own rows."""
    declared = DECLARED[file]
    known = [c.words for c in declared.columns]
    if (folder / file).exists():
        return read_text(folder / file, known)
    if not is_projects(folder) and (shipped_tables() / file).exists():
        return read_text(shipped_tables() / file, known)
    from selector.catalogue.merging_text import TableText, _records

    header = ",".join(f'"{c.title}"' if "," in c.title else c.title for c in declared.columns) + "\n"
    return TableText(folder / file, b"", header, "utf-8", b"", ",", _records(header, [header], 0, ","))


def _target(folder, file, tables):
    declared = DECLARED[file]
    text = _start_text(folder, file)
    if not text.data:
        titles = {c.name: c.title for c in declared.columns}
        return _Target(file, declared, text.path, text, None, [], {}, *_places(text, declared, titles))
    problems = Problems()
    sheet = read_csv(text.path, known=[c.words for c in declared.columns], problems=problems)
    frame = read_table(sheet, declared.columns, None, problems)
    problems.raise_if_any(TableError, f"{file} cannot be used")
    declared = _with_extra(declared, frame.extra)
    if frame.extra:
        frame = read_table(sheet, declared.columns, None, Problems())
    rows = [dict(row) for row in frame.data.iter_rows(named=True)]
    for row, line in zip(rows, frame.lines, strict=True):
        row["line"] = line
    by_key = {}
    for number, row in enumerate(rows):
        by_key.setdefault(fold_key(key_of(row)), number)
    index, units = _places(text, declared, frame.headers)
    return _Target(file, declared, text.path, text, frame, rows, by_key, index, units)


def _with_extra(declared, extra):
    """The declaration with the table's undeclared columns: numbers where their unit is known, words otherwise."""
    columns = list(declared.columns)
    for header in extra:
        words, unit = split_header(header)
        try:
            columns.append(Number(words, find_unit(unit).name) if unit else Text(words))
        except UnitError:
            columns.append(Text(header))
    return Declaration(declared.file, declared.key, tuple(columns))


def _places(text, declared, headers):
    """Inner name -> column of the file, and the unit its cells are in."""
    index, units = {}, {}
    titles = [" ".join(t.split()) for t in text.header]
    for column in declared.columns:
        title = headers.get(column.name)
        if title is None or title not in titles:
            continue
        index[column.name] = titles.index(title)
        if isinstance(column, Number):
            unit = split_header(title)[1]
            units[column.name] = find_unit(unit or column.unit, column.dimension) if (unit or column.unit) else UNITS[""]
    return index, units


def _vocabulary(target, tables):
    """Words of text column -> what its cells hold, folded; of a reference, the keys it may name."""
    found = {}
    for column in target.declared.columns:
        if isinstance(column, Number | YesNo) or column.words in _OWN:
            continue
        values = {fold(str(row[column.name])) for row in target.rows if row.get(column.name)}
        if column.refers_to:
            rows = tables.rows.get(column.refers_to, ())
            values |= {fold(key_of(row)) for row in rows}
        found[column.words] = frozenset(values)
    return found


def _saved_map(folder, file, map_file):
    """(rows of the map file, its path)."""
    path = Path(map_file) if map_file is not None else folder / "maps" / file
    return (read_map(path) if path.is_file() else []), path


def _map_all(report, grids, matcher, saved, target):
    """Map every grid that holds rows of the table."""
    tried = []
    carried = None
    for grid in grids:
        report.notes += [f"{grid.label}: {note}" for note in grid.notes]
        if not grid.rows:
            continue
        mapping = map_grid(grid, matcher, saved)
        turned = _turned(grid)
        if turned is not None:
            other = map_grid(turned, matcher, saved)
            if other.score > mapping.score + 0.9:
                mapping = other
                report.notes.append(f"{grid.label}: its rows and columns are exchanged")
        if mapping.score < 1.5 and carried is not None and len(grid.rows[0]) == len(carried.heads):
            mapping = _continued(grid, carried)  # a table that goes on over the page, without its head
        tried.append(mapping)
        if _enough(mapping, target):
            carried = mapping
    chosen = [m for m in tried if _enough(m, target)]
    if not chosen:
        best = max(tried, key=lambda m: m.score, default=None)
        words = ", ".join(quoted(h.text) for h in best.heads if h.text) if best and best.heads else "nothing"
        raise cannot(
            report.datasheet, None, f"no table for {target.file} was found in it; the heads seen are {words}",
            f"Its columns are {', '.join(c.words for c in target.declared.columns if c.words not in _OWN)}. Say in a map file (--map) which is which.",
        )  # fmt: skip
    most = max(m.score for m in chosen)
    for mapping in chosen:
        if mapping.score < 0.5 * most:
            report.notes.append(f"{mapping.grid.label}: not read, another sheet or page fits better")
            continue
        settle_units(mapping, lambda link, m=mapping: _known_values(m, link, target))
        report.mappings.append(mapping)
        report.notes += [f"{mapping.grid.label}: {problem}" for problem in mapping.problems]
        for head in mapping.unused:
            report.notes.append(f"{mapping.grid.label}: column {quoted(head.text)} fills nothing")


def _enough(mapping, target):
    """Whether a mapping says which row is meant and at least one thing of it."""
    names = {c.words for link in mapping.links for c in (link.column, link.pair) if c}
    identity = set(IDENTITY.get(target.file, ()))
    return len(names) >= 2 and (target.declared.key in names or len(names & identity) >= 1) and mapping.score >= 1.4


def _turned(grid):
    """The grid with rows and columns exchanged, where it is small enough to be a sheet of one part a column."""
    width = len(grid.rows[0]) if grid.rows else 0
    if not 2 <= width <= 60 or len(grid.rows) < 2 or len(grid.rows) > 60:
        return None
    rows = [list(column) for column in zip(*grid.rows, strict=True)]
    remarks = {}
    if any(r.startswith("!") for r in grid.remarks.values()):
        return None
    return Grid(grid.label, rows, [f"column {i + 1}" for i in range(len(rows))], grid.loose, remarks, grid.points, grid.delimiter)


def _continued(grid, before):
    from selector.catalogue.mapping import Mapping

    links = [link for link in before.links]
    return Mapping(grid, 0, before.heads, links, [], before.score)


def _known_values(mapping, link, target):
    """(figure as written, inner value) of rows whose key the table has."""
    key = next((x for x in mapping.links if x.column.words == target.declared.key and x.index is not None), None)
    if key is None:
        return []
    found = []
    for row in mapping.grid.rows[mapping.start :]:
        number = target.by_key.get(fold_key(row[key.index]))
        match = re.fullmatch(r"[+-]?\d+(?:\.\d+)?", row[link.index])
        if number is not None and match and target.rows[number].get(link.column.name):
            found.append((float(match[0]), target.rows[number][link.column.name]))
    return found


# ---- rows of the datasheet

_CERTAIN_POINT = re.compile(r"[+-]?(?:\d*\.\d{1,2}|\d*\.\d{4,}|0\.\d+|\d{4,}\.\d+|\d{1,3}(?:,\d{3})+\.\d+)(?!\d)")
_CERTAIN_COMMA = re.compile(r"[+-]?(?:\d*,\d{1,2}|\d*,\d{4,}|0,\d+|\d{4,},\d+|\d{1,3}(?:\.\d{3})+,\d+)(?!\d)")


def _decimal(mapping):
    """The decimal mark of a sheet: ".", ",", None where nothing says; raises nothing, "both" is a problem."""
    point = comma = False
    for row in mapping.grid.rows[mapping.start :]:
        for link in mapping.links:
            if link.index is None or not isinstance(link.column, Number):
                continue
            for match in re.findall(r"[+-]?[\d.,]*[.,]\d[\d.,]*", row[link.index]):
                point = point or bool(_CERTAIN_POINT.fullmatch(match))
                comma = comma or bool(_CERTAIN_COMMA.fullmatch(match))
    if point and comma:
        return "both"
    if comma:
        return ","
    if point or mapping.grid.points or mapping.grid.delimiter == ",":
        return "." if point or mapping.grid.points else "."
    return None


def _notes_of(mapping):
    """Footnotes of a sheet: mark -> text; and the rows that are such, or titles."""
    notes, skip, titles = {}, set(), {}
    pattern = re.compile(r"^\(?([*†‡§]{1,3}|[⁰¹²³⁴-⁹]|[1-9a-z](?=[).\]:]))[)\].:]?\s*(\S.*)$")
    raised = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
    for text in mapping.grid.loose:
        match = pattern.match(text)
        if match:
            notes[match[1].translate(raised)] = match[2]
    for i, row in enumerate(mapping.grid.rows):
        filled = list(dict.fromkeys(cell for cell in row if cell))
        if i < mapping.start or len(filled) > 2 or (len(filled) == 2 and len(filled[0]) > 3):
            continue
        match = pattern.match(" ".join(filled))
        if match and (len(filled) == 2 and not re.match(r"[a-z\d]", match[1]) or len(filled) == 1 and len(match[2]) > 3):
            notes[match[1].translate(raised)] = match[2]
            skip.add(i)
        elif len(filled) == 1:
            titles[i] = filled[0]
    return notes, skip, titles


def _incoming(mapping, target, report):
    """The rows of one grid, each cell understood or the reason why not."""
    decimal = _decimal(mapping)
    notes, skip, titles = _notes_of(mapping)
    if decimal == ",":
        report.notes.append(f"{mapping.grid.label}: numbers with a decimal comma")
    links = mapping.links
    used = [link for link in links if link.column.name in target.index or link.pair]
    for link in links:
        if link not in used:
            report.notes.append(f"{mapping.grid.label}: the table has no column {quoted(link.column.words)}; not taken")
    heads = [fold(head.text) for head in mapping.heads]
    rows, title = [], ""
    for i, cells in enumerate(mapping.grid.rows):
        if i < mapping.start or i in skip:
            continue
        if i in titles and len(links) > 1 and fold_key(titles[i]) not in target.by_key:
            title = titles[i]
            report.notes.append(f"{mapping.grid.label} {mapping.grid.places[i]}: {quoted(title)} is taken for a title")
            continue
        texts = [fold(cell) for cell in cells]
        if sum(a == b for a, b in zip(texts, heads, strict=False) if a) >= max(2, 0.6 * sum(bool(t) for t in texts)):
            continue  # the head again, on a new page
        row = Row(mapping.grid.places[i] if len(report.mappings) == 1 else f"{mapping.grid.label} {mapping.grid.places[i]}")
        remark = mapping.grid.remarks.get(i, "")
        if remark.startswith("!"):
            row.refuse(remark[1:])
        elif remark:
            row.look(remark)
        for link in used:
            _take_cell(row, link, cells, decimal, notes, target)
        if title:
            _from_title(row, title, used, target)
        if any(v is not None for v in row.values.values()) or row.reasons:
            rows.append(row)
    return rows


def _take_cell(row, link, cells, decimal, notes, target):
    """One cell into the row's values."""
    column = link.column
    text = link.value if link.index is None else cells[link.index]
    mark = None if link.index is None else decimal
    if mark == "both" and isinstance(column, Number) and re.search(r"\d[.,]\d", text):
        row.refuse(f"{link.head.text}: the sheet has decimal points and decimal commas; {quoted(text)} may be either")
        return
    mark = "." if link.index is None or mark == "both" else mark
    try:
        if isinstance(column, Number):
            _take_number(row, link, text, cells, mark, notes)
        elif isinstance(column, YesNo):
            row.values[column.name] = _yes_no(text)
        else:
            row.values[column.name] = _words(row, column, text, link, target)
        row.texts[column.name] = text
    except UnitError as error:
        head = link.head.text or column.words
        row.refuse(f"{head}: {error.found}" + (f". {error.expected.rstrip('.')}" if error.expected else ""))


def _take_number(row, link, text, cells, decimal, notes):
    column = link.column
    if link.unit is None and column.unit and text and text.casefold() not in UNKNOWN and not re.search(r"[^\W\d_]|[%\"°]", text):
        raise UnitError("no unit is given, neither in the head nor in the cell", f"Write it into the map file, column unit (the table has {column.unit})")
    unit = link.unit if link.unit is not None else (None if column.unit else UNITS[""])
    if link.pair is not None:
        low, high = read_pair(text, unit, decimal, notes)
        row.values[column.name], row.values[link.pair.name] = low.low, high.low
        if low.remark:
            row.look(low.remark)
        return
    bound = link.head.bound if link.head.bound in ("max", "min", "typ") else ""
    value = read_number(text, unit, role_of(column.words), decimal, bound, notes)
    if unit is None and value.low is not None:
        _of_dimension(text, column)
    if value.remark:
        row.look(f"{column.words}: {value.remark}" if not value.remark.startswith("'") else value.remark)
    for other in link.also:
        second = read_number(cells[other.index], other.unit, role_of(column.words), decimal, bound, notes)
        if second.low is not None and value.low is None:
            value = second
        elif second.low is not None and abs(second.low - value.low) > 0.015 * max(abs(value.low), abs(second.low)):
            raise UnitError(f"{quoted(text)} and {quoted(cells[other.index])} ({other.head.text}) do not agree", "Which of them holds?")
    row.values[column.name] = value.low
    row.units[column.name] = unit


def _of_dimension(text, column):
    """A cell's own unit, where the head has none, must be one of the column's dimension."""
    own = re.search(r"[^\W\d_][^\d]*[23]?(?:/[\w() ]+)?$|[\"'%]$|°\w$", text.strip())
    if own is None:
        return
    name = re.sub(r"(?i)^(max|min|typ)\.?$", "", own[0].strip())
    if name:
        try:
            find_unit(name, column.dimension)
        except UnitError as error:
            if "is a unit of" in error.found:
                raise


def _yes_no(text):
    text, _ = footnote(text)
    folded = text.casefold().strip()
    if folded in UNKNOWN:
        return None
    known = {"yes": "yes", "y": "yes", "true": "yes", "1": "yes", "✓": "yes", "✔": "yes", "●": "yes",
             "no": "no", "n": "no", "false": "no", "0": "no", "✗": "no", "✘": "no"}  # fmt: skip
    if folded not in known:
        raise UnitError(f"{quoted(text)} is neither yes nor no", "Write yes or no")
    return known[folded]


def _words(row, column, text, link, target):
    """A cell of words, in the spelling the table has."""
    stripped, mark = text, ""
    match = re.search(r"[ ]?[*†‡]+$|[¹²³]$", text)
    if match and column.words not in _OWN:
        stripped, mark = text[: match.start()].strip(), match[0].strip()
    if stripped.casefold() in UNKNOWN:
        return None
    if mark:
        row.look(f"{column.words}: footnote mark {mark}")
    if column.words == "size":
        stripped = _size(stripped, link.head)
    if column.words_allowed:
        allowed = {fold(word): word for word in column.words_allowed}
        if fold(stripped) not in allowed:
            raise UnitError(f"{quoted(stripped)} is not one of {', '.join(w for w in column.words_allowed if w)}", "")
        return allowed[fold(stripped)]
    if column.refers_to or column.words in _OWN:
        return stripped
    spelled = target.spelling.setdefault(column.name, {fold(str(r[column.name])): r[column.name] for r in target.rows if r.get(column.name)})
    if fold(stripped) in spelled:
        return spelled[fold(stripped)]
    if column.words != target.declared.key and len(spelled) <= 60 and spelled:
        near = nearest(stripped, spelled.values())
        if near and re.sub(r"\D", "", near) == re.sub(r"\D", "", stripped):
            raise UnitError(f"{quoted(stripped)} is not a word the table has for it", f"Did you mean {quoted(near)}?")
        row.look(f"{column.words} {quoted(stripped)} is new to the table")
    return stripped


def _size(text, head):
    """A wire size in the table's spelling: ``10`` below AWG is 10 AWG, ``000`` is 3/0 AWG."""
    gauge = "awg" in head.words.split() or {"gauge", "gage"} & set(head.words.split())
    bare = re.fullmatch(r"(?:(?:AWG|#|no\.?) ?)?(\d{1,2}|[1-6]/0|0{1,6})(?: ?AWG)?", text, re.IGNORECASE)
    if bare and (gauge or re.search("awg", text, re.IGNORECASE)):
        number = bare[1]
        if re.fullmatch("0+", number):
            number = f"{len(number)}/0"
        return f"{number} AWG"
    metric = re.fullmatch(r"([\d.]+) ?(?:mm2|mm²|mm\^2|sq\.? ?mm)", text, re.IGNORECASE)
    return f"{float(metric[1]):g} mm2" if metric else text


def _from_title(row, title, used, target):
    """A title between the rows fills a column of words that nothing else fills, where the table knows that word."""
    linked = {link.column.name for link in used}
    for column in target.declared.columns:
        if isinstance(column, Number | YesNo) or column.name in linked or column.words in _OWN:
            continue
        spelled = {fold(str(r[column.name])): r[column.name] for r in target.rows if r.get(column.name)}
        if fold(title) in spelled and column.words != target.declared.key:
            row.values[column.name] = spelled[fold(title)]
            row.look(f"{column.words} {quoted(spelled[fold(title)])} from the title above it")
            return
    row.look(f"it stands below the title {quoted(title)}")


# ---- which row of the table is meant


def _match(report, target):
    """Give every row its key and the row of the table it means."""
    key_name = target.declared.columns[0].name
    squashed = {}
    for row in target.rows:
        squashed.setdefault(_squash(key_of(row)), key_of(row))
    for row in report.rows:
        named = row.values.get(key_name)
        if named:
            row.key = " ".join(str(named).split())
            number = target.by_key.get(fold_key(row.key))
            if number is not None:
                row.old = target.rows[number]
                row.key = key_of(row.old)
            elif _squash(row.key) in squashed:
                row.refuse(f"its name is nearly that of {quoted(squashed[_squash(row.key)])}: the same part?")
        elif row.result != REFUSED:
            _by_identity(row, target)
        else:
            row.key = row.key or row.place
        row.key = row.key or row.place
    _doubles(report)


def _squash(text):
    return re.sub(r"[\W_]+", "", text.casefold())


def _by_identity(row, target):
    """The row of the table that has the same identity, for datasheets without our names."""
    columns = [c for c in target.declared.columns if c.words in IDENTITY.get(target.file, ())]
    given = [c for c in columns if row.values.get(c.name) is not None]
    if not given:
        row.refuse(f"it has no name, and nothing says which {target.declared.key} it is")
        return
    fits = [old for old in target.rows if all(_equal(row.values[c.name], old.get(c.name), 0.005) for c in given)]
    full = all(row.values.get(c.name) is not None for c in columns)
    row.key = " ".join(_part_of_name(row, c, target) for c in given)
    if len(fits) == 1:
        row.old, row.key = fits[0], key_of(fits[0])
        row.look(f"taken for this row by its {', '.join(c.words for c in given)}")
    elif len(fits) > 1:
        names = ", ".join(key_of(one) for one in fits[:4])
        row.refuse(f"it may be any of {len(fits)} rows: {names}. Add a column {quoted(target.declared.key)}")
    elif not full and len(given) < max(1, len(columns) - 2):
        missing = ", ".join(c.words for c in columns if c not in given)
        row.refuse(f"it has no name, and {missing} are not given: which {target.declared.key} is it?")
    elif fold_key(row.key) in target.by_key:
        row.refuse(f"{quoted(row.key)} stands in the table with another {' or '.join(c.words for c in columns)}")
    else:
        row.look("its name was made of what it is")


def _part_of_name(row, column, target):
    value = row.values[column.name]
    if not isinstance(column, Number):
        return str(value)
    unit = target.units.get(column.name) or (find_unit(column.unit) if column.unit else UNITS[""])
    return f"{unit.from_inner(value):.6g} {unit.name}".strip()


def _equal(a, b, tolerance=1e-9):
    if a is None or b is None:
        return a is None and b is None
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= tolerance * max(abs(a), abs(b))
    return fold(str(a)) == fold(str(b))


def _doubles(report):
    """Rows of one datasheet that name the same part: the same again is dropped, others are all refused."""
    first = {}
    for row in report.rows:
        if not row.key or row.key == row.place:
            continue
        before = first.setdefault(fold_key(row.key), row)
        if before is row:
            continue
        same = all(_equal(row.values.get(name), value) for name, value in before.values.items())
        if same and set(before.values) == set(row.values):
            row.look(f"the same as {before.place}")
            row.result = row.result or "double"
        else:
            row.refuse(f"{before.place} says something else of {quoted(row.key)}")
            before.refuse(f"{row.place} says something else of {quoted(row.key)}")


# ---- the row as it would stand in the table


def _compose(report, target, tables, sources):
    """What each row would be in the table, and how it differs from what stands there."""
    key_name = target.declared.columns[0].name
    known = target.declared.columns
    for row in report.rows:
        if row.result == REFUSED:
            continue
        if row.result == "double":
            row.result = SAME
            continue
        stated = {name: value for name, value in row.values.items() if value is not None and name != key_name}
        _derive(row, stated, target)
        base = dict(row.old) if row.old else {c.name: None for c in known}
        new = dict(base)
        new.pop("line", None) if row.old is None else None
        if row.old is None:
            new[key_name] = row.key
        differing = {n: v for n, v in stated.items() if not _same_value(row, n, v, base, target)}
        new.update(differing)
        figures = [n for n in differing if n not in _OWN]
        if "source" in target.index and (figures or row.old is None):
            new["source"] = stated.get("source") or report.source
        if "status" in target.index and (figures or row.old is None):
            new["status"] = stated.get("status") or "read"
        row.new = new
        if row.old is None:
            row.result = NEW
        elif all(_equal(new.get(c.name), row.old.get(c.name), 0.0) for c in known):
            row.result = SAME
            if row.old.get("status") == "memory":
                row.look("the same figures; it stays 'memory' unless the datasheet has a column status")
        else:
            row.result = CHANGED
        _schema(row, target, tables, sources)
        if row.result == CHANGED:
            _status_conflict(row, figures)
            for severity, _, text in judge_change(known, row.old, row.new):
                row.refuse(text) if severity == REFUSE else row.look(text)


def _derive(row, stated, target):
    """What a size says of itself."""
    size = stated.get("size")
    if "size_system" in target.index and size and "size_system" not in stated and row.old is None:
        system = "AWG" if str(size).endswith("AWG") else "mm2" if str(size).endswith("mm2") else None
        if system:
            stated["size_system"] = system
    if target.file == "conductors.csv" and row.old is None and not size and stated.get("area_mm2"):
        text = row.texts.get("area_mm2", "")
        if re.fullmatch(r"[\d.]+( ?mm2| ?mm²)?", text):
            stated["size"], stated["size_system"] = f"{stated['area_mm2']:g} mm2", "mm2"
            row.look("its size is taken from its area")


def _same_value(row, name, value, base, target):
    """Whether a datasheet's figure is what the table has; in another unit, to the digits the datasheet prints."""
    old = base.get(name)
    if not isinstance(value, float) or not isinstance(old, float):
        return _equal(value, old)
    if abs(value - old) <= 1e-9 * max(abs(value), abs(old)):
        return True
    link_unit = row.units.get(name)
    own = target.units.get(name)
    if link_unit is None or own is None or link_unit == own:
        return False
    digits = re.fullmatch(r"[+-]?\d+(?:[.,](\d+))?", row.texts.get(name, ""))
    if digits is None:
        return False
    half = 0.5 * 10 ** -len(digits[1] or "") * link_unit.scale
    return abs(value - old) <= half * (1 + 1e-9) and abs(value - old) <= 0.005 * abs(old)


def _status_conflict(row, figures):
    old, new = _RANK.get(row.old.get("status"), 0), _RANK.get(row.new.get("status"), 2)
    if figures and old > new:
        row.refuse(f"the table's row is '{row.old['status']}', this one only '{row.new['status']}'")


def _schema(row, target, tables, sources):
    """The row's cells as the table would read them; required ones filled; references that lead somewhere."""
    for column in target.declared.columns:
        value = row.new.get(column.name)
        if value is None:
            if getattr(column, "filled", False):
                row.refuse(f"{column.words} is missing")
            continue
        if row.old is not None and _equal(value, row.old.get(column.name), 0.0):
            continue
        if column.name not in target.index:
            if column.words not in _OWN:
                row.look(f"the table has no column {quoted(column.words)}; not taken")
            continue
        text = _written(value, column, target)
        row.written[column.name] = text
        complaints = []
        unit = target.units.get(column.name)
        read = read_cells(column, unit, [text], target.text.decimal, lambda i, found, expected, near="", c=complaints: c.append(f"{found}. {expected}"))
        for complaint in complaints:
            row.refuse(f"{column.words}: {complaint}".rstrip(". "))
        again = read[0][0] if isinstance(column, Number) else read[0]
        if not complaints and not _equal(again, value, 2e-9):
            row.refuse(f"{column.words}: {quoted(text)} would not read back as {value!r}")
        if getattr(column, "refers_to", None) and not complaints:
            rows = tables.rows.get(column.refers_to, ())
            keys = {key_of(r).casefold(): key_of(r) for r in rows}
            if str(value).casefold() not in keys and not (column.words == "source" and value not in sources.values() and row.new["source"] == value and row.values.get("source") is None):
                near = nearest(str(value), keys.values())
                row.refuse(f"{column.words}: {quoted(value)} is not a key of {column.refers_to}" + (f"; did you mean {quoted(near)}?" if near else ""))


def _written(value, column, target):
    """A value as a cell of the table."""
    if not isinstance(column, Number):
        return str(value)
    unit = target.units[column.name]
    shown_value = unit.from_inner(value)
    text = next(t for n in range(1, 17) for t in (f"{shown_value:.{n}g}",) if n == 16 or abs(float(t) - shown_value) <= 1e-10 * abs(shown_value))
    if "e" in text:
        text = f"{float(text):.20f}".rstrip("0").rstrip(".") if abs(float(text)) < 1 else f"{float(text):.0f}"
        if abs(float(text) - shown_value) > 1e-9 * abs(shown_value):
            text = f"{shown_value:.12g}"
    return text.replace(".", ",") if target.text.decimal == "," else text


# ---- the table as a whole


def _judge_all(report, target, tables):
    """Judge the rows that would land among those that stand; what is refused is taken out, until nothing more is."""
    before = {(f.key, f.rule, f.columns) for f in judge(target.file, tables.having(target.file, [dict(r) for r in target.rows]))}
    while True:
        landing = [row for row in report.rows if row.result in (NEW, CHANGED)]
        if not landing:
            return
        touched = {row.key for row in landing}
        by_key = {row.key: row for row in landing}
        rows = [dict(by_key[key_of(old)].new) if key_of(old) in by_key else dict(old) for old in target.rows]
        rows += [dict(row.new) for row in landing if row.result == NEW]
        found = [f for f in judge(target.file, tables.having(target.file, rows), touched) if f.key in touched]
        found = [f for f in found if _concerns(f, by_key[f.key], before)]
        bad = [f for f in found if f.severity == REFUSE]
        if not bad:
            for finding in found:
                by_key[finding.key].look(finding.text)
            _near_doubles(landing, rows, target)
            if all(row.result != REFUSED for row in landing):
                return
            continue
        for finding in bad:
            by_key[finding.key].refuse(finding.text)


def _concerns(finding, row, before):
    """Whether a finding is this row's doing: a new row, or a column it changes; an old complaint is not."""
    if row.result == NEW:
        return True
    changed = {name for name, value in row.new.items() if not _equal(value, row.old.get(name), 0.0)}
    if not changed & set(finding.columns):
        return False
    return finding.severity == REFUSE or (finding.key, finding.rule, finding.columns) not in before


def _near_doubles(landing, rows, target):
    """A new row that is a known part under another name."""
    columns = [c.name for c in target.declared.columns if c.words in IDENTITY.get(target.file, ())]
    figures = [c.name for c in target.declared.columns if isinstance(c, Number)]
    if not columns:
        return
    for row in landing:
        if row.result != NEW:
            continue
        for other in rows:
            if key_of(other) == row.key or not all(_equal(row.new.get(n), other.get(n), 1e-6) for n in columns):
                continue
            if all(_equal(row.new.get(n), other.get(n), 1e-6) for n in figures):
                row.refuse(f"the same part as {quoted(key_of(other))} under another name")
            else:
                row.look(f"nearly the same part as {quoted(key_of(other))}")
            break
        else:
            close = difflib.get_close_matches(row.key, [k for k in (key_of(o) for o in rows) if k != row.key], n=1, cutoff=0.93)
            if close and re.sub(r"\D", "", close[0]) == re.sub(r"\D", "", row.key):
                row.look(f"its name is close to {quoted(close[0])}")


# ---- writing


def _edited(folder, target, landing, made_source, datasheet):
    """New bytes of the files the rows that land change."""
    if not landing:
        return {}
    records = {fold_key(target.text.cell_of(record, 0)): record for record in target.text.records[1:]}
    if target.declared.columns[0].name in target.index and target.index[target.declared.columns[0].name] != 0:
        at = target.index[target.declared.columns[0].name]
        records = {fold_key(target.text.cell_of(record, at)): record for record in target.text.records[1:]}
    for row in landing:
        row.changes = []
        titles = {c.name: c.title if not isinstance(c, Number) else target.text.header[target.index[c.name]] for c in target.declared.columns if c.name in target.index}
        if row.result == CHANGED:
            record = records[fold_key(row.key)]
            for name, text in row.written.items():
                row.changes.append((titles[name], target.text.cell_of(record, target.index[name]), text))
                target.text.set_cell(record, target.index[name], text)
        else:
            cells = [""] * len(target.text.records[0].spans)
            for name, text in row.written.items():
                cells[target.index[name]] = text
                row.changes.append((titles[name], "", text))
            target.text.add_row(cells)
    files = {target.file: target.text.bytes_after()}
    if made_source:
        files["sources.csv"] = _with_source(folder, made_source, datasheet)
    return files


def _source_key(datasheet, sources):
    """A key for a datasheet nobody named a source for: its name and the start of its hash."""
    stem = re.sub(r"[^a-z0-9]+", "-", Path(datasheet).stem.casefold()).strip("-") or "datasheet"
    digest = hashlib.sha256(Path(datasheet).read_bytes()).hexdigest() if Path(datasheet).is_file() else ""
    return f"datasheet-{stem}-{digest[:8]}"


def _with_source(folder, key, datasheet):
    """Bytes of sources.csv with a row for this datasheet; the shipped ones with it where the folder has none."""
    text = _start_text(folder, "sources.csv")
    titles = [" ".join(t.split()) for t in text.header]
    known = {fold_key(text.cell_of(r, 0)) for r in text.records[1:]}
    if fold_key(key) in known:
        return text.bytes_after()
    full = sha256(Path(datasheet).read_bytes())
    values = {"source": key, "title": f"Datasheet {Path(datasheet).name}", "kind": "datasheet", "status": "read",
              "note": f"taken in by a merge; SHA-256 {full}"}  # fmt: skip
    text.add_row([values.get(title, "") for title in titles])
    return text.bytes_after()


def _write(report, folder, target, landing, saved, map_path, map_file, dry_run):
    """The new files with their history and the way back, in one step; a dry run keeps a map that was asked for."""
    rows = map_rows(report.mappings, saved)
    new_map = map_bytes(rows) if rows != saved else None
    if dry_run:
        if map_file is not None and new_map is not None and not map_path.exists():
            replace_whole(map_path, new_map)
        return
    if new_map is not None:
        replace_whole(map_path, new_map)
    if not landing:
        return
    number, when = next_number(folder), now()
    report.number = number
    report.files = {name: data for name, data in report.files.items() if data != shown(folder / name)}
    record = {
        "merge": number,
        "when": when,
        "table": target.file,
        "datasheet": report.datasheet,
        "source": report.source,
        "files": {name: pack(shown(folder / name), data) for name, data in report.files.items()},
    }
    history = [
        {"merge": number, "when": when, "what": "merge", "table": target.file, "key": row.key, "column": column,
         "old value": old, "new value": new, "source": row.new.get("source") or report.source,
         "note": f"{report.datasheet} {row.place}"}
        for row in landing
        for column, old, new in row.changes
    ]  # fmt: skip
    files = dict(report.files)
    files[HISTORY] = with_history(folder, history)
    files[f"{FOLDER}/{number:04d}.json"] = json.dumps(record, indent=1).encode()
    Change(folder, files).commit()


__all__ = ["CHANGED", "LOOK", "NEW", "REFUSED", "SAME", "Report", "Row", "merge", "table_file"]
