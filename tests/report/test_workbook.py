"""The workbook as a file: its sheets, its stored results, its formulas, and how it is written."""

import os
import re
import subprocess
import sys
import zipfile
from xml.etree import ElementTree

import openpyxl
import pytest

from selector import pipeline
from selector.errors import OutputError
from selector.physics.heat_balance import TEMPERATURE_STEPS
from selector.report import package, workbook
from selector.report.live import letters
from selector.report.live_checks import SIGN
from selector.report.package import STRINGS, Sheet, clean
from selector.report.styles import number
from selector.report.workbook import build, write_workbook
from tests.report.shown_names import names_missing

SHEETS = [
    "Read first",
    "Connections",
    "Parts list",
    "Cut list",
    "Reasons",
    "Near misses",
    "Bench checks",
    "Tables used",
    "Sources",
    "Verification",
]
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
# Functions of the first edition of ISO/IEC 29500 (Office Open XML), which every spreadsheet since 2007 reads.
PLAIN_FUNCTIONS = {
    "ABS", "AND", "COS", "COUNT", "COUNTIF", "EXP", "IF", "IFERROR", "INDEX", "ISNUMBER", "LEFT", "LN", "MATCH", "MAX",
    "MIN", "NA", "OR", "ROUND", "SQRT", "SUBSTITUTE", "SUM",
}  # fmt: skip
LONGEST_FORMULA = 8192


def cells_of(path):
    """(sheet, place, type, formula or None, stored text) of every cell that holds something, from the file itself.

    A formula that is shared is that of the first cell of its column.
    """
    with zipfile.ZipFile(path) as book:
        names = openpyxl.load_workbook(path, read_only=True).sheetnames
        words = ["".join(own.itertext()) for own in ElementTree.fromstring(book.read(STRINGS)).iter(f"{MAIN}si")]
        for number, name in enumerate(names, 1):
            shared = {}
            with book.open(f"xl/worksheets/sheet{number}.xml") as file:
                for _, element in ElementTree.iterparse(file):
                    if element.tag == f"{MAIN}c":
                        formula, value = element.find(f"{MAIN}f"), element.find(f"{MAIN}v")
                        kind, stored = element.get("t"), "" if value is None else value.text
                        if formula is not None:
                            formula = shared.setdefault(formula.get("si", formula.text), formula.text)
                        yield name, element.get("r"), kind, formula, words[int(stored)] if kind == "s" else stored
                    elif element.tag == f"{MAIN}row":
                        element.clear()


def table(book, sheet):
    """Rows of a sheet as dictionaries by its header row."""
    rows = list(book[sheet].iter_rows(min_row=4, values_only=True))
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


@pytest.fixture(scope="module")
def values(written):
    return openpyxl.load_workbook(written, data_only=True)


@pytest.fixture(scope="module")
def formulas(written):
    return [cell for cell in cells_of(written) if cell[3] is not None]


def test_the_sheets_stand_in_order_and_helpers_last(values):
    assert values.sheetnames == [*SHEETS, "Working cable", "Working control wire"]


def test_every_connection_has_its_row_and_verdict(values, outcome, boat):
    rows = table(values, "Connections")
    assert [row["Connection"] for row in rows] == [row[0] for row in boat.rows["connections.csv"][1:]]
    assert [row["Verdict"] for row in rows] == [SIGN[one.status] for one in outcome.chosen]
    assert {one.status for one in outcome.chosen} >= {"served", "incomplete"}


def test_stored_results_are_the_program_s(values, outcome):
    rows = table(values, "Connections")
    compared = 0
    for row, one in zip(rows, outcome.chosen, strict=True):
        if one.status != "served" or "pump" in row["Connection"]:
            continue
        results = one.results
        assert row["Wire temperature [degC]"] == pytest.approx(results["conductor_temperature_k"] - 273.15, rel=1e-9)
        assert row["Ampacity by heat balance [A]"] == pytest.approx(results["conductor_balance_ampacity_a"], rel=1e-9)
        assert row["Ampacity by rule table [A]"] == pytest.approx(results["conductor_rule_ampacity_a"], rel=1e-9)
        assert row["Voltage drop [V]"] == pytest.approx(results["voltage_drop_v"], rel=1e-9)
        compared += 1
    assert compared >= 3


def test_verification_agrees_everywhere(values):
    rows = table(values, "Verification")
    assert len(rows) >= 6 * 5
    assert {row["Verdict"] for row in rows} == {"✓ agrees"}


