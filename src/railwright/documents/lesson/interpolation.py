"""Values between computed neighbours: cubic through the four nearest on logarithmic axes, and where to trust it.

The page does the same sum in its own language (`static/compute.js`); a test lays the two beside each other.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Neighbours that a value is drawn from, along one axis.
_REACH = 4


def weights(count: int, at: float, step: int = 1, first: int = 0) -> list[tuple[int, float]]:
    """Positions and weights (Lagrange) of the neighbours of a place on an axis.

    Parameters
    ----------
    count : int
        Values on the axis.
    at : float
        The place, in positions from 0 to ``count - 1``. [-]
    step, first : int
        To take only every `step`-th value, from `first` on.
    """
    there = range(first, count, step)
    size = min(_REACH, len(there))
    place = (at - first) / step
    start = min(max(int(np.floor(place)) - 1, 0), len(there) - size)
    found = []
    for one in range(start, start + size):
        weight = 1.0
        for other in range(start, start + size):
            if other != one:
                weight *= (place - other) / (one - other)
        found.append((there[one], weight))
    return found


def between(table: Array, row: float, column: float, *, logarithmic: bool) -> float:
    """A value between those of a table.

    table : array (rows, columns)
        Computed values.
    row, column : float
        The place, in positions. [-]
    logarithmic : bool
        Whether to draw the curve through the logarithms; all values must be above zero.
    """
    values = np.log(table) if logarithmic else table
    total = 0.0
    for i, across in weights(table.shape[0], row):
        for j, along in weights(table.shape[1], column):
            total += across * along * float(values[i, j])
    return float(np.exp(total)) if logarithmic else total


def held_between(table: Array, row: float, column: float, *, logarithmic: bool) -> float:
    """The same, held between the values at the corners of its cell: near a corner of a curve a cubic overshoots."""
    i, j = (min(int(place), max(count - 2, 0)) for place, count in zip((row, column), table.shape, strict=True))
    corners = table[i : i + 2, j : j + 2]
    drawn = between(table, row, column, logarithmic=logarithmic)
    return min(max(drawn, float(corners.min())), float(corners.max()))


def trusted(table: Array, *, logarithmic: bool, relative: float | None, absolute: float) -> NDArray[np.bool_]:
    """In which cells of a table a value that is drawn can be relied on.

    Each value is left out in turn and drawn from the others, which lie twice as far apart: a smooth curve is then
    sixteen times less sure than in use, one with a corner at least twice. Cells at whose corners the value left out
    is missed by more than twice the tolerance are not trusted.

    table : array (rows, columns)
        Computed values; not a number where there is none.
    relative, absolute : float
        Tolerance, as a share of the value or in its unit.

    Returns
    -------
    array (rows - 1 or 1, columns - 1 or 1)
    """
    rows, columns = table.shape
    good = np.isfinite(table)
    # Where nothing flows the solver leaves rounding, which is no curve.
    rounding = 1e-9 * float(np.nanmax(np.abs(table), initial=1e-3))
    for axis, count in ((0, rows), (1, columns)):
        if count < 5:
            continue
        for at in range(1, count - 1):
            others = weights(count, float(at), step=2, first=(at + 1) % 2)
            with np.errstate(all="ignore"):
                values = np.log(table) if logarithmic else table
                drawn = sum(weight * np.take(values, place, axis=axis) for place, weight in others)
                drawn = np.exp(drawn) if logarithmic else drawn
                true = np.take(table, at, axis=axis)
                allowed = 2.0 * (np.abs(true) * relative if relative is not None else absolute)
                fine = np.abs(drawn - true) <= allowed + rounding
            if axis == 0:
                good[at, :] &= fine
            else:
                good[:, at] &= fine
    cells = np.ones((max(rows - 1, 1), max(columns - 1, 1)), dtype=np.bool_)
    for i in range(cells.shape[0]):
        for j in range(cells.shape[1]):
            cells[i, j] = bool(good[i : i + 2, j : j + 2].all())
    return cells
