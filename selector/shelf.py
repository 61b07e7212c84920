"""A project with what is in stock: fits, one assignment for the whole, what is left, and the picks that follow."""

import math
from dataclasses import dataclass, field
from typing import Any

from selector import pipeline
from selector.errors import Problems, ProjectError, UsageError, nearest, quoted

MOST_ROUNDS = 8
OVERSIZE = "stock wire oversize"
"""The default that says how often the plain pick's section a wire from stock may have."""
FREE_ROUNDS = 4
"""Rounds after which devices that other rows rest on stay as they are."""


@dataclass
class Shelf:
    """What stock does for a project: ``outcome`` has the picks with it, ``plain`` the picks without."""

    outcome: Any
    plain: dict
    stock: Any
    assignment: Any
    refused: list = field(default_factory=list)
    source: str = ""
    set_aside: list = field(default_factory=list)
    """What incomplete connections take for now, as `Assigned`."""
    judges: list = field(default_factory=list)

    @property
    def most_times(self):
        """How often the plain pick's section a wire from stock may have."""
        value = self.outcome.settings.number(OVERSIZE)
        return value if value == value else math.inf

    @property
    def taken(self):
        """All that leaves the shelf: what the plan assigns, and what incomplete connections take for now."""
        return [*(self.assignment.assigned if self.assignment is not None else ()), *self.set_aside]

    @property
    def fits(self):
        """Every part in stock in every role it may take, with the reasons of what does not comply."""
        for judge, own in self.judges:
            judge.explain(own)
        return [fit for _, own in self.judges for fit in own]


def run(path, stock=None, tables=None, rules=None, encoding=None, brief=False, progress=None):
    """Pick a project's parts with what is in stock: ``stock`` is a list's path, None the project's own stock.csv."""
    outcome = pipeline.run(path, tables, rules, encoding, True, progress=progress, idle=True)
    return use(outcome, _read(outcome, stock), str(stock) if stock is not None else "stock.csv", brief)


def use(outcome, items, source="", brief=False):
    """Put stock to use in a project that is picked: ``items`` are read, ``source`` is what they were read from."""
    from selector.choosing import set_aside
    from selector.choosing.stocked import Stock

    _add_variants(outcome, items)
    own = Stock(items, outcome.catalogue.rows("conditions.csv"), outcome.candidates)
    plain = {one.place: one for one in outcome.chosen}
    shelf = Shelf(outcome, plain, own, None, list(own.refused), source)
    _assign(shelf, outcome.rule.get("wires_in_parallel"))
    if not brief:
        given = shelf.assignment.picks if shelf.assignment is not None else {}
        factors = shelf.assignment.factors if shelf.assignment is not None else {}
        outcome.chosen = _rounds(shelf, given, factors, False)
    shelf.set_aside = set_aside.provisional(shelf)
    outcome.brief = brief
    _tell_oversize(shelf)
    _tell_again(shelf)
    return shelf


def _read(outcome, stock):
    from selector.project.identifying import stated_bench
    from selector.project.stock import read_stock

    problems = Problems()
    if stock is None:
        frame = outcome.project.frames["stock.csv"]
        if not frame.lines:
            raise UsageError(f"{outcome.project.name} has no stock.csv with rows. Name a stock list: --stock FILE.")
        source = frame
    else:
        if not stock.exists():
            raise UsageError(f"--stock: {stock}: there is no such file")
        source = stock
    items = read_stock(source, outcome.candidates, outcome.catalogue, problems, stated_bench(outcome.settings))
    problems.raise_if_any(ProjectError, f"{stock or 'stock.csv'} cannot be used")
    return items


def _add_variants(outcome, items):
    """A part whose description leaves a value open is good for the worst it may be: a candidate of its own, never bought."""
    import numpy as np

    from selector.catalogue.families import variant
    from selector.choosing.order import Preference

    rows = outcome.catalogue.rows("preference.csv")
    added = {}
    for item in items:
        if not item.at_worst or item.index is None:
            continue
        key = item.family, item.index, tuple(sorted(item.at_worst.items()))
        if key not in added:
            own = outcome.candidates[item.family]
            variant(own, item.index, item.at_worst, outcome.catalogue, outcome.rule)
            bought = outcome.chooser.bought
            bought[item.family] = np.append(bought[item.family], False)
            outcome.chooser.preferences[item.family] = Preference(rows, own)
            added[key] = len(own) - 1
        item.index = added[key]
    outcome.chooser.forget()


def place_of(outcome, connection):
    """The place of a connection by its name."""
    from selector.catalogue.reading import fold_key

    names = {outcome.places.names[one.place]: one.place for one in outcome.chosen}
    for name, place in names.items():
        if fold_key(name) == fold_key(connection):
            return place
    near = nearest(connection, list(names))
    raise UsageError(
        f"{quoted(connection)} is not a connection of {outcome.project.name} that is worked out."
        + (f" Did you mean '{near}'?" if near else "")
    )


def _served(outcome):
    kinds = {}
    for one in outcome.chosen:
        kinds.setdefault(one.kind.name, []).append(one.place)
    return kinds


def _rounds(shelf, given, factors, brief):
    from selector.choosing.rounds import Rounds

    outcome = shelf.outcome
    condition = outcome.places.columns["condition_factor"]
    condition[:] = 1.0
    for place, factor in factors.items():
        condition[place] = factor
    return Rounds(outcome.chooser, outcome.places, _served(outcome), outcome.wanted).choose(brief, given)


