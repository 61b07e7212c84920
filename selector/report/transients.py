"""What explanations and findings say of pulses, suppressors and released coils."""

from selector import glossary
from selector.report.result import digits, plain

CODES = ("T01", "T02")
"""Codes of findings about transients that belong to no single check."""
DISCONNECTS_CURE = (
    "Put a suppressor at the alternator's output, keep a second battery that stays connected, or tell the regulator "
    "beforehand and write may disconnect no in supplies.csv."
)
TOO_MUCH_CURE = (
    "Keep a second battery that stays connected, let the field go faster (a zener or suppressor in place of its plain "
    "diode), or take a rectifier whose avalanche window does it."
)


# -- explanations --------------------------------------------------------------------------------------------------------


def transient_lines(outcome, one):
    """Label and value of what a suppressor or freewheel row faces; nothing for other kinds."""
    if one.kind.name == "suppressor":
        yield from _suppressor_lines(outcome, one)
    elif one.kind.name == "freewheel":
        yield from _freewheel_lines(outcome, one)


def _suppressor_lines(outcome, one):
    columns, i, results = outcome.places.columns, one.place, one.results
    yield (
        "highest charging voltage",
        f"{plain(float(columns['highest_v'][i]))} V, compensated for cold and equalising included",
    )
    yield "weakest thing at its node", _known(columns["weakest_withstand_v"][i], "V")
    yield from ((label, value) for label, value in _pulse_lines(columns, outcome.places.high, i))
    if not _is_known(results.get("pulse_current_a")):
        return
    yield (
        "all its pieces together take",
        (
            f"{plain(results['pulse_current_a'])} A at most, {plain(results['pulse_energy_j'])} J in "
            f"{plain(1000 * results['pulse_time_s'])} ms, by the printed line at 25 degC"
        ),
    )
    yield (
        "it holds, where it is warmest",
        (
            f"{plain(results['clamping_voltage_v'])} V then; it begins at {plain(results['begins_at_v'])} V at the latest and "
            f"holds {plain(results['holds_at_rating_v'])} V at its full current"
        ),
    )
    if results.get("extrapolated") == 1:
        yield (
            "its energy",
            "extrapolated: the pulse is longer than the last width its class prints, energy held constant",
        )


def _pulse_lines(columns, high, i):
    if columns["has_dump"][i] == 1:
        ends = (
            [columns]
            if high.get("dump_peak_v", columns["dump_peak_v"])[i] == columns["dump_peak_v"][i]
            else [columns, high]
        )
        words = [
            f"{_known(of.get('dump_peak_v', columns['dump_peak_v'])[i], 'V')} behind "
            f"{_known(of.get('dump_resistance_ohm', columns['dump_resistance_ohm'])[i], 'ohm')} for "
            f"{_known(1000 * of.get('dump_time_s', columns['dump_time_s'])[i], 'ms')}"
            for of in ends
        ]
        yield "load dump", ", and ".join(words)
    if columns["has_upper"][i] == 1:
        yield "a suppressor nearer the alternator lets through", _known(columns["upper_clamp_v"][i], "V")
    if columns["has_short_pulses"][i] == 1:
        yield (
            "short pulses",
            (
                f"2a: {plain(float(columns['short_above_v'][i]))} V above the supply behind "
                f"{plain(float(columns['short_resistance_ohm'][i]))} ohm; 3b: {plain(float(columns['burst_above_v'][i]))} V above it "
                f"behind {plain(float(columns['burst_resistance_ohm'][i]))} ohm; 1: -{plain(float(columns['negative_v'][i]))} V behind "
                f"{plain(float(columns['negative_resistance_ohm'][i]))} ohm"
            ),
        )


