"""What must hold of every pick of a machine's parts, whatever the numbers: nothing harder gives anything smaller, and
what is not known never serves.

Numbers are drawn by hypothesis, always the same ones; each draw is a ladder of machines in one project, run through the
program. Where the order of preference comes from is said in tables/preference.csv.
"""

import itertools
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as draw

from selector import pipeline
from selector.catalogue.catalogue import load
from selector.errors import Problems
from selector.project.files import read_project
from tests.cases import engine_reading, random_machines

TABLES = engine_reading.Tables()
CATALOGUE = load(None, None)
RANK = {
    "suppressor": {part["key"]: rank for rank, part in enumerate(TABLES.suppressors)},
    "rectifier": {part["key"]: rank for rank, part in enumerate(TABLES.bridges)},
}
RATING = {wire["key"]: wire["rating"] - engine_reading.ZERO for wire in TABLES.wires}
pytestmark = pytest.mark.slow
HABITS = {"derandomize": True, "deadline": None, "database": None, "suppress_health_check": list(HealthCheck),
          "phases": (Phase.explicit, Phase.generate)}  # fmt: skip
"""No shrinking: a draw is a whole project, and says enough as it is."""
few = settings(max_examples=3, **HABITS)

MACHINE = {"type": "alternator", "rated current [A]": "110", "short-circuit current [A]": "280", "winding": "star",
           "poles": "12", "speed range [rpm]": "1800..9000", "load dump [V]": "95", "load dump resistance [ohm]": "4",
           "load dump time [ms]": "200", "field current [A]": "5", "field inductance [H]": "0.2",
           "field resistance [ohm]": "5", "field supply [V]": "29"}  # fmt: skip
ZONE = {"ambient [degC]": "35", "coldest [degC]": "0", "air speed [m/s]": "2", "altitude [m]": "0"}


def project(steps, system=("24 V", "24", "29"), without=()):
    """A machine with lead, bridge, suppressor and regulator for each step: cells that differ from the usual ones.

    A step maps a file, and after a dot what stands in it, to cells: {"supplies": {...}, "nodes.post": {...}}.
    """
    name, nominal, highest = system
    made = {file: [] for file in random_machines.HEADERS}
    made["systems.csv"] = [{"system": name, "nominal [V]": nominal, "highest [V]": highest}]
    for i, step in enumerate(steps):
        made["zones.csv"].append({"zone": f"zone {i}", **ZONE, **step.get("zones", {})})
        made["supplies.csv"] += [
            {"node": f"alternator {i}", **MACHINE, **step.get("supplies", {})},
            {"node": f"battery {i}", "type": "battery", "short-circuit current [A]": "1500"},
        ]
        given_nodes = {
            "alternator": {"role": "supply", "stud": "M8", "hottest [degC]": "100"},
            "bridge": {"role": "device", "stud": "M8", "hottest [degC]": "80"},
            "post": {"role": "bus", "stud": "M8", "withstand [V]": "80"},
            "battery": {"role": "supply", "stud": "M8"},
            "ground": {"role": "ground", "stud": "M8"},
        }
        for node, cells in given_nodes.items():
            own = {"node": f"{node} {i}", "system": name, **cells, **step.get(f"nodes.{node}", {})}
            made["nodes.csv"].append(own)
        rows = {
            "lead": {"kind": "phase lead", "from": "alternator", "to": "bridge", "length [m]": "1"},
            "bridge": {"kind": "rectifier", "from": "alternator", "to": "post"},
            "guard": {"kind": "suppressor", "from": "post", "to": "ground", "length [m]": "0.1"},
            "out": {"kind": "cable", "from": "post", "to": "battery", "length [m]": "1"},
        }
        for row, cells in rows.items():
            if row in without:
                continue
            ends = {end: f"{cells[end]} {i}" for end in ("from", "to")}
            own = {"connection": f"{row} {i}", "system": name, "zone": f"zone {i}", **cells, **ends}
            made["connections.csv"].append({**own, **step.get(f"connections.{row}", {})})
    return made


