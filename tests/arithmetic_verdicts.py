"""Evaluates a verdict such as ``c_exact < c_formula and piv * 1.5 < 50`` over named numbers, and nothing else."""

from __future__ import annotations

import ast
import operator
from collections.abc import Callable, Mapping
from typing import Any

_ARITHMETIC: Mapping[type[ast.operator], Callable[[Any, Any], Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}
_COMPARISON: Mapping[type[ast.cmpop], Callable[[Any, Any], bool]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
}


def names_in(verdict: str) -> frozenset[str]:
    """The names that a verdict speaks of."""
    return frozenset(node.id for node in ast.walk(ast.parse(verdict, mode="eval")) if isinstance(node, ast.Name))


def holds(verdict: str, numbers: Mapping[str, float]) -> bool:
    """Whether a verdict is true of these numbers. Raises ValueError for anything but arithmetic and comparison."""
    return bool(_value(ast.parse(verdict, mode="eval").body, numbers, verdict))


def _value(node: ast.AST, numbers: Mapping[str, float], verdict: str) -> Any:
    match node:
        case ast.Constant(value=int() | float() as number):
            return number
        case ast.Name(id=name):
            return numbers[name]
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _ARITHMETIC:
            return _ARITHMETIC[type(op)](_value(left, numbers, verdict), _value(right, numbers, verdict))
        case ast.Compare(left=left, ops=ops, comparators=others) if all(type(op) in _COMPARISON for op in ops):
            values = [_value(part, numbers, verdict) for part in (left, *others)]
            return all(_COMPARISON[type(op)](a, b) for op, a, b in zip(ops, values[:-1], values[1:], strict=True))
        case ast.BoolOp(op=op, values=parts):
            truths = [bool(_value(part, numbers, verdict)) for part in parts]
            return all(truths) if isinstance(op, ast.And) else any(truths)
    raise ValueError(f"{verdict!r} holds more than numbers, names, + - * /, comparisons, and, or")
