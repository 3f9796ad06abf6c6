"""Goes through notes line by line, checks each chain, and remembers what was named."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Final

from railwright.course import Course
from railwright.exercises.expressions.amounts import Amount, DimensionMismatch, NoValue
from railwright.exercises.expressions.dimensions import PLAIN, Dimension
from railwright.exercises.expressions.evaluate import Unknown, evaluate
from railwright.exercises.expressions.grammar import looks_like_symbol
from railwright.exercises.expressions.numerals import DecimalSign
from railwright.exercises.expressions.tokens import Unreadable
from railwright.exercises.expressions.tree import Call, Name, Negative, Node, Pair, Written, literals, names
from railwright.exercises.proofreading.against_sheet import SheetCheck, Slip, prefix_or
from railwright.exercises.proofreading.agreement import compare
from railwright.exercises.proofreading.equations import Equation, Side, equations_of, table_equation
from railwright.exercises.proofreading.findings import Finding, Proofreading, Unread
from railwright.exercises.proofreading.knowledge import Knowledge
from railwright.exercises.proofreading.markdown import Line, lines_of
from railwright.exercises.proofreading.named import Memory, Named
from railwright.exercises.proofreading.names import (
    ANY_BOOK,
    DIMENSION_OF_LETTER,
    Letters,
    called,
    dimension_of,
    normalised,
    quantities_of,
)
from railwright.exercises.proofreading.wording import as_written, beside, in_own_unit, pretty
from railwright.study import Study

LONGEST_NOTES: Final = 400_000  # characters: a long book's chapter; more is no lesson note
MOST_EQUATIONS: Final = 1500  # a lesson has dozens

#: A line that speaks of another case, of a meter, or of a mistake on purpose: only its arithmetic is checked.
_OTHER_CASE: Final = re.compile(
    r"^\s*if\b|\bwhat if\b|\bsuppose\b|\bimagine\b|\binstead\b|\bwould\b|\bfor comparison\b|\bexercise\b|\bquestion\b"
    r"|\bmistaken?\b|\bmistakes\b|\bwrong(?:ly)?\b|\bincorrect|\bmeasured\b|\bmeter (?:reads|shows)\b",
    re.IGNORECASE,
)
#: "With C = 4700 µF: …" sets the scene of another case if the sheet says otherwise.
_SCENE: Final = re.compile(r"^\s*(?:with|for|at|using|let|take)\b", re.IGNORECASE)
_UNFILTERED: Final = re.compile(
    r"\b(?:without|no|before|disconnect\w*|remove\w*)\b(?: \w+){0,2} (?:capacitor|smoothing|filter|reservoir)"
    r"|\bunfiltered\b|\bunsmoothed\b",
    re.IGNORECASE,
)
_NO_LOAD: Final = re.compile(
    r"\bno[- ]load\b|\bunloaded\b|\bwithout (?:a |the )?load\b|\bopen circuit\b", re.IGNORECASE
)
#: A second, better value beside the one by hand: held against the sheet, not against the first.
_EXACT: Final = re.compile(r"\bexact(?:ly)?\b|\bcomputed\b|\bsimulat\w+|\bmore precise(?:ly)?\b", re.IGNORECASE)
#: Written constants of two figures that stand for a longer number: √2, 1/√2, 2/π, 1/π, √3, 2√3, 2√2 and the like.
_SHORT_CONSTANTS: Final = (
    1.4142, 0.7071, 0.6366, 0.3183, 1.7321, 3.4641, 2.8284, 0.9003, 0.4502, 1.1107, 3.1416, 6.2832,
)  # fmt: skip


class NotesError(ValueError):
    """Notes that can't be read at all; the sentence says why and what to do."""


def read_notes(path: Path) -> str:
    """The text of a notes file.

    Raises
    ------
    NotesError
        If there is no such file, or it isn't text, or it is too long.
    """
    if path.is_dir():
        raise NotesError(f"{path} is a folder. Name the notes in it: a Markdown file such as {path / 'lesson.md'}.")
    if not path.exists():
        raise NotesError(f"{path}: there is no such file. Name a Markdown file with worked lines.")
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as why:
        raise NotesError(f"{path} isn't UTF-8 text. Save the notes as plain text (Markdown) in UTF-8.") from why
    except OSError as why:
        raise NotesError(f"{path} can't be read: {why.strerror}.") from why
    if "\0" in text:
        raise NotesError(f"{path} isn't plain text. Save the notes as Markdown.")
    if len(text) > LONGEST_NOTES:
        raise NotesError(f"{path} holds {len(text)} characters; at most {LONGEST_NOTES} are read. Split the notes.")
    return text


