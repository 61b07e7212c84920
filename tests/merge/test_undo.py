"""What is merged can be taken back byte for byte, however the table is written."""

import random

import pytest

from selector.catalogue.merging import CHANGED, NEW, merge
from selector.catalogue.merging_store import history, undo
from selector.errors import TableError, UsageError
from selector.upkeep.audit import show
from tests.merge.made import copied_tables, csv_text, rows_of

TABLES = {
    "fuses.csv": ("fuse", "breaking capacity [A]", "voltage rating [V]", "stud"),
    "lugs.csv": ("lug", "palm width [mm]", "barrel diameter [mm]", "temperature limit [degC]"),
    "conductors.csv": ("conductor", "resistance at 20 degC [ohm/km]", "diameter [mm]"),
    "wires.csv": ("wire", "outer diameter [mm]"),
    "sleeves.csv": ("sleeve", "recovered wall [mm]", "temperature rating [degC]", "class"),
    "shunts.csv": ("shunt", "continuous current [A]"),
    "busbars.csv": ("busbar", "ampacity [A]"),
    "splices.csv": ("splice", "temperature limit [degC]", "bore [mm]"),
    "insulations.csv": ("insulation", "conductivity [W/(m K)]", "voltage rating [V]"),
}
DRESSES = ("plain", "crlf", "mark", "semicolons", "utf-16", "quoted", "remarks", "no last line end", "spaces")


def dress(path, how):
    """Write the table another way: what a spreadsheet or an editor may have made of it."""
    text = path.read_bytes().decode()
    if how == "crlf":
        text = text.replace("\n", "\r\n")
    if how == "mark":
        text = "\ufeff" + text
    if how == "semicolons":
        rows = list(rows_of(path).values())
        names = list(rows[0])
        numbers = [n for n in names if "[" in n or n in ("emissivity", "pieces", "bodies")]
        body = [[row[n].replace(".", ",") if n in numbers else row[n] for n in names] for row in rows]
        text = csv_text([names, *body], ";")
    if how == "quoted":
        text = "\n".join(
            line if '"' in line else ",".join(f'"{cell}"' if i % 2 else cell for i, cell in enumerate(line.split(",")))
            for line in text.rstrip("\n").split("\n")
        ) + "\n"  # fmt: skip
    if how == "remarks":
        lines = text.rstrip("\n").split("\n")
        lines[5:5] = ["# checked against the copy on board", ""]
        text = "# our own tables\n" + "\n".join(lines) + "\n\n# end, nothing below\n"
    if how == "no last line end":
        text = text.rstrip("\n")
    if how == "spaces":
        lines = text.rstrip("\n").split("\n")
        lines = [line if '"' in line else line.replace(",", ", ", 3) for line in lines]
        text = "\n".join(lines) + "\n"
    path.write_bytes(b"\xff\xfe" + text.encode("utf-16-le") if how == "utf-16" else text.encode())


def random_datasheet(draw, rows, columns):
    """A datasheet that corrects some cells of some rows, a little or much."""
    key = columns[0]
    chosen = draw.sample(sorted(rows), min(len(rows), draw.randint(1, 6)))
    used = [c for c in columns[1:] if draw.random() < 0.8] or [columns[1]]
    body = []
    for name in chosen:
        cells = [name]
        for column in used:
            old = rows[name][column]
            if "[" not in column:
                cells.append(old)
            elif old and draw.random() < 0.8:
                factor = draw.choice([1.0, 1.01, 0.99, 1.02, 0.985, 10.0])
                cells.append(f"{float(old) * factor:.6g}")
            else:
                cells.append("")
        body.append(cells)
    if draw.random() < 0.2:
        body.append([f"made up row {draw.randint(0, 999)}", *["" for _ in used]])
    return csv_text([[key, *used], *body])


def round_trips(folder, count, seed):
    """Merge and undo ``count`` random datasheets, one to three deep; how many rows landed."""
    draw = random.Random(seed)
    tables = copied_tables(folder)
    plain = {name: (tables / name).read_bytes() for name in TABLES}
    cells = {name: rows_of(tables / name) for name in TABLES}
    landed = done = 0
    while done < count:
        name = draw.choice(sorted(TABLES))
        (tables / name).write_bytes(plain[name])
        dress(tables / name, draw.choice(DRESSES))
        before = {p.name: p.read_bytes() for p in tables.glob("*.csv") if p.name != "history.csv"}
        depth = draw.randint(1, 3)
        merged = []
        for _ in range(depth):
            sheet = tables.parent / f"sheet {done}.csv"
            sheet.write_text(random_datasheet(draw, cells[name], TABLES[name]), encoding="utf-8")
            report = merge(sheet, name, tables, source="common-practice")
            done += 1
            landed += report.count(NEW) + report.count(CHANGED)
            if report.number is not None:
                merged.append(report.number)
                assert (tables / name).read_bytes() != before[name]
        for number in reversed(merged):
            assert undo(tables)["merge"] == number
        after = {p.name: p.read_bytes() for p in tables.glob("*.csv") if p.name != "history.csv"}
        assert after == before
        (tables / name).write_bytes(plain[name])
    return landed


def test_random_edits_are_taken_back_byte_for_byte(tmp_path):
    assert round_trips(tmp_path, 15, seed=11) > 15


@pytest.mark.slow
def test_500_random_edits_are_taken_back_byte_for_byte(tmp_path):
    assert round_trips(tmp_path, 500, seed=4) > 500


