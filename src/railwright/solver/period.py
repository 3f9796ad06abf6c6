"""One period of a circuit, from a state: the stretches between switching instants, and how they carry a change."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from railwright.solver.advance import UNTOLD
from railwright.solver.budget import SWITCHING, Budget
from railwright.solver.elimination import Array
from railwright.solver.equations import Equations
from railwright.solver.failure import STALLED, NoProvableAnswer
from railwright.solver.kernel import kernel
from railwright.solver.pattern import Key, Pattern
from railwright.solver.switching import Scale, choose

#: Switching events in one period, per block, beyond which the circuit is said to chatter.
_EVENTS_PER_BLOCK = 60
#: Steps that a search may take if nothing else is said.
LONGEST = 60_000
#: Share of the largest size that a state ever had that stays as its least.
_LEAST = 1e-9
#: Share of a state's size that counts as its rounding.
_ROUNDING = 1e-14
#: Modes where nobody needs them yet; in a recorded run nobody does, because it follows every ring.
NO_MODES = (np.zeros(0, dtype=complex), np.zeros((0, 0), dtype=complex), np.zeros((0, 0), dtype=complex))
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
    jumps: tuple[tuple[float, int], ...] = ()  # [s] when charge or flux jumped, and the state that jumped most
    grazing: bool = False  # an event touched rather than crossed: the jacobian isn't to be trusted
    events: int = 0


@dataclass
class Follower:
    """Runs a circuit through periods; keeps the scale of its states and its last pattern."""

    equations: Equations
    budget: Budget = field(default_factory=lambda: Budget(LONGEST))
    scale: Scale = field(init=False)
    key: Key = field(init=False)
    seen: Array = field(init=False)  # the largest size of each dynamic state in the present run
    ever: Array = field(init=False)  # and in all runs so far

    def __post_init__(self) -> None:
        layout = self.equations.layout
        states = np.zeros(layout.size)
        states[layout.dynamic :] = 1.0
        if layout.ramp is not None:
            states[layout.ramp] = self.equations.period
        self.scale = Scale(states=states)
        self.key = (0, *(block.start for block in self.equations.blocks))
        self._size_states()
        self.ever = self.scale.states[: layout.dynamic].copy()
        self.seen = np.zeros(layout.dynamic)

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

    def note(self, state: Array) -> None:
        """Take note of the size of a state."""
        self.scale.grow(state)
        np.maximum(self.seen, np.abs(state[: len(self.seen)]), out=self.seen)

    def _size_by_this_run(self) -> None:
        """What was large when the supply was switched on says nothing about rounding in the steady state."""
        np.maximum(self.ever, self.seen, out=self.ever)
        self.scale.states[: len(self.seen)] = np.maximum(self.seen, _LEAST * self.ever)
        self.seen = np.zeros(len(self.seen))

    def follow(
        self,
        dynamic: Array,
        *,
        record: bool = False,
        linearise: bool = True,
        key: Key | None = None,
        start: float = 0.0,
    ) -> Run:
        """One period from the dynamic state `dynamic`, or what is left of it from `start` on.

        Parameters
        ----------
        dynamic : array (dynamic,)
            z at the start.
        start : float
            Time since the rising zero of the mains. [s]
        """
        equations = self.equations
        state = equations.forcing(start)
        state[: equations.layout.dynamic] = dynamic
        self.note(state)
        first = equations.stretch_of(start)
        journey = _Journey(follower=self, time=start, coarsest=RECORDED if record else 0, record=record)
        journey.begin((first, *(key or self.key)[1:]), state, linearise=linearise)
        for number in range(first + 1, len(equations.boundaries)):
            journey.go_to(equations.boundaries[number])
            if number < len(equations.boundaries) - 1:
                journey.enter_stretch(number)
        self.key = journey.pattern.key
        self._size_by_this_run()
        return journey.run()


@dataclass
class _Journey:
    """Where a run has got to; every method takes it one step further."""

    follower: Follower
    time: float  # [s]
    coarsest: int
    record: bool
    pattern: Pattern = field(init=False)
    state: Array = field(init=False)
    jacobian: Array | None = None
    grade: int = 0
    events: int = 0
    grazing: bool = False
    jumps: list[tuple[float, int]] = field(default_factory=list)
    stretches: list[Stretch] = field(default_factory=list)

    def begin(self, key: Key, state: Array, *, linearise: bool) -> None:
        """Choose the first pattern."""
        count = self.follower.equations.layout.dynamic
        if linearise:
            self.jacobian = np.eye(count)
        self.grade = self.coarsest
        self._enter(key, state)
        if linearise:
            self.jacobian = self.pattern.entry[:count, :count].copy()

    def _enter(self, key: Key, state: Array) -> None:
        """Choose the pattern that holds from here, and note a jump on the way in."""
        scale = self.follower.scale
        self.pattern, self.state = choose(self.follower.equations, key, state, scale, self.follower.budget)
        if self.state is state:
            return
        jumped = np.abs(self.state - state) / np.maximum(scale.states, 1e-12)
        if np.any(jumped > 1e-9):
            self.jumps.append((self.time, int(jumped.argmax())))

    def go_to(self, boundary: float) -> None:
        """Follow the circuit, switching where guards fail, to a known instant."""
        equations, scale = self.follower.equations, self.follower.scale
        layout = equations.layout
        rings = layout.dynamic > 1 or max(layout.orders, default=1) > 1 or layout.ramp is not None
        limit = _EVENTS_PER_BLOCK * (len(equations.blocks) + 1) * equations.network.mains_periods
        while boundary - self.time > 1e-15 * equations.period:
            pattern = self.pattern
            rounding, rate_rounding = scale.rounding(pattern.watched[:2])
            told = self.record or pattern.modes.needed
            self.state, elapsed, failing, self.grade, tried, times, states = kernel().advance(
                pattern.ladder, pattern.motion, pattern.watched[0], pattern.watched[1], self.state,
                boundary - self.time, equations.cell, rounding, rate_rounding, pattern.noise[0], self.grade,
                self.coarsest, rings, not equations.rings, self.record,
                *(pattern.modes.found() if told and not self.record else NO_MODES), told, self.follower.budget.left,
            )  # fmt: skip
            if failing == UNTOLD:
                pattern.modes.needed = True
                self.follower.budget.spend(tried)
                continue
            if self.jacobian is not None:
                self.jacobian = self._carry(elapsed) @ self.jacobian
            if self.record and elapsed > 0.0:
                self.stretches.append(Stretch(pattern=pattern, times=self.time + times, states=states))
            self.follower.note(np.abs(states).max(axis=0))
            self.time += elapsed
            self.follower.budget.spend(tried + (SWITCHING if failing >= 0 else 0))
            if failing < 0:
                break
            self.events += 1
            if self.events > limit:
                angle = 360.0 * self.time / equations.period * equations.network.mains_periods
                raise NoProvableAnswer(STALLED.format(events=limit, angle=angle % 360.0))
            self._switch(failing)
        self.time = boundary
        count = layout.dynamic
        self.state = np.concatenate([self.state[:count], equations.forcing(boundary)[count:]])

    def enter_stretch(self, number: int) -> None:
        """Pass a known instant: the schedule's next stretch begins."""
        count = self.follower.equations.layout.dynamic
        self._enter((number, *self.pattern.key[1:]), self.state)
        if self.jacobian is not None:
            self.jacobian = self.pattern.entry[:count, :count] @ self.jacobian
        self.grade = len(self.pattern.ladder) - 1

    def _switch(self, failing: int) -> None:
        """Leave the pattern through a failing guard; a change of the state shifts the instant as well."""
        scale, count = self.follower.scale, self.follower.equations.layout.dynamic
        pattern, guard = self.pattern, self.pattern.watched[0, failing]
        if pattern.constrained:
            self.state = pattern.entry @ self.state
        state = self.state = self._on_threshold(guard, self.state)
        rate = float(pattern.watched[1, failing] @ state)
        self._enter(self._moved(failing), state)
        if self.jacobian is not None:
            following = self.pattern
            carried = following.entry[:count, :count] @ self.jacobian
            steady = 10.0 * float(scale.tolerances(pattern.watched[1, failing], pattern.noise[1, failing], state))
            if abs(rate) > steady:
                before = (following.entry @ (pattern.motion @ state))[:count]  # as the entry lets it through
                behind = (following.motion @ self.state)[:count]
                carried -= np.outer(before - behind, guard[:count] @ self.jacobian) / rate
            else:
                self.grazing = True
            self.jacobian = carried
        self.grade = len(self.pattern.ladder) - 1

    def _on_threshold(self, guard: Array, state: Array) -> Array:
        """The state with the rounding taken off that keeps a guard from exactly zero at its own instant.

        Behind a megohm the last digit of a current is a voltage that counts.
        """
        equations = self.follower.equations
        count = equations.layout.dynamic
        row = guard[:count]
        along = row / equations.weights**2
        steep = float(row @ along)
        shift = along * float(guard @ state) / steep if steep > 0.0 else np.zeros(count)
        if np.any(np.abs(shift) > _ROUNDING * self.follower.scale.states[:count]):
            return state
        moved = state.copy()
        moved[:count] -= shift
        return moved

    def _moved(self, failing: int) -> Key:
        """The pattern's key with every block moved whose guard fails at this instant: a bridge switches as one."""
        pattern, state = self.pattern, self.state
        tolerance = 10.0 * self.follower.scale.tolerances(pattern.watched[0], pattern.noise[0], state)
        value, rate = pattern.watched[:2] @ state
        together = (np.abs(value) <= tolerance) & (rate < 0.0)
        together[failing] = True
        return pattern.moved(np.flatnonzero(together))

    def _carry(self, elapsed: float) -> Array:
        """exp(M elapsed), dynamic part, put together from the ladder."""
        equations = self.follower.equations
        count = equations.layout.dynamic
        carry: Array | None = None
        left, step = elapsed, equations.cell
        if not count:
            return np.eye(count)
        for exponential in self.pattern.ladder:
            while left >= step:
                block = exponential[:count, :count]
                carry = block if carry is None else block @ carry
                left -= step
            step *= 0.5
        # What is left turns no motion by more than half a radian: the series to its eighth power, in few products.
        rest = self.pattern.motion[:count, :count] * left
        square = rest @ rest
        cube, fourth = square @ rest, square @ square
        identity = np.eye(count)
        total: Array = identity + rest + square / 2.0 + cube / 6.0
        total += fourth @ (identity / 24.0 + rest / 120.0 + square / 720.0 + cube / 5040.0 + fourth / 40320.0)
        return total if carry is None else total @ carry

    def run(self) -> Run:
        """What has happened."""
        count = self.follower.equations.layout.dynamic
        return Run(
            end=self.state,
            key=self.pattern.key,
            jacobian=self.jacobian if self.jacobian is not None else np.zeros((count, count)),
            stretches=tuple(self.stretches),
            jumps=tuple(self.jumps),
            grazing=self.grazing,
            events=self.events,
        )
