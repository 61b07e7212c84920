"""The command line: each command parses, calls one function, prints and exits."""

# ruff: noqa: E402
import gc
import os
import signal

_QUIET = signal.getsignal(signal.SIGINT) is signal.default_int_handler
if _QUIET:
    try:  # an interrupt while modules load ends the program without a word: nothing is written yet
        signal.signal(signal.SIGINT, lambda *_: os._exit(130))
    except ValueError:  # not the main thread
        _QUIET = False

import sys
from contextlib import suppress
from pathlib import Path
from typing import Annotated

import typer

from selector import __version__
from selector.cli_shelf import ForConnection, LeftFile, StockFile
from selector.cli_tables import register
from selector.cli_words import Command, Group

app = typer.Typer(
    name="selector",
    cls=Group,
    help="Choose every wire, fuse, lug and sleeve of a battery power system, and say why.",
    no_args_is_help=True,
    rich_markup_mode=None,
    add_completion=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
tables_app = typer.Typer(
    cls=Group, help="Look at the reference tables and check them.", no_args_is_help=True, rich_markup_mode=None
)
app.add_typer(tables_app, name="tables")
register(tables_app)

ProjectPath = Annotated[
    Path, typer.Argument(help="Project folder with connections.csv, or one .xlsx.", metavar="PROJECT")
]
TablesDir = Annotated[
    Path | None, typer.Option("--tables", help="Folder of reference tables; default: those that came with the program.")
]
Rules = Annotated[
    str | None,
    typer.Option("--rules", help="Rule set: general, us-small-craft, intl-small-craft, aircraft, or one of yours."),
]
OutFile = Annotated[Path | None, typer.Option("--out", help="Workbook to write; default out/<project>.xlsx.")]
NoWorkbook = Annotated[bool, typer.Option("--no-workbook", help="Write no workbook.")]
JsonFile = Annotated[
    str | None, typer.Option("--json", help="Write the result as JSON to a file, or to standard output with -.")
]
Brief = Annotated[bool, typer.Option("--brief", help="Leave out checks, near misses and what holds until when.")]
CsvDir = Annotated[
    Path | None, typer.Option("--csv", help="Write picks.csv, checks.csv and parts.csv into this folder.")
]
Encoding = Annotated[
    str | None, typer.Option("--encoding", help="Encoding of the CSV files, where it is not found right.")
]
JsonFlag = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]


def _version(value: bool):
    if value:
        typer.echo(f"selector {__version__}")
        raise typer.Exit()


@app.callback()
def _main(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
    traceback: Annotated[bool, typer.Option("--traceback", help="Show where in the program an error arose.")] = False,
) -> None:
    if traceback:
        os.environ["SELECTOR_TRACEBACK"] = "1"


