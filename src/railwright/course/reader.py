"""Reads a course file: `kind = "course"`, with all that is wrong with it told at once.

A file says only what differs: every key that it leaves out is that of the shipped profile of its `words`.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from railwright.course.choices import FACTORS, FARTHEST, RIPPLE_FORMULAS, TAUGHT_FORMULAS
from railwright.course.errors import CourseError, CourseFault, did_you_mean, quoted, shown
from railwright.course.profile import Course
from railwright.course.symbols import LONGEST, MEET, QUANTITIES, is_symbol
from railwright.course.words import DIALECTS
from railwright.quantities import QuantityError, read_quantity

LARGEST_FILE: Final = 200_000  # bytes: a profile has some twenty lines
LONGEST_TITLE: Final = 200  # characters
MOST_DIGITS: Final = 6
HIGHEST_DROP: Final = 5.0  # [V] common practice, no source: a stack of several junctions, not one diode, lies above

#: The profiles that ship, by the name that `read_course` and `--course` take.
SHIPPED: Final[Mapping[str, str]] = MappingProxyType({"uk": "uk-iec.toml", "us": "us-ieee.toml"})

_CHOICES: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "words": DIALECTS,
        "ripple_factor": ("rms", "peak-to-peak"),
        "regulation_base": ("full-load", "no-load"),
        "line_regulation_base": ("low", "nominal", "per-volt"),
        "unit_mark": ("final", "each", "none"),
        "rounding": ("final", "each"),
        "drawing": ("iec", "ieee"),
        "current_direction": ("conventional", "electron"),
        "decimal": (".", ","),
        "paper": ("A4", "Letter"),
    }
)
KEYS: Final = (
    "kind", "title", "note", "words", "symbols", "ripple_factor", "diode_drop", "ripple_formula", "taught", "factors",
    "regulation_base", "line_regulation_base", "regulator_dropout", "digits", "rounding", "unit_mark", "drawing",
    "current_direction", "decimal", "paper", "language",
)  # fmt: skip
_START: Final = 'Start with kind = "course" and words = "uk" or "us".'
_AT_LINE: Final = re.compile(r"\(at line (\d+), column \d+\)")
_KEY_LINE: Final = re.compile(r"""\s*(?:"([^"]*)"|'([^']*)'|([A-Za-z0-9_-]+))(?:\s*\.\s*([A-Za-z0-9_-]+))?\s*=""")
_TABLE_LINE: Final = re.compile(r"\s*\[\s*([A-Za-z0-9_-]+)\s*\]")
_LANGUAGE: Final = re.compile(r"[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")


def read_course(name: Path | str) -> Course:
    """Read a course.

    Parameters
    ----------
    name : Path or str
        "uk" or "us" for a profile that ships, else the path of a course file.

    Returns
    -------
    Course

    Raises
    ------
    CourseError
        If the file can't be read, or anything in it is wrong; it holds every fault with file, line and key.
    """
    if isinstance(name, str) and name.lower() in SHIPPED:
        return _shipped(name.lower())
    path = Path(name)
    try:
        if path.stat().st_size > LARGEST_FILE:
            fault = CourseFault(file=path.name, problem="the file is too large for a course.", remedy=_START)
            raise CourseError([fault])
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise CourseError(
            [CourseFault(file=path.name, problem="the file is no UTF-8 text.", remedy="Save it as UTF-8.")]
        ) from None
    except (OSError, ValueError) as error:
        if isinstance(error, CourseError):
            raise
        said = error.strerror if isinstance(error, OSError) and error.strerror else "no such path"
        near = did_you_mean(str(name), SHIPPED)
        remedy = near or f"Name a course file, or a profile that ships: {', '.join(SHIPPED)}."
        raise CourseError(
            [CourseFault(file=shown(str(path)), problem=f"the file can't be read: {said}.", given=shown(str(path)),
                         remedy=remedy)]
        ) from None  # fmt: skip
    return read_course_text(text, origin=path.name)


