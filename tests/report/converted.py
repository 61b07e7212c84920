"""A 12 V class alternator of a 12 m river workboat charging a 24 V bank through a bridge of its own."""

import csv

SUPPLIES = {
    "alternator": {
        "type": "alternator", "rated current [A]": "100", "poles": "12", "speed range [rpm]": "2400..7200",
        "cut-in speed [rpm]": "1200", "design voltage [V]": "12", "field current [A]": "4.6",
        "field resistance [ohm]": "3.2", "field supply [V]": "14.6", "load dump [V]": "151",
        "load dump time [ms]": "100",
    },
    "bank": {"type": "battery", "chemistry": "agm", "capacity [Ah]": "200", "short-circuit current [A]": "2000..3000"},
}  # fmt: skip
CONNECTIONS = {
    "leads": {"kind": "phase lead", "from": "alternator", "to": "bridge", "length [m]": "0.8"},
    "bridge": {"kind": "rectifier", "from": "alternator", "to": "charge post"},
    "out": {"kind": "cable", "from": "charge post", "to": "bank", "length [m]": "2"},
    "guard": {"kind": "suppressor", "from": "charge post", "to": "bank negative", "length [m]": "0.2"},
    "pump": {"kind": "cable", "from": "bank", "to": "pump", "current [A]": "8", "length [m]": "3"},
}
NODES = {
    "alternator": {"role": "supply", "stud": "M6", "hottest [degC]": "110"},
    "bridge": {"role": "device", "stud": "M6", "hottest [degC]": "80"},
    "charge post": {"role": "bus", "stud": "M8"},
    "bank": {"role": "supply", "stud": "M8"},
    "bank negative": {"role": "ground", "stud": "M8"},
    "pump": {"role": "load", "stud": "M5", "withstand [V]": "60"},
}


def write(folder, supplies=None, connections=None, nodes=None, left_out=()):
    """Write the project; the dictionaries change single cells of single rows, ``left_out`` names rows to drop."""
    folder.mkdir(parents=True, exist_ok=True)
    for key, rows, changes in (
        ("node", SUPPLIES, supplies), ("connection", CONNECTIONS, connections), ("node", NODES, nodes),
    ):  # fmt: skip
        merged = {name: {**row, **(changes or {}).get(name, {})} for name, row in rows.items() if name not in left_out}
        merged |= {name: row for name, row in (changes or {}).items() if name not in rows}
        name = {id(SUPPLIES): "supplies.csv", id(CONNECTIONS): "connections.csv", id(NODES): "nodes.csv"}[id(rows)]
        extra = {} if rows is SUPPLIES else {"system": "24 V"} if rows is NODES else {"system": "24 V", "zone": "duct"}
        _write(folder / name, [{key: own, **extra, **row} for own, row in merged.items()])
    _write(folder / "systems.csv", [{"system": "24 V", "nominal [V]": "24", "highest [V]": "29.2", "lowest [V]": "22"}])
    zone = {"zone": "duct", "ambient [degC]": "45", "air speed [m/s]": "5", "engine space": "yes"}
    _write(folder / "zones.csv", [zone])
    return folder


def _write(path, rows):
    heads = list(dict.fromkeys(head for row in rows for head in row))
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, heads)
        writer.writeheader()
        writer.writerows(rows)
