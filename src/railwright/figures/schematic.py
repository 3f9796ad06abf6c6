"""The schematic of a supply: supply left, load right, positive on top, in IEC or IEEE symbols."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import get_args

from railwright.figures.additions import additions
from railwright.figures.draft import Draft, Form
from railwright.figures.drawing import Drawing, NotDrawn
from railwright.figures.element_ladder import ladder
from railwright.figures.filter_chain import Rail, Strip, chain
from railwright.figures.labels import Side
from railwright.figures.multiplier_ladder import multiplier
from railwright.figures.node_rails import node_rails
from railwright.figures.own_parts import laying
from railwright.figures.scene import Point
from railwright.figures.supply_side import Ends, supply_side, two_ends
from railwright.figures.symbols import Standard
from railwright.figures.three_phase import three_phase_bridge, three_phase_half_wave
from railwright.quantities import format_quantity
from railwright.supply.model import Capacitor, Supply

__all__ = ["LAYOUTS", "Form", "NotDrawn", "bridge", "describe", "schematic"]

_REACH = 88.0  # [px] from the middle of a diamond to its corners
_HEAD = 36.0  # [px] from the positive rail down to a diamond
_LEAD = 68.0  # [px] between winding and rectifier
_DIODE = 90.0  # [px] slot of a diode in a rail
_ROOM = 56.0  # [px] between rectifier and first column
_RAILS = 180.0  # [px] between the rails where no bridge asks for more
_HALF = 150.0  # [px] between a rail and zero


def schematic(supply: Supply, *, standard: Standard = "iec", form: Form = "diamond") -> Drawing:
    """Draw a supply.

    Parameters
    ----------
    supply : Supply
        What to draw; faults are left out, a student is to find them.
    standard : str
        Symbols of IEC 60617 (`iec`) or IEEE 315 (`ieee`). [-]
    form : str
        A bridge as a diamond, or in line as two legs. [-]

    Returns
    -------
    Drawing
        The scene and the map of it. [px]

    Raises
    ------
    NotDrawn
        If no circuit can be made of what the sheet says; the sentence says why.
    ValueError
        If `standard` or `form` isn't one of those above.
    """
    if standard not in get_args(Standard) or form not in get_args(Form):
        raise ValueError(f'{standard!r}, {form!r}: standard is "iec" or "ieee", form is "diamond" or "in-line"')
    circuit = "network" if supply.elements else supply.rectifier.circuit
    draft = Draft(standard)
    LAYOUTS[circuit](draft, supply, form)
    additions(draft, supply)
    _notes(draft, supply)
    return draft.finish(title=supply.title, description=describe(supply), form=form, circuit=circuit)


def describe(supply: Supply) -> str:
    """The schematic in one or two sentences, for those who can't see it."""
    if supply.elements:
        return _describe_network(supply)
    mains = supply.mains
    source = f"{format_quantity(mains.voltage, 'V')} {'three-phase ' * (mains.phases == 3)}{mains.source}"
    if mains.frequency is not None:
        source += f" at {format_quantity(mains.frequency, 'Hz')}"
    words = ["Schematic diagram:", source]
    words.append("through a transformer" if supply.transformer is not None else "without a transformer")
    words.append(f"into a {supply.rectifier.circuit} rectifier")
    if supply.filters:
        chain_words = [
            f"{section.kind} {format_quantity(section.value, _UNIT_OF[section.kind])}"
            + ("" if section.fitted else " (not fitted)")
            for section in supply.filters
        ]
        words.append(f"followed by {', '.join(chain_words)}")
    if supply.regulator or supply.regulator_positive or supply.regulator_negative:
        words.append("and a regulator")
    return " ".join(words) + ", then the load."


def _describe_network(supply: Supply) -> str:
    words = [f"{' '.join(laying(element, supply).lines)} from {element.start} to {element.end}"
             for element in supply.elements]  # fmt: skip
    pair = "" if supply.network is None else f" The output is between {supply.network.output[0]} and "
    end = "" if supply.network is None else f"{supply.network.output[1]}."
    return f"Schematic diagram of a network: {'; '.join(words)}.{pair}{end}"


_UNIT_OF = {"capacitor": "F", "resistor": "ohm", "bleeder": "ohm", "choke": "H"}


# ---------------------------------------------------------------- rectifiers with one output


def _two_ends(draft: Draft, supply: Supply, *, drop: float, tap_common: bool = True) -> tuple[Point, Rail]:
    """The winding's end a, and its return as the beginning of a rail."""
    a, node, (x, y) = two_ends(draft, supply, drop=drop, tap_common=tap_common)
    return a, Rail(node, y, x)


