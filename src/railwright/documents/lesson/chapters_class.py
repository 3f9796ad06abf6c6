"""The stages of a lesson that leave the page: on the bench, and questions for the class."""

from __future__ import annotations

from railwright.documents.lesson.markup import amount, cell, escape, live, opened, paragraph, picture, table
from railwright.documents.lesson.material import Material
from railwright.documents.lesson.questions import questions
from railwright.documents.working_wording import CAUTION_HEADING
from railwright.figures import draw


def bench(material: Material) -> str:
    """On the bench: what meters and the screen will show, and the cautions that come first."""
    course, at = material.course, material.load
    cautions = "".join(f"<li>{escape(text)}</li>" for text in material.working.cautions)
    rows = []
    for reading, instrument, what in (
        (f"{at}.voltage.mean", "meter, DC range", "the mean"),
        (f"{at}.voltage.ripple_rms", "true-RMS meter, AC range", "the RMS of the ripple, the mean left out"),
        (f"{at}.voltage.ripple_peak_to_peak", "oscilloscope, AC coupled", "the ripple, peak to peak"),
        (f"{at}.voltage.peak", "oscilloscope, DC coupled", "the top of the trace above 0 V"),
        (f"{at}.current.mean", "ammeter, DC range", "the mean load current"),
    ):
        value = material.value(reading)
        if value is not None:
            shown = live(reading, value, course, "computed") if material.is_live(reading) else escape(
                amount(value, "A" if reading.endswith("current.mean") else "V", course))  # fmt: skip
            rows.append((course.say(instrument), cell(escape(course.say(what)), "words"), cell(shown)))
    scene = draw(material.study, "scope-screen")
    steps = (
        "The instructor looks at the circuit before power and again after the readings.",
        "Power off before any change; then let the capacitor discharge through a resistor, and measure that it has.",
        "Two earthed clips on different points short what lies between them: view input and output in turn.",
        "Smoke or smell: off at once, and report.",
    )
    told = "".join(f"<li>{escape(course.say(step))}</li>" for step in steps)
    return (
        f'<div class="caution"><h3>{CAUTION_HEADING}</h3><ul>{cautions}</ul></div>'
        + table(("instrument", "shows", "computed"), rows, "What the instruments show")
        + f"<ol>{told}</ol>"
        + opened("What the oscilloscope shows", picture(scene, "screen"))
    )


def now_you(material: Material) -> str:
    """Now you: questions; their answers only in the teacher's edition."""
    course = material.course
    found = questions(material.study, course, material.reservoir)
    own = (
        "Set the load to twice its resistance, or half its current, with the slider. First write down what ripple and "
        "diode peak you expect, then look."
    )
    items = []
    for question in found:
        answer = '<div class="write on-paper"></div>'
        if material.edition == "teacher":
            answer = f'<div class="answer">{"".join(paragraph(text) for text in question.answer)}</div>'
        items.append(f"<li>{paragraph(question.text)}{answer}</li>")
    if material.axis("load") is not None:
        items.append(f"<li>{paragraph(course.say(own))}</li>")
    if not items:
        return paragraph("Draw the way of the current for each half-cycle, then check it with the time slider.")
    return f'<ol class="questions">{"".join(items)}</ol>'
