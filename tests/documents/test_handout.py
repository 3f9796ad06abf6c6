"""Hand-outs: the teacher's copy has the textbook's numbers, the student's has no answer anywhere; both can be heard.

Expected numbers are worked here from the textbook formulas (peak of a sine, two drops, sawtooth): common practice.
"""

from __future__ import annotations

import io
import math
import re
import sys
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import docx
import pytest
from docx.oxml.ns import qn
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

import railwright
from railwright.course import Course, read_course
from railwright.documents.handout import handout_files
from railwright.documents.lesson.markup import amount
from railwright.figures.export import MissingExtra
from railwright.readings import unit_of
from railwright.study import Study, solve
from railwright.supply import with_fault

SHEET = """
title = "Pier lamp"
note = "Fed by a sealed adapter."
[mains]
voltage = "12 V"
frequency = "50 Hz"
source = "adapter"
[rectifier]
circuit = "bridge"
diode = { drop = "0.7 V" }
[[filter]]
capacitor = "1000 uF"
[load]
resistance = "100 ohm"
"""
COPIES = ("student", "teacher")

PEAK = math.sqrt(2.0) * 12.0
LOAD_PEAK = PEAK - 2 * 0.7
RIPPLE = LOAD_PEAK / 100.0 / (100.0 * 1000e-6)
MEAN = LOAD_PEAK - RIPPLE / 2
REVERSE = PEAK - 0.7
#: The same with the winding of the first question, 15 V.
OTHER_RIPPLE = (math.sqrt(2.0) * 15.0 - 1.4) / 100.0 / (100.0 * 1000e-6)


def three(value: float) -> str:
    """Three significant figures, zeros at the end too."""
    return f"{value:#.3g}"


ANSWERS = tuple(f"{three(value)}V" for value in (PEAK, LOAD_PEAK, RIPPLE, MEAN, REVERSE, OTHER_RIPPLE))


@pytest.fixture(scope="module")
def study() -> Study:
    return solve(railwright.read_text(SHEET))


@pytest.fixture(scope="module")
def files(study: Study) -> dict[str, bytes]:
    return handout_files(study, read_course("uk"))


def squeezed(text: str) -> str:
    return re.sub(r"\s", "", text)


def reader(data: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(data))


def shown(data: bytes) -> str:
    """The text on the pages of a PDF."""
    return squeezed(" ".join(page.extract_text() for page in reader(data).pages))


def heard(data: bytes) -> str:
    """Every alternative text of a PDF."""
    found = []
    pdf = reader(data)
    for number in range(1, pdf.trailer["/Size"]):
        kept = pdf.get_object(number)
        if isinstance(kept, DictionaryObject) and "/Alt" in kept:
            found.append(str(kept["/Alt"]))
    return squeezed(" ".join(found))


def packed_text(data: bytes) -> str:
    """Everything that a DOCX says anywhere: text, equations, alternative texts, properties."""
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        parts = [package.read(name) for name in package.namelist() if name.endswith((".xml", ".rels"))]
    elements = [element for part in parts for element in ElementTree.fromstring(part).iter()]
    told = [element.text or "" for element in elements]
    told += [value for element in elements for value in element.attrib.values()]
    return squeezed(" ".join(told))


# ---------------------------------------------------------------- answers


@pytest.mark.parametrize("form", ["pdf", "docx"])
def test_the_teachers_copy_has_the_textbooks_numbers(files: dict[str, bytes], form: str) -> None:
    text = shown(files["teacher.pdf"]) if form == "pdf" else packed_text(files["teacher.docx"])
    for answer in ANSWERS:
        assert answer in text
    assert "D1,D4" in text and "D2,D3" in text


@pytest.mark.parametrize("form", ["pdf", "docx"])
def test_the_students_copy_has_no_answer_anywhere(files: dict[str, bytes], study: Study, form: str) -> None:
    data = files[f"student.{form}"]
    text = packed_text(data) if form == "docx" else shown(data) + heard(data) + squeezed(str(reader(data).metadata))
    assert "Pierlamp" in text
    course = read_course("uk")
    readings = ("load.voltage.mean", "load.voltage.ripple_peak_to_peak", "load.current.mean", "D1.current.peak",
                "D1.current.mean", "D1.reverse_voltage.peak", "load.voltage.ripple_rms")  # fmt: skip
    computed = [squeezed(amount(study.readings.computed(name), unit_of(name), course)) for name in readings]
    for answer in (*ANSWERS, *computed):
        assert answer not in text, answer
    for telling in ("D1,D4", "D1D4", "D2,D3", "blocks", "toohigh", "Exact:", "byhand:sawtooth"):
        assert telling not in text, telling


def test_pictures_of_the_students_document_differ_from_the_teachers(files: dict[str, bytes]) -> None:
    """The schematic is in both; a picture of a way or of waveforms in the student's copy is an empty one."""
    pictures = {}
    for copy in COPIES:
        with zipfile.ZipFile(io.BytesIO(files[f"{copy}.docx"])) as package:
            pictures[copy] = {package.read(name) for name in package.namelist() if name.startswith("word/media/")}
    assert len(pictures["student"] & pictures["teacher"]) == 1