def _half_wave(draft: Draft, supply: Supply, form: Form) -> None:
    a, back = _two_ends(draft, supply, drop=_RAILS)
    x = a[0] + _LEAD
    draft.wire("winding_a", a, (x, 0.0))
    _diode(draft, "D1", (x, 0.0), (x + _DIODE, 0.0), ("winding_a", "positive"))
    draft.alias("negative", back.node)
    _single(draft, supply, Rail("positive", 0.0, x + _DIODE), back, x + _DIODE + _ROOM - 20.0)


def _centre_tap(draft: Draft, supply: Supply, form: Form) -> None:
    tap_y, b_y = _HALF, _HALF + 110.0
    ends = supply_side(draft, supply, a_y=0.0, b_y=b_y, tap_y=tap_y)
    assert ends.tap is not None
    x = ends.a[0] + _LEAD
    join = x + _DIODE
    draft.wire("winding_a", ends.a, (x, 0.0))
    _diode(draft, "D1", (x, 0.0), (join, 0.0), ("winding_a", "positive"))
    draft.wire("winding_b", ends.b, (x, b_y))
    _diode(draft, "D2", (x, b_y), (join, b_y), ("winding_b", "positive"), below=True)
    draft.wire("positive", (join, b_y), (join + 24.0, b_y), (join + 24.0, 0.0))
    draft.wire("positive", (join, 0.0), (join + 24.0, 0.0))
    draft.alias("negative", "tap")
    positive = Rail("positive", 0.0, join + 24.0)
    negative = Rail("tap", tap_y, ends.tap[0])
    _single(draft, supply, positive, negative, join + 24.0 + _ROOM - 10.0)


def _bridge(draft: Draft, supply: Supply, form: Form) -> None:
    tapped = supply.transformer is not None and supply.transformer.secondary == "centre-tapped"
    if form == "diamond":
        a_y, b_y, bottom = _REACH + _HEAD, 2 * _REACH + _HEAD + 42.0, 2 * _REACH + _HEAD + 74.0
    else:
        a_y, b_y, bottom = 90.0, 200.0, 290.0
    if tapped:
        b_y += 40.0
        bottom += 40.0
    tap_y = (a_y + b_y) / 2 if tapped else None
    ends = supply_side(draft, supply, a_y=a_y, b_y=b_y, tap_y=tap_y)
    positive, negative, x = bridge(draft, ends, form, bottom=bottom, lead=_LEAD + (30.0 if tapped else 0.0))
    if ends.tap is not None:
        _bridge_tap(draft, supply, ends.tap, negative)
    _single(draft, supply, positive, negative, x + _ROOM)


def _bridge_tap(draft: Draft, supply: Supply, tap: Point, negative: Rail) -> None:
    """A tap that the bridge leaves open ends in a terminal; one wired to the negative rail shares its symbol."""
    end = tap[0] + 36.0, tap[1]
    draft.wire("tap", tap, end)
    if supply.rectifier.tap != "negative":
        draft.terminal(end)
        return
    foot = negative.to(draft, negative.x + 40.0)
    draft.zero_symbol("tap", end)
    draft.zero_symbol("negative", foot)
    draft.link("tap to negative", end, foot, nodes=("tap", "negative"))


