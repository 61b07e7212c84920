"""The files of a project: which columns each may have, and which of them this version does not use yet."""

from selector.catalogue.reading import Number, Text, YesNo

YES_NO_ZONE = ("enclosed", "engine space", "wet", "oil", "fuel vapour", "sun", "vibrates", "within reach")
ROLES = (
    "protection", "conductor", "insulation", "lug from", "lug to", "sleeve from", "sleeve to", "splice", "sleeve",
    "rectifier", "heatsink", "suppressor", "diode", "shunt", "busbar", "stud set",
)  # fmt: skip


PURPOSES = ("field", "ignition", "sense", "temperature", "signal")
"""What a control wire is for."""
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
    Text("purpose", words_allowed=PURPOSES),
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
    Number("coil inductance", "H", above=0),
    Number("coil resistance", "ohm", above=0),
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
    Number("load dump suppressed", "V", above=0),
    Number("field current", "A", above=0),
    Number("field inductance", "H", above=0),
    Number("field resistance", "ohm", above=0),
    Number("field supply", "V", above=0),
    YesNo("self-limiting"),
    Number("design voltage", "V", above=0),
    Number("cut-in speed", "rpm", above=0),
    Number("phases", above=0, whole=True),
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
    Number("quantity", least=0),
    Text("unit"),
    Number("length", "m", above=0),
    Text("condition"),
    Text("measured"),
    Text("note"),
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
BESIDE = ("phase lead", "joint", "suppressor", "freewheel")
"""Kinds that carry no direct current from node to node: they lie beside the network."""
WITHOUT_LEAD = ("joint", "rectifier", "suppressor", "freewheel", "shunt", "bus")
"""Kinds whose row is no length of wire."""
WITHOUT_DEVICE = (*BESIDE, "rectifier", "shunt", "bus")
"""Kinds that have no fuse or breaker of their own."""
NOT_USED_YET = {
    "zones.csv": ("within_reach",),
}  # fmt: skip
EXAMPLES = {
    "connections.csv": "one row a connection to be served: what connects to what, how much current, how far",
    "nodes.csv": "places of one polarity: terminals, buses, loads, grounds, with their stud",
    "supplies.csv": "what feeds the system: batteries, alternators, converters, panels",
    "systems.csv": "voltages of each system",
    "zones.csv": "what surrounds the wires in each part of the boat or building",
    "settings.csv": "choices and values for the whole project",
    "accepted.csv": "findings of the kind should that you live with, and why",
    "stock.csv": "what you have in boxes: selector shelf uses it",
}
