"""Closed forms of the few rectifiers that have one, evaluated with many digits.

Angles are in radians of the mains period here; the tests turn them into degrees.
"""

from __future__ import annotations

from dataclasses import dataclass

import mpmath

mpmath.mp.dps = 30


@dataclass(frozen=True, kw_only=True)
class StiffReservoir:
    """Rectifier, capacitor and load without any resistance in the loop, but with ``drop`` volts of diodes.

    While it conducts u = P sin x - drop. The current (P / R) (k cos x + sin x) - drop / R, k = w R C, ends
    the conduction; then u falls as exp(-x / k) until it meets the next half (bridge) or whole (half-wave) sine.
    """

    peak: float  # [V] of the source
    drop: float  # [V] of all diodes in the loop
    load: float  # [ohm]
    k: float  # w R C
    pulses: int  # per mains period: 2 for a bridge or a centre tap, 1 for a half-wave

    def __post_init__(self) -> None:
        peak, drop, k = mpmath.mpf(self.peak), mpmath.mpf(self.drop), mpmath.mpf(self.k)
        span = 2 * mpmath.pi / self.pulses
        ratio = drop / peak
        # k cos x + sin x = ratio, past the top: sqrt(k^2 + 1) cos(x - atan(1 / k)) = ratio.
        end = mpmath.atan(1 / k) + mpmath.acos(ratio / mpmath.sqrt(k * k + 1))
        level = mpmath.sin(end) - ratio

        def meets(x: mpmath.mpf) -> mpmath.mpf:
            return mpmath.sin(x) - ratio - level * mpmath.exp(-(span + x - end) / k)

        low, high = mpmath.asin(ratio), mpmath.pi / 2
        for _ in range(120):
            middle = (low + high) / 2
            low, high = (middle, high) if meets(middle) < 0 else (low, middle)
        object.__setattr__(self, "start", low)
        object.__setattr__(self, "end", end)
        object.__setattr__(self, "span", span)
        object.__setattr__(self, "_level", level)

    def _rail(self, x: mpmath.mpf) -> mpmath.mpf:
        return self.peak * mpmath.sin(x) - self.drop

    def _falling(self, x: mpmath.mpf) -> mpmath.mpf:
        return self.peak * self._level * mpmath.exp(-(x - self.end) / mpmath.mpf(self.k))

    def current(self, x: mpmath.mpf) -> mpmath.mpf:
        """Rectifier current while conducting. [A]"""
        return (self.peak * (self.k * mpmath.cos(x) + mpmath.sin(x)) - self.drop) / self.load

    def _over_the_span(self, conducting, blocked) -> mpmath.mpf:  # type: ignore[no-untyped-def]
        later = self.span + self.start
        return (
            mpmath.quad(conducting, [self.start, self.end]) + mpmath.quad(blocked, mpmath.linspace(self.end, later, 5))
        ) / self.span

    def readings(self) -> dict[str, float]:
        """Every reading that the closed form gives, in the units of the reading. Per diode: one pulse a period."""
        mean = self._over_the_span(self._rail, self._falling)
        square = self._over_the_span(lambda x: self._rail(x) ** 2, lambda x: self._falling(x) ** 2)
        once = mpmath.quad(self.current, [self.start, self.end]) / (2 * mpmath.pi)
        once_squared = mpmath.quad(lambda x: self.current(x) ** 2, [self.start, self.end]) / (2 * mpmath.pi)
        capacitor = self._over_the_span(
            lambda x: (self.current(x) - self._rail(x) / self.load) ** 2, lambda x: (self._falling(x) / self.load) ** 2
        )
        # The current is largest where it starts, or where its own sine tops out if that comes later.
        top = max(self.start, mpmath.atan(1 / mpmath.mpf(self.k)))
        floor = self._rail(self.start)
        return {
            "load.voltage.mean": float(mean),
            "load.voltage.rms": float(mpmath.sqrt(square)),
            "load.voltage.ripple_rms": float(mpmath.sqrt(square - mean**2)),
            "load.voltage.peak": self.peak - self.drop,
            "load.voltage.valley": float(floor),
            "load.voltage.ripple_peak_to_peak": float(self.peak - self.drop - floor),
            "D1.conduction.start": float(mpmath.degrees(self.start)),
            "D1.conduction.end": float(mpmath.degrees(self.end)),
            "D1.conduction.angle": float(mpmath.degrees(self.end - self.start)),
            "D1.current.mean": float(once),
            "D1.current.rms": float(mpmath.sqrt(once_squared)),
            "D1.current.peak": float(self.current(top)),
            "C1.current.rms": float(mpmath.sqrt(capacitor)),
            "mains.current.rms": float(mpmath.sqrt(self.pulses * once_squared)),
        }


