"""Integrates a switched circuit from one switching instant to the next and finds its steady period."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

#: Relative and absolute tolerance of every integration. The 30-digit reference numbers of the
#: reservoir bridge come back within 1e-10 with these.
RELATIVE_TOLERANCE = 1e-11
ABSOLUTE_TOLERANCE = 1e-13

#: Longest step as a share of the period, so that no short conduction is stepped over.
LONGEST_STEP = 1 / 60

#: A switching condition nearer to zero than this (volts or amperes) counts as zero on entry.
AT_THE_EDGE = 1e-9

#: A condition at zero must fall by more than this within the nudge to count as falling: a source inductance
#: starts with zero current and zero slope. [V, A]
FALLING = 1e-12

#: More switchings than this in one period means that the equations chatter.
SWITCHINGS_ALLOWED = 200

State = Sequence[Any]
Law = Callable[[Any, State], Any]


class RefereeError(AssertionError):
    """The referee could not give a verdict."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One conduction state of a circuit, with the equations that hold in it.

    ``slopes`` gives the derivative of every state; ``guards`` are functions that stay above zero
    while the mode lasts, each with the mode that follows when it falls through zero; ``outputs``
    gives whatever is to be measured and takes numbers as well as arrays; ``on`` names the
    conducting diodes; ``enter`` corrects the state on entry (a blocked choke carries exactly 0 A).
    """

    slopes: Law
    outputs: Callable[[Any, State], Mapping[str, Any]]
    guards: tuple[tuple[Law, str], ...] = ()
    on: frozenset[str] = frozenset()
    enter: Callable[[list[float]], list[float]] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """A circuit as its modes, a period and a first guess of the state at time 0."""

    modes: Mapping[str, Mode]
    period: float  # [s]
    guess: tuple[float, ...]
    first: str = "off"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One stretch of time spent in one mode, with the integrator's steps and its interpolant."""

    mode: str
    times: np.ndarray  # [s] step ends
    interpolant: Callable[[np.ndarray], np.ndarray]


def _settle(circuit: Circuit, mode: str, time: float, state: list[float]) -> tuple[str, list[float]]:
    """The mode that really holds at this instant, and the state corrected on entry."""
    nudge = 1e-8 * circuit.period
    for _ in range(20):
        equations = circuit.modes[mode]
        if equations.enter is not None:
            state = equations.enter(list(state))
        slopes = equations.slopes(time, state)
        ahead = [value + nudge * slope for value, slope in zip(state, slopes, strict=True)]
        for guard, target in equations.guards:
            now = float(guard(time, state))
            if now < -AT_THE_EDGE or (now <= AT_THE_EDGE and float(guard(time + nudge, ahead)) < now - FALLING):
                mode = target
                break
        else:
            return mode, state
    raise RefereeError(f"no mode holds at {time:.9g} s: the last one tried is {mode!r}")


def run(
    circuit: Circuit, state: Sequence[float], mode: str, *, record: bool = False
) -> tuple[list[float], str, list[Stretch]]:
    """One period from ``state``: the state and mode at its end, and the stretches if asked for."""
    time, end = 0.0, circuit.period
    current = [float(value) for value in state]
    stretches: list[Stretch] = []
    for _ in range(SWITCHINGS_ALLOWED):
        mode, current = _settle(circuit, mode, time, current)
        equations = circuit.modes[mode]
        events = []
        for guard, _target in equations.guards:

            def event(t: float, x: np.ndarray, guard: Law = guard) -> float:
                return guard(t, x.tolist())

            event.terminal = True  # type: ignore[attr-defined]
            event.direction = -1.0  # type: ignore[attr-defined]
            events.append(event)
        slopes = equations.slopes
        answer = solve_ivp(
            lambda t, x: slopes(t, x.tolist()),  # noqa: B023 - used within this turn only
            (time, end),
            np.asarray(current),
            method="DOP853",
            rtol=RELATIVE_TOLERANCE,
            atol=ABSOLUTE_TOLERANCE,
            max_step=LONGEST_STEP * circuit.period,
            events=events,
            dense_output=record,
        )
        if answer.status < 0:
            raise RefereeError(f"the integration stopped in mode {mode!r}: {answer.message}")
        if record and answer.t[-1] > time:
            stretches.append(Stretch(mode=mode, times=answer.t, interpolant=answer.sol))
        time, current = float(answer.t[-1]), answer.y[:, -1].tolist()
        if answer.status == 0:
            return current, mode, stretches
        fired = next(index for index, times in enumerate(answer.t_events) if len(times))
        mode = equations.guards[fired][1]
    raise RefereeError(f"more than {SWITCHINGS_ALLOWED} switchings in one period")


def steady_period(circuit: Circuit, *, accuracy: float = 1e-11) -> tuple[Stretch, ...]:
    """The stretches of one steady period: two plain periods, then Newton with a differenced Jacobian."""
    state, mode = list(circuit.guess), circuit.first
    for _ in range(2):
        state, mode, _ = run(circuit, state, mode)
    size = len(state)
    jacobian: np.ndarray | None = None
    before = math.inf
    for _ in range(30):
        image, after, _ = run(circuit, state, mode)
        miss = np.subtract(image, state)
        scale = np.maximum(np.abs(image), 1e-3)
        error = float(np.max(np.abs(miss) / scale))
        if error < accuracy:
            return tuple(run(circuit, image, after, record=True)[2])
        if jacobian is None or error > 0.05 * before:
            jacobian = np.empty((size, size))
            for column in range(size):
                step = 1e-6 * max(abs(state[column]), 1e-2)
                moved = list(state)
                moved[column] += step
                jacobian[:, column] = np.subtract(run(circuit, moved, mode)[0], image) / step
        before = error
        state = (np.asarray(state) + np.linalg.solve(np.eye(size) - jacobian, miss)).tolist()
        mode = after
    raise RefereeError(f"no steady period: the state still moves by {before:.3g} of itself")
