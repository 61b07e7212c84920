"""Verdicts of many tuples in arrays, read row by row when somebody asks."""

import numpy as np

from selector.choosing.checks import FAIL, PASS, UNKNOWN, judge, margins_of

TIE_DIGITS = 9
"""Digits of a margin that count when margins are compared: of equal ones the first check governs, not a last bit."""


class VerdictTable:
    """Verdicts of many tuples: arrays of shape (checks, tuples), read row by row when somebody asks.

    ``keep_only`` drops all but some tuples; the others then have none to show.
    """

    def __init__(self, checks, status, applies, actual, limit, margin):
        self.checks = checks
        self.rows = None
        self.status, self.applies = status, applies
        self.actual, self.limit, self.margin = actual, limit, margin

    @classmethod
    def judged(cls, checks, evaluation, spares, count):
        """The verdicts on ``count`` cases, those of ``evaluation``."""
        shape = (len(checks), count)
        status, applies = np.empty(shape, dtype=np.int8), np.empty(shape, dtype=bool)
        actual, limit = np.empty(shape), np.empty(shape)
        for number, check in enumerate(checks):
            verdict = judge(check, evaluation, spares[check.code])
            status[number, :, None], applies[number, :, None] = verdict.status, verdict.applies
            actual[number, :, None], limit[number, :, None] = verdict.actual, verdict.limit
        return cls(checks, status, applies, actual, limit, margins_of(checks, actual, limit))

    def worst(self, starts):
        """The table of the case with the worst status of each check, then the least margin, among those it applies to.

        The cases of a tuple stand together; ``starts`` says where each tuple's begin.
        """
        cases = self.status.shape[1]
        margin = np.clip(np.where(np.isnan(self.margin), -1e6, self.margin), -1e6, 1e6)
        score = np.where(self.applies, self.status * 1e12 + margin, np.inf)
        least = np.minimum.reduceat(score, starts, axis=1).repeat(np.diff(starts, append=cases), axis=1)
        first = np.minimum.reduceat(np.where(score == least, np.arange(cases), cases), starts, axis=1)
        arrays = self.status, self.applies, self.actual, self.limit, self.margin
        return VerdictTable(self.checks, *(np.take_along_axis(own, first, axis=1) for own in arrays))

    def keep_only(self, rows):
        self.rows = {int(row): i for i, row in enumerate(rows)}
        for name in ("status", "applies", "actual", "limit", "margin"):
            setattr(self, name, getattr(self, name)[:, rows])

    def of(self, row):
        if self.rows is not None:
            if row not in self.rows:
                return []
            row = self.rows[row]
        return [
            (self.checks[n], int(self.status[n, row]), float(self.actual[n, row]), float(self.limit[n, row]))
            for n in np.flatnonzero(self.applies[:, row])
        ]

    def open_musts(self):
        """Which musts do not pass, (checks, tuples)."""
        own = np.array([check.must for check in self.checks], dtype=bool)
        return self.applies & (self.status != PASS) & own[:, None]

    def fails_of(self, at):
        """The musts tuple ``at`` does not pass: (check, actual, limit)."""
        return [
            (self.checks[n], float(self.actual[n, at]), float(self.limit[n, at]))
            for n in np.flatnonzero(self.open_musts()[:, at])
        ]

    def failing(self, severity):
        """Rows with a check of this severity that fails."""
        own = np.array([check.severity == severity for check in self.checks], dtype=bool)
        return np.flatnonzero((self.applies & (self.status == FAIL) & own[:, None]).any(axis=0))

    def least_margins(self):
        """Code of the numeric must with the least margin of each tuple, kelvin counted by the hundred."""
        if not self.checks:  # a family of the builder's own without a check
            return [None] * self.status.shape[1]
        numeric = np.array([check.must and not check.yes_no for check in self.checks], dtype=bool)
        share = np.array([margin_scale(check) for check in self.checks])
        with np.errstate(all="ignore"):
            margin = np.round(self.margin / share[:, None], TIE_DIGITS)
        usable = self.applies & (self.status != UNKNOWN) & numeric[:, None] & np.isfinite(margin)
        margin = np.where(usable, margin, np.inf)
        best = margin.argmin(axis=0)
        return [self.checks[n].code if usable[n, i] else None for i, n in enumerate(best)]


def margin_scale(check):
    """Kelvin margins beside shares of a limit: 100 K counts as the whole."""
    return 100.0 if check.margin_in_k else 1.0
