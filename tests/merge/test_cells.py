"""One cell of a datasheet at a time: read right, or refused; never read wrong."""

import re

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from selector.catalogue.datasheets_cells import FLOOR, GREATEST, LEAST, LIMIT, NOMINAL, read_number, read_pair
from selector.catalogue.mapping import take_apart
from selector.errors import UnitError
from selector.units import find_unit

MM, A, DEGC = find_unit("mm"), find_unit("A"), find_unit("degC")


@pytest.mark.parametrize(
    "text, unit, role, value",
    [
        ("12.5", MM, NOMINAL, 0.0125),
        ("12.5 max.", MM, GREATEST, 0.0125),
        ("≤ 12.5", MM, GREATEST, 0.0125),
        ("up to 12.5", MM, LIMIT, 0.0125),
        ("min. 5", MM, LEAST, 0.005),
        (">= 5 mm", MM, FLOOR, 0.005),
        ("10-12", MM, GREATEST, 0.012),
        ("10 – 12 mm", MM, LIMIT, 0.010),
        ("10 to 12", MM, FLOOR, 0.012),
        ("10…12", MM, LEAST, 0.010),
        ("10 ± 0.5", MM, NOMINAL, 0.010),
        ("10 ± 5 %", MM, GREATEST, 0.0105),
        ("3/8 in", MM, NOMINAL, 0.009525),
        ('1 1/2"', MM, NOMINAL, 0.0381),
        ("½ in", MM, NOMINAL, 0.0127),
        ("12 mm (0.472 in)", MM, NOMINAL, 0.012),
        ("12.5¹", MM, NOMINAL, 0.0125),
        ("12.5 *", MM, NOMINAL, 0.0125),
        ("12.5 (1)", MM, NOMINAL, 0.0125),
        ("1.5 × 10³", A, LIMIT, 1500.0),
        ("2x10^4", A, LIMIT, 20000.0),
        ("6e-3", A, LIMIT, 0.006),
        ("10 kA", A, LIMIT, 10000.0),
        ("1,200", A, LIMIT, 1200.0),
        ("1'200", A, LIMIT, 1200.0),
        ("1 200", A, LIMIT, 1200.0),
        ("105 °C", DEGC, LIMIT, 378.15),
        ("221 °F", DEGC, LIMIT, 378.15),
        ("−40", DEGC, FLOOR, 233.15),
        ("105 ± 5", DEGC, LIMIT, 373.15),
    ],
)
def test_what_is_understood(text, unit, role, value):
    assert read_number(text, unit, role, ".").low == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("text", ["", "-", "–", "n/a", "N/A", "tbd", "?", "not specified"])
def test_what_means_unknown(text):
    assert read_number(text, MM, NOMINAL, ".").low is None


@pytest.mark.parametrize(
    "text, unit, role, said",
    [
        ("typ. 12.5", MM, LIMIT, "typical value"),
        ("12.5 typ", MM, GREATEST, "typical value"),
        ("max 12.5", MM, LEAST, "is a maximum"),
        ("min 12.5", MM, GREATEST, "is a minimum"),
        ("10-12", MM, NOMINAL, "is a range"),
        ("12-10", MM, GREATEST, "runs backwards"),
        ("-40...+105 °C", DEGC, LIMIT, "range of temperatures"),
        ("1/0", MM, NOMINAL, "gauge size"),
        ("10/12", MM, NOMINAL, "two values"),
        ("22/18", find_unit("mm2"), NOMINAL, "two values"),
        ("12 mm (0.572 in)", MM, NOMINAL, "do not agree"),
        ("12.51)", MM, NOMINAL, "not a number"),
        ("10 kV", A, LIMIT, "unit of voltage"),
        ("5 mm²", MM, NOMINAL, "unit of area"),
        ("#DIV/0!", MM, NOMINAL, "holds the error"),
        ("2026-03-08", MM, NOMINAL, "range|date|number"),
        ("ten", MM, NOMINAL, "not a number"),
        ("12 13", MM, NOMINAL, "not a number"),
        ("1.2.3", MM, NOMINAL, "not a number"),
        ("nan", MM, NOMINAL, "not a number"),
        ("1e400", MM, NOMINAL, "too large"),
        ("0x10", MM, NOMINAL, "not a number"),
        ("1,20", MM, NOMINAL, "decimal point"),
    ],
)
def test_what_is_refused(text, unit, role, said):
    with pytest.raises(UnitError, match=said):
        read_number(text, unit, role, ".")


