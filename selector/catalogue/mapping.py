"""Columns of a datasheet -> columns of a table, by names, units and values; shown, and kept in an editable file."""

import csv
import functools
import io
import re
import unicodedata
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from selector.catalogue.cells import Number, Text, YesNo
from selector.catalogue.datasheets_cells import FLOOR, GREATEST, LEAST, LIMIT, NOMINAL
from selector.catalogue.mapping_words import KEY_WORDS, PAIRS, SINGLE_SIZE, role_of, said
from selector.errors import Problem, TableError, UnitError, nearest, quoted
from selector.units import UNITS, _look_up, find_unit, fold, split_header, units_of

MAP_COLUMNS = ("datasheet column", "unit", "column", "value", "note")
_BOUNDS = {"max": "max", "maximum": "max", "greatest": "max", "largest": "max", "min": "min", "minimum": "min",
           "least": "min", "smallest": "min", "lowest": "min", "typ": "typ", "typical": "typ", "nom": "nom",
           "nominal": "nom", "avg": "typ"}  # fmt: skip
_KIND = re.compile(r"([mk]?V|[mk]?A(?= ?d)) ?d\.?c\.?|([mk]?A) ?r\.?m\.?s\.?", re.IGNORECASE)
_ENOUGH = 0.55
ONE_SIZE = "one size, the least and the greatest it takes"
_DEEPEST_HEAD, _LAST_HEAD = 3, 60


@dataclass
class Head:
    """A column's head taken apart."""

    text: str
    words: str
    unit_text: str | None = None
    bound: str = ""


@dataclass
class Link:
    """One column of the datasheet, or one constant, and the column of the table it fills.

    index : column of the grid; None of a constant
    pair : the second column a column of ranges fills
    also : further columns that say the same, held against the first
    how : why they are taken to be the same
    """

    index: int | None
    head: Head
    column: Any
    unit: Any = None
    pair: Any = None
    also: list = field(default_factory=list)
    how: str = ""
    value: str = ""
    score: float = 0.0

    @property
    def target(self):
        """The column it fills, as shown."""
        return f"{self.column.words} .. {self.pair.words}" if self.pair else self.column.words


@dataclass
class Mapping:
    """How one grid is read: where its rows begin, and what fills what; ``left`` are columns the map file settles."""

    grid: Any
    start: int = 0
    heads: list = field(default_factory=list)
    links: list = field(default_factory=list)
    problems: list = field(default_factory=list)
    left: set = field(default_factory=set)
    score: float = 0.0

    @property
    def unused(self):
        """Heads that fill nothing."""
        used = {i for link in self.links for i in (link.index, *[other.index for other in link.also])}
        return [head for i, head in enumerate(self.heads) if i not in used and head.text]


def normal(text):
    """Words for comparing: no case, no signs, raised digits as digits."""
    text = unicodedata.normalize(
        "NFKC", text.replace("Ø", " diameter ").replace("ø", " diameter ").replace("⌀", " diameter ")
    )
    text = text.casefold().replace("i^2t", "i2t").replace("i**2t", "i2t")
    return " ".join(re.sub(r"[^\w%]+|_", " ", text).split())


def take_apart(text):
    """A head's words, unit and bound: ``Breakdown voltage VBR (V) max`` is breakdown voltage vbr, V, max."""
    shown = text
    text = re.sub(r"(?<=[\w)\]])(?: ?[*†‡]+| ?\(\d\)|(?:(?<=[)\]]) ?| )[¹²³⁴-⁹]|¹)$", "", text.strip())
    words, unit = split_header(text)
    if unit is None:
        words, unit = _inner_brackets(text)
    if unit is None:
        words, unit = _unit_at_end(text)
    unit = None if unit is None else _without_kind(unit)
    if unit is not None and re.fullmatch(r"\d|[a-e]", unit):
        unit = None
    tokens = normal(words).split()
    bounds = [_BOUNDS[token] for token in tokens if token in _BOUNDS]
    if unit and not bounds:
        inner = re.fullmatch(r"(.+?)[ ,]+(max|min|typ)\.?", unit, re.IGNORECASE)
        if inner:
            unit, bounds = inner[1], [inner[2].lower()]
    kept = [token for token in tokens if token not in _BOUNDS]
    if tokens == ["typ"] and unit is None:
        kept, bounds = ["type"], []
    bound = bounds[0] if len(set(bounds)) == 1 else ""
    return Head(shown, " ".join(kept), unit, bound)


