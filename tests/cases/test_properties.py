"""What must hold of every pick, whatever the numbers: more of anything hard never helps, an unknown never helps, a
spare never helps, and the order of rows and columns does not matter. Seeded, so that a failure comes again."""

import csv
import itertools
import json
import random
import re

import pytest

from selector import pipeline
from selector.report.result import result, to_json
from tests.cases import random_projects as projects
from tests.cases import second_reading as reading

RULES = ("general", "us-small-craft", "intl-small-craft", "aircraft")

TABLES = reading.Tables()
AREA = {wire["key"]: wire["area"] for wire in TABLES.wires}


def picked(outcome):
    """Status and part keys by connection."""
    found = {}
    for one in outcome.chosen:
        keys = {role.role: outcome.candidates[role.family].keys for role in one.kind.roles}
        parts = {role: keys[role][index] if index >= 0 else None for role, index in one.picks.items()}
        found[outcome.places.names[one.place]] = (one.status, parts)
    return found


def simple(rule, rows, zones=(), settings=(), short="1500"):
    """A project of loads on batteries of their own; ``rows`` are cells of connections.csv by header."""
    project = {name: [] for name in projects.HEADERS}
    project["settings.csv"] = [{"setting": "rule set", "value": rule}]
    project["settings.csv"] += [{"setting": name, "value": value} for name, value in settings]
    project["systems.csv"] = [{"system": "24 V", "nominal [V]": "24", "highest [V]": "29"}]
    project["zones.csv"] = list(zones) or [{"zone": "cabin", "ambient [degC]": "30"}]
    for index, row in enumerate(rows):
        start, end = f"battery {index}", f"load {index}"
        project["nodes.csv"] += [
            {"node": start, "system": "24 V", "role": "supply", "stud": "M8", "terminal limit [degC]": "90"},
            {"node": end, "system": "24 V", "role": "load", "stud": "M8", "drop need": "may dim",
             "terminal limit [degC]": "90"},
        ]  # fmt: skip
        project["supplies.csv"].append({"node": start, "type": "battery", "short-circuit current [A]": short})
        given = {"connection": f"row {index}", "kind": "cable", "from": start, "to": end, "system": "24 V"}
        zone = project["zones.csv"][0]["zone"]
        project["connections.csv"].append({**given, "zone": zone, "current [A]": "20", "length [m]": "3", **row})
    return project


def run(project, folder, header=projects.HEADERS.get):
    return pipeline.run(projects.write(project, folder, header), brief=True)


# ------------------------------------------------------------------------------------------------------ more load

LADDERS = {
    "current [A]": ("2", "8", "20", "45", "90", "140", "200"),
    "length [m]": ("0.3", "2", "6", "11", "20", "40"),
    "zone": ("-20", "5", "30", "45", "60", "75"),
    "grouped with": ("0", "1", "2", "3", "4", "6"),
}


@pytest.mark.parametrize("rule", RULES)
def test_more_load_never_gives_a_smaller_wire(rule, tmp_path):
    """Within one size system and one insulation, one class of fuse: current, length, ambient and grouping each."""
    dice = random.Random(f"load {rule}")
    zones = [{"zone": t, "ambient [degC]": t, "coldest [degC]": "-30"} for t in LADDERS["zone"]]
    rows, ladders = [], []
    insulation = "ETFE 150" if rule == "aircraft" else "XLPE 125"
    for varied, steps in LADDERS.items():
        for _ in range(2):
            base = {"current [A]": f"{dice.uniform(5, 60):.3g}", "length [m]": f"{dice.uniform(0.3, 4):.2g}",
                    "zone": dice.choice(("5", "30")), "grouped with": dice.choice(("0", "1", "2")), "laid": "touching",
                    "insulation": insulation}  # fmt: skip
            if dice.random() < 0.5:
                base |= {"peak current [A]": str(3 * float(base["current [A]"])), "peak time [s]": "1"}
            ladders.append((varied, range(len(rows), len(rows) + len(steps))))
            rows += [{**base, varied: step} for step in steps]
    settings = [("fuse classes", "single-bolt post"), ("size systems", TABLES.rule_sets[rule]["size system"])]
    found = picked(run(simple(rule, rows, zones, settings), tmp_path))
    compared = 0
    for varied, indices in ladders:
        before = 0.0
        for index in indices:
            status, parts = found[f"row {index}"]
            if status != "served":
                continue
            area = AREA[parts["conductor"]]
            assert area >= before, f"{rule}: more {varied}, a smaller wire: {rows[index]} {parts}"
            compared += area > before > 0
            before = area
    grown = {"aircraft": 1}.get(rule, 6)
    assert compared >= grown, "the ladders hardly changed a wire: nothing was tested"


# -------------------------------------------------------------------------------------------------------- unknowns

BLANKS = (
    ("connections.csv", "length [m]"),
    ("connections.csv", "current [A]"),
    ("connections.csv", "peak time [s]"),
    ("nodes.csv", "stud"),
    ("supplies.csv", "short-circuit current [A]"),
)


