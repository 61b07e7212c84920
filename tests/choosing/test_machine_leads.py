"""Phase leads behind an alternator, shunts and bars: what they are judged by, and what nobody said."""

import math

import pytest

from selector import pipeline
from selector.errors import ProjectError
from selector.report.text import explain_text
from tests.choosing.projects import check, part, pick

ALTERNATOR = {"node": "alternator", "type": "alternator", "rated current [A]": "220", "poles": "12",
              "speed range [rpm]": "1500..6000", "winding": "star"}  # fmt: skip
BANK = {
    "node": "bank",
    "type": "battery",
    "chemistry": "agm",
    "capacity [Ah]": "400",
    "short-circuit current [A]": "6000",
}


def project(lead=None, alternator=None, nodes=(), rows=(), case="110"):
    """A workboat's 24 V bank charged through a bridge that stands apart."""
    return {
        "connections.csv": [
            {"connection": "leads", "kind": "phase lead", "from": "alternator", "to": "bridge", "length [m]": "0.8",
             "zone": "engine", **(lead or {})},
            {"connection": "bridge", "kind": "rectifier", "from": "alternator", "to": "charge post", "zone": "engine"},
            {"connection": "out", "kind": "cable", "from": "charge post", "to": "bank", "length [m]": "2", "zone": "engine"},
            *rows,
        ],
        "nodes.csv": [
            {"node": "alternator", "system": "24 V", "role": "supply", "stud": "M8", "hottest [degC]": case},
            {"node": "bridge", "system": "24 V", "role": "device", "stud": "M8", "hottest [degC]": "90"},
            {"node": "charge post", "system": "24 V", "role": "bus", "stud": "M10"},
            {"node": "bank", "system": "24 V", "role": "supply", "stud": "M10"},
            *nodes,
        ],
        "supplies.csv": [{**ALTERNATOR, **(alternator or {})}, BANK],
        "systems.csv": [{"system": "24 V", "nominal [V]": "24", "highest [V]": "29.4", "lowest [V]": "22"}],
        "zones.csv": [{"zone": "engine", "ambient [degC]": "50", "engine space": "yes"}],
    }  # fmt: skip


def lead_of(folder, **changes):
    return pick(folder, project(**changes))["by_name"]["leads"]


def test_the_line_carries_the_stiff_ratio_of_the_dc_current(tmp_path):
    """sqrt(2/3) of 220 A: power-electronics textbooks, six-pulse bridge on a stiff source (key rectifier-textbook)."""
    lead = lead_of(tmp_path)
    assert lead["results"]["line_rms"] == pytest.approx(220 * math.sqrt(2 / 3))
    assert lead["currents"]["continuous"] == pytest.approx(179.6, abs=0.05)


def test_a_reactance_limited_machine_by_its_own_ratio(tmp_path):
    """pi/(3 sqrt 2) = 0.7405 (key electrical-machines-textbook): 163 A for 220 A."""
    lead = lead_of(tmp_path, alternator={"source model": "reactance-limited"})
    assert lead["results"]["line_rms"] == pytest.approx(162.9, abs=0.05)


def test_the_ratio_can_be_set(tmp_path):
    assert lead_of(tmp_path, alternator={"source model": "0.881"})["results"]["line_rms"] == pytest.approx(0.881 * 220)