def _without_kind(unit):
    """A unit without the kind of current behind it: ``V dc``, ``VDC`` and ``A rms`` are V and A. V ac and V rms stay as
    they are: no rating for direct current follows from one for alternating current."""
    match = _KIND.fullmatch(unit.strip())
    return (match[1] or match[2]) if match else unit


def _inner_brackets(text):
    for match in re.finditer(r"[\[(]([^\[\]()]+(?:\([^()]*\))?)[\])]", text):
        if _look_up(_without_kind(match[1].strip())) is None:
            continue
        return f"{text[: match.start()]} {text[match.end() :]}".strip(), match[1].strip()
    return text, None


def _unit_at_end(text):
    """A unit behind the words without brackets: ``OD mm``, ``resistance in ohm/km``."""
    parts = text.split()
    for count in (2, 1):
        if len(parts) < count:
            continue
        tail = " ".join(parts[-count:])
        if tail in ("in", "min", "h", "K", "C", "F", "m", "s", "g") or tail.casefold() in ("max", "min"):
            continue
        unit = _look_up(_without_kind(tail))
        if unit is not None and unit.name:
            words = " ".join(parts[:-count])
            return re.sub(r"\s+in$|[,:/]$", "", words), tail
    return text, None


def _names(column, key):
    """(words, bound, weight) of everything a column is called."""
    own = take_apart(column.words)
    found = [(own.words, own.bound, 1.0)]
    for other in said(column.words):
        tokens = normal(other).split()
        bounds = [_BOUNDS[t] for t in tokens if t in _BOUNDS]
        words = " ".join(t for t in tokens if t not in _BOUNDS)
        found.append((words, bounds[0] if bounds else own.bound, 0.93))
    if column.words == key:
        found += [(normal(word), "", 0.85 - 0.01 * i) for i, word in enumerate(KEY_WORDS.split("; "))]
    return found


def _bound_fits(head_bound, column_bound, column):
    """How well a head's max or min goes with a column, 0 to 1."""
    if column_bound:
        return 1.0 if head_bound == column_bound else 0.0
    role = role_of(column.words)
    if not head_bound or head_bound == "nom":
        return 1.0
    if head_bound == "max":
        return {GREATEST: 1.02, LIMIT: 1.0, NOMINAL: 0.9}.get(role, 0.0)
    if head_bound == "min":
        return {LEAST: 1.02, FLOOR: 1.0, LIMIT: 0.95, NOMINAL: 0.8}.get(role, 0.0)
    return 0.85 if role == NOMINAL else 0.62


def _unit_fits(head, column):
    """The unit of the head read for a column: (fits, unit or None)."""
    if not isinstance(column, Number):
        return head.unit_text is None, None
    if head.unit_text is None:
        return True, UNITS[""] if column.dimension == "number" else None
    try:
        return True, find_unit(head.unit_text, column.dimension)
    except UnitError:
        return False, None


_folded = functools.lru_cache(maxsize=20_000)(fold)


class Matcher:
    """Scores of heads against the columns of one table, with what the table's rows hold."""

    def __init__(self, declared, vocabulary):
        self.declared = declared
        self.vocabulary = vocabulary
        self.names = {c.words: _names(c, declared.key) for c in declared.columns}
        self._cache = {}

    def score(self, head, column):
        """How much a head looks like a column, 0 to 1 and a little above; by words and unit alone."""
        place = (head.text, column.name)
        if place not in self._cache:
            self._cache[place] = self._score(head, column)
        return self._cache[place]

    def _score(self, head, column):
        fits, unit = _unit_fits(head, column)
        if not fits:
            return 0.0
        with_unit = 0.04 if unit is not None and head.unit_text else 0.0
        best = 0.0
        mine = set(head.words.split())
        for words, bound, weight in self.names[column.words]:
            fit = _bound_fits(head.bound, bound, column)
            if words == head.words and words:
                best = max(best, weight * fit + with_unit)
                continue
            theirs = set(words.split())
            if not mine or not theirs or fit <= 0:
                continue
            share = len(mine & theirs) / len(mine | theirs)
            if theirs <= mine and share < 0.6:
                share = 0.5 + 0.1 * share
            if share >= 0.5 and (with_unit or not isinstance(column, Number) or share >= 0.66 or not column.unit):
                best = max(best, (0.35 + 0.4 * share) * weight * fit + with_unit)
        if not mine and with_unit:
            alone = [c for c in self.declared.columns if isinstance(c, Number) and c.dimension == column.dimension]
            best = max(best, 0.58 if len(alone) == 1 else 0.0)
        return best

    def pair_score(self, head, pair):
        """How much a head looks like a column of ranges that fills both of a pair."""
        columns = [c for c in self.declared.columns if c.words in pair]
        if len(columns) != 2 or head.bound:
            return 0.0, None
        fits, unit = _unit_fits(head, columns[0])
        if not fits:
            return 0.0, None
        words = [normal(word) for word in PAIRS[pair].split("; ")]
        with_unit = 0.04 if unit is not None else 0.0
        if head.words in words:
            return 0.9 + with_unit, columns
        mine = set(head.words.split())
        share = max((len(mine & set(w.split())) / len(mine | set(w.split())) for w in words), default=0.0)
        return (0.5 + 0.4 * share + with_unit if share >= 0.6 else 0.0), columns

    def by_values(self, column, texts):
        """Share of texts that stand in the table's own column already."""
        known = self.vocabulary.get(column.words) or frozenset()
        filled = [_folded(text) for text in texts if text]
        return sum(text in known for text in filled) / len(filled) if filled else 0.0


