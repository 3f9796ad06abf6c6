"""From a drawn sheet's own tree to the referee's nodal equations: which part stands between which nodes.

The wiring of the circuits is the trade's; the designators are those of the program's list of readings, without which
nothing could be compared.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from referee.collocation import NodalPeriod
from referee.integration import RefereeError
from referee.nodal import Nodal
from referee.random_supplies import DUAL, TAPPED, THREE_PHASE, DrawnSupply

_PREFIXES = {"u": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6, "n": 1e-9}
#: [ohm] What the sheet's fault word "shorted" means.
SHORTED = 1e-3
#: [-] What counts as nothing beside the supply's volts or its largest current.
NOTHING = 1e-3
#: Mean of a capacitor's current, as a share of its RMS, that a steady period may show.
BALANCED = 1e-5
#: A core without a stated magnetizing inductance: its reactance over all resistance on the primary side.
STIFF = 1e7

_BRIDGE = (("winding_a", "positive"), ("winding_b", "positive"), ("negative", "winding_a"), ("negative", "winding_b"))
_HALVES = (("winding_a", "positive"), ("negative", "winding_a"))
_DIODES = {
    "half-wave": (("winding_a", "positive"),),
    "centre-tap": (("winding_a", "positive"), ("winding_b", "positive")),
    "bridge": _BRIDGE,
    "dual-rail": _BRIDGE,
    "dual-half-wave": _HALVES,
    "full-wave-doubler": _HALVES,
    "three-phase-half-wave": (("l1", "positive"), ("l2", "positive"), ("l3", "positive")),
    "three-phase-bridge": (
        ("l1", "positive"), ("negative", "l3"), ("l2", "positive"),
        ("negative", "l1"), ("l3", "positive"), ("negative", "l2"),
    ),
}  # fmt: skip


def value(text: str) -> float:
    """The number in a cell such as "2200 uF" or "0.05 ohm"."""
    number, unit = text.split()
    if len(unit) > 1 and unit[0] in _PREFIXES and unit not in ("mm",):
        return float(number) * _PREFIXES[unit[0]]
    return float(number)


class _Wiring:
    """One drawn supply as nodal equations."""

    def __init__(self, drawn: DrawnSupply) -> None:
        self.tree = drawn.tree
        self.circuit = self.tree["rectifier"]["circuit"]
        self.faults = dict(words.split(" ", 1) for words in drawn.faults)
        mains = self.tree["mains"]
        self.frequency = value(mains["frequency"])
        self.omega = 2.0 * math.pi * self.frequency
        # The winding's return and the output's return are one node in some circuits, two in others.
        self.zero = "zero" if self.circuit in DUAL else "negative"
        ground = {self.zero, "neutral"} if "transformer" in self.tree else {self.zero}
        self.nodal = Nodal(period=1.0 / self.frequency, ground=frozenset(ground))

    def build(self) -> Nodal:
        if self.circuit in THREE_PHASE:
            self._lines()
        else:
            self._feed()
        self._rectifier()
        self._rails()
        return self.nodal

    # -- up to the winding -----------------------------------------------------------------------------------------

    def _line(self, name: str, hot: str, cold: str, peak: float, lag: float = 0.0) -> None:
        mains = self.tree["mains"]
        at = hot
        if "source_inductance" in mains:
            at = f"{name} behind"
            self.nodal.choke(f"{name} inductance", at, hot, value(mains["source_inductance"]))
        resistance = value(mains.get("source_resistance", "0 ohm"))
        self.nodal.source(name, at, cold, lambda t: peak * math.sin(self.omega * t - lag), resistance)

    def _lines(self) -> None:
        peak = value(self.tree["mains"]["voltage"]) * math.sqrt(2.0 / 3.0)
        star = "negative" if self.circuit == "three-phase-half-wave" else "star"
        for k in (1, 2, 3):
            self._line(f"mains_l{k}", f"l{k}", star, peak, (k - 1) * 2.0 * math.pi / 3.0)

    def _cold_end(self) -> str:
        """Where the winding's other end is, or its tap."""
        return {
            "bridge": "winding_b", "full-wave-doubler": "middle", "centre-tap": "negative",
        }.get(self.circuit, self.zero)  # fmt: skip

    def _feed(self) -> None:
        peak = value(self.tree["mains"]["voltage"]) * math.sqrt(2.0)
        transformer = self.tree.get("transformer")
        if transformer is None:
            self._line("mains", "winding_a", self._cold_end(), peak)
            return
        self._line("mains", "live", "neutral", peak)
        primary, section = value(transformer["primary_resistance"]), value(transformer["secondary_resistance"])
        ratio = float(transformer["turns_ratio"].split(":")[0])
        self.nodal.resistor("primary", "live", "core", primary)
        self.nodal.choke("magnetizing", "core", "neutral", STIFF * primary / self.omega)
        cold = self._cold_end()
        self._section("secondary_a", "winding_a", cold, ratio, section)
        if self.circuit in TAPPED:
            self._section("secondary_b", "winding_b", cold, -ratio, section)

    def _section(self, name: str, end: str, cold: str, ratio: float, ohms: float) -> None:
        self.nodal.winding(f"{name} turns", "core", "neutral", f"{name} emf", cold, ratio)
        self.nodal.resistor(name, f"{name} emf", end, ohms)

    # -- rectifier -------------------------------------------------------------------------------------------------

    def _diode(self, name: str, anode: str, cathode: str) -> None:
        diode, fault = self.tree["rectifier"]["diode"], self.faults.get(name)
        if fault == "reversed":
            # Its place is read from the anode that it then has.
            anode, cathode = cathode, anode
        if fault == "shorted":
            self.nodal.resistor(name, anode, cathode, SHORTED)
        elif fault != "open":
            self.nodal.diode(name, anode, cathode, value(diode["drop"]), value(diode["resistance"]))

    def _rectifier(self) -> None:
        rectifier = self.tree["rectifier"]
        for number, (anode, cathode) in enumerate(_DIODES.get(self.circuit, ()), 1):
            self._diode(f"D{number}", anode, cathode)
        self.capacitors = 0
        if "stage_capacitor" not in rectifier:
            return
        farads, esr = value(rectifier["stage_capacitor"]), value(rectifier["stage_esr"])
        if self.circuit == "full-wave-doubler":
            self.nodal.capacitor("C1", "positive", "middle", farads, esr)
            self.nodal.capacitor("C2", "middle", "negative", farads, esr)
            return
        stages = rectifier.get("stages", 1)
        pump, pump_esr = value(rectifier["pump_capacitor"]), value(rectifier["pump_esr"])
        below, before = "negative", "winding_a"
        for k in range(1, stages + 1):
            knot, above = f"pump_{k}", "positive" if k == stages else f"stage_{k}"
            self.nodal.capacitor(f"C{2 * k - 1}", knot, before, pump, pump_esr)
            self.nodal.capacitor(f"C{2 * k}", above, below, farads, esr)
            self._diode(f"D{2 * k - 1}", below, knot)
            self._diode(f"D{2 * k}", knot, above)
            below, before = above, knot

    # -- filter and loads ------------------------------------------------------------------------------------------

    def _rails(self) -> None:
        rails = {"": ("positive", 1)} if self.circuit not in DUAL else {"p": ("positive", 1), "n": ("negative", -1)}
        ends: dict[str, str] = {}
        numbers: dict[str, int] = {}
        names: dict[tuple[int, str], str] = {}
        letters = {"capacitor": "C", "choke": "L", "resistor": "R", "bleeder": "R"}
        sections = self.tree.get("filter", [])
        for position, section in enumerate(sections):
            letter = letters[next(k for k in section if k in letters)]
            for rail in rails:
                numbers[letter] = numbers.get(letter, 0) + 1
                names[position, rail] = f"{letter}{numbers[letter]}"
        for rail, (node, sign) in rails.items():
            for position, section in enumerate(sections):
                node = self._filter_part(names[position, rail], section, node, sign, f"{rail}{position}")
            ends[rail] = node
        load = self.tree["load"]
        if self.circuit not in DUAL:
            self._load("load", ends[""], self.zero, load)
        else:
            self._load("load_positive", ends["p"], self.zero, load["positive"])
            self._load("load_negative", self.zero, ends["n"], load["negative"])

    def _filter_part(self, name: str, section: Mapping[str, Any], node: str, sign: int, mark: str) -> str:
        hot, cold = (node, self.zero) if sign > 0 else (self.zero, node)
        if "capacitor" in section:
            self.nodal.capacitor(name, hot, cold, value(section["capacitor"]), value(section["esr"]))
        elif "bleeder" in section:
            self.nodal.resistor(name, hot, cold, value(section["bleeder"]))
        else:
            after = f"after {mark}"
            ends = (node, after) if sign > 0 else (after, node)
            if "choke" in section:
                self.nodal.choke(name, *ends, value(section["choke"]), value(section["resistance"]))
            else:
                self.nodal.resistor(name, *ends, value(section["resistor"]))
            return after
        return node

    def _load(self, name: str, plus: str, minus: str, load: Mapping[str, str]) -> None:
        if "resistance" in load:
            self.nodal.resistor(name, plus, minus, value(load["resistance"]))
        else:
            self.nodal.current_load(name, plus, minus, value(load["current"]), value(load["minimum_voltage"]))



