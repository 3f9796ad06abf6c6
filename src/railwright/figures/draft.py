"""The drawing board: circuits lay parts and wires on it, it finds joints and crossings and finishes the schematic."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from railwright.figures.drawing import Drawing, PlacedPart, Wire
from railwright.figures.labels import ALL_SIDES, Label, Obstacles, Side, Words, place
from railwright.figures.scene import (
    INK,
    PAPER,
    Box,
    Circle,
    Group,
    Item,
    Line,
    Path,
    Pen,
    Point,
    Polygon,
    Rectangle,
    Scene,
    Step,
    Tag,
    Text,
    box_around,
    translate,
    united,
)
from railwright.figures.scene import bounds as bounds_of
from railwright.figures.symbols import PEN, Kind, Laid, Standard, Symbol, lay, restyled, symbol
from railwright.figures.typeface import text_width

#: How a bridge is drawn.
Form = Literal["diamond", "in-line"]

GRID = 20.0  # [px] columns stand on it
MARGIN = 28.0  # [px] around the whole
JOINT = 3.6  # [px] radius of the dot
TERMINAL = 4.6  # [px] radius of an open terminal
MARK = 10.0  # [px] radius of a probe's circle
_NEAR = 0.01  # [px] points closer than this are one
TITLE_SIZE = 19.0
NOTE_SIZE = 13.0
GHOST = Pen(width=1.3, dash=(4.0, 3.0))  # of a part that isn't fitted


def snapped(length: float) -> float:
    """The next multiple of the grid. [px]"""
    return math.ceil(length / GRID - 1e-9) * GRID


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A probe's tip, or its clip (filled), waiting for its place."""

    node: str
    text: str
    filled: bool
    belongs_to: str


