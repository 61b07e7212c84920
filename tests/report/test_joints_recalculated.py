"""Joints and control wires live: LibreOffice works their cells out again, as picked and with another splice chosen."""

import openpyxl
import pytest

from selector import pipeline
from selector.report.workbook import write_workbook
from tests.choosing import test_control_wire as wires
from tests.choosing import test_joint as joints
from tests.choosing.projects import write
from tests.report.test_recalculation import differences, recalculate, table, worked_out  # noqa: F401

pytestmark = pytest.mark.office


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    files = wires.project(
        wires.SENSE, wires.FIELD, nominal=12, highest=14.4, **{"field resistance [ohm]": "3", "field current [A]": "5"}
    )
    more = joints.project("4 x 16 AWG > 10 AWG", "12 AWG + 12 AWG + 8 AWG", "3 x 15 AWG > 10 AWG solid", hottest=80)
    own = [
        {**row, "from": place}
        for row, place in zip(more["connections.csv"], ("bus", "regulator", "alternator"), strict=True)
    ]
    files["connections.csv"] = [*files["connections.csv"], *({**row, "zone": "engine"} for row in own)]
    folder = tmp_path_factory.mktemp("joints")
    outcome = pipeline.run(write(folder / "boat", files))
    path = folder / "boat.xlsx"
    write_workbook(outcome, path)
    return path


def test_every_live_cell_of_joints_and_control_wires(book, recalculate):  # noqa: F811
    found, compared = differences(book, recalculate(book))
    assert compared > 500 and not found, found[:5]


def test_another_splice_changes_the_verdict(book, recalculate, tmp_path):  # noqa: F811
    """A tin-plated butt splice in place of the brazed joint of a winding fails by its heat."""
    copy = openpyxl.load_workbook(book)
    sheet = copy["Connections"]
    heads = {str(cell.value).casefold(): cell.column for cell in sheet[4]}
    row = next(cell.row for cell in sheet["A"] if cell.value == "joint 2")
    sheet.cell(row, heads["splice"]).value = "12-10 AWG butt splice"
    path = tmp_path / "changed.xlsx"
    copy.save(path)
    shown = next(r for r in table(worked_out(recalculate(path)), "Connections") if r["Connection"] == "joint 2")
    assert "J07" in str(shown["What fails ✗ or is unknown ? (check codes)"])