def test_a_fault_is_told_to_the_teacher_alone() -> None:
    faulty = solve(with_fault(railwright.read_text(SHEET), "D2 open"))
    made = handout_files(faulty, read_course("uk"))
    assert "Fault:D2open." in shown(made["teacher.pdf"])
    for text in (shown(made["student.pdf"]), heard(made["student.pdf"]), packed_text(made["student.docx"])):
        assert "D2open" not in text and "faulty" not in text


# ---------------------------------------------------------------- pages


@pytest.mark.parametrize("copy", COPIES)
def test_pages_are_tagged_in_the_courses_language_and_size(files: dict[str, bytes], copy: str) -> None:
    pdf = reader(files[f"{copy}.pdf"])
    root = pdf.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] is True or root["/MarkInfo"]["/Marked"].value is True
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en-GB"
    # ISO 216: 210 mm by 297 mm.
    assert [float(side) for side in pdf.pages[0].mediabox[2:]] == pytest.approx([595.28, 841.89], abs=0.1)
    assert 2 <= len(pdf.pages) <= 4
    assert pdf.metadata is not None
    assert pdf.metadata.title == "Pier lamp" and pdf.metadata.author == "railwright"
    assert pdf.metadata.creation_date is None


def test_a_us_course_has_letter_paper_and_its_own_words(study: Study) -> None:
    made = handout_files(study, read_course("us"))
    pdf = reader(made["student.pdf"])
    # ANSI size A: 8.5 by 11 inches of 72 points.
    assert [float(side) for side in pdf.pages[0].mediabox[2:]] == pytest.approx([612.0, 792.0], abs=0.1)
    assert pdf.trailer["/Root"]["/Lang"] == "en-US"
    assert "Averagevoltageacrosstheload" in shown(made["student.pdf"])
    section = docx.Document(io.BytesIO(made["student.docx"])).sections[0]
    assert (section.page_width.inches, section.page_height.inches) == pytest.approx((8.5, 11.0), abs=0.01)


@pytest.mark.parametrize("copy", COPIES)
def test_every_picture_and_equation_has_its_text(files: dict[str, bytes], copy: str) -> None:
    """PDF/UA-1 asks for it, and the typesetter refuses to write a page without; here the texts themselves."""
    text = heard(files[f"{copy}.pdf"])
    assert "bridgerectifierfrom12V,50Hz" in text
    assert "V_pk=V_0−n_DV_F" in text
    document = docx.Document(io.BytesIO(files[f"{copy}.docx"]))
    drawings = list(document.element.body.iter("{http://schemas.openxmlformats.org/drawingml/2006/"
                                               "wordprocessingDrawing}docPr"))  # fmt: skip
    assert len(drawings) == 4  # circuit, two half-cycles, waveforms
    assert all(drawing.get("descr") for drawing in drawings)


def test_cautions_and_class_limits_stand_on_both_copies(files: dict[str, bytes]) -> None:
    for copy in COPIES:
        for text in (shown(files[f"{copy}.pdf"]), packed_text(files[f"{copy}.docx"])):
            assert "Localcodesandlicensedpracticecomefirst" in text
            assert "atmost25VRMSbetweenanytwoterminals,60VDCanywhere" in text
            assert "hotenoughtoburn" in text


# ---------------------------------------------------------------- editable document


def styles_of(data: bytes) -> Iterator[tuple[str, str]]:
    for paragraph in docx.Document(io.BytesIO(data)).paragraphs:
        style = paragraph.style
        yield ("" if style is None or style.name is None else style.name), paragraph.text


@pytest.mark.parametrize("copy", COPIES)
def test_the_document_has_real_headings_and_heading_rows(files: dict[str, bytes], copy: str) -> None:
    found = list(styles_of(files[f"{copy}.docx"]))
    assert ("Title", "Pier lamp") in found
    headings = [text for style, text in found if style == "Heading 1"]
    assert headings == [
        "The circuit", "Given", "The way of the current", "Waveforms", "By hand",
        "Measured beside by hand and computed", "Now you",
    ]  # fmt: skip
    tables = docx.Document(io.BytesIO(files[f"{copy}.docx"])).tables
    assert len(tables) == 2
    for table in tables:
        properties = table.rows[0]._tr.trPr
        assert properties is not None and properties.find(qn("w:tblHeader")) is not None


def test_the_documents_equations_are_native(files: dict[str, bytes]) -> None:
    body = docx.Document(io.BytesIO(files["teacher.docx"])).element.body
    equations = list(body.iter("{http://schemas.openxmlformats.org/officeDocument/2006/math}oMath"))
    assert len(equations) > 20
    said = ["".join(element.text or "" for element in equation.iter() if element.tag.endswith("}t"))
            for equation in equations]  # fmt: skip
    assert f"{three(RIPPLE)}\u2009V" in said


