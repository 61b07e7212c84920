"""The columns of a project's files in a builder's words, one line and one example each."""

COMMON = """# Filling in this project

Each file is a table: one row a line, the first line names the columns. Any spreadsheet opens them; save as CSV.

- Only `connections.csv` must have rows. Fill in what you know and leave the rest of a row empty.
- Empty means "not known". Where a usual value is taken instead, the result lists it and says where to set it.
- A number is in the unit of its column. A cell may carry its own unit: `12 ft`, `3/8 in`, `120 degF`.
- A range is written `55..70`. The pick must hold at both ends.
- Yes/no cells take yes or no.
- Names in `from`, `to`, `system` and `zone` are your own. Capital letters and outer spaces make no difference.
- Delete columns you do not need. Add your own; they are kept.
"""
LATER = " (read, not used yet)"

HINTS = {
    "connections.csv": {
        "connection": ("your name for this cable; every name once", "windlass feed"),
        "kind": (
            "what it is: cable, control wire, phase lead, joint, rectifier, suppressor, freewheel, shunt or bus",
            "cable",
        ),
        "from": ("the node where it starts, on the supply's side", "main bus"),
        "to": ("the node where it ends", "windlass"),
        "system": ("a row of systems.csv; empty: the system of its nodes", "24 V house"),
        "zone": ("a row of zones.csv: what surrounds the wire; take the hottest it passes", "engine space"),
        "note": ("anything you want to remember", "behind the lining"),
        "current [A]": (
            "current for hours on end; empty: summed from what it feeds; between grounds: the rating of the largest device",
            "40",
        ),
        "power [W]": ("in place of a current; worked out at the lowest voltage", "2000"),
        "efficiency [%]": ("of a load given as power", "90"),
        "peak current [A]": ("the most it takes for a short time", "110"),
        "peak time [s]": ("how long that lasts; above 60 s the peak counts as continuous", "15"),
        "on time [s]": ("of a freewheel diode: how long its coil is on at a time; else give the rms as current", "120"),
        "off time [s]": ("of a freewheel diode: how long its coil rests between", "600"),
        "cranking": ("yes for a lead that turns the engine's starter: it gets no fuse unless you name one", "no"),
        "length [m]": ("one way, along the run, with its bends", "12 ft"),
        "return": ("pair: both legs in this row; single: this leg only; chassis: back through metal", "pair"),
        "laid": ("apart, touching, clipped, in tube or under lining", "clipped"),
        "grouped with": ("how many other loaded wires touch it, its own return included; 0: runs apart", "3"),
        "drop limit [%]": ("for this piece alone, of the nominal voltage", "2"),
        "drop limit [V]": ("the same in volts", "0.05"),
        "protection at": ("the end where its fuse stands: from, to or both; empty: the end nearer a battery", "from"),
        "protected by": ("the connection whose fuse serves this one as well", "navigation feed"),
        "device distance [m]": ("wire between the source and the fuse", "0.15"),
        "sheathed": ("yes where the wire lies in a sheath or conduit", "no"),
        "joins": ("wires that meet in a joint", "4 x 16 AWG > 1 x 10 AWG"),
        "purpose": ("of a control wire: field, ignition, sense, temperature or signal", "sense"),
        "protection": (
            "your fuse or breaker, to be judged; none; or empty: choose one",
            "long-slot strip 80 A",
        ),
        "conductor": (
            "your wire: a key of wires.csv or words that name one",
            "8 AWG tinned silicone",
        ),
        "insulation": ("the insulation to take", "XLPE 125"),
        "lug from": ("your lug at the from end, none, or empty", "2 AWG tube lug M10"),
        "lug to": ("your lug at the to end, none, or empty", "none"),
        "sleeve from": ("your heat-shrink sleeve at the from end, none, or empty", "none"),
        "sleeve to": ("your heat-shrink sleeve at the to end, none, or empty", "none"),
        "splice": ("of a joint: your splice, none, or empty: choose one", "8 AWG butt splice"),
        "sleeve": ("of a joint: your sleeve; none: a splice with its own insulation; or empty", "none"),
        "rectifier": (
            "of a rectifier: yours, to be judged; or empty: choose one",
            "three-phase bridge of 6 stud 40 A 200 V",
        ),
        "heatsink": ("of a rectifier: your sink; or empty: choose one", "plate 400 cm2 x 3 mm on insulating feet"),
        "suppressor": ("of a suppressor: yours; 2 x before it: two in parallel", "2 x 6600 W load-dump 40 V"),
        "diode": ("of a freewheel row: yours, or empty: choose one", "axial 6 A standard 200 V"),
        "shunt": ("of a shunt row: yours, or empty: choose one", "200 A 75 mV shunt"),
        "busbar": ("of a bus row: your bar, or empty: choose one", "20 x 3 mm copper bar bare dc"),
        "stud set": ("of a bus row: the thread of its studs, or empty: that of its node", "M10"),
    },
    "nodes.csv": {
        "node": ("your name for a terminal or a bus, of one polarity; every name once", "main bus"),
        "system": ("a row of systems.csv", "24 V house"),
        "role": ("supply, bus, load, ground (any negative) or device", "bus"),
        "stud": ("its thread, a row of studs.csv; none: no lug wanted", "M8"),
        "hottest [degC]": (
            "the terminal in service; empty: as warm as its air, an alternator's or rectifier's at its usual",
            "95",
        ),
        "terminal limit [degC]": ("what the terminal may reach, from its sheet", "75"),
        "withstand [V]": (
            "the highest voltage the thing at this node stands, from its sheet; suppressors are chosen to stay below it",
            "40",
        ),
        "palm space [mm]": ("room for the lug's palm", "20"),
        "drop limit [%]": ("what this load may lose on the way from its supply and back", "3"),
        "drop limit [V]": ("the same in volts", "0.4"),
        "drop need": ("of a load: full voltage, or may dim", "may dim"),
        "load type": ("motor, or other; a motor's fuse gets more room", "motor"),
        "coil inductance [H]": ("of a relay, a valve or a field, for the diode across it", "0.5"),
        "coil resistance [ohm]": ("of a relay, a valve or a field", "60"),
    },
    "supplies.csv": {
        "node": ("the node it stands at", "house bank"),
        "type": ("battery, alternator, converter or panel", "battery"),
        "chemistry": ("of a battery: agm, gel, flooded, flooded starter, lithium", "agm"),
        "capacity [Ah]": ("of one string", "220"),
        "in parallel": ("how many strings", "2"),
        "may disconnect": (
            "yes where a switch or its electronics may open while it is charged; of an alternator: no where "
            "nothing opens its line without its regulator being told beforehand",
            "no",
        ),
        "rated current [A]": ("what an alternator, converter or panel gives for hours", "80"),
        "short-circuit current [A]": ("into a dead short, from its sheet; a range is welcome", "1400..1900"),
        "internal resistance [mohm]": ("of the whole bank at its posts; in place of the line above", "9..12"),
        "highest [V]": ("when charging, cold compensation and equalising included", "29.2"),
        "winding": ("of an alternator: star, delta or six ends (closed as you say in the note)", "star"),
        "source model": ("of an alternator: stiff, reactance-limited, or line rms over dc current", "stiff"),
        "poles": ("of an alternator, the claws of both halves", "12"),
        "speed range [rpm]": ("of an alternator, idling to full throttle", "1800..6000"),
        "load dump [V]": (
            "highest voltage when its line opens, the voltage before it included, with nothing in the machine "
            "that holds it down",
            "101",
        ),
        "load dump resistance [ohm]": ("behind that pulse", "0.8"),
        "load dump time [ms]": ("length of that pulse, from a tenth to a tenth of its height", "100"),
        "load dump suppressed [V]": (
            "where the machine's own avalanche diodes hold the load dump down: the voltage at its "
            "output then, from its maker",
            "35",
        ),
        "field current [A]": ("of an alternator, at its design voltage", "4"),
        "field inductance [H]": ("of an alternator", "0.5"),
        "field resistance [ohm]": ("of an alternator", "3"),
        "field supply [V]": ("what the regulator feeds the field from", "14"),
        "cut-in speed [rpm]": ("at which an alternator begins to charge, at its design voltage", "1200"),
        "design voltage [V]": ("what an alternator was made for, where that is not what it charges", "12"),
        "phases": ("of an alternator: 3, or 1", "3"),
        "self-limiting": ("yes for a machine that cannot give more than its rating", "yes"),
    },
    "systems.csv": {
        "system": ("your name for it", "24 V house"),
        "nominal [V]": ("what it is called; drop limits in % are of this", "24"),
        "highest [V]": ("when charging, cold compensation and equalising included", "29.2"),
        "lowest [V]": ("in service; loads given as power are worked out here", "22"),
    },
    "zones.csv": {
        "zone": ("your name for a part of the boat or building", "engine space"),
        "ambient [degC]": ("the warmest air there", "55..70"),
        "coldest [degC]": ("the coldest a wire there is bent or moved", "-10"),
        "air speed [m/s]": ("a stream that is always there; 0: still", "0"),
        "altitude [m]": ("above the sea", "50"),
        "enclosed": ("yes for a closed box of still air", "no"),
        "engine space": ("yes near an engine", "yes"),
        "wet": ("yes where water reaches it", "no"),
        "oil": ("yes where oil reaches it", "yes"),
        "fuel vapour": ("yes where petrol or gas vapour may gather; diesel does not count", "no"),
        "sun": ("yes where the sun reaches it", "no"),
        "vibrates": ("no only where nothing moves", "yes"),
        "within reach": ("yes where a hand may touch it" + LATER, "no"),
    },
    "settings.csv": {
        "setting": (
            "rule set, spare [%], fuse classes, insulations, or a row of defaults.csv",
            "rule set",
        ),
        "value": ("its value, with its own unit if you like", "us-small-craft"),
    },
    "accepted.csv": {
        "connection": ("the connection whose finding you live with", "alternator output"),
        "code": ("the code of the finding; only findings of the kind should", "P13"),
        "reason": ("why, for whoever reads this in five years", "the fuse stands in the cool locker"),
    },
    "stock.csv": {
        "part": ("what it is: a key, or your words; see what selector shelf makes of them", "2 AWG tinned PVC 105"),
        "quantity": ("how many pieces; empty: one", "2"),
        "unit": ("piece; or m or ft, then the quantity is the length of one piece", "piece"),
        "length [m]": ("of each piece of a wire", "3.2"),
        "condition": ("new, used, aged or unknown", "used"),
        "measured": (
            "bench readings of a suppressor, zener or diode: they leave only the parts that can have shown them",
            "0 A at 20 V; 0.1 A at 27 V",
        ),
        "note": ("for yourself", "from the old windlass"),
    },
    "own_checks.csv": {
        "role": ("which part it judges", "conductor"),
        "actual": ("arithmetic on names that selector tables facts lists", "voltage drop"),
        "sense": ("at most, or at least", "at most"),
        "limit": ("a number with its unit, or arithmetic on names", "0.4 V"),
        "unit": ("the unit to show it in", "V"),
        "reason": ("why you ask for it", "the radio resets below 11.4 V"),
    },
}


def hints_text(files):
    """HINTS.md for these files: one line a column."""
    from selector.project.declarations import EXAMPLES, FILES

    lines = [COMMON]
    for file in files:
        what = EXAMPLES.get(file)
        lines += [f"## {file}", ""] + ([f"{what[0].upper()}{what[1:]}.", ""] if what else [])
        for column in FILES[file][0]:
            words, example = HINTS[file][column.title]
            lines.append(f"- `{column.title}`: {words}." + (f" Example: `{example}`" if example else ""))
        lines.append("")
    return "\n".join(lines)
