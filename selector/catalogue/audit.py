"""Looking at the tables: are they fit for use, what does a row say, which names may a check use."""

import math

from selector.catalogue.catalogue import SHIPPED, load
from selector.catalogue.declarations import DECLARED
from selector.errors import UsageError, nearest, quoted
from selector.units import find_unit

COPPER_OHM_MM2_PER_M = 1 / 58.0
"""Resistivity of the annealed copper standard at 20 degC, source key nbs-handbook-100."""
ALUMINIUM_OHM_MM2_PER_M = 0.028264


def audit(folder=None):
    """Read every table and judge its rows by physics: ``{"tables": [...], "findings": [...]}``.

    Raises `TableError` where a table cannot be read at all; what is readable but cannot be true is a finding.
    """
    catalogue = load(folder)
    tables, findings = [], []
    for file in DECLARED:
        frame = catalogue[file]
        memory = frame.filter(frame["status"] == "memory").height if "status" in frame.columns else 0
        tables.append({"table": file, "rows": frame.height, "memory": memory, "sha256": catalogue.hashes.get(file)})
    for judge in (_conductors, _wires, _lugs, _sleeves, _curves, _ampacities, _checks_read):
        findings += judge(catalogue)
    findings += [hint for hint in catalogue.hints if "did you mean" in hint]
    return {"tables": tables, "findings": findings}


def _place(file, row):
    return f"{file} line {row['line']}, {row[next(iter(row))]}"


def _conductors(catalogue):
    found = []
    for row in catalogue["conductors.csv"].iter_rows(named=True):
        metal = ALUMINIUM_OHM_MM2_PER_M if row["material"] == "aluminium" else COPPER_OHM_MM2_PER_M
        if row["resistance_at_20_degc_ohm_per_m"] is not None:
            ratio = row["resistance_at_20_degc_ohm_per_m"] * row["area_mm2"] / metal
            if not 0.97 <= ratio <= 1.25:
                found.append(f"{_place('conductors.csv', row)}: resistance times area is {ratio:.3g} times the metal's resistivity; 1.0 to 1.25 can be true")
        if row["diameter_m"] is not None:
            least = math.sqrt(4 * row["area_mm2"] / math.pi) * 1e-3
            if not 0.93 <= row["diameter_m"] / least <= 1.6:
                found.append(f"{_place('conductors.csv', row)}: a diameter of {row['diameter_m'] * 1e3:.4g} mm does not go with {row['area_mm2']:.4g} mm2")
    return found


def _wires(catalogue):
    metal = {row["conductor"].casefold(): row["diameter_m"] for row in catalogue["conductors.csv"].iter_rows(named=True)}
    found = []
    for row in catalogue["wires.csv"].iter_rows(named=True):
        inside = metal.get(row["conductor"].casefold())
        if inside and row["outer_diameter_m"] and row["outer_diameter_m"] <= inside:
            found.append(f"{_place('wires.csv', row)}: the wire is no thicker than its metal")
    return found


def _lugs(catalogue):
    studs = {row["stud"].casefold(): row["thread_diameter_m"] for row in catalogue["studs.csv"].iter_rows(named=True)}
    found = []
    for row in catalogue["lugs.csv"].iter_rows(named=True):
        if row["least_area_mm2"] and row["greatest_area_mm2"] and row["least_area_mm2"] > row["greatest_area_mm2"]:
            found.append(f"{_place('lugs.csv', row)}: the least area is above the greatest")
        if row["bore_m"] and row["barrel_diameter_m"] and row["bore_m"] >= row["barrel_diameter_m"]:
            found.append(f"{_place('lugs.csv', row)}: the bore is no smaller than the barrel")
        thread = studs.get((row["stud"] or "").casefold())
        if thread and row["hole_m"] and row["hole_m"] < thread:
            found.append(f"{_place('lugs.csv', row)}: the hole does not clear its own stud")
    return found


def _sleeves(catalogue):
    return [
        f"{_place('sleeves.csv', row)}: it is no narrower after shrinking"
        for row in catalogue["sleeves.csv"].iter_rows(named=True)
        if row["recovered_bore_m"] and row["recovered_bore_m"] >= row["supplied_bore_m"]
    ]


def _curves(catalogue):
    found, curves = [], {}
    for row in catalogue["fuse_curves.csv"].iter_rows(named=True):
        if row["shortest_s"] and row["longest_s"] and row["shortest_s"] > row["longest_s"]:
            found.append(f"{_place('fuse_curves.csv', row)}: the shortest time is above the longest")
        curves.setdefault((row["class"], row["from_rating_a"], row["to_rating_a"]), []).append(row)
    for rows in curves.values():
        for bound in ("shortest_s", "longest_s"):
            points = sorted((r["multiple"], r[bound], r) for r in rows if r[bound] is not None)
            for (_, earlier, _), (_, later, row) in zip(points[:-1], points[1:], strict=True):
                if later > earlier:
                    found.append(f"{_place('fuse_curves.csv', row)}: it opens later at more current")
    classes = {row["class"].casefold() for row in catalogue["fuse_curves.csv"].iter_rows(named=True)}
    for name in sorted({row["class"] for row in catalogue["fuses.csv"].iter_rows(named=True)}):
        if name.casefold() not in classes:
            found.append(f"fuses.csv: class {name} has no curve in fuse_curves.csv")
    return found


