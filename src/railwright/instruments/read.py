"""Readings from a solution: the whole list of `railwright.readings`, as far as one steady period holds it.

Readings that need several solves (no load, regulation, output resistance) are made by the study, from these.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from railwright.instruments.meters import indicated
from railwright.instruments.observation import Observation, Wave
from railwright.network.elements import Capacitor, Inductor, Resistor
from railwright.network.network import Network, Place
from railwright.network.regulators import series_values
from railwright.network.winding import nominal_mains
from railwright.readings import UnknownReading, define, ids_at, split
from railwright.solver.rows import over_states, stack
from railwright.solver.solution import Solution
from railwright.supply.model import Regulator, Supply


@dataclass(frozen=True, slots=True, kw_only=True)
class Value:
    """A reading's value, or None and the sentence that says why there is none."""

    value: float | None
    reason: str = ""


def _ratio(above: float, below: float, reason: str) -> Value:
    if below == 0.0 or not math.isfinite(below):
        return Value(value=None, reason=reason)
    return Value(value=above / below)


def _is_known(reading: str, names: tuple[str, ...]) -> bool:
    try:
        define(reading, names=names)
    except UnknownReading:
        return False
    return True


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
        if self.supply.elements:
            names = tuple(self.network.places)
            found = {reading: value for reading, value in found.items() if _is_known(reading, names)}
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

    # -- one place ---------------------------------------------------------

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
        if place.kind == "core":
            return
        if voltage is not None:
            yield from self._harmonics(f"{name}.voltage", voltage)
        if current is not None:
            yield from self._harmonics(f"{name}.current", current)
        special = {
            "diode": self._diode, "capacitor": self._capacitor, "choke": self._choke, "resistor": self._resistor,
            "probe": self._probe, "zener": self._zener,
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

    # -- parts ---------------------------------------------------------

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
            yield (
                f"{name}.current.mean_conducting",
                (_ratio(current.mean * 360.0, conduction.angle, "It never conducts.")),
            )
        switches = name in {b.name for b in self.solution.equations.blocks}
        if not switches and current.rms > 0.0:
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
        lowest, highest = self._held[name]
        yield f"{name}.power.mean", Value(value=element.esr * current.rms**2)
        yield f"{name}.charge.ripple", Value(value=element.capacitance * (highest - lowest))
        yield f"{name}.energy.peak", Value(value=0.5 * element.capacitance * max(abs(highest), abs(lowest)) ** 2)

    @cached_property
    def _held(self) -> dict[str, tuple[float, float]]:
        """Smallest and largest voltage that each capacitor holds behind its series resistance. [V]"""
        names = [name for name, element in self.elements.items() if isinstance(element, Capacitor)]
        ends = zip(*self.solution.ranges([self.solution.rows.state(name) for name in names]), strict=True)
        return {name: (float(low), float(high)) for name, (low, high) in zip(names, ends, strict=True)}

    def _choke(self, place: Place) -> Iterator[tuple[str, Value]]:
        name = place.name
        element, current = self.elements.get(name), self.seen.currents[name]
        winding = self.elements.get(f"{name} resistance", element)  # a saturating choke's copper stands apart
        resistance = winding.resistance if isinstance(winding, Inductor | Resistor) else 0.0
        yield f"{name}.power.mean", Value(value=resistance * current.rms**2)
        yield f"{name}.conduction.angle", Value(value=self._flowing(current))

    def _flowing(self, wave: Wave) -> float:
        """Degrees per mains period in which a current flows: the stretches in which it isn't held at zero."""
        threshold = 1e-9 * max(abs(wave.maximum), abs(wave.minimum))
        total = 0.0
        for stretch in self.solution.stretches:
            form = over_states(stack([wave.row]), stretch.pattern)[0]
            if np.abs(stretch.states @ form).max() > threshold:
                total += stretch.end - stretch.start
        return total * self.seen.degrees_per_second / self.network.mains_periods

    def _resistor(self, place: Place) -> Iterator[tuple[str, Value]]:
        yield f"{place.name}.power.mean", Value(value=self.seen.power(place.name))

    def _probe(self, place: Place) -> Iterator[tuple[str, Value]]:
        probe = next(p for p in self.supply.probes if p.name == place.name)
        wave = self.seen.voltages[place.name]
        yield f"{place.name}.indicated", Value(value=indicated(probe.instrument, wave, self.solution))

    def _zener(self, place: Place) -> Iterator[tuple[str, Value]]:
        name = place.name
        current = self.seen.currents[name]
        yield f"{name}.current.mean", Value(value=current.mean)
        yield f"{name}.current.minimum", Value(value=current.minimum)
        yield f"{name}.current.peak", Value(value=current.peak)
        yield f"{name}.power.mean", Value(value=self.seen.power(name))

    def _regulators(self) -> Iterator[tuple[str, Value]]:
        for number, regulator in ((1, self._regulator(1)), (2, self._regulator(2))):
            name = f"U{number}"
            if regulator is None or f"{name}.input" not in self.seen.voltages:
                continue
            source, output = self.seen.voltages[f"{name}.input"], self.seen.voltages[f"{name}.output"]
            sign = -1.0 if source.mean < 0.0 else 1.0
            values = series_values(regulator, self.network.model)
            across = (source.row + output.row.scaled(-1.0)).scaled(sign)
            lowest, _ = self.solution.ranges([across, source.row.scaled(sign)])
            yield f"{name}.differential.minimum", Value(value=float(lowest[0]))
            margin = float(lowest[1]) - values.output - values.dropout
            yield f"{name}.headroom.minimum", Value(value=margin)
            out_of_regulation = ("dropout", "off, no headroom", "off, output high")
            yield f"{name}.dropout.angle", Value(value=self.seen.time_in(name, out_of_regulation))
            yield f"{name}.limiting.angle", Value(value=self.seen.time_in(name, ("limiting",)))
            power = self.seen.power(f"{name}.input") - self.seen.power(f"{name}.output")
            yield f"{name}.power.mean", Value(value=power)

    def _regulator(self, number: int) -> Regulator | None:
        supply = self.supply
        chosen = (supply.regulator or supply.regulator_positive) if number == 1 else supply.regulator_negative
        return chosen if chosen is not None and chosen.kind == "series" else None

    # -- the whole circuit ---------------------------------------------------------

    def _loads(self) -> list[str]:
        return [n for n in ("load", "load_positive", "load_negative", "load_across") if n in self.seen.currents]

    def _sections(self) -> list[str]:
        names = ("secondary_a", "secondary_b", "secondary_1", "secondary_2", "secondary_3", "secondary")
        return [name for name in names if name in self.seen.currents]

    def _lines(self) -> list[str]:
        return [name for name in ("mains", "mains_l1", "mains_l2", "mains_l3") if name in self.seen.currents]

    def _copper(self) -> float:
        """Loss in all windings' resistance. [W]"""
        windings = [
            element
            for name, element in self.elements.items()
            if isinstance(element, Resistor)
            and element.resistance > 0.0
            and (name.startswith("primary") or (name.startswith("secondary") and name.endswith("resistance")))
        ]
        if not windings:
            return 0.0
        rows = [self.solution.rows.current(element.name) for element in windings]
        rms = self.solution.measures(rows, harmonics=False).rms
        return float(sum(e.resistance * r**2 for e, r in zip(windings, rms, strict=True)))

    def _mains(self) -> Iterator[tuple[str, Value]]:
        """Powers at the outlet; three phases together."""
        seen, lines = self.seen, self._lines()
        voltages = [seen.voltages[name] for name in lines]
        currents = [seen.currents[name] for name in lines]
        real = sum(seen.power(name) for name in lines)
        apparent = math.sqrt(sum(v.rms**2 for v in voltages)) * math.sqrt(sum(i.rms**2 for i in currents))
        no_current = "No current flows from the mains."
        yield "mains.power.real", Value(value=real)
        yield "mains.power.apparent", Value(value=apparent)
        yield "mains.power.factor", _ratio(real, apparent, no_current)
        first = [complex(i.harmonics[1]) for i in currents]
        rms = math.sqrt(sum(i.rms**2 for i in currents))
        size = math.sqrt(sum(abs(f) ** 2 for f in first))
        fundamental = sum(complex(v.harmonics[1]) * np.conj(f) for v, f in zip(voltages, first, strict=True))
        if size > 1e-12 * max(rms, 1e-300) and abs(fundamental) > 0.0:
            lag = math.degrees(np.angle(fundamental))
            yield "mains.power.displacement_angle", Value(value=lag)
            yield "mains.power.displacement_factor", Value(value=math.cos(math.radians(lag)))
        else:
            yield "mains.power.displacement_angle", _none(no_current)
            yield "mains.power.displacement_factor", _none(no_current)
        yield "mains.power.distortion_factor", _ratio(size, rms, no_current)

    def _whole(self) -> Iterator[tuple[str, Value]]:
        seen, loads, sections = self.seen, self._loads(), self._sections()
        yield from self._mains()
        real = sum(seen.power(name) for name in self._lines())
        load_power = sum(seen.power(name) for name in loads)
        load_dc = sum(abs(seen.voltages[n].mean * seen.currents[n].mean) for n in loads)
        yield "load.power.mean", Value(value=load_power)
        yield "load.power.dc", Value(value=load_dc)
        load = self.supply.loads.single
        if load is not None and load.kind == "battery":
            assert load.value is not None
            yield "load.battery.power", Value(value=load.value * seen.currents["load"].mean)
        copper = 0.0
        if sections:
            yield "secondary.power.real", Value(value=sum(seen.power(s) for s in sections))
        if self.supply.transformer is not None:
            apparent = sum(seen.voltages[s].rms * seen.currents[s].rms for s in sections)
            copper = self._copper()
            yield "secondary.voltage.open_rms", Value(value=next(iter(self.network.emf.values())))
            yield "secondary.power.apparent", Value(value=apparent)
            no_load = "No current flows in the winding."
            yield "T1.utilisation.secondary", _ratio(load_dc, apparent, no_load)
            lines = self._lines()
            primary = sum(seen.voltages[n].rms * seen.currents[n].rms for n in lines)
            yield "T1.utilisation.mean", _ratio(load_dc, 0.5 * (apparent + primary), no_load)
            yield "T1.power.mean", Value(value=copper)
            yield from self._magnetizing()
        conduction = seen.conducting(seen.diodes)
        yield "rectifier.conduction.angle", Value(value=conduction.angle)
        yield "rectifier.conduction.pulses", Value(value=conduction.count)
        yield "rectifier.overlap.angle", Value(value=self._overlap())
        diode_power = sum(seen.power(name) for name in seen.diodes)
        useful = self._behind_rectifier(load_dc, load_power)
        taken = useful[1] + diode_power + copper
        yield "rectifier.power.dc_ratio", _ratio(useful[0], taken, "No power reaches the load.")
        yield from self._regulators()
        yield "supply.efficiency", _ratio(load_power, real, "No power is taken from the mains.")
        yield "supply.power.loss", Value(value=real - load_power)
        if self.supply.is_dual:
            positive, negative = abs(seen.voltages["load_positive"].mean), abs(seen.voltages["load_negative"].mean)
            yield "supply.rail.imbalance", _ratio(positive - negative, 0.5 * (positive + negative), _NO_MEAN)

    def _behind_rectifier(self, load_dc: float, load_power: float) -> tuple[float, float]:
        """DC power and whole power that count as useful: of the load; with regulators, at their inputs."""
        inputs = [name for name in ("U1.input", "U2.input") if name in self.seen.currents]
        if not inputs:
            return load_dc, load_power
        waves = [(self.seen.voltages[n], self.seen.currents[n]) for n in inputs]
        return sum(abs(v.mean * i.mean) for v, i in waves), sum(self.seen.power(n) for n in inputs)

    def _magnetizing(self) -> Iterator[tuple[str, Value]]:
        if "T1.magnetizing" not in self.seen.currents:
            return
        yield "T1.magnetizing.current.peak", Value(value=self.seen.currents["T1.magnetizing"].peak)
        name, _ = self.seen.network.places["T1.magnetizing"].currents[0]  # type: ignore[index]
        element = self.elements[name]
        if isinstance(element, Inductor):
            flux = element.inductance * abs(self.seen.currents["T1.magnetizing"].peak)
        else:
            lowest, highest = self.solution.ranges([self.solution.rows.state(name)])
            flux = float(max(abs(highest[0]), abs(lowest[0])))
        frequency = self.network.frequency
        if frequency is not None:
            nominal = nominal_mains(self.supply) * math.sqrt(2.0) / (2.0 * math.pi * frequency)
            if self.supply.mains.phases == 3 and self.supply.transformer is not None:
                nominal /= math.sqrt(3.0) if self.supply.transformer.connection.startswith("star") else 1.0
            yield "T1.flux.peak_ratio", Value(value=flux / nominal)

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