def run(made):
    """The outcome of a project, and what was chosen by connection."""
    folder = Path(tempfile.mkdtemp())
    try:
        random_machines.write(made, folder / "project", random_machines.HEADERS.get)
        problems = Problems()
        outcome = pipeline.choose(
            read_project(folder / "project", problems, None), CATALOGUE, brief=True, problems=problems
        )
    finally:
        shutil.rmtree(folder)
    return outcome, {outcome.places.names[one.place]: one for one in outcome.chosen}


def part(outcome, one, role):
    index = one.picks[role]
    family = next(r.family for r in one.kind.roles if r.role == role)
    return outcome.candidates[family].keys[index] if index >= 0 else None


def climbs(ladders, row, role, rank, without):
    """Ranks of what is served in each ladder, step by step, each as late in the order as the one before or later."""
    steps = [step for ladder in ladders.values() for step in ladder]
    outcome, chosen = run(project(steps, without=without))
    found, at = {}, 0
    for what, ladder in ladders.items():
        served = [chosen[f"{row} {at + i}"] for i in range(len(ladder))]
        found[what] = [rank[part(outcome, one, role)] for one in served if one.status == "served"]
        for before, after in itertools.pairwise(found[what]):
            assert after >= before, f"{what}: {ladder} gave {found[what]}"
        at += len(ladder)
    return found


# ----------------------------------------------------------------------------------------------- never anything smaller

HARDER = {
    "hotter": lambda x: {"zones": {"ambient [degC]": f"{20 + 25 * x:.4g}"}},
    "hotter post": lambda x: {"nodes.post": {"hottest [degC]": f"{40 + 22 * x:.4g}"}},
    "longer": lambda x: {"supplies": {"load dump time [ms]": f"{10 * 1.9**x:.4g}"}},
    "higher": lambda x: {"supplies": {"load dump [V]": f"{45 + 24 * x:.4g}"}},
    "stiffer": lambda x: {"supplies": {"load dump resistance [ohm]": f"{9 * 0.62**x:.4g}"}},
    "weaker": lambda x: {"nodes.post": {"withstand [V]": f"{110 - 12.5 * x:.4g}"}},
    "longer leads": lambda x: {"connections.guard": {"length [m]": f"{0.4 * x:.4g}"}},
    "warmer charging": lambda x: {"supplies": {"highest [V]": f"{28 + 2.2 * x:.4g}"}},
}


def joined(*steps):
    """One step from several."""
    found = {}
    for step in steps:
        for where, cells in step.items():
            found.setdefault(where, {}).update(cells)
    return found


@few
@given(start=draw.floats(0, 0.6), base=draw.tuples(draw.floats(30, 90), draw.floats(55, 160), draw.floats(50, 350)))
def test_nothing_harder_gives_a_smaller_suppressor(start, base):
    """Hotter, a longer or higher pulse, less resistance behind it, a weaker node, longer leads: never earlier in the
    order (fewest pieces, lowest clamp, least power)."""
    withstand, peak, time = base
    usual = {"supplies": {"load dump [V]": f"{peak:.4g}", "load dump time [ms]": f"{time:.4g}"},
             "nodes.post": {"withstand [V]": f"{withstand + 20:.4g}"}}  # fmt: skip
    ladders = {what: [joined(usual, step(start + x)) for x in range(6)] for what, step in HARDER.items()}
    climbs(ladders, "guard", "suppressor", RANK["suppressor"], ("lead",))


def test_the_ladders_do_change_the_suppressor():
    """So that what holds above holds of something."""
    ladders = {what: [step(0.3 + x) for x in range(6)] for what, step in HARDER.items()}
    changed = climbs(ladders, "guard", "suppressor", RANK["suppressor"], ("lead",))
    assert sum(len(set(ranks)) > 1 for ranks in changed.values()) >= 4, changed
    assert all(ranks for ranks in changed.values()), changed


