"""Rules of the physics of a row, table by table. Each takes (rows, tables, complain)."""

import itertools
import math
import re

LOOK = "look"

COPPER_OHM_MM2_PER_M = 1 / 58.0
"""Resistivity of the annealed copper standard at 20 degC, source key nbs-handbook-100."""
ALUMINIUM_OHM_MM2_PER_M = 0.028264
LEAST_SHARE, GREATEST_SHARE = 0.97, 1.25
"""R x A over the metal's resistivity: stranding, coating and the standard's reserve lie in between."""


def awg_area_mm2(size):
    """Area of an American gauge by its formula, or None for other sizes (ASTM B258: 0.005 in times 92^((36-n)/39)).

    >>> round(awg_area_mm2("1/0 AWG"), 2)
    53.48
    """
    match = re.fullmatch(r"(\d+)(/0)? ?AWG", (size or "").strip(), re.IGNORECASE)
    if match is None:
        return None
    number = 1 - int(match[1]) if match[2] else int(match[1])
    return math.pi / 4 * (0.127 * 92 ** ((36 - number) / 39)) ** 2


def _conductors(rows, tables, complain):
    for row in rows:
        area, resistance, diameter = row["area_mm2"], row["resistance_at_20_degc_ohm_per_m"], row["diameter_m"]
        metal = tables.find("materials.csv", row["material"])
        resistivity = metal and metal.get("resistivity_at_20_degc_ohm_mm2_per_m")
        resistivity = resistivity or (
            ALUMINIUM_OHM_MM2_PER_M if row["material"] == "aluminium" else COPPER_OHM_MM2_PER_M
        )
        if resistance is not None and area:
            share = resistance * area / resistivity
            if not LEAST_SHARE <= share <= GREATEST_SHARE:
                complain(row, "resistivity", ["resistance_at_20_degc_ohm_per_m", "area_mm2"],
                         f"resistance times area is {share:.3g} times the metal's resistivity; "
                         f"{LEAST_SHARE:g} to {GREATEST_SHARE:g} can be true")  # fmt: skip
        if diameter is not None and area:
            ratio = diameter / (math.sqrt(4 * area / math.pi) * 1e-3)
            most = 1.08 if (row["strand_class"] or "") == "solid" else 1.6
            if not 0.97 <= ratio <= most:
                complain(row, "diameter", ["diameter_m", "area_mm2"],
                         f"a diameter of {diameter * 1e3:.4g} mm does not go with {area:.4g} mm2")  # fmt: skip
        _size_standard(row, area, complain)


def _size_standard(row, area, complain):
    """The area goes with the size's name: the gauge formula, or the number of square millimetres."""
    gauge = awg_area_mm2(row["size"])
    metric = re.fullmatch(r"([\d.]+) ?mm2", (row["size"] or "").strip())
    system = row.get("size_system")
    if gauge and area and not 0.88 <= area / gauge <= 1.12:
        complain(
            row,
            "size",
            ["size", "area_mm2"],
            f"{row['size']} has {gauge:.4g} mm2 by the gauge formula, the row {area:.4g} mm2",
        )
    elif gauge and area and row.get("strand_class") == "solid" and abs(area / gauge - 1) > 1e-3:
        complain(
            row,
            "size",
            ["size", "area_mm2"],
            f"{row['size']} has {gauge:.4g} mm2 by the gauge formula, the row {area:.4g} mm2",
            LOOK,
        )
    if metric and area and not 0.9 <= area / float(metric[1]) <= 1.1:
        complain(row, "size", ["size", "area_mm2"], f"the size is {row['size']}, the area {area:.4g} mm2")
    if not gauge and not metric:
        complain(
            row,
            "size",
            ["size"],
            f"the size '{row['size']}' is neither a gauge such as 1/0 AWG nor an area such as 10 mm2",
            LOOK,
        )
    if system and ((gauge and system != "AWG") or (metric and system != "mm2")):
        complain(row, "size", ["size", "size_system"], f"the size is {row['size']}, the size system {system}")
    words = row[next(iter(row))]
    named = re.search(r"(\d+(?:/0)? AWG|[\d.]+ mm2)", str(words))
    if named and row["size"] and named[1].casefold() != row["size"].casefold():
        complain(row, "size", ["size"], f"its name says {named[1]}, its size {row['size']}")


