"""What an explanation and the workbook say of a rectifier's heat: how much, how hot, and its share of the alternator's."""

from selector.report.result import plain

RULE_OF_THUMB = "the trade often says half"


def heat_lines(outcome, one):
    """Label and value of a rectifier's heat; nothing for other kinds, or where its loss is not known."""
    results, i = one.results, one.place
    loss = results.get("module_loss_w", float("nan"))
    if one.kind.name != "rectifier" or loss != loss:
        return
    yield "the rectifier makes", f"{plain(loss)} W of heat, {plain(results['diode_loss_w'])} W in each diode"
    junction = results["junction_k"]
    if junction == junction:
        sink, case, hot = (plain(results[name] - 273.15) for name in ("sink_k", "case_k", "junction_k"))
        yield "it runs at", f"{sink} degC on the sink, {case} degC on the case, {hot} degC in the junctions"
    share = share_sentence(outcome, one)
    if share:
        yield "share of the alternator's heat", share
    enclosed = outcome.places.columns["enclosed"][i] == 1
    still = " of a closed box: still" if enclosed else ""
    yield "air at the sink", f"that of its zone{still}; where something warms it first, give that temperature there"


def share_sentence(outcome, one):
    """How much of the alternator's whole heat leaves it with the rectifier, by a loss balance; empty where unknown."""
    low, high = (one.result(f"heat_share_{end}") for end in ("low", "high"))
    if low != low or high != high:
        return ""
    poor, good = (outcome.places.columns[f"machine_efficiency_{end}"][one.place] for end in ("low", "high"))
    return (
        f"{plain(100 * low)} to {plain(100 * high)} %, by a loss balance at {plain(100 * poor)} to {plain(100 * good)} % "
        f"efficiency ({RULE_OF_THUMB}); that much leaves the machine with its rectifier, the rest stays"
    )
