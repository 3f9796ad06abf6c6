"""One conformance test over every formula, and the refusals."""

from __future__ import annotations

import inspect
import math
from fnmatch import fnmatchcase
from typing import get_args

import pint
import pytest

from railwright import readings
from railwright.handbook import Formula, UnknownFormula, evaluate, find, formulas, look_up
from railwright.handbook.formula import CIRCUITS_ALL, Grade

REGISTRY = pint.UnitRegistry()
#: How our units are called where pint has another name; temperatures count as differences.
PINT_UNITS = {
    "1": "dimensionless",
    "deg": "dimensionless",
    "dB": "dimensionless",
    "°C": "kelvin",
    "K/W": "kelvin/watt",
    "W/K": "watt/kelvin",
    "V/K": "volt/kelvin",
    "A²s": "ampere**2*second",
    "H·F": "henry*farad",
    "VA": "volt*ampere",
}
#: A change of base units, each by a factor that no other combination repeats.
FACTORS = {"[length]": 1.7, "[mass]": 0.6, "[time]": 2.3, "[current]": 1.3, "[temperature]": 0.7}


def factor(unit: str) -> float:
    """By what a number in this unit grows when the base units change."""
    dimensions = REGISTRY.Unit(PINT_UNITS.get(unit, unit)).dimensionality
    return math.prod(FACTORS[base] ** float(power) for base, power in dimensions.items())


ALL = pytest.mark.parametrize("formula", formulas().values(), ids=lambda formula: formula.id)


@ALL
def test_a_formula_says_what_it_is(formula: Formula) -> None:
    assert formula.id == formula.id.lower() and " " not in formula.id and "_" not in formula.id
    assert formula.title and formula.topic and formula.statement
    assert formula.validity.sentence.endswith(".")
    for source in (formula.source, formula.example.source):
        assert source.text and source.grade in get_args(Grade)
    for assumption in formula.assumptions:
        assert assumption.claim[0].islower() and not assumption.claim.endswith(".")
        assert assumption.sentence.startswith("The formula ")
    assert set(formula.circuits) <= set(CIRCUITS_ALL)
    assert (formula.sense is not None) == (formula.kind == "bound")


@ALL
def test_function_and_quantities_agree(formula: Formula) -> None:
    takes = inspect.signature(formula.function).parameters
    assert list(takes) == [symbol.name for symbol in formula.quantities if not symbol.optional]
    assert all(each.kind is inspect.Parameter.KEYWORD_ONLY for each in takes.values())
    assert formula.function.__doc__ and f"[{formula.unit}]" in formula.function.__doc__


@ALL
def test_the_example_comes_out_as_its_witness_says(formula: Formula) -> None:
    example = formula.example
    assert formula.value(**example.values) == pytest.approx(example.expected, rel=example.tolerance * (1 + 1e-6))


@ALL
def test_a_formula_keeps_its_value_in_other_base_units(formula: Formula) -> None:
    """Homogeneity: with volt, ohm, second ... all rescaled consistently the result rescales by its own unit."""
    scaled = {
        symbol.name: formula.example.values[symbol.name] * factor(symbol.unit)
        for symbol in formula.quantities
        if symbol.name in formula.example.values
    }
    expected = formula.value(**formula.example.values) * factor(formula.unit)
    assert formula.value(**scaled) == pytest.approx(expected, rel=1e-9)


@ALL
def test_the_readings_that_it_answers_exist_in_its_unit(formula: Formula) -> None:
    for pattern in formula.readings:
        exact = pattern.replace("load*", "load").replace("secondary*", "secondary").replace("mains*", "mains")
        place = "C1" if exact.startswith("*.voltage") else "D1"
        exact = exact.replace("*.", f"{place}.", 1) if exact.startswith("*.") else exact.replace("*", "1")
        assert fnmatchcase(exact, pattern)
        assert readings.unit_of(exact) == formula.unit


