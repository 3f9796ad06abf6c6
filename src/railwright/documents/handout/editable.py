"""A hand-out as an editable DOCX: headings, tables and equations native, figures as pictures, the same bytes always.

Equations are Office maths (ECMA-376), so that a teacher can change them; every picture has its text.
"""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Iterable
from importlib import import_module
from types import ModuleType
from typing import Any, Final

from railwright.documents.handout.blocks import (
    Asked,
    Block,
    Caution,
    Given,
    Handout,
    Heading,
    Line,
    Paragraph,
    Picture,
    Question,
    Ruled,
    Table,
    WorkedPart,
)
from railwright.documents.handout.maths import Maths, in_omml
from railwright.documents.handout.pictures import in_svg
from railwright.documents.plain_png import without_alpha
from railwright.figures.export import MissingExtra, png_bytes
from railwright.figures.scene import Scene

_MARGIN: Final = 16.0  # [mm]
_PAPERS: Final = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # [mm] ISO 216; ANSI/ASME Y14.1 size A
_FACE: Final = "Arial"  # common practice, no source: every word processor has it or its metric twin
_PIXEL: Final = 0.6 * 25.4 / 72.0  # [mm] largest size of a figure's pixel, as on the typeset page
_SMALL_PIXEL: Final = 0.5 * 25.4 / 72.0  # [mm]
_SHARPNESS: Final = 1400  # [px] across a picture as wide as the page
#: Beginning of the format's own calendar (ZIP), and the date that the file says: none of the maker's business.
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)
_DATE: Final = datetime.datetime(2026, 1, 1, tzinfo=datetime.UTC)
_GIVEN_HEADS: Final = ("letter and value", "what it is")


def writer() -> ModuleType:
    """What writes the documents. Raises MissingExtra if it isn't installed."""
    try:
        return import_module("docx")
    except ImportError as missing:
        raise MissingExtra(what="An editable hand-out (DOCX)", extra="docx") from missing


def in_docx(handout: Handout) -> bytes:
    """The hand-out as DOCX.

    Raises
    ------
    MissingExtra
        If what writes documents or what turns figures into pictures isn't installed.
    """
    return _Writing(handout).bytes()


