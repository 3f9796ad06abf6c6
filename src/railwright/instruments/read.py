"""Readings from a solution: the whole list of `railwright.readings`, as far as one steady period holds it.

Readings that need several solves (no load, regulation, output resistance) are made by the study, from these.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from railwright.instruments.meters import indicated
from railwright.instruments.observation import Observation, Wave
from railwright.network.elements import Capacitor, Inductor, Resistor
from railwright.network.network import Network, Place
from railwright.readings import ids_at, split
from railwright.solver.solution import Solution
from railwright.supply.model import Supply


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """A reading's value, or None and the sentence that says why there is none."""

    value: float | None
    reason: str = ""


def _ratio(above: float, below: float, reason: str) -> Value:
    if below == 0.0 or not math.isfinite(below):
        return Value(value=None, reason=reason)
    return Value(value=above / below)


def _none(reason: str) -> Value:
    return Value(value=None, reason=reason)


_NO_VOLTAGE = "There is no voltage here."
_NO_MEAN = "The mean is zero, so there is nothing to divide by."
_NO_CURRENT = "No current flows here, so there is nothing to divide by."
_NO_RIPPLE = "The voltage is constant: it has no ripple."


class Reader:
    """Reads one solution; `read` yields every reading that it holds."""

    def __init__(self, supply: Supply, network: Network, solution: Solution) -> None:
        self.supply, self.network, self.solution = supply, network, solution
        self.seen = Observation(network, solution)
        self.elements = {element.name: element for element in network.elements}
        self.impulses = bool(solution.steady.run.jumps)

    def read(self) -> dict[str, Value]:
        """Every reading, by id, in the order of the places."""
        found: dict[str, Value] = {}
        for place in self.network.places.values():
            for reading, value in self._place(place):
                found[reading] = value
        for reading, value in self._whole():
            found[reading] = value
        if self.impulses:
            self._mark_impulses(found)
        return found

    def _mark_impulses(self, found: dict[str, Value]) -> None:
        """Currents that would be infinite have no value."""
        reason = (
            "An infinite current flows for no time here: parts without any resistance meet at different voltages. "
            "State a small resistance, or ask for the textbook model."
        )
        behind_filter = ("load", "L", "R")
        for reading in found:
            name = split(reading)
            of_current = name.kind in ("current", "power") or reading.startswith("T1.")
            if of_current and not name.place.startswith(behind_filter):
                found[reading] = _none(reason)
        for reading in ("rectifier.power.dc_ratio", "supply.efficiency", "supply.power.loss"):
            if reading in found:
                found[reading] = _none(reason)

    # -- one place ------------------------------------------------------------------------------------------------------

    def _place(self, place: Place) -> Iterator[tuple[str, Value]]:
        name = place.name
        voltage, current = self.seen.voltages.get(name), self.seen.currents.get(name)
        for reading in ids_at(name, names=(name,)):
            _, kind, measure = split(reading)
            if kind == "voltage" and voltage is not None:
                maker = _VOLTAGE.get(measure)
                if maker is not None:
                    yield reading, maker(self, voltage)
            elif kind == "current" and current is not None:
                maker = _CURRENT.get(measure)
                if maker is not None:
                    yield reading, maker(self, current)
        if voltage is not None:
            yield from self._harmonics(f"{name}.voltage", voltage)
        if current is not None:
            yield from self._harmonics(f"{name}.current", current)
        special = {
            "diode": self._diode, "capacitor": self._capacitor, "choke": self._choke, "resistor": self._resistor,
            "probe": self._probe,
        }.get(place.kind)  # fmt: skip
        if special is not None:
            yield from special(place)

    def _harmonics(self, stem: str, wave: Wave) -> Iterator[tuple[str, Value]]:
        sizes = np.abs(wave.harmonics)
        for order in range(1, len(sizes)):
            yield f"{stem}.harmonic_{order}", Value(value=float(sizes[order]))

    def dc_total(self) -> float:
        """Mean of the load current, both loads of a dual rail together. [A]"""
        if self.supply.is_dual:
            across = self.seen.currents.get("load_across")
            extra = abs(across.mean) if across else 0.0
            return sum(abs(self.seen.currents[n].mean) for n in ("load_positive", "load_negative")) + 2.0 * extra
        return abs(self.seen.currents["load"].mean)

    def frequency_of_ripple(self, wave: Wave) -> Value:
        """Lowest line of 1/T whose RMS is over 5 % of the whole ripple."""
        if wave.ripple_rms <= 1e-9 * max(abs(wave.maximum), abs(wave.minimum)):
            return _none(_NO_RIPPLE)
        over = np.flatnonzero(wave.lines[1:] > 0.05 * wave.ripple_rms)
        if not len(over):
            return _none("No line up to the 40th harmonic of the mains holds 5 % of the ripple.")
        return Value(value=(float(over[0]) + 1.0) / self.network.period)

    # -- parts ----------------------------------------------------------------------------------------------------------

    def _diode(self, place: Place) -> Iterator[tuple[str, Value]]:
        name = place.name
        voltage, current = self.seen.voltages[name], self.seen.currents[name]
        conduction = self.seen.conducting([name])
        yield f"{name}.reverse_voltage.peak", Value(value=max(-voltage.minimum, 0.0))
        if current.rms == 0.0:
            yield f"{name}.forward_voltage.peak", _none("It carries no current.")
            yield f"{name}.current.mean_conducting", _none("It carries no current.")
        else:
            at_peak = self.solution.values([voltage.row], current.when_peak)[0]
            yield f"{name}.forward_voltage.peak", Value(value=float(at_peak))
            yield f"{name}.current.mean_conducting", (
                _ratio(current.mean * 360.0, conduction.angle, "It never conducts.")
            )
        blocks = name in {b.name for b in self.solution.equations.blocks}
        if not blocks and current.rms > 0.0:
            reason = "A shorted diode doesn't switch: it carries current in both directions."
            for measure in ("angle", "start", "end", "pulses"):
                yield f"{name}.conduction.{measure}", _none(reason)
        else:
            yield f"{name}.conduction.angle", Value(value=conduction.angle)
            yield f"{name}.conduction.pulses", Value(value=conduction.count)
            if conduction.pulses:
                start, end = min(conduction.pulses, key=lambda pulse: pulse[0])
                yield f"{name}.conduction.start", Value(value=start)
                whole = 360.0 * self.network.mains_periods
                yield f"{name}.conduction.end", Value(value=end - whole if end > whole + 1e-9 else end)
            else:
                reason = "It conducts all the time." if conduction.always else "It never conducts."
                yield f"{name}.conduction.start", _none(reason)
                yield f"{name}.conduction.end", _none(reason)
        yield f"{name}.power.mean", Value(value=self.seen.power(name))

    def _capacitor(self, place: Place) -> Iterator[tuple[str, Value]]:
        name = place.name
        element = self.elements.get(name)
        current = self.seen.currents[name]
        if not isinstance(element, Capacitor):
            reason = "It is open." if current.rms == 0.0 else "It is shorted: it holds no charge."
            yield f"{name}.power.mean", Value(value=0.0 if current.rms == 0.0 else self.seen.power(name))
            yield f"{name}.charge.ripple", _none(reason)
            yield f"{name}.energy.peak", _none(reason)
            return
        held = self.solution.measures([self.solution.rows.state(name)], harmonics=False)
        top = max(abs(held.maximum[0]), abs(held.minimum[0]))
        yield f"{name}.power.mean", Value(value=element.esr * current.rms**2)
        yield f"{name}.charge.ripple", Value(value=element.capacitance * float(held.maximum[0] - held.minimum[0]))
        yield f"{name}.energy.peak", Value(value=0.5 * element.capacitance * float(top) ** 2)

    def _choke(self, place: Place) -> Iterator[tuple[str, Value]]:
        name = place.name
        element, current = self.elements.get(name), self.seen.currents[name]
        resistance = element.resistance if isinstance(element, Inductor | Resistor) else 0.0
        yield f"{name}.power.mean", Value(value=resistance * current.rms**2)
        if current.minimum > 1e-9 * current.maximum:
            yield f"{name}.conduction.angle", Value(value=360.0)
            return
        # Current falls to zero and rests there: the time above a rounding of its peak.
        threshold = 1e-9 * max(abs(current.maximum), abs(current.minimum))
        yield f"{name}.conduction.angle", Value(value=self._time_above(current, threshold))

    def _time_above(self, wave: Wave, threshold: float) -> float:
        """Degrees per mains period in which abs(wave) exceeds a threshold."""
        period = self.network.period
        edges = sorted(
            {0.0, period, *self.solution.instants(wave.row, threshold), *self.solution.instants(wave.row, -threshold),
             *(s.start for s in self.solution.stretches)}
        )  # fmt: skip
        total = 0.0
        for start, end in zip(edges, edges[1:], strict=False):
            middle = float(self.solution.values([wave.row], 0.5 * (start + end))[0])
            if abs(middle) > threshold:
                total += end - start
        return total * self.seen.degrees_per_second / self.network.mains_periods

    def _resistor(self, place: Place) -> Iterator[tuple[str, Value]]:
        yield f"{place.name}.power.mean", Value(value=self.seen.power(place.name))

    def _probe(self, place: Place) -> Iterator[tuple[str, Value]]:
        probe = next(p for p in self.supply.probes if p.name == place.name)
        wave = self.seen.voltages[place.name]
        yield f"{place.name}.indicated", Value(value=indicated(probe.instrument, wave, self.solution))

    # -- the whole circuit -------------------------------------------------------------------------------------------------

    def _loads(self) -> list[str]:
        return [n for n in ("load", "load_positive", "load_negative", "load_across") if n in self.seen.currents]

    def _sections(self) -> list[str]:
        return [n for n in ("secondary_a", "secondary_b") if n in self.seen.currents] or ["secondary"]

    def _copper(self) -> float:
        total = 0.0
        for name in ("primary", *(f"{s} resistance" for s in self._sections())):
            element = self.elements.get(name)
            if isinstance(element, Resistor) and element.resistance > 0.0:
                wave = self.solution.measures([self.solution.rows.current(name)], harmonics=False)
                total += element.resistance * float(wave.rms[0]) ** 2
        return total

    def _whole(self) -> Iterator[tuple[str, Value]]:
        seen = self.seen
        voltage, current = seen.voltages["mains"], seen.currents["mains"]
        real, apparent = seen.power("mains"), voltage.rms * current.rms
        no_current = "No current flows from the mains."
        yield "mains.power.real", Value(value=real)
        yield "mains.power.apparent", Value(value=apparent)
        yield "mains.power.factor", _ratio(real, apparent, no_current)
        first_v, first_i = complex(voltage.harmonics[1]), complex(current.harmonics[1])
        if abs(first_i) > 1e-12 * max(current.rms, 1e-300) and abs(first_v) > 0.0:
            lag = math.degrees(np.angle(first_v * np.conj(first_i)))
            yield "mains.power.displacement_angle", Value(value=lag)
            yield "mains.power.displacement_factor", Value(value=math.cos(math.radians(lag)))
        else:
            yield "mains.power.displacement_angle", _none(no_current)
            yield "mains.power.displacement_factor", _none(no_current)
        yield "mains.power.distortion_factor", _ratio(abs(first_i), current.rms, no_current)

        sections = self._sections()
        secondary_apparent = sum(seen.voltages[s].rms * seen.currents[s].rms for s in sections)
        yield "secondary.power.real", Value(value=sum(seen.power(s) for s in sections))
        loads = self._loads()
        load_power = sum(seen.power(name) for name in loads)
        load_dc = sum(abs(seen.voltages[n].mean * seen.currents[n].mean) for n in loads)
        yield "load.power.mean", Value(value=load_power)
        yield "load.power.dc", Value(value=load_dc)
        copper = 0.0
        if self.supply.transformer is not None:
            copper = self._copper()
            emf = next(iter(self.network.emf.values()))
            yield "secondary.voltage.open_rms", Value(value=emf)
            yield "secondary.power.apparent", Value(value=secondary_apparent)
            no_load = "No current flows in the winding."
            yield "T1.utilisation.secondary", _ratio(load_dc, secondary_apparent, no_load)
            primary_apparent = seen.voltages["primary"].rms * seen.currents["primary"].rms
            yield "T1.utilisation.mean", _ratio(load_dc, 0.5 * (secondary_apparent + primary_apparent), no_load)
            yield "T1.power.mean", Value(value=copper)
            if "T1.magnetizing" in seen.currents:
                yield "T1.magnetizing.current.peak", Value(value=seen.currents["T1.magnetizing"].peak)
        conduction = seen.conducting(seen.diodes)
        yield "rectifier.conduction.angle", Value(value=conduction.angle)
        yield "rectifier.conduction.pulses", Value(value=conduction.count)
        yield "rectifier.overlap.angle", Value(value=self._overlap())
        diode_power = sum(seen.power(name) for name in seen.diodes)
        yield "rectifier.power.dc_ratio", _ratio(load_dc, load_power + diode_power + copper, "No power reaches the load.")
        yield "supply.efficiency", _ratio(load_power, real, no_current)
        yield "supply.power.loss", Value(value=real - load_power)
        if self.supply.is_dual:
            positive, negative = abs(seen.voltages["load_positive"].mean), abs(seen.voltages["load_negative"].mean)
            yield "supply.rail.imbalance", _ratio(positive - negative, 0.5 * (positive + negative), _NO_MEAN)

    def _overlap(self) -> float:
        longest = 0.0
        for group in self.network.groups:
            shared = self.seen.conducting(group, at_least=2)
            longest = max([longest, *(end - start for start, end in shared.pulses)])
            if shared.always:
                longest = 360.0
        return longest


