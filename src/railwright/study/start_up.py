"""From switch-on: the worst angle, the largest currents, how long until the rail has settled."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice
from typing import Any

import numpy as np

from railwright.network import build
from railwright.network.tuning import Tuning
from railwright.readings import Reading
from railwright.solver import Equations
from railwright.solver.elimination import Array
from railwright.solver.rows import Row, Rows
from railwright.solver.switch_on import Leg, legs, retuned
from railwright.study.steady import Study, Waveform, solve
from railwright.supply.model import Supply

#: [deg] Steps of the first look for the worst angle.
SCAN = 5.0
#: Straight pieces of an exponential diode while it looks.
SCANNED_SLOPES = 2
#: [deg] Width at which the golden section has found it.
FINE = 0.05
#: Mains periods looked at for the largest currents: they come at once, or a core takes a few.
FIRST_LEGS = 2
#: Per-period mean within this share of the steady one counts as settled; mains RMS within that one as steady.
SETTLED, STEADY = 0.01, 0.10
#: Mains periods after which the wait is given up.
LONGEST = 4000
#: Legs kept for the waveforms.
KEPT = 12
INFINITE = (
    "An infinite current would flow for no time: nothing between source and capacitor has a resistance. State that of "
    "the winding or source, or ask for the physical model."
)
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0


@dataclass(frozen=True)
class StartUp:
    """A supply from switch-on at its worst angle: readings, waveforms, and what was left out."""

    study: Study
    angle: float  # [deg]
    legs: tuple[Leg, ...]
    readings: Mapping[str, Reading]
    notes: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """The sheet's title."""
        return self.study.title

    @property
    def model(self) -> str:
        """The model that was solved."""
        return self.study.model

    @cached_property
    def times(self) -> Array:
        """Instants of the waveforms since switch-on. [s]"""
        return self._sampled([])[0]

    def waveform(self, name: str) -> Waveform:
        """A waveform over the first periods, such as `load.voltage` or `mains.current`."""
        row, unit = _row_of(self.study, Rows(self.legs[0].solution.equations), name)
        times, values = self._sampled([row])
        return Waveform(times=times, values=values[:, 0], unit=unit)

    def _sampled(self, rows: list[Row]) -> tuple[Array, Array]:
        times, values = [], []
        wanted = rows or [Rows(self.legs[0].solution.equations).nothing()]
        for leg in self.legs:
            instants, sampled = leg.solution.sample(wanted, 360)
            times.append(instants + leg.before)
            values.append(sampled)
        return np.concatenate(times), np.concatenate(values)

    def to_json(self) -> dict[str, Any]:
        """The object that `inrush --json` prints."""
        return {
            "title": self.title,
            "model": self.model,
            "readings": {name: reading.to_json() for name, reading in self.readings.items()},
            "notes": list(self.notes),
        }


def _row_of(study: Study, rows: Rows, name: str) -> tuple[Row, str]:
    place_name, _, kind = name.rpartition(".")
    place = study.network.places.get(place_name)
    if place is None:
        raise KeyError(f'There is no waveform "{name}".')
    if kind == "voltage" and place.plus is not None and place.minus is not None:
        return rows.voltage(place.plus, place.minus), "V"
    if kind == "current" and place.currents is not None:
        total = rows.nothing()
        for element, sign in place.currents:
            total = total + rows.current(element).scaled(sign)
        return total, "A"
    raise KeyError(f'There is no waveform "{name}".')


def start_up(supply: Supply, model: str = "physical", *, angle: float | None = None) -> StartUp:
    """Switch a supply on at the angle that draws the largest mains current, capacitors empty or as `[initial]` says.

    Parameters
    ----------
    angle : float or None
        A given angle instead of the worst. [deg]

    Raises
    ------
    NoProvableAnswer, NotSolvedYet
        As for `solve`.
    """
    study = solve(supply, model)
    return _Search(supply, model, study).start_up(angle)


