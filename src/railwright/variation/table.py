"""Readings over one sheet key: a load characteristic, ripple against capacitance."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from railwright.variation.keys import VariedKey

if TYPE_CHECKING:
    from railwright.supply import Supply


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One row a value of the key; a reading that has no value there is None, and `reasons` says why."""

    over: str
    unit: str  # of the key
    model: str
    values: tuple[float, ...]  # [unit]
    readings: Mapping[str, tuple[float | None, ...]]  # [reading_units]
    reading_units: Mapping[str, str]
    reasons: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """Key, values and readings as plain data."""
        return {
            "over": self.over,
            "values": list(self.values),
            "readings": {name: list(column) for name, column in self.readings.items()},
        }

    def to_csv(self) -> str:
        """A header with units, then one line a value; an empty field where there is no reading."""
        names = [f"{self.over} ({self.unit})", *(f"{name} ({self.reading_units[name]})" for name in self.readings)]
        lines = [",".join(names)]
        for row, value in enumerate(self.values):
            cells = [column[row] for column in self.readings.values()]
            lines.append(",".join([repr(value), *("" if cell is None else repr(cell) for cell in cells)]))
        return "\n".join(lines) + "\n"


def evenly_spaced(start: float, end: float, count: int) -> tuple[float, ...]:
    """Values from start to end, both included, at equal distances; in the unit of start and end.

    Raises
    ------
    ValueError
        If fewer than two are asked for.
    """
    if count < 2:
        raise ValueError(f"{count} points were asked for. A table has at least 2: both ends of its span.")
    # Weighted ends rather than start + k * step: both ends come out exact.
    shares = [k / (count - 1) for k in range(count)]
    return tuple(start * (1.0 - share) + end * share for share in shares)


def tabulate(
    supply: Supply,
    *,
    over: VariedKey,
    values: Sequence[float],
    readings: Sequence[str],
    model: str = "textbook",
    progress: Callable[[int], None] | None = None,
) -> Table:
    """Solve the supply once for each value of the key.

    Parameters
    ----------
    supply : Supply
    over : VariedKey
        Which key to change.
    values : sequence of float
        [unit of the key]
    readings : sequence of str
        Reading ids; one that the supply doesn't have gives an empty column and a reason.
    model : str
    progress : callable, optional
        Told how many values are done.

    Raises
    ------
    SheetError
        If the key takes no such value.
    UnknownReading
        If a reading isn't one of the list.
    NoProvableAnswer, NotSolvedYet
        If one of the circuits has no answer.
    """
    from railwright.readings import unit_of
    from railwright.study import solve
    from railwright.supply import replace

    units = {name: unit_of(name) for name in readings}
    columns: dict[str, list[float | None]] = {name: [] for name in units}
    reasons: dict[str, None] = {}
    for done, value in enumerate(values, start=1):
        study = solve(replace(supply, over.path, over.written(value)), model=model)
        for name, column in columns.items():
            reading = study.readings.ask(name)
            column.append(reading.value)
            if reading.value is None:
                reasons[f"{name}: {reading.reason}"] = None
        if progress is not None:
            progress(done)
    return Table(
        over=over.path,
        unit=over.unit,
        model=model,
        values=tuple(values),
        readings={name: tuple(column) for name, column in columns.items()},
        reading_units=units,
        reasons=tuple(reasons),
    )
