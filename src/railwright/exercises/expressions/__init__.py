"""Expressions as people write them on paper: read with units and shown digits, worked out in spans."""

from railwright.exercises.expressions.amounts import Amount, DimensionMismatch, NoValue
from railwright.exercises.expressions.evaluate import Unknown, evaluate
from railwright.exercises.expressions.grammar import looks_like_symbol, read_expression
from railwright.exercises.expressions.numerals import DecimalSign
from railwright.exercises.expressions.tokens import Unreadable, tokens_of

__all__ = [
    "Amount",
    "DecimalSign",
    "DimensionMismatch",
    "NoValue",
    "Unknown",
    "Unreadable",
    "evaluate",
    "looks_like_symbol",
    "read_expression",
    "tokens_of",
]