def test_the_documents_language_and_properties_are_the_courses(files: dict[str, bytes]) -> None:
    document = docx.Document(io.BytesIO(files["student.docx"]))
    assert document.core_properties.author == "railwright"
    assert document.core_properties.title == "Pier lamp"
    languages = {element.get(qn("w:val")) for element in document.styles.element.iter(qn("w:lang"))}
    assert languages == {"en-GB"}


def test_the_measured_column_is_empty_on_both_copies_and_computed_on_the_students(files: dict[str, bytes]) -> None:
    for copy in COPIES:
        table = docx.Document(io.BytesIO(files[f"{copy}.docx"])).tables[-1]
        heads = [cell.text for cell in table.rows[0].cells]
        empty = {"measured"} | ({"computed"} if copy == "student" else set())
        for row in table.rows[1:]:
            cells = dict(zip(heads, (cell.text for cell in row.cells), strict=True))
            assert all(not cells[head] for head in empty)
            assert bool(cells["computed"]) is (copy == "teacher")


# ---------------------------------------------------------------- courses, circuits, failures


def test_a_decimal_comma_goes_through_text_equations_and_pictures(study: Study, tmp_path: Path) -> None:
    course = replace(read_course("uk"), decimal=",")
    text = shown(handout_files(study, course)["teacher.pdf"])
    with_commas = [answer.replace(".", ",") for answer in ANSWERS]
    assert all(answer in text for answer in with_commas)
    assert "0,7V" in text
    assert not re.search(r"\d\.\d+V", text)


def test_two_runs_give_the_same_bytes(files: dict[str, bytes]) -> None:
    again = handout_files(solve(railwright.read_text(SHEET)), read_course("uk"))
    assert {name: again[name] == files[name] for name in files} == dict.fromkeys(files, True)


@pytest.mark.parametrize("title", ['\\", evil: "#let x', "漢字 <b> & #set $x$", "🔌 = heading\n*bold* _x_"])
def test_a_readers_text_is_never_markup(title: str) -> None:
    supply = replace(railwright.read_text(SHEET), title=title, note=title)
    made = handout_files(solve(supply), read_course("uk"))
    # What the packaged face can't draw becomes a question mark; all else stands as it was typed.
    first = reader(made["student.pdf"]).metadata
    assert first is not None and first.title is not None
    latin = "".join(letter for letter in title if letter.isascii() and letter.isprintable())
    assert squeezed(first.title.replace("?", "")) == squeezed(latin)
    assert any(squeezed(latin) in squeezed(text.replace("?", "")) for _, text in styles_of(made["student.docx"]))


CLAMPER = """
[[element]]
kind = "source"
name = "V1"
from = "a"
to = "0"
voltage_peak = "5 V"
frequency = "1 kHz"
source = "generator"
[[element]]
kind = "capacitor"
name = "C1"
from = "out"
to = "a"
capacitance = "1 uF"
[[element]]
kind = "diode"
name = "D1"
from = "0"
to = "out"
[[element]]
kind = "resistor"
name = "R1"
from = "out"
to = "0"
resistance = "100 kohm"
[network]
common = "0"
output = ["out", "0"]
"""


def test_a_circuit_without_formulas_has_computed_beside_measured() -> None:
    made = handout_files(solve(railwright.read_text(CLAMPER)), read_course("uk"))
    headings = [text for style, text in styles_of(made["student.docx"]) if style == "Heading 1"]
    assert "By hand" not in headings and "Measured beside computed" in headings


def test_progress_is_reported_and_its_exception_ends_the_work(study: Study) -> None:
    told: list[float] = []

    def report(fraction: float, what: str) -> None:
        assert what
        told.append(fraction)

    handout_files(study, read_course("uk"), report=report)
    assert told == sorted(told) and told[0] == 0.0 and told[-1] == 1.0

    class Stopped(Exception):
        pass

    def stop(fraction: float, what: str) -> None:
        if fraction > 0.3:
            raise Stopped

    with pytest.raises(Stopped):
        handout_files(study, read_course("uk"), report=stop)


@pytest.mark.parametrize(("module", "extra"), [("typst", "pdf"), ("docx", "docx"), ("resvg_py", "draw")])
def test_a_part_that_is_not_installed_is_named(
    study: Study, monkeypatch: pytest.MonkeyPatch, module: str, extra: str
) -> None:
    monkeypatch.setitem(sys.modules, module, None)
    with pytest.raises(MissingExtra, match=rf"railwright\[{extra}\]"):
        handout_files(study, read_course("uk"))


def test_electron_flow_is_asked_for_where_the_course_teaches_it(study: Study) -> None:
    course: Course = replace(read_course("us"), current_direction="electron")
    assert "Markthewayoftheelectronflow" in shown(handout_files(study, course)["student.pdf"])
