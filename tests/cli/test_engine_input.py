"""Odd, contradictory and extreme input of an alternator's side: what is refused, what is asked, what is said.

Each case changes some cells of one small project, names the exit code and words the user must read. The project is a
machine for 12 V on a bank of 24 V, with its leads, bridge, suppressor, joint, coil, shunt, bar and control wires.
"""

import contextlib
import io
import json
import re
import shutil

import pytest

from selector.cli import main

C, N, S, Y, Z = "connections.csv", "nodes.csv", "supplies.csv", "systems.csv", "zones.csv"
FILES = {
    C: """connection,kind,from,to,zone,length [m],current [A],peak current [A],peak time [s],on time [s],off time [s],\
purpose,joins,protection,protected by,conductor,lug from,lug to,rectifier,heatsink,suppressor,diode,splice,sleeve,shunt,\
busbar,stud set
leads,phase lead,alternator,bridge,engine,0.8,,,,,,,,,,,,,,,,,,,,,
bridge,rectifier,alternator,charge post,engine,,,,,,,,,,,,,,,,,,,,,,
out,cable,charge post,bank,cabin,3,,,,,,,,,,,,,,,,,,,,,
guard,suppressor,charge post,bank neg,engine,0.1,,,,,,,,,,,,,,,,,,,,,
wheel,freewheel,field,bank neg,engine,,,,,,,,,,,,,,,,,,,,,,
joint,joint,alternator,,engine,,,,,,,,4 x 16 AWG > 1 x 10 AWG,,,,,,,,,,,,,,
meter,shunt,bus neg,bank neg,cabin,,50,,,,,,,,,,,,,,,,,,,,
bar,bus,bus,,cabin,,,,,,,,,,,,,,,,,,,,,,
feed,cable,bank,bus,cabin,2,,,,,,,,,,,,,,,,,,,,,
load,cable,bus,lamp,cabin,3,50,,,,,,,,,,,,,,,,,,,,
field lead,control wire,bus,field,engine,3,,,,,,field,,,,,,,,,,,,,,,
sense,control wire,bank,regulator,cabin,3,,,,,,sense,,,,,,,,,,,,,,,
""",
    N: """node,system,role,stud,hottest [degC],withstand [V],coil inductance [H],coil resistance [ohm]
alternator,24 V,supply,M6,,,,
bridge,24 V,device,M6,,,,
charge post,24 V,bus,M8,,60,,
bank,24 V,supply,M8,,,,
bus,24 V,bus,M8,,,,
lamp,24 V,load,M8,,60,,
field,24 V,device,M5,80,,0.25,3.2
regulator,24 V,device,M4,,60,,
bus neg,24 V,ground,M8,,,,
bank neg,24 V,ground,M8,,,,
""",
    S: """node,type,chemistry,capacity [Ah],rated current [A],short-circuit current [A],highest [V],winding,source model,\
poles,speed range [rpm],load dump [V],load dump resistance [ohm],load dump time [ms],load dump suppressed [V],\
field current [A],field resistance [ohm],field supply [V],design voltage [V],phases
alternator,alternator,,,100,200..400,29.2,star,,12,2400..7200,151,1,100,,4.6,3.2,14.6,12,
bank,battery,agm,400,,,,,,,,,,,,,,,,
""",
    Y: "system,nominal [V],highest [V],lowest [V]\n24 V,24,29.4,22\n",
    Z: "zone,ambient [degC],engine space,air speed [m/s]\nengine,60,yes,\ncabin,30,,\n",
    "settings.csv": "setting,value\nrule set,us-small-craft\n",
}
ALL = tuple(line.split(",")[0] for line in FILES[C].splitlines()[1:])
OWN_SUPPRESSOR = (
    "suppressor,class,polarity,stand-off [V],least breakdown [V],greatest breakdown [V],test current [mA],clamping [V],"
    "peak current [A],pulse power [W],source,status,note\nmine,6600 W load-dump,unipolar,{},common-practice,measured,\n"
)


