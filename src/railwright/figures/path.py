"""The conduction path: a ribbon along the loops that carry current at one moment, and the stops on its way."""

from __future__ import annotations

import heapq
import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, get_args

from railwright.figures.drawing import Drawing, PlacedPart
from railwright.figures.labels import Obstacles, Side, Words, place, place_near
from railwright.figures.scene import (
    INK,
    PAPER,
    Box,
    Circle,
    Copier,
    Group,
    Hatch,
    Item,
    Line,
    Pen,
    Point,
    Polygon,
    Scene,
    Tag,
    Text,
    bounds,
    box_around,
    translate,
)
from railwright.figures.symbols import PEN
from railwright.figures.typeface import text_width
from railwright.figures.wire_flow import NO_CURRENT, Flow, Spot, wire_flow
from railwright.quantities import format_quantity

Convention = Literal["conventional", "electron"]

AMBER = "#E69F00"  # path colour of the Okabe-Ito set
OPACITY = 0.55
SMALLEST_SHARE = 0.005  # of the largest current; less gets no ribbon
_NARROW, _WIDE = 8.0, 18.0  # [px] ribbon without and with the whole current
_CHEVRON_EVERY = 56.0  # [px]
_STOP = 10.5  # [px] radius of a numbered stop
_LEGEND_SIZE = 14.0
_BLOCKED_SIZE = 14.0  # [px] of the words beside a diode that blocks
#: The side of an isolating transformer that the numbered path leaves out.
_PRIMARY = ("live", "neutral", "l1", "l2", "l3")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One part that the current meets."""

    number: int
    designator: str
    current: float  # [A] size of the current
    delivers: bool  # the current is driven here: a winding, a capacitor that discharges


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductionPath:
    """What lies under and over the schematic, and the same as data for a caption."""

    under: tuple[Item, ...]
    over: tuple[Item, ...]
    stops: tuple[Stop, ...]
    blocking: tuple[tuple[str, float], ...]  # designator, voltage [V]
    flows: tuple[Flow, ...]  # every piece that carries a ribbon, in the direction of `convention`
    convention: Convention
    sentence: str


def conduction_path(
    drawing: Drawing,
    currents: Mapping[str, float],
    *,
    blocking: Mapping[str, float] | None = None,
    convention: Convention = "conventional",
) -> ConductionPath:
    """The path of the current at one moment.

    Parameters
    ----------
    drawing : Drawing
        The schematic that the path is laid on.
    currents : Mapping
        By designator, positive in the part's own direction. [A]
    blocking : Mapping
        Diodes that block, with the voltage that each blocks. [V]
    convention : str
        `conventional` or `electron` flow; electron flow is the reverse. [-]

    Returns
    -------
    ConductionPath
        Currents in A, voltages in V. A current below 0.5 % of the largest gets no ribbon.

    Raises
    ------
    Unbalanced
        If the currents don't add up at some node.
    ValueError
        If `convention` is neither word.
    """
    if convention not in get_args(Convention):
        raise ValueError(f'{convention!r} isn\'t a current convention: write "conventional" or "electron"')
    flows = _carrying(wire_flow(drawing, currents), convention)
    widths = _widths(flows)
    stops = _stops(drawing, flows, currents, convention)
    shown = tuple((name, volts) for name, volts in (blocking or {}).items() if name in drawing.parts)
    covered = _ribbon_boxes(flows, widths)
    obstacles = drawing.obstacles.copy()
    over: list[Item] = [_hatched(drawing.parts[name]) for name, _ in shown]
    over.extend(_numbers(drawing, stops, obstacles, covered))
    obstacles.boxes.extend(covered)
    over.extend(_blocked_voltages(drawing, shown, obstacles))
    return ConductionPath(
        under=(_ribbon(flows, widths), _chevrons(drawing, flows, widths)),
        over=tuple(over),
        stops=stops,
        blocking=shown,
        flows=flows,
        convention=convention,
        sentence=_sentence(drawing, stops, shown, convention),
    )


def with_path(drawing: Drawing, path: ConductionPath) -> Scene:
    """The schematic with the path laid under it and a legend below."""
    scene = drawing.scene
    added = path_bounds(path)
    top = scene.height if added is None else max(scene.height, added.bottom + 24.0)
    legend, height = _laid_legend(_legend(path), 28.0, top, scene.width)
    return replace(
        scene,
        height=math.ceil(top + height),
        items=(*path.under, *scene.items, *path.over, *legend),
        description=f"{scene.description} {path.sentence}".strip(),
    )


# ---------------------------------------------------------------- flow


def _carrying(flows: tuple[Flow, ...], convention: Convention) -> tuple[Flow, ...]:
    """The pieces with enough current, each from where it enters to where it leaves."""
    largest = max((abs(flow.current) for flow in flows), default=0.0)
    kept = []
    for flow in flows:
        if abs(flow.current) < max(SMALLEST_SHARE * largest, NO_CURRENT):
            continue
        backward = (flow.current < 0) != (convention == "electron")
        start, end = (flow.end, flow.start) if backward else (flow.start, flow.end)
        kept.append(replace(flow, start=start, end=end, current=abs(flow.current)))
    return tuple(kept)


def _sides(flows: tuple[Flow, ...]) -> dict[Spot, Spot]:
    """For each spot one that stands for its whole isolated side of the circuit."""
    head: dict[Spot, Spot] = {}

    def top(place: Spot) -> Spot:
        while head.setdefault(place, place) != place:
            place = head[place]
        return place

    for flow in flows:
        one, two = sorted((top(flow.start), top(flow.end)))
        head[two] = one
    return {place: top(place) for place in list(head)}


def _widths(flows: tuple[Flow, ...]) -> dict[int, float]:
    """Ribbon widths by position in `flows`: by share of the largest current on that side of the transformer. [px]"""
    sides = _sides(flows)
    largest: defaultdict[Spot, float] = defaultdict(float)
    for flow in flows:
        largest[sides[flow.start]] = max(largest[sides[flow.start]], flow.current)
    return {
        index: _NARROW + (_WIDE - _NARROW) * flow.current / largest[sides[flow.start]]
        for index, flow in enumerate(flows)
    }


# ---------------------------------------------------------------- ribbon


def _ribbon(flows: tuple[Flow, ...], widths: Mapping[int, float]) -> Item:
    """Broad lines that merge; on a copier their outline is left."""
    lines: list[Item] = []
    inner: list[Item] = []
    for index, flow in enumerate(flows):
        if not flow.drawn:
            continue
        width = widths[index]
        rim = Copier(pen=Pen(width=width, colour=INK))
        lines.append(Line(points=flow.line, pen=Pen(width=width, colour=AMBER), copier=rim))
        hollow = Copier(pen=Pen(width=width - 2.4, colour=PAPER))
        inner.append(Line(points=flow.line, pen=Pen(width=width - 2.4, colour=AMBER, opacity=0.0), copier=hollow))
    return Group(items=(*lines, *inner), tag=Tag(classes=("path", "ribbon")), opacity=OPACITY)


def _ribbon_boxes(flows: tuple[Flow, ...], widths: Mapping[int, float]) -> list[Box]:
    """What the ribbon covers, as boxes: a slanting piece as a row of small ones. [px]"""
    covered = []
    for index, flow in enumerate(flows):
        if not flow.drawn:
            continue
        one, two = flow.line
        upright = abs(one[0] - two[0]) < 1.0 or abs(one[1] - two[1]) < 1.0
        count = 1 if upright else max(1, round(flow.length / 8.0))
        at = [
            (one[0] + (two[0] - one[0]) * step / count, one[1] + (two[1] - one[1]) * step / count)
            for step in range(count + 1)
        ]
        covered += [box_around(pair).grown(widths[index] / 2) for pair in zip(at, at[1:], strict=False)]
    return covered


def _chevrons(drawing: Drawing, flows: tuple[Flow, ...], widths: Mapping[int, float]) -> Item:
    """Open arrow heads along the ribbon, clear of symbols, joints and ends."""
    keep_clear = [placed.box.grown(7.0) for placed in drawing.parts.values() if placed.inside]
    keep_clear += [box_around((joint,)).grown(10.0) for joint in drawing.joints]
    keep_clear += [box_around((crossing,)).grown(12.0) for crossing in drawing.crossings]
    items: list[Item] = []
    for index, flow in enumerate(flows):
        if not flow.drawn or flow.length < 20.0:
            continue
        (x1, y1), (x2, y2) = flow.line
        along = (x2 - x1) / flow.length, (y2 - y1) / flow.length
        for distance in _marks(flow, keep_clear):
            items.append(_chevron((x1 + along[0] * distance, y1 + along[1] * distance), along, widths[index]))
    return Group(items=tuple(items), tag=Tag(classes=("path", "chevrons")))


def _marks(flow: Flow, keep_clear: list[Box]) -> list[float]:
    """Distances along a piece at which chevrons stand: the middles of its free stretches, evenly spread. [px]"""
    (x1, y1), (x2, y2) = flow.line
    free: list[float] = []
    stretches: list[list[float]] = []
    for step in range(5, int(flow.length) - 4):
        part = step / flow.length
        x, y = x1 + (x2 - x1) * part, y1 + (y2 - y1) * part
        if any(box.left < x < box.right and box.top < y < box.bottom for box in keep_clear):
            if len(free) > 1:
                stretches.append(free)
            free = []
        else:
            free.append(float(step))
    if len(free) > 1:
        stretches.append(free)
    marks: list[float] = []
    for stretch in stretches:
        length = stretch[-1] - stretch[0]
        if length < 6.0:
            continue
        count = max(1, round(length / _CHEVRON_EVERY))
        marks.extend(stretch[0] + length * (number + 0.5) / count for number in range(count))
    return marks


def _chevron(at: Point, along: Point, width: float) -> Item:
    half = max(4.0, width / 2 - 1.5)
    across = -along[1], along[0]
    tip = at[0] + along[0] * half * 0.5, at[1] + along[1] * half * 0.5
    back = at[0] - along[0] * half * 0.5, at[1] - along[1] * half * 0.5
    points = (
        (back[0] + across[0] * half, back[1] + across[1] * half),
        tip,
        (back[0] - across[0] * half, back[1] - across[1] * half),
    )
    return Line(points=points, pen=Pen(width=2.0))


# ---------------------------------------------------------------- stops


def _delivers(placed: PlacedPart, current: float) -> bool:
    """Whether the part drives the current: a source, or a store that gives back."""
    if placed.drives or placed.designator.startswith(("secondary", "mains")):
        return True
    return placed.kind in ("electrolytic", "capacitor", "battery") and current < 0


def has_transformer(drawing: Drawing) -> bool:
    """Whether a transformer isolates the rectifier from the mains."""
    return any(name.startswith("primary") for name in drawing.parts)


def _primary_spots(drawing: Drawing, flows: tuple[Flow, ...]) -> set[Spot]:
    """Spots of the side that a transformer isolates; empty without one."""
    if not has_transformer(drawing):
        return set()
    sides = _sides(flows)
    heads = {head for place, head in sides.items() if place[0] in _PRIMARY}
    return {place for place, head in sides.items() if head in heads}


def _stops(
    drawing: Drawing, flows: tuple[Flow, ...], currents: Mapping[str, float], convention: Convention
) -> tuple[Stop, ...]:
    """Parts in the order in which the current meets them; a joint is left when all of its currents have arrived."""
    hidden = _primary_spots(drawing, flows)
    shown = [flow for flow in flows if flow.start not in hidden]
    leaving: defaultdict[Spot, list[Flow]] = defaultdict(list)
    waiting: defaultdict[Spot, int] = defaultdict(int)
    driven: defaultdict[Spot, list[Flow]] = defaultdict(list)
    order: list[tuple[str, bool, float]] = []
    met: set[str] = set()

    def meet(flow: Flow, delivers: bool) -> None:
        if flow.part is not None and flow.part in drawing.parts and flow.part not in met:
            placed = drawing.parts[flow.part]
            met.add(flow.part)
            if placed.kind not in ("link", "wire"):
                drives = delivers or _delivers(placed, currents.get(flow.part, 0.0))
                order.append((flow.part, drives, flow.current))

    deliverers = []
    for flow in shown:
        placed = drawing.parts.get(flow.part) if flow.part else None
        if placed is not None and _delivers(placed, currents.get(placed.designator, 0.0)):
            deliverers.append(flow)
        leaving[flow.start].append(flow)
        waiting[flow.end] += 1

    def cut(flow: Flow) -> None:
        """Begin at a part that drives the current: what comes back to it is the end of the way."""
        leaving[flow.start].remove(flow)
        waiting[flow.end] -= 1
        driven[flow.end].append(flow)
        distance.setdefault(flow.end, 0.0)
        if waiting[flow.end] == 0:
            heapq.heappush(queue, (distance[flow.end], flow.end))

    distance: dict[Spot, float] = {}
    queue: list[tuple[float, Spot]] = []
    # The winding that carries most comes first, then whatever else drives a current round a loop of its own.
    # Of three phases it is one that drives the current outwards: the one that it returns through comes last.
    deliverers.sort(
        key=lambda flow: (not _is_winding(drawing, flow), currents.get(flow.part or "", 0.0) < 0, -flow.current)
    )
    left = {flow.start for flow in shown} | {flow.end for flow in shown}
    while left:
        if not queue:
            again = [flow for flow in deliverers if flow.end in left and flow in leaving[flow.start]]
            if again:
                cut(again[0])
                continue
            # A loop without a source: a choke keeps its own current going. Begin where the way is known.
            place = min(left, key=lambda spot: (spot not in distance, distance.get(spot, 0.0), spot))
            waiting[place] = 0
            heapq.heappush(queue, (distance.setdefault(place, 0.0), place))
        far, place = heapq.heappop(queue)
        if place not in left:
            continue
        left.discard(place)
        for flow in driven.pop(place, []):
            meet(flow, True)
        for flow in sorted(leaving.pop(place, []), key=lambda flow: (flow.end[1], flow.end)):
            meet(flow, False)
            distance[flow.end] = max(distance.get(flow.end, 0.0), far + flow.length)
            waiting[flow.end] -= 1
            if waiting[flow.end] == 0:
                heapq.heappush(queue, (distance[flow.end], flow.end))
    return tuple(
        Stop(number=number, designator=name, current=current, delivers=delivers)
        for number, (name, delivers, current) in enumerate(order, start=1)
    )


def _is_winding(drawing: Drawing, flow: Flow) -> bool:
    if flow.part is None or flow.part not in drawing.parts:
        return False
    return flow.part.startswith("secondary") or drawing.parts[flow.part].drives


def _numbers(drawing: Drawing, stops: tuple[Stop, ...], obstacles: Obstacles, ribbon: list[Box]) -> list[Item]:
    """A numbered disc beside each stop's symbol; each becomes an obstacle."""
    items: list[Item] = []
    for stop in stops:
        centre = _free_disc(drawing.parts[stop.designator].box, obstacles, ribbon)
        obstacles.boxes.append(box_around((centre,)).grown(_STOP))
        disc = Circle(
            centre=centre, radius=_STOP, pen=Pen(width=1.2), fill=AMBER, copier=Copier(fill=PAPER, pen=Pen(width=1.4))
        )
        number = Text(
            at=centre, text=str(stop.number), size=13.0, anchor="middle", baseline="middle", bold=True, colour="#000000"
        )
        items.append(Group(items=(disc, number), tag=Tag(classes=("path", "stop"), data={"ref": stop.designator})))
    return items