@app.command(cls=Command)
def new(folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make.")]) -> None:
    """Write an empty project with headers and hints.

    Example: selector new myboat
    """
    from selector.demo import write_empty

    for path in write_empty(folder):
        typer.echo(path)
    typer.echo(f"Fill in connections.csv, then: selector pick {folder}")


@app.command(cls=Command)
def demo(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to write the demo into.")],
    tables: TablesDir = None,
    out: OutFile = None,
) -> None:
    """Write our river workboat, pick its parts, write its workbook, and say what to look at.

    Example: selector demo out/workboat
    """
    from selector import pipeline
    from selector.demo import LOOK_AT, write_demo
    from selector.report.text import summary_text

    write_demo(folder)
    outcome = pipeline.run(folder, tables=tables)
    path = _write_workbook(outcome, out)
    typer.echo(summary_text(outcome))
    typer.echo("")
    typer.echo(f"Workbook: {path}")
    typer.echo("What to look at:")
    for sentence in LOOK_AT:
        typer.echo(f"  {sentence}")


@app.command(cls=Command)
def pick(
    project: ProjectPath,
    tables: TablesDir = None,
    rules: Rules = None,
    out: OutFile = None,
    no_workbook: NoWorkbook = False,
    json_file: JsonFile = None,
    brief: Brief = False,
    csv_dir: CsvDir = None,
    encoding: Encoding = None,
) -> None:
    """Pick the smallest compliant part for every connection and write the workbook.

    Example: selector pick myboat --rules us-small-craft --json out/myboat.json
    """
    _run(project, tables, rules, out, no_workbook, json_file, brief, csv_dir, encoding, as_built=False)


@app.command(cls=Command)
def check(
    project: ProjectPath,
    tables: TablesDir = None,
    rules: Rules = None,
    out: OutFile = None,
    no_workbook: NoWorkbook = False,
    json_file: JsonFile = None,
    brief: Brief = False,
    csv_dir: CsvDir = None,
    encoding: Encoding = None,
) -> None:
    """Judge a project as built: every part is yours, nothing is filled in.

    Example: selector check myboat --no-workbook
    """
    _run(project, tables, rules, out, no_workbook, json_file, brief, csv_dir, encoding, as_built=True)


@app.command(cls=Command)
def shelf(
    project: ProjectPath,
    stock: StockFile = None,
    connection: ForConnection = None,
    tables: TablesDir = None,
    rules: Rules = None,
    out: OutFile = None,
    no_workbook: NoWorkbook = False,
    json_file: JsonFile = None,
    brief: Brief = False,
    csv_dir: CsvDir = None,
    left: LeftFile = None,
    encoding: Encoding = None,
) -> None:
    """Use what is on the shelf: parts in stock where they comply, the least to buy, a cut plan, what is left.

    Example: selector shelf myboat --stock boxes.csv --left out/left.csv
    """
    from types import SimpleNamespace

    from selector.cli_shelf import run_shelf

    tools = SimpleNamespace(
        check_outputs=_check_outputs, progress=_progress, write_workbook=_write_workbook, write_json=_write_json
    )
    run_shelf(
        project, stock, connection, tables, rules, out, no_workbook, json_file, brief, csv_dir, left, encoding, tools
    )


def _write_json(json_file, data):
    from selector.report.files import write_whole
    from selector.report.result import to_json

    if json_file == "-":
        _echo_json(data)
    else:
        write_whole(json_file, to_json(data))


def _run(project, tables, rules, out, no_workbook, json_file, brief, csv_dir, encoding, as_built):
    from selector import pipeline
    from selector.report.text import summary_text

    _check_outputs(project, tables, None if no_workbook else out, json_file, csv_dir)
    with _progress() as progress:
        outcome = pipeline.run(project, tables, rules, encoding, brief, as_built, progress)
    path = None
    if not no_workbook:
        from selector.upkeep.effect import changed_since, record_tables

        outcome.notes += changed_since(outcome, out)
        path = _write_workbook(outcome, out)
        record_tables(outcome, out)
    if json_file is not None or csv_dir is not None:
        from selector.report.files import write_csvs
        from selector.report.result import result

        data = result(outcome, brief)
        if csv_dir is not None:
            write_csvs(csv_dir, data)
        if json_file is not None:
            _write_json(json_file, data)
    if json_file != "-":
        typer.echo(summary_text(outcome))
        if path is not None:
            typer.echo(f"Workbook: {path}")
    elif path is not None:
        typer.echo(f"Workbook: {path}", err=True)
    raise typer.Exit(outcome.exit_code)


def _check_outputs(project, tables, out, json_file, csv_dir):
    """Refuse, before any work, outputs that are no file names or would replace what the user wrote."""
    from selector.catalogue.catalogue import shipped_tables
    from selector.errors import UsageError
    from selector.project.declarations import FILES

    if out is not None and (out.suffix.casefold() != ".xlsx" or out.is_dir()):
        raise UsageError(
            f"--out: {out} is {'a folder' if out.is_dir() else 'no .xlsx'}. Name the workbook to write, such as out/boat.xlsx."
        )
    outputs = [("--out", out), ("--json", None if json_file in (None, "-") else Path(json_file))]
    if csv_dir is not None:
        outputs += [("--csv", csv_dir / name) for name in ("picks.csv", "checks.csv", "parts.csv")]
    folders = {os.path.realpath(f) for f in (project / "tables", tables or shipped_tables())}
    taken = {}
    for option, path in outputs:
        if path is None:
            continue
        real = os.path.realpath(path)
        folder, name = os.path.split(real)
        of_project = folder == os.path.realpath(project) and name.casefold() in FILES
        if real == os.path.realpath(project) or of_project or (folder in folders and os.path.exists(real)):
            raise UsageError(f"{option}: {path} is part of what is read. Name another file.")
        other = taken.setdefault(real, option)
        if other != option:
            raise UsageError(f"{option}: {path} is the file of {other} as well. Name two files.")


def _echo_json(data):
    """JSON on standard output: UTF-8 whatever the terminal's encoding."""
    from selector.report.result import to_json

    reconfigure = getattr(sys.stdout, "reconfigure", None)
    if callable(reconfigure):
        reconfigure(encoding="utf-8")
    typer.echo(to_json(data), nl=False)


def _write_workbook(outcome, out, shelf=None):
    from selector.errors import OutputError
    from selector.report.workbook import write_workbook

    path = out if out is not None else Path("out") / f"{outcome.project.name}.xlsx"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"{path}: the folder could not be made ({error.strerror or error}); nothing was replaced."
        ) from error
    write_workbook(outcome, path, shelf)
    return path