def proofread(
    notes: str, study: Study, *, decimal: DecimalSign = ".", course: Course | None = None
) -> Proofreading:
    """Check the worked lines of notes against themselves and against a solved supply.

    Parameters
    ----------
    notes : str
        Markdown.
    study : Study
        The supply that the notes are about, solved.
    decimal : {".", ","}
        The decimal sign of the notes.
    course : Course, optional
        Whose letters the notes use, and whose diode drop: a letter then means what the course says.

    Returns
    -------
    Proofreading
        Findings in the order of the lines. Bad notes never raise: what can't be read is listed as unread.
    """
    return _Reader(study, decimal, course).read(notes[:LONGEST_NOTES])


class _Reader:
    def __init__(self, study: Study, decimal: DecimalSign, course: Course | None) -> None:
        self.decimal = decimal
        self.letters = ANY_BOOK if course is None else Letters.of_course(course.symbols)
        self.knowledge = Knowledge(study, course)
        self.memory = Memory()
        self.sheet = SheetCheck(self.knowledge, self.memory, decimal)
        self.findings: list[Finding] = []
        self.unread: list[Unread] = []
        self.equations = 0
        self.scene = 0  # the line that speaks of another case

    def read(self, notes: str) -> Proofreading:
        for line in lines_of(notes):
            if line.too_long:
                self.unread.append(Unread(line=line.number, why="a very long line"))
                continue
            if self.equations >= MOST_EQUATIONS:
                why = f"more than {MOST_EQUATIONS} equations; the rest is not read"
                self.unread.append(Unread(line=line.number, why=why))
                break
            self._line(line)
        return Proofreading(
            findings=tuple(self.findings), unread=tuple(self.unread), equations=self.equations
        )

    def _line(self, line: Line) -> None:
        if line.cells:
            row = table_equation(line.cells, self.decimal, self._is_symbol, self.letters)
            if row is not None:
                self._equation(line, row)
            return
        try:
            for equation in equations_of(line.text, self.decimal, self._is_symbol, self.letters):
                self._equation(line, equation)
        except Unreadable as why:
            self.unread.append(Unread(line=line.number, why=str(why)))

    def _is_symbol(self, word: str) -> bool:
        known = self.memory.latest(normalised(word)) is not None and len(word) <= 6
        return looks_like_symbol(word) or word in self.letters or known

    # -- one chain ---------------------------------------------------------

    def _equation(self, line: Line, equation: Equation) -> None:
        self.equations += 1
        about = f"{line.heading} {line.text}"
        other_case = bool(_OTHER_CASE.search(line.text) or _OTHER_CASE.search(line.heading))
        if equation.condition is not None and self.sheet.is_another_case(equation.condition):
            other_case = True
        other_case = other_case or line.number == self.scene
        unfiltered = bool(_UNFILTERED.search(about))
        unloaded = bool(_NO_LOAD.search(f"{line.text} {equation.remark}"))
        candidates = quantities_of(equation.symbol, equation.words, equation.remark, self.letters)
        if unloaded and "load_mean" in candidates:
            candidates = ("no_load_voltage", *candidates)
        key = _key(equation, unfiltered=unfiltered, unloaded=unloaded, exact=bool(_EXACT.search(line.text)))
        start = len(self.findings)
        result, worked, working = self._chain(line, equation, other_case)
        if result is None:
            return
        slipped = len(self.findings) > start
        candidates = self._of_dimension(line, equation, candidates, result, slipped)
        slipped = len(self.findings) > start
        if working is None and _SCENE.match(line.text) and self.sheet.states_another_case(result, candidates):
            self.scene = line.number
            return
        if other_case:
            return
        tied = False
        if not slipped and working is not None:
            tied = self._report(line, self.sheet.ties(working, candidates))
        found: tuple[str, ...] = candidates
        changed = not slipped and not tied and self._changed(line, key, result, worked, candidates, working)
        if changed:
            broken = self.sheet.broken(result, candidates)
            self._report(line, () if broken is None or unfiltered else (broken,))
        elif not slipped and not tied:
            slips, found = self.sheet.value(result, candidates, working, unfiltered=unfiltered)
            self._report(line, slips)
        if key:
            self.memory.keep(
                Named(
                    key=key,
                    label=pretty(equation.symbol) or equation.words,
                    line=line.number,
                    written=result,
                    worked=worked,
                    quantities=found,
                    flagged=any(finding.severity != "note" for finding in self.findings[start:]),
                )
            )

    def _report(self, line: Line, slips: tuple[Slip, ...]) -> bool:
        for slip in slips:
            self._find(line, slip.given, slip.expected, slip.kind, slip.text)
        return bool(slips)

    def _find(self, line: Line, given: str, expected: str, kind: str, text: str) -> None:
        self.findings.append(Finding(line=line.number, given=given, expected=expected, kind=kind, text=text))

    def _chain(
        self, line: Line, equation: Equation, other_case: bool
    ) -> tuple[Written | None, Amount | None, Node | None]:
        """Check the steps of a chain; returns the last number, what it works out to, and the working in numbers."""
        before: Amount | None = None
        before_side: Side | None = None
        result: Written | None = None
        worked: Amount | None = None
        working: Node | None = None
        last_number = max((k for k, side in enumerate(equation.sides) if side.written), default=-1)
        for place, side in enumerate(equation.sides):
            written = side.written
            if before_side is not None and written is None and self._aligned(line, before_side, side, other_case):
                return None, None, None
            amount = self._amount(line, equation, side, place)
            if amount is not None and before is not None and before_side is not None:
                if written is not None:
                    kept = self._step(line, before, before_side, written, side, place == last_number)
                    if kept is None:
                        return written, None, working
                elif not _meet(before, amount):
                    if before.dimension == amount.dimension or before.bare or amount.bare:
                        self._find(
                            line, pretty(side.text), pretty(before_side.text), "arithmetic",
                            f"{pretty(side.text)} is {in_own_unit(amount.value, amount.dimension)}, "
                            f"{pretty(before_side.text)} is {in_own_unit(before.value, before.dimension)}.",
                        )  # fmt: skip
                    else:
                        self._find(
                            line, pretty(side.text), before.dimension.in_words, "unit",
                            f"{pretty(side.text)} comes in {amount.dimension.in_words}, "
                            f"{pretty(before_side.text)} in {before.dimension.in_words}.",
                        )  # fmt: skip
                    return None, None, None
            if written is not None:
                result = written
                if before is not None and worked is None and (before_side is None or before_side.written is None):
                    worked = before
            elif literals(side.node):
                working = self._in_numbers(side.node)
            if amount is not None:
                before, before_side = amount, side
            elif written is None and names(side.node):
                before_side = side if before is None else before_side
        return result, worked, working

    def _amount(self, line: Line, equation: Equation, side: Side, place: int) -> Amount | None:
        """What a side works out to; None where a letter in it has no value, or where it makes no sense."""
        only_left = place == 0 and not equation.symbol and side.written is None

        def lookup(name: str) -> Amount | None:
            named = self.memory.latest(normalised(name))
            if named is not None:
                half = 0.5 * named.written.coarse_step
                value = named.written.value
                low, high = value - half, value + half
                if named.worked is not None:
                    low, high = min(low, named.worked.value), max(high, named.worked.value)
                if named.worked is None and named.written.numeral.is_integer:
                    low = high = value
                return Amount(value=value, low=low, high=high, dimension=named.dimension, bare=False)
            return self._of_sheet(name) if only_left else None

        try:
            return evaluate(side.node, slack=self._slack, lookup=lookup)
        except Unknown:
            return None
        except NoValue as why:
            self.unread.append(Unread(line=line.number, why=str(why)))
            return None
        except DimensionMismatch as why:
            self._find(
                line, pretty(side.text), why.left.in_words, "unit",
                f"In {pretty(side.text)} {why.left.in_words} and {why.right.in_words} are added or taken off.",
            )  # fmt: skip
            return None

    def _of_sheet(self, name: str) -> Amount | None:
        """A letter that the notes haven't given a value yet, such as T in T/2, where the supply has only one."""
        candidates = self.letters.mean(name)
        if not candidates or candidates[0] not in ("period", "mains_frequency", "capacitance", "load_resistance"):
            return None
        values = self.knowledge.right(candidates[0])
        if not values:
            return None
        value = values[0]
        return Amount(value=value, low=value, high=value, dimension=dimension_of(candidates[0]), bare=False)

    def _slack(self, written: Written) -> float:
        """How far the true value of a written number may lie away: nothing for what is given or counted."""
        numeral, unit = written.numeral, written.unit
        dimension = unit.dimension if unit else PLAIN
        value = abs(written.value)
        if unit is None and numeral.is_integer:
            return 0.0
        if unit is None and numeral.figures <= 2:
            rounded = any(abs(value - c) <= 0.5 * numeral.step for c in _SHORT_CONSTANTS)
            if rounded or value > 4.0:
                return 0.5 * numeral.step
            return min(self._rounded_value(written, dimension), 0.5 * numeral.step)
        if self._is_given(value, written):
            return 0.0
        if numeral.is_integer:
            return self._rounded_value(written, dimension)
        return 0.5 * written.step

    def _is_given(self, value: float, written: Written) -> bool:
        bare = written.unit is None
        for quantity, stated in self.knowledge.given.items():
            if bare or dimension_of(quantity) == (written.unit.dimension if written.unit else PLAIN):
                for given in stated:
                    if abs(given.value - value) <= 1e-9 * value:
                        return True
        drops = self.knowledge.facts.get("total_drop")
        if drops is not None and abs(drops - value) <= 1e-9 * value:
            return True
        return any(n.worked is None and abs(abs(n.written.value) - value) <= 1e-9 * value for n in self.memory)

    def _rounded_value(self, written: Written, dimension: Dimension) -> float:
        """Half the span of a whole number that may be a rounding of a value known more finely; else 0."""
        value = abs(written.value)
        known = [abs(v) for n in self.memory if n.dimension == dimension and n.worked is not None
                 for v in (n.worked.value, n.written.value)]  # fmt: skip
        for quantity in ("source_peak", "load_peak", "load_mean", "load_valley", "load_current", "ripple_peak_to_peak"):
            if dimension_of(quantity) == dimension:
                known += [hand.value for hand in self.knowledge.hand(quantity)]
        off = min((abs(v - value) for v in known), default=math.inf)
        if off <= 1e-9 * value:
            return 0.0
        for step in (written.step, written.coarse_step):
            if off <= 0.5 * step:
                return 0.5 * step
        return 0.0

    def _step(
        self, line: Line, before: Amount, before_side: Side, written: Written, side: Side, is_last: bool
    ) -> Amount | None:
        """Compare a written result with the side before it; None where something was found."""
        agreement = compare(before, written, is_last=is_last, roughly=side.roughly)
        if agreement.verdict == "agrees":
            return before
        given = as_written(written)
        due = beside(agreement.due, written, decimal=self.decimal)
        working = pretty(before_side.text)
        if agreement.verdict == "unit":
            due = in_own_unit(before.value, before.dimension, decimal=self.decimal)
            unit = written.unit.dimension.in_words if written.unit else "no unit"
            text = f"The units of {working} come to {before.dimension.in_words}, the result is in {unit}."
        elif agreement.verdict == "no unit":
            due = in_own_unit(before.value, before.dimension, decimal=self.decimal)
            text = f"The result has no unit; those of {working} come to {before.dimension.in_words}."
        elif agreement.verdict == "prefix":
            due = in_own_unit(agreement.due, written.unit.dimension if written.unit else PLAIN, decimal=self.decimal)
            times = "large" if abs(written.value) > abs(agreement.due) else "small"
            ratio = max(abs(written.value / agreement.due), abs(agreement.due / written.value))
            factor = f"{10.0 ** (3 * round(_log1000(ratio))):.0f}"
            text = f"{working} gives {due}: {given} is {factor} times too {times}."
        elif agreement.verdict == "rounding":
            fine = beside(
                agreement.due, replace(written, numeral=replace(written.numeral, step=written.numeral.step / 100.0)),
                decimal=self.decimal,
            )  # fmt: skip
            text = f"{working} gives {fine}, which rounds to {due}, not to {given}."
        else:
            text = f"{working} gives {due}, not {given}."
        kind = "unit" if agreement.verdict == "no unit" else agreement.verdict
        self._find(line, given, due, kind, text)
        return None

    # -- names ---------------------------------------------------------

    def _aligned(self, line: Line, formula: Side, side: Side, other_case: bool) -> bool:
        """Compare a formula in letters with the same in numbers; True where a number isn't its letter's value."""
        pairs = _pairs(formula.node, side.node)
        if pairs is None or other_case:
            return False
        found = False
        for name, written in pairs:
            earlier = self.memory.all(normalised(name.text))
            if not earlier or any(named.agrees(written) for named in earlier):
                continue
            named = earlier[-1]
            if written.unit is not None and named.dimension != written.unit.dimension:
                continue
            self._value_changed(line, named, written)
            found = True
        return found

    def _value_changed(self, line: Line, named: Named, written: Written) -> None:
        expected, given = as_written(named.written), as_written(written)
        self._find(
            line, given, expected, prefix_or(written, abs(named.written.value), "value changed"),
            f"{named.label} is {expected} in line {named.line}, and {given} here.",
        )  # fmt: skip

    def _changed(
        self, line: Line, key: str, result: Written, worked: Amount | None, candidates: tuple[str, ...],
        working: Node | None,
    ) -> bool:  # fmt: skip
        """Whether a name comes back with another value."""
        if not key:
            return False
        earlier = self.memory.all(key)
        same = [n for n in earlier if result.unit is None or n.dimension == result.unit.dimension]
        if not same or any(named.agrees(result) for named in same):
            return False
        if worked is not None or same[-1].flagged:
            # Worked anew by another formula that is right as well, or put right after a slip.
            if self.sheet.is_right(result, candidates):
                return False
        if working is not None and self.sheet.explained(result, candidates, working):
            return False  # then the idea behind it is the news
        self._value_changed(line, same[-1], result)
        return True

    def _of_dimension(
        self, line: Line, equation: Equation, candidates: tuple[str, ...], result: Written, slipped: bool
    ) -> tuple[str, ...]:
        """The candidates that have the result's dimension; where none has, the unit is wrong for the name."""
        if result.unit is None or not candidates:
            return candidates
        fitting = tuple(q for q in candidates if dimension_of(q) == result.unit.dimension)
        if fitting or slipped:
            return fitting
        wanted = dimension_of(candidates[0])
        if equation.symbol not in self.letters:  # of a letter that isn't the course's we may only think what it means
            letter = DIMENSION_OF_LETTER.get(equation.symbol[:1])
            if equation.symbol and letter is None and wanted != letter and not equation.words:
                if equation.symbol[0] not in "Cf" or result.unit.dimension.kelvin:
                    return ()
            if letter is not None and letter != wanted:
                return ()
        self._find(
            line, as_written(result), wanted.in_words, "unit",
            f"{pretty(equation.symbol or equation.words)} is {called(candidates[0])}: it is given in "
            f"{wanted.in_words}, not in {result.unit.dimension.in_words}.",
        )  # fmt: skip
        return ()

    def _in_numbers(self, node: Node) -> Node:
        """A working with the values of its letters put in."""
        match node:
            case Name(text):
                named = self.memory.latest(normalised(text))
                return named.written if named is not None else node
            case Pair(operation, left, right):
                return Pair(operation, self._in_numbers(left), self._in_numbers(right))
            case Negative(operand):
                return Negative(self._in_numbers(operand))
            case Call(function, operand):
                return Call(function, self._in_numbers(operand))
            case _:
                return node


