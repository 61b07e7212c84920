"""What every name shown to a reader is called, in which unit it stands, and what it means.

Names are those of facts and columns; steps are the intermediates of a formula, which have helper columns of their own.
"""

from typing import NamedTuple

from selector.units import SUFFIX, UNITS


class Entry(NamedTuple):
    label: str
    unit: str
    sentence: str


YES = "1 = yes"
"""Shown as the unit of a yes or no that a formula counts with."""

NAMES = {
    name: Entry(label, unit, sentence)
    for name, label, unit, sentence in (
        # what a place sees
        ("current_a", "Current", "A", "Continuous current in service."),
        ("peak_current_a", "Peak current", "A", "Highest current for a short time."),
        ("peak_time_s", "Peak time", "s", "How long the peak lasts."),
        ("length_m", "Length, one way", "m", "Length of the run, one way."),
        ("grouped_with", "Grouped with", "conductors", "Other loaded conductors that touch this one."),
        ("ambient_k", "Ambient", "K", "Warmest air around the connection."),
        ("coldest_k", "Coldest air", "K", "Coldest air around the connection."),
        ("air_speed_m_per_s", "Air speed", "m/s", "Air stream across the wire; 0 is still air."),
        ("altitude_m", "Altitude", "m", "Height above the sea."),
        ("hottest_k", "Hottest terminal", "K", "Terminal in service at its warmest; empty: as warm as the air."),
        ("terminal_limit_k", "Terminal limit", "K", "Highest temperature of the wire at the terminal."),
        ("short_circuit_a", "Short-circuit current", "A", "What the supply feeds into a dead short, at most."),
        ("least_short_circuit_a", "Least short-circuit current", "A", "What the supply feeds into a short, at least."),
        ("low_fault_a", "Lowest fault to clear", "A", "Low end of the supply's range, unless the wire carries it."),
        ("protection_longest_at_highest_s", "Opens on the highest fault within", "s", "Longest opening time there."),
        ("drop_limit_v", "Drop limit", "V", "Most volts that may be lost on the way."),
        ("peak_drop_limit_v", "Drop limit at the peak", "V", "Most volts that may be lost during the peak."),
        ("highest_v", "Highest voltage", "V", "Highest voltage of the system."),
        ("lowest_v", "Lowest voltage", "V", "Lowest voltage of the system in service."),
        ("nominal_v", "Nominal voltage", "V", "Voltage the system is named for."),
        ("has_peak", "Peak stated", YES, "Whether a peak current is stated."),
        ("has_short_peak", "Short peak", YES, "Whether the peak is too short to count as continuous."),
        ("has_drop_limit", "Drop limit stated", YES, "Whether a limit of voltage drop applies."),
        ("has_palm_space", "Palm space stated", YES, "Whether the room for a lug's palm is stated."),
        ("palm_space_m", "Palm space", "m", "Room for the palm of a lug."),
        ("stud_diameter_m", "Stud", "m", "Thread diameter of the stud."),
        ("hottest_stated", "Hot terminal stated", YES, "Whether the terminal's temperature is stated."),
        ("legs", "Legs", "conductors", "Lengths of wire in this row: 2 for a pair, 1 otherwise."),
        ("chassis", "Returns by chassis", YES, "Whether the current returns through the chassis."),
        ("chassis_resistance_ohm", "Chassis resistance", "ohm", "Resistance of the way back through the chassis."),
        ("laying_factor", "Laying factor", "share", "Share of a lone wire's current left by the way it is laid."),
        ("laying_factor_apart", "Laying factor, grouped with none", "share", "Laying factor where nothing touches."),
        ("laying_factor_grouped", "Laying factor, grouped", "share", "Laying factor where others touch."),
        ("touches_any", "Touches another", YES, "Whether another loaded conductor touches this one."),
        ("touches_others", "Touches other circuits", YES, "Whether two or more other conductors touch this one."),
        ("neighbour_rating_k", "Neighbour's rating", "K", "Insulation rating of an unknown neighbour."),
        ("cool_place", "Outside a hot zone", YES, "Whether the wire lies outside an engine space."),
        ("hot_wire_limit_k", "Warm-wire notice", "K", "Working temperature from which a wire here is questioned."),
        ("enclosed", "Enclosed", YES, "Still air whatever the air speed."),
        ("engine_space", "Engine space", YES, "Whether the zone is an engine space."),
        ("wet", "Wet", YES, "Whether the zone is wet."),
        ("oil", "Oil", YES, "Whether there is oil in the zone."),
        ("fuel_vapour", "Fuel vapour", YES, "Whether fuel vapour can gather."),
        ("sun", "Sun", YES, "Whether the sun shines on it."),
        ("vibrates", "Vibrates", YES, "Whether the zone vibrates."),
        ("sheathed", "Sheathed", YES, "Whether the wire lies in a sheath or conduit."),
        ("cranking", "Cranking lead", YES, "Whether it feeds a starter."),
        ("devices", "Devices", "pieces", "Fuses or breakers of this row."),
        ("own_device", "Own device", YES, "Whether the row has a fuse or breaker of its own."),
        ("protected", "Protected", YES, "Whether a device protects the wire."),
        ("protected_or_exempt", "Protected or exempt", YES, "Whether a device protects the wire, or none is asked."),
        ("is_return", "Return", YES, "Whether the row is a return."),
        ("device_distance_m", "Device distance", "m", "Wire between the source of power and the device."),
        ("distance_limited", "Distance limited", YES, "Whether the rule set limits that distance here."),
        ("from_battery", "At a battery", YES, "Whether the device stands at a battery."),
        ("load_factor", "Load factor", "times", "Rating asked of the device over the continuous load."),
        ("machine_rating_a", "Machine rating", "A", "Rated output of the machine that feeds the row."),
        ("limited_machine", "Machine needs a device", YES, "Whether the machine does not limit its own current."),
        ("unknown_fuse_resistance_ohm", "Resistance of a device, where unknown", "ohm", "A default."),
        ("fuse_self_heating_k", "Device's own heating", "K", "Rise of the device at its full rating."),
        ("holder_limit_k", "Holder limit", "K", "Highest temperature of the holder."),
        ("peak_time_factor", "Peak time factor", "times", "Opening time asked over the time of the peak."),
        ("smallest_single_mm2", "Smallest single wire", "mm2", "Smallest area for a single wire."),
        ("smallest_sheathed_mm2", "Smallest sheathed wire", "mm2", "Smallest area in a sheath."),
        ("smallest_short_mm2", "Smallest short wire", "mm2", "Smallest area of a short wire."),
        ("smallest_short_m", "Short up to", "m", "Length up to which a wire counts as short."),
        ("rule_device_multiple", "Device over table ampacity", "times", "Greatest device over the table's ampacity."),
        ("rule_balance_multiple", "Device over balance ampacity", "times", "Greatest device over the balance."),
        ("rule_conventional_multiple", "Opening current over ampacity", "times", "Greatest allowed."),
        ("rule_distance_m", "Device distance allowed", "m", "Farthest a device may stand from the source."),
        ("rule_distance_sheathed_m", "Device distance allowed, sheathed", "m", "The same where the wire is sheathed."),
        ("rule_distance_battery_m", "Device distance allowed, battery", "m", "The same at a battery."),
        ("rule_generator_multiple", "Device over machine rating", "times", "Greatest device over a machine's rating."),
        ("rule_count_scale", "Conductors counted as", "share", "How the rule set counts the bundle."),
        ("rule_grouping_from_v", "Grouping applies from", "V", "Voltage from which the rule set derates a bundle."),
        ("has_rule_table", "Rule set has a table", YES, "Whether the rule set has a table of ampacities."),
        ("stranded_copper_only", "Stranded copper only", YES, "Whether the rule set asks for stranded copper."),
        ("chassis_return_allowed", "Chassis return allowed", YES, "Whether the rule set allows it."),
        ("two_pole_protection", "Two-pole protection", YES, "Whether the rule set allows devices in returns."),
        # facts of a place
        ("heating_current_a", "Current that heats", "A", "Current the wire must carry for good."),
        ("bundle", "Bundle", "conductors", "Loaded conductors in the bundle."),
        ("circuits", "Circuits", "circuits", "Circuits in the bundle: half its conductors."),
        ("grouping_factor", "Grouping factor", "share", "Share of a lone circuit's current left in the bundle."),
        ("laying_and_grouping", "Laying and grouping", "share", "Both factors together."),
        ("equivalent_current_a", "Equivalent current", "A", "Current that would warm a lone wire as much."),
        ("still_or_moving_air_m_per_s", "Air at the wire", "m/s", "Air speed at the wire; 0 where enclosed."),
        ("warmest_terminal_k", "Hotter terminal", "K", "The hotter of the two terminals."),
        ("own_device_and_peak", "Own device and a peak", YES, "Whether the row's device must survive a peak."),
        ("own_device_in_vapour", "Own device among vapour", YES, "Whether the device stands among fuel vapour."),
        ("device_protects", "A device must protect", YES, "Whether a device must protect the wire."),
        ("device_protects_by_table", "A device must protect by the table", YES, "The same by the rule set's table."),
        ("device_on_limited_machine", "Device bounded by the machine", YES, "Whether the machine bounds the device."),
        ("rule_table_binds", "Rule table binds", YES, "Whether the rule set's table limits this wire."),
        # facts of a wire
        ("conductor_lone_ampacity_a", "Ampacity of a lone wire", "A", "Current that warms a lone wire to its rating."),
        ("conductor_balance_ampacity_a", "Ampacity by heat balance", "A", "Ampacity where the wire lies, by physics."),
        ("conductor_rule_ambient_factor", "Rule set's ambient factor", "share", "Share left at this ambient."),
        ("rule_grouping_factor", "Rule set's grouping factor", "share", "Share left in the bundle."),
        ("conductor_rule_ampacity_a", "Ampacity by rule table", "A", "Ampacity by the rule set's table, derated."),
        ("conductor_temperature_k", "Wire temperature", "K", "Steady temperature of the metal in service."),
        ("least_conductor_temperature_k", "Lower bound of the wire temperature", "K", "What it cannot fall below."),
        ("conductor_surface_k", "Surface temperature", "K", "Temperature of the insulation's surface."),
        ("conductor_working_resistance_ohm_per_m", "Working resistance", "ohm/m", "Resistance at working temperature."),
        ("path_resistance_ohm", "Resistance of the piece", "ohm", "Wire, chassis and device together."),
        ("voltage_drop_v", "Voltage drop", "V", "Volts lost in service."),
        ("peak_drop_v", "Drop at the peak", "V", "Volts lost at the peak."),
        ("conductor_peak_limit_a", "Peak the wire stands", "A", "Current that takes it to its rating in that time."),
        ("conductor_withstand_a2s", "Fault the wire stands", "A2 s", "Heat of a fault the wire stands."),
        ("conductor_neighbour_limit_k", "Limit at a neighbour", "K", "Lowest insulation rating the surface touches."),
        ("conductor_smallest_mm2", "Smallest permitted", "mm2", "Smallest area the rule set permits here."),
        ("conductor_at_lug_k", "Temperature at the lug", "K", "The hotter of wire and terminal."),
        # facts of a device
        ("protection_ambient_factor", "Device's ambient factor", "share", "Share of the rating left at this ambient."),
        ("protection_carries_a", "Device carries", "A", "Continuous load the device may have here."),
        ("protection_shortest_at_peak_s", "Shortest opening at the peak", "s", "Shortest opening time at the peak."),
        ("protection_longest_at_fault_s", "Longest opening on a fault", "s", "Longest opening time on the fault."),
        ("fault_above_ampacity", "Fault above ampacity", YES, "Whether a fault exceeds what the wire carries."),
        ("protection_lets_through_a2s", "Device lets through", "A2 s", "Heat the fault leaves until the device opens."),
        ("protection_opens_at_a", "Device opens at", "A", "Current that opens it in its conventional time."),
        ("protection_rule_limit_a", "Greatest device by the table", "A", "Greatest rating the rule set allows."),
        ("device_distance_limit_m", "Device distance allowed here", "m", "Farthest the device may stand."),
        ("device_resistance_ohm", "Device resistance", "ohm", "Cold resistance of the row's devices."),
        ("protection_holder_k", "Holder temperature", "K", "Temperature of the device's holder."),
        # facts of a lug
        ("lug_slack_m", "Hole less stud", "m", "How loose the hole is on the stud."),
        ("lug_takes_metal", "Barrel takes the metal", YES, "Whether the barrel is made for the wire's metal."),
        ("lug_takes_strands", "Barrel takes the strands", YES, "Whether the barrel is made for the stranding."),
        # columns of parts that tables do not have as they are
        ("is_solid", "solid", YES, "Whether the wire is solid."),
        ("is_stranded", "stranded", YES, "Whether the wire is stranded."),
        ("is_class_2", "class 2", YES, "Whether the wire is of strand class 2."),
        ("is_class_5", "class 5", YES, "Whether the wire is of strand class 5."),
        ("is_strands", "made of strands", YES, "Whether the wire is not solid."),
        ("is_copper", "copper", YES, "Whether the metal is copper."),
        ("is_aluminium", "aluminium", YES, "Whether the metal is aluminium."),
        ("is_stranded_copper", "stranded copper", YES, "Whether the wire is stranded copper."),
        ("rule_table_ampacity_a", "ampacity in the rule set's table", "A", "As printed, before any factor."),
        ("rule_engine_factor", "rule set's engine-space factor", "share", "Share left in an engine space."),
        ("rule_counts_bundle", "table counts the bundle", YES, "Whether the table is for bundles already."),
        ("rule_ambients_k", "rule set's ambient up to", "K", "Upper ends of the printed bands."),
        ("rule_factors", "rule set's ambient factor", "share", "Factors of the printed bands."),
        ("in_size_system", "in the rule set's size system", YES, "Whether the size is of that system."),
        ("number", "in parallel", "pieces", "How many of the part side by side."),
        ("longest_multiples", "longest opening, at times rating", "times", "Points of the opening curve."),
        ("longest_times_s", "longest opening time", "s", "Points of the opening curve."),
        ("shortest_multiples", "shortest opening, at times rating", "times", "Points of the opening curve."),
        ("shortest_times_s", "shortest opening time", "s", "Points of the opening curve."),
        ("ambient_factors", "share of rating at -40, 0, 25, 60, 85, 105, 125 degC", "share", "Printed factors."),
        ("conventional_multiple", "opens in its conventional time at", "times", "Multiple of the rating."),
        ("rating_below_a", "next smaller rating", "A", "Of the same class and voltage."),
        ("takes_solid", "takes solid wire", YES, "Whether the barrel is made for solid wire."),
        ("takes_stranded", "takes stranded wire", YES, "Whether the barrel is made for stranded wire."),
        ("takes_class_2", "takes class 2", YES, "Whether the barrel is made for strand class 2."),
        ("takes_class_5", "takes class 5", YES, "Whether the barrel is made for strand class 5."),
        ("takes_copper", "takes copper", YES, "Whether the barrel is made for copper."),
        ("takes_aluminium", "takes aluminium", YES, "Whether the barrel is made for aluminium."),
        ("is_plated", "plated", YES, "Whether the lug is plated."),
        ("is_insulated", "insulated crimp", YES, "Whether the lug is an insulated crimp end."),
        ("metal_adiabatic_constant", "constant of the adiabatic rule", "A s0.5/mm2", "Of the metal."),
        # sums of a case
        ("musts_failing", "Musts that fail", "checks", "How many musts fail."),
        ("musts_unknown", "Musts unknown", "checks", "How many musts lack a value."),
        ("parts_missing", "Parts missing", "parts", "How many wanted parts are not chosen."),
        ("told", "What fails or is unknown", "", "Codes of the checks, with their sign."),
        ("least_room", "Least margin", "share of limit", "Least margin of all musts; kelvin count in hundreds."),
        ("tightest", "Tightest check", "", "Code of the check with the least margin."),
        ("unsettled", "Did not settle", YES, "Whether the picks of this connection kept changing."),
    )
}  # fmt: skip

