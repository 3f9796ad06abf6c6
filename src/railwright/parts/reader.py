"""Reads a reader's own part file: `kind = "parts"`, with all that is wrong with it told at once."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from railwright.parts.build import PartBuilder
from railwright.parts.errors import PartError, PartFault, did_you_mean, near_names, shown
from railwright.parts.part import Part

LARGEST_FILE = 4_000_000  # bytes: some ten times our own largest table
_TOP = ("kind", "title", "note", "source", "part")
_EXAMPLE = 'Start with kind = "parts", then [source], then one [[part]] for each part.'
_HEADER = re.compile(r"\s*\[\[\s*part\s*\]\]")
_KEY = re.compile(r"""\s*(?:"([^"]*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*=""")
_AT_LINE = re.compile(r"\(at (?:line (\d+), column \d+|end of document)\)")


def read_parts(path: Path | str) -> tuple[Part, ...]:
    """Read the parts of a file.

    Parameters
    ----------
    path : Path or str
        A TOML file that starts with kind = "parts".

    Returns
    -------
    tuple of Part
        In the order of the file.

    Raises
    ------
    PartError
        If the file can't be read, or anything in it is wrong; it holds every fault with file, line and key.
    """
    path = Path(path)
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise PartError([_of_file(path.name, f"the file is larger than {LARGEST_FILE} bytes.", _EXAMPLE)])
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise PartError([_of_file(path.name, "the file is no UTF-8 text.", "Save it as UTF-8.")]) from None
    except (OSError, ValueError) as error:
        if isinstance(error, PartError):
            raise
        said = error.strerror if isinstance(error, OSError) and error.strerror else "no such path"
        raise PartError(
            [_of_file(shown(path.name or str(path)), f"the file can't be read: {said}.", "Check its name.")]
        ) from None
    return read_parts_text(text, origin=path.name)


def read_parts_text(text: str, *, origin: str = "parts") -> tuple[Part, ...]:
    """Read parts from the text of a part file; ``origin`` stands for the file in messages.

    Raises
    ------
    PartError
        If anything in it is wrong; it holds every fault with its line and key.
    """
    import tomllib

    try:
        data = tomllib.loads(text.replace("\r\n", "\n"))
    except tomllib.TOMLDecodeError as error:
        at = _AT_LINE.search(str(error))
        problem = f"this is no TOML: {_AT_LINE.sub('', str(error)).strip()}."
        line = (int(at[1]) if at[1] else text.count("\n") + 1) if at else None
        fault = PartFault(file=origin, line=line, problem=problem, remedy="Mend that line.")
        raise PartError([fault]) from None
    except ValueError:
        raise PartError([_of_file(origin, "a number has too many digits.", "Write it shorter, as in 1e9.")]) from None
    except RecursionError:
        raise PartError([_of_file(origin, "tables lie too deep in each other.", _EXAMPLE)]) from None
    faults = _frame_faults(data, origin)
    sources = data.get("source", {})
    entries = data.get("part", [])
    lines = _PartLines(text)
    builder = PartBuilder(file=origin, sources=sources if isinstance(sources, dict) else {}, line_of=lines.line_of)
    parts: list[Part] = []
    positions: dict[str, int] = {}
    for position, entry in enumerate(entries if isinstance(entries, list) else [], start=1):
        if not isinstance(entry, dict):
            continue
        part = builder.build(position, entry)
        if part is None:
            continue
        first = positions.setdefault(part.name.casefold(), position)
        if first != position:
            builder.faults.append(
                PartFault(
                    file=origin,
                    line=lines.line_of(position, "name"),
                    key=f"part.{position}.name",
                    given=part.name,
                    problem=f'"{shown(part.name)}" is already the name of part {first}.',
                    remedy="Give each part a name of its own.",
                )
            )
        parts.append(part)
    faults += builder.faults
    if faults:
        raise PartError(sorted(faults, key=lambda fault: fault.line or 0))
    return tuple(parts)


def _frame_faults(data: dict[str, Any], origin: str) -> list[PartFault]:
    """What is wrong outside the parts themselves."""
    faults = []
    if data.get("kind") != "parts":
        given = shown(data["kind"]) if "kind" in data else ""
        problem = f'kind is "{given}".' if given else "the file doesn't say what it is."
        faults.append(
            PartFault(file=origin, key="kind", given=given, problem=problem, allowed='kind = "parts"', remedy=_EXAMPLE)
        )
    for key in data:
        if key not in _TOP:
            remedy = did_you_mean(near_names(key, _TOP))
            problem = f'"{shown(key)}" is no key of a part file.'
            allowed = ", ".join(_TOP)
            faults.append(
                PartFault(file=origin, key=shown(key), given=key, problem=problem, allowed=allowed, remedy=remedy)
            )
    sources = data.get("source", {})
    if not isinstance(sources, dict) or not all(isinstance(source, str) for source in sources.values()):
        remedy = 'Write [source] and under it s1 = "author, title, page".'
        faults.append(PartFault(file=origin, key="source", problem="each source is a text.", remedy=remedy))
    parts = data.get("part")
    if not isinstance(parts, list) or not parts or not all(isinstance(part, dict) for part in parts):
        problem = "the file holds no part." if parts in (None, []) else "part is no list of tables."
        faults.append(PartFault(file=origin, key="part", problem=problem, remedy=_EXAMPLE))
    return faults


def _of_file(file: str, problem: str, remedy: str) -> PartFault:
    return PartFault(file=file, problem=problem, remedy=remedy)


class _PartLines:
    """The line of each key of each part, as far as the usual layout shows it."""

    def __init__(self, text: str) -> None:
        self.headers: list[int] = []
        self.keys: dict[tuple[int, str], int] = {}
        for number, line in enumerate(text.split("\n"), start=1):
            if _HEADER.match(line):
                self.headers.append(number)
            elif match := _KEY.match(line):
                key = next(word for word in match.groups() if word is not None)
                self.keys.setdefault((len(self.headers), key), number)

    def line_of(self, position: int, key: str) -> int | None:
        """The line of a key of the part at a position (from 1), else of the part; None in an unusual layout."""
        header = self.headers[position - 1] if position <= len(self.headers) else None
        return self.keys.get((position, key), header) if header else None
