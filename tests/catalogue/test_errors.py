"""Messages: place, fact, remedy; every problem on one line."""

import pytest

from selector.errors import (
    DefinitionError,
    OutputError,
    Problem,
    Problems,
    ProjectError,
    SelectorError,
    TableError,
    UnitError,
    UsageError,
    nearest,
    quoted,
)

PROBLEM = Problem("connections.csv", 17, "length [m]", "'ten' is not a number", "Write a plain number such as 7.5.")


def test_a_problem_reads_place_fact_remedy():
    assert str(PROBLEM) == (
        "connections.csv line 17, length [m]: 'ten' is not a number. Write a plain number such as 7.5."
    )


@pytest.mark.parametrize(
    "problem, text",
    [
        (Problem("a.csv", None, "", "the file is empty", ""), "a.csv: the file is empty."),
        (Problem("a.csv", 3, "", "4 cells.", "Name every column."), "a.csv line 3: 4 cells. Name every column."),
        (Problem("", None, "length", "x", "y."), "length: x. y."),
        (Problem("", 2, "", "x", ""), "line 2: x."),
        (Problem("", None, "", "x", "", "near"), "x. Did you mean 'near'?"),
        (Problem("a\nb.csv", 1, "c\nd", "x\ny", "z"), "a b.csv line 1, c d: x y. z"),
    ],
)
def test_a_problem_is_one_line_whatever_is_known(problem, text):
    assert str(problem) == text


@pytest.mark.parametrize(
    "error, code",
    [(SelectorError, 3), (TableError, 3), (ProjectError, 3), (DefinitionError, 3), (OutputError, 4), (UsageError, 2)],
)
def test_exit_codes(error, code):
    raised = error("words")
    assert isinstance(raised, SelectorError)
    assert (raised.exit_code, str(raised), raised.problems) == (code, "words", [])


def test_heading_counts_its_problems():
    one, two = PROBLEM, Problem("connections.csv", 18, "", "x", "y.")
    assert str(SelectorError("a.csv cannot be used", [one])).splitlines()[0] == "a.csv cannot be used: 1 problem"
    lines = str(SelectorError("a.csv cannot be used", [one, two])).splitlines()
    assert lines == ["a.csv cannot be used: 2 problems", f"  {one}", f"  {two}"]
    assert str(SelectorError("", [one, two])) == f"{one}\n{two}"


def test_problems_are_all_raised_at_once_in_order_and_once_each():
    problems = Problems()
    problems.raise_if_any(ProjectError, "nothing yet")
    assert not problems
    problems.add(PROBLEM)
    problems.add("b.csv", 2, "", "x", "y.")
    problems.add(PROBLEM)
    assert len(problems) == 2
    with pytest.raises(ProjectError) as caught:
        problems.raise_if_any(ProjectError, "the project cannot be used")
    assert [p.file for p in caught.value.problems] == ["connections.csv", "b.csv"]
    again = Problems()
    again.extend(caught.value)
    assert list(again) == caught.value.problems


def test_unit_error_becomes_the_problem_of_a_cell():
    error = UnitError("'ten' is not a number", "Write a plain number such as 7.5.")
    assert error.at("connections.csv", 17, "length [m]") == PROBLEM
    assert str(error) == "'ten' is not a number. Write a plain number such as 7.5."


@pytest.mark.parametrize(
    "name, known, found",
    [
        ("lenght", ["length", "current"], "length"),
        ("LENGTH ", ["length", "current"], "length"),
        ("10 AWG tinned silicon", ["10 AWG tinned silicone", "12 AWG tinned silicone"], "10 AWG tinned silicone"),
        ("colour", ["length", "current"], ""),
        ("", ["length"], ""),
        ("x", [], ""),
    ],
)
def test_nearest_name(name, known, found):
    assert nearest(name, known) == found


def test_quotes_are_short_and_printable():
    assert quoted("ten") == "'ten'"
    assert quoted("a\nb\x07") == r"'a\nb\x07'"
    assert len(quoted("x" * 500)) < 70
