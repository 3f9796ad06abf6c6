"""The schematic of a multiplier: a ladder with the pump column on top, the smoothing column below, diodes between."""

from __future__ import annotations

from railwright.figures.draft import Draft, Form, snapped
from railwright.figures.filter_chain import Rail, Strip, chain, label_width
from railwright.figures.supply_side import two_ends
from railwright.quantities import format_quantity
from railwright.supply.model import Capacitor, Supply

_HEIGHT = 160.0  # [px] between the columns
_BELOW = 160.0  # [px] from the smoothing column down to the negative rail
_LEAD = 56.0  # [px]
_APART = 18.0  # [px] that keeps four wires from meeting in one point


def multiplier(draft: Draft, supply: Supply, form: Form) -> None:
    """Stage k: D(2k-1) lifts the pump's node k above stage k-1, D(2k) fills stage k from it."""
    a, back, foot = two_ends(draft, supply, drop=_HEIGHT)
    rectifier = supply.rectifier
    pump, smoothing = _lines(rectifier.pump_capacitor), _lines(rectifier.stage_capacitor)
    room = max(label_width(("C99", *pump)), label_width(("C99", *smoothing)))
    pitch = max(200.0, snapped(room + 60.0))
    begin = a[0] + _LEAD
    # Nodes of the two columns, with the x at which each begins on its row.
    upper, lower = "winding_a", back
    draft.wire(upper, a, (begin, 0.0))
    draft.wire(lower, foot, (begin, _HEIGHT))
    top_x, low_x = begin, begin
    for stage in range(1, rectifier.stages + 1):
        after_pump, after = f"pump_{stage}", f"stage_{stage}"
        right = begin + stage * pitch
        draft.part(
            f"C{2 * stage - 1}", "electrolytic", (right - _APART, 0.0), (top_x, 0.0), nodes=(after_pump, upper),
            lines=(f"C{2 * stage - 1}", *pump), sides=("above", "below"),
        )  # fmt: skip
        # The rising diode leaves the lower row to the right of where its capacitor begins.
        leave = low_x + _APART
        draft.wire(lower, (low_x, _HEIGHT), (leave, _HEIGHT))
        draft.part(
            f"D{2 * stage - 1}", "diode", (leave, _HEIGHT), (right - _APART, 0.0), nodes=(lower, after_pump),
            lines=(f"D{2 * stage - 1}",), sides=("above-left", "below-right"),
        )  # fmt: skip
        draft.wire(after_pump, (right - _APART, 0.0), (right + _APART, 0.0))
        draft.part(
            f"D{2 * stage}", "diode", (right + _APART, 0.0), (right + _APART, _HEIGHT), nodes=(after_pump, after),
            lines=(f"D{2 * stage}",), sides=("right", "left"),
        )  # fmt: skip
        draft.part(
            f"C{2 * stage}", "electrolytic", (right + _APART, _HEIGHT), (leave, _HEIGHT), nodes=(after, lower),
            lines=(f"C{2 * stage}", *smoothing), sides=("below", "above"),
        )  # fmt: skip
        upper, lower = after_pump, after
        top_x, low_x = right + _APART, right + _APART
    draft.alias("positive", lower)
    draft.alias("negative", back)
    bottom = _HEIGHT + _BELOW
    draft.wire(back, (begin - _APART, _HEIGHT), (begin - _APART, bottom))
    strip = Strip(rail=Rail(lower, _HEIGHT, low_x), back=Rail(back, bottom, begin - _APART), x=low_x + 3.0 * _APART)
    chain(draft, supply, (strip,))


def _lines(capacitor: Capacitor | None) -> tuple[str, ...]:
    return () if capacitor is None else (format_quantity(capacitor.capacitance, "F"),)
