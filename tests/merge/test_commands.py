"""The commands around a merge: what they print, their exit codes, and what they never touch."""

import json

import pytest
import typer
from typer.testing import CliRunner

from selector import cli_tables
from selector.catalogue import merging_store
from selector.catalogue.declarations import DECLARED
from selector.catalogue.merging import SAME, merge
from selector.errors import SelectorError, UsageError
from tests.merge.made import copied_tables, rows_of


def run(*words):
    """(exit code, standard output, standard error) of a tables command."""
    app = typer.Typer()
    cli_tables.register(app)
    result = CliRunner().invoke(app, [str(word) for word in words])
    if isinstance(result.exception, SelectorError):
        return result.exception.exit_code, result.stdout, str(result.exception)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture
def tables(tmp_path):
    return copied_tables(tmp_path)


def written(tmp_path, text, name="store list.csv"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_line_a_row_and_exit_0_when_all_landed(tmp_path, tables):
    sheet = written(tmp_path, "lug,palm width [mm]\n1/0 AWG ring M8,24.5\n2 AWG ring M8,22\n")
    code, out, _ = run("merge", sheet, "--into", "lugs", "--tables", tables, "--source", "jis-c-2805")
    assert code == 0
    assert out.splitlines()[0].split()[:5] == ["1/0", "AWG", "ring", "M8", "changed"]
    assert "palm width [mm] 25 -> 24.5" in out
    assert out.splitlines()[1].split()[4] == "same"
    assert "0 new, 1 changed, 1 same, 0 refused. Merge 1" in out


def test_exit_1_when_a_row_is_refused_and_the_others_land(tmp_path, tables):
    sheet = written(tmp_path, "lug,palm width [mm]\n1/0 AWG ring M8,24.5\n2 AWG ring M8,ten\n")
    code, out, _ = run("merge", sheet, "--into", "lugs.csv", "--tables", tables)
    assert code == 1
    assert "'ten' is not a number" in out and "(line 3)" in out
    assert rows_of(tables / "lugs.csv")["1/0 AWG ring M8"]["palm width [mm]"] == "24.5"


def test_exit_3_when_nothing_is_readable(tmp_path, tables):
    before = {p.name: p.read_bytes() for p in tables.rglob("*")}
    code, _, said = run(
        "merge", written(tmp_path, "name,telephone\nharbour office,112\n"), "--into", "lugs", "--tables", tables
    )
    assert code == 3 and "no table for lugs.csv was found" in said
    assert {p.name: p.read_bytes() for p in tables.rglob("*")} == before


@pytest.mark.parametrize(
    "words, said",
    [
        (("--into", "lug"), "Did you mean 'lugs.csv'?"),
        (("--into", "lugs", "--source", "jis-c-2805x"), "Did you mean 'jis-c-2805'?"),
        (("--into", "lugs", "--sheet", "x", "--effect", "nowhere"), "no such project"),
    ],
)
def test_wrong_usage_is_exit_2(tmp_path, tables, words, said):
    sheet = written(tmp_path, "lug,palm width [mm]\n1/0 AWG ring M8,24.5\n")
    code, _, error = run("merge", sheet, *words, "--tables", tables)
    assert code == 2 and said in error


def test_a_missing_datasheet_and_a_missing_folder_are_exit_2(tmp_path, tables):
    assert run("merge", tmp_path / "none.csv", "--into", "lugs", "--tables", tables)[0] == 2
    assert run("merge", written(tmp_path, "x"), "--into", "lugs", "--tables", tmp_path / "none")[0] == 2
    assert run("history", "--tables", tmp_path / "none")[0] == 2


def test_json_stands_alone_on_standard_output(tmp_path, tables):
    sheet = written(tmp_path, "lug,palm width [mm]\n1/0 AWG ring M8,24.5\nnew ring M8,1\n")
    code, out, _ = run("merge", sheet, "--into", "lugs", "--tables", tables, "--source", "jis-c-2805", "--json")
    data = json.loads(out)
    assert code == 1
    assert data["summary"] == {"new": 0, "changed": 1, "same": 0, "refused": 1}
    assert data["merge"] == 1 and data["table"] == "lugs.csv"
    assert data["rows"][0]["changes"][0] == {"column": "palm width [mm]", "old": "25", "new": "24.5"}
    history = json.loads(run("history", "--tables", tables, "--json")[1])["history"]
    assert history[0]["old_value"] == "25"
    assert json.loads(run("undo", "--tables", tables, "--json")[1])["files"] == ["lugs.csv"]


def test_history_of_one_part_and_of_none(tmp_path, tables):
    assert "No merge has changed these tables." in run("history", "--tables", tables)[1]
    assert not (tables / "history").exists()
    sheet = written(tmp_path, "lug,palm width [mm]\n1/0 AWG ring M8,24.5\n")
    run("merge", sheet, "--into", "lugs", "--tables", tables, "--source", "jis-c-2805")
    code, out, _ = run("history", "1/0 awg RING m8", "--tables", tables)
    assert code == 0 and "palm width [mm]: 25 -> 24.5  (jis-c-2805; store list.csv line 2)" in out
    assert "No merge has changed it." in run("history", "2 AWG ring M8", "--tables", tables)[1]
    code, _, said = run("history", "2 AWG rung M8", "--tables", tables)
    assert code == 2 and "Did you mean '2 AWG ring M8'?" in said


def test_undo_twice_goes_back_twice_and_then_says_so(tmp_path, tables):
    raw = (tables / "lugs.csv").read_bytes()
    for width in ("24.5", "24.2"):
        sheet = written(tmp_path, f"lug,palm width [mm]\n1/0 AWG ring M8,{width}\n")
        run("merge", sheet, "--into", "lugs", "--tables", tables, "--source", "jis-c-2805")
    assert run("undo", "--tables", tables)[0] == 0
    assert rows_of(tables / "lugs.csv")["1/0 AWG ring M8"]["palm width [mm]"] == "24.5"
    assert run("undo", "--tables", tables)[0] == 0
    assert (tables / "lugs.csv").read_bytes() == raw
    assert run("undo", "--tables", tables)[0] == 2


def test_the_map_is_shown_saved_editable_and_used_again(tmp_path, tables):
    sheet = written(tmp_path, "lug,Breite\n1/0 AWG ring M8,24.5\n2 AWG ring M8,21.5\n")
    code, _, said = run("merge", sheet, "--into", "lugs", "--tables", tables)
    assert code == 3 and "Say in a map file" in said  # nothing but the name is understood
    map_file = written(tmp_path, "datasheet column,unit,column,value,note\nBreite,mm,palm width,,\n", "map.csv")
    code, out, said = run("merge", sheet, "--into", "lugs", "--tables", tables, "--map", map_file)
    assert code == 0 and "2 changed" in out and "'Breite' [mm] -> palm width  (by the map file)" in said
    assert "lug,,lug,," in map_file.read_text(encoding="utf-8")
    sheet = written(tmp_path, "lug,Hole (mm)\n4 AWG ring M8,8.5\n")
    run("merge", sheet, "--into", "lugs", "--tables", tables)
    kept = tables / "maps" / "lugs.csv"
    kept.write_text(
        kept.read_text(encoding="utf-8").replace("Hole (mm),mm,hole,", "Hole (mm),mm,palm width,"), encoding="utf-8"
    )
    sheet = written(tmp_path, "lug,Hole (mm)\n4 AWG ring M8,17\n")
    run("merge", sheet, "--into", "lugs", "--tables", tables)
    assert rows_of(tables / "lugs.csv")["4 AWG ring M8"]["palm width [mm]"] == "17"


def test_a_dry_run_keeps_the_map_it_was_asked_for_and_nothing_else(tmp_path, tables):
    sheet = written(tmp_path, "lug,palm width [mm]\n1/0 AWG ring M8,24.5\n")
    before = {p: p.read_bytes() for p in tables.rglob("*")}
    code, out, _ = run("merge", sheet, "--into", "lugs", "--tables", tables, "--dry-run", "--map", tmp_path / "map.csv")
    assert code == 0 and "Nothing was written." in out
    assert (tmp_path / "map.csv").exists()
    assert {p: p.read_bytes() for p in tables.rglob("*")} == before


def test_an_installed_program_is_never_written_into(tmp_path):
    inside = tmp_path / "lib" / "site-packages" / "selector" / "_tables"
    inside.mkdir(parents=True)
    with pytest.raises(UsageError, match="never written"):
        merging_store.own_folder(inside)


def test_a_better_status_is_not_overwritten(tmp_path, tables):
    key = "polyolefin 2:1 3.2 mm"
    assert rows_of(tables / "sleeves.csv")[key]["status"] == "read"
    sheet = written(tmp_path, f"sleeve,recovered wall [mm],status\n{key},0.5,memory\n")
    code, out, _ = run("merge", sheet, "--into", "sleeves", "--tables", tables)
    assert code == 1 and "the table's row is 'read', this one only 'memory'" in out
    path = tables / "sleeves.csv"
    lines = path.read_text(encoding="utf-8").split("\n")
    lines = [line.replace(",read,", ",measured,", 1) if line.startswith(key) else line for line in lines]
    path.write_text("\n".join(lines), encoding="utf-8")
    sheet = written(tmp_path, f"sleeve,recovered wall [mm]\n{key},0.5\n")
    assert "'measured', this one only 'read'" in run("merge", sheet, "--into", "sleeves", "--tables", tables)[1]


def test_doubles_and_near_doubles(tmp_path, tables):
    rows = rows_of(tables / "shunts.csv")
    row = rows["50 A 50 mV shunt"]
    head = "shunt,current [A],drop [mV],continuous current [A]\n"
    same = f"deck shunt,{row['current [A]']},{row['drop [mV]']},{row['continuous current [A]']}\n"
    near = "50A 50mV shunt,50,50,33.33\n"
    code, out, _ = run(
        "merge", written(tmp_path, head + same + near), "--into", "shunts", "--tables", tables, "--dry-run"
    )
    assert code == 1
    assert "the same part as '50 A 50 mV shunt' under another name" in out
    assert "its name is nearly that of '50 A 50 mV shunt'" in out


def test_a_reference_must_lead_somewhere(tmp_path, tables):
    sheet = written(
        tmp_path, "wire,conductor,insulation,outer diameter [mm]\nmade up,8 AWG stranded tined copper,PVC 105,6\n"
    )
    code, out, _ = run("merge", sheet, "--into", "wires", "--tables", tables)
    assert code == 1 and "did you mean '8 AWG stranded tinned copper'?" in out


def test_unknown_columns_of_the_table_are_kept_and_can_be_filled(tmp_path, tables):
    path = tables / "shunts.csv"
    lines = path.read_text(encoding="utf-8").rstrip("\n").split("\n")
    path.write_text("\n".join([lines[0] + ",bin", *[line + ",A1" for line in lines[1:]]]) + "\n", encoding="utf-8")
    sheet = written(tmp_path, "shunt,continuous current [A],bin\n50 A 50 mV shunt,33,C7\n")
    code, _, _ = run("merge", sheet, "--into", "shunts", "--tables", tables)
    assert code == 0
    assert rows_of(path)["50 A 50 mV shunt"]["bin"] == "C7"
    assert {row["bin"] for key, row in rows_of(path).items() if key != "50 A 50 mV shunt"} == {"A1"}


def test_a_users_own_family_is_a_table_like_the_others(tmp_path, tables):
    (tables / "clamps.family.csv").write_text(
        "what,name,unit,value,reason\nkey,clamp,,,\ncolumn,opening,mm,,\ncolumn,metal,words,,\nsmallest by,opening,,,\n",
        encoding="utf-8",
    )
    raw = "clamp,opening [mm],metal,source\nhose clamp 12,12,steel,common-practice\nhose clamp 20,20,steel,common-practice\n"
    (tables / "clamps.csv").write_text(raw, encoding="utf-8")
    sheet = written(tmp_path, "clamp,opening [in]\nhose clamp 12,1/2\nhose clamp 25,1\nhose clamp 20,2000 mm\n")
    code, out, _ = run("merge", sheet, "--into", "clamps", "--tables", tables, "--source", "common-practice")
    assert code == 1 and "1 new, 1 changed, 0 same, 1 refused" in out
    rows = rows_of(tables / "clamps.csv")
    assert [row["opening [mm]"] for row in rows.values()] == ["12.7", "20", "25.4"]
    assert run("undo", "--tables", tables)[0] == 0
    assert (tables / "clamps.csv").read_text(encoding="utf-8") == raw


def test_a_table_of_repeated_names_is_not_merged_into(tmp_path, tables):
    code, _, said = run("merge", written(tmp_path, "kind,order\nx,1\n"), "--into", "kinds", "--tables", tables)
    assert code == 2 and "edit it by hand" in said


@pytest.mark.parametrize("name", sorted(set(DECLARED) - {"kinds.csv"}))
def test_a_table_merged_into_itself_changes_nothing(tables, tmp_path, name):
    sheet = tmp_path / "again.csv"
    sheet.write_bytes((tables / name).read_bytes())
    report = merge(sheet, name, tables, dry_run=True)
    assert {row.result for row in report.rows} == {SAME}
    assert len(report.rows) == len(rows_of(tables / name))
    assert report.notes == []


def merged(tables, sheet, into, *words):
    code, out, err = run("merge", sheet, "--into", into, "--tables", tables, "--dry-run", "--json", *words)
    assert out, err
    return code, json.loads(out)


@pytest.mark.parametrize(
    "volts, amps", [("V dc", "A"), ("VDC", "Rated current (A rms)"), ("Voltage [V d.c.]", "Rated current (Adc)"),
                    ("Rated voltage (Vdc)", "Rated current in A dc")]
)  # fmt: skip
def test_units_of_direct_current_are_units(tmp_path, tables, volts, amps):
    amps = "Rated current (A)" if amps == "A" else amps.replace("Adc", "A dc")
    sheet = written(
        tmp_path, f"Fuse;Type;{amps};{volts};Breaking capacity (kA)\nblade medium 25 A;blade medium;25;32;1\n"
    )
    code, data = merged(tables, sheet, "fuses")
    assert (code, data["rows"][0]["result"]) == (0, "same"), data
    columns = {one["column"]: one["unit"] for one in data["mapping"]}
    assert (columns["rating"], columns["voltage rating"]) == ("A", "V")


@pytest.mark.parametrize("volts", ["V ac", "VAC", "Voltage (V rms)"])
def test_an_alternating_voltage_is_no_rating_for_direct_current(tmp_path, tables, volts):
    sheet = written(
        tmp_path,
        f"Fuse;Type;Rated current (A);{volts};Breaking capacity (kA)\nblade medium 45 A;blade medium;45;250;1\n",
    )
    _, data = merged(tables, sheet, "fuses")
    (row,) = data["rows"]
    assert not [change for change in row["changes"] if change["column"].startswith("voltage rating")], data


LUGS = "Lug,Style,{head}Stud,Hole (mm),Bore (mm),Plating,Material,Strand classes,Temperature limit (°C)\n"


def test_one_wire_size_is_the_barrel_s_range(tmp_path, tables):
    """A lug sold for 18 mm2 takes that size: least and greatest alike, so that no other size is taken for granted."""
    head = LUGS.format(head="Wire size (mm²),")
    sheet = written(tmp_path, head + "tube lug 18 M8 of a sheet,tube,18,M8,8.4,6,tin,copper,stranded,149\n")
    code, data = merged(tables, sheet, "lugs")
    (row,) = data["rows"]
    assert (code, row["result"]) == (0, "new") and "never picked" not in row["reason"]
    new = {change["column"]: change["new"] for change in row["changes"]}
    assert (new["least area [mm2]"], new["greatest area [mm2]"]) == ("18", "18")


def test_a_new_part_says_what_it_lacks_to_be_picked(tmp_path, tables):
    sheet = written(
        tmp_path, LUGS.format(head="") + "tube lug 18 M8 of a sheet,tube,M8,8.4,6,tin,copper,stranded,149\n"
    )
    _, data = merged(tables, sheet, "lugs")
    assert "without least area and greatest area it is never picked" in data["rows"][0]["reason"]


def test_a_rating_no_opening_curve_covers_is_told(tmp_path, tables):
    head = "fuse,class,rating [A],voltage rating [V],breaking capacity [A]\n"
    sheet = written(
        tmp_path,
        head + "long-slot strip 900 A,long-slot strip,900,32,6000\nlong-slot strip 220 A,long-slot strip,220,32,6000\n",
    )
    _, data = merged(tables, sheet, "fuses")
    told = {row["key"]: "no opening curve of class 'long-slot strip' covers" in row["reason"] for row in data["rows"]}
    assert told == {"long-slot strip 900 A": True, "long-slot strip 220 A": False}


def test_a_missing_reference_names_the_table_it_wants_a_key_of(tmp_path, tables):
    sheet = written(tmp_path, "wire,insulation,outer diameter [mm]\n9 AWG of a sheet,PVC 105,6.5\n")
    _, data = merged(tables, sheet, "wires")
    assert data["rows"][0]["reason"] == "conductor is missing: every row needs one, a key of conductors.csv"


def test_a_map_is_written_for_a_sheet_nobody_could_match(tmp_path, tables):
    """Its heads stand there; with the column filled in and what no column says as a value, the same sheet lands."""
    sheet = written(tmp_path, "Ding,Strom,Spannung\n1101,45 A,32 V\n")
    path = tmp_path / "my map.csv"
    words = ("merge", sheet, "--into", "fuses", "--tables", tables)
    code, _, said = run(*words)
    assert code == 3 and "--map FILE.csv writes one with these heads" in said and not list(tmp_path.glob("*map*"))
    code, _, said = run(*words, "--map", path)
    assert code == 3 and f"{path} was written with these heads" in said
    lines = path.read_text(encoding="utf-8").splitlines()
    heads = {"Ding": "fuse", "Strom": "rating", "Spannung": "voltage rating"}
    assert lines == ["datasheet column,unit,column,value,note", *(f"{head},,,,not used" for head in heads)]
    lines = [lines[0], *(f"{head},,{column},," for head, column in heads.items()), ",,class,blade medium,"]
    path.write_text("\n".join(lines), encoding="utf-8")
    code, data = merged(tables, sheet, "fuses", "--map", path)
    assert (code, data["rows"][0]["key"], data["rows"][0]["result"]) == (0, "1101", "new"), data
    new = {change["column"]: change["new"] for change in data["rows"][0]["changes"]}
    assert (new["class"], new["rating [A]"], new["voltage rating [V]"]) == ("blade medium", "45", "32")