def _wires(rows, tables, complain):
    for row in rows:
        metal = tables.find("conductors.csv", row["conductor"])
        inside = metal and metal["diameter_m"]
        row["_area_mm2"] = metal["area_mm2"] if metal else None
        if inside and row["outer_diameter_m"]:
            wall = (row["outer_diameter_m"] - inside) / 2
            if wall <= 0:
                complain(row, "wall", ["outer_diameter_m"], "the wire is no thicker than its metal")
            elif not 1e-4 <= wall <= 7e-3:
                complain(row, "wall", ["outer_diameter_m"], f"its insulation would be {wall * 1e3:.3g} mm thick")
        named = re.search(r"(\d+(?:/0)? AWG|[\d.]+ mm2)", str(row["wire"]))
        if named and metal and metal["size"] and named[1].casefold() != metal["size"].casefold():
            complain(row, "size", ["conductor"], f"its name says {named[1]}, its conductor is {metal['size']}")


def _less(rows, complain, small, large, text, strict=False):
    for row in rows:
        a, b = row.get(small), row.get(large)
        if a is not None and b is not None and (a >= b if strict else a > b):
            complain(row, "order in the row", [small, large], text)


def _barrels(rows, tables, complain):
    _less(rows, complain, "least_area_mm2", "greatest_area_mm2", "the least area is above the greatest")
    _less(rows, complain, "bore_m", "barrel_diameter_m", "the bore is no smaller than the barrel", strict=True)
    for row in rows:
        bore, barrel, greatest, least = (
            row.get(n) for n in ("bore_m", "barrel_diameter_m", "greatest_area_mm2", "least_area_mm2")
        )
        if bore and greatest:
            share = math.pi / 4 * (bore * 1e3) ** 2 / greatest
            if not 0.75 <= share <= 6:
                complain(
                    row,
                    "bore",
                    ["bore_m", "greatest_area_mm2"],
                    f"a bore of {bore * 1e3:.4g} mm is {share:.3g} times {greatest:.4g} mm2; 0.75 to 6 can be true",
                )
        if bore and barrel and not 0.1e-3 <= (barrel - bore) / 2 <= 8e-3:
            complain(
                row,
                "wall",
                ["bore_m", "barrel_diameter_m"],
                f"its barrel would be {(barrel - bore) / 2 * 1e3:.3g} mm thick",
            )
        if bore and least and greatest and greatest / least > 12:
            complain(
                row,
                "range",
                ["least_area_mm2", "greatest_area_mm2"],
                f"one barrel for {least:.4g} to {greatest:.4g} mm2",
            )


def _lugs(rows, tables, complain):
    _barrels(rows, tables, complain)
    _less(rows, complain, "hole_m", "palm_width_m", "the palm is no wider than its hole", strict=True)
    for row in rows:
        stud = tables.find("studs.csv", row.get("stud"))
        thread, hole = stud and stud.get("thread_diameter_m"), row.get("hole_m")
        if thread and hole:
            coarse = stud.get("coarse_hole_m") or thread * 1.2
            if hole < thread:
                complain(row, "hole", ["hole_m", "stud"], "the hole does not clear its own stud")
            elif hole > max(coarse * 1.08, thread + 2.2e-3):
                complain(
                    row,
                    "hole",
                    ["hole_m", "stud"],
                    f"a hole of {hole * 1e3:.4g} mm is too wide for its stud {row['stud']}",
                )
        _areas_named(row, complain)


def _areas_named(row, complain):
    """A single size in the lug's own size column lies within its range."""
    gauge = awg_area_mm2(row.get("size"))
    metric = re.fullmatch(r"([\d.]+) ?mm2", (row.get("size") or "").strip())
    named = gauge or (float(metric[1]) if metric else None)
    least, greatest = row.get("least_area_mm2"), row.get("greatest_area_mm2")
    if named and ((greatest and greatest < named * 0.85) or (least and least > named * 1.15)):
        complain(
            row,
            "size",
            ["size", "least_area_mm2", "greatest_area_mm2"],
            f"its size {row['size']} ({named:.4g} mm2) lies outside its own range",
        )


def _sleeves(rows, tables, complain):
    _less(rows, complain, "recovered_bore_m", "supplied_bore_m", "it is no narrower after shrinking", strict=True)
    _less(rows, complain, "coldest_k", "temperature_rating_k", "its coldest is above its rating", strict=True)
    for row in rows:
        ratio = re.fullmatch(r"([\d.]+) ?: ?1", (row.get("ratio") or "").strip())
        if ratio and row["supplied_bore_m"] and row["recovered_bore_m"]:
            real = row["supplied_bore_m"] / row["recovered_bore_m"]
            if not 0.72 <= real / float(ratio[1]) <= 1.4:
                complain(
                    row,
                    "ratio",
                    ["supplied_bore_m", "recovered_bore_m", "ratio"],
                    f"it shrinks {real:.3g}:1, where its ratio says {row['ratio']}",
                )


