"""What stock does for a project, as data and for the terminal; every report of it says the same from here."""

import csv
import io

from selector.choosing.checks import margin_of
from selector.choosing.lengths import UNITS_A_METRE, needed
from selector.choosing.verdicts import margin_scale
from selector.report.result import Sources, digits, in_unit, part_of, picks_of, plain, result, sentence, shown

NEAR_MISSES = 5
"""Near misses kept for each role of a connection; ``selector shelf --for`` shows all of one connection."""
BEND_LEAST, BEND_MOST = 4, 8
"""Bend radius by outer diameter (common practice, no source: fixed and fine-stranded to solid or heavy)."""
LEFT_HEADERS = ("part", "quantity", "unit", "length [m]", "condition", "measured", "note")


def metres(value):
    """A length to the micrometre, without needless digits."""
    return None if value is None else digits(round(value * UNITS_A_METRE) / UNITS_A_METRE)


def shelf_data(shelf):
    """The member ``shelf`` of the JSON."""
    assignment = shelf.assignment
    plan = assignment.plan if assignment is not None else None
    said = {fit_key(fit): fit for fit in shelf.fits}
    return {
        "assigned": assigned_of(shelf),
        "to_buy": to_buy_of(shelf),
        "left": left_of(shelf),
        "refused": refused_of(shelf),
        "read": read_of(shelf),
        "gap": 0.0 if plan is None else digits(plan.gap),
        "stopped_early": bool(plan is not None and plan.stopped_early),
        "counted": counted_of(shelf),
        "cut_plan": cut_plan_of(shelf),
        "substitutes": [substitute_of(shelf, fit) for fit in said.values() if fit.picks is not None],
        "near_misses": [miss for misses in nearest_misses(shelf).values() for miss in misses[:NEAR_MISSES]],
        "before_use": before_use_of(shelf),
    }


def role_words(role):
    """``lug at the from end`` for the role ``lug from``."""
    name, _, end = role.rpartition(" ")
    return f"{name} at the {end} end" if end in ("from", "to") else role


def fit_key(fit):
    return fit.place, fit.role, fit.use


def shelf_result(shelf, brief=False):
    """The whole outcome as the JSON has it, with what stock does."""
    data = result(shelf.outcome, brief)
    data["stock"] = shelf.source
    own = shelf_data(shelf)
    if brief:
        own.pop("near_misses")
    data["shelf"] = own
    return data


def name_of(shelf, place):
    return shelf.outcome.places.names[place]


def assigned_of(shelf):
    """One entry a cut, or a piece; ``provisional`` where it is set aside for an incomplete connection."""
    return [
        {
            "connection": name_of(shelf, own.place),
            "role": own.role,
            "part": own.part,
            "stock_line": own.line,
            "piece": own.piece,
            "length": metres(own.length_m),
            "quantity": metres(own.quantity),
            "unit": own.unit,
            "provisional": own in shelf.set_aside,
        }
        for own in shelf.taken
    ]


def needs_of(outcome, one, role, quantity):
    """(pieces, length of each) that a role needs; the longest its range allows, None where it is no length."""
    if role.unit != "m":
        return quantity, None
    count, each = needed(outcome.places, one.place, role, quantity)
    return count, metres(each)


def to_buy_of(shelf):
    """What the assigned parts leave to be bought: the picks of served and incomplete connections, less what is had."""
    outcome = shelf.outcome
    had = {}
    for own in shelf.taken:
        had[own.place, own.role] = had.get((own.place, own.role), 0) + 1
    rows = {}
    for one in outcome.chosen:
        if one.status == "unserved":
            continue
        roles = {role.role: role for role in one.kind.roles}
        for pick in picks_of(outcome, one):
            role = roles[pick["role"]]
            taken = had.get((one.place, pick["role"]), 0)
            count, length = (None, None) if pick["quantity"] is None else needs_of(outcome, one, role, pick["quantity"])
            left = None if count is None else count - taken
            if left is not None and left <= 0:
                continue
            key = pick["table"], pick["part"]
            row = rows.setdefault(key, {
                "part": pick["part"], "role": role.role.removesuffix(" from").removesuffix(" to"), "size": pick["size"],
                "quantity": 0.0, "unit": pick["unit"], "pieces": [], "connections": [], "table": pick["table"],
            })  # fmt: skip
            if left is None or row["quantity"] is None:
                row["quantity"] = None
            elif length is None:
                row["quantity"] = digits(row["quantity"] + left)
            else:
                row["pieces"] += [length] * int(left)
                row["quantity"] = metres(row["quantity"] + left * length)
            name = name_of(shelf, one.place)
            if name not in row["connections"]:
                row["connections"].append(name)
    order = {"protection": 0, "conductor": 1, "lug": 2, "sleeve": 3}
    return sorted(rows.values(), key=lambda row: (order.get(row["role"], 9), row["role"]))


