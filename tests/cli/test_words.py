"""Plain values go past typer's validation, and mean what they mean with it."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Annotated

import pytest
import typer
from typer.core import TyperCommand
from typer.testing import CliRunner

from selector import cli_words

WORDS = [
    ["boat"],
    ["boat", "--out", "here.xlsx"],
    [".", "--out", "-", "--rules", "general", "--brief"],
    ["--rules", "", "boat"],
    ["boat", "--times", "3"],
]
WRONG = [[], ["boat", "--times", "three"], ["boat", "--no-such"], ["boat", "--out"]]


def taken(words, cls):
    """What a command gets of these words, with the exit code and what is printed."""
    app, got = typer.Typer(), []

    @app.command(cls=cls)
    def take(
        project: Annotated[Path, typer.Argument()],
        out: Annotated[Path | None, typer.Option()] = None,
        rules: Annotated[str | None, typer.Option()] = None,
        times: Annotated[int, typer.Option()] = 1,
        brief: Annotated[bool, typer.Option("--brief")] = False,
    ):
        got.append((project, out, rules, times, brief))

    result = CliRunner().invoke(app, words)
    return got, result.exit_code, result.output


@pytest.mark.parametrize("words", [*WORDS, *WRONG], ids=" ".join)
def test_a_command_gets_what_typer_would_give_it(words):
    assert taken(words, cli_words.Command) == taken(words, TyperCommand)


def test_a_path_that_may_not_be_read_goes_on_to_typer(tmp_path, monkeypatch):
    locked = tmp_path / "locked.csv"
    locked.write_text("")
    monkeypatch.setattr(os, "access", lambda path, mode: False)
    assert taken([str(locked)], cli_words.Command) == taken([str(locked)], TyperCommand)


def test_a_run_without_numbers_loads_no_validation(tmp_path):
    code = "import sys; from selector.cli import main\ntry: main()\nexcept SystemExit: pass\nprint('pydantic' in sys.modules)"
    words = ["new", str(tmp_path / "boat")]
    run = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "False"
