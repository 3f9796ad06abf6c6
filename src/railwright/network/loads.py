"""The loads: resistance, current, power, battery, pulses, none."""

from __future__ import annotations

import math

from railwright.network.blocks import current_load, piecewise_linear, power_load
from railwright.network.draft import Draft
from railwright.network.elements import Block, Resistor, Source
from railwright.supply.model import Load

#: [ohm] Stands for no load where no capacitor holds the output: the limit of a light load.
LIGHT = 1e8
#: End of the name of such a stand-in: after switch-off it doesn't count as a load.
LIGHT_NAME = " light"
#: [-] Share by which the range of a constant-power load's voltage is widened.
_WIDER = 0.002


def add_loads(draft: Draft) -> None:
    """The load or loads of a supply, and their places."""
    loads = draft.supply.loads
    if not draft.supply.is_dual:
        _add(draft, "load", loads.single, "output", "negative")
        return
    _add(draft, "load_positive", loads.positive or loads.single, "output", "zero")
    _add(draft, "load_negative", loads.negative or loads.single, "output_negative", "zero")
    _add(draft, "load_across", loads.across, "output", "output_negative")


def _add(draft: Draft, name: str, load: Load | None, plus: str, minus: str) -> None:
    # The negative rail is read from rail to zero, but its load's law holds from zero to rail.
    turned = name == "load_negative"
    a, b = (draft.node(minus), draft.node(plus)) if turned else (draft.node(plus), draft.node(minus))
    sign = -1.0 if turned else 1.0
    carries = [(name, sign)]
    if load is None or load.kind == "none" or (load.value == 0.0 and load.kind in ("current", "power")):
        carries = []
        if not _is_held(draft) and name != "load_across":
            draft.add(Resistor(name=f"{name}{LIGHT_NAME}", a=a, b=b, resistance=LIGHT))
    elif load.kind == "resistance":
        assert load.value is not None
        draft.add(Resistor(name=name, a=a, b=b, resistance=load.value))
    elif load.kind == "current":
        assert load.value is not None
        draft.add(current_load(name=name, a=a, b=b, current=load.value, minimum_voltage=load.minimum_voltage))
    elif load.kind == "power":
        assert load.value is not None
        draft.powers[name] = (a, b)
        draft.add(_power(draft, name, a, b, load.value, load.minimum_voltage))
    elif load.kind == "battery":
        assert load.value is not None
        resistance = 0.0 if draft.model == "ideal" else load.battery_resistance
        draft.add(Source(name=name, a=a, b=b, constant=load.value, resistance=resistance))
        carries = [(name, -sign)]  # a source counts what it delivers
    else:
        draft.add(_pulses(draft, name, a, b, load))
    draft.place(name, "load", plus, minus, carries)


def _is_held(draft: Draft) -> bool:
    """Whether a capacitor, bleeder or probe already settles the voltage of an unloaded output."""
    if any(part.kind == "regulator" for part in draft.parts):
        return False
    return any(p.kind in ("capacitor", "bleeder") and p.fitted for p in draft.parts) or bool(draft.supply.probes)


def _power(draft: Draft, name: str, a: str, b: str, power: float, floor: float) -> Block:
    low, high = draft.tuning.load_ranges.get(name, (floor, 20.0 * floor))
    chords = draft.tuning.chords if name in draft.tuning.load_ranges else 8
    low, high = max(low * (1.0 - _WIDER), floor), high * (1.0 + _WIDER)
    high = max(high, low * (1.0 + 10.0 * _WIDER))
    return power_load(name=name, a=a, b=b, power=power, floor=floor, low=low, high=high, chords=chords)


def pulse_levels(draft_period: float, load: Load) -> tuple[list[float], list[float]]:
    """Edges inside the common period, and the level from each on (the first from 0). [s], [A]"""
    assert load.pulse_period is not None
    count = max(1, round(draft_period / load.pulse_period))
    edges = {0.0}
    for k in range(count):
        for pulse in load.pulses:
            edges |= {k * load.pulse_period + pulse.start, k * load.pulse_period + pulse.end}
    inside = sorted(e for e in edges if e < draft_period * (1.0 - 1e-12))
    return inside, [level_at(load, edge + 1e-12 * draft_period) for edge in inside]


def level_at(load: Load, time: float) -> float:
    """Level of a pulsed load at an instant. [A]"""
    assert load.pulse_period is not None
    phase = math.fmod(time, load.pulse_period)
    return sum(p.level for p in load.pulses if p.start <= phase < p.end)


def _pulses(draft: Draft, name: str, a: str, b: str, load: Load) -> Block:
    """A current load whose level changes at known instants; never pulls the rail negative."""
    levels = [level_at(load, 0.5 * (s + e)) for s, e in draft.stretches()]
    variants = []
    for level in levels:
        if level > 0.0:
            one = current_load(name=name, a=a, b=b, current=level, minimum_voltage=load.minimum_voltage)
        else:
            one = piecewise_linear(
                name=name, a=a, b=b, vertices=[(load.minimum_voltage, 0.0)], first_slope=(1.0, 0.0),
                last_slope=(1.0, 0.0), state_names=("below its floor", "constant current"),
            )  # fmt: skip
        variants.append(one.states)
    return Block(name=name, a=a, b=b, states=variants[0], variants=tuple(variants))
