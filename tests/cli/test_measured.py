"""``selector size --measured``: what it prints, its JSON, its exit codes, what it refuses."""

import json

import pytest
from typer.testing import CliRunner

from selector.cli import app
from selector.errors import UsageError

KNOWN = "0 A at 36.5 V; 0.1 A at 52 V; 1 A at 52.5 V"


def run(*words):
    return CliRunner().invoke(app, ["size", *words])


def test_the_known_part_is_named_with_what_the_bench_cannot_tell():
    result = run("--measured", KNOWN)
    assert result.exit_code == 0, result.output
    assert "stand-off of 43 to 45 V, clamps at 69.4 to 72.7 V at its peak current" in result.output
    sections = ["It can be", "What the readings show", "The bench cannot tell", "Measure next", "It cannot be", "Take care",
                "Taken because nothing was said"]  # fmt: skip
    assert sorted(sections, key=result.output.index) == sections
    assert max(len(line) for line in result.output.splitlines()) < 150


def test_the_json_has_every_field():
    result = run("--measured", KNOWN, "--json")
    data = json.loads(result.output)
    assert data["likely_stand_off"] == {"low": 43.0, "high": 45.0, "unit": "V"}
    assert data["likely_clamp"] == {"low": 69.4, "high": 72.7, "unit": "V"}
    by_class = {one["class"]: one for one in data["candidates"]}
    part = next(p for p in by_class["1500 W axial"]["parts"] if p["polarity"] == "unipolar")
    assert part == {
        "part": "1500 W axial 43.6 V", "polarity": "unipolar", "stand_off_v": 43.6, "least_breakdown_v": 48.5,
        "greatest_breakdown_v": 53.6, "clamping_v": 70.1, "at_peak_current_a": 21.7, "pulse_power_w": 1500.0,
        "data_status": part["data_status"],
    }  # fmt: skip
    assert {one["what"] for one in data["cannot_tell"]} >= {"pulse power", "peak current"}
    assert data["next_measurement"]["limit"] == {"value": 0.01, "unit": "A"}
    assert all(group["expect"] and group["classes"] for group in data["next_measurement"]["groups"])
    assert {"readings", "bench", "refused", "remarks", "cautions", "defaults"} <= set(data)
    assert all(refused["class"] and refused["readings"] and refused["why"] for refused in data["refused"])


@pytest.mark.parametrize("readings, systems, said", [
    ("0 A at 36.5 V; 0.1 A at 52 V; 1 A at 52.5 V", [12, 24], " 43 V suits up to a 24 V system."),
    ("0 A at 60 V; 0.01 A at 80 V", [12, 24, 48], " V suits up to a 48 V system."),
    ("0 A at 15 V; 0.01 A at 19.5 V", [12], " V suits up to a 12 V system."),
    ("0 A at 10 V; 0.01 A at 14 V", [], " V suits none of them."),
])  # fmt: skip
def test_it_says_what_the_part_is_good_for(readings, systems, said):
    """Charged at 15.5, 31 and 62 V at most, equalising lead-acid batteries of 12, 24 and 48 V: common practice, no source."""
    output = run("--measured", readings).output
    assert said in output
    assert "15.5, 31 and 62 V in 12, 24 and 48 V systems" in output
    assert "so it guards only what stands more than" in output
    data = json.loads(run("--measured", readings, "--json").output)
    assert [own["value"] for own in data["suits_systems"]] == systems
    assert all(own < data["likely_stand_off"]["low"] for own in systems)


def test_nothing_that_fits_ends_with_1():
    result = run("--measured", "reverse 1 A at 0.02 V")
    assert result.exit_code == 1
    assert "Nothing in the tables fits all readings." in result.output


def test_the_meter_and_the_air_can_be_stated():
    result = run(
        "--measured", "0.1 A at 52 V", "--ambient", "86 degF", "--meter-resolution", "100 uA", "--meter-accuracy", "0.5"
    )
    assert result.exit_code == 0
    assert "at 30 degC, up to 10 K warmer; the meter shows 0.1 mA and is right within 0.5 %." in result.output
    assert "meter accuracy" not in result.output.partition("Taken because")[2]


@pytest.mark.parametrize(
    "words, said",
    [
        (["--measured", "0.1 A 27"], "--measured: '0.1 A 27' is not a reading"),
        (["--measured", "0 A at 20 V", "--current", "20", "--stud", "M8"], "leave out --current, --stud"),
        (["--measured", "0 A at 20 V", "--ambient", "20..30"], "--ambient: '20..30' is not one value"),
        (["--measured", "0 A at 20 V", "--meter-resolution", "0"], "--meter-resolution: '0' is not one value"),
        (["--measured", "0 A at 20 V", "--meter-accuracy", "x"], "--meter-accuracy: 'x' is not a number"),
        (["--current", "20", "--length", "3", "--meter-accuracy", "1"], "go with --measured"),
    ],
)
def test_what_is_wrong_is_said_by_option(words, said):
    result = run(*words)
    assert isinstance(result.exception, UsageError)
    assert result.exception.exit_code == 2
    assert said in str(result.exception)


def test_a_meter_that_showed_a_current_shows_it():
    shown = run("--measured", "0.1 mA at 34 V").output
    assert "the meter shows 0.1 mA" in shown and "meter resolution: 0.1 mA (measured)" in shown
    assert "the meter shows 1 mA" in run("--measured", "1 mA at 34 V").output
    refused = run("--measured", "0.1 mA at 34 V", "--meter-resolution", "1 mA")
    assert isinstance(refused.exception, UsageError)
    assert "is less than the meter was said to show, 1 mA" in str(refused.exception)
