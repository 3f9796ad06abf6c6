"""The left of every schematic: outlet or generator, fuse, transformer, and the winding's ends."""

from __future__ import annotations

from dataclasses import dataclass

from railwright.figures.draft import Draft
from railwright.figures.labels import Side
from railwright.figures.scene import INK, Box, Circle, Group, Item, Line, Point, Tag, Text
from railwright.figures.symbols import PEN, Kind
from railwright.figures.typeface import CAP_HEIGHT
from railwright.quantities import format_quantity
from railwright.supply.model import Fuse, Mains, Supply, Transformer

FUSE_SLOT = 96.0  # [px]
TEXT = 16.0
BEFORE_FUSE = "before_fuse"  # node between a winding and its fuse
_DOT = 3.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """Where the winding's ends wait for the rectifier. [px]"""

    a: Point
    b: Point
    tap: Point | None = None


def supply_side(draft: Draft, supply: Supply, *, a_y: float, b_y: float, tap_y: float | None = None) -> Ends:
    """Draw everything up to the winding's ends at the heights given [px]; `tap_y` draws a centre-tapped winding."""
    transformer = supply.transformer
    if transformer is None:
        return _without_transformer(draft, supply, a_y, b_y)
    primary_x = _primary_wires(draft, supply, a_y, b_y)
    fused = supply.fuse is not None and supply.fuse.side == "secondary"
    secondary_x = _transformer(
        draft, transformer, primary_x, a_y, b_y, tap_y, BEFORE_FUSE if fused else "winding_a"
    )  # fmt: skip
    a = _to_rectifier(draft, supply, (secondary_x, a_y))
    b = (secondary_x, b_y)
    _end_names(draft, secondary_x, a_y, b_y)
    return Ends(a=a, b=b, tap=None if tap_y is None else (secondary_x, tap_y))


def two_ends(draft: Draft, supply: Supply, *, drop: float, tap_common: bool = True) -> tuple[Point, str, Point]:
    """The winding's end a at height 0, and the node and place of its return `drop` [px] below.

    The return is b, or the tap of a tapped winding where the sheet makes it the common lead; the end that isn't used
    stays open.
    """
    tapped = supply.transformer is not None and supply.transformer.secondary == "centre-tapped"
    if not tapped:
        ends = supply_side(draft, supply, a_y=0.0, b_y=drop)
        return ends.a, "winding_b", ends.b
    common = tap_common and supply.rectifier.tap == "common"
    if common:
        ends = supply_side(draft, supply, a_y=0.0, b_y=drop + 84.0, tap_y=drop)
    else:
        ends = supply_side(draft, supply, a_y=0.0, b_y=drop, tap_y=drop / 2)
    assert ends.tap is not None
    used, left = (ends.tap, ends.b) if common else (ends.b, ends.tap)
    draft.wire("winding_b" if common else "tap", left, (left[0] + 36.0, left[1]))
    draft.terminal((left[0] + 36.0, left[1]))
    return ends.a, "tap" if common else "winding_b", used


def source_lines(mains: Mains) -> tuple[str, ...]:
    """What stands beside the source: its voltage, and its frequency or that it is direct."""
    volts = format_quantity(mains.voltage, "V")
    if mains.frequency is None:
        return volts, "DC"
    hertz = format_quantity(mains.frequency, "Hz")
    wave = () if mains.waveform == "sine" else (mains.waveform,)
    return volts, hertz, *wave


def fuse_lines(fuse: Fuse) -> tuple[str, ...]:
    """F1 with its rating and characteristic."""
    rating = format_quantity(fuse.rating, "A")
    return "F1", f"{fuse.characteristic} {rating}" if fuse.characteristic else rating


def source_kind(mains: Mains) -> Kind:
    """The symbol of a source, by its waveform."""
    kinds: dict[str, Kind] = {
        "sine": "source-sine", "square": "source-square", "triangle": "source-triangle", "dc": "source-dc",
    }  # fmt: skip
    return kinds[mains.waveform]


def _without_transformer(draft: Draft, supply: Supply, a_y: float, b_y: float) -> Ends:
    """The source itself is the secondary; current leaves it at a."""
    a, b = (0.0, a_y), (0.0, b_y)
    live = "winding_a" if supply.fuse is None else "live"
    draft.part(
        "secondary", source_kind(supply.mains), b, a, nodes=("winding_b", live),
        lines=source_lines(supply.mains), sides=("left",), bold=False,
    )  # fmt: skip
    draft.alias("live", live)
    draft.alias("neutral", "winding_b")
    _end_names(draft, 0.0, a_y, b_y)
    if supply.fuse is None:
        return Ends(a=a, b=b)
    return Ends(a=_fuse(draft, supply.fuse, (44.0, a_y), live, "winding_a", a), b=b)


def _fuse(draft: Draft, fuse: Fuse, start: Point, before: str, after: str, wire_from: Point) -> Point:
    end = start[0] + FUSE_SLOT, start[1]
    draft.wire(before, wire_from, start)
    draft.part("F1", "fuse", start, end, nodes=(before, after), lines=fuse_lines(fuse), sides=("above", "below"))
    return end


def _to_rectifier(draft: Draft, supply: Supply, a: Point) -> Point:
    """The winding's end a. A fuse on the secondary belongs to the winding: `winding_a` is the node behind it."""
    if supply.fuse is None or supply.fuse.side != "secondary":
        return a
    return _fuse(draft, supply.fuse, (a[0] + 40.0, a[1]), BEFORE_FUSE, "winding_a", a)


