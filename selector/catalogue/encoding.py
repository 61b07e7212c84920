"""Bytes of a file people saved -> its text, with a word on what was assumed."""

import importlib.util
import unicodedata

_BOMS = (
    (b"\xef\xbb\xbf", "utf-8"),
    (b"\xff\xfe\x00\x00", "utf-32-le"),
    (b"\x00\x00\xfe\xff", "utf-32-be"),
    (b"\xff\xfe", "utf-16-le"),
    (b"\xfe\xff", "utf-16-be"),
)
_OTHER_FILES = (
    (b"PK\x03\x04", "a workbook or a zip archive"),
    (b"\xd0\xcf\x11\xe0", "a workbook of the old binary kind, or one with a password"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"\x1f\x8b", "a compressed archive"),
)
# What a Windows-1252 file of ours holds beside letters.
_USUAL_1252 = set("°µ²³±½¼¾×·Ø–—‘’“”„…€ª™®© \u00a0\u00ad§º•′″")
_FOLDED = {
    "\u00a0": " ", "\u202f": " ", "\u205f": " ", "\u3000": " ", "\u03bc": "µ", "\u2126": "Ω",
    "“": '"', "”": '"', "„": '"', "‟": '"', "‘": "'", "’": "'", "‚": "'", "‛": "'",
    "\u200b": "", "\u200c": "", "\u200d": "", "\u2060": "", "\ufeff": "", "\u00ad": "",
} | {chr(code): " " for code in range(0x2000, 0x200B)}  # fmt: skip
# Marks that turn the direction of text: with them a name can be made to read as another one.
_FOLDED |= {chr(code): "" for code in (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))}
_FOLD_TABLE = str.maketrans(_FOLDED)


class NotText(Exception):
    """The bytes are no text; the first argument says what they are, the second is the line or None."""


def decode(data, encoding=None):
    """Text of a file and a note on the encoding assumed, empty for plain UTF-8.

    By byte order mark, then by the pattern of NUL bytes, then strict UTF-8, then Windows-1252 where its special
    characters are the usual ones, then a statistical guess where the package for it is installed.
    """
    for start, what in _OTHER_FILES:
        if data.startswith(start):
            raise NotText(f"this is {what}, not a CSV file", None)
    if encoding:
        return _stated(data, encoding)
    text, note = _by_mark(data) or _by_nul(data) or _by_trial(data)
    if "\0" in text:
        raise NotText("this is not text: it holds NUL characters", text[: text.index("\0")].count("\n") + 1)
    return text, note


def _stated(data, encoding):
    try:
        return data.decode(encoding).removeprefix("\ufeff"), f"read as {encoding}, as asked"
    except LookupError:
        raise NotText(f"'{encoding}' is not a known encoding", None) from None
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise NotText(f"these bytes are not {encoding}", line) from None


def _by_mark(data):
    for mark, name in _BOMS:
        if data.startswith(mark):
            try:
                text = data[len(mark) :].decode(name)
            except UnicodeDecodeError as error:
                line = data[: error.start].count(b"\n") + 1
                raise NotText(f"the file says it is {name}, but its bytes are not", line) from None
            return text, "" if name == "utf-8" else f"read as {name.upper()}"
    return None


def _by_nul(data):
    """UTF-16 without its mark: nearly every second byte is NUL."""
    if b"\0" not in data:
        return None
    pairs = max(len(data) // 2, 1)
    for name, nul, other in (("utf-16-le", data[1::2], data[0::2]), ("utf-16-be", data[0::2], data[1::2])):
        if nul.count(0) > 0.6 * pairs and other.count(0) == 0:
            try:
                return data.decode(name), f"read as {name.upper()}, which has no mark in this file"
            except UnicodeDecodeError:
                break
    raise NotText("this is not text: it holds NUL bytes", data[: data.index(0)].count(b"\n") + 1)


def _by_trial(data):
    try:
        return data.decode("utf-8"), ""
    except UnicodeDecodeError:
        pass
    text = data.decode("cp1252", errors="replace")
    special = {c for c in text if not c.isascii()}
    if all(c in _USUAL_1252 or ("À" <= c <= "ÿ") or c in "ŒœŠšŽžŸ" for c in special):
        return text, "read as Windows-1252, the encoding was not stated"
    if importlib.util.find_spec("charset_normalizer"):
        from charset_normalizer import from_bytes

        best = from_bytes(data).best()
        if best is not None:
            return str(best), f"read as {best.encoding}, a guess: the encoding was not stated"
    return text, "read as Windows-1252, the encoding was not stated"


def plain(text):
    """A cell's text in one spelling: straight quotes, plain spaces, one micro and one ohm sign, composed letters."""
    if text.isascii():
        return text
    return unicodedata.normalize("NFC", text).translate(_FOLD_TABLE).strip()