def cut_plan_of(shelf):
    """Each piece that is cut into: its cuts in order, what they add up to and what is left, exact to the micrometre."""
    items = {item.line: item for item in shelf.stock.items}
    pieces = {}
    for own in shelf.taken:
        if own.length_m is not None:
            pieces.setdefault((own.line, own.piece), []).append(own)
    found = []
    for (line, piece), cuts in sorted(pieces.items()):
        size = round(items[line].length_m * UNITS_A_METRE)
        used = sum(round(own.length_m * UNITS_A_METRE) for own in cuts)
        found.append({
            "stock_line": line, "piece": piece, "part": cuts[0].part, "length": metres(items[line].length_m),
            "cuts": [{"connection": name_of(shelf, own.place), "role": own.role, "length": metres(own.length_m),
                      "provisional": own in shelf.set_aside} for own in cuts],
            "used": used / UNITS_A_METRE, "left": (size - used) / UNITS_A_METRE, "unit": "m",
        })  # fmt: skip
    return found


def left_of(shelf):
    """What remains on the shelf: whole pieces, offcuts, and what was not used."""
    used, cut = {}, {}
    for own in shelf.taken:
        if own.length_m is None:
            used[own.line] = used.get(own.line, 0) + 1
        else:
            at = own.line, own.piece
            cut[at] = cut.get(at, 0) + round(own.length_m * UNITS_A_METRE)
    found = []
    for item in shelf.stock.items:
        common = {"stock_line": item.line, "part": item.part, "text": item.text, "condition": item.condition,
                  "measured": item.measured or None}  # fmt: skip
        count = int(item.quantity)
        opened = [piece for line, piece in cut if line == item.line]
        if item.length_m is None:
            rest = count - used.get(item.line, 0)
            if rest:
                found.append({**common, "piece": None, "quantity": rest, "length": None, "unit": "piece"})
            continue
        whole = count - len(opened) - used.get(item.line, 0)
        if whole:
            found.append({**common, "piece": None, "quantity": whole, "length": metres(item.length_m),
                          "unit": "m"})  # fmt: skip
        for piece in sorted(opened):
            rest = round(item.length_m * UNITS_A_METRE) - cut[item.line, piece]
            if rest > 0:
                found.append({**common, "piece": piece, "quantity": 1, "length": rest / UNITS_A_METRE, "unit": "m"})
    return found


def left_csv(shelf):
    """What remains, as a stock list for the next project: parts by their keys, what was not understood in its words."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(LEFT_HEADERS)
    items = {item.line: item for item in shelf.stock.items}
    for row in left_of(shelf):
        item = items[row["stock_line"]]
        words = item.part if item.part and item.status in ("exact", "read") else item.text
        words = (item.words or item.text) if item.at_worst else words
        length = "" if row["length"] is None else f"{row['length']:.6f}".rstrip("0").rstrip(".")
        condition = "" if item.condition_assumed else item.condition
        writer.writerow([words, row["quantity"], "piece", length, condition, item.measured, item.note])
    return stream.getvalue()


def read_of(shelf):
    """How each row was understood."""
    from selector.report.bench import identified_data

    return [
        {
            "stock_line": item.line,
            "text": item.text,
            "status": item.status,
            "part": item.part,
            "candidates": list(item.candidates),
            "fields": dict(item.fields),
            "quantity": item.quantity,
            "quantity_assumed": item.quantity_assumed,
            "length": metres(item.length_m),
            "condition": item.condition,
            "condition_assumed": item.condition_assumed,
            "remarks": list(item.remarks),
            "identified": None if item.identified is None else identified_data(item.identified),
        }
        for item in shelf.stock.items
    ]


def counted_of(shelf):
    """What was counted: new pieces or their price, the least that is possible, and the greedy plan's figure."""
    from selector.choosing.cutting import greedy

    assignment = shelf.assignment
    if assignment is None:
        return None
    plan, floor = assignment.plan, greedy(assignment.task)
    return {
        "new_pieces": pieces_of(shelf, shelf.outcome.chosen) - len(shelf.taken),
        "new_pieces_without_stock": pieces_of(shelf, shelf.plain.values()),
        "what": "price" if assignment.by_price else "new pieces",
        "value": digits(plan.cost),
        "least": digits(plan.bound),
        "first_fit": None if floor is None else digits(floor.cost),
        "waste_gap": digits(plan.waste_gap),
        "without_price": list(assignment.without_price),
    }


