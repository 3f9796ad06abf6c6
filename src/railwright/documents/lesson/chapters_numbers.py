"""The stages of a lesson that reckon: by hand, how good the formula is, real parts, what the parts must bear."""

from __future__ import annotations

from typing import TYPE_CHECKING

from railwright.documents.lesson.markup import (
    amount,
    cell,
    escape,
    live,
    named,
    opened,
    paragraph,
    picture,
    stated,
    table,
)
from railwright.documents.lesson.material import Material
from railwright.documents.stresses import limits, verdict
from railwright.documents.working_html import Maths, mathml, section_html
from railwright.documents.working_numbers import how_far
from railwright.figures import draw
from railwright.readings import unit_of

if TYPE_CHECKING:
    from railwright.documents import Section

# ---------------------------------------------------------------- by hand


def by_hand(material: Material) -> str:
    """By hand: the working as a student should write it, one line of it open, the others on request."""
    working, course = material.working, material.course
    maths = mathml()
    if not any(section.worked for section in working.sections):
        return paragraph("No book has a formula for this circuit; the computed values stand alone.")
    given = "".join(
        f"<tr><td>{maths(step.latex, 'inline')}</td><td class=\"words\">{escape(step.text)}</td></tr>"
        for step in working.given
    )
    pieces = [
        paragraph(course.say(f"To {course.digits} figures, in the letters of the course ({working.course})."), "lead"),
        _in_short(material, maths),
        _keeps_flowing(material, maths),
        opened("Given", f'<div class="scroll"><table><tbody>{given}</tbody></table></div>') if given else "",
    ]
    sections = "".join(
        opened(_summary(section), "".join(section_html(section, maths))) for section in working.sections
    )
    pieces.append(opened("Every step, with its numbers and how far off it is", sections))
    return "".join(pieces)


def _in_short(material: Material, maths: Maths) -> str:
    """The working in a few lines: the formula and its result, one line each way from the source to the mean."""
    wanted = ("voltage.peak", "voltage.ripple_peak_to_peak", "voltage.mean", "current.valley")
    places_shown = ("secondary", f"{material.reservoir}.", f"{material.load}.", "L1.")
    rows = []
    for section in material.working.sections:
        places = [reading for reading in section.readings if reading.partition(".")[2] in wanted]
        if not places or not section.worked:
            continue
        if not any(reading.startswith(places_shown) for reading in places):
            continue
        steps = section.worked[0].steps
        formula = next((step for step in reversed(steps) if step.kind == "formula"), None)
        shown = next(step for step in reversed(steps) if step.kind == "result")
        if formula is not None:
            amounts = shown.latex.partition("=")[2] or shown.latex
            rows.append(
                f'<li><span class="what">{escape(section.heading)}</span> '
                f'<span>{maths(formula.latex, "inline")} {maths(f"= {amounts}", "inline")}</span></li>'
            )
    if not rows:
        return ""
    return f'<ol class="short">{"".join(rows)}</ol>'


#: What decides whether a choke's current has gaps: what each is called, and the handbook's formula.
_GAPS = (
    ("The least current that it needs", "minimum-choke-current"),
    ("The least inductance for what is drawn here", "critical-inductance"),
    ("The largest bleeder that keeps it flowing alone", "bleeder-for-choke"),
)


def _keeps_flowing(material: Material, maths: Maths) -> str:
    """Behind a choke the formulas stand on one condition: that its current never stops. Nothing without a choke."""
    from railwright.documents.working_chain import Chain
    from railwright.documents.working_lines import figures_of, lines
    from railwright.documents.working_numbers import result

    study, course = material.study, material.course
    chain = Chain(study.supply, study.model, course)
    peak = next((r for r in chain.results if r.formula == "choke-current-peak"), None)
    mean = next((abs(r.value) for r in chain.results if r.reading == f"{material.load}.voltage.mean"), None)
    if peak is None or not mean:
        return ""
    drawn = peak.givens["choke_current_mean"]
    known = {
        name: peak.circumstances[name] for name in ("source_peak", "mains_frequency", "inductance")
    } | {"load_resistance": mean / drawn}  # fmt: skip
    rows = []
    found = {}
    for words, formula in _GAPS:
        calculation = chain.with_values(formula, known)
        found[formula] = calculation.value
        steps = tuple(lines(calculation, course))
        shown = next(step for step in steps if step.kind == "result")
        amounts = shown.latex.partition("=")[2]
        rows.append(
            f'<li><span class="what">{escape(course.say(words))}</span> '
            f'<span>{maths(steps[0].latex, "inline")} {maths(f"= {amounts}", "inline")}</span></li>'
        )
    least = found["minimum-choke-current"]
    here, needed = (result(value, "A", figures_of(course)).plain for value in (drawn, least))
    if drawn >= least:
        verdict = f"Here it carries {here} on average and needs {needed}: it never stops."
    else:
        verdict = f"Here it carries {here} on average but needs {needed}: there are gaps, and the output climbs."
    text = (
        "All these lines stand on one condition: the choke's current never stops, so that the load gets the mean of "
        "the rectified sine and not its peak."
    )
    return opened(
        course.say("Does the choke's current keep flowing?"),
        f'{paragraph(course.say(text))}<ol class="short">{"".join(rows)}</ol>{paragraph(course.say(verdict))}',
    )


def _summary(section: Section) -> str:
    shown = f": {section.worked[0].shown}" if section.worked else ""
    return f"{section.number}. {section.heading}{shown}"