def _ripple_factor(reader: Reader, wave: Wave) -> Value:
    return _ratio(wave.ripple_rms, abs(wave.mean), _NO_MEAN)


_VOLTAGE: dict[str, Callable[[Reader, Wave], Value]] = {
    "mean": lambda _, w: Value(value=w.mean),
    "rms": lambda _, w: Value(value=w.rms),
    "peak": lambda _, w: Value(value=w.peak),
    "valley": lambda _, w: Value(value=w.valley),
    "maximum": lambda _, w: Value(value=w.maximum),
    "minimum": lambda _, w: Value(value=w.minimum),
    "ripple_peak_to_peak": lambda _, w: Value(value=w.maximum - w.minimum),
    "ripple_rms": lambda _, w: Value(value=w.ripple_rms),
    "ripple_factor": _ripple_factor,
    "ripple_ratio": lambda _, w: _ratio(w.maximum - w.minimum, abs(w.mean), _NO_MEAN),
    "ripple_frequency": lambda r, w: r.frequency_of_ripple(w),
    "form_factor": lambda _, w: _ratio(w.rms, abs(w.mean), _NO_MEAN),
    "crest_factor": lambda _, w: _ratio(abs(w.peak), w.rms, _NO_VOLTAGE),
    "thd": lambda _, w: _ratio(
        float(np.sqrt((np.abs(w.harmonics[2:]) ** 2).sum())), float(abs(w.harmonics[1])), "It has no fundamental."
    ),
}
_CURRENT: dict[str, Callable[[Reader, Wave], Value]] = {
    "mean": lambda _, w: Value(value=w.mean),
    "rms": lambda _, w: Value(value=w.rms),
    "peak": lambda _, w: Value(value=w.peak),
    "valley": lambda _, w: Value(value=w.valley),
    "crest_factor": lambda _, w: _ratio(abs(w.peak), w.rms, _NO_CURRENT),
    "thd": lambda _, w: _ratio(
        float(np.sqrt((np.abs(w.harmonics[2:]) ** 2).sum())), float(abs(w.harmonics[1])), _NO_CURRENT
    ),
    "over_dc": lambda r, w: _ratio(w.rms, r.dc_total(), "No load current flows."),
}
