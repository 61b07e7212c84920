"""The demo: our workboat runs, its special rows are what LOOK_AT says, and an empty project is readable."""

import csv
import filecmp

import pytest

from selector import pipeline
from selector.demo import LOOK_AT, WORKBOAT, write_demo, write_empty
from selector.demo.hints import HINTS
from selector.errors import ProjectError, UsageError
from selector.project.declarations import FILES
from selector.project.files import read_project


@pytest.fixture(scope="module")
def outcome(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo") / "workboat"
    write_demo(folder)
    return pipeline.run(folder)


@pytest.fixture(scope="module")
def by_name(outcome):
    return {outcome.places.names[one.place]: one for one in outcome.chosen}


def _rows(file):
    with (WORKBOAT / file).open(newline="", encoding="utf-8") as handle:
        return list(csv.DictReader(handle))


def _part(outcome, one, role):
    family = next(k.family for k in one.kind.roles if k.role == role)
    return outcome.candidates[family].keys[one.picks[role]]


def _failing(one):
    return {check.code for check, status, *_ in one.verdicts if status == 0 and check.must}


def test_the_demo_has_a_boats_worth_of_connections(outcome):
    assert len(outcome.chosen) == len(_rows("connections.csv"))
    assert 44 <= len(outcome.chosen) <= 56


def test_most_are_served_three_are_not_and_one_is_incomplete(outcome):
    assert outcome.summary == {"served": len(outcome.chosen) - 4, "unserved": 3, "incomplete": 1}
    assert outcome.exit_code == 1


def test_the_crane_pump_is_unserved_though_nothing_is_fixed(outcome, by_name):
    one = by_name["deck crane pump"]
    assert one.status == "unserved"
    assert not any(want.fixed and not want.inherited for want in outcome.wanted[one.place].values())
    assert _failing(one) == {"C07"}


def test_even_the_largest_wire_fails_for_the_crane_pump(outcome, by_name):
    """Its resistance alone at 20 degC, the conductor standard's figure: the wire is warmer, so the drop is larger."""
    row = next(r for r in _rows("connections.csv") if r["connection"] == "deck crane pump")
    wires = outcome.candidates["wires"].columns
    least = min(value for value in wires["resistance_at_20_degc_ohm_per_m"] if value == value)
    drop = float(row["current [A]"]) * 2 * float(row["length [m]"]) * least
    assert drop > 0.03 * 24, "3 % of 24 V; ABYC E-11, critical circuits"


def test_the_fixed_wire_of_the_forward_pump_fails_on_drop_and_is_kept(outcome, by_name):
    one = by_name["forward bilge pump"]
    assert one.status == "unserved"
    assert outcome.wanted[one.place]["conductor"].fixed
    assert _part(outcome, one, "conductor") == "16 AWG tinned PVC 105"
    assert _failing(one) == {"C07", "C08"}
    assert by_name["after bilge pump"].status == "served"


def test_the_searchlight_is_incomplete_for_want_of_a_stud(by_name):
    one = by_name["searchlight"]
    assert one.status == "incomplete" and one.provisional
    unknown = {(check.code, check.role) for check, status, *_ in one.verdicts if status == 1 and check.must}
    assert unknown and {code for code, _ in unknown} <= {"L04", "L05"}


def test_the_windlass_is_sized_by_its_peak(by_name):
    one = by_name["windlass feed"]
    assert one.status == "served" and one.governing == "C08"
    miss = next(m for m in one.misses if m.role == "conductor")
    assert "C08" in {fail[0].code for fail in miss.fails}


def test_the_hot_stud_of_the_alternator_forbids_the_usual_insulation(outcome, by_name):
    one = by_name["alternator output"]
    assert one.status == "served"
    wires = outcome.candidates["wires"]
    assert wires.columns["temperature_rating_k"][one.picks["conductor"]] >= 273.15 + 110
    assert "PVC 105" not in _part(outcome, one, "conductor")


def test_one_finding_is_open_and_others_are_accepted_with_a_reason(outcome):
    accepted = {name for f in outcome.findings if f.get("accepted") for name in f["connections"]}
    open_ones = {name for f in outcome.findings if not f.get("accepted") for name in f["connections"]}
    assert accepted == {row["connection"] for row in _rows("accepted.csv")}
    assert "alternator output" in open_ones


@pytest.mark.parametrize("name", ["side lights", "stern light", "masthead light"])
def test_lights_behind_one_fuse_are_judged_against_it(outcome, by_name, name):
    feed = by_name["navigation feed"]
    assert by_name[name].picks["protection"] == feed.picks["protection"]
    assert outcome.wanted[by_name[name].place]["protection"].inherited


def test_small_blade_fuses_serve_behind_the_converter_and_nowhere_near_a_battery(outcome, by_name):
    blades = {
        name
        for name, one in by_name.items()
        if one.picks.get("protection", -1) >= 0 and "blade" in _part(outcome, one, "protection")
    }
    assert blades == {"radio", "chart display", "depth sounder"}


def test_sense_leads_are_fused_at_one_to_three_amperes(outcome, by_name):
    """Common practice, no source."""
    ratings = outcome.candidates["fuses"].columns["rating_a"]
    for name in ("regulator sense", "regulator sense lead", "battery monitor sense"):
        assert 1 <= ratings[by_name[name].picks["protection"]] <= 3


# -- the conversion --------------------------------------------------------------------------------------------------


def test_the_salvaged_bridge_is_refused_because_it_conducts_below_the_charging_voltage(outcome, by_name):
    one = by_name["salvaged bridge"]
    assert one.status == "unserved" and outcome.wanted[one.place]["rectifier"].fixed
    rectifiers, index = outcome.candidates["rectifiers"].columns, one.picks["rectifier"]
    assert rectifiers["avalanche"][index] == 1
    assert rectifiers["least_breakdown_v"][index] < 29.2, "the highest charging voltage of the bank"
    assert "R06" in _failing(one)


def test_the_bridge_in_the_duct_keeps_its_junctions_below_their_limit(outcome, by_name):
    one = by_name["charging bridge"]
    assert one.status == "served"
    rectifiers, index = outcome.candidates["rectifiers"].columns, one.picks["rectifier"]
    assert rectifiers["avalanche"][index] == 0
    assert one.results["junction_k"] <= rectifiers["greatest_junction_k"][index] - 25
    assert rectifiers["reverse_voltage_v"][index] > by_name["output suppressor"].results["clamping_voltage_v"]


def test_the_regulator_s_suppressor_begins_above_what_the_output_s_holds(outcome, by_name):
    output, regulator = by_name["output suppressor"], by_name["regulator suppressor"]
    assert output.status == regulator.status == "served"
    least = outcome.candidates["suppressors"].columns["least_breakdown_v"][regulator.picks["suppressor"]]
    assert 29.2 < output.results["clamping_voltage_v"] < least
    assert regulator.results["clamping_voltage_v"] < 75, "what its node is said to stand"


def test_the_hot_end_of_the_windings_forbids_solder_and_the_usual_insulation(outcome, by_name):
    for name in ("winding joint 1", "winding joint 2", "winding joint 3"):
        assert by_name[name].status == "served"
        assert "solder" not in _part(outcome, by_name[name], "splice")
    leads = by_name["phase leads"]
    rating = outcome.candidates["wires"].columns["temperature_rating_k"][leads.picks["conductor"]]
    assert leads.status == "served" and rating >= 273.15 + 150


def test_the_conversion_s_field_stays_within_its_current_and_charging_begins_in_time(outcome):
    (review,) = outcome.reviews
    assert review.name == "house alternator"
    status = {limit.what: limit.status for limit in review.limits}
    assert status["current on what feeds it, fully on"] == "pass"
    assert status["cut-in speed against the lowest it runs at"] == "pass"
    assert {limit.where for limit in review.limits if limit.status == "fail"} == {"salvaged bridge"}
    assert review.ladder[0].component.endswith("(salvaged bridge, not served)")
    assert review.weakest[0].voltage_v > review.transient_v  # a part that is refused gives way to nothing


def test_what_the_demo_is_meant_to_show_is_in_its_files():
    rows = _rows("connections.csv")
    assert {row["kind"] for row in rows} == {
        "cable", "control wire", "phase lead", "joint", "rectifier", "suppressor", "freewheel",
    }  # fmt: skip
    assert any(row["length [m]"].endswith("ft") for row in rows)
    assert any(row["return"] == "single" for row in rows)
    assert any(row["protected by"] for row in rows)
    assert any(row["power [W]"] and row["efficiency [%]"] for row in rows)
    assert any(".." in row["ambient [degC]"] for row in _rows("zones.csv"))


def test_look_at_names_connections_of_the_demo():
    names = {row["connection"] for row in _rows("connections.csv")}
    assert 8 <= len(LOOK_AT) <= 13
    for sentence in LOOK_AT:
        named = [name.strip() for name in sentence.partition(":")[0].split(",")]
        assert named and set(named) <= names, sentence


def test_the_demo_names_nothing_the_program_does_not_use_yet(outcome):
    assert outcome.project.not_used == []


def test_write_demo_may_be_repeated_but_replaces_nothing(tmp_path):
    folder = tmp_path / "boat"
    paths = write_demo(folder)
    assert {path.name for path in paths} == {path.name for path in WORKBOAT.glob("*.csv")}
    assert write_demo(folder) == paths
    assert all(filecmp.cmp(path, WORKBOAT / path.name, shallow=False) for path in paths)
    (folder / "zones.csv").write_text("zone\nmine\n")
    (folder / "nodes.csv").unlink()
    with pytest.raises(UsageError, match=r"zones\.csv"):
        write_demo(folder)
    assert (folder / "zones.csv").read_text() == "zone\nmine\n"
    assert not (folder / "nodes.csv").exists()


def test_write_demo_refuses_a_file_in_place_of_a_folder(tmp_path):
    place = tmp_path / "boat"
    place.write_text("a file")
    with pytest.raises(UsageError):
        write_demo(place)
    assert place.read_text() == "a file"


def test_an_empty_project_has_every_column_and_reads_without_a_problem(tmp_path):
    paths = write_empty(tmp_path / "mine")
    assert {path.name for path in paths} == set(FILES) | {"HINTS.md"}
    project = read_project(tmp_path / "mine")
    for file, (columns, _) in FILES.items():
        assert set(project.frames[file].headers) == {column.name for column in columns}
        assert project.frames[file].data.height == 0
    assert project.notes == []


def test_picking_an_empty_project_says_that_it_has_no_rows(tmp_path):
    write_empty(tmp_path / "mine")
    with pytest.raises(ProjectError, match=r"connections\.csv"):
        pipeline.run(tmp_path / "mine")


def test_an_empty_project_is_never_written_over_a_filled_one(tmp_path):
    folder = tmp_path / "boat"
    write_demo(folder)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    with pytest.raises(UsageError, match="nothing was written"):
        write_empty(folder)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_every_column_has_a_hint_and_every_hint_a_column(tmp_path):
    write_empty(tmp_path)
    text = (tmp_path / "HINTS.md").read_text()
    for file, (columns, _) in FILES.items():
        assert set(HINTS[file]) == {column.title for column in columns}
        for column in columns:
            assert f"- `{column.title}`: " in text


def test_a_hints_example_is_a_cell_its_column_takes(tmp_path):
    """Each example, alone in a row, is read without a complaint about that cell."""
    for file, (columns, key) in FILES.items():
        folder = tmp_path / file.removesuffix(".csv")
        write_empty(folder)
        first = {column.title: HINTS[file][column.title][1] for column in columns}
        with (folder / file).open("w", newline="") as handle:
            writer = csv.DictWriter(handle, fieldnames=list(first))
            writer.writeheader()
            writer.writerow(first)
        project = read_project(folder)
        assert project.frames[file].data.height == 1, key
