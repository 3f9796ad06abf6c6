"""Modified nodal equations of a circuit that is listed part by part, with parts that switch between straight laws.

Unknowns are the node voltages, one current for every part and the states (capacitor voltages, choke currents,
fluxes). Each part adds one law ``slope . y' = coefficients . y + drive(t)``; a part that switches has several, and for
each the conditions (guards) under which it lasts. Nothing is reduced or eliminated by hand.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

Drive = Callable[[float], float]

#: [S] What an off diode lets through, so that a floating winding has a place. At 100 V that is 0.1 nA.
LEAK = 1e-12


@dataclass(frozen=True, kw_only=True)
class Guard:
    """``coefficients . y + constant`` stays above zero while a law lasts; below it ``target`` follows."""

    coefficients: Mapping[str, float]
    constant: float
    target: int


@dataclass(frozen=True, kw_only=True)
class Law:
    """One law of a part."""

    coefficients: Mapping[str, float]
    constant: float = 0.0
    drive: Drive | None = None
    guards: tuple[Guard, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Curve:
    """A smooth non-linear term ``value(x)`` of one unknown, added to a part's law."""

    row: int
    unknown: str
    value: Callable[[float], float]
    slope: Callable[[float], float]
    limit: Callable[[float, float], float] | None = None  # from the old value and the new one asked for


