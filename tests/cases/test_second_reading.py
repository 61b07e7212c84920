"""The program's picks against a second reading of the rules (second_reading.py): no difference on random projects.

Trade rules are those of tables/checks.csv and the rule sets; where a rule comes from is named in those tables. The
projects are invented, seeded, and meant to be odd: blanks, ranges, fixed parts, returns as rows, protection elsewhere.
"""

import random

import pytest

from selector import pipeline
from tests.cases import random_projects as projects
from tests.cases import second_reading as reading


@pytest.fixture(scope="module")
def tables():
    return reading.Tables()


def compare(tables, folder, seed, count):
    """Rows compared, statuses seen, and a line for each row read differently."""
    maker = projects.Maker(random.Random(seed), tables)
    project = maker.project(projects.RULES[seed % len(projects.RULES)], count)
    outcome = pipeline.run(projects.write(project, folder, maker.header), brief=True)
    second = reading.Reading(tables, project)
    seen, differences = dict.fromkeys(("served", "unserved", "incomplete"), 0), []
    for one in outcome.chosen:
        name = outcome.places.names[one.place]
        status, parts = second.solve(name)
        seen[status] += 1
        picks = None
        if one.status != "unserved":
            keys = {role.role: outcome.candidates[role.family].keys for role in one.kind.roles}
            picks = {role: keys[role][index] if index >= 0 else None for role, index in one.picks.items()}
        if (one.status, picks) != (status, parts):
            differences.append(f"seed {seed}, {name}: program {one.status} {picks}, second reading {status} {parts}")
    return len(outcome.chosen), seen, differences


def run(tables, folder, seeds, count):
    rows, seen, differences = 0, dict.fromkeys(("served", "unserved", "incomplete"), 0), []
    for seed in seeds:
        compared, statuses, different = compare(tables, folder / str(seed), seed, count)
        rows += compared
        differences += different
        for status, number in statuses.items():
            seen[status] += number
    return rows, seen, differences


def test_picks_agree_with_the_second_reading(tables, tmp_path):
    rows, seen, differences = run(tables, tmp_path, range(1000, 1008), 36)
    assert rows >= 280
    assert min(seen.values()) >= 20, seen
    assert not differences, f"{len(differences)} of {rows} rows differ:\n" + "\n".join(differences[:10])


@pytest.mark.slow
@pytest.mark.parametrize("first", range(2000, 2050, 5))
def test_picks_agree_with_the_second_reading_on_ten_thousand_rows(tables, tmp_path, first):
    """Ten parts of a thousand rows and more: 10,000 in all, no difference."""
    rows, seen, differences = run(tables, tmp_path, range(first, first + 5), 200)
    print(f"second reading: {rows} rows, {len(differences)} differences, {seen}")
    assert rows >= 1000
    assert not differences, f"{len(differences)} of {rows} rows differ:\n" + "\n".join(differences[:10])


def test_every_must_of_a_cable_is_read_a_second_time():
    """A new must of a cable, a control wire or a phase lead has to be coded, and asked, here too; so has what is avoided
    within some sizes."""
    roles = {"protection", "conductor", "lug", "sleeve"}
    for row in reading.rows_of("checks.csv"):
        if row["role"] not in roles or not (row["severity"] == "must" or row["avoid within"]):
            continue
        if row["code"].startswith("J"):
            continue  # of a joint's sleeve: test_engine_reading.py
        assert row["code"] in reading.CODED, f"{row['code']} {row['name']} is not coded in second_reading.py"
        assert row["code"] in reading.ASKED, f"{row['code']} {row['name']} is coded but never asked"
    assert set(reading.CODED) == reading.ASKED


def test_roles_are_those_of_the_kinds_table():
    for kind, roles in reading.ROLES.items():
        rows = [r for r in reading.rows_of("kinds.csv") if r["kind"] == kind]
        assert tuple(r["role"] for r in sorted(rows, key=lambda r: int(r["order"]))) == roles


def test_second_heat_balance_meets_a_published_ampacity():
    """35 mm2 in 30 degC air, 90 degC wall of 12.7 mm: 226 A in BS 7671 Table 4E1A, one cable spaced in free air."""
    wire = {"alike": "35", "ohm per m": 0.524e-3, "coefficient": 0.00393, "diameter": 7.5, "outer": 12.7,
            "conductivity": 0.286, "emissivity": 0.9}  # fmt: skip
    ampacity = reading.lone_ampacity(wire, 363.15, 303.15, 0.0, 0.0)
    assert ampacity == pytest.approx(226, rel=0.04)
    assert reading.warmth(wire, ampacity, 303.15, 0.0, 0.0)[0] == pytest.approx(363.15, abs=1e-9)


def test_second_heat_balance_agrees_with_the_program(tables):
    """Two root-finders, one set of papers: the promise of the program's is 1e-9 (design: fixed steps)."""
    from selector.physics import heat_balance

    dice = random.Random(5)
    for _ in range(200):
        wire = dice.choice(tables.wires)
        ambient, speed, altitude = dice.uniform(233, 393), dice.choice([0.0, 0.3, 10.0]), dice.choice([0.0, 4000.0])
        names = ("ohm per m", "coefficient", "diameter", "outer", "conductivity", "emissivity")
        given = [wire[name] / 1000 if name in ("diameter", "outer") else wire[name] for name in names]
        lone = reading.lone_ampacity(wire, wire["rating"], ambient, speed, altitude)
        assert heat_balance.ampacity_a(*given, wire["rating"], ambient, speed, altitude) == pytest.approx(
            lone, rel=1e-9
        )
        current = max(lone, 1.0) * dice.uniform(0.1, 1.5)
        metal = heat_balance.conductor_temperature_k(current, *given, ambient, speed, altitude)
        assert metal == pytest.approx(reading.warmth(wire, current, ambient, speed, altitude)[0], rel=1e-9)
