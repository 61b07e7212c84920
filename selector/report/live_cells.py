"""Where a helper column takes what it reads: given values and picks on *Connections*, part columns on *Tables used*."""

from dataclasses import dataclass, field

import numpy as np

from selector.cell import number_text
from selector.report.live import CONNECTION

CONNECTIONS, TABLES = "Connections", "Tables used"
NONE = "none"
KELVIN = 273.15
GIVEN = (
    ("current_a", None),
    ("peak_current_a", None),
    ("peak_time_s", None),
    ("length_m", None),
    ("grouped_with", None),
    ("ambient_k", None),
    ("air_speed_m_per_s", None),
    ("altitude_m", None),
    ("hottest_k", "from"),
    ("hottest_k", "to"),
    ("terminal_limit_k", "from"),
    ("terminal_limit_k", "to"),
    ("short_circuit_a", None),
    ("least_short_circuit_a", None),
    ("drop_limit_v", None),
    ("way_drop_v", None),
    ("way_resistance_ohm", None),
    ("highest_v", None),
    ("weakest_withstand_v", None),
    ("dump_peak_v", None),
    ("dump_resistance_ohm", None),
    ("dump_time_s", None),
    ("coil_inductance_h", None),
    ("coil_resistance_ohm", None),
)
"""What a place sees that may be changed on *Connections*; every other value of a place stands on the helper sheet."""
WHERE_KNOWN = frozenset({
    "weakest_withstand_v", "dump_peak_v", "dump_resistance_ohm", "dump_time_s", "coil_inductance_h",
    "coil_resistance_ohm",
})  # fmt: skip
"""Those shown only in a project that has them for some row."""
FOLLOWS = ("has_peak", "has_short_peak", "touches_any", "touches_others", "laying_factor", "stated_current_a",
           "has_stated_current", "has_drop_limit", "lead_length_m", "bar_limit_k", "joined_air_k", "field_used_a")  # fmt: skip
"""Columns of a place that follow from given values."""
SHOWN_IN = {"dump_time_s": ("ms", 1000.0)}
"""Given values shown in another unit than the program's own, as the project has them: unit, and how many make one."""
LIVE_NAMES = frozenset({*(name for name, _ in GIVEN), *FOLLOWS})
OF_MACHINE = ("phase lead", "rectifier")
"""Kinds whose current is never less than what their machine's rating makes it."""
UNSERVED = "✗ unserved"


def key_of(name, end):
    return name if end is None else (name, end)


@dataclass
class Layout:
    """Letters of the columns of *Connections*: ``given`` key -> (low, high or None), ``roles`` role -> letter.

    results : fact -> letter; verdict and told : letters of the verdict and of what fails; rows : number of a place -> row
    """

    given: dict = field(default_factory=dict)
    roles: dict = field(default_factory=dict)
    results: dict = field(default_factory=dict)
    verdict: str = ""
    told: str = ""
    rows: dict = field(default_factory=dict)


def worked_out(layout, places, place, name, sheet=""):
    """Formula of a coil's current or resistance that nobody stated, from the other and the voltage; None elsewhere."""
    columns = places.columns

    def cell(of):
        return f"{sheet}{layout.given[of][0]}{layout.rows[place]}"

    def over_highest(by):
        return f'IF(AND(ISNUMBER({cell("highest_v")}),ISNUMBER({by})),{cell("highest_v")}/{by},"")'

    if name == "current_a" and columns["field_current_worked_out"][place] == 1:
        ohm = columns["field_at_highest_ohm"][place]
        return None if ohm != ohm else over_highest(number_text(ohm))
    volts, over = columns["coil_feed_v"][place], None
    if name == "current_a" and columns["coil_current_worked_out"][place] == 1:
        over = cell("coil_resistance_ohm")
    elif name == "coil_resistance_ohm" and columns["coil_resistance_by_current"][place] == 1:
        over = cell("current_a")
    elif (
        name == "coil_resistance_ohm"
        and columns["coil_resistance_by_a"][place] == columns["coil_resistance_by_a"][place]
    ):
        over = number_text(columns["coil_resistance_by_a"][place])
    if over is None or volts != volts:
        return None
    if columns["coil_fed_by_highest"][place] == 1:
        return over_highest(over)
    return f'IF(ISNUMBER({over}),{number_text(volts)}/{over},"")'


