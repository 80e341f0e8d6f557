"""Units against published conversions, and the units of the trade by name."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import numpy as np
import pytest

from explainer import units


@pytest.mark.parametrize(
    ("one", "other", "factor"),
    [
        # NIST Special Publication 811 (2008), appendix B.8; those in bold there are exact.
        ("inch", "mm", 25.4),
        ("inch", "cm", 2.54),
        ("foot", "m", 0.3048),
        ("mil", "mm", 0.0254),
        ("microinch", "µm", 0.0254),
        ("pound", "kg", 0.45359237),
        ("mph", "km/h", 1.609344),
        ("rpm", "degree/second", 6.0),
        # The same, printed to seven digits: ounce (avoirdupois) 2.834952 E-02 kg.
        ("ounce", "gram", pytest.approx(28.34952, abs=5e-6)),
        # 39 boards across a lane of 41.5 inches: common practice, no source.
        ("board", "inch", 41.5 / 39),
    ],
)  # fmt: skip
def test_published_conversions(one, other, factor):
    assert units.convert(1.0, one, other) == factor
    assert units.convert(factor if isinstance(factor, float) else 28.349523125, other, one) == (
        pytest.approx(1.0, rel=1e-15)
    )


def test_temperatures_have_an_offset():
    # NIST SP 811, section B.8: t/°C = (t/°F − 32)/1.8.
    assert units.convert(212.0, "degF", "degC") == pytest.approx(100, abs=1e-12)
    assert units.convert(32.0, "degF", "degC") == pytest.approx(0, abs=1e-12)


def test_arrays_keep_their_shape():
    feet = np.array([[0.0, 1.0], [np.nan, 60.0]])
    got = units.convert(feet, "foot", "inch")
    assert got.shape == feet.shape
    np.testing.assert_array_equal(got, feet * 12)


def test_the_same_unit_is_left_alone():
    values = np.array([0.1, 0.2])
    assert units.convert(values, "inches", "in") is values


@pytest.mark.parametrize(
    "unit",
    ["inch", "microinch", "mil", "mm", "µm", "board", "foot", "mph", "km/h", "rpm", "degree",
     "pound", "ounce", "gram", "percent", "count", "game", "shot", "hour", "Shore D", "Shore A",
     "Shore OO", "Shore DO", "Shore B", "Shore C", "Shore O",
     "inches", "boards", "feet", "lbs", "µin", "\u03bcm", "shore d", "psi", "N/m^2", "kPa"],
)  # fmt: skip
def test_known(unit):
    assert units.known(unit)


@pytest.mark.parametrize(
    "unit",
    ["", " ", "bowl", "Ra", "Shore", "Shore Z", "2**99999999", "inch**99", "__import__('os')",
     "inch inch", "((((", "/", "newton/", "a" * 5000, "1", "inch;foot"],
)  # fmt: skip
def test_unknown(unit):
    assert not units.known(unit)
    with pytest.raises(units.UnitError):
        units.convert(1.0, unit, "inch")


@pytest.mark.parametrize(
    ("one", "other"),
    [("Shore D", "Shore A"), ("Shore D", "inch"), ("inch", "pound"), ("count", "percent"),
     ("degree", "percent"), ("degree", "count"), ("game", "shot"), ("mph", "rpm"),
     ("game", "hour"), ("board", "degree")],
)  # fmt: skip
def test_what_does_not_convert(one, other):
    assert not units.alike(one, other)
    with pytest.raises(units.UnitError, match="does not convert"):
        units.convert(1.0, one, other)


def test_alike():
    assert units.alike("board", "inches")
    assert units.alike("Shore D", "shore d")
    assert not units.alike("bowl", "bowl")


@pytest.mark.parametrize(
    ("wrong", "right"),
    [("microinhc", "microinch"), ("bord", "board"), ("shore-d", "Shore D"), ("milimeter", "mm"),
     ("degrees ", "degree"), ("zzz", None)],
)  # fmt: skip
def test_nearest(wrong, right):
    assert units.nearest(wrong) == right


@pytest.mark.parametrize(
    ("unit", "short", "one", "many", "metric"),
    [
        ("inch", "in", "inch", "inches", "mm"),
        ("microinch", "µin", "microinch", "microinches", "µm"),
        ("board", "boards", "board", "boards", "cm"),
        ("mph", "mph", "mile per hour", "miles per hour", "km/h"),
        ("foot", "ft", "foot", "feet", "m"),
        ("pounds", "lb", "pound", "pounds", "kg"),
        ("ounce", "oz", "ounce", "ounces", "g"),
        ("Shore D", "Shore D", "Shore D", "Shore D", None),
        ("degree", "°", "degree", "degrees", None),
        ("count", "", "count", "counts", None),
        ("percent", "%", "percent", "percent", None),
    ],
)
def test_how_units_are_written(unit, short, one, many, metric):
    assert units.short(unit) == short
    assert units.singular(unit) == one
    assert units.plural(unit) == many
    assert units.metric_of(unit) == metric


@pytest.mark.parametrize(
    ("metric", "inch"),
    [("mm", "inch"), ("µm", "microinch"), ("cm", "inch"), ("m", "foot"), ("km/h", "mph"),
     ("kg", "pound"), ("g", "ounce"), ("inch", None), ("Shore D", None)],
)  # fmt: skip
def test_back_to_inches(metric, inch):
    assert units.inch_of(metric) == inch


@pytest.mark.parametrize("unit", ["inch", "microinch", "board", "mph", "foot", "pound", "ounce"])
def test_the_metric_partner_converts(unit):
    assert units.alike(unit, units.metric_of(unit))


def test_pint_waits_until_it_is_needed():
    code = (
        "import sys; from explainer import units; units.known('microinch'); units.plural('mph');"
        "units.convert(1.0, 'inch', 'inches'); assert 'pint' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@pytest.mark.parametrize(
    ("unit", "one", "many"),
    [
        ("million dollars", "million dollars", "million dollars"),
        ("$", "dollar", "dollars"),
        ("hectometer^3", "cubic hectometer", "cubic hectometers"),
        ("m²", "square meter", "square meters"),
        ("count/minute", "count per minute", "counts per minute"),
        ("kilopascal", "kilopascal", "kilopascals"),
        ("kPa", "kPa", "kPa"),
        ("hertz", "hertz", "hertz"),
    ],
)
def test_units_that_are_nobodys_trade_are_spelled_out(unit, one, many):
    assert units.known(unit)
    assert (units.singular(unit), units.plural(unit)) == (one, many)


def test_a_scale_word_counts():
    assert units.convert(2.0, "million dollars", "dollar") == 2_000_000
    assert not units.known("million Shore D")
    with pytest.raises(units.UnitError, match="does not convert"):
        units.convert(1.0, "dollar", "game")


def test_the_table_converts_as_pint_does():
    """Every pair of the table: the same are alike, by the same factor to the last bit."""
    names = [unit.name for unit in units._TABLE]
    for one in names:
        for other in names:
            try:
                same = units._kind(one) == units._kind(other)
            except units.UnitError:
                same = one == other
            assert units.alike(one, other) == same, (one, other)
            if same and one != other:
                registry = units._registry()
                quantity = registry.Quantity(Fraction(1), units._pint(one))
                expected = float(quantity.to(units._pint(other)).magnitude)
                assert units.convert(1.0, one, other) == expected, (one, other)


def test_units_of_the_table_never_wait_for_pint():
    code = (
        "import sys; from explainer import units; units.convert(1.0, 'microinch', 'µm');"
        "units.convert(1.0, 'board', 'cm'); units.alike('game', 'inch');"
        "units.alike('Shore D', 'mm');"
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code]).returncode == 0
