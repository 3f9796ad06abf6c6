"""Measures a steady period: quadrature on every step of the integrator, extremes refined on its interpolant."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from scipy.optimize import brentq, minimize_scalar

from referee.integration import Circuit, RefereeError, Stretch, steady_period

#: Gauss points on each step: exact for the integrator's seventh-degree interpolant, squared.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(10)

#: How far below zero a switching condition may read on the interpolant. [V, A]
_LEGAL = 1e-7


@dataclass(frozen=True)
class SteadyPeriod:
    """One steady period of a circuit and what can be read off it."""

    circuit: Circuit
    stretches: tuple[Stretch, ...]

    @classmethod
    def of(cls, circuit: Circuit) -> SteadyPeriod:
        """Find the steady period of a circuit and check that every mode was legal while it lasted."""
        steady = cls(circuit, steady_period(circuit))
        steady._check_guards()
        return steady

    def _check_guards(self) -> None:
        for stretch in self.stretches:
            times = np.linspace(stretch.times[0], stretch.times[-1], 101)
            states = stretch.interpolant(times)
            for guard, target in self.circuit.modes[stretch.mode].guards:
                lowest = float(np.min(np.broadcast_to(guard(times, states), times.shape)))
                if lowest < -_LEGAL:
                    raise RefereeError(f"mode {stretch.mode!r} should have given way to {target!r}: {lowest:.3g}")

    @cached_property
    def _samples(self) -> tuple[np.ndarray, dict[str, np.ndarray]]:
        weights: list[np.ndarray] = []
        outputs: dict[str, list[np.ndarray]] = {}
        for stretch in self.stretches:
            halves = np.diff(stretch.times) / 2
            middles = (stretch.times[:-1] + stretch.times[1:]) / 2
            times = (middles[:, None] + halves[:, None] * _NODES).ravel()
            weights.append((halves[:, None] * _WEIGHTS).ravel())
            values = self.circuit.modes[stretch.mode].outputs(times, stretch.interpolant(times))
            for name, value in values.items():
                outputs.setdefault(name, []).append(np.broadcast_to(value, times.shape))
        return np.concatenate(weights), {name: np.concatenate(parts) for name, parts in outputs.items()}

    def mean(self, name: str) -> float:
        """Mean over the period."""
        weights, outputs = self._samples
        return float(weights @ outputs[name] / self.circuit.period)

    def rms(self, name: str) -> float:
        """Root of the mean square, mean included."""
        weights, outputs = self._samples
        return float(np.sqrt(weights @ outputs[name] ** 2 / self.circuit.period))

    def product_mean(self, first: str, second: str) -> float:
        """Mean of the product of two outputs (a power, if one is a voltage and one a current)."""
        weights, outputs = self._samples
        return float(weights @ (outputs[first] * outputs[second]) / self.circuit.period)

    def _extreme(self, name: str, sign: float) -> float:
        """Largest value of sign times an output, refined in every stretch by itself.

        A rail may go on falling for a moment after its diodes have begun to conduct, so the stretch with the best
        sample isn't always the one with the extreme.
        """
        best = -np.inf
        for stretch in self.stretches:
            outputs = self.circuit.modes[stretch.mode].outputs
            times = np.unique(np.concatenate([np.linspace(*pair, 9) for pair in pairwise(stretch.times)]))
            values = sign * np.broadcast_to(outputs(times, stretch.interpolant(times))[name], times.shape)
            at = int(np.argmax(values))

            def downwards(time: float, stretch: Stretch = stretch) -> float:
                return -sign * float(outputs(time, stretch.interpolant(time))[name])  # noqa: B023

            refined = minimize_scalar(
                downwards,
                bounds=(times[max(at - 1, 0)], times[min(at + 1, len(times) - 1)]),
                method="bounded",
                options={"xatol": 1e-10 * self.circuit.period},
            )
            best = max(best, float(values[at]), -float(refined.fun))
        return sign * best

    def maximum(self, name: str) -> float:
        """Largest value, algebraically."""
        return self._extreme(name, 1.0)

    def minimum(self, name: str) -> float:
        """Smallest value, algebraically."""
        return self._extreme(name, -1.0)

    def peak(self, name: str) -> float:
        """Value farthest from zero, with its sign."""
        return max(self.maximum(name), self.minimum(name), key=abs)

    def ripple(self, name: str) -> float:
        """Maximum less minimum."""
        return self.maximum(name) - self.minimum(name)

    def conduction_angle(self, diode: str) -> float:
        """Angle per period in which a diode is on. [deg]"""
        on = [s for s in self.stretches if diode in self.circuit.modes[s.mode].on]
        return 360.0 * float(sum(s.times[-1] - s.times[0] for s in on)) / self.circuit.period

    def angle_above_one_percent(self, name: str) -> float:
        """Angle per period in which an output exceeds 1 % of its own peak: the conduction of an exponential. [deg]"""
        threshold = 0.01 * self.peak(name)
        total = 0.0
        for stretch in self.stretches:
            outputs = self.circuit.modes[stretch.mode].outputs

            def excess(time: float, stretch: Stretch = stretch) -> float:
                return float(outputs(time, stretch.interpolant(time))[name]) - threshold  # noqa: B023

            edges = np.unique(np.concatenate([np.linspace(*pair, 9) for pair in pairwise(stretch.times)]))
            for low, high in pairwise(edges):
                first, last = excess(low), excess(high)
                if first > 0 and last > 0:
                    total += high - low
                elif first * last < 0:
                    crossing = brentq(excess, low, high, xtol=1e-13 * self.circuit.period)
                    total += high - crossing if last > 0 else crossing - low
        return 360.0 * float(total) / self.circuit.period

    def switching_instants(self, diode: str) -> Sequence[tuple[float, float]]:
        """From when to when a diode is on, stretch by stretch. [s]"""
        return [
            (float(s.times[0]), float(s.times[-1])) for s in self.stretches if diode in self.circuit.modes[s.mode].on
        ]
