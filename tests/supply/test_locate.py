"""Lines of keys, against spanned-toml: a separate TOML reader that knows the place of every key and value."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
import spanned_toml
from hypothesis import given
from hypothesis import strategies as st
from spanned_toml._parser import Spanned  # type: ignore[attr-defined]

from railwright.supply.locate import key_lines

AWKWARD = """\
title = "a # that is no comment"  # but this is
"quoted key" = 1
'literal.key' . inner = [1, 2,
  3, # three
  { x = 1, "y.z" = [ "]", '}' ] },
]
a.b.c = true
a.b.d = \"\"\"
multi = "line"
[not.a.table]
""\"\"\"
e = '''
'' still = inside
'''

[mains] # header
voltage = "230 V"
frequency \t= "50 Hz"
"""

TABLES = """\
[[filter]]
capacitor = "1 uF"
[filter.inner]
deep = 1
[[filter.list]]
x = 1
[[filter.list]]
x = 2

[ load . "positive" ]
resistance = "1 ohm"
[[filter]]
choke = "1 H"
[filter.inner]
deep = 2
[load.negative]
resistance = 1979-05-27T07:32:00Z
[x.y.z]
[x]
w = [[1, [2]], {}, []]
escaped."\\u00e9\\"\\\\" = 'C:\\'
"""


def lines_by_spanned_toml(text: str) -> dict[tuple[str | int, ...], int]:
    """The line of every key with a value and of every list item, by the other reader."""
    text = text.replace("\r\n", "\n")
    found: dict[tuple[str | int, ...], int] = {}

    def line(offset: int) -> int:
        return text.count("\n", 0, offset) + 1

    def walk(value: Any, path: tuple[str | int, ...]) -> None:
        inner = value.inner() if isinstance(value, Spanned) else value
        if isinstance(inner, dict):
            for key, content in inner.items():
                name = key.inner() if hasattr(key, "inner") else key
                plain = content.inner() if hasattr(content, "inner") else content
                if not isinstance(plain, dict) and not _holds_tables(plain):
                    found[(*path, str(name))] = line(key.span().start)
                walk(content, (*path, str(name)))
        elif isinstance(inner, list):
            for position, item in enumerate(inner, 1):
                walk(item, (*path, position))

    walk(spanned_toml.loads(text), ())
    return found


def _holds_tables(value: Any) -> bool:
    if not isinstance(value, list):
        return False
    return any(isinstance(item.inner() if hasattr(item, "inner") else item, dict) for item in value)


@pytest.mark.parametrize("text", [AWKWARD, TABLES, AWKWARD.replace("\n", "\r\n"), TABLES.replace("\n", "\r\n")])
def test_awkward_texts_have_their_keys_on_the_lines_that_the_other_reader_says(text: str) -> None:
    mine, theirs = key_lines(text), lines_by_spanned_toml(text)
    assert theirs
    assert {path: mine.get(path) for path in theirs} == theirs


def test_sheets_and_examples_have_their_keys_on_the_lines_that_the_other_reader_says(root: Path) -> None:
    files = [*root.glob("examples/supplies/*.toml"), *root.glob("tests/data/case-sheets/*.toml")]
    files += [*root.glob("../shared/cases/sheets/*.toml")]
    assert len(files) >= 9
    for file in files:
        text = file.read_text(encoding="utf-8")
        mine, theirs = key_lines(text), lines_by_spanned_toml(text)
        assert {path: mine.get(path) for path in theirs} == theirs, file.name


def test_every_value_of_a_sheet_has_a_line(root: Path) -> None:
    def paths(value: Any, path: tuple[str | int, ...]) -> list[tuple[str | int, ...]]:
        if isinstance(value, dict):
            return [(*path, key) for key in value] + [p for key in value for p in paths(value[key], (*path, key))]
        if isinstance(value, list):
            numbered = list(enumerate(value, 1))
            return [(*path, at) for at, _ in numbered] + [p for at, item in numbered for p in paths(item, (*path, at))]
        return []

    for text in (AWKWARD, TABLES):
        assert set(paths(tomllib.loads(text), ())) == set(key_lines(text))


def test_a_key_in_an_inline_table_stands_on_the_line_of_that_key_and_not_of_the_table() -> None:
    text = 'filter = [\n  { capacitor = "1 uF" },\n  { choke = "1 H",  resistance = "2 ohm" },\n]\n'
    assert key_lines(text)[("filter", 2, "resistance")] == 3


@given(st.text(alphabet='[]{}".=\'#\\ \n\t\rabc_-1,"', max_size=80))
def test_whatever_the_other_reader_accepts_is_located_alike(text: str) -> None:
    try:
        tomllib.loads(text)
    except ValueError:
        return
    mine, theirs = key_lines(text), lines_by_spanned_toml(text)
    assert {path: mine.get(path) for path in theirs} == theirs
