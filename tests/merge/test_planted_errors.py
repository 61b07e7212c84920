"""A hundred errors people make when they type or export a datasheet: each is caught, or at least pointed at."""

import random
import re
from collections import Counter

import pytest

from selector.catalogue.declarations import DECLARED
from selector.catalogue.judging_series import BETTER
from selector.catalogue.merging import CHANGED, NEW, REFUSED, merge
from selector.units import find_unit, split_header
from tests.merge.made import copied_tables, csv_text, rows_of

# Table -> columns a datasheet of it gives, and pairs somebody may exchange.
COLUMNS = {
    "conductors.csv": ("material", "coating", "size", "size system", "strand class", "area [mm2]", "diameter [mm]", "resistance at 20 degC [ohm/km]"),
    "lugs.csv": ("style", "size", "stud", "least area [mm2]", "greatest area [mm2]", "bore [mm]", "barrel diameter [mm]", "hole [mm]",
                 "palm width [mm]", "plating", "metal", "insulated", "temperature limit [degC]"),
    "sleeves.csv": ("class", "ratio", "adhesive", "supplied bore [mm]", "recovered bore [mm]", "recovered wall [mm]", "coldest [degC]", "temperature rating [degC]"),
    "fuses.csv": ("class", "group", "device", "rating [A]", "voltage rating [V]", "breaking capacity [A]", "temperature rating [degC]"),
    "shunts.csv": ("current [A]", "drop [mV]", "continuous current [A]"),
    "wires.csv": ("conductor", "insulation", "outer diameter [mm]"),
    "suppressors.csv": ("class", "polarity", "package", "stand-off [V]", "least breakdown [V]", "greatest breakdown [V]", "test current [mA]",
                        "clamping [V]", "peak current [A]", "pulse power [W]", "steady power [W]", "greatest junction [degC]"),
    "busbars.csv": ("width [mm]", "thickness [mm]", "material", "bars", "surface", "supply", "ampacity [A]"),
}  # fmt: skip
SWAPS = (
    ("lugs.csv", "bore [mm]", "barrel diameter [mm]"), ("lugs.csv", "least area [mm2]", "greatest area [mm2]"),
    ("lugs.csv", "hole [mm]", "palm width [mm]"), ("lugs.csv", "bore [mm]", "palm width [mm]"),
    ("sleeves.csv", "supplied bore [mm]", "recovered bore [mm]"), ("sleeves.csv", "coldest [degC]", "temperature rating [degC]"),
    ("sleeves.csv", "recovered bore [mm]", "recovered wall [mm]"),
    ("suppressors.csv", "least breakdown [V]", "greatest breakdown [V]"), ("suppressors.csv", "stand-off [V]", "clamping [V]"),
    ("suppressors.csv", "stand-off [V]", "least breakdown [V]"), ("suppressors.csv", "pulse power [W]", "steady power [W]"),
    ("shunts.csv", "current [A]", "continuous current [A]"), ("busbars.csv", "width [mm]", "thickness [mm]"),
    ("suppressors.csv", "greatest breakdown [V]", "clamping [V]"),
)  # fmt: skip
WRONG_UNITS = (
    ("conductors.csv", "resistance at 20 degC [ohm/km]", "ohm/kft"), ("conductors.csv", "area [mm2]", "kcmil"),
    ("conductors.csv", "diameter [mm]", "cm"), ("conductors.csv", "resistance at 20 degC [ohm/km]", "ohm/m"),
    ("lugs.csv", "hole [mm]", "in"), ("lugs.csv", "bore [mm]", "cm"), ("lugs.csv", "temperature limit [degC]", "degF"),
    ("lugs.csv", "greatest area [mm2]", "kcmil"), ("sleeves.csv", "temperature rating [degC]", "degF"),
    ("sleeves.csv", "supplied bore [mm]", "in"), ("fuses.csv", "breaking capacity [A]", "kA"), ("fuses.csv", "voltage rating [V]", "kV"),
    ("shunts.csv", "drop [mV]", "V"), ("wires.csv", "outer diameter [mm]", "cm"), ("suppressors.csv", "pulse power [W]", "kW"),
    ("busbars.csv", "width [mm]", "in"),
)  # fmt: skip
MILS = (
    ("conductors.csv", "diameter [mm]"), ("lugs.csv", "hole [mm]"), ("lugs.csv", "bore [mm]"), ("lugs.csv", "palm width [mm]"),
    ("sleeves.csv", "supplied bore [mm]"), ("sleeves.csv", "recovered bore [mm]"), ("sleeves.csv", "recovered wall [mm]"),
    ("wires.csv", "outer diameter [mm]"), ("busbars.csv", "width [mm]"), ("busbars.csv", "thickness [mm]"),
)  # fmt: skip
MILLIAMPERES = (
    ("fuses.csv", "rating [A]"), ("fuses.csv", "breaking capacity [A]"), ("shunts.csv", "current [A]"),
    ("shunts.csv", "continuous current [A]"), ("suppressors.csv", "peak current [A]"), ("suppressors.csv", "test current [mA]"),
    ("busbars.csv", "ampacity [A]"), ("fuses.csv", "rating [A]"),
)  # fmt: skip