@pytest.fixture
def boat(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path / "boat"


def save(boat, rows=ALL, files=None, **cells):
    """The project with these rows of connections; ``cells``: "file/row/column" -> text, rows and columns as printed."""
    tables = {name: [line.split(",") for line in text.splitlines()] for name, text in FILES.items()}
    tables[C] = [own for own in tables[C] if own[0] in (*rows, "connection")]
    for place, text in cells.items():
        file, row, column = place.split("/")
        header = tables[file][0]
        at = next(i for i, title in enumerate(header) if column in (title, title.split(" [")[0]))
        own = next((own for own in tables[file] if own[0] == row), None)
        if own is None:
            own = [row] + [""] * (len(header) - 1)
            tables[file].append(own)
        own[at] = text
    boat.mkdir(exist_ok=True)
    made = {name: "\n".join(",".join(own) for own in rows) + "\n" for name, rows in tables.items()}
    for name, text in {**made, **(files or {})}.items():
        (boat / name).parent.mkdir(exist_ok=True)
        (boat / name).write_bytes(text if isinstance(text, bytes) else text.encode())


def run(*words):
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), pytest.raises(SystemExit) as caught:
        main([str(word) for word in words])
    return caught.value.code or 0, out.getvalue(), err.getvalue()


def picked(boat, command="pick", code=None):
    """The JSON of a run; numbers that are none do not stand in it."""
    found, out, err = run(command, boat, "--no-workbook", "--json", "-")
    assert found in (0, 1) if code is None else found == code, err or out
    assert err == ""
    return json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} stands in the JSON"))


def one(data, name):
    return next(own for own in data["connections"] if own["connection"] == name)


def parts(data, name):
    return {pick["role"]: (pick["part"], pick["quantity"]) for pick in one(data, name)["picks"]}


def assumed(data, name):
    return {own["what"]: own["value"] for own in data["defaults"] if own["connection"] == name}


# -- what is refused -------------------------------------------------------------------------------------------------------

