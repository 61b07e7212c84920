"""Families: each turns its tables into candidates, columns of numbers the facts can read, in table order.

To add a family: a declaration in ``declarations.py``, a CSV, its order in ``preference.csv``, its checks in
``checks.csv``, and an entry in ``FAMILIES`` with a function that joins what a candidate needs from other tables.
"""

from dataclasses import dataclass, field
from typing import Any

from selector.catalogue.reading import YesNo

CURVE_POINTS = 8
"""Points of a fuse curve a candidate carries; shorter curves are continued by their constant I2t."""
RULE_STEPS = 8
ENDLESS = 1e9


@dataclass
class Candidates:
    """The parts of one family, one entry a part.

    columns : numbers by name, arrays of shape (parts,) or tuples of such (curves); NaN is unknown; yes/no is 1/0
    words : the text columns by name, None where empty
    """

    family: str
    table: str
    keys: list
    sizes: list
    size_value: Any
    columns: dict
    words: dict
    statuses: list
    sources: list
    origins: list
    lines: list
    descriptions: list = field(default_factory=list)

    def __len__(self):
        return len(self.keys)


@dataclass(frozen=True)
class Family:
    """One class of parts: its table, what its size is, and how its candidates are built.

    size : the number that makes one part smaller than another; size_words: the column shown as its size
    build : function of (catalogue, rule) giving a polars frame with one row a part
    """

    name: str
    table: str
    size: str
    size_words: Any
    build: Any
    show: Any


def _floats(series):
    import numpy as np

    return series.cast(float).fill_null(float("nan")).to_numpy().astype(np.float64)


def yes_no(series):
    """A yes/no column as 1, 0 and unknown."""
    return _floats(series.replace_strict({"yes": 1.0, "no": 0.0}, default=None))


def _worst_status(frame, columns):
    rank = {"memory": 3, "computed": 2, "measured": 1, "read": 0}
    order = ["read", "measured", "computed", "memory"]
    return [order[max(rank.get(value, 3) for value in row)] for row in frame.select(columns).iter_rows()]


def candidates(family, catalogue, rule):
    """The candidates of ``family`` under rule set row ``rule``."""
    import numpy as np
    import polars as pl

    frame, extra = family.build(catalogue, rule)
    declared_yes = {c.words.replace(" ", "_") for c in _yes_no_columns(catalogue, family)}
    columns, words = {}, {}
    for name in frame.columns:
        series = frame[name]
        if series.dtype.is_numeric():
            if name not in ("line",):
                columns[name] = _floats(series)
        elif series.dtype == pl.String:
            words[name] = series.to_list()
            if name in declared_yes or name in extra.get("yes_no", ()):
                columns[name] = yes_no(series)
    columns.update(extra.get("columns", {}))
    columns["number"] = np.ones(frame.height)
    key = frame.columns[0]
    return Candidates(
        family=family.name,
        table=family.table,
        keys=frame[key].to_list(),
        sizes=family.size_words(frame),
        size_value=columns[family.size],
        columns=columns,
        words=words,
        statuses=extra.get("statuses") or frame["status"].fill_null("memory").to_list(),
        sources=frame["source"].to_list(),
        origins=frame["origin"].to_list(),
        lines=frame["line"].to_list(),
        descriptions=[family.show(row) for row in frame.iter_rows(named=True)],
    )


def _yes_no_columns(catalogue, family):
    from selector.catalogue.declarations import DECLARED

    files = ("insulations.csv", "wires.csv") if family.name == "wires" else (family.table,)
    return [c for file in files for c in DECLARED[file].columns if isinstance(c, YesNo)]


def _wires(catalogue, rule):
    import numpy as np
    import polars as pl

    conductors = catalogue["conductors.csv"].rename({"status": "conductor_status", "note": "conductor_note"})
    insulations = catalogue["insulations.csv"].rename(
        {"material": "insulation_material", "status": "insulation_status", "note": "insulation_note"}
    )
    metals = catalogue["materials.csv"].select(
        pl.col("material"),
        pl.col("temperature_coefficient_per_k", "density_kg_per_m3", "heat_capacity_j_per_kg_k").name.prefix("metal_"),
        pl.col("inferred_zero_k").alias("metal_inferred_zero_k"),
        pl.col("^adiabatic_constant.*$").name.map(lambda _: "metal_adiabatic_constant"),
    )
    drop = ["source", "line", "origin"]
    fold = pl.col("conductor").str.to_lowercase(), pl.col("insulation").str.to_lowercase()
    frame = (
        catalogue["wires.csv"]
        .with_columns(fold[0].alias("_c"), fold[1].alias("_i"))
        .join(conductors.drop(drop).with_columns(fold[0].alias("_c")).drop("conductor"), on="_c", how="left")
        .join(insulations.drop(drop).with_columns(fold[1].alias("_i")).drop("insulation"), on="_i", how="left")
        .join(metals, on="material", how="left", maintain_order="left")
        .drop("_c", "_i")
    )
    strands = frame["strand_class"]
    copper = (frame["material"] == "copper").fill_null(False).to_numpy() * 1.0
    flags = {
        f"is_{name.replace(' ', '_')}": (strands == name).fill_null(False).to_numpy() * 1.0
        for name in ("solid", "stranded", "class 2", "class 5")
    }
    known = strands.is_not_null().to_numpy()
    flags["is_strands"] = np.where(known, 1.0 - flags["is_solid"], np.nan)
    flags["is_copper"] = copper
    flags["is_aluminium"] = (frame["material"] == "aluminium").fill_null(False).to_numpy() * 1.0
    flags["is_stranded_copper"] = flags["is_strands"] * copper
    columns = {**flags, **_rule_columns(frame, catalogue, rule)}
    columns["in_size_system"] = (frame["size_system"] == rule["size_system"]).fill_null(False).to_numpy() * 1.0
    statuses = _worst_status(frame, ["status", "conductor_status", "insulation_status"])
    return frame, {"columns": columns, "statuses": statuses}


