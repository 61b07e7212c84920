"""Candidates against transients: suppressors, each with a number in parallel, and freewheel diodes."""

from selector.catalogue.arrays import floats, numbered

MOST_IN_PARALLEL = 4
"""Matched suppressors in parallel at most; common practice, no source. The setting may lower it."""
PIECES = 1e4
"""Weight of a piece beside whole volts of clamp, where one candidate is called smaller than another."""
_RANK = ("read", "measured", "computed", "memory")


def suppressors(catalogue, rule):
    """Every suppressor alone, then in twos, threes and fours: ``KEY``, ``2 x KEY`` and so on; ``part`` is the plain key."""
    import numpy as np
    import polars as pl

    table = catalogue["suppressors.csv"]
    key = table.columns[0]
    plain = table.with_columns(pl.col(key).alias("part"))
    several = [plain.with_columns((f"{n} x " + pl.col("part")).alias(key)) for n in range(2, MOST_IN_PARALLEL + 1)]
    frame = pl.concat([plain, *several])
    number = np.repeat(np.arange(1.0, MOST_IN_PARALLEL + 1), table.height)
    curves, statuses = _curves(catalogue, table)
    columns = {
        "number": number,
        "size_in_order": PIECES * number + np.floor(floats(frame["clamping_v"])),
        "is_bipolar": numbered(frame["polarity"], {"bipolar": 1.0, "unipolar": 0.0}),
    }
    for name, values in curves.items():
        own = [np.tile(v, MOST_IN_PARALLEL) for v in values]
        columns[name] = tuple(own) if len(own) > 1 else own[0]
    return frame, {"columns": columns, "statuses": statuses * MOST_IN_PARALLEL, "plain_keys": frame["part"].to_list()}


def _curves(catalogue, table):
    """Points of each class's power against width, short curves continued at constant energy; and the weaker status."""
    import numpy as np

    points = {}
    for row in catalogue.rows("suppressor_curves.csv"):
        points.setdefault(row["class"].casefold(), []).append((row["width_s"], row["power_w"], row["status"]))
    count = max((len(own) for own in points.values()), default=2)
    count = max(count, 2)
    widths, powers = np.full((count, table.height), np.nan), np.full((count, table.height), np.nan)
    last = np.full((1, table.height), np.nan)
    weakest = {name: max((word or "memory" for _, _, word in own), key=_RANK.index) for name, own in points.items()}
    statuses = []
    curves = {}
    for name, own in points.items():
        own.sort()
        curve = [(width, power) for width, power, _ in own]
        while len(curve) < count:
            width, power = curve[-1]
            curve.append((10.0 * width, power / 10.0))
        curves[name] = tuple(zip(*curve, strict=True))
    for i, (name, status) in enumerate(zip(table["class"], table["status"], strict=True)):
        own = (name or "").casefold()
        statuses.append(max(status or "memory", weakest.get(own, "read"), key=_RANK.index))
        if own in curves:
            last[0, i] = points[own][-1][0]
            widths[:, i], powers[:, i] = curves[own]
    return {"curve_widths_s": widths, "curve_powers_w": powers, "last_width_s": last}, statuses


def diodes(catalogue, rule):
    """Diodes, with what tells a plain rectifier that hangs in its leads from one that needs a sink."""
    import numpy as np

    frame = catalogue["diodes.csv"]

    def flag(column, word):
        return np.array([np.nan if own is None else float(own == word) for own in frame[column].to_list()])

    return frame, {
        "columns": {"is_rectifier": flag("type", "rectifier"), "rated_in_air": flag("rating_point", "ambient")}
    }
