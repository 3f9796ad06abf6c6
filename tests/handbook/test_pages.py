"""The committed pages are those of the formulas; every name on them is explained."""

from __future__ import annotations

from pathlib import Path

import pytest

from railwright.handbook import Formula, formulas
from railwright.handbook.pages import page, pages, write_pages

COMMITTED = Path(__file__).parents[2] / "docs" / "formulas"


def test_the_committed_pages_are_the_rendered_ones() -> None:
    """After a change: python -m railwright.handbook.pages docs/formulas."""
    texts = pages()
    assert {path.name for path in COMMITTED.glob("*.md")} == set(texts)
    apart = [name for name, text in texts.items() if (COMMITTED / name).read_text("utf-8") != text]
    assert not apart


@pytest.mark.parametrize("formula", formulas().values(), ids=lambda formula: formula.id)
def test_a_page_holds_all_that_the_formula_knows(formula: Formula) -> None:
    text = page(formula)
    assert formula.statement in text and str(formula.source)[1:] in text and formula.slip in text
    assert all(symbol.meaning in text for symbol in (*formula.quantities, formula.result))
    places = [text.index(assumption.sentence) for assumption in formula.assumptions]
    assert places == sorted(places)
    assert all(line.statement in text for line in formula.derivation)
    assert formula.derivation or formula.derivation_note in text


def test_pages_of_formulas_that_are_gone_are_removed(tmp_path: Path) -> None:
    (tmp_path / "long-gone.md").write_text("old", "utf-8")
    assert write_pages(tmp_path) == len(formulas()) + 1
    assert not (tmp_path / "long-gone.md").exists()
