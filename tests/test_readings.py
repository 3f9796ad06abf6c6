"""Readings: the list is complete, its ids are found, and a value without meaning never gets into one."""

from __future__ import annotations

import json
import math
import pickle
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.readings import (
    AC_PLACES,
    CURRENT_PLACES,
    DC_PLACES,
    DEFINITIONS,
    VOLTAGE_PLACES,
    Definition,
    HandValue,
    Measured,
    Reading,
    ReadingName,
    UnknownReading,
    define,
    ids_at,
    split,
    unit_of,
)

CONTRACT = Path(__file__).parents[2] / "shared" / "readings.md"

EXAMPLE = {  # one real place for each that the list writes with a number or a name
    "U<n>.input": "U1.input",
    "U<n>.output": "U2.output",
    "stage_<k>": "stage_3",
    "<probe>": "meter",
}


def example(place: str) -> str:
    return EXAMPLE.get(place, place.replace("<n>", "7"))


def example_id(definition: Definition, place: str) -> str:
    if definition.pattern.startswith(("U<n>", "Z<n>")):
        place = place.replace("<n>", "1")
    name = split(definition.pattern)
    words = (example(place), name.kind, name.measure.replace("<n>", "5"))
    return ".".join(word for word in words if word)


# The list -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("definition", DEFINITIONS, ids=lambda d: d.pattern)
def test_every_row_is_found_under_each_of_its_places(definition: Definition) -> None:
    assert definition.places
    for place in definition.places:
        found = define(example_id(definition, place), names=("meter",))
        assert (found.unit, split(found.pattern)[1:]) == (definition.unit, split(definition.pattern)[1:])


def test_no_two_rows_share_a_pattern() -> None:
    patterns = [definition.pattern for definition in DEFINITIONS]
    assert len(set(patterns)) == len(patterns)


@pytest.mark.parametrize("definition", DEFINITIONS, ids=lambda d: d.pattern)
def test_every_row_states_definition_unit_and_sign(definition: Definition) -> None:
    assert definition.definition
    assert definition.applies
    assert definition.unit in {"V", "A", "W", "VA", "Hz", "s", "J", "C", "ohm", "deg", "1", "°C", "A²s"}
    assert definition.sign in {"+", "±", "0 … 1", "0 … 360", "+ from the mains"}


def contract_rows() -> list[tuple[str, str, str]]:
    """Return id, unit and sign of every row of the written list, several ids in a row one by one."""
    if not CONTRACT.is_file():
        return []
    rows = []
    for line in CONTRACT.read_text("utf-8").split("## The list")[1].splitlines()[3:]:
        if not line.startswith("|"):
            break
        ids, _, unit, sign, _ = (cell.strip() for cell in line.strip("|").split("|"))
        full = ""
        for written in re.findall(r"`([^`]+)`", ids):
            full = full.rsplit(".", 1)[0] + written if written.startswith(".") else written
            rows.append((full, unit, sign))
    return rows


@pytest.mark.parametrize(("pattern", "unit", "sign"), contract_rows())
def test_the_written_list_and_the_data_agree(pattern: str, unit: str, sign: str) -> None:
    """The written list of readings: every id with its unit and sign; skipped where the list isn't beside the tree."""
    ids = [pattern]
    if pattern.endswith("<measure>"):
        ids = [pattern.replace("<measure>", measure) for measure in ("mean", "rms", "ripple_rms", "valley")]
    for written in ids:
        concrete = (
            written.replace("<V>", "load" if "thd" not in written else "mains")
            .replace("<I>.current.valley", "load.current.valley")
            .replace("<I>", "mains")
            .replace("harmonic_<n>", "harmonic_40")
            .replace("<n>", "2")
            .replace("<k>", "2")
            .replace("<probe>", "meter")
        )
        found = define(concrete, names=("meter",))
        if written.endswith(("core_temperature", "life")):  # one row, two units
            assert found.unit in ("°C", "s")
        elif written.startswith("Z1"):
            assert found.unit in unit.split(", ")
        else:
            assert found.unit == unit
        if sign in ("+", "±", "0 … 360", "0 … 1") and pattern == written and not written.startswith(("L<n>", "C<n>")):
            assert found.sign == sign


