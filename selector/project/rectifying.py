"""What a rectifier's place has beside its alternator: shape of the wave, short-circuit and load-dump figures, loss balance."""

import numpy as np

from selector.project.filling import Filling
from selector.project.values import NAN, fold, of_class, or_nan, typed, volts_named
from selector.project.wanted import NONE

FIRST_MOMENT = "short-circuit current over rating, first moment"


class Rectifying(Filling):
    """Columns of rectifier rows; unknown elsewhere."""

    def _rectifiers(self):
        own = self.is_kind("rectifier")
        self.put("is_rectifier", own * 1.0)
        self._waves(own)
        self._first_moment(own)
        self._load_dump(own)
        self._efficiency(own)
        self._junction_spare(own)
        without = [row for row in np.flatnonzero(own) if fold(self.text("heatsink")[row] or "") in NONE]
        if without:
            self.questions.setdefault("heatsink", []).extend(int(row) for row in without)

    def _waves(self, own):
        """Peak of a diode's current over the dc current: by the model of the source, and in a short."""
        from selector.physics import rectifier_ratios as ratio

        lines = self.columns["machine_lines"]
        single = lines == 2
        sine = np.where(single, np.pi / 2.0, ratio.SINE_PEAK_RATIO)
        smooth_ratio = np.where(single, ratio.SINGLE_PHASE_LINE_RATIO, ratio.STIFF_LINE_RATIO)
        is_sine = self.columns["machine_is_sine"] == 1
        smooth = np.isclose(self.columns["machine_line_ratio"], smooth_ratio, rtol=0, atol=1e-4)
        peak = np.where(is_sine, sine, np.where(smooth, ratio.SMOOTH_PEAK_RATIO, NAN))
        self.put("machine_peak_over_dc", np.where(self.columns["has_machine"] == 1, peak, NAN))
        self.put("machine_short_peak_over_dc", np.where(own & ~np.isnan(lines), sine, NAN))

    def _first_moment(self, own):
        machines = [None if m is None or not mine else m for m, mine in zip(self.machine_of, own, strict=True)]
        stated = np.array([NAN if m is None else or_nan(m["short_circuit_current_a__high"]) for m in machines])
        self.put("machine_short_circuit_a", stated)
        has = np.array([m is not None for m in machines], dtype=bool) & np.isnan(stated)
        found = self._typical(FIRST_MOMENT, "alternator", np.full(self.count, NAN), has, "",
                              "first-moment short-circuit current over rating", "high")  # fmt: skip
        self.put("machine_short_over_dc", np.where(np.isnan(stated), found, 0.0))
        self._rests_on("machine_short_over_dc", has)

    def _rests_on(self, column, mask, question=""):
        """Note rows whose ``column`` is a typical value: where nothing but that stands in the way, they are incomplete,
        and the question is asked."""
        for row in np.flatnonzero(mask):
            self.typical_inputs.setdefault(int(row), {})[column] = question

    def _load_dump(self, own):
        """Highest voltage of the alternator without its battery: what its own diodes leave of it, else what is stated, or
        the high end of its voltage's class."""
        suppressed, stated = self.columns["machine_load_dump_suppressed_v"], self.columns["machine_load_dump_v"]
        peak = np.where(own, np.where(np.isnan(suppressed), stated, suppressed), NAN)
        nominal = self.columns["nominal_v"]
        rows = self.catalogue.rows("typicals.csv", what="load dump peak")
        typical = {volts_named(row["subject"]): typed(row["high"], row["unit"]) for row in rows}
        guarded = self.columns["has_suppressor"] == 1
        for volts in sorted(set(nominal[own & np.isnan(peak) & ~np.isnan(nominal)])):
            value = of_class(typical, volts)
            mask = own & np.isnan(peak) & (nominal == volts)
            if value is None:
                continue
            self.default("load dump peak", value, "V", "supplies.csv", mask & ~guarded, rows[0]["question"])
            self._rests_on("load_dump_peak_v", mask & ~guarded)
            peak = np.where(mask, value, peak)
        self.put("load_dump_peak_v", peak)

    def _efficiency(self, own):
        """Both ends of the range in which an alternator's efficiency lies, for its loss balance."""
        rows = self.catalogue.rows("typicals.csv", what="efficiency", subject="alternator")
        ends = [typed(rows[0][end], rows[0]["unit"]) for end in ("low", "high")] if rows else [NAN, NAN]
        if rows:
            self.default("alternator's efficiency, for its share of heat", f"{rows[0]['low']}..{rows[0]['high']}",
                         rows[0]["unit"], "typicals.csv", own, rows[0]["question"])  # fmt: skip
        for name, value in zip(("low", "high"), ends, strict=True):
            self.put(f"machine_efficiency_{name}", np.where(own, value, NAN))

    def _junction_spare(self, own):
        what = "junction temperature spare"
        if what not in self.settings.stated and "r10" not in self.settings.spare_by_code:
            self.default(what, self.settings.number(what), "K", "settings.csv", own, self.settings.questions[what])
