"""Where a ripple formula is good: its error against the exact reservoir over ωRC, with the supply's own place marked.

The exact solution is the handbook's, for ideal diodes and a source without resistance: a supply with resistance in
its winding differs from it once more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from railwright.figures.scene import INK, Box, Circle, Group, Item, Line, Pen, Point, Rectangle, Scene, Tag, Text
from railwright.figures.typeface import text_width

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["ErrorCurve", "error_at", "own_place", "ripple_curves", "validity", "validity_scene"]

#: Ripple formulas of a reservoir in the order in which books introduce them.
FORMULAS = ("ripple-straight-line", "ripple-trade", "ripple-exponential")
#: Stretch of ωRC that is drawn: from a ripple of nearly the whole peak to one of a per cent.
LOW, HIGH = 3.0, 1000.0
_POINTS = 121
_TOP_ERROR = 0.6  # [-] beyond it nobody would use the formula
_ERRORS = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6)
_TICKS = (3.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
#: Places at which the chart is also told in numbers.
TOLD = (5.0, 10.0, 20.0, 50.0, 100.0, 200.0)

_WIDTH, _HEIGHT = 560.0, 330.0  # [px]
_LEFT, _RIGHT, _TOP, _FOOT = 62.0, 24.0, 84.0, 52.0  # [px]
_TEXT, _SMALL = 14.0, 13.0  # [px]
# The Okabe-Ito colours and, for copies and eyes that tell no colours, a dash and a width of its own for each.
_STYLES: tuple[tuple[str, tuple[float, ...], float], ...] = (
    ("#D55E00", (), 2.4),
    ("#0072B2", (9.0, 4.0), 2.4),
    ("#009E73", (2.5, 3.5), 3.2),
    ("#CC79A7", (9.0, 3.0, 2.5, 3.0), 2.4),
)
_GRID = Pen(width=0.8, colour="#d0d0d0", cap="butt")
_AXIS = Pen(width=1.2, cap="butt")


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorCurve:
    """The error of one formula.

    points : tuple of pairs
        ωRC [1], and (formula - exact) / exact there [1].
    """

    formula: str
    label: str
    points: tuple[tuple[float, float], ...]


def ripple_curves(formulas: Sequence[str], labels: Sequence[str], *, pulses: float) -> tuple[ErrorCurve, ...]:
    """The error of ripple formulas over ωRC; `pulses` is 1 for a half-wave, 2 for a full wave.

    Peak, resistance and angular frequency are 1: the relative error depends on nothing but ωRC and the pulses.
    """
    from railwright.handbook import look_up
    from railwright.handbook.exact_reservoir import exact_ripple, start_of_conduction

    step = (HIGH / LOW) ** (1.0 / (_POINTS - 1))
    places = [LOW * step**index for index in range(_POINTS)]
    exact = {
        place: exact_ripple(
            load_peak=1.0, start_angle=start_of_conduction(normalised_time_constant=place, pulses=pulses)
        )
        for place in places
    }
    time = 2.0 * math.pi / pulses
    found = []
    for chosen, label in zip(formulas, labels, strict=True):
        formula = look_up(chosen)
        points = []
        for place in places:
            known = {
                "load_peak": 1.0, "load_resistance": 1.0, "load_current": 1.0, "capacitance": place,
                "discharge_time": time, "recharge_frequency": 1.0 / time,
            }  # fmt: skip
            given = {symbol.name: known[symbol.name] for symbol in formula.quantities}
            points.append((place, formula.value(**given) / exact[place] - 1.0))
        found.append(ErrorCurve(formula=chosen, label=label, points=tuple(points)))
    return tuple(found)


def error_at(curve: ErrorCurve, place: float) -> float | None:
    """The error at a place, between two points of the curve by the straight line; None outside the curve. [1]"""
    for (left, before), (right, after) in zip(curve.points, curve.points[1:], strict=False):
        if left <= place <= right:
            share = (math.log(place) - math.log(left)) / (math.log(right) - math.log(left))
            return before + share * (after - before)
    return None


def own_place(study: Study) -> tuple[float, float] | None:
    """ωRC of a supply's reservoir as by hand, and its pulses; None without a reservoir and a resistive load."""
    from railwright.handbook import by_hand

    for result in by_hand(study.supply, study.model):
        known = result.circumstances
        if result.formula in FORMULAS and "load_resistance" in known and known["pulses"] in (1.0, 2.0):
            turns = 2.0 * math.pi * known["mains_frequency"]
            return turns * known["load_resistance"] * known["capacitance"], known["pulses"]
    return None


def validity(study: Study) -> Scene:
    """The chart of a supply's own ripple formulas.

    Raises
    ------
    ValueError
        If no ripple formula applies: the supply has no reservoir with a resistive load behind one phase.
    """
    from railwright.handbook import look_up

    place = own_place(study)
    if place is None:
        raise ValueError(
            "The chart of the ripple formulas needs a reservoir capacitor with a resistive load, half-wave or "
            "full-wave. This supply has none."
        )
    labels = [look_up(formula).title for formula in FORMULAS]
    return validity_scene(ripple_curves(FORMULAS, labels, pulses=place[1]), own=place[0])