def test_the_written_list_was_read_where_it_is() -> None:
    if not CONTRACT.is_file():
        pytest.skip("the written list isn't beside this tree")
    assert len(contract_rows()) >= len(DEFINITIONS) - 2


@pytest.mark.parametrize(
    ("place", "voltage", "current", "ac", "dc"),
    [
        # The place sets as the list words them.
        ("mains", True, True, True, False),
        ("secondary_b", True, True, True, False),
        ("load_across", True, True, False, True),
        ("stage_<k>", True, False, False, True),
        ("tap", False, True, False, False),
        ("F1", False, True, True, False),
        ("D<n>", True, True, False, False),
        ("C<n>", True, True, False, True),
        ("<probe>", True, True, True, True),
    ],
)
def test_a_place_belongs_to_its_sets(place: str, voltage: bool, current: bool, ac: bool, dc: bool) -> None:
    sets = (VOLTAGE_PLACES, CURRENT_PLACES, AC_PLACES, DC_PLACES)
    assert tuple(place in members for members in sets) == (voltage, current, ac, dc)


@pytest.mark.parametrize(
    ("reading", "unit"),
    [
        ("load.voltage.ripple_peak_to_peak", "V"),
        ("C1.voltage.harmonic_2", "V"),
        ("U2.input.voltage.valley", "V"),
        ("stage_4.voltage.mean", "V"),
        ("load_across.voltage.mean", "V"),
        ("mains_l1.current.harmonic_40", "A"),
        ("secondary_3.current.over_dc", "1"),
        ("tap.current.rms", "A"),
        ("F1.current.inrush_peak", "A"),
        ("T1.magnetizing.current.peak", "A"),
        ("T1.flux.peak_ratio", "1"),
        ("D12.conduction.angle", "deg"),
        ("L1.current.valley", "A"),
        ("U1.headroom.minimum", "V"),
        ("load.output_resistance", "ohm"),
        ("load.battery.power", "W"),
        ("supply.rail.imbalance", "1"),
        ("supply.discharge.voltage_after_5s", "V"),
        ("mains.current.inrush_energy", "A²s"),
        ("tide-meter.indicated", "V"),
        ("C1.life", "s"),
    ],
)
def test_a_reading_on_the_list_has_its_unit(reading: str, unit: str) -> None:
    assert define(reading).unit == unit
    assert unit_of(reading) == unit


def test_a_place_s_own_row_wins_over_the_general_one() -> None:
    assert define("C1.current.rms").pattern == "C<n>.current.rms"
    assert define("R1.current.rms").pattern == "<I>.current.rms"


def test_voltages_at_a_name_exist_when_the_sheet_gives_that_name() -> None:
    assert define("scope.voltage.ripple_rms", names=("scope",)).unit == "V"
    assert define("scope.voltage.thd", names=("scope",)).unit == "1"
    assert unit_of("scope.current.rms") == "A"
    with pytest.raises(UnknownReading, match="names a place that isn't known"):
        define("scope.voltage.mean")


def test_a_reading_is_split_into_place_quantity_and_measure() -> None:
    assert split("load.voltage.ripple_rms") == ReadingName(place="load", kind="voltage", measure="ripple_rms")
    assert split("U1.input.voltage.mean") == ReadingName(place="U1.input", kind="voltage", measure="mean")
    assert split("T1.magnetizing.current.peak") == ("T1.magnetizing", "current", "peak")
    assert split("supply.efficiency") == ("supply", "efficiency", "")


@pytest.mark.parametrize("place", ["load", "D2", "C1", "U1.input", "U1", "T1", "supply", "rectifier", "secondary_a"])
def test_everything_offered_at_a_place_is_on_the_list(place: str) -> None:
    offered = ids_at(place)
    assert len(offered) > 1
    assert all(split(reading).place == place and define(reading) for reading in offered)


