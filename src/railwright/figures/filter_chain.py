"""The right of every schematic: filter parts, regulator, output terminals and load, between a rail and its return."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from railwright.figures.draft import Draft, snapped
from railwright.figures.labels import SIZE, Side
from railwright.figures.scene import Box, Point
from railwright.figures.symbols import Kind
from railwright.figures.typeface import text_width
from railwright.quantities import format_quantity
from railwright.supply import Part, parts
from railwright.supply.model import FilterSection, Load, Regulator, Supply

COLUMN_GAP = 20.0  # [px] between a label and the next column
_UNITS = {"capacitor": "F", "resistor": "ohm", "bleeder": "ohm", "choke": "H"}


@dataclass(slots=True)
class Rail:
    """A horizontal wire in the making: its node, its height, how far it reaches. [px]"""

    node: str
    y: float
    x: float

    def to(self, draft: Draft, x: float) -> Point:
        """Draw the rail as far as `x` unless it is there already."""
        if x > self.x:
            draft.wire(self.node, (self.x, self.y), (x, self.y))
            self.x = x
        return x, self.y


@dataclass(slots=True)
class Strip:
    """A rail and its return; on the negative side of a dual supply the return is on top."""

    rail: Rail
    back: Rail
    side: Literal["single", "positive", "negative"] = "single"
    stagger: float = 0.0  # [px] columns of the lower strip stand aside: no four-way joints
    x: float = 0.0  # where the next column may begin
    names: list[str] = field(default_factory=list)  # of the sections drawn on this strip

    @property
    def top(self) -> Rail:
        """The more positive of the two."""
        return self.back if self.side == "negative" else self.rail

    @property
    def bottom(self) -> Rail:
        """The more negative of the two."""
        return self.rail if self.side == "negative" else self.back

    def node_after(self, section: int) -> str:
        """The sheet's name of the hot node behind filter section `section`."""
        return f"after_{section}_negative" if self.side == "negative" else f"after_{section}"

    @property
    def output(self) -> str:
        """The sheet's name of the hot output node."""
        return "output_negative" if self.side == "negative" else "output"


def value_lines(designator: str, section: FilterSection) -> tuple[str, ...]:
    """Designator and value of a filter part."""
    return designator, format_quantity(section.value, _UNITS[section.kind])


def chain(draft: Draft, supply: Supply, strips: tuple[Strip, ...]) -> None:
    """Draw every filter section, regulator, output terminal and load on one strip, or on the two of a dual supply."""
    listed = parts(supply)
    for position, section in enumerate(supply.filters, start=1):
        for strip in strips:
            for part in listed:
                if part.section == position and part.rail in (None, strip.side):
                    _section(draft, strip, section, part.designator, position)
        _level(strips, position, draft)
    for strip in strips:
        _regulator(draft, strip, _regulator_of(supply, strip), listed)
    _level(strips, None, draft)
    _outputs(draft, supply, strips)


def _level(strips: tuple[Strip, ...], position: int | None, draft: Draft) -> None:
    """Let both strips go on at the same place, and name the node behind the section."""
    furthest = max(strip.x for strip in strips)
    for strip in strips:
        strip.x = furthest
        if position is not None:
            name = strip.node_after(position)
            if name != strip.rail.node and name not in draft.aliases:
                draft.alias(name, strip.rail.node)


def label_width(lines: tuple[str, ...]) -> float:
    """Width of a label whose first line is bold. [px]"""
    return max(text_width(line, SIZE, bold=index == 0) for index, line in enumerate(lines))


