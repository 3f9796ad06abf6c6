"""Stills for slides: their size and order, their white ground, the words that go with them."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from PIL import Image

from railwright.course import read_course
from railwright.documents.film import earlier_stills, stills
from railwright.study import solve
from railwright.supply import read_text

SHEET = """\
title = "Quay light [#1] *draft*"

[mains]
voltage = "12 V"
frequency = "60 Hz"
source = "adapter"

[rectifier]
circuit = "bridge"
diode = { drop = "0.7 V", reverse_voltage_rating = "50 V" }

[[filter]]
capacitor = "1000 uF"

[load]
resistance = "100 ohm"
"""


@pytest.fixture(scope="module")
def made() -> dict[str, bytes]:
    return stills(solve(read_text(SHEET)), read_course("uk"))


def test_stills_come_in_the_order_of_a_lesson(made: dict[str, bytes]) -> None:
    *pictures, listing = made
    assert listing == "stills.md"
    assert pictures == [
        "01-title.png", "02-stages.png", "03-circuit.png", "04-path-d1-d4.png", "05-path-d2-d3.png",
        "06-waveforms.png", "07-load.png", "08-by-hand.png", "09-stresses.png", "10-cautions.png",
    ]  # fmt: skip


def test_each_is_a_slide_on_white(made: dict[str, bytes]) -> None:
    for name, content in made.items():
        if name.endswith(".png"):
            with Image.open(io.BytesIO(content)) as image:
                assert image.size == (1920, 1080)
                picture = image.convert("RGB")
            assert picture.getpixel((3, 3)) == (255, 255, 255) == picture.getpixel((1916, 1076))
            assert len(picture.getcolors(maxcolors=2_000_000) or ()) > 10


def test_each_has_its_text_equivalent_and_a_title_is_never_markup(made: dict[str, bytes]) -> None:
    text = made["stills.md"].decode()
    assert text.startswith("# Quay light \\[\\#1\\] \\*draft\\*\n")
    told = dict(re.findall(r"^## (\S+\.png): .+\n\n(.+)\n", text, re.MULTILINE))
    assert list(told) == [name for name in made if name.endswith(".png")]
    assert all(len(words) > 20 for words in told.values())
    # Common practice for a bridge, a positive: D1 and D4 conduct, D2 and D3 block.
    assert "D1 and D4 conduct" in told["04-path-d1-d4.png"] and "D2 and D3 block" in told["04-path-d1-d4.png"]


def test_only_what_a_listing_names_counts_as_an_earlier_still(made: dict[str, bytes], tmp_path: Path) -> None:
    assert earlier_stills(tmp_path) == ()
    (tmp_path / "stills.md").write_bytes(made["stills.md"] + b"\n## ../secret.png: x\n\n## notes.txt: y\n")
    assert sorted(path.name for path in earlier_stills(tmp_path)) == [n for n in made if n.endswith(".png")]


def test_progress_and_its_end(made: dict[str, bytes]) -> None:
    class Enough(Exception):
        pass

    def report(done: float, words: str) -> None:
        if words.startswith("drawing still 2 of"):
            raise Enough

    with pytest.raises(Enough):
        stills(solve(read_text(SHEET)), read_course("uk"), report=report)
