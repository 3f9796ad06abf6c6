"""The frames of the film: pictures drawn once each, the cursor, the time and the crossfades laid on as arrays."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

import numpy as np

from railwright.documents.film.encoder import decoded
from railwright.documents.film.pictures import CLOCK_BASELINE, CLOCK_RIGHT, clock_note, clock_words
from railwright.figures.export import png_bytes
from railwright.figures.projector import TEXT, WIDTH, LargePlot
from railwright.figures.scene import Scene
from railwright.figures.scene import Text as Words
from railwright.figures.typeface import ASCENT, text_width

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from railwright.documents.film.encoder import Picture
    from railwright.documents.film.pictures import Pictures
    from railwright.documents.film.storyboard import Shot, Storyboard

__all__ = ["Frames", "drawn"]

_FADE = 0.3  # [s] from one chapter to the next: slower than three changes a second
_INK = np.array([26, 26, 26], dtype=np.float32)
_LINE = 4.0  # [px] breadth of the cursor
_DOT = 10.0  # [px] radius of the dots where it meets the curves
_RIM = 3.0


def drawn(scene: Scene) -> Picture:
    """A projector sheet as an array (1080, 1920, 3)."""
    return decoded(png_bytes(scene, width=int(WIDTH)))


class Frames:
    """The frames in order, each with how often it stands."""

    def __init__(self, pictures: Pictures, board: Storyboard, tell: Callable[[float, str], None]) -> None:
        self._pictures, self._board = pictures, board
        self._drawn: dict[tuple[str, int], Picture] = {}
        self._full: dict[int, Picture] = {}
        wanted = list(dict.fromkeys(shot.picture for shot in board.shots))
        for number, key in enumerate(wanted):
            tell(number / len(wanted), f"drawing picture {number + 1} of {len(wanted)}")
            self._drawn[key] = drawn(self._scene(key))
        self._plots = pictures.plots(None)
        curves = drawn(pictures.curves_page())
        for key in wanted:
            if key[0] == "period":
                # Lines on white lie over the axes wherever they are darker.
                self._full[key[1]] = np.minimum(self._drawn[key], curves)
        self._clock = _Clock(pictures)

    def _scene(self, key: tuple[str, int]) -> Scene:
        kind, number = key
        pictures = self._pictures
        if kind == "title":
            return pictures.title_page()
        if kind == "stages":
            return pictures.stages_page(number)
        if kind == "circuit":
            return pictures.circuit_page()
        if kind == "period":
            scene = pictures.moment_page(number, with_curves=False, running=True)
            note = clock_note(clock_words(self._board.slowness, pictures.study.period, pictures.course.decimal))
            return Scene(
                width=scene.width, height=scene.height, items=(*scene.items, note), title=scene.title,
                description=scene.description,
            )  # fmt: skip
        made = {"load": pictures.load_page, "hand": pictures.hand_page, "closing": pictures.closing_page}[kind]()
        assert made is not None
        return made

    def __iter__(self) -> Iterator[tuple[Picture, int]]:
        edges = self._board.edges
        before: Picture | None = None
        chapter = ""
        for shot, first, last in zip(self._board.shots, edges, edges[1:], strict=False):
            fade = 0
            if before is not None and shot.chapter != chapter:
                fade = min(last - first - 1, round(_FADE * self._board.rate))
            for picture, times, number in self._shot(shot, last - first):
                if number < fade and before is not None:
                    # A picture that stands is taken apart as far as the fade goes.
                    steps = min(times, fade - number)
                    for step in range(number, number + steps):
                        yield _mixed(before, picture, (step + 1) / (fade + 1)), 1
                    if times > steps:
                        yield picture, times - steps
                else:
                    yield picture, times
                after = picture
            before, chapter = after, shot.chapter

    def _shot(self, shot: Shot, count: int) -> Iterator[tuple[Picture, int, int]]:
        """The frames of a shot: picture, how often, number of the first."""
        if shot.cursor is None:
            yield self._drawn[shot.picture], count, 0
            return
        start, end = shot.cursor
        if start == end:
            yield self._at(shot.picture[1], start), count, 0
            return
        for number in range(count):
            yield self._at(shot.picture[1], start + (end - start) * (number + 0.5) / count), 1, number

    def _at(self, number: int, degrees: float) -> Picture:
        """A moment of the period: curves up to the cursor, the cursor, the time."""
        picture = self._drawn["period", number].copy()
        full = self._full[number]
        for plot in self._plots:
            x = round(plot.across.at(degrees))
            frame = plot.frame
            rows = slice(int(frame.top), int(frame.bottom))
            columns = slice(int(plot.box.left) - 4, x)
            picture[rows, columns] = full[rows, columns]
            _cursor(picture, plot, degrees)
        self._clock.show(picture, degrees)
        return picture


def _mixed(one: Picture, other: Picture, share: float) -> Picture:
    weight = np.uint16(round(256 * share))
    mixed: Picture = ((one * (256 - weight) + other * weight) >> np.uint16(8)).astype(np.uint8)
    return mixed


def _cursor(picture: Picture, plot: LargePlot, degrees: float) -> None:
    x = plot.across.at(degrees)
    top, bottom = int(plot.box.top), int(plot.box.bottom)
    left = int(x - _LINE)
    across = np.arange(left, left + int(2 * _LINE) + 1) + 0.5
    share = np.clip(_LINE / 2 + 0.5 - np.abs(across - x), 0.0, 1.0)
    _paint(picture, slice(top, bottom), slice(left, left + len(across)), share[None, :], _INK)
    heights = plot.heights_at(degrees)
    for curve, y in zip([curve for curve in plot.curves if curve.reading], heights, strict=True):
        if plot.box.top - 2.0 <= y <= plot.box.bottom + 2.0:
            _dot(picture, x, y, curve.colour)


def _dot(picture: Picture, x: float, y: float, colour: str) -> None:
    left, top = int(x - _DOT - _RIM) - 1, int(y - _DOT - _RIM) - 1
    size = int(2 * (_DOT + _RIM)) + 4
    away = np.hypot(np.arange(left, left + size)[None, :] + 0.5 - x, np.arange(top, top + size)[:, None] + 0.5 - y)
    rows, columns = slice(top, top + size), slice(left, left + size)
    # White around the colour: it stands out from its own curve, and from the cursor.
    _paint(picture, rows, columns, np.clip(_DOT + _RIM + 0.5 - away, 0.0, 1.0), np.full(3, 255.0, dtype=np.float32))
    tint = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)], dtype=np.float32)
    _paint(picture, rows, columns, np.clip(_DOT + 0.5 - away, 0.0, 1.0), tint)


def _paint(
    picture: Picture, rows: slice, columns: slice, share: NDArray[np.float64], colour: NDArray[np.float32]
) -> None:
    there = picture[rows, columns].astype(np.float32)
    weight = np.broadcast_to(share, there.shape[:2])[:, :, None].astype(np.float32)
    picture[rows, columns] = (there * (1.0 - weight) + colour * weight + 0.5).astype(np.uint8)


class _Clock:
    """The running time: its characters are drawn once, then set like type."""

    _CHARACTERS = "0123456789.,° msµ"

    def __init__(self, pictures: Pictures) -> None:
        period = pictures.study.period
        self._factor, self._unit, self._places = (1e3, "ms", 2) if period >= 2e-3 else (1e6, "µs", 0)
        self._decimal = pictures.course.decimal
        self._period, self._span = period, pictures.span
        self._has_angle = bool(pictures.study.supply.mains.frequency)
        size = TEXT
        # Every digit takes the room of the broadest, so that the time doesn't jitter.
        digit = max(text_width(one, size, bold=True) for one in "0123456789")
        self._widths = {
            one: round(digit if one.isdigit() else text_width(one, size, bold=True)) for one in self._CHARACTERS
        }
        cell, height = round(2 * size), round(1.4 * size)
        items = tuple(
            Words(at=(cell * (k + 0.5), size * ASCENT + 4.0), text=one, size=size, bold=True, anchor="middle")
            for k, one in enumerate(self._CHARACTERS)
            if one != " "
        )
        sheet = decoded(
            png_bytes(
                Scene(width=cell * len(self._CHARACTERS), height=height, items=items, title="", description=""),
                width=cell * len(self._CHARACTERS),
            )
        )
        self._types = {}
        for k, one in enumerate(self._CHARACTERS):
            left = round(cell * (k + 0.5) - self._widths[one] / 2)
            self._types[one] = sheet[:, left : left + self._widths[one]]
        self._top = round(CLOCK_BASELINE - size * ASCENT - 4.0)

    def words(self, degrees: float) -> str:
        """Time, and angle where there is one."""
        time = f"{degrees / self._span * self._period * self._factor:.{self._places}f}".replace(".", self._decimal)
        angle = f"   {degrees:3.0f}°" if self._has_angle else ""
        return f"{time} {self._unit}{angle}"

    def show(self, picture: Picture, degrees: float) -> None:
        """Set the time into a picture, its right end at the margin."""
        types = [self._types[one] for one in self.words(degrees)]
        right = int(CLOCK_RIGHT)
        for block in reversed(types):
            height, width = block.shape[:2]
            rows, columns = slice(self._top, self._top + height), slice(right - width, right)
            picture[rows, columns] = np.minimum(picture[rows, columns], block)
            right -= width
