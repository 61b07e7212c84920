"""Incoming rows against the table: which row is meant, what it would become, whether that can be true."""

import difflib
import re

from selector.catalogue.cells import Number, read_cells
from selector.catalogue.judging import REFUSE, judge, judge_change, key_of
from selector.catalogue.mapping_words import IDENTITY, NEEDED
from selector.catalogue.merging_rows import CHANGED, NEW, OWN, REFUSED, SAME, equal
from selector.catalogue.reading import fold_key
from selector.errors import nearest, quoted
from selector.units import UNITS, find_unit

_RANK = {"measured": 3, "read": 2, "computed": 1, "memory": 0}


def match(report, target):
    """Give every row its key and the row of the table it means."""
    key_name = target.declared.columns[0].name
    squashed = {}
    for row in target.rows:
        squashed.setdefault(_squash(key_of(row)), key_of(row))
    for row in report.rows:
        named = row.values.get(key_name)
        if named:
            row.key = " ".join(str(named).split())
            number = target.by_key.get(fold_key(row.key))
            if number is not None:
                row.old = target.rows[number]
                row.key = key_of(row.old)
            elif _squash(row.key) in squashed:
                row.refuse(f"its name is nearly that of {quoted(squashed[_squash(row.key)])}: the same part?")
        elif row.result != REFUSED:
            _by_identity(row, target)
        else:
            row.key = row.key or row.place
        row.key = row.key or row.place
    _doubles(report)


def _squash(text):
    return re.sub(r"[^\w./#]+|_|\.(?!\d)", "", text.casefold())


def _by_identity(row, target):
    """The row of the table that has the same identity, for datasheets without our names."""
    columns = [c for c in target.declared.columns if c.words in IDENTITY.get(target.file, ())]
    given = [c for c in columns if row.values.get(c.name) is not None]
    if not given:
        row.refuse(f"it has no name, and nothing says which {target.declared.key} it is")
        return
    fits = [old for old in target.rows if all(equal(row.values[c.name], old.get(c.name), 0.005) for c in given)]
    full = all(row.values.get(c.name) is not None for c in columns)
    row.key = " ".join(_part_of_name(row, c, target) for c in given)
    if len(fits) == 1:
        row.old, row.key = fits[0], key_of(fits[0])
        row.look(f"taken for this row by its {', '.join(c.words for c in given)}")
    elif len(fits) > 1:
        names = ", ".join(key_of(one) for one in fits[:4])
        row.refuse(f"it may be any of {len(fits)} rows: {names}. Add a column {quoted(target.declared.key)}")
    elif not full and len(given) < max(1, len(columns) - 2):
        missing = ", ".join(c.words for c in columns if c not in given)
        row.refuse(f"it has no name, and {missing} are not given: which {target.declared.key} is it?")
    elif fold_key(row.key) in target.by_key:
        row.refuse(f"{quoted(row.key)} stands in the table with another {' or '.join(c.words for c in columns)}")
    else:
        row.look("its name was made of what it is")


def _part_of_name(row, column, target):
    value = row.values[column.name]
    if not isinstance(column, Number):
        return str(value)
    unit = target.units.get(column.name) or (find_unit(column.unit) if column.unit else UNITS[""])
    return f"{unit.from_inner(value):.6g} {unit.name}".strip()


def _doubles(report):
    """Rows of one datasheet that name the same part: the same again is dropped, others are all refused."""
    first = {}
    for row in report.rows:
        if not row.key or row.key == row.place:
            continue
        before = first.setdefault(fold_key(row.key), row)
        if before is row:
            continue
        same = all(equal(row.values.get(name), value) for name, value in before.values.items())
        if same and set(before.values) == set(row.values):
            row.look(f"the same as {before.place}")
            row.result = row.result or "double"
        else:
            row.refuse(f"{before.place} says something else of {quoted(row.key)}")
            before.refuse(f"{row.place} says something else of {quoted(row.key)}")


