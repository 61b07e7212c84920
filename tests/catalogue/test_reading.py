"""Files of every locale read the same; bad ones are refused with file, line, column, what was found, what is right."""

import csv
import datetime
import io
import os
import re
import zipfile

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from selector.catalogue.catalogue import load
from selector.catalogue.reading import (
    Number,
    Sheet,
    Table,
    Text,
    YesNo,
    check_references,
    read_csv,
    read_table,
    read_workbook,
)
from selector.errors import Problems, SelectorError, UsageError

COLUMNS = (
    Text("connection", required=True),
    Text("kind", words_allowed=("cable", "phase lead", "joint")),
    Number("current", "A", above=0, ranges=True),
    Number("length", "m", above=0, required=True),
    Number("drop limit", "%", most=100),
    Number("drop limit", "V"),
    Number("ambient", "degC", least=-80),
    Number("emissivity", None, least=0, most=1),
    YesNo("cranking"),
    Text("note"),
)
NAMES = [column.words for column in COLUMNS]


def saved(tmp_path, content, name="connections.csv"):
    """A file with this text (UTF-8) or these bytes."""
    path = tmp_path / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def read(path, columns=COLUMNS, key="connection", encoding=None):
    """Frame and problems of a file."""
    problems = Problems()
    sheet = read_csv(path, encoding, known=NAMES, problems=problems)
    return read_table(sheet, columns, key, problems), problems


def complaints(tmp_path, content, **options):
    """Line, column and text found of each problem of a file."""
    return [(p.line, p.column, p.found) for p in read(saved(tmp_path, content), **options)[1]]


# ---- the same file, saved by spreadsheets and editors everywhere

PLAIN = (
    "connection,current [A],length [m],ambient [°C],note\nbilge pump,7.5,1234.5,40,5 µF · 2 Ω “slow”\nhorn,1.25,0.5,,\n"
)
LOCAL = PLAIN.replace(",", ";").replace(".", ",")


def same_quotes(text):
    return text.replace("“", '"').replace("”", '"')


@pytest.mark.parametrize(
    "content, note",
    [
        (PLAIN.encode(), ""),
        (b"\xef\xbb\xbf" + PLAIN.encode(), ""),
        (b"\xff\xfe" + PLAIN.encode("utf-16-le"), "UTF-16-LE"),
        (b"\xfe\xff" + PLAIN.encode("utf-16-be"), "UTF-16-BE"),
        (PLAIN.encode("utf-16-le"), "UTF-16-LE, which has no mark"),
        (PLAIN.encode("utf-16-be"), "UTF-16-BE, which has no mark"),
        (b"\xff\xfe\x00\x00" + PLAIN.encode("utf-32-le"), "UTF-32-LE"),
        (PLAIN.replace("\n", "\r\n").encode(), ""),
        (PLAIN.replace("\n", "\r").encode(), ""),
        (LOCAL.encode(), "semicolons; numbers with a decimal comma"),
        (b"\xff\xfe" + LOCAL.replace(";", "\t").encode("utf-16-le"), "tabs; numbers with a decimal comma"),
        (PLAIN.replace(",", "\t").encode(), "tabs"),
        (PLAIN.replace(",", "|").encode(), "bars"),
        (b"sep=;\r\n" + LOCAL.encode(), "semicolons"),
        (LOCAL.replace("1234,5", "1\u202f234,5").encode(), "decimal comma"),
        (LOCAL.replace("1234,5", "1\u00a0234,5").encode(), "decimal comma"),
        (PLAIN.replace("1234.5", "1\u2009234.5").encode(), ""),
        (PLAIN.replace("µ", "μ").replace("Ω", "\u2126").encode(), ""),
        (PLAIN.replace("[°C]", "(℃)").encode(), ""),
        (PLAIN.replace("length [m]", "“length, m”").encode(), ""),
        (PLAIN.replace("bilge pump", " bilge\u00a0pump\u200b ").encode(), ""),
        (("# boat, “as found”\n\n" + PLAIN.replace("horn", "\n# the horn\n,,,,\nhorn")).encode(), ""),
    ],
)
def test_one_file_in_every_locale(tmp_path, content, note):
    path = saved(tmp_path, content)
    assert note in read_csv(path, known=NAMES).note
    frame, problems = read(path)
    assert [str(p) for p in problems] == []
    assert frame.data["connection"].to_list() == ["bilge pump", "horn"]
    assert frame.data["current_a"].to_list() == [7.5, 1.25]
    assert frame.data["length_m"].to_list() == [1234.5, 0.5]
    assert frame.data["ambient_k"].to_list() == [313.15, None]
    assert same_quotes(frame.data["note"][0]) == '5 µF · 2 Ω "slow"'.replace(".", ",")
    assert frame.name == "connections.csv"


