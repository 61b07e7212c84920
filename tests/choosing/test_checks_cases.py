"""Every row of tables/checks.csv on plain numbers: a file of cases a check, named for it, in tests/cases.

A case file's columns are the names of facts and columns the row reads (inner units: K, m, mm2, A, s), `spare` where the
row takes one (a share, or K) and `status`: pass, fail, unknown, or `not asked` where its `when` says no. Margins follow
the rule of the JSON: (limit - actual)/|limit|, kelvin for temperatures, passing from spare - 1e-9.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from selector.catalogue.catalogue import load
from selector.choosing.checks import STATUS_WORDS, judge
from selector.upkeep.audit import compiled_for

CASES = Path(__file__).resolve().parents[1] / "cases"
CATALOGUE = load(None)
ROWS = list(CATALOGUE["checks.csv"].iter_rows(named=True))
NAMES = [row["name"] for row in ROWS]


def _compiled():
    """One compiled check for each row; a row for both ends is the same arithmetic at either."""
    found = {}
    for _, checks in compiled_for(CATALOGUE).values():
        for check in checks:
            found.setdefault(check.name, check)
    return found


COMPILED = _compiled()


def cases_of(name):
    with open(CASES / f"{name}.csv", newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


class PlainNumbers:
    """Stands where the evaluator does: a name's value is the case's own cell."""

    def __init__(self, case):
        self.case = case

    def value(self, name, end=None):
        return np.array([float(self.case[name]) if self.case[name] else np.nan])


def reads(check):
    """Names a check reads, in the order of its row: when, actual, limit."""
    parts = [part.names for part in (check.when, check.actual, check.limit) if part is not None]
    return list(dict.fromkeys(name for names in parts for name in names))


@pytest.mark.parametrize("name", NAMES)
def test_cases_of_a_check(name):
    check = COMPILED[name]
    for line, case in enumerate(cases_of(name), 2):
        verdict = judge(check, PlainNumbers(case), float(case.get("spare") or 0))
        applies = bool(np.broadcast_to(verdict.applies, 1)[0])
        status = STATUS_WORDS[int(verdict.status[0])] if applies else "not asked"
        assert status == case["status"], f"{name}.csv line {line}: {case}"


@pytest.mark.parametrize("row", ROWS, ids=NAMES)
def test_every_check_has_a_source_and_cases_of_each_kind(row):
    check, cases = COMPILED[row["name"]], cases_of(row["name"])
    assert row["source"] in set(CATALOGUE["sources.csv"]["source"]), f"{row['code']}: {row['source']}"
    assert row["text"], row["code"]
    statuses = {case["status"] for case in cases}
    assert {"pass", "fail", "unknown"} <= statuses, f"{row['name']}.csv has only {sorted(statuses)}"
    assert ("not asked" in statuses) == (check.when is not None), row["name"]
    takes_spare = ["spare"] if check.spare_kind in ("yes", "K") else []
    assert sorted(cases[0]) == sorted([*reads(check), *takes_spare, "status"])


@pytest.mark.parametrize("name", NAMES)
def test_a_blanked_cell_never_turns_a_verdict_into_a_pass(name):
    """Unknown never passes: whichever cells of a case are emptied, a fail or an unknown stays one of the two."""
    check = COMPILED[name]
    for case in cases_of(name):
        for column in reads(check):
            verdict = judge(check, PlainNumbers({**case, column: ""}), float(case.get("spare") or 0))
            if np.broadcast_to(verdict.applies, 1)[0]:
                before = case["status"]
                status = STATUS_WORDS[int(verdict.status[0])]
                doubtful = check.when is not None and column in check.when.names and before in ("pass", "not asked")
                assert status != "pass" or doubtful, f"{name}: {column} emptied, {before} became {status}"


def test_a_case_file_for_every_check_and_no_other():
    assert len(set(NAMES)) == len(NAMES)
    assert {path.stem for path in CASES.glob("*.csv")} == set(NAMES)


def test_a_margin_within_the_tolerance_passes_and_one_beyond_it_does_not():
    """1e-9 of the limit, design section 7: written numbers carry 12 digits, so a limit met exactly must pass."""
    case = {"heating_current_a": "100.00000005", "conductor_balance_ampacity_a": "100"}
    check = COMPILED["ampacity_balance"]
    assert STATUS_WORDS[int(judge(check, PlainNumbers(case), 0.0).status[0])] == "pass"
    case["heating_current_a"] = "100.000001"
    assert STATUS_WORDS[int(judge(check, PlainNumbers(case), 0.0).status[0])] == "fail"