def pieces_of(shelf, chosen):
    """How many cuts and pieces the picks of served and incomplete connections need."""
    count = 0
    for one in chosen:
        roles = {role.role: role for role in one.kind.roles}
        for pick in picks_of(shelf.outcome, one) if one.status != "unserved" else ():
            if pick["quantity"] is not None:
                count += int(needs_of(shelf.outcome, one, roles[pick["role"]], pick["quantity"])[0])
    return count


def refused_of(shelf):
    """Rows of stock that serve nowhere, or not at a connection: the check that fails, both numbers and the reason."""
    found = [
        {"stock_line": own.line, "part": own.part, "connection": None, "role": None, "code": own.code,
         "actual": own.actual, "limit": own.limit, "unit": "", "text": own.text}
        for own in shelf.refused
    ]  # fmt: skip
    sources = Sources(shelf.outcome)
    best = {}
    for fit in shelf.fits:
        key = fit.use, fit.place
        if fit.serves:
            best[key] = None
        elif key not in best or (best[key] is not None and weight(fit) < weight(best[key])):
            best[key] = fit
    for (use, place), fit in best.items():
        if fit is None:
            continue
        code, actual, limit, unit, text = worst_of(shelf, fit, sources)
        for line in shelf.stock.lines(use):
            found.append({
                "stock_line": line, "part": shelf.stock.part(use), "connection": name_of(shelf, place), "role": fit.role,
                "code": code, "actual": actual, "limit": limit, "unit": unit, "text": text,
            })  # fmt: skip
    return sorted(found, key=lambda row: (row["stock_line"], row["connection"] or ""))


def weight(fit):
    """How far from fitting: too short, then the number of musts that fail, then the worst margin."""
    if fit.picks is not None:
        return (0, 0.0)
    if not fit.fails:
        return (1, 0.0)
    worst = min((float(margin_of(c, a, x)) / margin_scale(c) for c, a, x in fit.fails if a == a and x == x and not c.yes_no),
                default=-1.0)  # fmt: skip
    return (len(fit.fails), -worst)


def worst_of(shelf, fit, sources):
    """(code, actual, limit, unit, sentence) of what decides against a part at a place."""
    if fit.picks is not None and fit.too_large and not fit.too_short:
        text = f"It complies, but its section is {fit.times:.3g} times the pick's. {_ceiling(fit)}"
        return "OVERSIZE", digits(fit.times), digits(fit.most_times), "", text
    if fit.picks is not None:
        longest = max(fit.pieces_m, default=0.0)
        has = f"the longest piece is {plain(longest)} m" if fit.pieces_m else "no piece's length is known"
        text = f"It complies, but {has} and one cut needs {plain(fit.cut_m)} m; wires are not joined."
        return "LENGTH", metres(longest), metres(fit.cut_m), "m", text
    if not fit.fails:
        words = " and ".join(role_words(role) for role in fit.no_later) or "other part"
        return "FIT", "none", f"a {words} that fits", "", f"No {words} of the tables complies together with it."
    check, actual, limit = max(
        fit.fails,
        key=lambda f: (
            (not f[0].yes_no and f[1] == f[1] and f[2] == f[2]),
            -float(margin_of(*f)) / margin_scale(f[0]) if f[1] == f[1] and f[2] == f[2] else 0.0,
        ),
    )
    unknown = actual != actual or limit != limit
    text = sentence(check, 1 if unknown else 0, actual, limit, sources, fit.place)
    return check.code, shown(check, actual), shown(check, limit), "" if check.yes_no else check.unit, text


