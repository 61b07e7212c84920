"""What each family's descriptions may say: how pieces are counted, which figure belongs to which column, what is worse.

The words themselves are rows of ``tables/trade_words.csv``; this is what no table of words can say.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Shape:
    """How parts of a family are described.

    counted : sold by the piece; others are lengths
    figures : kind of figure -> column it must equal
    across : column a bare width in millimetres or inches must equal, None where there is none
    lengthy : a piece has a length worth noting
    needed : groups of columns; a description that says none of a group is never settled by what the tables happen to lack
    needed_if_any : columns a description must say where the part has a value in them
    open_columns : columns that tell parts of the family apart, in the order in which they are asked for
    worse : column -> "less" where a lower value is the worse one, "more" where a higher one is
    """

    counted: bool = True
    figures: dict = field(default_factory=dict)
    across: str | None = None
    lengthy: bool = False
    needed: tuple = ()
    needed_if_any: tuple = ()
    open_columns: tuple = ()
    worse: dict = field(default_factory=dict)


SHAPES = {
    "wires": Shape(
        counted=False,
        lengthy=True,
        figures={"temperature": "temperature_rating_k", "voltage": "voltage_rating_v"},
        needed=(("size",), ("insulation_material", "insulation")),
        open_columns=(
            "size", "material", "coating", "strand_class", "insulation_material", "temperature_rating_k",
            "voltage_rating_v", "insulation",
        ),
        worse={"temperature_rating_k": "less", "short_circuit_temperature_k": "less", "voltage_rating_v": "less",
               "rule_table_ampacity_a": "less", "oil": "less", "fuel": "less", "wet": "less", "sun": "less",
               "engine_space": "less", "coldest_flexing_k": "more"},
    ),
    "fuses": Shape(
        figures={"current": "rating_a", "voltage": "voltage_rating_v", "breaking": "breaking_capacity_a",
                 "temperature": "temperature_rating_k"},
        needed=(("rating_a",), ("class", "kind")),
        open_columns=("rating_a", "device", "class", "voltage_rating_v", "stud"),
        worse={"voltage_rating_v": "less", "breaking_capacity_a": "less", "ignition_protected": "less",
               "temperature_rating_k": "less", "cold_resistance_ohm": "more", "clearing_i2t_a2s": "more",
               "melting_i2t_a2s": "less"},
    ),
    "lugs": Shape(
        figures={"temperature": "temperature_limit_k"},
        needed=(("size",), ("stud", "hole_m"), ("style", "kind")),
        open_columns=("size", "stud", "style", "plating", "metal", "insulated", "bore_m", "temperature_limit_k"),
        worse={"temperature_limit_k": "less"},
    ),
    "sleeves": Shape(
        counted=False,
        lengthy=True,
        figures={"temperature": "temperature_rating_k"},
        across="supplied_bore_m",
        needed=(("supplied_bore_m",), ("class", "ratio", "adhesive", "kind")),
        open_columns=("supplied_bore_m", "ratio", "class", "adhesive", "temperature_rating_k"),
        worse={"temperature_rating_k": "less", "coldest_k": "more"},
    ),
    "splices": Shape(
        figures={"temperature": "temperature_limit_k"},
        needed=(("size",), ("method", "kind")),
        open_columns=("size", "method", "plating", "metal", "insulated", "temperature_limit_k"),
        worse={"temperature_limit_k": "less"},
    ),
    "diodes": Shape(
        figures={"current": "average_current_a", "voltage": "reverse_voltage_v", "power": "steady_power_w"},
        needed=(("type", "kind"), ("average_current_a", "steady_power_w"), ("reverse_voltage_v",)),
        needed_if_any=("base",),
        open_columns=("type", "average_current_a", "reverse_voltage_v", "recovery", "rating_point", "base"),
    ),
    "suppressors": Shape(
        figures={"voltage": "stand_off_v", "power": "pulse_power_w", "current": "peak_current_a"},
        needed=(("stand_off_v",), ("pulse_power_w", "class"), ("polarity",)),
        open_columns=("stand_off_v", "pulse_power_w", "polarity", "class"),
    ),
    "rectifiers": Shape(
        figures={"current": "average_current_a", "voltage": "reverse_voltage_v"},
        needed=(("circuit",), ("average_current_a",), ("reverse_voltage_v",)),
        open_columns=("circuit", "average_current_a", "reverse_voltage_v", "avalanche", "build", "base"),
    ),
    "heatsinks": Shape(
        figures={"thermal": "sink_to_air_k_per_w", "speed": "air_speed_m_per_s"},
        needed=(("form", "kind"), ("sink_to_air_k_per_w", "kind")),
        open_columns=("form", "sink_to_air_k_per_w", "air_speed_m_per_s", "base"),
    ),
    "shunts": Shape(
        figures={"current": "current_a", "millivolts": "drop_v"},
        needed=(("current_a",), ("drop_v",)),
        open_columns=("current_a", "drop_v"),
    ),
    "busbars": Shape(
        counted=False,
        lengthy=True,
        worse={"ampacity_a": "less"},
        open_columns=("width_m", "thickness_m", "material", "surface", "supply", "bars"),
    ),
    "studs": Shape(needed=(("stud",),), open_columns=("stud",)),
}  # fmt: skip
PLAIN = Shape()
"""Any other family: its keys and its own words, nothing more."""

NOT_COMPARED = frozenset({"number", "wire", "insulation", "line", "is_solid", "is_stranded", "is_class_2", "is_class_5", "source", "status",
                          "note", "origin", "conductor_status", "conductor_note", "insulation_status",
                          "insulation_note"})  # fmt: skip
"""Columns that say where a row comes from, or repeat other columns: an insulation is its columns."""

CLASS_STEP_K = 20.0
"""How far below the only matching part a material's lowest listed rating may lie for a description that gives no
rating to count as read [K]; common practice, no source: 180 and 200 degC silicone are neighbours, 60 and 105 degC PVC
are not."""
SAME_OUTSIDE = 0.05
"""Outer diameters of wires that do not tell two of one size apart: makers differ by more; common practice, no source."""
MOST_CANDIDATES = 12
