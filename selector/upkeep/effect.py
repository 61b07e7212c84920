"""What a change of tables does to what is already designed: parts, margins and verdicts, before and after.

Projects are run through the whole program, so its upper rooms are brought in only inside the functions.
"""

import json
import shutil
import tempfile
from pathlib import Path

from selector.catalogue.reading import fold_key
from selector.errors import SelectorError, UsageError, nearest, quoted

_MOST_DIGITS = 4


def _run(project, tables, brief=False):
    from selector import pipeline
    from selector.report.result import result

    outcome = pipeline.run(project, tables=tables, brief=brief)
    return outcome, result(outcome, False)


def effect_of(projects, folder, files):
    """What new bytes of tables would change in projects.

    Parameters
    ----------
    projects : project folders or workbooks
    folder : the tables folder the files belong to
    files : name of a table -> its new bytes

    Returns
    -------
    found : dictionaries with project, connection, what (part, status or margin), role, before, after and text
    """
    found = []
    with tempfile.TemporaryDirectory() as scratch:
        for number, project in enumerate(projects):
            old, new = _both(Path(project), Path(folder), files, Path(scratch) / str(number))
            found += compare(str(project), _data(*old), _data(*new))
    return found


def _data(project, tables):
    try:
        return _run(project, tables)[1]
    except SelectorError as error:
        return error


def _both(project, folder, files, scratch):
    """(project, tables) before and after; a project's own tables are changed in a copy of the project."""
    scratch.mkdir()
    if project.is_dir() and (project / "tables").exists() and (project / "tables").resolve() == folder.resolve():
        copy = scratch / project.name
        shutil.copytree(project, copy)
        target = copy / "tables"
        before, after = (project, None), (copy, None)
    else:
        target = scratch / "tables"
        target.mkdir()
        for path in folder.glob("*.csv"):
            shutil.copyfile(path, target / path.name)
        before, after = (project, folder), (project, target)
    for name, data in files.items():
        (target / name).write_bytes(data)
    return before, after


def compare(name, before, after):
    """What differs between two results of one project, connection by connection."""
    for when, one in (("as the tables are", before), ("with the new rows", after)):
        if isinstance(one, SelectorError):
            text = f"{name}: it cannot be worked out {when}: {str(one).splitlines()[0]}"
            return [
                {
                    "project": name,
                    "connection": None,
                    "what": "error",
                    "role": None,
                    "before": None,
                    "after": None,
                    "text": text,
                }
            ]
    found = []
    now = {one["connection"]: one for one in after["connections"]}
    for old in before["connections"]:
        new = now.get(old["connection"])
        if new is not None:
            found += _differences(name, old, new)
    return found


def _differences(project, old, new):
    found = []

    def note(what, role, before, after, said=""):
        place = f"{project}, {old['connection']}"
        words = f"{role} " if role else ""
        text = f"{place}: {said or f'{words}{what} {_shown(before)} -> {_shown(after)}'}"
        found.append(
            {
                "project": project,
                "connection": old["connection"],
                "what": what,
                "role": role,
                "before": before,
                "after": after,
                "text": text,
            }
        )

    if old["status"] != new["status"]:
        note("status", None, old["status"], new["status"])
    parts = [{pick["role"]: pick["part"] for pick in one["picks"]} for one in (old, new)]
    for role in dict.fromkeys([*parts[0], *parts[1]]):
        if parts[0].get(role) != parts[1].get(role):
            note("part", role, parts[0].get(role), parts[1].get(role))
    checks = [{(c["code"], c["role"]): c for c in one.get("checks", [])} for one in (old, new)]
    for key, check in checks[0].items():
        other = checks[1].get(key)
        if other is None or check["part"] != other["part"]:
            continue
        if check["status"] != other["status"]:
            note(f"{check['code']} {check['name']}", check["role"], check["status"], other["status"])
        elif _moved(check.get("margin"), other.get("margin")):
            in_k = check.get("margin_unit") == "K"
            ends = [_margin(one.get("margin"), in_k) for one in (check, other)]
            said = f"{check['role']}: {check['name'].replace('_', ' ')} ({check['code']}) has {ends[1]} to spare, before {ends[0]}"
            note(f"margin of {check['code']} {check['name']}", check["role"], check["margin"], other["margin"], said)
    return found


def _moved(before, after):
    if before is None or after is None:
        return before is not after
    return abs(before - after) > 1e-6 * max(1.0, abs(before))


def _margin(value, in_k):
    """A margin in words: a share of its limit, or kelvin."""
    if value is None:
        return "an unknown amount"
    return f"{value:.3g} K" if in_k else f"{value * 100:.3g} %"


def _shown(value):
    return f"{value:.{_MOST_DIGITS}g}" if isinstance(value, float) else "none" if value is None else str(value)


# ---- who rests on a part

_MADE_OF = {
    "wires.csv": ("conductor", "insulation", "material"),
    "lugs.csv": ("stud",),
    "fuses.csv": ("class",),
}
"""Columns of words of a candidate that name rows of other tables."""


