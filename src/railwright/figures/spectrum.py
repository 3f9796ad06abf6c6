"""The harmonics of a current or voltage as bars, up to the fortieth."""

from __future__ import annotations

from typing import TYPE_CHECKING

from railwright.figures.axes import Scale
from railwright.figures.chart import SMALL, Chart, finished, shown_unit
from railwright.figures.copier import black_and_white
from railwright.figures.drawing import NotDrawn
from railwright.figures.rows import CURRENT, DIGITS, LOAD, mains_name, reading_value, reservoir
from railwright.figures.scene import Box, Group, Item, Rectangle, Scene, Tag, Text
from railwright.quantities import format_quantity

if TYPE_CHECKING:
    from railwright.study import Study

__all__ = ["HIGHEST", "default_places", "spectrum"]

HIGHEST = 40
_WIDTH = 1000.0  # [px]
_LEFT, _RIGHT = 80.0, 34.0
_PANEL = 210.0
_HEADROOM = 1.42  # of the largest bar, for its value
_NAMED = 14  # bars that carry their value
_LEAST_NAMED = 0.01  # of the largest bar

_PLACES = {
    "mains_l1.current": "Mains current of L1", "load.voltage": "Load voltage",
    "load_positive.voltage": "Positive rail voltage", "load_negative.voltage": "Negative rail voltage",
}  # fmt: skip


def default_places(study: Study) -> tuple[str, ...]:
    """Mains current, and the voltage whose ripple matters, under the names that this supply gives them."""
    mains = "mains_l1.current" if study.supply.mains.phases == 3 else "mains.current"
    load = f"{reservoir(study)}.voltage"
    return tuple(place for place in (mains, load) if f"{place}.harmonic_1" in study.readings)


def spectrum(study: Study, places: tuple[str, ...] = (), *, copier: bool = False) -> Scene:
    """Bars of the harmonics' RMS values.

    Parameters
    ----------
    study : Study
    places : tuple of str
        Place and quantity, such as ``mains.current``; mains current and load voltage if not given.
    copier : bool
        Pure black and white.

    Raises
    ------
    NotDrawn
        If the source is direct, or the supply has no such quantity.
    """
    frequency = study.supply.mains.frequency
    if frequency is None:
        raise NotDrawn("A direct source has no harmonics: its waveforms are level lines.")
    chosen = places or default_places(study)
    for place in chosen:
        if f"{place}.harmonic_1" not in study.readings:
            known = [name.removesuffix(".harmonic_1") for name in study.readings if name.endswith(".harmonic_1")]
            raise NotDrawn(f'This supply has no harmonics of "{place}". It has: {", ".join(known)}.')
    items: list[Item] = []
    sentences = []
    top = 84.0
    for place in chosen:
        values = [reading_value(study, f"{place}.harmonic_{n}") or 0.0 for n in range(1, HIGHEST + 1)]
        box = Box(left=_LEFT, top=top, right=_WIDTH - _RIGHT, bottom=top + _PANEL)
        items += _panel(place, _name(study, place), values, box, last=place == chosen[-1], frequency=frequency)
        items += _beside(study, place, box)
        sentences.append(_described(study, place, values))
        top = box.bottom + 76.0
    scene = finished(
        items, width=_WIDTH, height=top - 18.0, title=study.title, kind="Harmonics", description=" ".join(sentences),
        foot=f"RMS values of orders 1 to {HIGHEST} of {format_quantity(frequency, 'Hz')}. Model: {study.model}.",
    )  # fmt: skip
    return black_and_white(scene) if copier else scene


