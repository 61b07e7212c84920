"""What explanations and findings say of pulses, suppressors and released coils."""

from selector import glossary
from selector.choosing.checks import FAIL, UNKNOWN
from selector.report.result import digits, plain

CODES = ("T01", "T02", "T03")
"""Codes of findings about transients that belong to no single check."""
OWN_DIODES = "where its own diodes hold the dump down, write load dump suppressed [V] in supplies.csv"
DISCONNECTS_CURE = (
    "Put a suppressor at the alternator's output, keep a second battery that stays connected, or tell the regulator "
    f"beforehand and write may disconnect no in supplies.csv; {OWN_DIODES}."
)
OPENS_CURE = (
    "Put a suppressor on the alternator's side of it, or keep a battery there that stays connected. Where nothing opens the "
    "alternator's line without its regulator being told beforehand, write may disconnect no beside the alternator in "
    f"supplies.csv; {OWN_DIODES}."
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
    yield "highest charging voltage", f"{plain(float(columns['highest_v'][i]))} V, {_charging_words(outcome.places, i)}"
    yield "weakest thing at its node", _known(columns["weakest_withstand_v"][i], "V")
    yield from _pulse_lines(columns, outcome.places.high, i)
    yield from _upper_line(columns, one)
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
    yield (
        "the pulse's own heat is not in that; with its junction at "
        f"{plain(float(columns['suppressor_heated_k'][i]) - 273.15)} degC it holds",
        _known(results.get("clamp_heated_v"), "V"),
    )
    if results.get("extrapolated") == 1:
        yield (
            "its energy",
            "extrapolated: the pulse is longer than the last width its class prints, energy held constant",
        )


def _charging_words(places, i):
    """Where the highest charging voltage comes from, and what the reader has to see to."""
    if any(default.what == "highest charging voltage" and i in default.rows for default in places.defaults):
        return (
            "usual for such a system; what cold compensation and equalising add is in it only if no charger gives more"
        )
    return "as stated; cold compensation and equalising have to be in it"


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
    if columns["has_central"][i] == 1:
        yield "the machine's own diodes hold it at", _central_words(ends, columns, i)
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


def _central_words(ends, columns, i):
    """What the machine's own diodes hold, and for how long at most: until the pulse is down there by itself."""
    from selector.physics.load_dump import dump_time_s

    held, supply = float(columns["central_clamp_v"][i]), float(columns["highest_v"][i])
    lasts = 0.0
    for of in ends:
        peak, time = (float(of.get(name, columns[name])[i]) for name in ("dump_peak_v", "dump_time_s"))
        lasts = max(lasts, dump_time_s(peak, supply, held, time) if _is_known(peak + time) else float("nan"))
    return f"{plain(held)} V, for {_milliseconds(lasts)}; a part that begins below that takes the whole pulse, others nothing"


def _upper_line(columns, one):
    """Which of two suppressors takes the load dump: the one that begins first, whole."""
    if columns["has_upper"][one.place] != 1:
        return
    holds = f"the one nearer the alternator holds {_known(columns['upper_clamp_v'][one.place], 'V')}"
    begins = next(((actual, status) for check, status, actual, _ in one.verdicts if check.code == "U12"), None)
    if begins is None or begins[1] == UNKNOWN or not one.found:
        yield "of two suppressors", holds
    elif begins[1] == FAIL:
        yield (
            "of two suppressors",
            f"{holds}, and this one may begin at {plain(begins[0])} V: it takes the load dump, and so do its lead and the "
            "fuse in it",
        )
    else:
        yield (
            "of two suppressors",
            f"{holds} and takes the load dump; this one begins at {plain(begins[0])} V at the least",
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
    """Batteries that may go off while an alternator charges them, or whose line may open, and nothing takes the pulse."""
    network, told = outcome.places.network, set()
    supplies = network.supplies
    bare = _bare_machines(outcome)
    for node in outcome.places.disconnecting:
        machines = [n for n in bare if network.island[n] == network.island[node]]
        stays = [n for n in _staying(outcome) if network.island[n] == network.island[node]]
        if not machines or stays:
            continue
        told.update(machines)
        name, behind = supplies[node]["node"], _behind_a_device(outcome, node)
        yield ("T01", "must", [], [name], None, None, "",
               f"{name} may disconnect while {' and '.join(supplies[n]['node'] for n in machines)} charges it, and nothing there "
               f"takes the load dump. The same goes for a switch or fuse between them.{behind}", DISCONNECTS_CURE)  # fmt: skip
    for machine in bare:
        if machine in told:
            continue
        name, said = supplies[machine]["node"], supplies[machine]["may_disconnect"]
        rows = [] if said == "no" else _only_links(outcome, machine)
        if rows:
            names = [outcome.places.names[row] for row in rows]
            verb, which = ("stand", "any of these opens") if len(names) > 1 else ("stands", "it opens")
            yield ("T03", "must", names, [name], None, None, "",
                   f"The fuse or breaker of {' and of '.join(names)} {verb} between {name} and its battery: when {which}, nothing "
                   f"on {name}'s side takes the load dump.{_behind_a_device(outcome, machine)}", OPENS_CURE)  # fmt: skip
        elif said == "yes":
            yield ("T03", "must", [], [name], None, None, "",
                   f"The line of {name} may open while it charges, and nothing on its side takes the load "
                   f"dump.{_behind_a_device(outcome, machine)}", OPENS_CURE)  # fmt: skip


def _bare_machines(outcome):
    """Nodes of alternators that charge a battery, with nothing on their own side that holds their load dump down."""
    network, devices = outcome.places.network, _devices(outcome)
    guards = {network.ends[one.place][0] for one in _suppressors(outcome)}
    charged = {network.island[n] for n, own in network.supplies.items() if (own["type"] or "battery") == "battery"}
    return [
        node
        for node, own in network.supplies.items()
        if own["type"] == "alternator"
        and network.island[node] in charged
        and own["load_dump_suppressed_v"] is None
        and not guards & network.reached([node], devices).keys()
    ]


def _suppressors(outcome):
    return [one for one in outcome.chosen if one.kind.name == "suppressor" and one.status != "unserved"]


def _devices(outcome):
    """Rows with a fuse or breaker of their own."""
    own = outcome.places.columns["own_device"]
    return {row for row in range(len(own)) if own[row] == 1}


def _staying(outcome):
    """Nodes of batteries that do not disconnect by themselves."""
    return [
        node
        for node, own in outcome.places.network.supplies.items()
        if (own["type"] or "battery") == "battery" and node not in outcome.places.disconnecting
    ]


def _only_links(outcome, machine):
    """Rows whose device alone, by opening, leaves an alternator without any battery that stays."""
    network, batteries, devices = outcome.places.network, set(_staying(outcome)), _devices(outcome)
    way = network.way(machine, batteries) or ()
    return sorted(r for r in way if r in devices and not batteries & network.reached([machine], {r}).keys())


def _behind_a_device(outcome, node):
    """What is said of suppressors that do not count, because a fuse or breaker parts them from the machine."""
    network = outcome.places.network
    island = network.island[node]
    names = [outcome.places.names[one.place] for one in _suppressors(outcome)
             if network.island[network.ends[one.place][0]] == island]  # fmt: skip
    verb = "stands" if len(names) == 1 else "stand"
    return f" {' and '.join(names)} {verb} behind a fuse or breaker." if names else ""


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
    return outcome.places.typical_inputs.get(one.place, {}).keys() & read
