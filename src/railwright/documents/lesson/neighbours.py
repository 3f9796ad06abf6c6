"""The supply's neighbours, solved in advance: readings and waveforms at every pair of capacitance and load."""

from __future__ import annotations

import base64
import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from railwright.documents.lesson.axes import Axis, at, axes_of
from railwright.documents.lesson.interpolation import between, held_between, trusted
from railwright.readings import unit_of
from railwright.solver import NoProvableAnswer
from railwright.study import solve

if TYPE_CHECKING:
    from railwright.study import Study

Array = NDArray[np.float64]

#: Samples over a mains period of a neighbour's waveforms, and of the sheet's own: every 2 and every half degree.
COARSE, FINE = 181, 721
#: What a reading between neighbours may be off by, as a share; in degrees for an angle, in volts for a headroom.
MEAN_TOLERANCE, RIPPLE_TOLERANCE, ANGLE_TOLERANCE, HEADROOM_TOLERANCE = 0.005, 0.02, 0.5, 0.02
#: Values this far below the largest of their table are rounding, and zero.
_NOTHING = 1e-9

_PLACES = ("load", "load_positive", "load_negative", "load_across")
_AT_PLACES = (
    "voltage.mean", "voltage.ripple_peak_to_peak", "voltage.ripple_rms", "voltage.valley", "voltage.peak",
    "current.mean", "power.mean",
)  # fmt: skip
_ELSEWHERE = (
    "C1.voltage.mean", "C1.voltage.ripple_peak_to_peak", "C1.voltage.peak", "C1.voltage.valley", "C1.current.rms",
    "D1.current.peak", "D1.current.mean", "D1.current.rms", "D1.reverse_voltage.peak", "D1.power.mean",
    "D1.conduction.angle", "D1.conduction.start", "D1.conduction.end", "rectifier.conduction.angle",
    "secondary.current.rms", "secondary_a.current.rms", "secondary.power.apparent", "L1.current.valley",
    "L1.current.mean", "U1.power.mean", "U1.headroom.minimum", "Z1.current.minimum", "Z1.power.mean",
    "mains.power.real", "supply.efficiency",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampled:
    """The waveforms of one supply on an even grid of angles.

    values : array (waves, samples)
        [V] or [A]
    """

    values: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Neighbourhood:
    """A study and its neighbours: one table a reading, one set of waveforms a neighbour."""

    study: Study
    axes: tuple[Axis, ...]
    shape: tuple[int, int]
    tables: Mapping[str, Array]  # reading -> array (capacitances, loads) in the reading's unit
    waves: tuple[str, ...]  # names, such as load.voltage
    studies: tuple[Study | None, ...]  # row by row; None where there is no answer
    samples: tuple[Sampled | None, ...]
    fine: Sampled

    @property
    def middle(self) -> int:
        """Position of the sheet's own values in the list of neighbours."""
        return (self.shape[0] // 2) * self.shape[1] + self.shape[1] // 2


def neighbourhood(study: Study) -> Neighbourhood:
    """Solve a study's neighbours; those without an answer are left out, the study itself is taken as it is."""
    axes = axes_of(study.supply)
    capacitance = next((axis for axis in axes if axis.part == "capacitor"), None)
    load = next((axis for axis in axes if axis.part == "load"), None)
    shape = (len(capacitance.values) if capacitance else 1, len(load.values) if load else 1)
    middle = (shape[0] // 2, shape[1] // 2)
    studies: list[Study | None] = []
    for i, j in itertools.product(range(shape[0]), range(shape[1])):
        if (i, j) == middle:
            studies.append(study)
            continue
        supply = study.supply
        if capacitance is not None:
            supply = at(supply, capacitance, capacitance.values[i])
        if load is not None:
            supply = at(supply, load, load.values[j])
        try:
            studies.append(solve(supply, study.model, proved=False, tuning=study.tuning))
        except NoProvableAnswer:
            studies.append(None)
    waves = tuple(waves_of(study))
    return Neighbourhood(
        study=study,
        axes=axes,
        shape=shape,
        tables={reading: _table(reading, studies, shape) for reading in readings_of(study)},
        waves=waves,
        studies=tuple(studies),
        samples=tuple(None if one is None else sampled(one, waves, COARSE) for one in studies),
        fine=sampled(study, waves, FINE),
    )


def readings_of(study: Study) -> tuple[str, ...]:
    """The readings that a lesson keeps live, as far as this supply has them."""
    at_places = (f"{place}.{measure}" for place in _PLACES for measure in _AT_PLACES)
    return tuple(name for name in (*at_places, *_ELSEWHERE) if study.readings.computed(name) is not None)


def _table(reading: str, studies: list[Study | None], shape: tuple[int, int]) -> Array:
    values = [None if study is None else study.readings.computed(reading) for study in studies]
    table = np.array([np.nan if value is None else value for value in values], dtype=np.float64).reshape(shape)
    largest = float(np.nanmax(np.abs(table), initial=0.0))
    table[np.abs(table) < _NOTHING * largest] = 0.0
    return table


def waves_of(study: Study) -> Iterator[str]:
    """Waveforms that a page draws or that its captions tell: sources, reservoir, loads, every part."""
    for name in study.quantities:
        place, _, kind = name.rpartition(".")
        is_source = place.startswith("secondary")
        if kind == "voltage" and (is_source or place.startswith("load") or place[0] in "DC"):
            yield name
        elif kind == "current" and not place.startswith(("mains", "primary", "rectifier", "U1.output", "U2.output")):
            yield name


def sampled(study: Study, waves: tuple[str, ...], samples: int) -> Sampled:
    """Waveforms on an even grid over the common period."""
    count = (samples - 1) * study.network.mains_periods + 1
    times = np.linspace(0.0, study.period, count)
    curves = study.waveforms(waves, 720)
    return Sampled(values=np.array([np.interp(times, curves[name].times, curves[name].values) for name in waves]))


# ---------------------------------------------------------------- as data for the page


def page_data(hood: Neighbourhood) -> dict[str, Any]:
    """What the page looks up: plain data, waveforms as 16-bit numbers."""
    return {
        "axes": [
            {
                "key": axis.key, "part": axis.part, "unit": axis.unit, "label": axis.label, "middle": axis.middle,
                "values": [_short(value, 9) for value in axis.values], "designators": list(axis.designators),
            }
            for axis in hood.axes
        ],
        "shape": list(hood.shape),
        "middle": hood.middle,
        "period": hood.study.period,
        "mainsPeriods": hood.study.network.mains_periods,
        "readings": {reading: _reading(reading, table) for reading, table in hood.tables.items()},
        "waves": list(hood.waves),
        "coarse": [None if one is None else packed(one) for one in hood.samples],
        "fine": packed(hood.fine),
    }  # fmt: skip


def is_logarithmic(reading: str, table: Array) -> bool:
    """Whether a reading is drawn through its logarithms: laws of powers are straight there."""
    return unit_of(reading) != "deg" and bool(np.all(np.isfinite(table)) and np.all(table > 0.0))


def tolerance(reading: str) -> tuple[float | None, float]:
    """What a reading between neighbours may be off by: as a share, or (None and) in its unit."""
    if unit_of(reading) == "deg":
        return None, ANGLE_TOLERANCE
    if reading.endswith("headroom.minimum"):
        return None, HEADROOM_TOLERANCE
    exact = reading.endswith((".mean", ".voltage.peak", ".voltage.valley", "reverse_voltage.peak", "efficiency"))
    return (MEAN_TOLERANCE if exact else RIPPLE_TOLERANCE), 0.0


def drawn(reading: str, table: Array, row: float, column: float) -> float:
    """A reading between its neighbours, as the page draws it; held between them where no curve can be trusted."""
    cells = trusted_cells(reading, table)
    is_sure = cells[min(int(row), cells.shape[0] - 1), min(int(column), cells.shape[1] - 1)]
    return (between if is_sure else held_between)(
        table, row, column, logarithmic=is_logarithmic(reading, table)
    )


def trusted_cells(reading: str, table: Array) -> NDArray[np.bool_]:
    """The cells between whose corners a reading that is drawn can be relied on."""
    relative, absolute = tolerance(reading)
    return trusted(table, logarithmic=is_logarithmic(reading, table), relative=relative, absolute=absolute)


def _reading(reading: str, table: Array) -> dict[str, Any]:
    return {
        "unit": unit_of(reading),
        "log": is_logarithmic(reading, table),
        "values": [None if np.isnan(value) else _short(float(value), 7) for value in table.ravel()],
        "trusted": "".join("1" if cell else "0" for cell in trusted_cells(reading, table).ravel()),
    }


def _short(value: float, digits: int) -> float:
    return float(f"{value:.{digits}g}")


def packed(samples: Sampled) -> dict[str, Any]:
    """Waveforms as 16-bit numbers between the ends of each."""
    low, high = samples.values.min(axis=1), samples.values.max(axis=1)
    # Rounded ends first, so that both sides of the page reckon with the same numbers.
    low = np.array([_short(float(value), 6) for value in low])
    span = np.array([_short(float(value), 6) or 1.0 for value in high - low])
    numbers = np.rint((samples.values - low[:, None]) / span[:, None] * 65534.0 - 32767.0)
    words = np.clip(numbers, -32768, 32767).astype("<i2")
    return {
        "low": low.tolist(), "span": span.tolist(), "count": samples.values.shape[1],
        "words": base64.b64encode(words.tobytes()).decode("ascii"),
    }  # fmt: skip
