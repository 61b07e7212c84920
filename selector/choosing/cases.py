"""Corners of the ranges of a place: every must holds in each."""

import numpy as np

MOST_CASES = 64
TOGETHER = {"dump_peak_v": ("dump_resistance_ohm", "dump_time_s")}
"""Figures printed in pairs: low goes with low, high with high; key iso-16750-2-2012."""
_FOLLOWERS = frozenset(name for own in TOGETHER.values() for name in own)


def corner_cases(places, indices):
    """Columns with a row for every corner of every range, and the place of each row."""
    varying = [[] for _ in indices]
    for name, high in places.high.items():
        if name in _FOLLOWERS:
            continue
        low = places.columns[name]
        differs = ~_same(low[indices], high[indices])
        if isinstance(name, tuple) and name[0] == "hottest_k":  # a terminal nobody measured follows the air
            differs &= places.columns["hottest_stated", name[1]][indices] == 1
        for i in np.flatnonzero(differs):
            varying[i].append(name)
    if not any(varying):
        return {name: values[indices] for name, values in places.columns.items()}, np.arange(len(indices))
    place, choice = [], []
    for i, names in enumerate(varying):
        count = min(2 ** len(names), MOST_CASES)
        for number in range(count):
            place.append(i)
            choice.append({name: bool(number >> bit & 1) for bit, name in enumerate(names)})
    place = np.array(place)
    columns = {name: values[indices][place].copy() for name, values in places.columns.items()}
    for row, own in enumerate(choice):
        for leader, high in own.items():
            for name in (leader, *TOGETHER.get(leader, ())):
                if high and name in places.high:
                    columns[name][row] = places.high[name][indices[place[row]]]
    for end in ("from", "to"):
        stated = columns["hottest_stated", end] == 1
        columns["hottest_k", end] = np.where(stated, columns["hottest_k", end], columns["ambient_k"])
    return columns, place


def _same(left, right):
    return (left == right) | (np.isnan(left) & np.isnan(right))
