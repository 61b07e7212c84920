"""The heat balance against a root-finder on the balance itself, and the limits it must keep."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from selector.physics import air, convection, heat_balance

REACH = 1e-9
GREATEST_K = 1273.15


def shed_w_per_m(surface_k, wire, place):
    """Heat a metre of surface sheds, as the balance is printed."""
    film = convection.film_w_per_m2_k(
        surface_k,
        place["ambient_k"],
        wire["outer_diameter_m"],
        place["air_speed_m_per_s"],
        air.pressure_pa(place["altitude_m"]),
        wire["emissivity"],
    )
    return math.pi * wire["outer_diameter_m"] * film * (surface_k - place["ambient_k"])


def wall_drop_k(heat_w_per_m, wire):
    shape = math.log(wire["outer_diameter_m"] / wire["diameter_m"])
    return heat_w_per_m * shape / (2 * math.pi * wire["conductivity_w_per_m_k"])


def resistance(wire, conductor_k):
    warmer = 1 + wire["temperature_coefficient_per_k"] * (conductor_k - 293.15)
    return wire["resistance_at_20_degc_ohm_per_m"] * warmer


def ampacity_by_root(wire, place, limit_k):
    """Root of the printed balance on surface temperature, to the last digits of a float."""
    low, high = place["ambient_k"], limit_k
    surface_k = high
    if wire["outer_diameter_m"] > wire["diameter_m"]:
        surface_k = brentq(
            lambda s: s + wall_drop_k(shed_w_per_m(s, wire, place), wire) - limit_k, low, high, xtol=1e-12, rtol=1e-15
        )
    return math.sqrt(shed_w_per_m(surface_k, wire, place) / resistance(wire, limit_k))


def temperature_by_root(current_a, wire, place):
    """Surface temperature at which the metal behind the wall makes what the surface sheds; then the metal's."""

    def metal_k(surface_k):
        return surface_k + wall_drop_k(shed_w_per_m(surface_k, wire, place), wire)

    def made_less_shed(surface_k):
        return current_a**2 * resistance(wire, metal_k(surface_k)) - shed_w_per_m(surface_k, wire, place)

    warmest = brentq(lambda s: metal_k(s) - GREATEST_K, place["ambient_k"], GREATEST_K + 1, xtol=1e-12, rtol=1e-15)
    if made_less_shed(warmest) >= 0:
        return GREATEST_K
    return metal_k(brentq(made_less_shed, place["ambient_k"], warmest, xtol=1e-12, rtol=1e-15))


@st.composite
def wires(draw):
    outer_m = draw(st.floats(1e-3, 40e-3))
    diameter_m = outer_m * draw(st.floats(0.1, 1.0))
    return {
        "resistance_at_20_degc_ohm_per_m": 0.018e-6 / (math.pi / 4 * diameter_m**2),
        "temperature_coefficient_per_k": draw(st.floats(0.0030, 0.0045)),
        "diameter_m": diameter_m,
        "outer_diameter_m": outer_m,
        "conductivity_w_per_m_k": draw(st.floats(0.12, 0.5)),
        "emissivity": draw(st.floats(0.05, 1.0)),
    }


PLACES = st.fixed_dictionaries(
    {
        "ambient_k": st.floats(233.15, 393.15),
        "air_speed_m_per_s": st.just(0.0) | st.floats(0.01, 20.0),
        "altitude_m": st.floats(0.0, 4000.0),
    }
)
LIMITS_K = st.floats(333.15, 533.15)


@settings(max_examples=300, deadline=None)
@given(wires(), PLACES, LIMITS_K)
def test_ampacity_reaches_the_root(wire, place, limit_k):
    assume(limit_k > place["ambient_k"] + 0.1)
    asked = heat_balance.ampacity_a(**wire, **place, limit_k=limit_k)
    assert asked == pytest.approx(ampacity_by_root(wire, place, limit_k), rel=REACH)


@settings(max_examples=300, deadline=None)
@given(wires(), PLACES, st.floats(0.02, 3.0))
def test_temperature_reaches_the_root(wire, place, share):
    current_a = share * heat_balance.ampacity_a(**wire, **place, limit_k=place["ambient_k"] + 100.0)
    asked = heat_balance.conductor_temperature_k(current_a, **wire, **place)
    assert asked == pytest.approx(temperature_by_root(current_a, wire, place), rel=REACH)


