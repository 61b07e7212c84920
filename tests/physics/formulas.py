"""Every public formula with an example of its inputs and the unit of its result, for tests that walk them all."""

import inspect
import math
from contextlib import contextmanager

import pint

from selector.physics import (
    air,
    conductor,
    convection,
    fuses,
    grouping,
    heat_balance,
    short_circuit,
    voltage_drop,
)

MODULES = (air, conductor, convection, fuses, grouping, heat_balance, short_circuit, voltage_drop)
UNITS = pint.UnitRegistry()
Q = UNITS.Quantity

# endings of a name, the longest first; no ending means a bare number
ENDINGS = {
    "_kg_per_m_s_k05": "kg/(m s K**0.5)",
    "_kg_per_m_s": "kg/(m s)",
    "_kg_per_m3": "kg/m**3",
    "_w_per_m2_k4": "W/(m**2 K**4)",
    "_w_per_m2_k": "W/(m**2 K)",
    "_w_per_m_k15": "W/(m K**1.5)",
    "_w_per_m_k": "W/(m K)",
    "_k_m_per_w": "K m/W",
    "_w_per_m": "W/m",
    "_j_per_kg_k": "J/(kg K)",
    "_a_s05_per_mm2": "A s**0.5/mm**2",
    "_ohm_mm2_per_m": "ohm mm**2/m",
    "_ohm_per_m": "ohm/m",
    "_m2_per_s": "m**2/s",
    "_m_per_s2": "m/s**2",
    "_m_per_s": "m/s",
    "_h_per_m": "H/m",
    "_k_per_m": "K/m",
    "_per_k": "1/K",
    "mm2_per_m2": "mm**2/m**2",
    "m2_per_mm2": "m**2/mm**2",
    "_mm2": "mm**2",
    "_a2s": "A**2 s",
    "_pa": "Pa",
    "_hz": "Hz",
    "_k": "K",
    "_m": "m",
    "_a": "A",
    "_v": "V",
    "_ohm": "ohm",
    "_w": "W",
    "_s": "s",
}


def unit_of(name):
    return next((unit for ending, unit in ENDINGS.items() if name.endswith(ending)), "")


WIRE = {
    "resistance_at_20_degc_ohm_per_m": 0.524e-3,
    "temperature_coefficient_per_k": 0.00393,
    "diameter_m": 7.5e-3,
    "outer_diameter_m": 12.7e-3,
    "conductivity_w_per_m_k": 0.286,
    "emissivity": 0.9,
}
PLACE = {"ambient_k": 303.15, "air_speed_m_per_s": 1.5, "altitude_m": 1000.0, "skin_factor": 1.02}
TIMES = {"multiples": (1.35, 2.0, 3.5, 6.0), "times_s": (1800.0, 60.0, 7.0, 1.0), "keeps_i2t": 1.0}