def compose(report, target, tables, sources):
    """What each row would be in the table, and how it differs from what stands there."""
    key_name = target.declared.columns[0].name
    known = target.declared.columns
    for row in report.rows:
        if row.result == REFUSED:
            continue
        if row.result == "double":
            row.result = SAME
            continue
        stated = {name: value for name, value in row.values.items() if value is not None and name != key_name}
        _derive(row, stated, target)
        base = dict(row.old) if row.old else {c.name: None for c in known}
        new = dict(base)
        new.pop("line", None) if row.old is None else None
        if row.old is None:
            new[key_name] = row.key
        differing = {n: v for n, v in stated.items() if not _same_value(row, n, v, base, target)}
        new.update(differing)
        figures = [n for n in differing if n not in OWN]
        if "source" in target.index and (figures or row.old is None):
            new["source"] = stated.get("source") or report.source
        if "status" in target.index and (figures or row.old is None):
            new["status"] = stated.get("status") or "read"
        row.new = new
        if row.old is None:
            row.result = NEW
        elif all(equal(new.get(c.name), row.old.get(c.name), 0.0) for c in known):
            row.result = SAME
            if row.old.get("status") == "memory":
                row.look("the same figures; it stays 'memory' unless the datasheet has a column status")
        else:
            row.result = CHANGED
        _schema(row, target, tables, sources)
        if row.result == CHANGED:
            _status_conflict(row, figures)
            for severity, _, text in judge_change(known, row.old, row.new):
                row.refuse(text) if severity == REFUSE else row.look(text)


def _derive(row, stated, target):
    """What a size says of itself."""
    size = stated.get("size")
    if "size_system" in target.index and size and "size_system" not in stated and row.old is None:
        system = "AWG" if str(size).endswith("AWG") else "mm2" if str(size).endswith("mm2") else None
        if system:
            stated["size_system"] = system
    if target.file == "conductors.csv" and row.old is None and not size and stated.get("area_mm2"):
        text = row.texts.get("area_mm2", "")
        if re.fullmatch(r"[\d.]+( ?mm2| ?mm²)?", text):
            stated["size"], stated["size_system"] = f"{stated['area_mm2']:g} mm2", "mm2"
            row.look("its size is taken from its area")


def _same_value(row, name, value, base, target):
    """Whether a datasheet's figure is what the table has; in another unit, to the digits the datasheet prints."""
    old = base.get(name)
    if not isinstance(value, float) or not isinstance(old, float):
        return equal(value, old)
    if abs(value - old) <= 1e-9 * max(abs(value), abs(old)):
        return True
    link_unit = row.units.get(name)
    own = target.units.get(name)
    if link_unit is None or own is None or link_unit == own:
        return False
    digits = re.fullmatch(r"[+-]?\d+(?:[.,](\d+))?", row.texts.get(name, ""))
    if digits is None:
        return False
    half = 0.5 * 10 ** -len(digits[1] or "") * link_unit.scale
    return abs(value - old) <= half * (1 + 1e-9) and abs(value - old) <= 0.005 * abs(old)


def _status_conflict(row, figures):
    old, new = _RANK.get(row.old.get("status"), 0), _RANK.get(row.new.get("status"), 2)
    if figures and old > new:
        row.refuse(f"the table's row is '{row.old['status']}', this one only '{row.new['status']}'")


def _schema(row, target, tables, sources):
    """The row's cells as the table would read them; required ones filled; references that lead somewhere."""
    for column in target.declared.columns:
        value = row.new.get(column.name)
        if value is None:
            if getattr(column, "filled", False):
                of = getattr(column, "refers_to", None)
                row.refuse(f"{column.words} is missing" + (f": every row needs one, a key of {of}" if of else ""))
            continue
        if row.old is not None and equal(value, row.old.get(column.name), 0.0):
            continue
        if column.name not in target.index:
            if column.words not in OWN:
                row.look(f"the table has no column {quoted(column.words)}; not taken")
            continue
        text = _written(value, column, target)
        row.written[column.name] = text
        complaints = []
        unit = target.units.get(column.name)
        read = read_cells(
            column,
            unit,
            [text],
            target.text.decimal,
            lambda i, found, expected, near="", c=complaints: c.append(f"{found}. {expected}"),
        )
        for complaint in complaints:
            row.refuse(f"{column.words}: {complaint}".rstrip(". "))
        again = read[0][0] if isinstance(column, Number) else read[0]
        if not complaints and not equal(again, value, 2e-9):
            row.refuse(f"{column.words}: {quoted(text)} would not read back as {value!r}")
        if getattr(column, "refers_to", None) and not complaints:
            rows = tables.rows.get(column.refers_to, ())
            keys = {key_of(r).casefold(): key_of(r) for r in rows}
            if str(value).casefold() not in keys and not (
                column.words == "source"
                and value not in sources.values()
                and row.new["source"] == value
                and row.values.get("source") is None
            ):
                near = nearest(str(value), keys.values())
                row.refuse(
                    f"{column.words}: {quoted(value)} is not a key of {column.refers_to}"
                    + (f"; did you mean {quoted(near)}?" if near else "")
                )


