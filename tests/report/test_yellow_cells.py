"""Every yellow cell of every kind, changed: the sheet, worked out anew, says what a fresh pick of the changed project says.

Several columns are changed at once in all rows, some up and some down, then the other way round. The parts stay.
"""

import openpyxl
import pytest

from selector import pipeline
from selector.project.limits import OF_THE_WAY
from selector.report import sheets_connections
from selector.report.live_cells import KELVIN, SHOWN_IN, key_of
from selector.report.live_checks import SIGN
from selector.report.result import shown
from selector.report.workbook import write_workbook
from tests.choosing.projects import write
from tests.report import every_kind
from tests.report.test_recalculation import agree, recalculate_all, table, worked_out

pytestmark = pytest.mark.office
__all__ = ["recalculate_all"]
WORDS = ("✗ fail", "? unknown", "✓ pass")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("yellow")


@pytest.fixture(scope="module")
def outcome(folder):
    return pipeline.run(write(folder / "boat", every_kind.base()))


@pytest.fixture(scope="module")
def given(outcome):
    """The yellow columns: key -> (column number of the low end, of the high end or None)."""
    plan = sheets_connections.plan(outcome, False)
    number = {key: i + 1 for i, key in enumerate(plan.letters)}
    return {key_of(name, end): (number["given", name, end, False], number.get(("given", name, end, True)))
            for name, end, upper in plan.given if not upper and name not in OF_THE_WAY}  # fmt: skip


@pytest.fixture(scope="module")
def changes(outcome, given, folder, recalculate_all):
    """(group, up) -> (fresh pick of the changed project, the changed workbook worked out anew)."""
    path = folder / "boat.xlsx"
    write_workbook(outcome, path)
    fixed = every_kind.with_parts_of(every_kind.base(), outcome)
    book, fresh, books = openpyxl.load_workbook(path), {}, {}
    for group in range(len(every_kind.GROUPS)):
        for up in (True, False):
            name, files = f"{group}{up}", fixed
            for columns in every_kind.GROUPS[group]:
                files = every_kind.changed(files, outcome, columns, up)
            own = fresh[group, up] = pipeline.run(write(folder / name, files))
            before = type_in(book["Connections"], outcome, own, given, group, files)
            books[group, up] = folder / f"{name}.xlsx"
            book.save(books[group, up])
            for place, value in before.items():
                book["Connections"][place].value = value
    again = recalculate_all(list(books.values()))
    return {key: (fresh[key], worked_out(again[path.name])) for key, path in books.items()}


def type_in(sheet, outcome, fresh, given, group, files):
    """Write into the sheet what the fresh pick's places have in these columns, where it is not what stands there.

    Gives what stood there before.
    """
    before = {}
    for key in (key for columns in every_kind.GROUPS[group] for key in columns):
        shift, count = KELVIN if (key if isinstance(key, str) else key[0]).endswith("_k") else 0.0, len(before)
        stated = {row["connection"]: row.get(every_kind.OF_ROW.get(key)) for row in files["connections.csv"]}
        for i, name in enumerate(fresh.places.names):
            for at, (old, new) in zip(given[key], _ends(outcome, fresh, key, i), strict=False):
                if key == "current_a" and stated[name]:
                    new = float(stated[name])
                if at is None or new == old or new != new:
                    continue
                cell = sheet.cell(5 + i, at)
                before[cell.coordinate] = cell.value
                cell.value = (new - shift) * SHOWN_IN.get(key, ("", 1.0))[1]
        assert len(before) > count, f"nothing changed in {key}"
    return before


def _ends(outcome, fresh, key, i):
    if isinstance(key, tuple) and key[0] == "hottest_k" and fresh.places.columns["hottest_stated", key[1]][i] != 1:
        return []
    return [(float(outcome.places.columns[key][i]), float(fresh.places.columns[key][i])),
            (float(outcome.places.high.get(key, outcome.places.columns[key])[i]),
             float(fresh.places.high.get(key, fresh.places.columns[key])[i]))]  # fmt: skip


def _rests_on(outcome, one):
    """Rows whose device protects a row, or whose wire a joint is for: what they give is not followed in the sheet."""
    rows = set(outcome.places.upstream[one.place] or ())
    if one.kind.name == "joint":
        rows |= {row for _, own in outcome.places.guards.get(one.place, {}).values() for row in own}
    return rows


def unlike(outcome, book):
    """What the sheet shows of each connection that is not what the program says of it."""
    lines = {row["Connection"]: row for row in table(book, "Connections")}
    reasons = {(row["Connection"], row["Role"], row["Code"]): row for row in table(book, "Reasons")}
    heads = {str(cell.value): None for cell in book["Connections"][4]}
    labels = {name: next((h for h in heads if h == f"{sheets_connections.glossary.entry(name).label} [{unit}]"), None)
              for name, unit, *_ in sheets_connections.RESULTS}  # fmt: skip
    unserved = {one.place for one in outcome.chosen if one.status == "unserved"}
    for one in outcome.chosen:
        name = outcome.places.names[one.place]
        if unserved & _rests_on(outcome, one):
            continue  # its device, or the wire of its lead, may change with the other row: the sheet keeps it
        line = lines[name]
        if line["Verdict"] != SIGN[one.status]:
            yield name, "verdict", SIGN[one.status], line["Verdict"]
        for fact, unit, *_ in sheets_connections.RESULTS:
            value = one.result(fact) * sheets_connections.TIMES.get(unit, 1.0) - (KELVIN if unit == "degC" else 0.0)
            there = line.get(labels[fact])
            if isinstance(there, (int, float)) and not agree(value, there):
                yield name, fact, value, there
            if there == "unknown" and value == value:
                yield name, fact, value, there
        for check, status, actual, limit in one.verdicts:
            row = reasons.get((name, check.role, check.code))
            if row is None:
                yield name, check.code, WORDS[status], "not there"
                continue
            if row["Verdict"] != WORDS[status]:
                yield name, check.code, (WORDS[status], actual, limit), (row["Verdict"], row["Actual"], row["Limit"])
            for side, value in (("Actual", actual), ("Limit", limit)):
                if value == value and not check.yes_no and not agree(shown(check, value), row[side]):
                    yield name, f"{check.code} {side}", shown(check, value), row[side]


@pytest.mark.parametrize("group", range(len(every_kind.GROUPS)))
@pytest.mark.parametrize("up", [True, False], ids=["up", "down"])
def test_a_changed_cell_is_followed_as_a_fresh_pick_has_it(changes, group, up):
    elsewhere = {name for columns in every_kind.GROUPS[group] for key in columns
                 for name in every_kind.NOT_ON_ITS_ROW.get(key, ())}  # fmt: skip
    found = [line for line in unlike(*changes[group, up]) if line[0] not in elsewhere]
    assert not found, "\n".join(map(str, found))


def test_every_yellow_column_is_changed(given):
    assert set(given) == {key for group in every_kind.GROUPS for columns in group for key in columns}
