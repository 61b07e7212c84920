"""What is said of rows that nothing serves, or that wait for something: what would let them be served, and no more."""

from pathlib import Path

import pytest

from tests.choosing.projects import write
from tests.choosing.test_fuse_classes import BOAT, CRANK, boat
from tests.cli.test_engine_input import run


def lines_of(folder, files, command="pick", code=1):
    found, out, err = run(command, write(folder, files), "--no-workbook")
    assert found == code, out + err
    return out.splitlines()


def line(lines, name):
    return next(text for text in lines if text[2:].startswith(f"{name} "))


def warm(**cells):
    zones = [{"zone": "engine room", "ambient [degC]": "60"}]
    row = {
        "connection": "sense",
        "kind": "control wire",
        "purpose": "sense",
        "from": "bank",
        "to": "plotter",
        "length [m]": "5",
    }
    return {**BOAT, "zones.csv": zones, "connections.csv": [{**row, "zone": "engine room", **cells}]}


def test_air_as_warm_as_the_terminal_may_get_is_said_and_the_smallest_wire_is_the_nearest(tmp_path):
    """Battery posts: 60 degC, a default from memory. No wire is cooler than its air."""
    told = line(lines_of(tmp_path, warm()), "sense")
    assert told.startswith("x sense") and "nearest is 1 mm2" in told
    assert "The air at bank (60 degC) is as warm as its terminal may get (60 degC)" in told
    assert "state its terminal limit [degC] in nodes.csv" in told
    nodes = [{**row, "terminal limit [degC]": "80"} for row in BOAT["nodes.csv"]]
    assert line(lines_of(tmp_path / "stated", {**warm(), "nodes.csv": nodes}, code=0), "sense").startswith("+ sense")


def test_a_terminal_that_only_a_larger_wire_keeps_cool_still_has_the_largest_as_nearest(tmp_path):
    files = warm(**{"kind": "cable", "purpose": "", "current [A]": "330", "length [m]": "0.5"})
    files["zones.csv"] = [{"zone": "engine room", "ambient [degC]": "50"}]
    told = line(lines_of(tmp_path, files), "sense")
    assert "nearest is 120 mm2" in told and "The air at" not in told


def test_a_lithium_bank_nobody_measured_waits_for_its_short_circuit_current_said_once(tmp_path):
    """40 to 100 A/Ah, from memory: 560 Ah may give 56 kA, and no fuse of the tables breaks more than 25 kA."""
    supplies = [{"node": "bank", "type": "battery", "chemistry": "lithium", "capacity [Ah]": "280", "in parallel": "2"}]
    lines = lines_of(tmp_path, {**boat(), "supplies.csv": supplies})
    for name in ("plotter", "bilge pump"):
        assert line(lines, name).startswith(f"? {name}")
        assert "no fuse or breaker of the tables breaks 56000 A (P04); that current is assumed" in line(lines, name)
    (once,) = [text for text in lines if "state short-circuit current [A]" in text]
    assert once.endswith("2 connections rest on that.")
    stated = [{**supplies[0], "short-circuit current [A]": "30000"}]
    told = lines_of(tmp_path / "stated", {**boat(("fuse classes", "blade")), "supplies.csv": stated})
    assert line(told, "plotter").startswith("x plotter") and "of the classes you buy breaks 30000 A" in line(
        told, "plotter"
    )
    high = [{**supplies[0], "short-circuit current [A]": "18000"}]
    assert line(lines_of(tmp_path / "high", {**boat(), "supplies.csv": high}, code=0), "plotter").startswith(
        "+ plotter"
    )


def test_a_current_nobody_knows_gives_no_size(tmp_path):
    row = {key: value for key, value in BOAT["connections.csv"][0].items() if key != "current [A]"}
    lines = lines_of(tmp_path, boat(connections=[row]))
    assert line(lines, "plotter").endswith("What current does it carry? No size before that is known.")
    _, out, _ = run("explain", tmp_path, "plotter")
    assert "Parts (provisional: no size before its current is known)" in out


def test_a_lead_that_carries_its_peak_only_is_told_to_write_0(tmp_path):
    row = {**CRANK, "current [A]": ""}
    told = line(lines_of(tmp_path, boat(connections=[row])), "starter")
    assert "What current does it carry? Write 0 where it carries nothing but its peak." in told
    assert line(lines_of(tmp_path / "0", boat(connections=[CRANK]), code=0), "starter").startswith("+ starter")


def test_where_the_voltage_is_not_known_that_alone_is_asked(tmp_path):
    files = {"connections.csv": [{"connection": "lamp", "kind": "cable", "from": "bus", "to": "lamp", "current [A]": "5",
                                  "length [m]": "2"}]}  # fmt: skip
    told = line(lines_of(tmp_path, files), "lamp")
    assert "What is the nominal voltage of the system of bus and lamp? Write nominal [V] in systems.csv" in told
    _, out, _ = run("explain", tmp_path, "lamp")
    asked = out.partition("To find out")[2]
    assert not [text for text in asked.splitlines() if "C07" in text or "P08" in text or "C12" in text]


def test_check_asks_for_all_missing_parts_at_once(tmp_path):
    told = line(lines_of(tmp_path, boat(), "check"), "plotter")
    assert told.endswith(
        "Which part stands there as protection, conductor, lug from, lug to, sleeve from, sleeve to? None is named."
    )
    row = {**BOAT["connections.csv"][0], "conductor": "14 AWG tinned PVC 105", "protection": "gG 10x38 4 A"}
    told = line(lines_of(tmp_path / "some", boat(connections=[row]), "check"), "plotter")
    assert (
        "as lug from, lug to, sleeve from, sleeve to? None is named. Named: gG 10x38 4 A + 14 AWG tinned PVC 105"
        in told
    )
    assert ".;" not in told


