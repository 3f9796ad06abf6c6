"""The three models on one pair of axes: how much of the answer is owed to how real the parts are taken."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from railwright.figures.axes import Scale
from railwright.figures.chart import SMALL, Chart, Entry, finished, key_line, shown_unit
from railwright.figures.copier import black_and_white
from railwright.figures.drawing import NotDrawn
from railwright.figures.rows import (
    CURRENT,
    DIGITS,
    LOAD,
    designators,
    mains_periods,
    place_name,
    reading_value,
    reservoir,
    wave,
)
from railwright.figures.scene import INK, Box, Copier, Item, Line, Pen, Scene, Text
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["MODELS", "model_ladder", "solved_models"]

MODELS = ("ideal", "textbook", "physical")
_DASHES: Mapping[str, tuple[float, ...]] = {"ideal": (2.5, 4.0), "textbook": (10.0, 5.0), "physical": ()}
_WIDTH = 1000.0  # [px]
_LEFT, _RIGHT = 80.0, 34.0
_PANEL = 220.0


def solved_models(study: Study) -> tuple[dict[str, Study], dict[str, str]]:
    """The supply solved at every model, and for a model without an answer the reason."""
    from railwright.solver.failure import NoProvableAnswer
    from railwright.study import solve

    studies: dict[str, Study] = {}
    reasons: dict[str, str] = {}
    for model in MODELS:
        if model == study.model:
            studies[model] = study
            continue
        try:
            studies[model] = solve(study.supply, model=model)
        except NoProvableAnswer as failure:
            reasons[model] = str(failure)
    return studies, reasons


def model_ladder(
    studies: Mapping[str, Study], reasons: Mapping[str, str] | None = None, *, copier: bool = False
) -> Scene:
    """Load voltage and diode current at each model, with mean, ripple and peak in a table.

    Parameters
    ----------
    studies : Mapping
        By model, in the order in which they are to be told.
    reasons : Mapping, optional
        By model, why there is no answer.
    copier : bool
        Pure black and white.

    Raises
    ------
    NotDrawn
        If there isn't a single study.
    """
    if not studies:
        raise NotDrawn("No model has an answer for this supply, so there is nothing to compare.")
    any_study = next(iter(studies.values()))
    # Behind a regulator the models hardly differ: the reservoir before it tells them apart.
    load = reservoir(any_study)
    diodes = designators(any_study, "D")
    quantities = [(f"{load}.voltage", f"{place_name(load)} voltage", "V", LOAD)]
    if diodes:
        quantities.append((f"{diodes[0]}.current", f"Current of {diodes[0]}", "A", CURRENT))
    items: list[Item] = []
    top = 88.0
    for number, (quantity, heading, unit, colour) in enumerate(quantities):
        box = Box(left=_LEFT, top=top, right=_WIDTH - _RIGHT, bottom=top + _PANEL)
        items += _panel(studies, quantity, heading, unit, colour, box, last=number + 1 == len(quantities))
        top = box.bottom + 50.0
    rows = _rows(studies, load, diodes[0] if diodes else "")
    items += _table(rows, top + 14.0, tuple(studies))
    height = top + 14.0 + 25.0 * (len(rows) + 1) + 12.0
    foot = " ".join(f"At {model} there is no answer: {reason}" for model, reason in (reasons or {}).items())
    words = [
        f"{label}: {', '.join(f'{m} {v}' for m, v in zip(studies, values, strict=True))}." for label, values in rows
    ]
    scene = finished(
        items, width=_WIDTH, height=height, title=any_study.title, kind="Models compared",
        description=" ".join([f"The models {', '.join(studies)} on one pair of axes.", *words, foot]).strip(),
        foot=foot,
    )  # fmt: skip
    return black_and_white(scene) if copier else scene


def _panel(
    studies: Mapping[str, Study], quantity: str, heading: str, unit: str, colour: str, box: Box, *, last: bool
) -> list[Item]:
    waves = {model: found for model, study in studies.items() if (found := wave(study, quantity)) is not None}
    low = min(float(values.min()) for _, values in waves.values())
    # An ideal diode into a capacitor carries one tall spike at switch-on of each pulse: two thirds more than the
    # other models' peak is shown, the rest runs out of the frame.
    peaks = sorted(float(values.max()) for _, values in waves.values())
    high = min(peaks[-1], 1.7 * peaks[0]) if unit == "A" and peaks[0] > 0.0 else peaks[-1]
    if high < peaks[-1]:
        heading += ", higher peaks cut off (see below)"
    factor, shown = shown_unit(high, unit)
    ripple = high - low
    if unit == "V" and ripple < 0.6 * abs(high):
        low, high = low - 0.12 * ripple, high + 0.12 * ripple
        heading += ", axis not from zero"
    else:
        low, high = min(low, 0.0), max(high, 0.0)
        high += 0.08 * (high - low)
    if not high > low:
        low, high = low - 1.0, high + 1.0
    span = max(float(degrees[-1]) for degrees, _ in waves.values())
    across = Scale(low=0.0, high=span, start=box.left, end=box.right)
    chart = Chart(box=box, across=across, up=Scale(low=low * factor, high=high * factor, start=box.bottom, end=box.top))
    periods = mains_periods(next(iter(studies.values())))
    ticks = [(90.0 * k * periods, f"{90 * k * periods}°") for k in range(5)]
    items: list[Item] = [chart.axes(heading=heading, unit=shown, ticks=ticks, labels=last)]
    entries = []
    for model, (degrees, values) in waves.items():
        pen = Pen(width=2.0 if model == "ideal" else 2.6, colour=colour, dash=_DASHES.get(model, ()), cap="butt")
        items.append(chart.curve(zip(degrees.tolist(), (values * factor).tolist(), strict=True), pen, reading=quantity))
        entries.append(Entry(label=model, pen=pen))
    return [*items, *key_line(entries, box.right, box.top - 10.0)]


def _rows(studies: Mapping[str, Study], load: str, diode: str) -> list[tuple[str, list[str]]]:
    name = place_name(load)
    wanted = [(f"{load}.voltage.mean", f"{name} voltage, mean", "V"),
              (f"{load}.voltage.ripple_peak_to_peak", f"{name} ripple, peak to peak", "V")]  # fmt: skip
    if not load.startswith("load"):
        wanted.append(("load.voltage.mean", "Load voltage, mean", "V"))
    if diode:
        wanted += [(f"{diode}.current.peak", f"{diode}, peak current", "A"),
                   (f"{diode}.conduction.angle", f"{diode}, conduction angle", "deg")]  # fmt: skip
    rows = []
    for reading, label, unit in wanted:
        values = []
        for study in studies.values():
            value = reading_value(study, reading)
            values.append("no value" if value is None else format_quantity(value, unit, digits=DIGITS + 1))
        rows.append((label, values))
    return rows


def _table(rows: list[tuple[str, list[str]]], top: float, models: tuple[str, ...]) -> list[Item]:
    ends = [440.0 + 170.0 * k for k in range(len(models))]
    rule = Pen(width=1.0, colour="#9a9a9a", cap="butt")
    copied = Copier(pen=Pen(width=0.8, cap="butt"))
    items: list[Item] = []
    for end, model in zip(ends, models, strict=True):
        items.append(Text(at=(end, top), text=model, size=SMALL, anchor="end", bold=True))
        pen = Pen(width=2.2, colour=INK, dash=_DASHES.get(model, ()), cap="butt")
        items.append(Line(points=((end - 120.0, top - 5.0), (end - 76.0, top - 5.0)), pen=pen))
    items.append(Line(points=((_LEFT, top + 8.0), (ends[-1] + 10.0, top + 8.0)), pen=rule, copier=copied))
    for number, (label, values) in enumerate(rows, start=1):
        y = top + 25.0 * number + 4.0
        items.append(Text(at=(_LEFT, y), text=label, size=SMALL))
        items += [
            Text(at=(end, y), text=value, size=SMALL, anchor="end") for end, value in zip(ends, values, strict=True)
        ]
    return items
