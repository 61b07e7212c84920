"""The choice on small projects: chains, fixed parts, ranges, devices of other rows, near misses, edges, acceptances."""

import json
import math

import pytest

from selector.errors import ProjectError
from selector.report.result import to_json
from tests.choosing.projects import BASE, HEADERS, changed, check, part, pick, with_rows, write


def test_every_must_passes_on_what_is_served(tmp_path):
    data = pick(tmp_path, BASE)
    assert data["summary"] == {"served": 3, "unserved": 0, "incomplete": 0}
    for connection in data["connections"]:
        assert all(c["status"] == "pass" for c in connection["checks"] if c["severity"] == "must")
        assert {p["role"] for p in connection["picks"]} == {
            "protection", "conductor", "lug from", "lug to", "sleeve from", "sleeve to"
        }  # fmt: skip


def test_a_current_nobody_states_is_the_sum_of_what_is_fed(tmp_path):
    assert pick(tmp_path, BASE)["by_name"]["battery"]["currents"]["continuous"] == 65.0


def test_quantities_count_both_legs_and_the_cut_allowance(tmp_path):
    picks = {p["role"]: p for p in pick(tmp_path, BASE)["by_name"]["windlass"]["picks"]}
    assert picks["conductor"]["quantity"] == pytest.approx(2 * (8 + 0.1))
    assert picks["lug to"]["quantity"] == 2 and picks["protection"]["quantity"] == 1


def test_parts_are_the_sum_of_the_picks(tmp_path):
    data = pick(tmp_path, BASE)
    total = {}
    for connection in data["connections"]:
        for p in connection["picks"]:
            total[p["part"]] = total.get(p["part"], 0) + p["quantity"]
    assert {row["part"]: row["quantity"] for row in data["parts"]} == pytest.approx(total)
    for row in data["parts"]:
        if row["unit"] == "m":
            assert sum(row["pieces"]) == pytest.approx(row["quantity"])


def test_a_fixed_part_is_judged_not_replaced(tmp_path):
    data = pick(tmp_path, changed("windlass", conductor="10 mm2 class 5 tinned EPDM 90"))
    windlass = data["by_name"]["windlass"]
    assert windlass["status"] == "unserved"
    assert part(windlass, "conductor") == "10 mm2 class 5 tinned EPDM 90"
    assert check(windlass, "voltage_drop")["status"] == "fail"


def test_words_that_name_one_part_are_enough_and_more_are_refused(tmp_path):
    data = pick(tmp_path / "one", changed("lights", conductor="4mm² class 5 plain pvc 90"))
    assert part(data["by_name"]["lights"], "conductor") == "4 mm2 class 5 plain PVC 90"
    with pytest.raises(ProjectError, match=r"names .* parts"):
        pick(tmp_path / "many", changed("lights", conductor="4 mm2"))


def test_none_leaves_a_role_out(tmp_path):
    lights = pick(tmp_path, changed("lights", lug_to="none"))["by_name"]["lights"]
    assert part(lights, "lug to") is None and part(lights, "sleeve to") is None
    assert part(lights, "lug from") is not None


def test_without_any_device_the_wire_is_unprotected(tmp_path):
    battery = pick(tmp_path, changed("battery", protection="none"))["by_name"]["battery"]
    assert battery["status"] == "unserved"
    assert check(battery, "protected")["status"] == "fail"


def test_a_row_without_device_is_judged_against_the_one_upstream(tmp_path):
    lights = pick(tmp_path / "far", changed("lights", protection="none"))["by_name"]["lights"]
    own = pick(tmp_path / "own", BASE)["by_name"]
    device = part(own["battery"], "protection")
    assert part(lights, "protection") is None
    judged = check(lights, "protects_wire_balance")
    assert judged["part"] == device and judged["status"] == "pass"
    assert judged["actual"] == 100.0


def test_protected_by_names_the_device(tmp_path):
    lights = pick(tmp_path, changed("lights", protected_by="windlass"))["by_name"]["lights"]
    assert check(lights, "protects_wire_balance")["part"].endswith("100 A")


