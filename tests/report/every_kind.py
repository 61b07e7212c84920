"""A 24 V workboat with a row of every kind, each in a zone of its own, and the same project with one column changed."""

import copy

BASE = {
    "systems.csv": [{"system": "24 V", "nominal [V]": "24", "highest [V]": "29.2", "lowest [V]": "22"}],
    "settings.csv": [{"setting": "rule set", "value": "us-small-craft"}],
    "supplies.csv": [
        {"node": "alternator", "type": "alternator", "rated current [A]": "100", "poles": "12", "winding": "star",
         "phases": "3", "speed range [rpm]": "2000..7000", "short-circuit current [A]": "200..300",
         "load dump [V]": "151", "load dump resistance [ohm]": "1.5", "load dump time [ms]": "100",
         "field current [A]": "4", "field resistance [ohm]": "3.7", "field inductance [H]": "0.2",
         "field supply [V]": "14.4", "design voltage [V]": "12"},
        {"node": "small alternator", "type": "alternator", "rated current [A]": "40", "self-limiting": "yes",
         "short-circuit current [A]": "80..120", "load dump [V]": "151", "load dump resistance [ohm]": "4",
         "load dump time [ms]": "100", "field resistance [ohm]": "14", "field inductance [H]": "0.3"},
        {"node": "old alternator", "type": "alternator", "rated current [A]": "30", "self-limiting": "yes",
         "short-circuit current [A]": "60..90", "load dump [V]": "151", "load dump resistance [ohm]": "5",
         "load dump time [ms]": "100", "field current [A]": "2", "field inductance [H]": "0.3"},
        {"node": "bank", "type": "battery", "chemistry": "agm", "capacity [Ah]": "200",
         "short-circuit current [A]": "2000..3000"},
    ],
    "nodes.csv": [
        {"node": "alternator", "role": "supply", "stud": "M8", "hottest [degC]": "110"},
        {"node": "small alternator", "role": "supply", "stud": "M6", "hottest [degC]": "90"},
        {"node": "old alternator", "role": "supply", "stud": "M6", "hottest [degC]": "85"},
        {"node": "bridge", "role": "device", "stud": "M8", "hottest [degC]": "80"},
        {"node": "charge post", "role": "bus", "stud": "M8", "hottest [degC]": "55"},
        {"node": "bank", "role": "supply", "stud": "M8"},
        {"node": "bank negative", "role": "ground", "stud": "M8"},
        {"node": "negative post", "role": "ground", "stud": "M8"},
        {"node": "main bus", "role": "bus", "stud": "M8"},
        {"node": "regulator", "role": "device", "stud": "M5", "withstand [V]": "70"},
        {"node": "winch", "role": "load", "stud": "M8", "withstand [V]": "80"},
        {"node": "tap", "role": "device", "stud": "none"},
        {"node": "lamps", "role": "load", "stud": "M5", "withstand [V]": "75"},
        {"node": "field", "role": "load", "stud": "M5"},
        {"node": "relay", "role": "device", "stud": "M5", "coil inductance [H]": "0.5", "coil resistance [ohm]": "100"},
        {"node": "valve", "role": "device", "stud": "M5", "coil inductance [H]": "0.8"},
    ],
    "connections.csv": [
        {"connection": "leads", "kind": "phase lead", "from": "alternator", "to": "bridge", "length [m]": "0.8"},
        {"connection": "joint U", "kind": "joint", "from": "alternator", "joins": "4 x 16 AWG stranded > 10 AWG"},
        {"connection": "rectifier", "kind": "rectifier", "from": "alternator", "to": "charge post"},
        {"connection": "out", "kind": "cable", "from": "charge post", "to": "bank", "length [m]": "2"},
        {"connection": "guard", "kind": "suppressor", "from": "charge post", "to": "bank negative", "length [m]": "0.1"},
        {"connection": "second guard", "kind": "suppressor", "from": "regulator", "to": "bank negative",
         "length [m]": "0.2"},
        {"connection": "feed", "kind": "cable", "from": "bank", "to": "main bus", "length [m]": "1.5"},
        {"connection": "winch", "kind": "cable", "from": "main bus", "to": "winch", "length [m]": "6",
         "current [A]": "60", "peak current [A]": "150", "peak time [s]": "8"},
        {"connection": "lamp feed", "kind": "cable", "from": "main bus", "to": "tap", "length [m]": "3",
         "current [A]": "5", "grouped with": "3"},
        {"connection": "lamp tails", "kind": "cable", "from": "tap", "to": "lamps", "length [m]": "1",
         "current [A]": "5", "protected by": "lamp feed"},
        {"connection": "tap joint", "kind": "joint", "from": "tap", "joins": "12 AWG > 12 AWG"},
        {"connection": "sense", "kind": "control wire", "from": "bank", "to": "regulator", "purpose": "sense",
         "length [m]": "3"},
        {"connection": "field lead", "kind": "control wire", "from": "regulator", "to": "field", "purpose": "field",
         "length [m]": "2"},
        {"connection": "relay diode", "kind": "freewheel", "from": "relay", "to": "bank negative"},
        {"connection": "valve diode", "kind": "freewheel", "from": "valve", "to": "bank negative",
         "current [A]": "0.8"},
        {"connection": "field diode", "kind": "freewheel", "from": "alternator", "to": "bank negative"},
        {"connection": "small out", "kind": "cable", "from": "small alternator", "to": "bank", "length [m]": "2"},
        {"connection": "old out", "kind": "cable", "from": "old alternator", "to": "bank", "length [m]": "2"},
        {"connection": "small field", "kind": "control wire", "from": "regulator", "to": "small alternator",
         "purpose": "field", "length [m]": "2"},
        {"connection": "small diode", "kind": "freewheel", "from": "small alternator", "to": "bank negative"},
        {"connection": "old diode", "kind": "freewheel", "from": "old alternator", "to": "bank negative"},
        {"connection": "often diode", "kind": "freewheel", "from": "relay", "to": "bank negative", "on time [s]": "0.2",
         "off time [s]": "0.3"},
        {"connection": "shunt", "kind": "shunt", "from": "bank negative", "to": "negative post"},
        {"connection": "bar", "kind": "bus", "from": "main bus"},
    ],
}  # fmt: skip
ZONE = {"ambient [degC]": "40", "air speed [m/s]": "1", "altitude [m]": "0"}