def nodal(drawn: DrawnSupply) -> Nodal:
    """The referee's equations of a drawn supply."""
    wiring = _Wiring(drawn)
    built = wiring.build()
    return built


#: A reading, a measure of the referee and what it is taken of.
Comparison = tuple[str, str, dict[str, float]]


def comparisons(drawn: DrawnSupply, circuit: Nodal) -> list[Comparison]:
    """What is compared of a drawn supply: loads, every diode, the mains, the first capacitor."""
    found: list[Comparison] = []

    def rail(place: str, plus: str, minus: str) -> None:
        volts = circuit.across(plus, minus)
        found.append((f"{place}.voltage.mean", "mean", volts))
        found.append((f"{place}.voltage.rms", "rms", volts))
        found.append((f"{place}.voltage.ripple_peak_to_peak", "ripple", volts))

    # The load's own nodes are those of its current's balance.
    for place in ("load", "load_positive", "load_negative"):
        ends = [n for n, currents in circuit.leaving.items() if f"i:{place}" in currents]
        if ends:
            zero = next(iter(circuit.ground - {"neutral"}))
            rail(place, ends[0], zero)
    names = [n[2:] for n in circuit.unknowns if n.startswith("i:")]
    for name in names:
        if name[0] in "DC" and name[1:].isdigit() or name == "mains":
            current = {f"i:{name}": -1.0 if name == "mains" else 1.0}
            if name[0] == "D":
                found.append((f"{name}.current.mean", "mean", current))
                found.append((f"{name}.current.peak", "peak", current))
            found.append((f"{name}.current.rms", "rms", current))
    if "magnetizing" in names:
        # Without a stated core, the program takes the mean off the primary current.
        found = [entry for entry in found if not entry[0].startswith("mains")]
    return found