def test_an_unknown_leads_to_incomplete_with_a_question(tmp_path):
    nodes = [dict(row) for row in BASE["nodes.csv"]]
    nodes[3]["stud"] = ""
    lights = pick(tmp_path, with_rows(nodes=nodes))["by_name"]["lights"]
    assert lights["status"] == "incomplete"
    assert any("stud" in question for question in lights["questions"])
    assert check(lights, "hole_clears_stud", "lug to")["status"] == "unknown"


def test_a_range_must_hold_at_both_ends(tmp_path):
    zones = [dict(row) for row in BASE["zones.csv"]]
    zones[0]["ambient [degC]"] = "20..60"
    ranged = pick(tmp_path / "range", with_rows(zones=zones))["by_name"]["windlass"]
    zones[0]["ambient [degC]"] = "60"
    hot = pick(tmp_path / "hot", with_rows(zones=zones))["by_name"]["windlass"]
    assert [p["part"] for p in ranged["picks"]] == [p["part"] for p in hot["picks"]]
    for name in ("ampacity_balance", "voltage_drop", "continuous_load"):
        assert check(ranged, name)["margin"] == pytest.approx(check(hot, name)["margin"])


def test_a_short_circuit_range_counts_high_for_breaking_and_low_for_clearing(tmp_path):
    supplies = [{**BASE["supplies.csv"][0], "short-circuit current [A]": "300..1800"}]
    lights = pick(tmp_path, with_rows(supplies=supplies))["by_name"]["lights"]
    assert check(lights, "breaking_capacity")["limit"] == 1800.0
    low = pick(tmp_path / "low", with_rows(supplies=[{**supplies[0], "short-circuit current [A]": "300"}]))["by_name"][
        "lights"
    ]
    if part(low, "protection") == part(lights, "protection"):
        assert check(lights, "fault_cleared")["actual"] == check(low, "fault_cleared")["actual"]


def test_near_misses_fail_and_the_worst_of_them_governs(tmp_path):
    windlass = pick(tmp_path, BASE)["by_name"]["windlass"]
    miss = next(m for m in windlass["near_misses"] if m["role"] == "conductor")
    assert miss["size"] == "50 mm2"
    assert {f["code"] for f in miss["fails"]} == {"C07"}
    assert windlass["governing"] == "C07"
    worse = pick(tmp_path / "forced", changed("windlass", conductor=miss["part"]))["by_name"]["windlass"]
    assert worse["status"] == "unserved"


def as_picked(folder):
    """The base project with its parts fixed as they were picked and every current stated: no other row moves."""
    data = pick(folder, BASE)
    rows = []
    for row in BASE["connections.csv"]:
        one = data["by_name"][row["connection"]]
        parts = {
            p["role"]: p["part"] for p in one["picks"] if p["role"] in ("protection", "conductor", "lug from", "lug to")
        }
        stated = {"current [A]": repr(one["currents"]["continuous"]), **row, **parts}
        rows.append(stated if row.get("current [A]") else stated | {"peak current [A]": "", "peak time [s]": ""})
    return with_rows(connections=rows)


def in_cell(files, connection, header, text):
    rows = [{**row, header: text} if row["connection"] == connection else row for row in files["connections.csv"]]
    return {**files, "connections.csv": rows}


@pytest.mark.parametrize("what, cell", [("current", "current"), ("length", "length")])
def test_what_holds_until_fails_beyond(tmp_path, what, cell):
    """Just inside the edge the same parts are served; just outside they are not."""
    first = as_picked(tmp_path / "first")
    edge = next(h for h in pick(tmp_path / "again", first)["by_name"]["windlass"]["holds_until"] if h["what"] == what)
    inside, outside = (
        pick(tmp_path / str(share), in_cell(first, "windlass", HEADERS[cell], repr(edge["value"] * share)))["by_name"][
            "windlass"
        ]
        for share in (1 - 1e-6, 1 + 1e-6)
    )
    assert inside["status"] == "served"
    assert outside["status"] == "unserved"
    assert next(c for c in outside["checks"] if c["code"] == edge["code"])["status"] == "fail"