class Draft:
    """One schematic in the making."""

    def __init__(self, standard: Standard) -> None:
        self.standard = standard
        self.parts: dict[str, PlacedPart] = {}
        self.wires: list[Wire] = []
        self.aliases: dict[str, str] = {}
        self.notes: list[str] = []
        self.has_zero_symbols = False
        self._symbols: list[Item] = []
        self._leads: list[Item] = []
        self._terminals: list[Item] = []
        self._lead_lines: list[tuple[str, Point, Point]] = []
        self._ghost_lines: list[tuple[Point, Point]] = []
        self._marks: list[Mark] = []
        self._words: list[Words] = []
        self._boxes: list[Box] = []
        self._fixed: list[Item] = []

    # ------------------------------------------------ parts

    def part(
        self,
        designator: str,
        kind: Kind,
        start: Point,
        end: Point,
        *,
        nodes: tuple[str, str],
        lines: tuple[str, ...] = (),
        sides: tuple[Side, ...] = ALL_SIDES,
        at: Literal["start", "middle", "end"] = "middle",
        flip: bool = False,
        backward: bool = False,
        fitted: bool = True,
        bold: bool = True,
        drives: bool = False,
    ) -> PlacedPart:
        """Lay a part's symbol and leads between two points, and ask for its label.

        `backward` lays the symbol from end to start: a zener's current counts from the end of its arrow. A part that
        isn't fitted is dashed and its leads end short of the wires.
        """
        drawn = symbol(kind, self.standard)
        laid = lay(drawn, end, start, at=at, flip=flip) if backward else lay(drawn, start, end, at=at, flip=flip)
        first, last = (laid.leave, laid.enter) if backward else (laid.enter, laid.leave)
        placed = PlacedPart(
            designator=designator,
            kind=kind,
            start=start,
            end=end,
            nodes=nodes,
            box=laid.box,
            outline=laid.outline,
            fitted=fitted,
            drives=drives,
        )
        self.parts[designator] = placed
        slanting = abs(start[0] - end[0]) > 1.0 and abs(start[1] - end[1]) > 1.0
        self._boxes.extend(_along_edges(laid.items) if slanting else (laid.box,))
        leads = ((nodes[0], start, first), (nodes[1], last, end))
        if fitted:
            self._lead_lines.extend(lead for lead in leads if math.dist(lead[1], lead[2]) > _NEAR)
        self._symbols.append(self._group(designator, kind, laid, leads, fitted))
        if lines:
            shown = lines if fitted else (*lines, "not fitted")
            self.label(designator, shown, laid.box, sides=sides, bold_first=bold)
        return placed

    def _group(
        self, designator: str, kind: str, laid: Laid, leads: tuple[tuple[str, Point, Point], ...], fitted: bool
    ) -> Group:
        items: list[Item] = []
        if fitted:
            items.extend(laid.items)
        else:
            for index, (_, a, b) in enumerate(leads):
                # The gap is at the wire's end of each lead.
                outer, inner = (a, b) if index == 0 else (b, a)
                span = math.dist(outer, inner)
                if span > 18.0:
                    part = 14.0 / span
                    cut = outer[0] + (inner[0] - outer[0]) * part, outer[1] + (inner[1] - outer[1]) * part
                    items.append(Line(points=(cut, inner), pen=GHOST))
                    self._ghost_lines.append((cut, inner))
            items.extend(restyled(item, GHOST) for item in laid.items)
        classes = ("part", kind) if fitted else ("part", kind, "not-fitted")
        return Group(items=tuple(items), tag=Tag(classes=classes, data={"ref": designator}))

    def silence(self, designator: str, *, carries: bool) -> None:
        """Say whether the current of a part is known, so that its way can be drawn."""
        self.parts[designator] = replace(self.parts[designator], carries=carries)

    def outlet(self, designator: str, start: Point, end: Point, *, nodes: tuple[str, str], both: bool = True) -> None:
        """Open terminals with a source behind them; current leaves it at `end`. `both`: the start has one, too."""
        self.parts[designator] = PlacedPart(
            designator=designator,
            kind="outlet",
            start=start,
            end=end,
            nodes=nodes,
            box=box_around((start, end)).grown(TERMINAL),
            inside=False,
        )
        if both:
            self.terminal(start)
        self.terminal(end)

    def regulator(
        self,
        designator: str,
        start: Point,
        end: Point,
        common: Point,
        *,
        nodes: tuple[str, str],
        common_node: str,
        lines: tuple[str, ...],
    ) -> None:
        """A labelled box between two points of a rail, its third lead going to `common`."""
        x, y = (start[0] + end[0]) / 2, start[1]
        widest = max(text_width(line, 14.0, bold=index == 0) for index, line in enumerate(lines))
        half = max(38.0, widest / 2 + 12.0)
        box = Box(left=x - half, top=y - 27.0, right=x + half, bottom=y + 27.0)
        edge = box.bottom if common[1] > y else box.top
        leads: tuple[tuple[str, Point, Point], ...] = (
            (nodes[0], start, (box.left, y)),
            (nodes[1], (box.right, y), end),
            (common_node, (x, edge), common),
        )
        self._lead_lines.extend(leads)
        first = y + 14.0 * 0.36 - (len(lines) - 1) * 8.5
        words = tuple(
            Text(at=(x, first + index * 17.0), text=line, size=14.0, anchor="middle", bold=index == 0)
            for index, line in enumerate(lines)
        )
        items: tuple[Item, ...] = (
            Rectangle(box=box, pen=PEN, fill=PAPER),
            *words,
        )
        self._symbols.append(Group(items=items, tag=Tag(classes=("part", "regulator"), data={"ref": designator})))
        self._boxes.append(box)
        self.parts[designator] = PlacedPart(
            designator=designator,
            kind="regulator",
            start=start,
            end=end,
            nodes=nodes,
            box=box,
            common=common,
            common_node=common_node,
        )

    # ------------------------------------------------ wires, terminals, words

    def wire(self, node: str, *points: Point, drawn: bool = True) -> None:
        """Lay a wire; a stretch without length is left out."""
        kept = [points[0]]
        pairs = zip(points, points[1:], strict=False)
        kept.extend(point for before, point in pairs if math.dist(before, point) > _NEAR)
        if len(kept) > 1:
            self.wires.append(Wire(node=node, points=tuple(kept), drawn=drawn))

    def wire_between(self, designator: str, start: Point, end: Point, *, nodes: tuple[str, str]) -> None:
        """A wire that is a part of its own: it joins two nodes that are kept apart on the sheet."""
        self._lead_lines.append((designator, start, end))
        self.parts[designator] = PlacedPart(
            designator=designator,
            kind="wire",
            start=start,
            end=end,
            nodes=nodes,
            box=box_around((start, end)).grown(2.0),
        )

    def link(self, designator: str, start: Point, end: Point, *, nodes: tuple[str, str]) -> None:
        """Join two nodes without a wire: by symbols that are alike, or through earth."""
        self.parts[designator] = PlacedPart(
            designator=designator, kind="link", start=start, end=end, nodes=nodes, box=_nowhere(start), inside=False
        )

    def alias(self, name: str, node: str) -> None:
        """Another name of a node."""
        if name != node:
            self.aliases[name] = node

    def terminal(self, point: Point) -> None:
        """An open terminal."""
        self._terminals.append(Circle(centre=point, radius=TERMINAL, pen=PEN, fill=PAPER))
        self._boxes.append(Box(left=point[0], top=point[1], right=point[0], bottom=point[1]).grown(TERMINAL + 1))

    def zero_symbol(self, node: str, point: Point) -> None:
        """The 0 V symbol, hanging from a point: symbols alike are joined."""
        self.has_zero_symbols = True
        x, y = point
        top = y + 10.0
        triangle = Polygon(points=((x - 9.0, top), (x + 9.0, top), (x, top + 13.0)), pen=PEN, fill=PAPER)
        self._symbols.append(Group(items=(triangle,), tag=Tag(classes=("zero-symbol",))))
        self.wire(node, point, (x, top))
        box = Box(left=x - 9.0, top=y + 1.0, right=x + 9.0, bottom=top + 13.0)
        self._boxes.append(box)
        self.label("zero", ("0 V",), box, sides=("right", "below", "left"))

    def shape(self, item: Item) -> None:
        """A shape that isn't a part, such as a transformer's core; words keep clear of it."""
        self._symbols.append(item)
        box = bounds_of(item)
        if box is not None:
            self._boxes.append(box)

    def fixed_text(self, item: Text) -> None:
        """Words whose place is given."""
        self._fixed.append(item)
        box = bounds_of(item)
        if box is not None:
            self._boxes.append(box)

    def label(
        self,
        belongs_to: str,
        lines: tuple[str, ...],
        near: Box,
        *,
        sides: tuple[Side, ...] = ALL_SIDES,
        bold_first: bool = False,
        size: float = 15.0,
    ) -> None:
        """Ask for words beside a box; they are placed when everything else stands."""
        self._words.append(
            Words(lines=lines, belongs_to=belongs_to, near=near, sides=sides, bold_first=bold_first, size=size)
        )

    def mark(self, node: str, text: str, *, filled: bool, belongs_to: str) -> None:
        """Ask for a probe's tip or clip on a node: a small circle on a short lead."""
        self._marks.append(Mark(node=node, text=text, filled=filled, belongs_to=belongs_to))

    # ------------------------------------------------ finishing

    def _place_mark(self, mark: Mark, obstacles: Obstacles) -> Item:
        """The first free place along the node's wires, else the one that meets the fewest things."""
        node = self.aliases.get(mark.node, mark.node)
        best: tuple[int, Point, Point] | None = None
        for at in _spread(line for line in self._stretches() if line[0] == node):
            for dx, dy in ((20.0, -24.0), (-20.0, -24.0), (20.0, 24.0), (-20.0, 24.0)):
                centre = at[0] + dx, at[1] + dy
                box = box_around((centre,)).grown(MARK)
                lead = box_around((at, centre)).grown(-6.0)
                met = obstacles.met_by(box) + 2 * obstacles.met_by(lead, 0.0)
                if best is None or met < best[0]:
                    best = met, at, centre
                if met == 0:
                    break
            if best is not None and best[0] == 0:
                break
        if best is None:
            raise ValueError(f"node {mark.node!r} has no wire to hold a probe: {', '.join(self.node_names())} have")
        _, at, centre = best
        obstacles.boxes.append(box_around((centre,)).grown(MARK))
        obstacles.lines.append((at, centre))
        ink, paper = (INK, PAPER) if mark.filled else (PAPER, INK)
        items = (
            Line(points=(at, centre), pen=PEN),
            Circle(centre=centre, radius=MARK, pen=PEN, fill=ink),
            Text(at=centre, text=mark.text, size=13.0, anchor="middle", baseline="middle", bold=True, colour=paper),
        )
        return Group(items=items, tag=Tag(classes=("probe",), data={"ref": mark.belongs_to}))

    def node_names(self) -> tuple[str, ...]:
        """Every name under which a drawn node can be found."""
        names = dict.fromkeys(node for node, _, _ in self._stretches())
        return (*names, *(name for name, kept in self.aliases.items() if kept in names))

    def anywhere_on(self, node: str) -> Point | None:
        """Some point of a node; None if it isn't drawn."""
        kept = self.aliases.get(node, node)
        return next((one for name, one, _ in self._stretches() if name == kept), None)

    def _stretches(self) -> list[tuple[str, Point, Point]]:
        """Every drawn straight line of a node: wires and the leads of parts."""
        stretches = [
            (wire.node, one, two)
            for wire in self.wires
            if wire.drawn
            for one, two in zip(wire.points, wire.points[1:], strict=False)
        ]
        return stretches + self._lead_lines

    def _joints(self) -> tuple[Point, ...]:
        """Points where three or more lines of a node meet; an end on the middle of a line counts that line twice."""
        stretches = self._stretches()
        ends = {(node, _rounded(point)) for node, one, two in stretches for point in (one, two)}
        joints = []
        for node, point in sorted(ends):
            meeting = 0
            for other, one, two in stretches:
                if other != node:
                    continue
                if math.dist(point, one) < _NEAR or math.dist(point, two) < _NEAR:
                    meeting += 1
                elif _lies_on(point, one, two):
                    meeting += 2
            if meeting >= 3:
                joints.append(point)
        return tuple(joints)

    def _crossings(self) -> tuple[Point, ...]:
        stretches = self._stretches()
        found = []
        for index, (node, one, two) in enumerate(stretches):
            for other, three, four in stretches[index + 1 :]:
                if other != node and (point := _crossing(one, two, three, four)) is not None:
                    found.append(point)
        return tuple(found)

    def _wire_paths(self) -> tuple[Item, ...]:
        """One path a node, leads included: overlapping ends of separate lines would show as specks."""
        steps: dict[str, list[Step]] = {}
        for node, one, two in self._stretches():
            way = steps.setdefault(node, [])
            if not (way and way[-1].points[0] == one):
                way.append(Step(command="M", points=(one,)))
            way.append(Step(command="L", points=(two,)))
        return tuple(Path(steps=tuple(way), pen=PEN, tag=_wire_tag(node)) for node, way in steps.items())

    def finish(self, *, title: str, description: str, form: str, circuit: str) -> Drawing:
        """Place the words, move everything to the middle of its paper, and draw up the map."""
        obstacles = Obstacles(list(self._boxes))
        for _, one, two in self._stretches():
            obstacles.lines.append((one, two))
        obstacles.lines.extend(self._ghost_lines)
        joints = self._joints()
        obstacles.boxes.extend(Box(left=x, top=y, right=x, bottom=y).grown(JOINT) for x, y in joints)
        labels = tuple(place(words, obstacles) for words in self._words)
        self._symbols.extend(self._place_mark(mark, obstacles) for mark in self._marks)
        content = united((*obstacles.boxes, *(box_around(line) for line in obstacles.lines)))
        if content is None:
            raise ValueError("an empty drawing can't be finished: lay at least one part")
        wires = self._wire_paths()
        dots = tuple(Circle(centre=point, radius=JOINT, pen=None, fill=INK) for point in joints)
        layers: tuple[Item, ...] = (
            Group(items=wires, tag=Tag(classes=("wires",))),
            Group(items=tuple(self._symbols), tag=Tag(classes=("parts",))),
            Group(items=dots, tag=Tag(classes=("joints",))),
            Group(items=tuple(self._terminals), tag=Tag(classes=("terminals",))),
            Group(items=(*self._fixed, *(label.item for label in labels)), tag=Tag(classes=("labels",))),
        )
        head = MARGIN + (TITLE_SIZE * 1.9 if title else 0.0)
        dx, dy = round(MARGIN - content.left), round(head - content.top)
        width = max(content.width, text_width(title, TITLE_SIZE, bold=True)) + 2 * MARGIN
        height = head + content.height + MARGIN
        moved = tuple(translate(layer, dx, dy) for layer in layers)
        paper: list[Item] = []
        if title:
            at = MARGIN, MARGIN + TITLE_SIZE * 0.75
            paper.append(Text(at=at, text=title, size=TITLE_SIZE, bold=True, tag=Tag(classes=("title",))))
        notes: list[Item] = []
        for index, line in enumerate(_wrapped(self.notes, width - 2 * MARGIN)):
            at = MARGIN, height - MARGIN + 26.0 + index * NOTE_SIZE * 1.4
            notes.append(Text(at=at, text=line, size=NOTE_SIZE, tag=Tag(classes=("note",))))
        if notes:
            height += 26.0 + (len(notes) - 1) * NOTE_SIZE * 1.4
        moved_obstacles = Obstacles(
            [box.moved(dx, dy) for box in obstacles.boxes]
            + [box for item in (*paper, *notes) if (box := bounds_of(item)) is not None],
            [(_moved(one, dx, dy), _moved(two, dx, dy)) for one, two in obstacles.lines],
        )
        return Drawing(
            scene=Scene(
                width=math.ceil(width),
                height=math.ceil(height),
                items=(*paper, *moved, *notes),
                title=title or "Schematic",
                description=description,
            ),
            standard=self.standard,
            form=form,
            circuit=circuit,
            parts={name: _moved_part(placed, dx, dy) for name, placed in self.parts.items()},
            wires=tuple(replace(wire, points=tuple(_moved(p, dx, dy) for p in wire.points)) for wire in self.wires),
            aliases=dict(self.aliases),
            labels=tuple(_moved_label(label, dx, dy) for label in labels),
            joints=tuple(_moved(point, dx, dy) for point in joints),
            crossings=tuple(_moved(point, dx, dy) for point in self._crossings()),
            obstacles=moved_obstacles,
            content=content.moved(dx, dy),
        )

    def symbol(self, kind: Kind) -> Symbol:
        """A symbol in this drawing's standard."""
        return symbol(kind, self.standard)