def _free_disc(symbol: Box, obstacles: Obstacles, ribbon: list[Box]) -> Point:
    """The nearest free centre for a disc: off the ribbon if one is near, else on it, else where it meets least."""
    off_ribbon = Obstacles([*obstacles.boxes, *ribbon], obstacles.lines)
    best: tuple[int, Point] | None = None
    for clear, furthest in ((off_ribbon, 34.0), (obstacles, 70.0)):
        for gap in range(0, int(furthest), 3):
            for centre in _around(symbol, _STOP + 2.0 + gap):
                met = clear.met_by(box_around((centre,)).grown(_STOP * 0.9), 1.5)
                if met == 0:
                    return centre
                if best is None or met < best[0]:
                    best = met, centre
    assert best is not None
    return best[1]


def _around(symbol: Box, reach: float) -> list[Point]:
    """Points round an ellipse about a symbol: left first, where labels are least likely."""
    x, y = symbol.centre
    wide, high = symbol.width * 0.4 + reach, symbol.height * 0.4 + reach
    # A slanting symbol fills little of its square: near its middle there is room.
    beside = (180.0, 0.0, 202.5, 157.5, 337.5, 22.5, 225.0, 135.0, 315.0, 45.0)
    above_or_below = (270.0, 90.0, 247.5, 292.5, 67.5, 112.5)
    # Above or below a tall part a number would seem to belong to the next one.
    tall = symbol.height > 1.6 * symbol.width
    angles = beside if tall else (180.0, 270.0, 0.0, 90.0, *beside, *above_or_below)
    return [(x + wide * math.cos(math.radians(a)), y + high * math.sin(math.radians(a))) for a in angles]