@dataclass(kw_only=True)
class Nodal:
    """A circuit, listed part by part. ``ground`` names the nodes at zero volts."""

    period: float  # [s]
    ground: frozenset[str] = frozenset({"0"})
    breaks: set[float] = field(default_factory=set)  # known instants at which a drive bends [s]
    unknowns: dict[str, int] = field(default_factory=dict)
    rows: list[list[Law]] = field(default_factory=list)
    slopes: list[dict[str, float]] = field(default_factory=list)
    leaving: dict[str, dict[str, float]] = field(default_factory=dict)  # node -> current unknown -> sign
    curves: list[Curve] = field(default_factory=list)
    start: list[int] = field(default_factory=list)
    never: list[tuple[int, int]] = field(default_factory=list)  # laws that no steady period may use
    on_states: dict[str, tuple[int, frozenset[int]]] = field(default_factory=dict)

    # -- the tools of the parts ----------------------------------------------------------------------------------

    def _unknown(self, name: str) -> str:
        self.unknowns.setdefault(name, len(self.unknowns))
        return name

    def across(self, a: str, b: str, factor: float = 1.0) -> dict[str, float]:
        """Coefficients of the voltage from a to b."""
        found: dict[str, float] = {}
        for node, sign in ((a, factor), (b, -factor)):
            if node not in self.ground:
                name = self._unknown(f"v:{node}")
                self.leaving.setdefault(node, {})
                found[name] = found.get(name, 0.0) + sign
        return found

    def _current(self, name: str, a: str, b: str, share: float = 1.0) -> str:
        """A current unknown that flows from a through the part to b."""
        unknown = self._unknown(f"i:{name}")
        for node, sign in ((a, share), (b, -share)):
            if node not in self.ground:
                self._unknown(f"v:{node}")
                at = self.leaving.setdefault(node, {})
                at[unknown] = at.get(unknown, 0.0) + sign
        return unknown

    def _law(self, laws: Sequence[Law], slope: Mapping[str, float] | None = None, start: int = 0) -> int:
        self.rows.append(list(laws))
        self.slopes.append(dict(slope or {}))
        self.start.append(start)
        return len(self.rows) - 1

    # -- parts with one law --------------------------------------------------------------------------------------

    def resistor(self, name: str, a: str, b: str, ohms: float) -> None:
        """va - vb - R i = 0."""
        i = self._current(name, a, b)
        self._law([Law(coefficients={**self.across(a, b), i: -ohms})])

    def capacitor(self, name: str, a: str, b: str, farads: float, esr: float = 0.0) -> None:
        """C dv/dt = i behind its series resistance."""
        i, v = self._current(name, a, b), self._unknown(f"c:{name}")
        self._law([Law(coefficients={**self.across(a, b), i: -esr, v: -1.0})])
        self._law([Law(coefficients={i: 1.0})], slope={v: farads})

    def choke(self, name: str, a: str, b: str, henries: float, ohms: float = 0.0) -> None:
        """L di/dt = va - vb - R i."""
        i = self._current(name, a, b)
        self._law([Law(coefficients={**self.across(a, b), i: -ohms})], slope={i: henries})

    def source(self, name: str, a: str, b: str, emf: Drive, ohms: float = 0.0) -> None:
        """An EMF from b to a; its current unknown flows into a, so what it delivers is the negative of that."""
        i = self._current(name, a, b)
        self._law([Law(coefficients={**self.across(a, b), i: -ohms}, drive=lambda t: -emf(t))])

    def winding(self, name: str, a: str, b: str, c: str, d: str, ratio: float) -> None:
        """A secondary c-d on the core of the primary a-b; its current unknown is delivered at c."""
        self._current(name, d, c)
        self._current(name, a, b, 1.0 / ratio)
        self._law([Law(coefficients=_sum(self.across(a, b), self.across(c, d, -ratio)))])

    # -- parts that switch ---------------------------------------------------------------------------------------

    def diode(self, name: str, anode: str, cathode: str, drop: float, ohms: float) -> None:
        """Open below its drop, drop and resistance above it."""
        i = self._current(name, anode, cathode)
        v, turned = self.across(anode, cathode), self.across(anode, cathode, -1.0)
        off = Law(
            coefficients={**{k: LEAK * c for k, c in v.items()}, i: -1.0},
            guards=(Guard(coefficients=turned, constant=drop, target=1),),
        )
        on = Law(
            coefficients={**v, i: -ohms},
            constant=-drop,
            guards=(Guard(coefficients={i: 1.0}, constant=0.0, target=0),),
        )
        self.on_states[name] = (self._law([off, on]), frozenset({1}))

    def zener(self, name: str, cathode: str, anode: str, volts: float, ohms: float, drop: float) -> None:
        """Breaks down at ``volts``, conducts forward at ``drop`` without resistance."""
        i = self._current(name, cathode, anode)
        v, turned = self.across(cathode, anode), self.across(cathode, anode, -1.0)
        self._law(
            [
                Law(coefficients=v, constant=drop, guards=(Guard(coefficients={i: -1.0}, constant=0.0, target=1),)),
                Law(
                    coefficients={**{k: LEAK * c for k, c in v.items()}, i: -1.0},
                    guards=(
                        Guard(coefficients=v, constant=drop, target=0),
                        Guard(coefficients=turned, constant=volts, target=2),
                    ),
                ),
                Law(
                    coefficients={**v, i: -ohms},
                    constant=-volts,
                    guards=(Guard(coefficients={i: 1.0}, constant=0.0, target=1),),
                ),
            ],
            start=1,
        )

    def current_load(self, name: str, a: str, b: str, amperes: Drive | float, floor: float) -> None:
        """A current, or below ``floor`` the resistor that draws it there. Its level may change at known instants."""
        i = self._current(name, a, b)
        v, turned = self.across(a, b), self.across(a, b, -1.0)
        if callable(amperes):
            # On the way up a resistor of the largest level's size; no steady rail may come down to it.
            row = self._law(
                [
                    Law(
                        coefficients={**{k: amperes(0.0) / floor * c for k, c in v.items()}, i: -1.0},
                        guards=(Guard(coefficients=turned, constant=floor, target=1),),
                    ),
                    Law(
                        coefficients={i: -1.0},
                        drive=amperes,
                        guards=(Guard(coefficients=v, constant=-floor, target=0),),
                    ),
                ]
            )
            self.never.append((row, 0))
            return
        self._law(
            [
                Law(
                    coefficients={**{k: amperes / floor * c for k, c in v.items()}, i: -1.0},
                    guards=(Guard(coefficients=turned, constant=floor, target=1),),
                ),
                Law(
                    coefficients={i: -1.0},
                    constant=amperes,
                    guards=(Guard(coefficients=v, constant=-floor, target=0),),
                ),
            ]
        )

    def core(self, name: str, a: str, b: str, henries: float, knee: float, saturated: float) -> None:
        """A magnetizing branch of two slopes: d flux/dt = va - vb, the current by the flux."""
        i, flux = self._current(name, a, b), self._unknown(f"f:{name}")
        self._law([Law(coefficients=self.across(a, b))], slope={flux: 1.0})
        top = henries * knee
        self._law(
            [
                Law(
                    coefficients={flux: 1.0 / saturated, i: -1.0},
                    constant=sign * (knee - top / saturated),
                    guards=(Guard(coefficients={flux: sign}, constant=-top, target=1),),
                )
                if sign
                else Law(
                    coefficients={flux: 1.0 / henries, i: -1.0},
                    guards=(
                        Guard(coefficients={flux: 1.0}, constant=top, target=0),
                        Guard(coefficients={flux: -1.0}, constant=top, target=2),
                    ),
                )
                for sign in (-1.0, 0.0, 1.0)
            ],
            start=1,
        )

    def regulator(
        self,
        name: str,
        a: str,
        b: str,
        reference: str,
        *,
        volts: float,
        dropout: float,
        limit: float | None = None,
        coupling: float = 0.0,
        mean: float = 0.0,
        side: float = 1.0,
    ) -> None:
        """Holds the output, or passes the input less its dropout, or its limit; ``side`` is -1 on a negative rail."""
        i = self._current(name, a, b)
        hold = _sum(self.across(b, reference, -side), self.across(a, reference, side * coupling))
        level = volts - coupling * mean
        room, short = self.across(a, b, side), self.across(a, b, -side)
        less = {k: -c for k, c in hold.items()}
        limits = () if limit is None else (Guard(coefficients={i: -side}, constant=limit, target=2),)
        flows = {i: side}
        self._law(
            [
                Law(
                    coefficients=hold,
                    constant=level,
                    guards=(
                        Guard(coefficients=room, constant=-dropout, target=1),
                        *limits,
                        Guard(coefficients=flows, constant=0.0, target=3),
                    ),
                ),
                Law(
                    coefficients=room,
                    constant=-dropout,
                    guards=(
                        Guard(coefficients=hold, constant=level, target=0),
                        *limits,
                        Guard(coefficients=flows, constant=0.0, target=4),
                    ),
                ),
                Law(
                    coefficients=flows,
                    constant=-(limit or 0.0),
                    guards=(
                        Guard(coefficients=hold, constant=level, target=0),
                        Guard(coefficients=room, constant=-dropout, target=1),
                    ),
                ),
                Law(coefficients={i: 1.0}, guards=(Guard(coefficients=less, constant=-level, target=0),)),
                Law(coefficients={i: 1.0}, guards=(Guard(coefficients=short, constant=dropout, target=1),)),
            ],
            start=4,
        )

    # -- parts with a curve --------------------------------------------------------------------------------------

    def exponential_diode(
        self, name: str, anode: str, cathode: str, saturation: float, volts: float, ohms: float
    ) -> None:
        """i = I (exp(u / U) - 1) with the junction's u behind the resistance; ``volts`` is U, ideality included."""
        i, u = self._current(name, anode, cathode), self._unknown(f"u:{name}")
        self._law([Law(coefficients={**self.across(anode, cathode), i: -ohms, u: -1.0})])
        row = self._law([Law(coefficients={u: LEAK, i: -1.0}, constant=-saturation)])
        knee = volts * math.log(volts / (math.sqrt(2.0) * saturation))

        def limit(old: float, new: float) -> float:
            """Newton's step on an exponential overshoots: above the knee it goes by the logarithm."""
            if new > knee and abs(new - old) > 2.0 * volts:
                if old > 0.0:
                    rise = 1.0 + (new - old) / volts
                    return old + volts * math.log(rise) if rise > 0.0 else knee
                return volts * math.log(new / volts) if new > volts else new
            return new

        self.curves.append(
            Curve(
                row=row,
                unknown=u,
                value=lambda x: saturation * math.exp(min(x / volts, 300.0)),
                slope=lambda x: saturation / volts * math.exp(min(x / volts, 300.0)),
                limit=limit,
            )
        )

    def power_load(self, name: str, a: str, b: str, watts: float, floor: float) -> None:
        """i = P / v, below ``floor`` the resistor that takes P there."""
        i, v = self._current(name, a, b), self._unknown(f"p:{name}")
        self._law([Law(coefficients={**self.across(a, b), v: -1.0})])
        row = self._law([Law(coefficients={i: -1.0})])
        self.curves.append(
            Curve(
                row=row,
                unknown=v,
                value=lambda x: watts / x if x > floor else watts * x / floor**2,
                slope=lambda x: -watts / x**2 if x > floor else watts / floor**2,
            )
        )

    # -- matrices ------------------------------------------------------------------------------------------------

    def vector(self, coefficients: Mapping[str, float]) -> Any:
        """Coefficients as a row over the unknowns."""
        row = np.zeros(len(self.unknowns))
        for name, value in coefficients.items():
            row[self.unknowns[name]] += value
        return row

    def current_balance(self) -> Any:
        """One row per node: the currents that leave it."""
        return np.array([self.vector(at) for at in self.leaving.values()])


def _sum(*parts: Mapping[str, float]) -> dict[str, float]:
    total: dict[str, float] = {}
    for part in parts:
        for name, value in part.items():
            total[name] = total.get(name, 0.0) + value
    return total
