"""A network: elements between named nodes, and the places where readings are taken."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from railwright.network.elements import Element
from railwright.network.exponential import ExponentialLaw
from railwright.network.tuning import Tuning, Wanted

PlaceKind = Literal[
    "ac", "dc", "diode", "capacitor", "choke", "resistor", "load", "probe", "core", "regulator", "zener"
]


class NotSolvedYet(Exception):
    """The sheet is right, but holds something that no network can be built for yet; the text says what."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a voltage and a current are read, each in the part's own direction."""

    name: str
    kind: PlaceKind
    plus: str | None = None  # node; None: no voltage is read here
    minus: str | None = None
    currents: tuple[tuple[str, float], ...] | None = None  # element and sign; None: no current is read here
    less_mean: bool = False  # the current's mean belongs to the core, not to the winding


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Everything the solver needs, and the names under which its answers are read."""

    title: str
    model: str
    elements: tuple[Element, ...]
    ground: str  # the reference node
    nodes: Mapping[str, str]  # sheet's node name -> node of the elements
    period: float  # [s] common to mains and loads
    mains_periods: int = 1  # in that period
    frequency: float | None  # [Hz] of the mains; None for direct voltage
    breakpoints: tuple[float, ...] = ()  # [s] known switching instants inside the period, rising
    places: Mapping[str, Place] = field(default_factory=dict)
    emf: Mapping[str, float] = field(default_factory=dict)  # [V] RMS of each winding section as used
    groups: tuple[tuple[str, ...], ...] = ()  # diodes that take over from each other
    wanted: Wanted = Wanted()  # what its many-segment parts are to be tuned to
    laws: Mapping[str, ExponentialLaw] = field(default_factory=dict)  # the true law of each exponential diode
    tuning: Tuning = Tuning()  # what its pieces were fitted to
    notes: tuple[str, ...] = ()  # what the output must say about how this network was made