def other_unit(header, unit):
    """The same words with another unit: the figures below it are then wrong."""
    return f"{split_header(header)[0]} [{unit}]"


def slipped(cell, draw):
    return f"{float(cell) * draw.choice((10, 0.1)):.10g}"


def transposed(cell, draw):
    """Two neighbouring digits exchanged, or None where that changes nothing."""
    places = [i for i in range(len(cell) - 1) if cell[i].isdigit() and cell[i + 1].isdigit() and cell[i] != cell[i + 1]]
    places += [
        i
        for i in range(len(cell) - 2)
        if cell[i + 1] == "." and cell[i].isdigit() and cell[i + 2].isdigit() and cell[i] != cell[i + 2]
    ]
    if not places:
        return None
    at = draw.choice(places)
    to = at + 1 if cell[at + 1] != "." else at + 2
    letters = list(cell)
    letters[at], letters[to] = letters[to], letters[at]
    return "".join(letters)


def misread_gauge(size, draw):
    """1/0 AWG as a fraction, its half, or the plain number before the stroke."""
    number = size.split("/")[0]
    return draw.choice((f"{number} AWG", f"1/{number}" if number != "1" else "1/2", f"0.{number} AWG"))


def planted(tables):
    """(kind, table, column, rows of the datasheet, key) of each error."""
    draw = random.Random(17)
    rows = {file: rows_of(tables / file) for file in COLUMNS}
    found = []

    def plant(kind, file, columns, change, fit=lambda row: True, heads=None):
        able = [key for key, row in rows[file].items() if all(row[c] for c in columns) and fit(row)]
        draw.shuffle(able)
        for key in able:
            row = dict(rows[file][key])
            if change(row) is not False:
                head = [next(iter(row)), *COLUMNS[file]]
                cells = [row[c] for c in head]
                head = [(heads or {}).get(c, c) for c in head]
                found.append((kind, file, columns, [head, cells], key))
                return

    for file, one, two in SWAPS:
        plant(
            "swapped columns",
            file,
            (one, two),
            lambda row: None,
            lambda row, a=one, b=two: row[a] != row[b],
            {one: two, two: one},
        )
    for file, column, unit in WRONG_UNITS:
        plant("wrong unit", file, (column,), lambda row: None, heads={column: other_unit(column, unit)})
    for file, column in MILS:
        plant("mils for mm", file, (column,), lambda row: None, heads={column: other_unit(column, "mil")})
    for file, column in MILLIAMPERES:
        plant(
            "mA for A",
            file,
            (column,),
            lambda row: None,
            heads={column: other_unit(column, "A" if "mA" in column else "mA")},
        )
    numbers = [(file, c) for file, columns in COLUMNS.items() for c in columns if "[" in c]
    for kind, make in (("decimal slip", slipped), ("transposed digits", transposed)):
        done = 0
        while done < 20:
            file, column = draw.choice(numbers)

            def change(row, c=column, m=make):
                wrong = m(row[c], draw)
                if wrong is None or float(wrong) == float(row[c]):
                    return False
                row[c] = wrong
                return True

            count = len(found)
            plant(kind, file, (column,), change)
            done += len(found) - count
    for number in range(12):
        file = ("conductors.csv", "lugs.csv", "wires.csv")[number % 3]

        def gauge(row, f=file):
            if f == "wires.csv":
                size = re.search(r"\d/0 AWG", row["conductor"])[0]
                row["conductor"] = row["conductor"].replace(size, misread_gauge(size, draw))
            else:
                row["size"] = misread_gauge(row["size"], draw)

        plant("gauge as a fraction", file, ("conductor",) if file == "wires.csv" else ("size",), gauge,
              lambda row, f=file: re.match(r"\d/0 AWG", row["conductor" if f == "wires.csv" else "size"]))  # fmt: skip
    return found