@app.command(cls=Command)
def explain(
    project: ProjectPath,
    connection: Annotated[str, typer.Argument(help="Name of a connection.", metavar="CONNECTION")],
    tables: TablesDir = None,
    rules: Rules = None,
    encoding: Encoding = None,
) -> None:
    """Show all of one connection: what it sees, what was assumed, every check, what the next smaller part would break.

    The node of an alternator that charges more than it was made for gives the review of its conversion.

    Example: selector explain myboat windlass
    """
    from selector import pipeline
    from selector.catalogue.reading import fold_key
    from selector.errors import UsageError, nearest, quoted
    from selector.report.conversion import review_of
    from selector.report.conversion_text import review_text
    from selector.report.text import explain_text

    outcome = pipeline.run(project, tables, rules, encoding)
    wanted = fold_key(connection)
    names = [outcome.places.names[one.place] for one in outcome.chosen]
    for one, name in zip(outcome.chosen, names, strict=True):
        if fold_key(name) == wanted:
            typer.echo(explain_text(outcome, one))
            raise typer.Exit(0 if one.status == "served" else 1)
    review = review_of(outcome, connection)
    if review is not None:
        typer.echo(review_text(outcome, review))
        raise typer.Exit(0 if review.is_clear else 1)
    near = nearest(connection, [*names, *(own.name for own in outcome.reviews)])
    raise UsageError(
        f"{quoted(connection)} is not a connection of {outcome.project.name} that is worked out."
        + (f" Did you mean '{near}'?" if near else "")
    )


_OF_A_BENCH = ("measured", "meter_resolution", "meter_accuracy")


def _identify(context, measured, ambient, resolution, accuracy, tables, json_out):
    """Say what an unmarked part can be, and end: 0 where something fits its readings."""
    from selector.catalogue.bench import identify
    from selector.catalogue.catalogue import load
    from selector.errors import UnitError, UsageError
    from selector.report.bench import identified_data, identified_text

    allowed = {*_OF_A_BENCH, "ambient", "tables", "json_out"}
    stated = [p for p in context.command.params if context.get_parameter_source(p.name).name == "COMMANDLINE"]
    if foreign := [p.opts[0] for p in stated if p.name not in allowed]:
        raise UsageError(f"--measured stands alone: leave out {', '.join(foreign)}.")
    air_k = _one_value("--ambient", ambient, "degC", least=-60)
    resolution_a = _one_value("--meter-resolution", resolution, "mA", least=1e-6)
    share = _one_value("--meter-accuracy", accuracy, "%", most=20)
    try:
        found = identify(measured, load(tables), air_k, resolution_a, share)
    except UnitError as error:
        raise UsageError(str(error.at("", None, "--measured"))) from None
    if json_out:
        _echo_json(identified_data(found))
    else:
        typer.echo(identified_text(found))
    raise typer.Exit(0 if found.candidates else 1)


def _one_value(option, text, unit, least=0.0, most=200.0):
    """The value of an option in its inner unit, None where it was not given; bounds are in ``unit``."""
    from selector.errors import Problem, UnitError, UsageError, quoted
    from selector.units import find_unit, parse_quantity

    if text is None:
        return None
    try:
        low, high = parse_quantity(text, unit)
    except UnitError as error:
        raise UsageError(str(error.at("", None, option))) from None
    if low != high or not least <= find_unit(unit).from_inner(low) <= most:
        found = f"{quoted(text)} is not one value from {least:g} to {most:g} {unit}"
        raise UsageError(str(Problem("", None, option, found, f"Write a number of {unit}.")))
    return low