@pytest.mark.parametrize("how", DRESSES)
def test_a_merge_changes_only_its_own_cells(tmp_path, how):
    tables = copied_tables(tmp_path)
    path = tables / "sleeves.csv"
    dress(path, how)
    before = path.read_bytes()
    sheet = tmp_path / "sleeves.csv"
    sheet.write_text("sleeve,recovered wall [mm]\npolyolefin 2:1 3.2 mm,0.5\n", encoding="utf-8")
    report = merge(sheet, "sleeves", tables, source="common-practice")
    assert [row.result for row in report.rows] == [CHANGED], report.rows[0].reason
    coding = "utf-16" if how == "utf-16" else "utf-8"
    old, new = (data.decode(coding).split("\n") for data in (before, path.read_bytes()))
    assert len(old) == len(new)
    changed = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert len(changed) == 1
    was, now = ("0,48", "0,5") if how == "semicolons" else ("0.48", "0.5")
    assert changed[0][0].replace(was, now, 1).split("datasheet-")[0] == changed[0][1].split("common-practice")[0]
    assert changed[0][0].rsplit("read", 1)[1] == changed[0][1].rsplit("read", 1)[1]
    undo(tables)
    assert path.read_bytes() == before


def test_history_keeps_old_and_new_value_and_source_and_grows_with_an_undo(tmp_path):
    tables = copied_tables(tmp_path)
    sheet = tmp_path / "palm.csv"
    sheet.write_text("lug,palm width [in]\n1/0 AWG ring M8,0.95\n", encoding="utf-8")
    merge(sheet, "lugs.csv", tables, source="jis-c-2805")
    [row, status] = history(tables)
    assert (row["key"], row["column"], row["old value"], row["new value"]) == (
        "1/0 AWG ring M8",
        "palm width [mm]",
        "25",
        "24.13",
    )
    assert (row["merge"], row["what"], row["source"], row["note"]) == ("1", "merge", "jis-c-2805", "palm.csv line 2")
    assert (status["column"], status["old value"], status["new value"]) == ("status", "memory", "read")
    [found] = show(tables, "1/0 AWG ring M8")
    assert next((c["column"], c["old_value"], c["source"]) for c in found["history"]) == (
        "palm width [mm]",
        "25",
        "jis-c-2805",
    )
    undo(tables)
    assert [r["what"] for r in history(tables)] == ["merge", "merge", "undo", "undo"]
    assert history(tables)[2]["new value"] == "25"
    merge(sheet, "lugs.csv", tables, source="jis-c-2805")
    assert history(tables)[-1]["merge"] == "2"


def test_another_unit_that_says_the_same_to_its_printed_digits_is_no_change(tmp_path):
    tables = copied_tables(tmp_path)
    sheet = tmp_path / "palm.csv"
    sheet.write_text("lug,palm width [in]\n1/0 AWG ring M8,0.98\n", encoding="utf-8")  # 24.892 mm, 25 mm is 0.984 in
    assert merge(sheet, "lugs.csv", tables, source="jis-c-2805").count(CHANGED) == 0
    sheet.write_text("lug,palm width [mm]\n1/0 AWG ring M8,24.9\n", encoding="utf-8")
    assert merge(sheet, "lugs.csv", tables, source="jis-c-2805").count(CHANGED) == 1


def test_a_table_edited_by_hand_since_is_not_undone(tmp_path):
    tables = copied_tables(tmp_path)
    sheet = tmp_path / "palm.csv"
    sheet.write_text("lug,palm width [mm]\n1/0 AWG ring M8,24.5\n", encoding="utf-8")
    merge(sheet, "lugs.csv", tables, source="jis-c-2805")
    edited = (tables / "lugs.csv").read_bytes() + b"# by hand\n"
    (tables / "lugs.csv").write_bytes(edited)
    with pytest.raises(TableError, match="changed by other means since merge 1"):
        undo(tables)
    assert (tables / "lugs.csv").read_bytes() == edited


def test_nothing_to_undo_is_a_usage_error(tmp_path):
    tables = copied_tables(tmp_path)
    with pytest.raises(UsageError):
        undo(tables)
    assert not (tables / "history").exists()


def test_a_dry_run_writes_nothing(tmp_path):
    tables = copied_tables(tmp_path)
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    sheet = tmp_path / "palm.csv"
    sheet.write_text("lug,palm width [mm]\n1/0 AWG ring M8,24.5\n", encoding="utf-8")
    before[sheet] = sheet.read_bytes()
    report = merge(sheet, "lugs.csv", tables, source="jis-c-2805", dry_run=True)
    assert report.count(CHANGED) == 1
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == before


def test_without_a_source_one_is_made_and_taken_back(tmp_path):
    tables = copied_tables(tmp_path)
    before = (tables / "sources.csv").read_bytes()
    sheet = tmp_path / "Palm widths.csv"
    sheet.write_text("lug,palm width [mm]\n1/0 AWG ring M8,24.5\n", encoding="utf-8")
    report = merge(sheet, "lugs.csv", tables)
    assert report.source.startswith("datasheet-palm-widths-")
    assert rows_of(tables / "sources.csv")[report.source]["title"] == "Datasheet Palm widths.csv"
    assert rows_of(tables / "lugs.csv")["1/0 AWG ring M8"]["source"] == report.source
    undo(tables)
    assert (tables / "sources.csv").read_bytes() == before


def test_a_table_the_folder_lacks_starts_from_the_shipped_one_and_goes_again(tmp_path):
    tables = copied_tables(tmp_path)
    whole = (tables / "lugs.csv").read_bytes()
    (tables / "lugs.csv").unlink()
    sheet = tmp_path / "palm.csv"
    sheet.write_text("lug,palm width [mm]\n1/0 AWG ring M8,24.5\n", encoding="utf-8")
    merge(sheet, "lugs.csv", tables, source="jis-c-2805")
    assert len((tables / "lugs.csv").read_bytes().splitlines()) == len(whole.splitlines())
    undo(tables)
    assert not (tables / "lugs.csv").exists()
