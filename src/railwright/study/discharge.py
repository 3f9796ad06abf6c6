"""After switch-off: how long the capacitors stay dangerous, and what they hold."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from railwright.network import build
from railwright.network.elements import Capacitor
from railwright.quantities import format_quantity
from railwright.readings import Reading
from railwright.solver.unplugged import FIRST_HORIZON, LAST_HORIZON, Decay, decay
from railwright.study.steady import Study, solve
from railwright.supply import without_load
from railwright.supply.model import Supply

#: [V] Taken as safe to touch if nobody says otherwise: a choice, no source.
SAFE_VOLTAGE = 10.0
#: [s] After which a second voltage is read.
LATER = 5.0

_MAINS = frozenset({"mains", "mains_l1", "mains_l2", "mains_l3"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Discharge:
    """The readings of a discharge."""

    title: str
    model: str
    readings: Mapping[str, Reading]
    notes: tuple[str, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """The object that `discharge --json` prints."""
        return {
            "title": self.title,
            "model": self.model,
            "readings": {name: reading.to_json() for name, reading in self.readings.items()},
            "notes": list(self.notes),
        }


def discharge(supply: Supply, model: str = "physical", *, to: float = SAFE_VOLTAGE) -> Discharge:
    """Unplug a supply at the peak of its capacitors (or from `[initial]`), load on and load off, and take the worse.

    Parameters
    ----------
    to : float
        Voltage that every capacitor has to fall below. [V]

    Raises
    ------
    NoProvableAnswer, NotSolvedYet
        As for `solve`.
    """
    study = solve(supply, model)
    start = _start(supply, study)
    energy = _energy(study, start)
    loaded, unloaded = (_Fall(each, model, study, start) for each in (supply, without_load(supply)))
    times = [fall.time_below(to) for fall in (loaded, unloaded)]
    never = any(time is None for time in times)
    readings = [Reading(id="supply.stored_energy", value=energy, unit="J")]
    if never:
        reason = (
            f"Without its load it stays above {format_quantity(to, 'V')} for more than three years: nothing discharges "
            "the capacitors. Fit a bleeder."
        )
        readings.append(Reading(id="supply.discharge.time", value=None, unit="s", reason=reason))
    else:
        worst = max(time for time in times if time is not None)
        readings.append(Reading(id="supply.discharge.time", value=worst, unit="s"))
    later = max(fall.voltage_after(LATER) for fall in (loaded, unloaded))
    readings.append(Reading(id="supply.discharge.voltage_after_5s", value=later, unit="V"))
    notes = [*study.notes, *_bleeder_note(supply, model, study, start, to)]
    return Discharge(title=supply.title, model=model, readings={r.id: r for r in readings}, notes=tuple(notes))


def _start(supply: Supply, study: Study) -> dict[str, float]:
    """Where each capacitor (and choke) stands when the plug is pulled: at its own peak, or as `[initial]` says."""
    rows = study.solution.rows
    states = study.solution.equations.layout.states
    names = [name for name in states if any(name == e.name for e in study.network.elements)]
    if not names:
        return dict(supply.initial)
    lowest, highest = study.solution.ranges([rows.state(name) for name in names])
    start = {
        name: float(high if abs(high) >= abs(low) else low)
        for name, low, high in zip(names, lowest, highest, strict=True)
    }
    chokes = [name for name in start if not _is_capacitor(study, name)]
    for name in chokes:
        start[name] = 0.0  # a choke's current is gone within milliseconds, and would only shorten the wait
    start.update(supply.initial)
    return start


def _is_capacitor(study: Study, name: str) -> bool:
    return any(isinstance(e, Capacitor) and e.name == name for e in study.network.elements)


def _capacitances(study: Study) -> dict[str, float]:
    return {e.name: e.capacitance for e in study.network.elements if isinstance(e, Capacitor)}


def _energy(study: Study, start: Mapping[str, float]) -> float:
    return sum(0.5 * c * start.get(name, 0.0) ** 2 for name, c in _capacitances(study).items())


class _Fall:
    """One discharge, looked at over longer and longer horizons."""

    def __init__(self, supply: Supply, model: str, study: Study, start: Mapping[str, float]) -> None:
        self.network = build(supply, model, study.tuning)
        self.start = dict(start)
        self.watched = [name for name in _capacitances(study) if " " not in name]

    def _over(self, horizon: float) -> Decay:
        return decay(self.network, self.start, horizon=horizon, mains=_MAINS)

    def time_below(self, level: float) -> float | None:
        """When the last capacitor falls below a voltage; None if none does within the longest horizon. [s]"""
        horizon = FIRST_HORIZON
        while horizon <= LAST_HORIZON:
            found = self._over(horizon)
            rows = [found.solution.rows.state(name) for name in self.watched]
            passings = [found.last_passing(row, level) for row in rows]
            if all(passing is not None for passing in passings):
                return max((p for p in passings if p is not None), default=0.0)
            horizon *= 10.0
        return None

    def voltage_after(self, time: float) -> float:
        """Largest capacitor voltage at a time. [V]"""
        found = self._over(time)
        rows = [found.solution.rows.state(name) for name in self.watched]
        values = [abs(found.value(row, time * (1.0 - 1e-12))) for row in rows]
        return max(values, default=0.0)


def _bleeder_note(supply: Supply, model: str, study: Study, start: Mapping[str, float], to: float) -> tuple[str, ...]:
    """What the bleeder is worth: the wait without it, load off."""
    bled = [section for section in supply.filters if section.kind == "bleeder" and section.fitted]
    if not bled:
        return ()
    filters = tuple(
        replace(section, fitted=False) if section.kind == "bleeder" else section for section in supply.filters
    )
    time = _Fall(replace(without_load(supply), filters=filters), model, study, start).time_below(to)
    wait = "more than three years" if time is None else format_quantity(time, "s", digits=3)
    return (f"Should the bleeder fail, with the load off, the wait is {wait}.",)


def wait_in_words(seconds: float) -> str:
    """A wait as people say it."""
    if seconds >= 3600.0:
        return f"{seconds / 3600.0:.3g} hours"
    if seconds >= 60.0:
        return f"{seconds / 60.0:.3g} minutes"
    return f"{math.ceil(seconds * 10.0) / 10.0:g} seconds"