REFUSED = [
    ({f"{C}/guard/from": "bus neg"}, "connections.csv line 5, from: 'bus neg' is a ground|from the node it protects"),
    ({f"{C}/guard/from": "bank neg", f"{C}/guard/to": "charge post"}, "line 5, from: 'bank neg' is a ground|swap from and to"),
    ({f"{C}/guard/to": "charge post"}, "line 5, to: 'charge post' is at both ends"),
    ({f"{C}/guard/to": "bus"}, "line 5, to: 'bus' is of the same polarity as 'charge post'"),
    ({f"{C}/guard/from": "spare", f"{N}/spare/system": "24 V", f"{N}/spare/role": "load"},
     "line 5, from: no supply feeds 'spare'"),
    ({f"{C}/bridge/from": "charge post", f"{C}/bridge/to": "alternator"},
     "line 3, from: 'charge post' is no alternator, but 'alternator' is|swap from and to"),
    ({f"{C}/leads/from": "bridge", f"{C}/leads/to": "alternator"}, "line 2, from: 'bridge' is no alternator|swap"),
    ({f"{C}/bridge/to": "bank neg"}, "line 3, to: 'bank neg' is a ground|positive output"),
    ({f"{C}/bridge/to": "alternator"}, "line 3, to: 'alternator' is at both ends"),
    ({f"{C}/bridge/from": "bank"}, "line 3, from: no alternator stands at either end"),
    ({f"{C}/wheel/to": "field"}, "line 6, to: 'field' is at both ends"),
    ({f"{C}/wheel/current": "0"}, "line 6, current [A]: a coil that carries no current needs no diode"),
    ({f"{C}/meter/to": "bus neg"}, "line 8, to: 'bus neg' is at both ends"),
    ({f"{S}/alternator/load dump": "20"}, "supplies.csv line 2, load dump [V]: 20 V is not above the 29.2 V it charges at"),
    ({f"{S}/alternator/load dump": "29.3", f"{S}/alternator/highest": ""}, "load dump [V]: 29.3 V is not above the 29.4 V"),
    ({f"{S}/alternator/load dump": "101..151"}, "load dump [V]: '101..151' is a range"),
    ({f"{S}/alternator/load dump time": "0"}, "load dump time [ms]: '0' is not above 0 ms"),
    ({f"{S}/alternator/load dump resistance": "0"}, "load dump resistance [ohm]: '0' is not above 0 ohm"),
    ({f"{S}/alternator/load dump suppressed": "29"},
     "load dump suppressed [V]: 29 V is not above the 29.2 V it charges at|own diodes hold the load dump"),
    ({f"{S}/alternator/load dump suppressed": "151"}, "load dump suppressed [V]: 151 V is not below the load dump of 151 V"),
    ({f"{S}/alternator/load dump suppressed": "0"}, "load dump suppressed [V]: '0' is not above 0 V"),
    ({f"{S}/alternator/poles": "7"}, "supplies.csv line 2, poles: 7 is odd"),
    ({f"{S}/alternator/poles": "1.5"}, "poles: '1.5' is not a whole number"),
    ({f"{S}/alternator/phases": "2"}, "phases: 2 phases are not worked out here|1 or 3"),
    ({f"{S}/alternator/phases": "6"}, "phases: 6 phases are not worked out here|two alternators"),
    ({f"{S}/alternator/speed range": "7200..2400"}, "speed range [rpm]: '7200..2400' runs backwards"),
    ({f"{S}/alternator/source model": "soft"}, "source model: 'soft' is no model of a source"),
    ({f"{N}/lamp/withstand": "0"}, "nodes.csv line 7, withstand [V]: '0' is not above 0 V"),
    ({f"{N}/field/coil inductance": "-1"}, "nodes.csv line 8, coil inductance [H]: '-1' is not above 0 H"),
    ({f"{C}/sense/purpose": "sesne"}, "purpose: 'sesne' is not one of the words for it|'sense'?"),
    ({f"{C}/out/joins": "2 x 10 AWG"}, "line 4, joins: '2 x 10 AWG' stands in a row that is no joint"),
    ({f"{C}/joint/joins": ""}, "line 7, joins: the cell is empty"),
    ({f"{C}/joint/joins": "1 x 10 AWG"}, "joins: '1 x 10 AWG' is one wire alone"),
    ({f"{C}/joint/joins": "0 x 16 AWG > 1 x 10 AWG"}, "joins: '0' is no number of wires"),
    ({f"{C}/joint/joins": "1000000 x 16 AWG"}, "joins: '1000000' is no number of wires"),
    ({f"{C}/joint/joins": "10 AWG > 10 AWG > 10 AWG"}, "has more than one >"),
    ({f"{C}/joint/joins": "=1+1"}, "joins: '=1' has no size in AWG or mm2"),
    ({f"{C}/joint/joins": "4 mm + 6 mm"}, "joins: '4 mm' is a diameter in mm"),
    ({f"{C}/guard/suppressor": "5 x 6600 W load-dump 36 V"}, "line 5, suppressor: 5 pieces of one part|from 1 to 4"),
    ({f"{C}/guard/suppressor": "0 x 6600 W load-dump 36 V"}, "line 5, suppressor: 0 pieces of one part|from 1 to 4"),
    ({f"{C}/guard/suppressor": "dish 25 A 100 V"}, "suppressor: 'dish 25 A 100 V' is no row of suppressors"),
    ({f"{C}/guard/suppressor": "6600 W"}, "suppressor: '6600 W' names 19 parts"),
    ({f"{C}/wheel/diode": "2 x dish 25 A 100 V"}, "line 6, diode: 2 pieces of one part|rows of their own"),
    ({f"{C}/bridge/rectifier": "6600 W load-dump 36 V"}, "rectifier: '6600 W load-dump 36 V' is no row of rectifiers"),
    ({f"{C}/meter/shunt": "M8"}, "line 8, shunt: 'M8' is no row of shunts"),
]  # fmt: skip


@pytest.mark.parametrize(("cells", "words"), REFUSED, ids=[words.split("|")[0][-60:] for _, words in REFUSED])
def test_input_that_cannot_be_is_refused_with_a_remedy(boat, cells, words):
    save(boat, **cells)
    code, out, err = run("pick", boat, "--no-workbook")
    assert (code, out) == (3, ""), err
    assert any(all(word in line for word in words.split("|")) for line in err.splitlines()), err


# -- what is said to decide nothing ----------------------------------------------------------------------------------------

