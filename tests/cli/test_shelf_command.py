"""The command ``shelf``: what it writes, what it prints, its exit codes, and bad input."""

import csv
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import openpyxl
import pytest

from selector.demo import WORKBOAT
from tests.choosing.projects import BASE, write
from tests.cli.test_bad_input import run

ROOT = Path(__file__).parents[2]
STOCK = """part,quantity,unit,length [m],condition
8 AWG tinned PVC 105,1,piece,14,new
2 AWG tinned PVC 105,1,piece,3,used
6 AWG wire,1,piece,5,new
brass hinge 60 mm,2,piece,,new
"""


@pytest.fixture
def boat(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    write(tmp_path / "boat", BASE)
    (tmp_path / "boxes.csv").write_text(STOCK, encoding="utf-8")
    return tmp_path / "boat"


def test_everything_is_written(boat, tmp_path):
    code, out, err = run(
        "shelf", "boat", "--stock", "boxes.csv", "--json", "out/a.json", "--csv", "out/csv", "--left", "out/left.csv"
    )
    assert code == 0, err
    data = json.loads((tmp_path / "out" / "a.json").read_text())
    assert data["summary"] == {"served": 3, "unserved": 0, "incomplete": 0}
    own = data["shelf"]
    assert set(own) >= {"assigned", "to_buy", "left", "refused", "read", "gap", "stopped_early"}
    for cut in own["assigned"]:
        assert set(cut) == {
            "connection",
            "role",
            "part",
            "stock_line",
            "piece",
            "length",
            "quantity",
            "unit",
            "provisional",
        }
        picks = next(c for c in data["connections"] if c["connection"] == cut["connection"])["picks"]
        assert next(p for p in picks if p["role"] == cut["role"])["part"] == cut["part"]
        assert not next(p for p in picks if p["role"] == cut["role"])["fixed"]
    assert {row["stock_line"]: row["status"] for row in own["read"]} == {
        2: "exact",
        3: "exact",
        4: "ambiguous",
        5: "unread",
    }
    assert {2, 3} & {cut["stock_line"] for cut in own["assigned"]}
    assert not {4, 5} & {cut["stock_line"] for cut in own["assigned"]}
    codes = {row["stock_line"]: row["code"] for row in own["refused"] if row["connection"] is None}
    assert codes == {4: "AMBIGUOUS", 5: "UNREAD"}
    for heading in ("From the shelf", "To buy", "Cut plan", "Refused"):
        assert f"\n{heading}\n" in out
    assert (tmp_path / "out" / "csv" / "picks.csv").is_file()
    with (tmp_path / "out" / "left.csv").open(newline="", encoding="utf-8") as file:
        left = list(csv.DictReader(file))
    assert [row["part"] for row in left][-2:] == ["6 AWG wire", "brass hinge 60 mm"]
    again, _, err = run("shelf", "boat", "--stock", "out/left.csv", "--no-workbook")
    assert again == 0, err


def test_the_workbook_has_its_sheets_with_live_sums(boat, tmp_path):
    code, _, err = run("shelf", "boat", "--stock", "boxes.csv", "--out", "out/b.xlsx")
    assert code == 0, err
    book = openpyxl.load_workbook(tmp_path / "out" / "b.xlsx")
    for name in ("Cut list", "From the shelf", "To buy", "Cut plan", "Left on the shelf", "Refused stock"):
        assert name in book.sheetnames
    stored = openpyxl.load_workbook(tmp_path / "out" / "b.xlsx", data_only=True)
    refused = {row[0]: row[4] for row in stored["Refused stock"].iter_rows(min_row=5, values_only=True)}
    assert (refused[4], refused[5]) == ("may be several", "not understood")
    plan, values = book["Cut plan"], stored["Cut plan"]
    heads = [cell.value for cell in plan[4]]
    assert all("[m]" in heads[n] for n in (3, 4, 7, 8))
    rows = [row for row in range(5, plan.max_row + 1) if values.cell(row, 4).value is not None]
    assert rows
    for row in rows:
        assert str(plan.cell(row, 8).value).startswith("=SUM(") and str(plan.cell(row, 9).value).startswith("=ROUND(")
        assert values.cell(row, 4).value - values.cell(row, 8).value == pytest.approx(
            values.cell(row, 9).value, abs=1e-9
        )
    cuts = sum(
        values.cell(row, 5).value for row in range(5, values.max_row + 1) if values.cell(row, 5).value is not None
    )
    assert cuts == pytest.approx(sum(values.cell(row, 8).value for row in rows))


def test_the_cut_list_of_a_pick_adds_up(boat, tmp_path):
    assert run("pick", "boat", "--out", "out/p.xlsx", "--json", "out/p.json")[0] == 0
    sheet = openpyxl.load_workbook(tmp_path / "out" / "p.xlsx", data_only=True)["Cut list"]
    rows = [[cell.value for cell in row] for row in sheet.iter_rows(min_row=5)]
    data = json.loads((tmp_path / "out" / "p.json").read_text())
    wires = {part["part"]: part["quantity"] for part in data["parts"] if part["unit"] == "m"}
    for name, quantity in wires.items():
        assert sum(row[4] for row in rows if row[0] == name) == pytest.approx(quantity)
        assert next(row[5] for row in rows if row[0] == name) == pytest.approx(quantity)


def test_the_project_s_own_list_is_the_default(boat):
    assert run("shelf", "boat", "--no-workbook")[0] == 2
    (boat / "stock.csv").write_text(STOCK, encoding="utf-8")
    code, out, err = run("shelf", "boat", "--no-workbook", "--json", "-", "--brief")
    assert code == 0, err
    assert json.loads(out)["shelf"]["assigned"]


def test_one_connection_is_ranked(boat):
    code, out, err = run("shelf", "boat", "--stock", "boxes.csv", "--for", " Lights")
    assert code == 0, err
    assert out.startswith("lights: cable") and "+ 1. 8 AWG tinned PVC 105" in out
    assert "2 AWG tinned PVC 105" in out
    code, out, _ = run("shelf", "boat", "--stock", "boxes.csv", "--for", "lights", "--json", "-")
    assert {group["role"] for group in json.loads(out)["roles"]} == {"conductor"}


@pytest.mark.parametrize(
    "words, code, said",
    [
        (("--stock", "none.csv"), 2, "none.csv"),
        (("--stock", "boxes.csv", "--for", "ligths"), 2, "Did you mean 'lights'?"),
        (("--stock", "boxes.csv", "--left", "boxes.csv"), 2, "is there already"),
        (("--stock", "boxes.csv", "--left", "left.txt"), 2, ".csv"),
        (("--stock", "boxes.csv", "--out", "boat.txt"), 2, "no .xlsx"),
        (("--stock", "wrong.csv"), 3, "wrong.csv"),
        (("--stock", "column.csv"), 3, "'part'"),
        (("--stock", "boxes.csv", "--tables", "nowhere"), 2, "nowhere"),
    ],
)
def test_bad_input_is_named_and_nothing_written(boat, tmp_path, words, code, said):
    (tmp_path / "wrong.csv").write_text("part,quantity,length [m]\n8 AWG tinned PVC 105,two,3\n", encoding="utf-8")
    (tmp_path / "column.csv").write_text("thing,quantity\n8 AWG tinned PVC 105,2\n", encoding="utf-8")
    before = sorted(tmp_path.rglob("*"))
    ended, out, err = run("shelf", "boat", *words)
    assert (ended, out) == (code, ""), err
    assert said in err and "Traceback" not in err
    assert sorted(tmp_path.rglob("*")) == before


def test_no_such_project(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, _, err = run("shelf", "boat", "--stock", "boxes.csv")
    assert code == 2 and "boat" in err


def ends_well(words):
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    ended = subprocess.run([sys.executable, "-c", words], capture_output=True, check=False, env=environment)
    return ended.returncode == 0


def test_the_help_loads_no_arithmetic():
    words = "import sys; sys.argv = ['selector', 'shelf', '--help']\ntry:\n    from selector.cli import main; main()\nexcept SystemExit: pass\n"
    words += "assert not {'scipy', 'numpy', 'polars', 'openpyxl'} & set(sys.modules)"
    assert ends_well(words)


def test_a_pick_loads_no_integer_program(boat):
    words = "import sys; sys.argv = ['selector', 'pick', 'boat', '--no-workbook']\ntry:\n    from selector.cli import main; main()\nexcept SystemExit: pass\n"
    words += "assert 'scipy' not in sys.modules"
    assert ends_well(words)


def test_the_demo_s_boxes(tmp_path, monkeypatch):
    """The workboat's stock: some rows serve, two may be several parts, some are scrap or no part at all."""
    monkeypatch.chdir(tmp_path)
    code, _, err = run("shelf", str(WORKBOAT), "--no-workbook", "--json", "a.json")
    assert code == 1, err
    own = json.loads((tmp_path / "a.json").read_text())["shelf"]
    states = [row["status"] for row in own["read"]]
    assert len(states) >= 20 and states.count("ambiguous") >= 2 and states.count("unread") >= 1
    assert len({cut["stock_line"] for cut in own["assigned"]}) >= 8
    assert own["counted"]["new_pieces"] < own["counted"]["new_pieces_without_stock"]
    assert own["gap"] <= 0.01
    assert {"CONDITION", "AMBIGUOUS", "UNREAD"} <= {row["code"] for row in own["refused"]}


@pytest.mark.slow
def test_the_readme_shows_what_is_printed(tmp_path, monkeypatch):
    """All lines of its example but the counts, which move with the tables."""
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    section = text.partition("## Using what is on the shelf\n")[2].partition("\n## ")[0]
    block = re.search(r"\n```\n(From the shelf.*?)\n```", section, re.S)
    assert block is not None
    lines = [line for line in block[1].splitlines() if not re.search(r"new pieces", line, re.I)]
    _, out, _ = run("shelf", str(WORKBOAT), "--no-workbook", "--brief")
    assert len(lines) >= 5
    assert [line for line in lines if line not in out.splitlines()] == []
