"""Grids of a datasheet -> rows of a table: cells understood one by one, or refused with the reason."""

import re

from selector.catalogue.cells import Number, YesNo
from selector.catalogue.datasheets import Grid, cannot
from selector.catalogue.datasheets_cells import UNKNOWN, footnote, read_number, read_pair
from selector.catalogue.mapping import ONE_SIZE, Mapping, link_by_rows, map_grid, settle_units
from selector.catalogue.mapping_words import IDENTITY, role_of
from selector.catalogue.merging_rows import OWN, Row
from selector.catalogue.reading import fold_key
from selector.errors import UnitError, nearest, quoted
from selector.units import UNITS, find_unit, fold


def map_all(report, grids, matcher, saved, target):
    """Map every grid that holds rows of the table."""
    tried = []
    carried = None
    for grid in grids:
        report.notes += [f"{grid.label}: {note}" for note in grid.notes]
        if not grid.rows:
            continue
        mapping = map_grid(grid, matcher, saved)
        turned = _turned(grid)
        if turned is not None:
            other = map_grid(turned, matcher, saved)
            if other.score > mapping.score + 0.9:
                mapping = other
                report.notes.append(f"{grid.label}: its rows and columns are exchanged")
        if mapping.score < 1.5 and carried is not None and len(grid.rows[0]) == len(carried.heads):
            mapping = _continued(grid, carried)  # a table that goes on over the page, without its head
        link_by_rows(mapping, matcher, _shared(mapping, target))
        tried.append(mapping)
        if _enough(mapping, target):
            carried = mapping
    chosen = [m for m in tried if _enough(m, target)]
    if not chosen:
        best = max(tried, key=lambda m: m.score, default=None)
        words = ", ".join(quoted(h.text) for h in best.heads if h.text) if best and best.heads else "nothing"
        report.unmatched = best if best and best.heads else None
        raise cannot(
            report.datasheet, None, f"no table for {target.file} was found in it; the heads seen are {words}",
            f"Its columns are {', '.join(c.words for c in target.declared.columns if c.words not in OWN)}. "
            "Say in a map file which is which: --map FILE.csv writes one with these heads where there is none; fill in its "
            "column 'column' and merge again with it.",
        )  # fmt: skip
    most = max(m.score for m in chosen)
    for mapping in chosen:
        if mapping.score < 0.5 * most:
            report.notes.append(f"{mapping.grid.label}: not read, another sheet or page fits better")
            continue
        settle_units(mapping, _shared(mapping, target))
        report.mappings.append(mapping)
        report.notes += [f"{mapping.grid.label}: {problem}" for problem in mapping.problems]
        for head in mapping.unused:
            report.notes.append(f"{mapping.grid.label}: column {quoted(head.text)} fills nothing")


def _enough(mapping, target):
    """Whether a mapping says which row is meant and at least one thing of it."""
    names = {c.words for link in mapping.links for c in (link.column, link.pair) if c}
    identity = set(IDENTITY.get(target.file, ()))
    return len(names) >= 2 and (target.declared.key in names or len(names & identity) >= 1) and mapping.score >= 1.4


def _turned(grid):
    """The grid with rows and columns exchanged, where it is small enough to be a sheet of one part a column."""
    width = len(grid.rows[0]) if grid.rows else 0
    if not 2 <= width <= 60 or len(grid.rows) < 2 or len(grid.rows) > 60:
        return None
    rows = [list(column) for column in zip(*grid.rows, strict=True)]
    remarks = {}
    if any(r.startswith("!") for r in grid.remarks.values()):
        return None
    return Grid(
        grid.label,
        rows,
        [f"column {i + 1}" for i in range(len(rows))],
        grid.loose,
        remarks,
        grid.doubtful,
        grid.points,
        grid.delimiter,
    )


def _continued(grid, before):
    links = list(before.links)
    return Mapping(grid, 0, before.heads, links, left=before.left, score=before.score)