def test_a_thousand_or_a_decimal_is_not_guessed():
    for text in ("1.200", "1,200", "12.500 A"):
        with pytest.raises(UnitError, match="a thousand or a decimal"):
            read_number(text, A, LIMIT, None)
    assert read_number("1.200", A, LIMIT, ",").low == 1200.0
    assert read_number("0,5", A, LIMIT, None).low == 0.5


def test_footnotes_that_change_the_figure_are_refused():
    assert "at 32 V" in read_number("1100*", A, LIMIT, ".", notes={"*": "at 32 V"}).remark
    for note in ("in kA", "times two in free air", "per pair"):
        with pytest.raises(UnitError, match="footnote"):
            read_number("1100*", A, LIMIT, ".", notes={"*": note})


def test_a_range_fills_two_columns():
    low, high = read_pair("10–16", find_unit("mm2"), ".")
    assert (low.low, high.low) == (10.0, 16.0)
    low, high = read_pair("max 16", find_unit("mm2"), ".")
    assert (low.low, high.low) == (None, 16.0)
    with pytest.raises(UnitError, match="one number"):
        read_pair("16", find_unit("mm2"), ".")


@given(
    st.floats(0.01, 9999).map(lambda v: float(f"{v:.4g}")),
    st.sampled_from(
        ["{0}", "{0} mm", " {0} ", "{0}*", "{0} max", "max. {0} mm", "{0} (1)", "{0}mm", "≤{0}", "<{0}", "+{0}"]
    ),
)
def test_any_way_of_writing_a_greatest_value_reads_the_same(value, way):
    assert read_number(way.format(f"{value:.10g}"), MM, GREATEST, ".").low == pytest.approx(value / 1000, rel=1e-12)


def plain_readings(text):
    """Every number that stands whole in a text: decimals, with marks between thousands, and fractions."""
    found = set()
    for whole, above, below in re.findall(r"(?:(\d+) +)?(\d+) ?/ ?(\d+)", text):
        if int(below):
            found |= {int(whole or 0) + int(above) / int(below), int(above) / int(below)}
    for token in re.findall(r"\d[\d ,']*(?:\.\d*)?(?:e[+-]?\d+)?|\.\d+(?:e[+-]?\d+)?", text):
        found |= {
            float(part)
            for part in (re.sub("[ ,']", "", token), *token.split())
            if re.fullmatch(r"[\d.]+(e[+-]?\d+)?", part)
        }
    return found


@settings(max_examples=400)
@example("1,000/2")
@given(st.text(alphabet="0123456789.,/-–±()*¹² …e~<", min_size=1, max_size=9))
def test_no_text_is_read_as_a_number_that_does_not_stand_in_it(text):
    try:
        value = read_number(text, MM, NOMINAL, ".").low
    except UnitError:
        return
    if value is None:
        return
    numbers = plain_readings(text.replace("…", "...").replace("±", " ± "))
    assert any(abs(abs(value) * 1000 - number) <= 1e-9 * max(number, 1e-9) for number in numbers), (
        text,
        value,
        numbers,
    )


@pytest.mark.parametrize(
    "text, words, unit, bound",
    [
        ("Breakdown voltage VBR (V) max", "breakdown voltage vbr", "V", "max"),
        ("R20 max [mohm/m]", "r20", "mohm/m", "max"),
        ("OD mm", "od", "mm", ""),
        ("Resistance in ohm/km", "resistance", "ohm/km", ""),
        ("Barrel OD,\nmm", "barrel od", "mm", ""),
        ("I²t [A²s]", "i2t", "A²s", ""),
        ("Width (mm) ¹", "width", "mm", ""),
        ("Rth,jc (K/W)", "rth jc", "K/W", ""),
        ("Lug [1]", "lug", None, ""),
        ("Bolt hole", "bolt hole", None, ""),
    ],
)
def test_heads_are_taken_apart(text, words, unit, bound):
    head = take_apart(text)
    assert (head.words, head.unit_text, head.bound) == (words, unit, bound)
