"""Own checks and own families are live in the workbook like the rest: LibreOffice works them out and follows a change."""

import openpyxl
import pytest

from selector import pipeline
from selector.report.workbook import write_workbook
from tests.choosing.projects import BASE, write
from tests.report.test_recalculation import differences, headed, recalculate, table, worked_out

pytestmark = pytest.mark.office
__all__ = ["recalculate"]

OWN = {
    **BASE,
    "own_checks.csv": [
        {"role": "conductor", "actual": "outer diameter", "sense": "at most", "limit": "25", "unit": "mm", "reason": "gland"},
        {"role": "protection", "actual": "rating", "sense": "at least", "limit": "1.1 * current", "unit": "A", "reason": "room"},
    ],
    "connections.csv": [*BASE["connections.csv"], {"connection": "main switch", "kind": "battery switch", "from": "battery",
                                                   "to": "main bus", "zone": "cabin", "current [A]": "120"}],
    "tables/switches.csv": [{"switch": f"battery switch {a} A", "rating [A]": a} for a in ("100", "200", "350")],
    "tables/switches.family.csv": [
        {"what": "key", "name": "switch", "unit": "", "value": "", "reason": ""},
        {"what": "role", "name": "switch"},
        {"what": "column", "name": "rating", "unit": "A"},
        {"what": "smallest by", "name": "rating"},
        {"what": "check", "name": "carries", "unit": "A", "value": "current at most 0.8 * rating", "reason": "80 % for good"},
    ],
    "tables/kinds.csv": [{"kind": "battery switch", "order": "1", "role": "switch", "family": "switches", "leads": "yes",
                          "quantity": "1", "unit": "piece", "source": "common-practice", "status": "measured", "note": ""}],
}  # fmt: skip


@pytest.fixture(scope="module")
def own(tmp_path_factory):
    folder = tmp_path_factory.mktemp("own")
    path = folder / "own.xlsx"
    write_workbook(pipeline.run(write(folder / "boat", OWN)), path)
    return path


def verdicts(book, code):
    return {row["Connection"]: row["Verdict"] for row in table(book, "Reasons") if row["Code"] == code}


def test_own_rows_are_worked_out_to_the_program_s_results(own, recalculate):
    found, compared = differences(own, recalculate(own))
    assert compared > 1000
    assert not found
    rows = verdicts(worked_out(recalculate(own)), "SWI01")
    assert rows == {"main switch": "✓ pass"}


def test_own_rows_follow_a_change(own, recalculate, tmp_path):
    """170 A through the 200 A switch is above 0.8 times its rating; 95 A in the windlass above its 100 A fuse over 1.1."""
    book = openpyxl.load_workbook(own)
    sheet = book["Connections"]
    names = {sheet.cell(row, 1).value: row for row in range(5, sheet.max_row + 1)}
    current = headed(sheet, "Current")
    sheet.cell(names["main switch"], current).value = 170
    sheet.cell(names["windlass"], current).value = 95
    book.save(tmp_path / "changed.xlsx")
    again = worked_out(recalculate(tmp_path / "changed.xlsx"))
    assert "fail" in verdicts(again, "SWI01")["main switch"]
    assert "fail" in verdicts(again, "O02")["windlass"]
    assert "pass" in verdicts(again, "O02")["lights"]
    assert "pass" in verdicts(again, "O01")["windlass"]
