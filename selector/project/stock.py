"""What a builder has: ``stock.csv`` read into items, each understood as one part, as several it may be, or as none.

What a description says and what its columns say must agree; where they differ that is a problem with its line, never
silently one of the two. How a description is understood stands in `selector.project.describing`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from selector.catalogue.reading import Frame, fold_key, read_csv, read_table, read_workbook
from selector.errors import UnitError, UsageError, nearest, quoted
from selector.project.declarations import STOCK
from selector.project.describing import Understood, understand, without_amounts
from selector.project.describing_tokens import Vocabulary
from selector.project.describing_words import PLAIN, SHAPES
from selector.project.identifying import narrow_by_readings
from selector.units import find_unit, split_header

if TYPE_CHECKING:
    from selector.catalogue.catalogue import Catalogue
    from selector.catalogue.families import Candidates
    from selector.errors import Problems

STATUSES = ("exact", "read", "ambiguous", "unread")
CONDITIONS = ("new", "used", "aged", "unknown")
COUNTED = ("piece", "pieces", "pc", "pcs", "each", "ea", "off", "unit", "units", "roll", "rolls", "reel", "reels", "coil",
           "coils", "st", "stk", "stück", "stueck", "pièce", "pièces", "pieza", "piezas", "ud", "uds", "pezzo", "pezzi",
           "pz", "stuk", "stuks")  # fmt: skip
"""Words of the column `unit` that count pieces."""
NOT_PICKED = {"busbars": "of the bars those listed bare and for dc are"}
"""What a pick takes of families of whose table it does not take every row."""
OTHER_HEADERS = {
    "quantity": ("qty", "count", "number", "no", "nos", "pieces", "pcs", "amount", "how many", "anzahl", "menge", "stück",
                 "stueck", "stk", "quantité", "qté", "nombre", "cantidad", "cant", "quantità", "q.tà", "numero", "aantal"),
    "length [m]": ("len", "metres", "meters", "feet", "ft", "m", "länge", "laenge", "longueur", "longitud", "lunghezza",
                   "lengte"),
    "condition": ("state", "zustand", "état", "etat", "estado", "stato", "staat", "conditions"),
    "measured": ("readings", "reading", "measurement", "gemessen"),
}  # fmt: skip
"""What people call the columns that decide something; such a column is asked about, never passed over."""
_SAME_LENGTH_M = 0.006
"""Two lengths that agree: what rounding to a centimetre leaves."""


@dataclass
class StockItem:
    """One row of the stock list, as understood.

    line : line of its file, as an editor counts
    text : the cell as written
    status : "exact" (a key), "read" (one part understood), "ambiguous" (several, or doubtful), "unread"
    family, part, index : the family, the part's key and its number among the family's candidates; None unless settled;
        the number is None too for a key that no pick takes
    candidates : keys it may be, at most 12; ``candidates_in_all`` counts them all
    fields : what was understood, by column words, as text
    quantity : pieces, 0 where none is left; ``quantity_assumed`` where neither the text nor a column says how many
    unit : "m" for parts that are lengths, "piece" for counted ones
    length_m : length of each piece, None for counted parts and where it is not said
    condition : new, used, aged or unknown; ``condition_assumed`` where nothing says it
    measured : bench readings, as written; ``identified`` is what they can be of, None without readings
    at_worst : column -> the value the piece is good for where the description leaves it open; it replaces the part's
    words : the description without pieces and length, where the part's key alone would promise more than it does
    remarks : sentences: what is missing or contradictory, and how to settle it
    extra : columns nobody declared, by header, as written
    """

    line: int
    text: str
    status: str
    family: str | None = None
    part: str | None = None
    index: int | None = None
    candidates: list[str] = field(default_factory=list)
    candidates_in_all: int = 0
    fields: dict[str, str] = field(default_factory=dict)
    quantity: int = 1
    quantity_assumed: bool = True
    unit: str = "piece"
    length_m: float | None = None
    condition: str = "unknown"
    condition_assumed: bool = True
    measured: str = ""
    identified: Any = None
    colour: str = ""
    note: str = ""
    at_worst: dict[str, float] = field(default_factory=dict)
    words: str = ""
    remarks: list[str] = field(default_factory=list)
    extra: dict[str, str] = field(default_factory=dict)


def read_stock(
    source: Path | str | Frame,
    parts: dict[str, Candidates],
    catalogue: Catalogue,
    problems: Problems,
    bench: dict[str, float] | None = None,
) -> list[StockItem]:
    """The items of a stock list, in the order of its rows.

    Parameters
    ----------
    source : a CSV file, a workbook with a sheet ``stock``, or the frame of a project's stock.csv
    parts : family -> its `Candidates`
    catalogue : tables read with ``load(idle=True)``: trade_words.csv is needed
    problems : collection for what is wrong with the list
    bench : how it was measured, as `selector.project.identifying.stated_bench` has it; what is not said is a default
    """
    frame: Any = source if isinstance(source, Frame) else read_list(source, problems)
    if frame is None:
        return []
    vocabulary = Vocabulary(catalogue.rows("trade_words.csv"))
    insulations = catalogue.rows("insulations.csv")
    items = []
    complain = _complainer(frame, problems)
    idle = _idle_keys(parts, catalogue)
    _ask_about_headers(frame, problems)
    for row, line in zip(frame.data.iter_rows(named=True), frame.lines, strict=True):
        if row["part"]:
            known = idle.get(fold_key(row["part"])) or understand(row["part"], parts, vocabulary, insulations)
            item = _item(frame, row, line, known, vocabulary, partial(complain, line))
            if item.at_worst:
                item.words = without_amounts(row["part"], vocabulary, partial(understand, parts=parts, vocabulary=vocabulary,
                                                                              insulations=insulations))  # fmt: skip
            if item.measured:
                narrow_by_readings(item, known.open_parts, parts, catalogue, bench or {}, partial(complain, line))
            items.append(item)
    return items


def _ask_about_headers(frame, problems):
    """A column that can only be one of ours under another name is a problem: what it says would be lost."""
    declared = {column.name: column.title for column in STOCK}
    for name, header in frame.headers.items():
        if name in declared:
            continue
        word = fold_key(split_header(header)[0]).rstrip(".")
        meant = next((own for own, words in OTHER_HEADERS.items() if word in words), None)
        if meant and meant not in {frame.headers.get(own) for own in declared}:
            problems.add(frame.label or frame.name, None, header, "this column is not read",
                         f"Call it '{meant}' if that is what it says, or any other name to keep it as a note.")  # fmt: skip


def _idle_keys(parts, catalogue):
    """Folded keys of part tables that are no candidates, each understood as the key it is."""
    found = {}
    for family, block in parts.items():
        column = catalogue[block.table].columns[0]
        taken = set(block.plain_keys or block.keys)
        for row in catalogue.rows(block.table):
            key = row[column]
            if key not in taken:
                why = NOT_PICKED.get(family)
                said = f"'{key}' is a row of {block.table} that no pick takes{f': {why}' if why else ''}."
                found[fold_key(key)] = Understood("exact", family, key, None, [key], 1, remarks=[said])
    return found


def _complainer(frame, problems):
    def complain(line, column, found, expected, near=""):
        problems.add(frame.label or frame.name, line, frame.headers.get(column, column), found, expected, near)

    return complain


def read_list(path: Path | str, problems: Problems):
    """The frame of a stock list in a file; None, with a problem, where a workbook has no such sheet."""
    path = Path(path)
    if path.suffix.casefold() not in (".xlsx", ".xlsm"):
        known = [column.words for column in STOCK]
        sheet = read_csv(path, known=known, problems=problems)
        return read_table(sheet, STOCK, None, problems) if sheet.header else None
    if not path.exists():
        raise UsageError(f"{path.name}: no such file")
    sheets = read_workbook(path, problems=problems)
    chosen = [s for name, s in sheets.items() if fold_key(name).removesuffix(".csv") == "stock"]
    chosen = chosen or (list(sheets.values()) if len(sheets) == 1 else [])
    if not chosen:
        if not problems:
            problems.add(path.name, None, "", "there is no sheet 'stock'", "Name the sheet with the list stock.",
                         nearest("stock", sheets))  # fmt: skip
        return None
    return read_table(chosen[0], STOCK, None, problems)


def _item(frame, row, line, known, vocabulary, complain):
    item = StockItem(
        line, row["part"], known.status, known.family, known.part, known.index, known.candidates, known.candidates_in_all,
        known.fields, colour=known.colour, measured=row["measured"] or "", note=row["note"] or "",
        at_worst=known.at_worst, remarks=list(known.remarks),
    )  # fmt: skip
    declared = {column.name for column in STOCK}
    item.extra = {frame.headers.get(n, n): v for n, v in row.items() if n not in declared and v is not None}

    shape = SHAPES.get(known.family, PLAIN)
    item.unit = "piece" if shape.counted else "m"
    count, length = _column_amount(row, shape, known.family, complain)
    item.quantity, item.quantity_assumed = _agreed(count, known.quantity, 0, "quantity", complain), False
    if item.quantity is None:
        item.quantity, item.quantity_assumed = 1, True
    item.length_m = _agreed(length, known.length_m, _SAME_LENGTH_M, "length_m", complain)
    _length_remarks(item, shape, length, known.length_m)
    _condition(item, row["condition"], known.condition, vocabulary, complain)
    return item


def _column_amount(row, shape, family, complain):
    """Pieces and length of each, as the columns say; a quantity in metres is one piece of that length."""
    quantity, length, unit = row["quantity"], row["length_m"], (row["unit"] or "").strip()
    scale = _unit_scale(unit, complain)
    if quantity == 0:
        return 0, length
    if scale is not None and quantity is not None:
        if family is not None and shape.counted:
            complain("unit", f"{quoted(unit)} is a length, and {family} are counted", "Write the number of pieces.")
            return None, None
        if length is not None and abs(length - quantity * scale) > _SAME_LENGTH_M:
            complain("unit", f"{quantity:g} {unit} is said, and pieces of {length:g} m",
                     "Write the number of pieces as the quantity and the length of each as the length.")  # fmt: skip
            return None, None
        return 1, quantity * scale
    if quantity is not None and quantity != int(quantity):
        complain("quantity", f"{quantity:g} pieces are said", "Write whole pieces; the length of each has its column.")
        return None, length
    return None if quantity is None else int(quantity), length


def _unit_scale(unit, complain):
    """Metres in a unit of length; None for a word that counts pieces."""
    if not unit or unit.casefold().rstrip(".") in COUNTED:
        return None
    try:
        return find_unit(unit, "length").to_inner(1.0)
    except UnitError:
        complain("unit", f"{quoted(unit)} is neither a piece nor a length", "Write piece, or a unit of length such as m.",
                 nearest(unit, ["piece", "pieces", "m", "ft"]))  # fmt: skip
        return None


def _agreed(column, said, tolerance, name, complain):
    """What column and description say of one thing; None, with a problem, where they differ."""
    if column is None or said is None:
        return said if column is None else column
    if abs(column - said) <= tolerance:
        return column
    unit = " m" if name == "length_m" else ""
    complain(name, f"the column says {column:g}{unit}, the description {said:g}{unit}", "Keep the right one of them.")
    return None


def _length_remarks(item, shape, column, said):
    if item.family is None or item.status == "unread" or item.quantity == 0:
        return
    if not shape.lengthy:
        if column is not None:
            item.remarks.append("The length decides nothing: such parts are counted.")
        item.length_m = None
    elif item.length_m is None:
        item.remarks.append("The length of the piece is not said: measure it and write it down.")
    elif item.quantity > 1 and column is None and said is not None:
        item.remarks.append(f"{item.length_m:g} m is taken as the length of each of the {item.quantity} pieces.")


def _condition(item, column, said, vocabulary, complain):
    """The condition; what nothing says is unknown, and marked as assumed."""
    written = _condition_of(column, vocabulary)
    if column and written is None:
        complain("condition", f"{quoted(column)} is no condition", "Write new, used, aged or unknown.",
                 nearest(column, CONDITIONS))  # fmt: skip
        return
    if written and said and written != said:
        complain("condition", f"the column says {written}, the description {said}", "Keep the right one of them.")
        return
    item.condition = written or said or "unknown"
    item.condition_assumed = not (written or said)


def _condition_of(text, vocabulary):
    if not text:
        return None
    if fold_key(text) in CONDITIONS:
        return fold_key(text)
    return next((value for _, column, value in vocabulary.of(text.split()) or () if column == "condition"), None)