def test_holds_until_ambient(tmp_path):
    first = as_picked(tmp_path / "first")
    edges = pick(tmp_path / "again", first)["by_name"]["windlass"]["holds_until"]
    edge = next(h for h in edges if h["what"] == "ambient")
    for shift, status in ((-1e-4, "served"), (1e-4, "unserved")):
        zones = [{**BASE["zones.csv"][0], "ambient [degC]": repr(edge["value"] + shift)}, BASE["zones.csv"][1]]
        files = {**first, "zones.csv": zones}
        assert pick(tmp_path / str(shift), files)["by_name"]["windlass"]["status"] == status


def test_spare_asks_for_room(tmp_path):
    settings = [{"setting": "spare", "value": "25 %"}]
    windlass = pick(tmp_path, with_rows(settings=settings))["by_name"]["windlass"]
    assert check(windlass, "voltage_drop")["margin"] >= 0.25
    assert check(windlass, "voltage_drop")["spare"] == 0.25
    assert check(windlass, "smallest_size")["spare"] == 0


def test_settings_restrict_what_is_bought(tmp_path):
    settings = [{"setting": "insulations", "value": "silicone 180"}, {"setting": "size systems", "value": "mm2"}]
    data = pick(tmp_path, with_rows(settings=settings))
    assert all("silicone 180" in part(c, "conductor") for c in data["connections"] if c["status"] == "served")


def test_findings_are_accepted_and_stale_ones_named(tmp_path):
    zones = [{**BASE["zones.csv"][0], "ambient [degC]": "66"}, BASE["zones.csv"][1]]
    files = with_rows(zones=zones)
    plain = pick(tmp_path / "plain", files)
    finding = next(f for f in plain["findings"] if f["connections"] == ["windlass"])
    assert finding["severity"] == "should" and not finding["accepted"]
    accepted = [
        {"connection": "windlass", "code": finding["code"], "reason": "the holder stands in the cabin"},
        {"connection": "lights", "code": "P13", "reason": "was hot once"},
        {"connection": "lights", "code": "C07", "reason": "a must"},
    ]
    data = pick(tmp_path / "accepted", {**files, "accepted.csv": accepted})
    by_text = {f["code"]: f for f in data["findings"] if f["connections"] == ["windlass"]}
    assert (
        by_text[finding["code"]]["accepted"] and by_text[finding["code"]]["reason"] == "the holder stands in the cabin"
    )
    texts = " ".join(f["text"] for f in data["findings"] if f["code"] == "A01")
    assert "stale" in texts and "cannot be accepted away" in texts


def test_own_rows_lie_over_the_shipped_ones(tmp_path):
    own = [{"fuse": "strip large 100 A", "class": "strip large", "group": "bolt-down", "device": "fuse", "rating [A]": "100",
            "voltage rating [V]": "32", "breaking capacity [A]": "1000", "source": "common-practice", "status": "measured", "note": ""}]  # fmt: skip
    bought = with_rows(settings=[{"setting": "fuse classes", "value": "bolt-down, post, high-capacity"}])
    plain = pick(tmp_path / "plain", bought)
    data = pick(tmp_path / "own", {**bought, "tables/fuses.csv": own})
    assert part(plain["by_name"]["windlass"], "protection") == "strip large 100 A"
    assert part(data["by_name"]["windlass"], "protection") != "strip large 100 A"
    assert "project:tables/fuses.csv" in data["tables"] and data["own_rows"] == [
        {"table": "fuses.csv", "row": "strip large 100 A"}
    ]


def test_own_checks_bind_like_the_shipped_ones(tmp_path):
    own = [
        {
            "role": "conductor",
            "actual": "outer diameter",
            "sense": "at most",
            "limit": "5",
            "unit": "mm",
            "reason": "gland",
        },
        {
            "role": "protection",
            "actual": "rating",
            "sense": "at least",
            "limit": "8 * current",
            "unit": "A",
            "reason": "room",
        },
    ]
    data = pick(tmp_path, with_rows(own_checks=own))
    lights, windlass = data["by_name"]["lights"], data["by_name"]["windlass"]
    assert check(lights, "gland")["limit"] == 5.0 and check(lights, "gland")["status"] == "pass"
    assert check(lights, "room")["actual"] >= 40
    assert windlass["status"] == "unserved"
    assert any(f["code"] == "O01" for m in windlass["near_misses"] for f in m["fails"])


