"""What goes wrong, said once and in one shape: the place, what was found there, and what would be right."""

import difflib
from collections.abc import Sequence
from dataclasses import dataclass

_LONGEST_QUOTE = 60
_NEAR, _NEAR_WITH_ANOTHER_FIRST_LETTER = 0.65, 0.75
"""How alike two names must be; a slip seldom falls on the first letter."""


def quoted(text):
    """The user's own text, in quotes, on one line and short enough to read."""
    shown = "".join(c if c.isprintable() else repr(c)[1:-1] for c in str(text))
    if len(shown) > _LONGEST_QUOTE:
        shown = shown[: _LONGEST_QUOTE - 1] + "…"
    return f"'{shown}'"


def nearest(name, known):
    """The known name most like ``name``, or an empty text when none is near.

    >>> nearest("lenght", ["length", "current"])
    'length'
    >>> nearest("colour", ["length", "current"])
    ''
    >>> nearest("fridge", ["bridge ac"])  # another word, not a slip
    ''
    """
    by_fold = {}
    for candidate in known:
        by_fold.setdefault(str(candidate).casefold().strip(), str(candidate))
    wanted = str(name).casefold().strip()
    if not wanted:
        return ""
    if wanted in by_fold:
        return by_fold[wanted]
    for found in difflib.get_close_matches(wanted, by_fold, n=3, cutoff=_NEAR):
        alike = difflib.SequenceMatcher(None, found, wanted).ratio()
        if found[0] == wanted[0] or alike >= _NEAR_WITH_ANOTHER_FIRST_LETTER:
            return by_fold[found]
    return ""


@dataclass(frozen=True)
class Problem:
    """One thing the user can put right.

    file : the file as shown to the user
    line : line as an editor or a spreadsheet counts it; None when the whole file is meant
    column : header as written; empty when the whole line is meant
    found : what is there, a sentence without its full stop ("'ten' is not a number")
    expected : what would be right, a sentence
    nearest : the known name most like the one found, if any
    """

    file: str
    line: int | None
    column: str
    found: str
    expected: str
    nearest: str = ""

    @property
    def place(self):
        """Where it is: "connections.csv line 17, length [m]"."""
        words = self.file
        if self.line is not None:
            words += f" line {self.line}" if words else f"line {self.line}"
        if self.column:
            words += f", {self.column}" if words else self.column
        return words

    def __str__(self):
        text = f"{self.place}: " if self.place else ""
        text += self.found.rstrip(".") + "."
        if self.expected:
            text += f" {self.expected}"
        if self.nearest:
            text += f" Did you mean '{self.nearest}'?"
        return " ".join(text.split())


class SelectorError(Exception):
    """Root of everything the program refuses; carries its problems and the exit code of the command.

    ``SelectorError("tables cannot be used", problems)`` prints the heading, then one problem a line.
    A bare ``SelectorError("text")`` prints its text.
    """

    exit_code = 3
    remarks: Sequence[str] = ()
    """Lines that may help beside the problems; no problems themselves."""

    def __init__(self, heading="", problems=()):
        super().__init__(heading)
        self.heading = str(heading)
        self.problems = list(problems)

    def __str__(self):
        lines = [str(problem) for problem in self.problems]
        if not lines:
            return self.heading
        if not self.heading:
            return "\n".join(lines)
        count = "1 problem" if len(lines) == 1 else f"{len(lines)} problems"
        return "\n  ".join([f"{self.heading}: {count}", *lines, *(f"note: {remark}" for remark in self.remarks)])


class TableError(SelectorError):
    """A table of the catalogue cannot be used."""


class ProjectError(SelectorError):
    """A project cannot be used."""


class DefinitionError(SelectorError):
    """A check or a family names a column nobody supplies, or asks for what cannot be worked out."""


class OutputError(SelectorError):
    """The result could not be written; nothing was replaced."""

    exit_code = 4


class UsageError(SelectorError):
    """The command was asked for something that is not there."""

    exit_code = 2


class UnitError(SelectorError):
    """A text is not a number or a quantity; keeps what was found, what would be right and the nearest name."""

    def __init__(self, found, expected="", nearest=""):
        self.found, self.expected, self.nearest = found, expected, nearest
        super().__init__("", [Problem("", None, "", found, expected, nearest)])

    def at(self, file, line, column):
        """The same complaint as a problem of one cell."""
        return Problem(file, line, column, self.found, self.expected, self.nearest)


class Problems:
    """Collects problems, so that all of them are reported at once."""

    def __init__(self):
        self._all = {}

    def add(self, file, line=None, column="", found="", expected="", nearest=""):
        """Note one problem; takes a ready ``Problem`` or the fields of one. The same problem counts once."""
        problem = file if isinstance(file, Problem) else Problem(file, line, column, found, expected, nearest)
        self._all[problem] = None
        return problem

    def extend(self, problems):
        """Note every problem of another collection, or of an error."""
        for problem in getattr(problems, "problems", problems):
            self.add(problem)

    @property
    def problems(self):
        """The problems so far, as they were found."""
        return list(self._all)

    def raise_if_any(self, error_class=SelectorError, heading=""):
        """Raise ``error_class`` with all problems, or return when there are none."""
        if self._all:
            raise error_class(heading, self.problems)

    def __iter__(self):
        return iter(self._all)

    def __len__(self):
        return len(self._all)

    def __bool__(self):
        return bool(self._all)
