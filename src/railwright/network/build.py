"""From a supply at a model to its network: every part between its nodes, probes' loading and faults included."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from railwright.network.blocks import current_load, straight_diode
from railwright.network.elements import (
    Capacitor,
    Element,
    Inductor,
    Piece,
    Resistor,
    Source,
    StiffCore,
    Winding,
)
from railwright.network.network import Network, NotSolvedYet, Place, PlaceKind
from railwright.network.winding import WindingValues, nominal_mains, winding_values
from railwright.supply.designators import Part, joined_nodes, parts
from railwright.supply.model import Diode, Fault, FilterSection, Load, Mains, Probe, Supply
from railwright.supply.model import Capacitor as StatedCapacitor

#: [ohm] What `shorted` means (a choice of the sheet's fault words).
SHORT = 1e-3

_TAKE_OVER = {
    "centre-tap": (("D1", "D2"),),
    "bridge": (("D1", "D2"), ("D3", "D4")),
    "dual-rail": (("D1", "D2"), ("D3", "D4")),
    "three-phase-half-wave": (("D1", "D2", "D3"),),
    "three-phase-bridge": (("D1", "D3", "D5"), ("D2", "D4", "D6")),
}


def build(supply: Supply, model: str = "textbook") -> Network:
    """The network of a supply.

    Parameters
    ----------
    model : str
        `ideal` or `textbook`.

    Raises
    ------
    NotSolvedYet
        If the sheet holds a part or law that no network can be built for yet.
    """
    _refuse(supply, model)
    return _Draft(supply, model).network()


def _refuse(supply: Supply, model: str) -> None:
    """Say, in one sentence, what isn't solved yet."""
    circuit = supply.rectifier.circuit
    loads = [x for x in (supply.loads.single, supply.loads.positive, supply.loads.negative, supply.loads.across) if x]
    reasons = (
        (model == "physical", "The physical model is not solved yet: ask for --model textbook or ideal."),
        (bool(supply.elements), "Networks of one's own ([[element]]) are read and checked, but not solved yet."),
        (supply.mains.phases == 3, "Three-phase supplies are read and checked, but not solved yet."),
        (
            supply.mains.waveform == "dc",
            "A direct-voltage source is read and checked, but not solved yet: ask for a sine, square or triangle.",
        ),
        (
            circuit in ("full-wave-doubler", "half-wave-doubler", "multiplier"),
            f"The circuit {circuit} is read and checked, but not solved yet.",
        ),
        (circuit == "none", "A supply without a rectifier is read and checked, but not solved yet."),
        (
            any((supply.regulator, supply.regulator_positive, supply.regulator_negative)),
            "Regulators are read and checked, but not solved yet: solve the sheet without its [regulator].",
        ),
        (
            any(load.kind in ("power", "pulses", "battery") for load in loads),
            "Loads of constant power, batteries and pulses are read and checked, but not solved yet: "
            "state the load as a resistance, a current or none.",
        ),
        (
            supply.transformer is not None and supply.transformer.saturation_current is not None,
            "Core saturation is read and checked, but not solved yet: leave out saturation_current.",
        ),
    )
    for applies, sentence in reasons:
        if applies:
            raise NotSolvedYet(sentence)