@pytest.mark.parametrize("seed", range(4))
def test_a_blanked_cell_never_serves(seed, tmp_path):
    """What has no default is unknown when blank: such a row is never served, whether it was before or not."""
    dice = random.Random(seed)
    rows = []
    for _ in range(2 * len(BLANKS)):
        amps = dice.uniform(1, 150)
        rows.append({"current [A]": f"{amps:.3g}", "length [m]": f"{dice.uniform(0.2, 60) / amps:.3g}",
                     "peak current [A]": f"{2 * amps:.3g}", "peak time [s]": "1"})  # fmt: skip
    project = simple(RULES[seed], rows)
    before = picked(run(project, tmp_path / "before"))
    for index, (name, header) in enumerate(2 * BLANKS):
        words = {"connections.csv": f"row {index}", "nodes.csv": f"load {index}", "supplies.csv": f"battery {index}"}[
            name
        ]
        row = next(r for r in project[name] if next(iter(r.values())) == words)
        assert row[header]
        row[header] = ""
    after = picked(run(project, tmp_path / "after"))
    for index, (name, header) in enumerate(2 * BLANKS):
        status = after[f"row {index}"][0]
        assert status != "served", f"{name} {header} blank, was {before[f'row {index}'][0]}"
    if RULES[seed] != "aircraft":
        assert any(status == "served" for status, _ in before.values())


CELLS = (
    ("wires.csv", "outer diameter [mm]", "conductor"),
    ("fuses.csv", "voltage rating [V]", "protection"),
    ("fuses.csv", "breaking capacity [A]", "protection"),
    ("lugs.csv", "hole [mm]", "lug to"),
    ("lugs.csv", "bore [mm]", "lug to"),
    ("lugs.csv", "greatest area [mm2]", "lug to"),
    ("lugs.csv", "temperature limit [degC]", "lug to"),
    ("sleeves.csv", "recovered bore [mm]", "sleeve to"),
    ("sleeves.csv", "temperature rating [degC]", "sleeve to"),
)


@pytest.mark.parametrize(("name", "header", "role"), CELLS, ids=[f"{name} {header}" for name, header, _ in CELLS])
def test_a_part_with_a_cell_blanked_is_not_served(name, header, role, tmp_path):
    """The user's own tables/ replaces the row of the picked part by one that does not know a number any more."""
    project = simple("us-small-craft", [{}])
    status, parts = picked(run(project, tmp_path / "before"))["row 0"]
    assert status == "served"
    rows = reading.rows_of(name)
    row = next(r for r in rows if next(iter(r.values())) == parts[role])
    assert row[header]
    folder = tmp_path / "after" / "tables"
    folder.mkdir(parents=True)
    with open(folder / name, "w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(row))
        writer.writeheader()
        writer.writerow({**row, header: ""})
    status, now = picked(run(project, tmp_path / "after"))["row 0"]
    assert (status, now[role]) != ("served", parts[role])
    assert status == "served", "another part of the tables passes outright"


@pytest.mark.parametrize(
    ("header", "default"), [("ambient [degC]", "ambient"), ("coldest [degC]", "coldest"), ("altitude [m]", "altitude")]
)
def test_a_blank_that_is_assumed_is_listed(header, default, tmp_path):
    zone = {"zone": "cabin", "ambient [degC]": "30", "coldest [degC]": "0", "altitude [m]": "10"}
    stated = run(simple("general", [{}], [zone]), tmp_path / "stated")
    blank = run(simple("general", [{}], [{**zone, header: ""}]), tmp_path / "blank")
    assert default not in {d.what for d in stated.places.defaults}
    assert default in {d.what for d in blank.places.defaults}


# ----------------------------------------------------------------------------------------------------------- spare


@pytest.mark.parametrize("seed", range(4))
def test_a_larger_spare_never_serves_more(seed, tmp_path):
    """Of the rows that have a device of their own; the others rest on what another row was given."""
    maker = projects.Maker(random.Random(seed), TABLES)
    project = maker.project(RULES[seed], 24)
    own = {
        row["connection"]
        for row in project["connections.csv"]
        if row["protection"] != "none" and not row["protected by"] and not row["connection"].endswith("back")
    }
    kept = [row for row in project["settings.csv"] if not row["setting"].startswith("spare")]
    served = []
    for step, (share, kelvin) in enumerate((("0", "0"), ("10", "5"), ("30", "20"), ("60", "60"))):
        project["settings.csv"] = [*kept, {"setting": "spare [%]", "value": share}]
        project["settings.csv"] += [{"setting": f"spare {code} [K]", "value": kelvin} for code in ("C03", "C04", "L07")]
        found = picked(run(project, tmp_path / str(step), maker.header))
        served.append({name for name, (status, _) in found.items() if status == "served" and name in own})
    for less, more in itertools.pairwise(served):
        assert more <= less, f"served only with the larger spare: {sorted(more - less)}"
    if RULES[seed] != "aircraft":
        assert len(served[0]) > len(served[-1])


# ----------------------------------------------------------------------------------------------------------- order


def answers(outcome):
    """The JSON of a run, lists in an order of their own, without what names the folder or counts lines."""
    written = json.loads(re.sub(r"\bline \d+", "line", to_json(result(outcome))))
    written.pop("project", None)
    return _sorted(written)


def _sorted(value):
    if isinstance(value, dict):
        return {key: _sorted(one) for key, one in sorted(value.items())}
    if isinstance(value, list):
        return sorted((_sorted(one) for one in value), key=lambda one: json.dumps(one, sort_keys=True))
    return value


@pytest.mark.parametrize("seed", range(4))
def test_the_order_of_rows_and_columns_does_not_matter(seed, tmp_path):
    maker = projects.Maker(random.Random(40 + seed), TABLES)
    project = maker.project(RULES[seed], 24)
    first = run(project, tmp_path / "first", maker.header)
    dice = random.Random(seed)
    shuffled = {name: dice.sample(rows, len(rows)) for name, rows in project.items()}
    mixed = {name: dice.sample(maker.header(name), len(maker.header(name))) for name in project}
    second = run(shuffled, tmp_path / "second", mixed.get)
    assert picked(first) == picked(second)
    assert answers(first) == answers(second)