@ALL
def test_bad_values_are_told_in_a_sentence(formula: Formula) -> None:
    values = dict(formula.example.values)
    for symbol in formula.quantities:
        for bad in (math.nan, math.inf, -math.inf):
            with pytest.raises(ValueError, match=rf"{symbol.name} .*was given as .*has to be "):
                formula.value(**{**values, symbol.name: bad})
        if symbol.domain in ("positive", "not negative", "fraction"):
            with pytest.raises(ValueError, match=rf"{symbol.name} .*has to be "):
                formula.value(**{**values, symbol.name: -1.0})
        if not symbol.optional:
            short = {name: value for name, value in values.items() if name != symbol.name}
            with pytest.raises(ValueError, match=rf"not given: {symbol.name} \["):
                formula.value(**short)
    with pytest.raises(ValueError, match="it has no quantity colour"):
        formula.value(**values, colour=1.0)


@pytest.mark.parametrize("formula", [f for f in formulas().values() if f.undoes], ids=lambda formula: formula.id)
def test_the_solved_for_form_undoes_its_formula(formula: Formula) -> None:
    """Put the inverse's example through, and its result back: the first number returns."""
    forward = look_up(formula.undoes)
    found = formula.value(**formula.example.values)
    known = {
        symbol.name: formula.example.values[symbol.name]
        for symbol in forward.quantities
        if symbol.name in formula.example.values
    }
    missing = [s.name for s in forward.quantities if not s.optional and s.name not in known]
    assert len(missing) == 1
    wanted = [name for name in formula.example.values if name not in known]
    assert len(wanted) == 1
    assert forward.value(**known, **{missing[0]: found}) == pytest.approx(
        formula.example.values[wanted[0]], rel=1e-9
    )


def test_validity_is_judged_where_the_peak_is_known() -> None:
    """2 V of ripple on 30 V is small, on 5 V it isn't; without the peak nothing is known against it."""
    given = {"load_current": 0.2, "recharge_frequency": 100.0, "capacitance": 1e-3}
    ripple = look_up("ripple-straight-line")
    assert ripple.valid(**given, load_peak=30.0)
    assert not ripple.valid(**given, load_peak=5.0)
    assert ripple.valid(**given)


def test_evaluate_gives_the_six_keys() -> None:
    """0.15 A, 100 Hz, 2200 µF: 0.15/(100 x 2200e-6) V."""
    answer = evaluate(
        "ripple-straight-line", {"load_current": 0.15, "recharge_frequency": 100.0, "capacitance": 2200e-6}
    )
    assert set(answer) == {"id", "value", "unit", "valid", "assumes", "source"}
    assert answer["value"] == pytest.approx(0.6818, abs=5e-5)


def test_an_unknown_id_is_met_with_the_nearest() -> None:
    with pytest.raises(UnknownFormula, match="Did you mean .*ripple-straight-line"):
        evaluate("ripple-strait-line", {})
    with pytest.raises(UnknownFormula, match="Search with a word"):
        look_up("zzzzzz")


def test_words_find_formulas() -> None:
    assert look_up("capacitance-for-ripple") in find("capacitor wanted RIPPLE")
    assert find("no such words anywhere") == ()


@pytest.mark.parametrize(
    ("name", "values", "said"),
    [
        ("load-peak-less-drops", {"source_peak": 1.0, "diode_drop": 0.7, "diodes_in_path": 2.0}, "nothing reaches"),
        ("ripple-factor-from-form-factor", {"form_factor": 0.9}, "never below the mean"),
        ("charging-start-angle", {"load_peak": 9.0, "load_valley": 10.0}, "Exchange"),
        (
            "discharge-time",
            {"initial_voltage": 5.0, "final_voltage": 9.0, "load_resistance": 1.0, "capacitance": 1.0},
            "up to 9 V",
        ),
        ("capacitor-ripple-current", {"charging_current_rms": 1.0, "load_current": 2.0}, "below its mean"),
        ("multiplier-no-load", {"source_peak": 0.5, "diode_drop": 0.7, "stages": 1.0}, "nothing gets through"),
        ("ripple-straight-line", {"load_current": 1e300, "recharge_frequency": 1e-30, "capacitance": 1e-30}, "finite"),
    ],
)
def test_what_cannot_be_is_told(name: str, values: dict[str, float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        look_up(name).value(**values)