def _shared(mapping, target):
    """A function that gives (figure, row of the table) of a column's plain numbers whose row the table has."""
    key = next((x for x in mapping.links if x.column.words == target.declared.key and x.index is not None), None)

    at = None if key is None else key.index
    rows = () if at is None else mapping.grid.rows[mapping.start :]

    def shared(index):
        found = []
        for row in rows:
            number = target.by_key.get(fold_key(row[at]))
            if number is not None and re.fullmatch(r"[+-]?\d+(?:\.\d+)?", row[index]):
                found.append((float(row[index]), target.rows[number]))
        return found

    return shared


_CERTAIN_POINT = re.compile(r"[+-]?(?:\d*\.\d{1,2}|\d*\.\d{4,}|0\.\d+|\d{4,}\.\d+|\d{1,3}(?:,\d{3})+\.\d+)(?!\d)")


_CERTAIN_COMMA = re.compile(r"[+-]?(?:\d*,\d{1,2}|\d*,\d{4,}|0,\d+|\d{4,},\d+|\d{1,3}(?:\.\d{3})+,\d+)(?!\d)")


def _decimal(mapping):
    """The decimal mark of a sheet: ".", ",", None where nothing says; raises nothing, "both" is a problem."""
    point = comma = grouped = False
    for row in mapping.grid.rows[mapping.start :]:
        for link in mapping.links:
            if link.index is None or not isinstance(link.column, Number):
                continue
            for match in re.findall(r"[+-]?[\d.,]*[.,]\d[\d.,]*", row[link.index]):
                point = point or bool(_CERTAIN_POINT.fullmatch(match))
                comma = comma or bool(_CERTAIN_COMMA.fullmatch(match))
                grouped = grouped or "," in match
    if point and comma:
        return "both"
    if comma:
        return ","
    if point or mapping.grid.points:
        return "."
    return "." if mapping.grid.delimiter == "," and not grouped else None


def _notes_of(mapping):
    """Footnotes of a sheet: mark -> text; and the rows that are such, or titles."""
    notes, skip, titles = {}, set(), {}
    pattern = re.compile(r"^\(?([*†‡§]{1,3}|[⁰¹²³⁴-⁹]|[1-9a-z](?=[).\]:]))[)\].:]?\s*(\S.*)$")
    raised = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
    for text in mapping.grid.loose:
        match = pattern.match(text)
        if match:
            notes[match[1].translate(raised)] = match[2]
    for i, row in enumerate(mapping.grid.rows):
        filled = list(dict.fromkeys(cell for cell in row if cell))
        if i < mapping.start or len(filled) > 2 or (len(filled) == 2 and len(filled[0]) > 3):
            continue
        match = pattern.match(" ".join(filled))
        if match and (
            (len(filled) == 2 and not re.match(r"[a-z\d]", match[1])) or (len(filled) == 1 and len(match[2]) > 3)
        ):
            notes[match[1].translate(raised)] = match[2]
            skip.add(i)
        elif len(filled) == 1:
            titles[i] = filled[0]
    return notes, skip, titles


def incoming(mapping, target, report):
    """The rows of one grid, each cell understood or the reason why not."""
    decimal = _decimal(mapping)
    notes, skip, titles = _notes_of(mapping)
    if decimal == ",":
        report.notes.append(f"{mapping.grid.label}: numbers with a decimal comma")
    links = mapping.links
    used = [link for link in links if link.column.name in target.index or link.pair]
    for link in links:
        if link not in used:
            report.notes.append(f"{mapping.grid.label}: the table has no column {quoted(link.column.words)}; not taken")
    heads = [fold(head.text) for head in mapping.heads]
    rows, title = [], ""
    for i, cells in enumerate(mapping.grid.rows):
        if i < mapping.start or i in skip:
            continue
        if i in titles and len(links) > 1 and fold_key(titles[i]) not in target.by_key:
            title = titles[i]
            report.notes.append(f"{mapping.grid.label} {mapping.grid.places[i]}: {quoted(title)} is taken for a title")
            continue
        texts = [fold(cell) for cell in cells]
        if sum(a == b for a, b in zip(texts, heads, strict=False) if a) >= max(2, 0.6 * sum(bool(t) for t in texts)):
            continue  # the head again, on a new page
        row = Row(
            mapping.grid.places[i] if len(report.mappings) == 1 else f"{mapping.grid.label} {mapping.grid.places[i]}"
        )
        remark = mapping.grid.remarks.get(i, "")
        if remark.startswith("!"):
            row.refuse(remark[1:])
        elif remark:
            row.look(remark)
        for link in used:
            _take_cell(row, link, cells, decimal, notes, target, mapping.grid.doubtful)
        if title:
            _from_title(row, title, used, target)
        if any(v is not None for v in row.values.values()) or row.reasons:
            rows.append(row)
    return rows