def test_reasons_hold_every_check_with_the_program_s_status(values, outcome):
    rows = {}
    for row in table(values, "Reasons"):
        rows[row["Connection"], row["Role"], row["Code"]] = row
    seen = 0
    for one in outcome.chosen:
        for check, status, actual, _ in one.verdicts:
            row = rows[outcome.places.names[one.place], check.role, check.code]
            assert row["Verdict"] == ("✗ fail", "? unknown", "✓ pass")[status]
            assert (row["Actual"] == "unknown") == (actual != actual)
            assert row["Weight"] == check.severity
            seen += 1
    assert seen > 200


def test_an_unknown_length_leaves_its_results_unknown(values):
    row = next(row for row in table(values, "Connections") if row["Connection"] == "horn")
    assert row["Verdict"] == "? incomplete"
    assert row["Voltage drop [V]"] == "unknown"
    assert "?C07" in row["What fails ✗ or is unknown ? (check codes)"]
    assert row["Length, one way [m]"] is None


def test_a_range_is_worked_at_both_its_ends(values, outcome):
    row = next(row for row in table(values, "Connections") if row["Connection"] == "pump")
    assert (row["Ambient [degC]"], row["Ambient, upper value [degC]"]) == (50, 60)
    cases = [row for row in values["Working cable"].iter_rows(min_row=5, values_only=True) if row[0] == "pump"]
    assert [case[1] for case in cases] == list(range(1, len(cases) + 1))
    assert len(cases) >= 2
    one = next(one for one in outcome.chosen if outcome.places.names[one.place] == "pump")
    assert row["Ampacity by heat balance [A]"] < one.results["conductor_balance_ampacity_a"] * (1 + 1e-9)


def test_formulas_are_short_plain_and_read_everywhere(formulas):
    functions = set()
    for sheet, place, _, formula, _ in formulas:
        assert len(formula) <= LONGEST_FORMULA, (sheet, place)
        assert "[" not in formula and "_xlfn" not in formula, (sheet, place)
        bare = re.sub(r'"[^"]*"', "", formula)
        functions |= set(re.findall(r"([A-Z][A-Z0-9.]*)\(", bare))
    assert functions <= PLAIN_FUNCTIONS
    assert len(formulas) > 5000


def test_every_formula_has_its_result_stored(formulas):
    for sheet, place, kind, _, stored in formulas:
        if kind is None:
            float(stored)
        else:
            assert kind == "str" or (kind, stored) == ("e", "#N/A"), (sheet, place)


def test_a_formula_is_shared_by_its_whole_column(written):
    with zipfile.ZipFile(written) as book:
        rows = book.read("xl/workbook.xml").decode().count("<sheet ")
        texts = [book.read(f"xl/worksheets/sheet{number}.xml").decode() for number in range(1, rows + 1)]
    shared = 0
    for text in texts:
        asked = re.findall(r'<c r="([A-Z]+)(\d+)"[^>]*><f t="shared"(?: ref="([A-Z0-9:]+)")? si="(\d+)"', text)
        for group in {si for *_, si in asked}:
            own = [(column, int(row), ref) for column, row, ref, si in asked if si == group]
            (column, first, area), last = own[0], own[-1][1]
            assert area == f"{column}{first}:{column}{last}"
            assert own[1:] == [(column, row, "") for row in range(first + 1, last + 1)]
            shared += 1
    assert shared > 400


def test_the_heat_balance_is_live(written):
    sheet = openpyxl.load_workbook(written)["Working cable"]
    heads = {cell.value: cell.column for cell in sheet[4] if cell.value}
    assert any(str(head).startswith(f"estimate {TEMPERATURE_STEPS}") for head in heads)
    column = heads["Wire temperature [K]"]
    assert str(sheet.cell(5, column).value).startswith("=")


def test_the_helper_sheets_fit_the_narrowest_spreadsheet(values):
    for name in values.sheetnames:
        assert values[name].max_column <= 1024


def test_picks_are_drop_downs_over_the_keys_of_tables_used(written, outcome):
    book = openpyxl.load_workbook(written)
    tables = [row[0].value for row in book["Tables used"].iter_rows()]
    found = 0
    for choice in book["Connections"].data_validations.dataValidation:
        assert choice.type == "list"
        first, last = (int(n) for n in re.findall(r"\$A\$(\d+)", choice.formula1))
        keys = tables[first - 1 : last]
        assert keys[-1] == "none"
        assert any(keys[:-1] == own.keys for own in outcome.candidates.values())
        found += 1
    assert found == 6


