"""A user's own checks and own families: the same rows as the shipped ones, with fewer columns and no code.

``own_checks.csv`` of a project holds checks. ``tables/NAME.csv`` with ``tables/NAME.family.csv`` beside it is a family:
rows ``what, name, unit, value, reason``, where what is

- ``key``: name is the header of the key column
- ``column``: name and unit of a column; unit ``yes/no`` and ``words`` say what a column holds that is no number
- ``smallest by``: name of a column, in order; the first is the size
- ``check``: name of the check, its unit, and as value ``ACTUAL at most LIMIT`` or ``ACTUAL at least LIMIT``
"""

import re
from dataclasses import dataclass

from selector.catalogue.arrays import floats, yes_no
from selector.catalogue.families import Candidates
from selector.catalogue.reading import Number, Text, YesNo, read_csv, read_table
from selector.errors import DefinitionError, Problems, UnitError, nearest, quoted
from selector.units import find_unit, snake

FAMILY_COLUMNS = (
    Text("what", required=True, filled=True, words_allowed=("role", "key", "column", "smallest by", "check")),
    Text("name", required=True, filled=True),
    Text("unit"),
    Text("value"),
    Text("reason"),
)
_SENSE = re.compile(r"(.+?)\s+(at most|at least)\s+(.+)", re.DOTALL)


def own_check_rows(project):
    """Check rows from a project's own_checks.csv, coded O01 and on in file order."""
    frame = project.frames["own_checks.csv"]
    rows = []
    for number, row in enumerate(project.rows("own_checks.csv"), 1):
        reason = row["reason"] or f"own check {number}"
        rows.append(_row(f"O{number:02d}", snake(reason), row["role"], row["actual"], row["sense"], row["limit"],
                         row["unit"], reason, row["_line"], frame.label or "own_checks.csv"))  # fmt: skip
    return rows


def _row(code, name, role, actual, sense, limit, unit, text, line, file):
    return {
        "code": code, "name": name, "role": role, "when": None, "actual": actual, "sense": sense, "limit": limit,
        "unit": unit, "severity": "must", "spare": "no" if unit == "yes/no" else "K" if unit in ("degC", "K") else "yes",
        "avoid_within": None, "source": "own", "text": text, "status": "measured", "line": line, "file": file,
    }  # fmt: skip


@dataclass
class OwnFamily:
    """A family a user declared: candidates, its order of preference as rows, its checks as rows."""

    name: str
    candidates: Candidates
    preference: list
    checks: list


def own_families(folder, encoding=None):
    """Families declared in a project's tables folder; raises `DefinitionError` with every problem."""
    problems, found = Problems(), []
    if folder is None or not folder.is_dir():
        return found
    for path in sorted(folder.glob("*.family.csv")):
        name = path.name.removesuffix(".family.csv")
        table = path.with_name(f"{name}.csv")
        if not table.exists():
            problems.add(
                f"project tables/{path.name}",
                None,
                "",
                f"there is no {name}.csv beside it",
                "A family has a table of that name.",
            )
            continue
        family = _family(name, path, table, problems, encoding)
        if family is not None:
            found.append(family)
    problems.raise_if_any(DefinitionError, "own families cannot be used")
    return found


def _family(name, path, table, problems, encoding):
    before = len(problems)
    label = f"project tables/{path.name}"
    sheet = read_csv(path, encoding, label=label, problems=problems)
    if sheet is None or len(problems) > before:
        return None
    declared = read_table(sheet, FAMILY_COLUMNS, None, problems)
    rows = [
        {**row, "_line": line} for row, line in zip(declared.data.iter_rows(named=True), declared.lines, strict=True)
    ]
    if len(problems) > before:
        return None
    columns, key = _columns(rows, label, problems)
    sheet = read_csv(table, encoding, label=f"project tables/{table.name}", problems=problems)
    if sheet is None or len(problems) > before:
        return None
    frame = read_table(sheet, columns, key, problems)
    by_name = {column.words: column for column in columns}
    smallest = [row for row in rows if row["what"] == "smallest by"]
    for row in smallest:
        if not isinstance(by_name.get(row["name"]), Number):
            problems.add(label, row["_line"], "name", f"{quoted(row['name'])} is no column with numbers of this family",
                         "Name one of its columns.", nearest(row["name"], by_name))  # fmt: skip
    if not smallest:
        problems.add(
            label, None, "what", "there is no row smallest by", "Say which column makes one part smaller than another."
        )
    if len(problems) > before:
        return None
    roles = [row["name"] for row in rows if row["what"] == "role"] or [name]
    checks = _checks(name, roles, rows, label, problems)
    preference = [
        {
            "family": name,
            "step": float(step),
            "column": row["name"],
            "direction": "ascending",
            "words_in_order": None,
            "when": None,
        }
        for step, row in enumerate(smallest, 1)
    ]
    return OwnFamily(name, _candidates(name, table.name, frame, columns, key, smallest[0]["name"]), preference, checks)


def _columns(rows, label, problems):
    key, columns = None, []
    for row in rows:
        if row["what"] == "key":
            key = row["name"]
            columns.insert(0, Text(key, required=True, filled=True))
        elif row["what"] == "column":
            unit = row["unit"] or ""
            if unit == "yes/no":
                columns.append(YesNo(row["name"]))
            elif unit == "words":
                columns.append(Text(row["name"]))
            else:
                try:
                    columns.append(Number(row["name"], unit or None))
                except UnitError as error:
                    problems.add(error.at(label, row["_line"], "unit"))
    if key is None:
        problems.add(label, None, "what", "there is no row key", "Name the column that names each part.")
    return tuple(columns), key


def _checks(name, roles, rows, label, problems):
    found = []
    for number, row in enumerate((r for r in rows if r["what"] == "check"), 1):
        match = _SENSE.fullmatch(row["value"] or "")
        if match is None:
            problems.add(
                label,
                row["_line"],
                "value",
                f"{quoted(row['value'] or '')} is no comparison",
                "Write ACTUAL at most LIMIT, or ACTUAL at least LIMIT.",
            )
            continue
        for role in roles:
            found.append(_row(f"{name[:3].upper()}{number:02d}", snake(row["name"]), role, match[1], match[2], match[3],
                              row["unit"], row["reason"] or row["name"], row["_line"], label))  # fmt: skip
    return found


def _candidates(name, file, frame, columns, key, size):
    import numpy as np

    data = frame.data
    numbers, words = {}, {}
    for column in columns:
        series = data[column.name]
        if isinstance(column, Number):
            numbers[column.name] = floats(series)
        elif isinstance(column, YesNo):
            numbers[column.name] = yes_no(series)
        else:
            words[column.name] = series.to_list()
    numbers["number"] = np.ones(data.height)
    by_words = {column.words: column for column in columns}
    measure = by_words[size]
    unit = find_unit(measure.unit) if measure.unit else None
    sizes = [
        None if value != value else f"{unit.from_inner(value):g} {unit.name}" if unit else f"{value:g}"
        for value in numbers[measure.name]
    ]
    keys = data[snake(key)].to_list()
    statuses = data["status"].to_list() if "status" in data.columns else ["measured"] * data.height
    sources = data["source"].to_list() if "source" in data.columns else ["own"] * data.height
    return Candidates(
        family=name, table=file, keys=keys, sizes=sizes, size_value=numbers[measure.name], columns=numbers, words=words,
        statuses=[status or "measured" for status in statuses], sources=[source or "own" for source in sources],
        origins=["project"] * data.height, lines=list(frame.lines),
        descriptions=[" ".join(str(value) for value in row if value is not None) for row in data.iter_rows()],
    )  # fmt: skip