def _take_cell(row, link, cells, decimal, notes, target, doubtful=()):
    """One cell into the row's values."""
    column = link.column
    text = link.value if link.index is None else cells[link.index]
    mark = None if link.index is None else decimal
    if mark == "both" and isinstance(column, Number) and re.search(r"\d[.,]\d", text):
        row.refuse(f"{link.head.text}: the sheet has decimal points and decimal commas; {quoted(text)} may be either")
        return
    mark = "." if link.index is None or mark == "both" else mark
    if isinstance(column, Number) and text in doubtful:
        row.refuse(f"{link.head.text}: {quoted(text)} stands as text in the sheet: a thousand or a decimal?")
        return
    try:
        if isinstance(column, Number):
            _take_number(row, link, text, cells, mark, notes)
        elif isinstance(column, YesNo):
            row.values[column.name] = _yes_no(text)
        else:
            row.values[column.name] = _words(row, column, text, link, target)
        row.texts[column.name] = text
    except UnitError as error:
        head = link.head.text or column.words
        row.refuse(f"{head}: {error.found}" + (f". {error.expected.rstrip('.')}" if error.expected else ""))


def _take_number(row, link, text, cells, decimal, notes):
    column = link.column
    if (
        link.unit is None
        and column.unit
        and text
        and text.casefold() not in UNKNOWN
        and not re.search(r"[^\W\d_]|[%\"°]", text)
    ):
        raise UnitError(
            "no unit is given, neither in the head nor in the cell",
            f"Write it into the map file, column unit (the table has {column.unit})",
        )
    unit = link.unit if link.unit is not None else (None if column.unit else UNITS[""])
    if link.pair is not None and link.how == ONE_SIZE:
        value = read_number(text, unit, role_of("area"), decimal, "", notes)
        row.values[column.name] = row.values[link.pair.name] = value.low
        if value.remark:
            row.look(f"{column.words}: {value.remark}")
        return
    if link.pair is not None:
        low, high = read_pair(text, unit, decimal, notes)
        row.values[column.name], row.values[link.pair.name] = low.low, high.low
        if low.remark:
            row.look(low.remark)
        return
    bound = link.head.bound if link.head.bound in ("max", "min", "typ") else ""
    value = read_number(text, unit, role_of(column.words), decimal, bound, notes)
    if unit is None and value.low is not None:
        _of_dimension(text, column)
    if value.remark:
        row.look(f"{column.words}: {value.remark}" if not value.remark.startswith("'") else value.remark)
    for other in link.also:
        second = read_number(cells[other.index], other.unit, role_of(column.words), decimal, bound, notes)
        if second.low is not None and value.low is None:
            value = second
        elif second.low is not None and abs(second.low - value.low) > 0.015 * max(abs(value.low), abs(second.low)):
            raise UnitError(
                f"{quoted(text)} and {quoted(cells[other.index])} ({other.head.text}) do not agree",
                "Which of them holds?",
            )
    row.values[column.name] = value.low
    row.units[column.name] = unit


