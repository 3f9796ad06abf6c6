"""The film's captions as WebVTT: subtitles for those who can't see the picture, or whose player can translate them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

__all__ = ["Cue", "webvtt"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """One caption, from its first frame to the next caption's."""

    start: float  # [s]
    end: float  # [s]
    text: str


def webvtt(cues: Iterable[Cue], *, title: str) -> str:
    """The cues as a WebVTT file (W3C, WebVTT: The Web Video Text Tracks Format).

    >>> print(webvtt([Cue(start=0.0, end=1.5, text="D1 & D4 conduct.")], title="Tide gauge"))
    WEBVTT - Tide gauge
    <BLANKLINE>
    1
    00:00:00.000 --> 00:00:01.500
    D1 &amp; D4 conduct.
    <BLANKLINE>
    """
    pieces = [f"WEBVTT - {_one_line(title)}".rstrip(" -")]
    for number, cue in enumerate(cues, start=1):
        pieces.append(f"{number}\n{_time(cue.start)} --> {_time(cue.end)}\n{_escaped(cue.text)}")
    return "\n\n".join(pieces) + "\n"


def _time(seconds: float) -> str:
    whole = round(seconds * 1000)
    minutes, rest = divmod(whole, 60_000)
    return f"{minutes // 60:02}:{minutes % 60:02}:{rest // 1000:02}.{rest % 1000:03}"


def _one_line(text: str) -> str:
    # An arrow in the heading would be taken for a time.
    return " ".join(text.split()).replace("-->", "→")


def _escaped(text: str) -> str:
    return _one_line(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
