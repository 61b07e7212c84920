"""Can a row be true? Physics, order and number of what a part table says, for tables as they are and rows to come.

A finding is ``refuse`` where the row cannot be true, ``look`` where it can but is unusual and makes somebody check.
"""

import bisect
import math
import re
from dataclasses import dataclass, field

from selector.catalogue.judging_rules import RULES
from selector.catalogue.judging_series import BETTER, SERIES
from selector.units import snake

REFUSE, LOOK = "refuse", "look"


@dataclass(frozen=True)
class Finding:
    """One thing that is wrong or unusual with a row.

    rule : name of the rule; two findings of one rule on one row with the same columns are the same complaint
    """

    file: str
    key: str
    line: int | None
    rule: str
    columns: tuple
    text: str
    severity: str = REFUSE

    def __str__(self):
        place = f"{self.file} line {self.line}" if self.line else self.file
        return f"{place}, {self.key}: {self.text}"


@dataclass
class Tables:
    """Rows of the tables by file, each a dictionary of inner names; what rules look things up in."""

    rows: dict = field(default_factory=dict)
    _keys: dict = field(default_factory=dict)

    def find(self, file, key):
        """The row of another table, or None."""
        if file not in self._keys:
            rows = self.rows.get(file, ())
            self._keys[file] = {str(row[next(iter(row))]).casefold(): row for row in rows if next(iter(row), None)}
        return self._keys[file].get((key or "").casefold())

    @classmethod
    def of(cls, catalogue):
        """The tables of a catalogue."""
        return cls({file: list(frame.iter_rows(named=True)) for file, frame in catalogue.frames.items()})

    def having(self, file, rows):
        """The same tables with other rows in one of them."""
        return Tables({**self.rows, file: rows})


def key_of(row):
    """A row's key."""
    return str(row[next(iter(row))])


def judge(file, tables, touched=None):
    """Findings on the rows of one table.

    Parameters
    ----------
    file : the table
    tables : a ``Tables``
    touched : keys of the rows to be held against their neighbours closely; None judges every row, loosely
    """
    rows = tables.rows.get(file, [])
    found = []

    def complain(row, rule, columns, text, severity=REFUSE):
        found.append(Finding(file, key_of(row), row.get("line"), rule, tuple(columns), text, severity))

    for rule in RULES.get(file, ()):
        rule(rows, tables, complain)
    _key_numbers(file, rows, complain)
    for group, driver, values in SERIES.get(file, ()):
        _series(rows, group, driver, values, touched, complain)
    if touched is not None:
        _constants(file, rows, touched, complain)
        _ranges(rows, touched, complain)
    return found


# ---- what the key says

_IN_KEY = {
    "fuses.csv": ((r"([\d.]+) A\b", "rating_a", 1.0), (r"([\d.]+) V\b", "voltage_rating_v", 1.0)),
    "shunts.csv": ((r"([\d.]+) A\b", "current_a", 1.0), (r"([\d.]+) mV\b", "drop_v", 1e-3)),
    "sleeves.csv": ((r"([\d.]+) mm\b", "supplied_bore_m", 1e-3),),
    "busbars.csv": ((r"([\d.]+) x [\d.]+ mm", "width_m", 1e-3), (r"[\d.]+ x ([\d.]+) mm", "thickness_m", 1e-3)),
    "suppressors.csv": ((r"([\d.]+) V\b", "stand_off_v", 1.0),),
    "conductors.csv": ((r"([\d.]+) mm2\b", "area_mm2", 1.0),),
    "ampacities.csv": ((r"([\d.]+) mm2\b", "area_mm2", 1.0),),
    "studs.csv": ((r"^M([\d.]+)$", "thread_diameter_m", 1e-3),),
}


def _key_numbers(file, rows, complain):
    """A figure with its unit in the key says the same as its column."""
    for pattern, column, scale in _IN_KEY.get(file, ()):
        compiled = re.compile(pattern)
        for row in rows:
            numbers = {float(n) * scale for n in compiled.findall(key_of(row)) if n.strip(".")}
            value = row.get(column)
            tolerance = 0.06 if column == "area_mm2" else 0.011
            if value and len(numbers) == 1 and all(abs(n - value) > tolerance * value for n in numbers):
                said = next(iter(numbers))
                complain(row, "key", [column], f"its name says {said / scale:g}, its column {value / scale:g}")


# ---- neighbours in a family


def _series(rows, group, driver, values, touched, complain):
    """Each value against its neighbours of the same family, by interpolation between them."""
    families = {}
    for row in rows:
        if row.get(driver):
            families.setdefault(tuple(row.get(name) for name in group), []).append(row)
    for family in families.values():
        for column, direction, *apart in values:
            points = [(row[driver], row[column], row) for row in family if row.get(column) and row[column] > 0]
            if len(points) >= 4:
                _one_series(sorted(points, key=lambda p: p[:2]), column, direction, touched, complain, *apart)


