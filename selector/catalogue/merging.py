"""A datasheet into a table: each row judged before any lands, all that land in one step, with a way back."""

import hashlib
import json
import re
from pathlib import Path

from selector.catalogue.cells import Number
from selector.catalogue.datasheets import cannot, read_datasheet
from selector.catalogue.declarations import DECLARED
from selector.catalogue.mapping import Matcher, map_bytes, map_rows, read_map
from selector.catalogue.merging_incoming import incoming, map_all
from selector.catalogue.merging_judged import compose, judge_all, match
from selector.catalogue.merging_rows import CHANGED, NEW, REFUSED, SAME, Report, Row
from selector.catalogue.merging_store import (
    FOLDER,
    HISTORY,
    Change,
    locked,
    next_number,
    now,
    own_folder,
    pack,
    replace_whole,
    sha256,
    shown,
    with_history,
)
from selector.catalogue.merging_target import declaration_of, start_text, tables_around, target_of, vocabulary
from selector.catalogue.reading import fold_key
from selector.errors import TableError, UsageError, nearest, quoted


def merge(
    datasheet, table, folder=None, map_file=None, source=None, dry_run=False, effect=None, sheet=None, encoding=None
):
    """Merge a datasheet into a table.

    Parameters
    ----------
    datasheet : .csv, .xlsx or .pdf file
    table : name of the table, with or without .csv
    folder : folder of tables; ./tables by default
    map_file : the map of columns; maps/TABLE beside the table by default
    source : key of sources.csv for what lands; by default one is made of the datasheet's name
    dry_run : judge and report, write nothing
    effect : called with the folder and the new bytes of its files before anything is written; its result is kept

    Returns
    -------
    report : a ``Report``

    Raises `UsageError` for a table or file that is not there, `TableError` where nothing can be read.
    """
    folder = own_folder(folder)
    if dry_run:
        return _merge(datasheet, table, folder, map_file, source, True, effect, sheet, encoding)
    if not Path(datasheet).is_file():
        raise UsageError(f"{datasheet}: no such file" if not Path(datasheet).exists() else f"{datasheet}: not a file")
    with locked(folder):
        return _merge(datasheet, table, folder, map_file, source, False, effect, sheet, encoding)


def _merge(datasheet, table, folder, map_file, source, dry_run, effect, sheet, encoding):
    declared = declaration_of(folder, table)
    file = declared.file
    tables = tables_around(folder, declared)
    target = target_of(folder, declared)
    sources = {str(row["source"]).casefold(): row["source"] for row in tables.rows["sources.csv"]}
    report = Report(file, Path(datasheet).name, "", dry_run=dry_run)
    made_source = None
    if source is not None:
        if source.strip().casefold() not in sources:
            near = nearest(source, sources.values())
            raise UsageError(
                f"--source: {quoted(source)} is not a key of sources.csv. Add it there first."
                + (f" Did you mean '{near}'?" if near else "")
            )
        report.source = sources[source.strip().casefold()]
    else:
        report.source = _source_key(datasheet, sources)
        made_source = report.source
    saved, map_path = _saved_map(folder, file, map_file)
    grids = read_datasheet(datasheet, sheet, encoding)
    matcher = Matcher(target.declared, vocabulary(target, tables))
    try:
        map_all(report, grids, matcher, saved, target)
    except TableError as error:
        _empty_map(report, map_file, map_path, error)
        raise
    report.map_file = map_path
    for mapping in report.mappings:
        report.rows += incoming(mapping, target, report)
    if not report.rows:
        raise cannot(report.datasheet, None, f"its table has no rows for {file}", "Is it the right sheet?")
    match(report, target)
    compose(report, target, tables, sources)
    judge_all(report, target, tables)
    landing = [row for row in report.rows if row.result in (NEW, CHANGED)]
    uses_made = made_source and any(row.new.get("source") == made_source for row in landing)
    report.files = _edited(folder, target, landing, made_source if uses_made else None, datasheet)
    if effect is not None:
        report.effect = effect(folder, report.files)
    _write(report, folder, target, landing, saved, map_path, map_file, dry_run)
    return report


def _saved_map(folder, file, map_file):
    """(rows of the map file, its path)."""
    path = Path(map_file) if map_file is not None else folder / "maps" / file
    return (read_map(path) if path.is_file() else []), path


