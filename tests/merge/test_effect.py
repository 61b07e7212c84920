"""What a merge would change in what is already designed, who rests on a part, and what changed since the last pick."""

import csv
import json
import re
import types

import pytest

from selector import pipeline
from selector.catalogue.mapping_words import NEEDED
from selector.catalogue.merging_store import undo
from selector.errors import UsageError
from selector.upkeep.effect import changed_since, record_tables, uses
from tests.merge.made import copied_tables
from tests.merge.test_commands import run, written

PROJECT = {
    "connections.csv": "connection,kind,from,to,zone,current [A],length [m]\nlights,cable,bus,lamps,cabin,8,6\npump,cable,bus,pump,cabin,15,4\nbattery lead,cable,battery,bus,cabin,,1\n",
    "nodes.csv": "node,system,role,stud\nbus,12 V,bus,M8\nlamps,12 V,load,M5\npump,12 V,load,M5\nbattery,12 V,supply,M8\n",
    "supplies.csv": "node,type,chemistry,capacity [Ah],short-circuit current [A]\nbattery,battery,agm,100,900\n",
    "systems.csv": "system,nominal [V],highest [V],lowest [V]\n12 V,12,14.4,10.5\n",
    "zones.csv": "zone,ambient [degC],wet\ncabin,35,no\n",
}


@pytest.fixture
def boat(tmp_path):
    folder = tmp_path / "boat"
    folder.mkdir()
    for name, text in PROJECT.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def picked(boat, tables, name, role):
    outcome = pipeline.run(boat, tables=tables, brief=True)
    one = next(c for c in outcome.chosen if outcome.places.names[c.place] == name)
    family = next(r.family for r in one.kind.roles if r.role == role)
    return outcome.candidates[family].keys[one.picks[role]]


def test_the_effect_is_told_before_anything_is_written(tmp_path, boat):
    tables = copied_tables(tmp_path)
    wire = picked(boat, tables, "pump", "conductor")
    lines = (tables / "wires.csv").read_text(encoding="utf-8").splitlines()
    conductor = next(line for line in lines if line.startswith(f"{wire},")).split(",")[1]
    rows = (tables / "conductors.csv").read_text(encoding="utf-8").splitlines()
    resistance = float(next(line for line in rows if line.startswith(f"{conductor},")).split(",")[8])
    sheet = written(tmp_path, f"conductor,resistance at 20 degC [ohm/km]\n{conductor},{resistance * 1.01:.4g}\n")
    before = {p.name: p.read_bytes() for p in tables.glob("*.csv")}
    words = ("merge", sheet, "--into", "conductors", "--tables", tables, "--effect", boat, "--json")
    data = json.loads(run(*words, "--dry-run")[1])
    assert {p.name: p.read_bytes() for p in tables.glob("*.csv")} == before
    margins = [e for e in data["effect"] if e["connection"] == "pump" and "voltage_drop" in e["what"]]
    assert margins and margins[0]["after"] < margins[0]["before"]
    run(*words)
    outcome_after = json.loads(run(*words)[1])
    assert outcome_after["summary"]["same"] == 1 and outcome_after["effect"] == []


def test_a_part_that_changes_is_named(tmp_path, boat):
    tables = copied_tables(tmp_path)
    wire = picked(boat, tables, "pump", "conductor")
    insulation = next(
        line for line in (tables / "wires.csv").read_text(encoding="utf-8").splitlines() if line.startswith(f"{wire},")
    ).split(",")[2]
    sheet = written(tmp_path, f"insulation,exotic\n{insulation},yes\n")
    code, out, _ = run("merge", sheet, "--into", "insulations", "--tables", tables, "--effect", boat)
    assert code == 0
    assert f"pump: conductor part {wire} -> " in out
    assert picked(boat, tables, "pump", "conductor") != wire
    undo(tables)
    assert picked(boat, tables, "pump", "conductor") == wire


def test_uses_finds_a_part_and_what_it_is_made_of(tmp_path, boat):
    tables = copied_tables(tmp_path)
    wire = picked(boat, tables, "pump", "conductor")
    found = uses(wire, [boat], tables)
    assert found["table"] == "wires.csv"
    assert ("pump", "conductor") in {(one["connection"], one["role"]) for one in found["uses"]}
    copper = uses("copper", [boat], tables)
    assert {one["connection"] for one in copper["uses"]} == {"lights", "pump", "battery lead"}
    code, out, _ = run("uses", "400 W surface-mount 12 V", boat, "--tables", tables)
    assert code == 0 and "is used by no connection" in out
    with pytest.raises(UsageError, match="Did you mean 'copper'"):
        uses("coper", [boat], tables)
    code, out, _ = run("uses", wire, boat, "--tables", tables, "--json")
    assert json.loads(out)["uses"][0]["part"] == wire


