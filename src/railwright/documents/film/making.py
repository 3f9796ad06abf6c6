"""The film of a supply: its pictures one after the other, one period in slow motion with a moving cursor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from railwright.documents.film.encoder import Encoder, codecs
from railwright.documents.film.frames import Frames
from railwright.documents.film.pictures import Pictures
from railwright.documents.film.storyboard import Storyboard, TooShort, storyboard
from railwright.documents.film.subtitles import webvtt
from railwright.figures.export import MissingExtra
from railwright.figures.projector import HEIGHT, WIDTH

if TYPE_CHECKING:
    from railwright.course import Course
    from railwright.study import Study

__all__ = ["RATE", "Film", "TooShort", "film", "plan"]

#: Told how far the work is (0 to 1) and what is being done; what it raises ends the work.
Report = Callable[[float, str], None]

RATE = 30  # [1/s]
_DRAWN = 0.3  # share of the work that the drawing of pictures takes
_EVERY = 10  # frames between two reports


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """A finished film."""

    video: bytes  # MP4: H.264, 1920 x 1080, no sound
    subtitles: str  # WebVTT
    seconds: float


def plan(study: Study, course: Course, *, seconds: float | None = None, rate: int = RATE) -> Storyboard:
    """The plan of a film, without making it: shots, captions, times."""
    return storyboard(_pictures(study, course), seconds=seconds, rate=rate)


def film(
    study: Study, course: Course, *, seconds: float | None = None, rate: int = RATE, report: Report | None = None
) -> Film:
    """The film of a solved supply, with its subtitles.

    Parameters
    ----------
    study : Study
        The supply, solved.
    course : Course
        Words, symbols, digits.
    seconds : float, optional
        How long the film is; as long as its captions need if not given. [s]
    rate : int
        Frames in a second. [1/s]
    report : callable, optional
        Told how far the work is; what it raises ends the work, and nothing of it is left.

    Raises
    ------
    MissingExtra
        If what encodes films, or what draws, isn't installed.
    TooShort
        If the captions couldn't be read in the time that was asked for.
    """
    tell = report if report is not None else _unheard
    codecs()
    tell(0.0, "planning the film")
    pictures = _pictures(study, course)
    board = storyboard(pictures, seconds=seconds, rate=rate)
    frames = Frames(pictures, board, lambda done, words: tell(_DRAWN * done, words))

    def before_each(number: int) -> None:
        if number % _EVERY == 0:
            share = number / board.frames
            tell(_DRAWN + (1.0 - _DRAWN) * share, f"drawing frame {number} of {board.frames}")

    with Encoder(width=int(WIDTH), height=int(HEIGHT), rate=rate, title=pictures.title) as encoder:
        for picture, times in frames:
            encoder.add(picture, times, before_each)
        video = encoder.finish()
    tell(1.0, "film made")
    return Film(video=video, subtitles=webvtt(board.cues, title=pictures.title), seconds=board.seconds)


def _pictures(study: Study, course: Course) -> Pictures:
    pictures = Pictures(study, course)
    try:
        _ = pictures.circuit
    except ModuleNotFoundError as missing:
        if missing.name != "schemdraw":
            raise
        raise MissingExtra(what="A film", extra="draw") from missing
    return pictures


def _unheard(done: float, words: str) -> None:
    """Nobody asked."""