@pytest.mark.parametrize("header, meant", [("amps", "current [A]"), ("Watts", "power [W]"), ("feet", "length [m]")])
def test_a_column_named_for_its_unit_is_told_which_one_it_could_be_before_the_results(tmp_path, header, meant):
    row = {key: value for key, value in BOAT["connections.csv"][0].items() if key != meant}
    lines = lines_of(tmp_path, boat(connections=[{**row, header: "3"}]), code=0 if meant == "power [W]" else 1)
    at = lines.index(f"connections.csv: column '{header}' is not known: did you mean '{meant}'?")
    assert at < lines.index(line(lines, "plotter"))


def test_a_column_named_for_a_unit_whose_column_is_there_is_only_kept(tmp_path):
    lines = lines_of(tmp_path, boat(connections=[{**BOAT["connections.csv"][0], "amps": "3"}]), code=0)
    assert any("column 'amps' is not known; it is kept" in text for text in lines)


def test_size_shows_the_device_a_wire_of_yours_is_judged_with(tmp_path):
    found, out, _ = run(
        "size", "--current", "8", "--length", "8", "--volts", "24", "--conductor", "16 AWG tinned PVC 105"
    )
    assert found == 1
    parts = out.partition("\nParts ")[2].partition("\n\n")[0]
    assert "(nothing in the tables passes every must)" in parts
    assert "protection: gG 10x38 12 A, nearest, not a pick" in parts and "16 AWG tinned PVC 105" in parts
    assert "Sized by" not in out and "Next smaller" not in out
    nearest = out.partition("What comes nearest, and what it fails")[2].partition("\n\n")[0]
    assert "voltage drop (C07" in nearest and "C10" not in nearest and "P08" not in nearest


def test_a_phase_lead_that_only_an_assumed_stud_stands_in_the_way_of_asks_for_its_heat(tmp_path):
    """Alternator stud 150 degC at the hot end, from memory; a tinned lug is good to 149 degC (trade page on plated lugs)."""
    files = {
        "connections.csv": [{"connection": "leads", "kind": "phase lead", "from": "machine", "to": "bridge ac", "zone": "engine room",
                             "length [m]": "1.2", "conductor": "16 mm2 class 5 tinned XLPE 150", "lug from": "16 mm2 flared tube lug M8"}],
        "zones.csv": [{"zone": "engine room", "ambient [degC]": "60", "engine space": "yes", "oil": "yes"}],
        "nodes.csv": [{"node": "machine", "system": "24 V", "role": "supply", "stud": "M8", "hottest [degC]": ""},
                      {"node": "bridge ac", "system": "24 V", "role": "device", "stud": "M6", "hottest [degC]": "110"}],
        "supplies.csv": [{"node": "machine", "type": "alternator", "rated current [A]": "90", "speed range [rpm]": "2500..6500",
                          "poles": "12"}],
        "systems.csv": [{"system": "24 V", "nominal [V]": "24", "highest [V]": "28.8", "lowest [V]": "22"}],
    }  # fmt: skip
    told = line(lines_of(tmp_path, files), "leads")
    assert told.startswith("? leads") and "How hot does the alternator stud get" in told
    _, out, _ = run("explain", tmp_path, "leads")
    assert "The terminal of machine is taken to be at 150 degC, more than 149 degC" in out
    assert "state hottest [degC] in nodes.csv" in out and "nickel-plated" in out
    for hottest, code, sign in (("120", 0, "+"), ("150", 1, "x")):
        nodes = [{**files["nodes.csv"][0], "hottest [degC]": hottest}, files["nodes.csv"][1]]
        told = line(lines_of(tmp_path / hottest, {**files, "nodes.csv": nodes}, code=code), "leads")
        assert told.startswith(f"{sign} leads")
    assert "The terminal of machine is at 150 degC" in told


SWITCHES = {
    "tables/switches.csv": "switch,rating [A],voltage rating [V]\nbattery switch 100 A,100,48\nbattery switch 200 A,200,48\n",
    "tables/switches.family.csv": "what,name,unit,value,reason\nkey,switch,,,\nrole,switch,,,\ncolumn,rating,A,,\n"
    "column,voltage rating,V,,\nsmallest by,rating,,,\ncheck,carries,A,current at most 0.8 * rating,80 % for good\n",
    "tables/kinds.csv": "kind,order,role,family,leads,quantity,unit,source,status,note\n"
    "battery switch,1,switch,switches,yes,1,piece,common-practice,measured,\n",
}


def test_a_kind_of_your_own_without_wire_has_no_length_and_no_device(tmp_path):
    rows = [
        {
            **BOAT["connections.csv"][0],
            "connection": "isolator",
            "kind": "battery switch",
            "length [m]": "",
            "current [A]": "90",
        }
    ]
    folder = write(tmp_path / "boat", boat(connections=rows))
    for name, text in SWITCHES.items():
        Path(folder / name).parent.mkdir(exist_ok=True)
        Path(folder / name).write_text(text, encoding="utf-8")
    found, out, _ = run("pick", folder, "--no-workbook")
    assert found == 0 and "+ isolator  battery switch 200 A" in out
    _, out, _ = run("explain", folder, "isolator")
    assert "fuse" not in out.partition("Checks")[0] and "How long" not in out