# ---------------------------------------------------------------- blocking


def _hatched(placed: PlacedPart) -> Item:
    """A diode's body hatched over."""
    # The stroke hides the filled form's edge; the hatch is drawn on paper so that both standards look alike.
    ground = Polygon(points=placed.outline, pen=PEN, fill=PAPER)
    lines = Polygon(points=placed.outline, pen=PEN, fill=Hatch(spacing=4.0, width=1.3, degrees=-20.0))
    return Group(items=(ground, lines), tag=Tag(classes=("path", "blocking"), data={"ref": placed.designator}))


def _blocked_voltages(drawing: Drawing, blocking: tuple[tuple[str, float], ...], obstacles: Obstacles) -> list[Item]:
    # "blocks 0 V" beside a diode that is about to conduct would only puzzle.
    least = 1e-3 * max((volts for _, volts in blocking), default=0.0)
    return [_blocked_voltage(drawing, name, volts, obstacles) for name, volts in blocking if volts > least]


def _blocked_voltage(drawing: Drawing, name: str, volts: float, obstacles: Obstacles) -> Item:
    """The words join the diode's own label where there is room, else they stand beside the symbol."""
    value = format_quantity(volts, "V", digits=3)
    symbol = drawing.parts[name].box
    label = next((label.box for label in drawing.labels if label.words.belongs_to == name), symbol)
    x, y = symbol.centre
    outward: tuple[Side, ...] = ("below", "above") if label.centre[1] > y else ("above", "below")
    sideways: tuple[Side, ...] = ("right", "left") if label.centre[0] >= x else ("left", "right")
    beside: tuple[Side, ...] = (*outward, *sideways)
    paper = Box(left=8.0, top=8.0, right=drawing.scene.width - 8.0, bottom=drawing.scene.height + 20.0)
    forms: tuple[tuple[str, ...], ...] = ((f"blocks {value}",), ("blocks", value))
    # In line with the diode's name if there is room: words further off could be read as the next diode's.
    tries = [(form, _aligned(label, symbol, form), outward, 6.0, False) for form in forms]
    for form in forms:
        tries += [(form, label, beside, 6.0, True), (form, symbol, sideways + outward, 10.0, True)]
    for lines, near, sides, furthest, slide in tries:
        words = Words(
            lines=lines, belongs_to=name, near=near, sides=sides, size=_BLOCKED_SIZE,
            classes=("path", "blocking-voltage"),
        )  # fmt: skip
        laid = place_near(words, obstacles, furthest, within=paper, slide=slide)
        if laid is not None:
            return laid.item
    last = Words(
        lines=("blocks", value), belongs_to=name, near=symbol, size=_BLOCKED_SIZE, classes=("path", "blocking-voltage")
    )
    return place(last, obstacles).item


