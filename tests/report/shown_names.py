"""Names the working sheet of one kind shows that nobody explains."""

import re

from selector import glossary
from selector.facts import registry
from selector.report import sheets_connections, sheets_working
from selector.report.sheets_tables import TablesUsed


def names_missing(outcome, kind):
    """Facts, columns and steps without an entry in the glossary, and headings without unit or in the program's words."""
    plan = sheets_connections.plan(outcome, False)
    families = list(dict.fromkeys(role.family for one in outcome.chosen for role in one.kind.roles))
    tables = plan.sheets["tables"] = TablesUsed(outcome, families)
    entries = [entry for entry in plan.entries if entry.one.kind.name == kind]
    live = sheets_working.work(outcome, plan, tables, entries, entries[0].one.kind)
    missing = {name for name in registry(kind).functions if name not in glossary.NAMES}
    for column in live.helper.columns:
        head = sheets_working.heading(column)
        if column.group in ("given", "fact", "summary") and column.name[0] != "upper_end":
            missing |= {column.name[0]} - set(glossary.NAMES)
        if column.group == "step" and glossary.step(column.name)[1] is None:
            missing.add(column.name)
        if "_" in head or not (isinstance(column.values[0], str) or re.search(r"\[.+\]$", head)):
            missing.add(head)
    return missing
