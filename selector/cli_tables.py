"""Commands that take datasheets into the tables, show what changed, and take it back."""

from pathlib import Path
from typing import Annotated

import typer

from selector.cli_words import Command

TablesFolder = Annotated[Path | None, typer.Option("--tables", help="Folder of reference tables; default ./tables.")]
JsonFlag = Annotated[bool, typer.Option("--json", help="Print the result as JSON.")]


def register(tables_app):
    """Add merge, history, undo and uses to the group of table commands."""
    tables_app.command("merge", cls=Command)(tables_merge)
    tables_app.command("history", cls=Command)(tables_history)
    tables_app.command("undo", cls=Command)(tables_undo)
    tables_app.command("uses", cls=Command)(tables_uses)


def tables_merge(
    datasheet: Annotated[Path, typer.Argument(metavar="DATASHEET", help="Datasheet: CSV of any kind, .xlsx, or PDF.")],
    into: Annotated[str, typer.Option("--into", metavar="TABLE", help="Table to merge into, such as fuses.")],
    more: Annotated[list[Path] | None, typer.Argument(metavar="PROJECT", help="More projects for --effect.")] = None,
    map_file: Annotated[
        Path | None,
        typer.Option(
            "--map",
            metavar="FILE.csv",
            help="Map of its columns to ours; made when missing. Default maps/TABLE beside the table.",
        ),
    ] = None,
    source: Annotated[
        str | None,
        typer.Option("--source", help="Key of sources.csv for what lands; default: one made of the datasheet."),
    ] = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Judge and report, write nothing.")] = False,
    tables: TablesFolder = None,
    effect: Annotated[
        list[Path] | None,
        typer.Option(
            "--effect", metavar="PROJECT", help="Say what changes in this project before writing; may be given again."
        ),
    ] = None,
    sheet: Annotated[str | None, typer.Option("--sheet", help="Worksheet to read; default: the one that fits.")] = None,
    encoding: Annotated[str | None, typer.Option("--encoding", help="Encoding of a CSV datasheet.")] = None,
    json_out: JsonFlag = False,
) -> None:
    """Take a datasheet into a table: every row judged, those that fail left out, the rest landing in one step.

    Example: selector tables merge fuses_2027.xlsx --into fuses --source datasheet-fuses --effect myboat
    """
    from selector.catalogue.merging import merge
    from selector.errors import UsageError

    projects = list(effect or [])
    if more and not effect:
        raise UsageError(f"{more[0]}: only one datasheet at a time; say --effect before projects")
    projects += list(more or [])
    for project in projects:
        if not project.exists():
            raise UsageError(f"--effect: {project}: no such project")
    judge = None
    if projects:
        from selector.upkeep.effect import effect_of

        def judge(folder, files):
            return effect_of(projects, folder, files)

    report = merge(datasheet, into, tables, map_file, source, dry_run, judge, sheet, encoding)
    if json_out:
        _print_json(merge_result(report))
    else:
        _print_merge(report, projects)
    raise typer.Exit(report.exit_code)


def merge_result(report):
    """A merge's report as plain data."""
    mapping = [
        {
            "from": mapping.grid.label,
            "datasheet_column": link.head.text,
            "unit": link.unit.name if link.unit else "",
            "column": link.target,
            "how": link.how,
        }
        for mapping in report.mappings
        for link in mapping.links
    ]
    rows = [
        {"key": row.key, "result": row.result, "reason": row.reason, "place": row.place,
         "changes": [{"column": c, "old": old, "new": new} for c, old, new in row.changes]}
        for row in report.rows
    ]  # fmt: skip
    return {
        "format": 1,
        "table": report.table,
        "datasheet": report.datasheet,
        "source": report.source,
        "merge": report.number,
        "dry_run": report.dry_run,
        "map_file": str(report.map_file) if report.map_file else None,
        "mapping": mapping,
        "notes": report.notes,
        "rows": rows,
        "effect": report.effect,
        "summary": {result: report.count(result) for result in ("new", "changed", "same", "refused")},
    }


def _print_merge(report, projects):
    typer.echo(f"{report.datasheet} into {report.table}", err=True)
    for mapping in report.mappings:
        for link in mapping.links:
            unit = f" [{link.unit.name}]" if link.unit and link.unit.name else ""
            said = f"'{link.head.text}'" if link.index is not None else f"the constant '{link.value}'"
            typer.echo(f"  {said}{unit} -> {link.target}  ({link.how})", err=True)
    for note in report.notes:
        typer.echo(f"  note: {note}", err=True)
    width = min(max((len(row.key) for row in report.rows), default=0), 50)
    for row in report.rows:
        place = f" ({row.place})" if row.result == "refused" else ""
        typer.echo(f"{row.key:<{width}}  {row.result:<8} {row.reason}{place}".rstrip())
    if projects:
        _print_effect(report.effect, projects)
    counts = ", ".join(f"{report.count(r)} {r}" for r in ("new", "changed", "same", "refused"))
    if report.dry_run:
        typer.echo(f"{counts}. Nothing was written.")
    elif report.number is None:
        typer.echo(f"{counts}. The table stays as it was.")
    else:
        typer.echo(f"{counts}. Merge {report.number}; take it back with: selector tables undo")
    if report.map_file and report.map_file.exists():
        typer.echo(f"Map of columns: {report.map_file}", err=True)


