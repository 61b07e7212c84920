"""Every published figure names a source the project lists, and there are enough of them."""

import csv
from pathlib import Path

import pytest

from tests.published.published_figures import HERE, rows

SOURCES = Path(__file__).parents[2] / "tables" / "sources.csv"
TABLES = sorted(path.name for path in HERE.glob("*.csv"))


def known_sources():
    with open(SOURCES, encoding="utf-8-sig", newline="") as file:
        return {row["source"] for row in csv.DictReader(file)}


@pytest.mark.parametrize("name", TABLES)
def test_each_row_names_a_listed_source_and_how_it_is_known(name):
    for row in rows(name):
        assert row["source"] in known_sources()
        assert row["status"] in ("read", "memory", "computed")


def test_there_are_hundreds_of_published_figures():
    assert sum(len(rows(name)) for name in TABLES) >= 300


# Figures known to be misprinted in their documents; none may stand in a table here.
@pytest.mark.parametrize(
    "name, column, misprint",
    [
        ("voltage_drops.csv", "drop [V]", "0.366"),
        ("voltage_drops.csv", "drop [V]", "3.60"),
        ("resistances_25_and_65_degc.csv", "resistance at 65 degC [ohm/kft]", "0.166"),
    ],
)
def test_no_misprint_is_used(name, column, misprint):
    assert misprint not in [row[column] for row in rows(name)]
