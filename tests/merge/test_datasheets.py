"""Made-up datasheets in the shapes real ones come in: every value lands right or is refused with a reason."""

import sys

import pytest

from selector.catalogue.merging import CHANGED, NEW, REFUSED, SAME, merge
from selector.catalogue.merging_store import undo
from selector.errors import SelectorError, TableError, UsageError
from tests.merge.made import copied_tables, rows_of
from tests.merge.nasty import SHEETS


@pytest.mark.parametrize("sheet", SHEETS, ids=[sheet.name for sheet in SHEETS])
def test_every_value_lands_right_or_is_refused(tmp_path, sheet):
    if sheet.name.endswith(".pdf"):
        pytest.importorskip("pdfplumber", reason="the extra 'pdf' is not installed")
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


def test_without_the_extra_a_pdf_is_refused_plainly(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "pdfplumber", None)
    path = tmp_path / "sheet.pdf"
    next(sheet for sheet in SHEETS if sheet.name == "ruled.pdf").write(path)
    with pytest.raises(TableError, match=r"package that reads them is not installed\. Install it with the extra 'pdf'"):
        merge(path, "fuses", copied_tables(tmp_path), source="common-practice")


def test_a_scanned_page_is_named_among_others(tmp_path):
    pytest.importorskip("pdfplumber", reason="the extra 'pdf' is not installed")
    path = tmp_path / "sheet.pdf"
    next(sheet for sheet in SHEETS if sheet.name == "one page a scan.pdf").write(path)
    report = merge(path, "lugs", copied_tables(tmp_path), source="common-practice")
    assert any("page 1: a scan" in note for note in report.notes)


@pytest.mark.parametrize(
    "data, said",
    [
        (b"", "the file is empty"),
        (b"%PDF-1.4 torn", "cannot be (read|taken)|PDF that can"),
        (b"PK\x03\x04 torn", "not an .xlsx workbook"),
        (b"\x89PNG\r\n", "a picture"),
        (b"\x00\x01\x02", "NUL"),
    ],
)
def test_what_is_no_datasheet_is_said_to_be_none(tmp_path, data, said):
    if data.startswith(b"%PDF"):
        pytest.importorskip("pdfplumber", reason="the extra 'pdf' is not installed")
    path = tmp_path / "sheet.bin"
    path.write_bytes(data)
    with pytest.raises(SelectorError, match=said) as caught:
        merge(path, "lugs", copied_tables(tmp_path), source="common-practice")
    assert caught.value.exit_code == 3


def test_settings_of_the_sheet_can_be_stated(tmp_path):
    tables = copied_tables(tmp_path)
    path = tmp_path / "two.xlsx"
    next(sheet for sheet in SHEETS if sheet.name == "two sheets that disagree.xlsx").write(path)
    report = merge(path, "lugs", tables, source="common-practice", sheet="Autumn", dry_run=True)
    assert [(row.key, row.result) for row in report.rows] == [("2 AWG ring M8", CHANGED)]
    with pytest.raises(UsageError, match="it has spring, autumn"):
        merge(path, "lugs", tables, source="common-practice", sheet="winter", dry_run=True)