class _Writing:
    def __init__(self, handout: Handout) -> None:
        self.handout = handout
        self.docx = writer()
        self.document = self.docx.Document()
        paper = _PAPERS[handout.paper]
        self.width = paper[0] - 2 * _MARGIN  # [mm] of the text
        self._set_up(paper)
        self.pictures = 0

    # -- around the text ---------------------------------------------------------

    def _set_up(self, paper: tuple[float, float]) -> None:
        from docx.shared import Mm, Pt, RGBColor

        section = self.document.sections[0]
        section.page_width, section.page_height = Mm(paper[0]), Mm(paper[1])
        section.left_margin = section.right_margin = Mm(_MARGIN)
        section.top_margin, section.bottom_margin = Mm(14.0), Mm(16.0)
        section.footer_distance = Mm(8.0)
        styles = self.document.styles
        for name, size, before, after in (
            ("Normal", 10.0, 0.0, 4.0), ("Title", 18.0, 0.0, 2.0), ("Subtitle", 9.5, 0.0, 6.0),
            ("Heading 1", 13.0, 12.0, 5.0), ("Heading 2", 10.0, 7.0, 3.0), ("List Bullet", 9.5, 0.0, 2.0),
            ("Footer", 8.0, 0.0, 0.0),
        ):  # fmt: skip
            style = styles[name]
            style.font.name, style.font.size = _FACE, Pt(size)
            style.font.color.rgb = RGBColor(0, 0, 0)
            style.font.italic = False
            style.paragraph_format.space_before, style.paragraph_format.space_after = Pt(before), Pt(after)
            self._plain_face(style.element.get_or_add_rPr())
        self._language(styles)
        footer = section.footer.paragraphs[0]
        footer.text = f"{self.handout.foot}  "
        self._page_number(footer)
        properties = self.document.core_properties
        properties.title, properties.author = self.handout.title, "railwright"
        properties.subject, properties.language = self.handout.badge, self.handout.language
        properties.comments = properties.keywords = properties.last_modified_by = ""
        properties.created = properties.modified = _DATE
        properties.revision = 1

    def _page_number(self, paragraph: Any) -> None:
        from docx.oxml import OxmlElement
        from docx.oxml.ns import qn

        field = OxmlElement("w:fldSimple")
        field.set(qn("w:instr"), "PAGE")
        paragraph._p.append(field)  # noqa: SLF001 - the library has no other way to a page number

    def _plain_face(self, properties: Any) -> None:
        """The style's face alone: the template's theme would win over a name."""
        from docx.oxml.ns import qn

        fonts = properties.find(qn("w:rFonts"))
        for key in list(fonts.attrib):
            if "Theme" in key:
                del fonts.attrib[key]
        for key in ("w:ascii", "w:hAnsi", "w:cs", "w:eastAsia"):
            fonts.set(qn(key), _FACE)

    def _language(self, styles: Any) -> None:
        from docx.oxml.ns import qn

        for language in styles.element.iter(qn("w:lang")):
            language.set(qn("w:val"), self.handout.language)

    # -- the text ---------------------------------------------------------

    def bytes(self) -> bytes:
        handout = self.handout
        self.document.add_paragraph(handout.title, style="Title")
        self.document.add_paragraph(f"{handout.course}. {handout.badge}.", style="Subtitle")
        if handout.fields:
            paragraph = self.document.add_paragraph()
            share = self.width / len(handout.fields)
            for place, words in enumerate(handout.fields, start=1):
                self._blank(paragraph, f"{words} ", share * place - 4.0)
                if place < len(handout.fields):
                    self._gap(paragraph, share * place)
        for block in handout.blocks:
            self._block(block)
        packed = io.BytesIO()
        self.document.save(packed)
        return _timeless(packed.getvalue())

    def _block(self, block: Block) -> None:
        match block:
            case Heading():
                self.document.add_heading(block.text, level=1)
            case Paragraph():
                is_small, is_kept = block.kind in ("aside", "basis"), block.kind in ("task", "basis")
                self._paragraph(block.text, small=is_small, keep=is_kept)
            case Picture():
                self._picture(block.scene, block.highest, _PIXEL)
            case Asked():
                self._asked(block)
            case Given():
                self._given(block)
            case WorkedPart():
                self._part(block)
            case Table():
                self._readings(block)
            case Ruled():
                self._ruled(block.count)
            case Question():
                self._question(block)
            case Caution():
                self._caution(block)

    def _paragraph(self, text: str, *, small: bool = False, keep: bool = False) -> Any:
        from docx.shared import Pt

        paragraph = self.document.add_paragraph()
        run = paragraph.add_run(text)
        if small:
            run.font.size = Pt(9.0)
        paragraph.paragraph_format.keep_with_next = keep
        return paragraph

    def _picture(self, scene: Scene, highest: float, pixel: float) -> None:
        from docx.enum.text import WD_ALIGN_PARAGRAPH
        from docx.shared import Mm

        self.pictures += 1
        width = min(scene.width * pixel, self.width, highest * scene.width / scene.height)
        sharp = max(16, round(_SHARPNESS * width / self.width))
        image = without_alpha(png_bytes(in_svg(scene, f"figure{self.pictures}"), width=sharp))
        paragraph = self.document.add_paragraph()
        paragraph.alignment = WD_ALIGN_PARAGRAPH.CENTER
        shape = paragraph.add_run().add_picture(io.BytesIO(image), width=Mm(width))
        described = shape._inline.docPr  # noqa: SLF001 - the library has no other way to the alternative text
        described.set("name", f"Figure {self.pictures}")
        described.set("title", scene.title)
        described.set("descr", scene.description or scene.title)

    def _asked(self, block: Asked) -> None:
        self.document.add_heading(block.title, level=2)
        if block.scene is not None:
            self._picture(block.scene, 70.0, _SMALL_PIXEL)
            self.document.paragraphs[-1].paragraph_format.keep_with_next = True
        for one in block.blanks:
            paragraph = self.document.add_paragraph()
            paragraph.add_run(f"{one.label}: ").bold = True
            if one.answer is None:
                self._blank(paragraph, "", self.width)
            else:
                paragraph.add_run(one.answer)

    def _given(self, block: Given) -> None:
        table = self._table(_GIVEN_HEADS, (0.3, 0.7))
        for maths, words, is_known in block.rows:
            cells = table.add_row().cells
            self._maths(cells[0].paragraphs[0], maths)
            if not is_known:
                cells[0].paragraphs[0].add_run(" ")
                self._blank(cells[0].paragraphs[0], "", 0.3 * self.width - 8.0)
            cells[1].paragraphs[0].add_run(words)
        self._widths(table, (0.3, 0.7))

    def _part(self, block: WorkedPart) -> None:
        self.document.add_heading(f"{block.number}. {block.heading}", level=2)
        if block.source is not None:
            paragraph = self.document.add_paragraph()
            self._maths(paragraph, block.source)
            paragraph.paragraph_format.keep_with_next = True
        for line in block.lines:
            self._line(line)
        for remark in block.remarks:
            self._indented(self._paragraph(remark, small=True))

    def _line(self, line: Line) -> None:
        if line.lead:
            lead = self._indented(self._paragraph(line.lead, small=True))
            lead.paragraph_format.keep_with_next = True
        paragraph = self._indented(self.document.add_paragraph())
        self._maths(paragraph, line.formula)
        if line.substitution is None:
            self._blank(paragraph, " = ", 0.72 * self.width)
        elif line.substitution != "":
            paragraph.add_run(" = ")
            self._maths(paragraph, line.substitution)
        if line.result is None:
            self._blank(paragraph, " = ", self.width)
        else:
            paragraph.add_run(" = ")
            self._maths(paragraph, line.result)
        for explained, value in line.where:
            where = self._indented(self.document.add_paragraph("where "))
            self._maths(where, explained)
            if value is None:
                self._blank(where, " = ", 0.6 * self.width)
            elif value != "":
                where.add_run(" = ")
                self._maths(where, value)

    def _readings(self, block: Table) -> None:
        table = self._table(block.heading, block.widths)
        for row in block.rows:
            cells = table.add_row().cells
            for cell, text in zip(cells, row, strict=True):
                cell.paragraphs[0].add_run(text or "")
        self._widths(table, block.widths)
        self._described(table, block.caption)
        self.document.add_paragraph()

    def _question(self, block: Question) -> None:
        self._paragraph(f"{block.number}. {block.text}", keep=True)
        if block.answer is None:
            self._ruled(block.room)
            return
        for answer in block.answer:
            self._indented(self._paragraph(answer, small=True))

    def _caution(self, block: Caution) -> None:
        self.document.add_heading(block.title, level=2)
        for item in block.items:
            self.document.add_paragraph(item, style="List Bullet")

    def _ruled(self, count: int) -> None:
        for _ in range(count):
            self._blank(self.document.add_paragraph(), "", self.width)

    # -- small pieces ---------------------------------------------------------

    def _maths(self, paragraph: Any, maths: Maths) -> None:
        from docx.oxml import parse_xml

        paragraph._p.append(parse_xml(in_omml(maths)))  # noqa: SLF001 - the library knows no equations

    def _blank(self, paragraph: Any, words: str, end: float) -> None:
        """Words, then a line to write on as far as `end` [mm] from the text's left edge."""
        from docx.enum.text import WD_TAB_ALIGNMENT, WD_TAB_LEADER
        from docx.shared import Mm, Pt

        paragraph.paragraph_format.tab_stops.add_tab_stop(Mm(end), WD_TAB_ALIGNMENT.LEFT, WD_TAB_LEADER.LINES)
        paragraph.paragraph_format.space_before = Pt(7.0)
        paragraph.add_run(f"{words}\t")

    def _gap(self, paragraph: Any, end: float) -> None:
        from docx.shared import Mm

        paragraph.paragraph_format.tab_stops.add_tab_stop(Mm(end))
        paragraph.add_run("\t")

    def _indented(self, paragraph: Any) -> Any:
        from docx.shared import Mm

        paragraph.paragraph_format.left_indent = Mm(5.0)
        return paragraph

    def _table(self, heading: Iterable[str], widths: Iterable[float]) -> Any:
        """A table with its heading row, which is repeated on every page."""
        from docx.oxml import OxmlElement

        heads = tuple(heading)
        table = self.document.add_table(rows=1, cols=len(heads), style="Table Grid")
        for cell, words in zip(table.rows[0].cells, heads, strict=True):
            cell.paragraphs[0].add_run(words).bold = True
        row = table.rows[0]._tr.get_or_add_trPr()  # noqa: SLF001 - the library has no other way to a heading row
        row.append(OxmlElement("w:tblHeader"))
        return table

    def _widths(self, table: Any, widths: Iterable[float]) -> None:
        from docx.oxml import OxmlElement
        from docx.shared import Mm, Pt

        table.autofit = False
        for column, share in zip(table.columns, widths, strict=True):
            for cell in column.cells:
                cell.width = Mm(share * self.width)
        for row in table.rows:
            # A row stays whole on its page.
            row._tr.get_or_add_trPr().append(OxmlElement("w:cantSplit"))  # noqa: SLF001
            for cell in row.cells:
                for paragraph in cell.paragraphs:
                    paragraph.paragraph_format.space_before = paragraph.paragraph_format.space_after = Pt(2.0)
                    for run in paragraph.runs:
                        run.font.size = Pt(9.0)

    def _described(self, table: Any, words: str) -> None:
        from docx.oxml import OxmlElement
        from docx.oxml.ns import qn

        caption = OxmlElement("w:tblCaption")
        caption.set(qn("w:val"), words)
        table._tbl.tblPr.append(caption)  # noqa: SLF001 - the library has no other way to a table's name


def _timeless(packed: bytes) -> bytes:
    """The same package without the time of its making."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(packed)) as made, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as kept:
        for name in made.namelist():
            entry = zipfile.ZipInfo(name, date_time=_EPOCH)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            kept.writestr(entry, made.read(name))
    return out.getvalue()
