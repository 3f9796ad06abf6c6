"""One calculation as lines of working: formula, numbers put in with their units, result as the course rounds it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from railwright.course import Course
from railwright.documents.working_chain import NO_LOAD, Calculation, Input
from railwright.documents.working_maths import (
    RAISED,
    Condition,
    Letters,
    Name,
    Node,
    NotRead,
    Power,
    Statement,
    Sum,
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
from railwright.documents.working_numbers import Figures, given, is_round, percent, plain_number, result, rounded
from railwright.documents.working_steps import Step
from railwright.handbook import Formula
from railwright.handbook.symbols import (
    DIODE_DROP,
    DIODES_IN_PATH,
    LOAD_MEAN,
    LOAD_PEAK,
    LOAD_RMS,
    RIPPLE,
    RIPPLE_RMS,
    SOURCE_PEAK,
    SOURCE_RMS,
)

#: Letters that stand in formulas without being quantities of theirs: what each is, and its unit.
_AUXILIARIES: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        r"\theta": (r"\theta = \arcsin\frac{kV_D}{V_m}", "rad"),
        r"\omega": (r"\omega = 2\pi f", "rad/s"),
        r"\omega_r": (r"\omega_r = 2\pi f_r", "rad/s"),
        "X_C": (r"X_C = \frac{1}{2\pi f_r C}", "ohm"),
    }
)
#: Letters that are angles where a statement explains them itself.
_ANGLES: Final = (r"\alpha", r"\theta")
#: Letters by which a statement calls a quantity that its own list calls otherwise.
_OTHER_LETTERS: Final[Mapping[str, str]] = MappingProxyType({r"I_{\mathrm{dc}}": "load_current", "I_L": "load_current"})
#: Quantities that a statement's left side may speak of without having them, by their letter.
_SPOKEN_OF: Final[Mapping[str, str]] = MappingProxyType(
    {
        r"I_{\mathrm{dc}}": "load_current_mean",
        r"V_{NL}": "no_load_voltage",
        r"V_{FL}": "full_load_voltage",
        r"V_{\mathrm{dc}}": "load_mean",
    }
)
_FACTORS_ROUNDED: Final = 0.01  # relative
_RATIOS: Final = ("ripple_factor", "ripple_ratio", "dc_ratio", "efficiency", "regulation")


def figures_of(course: Course) -> Figures:
    """How the course writes numbers."""
    return Figures(digits=course.digits, decimal=course.decimal)


def printable(latex: str) -> str:
    r"""A letter's LaTeX as pages take it: words upright as text, no macro that MathML leaves standing."""
    text = re.sub(r"\\mathrm\{", r"\\text{", latex)
    text = re.sub(r"\\(min|max)(?![a-z])", r"\\text{\1}", text)
    return re.sub(r"\\hat\s+([A-Za-z])", r"\\hat{\1}", text)


def own_letter(latex: str) -> Written:
    """A letter in both writings."""
    return Written(latex=printable(latex), plain=plain_letter(latex))


def result_letter(calculation: Calculation, course: Course) -> Written:
    """The letter of what a calculation gives: the course's, else the one that its formula has on the left."""
    symbol = calculation.method.result
    if calculation.reading.endswith(NO_LOAD):
        return own_letter(course.symbol("no_load_voltage", r"V_{NL}"))
    if symbol.name in course.symbols:
        return own_letter(course.symbol(symbol.name))
    try:
        left = read_statement(calculation.method.statement).left
    except NotRead:
        return own_letter(symbol.symbol)
    if isinstance(left, Name):
        return own_letter(left.latex)
    if isinstance(left, (Power, Sum)):
        # A square gives its root; a sum, as in tan α - α = …, is an equation to be solved, not the letter's own line.
        return own_letter(symbol.symbol)
    return write(left, _symbolic(calculation, _by_letter(calculation), course))


def input_letter(known: Input, course: Course) -> Written:
    """The letter of what goes in; a result keeps the letter under which it came out."""
    if known.origin is not None:
        return result_letter(known.origin, course)
    return own_letter(course.symbol(known.named.name, known.named.symbol))


def input_value(known: Input, course: Course) -> Written:
    """The number that goes in: of the sheet as typed there, a result as the course carries it on."""
    if known.origin is None:
        return given(known.value, known.symbol.unit, figures_of(course))
    return result_value(known.origin, course, digits=carried_digits(course))