@pytest.mark.parametrize(
    "formula",
    [
        "__import__('os')",
        "current.real",
        "current ** 99",
        "9 ** 9",
        "(current",
        "current[0]",
        "lambda: 1",
        "current; 1",
        "1 if 1 else 2",
        "'a'",
    ],
)
def test_formulas_that_reach_outside_are_refused(tmp_path, formula):
    own = [{"role": "conductor", "actual": formula, "sense": "at most", "limit": "5", "unit": "A", "reason": "x"}]
    with pytest.raises(Exception) as caught:
        pick(tmp_path, with_rows(own_checks=own))
    assert caught.value.exit_code == 3 and "own_checks.csv" in str(caught.value)


def test_an_own_family_and_kind(tmp_path):
    files = {
        **BASE,
        "connections.csv": [*BASE["connections.csv"], {"connection": "main switch", "kind": "battery switch", "from": "battery", "to": "main bus", "zone": "cabin", "current [A]": "120"}],
        "tables/switches.csv": [{"switch": f"battery switch {a} A", "rating [A]": a, "voltage rating [V]": "48"} for a in ("100", "200", "350")],
        "tables/switches.family.csv": [
            {"what": "key", "name": "switch"},
            {"what": "role", "name": "switch"},
            {"what": "column", "name": "rating", "unit": "A"},
            {"what": "column", "name": "voltage rating", "unit": "V"},
            {"what": "smallest by", "name": "rating"},
            {"what": "check", "name": "carries", "unit": "A", "value": "current at most 0.8 * rating", "reason": "80 % for good"},
        ],
        "tables/kinds.csv": [{"kind": "battery switch", "order": "1", "role": "switch", "family": "switches", "leads": "yes", "quantity": "1", "unit": "piece", "source": "common-practice", "status": "measured", "note": ""}],
    }  # fmt: skip
    switch = pick(tmp_path, files)["by_name"]["main switch"]
    assert part(switch, "switch") == "battery switch 200 A"
    assert check(switch, "carries")["limit"] == 160.0
    assert switch["near_misses"][0]["part"] == "battery switch 100 A"
    assert switch["governing"] == "SWI01"


def test_json_has_no_nan_and_keeps_its_form(tmp_path):
    text = to_json({k: v for k, v in pick(tmp_path, BASE).items() if k != "by_name"})
    data = json.loads(text)
    assert data["format"] == 1
    assert set(data) >= {
        "project",
        "rule_set",
        "tables",
        "defaults",
        "cautions",
        "connections",
        "parts",
        "findings",
        "summary",
    }
    connection = data["connections"][0]
    assert set(connection) >= {
        "connection",
        "kind",
        "status",
        "currents",
        "picks",
        "checks",
        "governing",
        "near_misses",
        "holds_until",
        "results",
    }
    names = {
        "code",
        "name",
        "role",
        "part",
        "actual",
        "limit",
        "unit",
        "sense",
        "margin",
        "spare",
        "status",
        "severity",
        "source",
        "text",
    }
    assert all(set(c) >= names for c in connection["checks"])
    assert all(
        isinstance(c["actual"], str) and c["unit"] == "" and c["margin"] is None
        for c in connection["checks"]
        if c["actual"] in ("yes", "no")
    )
    assert "NaN" not in text and "Infinity" not in text


def test_margins_follow_their_definition(tmp_path):
    for connection in pick(tmp_path, BASE)["connections"]:
        for c in connection["checks"]:
            if c["margin"] is None:
                continue
            short = c["limit"] - c["actual"] if c["sense"] == "at most" else c["actual"] - c["limit"]
            expected = short if c.get("margin_unit") == "K" else short / abs(c["limit"])
            assert c["margin"] == pytest.approx(expected, rel=1e-9, abs=1e-9)
            assert (c["status"] == "pass") == (c["margin"] >= c["spare"] - 1e-9)


