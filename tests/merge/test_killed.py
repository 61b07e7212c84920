"""A merge stopped at any moment leaves the old table or the new one, whole, with a history that says which."""

import contextlib
import os
import random
import shutil
import signal
import subprocess
import sys
import time

import pytest

from selector.catalogue import merging_store
from selector.catalogue.merging import merge
from selector.catalogue.merging_store import history, records, settle, undo
from tests.merge.made import copied_tables

SHEET = "lug,palm width [mm],barrel diameter [mm]\n1/0 AWG ring M8,24.5,15.5\n2 AWG ring M8,21.5,13.4\n"


class Stopped(BaseException):
    """Power is gone."""


def stop_at(monkeypatch, step):
    """Let the given call of the system fail hard, and every one after it."""
    left = [step]

    def counted(real):
        def call(*args, **kwargs):
            left[0] -= 1
            if left[0] < 0:
                raise Stopped
            return real(*args, **kwargs)

        return call

    for name in ("replace", "fsync", "chmod"):
        monkeypatch.setattr(merging_store.os, name, counted(getattr(os, name)))
    monkeypatch.setattr(merging_store.Path, "unlink", counted(merging_store.Path.unlink))
    return left


def states(tmp_path, sheet):
    """The files before and after a whole merge, history without its times."""
    tables = copied_tables(tmp_path / "whole")
    before = {p.name: p.read_bytes() for p in tables.glob("*.csv")}
    merge(sheet, "lugs", tables)
    after = {p.name: p.read_bytes() for p in tables.glob("*.csv") if p.name != "history.csv"}
    return before, after


def consistent(tables, before, after):
    """Once settled all files are old, or all new and the history says so; which of the two."""
    settle(tables)
    now = {p.name: p.read_bytes() for p in tables.glob("*.csv") if p.name != "history.csv"}
    assert now in (before, after)
    assert bool(history(tables)) == (now == after)
    assert bool(records(tables)) == (now == after)
    assert not list((tables / "history").glob("staged-*")) if (tables / "history").exists() else True
    return "new" if now == after else "old"


def test_stopped_at_every_step_of_writing(tmp_path):
    sheet = tmp_path / "lugs of the boat.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    before, after = states(tmp_path, sheet)
    seen = []
    for step in range(200):
        tables = copied_tables(tmp_path / str(step))
        with pytest.MonkeyPatch.context() as patch:
            left = stop_at(patch, step)
            with contextlib.suppress(Stopped):
                merge(sheet, "lugs", tables)
            done = left[0] >= 0
        for name in ("lugs.csv", "sources.csv"):  # each file whole at once, before anybody settles anything
            assert (tables / name).read_bytes() in (before[name], after[name])
        seen.append(consistent(tables, before, after))
        if done:
            break
    assert done and seen[0] == "old" and seen[-1] == "new"
    assert seen == sorted(seen, reverse=True)  # once new, later stops leave it new
    assert 10 < len(seen) < 200


def test_an_undo_stopped_at_every_step(tmp_path):
    sheet = tmp_path / "lugs of the boat.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    before, after = states(tmp_path, sheet)
    merged = copied_tables(tmp_path / "merged")
    merge(sheet, "lugs", merged)
    for step in range(200):
        tables = shutil.copytree(merged, tmp_path / str(step) / "tables")
        with pytest.MonkeyPatch.context() as patch:
            left = stop_at(patch, step)
            with contextlib.suppress(Stopped):
                undo(tables)
            done = left[0] >= 0
        settle(tables)
        now = {p.name: p.read_bytes() for p in tables.glob("*.csv") if p.name != "history.csv"}
        assert now in (before, after)
        assert bool(records(tables)) == (now == after)
        assert any(row["what"] == "undo" for row in history(tables)) == (now == before)
        if done:
            break
    assert done and step > 5


def killed(tables, sheet, wait):
    """Start a merge in a process of its own and kill it after ``wait`` seconds; whether it was still running."""
    code = (
        "import sys; from selector.catalogue.merging import merge; print('go', flush=True);"
        "merge(sys.argv[1], 'lugs', sys.argv[2])"
    )
    run = subprocess.Popen(
        [sys.executable, "-c", code, sheet, tables], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )
    assert run.stdout.readline() == b"go\n"
    time.sleep(wait)
    running = run.poll() is None
    run.send_signal(signal.SIGKILL)
    run.wait()
    run.stdout.close()
    return running


def kill_often(tmp_path, count, seed):
    sheet = tmp_path / "lugs of the boat.csv"
    sheet.write_text(SHEET, encoding="utf-8")
    before, after = states(tmp_path, sheet)
    start = time.monotonic()
    merge(sheet, "lugs", copied_tables(tmp_path / "timed"))
    usual = time.monotonic() - start
    draw = random.Random(seed)
    found = []
    for number in range(count):
        tables = copied_tables(tmp_path / f"k{number}")
        killed(tables, sheet, draw.uniform(0.2, 1.8) * usual)
        for name in ("lugs.csv", "sources.csv"):
            assert (tables / name).read_bytes() in (before[name], after[name])
        found.append(consistent(tables, before, after))
        merge(sheet, "lugs", tables)  # and the folder still works
        assert consistent(tables, before, after) == "new"
    return found


def test_killed_processes_leave_whole_tables(tmp_path):
    assert len(kill_often(tmp_path, 4, seed=2)) == 4


@pytest.mark.slow
def test_60_killed_processes_leave_whole_tables(tmp_path):
    found = kill_often(tmp_path, 60, seed=3)
    assert len(found) == 60


def test_two_merges_at_once_take_turns(tmp_path):
    tables = copied_tables(tmp_path)
    code = "import sys; from selector.catalogue.merging import merge; merge(sys.argv[1], 'lugs', sys.argv[2])"
    sheets = []
    for number, width in enumerate(("24.5", "24.4", "24.3")):
        sheet = tmp_path / f"sheet {number}.csv"
        sheet.write_text(f"lug,palm width [mm]\n1/0 AWG ring M8,{width}\n", encoding="utf-8")
        sheets.append(sheet)
    runs = [subprocess.Popen([sys.executable, "-c", code, sheet, tables]) for sheet in sheets]
    assert [run.wait() for run in runs] == [0, 0, 0]
    assert sorted(records(tables)) == [1, 2, 3]
    for number in (3, 2, 1):
        assert undo(tables)["merge"] == number
