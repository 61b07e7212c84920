"""How cells look: a few named looks and number formats, turned into the style numbers of one workbook."""

from dataclasses import dataclass, replace
from functools import cache

GRID, INK, QUIET = "BFBFBF", "1F1F1F", "595959"
HEAD, BAND, GIVEN, PICK = "D9E2EC", "B8C7D6", "FFF8E1", "EAF2FB"
SERVED, UNSERVED, INCOMPLETE, NOTICE = "CFE6F5", "F7C59F", "FBEFA6", "E8E8E8"
"""Blue, orange and yellow stay apart for every common kind of colour blindness; a sign and a word stand beside each."""
WORDS = (("✓", SERVED), ("✗", UNSERVED), ("?", INCOMPLETE))
FORMATS = {
    "A": "[>=1000]0;[>=10]0.0;0.0##",
    "V": "[>=10]0.00;0.000",
    "degC": "0.0",
    "K": "[>=10]0.0;0.0##",
    "W": "[>=1000]0;[>=10]0.0;0.0##",
    "J": "[>=1000]0;[>=10]0.0;0.0##",
    "mm2": "[>=100]0.0;[>=10]0.0#;0.0##",
    "mm": "[>=100]0.0;[>=10]0.0#;0.0##",
    "m": "0.0##",
    "A2 s": "#,##0",
    "s": "[>=10]0.0;0.0##",
    "ms": "[>=10]0.0;0.0##",
    "m/s": "0.0##",
    "%": "0.0",
    "ohm": "[>=1]0.0##;0.000###",
    "H": "0.000###",
    "conductors": "0",
    "whole": "0",
    "figure": "[>=100]0.0;[>=1]0.0##;0.000#",
    "difference": "[=0]0;[<1]0.0E+00;0.0E+00",
    "about": "[>=1000]0;[>=10]0.0#;0.0##",
    "band": '[>=99999999]"no end";General',
}
"""What is shown of a number, three or four digits that count; the cell keeps all of them."""
GAP = "_)"
"""Room behind a number, or a word in its place, so that it does not run into the words of the next column."""


@dataclass(frozen=True, eq=False)
class Look:
    """One way a cell looks; ``unit`` picks the number format. Looks are told apart as objects, which is quick."""

    bold: bool = False
    italic: bool = False
    size: int = 10
    fill: str | None = None
    wrap: bool = False
    unit: str | None = None
    edge: bool = True
    ink: str = INK
    right: bool = False
    quoted: bool = False

    @property
    def format(self):
        if not self.unit:
            return "General"
        shown = FORMATS.get(self.unit, FORMATS["figure"])
        if self.unit == "band":
            return shown
        parts = shown.split(";") if ";" in shown else [shown, f"-{shown}", shown]
        return ";".join(part + GAP for part in (*parts, "@"))


TITLE = Look(bold=True, size=14, edge=False)
HINT = Look(italic=True, edge=False, ink=QUIET, wrap=True)
ASIDE = Look(italic=True, edge=False, ink=QUIET)
SECTION = Look(bold=True, size=11, fill=BAND, edge=False)
BAND_LOOK = Look(bold=True, fill=BAND, wrap=True)
HEADER = Look(bold=True, fill=HEAD, wrap=True)
PLAIN = Look()
TEXT = Look(wrap=True)
BARE = Look(wrap=True, edge=False)
STRONG = Look(bold=True, wrap=True)
STATE = Look(bold=True)
STATE_WRAPPED = Look(bold=True, wrap=True)
PICKED = Look(fill=PICK, wrap=True)
INHERITED = Look(fill=NOTICE, italic=True, wrap=True)


@cache
def number(unit, fill=None):
    """The look of a number shown in ``unit``."""
    return Look(unit=unit, fill=fill, right=True)


@cache
def quoted(look):
    """The same look for text that begins like a formula, so that it stays text when it is edited."""
    return replace(look, quoted=True)


class Styles(dict):
    """Style numbers of one openpyxl workbook by look, made as they are first asked for; ``strings`` numbers the words of
    its cells."""

    def __init__(self, book, strings):
        super().__init__()
        self.book, self.strings = book, strings
        self._scratch = book.create_sheet("scratch")

    def __missing__(self, look):
        number = self[look] = self._make(look)
        return number

    def _make(self, look):
        from openpyxl.styles import Alignment, Border, Font, PatternFill, Side

        cell = self._scratch.cell(row=len(self) + 1, column=1)
        cell.font = Font(name="Calibri", size=look.size, bold=look.bold, italic=look.italic, color=look.ink)
        if look.fill:
            cell.fill = PatternFill("solid", start_color=look.fill, end_color=look.fill)
        if look.edge:
            side = Side(style="hair", color=GRID)
            cell.border = Border(left=side, right=side, top=side, bottom=side)
        horizontal = "right" if look.right else None
        cell.alignment = Alignment(horizontal=horizontal, vertical="top", wrap_text=look.wrap)
        cell.number_format = look.format
        if look.quoted:
            cell._style.quotePrefix = 1
        return cell.style_id

    def ready(self, looks):
        """Make looks that are asked for only after `done`."""
        for look in looks:
            self.__getitem__(look)

    def done(self):
        """Take the sheet away on which the looks were made; from here on no new one can be made."""
        self.book.remove(self._scratch)
