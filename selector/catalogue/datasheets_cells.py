"""One cell of a datasheet -> one value: ranges, limits, tolerances, footnotes and fractions understood or refused."""

import re
from dataclasses import dataclass

from selector.catalogue.datasheets import ERRORS
from selector.errors import UnitError, quoted
from selector.numerals import tidy
from selector.units import find_unit, parse_quantity

UNKNOWN = {"", "n.s.", "-", "--", "–", "—", "n/a", "n.a.", "na", "tbd", "tba", "?", "not known", "not specified",
           "unknown", "…", "...", "..", "/", "none given", "on request"}  # fmt: skip

# What a column's figure is of the part, which decides the end of a range that may be stored.
GREATEST, LEAST, LIMIT, FLOOR, NOMINAL = "greatest", "least", "limit", "floor", "nominal"

_RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹"
_MAXIMUM = r"max(?:imum|\.)?|≤|<=|<|up to|not more than|greatest|at most"
_MINIMUM = r"min(?:imum|\.)?|≥|>=|>|from|not less than|at least|least"
_TYPICAL = r"typ(?:ical|\.)?|avg\.?|average|mean"
_ABOUT = r"~|≈|ca\.?|circa|approx\.?|about|nom(?:inal|\.)?|ø|dia\.?"
_WORDS = ((_MAXIMUM, "max"), (_MINIMUM, "min"), (_TYPICAL, "typ"), (_ABOUT, "about"))
_BETWEEN = re.compile(r"(?<=[\w%\"'°)])(?<!\d[eE]) ?(?:\.\.\.|\.\.|…|–|—|\bto\b|-) ?(?=[+\-−]?[\d.])")
_FOOTNOTE = re.compile(
    rf"(?P<raised>[{_RAISED}]+\)?)$|(?P<star>[*†‡§#]+)$|[ ]?\((?P<round>[a-z]|[1-9])\)$"
    r"|[ ]?\[(?P<square>[a-z]|[1-9])\]$|[ ](?P<loose>[a-z]|[1-9])\)$"
)


@dataclass(frozen=True)
class Value:
    """A cell understood.

    low, high : in inner units; equal for one number; None when unknown
    remark : what was understood beyond a plain number, for the report
    """

    low: float | None = None
    high: float | None = None
    remark: str = ""


def footnote(text):
    """The text without its footnote mark, and the mark; a raised digit on a unit is no mark."""
    match = _FOOTNOTE.search(text)
    if match is None:
        return text, ""
    body = text[: match.start()].rstrip()
    if match["raised"] and re.search(r"[A-Za-zµΩ]$", body):  # mm², A²
        return text, ""
    mark = next(group for group in match.groups() if group)
    return body, mark.translate(str.maketrans(_RAISED, "0123456789")).rstrip(")")


def read_number(text, unit, role, decimal, bound="", notes=None):
    """One number cell, by what its column holds.

    Parameters
    ----------
    text : the cell
    unit : the unit of the column's head, None where none is known
    role : GREATEST, LEAST, LIMIT, FLOOR or NOMINAL
    decimal : "." or ","; None where the sheet does not say
    bound : "max", "min" or "typ" where the column's head says so
    notes : mark -> text of the footnotes of the sheet

    Returns
    -------
    value : a ``Value``

    Raises `UnitError` for what cannot be stored as a figure of that kind, with the reason.
    """
    shown = text
    remarks = []
    if text.startswith("#") or any(error in text for error in ERRORS):
        what = "a formula without a stored result" if text == "#formula" else f"the error {quoted(text)}"
        raise UnitError(f"the cell holds {what}", "Mend it in the sheet and save it again.")
    text = tidy_cell(text)
    text, mark = footnote(text)
    if mark:
        said = (notes or {}).get(mark, "")
        _refuse_foreign_note(said, unit, shown)
        remarks.append(f"footnote {mark}: {said}" if said else f"footnote mark {mark}, its text was not found")
    if text.casefold().strip() in UNKNOWN:
        return Value(remark="; ".join(remarks))
    text, own = _peel_words(text)
    if own and bound and own != bound and "about" not in (own, bound):
        raise UnitError(f"{quoted(shown)} says {own}, the column's head {bound}", "Which of them holds?")
    bound = own or bound
    text = _both_units(text, unit, decimal, shown)
    low, high, how = _ends(text, unit, decimal, shown)
    if how == "range" and unit is not None and unit.dimension == "temperature":
        raise UnitError(f"{quoted(shown)} is a range of temperatures", "Give the one this column asks for.")
    value, remark = _stored(low, high, how, bound, role, shown)
    if remark:
        remarks.append(remark)
    return Value(value, value, "; ".join(remarks))


