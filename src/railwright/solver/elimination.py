"""Gauss-Jordan elimination with complete pivoting: ranks, basic solutions, null vectors, hidden constraints."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]
Flags = NDArray[np.bool_]

#: Share of the largest entry below which a pivot counts as zero (rows are scaled to 1 first).
RANK_TOLERANCE = 1e-11
#: Condition below which a matrix is well away from that.
TELLABLE = 1e7


@dataclass(frozen=True, slots=True, kw_only=True)
class Reduction:
    """A x = B solved as far as it goes.

    basic : array (unknowns, columns)
        The solution with every free unknown at zero.
    null : array (unknowns, free)
        Directions in which x may move.
    constraints : array (dependent rows, columns)
        What B itself must meet: these rows of it must vanish.
    """

    basic: Array
    null: Array
    constraints: Array


def reduce(matrix: Array, right_side: Array, *, tolerance: float = RANK_TOLERANCE) -> Reduction:
    """Solve `matrix` x = `right_side`, whatever the rank."""
    rows, unknowns = matrix.shape
    columns = right_side.shape[1]
    work = np.hstack([matrix, right_side])
    size = np.max(np.abs(matrix), axis=1, initial=0.0)
    work /= np.where(size > 0.0, size, 1.0)[:, None]
    order = np.arange(unknowns)
    rank = 0
    limit = min(rows, unknowns)
    while rank < limit:
        block = np.abs(work[rank:, rank:unknowns])
        row, column = divmod(int(block.argmax()), unknowns - rank)
        if block[row, column] <= tolerance:
            break
        row += rank
        column += rank
        if row != rank:
            work[[rank, row]] = work[[row, rank]]
        if column != rank:
            work[:, [rank, column]] = work[:, [column, rank]]
            order[[rank, column]] = order[[column, rank]]
        work[rank] /= work[rank, rank]
        factors = work[:, rank].copy()
        factors[rank] = 0.0
        work -= np.outer(factors, work[rank])
        rank += 1
    basic = np.zeros((unknowns, columns))
    basic[order[:rank]] = work[:rank, unknowns:]
    null = np.zeros((unknowns, unknowns - rank))
    null[order[:rank]] = -work[:rank, rank:unknowns]
    null[order[rank:], np.arange(unknowns - rank)] = 1.0
    return Reduction(basic=basic, null=null, constraints=work[rank:, unknowns:])


def inverse(matrix: Array) -> Array | None:
    """The plain inverse of a square matrix; None unless that is far from singular, so that nothing is hidden in it."""
    size = np.abs(matrix).max(axis=1, initial=0.0)
    if not size.all():
        return None
    scaled = matrix / size[:, None]
    try:
        found = np.linalg.inv(scaled)
    except np.linalg.LinAlgError:
        return None
    if not np.abs(scaled).sum(axis=1).max() * np.abs(found).sum(axis=1).max() < TELLABLE:
        return None
    result: Array = found / size
    return result


@dataclass(frozen=True, slots=True)
class Entries:
    """Where a matrix may have entries: their rows (in order) and columns, and where each row's begin."""

    rows: Numbers
    columns: Numbers
    starts: Numbers

    @staticmethod
    def of(present: Flags) -> Entries:
        """The entries of a matrix that is true wherever there may be one."""
        rows, columns = np.nonzero(present)
        return Entries(rows, columns, np.flatnonzero(np.diff(rows, prepend=-1)))

    def residual(self, matrix: Array, unknowns: Array, right_side: Array) -> Array:
        """`right_side` - `matrix` @ `unknowns` in the longest floats there are."""
        left = right_side.astype(np.longdouble)
        products = matrix[self.rows, self.columns].astype(np.longdouble)[:, None] * unknowns[self.columns]
        left[self.rows[self.starts]] -= np.add.reduceat(products, self.starts, axis=0)
        result: Array = left.astype(float)
        return result