def test_brief_leaves_out_reasons_but_picks_the_same(tmp_path):
    full, brief = pick(tmp_path / "a", BASE), pick(tmp_path / "b", BASE, brief=True)
    for long, short in zip(full["connections"], brief["connections"], strict=True):
        assert short["picks"] == long["picks"] and short["status"] == long["status"]
        assert "checks" not in short and "near_misses" not in short and "holds_until" not in short


def test_as_built_fills_nothing(tmp_path):
    built = pick(tmp_path / "empty", BASE, as_built=True)
    assert built["summary"]["served"] == 0
    full = pick(tmp_path / "full", BASE)
    rows = []
    for row in BASE["connections.csv"]:
        picks = {p["role"]: p["part"] for p in full["by_name"][row["connection"]]["picks"]}
        rows.append({**row, **picks})
    built = pick(tmp_path / "built", with_rows(connections=rows), as_built=True)
    assert built["summary"] == {"served": 3, "unserved": 0, "incomplete": 0}
    assert all(p["fixed"] for c in built["connections"] for p in c["picks"])


def test_rule_sets_differ(tmp_path):
    law = pick(tmp_path, BASE, rules="us-small-craft")["by_name"]["lights"]
    assert check(law, "ampacity_table")["limit"] > 0
    assert "AWG" in part(law, "conductor")
    general = pick(tmp_path, BASE, rules="general")["by_name"]["lights"]
    assert not any(c["name"] == "ampacity_table" for c in general["checks"])


def test_table_ampacity_of_the_law(tmp_path):
    """33 CFR 183.425 Table 5: 10 AWG at 105 degC 60 A; note 1, engine space 0.85: 51 A (key 33cfr-183-425)."""
    fixed = {"conductor": "10 AWG tinned PVC 105", "current": "20", "length": "1"}
    dry = pick(tmp_path / "a", changed("lights", **fixed), rules="us-small-craft")["by_name"]["lights"]
    assert check(dry, "ampacity_table")["limit"] == 60.0
    zones = [BASE["zones.csv"][0], {"zone": "cabin", "ambient [degC]": "50", "engine space": "yes"}]
    hot = pick(tmp_path / "b", {**changed("lights", **fixed), "zones.csv": zones}, rules="us-small-craft")["by_name"][
        "lights"
    ]
    assert check(hot, "ampacity_table")["limit"] == pytest.approx(51.0)


def test_voltage_drop_of_the_piece_is_what_the_resistance_says(tmp_path):
    windlass = pick(tmp_path, BASE)["by_name"]["windlass"]
    temperature = windlass["results"]["conductor_temperature"]
    # 70 mm2 class 5 tinned: 0.277 ohm/km at 20 degC, IEC 60228 (key iec-60228)
    expected = 60 * 2 * 8 * 0.277e-3 * (1 + 0.00393 * (temperature - 20))
    assert windlass["results"]["voltage_drop"] == pytest.approx(expected, rel=1e-9)


def test_an_xlsx_is_a_project_too(tmp_path):
    import openpyxl

    from selector import pipeline
    from selector.report.result import result

    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in BASE.items():
        sheet = book.create_sheet(name.removesuffix(".csv"))
        header = list(dict.fromkeys(key for row in rows for key in row))
        sheet.append(header)
        for row in rows:
            sheet.append([float(v) if (v := row.get(key)) and v.replace(".", "").isdigit() else v for key in header])
    book.save(tmp_path / "boat.xlsx")
    from_book = result(pipeline.run(tmp_path / "boat.xlsx"))
    from_folder = result(pipeline.run(write(tmp_path / "boat", BASE)))
    assert from_book["connections"] == from_folder["connections"]


