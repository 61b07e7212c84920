"""A project folder, or one workbook whose sheets have the files' names, read into frames with every problem named."""

from dataclasses import dataclass, field
from pathlib import Path

from selector.catalogue.reading import fold_key, read_csv, read_table, read_workbook
from selector.catalogue.sheets import sheet_names
from selector.errors import Problems, ProjectError, UsageError, nearest, quoted
from selector.project.declarations import FILES, NOT_USED_YET


@dataclass
class ProjectFiles:
    """What the user wrote.

    name : shown name of the project
    frames : file name -> frame with the data, lines and headers; a file that is absent has an empty frame
    notes : remarks for the user: assumed encodings, unknown columns
    not_used : what is read, but decides nothing in this version
    """

    name: str
    folder: Path
    frames: dict = field(default_factory=dict)
    notes: list = field(default_factory=list)
    not_used: list = field(default_factory=list)
    is_folder: bool = False

    @property
    def own_tables(self):
        """The folder of tables inside the project; a workbook has none."""
        return self.folder / "tables" if self.is_folder else None

    def rows(self, file):
        """The rows of a file as dictionaries with the line each stands on."""
        frame = self.frames[file]
        return [{**row, "_line": line} for row, line in zip(frame.data.iter_rows(named=True), frame.lines, strict=True)]


def read_project(path, problems=None, encoding=None):
    """Read a project folder or .xlsx; raises `UsageError` where there is none, `ProjectError` with every problem."""
    path = Path(path)
    own = problems if problems is not None else Problems()
    if not path.exists():
        raise UsageError(f"{path}: there is no such project; a project is a folder with connections.csv, or an .xlsx")
    name = path.resolve().name if path.is_dir() else path.stem
    project = ProjectFiles(name, path if path.is_dir() else path.parent, is_folder=path.is_dir())
    sheets = _folder(path, own, encoding, project.notes) if path.is_dir() else _book(path, own, project.notes)
    for file, (columns, key) in FILES.items():
        sheet = sheets.get(file)
        if sheet is None:
            if file == "connections.csv":
                if not own:
                    own.add(str(path), None, "", "there is no connections.csv",
                            "A project says in connections.csv what connects to what; selector new DIR writes an empty one.")  # fmt: skip
                continue
            from selector.catalogue.reading import Sheet

            sheet = Sheet(file, [column.title for column in columns], [], [], ".", "")
        elif sheet.note:
            project.notes.append(f"{sheet.label}: {sheet.note}")
        frame = read_table(sheet, columns, key, own)
        project.frames[file] = frame
        project.notes += frame.hints
    if problems is None:
        own.raise_if_any(ProjectError, f"{name} cannot be used")
    if not own:
        _note_unused(project, sheets)
    return project


WRITTEN_SHEETS = frozenset({"read first", "connections", "reasons", "verification"})
"""Sheets every workbook of results has, whatever a spreadsheet saved it as since."""
OTHER_FILES = ("kinds.csv", "hints.md")
"""Files of a project folder that are read elsewhere, or are for people."""


def _folder(path, problems, encoding, notes):
    known = {file: [column.words for column in columns] for file, (columns, _) in FILES.items()}
    sheets, seen = {}, {}
    try:
        entries = sorted(path.iterdir())
    except OSError as error:
        problems.add(str(path), None, "", f"the folder cannot be read: {error.strerror or error}",
                     "Give yourself the right to read it.")  # fmt: skip
        return sheets
    for entry in entries:
        file = entry.name.casefold()
        if file not in FILES:
            _note_unread(entry.name, file, notes)
        elif file in seen:
            problems.add(entry.name, None, "", f"{quoted(seen[file])} is there as well", "Keep one of them.")
        else:
            seen[file] = entry.name
            sheets[file] = read_csv(entry, encoding, label=file, known=known[file], problems=problems)
    return sheets


def _note_unread(name, file, notes, kind=""):
    if (
        file in OTHER_FILES
        or file.startswith((".", "~"))
        or not file.endswith((".csv", ".tsv", ".ods", ".xls", ".xlsx"))
    ):
        return
    near = nearest(file, FILES)
    notes.append(
        f"{kind}{name} is not read: it is no file of a project" + (f"; did you mean {quoted(near)}?" if near else "")
    )


def _book(path, problems, notes):
    if path.suffix.casefold() not in (".xlsx", ".xlsm"):
        raise UsageError(f"{path}: a project is a folder of CSV files or one .xlsx whose sheets have those names")
    sheets = {}
    if set(sheet_names(path)) >= WRITTEN_SHEETS:
        problems.add(path.name, None, "", "this is a workbook selector wrote, no project", "Name the project it was made from: "
                     "the folder of CSV files, or the .xlsx with sheets of their names.")  # fmt: skip
        return sheets
    for name, sheet in (read_workbook(path, problems=problems) or {}).items():
        file = f"{fold_key(name).removesuffix('.csv').replace(' ', '_')}.csv"
        sheets[file] = sheet
        if file not in FILES:
            _note_unread(sheet.label.rpartition(":")[2], file, notes, "sheet ")
    return sheets


def _note_unused(project, sheets):
    for file, names in NOT_USED_YET.items():
        frame = project.frames[file]
        for name in names:
            if name in frame.headers and frame.data[name].is_not_null().any():
                project.not_used.append(f"{file}: column {frame.headers[name]}")
