"""Facts: named columns worked out for a place, or for a place with candidate parts; one function a fact."""

from functools import cache

STAND_INS = {"phase lead": ("alternating",), "rectifier": ("rectifying",), "suppressor": ("suppressing",),
             "freewheel": ("freewheeling",)}  # fmt: skip
"""Modules whose facts stand in, for one kind of connection, for the facts of the same names."""


def registry(kind=None):
    """The registry of every fact the program ships, as a connection of ``kind`` reads them."""
    return _registry(STAND_INS.get(kind, ()))


@cache
def _registry(stand_ins):
    from importlib import import_module

    from selector.facts import conductor, control, distribution, joining, machine, place, protection, terminal
    from selector.facts.evaluator import Registry

    own = [import_module(f"selector.facts.{name}") for name in stand_ins]
    return Registry(
        (place, machine, conductor, distribution, protection, terminal, joining, control, *own), END_COLUMNS
    )


END_COLUMNS = ("stud_diameter_m", "terminal_limit_k", "hottest_k", "palm_space_m", "has_palm_space", "hottest_stated")
