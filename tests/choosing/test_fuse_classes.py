"""Which class of fuse a row gets, and what is said of one far over its load; cranking leads; wires to be bent.

The order of classes (blade, cartridge, bolt-down, post, high-capacity) is common practice, no source. Breaking capacities and
ratings are those of fuses.csv, from memory.
"""

import pytest

from selector.errors import DefinitionError
from tests.choosing.projects import check, part, pick

BOAT = {
    "connections.csv": [
        {"connection": "plotter", "kind": "cable", "from": "bank", "to": "plotter", "current [A]": "3", "length [m]": "6"},
        {"connection": "bilge pump", "kind": "cable", "from": "bank", "to": "pump", "current [A]": "6", "length [m]": "7"},
    ],
    "nodes.csv": [
        {"node": "bank", "system": "12 V", "role": "supply", "stud": "M8", "load type": ""},
        {"node": "plotter", "system": "12 V", "role": "load", "stud": "M4", "load type": ""},
        {"node": "pump", "system": "12 V", "role": "load", "stud": "M5", "load type": "motor"},
    ],
    "supplies.csv": [{"node": "bank", "type": "battery", "chemistry": "agm", "capacity [Ah]": "120", "short-circuit current [A]": "3000..4800"}],
    "systems.csv": [{"system": "12 V", "nominal [V]": "12", "highest [V]": "14.4", "lowest [V]": "10.8"}],
}  # fmt: skip
SMALL_CRAFT = {"setting": "rule set", "value": "us-small-craft"}


def boat(*settings, connections=None, short=None):
    files = {**BOAT, "settings.csv": [SMALL_CRAFT, *({"setting": name, "value": value} for name, value in settings)]}
    if connections is not None:
        files["connections.csv"] = connections
    if short is not None:
        files["supplies.csv"] = [{**BOAT["supplies.csv"][0], "short-circuit current [A]": short}]
    return files


def rating(connection):
    return check(connection, "continuous_load")["limit"]


def defaults(data, connection):
    return {d["what"]: d["value"] for d in data["defaults"] if d["connection"] == connection}


def findings(data, code):
    return [f for f in data["findings"] if f["code"] == code]


def test_a_class_that_begins_far_above_the_load_is_passed_over(tmp_path):
    """Blades break 1 kA, strips begin at 35 A: a cartridge of 4 A is nearer a plotter of 3 A."""
    data = pick(tmp_path, boat())
    assert part(data["by_name"]["plotter"], "protection") == "gG 10x38 4 A"
    assert part(data["by_name"]["bilge pump"], "protection") == "gG 10x38 10 A"
    assert not findings(data, "P15")


def test_the_order_of_classes_is_a_listed_default_until_it_is_stated(tmp_path):
    silent = pick(tmp_path / "silent", boat())
    told = pick(tmp_path / "told", boat(("fuse classes", "blade, cartridge, bolt-down"), ("near rating", "3")))
    assert defaults(silent, "plotter")["fuse classes"] == "blade, cartridge, bolt-down, post, high-capacity"
    assert defaults(silent, "plotter")["near rating"] == 2
    assert not {"fuse classes", "near rating"} & set(defaults(told, "plotter"))


def test_a_named_device_is_not_listed_as_picked_by_the_order(tmp_path):
    rows = [{**BOAT["connections.csv"][0], "protection": "gG 10x38 6 A"}, BOAT["connections.csv"][1]]
    data = pick(tmp_path, boat(connections=rows))
    assert "fuse classes" not in defaults(data, "plotter") and "fuse classes" in defaults(data, "bilge pump")


def test_the_builders_order_holds_among_near_ratings(tmp_path):
    """At a fault of 900 A a blade does, and comes first; the builder's own order turns that round."""
    usual = pick(tmp_path / "usual", boat(short="900"))
    own = pick(tmp_path / "own", boat(("fuse classes", "cartridge, blade"), short="900"))
    assert part(usual["by_name"]["plotter"], "protection").startswith("blade")
    assert part(own["by_name"]["plotter"], "protection").startswith("gG 10x38")