IDLE = [
    ("load", {f"{C}/load/purpose": "field"}, "purpose of load: not used, a cable has none"),
    ("load", {f"{C}/load/suppressor": "6600 W load-dump 36 V"}, "suppressor of load: not used, a cable has none"),
    ("meter", {f"{C}/meter/length": "1"}, "length [m] of meter: not used, a shunt has none"),
    ("bar", {f"{C}/bar/length": "0.3"}, "length [m] of bar: not used, a bus has none"),
    ("joint", {f"{C}/joint/current": "5"}, "current [A] of joint: not used, a joint has none"),
    ("joint", {f"{C}/joint/to": "bank"}, "to of joint: not used, a joint has none"),
    ("guard", {f"{C}/guard/current": "40"}, "current [A] of guard: not used, a suppressor has none"),
    ("guard", {f"{C}/guard/conductor": "8 AWG"}, "conductor of guard: not used, a suppressor has none"),
    ("bridge", {f"{C}/bridge/length": "3"}, "length [m] of bridge: not used, a rectifier has none"),
    ("bridge", {f"{C}/bridge/peak current": "200"}, "peak current [A] of bridge: not used, a rectifier has none"),
    ("bridge", {f"{C}/bridge/lug from": "8 AWG ring M8"}, "lug from of bridge: not used, a rectifier has none"),
    ("leads", {f"{C}/leads/protection": "gG 10x38 16 A"}, "protection of leads: not used, a phase lead has none"),
    ("leads", {f"{C}/leads/protected by": "out"}, "protected by of leads: not used, a phase lead has none"),
    ("meter", {f"{C}/meter/shunt": "none"}, "meter: none of its parts is wanted; nothing was chosen or judged there"),
    ("joint", {f"{C}/joint/splice": "none", f"{C}/joint/sleeve": "none"}, "joint: none of its parts is wanted"),
    ("leads", {f"{S}/alternator/field current": "46"}, "field current [A] of alternator: 46 A through 3.2 ohm is 147.2 V"),
    ("load", {f"{N}/lamp/withstand": "20"}, "withstand [V] of lamp: 20 V is less than the 29.4 V its system reaches"),
]  # fmt: skip
NEEDS = {"guard": ("out", "bridge"), "bridge": ("out",), "leads": ("bridge", "out"), "load": ("feed",),
         "bar": ("feed", "load"), "joint": (), "meter": ("feed", "load")}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(("row", "cells", "note"), IDLE, ids=[note[:48] for *_, note in IDLE])
def test_cells_that_decide_nothing_are_named(boat, row, cells, note):
    save(boat, rows=(row, *NEEDS[row]), **cells)
    data = picked(boat)
    assert any(note in own for own in data["notes"]), data["notes"]
    shutil.rmtree(boat)
    save(boat, rows=(row, *NEEDS[row]))
    assert not any(note in own for own in picked(boat)["notes"])


def test_a_bar_may_name_its_own_node_twice(boat):
    save(boat, rows=("bar", "feed", "load"))
    alone = picked(boat)
    save(boat, rows=("bar", "feed", "load"), **{f"{C}/bar/to": "bus"})
    twice = picked(boat)
    assert one(twice, "bar")["currents"]["continuous"] == one(alone, "bar")["currents"]["continuous"] == 50
    assert parts(twice, "bar") == parts(alone, "bar")
    assert one(twice, "feed")["currents"]["continuous"] == 50
    assert twice["notes"] == []


# -- what is picked, and what is asked -----------------------------------------------------------------------------------

SUPPRESSED = ("leads", "bridge", "out", "guard", "feed", "load")


def test_an_output_gives_its_rating_and_the_battery_the_peak(boat):
    save(boat, rows=SUPPRESSED, **{f"{C}/load/peak current": "170", f"{C}/load/peak time": "3"})
    data = picked(boat)
    assert one(data, "out")["currents"]["peak"] is None
    assert one(data, "out")["currents"]["continuous"] == 100
    assert one(data, "feed")["currents"]["peak"] == pytest.approx(170)
    assert "peak of what it feeds, passed on" in assumed(data, "feed")
    assert "peak of what it feeds, passed on" not in assumed(data, "out")