NEEDS_PROJECT = {
    "phase lead": "the alternator it begins at",
    "rectifier": "the alternator it begins at",
    "joint": "which wires meet",
    "suppressor": "the alternator, and what stands at its node",
    "freewheel": "the coil it lies across",
}
"""Kinds one row of options cannot describe, and what they want."""


@app.command(cls=Command)
def size(
    context: typer.Context,
    current: Annotated[str | None, typer.Option("--current", help="Continuous current, A or with its unit.")] = None,
    length: Annotated[
        str | None, typer.Option("--length", help="One way, m or with its unit: --length '12 ft'.")
    ] = None,
    volts: Annotated[str, typer.Option("--volts", help="Nominal voltage, V.")] = "12",
    kind: Annotated[str, typer.Option("--kind", help="cable or control wire.")] = "cable",
    power: Annotated[str | None, typer.Option("--power", help="Power in place of a current, W.")] = None,
    efficiency: Annotated[str | None, typer.Option("--efficiency", help="Of the load given as power, %.")] = None,
    peak_current: Annotated[
        str | None, typer.Option("--peak-current", help="Greatest current for a short time, A.")
    ] = None,
    peak_time: Annotated[str | None, typer.Option("--peak-time", help="How long the peak lasts, s.")] = None,
    ambient: Annotated[str | None, typer.Option("--ambient", help="Warmest air, degC.")] = None,
    drop: Annotated[str | None, typer.Option("--drop", help="Greatest drop: '3 %' or '0.4 V'.")] = None,
    return_: Annotated[str | None, typer.Option("--return", help="pair, single or chassis.")] = None,
    grouped_with: Annotated[
        str | None, typer.Option("--grouped-with", help="Other loaded conductors that touch it.")
    ] = None,
    laid: Annotated[str | None, typer.Option("--laid", help="apart, touching, clipped, in tube, under lining.")] = None,
    air_speed: Annotated[str | None, typer.Option("--air-speed", help="Air stream across the wire, m/s.")] = None,
    altitude: Annotated[str | None, typer.Option("--altitude", help="Height above the sea, m.")] = None,
    engine_space: Annotated[bool, typer.Option("--engine-space", help="The run lies in an engine space.")] = False,
    wet: Annotated[bool, typer.Option("--wet", help="Water reaches it.")] = False,
    oil: Annotated[bool, typer.Option("--oil", help="Oil reaches it.")] = False,
    fuel_vapour: Annotated[bool, typer.Option("--fuel-vapour", help="Fuel vapour may gather there.")] = False,
    enclosed: Annotated[bool, typer.Option("--enclosed", help="A closed box of still air.")] = False,
    sheathed: Annotated[bool, typer.Option("--sheathed", help="The wire is in a sheath.")] = False,
    stud: Annotated[
        str | None, typer.Option("--stud", help="Stud at both ends, such as M8; without it no lugs are chosen.")
    ] = None,
    terminal_limit: Annotated[
        str | None, typer.Option("--terminal-limit", help="What both terminals may reach, degC.")
    ] = None,
    hottest: Annotated[str | None, typer.Option("--hottest", help="Terminals in service, degC.")] = None,
    insulation: Annotated[str | None, typer.Option("--insulation", help="Insulation to take.")] = None,
    conductor: Annotated[str | None, typer.Option("--conductor", help="Your wire, to be judged.")] = None,
    protection: Annotated[str | None, typer.Option("--protection", help="Your fuse or breaker, or none.")] = None,
    short_circuit: Annotated[
        str | None, typer.Option("--short-circuit", help="Short-circuit current of the supply, A.")
    ] = None,
    spare: Annotated[str | None, typer.Option("--spare", help="Room above every limit, %.")] = None,
    measured: Annotated[
        str | None,
        typer.Option("--measured", help="Bench readings of an unmarked part: '0 A at 20 V; 0.1 A at 27 V'."),
    ] = None,
    meter_resolution: Annotated[
        str | None, typer.Option("--meter-resolution", help="Least current the meter shows, mA.")
    ] = None,
    meter_accuracy: Annotated[
        str | None, typer.Option("--meter-accuracy", help="How far its voltage may be wrong, %.")
    ] = None,
    tables: TablesDir = None,
    rules: Rules = None,
    json_out: JsonFlag = False,
) -> None:
    """Size one connection from options, or say what an unmarked part is; units may be written with the values.

    Example: selector size --current 40 --length "12 ft" --volts 12 --ambient 45 --stud M8
    """
    if measured is not None:
        _identify(context, measured, ambient, meter_resolution, meter_accuracy, tables, json_out)
    from selector import pipeline
    from selector.catalogue.catalogue import load
    from selector.errors import ProjectError, UsageError, quoted
    from selector.project.single import options_error, single_project
    from selector.report.text import explain_text

    if meter_resolution is not None or meter_accuracy is not None:
        raise UsageError("--meter-resolution and --meter-accuracy go with --measured.")
    if kind.strip().casefold() in NEEDS_PROJECT:
        raise UsageError(f"--kind: a {kind.strip().casefold()} needs what only a project can say: "
                         f"{NEEDS_PROJECT[kind.strip().casefold()]}. Start one with selector new DIR.")  # fmt: skip
    drop_header = "drop limit [V]" if drop and drop.strip().casefold().endswith("v") else "drop limit [%]"
    cells = {
        "current [A]": current, "length [m]": length, "power [W]": power, "efficiency [%]": efficiency,
        "peak current [A]": peak_current, "peak time [s]": peak_time, drop_header: drop, "return": return_,
        "grouped with": grouped_with, "laid": laid, "sheathed": "yes" if sheathed else None,
        "insulation": insulation, "conductor": conductor, "protection": protection,
    }  # fmt: skip
    flags = {"engine space": engine_space, "wet": wet, "oil": oil, "fuel vapour": fuel_vapour, "enclosed": enclosed}
    zone = {"ambient [degC]": ambient, "air speed [m/s]": air_speed, "altitude [m]": altitude}
    zone |= {name: "yes" for name, value in flags.items() if value}
    node = {"stud": stud or "none", "terminal limit [degC]": terminal_limit, "hottest [degC]": hottest}
    supply = {"type": "battery", "short-circuit current [A]": short_circuit} if short_circuit else {}
    project = single_project(kind, volts, cells, zone, node, supply, {"spare": spare})
    catalogue = load(tables)
    try:
        outcome = pipeline.choose(project, catalogue, rules)
    except ProjectError as error:
        raise options_error(error.problems) from None
    if not outcome.chosen:
        raise UsageError(f"--kind: {quoted(kind)} is not worked out yet. Write cable or control wire.")
    if json_out:
        from selector.report.result import result

        _echo_json(result(outcome))
    else:
        for one in outcome.chosen:
            typer.echo(explain_text(outcome, one))
        if stud is None:
            typer.echo("\nNo lugs and sleeves: say --stud to have them chosen.")
    raise typer.Exit(outcome.exit_code)