# formula: (unit of its result, example)
EXAMPLES = {
    air.pressure_pa: ("Pa", {"altitude_m": 2000.0}),
    air.film_k: ("K", {"surface_k": 373.15, "ambient_k": 303.15}),
    air.viscosity_kg_per_m_s: ("kg/(m s)", {"film_k": 330.0}),
    air.air_conductivity_w_per_m_k: ("W/(m K)", {"film_k": 330.0}),
    air.heat_capacity_j_per_kg_k: ("J/(kg K)", {"film_k": 330.0}),
    air.kinematic_viscosity_m2_per_s: (
        "m**2/s",
        {"viscosity_kg_per_m_s": 2e-5, "film_k": 330.0, "pressure_pa": 9e4},
    ),
    air.prandtl: (
        "",
        {"viscosity_kg_per_m_s": 2e-5, "heat_capacity_j_per_kg_k": 1007.0, "air_conductivity_w_per_m_k": 0.028},
    ),
    air.expansion_per_k: ("1/K", {"film_k": 330.0}),
    conductor.awg_diameter_m: ("m", {"gauge_number": 10.0}),
    conductor.round_area_mm2: ("mm**2", {"diameter_m": 2.588e-3}),
    conductor.awg_area_mm2: ("mm**2", {"gauge_number": 10.0}),
    conductor.resistance_at_20_degc_ohm_per_m: (
        "ohm/m",
        {"resistivity_ohm_mm2_per_m": 0.017241, "area_mm2": 5.26, "lay_factor": 1.02},
    ),
    conductor.resistance_at_temperature_ohm_per_m: (
        "ohm/m",
        {
            "resistance_at_20_degc_ohm_per_m": 3.3e-3,
            "temperature_coefficient_per_k": 0.00393,
            "conductor_k": 348.15,
            "skin_factor": 1.1,
        },
    ),
    conductor.zero_resistance_k: ("K", {"temperature_coefficient_per_k": 0.00393}),
    conductor.coated_resistance_ohm_per_m: (
        "ohm/m",
        {"resistance_at_20_degc_ohm_per_m": 3.3e-3, "coating_factor": 1.04},
    ),
    conductor.plating_share: ("", {"diameter_m": 0.2e-3, "plating_m": 1e-6}),
    conductor.plating_share_by_mass: (
        "",
        {"mass_share": 0.27, "core_density_kg_per_m3": 8890.0, "plating_density_kg_per_m3": 8900.0},
    ),
    conductor.plated_resistivity_ohm_mm2_per_m: (
        "ohm mm**2/m",
        {
            "plating_share": 0.1,
            "core_resistivity_ohm_mm2_per_m": 0.017241,
            "plating_resistivity_ohm_mm2_per_m": 0.0684,
        },
    ),
    conductor.skin_depth_m: ("m", {"frequency_hz": 1000.0, "resistivity_ohm_mm2_per_m": 0.02}),
    conductor.skin_argument: ("", {"frequency_hz": 1000.0, "resistance_ohm_per_m": 0.5e-3}),
    conductor.skin_factor: ("", {"skin_argument": 3.0}),
    conductor.rectifier_lead_skin_factor: ("", {"frequency_hz": 1000.0, "resistance_ohm_per_m": 0.5e-3}),
    convection.rayleigh: (
        "",
        {
            "surface_k": 380.0,
            "ambient_k": 300.0,
            "outer_diameter_m": 7e-3,
            "expansion_per_k": 1 / 340.0,
            "kinematic_viscosity_m2_per_s": 2e-5,
            "prandtl": 0.7,
        },
    ),
    convection.free_nusselt: ("", {"rayleigh": 1200.0}),
    convection.reynolds: (
        "",
        {"air_speed_m_per_s": 2.0, "outer_diameter_m": 7e-3, "kinematic_viscosity_m2_per_s": 2e-5},
    ),
    convection.forced_nusselt: ("", {"reynolds": 700.0, "prandtl": 0.7}),
    convection.combined_nusselt: ("", {"free_nusselt": 3.0, "forced_nusselt": 5.0}),
    convection.radiation_w_per_m2_k: ("W/(m**2 K)", {"surface_k": 380.0, "ambient_k": 300.0, "emissivity": 0.9}),
    convection.film_w_per_m2_k: (
        "W/(m**2 K)",
        {
            "surface_k": 380.0,
            "ambient_k": 300.0,
            "outer_diameter_m": 7e-3,
            "air_speed_m_per_s": 2.0,
            "pressure_pa": 9e4,
            "emissivity": 0.9,
        },
    ),
    fuses.ambient_factor: ("", {"ambient_k": 340.0, "factors": (1.12, 1.05, 1.0, 0.95, 0.9, 0.86, 0.8)}),
    fuses.carried_a: ("A", {"rating_a": 40.0, "ambient_factor": 0.95, "load_factor": 1.25}),
    fuses.conventional_current_a: ("A", {"rating_a": 100.0, "conventional_multiple": 1.6}),
    fuses.opening_time_s: ("s", {"multiple": 2.5, **TIMES}),
    fuses.longest_opening_time_s: ("s", {"multiple": 2.5, **TIMES}),
    fuses.self_heating_k: ("K", {"current_a": 50.0, "rating_a": 100.0, "rise_at_rating_k": 40.0}),
    grouping.bundle: ("", {"grouped_with": 3.0}),
    grouping.circuits_from_conductors: ("", {"conductors": 7.0}),
    grouping.derated_ampacity_a: ("A", {"ampacity_a": 47.0, "laying_factor": 0.91, "grouping_factor": 0.6}),
    grouping.equivalent_current_a: ("A", {"current_a": 47.0, "laying_factor": 0.91, "grouping_factor": 0.6}),
    heat_balance.wall_k_m_per_w: (
        "K m/W",
        {"diameter_m": 4e-3, "outer_diameter_m": 7e-3, "conductivity_w_per_m_k": 0.2},
    ),
    heat_balance.ampacity_a: ("A", {**WIRE, "limit_k": 363.15, **PLACE}),
    heat_balance.conductor_temperature_k: ("K", {"current_a": 180.0, **WIRE, **PLACE}),
    heat_balance.surface_temperature_k: (
        "K",
        {
            "conductor_k": 440.0,
            "heat_w_per_m": 60.0,
            "diameter_m": 4e-3,
            "outer_diameter_m": 7e-3,
            "conductivity_w_per_m_k": 0.2,
        },
    ),
    short_circuit.adiabatic_constant_a_s05_per_mm2: (
        "A s**0.5/mm**2",
        {
            "density_kg_per_m3": 8890.0,
            "heat_capacity_j_per_kg_k": 388.0,
            "resistivity_ohm_mm2_per_m": 0.017241,
            "temperature_coefficient_per_k": 0.00393,
        },
    ),
    short_circuit.adiabatic_k: (
        "A s**0.5/mm**2",
        {
            "adiabatic_constant_a_s05_per_mm2": 226.0,
            "zero_resistance_k": 38.65,
            "initial_k": 343.15,
            "final_k": 433.15,
        },
    ),
    short_circuit.fault_current_a: ("A", {"supply_v": 12.0, "short_circuit_a": 2000.0, "resistance_ohm": 0.114}),
    short_circuit.let_through_a2s: ("A**2 s", {"current_a": 1000.0, "time_s": 0.1}),
    short_circuit.withstand_a2s: ("A**2 s", {"k_a_s05_per_mm2": 115.0, "area_mm2": 4.0}),
    short_circuit.withstand_time_s: ("s", {"k_a_s05_per_mm2": 115.0, "area_mm2": 0.75, "current_a": 160.0}),
    short_circuit.withstand_current_a: ("A", {"k_a_s05_per_mm2": 115.0, "area_mm2": 4.0, "time_s": 0.1}),
    short_circuit.least_area_mm2: ("mm**2", {"let_through_a2s": 2.5e6, "k_a_s05_per_mm2": 115.0}),
    short_circuit.end_temperature_k: (
        "K",
        {
            "let_through_a2s": 211600.0,
            "area_mm2": 4.0,
            "initial_k": 343.15,
            "adiabatic_constant_a_s05_per_mm2": 226.0,
            "zero_resistance_k": 38.65,
        },
    ),
    voltage_drop.voltage_drop_v: (
        "V",
        {"current_a": 20.0, "length_m": 12.0, "resistance_ohm_per_m": 1.3e-3, "legs": 2.0},
    ),
    voltage_drop.area_for_drop_mm2: (
        "mm**2",
        {"current_a": 10.0, "length_m": 3.2, "drop_v": 0.36, "resistivity_ohm_mm2_per_m": 0.0179, "legs": 2.0},
    ),
    voltage_drop.length_for_drop_m: (
        "m",
        {"current_a": 20.0, "drop_v": 0.36, "resistance_ohm_per_m": 1.3e-3, "legs": 1.0},
    ),
    voltage_drop.hot_length_m: ("m", {"length_m": 12.0, "conductor_k": 378.15, "zero_resistance_k": 38.65}),
    voltage_drop.drop_share: ("", {"drop_v": 0.36, "nominal_v": 12.0}),
    voltage_drop.constant_power_current_a: ("A", {"power_w": 2000.0, "voltage_v": 10.5, "efficiency": 0.88}),
}