# Over the dc current of 220 A, three phases: a third in each diode's mean, line rms over root 2, peak 1 (stiff) or pi/3
# (reactance), ripple 4.2 % rms (key rectifier-textbook). A bare ratio does not say the shape, so no peak.
@pytest.mark.parametrize("model, line, peak", [
    ("stiff", math.sqrt(2 / 3), 1.0), ("reactance-limited", math.pi / (3 * math.sqrt(2)), math.pi / 3), ("0.85", 0.85, None),
])  # fmt: skip
def test_leads_and_rectifier_say_the_same_of_diodes_and_ripple(tmp_path, model, line, peak):
    files = project(alternator={"source model": model})
    data = pick(tmp_path, files)["by_name"]
    outcome = pipeline.run(tmp_path)
    for name in ("leads", "bridge"):
        results = data[name]["results"]
        assert results["diode_average"] == pytest.approx(220 / 3)
        assert results["diode_rms"] == pytest.approx(220 * line / math.sqrt(2))
        assert results["diode_peak"] == (None if peak is None else pytest.approx(220 * peak))
        assert results["ripple_rms"] == pytest.approx(220 * 0.042, rel=2e-3)
        told = explain_text(outcome, next(one for one in outcome.chosen if outcome.places.names[one.place] == name))
        assert "each diode carries: 73.33 A mean" in told and "ripple that goes into the battery: 9.2" in told
        assert ("peak not known" in told) == (peak is None)


@pytest.mark.parametrize("words", ["soft", "0.1", "2.5"])
def test_a_ratio_that_is_none_is_refused(tmp_path, words):
    with pytest.raises(ProjectError) as error:
        pick(tmp_path, project(alternator={"source model": words}))
    assert "is no model of a source" in str(error.value.problems[0]) and error.value.problems[0].file == "supplies.csv"


@pytest.mark.parametrize("model, least", [("stiff", 179.6), ("reactance-limited", 162.9)])
def test_an_estimate_below_the_physical_current_is_told_so_and_not_sized_by(tmp_path, model, least):
    data = pick(tmp_path, project(lead={"current [A]": "135"}, alternator={"source model": model}))
    lead = data["by_name"]["leads"]
    told = check(lead, "stated_line_current")
    assert told["status"] == "fail" and told["actual"] == 135 and told["limit"] == pytest.approx(least, abs=0.05)
    assert lead["currents"]["continuous"] == pytest.approx(least, abs=0.05)
    assert any(f["code"] == "C26" for f in data["findings"])


def test_a_stated_current_above_it_is_taken(tmp_path):
    lead = lead_of(tmp_path, lead={"current [A]": "200"})
    assert check(lead, "ampacity_balance")["actual"] == 200 and check(lead, "stated_line_current")["status"] == "pass"


def test_three_leads_three_lugs_at_each_end(tmp_path):
    data = pick(tmp_path, project())
    lead = data["by_name"]["leads"]
    picks = {p["role"]: p["quantity"] for p in lead["picks"]}
    assert picks["conductor"] == pytest.approx(3 * (0.8 + 0.1))
    assert picks["lug from"] == picks["lug to"] == picks["sleeve from"] == picks["sleeve to"] == 3
    row = next(r for r in data["parts"] if r["part"] == part(lead, "conductor"))
    assert row["pieces"][:3] == pytest.approx([0.9] * 3)


def test_a_single_phase_machine_has_two(tmp_path):
    lead = lead_of(tmp_path, alternator={"phases": "1"})
    assert next(p["quantity"] for p in lead["picks"] if p["role"] == "lug from") == 2
    assert lead["results"]["line_rms"] == pytest.approx(220)


def test_no_device_is_asked_for_in_a_phase_lead(tmp_path):
    codes = {c["code"] for c in lead_of(tmp_path)["checks"]}
    assert "C25" not in codes and not any(code.startswith("P") for code in codes)


def test_a_faster_machine_never_warms_its_leads_less(tmp_path):
    """Skin effect: IEC 60287-1-1, harmonics of a 120-degree block; twelve poles at 6000 and 18000 rpm."""
    wire = {"conductor": "70 mm2 class 5 tinned silicone 180"}
    slow = lead_of(tmp_path / "slow", lead=wire)["results"]
    fast = lead_of(tmp_path / "fast", lead=wire, alternator={"speed range [rpm]": "1500..18000"})["results"]
    assert fast["frequency_high"] == 3 * slow["frequency_high"] == 1800
    assert fast["conductor_temperature"] > slow["conductor_temperature"]
    assert fast["ampacity_balance"] < slow["ampacity_balance"]