def _one_series(points, column, direction, touched, complain, apart=1.6):
    wanted = [p for p in points if touched is None or key_of(p[2]) in touched]
    if not wanted:
        return
    curve = _Curve(points)
    deviations = {id(row): curve.deviation(at, value) for at, value, row in points}
    scatter = sorted(abs(d[0]) for d in deviations.values() if d is not None)
    if len(scatter) < 3:
        return
    usual = scatter[int(0.8 * (len(scatter) - 1))]
    for _, _, row in wanted:
        if deviations[id(row)] is None:
            continue
        deviation, expected, inside = deviations[id(row)]
        close = max(math.log(apart if inside else 1.4 * apart), 3 * usual)
        far = close if touched is not None else max(math.log(2.5), 2 * close)
        size = abs(deviation)
        if size <= 0.002:
            continue
        unusual = max(0.002, 0.4 * usual) if _flatters(column, deviation) else max(0.03, 1.2 * usual)
        if size > far or (touched is not None and size > unusual):
            says = f"{_word(column)} is {math.exp(deviation):.3g} times what its neighbours lead to expect"
            complain(
                row, "neighbours", [column], f"{says} ({_figure(column, expected)})", REFUSE if size > far else LOOK
            )
    if direction and touched is not None:
        _monotone(curve, wanted, column, direction, complain)


def _flatters(column, deviation):
    """Whether a value off its neighbours makes the part look better than they are."""
    return _WAYS.get(_word(column).replace(" ", "_"), 0) * deviation > 0


class _Curve:
    """The points of one family by what orders them, and what they lead to expect in between."""

    def __init__(self, points):
        self.at = {}
        for at, value, row in points:
            self.at.setdefault(at, []).append((value, row))
        self.order = sorted(self.at)
        self.middle = [_middle([value for value, _ in self.at[at]]) for at in self.order]

    def deviation(self, at, value):
        """(log of value over what the others say, what they say, whether they stand on both sides), or None."""
        here = [v for v, _ in self.at[at]]
        if len(here) > 1:
            here.remove(value)
            expected = _middle(here)
            return math.log(value / expected), expected, True
        place, last = bisect.bisect_left(self.order, at), len(self.order) - 1
        if 0 < place < last:
            pair, inside = (place - 1, place + 1), True
        elif last >= 2:
            pair, inside = ((1, 2) if place == 0 else (last - 1, last - 2)), False
        else:
            return None
        (x0, y0), (x1, y1) = ((self.order[i], self.middle[i]) for i in pair)
        if not inside and max(at / x0, x0 / at) > 4:
            return None
        slope = max(-2.5, min(2.5, math.log(y1 / y0) / math.log(x1 / x0)))
        expected = y0 * (at / x0) ** slope
        return math.log(value / expected), expected, inside

    def out_of_order(self, direction):
        """Whether the family does not keep its order anyway: more than one step in ten, or several values a size."""
        steps = list(zip(self.middle[:-1], self.middle[1:], strict=True))
        broken = sum((b - a) * direction < -1e-9 * a for a, b in steps)
        return broken > max(2, 0.1 * len(steps)) or any(len(own) > 1 for own in self.at.values())


