"""The workbook: read first, the live connections, what to buy, the reasons, and everything they rest on."""

from selector.report import (
    sheets_bench,
    sheets_connections,
    sheets_conversion,
    sheets_first,
    sheets_lists,
    sheets_reasons,
    sheets_shelf,
    sheets_working,
)
from selector.report.package import write
from selector.report.sheets_tables import TablesUsed

MOST_LIVE = 1000
"""Connections up to which the sheets are live."""
MOST_CASES = 5000


def write_workbook(outcome, path, shelf=None):
    """Write the workbook of an outcome to ``path``, in one step; with what stock does for it where that was asked.

    Raises `OutputError` where it cannot be written; what stood there before stays as it was.
    """
    write(build(outcome, shelf), path, f"{outcome.project.name}: parts of a battery power system")


def build(outcome, shelf=None):
    """All sheets, in order."""
    plan = sheets_connections.plan(outcome, False)
    families = list(dict.fromkeys(role.family for one in outcome.chosen for role in one.kind.roles))
    tables = plan.sheets["tables"] = TablesUsed(outcome, families)
    by_kind = {}
    for entry in plan.entries:
        by_kind.setdefault(entry.one.kind.name, []).append(entry)
    lives = [sheets_working.work(outcome, plan, tables, own, own[0].one.kind) for own in by_kind.values()]
    values_only = len(outcome.chosen) > MOST_LIVE or sum(live.count for live in lives) > MOST_CASES
    connections = sheets_connections.fill(outcome, plan, values_only)
    reasons = sheets_reasons.reasons(outcome, plan, values_only)
    review = sheets_conversion.conversion_review(outcome, values_only)
    verification = sheets_reasons.verification(outcome, plan, values_only)
    sheets = [
        sheets_first.read_first(outcome, values_only),
        connections,
        sheets_lists.parts_list(outcome),
        sheets_shelf.cut_list(outcome, not values_only),
        *(sheets_shelf.shelf_sheets(shelf, not values_only) if shelf is not None else ()),
        reasons,
        sheets_lists.near_misses(outcome),
        *([review] if review is not None else []),
        sheets_bench.bench_checks(outcome, plan, values_only),
        tables.sheet(),
        sheets_lists.sources(outcome),
        verification,
    ]
    return sheets if values_only else [*sheets, *(sheets_working.sheet(live) for live in lives)]