@dataclass(frozen=True, kw_only=True)
class Difference:
    """A reading of the program beside the referee's, and how far apart they are."""

    reading: str
    computed: float
    expected: float
    apart: float  # relative: a ripple to the waveform's peak, everything else to itself

    def __str__(self) -> str:
        return f"{self.reading}: computed {self.computed!r}, referee {self.expected!r}, apart by {self.apart:.1e}"


def differences(drawn: DrawnSupply, circuit: Nodal, steady: NodalPeriod, readings: Any) -> list[Difference]:
    """Every compared reading. What is nothing beside the supply's own volts or load current is measured by these."""
    volts = value(drawn.tree["mains"]["voltage"])
    if "transformer" in drawn.tree:
        volts /= float(drawn.tree["transformer"]["turns_ratio"].split(":")[0])
    loads = drawn.tree["load"]
    load = loads.get("positive", loads)
    nominal = value(load["current"]) if "current" in load else volts / value(load["resistance"])
    wanted = comparisons(drawn, circuit)
    for reading, measure, output in wanted:
        # Cut off from its load a capacitor fills for ever, ever more slowly: the referee only watches that.
        if reading.startswith("C") and measure == "rms" and abs(steady.mean(output)) > BALANCED * steady.rms(output):
            raise RefereeError(f"no steady period: {reading.split('.')[0]} still gains charge")
    largest = max(abs(steady.peak(output)) for reading, _, output in wanted if ".current." in reading)
    # A fault may leave a circuit dead; what still trickles there is rounding, measured by the load's nominal current.
    size = {"voltage": volts, "current": largest if largest > NOTHING * nominal else 10.0 * nominal / NOTHING}
    found = []
    for reading, measure, output in wanted:
        expected, computed = float(getattr(steady, measure)(output)), readings[reading].value
        peak = abs(steady.peak(output))
        scale = max(peak if measure == "ripple" else abs(expected), NOTHING * size[reading.rsplit(".", 2)[1]])
        apart = math.inf
        if computed is not None and measure == "peak":
            apart = abs(abs(computed) - abs(expected)) / scale  # of two equal ones either may be the peak
        elif computed is not None:
            apart = abs(computed - expected) / scale
        found.append(Difference(reading=reading, computed=computed, expected=expected, apart=apart))
    return found
