"""A reader's own network: each `[[element]]` between its nodes."""

from __future__ import annotations

from railwright.network.blocks import current_load, zener
from railwright.network.diodes import add_diode
from railwright.network.draft import SHORT, Draft
from railwright.network.elements import Capacitor, Inductor, Resistor, Source, Winding
from railwright.network.mains import source
from railwright.network.passive import add_passive
from railwright.supply.designators import Part
from railwright.supply.model import Element


def add_own_network(draft: Draft) -> None:
    """Every element, and the places mains (the first source) and load (the output pair)."""
    first_source = True
    for part in draft.parts:
        element = part.source
        if not isinstance(element, Element):
            continue
        if element.kind == "source" and first_source:
            _add(draft, part, element)
            draft.place("mains", "ac", element.start, element.end, draft.currents_of(part.designator))
            assert element.source is not None
            draft.emf[element.name] = element.source.voltage_rms
            first_source = False
        else:
            _add(draft, part, element)
    _windings(draft)
    pair = draft.supply.network
    assert pair is not None
    plus, minus = (draft.node(name) for name in pair.output)
    carries: list[tuple[str, float]] = []
    for entry in draft.elements:
        if isinstance(entry, Resistor | Source) or (
            hasattr(entry, "states") and "constant current" in entry.states[-1].name
        ):
            ends = (getattr(entry, "a", None), getattr(entry, "b", None))
            delivered = -1.0 if isinstance(entry, Source) else 1.0
            if ends == (plus, minus):
                carries.append((entry.name, delivered))
            elif ends == (minus, plus):
                carries.append((entry.name, -delivered))
    sources = {p.designator for p in draft.parts if isinstance(p.source, Element) and p.source.kind == "source"}
    draft.place("load", "load", *pair.output, [(n, s) for n, s in carries if n not in sources])


def _add(draft: Draft, part: Part, element: Element) -> None:
    name, (a, b) = element.name, draft.leads(part)
    kind = element.kind
    if kind == "diode":
        assert element.diode is not None
        add_diode(draft, part, element.diode)
    elif kind in ("capacitor", "choke", "resistor"):
        _passive(draft, part, element)
    elif kind == "source":
        assert element.source is not None
        if not draft.is_open(name):
            draft.add(source(name, a, b, element.source))
        draft.place(name, "ac", a, b, [] if draft.is_open(name) else [(name, 1.0)])
    elif kind == "battery":
        assert element.value is not None
        resistance = 0.0 if draft.model == "ideal" else element.resistance
        draft.add(Source(name=name, a=a, b=b, constant=element.value, resistance=resistance))
        draft.place(name, "load", a, b, [(name, -1.0)])
    elif kind == "zener":
        _zener(draft, part, element)
    elif kind == "current-load":
        assert element.value is not None
        if element.value > 0.0:
            draft.add(current_load(name=name, a=a, b=b, current=element.value, minimum_voltage=element.minimum_voltage))
        draft.place(name, "resistor", a, b, [(name, 1.0)] if element.value > 0.0 else [])
    elif kind == "switch":
        if element.closed:
            draft.resistor(name, a, b, 0.0)
        draft.place(name, "resistor", a, b, [(name, 1.0)] if element.closed else [])


def _passive(draft: Draft, part: Part, element: Element) -> None:
    name, (a, b) = element.name, draft.leads(part)
    action = draft.action(name)
    if action in ("open", "shorted", "reversed", "leaky"):
        add_passive(draft, part)
        return
    assert part.value is not None
    ideal = draft.model == "ideal"
    kinds = {"capacitor": "capacitor", "choke": "choke"}
    if element.kind == "capacitor":
        esr = part.esr if part.esr is not None else element.esr
        draft.add(Capacitor(name=name, a=a, b=b, capacitance=part.value, esr=0.0 if ideal else esr))
    elif element.kind == "choke":
        draft.add(Inductor(name=name, a=a, b=b, inductance=part.value, resistance=0.0 if ideal else element.resistance))
    else:
        draft.add(Resistor(name=name, a=a, b=b, resistance=part.value))
    draft.place(name, kinds.get(element.kind, "resistor"), a, b, [(name, 1.0)])  # type: ignore[arg-type]


def _zener(draft: Draft, part: Part, element: Element) -> None:
    # From anode to cathode in the sheet, like a diode; its place is read from cathode to anode.
    anode, cathode = draft.leads(part)
    name, action = element.name, draft.action(element.name)
    draft.place(name, "zener", cathode, anode, [] if action == "open" else [(name, 1.0)])
    if action == "open":
        return
    if action == "shorted":
        draft.add(Resistor(name=name, a=cathode, b=anode, resistance=SHORT))
        return
    assert element.value is not None
    ideal = draft.model == "ideal"
    draft.add(
        zener(
            name=name, cathode=cathode, anode=anode, voltage=element.value,
            resistance=0.0 if ideal else element.resistance, forward_drop=0.0 if ideal else 0.7,
        )
    )  # fmt: skip


def _windings(draft: Draft) -> None:
    """Windings that share a core: the first named carries the magnetomotive force of all the others."""
    cores: dict[str, list[Part]] = {}
    for part in draft.parts:
        if isinstance(part.source, Element) and part.source.kind == "winding":
            cores.setdefault(part.source.core or "", []).append(part)
    for windings in cores.values():
        first = windings[0]
        assert isinstance(first.source, Element) and first.source.value is not None
        a, b = draft.leads(first)
        into: list[tuple[str, float]] = []
        for other in windings[1:]:
            assert isinstance(other.source, Element) and other.source.value is not None
            c, d = draft.leads(other)
            ratio = first.source.value / other.source.value
            draft.add(Winding(name=other.designator, a=a, b=b, c=c, d=d, ratio=ratio))
            draft.place(other.designator, "ac", c, d, [(other.designator, 1.0)])
            into.append((other.designator, 1.0 / ratio))
        draft.place(first.designator, "ac", a, b, into)
