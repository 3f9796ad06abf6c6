"""The validity atlas: the committed page is what the handbook gives, and agrees with an independent table."""

from __future__ import annotations

from pathlib import Path

import pytest

from railwright.documents import atlas
from railwright.handbook import error_curve

#: tests/data/published-README.md: full-wave ripple as a share of the peak, exact, and t/RC, 2/(1+2RC/t), 1-exp(-t/RC).
INDEPENDENT = {
    100.0: (0.0286, 0.0314, 0.0309, 0.0309),
    30.0: (0.0863, 0.1047, 0.0995, 0.0994),
    10.0: (0.215, 0.314, 0.271, 0.270),
    5.0: (0.353, 0.628, 0.478, 0.467),
}


def test_the_page_is_what_the_handbook_gives(root: Path) -> None:
    assert (root / "docs/validity-atlas.md").read_text(encoding="utf-8") == atlas.page()


@pytest.mark.parametrize("place", INDEPENDENT)
def test_ripple_errors_agree_with_an_independent_table(place: float) -> None:
    """The table beside the published checks, computed apart from this program; three digits are printed."""
    exact, *by_hand = INDEPENDENT[place]
    for formula, value in zip(("ripple-straight-line", "ripple-trade", "ripple-exponential"), by_hand, strict=True):
        curve = error_curve(formula, 2001, pulses=2.0)
        assert atlas._at(curve, place) == pytest.approx(value / exact - 1.0, abs=0.006)


def test_every_picture_of_the_page_is_there(root: Path) -> None:
    for leaf in atlas.LEAVES:
        assert (root / f"docs/pictures/validity-{leaf.name}.png").stat().st_size > 5000
