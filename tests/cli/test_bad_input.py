"""Bad input: every problem at once, with its place and a remedy; the right exit code, nothing written, no traceback."""

import contextlib
import io
import os
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import openpyxl
import pytest

from selector.cli import main

CONNECTIONS = """connection,kind,from,to,system,zone,current [A],power [W],efficiency [%],peak time [s],length [m],return,\
grouped with,drop limit [%],drop limit [V],protection at,protected by,device distance [m],protection,conductor
main,cable,battery,panel,12 V,cabin,,,,,2,pair,1,,,,,,,
lamp,cable,panel,lamp,12 V,cabin,5,,,,4,pair,1,,,,,,,
"""
FILES = {
    "connections.csv": CONNECTIONS,
    "nodes.csv": "node,system,role,stud\nbattery,12 V,supply,M8\npanel,12 V,bus,M6\nlamp,12 V,load,M4\n",
    "supplies.csv": "node,type,chemistry,capacity [Ah],short-circuit current [A]\nbattery,battery,agm,100,1500\n",
    "systems.csv": "system,nominal [V],highest [V],lowest [V]\n12 V,12,14.6,10.5\n",
    "zones.csv": "zone,ambient [degC],coldest [degC],wet,altitude [m]\ncabin,30,-10,no,0\n",
    "settings.csv": "setting,value\nrule set,general\n",
    "accepted.csv": "connection,code,reason\n",
}
ROOT = Path(__file__).parents[2]


@pytest.fixture
def boat(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path / "boat"


def save(boat, **changes):
    boat.mkdir(exist_ok=True)
    for name, text in {**FILES, **changes}.items():
        path = boat / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())


def run(*words):
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), pytest.raises(SystemExit) as caught:
        main([str(word) for word in words])
    return caught.value.code or 0, out.getvalue(), err.getvalue()


def refused(boat, *words):
    """Lines of problems of a pick that must end with 3, having written nothing."""
    before = sorted(Path.cwd().rglob("*"))
    code, out, err = run("pick", boat, "--no-workbook", *words)
    assert (code, out) == (3, ""), err
    assert sorted(Path.cwd().rglob("*")) == before
    assert "Traceback" not in err
    return [line.strip() for line in err.splitlines()[1:]]


def changed(file, column, text, row="lamp"):
    """One file with one cell of one row changed."""
    lines = [line.split(",") for line in FILES[file].splitlines()]
    index = next(i for i, header in enumerate(lines[0]) if column in (header, header.split(" [")[0]))
    for cells in lines[1:]:
        if cells[0] == row:
            cells[index] = text
    return {file: "\n".join(",".join(cells) for cells in lines) + "\n"}