def test_windows_1252_is_read_and_said(tmp_path):
    text = PLAIN.replace(" · 2 Ω", "").replace("“", "\u201c")
    path = saved(tmp_path, text.encode("cp1252"))
    assert "Windows-1252" in read_csv(path, known=NAMES).note
    frame, problems = read(path)
    assert not problems
    assert frame.data["ambient_k"][0] == 313.15
    assert frame.data["note"][0] == '5 µF "slow"'


def test_a_stated_encoding_wins(tmp_path):
    path = saved(tmp_path, "connection,length [m]\nжуравль,3\n".encode("cp1251"))
    frame, problems = read(path, encoding="cp1251")
    assert not problems
    assert frame.data["connection"].to_list() == ["журавль"]
    with pytest.raises(SelectorError, match="'martian' is not a known encoding"):
        read_csv(path, "martian")
    with pytest.raises(SelectorError, match="line 2: these bytes are not utf-8"):
        read_csv(path, "utf-8")


def test_composed_and_decomposed_letters_are_the_same_name(tmp_path):
    content = "connection,length [m]\nAnker\u00f6se,1\nAnkero\u0308se,2\n"
    assert complaints(tmp_path, content) == [(3, "connection", "'Ankeröse' stands on line 2 already")]


def test_known_names_settle_the_delimiter(tmp_path):
    path = saved(tmp_path, "connection;length [m]\na, b, c, d;3\n")
    assert read_csv(path).header == ["connection", "length [m]"]
    path = saved(tmp_path, "connection|length, m|note, free, long, or none\na|3|\n")
    assert read_csv(path, known=NAMES).header == ["connection", "length, m", "note, free, long, or none"]


@pytest.mark.parametrize(
    "cells, decimal",
    [
        (["1,5", "2"], ","),
        (["1.5", "2"], "."),
        (["1,5", "1.234"], ","),
        (["1,5", "1.23"], "."),
        (["1.234,5", "2"], ","),
        (["1,5 m", "2"], ","),
        (["60,5..80,5", "2"], ","),
        (["3", "2"], "."),
    ],
)
def test_the_decimal_mark_is_decided_once_a_file(tmp_path, cells, decimal):
    path = saved(tmp_path, "connection;length [m]\n" + "".join(f"c{i};{cell}\n" for i, cell in enumerate(cells)))
    assert read_csv(path).decimal == decimal


def test_a_version_in_a_note_does_not_decide_the_mark(tmp_path):
    assert read_csv(saved(tmp_path, "connection;length [m];note\na;1,5;2.3\n")).decimal == ","


def test_a_thousands_point_is_asked_about_not_guessed(tmp_path):
    (line, column, found), *rest = complaints(tmp_path, "connection;length [m]\na;1,5\nb;1.234\n")
    assert (line, column, rest) == (3, "length [m]", [])
    assert "decimal comma" in found


def test_commas_in_a_comma_file_are_no_decimals(tmp_path):
    (line, column, found), *rest = complaints(tmp_path, 'connection,length [m]\na,2.5\nb,"1,5"\n')
    assert (line, column, rest) == (3, "length [m]", [])
    assert "decimal point" in found


