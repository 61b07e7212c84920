"""Families: each turns its tables into candidates, columns of numbers the facts can read, in table order.

To add a family: a declaration in ``declarations.py``, a CSV, its order in ``preference.csv``, its checks in
``checks.csv``, and an entry in ``FAMILIES`` with a function that joins what a candidate needs from other tables.
"""

import math
from dataclasses import dataclass, field
from typing import Any

from selector.catalogue.arrays import floats, is_word, yes_no
from selector.catalogue.reading import YesNo
from selector.catalogue.transient_parts import diodes, suppressors

CURVE_POINTS = 8
"""Points of a fuse curve a candidate carries; shorter curves are continued by their constant I2t."""
RULE_STEPS = 8
ENDLESS = 1e9


@dataclass
class Candidates:
    """The parts of one family, one entry a part.

    columns : numbers by name, arrays of shape (parts,) or tuples of such (curves); NaN is unknown; yes/no is 1/0
    words : the text columns by name, None where empty
    plain_keys : where candidates are a part with a number in parallel, the part's key; else empty
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
    plain_keys: list = field(default_factory=list)

    def __len__(self):
        return len(self.keys)

    def plain_key(self, index):
        """Key of the table's row behind a candidate; a candidate of several pieces has the number before its own."""
        return self.plain_keys[index] if self.plain_keys else self.keys[index]

    def pieces(self, index):
        """How many of the part stand side by side in a candidate."""
        return int(self.columns["number"][index])


@dataclass(frozen=True)
class Family:
    """One class of parts: its table, what its size is, and how its candidates are built.

    size : the number that makes one part smaller than another; size_words: the column shown as its size
    build : function of (catalogue, rule) giving a polars frame with one row a part
    show : function of that frame giving each part's words
    """

    name: str
    table: str
    size: str
    size_words: Any
    build: Any
    show: Any


