"""The files of a project: which columns each may have, and which of them this version does not use yet."""

from selector.catalogue.reading import Number, Text, YesNo

YES_NO_ZONE = ("enclosed", "engine space", "wet", "oil", "fuel vapour", "sun", "vibrates", "within reach")
ROLES = (
    "protection", "conductor", "insulation", "lug from", "lug to", "sleeve from", "sleeve to", "splice", "sleeve",
    "rectifier", "heatsink", "suppressor", "diode", "shunt", "busbar", "stud set",
)  # fmt: skip


HIGHEST_ALTITUDE = 11_000
"""Top of the layer whose pressure is worked out [m]."""


def _range(words, unit=None, above=None, least=0, most=None, whole=False):
    least = None if above is not None else least
    return Number(words, unit, above=above, least=least, most=most, ranges=True, whole=whole)


CONNECTIONS = (
    Text("connection", required=True, filled=True),
    Text("kind", required=True, filled=True),
    Text("from"),
    Text("to"),
    Text("system"),
    Text("zone"),
    Text("note"),
    _range("current", "A"),
    _range("power", "W"),
    Number("efficiency", "%", above=0, most=100),
    _range("peak current", "A"),
    _range("peak time", "s"),
    _range("on time", "s"),
    _range("off time", "s"),
    YesNo("cranking"),
    _range("length", "m"),
    Text("return", words_allowed=("pair", "single", "chassis")),
    Text("laid", words_allowed=("apart", "touching", "clipped", "in tube", "under lining")),
    _range("grouped with", whole=True),
    Number("drop limit", "%", above=0),
    Number("drop limit", "V", above=0),
    Text("protection at", words_allowed=("from", "to", "both")),
    Text("protected by"),
    Number("device distance", "m", least=0),
    YesNo("sheathed"),
    Text("joins"),
    *(Text(role) for role in ROLES),
)
NODES = (
    Text("node", required=True, filled=True),
    Text("system"),
    Text("role", words_allowed=("supply", "bus", "load", "ground", "device")),
    Text("stud"),
    _range("hottest", "degC", least=-273.15),
    Number("terminal limit", "degC", least=-273.15),
    Number("withstand", "V", above=0),
    Number("palm space", "mm", above=0),
    Number("drop limit", "%", above=0),
    Number("drop limit", "V", above=0),
    Text("drop need", words_allowed=("full voltage", "may dim")),
    Text("load type", words_allowed=("motor", "other")),
)
SUPPLIES = (
    Text("node", required=True, filled=True),
    Text("type", words_allowed=("battery", "alternator", "converter", "panel")),
    Text("chemistry"),
    Number("capacity", "Ah", above=0),
    Number("in parallel", above=0, whole=True),
    YesNo("may disconnect"),
    Number("rated current", "A", above=0),
    _range("short-circuit current", "A", above=0),
    _range("internal resistance", "mohm", above=0),
    Number("highest", "V", above=0),
    Text("winding", words_allowed=("star", "delta", "six ends")),
    Text("source model"),
    Number("poles", above=0, whole=True),
    _range("speed range", "rpm", above=0),
    Number("load dump", "V", above=0),
    Number("load dump resistance", "ohm", above=0),
    Number("load dump time", "ms", above=0),
    Number("field current", "A", above=0),
    Number("field inductance", "H", above=0),
    Number("field resistance", "ohm", above=0),
    Number("field supply", "V", above=0),
    YesNo("self-limiting"),
)
SYSTEMS = (
    Text("system", required=True, filled=True),
    Number("nominal", "V", above=0),
    Number("highest", "V", above=0),
    Number("lowest", "V", above=0),
)
ZONES = (
    Text("zone", required=True, filled=True),
    _range("ambient", "degC", least=-273.15),
    _range("coldest", "degC", least=-273.15),
    _range("air speed", "m/s"),
    _range("altitude", "m", least=-500, most=HIGHEST_ALTITUDE),
    *(YesNo(words) for words in YES_NO_ZONE),
)
SETTINGS = (Text("setting", required=True, filled=True), Text("value"))
ACCEPTED = (Text("connection", required=True, filled=True), Text("code", required=True, filled=True), Text("reason"))
STOCK = (
    Text("part", required=True, filled=True),
    Text("quantity"),
    Text("unit"),
    Text("length"),
    Text("condition"),
    Text("measured"),
)
OWN_CHECKS = (
    Text("role", required=True, filled=True),
    Text("actual", required=True, filled=True),
    Text("sense", required=True, filled=True, words_allowed=("at most", "at least")),
    Text("limit", required=True, filled=True),
    Text("unit"),
    Text("reason"),
)

FILES = {
    "connections.csv": (CONNECTIONS, "connection"),
    "nodes.csv": (NODES, "node"),
    "supplies.csv": (SUPPLIES, "node"),
    "systems.csv": (SYSTEMS, "system"),
    "zones.csv": (ZONES, "zone"),
    "settings.csv": (SETTINGS, "setting"),
    "accepted.csv": (ACCEPTED, None),
    "stock.csv": (STOCK, None),
    "own_checks.csv": (OWN_CHECKS, None),
}
KINDS_TO_COME = ("phase lead", "joint", "rectifier", "suppressor", "freewheel", "shunt", "bus")
"""Kinds that are read and checked for form, and named as not used yet."""
NOT_USED_YET = {
    "connections.csv": (
        "on_time_s", "off_time_s", "joins", "splice", "sleeve", "rectifier", "heatsink", "suppressor", "diode",
        "shunt", "busbar", "stud_set",
    ),
    "nodes.csv": ("withstand_v",),
    "supplies.csv": (
        "may_disconnect", "winding", "source_model", "poles", "speed_range_rpm", "load_dump_v",
        "load_dump_resistance_ohm", "load_dump_time_s", "field_current_a", "field_inductance_h",
        "field_resistance_ohm", "field_supply_v",
    ),
    "zones.csv": ("within_reach",),
}  # fmt: skip
FILES_NOT_USED_YET = ("stock.csv",)
EXAMPLES = {
    "connections.csv": "one row a connection to be served: what connects to what, how much current, how far",
    "nodes.csv": "places of one polarity: terminals, buses, loads, grounds, with their stud",
    "supplies.csv": "what feeds the system: batteries, alternators, converters, panels",
    "systems.csv": "voltages of each system",
    "zones.csv": "what surrounds the wires in each part of the boat or building",
    "settings.csv": "choices and values for the whole project",
    "accepted.csv": "findings of the kind should that you live with, and why",
}
