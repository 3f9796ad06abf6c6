r"""Lines of working as maths that a typesetter or a word processor can set.

A step of a working carries its line as LaTeX, in the small part of it that our own writers use. Here that text becomes
a tree of boxes: fractions, roots, letters with what stands below and above them. The tree says how a line looks, not
what it means, and is written as typst maths or as Office maths (ECMA-376, part 1, section 22.1).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final, TypeAlias
from xml.sax.saxutils import escape


@dataclass(frozen=True, slots=True, kw_only=True)
class Maths:
    """A piece of maths: LaTeX as our writers make it, and the same as plain text, which is also what is read aloud."""

    latex: str
    plain: str


class NotSet(ValueError):
    """A line holds LaTeX that isn't known here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Glyphs:
    """Letters, figures or a sign; `upright` words and units, slanted quantities."""

    text: str
    upright: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """A relation or an operation, with the air that belongs around it."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Empty room. [em]"""

    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """Pieces side by side."""

    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fraction:
    """One over the other."""

    above: Piece
    below: Piece


@dataclass(frozen=True, slots=True, kw_only=True)
class Root:
    """A square root."""

    inside: Piece


@dataclass(frozen=True, slots=True, kw_only=True)
class Scripts:
    """A piece with what stands below and above it at its right."""

    base: Piece
    below: Piece | None
    above: Piece | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Brackets:
    """Something in brackets that grow with it."""

    opening: str
    closing: str
    inside: Piece


@dataclass(frozen=True, slots=True, kw_only=True)
class Hat:
    """A letter under a circumflex: a peak."""

    base: Piece


Piece: TypeAlias = Glyphs | Sign | Gap | Row | Fraction | Root | Scripts | Brackets | Hat

# ---------------------------------------------------------------- reading

_TOKEN: Final = re.compile(r"\\[A-Za-z]+|\\.|\d+(?:(?:\.|\{,\})\d+)?|\S|\s+", re.DOTALL)
_GREEK: Final = MappingProxyType(
    {
        "alpha": "α", "beta": "β", "gamma": "γ", "delta": "δ", "Delta": "Δ", "epsilon": "ε", "varepsilon": "ε",
        "eta": "η", "theta": "θ", "lambda": "λ", "mu": "µ", "rho": "ρ", "sigma": "σ", "tau": "τ", "varphi": "φ",
        "omega": "ω", "Omega": "Ω", "pi": "π", "imath": "ı",
    }
)  # fmt: skip
#: Greek letters that are units, numbers or operators, never slanted quantities.
_UPRIGHT: Final = frozenset("µΩΔπ")
_SIGNS: Final = MappingProxyType(
    {
        r"\times": "×", r"\le": "≤", r"\ge": "≥", r"\approx": "≈", r"\cdot": "·", "=": "=", "+": "+", "-": "−",
        "<": "<", ">": ">",
    }
)  # fmt: skip
_GAPS: Final = MappingProxyType({r"\,": 0.17, r"\;": 0.28, r"\:": 0.22, r"\ ": 0.33, r"\quad": 1.0, r"\!": 0.0})
_FUNCTIONS: Final = ("sin", "cos", "tan", "arcsin", "arccos", "arctan", "ln", "log", "min", "max")
_MARKS: Final = MappingProxyType({r"\%": "%", r"\circ": "°", r"\infty": "∞", r"\int": "∫", r"\sum": "∑",
                                  r"\partial": "∂", r"\{": "{", r"\}": "}", "'": "′"})  # fmt: skip


@cache
def read(latex: str) -> Row:
    """Take a line apart.

    Raises
    ------
    NotSet
        If it holds something that isn't known here.
    """
    reading = _Reading(latex)
    row = reading.row(until=())
    if reading.peek():
        raise NotSet(f'"{reading.peek()}" in "{latex}"')
    return row