def _rule_columns(frame, catalogue, rule):
    """What the rule set's tables say of each wire: table ampacity, its ambient factors, what it already counts."""
    import numpy as np

    count = frame.height
    found: dict[str, Any] = {
        "rule_table_ampacity_a": np.full(count, np.nan),
        "rule_engine_factor": np.ones(count),
        "rule_counts_bundle": np.zeros(count),
    }
    table = (
        _Ampacities(catalogue.rows("ampacities.csv", table=rule["ampacity_table"])) if rule["ampacity_table"] else None
    )
    ambient = catalogue.rows("ambient_factors.csv", table=rule["ambient_table"]) if rule["ambient_table"] else []
    always = [row for row in ambient if row["when"] == "always"]
    steps = np.full((RULE_STEPS, count), ENDLESS)
    factors = np.ones((RULE_STEPS, count))
    if table is not None:
        for i, row in enumerate(frame.iter_rows(named=True)):
            rating, entry = table.of(row)
            if entry is None:
                continue
            found["rule_table_ampacity_a"][i] = entry["ampacity_a"]
            found["rule_counts_bundle"][i] = 1.0 if entry["counts_bundle"] == "yes" else 0.0
            engine = [r["factor"] for r in ambient if r["when"] == "engine space" and _near(r["rating_k"], rating)]
            found["rule_engine_factor"][i] = min(engine, default=1.0)
            bands = sorted((r["to_k"], r["factor"]) for r in always if _near(r["rating_k"], rating) and r["to_k"])
            for step, (end, factor) in enumerate(bands[:RULE_STEPS]):
                steps[step, i], factors[step, i] = end, factor
            if bands:
                factors[len(bands[:RULE_STEPS]) :, i] = np.nan
    found["rule_ambients_k"] = tuple(steps)
    found["rule_factors"] = tuple(factors)
    return found


def _near(left, right):
    return left is not None and right is not None and abs(left - right) < 0.01


class _Ampacities:
    """A rule set's ampacity table: the column at or below a rating, then the row at or below a size."""

    def __init__(self, rows):
        self.by_metal = {}
        for row in rows:
            columns = self.by_metal.setdefault((row["material"] or "copper").casefold(), {})
            columns.setdefault(row["rating_k"], []).append(row)

    def of(self, wire):
        columns = self.by_metal.get((wire["material"] or "").casefold(), {})
        limit = wire["temperature_rating_k"]
        ratings = [rating for rating in columns if limit is not None and rating is not None and rating <= limit + 0.01]
        if not ratings:
            return None, None
        rating = max(ratings)
        size = (wire["size"] or "").casefold()
        exact = [row for row in columns[rating] if (row["size"] or "").casefold() == size]
        below = [row for row in columns[rating] if row["area_mm2"] <= wire["area_mm2"] * 1.001]
        return rating, exact[0] if exact else max(below, key=lambda row: row["area_mm2"], default=None)


