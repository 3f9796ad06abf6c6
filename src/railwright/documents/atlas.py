"""The validity atlas: how far each formula with a known range is off, in tables and charts from the handbook alone."""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from railwright.figures.validity import HIGH, LOW, ErrorCurve, validity_scene
from railwright.handbook import error_curve, look_up

#: Places of ωRC at which the errors are told in numbers.
PLACES = (3.0, 5.0, 10.0, 20.0, 50.0, 100.0, 300.0, 1000.0)
#: Shares of the drops in the source's peak at which they are told.
SHARES = (0.0, 0.05, 0.1, 0.2, 0.3, 0.5)
_POINTS = 241


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One leaf of the atlas: formulas for one kind of reading, over one number."""

    name: str  # of its picture
    title: str
    words: str
    formulas: tuple[str, ...]
    pulses: float


LEAVES = (
    Sheet(
        name="ripple-full-wave", title="Ripple of a reservoir, full wave", pulses=2.0,
        words="The crude formulas let the capacitor discharge for the whole half period: they are always too high.",
        formulas=("ripple-straight-line", "ripple-trade", "ripple-exponential"),
    ),
    Sheet(
        name="ripple-half-wave", title="Ripple of a reservoir, half wave", pulses=1.0,
        words="Here the capacitor is taken to discharge for the whole period.",
        formulas=("ripple-straight-line", "ripple-trade", "ripple-exponential"),
    ),
    Sheet(
        name="mean-and-valley", title="Mean and valley of the load voltage, full wave", pulses=2.0,
        words="Errors of the ripple come in at half their size in the mean, at full size in the valley.",
        formulas=("load-mean-less-half-ripple", "load-mean-of-time-constant", "load-valley-less-ripple"),
    ),
    Sheet(
        name="ripple-rms", title="RMS of the ripple and ripple factor, full wave", pulses=2.0,
        words="A sawtooth stands for the true curve.",
        formulas=("ripple-rms-sawtooth", "ripple-factor-sawtooth"),
    ),
    Sheet(
        name="diode", title="Conduction angle and diode peak current, full wave", pulses=2.0,
        words="Both take a small ripple and end the charging at the very peak.",
        formulas=("conduction-angle-small-ripple", "full-wave-diode-peak"),
    ),
)  # fmt: skip
UNFILTERED = ("half-wave-mean", "full-wave-mean", "half-wave-rms", "full-wave-rms")


def curves(leaf: Sheet) -> tuple[ErrorCurve, ...]:
    """Size of the relative error of each formula of a leaf, over ωRC."""
    found = []
    for formula in leaf.formulas:
        places, errors = error_curve(formula, _POINTS, pulses=leaf.pulses)
        points = tuple((p, abs(e)) for p, e in zip(places, errors, strict=True) if LOW <= p <= HIGH)
        found.append(ErrorCurve(formula=formula, label=look_up(formula).title, points=points))
    return tuple(found)


def page() -> str:
    """The atlas as Markdown."""
    lines = [
        "# How far the formulas are off",
        "",
        "Each formula by hand against the exact one, both from the handbook: ideal diodes and a source without "
        "resistance. Winding and diode resistance lower ripple and output further; `railwright work SHEET` says what "
        "that makes in a supply of your own. A plus means that the formula reads too high.",
        "",
    ]
    for leaf in LEAVES:
        lines += [f"## {leaf.title}", "", leaf.words, "", f"![{leaf.title}](pictures/validity-{leaf.name}.png)", ""]
        lines += _table("ωRC", PLACES, {f: error_curve(f, _POINTS, pulses=leaf.pulses) for f in leaf.formulas})
    lines += [
        "## Mean and RMS without a filter",
        "",
        "The constants 0.318 and 0.637 of (peak less drops) forget the dead time near zero, in which no diode "
        "conducts. The number that decides is the share of all drops in the path in the source's peak.",
        "",
    ]
    lines += _table("share", SHARES, {f: error_curve(f, 501) for f in UNFILTERED})
    return "\n".join(lines)


def _table(
    head: str, places: Sequence[float], found: Mapping[str, tuple[Sequence[float], Sequence[float]]]
) -> list[str]:
    titles = [f"[{look_up(formula).title}](formulas/{formula}.md)" for formula in found]
    lines = [f"| {head} | " + " | ".join(titles) + " |", "|---:" * (len(titles) + 1) + "|"]
    for place in places:
        cells = [_percent(_at(curve, place)) for curve in found.values()]
        lines.append(f"| {place:g} | " + " | ".join(cells) + " |")
    return [*lines, ""]


def _at(curve: tuple[Sequence[float], Sequence[float]], place: float) -> float:
    """The error at the nearest two points, by the straight line between them."""
    places, errors = curve
    for k in range(len(places) - 1):
        if places[k] <= place <= places[k + 1] * (1.0 + 1e-12):
            share = (place - places[k]) / (places[k + 1] - places[k])
            return errors[k] + share * (errors[k + 1] - errors[k])
    return errors[-1] if place > places[-1] else errors[0]


def _percent(error: float) -> str:
    size = 100.0 * error
    text = f"{size:+.1f} %" if abs(size) < 9.95 else f"{size:+.0f} %"
    return "0 %" if text in ("+0.0 %", "-0.0 %") else text.replace("-", "−")


def write(docs: Path) -> None:
    """Write the page and its pictures below a docs folder."""
    from railwright.figures.export import png_bytes

    (docs / "validity-atlas.md").write_text(page(), encoding="utf-8", newline="\n")
    for leaf in LEAVES:
        scene = validity_scene(curves(leaf), title=f"{leaf.title}: size of the error")
        (docs / "pictures" / f"validity-{leaf.name}.png").write_bytes(png_bytes(scene, width=1120))


if __name__ == "__main__":
    write(Path(sys.argv[1]))