def test_delta_halves_nothing_but_the_winding_by_root_three(tmp_path):
    """Line over winding current in delta is the root of three (key electrical-machines-textbook)."""
    star = lead_of(tmp_path / "star")["results"]
    delta = lead_of(tmp_path / "delta", alternator={"winding": "delta"})["results"]
    assert star["winding_rms"] == star["line_rms"] == delta["line_rms"]
    assert delta["winding_rms"] == pytest.approx(delta["line_rms"] / math.sqrt(3))


def test_a_case_nobody_measured_is_taken_at_its_hottest_and_said(tmp_path):
    data = pick(tmp_path, project(case=""))
    assert any(d["what"] == "hottest, alternator stud" and d["value"] == 150 for d in data["defaults"])
    assert check(data["by_name"]["leads"], "terminal_heat")["actual"] == pytest.approx(150)


def test_a_machine_without_a_rating_is_asked_for_it(tmp_path):
    data = pick(tmp_path, project(alternator={"rated current [A]": ""}))
    lead = data["by_name"]["leads"]
    assert lead["status"] == "incomplete"
    assert any("rated current" in question for question in lead["questions"])


def test_a_phase_lead_begins_at_an_alternator(tmp_path):
    with pytest.raises(ProjectError, match="no alternator stands at either end"):
        pick(tmp_path, project(lead={"from": "bank"}))


def test_the_dc_cable_of_a_bridge_carries_what_the_machine_gives(tmp_path):
    out = pick(tmp_path, project())["by_name"]["out"]
    assert out["currents"]["continuous"] == 220 and check(out, "voltage_drop")["limit"] == pytest.approx(0.24)


NEGATIVES = [{"node": "bus neg", "system": "24 V", "role": "ground", "stud": "M10"},
             {"node": "bank neg", "system": "24 V", "role": "ground", "stud": "M10"}]  # fmt: skip


def bars(folder, *rows, **options):
    return pick(folder, project(rows=rows, nodes=[*NEGATIVES, *LOADS]), **options)


LOADS = [{"node": "bus", "system": "24 V", "role": "bus", "stud": "M8"},
         {"node": "pump", "system": "24 V", "role": "load", "stud": "M6"},
         {"node": "winch", "system": "24 V", "role": "load", "stud": "M8"}]  # fmt: skip
FED = (
    {"connection": "feed", "kind": "cable", "from": "bank", "to": "bus", "length [m]": "2"},
    {"connection": "pump", "kind": "cable", "from": "bus", "to": "pump", "length [m]": "3", "current [A]": "20"},
    {"connection": "winch", "kind": "cable", "from": "bus", "to": "winch", "length [m]": "3", "current [A]": "90"},
)  # fmt: skip


def test_a_shunt_carries_two_thirds_of_its_rating_for_good(tmp_path):
    """Two thirds: the rule of trade notes (key trade-note-shunts); 10 mV on 100 A/50 mV is 20 A (trade-faq-shunt-margin)."""
    shunt = {"connection": "meter", "kind": "shunt", "from": "bank neg", "to": "bus neg", "current [A]": "110"}
    meter = bars(tmp_path, shunt)["by_name"]["meter"]
    assert part(meter, "shunt") == "200 A 50 mV shunt"  # 150 A carries 100 A
    assert check(meter, "shunt_current")["limit"] == pytest.approx(133.3, abs=0.1)
    assert meter["results"]["shunt_reading"] == pytest.approx(0.05 * 110 / 200)
    fixed = {**shunt, "current [A]": "20", "shunt": "100 A 50 mV shunt"}
    assert bars(tmp_path / "fixed", fixed)["by_name"]["meter"]["results"]["shunt_reading"] == pytest.approx(0.010)


def test_a_shunt_gets_no_hotter_than_its_blade_may(tmp_path):
    """Blade stable to 80 degC (key trade-note-shunts); 50 K at the rating is common practice, no source."""
    shunt = {
        "connection": "meter",
        "kind": "shunt",
        "from": "bank neg",
        "to": "bus neg",
        "current [A]": "110",
        "zone": "engine",
    }
    hot = check(bars(tmp_path, shunt)["by_name"]["meter"], "shunt_temperature")
    assert hot["actual"] == pytest.approx(50 + 50 * (110 / 200) ** 2) and hot["limit"] == 80