class _Draft:
    """Collects elements and places while a supply is gone through once."""

    def __init__(self, supply: Supply, model: str) -> None:
        self.supply, self.model = supply, model
        self.parts = parts(supply)
        self.joined = dict(joined_nodes(supply))
        self.elements: list[Element] = []
        self.places: dict[str, Place] = {}
        self.faults: dict[str, Fault] = {f.target: f for f in supply.faults if f.edits != "supply"}
        self.emf: dict[str, float] = {}
        self.notes: list[str] = list(supply.notes)

    # -- small steps ------------------------------------------------------------------------------------------------

    def node(self, name: str) -> str:
        """The one name of a place in the circuit."""
        return self.joined.get(name, name)

    def join(self, kept: str, gone: str) -> None:
        """Make two nodes one."""
        keep, old = self.node(kept), self.node(gone)
        self.joined.setdefault(kept, keep)
        self.joined[gone] = keep
        for name, node in self.joined.items():
            if node == old:
                self.joined[name] = keep

    def place(
        self,
        name: str,
        kind: PlaceKind,
        plus: str | None,
        minus: str | None,
        currents: Iterable[tuple[str, float]] | None = None,
        *,
        less_mean: bool = False,
    ) -> None:
        """Note where a voltage and a current are read."""
        self.places[name] = Place(
            name=name,
            kind=kind,
            plus=None if plus is None else self.node(plus),
            minus=None if minus is None else self.node(minus),
            currents=None if currents is None else tuple(currents),
            less_mean=less_mean,
        )

    def resistor(self, name: str, a: str, b: str, resistance: float) -> None:
        """A resistor between two named nodes."""
        self.elements.append(Resistor(name=name, a=self.node(a), b=self.node(b), resistance=resistance))

    # -- the whole --------------------------------------------------------------------------------------------------

    def network(self) -> Network:
        """Go through the supply once."""
        self._join_faults_and_clips()
        self._mains_and_winding()
        for part in self.parts:
            if part.kind == "diode":
                self._diode(part)
            elif part.kind in ("capacitor", "resistor", "choke", "bleeder") and part.fitted:
                self._filter_part(part)
            elif part.kind == "wire":
                self.resistor(part.designator, *part.nodes, 0.0)
        self._rails()
        for probe in self.supply.probes:
            self._probe(probe)
        self._ground_islands()
        mains = self.supply.mains
        frequency = mains.frequency
        assert frequency is not None
        period = 1.0 / frequency
        return Network(
            title=self.supply.title,
            model=self.model,
            elements=tuple(self.elements),
            ground=self.ground,
            nodes=dict(self.joined),
            period=period,
            frequency=frequency,
            breakpoints=_breakpoints(mains, period),
            places=self.places,
            emf=self.emf,
            groups=_TAKE_OVER.get(self.supply.rectifier.circuit, ()),
            notes=tuple(self.notes),
        )

    def _join_faults_and_clips(self) -> None:
        if self.supply.mains.source == "outlet":
            self.joined.setdefault("earth", "earth")
            self.join("neutral", "earth")
        for probe in self.supply.probes:
            if probe.clip_earthed:
                self.joined.setdefault("earth", "earth")
                self.join("earth", probe.negative)
        for fault in self.supply.faults:
            if fault.edits == "supply":
                continue
            if fault.target in ("wire", "clips") and len(fault.nodes) == 2:
                self.join(*fault.nodes)
            elif fault.target == "tap" and fault.action == "to" and fault.nodes:
                self.join("tap", fault.nodes[0])
            elif fault.target == "wire-off" or fault.action == "half-shorted":
                raise NotSolvedYet(f'The fault "{fault.words}" is read and checked, but not solved yet.')

    # -- source and transformer ---------------------------------------------------------------------------------------

    def _mains_and_winding(self) -> None:
        mains, transformer = self.supply.mains, self.supply.transformer
        inner = "live"
        if mains.source_inductance > 0.0:
            inner = "mains_emf"
            self.elements.append(
                Inductor(name="mains inductance", a=inner, b=self.node("live"), inductance=mains.source_inductance)
            )
        self.elements.append(
            _source("mains", self.node(inner), self.node("neutral"), mains, resistance=mains.source_resistance)
        )
        fuse_side = self.supply.fuse.side if self.supply.fuse is not None else None
        if transformer is None:
            if fuse_side is not None:
                self._wire_or_open("F1", "live", "winding_a", "F1")
                self.place("F1", "ac", None, None, [("F1", 1.0)] if "F1" not in self._open else [])
            self._open_faults({"winding", "winding_a", "winding_b", "primary"})
            self.emf["secondary"] = mains.voltage_rms
            self.place("mains", "ac", "live", "neutral", [("mains", 1.0)])
            self.place("secondary", "ac", "winding_a", "winding_b", [("mains", 1.0)])
            return
        values = winding_values(self.supply, self.model)
        self._transformer(values, fuse_side)

    @property
    def _open(self) -> set[str]:
        return {target for target, fault in self.faults.items() if fault.action == "open"}

    def _open_faults(self, targets: set[str]) -> None:
        hit = self._open & targets
        if hit:
            words = ", ".join(self.faults[t].words for t in sorted(hit))
            raise NotSolvedYet(f'The fault "{words}" needs a transformer: this supply has none.')

    def _wire_or_open(self, name: str, a: str, b: str, target: str, resistance: float = 0.0) -> None:
        if target not in self._open:
            self.resistor(name, a, b, resistance)

    def _transformer(self, values: WindingValues, fuse_side: str | None) -> None:
        supply, mains = self.supply, self.supply.mains
        transformer = supply.transformer
        assert transformer is not None
        tapped = transformer.secondary == "centre-tapped"
        factor = {"series": 2.0, "parallel": 1.0}.get(transformer.secondary, 1.0)
        section_resistance = values.section_resistance * {"series": 2.0, "parallel": 0.5}.get(transformer.secondary, 1.0)
        section_leakage = values.leakage * {"series": 2.0, "parallel": 0.5}.get(transformer.secondary, 1.0)
        scale = mains.voltage_rms / nominal_mains(supply)
        for name in ("secondary_a", "secondary_b") if tapped else ("secondary",):
            self.emf[name] = values.emf * factor * scale
        # Primary: outlet, fuse, winding resistance, then the ideal windings on one core.
        start = "live"
        series_resistance = values.primary_resistance
        broken = bool(self._open & {"primary", "F1"} if fuse_side == "primary" else self._open & {"primary"})
        self._open_faults(set())
        carries: list[tuple[str, float]] = [] if broken else [("primary", 1.0)]
        core = "core"
        if not broken:
            self.resistor("primary", start, core, series_resistance)
        if fuse_side == "primary":
            self.place("F1", "ac", None, None, carries)
        stiff = series_resistance > 0.0 or mains.source_resistance > 0.0 or mains.source_inductance > 0.0
        if transformer.magnetizing_inductance is not None and self.model != "ideal":
            self.elements.append(
                Inductor(
                    name="magnetizing", a=self.node(core), b=self.node("neutral"),
                    inductance=transformer.magnetizing_inductance,
                )
            )  # fmt: skip
            self.place("T1.magnetizing", "core", core, "neutral", [("magnetizing", 1.0)])
            stiff = False
        elif stiff and not broken:
            self.elements.append(StiffCore(name="core", a=self.node(core), b=self.node("neutral")))
        ideal_core = transformer.magnetizing_inductance is None or self.model == "ideal"
        less_mean = ideal_core and not stiff
        self.place("mains", "ac", "live", "neutral", carries, less_mean=less_mean)
        self.place("primary", "ac", "live", "neutral", carries, less_mean=less_mean)
        sections = [("secondary_a", "winding_a", "tap"), ("secondary_b", "tap", "winding_b")] if tapped else [
            ("secondary", "winding_a", "winding_b")
        ]  # fmt: skip
        open_targets = {"secondary": {"winding", "winding_a", "winding_b"}, "secondary_a": {"winding", "winding_a"},
                        "secondary_b": {"winding", "winding_b"}}  # fmt: skip
        for name, top, bottom in sections:
            self._section(
                name, top, bottom, ratio=values.ratio / factor, resistance=section_resistance, leakage=section_leakage,
                broken=bool(self._open & open_targets[name]), fuse=fuse_side == "secondary" and top == "winding_a",
                core=core,
            )  # fmt: skip
        if tapped:
            first = self.places["secondary_a"].currents or ()
            second = self.places["secondary_b"].currents or ()
            self.place("secondary", "ac", "winding_a", "winding_b")
            self.place("tap", "ac", None, None, [(n, -s) for n, s in (*first, *second)])

    def _section(
        self, name: str, top: str, bottom: str, *, ratio: float, resistance: float, leakage: float, broken: bool,
        fuse: bool, core: str,
    ) -> None:  # fmt: skip
        """One secondary section, from its EMF to its terminals; resistance and leakage stand at its outer end."""
        outer = bottom if bottom == "winding_b" and top == "tap" else top
        inner = f"{name} emf"
        ends = (top, inner) if outer == bottom else (inner, bottom)
        self.elements.append(
            Winding(
                name=name, a=self.node(core), b=self.node("neutral"), c=self.node(ends[0]), d=self.node(ends[1]),
                ratio=ratio,
            )
        )  # fmt: skip
        carries: list[tuple[str, float]] = []
        if not broken and not (fuse and "F1" in self._open):
            at = inner
            if leakage > 0.0:
                nearer = f"{name} leakage"
                self.elements.append(
                    Inductor(name=nearer, a=self.node(at), b=self.node(nearer), inductance=leakage)
                )
                at = nearer
            self.resistor(f"{name} resistance", at, outer, resistance)
            carries = [(f"{name} resistance", 1.0)]
        if fuse:
            self.place("F1", "ac", None, None, carries)
        end = "winding_b" if outer == bottom else "winding_a"
        other = "tap" if end == "winding_b" or bottom == "tap" else "winding_b"
        self.place(name, "ac", end, other, carries)

    # -- parts ---------------------------------------------------------------------------------------------------------

    def _diode(self, part: Part) -> None:
        diode = self.supply.rectifier.diode
        anode, cathode = part.nodes
        fault = self.faults.get(part.designator)
        action = fault.action if fault else ""
        if action == "reversed":
            anode, cathode = cathode, anode
        name = part.designator
        self.place(name, "diode", anode, cathode, [] if action == "open" else [(name, 1.0)])
        if action == "open":
            return
        if action == "shorted":
            self.resistor(name, anode, cathode, SHORT)
            return
        if action == "leaky" and fault is not None:
            self.resistor(f"{name} leakage", anode, cathode, fault.values[0])
            self.place(name, "diode", anode, cathode, [(name, 1.0), (f"{name} leakage", 1.0)])
        self.elements.append(
            straight_diode(name=name, anode=self.node(anode), cathode=self.node(cathode), **self._curve(diode))
        )

    def _curve(self, diode: Diode) -> Mapping[str, float]:
        if self.model == "ideal":
            return {"drop": 0.0, "resistance": 0.0}
        return {"drop": diode.drop, "resistance": diode.resistance}

    def _filter_part(self, part: Part) -> None:
        name, (plus, minus) = part.designator, part.nodes[:2]
        fault = self.faults.get(name)
        action = fault.action if fault else ""
        if action == "reversed":
            plus, minus = minus, plus
        kind: PlaceKind = {"capacitor": "capacitor", "choke": "choke"}.get(part.kind, "resistor")  # type: ignore[assignment]
        self.place(name, kind, plus, minus, [] if action == "open" else [(name, 1.0)])
        if action == "open":
            return
        if action == "shorted":
            self.resistor(name, plus, minus, SHORT)
            return
        assert part.value is not None
        if part.kind == "capacitor":
            self.elements.append(
                Capacitor(
                    name=name, a=self.node(plus), b=self.node(minus), capacitance=part.value, esr=self._esr(part)
                )
            )
            if action == "leaky" and fault is not None:
                self.resistor(f"{name} leakage", plus, minus, fault.values[0])
                self.place(name, kind, plus, minus, [(name, 1.0), (f"{name} leakage", 1.0)])
        elif part.kind == "choke":
            resistance = part.source.resistance if isinstance(part.source, FilterSection) else 0.0
            self.elements.append(
                Inductor(
                    name=name, a=self.node(plus), b=self.node(minus), inductance=part.value,
                    resistance=0.0 if self.model == "ideal" else resistance,
                )
            )  # fmt: skip
        else:
            self.resistor(name, plus, minus, part.value)

    def _esr(self, part: Part) -> float:
        if self.model == "ideal":
            return 0.0
        if part.esr is not None:
            return part.esr
        source = part.source
        if isinstance(source, FilterSection) and source.loss_factor is not None:
            assert part.value is not None
            return source.loss_factor / (2.0 * math.pi * source.loss_frequency * part.value)
        if isinstance(source, StatedCapacitor) and source.esr is not None:
            return source.esr
        return 0.0

    # -- rails, loads, probes -------------------------------------------------------------------------------------------

    def _rails(self) -> None:
        feeding = [
            (p.designator, 1.0)
            for p in self.parts
            if p.kind == "diode" and self.node(p.nodes[1]) == self.node("positive")
        ]
        feeding = [entry for entry in feeding for entry in (self.places[entry[0]].currents or ())]
        self.place("rectifier", "dc", "positive", "negative", feeding)
        loads = self.supply.loads
        if not self.supply.is_dual:
            self._load("load", loads.single, "output", "negative")
            return
        self._load("load_positive", loads.positive or loads.single, "output", "zero")
        self._load("load_negative", loads.negative or loads.single, "output_negative", "zero")
        self._load("load_across", loads.across, "output", "output_negative")

    def _load(self, name: str, load: Load | None, plus: str, minus: str) -> None:
        # The negative rail's load is read from rail to zero, but its current law holds from zero to rail.
        into = -1.0 if name == "load_negative" else 1.0
        a, b = (minus, plus) if name == "load_negative" else (plus, minus)
        currents: list[tuple[str, float]] = []
        if load is not None and load.kind == "resistance":
            assert load.value is not None
            self.resistor(name, a, b, load.value)
            currents = [(name, into)]
        elif load is not None and load.kind == "current":
            assert load.value is not None
            if load.value > 0.0:
                self.elements.append(
                    current_load(
                        name=name, a=self.node(a), b=self.node(b), current=load.value,
                        minimum_voltage=load.minimum_voltage,
                    )
                )  # fmt: skip
                currents = [(name, into)]
        self.place(name, "load", plus, minus, currents)

    def _probe(self, probe: Probe) -> None:
        if self.model != "ideal":
            self.resistor(f"{probe.name} resistance", probe.positive, probe.negative, probe.resistance)
            if probe.capacitance > 0.0:
                self.elements.append(
                    Capacitor(
                        name=f"{probe.name} capacitance", a=self.node(probe.positive), b=self.node(probe.negative),
                        capacitance=probe.capacitance,
                    )
                )  # fmt: skip
        self.place(probe.name, "probe", probe.positive, probe.negative)

    # -- reference nodes ------------------------------------------------------------------------------------------------

    def _ground_islands(self) -> None:
        """Give each part of the circuit that hangs on nothing else a reference: no current can flow through it."""
        for name in self.joined:
            self.joined[name] = self.node(name)
        leader: dict[str, str] = {}

        def root(node: str) -> str:
            while leader.setdefault(node, node) != node:
                node = leader[node]
            return node

        for element in self.elements:
            if isinstance(element, Winding):
                leader[root(element.a)] = root(element.b)
                leader[root(element.c)] = root(element.d)
            else:
                leader[root(element.a)] = root(element.b)
        preferred = [self.node(n) for n in ("earth", "zero", "negative", "neutral", "tap", "winding_b") if n in self.joined]
        references: dict[str, str] = {}
        for node in [*preferred, *leader]:
            if node in leader:
                references.setdefault(root(node), node)
        self.ground = next(iter(references.values()))
        others = {node: self.ground for node in references.values()}
        if len(others) > 1:
            self.elements = [_renamed(e, others) for e in self.elements]
            self.joined = {name: others.get(node, node) for name, node in self.joined.items()}
            self.places = {
                name: Place(
                    name=p.name, kind=p.kind, plus=others.get(p.plus, p.plus) if p.plus else p.plus,
                    minus=others.get(p.minus, p.minus) if p.minus else p.minus, currents=p.currents,
                    less_mean=p.less_mean,
                )
                for name, p in self.places.items()
            }  # fmt: skip