def _freewheel_lines(outcome, one):
    columns, i, results = outcome.places.columns, one.place, one.results
    yield (
        "the coil",
        (
            f"{_known(columns['coil_inductance_h'][i], 'H')}, {_known(columns['coil_resistance_ohm'][i], 'ohm')}, "
            f"{_known(results.get('stored_energy_j'), 'J')} stored"
        ),
    )
    yield "its current is gone after", f"{_milliseconds(results.get('release_time_s'))} by the plain diode"
    zener, clamp = (plain(float(columns[name][i])) for name in ("release_zener_v", "release_clamp_v"))
    yield f"with a zener of {zener} V behind the diode", _milliseconds(results.get("release_time_zener_s"))
    yield (
        f"with a suppressor of {clamp} V in its place",
        (
            f"{_milliseconds(results.get('release_time_suppressor_s'))}, {_known(results.get('released_energy_suppressor_j'), 'J')} "
            f"into it and {_known(results.get('switch_with_suppressor_v'), 'V')} over the switch"
        ),
    )


def _is_known(value):
    return value is not None and value == value


def _known(value, unit):
    return f"{plain(float(value))} {unit}" if _is_known(value) else "not known"


def _milliseconds(seconds):
    return _known(1000 * seconds, "ms") if _is_known(seconds) else "not known"


# -- findings ------------------------------------------------------------------------------------------------------------


def transient_findings(outcome):
    """(code, severity, connections, nodes, actual, limit, unit, text, cure) of transients of the whole."""
    yield from _disconnecting(outcome)
    yield from _too_much(outcome)


def _disconnecting(outcome):
    """Batteries that may go off while an alternator charges them, and nothing that takes the pulse."""
    network = outcome.places.network
    supplies = network.supplies
    for node in outcome.places.disconnecting:
        island = network.island[node]
        there = [n for n in supplies if network.island[n] == island]
        machines = [supplies[n]["node"] for n in there if supplies[n]["type"] == "alternator"]
        stays = [
            n
            for n in there
            if (supplies[n]["type"] or "battery") == "battery" and n not in outcome.places.disconnecting
        ]
        if not machines or stays or _guarded(outcome, island):
            continue
        name = supplies[node]["node"]
        yield ("T01", "must", [], [name], None, None, "",
               f"{name} may disconnect while {' and '.join(machines)} charges it, and nothing there takes the load dump. The "
               "same goes for a switch or fuse between them.", DISCONNECTS_CURE)  # fmt: skip


def _guarded(outcome, island):
    network = outcome.places.network
    return any(
        one.kind.name == "suppressor"
        and one.status != "unserved"
        and network.island[network.ends[one.place][0]] == island
        for one in outcome.chosen
    )


def _too_much(outcome):
    """Suppressor rows whose pulse is more than four matched pieces of any class take."""
    for one in outcome.chosen:
        if one.kind.name != "suppressor" or one.found or outcome.wanted[one.place]["suppressor"].fixed:
            continue
        codes = {check.code for check, _, _ in (fail for miss in one.misses for fail in miss.fails)}
        if not codes & {"U05", "U06"}:
            continue
        name, results = outcome.places.names[one.place], one.results
        most = int(max(outcome.candidates["suppressors"].columns["number"]))
        head, cure = "Nothing fits. The pulse is", TOO_MUCH_CURE
        if one.status != "unserved":  # what it fails by rests on a value nobody stated
            assumed = sorted(glossary.entry(name).label.casefold() for name in _assumed(outcome, one))
            head = f"Not settled: nothing fits what is only assumed here ({', '.join(assumed)}). The pulse would be"
            cure = f"Find that out and state it. If it stays so: {cure[0].lower()}{cure[1:]}"
        yield ("T02", "must", [name], [], digits(results.get("pulse_energy_j")), None, "J",
               f"{head} {_known(results.get('pulse_energy_j'), 'J')} and "
               f"{_known(results.get('pulse_current_a'), 'A')}; more than {most} matched suppressors in parallel share nothing.",
               cure)  # fmt: skip


def _assumed(outcome, one):
    """What a row takes as typical and its failing checks rest on."""
    leaves = outcome.chooser.registry_of(one.kind.name).leaves
    read = {leaf for miss in one.misses for check, _, _ in miss.fails for name in check.reads for leaf in leaves(name)}
    return outcome.places.typical_inputs.get(one.place, set()) & read
