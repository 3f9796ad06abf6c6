"""Figures as files: the same bytes every time, the packaged typeface, no font of the machine."""

from __future__ import annotations

import re
import struct
import sys
import xml.etree.ElementTree as ElementTree
import zlib

import pytest

from railwright.figures.export import MissingExtra, pdf_bytes, png_bytes, svg_size, svg_text
from railwright.figures.scene import Box, Rectangle, Scene, Text

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="400" height="200" viewBox="0 0 400 200" role="img">'
    "<title>Ripple &amp; mean</title><desc>The ripple is 1.2 V.</desc>"
    '<rect x="10" y="10" width="50" height="50" fill="#D55E00"/>'
    '<text x="20" y="150" font-family="Inter" font-size="40">Ripple 1.2 V, 2200 µF</text></svg>'
)
BLANK = re.sub(r"<text.*</text>", "", SVG)


SCENE = Scene(
    width=400,
    height=200,
    items=(
        Rectangle(box=Box(left=10, top=10, right=60, bottom=60), fill="#D55E00"),
        Text(at=(20, 150), text="Ripple 1.2 V, 2200 µF", size=40),
    ),
    title="Ripple & mean",
    description="The ripple is 1.2 V.",
)


def png_size(data: bytes) -> tuple[int, int]:
    """Width and height from the IHDR chunk (ISO/IEC 15948, 11.2.2)."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    return struct.unpack(">II", data[16:24])


def pdf_streams(data: bytes) -> bytes:
    """All deflated streams of a PDF (ISO 32000-1, 7.3.8), opened and joined."""
    opened = []
    for part in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL):
        try:
            opened.append(zlib.decompress(part))
        except zlib.error:
            opened.append(part)
    return b"\n".join(opened)


def test_an_svg_file_carries_its_typeface_and_stays_well_formed():
    text = svg_text(SCENE)
    assert text.count("@font-face") == 2
    assert svg_text(text).count("@font-face") == 2
    assert "@font-face" not in svg_text(SVG, embed_font=False)
    root = ElementTree.fromstring(text)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    # Nothing is fetched: the only addresses are the names of the SVG vocabulary and data inside.
    assert re.findall(r"(?:href|src)\s*[=:]\s*[\"']?(?:https?:|//)", text) == []


@pytest.mark.parametrize(("asked", "width"), [(None, 800), (1920, 1920)])
def test_a_png_is_as_wide_as_asked_or_twice_the_figure(asked, width):
    pytest.importorskip("resvg_py")
    assert png_size(png_bytes(SVG, width=asked)) == (width, width // 2)


def test_a_png_shows_the_text_without_any_font_of_the_machine():
    pytest.importorskip("resvg_py")
    assert png_bytes(SVG) != png_bytes(BLANK)
    assert png_bytes(svg_text(SVG)) == png_bytes(SVG)


def test_a_png_has_the_colour_that_was_drawn():
    """Pixel (35, 35) of a 400 px picture lies inside the vermilion square."""
    resvg = pytest.importorskip("PIL.Image")
    pytest.importorskip("resvg_py")
    from io import BytesIO

    image = resvg.open(BytesIO(png_bytes(SVG, width=400))).convert("RGB")
    assert image.getpixel((35, 35)) == (0xD5, 0x5E, 0x00)
    assert image.getpixel((390, 10)) == (255, 255, 255)


def test_the_same_figure_gives_the_same_bytes():
    pytest.importorskip("resvg_py")
    pytest.importorskip("typst")
    assert svg_text(SCENE) == svg_text(SCENE)
    assert png_bytes(SCENE) == png_bytes(SCENE)
    assert pdf_bytes(SCENE) == pdf_bytes(SCENE)


@pytest.mark.parametrize("width", [0, 15, 20_000])
def test_an_absurd_width_is_refused_with_the_allowed_range(width):
    with pytest.raises(ValueError, match=rf"{width} px wide.*16 to 16384"):
        png_bytes(SVG, width=width)


@pytest.mark.parametrize(
    ("paper", "box"),
    [("figure", (300.0, 150.0)), ("a4", (841.89, 595.28)), ("letter", (792.0, 612.0))],
)
def test_a_pdf_page_has_the_size_of_the_figure_or_of_the_sheet(paper, box):
    """400 x 200 px of 1/96 inch; A4 (ISO 216) is 297 x 210 mm, size A (ASME Y14.1) 11 x 8.5 inch; 72 points an inch."""
    pytest.importorskip("typst")
    data = pdf_bytes(SVG, paper=paper)
    assert data.startswith(b"%PDF-")
    boxes = re.findall(rb"/MediaBox\s*\[\s*0 0 ([0-9.]+) ([0-9.]+)\s*\]", data + pdf_streams(data))
    assert len(boxes) == 1
    assert tuple(map(float, boxes[0])) == pytest.approx(box, abs=0.02)


def test_a_pdf_stays_a_drawing_and_says_what_it_shows():
    pytest.importorskip("typst")
    data = pdf_bytes(SVG)
    inside = data + pdf_streams(data)
    assert b"/Subtype/Image" not in inside.replace(b" ", b"")
    assert b"The ripple is 1.2 V." in inside
    assert b"Ripple & mean" in inside
    assert b"Inter" in inside


def test_an_accessible_pdf_can_be_asked_for():
    """PDF/UA-1 (ISO 14289-1) identifies itself in its metadata."""
    pytest.importorskip("typst")
    data = pdf_bytes(SVG, standard="ua-1")
    assert b"pdfuaid" in data + pdf_streams(data)


def test_text_of_the_figure_is_never_markup():
    pytest.importorskip("typst")
    hostile = SVG.replace("The ripple is 1.2 V.", '#panic("no") *bold* $x$ \\ ]')
    assert b'#panic("no") *bold* $x$' in (lambda d: d + pdf_streams(d))(pdf_bytes(hostile))


def test_an_unknown_paper_is_refused_by_name():
    with pytest.raises(ValueError, match='"a0" is not known. Allowed: figure, a4, letter'):
        pdf_bytes(SVG, paper="a0")


@pytest.mark.parametrize(("module", "make", "extra"), [("resvg_py", png_bytes, "draw"), ("typst", pdf_bytes, "pdf")])
def test_a_missing_renderer_names_the_extra_in_one_sentence(monkeypatch, module, make, extra):
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(MissingExtra, match=rf'pip install "railwright\[{extra}\]"') as refusal:
        make(SVG)
    assert refusal.value.extra == extra
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize(
    ("opening", "size"),
    [
        ('<svg width="12.5px" height="8">', (12.5, 8.0)),
        ('<svg viewBox="-1 -2 30 40">', (30.0, 40.0)),
    ],
)
def test_the_size_is_read_from_the_drawing(opening, size):
    assert svg_size(opening + "</svg>") == size


@pytest.mark.parametrize("text", ["<svg></svg>", "hello"])
def test_a_text_without_a_size_is_refused(text):
    with pytest.raises(ValueError, match=r"size is unknown|Not SVG"):
        png_bytes(text)