C, N, S, Y, Z = "connections.csv", "nodes.csv", "supplies.csv", "systems.csv", "zones.csv"
CELLS = [
    (C, "connection", "", "lamp", "connections.csv line 3, connection: the cell is empty."),
    (C, "connection", "MAIN", "lamp", "connections.csv line 3, connection: 'MAIN' stands on line 2 already."),
    (C, "kind", "cabel", "lamp", "connections.csv line 3, kind: 'cabel' is not a kind of connection.|'cable'?"),
    (C, "from", "pannel", "lamp", "connections.csv line 3, from: 'pannel' is not a node of this project.|'panel'?"),
    (C, "to", "panel", "lamp", "connections.csv line 3, to: 'panel' is at both ends."),
    (C, "system", "24 V", "lamp", "connections.csv line 3, system: '24 V' is not a system of this project.|'12 V'?"),
    (C, "zone", "cabbin", "lamp", "connections.csv line 3, zone: 'cabbin' is not a zone of this project.|'cabin'?"),
    (C, "current", "nan", "lamp", "connections.csv line 3, current [A]: 'nan' is not a number."),
    (C, "current", "1e308", "lamp", "connections.csv line 3, current [A]: '1e308' is too large."),
    (C, "current", "1_000", "lamp", "connections.csv line 3, current [A]: '1_000' is not a number."),
    (C, "current", "80..60", "lamp", "connections.csv line 3, current [A]: '80..60' runs backwards.|60..80"),
    (
        C,
        "current",
        '"1,000"',
        "lamp",
        "line 3, current [A]: '1,000' is not a number here|Write 1000 for thousands, 1.000",
    ),
    (C, "length", "-1", "lamp", "connections.csv line 3, length [m]: '-1' is less than 0 m."),
    (C, "length", "4 A", "lamp", "connections.csv line 3, length [m]: 'A' is a unit of current, not of length."),
    (C, "length", "4 xx", "lamp", "connections.csv line 3, length [m]: 'xx' is not a known unit.|Units of length: m,"),
    (C, "return", "piar", "lamp", "connections.csv line 3, return: 'piar' is not one of the words for it.|'pair'?"),
    (C, "grouped with", "1.5", "lamp", "connections.csv line 3, grouped with: '1.5' is not a whole number."),
    (C, "power", "60", "lamp", "connections.csv line 3, power [W]: current and power both stand here."),
    (C, "protected by", "lamp", "lamp", "connections.csv line 3, protected by: the row names itself."),
    (C, "protected by", "mian", "lamp", "line 3, protected by: 'mian' is not a connection of this project.|'main'?"),
    (C, "protection", "blade", "lamp", "connections.csv line 3, protection: 'blade' names|Say which: blade small 2 A"),
    (
        C,
        "conductor",
        "8 AGW tinned silicone",
        "lamp",
        "'8 AGW tinned silicone' is no row of wires.|'8 AWG tinned silicone 200'?",
    ),
    (N, "node", "panel", "lamp", "nodes.csv line 4, node: 'panel' stands on line 3 already."),
    (N, "role", "laod", "lamp", "nodes.csv line 4, role: 'laod' is not one of the words for it.|'load'?"),
    (N, "role", "supply", "lamp", "nodes.csv line 4, role: 'lamp' is a supply without a row in supplies.csv."),
    (N, "stud", "M7", "lamp", "nodes.csv line 4, stud: 'M7' is not a stud of studs.csv.|M6, M8"),
    (S, "node", "batery", "battery", "supplies.csv line 2, node: 'batery' is not a node of this project.|'battery'?"),
    (
        S,
        "short-circuit current",
        "0",
        "battery",
        "supplies.csv line 2, short-circuit current [A]: '0' is not above 0 A.",
    ),
    (Y, "nominal", "48", "12 V", "systems.csv line 2, highest [V]: the highest voltage is below the nominal one."),
    (Y, "lowest", "15", "12 V", "systems.csv line 2, lowest [V]: the lowest voltage is above the highest."),
    (Z, "ambient", "-300", "cabin", "zones.csv line 2, ambient [degC]: '-300' is below absolute zero."),
    (Z, "altitude", "50000", "cabin", "zones.csv line 2, altitude [m]: '50000' is more than 11000 m."),
    (Z, "wet", "maybe", "cabin", "zones.csv line 2, wet: 'maybe' is neither yes nor no."),
]


@pytest.mark.parametrize(
    ("file", "column", "text", "row", "found"), CELLS, ids=[f"{c[0]}-{c[1]}-{c[2]}" for c in CELLS]
)
def test_a_bad_cell_is_named_with_a_remedy(boat, file, column, text, row, found):
    save(boat, **changed(file, column, text, row))
    lines = refused(boat)
    assert any(all(words in line for words in found.split("|")) for line in lines), lines


