r"""The handbook's formulas taken apart, to be written anew: in a course's letters, with numbers put in, as plain text.

The handbook states its formulas in a small part of LaTeX: fractions, roots, powers, a few functions, letters with
indices. Here that text becomes a tree. The same tree is written as LaTeX or as plain text, with letters or with the
numbers of one supply; and it can be worked out, so that a test can hold each statement against its function.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

Relation = Literal["=", "<=", ">=", "≈"]


class NotRead(ValueError):
    """A statement holds something that the part of LaTeX read here hasn't."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """A number as it is written."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Name:
    """A letter with its indices; `latex` without spaces."""

    latex: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Constant:
    """A number that has a letter of its own: π, e, the degree, the radian."""

    which: Literal["pi", "e", "degree", "radian"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """Terms, each with its sign."""

    terms: tuple[tuple[int, Node], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Product:
    """Factors side by side."""

    factors: tuple[Node, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quotient:
    """One over the other; `stacked` where it is written as a fraction, else with a slash."""

    above: Node
    below: Node
    stacked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Root:
    """A square root."""

    inside: Node


@dataclass(frozen=True, slots=True, kw_only=True)
class Power:
    """A power."""

    base: Node
    exponent: Node


@dataclass(frozen=True, slots=True, kw_only=True)
class Function:
    """A function of one argument: sin, cos, tan, their inverses, ln, the logarithm to the base 10."""

    name: str
    argument: Node
    power: Node | None = None  # sin² x is (sin x)²


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Something in round or square brackets."""

    inside: Node
    square: bool = False


Node: TypeAlias = Number | Name | Constant | Sum | Product | Quotient | Root | Power | Function | Group


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """An equation that fixes an auxiliary letter, an acute angle, but has no closed solution for it."""

    letter: Name
    left: Node
    right: Node

    def solved(self, values: Mapping[str, float]) -> float | None:
        """The angle between 0 and a right angle that meets it, by halving; None where there is none. [rad]"""
        try:
            wanted = work_out(self.right, values)

            def above(angle: float) -> bool:
                return work_out(self.left, {**values, self.letter.latex: angle}) > wanted

            low, high = 0.0, math.pi / 2.0
            if above(low) or not above(high):
                return None
            for _ in range(60):  # more than the digits of a float
                middle = (low + high) / 2.0
                low, high = (low, middle) if above(middle) else (middle, high)
        except (KeyError, ValueError, ZeroDivisionError, OverflowError):
            return None
        return (low + high) / 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """A formula: its sides from left to right, the relations between them, and what its auxiliary letters stand for."""

    sides: tuple[Node, ...]
    relations: tuple[Relation, ...]
    auxiliaries: tuple[tuple[Name, Node], ...] = ()
    conditions: tuple[Condition, ...] = ()

    @property
    def left(self) -> Node:
        """The first side."""
        return self.sides[0]

    @property
    def right(self) -> Node:
        """The last side: the one that is worked out."""
        return self.sides[-1]


# ---------------------------------------------------------------- reading

_TOKEN = re.compile(r"\\[A-Za-z]+|\\.|\d+(?:\.\d+)?|[A-Za-z]|[{}()\[\]^_+\-*/=,']")
# A raised dot only says that things are multiplied, as standing side by side does.
_SPACING = ("\\,", "\\;", "\\!", "\\ ", "\\:", "\\cdot")
_GREEK = frozenset(
    "\\" + word
    for word in "alpha beta gamma delta Delta epsilon eta theta lambda mu rho sigma tau varphi omega Omega".split()
)
_BRACKETS = {"(": ")", "[": "]"}
_FUNCTIONS = ("\\sin", "\\cos", "\\tan", "\\arcsin", "\\arccos", "\\arctan", "\\ln", "\\log")
_RELATIONS: Mapping[str, Relation] = {"=": "=", "\\le": "<=", "\\ge": ">=", "\\approx": "≈"}


@cache
def read_statement(latex: str) -> Statement:
    """Take a formula apart.

    Raises
    ------
    NotRead
        If it holds something that isn't known here.
    """
    main, *rest = re.split(r",\s*\\quad", latex)
    sides, relations = _Reading(main).chain()
    auxiliaries, conditions = [], []
    for piece in rest:
        (left, *values), _ = _Reading(piece).chain()
        if isinstance(left, Name) and values:
            auxiliaries.append((left, values[-1]))
            continue
        unknown = letters_in(left)
        if len(unknown) != 1 or len(values) != 1:
            raise NotRead(f'"{piece}" explains no letter')
        conditions.append(Condition(letter=Name(latex=unknown[0]), left=left, right=values[0]))
    return Statement(
        sides=sides, relations=relations, auxiliaries=tuple(auxiliaries), conditions=tuple(conditions)
    )


def letter(latex: str) -> str:
    """A letter's LaTeX in the one spelling under which names are compared."""
    squeezed = re.sub(r"\\[,;! ]|(?<![A-Za-z])\s+|\s+(?![A-Za-z])", "", latex)
    return re.sub(r"_\{([A-Za-z0-9])\}", r"_\1", squeezed)


class _Reading:
    """One walk through a text; `at` is the next token."""

    def __init__(self, text: str) -> None:
        self.text = text
        pieces = re.findall(rf"{_TOKEN.pattern}|\S", text)
        for piece in pieces:
            if not _TOKEN.fullmatch(piece):
                raise NotRead(f'"{piece}" in "{text}"')
        self.tokens = [piece for piece in pieces if piece not in _SPACING]
        self.at = 0

    def peek(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def take(self, wanted: str = "") -> str:
        token = self.peek()
        if not token or (wanted and token != wanted):
            raise NotRead(f'"{wanted or "something"}" is missing before "{token}" in "{self.text}"')
        self.at += 1
        return token

    def chain(self) -> tuple[tuple[Node, ...], tuple[Relation, ...]]:
        sides, relations = [self.sum()], []
        while self.peek() in _RELATIONS:
            relations.append(_RELATIONS[self.take()])
            sides.append(self.sum())
        if self.peek():
            raise NotRead(f'"{self.peek()}" in "{self.text}"')
        return tuple(sides), tuple(relations)

    def sum(self) -> Node:
        terms: list[tuple[int, Node]] = []
        sign = 1
        if self.peek() in ("-", "+"):
            sign = -1 if self.take() == "-" else 1
        terms.append((sign, self.quotient()))
        while self.peek() in ("+", "-"):
            sign = 1 if self.take() == "+" else -1
            terms.append((sign, self.quotient()))
        return terms[0][1] if terms == [(1, terms[0][1])] else Sum(terms=tuple(terms))

    def quotient(self) -> Node:
        node = self.product()
        while self.peek() == "/":
            self.take()
            # What stands side by side after the slash is all below it: T/RC.
            node = Quotient(above=node, below=self.product(), stacked=False)
        return node

    def product(self) -> Node:
        factors = [self.factor()]
        while self.starts_factor():
            factors.append(self.factor())
        return factors[0] if len(factors) == 1 else Product(factors=tuple(factors))

    def starts_factor(self) -> bool:
        token = self.peek()
        closing = (")", "]", "}", "\\right", "+", "-", "/", ",", "^", "_", *_RELATIONS)
        return bool(token) and token not in closing

    def factor(self) -> Node:
        node = self.atom()
        if self.peek() == "^":
            self.take()
            exponent = self.argument()
            if isinstance(exponent, Constant) and exponent.which == "degree":
                return Product(factors=(node, exponent))
            node = Power(base=node, exponent=exponent)
        return node

    def argument(self) -> Node:
        """What belongs to a ^: a group in braces, or one token."""
        if self.peek() == "{":
            return self.braced()
        if self.peek() == "\\circ":
            self.take()
            return Constant(which="degree")
        token = self.take()
        return Number(text=token) if token.isdigit() else Name(latex=token)

    def braced(self) -> Node:
        self.take("{")
        node = self.sum()
        self.take("}")
        return node

    def atom(self) -> Node:
        token = self.peek()
        if token in ("\\frac", "\\tfrac"):
            self.take()
            return Quotient(above=self.half(), below=self.half(), stacked=True)
        if token == "\\sqrt":
            self.take()
            return Root(inside=self.half())
        if token in _FUNCTIONS:
            return self.function()
        if token in ("(", "["):
            return self.group(self.take(), _BRACKETS[token])
        if token == "\\left":
            self.take()
            opening = self.take()
            if opening not in _BRACKETS:
                raise NotRead(f'"{opening}" in "{self.text}"')
            return self.group(opening, _BRACKETS[opening], closing="\\right")
        if token == "\\pi":
            self.take()
            return Constant(which="pi")
        if token == "\\mathrm":
            return self.upright()
        if re.fullmatch(r"\d+(?:\.\d+)?", token):
            return Number(text=self.take())
        return self.name()

    def half(self) -> Node:
        """Numerator, denominator or radicand: in braces, or one token; of a number one figure, as in \\tfrac12."""
        token = self.peek()
        if token.isdigit() and len(token) > 1:
            self.tokens[self.at : self.at + 1] = [token[0], token[1:]]
        return self.braced() if token == "{" else self.atom()

    def group(self, opening: str, wanted: str, closing: str = "") -> Node:
        node = self.sum()
        if closing:
            self.take(closing)
        self.take(wanted)
        return Group(inside=node, square=opening == "[")

    def upright(self) -> Node:
        """A unit, or a quantity that is called by a word."""
        word = self.take("\\mathrm") + self.raw()
        return Constant(which="radian") if word == "\\mathrm{rad}" else Name(latex=word)

    def function(self) -> Node:
        name, power = self.take()[1:], None
        if name == "log":
            self.take("_")
            if self.raw() != "{10}":
                raise NotRead(f'a logarithm in "{self.text}"')
        if self.peek() == "^":
            self.take()
            power = self.argument()
        return Function(name=name, argument=self.function_argument(), power=power)

    def function_argument(self) -> Node:
        """A group, a fraction or a letter, with the numbers before it."""
        factors: list[Node] = []
        while re.fullmatch(r"\d+(?:\.\d+)?", self.peek()):
            factors.append(Number(text=self.take()))
        factors.append(self.factor())
        return factors[0] if len(factors) == 1 else Product(factors=tuple(factors))

    def name(self) -> Node:
        latex = self.base()
        if latex == "e" and self.peek() == "^":
            return Constant(which="e")
        if self.peek() == "_":
            self.take()
            latex += "_" + self.raw()
        return Name(latex=letter(latex))

    def base(self) -> str:
        token = self.take()
        if token == "\\hat":
            return f"\\hat {self.base()}"
        if token == "\\Delta" and (self.peek() in _GREEK or re.fullmatch("[A-Za-z]", self.peek())):
            following = self.base()
            return f"\\Delta {following}" if following[0].isalpha() else f"\\Delta{following}"
        if token in _GREEK or re.fullmatch("[A-Za-z]", token):
            return token
        raise NotRead(f'"{token}" in "{self.text}"')

    def raw(self) -> str:
        """The text of a group in braces, or one token, as it stands."""
        if self.peek() != "{":
            return self.take()
        depth, pieces = 0, []
        while True:
            token = self.take()
            pieces.append(token)
            depth += {"{": 1, "}": -1}.get(token, 0)
            if depth == 0:
                return "".join(pieces)


# ---------------------------------------------------------------- writing


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A piece of maths in both writings."""

    latex: str
    plain: str
    is_number: bool = False  # a value with its unit was put in


#: Gives what to write for a letter.
Letters: TypeAlias = Callable[[Name], Written]

_NAMES = {"log": (r"\log_{10}", "log10")}
# How strongly a piece holds together.
_SUM, _PRODUCT, _POWER, _CLOSED = 1, 2, 3, 4
_SIGNS: Mapping[Relation, tuple[str, str]] = {
    "=": ("=", "="),
    "<=": (r"\le", "≤"),
    ">=": (r"\ge", "≥"),
    "≈": (r"\approx", "≈"),
}
_CONSTANTS = {
    "pi": (r"\pi", "π", math.pi),
    "e": ("e", "e", math.e),
    "degree": (r"^\circ", "°", math.pi / 180.0),
    "radian": (r"\,\text{rad}", " rad", 1.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    latex: str
    plain: str
    strength: int
    is_number: bool = False  # begins or is a value: a times sign goes before and after it

    def held(self, least: int) -> _Piece:
        if self.strength >= least:
            return self
        return _Piece(latex=rf"\left({self.latex}\right)", plain=f"({self.plain})", strength=_CLOSED)


def write(node: Node, letters: Letters) -> Written:
    """A tree in both writings, each letter as `letters` says."""
    piece = _write(node, letters)
    return Written(latex=piece.latex, plain=piece.plain, is_number=piece.is_number)


def write_chain(sides: Sequence[Written], relations: Sequence[Relation]) -> Written:
    """Sides with the relations between them."""
    latex, plain = sides[0].latex, sides[0].plain
    for side, relation in zip(sides[1:], relations, strict=True):
        signs = _SIGNS[relation]
        latex += f" {signs[0]} {side.latex}"
        plain += f" {signs[1]} {side.plain}"
    return Written(latex=latex, plain=plain)


def _write(node: Node, letters: Letters) -> _Piece:
    match node:
        case Number():
            written = letters(Name(latex=node.text))  # for the decimal sign
            return _Piece(latex=written.latex, plain=written.plain, strength=_CLOSED)
        case Name():
            written = letters(node)
            # With its unit a number is two things side by side: (2 V)², but 5³.
            strength = _POWER if written.is_number and not written.plain[-1].isdigit() else _CLOSED
            return _Piece(latex=written.latex, plain=written.plain, strength=strength, is_number=written.is_number)
        case Constant():
            latex, plain, _ = _CONSTANTS[node.which]
            return _Piece(latex=latex, plain=plain, strength=_CLOSED)
        case Sum():
            return _written_sum(node, letters)
        case Product():
            return _written_product(node, letters)
        case Quotient():
            return _written_quotient(node, letters)
        case Root():
            inside = _write(node.inside, letters)
            simple = isinstance(node.inside, (Number, Name)) and not inside.is_number
            plain = f"√{inside.plain}" if simple else f"√({inside.plain})"
            return _Piece(latex=rf"\sqrt{{{inside.latex}}}", plain=plain, strength=_CLOSED)
        case Power():
            return _written_power(node, letters)
        case Function():
            argument = _write(node.argument, letters)
            inside = argument if isinstance(node.argument, Group) else argument.held(_CLOSED + 1)
            latex, plain = _NAMES.get(node.name, (f"\\{node.name}", node.name))
            if node.power is not None:
                power = _write(node.power, letters)
                latex, plain = f"{latex}^{{{power.latex}}}", plain + power.plain.translate(RAISED)
            return _Piece(latex=latex + inside.latex, plain=plain + inside.plain, strength=_POWER)
        case Group():
            inside = _write(node.inside, letters)
            opening, closing = ("[", "]") if node.square else ("(", ")")
            latex = rf"\left{opening}{inside.latex}\right{closing}"
            return _Piece(latex=latex, plain=f"{opening}{inside.plain}{closing}", strength=_CLOSED)


def _written_sum(node: Sum, letters: Letters) -> _Piece:
    latex = plain = ""
    for sign, term in node.terms:
        piece = _write(term, letters).held(_PRODUCT)
        if latex:
            latex += f" {'+' if sign > 0 else '-'} {piece.latex}"
            plain += f" {'+' if sign > 0 else '−'} {piece.plain}"
        else:
            latex, plain = ("" if sign > 0 else "-") + piece.latex, ("" if sign > 0 else "−") + piece.plain
    return _Piece(latex=latex, plain=plain, strength=_SUM)


def _written_product(node: Product, letters: Letters) -> _Piece:
    pieces = [_write(factor, letters).held(_PRODUCT) for factor in node.factors]
    # On one line "2/π V" could be read either way; as a stacked fraction it can't.
    last = len(pieces) - 1
    pieces = [
        _Piece(latex=piece.latex, plain=f"({piece.plain})", strength=_CLOSED, is_number=piece.is_number)
        if isinstance(factor, Quotient) and place < last
        else piece
        for place, (piece, factor) in enumerate(zip(pieces, node.factors, strict=True))
    ]
    latex, plain = pieces[0].latex, pieces[0].plain
    for before, piece, factor in zip(pieces, pieces[1:], node.factors[1:], strict=False):
        if isinstance(factor, Constant) and factor.which in ("degree", "radian"):
            latex, plain = latex + piece.latex, plain + piece.plain
            continue
        crossed = before.is_number or piece.is_number or plain[-1].isdigit() and piece.plain[0].isdigit()
        latex += rf" \times {piece.latex}" if crossed else rf"\,{piece.latex}"
        plain += f" × {piece.plain}" if crossed else f" {piece.plain}"
    return _Piece(latex=latex, plain=plain, strength=_PRODUCT, is_number=any(piece.is_number for piece in pieces))


def _written_quotient(node: Quotient, letters: Letters) -> _Piece:
    above, below = _write(node.above, letters), _write(node.below, letters)
    over, under = above.held(_PRODUCT), below.held(_POWER)
    if isinstance(node.above, Sum) and len(node.above.terms) == 1:
        over = above  # a minus before the whole: -t/RC needs no brackets
    gap = " " if len(over.plain) + len(under.plain) > 4 else ""
    plain = f"{over.plain}{gap}/{gap}{under.plain}"
    if node.stacked:
        latex = rf"\frac{{{above.latex}}}{{{below.latex}}}"
    else:
        latex = f"{over.latex} / {under.latex}"
    return _Piece(latex=latex, plain=plain, strength=_PRODUCT, is_number=above.is_number or below.is_number)


RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


def _written_power(node: Power, letters: Letters) -> _Piece:
    base, exponent = _write(node.base, letters), _write(node.exponent, letters)
    held = base.held(_CLOSED)
    if isinstance(node.exponent, Number):
        plain = held.plain + exponent.plain.translate(RAISED)
    else:
        plain = f"{held.plain}^{exponent.held(_CLOSED).plain}"
    latex = f"{held.latex}^{{{exponent.latex}}}"
    return _Piece(latex=latex, plain=plain, strength=_POWER, is_number=base.is_number)


# ---------------------------------------------------------------- working out

_WORKED: Mapping[str, Callable[[float], float]] = {
    "sin": math.sin, "cos": math.cos, "tan": math.tan, "arcsin": math.asin, "arccos": math.acos, "arctan": math.atan,
    "ln": math.log, "log": math.log10,
}  # fmt: skip


def work_out(node: Node, values: Mapping[str, float]) -> float:
    """The value of a tree; `values` by the letters' LaTeX, angles in radian.

    Raises
    ------
    KeyError
        If a letter has no value.
    """
    match node:
        case Number():
            return float(node.text)
        case Name():
            return values[node.latex]
        case Constant():
            return _CONSTANTS[node.which][2]
        case Sum():
            return sum(sign * work_out(term, values) for sign, term in node.terms)
        case Product():
            return math.prod(work_out(factor, values) for factor in node.factors)
        case Quotient():
            return work_out(node.above, values) / work_out(node.below, values)
        case Root():
            return math.sqrt(work_out(node.inside, values))
        case Power():
            return float(work_out(node.base, values) ** work_out(node.exponent, values))
        case Function():
            value = float(_WORKED[node.name](work_out(node.argument, values)))
            return value if node.power is None else float(value ** work_out(node.power, values))
        case Group():
            return work_out(node.inside, values)


def gives(statement: Statement, values: Mapping[str, float], unit: str) -> float | None:
    """What a statement gives for its result with these values, angles in radian; None where a letter has no value.

    A statement for the square of a quantity gives its root; one in degrees gives degrees.
    """
    found = {condition.letter.latex: condition.solved(values) for condition in statement.conditions}
    values = {**values, **{name: angle for name, angle in found.items() if angle is not None}}
    try:
        worked = work_out(statement.right, values)
        if isinstance(statement.left, Power):
            worked **= 1.0 / work_out(statement.left.exponent, values)
    except (KeyError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return math.degrees(worked) if unit == "deg" else worked


def letters_in(node: Node) -> tuple[str, ...]:
    """The letters of a tree in the order of their appearance, each once."""
    match node:
        case Number() | Constant():
            found: tuple[str, ...] = ()
        case Name():
            found = (node.latex,)
        case Sum():
            found = tuple(name for _, term in node.terms for name in letters_in(term))
        case Product():
            found = tuple(name for factor in node.factors for name in letters_in(factor))
        case Quotient():
            found = (*letters_in(node.above), *letters_in(node.below))
        case Root() | Group():
            found = letters_in(node.inside)
        case Power():
            found = (*letters_in(node.base), *letters_in(node.exponent))
        case Function():
            found = (*letters_in(node.argument), *(() if node.power is None else letters_in(node.power)))
    return tuple(dict.fromkeys(found))


_PLAIN_GREEK = {
    "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "Delta": "Δ", "epsilon": "ε", "varepsilon": "ε",
    "eta": "η", "theta": "θ", "lambda": "λ", "mu": "µ", "rho": "ρ", "sigma": "σ", "tau": "τ", "varphi": "φ",
    "omega": "ω", "Omega": "Ω", "pi": "π", "min": "min", "max": "max", "imath": "ı",
}  # fmt: skip


def plain_letter(latex: str) -> str:
    r"""A letter as plain text: `V_{\mathrm{rms}}` is V_rms, `\Delta\theta` is Δθ."""
    text = re.sub(r"\\(?:mathrm|text)\{([^{}]*)\}", r"\1", latex)
    text = re.sub(r"\\hat\s*\{?([A-Za-zı])\}?", "\\1\u0302", text)
    text = re.sub(r"\\([A-Za-z]+)\s*", lambda match: _PLAIN_GREEK.get(match[1], match[1]), text)
    return re.sub(r"[{}]|\\,", "", text)