@few
@given(
    low=draw.floats(8, 60), steepness=draw.floats(1.15, 1.6), ambient=draw.integers(-5, 55), short=draw.floats(1.5, 4)
)
def test_more_current_never_gives_a_smaller_bridge(low, steepness, ambient, short):
    steps = []
    for i in range(7):
        amps = low * steepness**i
        own = {"rated current [A]": f"{amps:.4g}", "short-circuit current [A]": f"{amps * short:.4g}"}
        steps.append({"supplies": own, "zones": {"ambient [degC]": str(ambient)}})
    ranks = climbs({"current": steps}, "bridge", "rectifier", RANK["rectifier"], ("lead", "guard"))["current"]
    assert ranks or ambient > 45


@few
@given(amps=draw.integers(20, 120), ambient=draw.integers(-10, 60), speed=draw.sampled_from(["0", "0.5", "2", "6"]),
       altitude=draw.sampled_from(["0", "2500"]))  # fmt: skip
def test_a_larger_sink_never_gives_a_hotter_junction(amps, ambient, speed, altitude):
    """One bridge on one sink after the other, from the smallest on."""
    bridge = "three-phase bridge 130 A module 1200 V"
    bridge = (
        bridge
        if bridge in RANK["rectifier"]
        else next(b["key"] for b in TABLES.bridges if b["average"] >= 125 and b["slope"])
    )
    zone = {"ambient [degC]": str(ambient), "air speed [m/s]": speed, "altitude [m]": altitude}
    machine = {"rated current [A]": str(amps)}
    steps = [{"connections.bridge": {"rectifier": bridge, "heatsink": sink["key"]}, "zones": zone, "supplies": machine}
             for sink in TABLES.sinks]  # fmt: skip
    _, chosen = run(project(steps, without=("lead", "guard")))
    junctions = [chosen[f"bridge {i}"].results["junction_k"] for i in range(len(steps))]
    sizes = [sink["resistance"] for sink in TABLES.sinks]
    for (one, hot), (other, cooler) in itertools.pairwise(zip(sizes, junctions, strict=True)):
        assert cooler <= hot + 1e-9
        assert cooler < hot or other == one
    assert min(junctions) > ambient + engine_reading.ZERO


@few
@given(node=draw.sampled_from(["alternator", "bridge"]), low=draw.integers(30, 75), step=draw.integers(6, 22),
       amps=draw.integers(20, 160))  # fmt: skip
def test_a_hotter_terminal_never_gives_a_lower_temperature_insulation(node, low, step, amps):
    """Of a phase lead: what its terminals reach in service its insulation, lugs and sleeves must stand."""
    other = {"bridge": "alternator", "alternator": "bridge"}[node]
    hot = [low + step * i for i in range(7)]
    steps = [{f"nodes.{node}": {"hottest [degC]": str(t)}, f"nodes.{other}": {"hottest [degC]": "30"},
              "supplies": {"rated current [A]": str(amps)}} for t in hot]  # fmt: skip
    outcome, chosen = run(project(steps, without=("guard",)))
    ratings = []
    for i, kelvin in enumerate(hot):
        one = chosen[f"lead {i}"]
        if one.status == "served":
            rating = RATING[part(outcome, one, "conductor")]
            assert rating >= kelvin
            assert not ratings or rating >= ratings[-1], f"{hot}: {ratings}, then {rating}"
            ratings.append(rating)
    assert len(ratings) >= 2


# ------------------------------------------------------------------------------------------------------------- unknowns