class _Reading:
    """One walk through a text; `at` is the next token."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.tokens = _TOKEN.findall(text)
        self.at = 0

    def peek(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def take(self, wanted: str = "") -> str:
        token = self.peek()
        if not token or (wanted and token != wanted):
            raise NotSet(f'"{wanted or "something"}" is missing before "{token}" in "{self.text}"')
        self.at += 1
        return token

    def skip(self) -> None:
        while self.peek().isspace():
            self.at += 1

    def row(self, until: Sequence[str]) -> Row:
        pieces: list[Piece] = []
        while True:
            self.skip()
            token = self.peek()
            if not token or token in until:
                return Row(pieces=tuple(pieces))
            pieces.append(self.scripted())

    def scripted(self) -> Piece:
        base, below, above = self.atom(), None, None
        while self.peek() in ("_", "^"):
            if self.take() == "_":
                below = self.argument()
            else:
                above = self.argument()
        if below is None and above is None:
            return base
        return Scripts(base=base, below=below, above=above)

    def argument(self) -> Piece:
        self.skip()
        if self.peek() == "{":
            return self.braced()
        if self.peek().isdigit() and len(self.peek()) > 1:
            self.tokens[self.at : self.at + 1] = [self.peek()[0], self.peek()[1:]]
        return self.atom()

    def braced(self) -> Piece:
        self.take("{")
        row = self.row(until=("}",))
        self.take("}")
        return row.pieces[0] if len(row.pieces) == 1 else row

    def atom(self) -> Piece:
        token = self.take()
        if token[0].isdigit():
            return Glyphs(text=token.replace("{,}", ","), upright=True)
        if token in _SIGNS:
            return Sign(text=_SIGNS[token])
        if token in _GAPS:
            return Gap(width=_GAPS[token])
        if token in _MARKS:
            return Glyphs(text=_MARKS[token], upright=True)
        if token in ("(", ")", "[", "]", ",", ";", "/", "|", ".", ":"):
            return Glyphs(text=token, upright=True)
        if token == "{":
            self.at -= 1
            return self.braced()
        if token == "^":  # a degree sign may stand at the beginning of a unit
            return self.argument()
        return self.command(token[1:]) if token[0] == "\\" else Glyphs(text=token, upright=not token.isalpha())

    def command(self, name: str) -> Piece:
        if name in ("frac", "tfrac", "dfrac"):
            return Fraction(above=self.argument(), below=self.argument())
        if name == "sqrt":
            return Root(inside=self.argument())
        if name == "hat":
            return Hat(base=self.argument())
        if name in ("text", "mathrm"):
            return Glyphs(text=self.words(), upright=True)
        if name == "left":
            self.skip()
            opening = self.take()
            inside = self.row(until=(r"\right",))
            self.take(r"\right")
            self.skip()
            return Brackets(opening=opening, closing=self.take(), inside=inside)
        if name in _FUNCTIONS:
            return Glyphs(text=name, upright=True)
        if name in _GREEK:
            return Glyphs(text=_GREEK[name], upright=_GREEK[name] in _UPRIGHT)
        raise NotSet(f'"\\{name}" in "{self.text}"')

    def words(self) -> str:
        """The text of a group in braces, as it stands."""
        self.skip()
        self.take("{")
        pieces: list[str] = []
        while self.peek() != "}":
            pieces.append(self.take())
        self.take("}")
        return "".join(pieces)


# ---------------------------------------------------------------- typst


def in_typst(maths: Maths) -> str:
    """An equation inside a line, with its alternative text, as typst code after a `#`."""
    try:
        inner = _typst(read(maths.latex))
    except NotSet:
        inner = typst_text(maths.plain)
    return f"equation({typst_text(maths.plain)}, ${inner}$)"


def typst_text(text: str) -> str:
    """A text as a typst string: data, whatever it holds."""
    plain = "".join(letter if letter.isprintable() or letter == "\N{NO-BREAK SPACE}" else " " for letter in text)
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _typst(piece: Piece, *, large: bool = True) -> str:
    """Maths as typst; `large` fractions stand on the line, those in an index or another fraction are small."""
    match piece:
        case Glyphs():
            return typst_text(piece.text) if piece.upright or len(piece.text) > 1 else piece.text
        case Sign():
            return piece.text
        case Gap():
            return f"#h({piece.width:g}em)"
        case Row():
            return _typst_row(piece.pieces, large=large)
        case Fraction():
            fraction = f"frac({_typst(piece.above, large=False)}, {_typst(piece.below, large=False)})"
            return f"display({fraction})" if large else fraction
        case Root():
            return f"sqrt({_typst(piece.inside, large=large)})"
        case Scripts():
            below = "" if piece.below is None else f", b: {_typst(piece.below, large=False)}"
            above = "" if piece.above is None else f", t: {_typst(piece.above, large=False)}"
            return f"attach({_typst(piece.base, large=large)}{below}{above})"
        case Brackets():
            inside = _typst(piece.inside, large=large)
            return f"lr({typst_bracket(piece.opening)} {inside} {typst_bracket(piece.closing)})"
        case Hat():
            return f"hat({_typst(piece.base)})"


def _typst_row(pieces: Sequence[Piece], *, large: bool) -> str:
    """Pieces side by side; a blank beside a word would show, one between two letters has to be there."""
    row = ""
    for piece in _joined(pieces):
        written = _typst(piece, large=large)
        row += written if not row or '"' in (row[-1], written[0]) else f" {written}"
    return row or '""'


def _joined(pieces: Sequence[Piece]) -> list[Piece]:
    """Upright signs that follow each other, such as µ and F, as one word."""
    joined: list[Piece] = []
    for piece in pieces:
        last = joined[-1] if joined else None
        if isinstance(piece, Glyphs) and isinstance(last, Glyphs) and piece.upright and last.upright:
            joined[-1] = Glyphs(text=last.text + piece.text, upright=True)
        else:
            joined.append(piece)
    return joined


def typst_bracket(sign: str) -> str:
    """A bracket as a symbol, so that it needs no partner in the source."""
    return {"(": "paren.l", ")": "paren.r", "[": "bracket.l", "]": "bracket.r"}.get(sign, typst_text(sign))


# ---------------------------------------------------------------- Office maths

OMML: Final = "http://schemas.openxmlformats.org/officeDocument/2006/math"
WORD: Final = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
_FONT: Final = '<w:rPr><w:rFonts w:ascii="Cambria Math" w:hAnsi="Cambria Math"/></w:rPr>'


def in_omml(maths: Maths) -> str:
    """An equation as the XML of a native, editable one; a line that isn't known here as its plain text."""
    try:
        inner = _omml(read(maths.latex))
    except NotSet:
        inner = _run(maths.plain, upright=True)
    return f'<m:oMath xmlns:m="{OMML}" xmlns:w="{WORD}">{inner}</m:oMath>'