def uses(part, projects, tables=None):
    """Which connections rest on a part, directly or by way of what it is made of.

    Returns
    -------
    found : dictionary with part, table and uses: project, connection, role, part, how, status, text

    Raises `UsageError` where no table has the part.
    """
    key, table, via = _row_of(part, tables)
    found = []
    for project in projects:
        if not Path(project).exists():
            raise UsageError(f"{project}: no such project")
        outcome, data = _run(project, tables, brief=True)
        if key is None:
            key, table, via = _find(part, outcome.catalogue)
        status = {one["connection"]: one["status"] for one in data["connections"]}
        made_of = {name: _made_of(own) for name, own in outcome.candidates.items()}
        for one in data["connections"]:
            for pick in one["picks"]:
                how = _how(pick, key, table, via, made_of, outcome.candidates)
                if how:
                    name = one["connection"]
                    text = f"{project}, {name}: {pick['role']} {pick['part']}{how} ({status[name]})"
                    found.append({"project": str(project), "connection": one["connection"], "role": pick["role"],
                                  "part": pick["part"], "how": how.strip(" ,") or "the part itself",
                                  "fixed": pick.get("fixed"), "status": status[name], "text": text})  # fmt: skip
    if key is None:
        raise _unknown(part, projects, tables)
    return {"part": key, "table": table, "uses": found}


def _row_of(part, tables):
    from selector.catalogue.catalogue import load

    return _find(part, load(tables))


def _find(part, catalogue):
    """(key, table, words that stand for it) of a part in a catalogue; the key is None where it has none."""
    wanted = fold_key(part)
    for file, frame in catalogue.frames.items():
        if file == "sources.csv":
            continue
        name = frame.columns[0]
        for row in frame.iter_rows(named=True):
            if str(row[name]).casefold() == wanted:
                via = {str(row[name]).casefold()}
                if file in ("fuse_curves.csv", "fuse_ambients.csv"):
                    via = {str(row["class"]).casefold()}
                return str(row[name]), file, via
    return None, None, set()


def _unknown(part, projects, tables):
    from selector.catalogue.catalogue import load

    catalogue = load(tables)
    keys = [
        str(key) for file, frame in catalogue.frames.items() if file != "sources.csv" for key in frame[frame.columns[0]]
    ]
    near = nearest(part, keys)
    return UsageError(f"{quoted(part)} is in no table." + (f" Did you mean '{near}'?" if near else ""))


def _made_of(candidates):
    """Key of a candidate -> what it is made of, folded."""
    columns = [name for name in _MADE_OF.get(candidates.table, ()) if name in candidates.words]
    found = {}
    for i, key in enumerate(candidates.keys):
        found[key] = {name: str(candidates.words[name][i]).casefold() for name in columns if candidates.words[name][i]}
    return found


def _how(pick, key, table, via, made_of, candidates):
    """In which way a pick rests on a row, or an empty text."""
    if pick["table"] == table and str(pick["part"]).casefold() == key.casefold():
        return " "
    owner = next((name for name, own in candidates.items() if own.table == pick["table"]), None)
    for column, value in made_of.get(owner, {}).get(pick["part"], {}).items():
        names = {"conductors.csv": "conductor", "insulations.csv": "insulation", "materials.csv": "material",
                 "studs.csv": "stud",
                 "fuse_curves.csv": "class", "fuse_ambients.csv": "class"}  # fmt: skip
        if names.get(table) == column and value in via:
            return f", by its {column} {key}"
    return ""


# ---- the tables a project was picked with


def record_path(outcome, workbook=None):
    """Where the tables of a pick are noted: beside its workbook, out/PROJECT.tables.json."""
    book = Path(workbook) if workbook is not None else Path("out") / f"{outcome.project.name}.xlsx"
    return book.with_name(f"{book.stem}.tables.json")


def record_tables(outcome, workbook=None):
    """Note beside the workbook which tables this pick rested on, and what it picked."""
    from selector.catalogue.merging_store import replace_whole

    data = {"format": 1, "project": outcome.project.name, "tables": dict(sorted(outcome.catalogue.hashes.items()))}
    path = record_path(outcome, workbook)
    replace_whole(path, (json.dumps(data, indent=1, sort_keys=True) + "\n").encode())
    return path


def changed_since(outcome, workbook=None):
    """Sentences on the tables that changed since the project was last picked; none where it was not or they did not.

    Call it before ``record_tables``.
    """
    try:
        before = json.loads(record_path(outcome, workbook).read_text(encoding="utf-8"))["tables"]
    except (OSError, ValueError, KeyError, TypeError):
        return []
    if not isinstance(before, dict):
        return []
    now = outcome.catalogue.hashes
    said = []
    for name in sorted({*before, *now}):
        if name not in now:
            said.append(f"{name} is no longer used; the last pick rested on it.")
        elif name not in before:
            said.append(f"{name} is new since the last pick.")
        elif before[name] != now[name]:
            said.append(f"{name} has changed since the last pick.")
    return said


__all__ = ["changed_since", "compare", "effect_of", "record_path", "record_tables", "uses"]
