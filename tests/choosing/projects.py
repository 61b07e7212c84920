"""Small projects for tests: a dictionary of rows a file, written as CSV and picked."""

import csv

from selector import pipeline
from selector.report.result import result

BASE = {
    "connections.csv": [
        {"connection": "windlass", "kind": "cable", "from": "main bus", "to": "windlass", "zone": "deck",
         "current [A]": "60", "length [m]": "8", "peak current [A]": "150", "peak time [s]": "10"},
        {"connection": "lights", "kind": "cable", "from": "main bus", "to": "lights", "zone": "cabin",
         "current [A]": "5", "length [m]": "6"},
        {"connection": "battery", "kind": "cable", "from": "battery", "to": "main bus", "zone": "cabin", "length [m]": "1.2"},
    ],
    "nodes.csv": [
        {"node": "battery", "system": "12 V", "role": "supply", "stud": "M8"},
        {"node": "main bus", "system": "12 V", "role": "bus", "stud": "M8"},
        {"node": "windlass", "system": "12 V", "role": "load", "stud": "M8"},
        {"node": "lights", "system": "12 V", "role": "load", "stud": "M5"},
    ],
    "supplies.csv": [{"node": "battery", "type": "battery", "chemistry": "agm", "capacity [Ah]": "200",
                      "short-circuit current [A]": "1800"}],
    "systems.csv": [{"system": "12 V", "nominal [V]": "12", "highest [V]": "14.4", "lowest [V]": "10.5"}],
    "zones.csv": [{"zone": "deck", "ambient [degC]": "40", "wet": "yes"}, {"zone": "cabin", "ambient [degC]": "30", "wet": "no"}],
}  # fmt: skip


def with_rows(**changes):
    """The base project with files replaced; ``connections`` stands for connections.csv."""
    return {**BASE, **{f"{name}.csv": rows for name, rows in changes.items()}}


def changed(connection, **cells):
    """The base project with cells of one connection changed; names have underscores for ``current [A]`` by HEADERS."""
    rows = [dict(row) for row in BASE["connections.csv"]]
    row = next(row for row in rows if row["connection"] == connection)
    row.update({HEADERS.get(name, name): value for name, value in cells.items()})
    return with_rows(connections=rows)


HEADERS = {
    "current": "current [A]", "length": "length [m]", "peak_current": "peak current [A]", "peak_time": "peak time [s]",
    "grouped_with": "grouped with", "lug_to": "lug to", "lug_from": "lug from", "drop_limit": "drop limit [%]", "frm": "from",
    "protected_by": "protected by", "return_": "return", "protection_at": "protection at",
}  # fmt: skip


def write(folder, files):
    folder.mkdir(parents=True, exist_ok=True)
    for name, rows in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        header = list(dict.fromkeys(key for row in rows for key in row))
        with path.open("w", newline="", encoding="utf-8") as stream:
            writer = csv.DictWriter(stream, header)
            writer.writeheader()
            writer.writerows(rows)
    return folder


def pick(folder, files, **options):
    """The result of a project as the JSON has it, connections by name under ``by_name``."""
    outcome = pipeline.run(write(folder, files), **options)
    data = result(outcome, options.get("brief", False))
    data["by_name"] = {connection["connection"]: connection for connection in data["connections"]}
    return data


def part(connection, role):
    return next((p["part"] for p in connection["picks"] if p["role"] == role), None)


def check(connection, name, role=None):
    return next(c for c in connection["checks"] if c["name"] == name and (role is None or c["role"] == role))