def _run(text: str, *, upright: bool) -> str:
    style = '<m:rPr><m:sty m:val="p"/></m:rPr>' if upright else ""
    return f'<m:r>{style}{_FONT}<m:t xml:space="preserve">{escape(text)}</m:t></m:r>'


def _omml(piece: Piece) -> str:
    match piece:
        case Glyphs():
            return _run(piece.text, upright=piece.upright)
        case Sign():
            return _run(piece.text, upright=True)
        case Gap():
            spaces = "\u2003" if piece.width >= 1.0 else "\u2004" if piece.width > 0.3 else "\u2009"
            return _run(spaces, upright=True) if piece.width else ""
        case Row():
            return "".join(_omml(inner) for inner in _joined(piece.pieces))
        case Fraction():
            return f"<m:f><m:num>{_omml(piece.above)}</m:num><m:den>{_omml(piece.below)}</m:den></m:f>"
        case Root():
            hidden = '<m:radPr><m:degHide m:val="1"/></m:radPr><m:deg/>'
            return f"<m:rad>{hidden}<m:e>{_omml(piece.inside)}</m:e></m:rad>"
        case Scripts():
            base = f"<m:e>{_omml(piece.base)}</m:e>"
            below = "" if piece.below is None else f"<m:sub>{_omml(piece.below)}</m:sub>"
            above = "" if piece.above is None else f"<m:sup>{_omml(piece.above)}</m:sup>"
            kind = "sSubSup" if below and above else "sSub" if below else "sSup"
            return f"<m:{kind}>{base}{below}{above}</m:{kind}>"
        case Brackets():
            ends = f'<m:begChr m:val="{escape(piece.opening)}"/><m:endChr m:val="{escape(piece.closing)}"/>'
            return f"<m:d><m:dPr>{ends}</m:dPr><m:e>{_omml(piece.inside)}</m:e></m:d>"
        case Hat():
            mark = '<m:accPr><m:chr m:val="\u0302"/></m:accPr>'
            return f"<m:acc>{mark}<m:e>{_omml(piece.base)}</m:e></m:acc>"
