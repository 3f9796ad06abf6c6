"""One period of a circuit, from a state: the stretches between switching instants, and how they carry a change."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from railwright.solver.advance import advance
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import STALLED, NoProvableAnswer
from railwright.solver.pattern import Key, Pattern
from railwright.solver.switching import Scale, choose

#: Switching events in one period, per block, beyond which the circuit is said to chatter.
_EVENTS_PER_BLOCK = 60
#: Coarsest level of a recorded run: 64 cells a period, so that extremes are bracketed.
RECORDED = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of time with one pattern.

    times : array (steps + 1,)
        Since the period began. [s]
    states : array (steps + 1, states)
        X at those times.
    """

    pattern: Pattern
    times: Array
    states: Array

    @property
    def start(self) -> float:
        """When it begins. [s]"""
        return float(self.times[0])

    @property
    def end(self) -> float:
        """When it ends. [s]"""
        return float(self.times[-1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What one period did to a state."""

    end: Array  # X at the end, forcing included
    key: Key  # pattern in which it ended
    jacobian: Array  # (dynamic, dynamic): how a change of z at the start arrives at the end
    stretches: tuple[Stretch, ...]  # only if recorded
    jumps: tuple[float, ...] = ()  # [s] instants at which charge or flux jumped (an infinite current)
    grazing: bool = False  # an event touched rather than crossed: the jacobian isn't to be trusted
    events: int = 0


@dataclass
class Follower:
    """Runs a circuit through periods; keeps the scale of its states and its last pattern."""

    equations: Equations
    scale: Scale = field(init=False)
    key: Key = field(init=False)

    def __post_init__(self) -> None:
        layout = self.equations.layout
        states = np.zeros(layout.size)
        states[layout.dynamic :] = 1.0
        if layout.ramp is not None:
            states[layout.ramp] = self.equations.period
        self.scale = Scale(states=states)
        self.key = (0, *(block.start for block in self.equations.blocks))
        self._size_states()

    def _size_states(self) -> None:
        """A first idea of how large the states get, from the sources, so that rounding is judged from the start."""
        volts = 0.0
        for source in (*self.equations.sources, *self.equations.current_sources):
            pieces = max((abs(p.level) + abs(p.slope) * self.equations.period for p in source.pieces), default=0.0)
            size = sum(map(abs, (*source.cosine.values(), *source.sine.values()))) + abs(source.constant) + pieces
            if not source.is_current:
                volts = max(volts, size)
        for winding in self.equations.windings:
            volts = max(volts, volts / winding.ratio)
        states, flux = self.scale.states, volts * self.equations.period / (2.0 * np.pi)
        for name, place in self.equations.layout.states.items():
            states[place] = 1e-3 * flux  # fluxes of cores and saturating chokes
            if any(name == capacitor.name for capacitor in self.equations.capacitors):
                states[place] = 1e-3 * volts
        for inductor in self.equations.inductors:
            states[self.equations.layout.states[inductor.name]] = 1e-3 * flux / inductor.inductance

    def follow(self, dynamic: Array, *, record: bool = False, linearise: bool = True, key: Key | None = None) -> Run:
        """One period from the dynamic state `dynamic` at the rising zero of the mains."""
        equations, layout = self.equations, self.equations.layout
        count = layout.dynamic
        state = equations.forcing(0.0)
        state[:count] = dynamic
        rings = count > 1 or max(layout.orders, default=1) > 1 or layout.ramp is not None
        key = (0, *(key or self.key)[1:])
        self.scale.grow(state)
        pattern, entered = choose(equations, key, state, self.scale)
        jacobian = pattern.entry[:count, :count].copy()
        jumps: list[float] = []
        if np.any(np.abs(entered - state) > 1e-9 * np.maximum(self.scale.states, 1e-12)):
            jumps.append(0.0)
        state = entered
        coarsest = RECORDED if record else 0
        time, grade, events, grazing = 0.0, coarsest, 0, False
        stretches: list[Stretch] = []
        limit = _EVENTS_PER_BLOCK * (len(equations.blocks) + 1) * equations.network.mains_periods
        for number in range(1, len(equations.boundaries)):
            boundary = equations.boundaries[number]
            while True:
                times: list[float] = [0.0]
                states: list[Array] = [state]
                tolerances = self.scale.tolerances(pattern.guards, pattern.noise)
                after, elapsed, failing, grade = advance(
                    pattern.ladder, pattern.motion, pattern.guards, pattern.guard_rates, state, boundary - time,
                    equations.cell, tolerances, grade, coarsest, rings, times, states,
                )  # fmt: skip
                if linearise:
                    jacobian = self._carry(pattern, elapsed) @ jacobian
                if record and elapsed > 0.0:
                    stretches.append(Stretch(pattern=pattern, times=time + np.array(times), states=np.array(states)))
                for seen in states:
                    self.scale.grow(seen)
                time += elapsed
                state = after
                if failing < 0:
                    break
                events += 1
                if events > limit:
                    angle = 360.0 * time / equations.period * equations.network.mains_periods
                    raise NoProvableAnswer(STALLED.format(events=limit, angle=angle % 360.0))
                guard, rate = pattern.guards[failing], float(pattern.guard_rates[failing] @ state)
                following, entered = choose(equations, self._moved(pattern, failing, state), state, self.scale)
                if linearise:
                    before = (following.entry @ (pattern.motion @ state))[:count]  # as the entry lets it through
                    behind = (following.motion @ entered)[:count]
                    projector = following.entry[:count, :count]
                    jacobian_after = projector @ jacobian
                    steady = 1e4 * self.scale.tolerances(pattern.guard_rates, pattern.rate_noise)[failing]
                    if abs(rate) > steady:
                        slide = before - behind
                        jacobian_after -= np.outer(slide, guard[:count] @ jacobian) / rate
                    else:
                        grazing = True
                    jacobian = jacobian_after
                if np.any(np.abs(entered - state) > 1e-9 * np.maximum(self.scale.states, 1e-12)):
                    jumps.append(time)
                pattern, state = following, entered
                grade = len(pattern.ladder) - 1
                if boundary - time <= 1e-15 * equations.period:
                    break
            time = boundary
            state = np.concatenate([state[:count], equations.forcing(boundary)[count:]])
            if number < len(equations.boundaries) - 1:
                following, entered = choose(equations, (number, *pattern.key[1:]), state, self.scale)
                if linearise:
                    jacobian = following.entry[:count, :count] @ jacobian
                if np.any(np.abs(entered - state) > 1e-9 * np.maximum(self.scale.states, 1e-12)):
                    jumps.append(time)
                pattern, state = following, entered
                grade = len(pattern.ladder) - 1
        self.key = pattern.key
        return Run(
            end=state,
            key=pattern.key,
            jacobian=jacobian,
            stretches=tuple(stretches),
            jumps=tuple(jumps),
            grazing=grazing,
            events=events,
        )

    def _moved(self, pattern: Pattern, failing: int, state: Array) -> Key:
        """The pattern's key with every block moved whose guard fails at this instant: a bridge switches as one."""
        tolerance = 10.0 * self.scale.tolerances(pattern.guards, pattern.noise)
        together = (np.abs(pattern.guards @ state) <= tolerance) & (pattern.guard_rates @ state < 0.0)
        together[failing] = True
        key = list(pattern.key)
        for g in np.flatnonzero(together):
            key[1 + pattern.owners[g]] = int(pattern.targets[g])
        return tuple(key)

    def _carry(self, pattern: Pattern, elapsed: float) -> Array:
        """exp(M elapsed), dynamic part, put together from the ladder."""
        count = self.equations.layout.dynamic
        carry = np.eye(count)
        left, step = elapsed, self.equations.cell
        if not count:
            return carry
        for exponential in pattern.ladder:
            block = exponential[:count, :count]
            while left >= step:
                carry = block @ carry
                left -= step
            step *= 0.5
        rest = pattern.motion[:count, :count] * left
        total = np.eye(count)
        for order in range(14, 0, -1):
            total = np.eye(count) + rest @ total / order
        result: Array = total @ carry
        return result
