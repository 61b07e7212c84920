"""Families of parts as series: what grows with size and what falls, and which way is better for whom relies on it."""

# ruff: noqa: E501 - rows of data read better whole

SERIES = {
    "conductors.csv": (
        (("material", "coating", "strand_class", "size_system"), "area_mm2",
         (("diameter_m", 1), ("resistance_at_20_degc_ohm_per_m", -1))),
    ),
    "lugs.csv": (
        (("style", "insulated", "plating", "metal"), "greatest_area_mm2", (("bore_m", 0), ("barrel_diameter_m", 0), ("least_area_mm2", 0))),
        (("style", "insulated", "plating", "metal"), "hole_m", (("palm_width_m", 0),)),
        (("style", "size", "insulated", "plating", "metal"), "hole_m", (("palm_width_m", 0),)),
    ),
    "splices.csv": (
        (("method", "insulated", "metal"), "greatest_area_mm2", (("bore_m", 0), ("least_area_mm2", 0), ("barrel_diameter_m", 0))),
    ),
    "sleeves.csv": (
        (("class", "ratio"), "supplied_bore_m", (("recovered_bore_m", 1), ("recovered_wall_m", 0))),
    ),
    "fuses.csv": (
        (("class", "voltage_rating_v"), "rating_a", (("cold_resistance_ohm", -1), ("melting_i2t_a2s", 1), ("clearing_i2t_a2s", 1), ("breaking_capacity_a", 0, 3.0))),
    ),
    "shunts.csv": ((("drop_v",), "current_a", (("continuous_current_a", 1),)),),
    "busbars.csv": (
        (("thickness_m", "material", "bars", "surface", "supply"), "width_m", (("ampacity_a", 1),)),
    ),
    "ampacities.csv": ((("table", "material", "rating_k"), "area_mm2", (("ampacity_a", 1),)),),
    "suppressors.csv": (
        (("class", "polarity"), "stand_off_v", (("least_breakdown_v", 1), ("greatest_breakdown_v", 1), ("clamping_v", 1), ("peak_current_a", -1))),
    ),
    "suppressor_curves.csv": ((("class",), "width_s", (("power_w", -1),)),),
    "rectifiers.csv": (
        (("circuit", "build"), "average_current_a", (("surge_current_a", 0, 3.0), ("slope_ohm", 0, 3.0), ("junction_to_case_k_per_w", 0, 3.0))),
    ),
    "diodes.csv": ((("recovery",), "average_current_a", (("slope_ohm", 0),)),),
    "stud_torques.csv": (),
    "studs.csv": (
        (("system",), "thread_diameter_m", (("fine_hole_m", 1), ("medium_hole_m", 1), ("coarse_hole_m", 1), ("ring_hole_in_use_m", 1))),
    ),
    "wires.csv": (
        (("insulation",), "_area_mm2", (("outer_diameter_m", 0),)),
    ),
    "heatsinks.csv": ((("family",), "air_speed_m_per_s", (("sink_to_air_k_per_w", -1),)),),
}  # fmt: skip
"""Table -> series: what rows must share, what they are ordered by, the values, whether they rise or fall with it, and by what factor one may stray where that is more than usual."""

BETTER = {
    "resistance at 20 degC": -1, "resistivity at 20 degC": -1, "temperature rating": 1, "short-circuit temperature": 1,
    "voltage rating": 1, "coldest flexing": -1, "coldest": -1, "temperature limit": 1, "greatest area": 1,
    "least area": -1, "rating": 1, "breaking capacity": 1, "cold resistance": -1, "melting I2t": 1, "clearing I2t": -1,
    "longest": -1, "shortest": 1, "factor": 1, "continuous current": 1, "ampacity": 1, "average current": 1,
    "reverse voltage": 1, "surge current": 1, "threshold": -1, "slope": -1, "junction to case": -1, "case to sink": -1,
    "greatest junction": 1, "stand-off": 1, "clamping": -1, "peak current": 1, "pulse power": 1, "steady power": 1,
    "least breakdown": 1, "greatest breakdown": -1, "power": 1, "sink to air": -1, "supplied bore": 1,
    "recovered bore": -1, "recovered wall": 1, "conductivity": 1, "area": 1, "adiabatic constant": 1,
    "heat capacity": 1, "emissivity": 1, "greatest torque": 1,
}  # fmt: skip
"""Column -> the way that makes a part look better: 1 more, -1 less. Others have no better way."""