def _of_dimension(text, column):
    """A cell's own unit, where the head has none, must be one of the column's dimension."""
    own = re.search(r"[^\W\d_][^\d]*[23]?(?:/[\w() ]+)?$|[\"'%]$|°\w$", text.strip())
    if own is None:
        return
    name = re.sub(r"(?i)^(max|min|typ)\.?$", "", own[0].strip())
    if name:
        try:
            find_unit(name, column.dimension)
        except UnitError as error:
            if "is a unit of" in error.found:
                raise


def _yes_no(text):
    text, _ = footnote(text)
    folded = text.casefold().strip()
    if folded in UNKNOWN:
        return None
    known = {"yes": "yes", "y": "yes", "true": "yes", "1": "yes", "✓": "yes", "✔": "yes", "●": "yes",
             "no": "no", "n": "no", "false": "no", "0": "no", "✗": "no", "✘": "no"}  # fmt: skip
    if folded not in known:
        raise UnitError(f"{quoted(text)} is neither yes nor no", "Write yes or no")
    return known[folded]


def _words(row, column, text, link, target):
    """A cell of words, in the spelling the table has."""
    stripped, mark = text, ""
    match = re.search(r"[ ]?[*†‡]+$|[¹²³]$", text)
    if match and column.words not in OWN:
        stripped, mark = text[: match.start()].strip(), match[0].strip()
    if stripped.casefold() in UNKNOWN:
        return None
    if mark:
        row.look(f"{column.words}: footnote mark {mark}")
    if column.words == "size":
        stripped = _size(stripped, link.head)
    if column.words_allowed:
        allowed = {fold(word): word for word in column.words_allowed}
        if fold(stripped) not in allowed:
            raise UnitError(f"{quoted(stripped)} is not one of {', '.join(w for w in column.words_allowed if w)}", "")
        return allowed[fold(stripped)]
    if column.refers_to or column.words in OWN:
        return stripped
    if column.name not in target.spelling:
        seen = (row.get(column.name) for row in target.rows)
        target.spelling[column.name] = {fold(str(value)): value for value in seen if value}
    spelled = target.spelling[column.name]
    if fold(stripped) in spelled:
        return spelled[fold(stripped)]
    if column.words != target.declared.key and len(spelled) <= 60 and spelled:
        near = nearest(stripped, spelled.values())
        if near and re.sub(r"\D", "", near) == re.sub(r"\D", "", stripped):
            raise UnitError(f"{quoted(stripped)} is not a word the table has for it", f"Did you mean {quoted(near)}?")
        row.look(f"{column.words} {quoted(stripped)} is new to the table")
    return stripped


def _size(text, head):
    """A wire size in the table's spelling: ``10`` below AWG is 10 AWG, ``000`` is 3/0 AWG."""
    gauge = "awg" in head.words.split() or {"gauge", "gage"} & set(head.words.split())
    bare = re.fullmatch(r"(?:(?:AWG|#|no\.?) ?)?(\d{1,2}|[1-6]/0|0{1,6})(?: ?AWG)?", text, re.IGNORECASE)
    if bare and (gauge or re.search("awg", text, re.IGNORECASE)):
        number = bare[1]
        if re.fullmatch("0+", number):
            number = f"{len(number)}/0"
        return f"{number} AWG"
    metric = re.fullmatch(r"([\d.]+) ?(?:mm2|mm²|mm\^2|sq\.? ?mm)", text, re.IGNORECASE)
    return f"{float(metric[1]):g} mm2" if metric else text


def _from_title(row, title, used, target):
    """A title between the rows fills a column of words that nothing else fills, where the table knows that word."""
    linked = {link.column.name for link in used}
    for column in target.declared.columns:
        if isinstance(column, Number | YesNo) or column.name in linked or column.words in OWN:
            continue
        spelled = {fold(str(r[column.name])): r[column.name] for r in target.rows if r.get(column.name)}
        if fold(title) in spelled and column.words != target.declared.key:
            row.values[column.name] = spelled[fold(title)]
            row.look(f"{column.words} {quoted(spelled[fold(title)])} from the title above it")
            return
    row.look(f"it stands below the title {quoted(title)}")