def test_another_part_s_data_stand_in_tables_used(values, outcome):
    sheet = values["Tables used"]
    rows = list(sheet.iter_rows(values_only=True))
    wires = outcome.candidates["wires"]
    start = next(i for i, row in enumerate(rows) if row[0] == wires.keys[0])
    column = next(i for i, head in enumerate(rows[start - 1]) if head == "outer diameter [mm]")
    shown = [row[column] for row in rows[start : start + len(wires)]]
    assert shown == pytest.approx([1000 * d for d in wires.columns["outer_diameter_m"]], rel=1e-9)


def test_the_same_input_gives_the_same_bytes(outcome, written, project, tmp_path):
    again = tmp_path / "again.xlsx"
    write_workbook(outcome, again)
    assert again.read_bytes() == written.read_bytes()
    code = (
        "import sys; from selector import pipeline; from selector.report.workbook import write_workbook;"
        "write_workbook(pipeline.run(sys.argv[1]), sys.argv[2])"
    )
    other = tmp_path / "other.xlsx"
    environment = {**os.environ, "PYTHONHASHSEED": "12345", "TZ": "Asia/Tokyo"}
    environment["PYTHONPATH"] = os.pathsep.join(sys.path)
    subprocess.run([sys.executable, "-c", code, str(project), str(other)], check=True, env=environment)
    assert other.read_bytes() == written.read_bytes()