SEVERAL_RESULTS = {air.air}  # tested by what it is made of and by the film coefficient


def public_formulas():
    """Every function of the physics modules that does not begin with an underscore."""
    return {
        value
        for module in MODULES
        for name, value in vars(module).items()
        if inspect.isfunction(value) and value.__module__ == module.__name__ and not name.startswith("_")
    }


def each(value, work):
    """``work`` on a value, or on each value of a sequence."""
    return tuple(work(item) for item in value) if isinstance(value, tuple) else work(value)


def with_unit(name, value):
    """The value as a quantity in SI base units, whose powers cancel exactly, where the name ends in a unit."""
    unit = unit_of(name)
    return each(value, lambda item: Q(item, unit).to_base_units()) if unit else value


@contextmanager
def constants_with_units():
    """While open, the constants of every formula are quantities, wherever one formula calls another."""
    before = {formula: formula.__kwdefaults__ for formula in public_formulas()}
    try:
        for formula, constants in before.items():
            if constants:
                formula.__kwdefaults__ = {name: with_unit(name, value) for name, value in constants.items()}
        yield
    finally:
        for formula, constants in before.items():
            formula.__kwdefaults__ = constants


def on_quantities(formula, example):
    """The formula on quantities."""
    with constants_with_units():
        return formula(**{name: with_unit(name, value) for name, value in example.items()})


def is_unknown(value):
    return math.isnan(float(value))
