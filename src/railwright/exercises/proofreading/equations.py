"""Finds the equations in a line of prose: what is named, and the chain of expressions that it is said to equal."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from railwright.exercises.expressions.grammar import IsSymbol, looks_like_symbol, read_expression
from railwright.exercises.expressions.numerals import DecimalSign
from railwright.exercises.expressions.tokens import Token, Unreadable, tokens_of
from railwright.exercises.expressions.tree import Name, Node, Written, leaves, literals
from railwright.exercises.proofreading.names import ANY_BOOK, Letters, quantities_of_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """One expression of a chain; `text` is how it stands there, `roughly` whether ≈ comes before it."""

    node: Node
    text: str
    roughly: bool = False

    @property
    def written(self) -> Written | None:
        """The number, where the side is nothing else."""
        return self.node if isinstance(self.node, Written) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Equation:
    """A chain such as `Vp = 12 V * 1.414 = 16.97 V`: its name in letters, in words, and its sides.

    `symbol` is the letter that is defined, or ""; `words` the prose before the sign, as far as it may name the value;
    `remark` what stands in brackets or after the last unit ("peak", "rms", "no load"); `condition` the number in
    "ripple at 2200 µF = 0.7 V".
    """

    symbol: str
    words: str
    sides: tuple[Side, ...]
    remark: str = ""
    condition: Written | None = None


_CONDITION: Final = re.compile(r"\b(?:at|for|with|using|on|in)\s*$", re.IGNORECASE)
_RELATION: Final = re.compile(r"(?<![<>=!:])(?::=|=)(?![=<>])\s*[≈~]?|≈|(?<=[\w)}°%]) ?~ ?(?=[\d.√(])")
_CUT: Final = re.compile(r"[;:<>≤≥!?|\"]|,(?!\d)|\.(?=\s|$)|(?<=\s)-(?=\s)")
_BLANK: Final = re.compile(r"\s*(?:_{2,}|\.{3,}|…|\?|\[\s*\])")
_BRACKETED_WORDS: Final = re.compile(r"\(([^()0-9=]*)\)")
_COPULA: Final = re.compile(
    r"\s*\b(?:is|are|becomes|was|gives|be|comes to|works out(?: as)?|at|of|for|with|about|then|therefore|so|thus|hence"
    r"|and)\s*$",
    re.IGNORECASE,
)
_SAID_AFTER: Final = re.compile(
    r"(?:^|\s)([A-Za-zΔγη][\w()-]*)\s+(rms|RMS|r\.m\.s\.|p-p|pp|peak to peak|peak-to-peak|peak|mean|average)$"
)
_OTHER_DECIMAL: Final = {".": re.compile(r"\d,\d"), ",": re.compile(r"\d\.\d")}
_LONGEST_NAME: Final = 8  # words


def equations_of(
    text: str, decimal: DecimalSign, is_symbol: IsSymbol = looks_like_symbol, letters: Letters = ANY_BOOK
) -> Iterator[Equation]:
    """The equations of one line of plain text, from left to right.

    Raises
    ------
    Unreadable
        If the line looks like an equation with numbers but isn't one that is read; equations before that place have
        come out already.
    """
    marks = list(_RELATION.finditer(text))
    if not marks:
        return
    if len(marks) > 60:
        raise Unreadable("more than 60 equals signs")
    edges = [0, *(m.end() for m in marks)]
    ends = [*(m.start() for m in marks), len(text)]
    pieces = [text[a:b] for a, b in zip(edges, ends, strict=True)]
    roughly = [bool(set(m.group()) & {"≈", "~"}) for m in marks]
    before = pieces[0]
    sides: list[Side] = []
    remark = ""
    for place, piece in enumerate(pieces[1:]):
        last = place == len(marks) - 1
        if not piece.strip() and not last:
            continue
        if _BLANK.match(piece) or not piece.strip():
            if sides:
                yield _equation(before, sides, remark, decimal, is_symbol, letters)
            before, sides, remark = piece, [], ""
            continue
        side, rest, said = _right(piece, roughly[place], decimal, is_symbol)
        if side is None:
            if sides:
                yield _equation(before, sides, remark, decimal, is_symbol, letters)
            if _is_worked(piece) and (_defines(before) or sides):
                raise Unreadable("not an expression that is read here")
            if sides or last or not _is_formula_in_words(piece):
                before, sides, remark = piece, [], ""
            continue
        sides.append(side)
        remark = said or remark
        if last or rest.strip():
            yield _equation(before, sides, remark, decimal, is_symbol, letters)
            before, sides, remark = rest, [], ""
    return


def _is_formula_in_words(piece: str) -> bool:
    """Whether a side that isn't read is a formula in letters or words: the name before it holds for what follows it."""
    return (
        re.search(r"[;:,?!]", piece) is None and any(sign in piece for sign in "+-*/^√(") and len(piece.split()) <= 12
    )


