"""Lines of a derivation in plain calculator notation, and the LaTeX that they stand for.

`given`, `equal`, `order` and `approximation` make one line each from an equation such as
"ripple = current*time/capacitance"; `typeset` gives each its LaTeX from the letters of the formula's quantities.
"""

from __future__ import annotations

import ast
from collections.abc import Mapping, Sequence
from dataclasses import replace

from railwright.handbook.derivation_names import AUXILIARY
from railwright.handbook.formula import DerivationLine, Formula


def _sides(equation: str) -> tuple[str, str]:
    left, _, right = equation.partition(" = ")
    if not right:
        raise ValueError(f'"{equation}" is no equation: write "left = right"')
    return left.strip(), right.strip()


def given(equation: str, law: str, reason: str = "", *, cites: str = "") -> DerivationLine:
    """A law of nature, a definition or, with `cites`, another formula of the handbook."""
    return DerivationLine(
        statement="", reason=reason or law, equation=_sides(equation), step="given", law=law, cites=cites
    )


def cited(formula_id: str, equation: str, reason: str = "") -> DerivationLine:
    """Another formula of the handbook, taken over."""
    return given(equation, f"formula {formula_id}", reason or f"taken over from {formula_id}", cites=formula_id)


def equal(equation: str, reason: str) -> DerivationLine:
    """What follows by algebra or calculus from the lines before."""
    return DerivationLine(statement="", reason=reason, equation=_sides(equation))


def order(
    equation: str, reason: str, *, small: str, through: str, order: int, reach: float, error: float
) -> DerivationLine:
    """What equals the line before up to an order in a small quantity."""
    return DerivationLine(
        statement="", reason=reason, equation=_sides(equation), step="order", small=small, through=through,
        order=order, reach=reach, error=error,
    )  # fmt: skip


def approximation(
    equation: str,
    law: str,
    reason: str = "",
    *,
    error: float,
    small: str = "",
    through: str = "",
    start: float = 0.0,
    reach: float = 0.0,
) -> DerivationLine:
    """A named approximation of the line before, with its error."""
    return DerivationLine(
        statement="", reason=reason or law, equation=_sides(equation), step="approximation", law=law, small=small,
        through=through, start=start, reach=reach, error=error,
    )  # fmt: skip


def typeset(formula: Formula, lines: Sequence[DerivationLine]) -> tuple[DerivationLine, ...]:
    """The lines with their LaTeX; the last one is the formula's own statement."""
    letters = letters_of(formula)
    return tuple(
        line
        if line.statement
        else replace(line, statement=formula.statement)
        if number == len(lines)
        else replace(line, statement=equation_in_latex(line.equation, letters))
        for number, line in enumerate(lines, start=1)
    )


def letters_of(formula: Formula) -> dict[str, str]:
    """LaTeX of every name that the formula's derivation may use."""
    letters = {name: letter for name, (letter, _) in AUXILIARY.items()}
    for symbol in (*formula.quantities, formula.result):
        letters[symbol.name] = symbol.symbol
    return letters


def names_in(equation: tuple[str, str]) -> tuple[str, ...]:
    """The names of quantities in an equation, in the order of their appearance."""
    found: dict[str, None] = {}
    for side in equation:
        for node in ast.walk(ast.parse(side, mode="eval")):
            if isinstance(node, ast.Name) and node.id not in _FUNCTIONS and node.id not in _CONSTANTS:
                found[node.id] = None
    return tuple(found)


def equation_in_latex(equation: tuple[str, str], letters: Mapping[str, str]) -> str:
    """An equation as LaTeX. Raises ValueError for a name without a letter or notation that it doesn't know."""
    left, right = (_latex(ast.parse(side, mode="eval").body, letters)[0] for side in equation)
    return f"{left} = {right}"


def expression_in_latex(expression: str, letters: Mapping[str, str]) -> str:
    """One side of an equation as LaTeX. Raises ValueError as `equation_in_latex` does."""
    return _latex(ast.parse(expression, mode="eval").body, letters)[0]


