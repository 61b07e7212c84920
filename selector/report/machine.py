"""What an explanation says of the alternator behind a row: the currents by its ratio, with the formula that gave them."""

from selector.physics.rectifier_ratios import (
    REACTANCE_LIMITED_LINE_RATIO,
    SINGLE_PHASE_LINE_RATIO,
    SINGLE_PHASE_SINE_LINE_RATIO,
    STIFF_LINE_RATIO,
)
from selector.report.result import plain

MODELS = (
    (STIFF_LINE_RATIO, "stiff source, the root of 2/3"),
    (REACTANCE_LIMITED_LINE_RATIO, "limited by its reactance, pi/(3 root 2)"),
    (SINGLE_PHASE_LINE_RATIO, "single phase, smooth dc current"),
    (SINGLE_PHASE_SINE_LINE_RATIO, "single phase limited by its reactance, pi/(2 root 2)"),
)
OTHER = "as set in supplies.csv"


def ratio_words(ratio):
    """The ratio of line rms to dc current, and where it comes from."""
    words = next((words for value, words in MODELS if abs(value - ratio) < 1e-9), OTHER)
    return f"{plain(ratio)} x the dc current ({words})"


def machine_lines(outcome, one):
    """Label and value of what is worked out from the alternator of a phase lead or rectifier."""
    columns, results, i = outcome.places.columns, one.results, one.place
    if one.kind.name not in ("phase lead", "rectifier") or columns["has_machine"][i] != 1:
        return
    rated, ratio = columns["machine_rated_current_a"][i], columns["machine_line_ratio"][i]
    if rated != rated:
        yield "the alternator's dc current", "not known"
        return
    lines = int(columns["machine_lines"][i])
    yield "the alternator gives, rectified", f"{plain(rated)} A for hours"
    yield "rms in each line", f"{plain(ratio * rated)} A = {ratio_words(ratio)}; set source model in supplies.csv"
    if abs(ratio - STIFF_LINE_RATIO) < 1e-9:
        yield "at least, if its reactance limits it", f"{plain(REACTANCE_LIMITED_LINE_RATIO * rated)} A"
    if lines == 3:
        yield "rms in each winding", f"{plain(results.get('winding_rms_a'))} A"
    mean, rms, peak, ripple = (
        results.get(f"{name}_a") for name in ("diode_average", "diode_rms", "diode_peak", "ripple_rms")
    )
    known = peak is not None and peak == peak
    peaks = f"{plain(peak)} A at its peak" if known else "peak not known: a ratio does not say the wave's shape"
    yield "each diode carries", f"{plain(mean)} A mean, {plain(rms)} A rms, {peaks}"
    yield "ripple that goes into the battery", f"{plain(ripple)} A rms"
    stated = columns["stated_current_a"][i]
    if one.kind.name == "phase lead" and stated < ratio * rated:
        yield "you state", f"{plain(stated)} A in each line, less than that: {plain(ratio * rated)} A is used"
    yield "frequency", f"{plain(results.get('frequency_low_hz'))} to {plain(results.get('frequency_high_hz'))} Hz"
    yield "highest voltage between lines, battery connected", f"{plain(results.get('phase_to_phase_v'))} V"
    if "conductor_skin_factor" in results:
        yield "resistance to these currents over that to dc", plain(results["conductor_skin_factor"])
