"""Rows of a merge: what came in, what became of it, and what is said of it."""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from selector.units import fold

NEW, CHANGED, SAME, REFUSED = "new", "changed", "same", "refused"
OWN = ("source", "status", "note")
"""Columns that say where a row is from, not what it is."""


@dataclass
class Row:
    """One row of the datasheet and what became of it."""

    place: str
    key: str = ""
    result: str = ""
    reasons: list = field(default_factory=list)
    remarks: list = field(default_factory=list)
    changes: list = field(default_factory=list)
    values: dict = field(default_factory=dict)
    texts: dict = field(default_factory=dict)
    units: dict = field(default_factory=dict)
    old: dict | None = None
    new: dict | None = None
    written: dict = field(default_factory=dict)

    def refuse(self, reason):
        """Leave this row out, with a reason."""
        self.result = REFUSED
        if reason not in self.reasons:
            self.reasons.append(reason)

    def look(self, remark):
        """Say something about this row that does not keep it out."""
        if remark not in self.remarks:
            self.remarks.append(remark)

    @property
    def reason(self):
        """What is printed behind the result."""
        said = (
            self.reasons
            if self.result == REFUSED
            else [*self.changed_words, *(r if self.result == SAME else f"look: {r}" for r in self.remarks)]
        )
        return "; ".join(said)

    @property
    def changed_words(self):
        """Changes of an old row for reading."""
        if self.result != CHANGED:
            return []
        return [f"{column} {old or 'unknown'} -> {new}" for column, old, new in self.changes if column not in OWN]


@dataclass
class Report:
    """What a merge did, or would do; ``unmatched`` is the best reading of a sheet that means no row of the table."""

    table: str
    datasheet: str
    source: str
    rows: list = field(default_factory=list)
    mappings: list = field(default_factory=list)
    unmatched: Any = None
    notes: list = field(default_factory=list)
    map_file: Path | None = None
    number: int | None = None
    dry_run: bool = False
    effect: list = field(default_factory=list)
    files: dict = field(default_factory=dict)

    def count(self, result):
        """How many rows have this result."""
        return sum(row.result == result for row in self.rows)

    @property
    def exit_code(self):
        """0 all landed or the same, 1 some refused."""
        return 1 if self.count(REFUSED) else 0


def equal(a, b, tolerance=1e-9):
    if a is None or b is None:
        return a is None and b is None
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= tolerance * max(abs(a), abs(b))
    return fold(str(a)) == fold(str(b))
