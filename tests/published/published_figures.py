"""Reads the published figures beside these tests."""

import csv
from pathlib import Path

import pytest

HERE = Path(__file__).parent
FOOT = 0.3048
INCH = 0.0254


def rows(name):
    """Rows of a table as dictionaries of text, by header."""
    with open(HERE / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def each_row(name, *label):
    """The rows as pytest parameters, named by the columns in ``label``."""
    return [pytest.param(row, id=" ".join(row[column] for column in label)) for row in rows(name)]


def number(row, column):
    return float(row[column])


def kelvin(row, column):
    return float(row[column]) + 273.15


def printed(text):
    """A published number: equal to anything that rounds to the digits printed."""
    mantissa, _, exponent = text.lower().partition("e")
    decimals = len(mantissa.partition(".")[2]) - int(exponent or 0)
    return pytest.approx(float(text), rel=1e-12, abs=0.5 * 10.0**-decimals)