def _spread(lines: Iterable[tuple[str, Point, Point]]) -> Iterable[Point]:
    """Points along straight lines, the middles first, ends left out."""
    kept = [(one, two) for _, one, two in lines if math.dist(one, two) > 24.0]
    for part in (0.5, 0.3, 0.7, 0.2, 0.8):
        for one, two in kept:
            yield one[0] + (two[0] - one[0]) * part, one[1] + (two[1] - one[1]) * part


def _wire_tag(node: str) -> Tag:
    return Tag(classes=("wire",), data={"node": node})


def _wrapped(notes: Iterable[str], width: float) -> list[str]:
    """The notes as lines that fit the paper."""
    lines: list[str] = []
    for note in notes:
        line = ""
        for word in note.split():
            longer = f"{line} {word}" if line else word
            if line and text_width(longer, NOTE_SIZE) > width:
                lines.append(line)
                longer = word
            line = longer
        lines.append(line)
    return lines


def _along_edges(items: Iterable[Item]) -> Iterable[Box]:
    """Small boxes along straight edges: the one box of a slanting symbol would claim empty corners."""
    for item in items:
        if isinstance(item, Line | Polygon):
            ring = item.points if isinstance(item, Line) else (*item.points, item.points[0])
            for one, two in zip(ring, ring[1:], strict=False):
                count = max(1, math.ceil(math.dist(one, two) / 5.0))
                for step in range(count + 1):
                    part = step / count
                    at = one[0] + (two[0] - one[0]) * part, one[1] + (two[1] - one[1]) * part
                    yield box_around((at,)).grown(1.0)


