"""What the columns of part tables are called elsewhere, and which end of a range each of them keeps.

Trade words only, from common practice; no source. A column not listed here is matched by its own words alone.
"""

# ruff: noqa: E501 - rows of data read better whole

from selector.catalogue.datasheets_cells import FLOOR, GREATEST, LEAST, LIMIT, NOMINAL

SAID = {
    "area": "cross section; cross sectional area; csa; section; nominal area; conductor area; metal area; conductor cross section; nominal cross section; size",
    "diameter": "conductor diameter; metal diameter; dia; bare diameter; strand bundle diameter; copper diameter; diameter of conductor; conductor dia",
    "outer diameter": "od; o.d.; overall diameter; outside diameter; cable diameter; finished diameter; outer dia; diameter over insulation; outside dia; overall dia",
    "resistance at 20 degC": "resistance; dc resistance; conductor resistance; r20; r 20; resistance 20 c; resistance at 20 c; dc resistance at 20 c; conductor resistance at 20 c; linear resistance; electrical resistance; resistance 20 degc",
    "size": "awg; gauge; gage; awg size; wire size; conductor size; nominal size; wire gauge",
    "material": "metal; conductor material; conductor; alloy",
    "coating": "plating; tinning; surface; finish; strand coating",
    "strand class": "stranding; class; flexibility class; conductor class; construction",
    "temperature rating": "rated temperature; max operating temperature; maximum conductor temperature; operating temperature; temperature class; temp rating; rated temp; conductor temperature; service temperature; operating temp",
    "temperature limit": "rated temperature; operating temperature; maximum temperature; temp limit; temperature rating; service temperature; limit temperature",
    "short-circuit temperature": "short circuit temperature; temperature at short circuit; conductor temperature at short circuit",
    "conductivity": "thermal conductivity",
    "voltage rating": "rated voltage; voltage; working voltage; nominal voltage; voltage max; operating voltage; rated volts; dc voltage",
    "coldest flexing": "cold bend; lowest flexing temperature; cold bend temperature; flexing temperature",
    "coldest": "lowest temperature; lowest operating temperature",
    "style": "type; terminal type; form; terminal style; shape; lug type",
    "stud": "stud size; bolt size; screw size; for stud; for bolt; bolt; screw; stud hole for",
    "least area": "wire min; wire range min; area min; smallest wire; cross section min; from area; barrel min; min wire area; conductor min",
    "greatest area": "wire max; wire range max; area max; largest wire; cross section max; to area; barrel max; max wire area; conductor max",
    "bore": "barrel bore; inner diameter; barrel id; id; i.d.; inside diameter; barrel inside diameter; barrel inner diameter; inner dia; inside dia",
    "barrel diameter": "barrel od; barrel outside diameter; outer diameter; od; barrel outer diameter; barrel; outer dia; outside dia",
    "hole": "stud hole; bolt hole; hole diameter; palm hole; hole dia; hole size; eye; clearance hole",
    "palm width": "width; tongue width; palm; pad width; tongue; flag width",
    "plating": "finish; surface; coating; surface finish",
    "metal": "material; body material; barrel material",
    "strand classes": "for conductors; conductor classes; suitable strands; conductor class",
    "insulated": "insulation; with insulation; sleeved",
    "supplied bore": "expanded id; supplied id; before shrinking; id before; expanded inside diameter; inside diameter supplied; expanded; id supplied; as supplied; expanded bore; d supplied; inner diameter before shrinking",
    "recovered bore": "recovered id; after shrinking; id after; recovered inside diameter; recovered; shrunk id; inside diameter recovered; id recovered; shrunk bore; inner diameter after shrinking; fully recovered",
    "recovered wall": "wall; wall thickness; recovered wall thickness; wall after shrinking; wall recovered; thickness",
    "adhesive": "glue; adhesive lined; lined; hot melt",
    "ratio": "shrink ratio; shrinking ratio",
    "class": "type; series; fuse class; fuse type; group; grade; product line; family",
    "group": "form; body; mounting",
    "device": "kind; what",
    "rating": "rated current; current rating; amps; nominal current; amp rating; ampere rating; current; in; ir; fuse rating; amperage",
    "breaking capacity": "interrupting rating; interrupting capacity; short circuit rating; aic; breaking current; icn; icu; rated breaking capacity; interrupt rating; kaic; short circuit capacity",
    "cold resistance": "resistance; internal resistance; dc resistance; cold res; r cold; resistance cold; dcr",
    "melting I2t": "melting integral; pre-arcing i2t; prearcing i2t; nominal melting i2t; i2t melting; i2t; melt integral; minimum melting i2t",
    "clearing I2t": "total clearing i2t; operating i2t; clearing integral; total i2t; i2t clearing; let through i2t; i2t total",
    "ignition protected": "ignition protection; spark proof",
    "shortest": "opening time min; time min; blow time min; opening time shortest; shortest time",
    "longest": "opening time max; time max; blow time max; opening time longest; longest time",
    "multiple": "times rating; x rating; current multiple; percent of rating; load; multiple of rating; overload",
    "from rating": "rating from; rating min; ratings from",
    "to rating": "rating to; rating max; ratings to",
    "current": "rated current; nominal current; rating; amps; full scale current; amperage",
    "drop": "output; voltage drop; millivolts; rated output; output voltage; full scale output; nominal drop; mv",
    "continuous current": "continuous; current continuous; permanent current; continuous rating",
    "width": "bar width; w; breadth",
    "thickness": "bar thickness; t; height",
    "ampacity": "current carrying capacity; continuous current; current rating; rated current; carrying capacity; current; amps",
    "circuit": "configuration; topology; connection",
    "avalanche": "avalanche type; controlled avalanche",
    "average current": "average forward current; if av; ifav; i f av; forward current; output current; dc current; dc output current; average rectified current; average output current",
    "reverse voltage": "vrrm; repetitive peak reverse voltage; peak reverse voltage; piv; reverse voltage repetitive; blocking voltage",
    "least breakdown": "vbr min; breakdown voltage min; vz min; breakdown min; v br min; zener voltage min; avalanche voltage min",
    "greatest breakdown": "vbr max; breakdown voltage max; vz max; breakdown max; v br max; zener voltage max; avalanche voltage max",
    "surge current": "ifsm; surge forward current; non-repetitive surge current; peak surge current; peak forward surge current",
    "threshold": "threshold voltage; vto; vt0; v t0; v to; knee voltage",
    "slope": "slope resistance; rt; differential resistance; dynamic resistance; r t; forward slope resistance",
    "junction to case": "rth jc; rthjc; thermal resistance junction to case; rjc; r th jc; thermal resistance junction case",
    "case to sink": "rth cs; rthcs; thermal resistance case to sink; rcs; r th cs; rth ch; thermal resistance case sink",
    "greatest junction": "tj max; tjmax; junction temperature; maximum junction temperature; tvj max; t j max; junction temperature max; operating junction temperature; tj",
    "stand-off": "standoff; vrwm; working peak voltage; stand-off voltage; standoff voltage; working voltage; reverse stand-off voltage; v rwm; vwm; reverse standoff voltage; working peak reverse voltage",
    "polarity": "direction; uni or bidirectional; uni bi",
    "test current": "it; i t; test current it; at it",
    "clamping": "vc; clamping voltage; v c; max clamping voltage; clamp voltage; vc at ipp; clamping voltage at ipp; clamping voltage vc",
    "peak current": "ipp; peak pulse current; i pp; pulse current; max peak pulse current; peak pulse current ipp",
    "pulse power": "ppp; peak pulse power; pppm; p pp; pulse power dissipation; peak pulse power dissipation; peak power; ppk",
    "steady power": "steady state power; power dissipation; pm av; p m av; steady state power dissipation; continuous power; average power; pd",
    "sink to air": "rth sa; rthsa; thermal resistance; rth ha; sink to ambient; r th sa; thermal resistance sink to air",
    "air speed": "air velocity; velocity; air flow speed; wind speed",
    "power": "pulse power; peak power; peak pulse power",
    "thread diameter": "thread; major diameter; nominal diameter; thread size; d",
    "fine hole": "close fit; fine; h12; close",
    "medium hole": "medium fit; medium; normal; h13; normal fit",
    "coarse hole": "coarse fit; coarse; loose; h14; loose fit; free fit",
    "least torque": "torque min; min torque; tightening torque min",
    "greatest torque": "torque max; max torque; tightening torque max",
    "source": "reference; source key",
    "status": "data status",
    "insulation": "insulation type; jacket; insulation material; insulation class",
    "conductor": "conductor type; core",
    "recovery": "recovery type; recovery class",
    "density": "mass density; specific gravity",
    "heat capacity": "specific heat; specific heat capacity",
    "emissivity": "emittance",
    "method": "type; connection; form; splice type",
}  # fmt: skip
"""Words of a column -> other words for it."""