# ---- lines as an editor counts them


def test_lines_count_remarks_blanks_and_records_of_several_lines(tmp_path):
    content = '# remark with a "quote\n\nconnection,length [m],note\na,1,"two\nlines"\n\n# more\nb,ten,\n;\n'
    path = saved(tmp_path, content.replace(";\n", ""))
    sheet = read_csv(path)
    assert sheet.lines == [4, 8]
    assert [(p.line, p.column) for p in read(path)[1]] == [(8, "length [m]")]


def test_a_number_sign_before_a_digit_is_a_name_not_a_remark(tmp_path):
    # American machine-screw sizes are written #8, #10 (ASME B1.1; from memory).
    frame, _ = read(saved(tmp_path, "connection,length [m]\n#10,3\n#8,2\n# note,1\n#note,1\n"))
    assert frame.data["connection"].to_list() == ["#10", "#8"]


# Quoting of RFC 4180, section 2: delimiters, doubled quotes and line breaks inside quotes.
def test_quoted_cells(tmp_path):
    frame, problems = read(saved(tmp_path, 'connection,length [m],note\n"a, b",1, "he said ""no"""\nc,2,3/8" stud\n'))
    assert not problems
    assert frame.data["connection"].to_list() == ["a, b", "c"]
    assert frame.data["note"].to_list() == ['he said "no"', '3/8" stud']


# ---- files that cannot be read


@pytest.mark.parametrize(
    "content, line, found",
    [
        (b"", None, "empty"),
        (b"\n \n,,,\n# only a remark\n", None, "empty"),
        (b"connection,length [m]\na,1\nb,\x00\x01\x02\n", 3, "NUL"),
        (b"\x00" * 40, 1, "NUL"),
        (b"connection,length [m]\na,\x07\n", 2, "control character"),
        (b"PK\x03\x04rest", None, "workbook or a zip"),
        (b"%PDF-1.7 rest", None, "PDF"),
        (b"\xd0\xcf\x11\xe0rest", None, "password"),
        (b"\xff\xfea", 1, "utf-16-le"),
        (b'connection,length [m]\na,1\n"b,2\nc,3\n', 3, "never closes"),
        (b'connection,length [m]\na,"1"x\nb,2\n', 2, "closing quote"),
        (b"connection,length [m]\na,1\n" + b"x" * 32768 + b",2\n", 3, "more than 32767"),
        (b'connection,length [m]\n"a,1\n' + b"x,1\n" * 50_000, 2, "never closes"),
        (b"connection,length [m]\na,1,2,3\n", 2, "4 cells, where the header has 2"),
        (b"connection,,length [m]\na,x,3\n", 1, "column 2 has cells but no header"),
        (b"connection,length [m]\na,#REF!\n", 2, "error #REF!"),
        (b"connection,length [m]\n#N/A,1\n", 2, "error #N/A"),
    ],
)
def test_files_that_cannot_be_read(tmp_path, content, line, found):
    path = saved(tmp_path, content)
    with pytest.raises(SelectorError) as caught:
        read_csv(path)
    assert caught.value.exit_code == 3
    assert [(p.file, p.line) for p in caught.value.problems] == [("connections.csv", line)]
    assert found in caught.value.problems[0].found


def test_a_missing_file_is_a_usage_error(tmp_path):
    with pytest.raises(UsageError, match="no such file") as caught:
        read_csv(tmp_path / "connections.csv")
    assert caught.value.exit_code == 2


def test_folders_and_other_files_are_refused(tmp_path):
    with pytest.raises(SelectorError, match="this is a folder"):
        read_csv(tmp_path)
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(SelectorError, match="not a regular file"):
        read_csv(tmp_path / "pipe.csv")


