"""What the whole project chose: the rule set, spares, what the builder buys, and values in place of defaults."""

import re
from dataclasses import dataclass, field

from selector.catalogue.cells import Number, Text, YesNo, read_cells
from selector.errors import UnitError, nearest, quoted
from selector.project.declarations import FILES
from selector.units import UNITS, find_unit, fold, parse_quantity, split_header

CHOICES = ("insulations", "lug styles", "fuse classes", "size systems")
_SAME_AS = {"cable return": "return", "control wire return": "return", "laid when grouped with none": "laid",
            "engine space ambient": "ambient", "cable grouped with": "grouped with",
            "control wire grouped with": "grouped with", "phase lead grouped with": "grouped with",
            "lithium may disconnect": "may disconnect"}  # fmt: skip
SPARES_OF_CODES = {
    "r10": "junction temperature spare",
    "u06": "suppressor energy spare",
    "u08": "junction temperature spare",
}
"""Checks whose spare is a default of its own, where the project states none for the code."""
_SPARE = re.compile(r"spare(?:\s+(?P<code>[a-z]+\d+))?\s*(?:\[(?P<unit>%|K)\])?$", re.IGNORECASE)


@dataclass
class Settings:
    """``values`` are the defaults in force (inner units, words as they are); ``stated`` those the user set."""

    rule_set: str = "general"
    spare: float = 0.0
    spare_by_code: dict = field(default_factory=dict)
    choices: dict = field(default_factory=dict)
    values: dict = field(default_factory=dict)
    units: dict = field(default_factory=dict)
    set_in: dict = field(default_factory=dict)
    questions: dict = field(default_factory=dict)
    stated: set = field(default_factory=set)

    def number(self, name):
        """A default as a number in its inner unit; NaN where it is empty."""
        value = self.values.get(name)
        return float("nan") if value is None or isinstance(value, str) else value

    def flag(self, name):
        """A yes/no default as 1 or 0."""
        return 1.0 if self.values.get(name) == "yes" else 0.0

    def spare_of(self, code, kind):
        """Spare asked of one check: a fraction, or kelvin where its margin is one; 0 where it takes none."""
        if kind == "no":
            return 0.0
        by_code = self.spare_by_code.get(code.casefold())
        if by_code is not None:
            return by_code
        own = SPARES_OF_CODES.get(code.casefold())
        if own is not None:
            return self.number(own)
        return self.spare if kind == "yes" else 0.0


def read_settings(project, catalogue, problems, codes):
    """Settings from settings.csv over defaults.csv; ``codes`` maps check codes to their kind of spare."""
    settings = Settings()
    for row in catalogue.rows("defaults.csv"):
        name = row["default"].casefold()
        settings.units[name] = row["unit"] or ""
        settings.set_in[name] = row["set_in"] or "settings.csv"
        settings.questions[name] = row["question"] or ""
        settings.values[name] = _value(row["value"], row["unit"])
    frame = project.frames["settings.csv"]
    seen = {}
    for row in project.rows("settings.csv"):
        name = fold(row["setting"] or "")
        text = row["value"]

        def complain(found, expected, near="", column="value", line=row["_line"]):
            problems.add(frame.label or "settings.csv", line, frame.headers.get(column, column), found, expected, near)

        if text is None or not name:
            continue
        words, unit = split_header(row["setting"])
        if unit is not None and not _SPARE.match(name):
            name = fold(words)
            text = text if any(c.isalpha() for c in text) else f"{text} {unit}"
        first = seen.setdefault("rule set" if name == "rules" else name.partition("[")[0].strip(), row["_line"])
        if first != row["_line"]:
            complain(
                f"{quoted(row['setting'])} is the setting of line {first} again", "Keep one of them.", "", "setting"
            )
        _take(settings, catalogue, name, text, complain, codes)
    return settings


def _value(text, unit):
    if text is None:
        return None
    try:
        return parse_quantity(text, unit or "")[0]
    except UnitError:
        return text