def _aligned(label: Box, symbol: Box, lines: tuple[str, ...]) -> Box:
    """The label's box, as wide as the words that go above or below it, flush with its edge at the symbol."""
    width = max(text_width(line, _BLOCKED_SIZE) for line in lines)
    if label.left >= symbol.right:
        return replace(label, right=label.left + width)
    if label.right <= symbol.left:
        return replace(label, left=label.right - width)
    return label


# ---------------------------------------------------------------- words


_WORDS = {
    "secondary": "the winding",
    "secondary_a": "the winding's half a",
    "secondary_b": "the winding's half b",
    "secondary_1": "winding 1",
    "secondary_2": "winding 2",
    "secondary_3": "winding 3",
    "load": "the load",
    "load_positive": "the positive load",
    "load_negative": "the negative load",
    "load_across": "the load across the rails",
}


def stop_words(drawing: Drawing, designator: str) -> str:
    """A stop's name in a sentence."""
    if designator.startswith("secondary") and not has_transformer(drawing):
        return designator.replace("secondary_", "source ") if "_" in designator else "the source"
    return _WORDS.get(designator, designator)


def _sentence(
    drawing: Drawing, stops: tuple[Stop, ...], blocking: tuple[tuple[str, float], ...], convention: Convention
) -> str:
    if not stops:
        way = "No part carries current now."
    else:
        flow = "Conventional current" if convention == "conventional" else "Electron flow"
        way = f"{flow} meets, in this order: {', '.join(stop_words(drawing, stop.designator) for stop in stops)}."
    if not blocking:
        return way
    blocked = ", ".join(
        f"{name} blocks {format_quantity(volts, 'V', digits=3)}" for name, volts in blocking if volts > 0
    )
    return f"{way} {blocked}."