# ---------------------------------------------------------------- how good is the formula?


def how_good(material: Material) -> str:
    """How good is the formula: by hand beside computed, and why they differ."""
    course = material.course
    rows: list[tuple[str, ...]] = []
    reasons: list[tuple[float, str, str]] = []
    for reading in material.first_readings:
        section = material.working.section(reading)
        value = material.value(reading)
        if not section.worked or value is None:
            continue
        taught = section.worked[0]
        off, unit = taught.difference, unit_of(reading)
        rows.append(
            (
                named(reading, course),
                cell(escape(amount(taught.value, unit, course) if unit == "1" else taught.shown), "hand"),
                cell(escape(amount(value, unit, course)), "computed"),
                cell(escape("" if off is None else how_far(off, course.decimal))),
            )
        )
        why = " ".join(step.text for step in section.closing if step.kind == "why")
        if why:
            reasons.append((abs(off or 0.0), named(reading, course), why))
    if not rows:
        return paragraph("Nothing here has a value by hand to lay beside the computed one.")
    text = "The formula leaves things out. How much that matters at the sheet's values, and which of them:"
    pieces = [
        paragraph(course.say(text), "lead"),
        table(("reading", "by hand", "computed", "by hand is"), rows, "By hand beside computed"),
    ]
    if reasons:
        # The largest difference is the one that a class asks about.
        (_, name, text), *others = sorted(reasons, key=lambda reason: -reason[0])
        pieces.append(f'<p class="why"><strong>{escape(name)}.</strong> {escape(text)}</p>')
        body = "".join(
            f'<p class="why"><strong>{escape(name)}.</strong> {escape(text)}</p>' for _, name, text in others
        )
        pieces.append(opened("Why the others differ", body) if others else "")
    pieces.append(_validity(material))
    return "".join(pieces)


def _validity(material: Material) -> str:
    from railwright.figures.drawing import NotDrawn

    try:
        scene = draw(material.study, "validity")
    except NotDrawn:
        return ""
    return opened("Where the ripple formulas are good", picture(scene, "validity"))


# ---------------------------------------------------------------- real parts


def real_parts(material: Material) -> str:
    """Real parts: the same circuit with ideal, textbook and physical parts."""
    from railwright.figures.model_ladder import model_ladder

    course = material.course
    studies, reasons = material.models
    at = material.reservoir
    wanted = [
        f"{at}.voltage.mean", f"{at}.voltage.ripple_peak_to_peak", f"{material.load}.voltage.mean", "D1.current.peak",
        "D1.conduction.angle", "C1.current.rms", "supply.efficiency",
    ]  # fmt: skip
    rows = []
    for reading in dict.fromkeys(wanted):
        values = [study.readings.computed(reading) for study in studies.values()]
        if any(value is not None for value in values):
            cells = [cell(escape(amount(value, unit_of(reading), course))) for value in values]
            rows.append((named(reading, course), *cells))
    text = (
        "Ideal diodes drop nothing. In the textbook each drops a fixed voltage, and the winding has the resistance "
        "that the sheet states. Physical parts have the diode's own curve, and the winding's resistance from its "
        "regulation. All three at the sheet's values:"
    )
    said = "".join(paragraph(course.say(f"{model}: {reason}"), "limit") for model, reason in reasons.items())
    scene = model_ladder(studies, reasons)
    return (
        paragraph(course.say(text), "lead")
        + table(("reading", *studies), rows, "Three models beside each other")
        + said
        + opened("The waveforms of the three", picture(scene, "ladder"))
        + opened("The diode's curve", picture(draw(material.study, "diode-curve"), "curve"))
    )


# ---------------------------------------------------------------- what the parts must bear


def stresses(material: Material) -> str:
    """What the parts must bear: the largest values, beside what is stated for the parts."""
    course, supply = material.course, material.study.supply
    margins = supply.margins
    rows = []
    for reading, limit, margin in limits(material.study):
        value = material.value(reading)
        if value is None:
            continue
        unit = unit_of(reading)
        allowed = "not stated" if limit is None else stated(limit, unit, course)
        judged = cell("")
        if name := verdict(value, limit, margin):
            words = {"over": "over the limit", "thin": "thin", "inside": "inside"}[name]
            data = f' data-verdict="{name}"'
            if material.is_live(reading):
                data = f' data-limit="{limit!r}" data-margin="{margin!r}" data-of="{reading}"{data}'
            judged = cell(words, data=data)
        shown = live(reading, value, course, "computed") if material.is_live(reading) else escape(
            amount(value, unit, course))  # fmt: skip
        rows.append((named(reading, course), cell(shown), cell(escape(allowed)), judged))
    if not rows:
        return paragraph("This supply has no part with a stress of its own.")
    text = (
        "Each part must bear what the circuit asks of it, with something to spare. These are the values at nominal "
        f"voltage from the outlet and the load that is set, with {material.study.model} parts; the worst case (high "
        "mains, no load, heat) is larger."
    )
    kept = [stated(share, "%", course) for share in (margins.voltage, margins.current, margins.power)]
    note = f"Thin: less than {kept[0]} of the limit is left."
    if len(set(kept)) > 1:
        note = f"Thin: less than {kept[0]} of a voltage, {kept[1]} of a current, {kept[2]} of a power limit is left."
    return (
        paragraph(course.say(text), "lead")
        + table(("part and stress", "computed", "stated limit", "verdict"), rows, "What the parts must bear")
        + paragraph(course.say(note))
    )
