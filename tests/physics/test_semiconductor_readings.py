"""The formulas on semiconductors, leads and joints give the same on floats, arrays, quantities and cells."""

import math

import numpy as np
import pytest

from selector.physics import fin, heatsink, joint, rectifier, rectifier_ratios, suppressor
from tests.physics.cell_sheet import Sheet
from tests.physics.formulas import each, is_unknown
from tests.physics.semiconductor_formulas import EXAMPLES, on_quantities, public_formulas, unit_of

FORMULAS = [pytest.param(formula, *rest, id=formula.__name__) for formula, rest in EXAMPLES.items()]
LONGEST_TEXT = 1500


def cells_of(formula, example):
    sheet = Sheet()
    return sheet, formula(**{name: each(value, sheet.given) for name, value in example.items()})


def numbers_of(example):
    return [name for name, value in example.items() if not isinstance(value, tuple)]


def test_every_public_formula_has_an_example():
    assert public_formulas() == set(EXAMPLES)


@pytest.mark.parametrize("formula, unit, example", FORMULAS)
def test_the_name_of_a_formula_ends_in_its_unit(formula, unit, example):
    assert unit_of("_" + formula.__name__) == unit


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
    for name in numbers_of(example):
        array = formula(**{**example, name: example[name] * scales})
        alone = [formula(**{**example, name: example[name] * scale}) for scale in scales]
        assert np.shape(array) == (3,)
        assert array == pytest.approx(alone, rel=1e-12, nan_ok=True)


@pytest.mark.parametrize("formula, unit, example", [one for one in FORMULAS if numbers_of(one.values[2])])
def test_arrays_broadcast(formula, unit, example):
    numbers = numbers_of(example)
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
    sheet, cell = cells_of(formula, example)
    assert sheet.worked_out(cell) == pytest.approx(formula(**example), rel=1e-9)
    texts = [text for _, _, text in sheet.kept] + [cell.text]
    assert max(map(len, texts)) <= LONGEST_TEXT


@pytest.mark.parametrize("formula, unit, example", FORMULAS)
def test_each_unknown_input_makes_the_result_unknown(formula, unit, example):
    for name in numbers_of(example):
        unknown = {**example, name: math.nan}
        assert is_unknown(formula(**unknown)), name
        block = formula(**{**example, name: np.array([example[name], math.nan])})
        assert list(np.isnan(block)) == [False, True], name
        sheet, cell = cells_of(formula, unknown)
        assert is_unknown(sheet.worked_out(cell)), name


@pytest.mark.parametrize("name", ["counts", "areas_mm2"])
def test_an_unknown_wire_makes_the_sum_unknown(name):
    example = EXAMPLES[joint.summed_area_mm2][1]
    assert is_unknown(joint.summed_area_mm2(**{**example, name: (2.0, math.nan)}))


def test_an_unknown_point_of_a_pulse_curve_makes_the_powers_beside_it_unknown():
    points = {"widths_s": (1e-5, 1e-3, 1e-2), "powers_w": (15000.0, math.nan, 474.0)}
    assert is_unknown(suppressor.pulse_power_w(5e-4, **points))
    assert is_unknown(suppressor.pulse_power_w(5e-3, **points))
    assert is_unknown(suppressor.pulse_power_w(0.1, (1e-3, 1e-2), (1500.0, math.nan)))


def test_a_crimp_needs_no_melting_point_and_a_solder_does():
    assert joint.joint_limit_k(0.0, math.nan, math.nan, 448.15) == 448.15
    assert is_unknown(joint.joint_limit_k(1.0, math.nan, 50.0, 448.15))
    crimp = {"softens": 0.0, "softening_k": math.nan, "margin_k": math.nan, "part_limit_k": 448.15}
    sheet, cell = cells_of(joint.joint_limit_k, crimp)
    assert sheet.worked_out(cell) == 448.15


EDGES = [
    (heatsink.sink_rise_k, {"air_speed_m_per_s": 0.0}),
    (heatsink.sink_rise_k, {"printed_at_m_per_s": 2.0, "air_speed_m_per_s": 0.0}),
    (heatsink.forced_k_per_w, {"printed_at_m_per_s": 2.0}),
    (fin.hottest_k, {"from_end_k": 400.0}),
    (fin.hottest_k, {"to_end_k": 400.0}),
    (fin.hottest_k, {"length_m": 100.0}),
    (rectifier.winding_rms_a, {"delta": 0.0}),
    (rectifier.closed_line_v, {"delta": 1.0}),
    (rectifier_ratios.reactance_line_ratio, {"emf_ratio": 1.0532}),
    (rectifier_ratios.reactance_line_ratio, {"emf_ratio": 1.3398}),
    (rectifier_ratios.reactance_line_ratio, {"emf_ratio": 3.0}),
    (suppressor.pulse_power_w, {"width_s": 0.1}),
    (suppressor.pulse_power_w, {"width_s": 1e-6}),
    (suppressor.greatest_share_a, {"number": 1.0}),
]


@pytest.mark.parametrize("formula, edge", EDGES, ids=lambda value: getattr(value, "__name__", None))
def test_cells_and_arrays_follow_the_numbers_to_their_edges(formula, edge):
    example = {**EXAMPLES[formula][1], **edge}
    expected = formula(**example)
    sheet, cell = cells_of(formula, example)
    assert sheet.worked_out(cell) == pytest.approx(expected, rel=1e-9)
    name = next(iter(edge))
    assert formula(**{**example, name: np.array([edge[name]])}) == pytest.approx([expected], rel=1e-12)


@pytest.mark.parametrize("emf_ratio", [0.5, 1.0, 1.05])
def test_below_cut_in_every_reading_is_unknown(emf_ratio):
    formula = rectifier_ratios.reactance_line_ratio
    assert is_unknown(formula(emf_ratio))
    with np.errstate(invalid="ignore"):
        assert np.isnan(formula(np.array([emf_ratio]))).all()
    sheet, cell = cells_of(formula, {"emf_ratio": emf_ratio})
    assert is_unknown(sheet.worked_out(cell))
