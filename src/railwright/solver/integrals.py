"""Exact integrals over a stretch: of X, of X against each harmonic, and of X X'.

A short piece is summed by its series, then doubled up to the stretch: no samples, no eigenvalues.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from railwright.solver.elimination import Array
from railwright.solver.pattern import doubled, growth

Complex = NDArray[np.complex128]

_TERMS = 18


def _halvings(speed: float, span: float) -> int:
    return max(0, math.ceil(math.log2(max(speed * span / 0.5, 1.0))))


def mean_integral(motion: Array, state: Array, span: float, speed: float) -> Array:
    """Integral of X over `span` from `state`."""
    doublings = _halvings(speed, span)
    step = span / 2**doublings
    term = state * step
    total = term.copy()
    for m in range(1, _TERMS):
        term = motion @ term * (step / (m + 1))
        total += term
    grown = growth(motion, step)
    for _ in range(doublings):
        total = 2.0 * total + grown @ total
        grown = doubled(grown)
    result: Array = total
    return result


def harmonic_integrals(motion: Array, state: Array, span: float, speed: float, frequencies: Array) -> Complex:
    """Integrals of X exp(-j w t) over `span` from `state`, t from the start of the stretch.

    Returns
    -------
    array (states, frequencies)
    """
    doublings = _halvings(max(speed, float(np.abs(frequencies).max(initial=0.0))), span)
    step = span / 2**doublings
    spin = 1j * frequencies
    term = np.repeat(state[:, None] * step, len(frequencies), axis=1).astype(complex)
    total = term.copy()
    for m in range(1, _TERMS):
        term = (motion @ term - spin * term) * (step / (m + 1))
        total += term
    grown = growth(motion, step)
    for doubling in range(doublings):
        phase = np.exp(-spin * (step * 2.0**doubling))
        total = total + phase * (total + grown @ total)
        grown = doubled(grown)
    return total


def square_integral(motion: Array, state: Array, span: float, speed: float) -> Array:
    """Integral of X X' over `span` from `state`; array (states, states)."""
    doublings = _halvings(speed, span)
    step = span / 2**doublings
    term = np.outer(state, state) * step
    total = term.copy()
    for m in range(1, _TERMS):
        half = motion @ term
        term = (half + half.T) * (step / (m + 1))
        total += term
    grown = growth(motion, step)
    for _ in range(doublings):
        moved = total + grown @ total
        total = total + moved + moved @ grown.T
        grown = doubled(grown)
    result: Array = total
    return result
