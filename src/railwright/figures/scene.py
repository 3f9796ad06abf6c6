"""One drawing model for every figure: frozen shapes, their bounding boxes, and SVG text made from them.

Units are pixels, x to the right and y downwards; angles are in degrees and turn as on the screen, clockwise.
Colours are presentation attributes and parts carry classes and data attributes, so that a page's style sheet can
recolour a figure (dark mode, a lit diode) without drawing it again. Two colours are words: `INK` follows the
page's text colour, `PAPER` is the background.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias
from xml.sax.saxutils import escape as _escape_markup

from railwright.figures.typeface import ASCENT, CAP_HEIGHT, DESCENT, FAMILY, text_width

INK = "ink"
PAPER = "paper"
INK_COLOUR = "#1a1a1a"
PAPER_COLOUR = "#ffffff"

Point: TypeAlias = tuple[float, float]
Anchor = Literal["start", "middle", "end"]
#: Where `Text.at` lies on the text: its baseline, half-way up its capitals, or the top of its box.
Baseline = Literal["alphabetic", "middle", "top"]
Cap = Literal["butt", "round", "square"]
Join = Literal["miter", "round", "bevel"]

_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]*\Z")
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """An upright rectangle. [px]"""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """[px]"""
        return self.right - self.left

    @property
    def height(self) -> float:
        """[px]"""
        return self.bottom - self.top

    @property
    def centre(self) -> Point:
        """The middle. [px]"""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def grown(self, margin: float) -> Box:
        """The box with `margin` [px] more on every side."""
        return Box(
            left=self.left - margin, top=self.top - margin, right=self.right + margin, bottom=self.bottom + margin
        )

    def moved(self, dx: float, dy: float) -> Box:
        """The box moved by `dx`, `dy` [px]."""
        return Box(left=self.left + dx, top=self.top + dy, right=self.right + dx, bottom=self.bottom + dy)

    def united(self, other: Box) -> Box:
        """The smallest box around both."""
        return Box(
            left=min(self.left, other.left),
            top=min(self.top, other.top),
            right=max(self.right, other.right),
            bottom=max(self.bottom, other.bottom),
        )

    def overlaps(self, other: Box) -> bool:
        """Whether the two share an area; touching edges don't count."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def contains(self, other: Box) -> bool:
        """Whether `other` lies inside, edges included."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and self.right >= other.right
            and self.bottom >= other.bottom
        )


def box_around(points: Iterable[Point]) -> Box:
    """The smallest box around at least one point."""
    xs, ys = zip(*points, strict=True)
    return Box(left=min(xs), top=min(ys), right=max(xs), bottom=max(ys))


def united(boxes: Iterable[Box]) -> Box | None:
    """The smallest box around all boxes; None if there are none."""
    whole: Box | None = None
    for box in boxes:
        whole = box if whole is None else whole.united(box)
    return whole


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a line is drawn."""

    width: float = 1.6  # [px]
    colour: str = INK
    dash: tuple[float, ...] = ()  # [px] drawn, left out, drawn, ...
    cap: Cap = "round"
    join: Join = "round"
    opacity: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hatch:
    """A fill of parallel lines."""

    colour: str = INK
    spacing: float = 4.0  # [px]
    width: float = 0.9  # [px]
    degrees: float = 45.0


Fill: TypeAlias = str | Hatch


@dataclass(frozen=True, slots=True, kw_only=True)
class Copier:
    """What a tinted shape becomes where only black and white are left; None leaves fill or line out."""

    fill: Fill | None = None
    pen: Pen | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tag:
    """Names that a style sheet or script finds a shape by, and a title that shows when pointed at."""

    classes: tuple[str, ...] = ()
    data: Mapping[str, str] = field(default_factory=dict)  # data-<key>="value"; keys are ours, values may be a reader's
    title: str = ""

    def __post_init__(self) -> None:
        for name in (*self.classes, *self.data):
            if not _NAME.match(name):
                raise ValueError(f"{name!r} can't be a class or data name: use letters, digits, - and _")


