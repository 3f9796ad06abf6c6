"""The elements of a network: what the solver can connect between nodes.

Branch currents run from `a` to `b` through the element, except that a source and a secondary winding
deliver theirs out of `a` (of `c`) into the circuit. Everything is in SI units.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistor:
    """A resistance; zero is a wire whose current can still be read."""

    name: str
    a: str
    b: str
    resistance: float  # [ohm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacitor:
    """A capacitance with its series resistance."""

    name: str
    a: str
    b: str
    capacitance: float  # [F]
    esr: float = 0.0  # [ohm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Inductor:
    """An inductance with its winding resistance."""

    name: str
    a: str
    b: str
    inductance: float  # [H]
    resistance: float = 0.0  # [ohm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """What a source adds between two known instants: level + slope * (time since the period began)."""

    level: float  # [V] or [A]
    slope: float = 0.0  # [V/s] or [A/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A source of EMF, or of current, delivering out of `a`.

    Its value is `constant` + sum over orders n of cosine_n cos(n w t) + sine_n sin(n w t), plus the piece of the
    stretch between two breakpoints of the network's schedule.
    """

    name: str
    a: str
    b: str
    resistance: float = 0.0  # [ohm] in series with an EMF
    cosine: Mapping[int, float] = field(default_factory=dict)  # [V] or [A] by order
    sine: Mapping[int, float] = field(default_factory=dict)  # [V] or [A] by order
    constant: float = 0.0  # [V] or [A]
    pieces: tuple[Piece, ...] = ()  # one for each stretch of the schedule, or none
    is_current: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Winding:
    """An ideal transformer from `a`, `b` (primary) to `c`, `d`; v_ab = ratio * v_cd."""

    name: str
    a: str
    b: str
    c: str
    d: str
    ratio: float  # [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class StiffCore:
    """The limit of a very large magnetizing inductance between `a` and `b`.

    It carries one constant current, whatever makes the mean voltage across it zero: that is how a winding with
    resistance behaves when a half-wave circuit draws direct current through an unsaturated core.
    """

    name: str
    a: str
    b: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Law:
    """A linear form over a block's own quantities.

    across * (v_a - v_b) + output * (v_b - v_reference) + current * i + flux * flux + constant
    """

    across: float = 0.0
    output: float = 0.0
    current: float = 0.0
    flux: float = 0.0
    constant: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """A condition that a state must keep, `law` >= 0, and the state that it leads to when it fails."""

    law: Law
    target: int


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """One state of a block: its equation, `law` = 0, and its guards."""

    name: str
    law: Law
    guards: tuple[Guard, ...]
    blocks: bool = False  # carries no current: counts where floating nodes share their voltage


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Any non-linear part: a list of states, each one linear equation and its guards."""

    name: str
    a: str
    b: str
    states: tuple[State, ...]
    reference: str | None = None
    has_flux: bool = False
    start: int = 0  # the state in which a cold solve begins
    variants: tuple[tuple[State, ...], ...] = ()  # states in each stretch of the schedule, where they change

    def at(self, stretch: int) -> tuple[State, ...]:
        """The states that hold in a stretch of the schedule."""
        return self.variants[stretch] if self.variants else self.states


Element = Resistor | Capacitor | Inductor | Source | Winding | StiffCore | Block