def test_a_file_one_may_not_read_is_refused(tmp_path, monkeypatch):
    path = saved(tmp_path, PLAIN)

    def refuse(self):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "read_bytes", refuse)
    with pytest.raises(SelectorError, match="may not be read"):
        read_csv(path)


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path):
    path = saved(tmp_path, "")
    os.truncate(path, 50 * 1024 * 1024 + 1)  # sparse: takes no room
    with pytest.raises(SelectorError, match="larger than 50 MB"):
        read_csv(path)


def test_short_rows_are_padded_and_empty_columns_left_out(tmp_path):
    sheet = read_csv(saved(tmp_path, "connection,,length [m],,\na,,3,,\nb\n"))
    assert (sheet.header, sheet.rows) == (["connection", "length [m]"], [["a", "3"], ["b", ""]])


def test_an_empty_file_is_reported_beside_problems_of_others(tmp_path):
    problems = Problems()
    problems.add("other.csv", 1, "", "x", "y.")
    read_csv(saved(tmp_path, ""), problems=problems)
    assert [p.file for p in problems] == ["other.csv", "connections.csv"]


# ---- headers


@pytest.mark.parametrize(
    "header, cell, inner",
    [
        ("length [m]", "3.048", 3.048),
        ("length [ft]", "10", 3.048),
        ("length (ft)", "10", 3.048),
        ("LENGTH_[in]", "120", 3.048),
        (" Length  [cm] ", "304.8", 3.048),
        ("length", "3.048", 3.048),
        ("length", "10 ft", 3.048),
        ("length [m]", "10 ft", 3.048),
        ("length_m", "3.048", 3.048),
    ],
)
def test_headers_in_any_unit_of_the_dimension(tmp_path, header, cell, inner):
    frame, problems = read(saved(tmp_path, f"connection,{header}\na,{cell}\n"))
    assert not problems
    assert frame.data["length_m"].to_list() == [inner]
    assert frame.extra == []
    assert any("no unit in the header, read as m" in hint for hint in frame.hints) == (header == "length")


def test_a_kelvin_header_is_absolute_where_a_temperature_is_asked_for(tmp_path):
    frame, problems = read(saved(tmp_path, "connection,length [m],ambient [K]\na,1,313.15\n"))
    assert not problems
    assert frame.data["ambient_k"].to_list() == [313.15]


def test_two_columns_of_the_same_words_are_told_apart_by_dimension(tmp_path):
    content = "connection,length [m],drop limit [V],drop limit [%]\na,1,0.3,3\n"
    frame, problems = read(saved(tmp_path, content))
    assert not problems
    assert (frame.data["drop_limit"][0], frame.data["drop_limit_v"][0]) == (0.03, 0.3)
    [(line, column, found)] = complaints(tmp_path, "connection,length [m],drop limit\na,1,3\n")
    assert (line, column) == (None, "drop limit")
    assert "unit is missing" in found


@pytest.mark.parametrize(
    "header, column, found",
    [
        ("connection,length [A]", "length [A]", "'A' is a unit of current, not of length"),
        ("connection,length [furlong]", "length [furlong]", "'furlong' is not a known unit"),
        ("connection,length [m],Length [ft]", "Length [ft]", "columns 2 and 3 are the same column"),
        ("connection,length [m],note [m]", "note [m]", "this column takes words, not a quantity"),
        ("connection,note", "length [m]", "this column is missing"),
        ("connection,lenght [m]", "length [m]", "this column is missing"),
    ],
)
def test_headers_that_cannot_be_used(tmp_path, header, column, found):
    assert complaints(tmp_path, header + "\na" + ",1" * header.count(",") + "\n") == [(None, column, found)]


def test_unknown_columns_are_kept_and_hinted_at(tmp_path):
    content = "connection,length [m],curent [A],colour of label,current a\na,1,5,red,x\n"
    frame, problems = read(saved(tmp_path, content))
    assert not problems
    assert frame.extra == ["curent [A]", "colour of label", "current a"]
    assert frame.data["colour_of_label"].to_list() == ["red"]
    assert frame.headers["colour_of_label"] == "colour of label"
    assert any("'curent [A]' is not known: did you mean 'current'?" in hint for hint in frame.hints)
    assert frame.data["current_a"].to_list() == [None]
    assert frame.data["current_a_"].to_list() == ["x"]


