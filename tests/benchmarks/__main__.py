"""Speed and memory as ratios within one run: ``python -m tests.benchmarks``.

Each line prints what was measured, the ratio and what is asked of it. Absolute times depend on the machine and are
shown for reading only. Exit code 1 when a ratio misses what is asked.
"""

import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
EMPTY_TYPER = """
import typer
app = typer.Typer()
@app.command()
def main(): pass
@app.command()
def other(): pass
app()
"""
IMPORTS = "import polars, pint, openpyxl"


def environment():
    """Fresh processes find byte code of ours as they do of the libraries: installing wrote theirs, a first run writes ours."""
    own = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**own, "PYTHONPATH": str(ROOT)}


def run(*commands, repeat=9):
    """Median wall time of a fresh process for each command, after a first one; in turns, so that what else the machine
    does falls on all of them."""
    times = [[] for _ in commands]
    for _ in range(repeat + 1):
        for own, arguments in zip(times, commands, strict=True):
            start = time.perf_counter()
            subprocess.run([sys.executable, *arguments], check=False, env=environment(), capture_output=True)
            own.append(time.perf_counter() - start)
    return [statistics.median(own[1:]) for own in times]


def write_project(folder, count, seed=2):
    """A random project of cables between one bus and many loads, nearly all of which can be served."""
    chance = random.Random(seed)
    folder.mkdir(parents=True, exist_ok=True)
    lines = ["connection,kind,from,to,system,zone,current [A],length [m],grouped with"]
    for i in range(count):
        lines.append(
            f"c{i},cable,bus,load{i % 200},24 V,z{i % 500},{chance.uniform(0.5, 120):.3f},"
            f"{chance.uniform(0.3, 8):.3f},{chance.choice([1, 1, 1, 3, 5])}"
        )
    lines.append("feed,cable,bat,bus,24 V,z0,100,1,")
    (folder / "connections.csv").write_text("\n".join(lines) + "\n")
    loads = [f"load{i},24 V,load,{chance.choice(['M6', 'M8', 'M10'])}" for i in range(200)]
    (folder / "nodes.csv").write_text(
        "\n".join(["node,system,role,stud", "bat,24 V,supply,M8", "bus,24 V,bus,M8", *loads]) + "\n"
    )
    (folder / "supplies.csv").write_text("node,type,short-circuit current [A]\nbat,battery,3000\n")
    (folder / "systems.csv").write_text("system,nominal [V],highest [V],lowest [V]\n24 V,24,28.8,21\n")
    zones = [
        f"z{i},{chance.uniform(10, 60):.2f},{chance.choice(['yes', 'no'])},{chance.choice([0, 0, 1.5])}"
        for i in range(500)
    ]
    (folder / "zones.csv").write_text("\n".join(["zone,ambient [degC],wet,air speed [m/s]", *zones]) + "\n")
    return folder


def scalar_solves_per_second(seconds=3.0):
    """The same heat balances, one scalar root-finder a row: how many a second."""
    from math import sqrt

    from scipy.optimize import brentq

    from selector.maths import PI
    from selector.physics import heat_balance
    from selector.physics.air import pressure_pa
    from selector.physics.convection import film_w_per_m2_k

    def solve(limit_k, ambient_k, speed):
        wall = heat_balance.wall_k_m_per_w(0.005, 0.008, 0.2)
        pressure = pressure_pa(0.0)
        rise = limit_k - ambient_k

        def outside(x):
            return 1 / (PI * 0.008 * film_w_per_m2_k(ambient_k + x, ambient_k, 0.008, speed, pressure, 0.9))

        x = brentq(lambda x: x - rise * outside(x) / (wall + outside(x)), 1e-9, rise, xtol=1e-9)
        return sqrt(rise / ((wall + outside(x)) * 0.0012))

    chance = random.Random(3)
    count, start = 0, time.perf_counter()
    while time.perf_counter() - start < seconds:
        solve(chance.choice([343.0, 363.0, 378.0]), chance.uniform(283, 333), chance.choice([0.0, 0.0, 1.5]))
        count += 1
    return count / (time.perf_counter() - start)


def peak_mib(arguments):
    """Peak memory of a fresh process in MiB, and its wall time."""
    start = time.perf_counter()
    child = subprocess.Popen([sys.executable, *arguments], env=environment(), stdout=subprocess.DEVNULL)
    _, _, usage = os.wait4(child.pid, 0)
    return usage.ru_maxrss / 1024, time.perf_counter() - start


def main():
    failures = []

    def report(name, value, asked, good, note=""):
        print(f"{'ok  ' if good else 'MISS'} {name}: {value} (asked: {asked}){'; ' + note if note else ''}", flush=True)
        if not good:
            failures.append(name)

    with tempfile.TemporaryDirectory() as work:
        work = Path(work)
        bare, ours = run(["-c", EMPTY_TYPER, "--help"], ["-m", "selector", "--help"])
        report(
            "--help over an empty typer program's",
            f"{ours / bare:.2f}",
            "<= 1.3",
            ours <= 1.3 * bare,
            f"{ours * 1e3:.0f} ms",
        )

        demo_command = ["-m", "selector", "demo", str(work / "boat"), "--out", str(work / "boat.xlsx")]
        imports, demo, check = run(["-c", IMPORTS], demo_command, ["-m", "selector", "tables", "check"])
        report(
            "demo with workbook over importing polars, pint, openpyxl",
            f"{demo / imports:.2f}",
            "<= 3",
            demo <= 3 * imports,
            f"{demo:.2f} s",
        )

        report(
            "tables check over the same imports",
            f"{check / imports:.2f}",
            "<= 3",
            check <= 3 * imports,
            f"{check:.2f} s",
        )

        from selector.catalogue.catalogue import load

        wires = load()["wires.csv"].height
        folder = write_project(work / "ten thousand", 10_000)
        memory, seconds = peak_mib(["-m", "selector", "pick", str(folder), "--no-workbook", "--brief"])
        rate = scalar_solves_per_second()
        ratio = 10_001 * wires / rate / seconds
        report(
            f"10,000 connections x {wires} wires over a scalar root-finder doing the same solves",
            f"{ratio:.0f} times faster",
            ">= 50",
            ratio >= 50,
            f"{seconds:.1f} s, {memory:.0f} MiB",
        )

        folder = write_project(work / "hundred thousand", 100_000)
        memory, seconds = peak_mib(["-m", "selector", "pick", str(folder), "--no-workbook", "--brief"])
        report("memory for 100,000 connections", f"{memory:.0f} MiB", "< 1024", memory < 1024, f"{seconds:.0f} s")

    from tests.choosing.test_cutting import against_first_fit

    program, first_fit = against_first_fit(range(10))
    report(
        "new pieces of a cut plan over first fit, longest first",
        f"{sum(program) / sum(first_fit):.2f}",
        "<= 1, never more in any case",
        all(own <= other for own, other in zip(program, first_fit, strict=True)),
        f"10 cases of 50 cuts, {1 - sum(program) / sum(first_fit):.0%} fewer",
    )

    print(f"own peak {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