def test_a_pick_says_which_tables_changed_since(tmp_path):
    def outcome(**hashes):
        project = types.SimpleNamespace(name="boat")
        return types.SimpleNamespace(project=project, catalogue=types.SimpleNamespace(hashes=hashes))

    book = tmp_path / "out" / "boat.xlsx"
    first = outcome(**{"lugs.csv": "a", "fuses.csv": "b", "studs.csv": "c"})
    assert changed_since(first, book) == []
    path = record_tables(first, book)
    assert path.name == "boat.tables.json" and path.parent == book.parent
    assert changed_since(first, book) == []
    later = outcome(**{"lugs.csv": "a", "fuses.csv": "x", "project:tables/wires.csv": "d"})
    assert changed_since(later, book) == [
        "fuses.csv has changed since the last pick.",
        "project:tables/wires.csv is new since the last pick.",
        "studs.csv is no longer used; the last pick rested on it.",
    ]
    path.write_text("not json", encoding="utf-8")
    assert changed_since(later, book) == []


def test_a_projects_own_tables_are_merged_into_and_taken_back(tmp_path, boat):
    own = boat / "tables"
    own.mkdir()
    sheet = written(tmp_path, "shunt,current [A],drop [mV],continuous current [A]\ndeck shunt,55,60,36\n")
    code, out, _ = run("merge", sheet, "--into", "shunts", "--tables", own, "--effect", boat)
    assert code == 0, out
    text = (own / "shunts.csv").read_text(encoding="utf-8").splitlines()
    assert len(text) == 2 and text[1].startswith("deck shunt,55,60,36,")
    pipeline.run(boat, brief=True)  # the history beside the tables does not disturb a pick
    assert run("undo", "--tables", own)[0] == 0
    assert not (own / "shunts.csv").exists()


def test_a_margin_that_moves_is_told_in_words(tmp_path, boat):
    tables = copied_tables(tmp_path)
    wire = picked(boat, tables, "pump", "conductor")
    lines = (tables / "wires.csv").read_text(encoding="utf-8").splitlines()
    conductor = next(line for line in lines if line.startswith(f"{wire},")).split(",")[1]
    rows = (tables / "conductors.csv").read_text(encoding="utf-8").splitlines()
    resistance = float(next(line for line in rows if line.startswith(f"{conductor},")).split(",")[8])
    sheet = written(tmp_path, f"conductor,resistance at 20 degC [ohm/km]\n{conductor},{resistance * 1.01:.4g}\n")
    words = ("merge", sheet, "--into", "conductors", "--tables", tables, "--effect", boat, "--dry-run")
    said = [line for line in run(*words)[1].splitlines() if "pump: " in line]
    assert said and all(
        re.search(r"pump: \w+: [\w -]+ \([A-Z]\d+\) has [\d.]+ (%|K) to spare, before", s) for s in said
    )
    assert not any("_" in line.partition("pump: ")[2] for line in said)


@pytest.mark.parametrize(
    "table, column",
    [(file, words) for file in ("lugs.csv", "sleeves.csv", "fuses.csv", "wires.csv") for words in NEEDED[file]],
)
def test_a_part_without_what_it_needs_is_never_picked(tmp_path, boat, table, column):
    """What a merge says of a new part that lacks a column holds: with the column empty, no row of the table serves."""
    tables = copied_tables(tmp_path)
    rows = list(csv.reader((tables / table).read_text(encoding="utf-8").splitlines()))
    at = next(i for i, title in enumerate(rows[0]) if title.split(" [")[0] == column)
    for row in rows[1:]:
        row[at] = ""
    with (tables / table).open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream).writerows(rows)
    outcome = pipeline.run(boat, tables=tables, brief=True)
    family = table.removesuffix(".csv")
    serving = [one for one in outcome.chosen if one.status == "served"
               and any(role.family == family and one.pick(role.role) >= 0 for role in one.kind.roles)]  # fmt: skip
    assert len(outcome.chosen) == 3 and not serving