NO_TAG = Tag()
PLAIN = Pen()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line through two or more points."""

    points: tuple[Point, ...]
    pen: Pen = PLAIN
    tag: Tag = NO_TAG
    copier: Copier | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Polygon:
    """A closed shape with straight sides."""

    points: tuple[Point, ...]
    pen: Pen | None = PLAIN
    fill: Fill | None = None
    fill_opacity: float = 1.0
    tag: Tag = NO_TAG
    copier: Copier | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectangle:
    """An upright rectangle, its corners rounded by `radius` [px]."""

    box: Box
    radius: float = 0.0
    pen: Pen | None = PLAIN
    fill: Fill | None = None
    fill_opacity: float = 1.0
    tag: Tag = NO_TAG
    copier: Copier | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """A circle."""

    centre: Point
    radius: float  # [px]
    pen: Pen | None = PLAIN
    fill: Fill | None = None
    fill_opacity: float = 1.0
    tag: Tag = NO_TAG
    copier: Copier | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Arc:
    """Part of a circle, from `start`, `extent` further on, both clockwise from the x axis."""

    centre: Point
    radius: float  # [px]
    start: float  # [deg]
    extent: float  # [deg] -360 to 360
    pen: Pen = PLAIN
    tag: Tag = NO_TAG
    copier: Copier | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a path: M and L take one point, Q two, C three, Z none."""

    command: Literal["M", "L", "Q", "C", "Z"]
    points: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """A curve of steps; its box is that of its points and control points."""

    steps: tuple[Step, ...]
    pen: Pen | None = PLAIN
    fill: Fill | None = None
    fill_opacity: float = 1.0
    tag: Tag = NO_TAG
    copier: Copier | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of text, written as it is; `halo` [px] of paper keeps it legible over lines."""

    at: Point
    text: str
    size: float = 14.0  # [px]
    anchor: Anchor = "start"
    baseline: Baseline = "alphabetic"
    bold: bool = False
    italic: bool = False
    turned: float = 0.0  # [deg] about `at`; -90 reads upwards
    colour: str = INK
    halo: float = 0.0
    tag: Tag = NO_TAG


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Shapes that belong together; `clip` hides what lies outside a box.

    `opacity` is that of the whole: shapes inside that overlap don't darken each other.
    """

    items: tuple[Item, ...]
    tag: Tag = NO_TAG
    clip: Box | None = None
    opacity: float = 1.0