def _primary_wires(draft: Draft, supply: Supply, a_y: float, b_y: float) -> float:
    """Outlet or generator with its wires and fuse; gives the x of the primary. [px]"""
    mains = supply.mains
    live, neutral = (0.0, a_y), (0.0, b_y)
    lines = source_lines(mains)
    if mains.source == "outlet":
        draft.outlet("mains", neutral, live, nodes=("neutral", "live"))
        middle = (a_y + b_y) / 2
        for index, line in enumerate(lines):
            base = middle + TEXT * CAP_HEIGHT / 2 + (index - (len(lines) - 1) / 2) * TEXT * 1.25
            draft.fixed_text(Text(at=(0.0, base), text=line, size=TEXT, anchor="middle"))
        for letter, point in (("L", live), ("N", neutral)):
            draft.label(letter, (letter,), _around(point, 6.0), sides=("left",), size=13.0)
        reach = 70.0
    else:
        draft.part(
            "mains", source_kind(mains), neutral, live, nodes=("neutral", "live"), lines=lines, sides=("left",),
            bold=False,
        )  # fmt: skip
        reach = 56.0
    if supply.fuse is not None and supply.fuse.side == "primary":
        end = _fuse(draft, supply.fuse, (24.0, a_y), "live", "after_fuse", live)
        draft.wire("after_fuse", end, (end[0] + 24.0, a_y))
        x = end[0] + 24.0
    else:
        x = reach
        draft.wire("live", live, (x, a_y))
    draft.wire("neutral", neutral, (x, b_y))
    return x


def _transformer(
    draft: Draft, transformer: Transformer, x: float, a_y: float, b_y: float, tap_y: float | None, end_a: str
) -> float:
    """Both windings with their core; gives the x of the secondary. [px]"""
    apart = 50.0 if draft.standard == "iec" else 62.0
    second = x + apart
    live = "after_fuse" if "F1" in draft.parts and draft.parts["F1"].nodes[0] == "live" else "live"
    # Humps face the core: the primary is walked upwards, the secondary's own direction is upwards on the other side.
    primary = draft.part("primary", "winding", (x, a_y), (x, b_y), nodes=(live, "neutral"))
    if tap_y is None:
        winding = draft.part(
            "secondary", "winding", (second, b_y), (second, a_y), nodes=("winding_b", end_a),
        )  # fmt: skip
        top, bottom = winding.box.top, winding.box.bottom
        _beside(draft, "secondary", winding_lines(transformer), winding.box)
    else:
        tap = second, tap_y
        upper = draft.part(
            "secondary_a", "half-winding", tap, (second, a_y), nodes=("tap", end_a), at="start"
        )  # fmt: skip
        lower = draft.part(
            "secondary_b", "half-winding", tap, (second, b_y), nodes=("tap", "winding_b"), at="start", flip=True
        )  # fmt: skip
        top, bottom = upper.box.top, lower.box.bottom
        for name, box in (("secondary_a", upper.box), ("secondary_b", lower.box)):
            _beside(draft, name, winding_lines(transformer), box)
    middle = (x + second) / 2
    lines = (middle,) if draft.standard == "iec" else (middle - 3.5, middle + 3.5)
    core_top, core_bottom = min(top, primary.box.top) - 2.0, max(bottom, primary.box.bottom) + 2.0
    core: list[Item] = [Line(points=((at, core_top), (at, core_bottom)), pen=PEN) for at in lines]
    for at, height in ((x + 9.0, primary.box.top), (second - 9.0, top)):
        core.append(Circle(centre=(at, height - 5.0), radius=_DOT, pen=None, fill=INK))
    for item in core:
        draft.shape(Group(items=(item,), tag=Tag(classes=("core",), data={"ref": "T1"})))
    whole = Box(left=x, top=min(a_y, core_top, top - 8.0), right=second, bottom=max(b_y, core_bottom))
    draft.label("T1", transformer_lines(transformer), whole, sides=("above", "below"), bold_first=True)
    return second


def _beside(draft: Draft, name: str, lines: tuple[str, ...], box: Box) -> None:
    if lines:
        draft.label(name, lines, box.grown(4.0), sides=("right", "above-right", "below-right"))


def winding_lines(transformer: Transformer) -> tuple[str, ...]:
    """The winding's voltage as the sheet states it; nothing where only a ratio is stated."""
    volts = transformer.secondary_voltage if transformer.secondary_voltage is not None else transformer.open_voltage
    if volts is None:
        return ()
    if transformer.secondary in ("series", "parallel"):
        return f"2 × {format_quantity(volts, 'V')}", f"in {transformer.secondary}"
    return (format_quantity(volts, "V"),)


def transformer_lines(transformer: Transformer) -> tuple[str, ...]:
    """T1 with its rating, or its ratio where no voltage is stated."""
    lines = ["T1"]
    if transformer.turns_ratio is not None and not winding_lines(transformer):
        ratio = transformer.turns_ratio
        lines.append(f"{ratio:.4g} : 1" if ratio >= 1 else f"1 : {1 / ratio:.4g}")
    if transformer.rating is not None:
        lines.append(format_quantity(transformer.rating, "VA"))
    return tuple(lines)


def _end_names(draft: Draft, x: float, a_y: float, b_y: float) -> None:
    sides: tuple[tuple[str, float, tuple[Side, ...]], ...] = (
        ("a", a_y, ("above", "below")),
        ("b", b_y, ("below", "above")),
    )
    for letter, y, order in sides:
        near = Box(left=x + 14.0, top=y - 4.0, right=x + 30.0, bottom=y + 4.0)
        draft.label(letter, (letter,), near, sides=order, size=TEXT)


def _around(point: Point, reach: float) -> Box:
    return Box(left=point[0], top=point[1], right=point[0], bottom=point[1]).grown(reach)
