"""Regulators out of the tables: the same questions of positive, negative and adjustable ones."""

from __future__ import annotations

import pytest

from railwright.parts import UnknownPart, UnsuitablePart, find, names, regulator_data


@pytest.mark.parametrize("name", names("regulator"))
def test_every_regulator_has_what_a_model_of_it_needs(name: str) -> None:
    data = regulator_data(name)
    assert data.output is not None or data.reference is not None
    assert (data.output or data.reference or 0.0) * (-1.0 if data.polarity == "negative" else 1.0) > 0.0
    assert data.dropout is not None and 0.0 < data.dropout < 4.0
    assert data.dropout_for_design is not None and data.dropout_for_design >= data.dropout
    assert data.dropout_constant is not None and data.dropout_constant >= 0.0
    assert data.dropout_resistance is not None and data.dropout_resistance >= 0.0
    assert data.quiescent is not None and 0.0 < data.quiescent < 0.05
    assert data.ripple_rejection is not None and 40.0 < data.ripple_rejection < 90.0
    assert data.ripple_rejection_frequency == 120.0
    if data.ripple_rejection_minimum is not None:
        assert data.ripple_rejection_minimum <= data.ripple_rejection
    assert data.current_limit is not None and data.rated_current is not None
    assert data.current_limit > data.rated_current
    assert (data.input_maximum is None) != (data.input_to_output_maximum is None)
    for key in ("dropout", "dropout_constant", "quiescent", "ripple_rejection", "current_limit"):
        assert data.provenance[key]


@pytest.mark.parametrize(
    ("name", "output", "polarity", "dropout", "input_maximum"),
    [
        # The tables' own entries: 2.0 V and 1.1 V typical at 1 A, 35 V at most (published).
        ("7805", 5.0, "positive", 2.0, 35.0),
        ("7812", 12.0, "positive", 2.0, 35.0),
        ("7824", 24.0, "positive", 2.0, 40.0),
        ("7912", -12.0, "negative", 1.1, 35.0),
        ("7915", -15.0, "negative", 1.1, 35.0),
    ],
)
def test_fixed_regulators(name: str, output: float, polarity: str, dropout: float, input_maximum: float) -> None:
    data = regulator_data(name)
    assert (data.output, data.polarity) == (output, polarity)
    assert (data.dropout, data.input_maximum) == (dropout, input_maximum)


def test_the_dropout_line_passes_near_every_typical_point() -> None:
    data = regulator_data("7812")
    assert data.dropout_constant is not None and data.dropout_resistance is not None
    for value in find("7812").all("dropout", "typical"):
        current = value.condition("current", "A")
        assert current is not None
        line = data.dropout_constant + data.dropout_resistance * current
        assert line == pytest.approx(value.value, abs=0.1)
    # The least squares line of (0.02, 1.4), (0.2, 1.6), (0.5, 1.8), (1, 2.0), by hand: 1.447 V + 0.588 ohm.
    assert data.dropout_constant == pytest.approx(1.447, abs=0.001)
    assert data.dropout_resistance == pytest.approx(0.588, abs=0.001)


def test_one_point_gives_a_constant_dropout_and_says_so() -> None:
    data = regulator_data("7912")
    assert (data.dropout_constant, data.dropout_resistance) == (1.1, 0.0)
    assert data.provenance["dropout_constant"] == "one point only: taken as constant"


def test_an_adjustable_regulator_leaves_its_output_to_the_sheet() -> None:
    data = regulator_data("adjustable positive 1.25 V (317)")
    assert (data.output, data.reference) == (None, 1.25)
    assert (data.input_maximum, data.input_to_output_maximum) == (None, 40.0)
    assert data.minimum_load == 10e-3


def test_a_fixed_regulator_does_not_inherit_the_adjustable_ones_minimum_load() -> None:
    """The table's source states it for the adjustable version only."""
    assert regulator_data("low dropout 3.3 V generic 0.8 A").minimum_load is None


def test_wrong_names_are_told() -> None:
    with pytest.raises(UnknownPart, match='"LM7812" is the name of no regulator .* Did you mean "7812"'):
        regulator_data("LM7812")
    with pytest.raises(UnsuitablePart, match='"1N4001" is a part of type diode, where a regulator is needed'):
        regulator_data("1N4001")
    with pytest.raises(UnsuitablePart, match="is a part of type diode, where a regulator is needed"):
        regulator_data(find("1N4001"))
