"""The choice over all rows: what rests on other rows' parts is chosen again until nothing changes."""

import math
from dataclasses import dataclass, field

from selector.choosing.budget import shares_of
from selector.choosing.circuit import Wiring
from selector.project.limits import OF_THE_WAY
from selector.project.wanted import Wanted

MOST_ROUNDS = 20
LAST = 1_000_000
"""Rank of rows that rest on what all others take."""


@dataclass(frozen=True)
class Inputs:
    """What a row takes from the parts of others.

    devices : numbers of the devices that protect it, None where it has its own or theirs are not all picked
    joined : for a joint of grounds, the numbers of all devices
    guarded : (column, value) of what others' picks put at it, value None where it is unknown
    way : drop [V] and resistance [ohm] of the rest of its way, None where unknown
    """

    devices: tuple | None = None
    joined: tuple | None = None
    guarded: tuple = ()
    way: tuple = (0.0, 0.0)

    def same_but_way(self, other):
        return (self.devices, self.joined, self.guarded) == (other.devices, other.joined, other.guarded)


@dataclass
class Alone:
    """What is picked while no row knows of the rest of its way: row -> pick, row -> `Inputs` it was picked with."""

    picks: dict = field(default_factory=dict)
    inputs: dict = field(default_factory=dict)

    def kept(self, rows, inputs):
        """Row -> pick, of those of ``rows`` that no way can better and whose other inputs are what they were."""
        none = Inputs()

        def holds(one, now, before):
            # where nobody knows the way, a part that failed alone is not known to fail: what asks for less is searched
            sure = None not in now.way or (one.found and not one.provisional)
            return one.stands and sure and now.same_but_way(before)

        return {
            i: self.picks[i]
            for i in rows
            if i in self.picks and holds(self.picks[i], inputs.get(i, none), self.inputs.get(i, none))
        }