SETTINGS = [
    ("rule set,genral", "settings.csv line 2, value: 'genral' is not a rule set.|'general'?"),
    ("rule sett,general", "settings.csv line 2, setting: 'rule sett' is not a setting.|'rule set'?"),
    ("wet,perhaps", "settings.csv line 2, value: 'perhaps' is neither yes nor no."),
    ("cable return,piar", "settings.csv line 2, value: 'piar' is not one of the words for it.|'pair'?"),
    ("ambient,20..30", "settings.csv line 2, value: '20..30' is a range."),
    ("cut allowance [m],-1", "'-1 m' is less than 0 m."),
    ("cut allowance,15 A", "'A' is a unit of current, not of length."),
    ("efficiency,0", "'0' is not above 0 %."),
    ("load margin,-50", "'-50' is less than 0 %."),
    ("spare [%],-5", "'-5' is no spare."),
    ("spare C99 [%],5", "'C99' is not the code of a check."),
    ("spare [%],20\nspare,30", "settings.csv line 3, setting: 'spare' is the setting of line 2 again."),
    ("insulations,XLPEE", "'XLPEE' names none of the insulations.|'XLPE 90'?"),
]


@pytest.mark.parametrize(("row", "found"), SETTINGS, ids=[row for row, _ in SETTINGS])
def test_a_bad_setting_is_named_with_a_remedy(boat, row, found):
    save(boat, **{"settings.csv": f"setting,value\n{row}\n"})
    lines = refused(boat)
    assert len(lines) == 1 and all(words in lines[0] for words in found.split("|")), lines


WHOLE_FILES = [
    ("nodes.csv", "", "nodes.csv: the file is empty."),
    ("connections.csv", CONNECTIONS.splitlines()[0], "connections.csv: it has no rows."),
    ("connections.csv", "conection,kind\na,cable\n", "The column 'conection' looks like it."),
    (
        "connections.csv",
        CONNECTIONS[:-12],
        "connections.csv line 3: the file breaks off here: 12 of 20 cells and no line end.",
    ),
    ("connections.csv", CONNECTIONS.replace("lamp,cable", '"lamp,cable'), "connections.csv line 3: a quote opens here"),
    (
        "connections.csv",
        CONNECTIONS.replace("lamp,", "x" * 200_000 + ","),
        "connections.csv line 3: a cell of more than 32767",
    ),
    ("connections.csv", CONNECTIONS.encode().replace(b"lamp", b"la\0mp"), "connections.csv line 3: this is not text"),
    ("connections.csv", b"PK\x03\x04rest", "connections.csv: this is a workbook or a zip archive"),
    ("connections.csv", CONNECTIONS.replace(",5,", ",#N/A,"), "line 3, current [A]: the cell holds the error #N/A."),
    (
        "connections.csv",
        CONNECTIONS.replace(",", ";").replace(";5;", ";1.000;"),
        "'1.000' may be thousands or a fraction",
    ),
    ("tables/wire.csv", "wire\nx\n", "project tables/wire.csv: 'wire.csv' is not the name of a table.|'wires.csv'?"),
    ("tables/fuses.csv", "", "project tables/fuses.csv: the file is empty."),
    ("tables", "hello", "project tables: this is a file, not a folder."),
    ("own_checks.csv", "role,actual,sense,limit\nwirre,current,at most,5\n", "role: 'wirre' is no role of any kind."),
    (
        "accepted.csv",
        "connection,code\nlampp,C99\n",
        "accepted.csv line 2, connection: 'lampp' is not a connection|'lamp'?",
    ),
]


@pytest.mark.parametrize(
    ("file", "text", "found"), WHOLE_FILES, ids=[f"{f}-{i}" for i, (f, _, _) in enumerate(WHOLE_FILES)]
)
def test_a_bad_file_is_named_with_a_remedy(boat, file, text, found):
    save(boat, **{file: text})
    lines = refused(boat)
    assert any(all(words in line for words in found.split("|")) for line in lines), lines


def test_references_of_a_projects_own_tables_are_told_in_whole_sentences(boat):
    header = (ROOT / "tables" / "wires.csv").read_text().splitlines()[0].split(",")
    row = {"wire": "mine", "conductor": "9 AWG solid", "insulation": "PVC 105", "outer diameter [mm]": "5",
           "source": "nobody", "status": "read"}  # fmt: skip
    save(boat, **{"tables/Wires.CSV": ",".join(header) + "\n" + ",".join(row.get(name, "") for name in header) + "\n"})
    conductor, source = refused(boat)
    assert conductor.startswith(
        "project tables/wires.csv line 2, conductor: '9 AWG solid' is not a key of conductors.csv. Write one that is, or add it."
    )
    assert source.startswith("project tables/wires.csv line 2, source: 'nobody' is not a key of sources.csv.")