def _ceiling(fit):
    return (
        f"A wire from stock may be at most {fit.most_times:.3g} times as large (stock wire oversize in settings.csv)."
    )


def substitute_of(shelf, fit):
    """A part in stock that complies, with what follows from it."""
    size, larger = size_against(shelf, fit)
    candidates = shelf.outcome.candidates
    families = {role.role: role.family for role in shelf.plain[fit.place].kind.roles}
    with_it = {
        role: candidates[families[role]].keys[index]
        for role, index in fit.picks.items()
        if role != fit.role and index >= 0
    }
    return {
        "connection": name_of(shelf, fit.place),
        "role": fit.role,
        "part": shelf.stock.part(fit.use),
        "stock_lines": shelf.stock.lines(fit.use),
        "size": size,
        "against_pick": larger,
        "long_enough": not fit.too_short,
        "times_the_pick": digits(fit.times),
        "too_large": fit.too_large,
        "with": with_it,
        "says": says_of(shelf, fit),
    }


def size_against(shelf, fit):
    """(size, "the same part", "same size", "larger", "smaller" or None) beside the plain pick."""
    own = shelf.outcome.candidates[fit.use.family]
    plain_pick = shelf.plain[fit.place].pick(fit.role)
    words = None
    if plain_pick >= 0 and shelf.plain[fit.place].status == "served":
        ratio = own.size_value[fit.use.index] / own.size_value[plain_pick]
        words = "the same part" if plain_pick == fit.use.index else None
        words = words or ("larger" if ratio > 1 + 1e-6 else "smaller" if ratio < 1 - 1e-6 else "same size")
    return own.sizes[fit.use.index], words


def says_of(shelf, fit):
    """What taking it means for the other parts and for laying it, in sentences."""
    said = []
    one = shelf.plain[fit.place]
    candidates = shelf.outcome.candidates
    served = one.status == "served"
    for role in one.kind.roles:
        before, after = one.pick(role.role), fit.picks.get(role.role, -1)
        if role.role == fit.role or after < 0 or not served or before < 0:
            continue
        want = shelf.outcome.wanted[fit.place][role.role]
        keys = candidates[role.family].keys
        if before != after:
            said.append(f"needs another {role_words(role.role)}: {keys[after]} in place of {keys[before]}")
        elif role.role == "protection" and fit.role == one.kind.leading and size_against(shelf, fit)[1] == "larger":
            stays = "stays" if want.inherited else "may stay"
            said.append(f"the fuse {stays} {keys[after]}: it is sized for the load, and protects the larger wire too")
    own = candidates[fit.use.family]
    bends = "outer_diameter_m" in own.columns and size_against(shelf, fit)[1] == "larger"
    if bends:
        outer = own.columns["outer_diameter_m"]
        now, new = outer[one.picks[fit.role]] * 1000, outer[fit.use.index] * 1000
        if new == new and not new <= now:
            was = f", against {plain(now * BEND_LEAST)} to {plain(now * BEND_MOST)} mm" if now == now else ""
            said.append(
                f"stiffer: no bend tighter than {plain(new * BEND_LEAST)} to {plain(new * BEND_MOST)} mm{was} "
                f"({BEND_LEAST} to {BEND_MOST} times its outer diameter, common practice)"
            )
    if fit.use.factor != 1.0:
        said.append(f"its condition leaves it {fit.use.factor * 100:g} % of a new one's ampacity")
    if fit.too_large:
        said.append(f"its section is {fit.times:.3g} times the pick's: no plan uses it here. {_ceiling(fit)}")
    if fit.too_short:
        has = f"the longest piece is {plain(max(fit.pieces_m))} m" if fit.pieces_m else "no piece's length is known"
        said.append(f"{has}, one cut needs {plain(fit.cut_m)} m")
    return said


