"""Capacitors, resistors and chokes at each model, with what faults do to them."""

from __future__ import annotations

import math

from railwright import parts as part_tables
from railwright.network.draft import SHORT, Draft
from railwright.network.elements import Capacitor, Inductor, Resistor
from railwright.network.network import PlaceKind
from railwright.network.transformer import saturating
from railwright.supply.designators import Part
from railwright.supply.model import Capacitor as StatedCapacitor
from railwright.supply.model import FilterSection

#: [-] Inductance of a saturated choke over its unsaturated one (common practice, no source).
SATURATED_SHARE = 0.1

_KINDS: dict[str, PlaceKind] = {"capacitor": "capacitor", "choke": "choke"}


def add_passive(draft: Draft, part: Part) -> None:
    """One capacitor, resistor, bleeder or choke between its leads, and its place."""
    plus, minus = draft.leads(part)[:2]
    name, action = part.designator, draft.action(part.designator)
    if action == "reversed":
        plus, minus = minus, plus
    kind = _KINDS.get(part.kind, "resistor")
    draft.place(name, kind, plus, minus, [] if action == "open" else [(name, 1.0)])
    if action == "open":
        return
    if action == "shorted":
        draft.add(Resistor(name=name, a=plus, b=minus, resistance=SHORT))
        return
    assert part.value is not None
    if part.kind == "capacitor":
        _add_capacitor(draft, part, plus, minus)
    elif part.kind == "choke":
        _add_choke(draft, part, plus, minus)
    else:
        draft.add(Resistor(name=name, a=plus, b=minus, resistance=part.value))


def _add_capacitor(draft: Draft, part: Part, plus: str, minus: str) -> None:
    name = part.designator
    assert part.value is not None
    draft.add(Capacitor(name=name, a=plus, b=minus, capacitance=part.value, esr=_esr(draft, part)))
    leak = f"{name} leakage"
    if draft.action(name) == "leaky":
        draft.add(Resistor(name=leak, a=plus, b=minus, resistance=draft.faults[name].values[0]))
    elif draft.model == "physical" and (resistance := _leakage_resistance(draft, part)) is not None:
        draft.add(Resistor(name=leak, a=plus, b=minus, resistance=resistance))
    else:
        return
    draft.place(name, "capacitor", plus, minus, [(name, 1.0), (leak, 1.0)])


def _esr(draft: Draft, part: Part) -> float:
    """Series resistance: none at ideal; as stated, or by the loss factor; at physical else from the part tables."""
    if draft.model == "ideal":
        return 0.0
    if part.esr is not None:
        return part.esr
    source = part.source
    assert part.value is not None
    if isinstance(source, FilterSection) and source.loss_factor is not None:
        return source.loss_factor / (2.0 * math.pi * source.loss_frequency * part.value)
    if draft.model == "physical" and isinstance(source, FilterSection | StatedCapacitor):
        return part_tables.capacitor_defaults(part.value, _rated_voltage(draft, part)).esr
    return 0.0


def _leakage_resistance(draft: Draft, part: Part) -> float | None:
    source = part.source
    if not isinstance(source, FilterSection | StatedCapacitor):
        return None
    rated = _rated_voltage(draft, part)
    assert part.value is not None
    current = (
        source.leakage if source.leakage is not None else part_tables.capacitor_defaults(part.value, rated).leakage
    )
    return rated / current if current > 0.0 else None


def _rated_voltage(draft: Draft, part: Part) -> float:
    """Rated voltage, or what a builder would at least choose: the peak of the whole open winding. [V]"""
    source = part.source
    stated = source.voltage_rating if isinstance(source, FilterSection | StatedCapacitor) else None
    if stated is not None:
        return stated
    return math.sqrt(2.0) * sum(draft.emf.values())


def _add_choke(draft: Draft, part: Part, plus: str, minus: str) -> None:
    name = part.designator
    assert part.value is not None
    source = part.source
    resistance = source.resistance if isinstance(source, FilterSection) and draft.model != "ideal" else 0.0
    knee = source.saturation_current if isinstance(source, FilterSection) else None
    if draft.model == "physical" and knee is not None:
        middle = f"{name} winding"
        draft.add(saturating(name, plus, middle, part.value, knee, SATURATED_SHARE * part.value))
        draft.add(Resistor(name=f"{name} resistance", a=middle, b=minus, resistance=resistance))
        return
    draft.add(Inductor(name=name, a=plus, b=minus, inductance=part.value, resistance=resistance))