def test_loads_that_say_nothing_count_with_a_usual_withstand(boat):
    """One stated withstand does not speak for the others. Typical of 24 V equipment: common practice, no source."""
    save(boat, rows=SUPPRESSED, **{f"{N}/lamp/withstand": ""})
    data = picked(boat, code=1)
    guard = one(data, "guard")
    assert assumed(data, "guard")["withstand of lamp"] == 32
    assert guard["status"] == "incomplete"
    assert any("the maker of lamp" in text for text in guard["questions"])
    limits = {check["code"]: check["limit"] for check in guard["checks"]}
    assert limits["U03"] == 32
    assert any("It rests on guard" in text for text in one(data, "bridge")["questions"])
    code, out, _ = run("pick", boat, "--no-workbook")
    line = next(line for line in out.splitlines() if line.startswith("? guard"))
    assert "With what is assumed, nearest is" in line and "(assumed for lamp)" in line
    assert "no parts of its own" not in line
    assert code == 1


def test_stated_withstands_hold_where_every_load_states_one(boat):
    save(boat, rows=SUPPRESSED)
    data = picked(boat, code=0)
    assert not any("withstand" in what for what in assumed(data, "guard"))
    assert {check["code"]: check["limit"] for check in one(data, "guard")["checks"]}["U03"] == 60


def test_a_guessed_charging_voltage_is_asked_for_where_nothing_serves_with_it(boat):
    cells = {f"{N}/{node}/system": "48 V" for node in ("alternator", "bridge", "charge post", "bank", "bus", "lamp", "field",
             "regulator", "bus neg", "bank neg")}  # fmt: skip
    save(boat, rows=SUPPRESSED, files={Y: "system,nominal [V]\n48 V,48\n"}, **{**cells, f"{S}/alternator/highest": ""})
    guard = one(picked(boat, code=1), "guard")
    assert guard["status"] == "incomplete"
    assert "What are the highest and lowest voltages of this system?" in guard["questions"]


def test_a_system_of_36_v_has_no_printed_pulse_and_asks_for_one(boat):
    cells = {f"{N}/{node}/system": "36 V" for node in ("alternator", "bridge", "charge post", "bank", "bus", "lamp", "field",
             "regulator", "bus neg", "bank neg")}  # fmt: skip
    empty = {
        f"{S}/alternator/{name}": "" for name in ("highest", "load dump", "load dump resistance", "load dump time")
    }
    save(boat, rows=SUPPRESSED, files={Y: "system,nominal [V]\n36 V,36\n"}, **cells, **empty)
    guard = one(picked(boat, code=1), "guard")
    assert guard["status"] == "incomplete"
    assert any("What peak, source resistance and time has its load dump?" in text for text in guard["questions"])
    assert any(text.endswith("neither side is known") for text in guard["questions"])


def test_a_suppressor_without_an_alternator_says_so(boat):
    save(boat, rows=("guard", "feed", "load"), **{f"{C}/guard/from": "bus"})
    lines = (boat / S).read_text().splitlines()
    (boat / S).write_text("\n".join(line for line in lines if not line.startswith("alternator")) + "\n")
    nodes = (boat / N).read_text().splitlines()
    (boat / N).write_text("\n".join(line for line in nodes if not line.startswith("alternator")) + "\n")
    data = picked(boat)
    assert assumed(data, "guard")["load dump"] == "none, for want of an alternator"


SECOND = {
    f"{N}/second/system": "24 V", f"{N}/second/role": "supply", f"{N}/second/stud": "M6",
    f"{S}/second/type": "alternator", f"{S}/second/rated current": "60", f"{S}/second/load dump": "151",
    f"{S}/second/load dump resistance": "1", f"{S}/second/load dump time": "100",
    f"{C}/second bridge/kind": "rectifier", f"{C}/second bridge/from": "second", f"{C}/second bridge/to": "charge post",
    f"{C}/second bridge/zone": "engine",
}  # fmt: skip


@pytest.mark.slow
def test_two_machines_on_one_post_add_up(boat):
    save(boat, rows=SUPPRESSED)
    alone = picked(boat, code=0)
    save(boat, rows=SUPPRESSED, **SECOND)
    data = picked(boat)
    assert one(data, "out")["currents"]["continuous"] == 160
    assert one(data, "bridge")["currents"]["continuous"] == 100
    assert one(data, "second bridge")["currents"]["continuous"] == 60
    energies = [one(own, "guard")["results"]["pulse_energy"] for own in (alone, data)]
    assert energies[1] > 1.5 * energies[0]  # half the source resistance
    save(boat, rows=SUPPRESSED, **{**SECOND, f"{S}/second/load dump resistance": ""})
    assert one(picked(boat), "guard")["status"] == "incomplete"