def _written(value, column, target):
    """A value as a cell of the table."""
    if not isinstance(column, Number):
        return str(value)
    unit = target.units[column.name]
    shown_value = unit.from_inner(value)
    text = next(
        t
        for n in range(1, 17)
        for t in (f"{shown_value:.{n}g}",)
        if n == 16 or abs(float(t) - shown_value) <= 1e-10 * abs(shown_value)
    )
    if "e" in text:
        text = f"{float(text):.20f}".rstrip("0").rstrip(".") if abs(float(text)) < 1 else f"{float(text):.0f}"
        if abs(float(text) - shown_value) > 1e-9 * abs(shown_value):
            text = f"{shown_value:.12g}"
    return text.replace(".", ",") if target.text.decimal == "," else text


def judge_all(report, target, tables):
    """Judge the rows that would land among those that stand; what is refused is taken out, until nothing more is."""
    before = {
        (f.key, f.rule, f.columns)
        for f in judge(target.file, tables.having(target.file, [dict(r) for r in target.rows]))
    }
    while True:
        landing = [row for row in report.rows if row.result in (NEW, CHANGED)]
        if not landing:
            return
        touched = {row.key for row in landing}
        by_key = {row.key: row for row in landing}
        rows = [dict(by_key[key_of(old)].new) if key_of(old) in by_key else dict(old) for old in target.rows]
        rows += [dict(row.new) for row in landing if row.result == NEW]
        found = [f for f in judge(target.file, tables.having(target.file, rows), touched) if f.key in touched]
        found = [f for f in found if _concerns(f, by_key[f.key], before)]
        bad = [f for f in found if f.severity == REFUSE]
        if not bad:
            for finding in found:
                by_key[finding.key].look(finding.text)
            for row in landing:
                _never_picked(row, target)
                _without_curve(row, target, tables)
            _near_doubles(landing, rows, target)
            if all(row.result != REFUSED for row in landing):
                return
            continue
        for finding in bad:
            by_key[finding.key].refuse(finding.text)


def _never_picked(row, target):
    """Say of a new part what it lacks to be picked at all."""
    lacks = [words for words in NEEDED.get(target.file, ()) if row.new.get(_name_of(words, target)) is None]
    if row.result == NEW and lacks:
        row.look(f"without {' and '.join(lacks)} it is never picked: unknown is never a pass")


def _name_of(words, target):
    return next((c.name for c in target.declared.columns if c.words == words), words)


def _without_curve(row, target, tables):
    """Say of a device whose rating no opening curve of its class covers that its opening time stays unknown."""
    rating, name = row.new.get("rating_a"), row.new.get("class")
    changed = row.old is None or not equal(rating, row.old.get("rating_a")) or not equal(name, row.old.get("class"))
    if target.file != "fuses.csv" or rating is None or not name or not changed:
        return
    curves = [own for own in tables.rows.get("fuse_curves.csv", ()) if equal(own["class"], name)]
    ends = [(own.get("from_rating_a"), own.get("to_rating_a")) for own in curves]
    if curves and not any(
        (low or 0.0) <= rating * (1 + 1e-9) and rating <= (high or rating) * (1 + 1e-9) for low, high in ends
    ):
        covered = ", ".join(f"{low:g} to {high:g} A" for low, high in dict.fromkeys(ends) if low and high)
        row.look(f"no opening curve of class {quoted(name)} covers {rating:g} A (fuse_curves.csv has {covered}): whatever rests "
                 "on its opening time stays unknown")  # fmt: skip


def _concerns(finding, row, before):
    """Whether a finding is this row's doing: a new row, or a column it changes; an old complaint is not."""
    if row.result == NEW:
        return True
    changed = {name for name, value in row.new.items() if not equal(value, row.old.get(name), 0.0)}
    if not changed & set(finding.columns):
        return False
    return finding.severity == REFUSE or (finding.key, finding.rule, finding.columns) not in before


def _near_doubles(landing, rows, target):
    """A new row that is a known part under another name."""
    columns = [c.name for c in target.declared.columns if c.words in IDENTITY.get(target.file, ())]
    figures = [c.name for c in target.declared.columns if isinstance(c, Number)]
    if not columns:
        return
    for row in landing:
        if row.result != NEW:
            continue
        for other in rows:
            if key_of(other) == row.key or not all(equal(row.new.get(n), other.get(n), 1e-6) for n in columns):
                continue
            if all(equal(row.new.get(n), other.get(n), 1e-6) for n in figures):
                row.refuse(f"the same part as {quoted(key_of(other))} under another name")
            else:
                row.look(f"nearly the same part as {quoted(key_of(other))}")
            break
        else:
            close = difflib.get_close_matches(
                row.key, [k for k in (key_of(o) for o in rows) if k != row.key], n=1, cutoff=0.93
            )
            if close and re.sub(r"\D", "", close[0]) == re.sub(r"\D", "", row.key):
                row.look(f"its name is close to {quoted(close[0])}")