def bridge(draft: Draft, ends: Ends, form: Form, *, bottom: float, lead: float = _LEAD) -> tuple[Rail, Rail, float]:
    """Four diodes between the winding and two rails, at 0 and `bottom` [px]; one crossing.

    D1 from a to the positive rail, D2 from b to it, D3 from the negative rail to a, D4 from it to b.
    """
    a_y, b_y = ends.a[1], ends.b[1]
    if form == "in-line":
        one, two = max(ends.a[0], ends.b[0]) + lead + 20.0, max(ends.a[0], ends.b[0]) + lead + 162.0
        low = b_y + (bottom - b_y) * 0.12
        draft.wire("winding_a", ends.a, (one, a_y), (one, low))
        draft.wire("winding_b", ends.b, (two, b_y))
        draft.wire("winding_b", (two, a_y), (two, low))
        for name, x, node in (("D1", one, "winding_a"), ("D2", two, "winding_b")):
            draft.part(
                name, "diode", (x, a_y), (x, 0.0), nodes=(node, "positive"), lines=(name,), sides=("right", "left")
            )
        for name, x, node in (("D3", one, "winding_a"), ("D4", two, "winding_b")):
            draft.part(
                name, "diode", (x, bottom), (x, low), nodes=("negative", node), lines=(name,), sides=("right", "left")
            )
        draft.wire("positive", (one, 0.0), (two, 0.0))
        draft.wire("negative", (one, bottom), (two, bottom))
        # To the right of the second leg there must be room for what D2 and D4 block.
        return Rail("positive", 0.0, two), Rail("negative", bottom, two), two + 68.0
    x = max(ends.a[0], ends.b[0]) + lead + _REACH
    left, right = (x - _REACH, a_y), (x + _REACH, a_y)
    top, foot = (x, a_y - _REACH), (x, a_y + _REACH)
    draft.wire("winding_a", ends.a, left)
    # The wire of b stands off the corner: D4's name fits between.
    aside = right[0] + 18.0
    draft.wire("winding_b", ends.b, (aside, b_y), (aside, a_y), right)
    legs: tuple[tuple[str, Point, Point, tuple[str, str], tuple[Side, ...]], ...] = (
        ("D1", left, top, ("winding_a", "positive"), ("above-left", "below-right")),
        ("D2", right, top, ("winding_b", "positive"), ("above-right", "below-left")),
        ("D3", foot, left, ("negative", "winding_a"), ("below-left", "above-right")),
        ("D4", foot, right, ("negative", "winding_b"), ("below-right", "above-left")),
    )
    for name, anode, cathode, nodes, sides in legs:
        draft.part(name, "diode", anode, cathode, nodes=nodes, lines=(name,), sides=sides)
    draft.wire("negative", foot, (x, bottom))
    draft.wire("positive", top, (x, 0.0))
    return Rail("positive", 0.0, x), Rail("negative", bottom, x), aside


def _none(draft: Draft, supply: Supply, form: Form) -> None:
    a, back = _two_ends(draft, supply, drop=_RAILS)
    draft.alias("positive", "winding_a")
    draft.alias("negative", back.node)
    _single(draft, supply, Rail("winding_a", 0.0, a[0]), back, a[0] + _LEAD + _ROOM)


def _network(draft: Draft, supply: Supply, form: Form) -> None:
    if not ladder(draft, supply):
        node_rails(draft, supply)


def _single(draft: Draft, supply: Supply, positive: Rail, negative: Rail, x: float) -> None:
    strip = Strip(rail=positive, back=negative, x=x)
    chain(draft, supply, (strip,))


# ---------------------------------------------------------------- rectifiers with two rails, doublers


def _dual_rail(draft: Draft, supply: Supply, form: Form) -> None:
    if form == "diamond":
        a_y, b_y = _REACH + _HEAD, 2 * _REACH + _HEAD + 46.0
    else:
        a_y, b_y = 80.0, 220.0
    ends = supply_side(draft, supply, a_y=a_y, b_y=b_y, tap_y=(a_y + b_y) / 2)
    assert ends.tap is not None
    positive, negative, x = bridge(draft, ends, form, bottom=2 * _HALF, lead=_LEAD + 30.0)
    # The tap's wire would cross three others on its way to the load: symbols alike join it to zero instead.
    tap_end = ends.tap[0] + 40.0, ends.tap[1]
    zero_start = x + 40.0, _HALF
    draft.wire("tap", ends.tap, tap_end)
    draft.zero_symbol("tap", tap_end)
    draft.zero_symbol("tap", zero_start)
    draft.wire("tap", tap_end, zero_start, drawn=False)
    draft.alias("zero", "tap")
    _dual(draft, supply, positive, Rail("tap", _HALF, zero_start[0]), negative, x + _ROOM + 40.0)


def _dual_half_wave(draft: Draft, supply: Supply, form: Form) -> None:
    positive, zero, negative, x = _two_halves(draft, supply, tap_common=True)
    draft.alias("zero", zero.node)
    _dual(draft, supply, positive, zero, negative, x + _ROOM - 10.0)


def _two_halves(draft: Draft, supply: Supply, *, tap_common: bool) -> tuple[Rail, Rail, Rail, float]:
    """D1 charges the upper half from a, D2 the lower half; the winding's return is the middle. One crossing."""
    a, middle = _two_ends(draft, supply, drop=_HALF, tap_common=tap_common)
    x = a[0] + _LEAD
    low = 2 * _HALF
    draft.wire("winding_a", a, (x, 0.0))
    _diode(draft, "D1", (x, 0.0), (x + _DIODE, 0.0), ("winding_a", "positive"))
    split = x - 10.0
    draft.wire("winding_a", (split, 0.0), (split, low), (x, low))
    _diode(draft, "D2", (x + _DIODE, low), (x, low), ("negative", "winding_a"), below=True)
    end = x + _DIODE
    return Rail("positive", 0.0, end), middle, Rail("negative", low, end), end


