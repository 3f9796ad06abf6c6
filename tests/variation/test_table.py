"""The rows of a table and its file."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from railwright.variation.table import Table, evenly_spaced


@given(start=st.floats(-1e3, 1e3), end=st.floats(-1e3, 1e3), count=st.integers(2, 60))
def test_both_ends_are_exact_and_the_steps_are_equal(start: float, end: float, count: int) -> None:
    values = evenly_spaced(start, end, count)
    assert (values[0], values[-1], len(values)) == (start, end, count)
    steps = [after - before for before, after in zip(values, values[1:], strict=False)]
    assert steps == approx([(end - start) / (count - 1)] * (count - 1), abs=1e-9)


def test_a_table_of_one_point_is_refused() -> None:
    with pytest.raises(ValueError, match="1 points were asked for. A table has at least 2"):
        evenly_spaced(0.0, 1.0, 1)


def test_the_file_has_units_in_its_header_and_an_empty_field_where_there_is_no_value() -> None:
    table = Table(
        over="load.current",
        unit="A",
        model="ideal",
        values=(0.0, 0.1),
        readings={"load.voltage.mean": (12.0, 11.5), "D1.conduction.angle": (None, 40.25)},
        reading_units={"load.voltage.mean": "V", "D1.conduction.angle": "deg"},
    )
    assert list(csv.reader(io.StringIO(table.to_csv()))) == [
        ["load.current (A)", "load.voltage.mean (V)", "D1.conduction.angle (deg)"],
        ["0.0", "12.0", ""],
        ["0.1", "11.5", "40.25"],
    ]
