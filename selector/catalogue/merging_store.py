"""Files of a tables folder changed together: all or none, with a history and a way back.

Beside the tables stand ``history.csv``, one row a changed cell, and ``history/``, one record a merge in force. A change
is staged in ``history/`` first, then a journal is laid down in one step: from then on it happens, before it nothing
has. Whoever opens the folder next completes what a journal says.
"""

import base64
import contextlib
import csv
import datetime
import hashlib
import io
import json
import os
import zlib
from dataclasses import dataclass, field
from pathlib import Path

from selector.errors import OutputError, Problem, TableError, UsageError

HISTORY, FOLDER = "history.csv", "history"
HISTORY_COLUMNS = ("merge", "when", "what", "table", "key", "column", "old value", "new value", "source", "note")
_JOURNAL = "journal.json"
_WAIT_S = 10.0


def sha256(data):
    """The SHA-256 of bytes; None of a file that is not there."""
    return None if data is None else hashlib.sha256(data).hexdigest()


def own_folder(folder):
    """The folder as a path that may be written; raises `UsageError` for the tables of an installed program."""
    path = Path(folder) if folder is not None else Path("tables")
    if not path.is_dir():
        hint = "" if folder is not None else " Say --tables DIR, or work where there is a folder tables."
        raise UsageError(f"{path}: no such folder of tables.{hint}")
    resolved = path.resolve()
    inside = Path(__file__).resolve().parents[1]
    installed = {"site-packages", "dist-packages"} & set(resolved.parts)
    if resolved == inside / "_tables" or inside in resolved.parents or installed:
        raise UsageError(
            f"{path}: the tables of an installed program are never written. Copy the folder and name the copy"
        )
    return path


def shown(path):
    """Bytes of a file, or None where there is none."""
    try:
        return Path(path).read_bytes()
    except FileNotFoundError:
        return None


@dataclass
class Change:
    """A set of files to be replaced together: name below the tables folder -> new bytes, None to remove."""

    folder: Path
    files: dict = field(default_factory=dict)

    def commit(self):
        """Write all of them or none; the lock must be held."""
        store = self.folder / FOLDER
        try:
            store.mkdir(exist_ok=True)
            entries = []
            for number, (name, data) in enumerate(self.files.items()):
                entry = {"target": name, "before": sha256(shown(self.folder / name)), "after": sha256(data)}
                if data is not None:
                    entry["staged"] = f"staged-{number}"
                    _write(store / entry["staged"], data)
                entries.append(entry)
            _write(store / f"{_JOURNAL}.new", json.dumps({"files": entries}, indent=1).encode())
            os.replace(store / f"{_JOURNAL}.new", store / _JOURNAL)
            _sync(store)
            _complete(self.folder)
        except OSError as error:
            raise OutputError(
                f"{self.folder}: could not be written ({error.strerror or error}); nothing was replaced."
            ) from error


