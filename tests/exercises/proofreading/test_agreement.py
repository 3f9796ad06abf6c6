"""Digits: what a written result may be, and what it is called when it isn't. Expected verdicts by rounding by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from railwright.exercises.proofreading import Proofreading, proofread
from railwright.study import Study, read_text, solve

SHEET = """
[mains]
voltage = "12 V"
frequency = "50 Hz"
source = "adapter"
[rectifier]
circuit = "bridge"
[[filter]]
capacitor = "2200 uF"
[load]
resistance = "100 ohm"
"""


@pytest.fixture(scope="module")
def study() -> Study:
    return solve(read_text(SHEET))


def kinds(study: Study, line: str) -> list[str]:
    return [finding.kind for finding in proofread(line, study).findings]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("Q = 3.00 V * 2.00 = 6.00 V", []),
        ("Q = 12 V * 1.414 = 16.97 V", []),
        ("Q = 12 V * 1.414 = 17 V", []),
        ("Q = 12 V * 1.414 = 16.98 V", ["rounding"]),  # 16.962 to 16.974 by the digits of 1.414
        ("Q = 12 V * 1.414 = 16.79 V", ["arithmetic"]),
        ("Q = 5.55 V / 2 = 2.78 V", []),
        ("Q = 7 V / 3 = 2.34 V", ["rounding"]),  # 2.333
        ("Q = 7 V / 3 ≈ 2.34 V", []),
        ("Q = 2 * 60 Hz = 100 Hz", ["arithmetic"]),
        ("Q = 2389 uF = 2400 uF", []),
        ("Q = 6 V / 3 A = 2 V", ["unit"]),
        ("Q = 6 V + 3 A = 9 V", ["unit"]),
        ("Q = 6 V * 3 = 18", ["unit"]),
        ("Q = 6 V / 3 kohm = 2 A", ["prefix"]),
        ("Q = 6 / 3 = 2 V", []),
        ("Q = 0.153 * 1000 = 153 mA", []),
        ("Q = 0.047 * 100 = 4.7 %", []),
        ("Q = 0.5 V/10 V = 5 %", []),
        ("Q = 6 V = 6000 mV = 6.0 V", []),
        ("Q = 6 V * 2 = 12 V = 13 V", ["arithmetic"]),
    ],
)
def test_a_step_follows_within_the_digits_that_are_shown(study: Study, line: str, expected: list[str]) -> None:
    assert kinds(study, line) == expected


def test_a_result_worked_with_more_digits_than_are_shown_is_right(study: Study) -> None:
    """0.1557 A x 100 ohm is 15.57 V; with the shown 0.156 A it would be 15.6 V, and both are right."""
    assert kinds(study, "Q = 0.156 A * 100 ohm = 15.57 V") == []
    assert kinds(study, "Q = 0.156 A * 100 ohm = 15.6 V") == []
    assert kinds(study, "Q = 0.156 A * 100 ohm = 15.47 V") == ["arithmetic"]


# -- laws ---------------------------------------------------------

_FIGURES = st.integers(2, 4)
_PREFIXED = {
    "V": {"mV": 1e-3, "V": 1.0}, "A": {"mA": 1e-3, "A": 1.0}, "ohm": {"Ω": 1.0, "kΩ": 1e3},
    "F": {"µF": 1e-6, "mF": 1e-3}, "Hz": {"Hz": 1.0, "kHz": 1e3}, "s": {"ms": 1e-3, "s": 1.0},
    "W": {"W": 1.0, "mW": 1e-3},
}  # fmt: skip
#: What is multiplied, what it is divided by, and what comes out (definitions of the units).
_CHAINS = (
    (("V",), ("ohm",), "A"), (("A", "ohm"), (), "V"), (("A", "s"), ("F",), "V"), (("A",), ("Hz", "F"), "V"),
    (("V", "A"), (), "W"), (("ohm", "F"), (), "s"), (("V", "V"), ("ohm",), "W"), (("V",), (), "V"),
)  # fmt: skip


def shown(value: float, figures: int) -> str:
    """A value to some significant figures, always with a decimal point."""
    decimals = max(1, figures - 1 - math.floor(math.log10(abs(value))))
    return f"{value:.{decimals}f}"


@st.composite
def amounts(draw: st.DrawFn, unit: str) -> tuple[float, str]:
    """A value that has more digits than are shown, and how it is shown."""
    name, factor = draw(st.sampled_from(sorted(_PREFIXED[unit].items())))
    value = draw(st.floats(0.15, 900.0))
    text = shown(value, draw(_FIGURES))
    assume(float(text) > 0.0)
    return value * factor, f"{text} {name}"


@st.composite
def chains(draw: st.DrawFn) -> tuple[str, float, str]:
    """A working, its value from the full digits, and the unit of its result."""
    above, below, unit = draw(st.sampled_from(_CHAINS))
    count = draw(st.integers(1, 3))
    value, texts = float(count), [str(count)]
    for kind in above:
        number, text = draw(amounts(kind))
        value, texts = value * number, [*texts, text]
    divisor, lower = 1.0, []
    for kind in below:
        number, text = draw(amounts(kind))
        divisor, lower = divisor * number, [*lower, text]
    times = draw(st.sampled_from((" * ", " × ", "·")))
    working = times.join(texts) + (f" / ({times.join(lower)})" if lower else "")
    return working, value / divisor, unit


@given(chains(), _FIGURES)
def test_a_right_chain_never_holds_an_error(study: Study, chain: tuple[str, float, str], figures: int) -> None:
    working, value, unit = chain
    assume(1e-4 < value < 1e6)
    line = f"Q = {working} = {shown(value, figures)} {'Ω' if unit == 'ohm' else unit}"
    assert proofread(line, study).findings == (), line


@given(chains(), st.floats(1.6, 3.0))
def test_a_result_that_is_far_off_is_always_found(study: Study, chain: tuple[str, float, str], factor: float) -> None:
    working, value, unit = chain
    assume(1e-4 < value < 1e6)
    line = f"Q = {working} = {shown(value * factor, 4)} {'Ω' if unit == 'ohm' else unit}"
    assert {f.kind for f in proofread(line, study).findings} == {"arithmetic"}, line


@given(chains(), _FIGURES, st.sampled_from(sorted(_PREFIXED)))
def test_a_result_in_another_unit_is_always_found(
    study: Study, chain: tuple[str, float, str], figures: int, other: str
) -> None:
    working, value, unit = chain
    assume(1e-4 < value < 1e6 and other != unit)
    line = f"Q = {working} = {shown(value, figures)} {'Ω' if other == 'ohm' else other}"
    assert {f.kind for f in proofread(line, study).findings} == {"unit"}, line


_PIECES = st.sampled_from(
    ["Vp", "V_{dc}", "I", "f", "C", "ripple", "12 V", "0.7 V", "2200 µF", "50 Hz", "1.414", "=", "=", "≈", "*", "/",
     "(", ")", "^", "√", "π", "-", "|", "`", "$", "**", "\\frac{", "}", "{", "_", "%", "1e9", "<!--", ",", ";", "RMS"]
)  # fmt: skip


@given(st.lists(_PIECES, max_size=30).map(" ".join))
def test_pieces_of_equations_in_any_order_never_raise(study: Study, text: str) -> None:
    assert isinstance(proofread(text, study), Proofreading)


@given(st.text(max_size=300))
def test_random_text_never_raises(study: Study, text: str) -> None:
    assert isinstance(proofread(text, study), Proofreading)
