"""Checking requests: what JSON Schema's own words mean, and JSON that is none."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.web.limits import DEEPEST_JSON
from railwright.web.openapi import REQUESTS
from railwright.web.shape import Misshapen, check, parsed

anything = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**20), 10**20) | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00")),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text("abcxyz_", max_size=8), inner, max_size=4),
    max_leaves=12,
)  # fmt: skip


@pytest.mark.parametrize("raw", [b"NaN", b'{"a": Infinity}', b"[-Infinity]", b"1e999", b"[" + b"9" * 400 + b"]"])
def test_a_number_that_json_does_not_have_is_refused(raw: bytes) -> None:
    """RFC 8259, section 6: Infinity and NaN are not permitted."""
    with pytest.raises(Misshapen, match="number|too"):
        parsed(raw)


@pytest.mark.parametrize("raw", [b"", b"{", b"{'a': 1}", b"[1,]", b"\xff", b"nul"])
def test_what_is_no_json_is_refused(raw: bytes) -> None:
    with pytest.raises(Misshapen, match="no JSON|no UTF-8"):
        parsed(raw)


def test_json_that_lies_too_deep_is_refused_before_it_is_read() -> None:
    assert parsed(b"[" * DEEPEST_JSON + b"]" * DEEPEST_JSON) is not None
    with pytest.raises(Misshapen, match="deeper"):
        parsed(b"[" * 100_000)


def test_brackets_inside_a_text_do_not_count() -> None:
    text = "[{" * 500 + '\\"'
    assert parsed(json.dumps({"sheet": text}).encode()) == {"sheet": text}


@pytest.mark.parametrize("raw", [b'"\\ud800"', b'{"a": ["\\udc00x"]}', b'{"\\ud800": 1}', b'"\\u0000"'])
def test_half_a_letter_is_no_text(raw: bytes) -> None:
    """RFC 8259, section 8.2, warns of lone surrogates."""
    with pytest.raises(Misshapen, match="letter|zero"):
        parsed(raw)


@given(anything)
def test_json_comes_through_unchanged(data: Any) -> None:
    assert parsed(json.dumps(data).encode()) == data


@given(anything)
def test_nothing_but_misshapen_is_ever_raised(data: Any) -> None:
    for schema in REQUESTS.values():
        try:
            check(data, schema)
        except Misshapen as error:
            assert len(str(error)) < 800


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({}, "lacks sheet"),
        ({"sheet": 1}, "sheet must be string"),
        ({"sheet": "", "more": 1}, 'no place for "more"'),
        ({"sheet": "x" * 100_001}, "longer than 100000"),
        ({"sheet": "", "decimal": ";"}, r"Allowed: \., ,"),
        ([], "must be object"),
        ({"sheet": True}, "must be string"),
    ],
)
def test_a_refusal_says_where_and_what_is_allowed(data: Any, words: str) -> None:
    with pytest.raises(Misshapen, match=words):
        check(data, REQUESTS["sheet"])


def test_true_is_no_number_and_one_point_nought_is_whole() -> None:
    """JSON Schema 2020-12, section 6.1.1: integer matches any number with a zero fractional part."""
    check(1.0, {"type": "integer"})
    for kind in ("number", "integer"):
        with pytest.raises(Misshapen):
            check(True, {"type": kind})
