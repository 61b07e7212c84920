"""A rectifier and its sink in the workbook: every name explained, every cell live and the same as the program's."""

import openpyxl
import pytest

from selector import pipeline
from selector.report.workbook import write_workbook
from tests.choosing.projects import write
from tests.choosing.test_rectifier import job
from tests.report.shown_names import names_missing
from tests.report.test_recalculation import differences, recalculate, table, worked_out  # noqa: F401

RANGE = {"zone": {"ambient [degC]": "40..55"}}


@pytest.fixture(scope="module")
def outcome(tmp_path_factory):
    return pipeline.run(write(tmp_path_factory.mktemp("job"), job(**RANGE)))


@pytest.fixture(scope="module")
def written(outcome, tmp_path_factory):
    path = tmp_path_factory.mktemp("book") / "bridge.xlsx"
    write_workbook(outcome, path)
    return path


def test_every_name_of_its_working_sheet_is_in_the_glossary(outcome):
    assert not names_missing(outcome, "rectifier")


def test_connections_and_read_first_say_its_heat(written, outcome):
    book = openpyxl.load_workbook(written, data_only=True)
    (row,) = table(book, "Connections")
    results = outcome.chosen[0].results
    assert row["Rectifier heat [W]"] == pytest.approx(results["module_loss_w"])
    assert row["Junction temperature [degC]"] == pytest.approx(results["junction_k"] - 273.15)
    shares = [results[name] for name in ("heat_share_low", "heat_share_high")]  # read as percentages, as elsewhere
    heads = [f"Share of the alternator's heat, {end} [%]" for end in ("least", "most")]
    assert [row[head] for head in heads] == pytest.approx([100 * share for share in shares])
    said = " ".join(str(cell) for line in book["Read first"].iter_rows(values_only=True) for cell in line if cell)
    assert "Heat of the rectifiers" in said and "by a loss balance at 50 to 65 % efficiency" in said


@pytest.mark.office
def test_a_spreadsheet_works_out_the_same(written, recalculate):  # noqa: F811
    found, compared = differences(written, recalculate(written))
    assert compared > 100 and found == []


@pytest.mark.office
def test_more_current_and_another_sink_follow_live(written, recalculate, tmp_path):  # noqa: F811
    """What a changed cell gives is what the program gives for the changed project."""
    book = openpyxl.load_workbook(written)
    sheet = book["Connections"]
    heads = {str(cell.value): cell.column for cell in sheet[4]}
    rectifier, sink = "three-phase bridge of 6 stud 70 A 400 V", "extrusion 300 x 300 x 80 mm on insulating feet"
    for head, value in (("Current [A]", 140), ("Rectifier", rectifier), ("Heatsink", sink)):
        sheet.cell(5, heads[head]).value = value
    changed = tmp_path / "changed.xlsx"
    book.save(changed)
    (row,) = table(worked_out(recalculate(changed)), "Connections")
    own = job(**RANGE, row={"current [A]": "140", "rectifier": rectifier, "heatsink": sink})
    results = pipeline.run(write(tmp_path / "job", own)).chosen[0].results
    assert row["Junction temperature [degC]"] == pytest.approx(results["junction_k"] - 273.15, abs=1e-6)
    assert row["Rectifier heat [W]"] == pytest.approx(results["module_loss_w"])