def read_course_text(text: str, *, origin: str = "course") -> Course:
    """Read a course from the text of its file; ``origin`` stands for the file in messages.

    Raises
    ------
    CourseError
        If anything in it is wrong; it holds every fault with its line and key.
    """
    data = _parsed(text, origin)
    look = _Look(data=data, file=origin, lines=_lines(text))
    words = look.choice("words", required=True)
    base = None if origin in SHIPPED.values() else _shipped(words or "uk")
    course = _course(look, base)
    look.check_frame()
    if look.faults or course is None:
        raise CourseError(sorted(look.faults, key=lambda fault: fault.line or 0))
    return course


def _shipped(name: str) -> Course:
    file = Path(__file__).parent / "profiles" / SHIPPED[name]
    return read_course_text(file.read_text(encoding="utf-8"), origin=file.name)


def _parsed(text: str, origin: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as error:
        at = _AT_LINE.search(str(error))
        problem = f"this is no TOML: {_AT_LINE.sub('', str(error)).strip().rstrip('.')}."
        fault = CourseFault(file=origin, line=int(at[1]) if at else None, problem=problem, remedy="Mend that line.")
        raise CourseError([fault]) from None
    except RecursionError:
        raise CourseError(
            [CourseFault(file=origin, problem="tables lie too deep in each other.", remedy=_START)]
        ) from None
    except ValueError:  # the interpreter reads no integer of several thousand digits
        raise CourseError(
            [CourseFault(file=origin, problem="a number in it is far too long.", remedy="Write a shorter one.")]
        ) from None


def _lines(text: str) -> dict[str, int]:
    """The line of each key, counted from 1; keys of a table with its name before them."""
    found: dict[str, int] = {}
    table = ""
    for number, line in enumerate(text.split("\n"), start=1):
        if header := _TABLE_LINE.match(line):
            table = f"{header[1]}."
            found.setdefault(header[1], number)
        elif match := _KEY_LINE.match(line):
            key = table + next(word for word in match.groups()[:3] if word is not None)
            found.setdefault(key, number)
            if match[4]:
                found.setdefault(f"{key}.{match[4]}", number)
    return found


@dataclass(slots=True)
class _Look:
    """One look through a file; whatever is wrong is written down, and the reading goes on."""

    data: dict[str, Any]
    file: str
    lines: dict[str, int]
    faults: list[CourseFault] = field(default_factory=list)

    def fault(self, key: str, problem: str, *, given: object = "", allowed: str = "", remedy: str = "") -> None:
        line = self.lines.get(key)
        step = key
        while line is None and "." in step:
            step = step.rpartition(".")[0]
            line = self.lines.get(step)
        self.faults.append(
            CourseFault(file=self.file, line=line, key=shown(key), problem=problem, given=shown(given),
                        allowed=allowed, remedy=remedy)
        )  # fmt: skip

    def check_frame(self) -> None:
        """What is wrong with the file as a whole: its kind, and keys that no course has."""
        kind = self.data.get("kind")
        if kind != "course":
            problem = f"kind is {quoted(kind)}." if kind is not None else "the file doesn't say what it is."
            self.fault("kind", problem, given="" if kind is None else kind, allowed='kind = "course"', remedy=_START)
        for key in self.data:
            if key not in KEYS:
                allowed, near = ", ".join(KEYS), did_you_mean(key, KEYS)
                self.fault(key, f"unknown key {quoted(key)}.", given=key, allowed=allowed, remedy=near)

    def choice(self, key: str, *, required: bool = False) -> str | None:
        """One of the words that the key allows; None if it is absent or wrong."""
        allowed = _CHOICES[key]
        listed = ", ".join(f'"{word}"' for word in allowed)
        if key not in self.data:
            if required:
                self.fault(key, "it isn't said in which words the course speaks.", allowed=listed, remedy=_START)
            return None
        given = self.data[key]
        if isinstance(given, str) and given in allowed:
            return given
        near = did_you_mean(given, allowed) if isinstance(given, str) else ""
        example = f'Write {key} = "{allowed[0]}".'
        self.fault(key, f"{quoted(given)} isn't allowed here.", given=given, allowed=listed, remedy=near or example)
        return None

    def text(self, key: str, longest: int = LONGEST_TITLE) -> str | None:
        given = self.data.get(key)
        if given is None:
            return None
        if isinstance(given, str) and len(given) <= longest:
            return given
        self.fault(key, f"{quoted(given)} is no text of at most {longest} characters.", given=given,
                   remedy=f'Write {key} = "…".')  # fmt: skip
        return None

    def language(self) -> str | None:
        given = self.text("language")
        if given is None or _LANGUAGE.fullmatch(given):
            return given
        self.fault("language", f"{quoted(given)} is no language tag.", given=given,
                   allowed="two or three small letters", remedy='Write language = "en".')  # fmt: skip
        return None

    def digits(self) -> int | None:
        given = self.data.get("digits")
        if given is None:
            return None
        if isinstance(given, int) and not isinstance(given, bool) and 1 <= given <= MOST_DIGITS:
            return given
        self.fault("digits", f"{quoted(given)} is no number of significant digits.", given=given,
                   allowed=f"1 to {MOST_DIGITS}", remedy="Write digits = 3.")  # fmt: skip
        return None

    def voltage(self, key: str, example: str) -> float | None:
        given = self.data.get(key)
        if given is None:
            return None
        allowed = f"0 V to {HIGHEST_DROP:g} V"
        try:
            value = read_quantity(given, "V").value
        except QuantityError as error:
            self.fault(key, f"{quoted(given)} {error.reason}.", given=given, allowed=allowed, remedy=error.remedy)
            return None
        if 0.0 <= value <= HIGHEST_DROP:
            return value
        self.fault(key, f"{quoted(given)} is out of range.", given=given, allowed=allowed,
                   remedy=f'Write {key} = "{example}".')  # fmt: skip
        return None

    def formulas(self, key: str, known: tuple[str, ...]) -> tuple[str, ...] | None:
        given = self.data.get(key)
        if given is None:
            return None
        example = f'Write {key} = ["{known[0]}"].'
        if isinstance(given, str):
            given = [given]
        if not isinstance(given, list) or (not given and key == "ripple_formula"):
            self.fault(key, f"{quoted(given)} is no list of formulas.", given=given, allowed=", ".join(known),
                       remedy=example)  # fmt: skip
            return None
        chosen: list[str] = []
        for position, name in enumerate(given, start=1):
            where = f"{key}.{position}"
            if not isinstance(name, str) or name not in known:
                near = did_you_mean(name, known) if isinstance(name, str) else ""
                self.fault(where, f"{quoted(name)} is no formula to choose here.", given=name,
                           allowed=", ".join(known), remedy=near or example)  # fmt: skip
            elif name in chosen:
                self.fault(where, f"{quoted(name)} stands there twice.", given=name, remedy="Take one of them out.")
            else:
                chosen.append(name)
        return tuple(chosen)

    def table(self, key: str, example: str) -> dict[str, Any]:
        given = self.data.get(key, {})
        if isinstance(given, dict):
            return given
        self.fault(key, f"{quoted(given)} is no table.", given=given, remedy=f"Write {key} = {example}.")
        return {}

    def symbols(self, base: Mapping[str, str]) -> Mapping[str, str]:
        """The letters, those of the shipped profile where the file has none; no two that meet may be the same."""
        letters = dict(base)
        own: set[str] = set()
        for name, given in self.table("symbols", '{ load_mean = "V_dc" }').items():
            where = f"symbols.{name}"
            if name not in QUANTITIES:
                near = did_you_mean(name, QUANTITIES) or "To see their names: railwright formulas ID."
                self.fault(where, f"{quoted(name)} is no quantity of the handbook.", given=name,
                           allowed=", ".join(MEET) + ", …", remedy=near)  # fmt: skip
            elif not isinstance(given, str) or not is_symbol(given):
                self.fault(where, f"{quoted(given)} is no symbol.", given=given,
                           allowed=f"a letter and, after _, what stands below it; at most {LONGEST} characters",
                           remedy=f'Write {name} = "V_dc".')  # fmt: skip
            else:
                letters[name] = given
                own.add(name)
        taken: dict[str, str] = {}
        for name in MEET:
            letter = letters.get(name)
            if letter is None:
                continue
            first = taken.setdefault(letter, name)
            if first != name:
                where = name if name in own else first
                self.fault(f"symbols.{where}", f'"{letter}" would stand for both {first} and {name}.', given=letter,
                           remedy="Give one of them another letter.")  # fmt: skip
        return MappingProxyType(letters)

    def factors(self) -> Mapping[str, float]:
        chosen: dict[str, float] = {}
        for name, given in self.table("factors", "{ full_wave_mean = 0.636 }").items():
            where = f"factors.{name}"
            if name not in FACTORS:
                near = did_you_mean(name, FACTORS)
                self.fault(where, f"{quoted(name)} is no factor that is known here.", given=name,
                           allowed=", ".join(FACTORS), remedy=near)  # fmt: skip
                continue
            exact = FACTORS[name]
            is_number = isinstance(given, (int, float)) and not isinstance(given, bool)
            if not is_number or not abs(given - exact) <= FARTHEST * exact:
                self.fault(where, f"{quoted(given)} is no rounding of {exact:.4f}.", given=given,
                           allowed=f"{exact * (1 - FARTHEST):.3f} to {exact * (1 + FARTHEST):.3f}",
                           remedy=f"Write {name} = {exact:.3f}.")  # fmt: skip
            else:
                chosen[name] = float(given)
        return MappingProxyType(chosen)


def _course(look: _Look, base: Course | None) -> Course | None:
    """The course that a file describes, on the ground of `base`; None where a shipped profile leaves something out."""

    def said(key: str, read: Callable[[], Any]) -> Any:
        value = read()
        if value is None and base is not None:
            return getattr(base, key)
        return value

    values: dict[str, Any] = {key: said(key, lambda key=key: look.choice(key)) for key in _CHOICES if key != "words"}  # type: ignore[misc]
    given_words = look.data.get("words")
    values["words"] = given_words if given_words in DIALECTS else "uk"
    values |= {
        "title": look.text("title") or "",
        "symbols": look.symbols(base.symbols if base is not None else {}),
        "diode_drop": said("diode_drop", lambda: look.voltage("diode_drop", "0.7 V")),
        "regulator_dropout": said("regulator_dropout", lambda: look.voltage("regulator_dropout", "2 V")),
        "ripple_formula": said("ripple_formula", lambda: look.formulas("ripple_formula", RIPPLE_FORMULAS)),
        "taught": look.formulas("taught", TAUGHT_FORMULAS),
        "factors": look.factors() or (base.factors if base is not None else {}),
        "digits": said("digits", look.digits),
        "language": said("language", look.language),
    }
    look.text("note", longest=20_000)
    if values["taught"] is None:
        values["taught"] = base.taught if base is not None else ()
    elif base is not None:
        # The file's own choices come first; where it is silent the shipped profile still has one.
        values["taught"] = (*values["taught"], *(name for name in base.taught if name not in values["taught"]))
    if look.faults:
        return None
    absent = [key for key, value in values.items() if value is None and key not in ("diode_drop", "regulator_dropout")]
    if absent:
        look.fault(absent[0], f"the profile leaves out {', '.join(absent)}.", remedy="Say it.")
        return None
    return Course(**values)