# Unknown ids ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("reading", "sentence"),
    [
        ("laod.voltage.mean", 'names a place that isn\'t known, "laod". Did you mean load.voltage.mean?'),
        ("load.voltage.ripple", "isn't on the list of readings. Did you mean load.voltage.ripple_peak_to_peak"),
        ("C1.voltage.average", "Did you mean C1.voltage.mean"),
        ("d1.reverse_voltage.peak", "Did you mean D1.reverse_voltage.peak?"),
        ("D1.piv", "Did you mean D1.reverse_voltage.peak?"),
        ("supply.efficency", "Did you mean supply.efficiency"),
        ("mains_l4.voltage.rms", "Did you mean mains_l3.voltage.rms"),
        ("secondary.voltage.ripple_rms", "exists at DC places only, not here"),
        ("load.voltage.thd", "exists at AC places only, not here"),
        ("D1.voltage.valley", "exists at DC places only, not here"),
        ("D1.current.over_dc", "exists at AC places and capacitors only, not here"),
        ("F1.voltage.mean", "exists at places with a voltage only, not here. Did you mean F1.current.mean"),
        ("stage_3.current.mean", "exists at places with a current only, not here"),
        ("load_positive.voltage.regulation", "Did you mean load.voltage.regulation"),
        ("U1.input.voltage.harmonic_41", "names no order from 1 to 40"),
        ("load.voltage.harmonic_02", "names no order from 1 to 40"),
        ("U3.power.mean", 'names a place that isn\'t known, "U3"'),
        ("C0.current.rms", 'names a place that isn\'t known, "C0"'),
        ("<V>.voltage.mean", "names a place that isn't known"),
        ("load", "hasn't the form of a reading. Ask for a place, a quantity and a measure, as in load.voltage.mean."),
        ("", "hasn't the form of a reading"),
        ("load..mean", "hasn't the form of a reading"),
        ("a\x00b.voltage.mean", '"a\\x00b.voltage.mean" hasn\'t the form of a reading'),
    ],
)
def test_an_unknown_reading_is_answered_with_what_comes_near(reading: str, sentence: str) -> None:
    with pytest.raises(UnknownReading) as refusal:
        define(reading)
    assert sentence in str(refusal.value)


@given(st.one_of(st.text(max_size=150), st.text(alphabet="lLoadC1D.<>voltagemnhric_", max_size=30)))
def test_any_text_is_defined_or_refused_and_what_comes_near_exists(text: str) -> None:
    try:
        define(text)
    except UnknownReading as refusal:
        assert str(refusal).isprintable()
        for near in refusal.near:
            define(near)


def test_a_refusal_keeps_its_facts_when_it_travels_between_processes() -> None:
    again = pickle.loads(pickle.dumps(UnknownReading("a.b", "isn't on the list of readings", ("load.power.dc",))))
    assert str(again) == '"a.b" isn\'t on the list of readings. Did you mean load.power.dc?'


# Values ---------------------------------------------------------------------------------------------------


