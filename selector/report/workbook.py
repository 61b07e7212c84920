"""The workbook: read first, the live connections, what to buy, the reasons, and everything they rest on."""

from selector.report import sheets_connections, sheets_first, sheets_lists, sheets_reasons, sheets_working
from selector.report.package import write
from selector.report.sheets_tables import TablesUsed

MOST_LIVE = 1000
"""Connections up to which the sheets are live."""
MOST_CASES = 5000


def write_workbook(outcome, path):
    """Write the workbook of an outcome to ``path``, in one step.

    Raises `OutputError` where it cannot be written; what stood there before stays as it was.
    """
    write(build(outcome), path, f"{outcome.project.name}: parts of a battery power system")


def build(outcome):
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
    verification = sheets_reasons.verification(outcome, plan, values_only)
    sheets = [
        sheets_first.read_first(outcome, values_only),
        connections,
        sheets_lists.parts_list(outcome),
        reasons,
        sheets_lists.near_misses(outcome),
        tables.sheet(),
        sheets_lists.sources(outcome),
        verification,
    ]
    return sheets if values_only else [*sheets, *(sheets_working.sheet(live) for live in lives)]
