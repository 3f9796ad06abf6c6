"""The schematic of a three-phase supply: three wires, three windings on three legs, three or six diodes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from railwright.figures.draft import Draft, Form
from railwright.figures.drawing import NotDrawn
from railwright.figures.filter_chain import Rail, Strip, chain
from railwright.figures.labels import Side
from railwright.figures.scene import INK, Box, Circle, Group, Item, Line, Point, Tag, Text
from railwright.figures.supply_side import (
    BEFORE_FUSE,
    FUSE_SLOT,
    TEXT,
    fuse_lines,
    source_kind,
    source_lines,
    transformer_lines,
    winding_lines,
)
from railwright.figures.symbols import PEN
from railwright.figures.typeface import CAP_HEIGHT
from railwright.supply.model import Supply

_Three: TypeAlias = tuple[float, float, float]
_Names: TypeAlias = tuple[str, str, str]

_PITCH = 84.0  # [px] between two phases
_LOOPS_PITCH = 96.0  # [px] the same with loops, which are higher
_COIL = 104.0  # [px] slot of a winding
_LEAD = 64.0  # [px] from the windings to the first leg
_LEG = 134.0  # [px] between two legs of a bridge
_DIODE = 90.0  # [px] slot of a diode
_ROOM = 56.0  # [px] to the first column of the filter
_BUS = 20.0  # [px] from the windings to the wire of their star point, or that closes a delta
_SOURCE = 84.0  # [px] slot of a source
_NEUTRAL = 56.0  # [px] from the third phase down to the neutral
_DOT = 3.2


@dataclass(frozen=True, slots=True, kw_only=True)
class _Phases:
    """Where the three phases wait for the rectifier, and their star point if they have one. [px]"""

    x: float
    star: Point | None  # lowest point of the star's wire
    star_node: str


def three_phase_half_wave(draft: Draft, supply: Supply, form: Form) -> None:
    """Three diodes with their cathodes joined; the star point is the return. No crossing.

    Raises
    ------
    NotDrawn
        If the winding is a delta, which has no point for the return.
    """
    if supply.transformer is not None and supply.transformer.connection.endswith("-delta"):
        raise NotDrawn(
            "A three-phase half-wave rectifier on a delta secondary can't be drawn: a delta has no star point for the "
            'return. Write connection = "delta-star" or "star-star".'
        )
    pitch = _pitch(draft)
    heights = (0.0, pitch, 2 * pitch)
    phases = _source(draft, supply, heights)
    start = phases.x + _LEAD
    join = start + _DIODE + 24.0
    for phase, y in enumerate(heights, start=1):
        node = f"winding_{phase}"
        draft.wire(node, (phases.x, y), (start, y))
        _diode(draft, f"D{phase}", (start, y), (start + _DIODE, y), (node, "positive"))
        draft.wire("positive", (start + _DIODE, y), (join, y))
    draft.wire("positive", *((join, y) for y in heights))
    assert phases.star is not None
    bottom = heights[2] + 96.0
    draft.wire(phases.star_node, phases.star, (phases.star[0], bottom))
    draft.alias("negative", phases.star_node)
    back = Rail(phases.star_node, bottom, phases.star[0])
    chain(draft, supply, (Strip(rail=Rail("positive", 0.0, join), back=back, x=join + _ROOM),))


def three_phase_bridge(draft: Draft, supply: Supply, form: Form) -> None:
    """Six diodes as three legs between the rails; each phase crosses the legs that stand before its own."""
    pitch = _pitch(draft)
    upper = _DIODE + 4.0
    heights = (upper + 16.0, upper + 16.0 + pitch, upper + 16.0 + 2 * pitch)
    lower = heights[2] + 16.0
    bottom = lower + _DIODE + 4.0
    phases = _source(draft, supply, heights)
    first = phases.x + _LEAD
    # In the order in which they take over: D1 and D4 on the first phase, D3 and D6 on the second, D5 and D2 on the
    # third.
    for leg, (above, below) in enumerate((("D1", "D4"), ("D3", "D6"), ("D5", "D2"))):
        node = f"winding_{leg + 1}"
        x = first + leg * _LEG
        draft.wire(node, (phases.x, heights[leg]), (x, heights[leg]))
        draft.wire(node, (x, upper), (x, heights[leg]), (x, lower))
        _diode(draft, above, (x, upper), (x, 0.0), (node, "positive"))
        _diode(draft, below, (x, bottom), (x, lower), ("negative", node))
    last = first + 2 * _LEG
    draft.wire("positive", (first, 0.0), (last, 0.0))
    draft.wire("negative", (first, bottom), (last, bottom))
    strip = Strip(rail=Rail("positive", 0.0, last), back=Rail("negative", bottom, last), x=last + _ROOM + 14.0)
    chain(draft, supply, (strip,))


def _pitch(draft: Draft) -> float:
    return _PITCH if draft.standard == "iec" else _LOOPS_PITCH


def _diode(draft: Draft, name: str, start: Point, end: Point, nodes: tuple[str, str]) -> None:
    sides: tuple[Side, ...] = ("above", "below") if start[1] == end[1] else ("right", "left")
    draft.part(name, "diode", start, end, nodes=nodes, lines=(name,), sides=sides)


# ---------------------------------------------------------------- source


def _source(draft: Draft, supply: Supply, heights: _Three) -> _Phases:
    """Everything up to the three wires of the rectifier, at the heights given. [px]"""
    return (
        _without_transformer(draft, supply, heights)
        if supply.transformer is None
        else _with_transformer(draft, supply, heights)
    )


def _without_transformer(draft: Draft, supply: Supply, heights: _Three) -> _Phases:
    """Three sources in a star are the secondary; a fuse stands in the first line."""
    names = ("l1" if supply.fuse is not None else "winding_1", "winding_2", "winding_3")
    _sources(draft, supply, heights, "secondary_", names, "neutral")
    for phase, node in enumerate(names, start=1):
        draft.alias(f"l{phase}", node)
    _end_names(draft, _SOURCE, heights, ("L1", "L2", "L3"))
    x = _line_fuse(draft, supply, _SOURCE + 40.0, heights, _SOURCE, names, "winding_1")
    return _Phases(x=x, star=(0.0, heights[2]), star_node="neutral")


def _sources(draft: Draft, supply: Supply, heights: _Three, name: str, ends: _Names, star: str) -> None:
    for phase, (y, node) in enumerate(zip(heights, ends, strict=True), start=1):
        draft.part(
            f"{name}{phase}", source_kind(supply.mains), (0.0, y), (_SOURCE, y), nodes=(star, node),
        )  # fmt: skip
    draft.wire(star, *((0.0, y) for y in heights))
    _source_words(draft, supply, -16.0, heights)


def _source_words(draft: Draft, supply: Supply, right: float, heights: _Three) -> None:
    volts, *others = source_lines(supply.mains)
    lines = ("3-phase", f"{volts}", "line to line", *others)
    middle = heights[1]
    for index, line in enumerate(lines):
        base = middle + TEXT * CAP_HEIGHT / 2 + (index - (len(lines) - 1) / 2) * TEXT * 1.25
        draft.fixed_text(Text(at=(right, base), text=line, size=TEXT, anchor="end"))


def _line_fuse(
    draft: Draft, supply: Supply, x: float, heights: _Three, begin: float, before: _Names, after: str
) -> float:
    """The fuse in the first line, if there is one, the others beside it; gives where all three go on. [px]"""
    end = begin
    if supply.fuse is not None:
        end = x + FUSE_SLOT
        draft.wire(before[0], (begin, heights[0]), (x, heights[0]))
        draft.part(
            "F1", "fuse", (x, heights[0]), (end, heights[0]), nodes=(before[0], after), lines=fuse_lines(supply.fuse),
            sides=("above", "below"),
        )  # fmt: skip
        for node, y in zip(before[1:], heights[1:], strict=True):
            draft.wire(node, (begin, y), (end, y))
    return end


# ---------------------------------------------------------------- windings


def _with_transformer(draft: Draft, supply: Supply, heights: _Three) -> _Phases:
    transformer = supply.transformer
    assert transformer is not None
    primary, secondary = transformer.connection.split("-")
    side = None if supply.fuse is None else supply.fuse.side
    begin = _outlet(draft, supply, heights, with_neutral=primary == "star")
    lines: _Names = ("l1", "l2", "l3")
    left = begin + 24.0
    if side == "primary":
        begin = _line_fuse(draft, supply, begin + 24.0, heights, begin, lines, "after_fuse")
        lines = ("after_fuse", "l2", "l3")
        left = begin + 24.0
    for node, y in zip(lines, heights, strict=True):
        draft.wire(node, (begin, y), (left, y))
    right = _windings(draft, "primary", primary, heights, left, lines, "neutral", mirrored=False)
    if primary == "star":
        foot = heights[2] + _NEUTRAL
        draft.wire("neutral", (right + _BUS, heights[2]), (right + _BUS, foot), (0.0, foot))
    middle = right + 2.2 * _BUS
    _core(draft, middle, heights)
    start = middle + 2.2 * _BUS
    star = "negative" if supply.rectifier.circuit == "three-phase-half-wave" else "star"
    ends: _Names = (BEFORE_FUSE if side == "secondary" else "winding_1", "winding_2", "winding_3")
    last = _windings(draft, "secondary", secondary, heights, start, ends, star, mirrored=True)
    words = winding_lines(transformer)
    for phase in (1, 2, 3):
        if words:
            box = draft.parts[f"secondary_{phase}"].box
            draft.label(f"secondary_{phase}", words, box, sides=("below", "above"))
    whole = Box(left=left, top=heights[0] - 44.0, right=last, bottom=heights[2] + 40.0)
    draft.label(
        "T1", (*transformer_lines(transformer), f"{primary} to {secondary}"), whole, sides=("above", "below"),
        bold_first=True,
    )  # fmt: skip
    draft.notes.append("Windings in the same row sit on the same leg of the core.")
    _end_names(draft, last, heights, ("1", "2", "3"))
    if side == "secondary":
        last = _line_fuse(draft, supply, last + 40.0, heights, last, ends, "winding_1")
    point = (start - _BUS, heights[2]) if secondary == "star" else None
    return _Phases(x=last, star=point, star_node=star)


def _outlet(draft: Draft, supply: Supply, heights: _Three, *, with_neutral: bool) -> float:
    """Terminals L1, L2, L3 (and N), or a generator's three sources in a star; gives where the lines begin. [px]

    The currents of a delta's windings don't follow from those of its lines: that side carries no ribbon.
    """
    neutral = (0.0, heights[2] + _NEUTRAL)
    if supply.mains.source != "outlet":
        _sources(draft, supply, heights, "mains_l", ("l1", "l2", "l3"), "neutral")
        if with_neutral:
            draft.wire("neutral", (0.0, heights[2]), neutral)
        for phase in (1, 2, 3):
            draft.silence(f"mains_l{phase}", carries=with_neutral)
        return _SOURCE
    names = (("L1", "L2", "L3"), heights) if not with_neutral else (("L1", "L2", "L3", "N"), (*heights, neutral[1]))
    for phase, y in enumerate(heights, start=1):
        draft.outlet(f"mains_l{phase}", neutral, (0.0, y), nodes=("neutral", f"l{phase}"), both=False)
        draft.silence(f"mains_l{phase}", carries=with_neutral)
    if with_neutral:
        draft.terminal(neutral)
    for name, y in zip(*names, strict=True):
        near = Box(left=0.0, top=y, right=0.0, bottom=y).grown(6.0)
        draft.label(name, (name,), near, sides=("left",), size=13.0)
    _source_words(draft, supply, -36.0, heights)
    return 0.0


def _windings(
    draft: Draft, name: str, connection: str, heights: _Three, x: float, ends: _Names, star: str, *, mirrored: bool
) -> float:
    """Three level windings with their star or delta; gives the x of their right ends. [px]

    `mirrored`: their own ends lie on the right. In a delta the far end of each is joined to the next one's own end,
    the third's to the first's round the outside.
    """
    right = x + _COIL
    far, near = (x, right) if mirrored else (right, x)
    outward = far - _BUS if mirrored else far + _BUS
    for k, y in enumerate(heights):
        nodes = ends[k], star if connection == "star" else ends[(k + 1) % 3]
        draft.part(
            f"{name}_{k + 1}", "winding", (far if mirrored else near, y), (near if mirrored else far, y),
            nodes=(nodes[1], nodes[0]) if mirrored else nodes,
        )  # fmt: skip
        dot: Item = Circle(centre=(near + (-6.0 if mirrored else 6.0), y - 11.0), radius=_DOT, pen=None, fill=INK)
        draft.shape(Group(items=(dot,), tag=Tag(classes=("core",), data={"ref": "T1"})))
        if connection == "star":
            draft.wire(star, (far, y), (outward, y))
        elif not mirrored:
            draft.silence(f"{name}_{k + 1}", carries=False)
    if connection == "star":
        draft.wire(star, *((outward, y) for y in heights))
        return right
    for k in (0, 1):
        between = heights[k] + (heights[k + 1] - heights[k]) * 0.6
        draft.wire(ends[k + 1], (far, heights[k]), (far, between), (near, between), (near, heights[k + 1]))
    over = heights[0] - 36.0
    draft.wire(
        ends[0], (far, heights[2]), (outward, heights[2]), (outward, over), (near, over), (near, heights[0])
    )  # fmt: skip
    return right


def _core(draft: Draft, x: float, heights: _Three) -> None:
    lines = (x,) if draft.standard == "iec" else (x - 3.5, x + 3.5)
    for at in lines:
        line: Item = Line(points=((at, heights[0] - 22.0), (at, heights[2] + 14.0)), pen=PEN)
        draft.shape(Group(items=(line,), tag=Tag(classes=("core",), data={"ref": "T1"})))


def _end_names(draft: Draft, x: float, heights: _Three, names: _Names) -> None:
    for name, y in zip(names, heights, strict=True):
        near = Box(left=x + 12.0, top=y - 4.0, right=x + 28.0, bottom=y + 4.0)
        draft.label(name, (name,), near, sides=("above", "below"), size=TEXT)