Item: TypeAlias = Line | Polygon | Rectangle | Circle | Arc | Path | Text | Group


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A figure: its size [px], its shapes from back to front, and the text equivalent that goes with it."""

    width: float
    height: float
    items: tuple[Item, ...]
    title: str
    description: str = ""


# ---------------------------------------------------------------- boxes


def _arc_points(arc: Arc) -> list[Point]:
    """Ends of the arc, and where it is farthest left, right, up or down."""
    low, high = sorted((arc.start, arc.start + arc.extent))
    angles = [low, high, *(quarter * 90.0 for quarter in range(math.ceil(low / 90), math.floor(high / 90) + 1))]
    return [_on_circle(arc.centre, arc.radius, angle) for angle in angles]


def _on_circle(centre: Point, radius: float, degrees: float) -> Point:
    angle = math.radians(degrees)
    return centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)


def _baseline_shift(text: Text) -> float:
    """How far below `at` the baseline lies, before the text is turned. [px]"""
    if text.baseline == "middle":
        return text.size * CAP_HEIGHT / 2
    return text.size * ASCENT if text.baseline == "top" else 0.0


def _turn(point: Point, degrees: float, about: Point) -> Point:
    angle = math.radians(degrees)
    dx, dy = point[0] - about[0], point[1] - about[1]
    return (
        about[0] + dx * math.cos(angle) - dy * math.sin(angle),
        about[1] + dx * math.sin(angle) + dy * math.cos(angle),
    )


def _text_box(text: Text) -> Box:
    width = text_width(text.text, text.size, bold=text.bold)
    left = text.at[0] - {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    base = text.at[1] + _baseline_shift(text)
    box = Box(left=left, top=base - text.size * ASCENT, right=left + width, bottom=base + text.size * DESCENT)
    if text.turned:
        corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
        return box_around(_turn(corner, text.turned, text.at) for corner in corners)
    return box


def leaves(item: Item) -> Iterator[Item]:
    """The shapes inside an item, groups opened, from back to front."""
    if isinstance(item, Group):
        for inner in item.items:
            yield from leaves(inner)
    else:
        yield item


def bounds(item: Item) -> Box | None:
    """The box around what is drawn, half the pen's width included; None for an empty group. [px]"""
    if isinstance(item, Group):
        whole = united(box for inner in item.items if (box := bounds(inner)) is not None)
        if whole is None or item.clip is None:
            return whole
        return item.clip if whole.contains(item.clip) else _shared(whole, item.clip)
    if isinstance(item, Text):
        return _text_box(item)
    if isinstance(item, Rectangle):
        box = item.box
    elif isinstance(item, Circle):
        box = Box(
            left=item.centre[0] - item.radius,
            top=item.centre[1] - item.radius,
            right=item.centre[0] + item.radius,
            bottom=item.centre[1] + item.radius,
        )
    elif isinstance(item, Arc):
        box = box_around(_arc_points(item))
    elif isinstance(item, Path):
        box = box_around(point for step in item.steps for point in step.points)
    else:
        box = box_around(item.points)
    return box if item.pen is None else box.grown(item.pen.width / 2)


def _shared(one: Box, other: Box) -> Box | None:
    if not one.overlaps(other):
        return None
    return Box(
        left=max(one.left, other.left),
        top=max(one.top, other.top),
        right=min(one.right, other.right),
        bottom=min(one.bottom, other.bottom),
    )


def boxes(item: Item) -> tuple[Box, ...]:
    """The boxes of every shape inside an item, each stretch of a line by itself: for collision tests. [px]"""
    found: list[Box] = []
    for leaf in leaves(item):
        if isinstance(leaf, Line):
            pairs = zip(leaf.points, leaf.points[1:], strict=False)
            found.extend(box_around(pair).grown(leaf.pen.width / 2) for pair in pairs)
        elif (box := bounds(leaf)) is not None:
            found.append(box)
    return tuple(found)


# ---------------------------------------------------------------- moving


def translate(item: Item, dx: float, dy: float) -> Item:
    """The item moved by `dx`, `dy` [px]."""

    def move(point: Point) -> Point:
        return point[0] + dx, point[1] + dy

    if isinstance(item, Group):
        clip = None if item.clip is None else item.clip.moved(dx, dy)
        return replace(item, items=tuple(translate(inner, dx, dy) for inner in item.items), clip=clip)
    if isinstance(item, Text):
        return replace(item, at=move(item.at))
    if isinstance(item, Rectangle):
        return replace(item, box=item.box.moved(dx, dy))
    if isinstance(item, Circle):
        return replace(item, centre=move(item.centre))
    if isinstance(item, Arc):
        return replace(item, centre=move(item.centre))
    if isinstance(item, Path):
        steps = tuple(replace(step, points=tuple(map(move, step.points))) for step in item.steps)
        return replace(item, steps=steps)
    return replace(item, points=tuple(map(move, item.points)))


def _scaled_pen(pen: Pen, factor: float) -> Pen:
    return replace(pen, width=pen.width * factor, dash=tuple(length * factor for length in pen.dash))


def _scaled_fill(fill: Fill | None, factor: float) -> Fill | None:
    if isinstance(fill, Hatch):
        return replace(fill, spacing=fill.spacing * factor, width=fill.width * factor)
    return fill


def _scaled_copier(copier: Copier | None, factor: float) -> Copier | None:
    if copier is None:
        return None
    pen = None if copier.pen is None else _scaled_pen(copier.pen, factor)
    return Copier(fill=_scaled_fill(copier.fill, factor), pen=pen)