def without_rows(path, keys):
    """Take rows out of a table, so that they are new to it, and the wires made of them."""
    if path.name == "conductors.csv":
        wires = path.with_name("wires.csv")
        lines = wires.read_text(encoding="utf-8").splitlines(keepends=True)
        wires.write_text(
            "".join(line for line in lines if not any(f",{key}," in line for key in keys)), encoding="utf-8"
        )
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not any(line.startswith((f"{key},", f'"{key}"')) for key in keys)]
    path.write_text("".join(kept), encoding="utf-8")


def flatters(file, columns, sheet, row):
    """Whether the datasheet makes the part look better in any of the columns in error."""
    head, cells = sheet
    for column in columns:
        words, unit = split_header(column)
        for name, cell in zip(head, cells, strict=True):
            own_words, own_unit = split_header(name)
            if own_words != words or not unit:
                continue
            dimension = (
                next(c for c in DECLARED[file].columns if c.words == words).dimension if file in DECLARED else None
            )
            value = find_unit(own_unit, dimension).to_inner(float(cell))
            true = find_unit(unit, dimension).to_inner(float(row[column]))
            if (value - true) * BETTER.get(words, 0) > 1e-12:
                return True
    return False


def judged(tmp_path, errors, as_new):
    """Result and remarks of each planted error, the part being known to the table or new to it."""
    tables = copied_tables(tmp_path / ("new" if as_new else "known"))
    raw = {file: (tables / file).read_bytes() for file in COLUMNS}
    found = []
    for number, (kind, file, columns, sheet, key) in enumerate(errors):
        for name, data in raw.items():
            (tables / name).write_bytes(data)
        row = rows_of(tables / file)[key]
        if as_new:
            without_rows(tables / file, [key])
        path = tmp_path / f"{number} {as_new}.csv"
        path.write_text(csv_text(sheet), encoding="utf-8")
        report = merge(path, file, tables, source="common-practice", dry_run=True)
        [outcome] = report.rows
        state = "caught" if outcome.result == REFUSED else "flagged" if outcome.remarks else "silent"
        if outcome.result not in (REFUSED, NEW, CHANGED):
            state = "caught"  # it changed nothing
        found.append((kind, file, columns, key, state, flatters(file, columns, sheet, row), outcome.reason))
    return found


@pytest.mark.slow
@pytest.mark.parametrize("as_new", [False, True], ids=["known parts", "new parts"])
def test_a_hundred_planted_errors(tmp_path, as_new, capsys):
    errors = planted(copied_tables(tmp_path / "source"))
    assert len(errors) == 100
    found = judged(tmp_path, errors, as_new)
    counts = Counter((kind, state) for kind, *_, state, _, _ in found)
    with capsys.disabled():
        print(
            f"\n{'new' if as_new else 'known'} parts: caught {sum(f[4] == 'caught' for f in found)}, flagged {sum(f[4] == 'flagged' for f in found)} of {len(found)}"
        )
        for kind in dict.fromkeys(f[0] for f in found):
            print(
                "  "
                + kind
                + ": "
                + ", ".join(
                    f"{state} {counts[kind, state]}" for state in ("caught", "flagged", "silent") if counts[kind, state]
                )
            )
    silent = [f for f in found if f[4] == "silent"]
    assert not [f for f in silent if f[5]], "makes a part look better in silence"
    assert len(silent) <= 3, silent


def test_some_planted_errors(tmp_path):
    errors = planted(copied_tables(tmp_path / "source"))
    found = judged(tmp_path, errors[::11], as_new=True)
    assert not [f for f in found if f[4] == "silent"], found


def test_rows_that_are_right_are_not_called_wrong(tmp_path):
    """The shipped rows themselves, taken out and offered again: few may be doubted, next to none refused."""
    tables = copied_tables(tmp_path)
    draw = random.Random(5)
    refused, doubted, count = [], 0, 0
    for file, columns in COLUMNS.items():
        raw, wires = (tables / file).read_bytes(), (tables / "wires.csv").read_bytes()
        rows = rows_of(tables / file)
        keys = draw.sample(sorted(rows), 12)
        without_rows(tables / file, keys)
        head = [next(iter(rows[keys[0]])), *columns]
        path = tmp_path / f"again {file}"
        path.write_text(csv_text([head, *[[rows[key][c] for c in head] for key in keys]]), encoding="utf-8")
        report = merge(path, file, tables, source="common-practice", dry_run=True)
        (tables / file).write_bytes(raw)
        (tables / "wires.csv").write_bytes(wires)
        count += len(report.rows)
        refused += [(row.key, row.reason) for row in report.rows if row.result == REFUSED]
        doubted += sum(bool(row.remarks) for row in report.rows)
    assert len(refused) <= 0.05 * count, refused
    assert doubted <= 0.5 * count
