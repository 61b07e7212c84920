"""*Cut list*, and what stock does: *From the shelf*, *To buy*, *Cut plan*, *Left on the shelf*, *Refused stock*."""

from selector.report.numbers import lines, twelve
from selector.report.package import LINE, Formula
from selector.report.result import picks_of
from selector.report.sheets_connections import FIRST, NOT_HERE
from selector.report.sheets_lists import pieces_words, start
from selector.report.shelf import (
    assigned_of,
    before_use_of,
    cut_plan_of,
    left_of,
    needs_of,
    read_of,
    refused_of,
    to_buy_of,
)
from selector.report.styles import ASIDE, STRONG, TEXT, number

REFUSED = {"AMBIGUOUS": "may be several", "UNREAD": "not understood", "CONDITION": "its condition",
           "NONE": "none is left", "IDLE": "no pick takes it", "LENGTH": "too short", "OVERSIZE": "far larger",
           "FIT": "no part to go with it"}  # fmt: skip
"""What refuses a row of stock beside the checks, which go by their codes."""
SET_ASIDE = "Not yet: the connection is incomplete, and what it takes may still change. Set it aside."
STATES = {"exact": "a key", "read": "read", "ambiguous": "? may be several", "unread": "✗ not understood"}


def _height(texts, widths):
    return LINE * max([1, *(lines(text, width) for text, width in zip(texts, widths, strict=True))])


def _sum(live, text, value):
    """A formula with its result, or the result alone where the workbook stands as values."""
    return Formula(text, value) if live else value


def cut_list(outcome, live=True):
    """Every cut of every part that is a length: how long, how many, for which connection, from where to where."""
    widths = [36, 13, 12, 9, 12, 16, 26, 24, 24]
    heads = ("Part", "Size", "Cut [m]", "Pieces", "Total [m]", "All of this part [m]", "Connection", "From", "To")
    hint = "Served and incomplete connections; every cut includes the cut allowance. Wires are never joined to reach a length."
    sheet = start("Cut list", hint, widths, heads)
    groups = {}
    for one in outcome.chosen:
        roles = {role.role: role for role in one.kind.roles}
        for pick in picks_of(outcome, one) if one.status != "unserved" else ():
            if roles[pick["role"]].unit == "m" and pick["quantity"] is not None:
                count, length = needs_of(outcome, one, roles[pick["role"]], pick["quantity"])
                groups.setdefault((pick["part"], pick["size"]), []).append((one.place, int(count), length))
    for (part, size), cuts in groups.items():
        first = len(sheet.rows) + 1
        last = first + len(cuts) - 1
        whole = sum(count * length for _, count, length in cuts)
        for n, (place, count, length) in enumerate(sorted(cuts, key=lambda cut: -cut[2])):
            at = first + n
            row = outcome.places.rows[place]
            name = outcome.places.names[place]
            texts = [part, name, row["from"] or NOT_HERE, row["to"] or NOT_HERE]
            total = (_sum(live, f"SUM(E{first}:E{last})", twelve(whole)), number("m")) if not n else (None, TEXT)
            sheet.add((part, STRONG), (size or NOT_HERE, TEXT), (twelve(length), number("m")), (float(count), number("whole")),
                      (_sum(live, f"C{at}*D{at}", twelve(count * length)), number("m")), total,
                      *[(text, TEXT) for text in texts[1:]],
                      height=_height(texts, [widths[0], *widths[6:]]))  # fmt: skip
    return sheet


def shelf_sheets(shelf, live=True):
    """The sheets a run with stock adds, in order."""
    return [from_the_shelf(shelf), to_buy(shelf), cut_plan(shelf, live), left(shelf), refused(shelf)]


def from_the_shelf(shelf):
    """What goes where: one row a cut or a number of pieces, with what to try before use."""
    widths = [8, 8, 38, 24, 14, 12, 9, 8, 13, 60]
    heads = ("Stock line", "Piece", "Part", "Connection", "Role", "Length [m]", "Pieces", "Built in", "Condition",
             "Before use")  # fmt: skip
    hint = "Taken from stock, judged like any part at its real dimensions. Tick what is built in; do the tests first."
    sheet = start("From the shelf", hint, widths, heads, freeze="D")
    items = {item.line: item for item in shelf.stock.items}
    tests = {row["stock_line"]: row["test"] for row in before_use_of(shelf)}
    groups = {}
    for own in assigned_of(shelf):
        piece = own["piece"] if own["length"] is not None else None
        key = own["stock_line"], piece, own["part"], own["connection"], own["role"], own["length"], own["provisional"]
        groups[key] = groups.get(key, 0) + 1
    for (line, piece, part, connection, role, length, provisional), count in groups.items():
        condition = items[line].condition + (", assumed" if items[line].condition_assumed else "")
        test = " ".join(filter(None, (SET_ASIDE if provisional else "", tests.get(line)))) or NOT_HERE
        cut = (twelve(length), number("m")) if length is not None else (NOT_HERE, TEXT)
        sheet.add((float(line), number("whole")), (float(piece), number("whole")) if piece else (NOT_HERE, TEXT),
                  (part, STRONG), (connection, TEXT), (role, TEXT), cut, (float(count), number("whole")), (None, TEXT),
                  (condition, TEXT), (test, TEXT),
                  height=_height((part, connection, condition, test), (widths[2], widths[3], widths[8], widths[9])))  # fmt: skip
    _nothing(sheet, "Nothing in stock complies anywhere.")
    return sheet