def test_a_workbook_with_a_chart_sheet_says_which_kind_of_sheet_is_in_the_way(boat):
    from openpyxl import Workbook

    book = Workbook()
    book.active.title = "connections"
    book.active.append(["connection", "kind"])
    book.create_chartsheet("picture")
    book.save("boat.xlsx")
    assert refused("boat.xlsx") == [
        "boat.xlsx: a sheet of the workbook is one chart. Move the chart into a worksheet, or remove it."
    ]


def test_problems_of_all_files_are_told_at_once(boat):
    save(
        boat,
        **changed(C, "current", "five"),
        **changed(N, "stud", "M7"),
        **changed(Z, "ambient", "hot", "cabin"),
        **{"settings.csv": "setting,value\nwet,perhaps\n", "tables/fuses.csv": "fuse,class\nx,y\n"},
    )
    lines = "\n".join(refused(boat))
    assert all(words in lines for words in ("'five'", "'hot'", "project tables/fuses.csv, source"))
    (boat / "tables" / "fuses.csv").unlink()
    lines = "\n".join(refused(boat))
    assert all(words in lines for words in ("'five'", "'M7'", "'hot'", "'perhaps'"))


def test_headers_that_look_misspelled_are_named_beside_the_problems(boat):
    save(boat, **{C: "conection,kind,form\na,cable,b\n"})
    assert "note: connections.csv: column 'form' is not known: did you mean 'from'?" in refused(boat)


def test_a_misspelled_name_does_not_cast_doubt_on_everything_behind_it(boat):
    save(boat, **changed(C, "from", "batery", "main"))
    assert len(refused(boat)) == 1


NOTES = [
    (changed(C, "peak time", "5"), "peak time [s] of lamp: not used, for want of a peak current"),
    (changed(C, "efficiency", "90"), "efficiency [%] of lamp: not used, for want of a power"),
    ({"node.csv": "node\n"}, "node.csv is not read: it is no file of a project; did you mean 'nodes.csv'?"),
    (changed(S, "chemistry", "agmm", "battery"), "chemistry of battery: 'agmm' is not known"),
    ({C: CONNECTIONS + "# spare,cable\n"}, "1 line starting with # left out as remarks"),
    ({"tables/mine.xlsx": b"PK"}, "project tables/mine.xlsx is not read"),
    (changed(Z, "coldest", "50", "cabin"), "coldest [degC] of cabin: warmer than the warmest air"),
]


@pytest.mark.parametrize(("files", "note"), NOTES, ids=[note[:30] for _, note in NOTES])
def test_what_decides_nothing_is_said(boat, files, note):
    save(boat, **files)
    code, out, err = run("pick", boat, "--no-workbook", "--brief")
    assert code == 0, err
    assert note in out


def test_a_supply_without_a_type_is_a_default_that_is_told(boat):
    save(boat, **changed(S, "type", "", "battery"))
    code, out, _ = run("explain", boat, "lamp")
    assert (code, "type of battery: battery" in out) == (0, True)


