"""Sheet keys that can be varied: their units, their values, the series they are sold in."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from railwright.quantities import read_quantity
from railwright.supply import read_text, replace
from railwright.variation.keys import CannotVary, varied_key

SUPPLY = read_text("""
[mains]
voltage = "230 V"
frequency = "50 Hz"

[transformer]
turns_ratio = "25:1"

[rectifier]
circuit = "bridge"
diode = { drop = "0.8 V" }

[[filter]]
capacitor = "2200 uF -20/+50 %"

[load]
resistance = "4k7"
""")


@pytest.mark.parametrize(
    ("path", "unit", "present", "series"),
    [
        ("mains.voltage", "V", 230.0, None),
        ("transformer.turns_ratio", "1", 25.0, None),
        ("rectifier.diode.drop", "V", 0.8, None),
        ("filter.1.capacitor", "F", 2200e-6, "E12"),
        ("load.resistance", "ohm", 4700.0, "E24"),
        ("transformer.secondary_resistance", "ohm", 100.0, None),
        ("load.current", "A", 0.1, None),
    ],
)
def test_a_key_knows_its_unit_its_present_value_and_its_series(
    path: str, unit: str, present: float, series: str | None
) -> None:
    """Values as written in the sheet above; the last two are absent there and start from the middle of the usual."""
    key = varied_key(SUPPLY, path)
    assert (key.unit, key.preferred_series) == (unit, series)
    assert key.present(SUPPLY) == approx(present, rel=1e-12)


@given(value=st.floats(1e-9, 1e6))
def test_what_is_written_is_read_back_to_the_last_bit(value: float) -> None:
    assert read_quantity(varied_key(SUPPLY, "load.resistance").written(value), "ohm").value == value


def test_what_is_written_is_what_the_sheet_takes() -> None:
    for path, value in (("transformer.turns_ratio", 12.5), ("rectifier.diode.drop", 1e-3), ("load.resistance", 33.3)):
        key = varied_key(SUPPLY, path)
        assert key.present(replace(SUPPLY, path, key.written(value))) == approx(value, rel=1e-12)


def test_a_misspelt_key_is_told_with_the_nearest() -> None:
    with pytest.raises(CannotVary, match=r'No sheet has a key "load\.resistence"\. Did you mean "load\.resistance"'):
        varied_key(SUPPLY, "load.resistence")


@pytest.mark.parametrize("path", ["rectifier.circuit", "title", "filter.1.fitted", "load"])
def test_a_key_that_takes_no_number_is_refused(path: str) -> None:
    with pytest.raises(CannotVary, match="takes no number|No sheet has a key"):
        varied_key(SUPPLY, path)