def to_buy(shelf):
    """What stock leaves to be bought."""
    widths = [36, 13, 12, 8, 34, 56]
    heads = ("Part", "Size", "Quantity", "Unit", "Pieces", "Where used")
    hint = (
        "What is still to be bought; a wire's quantity includes the cut allowance at every piece. Parts of incomplete "
        "connections (see Read first) may still change: buy those last."
    )
    sheet = start("To buy", hint, widths, heads)
    for row in to_buy_of(shelf):
        pieces, used = pieces_words(row["pieces"]) or NOT_HERE, ", ".join(row["connections"])
        quantity = row["quantity"] if row["quantity"] is not None else "unknown"
        look = number("m" if row["unit"] == "m" else "whole")
        sheet.add((row["part"], STRONG), (row["size"] or NOT_HERE, TEXT), (quantity, look), (row["unit"], TEXT),
                  (pieces, TEXT), (used, TEXT),
                  height=_height((row["part"], pieces, used), (widths[0], widths[4], widths[5])))  # fmt: skip
    _nothing(sheet, "Nothing.")
    return sheet


def cut_plan(shelf, live=True):
    """Pieces that are cut, one row a cut; what is used and left of each piece follows from the cuts."""
    widths = [8, 8, 38, 12, 12, 26, 14, 12, 12, 10]
    heads = ("Stock line", "Piece", "Part", "Piece [m]", "Cut [m]", "Connection", "Role", "Used [m]", "Left [m]",
             "Done")  # fmt: skip
    hint = (
        "Cut in this order. Change a length and what is used and left of its piece follows; left must not be negative."
    )
    sheet = start("Cut plan", hint, widths, heads, freeze="D")
    for piece in cut_plan_of(shelf):
        first = len(sheet.rows) + 1
        last = first + len(piece["cuts"]) - 1
        used = _sum(live, f"SUM(E{first}:E{last})", twelve(piece["used"]))
        rest = _sum(live, f"ROUND(D{first}-H{first},6)", twelve(piece["left"]))
        for n, cut in enumerate(piece["cuts"]):
            head = [(float(piece["stock_line"]), number("whole")), (float(piece["piece"]), number("whole")),
                    (piece["part"], STRONG)]  # fmt: skip
            size = (twelve(piece["length"]), number("m")) if not n else (None, TEXT)
            connection = cut["connection"] + (", set aside: not yet" if cut["provisional"] else "")
            sums = [(used, number("m")), (rest, number("m"))] if not n else [(None, TEXT), (None, TEXT)]
            sheet.add(*head, size, (twelve(cut["length"]), number("m")), (connection, TEXT), (cut["role"], TEXT), *sums,
                      (None, TEXT), height=_height((piece["part"], connection), (widths[2], widths[5])))  # fmt: skip
    _nothing(sheet, "No piece is cut.")
    return sheet


def left(shelf):
    """What remains in stock: whole pieces, offcuts, and what nobody uses."""
    widths = [8, 8, 38, 10, 12, 14, 44, 18, 40]
    heads = ("Stock line", "Piece", "Part", "Pieces", "Length [m]", "Condition", "As written", "Understood", "Remarks")
    hint = "What is on the shelf afterwards, offcuts under their piece's number. The same as a stock list: --left FILE.csv."
    sheet = start("Left on the shelf", hint, widths, heads, freeze="D")
    read = {row["stock_line"]: row for row in read_of(shelf)}
    for row in left_of(shelf):
        own = read[row["stock_line"]]
        remarks = " ".join(own["remarks"]) or NOT_HERE
        part = row["part"] or NOT_HERE
        length = (twelve(row["length"]), number("m")) if row["length"] is not None else (NOT_HERE, TEXT)
        condition = row["condition"] + (", assumed" if own["condition_assumed"] else "")
        sheet.add((float(row["stock_line"]), number("whole")), (float(row["piece"]), number("whole")) if row["piece"] else (NOT_HERE, TEXT),
                  (part, STRONG), (float(row["quantity"]), number("whole")), length, (condition, TEXT), (row["text"], TEXT),
                  (STATES[own["status"]], TEXT), (remarks, TEXT),
                  height=_height((part, condition, row["text"], remarks), (widths[2], widths[5], widths[6], widths[8])))  # fmt: skip
    _nothing(sheet, "Nothing is left.")
    return sheet


def refused(shelf):
    """Where stock does not serve, and the check that says so."""
    widths = [8, 36, 24, 14, 12, 13, 13, 8, 66]
    heads = ("Stock line", "Part", "Connection", "Role", "Check", "Actual", "Limit", "Unit", "Why")
    hint = "One row for each row of stock and connection it does not serve; of several checks the one it fails by most."
    sheet = start("Refused stock", hint, widths, heads)
    texts = {item.line: item.text for item in shelf.stock.items}
    for row in refused_of(shelf):
        part = row["part"] or texts[row["stock_line"]]
        cells = []
        for value in (row["actual"], row["limit"]):
            look = number(row["unit"] or "figure") if isinstance(value, (int, float)) else TEXT
            cells.append((NOT_HERE if value is None else value, look))
        said = [row["connection"] or "everywhere", row["role"] or NOT_HERE, REFUSED.get(row["code"], row["code"])]
        words = [(str(v), w) for (v, look), w in zip(cells, widths[5:7], strict=True) if look is TEXT]
        measured = [(part, widths[1]), (said[0], widths[2]), (said[2], widths[4]), (row["text"], widths[8]), *words]
        sheet.add((float(row["stock_line"]), number("whole")), (part, STRONG), *[(text, TEXT) for text in said], *cells,
                  (row["unit"] or NOT_HERE, TEXT), (row["text"], TEXT),
                  height=_height([text for text, _ in measured], [width for _, width in measured]))  # fmt: skip
    _nothing(sheet, "Everything in stock serves everywhere.")
    return sheet


def _nothing(sheet, text):
    if len(sheet.rows) < FIRST:
        sheet.add((text, ASIDE))