def cures_of(shelf, fit):
    """What would make it comply, as data and in sentences."""
    found = []
    fuses = shelf.outcome.candidates.get("fuses")
    other = _beside(shelf, fit)
    other = f", with {other}" if other else ""
    for what, value in fit.cures:
        if what == "length":
            shown_value = digits(value)
            found.append(
                {"what": what, "value": shown_value, "unit": "m", "text": f"a run of at most {_down(value)} m{other}"}
            )
        elif what == "ambient":
            degrees = in_unit(value, "degC")
            found.append({"what": what, "value": degrees, "unit": "degC",
                          "text": f"a place no warmer than {_down(degrees)} degC{other}"})  # fmt: skip
        elif what == "lower fuse":
            found.append(
                {"what": what, "value": fuses.keys[value], "unit": "", "text": f"a lower fuse: {fuses.keys[value]}"}
            )
        else:
            allowed = what == "two side by side"
            device = f", each behind its own {fuses.keys[value]}" if value >= 0 else ""
            text = f"two of it side by side{device}"
            if not allowed:
                text = f"two of it side by side would do, but rule set {shelf.outcome.rule['rule_set']} does not allow for it"
            found.append({"what": "two side by side", "value": 2 if allowed else None, "unit": "", "text": text})
    return found


def _beside(shelf, fit):
    """The other device a wire is judged beside, in words."""
    if fit.beside is None:
        return ""
    role, new, old = fit.beside
    family = next(r.family for r in shelf.plain[fit.place].kind.roles if r.role == role)
    keys = shelf.outcome.candidates[family].keys
    return f"{keys[new]} in place of {keys[old]}" if old >= 0 else keys[new]


def _down(value):
    """Rounded to the safe end: a limit that is still met."""
    import math

    return f"{math.floor(value * 100) / 100:g}"


def miss_of(shelf, fit, sources):
    fails = [
        {"code": c.code, "actual": shown(c, a), "limit": shown(c, x), "unit": "" if c.yes_no else c.unit}
        for c, a, x in fit.fails
    ]
    code, actual, limit, unit, text = worst_of(shelf, fit, sources)
    if not fails:
        fails = [{"code": code, "actual": actual, "limit": limit, "unit": unit}]
    return {
        "connection": name_of(shelf, fit.place),
        "role": fit.role,
        "part": shelf.stock.part(fit.use),
        "stock_lines": shelf.stock.lines(fit.use),
        "size": shelf.outcome.candidates[fit.use.family].sizes[fit.use.index],
        "fails": fails,
        "text": text,
        "judged_beside": _beside(shelf, fit) or None,
        "would_comply_with": cures_of(shelf, fit),
    }


def nearest_misses(shelf):
    """(place, role) -> what does not comply, nearest first."""
    sources = Sources(shelf.outcome)
    groups = {}
    for fit in shelf.fits:
        if fit.picks is None:
            groups.setdefault((fit.place, fit.role), []).append(fit)
    return {key: [miss_of(shelf, fit, sources) for fit in sorted(own, key=weight)] for key, own in groups.items()}


def before_use_of(shelf):
    """Tests of used items before they are built in."""
    places = {}
    for own in shelf.taken:
        name = name_of(shelf, own.place)
        if name not in places.setdefault(own.line, []):
            places[own.line].append(name)
    items = {item.line: item for item in shelf.stock.items}
    return [
        {"stock_line": line, "part": items[line].part, "condition": items[line].condition, "connections": names,
         "test": shelf.stock.tests[line]}
        for line, names in sorted(places.items())
        if line in shelf.stock.tests
    ]  # fmt: skip


# -- for the terminal -------------------------------------------------------------------------------------------------


def shelf_text(shelf):
    """What comes from the shelf, what is to be bought, how pieces are cut, what is left and what was refused."""
    count = len(shelf.stock.items)
    lines = [f"Stock: {shelf.source}, {count} row{'s' if count != 1 else ''}"]
    lines += [*_readings(shelf), *_assumed(shelf)]
    assigned = assigned_of(shelf)
    lines += ["", "From the shelf"]
    lines += _grouped(assigned) or ["  nothing in stock complies anywhere"]
    waiting = list(dict.fromkeys(own["connection"] for own in assigned if own["provisional"]))
    if waiting:
        it_takes = "it takes" if len(waiting) == 1 else "they take"
        lines.append(
            f"  Set aside for {_some(waiting)}: incomplete, what {it_takes} may still change. Do not cut or crimp it yet."
        )
    lines += ["", "To buy"]
    to_buy = to_buy_of(shelf)
    lines += [_buy_line(row) for row in to_buy] or ["  nothing"]
    lines += _provisional(shelf, to_buy)
    plan = cut_plan_of(shelf)
    if plan:
        lines += ["", "Cut plan"]
        for piece in plan:
            cuts = ", ".join(
                f"{cut['length']:g} {cut['connection']}{' (set aside)' if cut['provisional'] else ''}"
                for cut in piece["cuts"]
            )
            lines.append(
                f"  line {piece['stock_line']} piece {piece['piece']}, {piece['length']:g} m {piece['part']}: "
                f"{cuts}; left {piece['left']:g} m"
            )
    lines += _counted_lines(shelf)
    tests = before_use_of(shelf)
    if tests:
        lines += ["", "Before use"]
        lines += [f"  line {row['stock_line']} {row['part']} ({row['condition']}): {row['test']}" for row in tests]
    lines += _refused_lines(shelf, assigned)
    return "\n".join(lines)


