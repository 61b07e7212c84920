"""Which full name the words of a check or quantity mean: ``outer diameter`` of a wire is ``conductor_outer_diameter_m``."""

from functools import lru_cache

from selector.errors import nearest
from selector.units import SUFFIX, fold, snake

PREFIXES = {"lug from": "lug", "lug to": "lug", "sleeve from": "sleeve", "sleeve to": "sleeve"}
ZONE = (
    "ambient_k", "coldest_k", "air_speed_m_per_s", "altitude_m", "enclosed", "engine_space", "wet", "oil",
    "fuel_vapour", "sun", "vibrates",
)  # fmt: skip
"""Columns of a zone; ``zone`` before their words tells them from a part's column of the same name."""
_SUFFIXES = sorted({suffix for suffix in SUFFIX.values() if suffix}, key=len, reverse=True)


def prefix_of(role):
    """What stands before a part's columns in facts: the role, without its end."""
    return PREFIXES.get(role, role.replace(" ", "_"))


@lru_cache(maxsize=4096)
def without_unit(name):
    """``outer_diameter`` of ``outer_diameter_m``; a name without a unit as it is."""
    for suffix in _SUFFIXES:
        if name.endswith(f"_{suffix}") and len(name) > len(suffix) + 1:
            return name[: -len(suffix) - 1]
    return name


class Names:
    """All names a check may use. ``given`` are columns of places, ``parts`` maps a role's prefix to its columns.

    ``elsewhere`` are such parts of other kinds: they can be read, but a check that rests on one does not concern this kind.
    """

    def __init__(self, registry, given, parts, elsewhere=None):
        self.registry = registry
        self.full = {}
        for name in [*registry.functions, *given]:
            self._add(name)
        for name in ZONE:
            self.full[f"zone_{without_unit(name)}"] = name
        for prefix, columns in parts.items():
            for column in columns:
                self._add(f"{prefix}_{column}")
        for name in list(self.full.values()):
            if registry.differs_by_end(name):
                for end in ("from", "to"):
                    self._add(f"{end}_{name}")
        own = set(self.full.values())
        for prefix, columns in (elsewhere or {}).items():
            for column in columns:
                self._add(f"{prefix}_{column}")
        self.not_here = frozenset(self.full.values()) - own

    def has(self, leaf):
        """Whether a column a check rests on is there for this kind: of its places, or of one of its parts."""
        base, _ = self.registry.split_end(leaf)
        if leaf in self.not_here or base in self.not_here:
            return False
        return self.full.get(leaf) == leaf or self.full.get(base) == base

    def _add(self, name):
        self.full.setdefault(name, name)
        self.full.setdefault(without_unit(name), name)

    def reader(self, role):
        """A function of words for `catalogue.expression.parse`, for a check of ``role``: own columns come first."""
        prefix = prefix_of(role)

        def full_name(words):
            name = snake(fold(words))
            for candidate in (f"{prefix}_{name}", name):
                if candidate in self.full:
                    return self.full[candidate], ""
            return None, nearest(words, [key.replace("_", " ") for key in self.full])

        return full_name