USAGE = [
    (("pick", "nope"), "nope: there is no such project"),
    (("pick", "x" * 5000), "File name too long"),
    (("pick", "boat", "--rules", "genral"), "Did you mean 'general'?"),
    (("pick", "boat", "--tables", "nope"), "--tables: nope: there is no such folder."),
    (("pick", "boat", "--tables", "boat"), "--tables: boat holds no table."),
    (("pick", "boat", "--encoding", "klingon"), "--encoding: 'klingon' is not a known encoding."),
    (("pick", "boat", "--out", "boat/connections.csv"), "--out: boat/connections.csv is no .xlsx."),
    (("pick", "boat", "--out", "boat"), "--out: boat is a folder."),
    (("pick", "boat", "--json", "boat/nodes.csv"), "--json: boat/nodes.csv is part of what is read."),
    (("pick", "boat", "--out", "a.xlsx", "--json", "a.xlsx"), "--json: a.xlsx is the file of --out as well."),
    (("explain", "boat", "lmap"), "Did you mean 'lamp'?"),
    (("tables", "show", " "), "PART is empty."),
    (("size", "--current", "5", "--length", "2 A"), "--length: 'A' is a unit of current, not of length."),
    (("size", "--current", "5", "--kind", "cabel"), "--kind: 'cabel' is not a kind of connection."),
    (("size", "--current", "5", "--stud", "M7"), "--stud: 'M7' is not a stud of studs.csv."),
    (("size", "--current", "5", "--drop", "3 A"), "--drop: 'A' is a unit of current"),
    (("size", "--current", "5", "--spare", "x"), "--spare: 'x' is not a number."),
    (("size", "--current", "5", "--insulation", "zzz"), "--insulation: 'zzz' is no row of insulations."),
]


@pytest.mark.parametrize(("words", "found"), USAGE, ids=[" ".join(words)[:50] for words, _ in USAGE])
def test_wrong_usage_ends_with_2_and_names_the_option(boat, words, found):
    save(boat)
    code, out, err = run(*words)
    assert (code, out) == (2, ""), err
    assert found in err
    assert sorted(path.name for path in Path.cwd().iterdir()) == ["boat"]
    assert (boat / "nodes.csv").read_text() == FILES["nodes.csv"]


def test_a_result_that_cannot_be_written_ends_with_4_and_replaces_nothing(boat):
    save(boat)
    Path("taken").write_text("mine")
    Path("folder").mkdir()
    for words in (
        ("--out", "taken/boat.xlsx"),
        ("--no-workbook", "--json", "taken/boat.json"),
        ("--no-workbook", "--json", "folder"),
    ):
        code, _, err = run("pick", boat, "--brief", *words)
        assert code == 4 and "nothing was replaced" in err
    assert Path("taken").read_text() == "mine"


def test_a_device_is_written_to_and_never_replaced(boat):
    save(boat)
    before = os.stat(os.devnull)
    assert run("pick", boat, "--no-workbook", "--brief", "--json", os.devnull)[0] == 0
    assert os.stat(os.devnull).st_rdev == before.st_rdev != 0


def program(*words, **more):
    """The program as its own process."""
    env = dict(os.environ, PYTHONPATH=str(ROOT), **more.pop("env", {}))
    return subprocess.Popen([sys.executable, "-m", "selector", *map(str, words)], env=env, stdout=subprocess.PIPE,
                            stderr=subprocess.PIPE, **more)  # fmt: skip


STARTED = """
import selector.cli as cli
steady = cli._steady_streams
cli._steady_streams = lambda: (steady(), print("up", flush=True))
cli.main()
"""


def started_program(*words):
    """The program, once its first line has run: before that an interrupt ends the interpreter, not anything of ours,
    and how long that takes depends on what else the machine does."""
    env = dict(os.environ, PYTHONPATH=str(ROOT))
    one = subprocess.Popen([sys.executable, "-c", STARTED, *map(str, words)], env=env, stdout=subprocess.PIPE,
                           stderr=subprocess.PIPE)  # fmt: skip
    assert one.stdout.readline() == b"up\n"
    return one


def test_a_full_disk_leaves_the_old_workbook_whole(boat):
    save(boat)
    Path("old.xlsx").write_bytes(b"old")
    small = program(
        "pick", boat, "--out", "old.xlsx", preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192))
    )
    _, err = small.communicate(timeout=120)
    assert small.returncode == 4 and b"Traceback" not in err
    assert Path("old.xlsx").read_bytes() == b"old"
    assert sorted(path.name for path in Path.cwd().iterdir()) == ["boat", "old.xlsx"]


