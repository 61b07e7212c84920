"""Parts in stock for connections that are incomplete: set aside for now, and only the very parts that were picked.

What an incomplete connection takes may still change, so it has no say in the plan: it takes what the plan leaves, and
nothing but the part it would be bought. Its parts are among the project's, so what lies on the shelf is not bought again.
"""

from selector.choosing.lengths import UNITS_A_METRE, needed, units_of_cut, units_of_piece
from selector.choosing.shelf import Assigned


def provisional(shelf):
    """`Assigned` for the picks of incomplete connections, longest cuts first, each from the shortest piece that has it."""
    rest = _rest(shelf)
    asked = []
    for one in shelf.outcome.chosen:
        if one.status == "incomplete":
            asked += _asked(shelf, one)
    found = []
    for own in sorted(asked, key=lambda own: -(own[3] or 0.0)):
        found += _take(shelf, rest, *own)
    places = {one.place: n for n, one in enumerate(shelf.outcome.chosen)}
    roles = {one.place: [role.role for role in one.kind.roles] for one in shelf.outcome.chosen}
    return sorted(found, key=lambda own: (places[own.place], roles[own.place].index(own.role), own.line, own.piece))


def _asked(shelf, one):
    """(place, role, how many, length of each or None) of what an incomplete connection takes."""
    for role in one.kind.roles:
        want = shelf.outcome.wanted[one.place].get(role.role)
        amount = one.quantities.get(role.role)
        absent = want is None or not want.present or want.inherited or one.pick(role.role) < 0
        if absent or not (one.found or want.fixed) or amount is None or not amount > 0:
            continue
        count, length = needed(shelf.outcome.places, one.place, role, float(amount))
        yield one, role, count, length


def _rest(shelf):
    """What the plan leaves: (line, None) -> pieces where a role counts them, (line, piece) -> micrometres to cut from."""
    whole, cut = {}, {}
    for own in shelf.assignment.assigned if shelf.assignment is not None else ():
        at = own.line, own.piece
        if own.length_m is None:
            whole[own.line] = whole.get(own.line, 0) + 1
        else:
            cut[at] = cut.get(at, 0) + round(own.length_m * UNITS_A_METRE)
    rest = {}
    for item in shelf.stock.items:
        if shelf.stock.factors.get(item.line) != 1.0:
            continue  # nobody may use it, or only where its wear is judged
        rest[item.line, None] = int(item.quantity) - whole.get(item.line, 0)
        if item.length_m is not None:
            size = units_of_piece(item.length_m)
            for piece in range(1, int(item.quantity) + 1):
                rest[item.line, piece] = size - cut.get((item.line, piece), 0)
    return rest


def _take(shelf, rest, one, role, count, length):
    own, index = shelf.outcome.candidates[role.family], one.pick(role.role)
    lines = {item.line: item for item in shelf.stock.items if item.family == role.family and item.index is not None
             and own.plain_key(item.index) == own.plain_key(index)}  # fmt: skip
    places = [at for at in rest if at[0] in lines and (at[1] is None) is (length is None)]
    found = []
    if length is None:
        alike = own.pieces(index) > 1
        for at in places:
            least = count if alike else 1  # parts that share a load come from one lot
            have = min(count - len(found), rest[at]) if rest[at] >= least else 0
            for _ in range(have):
                number = int(lines[at[0]].quantity) - rest[at] + 1
                rest[at] -= 1
                found.append(Assigned(one.place, role.role, lines[at[0]].part, at[0], number, None, 1.0, "piece"))
        return found
    size = units_of_cut(length)
    for _ in range(count):
        at = min((at for at in places if rest[at] >= size), key=lambda at: rest[at], default=None)
        if at is None:
            break
        rest[at] -= size
        cut = size / UNITS_A_METRE
        found.append(Assigned(one.place, role.role, lines[at[0]].part, at[0], at[1], cut, cut, "m"))
    return found
