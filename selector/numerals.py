"""The one grammar for numbers, as people write them in cells and options."""

import math
import re
import unicodedata

from selector.errors import UnitError, quoted

LARGEST = 1e12
"""Greatest magnitude accepted after conversion, in any inner unit."""

_SPACES = dict.fromkeys([0xA0, *range(0x2000, 0x200B), 0x202F, 0x205F, 0x3000, 0x09], " ")
_MARKS = {ord("−"): "-", ord("⁄"): "/", ord("…"): "..", ord("″"): '"', ord("′"): "'", ord("”"): '"', ord("“"): '"',
          ord("’"): "'", ord("\u200b"): "", ord("\ufeff"): ""} | _SPACES  # fmt: skip


def tidy(text):
    """A typed number in one spelling: plain spaces and signs, ``1½`` as ``1 1/2``, an ellipsis as two points."""
    if not text.isascii():
        text = re.sub("[¼½¾⅐-⅞]", lambda m: " " + unicodedata.normalize("NFKC", m[0]), text).translate(_MARKS)
    return text.strip()


def _grammar(mark):
    mark = re.escape(mark)
    whole = r"(?:\d{1,3}(?: \d{3})+(?!\d)|\d+)"
    return re.compile(
        rf"([+-]?)(?:(?:(\d+) +)?(\d+) ?/ ?(\d+)|((?:{whole}(?:{mark}\d*)?|{mark}\d+)(?:[eE][+-]?\d+)?))", re.ASCII
    )


GRAMMAR = {".": _grammar("."), ",": _grammar(",")}
_PLAIN = "Write a plain number such as 7.5, or leave it empty if unknown."


def not_a_number(text, decimal):
    """The error for a text that is no number, with the remedy that fits."""
    other = "," if decimal == "." else "."
    if not text:
        return UnitError("the number is missing", _PLAIN.partition(",")[0] + ".")
    if re.fullmatch(rf"[+-]?[1-9]\d{{0,2}}(?:{re.escape(other)}\d{{3}})+", text):
        known = "a decimal point" if decimal == "." else "a decimal comma"
        return UnitError(f"{quoted(text)} is not a number here: the mark is {known}",
                         f"Write {text.replace(other, '')} for thousands, {text.replace(other, decimal, 1)} for a "
                         "fraction.")  # fmt: skip
    if re.fullmatch(rf"[+-]?\d*{re.escape(other)}\d+( ?\D*)?", text):
        known = "a decimal point" if decimal == "." else "a decimal comma"
        return UnitError(f"{quoted(text)} is not a number here: the mark is {known}",
                         f"Write {text.replace(other, decimal)}, or without thousands marks.")  # fmt: skip
    if re.match(r"\d{4}-\d\d-\d\d", text):
        return UnitError(f"{quoted(text)} is a date", "Spreadsheets turn 3/8 into a date: make the cell text, or "
                         "write 0.375.")  # fmt: skip
    span = re.fullmatch(r"([\d.,/ ]+?) ?(?:-|–|—|to) ?([\d.,/ ]+) ?(\D*)", text)
    if span:
        return UnitError(f"{quoted(text)} is not a number",
                         f"Write a range as {span[1]}..{span[2].strip()}, where a range is taken.")  # fmt: skip
    return UnitError(f"{quoted(text)} is not a number", _PLAIN)


def _value(match, text, decimal):
    """The number a match of the grammar stands for."""
    sign, whole, above, below, plain = match.groups()
    if plain is None:
        if int(below) == 0:
            raise UnitError(f"{quoted(text)} divides by zero", _PLAIN)
        if whole is not None and int(above) >= int(below):
            raise UnitError(f"{quoted(text)} is not a number", "Write a mixed fraction such as 1 1/2.")
        value = int(whole or 0) + int(above) / int(below)
    else:
        digits = plain.replace(" ", "").replace(decimal, ".")
        value = float(digits)
        if math.isinf(value):
            raise UnitError(f"{quoted(text)} is too large", f"Write a number up to {LARGEST:g}.")
        if value == 0 and re.search("[1-9]", digits.lower().partition("e")[0]):
            raise UnitError(f"{quoted(text)} is too small to keep", "Write 0 if it is nothing.")
    return -value if sign == "-" else value


def parse_number(text, decimal="."):
    """A number as people write it: sign, digits, one decimal mark, exponent, ``3/8``, ``1 1/2``.

    Spaces, thin ones too, may part groups of three digits. ``nan``, ``inf``, ``1_000``, ``0x10``, ``1e400`` and an
    empty text raise ``UnitError``.

    >>> parse_number("1 1/2"), parse_number("2,5", decimal=",")
    (1.5, 2.5)
    """
    text = tidy(text)
    match = GRAMMAR[decimal].fullmatch(text)
    if match is None:
        raise not_a_number(text, decimal)
    try:
        return _value(match, text, decimal)
    except (ValueError, OverflowError):  # thousands of digits
        raise UnitError(f"{quoted(text)} is too long for a number", _PLAIN) from None