STEPS = {
    "Prandtl number": "bare",
    "Reynolds number": "bare",
    "Nusselt number, free": "bare",
    "Nusselt number, forced": "bare",
    "logarithm of the Rayleigh number": "bare",
    "cube root of Prandtl number": "bare",
    "air pressure": "Pa",
    "conductivity of air": "W/(m K)",
    "viscosity of air": "Pa s",
    "kinematic viscosity of air": "m2/s",
    "film temperature": "K",
    "film coefficient": "W/(m2 K)",
    "surface temperature": "K",
    "surface resistance": "K m/W",
    "wall resistance": "K m/W",
    "rise allowed": "K",
    "rise found": "K",
    "rise within the search": "K",
    "surface rise": "K",
    "heat per metre": "W/m",
    "current squared": "A2",
    "left over at the end of the search": "K",
    "residual at the low end": "K",
    "residual at the high end": "K",
    "residual": "K",
    "chord": "K",
    "estimate": "K",
    "other end": "K",
    "residual at the other end": "K",
    "log of value": "bare",
    "line": "s",
    "opening time": "s",
    "peak over rating": "times",
    "fault over rating": "times",
    "let-through, highest fault": "A2 s",
    "let-through, low fault": "A2 s",
    "low fault over rating": "times",
    "grouping factor": "share",
    "rule grouping factor": "share",
    "rule ambient factor": "share",
    "skin argument": "bare",
    "fourth power of half the skin argument": "bare",
    "large skin argument": "bare",
    "skin series above": "bare",
    "skin series below": "bare",
    "skin factor of order": "share",
}
"""Unit of each intermediate, by its name without the number of its step."""

