"""Whatever is written into a sheet, it is read or its faults are told: never anything else."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from railwright.supply import (
    SheetError,
    Supply,
    at_point,
    parts,
    point_names,
    read_sheet,
    read_text,
    replace,
    with_fault,
)
from railwright.supply.keys import all_keys
from railwright.supply.reader import supply_from_tree

ROOT = Path(__file__).resolve().parent.parent.parent
SHEETS = sorted(
    file.read_text(encoding="utf-8")
    for folder in ("examples/supplies", "tests/data/broken-sheets")
    for file in (ROOT / folder).glob("*.toml")
)
GOOD = sorted((ROOT / "examples/supplies").glob("*.toml"))
NAMES = sorted({key.name for key in all_keys()} | {"positive", "D1", "load.resistance", "filter.1.capacitor", "x"})

scalars = st.one_of(
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(
        ["12 V", "50 Hz", "2200 uF", "1 kohm", "1 A", "20 %", "25:1", "bridge", "dual-rail", "multiplier", "none",
         "centre-tapped", "three-phase-bridge", "winding_a", "1e99 V", "1e-99 ohm", "0 V", "-1 A", "positive"]
    ),
)  # fmt: skip
values = st.recursive(
    scalars,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.sampled_from(NAMES) | st.text(max_size=8), inner, max_size=4)
    ),
    max_leaves=12,
)


def told(text: str) -> Supply | None:
    try:
        return read_text(text)
    except SheetError as error:
        assert error.faults
        for fault in error.faults:
            assert fault.problem and fault.text.isprintable(), repr(fault.text)
        return None


@given(st.text())
def test_any_text_at_all(text: str) -> None:
    told(text)


@given(st.text(alphabet='[]{}=."\'#\n ,-_abcdeV12', max_size=60))
def test_any_text_that_looks_like_toml(text: str) -> None:
    told(text)


@given(st.sampled_from(SHEETS), st.data())
def test_any_sheet_with_a_piece_cut_out_doubled_or_put_in(sheet: str, data: st.DataObject) -> None:
    start = data.draw(st.integers(0, len(sheet)))
    end = data.draw(st.integers(start, min(len(sheet), start + 30)))
    put_in = data.draw(st.one_of(st.just(""), st.just(sheet[start:end] * 2), st.text(max_size=6)))
    told(sheet[:start] + put_in + sheet[end:])


@given(st.sampled_from(SHEETS), st.data())
def test_any_sheet_with_its_lines_in_another_order(sheet: str, data: st.DataObject) -> None:
    lines = sheet.splitlines(keepends=True)
    first, second = data.draw(st.integers(0, len(lines) - 1)), data.draw(st.integers(0, len(lines) - 1))
    lines[first], lines[second] = lines[second], lines[first]
    told("".join(lines))


@settings(suppress_health_check=[HealthCheck.too_slow], max_examples=200)
@given(st.sampled_from(GOOD), st.data())
def test_any_example_with_any_value_at_any_key(file: Path, data: st.DataObject) -> None:
    tree: dict[str, Any] = tomllib.loads(file.read_text(encoding="utf-8"))
    for _ in range(data.draw(st.integers(1, 3))):
        place: Any = tree
        while True:
            keys = list(place) if isinstance(place, dict) else list(range(len(place)))
            if not keys:
                break
            key = data.draw(st.sampled_from(keys) if isinstance(place, list) else st.sampled_from([*keys, *NAMES]))
            inner = place.get(key) if isinstance(place, dict) else place[key]
            if isinstance(inner, (dict, list)) and inner and data.draw(st.integers(0, 3)):
                place = inner
                continue
            place[key] = data.draw(values)
            break
    try:
        supply = supply_from_tree(tree, lines={}, origin="any.toml")
    except SheetError as error:
        assert all(fault.text.isprintable() for fault in error.faults)
        return
    # What was read can be used.
    assert parts(supply) is not None
    for name in point_names(supply):
        at_point(supply, name)


@settings(max_examples=150)
@given(st.sampled_from(GOOD), st.lists(st.sampled_from([*NAMES, "1", "2", "99", ""]), max_size=4), values)
def test_any_change_of_any_key(file: Path, steps: list[str], value: object) -> None:
    supply = read_sheet(file)
    try:
        replace(supply, ".".join(steps), value)
    except SheetError as error:
        assert all(fault.text.isprintable() for fault in error.faults)


WORDS = ["D1", "C1", "L1", "R1", "F1", "T1", "U1", "open", "shorted", "reversed", "leaky=", "dried=", "value=", "wire",
         "wire-off", "clips", "tap", "to", "positive", "D1.positive", "mains=", "load=", "1 kohm", "/", "2200 uF",
         "winding", "primary", "half-shorted", "=", ".", "230 V", "none"]  # fmt: skip


@given(st.sampled_from(GOOD), st.one_of(st.text(), st.lists(st.sampled_from(WORDS), max_size=5).map(" ".join)))
def test_any_fault_words(file: Path, words: str) -> None:
    supply = read_sheet(file)
    try:
        broken = with_fault(supply, words)
    except SheetError as error:
        assert all(fault.text.isprintable() for fault in error.faults)
        return
    assert parts(broken)


@pytest.mark.parametrize("depth", [100, 300, 400, 480, 700, 5000])
def test_any_depth_of_lists_and_tables(depth: int) -> None:
    good = GOOD[0].read_text(encoding="utf-8")
    told(good + "\n[[point]]\nname = 'deep'\nset = { 'load.none' = " + "[" * depth + "]" * depth + " }\n")
    told(good + "\n[x]\n" + "y = " + "{ a = " * depth + "1" + " }" * depth + "\n")
    told(good + "\n[x." + "a." * depth + "b]\nc = 1\n")
    told(good + "\n[requirement]\n" + "a." * depth + "b = 1\n")
    told(good + "\n[[point]]\nname = 'deep'\n[point.set]\n" + "a." * depth + "b = 1\n")