def _print_effect(found, projects):
    if not found:
        typer.echo(f"Effect: nothing changes in {', '.join(map(str, projects))}.")
        return
    typer.echo("Effect:")
    margins = {}
    for one in found:
        if one["what"].startswith("margin of"):
            margins.setdefault((one["project"], one["connection"]), []).append(one)
        else:
            typer.echo(f"  {one['text']}")
    for moved in margins.values():
        moved.sort(
            key=lambda one: -abs((one["after"] or 0) - (one["before"] or 0)) / max(abs(one["before"] or 0), 1e-6)
        )
        more = f" (and {len(moved) - 1} more margins)" if len(moved) > 1 else ""
        typer.echo(f"  {moved[0]['text']}{more}")


def tables_history(
    part: Annotated[str | None, typer.Argument(metavar="PART", help="Key of a row; every row otherwise.")] = None,
    tables: TablesFolder = None,
    json_out: JsonFlag = False,
) -> None:
    """Show who said what when: every change merges have made, with old and new value and source.

    Example: selector tables history "blade small 30 A"
    """
    from selector.catalogue.merging_store import history, settle
    from selector.catalogue.reading import fold_key
    from selector.errors import UsageError, nearest, quoted

    folder = tables if tables is not None else Path("tables")
    if not folder.is_dir():
        raise UsageError(f"{folder}: no such folder of tables")
    settle(folder)
    rows = history(folder)
    if part is not None:
        keys = {row["key"] for row in rows}
        rows = [row for row in rows if fold_key(row["key"]) == fold_key(part)]
        if not rows:
            from selector.catalogue.merging_target import load_for

            catalogue = load_for(folder)
            known = {str(key) for frame in catalogue.frames.values() for key in frame[frame.columns[0]]}
            if fold_key(part) not in {fold_key(key) for key in known}:
                near = nearest(part, keys | known)
                raise UsageError(f"{quoted(part)} is in no table." + (f" Did you mean '{near}'?" if near else ""))
    if json_out:
        _print_json({"format": 1, "history": [{k.replace(" ", "_"): v for k, v in row.items()} for row in rows]})
        return
    if not rows:
        typer.echo("No merge has changed it." if part is not None else "No merge has changed these tables.")
    for row in rows:
        typer.echo(
            f"{row['when']}  {row['what']} {row['merge']}  {row['table']}  {row['key']}  {row['column']}: "
            f"{row['old value'] or 'unknown'} -> {row['new value'] or 'unknown'}  ({row['source']}; {row['note']})"
        )


def tables_undo(tables: TablesFolder = None, json_out: JsonFlag = False) -> None:
    """Take back the last merge, byte for byte; again takes back the one before. The history stays.

    Example: selector tables undo
    """
    from selector.catalogue.merging_store import undo

    record = undo(tables)
    if json_out:
        _print_json(
            {"format": 1, "merge": record["merge"], "files": list(record["files"]), "datasheet": record["datasheet"]}
        )
        return
    typer.echo(
        f"Merge {record['merge']} of {record['datasheet']} ({record['when']}) is taken back: "
        f"{', '.join(record['files'])} as before."
    )


def tables_uses(
    part: Annotated[str, typer.Argument(metavar="PART", help="Key of a row of any table.")],
    projects: Annotated[list[Path], typer.Argument(metavar="PROJECT", help="Projects to look through.")],
    tables: TablesFolder = None,
    json_out: JsonFlag = False,
) -> None:
    """Say which connections of which projects rest on a part, directly or by way of what it is made of.

    Example: selector tables uses "8 AWG tinned silicone 200" myboat otherboat
    """
    from selector.upkeep.effect import uses

    if tables is None and Path("tables").is_dir():
        tables = Path("tables")
    found = uses(part, projects, tables)
    if json_out:
        _print_json({"format": 1, "part": found["part"], "table": found["table"], "uses": found["uses"]})
        return
    for one in found["uses"]:
        typer.echo(one["text"])
    if not found["uses"]:
        typer.echo(f"'{found['part']}' ({found['table']}) is used by no connection of {', '.join(map(str, projects))}.")


def _print_json(data):
    from selector.report.result import to_json

    typer.echo(to_json(data), nl=False)