_CONSTANTS: Mapping[str, str] = {"pi": r"\pi", "oo": r"\infty"}
_FUNCTIONS: Mapping[str, str] = {
    "sin": r"\sin", "cos": r"\cos", "tan": r"\tan", "asin": r"\arcsin", "acos": r"\arccos", "atan": r"\arctan",
    "log": r"\ln", "exp": "e", "sqrt": r"\sqrt", "Abs": "", "Integral": r"\int", "Derivative": "d", "Sum": r"\sum",
}  # fmt: skip
# How strongly a piece of notation holds together: a sum, a product, a power or prefix, a closed piece.
_SUM, _PRODUCT, _POWER, _CLOSED = 1, 2, 3, 4


def _wrapped(piece: tuple[str, int], least: int) -> str:
    text, strength = piece
    return text if strength >= least else rf"\left({text}\right)"


def _latex(node: ast.expr, letters: Mapping[str, str]) -> tuple[str, int]:
    if isinstance(node, ast.Constant):
        return str(node.value), _CLOSED
    if isinstance(node, ast.Name):
        if node.id in _CONSTANTS:
            return _CONSTANTS[node.id], _CLOSED
        if node.id not in letters:
            raise ValueError(f"{node.id} has no letter: add it to the table of auxiliary names")
        # A letter such as R_s/R is a quotient to look at: beside a factor it needs brackets.
        return letters[node.id], _SUM if "/" in letters[node.id] else _CLOSED
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return f"-{_wrapped(_latex(node.operand, letters), _PRODUCT)}", _SUM
    if isinstance(node, ast.BinOp):
        return _binary(node, letters)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
        return _call(node.func.id, node.args, letters)
    raise ValueError(f"{ast.unparse(node)} can't be typeset")


def _binary(node: ast.BinOp, letters: Mapping[str, str]) -> tuple[str, int]:
    left, right = _latex(node.left, letters), _latex(node.right, letters)
    if isinstance(node.op, ast.Add):
        return f"{left[0]} + {_wrapped(right, _SUM)}", _SUM
    if isinstance(node.op, ast.Sub):
        return f"{left[0]} - {_wrapped(right, _PRODUCT)}", _SUM
    if isinstance(node.op, ast.Mult):
        gap = r" \cdot " if right[0][:1].isdigit() else r"\,"
        return f"{_wrapped(left, _PRODUCT)}{gap}{_wrapped(right, _PRODUCT)}", _PRODUCT
    if isinstance(node.op, ast.Div):
        return rf"\frac{{{left[0]}}}{{{right[0]}}}", _PRODUCT
    if isinstance(node.op, ast.Pow):
        # A letter that carries an upper index or a fraction needs brackets before its power.
        plain = left[1] == _CLOSED and "^" not in left[0]
        base = left[0] if plain else rf"\left({left[0]}\right)"
        return f"{base}^{{{right[0]}}}", _POWER
    raise ValueError(f"{ast.unparse(node)} can't be typeset")


def _call(name: str, arguments: list[ast.expr], letters: Mapping[str, str]) -> tuple[str, int]:
    if name in ("Integral", "Sum"):
        body = _wrapped(_latex(arguments[0], letters), _PRODUCT)
        limits = arguments[1]
        assert isinstance(limits, ast.Tuple)
        variable, low, high = (_latex(each, letters)[0] for each in limits.elts)
        if name == "Sum":
            return rf"\sum_{{{variable}={low}}}^{{{high}}} {body}", _PRODUCT
        return rf"\int_{{{low}}}^{{{high}}} {body}\,\mathrm{{d}}{variable}", _PRODUCT
    first = _latex(arguments[0], letters)
    if name == "Derivative":
        over = _latex(arguments[1], letters)[0]
        return rf"\frac{{\mathrm{{d}}}}{{\mathrm{{d}}{over}}}{_wrapped(first, _PRODUCT)}", _PRODUCT
    if name == "sqrt":
        return rf"\sqrt{{{first[0]}}}", _CLOSED
    if name == "exp":
        return f"e^{{{first[0]}}}", _POWER
    if name == "Abs":
        return rf"\left|{first[0]}\right|", _CLOSED
    if name in _FUNCTIONS:
        return rf"{_FUNCTIONS[name]}\left({first[0]}\right)", _POWER
    if name not in letters:
        raise ValueError(f"{name} has no letter: add it to the table of auxiliary names")
    return rf"{letters[name]}\left({first[0]}\right)", _CLOSED
