"""Rectifiers, their heat and their sinks against textbook ratios, circuit simulations and published ratings."""

import math

import pytest

from selector.physics import heatsink
from selector.physics import rectifier as r
from selector.physics import rectifier_ratios as ratios
from tests.published.published_figures import each_row, kelvin, number, printed, rows

SIMULATION = 0.003  # the diodes simulated have a little drop and charge, the supply a little resistance
ROOT2, ROOT3 = math.sqrt(2.0), math.sqrt(3.0)


def line_ratio(row):
    """Line rms over dc current of the row's circuit and load."""
    if row["circuit"] == "three-phase half-wave":  # one diode in each line, a third of the time
        return (ratios.form_factor(3.0) if row["load"] == "resistor" else 1.0) / ROOT3
    if row["circuit"] == "single-phase bridge":
        return ratios.SINGLE_PHASE_LINE_RATIO * (ratios.form_factor(2.0) if row["load"] == "resistor" else 1.0)
    if row["load"] == "sine":
        return ratios.REACTANCE_LIMITED_LINE_RATIO
    return ratios.STIFF_LINE_RATIO * (ratios.form_factor(6.0) if row["load"] == "resistor" else 1.0)


def lines(row):
    return 2.0 if row["circuit"] == "single-phase bridge" else 3.0


def diode_rms(row):
    line_rms = r.line_rms_a(1.0, line_ratio(row))
    return line_rms if row["circuit"] == "three-phase half-wave" else r.diode_rms_a(line_rms)


def reverse_peak(row):
    if row["load"] == "sine":  # held by the battery
        return r.peak_line_v(1.0)
    peak = 1.0 / ratios.mean_over_peak(number(row, "pulses"))
    return ROOT3 * peak if row["circuit"] == "three-phase half-wave" else r.peak_line_v(1.0, peak)


def dc_over_line_rms(row):
    mean = ratios.mean_over_peak(number(row, "pulses"))
    return mean * ROOT2 / ROOT3 if row["circuit"] == "three-phase half-wave" else mean * ROOT2


def dc_over_phase_peak(row):
    mean = ratios.mean_over_peak(number(row, "pulses"))
    return mean if row["circuit"] == "three-phase half-wave" else mean * ROOT3


def diode_peak(row):
    if row["load"] == "sine":
        return r.diode_peak_a(1.0)
    return r.diode_peak_a(1.0, 1.0 / ratios.mean_over_peak(number(row, "pulses")))


OURS = {
    "dc voltage / source rms": dc_over_line_rms,
    "dc voltage / line rms": dc_over_line_rms,
    "dc voltage / phase peak": dc_over_phase_peak,
    "reverse peak / dc voltage": reverse_peak,
    "diode average / dc": lambda row: r.diode_average_a(1.0, lines(row)),
    "diode rms / dc": diode_rms,
    "diode rms / average": lambda row: diode_rms(row) / r.diode_average_a(1.0, lines(row)),
    "diode peak / dc": diode_peak,
    "line rms / dc": line_ratio,
    "dc / line peak": lambda row: 1.0 / (line_ratio(row) * ROOT2),
    "delta winding rms / dc": lambda row: r.winding_rms_a(line_ratio(row), 1.0),
    "ripple rms / dc": lambda row: ratios.ripple_rms_share(number(row, "pulses")),
    "ripple peak to peak / dc": lambda row: ratios.ripple_peak_to_peak_share(number(row, "pulses")),
}
RATIOS = [
    row for row in each_row("rectifier_ratios.csv", "circuit", "load", "quantity") if row.values[0]["load"] != "cut-in"
]


@pytest.mark.parametrize("row", RATIOS)
def test_rectifier_ratios_to_the_digit(row):
    assert OURS[row["quantity"]](row) == printed(row["value"])


@pytest.mark.parametrize("row", [row for row in RATIOS if row.values[0]["simulated"]])
def test_rectifier_ratios_within_03_percent_of_a_circuit_simulation(row):
    assert OURS[row["quantity"]](row) == pytest.approx(number(row, "simulated"), rel=SIMULATION)


