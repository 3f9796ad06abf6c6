"""The rectifier's diodes at each model, with what faults do to them."""

from __future__ import annotations

from railwright import parts as part_tables
from railwright.network.blocks import straight_diode
from railwright.network.draft import SHORT, Draft
from railwright.network.elements import Block, Resistor
from railwright.network.exponential import ExponentialLaw, exponential_diode
from railwright.supply.designators import Part
from railwright.supply.model import Diode

#: [A] First guess of a diode's peak current, before any solve.
FIRST_PEAK = 1.0


def add_diode(draft: Draft, part: Part, diode: Diode) -> None:
    """One diode between its leads, and its place."""
    anode, cathode = draft.leads(part)
    name, action = part.designator, draft.action(part.designator)
    if action == "reversed":
        anode, cathode = cathode, anode
    draft.place(name, "diode", anode, cathode, [] if action == "open" else [(name, 1.0)])
    if action == "open":
        return
    if action == "shorted":
        draft.add(Resistor(name=name, a=anode, b=cathode, resistance=SHORT))
        return
    draft.add(block(draft, name, anode, cathode, diode))
    leak = f"{name} leakage"
    if action == "leaky":
        draft.add(Resistor(name=leak, a=anode, b=cathode, resistance=draft.faults[name].values[0]))
    elif draft.model == "physical" and diode.leakage and diode.reverse_voltage_rating:
        draft.add(Resistor(name=leak, a=anode, b=cathode, resistance=diode.reverse_voltage_rating / diode.leakage))
    else:
        return
    draft.place(name, "diode", anode, cathode, [(name, 1.0), (leak, 1.0)])


def block(draft: Draft, name: str, anode: str, cathode: str, diode: Diode) -> Block:
    """The diode's law at the draft's model."""
    if draft.model == "ideal":
        return straight_diode(name=name, anode=anode, cathode=cathode, drop=0.0, resistance=0.0)
    if draft.model == "textbook":
        return straight_diode(name=name, anode=anode, cathode=cathode, drop=diode.drop, resistance=diode.resistance)
    law = draft.laws[name] = physical_law(diode)
    return exponential_diode(
        name=name,
        anode=anode,
        cathode=cathode,
        law=law,
        peak=draft.tuning.diode_peaks.get(name, FIRST_PEAK),
        slopes=draft.tuning.slopes,
    )


def physical_law(diode: Diode) -> ExponentialLaw:
    """The exponential law of a diode: stated in the sheet, through two stated points, or its part's.

    A saturation current in the sheet holds at the stated junction temperature; a part's is scaled to it.
    """
    temperature = diode.junction_temperature
    if diode.saturation_current is not None:
        return ExponentialLaw(
            saturation_current=diode.saturation_current,
            ideality=diode.ideality if diode.ideality is not None else 1.0,
            series_resistance=diode.series_resistance or 0.0,
            junction_temperature=temperature,
        )
    if diode.points:
        law = part_tables.law_from_points(
            [(p.current, p.drop) for p in diode.points],
            series_resistance=diode.series_resistance or 0.0,
            temperature=temperature,
        )
    else:
        law = part_tables.diode_law(diode.name or "silicon").at(temperature)
    return ExponentialLaw(
        saturation_current=law.saturation_current,
        ideality=diode.ideality if diode.ideality is not None else law.ideality,
        series_resistance=diode.series_resistance if diode.series_resistance is not None else law.series_resistance,
        junction_temperature=temperature,
    )
