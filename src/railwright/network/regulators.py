"""Linear regulators and zener stabilisers as blocks."""

from __future__ import annotations

from dataclasses import dataclass

from railwright import parts as part_tables
from railwright.network.blocks import current_load, zener
from railwright.network.draft import SHORT, Draft
from railwright.network.elements import Block, Guard, Law, Resistor, State
from railwright.network.network import NotSolvedYet
from railwright.supply.designators import Part
from railwright.supply.model import Regulator

#: [V] Below it a quiescent current is a resistor (a choice).
QUIESCENT_FLOOR = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesValues:
    """A series regulator as a model takes it."""

    output: float  # [V]
    dropout: float  # [V]
    quiescent: float  # [A]
    coupling: float  # [-] share of the input ripple that reaches the output while regulating
    limit: float | None  # [A]


def series_values(regulator: Regulator, model: str) -> SeriesValues:
    """What the model takes: ideal the output alone, textbook the dropout too, physical everything."""
    data = part_tables.regulator_data(regulator.part) if regulator.part is not None else None

    def stated(name: str) -> float | None:
        own = getattr(regulator, name)
        return own if own is not None else getattr(data, name, None)

    output = stated("output")
    assert output is not None
    dropout = stated("dropout") or 0.0
    quiescent = stated("quiescent") or 0.0
    rejection = stated("ripple_rejection")
    physical = model == "physical"
    return SeriesValues(
        output=abs(output),
        dropout=0.0 if model == "ideal" else dropout,
        quiescent=quiescent if physical else 0.0,
        coupling=10.0 ** (-rejection / 20.0) if physical and rejection is not None else 0.0,
        limit=stated("current_limit") if physical else None,
    )


def series_regulator(
    *, name: str, a: str, b: str, reference: str, values: SeriesValues, input_mean: float, turned: bool = False
) -> Block:
    """The pass element between input `a` and output `b`.

    w = output - v_out + coupling (v_in - input_mean), s = v_in - v_out - dropout, e = min(w, s): the current is 0 if
    e(0) <= 0, the limit if e(limit) >= 0, else e = 0. `turned` mirrors it for a negative rail.
    """
    side = -1.0 if turned else 1.0
    k = values.coupling
    regulate = Law(across=side * k, output=side * (k - 1.0), constant=values.output - k * input_mean)
    headroom = Law(across=side, constant=-values.dropout)
    flowing = Law(current=side)

    def minus(law: Law) -> Law:
        return Law(across=-law.across, output=-law.output, current=-law.current, constant=-law.constant)

    limited: tuple[Guard, ...] = ()
    if values.limit is not None:
        limited = (Guard(law=Law(current=-side, constant=values.limit), target=2),)
    states = [
        State(
            name="regulating",
            law=regulate,
            guards=(Guard(law=headroom, target=1), *limited, Guard(law=flowing, target=3)),
        ),
        State(
            name="dropout",
            law=headroom,
            guards=(Guard(law=regulate, target=0), *limited, Guard(law=flowing, target=4)),
        ),
        State(
            name="limiting",
            law=Law(current=side, constant=-(values.limit or 0.0)),
            guards=(Guard(law=regulate, target=0), Guard(law=headroom, target=1)),
        ),
        State(name="off, output high", law=flowing, guards=(Guard(law=minus(regulate), target=0),), blocks=True),
        State(name="off, no headroom", law=flowing, guards=(Guard(law=minus(headroom), target=1),), blocks=True),
    ]
    return Block(name=name, a=a, b=b, reference=reference, states=tuple(states), start=4)


def add_regulator(draft: Draft, part: Part) -> None:
    """A series regulator U1 or U2 and its places."""
    regulator = part.source
    assert isinstance(regulator, Regulator)
    source, output, reference = draft.leads(part)
    name = part.designator
    turned = part.rail == "negative"
    values = series_values(regulator, draft.model)
    action = draft.action(name)
    carries = [(name, 1.0)]
    draws = list(carries)
    if action == "shorted":
        draft.add(Resistor(name=name, a=source, b=output, resistance=SHORT))
    elif action == "open":
        carries = draws = []
    else:
        mean = draft.tuning.input_means.get(name, values.output + values.dropout)
        if values.coupling > 0.0:
            draft.inputs[name] = (source, reference)
        draft.add(
            series_regulator(
                name=name, a=source, b=output, reference=reference, values=values, input_mean=mean, turned=turned
            )
        )
        if values.quiescent > 0.0:
            a, b = (reference, source) if turned else (source, reference)
            draft.add(
                current_load(
                    name=f"{name} quiescent", a=a, b=b, current=values.quiescent, minimum_voltage=QUIESCENT_FLOOR
                )
            )
            draws.append((f"{name} quiescent", -1.0 if turned else 1.0))
    draft.place(f"{name}.input", "regulator", source, reference, draws)
    draft.place(f"{name}.output", "regulator", output, reference, carries)


def add_zener(draft: Draft, part: Part) -> None:
    """A zener Z1 with its place; its series resistor is a part of its own."""
    regulator = part.source
    assert isinstance(regulator, Regulator)
    cathode, anode = draft.leads(part)
    name, action = part.designator, draft.action(part.designator)
    draft.place(name, "zener", cathode, anode, [] if action == "open" else [(name, 1.0)])
    if action == "open":
        return
    if action == "shorted":
        draft.add(Resistor(name=name, a=cathode, b=anode, resistance=SHORT))
        return
    data = part_tables.zener_data(regulator.part) if regulator.part is not None else None
    voltage = regulator.zener_voltage if regulator.zener_voltage is not None else getattr(data, "zener_voltage", None)
    if voltage is None:
        raise NotSolvedYet(f"{name} has no zener voltage: state zener_voltage or a part.")
    resistance = regulator.zener_resistance or (data.zener_resistance if data is not None else 0.0)
    draft.add(
        zener(
            name=name, cathode=cathode, anode=anode, voltage=voltage,
            resistance=0.0 if draft.model == "ideal" else resistance,
            forward_drop=0.0 if draft.model == "ideal" else draft.supply.rectifier.diode.drop,
        )
    )  # fmt: skip
