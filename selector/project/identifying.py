"""What bench readings in a stock list leave of the parts its words may mean.

Readings narrow, they never widen: a part is settled by them only where the words leave nothing else open and one part
remains. A part that cannot have shown its readings is not used, whatever is printed on it.
"""

from selector.catalogue.bench import identify
from selector.errors import UnitError
from selector.project.describing_words import MOST_CANDIDATES

MEASURED_FAMILIES = ("suppressors", "diodes")
"""Families whose parts a bench tells apart; zeners stand among the diodes."""
BENCH_SETTINGS = {"bench air": "ambient_k", "bench warming": "warming_k", "meter resolution": "resolution_a",
                  "meter accuracy": "accuracy"}  # fmt: skip
"""Settings of how it was measured, and what `identify` calls them."""
NAMED = 3
"""Classes named in a remark; the others are counted."""


def stated_bench(settings):
    """What a project's settings say of its bench, by the names `identify` has for it."""
    return {name: settings.number(what) for what, name in BENCH_SETTINGS.items() if what in settings.stated}


def narrow_by_readings(item, open_parts, parts, catalogue, bench, complain):
    """Take what an item showed on the bench into account; what it leaves is kept as ``item.identified``.

    Parameters
    ----------
    item : `StockItem` with readings in ``measured``
    open_parts : (family, index) of the parts its words leave open; empty where something else is doubtful too
    parts : family -> `Candidates`
    catalogue : tables
    bench : what the project says of how it was measured, by the names `identify` has for it
    complain : called with column, found, expected where the readings cannot be read
    """
    if item.family is not None and item.family not in MEASURED_FAMILIES:
        item.remarks.append(
            f"Readings tell suppressors, zeners and diodes apart; those of {item.family} are only kept."
        )
        return
    places = {own.keys[i]: (family, i) for family, own in parts.items() if family in MEASURED_FAMILIES
              for i in range(len(own))}  # fmt: skip
    meant = {parts[family].keys[i] for family, i in open_parts} or ({item.part} if item.part is not None else None)
    try:
        found = identify(item.measured, catalogue, **bench, among=meant)
        if meant and not found.candidates:
            item.remarks.append(_cannot_be(item, meant))
            item.status, item.part, item.index, item.at_worst = "ambiguous", None, None, {}
            found = identify(item.measured, catalogue, **bench)
    except UnitError as error:
        complain("measured", error.found, error.expected)
        return
    left = [c.part.key for c in found.candidates if item.family in (None, places[c.part.key][0])]
    if item.part is not None:
        item.remarks.append("Its readings agree with it.")
    elif len(left) == 1 and meant and left[0] in meant:
        item.status, item.part = "read", left[0]
        item.family, item.index = places[left[0]]
        item.candidates, item.candidates_in_all = left, 1
        item.remarks = [f"Its words leave {len(meant)} parts; of them only '{left[0]}' can have shown its readings."]
    elif item.status == "ambiguous" and not meant:
        item.remarks.append("Its readings decide nothing before its words are settled.")
    else:
        _leave_open(item, left, found)


def _cannot_be(item, meant):
    if item.part is not None:
        return f"'{item.part}' cannot have shown its readings: do not use it before you know why."
    return f"None of the {len(meant)} parts its words may mean can have shown its readings."


def _leave_open(item, left, found):
    """Name what the readings leave, and what would tell more."""
    item.identified = found
    if not left:
        item.remarks.append("Its readings fit no part of the tables.")
        return
    item.status = "ambiguous"
    item.candidates, item.candidates_in_all = left[:MOST_CANDIDATES], len(left)
    names = list(dict.fromkeys(c.part.name for c in found.candidates))
    more = f" and {len(names) - NAMED} more classes" if len(names) > NAMED else ""
    count = "one part" if len(left) == 1 else f"{len(left)} parts"
    item.remarks.append(f"By its readings it can be {count} of {', '.join(names[:NAMED])}{more}.")
    if found.likely_stand_off_v:
        off, clamp = _volts(found.likely_stand_off_v), _volts(found.likely_clamp_v)
        item.remarks.append(f"As a suppressor it stands off {off}" + (f" and clamps at {clamp}." if clamp else "."))
    for untold in found.cannot_tell:
        if untold.what == "pulse power" and untold.low is not None:
            item.remarks.append(f"No bench reading tells its pulse power, {untold.low:g} to {untold.high:g} W.")
    following = found.next_measurement
    if following is not None:
        way, read = ("turned round", "voltage") if following.forward else ("in reverse", "current")
        item.remarks.append(
            f"Measure next: {way}, set {following.set_v:g} V with a limit of {following.limit_a * 1000:g} mA, "
            f"read the {read}."
        )


def _volts(pair):
    if pair is None:
        return ""
    low, high = (f"{value:.3g}" for value in pair)
    return f"{low} V" if low == high else f"{low} to {high} V"