def carried_digits(course: Course) -> int:
    """Digits of a result where it goes on: one more than it is rounded to, so that the line's last figure comes out."""
    return course.digits + (0 if course.rounding == "each" else 1)


def result_value(calculation: Calculation, course: Course, *, digits: int | None = None) -> Written:
    """The size of a result, to the course's digits if no others are asked for."""
    unit, from_exact = calculation.method.result.unit, _is_from_exact(calculation, course)
    figures = Figures(digits=digits or course.digits, decimal=course.decimal)
    return result(calculation.unrounded, unit, figures, from_exact=from_exact)


def _is_from_exact(calculation: Calculation, course: Course) -> bool:
    """Whether no number that went in was rounded on its way."""
    return all(
        known.origin is None
        or (is_round(known.origin.unrounded, course.digits) and _is_from_exact(known.origin, course))
        for known in calculation.inputs
    )


def lines(calculation: Calculation, course: Course) -> Iterator[Step]:
    """Formula, what its auxiliary letters stand for, numbers put in, result."""
    method = calculation.method
    try:
        statement = read_statement(method.statement)
    except NotRead:
        # Some formulas hold more than can be put into numbers line by line, an integral for one.
        yield Step(
            kind="formula", text=course.say(method.title), latex=printable(method.statement),
            plain=roughly(method.statement),
        )  # fmt: skip
        yield from _result(calculation, course)
        return
    inputs = _by_letter(calculation)
    letters = _symbolic(calculation, inputs, course)
    result_symbol = letter(method.result.symbol)
    sides = [write(side, letters) for side in statement.sides]
    formula = write_chain(sides, statement.relations)
    yield Step(kind="formula", text=course.say(method.title), latex=formula.latex, plain=formula.plain)
    numbers = {name: input_value(known, course) for name, known in inputs.items()}
    values = {
        name: math.radians(known.value) if known.symbol.unit == "deg" else known.value for name, known in inputs.items()
    }
    for name, node, value, unit in _explained(statement, values):
        values[name] = value
        shown = _with_unit(value, unit, figures_of(course))
        numbers[name] = shown
        both = write_chain([own_letter(name), write(node, letters), shown], ["=", "="])
        yield Step(kind="where", text="where", latex=both.latex, plain=both.plain, value=value, unit=unit)
    for condition in statement.conditions:
        yield from _by_trial(condition, values, numbers, letters, course)
    for auxiliary, node in statement.auxiliaries:
        if result_symbol in letters_in(node):
            # What the result is to a letter of the equation: α = Δθ/2.
            both = write_chain([own_letter(auxiliary.latex), write(node, letters)], ["="])
            yield Step(kind="where", text="where", latex=both.latex, plain=both.plain)
    given_by_statement = gives(statement, values, method.result.unit)
    # Numbers are only put in where they lead to the result: a statement may be one to be solved, not worked out.
    if isinstance(statement.right, Name) and given_by_statement is not None:
        yield from _result(calculation, course)  # the very number: nothing to put in
    elif numbers and given_by_statement is not None and _is_near(given_by_statement, calculation.unrounded):
        put_in = write_chain([sides[0], write(statement.right, _numeric(numbers, course))], ["="])
        yield Step(kind="substitution", latex=put_in.latex, plain=put_in.plain)
        yield from _result(calculation, course)
        yield from _as_shown(statement, values, inputs, calculation, course)
    else:
        yield from _result(calculation, course)


def _by_trial(
    condition: Condition,
    values: dict[str, float],
    numbers: dict[str, Written],
    letters: Letters,
    course: Course,
) -> Iterator[Step]:
    """An angle that only trial finds: the equation with its numbers, then the angle that meets it."""
    angle = condition.solved(values)
    if angle is None or not set(letters_in(condition.right)) <= numbers.keys():
        return
    name, figures = condition.letter.latex, figures_of(course)
    worked = result(work_out(condition.right, values), "1", figures)
    sides = [write(condition.left, letters), write(condition.right, letters),
             write(condition.right, _numeric(numbers, course)), worked]  # fmt: skip
    equation = write_chain(sides, ["=", "=", "="])
    values[name], numbers[name] = angle, _with_unit(angle, "rad", figures)
    yield Step(kind="where", text="where", latex=equation.latex, plain=equation.plain)
    found = write_chain([own_letter(name), numbers[name]], ["="])
    yield Step(
        kind="where", text="where", latex=rf"{found.latex},\ \text{{by trial}}", plain=f"{found.plain}, by trial",
        value=angle, unit="rad",
    )  # fmt: skip


