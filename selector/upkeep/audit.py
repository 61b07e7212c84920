"""Looking at the tables: are they fit for use, what does a row say, which names may a check use."""

import re

from selector.catalogue.catalogue import SHIPPED, load, shipped_tables
from selector.catalogue.declarations import DECLARED, REPEATED_KEYS
from selector.catalogue.judging import REFUSE, Tables, judge
from selector.errors import UsageError, nearest, quoted
from selector.units import find_unit


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
    rows = Tables.of(catalogue)
    for file in DECLARED:
        findings += [str(finding) for finding in judge(file, rows) if finding.severity == REFUSE]
        findings += _doubles(file, catalogue[file])
    findings += _checks_read(catalogue)
    findings += [hint for hint in catalogue.hints if "did you mean" in hint]
    return {"tables": tables, "findings": findings}


def _doubles(file, frame):
    """Names of one table that differ by signs and spaces alone."""
    seen, found = {}, []
    if file in REPEATED_KEYS or DECLARED[file].near_keys:
        return found
    for key, line in zip(frame[frame.columns[0]], frame["line"], strict=True):
        bare = re.sub(r"[\s_\-]+", "", str(key).casefold())
        if bare in seen:
            found.append(f"{file} line {line}, {key}: nearly the name of line {seen[bare]}")
        seen.setdefault(bare, line)
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

    rule = catalogue.rows("rule_sets.csv")[0]
    parts = {name: candidates(family, catalogue, rule) for name, family in FAMILIES.items()}
    kinds = read_kinds(catalogue, {name: frozenset(own.columns) for name, own in parts.items()})
    found = {}
    rows = catalogue.rows("checks.csv")
    elsewhere = {prefix_of(r.role): parts[r.family].columns for kind in kinds.values() for r in kind.roles}
    for name, kind in kinds.items():
        columns = {prefix_of(role.role): parts[role.family].columns for role in kind.roles}
        registry = facts_registry(name)
        leaves = {leaf for fact in registry.functions for leaf in registry.leaves(fact)}
        given = [leaf for leaf in leaves if leaf not in registry.functions] + list(PLACE_ONLY)
        names = Names(registry, given, columns, elsewhere)
        found[name] = names, compile_checks(rows, kind, names, registry)
    return found


PLACE_ONLY = (
    "joint_through", "field_judged", "field_used_a", "field_limit_a", "sense_at_battery",
    "blade_limit_k", "rows_at_node", "weakest_withstand_v", "has_short_pulses",
    "asks_device", "has_stated_current", "stated_current_a", "machine_rated_current_a", "alternating", "has_machine",
    "current_a", "length_m", "has_drop_limit", "drop_limit_v", "has_short_peak", "peak_drop_limit_v", "lowest_v",
    "highest_v", "oil", "wet", "sun", "vibrates", "coldest_k", "touches_any", "cool_place", "hot_wire_limit_k",
    "chassis", "chassis_return_allowed", "peak_time_factor", "distance_limited", "is_return",
    "two_pole_protection", "rule_balance_multiple", "rule_conventional_multiple", "machine_rating_a", "holder_limit_k",
    "stranded_copper_only", "cut_allowance_m", "device_distance_m", "device_sized_by_load", "terminal_limit_k", "stud_diameter_m",
    "palm_space_m", "has_palm_space", "hottest_stated", "has_rule_table", "rule_balance_multiple",
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
        return _with_changes(folder, exact)
    if not some:
        near = nearest(text, keys)
        raise UsageError(f"{quoted(text)} is in no table." + (f" Did you mean '{near}'?" if near else ""))
    return _with_changes(folder, [_shown(*entry, catalogue) for entry in some[:20]])


_CHANGE = ("when", "what", "merge", "column", "old value", "new value", "source")


def _with_changes(folder, shown):
    """The rows with what merges have changed in them, oldest first: who said what when."""
    from selector.catalogue.merging_store import history

    past = history(folder if folder is not None else shipped_tables())
    for row in shown:
        row["history"] = [
            {name.replace(" ", "_"): change[name] for name in _CHANGE}
            for change in past
            if change["table"] == row["table"] and change["key"].casefold() == row["key"].casefold()
        ]
    return shown


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
    source = next((r for r in catalogue.rows("sources.csv") if r["source"] == row.get("source")), None)
    words = f"{row.get('source')}: {source['title']}" if source else row.get("source") or "none"
    return {
        "table": file,
        "line": row["line"],
        "key": key,
        "own": row["origin"] != SHIPPED,
        "cells": cells,
        "source": words,
    }


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