def _is_worked(piece: str) -> bool:
    """Whether a text that isn't read looks like the working of a value: it begins with a number or a bracket."""
    return re.match(r"\s*[-+(√]?\s*\d", piece) is not None


def _defines(before: str) -> bool:
    return bool(before.strip())


def _right(
    piece: str, roughly: bool, decimal: DecimalSign, is_symbol: IsSymbol
) -> tuple[Side | None, str, str]:
    """The expression at the start of a piece, the text after it, and what is said in brackets right behind it."""
    if _OTHER_DECIMAL[decimal].search(piece):
        sign = "comma" if decimal == "." else "point"
        raise Unreadable(f"a decimal {sign}: read with --decimal {',' if decimal == '.' else '.'}")
    piece = re.sub(r"^\s*(?:about|approximately|approx\.?|roughly|only|just|nearly|some)\s+", "", piece)
    tokens = tokens_of(piece, decimal)
    found = read_expression(tokens, is_symbol)
    if found is None:
        return None, piece, ""
    node, taken = found
    if not literals(node) and not _is_formula(node, tokens, taken):
        return None, piece, ""
    end = tokens[taken - 1].end
    rest = piece[end:]
    if re.match(r"\s*[*/^+]|\s*[-(]\s*\d|\s*\d|\s*±", rest):
        raise Unreadable("not an expression that is read here")
    said = node.said if isinstance(node, Written) else ""
    remark = re.match(r"\s*\(([^()0-9=]*)\)", rest)
    if remark is not None:
        said = f"{said} {remark[1]}".strip()
        rest = rest[remark.end() :]
    word = re.match(r"\s*(?:for|at|with|on)\s+(no load|full load)\b", rest)
    if word is not None:
        said = f"{said} {word[1]}".strip()
    return Side(node=node, text=piece[tokens[0].start : end].strip(), roughly=roughly), rest.rstrip(" ."), said


def _is_formula(node: Node, tokens: tuple[Token, ...], taken: int) -> bool:
    """Whether an expression without numbers is a formula in letters rather than prose."""
    if isinstance(node, Name):
        return taken == len(tokens) or tokens[taken].text in (",", ".", ";")
    return True


def _equation(
    before: str, sides: list[Side], remark: str, decimal: DecimalSign, is_symbol: IsSymbol, letters: Letters
) -> Equation:
    symbol, words, first = _left(before, decimal, is_symbol, letters)
    condition = first.written if first is not None else None
    if condition is not None and _CONDITION.search(before.rpartition(condition.numeral.text)[0]):
        return Equation(symbol=symbol, words=words, sides=tuple(sides), remark=remark, condition=condition)
    # "Vp = V_m = 16.97 V": letters alone on a side name the same value; they carry nothing to check.
    chain = ([first] if first is not None else []) + sides
    return Equation(symbol=symbol, words=words, sides=tuple(chain), remark=remark)