def scale(item: Item, factor: float, about: Point = (0.0, 0.0)) -> Item:
    """The item `factor` times as large, lines and letters too, with `about` [px] staying where it is."""

    def grow(point: Point) -> Point:
        return about[0] + (point[0] - about[0]) * factor, about[1] + (point[1] - about[1]) * factor

    def grow_box(box: Box) -> Box:
        return box_around((grow((box.left, box.top)), grow((box.right, box.bottom))))

    if isinstance(item, Group):
        clip = None if item.clip is None else grow_box(item.clip)
        return replace(item, items=tuple(scale(inner, factor, about) for inner in item.items), clip=clip)
    if isinstance(item, Text):
        return replace(item, at=grow(item.at), size=item.size * factor, halo=item.halo * factor)
    copier = _scaled_copier(item.copier, factor)
    if isinstance(item, Line):
        return replace(item, points=tuple(map(grow, item.points)), pen=_scaled_pen(item.pen, factor), copier=copier)
    if isinstance(item, Arc):
        pen = _scaled_pen(item.pen, factor)
        return replace(item, centre=grow(item.centre), radius=item.radius * factor, pen=pen, copier=copier)
    outline = None if item.pen is None else _scaled_pen(item.pen, factor)
    fill = _scaled_fill(item.fill, factor)
    if isinstance(item, Rectangle):
        radius = item.radius * factor
        return replace(item, box=grow_box(item.box), radius=radius, pen=outline, fill=fill, copier=copier)
    if isinstance(item, Circle):
        radius = item.radius * factor
        return replace(item, centre=grow(item.centre), radius=radius, pen=outline, fill=fill, copier=copier)
    if isinstance(item, Path):
        steps = tuple(replace(step, points=tuple(map(grow, step.points))) for step in item.steps)
        return replace(item, steps=steps, pen=outline, fill=fill, copier=copier)
    return replace(item, points=tuple(map(grow, item.points)), pen=outline, fill=fill, copier=copier)


# ---------------------------------------------------------------- SVG


def escape(text: str) -> str:
    """Text as SVG content or attribute value: never markup, nothing that XML forbids."""
    return _escape_markup(_NOT_XML.sub("\ufffd", text), {'"': "&quot;", "'": "&#39;"})


def number(value: float) -> str:
    """A coordinate with at most two decimals. [px]"""
    if not math.isfinite(value):
        raise ValueError(f"{value} can't be a coordinate: every length and position must be finite")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _pair(point: Point) -> str:
    return f"{number(point[0])},{number(point[1])}"