def random_block(count, seed):
    """Wires and places over the whole range, the corners among them."""
    draw = np.random.default_rng(seed)
    outer = np.exp(draw.uniform(np.log(1e-3), np.log(40e-3), count))
    outer[:2] = 1e-3, 40e-3
    diameter = outer * draw.uniform(0.05, 1.0, count)
    diameter[5::10] = outer[5::10]
    speed = draw.choice([0.0, 0.05, 1.0, 5.0, 20.0], count)
    return {
        "resistance_at_20_degc_ohm_per_m": 0.018e-6 / (np.pi / 4 * diameter**2),
        "temperature_coefficient_per_k": np.full(count, 0.00393),
        "diameter_m": diameter,
        "outer_diameter_m": outer,
        "conductivity_w_per_m_k": draw.uniform(0.12, 0.5, count),
        "emissivity": draw.choice([0.05, 0.9, 1.0], count),
    }, {
        "ambient_k": draw.choice([233.15, 273.15, 303.15, 393.15], count),
        "air_speed_m_per_s": speed,
        "altitude_m": draw.choice([0.0, 4000.0], count),
    }


def row(block, index):
    return {name: float(column[index]) for name, column in block.items()}


def test_a_block_of_ampacities_reaches_the_roots():
    wires_, places = random_block(1500, seed=7)
    limits = np.random.default_rng(8).choice([333.15, 363.15, 378.15, 473.15, 533.15], 1500)
    asked = heat_balance.ampacity_a(**wires_, **places, limit_k=limits)
    for index in range(1500):
        wire, place = row(wires_, index), row(places, index)
        if limits[index] <= place["ambient_k"]:
            assert asked[index] == 0.0
        else:
            assert asked[index] == pytest.approx(ampacity_by_root(wire, place, limits[index]), rel=REACH)


def test_a_block_of_temperatures_reaches_the_roots():
    wires_, places = random_block(1500, seed=9)
    share = np.exp(np.random.default_rng(10).uniform(np.log(0.01), np.log(4.0), 1500))
    currents = share * heat_balance.ampacity_a(**wires_, **places, limit_k=places["ambient_k"] + 100.0)
    asked = heat_balance.conductor_temperature_k(currents, **wires_, **places)
    expected = [temperature_by_root(currents[i], row(wires_, i), row(places, i)) for i in range(1500)]
    assert asked == pytest.approx(expected, rel=REACH)
    ended = np.array(expected) == GREATEST_K
    assert ended.any() and not ended.all()
    assert (asked[ended] == GREATEST_K).all()


def test_temperatures_in_a_gale_without_radiation_reach_the_roots():
    """There the way out of the surface does not fall as it warms, so the bound the steps begin from may lie above the root."""
    wires_, places = random_block(600, seed=11)
    wires_["emissivity"] = np.zeros(600)
    places["air_speed_m_per_s"] = np.random.default_rng(12).choice([20.0, 60.0, 120.0], 600)
    share = np.exp(np.random.default_rng(13).uniform(np.log(0.01), np.log(1.5), 600))
    currents = share * heat_balance.ampacity_a(**wires_, **places, limit_k=places["ambient_k"] + 200.0)
    asked = heat_balance.conductor_temperature_k(currents, **wires_, **places)
    expected = [temperature_by_root(currents[i], row(wires_, i), row(places, i)) for i in range(600)]
    assert asked == pytest.approx(expected, rel=REACH)


WIRE = {
    "resistance_at_20_degc_ohm_per_m": 2.1e-3,
    "temperature_coefficient_per_k": 0.00393,
    "diameter_m": 4.0e-3,
    "outer_diameter_m": 7.0e-3,
    "conductivity_w_per_m_k": 0.2,
    "emissivity": 0.9,
}
PLACE = {"ambient_k": 303.15, "air_speed_m_per_s": 0.0, "altitude_m": 0.0}


def ampacity(**changes):
    return heat_balance.ampacity_a(**{**WIRE, **PLACE, "limit_k": 378.15, **changes})


def temperature(current_a, **changes):
    return heat_balance.conductor_temperature_k(current_a, **{**WIRE, **PLACE, **changes})


@pytest.mark.parametrize("ambient_k", [378.15, 378.16, 500.0])
def test_no_temperature_difference_left_is_no_ampacity(ambient_k):
    assert ampacity(ambient_k=ambient_k) == 0.0


def test_no_current_leaves_the_wire_at_ambient_exactly():
    for ambient_k in (233.15, 303.15, 393.15, 301.2345678901):
        assert temperature(0.0, ambient_k=ambient_k) == ambient_k


