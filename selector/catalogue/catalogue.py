"""All tables in force: the shipped ones or a folder's, with a project's own rows on top, and where each came from."""

import hashlib
from dataclasses import dataclass, field
from pathlib import Path

from selector.catalogue.declarations import DECLARED, IDLE, REPEATED_KEYS
from selector.catalogue.reading import Frame, check_references, fold_key, read_csv, read_table
from selector.errors import Problems, TableError, UsageError, nearest, quoted

SHIPPED, OWN = "shipped", "project"
HISTORY = "history.csv"
"""What the changes of a folder of tables are written to; no table itself."""


@dataclass
class Catalogue:
    """Tables by file name as polars frames, with ``line`` and ``origin`` beside each row.

    ``hashes`` maps the name shown for every file used to the SHA-256 of its bytes; ``hints`` are remarks on columns
    nobody declared.
    """

    frames: dict = field(default_factory=dict)
    headers: dict = field(default_factory=dict)
    hashes: dict = field(default_factory=dict)
    hints: list = field(default_factory=list)
    own_rows: list = field(default_factory=list)
    _grouped: dict = field(default_factory=dict, repr=False)

    def __getitem__(self, file):
        return self.frames[file]

    def rows(self, file, **wanted):
        """Rows of a table as dictionaries, those whose columns equal what is wanted; shared by all who ask for them."""
        names = tuple(wanted)
        if (file, names) not in self._grouped:
            groups = self._grouped[file, names] = {}
            for row in self.rows(file) if names else self.frames[file].iter_rows(named=True):
                groups.setdefault(tuple(row.get(name) for name in names), []).append(row)
        return [*self._grouped[file, names].get(tuple(wanted.values()), ())]


def shipped_tables():
    """The folder of tables that came with the program: beside a checkout's package, or inside an installed one."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "_tables"
    return inside if inside.is_dir() else package.parent / "tables"


def load(folder=None, project_folder=None, encoding=None, idle=True):
    """Read every table of ``folder`` (default: the shipped ones) and lay a project's own rows over them.

    Raises `TableError` with every problem found, `UsageError` where ``folder`` is none or has no table. A table
    missing in ``folder`` is taken from the shipped ones. Without ``idle``, tables no pick rests on yet are left out.
    """
    problems = Problems()
    catalogue = Catalogue()
    shipped = shipped_tables()
    base = Path(folder) if folder is not None else shipped
    if folder is not None:
        _check_folder(base)
    for file, declared in DECLARED.items():
        if not idle and file in IDLE:
            continue
        path = base / file
        if not path.exists():
            path = shipped / file
        _lay(catalogue, declared, path, file, SHIPPED, problems, encoding, remark=path.parent != shipped)
    for path in _own_files(project_folder, catalogue, problems):
        declared = DECLARED.get(path.name.casefold())
        if declared is not None:
            _lay(catalogue, declared, path, f"project:tables/{path.name}", OWN, problems, encoding, remark=True)
        elif not _is_own_family(path):
            problems.add(
                f"project tables/{path.name}", None, "", f"{quoted(path.name)} is not the name of a table",
                "Name it as the table whose rows it holds.", nearest(path.name, DECLARED)
            )  # fmt: skip
    if not problems:
        _check_references(catalogue, problems)
    problems.raise_if_any(TableError, "tables cannot be used")
    return catalogue


def _check_folder(base):
    if not base.is_dir():
        fault = "is a file" if base.exists() else "there is no such folder"
        raise UsageError(f"--tables: {base}: {fault}. Name a folder of tables.")
    if not any((base / file).exists() for file in DECLARED):
        raise UsageError(f"--tables: {base} holds no table. Name a folder with files such as wires.csv.")


def _own_files(folder, catalogue, problems):
    """The CSV files of a project's tables folder, in order of their names; what is not read is said."""
    folder = None if folder is None else Path(folder)
    if folder is None or not folder.exists():
        return []
    if not folder.is_dir():
        problems.add(
            "project tables", None, "", "this is a file, not a folder", "Put tables into a folder of that name."
        )
        return []
    try:
        paths = sorted(folder.iterdir())
    except OSError as error:
        problems.add("project tables", None, "", f"the folder cannot be read: {error.strerror or error}",
                     "Give yourself the right to read it.")  # fmt: skip
        return []
    for path in paths:
        if path.suffix.casefold() != ".csv" and path.is_file() and not path.name.startswith((".", "~")):
            catalogue.hints.append(f"project tables/{path.name} is not read: a table is a .csv file")
    return [path for path in paths if path.suffix.casefold() == ".csv" and path.name != HISTORY]