class _Search:
    """Looks for the worst angle, the diodes fitted to the currents of the start-up itself."""

    def __init__(self, supply: Supply, model: str, study: Study) -> None:
        self.supply, self.model, self.study = supply, model, study
        self.lines = [n for n in ("mains", "mains_l1", "mains_l2", "mains_l3") if n in study.observation.currents]
        self.tuning = study.tuning
        self._equip(study.tuning)
        for _ in range(3 if study.network.laws else 0):
            self.tuning = retuned(study.tuning, self._diode_peaks(90.0))
            self._equip(self.tuning)

    def _equip(self, tuning: Tuning) -> None:
        self.equations = Equations(build(self.supply, self.model, tuning))
        self.rows = Rows(self.equations)

    @property
    def state(self) -> Array:
        """At rest, or as `[initial]` says."""
        state = np.zeros(self.equations.layout.dynamic)
        for name, value in self.supply.initial.items():
            if name in self.equations.layout.states:
                state[self.equations.layout.states[name]] = value
        return state

    def _legs(self, degrees: float, count: int) -> list[Leg]:
        return list(islice(legs(self.equations, self.state, degrees), count))

    def _diode_peaks(self, degrees: float) -> dict[str, float]:
        names = self.study.network.wanted.diodes
        rows = [self.rows.current(name) for name in names]
        peaks = np.max([leg.peaks(rows) for leg in self._legs(degrees, FIRST_LEGS)], axis=0)
        return {n: max(float(p), self.study.tuning.diode_peaks[n]) for n, p in zip(names, peaks, strict=True)}

    def _row(self, name: str) -> Row:
        return _row_of(self.study, self.rows, name)[0]

    def _peak(self, degrees: float) -> float:
        """Largest mains current from switch-on at an angle; infinite where charge jumps. [A]"""
        rows = [self._row(f"{line}.current") for line in self.lines]
        run = self._legs(degrees, FIRST_LEGS)
        if any(leg.solution.steady.run.jumps for leg in run):
            return math.inf
        return max(float(np.abs(leg.peaks(rows)).max()) for leg in run)

    def worst_angle(self) -> float:
        """Scan in steps with diodes of few pieces, then a golden section around the best with all of them."""
        angles = np.arange(0.0, 360.0, SCAN)
        if self.study.network.laws:
            self._equip(replace(self.tuning, slopes=SCANNED_SLOPES))
        peaks = np.array([self._peak(float(a)) for a in angles])
        self._equip(self.tuning)
        if np.isinf(peaks).any():
            # Somewhere charge jumps: of such angles the one at the peak of the mains moves most.
            infinite = angles[np.isinf(peaks)]
            return float(infinite[int(np.argmin(np.abs(infinite - 90.0)))])
        best = float(angles[int(np.argmax(peaks))])
        low, high = best - SCAN, best + SCAN
        a, b = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        at_a, at_b = self._peak(a), self._peak(b)
        while high - low > FINE:
            if at_a >= at_b:
                high, b, at_b = b, a, at_a
                a = high - _GOLDEN * (high - low)
                at_a = self._peak(a)
            else:
                low, a, at_a = a, b, at_b
                b = low + _GOLDEN * (high - low)
                at_b = self._peak(b)
        return (0.5 * (low + high)) % 360.0

    def start_up(self, angle: float | None) -> StartUp:
        """The run at the worst angle, and its readings."""
        degrees = self.worst_angle() if angle is None else angle % 360.0
        run = _Settling(self, degrees)
        readings = {reading.id: reading for reading in run.readings()}
        return StartUp(study=self.study, angle=degrees, legs=tuple(run.kept), readings=readings, notes=self._notes())

    def _notes(self) -> tuple[str, ...]:
        notes = list(self.study.notes)
        transformer = self.supply.transformer
        if transformer is not None and transformer.saturation_current is None:
            notes.append(
                "The transformer's core is left out, because its data (magnetizing_inductance, saturation_current, "
                "saturated_inductance) are not stated: a saturating core can draw far more at an angle near 0 degrees."
            )
        elif transformer is not None:
            notes.append("The core starts without residual flux; with it the first peak can be higher.")
        return tuple(notes)