def _empty_map(report, map_file, path, error):
    """A map that was asked for and is not there is written with the heads of a sheet nobody could match."""
    if map_file is None or path.exists() or report.unmatched is None:
        return
    replace_whole(path, map_bytes(map_rows([report.unmatched], [])))
    error.remarks = [f"{path} was written with these heads"]


def _edited(folder, target, landing, made_source, datasheet):
    """New bytes of the files the rows that land change."""
    if not landing:
        return {}
    records = {fold_key(target.text.cell_of(record, 0)): record for record in target.text.records[1:]}
    if target.declared.columns[0].name in target.index and target.index[target.declared.columns[0].name] != 0:
        at = target.index[target.declared.columns[0].name]
        records = {fold_key(target.text.cell_of(record, at)): record for record in target.text.records[1:]}
    for row in landing:
        row.changes = []
        titles = {
            c.name: c.title if not isinstance(c, Number) else target.text.header[target.index[c.name]]
            for c in target.declared.columns
            if c.name in target.index
        }
        if row.result == CHANGED:
            record = records[fold_key(row.key)]
            for name, text in row.written.items():
                row.changes.append((titles[name], target.text.cell_of(record, target.index[name]), text))
                target.text.set_cell(record, target.index[name], text)
        else:
            cells = [""] * len(target.text.records[0].spans)
            for name, text in row.written.items():
                cells[target.index[name]] = text
                row.changes.append((titles[name], "", text))
            target.text.add_row(cells)
    files = {target.file: target.text.bytes_after()}
    if made_source:
        files["sources.csv"] = _with_source(folder, made_source, datasheet)
    return files


def _source_key(datasheet, sources):
    """A key for a datasheet nobody named a source for: its name and the start of its hash."""
    stem = re.sub(r"[^a-z0-9]+", "-", Path(datasheet).stem.casefold()).strip("-") or "datasheet"
    digest = hashlib.sha256(Path(datasheet).read_bytes()).hexdigest() if Path(datasheet).is_file() else ""
    return f"datasheet-{stem}-{digest[:8]}"


def _with_source(folder, key, datasheet):
    """Bytes of sources.csv with a row for this datasheet; the shipped ones with it where the folder has none."""
    text = start_text(folder, DECLARED["sources.csv"])
    titles = [" ".join(t.split()) for t in text.header]
    known = {fold_key(text.cell_of(r, 0)) for r in text.records[1:]}
    if fold_key(key) in known:
        return text.bytes_after()
    full = sha256(Path(datasheet).read_bytes())
    values = {"source": key, "title": f"Datasheet {Path(datasheet).name}", "kind": "datasheet", "status": "read",
              "note": f"taken in by a merge; SHA-256 {full}"}  # fmt: skip
    text.add_row([values.get(title, "") for title in titles])
    return text.bytes_after()


def _write(report, folder, target, landing, saved, map_path, map_file, dry_run):
    """The new files with their history and the way back, in one step; a dry run keeps a map that was asked for."""
    rows = map_rows(report.mappings, saved)
    new_map = map_bytes(rows) if rows != saved else None
    if dry_run:
        if map_file is not None and new_map is not None and not map_path.exists():
            replace_whole(map_path, new_map)
        return
    if new_map is not None:
        replace_whole(map_path, new_map)
    if not landing:
        return
    number, when = next_number(folder), now()
    report.number = number
    report.files = {name: data for name, data in report.files.items() if data != shown(folder / name)}
    record = {
        "merge": number,
        "when": when,
        "table": target.file,
        "datasheet": report.datasheet,
        "source": report.source,
        "files": {name: pack(shown(folder / name), data) for name, data in report.files.items()},
    }
    history = [
        {"merge": number, "when": when, "what": "merge", "table": target.file, "key": row.key, "column": column,
         "old value": old, "new value": new, "source": row.new.get("source") or report.source,
         "note": f"{report.datasheet} {row.place}"}
        for row in landing
        for column, old, new in row.changes
    ]  # fmt: skip
    files = dict(report.files)
    files[HISTORY] = with_history(folder, history)
    files[f"{FOLDER}/{number:04d}.json"] = json.dumps(record, indent=1).encode()
    Change(folder, files).commit()


__all__ = ["CHANGED", "NEW", "REFUSED", "SAME", "Report", "Row", "merge"]
