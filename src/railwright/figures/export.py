"""A figure as a file: SVG text, PNG bytes, PDF bytes, the same bytes every time.

The typeface is the packaged one, whatever is installed: embedded in an SVG file, handed to the two renderers, which
never look at the fonts of the machine. PNG needs `railwright[draw]`, PDF needs `railwright[pdf]`.
"""

from __future__ import annotations

import re
from html import unescape
from importlib import import_module
from types import ModuleType
from typing import Literal

from railwright.figures.scene import Scene, render
from railwright.figures.typeface import FAMILY, font_face_css, font_files

__all__ = ["MissingExtra", "pdf_bytes", "png_bytes", "svg_size", "svg_text"]

Paper = Literal["figure", "a4", "letter"]

#: Landscape sheets: width and height. [mm] (ISO 216; ANSI/ASME Y14.1 size A)
PAPER_SIZES: dict[str, tuple[float, float]] = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}
_PAPER_MARGIN = 7.0  # [mm] common practice, no source: office printers leave 4 to 6 mm white
_PIXELS_PER_INCH = 96.0  # CSS
_POINTS_PER_INCH = 72.0


class MissingExtra(RuntimeError):
    """A renderer isn't installed; the sentence names the extra that brings it."""

    def __init__(self, *, what: str, extra: str) -> None:
        self.what = what
        self.extra = extra
        super().__init__(f'{what} needs a part that is not installed: run  pip install "railwright[{extra}]"')


def svg_text(figure: Scene | str, *, embed_font: bool = True) -> str:
    """The figure as the text of an SVG file.

    Parameters
    ----------
    figure : Scene or str
        A scene, or SVG text.
    embed_font : bool
        Whether the file carries the typeface (about 50 kB), to look the same where Inter isn't installed. Leave it
        out inside a page that has the typeface already.

    Returns
    -------
    str
        SVG, ending with a line break.
    """
    svg = _markup(figure)
    if embed_font and "@font-face" not in svg:
        opening = _opening_tag(svg)
        svg = svg.replace(opening, f"{opening}<style>{font_face_css()}</style>", 1)
    return svg if svg.endswith("\n") else svg + "\n"


def png_bytes(figure: Scene | str, *, width: int | None = None, background: str | None = "#ffffff") -> bytes:
    """The figure as a PNG image.

    Parameters
    ----------
    figure : Scene or str
        A scene, or SVG text.
    width : int, optional
        Width of the image; twice the figure's own size if not given. [px]
    background : str, optional
        A CSS colour; None leaves it transparent.

    Returns
    -------
    bytes
        PNG.

    Raises
    ------
    MissingExtra
        If the renderer isn't installed.
    ValueError
        If `width` is outside 16 to 16384 px.
    """
    svg = _without_embedded_font(_markup(figure))
    if width is None:
        width = max(16, round(2.0 * svg_size(svg)[0]))
    if not 16 <= width <= 16384:
        raise ValueError(f"A picture {width} px wide was asked for. Allowed: 16 to 16384 px.")
    resvg = _renderer("resvg_py", what="A PNG picture", extra="draw")
    data = resvg.svg_to_bytes(
        svg_string=svg,
        width=width,
        background=background,
        skip_system_fonts=True,
        font_files=[str(file) for file in font_files()],
        font_family=FAMILY,
        sans_serif_family=FAMILY,
        dpi=_PIXELS_PER_INCH,
    )
    return bytes(data)


