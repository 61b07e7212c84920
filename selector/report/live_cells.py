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
SHOWN_IN = {"dump_time_s": ("ms", 1000.0)}
"""Given values shown in another unit than the program's own, as the project has them: unit, and how many make one."""
FOLLOWS = ("has_peak", "has_short_peak", "touches_any", "touches_others", "laying_factor")
LIVE_NAMES = frozenset({*(name for name, _ in GIVEN), *FOLLOWS})


def key_of(name, end):
    return name if end is None else (name, end)


@dataclass
class Layout:
    """Letters of the columns of *Connections*: ``given`` key -> (low, high or None), ``roles`` role -> letter."""

    given: dict = field(default_factory=dict)
    roles: dict = field(default_factory=dict)


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
            return self._add(label, self._given(key, name, end, values), values, "given")
        found = self._following(name, values) if name in FOLLOWS else None
        return self._add(label, found, values, "given")

    def _given(self, key, name, end, values):
        low, high = self.layout.given[key]
        reference = f"{CONNECTIONS}!${low}{CONNECTION}"
        if high is not None:
            places = self.live.places
            index = np.array([one.place for one in self.live.chosen])[self.live.rows]
            top = places.high[key][index]
            upper = (values == top) & (places.columns[key][index] != top)
            flag = self._add(("upper_end", name), None, upper * 1.0, "given")
            reference = f"IF({flag.text}=1,{CONNECTIONS}!${high}{CONNECTION},{reference})"
        shift = f"+{KELVIN}" if name.endswith("_k") else f"/{SHOWN_IN[name][1]:g}" if name in SHOWN_IN else ""
        otherwise = self["ambient_k"].text if name == "hottest_k" else "NA()"
        return f"IF(ISNUMBER({reference}),{reference}{shift},{otherwise})"

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
            least = 1 if name == "touches_any" else 2
            template = f"IF({grouped}>={least},1,0)"
            expected = (self._low("grouped_with", True) >= least) * 1.0
        else:
            apart, some = self._laying()
            expected = np.where(self._low("grouped_with", True) == 0, apart, some)
            if not np.array_equal(expected, values, equal_nan=True):
                return None
            lone = self._add(("laying_factor_apart", None), None, apart, "given")
            bundled = self._add(("laying_factor_grouped", None), None, some, "given")
            return f"IF({grouped}=0,{lone.text},{bundled.text})"
        return template if np.array_equal(expected, values) else None

    def _end_of(self, name, upper):
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
        role, column = self.live.source.part_column(key)
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