def validity_scene(
    curves: Sequence[ErrorCurve],
    *,
    own: float | None = None,
    title: str = "How far the ripple formulas are off",
    decimal: str = ".",
) -> Scene:
    """Curves of error over ωRC as a small chart.

    Parameters
    ----------
    curves : sequence of ErrorCurve
        At most four: each has a colour and a dash of its own.
    own : float, optional
        The supply's own ωRC. [1]
    title : str
        Heading of the chart.
    decimal : str
        The decimal sign.
    """
    if len(curves) > len(_STYLES):
        raise ValueError(f"{len(curves)} curves are too many to tell apart. Draw at most {len(_STYLES)}.")
    height = _HEIGHT + max(0, len(curves) - 2) * 18.0
    box = Box(left=_LEFT, top=_TOP + max(0, len(curves) - 2) * 18.0, right=_WIDTH - _RIGHT, bottom=height - _FOOT)
    items: list[Item] = [Text(at=(12.0, 24.0), text=title, size=16.0, bold=True)]
    items += _key(curves)
    items += _grid(box)
    drawn: list[Item] = []
    for curve, (colour, dash, width) in zip(curves, _STYLES, strict=False):
        line = tuple(_at(box, place, error) for place, error in curve.points)
        pen = Pen(width=width, colour=colour, dash=dash, cap="butt" if dash else "round")
        drawn.append(Line(points=line, pen=pen, tag=Tag(classes=("curve",), data={"formula": curve.formula})))
    items.append(Group(items=tuple(drawn), clip=box, tag=Tag(classes=("curves",))))
    if own is not None and LOW <= own <= HIGH:
        items += _own(box, curves, own, decimal)
    description = _described(curves, own, decimal)
    return Scene(width=_WIDTH, height=height, items=tuple(items), title=title, description=description)


def _at(box: Box, place: float, error: float) -> Point:
    share = math.log(place / LOW) / math.log(HIGH / LOW)
    # What lies far beyond the frame is cut there: the clip hides it.
    return box.left + share * box.width, box.bottom - min(error, 3.0) / _TOP_ERROR * box.height


def _key(curves: Sequence[ErrorCurve]) -> list[Item]:
    items: list[Item] = []
    for index, (curve, (colour, dash, width)) in enumerate(zip(curves, _STYLES, strict=False)):
        y = 46.0 + index * 18.0
        pen = Pen(width=width, colour=colour, dash=dash, cap="butt" if dash else "round")
        items.append(Line(points=((14.0, y - 4.5), (48.0, y - 4.5)), pen=pen))
        items.append(Text(at=(56.0, y), text=curve.label, size=_SMALL))
    return items


def _grid(box: Box) -> list[Item]:
    items: list[Item] = []
    for error in _ERRORS:
        y = _at(box, LOW, error)[1]
        items.append(Line(points=((box.left, y), (box.right, y)), pen=_GRID))
        label = f"{100 * error:.0f} %"
        items.append(Text(at=(box.left - 8.0, y), text=label, size=_SMALL, anchor="end", baseline="middle"))
    for place in _TICKS:
        x = _at(box, place, 0.0)[0]
        items.append(Line(points=((x, box.top), (x, box.bottom)), pen=_GRID))
        label = f"{place:g}"
        items.append(Text(at=(x, box.bottom + 6.0), text=label, size=_SMALL, anchor="middle", baseline="top"))
    items.append(Line(points=((box.left, box.top), (box.left, box.bottom), (box.right, box.bottom)), pen=_AXIS))
    foot = Text(
        at=(box.right, box.bottom + 40.0), text="ωRC: the larger, the smaller the ripple", size=_SMALL, anchor="end"
    )
    return [*items, foot]


def _own(box: Box, curves: Sequence[ErrorCurve], own: float, decimal: str) -> list[Item]:
    x = _at(box, own, 0.0)[0]
    items: list[Item] = [Line(points=((x, box.top), (x, box.bottom)), pen=Pen(width=1.6, dash=(6.0, 3.0), cap="butt"))]
    for curve in curves:
        error = error_at(curve, own)
        if error is not None and error <= _TOP_ERROR:
            items.append(Circle(centre=_at(box, own, error), radius=4.2, pen=Pen(width=1.2), fill=INK))
    label = f"here: {_number(own, decimal)}"
    width = text_width(label, _TEXT, bold=True)
    anchor_at = x + 8.0 if x + 8.0 + width < box.right else x - 8.0 - width
    back = Rectangle(
        box=Box(left=anchor_at - 3.0, top=box.top + 4.0, right=anchor_at + width + 3.0, bottom=box.top + 24.0),
        pen=None, fill="paper", fill_opacity=0.9,
    )  # fmt: skip
    return [*items, back, Text(at=(anchor_at, box.top + 19.0), text=label, size=_TEXT, bold=True)]


def _number(value: float, decimal: str) -> str:
    return f"{value:.3g}".replace(".", decimal)


def told(curve: ErrorCurve, place: float, decimal: str) -> str:
    """An error in words for a table: "+9.9 %", or a dash outside the curve."""
    error = error_at(curve, place)
    if error is None:
        return "–"
    size = 100.0 * error
    text = f"{size:+.1f}" if abs(size) < 9.95 else f"{size:+.0f}"
    return f"{text} %".replace(".", decimal).replace("-", "−")


def _described(curves: Sequence[ErrorCurve], own: float | None, decimal: str) -> str:
    sentences = ["Error against the exact solution for ideal diodes and a source without resistance, over ωRC."]
    for curve in curves:
        places = ", ".join(f"{told(curve, place, decimal)} at {place:g}" for place in (10.0, 30.0, 100.0))
        sentences.append(f"{curve.label}: {places}.")
    if own is not None:
        here = ", ".join(f"{curve.label} {told(curve, own, decimal)}" for curve in curves)
        sentences.append(f"Here ωRC is {_number(own, decimal)}: {here}.")
    return " ".join(sentences)
