"""Writing results: whole or not at all."""

import csv
import errno
import io
import os
import tempfile
from pathlib import Path

from selector.errors import OutputError


def write_whole(path, data):
    """Write bytes or text so that the file is the old one or the new one, never half.

    Raises `OutputError` where it cannot be written; nothing is replaced then and nothing is left behind.
    """
    shown, path = path, Path(os.path.realpath(path))
    data = data.encode() if isinstance(data, str) else data
    name = None
    try:
        if path.is_dir():
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
        if path.exists() and not path.is_file():  # a device or a pipe is written to, never replaced
            with path.open("wb") as stream:
                stream.write(data)
            return
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}-", dir=path.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, path)
        name = None
    except OSError as error:
        reason = error.strerror or str(error)
        raise OutputError(
            f"{shown}: could not be written ({reason}); nothing was replaced. Close it elsewhere, or name another file."
        ) from error
    finally:
        if name is not None and os.path.exists(name):
            os.unlink(name)


def _umask():
    mask = os.umask(0)
    os.umask(mask)
    return mask


def write_csvs(folder, data):
    """The result as three CSV files: picks.csv, checks.csv, parts.csv."""
    picks = [
        {"connection": c["connection"], "status": c["status"], **p} for c in data["connections"] for p in c["picks"]
    ]
    checks = [{"connection": c["connection"], **k} for c in data["connections"] for k in c.get("checks", [])]
    parts = [
        {**p, "pieces": "; ".join(f"{piece:g} m" for piece in p["pieces"]), "connections": "; ".join(p["connections"])}
        for p in data["parts"]
    ]
    for name, rows in (("picks.csv", picks), ("checks.csv", checks), ("parts.csv", parts)):
        if name == "checks.csv" and not checks:
            continue
        stream = io.StringIO()
        fields = list(dict.fromkeys(key for row in rows for key in row)) or ["connection"]
        writer = csv.DictWriter(stream, fields, lineterminator="\n")
        writer.writeheader()
        writer.writerows([{k: _safe(v) for k, v in row.items()} for row in rows])
        write_whole(Path(folder) / name, stream.getvalue())


def _safe(value):
    """Text a spreadsheet would take for a formula gets an apostrophe in front."""
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r"):
        return f"'{value}"
    return value