def test_the_frame_has_every_declared_column(tmp_path):
    frame, _ = read(saved(tmp_path, "length [m],connection\n1,a\n"))
    assert frame.data.columns == [
        "connection", "kind", "current_a", "current_a__high", "length_m", "drop_limit", "drop_limit_v", "ambient_k",
        "emissivity", "cranking", "note",
    ]  # fmt: skip
    assert str(frame.data.schema["cranking"]) == "String"
    assert str(frame.data.schema["ambient_k"]) == "Float64"
    assert frame.headers == {"length_m": "length [m]", "connection": "connection"}
    assert Table("connections.csv", "connection", COLUMNS).column_names[2] == "current_a"


def test_a_header_without_rows_is_an_empty_frame(tmp_path):
    frame, problems = read(saved(tmp_path, "connection,length [m]\n"))
    assert not problems
    assert frame.data.height == 0
    assert "current_a" in frame.data.columns


# ---- cells


@pytest.mark.parametrize(
    "column, cell, found",
    [
        ("length [m]", "ten", "'ten' is not a number"),
        ("length [m]", "nan", "'nan' is not a number"),
        ("length [m]", "inf", "'inf' is not a number"),
        ("length [m]", "1e308", "'1e308' is too large"),
        ("length [m]", "1e400", "'1e400' is too large"),
        ("length [m]", "1_000", "'1_000' is not a number"),
        ("length [m]", "0", "'0' is not above 0 m"),
        ("length [m]", "-3", "'-3' is not above 0 m"),
        ("length [m]", "3..4", "'3..4' is a range"),
        ("length [m]", "12 A", "'A' is a unit of current, not of length"),
        ("length [m]", "12 furlongs", "'furlongs' is not a known unit"),
        ("length [m]", "unknown", "'unknown' is not a number"),
        ("length [m]", "2026-03-08", "'2026-03-08' is a date"),
        ("current [A]", "80..60", "'80..60' runs backwards"),
        ("current [A]", "0..60", "'0..60' is not above 0 A"),
        ("drop limit [%]", "101", "'101' is more than 100 %"),
        ("drop limit [%]", "0.3 V", "'V' is a unit of voltage, not of ratio"),
        ("ambient [degC]", "-81", "'-81' is less than -80 degC"),
        ("ambient [degC]", "-200 degF", "'-200 degF' is less than -80 degC"),
        ("emissivity", "1.1", "'1.1' is more than 1"),
        ("emissivity", "0.9 m", "'m' is a unit of length, not of number"),
        ("cranking", "maybe", "'maybe' is neither yes nor no"),
        ("kind", "cabel", "'cabel' is not one of the words for it"),
    ],
)
def test_cells_that_cannot_be_used(tmp_path, column, cell, found):
    first = "connection" if column == "length [m]" else "connection,length [m]"
    filler = "good" if column == "length [m]" else "good,1"
    content = f"# a remark\n{first},{column}\n{filler},\n\n{filler.replace('good', 'bad')},{cell}\n"
    assert complaints(tmp_path, content) == [(5, column, found)]


def test_the_remedy_names_what_is_near(tmp_path):
    _, problems = read(saved(tmp_path, "connection,length [m],kind\na,1,fase lead\n"))
    assert str(next(iter(problems))) == (
        "connections.csv line 2, kind: 'fase lead' is not one of the words for it. "
        "Write one of: cable, phase lead, joint. Did you mean 'phase lead'?"
    )


def test_bounds_hold_in_whatever_unit_the_cell_is(tmp_path):
    content = "connection,length [m],ambient [degF],drop limit [%]\na,1 in,-112,100\n"
    frame, problems = read(saved(tmp_path, content))
    assert not problems
    assert frame.data["ambient_k"][0] == pytest.approx(193.15)