def map_grid(grid, matcher, saved=()):
    """The best way to read a grid as rows of a table.

    Parameters
    ----------
    grid : the ``Grid``
    matcher : a ``Matcher`` of the table
    saved : rows of a map file, which count before anything else
    """
    kept = {fold(row["datasheet column"]): row for row in saved if row["datasheet column"]}
    best = Mapping(grid)
    for first in range(min(len(grid.rows), _LAST_HEAD)):
        if _is_data(grid.rows[first]):
            continue
        for depth in range(1, _DEEPEST_HEAD + 1):
            rows = grid.rows[first : first + depth]
            if len(rows) < depth or any(_is_data(row) for row in rows[1:]) or first + depth >= len(grid.rows):
                break
            units, start = _unit_row(grid, first + depth)
            heads = _heads(rows, units)
            mapping = _assign(grid, heads, start, matcher, kept, depth)
            if mapping.score > best.score + 1e-9:
                best = mapping
        if best.heads and best.score >= 0.8 * sum(bool(head.text) for head in best.heads) > 2:
            break  # heads that nearly all mean something are the heads
    if best.links:
        _constants(best, matcher, saved)
    return best


def _is_data(row):
    """Whether a row looks like figures rather than heads: a third of its cells begin with a digit, a head's do not."""
    filled = [cell for cell in row if cell]
    return not filled or sum(bool(re.match(r"[+\-−]?[.,]?\d", cell)) for cell in filled) > 0.34 * len(filled)


def _unit_row(grid, index):
    """The row of units below the heads, if there is one: (cells, first row of data)."""
    if index >= len(grid.rows):
        return None, index
    filled = [cell for cell in grid.rows[index] if cell and cell not in ("-", "–", "—", "[-]", "(-)")]
    known = 0
    for cell in filled:
        unit = _look_up(cell if cell.startswith("W/(") else cell.strip("[]()"))
        known += unit is not None and bool(unit.name)
    if filled and known >= 0.6 * len(filled):
        return grid.rows[index], index + 1
    return None, index


def _heads(rows, units):
    """One head a column from the rows of heads and the row of units."""
    filled = []
    for number, row in enumerate(rows):
        row = list(row)
        if number < len(rows) - 1:
            for i in range(1, len(row)):
                below = normal(rows[number + 1][i])
                if not row[i] and row[i - 1] and below and all(t in _BOUNDS for t in below.split()):
                    row[i] = row[i - 1]
        filled.append(row)
    heads = []
    for i in range(len(rows[0])):
        parts = []
        for row in filled:
            if row[i] and (not parts or row[i] != parts[-1]):
                parts.append(row[i])
        text = " ".join(parts)
        head = take_apart(text)
        if units is not None and units[i] and head.unit_text is None:
            unit = units[i].strip()
            inner = re.fullmatch(r"[\[(](.+)[\])]", unit)
            unit = inner[1] if inner else unit
            if unit not in ("-", "–", "—"):
                head = Head(f"{text} [{unit}]" if text else "", head.words, unit, head.bound)
        heads.append(head)
    return heads


