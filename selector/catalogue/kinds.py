"""Kinds of connection: their roles in order, each with its family and how much of the part is needed."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Role:
    """A place for one part: ``quantity`` is arithmetic on facts of the place, in ``unit``."""

    role: str
    family: str
    leads: bool
    quantity: str
    unit: str


@dataclass(frozen=True)
class Kind:
    """One kind; ``family_columns`` maps a family to the names of its candidates' columns."""

    name: str
    roles: tuple
    family_columns: dict

    def stage(self, role):
        return next(i for i, own in enumerate(self.roles) if own.role == role)

    def columns_of(self, family):
        return self.family_columns.get(family, frozenset())

    @property
    def leading(self):
        """The role whose size the connection is known by."""
        return next((role.role for role in self.roles if role.leads), self.roles[0].role)


def read_kinds(catalogue, family_columns):
    """The kinds whose families the program knows, by name."""
    rows = {}
    for row in sorted(catalogue.rows("kinds.csv"), key=lambda row: row["order"] or 0.0):
        rows.setdefault(row["kind"].casefold(), []).append(row)
    kinds = {}
    for name, own in rows.items():
        if all(row["family"] in family_columns for row in own):
            roles = tuple(
                Role(row["role"], row["family"], row["leads"] == "yes", row["quantity"] or "1", row["unit"] or "piece")
                for row in own
            )
            kinds[name] = Kind(name, roles, family_columns)
    return kinds