def _is_own_family(path):
    return path.name.endswith(".family.csv") or path.with_name(f"{path.stem}.family.csv").exists()


def _lay(catalogue, declared, path, label, origin, problems, encoding, remark):
    """Lay a table's rows over those there; with ``remark``, hint at columns nobody declared."""
    import polars as pl

    before = len(problems)
    shown = f"tables/{path.name}" if origin == SHIPPED else label.replace("project:", "project ")
    sheet = read_csv(path, encoding, label=shown, problems=problems)
    if sheet is None or len(problems) > before:
        return
    key = None if declared.file in REPEATED_KEYS else declared.key
    frame = read_table(sheet, declared.columns, key, problems)
    catalogue.hashes[label] = hashlib.sha256(path.read_bytes()).hexdigest()
    if remark:
        catalogue.hints += frame.hints
    line, whose = pl.Series("line", frame.lines, dtype=pl.Int64), pl.Series("origin", [origin] * len(frame.lines))
    data = pl.DataFrame([*(own for own in frame.data if own.name not in ("line", "origin")), line, whose])
    if origin == OWN and declared.file in catalogue.frames:
        data = _over(catalogue, declared, data)
    catalogue.frames[declared.file] = data
    catalogue.headers[declared.file] = frame.headers


def _over(catalogue, declared, own):
    """The table with a project's rows: the same key replaces in place, a new key is added below."""
    import polars as pl

    name = own.columns[0]
    known = catalogue.frames[declared.file]
    folded = pl.col(name).str.to_lowercase().str.strip_chars()
    catalogue.own_rows += [(declared.file, key) for key in own[name]]
    if declared.file in REPEATED_KEYS:
        kept = known.filter(~folded.is_in(own.select(folded).to_series().to_list()))
        return pl.concat([kept, own], how="diagonal_relaxed")
    fresh = own.with_columns(folded.alias("_key"))
    rows = known.with_columns(folded.alias("_key"), pl.int_range(pl.len()).alias("_order"))
    order = fresh.join(rows.select("_key", "_order"), on="_key", how="left").with_columns(
        pl.col("_order").fill_null(known.height + pl.int_range(pl.len()))
    )
    merged = pl.concat([rows.filter(~pl.col("_key").is_in(fresh["_key"].to_list())), order], how="diagonal_relaxed")
    return merged.sort("_order").drop("_key", "_order")


def _check_references(catalogue, problems):
    """Every cell that names a row of another table names one that is there."""
    import polars as pl

    keys_of, folded = {}, {}
    for file, declared in DECLARED.items():
        if file not in catalogue.frames:
            continue
        data = catalogue.frames[file]
        for column in declared.columns:
            target = getattr(column, "refers_to", None)
            if not target or column.name not in data.columns:
                continue
            if target not in keys_of:
                keys_of[target] = [key for key in catalogue.frames[target].to_series() if key is not None]
                folded[target] = {fold_key(key) for key in keys_of[target]}
            keys = keys_of[target]
            if all(fold_key(value) in folded[target] for value in {*data[column.name]} - {*keys, None}):
                continue
            for origin, label in ((SHIPPED, f"tables/{file}"), (OWN, f"project tables/{file}")):
                rows = data.filter(pl.col("origin") == origin)
                frame = Frame(file, rows, rows["line"].to_list(), catalogue.headers[file], label=label)
                check_references(frame, column.name, keys, problems, target)