def _assign(grid, heads, start, matcher, kept, depth):
    mapping = Mapping(grid, start, heads)
    texts = {i: [row[i] for row in grid.rows[start : start + 200]] for i in range(len(heads))}
    taken, options = set(), []
    for i, head in enumerate(heads):
        row = kept.get(fold(head.text)) if head.text else None
        if row is not None:
            taken.add(i)
            link = _kept_link(i, head, row, matcher, mapping)
            mapping.left.add(i)
            if link:
                mapping.links.append(link)
            continue
        if not head.text:
            continue
        options += _options(i, head, texts[i], matcher)
    done = {c.name for link in mapping.links for c in (link.column, link.pair) if c}
    for score, i, columns, how in sorted(options, key=lambda o: (-o[0], o[1])):
        if i in taken:
            continue
        names = [c.name for c in columns]
        if any(name in done for name in names):
            first = next((link for link in mapping.links if link.column.name == names[0] and link.pair is None), None)
            same = len(names) == 1 and first is not None and first.index is not None and isinstance(columns[0], Number)
            if same and score >= 0.85 and first.score >= 0.85 and first.head.bound == heads[i].bound:
                unit = _unit_fits(heads[i], columns[0])[1]
                if unit is not None:
                    first.also.append(Link(i, heads[i], columns[0], unit, how=how, score=score))
                    taken.add(i)
            continue
        unit = _unit_fits(heads[i], columns[0])[1]
        pair = columns[1] if len(columns) == 2 else None
        mapping.links.append(Link(i, heads[i], columns[0], unit, pair, how=how, score=score))
        taken.add(i)
        done.update(names)
    mapping.links.sort(key=lambda link: link.index)
    mapping.score = sum(min(link.score, 1.0) for link in mapping.links) - 0.05 * (depth - 1)
    mapping.score += 0.001 * min(len(grid.rows) - start, 100) / 100
    return mapping


def _options(i, head, texts, matcher):
    """Every column a head could be, with a score."""
    found = []
    for column in matcher.declared.columns:
        score = matcher.score(head, column)
        how = "by its name" if score >= 0.99 else "by other words"
        if isinstance(column, Text) and not isinstance(column, YesNo):
            share = matcher.by_values(column, texts)
            own_key = column.words == matcher.declared.key
            if share >= 0.5 and head.unit_text is None and (score >= 0.3 or own_key or share >= 0.8):
                score, how = (
                    max(score, 0.6) + 0.3 * share,
                    "by its name and values" if score >= 0.5 else "by its values",
                )
            elif (
                score < 0.9
                and matcher.vocabulary.get(column.words)
                and share == 0
                and column.words != matcher.declared.key
            ):
                score *= 0.8
        if score >= _ENOUGH:
            found.append((score, i, (column,), how))
    ranged = sum(bool(re.search(r"\d ?(?:-|–|—|\.\.+|…|to) ?\d", text)) for text in texts if text)
    for pair in PAIRS:
        score, columns = matcher.pair_score(head, pair)
        if score and ranged >= 0.5 * sum(bool(text) for text in texts):
            found.append((score + 0.1, i, tuple(columns), "a range that fills two columns"))
        elif score and not ranged and head.unit_text and head.words in SINGLE_SIZE:
            found.append((score, i, tuple(columns), ONE_SIZE))
    return found


def _kept_link(i, head, row, matcher, mapping):
    """What the map file says of a column."""
    if not row["column"]:
        return None
    names = [part.strip() for part in row["column"].split("..")]
    by_words = {fold(c.words): c for c in matcher.declared.columns}
    columns = [by_words.get(fold(split_header(name)[0])) for name in names]
    if None in columns or len(columns) > 2:
        near = nearest(row["column"], [c.words for c in matcher.declared.columns])
        mapping.problems.append(
            f"map file: {quoted(row['column'])} is not a column of {matcher.declared.file}"
            + (f"; did you mean {quoted(near)}?" if near else "")
        )
        return None
    unit = None
    if isinstance(columns[0], Number):
        text = row["unit"] or head.unit_text
        try:
            unit = (
                find_unit(text, columns[0].dimension)
                if text
                else (UNITS[""] if columns[0].dimension == "number" else None)
            )
        except UnitError as error:
            mapping.problems.append(f"map file, {head.text}: {error.found}. {error.expected}")
            return None
    return Link(i, head, columns[0], unit, columns[1] if len(columns) == 2 else None, how="by the map file", score=1.2)


def _constants(mapping, matcher, saved):
    by_words = {fold(c.words): c for c in matcher.declared.columns}
    used = {link.column.words for link in mapping.links}
    for row in saved:
        if row["datasheet column"] or not row["column"] or not row["value"]:
            continue
        column = by_words.get(fold(split_header(row["column"])[0]))
        if column is None:
            mapping.problems.append(f"map file: {quoted(row['column'])} is not a column of {matcher.declared.file}")
            continue
        if column.words in used:
            continue
        unit = None
        if isinstance(column, Number):
            try:
                unit = (
                    find_unit(row["unit"], column.dimension)
                    if row["unit"]
                    else find_unit(column.unit)
                    if column.unit
                    else UNITS[""]
                )
            except UnitError as error:
                mapping.problems.append(f"map file, {row['column']}: {error.found}. {error.expected}")
                continue
        mapping.links.append(
            Link(None, Head("", ""), column, unit, how="a constant of the map file", value=row["value"])
        )