def _as_shown(
    statement: Statement,
    values: Mapping[str, float],
    inputs: Mapping[str, Input],
    calculation: Calculation,
    course: Course,
) -> Iterator[Step]:
    """A word to whoever checks the line on a calculator, where the rounded numbers in it lead to another last digit."""
    if course.rounding == "each":
        return
    shown = dict(values)
    for name, known in inputs.items():
        if known.origin is not None and name in shown:
            shown[name] = rounded(shown[name], carried_digits(course))
    again = gives(statement, shown, calculation.method.result.unit)
    if again is None:
        return
    unit, figures = calculation.method.result.unit, figures_of(course)
    theirs, ours = result(again, unit, figures, from_exact=False), result_value(calculation, course)
    if rounded(again, course.digits) != rounded(calculation.unrounded, course.digits):
        text = f"The numbers as shown in this line would give {theirs.plain}; in full they give {ours.plain}."
        yield Step(kind="note", text=text)


def _result(calculation: Calculation, course: Course) -> Iterator[Step]:
    """The result; formulas give sizes, so a negative reading says its sign in a line of its own."""
    symbol, figures = calculation.method.result, figures_of(course)
    size = calculation.unrounded
    sides = [result_letter(calculation, course), result_value(calculation, course)]
    if symbol.unit == "1" and symbol.name in _RATIOS:
        sides.append(percent(size, figures))
    both = write_chain(sides, ["="] * (len(sides) - 1))
    value = rounded(calculation.sign * size, course.digits)
    yield Step(kind="result", latex=both.latex, plain=both.plain, value=value, unit=symbol.unit)
    if calculation.sign < 0.0:
        signed = result(-size, symbol.unit, figures).plain
        yield Step(kind="note", text=f"It is negative against 0 V: {signed}.")


def _by_letter(calculation: Calculation) -> dict[str, Input]:
    by_name = {known.symbol.name: known for known in calculation.inputs}
    found = {letter(known.symbol.symbol): known for known in calculation.inputs}
    for other, name in _OTHER_LETTERS.items():
        if name in by_name:
            found.setdefault(letter(other), by_name[name])
    return found


def _symbolic(calculation: Calculation, inputs: Mapping[str, Input], course: Course) -> Letters:
    result_symbol = letter(calculation.method.result.symbol)
    left = read_statement(calculation.method.statement).left

    def written(name: Name) -> Written:
        if name.latex[0].isdigit():
            return plain_number(name.latex, course.decimal)
        if name.latex in inputs:
            return input_letter(inputs[name.latex], course)
        if name.latex == result_symbol or name == left:
            return result_letter(calculation, course)
        return own_letter(course.symbol(_SPOKEN_OF.get(name.latex, ""), name.latex))

    return written


def _numeric(numbers: Mapping[str, Written], course: Course) -> Letters:
    def written(name: Name) -> Written:
        return plain_number(name.latex, course.decimal) if name.latex[0].isdigit() else numbers[name.latex]

    return written


def _explained(statement: Statement, values: Mapping[str, float]) -> Iterator[tuple[str, Node, float, str]]:
    """Auxiliary letters with what they stand for, their value and its unit."""
    own = {name.latex: node for name, node in statement.auxiliaries}
    for name in letters_in(statement.right):
        if name in values:
            continue
        explanation, unit = _AUXILIARIES.get(name, ("", "1"))
        node = own.get(name) or (read_statement(explanation).right if explanation else None)
        if node is None:
            continue
        if name in own and name in _ANGLES:
            unit = "rad"
        try:
            yield name, node, work_out(node, values), unit
        except (KeyError, ValueError, ZeroDivisionError):
            continue


def _is_near(one: float, other: float) -> bool:
    """Within what factors such as 0.45 for √2/π leave."""
    return math.isclose(one, other, rel_tol=_FACTORS_ROUNDED)


def _with_unit(value: float, unit: str, figures: Figures) -> Written:
    """Values in rad and rad/s, which the trade's formatter doesn't write."""
    if not unit.startswith("rad"):
        return result(value, unit, figures)
    bare = result(value, "1", figures)
    return Written(latex=rf"{bare.latex}\,\text{{{unit}}}", plain=f"{bare.plain} {unit}", is_number=True)


