"""Gauss-Jordan elimination with complete pivoting: ranks, basic solutions, null vectors, hidden constraints."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Share of the largest entry below which a pivot counts as zero (rows are scaled to 1 first).
RANK_TOLERANCE = 1e-11


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


def solve(matrix: Array, right_side: Array) -> Reduction:
    """`reduce`, by way of the plain inverse where the matrix is square and far from singular."""
    rows, unknowns = matrix.shape
    if rows == unknowns:
        size = np.max(np.abs(matrix), axis=1, initial=0.0)
        if np.all(size > 0.0):
            scaled = matrix / size[:, None]
            try:
                inverse = np.linalg.inv(scaled)
            except np.linalg.LinAlgError:
                inverse = None
            if inverse is not None:
                norms = np.abs(scaled).sum(axis=1).max() * np.abs(inverse).sum(axis=1).max()
                if norms < 1e7:  # well away from the rank tolerance: nothing is hidden here
                    wanted = right_side / size[:, None]
                    basic = inverse @ wanted
                    basic += inverse @ (wanted - scaled @ basic)  # one refinement, for parts of very different size
                    empty = np.zeros((unknowns, 0))
                    return Reduction(basic=basic, null=empty, constraints=np.zeros((0, right_side.shape[1])))
    return reduce(matrix, right_side)