def test_two_bridges_of_one_machine_do_not_make_two_of_it(boat):
    cells = {f"{C}/spare bridge/{what}": text for what, text in
             {"kind": "rectifier", "from": "alternator", "to": "charge post", "zone": "engine"}.items()}  # fmt: skip
    save(boat, rows=SUPPRESSED, **cells)
    assert one(picked(boat), "out")["currents"]["continuous"] == 100


def test_six_ends_are_taken_as_closed_in_star_and_that_is_listed(boat):
    save(boat, rows=("leads", "bridge", "out"), **{f"{S}/alternator/winding": "six ends"})
    assert assumed(picked(boat), "leads")["winding of six ends, closed as"] == "star"


def test_a_machine_of_one_phase_has_two_leads_that_carry_the_dc_current(boat):
    """A full-wave bridge on one phase: line rms equals the dc current. Source: power-electronics textbooks."""
    save(boat, rows=("leads", "bridge", "out"), **{f"{S}/alternator/phases": "1"})
    leads = one(picked(boat), "leads")
    assert leads["currents"]["continuous"] == pytest.approx(100)
    assert next(pick["quantity"] for pick in leads["picks"] if pick["role"] == "lug from") == 2


@pytest.mark.slow
@pytest.mark.parametrize(
    ("row", "column", "low", "high"),
    [
        ("leads", "length", "0.6", "3"),
        ("load", "length", "3", "20"),
        ("bridge", "current", "60", "120"),
        ("meter", "current", "10", "300"),
        ("bar", "current", "10", "900"),
        ("wheel", "current", "1", "20"),
        ("field lead", "current", "1", "4.6"),
        ("sense", "length", "1", "30"),
    ],
)
def test_a_range_is_served_as_its_worse_end_is(boat, row, column, low, high):
    rows = (row, *(name for name in ("leads", "bridge", "out", "feed", "load") if name != row))
    save(boat, rows=rows, **{f"{C}/{row}/{column}": f"{low}..{high}"})
    over = picked(boat)
    save(boat, rows=rows, **{f"{C}/{row}/{column}": high})
    worst = picked(boat)
    assert parts(over, row) == parts(worst, row)
    assert one(over, row)["status"] == one(worst, row)["status"]


@pytest.mark.slow
def test_a_hotter_place_gives_no_smaller_part(boat):
    order = []
    for ambient in ("20", "50", "65"):
        save(boat, rows=("leads", "bridge", "out", "feed", "load"), **{f"{Z}/engine/ambient": ambient})
        leads = next(pick for pick in one(picked(boat), "leads")["picks"] if pick["role"] == "conductor")
        order.append(int(leads["size"].split()[0]))
    assert order == sorted(order, reverse=True)


def test_a_release_every_no_time_at_all_counts_as_never_said(boat):
    save(boat, rows=("wheel", "feed", "load"), **{f"{C}/wheel/on time": "0", f"{C}/wheel/off time": "0"})
    assert assumed(picked(boat), "wheel")["share of the time the coil's current runs in the diode"] == 100


def test_a_coil_without_resistance_or_current_is_incomplete(boat):
    save(boat, rows=("wheel", "feed", "load"), **{f"{N}/field/coil resistance": ""})
    assert one(picked(boat, code=1), "wheel")["status"] == "incomplete"


def test_what_decides_nothing_of_a_place_is_not_listed_as_assumed(boat):
    save(boat, rows=("wheel", "guard", "bridge", "out", "feed", "load"), **{f"{S}/alternator/winding": ""})
    data = picked(boat)
    for row in ("wheel", "guard"):
        assert not any(what.startswith(("short-circuit current", "winding")) for what in assumed(data, row))
    assert assumed(data, "bridge")["winding"] == "star"


# -- own rows, as built, other spellings -----------------------------------------------------------------------------------

