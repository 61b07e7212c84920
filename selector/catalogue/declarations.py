"""The tables by file: what a row is called, which columns it has, in which units.

A column not declared here is kept and shown but decides nothing. Every table of data ends in source, status, note.
"""

from dataclasses import dataclass

from selector.catalogue.reading import Number, Text, YesNo

STATUSES = ("read", "memory", "computed", "measured")
_ORIGIN = (
    Text("source", refers_to="sources.csv", required=True, filled=True),
    Text("status", required=True, filled=True, words_allowed=STATUSES),
    Text("note"),
)


@dataclass(frozen=True)
class Declaration:
    """One table: its file, the words of its key column and its columns, key first."""

    file: str
    key: str
    columns: tuple

    @property
    def name(self):
        return self.file.removesuffix(".csv")


def _table(file, key, *columns):
    return Declaration(file, key, (Text(key, required=True, filled=True), *columns, *_ORIGIN))


def _positive(words, unit="", required=False):
    return Number(words, unit, above=0, required=required, filled=required)


def _any(words, unit=""):
    return Number(words, unit)


def _not_negative(words, unit=""):
    return Number(words, unit, least=0)


TABLES = (
    Declaration(
        "sources.csv",
        "source",
        (
            Text("source", required=True, filled=True),
            Text("title", required=True, filled=True),
            Text("edition"),
            Text("section"),
            Text("kind"),
            Text("status"),
            Text("note"),
        ),
    ),
    _table(
        "materials.csv",
        "material",
        Text("kind"),
        _positive("resistivity at 20 degC", "ohm mm2/m"),
        _any("temperature coefficient", "1/K"),
        _positive("density", "kg/m3"),
        _positive("heat capacity", "J/(kg K)"),
        _positive("conductivity", "W/(m K)"),
        _any("limit", "degC"),
        _any("inferred zero", "degC"),
        _positive("adiabatic constant", "A s0.5/mm2"),
    ),
    _table(
        "conductors.csv",
        "conductor",
        Text("material", refers_to="materials.csv", required=True, filled=True),
        Text("coating"),
        Text("size", required=True, filled=True),
        Text("size system", words_allowed=("AWG", "mm2")),
        Text("strand class"),
        _positive("area", "mm2", required=True),
        _positive("diameter", "mm"),
        _positive("resistance at 20 degC", "ohm/km"),
    ),
    _table(
        "insulations.csv",
        "insulation",
        Text("material"),
        _any("temperature rating", "degC"),
        _any("short-circuit temperature", "degC"),
        _positive("conductivity", "W/(m K)"),
        Number("emissivity", "", above=0, most=1),
        _positive("voltage rating", "V"),
        YesNo("oil"),
        YesNo("fuel"),
        YesNo("wet"),
        YesNo("sun"),
        YesNo("engine space"),
        _any("coldest flexing", "degC"),
        YesNo("exotic"),
    ),
    _table(
        "wires.csv",
        "wire",
        Text("conductor", refers_to="conductors.csv", required=True, filled=True),
        Text("insulation", refers_to="insulations.csv", required=True, filled=True),
        _positive("outer diameter", "mm"),
    ),
    _table(
        "lugs.csv",
        "lug",
        Text("style", required=True, filled=True),
        Text("size"),
        Text("stud"),
        _positive("least area", "mm2"),
        _positive("greatest area", "mm2"),
        _positive("bore", "mm"),
        _positive("barrel diameter", "mm"),
        _positive("hole", "mm"),
        _positive("palm width", "mm"),
        Text("plating"),
        Text("metal"),
        Text("strand classes"),
        YesNo("insulated"),
        _any("temperature limit", "degC"),
    ),
    _table(
        "studs.csv",
        "stud",
        Text("system"),
        _positive("thread diameter", "mm", required=True),
        _positive("fine hole", "mm"),
        _positive("medium hole", "mm"),
        _positive("coarse hole", "mm"),
        _positive("ring hole in use", "mm"),
    ),
    _table(
        "stud_torques.csv",
        "torque",
        Text("stud", refers_to="studs.csv", required=True, filled=True),
        Text("joint"),
        _positive("least torque", "N m"),
        _positive("greatest torque", "N m"),
        Text("kind"),
    ),
    _table(
        "sleeves.csv",
        "sleeve",
        Text("class"),
        Text("ratio"),
        YesNo("adhesive"),
        _positive("supplied bore", "mm", required=True),
        _positive("recovered bore", "mm"),
        _positive("recovered wall", "mm"),
        _any("coldest", "degC"),
        _any("temperature rating", "degC"),
        YesNo("exotic"),
    ),
    _table(
        "splices.csv",
        "splice",
        Text("method"),
        _positive("least area", "mm2"),
        _positive("greatest area", "mm2"),
        _positive("bore", "mm"),
        _positive("barrel diameter", "mm"),
        Text("metal"),
        Text("plating"),
        YesNo("insulated"),
        Text("strand classes"),
        _any("temperature limit", "degC"),
    ),
    _table(
        "fuses.csv",
        "fuse",
        Text("class", required=True, filled=True),
        Text("group"),
        Text("device", words_allowed=("fuse", "breaker")),
        _positive("rating", "A", required=True),
        _positive("voltage rating", "V"),
        _positive("breaking capacity", "A"),
        _positive("cold resistance", "mohm"),
        _positive("melting I2t", "A2 s"),
        _positive("clearing I2t", "A2 s"),
        YesNo("ignition protected"),
        Text("stud"),
        _any("temperature rating", "degC"),
    ),
    _table(
        "fuse_curves.csv",
        "curve",
        Text("class", required=True, filled=True),
        _not_negative("from rating", "A"),
        _positive("to rating", "A"),
        _positive("multiple", required=True),
        _positive("shortest", "s"),
        _positive("longest", "s"),
    ),
    _table(
        "fuse_ambients.csv",
        "ambient factor",
        Text("class", required=True, filled=True),
        _any("ambient", "degC"),
        _positive("factor"),
    ),
    _table("shunts.csv", "shunt", _positive("current", "A"), _positive("drop", "mV"), _positive("continuous current", "A")),
    _table(
        "busbars.csv",
        "busbar",
        _positive("width", "mm"),
        _positive("thickness", "mm"),
        Text("material"),
        _positive("bars"),
        Text("surface"),
        Text("supply"),
        _any("ambient", "degC"),
        _any("bar temperature", "degC"),
        _positive("ampacity", "A"),
    ),
    _table(
        "rule_sets.csv",
        "rule set",
        Text("title"),
        Text("edition"),
        Text("ampacity table"),
        Text("ambient table"),
        Text("grouping table"),
        Text("overcurrent table"),
        Text("drop table"),
        Text("smallest table"),
        Text("size system", words_allowed=("AWG", "mm2")),
        _any("insulation order", "degC"),
        YesNo("stranded copper only"),
        YesNo("chassis return allowed"),
        YesNo("two-pole protection"),
        Text("does not cover"),
    ),
    _table(
        "ampacities.csv",
        "ampacity row",
        Text("table", required=True, filled=True),
        Text("size"),
        _positive("area", "mm2", required=True),
        _any("rating", "degC"),
        _positive("ampacity", "A", required=True),
        _any("base ambient", "degC"),
        Text("material"),
        YesNo("counts bundle"),
        YesNo("counts altitude"),
    ),
    _table(
        "ambient_factors.csv",
        "ambient factor",
        Text("table", required=True, filled=True),
        Text("when", words_allowed=("always", "engine space")),
        _any("rating", "degC"),
        _any("base", "degC"),
        _any("from", "degC"),
        _any("to", "degC"),
        _not_negative("factor"),
    ),
    _table(
        "grouping_factors.csv",
        "grouping factor",
        Text("table", required=True, filled=True),
        Text("counted", words_allowed=("circuits", "conductors")),
        _positive("from count"),
        _positive("to count"),
        _not_negative("from", "V"),
        _positive("factor", required=True),
    ),
    _table("laying_factors.csv", "laying", _positive("factor")),
    _table(
        "overcurrent_rules.csv",
        "overcurrent rule",
        Text("table", required=True, filled=True),
        _not_negative("from", "V"),
        _positive("to", "V"),
        _positive("multiple of table"),
        YesNo("next standard size"),
        _positive("multiple of balance"),
        _positive("conventional multiple"),
        _not_negative("distance", "m"),
        _not_negative("distance sheathed", "m"),
        _not_negative("distance at battery", "m"),
        YesNo("two-pole"),
        _positive("generator multiple"),
    ),
    _table(
        "drop_limits.csv",
        "drop limit",
        Text("table", required=True, filled=True),
        Text("need", required=True, filled=True),
        _not_negative("from", "V"),
        _positive("to", "V"),
        _positive("limit", "%"),
        _positive("limit", "V"),
    ),
    _table(
        "smallest_sizes.csv",
        "smallest size",
        Text("table", required=True, filled=True),
        Text("condition", words_allowed=("single", "sheathed", "short")),
        _positive("least area", "mm2"),
        _positive("longest", "m"),
    ),
    _table("defaults.csv", "default", Text("value"), Text("unit"), Text("applies to"), Text("set in"), Text("question")),
    _table(
        "typicals.csv",
        "typical",
        Text("what", required=True, filled=True),
        Text("subject"),
        Text("low"),
        Text("high"),
        Text("unit"),
        Text("unsafe end", words_allowed=("low", "high")),
        Text("question"),
    ),
    _table("cautions.csv", "caution", Text("text", required=True, filled=True), Text("when")),
    _table(
        "kinds.csv",
        "kind",
        _positive("order", required=True),
        Text("role", required=True, filled=True),
        Text("family", required=True, filled=True),
        YesNo("leads"),
        Text("quantity"),
        Text("unit"),
    ),
    _table(
        "checks.csv",
        "code",
        Text("name", required=True, filled=True),
        Text("role", required=True, filled=True),
        Text("when"),
        Text("actual", required=True, filled=True),
        Text("sense", required=True, filled=True, words_allowed=("at most", "at least")),
        Text("limit", required=True, filled=True),
        Text("unit"),
        Text("severity", words_allowed=("must", "should")),
        Text("spare", words_allowed=("yes", "no", "K")),
        _not_negative("avoid within"),
        Text("text"),
    ),
    _table(
        "preference.csv",
        "preference",
        Text("family", required=True, filled=True),
        _positive("step", required=True),
        Text("column", required=True, filled=True),
        Text("direction", words_allowed=("ascending", "descending", "words in order")),
        Text("words in order"),
        Text("when"),
    ),
)
DECLARED = {table.file: table for table in TABLES}
REPEATED_KEYS = frozenset({"kinds.csv"})
"""Tables whose first column names a group of rows rather than one."""