@tables_app.command("check", cls=Command)
def tables_check(tables: TablesDir = None, json_out: JsonFlag = False) -> None:
    """Check every table: form, keys, references, sources, and the physics of its rows.

    Example: selector tables check --tables ./tables
    """
    from selector.upkeep.audit import audit

    report = audit(_tables_folder(tables))
    if json_out:
        _echo_json(report)
    else:
        for table in report["tables"]:
            typer.echo(f"{table['table']:<24}{table['rows']:>6} rows  {table['memory']:>5} from memory")
        for finding in report["findings"]:
            typer.echo(f"! {finding}")
        typer.echo("clean" if not report["findings"] else f"{len(report['findings'])} findings")
    raise typer.Exit(1 if report["findings"] else 0)


@tables_app.command("show", cls=Command)
def tables_show(
    part: Annotated[str, typer.Argument(help="Key of a row, or words that stand in one.", metavar="PART")],
    tables: TablesDir = None,
    json_out: JsonFlag = False,
) -> None:
    """Show a part, with what its row says and where each figure is from.

    Example: selector tables show "8 AWG tinned silicone 200"
    """
    from selector.errors import UsageError
    from selector.upkeep.audit import show

    if not part.strip():
        raise UsageError("PART is empty. Write the key of a row, or words that stand in one.")
    found = show(_tables_folder(tables), part)
    if json_out:
        _echo_json(found)
        return
    for row in found:
        typer.echo(f"{row['table']} line {row['line']}: {row['key']}")
        for header, value in row["cells"].items():
            typer.echo(f"  {header}: {value}")
        typer.echo(f"  source: {row['source']}")
        for change in row["history"]:
            old, new = change["old_value"] or "empty", change["new_value"] or "empty"
            typer.echo(f"  {change['when']} {change['what']}: {change['column']} {old} -> {new} ({change['source']})")
        typer.echo("")


