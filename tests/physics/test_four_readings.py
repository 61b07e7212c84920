"""Each formula gives the same on floats, arrays, quantities and cells, and passes an unknown on."""

import math

import numpy as np
import pytest

from selector.cell import Cell
from selector.physics import air, convection, fuses, heat_balance, short_circuit
from tests.physics.cell_sheet import Reader, Sheet
from tests.physics.formulas import EXAMPLES, SEVERAL_RESULTS, each, is_unknown, on_quantities, public_formulas, unit_of

FORMULAS = [pytest.param(formula, *rest, id=formula.__name__) for formula, rest in EXAMPLES.items()]
LONGEST_TEXT = 1500


def test_every_public_formula_has_an_example():
    assert public_formulas() - SEVERAL_RESULTS == set(EXAMPLES)


@pytest.mark.parametrize("formula, unit, example", FORMULAS)
def test_the_name_of_a_formula_ends_in_its_unit(formula, unit, example):
    assert unit_of("_" + formula.__name__) == unit or formula is short_circuit.adiabatic_k


@pytest.mark.parametrize("formula, unit, example", FORMULAS)
def test_dimensions(formula, unit, example):
    asked = on_quantities(formula, example)
    if hasattr(asked, "magnitude"):
        asked = asked.to(unit).magnitude
    else:
        assert unit == ""
    assert float(asked) == pytest.approx(formula(**example), rel=1e-9)


@pytest.mark.parametrize("formula, unit, example", FORMULAS)
def test_an_array_equals_its_scalars(formula, unit, example):
    scales = np.array([0.97, 1.0, 1.02])
    first = next(iter(example))
    array = formula(**{**example, first: example[first] * scales})
    alone = [formula(**{**example, first: example[first] * scale}) for scale in scales]
    assert np.shape(array) == (3,)
    assert array == pytest.approx(alone, rel=1e-12)


@pytest.mark.parametrize("formula, unit, example", FORMULAS)
def test_arrays_broadcast(formula, unit, example):
    numbers = [name for name, value in example.items() if not isinstance(value, tuple)]
    shapes = {name: (3, 1) if index % 2 else (1, 4) for index, name in enumerate(numbers)}
    block = formula(**{**example, **{name: np.full(shapes[name], example[name]) for name in numbers}})
    assert np.shape(block) == ((3, 4) if len(numbers) > 1 else (1, 4))
    assert np.ptp(block) == 0
    assert block.flat[0] == pytest.approx(formula(**example), rel=1e-12)


@pytest.mark.parametrize("formula, unit, example", FORMULAS)
def test_a_float_stays_a_plain_float(formula, unit, example):
    assert type(formula(**example)) is float


@pytest.mark.parametrize("formula, unit, example", FORMULAS)
def test_a_cell_says_what_the_number_says(formula, unit, example):
    sheet = Sheet()
    cell = formula(**{name: each(value, sheet.given) for name, value in example.items()})
    assert sheet.worked_out(cell) == pytest.approx(formula(**example), rel=1e-9)
    texts = [text for _, _, text in sheet.kept] + [cell.text]
    assert max(map(len, texts)) <= LONGEST_TEXT


@pytest.mark.parametrize("formula, unit, example", FORMULAS)
def test_each_unknown_input_makes_the_result_unknown(formula, unit, example):
    for name, value in example.items():
        if isinstance(value, tuple) or name == "keeps_i2t":  # both below
            continue
        unknown = {**example, name: math.nan}
        assert is_unknown(formula(**unknown)), name
        block = formula(**{**example, name: np.array([value, math.nan])})
        assert list(np.isnan(block)) == [False, True], name
        sheet = Sheet()
        cell = formula(**{key: each(item, sheet.given) for key, item in unknown.items()})
        assert is_unknown(sheet.worked_out(cell)), name


@pytest.mark.parametrize("formula", [fuses.opening_time_s, fuses.longest_opening_time_s])
def test_an_unknown_point_of_a_curve_makes_the_times_beside_it_unknown(formula):
    points = {"multiples": (1.35, 2.0, 3.5), "times_s": (1800.0, math.nan, 7.0)}
    assert is_unknown(formula(1.6, **points))
    assert is_unknown(formula(2.5, **points))


