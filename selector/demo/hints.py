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
        "kind": ("what it is: cable or control wire; the other kinds are to come", "cable"),
        "from": ("the node where it starts, on the supply's side", "main bus"),
        "to": ("the node where it ends", "windlass"),
        "system": ("a row of systems.csv; empty: the system of its nodes", "24 V house"),
        "zone": ("a row of zones.csv: what surrounds the wire; take the hottest it passes", "engine space"),
        "note": ("anything you want to remember", "behind the lining"),
        "current [A]": ("current for hours on end; empty: summed from what it feeds", "40"),
        "power [W]": ("in place of a current; worked out at the lowest voltage", "2000"),
        "efficiency [%]": ("of a load given as power", "90"),
        "peak current [A]": ("the most it takes for a short time", "110"),
        "peak time [s]": ("how long that lasts; above 60 s the peak counts as continuous", "15"),
        "on time [s]": ("how long it runs at a time" + LATER, "120"),
        "off time [s]": ("how long it rests between" + LATER, "600"),
        "cranking": ("yes for a lead that turns the engine's starter: it may go without a fuse", "no"),
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
        "joins": ("wires that meet in a joint" + LATER, "4 x 16 AWG > 1 x 10 AWG"),
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
        "splice": ("of a joint" + LATER, ""),
        "sleeve": ("of a joint" + LATER, ""),
        "rectifier": ("of a rectifier" + LATER, ""),
        "heatsink": ("of a rectifier" + LATER, ""),
        "suppressor": ("of a suppressor" + LATER, ""),
        "diode": ("of a freewheel diode" + LATER, ""),
        "shunt": ("of a shunt" + LATER, ""),
        "busbar": ("of a bus" + LATER, ""),
        "stud set": ("of a bus" + LATER, ""),
    },
    "nodes.csv": {
        "node": ("your name for a terminal or a bus, of one polarity; every name once", "main bus"),
        "system": ("a row of systems.csv", "24 V house"),
        "role": ("supply, bus, load, ground (any negative) or device", "bus"),
        "stud": ("its thread, a row of studs.csv; none: no lug wanted", "M8"),
        "hottest [degC]": ("the terminal in service; empty: as warm as the air around it", "95"),
        "terminal limit [degC]": ("what the terminal may reach, from its sheet", "75"),
        "withstand [V]": ("the highest voltage it stands" + LATER, "40"),
        "palm space [mm]": ("room for the lug's palm", "20"),
        "drop limit [%]": ("what this load may lose on the way from its supply and back", "3"),
        "drop limit [V]": ("the same in volts", "0.4"),
        "drop need": ("of a load: full voltage, or may dim", "may dim"),
        "load type": ("motor, or other; a motor's fuse gets more room", "motor"),
    },
    "supplies.csv": {
        "node": ("the node it stands at", "house bank"),
        "type": ("battery, alternator, converter or panel", "battery"),
        "chemistry": ("of a battery: agm, gel, flooded, flooded starter, lithium", "agm"),
        "capacity [Ah]": ("of one string", "220"),
        "in parallel": ("how many strings", "2"),
        "may disconnect": ("yes where a switch or its electronics may open while it is charged" + LATER, "no"),
        "rated current [A]": ("what an alternator, converter or panel gives for hours", "80"),
        "short-circuit current [A]": ("into a dead short, from its sheet; a range is welcome", "1400..1900"),
        "internal resistance [mohm]": ("of the whole bank at its posts; in place of the line above", "9..12"),
        "highest [V]": ("when charging", "29.2"),
        "winding": ("of an alternator: star, delta, six ends" + LATER, "star"),
        "source model": ("of an alternator: stiff, reactance-limited, or a ratio" + LATER, "stiff"),
        "poles": ("of an alternator" + LATER, "12"),
        "speed range [rpm]": ("of an alternator" + LATER, "1800..6000"),
        "load dump [V]": ("highest voltage when its line opens" + LATER, "101"),
        "load dump resistance [ohm]": ("behind that pulse" + LATER, "0.8"),
        "load dump time [ms]": ("length of that pulse" + LATER, "100"),
        "field current [A]": ("of an alternator" + LATER, "4"),
        "field inductance [H]": ("of an alternator" + LATER, "0.5"),
        "field resistance [ohm]": ("of an alternator" + LATER, "3"),
        "field supply [V]": ("of an alternator" + LATER, "14"),
        "self-limiting": ("yes for a machine that cannot give more than its rating", "yes"),
    },
    "systems.csv": {
        "system": ("your name for it", "24 V house"),
        "nominal [V]": ("what it is called; drop limits in % are of this", "24"),
        "highest [V]": ("when charging", "29.2"),
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