@pytest.mark.parametrize("cell, value", [("yes", "yes"), ("YES", "yes"), ("true", "yes"), ("1", "yes"), ("No", "no"),
                                         ("FALSE", "no"), ("0", "no"), ("", None)])  # fmt: skip
def test_yes_and_no(tmp_path, cell, value):
    frame, problems = read(saved(tmp_path, f"connection,length [m],cranking\na,1,{cell}\n"))
    assert not problems
    assert frame.data["cranking"].to_list() == [value]


def test_allowed_words_come_out_as_declared(tmp_path):
    frame, problems = read(saved(tmp_path, "connection,length [m],kind\na,1,Phase_Lead\nb,1,\n"))
    assert not problems
    assert frame.data["kind"].to_list() == ["phase lead", None]


def test_ranges_have_two_columns(tmp_path):
    frame, _ = read(saved(tmp_path, "connection,length [m],current [A]\na,1,60..80\nb,1,5\nc,1,\n"))
    assert frame.data["current_a"].to_list() == [60, 5, None]
    assert frame.data["current_a__high"].to_list() == [80, 5, None]


def test_empty_is_unknown_never_zero(tmp_path):
    frame, problems = read(saved(tmp_path, "connection,length [m],note\na,,\n"))
    assert not problems
    assert frame.data["length_m"].to_list() == [None]
    assert frame.data["note"].to_list() == [None]


def test_keys_stand_once_and_are_never_empty(tmp_path):
    content = 'connection,length [m]\nBilge Pump,1\n,2\n"x\ny",1\n bilge  pump ,3\n'
    assert complaints(tmp_path, content) == [
        (3, "connection", "the cell is empty"),
        (6, "connection", "'bilge  pump' stands on line 2 already"),
    ]
    assert complaints(tmp_path, "connection,length [m]\na,1\na,2\n", key=None) == []


def test_filled_columns_have_no_empty_cell(tmp_path):
    columns = (Text("connection"), Text("from", filled=True))
    assert complaints(tmp_path, "connection,from\na,x\nb,\n", columns=columns) == [(3, "from", "the cell is empty")]


def test_every_problem_is_reported_at_once(tmp_path):
    content = "connection,length [m],current [A],kind\na,ten,1,cabel\nb,1,-1,\na,1,1,cable\n"
    assert [(line, column) for line, column, _ in complaints(tmp_path, content)] == [
        (2, "kind"), (3, "current [A]"), (2, "length [m]"), (4, "connection"),
    ]  # fmt: skip


def test_references_to_other_tables(tmp_path):
    columns = (Text("fuse"), Text("source", refers_to="sources.csv:source"))
    frame, problems = read(saved(tmp_path, "fuse,source\na,NBS-100\nb,nbs-1000\nc,\n"), columns=columns, key="fuse")
    check_references(frame, "source", ["nbs-100", "ul-486a"], problems, "sources.csv")
    assert [str(p) for p in problems] == [
        "connections.csv line 3, source: 'nbs-1000' is not a key of sources.csv. Write one that is, or add it. "
        "Did you mean 'nbs-100'?"
    ]


# ---- workbooks


def workbook(tmp_path, sheets, name="boat.xlsx"):
    """An .xlsx with these rows a sheet; a cell may be (value, number format)."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for i, row in enumerate(rows, 1):
            for j, value in enumerate(row, 1):
                value, form = value if isinstance(value, tuple) else (value, None)
                cell = sheet.cell(i, j, value)
                if form:
                    cell.number_format = form
    path = tmp_path / name
    book.save(path)
    return path


def with_xml(path, old, new):
    """The workbook with a piece of its sheets' XML replaced."""
    content = {}
    with zipfile.ZipFile(path) as archive:
        for item in archive.namelist():
            content[item] = archive.read(item)
    changed = {k: v.replace(old, new) if k.startswith("xl/worksheets/") else v for k, v in content.items()}
    assert changed != content
    with zipfile.ZipFile(path, "w") as archive:
        for item, data in changed.items():
            archive.writestr(item, data)
    return path