KEY_WORDS = (
    "part number; part no; part; p/n; pn; item; item no; order code; order no; designation; name; model; type; reference; "
    "catalogue number; cat no; article; article no; description; product; type designation; code; ref"
)
"""What the column that names a row is called."""

ROLES = {
    GREATEST: (
        "resistance at 20 degC; cold resistance; clearing I2t; clamping; greatest breakdown; threshold; slope; "
        "junction to case; case to sink; sink to air; recovered bore; longest; barrel diameter; palm width"
    ),
    LEAST: "melting I2t; least breakdown; supplied bore; shortest; bore; recovered wall; conductivity",
    LIMIT: (
        "rating; voltage rating; ampacity; temperature rating; temperature limit; short-circuit temperature; "
        "greatest junction; average current; surge current; peak current; pulse power; steady power; breaking capacity; "
        "stand-off; reverse voltage; continuous current; greatest area; power; greatest torque; to rating"
    ),
    FLOOR: "least area; coldest; coldest flexing; from rating; least torque",
}
"""Role of a column's figure; all others are nominal."""

ROLE_OF = {words: role for role, listed in ROLES.items() for words in listed.split("; ")}

PAIRS = {
    ("least area", "greatest area"): "area; wire range; area range; wire; conductor range; wire size range; cross section; cross section range; conductor cross section; barrel range; for wire; wire area; conductor area; conductor; wire size; conductor size; cable size; for wire size; for cable",
    ("least breakdown", "greatest breakdown"): "breakdown; breakdown voltage; vbr; v br; zener voltage; breakdown range; breakdown window; avalanche voltage",
    ("shortest", "longest"): "opening time; time; blow time; clearing time",
    ("from rating", "to rating"): "ratings; rating range",
    ("least torque", "greatest torque"): "torque; tightening torque; recommended torque",
}  # fmt: skip
"""Two columns a single column of ranges fills -> what that is called."""