def read_pair(text, unit, decimal, notes=None):
    """A range cell that fills a least and a greatest column: (least, greatest) as ``Value``."""
    shown, remarks = text, []
    text, mark = footnote(tidy_cell(text))
    if mark:
        said = (notes or {}).get(mark, "")
        _refuse_foreign_note(said, unit, shown)
        remarks.append(f"footnote {mark}: {said}" if said else f"footnote mark {mark}, its text was not found")
    if text.casefold().strip() in UNKNOWN:
        return Value(remark="; ".join(remarks)), Value()
    text, own = _peel_words(text)
    text = _both_units(text, unit, decimal, shown)
    low, high, how = _ends(text, unit, decimal, shown)
    said = "; ".join(remarks)
    if own == "max" and how == "one":
        return Value(remark=said), Value(high, high)
    if own == "min" and how == "one":
        return Value(low, low, said), Value()
    if own == "typ" or how == "one":
        raise UnitError(f"{quoted(shown)} is one number where a range is asked for", "Write least and greatest.")
    return Value(low, low, said), Value(high, high)


def tidy_cell(text):
    """Signs in one spelling, powers of ten written out; raised digits stay."""
    text = text.replace("⁺", "+")
    power = re.compile(rf"\s?[x×·*]\s?10(?:\^?([+\-−]?\d+)|([⁻⁺]?[{_RAISED}]+))(?![\d.])")

    def written(match):
        raised = match[2] or match[1]
        return "e" + raised.translate(str.maketrans(_RAISED + "⁻⁺−", "0123456789-+-"))

    return tidy(power.sub(written, text))


def _refuse_foreign_note(said, unit, shown):
    """A footnote that speaks of another unit, a factor or a rate changes the figure: it is not read past."""
    words = said.casefold()
    if re.search(r"\b(times|multiply|divide|factor|×|per pair|each pole|both ends)\b", words):
        raise UnitError(
            f"the footnote of {quoted(shown)} changes the figure: {quoted(said)}", "Write the figure itself."
        )
    if unit is None or not said:
        return
    for word in re.findall(r"[^\W\d_]+(?:/[^\W\d_]+)?", said):
        try:
            other = find_unit(word)
        except UnitError:
            continue
        if (
            len(word) > 1
            and other.dimension == unit.dimension
            and other != unit
            and word.casefold() not in ("in", "min")
        ):
            raise UnitError(
                f"the footnote of {quoted(shown)} speaks of {word}, the head of {unit.name}", "Which unit is it?"
            )
    if unit.dimension == "length" and re.search(r"\b(in|as|are) inch", words):
        raise UnitError(
            f"the footnote of {quoted(shown)} speaks of inches, the head of {unit.name}", "Which unit is it?"
        )


def _peel_words(text):
    """The text without words such as max and typ, and which it was."""
    found = ""
    for pattern, name in _WORDS:
        for place in (rf"^\(?(?:{pattern})\)?(?![^\W\d_])[ :=]*", rf"[ ,]*(?<![^\W_])\(?(?:{pattern})\)?$"):
            match = re.search(place, text, re.IGNORECASE)
            if (
                match
                and match[0].strip()
                and len(match[0]) < len(text)
                and re.search(r"\d", text.replace(match[0], "", 1))
            ):
                rest = text[: match.start()] + text[match.end() :]
                if name == "min" and re.match(r"^from\b", text, re.IGNORECASE) and _BETWEEN.search(rest):
                    return rest.strip(), found
                text, found = rest.strip(), name
                break
    return text, found