def test_near_is_a_setting(tmp_path):
    """Near up to 20 times: the strip of 35 A comes before the post fuse, as the classes stand."""
    classes = ("fuse classes", "bolt-down, cartridge")
    assert part(pick(tmp_path / "2", boat(classes))["by_name"]["plotter"], "protection") == "gG 10x38 4 A"
    wide = pick(tmp_path / "20", boat(classes, ("near rating", "20")))
    assert part(wide["by_name"]["plotter"], "protection") == "long-slot strip 35 A"


def test_small_ratings_count_as_near_each_other(tmp_path):
    """A glass fuse of 1 A is less than half of the smallest blade: both are small, and the blade is of the usual order."""
    rows = [{**BOAT["connections.csv"][0], "current [A]": "0.6"}]
    data = pick(tmp_path, boat(connections=rows, short="30"))
    assert part(data["by_name"]["plotter"], "protection") == "blade small 2 A"


def test_a_far_rating_is_taken_where_nothing_nearer_serves_and_said(tmp_path):
    """Blades and posts only: a 30 A post fuse for 3 A serves and is a finding; three times 3 A x 1.25 is 11.25 A."""
    data = pick(tmp_path, boat(("fuse classes", "blade, post")))
    assert part(data["by_name"]["plotter"], "protection") == "single-bolt post 30 A 32 V"
    assert data["by_name"]["plotter"]["status"] == "served"
    found = findings(data, "P15")
    assert {tuple(f["connections"]) for f in found} == {("plotter",), ("bilge pump",)}
    assert "jammed motor" in found[0]["cure"] and "fuse classes" in found[0]["cure"]
    over = check(data["by_name"]["plotter"], "rating_over_load")
    assert over["severity"] == "should" and over["actual"] == 30 and over["limit"] == pytest.approx(11.25, rel=0.02)


def test_a_peak_counts_as_what_the_load_asks(tmp_path):
    rows = [{**BOAT["connections.csv"][1], "peak current [A]": "25", "peak time [s]": "1"}]
    data = pick(tmp_path, boat(("fuse classes", "post"), connections=rows))
    assert check(data["by_name"]["bilge pump"], "rating_over_load")["limit"] == pytest.approx(75)
    assert not findings(data, "P15")


def test_a_sense_lead_whose_usual_fuse_breaks_no_such_fault_is_told_so(tmp_path):
    """No fuse of 1 to 3 A in the tables breaks 18 kA: the cure does not send anybody to look for one."""
    rows = [
        {
            "connection": "sense",
            "kind": "control wire",
            "purpose": "sense",
            "from": "bank",
            "to": "plotter",
            "length [m]": "5",
        }
    ]
    high = pick(tmp_path / "high", boat(connections=rows, short="18000"))
    low = pick(tmp_path / "low", boat(("fuse classes", "post"), connections=rows, short="900"))
    (told,) = findings(high, "C30")
    assert "No fuse of 1 to 3 A among those considered breaks 18000 A" in told["cure"]
    assert not findings(high, "P15")
    assert "No fuse of 1 to 3 A" in findings(low, "C30")[0]["cure"]
    assert not findings(pick(tmp_path / "usual", boat(connections=rows, short="900")), "C30")


CRANK = {"connection": "starter", "kind": "cable", "from": "bank", "to": "pump", "current [A]": "0", "length [m]": "1.5",
         "peak current [A]": "350", "peak time [s]": "5", "cranking": "yes"}  # fmt: skip


def test_a_cranking_lead_gets_no_device_unless_asked(tmp_path):
    """33 CFR 183.455(e) exempts the conductors of cranking motors; ABYC E-11 asks for no device there."""
    data = pick(tmp_path, boat(connections=[CRANK]))
    starter = data["by_name"]["starter"]
    assert starter["status"] == "served" and part(starter, "protection") is None
    assert defaults(data, "starter")["cranking protection"] == "none"
    assert check(starter, "protected")["status"] == "pass"


@pytest.mark.parametrize(
    "cells, settings",
    [
        ({"protection": "strip large 500 A"}, ()),
        ({"protection at": "from"}, ()),
        ({}, (("cranking protection", "picked"),)),
    ],
)
def test_a_cranking_lead_gets_the_device_that_is_asked_for(tmp_path, cells, settings):
    data = pick(tmp_path, boat(*settings, connections=[{**CRANK, **cells}], short="1800"))
    assert part(data["by_name"]["starter"], "protection") is not None
    assert "cranking protection" not in defaults(data, "starter")


