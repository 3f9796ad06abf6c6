"""What a network's many-segment parts are fitted to: found by one solve, used by the next."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Tuning:
    """Where the straight pieces of curved laws lie. Names that are absent take a first guess."""

    diode_peaks: Mapping[str, float] = field(default_factory=dict)  # [A] each diode's own peak current
    load_ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict)  # [V] of constant-power loads
    input_means: Mapping[str, float] = field(default_factory=dict)  # [V] mean input of each regulator
    slopes: int = 9  # straight conducting pieces of an exponential diode
    chords: int = 16  # of a constant-power load


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a network asks to be tuned to: the blocks and the nodes to measure."""

    diodes: tuple[str, ...] = ()  # exponential diodes: their peak currents
    loads: Mapping[str, tuple[str, str]] = field(default_factory=dict)  # constant-power loads: their nodes
    regulators: Mapping[str, tuple[str, str]] = field(default_factory=dict)  # input and reference nodes

    @property
    def nothing(self) -> bool:
        """Whether one solve is enough."""
        return not (self.diodes or self.loads or self.regulators)