def _provisional(shelf, to_buy):
    """A line that names the incomplete connections parts would be bought for, or none."""
    waiting = {shelf.outcome.places.names[one.place] for one in shelf.outcome.chosen if one.status == "incomplete"}
    names = list(dict.fromkeys(name for row in to_buy for name in row["connections"] if name in waiting))
    it_takes = "it takes" if len(names) == 1 else "they take"
    return [f"  Not yet for {_some(names)}: incomplete, what {it_takes} may still change."] if names else []


def _readings(shelf):
    said = []
    for item in shelf.stock.items:
        if item.status == "read":
            said.append(f"  line {item.line} '{item.text}' is read as {item.part}")
    return ["Read as", *said] if said else []


def _assumed(shelf):
    """What the list does not say and what is assumed for it; columns nothing is read from."""
    items = [item for item in shelf.stock.items if item.index is not None and item.status in ("exact", "read")]
    said = []
    for what, lines in (
        ("one piece, as no quantity is said", [item.line for item in items if item.quantity_assumed]),
        (
            "of unknown condition, as none is said",
            [item.line for item in items if item.condition_assumed and item.quantity],
        ),
    ):
        if lines:
            rows = f"line{'s' if len(lines) > 1 else ''} {_some(list(map(str, lines)), 12)}"
            said.append(f"Taken as {what}: {rows}.")
    columns = list(dict.fromkeys(header for item in shelf.stock.items for header in item.extra))
    if columns:
        said.append(f"Kept and not read: the column{'s' if len(columns) > 1 else ''} {', '.join(columns)}.")
    return said


def _grouped(assigned):
    rows = {}
    for own in assigned:
        key = own["connection"], own["role"], own["part"], own["stock_line"], own["provisional"]
        rows.setdefault(key, []).append(own)
    lines = []
    for (connection, role, part, line, provisional), cuts in rows.items():
        pieces = f"{len(cuts)} piece{'s' if len(cuts) > 1 else ''}"
        amount = pieces if cuts[0]["length"] is None else f"{len(cuts)} x {cuts[0]['length']:g} m"
        lines.append(f"  {connection}: {role} {part}, {amount} (line {line}){', set aside' if provisional else ''}")
    return lines


def _buy_line(row):
    unit = row["unit"] + ("s" if row["unit"] == "piece" and row["quantity"] != 1 else "")
    amount = "quantity not known" if row["quantity"] is None else f"{plain(row['quantity'])} {unit}"
    pieces = {}
    for length in row["pieces"]:
        pieces[length] = pieces.get(length, 0) + 1
    cuts = f" ({', '.join(f'{n} x {length:g}' for length, n in pieces.items())})" if pieces else ""
    return f"  {row['part']}, {amount}{cuts}: {_some(row['connections'])}"


def _some(names, most=6):
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def _counted_lines(shelf):
    counted = counted_of(shelf)
    if counted is None:
        return []
    value, least = plain(counted["value"]), plain(counted["least"])
    plan = shelf.assignment.plan
    proven = (
        "not proven least" if plan.gap is None else f"the least is {least} or more, a gap of {plan.gap * 100:.2g} %"
    )
    proven = "proven least" if plan.gap == 0 else proven
    lines = ["", f"New pieces: {counted['new_pieces']}, without the shelf {counted['new_pieces_without_stock']}."]
    need = f"new parts at a price of {value}" if shelf.assignment.by_price else f"{value} {counted['what']}"
    lines.append(f"Connections something in stock fits need {need}: {proven}.")
    if plan.stopped_early:
        lines.append("The search was stopped early, at its limit of steps; the plan is sound, a better one may exist.")
    if counted["without_price"]:
        lines.append(f"No price is given for {_some(counted['without_price'])}: new pieces are counted, not cost.")
    return lines