def _take(settings, catalogue, name, text, complain, codes):
    spare = _SPARE.match(name)
    if name in ("rule set", "rules"):
        known = catalogue["rule_sets.csv"]["rule_set"].to_list()
        chosen = next((key for key in known if key.casefold() == text.casefold()), None)
        if chosen is None:
            complain(f"{quoted(text)} is not a rule set", f"Write one of: {', '.join(known)}.", nearest(text, known))
        else:
            settings.rule_set = chosen
            settings.stated.add("rule set")
    elif spare:
        _take_spare(settings, spare, text, complain, codes)
    elif name in CHOICES:
        words = [word.strip() for word in re.split(r"[,;/]", text) if word.strip()]
        settings.choices[name] = _choice(name, words, catalogue, complain)
    elif name in settings.values:
        settings.values[name] = _read(name, text, settings, complain)
        settings.stated.add(name)
    else:
        known = [*settings.values, *CHOICES, "spare", "rule set"]
        complain(f"{quoted(name)} is not a setting", "Write a row of defaults.csv, a spare or a choice.",
                 nearest(name, known), "setting")  # fmt: skip


def _read(name, text, settings, complain):
    """A stated value, held to what the project's column of that name may hold; None, with a problem, where it cannot be."""
    unit, default = settings.units[name], settings.values[name]
    file, wanted = settings.set_in[name].split(",")[0], _SAME_AS.get(name, name)
    columns = [
        c
        for own, (cells, _) in FILES.items()
        if own == file or file not in FILES
        for c in cells
        if fold(c.words) == wanted
    ]
    number = _is_number(unit, default)
    column = next((c for c in columns if isinstance(c, Number) == number), None)
    if number:
        if column is None:
            column = Number(name, unit or None, least=None if unit == "degC" else 0)
        lows, highs = read_cells(column, find_unit(unit, column.dimension) if unit else UNITS[""], [text], ".",
                                 lambda _, *words: complain(*words))  # fmt: skip
        if lows[0] != highs[0]:
            complain(f"{quoted(text)} is a range", "Write one number here.")
        return lows[0]
    if column is None or (isinstance(column, Text) and column.words_allowed is None):
        return text.casefold()
    if isinstance(default, str) and fold(text) == fold(default):
        return default
    assert isinstance(column, Text | YesNo)
    return read_cells(column, None, [text], ".", lambda _, *words: complain(*words))[0]


def _is_number(unit, value):
    return isinstance(value, float) or (bool(unit) and not isinstance(value, str))


def _take_spare(settings, match, text, complain, codes):
    code, unit = match["code"], match["unit"]
    if code is None:
        try:
            settings.spare = _spare(text, "%", 10, complain)
        except UnitError as error:
            complain(error.found, error.expected)
        return
    kind = codes.get(code.casefold())
    if kind is None:
        complain(f"{quoted(code.upper())} is not the code of a check", "Write a code such as C01.",
                 nearest(code, [one.upper() for one in codes]), "setting")  # fmt: skip
        return
    if kind == "no":
        complain(f"check {code.upper()} takes no spare", "Fits, ratings in words and smallest sizes are as they are.", "",
                 "setting")  # fmt: skip
        return
    wanted = "K" if kind == "K" else "%"
    if unit and unit.casefold() != wanted.casefold():
        complain(f"the spare of {code.upper()} is in {wanted}, not {quoted(unit.upper())}", f"Write spare {code.upper()} [{wanted}].",
                 "", "setting")  # fmt: skip
        return
    try:
        settings.spare_by_code[code.casefold()] = _spare(text, wanted, 10 if wanted == "%" else 1000, complain)
    except UnitError as error:
        complain(error.found, error.expected)


def _spare(text, unit, below, complain):
    low, high = parse_quantity(text, find_unit(unit))
    if not 0 <= low < below or low != high:
        example = "a percentage of 0 or more, such as 20" if unit == "%" else "0 K or more, such as 10"
        complain(f"{quoted(text)} is no spare", f"Write {example}.")
    return low


def _choice(name, words, catalogue, complain):
    """The chosen keys in the builder's order; each word must be, or stand in, at least one known name."""
    if name == "insulations":
        known = catalogue["insulations.csv"]["insulation"].to_list()
    elif name == "lug styles":
        known = sorted(set(catalogue["lugs.csv"]["style"].to_list()))
    elif name == "fuse classes":
        frame = catalogue["fuses.csv"]
        known = list(dict.fromkeys([*frame["group"].drop_nulls().to_list(), *frame["class"].to_list()]))
    else:
        known = ["AWG", "mm2"]
    chosen = []
    for word in words:
        exact = [key for key in known if key.casefold() == word.casefold()]
        parts = [key for key in known if set(word.casefold().split()) <= set(key.casefold().split())]
        if not exact and not parts:
            complain(
                f"{quoted(word)} names none of the {name}", f"Known are: {', '.join(known)}.", nearest(word, known)
            )
        chosen += exact or parts
    return list(dict.fromkeys(chosen))
