"""The table merged into: its text, its columns with the undeclared ones, its rows, and the tables it stands among."""

from dataclasses import dataclass, field
from pathlib import Path

from selector.catalogue.catalogue import load, shipped_tables
from selector.catalogue.cells import Number, Text, YesNo
from selector.catalogue.declarations import DECLARED, REPEATED_KEYS, Declaration
from selector.catalogue.judging import Tables, key_of
from selector.catalogue.merging_rows import OWN
from selector.catalogue.merging_text import TableText, read_text, records_of
from selector.catalogue.reading import fold_key, read_csv, read_table
from selector.errors import Problems, TableError, UnitError, UsageError, nearest, quoted
from selector.units import UNITS, find_unit, fold, split_header


@dataclass
class Target:
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


def declaration_of(folder, table):
    """The declaration of a table named with or without .csv: a shipped one, or a family a user declared beside it.

    Raises `UsageError` where there is none.
    """
    name = Path(str(table)).name.removesuffix(".csv")
    if f"{name.casefold()}.csv" in REPEATED_KEYS:
        raise UsageError(f"--into: {quoted(table)} has several rows of one name; edit it by hand.")
    if f"{name.casefold()}.csv" in DECLARED:
        return DECLARED[f"{name.casefold()}.csv"]
    own = {path.name.removesuffix(".family.csv"): path for path in folder.glob("*.family.csv")}
    found = next((one for one in own if one.casefold() == name.casefold()), None)
    if found is not None:
        return _own_family(found, own[found])
    near = nearest(f"{name}.csv", [*DECLARED, *(f"{one}.csv" for one in own)])
    raise UsageError(f"--into: {quoted(table)} is not a table." + (f" Did you mean '{near}'?" if near else ""))


def _own_family(name, path):
    from selector.catalogue.own import FAMILY_COLUMNS, _columns

    problems = Problems()
    frame = read_table(read_csv(path, problems=problems), FAMILY_COLUMNS, None, problems)
    rows = [{**row, "_line": line} for row, line in zip(frame.data.iter_rows(named=True), frame.lines, strict=True)]
    columns, key = _columns(rows, path.name, problems)
    problems.raise_if_any(TableError, f"{path.name} cannot be used")
    return Declaration(f"{name}.csv", key, columns)


def load_for(folder):
    """The catalogue a folder of tables belongs to: itself, or laid over the shipped one where it is a project's own."""
    return load(None, folder) if is_projects(folder) else load(folder)


_LOOKS_AT = {
    "conductors.csv": ("materials.csv",),
    "wires.csv": ("conductors.csv", "insulations.csv"),
    "lugs.csv": ("studs.csv",),
    "fuses.csv": ("fuse_curves.csv",),
    "stud_torques.csv": ("studs.csv",),
}
"""Table -> other tables its rules look things up in."""


def tables_around(folder, declared):
    """The tables a merge looks at: the table itself, its sources, what its cells refer to and its rules look up.

    Others may be broken without being in the way. A project's own rows are laid over the shipped ones.
    """
    if is_projects(folder):
        return Tables.of(load(None, folder))
    files = {"sources.csv", *_LOOKS_AT.get(declared.file, ())}
    files |= {c.refers_to for c in declared.columns if getattr(c, "refers_to", None)}
    problems, rows = Problems(), {}
    for file in sorted(files):
        path = folder / file if (folder / file).exists() else shipped_tables() / file
        frame = read_table(read_csv(path, problems=problems), DECLARED[file].columns, None, problems)
        rows[file] = [{**row, "line": n} for row, n in zip(frame.data.iter_rows(named=True), frame.lines, strict=True)]
    problems.raise_if_any(TableError, "tables cannot be used")
    return Tables(rows)


def is_projects(folder):
    """Whether a folder holds a project's own rows rather than whole tables."""
    return (Path(folder).resolve().parent / "connections.csv").exists()


def start_text(folder, declared):
    """A table's text; where the folder has none, the shipped table's, or heads alone for a project's own rows."""
    file, known = declared.file, [c.words for c in declared.columns]
    if (folder / file).exists():
        return read_text(folder / file, known)
    if not is_projects(folder) and (shipped_tables() / file).exists():
        return read_text(shipped_tables() / file, known)
    header = ",".join(f'"{c.title}"' if "," in c.title else c.title for c in declared.columns) + "\n"
    return TableText(folder / file, b"", header, "utf-8", b"", ",", records_of(header, [header], 0, ","))


def target_of(folder, declared):
    """The table a declaration stands for, read with the places of its cells."""
    file, text = declared.file, start_text(folder, declared)
    if not text.data:
        titles = {c.name: c.title for c in declared.columns}
        return Target(file, declared, text.path, text, None, [], {}, *places_of(text, declared, titles))
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
    index, units = places_of(text, declared, frame.headers)
    return Target(file, declared, text.path, text, frame, rows, by_key, index, units)


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


def places_of(text, declared, headers):
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
            units[column.name] = (
                find_unit(unit or column.unit, column.dimension) if (unit or column.unit) else UNITS[""]
            )
    return index, units


def vocabulary(target, tables):
    """Words of text column -> what its cells hold, folded; of a reference, the keys it may name."""
    found = {}
    for column in target.declared.columns:
        if isinstance(column, Number | YesNo) or column.words in OWN:
            continue
        values = {fold(str(row[column.name])) for row in target.rows if row.get(column.name)}
        if column.refers_to:
            rows = tables.rows.get(column.refers_to, ())
            values |= {fold(key_of(row)) for row in rows}
        found[column.words] = frozenset(values)
    return found
