"""The drawing model: boxes against plane geometry, SVG against an XML parser and the SVG 1.1 recommendation."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from railwright.figures import scene
from railwright.figures.scene import (
    Arc,
    Box,
    Circle,
    Copier,
    Group,
    Hatch,
    Item,
    Line,
    Path,
    Pen,
    Polygon,
    Rectangle,
    Scene,
    Step,
    Tag,
    Text,
)

SVG = "{http://www.w3.org/2000/svg}"
lengths = st.floats(min_value=-500, max_value=500)
points = st.tuples(lengths, lengths)
boxes = st.tuples(points, points).map(scene.box_around)


def one(item: Item, **words: str) -> Scene:
    return Scene(width=200, height=100, items=(item,), title=words.get("title", "A figure"), description="")


def root(drawn: Scene, *, copier: bool = False) -> ElementTree.Element:
    return ElementTree.fromstring(scene.render(drawn, copier=copier))


@given(words=st.text(max_size=40))
def test_any_text_of_a_reader_comes_back_as_text_and_never_as_markup(words: str) -> None:
    tree = root(one(Text(at=(10, 10), text=words, tag=Tag(data={"ref": words})), title=words))
    text = tree.find(f"{SVG}text")
    assert text is not None
    assert len(text) == 0
    # XML 1.0, section 2.2: these characters are allowed; 2.11: a carriage return is read as a line feed.
    allowed = re.sub("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]", "\ufffd", words)
    assert (text.text or "") == allowed.replace("\r\n", "\n").replace("\r", "\n")
    title = tree.find(f"{SVG}title")
    assert title is not None
    assert (title.text or "") == (text.text or "")


def test_a_figure_names_its_title_and_description_for_screen_readers() -> None:
    """WAI-ARIA 1.2: role img needs a name; aria-labelledby points at the ids of title and description."""
    tree = root(replace(one(Line(points=((0, 0), (1, 1)))), description="Two words"))
    assert tree.get("role") == "img"
    ids = {element.get("id") for element in tree if element.tag in (f"{SVG}title", f"{SVG}desc")}
    assert set((tree.get("aria-labelledby") or "").split()) == ids
    assert tree.get("viewBox") == "0 0 200 100"


def test_the_same_scene_always_gives_the_same_text() -> None:
    items = (Circle(centre=(50, 50), radius=20, fill=Hatch()), Rectangle(box=Box(left=1, top=2, right=3, bottom=4)))
    drawn = Scene(width=100, height=100, items=items, title="Twice")
    assert scene.render(drawn) == scene.render(replace(drawn))


def test_ids_begin_with_the_prefix_so_that_figures_can_share_a_page() -> None:
    drawn = one(
        Group(items=(Circle(centre=(9, 9), radius=5, fill=Hatch()),), clip=Box(left=0, top=0, right=9, bottom=9))
    )
    ids = re.findall(r'id="([^"]+)"', scene.render(drawn, prefix="second"))
    assert len(ids) == len(set(ids)) >= 3
    assert all(name.startswith("second-") for name in ids)


def test_ink_follows_the_pages_colour() -> None:
    line = root(one(Line(points=((0, 0), (9, 9))))).find(f"{SVG}polyline")
    assert line is not None
    assert line.get("stroke") == "currentColor"
    assert line.get("style") is None


def test_a_copier_gets_black_and_white_and_nothing_in_between() -> None:
    tinted = Circle(centre=(5, 5), radius=4, fill="#E69F00", fill_opacity=0.4, pen=Pen(colour="#0072B2"))
    own_form = Line(points=((0, 0), (9, 9)), pen=Pen(colour="#D55E00"), copier=Copier(pen=Pen(dash=(2, 2))))
    drawn = one(Group(items=(tinted, own_form, Text(at=(3, 3), text="x", colour="#009E73", halo=2)), opacity=0.5))
    text = scene.render(drawn, copier=True)
    assert set(re.findall(r"#[0-9A-Fa-f]{6}", text)) <= {"#000000", "#ffffff"}
    assert "opacity" not in text
    assert 'stroke-dasharray="2 2"' in text


@given(start=st.floats(-720, 720), extent=st.floats(-360, 360), radius=st.floats(1, 200))
def test_the_box_of_an_arc_holds_every_point_of_it_and_is_no_larger(start: float, extent: float, radius: float) -> None:
    """Plane geometry: x = r cos t, y = r sin t, sampled; an arc bulges between samples by r (1 - cos(half))."""
    arc = Arc(centre=(7, -3), radius=radius, start=start, extent=extent, pen=Pen(width=0.0))
    box = scene.bounds(arc)
    assert box is not None
    angles = [math.radians(start + extent * step / 720) for step in range(721)]
    around = scene.box_around([(7 + radius * math.cos(a), -3 + radius * math.sin(a)) for a in angles])
    assert box.grown(1e-6).contains(around)
    assert around.grown(radius * 1e-4 + 1e-6).contains(box)


def test_a_full_circle_drawn_as_an_arc_doesnt_vanish() -> None:
    """SVG 1.1, 8.3.8: an arc whose end points are the same is left out, so it takes two."""
    path = root(one(Arc(centre=(50, 50), radius=10, start=0, extent=360))).find(f"{SVG}path")
    assert path is not None
    assert (path.get("d") or "").count("A") == 2


shapes = st.one_of(
    st.lists(points, min_size=2, max_size=5).map(lambda p: Line(points=tuple(p))),
    st.lists(points, min_size=3, max_size=5).map(lambda p: Polygon(points=tuple(p), fill=Hatch())),
    boxes.map(lambda box: Rectangle(box=box, radius=2)),
    points.map(lambda p: Circle(centre=p, radius=9)),
    points.map(lambda p: Arc(centre=p, radius=9, start=30, extent=100)),
    st.tuples(points, points, points).map(
        lambda p: Path(steps=(Step(command="M", points=(p[0],)), Step(command="Q", points=p[1:]), Step(command="Z")))
    ),
    points.map(lambda p: Text(at=p, text="2200 µF", anchor="middle", baseline="middle", turned=-90)),
)


@given(item=shapes, dx=lengths, dy=lengths)
def test_moving_a_shape_moves_its_box(item: Item, dx: float, dy: float) -> None:
    before, after = scene.bounds(item), scene.bounds(scene.translate(item, dx, dy))
    assert before is not None and after is not None
    expected = before.moved(dx, dy)
    assert expected.grown(1e-6).contains(after) and after.grown(1e-6).contains(expected)


@given(item=shapes, factor=st.floats(0.2, 5), about=points)
def test_scaling_a_shape_scales_its_box_lines_and_letters_too(
    item: Item, factor: float, about: tuple[float, float]
) -> None:
    before, after = scene.bounds(item), scene.bounds(scene.scale(item, factor, about))
    assert before is not None and after is not None
    assert after.width == pytest.approx(before.width * factor, abs=1e-6)
    assert after.height == pytest.approx(before.height * factor, abs=1e-6)
    assert after.left - about[0] == pytest.approx((before.left - about[0]) * factor, abs=1e-6)


def test_each_stretch_of_a_line_has_a_box_of_its_own() -> None:
    """The corner that an L leaves free must stay free for a label."""
    corner = Line(points=((0, 0), (100, 0), (100, 100)))
    free = Box(left=10, top=50, right=60, bottom=90)
    assert scene.bounds(corner) is not None and scene.bounds(corner).overlaps(free)  # type: ignore[union-attr]
    assert not any(box.overlaps(free) for box in scene.boxes(corner))


def test_a_clip_hides_what_lies_outside_it() -> None:
    clip = Box(left=0, top=0, right=50, bottom=50)
    group = Group(items=(Line(points=((-100, 25), (100, 25)), pen=Pen(width=2)),), clip=clip)
    assert scene.bounds(group) == Box(left=0, top=24, right=50, bottom=26)


@given(first=boxes, second=boxes)
def test_overlapping_is_mutual_and_a_union_holds_both(first: Box, second: Box) -> None:
    assert first.overlaps(second) == second.overlaps(first)
    whole = first.united(second)
    assert whole.contains(first) and whole.contains(second)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_coordinate_that_isnt_a_number_is_refused_with_a_sentence(value: float) -> None:
    with pytest.raises(ValueError, match="can't be a coordinate: every length and position must be finite"):
        scene.render(one(Line(points=((0, value), (1, 1)))))


def test_a_class_that_css_couldnt_find_is_refused() -> None:
    with pytest.raises(ValueError, match="can't be a class or data name: use letters"):
        Tag(classes=("two words",))
    with pytest.raises(ValueError, match="can't begin an id"):
        scene.render(one(Line(points=((0, 0), (1, 1)))), prefix="7 up")


@pytest.mark.parametrize(("value", "text"), [(1.0, "1"), (0.125, "0.12"), (-0.001, "0"), (100.0, "100"), (2.5, "2.5")])
def test_numbers_are_written_short(value: float, text: str) -> None:
    assert scene.number(value) == text


def test_a_colour_of_the_tint_is_where_it_was_drawn() -> None:
    """An independent renderer (resvg) puts the colour of a filled square at its middle, and paper beside it."""
    resvg_py = pytest.importorskip("resvg_py")
    image = pytest.importorskip("PIL.Image")
    import io

    square = Rectangle(box=Box(left=50, top=20, right=90, bottom=60), pen=None, fill="#0072B2")
    data = resvg_py.svg_to_bytes(svg_string=scene.render(one(square), background="#ffffff"))
    pixels = image.open(io.BytesIO(bytes(data))).convert("RGB")
    assert pixels.size == (200, 100)
    assert pixels.getpixel((70, 40)) == (0x00, 0x72, 0xB2)
    assert pixels.getpixel((20, 40)) == (255, 255, 255)