def _middle(values):
    values = sorted(values)
    return values[len(values) // 2]


def _monotone(curve, wanted, column, direction, complain):
    """Larger parts have more of it (or less): a touched row may not break what the family keeps."""
    if curve.out_of_order(direction):
        return
    for at, value, row in wanted:
        for other, own in curve.at.items():
            theirs, its = own[0]
            if other != at and (other - at) * (theirs - value) * direction < 0 and abs(theirs - value) > 1e-9 * value:
                word = "more" if direction > 0 else "less"
                text = (
                    f"{_word(column)} breaks the order of its family: larger parts have {word}, and {key_of(its)} has"
                )
                complain(row, "order", [column], f"{text} {_figure(column, theirs)}")
                break


# ---- what a whole class has in common, and what the table has seen

_CLASSES = {
    "fuses.csv": ("class",),
    "sleeves.csv": ("class", "ratio"),
    "lugs.csv": ("style",),
    "splices.csv": ("method",),
    "wires.csv": (),
    "suppressors.csv": ("class",),
    "busbars.csv": ("material", "surface", "supply"),
    "rectifiers.csv": ("circuit",),
}


def _constants(file, rows, touched, complain):
    """A value every other row of the class shares."""
    group = _CLASSES.get(file)
    if group is None:
        return
    families = {}
    for row in rows:
        families.setdefault(tuple(row.get(name) for name in group), []).append(row)
    for family in families.values():
        for row in (r for r in family if key_of(r) in touched):
            for column, value in row.items():
                if not isinstance(value, float):
                    continue
                others = [
                    r[column] for r in family if r is not row and r.get(column) is not None and key_of(r) not in touched
                ]
                if len(others) < 3:
                    continue
                usual = max(set(others), key=others.count)
                if others.count(usual) < 0.9 * len(others) or abs(value - usual) <= 1e-9 * abs(usual):
                    continue
                far = abs(value - usual) > 90 if column.endswith("_k") else not 0.25 < value / usual < 4
                text = f"{_word(column)} is {_figure(column, value)}"
                text += f", where the rest of its class has {_figure(column, usual)}"
                complain(row, "class", [column], text, REFUSE if far else LOOK)


def _ranges(rows, touched, complain):
    """Values far outside everything the table holds."""
    names = [n for n, v in (rows[0].items() if rows else ()) if n != "line"]
    for column in names:
        known = [
            r[column] for r in rows if key_of(r) not in touched and isinstance(r.get(column), float) and r[column] != 0
        ]
        if len(known) < 5:
            continue
        low, high = min(known), max(known)
        for row in rows:
            value = row.get(column)
            if key_of(row) not in touched or not isinstance(value, float) or value == 0:
                continue
            if column.endswith("_k"):
                far, beyond = not low - 60 <= value <= high + 90, not low <= value <= high
            else:
                far, beyond = not low / 3 <= value <= high * 3, not low <= value <= high
            text = f"{_word(column)} is {_figure(column, value)}"
            text += f", where the table has {_figure(column, low)} to {_figure(column, high)}"
            if far or beyond:
                complain(row, "range", [column], text, REFUSE if far else LOOK)


# ---- a row that replaces another


def judge_change(columns, old, new):
    """What is to be said of new values in place of old ones: findings without file and key.

    columns : declared columns; old, new : rows
    """
    found = []
    for column in columns:
        name = column.name
        before, after = old.get(name), new.get(name)
        if not isinstance(before, float) or not isinstance(after, float) or before == after:
            continue
        better = BETTER.get(column.words, 0)
        text = f"{column.words} {_figure(name, before)} becomes {_figure(name, after)}"
        if name.endswith("_k") and column.dimension == "temperature":
            if abs(after - before) > 90:
                found.append((REFUSE, name, f"{text}: too far from what the table says to be a correction"))
                continue
            gain = (after - before) * better
        else:
            if before == 0 or after == 0 or not 1 / 3 < after / before < 3:
                found.append((REFUSE, name, f"{text}: {_times(before, after)}; a slip of a digit or a unit?"))
                continue
            if _transposed(before, after):
                found.append((LOOK, name, f"{text}: the same digits in another order"))
            gain = (after - before) * better
        if gain > 0:
            found.append((LOOK, name, f"{text}: better than before"))
        elif better == 0 and not _near(before, after):
            found.append((LOOK, name, text))
    return found


def _near(before, after):
    return abs(after - before) <= 0.05 * abs(before)


def _times(before, after):
    return "one of them is nothing" if not before or not after else f"{after / before:.3g} times"


def _transposed(before, after):
    digits = [re.sub(r"\D", "", f"{v:.6g}").strip("0") for v in (before, after)]
    return digits[0] != digits[1] and sorted(digits[0]) == sorted(digits[1]) and len(digits[0]) > 1


_WAYS = {snake(words): way for words, way in BETTER.items()}


def _word(column):
    """A column's inner name for reading."""
    for ending in _SHOWN:
        if column.endswith(ending):
            return column.removesuffix(ending).replace("_", " ")
    return column.replace("_", " ")


_SHOWN = {
    "_ohm_per_m": (1e3, "ohm/km"), "_ohm_mm2_per_m": (1, "ohm mm2/m"), "_a2s": (1, "A2 s"), "_mm2": (1, "mm2"),
    "_n_m": (1, "N m"), "_m_per_s": (1, "m/s"), "_kg_per_m3": (1, "kg/m3"), "_k_per_w": (1, "K/W"),
    "_w_per_m_k": (1, "W/(m K)"), "_per_k": (1, "1/K"), "_ohm": (1e3, "mohm"), "_m": (1e3, "mm"), "_a": (1, "A"),
    "_v": (1, "V"), "_w": (1, "W"), "_s": (1, "s"), "_k": (None, "degC"),
}  # fmt: skip


def _figure(column, value):
    """A value with its usual unit."""
    for ending, (scale, unit) in _SHOWN.items():
        if column.endswith(ending):
            shown = value - 273.15 if scale is None else value * scale
            return f"{shown:.4g} {unit}"
    return f"{value:.4g}"