def base():
    """The files, every row in a zone of its own."""
    files = copy.deepcopy(BASE)
    for row in files["connections.csv"]:
        row["zone"] = f"zone of {row['connection']}"
        row["system"] = "24 V"
    for row in files["nodes.csv"]:
        row["system"] = "24 V"
    files["zones.csv"] = [{"zone": row["zone"], **ZONE} for row in files["connections.csv"]]
    return files


def with_parts_of(files, outcome):
    """The same project with every part of the outcome written in, so that the program judges the same parts."""
    rows = {row["connection"]: row for row in files["connections.csv"]}
    for one in outcome.chosen:
        row = rows[outcome.places.names[one.place]]
        for role in one.kind.roles:
            want = outcome.wanted[one.place][role.role]
            index = one.pick(role.role)
            if not want.inherited:
                own = outcome.candidates[role.family]
                word = "none" if not want.present or index < 0 else own.keys[index]
                if own.plain_keys and word != "none":  # a key alone means any number of pieces
                    word = f"{own.pieces(index)} x {own.plain_key(index)}"
                row[role.role] = word
    return files


# -- one column changed, in every row that has it ------------------------------------------------------------------------

OF_ZONE = {"ambient_k": "ambient [degC]", "air_speed_m_per_s": "air speed [m/s]", "altitude_m": "altitude [m]"}
OF_NODE = {("hottest_k", "from"): "hottest [degC]", ("hottest_k", "to"): "hottest [degC]",
           ("terminal_limit_k", "from"): "terminal limit [degC]", ("terminal_limit_k", "to"): "terminal limit [degC]",
           "weakest_withstand_v": "withstand [V]"}  # fmt: skip
OF_SUPPLY = {"short_circuit_a": "short-circuit current [A]", "least_short_circuit_a": "short-circuit current [A]",
             "dump_peak_v": "load dump [V]", "dump_resistance_ohm": "load dump resistance [ohm]",
             "dump_time_s": "load dump time [ms]"}  # fmt: skip
OF_ROW = {"current_a": "current [A]", "peak_current_a": "peak current [A]", "peak_time_s": "peak time [s]",
          "length_m": "length [m]", "grouped_with": "grouped with", "drop_limit_v": "drop limit [V]"}  # fmt: skip
COIL = {"coil_inductance_h": ("coil inductance [H]", "field inductance [H]"),
        "coil_resistance_ohm": ("coil resistance [ohm]", "field resistance [ohm]")}  # fmt: skip