OWN_ROWS = [
    ("36,40,44,5,58,0,6600", 3, "peak current [A]: '0' is not above 0 A"),
    ("36,30,34,5,58,114,6600", 1, "mine: its stand-off is not below its breakdown"),
    ("36,40,44,5,30,220,6600", 1, "mine: it clamps below its breakdown"),
    (",40,44,5,58,114,6600", 3, "stand-off [V]: the cell is empty"),
]


@pytest.mark.parametrize(("cells", "code", "words"), OWN_ROWS, ids=[words for *_, words in OWN_ROWS])
def test_own_rows_that_cannot_be_true_are_named(boat, cells, code, words):
    files = {"tables/suppressors.csv": OWN_SUPPRESSOR.format(cells)}
    save(boat, rows=SUPPRESSED, files=files, **{f"{C}/guard/suppressor": "mine"})
    found, out, err = run("pick", boat, "--no-workbook")
    assert found == code
    assert f"project tables/suppressors.csv line 2, {words}" in out + err


def test_as_built_an_empty_project_asks_for_parts_alone(boat):
    save(boat)
    data = picked(boat, "check", code=1)
    for own in data["connections"]:
        assert own["status"] == "incomplete"
        (text,) = own["questions"]  # all roles in one question
        assert text.startswith("Which part stands there as ") and text.endswith("None is named."), own


@pytest.mark.slow
def test_as_built_what_was_picked_passes(boat):
    save(boat)
    data = picked(boat, code=0)
    cells = {f"{C}/{own['connection']}/{pick['role']}": pick["part"] for own in data["connections"] for pick in own["picks"]
             if not pick["role"].startswith("sleeve") or pick["role"] == "sleeve"}  # fmt: skip
    save(boat, **cells)
    again = picked(boat, "check")
    served = {own["connection"] for own in again["connections"] if own["status"] == "served"}
    assert served >= {"bridge", "guard", "wheel", "joint", "meter", "bar"}


@pytest.mark.slow
@pytest.mark.parametrize("encoding", ["utf-16", "utf-8-sig", "cp1252"])
def test_other_locales_read_the_same(boat, encoding):
    cells = {f"{C}/joint/joins": "2 x 2.5 mm2 > 1 x 6 mm2"}
    save(boat, rows=("joint", *SUPPRESSED), **cells)
    plain = picked(boat)
    for name in FILES:
        text = (boat / name).read_text().replace(",", ";").replace("mm2", "mm²")
        text = re.sub(r"(?<![\d.])(\d+)\.(\d+)(?=[; \n])", r"\1,\2", text)
        (boat / name).write_bytes(text.encode(encoding))
    other = picked(boat)
    assert [parts(other, own["connection"]) for own in other["connections"]] == [
        parts(plain, own["connection"]) for own in plain["connections"]
    ]


@pytest.mark.slow
def test_names_that_begin_like_formulas_stay_names(boat):
    save(boat, rows=SUPPRESSED)
    text = (boat / C).read_text().replace("\nguard,", "\n=1+1,").replace("\nbridge,", "\n\"+cmd|' /C x'!A0\",")
    (boat / C).write_text(text)
    code, _, err = run("pick", boat, "--out", boat.parent / "odd.xlsx")
    assert code == 0, err
    from openpyxl import load_workbook

    book = load_workbook(boat.parent / "odd.xlsx")
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and ("1+1" in cell.value or "cmd|" in cell.value):
                    assert cell.data_type != "f" or cell.value.startswith(("=IF", "=INDEX", '=HYPERLINK("#')), (
                        cell.value
                    )


# -- size ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["phase lead", "rectifier", "joint", "suppressor", "freewheel"])
def test_size_says_which_kinds_want_a_project(kind):
    code, out, err = run("size", "--kind", kind, "--current", "40", "--length", "2", "--volts", "24")
    assert (code, out) == (2, "")
    assert f"--kind: a {kind} needs what only a project can say" in err


@pytest.mark.parametrize("readings", ["1 uA at 40 V", "0 A at 36.5 V", "forward 0.6 V at 10 mA", "1 A at 1000 V"])
def test_an_unmarked_part_is_told_without_numbers_that_are_none(readings):
    code, out, err = run("size", "--measured", readings)
    assert code in (0, 1), err
    words = out.replace(",", " ").split()
    assert "inf" not in words
    assert "nan" not in words
