"""A small job on a 12 m river workboat, written as files, and its outcome."""

import csv
from types import SimpleNamespace

import pytest

ROWS = {
    "connections.csv": [
        ["connection", "kind", "from", "to", "system", "zone", "current [A]", "length [m]", "peak current [A]",
         "peak time [s]", "grouped with", "protection", "conductor", "lug from", "lug to", "sleeve from", "sleeve to"],
        ["windlass", "cable", "main bus", "windlass", "12 V", "deck", "60", "8", "150", "10", "", *[""] * 6],
        ["lights", "cable", "main bus", "lights", "12 V", "cabin", "5", "6", "", "", "2", *[""] * 6],
        ["pump", "cable", "main bus", "pump", "12 V", "engine room", "9", "4", "", "", "", *[""] * 6],
        ["horn", "cable", "main bus", "horn", "12 V", "cabin", "6", "", "", "", "", *[""] * 6],
        ["battery feed", "cable", "battery", "main bus", "12 V", "locker", "", "1.2", "", "", "", *[""] * 6],
        ["sense", "control wire", "main bus", "lights", "12 V", "cabin", "0.2", "3", "", "", "0", *[""] * 6],
    ],
    "nodes.csv": [
        ["node", "system", "role", "stud"],
        ["battery", "12 V", "supply", "M8"],
        ["main bus", "12 V", "bus", "M8"],
        ["windlass", "12 V", "load", "M8"],
        ["lights", "12 V", "load", "M5"],
        ["pump", "12 V", "load", "M5"],
        ["horn", "12 V", "load", "M5"],
    ],
    "supplies.csv": [
        ["node", "type", "chemistry", "capacity [Ah]", "short-circuit current [A]"],
        ["battery", "battery", "agm", "200", "1800"],
    ],
    "systems.csv": [["system", "nominal [V]", "highest [V]", "lowest [V]"], ["12 V", "12", "14.4", "10.5"]],
    "zones.csv": [
        ["zone", "ambient [degC]", "wet", "engine space", "air speed [m/s]", "altitude [m]"],
        ["deck", "40", "yes", "no", "2", "0"],
        ["cabin", "30", "no", "no", "0", "0"],
        ["locker", "32", "no", "no", "0", "0"],
        ["engine room", "50..60", "no", "yes", "0", "0"],
    ],
    "settings.csv": [["setting", "value"], ["rule set", "us-small-craft"]],
}  # fmt: skip


def write_project(folder, rows):
    """Write the files of a project; ``rows`` maps a file to its rows."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, own in rows.items():
        with open(folder / name, "w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(own)
    return folder


def changed(file, key, **values):
    """A copy of the project's rows with cells of one row changed, by header words with underscores for spaces."""
    copy = {name: [list(row) for row in own] for name, own in ROWS.items()}
    return change(copy, file, key, **values)


def change(rows, file, key, **values):
    header = [name.split(" [")[0].replace(" ", "_") for name in rows[file][0]]
    row = next(row for row in rows[file][1:] if row[0] == key)
    for name, value in values.items():
        row[header.index(name)] = value
    return rows


@pytest.fixture(scope="session")
def boat():
    """The job's rows, and how to change and write them."""
    return SimpleNamespace(rows=ROWS, write=write_project, changed=changed, change=change)


@pytest.fixture(scope="session")
def project(tmp_path_factory):
    return write_project(tmp_path_factory.mktemp("workboat") / "workboat", ROWS)


@pytest.fixture(scope="session")
def outcome(project):
    from selector import pipeline

    return pipeline.run(project)


@pytest.fixture(scope="session")
def written(outcome, tmp_path_factory):
    from selector.report.workbook import write_workbook

    path = tmp_path_factory.mktemp("out") / "workboat.xlsx"
    write_workbook(outcome, path)
    return path