def _fuses(catalogue, rule):
    import numpy as np

    frame = catalogue["fuses.csv"]
    curves = {}
    for row in catalogue["fuse_curves.csv"].iter_rows(named=True):
        curves.setdefault(row["class"].casefold(), []).append(row)
    ambients = {}
    for row in catalogue["fuse_ambients.csv"].iter_rows(named=True):
        ambients.setdefault(row["class"].casefold(), []).append((row["ambient_k"], row["factor"]))
    count = frame.height
    longest = np.full((2, CURVE_POINTS, count), np.nan)
    shortest = np.full((2, CURVE_POINTS, count), np.nan)
    factors = np.full((7, count), np.nan)
    conventional = np.full(count, np.nan)
    below = np.zeros(count)
    series = {}
    for row in frame.iter_rows(named=True):
        series.setdefault((row["class"], row["voltage_rating_v"]), []).append(row["rating_a"])
    for i, row in enumerate(frame.iter_rows(named=True)):
        points = _curve_of(curves.get(row["class"].casefold(), []), row["rating_a"])
        breaker = row["device"] == "breaker"
        _put_curve(longest[:, :, i], [(m, t) for m, _, t in points if t is not None], breaker)
        _put_curve(shortest[:, :, i], [(m, t) for m, t, _ in points if t is not None], breaker)
        opening = [m for m, _, t in points if t is not None and t <= 4 * 3600]
        conventional[i] = min(opening, default=np.nan)
        printed = sorted(ambients.get(row["class"].casefold(), []))
        if len(printed) == 7:
            factors[:, i] = [factor for _, factor in printed]
        smaller = [r for r in series[row["class"], row["voltage_rating_v"]] if r < row["rating_a"]]
        below[i] = max(smaller, default=0.0)
    columns = {
        "longest_multiples": tuple(longest[0]),
        "longest_times_s": tuple(longest[1]),
        "shortest_multiples": tuple(shortest[0]),
        "shortest_times_s": tuple(shortest[1]),
        "ambient_factors": tuple(factors),
        "conventional_multiple": conventional,
        "rating_below_a": below,
    }
    return frame, {"columns": columns}


def _curve_of(rows, rating):
    """Points (multiple, shortest, longest) of the curve that covers this rating, the narrowest range where two do."""
    points = {}
    fits = [
        row
        for row in rows
        if (row["from_rating_a"] is None or row["from_rating_a"] <= rating)
        and (row["to_rating_a"] is None or rating <= row["to_rating_a"])
    ]
    for row in sorted(fits, key=lambda row: -(row["to_rating_a"] or ENDLESS)):
        points[row["multiple"]] = (row["multiple"], row["shortest_s"], row["longest_s"])
    return [points[multiple] for multiple in sorted(points)]


def _put_curve(target, points, breaker):
    """Fill a curve's columns; above the last point a fuse keeps its I2t, a breaker its time (common practice)."""
    if not points:
        return
    points = points[: CURVE_POINTS - 1]
    last_multiple, last_time = points[-1]
    for step in range(1, CURVE_POINTS - len(points) + 1):
        points = [
            *points,
            (last_multiple * 10.0 ** (3 + step), last_time * (1.0 if breaker else 10.0 ** (-6 - 2 * step))),
        ]
    for i, (multiple, time) in enumerate(points):
        target[0, i], target[1, i] = multiple, time


def _lugs(catalogue, rule):
    import numpy as np

    frame = catalogue["lugs.csv"]
    count = frame.height
    columns = {}
    classes = [(value or "").casefold() for value in frame["strand_classes"].to_list()]
    for name in ("solid", "stranded", "class 2", "class 5"):
        takes = [np.nan if not words else float(name in [w.strip() for w in words.split("/")]) for words in classes]
        columns[f"takes_{name.replace(' ', '_')}"] = np.array(takes)
    metals = [(value or "").casefold() for value in frame["metal"].to_list()]
    columns["takes_copper"] = np.array([np.nan if not m else float(m.strip() != "aluminium") for m in metals])
    columns["takes_aluminium"] = np.array([np.nan if not m else float("aluminium" in m) for m in metals])
    plating = [(value or "").casefold() for value in frame["plating"].to_list()]
    columns["is_plated"] = np.array([np.nan if not p else float(p != "bare") for p in plating])
    columns["is_insulated"] = np.nan_to_num(yes_no(frame["insulated"]), nan=0.0)
    usual = np.zeros(count)
    for i, (style, least, greatest) in enumerate(
        frame.select("style", "least_area_mm2", "greatest_area_mm2").iter_rows()
    ):
        tube = style == "tube" and (greatest or 0) >= 10
        ring = style == "ring" and (least or ENDLESS) < 10
        usual[i] = float(tube or ring)
    columns["usual_style"] = usual
    return frame, {"columns": columns}


def _plain(table):
    def build(catalogue, rule):
        return catalogue[table], {}

    return build


def _column(name, unit=""):
    def words(frame):
        return [None if value is None else f"{value:g}{unit}" if unit else value for value in frame[name].to_list()]

    return words


def _millimetres(name):
    def words(frame):
        return [None if value is None else f"{value * 1000:g} mm" for value in frame[name].to_list()]

    return words


def _joined(*names):
    return lambda row: " ".join(str(row[name]) for name in names if row.get(name) is not None)


FAMILIES = {
    family.name: family
    for family in (
        Family("wires", "wires.csv", "area_mm2", _column("size"), _wires,
               _joined("wire", "size", "coating", "strand_class", "material", "insulation")),
        Family("fuses", "fuses.csv", "rating_a", _column("rating_a", " A"), _fuses, _joined("fuse", "class", "group")),
        Family("lugs", "lugs.csv", "greatest_area_mm2", _column("size"), _lugs, _joined("lug", "style", "plating")),
        Family("sleeves", "sleeves.csv", "supplied_bore_m", _millimetres("supplied_bore_m"), _plain("sleeves.csv"),
               _joined("sleeve", "class", "ratio")),
    )
}  # fmt: skip
