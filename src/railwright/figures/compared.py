"""A second study laid over the waveforms of a first: with and without a capacitor, say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from railwright.figures.drawing import NotDrawn
from railwright.figures.rows import Curve, Row, mains_periods, wave
from railwright.quantities import format_quantity
from railwright.supply import parts

if TYPE_CHECKING:
    from railwright.study import Study
    from railwright.supply.model import Load, Supply

__all__ = ["difference_words", "with_second"]

_LOAD_UNITS = {"resistance": "ohm", "current": "A", "power": "W", "battery": "V"}
_FINE = (3.0, 3.0)


def difference_words(study: Study, other: Study) -> str:
    """What sets the second study apart, as the words of a key: "without C1", "with a load of 330 Ω"."""
    words = [*_filters(study.supply, other.supply), *_loads(study.supply, other.supply)]
    words += [fault.words for fault in other.supply.faults if fault not in study.supply.faults]
    if other.model != study.model:
        words.append(f"at {other.model}")
    return ", ".join(words) or (other.title if other.title != study.title else "the second")


def with_second(rows: Sequence[Row], study: Study, other: Study) -> tuple[Row, ...]:
    """The rows with the second study's curves, dashed finely; a curve that is the same in both stays single.

    Raises
    ------
    NotDrawn
        If the two have different mains frequencies or periods: their curves have no common axis.
    """
    if abs(study.period - other.period) > 1e-9 * study.period or mains_periods(study) != mains_periods(other):
        raise NotDrawn(
            f"The second study has a period of {format_quantity(other.period, 's')}, the first of "
            f"{format_quantity(study.period, 's')}: waveforms are laid over each other over one common period."
        )
    words = difference_words(study, other)
    return tuple(row if row.magnifies else _with(row, other, words) for row in rows)


def _with(row: Row, other: Study, words: str) -> Row:
    added: list[Curve] = []
    for curve in row.curves:
        found = wave(other, curve.reading) if curve.reading else None
        if found is None or _same(curve, *found):
            continue
        added.append(
            replace(
                curve, label="" if added else words, degrees=found[0], values=found[1], dash=_FINE, width=1.9,
                compared=True,
            )
        )  # fmt: skip
    return replace(row, curves=(*row.curves, *added))


def _same(curve: Curve, degrees: np.ndarray, values: np.ndarray) -> bool:
    size = max(float(np.abs(curve.values).max()), float(np.abs(values).max()), 1e-12)
    return float(np.abs(np.interp(curve.degrees, degrees, values) - curve.values).max()) < 2e-3 * size


def _filters(supply: Supply, other: Supply) -> list[str]:
    words = []
    one = {part.designator: part for part in parts(supply)}
    two = {part.designator: part for part in parts(other)}
    for name in dict.fromkeys((*one, *two)):
        here = name in one and one[name].fitted
        there = name in two and two[name].fitted
        if here != there:
            words.append(f"{'with' if there else 'without'} {name}")
        elif here and one[name].value != two[name].value and two[name].value is not None:
            unit = {"capacitor": "F", "resistor": "ohm", "bleeder": "ohm", "choke": "H"}.get(two[name].kind)
            value = two[name].value
            if unit is not None and value is not None:
                words.append(f"with {name} of {format_quantity(value, unit)}")
    return words


def _loads(supply: Supply, other: Supply) -> list[str]:
    if supply.loads == other.loads:
        return []
    load: Load | None = other.loads.single or other.loads.positive
    if load is None or load.kind == "none":
        return ["without load"]
    if load.value is None or load.kind not in _LOAD_UNITS:
        return ["another load"]
    return [f"with a load of {format_quantity(load.value, _LOAD_UNITS[load.kind])}"]