def _panel(place: str, name: str, values: list[float], box: Box, *, last: bool, frequency: float) -> list[Item]:
    unit = "V" if place.endswith(".voltage") else "A"
    factor, shown = shown_unit(max(values), unit)
    largest = max(values) * factor or 1.0
    across = Scale(low=0.0, high=HIGHEST + 1.0, start=box.left, end=box.right)
    chart = Chart(box=box, across=across, up=Scale(low=0.0, high=_HEADROOM * largest, start=box.bottom, end=box.top))
    ticks = [(float(order), str(order)) for order in (1, *range(5, HIGHEST + 1, 5))]
    items: list[Item] = [chart.axes(heading=name, unit=shown, ticks=ticks)]
    half = across.length(0.34)
    colour = LOAD if unit == "V" else CURRENT
    bars: list[Item] = []
    for order, value in enumerate(values, start=1):
        x = across.at(order)
        bar = Box(left=x - half, top=chart.up.at(value * factor), right=x + half, bottom=box.bottom)
        tag = Tag(classes=("bar",), data={"reading": f"{place}.harmonic_{order}"})
        bars.append(Rectangle(box=bar, pen=None, fill=colour, tag=tag))
    items.append(Group(items=tuple(bars), tag=Tag(classes=("bars",))))
    # The values stand upright above their bars: level ones would reach over the next.
    by_size = sorted(range(1, HIGHEST + 1), key=lambda order: -values[order - 1])
    for order in by_size[:_NAMED]:
        if values[order - 1] < _LEAST_NAMED * max(values) or values[order - 1] == 0.0:
            break
        words = format_quantity(values[order - 1], unit, digits=DIGITS)
        at = across.at(order) + 5.0, chart.up.at(values[order - 1] * factor) - 5.0
        items.append(Text(at=at, text=words, size=14.0, turned=-90.0))
    if not max(values) > 0.0:
        items.append(
            Text(at=box.centre, text="no harmonics at this model", size=SMALL, anchor="middle", baseline="middle")
        )
    if last:
        items.append(Text(at=(box.right, box.bottom + 42.0), text="order", size=SMALL, anchor="end", bold=True))
        items.append(
            Text(at=(box.left, box.bottom + 42.0), text=f"order 1 is {format_quantity(frequency, 'Hz')}", size=SMALL)
        )
    return items


def _beside(study: Study, place: str, box: Box) -> list[Item]:
    """What sums the bars up, on the line of the heading."""
    entries = []
    for measure, name in (("rms", "RMS"), ("mean", "mean"), ("ripple_rms", "ripple, RMS"), ("thd", "THD")):
        value = reading_value(study, f"{place}.{measure}")
        is_direct = f"{place}.ripple_rms" in study.readings and place.endswith(".voltage")
        if value is None or (measure in ("mean", "ripple_rms") and not is_direct) or (measure == "thd" and is_direct):
            continue
        unit = "%" if measure == "thd" else "V" if place.endswith(".voltage") else "A"
        entries.append(f"{name} {format_quantity(value, unit, digits=DIGITS)}")
    words = ", ".join(entries)
    return [Text(at=(box.right, box.top - 10.0), text=words, size=SMALL, anchor="end")] if words else []


def _name(study: Study, place: str) -> str:
    if place == "mains.current":
        return f"{mains_name(study)} current"
    known = _PLACES.get(place)
    if known is not None:
        return known
    where, _, what = place.rpartition(".")
    return f"{where.replace('_', ' ')} {what}"


def _described(study: Study, place: str, values: list[float]) -> str:
    unit = "V" if place.endswith(".voltage") else "A"
    largest = max(values)
    if largest == 0.0:
        return f"{_name(study, place)}: no harmonics."
    kept = sorted(range(1, HIGHEST + 1), key=lambda order: -values[order - 1])[:5]
    words = [
        f"order {order}: {format_quantity(values[order - 1], unit, digits=DIGITS)}"
        for order in sorted(kept)
        if values[order - 1] >= _LEAST_NAMED * largest
    ]
    thd = reading_value(study, f"{place}.thd")
    total = f" Total harmonic distortion {format_quantity(thd, '%', digits=DIGITS)}." if thd is not None else ""
    return f"{_name(study, place)}, strongest harmonics (RMS): {', '.join(words)}.{total}"