def test_a_name_no_terminal_can_show_does_not_end_the_program(boat):
    save(boat, **{C: CONNECTIONS.replace("lamp,cable", "lämp\u202e\n🙂,cable".replace("\n", " "))})
    for words in (("--json", "-"), ()):
        one = program("pick", boat, "--no-workbook", "--brief", *words, env={"PYTHONIOENCODING": "ascii"})
        out, err = one.communicate(timeout=120)
        assert one.returncode == 0, err
        assert not words or "lämp 🙂" in out.decode()


@pytest.mark.slow
def test_an_interrupt_at_any_moment_ends_with_130_and_leaves_whole_files(boat):
    save(boat)
    old = Path("old.xlsx")
    started = time.monotonic()
    program("pick", boat, "--out", "new.xlsx").communicate(timeout=120)
    usual = time.monotonic() - started
    new, seen = Path("new.xlsx").read_bytes(), set()
    for step in range(12):
        old.write_bytes(b"old")
        one = started_program("pick", boat, "--out", "old.xlsx")
        time.sleep(step * usual / 12)
        one.send_signal(signal.SIGINT)
        _, err = one.communicate(timeout=120)
        seen.add(one.returncode)
        assert one.returncode in (0, 130) and b"Traceback" not in err, err
        assert old.read_bytes() in (b"old", new)
        assert {path.name.partition(".")[0] for path in Path.cwd().iterdir()} == {"boat", "new", "old"}  # no half file
    assert 130 in seen


def test_a_workbook_of_results_is_no_project_and_is_told_in_one_line(boat):
    save(boat)
    assert run("pick", boat, "--out", "out/boat.xlsx")[0] == 0
    for command in ("pick", "check"):
        code, out, err = run(command, "out/boat.xlsx", "--no-workbook")
        assert (code, out) == (3, "")
        assert err.count("\n") <= 2 and "this is a workbook selector wrote, no project" in err
    book = openpyxl.load_workbook("out/boat.xlsx")  # saved again by a spreadsheet, it has lost who wrote it
    book.properties.creator = "somebody"
    book.save("out/saved again.xlsx")
    assert "this is a workbook selector wrote" in run("pick", "out/saved again.xlsx", "--no-workbook")[2]


@pytest.mark.parametrize(
    "header, meant",
    [("amps", "current [A]"), ("load watts", "power [W]"), ("Metres", "length [m]"), ("lenght", "length")],
)
def test_a_column_named_by_its_unit_is_told_before_the_results(boat, header, meant):
    column = {"amps": "current [A]", "load watts": "power [W]"}.get(header, "length [m]")
    files = {
        "connections.csv": f"connection,kind,from,to,zone,{column}\nlamp,cable,battery,lamp,cabin,2\n".replace(
            column, header
        )
    }
    save(boat, **files)
    code, out, err = run("pick", boat, "--no-workbook")
    assert code == 1, err
    note = f"connections.csv: column '{header}' is not known: did you mean '{meant}'?"
    assert note in out and out.index(note) < out.index("? lamp")


def test_another_word_is_not_taken_for_a_slip(boat):
    """A node 'fridge' is no misspelled 'bridge ac'; 'lmap' is a slip of lamp."""
    nodes = FILES["nodes.csv"] + "bridge ac,12 V,device,M6\n"
    for name, near in (("fridge", ""), ("lmap", "lamp"), ("bridge a", "bridge ac")):
        save(boat, **{"nodes.csv": nodes, "connections.csv": CONNECTIONS.replace("panel,lamp", f"panel,{name}")})
        said = refused(boat)
        assert ("Did you mean" in "".join(said)) == bool(near)
        assert not near or any(f"Did you mean '{near}'?" in line for line in said)


def test_an_option_is_not_told_of_a_file():
    code, _, err = run("size", "--current", "5", "--length", "3,5", "--volts", "12")
    assert code == 2 and "--length: '3,5' is not a number here: the mark is a decimal point. Write 3.5" in err
    assert "file" not in err