def _fuses(rows, tables, complain):
    _less(rows, complain, "melting_i2t_a2s", "clearing_i2t_a2s", "it clears with less than it melts with")
    for row in rows:
        rating, capacity = row["rating_a"], row["breaking_capacity_a"]
        if rating and capacity and capacity < 2 * rating:
            complain(row, "breaking", ["breaking_capacity_a", "rating_a"], "it breaks less than twice its rating")
        if capacity and capacity > 300e3:
            complain(row, "breaking", ["breaking_capacity_a"], f"it would break {capacity:.4g} A")
        if row["cold_resistance_ohm"] and rating and not 0.004 <= row["cold_resistance_ohm"] * rating <= 0.6:
            complain(
                row,
                "drop",
                ["cold_resistance_ohm", "rating_a"],
                f"it would drop {row['cold_resistance_ohm'] * rating:.3g} V cold at its rating; 0.004 to 0.6 can be",
            )
        if row["melting_i2t_a2s"] and rating and not 0.01 <= row["melting_i2t_a2s"] / rating**2 <= 200:
            complain(
                row,
                "melting",
                ["melting_i2t_a2s", "rating_a"],
                f"it would carry its rating for {row['melting_i2t_a2s'] / rating**2:.3g} s on its melting energy alone",
            )
        if rating and not _usual_rating(rating):
            complain(row, "rating", ["rating_a"], f"{rating:g} A is no usual rating", LOOK)
        if row["voltage_rating_v"] and not 6 <= row["voltage_rating_v"] <= 1500:
            complain(row, "voltage", ["voltage_rating_v"], f"a voltage rating of {row['voltage_rating_v']:g} V")


_RATINGS = (1, 1.2, 1.25, 1.5, 1.6, 2, 2.5, 3, 3.15, 3.5, 4, 5, 6, 6.3, 7, 7.5, 8, 9)
_TENS = (1, 1.1, 1.2, 1.25, 1.3, 1.35, 1.4, 1.5, 1.6, 1.75, 1.8, 2, 2.25, 2.5, 2.75, 3, 3.15, 3.2, 3.25, 3.5, 3.75, 4,
         4.25,          4.5, 5, 5.5, 5.6, 6, 6.3, 6.5, 6.75, 7, 7.5, 8, 9)  # fmt: skip


def _usual_rating(rating):
    """Whether fuses and breakers are sold in this rating: common practice, no source."""
    if rating < 10:
        return any(math.isclose(rating, r, rel_tol=1e-6) for r in (0.25, 0.5, 0.75, *_RATINGS))
    step = rating / 10 ** math.floor(math.log10(rating))
    return any(math.isclose(step, r, rel_tol=1e-6) for r in _TENS)


def _curves(rows, tables, complain):
    _less(rows, complain, "shortest_s", "longest_s", "the shortest time is above the longest")
    _less(rows, complain, "from_rating_a", "to_rating_a", "its ratings run backwards")
    curves = {}
    for row in rows:
        curves.setdefault((row["class"], row["from_rating_a"], row["to_rating_a"]), []).append(row)
        if row["multiple"] and not 0.9 <= row["multiple"] <= 200:
            complain(row, "multiple", ["multiple"], f"a multiple of {row['multiple']:g}: per cent, or amperes?")
    for own in curves.values():
        for bound in ("shortest_s", "longest_s"):
            points = sorted(((r["multiple"], r[bound], r) for r in own if r[bound] is not None), key=lambda p: p[0])
            for (_, earlier, _), (_, later, row) in itertools.pairwise(points):
                if later > earlier:
                    complain(row, "curve", [bound, "multiple"], "it opens later at more current")


def _classes_have_curves(rows, tables, complain):
    known = {row["class"].casefold() for row in tables.rows.get("fuse_curves.csv", ())}
    for name in sorted({row["class"] for row in rows}):
        if known and name.casefold() not in known:
            row = next(r for r in rows if r["class"] == name)
            complain(row, "curve", ["class"], f"class {name} has no curve in fuse_curves.csv")


