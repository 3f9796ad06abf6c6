"""Pictures to H.264: a film that any player and any slide program opens."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from types import ModuleType, TracebackType
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Picture: TypeAlias = NDArray[np.uint8]

__all__ = ["Encoder", "codecs", "decoded"]

#: Quality of x264: 18 is said to be hard to tell from the original, 23 is its default (from memory). Flat drawings with
#: sharp letters need the better half.
_QUALITY = "19"
#: A key frame every two seconds, so that a teacher can jump about in the film. [s]
_KEY_FRAMES = 2


def codecs() -> ModuleType:
    """What encodes films.

    Raises
    ------
    MissingExtra
        If it isn't installed.
    """
    from railwright.figures.export import MissingExtra

    try:
        import av
    except ImportError as missing:
        raise MissingExtra(what="A film", extra="film") from missing
    return av


def decoded(png: bytes) -> Picture:
    """A PNG picture as an array (rows, columns, red green blue)."""
    av = codecs()
    reader = av.CodecContext.create("png", "r")
    frames = [*reader.decode(av.Packet(png)), *reader.decode(None)]
    picture: Picture = frames[0].to_ndarray(format="rgb24")
    return picture


class Encoder:
    """Takes pictures one after the other, gives the film as bytes."""

    def __init__(self, *, width: int, height: int, rate: int, title: str) -> None:
        self._av = codecs()
        # The index can only move to the front of the film in a file that can be read again.
        self._folder = tempfile.TemporaryDirectory(prefix="railwright-film-")
        self._path = Path(self._folder.name) / "film.mp4"
        self._container = self._av.open(
            str(self._path), "w", format="mp4", options={"movflags": "+faststart"}
        )
        self._container.metadata["title"] = title
        self._stream: Any = self._container.add_stream(
            "libx264",
            rate=rate,
            options={"preset": "veryfast", "crf": _QUALITY, "tune": "animation", "g": str(_KEY_FRAMES * rate)},
        )
        self._stream.width, self._stream.height, self._stream.pix_fmt = width, height, "yuv420p"
        # High definition, said aloud (ITU-R BT.709; codes of ISO/IEC 23091-2): a player that guesses shows others.
        context = self._stream.codec_context
        context.color_primaries = context.color_trc = context.colorspace = 1
        context.color_range = 1
        self._rate = rate
        self._count = 0

    def __enter__(self) -> Encoder:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            self._container.close()
        except Exception:
            # Where the work was broken off before the first picture there is no film to end.
            if kind is None:
                raise
        finally:
            self._folder.cleanup()

    @property
    def count(self) -> int:
        """Pictures taken so far."""
        return self._count

    def add(self, picture: Picture, times: int = 1, before_each: Callable[[int], None] | None = None) -> None:
        """One picture, for so many frames; `before_each` hears the number of the frame that comes."""
        colours = self._av.video.reformatter
        frame = self._av.VideoFrame.from_ndarray(picture, format="rgb24").reformat(
            format="yuv420p",
            dst_colorspace=colours.Colorspace.ITU709,
            dst_color_range=colours.ColorRange.MPEG,
        )
        for _ in range(times):
            if before_each is not None:
                before_each(self._count)
            frame.pts, frame.time_base = self._count, Fraction(1, self._rate)
            self._container.mux(self._stream.encode(frame))
            self._count += 1

    def finish(self) -> bytes:
        """The film."""
        self._container.mux(self._stream.encode(None))
        self._container.close()
        return self._path.read_bytes()


def frames_of(film: bytes) -> Iterator[Picture]:
    """The pictures of a film, one after the other."""
    from io import BytesIO

    with codecs().open(BytesIO(film)) as container:
        for frame in container.decode(video=0):
            yield frame.to_ndarray(format="rgb24")
