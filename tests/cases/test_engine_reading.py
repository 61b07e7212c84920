"""Picks of what hangs on an alternator against a second reading of the rules (engine_reading.py): no difference.

The trade rules are those of tables/checks.csv, where each names its source. The machines are invented, seeded, and
meant to be odd: blanks, ranges, fixed parts, single phases, bare ratios for a model, suppressors in two places.
"""

import random

import pytest

from selector import pipeline
from tests.cases import engine_reading, random_machines, random_projects, second_reading

ROLES = ("splice", "rectifier", "heatsink", "suppressor", "diode")
OF_JOINT = ("J13", "J14", "J15")


@pytest.fixture(scope="module")
def tables():
    return engine_reading.Tables()


def compare(tables, folder, seed, count, kinds=random_machines.KINDS):
    """Rows compared, statuses seen by kind, and a line for each row read differently."""
    maker = random_machines.Maker(random.Random(seed), tables, kinds)
    project = maker.project(random_projects.RULES[seed % len(random_projects.RULES)], count)
    outcome = pipeline.run(random_machines.write(project, folder, maker.header), brief=True)
    given = {row["connection"]: row for row in project["connections.csv"]}
    losses = {}
    for one in outcome.chosen:
        name = outcome.places.names[one.place]
        if given[name]["kind"] in ("cable", "control wire") and random_machines.kind_of(given[name]) not in kinds:
            lost = [one.result(fact) if one.found else 0.0 for fact in ("voltage_drop_v", "path_resistance_ohm")]
            losses[name] = tuple(None if value != value else value for value in lost)
    second = engine_reading.Reading(tables, project, losses)
    rows, seen, differences = 0, {}, []
    for one in outcome.chosen:
        name = outcome.places.names[one.place]
        kind = random_machines.kind_of(given[name])
        if kind not in kinds:
            continue
        rows += 1
        status, parts = second.solve(name)
        seen[kind, status] = seen.get((kind, status), 0) + 1
        picks = None
        if one.found:
            keys = {role.role: outcome.candidates[role.family].keys for role in one.kind.roles}
            picks = {role: keys[role][index] if index >= 0 else None for role, index in one.picks.items()}
        if (one.status, picks) != (status, parts):
            differences.append(f"seed {seed}, {name}: program {one.status} {picks}, second reading {status} {parts}")
        elif picks is not None:
            differences += [f"seed {seed}, {name}: {line}" for line in unlike(second, name, one)]
    return rows, seen, differences


def unlike(second, name, one):
    """What the two work out of the same parts where it is not the same, to six digits; NaN is the program's unknown."""
    for what, value in second.results(name).items():
        found = one.results.get(what)
        unknown = found is None or found != found
        if (unknown if value is not None else not unknown) or (
            value is not None and abs(found - value) > 1e-6 * abs(value)
        ):
            yield f"{what}: program {found}, second reading {value}"


def run(tables, folder, seeds, count):
    rows, seen, differences = 0, {}, []
    for seed in seeds:
        compared, statuses, different = compare(tables, folder / str(seed), seed, count)
        rows += compared
        differences += different
        for status, number in statuses.items():
            seen[status] = seen.get(status, 0) + number
    return rows, seen, differences


def test_picks_agree_with_the_second_reading(tables, tmp_path):
    rows, seen, differences = run(tables, tmp_path, range(1004, 1008), 36)
    assert rows >= 144
    for kind in random_machines.KINDS:
        assert seen.get((kind, "served"), 0) >= 5, seen
    for status in ("unserved", "incomplete"):
        assert sum(number for (_, own), number in seen.items() if own == status) >= 15, seen
    assert not differences, f"{len(differences)} of {rows} rows differ:\n" + "\n".join(differences[:10])


@pytest.mark.slow
@pytest.mark.parametrize("first", range(2000, 2020, 4))
def test_picks_agree_with_the_second_reading_on_two_thousand_rows(tables, tmp_path, first):
    """Five parts of four hundred rows and more, all four rule sets in each: no difference."""
    rows, seen, differences = run(tables, tmp_path, range(first, first + 4), 100)
    print(f"second reading: {rows} rows, {len(differences)} differences, {seen}")
    assert rows >= 400
    assert not differences, f"{len(differences)} of {rows} rows differ:\n" + "\n".join(differences[:10])


def test_every_must_of_these_kinds_is_read_a_second_time():
    """A new must of a joint, a rectifier, a suppressor or a diode has to be coded, and asked, here too; so has what is
    avoided."""
    for row in second_reading.rows_of("checks.csv"):
        if (row["severity"] == "must" or row["avoid within"]) and (row["role"] in ROLES or row["code"] in OF_JOINT):
            assert row["code"] in engine_reading.CODED, f"{row['code']} {row['name']} is not coded in engine_reading.py"
            assert row["code"] in engine_reading.ASKED, f"{row['code']} {row['name']} is coded but never asked"
    assert set(engine_reading.CODED) == engine_reading.ASKED


def test_roles_are_those_of_the_kinds_table():
    """The loops above know these roles and no others."""
    known = {"joint": ("splice", "sleeve"), "rectifier": ("rectifier", "heatsink"), "suppressor": ("suppressor",),
             "freewheel": ("diode",)}  # fmt: skip
    for kind, roles in known.items():
        rows = [r for r in second_reading.rows_of("kinds.csv") if r["kind"] == kind]
        assert tuple(r["role"] for r in sorted(rows, key=lambda r: int(r["order"]))) == roles


def test_second_pulse_meets_published_energies():
    """Into a clamp, by a circuit simulation that agrees to four digits; computed from ISO 16750-2:2012, 4.6.4."""
    pulse = engine_reading.Pulse(101.0, 14.0, 4.0, 0.4)
    assert pulse.into(40.0, 0.0) == pytest.approx((15.25, 0.20982, 51.415), rel=1e-4)
    assert pulse.into(29.5, 0.05529) == pytest.approx((17.631, 0.29968, 57.653), rel=1e-4)


def test_second_power_curve_meets_a_published_rating():
    """6600 W at 10/1000 us and 5200 W at 10/10000 us are 9.24 J and 72.8 J; data sheet of a 6600 W load-dump class."""
    points = [(1e-3, 6600.0), (1e-2, 5200.0)]
    assert engine_reading.stands(points, 6600.0, 1.4 * 6.6, 1.0) == pytest.approx((6600, 9.24))
    assert engine_reading.stands(points, 5200.0, 1.4 * 52, 0.6) == pytest.approx((5200, 0.6 * 72.8))


def test_second_junction_meets_a_published_rating():
    """130 A at a case of 85 degC: 59.66 W a diode and 149.4 degC under a limit of 150; data sheet of a 130 A module."""
    machine = type("Machine", (), {"lines": 3, "ratio": (2 / 3) ** 0.5})
    case = engine_reading.BridgeCase(type("Place", (), {"machine": machine}), 130.0, 0.0)
    bridge = {"threshold": 0.78, "slope": 4.59e-3}
    assert case.diode_heat(bridge) == pytest.approx(59.66, abs=0.01)
    assert 85 + 1.08 * case.diode_heat(bridge) == pytest.approx(149.4, abs=0.1)


def test_second_skin_effect_meets_the_printed_ratios():
    """A.c. over d.c. resistance of a round wire, NBS Circular 74; the figures from memory."""
    for x, ratio in ((1.5, 1.0258), (3.0, 1.31809), (4.0, 1.67787)):
        assert engine_reading.round_wire(x * x / (2 * engine_reading.MU_0), 1.0) == pytest.approx(ratio, abs=3e-5)
