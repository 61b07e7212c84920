"""Formulas, once: Kelvin inside, no tables, no units, no rounding; each readable as in ``selector.maths``."""