def _fuse_ambients(rows, tables, complain):
    classes = {}
    for row in rows:
        classes.setdefault(row["class"], []).append(row)
    for own in classes.values():
        points = sorted((r for r in own if r["ambient_k"] and r["factor"]), key=lambda r: r["ambient_k"])
        for cooler, warmer in itertools.pairwise(points):
            if warmer["factor"] > cooler["factor"]:
                complain(warmer, "order", ["factor", "ambient_k"], "it carries more where it is warmer")
    for row in rows:
        if row["factor"] and not 0.1 <= row["factor"] <= 1.6:
            complain(row, "factor", ["factor"], f"a factor of {row['factor']:g}")


def _ampacities(rows, tables, complain):
    columns = {}
    for row in rows:
        columns.setdefault((row["table"], row["material"], row["rating_k"]), []).append(row)
        gauge = awg_area_mm2(row.get("size"))
        if gauge and row["area_mm2"] and not 0.88 <= row["area_mm2"] / gauge <= 1.12:
            complain(
                row,
                "size",
                ["size", "area_mm2"],
                f"{row['size']} has {gauge:.4g} mm2 by the gauge formula, the row {row['area_mm2']:.4g} mm2",
            )
        if row["ampacity_a"] and row["area_mm2"] and not 0.5 <= row["ampacity_a"] / row["area_mm2"] <= 60:
            complain(row, "density", ["ampacity_a", "area_mm2"], f"{row['ampacity_a'] / row['area_mm2']:.3g} A/mm2")
    for own in columns.values():
        own.sort(key=lambda r: r["area_mm2"])
        for smaller, larger in itertools.pairwise(own):
            if larger["ampacity_a"] < smaller["ampacity_a"]:
                complain(larger, "order", ["ampacity_a", "area_mm2"], "a larger wire carries less")


def _shunts(rows, tables, complain):
    _less(rows, complain, "continuous_current_a", "current_a", "it carries more continuously than at its rating")
    for row in rows:
        if row["drop_v"] and not 0.02 <= row["drop_v"] <= 0.5:
            complain(row, "drop", ["drop_v"], f"a drop of {row['drop_v'] * 1e3:.4g} mV; shunts have 20 to 500")
        if row["current_a"] and row["drop_v"] and row["current_a"] * row["drop_v"] > 2000:
            complain(row, "heat", ["current_a", "drop_v"], f"it would shed {row['current_a'] * row['drop_v']:.4g} W")


def _busbars(rows, tables, complain):
    for row in rows:
        width, thick, ampacity = row["width_m"], row["thickness_m"], row["ampacity_a"]
        if width and thick and thick > width:
            complain(row, "order in the row", ["width_m", "thickness_m"], "it is thicker than it is wide")
        try:
            bars = float(row.get("bars") or 1)
        except ValueError:
            bars = 1.0
        if width and thick and ampacity:
            density = ampacity / (width * thick * 1e6 * bars)
            if not 0.3 <= density <= 8:
                complain(
                    row,
                    "density",
                    ["ampacity_a", "width_m", "thickness_m"],
                    f"{density:.3g} A/mm2; 0.3 to 8 can be true",
                )


def _insulations(rows, tables, complain):
    _less(
        rows,
        complain,
        "temperature_rating_k",
        "short_circuit_temperature_k",
        "its rating is above its short-circuit temperature",
    )
    _less(
        rows,
        complain,
        "coldest_flexing_k",
        "temperature_rating_k",
        "its coldest flexing is above its rating",
        strict=True,
    )
    for row in rows:
        rating = row["temperature_rating_k"]
        if rating and not 323 <= rating <= 773:
            complain(row, "rating", ["temperature_rating_k"], f"a rating of {rating - 273.15:.4g} degC")
        named = re.search(r"\b(\d{2,3})$", str(row["insulation"]))
        if named and rating and abs(float(named[1]) - (rating - 273.15)) > 0.6:
            complain(
                row, "key", ["temperature_rating_k"], f"its name says {named[1]}, its rating {rating - 273.15:.4g} degC"
            )
        if row["conductivity_w_per_m_k"] and not 0.02 <= row["conductivity_w_per_m_k"] <= 3:
            complain(
                row,
                "conductivity",
                ["conductivity_w_per_m_k"],
                f"a conductivity of {row['conductivity_w_per_m_k']:g} W/(m K)",
            )
        if row["voltage_rating_v"] and not 30 <= row["voltage_rating_v"] <= 20e3:
            complain(row, "voltage", ["voltage_rating_v"], f"a voltage rating of {row['voltage_rating_v']:g} V")