def test_a_bar_carries_the_sum_of_what_leaves_it(tmp_path):
    bar = {"connection": "bar", "kind": "bus", "from": "bus"}
    found = bars(tmp_path, *FED, bar)["by_name"]["bar"]
    assert found["currents"]["continuous"] == 110
    studs = next(p for p in found["picks"] if p["role"] == "stud set")
    assert (studs["part"], studs["size"], studs["quantity"], studs["unit"]) == ("M8", "M8 stud", 3, "piece")


def test_a_phase_lead_of_unknown_length_is_incomplete(tmp_path):
    lead = lead_of(tmp_path, lead={"length [m]": ""})
    assert lead["status"] == "incomplete" and any("long" in question for question in lead["questions"])


def test_a_bar_by_the_table_in_its_own_air(tmp_path):
    """DIN 43671: 12 x 2 mm bare copper bar, dc, 108 A at 35 degC air and 65 degC bar (key din-43671)."""
    bar = {"connection": "bar", "kind": "bus", "from": "bus", "zone": "locker", "busbar": "12 x 2 mm copper bar bare dc",
           "current [A]": "108"}  # fmt: skip
    files = project(rows=(*FED, bar), nodes=[*NEGATIVES, *LOADS])
    files["zones.csv"] = [*files["zones.csv"], {"zone": "locker", "ambient [degC]": "35"}]
    files["nodes.csv"] = [
        row | ({"terminal limit [degC]": "65"} if row["node"] == "bus" else {}) for row in files["nodes.csv"]
    ]
    found = check(pick(tmp_path, files)["by_name"]["bar"], "bar_current")
    assert found["limit"] == pytest.approx(108) and found["status"] == "pass"


def test_a_bar_is_twice_as_wide_as_its_stud(tmp_path):
    """A hole takes no more than half of the bar: common practice, no source."""
    nodes = [{**row, "stud": "M10"} if row["node"] == "bus" else row for row in LOADS]
    rows = (*FED, {"connection": "bar", "kind": "bus", "from": "bus"})
    bar = pick(tmp_path, project(rows=rows, nodes=[*NEGATIVES, *nodes]))["by_name"]["bar"]
    assert check(bar, "bar_width")["actual"] >= 20 and part(bar, "busbar") == "20 x 2 mm copper bar bare dc"


def test_a_bar_at_a_node_whose_stud_nobody_named_is_incomplete(tmp_path):
    nodes = [{**row, "stud": ""} if row["node"] == "bus" else row for row in LOADS]
    data = pick(
        tmp_path, project(rows=(*FED, {"connection": "bar", "kind": "bus", "from": "bus"}), nodes=[*NEGATIVES, *nodes])
    )
    bar = data["by_name"]["bar"]
    assert bar["status"] == "incomplete" and any("stud" in question.casefold() for question in bar["questions"])


def test_a_stud_nobody_measured_makes_a_lead_incomplete_not_unserved(tmp_path):
    """Tin plating ends at 149 degC (key trade-faq-lug-temperature), an alternator's stud at 150 (typicals.csv)."""
    wire = {"conductor": "16 mm2 class 5 tinned XLPE 150"}
    files = project(lead=wire, alternator={"rated current [A]": "90"}, case="")
    lead = pick(tmp_path / "a", files)["by_name"]["leads"]
    assert lead["status"] == "incomplete"
    assert any("hottest [degC]" in question for question in lead["questions"])
    files["nodes.csv"][0]["hottest [degC]"] = "150"
    assert pick(tmp_path / "b", files)["by_name"]["leads"]["status"] == "unserved"
    files["nodes.csv"][0]["hottest [degC]"] = "130"
    assert pick(tmp_path / "c", files)["by_name"]["leads"]["status"] == "served"
