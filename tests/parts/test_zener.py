"""Zener diodes out of the tables: the voltage, the slope, and where the straight law starts."""

from __future__ import annotations

import pytest

from railwright.parts import UnknownPart, UnsuitablePart, find, names, read_parts_text, zener_data


@pytest.mark.parametrize("name", names("zener"))
def test_every_zener_has_what_a_model_of_it_needs(name: str) -> None:
    data = zener_data(name)
    assert 0.0 < data.threshold_voltage < data.zener_voltage
    assert data.threshold_voltage + data.zener_resistance * data.test_current == pytest.approx(data.zener_voltage)
    assert data.zener_minimum_current is not None and data.zener_minimum_current <= data.test_current
    assert data.power_rating in (0.5, 1.0, 1.3)
    assert data.zener_resistance_maximum is not None
    assert data.zener_resistance <= data.zener_resistance_maximum
    for key in ("zener_voltage", "test_current", "zener_resistance", "zener_minimum_current", "power_rating"):
        assert "published" in data.provenance[key]


@pytest.mark.parametrize(
    ("name", "voltage", "test_current", "slope"),
    [
        # The registered 1 W series, as its table carries it (published, read).
        ("1N4733A", 5.1, 49e-3, 7.0),
        ("1N4742A", 12.0, 21e-3, 9.0),
    ],
)
def test_registered_types(name: str, voltage: float, test_current: float, slope: float) -> None:
    data = zener_data(name)
    assert (data.zener_voltage, data.test_current, data.zener_resistance_maximum) == (voltage, test_current, slope)


def test_the_typical_slope_is_taken_where_there_is_one() -> None:
    data = zener_data("zener 0.5 W 5.1 V")
    assert (data.zener_resistance, data.zener_resistance_maximum) == (40.0, 60.0)
    assert "typical" in data.provenance["zener_resistance"]


def test_wrong_names_are_told() -> None:
    with pytest.raises(UnknownPart, match='no zener diode .* Did you mean .*"zener 0.5 W 5.1 V"'):
        zener_data("zener 0.5W 5.1V")
    with pytest.raises(UnsuitablePart, match='"7805" is a part of type regulator, where a zener diode is needed'):
        zener_data(find("7805"))


def test_a_readers_own_zener_must_state_what_the_law_needs() -> None:
    (part,) = read_parts_text(
        """
kind = "parts"
[[part]]
type = "zener"
name = "lamp zener"
class = "0.5 W"
zener_voltage = { value = "5V1", spread = "nominal", provenance = "measured" }
"""
    )
    with pytest.raises(UnsuitablePart, match='"lamp zener" lacks zener_voltage, test_current or zener_resistance'):
        zener_data(part)