def _materials(rows, tables, complain):
    for row in rows:
        if (row["kind"] or "") != "metal":
            continue
        resistivity, conductivity = row["resistivity_at_20_degc_ohm_mm2_per_m"], row["conductivity_w_per_m_k"]
        if resistivity and conductivity:  # Wiedemann and Franz: k rho / T near 2.44e-8 V2/K2
            lorenz = conductivity * resistivity * 1e-6 / 293.15
            if not 1.4e-8 <= lorenz <= 4e-8:
                complain(row, "metal", ["conductivity_w_per_m_k", "resistivity_at_20_degc_ohm_mm2_per_m"],
                         f"conductivity x resistivity / temperature is {lorenz:.3g} V2/K2; metals: 2.4e-8")  # fmt: skip
        if row["density_kg_per_m3"] and not 1500 <= row["density_kg_per_m3"] <= 22700:
            complain(row, "density", ["density_kg_per_m3"], f"a density of {row['density_kg_per_m3']:g} kg/m3")


def _studs(rows, tables, complain):
    for small, large in (("thread_diameter_m", "fine_hole_m"), ("fine_hole_m", "medium_hole_m"), 
                         ("medium_hole_m", "coarse_hole_m"),
                         ("thread_diameter_m", "ring_hole_in_use_m")):  # fmt: skip
        _less(
            rows,
            complain,
            small,
            large,
            f"{small[:-2].replace('_', ' ')} is not below {large[:-2].replace('_', ' ')}",
            strict=True,
        )


def _torques(rows, tables, complain):
    _less(rows, complain, "least_torque_n_m", "greatest_torque_n_m", "the least torque is above the greatest")
    for row in rows:
        stud = tables.find("studs.csv", row["stud"])
        thread = stud and stud["thread_diameter_m"]
        for column in ("least_torque_n_m", "greatest_torque_n_m"):
            if thread and row[column]:  # stress in the thread by T = 0.2 d F
                stress = row[column] / (0.2 * thread) / (0.25 * math.pi * (0.88 * thread) ** 2) / 1e6
                if not 4 <= stress <= 900:
                    complain(
                        row,
                        "torque",
                        [column, "stud"],
                        f"{row[column]:.4g} N m would pull {row['stud']} with {stress:.3g} MPa",
                    )


def _rectifiers(rows, tables, complain):
    _less(rows, complain, "least_breakdown_v", "greatest_breakdown_v", "its breakdown window runs backwards")
    _less(rows, complain, "reverse_voltage_v", "least_breakdown_v", "its reverse voltage is above its least breakdown")
    for row in rows:
        _semiconductor(row, complain)


def _diodes(rows, tables, complain):
    for row in rows:
        _semiconductor(row, complain)


def _semiconductor(row, complain):
    threshold, slope, average = row.get("threshold_v"), row.get("slope_ohm"), row.get("average_current_a")
    if threshold and not 0.1 <= threshold <= 2.5:
        complain(row, "threshold", ["threshold_v"], f"a threshold of {threshold:.3g} V; 0.1 to 2.5 V can be true")
    if slope and average and not 0.01 <= slope * average <= 1.5:
        complain(
            row,
            "slope",
            ["slope_ohm", "average_current_a"],
            f"its slope drops {slope * average:.3g} V at its average current; 0.01 to 1.5 V can be true",
        )
    surge = row.get("surge_current_a")
    if surge and average and not 1.5 <= surge / average <= 100:
        complain(
            row,
            "surge",
            ["surge_current_a", "average_current_a"],
            f"its surge is {surge / average:.3g} times its average current",
        )
    junction = row.get("greatest_junction_k")
    if junction and not 373 <= junction <= 523:
        complain(row, "junction", ["greatest_junction_k"], f"a junction at {junction - 273.15:.4g} degC")
    for name in ("junction_to_case_k_per_w", "case_to_sink_k_per_w"):
        if row.get(name) and average and not 0.001 <= row[name] * average <= 1000:
            complain(
                row,
                "heat",
                [name, "average_current_a"],
                f"{name.replace('_k_per_w', '').replace('_', ' ')} of {row[name]:.3g} K/W at {average:.4g} A",
            )