def test_no_steady_temperature_is_the_end_of_the_search_exactly():
    assert temperature(5000.0) == GREATEST_K


def test_the_ampacity_brings_the_wire_to_its_limit():
    for limit_k in (333.15, 378.15, 473.15):
        assert temperature(ampacity(limit_k=limit_k)) == pytest.approx(limit_k, rel=REACH)


def test_the_heat_through_the_wall_leaves_the_surface():
    conductor_k = temperature(90.0)
    heat = 90.0**2 * resistance(WIRE, conductor_k)
    surface_k = heat_balance.surface_temperature_k(
        conductor_k, heat, WIRE["diameter_m"], WIRE["outer_diameter_m"], WIRE["conductivity_w_per_m_k"]
    )
    assert shed_w_per_m(surface_k, WIRE, PLACE) == pytest.approx(heat, rel=1e-8)


def test_a_wire_out_of_balance_counts_as_warm_all_through():
    surface_k = heat_balance.surface_temperature_k(GREATEST_K, 1e6, 4e-3, 7e-3, 0.2)
    assert surface_k == GREATEST_K


def test_a_bare_wire_has_no_wall():
    assert heat_balance.wall_k_m_per_w(4e-3, 4e-3, 0.2) == 0.0
    assert heat_balance.surface_temperature_k(400.0, 50.0, 4e-3, 4e-3, 0.2) == 400.0


def test_a_wire_without_radiation_still_has_an_answer():
    assert 0 < ampacity(emissivity=0.0) < ampacity()


def test_half_the_skin_effect_heat_is_root_two_of_current():
    assert ampacity(skin_factor=2.0) == pytest.approx(ampacity() / math.sqrt(2), rel=REACH)


@pytest.mark.parametrize(
    "name, values",
    [
        ("ambient_k", np.linspace(233.15, 393.15, 60)),
        ("resistance_at_20_degc_ohm_per_m", np.linspace(1e-4, 1e-2, 60)),
        ("altitude_m", np.linspace(0.0, 4000.0, 60)),
        ("diameter_m", np.linspace(7e-3, 1e-3, 60)),
    ],
)
def test_what_makes_it_harder_lowers_the_ampacity(name, values):
    assert (np.diff(ampacity(**{name: values})) <= 0).all()


@pytest.mark.parametrize(
    "name, values",
    [
        ("limit_k", np.linspace(310.0, 533.15, 60)),
        ("air_speed_m_per_s", np.linspace(0.0, 20.0, 60)),
        ("emissivity", np.linspace(0.0, 1.0, 60)),
        ("conductivity_w_per_m_k", np.linspace(0.05, 1.0, 60)),
    ],
)
def test_what_makes_it_easier_raises_the_ampacity(name, values):
    assert (np.diff(ampacity(**{name: values})) > 0).all()


def test_more_current_is_never_cooler():
    assert (np.diff(temperature(np.linspace(0.0, 800.0, 500))) >= 0).all()


def test_a_block_of_wires_by_places_equals_its_scalars():
    outer = np.array([4e-3, 7e-3, 12e-3])
    ambient = np.array([[253.15], [303.15]])
    block = ampacity(outer_diameter_m=outer, ambient_k=ambient)
    assert block.shape == (2, 3)
    for (i, j), value in np.ndenumerate(block):
        alone = ampacity(outer_diameter_m=float(outer[j]), ambient_k=float(ambient[i, 0]))
        assert value == pytest.approx(alone, rel=1e-12)


def test_an_unknown_beside_a_zero_current_or_a_lost_difference_stays_unknown():
    assert math.isnan(temperature(0.0, emissivity=math.nan))
    assert math.isnan(ampacity(ambient_k=400.0, emissivity=math.nan))


# Common practice, no source: an 8 AWG lead in 200 degC silicone rubber, 7 mm over all, 135 A, as an alternator's output
# lead is run. Metal 4.0 mm across, 2.1 ohm/km by 10.371 ohm cmil/ft and 2 % of lay.
@pytest.mark.parametrize("ambient_degc, low_degc, high_degc", [(30.0, 155.0, 175.0), (100.0, 223.0, 243.0)])
def test_a_hot_lead_runs_as_warm_as_practice_says(ambient_degc, low_degc, high_degc):
    assert low_degc <= temperature(135.0, ambient_k=ambient_degc + 273.15) - 273.15 <= high_degc