def _ampacities(catalogue):
    found, by_column = [], {}
    for row in catalogue["ampacities.csv"].iter_rows(named=True):
        by_column.setdefault((row["table"], row["material"], row["rating_k"]), []).append(row)
    for rows in by_column.values():
        rows.sort(key=lambda r: r["area_mm2"])
        for smaller, larger in zip(rows[:-1], rows[1:], strict=True):
            if larger["ampacity_a"] < smaller["ampacity_a"]:
                found.append(f"{_place('ampacities.csv', larger)}: a larger wire carries less")
    return found


def _checks_read(catalogue):
    """Every check row can be read against the names the program knows."""
    from selector.errors import DefinitionError

    try:
        compiled_for(catalogue)
    except DefinitionError as error:
        return [str(problem) for problem in error.problems]
    return []


def compiled_for(catalogue):
    """Names and checks of every kind, on a project of nothing."""
    from selector.catalogue.families import FAMILIES, candidates
    from selector.catalogue.kinds import read_kinds
    from selector.catalogue.names import Names, prefix_of
    from selector.choosing.checks import compile_checks
    from selector.facts import registry as facts_registry

    registry = facts_registry()
    rule = catalogue.rows("rule_sets.csv")[0]
    parts = {name: candidates(family, catalogue, rule) for name, family in FAMILIES.items()}
    kinds = read_kinds(catalogue, {name: frozenset(own.columns) for name, own in parts.items()})
    leaves = {leaf for name in registry.functions for leaf in registry.leaves(name)}
    given = [leaf for leaf in leaves if leaf not in registry.functions] + list(PLACE_ONLY)
    found = {}
    rows = list(catalogue["checks.csv"].iter_rows(named=True))
    for name, kind in kinds.items():
        columns = {prefix_of(role.role): parts[role.family].columns for role in kind.roles}
        names = Names(registry, given, columns)
        found[name] = names, compile_checks(rows, kind, names, registry)
    return found


PLACE_ONLY = (
    "current_a", "length_m", "has_drop_limit", "drop_limit_v", "has_short_peak", "peak_drop_limit_v", "lowest_v", "highest_v",
    "oil", "wet", "sun", "vibrates", "coldest_k", "touches_any", "cool_place", "hot_wire_limit_k", "chassis",
    "chassis_return_allowed", "peak_time_factor", "distance_limited", "is_return",
    "two_pole_protection", "rule_balance_multiple", "rule_conventional_multiple", "machine_rating_a", "holder_limit_k",
    "stranded_copper_only", "cut_allowance_m", "device_distance_m", "terminal_limit_k", "stud_diameter_m", "palm_space_m",
    "has_palm_space", "hottest_stated", "has_rule_table", "rule_balance_multiple",
)  # fmt: skip
"""Columns of places that checks use and no fact reads."""


def show(folder, text):
    """Rows whose key is ``text``, or else whose key holds all its words; raises `UsageError` where none does."""
    catalogue = load(folder)
    exact, some, keys = [], [], []
    wanted = set(text.casefold().split())
    for file, declared in DECLARED.items():
        frame = catalogue[file]
        headers = catalogue.headers.get(file, {})
        for row in frame.iter_rows(named=True):
            key = str(row[frame.columns[0]])
            keys.append(key)
            if key.casefold() == text.casefold().strip():
                exact.append(_shown(file, declared, row, key, headers, catalogue))
            elif wanted <= set(key.casefold().split()):
                some.append((file, declared, row, key, headers))
    if exact:
        return exact
    if not some:
        near = nearest(text, keys)
        raise UsageError(f"{quoted(text)} is in no table." + (f" Did you mean '{near}'?" if near else ""))
    return [_shown(*entry, catalogue) for entry in some[:20]]


def _shown(file, declared, row, key, headers, catalogue):
    units = {column.name: column.unit for column in declared.columns}
    cells = {}
    for name, value in row.items():
        if name in ("line", "origin", "source", declared.key.replace(" ", "_")):
            continue
        unit = units.get(name)
        shown = value
        if isinstance(value, float):
            shown = float(f"{find_unit(unit).from_inner(value):.12g}") if unit else value
        cells[headers.get(name, name)] = "unknown" if shown is None else shown
    source = next((r for r in catalogue["sources.csv"].iter_rows(named=True) if r["source"] == row.get("source")), None)
    words = f"{row.get('source')}: {source['title']}" if source else row.get("source") or "none"
    return {"table": file, "line": row["line"], "key": key, "own": row["origin"] != SHIPPED, "cells": cells, "source": words}


def facts():
    """Names a check may use, with unit and meaning."""
    from selector import glossary

    catalogue = load(None)
    seen = {}
    for names, _ in compiled_for(catalogue).values():
        for name in names.full.values():
            label, unit, what = glossary.of(name)
            seen[name] = {"name": label, "unit": unit, "what": what}
    return [seen[name] for name in sorted(seen)]
