"""What would let a row be served that nothing serves, where the way out is another than a larger part."""

import numpy as np

from selector.choosing.checks import FAIL
from selector.report.numbers import plain

TERMINALS = {"C04": "from", "C05": "to"}
LUGS = ("L07", "S04")
SENSE_FUSES = ("C30", "C31")
SENSE_LEAST_A, SENSE_MOST_A = 1.0, 3.0
ZERO_K = 273.15


def cures_of(outcome, one, without=()):
    """Sentences that say what to state, measure or change, for the musts a row fails with what comes nearest; ``without``
    are codes whose cure is told elsewhere."""
    if one.status == "served":
        return []
    found = []
    for check, status, _, limit in one.verdicts:
        if not check.must or status != FAIL or check.code in without:
            continue
        if check.code in TERMINALS:
            found.append(_warm_air(outcome, one, TERMINALS[check.code], limit))
        elif check.code in LUGS:
            found.append(_hot_terminal(outcome, one, check.end, limit))
        elif check.code == "P04":
            found.append(_breaking(outcome, one))
    return list(dict.fromkeys(text for text in found if text))


def breaking_notes(outcome):
    """One sentence for each fault no fuse considered can break, with how many connections it leaves open."""
    open_rows = {}
    for one in outcome.chosen:
        fault = none_breaks(outcome, one) if one.status != "served" and not one.found else None
        if fault is not None:
            open_rows.setdefault(fault, []).append(one)
    for own in open_rows.values():
        count = f"{len(own)} connections rest" if len(own) > 1 else "1 connection rests"
        yield f"{_breaking(outcome, own[0])} {count} on that."


def none_breaks(outcome, one):
    """Current no fuse or breaker that is considered can break at a row, None where one can or the row names its own [A]."""
    want = outcome.wanted[one.place].get("protection")
    if want is None or not want.present or want.fixed:
        return None
    fault = _high(outcome, "short_circuit_a", one.place)
    return None if fault != fault or _fuses(outcome, fault).any() else fault


def sense_cure(outcome, one):
    """What to do about a sense lead whose fuse is not of the usual size, where no such fuse can break the fault here."""
    fault = _high(outcome, "short_circuit_a", one.place)
    rating = outcome.candidates["fuses"].columns["rating_a"]
    if fault == fault and (_fuses(outcome, fault) & (rating >= SENSE_LEAST_A) & (rating <= SENSE_MOST_A)).any():
        return None
    return (
        f"No fuse of 1 to 3 A among those considered breaks {plain(fault)} A. Add one that does as a row of the "
        "project's tables/fuses.csv, or state the short-circuit current [A] of the battery in supplies.csv if it is less."
    )


def considered(outcome):
    """In words: which fuses were considered."""
    return "of the classes you buy" if outcome.settings.choices.get("fuse classes") else "of the tables"


def _fuses(outcome, fault):
    """Mask of the fuses considered that can break a fault, the spare kept [A]."""
    breaking = outcome.candidates["fuses"].columns["breaking_capacity_a"]
    least = fault * (1.0 + outcome.settings.spare_of("P04", "yes"))
    with np.errstate(invalid="ignore"):
        return outcome.chooser.bought["fuses"] & (breaking >= least * (1 - 1e-9))


def _breaking(outcome, one):
    fault = none_breaks(outcome, one)
    if fault is None:
        return None
    return (
        f"No fuse or breaker {considered(outcome)} breaks {plain(fault)} A: state short-circuit current [A] of the supply "
        "in supplies.csv, from its sheet or its internal resistance, or add a device that does to tables/fuses.csv."
    )


def _warm_air(outcome, one, end, limit_k):
    """Where the air itself leaves the terminal nothing."""
    air_k = _high(outcome, "ambient_k", one.place)
    if not limit_k - air_k <= 1e-6:
        return None
    node = outcome.places.rows[one.place][end]
    return (
        f"The air at {node} ({plain(air_k - ZERO_K)} degC) is as warm as its terminal may get ({plain(limit_k - ZERO_K)} degC), "
        f"so no wire will do: state its terminal limit [degC] in nodes.csv, or a cooler zone."
    )


def _hot_terminal(outcome, one, end, limit_k):
    """Where the terminal itself is hotter than what is crimped to it may get."""
    hottest_k = _high(outcome, ("hottest_k", end), one.place)
    if not hottest_k > limit_k:
        return None
    node = outcome.places.rows[one.place][end]
    taken = f"{end}_hottest_k" in outcome.places.typical_inputs.get(one.place, ())
    return (
        f"The terminal of {node} is {'taken to be ' if taken else ''}at {plain(hottest_k - ZERO_K)} degC, more than "
        f"{plain(limit_k - ZERO_K)} degC: measure it and state hottest [degC] in nodes.csv, or name a lug and a "
        "sleeve that stand it, such as nickel-plated ones."
    )


def _high(outcome, name, place):
    """A place's column at its high end."""
    return float(outcome.places.high.get(name, outcome.places.columns[name])[place])