class _Settling:
    """Follows a start-up until mean and mains current have settled, and reads it."""

    def __init__(self, search: _Search, degrees: float) -> None:
        self.search, self.degrees = search, degrees
        self.kept: list[Leg] = []
        study = search.study
        self.place = "load" if "load" in study.observation.voltages else "load_positive"
        target = study.observation.voltages[self.place].mean
        rms = math.sqrt(sum(study.observation.currents[line].rms ** 2 for line in search.lines))
        self.settled: float | None = None
        self.steady_at: float | None = None
        self.energy = 0.0
        self.overshoot = 0.0
        self.peaks: dict[str, float] = dict.fromkeys(study.observation.currents, 0.0)
        self._follow(target, rms)

    def _follow(self, target: float, rms: float) -> None:
        search = self.search
        voltage = search._row(f"{self.place}.voltage")  # noqa: SLF001  (its own search)
        lines = [search._row(f"{line}.current") for line in search.lines]  # noqa: SLF001
        currents = {name: search._row(f"{name}.current") for name in self.peaks}  # noqa: SLF001
        first = 0.0
        for number, leg in enumerate(legs(search.equations, search.state, self.degrees)):
            if number < KEPT:
                self.kept.append(leg)
                for name, peak in zip(currents, leg.peaks(list(currents.values())), strict=True):
                    if abs(peak) > abs(self.peaks[name]):
                        self.peaks[name] = float(peak)
            top = float(leg.peaks([voltage])[0])
            self.overshoot = top if abs(top) > abs(self.overshoot) else self.overshoot
            span = leg.end - leg.start
            mean = leg.integral(voltage) / span
            if abs(mean - target) > SETTLED * max(abs(target), 1e-300):
                self.settled = None
            elif self.settled is None:
                self.settled = leg.start
            if self.steady_at is None:
                heat = sum(leg.square_integral(row) for row in lines)
                first = max(first, heat)
                self.energy += heat
                if number > 0 and abs(math.sqrt(heat / span) - rms) <= STEADY * rms or heat <= 1e-6 * first:
                    self.steady_at = leg.end
            if number >= KEPT and self.settled is not None and self.steady_at is not None:
                break
            if number >= LONGEST:
                break

    @property
    def infinite(self) -> bool:
        """Whether charge jumps somewhere: parts without any resistance meet at different voltages."""
        return any(leg.solution.steady.run.jumps for leg in self.kept)

    def _inrush(self, name: str, peak: float) -> Reading:
        if self.infinite and not name.startswith(("load", "L", "R")):
            return Reading(id=f"{name}.current.inrush_peak", value=None, unit="A", reason=INFINITE)
        return Reading(id=f"{name}.current.inrush_peak", value=peak, unit="A")

    def readings(self) -> list[Reading]:
        """Everything that the list offers of a start-up."""
        found = [self._inrush(name, peak) for name, peak in self.peaks.items()]
        if "mains" not in self.peaks and self.search.lines:
            found.append(self._inrush("mains", max((self.peaks[line] for line in self.search.lines), key=abs)))
        found.append(Reading(id="supply.inrush.angle", value=self.degrees, unit="deg"))
        late = f"It has not settled after {LONGEST} mains periods."
        if self.infinite:
            found.append(Reading(id="mains.current.inrush_energy", value=None, unit="A²s", reason=INFINITE))
        elif self.steady_at is None:
            found.append(Reading(id="mains.current.inrush_energy", value=None, unit="A²s", reason=late))
        else:
            found.append(Reading(id="mains.current.inrush_energy", value=self.energy, unit="A²s"))
        if self.settled is None:
            found.append(Reading(id="load.voltage.settling_time", value=None, unit="s", reason=late))
        else:
            found.append(Reading(id="load.voltage.settling_time", value=self.settled, unit="s"))
        found.append(Reading(id="load.voltage.overshoot_peak", value=self.overshoot, unit="V"))
        return found
