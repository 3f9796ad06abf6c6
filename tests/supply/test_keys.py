"""The key table, against the words of the sheet's own description."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from railwright.quantities import read_quantity, read_ratio, read_tolerance
from railwright.supply import SECTIONS, all_keys


def test_every_example_of_a_quantity_is_read_in_the_unit_of_its_key_and_lies_in_its_range() -> None:
    checked = 0
    for key in all_keys():
        if key.takes not in ("quantity", "fraction") or not key.unit or not key.example:
            continue
        text = key.example.strip('"')
        value = read_quantity(text, key.unit).value
        assert key.above is None or value > key.above, key
        assert key.at_least is None or value >= key.at_least, key
        assert key.at_most is None or value <= key.at_most, key
        assert key.below is None or value < key.below, key
        checked += 1
    assert checked > 60


def test_every_example_of_a_ratio_or_tolerance_is_read() -> None:
    for key in all_keys():
        if key.takes == "ratio":
            assert read_ratio(key.example.strip('"')) > 0
        if key.takes == "tolerance":
            assert read_tolerance(key.example.strip('"')).plus > 0


def test_every_quantity_has_a_meaning_and_every_choice_its_words() -> None:
    for key in all_keys():
        assert key.meaning
        assert bool(key.choices) == (key.takes == "choice"), key


def test_a_default_among_choices_is_one_of_them() -> None:
    for key in all_keys():
        if key.choices and key.default and key.name not in ("tap", "kind"):
            assert key.default in key.choices


def test_the_key_table_holds_every_key_of_the_sheet_description(root: Path) -> None:
    """The description of the sheet, where it lies beside the project: its table's sections and keys."""
    page = root / ".." / "shared" / "sheet.md"
    if not page.exists():
        pytest.skip("the description of the sheet isn't here")
    section, missing, seen = "", [], 0
    for line in page.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.split("|")]
        if not line.startswith("| ") or len(cells) != 7 or cells[2] in ("key", "---"):
            continue
        if cells[1]:
            heading = re.search(r"\[\[?([a-z_]+)|`diode|\(top\)", cells[1])
            assert heading, line
            section = heading.group(1) or ("rectifier.diode" if "diode" in heading.group() else "")
        if section in ("initial", "requirement") and cells[2].startswith(('`"', "`<")):
            continue
        for name in re.findall(r"`([a-z_]+)`", cells[2]):
            if name in ("<designator>",):
                continue
            seen += 1
            if SECTIONS[section].key(name) is None:
                missing.append((section, name))
    assert seen > 90
    assert missing == []
