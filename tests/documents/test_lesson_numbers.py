"""The lesson's stages that reckon: what a choke-input supply shows by hand."""

from __future__ import annotations

import html
import re
from pathlib import Path

import railwright
from railwright.course import read_course
from railwright.documents.lesson.chapters_numbers import by_hand, how_good
from railwright.documents.lesson.material import Material

SHEETS = Path(__file__).parents[2] / "examples" / "supplies"


def of(name: str) -> Material:
    study = railwright.solve(railwright.read_sheet(SHEETS / f"{name}.toml"))
    return Material(study=study, course=read_course("uk"), edition="student")


def words(markup: str) -> str:
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]*>", " ", markup)))


def test_a_choke_input_supply_is_worked_by_hand_as_fully_as_a_capacitor_filter() -> None:
    """On paper for the beacon: 13.8 V; 2 x 25.46 V/(3 pi x 314 x 0.15 ohm) = 115 mA, which 1.01 A exceeds; the load
    with its bleeder is 13.79 V/1.015 A = 13.6 ohm, times 1/(6 pi x 50) = 14.4 mH; 314 x 0.15/0.3307 = 143 ohm."""
    text = words(by_hand(of("beacon-receiver")))
    for line in ("Mean voltage across the load", "Least current through L1", "Does the choke's current keep flowing?"):
        assert line in text
    assert "carries 1.01 A on average and needs 115 mA: it never stops" in text
    assert re.search(r"14\.4 \S*\s*mH", text) and re.search(r"143 \S*\s*Ω", text)
    assert "L1" in words(how_good(of("beacon-receiver")))


def test_without_a_choke_nothing_is_said_of_one() -> None:
    assert "choke" not in words(by_hand(of("signal-lamp")))