class _Writer:
    """Turns items to SVG text and gathers the definitions that they need."""

    def __init__(self, *, copier: bool, prefix: str) -> None:
        self.copier = copier
        self.prefix = prefix
        self.definitions: dict[str, str] = {}
        self.names: dict[Hatch | Box, str] = {}

    # ---- definitions

    def _defined(self, key: Hatch | Box, kind: str) -> str:
        if key not in self.names:
            name = f"{self.prefix}-{kind}-{len(self.names) + 1}"
            self.names[key] = name
            self.definitions[name] = self._hatch(name, key) if isinstance(key, Hatch) else self._clip(name, key)
        return self.names[key]

    def _hatch(self, name: str, hatch: Hatch) -> str:
        size = number(hatch.spacing)
        middle = number(hatch.spacing / 2)
        stroke = self._colour(hatch.colour)
        return (
            f'<pattern id="{name}" patternUnits="userSpaceOnUse" width="{size}" height="{size}" '
            f'patternTransform="rotate({number(hatch.degrees)})">'
            f'<line x1="0" y1="{middle}" x2="{size}" y2="{middle}" stroke="{stroke}" '
            f'stroke-width="{number(hatch.width)}"/></pattern>'
        )

    def _clip(self, name: str, box: Box) -> str:
        return (
            f'<clipPath id="{name}"><rect x="{number(box.left)}" y="{number(box.top)}" '
            f'width="{number(box.width)}" height="{number(box.height)}"/></clipPath>'
        )

    # ---- attributes

    def _colour(self, colour: str) -> str:
        if self.copier:
            return PAPER_COLOUR if colour in (PAPER, PAPER_COLOUR) else "#000000"
        return {INK: "currentColor", PAPER: PAPER_COLOUR}.get(colour, escape(colour))

    def _stroke(self, pen: Pen | None) -> str:
        if pen is None:
            return ""
        parts = [f' stroke="{self._colour(pen.colour)}" stroke-width="{number(pen.width)}"']
        if pen.dash:
            parts.append(f' stroke-dasharray="{" ".join(map(number, pen.dash))}"')
        # Round ends would close the gaps of a fine dash.
        cap = "butt" if pen.dash and pen.cap == "round" else pen.cap
        if cap != "round":
            parts.append(f' stroke-linecap="{cap}"')
        if pen.join != "round":
            parts.append(f' stroke-linejoin="{pen.join}"')
        if pen.opacity < 1 and not self.copier:
            parts.append(f' stroke-opacity="{number(pen.opacity)}"')
        return "".join(parts)

    def _filling(self, fill: Fill | None, opacity: float) -> str:
        if fill is None:
            return ""
        if isinstance(fill, Hatch):
            return f' fill="url(#{self._defined(fill, "hatch")})"'
        faint = f' fill-opacity="{number(opacity)}"' if opacity < 1 and not self.copier else ""
        return f' fill="{self._colour(fill)}"{faint}'

    def _paint(self, item: Line | Polygon | Rectangle | Circle | Arc | Path) -> tuple[str, tuple[str, ...]]:
        """Attributes of line and fill, and the extra class names that let dark mode find paper."""
        pen: Pen | None = item.pen
        fill: Fill | None = None
        opacity = 1.0
        if not isinstance(item, Line | Arc):
            fill, opacity = item.fill, item.fill_opacity
        if self.copier and item.copier is not None:
            pen, fill = item.copier.pen, item.copier.fill
        elif self.copier and isinstance(fill, str) and opacity < 1:
            fill = None  # a tint copies as dirt
        extra: tuple[str, ...] = ("paper-fill",) if fill == PAPER else ()
        if pen is not None and pen.colour == PAPER:
            extra += ("paper-stroke",)
        return self._filling(fill, opacity) + self._stroke(pen), extra

    def _tag(self, tag: Tag, extra: tuple[str, ...] = ()) -> str:
        classes = " ".join((*tag.classes, *extra))
        named = f' class="{classes}"' if classes else ""
        return named + "".join(f' data-{key}="{escape(value)}"' for key, value in tag.data.items())

    def _element(self, name: str, attributes: str, tag: Tag, content: str = "") -> str:
        inner = (f"<title>{escape(tag.title)}</title>" if tag.title else "") + content
        return f"<{name}{attributes}>{inner}</{name}>" if inner else f"<{name}{attributes}/>"

    # ---- items

    def item(self, item: Item) -> str:
        if isinstance(item, Group):
            clip = "" if item.clip is None else f' clip-path="url(#{self._defined(item.clip, "clip")})"'
            faint = f' opacity="{number(item.opacity)}"' if item.opacity < 1 and not self.copier else ""
            content = "".join(map(self.item, item.items))
            return self._element("g", self._tag(item.tag) + clip + faint, item.tag, content) if content else ""
        if isinstance(item, Text):
            return self._text(item)
        paint, extra = self._paint(item)
        name, shape = self._shape(item)
        return self._element(name, shape + paint + self._tag(item.tag, extra), item.tag)

    def _shape(self, item: Line | Polygon | Rectangle | Circle | Arc | Path) -> tuple[str, str]:
        if isinstance(item, Line):
            return "polyline", f' points="{" ".join(map(_pair, item.points))}"'
        if isinstance(item, Polygon):
            return "polygon", f' points="{" ".join(map(_pair, item.points))}"'
        if isinstance(item, Circle):
            x, y = item.centre
            return "circle", f' cx="{number(x)}" cy="{number(y)}" r="{number(item.radius)}"'
        if isinstance(item, Rectangle):
            box = item.box
            rounded = f' rx="{number(item.radius)}"' if item.radius else ""
            return "rect", (
                f' x="{number(box.left)}" y="{number(box.top)}" width="{number(box.width)}" '
                f'height="{number(box.height)}"{rounded}'
            )
        if isinstance(item, Arc):
            return "path", f' d="{self._arc(item)}"'
        steps = (step.command + " ".join(map(_pair, step.points)) for step in item.steps)
        return "path", f' d="{"".join(steps)}"'

    def _arc(self, arc: Arc) -> str:
        """Two halves: SVG leaves out an arc whose ends meet."""
        half = arc.extent / 2
        radius = number(arc.radius)
        turn = 1 if arc.extent > 0 else 0
        at = [_on_circle(arc.centre, arc.radius, arc.start + part * half) for part in range(3)]
        curves = "".join(f"A{radius},{radius} 0 0 {turn} {_pair(point)}" for point in at[1:])
        return f"M{_pair(at[0])}{curves}"

    def _text(self, text: Text) -> str:
        x, y = text.at[0], text.at[1] + _baseline_shift(text)
        parts = [f' x="{number(x)}" y="{number(y)}" font-size="{number(text.size)}"']
        if text.anchor != "start":
            parts.append(f' text-anchor="{text.anchor}"')
        if text.bold:
            parts.append(' font-weight="bold"')
        if text.italic:
            parts.append(' font-style="italic"')
        parts.append(f' fill="{self._colour(text.colour)}"')
        if text.halo:
            parts.append(
                f' stroke="{PAPER_COLOUR}" stroke-width="{number(2 * text.halo)}" paint-order="stroke"'
                ' stroke-linejoin="round"'
            )
        if text.turned:
            parts.append(f' transform="rotate({number(text.turned)} {number(text.at[0])} {number(text.at[1])})"')
        parts.append(self._tag(text.tag, ("paper-stroke",) if text.halo else ()))
        return self._element("text", "".join(parts), text.tag, escape(text.text))