def settle_units(mapping, shared):
    """Units a head does not state, found by the rows table and datasheet share: one unit must fit them all.

    ``shared(index)`` gives (figure, row of the table) of a column's cells whose row the table has already.
    """
    for link in mapping.links:
        column = link.column
        if link.index is None or not isinstance(column, Number) or link.unit is not None or not column.unit:
            continue
        units = [find_unit(name, column.dimension) for name in units_of(column.dimension)]
        rows = shared(link.index)
        fits = [unit for unit in units if _agree(rows, column, unit, 0.02)]
        if fits and len({(unit.scale, unit.offset) for unit in fits}) == 1:
            link.unit = fits[0]
            link.how += f"; its unit {fits[0].name} by {len(rows)} rows the table has"


def link_by_rows(mapping, matcher, shared):
    """Columns whose heads say nothing, found by their figures: they are those of one column of the table."""
    done = {c.name for link in mapping.links for c in (link.column, link.pair) if c}
    used = {i for link in mapping.links for i in (link.index, *[other.index for other in link.also])}
    for i, head in enumerate(mapping.heads):
        if not head.text or i in used or i in mapping.left:
            continue
        rows, fits = shared(i), []
        for column in matcher.declared.columns:
            if not isinstance(column, Number) or column.name in done or not _unit_fits(head, column)[0]:
                continue
            names = [head.unit_text] if head.unit_text else units_of(column.dimension) if column.unit else []
            units = [find_unit(name, column.dimension) for name in names] or [UNITS[""]]
            fits += [(column, unit) for unit in units if _agree(rows, column, unit, 0.005)]
        if len({column.name for column, _ in fits}) == 1 and len({(u.scale, u.offset) for _, u in fits}) == 1:
            column, unit = fits[0]
            how = f"by its figures in {len(rows)} rows the table has"
            mapping.links.append(Link(i, head, column, unit, how=how, score=0.8))
            mapping.score += 0.8
            done.add(column.name)


def _agree(rows, column, unit, tolerance):
    """Whether figures in a unit are those of a column: in at least three rows and four of five, not all alike."""
    pairs = [(figure, row[column.name]) for figure, row in rows if row.get(column.name)]
    good = [abs(unit.to_inner(figure) - value) <= tolerance * abs(value) for figure, value in pairs]
    alike = tolerance < 0.01 and len({value for _, value in pairs}) < 3
    return len(good) >= 3 and sum(good) >= 0.8 * len(good) and not alike


def read_map(path):
    """Rows of a map file; raises `TableError` where it is none."""
    text = Path(path).read_bytes().decode("utf-8-sig", errors="replace")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    if rows and not {"datasheet column", "column"} <= set(rows[0]):
        raise TableError(
            "map file cannot be used",
            [Problem(Path(path).name, 1, "", "this is not a map file", f"Its header is {','.join(MAP_COLUMNS)}.")],
        )
    return [{name: (row.get(name) or "").strip() for name in MAP_COLUMNS} for row in rows]


def map_rows(mappings, saved):
    """Rows of the map file after these mappings: what was there, then what is new."""
    rows = list(saved)
    have = {fold(row["datasheet column"]) for row in rows if row["datasheet column"]}
    for mapping in mappings:
        by_index = {i: link for link in mapping.links for i in (link.index, *[other.index for other in link.also])}
        for i, head in enumerate(mapping.heads):
            if not head.text or fold(head.text) in have:
                continue
            have.add(fold(head.text))
            link = by_index.get(i)
            unit = head.unit_text or ""
            note = "not used"
            if link:
                own = next((other for other in link.also if other.index == i), link)
                unit = own.unit.name if own.unit is not None else unit
                note = (
                    link.how
                    if isinstance(link.column, Number) is False or own.unit is not None
                    else f"{link.how}; write its unit here"
                )
            rows.append(
                {
                    "datasheet column": head.text,
                    "unit": unit,
                    "column": link.target if link else "",
                    "value": "",
                    "note": note,
                }
            )
    return rows


def map_bytes(rows):
    """A map file's bytes."""
    stream = io.StringIO(newline="")
    writer = csv.DictWriter(stream, MAP_COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return stream.getvalue().encode()