def _both_units(text, unit, decimal, shown):
    """Of ``12 mm (0.472 in)`` the first, where both say the same; otherwise refused."""
    match = re.fullmatch(
        r"([^()/\[\]]+?) ?(?:\(([^()]*\d[^()]*)\)|\[([^\[\]]*\d[^\[\]]*)\]|/ (?=[\d.]+ ?[^\W\d])(.+))", text
    )
    if match is None:
        return text
    first, second = match[1], match[2] or match[3] or match[4]
    try:
        one, two = _ends(first, unit, decimal, shown), _ends(second, None, decimal, shown, first, unit)
    except UnitError:
        raise UnitError(
            f"{quoted(shown)} holds two figures that are not one quantity in two units", "Write one of them."
        ) from None
    if any(abs(a - b) > 0.015 * max(abs(a), abs(b)) for a, b in zip(one[:2], two[:2], strict=True)):
        raise UnitError(f"{quoted(shown)} gives two figures that do not agree", "Which of them holds?")
    return first


def _ends(text, unit, decimal, shown, beside=None, beside_unit=None):
    """(low, high, how) of a text: "one", "range" or "tolerance"."""
    tolerance = re.fullmatch(r"(.+?) ?(?:±|\+/-|\+-) ?(.+)", text)
    if tolerance:
        return (*_tolerance(tolerance[1], tolerance[2], unit, decimal, shown), "tolerance")
    parts = _BETWEEN.split(text)
    if len(parts) > 2:
        raise UnitError(f"{quoted(shown)} is not a number", "Write one number, or a range.")
    if len(parts) == 2:
        tail = re.search(r"[^\d\s.,+\-][^\d]*$", parts[1])
        own = tail[0].strip() if tail else ""
        if not re.search(r"[^\W\d_]|[%\"'°]", parts[0]) and own:
            parts[0] = f"{parts[0]} {own}"
        low, high = _one(parts[0], unit, decimal, shown), _one(parts[1], unit, decimal, shown)
        if low > high:
            raise UnitError(f"{quoted(shown)} runs backwards", "Write the lower value first.")
        return low, high, "range"
    value = _one(text, unit, decimal, shown, beside_unit)
    return value, value, "one"


def _tolerance(middle, by, unit, decimal, shown):
    value = _one(middle, unit, decimal, shown)
    share = re.fullmatch(r"([\d.,]+) ?%", by)
    if share:
        part = abs(value) * float(_marks(share[1], decimal, shown).replace(",", ".")) / 100
        return value - part, value + part
    own = re.search(r"[^\d\s.,+\-][^\d]*$", by)
    if own and not re.search(r"[^\W\d_]", middle):
        value = _one(f"{middle} {own[0].strip()}", unit, decimal, shown)
    scale_only = unit is not None and unit.offset and not own
    part = (
        float(_marks(by, decimal, shown).replace(",", ".")) * unit.scale
        if scale_only
        else _one(by, unit, decimal, shown)
    )
    if own and unit is not None and unit.offset:
        raise UnitError(
            f"{quoted(shown)}: a tolerance of a temperature cannot be read with its unit", "Write one number."
        )
    return value - part, value + part


