"""The plan of the film: which picture stands how long, what is said meanwhile, where the cursor moves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from railwright.documents.film.subtitles import Cue

if TYPE_CHECKING:
    from railwright.documents.film.captions import Told
    from railwright.documents.film.pictures import Pictures

__all__ = ["READING_SPEED", "Shot", "Storyboard", "TooShort", "storyboard"]

Chapter = Literal["title", "stages", "circuit", "period", "load", "hand", "closing"]

#: Characters of a caption that a viewer reads in a second: broadcasters ask for 15 to 17 in subtitles (from memory).
READING_SPEED = 15.0
_BRISK = 17.0
#: Where time is short, as fast as they allow for adults (from memory).
_FASTEST = 21.0
_SHORTEST = 1.6  # [s] that any caption stands
#: How long one period takes where nothing has to be read. [s]
_PERIOD = 8.0
_MORE_PERIODS = 4.0  # [s] for each further mains period in the common one
_LONGEST_PERIOD = 20.0
#: Chapters that a short film does without, the first to go first. The period and the cautions always stay.
_CAN_GO: tuple[Chapter, ...] = ("circuit", "stages", "load", "hand", "title")


class TooShort(ValueError):
    """A film was asked for that nobody could read in time; the sentence says how long it must be."""

    def __init__(self, asked: float, least: float) -> None:
        super().__init__(asked, least)
        self.asked, self.least = asked, least

    def __str__(self) -> str:
        return (
            f"A film of {self.asked:g} s is too short to read its captions in. One period of this circuit and the "
            f"cautions take {math.ceil(self.least)} s: ask for that or more."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One picture of the film for some time."""

    chapter: Chapter
    picture: tuple[str, int]  # kind, and its number
    seconds: float
    caption: str
    cursor: tuple[float, float] | None = None  # from, to [deg]


@dataclass(frozen=True, slots=True, kw_only=True)
class Storyboard:
    """The shots with the numbers of their frames."""

    shots: tuple[Shot, ...]
    edges: tuple[int, ...]  # first frame of each shot, then the number of all frames
    rate: int  # [1/s]

    @property
    def frames(self) -> int:
        """How many there are."""
        return self.edges[-1]

    @property
    def seconds(self) -> float:
        """How long the film is. [s]"""
        return self.frames / self.rate

    @property
    def cues(self) -> tuple[Cue, ...]:
        """The captions with their times; shots that say the same one after the other share a cue."""
        found: list[Cue] = []
        for shot, first, last in zip(self.shots, self.edges, self.edges[1:], strict=False):
            start, end = first / self.rate, last / self.rate
            if found and found[-1].text == shot.caption:
                found[-1] = replace(found[-1], end=end)
            else:
                found.append(Cue(start=start, end=end, text=shot.caption))
        return tuple(found)

    @property
    def slowness(self) -> float:
        """How long the period takes while the cursor moves. [s]"""
        return sum(shot.seconds for shot in self.shots if shot.cursor is not None and shot.cursor[0] != shot.cursor[1])


def storyboard(pictures: Pictures, *, seconds: float | None, rate: int) -> Storyboard:
    """Plan the film.

    Parameters
    ----------
    pictures : Pictures
    seconds : float, optional
        How long the film is to be; as long as its captions need if not given. A shorter film leaves chapters out, a
        longer one gives every picture more time. [s]
    rate : int
        Frames in a second. [1/s]

    Raises
    ------
    TooShort
        If not even the period could be read in the time.
    """
    shots = tuple(_shots(pictures))
    if seconds is not None:
        shots = _fitted(shots, seconds)
    # Edges are rounded, not lengths: no rounding adds up.
    edges, at = [0], 0.0
    for shot in shots:
        at += shot.seconds
        edges.append(max(edges[-1], round(at * rate)))
    kept = [number for number in range(len(shots)) if edges[number + 1] > edges[number]]
    return Storyboard(
        shots=tuple(shots[number] for number in kept),
        edges=(*(edges[number] for number in kept), edges[-1]),
        rate=rate,
    )


def reading_time(caption: str) -> float:
    """How long a caption must stand. [s]"""
    return max(_SHORTEST, len(caption) / READING_SPEED)


def _fitted(shots: Sequence[Shot], seconds: float) -> tuple[Shot, ...]:
    left = list(shots)
    for chapter in (None, *_CAN_GO):
        left = [shot for shot in left if shot.chapter != chapter]
        natural = sum(shot.seconds for shot in left)
        # A little brisker before a chapter goes; only a film that has none left to lose is read as fast as can be.
        fastest = READING_SPEED / (_FASTEST if chapter == _CAN_GO[-1] else _BRISK)
        if natural * fastest <= seconds + 1e-9:
            return tuple(replace(shot, seconds=shot.seconds * seconds / natural) for shot in left)
    raise TooShort(seconds, natural * fastest)


def _shots(pictures: Pictures) -> Iterator[Shot]:
    def still(chapter: Chapter, caption: str, number: int = 0) -> Shot:
        return Shot(
            chapter=chapter, picture=(chapter, number), seconds=reading_time(caption), caption=caption
        )

    yield still("title", f"{pictures.title.rstrip('.')}. {pictures.title_words}")
    for number, caption in enumerate(pictures.stage_captions, start=1):
        yield still("stages", caption, number)
    if pictures.circuit is not None:
        yield still("circuit", pictures.circuit_words)
    yield from _period(pictures)
    if pictures.load_page() is not None:
        yield still("load", pictures.load_words)
    if pictures.hand_words:
        yield still("hand", pictures.hand_words)
    yield still("closing", pictures.closing_words)


def _period(pictures: Pictures) -> Iterator[Shot]:
    """The period in slow motion: the cursor goes through it evenly, and stops where a caption takes longer."""
    periods = pictures.span / 360.0
    whole = min(_LONGEST_PERIOD, _PERIOD + _MORE_PERIODS * (periods - 1.0))
    for number, told in enumerate(pictures.told):
        yield from _stretch(told, number, whole / pictures.span)


def _stretch(told: Told, number: int, seconds_each: float) -> Iterator[Shot]:
    moving = (told.end - told.start) * seconds_each
    waiting = max(0.0, reading_time(told.caption) - moving)
    stop = min(max(told.at, told.start), told.end)
    for start, end, seconds in (
        (told.start, stop, (stop - told.start) * seconds_each),
        (stop, stop, waiting),
        (stop, told.end, (told.end - stop) * seconds_each),
    ):
        if seconds > 0.0:
            yield Shot(
                chapter="period", picture=("period", number), seconds=seconds, caption=told.caption, cursor=(start, end)
            )