@tables_app.command("facts", cls=Command)
def tables_facts(json_out: JsonFlag = False) -> None:
    """List the names checks may use: facts, and columns of places and parts.

    Example: selector tables facts
    """
    from selector.upkeep.audit import facts

    found = facts()
    if json_out:
        _echo_json(found)
        return
    for row in found:
        unit = f" [{row['unit']}]" if row["unit"] else ""
        typer.echo(f"{row['name']}{unit}: {row['what']}")


def _tables_folder(tables):
    """The folder named, else ./tables where there is one, else the shipped tables."""
    if tables is not None:
        return tables
    here = Path("tables")
    return here if here.is_dir() else None


def _progress():
    """A progress bar on standard error, only on a terminal."""
    from contextlib import contextmanager

    @contextmanager
    def bar():
        if not sys.stderr.isatty():
            yield None
            return
        from rich.progress import Progress

        with Progress(transient=True, console=_stderr_console()) as progress:
            task = progress.add_task("choosing", total=None, visible=False)

            def step(done, total):
                progress.update(task, completed=done, total=total, visible=total > 2000)

            yield step

    return bar()


def _stderr_console():
    from rich.console import Console

    return Console(stderr=True)


GARBAGE_THRESHOLD = 500_000
"""Objects made between two looks for garbage: a run makes many and drops few in rings, so the usual 700 costs time."""


def run():
    """The command line as a process of its own, which ends at once: taking all it made apart first is a fortieth of a run."""
    try:
        main()
        code = 0
    except SystemExit as end:
        code = 0 if end.code is None else end.code
    if not isinstance(code, int) or sys.getprofile() or sys.gettrace():  # whoever measures is to be asked at the end
        raise SystemExit(code)
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):
            stream.flush()
    os._exit(code)


def main(argv=None):
    """Run the command line; errors are one line each on standard error and an exit code, never a traceback."""
    try:
        _run_commands(argv)
    except BaseException as error:
        ended = isinstance(error, SystemExit) and error.code in (None, 0, 130)
        if not _stopped or ended:
            raise
        typer.echo("interrupted", err=True)  # whatever Python made of it on the way, such as an error in an import
        raise SystemExit(130) from None


_stopped = False


def _stop(*_):
    global _stopped
    _stopped = True
    raise KeyboardInterrupt


def _run_commands(argv):
    from selector.errors import SelectorError

    sys.unraisablehook = _not_lost
    if _QUIET and argv is None:
        signal.signal(signal.SIGINT, _stop)
    try:
        try:
            gc.set_threshold(GARBAGE_THRESHOLD)
            _steady_streams()
            app(argv, standalone_mode=True)
        finally:
            sys.stdout.flush()
            if _QUIET and argv is None:  # all is done; an interrupt has nothing left to stop
                signal.signal(signal.SIGINT, signal.SIG_IGN)
    except KeyboardInterrupt:
        typer.echo("interrupted", err=True)
        raise SystemExit(130) from None
    except BrokenPipeError:
        _drop_output()
        raise SystemExit(1) from None
    except SelectorError as error:
        if os.environ.get("SELECTOR_TRACEBACK"):
            raise
        typer.echo(f"error: {error}", err=True)
        raise SystemExit(error.exit_code) from None
    except OSError as error:
        if os.environ.get("SELECTOR_TRACEBACK"):
            raise
        _drop_output()
        where = f"{str(error.filename)[:200]}: " if error.filename else ""
        typer.echo(f"error: {where}{error.strerror or error}", err=True)
        raise SystemExit(2 if error.filename else 4) from None
    except MemoryError:
        typer.echo("error: not enough memory for a project of this size", err=True)
        raise SystemExit(3) from None


def _not_lost(unraisable):
    """An interrupt that arrives where Python may raise nothing is sent again a moment later instead of being dropped."""
    if unraisable.exc_type is KeyboardInterrupt:
        import _thread
        import threading

        again = threading.Timer(0.02, _thread.interrupt_main)
        again.daemon = True
        again.start()
    else:
        sys.__unraisablehook__(unraisable)


def _steady_streams():
    """Standard streams that are there and never fail on a character."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:  # closed by the caller
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")


def _drop_output():
    """What is still to be printed goes nowhere, so that the end of the program does not fail on it again."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115


if _QUIET:
    signal.signal(signal.SIGINT, signal.default_int_handler)