def _one(text, unit, decimal, shown, dimension_of=None):
    """One number in inner units."""
    text = text.strip()
    fraction = re.match(r"[+-]?(?:\d+ +)?(\d+) ?/ ?(\d+)(?![\d.])", text)
    if fraction:
        if int(fraction[2]) == 0:
            raise UnitError(
                f"{quoted(shown)} is a gauge size, not a number",
                "Write the area or diameter, or map the column to a size.",
            )
        if int(fraction[2]) not in (2, 4, 8, 16, 32, 64):
            raise UnitError(f"{quoted(shown)} may be a fraction or two values", "Write one decimal number.")
        if unit is not None and unit.dimension != "length" and len(text) == fraction.end():
            raise UnitError(f"{quoted(shown)} may be a fraction or two values", "Write one decimal number.")
    text = _marks(text, decimal, shown)
    wanted = unit
    if unit is None:
        own = re.search(r"(?<=[\d\s])([^\W\d_]|[%\"'°].*).*$", text)
        if own is None:
            raise UnitError(
                f"{quoted(shown)} has no unit, nor has the column's head", "Write the unit into the map file."
            )
        name = re.sub(r"^[+-]?[\d.,/ ]+(?:[eE][+-]?\d+)?", "", text).strip()
        wanted = find_unit(name, dimension_of.dimension if dimension_of else None)
    low, high = parse_quantity(text, wanted, "," if decimal == "," else ".")
    if low != high:
        raise UnitError(f"{quoted(shown)} is a range", "Write one number.")
    return low


def _marks(text, decimal, shown):
    """The number with thousands marks taken out, where it is certain that they are such."""
    number = re.match(r"[+-]?[\d.,'’]+", text)
    if number is None:
        return text
    digits, rest = number[0], text[number.end() :]
    digits = re.sub(r"(?<=\d)['’](?=\d{3}(?!\d))", "", digits)
    grouped_comma = re.fullmatch(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?", digits)
    grouped_point = re.fullmatch(r"[+-]?[1-9]\d{0,2}(?:\.\d{3})+(?:,\d+)?", digits)
    if decimal is None and (grouped_comma or grouped_point) and digits.count(",") + digits.count(".") == 1:
        raise UnitError(
            f"{quoted(shown)} may be a thousand or a decimal: nothing else in the sheet says which",
            "Write it without mark.",
        )
    if (grouped_comma or grouped_point) and rest.lstrip().startswith("/"):
        raise UnitError(f"{quoted(shown)} has a thousands mark in a fraction", "Write it without mark.")
    if decimal != "," and grouped_comma:
        return digits.replace(",", "") + rest
    if decimal == "," and grouped_point and (digits.count(".") > 1 or "," in digits or decimal == ","):
        return digits.replace(".", "") + rest
    if decimal is None and "," in digits and "." not in digits and digits.count(",") == 1:
        return digits.replace(",", ".") + rest  # 2,5: no other reading
    return digits + rest


def _stored(low, high, how, bound, role, shown):
    """(value, remark): the end of what was read that may be stored in a column of this role."""
    if how != "one" and bound in ("typ", "max", "min"):
        raise UnitError(f"{quoted(shown)} is a range and {bound} at once", "Write one number.")
    if bound == "typ" and role != NOMINAL:
        raise UnitError(
            f"{quoted(shown)} is a typical value, and this column holds a {_said(role)}", f"Give the {_said(role)}."
        )
    if bound == "about" and role != NOMINAL:
        return low, f"{quoted(shown)} is said to be about or nominal"
    if bound == "max" and role in (LEAST, FLOOR):
        raise UnitError(
            f"{quoted(shown)} is a maximum, and this column holds a {_said(role)}", f"Give the {_said(role)}."
        )
    if bound == "min" and role == GREATEST:
        raise UnitError(
            f"{quoted(shown)} is a minimum, and this column holds a {_said(role)}", f"Give the {_said(role)}."
        )
    if how == "one":
        if role == NOMINAL and bound:
            return low, f"{quoted(shown)} taken as it stands"
        return low, ""
    if role in (GREATEST, FLOOR):
        return high, f"{quoted(shown)}: the greater end is kept"
    if role in (LEAST, LIMIT):
        return low, f"{quoted(shown)}: the lower end is kept"
    if how == "tolerance":
        return (low + high) / 2, f"{quoted(shown)}: the middle is kept"
    raise UnitError(f"{quoted(shown)} is a range, and this column holds one figure", "Write one number.")


def _said(role):
    return {GREATEST: "greatest value", LEAST: "least value", LIMIT: "limit", FLOOR: "lowest limit", NOMINAL: "figure"}[
        role
    ]
