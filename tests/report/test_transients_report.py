"""Suppressors and freewheel diodes in the workbook: every column named, live like the rest, a change followed."""

import openpyxl
import pytest

from selector import pipeline
from selector.report.workbook import write_workbook
from tests.choosing.projects import write
from tests.choosing.test_suppressor import CLASS, dump, project
from tests.report.shown_names import names_missing
from tests.report.test_recalculation import differences, recalculate, table, worked_out

__all__ = ["recalculate"]
KINDS = ("suppressor", "freewheel")


def files():
    """A guard chosen by both printed peaks, one of the user's own in twos, a field's diode and a relay's."""
    nodes = [
        {
            "node": "relay",
            "system": "s",
            "role": "device",
            "stud": "none",
            "coil inductance [H]": "0.5",
            "coil resistance [ohm]": "280",
        }
    ]
    own = project(None, {"load dump resistance [ohm]": "14"}, nodes, ambient="60", highest="29.4", nominal="24")
    own["connections.csv"] += [
        {
            "connection": "own",
            "kind": "suppressor",
            "from": "bank",
            "to": "ground",
            "zone": "z",
            "suppressor": f"2 x {CLASS} 33 V",
        },
        {"connection": "field", "kind": "freewheel", "from": "machine", "to": "ground", "zone": "z"},
        {"connection": "relay", "kind": "freewheel", "from": "relay", "to": "ground", "zone": "z"},
    ]
    return own


@pytest.fixture(scope="module")
def outcome(tmp_path_factory):
    return pipeline.run(write(tmp_path_factory.mktemp("transients") / "boat", files()))


@pytest.fixture(scope="module")
def path(outcome, tmp_path_factory):
    path = tmp_path_factory.mktemp("book") / "transients.xlsx"
    write_workbook(outcome, path)
    return path


@pytest.mark.parametrize("kind", KINDS)
def test_every_name_shown_is_in_the_glossary(outcome, kind):
    assert not names_missing(outcome, kind)


def test_a_pick_of_several_pieces_stands_in_the_drop_down_with_its_number(path):
    book = openpyxl.load_workbook(path, data_only=True)
    heads = {cell.value: cell.column for cell in book["Connections"][4]}
    row = next(r for r in range(5, 30) if book["Connections"].cell(r, 1).value == "own")
    assert book["Connections"].cell(row, heads["Suppressor"]).value == f"2 x {CLASS} 33 V"
    keys = {cell.value for cell in book["Tables used"]["A"]}
    assert {f"{CLASS} 33 V", f"2 x {CLASS} 33 V", f"4 x {CLASS} 33 V"} <= keys
    parts = [[cell.value for cell in row] for row in book["Parts list"].iter_rows()]
    assert any(f"{CLASS} 33 V" in row and 2 in row for row in parts)


def test_the_load_dump_is_given_in_the_units_of_the_project(outcome, path):
    """Milliseconds in supplies.csv, milliseconds here; no share and no bare second is left among the heads."""
    sheet = openpyxl.load_workbook(path, data_only=True)["Connections"]
    heads = [cell.value for cell in sheet[4]]
    at = heads.index("Load dump time [ms]") + 1
    stored = [sheet.cell(row, at).value for row in range(5, sheet.max_row + 1)]
    times = [float(outcome.places.columns["dump_time_s"][one.place]) for one in outcome.chosen]
    known = [1000 * value for value in times if value == value]
    assert known and [value for value in stored if value is not None] == pytest.approx(known)
    assert not [head for head in heads if head and ("[share]" in head or head == "Load dump time [s]")]


@pytest.mark.office
def test_every_live_cell_is_worked_out_to_the_program_s_result(path, recalculate):
    again = recalculate(path)
    found, compared = differences(path, again)
    assert compared > 500
    assert not found
    assert {row["Verdict"] for row in table(worked_out(again), "Verification")} == {"✓ agrees"}


@pytest.mark.office
def test_another_number_in_parallel_and_another_pulse_are_followed(outcome, path, tmp_path, recalculate):
    book = openpyxl.load_workbook(path)
    sheet = book["Connections"]
    heads = {str(cell.value): cell.column for cell in sheet[4]}
    row = next(r for r in range(5, 30) if sheet.cell(r, 1).value == "own")
    sheet.cell(row, heads["Suppressor"]).value = f"3 x {CLASS} 33 V"
    for head, value in (("Load dump peak", 101), ("Load dump resistance", 4), ("Load dump time", 400)):
        for name, column in heads.items():
            if name.startswith(head):
                sheet.cell(row, column).value = value
    changed = tmp_path / "changed.xlsx"
    book.save(changed)
    again = worked_out(recalculate(changed))["Connections"]

    other = files()
    other["supplies.csv"][0] |= dump("101", "4", "400")
    other["connections.csv"][2]["suppressor"] = f"3 x {CLASS} 33 V"
    run = pipeline.run(write(tmp_path / "boat", other))
    results = next(one for one in run.chosen if run.places.names[one.place] == "own").results
    for head, fact in (("Pulse current [A]", "pulse_current_a"), ("Pulse energy [J]", "pulse_energy_j"),
                       ("Clamping voltage [V]", "clamping_voltage_v")):  # fmt: skip
        assert again.cell(row, heads[head]).value == pytest.approx(results[fact], rel=1e-9)