def _log1000(ratio: float) -> float:
    return math.log(ratio, 1000.0)


def _meet(one: Amount, other: Amount) -> bool:
    """Whether two expressions can be the same value: their spans meet, or nearly."""
    if one.dimension != other.dimension and not (one.bare or other.bare):
        return False
    slack = 2e-3 * abs(one.value)
    return one.low - slack <= other.high and other.low - slack <= one.high


def _pairs(formula: Node, numbers: Node) -> list[tuple[Name, Written]] | None:
    """Letters and the numbers in their places, where both have one form."""
    found: list[tuple[Name, Written]] = []
    stack: list[tuple[Node, Node]] = [(formula, numbers)]
    while stack:
        one, other = stack.pop()
        if isinstance(one, Name) and isinstance(other, Written):
            found.append((one, other))
        elif isinstance(one, Pair) and isinstance(other, Pair) and one.operation == other.operation:
            stack += [(one.left, other.left), (one.right, other.right)]
        elif isinstance(one, (Negative, Call)) and type(one) is type(other):
            stack.append((one.operand, other.operand))
        elif isinstance(one, (Name, Pair, Negative, Call)):
            return None
    return found


_ARTICLES: Final = re.compile(
    r"\b(?:the|a|an|its|this|our|so|and|then|now|hence|of|is|here|we|get|find|have)\b", re.IGNORECASE
)


def _key(equation: Equation, *, unfiltered: bool, unloaded: bool, exact: bool) -> str:
    """Under which name a value is kept: its letter, or the words before the sign."""
    key = normalised(equation.symbol) if equation.symbol else ""
    if not key:
        key = re.sub(r"\s+", " ", _ARTICLES.sub(" ", equation.words.lower())).strip()
    if not key:
        return ""
    said = equation.remark.lower()
    for mark in ("rms", "peak to peak"):
        if mark in said and mark.replace(" ", "") not in key.replace(" ", ""):
            key += f"|{mark}"
    marks = (("|unfiltered", unfiltered), ("|no load", unloaded), ("|exact", exact))
    return key + "".join(mark for mark, holds in marks if holds)


