"""Reads an expression as far as it goes: a small grammar of its own, with bounds on depth and length.

Sums of products of powers; what stands side by side is multiplied, and binds tighter than a division, as on paper:
1/2πfC is one over all of it. Nothing is ever evaluated but this tree.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from railwright.exercises.expressions.dimensions import Unit, unit_of
from railwright.exercises.expressions.tokens import Token, Unreadable
from railwright.exercises.expressions.tree import (
    FUNCTIONS,
    Call,
    Constant,
    Name,
    Negative,
    Node,
    Operation,
    Pair,
    UnitAlone,
    Written,
)

DEEPEST: Final = 20  # brackets within brackets

#: Words after a unit that say which value it is; they carry no unit of their own.
SAID: Final = {
    "rms": "rms", "r.m.s.": "rms", "r.m.s": "rms", "effective": "rms", "eff": "rms", "peak": "peak", "pk": "peak",
    "p-p": "peak to peak", "pp": "peak to peak", "pk-pk": "peak to peak", "dc": "dc", "d.c.": "dc", "d.c": "dc",
    "ac": "", "a.c.": "", "a.c": "", "mean": "mean", "average": "mean", "max": "peak", "min": "valley",
}  # fmt: skip
_CONCATENATED: Final = re.compile(r"[fCRLIV]{2,5}")
_NOT_SYMBOLS: Final = frozenset(
    "a if in is it as at an am be by do go he me my no of on or so to up us we In Is It If As At An By No Of On Or So"
    " To We A RMS AC DC PP rms The Two Try Use Its Peak Ripple Load Voltage Current Check Then This That They Each"
    " Total"
    " Let Put Read Take Power Period Pulse Time Turns Ratio Reverse Reservoir Capacitor Resistor Regulator Line Loss"
    " Loses Less Left Last Like Rule Right Real Row Result Results Clearly Cut Count Case Every Even Exact Later Lower"
    " Lowest Large Larger Light Lines Long Low Look There These Their Thus Today Tap Than Under Until"
    " Unless Upper Units Using Value Values Very Valley Equal Either Else Earlier End Exactly Inside Into Reading Rated"
    " Recall Rail Rails Cap Charge Close Common Copper Correct Circuit Class Part Parts Plus Point Please Pulse Pulses"
    " Page Per Zero".split()
)
_SYMBOL: Final = re.compile(
    r"(?:Δ?[A-Za-zα-ωΑ-ΩÛÎûî]|.*[_0-9(].*|Δ[A-Za-z]{1,3}"
    r"|[VUEIRCXPTLZ](?:[a-z]{1,6}|[A-Z]{1,4}|[a-z]{1,3}[A-Z]{1,2})|[vi](?:[a-z]|[A-Z]{1,2})|PIV|PRV|ESR)"
)

IsSymbol = Callable[[str], bool]


def looks_like_symbol(word: str) -> bool:
    """Whether a word can be a letter of a formula rather than prose."""
    if word in _NOT_SYMBOLS:
        return False
    return _SYMBOL.fullmatch(word) is not None or _CONCATENATED.fullmatch(word) is not None


class _Stop(Exception):
    """No operand stands here."""


class _Parser:
    def __init__(self, tokens: tuple[Token, ...], is_symbol: IsSymbol) -> None:
        self.tokens = tokens
        self.at = 0
        self.depth = 0
        self.is_symbol = is_symbol

    def peek(self, ahead: int = 0) -> Token | None:
        place = self.at + ahead
        return self.tokens[place] if place < len(self.tokens) else None

    def sign(self, *wanted: str) -> str | None:
        token = self.peek()
        if token is not None and token.text in wanted and token.kind == "sign":
            self.at += 1
            return token.text
        return None

    def chain(self, below: Callable[[], Node], signs: dict[str, Operation]) -> Node:
        """Operands of one level; a sign without an operand after it is left to the prose."""
        node = below()
        while True:
            before = self.at
            found = self.sign(*signs) or (self.crossed() if "*" in signs else None)
            if found is None:
                return node
            try:
                node = Pair(signs[found], node, below())
            except _Stop:
                self.at = before
                return node

    def crossed(self) -> str | None:
        """An x that stands for the multiplication sign."""
        token, after = self.peek(), self.peek(1)
        if token is None or after is None or token.text not in ("x", "X") or token.kind != "word":
            return None
        if after.kind == "number" or after.text in ("(", "√", "π") or (after.kind == "word" and self.symbol(after)):
            self.at += 1
            return "*"
        return None

    def sum(self) -> Node:
        self.depth += 1
        if self.depth > DEEPEST:
            raise Unreadable(f"brackets within brackets more than {DEEPEST} deep")
        node = self.chain(self.product, {"+": "+", "-": "-"})
        self.depth -= 1
        return node

    def product(self) -> Node:
        if self.sign("-"):
            # The sign takes the first factor only: -a·b is (-a)·b, the same number.
            return self.chain_after(Negative(self.beside()))
        self.sign("+")
        return self.chain(self.beside, {"*": "*", "/": "/"})

    def chain_after(self, first: Node) -> Node:
        opened = [first]
        return self.chain(lambda: opened.pop() if opened else self.beside(), {"*": "*", "/": "/"})

    def beside(self) -> Node:
        """Factors side by side without a sign."""
        node = self.power()
        while self.starts_factor():
            before = self.at
            try:
                node = Pair("*", node, self.power())
            except _Stop:
                self.at = before
                break
        return node

    def starts_factor(self) -> bool:
        token = self.peek()
        if token is None:
            return False
        if token.kind == "word":
            if token.text in FUNCTIONS or token.text == "pi":
                return True
            if token.text in ("x", "X"):
                return False
            return self.symbol(token) and token.text.lower() not in SAID
        if token.text == "(":
            return not self.is_remark()
        return token.text in ("√", "π")

    def symbol(self, token: Token) -> bool:
        return self.is_symbol(token.text)

    def power(self) -> Node:
        base = self.operand()
        if self.sign("^"):
            if self.sign("-"):
                exponent: Node = Negative(self.operand())
            else:
                self.sign("+")
                exponent = self.operand()
            return Pair("^", base, exponent)
        return base

    def operand(self) -> Node:
        token = self.peek()
        if token is None:
            raise _Stop
        if token.kind == "number":
            return self.number(token)
        if token.text == "(" and token.kind == "sign":
            self.at += 1
            inner = self.sum()
            if not self.sign(")"):
                raise Unreadable("a bracket is not closed")
            return self.with_unit(inner)
        if token.text == "√":
            self.at += 1
            self.depth += 1
            if self.depth > DEEPEST:
                raise Unreadable(f"roots within roots more than {DEEPEST} deep")
            node = Call("sqrt", self.root_operand())
            self.depth -= 1
            return node
        if token.text in ("π", "pi"):
            self.at += 1
            return Constant(math.pi, token.text)
        if token.kind == "word":
            return self.word(token)
        raise _Stop

    def root_operand(self) -> Node:
        """What a root sign stands before: a bracket, a letter, or a number without its unit (√2 V is √2 times 1 V)."""
        token = self.peek()
        if token is not None and token.kind == "number":
            self.at += 1
            assert token.numeral is not None
            return Written(numeral=token.numeral, unit=None, text=token.text)
        return self.operand()

    def word(self, token: Token) -> Node:
        text = token.text
        after = self.peek(1)
        if text in FUNCTIONS:
            if after is None or after.text != "(":
                raise _Stop
            self.at += 2
            inner = self.sum()
            if not self.sign(")"):
                raise Unreadable("a bracket is not closed")
            return Call({"asin": "arcsin", "acos": "arccos", "atan": "arctan"}.get(text, text), inner)
        if text == "e" and after is not None and after.text == "^":
            self.at += 1
            return Constant(math.e, "e")
        if self.symbol(token):
            self.at += 1
            return self.name(text)
        unit = unit_of(text)
        if unit is not None and len(text) <= 4:
            self.at += 1
            return UnitAlone(unit[0], text)
        raise _Stop

    def name(self, text: str) -> Node:
        if _CONCATENATED.fullmatch(text) and text not in ("RL", "RLL", "VL", "IL", "IC", "VC", "VR", "IR", "VI", "CL"):
            node: Node = Name(text[0])
            for letter in text[1:]:
                node = Pair("*", node, Name(letter))
            return node
        return Name(text)

    def number(self, token: Token) -> Node:
        self.at += 1
        assert token.numeral is not None
        if token.letter_unit:
            found = unit_of(token.letter_unit)
            assert found is not None
            return Written(numeral=token.numeral, unit=found[0], text=token.text)
        word = self.peek()
        if word is not None and word.kind == "word":
            unit = self.unit_after(token, word)
            if unit is not None:
                self.at += 1
                said = unit[1] or self.said()
                text = f"{token.text} {word.text}"
                return Written(numeral=token.numeral, unit=unit[0], text=text, unit_text=word.text, said=said)
        return Written(numeral=token.numeral, unit=None, text=token.text)

    def unit_after(self, number: Token, word: Token) -> tuple[Unit, str] | None:
        unit = unit_of(word.text)
        if unit is None:
            return None
        factor_like = number.numeral is not None and number.numeral.value < 3.2
        if unit[1] and factor_like and self.is_symbol(word.text):
            return None  # "1.414 Vrms" is a product, "12 Vrms" is a voltage
        return unit

    def said(self) -> str:
        """Words after a unit, in brackets or not: which value it is."""
        meaning = ""
        while (token := self.peek()) is not None and token.kind == "word" and token.text.lower() in SAID:
            meaning = SAID[token.text.lower()] or meaning
            self.at += 1
        if self.is_remark():
            self.at += 1
            words = []
            while (token := self.peek()) is not None and token.text != ")":
                words.append(token.text)
                self.at += 1
            self.at += 1
            meaning = " ".join(filter(None, (meaning, *words)))
        return meaning

    def is_remark(self) -> bool:
        """Whether a bracket holds words only: "(peak)", "(no load)"."""
        first = self.peek()
        if first is None or first.text != "(":
            return False
        ahead, inside = 1, []
        while (token := self.peek(ahead)) is not None and token.text != ")":
            if token.kind != "word" and token.text not in ("-", ",", "."):
                return False
            inside.append(token)
            ahead += 1
        if token is None or not inside:
            return False
        return any(t.text.lower() in SAID or not self.symbol(t) for t in inside if t.kind == "word")

    def with_unit(self, inner: Node) -> Node:
        """A unit behind a bracket: (2 × 0.7) V."""
        token = self.peek()
        if token is not None and token.kind == "word":
            unit = unit_of(token.text)
            if unit is not None and not (unit[1] and self.is_symbol(token.text)):
                self.at += 1
                self.said()
                return Pair("*", inner, UnitAlone(unit[0], token.text))
        return inner


def read_expression(tokens: tuple[Token, ...], is_symbol: IsSymbol = looks_like_symbol) -> tuple[Node, int] | None:
    """The longest expression at the start of some tokens, and how many of them it takes; None where there is none.

    Raises
    ------
    Unreadable
        If brackets don't close or go too deep.
    """
    parser = _Parser(tokens, is_symbol)
    try:
        node = parser.sum()
    except _Stop:
        return None
    return _signed(node), parser.at


def _signed(node: Node) -> Node:
    """A lone negative number as one number."""
    if isinstance(node, Negative) and isinstance(node.operand, Written):
        written = node.operand
        numeral = replace(written.numeral, value=-written.numeral.value, text=f"-{written.numeral.text}")
        return replace(written, numeral=numeral, text=f"-{written.text}")
    return node