@pytest.mark.parametrize("formula", [fuses.opening_time_s, fuses.longest_opening_time_s])
def test_what_a_curve_keeps_matters_beyond_its_last_point(formula):
    points = {"multiples": (1.35, 2.0), "times_s": (1800.0, 60.0)}
    assert formula(1.6, **points, keeps_i2t=math.nan) == formula(1.6, **points)
    assert is_unknown(formula(4.0, **points, keeps_i2t=math.nan))


def test_the_air_of_a_film_is_what_its_parts_say():
    film, conductivity, viscosity, number = air.air(380.0, 300.0, 9e4)
    assert film == 340.0
    assert conductivity == air.air_conductivity_w_per_m_k(film)
    dynamic = air.viscosity_kg_per_m_s(film)
    assert viscosity == air.kinematic_viscosity_m2_per_s(dynamic, film, 9e4)
    assert number == air.prandtl(dynamic, air.heat_capacity_j_per_kg_k(film), conductivity)


EDGES = {
    "still air": {"air_speed_m_per_s": 0.0},
    "bare": {"outer_diameter_m": 7.5e-3},
    "no radiation": {"emissivity": 0.0},
    "a gale": {"air_speed_m_per_s": 20.0, "altitude_m": 4000.0},
}


@pytest.mark.parametrize("edge", EDGES.values(), ids=EDGES)
@pytest.mark.parametrize("formula", [heat_balance.ampacity_a, heat_balance.conductor_temperature_k])
def test_cells_follow_the_heat_balance_to_its_edges(formula, edge):
    example = {**EXAMPLES[formula][1], **edge}
    sheet = Sheet()
    cell = formula(**{name: sheet.given(value) for name, value in example.items()})
    assert sheet.worked_out(cell) == pytest.approx(formula(**example), rel=1e-9)


@pytest.mark.parametrize("current_a, expected_k", [(0.0, 303.15), (5000.0, 1273.15)])
def test_cells_end_the_search_where_the_numbers_do(current_a, expected_k):
    example = {**EXAMPLES[heat_balance.conductor_temperature_k][1], "current_a": current_a}
    sheet = Sheet()
    cell = heat_balance.conductor_temperature_k(**{name: sheet.given(value) for name, value in example.items()})
    assert sheet.worked_out(cell) == expected_k


def test_a_cell_without_temperature_left_carries_nothing():
    example = {**EXAMPLES[heat_balance.ampacity_a][1], "ambient_k": 373.15}
    sheet = Sheet()
    cell = heat_balance.ampacity_a(**{name: sheet.given(value) for name, value in example.items()})
    assert sheet.worked_out(cell) == 0.0


@pytest.mark.parametrize("reynolds", [0.0, 50.0])
def test_the_choice_between_no_stream_and_a_stream_is_live_in_a_cell(reynolds):
    sheet = Sheet()
    cell = convection.forced_nusselt(sheet.given(reynolds), sheet.given(0.7))
    assert sheet.worked_out(cell) == pytest.approx(convection.forced_nusselt(reynolds, 0.7), rel=1e-12)


@pytest.mark.parametrize(
    "text, value",
    [("-2^2", 4.0), ("2^3^2", 64.0), ("1-2-3", -4.0), ("8/4/2", 1.0), ("IF(1<=2,3,LN(0))", 3.0), ("MIN(2,1)+1", 2.0)],
)
def test_the_small_sheet_reads_as_a_spreadsheet_does(text, value):
    assert Reader(text).whole()({}) == value


@pytest.mark.parametrize("text", ["NA()+1", "LN(0)", "1/0", "SQRT(0-1)", "MAX(1,NA())", "IF(NA()<=1,1,2)"])
def test_the_small_sheet_shows_errors_as_unknown(text):
    assert is_unknown(Reader(text).whole()({}))


def test_a_loose_cell_needs_no_sheet():
    assert short_circuit.withstand_a2s(Cell("B2"), Cell("C2")).text == "B2*C2*B2*C2"