SINGLE_SIZE = ("wire size", "conductor size", "cable size", "for wire size", "for wire", "for cable", "wire", "conductor",
               "cross section", "wire area", "conductor cross section", "conductor area")  # fmt: skip
"""Heads of a column with one wire size a row: the barrel is for that size, so it is the least and the greatest."""

NEEDED = {
    "lugs.csv": ("least area", "greatest area", "bore", "hole", "metal", "strand classes", "temperature limit"),
    "splices.csv": ("least area", "greatest area", "metal", "strand classes", "temperature limit"),
    "sleeves.csv": ("recovered bore", "temperature rating"),
    "fuses.csv": ("voltage rating", "breaking capacity"),
    "wires.csv": ("outer diameter",),
    "suppressors.csv": (
        "least breakdown",
        "greatest breakdown",
        "clamping",
        "peak current",
        "steady power",
        "greatest junction",
    ),
}
"""Columns without which a part is never picked: a must of checks.csv reads them, and unknown is never a pass."""

IDENTITY = {
    "conductors.csv": ("size", "strand class", "coating", "material"),
    "wires.csv": ("conductor", "insulation"),
    "lugs.csv": ("style", "size", "stud", "plating", "bore", "insulated", "metal"),
    "splices.csv": ("method", "least area", "greatest area", "plating", "insulated", "metal"),
    "sleeves.csv": ("class", "ratio", "supplied bore", "adhesive"),
    "fuses.csv": ("class", "rating", "voltage rating"),
    "fuse_curves.csv": ("class", "from rating", "to rating", "multiple"),
    "fuse_ambients.csv": ("class", "ambient"),
    "shunts.csv": ("current", "drop"),
    "busbars.csv": ("width", "thickness", "material", "bars", "surface", "supply"),
    "rectifiers.csv": (
        "circuit",
        "build",
        "average current",
        "reverse voltage",
        "least breakdown",
        "rating point",
        "base",
    ),
    "diodes.csv": ("type", "average current", "reverse voltage", "least breakdown", "recovery", "base"),
    "suppressors.csv": ("class", "package", "stand-off", "polarity"),
    "heatsinks.csv": ("form", "base", "length", "width", "height", "air speed"),
    "suppressor_curves.csv": ("class", "width"),
    "ampacities.csv": ("table", "size", "area", "rating", "material"),
    "stud_torques.csv": ("stud", "joint", "kind"),
    "pulses.csv": ("test", "system"),
    "pull_forces.csv": ("requirement", "joint", "size"),
}
"""Columns that together say which part a row is, for rows without a name of their own and for doubles."""


def role_of(words):
    """What a column's figure is of the part."""
    return ROLE_OF.get(words, NOMINAL)


def said(words):
    """Other words for a column."""
    return [one.strip() for one in SAID.get(words, "").split(";") if one.strip()]