def _renamed(element: Element, names: Mapping[str, str]) -> Element:
    """The element with its nodes under their reference's name."""
    from dataclasses import replace

    changes = {
        attribute: names[node]
        for attribute in ("a", "b", "c", "d", "reference")
        if (node := getattr(element, attribute, None)) in names
    }
    return replace(element, **changes) if changes else element  # type: ignore[arg-type]


def _source(name: str, a: str, b: str, mains: Mains, *, resistance: float, lag: float = 0.0) -> Source:
    """The EMF of the mains, its rising zero `lag` degrees after 0."""
    peak = mains.peak
    if mains.waveform == "square":
        return Source(name=name, a=a, b=b, resistance=resistance, pieces=(Piece(level=peak), Piece(level=-peak)))
    if mains.waveform == "triangle":
        assert mains.frequency is not None
        slope = 4.0 * peak * mains.frequency
        pieces = (
            Piece(level=0.0, slope=slope),
            Piece(level=2.0 * peak, slope=-slope),
            Piece(level=-4.0 * peak, slope=slope),
        )
        return Source(name=name, a=a, b=b, resistance=resistance, pieces=pieces)
    cosine: dict[int, float] = {}
    sine: dict[int, float] = {}
    for order, ratio, phase in ((1, 1.0, 0.0), *((h.order, h.ratio, h.phase) for h in mains.harmonics)):
        # sin(n (wt - lag) + phase)
        angle = math.radians(phase - order * lag)
        cosine[order] = cosine.get(order, 0.0) + peak * ratio * math.sin(angle)
        sine[order] = sine.get(order, 0.0) + peak * ratio * math.cos(angle)
    return Source(name=name, a=a, b=b, resistance=resistance, cosine=cosine, sine=sine)


def _breakpoints(mains: Mains, period: float) -> tuple[float, ...]:
    if mains.waveform == "square":
        return (0.5 * period,)
    if mains.waveform == "triangle":
        return (0.25 * period, 0.75 * period)
    return ()