def _left(
    before: str, decimal: DecimalSign, is_symbol: IsSymbol, letters: Letters
) -> tuple[str, str, Side | None]:
    """What stands before the first sign: a letter, words, or the first expression of the chain."""
    cuts = list(_CUT.finditer(before))
    # A colon in "Peak voltage: Vp" parts name from letter; both say what it is.
    clause_start = next((c.end() for c in reversed(cuts) if c.group() != ":" and c.end() < len(before.rstrip())), 0)
    clause = before[clause_start:].strip()
    remark = " ".join(m[1] for m in _BRACKETED_WORDS.finditer(clause) if not _beside(clause, m))
    bare = _BRACKETED_WORDS.sub(lambda m: m.group() if _beside(clause, m) else " ", clause)
    bare = bare.strip(" ,.-*:")
    after_letter = _SAID_AFTER.search(bare)
    if after_letter is not None and letters.mean(after_letter[1]):
        bare, remark = bare[: after_letter.end(1)], f"{remark} {after_letter[2]}".strip()
    try:
        tokens = tokens_of(bare, decimal)[-60:]
    except Unreadable:
        return "", "", None
    for start in range(len(tokens)):
        rest = tokens[start:]
        try:
            found = read_expression(rest, is_symbol)
        except Unreadable:
            continue
        if found is None or found[1] != len(rest):
            continue
        node = found[0]
        words = bare[: tokens[start].start]
        if isinstance(node, Name):
            return node.text, _name_words(f"{words} {remark}"), None
        if any(isinstance(leaf, (Written, Name)) for leaf in leaves(node)):
            side = Side(node=node, text=bare[tokens[start].start :])
            return "", _name_words(words), side
    return "", _name_words(f"{bare} {remark}"), None


def _beside(text: str, match: re.Match[str]) -> bool:
    """Whether a bracket belongs to the letter before it: V_r(pp)."""
    return match.start() > 0 and not text[match.start() - 1].isspace()


def _name_words(words: str) -> str:
    before, _, after = words.strip().rpartition(":")
    words = after.strip() or before.strip()
    for _ in range(3):
        words = _COPULA.sub("", words).strip()
    return " ".join(re.findall(r"[\w%°Δ/-]+(?:\.[\w]\.)?", words)[-_LONGEST_NAME:])


def table_equation(
    cells: tuple[str, ...],
    decimal: DecimalSign,
    is_symbol: IsSymbol = looks_like_symbol,
    letters: Letters = ANY_BOOK,
) -> Equation | None:
    """A row of a table read as an equation: a name, then a value, or a working and its result.

    None where the row says something else: no name first, equals signs in its cells, several values.
    """
    if any(_RELATION.search(cell) for cell in cells):
        return None
    sides: list[Side] = []
    names_before: list[str] = []
    for cell in cells:
        if not cell.strip():
            continue
        try:
            tokens = tokens_of(cell, decimal)
            found = read_expression(tokens, is_symbol)
        except Unreadable:
            return None
        if found is not None and found[1] == len(tokens) and literals(found[0]):
            sides.append(Side(node=found[0], text=cell.strip()))
        elif not sides:
            names_before.append(cell.strip())
        elif any(c.isdigit() for c in cell):
            return None
    worked = len(sides) == 2 and sides[0].written is None and sides[1].written is not None
    if not names_before or not (worked or (len(sides) == 1 and sides[0].written is not None)):
        return None
    symbol = next((n for n in names_before if re.fullmatch(r"[A-Za-zΔα-ωΑ-Ω][\w()-]{0,11}", n) and is_symbol(n)), "")
    words = next((n for n in names_before if n != symbol), "")
    if symbol and not (letters.mean(symbol) or quantities_of_words(words)):
        return None
    if not symbol and not quantities_of_words(_name_words(words)):
        return None
    return Equation(symbol=symbol, words=_name_words(words), sides=tuple(sides))