def test_rounds_end(tmp_path):
    """A ground joint takes the largest device's rating as its current, from the round before."""
    nodes = [
        *BASE["nodes.csv"],
        {"node": "house ground", "role": "ground", "stud": "M8"},
        {"node": "engine ground", "role": "ground", "stud": "M8"},
    ]
    rows = [
        *BASE["connections.csv"],
        {
            "connection": "joint",
            "kind": "cable",
            "from": "house ground",
            "to": "engine ground",
            "zone": "cabin",
            "length [m]": "1",
            "system": "12 V",
        },
    ]
    data = pick(tmp_path, with_rows(nodes=nodes, connections=rows))
    ratings = [
        c["actual"]
        for connection in data["connections"]
        for c in connection["checks"]
        if c["name"] == "protects_wire_balance"
    ]
    assert data["by_name"]["joint"]["currents"]["continuous"] == max(ratings)
    assert math.isfinite(data["by_name"]["joint"]["results"]["voltage_drop"])


def test_a_feeder_passes_the_peaks_of_its_loads_on(tmp_path):
    """65 A in service and 90 A more while the windlass starts: the main fuse must outlast that too."""
    battery = pick(tmp_path, BASE)["by_name"]["battery"]
    assert battery["currents"]["peak"] == 155.0
    assert check(battery, "survives_peak")["limit"] == 20.0
    assert any(d["what"].startswith("peak") and d["connection"] == "battery" for d in pick(tmp_path, BASE)["defaults"])
    stated = pick(tmp_path / "stated", changed("battery", current="65"))["by_name"]["battery"]
    assert stated["currents"]["peak"] is None


def test_a_return_shared_with_an_unprotected_lead_is_not_called_protected(tmp_path):
    nodes = [*BASE["nodes.csv"], {"node": "negative", "role": "ground", "stud": "M8"}]
    bare = {"connection": "bare lead", "kind": "cable", "from": "battery", "to": "windlass", "zone": "cabin", "length [m]": "1",
            "current [A]": "10", "protection": "none"}  # fmt: skip
    back = {
        "connection": "back",
        "kind": "cable",
        "from": "battery",
        "to": "negative",
        "zone": "cabin",
        "length [m]": "1",
    }
    files = with_rows(nodes=nodes, connections=[*BASE["connections.csv"], bare, back])
    assert check(pick(tmp_path, files)["by_name"]["back"], "protected")["status"] == "fail"


def test_a_charger_without_a_rating_is_asked_for_it(tmp_path):
    nodes = [*BASE["nodes.csv"], {"node": "charger", "system": "12 V", "role": "supply", "stud": "M6"}]
    supplies = [*BASE["supplies.csv"], {"node": "charger", "type": "converter"}]
    row = {
        "connection": "charger lead",
        "kind": "cable",
        "from": "charger",
        "to": "main bus",
        "zone": "cabin",
        "length [m]": "1",
    }
    data = pick(tmp_path, with_rows(nodes=nodes, supplies=supplies, connections=[*BASE["connections.csv"], row]))
    lead = data["by_name"]["charger lead"]
    assert lead["status"] == "incomplete" and any("rated current" in question for question in lead["questions"])


def test_a_limit_carries_the_source_of_its_row(tmp_path):
    lights = pick(tmp_path, BASE, rules="us-small-craft")["by_name"]["lights"]
    assert check(lights, "voltage_drop")["source"] == "abyc-e-11"
    near = changed("windlass", length="0.5", peak_current="", peak_time="")
    near["connections.csv"][1]["length [m]"] = "0.5"
    battery = pick(tmp_path / "near", near, rules="us-small-craft")["by_name"]["battery"]
    assert check(battery, "voltage_drop")["source"] == "common-practice"


@pytest.mark.parametrize("nominal, highest, lowest", [("12", 15.5, 10.5), ("28", 31.0, 21.0), ("36", 46.5, 31.5)])
def test_a_system_without_voltages_takes_those_of_its_class(tmp_path, nominal, highest, lowest):
    """A 28 V bus is a 24 V system named by its charging voltage; 36 V goes in proportion. Both are listed."""
    data = pick(tmp_path, with_rows(systems=[{"system": "12 V", "nominal [V]": nominal}]))
    told = {d["what"]: d["value"] for d in data["defaults"] if d["connection"] == "lights"}
    assert told["highest charging voltage"] == pytest.approx(highest)
    assert told["lowest voltage in service"] == pytest.approx(lowest)