@dataclass(frozen=True, kw_only=True)
class ResistiveReservoir:
    """The reservoir behind resistance, with a series resistance of its own: one state, two exponentials.

    Conducting: v' = -a v + b (P sin wt - drop), a lasting sine and a part that dies away as exp(-a t);
    blocked: v' = -c v. The two switching instants are the root of two equations.
    """

    peak: float  # [V]
    drop: float  # [V] of all diodes in the loop
    line: float  # [ohm] source and diodes
    capacitance: float  # [F]
    esr: float  # [ohm]
    load: float  # [ohm]
    frequency: float  # [Hz]
    pulses: int

    def readings(self) -> dict[str, float]:
        """Every reading that the closed form gives, in the units of the reading."""
        mp = mpmath
        peak, drop, line, farad, esr, load = (
            mp.mpf(repr(value)) for value in (self.peak, self.drop, self.line, self.capacitance, self.esr, self.load)
        )
        w = 2 * mp.pi * mp.mpf(repr(self.frequency))
        share, behind = load / (load + esr), load * esr / (load + esr)
        whole = line + behind
        span = 2 * mp.pi / w / self.pulses

        def current(t, v):  # type: ignore[no-untyped-def]
            return (peak * mp.sin(w * t) - drop - share * v) / whole

        # C v' = i - (k v + p i) / R = i (1 - p / R) - k v / R, and 1 - p / R = k.
        a = (share * share / whole + share / load) / farad
        b = share / whole / farad
        c = share / load / farad

        def steady(t):  # type: ignore[no-untyped-def]
            return b * peak * (a * mp.sin(w * t) - w * mp.cos(w * t)) / (a * a + w * w) - b * drop / a

        def at_start(t):  # type: ignore[no-untyped-def]
            return (peak * mp.sin(w * t) - drop) / share

        def conducting(t, start):  # type: ignore[no-untyped-def]
            return steady(t) + (at_start(start) - steady(start)) * mp.exp(-a * (t - start))

        def end_for(start):  # type: ignore[no-untyped-def]
            # The current rises from zero at `start`; it is back at zero between the top and the source's zero.
            low, high = start + span / 2000, mp.pi / w
            while current(low, conducting(low, start)) < 0:
                low = start + (low - start) / 2
            for _ in range(110):
                middle = (low + high) / 2
                low, high = (middle, high) if current(middle, conducting(middle, start)) > 0 else (low, middle)
            return low

        def miss(start):  # type: ignore[no-untyped-def]
            end = end_for(start)
            return at_start(start) - conducting(end, start) * mp.exp(-c * (span + start - end))

        low, high = mp.asin(drop / peak) / w, mp.pi / 2 / w * (1 - mp.mpf(10) ** -6)
        for _ in range(110):
            middle = (low + high) / 2
            low, high = (middle, high) if miss(middle) < 0 else (low, middle)
        start = low
        end = end_for(start)
        later = start + span

        def rail_on(t):  # type: ignore[no-untyped-def]
            v = conducting(t, start)
            return share * v + behind * current(t, v)

        def rail_off(t):  # type: ignore[no-untyped-def]
            return share * conducting(end, start) * mp.exp(-c * (t - end))

        def i_on(t):  # type: ignore[no-untyped-def]
            return current(t, conducting(t, start))

        def integral(on, off):  # type: ignore[no-untyped-def]
            return (mp.quad(on, mp.linspace(start, end, 3)) + mp.quad(off, mp.linspace(end, later, 4))) / span

        mean = integral(rail_on, rail_off)
        square = integral(lambda t: rail_on(t) ** 2, lambda t: rail_off(t) ** 2)
        capacitor = integral(lambda t: (i_on(t) - rail_on(t) / load) ** 2, lambda t: (rail_off(t) / load) ** 2)
        period = span * self.pulses
        once = mp.quad(i_on, mp.linspace(start, end, 3)) / period
        once_squared = mp.quad(lambda t: i_on(t) ** 2, mp.linspace(start, end, 3)) / period

        def v_slope(t):  # type: ignore[no-untyped-def]
            return -a * conducting(t, start) + b * (peak * mp.sin(w * t) - drop)

        def i_slope(t):  # type: ignore[no-untyped-def]
            return (peak * w * mp.cos(w * t) - share * v_slope(t)) / whole

        def rail_slope(t):  # type: ignore[no-untyped-def]
            return share * v_slope(t) + behind * i_slope(t)

        def turning(slope, low, high):  # type: ignore[no-untyped-def]
            rising = slope(low) > 0
            for _ in range(110):
                middle = (low + high) / 2
                low, high = (middle, high) if (slope(middle) > 0) == rising else (low, middle)
            return low

        # The rail rises while it conducts, but for a first instant if the load takes more than the diodes bring.
        rising_at = next(t for t in mp.linspace(start, end, 200) if rail_slope(t) > 0)
        bottom = turning(rail_slope, start, rising_at) if rising_at > start else start
        top = turning(rail_slope, rising_at, end)
        crest = turning(i_slope, start, end)
        return {
            "load.voltage.mean": float(mean),
            "load.voltage.rms": float(mp.sqrt(square)),
            "load.voltage.ripple_rms": float(mp.sqrt(square - mean**2)),
            "load.voltage.ripple_peak_to_peak": float(rail_on(top) - rail_on(bottom)),
            "D1.conduction.start": float(mp.degrees(w * start)),
            "D1.conduction.end": float(mp.degrees(w * end)),
            "D1.conduction.angle": float(mp.degrees(w * (end - start))),
            "D1.current.mean": float(once),
            "D1.current.rms": float(mp.sqrt(once_squared)),
            "D1.current.peak": float(i_on(crest)),
            "C1.current.rms": float(mp.sqrt(capacitor)),
            "mains.current.rms": float(mp.sqrt(self.pulses * once_squared)),
        }
