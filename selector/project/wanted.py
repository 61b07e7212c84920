"""What each role of each row may be: the program's to fill, not wanted, or the user's own part."""

import re
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from selector.catalogue.reading import fold_key
from selector.errors import nearest, quoted

NONE = ("none", "-", "no")
_PIECES = re.compile(r"(\d+)\s*[x×]\s*(\S.*)$", re.IGNORECASE)
"""``2 x KEY``: how many of a part in parallel."""


@dataclass
class Wanted:
    """What a place's role may be: ``present`` False for none; ``only`` a list of candidate numbers or None."""

    present: bool = True
    only: Any = None
    fixed: bool = False
    inherited: bool = False
    missing: bool = False


class WantedList(list):
    """For each row a dictionary role -> Wanted; ``ratings`` are those of the devices, for what rows inherit."""

    ratings = ()


def kinds_of(project, places, kinds, problems, catalogue):
    """Rows by kind; an unknown kind is a problem."""
    frame = project.frames["connections.csv"]
    served = {}
    for i, kind in enumerate(places.kinds):
        name = fold_key(kind or "")
        if name in kinds:
            served.setdefault(name, []).append(i)
        elif kind:
            problems.add(frame.label, places.lines[i], frame.headers.get("kind", "kind"), f"{quoted(kind)} is not a kind of connection",
                         f"Known are: {', '.join(kinds)}.", nearest(kind, kinds))  # fmt: skip
    return served


def read_wanted(project, places, kinds, parts, served, builder, problems, as_built=False):
    """A `WantedList` in row order."""
    frame = project.frames["connections.csv"]
    wanted = WantedList([None] * len(places.names))
    wanted.ratings = parts["fuses"].columns["rating_a"].tolist()
    finders = {name: _Finder(own) for name, own in parts.items()}
    own_device = places.columns["own_device"]
    told = _told(places, kinds)
    usual = {}
    for kind, rows in served.items():
        roles = kinds[kind].roles
        for i in rows:
            plain = (kind, own_device[i] == 1, bool(builder.no_lug["from"][i]), bool(builder.no_lug["to"][i]))
            if not told[i] and plain in usual:
                wanted[i] = usual[plain]
                continue
            row = places.rows[i]
            wanted[i] = {}
            for role in roles:
                text = row.get(role.role.replace(" ", "_"))
                want = _wanted(text, role, finders[role.family], row, i, frame, problems)
                if role.role == "protection" and not own_device[i]:
                    want.present = False
                for end in ("from", "to"):
                    if role.role == f"lug {end}" and builder.no_lug[end][i] and not want.fixed:
                        want.present = False
                if role.role.startswith("sleeve") and text is None:
                    lug = wanted[i].get(role.role.replace("sleeve", "lug"))
                    want.present = lug.present or lug.missing if lug is not None else want.present
                if as_built and want.present and not want.fixed:
                    want.present, want.only, want.missing = False, None, True
                wanted[i][role.role] = want
            if not told[i]:
                usual[plain] = wanted[i]
    return wanted


def _told(places, kinds):
    """Whether a row says anything of its parts; rows that say nothing share what is wanted of them."""
    data = places.rows.data
    names = {role.role.replace(" ", "_") for kind in kinds.values() for role in kind.roles} | {"insulation"}
    said = np.zeros(data.height, bool)
    for name in names:
        if name in data.columns and data[name].null_count() < data.height:
            said |= data[name].is_not_null().to_numpy()
    return said.tolist()


