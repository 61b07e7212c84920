"""The live cells worked out again by a spreadsheet, and compared with the program."""

import re
import shutil
import subprocess
import zipfile

import numpy as np
import openpyxl
import pytest

from selector import pipeline
from selector.report.live_checks import SIGN

pytestmark = pytest.mark.office

TOLERANCE = 1e-9
ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>0</value></prop></item></oor:items>
"""
INNER = re.compile(r"^(chord|other end|residual|share left \d)")
"""Steps of a search that has met: which end is kept there hangs on the last bit of a residual near zero."""


@pytest.fixture(scope="module")
def recalculate(tmp_path_factory):
    """A function of a workbook's path: the path of the same workbook with every cell worked out anew."""
    run = runner(tmp_path_factory)
    return lambda path: run([path])[path.name]


@pytest.fixture(scope="module")
def recalculate_all(tmp_path_factory):
    """The same for several at once: a function of their paths that gives name -> path."""
    return runner(tmp_path_factory)


def runner(tmp_path_factory):
    """Start LibreOffice with a profile of its own, so that it works out every cell on loading; skips without it."""
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office is None:
        pytest.skip("LibreOffice is not installed")
    profile = tmp_path_factory.mktemp("profile")
    (profile / "user").mkdir()
    (profile / "user" / "registrymodifications.xcu").write_text(ALWAYS, encoding="utf-8")

    def run(paths):
        out = tmp_path_factory.mktemp("recalculated")
        command = [office, f"-env:UserInstallation=file://{profile}", "--headless", "--convert-to", "xlsx"]
        command += ["--outdir", str(out), *map(str, paths)]
        subprocess.run(command, check=True, capture_output=True, timeout=300 * len(paths))
        return {path.name: out / path.name for path in paths}

    return run


def worked_out(path):
    return openpyxl.load_workbook(path, data_only=True)


def table(book, sheet):
    rows = list(book[sheet].iter_rows(min_row=4, values_only=True))
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


def agree(left, right):
    if isinstance(left, (int, float)) and isinstance(right, (int, float)):
        return abs(left - right) <= TOLERANCE * max(1.0, abs(left))
    return (left or "") == (right or "")


def differences(path, again):
    """Live cells whose recalculated result is not the stored one, and how many were compared."""
    formulas, stored, fresh = openpyxl.load_workbook(path), worked_out(path), worked_out(again)
    found, compared = [], 0
    for sheet in formulas:
        heads = [str(cell.value) for cell in sheet[4]]
        for row in sheet.iter_rows(min_row=5):
            for cell in row:
                if cell.data_type != "f" or (sheet.title.startswith("Working") and INNER.match(heads[cell.column - 1])):
                    continue
                compared += 1
                left, right = stored[sheet.title][cell.coordinate].value, fresh[sheet.title][cell.coordinate].value
                if not agree(left, right):
                    found.append((sheet.title, cell.coordinate, heads[cell.column - 1], left, right))
    return found, compared


@pytest.fixture(scope="module")
def again(written, recalculate):
    return recalculate(written)


def test_every_live_cell_is_worked_out_to_the_program_s_result(written, again):
    found, compared = differences(written, again)
    assert compared > 5000
    assert not found


def test_verification_agrees_after_recalculation(again):
    rows = table(worked_out(again), "Verification")
    assert {row["Verdict"] for row in rows} == {"✓ agrees"}
    assert max(row["Relative difference"] for row in rows) <= TOLERANCE


def test_a_wrong_stored_result_is_replaced(written, tmp_path, recalculate):
    """Without this the test above might compare stored numbers with themselves."""
    place = openpyxl.load_workbook(written)["Connections"]
    column = next(cell.column_letter for cell in place[4] if str(cell.value).startswith("Voltage drop"))
    planted, count = tmp_path / "planted.xlsx", 0
    with zipfile.ZipFile(written) as source, zipfile.ZipFile(planted, "w", zipfile.ZIP_DEFLATED) as target:
        for name in source.namelist():
            data = source.read(name)
            if name == "xl/worksheets/sheet2.xml":
                text, count = re.subn(rf'(<c r="{column}5"[^>]*><f>[^<]*</f><v>)[^<]*', r"\g<1>77.5", data.decode())
                data = text.encode()
            target.writestr(name, data)
    assert count == 1
    assert worked_out(planted)["Connections"][f"{column}5"].value == 77.5
    right = worked_out(written)["Connections"][f"{column}5"].value
    assert worked_out(recalculate(planted))["Connections"][f"{column}5"].value == pytest.approx(right, rel=TOLERANCE)


def headed(sheet, words):
    return next(cell.column for cell in sheet[4] if str(cell.value).startswith(words))