class Rounds:
    """Chooses every row of ``served`` (kind -> rows), those that rest on others' parts after these, and again.

    A row changes only what others read of its picks; what it takes from them stands in the columns of ``places`` and in
    ``wanted``, which are changed as the rounds go on.
    """

    def __init__(self, chooser, places, served, wanted):
        self.chooser, self.places, self.wanted = chooser, places, wanted
        self.order = [i for kind in served for i in served[kind]]
        self.kind_of = {i: kind for kind in served for i in served[kind]}
        self.wiring = Wiring(places, wanted)
        self.ranks = self._ranks()
        self.rests = [i for i in self.order if self.ranks[i]]

    def _ranks(self):
        """Rank of each row in the first round: 0 where it rests on no other, then by the pieces before it."""
        ranks, places, wiring = {}, self.places, self.wiring
        for i in self.order:
            rests = places.upstream[i] or i in places.guards
            ranks[i] = LAST if places.ground_joint[i] else max(wiring.level.get(i, 0), 1 if rests else 0)
        for i in self.order:  # a load's way leads back through its returns: they are chosen before it
            if ranks[i] == 0 and i in wiring.joined and not wiring.is_return[i]:
                ranks[i] = int(any(wiring.returns_at(node) for node in wiring.ends[i]))
        return ranks

    # -- all rows ----------------------------------------------------------------------------------------------------

    def choose(self, brief, given=None, alone=None):
        """All rows' picks, in order of the rows.

        ``given`` maps a row to parts decided elsewhere. ``alone``: picks from which rows that rest on others take their
        first inputs; without any they are chosen after those they rest on.
        """
        alone = Alone() if alone is None else alone
        chosen, taken = dict(alone.picks), {}
        if chosen:
            taken |= self._take(self.rests, taken, chosen)
            self._choose(self.order, chosen, brief, given, kept=alone.kept(self.order, taken))
        else:
            for rank in sorted({*self.ranks.values()}):
                own = [i for i in self.order if self.ranks[i] == rank]
                if rank:
                    taken |= self._take(own, taken, chosen)
                self._choose(own, chosen, brief, given)
        self._again(chosen, taken, brief, given, alone)
        for one in chosen.values():
            if one.status == "unserved" and one.waits:
                one.status = "incomplete"
        for i in self.places.questions.get("length", ()):  # how much to buy is not known, even where no check asks
            if i in chosen and chosen[i].status == "served":
                chosen[i].status = "incomplete"
        return [chosen[i] for i in sorted(chosen)]

    def _again(self, chosen, taken, brief, given, alone):
        """Choose again those whose inputs are not what they were; what never settles is incomplete."""
        for count in range(MOST_ROUNDS if self.rests else 0):
            new = self._take(self.rests, taken, chosen)
            if not new:
                return
            if count == MOST_ROUNDS - 1:
                for i in new:
                    chosen[i].status = "incomplete"
                return
            taken |= new
            self._choose(list(new), chosen, brief, given, kept=alone.kept(new, taken))

    def _choose(self, rows, chosen, brief, given=None, kept=None, alone=False):
        choose_rows(self.chooser, self.places, rows, self.kind_of, self.wanted, brief, chosen, given, kept, alone)

    # -- limits of drop ----------------------------------------------------------------------------------------------

    def share_limits(self):
        """Share each load's limit of drop among the pieces of its way, by what they lose while each stands alone.

        Returns `Alone`, from which the rounds may start; without picks where no row lies behind another.
        """
        places, wiring, alone = self.places, self.wiring, Alone()
        order = [i for i in self.order if i in wiring.ends]
        limited = places.columns["has_load_limit"]
        if not any(wiring.level[i] or (limited[i] == 1 and self.ranks[i]) for i in order):
            return alone
        rests = [i for i in order if places.upstream[i] or places.ground_joint[i]]
        self._choose(sorted({*order} - {*rests}), alone.picks, True, alone=True)
        alone.inputs |= self._take(rests, {}, alone.picks, with_way=False)
        self._choose(rests, alone.picks, True, alone=True)
        self._put_shares(alone, order)
        return alone

    def _put_shares(self, alone, order):
        """Hold the pieces of each way to their shares, and take what is picked so for what they are alone."""
        chooser, places = self.chooser, self.places
        adjustable = {i for i in order if _is_free(self.wanted[i])}
        spares = {row["code"]: chooser.settings.spare_of(row["code"], row["spare"] or "no") for row in chooser.rows}
        shares = shares_of(places, self.wiring, alone.picks, adjustable, lambda code: spares.get(code, 0.0))
        whole = {row: float(places.columns[column][row]) for row, (column, *_) in shares.items()}
        for row, (column, limit, _) in shares.items():
            places.columns[column][row] = limit
        tried = {}
        self._choose(list(shares), tried, True, alone=True)
        for row, (column, limit, load) in shares.items():
            if tried[row].status == "unserved" != alone.picks[row].status:
                places.columns[column][row] = whole[row]  # nothing is so large: the load's own row says what is missing
            else:
                code = "C07" if column == "drop_limit_v" else "C08"
                places.shares[row] = code, limit, load
                places.limit_sources[code][row] = "series-feeder-textbook"
                alone.picks[row] = tried[row]

    # -- what rows take from others ----------------------------------------------------------------------------------

    def _take(self, rows, before, chosen, with_way=True):
        """What these rows take from others, put in place; only of those for which it is not what it was.

        Without ``with_way`` the rest of the way is left out.
        """
        wiring = self.wiring
        ways, returns = wiring.solve(chosen) if with_way else ({}, {})
        found = {}
        for i in rows:
            on_way = with_way and i in wiring.ends
            way = wiring.rest_of_way(i, ways, returns, chosen) if on_way else (0.0, 0.0)
            inputs = self._inputs_of(i, chosen, way)
            if inputs != before.get(i):
                found[i] = inputs
                self._put(i, inputs)
        return found

    def _inputs_of(self, i, chosen, way):
        places = self.places
        devices, joined = None, None
        ratings = []
        for row in places.upstream[i] or ():
            one = chosen.get(row)
            if one is not None and one.status == "unserved":
                continue
            ratings.append(one.pick("protection") if one is not None else -1)
        if ratings and all(index >= 0 for index in ratings):
            devices = tuple(sorted(set(ratings)))
        if places.ground_joint[i]:
            every = {one.pick("protection") for one in chosen.values()}
            joined = tuple(sorted(index for index in every if index >= 0))
        has_limit = places.columns["has_load_limit"][i] == 1
        known = tuple(None if value != value else value for value in (way[0] if has_limit else 0.0, way[1]))
        return Inputs(devices, joined, self._guarded(i, chosen), known)

    def _guarded(self, i, chosen):
        """(column, value) of what a row takes from the picks of others: the greatest of them; None if any is unknown."""
        found = []
        for column, (fact, rows) in sorted(self.places.guards.get(i, {}).items()):
            values = [chosen[row].result(fact) if row in chosen and chosen[row].found else math.nan for row in rows]
            found.append((column, None if any(value != value for value in values) else max(values)))
        return tuple(found)

    def _put(self, i, inputs):
        """Put what a row takes into the columns it is judged by, and into what its roles may be."""
        places, ratings = self.places, self.wanted.ratings
        way = zip(OF_THE_WAY, inputs.way, strict=True)
        for column, value in (*way, *inputs.guarded):
            places.columns[column][i] = math.nan if value is None else value
        if inputs.devices:
            largest = max(inputs.devices, key=lambda index: ratings[index])
            self.wanted[i] = {**self.wanted[i], "protection": Wanted(only=[largest], fixed=True, inherited=True)}
        elif places.upstream[i]:
            self.wanted[i] = {**self.wanted[i], "protection": Wanted(present=False)}
        if places.ground_joint[i] and inputs.joined:
            value = max(ratings[index] for index in inputs.joined)
            places.columns["current_a"][i] = value
            if "current_a" in places.high:
                places.high["current_a"][i] = value


def _is_free(want):
    """Whether a row has a wire and the program chooses it."""
    return "conductor" in want and want["conductor"].present and not want["conductor"].fixed


def choose_rows(chooser, places, rows, kind_of, wanted, brief, chosen, given=None, kept=None, alone=False):
    """Choose these rows as their inputs stand, into ``chosen`` (row -> pick); see `Chooser.choose`."""
    wide = _widest(chooser, {kind_of[i] for i in rows})
    by_kind = {}
    for i in rows:
        by_kind.setdefault(wide[kind_of[i]], []).append(i)
    own_kind = {i: chooser.kinds[kind_of[i]] for i in rows}
    for name, own in by_kind.items():
        kind = chooser.kinds[name]
        for one in chooser.choose(places, sorted(own), kind, wanted, brief, own_kind, given, kept, alone):
            chosen[one.place] = one


def _widest(chooser, names):
    """For each kind the one among ``names`` that has all its roles in the same order: both are chosen in one block."""
    kinds, facts = chooser.kinds, chooser.registry_of

    def holds(kind, other):
        roles = iter(other.roles)
        return facts(kind.name) is facts(other.name) and all(
            any((r.role, r.family, r.quantity, r.leads) == (o.role, o.family, o.quantity, o.leads) for o in roles)
            for r in kind.roles
        )

    return {
        name: max(
            (
                other
                for other in names
                if holds(kinds[name], kinds[other]) and kinds[other].leading == kinds[name].leading
            ),
            key=lambda other: (len(kinds[other].roles), other),
        )
        for name in names
    }