def _nowhere(point: Point) -> Box:
    """A box without an area."""
    return Box(left=point[0], top=point[1], right=point[0], bottom=point[1])


def _rounded(point: Point) -> Point:
    return round(point[0], 2), round(point[1], 2)


def _moved(point: Point, dx: float, dy: float) -> Point:
    return point[0] + dx, point[1] + dy


def _moved_part(placed: PlacedPart, dx: float, dy: float) -> PlacedPart:
    return replace(
        placed,
        start=_moved(placed.start, dx, dy),
        end=_moved(placed.end, dx, dy),
        box=placed.box.moved(dx, dy),
        outline=tuple(_moved(point, dx, dy) for point in placed.outline),
        common=None if placed.common is None else _moved(placed.common, dx, dy),
    )


def _moved_label(label: Label, dx: float, dy: float) -> Label:
    words = replace(label.words, near=label.words.near.moved(dx, dy))
    return Label(words=words, box=label.box.moved(dx, dy), item=translate(label.item, dx, dy))


def _lies_on(point: Point, one: Point, two: Point) -> bool:
    """Whether a point lies on a line, its ends left out."""
    span = math.dist(one, two)
    return math.dist(one, point) + math.dist(point, two) - span < 1e-4 and span > _NEAR


def _crossing(one: Point, two: Point, three: Point, four: Point) -> Point | None:
    """Where two lines meet, ends included; None if they don't."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    ex, ey = four[0] - three[0], four[1] - three[1]
    turn = dx * ey - dy * ex
    if abs(turn) < 1e-9:
        return None
    fx, fy = three[0] - one[0], three[1] - one[1]
    first, second = (fx * ey - fy * ex) / turn, (fx * dy - fy * dx) / turn
    if -1e-9 <= first <= 1 + 1e-9 and -1e-9 <= second <= 1 + 1e-9:
        return one[0] + first * dx, one[1] + first * dy
    return None