def _refused_lines(shelf, assigned):
    """One line for each row of stock that serves nowhere; where else it does not serve stands in the workbook."""
    used = {own["stock_line"] for own in assigned}
    serves = {line for fit in shelf.fits if fit.serves for line in shelf.stock.lines(fit.use)}
    best = {}
    refused = refused_of(shelf)
    order = {}
    for fit in shelf.fits:
        if not fit.serves:
            for line in shelf.stock.lines(fit.use):
                key = line, name_of(shelf, fit.place)
                order[key] = min(order.get(key, weight(fit)), weight(fit))
    for row in refused:
        key = row["stock_line"], row["connection"]
        if row["stock_line"] not in used | serves:
            now = best.get(row["stock_line"])
            if now is None or order.get(key, (0, 0.0)) < order.get((now["stock_line"], now["connection"]), (0, 0.0)):
                best[row["stock_line"]] = row
    idle = sorted(serves - used)
    lines = []
    items = {item.line: item for item in shelf.stock.items}
    if best:
        lines += ["", "Refused"]
        for line, row in sorted(best.items()):
            where = f" Nearest is {row['connection']}, {row['role']}: " if row["connection"] else " "
            lines.append(f"  line {line} '{items[line].text}':{where}{row['text']}")
    if idle:
        lines += ["", "Complies somewhere, but is not needed"]
        why = _why_idle(shelf, {line: items[line] for line in idle})
        lines += [f"  line {line} '{items[line].text}'{why[line]}" for line in idle]
    return lines


def _why_idle(shelf, items):
    """For rows of stock that comply somewhere and are not used: too short, or only part of what is needed; else empty."""
    from selector.choosing.enough import amounts_of

    found = {line: [] for line in items}
    for judge, fits in shelf.judges:
        by_place = {}
        for fit in fits:
            if fit.serves and found.keys() & set(shelf.stock.lines(fit.use)):
                by_place.setdefault(fit.place, []).append(fit)
        for own in by_place.values():
            for fit, amount in zip(own, amounts_of(judge, own), strict=True):
                for line in found.keys() & set(shelf.stock.lines(fit.use)):
                    found[line].append((fit, amount))
    return {line: _idle_words(shelf, items[line], own) for line, own in found.items()}


def _idle_words(shelf, item, ways):
    long = [(fit, amount) for fit, amount in ways if fit.cut_m is None or item.length_m >= fit.cut_m - 1e-9]
    if not long:
        fit = min((fit for fit, _ in ways), key=lambda fit: fit.cut_m)
        return f": too short: it is {plain(item.length_m)} m, and {name_of(shelf, fit.place)} needs cuts of {plain(fit.cut_m)} m"
    if any(amount.enough for _, amount in long):
        return ""  # something else serves as well, or better
    fit, amount = min(long, key=lambda own: (*_share_of(own[1]), -own[1].here))
    return f": {name_of(shelf, fit.place)}, {role_words(fit.role)}: {_amount_text(amount)}"


def for_data(shelf, place):
    """Everything in stock for one connection, best first: what complies by preference, then what is nearest.

    Each fit has its ``amount``: what the connection needs of it and what is here, as if nobody else took from stock.
    """
    sources = Sources(shelf.outcome)
    one = shelf.plain[place]
    roles = [role.role for role in one.kind.roles]
    every = [fit for fit in shelf.fits if fit.place == place]
    amounts = _amounts_of(shelf, place)
    found = []
    for role in roles:
        own = [fit for fit in every if fit.role == role]
        fits = sorted(
            (fit for fit in own if fit.picks is not None),
            key=lambda fit: (*_share_of(amounts[fit_key(fit)]), *rank_of(shelf, fit)),
        )
        misses = sorted((fit for fit in own if fit.picks is None), key=weight)
        if own:
            found.append({
                "role": role,
                "pick": part_key(shelf, one, role),
                "fits": [
                    {**substitute_of(shelf, fit), "enough": amounts[fit_key(fit)].enough,
                     "amount": amount_data(amounts[fit_key(fit)])}
                    for fit in fits
                ],
                "near_misses": [miss_of(shelf, fit, sources) for fit in misses],
            })  # fmt: skip
    return found