def _sees(outcome, place):
    """What decides a place's options: its columns and what other rows' parts make of its roles."""
    places = outcome.places
    names = sorted((name for name in places.columns if name != "condition_factor"), key=str)
    values = [repr(places.columns[name][place]) for name in names]
    values += [repr(places.high[name][place]) for name in sorted(places.high, key=str)]
    want = [(role, w.present, tuple(w.only or ()), w.inherited) for role, w in outcome.wanted[place].items()]
    return tuple(values), tuple(want)


def _assign(shelf, parallel):
    """Fit, assign, choose again with what was assigned, until every tuple passes where its inputs ended up."""
    from selector.choosing import cutting
    from selector.choosing.shelf import Linker
    from selector.choosing.stocked import Fits

    outcome = shelf.outcome
    forbidden, bound, seen = [], {}, {}
    for round_ in range(MOST_ROUNDS):
        plain = list(shelf.plain.values())
        now = {place: _sees(outcome, place) for place in shelf.plain}
        fresh = [place for place in shelf.plain if place not in seen or seen[place][0] != now[place]]
        fits = Fits(outcome.chooser, frozen(outcome.places), [dict(own or {}) for own in outcome.wanted], plain,
                    shelf.stock, parallel, shelf.most_times)  # fmt: skip
        found = {}
        for fit in fits.of(fresh):
            found.setdefault(fit.place, []).append(fit)
        seen.update({place: (now[place], found.get(place, []), fits) for place in fresh})
        every = [fit for place in sorted(seen) for fit in seen[place][1]]
        by_judge = {}
        for place in sorted(seen):
            _, own, judge = seen[place]
            by_judge.setdefault(id(judge), (judge, []))[1].extend(own)
        shelf.judges = list(by_judge.values())
        linker = Linker(outcome.chooser, outcome.places, outcome.wanted, plain, shelf.stock, every, shelf.most_times)
        task = linker.build()
        if task is None:
            return
        _bind(linker, task, bound, forbidden)
        plan = cutting.solve(task)
        assignment = linker.read(task, plan)
        chosen = _rounds(shelf, assignment.picks, assignment.factors, True)
        failing = {one.place for one in chosen if one.place in assignment.picks and _open_musts(one)}
        after = {one.place: _sees(outcome, one.place) for one in chosen}
        moved = {place for place in after if after[place] != now[place]}
        if not failing and not (moved & set(assignment.picks)):
            shelf.assignment = assignment
            outcome.chosen = chosen
            return
        for place in failing - moved:
            forbidden.append((place, frozenset(assignment.picks[place].items()), assignment.factors[place]))
        if round_ + 1 >= FREE_ROUNDS:
            bound.update({place: own["protection"] for place, own in assignment.picks.items() if "protection" in own})
        shelf.plain = {one.place: one for one in _plain_here(shelf, chosen, assignment)}
    keep = {place: own for place, own in assignment.picks.items() if place not in failing | moved}
    assignment.assigned = [own for own in assignment.assigned if own.place in keep]
    assignment.picks = keep
    assignment.factors = {place: assignment.factors[place] for place in keep}
    shelf.assignment = assignment
    outcome.chosen = _rounds(shelf, keep, assignment.factors, True)


def frozen(places):
    """The places as they are now; rounds change what rests on other rows' parts."""
    from dataclasses import replace

    columns = {name: values.copy() for name, values in places.columns.items()}
    return replace(places, columns=columns, high={name: values.copy() for name, values in places.high.items()})


def _plain_here(shelf, chosen, assignment):
    """The plain pick of every place as its inputs now stand."""
    from selector.choosing.rounds import choose_rows

    outcome = shelf.outcome
    outcome.places.columns["condition_factor"][:] = 1.0
    found = {}
    kind_of = {one.place: one.kind.name for one in chosen}
    choose_rows(outcome.chooser, outcome.places, sorted(kind_of), kind_of, outcome.wanted, True, found)
    return [found[place] for place in sorted(found)]


def _bind(linker, task, bound, forbidden):
    """Answers that stay as they are, and ways that were found wanting."""
    for n, kept in enumerate(linker.kept):
        if kept is not None and kept.role == "protection" and kept.place in bound and kept.index != bound[kept.place]:
            task.forbidden.append(((n,), 0))
    for place, picks, factor in forbidden:
        own = [
            n
            for n, kept in enumerate(linker.kept)
            if kept is not None and kept.place == place and kept.factor == factor and (kept.role, kept.index) in picks
        ]
        task.forbidden.append((tuple(own), len(picks) - 1))


def _open_musts(one):
    from selector.choosing.checks import PASS

    return [check.code for check, status, *_ in one.verdicts if check.must and status != PASS]


def _tell_oversize(shelf):
    """List the ceiling of a stock wire's section as a default where it kept one from a connection and nobody stated it."""
    import numpy as np

    from selector.project.filling import Default

    settings = shelf.outcome.settings
    kept = sorted({fit.place for _, own in shelf.judges for fit in own if fit.picks is not None and fit.too_large})
    if kept and OVERSIZE not in settings.stated:
        shelf.outcome.places.defaults.append(
            Default(OVERSIZE, settings.number(OVERSIZE), settings.units[OVERSIZE] or "times the pick's section",
                    settings.set_in[OVERSIZE], np.array(kept), settings.questions[OVERSIZE])
        )  # fmt: skip


def _tell_again(shelf):
    from selector.report.findings import cautions_of, findings_of

    shelf.outcome.findings = findings_of(shelf.outcome)
    shelf.outcome.cautions = cautions_of(shelf.outcome)
