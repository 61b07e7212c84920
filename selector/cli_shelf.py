"""The command ``shelf``: a project's parts with what is in stock."""

from pathlib import Path
from typing import Annotated

import typer

from selector.errors import UsageError


def run_shelf(
    project, stock, connection, tables, rules, out, no_workbook, json_file, brief, csv_dir, left, encoding, tools
):
    """Work out and write everything; the exit code is that of ``pick``."""
    from selector import shelf as shelves
    from selector.report.shelf import for_data, for_text, left_csv, shelf_result, shelf_text
    from selector.report.text import summary_text

    alone = connection is not None
    tools.check_outputs(project, tables, None if no_workbook or alone else out, json_file, csv_dir)
    _check_left(left, project, stock)
    with tools.progress() as progress:
        shelf = shelves.run(project, stock, tables, rules, encoding, brief, progress)
    outcome = shelf.outcome
    if alone:
        place = shelves.place_of(outcome, connection)
        if json_file is not None:
            data = {"format": 1, "project": outcome.project.name, "connection": outcome.places.names[place],
                    "roles": for_data(shelf, place)}  # fmt: skip
            tools.write_json(json_file, data)
        if json_file != "-":
            typer.echo(for_text(shelf, place))
        raise typer.Exit(outcome.exit_code)
    path = None
    if not no_workbook:
        path = tools.write_workbook(outcome, out, shelf)
    if json_file is not None or csv_dir is not None:
        data = shelf_result(shelf, brief)
        if csv_dir is not None:
            from selector.report.files import write_csvs

            write_csvs(csv_dir, data)
        if json_file is not None:
            tools.write_json(json_file, data)
    if left is not None:
        from selector.report.files import write_whole

        write_whole(left, left_csv(shelf))
    quiet = json_file == "-"
    if not quiet:
        typer.echo(summary_text(outcome))
        typer.echo("")
        typer.echo(shelf_text(shelf))
    for what, name in (("Workbook", path), ("Left on the shelf", left)):
        if name is not None:
            typer.echo(f"{what}: {name}", err=quiet)
    raise typer.Exit(outcome.exit_code)


def _check_left(left, project, stock):
    """The list of what is left is a new file: what is there may be the only list of what somebody has."""
    if left is None:
        return
    if left.suffix.casefold() != ".csv":
        raise UsageError(f"--left: {left} is no .csv. Name the stock list to write, such as out/left.csv.")
    if left.exists():
        raise UsageError(f"--left: {left} is there already: nothing was written. Name another file.")


StockFile = Annotated[
    Path | None, typer.Option("--stock", help="Stock list; default: stock.csv of the project.", metavar="FILE")
]
ForConnection = Annotated[
    str | None, typer.Option("--for", help="Rank everything in stock for one connection.", metavar="CONNECTION")
]
LeftFile = Annotated[
    Path | None, typer.Option("--left", help="Write what is left on the shelf as a stock list.", metavar="FILE.csv")
]