CHECKED = {"applies": "applies", "actual": "actual", "limit": "limit", "status": "verdict", "room": "margin"}


def step(name):
    """Label and unit of an intermediate, or None for the unit where nobody listed it."""
    words = name.rstrip("0123456789").rstrip()
    return name, STEPS.get(words)


def entry(name):
    """The entry of a fact or column; one made from the name itself where nobody listed it."""
    return NAMES.get(name) or _made(name)


def _made(name):
    dimension = next((d for d in _BY_LENGTH if name.endswith(f"_{SUFFIX[d]}")), None)
    if dimension is None:
        return Entry(_words(name), "", "")
    unit = _INNER[SUFFIX[dimension]]
    return Entry(_words(name[: -len(SUFFIX[dimension]) - 1]), unit, "")


def _words(name):
    words = name.replace("_", " ")
    return words[:1].upper() + words[1:]


_BY_LENGTH = sorted((d for d, suffix in SUFFIX.items() if suffix), key=lambda d: -len(SUFFIX[d]))
_INNER = {SUFFIX[unit.dimension]: unit.inner for unit in UNITS.values() if SUFFIX.get(unit.dimension)}


def of(name):
    """``(words, unit, sentence)`` of a name, for lists of names."""
    found = entry(name)
    return found.label, found.unit, found.sentence