def shunt(
    draft: Draft,
    strip: Strip,
    designator: str,
    kind: Kind,
    lines: tuple[str, ...],
    *,
    fitted: bool = True,
    upward: bool = False,
    backward: bool = False,
) -> None:
    """A part from rail to return, its label to the right. `upward`: its own direction is from bottom to top."""
    x = snapped(strip.x) + strip.stagger
    if fitted:
        top, bottom = strip.top.to(draft, x), strip.bottom.to(draft, x)
    else:
        top, bottom = (x, strip.top.y), (x, strip.bottom.y)
    start, end = (bottom, top) if upward else (top, bottom)
    ends = strip.top.node, strip.bottom.node
    nodes = (ends[1], ends[0]) if upward else ends
    placed = draft.part(
        designator, kind, start, end, nodes=nodes, lines=lines, sides=("right",), fitted=fitted,
        backward=backward != upward,
    )  # fmt: skip
    shown = lines if fitted else (*lines, "not fitted")
    right = max(placed.box.right, x) + 6.0 + label_width(shown)
    strip.x = right + COLUMN_GAP + max(14.0, x - placed.box.left) - strip.stagger


def series(draft: Draft, strip: Strip, designator: str, kind: Kind, lines: tuple[str, ...], after: str) -> None:
    """A part in the rail; its own direction is from rectifier to load, on a negative rail too."""
    begin = snapped(strip.x - 14.0)
    rail = strip.rail
    length = max(100.0, snapped(label_width(lines) + 24.0))
    one = rail.to(draft, begin)
    two = begin + length, rail.y
    sides: tuple[Side, ...] = ("below", "above") if strip.side == "negative" else ("above", "below")
    # Flipped on a negative rail, so that a choke's core lies outside the strip.
    flip = strip.side == "negative"
    draft.part(designator, kind, one, two, nodes=(rail.node, after), lines=lines, sides=sides, flip=flip)
    rail.node, rail.x = after, two[0]
    strip.x = two[0] + COLUMN_GAP + 14.0


def _series_not_fitted(draft: Draft, strip: Strip, designator: str, kind: Kind, lines: tuple[str, ...]) -> None:
    """A series part that is left out: the rail runs on, the part stands dashed inside the strip."""
    begin = snapped(strip.x - 14.0)
    shown = (*lines, "not fitted")
    length = max(100.0, snapped(label_width(shown) + 24.0))
    inward = -46.0 if strip.side == "negative" else 46.0
    y = strip.rail.y + inward
    strip.rail.to(draft, begin + length)
    draft.part(
        designator, kind, (begin, y), (begin + length, y), nodes=(strip.rail.node, strip.rail.node), lines=lines,
        sides=("above", "below") if strip.side == "negative" else ("below", "above"), fitted=False,
    )  # fmt: skip
    strip.x = begin + length + COLUMN_GAP + 14.0


def _section(draft: Draft, strip: Strip, section: FilterSection, name: str, position: int) -> None:
    lines = value_lines(name, section)
    if section.kind in ("capacitor", "bleeder"):
        kind: Kind = "electrolytic" if section.kind == "capacitor" else "resistor"
        shunt(draft, strip, name, kind, lines, fitted=section.fitted)
    else:
        kind = "choke" if section.kind == "choke" else "resistor"
        if section.fitted:
            series(draft, strip, name, kind, lines, strip.node_after(position))
        else:
            _series_not_fitted(draft, strip, name, kind, lines)


# ---------------------------------------------------------------- regulators


def _regulator_of(supply: Supply, strip: Strip) -> Regulator | None:
    return {
        "single": supply.regulator,
        "positive": supply.regulator_positive,
        "negative": supply.regulator_negative,
    }[strip.side]


def regulator_lines(designator: str, regulator: Regulator) -> tuple[str, ...]:
    """What stands in a regulator's box."""
    lines = [designator]
    if regulator.part:
        lines.append(regulator.part)
    elif regulator.output is not None:
        lines.append(format_quantity(regulator.output, "V"))
    return tuple(lines)


