"""One connection from options, as a project of one row."""

from pathlib import Path

from selector.catalogue.reading import Sheet, read_table
from selector.errors import Problem, Problems, UsageError
from selector.project.declarations import FILES
from selector.project.files import ProjectFiles


def single_project(kind, volts, cells, zone, node, supply, settings):
    """A project of one connection between a bus and a load.

    cells, zone, node, supply, settings : header -> text, as in the project's files; what is None is left empty.
    Raises `UsageError` naming the option for every value that cannot be read.
    """
    text = volts if volts is not None else None
    rows = {
        "connections.csv": [{"connection": "size", "kind": kind, "from": "supply side", "to": "load", "zone": "here", **cells}],
        "nodes.csv": [{"node": "supply side", "system": "system", "role": "bus", **node},
                      {"node": "load", "system": "system", "role": "load", **node}],
        "supplies.csv": [{"node": "supply side", **supply}] if supply else [],
        "systems.csv": [{"system": "system", "nominal [V]": text}],
        "zones.csv": [{"zone": "here", **zone}],
        "settings.csv": [{"setting": key, "value": value} for key, value in settings.items() if value is not None],
    }  # fmt: skip
    project = ProjectFiles("size", Path("."))
    problems = Problems()
    for file, (columns, key) in FILES.items():
        own = [{k: v for k, v in row.items() if v is not None} for row in rows.get(file, [])]
        header = list(dict.fromkeys(k for row in own for k in row)) or [column.title for column in columns]
        sheet = Sheet(
            file, header, [[str(row.get(h, "")) for h in header] for row in own], list(range(2, len(own) + 2)), ".", ""
        )
        project.frames[file] = read_table(sheet, columns, key, problems)
    if problems:
        raise options_error(problems)
    return project


def options_error(problems):
    """The problems of a project made from options, with each option's name in place of file, line and column."""
    texts = [str(Problem("", None, f"--{_option(p)}", p.found, p.expected, p.nearest)) for p in problems]
    return UsageError("\n".join(dict.fromkeys(texts)))


def _option(problem):
    if problem.file == "settings.csv":
        return "spare"
    words = problem.column.split("[")[0].strip().replace(" ", "-")
    return {"nominal": "volts", "short-circuit-current": "short-circuit", "drop-limit": "drop"}.get(words, words)
