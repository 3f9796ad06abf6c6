"""The handbook's formulas taken apart: each statement, worked out as it is written, gives what its function gives."""

from __future__ import annotations

import math

import pytest

from railwright.documents.working_lines import _AUXILIARIES, _OTHER_LETTERS
from railwright.documents.working_maths import (
    Name,
    NotRead,
    Statement,
    Written,
    gives,
    letter,
    letters_in,
    plain_letter,
    read_statement,
    work_out,
    write,
    write_chain,
)
from railwright.handbook import Formula, formulas


def read(formula: Formula) -> Statement | None:
    """The statement, or None where it holds more than can be put into numbers on one line."""
    try:
        return read_statement(formula.statement)
    except NotRead:
        return None


def plain(statement: Statement) -> str:
    def as_it_stands(name: Name) -> Written:
        return Written(latex=name.latex, plain=plain_letter(name.latex))

    return write_chain([write(side, as_it_stands) for side in statement.sides], statement.relations).plain


def values_of(formula: Formula, statement: Statement) -> dict[str, float]:
    """The example's numbers by the statement's letters, angles in radian."""
    values = {}
    for symbol in formula.quantities:
        if symbol.name in formula.example.values:
            value = formula.example.values[symbol.name]
            values[letter(symbol.symbol)] = math.radians(value) if symbol.unit == "deg" else value
    for other, name in _OTHER_LETTERS.items():
        if name in formula.example.values:
            values.setdefault(letter(other), formula.example.values[name])
    for name, node in statement.auxiliaries:
        if set(letters_in(node)) <= values.keys():
            values[name.latex] = work_out(node, values)
    for name in letters_in(statement.right):
        explanation = read_statement(_AUXILIARIES[name][0]).right if name in _AUXILIARIES else None
        if name not in values and explanation is not None and set(letters_in(explanation)) <= values.keys():
            values[name] = work_out(explanation, values)
    return values


#: Statements that hold an equation to be solved, an integral or an integer part: shown, never put into numbers.
READABLE = {id: formula for id, formula in formulas().items() if (statement := read(formula)) is not None}


def test_nearly_every_statement_of_the_handbook_can_be_read():
    """All that a person works with a calculator; integrals and the like stay as they are."""
    assert len(READABLE) >= 0.95 * len(formulas())


#: Statements that are equations to be solved for the result, or whose list of quantities holds several letters as one
#: (omega R C): they are shown with their letters, and no numbers are put in.
SHOWN_WITHOUT_NUMBERS = frozenset(
    {
        "diode-current", "drop-by-decades", "exact-end-of-conduction", "exact-start-of-conduction", "exact-mean",
        "exact-rms", "exact-diode-peak", "power-factor",
    }
)  # fmt: skip


@pytest.mark.parametrize("id", READABLE)
def test_a_statement_worked_out_as_written_is_its_function(id):
    """Two witnesses of one formula: what is printed, and what is computed, on the formula's own example."""
    formula = READABLE[id]
    statement = read_statement(formula.statement)
    worked = gives(statement, values_of(formula, statement), formula.unit)
    # A factor is printed with the figures that books print: 0.45 for 0.4502.
    tolerance = 5e-3 if any(factor in formula.statement for factor in ("0.45", "0.9", "0.3307")) else 1e-9
    agrees = worked == pytest.approx(formula.value(**formula.example.values), rel=tolerance)
    assert agrees is (id not in SHOWN_WITHOUT_NUMBERS)


@pytest.mark.parametrize(
    ("latex", "text"),
    [
        (r"V_r = \frac{I}{f_r C}", "V_r = I / (f_r C)"),
        (r"V_r = V_p\left(1 - e^{-T/RC}\right)", "V_r = V_p (1 − e^(−T / (R C)))"),
        (r"V_{\mathrm{dc}} = \frac{2 V_p}{\pi}", "V_dc = 2 V_p / π"),
        (r"V_{\mathrm{dc}} = \frac{3}{\pi} V_p", "V_dc = (3/π) V_p"),
        (r"\gamma = \sqrt{F^2 - 1}", "γ = √(F² − 1)"),
        (r"\alpha = 180^\circ - 2\arcsin\frac{kV_D}{V_m}", "α = 180° − 2 arcsin(k V_D / V_m)"),
        (r"L = L_0\,2^{(T_0 - T)/\Delta T}", "L = L_0 × 2^((T_0 − T) / ΔT)"),
    ],
)
def test_plain_text_can_not_be_read_in_two_ways(latex, text):
    """By eye: what stands under a fraction line stands in brackets on one line."""
    assert plain(read_statement(latex)) == text


def test_a_slash_takes_all_that_stands_side_by_side_after_it():
    """The books' T/RC is T/(R C), and 2RC/T is (2 R C)/T."""
    values = {"T": 3.0, "R": 2.0, "C": 5.0}
    assert work_out(read_statement("x = T/RC").right, values) == 0.3
    assert work_out(read_statement("x = 2RC/T").right, values) == pytest.approx(20.0 / 3.0)


UNREAD = [r"x = \int_0^T v\,\mathrm{d}t", r"x = \foo{1}", "x = ", "x = (1", "x = 1 +", "x ? 1", r"x = \left\lfloor y"]


@pytest.mark.parametrize("latex", UNREAD)
def test_what_can_not_be_read_says_so(latex):
    with pytest.raises(NotRead):
        read_statement(latex)


def test_an_equation_for_an_acute_angle_is_solved_and_one_without_solution_is_not():
    """tan 45 degrees less pi/4 is 0.2146; no angle has a cosine of 2."""
    statement = read_statement(r"x = 2\alpha,\quad \tan\alpha - \alpha = y")
    assert gives(statement, {"y": 1.0 - math.pi / 4.0}, "1") == pytest.approx(math.pi / 2.0)
    assert gives(statement, {"y": -1.0}, "1") is None