def _legend(path: ConductionPath) -> list[tuple[str, str]]:
    """Sample and words of each entry."""
    entries = []
    if path.flows:
        words = (
            "conventional current; the broader, the larger"
            if path.convention == "conventional"
            else "electron flow, the reverse of conventional current; the broader, the larger"
        )
        entries.append(("ribbon", words))
    else:
        entries.append(("none", "no current flows now"))
    if path.stops:
        entries.append(("stop", "order in which it meets the parts"))
    if path.blocking:
        entries.append(("blocking", "diode that blocks"))
    return entries


def _laid_legend(entries: list[tuple[str, str]], margin: float, top: float, width: float) -> tuple[list[Item], float]:
    """The entries in rows from `top` down; gives the height they take. [px]"""
    items: list[Item] = []
    x, y = margin, top
    for sample, words in entries:
        drawn = _sample(sample)
        space = 46.0 if sample == "ribbon" else 26.0 if drawn else 0.0
        needed = space + text_width(words, _LEGEND_SIZE)
        if x > margin and x + needed > width - margin:
            x, y = margin, y + 26.0
        items.extend(translate(item, x, y) for item in drawn)
        items.append(Text(at=(x + space, y), text=words, size=_LEGEND_SIZE, baseline="middle"))
        x += needed + 30.0
    return [Group(items=tuple(items), tag=Tag(classes=("legend",)))], y - top + 26.0


def _sample(kind: str) -> list[Item]:
    if kind == "ribbon":
        flow = Flow(start=("", 8.0, 0.0), end=("", 32.0, 0.0), current=1.0)
        ribbon = _ribbon((flow,), {0: 14.0})
        return [ribbon, _chevron((20.0, 0.0), (1.0, 0.0), 14.0)]
    if kind == "stop":
        disc = Circle(
            centre=(10.0, 0.0), radius=_STOP, pen=Pen(width=1.2), fill=AMBER,
            copier=Copier(fill=PAPER, pen=Pen(width=1.4)),
        )  # fmt: skip
        return [disc, Text(at=(10.0, 0.0), text="1", size=13.0, anchor="middle", baseline="middle", bold=True)]
    if kind == "blocking":
        outline = ((2.0, -12.0), (18.0, 0.0), (2.0, 12.0))
        return [
            Polygon(points=outline, pen=PEN, fill=Hatch(spacing=4.0, width=1.3, degrees=-20.0)),
            Line(points=((18.0, -12.0), (18.0, 12.0)), pen=PEN),
        ]
    return []


def path_bounds(path: ConductionPath) -> Box | None:
    """The box around everything that the path adds. [px]"""
    return bounds(Group(items=(*path.under, *path.over)))