def render(scene: Scene, *, copier: bool = False, prefix: str = "figure", background: str | None = None) -> str:
    """The scene as SVG text; the same scene always gives the same text.

    Parameters
    ----------
    scene : Scene
        What to draw.
    copier : bool
        Pure black and white, no tint: shapes that differ by colour take their `Copier` form. [-]
    prefix : str
        First part of every id, so that several figures can share a page. [-]
    background : str or None
        Colour behind everything, for pictures that must not be see-through. [-]

    Raises
    ------
    ValueError
        If a coordinate isn't finite, or `prefix` can't be an id.
    """
    if not _NAME.match(prefix):
        raise ValueError(f"{prefix!r} can't begin an id: use letters, digits, - and _")
    writer = _Writer(copier=copier, prefix=prefix)
    body = "\n".join(filter(None, map(writer.item, scene.items)))
    width, height = number(scene.width), number(scene.height)
    described = f" {prefix}-description" if scene.description else ""
    ground = ""
    if background is not None:
        ground = f'<rect width="{width}" height="{height}" fill="{PAPER_COLOUR if copier else escape(background)}"/>\n'
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}" '
        f'role="img" aria-labelledby="{prefix}-title{described}" color="{"#000000" if copier else INK_COLOUR}" '
        f'font-family="{escape(FAMILY)}, sans-serif" fill="none" stroke-linecap="round" stroke-linejoin="round">',
        f'<title id="{prefix}-title">{escape(scene.title)}</title>',
    ]
    if scene.description:
        lines.append(f'<desc id="{prefix}-description">{escape(scene.description)}</desc>')
    if writer.definitions:
        lines.append(f"<defs>{''.join(writer.definitions.values())}</defs>")
    lines.append(f"{ground}{body}")
    return "\n".join(lines) + "\n</svg>\n"
