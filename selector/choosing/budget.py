"""A load's limit of voltage drop, shared among the pieces of its way so that they take the least copper together.

Pieces in series of length l that carry I, cut to a drop in all, take least copper when each loses in proportion to
l sqrt(I): the minimum of sum(l A) with sum(l I / A) held, by Lagrange; key series-feeder-textbook. A piece that loses less than
its share at the size it needs anyway leaves the rest to the others. What all loads together leave a shared piece is the
least of its shares; the load's own row takes what is left when the others are picked.
"""

from math import sqrt


def shares_of(places, wiring, chosen, adjustable, spare_of):
    """Limits of drop for pieces that lie on the way to a load and would together lose more than it may.

    Parameters
    ----------
    places : the project's `Places`
    wiring : `Wiring` of these places
    chosen : row -> what is picked there while no row knows of the rest of its way
    adjustable : rows whose wire is the program's to choose
    spare_of : check code -> share of the limit to be kept free

    Returns
    -------
    dict of row -> (column of the limit, limit [V], row of the load that binds it): of the drop in service, or at the peak
    where a piece carries nothing but that
    """
    ways, returns = wiring.solve(chosen)
    found = {}
    for load in wiring.rows:
        if places.columns["has_load_limit"][load] != 1 or wiring.is_return[load]:
            continue
        rows = wiring.way_rows(load, ways, returns, chosen)
        if not rows:
            continue
        for current, limit, code in _cases(places, load):
            target = limit * (1 - spare_of(code))
            for row, ohm in _shares_on(places, wiring, chosen, [load, *rows], load, current, target, adjustable):
                column, carried, own_code = _carried(places, row)
                own = ohm * carried / (1 - spare_of(own_code))
                if row != load and carried > 0 and (row not in found or own < found[row][1]):
                    found[row] = column, own, load
    return found


def _carried(places, row):
    """(column of the limit, current it is for, code of its check) by which a piece is held to a resistance."""
    current, peak = _top(places, "current_a", row), _top(places, "peak_current_a", row)
    if current > 0:
        return "drop_limit_v", current, "C07"
    return "peak_drop_limit_v", peak if peak == peak else 0.0, "C08"


def _top(places, name, row):
    return float(places.high.get(name, places.columns[name])[row])


def _cases(places, load):
    """(current of the load, limit, code of the check): in service, and at its peak where it has one."""
    current, peak = _top(places, "current_a", load), _top(places, "peak_current_a", load)
    yield current, float(places.columns["drop_limit_v"][load]), "C07"
    if peak == peak:
        yield peak, float(places.columns["peak_drop_limit_v"][load]), "C08"


def _shares_on(places, wiring, chosen, rows, load, current, target, adjustable):
    """(row, resistance) of the pieces that must lose less; nothing where the way keeps its limit or cannot."""
    more = current - _top(places, "current_a", load)
    flows, drops, weights = {}, {}, {}
    for row in rows:
        own = _top(places, "current_a", row)
        flows[row] = current if row == load else own + more
        drops[row] = wiring.piece(row, chosen)[1] * flows[row]
        length = _top(places, "length_m", row) * float(places.columns["legs"][row])
        weights[row] = length * sqrt(max(flows[row], 0.0)) if row in adjustable else 0.0
    whole = sum(drops.values())
    free = [row for row in rows if weights[row] > 0]
    rest = target - sum(drops[row] for row in rows if weights[row] == 0)
    if not whole > target or not rest > 0 or not free:
        return
    level = fill(rest, [drops[row] for row in free], [weights[row] for row in free])
    for row in free:
        if level * weights[row] < drops[row]:
            yield row, level * weights[row] / flows[row]


def fill(total, most, weights):
    """The level at which ``sum(min(most, level * weight))`` is ``total``; ``total`` is less than the sum of ``most``.

    >>> fill(3.0, [1.0, 5.0], [1.0, 1.0])
    2.0
    """
    left, weight = total, sum(weights)
    for cap, own in sorted(zip(most, weights, strict=True), key=lambda pair: pair[0] / pair[1]):
        if cap * weight >= left * own:
            break
        left, weight = left - cap, weight - own
    return left / weight
