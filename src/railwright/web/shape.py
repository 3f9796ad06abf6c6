"""What a request must look like: a check against the same JSON schema that the API's description publishes."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from typing import Any, Final

from railwright.web.limits import DEEPEST_JSON, LONGEST_NUMBER

_TYPES: Final[Mapping[str, tuple[type, ...]]] = {
    "object": (dict,), "array": (list,), "string": (str,), "boolean": (bool,), "number": (int, float),
    "integer": (int,), "null": (type(None),),
}  # fmt: skip
_LONGEST_SHOWN: Final = 60


class Misshapen(ValueError):
    """A request that isn't what the description asks for; the sentence says where, and what is allowed."""


def parsed(body: bytes) -> Any:
    """The JSON of a request's body.

    Raises
    ------
    Misshapen
        If it is no JSON, or nested too deep, or holds a number that JSON doesn't have.
    """
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError:
        raise Misshapen("The body is no UTF-8 text.") from None
    if _depth(text) > DEEPEST_JSON:
        raise Misshapen(f"The JSON is nested deeper than {DEEPEST_JSON} levels.")
    try:
        data = json.loads(text, parse_constant=_no_constant, parse_int=_whole, parse_float=_broken)
    except Misshapen:
        raise
    except (ValueError, RecursionError):
        raise Misshapen("The body is no JSON.") from None
    _check_letters(data)
    return data


def _depth(text: str) -> int:
    """How deep brackets lie in brackets; those inside texts count too, which only makes the limit stricter."""
    deepest = level = 0
    in_text = escaped = False
    for letter in text:
        if in_text:
            if escaped:
                escaped = False
            elif letter == "\\":
                escaped = True
            elif letter == '"':
                in_text = False
        elif letter == '"':
            in_text = True
        elif letter in "[{":
            level += 1
            deepest = max(deepest, level)
            if deepest > DEEPEST_JSON:
                return deepest
        elif letter in "]}":
            level -= 1
    return deepest


def _no_constant(word: str) -> Any:
    raise Misshapen(f"{word} is no number of JSON.")


def _whole(digits: str) -> int:
    if len(digits) > LONGEST_NUMBER:
        raise Misshapen("A number is far too long.")
    return int(digits)


def _broken(digits: str) -> float:
    if len(digits) > LONGEST_NUMBER:
        raise Misshapen("A number is far too long.")
    value = float(digits)
    if not math.isfinite(value):
        raise Misshapen("A number is too large.")
    return value


def _check_letters(data: Any) -> None:
    """Half a letter (a lone surrogate) can be written in JSON, but is no text."""
    pending = [data]
    while pending:
        one = pending.pop()
        if isinstance(one, str):
            if any("\ud800" <= letter <= "\udfff" for letter in one):
                raise Misshapen("A text holds half a letter.")
            if "\x00" in one:
                raise Misshapen("A text holds a zero character.")
        elif isinstance(one, dict):
            pending.extend(one)
            pending.extend(one.values())
        elif isinstance(one, list):
            pending.extend(one)


def check(data: Any, schema: Mapping[str, Any], place: str = "the request") -> None:
    """Check data against the part of JSON Schema that this API uses.

    Raises
    ------
    Misshapen
        At the first place that doesn't fit.
    """
    kinds = schema.get("type")
    if kinds is not None:
        wanted = [kinds] if isinstance(kinds, str) else list(kinds)
        if not any(_is(data, kind) for kind in wanted):
            raise Misshapen(f"{place} must be {' or '.join(wanted)}.")
    if "enum" in schema and data not in schema["enum"]:
        allowed = ", ".join(str(word) for word in schema["enum"])
        raise Misshapen(f"{place} is {_shown(data)}. Allowed: {allowed}.")
    if isinstance(data, str):
        _check_text(data, schema, place)
    elif isinstance(data, (int, float)) and not isinstance(data, bool):
        low, high = schema.get("minimum", -math.inf), schema.get("maximum", math.inf)
        if not low <= data <= high:
            raise Misshapen(f"{place} is {_shown(data)}. Allowed: {low} to {high}.")
    elif isinstance(data, list):
        if len(data) > schema.get("maxItems", math.inf):
            raise Misshapen(f"{place} has more than {schema['maxItems']} entries.")
        for number, item in enumerate(data, start=1):
            check(item, schema.get("items", {}), f"{place}, entry {number},")
    elif isinstance(data, dict):
        _check_table(data, schema, place)


def _is(data: Any, kind: str) -> bool:
    if isinstance(data, bool):
        return kind == "boolean"
    # JSON doesn't tell 1.0 from 1, and neither does the schema's word integer.
    if kind == "integer" and isinstance(data, float):
        return data.is_integer()
    return isinstance(data, _TYPES[kind])


def _check_text(data: str, schema: Mapping[str, Any], place: str) -> None:
    if len(data) > schema.get("maxLength", math.inf):
        raise Misshapen(f"{place} is longer than {schema['maxLength']} characters.")
    if len(data) < schema.get("minLength", 0):
        raise Misshapen(f"{place} is shorter than {schema['minLength']} characters.")
    if "pattern" in schema and not re.search(schema["pattern"], data):
        raise Misshapen(f"{place} is {_shown(data)}, which isn't written as {schema.get('description', 'allowed')}.")


def _check_table(data: dict[str, Any], schema: Mapping[str, Any], place: str) -> None:
    known = schema.get("properties", {})
    for name in schema.get("required", ()):
        if name not in data:
            raise Misshapen(f"{place} lacks {name}.")
    if len(data) > schema.get("maxProperties", math.inf):
        raise Misshapen(f"{place} has more than {schema['maxProperties']} entries.")
    further = schema.get("additionalProperties", {})
    for name, value in data.items():
        if name in known:
            check(value, known[name], name)
        elif further is False:
            raise Misshapen(f"{place} has no place for {_shown(name)}. Allowed: {', '.join(known)}.")
        else:
            names = schema.get("propertyNames", {})
            check(name, names, f"a name in {place}")
            check(value, further, _shown(name))


def _shown(value: Any) -> str:
    text = str(value)
    text = "".join(letter if letter.isprintable() else "?" for letter in text[: _LONGEST_SHOWN + 1])
    return f'"{text[:_LONGEST_SHOWN]}{"…" if len(text) > _LONGEST_SHOWN else ""}"'