class SheetCells:
    """Columns of one kind as cells; each is a helper column made the first time a fact asks for it."""

    def __init__(self, live, layout, tables, settings, laying_factors):
        self.live, self.layout, self.tables = live, layout, tables
        self.settings, self.laying_factors = settings, laying_factors
        self._made, self._matches = {}, {}
        self.wanted = {role.role: self._wanted(role.role) for role in live.kind.roles}
        self.missing = {role.role: self._missing(role.role) for role in live.kind.roles}

    def __contains__(self, key):
        return key in self.live.source

    def __getitem__(self, key):
        if key not in self._made:
            self._made[key] = self._make(key)
        return self._made[key]

    def _make(self, key):
        source = self.live.source
        if key in source.constants:
            value = source.constants[key]
            return tuple(float(v) for v in value) if isinstance(value, tuple) else float(value)
        if key in source.case_columns:
            return self._of_place(key)
        return self._of_part(key)

    def _add(self, name, template, values, group):
        return self.live.helper.add(name, template, values, group)

    # -- places ------------------------------------------------------------------------------------------------------

    def _of_place(self, key):
        name, end = key if isinstance(key, tuple) else (key, None)
        values = self.live.source.case_columns[key]
        label = (name, end)
        if key in self.layout.given:
            self.live.reads.add(key)
            made = self._given(key, name, end, values)
            if name == "current_a" and self.live.kind.name in OF_MACHINE:
                made = self._at_least_worked_out(made)
            return self._add(label, made, values, "given")
        taken = self._taken(name)
        if taken is not None:
            return self._add(label, taken, values, "given")
        found = self._following(name, values) if name in FOLLOWS else None
        return self._add(label, found, values, "given")

    def _given(self, key, name, end, values):
        reference = self._reference(key, name, key, values)
        shift = f"+{KELVIN}" if name.endswith("_k") else f"/{SHOWN_IN[name][1]:g}" if name in SHOWN_IN else ""
        otherwise = self["ambient_k"].text if name == "hottest_k" else "NA()"
        return f"IF(ISNUMBER({reference}),{reference}{shift},{otherwise})"

    def _reference(self, key, name, of, values):
        """The cell of a given value, or of its upper end in the cases that have the upper end of the column ``of``."""
        low, high = self.layout.given[key]
        reference = f"{CONNECTIONS}!${low}{CONNECTION}"
        if high is None:
            return reference
        places = self.live.places
        index = self._places()
        top = places.high.get(of, places.columns[of])[index]
        upper = (values == top) & (places.columns[of][index] != top)
        flag = self._add(("upper_end", name), None, upper * 1.0, "given")
        return f"IF({flag.text}=1,{CONNECTIONS}!${high}{CONNECTION},{reference})"

    def _places(self):
        return np.array([one.place for one in self.live.chosen])[self.live.rows]

    def _at_least_worked_out(self, current):
        """The current of a machine's row: what is written, or what its rating makes it if that is more."""
        worked = self._add(("worked_out_current_a", None), None, self._worked_out(), "given").text
        return f"IF(ISNUMBER({worked}),MAX({worked},IFERROR({current},0)),{current})"

    def _worked_out(self):
        columns, index = self.live.places.columns, self._places()
        rated = columns["machine_rated_current_a"][index]
        return rated * (columns["machine_line_ratio"][index] if self.live.kind.name == "phase lead" else 1.0)

    def _taken(self, name):
        """Templates, one a row, of what comes from the picks of other rows: the greatest of their results now.

        A row that nothing serves gives nothing. None where no row takes this column from others, or what they give is not
        shown: then it stays as it was.
        """
        guards = [self.live.places.guards.get(place, {}).get(name) for place in self._places().tolist()]
        if not any(guards) or any(own is not None and own[0] not in self.layout.results for own in guards):
            return None
        return [
            None if own is None else f"MAX({','.join(self._result_of(own[0], row) for row in own[1])})"
            for own in guards
        ]

    def _result_of(self, fact, place):
        letter, row = self.layout.results.get(fact), self.layout.rows.get(place)
        if letter is None or row is None:
            return "NA()"
        cell, verdict, told = (f"{CONNECTIONS}!${of}${row}" for of in (letter, self.layout.verdict, self.layout.told))
        # a must that fails stands there without brackets
        fails = f'{verdict}="{UNSERVED}",ISNUMBER(FIND(" ✗"," "&{told}))'
        shift = f"+{KELVIN}" if fact.endswith("_k") else ""
        return f"IF(OR({fails},NOT(ISNUMBER({cell}))),NA(),{cell}{shift})"

    def still_assumed(self, name, place):
        """Text that is 1 while a typical value of a place stands as first shown, 0 once something else is written there."""
        if name not in self.layout.given:
            return "1"
        places, row = self.live.places, self.layout.rows[place]
        (low, high), shift = self.layout.given[name], KELVIN if name.endswith("_k") else 0.0
        ends = [(low, float(places.columns[name][place]))]
        if high is not None and places.high[name][place] != ends[0][1]:
            ends.append((high, float(places.high[name][place])))
        formula = worked_out(self.layout, places, place, name, f"{CONNECTIONS}!")
        same = [
            f"{CONNECTIONS}!{at}{row}={formula or number_text(float(f'{value - shift:.12g}'))}" for at, value in ends
        ]
        return f"IF(AND({','.join(same)}),1,0)"

    def _following(self, name, values):
        """Template of what follows from given values, or None where it does not give what the program has."""
        grouped = self._end_of("grouped_with", True)
        if name == "has_peak":
            template = f"IF(ISNUMBER({self._end_of('peak_current_a', False)}),1,0)"
            expected = ~np.isnan(self._low("peak_current_a")) * 1.0
        elif name == "has_short_peak":
            time, limit = self._end_of("peak_time_s", False), self.settings.number("peak time limit")
            has = self["has_peak"].text
            template = f"IF({has}=0,0,IF(ISNUMBER({time}),IF({time}>{number_text(limit)},0,1),1))"
            expected = (~np.isnan(self._low("peak_current_a")) & ~(self._low("peak_time_s") > limit)) * 1.0
        elif name in ("touches_any", "touches_others"):
            own_circuit = 3 if self.live.kind.name == "phase lead" else 2
            least = 1 if name == "touches_any" else own_circuit
            template = f"IF({grouped}>={least},1,0)"
            expected = (self._low("grouped_with", True) >= least) * 1.0
        elif name != "laying_factor":
            return getattr(self, f"_follow_{name}")(values)
        else:
            apart, some = self._laying()
            expected = np.where(self._low("grouped_with", True) == 0, apart, some)
            if not np.array_equal(expected, values, equal_nan=True):
                return None
            lone = self._add(("laying_factor_apart", None), None, apart, "given")
            bundled = self._add(("laying_factor_grouped", None), None, some, "given")
            return f"IF({grouped}=0,{lone.text},{bundled.text})"
        return template if np.array_equal(expected, values) else None

    def _follow_stated_current_a(self, values):
        """What the user states: what stands there, unless that is still what was shown for want of it."""
        if self.live.kind.name not in OF_MACHINE:
            return None
        first = np.array([float(f"{value:.12g}") for value in self._low("current_a")])
        shown = self._add(("current_first_shown_a", None), None, first, "given").text
        stated = self._add(("current_first_stated_a", None), None, values, "given").text
        cell = self._end_of("current_a", False)
        return f"IF(ISNUMBER({cell}),IF({cell}={shown},{stated},{cell}),NA())"

    def _follow_has_stated_current(self, values):
        return f"IF(ISNUMBER({self['stated_current_a'].text}),1,0)" if self.live.kind.name in OF_MACHINE else None

    def _follow_has_drop_limit(self, values):
        asked = np.where(
            np.isnan(self._low("drop_limit_v")), values, self.live.places.columns["asks_device"][self._places()]
        )
        always = self._add(("drop_limit_asked", None), None, asked, "given").text
        return f"IF(ISNUMBER({self._end_of('drop_limit_v', False)}),1,{always})"

    def _follow_lead_length_m(self, values):
        """Both leads of a suppressor: its row's length, or the default where there is none."""
        usual = np.where(np.isnan(self._low("length_m")), values, np.nan)
        usual = np.where(np.isnan(usual), self.settings.number("suppressor lead length"), usual)
        otherwise = self._add(("usual_lead_length_m", None), None, usual, "given").text
        length = self._reference("length_m", "lead_length_m", "lead_length_m", values)
        return f"IF(ISNUMBER({length}),{length},{otherwise})"

    def _follow_bar_limit_k(self, values):
        cell = self.layout.given.get(("terminal_limit_k", "from"), (None,))[0]
        if cell is None or self.live.kind.name != "bus":
            return None
        self.live.reads.add(("terminal_limit_k", "from"))
        cell = f"{CONNECTIONS}!${cell}{CONNECTION}"
        return f"IF(ISNUMBER({cell}),{cell}+{KELVIN},NA())"

    def _follow_joined_air_k(self, values):
        """The joint's own air as it is now, at its warmest: what its wires are as warm as now stands in their rows."""
        return f"MAX({self._end_of('ambient_k', False)},{self._end_of('ambient_k', True)})+{KELVIN}"

    def _follow_field_used_a(self, values):
        """The field's current, where it is fed by the row's own highest voltage."""
        ohm = self.live.places.columns["field_at_highest_ohm"][self._places()]
        if np.isnan(ohm).all():
            return None
        ohm = self._add(("field_at_highest_ohm", None), None, ohm, "given").text
        fixed = self._add(("field_used_elsewhere_a", None), None, values, "given").text
        self.live.reads.add("highest_v")
        highest = self._end_of("highest_v", True)
        return f"IF(ISNUMBER({ohm}),IF(ISNUMBER({highest}),{highest}/{ohm},NA()),{fixed})"

    def _end_of(self, name, upper):
        self.live.reads.add(name)
        low, high = self.layout.given[name]
        return f"{CONNECTIONS}!${high if upper and high is not None else low}{CONNECTION}"

    def _low(self, name, upper=False):
        places = self.live.places
        source = places.high.get(name) if upper else None
        values = places.columns[name] if source is None else source
        return values[np.array([one.place for one in self.live.chosen])][self.live.rows]

    def _laying(self):
        """Factors of each row when it is grouped with none, and when it is."""
        values = self.settings.values
        apart, some = [], []
        for one in self.live.chosen:
            word = self.live.places.rows[one.place].get("laid")
            apart.append(self.laying_factors.get(word or values.get("laid when grouped with none"), np.nan))
            some.append(self.laying_factors.get(word or values.get("laid"), np.nan))
        return np.array(apart, dtype=float)[self.live.rows], np.array(some, dtype=float)[self.live.rows]

    # -- parts -------------------------------------------------------------------------------------------------------

    def _cell_of_role(self, role):
        return f"{CONNECTIONS}!${self.layout.roles[role]}{CONNECTION}"

    def _wanted(self, role):
        present = self.live.present[role][self.live.rows] * 1.0
        return self._add(("wanted", role), f'IF({self._cell_of_role(role)}="{NONE}",0,1)', present, "part")

    def _missing(self, role):
        blank = (self.live.present[role][self.live.rows] & (self.live.parts[role] < 0)) * 1.0
        return self._add(("part_missing", role), f'IF({self._cell_of_role(role)}="",1,0)', blank, "part")

    def _match(self, role):
        if role not in self._matches:
            family = next(r.family for r in self.live.kind.roles if r.role == role)
            cell, keys = self._cell_of_role(role), self.tables.keys(family)
            wanted = f'SUBSTITUTE(SUBSTITUTE(SUBSTITUTE({cell},"~","~~"),"*","~*"),"?","~?")'
            wanted = wanted if self.tables.has_wildcards(family) else cell
            index = self.live.parts[role]
            values = np.where(index < 0, np.nan, index + 1.0)
            none = len(self.tables.candidates[family]) + 1.0
            values = np.where(self.live.present[role][self.live.rows], values, none)
            self._matches[role] = self._add(
                ("row_of_part", role), f'IF({cell}="",NA(),MATCH({wanted},{keys},0))', values, "part"
            )
        return self._matches[role]

    def _of_part(self, key):
        role, column = self.live.source.plan.part_columns[key]
        family = next(r.family for r in self.live.kind.roles if r.role == role)
        values = self.live.source[key]
        match = self._match(role).text
        if isinstance(values, tuple):
            return tuple(self._part_cell(role, column, family, step, match, value) for step, value in enumerate(values))
        return self._part_cell(role, column, family, None, match, values)

    def _part_cell(self, role, column, family, step, match, values):
        reference, scale, offset = self.tables.column(family, column, step)
        found = f"INDEX({reference},{match})"
        times = "" if scale == 1.0 else f"*{number_text(scale)}"
        plus = "" if offset == 0.0 else f"+{number_text(offset)}"
        template = f"IF(ISNUMBER({found}),{found}{times}{plus},NA())"
        name = ("part", role, column, step)
        return self._add(name, template, self.live.spread(values), "part")