def test_a_reading_as_json_has_the_agreed_keys() -> None:
    """The keys are those of the interface: value, unit, hand, why; points, reason, bound, measured where given."""
    hand = HandValue(formula="sawtooth", value=11.1, difference=-0.009, valid=True)
    plain = Reading(id="C1.voltage.mean", value=11.2, unit="V", hand=(hand,), why="The diodes conduct earlier.")
    assert plain.to_json() == {
        "value": 11.2,
        "unit": "V",
        "hand": [{"formula": "sawtooth", "value": 11.1, "difference": -0.009, "valid": True}],
        "why": "The diodes conduct earlier.",
    }
    missing = Reading(id="C1.current.crest_factor", value=None, unit="1", reason="The current is infinite.")
    assert missing.to_json() == {
        "value": None,
        "unit": "1",
        "hand": [],
        "why": "",
        "reason": "The current is infinite.",
    }
    full = Reading(
        id="load.voltage.regulation",
        value=0.1,
        unit="1",
        points={"no_load": 11.0, "full_load": 10.0},
        bound=1e-6,
        measured=Measured(value=0.11, unit="1", instrument="meter-dc", low=0.1, high=0.12),
    )
    assert full.to_json() == {
        "value": 0.1,
        "unit": "1",
        "hand": [],
        "why": "",
        "points": {"no_load": 11.0, "full_load": 10.0},
        "bound": 1e-6,
        "measured": {"value": 0.11, "unit": "1", "instrument": "meter-dc", "low": 0.1, "high": 0.12},
    }


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_reading_refuses_what_is_not_finite_wherever_it_stands(value: float) -> None:
    with pytest.raises(ValueError, match=r"load\.voltage\.mean is .*which is no value"):
        Reading(id="load.voltage.mean", value=value, unit="V")
    with pytest.raises(ValueError, match="at point no_load"):
        Reading(id="load.voltage.regulation", value=0.1, unit="1", points={"no_load": value})
    with pytest.raises(ValueError, match="The bound of"):
        Reading(id="load.voltage.mean", value=1.0, unit="V", bound=value)
    with pytest.raises(ValueError, match="The value of formula sawtooth"):
        HandValue(formula="sawtooth", value=value, difference=None, valid=True)
    with pytest.raises(ValueError, match="The difference of formula sawtooth"):
        HandValue(formula="sawtooth", value=1.0, difference=value, valid=True)
    with pytest.raises(ValueError, match="The low of a measurement"):
        Measured(value=1.0, unit="V", instrument="meter-dc", low=value, high=2.0)


def test_a_reading_without_a_value_needs_a_reason() -> None:
    with pytest.raises(ValueError, match="has no value, so it needs a reason"):
        Reading(id="load.voltage.mean", value=None, unit="V")


def test_a_bound_below_zero_and_a_span_without_its_value_are_refused() -> None:
    with pytest.raises(ValueError, match="a bound is zero or more"):
        Reading(id="load.voltage.mean", value=1.0, unit="V", bound=-1e-9)
    with pytest.raises(ValueError, match="lies outside its own span"):
        Measured(value=3.0, unit="V", instrument="meter-dc", low=1.0, high=2.0)


def test_the_difference_is_taken_from_the_computed_value() -> None:
    """The definition: (hand − computed) / computed."""
    assert HandValue.beside(10.0, formula="f", value=11.0, valid=True).difference == pytest.approx(0.1)
    assert HandValue.beside(-10.0, formula="f", value=-9.0, valid=True).difference == pytest.approx(-0.1)
    assert HandValue.beside(0.0, formula="f", value=1.0, valid=True).difference is None
    assert HandValue.beside(None, formula="f", value=1.0, valid=False).difference is None
    assert HandValue.beside(1e-300, formula="f", value=1e300, valid=True).difference is None


def test_a_negative_zero_is_written_as_zero() -> None:
    assert json.dumps(Reading(id="load.voltage.mean", value=-0.0, unit="V").to_json()["value"]) == "0.0"


@given(
    value=st.one_of(st.none(), st.floats(allow_nan=False, allow_infinity=False)),
    by_hand=st.floats(allow_nan=False, allow_infinity=False),
    bound=st.one_of(st.none(), st.floats(0, 1)),
)
def test_whatever_is_accepted_is_strict_json_and_comes_back(
    value: float | None, by_hand: float, bound: float | None
) -> None:
    reading = Reading(
        id="load.voltage.mean",
        value=value,
        unit="V",
        hand=(HandValue.beside(value, formula="f", value=by_hand, valid=True),),
        reason="" if value is not None else "No part carries current.",
        points={"no_load": by_hand},
        bound=bound,
    )
    assert json.loads(json.dumps(reading.to_json(), allow_nan=False)) == reading.to_json()
    assert pickle.loads(pickle.dumps(reading)) == reading