def _suppressors(rows, tables, complain):
    _less(rows, complain, "stand_off_v", "least_breakdown_v", "its stand-off is not below its breakdown", strict=True)
    _less(rows, complain, "least_breakdown_v", "greatest_breakdown_v", "its breakdown window runs backwards")
    _less(rows, complain, "greatest_breakdown_v", "clamping_v", "it clamps below its breakdown", strict=True)
    _less(rows, complain, "steady_power_w", "pulse_power_w", "its steady power is above its pulse power", strict=True)
    for row in rows:
        stand, low, high, clamp = (
            row.get(n) for n in ("stand_off_v", "least_breakdown_v", "greatest_breakdown_v", "clamping_v")
        )
        peak, power = row.get("peak_current_a"), row.get("pulse_power_w")
        if clamp and peak and power and not 0.85 <= clamp * peak / power <= 1.15:
            complain(
                row,
                "power",
                ["clamping_v", "peak_current_a", "pulse_power_w"],
                f"clamping times peak current is {clamp * peak:.4g} W, its pulse power {power:.4g} W",
            )
        if stand and low and not 1.03 <= low / stand <= 1.45:
            complain(
                row,
                "window",
                ["stand_off_v", "least_breakdown_v"],
                f"its breakdown begins at {low / stand:.3g} times its stand-off; 1.03 to 1.45 can be true",
            )
        if low and high and not 1.0 < high / low <= 1.3:
            complain(
                row,
                "window",
                ["least_breakdown_v", "greatest_breakdown_v"],
                f"its breakdown window spans {high / low:.3g}; up to 1.3 can be true",
            )
        elif low and high and not any(abs(high / low - usual) <= 0.013 for usual in (1.105, 1.2222)):
            complain(
                row,
                "window",
                ["least_breakdown_v", "greatest_breakdown_v"],
                f"its breakdown window spans {high / low:.4g}; 5 and 10 per cent parts have 1.105 and 1.222",
                LOOK,
            )
        if high and clamp and not 1.05 <= clamp / high <= 1.8:
            complain(
                row,
                "window",
                ["greatest_breakdown_v", "clamping_v"],
                f"it clamps at {clamp / high:.3g} times its breakdown; 1.05 to 1.8 can be true",
            )
        test = row.get("test_current_a")
        if test and not 1e-4 <= test <= 0.2:
            complain(row, "test current", ["test_current_a"], f"a test current of {test:.3g} A: mA taken for A?")
        junction = row.get("greatest_junction_k")
        if junction and not 373 <= junction <= 523:
            complain(row, "junction", ["greatest_junction_k"], f"a junction at {junction - 273.15:.4g} degC")


def _suppressor_curves(rows, tables, complain):
    curves = {}
    for row in rows:
        curves.setdefault(row["class"], []).append(row)
    for own in curves.values():
        points = sorted((r for r in own if r.get("width_s") and r.get("power_w")), key=lambda r: r["width_s"])
        for shorter, longer in itertools.pairwise(points):
            if longer["power_w"] > shorter["power_w"]:
                complain(longer, "curve", ["power_w", "width_s"], "it takes more power for a longer pulse")
            elif longer["power_w"] * longer["width_s"] < 0.999 * shorter["power_w"] * shorter["width_s"]:
                complain(longer, "curve", ["power_w", "width_s"], "it takes less energy in a longer pulse")


def _heatsinks(rows, tables, complain):
    for row in rows:
        if row.get("sink_to_air_k_per_w") and not 0.005 <= row["sink_to_air_k_per_w"] <= 60:
            complain(row, "sink", ["sink_to_air_k_per_w"], f"{row['sink_to_air_k_per_w']:.3g} K/W to the air")


RULES = {
    "conductors.csv": (_conductors,),
    "wires.csv": (_wires,),
    "lugs.csv": (_lugs,),
    "splices.csv": (_barrels,),
    "sleeves.csv": (_sleeves,),
    "fuses.csv": (_fuses, _classes_have_curves),
    "fuse_curves.csv": (_curves,),
    "fuse_ambients.csv": (_fuse_ambients,),
    "ampacities.csv": (_ampacities,),
    "shunts.csv": (_shunts,),
    "busbars.csv": (_busbars,),
    "insulations.csv": (_insulations,),
    "materials.csv": (_materials,),
    "studs.csv": (_studs,),
    "stud_torques.csv": (_torques,),
    "rectifiers.csv": (_rectifiers,),
    "diodes.csv": (_diodes,),
    "suppressors.csv": (_suppressors,),
    "suppressor_curves.csv": (_suppressor_curves,),
    "heatsinks.csv": (_heatsinks,),
}
"""Table -> its rules."""