def _regulator(draft: Draft, strip: Strip, regulator: Regulator | None, listed: tuple[Part, ...]) -> None:
    if regulator is None:
        return
    output = strip.output
    own = [p for p in listed if p.rail in (None, strip.side) and isinstance(p.source, Regulator)]
    if regulator.kind == "zener":
        name = next(p.designator for p in own if p.kind == "resistor")
        resistance = regulator.series_resistor
        lines: tuple[str, ...] = (name,) if resistance is None else (name, format_quantity(resistance, "ohm"))
        series(draft, strip, name, "resistor", lines, output)
        zener = next(p.designator for p in own if p.kind == "zener")
        volts = regulator.zener_voltage
        named = (zener,) if volts is None else (zener, format_quantity(volts, "V"))
        shunt(draft, strip, zener, "zener", named, backward=True)
        return
    name = next(p.designator for p in own if p.kind == "regulator")
    lines = regulator_lines(name, regulator)
    begin = snapped(strip.x - 14.0) + strip.stagger
    length = max(120.0, snapped(label_width(lines) + 64.0))
    start = strip.rail.to(draft, begin)
    end = begin + length, strip.rail.y
    strip.back.to(draft, begin + length / 2)
    common = begin + length / 2, strip.back.y
    draft.regulator(
        name, start, end, common, nodes=(strip.rail.node, output), common_node=strip.back.node, lines=lines
    )  # fmt: skip
    strip.rail.node, strip.rail.x = output, end[0]
    strip.x = end[0] + COLUMN_GAP + 14.0 - strip.stagger


# ---------------------------------------------------------------- output and load


def load_lines(load: Load, words: str) -> tuple[str, ...]:
    """What stands beside a load."""
    value = "" if load.value is None else format_quantity(load.value, _LOAD_UNITS[load.kind])
    return (words, value) if value else (words,)


_LOAD_UNITS = {"resistance": "ohm", "current": "A", "power": "W", "battery": "V", "pulses": "A", "none": "1"}
_LOAD_KINDS: dict[str, Kind] = {
    "resistance": "resistor", "current": "current-load", "power": "box", "battery": "battery", "pulses": "box",
}  # fmt: skip
_LOAD_WORDS = {
    "resistance": "load", "current": "load", "power": "load", "battery": "battery", "pulses": "pulsed load",
}  # fmt: skip


def _loads_of(supply: Supply, strip: Strip) -> tuple[str, Load | None]:
    loads = supply.loads
    if strip.side == "positive":
        return "load_positive", loads.positive or loads.single
    if strip.side == "negative":
        return "load_negative", loads.negative or loads.single
    return "load", loads.single


def _outputs(draft: Draft, supply: Supply, strips: tuple[Strip, ...]) -> None:
    """Output terminals with their signs, then the loads."""
    x = snapped(max(strip.x for strip in strips))
    rails: dict[int, tuple[Rail, str]] = {}
    for strip in strips:
        draft.alias(strip.output, strip.rail.node)
        hot, cold = ("−", "0 V") if strip.side == "negative" else ("+", "0 V" if strip.side == "positive" else "−")
        rails[id(strip.rail)] = strip.rail, hot
        rails.setdefault(id(strip.back), (strip.back, cold))
    for rail, sign in rails.values():
        point = rail.to(draft, x)
        draft.terminal(point)
        sides: tuple[Side, ...] = ("below", "above") if sign == "−" else ("above", "below", "above-right")
        near = Box(left=x, top=point[1], right=x, bottom=point[1]).grown(5.0)
        draft.label(f"output {sign}", (sign,), near, sides=sides, size=18.0 if sign != "0 V" else SIZE)
    for strip in strips:
        strip.x = x + 50.0
    for strip in strips:
        designator, load = _loads_of(supply, strip)
        if load is not None and load.kind != "none":
            words = _LOAD_WORDS[load.kind] if strip.side == "single" else f"{strip.side} {_LOAD_WORDS[load.kind]}"
            shunt(
                draft, strip, designator, _LOAD_KINDS[load.kind], load_lines(load, words),
                upward=strip.side == "negative",
            )  # fmt: skip
    across = supply.loads.across
    if len(strips) == 2 and across is not None and across.kind != "none":
        both = Strip(rail=strips[0].rail, back=strips[1].rail, x=max(strip.x for strip in strips))
        shunt(draft, both, "load_across", _LOAD_KINDS[across.kind], load_lines(across, "load across"))