def test_a_cranking_lead_and_its_return_are_exempt_whatever_the_fault(tmp_path):
    """The return of a cranking lead is of the exempt circuit, though its own row does not say cranking."""
    nodes = [*BOAT["nodes.csv"], {"node": "minus", "system": "12 V", "role": "ground", "stud": "M8", "load type": ""}]
    back = {
        "connection": "back",
        "kind": "cable",
        "from": "pump",
        "to": "minus",
        "length [m]": "0.5",
    }
    files = {**boat(connections=[{**CRANK, "return": "single"}, back]), "nodes.csv": nodes}
    data = pick(tmp_path / "known", files)
    assert {c["status"] for c in data["connections"]} == {"served"}
    assert check(data["by_name"]["back"], "protected")["status"] == "pass"
    unknown = [{"node": "bank", "type": "battery"}]
    data = pick(tmp_path / "unknown", {**files, "supplies.csv": unknown})
    assert check(data["by_name"]["starter"], "protected")["status"] == "pass"
    bare = {**files, "connections.csv": [{**CRANK, "return": "single", "cranking": "no", "protection": "none"}, back]}
    assert check(pick(tmp_path / "bare", bare)["by_name"]["back"], "protected")["status"] == "fail"


def test_without_a_rule_that_says_so_it_is_still_listed(tmp_path):
    data = pick(tmp_path, {**boat(connections=[CRANK]), "settings.csv": [{"setting": "rule set", "value": "general"}]})
    assert defaults(data, "starter")["cranking protection"] == "none"


def metric(vibrates, length="3.66", **cells):
    row = {
        "connection": "plotter",
        "kind": "cable",
        "from": "bank",
        "to": "plotter",
        "zone": "z",
        "current [A]": "40",
        "length [m]": length,
    }
    zones = [{"zone": "z", "ambient [degC]": "30", "vibrates": vibrates}]
    nodes = [{**node, "stud": "M8"} for node in BOAT["nodes.csv"]]
    rules = [{"setting": "rule set", "value": "general"}]
    return {
        **BOAT,
        "connections.csv": [{**row, **cells}],
        "zones.csv": zones,
        "settings.csv": rules,
        "nodes.csv": nodes,
    }


def wire_of(folder, files):
    return part(pick(folder, files)["by_name"]["plotter"], "conductor")


def test_where_it_vibrates_a_wire_to_be_bent_comes_first_of_its_size(tmp_path):
    """IEC 60228: class 2 is for fixed installation, class 5 is flexible."""
    assert wire_of(tmp_path / "still", metric("no")) == "25 mm2 class 2 plain XLPE 90"
    for word in ("yes", ""):  # a zone that says nothing vibrates
        assert wire_of(tmp_path / f"moving {word}", metric(word)).startswith("25 mm2 class 5")


def test_class_2_where_it_vibrates_is_avoided_by_one_size(tmp_path):
    """16 mm2 has 1.15 ohm/km in class 2 and 1.21 in class 5 (IEC 60228): over 3.6 m only class 2 keeps the drop."""
    assert wire_of(tmp_path / "still", metric("no", "3.6")) == "16 mm2 class 2 plain XLPE 90"
    assert wire_of(tmp_path / "moving", metric("yes", "3.6")).startswith("25 mm2 class 5")


def test_class_2_of_the_builders_own_is_a_finding_where_it_vibrates(tmp_path):
    data = pick(tmp_path, metric("yes", conductor="25 mm2 class 2 plain XLPE 90"))
    (told,) = findings(data, "C20")
    assert "class 5" in told["cure"] and "fixed installation" in told["text"]
    assert data["by_name"]["plotter"]["status"] == "served"


def test_the_step_that_rests_on_a_place_stands_first(tmp_path):
    row = {"preference": "fuses 1", "family": "fuses", "step": "9", "column": "far above least rating", "direction": "words in order",
           "words in order": "no / yes", "when": "", "source": "common-practice", "status": "measured", "note": ""}  # fmt: skip
    with pytest.raises(DefinitionError, match="is not the first step of fuses"):
        pick(tmp_path, {**boat(), "tables/preference.csv": [row]})