def pdf_bytes(
    figure: Scene | str,
    *,
    alt: str | None = None,
    title: str | None = None,
    paper: Paper = "figure",
    standard: Literal["ua-1"] | None = None,
) -> bytes:
    """The figure as one PDF page, still a drawing: sharp at any size.

    Parameters
    ----------
    figure : Scene or str
        A scene, or SVG text.
    alt : str, optional
        Text equivalent; the drawing's own `desc` or `title` if not given.
    title : str, optional
        Title of the document; the drawing's own if not given.
    paper : str
        ``figure`` makes the page as large as the drawing, ``a4`` and ``letter`` fit it on a landscape sheet.
    standard : str, optional
        ``ua-1`` asks for an accessible PDF (PDF/UA-1).

    Returns
    -------
    bytes
        PDF.

    Raises
    ------
    MissingExtra
        If the typesetter isn't installed.
    ValueError
        If `paper` is none of the above.
    """
    svg = _without_embedded_font(_markup(figure))
    across, down = svg_size(svg)
    if paper == "figure":
        scale = _POINTS_PER_INCH / _PIXELS_PER_INCH
        page, margin, image = (f"{across * scale:.3f}pt", f"{down * scale:.3f}pt"), "0pt", f"{across * scale:.3f}pt"
    elif paper in PAPER_SIZES:
        wide, high = PAPER_SIZES[paper]
        fitting = min((wide - 2 * _PAPER_MARGIN) / across, (high - 2 * _PAPER_MARGIN) / down) * across
        page, margin, image = (f"{wide}mm", f"{high}mm"), f"{_PAPER_MARGIN}mm", f"{fitting:.3f}mm"
    else:
        allowed = ", ".join(["figure", *PAPER_SIZES])
        raise ValueError(f'Paper "{paper}" is not known. Allowed: {allowed}.')
    typst = _renderer("typst", what="A PDF", extra="pdf")
    # The texts go in as data, never as markup.
    document = f"""
#set document(title: sys.inputs.title, date: none)
#set page(width: {page[0]}, height: {page[1]}, margin: {margin})
#set text(font: "{FAMILY}", lang: "en")
#align(center + horizon, image(bytes(sys.inputs.svg), format: "svg", width: {image}, alt: sys.inputs.alt))
"""
    data = typst.compile(
        document.encode(),
        format="pdf",
        font_paths=[str(font_files()[0].parent)],
        ignore_system_fonts=True,
        sys_inputs={
            "svg": svg,
            "alt": alt or _own_text(svg, "desc") or _own_text(svg, "title") or "Figure",
            "title": title or _own_text(svg, "title") or "Figure",
        },
        pdf_standards=standard or [],
        timestamp=0,  # the same bytes every time
    )
    return bytes(data)


def svg_size(svg: str) -> tuple[float, float]:
    """Width and height of SVG text. [px]

    Raises
    ------
    ValueError
        If the text isn't SVG or states no size.
    """
    opening = _opening_tag(svg)
    sides = [re.search(rf'\s{side}="([0-9.]+)(?:px)?"', opening) for side in ("width", "height")]
    if sides[0] and sides[1]:
        return float(sides[0].group(1)), float(sides[1].group(1))
    box = re.search(r'\sviewBox="[-0-9.e]+[ ,]+[-0-9.e]+[ ,]+([0-9.]+)[ ,]+([0-9.]+)"', opening)
    if box:
        return float(box.group(1)), float(box.group(2))
    raise ValueError("This SVG states neither width and height in px nor a viewBox, so its size is unknown.")


def _markup(figure: Scene | str) -> str:
    return figure if isinstance(figure, str) else render(figure)


def _opening_tag(svg: str) -> str:
    found = re.search(r"<svg\b[^>]*>", svg)
    if not found:
        raise ValueError(f'Not SVG: the text starts with "{svg[:40]}" and has no <svg> element.')
    return found.group(0)


def _without_embedded_font(svg: str) -> str:
    """Without the embedded faces: the renderers get the files themselves."""
    return re.sub(r"@font-face\{[^}]*\}", "", svg)


def _own_text(svg: str, tag: str) -> str:
    found = re.search(rf"<{tag}\b[^>]*>(.*?)</{tag}>", svg, re.DOTALL)
    return unescape(found.group(1)).strip() if found else ""


def _renderer(module: str, *, what: str, extra: str) -> ModuleType:
    try:
        return import_module(module)
    except ImportError as missing:
        raise MissingExtra(what=what, extra=extra) from missing
