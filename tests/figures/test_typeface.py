"""The packaged typeface: what it can draw, and how wide that is."""

from __future__ import annotations

from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.figures.typeface import (
    ASCENT,
    CAP_HEIGHT,
    DESCENT,
    FAMILY,
    font_bytes,
    font_face_css,
    font_files,
    has_glyph,
    text_width,
)

SIGNS = "Ωµμ°−×≤≥√π±·…→←½¹²³₀₁₂₃₄₉⁰⁴⁹⁻₋≈≠Δ∆Σ∑φη–—“”‘’′″\u00a0\u202fÅÄÖÜßéñçŠŁőżАЯаяЖђџ"


def font(bold: bool):
    """fontTools, an independent reader of the same files."""
    ttlib = pytest.importorskip("fontTools.ttLib")
    return ttlib.TTFont(font_files()[1 if bold else 0])


@pytest.mark.parametrize("bold", [False, True])
def test_every_sign_of_the_trade_has_a_glyph(bold):
    mapping = font(bold).getBestCmap()
    missing = [c for c in SIGNS + "".join(map(chr, range(0x20, 0x7F))) if ord(c) not in mapping]
    assert missing == []
    assert all(has_glyph(c) for c in SIGNS)
    assert not has_glyph("漢")


@pytest.mark.parametrize("bold", [False, True])
def test_widths_agree_with_fonttools_for_every_character(bold):
    file = font(bold)
    units, metrics = file["head"].unitsPerEm, file["hmtx"]
    for code, glyph in file.getBestCmap().items():
        assert text_width(chr(code), 1000.0, bold=bold) == pytest.approx(1000.0 * metrics[glyph][0] / units)


@pytest.mark.parametrize("bold", [False, True])
def test_a_line_is_as_wide_as_pillow_sets_it(bold):
    """Pillow (FreeType) at 2048 px an em, where one pixel is one unit: rounding is half a unit a character."""
    image_font = pytest.importorskip("PIL.ImageFont")
    face = image_font.truetype(str(font_files()[1 if bold else 0]), 2048, layout_engine=image_font.Layout.BASIC)
    for line in ("D1 and D4 conduct, D2 and D3 block up to 12.0 V", "AVATAR To. 2200 µF ±20 %", "61.2° → 95.0°"):
        assert text_width(line, 2048, bold=bold) == pytest.approx(face.getlength(line), abs=0.5 * len(line))


@given(st.text(st.sampled_from(SIGNS + "abcXYZ 0123456789."), max_size=30), st.text(max_size=10), st.floats(1, 100))
def test_widths_add_up_and_scale(first, second, size):
    assert text_width(first + second, size) == pytest.approx(text_width(first, size) + text_width(second, size))
    assert text_width(first, size) == pytest.approx(size * text_width(first, 1.0))


def test_a_foreign_character_is_given_room():
    assert text_width("漢", 10) == pytest.approx(10)
    assert text_width("e\u0301", 10) in (pytest.approx(text_width("e", 10)), pytest.approx(text_width("é", 10)))


@pytest.mark.parametrize("bold", [False, True])
def test_the_vertical_measures_are_those_of_the_files(bold):
    file = font(bold)
    units = file["head"].unitsPerEm
    assert ASCENT * units == file["hhea"].ascent
    assert -DESCENT * units == file["hhea"].descent
    assert CAP_HEIGHT * units == file["OS/2"].sCapHeight
    assert file["name"].getDebugName(1) == FAMILY


def test_the_licence_lies_beside_the_files_and_reserves_no_name():
    folder = font_files()[0].parent
    licence = (folder / "Inter-LICENSE.txt").read_text(encoding="utf-8")
    head = licence.split("-----", 1)[0]
    assert "SIL Open Font License, Version 1.1" in head
    assert "Reserved Font Name" not in head


def test_the_package_stays_small():
    assert sum(file.stat().st_size for file in font_files()[0].parent.iterdir()) < 150_000


def test_the_embedded_faces_are_the_packaged_files():
    ttlib = pytest.importorskip("fontTools.ttLib")
    for bold in (False, True):
        web = ttlib.TTFont(BytesIO(font_bytes(bold=bold)))
        assert web.flavor == "woff2"
        assert web.getBestCmap().keys() == font(bold).getBestCmap().keys()
    assert font_face_css().count("@font-face") == 2
    assert "http" not in font_face_css()