HOTTEST = (("hottest_k", "from"), ("hottest_k", "to"))
LIMITS = (("terminal_limit_k", "from"), ("terminal_limit_k", "to"))
SHORT = ("short_circuit_a", "least_short_circuit_a")
GROUPS = (
    (("current_a",), ("altitude_m",), ("drop_limit_v",)),
    (("peak_current_a",), ("length_m",), ("ambient_k",), ("coil_inductance_h",)),
    (("peak_time_s",), ("grouped_with",), ("air_speed_m_per_s",), ("coil_resistance_ohm",)),
    (HOTTEST, ("highest_v",), ("dump_time_s",)),
    (LIMITS, SHORT, ("weakest_withstand_v",), ("dump_peak_v",), ("dump_resistance_ohm",)),
)
"""Columns changed in one go; within each what one cell of the files moves: both ends of a node, both ends of a range."""
NOT_ON_ITS_ROW = {"coil_resistance_ohm": {"field lead", "small field"}}
"""What a change of the files moves in rows that do not show the column: a field's resistance, in the lead to it."""


def changed(files, outcome, columns, up):
    """The files with these columns changed in every row; ``up`` for the rows that rise, the others fall by turns."""
    files, first = copy.deepcopy(files), columns[0]
    places = outcome.places
    number = {name: i for i, name in enumerate(places.names)}

    def scaled(text, rises, high, low):
        return "..".join(f"{float(end) * (high if rises else low):.6g}" for end in text.split(".."))

    if first in OF_ROW:
        head = OF_ROW[first]
        for i, row in enumerate(files["connections.csv"]):
            if places.columns["has_peak"][number[row["connection"]]] == 1:  # or it would be passed on from other rows
                for name in ("current_a", "peak_current_a", "peak_time_s"):
                    row.setdefault(OF_ROW[name], repr(float(places.columns[name][number[row["connection"]]])))
            value, rises = float(places.columns[first][number[row["connection"]]]), (i % 2 == 0) == up
            if first == "grouped_with":
                if row["kind"] in ("cable", "control wire", "phase lead"):
                    row[head] = f"{value + 2 if rises else max(value - 1, 0):g}"
            elif value == value:
                written = repr(value * ((1.15 if rises else 0.85) if first != "length_m" else (1.4 if rises else 0.6)))
                if first == "drop_limit_v" and places.columns["has_load_limit"][number[row["connection"]]] == 1:
                    load = next(node for node in files["nodes.csv"] if node["node"] == row["to"])
                    load["drop limit [V]"] = written  # of the whole way; in the row it would be the piece's alone
                else:
                    row[head] = written
            elif first == "drop_limit_v" and row["kind"] == "phase lead":
                row[head] = "0.05" if rises else "0.5"
    elif first in OF_ZONE:
        steps = {"ambient_k": (12, -15), "air_speed_m_per_s": (3, -1), "altitude_m": (1500, 300)}[first]
        for i, row in enumerate(files["zones.csv"]):
            row[OF_ZONE[first]] = f"{float(row[OF_ZONE[first]]) + steps[0 if (i % 2 == 0) == up else 1]:g}"
    elif first in OF_NODE or columns[-1] in OF_NODE:
        head = OF_NODE[first]
        for i, row in enumerate(files["nodes.csv"]):
            rises = (i % 2 == 0) == up
            usual = {"hottest [degC]": 60, "terminal limit [degC]": 85, "withstand [V]": None}[head]
            base = row.get(head) or usual
            if base is not None:
                row[head] = scaled(str(base), rises, 1.25, 0.8)
    elif first in OF_SUPPLY:
        for row in files["supplies.csv"]:
            if row.get(OF_SUPPLY[first]) and (first not in SHORT or row["type"] == "battery"):
                row[OF_SUPPLY[first]] = scaled(row[OF_SUPPLY[first]], up, 1.4, 0.7)
    elif first in COIL:
        for rows, head in ((files["nodes.csv"], COIL[first][0]), (files["supplies.csv"], COIL[first][1])):
            for row in rows:
                if row.get(head):
                    row[head] = scaled(row[head], up, 1.5, 0.4)
    elif first == "highest_v":
        files["systems.csv"][0]["highest [V]"] = "30.4" if up else "26.4"
    else:
        raise AssertionError(first)
    return files