def _dual(draft: Draft, supply: Supply, positive: Rail, zero: Rail, negative: Rail, x: float) -> None:
    strips = (
        Strip(rail=positive, back=zero, side="positive", x=x),
        Strip(rail=negative, back=zero, side="negative", x=x, stagger=16.0),
    )
    chain(draft, supply, strips)


def _full_wave_doubler(draft: Draft, supply: Supply, form: Form) -> None:
    positive, middle, negative, x = _two_halves(draft, supply, tap_common=False)
    column = x + _ROOM
    lines = _stage_lines(supply.rectifier.stage_capacitor)
    centre = middle.to(draft, column)
    draft.part(
        "C1", "electrolytic", positive.to(draft, column), centre, nodes=("positive", "winding_b"),
        lines=("C1", *lines), sides=("right",),
    )  # fmt: skip
    draft.part(
        "C2", "electrolytic", centre, negative.to(draft, column), nodes=("winding_b", "negative"),
        lines=("C2", *lines), sides=("right",),
    )  # fmt: skip
    _single(draft, supply, positive, negative, column + 110.0)


def _half_wave_doubler(draft: Draft, supply: Supply, form: Form) -> None:
    a, back = _two_ends(draft, supply, drop=_RAILS)
    x = a[0] + _LEAD - 10.0
    pump, stage = supply.rectifier.pump_capacitor, supply.rectifier.stage_capacitor
    draft.wire("winding_a", a, (x, 0.0))
    join = x + _DIODE
    draft.part(
        "C1", "electrolytic", (join, 0.0), (x, 0.0), nodes=("pump_1", "winding_a"), lines=("C1", *_stage_lines(pump)),
        sides=("above", "below"),
    )  # fmt: skip
    draft.wire("pump_1", (join, 0.0), (join + 70.0, 0.0))
    foot = back.to(draft, join + 30.0)
    draft.part(
        "D1", "diode", foot, (join + 30.0, 0.0), nodes=(back.node, "pump_1"), lines=("D1",),
        sides=("right", "left"),
    )  # fmt: skip
    end = join + 70.0 + _DIODE
    _diode(draft, "D2", (join + 70.0, 0.0), (end, 0.0), ("pump_1", "positive"))
    draft.alias("negative", back.node)
    draft.alias("stage_1", "positive")
    positive = Rail("positive", 0.0, end)
    column = end + _ROOM - 20.0
    draft.part(
        "C2", "electrolytic", positive.to(draft, column), back.to(draft, column), nodes=("positive", back.node),
        lines=("C2", *_stage_lines(stage)), sides=("right",),
    )  # fmt: skip
    _single(draft, supply, positive, back, column + 110.0)


def _stage_lines(capacitor: Capacitor | None) -> tuple[str, ...]:
    return () if capacitor is None else (format_quantity(capacitor.capacitance, "F"),)


# ---------------------------------------------------------------- shared


def _diode(draft: Draft, name: str, start: Point, end: Point, nodes: tuple[str, str], *, below: bool = False) -> None:
    draft.part(
        name, "diode", start, end, nodes=nodes, lines=(name,), sides=("below", "above") if below else ("above", "below")
    )


def _notes(draft: Draft, supply: Supply) -> None:
    if draft.has_zero_symbols:
        draft.notes.append("The symbols marked 0 V are joined.")
    diode = supply.rectifier.diode
    diodes = [name for name in draft.parts if name[0] == "D" and name[1:].isdigit()]
    if diode.name and diode.name != "silicon" and diodes:
        draft.notes.append(f"{diodes[0]}{f' to {diodes[-1]}' if len(diodes) > 1 else ''}: {diode.name}")


#: One function a circuit; a new circuit is one function more, in a module of its own if it is large.
LAYOUTS: Mapping[str, Callable[[Draft, Supply, Form], None]] = {
    "half-wave": _half_wave,
    "centre-tap": _centre_tap,
    "bridge": _bridge,
    "dual-rail": _dual_rail,
    "dual-half-wave": _dual_half_wave,
    "full-wave-doubler": _full_wave_doubler,
    "half-wave-doubler": _half_wave_doubler,
    "multiplier": multiplier,
    "three-phase-half-wave": three_phase_half_wave,
    "three-phase-bridge": three_phase_bridge,
    "none": _none,
    "network": _network,
}
