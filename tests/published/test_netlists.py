"""The circuits behind the simulated figures, simulated again where a circuit simulator is installed."""

import re
import shutil
import subprocess

import pytest

from tests.published.published_figures import HERE, number, rows

SIMULATOR = shutil.which("ngspice")
ROWS = {row["netlist"]: row for row in rows("rectifier_simulations.csv")}
NETLISTS = sorted(path.stem for path in (HERE / "netlists").glob("*.cir"))


def test_every_simulated_row_has_its_circuit():
    assert sorted(ROWS) == NETLISTS


def measured(netlist):
    """Results of the .meas lines of a netlist."""
    run = subprocess.run(
        [SIMULATOR, "-b", str(HERE / "netlists" / f"{netlist}.cir")], capture_output=True, text=True, timeout=300
    )
    found = re.findall(r"^(\w+)\s*=\s*([-+.\deE]+)", run.stdout, re.MULTILINE)
    return {name: float(value) for name, value in found}


@pytest.mark.slow
@pytest.mark.skipif(SIMULATOR is None, reason="no circuit simulator is installed")
@pytest.mark.parametrize("netlist", NETLISTS)
def test_the_circuit_still_gives_the_printed_values(netlist):
    row, now = ROWS[netlist], measured(netlist)
    dc = now["idc"]
    again = {
        "dc current [A]": dc,
        "dc voltage [V]": now["vdc"],
        "diode average / dc": now["idav"] / dc,
        "diode rms / dc": now["idrms"] / dc,
        "diode peak / dc": now["idpk"] / dc,
        "line rms / dc": now["ilrms"] / dc,
    }
    if "iwrms" in now:
        again["winding rms / dc"] = now["iwrms"] / dc
    for column, value in again.items():
        assert value == pytest.approx(number(row, column), rel=0.003), column
