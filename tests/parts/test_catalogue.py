"""Finding and searching the packaged tables."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from railwright.parts import PartError, UnknownPart, UnsuitablePart, find, names, search


def test_every_name_leads_to_its_own_part() -> None:
    assert [name for name, count in Counter(name.casefold() for name in names()).items() if count > 1] == []
    for name in names():
        assert find(name).name == name


@pytest.mark.parametrize("given", ["1n4007", " 1N4007 ", "EI 50 va", "t 1 A", "zener  0.5 W 5.1 V"])
def test_capitals_and_blanks_do_not_count(given: str) -> None:
    assert find(given).name.casefold() == " ".join(given.casefold().split())


def test_the_ordinary_diodes_have_words_of_their_own() -> None:
    assert find("silicon").name == "1N4001"
    assert find("Schottky").name == "1N5819"
    assert find("germanium").type == "diode"


@pytest.mark.parametrize(
    ("given", "near"), [("1N4O07", "1N4007"), ("78O5", "7805"), ("317", "adjustable positive 1.25 V (317)")]
)
def test_an_unknown_name_brings_those_that_come_near(given: str, near: str) -> None:
    with pytest.raises(UnknownPart, match="is the name of no part in the part tables. Did you mean") as caught:
        find(given)
    assert near in caught.value.near
    assert caught.value.given == given


@pytest.mark.parametrize("given", ["", "zzzzzz", "x" * 10_000, "a\x00b\x1b[31m"])
def test_a_name_like_nothing_says_what_to_do(given: str) -> None:
    with pytest.raises(UnknownPart, match="State its values in the sheet, or search the tables") as caught:
        find(given)
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 200


def test_a_part_of_another_type_is_told_apart_from_none() -> None:
    with pytest.raises(
        UnsuitablePart, match='"T 1 A" is a part of type fuse, where a diode is needed. Name one, as in'
    ):
        find("T 1 A", types=("diode",), wanted="diode")


def test_a_search_wants_every_word() -> None:
    assert [part.name for part in search("TOROID 225")] == ["toroid 225 VA"]
    assert [part.name for part in search("225 toroid")] == ["toroid 225 VA"]
    assert {part.type for part in search("schottky")} == {"diode"}
    assert search("schottky regulator") == ()
    assert len(search()) == len(names()) > 300


def test_the_package_loads_no_table_and_the_first_find_is_quick(root: Path) -> None:
    """A tenth of a second is what the first question may cost; taken from the best of three, as machines are shared."""
    code = """
import sys, time
import railwright.parts as parts
assert "tomllib" not in sys.modules
begin = time.perf_counter()
parts.find("1N4007")
print(time.perf_counter() - begin)
"""
    environment = {**os.environ, "PYTHONPATH": str(root / "src")}
    best = min(
        float(subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, check=True).stdout)
        for _ in range(3)
    )
    assert best < 0.1


def test_a_part_can_not_be_changed() -> None:
    part = find("1N4007")
    with pytest.raises(AttributeError):
        part.name = "another"  # type: ignore[misc]
    with pytest.raises(TypeError):
        part.values["drop"] = ()  # type: ignore[index]


def test_nothing_is_read_from_a_table_with_a_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    from railwright.parts import catalogue

    broken = 'type = "diode"\nname = "broken"\nclass = "x"\ndrop = { value = "1 V", spread = "max" }\n'
    entry = catalogue._Entry(table="diodes", type="diode", name="broken", class_="x", body=broken)
    monkeypatch.setattr(catalogue, "_index", lambda: {"broken": entry})
    with pytest.raises(PartError, match="diodes.toml, part.1.drop: a value of drop has no provenance"):
        find("broken")