def derivation(formula: Formula, course: Course) -> tuple[Step, ...]:
    """The lines of a formula's derivation, each with its reason, in the course's letters."""
    renamed = {letter(symbol.symbol): course.symbol(symbol.name, symbol.symbol) for symbol in _SHARED}
    renamed |= {
        letter(symbol.symbol): course.symbol(symbol.name, symbol.symbol)
        for symbol in (*formula.quantities, formula.result)
    }
    steps = []
    for line in formula.derivation:
        both = _derived(line.statement, renamed, course)
        reason = line.reason[:1].upper() + line.reason[1:]
        steps.append(Step(kind="derivation", text=course.say(reason), latex=both.latex, plain=both.plain))
    return tuple(steps)


#: Quantities whose letters a derivation uses even where its formula hasn't them itself.
_SHARED: Final = (
    SOURCE_RMS, SOURCE_PEAK, DIODE_DROP, DIODES_IN_PATH, LOAD_PEAK, LOAD_MEAN, LOAD_RMS, RIPPLE, RIPPLE_RMS,
)  # fmt: skip


def _derived(latex: str, renamed: Mapping[str, str], course: Course) -> Written:
    """A line of a derivation; one with an integral can't be taken apart, only its letters be exchanged."""

    def written(name: Name) -> Written:
        if name.latex[0].isdigit():
            return plain_number(name.latex, course.decimal)
        return own_letter(renamed.get(name.latex, name.latex))

    try:
        statement = read_statement(latex)
    except NotRead:
        # Letters with an index only: a bare V or T may be part of something else.
        known = sorted((name for name in renamed if "_" in name), key=len, reverse=True)
        pattern = "|".join(re.escape(name) for name in known)
        exchanged = re.sub(rf"(?<![A-Za-z\\])(?:{pattern})(?![A-Za-z0-9_{{])", lambda match: renamed[match[0]], latex)
        return Written(latex=printable(exchanged), plain=_functions_joined(roughly(exchanged)))
    both = write_chain([write(side, written) for side in statement.sides], statement.relations)
    return Written(latex=both.latex, plain=_functions_joined(both.plain))


def _functions_joined(plain: str) -> str:
    """v (t) is the voltage at t, no product; and (d / (d t)) v(t) is written dv(t)/dt."""
    joined = re.sub(r"\b([vi](?:_[A-Za-z]+)?) \(", r"\1(", plain)
    return re.sub(r"\(d / \(d t\)\) (\S+)", r"d\1/dt", joined)


_SIGNS: Final = (
    (r"\int", "∫"), (r"\sum", "∑"), (r"\infty", "∞"), (r"\approx", "≈"), (r"\cdot", "·"), (r"\times", "×"),
    (r"\quad", "  "), (r"\left", ""), (r"\right", ""), (r"\tfrac", r"\frac"), (r"\le", "≤"), (r"\ge", "≥"),
    (r"\partial", "∂"),
)  # fmt: skip


def roughly(latex: str) -> str:
    """LaTeX of a derivation as plain text, where it holds more than the formulas do: integrals, derivatives."""
    text = re.sub(r"\\(?:mathrm|text)\{([^{}]*)\}", r"\1", latex)
    for sign, plain in _SIGNS:
        text = re.sub(re.escape(sign) + r"(?![A-Za-z])", lambda _, plain=plain: plain, text)  # type: ignore[misc]
    text = re.sub(r"([∫∑])_(\{[^{}]*\}|.)\^(\{[^{}]*\}|.)", r"\1[\2, \3] ", text)
    inner = r"\{((?:[^{}]|\{[^{}]*\})*)\}"
    for _ in range(4):  # fractions inside fractions
        text = re.sub(rf"\\frac{inner}{inner}", r"(\1)/(\2)", text)
        text = re.sub(rf"\\sqrt{inner}", r"√(\1)", text)
    text = re.sub(r"\^([0-9])", lambda match: match[1].translate(RAISED), plain_letter(text.replace("\\,", " ")))
    text = re.sub(r"\s*([=≈≤≥])\s*", r" \1 ", text)
    return re.sub(r"\s+", " ", re.sub(r"(?<=\w) ?- ?", " − ", text)).strip()