def _amounts_of(shelf, place):
    """`Amount` of every part in stock that complies at a place, by `fit_key`."""
    from selector.choosing.enough import amounts_of

    found = {}
    for judge, fits in shelf.judges:
        own = [fit for fit in fits if fit.place == place and fit.picks is not None]
        found.update(zip(map(fit_key, own), amounts_of(judge, own), strict=True))
    return found


def _share_of(amount):
    """What is here in full first, then what can be made up, then what nobody buys more of; last what is too short."""
    return not amount.here, not amount.enough, amount.to_buy is None


def amount_data(amount):
    """What a connection needs of a part in stock and what is here, as data and in a sentence."""
    cut = metres(amount.cut_m)
    return {
        "needed": amount.needed,
        "here": amount.here,
        "cut": cut,
        "unit": "piece" if cut is None else "m",
        "to_buy": amount.to_buy,
        "text": _amount_text(amount),
    }


def _amount_text(amount):
    if amount.needed is None:
        return "how many it needs is not known"
    cuts = "" if amount.cut_m is None else f" cut{'s' if amount.needed > 1 else ''} of {plain(amount.cut_m)} m"
    if amount.enough:
        return f"all of it: {amount.needed} of {amount.needed}{cuts} here"
    said = f"part of it: {amount.here} of {amount.needed}{cuts} here, "
    if amount.to_buy is None:
        return f"{said}and no more of it is bought here: it is not used"
    if amount.matched:
        return f"{said}but they must be alike, of one lot: {amount.needed} are to buy"
    return f"{said}the rest is to buy"


def rank_of(shelf, fit):
    """Long enough first, then what leaves the leading part as picked, then a sound one, then by preference."""
    lead = shelf.plain[fit.place].kind.leading
    others = fit.role != lead and fit.picks[lead] != shelf.plain[fit.place].pick(lead)
    preference = shelf.outcome.chooser.preferences[fit.use.family]
    columns = {flag: shelf.outcome.places.columns[flag][fit.place : fit.place + 1] for flag in preference.flags}
    group, combinations = preference.groups(columns, 1)
    return fit.too_short, others, -fit.use.factor, int(preference.rank_of(combinations[group[0]])[fit.use.index])


def part_key(shelf, one, role):
    part = part_of(shelf.outcome, one, role)
    return part[0].keys[part[1]] if part and one.status != "unserved" else None


def for_text(shelf, place):
    """Everything in stock for one connection, for reading."""
    one = shelf.plain[place]
    lines = [f"{name_of(shelf, place)}: {one.kind.name}, {one.status} without stock"]
    signs = "+ all that is needed is here, ~ part of it, x does not serve; as if nothing else took from the shelf"
    for group in for_data(shelf, place):
        lines += ["", f"{group['role']} (the pick without stock: {group['pick'] or 'none'})"]
        for number, own in enumerate(group["fits"], 1):
            sign = "x" if not own["long_enough"] or own["too_large"] else "+" if own["enough"] else "~"
            against = f", {own['against_pick']}" if own["against_pick"] else ""
            lines.append(f"  {sign} {number}. {own['part']}{against} (line {_lines(own)})")
            lines += [f"       {own['amount']['text']}"] if own["long_enough"] and not own["too_large"] else []
            lines += [f"       {text}" for text in own["says"]]
        for own in group["near_misses"]:
            lines.append(f"  x {own['part']} (line {_lines(own)}): {own['text']}")
            others = [fail["code"] for fail in own["fails"]]
            if len(others) > 1:
                lines.append(f"       fails in all: {', '.join(others)}")
            cures = [cure["text"] for cure in own["would_comply_with"] if cure["value"] is not None]
            lines += [f"       would do with {' or '.join(cures)}"] if cures else []
            lines += [f"       {cure['text']}" for cure in own["would_comply_with"] if cure["value"] is None]
    if len(lines) == 1:
        lines.append("nothing in stock is of a family it needs")
    else:
        lines.insert(1, signs)
    return "\n".join(lines)


def _lines(own):
    return ", ".join(str(line) for line in own["stock_lines"])