BLANKS = {
    "rated current": ("supplies", "rated current [A]", "bridge", None),
    "load dump": ("supplies", "load dump [V]", "guard", "load dump"),
    "load dump time": ("supplies", "load dump time [ms]", "guard", "load dump time"),
    "load dump resistance": ("supplies", "load dump resistance [ohm]", "guard", "load dump resistance by formula"),
    "case temperature": ("nodes.bridge", "hottest [degC]", "lead", "hottest, rectifier stud"),
    "alternator's stud": ("nodes.alternator", "hottest [degC]", "lead", "hottest, alternator stud"),
    "withstand": ("nodes.post", "withstand [V]", "guard", "withstand"),
    "short circuit": (
        "supplies",
        "short-circuit current [A]",
        "bridge",
        "first-moment short-circuit current over rating",
    ),
    "speed": ("supplies", "speed range [rpm]", "lead", "speed range"),
    "poles": ("supplies", "poles", "lead", "poles"),
    "leads of the suppressor": ("connections.guard", "length [m]", "guard", "suppressor lead length"),
    "ambient": ("zones", "ambient [degC]", "guard", "ambient"),
    "coldest": ("zones", "coldest [degC]", "guard", "coldest"),
}


@pytest.mark.parametrize(
    "system", [("12 V", "12", "14.6"), ("24 V", "24", "29"), ("48 V", "48", "58")], ids=lambda s: s[0]
)
@settings(max_examples=4, **HABITS)
@given(amps=draw.integers(20, 90), peak=draw.floats(1.4, 3.5), withstand=draw.floats(2.2, 4.5))
def test_what_is_not_stated_never_serves_unless_it_is_listed(system, amps, peak, withstand):
    """Each input left out in turn: incomplete, or served with the value assumed in the list of defaults."""
    volts = float(system[1])
    usual = {"supplies": {"rated current [A]": str(amps), "load dump [V]": f"{volts * (1 + peak):.4g}"},
             "nodes.post": {"withstand [V]": f"{volts * withstand:.4g}"}}  # fmt: skip
    steps = [joined(usual, {where: {header: ""}}) for where, header, _, _ in BLANKS.values()]
    for (where, header, _, _), step in zip(BLANKS.values(), steps, strict=True):
        assert step[where][header] == ""
    outcome, chosen = run(project([usual, *steps], system))
    listed = {}
    for default in outcome.places.defaults:
        for row in default.rows:
            listed.setdefault(outcome.places.names[row], set()).add(default.what)
    for i, (what, (_, _, row, assumed)) in enumerate(BLANKS.items(), 1):
        status = chosen[f"{row} {i}"].status
        if assumed is None:
            assert status != "served", f"{what} left out, yet {status}"
            continue
        own = {word for word in listed.get(f"{row} {i}", ()) if word.startswith(assumed)}
        usual_ones = {word for word in listed.get(f"{row} 0", ()) if word.startswith(assumed)}
        assert not usual_ones, f"{what} is stated, yet listed: {usual_ones}"
        assert own or status == "incomplete", (
            f"{what} left out, {status}, and nothing listed but {listed.get(f'{row} {i}')}"
        )


def test_a_part_whose_cell_is_blank_is_not_taken_outright(tmp_path):
    """A bridge without a loss line, or a suppressor without its leakage, in the user's own tables: another one, or incomplete."""
    outcome, chosen = run(project([{}]))
    blanks = (("rectifiers.csv", "threshold [V]", "bridge 0", "rectifier"), ("suppressors.csv", "leakage [uA]", "guard 0", "suppressor"),
              ("rectifiers.csv", "surge current [A]", "bridge 0", "rectifier"), ("suppressors.csv", "clamping [V]", "guard 0", "suppressor"))  # fmt: skip
    for file, header, row, role in blanks:
        key = part(outcome, chosen[row], role)
        assert chosen[row].status == "served"
        plain = key.partition(" x ")[2] if key[1:4] == " x " else key
        own = next(r for r in engine_reading.reading.rows_of(file) if next(iter(r.values())) == plain)
        folder = tmp_path / header[:4] / role
        random_machines.write(project([{}]), folder, random_machines.HEADERS.get)
        assert own[header]
        random_machines.write({file: [{**own, header: ""}]}, folder / "tables", lambda _, own=own: list(own))
        again = pipeline.run(folder, brief=True)
        now = next(one for one in again.chosen if again.places.names[one.place] == row)
        assert (now.status, part(again, now, role)) != ("served", key)
