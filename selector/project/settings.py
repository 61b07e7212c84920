"""What the whole project chose: the rule set, spares, what the builder buys, and values in place of defaults."""

import re
from dataclasses import dataclass, field

from selector.errors import UnitError, nearest, quoted
from selector.units import find_unit, parse_quantity, split_header

CHOICES = ("insulations", "lug styles", "fuse classes", "size systems")
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
        return self.spare if kind == "yes" else 0.0


def read_settings(project, catalogue, problems, codes):
    """Settings from settings.csv over defaults.csv; ``codes`` maps check codes to their kind of spare."""
    settings = Settings()
    for row in catalogue["defaults.csv"].iter_rows(named=True):
        name = row["default"].casefold()
        settings.units[name] = row["unit"] or ""
        settings.set_in[name] = row["set_in"] or "settings.csv"
        settings.questions[name] = row["question"] or ""
        settings.values[name] = _value(row["value"], row["unit"])
    frame = project.frames["settings.csv"]
    for row in project.rows("settings.csv"):
        name = " ".join(row["setting"].split()).casefold()
        text = row["value"]

        def complain(found, expected, near="", line=row["_line"]):
            problems.add(frame.label or "settings.csv", line, "value" if not near else "setting", found, expected, near)

        if text is None:
            continue
        words, unit = split_header(row["setting"])
        if unit is not None and not _SPARE.match(name):
            name = " ".join(words.split()).casefold()
            text = text if any(c.isalpha() for c in text) else f"{text} {unit}"
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
        unit = settings.units[name]
        if _is_number(unit, settings.values[name]):
            try:
                settings.values[name] = parse_quantity(text, unit)[0]
            except UnitError as error:
                complain(error.found, error.expected)
        else:
            settings.values[name] = text.casefold()
        settings.stated.add(name)
    else:
        known = [*settings.values, *CHOICES, "spare", "rule set"]
        complain(f"{quoted(name)} is not a setting", "Write one of defaults.csv, a spare or a choice.", nearest(name, known) or "spare")


def _is_number(unit, value):
    return isinstance(value, float) or (bool(unit) and not isinstance(value, str))


def _take_spare(settings, match, text, complain, codes):
    code, unit = match["code"], match["unit"]
    if code is None:
        try:
            settings.spare = parse_quantity(text, "%")[0]
        except UnitError as error:
            complain(error.found, error.expected)
        if not 0 <= settings.spare < 10:
            complain(f"{quoted(text)} is no spare", "Write a percentage of 0 or more, such as 20.")
        return
    kind = codes.get(code.casefold())
    if kind is None:
        complain(f"{quoted(code)} is not the code of a check", "Write a code such as C01.", nearest(code, codes))
        return
    if kind == "no":
        complain(f"check {code.upper()} takes no spare", "Fits, ratings in words and smallest sizes are as they are.")
        return
    wanted = "K" if kind == "K" else "%"
    if unit and unit.casefold() != wanted.casefold():
        complain(f"the spare of {code.upper()} is in {wanted}, not {unit}", f"Write spare {code.upper()} [{wanted}].")
        return
    try:
        settings.spare_by_code[code.casefold()] = parse_quantity(text, find_unit(wanted))[0]
    except UnitError as error:
        complain(error.found, error.expected)


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
            complain(f"{quoted(word)} names none of the {name}", f"Known are: {', '.join(known)}.", nearest(word, known))
        chosen += exact or parts
    return list(dict.fromkeys(chosen))