def _wanted(text, role, finder, row, i, frame, problems):
    insulation = row.get("insulation") if role.role == "conductor" else None
    if text is None:
        if insulation is None:
            return Wanted()
        found = finder.with_word("insulation", insulation)
        if not found:
            _complain(frame, row, "insulation", insulation, "insulations", finder.values("insulation"), problems)
        return Wanted(only=found)
    if text.casefold() in NONE:
        return Wanted(present=False)
    found = finder.find(text)
    if insulation is not None:
        allowed = set(finder.with_word("insulation", insulation))
        found = [index for index in found if index in allowed]
    own = finder.candidates
    if len({own.plain_key(index) for index in found}) == 1:
        return Wanted(only=found, fixed=True)
    header = frame.headers.get(role.role.replace(" ", "_"), role.role)
    if not found and (number := finder.odd_number(text)) is not None:
        most = max((own.pieces(index) for index in range(len(own.keys))), default=1) if finder.several else 1
        problems.add(frame.label, row["_line"], header, f"{number} pieces of one part are not served here",
                     f"Write the part alone, or with a number from 1 to {most}." if most > 1 else "Write the part alone; "
                     "more pieces are rows of their own.")  # fmt: skip
    elif not found:
        _complain(frame, row, role.role, text, own.table.removesuffix(".csv"), own.keys, problems)
    else:
        keys = list(dict.fromkeys(own.plain_key(index) for index in found))
        some = ", ".join(keys[:6])
        more = f" and {len(keys) - 6} more" if len(keys) > 6 else ""
        problems.add(frame.label, row["_line"], header, f"{quoted(text)} names {len(keys)} parts",
                     f"Say which: {some}{more}.")  # fmt: skip
    return Wanted()


def _complain(frame, row, column, text, table, known, problems):
    header = frame.headers.get(column.replace(" ", "_"), column)
    problems.add(frame.label, row["_line"], header, f"{quoted(text)} is no row of {table}",
                 f"Write a key of {table}.csv, words that name one part, or none.", nearest(text, known))  # fmt: skip


class _Finder:
    """Finds a family's parts by key or by words."""

    def __init__(self, candidates):
        self.candidates = candidates
        self.several = bool(candidates.plain_keys)

    @cached_property
    def by_key(self):
        return {fold_key(key): index for index, key in enumerate(self.candidates.keys)}

    @cached_property
    def by_plain_key(self):
        found = {}
        for index, key in enumerate(self.candidates.plain_keys):
            found.setdefault(fold_key(key), []).append(index)
        return found

    @cached_property
    def words(self):
        return [frozenset(_words(text)) for text in self.candidates.descriptions]

    def find(self, text):
        """Candidates that a cell names. A part that may stand in parallel is meant with any number of pieces, unless
        the cell says how many: ``2 x KEY``."""
        exact = self.by_key.get(fold_key(text))
        if not self.several:
            return self._by_words(text) if exact is None else [exact]
        said = _PIECES.match(text.strip())
        number, plain = (int(said[1]), said[2]) if said and exact is None else (None, text)
        if exact is not None and self.candidates.pieces(exact) > 1:
            return [exact]
        found = self.by_plain_key.get(fold_key(plain)) or self._by_words(plain)
        return [index for index in found if number is None or self.candidates.pieces(index) == number]

    def odd_number(self, text):
        """The number of pieces a cell asks of a part that is there, but not in that number; None for any other text."""
        said = _PIECES.match(text.strip())
        if said is None:
            return None
        found = self.by_plain_key.get(fold_key(said[2])) or self.by_key.get(fold_key(said[2]))
        return None if found is None else int(said[1])

    def _by_words(self, text):
        wanted = frozenset(_words(text))
        return [index for index, words in enumerate(self.words) if wanted <= words] if wanted else []

    def values(self, column):
        return sorted({value for value in self.candidates.words[column] if value})

    def with_word(self, column, text):
        values = self.candidates.words[column]
        exact = [index for index, value in enumerate(values) if value and fold_key(value) == fold_key(text)]
        if exact:
            return exact
        wanted = frozenset(_words(text))
        return [index for index, value in enumerate(values) if value and wanted <= frozenset(_words(value))]


def _words(text):
    """Words of a description; ``8AWG`` is ``8 awg``, ``16mm²`` is ``16 mm2``."""
    text = text.casefold().replace("²", "2").replace("mm^2", "mm2").replace(",", " ")
    text = re.sub(r"(\d)(awg|mm2|a\b|v\b)", r"\1 \2", text)
    return text.split()