def test_a_workbook_reads_as_its_sheets_would(tmp_path):
    rows = [
        ["connection", "current [A]", "length [m]", "drop limit [%]", "cranking", "ambient [°C]", "note"],
        [None],
        ["bilge pump", 7.5, 12, (0.03, "0%"), True, 40, "2\u00a0Ω"],
        ["# a remark", 1],
        [5, "60..80", "10 ft", 3, False, None, datetime.datetime(2026, 3, 8)],
    ]
    sheets = read_workbook(workbook(tmp_path, {"Connections": rows, "zones.csv": [["zone"], ["hold"]], "Empty": []}))
    assert list(sheets) == ["connections", "zones"]
    sheet, problems = sheets["connections"], Problems()
    assert (sheet.label, sheet.lines) == ("boat.xlsx:Connections", [3, 5])
    frame = read_table(sheet, COLUMNS, "connection", problems)
    assert [str(p) for p in problems] == []
    assert frame.name == "connections.csv"
    assert frame.data["connection"].to_list() == ["bilge pump", "5"]
    assert frame.data["current_a__high"].to_list() == [7.5, 80]
    assert frame.data["length_m"].to_list() == [12, 3.048]
    assert frame.data["drop_limit"].to_list() == [0.03, 0.03]
    assert frame.data["cranking"].to_list() == ["yes", "no"]
    assert frame.data["ambient_k"].to_list() == [313.15, None]
    assert frame.data["note"].to_list() == ["2 Ω", "2026-03-08"]


def test_problems_of_a_workbook_name_sheet_and_row(tmp_path):
    path = workbook(tmp_path, {"connections": [["connection", "length [m]"], ["a", datetime.date(2026, 3, 8)]]})
    problems = Problems()
    read_table(read_workbook(path)["connections"], COLUMNS, "connection", problems)
    assert [str(p).partition(". ")[0] for p in problems] == [
        "boat.xlsx:connections line 2, length [m]: '2026-03-08' is a date"
    ]


def test_a_formula_without_a_result_is_a_problem_with_its_cell(tmp_path):
    path = workbook(tmp_path, {"connections": [["connection", "length [m]"], ["a", "=1+2"], ["b", "=2+2"]]})
    with pytest.raises(SelectorError) as caught:
        read_workbook(path)
    assert [(p.line, p.found) for p in caught.value.problems] == [
        (2, "cell B2 is a formula without a stored result"),
        (3, "cell B3 is a formula without a stored result"),
    ]
    assert "save it once" in str(caught.value)


def test_a_stored_result_is_read_even_an_empty_one(tmp_path):
    path = workbook(tmp_path, {"connections": [["connection", "length [m]", "note"], ["a", "=1+2", '=""']]})
    with_xml(path, b'<c r="B2"><f>1+2</f><v />', b'<c r="B2"><f>1+2</f><v>3</v>')
    with_xml(path, b'<c r="C2"><f>""</f>', b'<c r="C2" t="str"><f>""</f>')
    assert read_workbook(path)["connections"].rows == [["a", "3", ""]]


def test_an_error_cell_is_a_problem_with_its_cell(tmp_path):
    path = workbook(tmp_path, {"connections": [["connection", "length [m]"], ["a", "#DIV/0!"]]})
    with pytest.raises(SelectorError, match=r"line 2: cell B2 holds the error '#DIV/0!'"):
        read_workbook(path)


@pytest.mark.parametrize(
    "content, found",
    [
        (b"connection,length\n", "not an .xlsx workbook"),
        (b"", "not an .xlsx workbook"),
        (b"\xd0\xcf\x11\xe0 rest", "password"),
        (b"PK\x03\x04 and no more", "not an .xlsx workbook"),
    ],
)
def test_workbooks_that_are_none(tmp_path, content, found):
    with pytest.raises(SelectorError, match=found) as caught:
        read_workbook(saved(tmp_path, content, "boat.xlsx"))
    assert caught.value.exit_code == 3


