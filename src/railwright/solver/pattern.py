"""A conduction pattern: one linear motion, its guards, and the ladder of its exponentials."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from railwright.solver.elimination import Array

Key = tuple[int, ...]  # stretch of the schedule, then the state of each block
Numbers = NDArray[np.int64]
Flags = NDArray[np.bool_]
Complex = NDArray[np.complex128]

#: The exponential's series less its first term, for the finest level, where |matrix| * step is at most a half: row k
#: holds the coefficients of powers 4 k to 4 k + 3.
_SERIES: Final = np.array(
    [[1.0 / math.factorial(4 * k + n) if 4 * k + n else 0.0 for n in range(4)] for k in range(4)]
)
#: Condition of the eigenvectors beyond which modes can't be told apart.
TELLABLE = 1e10


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """One conduction pattern, ready to be followed in time.

    motion : array (states, states)
        M of X' = M X.
    outputs : array (unknowns, states)
        Y of y = Y X.
    watched : array (3, guards, states)
        The guards, rows that must stay at or above zero, and their first two time derivatives.
    impulses : array (guards, states)
        What each guard sees of the jump on the way in: a sign stands for an infinite value.
    noise : array (3, guards, states)
        Rounding that the elimination may have left in these rows.
    owners, targets : array (guards,)
        The block that each guard belongs to and the state that it leads to.
    entry : array (states, states)
        The jump that conserves charge and flux on the way in; the identity where nothing is constrained.
    ladder : array (levels, states, states)
        Exponentials of motion * (cell / 2**level).
    modes : Modes
        Of the motion, told apart when first asked for.
    """

    key: Key
    motion: Array
    outputs: Array
    watched: Array
    impulses: Array
    noise: Array
    owners: Numbers
    targets: Numbers
    idle: Numbers  # guards on a current that is zero in this pattern, whatever the state
    entry: Array
    constrained: bool
    contradictory: bool
    ladder: Array
    modes: Modes

    @property
    def guards(self) -> Array:
        """Rows that must stay at or above zero; array (guards, states)."""
        result: Array = self.watched[0]
        return result

    def moved(self, guards: Numbers) -> Key:
        """The key of the pattern to which these guards lead."""
        key = list(self.key)
        for owner, target in zip(self.owners[guards].tolist(), self.targets[guards].tolist(), strict=True):
            key[1 + owner] = target
        return tuple(key)


@dataclass(slots=True)
class Modes:
    """The modes of a motion, for those that may ring: told apart when first asked for, which seldom happens.

    `needed` notes that somebody couldn't go on without.
    """

    motion: Array
    guards: Array
    rings: bool
    needed: bool = False
    _found: tuple[Complex, Complex, Complex] | None = None

    def found(self) -> tuple[Complex, Complex, Complex]:
        """Rates [1/s], what each mode shows in the guards, and the rows that find how much of it a state has.

        Arrays (modes,), (guards, modes), (modes, states); all are empty where the modes can't be told apart: a motion
        with a ramp, or an undamped integrator.
        """
        if self._found is None:
            self._found = self._told_apart() if self.rings else None
            if self._found is None:
                none = np.zeros((0, len(self.motion)), dtype=complex)
                self._found = none[:, 0].copy(), np.zeros((len(self.guards), 0), dtype=complex), none
        return self._found

    def _told_apart(self) -> tuple[Complex, Complex, Complex] | None:
        rates, vectors = np.linalg.eig(self.motion)
        if not rates.imag.any():
            return None
        try:
            finder = np.linalg.inv(vectors).astype(complex)
        except np.linalg.LinAlgError:
            return None
        with np.errstate(over="ignore"):  # what overflows can't be told apart either
            condition = np.abs(finder).sum(axis=1).max()  # the vectors have length 1
        if not condition < TELLABLE:
            return None
        return rates.astype(complex), (self.guards @ vectors).astype(complex), finder


def growth(matrix: Array, step: float) -> Array:
    """exp(matrix step) less the identity, by its series: `step` times the fastest rate is at most a half.

    Fifteen terms in six products: four rows of a polynomial in the fourth power (M. S. Paterson, L. J. Stockmeyer,
    On the number of nonscalar multiplications necessary to evaluate polynomials, SIAM J. Comput. 2, 1973: from memory).
    """
    small = matrix * step
    powers = np.empty((4, *matrix.shape))
    powers[0], powers[1] = np.eye(len(matrix)), small
    np.matmul(small, small, out=powers[2])
    np.matmul(powers[2], small, out=powers[3])
    fourth = powers[2] @ powers[2]
    parts = (_SERIES @ powers.reshape(4, -1)).reshape(powers.shape)
    result: Array = parts[3]
    for part in parts[2::-1]:
        result = fourth @ result + part
    return result


def doubled(grown: Array) -> Array:
    """The growth over twice the step.

    Squaring the exponential itself would double the rounding of its slow part each time, and a stiff circuit needs
    thirty doublings; of the growth each doubling only adds one more rounding.
    """
    result: Array = 2.0 * grown + grown @ grown
    return result


def expand(matrix: Array, level_zero: float, speed: float) -> Array:
    """The dyadic ladder: exponentials of matrix * level_zero / 2**k for k = 0 … K, `speed` / 2**K at most a half."""
    reach = speed * level_zero
    levels = max(2, math.ceil(math.log2(reach / 0.5))) if reach > 0.5 else 2
    grown = growth(matrix, level_zero / 2**levels)
    ladder = np.empty((levels + 1, *matrix.shape))
    ladder[levels] = grown
    with np.errstate(over="ignore", invalid="ignore"):  # whoever uses it looks whether it is finite
        for level in range(levels, 0, -1):
            ladder[level - 1] = doubled(ladder[level])
    ladder += np.eye(len(matrix))
    return ladder
