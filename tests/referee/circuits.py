"""State equations of each rectifier circuit, worked out by hand and written one mode at a time.

Letters, as on the worksheet: e source EMF, i current, v capacitor voltage behind its series resistance,
u rail voltage, r series resistance of a capacitor, R load, d diode drop, q diode resistance, s source
resistance. A capacitor with series resistance r beside a resistor R looks, from the rectifier, like a
source k v behind p, where k = R / (R + r) and p = R r / (R + r); with r = 0 that is v itself.

Diodes are a drop d behind a resistance q when they conduct, and open otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import lambertw

from referee.integration import Circuit, Mode, State

Emf = Callable[[Any], Any]


def sine(peak: float, frequency: float, harmonics: tuple[tuple[int, float, float], ...] = ()) -> Emf:
    """A sine EMF with harmonics given as (order, ratio, phase in degrees of the harmonic's own sine)."""
    w = 2 * math.pi * frequency

    def emf(time: Any) -> Any:
        if isinstance(time, float):
            value = math.sin(w * time)
            for order, ratio, phase in harmonics:
                value += ratio * math.sin(order * w * time + math.radians(phase))
            return peak * value
        value = np.sin(w * time)
        for order, ratio, phase in harmonics:
            value = value + ratio * np.sin(order * w * time + np.radians(phase))
        return peak * value

    return emf


@dataclass(frozen=True, kw_only=True)
class Rail:
    """A capacitor with series resistance beside a resistive load, as the rectifier sees it."""

    capacitance: float  # [F]
    esr: float  # [ohm]
    load: float  # [ohm]

    @property
    def share(self) -> float:
        return self.load / (self.load + self.esr)

    @property
    def resistance(self) -> float:
        return self.load * self.esr / (self.load + self.esr)

    def voltage(self, v: Any, i: Any) -> Any:
        """u for the capacitor voltage v and the rectifier current i."""
        return self.share * v + self.resistance * i

    def slope(self, v: Any, i: Any) -> Any:
        """dv/dt: what the load leaves over goes into the capacitor."""
        return (i - self.voltage(v, i) / self.load) / self.capacitance


def bridge_reservoir(
    emf: Emf,
    frequency: float,
    *,
    source: float,
    drop: float,
    resistance: float,
    rail: Rail,
    drops: int = 2,
    halves: tuple[int, ...] = (1, -1),
) -> Circuit:
    """Rectifier straight into a reservoir: bridge (two drops, both halves), half-wave (one drop, one half).

    A bridge with one open diode is ``halves = (1,)`` or ``(-1,)``. One state, v.
    """
    total = source + drops * resistance
    names = {1: frozenset({"D1", "D4"}), -1: frozenset({"D2", "D3"})} if drops == 2 else {1: frozenset({"D1"})}

    def current(sign: int, t: Any, v: Any) -> Any:
        return (sign * emf(t) - drops * drop - rail.share * v) / (total + rail.resistance)

    def outputs(sign: int, t: Any, x: State) -> Mapping[str, Any]:
        i = current(sign, t, x[0]) if sign else 0.0 * x[0]
        u = rail.voltage(x[0], i)
        on, drop_now = i, drop + resistance * i
        e = emf(t)
        # Blocked: in a bridge D3 holds winding a one drop below the negative rail; with nothing on, the two
        # blocked diodes of a leg pair share alike. In a half-wave D1 alone takes rail less source.
        if drops == 1:
            reverse = u - e if not sign else -drop_now
        else:
            reverse = {1: -drop_now, -1: u + drop_now, 0: (u - e) / 2}[sign]
        return {
            "load.voltage": u,
            "load.current": u / rail.load,
            "D1.current": on if sign == 1 else 0.0 * x[0],
            "D2.current": on if sign == -1 else 0.0 * x[0],
            "C1.current": i - u / rail.load,
            "C1.voltage": u,
            "mains.current": sign * i,
            "mains.voltage": e - source * sign * i,
            "emf": e,
            "D1.reverse": reverse,
        }

    def mode(sign: int) -> Mode:
        if sign:
            return Mode(
                slopes=lambda t, x: (rail.slope(x[0], current(sign, t, x[0])),),
                guards=((lambda t, x: current(sign, t, x[0]), "off"),),
                outputs=lambda t, x: outputs(sign, t, x),
                on=names[sign],
            )
        return Mode(
            slopes=lambda t, x: (rail.slope(x[0], 0.0),),
            guards=tuple((lambda t, x, s=s: -current(s, t, x[0]), {1: "forward", -1: "backward"}[s]) for s in halves),
            outputs=lambda t, x: outputs(0, t, x),
        )

    modes = {"off": mode(0), "forward": mode(1)}
    if -1 in halves:
        modes["backward"] = mode(-1)
    if 1 not in halves:
        del modes["forward"]
    guess = 0.9 * abs(emf(0.25 / frequency)) - drops * drop
    return Circuit(modes=modes, period=1 / frequency, guess=(guess,))


def bridge_pi(
    emf: Emf,
    frequency: float,
    *,
    source: float,
    inductance: float,
    drop: float,
    resistance: float,
    first: tuple[float, float],
    choke: tuple[float, float],
    last: Rail,
) -> Circuit:
    """Source inductance, bridge, capacitor, choke, capacitor. States: source current, v1, choke current, v2."""
    c1, r1 = first
    henry, winding = choke

    def rails(sign: int, x: State) -> tuple[Any, Any]:
        return x[1] + r1 * (sign * x[0] - x[2]), last.voltage(x[3], x[2])

    def slopes(sign: int, t: Any, x: State) -> tuple[Any, ...]:
        u1, u2 = rails(sign, x)
        i = sign * x[0]
        rise = sign * (sign * emf(t) - (source + 2 * resistance) * i - 2 * drop - u1) / inductance if sign else 0.0
        return (rise, (i - x[2]) / c1, (u1 - winding * x[2] - u2) / henry, last.slope(x[3], x[2]))

    def outputs(sign: int, t: Any, x: State) -> Mapping[str, Any]:
        u1, u2 = rails(sign, x)
        none = 0.0 * x[1]
        return {
            "load.voltage": u2,
            "C1.voltage": u1,
            "C1.current": sign * x[0] - x[2],
            "C2.current": x[2] - u2 / last.load,
            "L1.current": x[2] + none,
            "D1.current": x[0] + none if sign == 1 else none,
            "D2.current": -x[0] + none if sign == -1 else none,
            "mains.current": x[0] + none,
        }

    def mode(sign: int) -> Mode:
        names = {1: frozenset({"D1", "D4"}), -1: frozenset({"D2", "D3"}), 0: frozenset()}
        if sign:
            guards = ((lambda t, x: sign * x[0], "off"),)
            enter = None
        else:
            guards = (
                (lambda t, x: 2 * drop + rails(0, x)[0] - emf(t), "forward"),
                (lambda t, x: 2 * drop + rails(0, x)[0] + emf(t), "backward"),
            )

            def enter(x: list[float]) -> list[float]:
                return [0.0, *x[1:]]

        return Mode(
            slopes=lambda t, x: slopes(sign, t, x),
            guards=guards,
            outputs=lambda t, x: outputs(sign, t, x),
            on=names[sign],
            enter=enter,
        )

    guess = 0.8 * abs(emf(0.25 / frequency)) - 2 * drop
    return Circuit(
        modes={"off": mode(0), "forward": mode(1), "backward": mode(-1)},
        period=1 / frequency,
        guess=(0.0, guess, guess / last.load, guess),
    )


def bridge_choke_input(
    emf: Emf,
    frequency: float,
    *,
    source: float,
    drop: float,
    resistance: float,
    choke: tuple[float, float],
    rail: Rail,
    inductance: float = 0.0,
) -> Circuit:
    """Bridge into a choke. States: choke current, v; and the source current where it has an inductance.

    With all four diodes on (commutation), D1 = D4 = (i_choke + i_source) / 2 and D2 = D3 = the difference:
    the bridge shows q i_source to the source and -(2 d + q i_choke) to the choke.
    """
    henry, winding = choke
    line = source + 2 * resistance
    sharing = source + resistance

    def source_current(mode: str, t: Any, x: State) -> Any:
        if mode == "forward":
            return x[0]
        if mode == "backward":
            return -x[0]
        if mode == "off":
            return 0.0 * x[0]
        return x[2] if inductance else emf(t) / sharing

    def choke_voltage(mode: str, t: Any, x: State) -> Any:
        """Voltage across the choke's inductance alone."""
        u2 = rail.voltage(x[1], x[0])
        if mode == "off":
            return 0.0 * x[0]
        if mode == "overlap":
            return -2 * drop - (resistance + winding) * x[0] - u2
        sign = 1 if mode == "forward" else -1
        driving = sign * emf(t) - (line + winding) * x[0] - 2 * drop - u2
        return driving * henry / (henry + inductance)

    def bridge_voltage(mode: str, t: Any, x: State) -> Any:
        return choke_voltage(mode, t, x) + winding * x[0] + rail.voltage(x[1], x[0])

    def slopes(mode: str, t: Any, x: State) -> tuple[Any, ...]:
        rise = choke_voltage(mode, t, x) / henry
        states = (rise, rail.slope(x[1], x[0]))
        if not inductance:
            return states
        if mode == "overlap":
            return (*states, (emf(t) - sharing * x[2]) / inductance)
        return (*states, {"forward": rise, "backward": -rise, "off": 0.0 * rise}[mode])

    def outputs(mode: str, t: Any, x: State) -> Mapping[str, Any]:
        i = source_current(mode, t, x)
        u2 = rail.voltage(x[1], x[0])
        return {
            "load.voltage": u2,
            "L1.current": x[0],
            "L1.voltage": choke_voltage(mode, t, x) + winding * x[0],
            "C1.current": x[0] - u2 / rail.load,
            "D1.current": (x[0] + i) / 2,
            "D2.current": (x[0] - i) / 2,
            "mains.current": i,
        }

    def guards(mode: str) -> tuple[tuple[Callable[[Any, State], Any], str], ...]:
        if mode == "off":
            return (
                (lambda t, x: 2 * drop + rail.voltage(x[1], 0.0) - emf(t), "forward"),
                (lambda t, x: 2 * drop + rail.voltage(x[1], 0.0) + emf(t), "backward"),
            )
        stopped = (lambda t, x: x[0], "off")
        if mode == "overlap":
            return (
                stopped,
                (lambda t, x: x[0] - source_current(mode, t, x), "forward"),
                (lambda t, x: x[0] + source_current(mode, t, x), "backward"),
            )
        # The idle pair starts to conduct when the bridge is more than one leg's drops below zero.
        return (stopped, (lambda t, x: bridge_voltage(mode, t, x) + 2 * drop + resistance * x[0], "overlap"))

    def enter(mode: str, x: list[float]) -> list[float]:
        if mode == "off":
            return [0.0, x[1], *([0.0] if inductance else [])]
        if inductance and mode in ("forward", "backward"):
            return [x[0], x[1], x[0] if mode == "forward" else -x[0]]
        return x

    names = {
        "forward": frozenset({"D1", "D4"}),
        "backward": frozenset({"D2", "D3"}),
        "overlap": frozenset({"D1", "D2", "D3", "D4"}),
        "off": frozenset(),
    }
    modes = {
        name: Mode(
            slopes=lambda t, x, name=name: slopes(name, t, x),
            guards=guards(name),
            outputs=lambda t, x, name=name: outputs(name, t, x),
            on=on,
            enter=lambda x, name=name: enter(name, x),
        )
        for name, on in names.items()
    }
    guess = 0.6 * abs(emf(0.25 / frequency))
    start = (guess / rail.load, guess, *((0.0,) if inductance else ()))
    return Circuit(modes=modes, period=1 / frequency, guess=start, first="overlap")


def bridge_resistor_pi(
    emf: Emf,
    frequency: float,
    *,
    source: float,
    drop: float,
    resistance: float,
    first: tuple[float, float],
    resistor: float,
    last: Rail,
) -> Circuit:
    """Bridge, capacitor, series resistor, capacitor; bleeder and load together are ``last.load``. States v1, v2."""
    c1, r1 = first
    chain = resistor + last.resistance + r1

    def onward(x: State, i: Any) -> Any:
        """Current through the series resistor."""
        return (x[0] + r1 * i - last.share * x[1]) / chain

    def current(sign: int, t: Any, x: State) -> Any:
        behind = x[0] - r1 * (x[0] - last.share * x[1]) / chain
        return (sign * emf(t) - 2 * drop - behind) / (source + 2 * resistance + r1 - r1 * r1 / chain)

    def slopes(sign: int, t: Any, x: State) -> tuple[Any, ...]:
        i = current(sign, t, x) if sign else 0.0
        j = onward(x, i)
        return ((i - j) / c1, last.slope(x[1], j))

    def outputs(sign: int, t: Any, x: State) -> Mapping[str, Any]:
        none = 0.0 * x[0]
        i = current(sign, t, x) if sign else none
        j = onward(x, i)
        u2 = last.voltage(x[1], j)
        return {
            "load.voltage": u2,
            "C1.voltage": x[0] + r1 * (i - j),
            "C1.current": i - j,
            "C2.current": j - u2 / last.load,
            "R1.current": j,
            "D1.current": i if sign == 1 else none,
            "mains.current": sign * i,
        }

    def mode(sign: int, on: frozenset[str]) -> Mode:
        if sign:
            guards = ((lambda t, x: current(sign, t, x), "off"),)
        else:
            guards = ((lambda t, x: -current(1, t, x), "forward"), (lambda t, x: -current(-1, t, x), "backward"))
        return Mode(
            slopes=lambda t, x: slopes(sign, t, x), guards=guards, outputs=lambda t, x: outputs(sign, t, x), on=on
        )

    guess = 0.8 * abs(emf(0.25 / frequency)) - 2 * drop
    modes = {
        "off": mode(0, frozenset()),
        "forward": mode(1, frozenset({"D1", "D4"})),
        "backward": mode(-1, frozenset({"D2", "D3"})),
    }
    return Circuit(modes=modes, period=1 / frequency, guess=(guess, 0.9 * guess))


def centre_tap_reservoir(
    emf: Emf,
    frequency: float,
    *,
    primary: float,
    ratio: float,
    section: float,
    drop: float,
    resistance: float,
    rail: Rail,
) -> Circuit:
    """Centre tap into a reservoir. ``emf`` is the mains', ``primary`` all resistance on its side. One state, v.

    Only one half conducts at a time, so the primary resistance stands in its loop as primary / ratio^2.
    """
    # The bridge's equations hold with one drop in the loop: D1 from end a, D2 from end b.
    both = bridge_reservoir(
        lambda t: emf(t) / ratio,
        frequency,
        source=section + primary / ratio**2 + resistance,
        drop=drop / 2,
        resistance=0.0,
        rail=rail,
        drops=2,
    )

    def outputs(name: str, t: Any, x: State) -> Mapping[str, Any]:
        values = dict(both.modes[name].outputs(t, x))
        i = values["D1.current"] + values["D2.current"]
        half = emf(t) / ratio - primary / ratio**2 * values["mains.current"]
        # D1's anode is end a: its half's EMF behind the primary, less the drop of its own section.
        values["D1.reverse"] = values["load.voltage"] - (half - section * values["D1.current"])
        values["mains.current"] = values["mains.current"] / ratio
        values["tap.current"] = -i
        return values

    modes = {
        name: Mode(
            slopes=mode.slopes,
            guards=mode.guards,
            outputs=lambda t, x, name=name: outputs(name, t, x),
            on=frozenset({"forward": {"D1"}, "backward": {"D2"}, "off": set()}[name]),
        )
        for name, mode in both.modes.items()
    }
    return Circuit(modes=modes, period=1 / frequency, guess=both.guess)


def dual_rail(
    emf: Emf,
    frequency: float,
    *,
    primary: float,
    ratio: float,
    section: float,
    drop: float,
    resistance: float,
    positive: Rail,
    negative: Rail,
) -> Circuit:
    """Bridge about a centre tap, a reservoir on each rail. States: v of the positive, v of the negative rail.

    While e > 0 half a feeds the positive rail through D1 and half b the negative rail through D4; while
    e < 0 D2 and D3 do so. The two loops meet in the primary resistance, b = primary / ratio^2.
    """
    b = primary / ratio**2
    arms = {"P": positive, "N": negative}
    paths = {key: section + resistance + rail.resistance for key, rail in arms.items()}

    def currents(sign: int, live: str, t: Any, x: State) -> tuple[Any, Any]:
        driving = {
            "P": sign * emf(t) / ratio - drop - positive.share * x[0],
            "N": sign * emf(t) / ratio - drop - negative.share * x[1],
        }
        if live == "PN":
            # (a + b) i_P + b i_N = driving_P and b i_P + (c + b) i_N = driving_N, by Cramer's rule.
            a, c = paths["P"], paths["N"]
            determinant = (a + b) * (c + b) - b * b
            return (
                ((c + b) * driving["P"] - b * driving["N"]) / determinant,
                ((a + b) * driving["N"] - b * driving["P"]) / determinant,
            )
        if live == "P":
            return driving["P"] / (paths["P"] + b), 0.0 * x[0]
        if live == "N":
            return 0.0 * x[0], driving["N"] / (paths["N"] + b)
        return 0.0 * x[0], 0.0 * x[0]

    def idle(sign: int, live: str, arm: str, t: Any, x: State) -> Any:
        """How far the diode of an idle arm is from conducting. [V]"""
        v, rail = (x[0], positive) if arm == "P" else (x[1], negative)
        return drop + rail.share * v - (sign * emf(t) / ratio - b * sum(currents(sign, live, t, x)))

    def outputs(sign: int, live: str, t: Any, x: State) -> Mapping[str, Any]:
        p, n = currents(sign, live, t, x)
        up, un = positive.voltage(x[0], p), negative.voltage(x[1], n)
        none = 0.0 * x[0]
        return {
            "load_positive.voltage": up,
            "load_negative.voltage": -un,
            "load_across.voltage": up + un,
            "C1.current": p - up / positive.load,
            "C2.current": n - un / negative.load,
            "D1.current": p if sign > 0 else none,
            "D2.current": p if sign < 0 else none,
            "D3.current": n if sign < 0 else none,
            "D4.current": n if sign > 0 else none,
            "mains.current": sign * (p + n) / ratio,
            # Out of the winding through the tap lead: what came back from both rails, turned round.
            "tap.current": n - p,
        }

    names = {1: {"P": "D1", "N": "D4"}, -1: {"P": "D2", "N": "D3"}}
    modes: dict[str, Mode] = {}
    for sign, word in ((1, "forward"), (-1, "backward")):
        for live in ("P", "N", "PN"):
            guards = []
            for arm in "PN":
                if arm in live:
                    left = live.replace(arm, "")
                    guards.append(
                        (
                            lambda t, x, s=sign, o=live, k=arm: currents(s, o, t, x)["PN".index(k)],
                            f"{word} {left}" if left else "off",
                        )
                    )
                else:
                    guards.append((lambda t, x, s=sign, o=live, k=arm: idle(s, o, k, t, x), f"{word} PN"))
            modes[f"{word} {live}"] = Mode(
                slopes=lambda t, x, s=sign, o=live: (
                    positive.slope(x[0], currents(s, o, t, x)[0]),
                    negative.slope(x[1], currents(s, o, t, x)[1]),
                ),
                guards=tuple(guards),
                outputs=lambda t, x, s=sign, o=live: outputs(s, o, t, x),
                on=frozenset(names[sign][arm] for arm in live),
            )
    modes["off"] = Mode(
        slopes=lambda t, x: (positive.slope(x[0], 0.0), negative.slope(x[1], 0.0)),
        guards=tuple(
            (lambda t, x, s=sign, k=arm: idle(s, "", k, t, x), f"{word} {arm}")
            for sign, word in ((1, "forward"), (-1, "backward"))
            for arm in "PN"
        ),
        outputs=lambda t, x: outputs(1, "", t, x),
    )
    guess = 0.9 * abs(emf(0.25 / frequency)) / ratio - drop
    return Circuit(modes=modes, period=1 / frequency, guess=(guess, guess))


def dual_half_wave(
    emf: Emf,
    frequency: float,
    *,
    source: float,
    drop: float,
    resistance: float,
    positive: Rail,
    negative: Rail,
) -> Circuit:
    """One winding, D1 to the positive rail, D2 from the negative one. States: v of each rail's capacitor."""

    def current(arm: str, t: Any, x: State) -> Any:
        rail, v, e = (positive, x[0], emf(t)) if arm == "P" else (negative, x[1], -emf(t))
        return (e - drop - rail.share * v) / (source + resistance + rail.resistance)

    def outputs(arm: str, t: Any, x: State) -> Mapping[str, Any]:
        none = 0.0 * x[0]
        p = current("P", t, x) if arm == "P" else none
        n = current("N", t, x) if arm == "N" else none
        up, un = positive.voltage(x[0], p), negative.voltage(x[1], n)
        return {
            "load_positive.voltage": up,
            "load_negative.voltage": -un,
            "load_across.voltage": up + un,
            "D1.current": p,
            "D2.current": n,
            "C1.current": p - up / positive.load,
            "C2.current": n - un / negative.load,
            "mains.current": p - n,
        }

    def slopes(arm: str, t: Any, x: State) -> tuple[Any, ...]:
        return (
            positive.slope(x[0], current("P", t, x) if arm == "P" else 0.0),
            negative.slope(x[1], current("N", t, x) if arm == "N" else 0.0),
        )

    def mode(arm: str, guards: tuple[Any, ...], on: frozenset[str]) -> Mode:
        return Mode(
            slopes=lambda t, x: slopes(arm, t, x), guards=guards, outputs=lambda t, x: outputs(arm, t, x), on=on
        )

    modes = {
        "P": mode("P", ((lambda t, x: current("P", t, x), "off"),), frozenset({"D1"})),
        "N": mode("N", ((lambda t, x: current("N", t, x), "off"),), frozenset({"D2"})),
        "off": mode(
            "", ((lambda t, x: -current("P", t, x), "P"), (lambda t, x: -current("N", t, x), "N")), frozenset()
        ),
    }
    guess = 0.9 * abs(emf(0.25 / frequency)) - drop
    return Circuit(modes=modes, period=1 / frequency, guess=(guess, guess))


def full_wave_doubler(
    emf: Emf,
    frequency: float,
    *,
    source: float,
    drop: float,
    resistance: float,
    capacitance: float,
    esr: float,
    load: float,
) -> Circuit:
    """D1 charges C1, D2 charges C2, the load lies across both. States: v of C1, v of C2."""

    def load_current(x: State, i: Any) -> Any:
        # u1 + u2 = R I with u = v + r (own charging current - I); only one diode charges at a time.
        return (x[0] + x[1] + esr * i) / (load + 2 * esr)

    def current(arm: int, t: Any, x: State) -> Any:
        # arm e - d - (s + q) i = v + r (i - I), I as above.
        e, v = (emf(t), x[0]) if arm == 1 else (-emf(t), x[1])
        base = v - esr * (x[0] + x[1]) / (load + 2 * esr)
        return (e - drop - base) / (source + resistance + esr - esr * esr / (load + 2 * esr))

    def outputs(arm: int, t: Any, x: State) -> Mapping[str, Any]:
        none = 0.0 * x[0]
        i = current(arm, t, x) if arm else none
        j = load_current(x, i)
        one, two = (i if arm == 1 else none), (i if arm == 2 else none)
        return {
            "load.voltage": load * j,
            "D1.current": one,
            "D2.current": two,
            "C1.current": one - j,
            "C2.current": two - j,
            "mains.current": one - two,
        }

    def mode(arm: int, guards: tuple[Any, ...], on: frozenset[str]) -> Mode:
        def slopes(t: Any, x: State) -> tuple[Any, ...]:
            i = current(arm, t, x) if arm else 0.0
            j = load_current(x, i)
            return (((i if arm == 1 else 0.0) - j) / capacitance, ((i if arm == 2 else 0.0) - j) / capacitance)

        return Mode(slopes=slopes, guards=guards, outputs=lambda t, x: outputs(arm, t, x), on=on)

    modes = {
        "up": mode(1, ((lambda t, x: current(1, t, x), "off"),), frozenset({"D1"})),
        "down": mode(2, ((lambda t, x: current(2, t, x), "off"),), frozenset({"D2"})),
        "off": mode(0, ((lambda t, x: -current(1, t, x), "up"), (lambda t, x: -current(2, t, x), "down")), frozenset()),
    }
    guess = 0.9 * abs(emf(0.25 / frequency)) - drop
    return Circuit(modes=modes, period=1 / frequency, guess=(guess, guess))


def current_load(
    emf: Emf,
    frequency: float,
    *,
    source: float,
    drop: float,
    resistance: float,
    capacitance: float,
    current: float,
    floor: float,
    drops: int = 1,
    halves: tuple[int, ...] = (1,),
) -> Circuit:
    """A reservoir without series resistance, and a constant current that below ``floor`` is a resistor. State v."""

    def demand(level: str, v: Any) -> Any:
        return current + 0.0 * v if level == "full" else current * v / floor

    def charging(sign: int, t: Any, v: Any) -> Any:
        return (sign * emf(t) - drops * drop - v) / (source + drops * resistance) if sign else 0.0 * v

    words = {1: "forward", -1: "backward", 0: "off"}

    def outputs(sign: int, level: str, t: Any, x: State) -> Mapping[str, Any]:
        i = charging(sign, t, x[0])
        j = demand(level, x[0])
        return {
            "load.voltage": x[0],
            "load.current": j,
            "D1.current": i if sign == 1 else 0.0 * x[0],
            "C1.current": i - j,
            "mains.current": sign * i,
        }

    modes: dict[str, Mode] = {}
    for sign in (0, *halves):
        for level, other in (("full", "weak"), ("weak", "full")):
            if sign:
                switching = [(lambda t, x, s=sign: charging(s, t, x[0]), f"off {level}")]
            else:
                switching = [(lambda t, x, s=s: -charging(s, t, x[0]), f"{words[s]} {level}") for s in halves]
            edge = 1.0 if level == "full" else -1.0
            switching.append((lambda t, x, edge=edge: edge * (x[0] - floor), f"{words[sign]} {other}"))
            on = {1: {"D1", "D4"} if drops == 2 else {"D1"}, -1: {"D2", "D3"}, 0: set()}[sign]
            modes[f"{words[sign]} {level}"] = Mode(
                slopes=lambda t, x, s=sign, k=level: ((charging(s, t, x[0]) - demand(k, x[0])) / capacitance,),
                guards=tuple(switching),
                outputs=lambda t, x, s=sign, k=level: outputs(s, k, t, x),
                on=frozenset(on),
            )
    guess = 0.8 * abs(emf(0.25 / frequency)) - drops * drop
    return Circuit(modes=modes, period=1 / frequency, guess=(guess,), first="off full")


def magnetized_half_wave(
    emf: Emf,
    frequency: float,
    *,
    primary: float,
    magnetizing: float,
    ratio: float,
    section: float,
    drop: float,
    resistance: float,
    rail: Rail,
) -> Circuit:
    """Half-wave behind a transformer with a real magnetizing branch. States: magnetizing current m, v.

    e - P (m + i / n) = v_p, L dm/dt = v_p, v_p / n - (section + q) i - d = u.
    """

    def current(t: Any, x: State) -> Any:
        driving = (emf(t) - primary * x[0]) / ratio - drop - rail.share * x[1]
        return driving / (section + resistance + primary / ratio**2 + rail.resistance)

    def slopes(on: bool, t: Any, x: State) -> tuple[Any, ...]:
        i = current(t, x) if on else 0.0
        return ((emf(t) - primary * (x[0] + i / ratio)) / magnetizing, rail.slope(x[1], i))

    def outputs(on: bool, t: Any, x: State) -> Mapping[str, Any]:
        i = current(t, x) if on else 0.0 * x[1]
        u = rail.voltage(x[1], i)
        return {
            "load.voltage": u,
            "D1.current": i,
            "C1.current": i - u / rail.load,
            "mains.current": x[0] + i / ratio,
            "magnetizing.current": x[0] + 0.0 * i,
        }

    modes = {
        "on": Mode(
            slopes=lambda t, x: slopes(True, t, x),
            guards=((current, "off"),),
            outputs=lambda t, x: outputs(True, t, x),
            on=frozenset({"D1"}),
        ),
        "off": Mode(
            slopes=lambda t, x: slopes(False, t, x),
            guards=((lambda t, x: -current(t, x), "on"),),
            outputs=lambda t, x: outputs(False, t, x),
        ),
    }
    peak = abs(emf(0.25 / frequency))
    guess = 0.9 * peak / ratio - drop
    start = -peak / (2 * math.pi * frequency * magnetizing) - guess / rail.load / ratio
    return Circuit(modes=modes, period=1 / frequency, guess=(start, guess))


def bridge_regulator(
    emf: Emf,
    frequency: float,
    *,
    source: float,
    drop: float,
    resistance: float,
    capacitance: float,
    esr: float,
    output: float,
    dropout: float,
    load: float,
) -> Circuit:
    """Bridge, reservoir, series regulator that holds ``output`` or else passes u less ``dropout``. State v.

    Holding, the regulator draws output / load whatever u is; dropped out, (u - dropout) / load.
    """
    held = output / load

    def rail(sign: int, level: str, t: Any, x: State) -> tuple[Any, Any, Any]:
        """Rectifier current, rail voltage and regulator current."""
        line = source + 2 * resistance
        e = sign * emf(t) - 2 * drop
        if level == "held":
            # u = v + r (i - held) and e - line i = u.
            i = (e - x[0] + esr * held) / (line + esr) if sign else 0.0 * x[0]
            return i, x[0] + esr * (i - held), held + 0.0 * x[0]
        # u = v + r (i - (u - D) / R): u (1 + r / R) = v + r i + r D / R.
        base, behind = (x[0] + esr * dropout / load) * load / (load + esr), esr * load / (load + esr)
        i = (e - base) / (line + behind) if sign else 0.0 * x[0]
        u = base + behind * i
        return i, u, (u - dropout) / load

    def idle(sign: int, level: str, t: Any, x: State) -> Any:
        return 2 * drop + rail(0, level, t, x)[1] - sign * emf(t)

    words = {1: "forward", -1: "backward", 0: "off"}

    def outputs(sign: int, level: str, t: Any, x: State) -> Mapping[str, Any]:
        i, u, j = rail(sign, level, t, x)
        return {
            "load.voltage": load * j,
            "C1.voltage": u,
            "C1.current": i - j,
            "D1.current": i if sign == 1 else 0.0 * x[0],
            "mains.current": sign * i,
            "U1.power": u * j - load * j * j,
        }

    modes: dict[str, Mode] = {}
    for sign in (0, 1, -1):
        for level, other in (("held", "dropped"), ("dropped", "held")):
            if sign:
                switching = [(lambda t, x, s=sign, k=level: rail(s, k, t, x)[0], f"off {level}")]
            else:
                switching = [(lambda t, x, s=s, k=level: idle(s, k, t, x), f"{words[s]} {level}") for s in (1, -1)]
            edge = 1.0 if level == "held" else -1.0
            switching.append(
                (
                    lambda t, x, s=sign, k=level, edge=edge: edge * (rail(s, k, t, x)[1] - output - dropout),
                    f"{words[sign]} {other}",
                )
            )
            modes[f"{words[sign]} {level}"] = Mode(
                slopes=lambda t, x, s=sign, k=level: ((rail(s, k, t, x)[0] - rail(s, k, t, x)[2]) / capacitance,),
                guards=tuple(switching),
                outputs=lambda t, x, s=sign, k=level: outputs(s, k, t, x),
                on=frozenset({1: {"D1", "D4"}, -1: {"D2", "D3"}, 0: set()}[sign]),
            )
    guess = 0.9 * abs(emf(0.25 / frequency)) - 2 * drop
    return Circuit(modes=modes, period=1 / frequency, guess=(guess,), first="off held")


def exponential_reservoir(
    emf: Emf,
    frequency: float,
    *,
    source: float,
    saturation: float,
    slope_voltage: float,
    resistance: float,
    rail: Rail,
    drops: int = 2,
) -> Circuit:
    """A reservoir behind true exponential diodes: no switching, one mode, one state.

    Each diode is v = n U ln(1 + i / I) + q i. With m of them in the loop, x = e - k v is
    m n U ln(1 + i / I) + W i with W all resistance, and i + I = (m n U / W) w(z), w Lambert's function.
    """
    whole = source + drops * resistance + rail.resistance
    volts = drops * slope_voltage

    def current(x: Any) -> Any:
        exponent = (x + saturation * whole) / volts + np.log(saturation * whole / volts)
        # Beyond exp(600) the argument overflows; there w is a root of w + ln w = exponent, five Newton steps away.
        w = np.real(lambertw(np.exp(np.minimum(exponent, 600.0))))
        large = np.maximum(exponent, 600.0)
        root = large - np.log(large)
        for _ in range(5):
            root = root - (root + np.log(root) - large) / (1 + 1 / root)
        return volts / whole * np.where(exponent > 600.0, root, w) - saturation

    def both(t: Any, x: State) -> tuple[Any, Any]:
        up = current(emf(t) - rail.share * x[0])
        down = current(-emf(t) - rail.share * x[0]) if drops == 2 else 0.0 * up
        return up, down

    def outputs(t: Any, x: State) -> Mapping[str, Any]:
        up, down = both(t, x)
        u = rail.voltage(x[0], up + down)
        return {
            "load.voltage": u,
            "D1.current": up,
            "C1.current": up + down - u / rail.load,
            "mains.current": up - down,
        }

    mode = Mode(slopes=lambda t, x: (float(rail.slope(x[0], sum(both(t, x)))),), outputs=outputs)
    guess = 0.9 * abs(emf(0.25 / frequency)) - 0.7 * drops
    return Circuit(modes={"always": mode}, period=1 / frequency, guess=(guess,), first="always")
