"""Editing a sheet's text: it says the new thing, and everything else stays letter for letter."""

from __future__ import annotations

import difflib
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.supply import SheetError, read_text
from railwright.web.sheet_text import Edits, edited, rewritten

ROOT = Path(__file__).resolve().parents[2]
SHEETS = sorted((ROOT / "examples" / "supplies").glob("*.toml"))


def sheet(name: str) -> str:
    return (ROOT / "examples" / "supplies" / f"{name}.toml").read_text(encoding="utf-8")


def changed_lines(before: str, after: str) -> list[str]:
    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm="")
    return [line for line in lines if line[:1] in "+-" and line[:3] not in ("+++", "---")]


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_a_sheet_that_is_not_changed_stays_letter_for_letter(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert rewritten(text, tomllib.loads(text)) == text


def test_one_value_changes_one_line() -> None:
    text = sheet("signal-lamp")
    found, _ = edited(text, Edits(set={"load.resistance": "30 ohm"}))
    assert changed_lines(text, found) == [
        '-resistance = "24 ohm"             # the lamp, warm: 1 A at 24 V',
        '+resistance = "30 ohm"             # the lamp, warm: 1 A at 24 V',
    ]


def test_a_value_inside_a_table_on_one_line_changes_there() -> None:
    text = sheet("signal-lamp")
    found, _ = edited(text, Edits(set={"rectifier.diode.drop": "0.9 V"}))
    (old, new) = changed_lines(text, found)
    assert new[1:] == old[1:].replace("0.8 V", "0.9 V")


def test_another_kind_takes_the_place_of_the_old_one_and_says_so() -> None:
    found, notes = edited(sheet("signal-lamp"), Edits(set={"load.current": "1 A"}))
    assert tomllib.loads(found)["load"] == {"current": "1 A"}
    assert notes == ('load.resistance = "24 ohm" gave way to load.current = "1 A".',)


def test_tables_are_put_in_behind_their_like_and_taken_out_whole() -> None:
    text = sheet("signal-lamp")
    found, _ = edited(text, Edits(add=(("filter", {"capacitor": "100 uF"}),)))
    assert [sorted(part)[0] for part in tomllib.loads(found)["filter"]] == ["capacitor", "bleeder", "capacitor"]
    back, _ = edited(found, Edits(remove=("filter.3",)))
    assert tomllib.loads(back) == tomllib.loads(text)
    receiver = sheet("beacon-receiver")
    less, _ = edited(receiver, Edits(remove=("filter.1",)))
    assert tomllib.loads(less)["filter"] == tomllib.loads(receiver)["filter"][1:]
    assert "# 0.12 A and 1.6 W" in less


@pytest.mark.parametrize(
    ("edits", "words"),
    [
        (Edits(set={"load.resistance": "many"}), "load.resistance"),
        (Edits(set={"load.resistence": "3 ohm"}), 'Did you mean "resistance"'),
        (Edits(remove=("mains.voltage",)), "voltage"),
        (Edits(remove=("filter.9",)), "filter.9"),
        (Edits(add=(("fuse", {"rating": "1 A"}),)), "already"),
        (Edits(add=(("nothing", {}),)), "no table"),
        (Edits(remove=("__class__",)), "__class__"),
    ],
)
def test_an_edit_that_makes_no_sense_is_refused_and_names_its_key(edits: Edits, words: str) -> None:
    with pytest.raises(SheetError, match=words):
        edited(sheet("signal-lamp"), edits)


@given(st.sampled_from(SHEETS), st.data())
def test_whatever_is_set_is_what_the_text_says(path: Path, data: st.DataObject) -> None:
    """Two roads: the text parsed by the standard library, and the tree that the supply's own reader makes."""
    text = path.read_text(encoding="utf-8")
    supply = read_text(text)
    tree = tomllib.loads(text)
    keys = [key for key in ("mains.voltage", "mains.frequency", "title") if tree.get(key.split(".")[0])]
    keys += ["load.resistance"] if "resistance" in tree.get("load", {}) else []
    keys += ["filter.1.capacitor"] if "capacitor" in tree.get("filter", [{}])[0] else []
    key = data.draw(st.sampled_from(keys))
    value = {"title": "another", "mains.frequency": "60 Hz", "mains.voltage": "24 V"}.get(key, "470 ohm")
    if "capacitor" in key:
        value = "330 uF"
    try:
        expected = supply.replace(key, value).tree
    except SheetError:
        with pytest.raises(SheetError):
            edited(text, Edits(set={key: value}))
        return
    found, _ = edited(text, Edits(set={key: value}))
    assert tomllib.loads(found) == expected