def test_it_is_worked_out_again_when_opened(written):
    with zipfile.ZipFile(written) as book:
        assert 'fullCalcOnLoad="1"' in book.read("xl/workbook.xml").decode()
        assert {info.date_time for info in book.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_text_of_users_never_becomes_a_formula(tmp_path, boat):
    bad = '=HYPERLINK("http://x","y")'
    rows = boat.changed("connections.csv", "lights", connection=bad)
    rows["nodes.csv"] = [[cell.replace("pump", "@pump") for cell in row] for row in rows["nodes.csv"]]
    rows["connections.csv"] = [
        [cell.replace("pump", "@pump") if i == 3 else cell for i, cell in enumerate(row)]
        for row in rows["connections.csv"]
    ]
    path = tmp_path / "bad.xlsx"
    write_workbook(pipeline.run(boat.write(tmp_path / "bad", rows)), path)
    seen = 0
    for sheet, place, kind, formula, text in cells_of(path):
        assert formula is None or "HYPERLINK" not in formula, (sheet, place)
        if text == bad:
            assert kind == "s"
            seen += 1
    assert seen > 5
    cell = openpyxl.load_workbook(path)["Connections"]["A6"]
    assert (cell.value, cell.data_type, cell.quotePrefix) == (bad, "s", True)


@pytest.mark.parametrize(
    "text, kept",
    [
        ("a\x00b\x1fc", "abc"),
        ("tab\tand\nline", "tab\tand\nline"),
        ("\ud800x\uffff", "x"),
        ("_x0041_", "_x005F_x0041_"),
    ],
)
def test_control_characters_are_dropped(text, kept):
    assert clean(text) == kept


def test_texts_longer_than_a_cell_are_cut():
    assert len(clean("x" * 40000)) == 32767


# -- written in one step ---------------------------------------------------------------------------------------------


@pytest.fixture
def small(monkeypatch):
    sheet = Sheet("One", [10])
    sheet.add(("text", package.quoted(workbook.sheets_first.TEXT)))
    monkeypatch.setattr(workbook, "build", lambda outcome, shelf=None: [sheet])
    return sheet


def test_a_missing_folder_is_told_in_a_sentence(outcome, small, tmp_path):
    with pytest.raises(OutputError) as caught:
        write_workbook(outcome, tmp_path / "nowhere" / "book.xlsx")
    assert caught.value.exit_code == 4
    assert "could not be written" in str(caught.value)


@pytest.mark.parametrize("broken", ["replace", "fsync"])
def test_the_old_workbook_stays_whole_when_writing_fails(outcome, small, tmp_path, monkeypatch, broken):
    path = tmp_path / "book.xlsx"
    path.write_bytes(b"old")

    def fail(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(package.os, broken, fail)
    with pytest.raises(OutputError, match="No space left on device"):
        write_workbook(outcome, path)
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["book.xlsx"]


def test_an_interruption_leaves_nothing_behind(outcome, small, tmp_path, monkeypatch):
    path = tmp_path / "book.xlsx"
    path.write_bytes(b"old")

    def interrupt(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(package, "_package", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_workbook(outcome, path)
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["book.xlsx"]


def test_a_folder_in_the_way_is_told(outcome, small, tmp_path):
    (tmp_path / "book.xlsx").mkdir()
    with pytest.raises(OutputError):
        write_workbook(outcome, tmp_path / "book.xlsx")
    assert os.listdir(tmp_path) == ["book.xlsx"]


# -- many connections ------------------------------------------------------------------------------------------------


def test_above_the_limit_it_stands_as_values_and_says_so(outcome, tmp_path, monkeypatch, values):
    monkeypatch.setattr(workbook, "MOST_LIVE", 3)
    path = tmp_path / "values.xlsx"
    write_workbook(outcome, path)
    assert not [cell for cell in cells_of(path) if cell[3] is not None]
    book = openpyxl.load_workbook(path)
    assert book.sheetnames == SHEETS
    texts = " ".join(str(cell.value) for row in book["Read first"].iter_rows() for cell in row if cell.value)
    assert "stands as values" in texts
    plain = [{head: cell or None for head, cell in row.items()} for row in table(values, "Connections")]
    assert [{head: cell or None for head, cell in row.items()} for row in table(book, "Connections")] == plain


# -- what a reader sees ----------------------------------------------------------------------------------------------


def test_read_first_says_what_must_be_known(values, outcome):
    text = "\n".join(
        " | ".join(str(cell) for cell in row if cell) for row in values["Read first"].iter_rows(values_only=True)
    )
    assert outcome.rule["does_not_cover"] in text
    assert all(caution in text for caution in outcome.cautions)
    assert "? incomplete: horn" in text and "How long is it" in text
    for default in outcome.places.defaults:
        assert default.what in text
    assert "from memory" in text


def test_the_parts_list_adds_up(values, outcome):
    wanted = {}
    for one in outcome.chosen:
        for role in one.kind.roles:
            want = outcome.wanted[one.place][role.role]
            if one.status != "unserved" and want.present and not want.inherited:
                key = outcome.candidates[role.family].keys[one.picks[role.role]]
                wanted[key] = wanted.get(key, 0) + one.quantities[role.role]
    for row in table(values, "Parts list"):
        expected = wanted.pop(row["Part"])
        assert row["Quantity"] == "unknown" if expected != expected else row["Quantity"] == pytest.approx(expected)
    assert not wanted


def test_every_name_shown_is_in_the_glossary(outcome):
    sheets = build(outcome)
    assert sheets
    assert not names_missing(outcome, "cable")


def test_headers_carry_units(values):
    heads = [cell.value for cell in values["Connections"][4]]
    heads += [cell.value for row in values["Tables used"].iter_rows() if row[0].value == "part" for cell in row]
    measured = [head for head in heads if head and re.search(r"temperature|diameter|current|length|drop", head, re.I)]
    assert len(measured) > 12
    assert all(re.search(r"\[.+\]$", head) for head in measured)


def test_it_prints_with_its_headers_and_page_numbers(written):
    book = openpyxl.load_workbook(written)
    for sheet in book:
        assert sheet.page_setup.orientation == "landscape"
        assert sheet.sheet_properties.pageSetUpPr.fitToPage and sheet.page_setup.fitToHeight == 0
        assert "&P" in sheet.oddFooter.right.text
        if sheet.title != "Read first":
            assert sheet.freeze_panes
            assert sheet.print_title_rows or sheet.title == "Tables used"


@pytest.mark.parametrize("index, text", [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")])
def test_letters_of_columns(index, text):
    assert letters(index) == text


READ_ON_PAPER = ("Connections", "Parts list", "Cut list", "Reasons", "Near misses", "Bench checks")


def test_numbers_show_few_digits_and_keep_all(values):
    """No raw figure such as 122.09716834 stands on a sheet people read; the cell still has all its digits."""
    raw, kept = [], 0
    for name in READ_ON_PAPER:
        for row in values[name].iter_rows(min_row=5):
            for cell in row:
                if isinstance(cell.value, float):
                    kept += len(repr(cell.value)) > 10
                    raw += [f"{name}!{cell.coordinate}"] if cell.number_format == "General" else []
    assert raw == [] and kept > 50


@pytest.mark.parametrize(
    "unit, value, shown",
    [("A", 222.0971, "222.1"), ("A", 9.7834, "9.783"), ("A", 3684.444, "3684"), ("V", 0.1027083333, "0.103"), ("V", 29.2, "29.20"),
     ("degC", 122.09716834, "122.1"), ("J", 71.80045, "71.8"), ("W", 215.8, "215.8"), ("ohm", 0.00054791, "0.000548"),
     ("mohm", 0.54791, "0.5479"), ("%", 7.390411, "7.4"), ("ms", 400.0, "400.0"), ("K/W", 0.37123, "0.3712"), ("m", 3.6576, "3.658")],
)  # fmt: skip
def test_three_or_four_digits_count(unit, value, shown):
    assert displayed(number(unit).format, value) == shown


def displayed(form, value):
    """A number as a spreadsheet shows it in one of our formats: conditions, then digits; ISO/IEC 29500 part 1, 18.8.31."""
    for part in form.split(";"):
        condition = re.match(r"\[>=(\d+)\]", part)
        if condition is None or value >= float(condition[1]):
            digits = re.sub(r"\[.*?\]|_\)", "", part)
            least, most = (len(re.findall(mark, digits.partition(".")[2])) for mark in ("0", "[0#]"))
            whole, _, rest = f"{value:.{most}f}".partition(".")
            rest = rest[:least] + rest[least:].rstrip("0")
            return f"{whole}.{rest}" if rest else whole
    raise AssertionError(form)


def test_no_number_runs_into_the_next_column(written):
    book = openpyxl.load_workbook(written)
    formats = {c.number_format for name in READ_ON_PAPER for row in book[name].iter_rows() for c in row} - {"General"}
    assert formats and all(part.endswith("_)") for form in formats for part in form.split(";"))


def test_hints_are_wrapped_within_a_page(written):
    book = openpyxl.load_workbook(written)
    for sheet in book:
        if sheet.title == "Read first" or sheet.title.startswith("Working "):
            continue
        (cell,) = [cell for cell in sheet[2] if cell.value]
        area = next((own for own in sheet.merged_cells.ranges if cell.coordinate in own), None)
        widths = package_widths(sheet)
        first, last = (cell.column, area.max_col) if area is not None else (cell.column, cell.column)
        wide = sum(widths[first - 1 : last])
        assert cell.alignment.wrap_text and wide <= 160, sheet.title
        assert sheet.row_dimensions[2].height >= 13.5 * len(cell.value) * 0.95 / wide, sheet.title


def package_widths(sheet):
    """Widths of all columns; columns of one width stand together in the file."""
    widths = []
    for dimension in sorted(sheet.column_dimensions.values(), key=lambda own: own.min):
        widths += [dimension.width] * (dimension.max - dimension.min + 1)
    return widths


def test_connections_is_legible_on_paper(written):
    """A4 on its side, margins off, is some 277 mm: 149 characters of 10 points (5.25 points each, common practice, no
    source). With at most 215 a page, words are 7 points or more; the first columns stand on every page."""
    sheet = openpyxl.load_workbook(written)["Connections"]
    widths, pages = package_widths(sheet), sheet.page_setup.fitToWidth
    again = sum(widths[:2])
    assert sheet.print_title_cols == "$A:$B" and pages > 1
    assert (sum(widths) - again) / pages + again <= 215


def test_what_is_not_for_paper_prints_its_heading_only(written):
    book = openpyxl.load_workbook(written)
    for sheet in book:
        if sheet.title.startswith("Working ") or sheet.title == "Tables used":
            assert re.fullmatch(r"'?[\w ]+'?!\$A\$1:\$[A-Z]+\$2", sheet.print_area), sheet.print_area
            assert any("Not for paper" in str(cell.value) for cell in sheet[2])
        else:
            assert not sheet.print_area
    said = next(row[1].value for row in book["Read first"].iter_rows() if row[0].value == "What to print")
    assert all(name in said for name in ("Parts list", "Cut list", "Bench checks", "Connections", "working sheets"))


def test_what_was_assumed_is_told_once_with_its_end(values):
    rows = [[cell.value for cell in row] for row in values["Read first"].iter_rows()]
    start = next(i for i, row in enumerate(rows) if str(row[0]).startswith("Assumed"))
    said = [(row[0], row[1]) for row in rows[start + 2 :] if row[1] and "terminal limit" in str(row[0])]
    assert said and len(set(said)) == len(said)
    assert all(what.endswith((", from end", ", to end")) for what, _ in said)