def replace_whole(path, data):
    """Write one file so that it is the old one or the new one, never half."""
    path = Path(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        staged = path.with_name(f".{path.name}.{os.getpid()}")
        _write(staged, data)
        os.replace(staged, path)
    except OSError as error:
        raise OutputError(f"{path}: could not be written ({error.strerror or error}); nothing was replaced.") from error


def _write(path, data):
    with open(path, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _sync(folder):
    """Bring a folder's own entries to the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _complete(folder):
    """Do what the journal says and is not done yet, then remove it."""
    store = folder / FOLDER
    journal = shown(store / _JOURNAL)
    if journal is not None:
        entries = json.loads(journal)["files"]
        states = [sha256(shown(folder / e["target"])) for e in entries]
        foreign = [e for e, state in zip(entries, states, strict=True) if state not in (e["before"], e["after"])]
        if not foreign:  # a file somebody has edited since is not written over: then nothing of it is done
            for entry, state in zip(entries, states, strict=True):
                target = folder / entry["target"]
                if state == entry["after"]:
                    continue
                if entry["after"] is None:
                    target.unlink(missing_ok=True)
                    continue
                if target.exists():
                    os.chmod(store / entry["staged"], target.stat().st_mode & 0o7777)
                os.replace(store / entry["staged"], target)
                _sync(target.parent)
        (store / _JOURNAL).unlink()
        _sync(store)
    for left in [*store.glob("staged-*"), *store.glob(f"{_JOURNAL}.new")]:
        left.unlink(missing_ok=True)


@contextlib.contextmanager
def locked(folder):
    """Hold the folder against other merges; completes what a killed one left."""
    from filelock import FileLock, Timeout

    store = folder / FOLDER
    fresh = not store.exists()
    try:
        store.mkdir(exist_ok=True)
        lock = FileLock(store / ".lock", timeout=_WAIT_S)
        lock.acquire()
    except Timeout:
        raise OutputError(
            f"{folder}: another merge is at work there; nothing was changed. Try again when it is done."
        ) from None
    except OSError as error:
        raise OutputError(f"{folder}: may not be written ({error.strerror or error}); nothing was changed.") from error
    try:
        _complete(folder)
        yield
    finally:
        lock.release()
        if fresh and {p.name for p in store.iterdir()} <= {".lock"}:
            with contextlib.suppress(OSError):
                (store / ".lock").unlink(missing_ok=True)
                store.rmdir()


def settle(folder):
    """Complete what a killed merge left behind, if anything."""
    store = Path(folder) / FOLDER
    if (store / _JOURNAL).exists() or any(store.glob("staged-*")) or (store / f"{_JOURNAL}.new").exists():
        with locked(Path(folder)):
            pass


def now():
    """The time of a change, to the second, in UTC."""
    return datetime.datetime.now(datetime.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def history(folder):
    """Rows of ``history.csv``, oldest first."""
    data = shown(Path(folder) / HISTORY)
    if not data:
        return []
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def with_history(folder, rows):
    """Bytes of ``history.csv`` with more rows."""
    data = shown(Path(folder) / HISTORY)
    stream = io.StringIO(newline="")
    writer = csv.DictWriter(stream, HISTORY_COLUMNS, lineterminator="\n")
    if not data:
        data = b""
        writer.writeheader()
    elif not data.endswith(b"\n"):
        data += b"\n"
    writer.writerows(rows)
    return data + stream.getvalue().encode()


def records(folder):
    """Merges in force: number -> path of its record."""
    return {int(p.stem): p for p in sorted((Path(folder) / FOLDER).glob("[0-9]*.json")) if p.stem.isdigit()}


def next_number(folder):
    """The number of the next merge; numbers are never used twice."""
    used = [int(row["merge"]) for row in history(folder) if (row.get("merge") or "").isdigit()]
    return max([0, *used, *records(folder)]) + 1


def pack(before, after):
    """What takes ``after`` back to ``before``: the parts that differ, and both hashes."""
    if before is None:
        return {"before": None, "after": sha256(after)}
    start = 0
    end = min(len(before), len(after))
    while start < end and before[start] == after[start]:
        start += 1
    tail = 0
    while tail < end - start and before[-1 - tail] == after[-1 - tail]:
        tail += 1
    old = before[start : len(before) - tail]
    return {
        "before": sha256(before),
        "after": sha256(after),
        "start": start,
        "tail": tail,
        "old": base64.b64encode(zlib.compress(old)).decode(),
    }


def unpack(packed, after):
    """The bytes before; None where the file was not there."""
    if packed["before"] is None:
        return None
    old = zlib.decompress(base64.b64decode(packed["old"]))
    return after[: packed["start"]] + old + after[len(after) - packed["tail"] :]


def undo(folder):
    """Take back the last merge in force, byte for byte.

    Returns the record taken back. Raises `UsageError` where there is none, `TableError` where a table was changed by
    other means since.
    """
    folder = own_folder(folder)
    settle(folder)
    if not records(folder):
        raise UsageError(f"{folder}: there is no merge to take back")
    with locked(folder):
        kept = records(folder)
        if not kept:
            raise UsageError(f"{folder}: there is no merge to take back")
        number = max(kept)
        record = json.loads(kept[number].read_text(encoding="utf-8"))
        change, problems = Change(folder), []
        for name, packed in record["files"].items():
            data = shown(folder / name)
            if sha256(data) != packed["after"]:
                problems.append(
                    Problem(
                        name,
                        None,
                        "",
                        f"it was changed by other means since merge {number}",
                        "Put it back as that merge left it, or mend it by hand.",
                    )
                )
                continue
            before = unpack(packed, data)
            if sha256(before) != packed["before"]:
                problems.append(
                    Problem(
                        f"{FOLDER}/{kept[number].name}",
                        None,
                        "",
                        "the record of the merge is damaged",
                        "Mend the table by hand.",
                    )
                )
                continue
            change.files[name] = before
        if problems:
            raise TableError(f"merge {number} cannot be taken back", problems)
        when = now()
        back = [
            {
                **row,
                "when": when,
                "what": "undo",
                "old value": row["new value"],
                "new value": row["old value"],
                "note": f"takes back merge {number}",
            }
            for row in history(folder)
            if row["merge"] == str(number) and row["what"] == "merge"
        ]
        change.files[HISTORY] = with_history(folder, [{k: row.get(k, "") for k in HISTORY_COLUMNS} for row in back])
        change.files[f"{FOLDER}/{kept[number].name}"] = None
        change.commit()
        return record
