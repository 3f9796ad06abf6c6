"""The packaged part tables: found by name, searched by words, and read only as far as they are asked for."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from railwright.parts.build import PartBuilder
from railwright.parts.errors import PartError, UnknownPart, UnsuitablePart, near_names, shown
from railwright.parts.part import Part

TABLES = (
    "diodes",
    "zeners",
    "regulators",
    "electrolytics",
    "transformers",
    "fuses",
    "thermistors",
    "heatsinks",
    "eseries",
    "worked",
)

#: Words for an ordinary part of a kind, and the entry that stands for it. "silicon" is the sheet's default diode: all
#: of 1N4001 to 1N4007 have this one law and differ in reverse voltage only.
STAND_INS: Mapping[str, str] = MappingProxyType(
    {"silicon": "1N4001", "schottky": "1N5819", "germanium": "germanium gold-bonded generic"}
)

_PART = "[[part]]\n"
_WORDS = re.compile(r'^(type|name|class) = "([^"]*)"$', re.MULTILINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """Where a part stands: its words, and the text that isn't read yet."""

    table: str
    type: str
    name: str
    class_: str
    body: str


def find(name: str, *, types: Collection[str] = (), wanted: str = "part") -> Part:
    """Return the part of a name.

    Parameters
    ----------
    name : str
        As in "1N4007", "7812", "T 1 A", "EI 50 VA", "zener 0.5 W 5.1 V"; capitals don't count. "silicon",
        "schottky" and "germanium" are ordinary diodes of their kind, see STAND_INS.
    types : collection of str
        The types that will do; empty: any.
    wanted : str
        What is looked for, in words, for messages.

    Raises
    ------
    UnknownPart
        If no table has it; it names those that come near.
    UnsuitablePart
        If the part is of another type.

    >>> find("1n4007").class_
    'silicon rectifier 1 A, axial DO-41'
    """
    index = _index()
    folded = " ".join(name.casefold().split()) if isinstance(name, str) else ""
    entry = index.get(STAND_INS.get(folded, folded).casefold())
    if entry is None:
        known = [other.name for other in index.values() if not types or other.type in types]
        raise UnknownPart(shown(name), wanted, near_names(folded, known))
    if types and entry.type not in types:
        near = [other.name for other in index.values() if other.type in types][:3]
        reason = f"is a part of type {entry.type}, where a {wanted} is needed"
        raise UnsuitablePart(entry.name, reason, f"Name one, as in {', '.join(near)}.")
    return _part(entry.name)


def search(words: str = "") -> tuple[Part, ...]:
    """Return the parts whose type, name or class hold every one of the words.

    Parameters
    ----------
    words : str
        Divided by blanks, capitals don't count; no word: every part.

    Returns
    -------
    tuple of Part
        In the order of the tables; empty if none holds them all.

    >>> [part.name for part in search("schottky 3 a")]
    ['1N5820', '1N5821', '1N5822']
    """
    wanted = words.casefold().split()
    found = []
    for entry in _index().values():
        said = f"{entry.type} {entry.name} {entry.class_}".casefold()
        if all(word in said for word in wanted):
            found.append(_part(entry.name))
    return tuple(found)


def names(*types: str) -> tuple[str, ...]:
    """Return the names of all parts of these types; without a type, of all parts."""
    return tuple(entry.name for entry in _index().values() if not types or entry.type in types)


@cache
def _text(table: str) -> tuple[str, ...]:
    """The head of a table, and the body of each part."""
    from importlib.resources import files

    text = files("railwright.parts").joinpath("tables", f"{table}.toml").read_text(encoding="utf-8")
    # Reading half a megabyte of TOML takes a tenth of a second; dividing it, and reading one part, a few thousandths.
    head, *bodies = f"\n{text}".replace("\r\n", "\n").split(f"\n{_PART}")
    return (head, *bodies)


@cache
def _index() -> Mapping[str, _Entry]:
    """Every part by its name in small letters."""
    index: dict[str, _Entry] = {}
    for table in TABLES:
        for body in _text(table)[1:]:
            words: dict[str, str] = dict(reversed(_WORDS.findall(body)))
            entry = _Entry(
                table=table, type=words["type"], name=words["name"], class_=words.get("class", ""), body=body
            )
            index[entry.name.casefold()] = entry
    return index


@cache
def _sources(table: str) -> Mapping[str, str]:
    import tomllib

    sources: Mapping[str, str] = tomllib.loads(_text(table)[0]).get("source", {})
    return sources


@cache
def _part(name: str) -> Part:
    import tomllib

    entry = _index()[name.casefold()]
    builder = PartBuilder(
        file=f"{entry.table}.toml", sources=_sources(entry.table), line_of=lambda position, key: None,
        rules_anywhere=True,
    )  # fmt: skip
    part = builder.build(1, tomllib.loads(_PART + entry.body)["part"][0])
    if part is None or builder.faults:
        raise PartError(builder.faults)
    return part
