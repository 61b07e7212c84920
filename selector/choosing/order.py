"""The order of preference as ranks: which candidate comes before which, at a place that is wet and at one that is not."""

import itertools

import numpy as np

from selector.catalogue.names import without_unit
from selector.errors import DefinitionError, Problem
from selector.units import snake

FAR_ABOVE_LEAST = "far_above_least_rating"
"""A step that rests on what complies at a place: what is far larger than the least that does comes after the rest."""


class Preference:
    """Ranks of one family's candidates.

    flags : names of the place columns the order depends on
    rank_of(combination) : rank array for one combination of those flags, 0 is first
    near_first : whether what is far larger than the least that complies comes after everything else
    """

    def __init__(self, rows, candidates):
        own = [row for row in sorted(rows, key=lambda r: r["step"]) if row["family"] == candidates.family]
        self.near_first = _near_first(own)
        self.steps = [(row, _key(row, candidates)) for row in own if snake(row["column"]) != FAR_ABOVE_LEAST]
        self.flags = tuple(sorted({snake(row["when"]) for row, _ in self.steps if row["when"]}))
        self._count = len(candidates)
        self._ranks = {
            combination: self._rank(dict(zip(self.flags, combination, strict=True)))
            for combination in itertools.product((0, 1), repeat=len(self.flags))
        }

    def _rank(self, flags):
        keys = [key for row, key in self.steps if not row["when"] or flags[snake(row["when"])]]
        order = np.lexsort(tuple(reversed([*keys, np.arange(self._count)])))
        rank = np.empty(self._count, dtype=np.int64)
        rank[order] = np.arange(self._count)
        return rank

    def rank_of(self, combination):
        return self._ranks[tuple(int(value) for value in combination)]

    def groups(self, columns, count):
        """Number of each place's combination, and the combinations."""
        if not self.flags:
            return np.zeros(count, dtype=np.int64), [()]
        number = np.zeros(count, dtype=np.int64)
        for flag in self.flags:
            number = 2 * number + (columns[flag] == 1)
        return number, list(itertools.product((0, 1), repeat=len(self.flags)))


def _near_first(rows):
    """Whether the order begins with the step that rests on a place; it can stand nowhere else."""
    at = [number for number, row in enumerate(rows) if snake(row["column"]) == FAR_ABOVE_LEAST]
    if at and at != [0]:
        row = rows[at[-1]]
        raise DefinitionError("", [Problem("preference.csv", row.get("line"), "step", f"'{row['column']}' is not the first step of {row['family']}",
                                           "Give it the lowest step of its family.")])  # fmt: skip
    return bool(at)


def usual_classes(settings):
    """Groups and classes of fuses in the usual order, as defaults.csv has them."""
    return [word.strip().casefold() for word in (settings.values.get("fuse classes") or "").split(",") if word.strip()]


def _key(row, candidates):
    name = snake(row["column"])
    column = next((c for c in (*candidates.columns, *candidates.words) if name in (c, without_unit(c))), None)
    if column is None:
        raise DefinitionError("", [Problem("preference.csv", row.get("line"), "column", f"'{row['column']}' is no column of {row['family']}",
                                           "Write a column of that family's table.")])  # fmt: skip
    if row["direction"] == "words in order":
        order = [word.strip().casefold() for word in (row["words_in_order"] or "").split("/")]
        if column in candidates.words:
            words = [(word or "").casefold() for word in candidates.words[column]]
        else:
            words = [{1.0: "yes", 0.0: "no"}.get(value, "") for value in candidates.columns[column]]
        return np.array([order.index(word) if word in order else len(order) for word in words], dtype=float)
    values = candidates.columns[column]
    values = -values if row["direction"] == "descending" else values
    return np.where(np.isnan(values), np.inf, values)  # unknown comes last, whichever way the order runs


def add_builders_order(candidates, settings, rule):
    """Columns the builder's choices decide, and the mask of what the builder buys."""
    allowed = np.ones(len(candidates), dtype=bool)
    if candidates.family == "wires":
        chosen = [name.casefold() for name in settings.choices.get("insulations", [])]
        kinds = [(name or "").casefold() for name in candidates.words["insulation"]]
        if chosen:
            place = np.array([chosen.index(kind) if kind in chosen else len(chosen) for kind in kinds], dtype=float)
            allowed &= place < len(chosen)
        else:
            wanted = rule["insulation_order_k"] or 0.0
            place = np.where(np.abs(candidates.columns["temperature_rating_k"] - wanted) < 0.01, 0.0, 1.0)
        candidates.columns["in_builder_s_insulation_order"] = place
        systems = settings.choices.get("size systems", [])
        if systems:
            own = [(name or "") for name in candidates.words["size_system"]]
            candidates.columns["in_size_system"] = np.array([float(name == systems[0]) for name in own])
            sold = np.array([name in systems for name in own])
            candidates.columns["in_bought_size_system"] = sold * 1.0
            allowed &= sold
    elif candidates.family == "fuses":
        chosen = [name.casefold() for name in settings.choices.get("fuse classes", [])]
        words = list(zip(candidates.words["group"], candidates.words["class"], strict=True))
        order = chosen or usual_classes(settings)
        place = np.array([min((order.index((w or "").casefold()) for w in pair if (w or "").casefold() in order), default=len(order))
                          for pair in words], dtype=float)  # fmt: skip
        candidates.columns["in_builder_s_class_order"] = place
        if chosen:
            allowed &= place < len(order)
    elif candidates.family == "suppressors":
        allowed &= candidates.columns["number"] <= settings.number("suppressors in parallel limit")
    elif candidates.family == "lugs":
        chosen = [name.casefold() for name in settings.choices.get("lug styles", [])]
        if chosen:
            allowed &= np.array([(style or "").casefold() in chosen for style in candidates.words["style"]])
    return allowed
