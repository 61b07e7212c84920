"""How much of a part in stock one place needs, and how much of that the shelf gives if nobody else takes from it."""

from dataclasses import dataclass

import numpy as np

from selector.choosing.choose import Block, BlockResult
from selector.choosing.lengths import counted, cuts_of, units_of_cut, units_of_piece
from selector.choosing.shelf import Prices
from selector.choosing.stocked import CARRIES, repeated


@dataclass(frozen=True)
class Amount:
    """What a place needs of a part that complies there, and what stock gives of it.

    needed : pieces or cuts, None where that is not known; here : how many of them stock gives, at most ``needed``
    cut_m : length of each cut, None for parts that are counted
    matched : whether they must be alike, of one lot; sold : whether more of it would be bought here
    """

    needed: int | None
    here: int
    cut_m: float | None
    matched: bool
    sold: bool

    @property
    def enough(self):
        return self.needed is not None and self.here >= self.needed

    @property
    def to_buy(self):
        """How many are to be bought to use what is here; None where no more is bought, or nobody knows how many."""
        if self.enough:
            return 0
        if self.needed is None or not self.sold:
            return None
        return self.needed if self.matched else self.needed - self.here


def amounts_of(judge, fits):
    """An `Amount` for each of some fits of one place that comply, judged by the `Fits` ``judge``."""
    if not fits:
        return []
    place = fits[0].place
    kind = judge.chosen[place].kind
    count = len(fits)
    places = repeated(judge.places, np.full(count, place), [fit.use.factor for fit in fits])
    block = Block(judge.chooser, places, list(range(count)), kind, [judge.wanted[place]] * count, [kind] * count)
    picks = {role: np.array([fit.picks[role] for fit in fits]) for role in fits[0].picks}
    block.result = BlockResult(picks, block.quantities(picks))
    return [_amount(judge, block, n, fit) for n, fit in enumerate(fits)]


def _amount(judge, block, n, fit):
    quantity = float(block.result.quantities[fit.role][n])
    matched = judge.chooser.candidates[fit.use.family].pieces(fit.use.index) > 1
    sold = _sold(judge, block, n, fit)
    if not quantity > 0:
        return Amount(None, 0, fit.cut_m, matched, sold)
    if fit.cut_m is None:
        needed = counted(quantity)
        lots = [int(item.quantity) for item in judge.stock.uses[fit.use]]
        return Amount(needed, min(needed, max(lots) if matched else sum(lots)), None, matched, sold)
    needed, cut = cuts_of(quantity, fit.cut_m)
    here = sum(units_of_piece(length) // units_of_cut(cut) for length in fit.pieces_m)
    return Amount(needed, min(needed, here), cut, matched, sold)


def _sold(judge, block, n, fit):
    """Whether more of the part would be bought beside what there is: as a plan has it, none larger than the pick's."""
    if fit.role == CARRIES and fit.use.factor != 1.0:
        return False
    one, index, at = judge.chosen[fit.place], fit.use.index, np.array([n])
    plain = one.pick(fit.role) if one.status == "served" else -1
    if index == plain:
        return True
    solver = block.solver
    if not bool(solver.allowed[fit.role][at][0, index] and solver.common[fit.role][at][0, index]):
        return False
    if fit.role != one.kind.leading or plain < 0 or Prices(judge.chooser.candidates).any_given:
        return True
    ranks = solver.ranks[fit.role]
    rank = ranks.rank_of(ranks.combinations[ranks.group[n]])
    return bool(rank[index] <= rank[plain])