def test_ratios_of_every_quantity_are_compared():
    assert {row.values[0]["quantity"] for row in RATIOS} == set(OURS)


# A machine with reactance feeding a battery: EMF, equal reactances, a constant voltage. Circuit simulations behind
# netlists/b6_largeL_star_*.cir. Key: rectifier-textbook.
REACTANCE = [row for row in each_row("rectifier_simulations.csv", "netlist") if row.values[0]["emf ratio"]]
DIODE_DROP_V = 0.125  # of the simulated diode at a few amperes: 0.2 x 26 mV x ln(5 A/1 nA), and 2 mohm


@pytest.mark.parametrize("row", REACTANCE)
def test_the_reactance_ratio_with_diode_drops_is_that_of_the_simulation(row):
    volts = number(row, "dc voltage [V]")
    emf_ratio = number(row, "emf ratio") * volts / (volts + 2 * DIODE_DROP_V)
    assert ratios.reactance_line_ratio(emf_ratio) == pytest.approx(number(row, "line rms / dc"), rel=SIMULATION)


# Near cut-in, at an EMF of 1.06 times the battery: 0.881 with ideal diodes, 0.885 with their drops (simulation
# b6_largeL_star_E1p06). Key: rectifier-textbook.
def test_the_line_ratio_near_cut_in():
    assert ratios.reactance_line_ratio(1.06) == printed("0.881")
    assert ratios.reactance_line_ratio(1.06 * 540.0 / (540.0 + 2 * DIODE_DROP_V)) == printed("0.885")


@pytest.mark.parametrize("row", REACTANCE)
def test_a_reactance_limited_line_never_carries_less_than_sine_waves(row):
    least = r.least_line_rms_a(number(row, "dc current [A]"))
    assert least <= number(row, "dc current [A]") * number(row, "line rms / dc") * 1.0005


@pytest.mark.parametrize("row", each_row("rectifier_simulations.csv", "netlist"))
def test_the_diode_current_of_a_bridge_follows_from_its_lines(row):
    line = number(row, "line rms / dc")
    ours = r.diode_rms_a(line) if row["netlist"].startswith("b") else line  # half-wave: the line is the diode
    assert ours == pytest.approx(number(row, "diode rms / dc"), rel=SIMULATION)


# 2 mH in each phase, 50 Hz, 50.92 A: 30.55 V lost; the simulated voltage is 509.2 V from 400 V. Key:
# rectifier-textbook.
def test_voltage_lost_in_commutation():
    (row,) = [one for one in rows("rectifier_simulations.csv") if one["netlist"] == "b6_overlap_2mH"]
    lost = r.overlap_drop_v(50.0, 2e-3, number(row, "dc current [A]"))
    assert lost == printed("30.55")
    ideal = 400.0 * ROOT2 * ratios.mean_over_peak(6.0)
    assert ideal - lost == pytest.approx(number(row, "dc voltage [V]"), rel=SIMULATION)


# A 220 A alternator: 180 A in each line by the stiff ratio, 163 A reactance-limited, so an estimate of 135 A is short.
# Keys: rectifier-textbook, electrical-machines-textbook.
def test_the_lines_of_a_220_a_alternator():
    assert r.line_rms_a(220.0, ratios.STIFF_LINE_RATIO) == printed("180")
    assert r.line_rms_a(220.0, ratios.REACTANCE_LIMITED_LINE_RATIO) == printed("163")
    assert r.least_line_rms_a(220.0) > 135.0


# Power-electronics textbooks, star and delta windings: 0.8165 in both, 0.4714 in a delta winding (0.4713/0.8163
# simulated, b6_stiff_delta_RL). Keys: rectifier-textbook, electrical-machines-textbook.
def test_a_delta_winding_carries_less_than_its_line():
    (row,) = [one for one in rows("rectifier_simulations.csv") if one["netlist"] == "b6_stiff_delta_RL"]
    ours = r.winding_rms_a(number(row, "line rms / dc"), 1.0)
    assert ours == pytest.approx(number(row, "winding rms / dc"), rel=SIMULATION)


