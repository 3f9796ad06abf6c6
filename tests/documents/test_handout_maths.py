"""Lines of working for typesetter and word processor: nothing of a line gets lost, and no text becomes markup."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.documents.handout.maths import OMML, Brackets, Fraction, Maths, NotSet, in_omml, in_typst, read
from railwright.documents.handout.maths import typst_text as as_string

M = f"{{{OMML}}}"
#: Ripple over two terms, as a working writes it; elements and their order by ECMA-376 part 1, section 22.1.
LINE = Maths(latex=r"V_{\text{dc}} = V_m - \frac{V_r}{2\,\sqrt{3}}", plain="V_dc = V_m − V_r / (2 √3)")


def equation(latex: str) -> ElementTree.Element:
    return ElementTree.fromstring(in_omml(Maths(latex=latex, plain="plain")))


def words(element: ElementTree.Element) -> str:
    return "".join(text.text or "" for text in element.iter(f"{M}t"))


def test_a_fraction_is_a_native_one_with_its_halves() -> None:
    fraction = ElementTree.fromstring(in_omml(LINE)).find(f"{M}f")
    assert fraction is not None
    above, below = fraction.find(f"{M}num"), fraction.find(f"{M}den")
    assert above is not None and below is not None
    assert words(above) == "Vr"
    assert [child.tag for child in below if child.tag == f"{M}rad"] == [f"{M}rad"]


def test_indices_stand_below_their_letter() -> None:
    first = ElementTree.fromstring(in_omml(LINE))[0]
    assert first.tag == f"{M}sSub"
    assert [child.tag for child in first] == [f"{M}e", f"{M}sub"]
    assert words(first) == "Vdc"


def test_units_are_upright_and_quantities_slanted() -> None:
    unit, letter = equation(r"\text{V}")[0], equation("V")[0]
    assert unit.find(f"{M}rPr/{M}sty") is not None
    assert letter.find(f"{M}rPr") is None


def test_a_decimal_comma_is_one_number() -> None:
    assert words(equation(r"1{,}56\,\text{V}")).replace("\u2009", " ") == "1,56 V"


def test_micro_and_farad_are_one_unit() -> None:
    assert '"µF"' in in_typst(Maths(latex=r"4700\,\mu\text{F}", plain="4700 µF"))


def test_brackets_grow_with_what_they_hold() -> None:
    row = read(r"V\,\left(1 - e^{-T/\left(R\,C\right)}\right)")
    assert any(isinstance(piece, Brackets) for piece in row.pieces)
    assert "lr(paren.l" in in_typst(Maths(latex=r"\left(a\right)", plain="(a)"))


def test_what_is_not_known_falls_back_to_its_plain_text() -> None:
    with pytest.raises(NotSet, match=r"\\unknown"):
        read(r"\unknown{x}")
    assert words(equation(r"\unknown{x}")) == "plain"
    assert '"plain"' in in_typst(Maths(latex=r"\unknown{x}", plain="plain"))


def test_an_equation_carries_its_text_for_those_who_hear_it() -> None:
    assert in_typst(LINE).startswith('equation("V_dc = V_m − V_r / (2 √3)", $')


def test_a_slash_stays_a_slash() -> None:
    assert not any(isinstance(piece, Fraction) for piece in read("T/C").pieces)
    assert '"/"' in in_typst(Maths(latex="T/C", plain="T/C"))


@given(st.text())
def test_any_text_is_one_string_of_the_typesetter(text: str) -> None:
    """A string ends at the first quote that no backslash escapes: here at its own end, and nowhere else."""
    string = as_string(text)
    inside, escaped = string[1:-1], False
    for letter in inside:
        if escaped:
            escaped = False
        elif letter == "\\":
            escaped = True
        else:
            assert letter != '"'
            assert letter not in "\n\r"
    assert string[0] == string[-1] == '"' and not escaped