def _worst_status(frame, columns):
    rank = {"memory": 3, "computed": 2, "measured": 1, "read": 0}
    order = ["read", "measured", "computed", "memory"]
    rows = zip(*(frame[name].to_list() for name in columns), strict=True)
    return [order[max(rank.get(value, 3) for value in row)] for row in rows]


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
                columns[name] = floats(series)
        elif series.dtype == pl.String:
            words[name] = series.to_list()
            if name in declared_yes or name in extra.get("yes_no", ()):
                columns[name] = yes_no(series)
    columns.update(extra.get("columns", {}))
    columns.setdefault("number", np.ones(frame.height))
    key = frame.columns[0]
    return Candidates(
        family=family.name,
        table=family.table,
        keys=frame[key].to_list(),
        sizes=family.size_words(frame),
        size_value=columns[family.size],
        columns=columns,
        words=words,
        statuses=extra.get("statuses") or [status or "memory" for status in frame["status"]],
        sources=frame["source"].to_list(),
        origins=frame["origin"].to_list(),
        lines=frame["line"].to_list(),
        descriptions=family.show(frame),
        plain_keys=extra.get("plain_keys", []),
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
    copper = is_word(frame["material"], "copper")
    flags = {
        f"is_{name.replace(' ', '_')}": is_word(strands, name) for name in ("solid", "stranded", "class 2", "class 5")
    }
    known = strands.is_not_null().to_numpy()
    flags["is_strands"] = np.where(known, 1.0 - flags["is_solid"], np.nan)
    flags["stands_vibration"] = np.where(known, 1.0 - flags["is_solid"] - flags["is_class_2"], np.nan)
    flags["is_copper"] = copper
    flags["is_aluminium"] = is_word(frame["material"], "aluminium")
    flags["is_stranded_copper"] = flags["is_strands"] * copper
    columns = {**flags, **_rule_columns(frame, catalogue, rule)}
    columns["in_size_system"] = is_word(frame["size_system"], rule["size_system"])
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

    def at(rating):
        """Factor of an engine space, and the steps of ambient with their factors, in a wire's column of the tables."""
        engine = [r["factor"] for r in ambient if r["when"] == "engine space" and _near(r["rating_k"], rating)]
        bands = sorted((r["to_k"], r["factor"]) for r in always if _near(r["rating_k"], rating) and r["to_k"])
        return min(engine, default=1.0), bands

    steps = np.full((RULE_STEPS, count), ENDLESS)
    factors = np.ones((RULE_STEPS, count))
    if table is not None:
        wires = (frame[name].to_list() for name in ("material", "temperature_rating_k", "size", "area_mm2"))
        entries, factors_at = {}, {}
        for i, wire in enumerate(zip(*wires, strict=True)):
            if wire not in entries:
                entries[wire] = table.of(*wire)
            rating, entry = entries[wire]
            if entry is None:
                continue
            found["rule_table_ampacity_a"][i] = entry["ampacity_a"]
            found["rule_counts_bundle"][i] = 1.0 if entry["counts_bundle"] == "yes" else 0.0
            if rating not in factors_at:
                factors_at[rating] = at(rating)
            found["rule_engine_factor"][i], bands = factors_at[rating]
            for step, (end, factor) in enumerate(bands[:RULE_STEPS]):
                steps[step, i], factors[step, i] = end, factor
            if bands:
                factors[len(bands[:RULE_STEPS]) :, i] = np.nan
    found["rule_ambients_k"] = tuple(steps)
    found["rule_factors"] = tuple(factors)
    return found


def variant(own, index, values, catalogue, rule):
    """Add to candidates ``own`` the part ``index`` with some columns replaced, as a part of its own at the end.

    Its lists are made anew: candidates of another run may share the old ones.
    """
    import numpy as np
    import polars as pl

    replaced = dict(values)
    if own.family == "wires" and "temperature_rating_k" in values:
        frame = _wires(catalogue, rule)[0][index : index + 1]
        frame = frame.with_columns(pl.lit(float(values["temperature_rating_k"])).alias("temperature_rating_k"))
        replaced |= _rule_columns(frame, catalogue, rule)
    for name, column in own.columns.items():
        new = replaced.get(name)
        if isinstance(column, tuple):
            more = [c[index] for c in column] if new is None else [c[0] for c in new]
            own.columns[name] = tuple(np.append(c, value) for c, value in zip(column, more, strict=True))
        else:
            own.columns[name] = np.append(column, column[index] if new is None else np.ravel(new)[0])
    own.size_value = np.append(own.size_value, own.size_value[index])
    own.keys = [*own.keys, f"{own.keys[index]}, taken as good for {_shown(values)}"]
    own.words.update({name: [*column, column[index]] for name, column in own.words.items()})
    for name in ("sizes", "statuses", "sources", "origins", "lines", "descriptions", "plain_keys"):
        column = getattr(own, name)
        setattr(own, name, [*column, column[index]] if column else column)


def _shown(values):
    """``90 degC``: replaced values by their columns, for reading."""
    said = []
    for name, value in sorted(values.items()):
        celsius = name.endswith("_k")
        said.append(f"{value - 273.15:g} degC" if celsius else f"{name.replace('_', ' ')} {value:g}")
    return ", ".join(said)


def _near(left, right):
    return left is not None and right is not None and abs(left - right) < 0.01


class _Ampacities:
    """A rule set's ampacity table: the column at or below a rating, then the row at or below a size."""

    def __init__(self, rows):
        self.by_metal = {}
        for row in rows:
            columns = self.by_metal.setdefault((row["material"] or "copper").casefold(), {})
            columns.setdefault(row["rating_k"], []).append(row)

    def of(self, metal, limit, size, area_mm2):
        """The column's rating and the row for a wire of this metal, temperature rating and size; None where none is."""
        columns = self.by_metal.get((metal or "").casefold(), {})
        ratings = [rating for rating in columns if limit is not None and rating is not None and rating <= limit + 0.01]
        if not ratings:
            return None, None
        rating = max(ratings)
        size = (size or "").casefold()
        exact = [row for row in columns[rating] if (row["size"] or "").casefold() == size]
        below = [row for row in columns[rating] if row["area_mm2"] <= area_mm2 * 1.001]
        return rating, exact[0] if exact else max(below, key=lambda row: row["area_mm2"], default=None)


def _fuses(catalogue, rule):
    import numpy as np

    frame = catalogue["fuses.csv"]
    curves = {}
    for row in catalogue.rows("fuse_curves.csv"):
        curves.setdefault(row["class"].casefold(), []).append(row)
    for own in curves.values():
        own.sort(key=lambda row: -(row["to_rating_a"] or ENDLESS))
    ambients = {}
    for row in catalogue.rows("fuse_ambients.csv"):
        ambients.setdefault(row["class"].casefold(), []).append((row["ambient_k"], row["factor"]))
    series, known = {}, {}
    fuses = [frame[name].to_list() for name in ("class", "voltage_rating_v", "rating_a", "device")]
    fuses = list(zip(*fuses, strict=True))
    for own, voltage, rating, _ in fuses:
        series.setdefault((own, voltage), []).append(rating)
    drawn, factors, below = [], [], []
    for own, voltage, rating, device in fuses:
        name, breaker = own.casefold(), device == "breaker"
        if (name, rating, breaker) not in known:
            known[name, rating, breaker] = _drawn(_curve_of(curves.get(name, []), rating), breaker)
        drawn.append(known[name, rating, breaker])
        printed = [factor for _, factor in sorted(ambients.get(name, []))]
        factors.append(printed if len(printed) == 7 else [np.nan] * 7)
        below.append(max((r for r in series[own, voltage] if r < rating), default=0.0))
    longest, shortest, conventional = zip(*drawn, strict=True) if drawn else ((), (), ())
    columns = {"conventional_multiple": np.array(conventional, float), "rating_below_a": np.array(below, float)}
    columns["ambient_factors"] = tuple(np.array(factors, float).reshape(-1, 7).T.copy())
    for words, own in (("longest", longest), ("shortest", shortest)):
        multiples, times = np.array(own, float).reshape(-1, 2, CURVE_POINTS).transpose(1, 2, 0).copy()
        columns |= {f"{words}_multiples": tuple(multiples), f"{words}_times_s": tuple(times)}
    return frame, {"columns": columns}


def _drawn(points, breaker):
    """A curve as a candidate carries it: longest and shortest times, and the multiple that opens within four hours."""
    longest = _continued([(m, t) for m, _, t in points if t is not None], breaker)
    shortest = _continued([(m, t) for m, t, _ in points if t is not None], breaker)
    return longest, shortest, min((m for m, _, t in points if t is not None and t <= 4 * 3600), default=math.nan)


def _curve_of(rows, rating):
    """Points (multiple, shortest, longest) of the curve that covers this rating; ``rows`` have the narrowest range last,
    which is taken where two do."""
    points = {
        row["multiple"]: (row["multiple"], row["shortest_s"], row["longest_s"])
        for row in rows
        if (row["from_rating_a"] is None or row["from_rating_a"] <= rating)
        and (row["to_rating_a"] is None or rating <= row["to_rating_a"])
    }
    return [points[multiple] for multiple in sorted(points)]


def _continued(points, breaker):
    """A curve's multiples and times; above the last point a fuse keeps its I2t, a breaker its time (common practice)."""
    if not points:
        return ((math.nan,) * CURVE_POINTS,) * 2
    points = points[: CURVE_POINTS - 1]
    multiple, time = points[-1]
    for step in range(1, CURVE_POINTS - len(points) + 1):
        points.append((multiple * 10.0 ** (3 + step), time * (1.0 if breaker else 10.0 ** (-6 - 2 * step))))
    return tuple(zip(*points, strict=True))


def _lugs(catalogue, rule):
    import numpy as np

    frame = catalogue["lugs.csv"]
    count = frame.height
    columns = _barrel_takes(frame)
    usual = np.zeros(count)
    barrels = (frame[name].to_list() for name in ("style", "least_area_mm2", "greatest_area_mm2"))
    for i, (style, least, greatest) in enumerate(zip(*barrels, strict=True)):
        tube = style == "tube" and (greatest or 0) >= 10
        ring = style == "ring" and (least or ENDLESS) < 10
        usual[i] = float(tube or ring)
    columns["usual_style"] = usual
    return frame, {"columns": columns}


def _rectifiers(catalogue, rule):
    import numpy as np

    frame = catalogue["rectifiers.csv"]

    def flag(column, *words):
        own = frame[column].to_list()
        return np.array([np.nan if word is None else float(word.casefold() in words) for word in own])

    columns = {
        "live_base": flag("base", "positive", "negative"),
        "rated_at_case": flag("rating_point", "case"),
        "plates": 1.0 + flag("build", "separate diodes"),
        "neutral_diodes": np.maximum(floats(frame["diodes"]) - 2.0 * floats(frame["lines"]), 0.0),
    }
    return frame, {"columns": columns}


def _heatsinks(catalogue, rule):
    import numpy as np

    from selector.physics.heatsink import still_k_per_w

    frame = catalogue["heatsinks.csv"]
    base = frame["base"].to_list()
    still = still_k_per_w(floats(frame["sink_to_air_k_per_w"]), floats(frame["air_speed_m_per_s"]))
    columns = {
        "is_insulated": np.array([np.nan if word is None else float(word == "insulated") for word in base]),
        "conductance": 1.0 / still,
        "bodies": np.nan_to_num(floats(frame["bodies"]), nan=1.0),  # a row that does not say is one piece of metal
    }
    return frame, {"columns": columns}


PLATING_ORDER = ("tin", "nickel", "silver", "bare")
"""A splice of the same barrel comes before another by its plating: the next smaller of a nickel one is the tin one."""


def _splices(catalogue, rule):
    """Splices with what is known of their joining method; a weld's own limit is where its metal melts."""
    import numpy as np
    import polars as pl

    methods = catalogue["joining_methods.csv"].drop("source", "status", "note", "line", "origin")
    methods = methods.rename({"kind": "method_kind", "sole_joint_where_it_vibrates": "holds_vibration"})
    fold = pl.col("method").str.to_lowercase()
    frame = (
        catalogue["splices.csv"]
        .with_columns(fold.alias("_m"))
        .join(methods.with_columns(pl.col("joining_method").str.to_lowercase().alias("_m")).drop("joining_method"), on="_m", how="left",
              maintain_order="left")
        .drop("_m")
    )  # fmt: skip
    columns = _barrel_takes(frame)
    words = [(value or "").casefold() for value in frame["method"].to_list()]
    kinds = frame["method_kind"].to_list()
    columns["takes_through"] = np.array([float(not word.startswith("parallel")) for word in words])
    columns["takes_parallel"] = np.array([float(not word.startswith("butt")) for word in words])
    # wires that are brazed, welded or soldered bare have nothing around them; a solder sleeve has
    bare_solder = [kind == "solder" and own != 1 for kind, own in zip(kinds, columns["is_insulated"], strict=True)]
    columns["has_barrel"] = np.array(
        [float(kind not in ("braze", "weld") and not bare) for kind, bare in zip(kinds, bare_solder, strict=True)]
    )
    columns["is_crimped"] = np.array([float(kind in ("crimp", "crimp and solder")) for kind in kinds])
    columns["is_insulated_crimp"] = columns["is_crimped"] * columns["is_insulated"]
    columns["sums_all"] = 1.0 - columns["is_crimped"]
    columns["pull_tested"] = np.where(columns["is_crimped"] == 1, 1.0, np.nan)
    limit, melts = floats(frame["temperature_limit_k"]), floats(frame["softening_k"])
    welded = np.array([kind == "weld" for kind in kinds])
    columns["temperature_limit_k"] = np.where(welded & np.isnan(limit), melts, limit)
    least, greatest = floats(frame["least_area_mm2"]), floats(frame["greatest_area_mm2"])
    columns["for_one_size"] = (least > 0.9 * greatest) * 1.0
    step = np.array([PLATING_ORDER.index(p) if p in PLATING_ORDER else 0 for p in frame["plating"].to_list()])
    columns["barrel_size_mm2"] = np.where(columns["has_barrel"] == 1, greatest * (1 + 1e-4 * step), np.nan)
    return frame, {"columns": columns, "yes_no": ("softens", "holds_vibration")}


def _barrel_takes(frame):
    """Which wires a barrel is made for, by its metal and strand classes, and whether it is plated and insulated."""
    import numpy as np

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
    return columns


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


def _range_mm2(frame):
    rows = zip(frame["least_area_mm2"].to_list(), frame["greatest_area_mm2"].to_list(), strict=True)
    return [None if None in row else f"{row[0]:g} to {row[1]:g} mm2" for row in rows]


def _joined(*names):
    def words(frame):
        columns = [frame[name].to_list() for name in names if name in frame.columns]
        return [" ".join(str(own) for own in row if own is not None) for row in zip(*columns, strict=True)]

    return words


def _stud_words(frame):
    return [f"{stud} stud" for stud in frame["stud"].to_list()]


def _dc_bars(catalogue, rule):
    """Bars for direct current, bare ones: paint sheds more heat, and nobody sees whether it is still there."""
    frame = catalogue["busbars.csv"]
    return frame.filter((frame["supply"] == "dc") & (frame["surface"] == "bare")), {}


FAMILIES = {
    family.name: family
    for family in (
        Family("shunts", "shunts.csv", "continuous_current_a", _column("current_a", " A"), _plain("shunts.csv"),
               _joined("shunt")),
        Family("busbars", "busbars.csv", "ampacity_a", _column("busbar"), _dc_bars, _joined("busbar", "material")),
        Family("studs", "studs.csv", "thread_diameter_m", _stud_words, _plain("studs.csv"), _joined("stud")),
        Family("wires", "wires.csv", "area_mm2", _column("size"), _wires,
               _joined("wire", "size", "coating", "strand_class", "material", "insulation")),
        Family("fuses", "fuses.csv", "rating_a", _column("rating_a", " A"), _fuses, _joined("fuse", "class", "group")),
        Family("lugs", "lugs.csv", "greatest_area_mm2", _column("size"), _lugs, _joined("lug", "style", "plating")),
        Family("sleeves", "sleeves.csv", "supplied_bore_m", _millimetres("supplied_bore_m"), _plain("sleeves.csv"),
               _joined("sleeve", "class", "ratio")),
        Family("splices", "splices.csv", "barrel_size_mm2", _range_mm2, _splices,
               _joined("splice", "method", "plating")),
        Family("rectifiers", "rectifiers.csv", "average_current_a", _column("average_current_a", " A"), _rectifiers,
               _joined("rectifier", "circuit", "build")),
        Family("heatsinks", "heatsinks.csv", "conductance", _column("sink_to_air_k_per_w", " K/W"), _heatsinks,
               _joined("heatsink", "form", "base")),
        Family("suppressors", "suppressors.csv", "size_in_order", _column("stand_off_v", " V"), suppressors,
               _joined("part", "class", "polarity")),
        Family("diodes", "diodes.csv", "average_current_a", _column("average_current_a", " A"), diodes,
               _joined("diode", "type")),
    )
}  # fmt: skip