@pytest.mark.parametrize("row", each_row("machine_frequencies.csv", "pole pairs", "speed [rpm]"))
def test_frequency_of_a_machine(row):
    frequency = r.frequency_hz(2 * number(row, "pole pairs"), number(row, "speed [rpm]"))
    assert frequency == number(row, "frequency [Hz]")
    assert r.ripple_hz(frequency, 6.0) == number(row, "ripple [Hz]")


def loss_of(row):
    return r.diode_loss_w(
        number(row, "threshold [V]"),
        number(row, "slope [mohm]") / 1000,
        number(row, "diode average [A]"),
        number(row, "diode rms [A]"),
    )


@pytest.mark.parametrize("row", each_row("rated_junctions.csv", "part"))
def test_losses_and_junctions_at_published_ratings(row):
    loss = loss_of(row)
    assert loss == printed(row["diode loss [W]"])
    through = loss
    if row["circuit loss [W]"]:
        whole = r.module_loss_w(loss, 6.0)
        assert whole == pytest.approx(number(row, "circuit loss [W]"), abs=0.06)  # a printed sum of rounded losses
        through = whole if row["resistance of"] == "bridge" else loss
    junction = r.junction_k(kelvin(row, "case [degC]"), through, number(row, "resistance [K/W]"))
    assert junction - 273.15 == printed(row["junction [degC]"])
    # a published rating does not land above the junction limit
    assert junction - 273.15 <= number(row, "limit [degC]")


@pytest.mark.parametrize("row", [one for one in each_row("rated_junctions.csv", "part") if one.values[0]["output [A]"]])
def test_diode_currents_at_published_ratings(row):
    output = number(row, "output [A]")
    assert r.diode_average_a(output, 3.0) == printed(row["diode average [A]"])
    assert r.diode_rms_a(r.line_rms_a(output, ratios.STIFF_LINE_RATIO)) == printed(row["diode rms [A]"])


# 130 A bridge module at its rating: 59.7 W in each diode, junction at 149.4 degC. Key: datasheet-bridge-3ph-130a.
def test_the_130_a_module_at_its_rating():
    rms = r.diode_rms_a(r.line_rms_a(130.0, ratios.STIFF_LINE_RATIO))
    loss = r.diode_loss_w(0.78, 4.59e-3, r.diode_average_a(130.0, 3.0), rms)
    assert loss == printed("59.7")
    assert r.junction_k(85.0 + 273.15, loss, 1.08) - 273.15 == printed("149.4")


# 100 A from a machine with sine waves and from a stiff source, loss line 0.78 V and 4.59 mohm: 38.58 and 41.30 W a
# diode, 231.5 and 247.8 W together. Key: datasheet-bridge-3ph-130a.
@pytest.mark.parametrize(
    "ratio, each, together",
    [(ratios.REACTANCE_LIMITED_LINE_RATIO, "38.58", "231.5"), (ratios.STIFF_LINE_RATIO, "41.30", "247.8")],
)
def test_losses_of_two_wave_forms(ratio, each, together):
    loss = r.diode_loss_w(0.78, 4.59e-3, r.diode_average_a(100.0, 3.0), r.diode_rms_a(r.line_rms_a(100.0, ratio)))
    assert loss == printed(each)
    assert r.module_loss_w(loss, 6.0) == printed(together)


# 231.5 W, junction at 125 degC, air at 50 degC, 0.18 and 0.05 K/W before the sink: 0.094 K/W. Key:
# datasheet-bridge-3ph-130a.
def test_the_sink_a_bridge_needs():
    assert r.greatest_sink_k_per_w(398.15, 323.15, 231.5, 0.18, 0.05) == printed("0.094")