def fixed_parts(rows, outcome, but=()):
    """The project's rows with every part of the outcome written in, so that the program judges the same tuple."""
    header = [name.split(" [")[0] for name in rows["connections.csv"][0]]
    changes = dict(but)
    for one in outcome.chosen:
        name = outcome.places.names[one.place]
        row = next(row for row in rows["connections.csv"][1:] if row[0] == name)
        for role in one.kind.roles:
            want = outcome.wanted[one.place][role.role]
            if want.inherited:
                continue
            key = outcome.candidates[role.family].keys[one.picks[role.role]] if want.present else "none"
            row[header.index(role.role)] = changes.get((name, role.role), key)
    return rows


def test_changes_in_the_sheet_give_what_the_program_gives_for_the_same_changes(
    written, outcome, boat, tmp_path, recalculate
):
    """Current, length, ambient, bundle, peak, air and parts, each changed in a row of its own."""
    wires = outcome.candidates["wires"]
    picked = next(one for one in outcome.chosen if outcome.places.names[one.place] == "battery feed")
    index = picked.picks["conductor"]
    thinner = max(
        (i for i in range(len(wires)) if wires.words["insulation"][i] == wires.words["insulation"][index]
         and wires.columns["area_mm2"][i] < wires.columns["area_mm2"][index] / 3),
        key=lambda i: wires.columns["area_mm2"][i],
    )  # fmt: skip
    book = openpyxl.load_workbook(written)
    sheet = book["Connections"]
    row_of = {sheet.cell(row, 1).value: row for row in range(5, sheet.max_row + 1)}

    def put(connection, words, value):
        sheet.cell(row_of[connection], headed(sheet, words)).value = value

    put("windlass", "Current [A]", 95)
    put("windlass", "Ambient [", 71)
    put("windlass", "Air speed", 0)
    put("lights", "Length", 21.5)
    put("lights", "Grouped with", 0)
    put("lights", "Peak current [A]", 30)
    put("lights", "Peak time", 4)
    put("pump", "Current [A]", 31)
    put("pump", "Altitude", 2500)
    put("horn", "Length", 2.5)
    put("battery feed", "Conductor", wires.keys[thinner])
    changed = tmp_path / "changed.xlsx"
    book.save(changed)

    rows = boat.changed("connections.csv", "windlass", current="95", zone="hot deck")
    boat.change(rows, "connections.csv", "lights", length="21.5", grouped_with="0", peak_current="30", peak_time="4")
    boat.change(rows, "connections.csv", "pump", current="31", zone="high engine room")
    boat.change(rows, "connections.csv", "horn", length="2.5")
    boat.change(rows, "connections.csv", "battery feed", current=repr(float(outcome.places.columns["current_a"][4])))
    rows["zones.csv"].append(["hot deck", "71", "yes", "no", "0", "0"])
    rows["zones.csv"].append(["high engine room", "50..60", "no", "yes", "0", "2500"])
    fixed_parts(rows, outcome, {("battery feed", "conductor"): wires.keys[thinner]})
    truth = pipeline.run(boat.write(tmp_path / "changed", rows))

    fresh = worked_out(recalculate(changed))
    lines = {row["Connection"]: row for row in table(fresh, "Connections")}
    reasons = {(row["Connection"], row["Role"], row["Code"]): row for row in table(fresh, "Reasons")}
    before = {row["Connection"]: row for row in table(worked_out(written), "Connections")}
    verdicts = set()
    for one in truth.chosen:
        name = truth.places.names[one.place]
        line = lines[name]
        assert line["Verdict"] == SIGN[one.status], name
        verdicts.add(one.status)
        if name not in ("pump", "sense"):
            assert agree(one.results["conductor_temperature_k"] - 273.15, line["Wire temperature [degC]"])
            assert agree(one.results["conductor_balance_ampacity_a"], line["Ampacity by heat balance [A]"])
            assert agree(one.results["voltage_drop_v"], line["Voltage drop [V]"])
            assert line["Wire temperature [degC]"] != before[name]["Wire temperature [degC]"]
        for check, status, actual, _ in one.verdicts:
            row = reasons[name, check.role, check.code]
            assert row["Verdict"] == ("✗ fail", "? unknown", "✓ pass")[status], (name, check.code)
            if np.isfinite(actual) and not check.yes_no:
                from selector.report.result import shown

                assert agree(shown(check, actual), row["Actual"]), (name, check.code)
    assert len(verdicts) >= 2


def test_a_cleared_part_or_value_is_never_a_pass(written, tmp_path, recalculate):
    book = openpyxl.load_workbook(written)
    sheet = book["Connections"]
    sheet.cell(5, headed(sheet, "Conductor")).value = None
    sheet.cell(6, headed(sheet, "Ambient [")).value = None
    sheet.cell(9, headed(sheet, "Protection")).value = "a part nobody sells"
    cleared = tmp_path / "cleared.xlsx"
    book.save(cleared)
    lines = table(worked_out(recalculate(cleared)), "Connections")
    assert [lines[i]["Verdict"] for i in (0, 1, 4)] == ["✗ unserved", "? incomplete", "? incomplete"]
    assert lines[0]["Wire temperature [degC]"] == lines[1]["Wire temperature [degC]"] == "unknown"
