"""Words and paths of the command line, taken as they are.

typer has every value validated by a library whose import takes longer than reading all tables. A word needs no
validation, a path next to none: here they go past it, and whatever is not plain goes on to typer as before.
"""

import os
from pathlib import Path

from typer.core import TyperCommand, TyperGroup


class _Plain:
    """Takes options left out, words, and paths that may be read, without having them validated."""

    def get_params(self, ctx):
        params = super().get_params(ctx)  # ty: ignore[missing-attribute]
        for param in params:
            if "process_value" not in vars(param) and param.nargs == 1 and not getattr(param, "multiple", False):
                param.process_value = _past_validation(param)
        return params


class Command(_Plain, TyperCommand):
    """A command that takes plain values as they are."""


class Group(_Plain, TyperGroup):
    """A group of commands that takes plain values of its own options as they are."""


def _past_validation(param):
    """The parameter's ``process_value(ctx, value)``, with a short way for what is plain."""
    validate = param.process_value
    wanted = getattr(getattr(param, "type_descriptor", None), "annotation", None)  # typer's own; None where it has none

    def process_value(ctx, value):
        if value is None:
            plain = not param.required
        elif isinstance(value, str) and wanted is Path:
            plain = os.access(value, os.R_OK) or not os.path.lexists(value)
            value = Path(value) if plain else value
        else:
            plain = isinstance(value, str) and wanted is str
        if not plain:
            return validate(ctx, value)
        return value if param.callback is None else param.callback(ctx, param, value)

    return process_value