# Application note on conduction losses: 1.15 V and 29 mohm at 20 A for half the time make 17.3 W; a trapezoid from 4 to
# 11.8 A for 0.6 of the time has 6.4 A rms; 0.43 V at 4 A and 0.55 V at 11.8 A make 15.38 mohm and 0.3685 V, 2.355 W.
# Key: application-note-conduction-loss.
def test_worked_diode_losses():
    assert r.diode_loss_w(1.15, 0.029, 10.0, r.block_rms_a(20.0, 20.0, 0.5)) == printed("17.3")
    assert r.block_rms_a(4.0, 11.8, 0.6) == printed("6.4")
    slope = r.slope_ohm(0.43, 4.0, 0.55, 11.8)
    assert 1000 * slope == printed("15.38")
    assert r.threshold_v(0.43, 4.0, slope) == printed("0.3685")
    assert r.diode_loss_w(0.3685, 0.01538, 4.7, 6.364) == printed("2.355")


# An ultrafast 1 A diode at half a square wave, 0.89 V and 165 mohm: 1.22 W. Key: datasheet-diode-ultrafast-1a.
def test_loss_of_a_small_diode():
    assert r.diode_loss_w(0.89, 0.165, 1.0, r.block_rms_a(2.0, 2.0, 0.5)) == printed("1.22")


# Two drops of 1 V in series take 12.5 % of what the windings give at 14 V, 6.7 % at 28 V, 3.6 % at 54 V. Key:
# rectifier-textbook.
@pytest.mark.parametrize("volts, percent", [(14.0, "12.5"), (28.0, "6.7"), (54.0, "3.6")])
def test_share_of_two_drops(volts, percent):
    assert 100 * r.series_loss_share(volts, 1.0) == printed(percent)


# A machine of 50 to 60 % efficiency (automotive-handbook) with a bridge of 1.06 V at 100 A, 212 W
# (datasheet-diode-button-50a): 15 to 25 % of its loss is in the diodes, not the half the trade tells.
@pytest.mark.parametrize("efficiency", [0.50, 0.55, 0.60])
def test_diodes_make_a_fifth_of_an_alternators_heat(efficiency):
    assert r.module_loss_w(1.06 * 100.0 / 3.0, 6.0) == printed("212")
    assert 0.15 <= r.share_of_losses(212.0, 100.0 * 14.0, efficiency) <= 0.25


# Cut-in speed about doubles from 12 to 24 V, common practice, no source.
def test_cut_in_speed_about_doubles():
    assert r.cut_in_speed_rpm(1000.0, 13.5, 27.0, 2.0) == pytest.approx(2000.0, rel=0.1)


# The same winding in star gives the root of three times the voltage: cut-in speed 1.7321 as high in delta. Key:
# electrical-machines-textbook.
def test_delta_cuts_in_at_a_higher_speed():
    assert r.closed_line_v(1.0, 0.0) / r.closed_line_v(1.0, 1.0) == printed("1.7321")


SINK_FACTORS = {
    "rise [K]": (heatsink.rise_factor, 0.001),
    "air speed [m/s]": (heatsink.forced_factor, 0.002),
    "altitude [m]": (heatsink.altitude_factor, 0.01),
}


@pytest.mark.parametrize("row", each_row("sink_corrections.csv", "by", "at"))
def test_sink_corrections(row):
    factor, within = SINK_FACTORS[row["by"]]
    assert factor(number(row, "at")) == pytest.approx(number(row, "factor"), rel=within)


# Catalogue page: 0.37 K/W becomes 0.16 K/W at 2 m/s. Key: datasheet-heatsink-forced-air.
def test_worked_sink_correction():
    assert heatsink.forced_k_per_w(0.37, 0.0, 2.0, 0.0) == printed("0.16")


# The same page: speed in m/s is 471 times the flow in cubic feet a minute over channels, height and width in mm.
def test_speed_between_fins():
    cubic_foot_a_minute = 0.3048**3 / 60
    speed = heatsink.channel_speed_m_per_s(cubic_foot_a_minute, 10.0, 0.03, 0.008)
    assert speed == pytest.approx(471.0 / (10 * 30 * 8), rel=0.003)
