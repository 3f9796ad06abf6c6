"""The exponential diode as straight pieces, fitted to each diode's own peak current."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from railwright.network.blocks import piecewise_linear
from railwright.network.elements import Block

Array = NDArray[np.float64]

#: [V/K] Boltzmann's constant over the elementary charge (SI, exact constants: 1.380649e-23 / 1.602176634e-19).
VOLT_PER_KELVIN = 1.380649e-23 / 1.602176634e-19
_ZERO_CELSIUS = 273.15

#: Vertex currents as shares of the peak, before any is halved (least squares with the weight of a half-cosine pulse,
#: the third moved to where a diode counts as conducting).
SHARES = (0.0, 0.00182, 0.01, 0.02767, 0.0747, 0.17247, 0.35288, 0.65188, 1.0)
#: The same for a few pieces, and ln of the fitted current at each: a table that serves a law far above its saturation
#: current. The last vertex lies on the law, and so does the one at 1 % of the peak.
FEW = (
    (0.0, 0.01, 0.10294, 0.41315, 1.0),
    (-6.77551, math.log(0.01), -2.07313, -0.77291, 0.0),
)
#: Numbers of pieces to choose from, the finest where the EMF is low beside the diode's curve.
FINER = (9, 10, 12, 16, 25)
#: Share of its own peak from which a diode counts as conducting.
_CONDUCTS = 0.01
#: Points of a fit in each piece, and the weight that ratios of currents have in it beside the time spent there.
_POINTS, _LOW_CURRENTS = 24, 1e-3
#: Saturation current beside the peak from which it is part of the blocking pieces, and from which it needs more of
#: them; their vertices, in thermal voltages below none.
_REVERSE_COUNTS, _REVERSE_IS_LARGE = 3e-4, 3e-3
_REVERSE_VERTICES, _MORE_REVERSE_VERTICES = (4.0, 1.0), (6.5, 4.2, 3.0, 2.1, 1.4, 0.8, 0.4)
#: What the saturation current grows by in reverse, so that diodes in series share a voltage. [1/V]
_TILT = 1e-6
#: Peak over saturation current below which the table of few pieces no longer fits.
_LOW_RATIO = 1e4


@dataclass(frozen=True, slots=True, kw_only=True)
class ExponentialLaw:
    """v = ideality U_T ln(1 + i / saturation_current) + series_resistance i, and a leakage resistance beside it."""

    saturation_current: float  # [A] at its junction temperature
    ideality: float
    series_resistance: float  # [ohm]
    junction_temperature: float  # [°C]
    leakage_conductance: float = 0.0  # [S]

    @property
    def scale(self) -> float:
        """Ideality times thermal voltage. [V]"""
        return self.ideality * VOLT_PER_KELVIN * (self.junction_temperature + _ZERO_CELSIUS)

    def voltage(self, current: float) -> float:
        """Forward voltage of the junction branch at a current. [V]"""
        share = current / self.saturation_current
        return self.scale * math.log1p(share) + self.series_resistance * current if share > -1.0 else -math.inf

    def current(self, voltage: float) -> float:
        """Current of the junction branch at a voltage. [A]"""
        return float(self.currents(np.array([voltage]))[0])

    def voltages(self, currents: Array) -> Array:
        """Forward voltages of the junction branch at currents above minus the saturation current. [V]"""
        result: Array = self.scale * np.log1p(currents / self.saturation_current) + self.series_resistance * currents
        return result

    def currents(self, voltages: Array) -> Array:
        """Currents of the junction branch at voltages, by Newton's method on ln(1 + i / saturation_current). [A]

        The voltage is a convex function of it: from above, every step stays above.
        """
        log = np.minimum(voltages / self.scale, 700.0)
        drop = self.series_resistance * self.saturation_current
        if drop > 0.0:
            log = np.minimum(log, np.log1p(np.maximum(voltages, 0.0) / drop))
            log = np.where(voltages < 0.0, voltages / self.scale, log)
            for _ in range(60):
                step = (self.scale * log + drop * np.expm1(log) - voltages) / (self.scale + drop * np.exp(log))
                log = log - step
                if np.all(np.abs(step) <= 1e-14 * np.maximum(np.abs(log), 1.0)):
                    break
        result: Array = self.saturation_current * np.expm1(log)
        return result


@lru_cache(maxsize=4096)
def vertices(law: ExponentialLaw, peak: float, slopes: int) -> tuple[tuple[float, float], ...]:
    """Vertices (volts, amperes) of the conducting pieces, the first at no current.

    Where the peak is so small that the saturation current counts beside it, those of the blocking pieces come before.
    """
    if law.saturation_current > _REVERSE_COUNTS * peak:
        large = law.saturation_current > _REVERSE_IS_LARGE * peak and slopes >= FINER[0]
        chosen = _MORE_REVERSE_VERTICES if large else _REVERSE_VERTICES
        reverse = [(-t * law.scale, law.saturation_current * math.expm1(-t)) for t in chosen]
        return (*reverse, (0.0, 0.0), *_conducting(law, peak, slopes)[1:])
    return _conducting(law, peak, slopes)


def _conducting(law: ExponentialLaw, peak: float, slopes: int) -> tuple[tuple[float, float], ...]:
    if slopes == len(FEW[0]) - 1 and peak / law.saturation_current >= _LOW_RATIO:
        shares, logs = FEW
        offset = math.log(peak / law.saturation_current)
        pairs = tuple(
            (law.scale * (offset + y) + law.series_resistance * x * peak, x * peak)
            for x, y in zip(shares, logs, strict=True)
        )
        if pairs[0][0] > 0.0:
            return pairs
    return _fitted(law, peak, slopes)


def enough_slopes(law: ExponentialLaw, peak: float, emf: float, limit: float) -> int:
    """The fewest pieces that a diode with this peak needs for a distance from its law of `limit`, or the most."""
    for slopes in FINER:
        if distance(law, vertices(law, peak, slopes), peak, emf) <= limit:
            break
    return slopes


def _shares(slopes: int) -> list[float]:
    """Vertex currents as shares of the peak: those of `SHARES`, their pieces halved until there are enough.

    First the one up to the peak, which decides how high that comes out; then always the one with the largest ratio.
    """
    shares = list(SHARES)
    shares.insert(-1, math.sqrt(shares[-2]))
    while len(shares) <= slopes:
        longest = max(range(1, len(shares) - 1), key=lambda k: shares[k + 1] / shares[k])
        shares.insert(longest + 1, math.sqrt(shares[longest] * shares[longest + 1]))
    return shares


def _fitted(law: ExponentialLaw, peak: float, slopes: int) -> tuple[tuple[float, float], ...]:
    """Vertices by least squares over a half-cosine pulse, for peaks near the saturation current or other numbers.

    Vertex currents are `SHARES`, with more between or fewer. On the law itself lie the last, and the one at 1 % of
    the peak. Where the pulse is short of points, at low currents, every ratio of currents counts a
    little by itself.
    """
    if slopes >= FINER[0]:
        xs = np.array(_shares(slopes))
    else:
        xs = np.interp(np.linspace(0.0, 1.0, slopes + 1), np.linspace(0.0, 1.0, len(SHARES)), SHARES)
    inside = (np.arange(_POINTS) + 0.5) / _POINTS
    lows = np.maximum(xs[:-1], 0.05 * xs[1])
    sample = (lows[:, None] * (xs[1:] / lows)[:, None] ** inside).ravel()
    # The phase that each point stands for, and a little for its ratio to the next.
    step = np.repeat(np.log(xs[1:] / lows) / _POINTS, _POINTS)
    weight = np.sqrt(step * (sample / np.sqrt(1.0 - sample**2) + _LOW_CURRENTS))
    wanted = law.scale * np.log1p(sample * peak / law.saturation_current)
    hats = np.array([np.interp(sample, xs, row) for row in np.eye(len(xs))]).T
    volts = law.scale * np.log1p(xs * peak / law.saturation_current)
    free = (xs != 1.0) & (xs != _CONDUCTS)
    goal = (wanted - hats[:, ~free] @ volts[~free]) * weight
    volts[free], *_ = np.linalg.lstsq(hats[:, free] * weight[:, None], goal, rcond=None)
    volts = np.maximum.accumulate(volts) + law.series_resistance * xs * peak
    return tuple((float(v), float(x * peak)) for v, x in zip(volts, xs, strict=True))


def exponential_diode(*, name: str, anode: str, cathode: str, law: ExponentialLaw, peak: float, slopes: int) -> Block:
    """A diode of the exponential law as a blocking piece and `slopes` conducting ones, tuned to its own peak."""
    points = vertices(law, peak, slopes)
    (v0, i0), (v1, i1) = points[-2:]
    blocking = len(points) - slopes  # pieces, the last of them up to no current
    growth = law.leakage_conductance + (_TILT * law.saturation_current if blocking > 1 else 0.0)
    return piecewise_linear(
        name=name,
        a=anode,
        b=cathode,
        vertices=points[:-1],
        first_slope=(1.0, growth),
        last_slope=(v1 - v0, i1 - i0),
        state_names=(*["off"] * blocking, *(f"on, piece {k}" for k in range(1, slopes + 1))),
    )


def distance(law: ExponentialLaw, points: tuple[tuple[float, float], ...], peak: float, emf: float) -> float:
    """Largest distance of the straight pieces from the law, over all (v, i) in use, reverse included.

    Of each point the smaller of abs(dv) / emf at equal current and abs(di) / peak at equal voltage.
    """
    corners = np.array([(-2.0 * emf, points[0][1]), *points])
    shares = np.linspace(0.0, 1.0, 33)[:, None]
    volts = (corners[:-1, 0] + shares * np.diff(corners[:, 0])).ravel()
    amperes = (corners[:-1, 1] + shares * np.diff(corners[:, 1])).ravel()
    by_current = np.abs(law.currents(volts) - amperes) / peak
    by_voltage = np.where(amperes > 0.0, np.abs(law.voltages(amperes) - volts) / emf, np.inf)
    return float(np.minimum(by_voltage, by_current).max())