def test_half_a_workbook_and_a_zip_of_other_things(tmp_path):
    whole = workbook(tmp_path, {"connections": [["connection"], ["a"]]}).read_bytes()
    with pytest.raises(SelectorError, match="half of it is missing"):
        read_workbook(saved(tmp_path, whole[: len(whole) // 2], "half.xlsx"))
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("letter.txt", "hello")
    with pytest.raises(SelectorError, match="cannot be read"):
        read_workbook(saved(tmp_path, packed.getvalue(), "other.xlsx"))


def test_a_workbook_that_unpacks_to_too_much_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr("selector.catalogue.sheets._LARGEST_UNPACKED", 2**20)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for number in range(6):
            archive.writestr(f"xl/part{number}.xml", b" " * 2**18)
    with pytest.raises(SelectorError, match="more than 500 MB"):
        read_workbook(saved(tmp_path, packed.getvalue(), "bomb.xlsx"))


def test_two_sheets_of_one_name_are_a_problem(tmp_path):
    path = workbook(tmp_path, {"zones": [["zone"], ["a"]], "Zones.csv": [["zone"], ["b"]]})
    with pytest.raises(SelectorError, match="two sheets have the same name"):
        read_workbook(path)


# ---- properties

words = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=12)


@settings(max_examples=60)
@given(st.lists(st.tuples(words, words), min_size=1, max_size=6), st.sampled_from(",;\t|"))
def test_whatever_a_csv_writer_writes_is_read_without_loss_of_rows(tmp_path_factory, rows, delimiter):
    made = io.StringIO()
    writer = csv.writer(made, delimiter=delimiter, quoting=csv.QUOTE_ALL)
    writer.writerow(["connection", "note"])
    writer.writerows([(f"c{i} {a}", b) for i, (a, b) in enumerate(rows)])
    path = tmp_path_factory.mktemp("made") / "connections.csv"
    path.write_bytes(made.getvalue().encode())
    sheet = read_csv(path)
    assert sheet.header == ["connection", "note"]
    assert [row[0].split()[0] for row in sheet.rows] == [f"c{i}" for i in range(len(rows))]
    assert sheet.lines == list(range(2, len(rows) + 2))


@settings(max_examples=150)
@given(st.binary(max_size=80))
def test_any_bytes_are_a_sheet_or_a_refusal(tmp_path_factory, data):
    path = tmp_path_factory.mktemp("made") / "connections.csv"
    path.write_bytes(data)
    try:
        sheet = read_csv(path)
    except SelectorError as error:
        assert error.exit_code == 3
        assert error.problems
    else:
        assert sheet.header
        assert all(len(row) == len(sheet.header) for row in sheet.rows)
        assert len(sheet.rows) == len(sheet.lines)


@given(st.lists(st.text(max_size=8), min_size=1, max_size=5))
def test_any_cell_is_a_value_or_a_problem_on_its_line(cells):
    problems = Problems()
    sheet = Sheet("x.csv", ["length [m]"], [[cell] for cell in cells], list(range(2, len(cells) + 2)))
    frame = read_table(sheet, (Number("length", "m"),), None, problems)
    bad = {p.line for p in problems}
    for line, cell, value in zip(sheet.lines, cells, frame.data["length_m"], strict=True):
        assert (value is None) == (line in bad or cell == "")


def test_every_test_before_use_is_written_out():
    """A reader sees the row of one condition only: no row may send them to another row's test."""
    rows = list(load()["conditions.csv"].iter_rows(named=True))
    for row in rows:
        test = re.sub(r"^Treated as \w+\. ", "", row["test_before_use"] or "")
        assert not re.search(r"\bas used\b|\bas aged\b|\bsee\b|\bas above\b", test, re.IGNORECASE), row["condition_row"]
        if row["usable"] == "yes" and row["condition"] != "new":
            assert len(test.split()) >= 6, row["condition_row"]  # a test somebody can do, not a word
