"""Made-up datasheets in the shapes real ones come in: every value lands right or is refused with a reason."""

import pytest

from selector.catalogue.merging import CHANGED, NEW, REFUSED, SAME, merge
from selector.catalogue.merging_store import undo
from selector.errors import SelectorError
from tests.merge.made import copied_tables, rows_of
from tests.merge.nasty import SHEETS

pytest.importorskip("pdfplumber", reason="the extra 'pdf' is not installed")


@pytest.mark.parametrize("sheet", SHEETS, ids=[sheet.name for sheet in SHEETS])
def test_every_value_lands_right_or_is_refused(tmp_path, sheet):
    tables = copied_tables(tmp_path)
    path = tmp_path / sheet.name
    sheet.write(path)
    file = f"{sheet.table}.csv"
    before, raw = rows_of(tables / file), (tables / file).read_bytes()
    map_file = None
    if sheet.map_rows:
        map_file = tmp_path / "map.csv"
        map_file.write_text(sheet.map_rows, encoding="utf-8")
    if sheet.error:
        with pytest.raises(SelectorError, match=sheet.error) as caught:
            merge(path, sheet.table, tables, map_file, source="common-practice")
        assert caught.value.exit_code == 3
        assert (tables / file).read_bytes() == raw
        return
    report = merge(path, sheet.table, tables, map_file, source="common-practice")
    results = {}
    for row in report.rows:
        results.setdefault(row.key, set()).add(row.result)
    said = "\n".join(f"{row.key}: {row.result} {row.reason}" for row in report.rows)
    for key in sheet.lands:
        assert results.get(key, set()) & {NEW, CHANGED}, said
    for key in sheet.refused:
        assert results.get(key) == {REFUSED}, said
    for key in sheet.same:
        assert results.get(key) == {SAME}, said
    assert all(row.reasons for row in report.rows if row.result == REFUSED)
    assert report.exit_code == (1 if sheet.refused else 0)
    compare_cells(before, rows_of(tables / file), sheet.lands)
    if report.number is not None:
        undo(tables)
    assert (tables / file).read_bytes() == raw


def compare_cells(before, after, lands):
    """Every cell that differs is one that had to change, to the very value; every other is as it was."""
    own = ("source", "status")
    for key, row in after.items():
        wanted = lands.get(key, {})
        old = before.get(key, dict.fromkeys(row, ""))
        for column, cell in row.items():
            if column in wanted:
                value = wanted[column]
                assert cell == value if isinstance(value, str) else float(cell) == pytest.approx(value, rel=1e-5), (
                    key,
                    column,
                )
            elif key in lands and column in own:
                assert cell == {"source": "common-practice", "status": "read"}[column]
            elif key in lands and key not in before:
                assert cell == "" or column in own or column == next(iter(row)), (key, column, cell)
            else:
                same_number = cell and old[column] and "[" in column and float(cell) == float(old[column])
                assert cell == old[column] or same_number, (key, column, old[column], cell)
    assert set(before) <= set(after)
    assert set(after) - set(before) <= set(lands)


def test_there_are_more_than_thirty_of_every_kind():
    assert len(SHEETS) >= 30
    assert {sheet.name.rsplit(".", 1)[1] for sheet in SHEETS} == {"csv", "xlsx", "pdf"}
