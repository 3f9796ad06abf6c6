"""The film: what a player finds in it, what it says and when, and that it says what the solution says.

Pictures are made at two or three frames a second here: the same shots, fewer frames.
"""

from __future__ import annotations

import io
import math
import re
import struct
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest

from railwright.course import read_course, read_course_text
from railwright.documents.film import Film, TooShort, film, plan
from railwright.documents.film.encoder import frames_of
from railwright.documents.film.pictures import Pictures
from railwright.documents.film.subtitles import Cue, webvtt
from railwright.figures.export import MissingExtra
from railwright.figures.scene import Group, Scene, Text, bounds, leaves
from railwright.jobs import Cancelled
from railwright.study import Study, solve
from railwright.supply import read_sheet, read_text

EXAMPLES = sorted((Path(__file__).parents[2] / "examples" / "supplies").glob("*.toml"))
UK = read_course("uk")
RATE = 3
SECONDS = 20.0

#: A bridge straight on an adapter, no capacitor: with ideal parts everything at every instant has a closed form.
BRIDGE = """\
title = "Jetty lamp <bridge & bleeder>"

[mains]
voltage = "9 V"
frequency = "50 Hz"
source = "adapter"

[rectifier]
circuit = "bridge"

[[filter]]
bleeder = "1 kohm"

[load]
resistance = "100 ohm"
"""


@pytest.fixture(scope="module")
def bridge() -> Study:
    return solve(read_text(BRIDGE), "ideal")


@pytest.fixture(scope="module")
def made(bridge: Study) -> Film:
    return film(bridge, UK, seconds=SECONDS, rate=RATE)


@pytest.fixture(scope="module")
def frames(made: Film) -> list[np.ndarray]:
    return list(frames_of(made.video))


# ---------------------------------------------------------------- what a player finds


def test_the_film_is_high_definition_h264_that_any_player_takes(made: Film) -> None:
    with av.open(io.BytesIO(made.video)) as container:
        (stream,) = container.streams
        assert (stream.codec_context.name, stream.width, stream.height) == ("h264", 1920, 1080)
        assert stream.codec_context.pix_fmt == "yuv420p"
        assert stream.average_rate == RATE
        # ISO/IEC 23091-2: 1 is BT.709.
        assert stream.codec_context.colorspace == 1
        assert float(stream.duration * stream.time_base) == pytest.approx(SECONDS, abs=1e-6)
        assert container.metadata["title"] == "Jetty lamp <bridge & bleeder>"


def test_the_index_stands_before_the_pictures(made: Film) -> None:
    """ISO/IEC 14496-12, 4.2: a file is a row of boxes, each with its length and four letters."""
    order, at = [], 0
    while at < len(made.video):
        length, name = struct.unpack_from(">I4s", made.video, at)
        order.append(name)
        at += length
    assert order.index(b"moov") < order.index(b"mdat")


def test_frames_are_as_many_as_the_length_says_light_and_never_blank(made: Film, frames: list[np.ndarray]) -> None:
    assert made.seconds == SECONDS
    assert len(frames) == SECONDS * RATE
    for frame in frames:
        assert frame.shape == (1080, 1920, 3)
        assert frame.mean() > 200  # black on white
        assert (frame < 190).any(axis=2).sum() > 5000  # letters and lines, in a crossfade paler
        assert frame[:40].min() > 230 and frame[:, :60].min() > 230  # nothing near the edge


def test_colours_are_those_that_were_drawn(bridge: Study, frames: list[np.ndarray]) -> None:
    """Amber #E69F00 of Okabe and Ito's set, at 55 % on white, is (241, 202, 115)."""
    period = frames[len(frames) // 3].astype(int)
    amber = np.abs(period - np.array([241, 202, 115])).max(axis=2) < 12
    assert amber.sum() > 5000


def test_no_two_neighbouring_frames_flash(frames: list[np.ndarray]) -> None:
    """WCAG 2.2, 2.3.1: a flash is a change of a tenth of the greatest luminance; the page stays white throughout."""
    bright = [float(frame.mean()) / 255.0 for frame in frames]
    assert all(abs(a - b) < 0.1 for a, b in pairwise(bright))


def test_the_cursor_is_where_the_time_is(bridge: Study, frames: list[np.ndarray]) -> None:
    board = plan(bridge, UK, seconds=SECONDS, rate=RATE)
    plot = Pictures(bridge, UK).plots(None)[0]
    seen = 0
    for shot, first, last in zip(board.shots, board.edges, board.edges[1:], strict=False):
        if shot.cursor is None or shot.cursor[0] == shot.cursor[1]:
            continue
        start, end = shot.cursor
        for number in range(first + 1, last):
            degrees = start + (end - start) * (number - first + 0.5) / (last - first)
            share = degrees / 360.0
            x = plot.box.left + share * (plot.box.right - plot.box.left)
            column = frames[number][int(plot.box.top) + 8 : int(plot.box.bottom) - 8, round(x) - 1]
            assert np.median(column) < 90, (number, degrees)
            seen += 1
    assert seen > 5


# ---------------------------------------------------------------- what it says


def cues_of(text: str) -> Iterator[tuple[float, float, str]]:
    """W3C, WebVTT, section 4.1: a signature line, then blocks of an identifier, a timing line and text."""
    head, *blocks = text.split("\n\n")
    assert re.match(r"WEBVTT( [^\n]*)?$", head) and "-->" not in head
    stamp = r"(\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3})"
    for number, block in enumerate(blocks, start=1):
        identifier, timing, *lines = block.rstrip("\n").split("\n")
        assert identifier == str(number)
        found = re.fullmatch(f"{stamp} --> {stamp}", timing)
        assert found is not None, timing
        h, m, s, ms, hh, mm, ss, mms = map(int, found.groups())
        words = "\n".join(lines)
        assert words and "-->" not in words and "<" not in words
        assert re.fullmatch(r"([^&]|&(amp|lt|gt);)*", words)
        yield h * 3600 + m * 60 + s + ms / 1000, hh * 3600 + mm * 60 + ss + mms / 1000, words


def test_the_subtitles_are_webvtt_and_cover_the_film_without_overlap(made: Film) -> None:
    cues = list(cues_of(made.subtitles))
    assert cues[0][0] == 0.0 and cues[-1][1] == pytest.approx(SECONDS, abs=1e-3)
    assert all(start < end for start, end, _ in cues)
    assert all(one[1] == other[0] for one, other in pairwise(cues))
    assert made.subtitles.startswith("WEBVTT - Jetty lamp <bridge & bleeder>\n")


def test_a_subtitle_is_data_whatever_is_in_it() -> None:
    text = webvtt([Cue(start=3599.9996, end=3661.5, text="a --> b\n<i>R1</i> & R2")], title="x --> y")
    ((start, end, words),) = cues_of(text)
    assert (start, end) == (3600.0, 3661.5)
    assert words == "a → b &lt;i&gt;R1&lt;/i&gt; &amp; R2"


def test_captions_name_the_diodes_that_conduct_then(bridge: Study) -> None:
    """Ideal bridge on a sine, no capacitor: D1 and D4 while a is positive, D2 and D3 while b is (any textbook)."""
    board = plan(bridge, UK, rate=RATE)
    seen = set()
    for shot in board.shots:
        if shot.cursor is None:
            continue
        degrees = (shot.cursor[0] + shot.cursor[1]) / 2
        expected = "D1 and D4 conduct" if math.sin(math.radians(degrees)) > 0 else "D2 and D3 conduct"
        assert shot.caption.startswith(expected), (degrees, shot.caption)
        seen.add(expected)
    assert len(seen) == 2


def test_captions_tell_the_currents_of_the_closed_form(bridge: Study) -> None:
    """At 90° the load carries 9 V·√2 / 100 Ω = 127 mA, the bleeder a tenth of it; ideal diodes drop nothing."""
    caption = next(shot.caption for shot in plan(bridge, UK).shots if "D1 and D4" in shot.caption)
    load = 9.0 * math.sqrt(2.0) / 100.0
    assert f"the load ({1e3 * load:.0f} mA)" in caption
    assert f"R1 ({1e2 * load:.1f} mA)" in caption


def test_captions_speak_as_the_course_does(bridge: Study) -> None:
    """2/π of 12.73 V is 8.10 V."""
    course = replace(read_course("us"), decimal=",")
    told = " ".join(cue.text for cue in plan(bridge, course).cues)
    assert "an average of 8,10 V" in told and "12,7 mA" in told
    assert "mean" not in told and not re.search(r"\d\.\d", told)


def test_electrons_run_the_other_way(bridge: Study) -> None:
    course = read_course_text('kind = "course"\nwords = "us"\ncurrent_direction = "electron"\n')
    caption = next(shot.caption for shot in plan(bridge, course).shots if "D1 and D4" in shot.caption)
    assert "Electrons leave b" in caption and "to a." in caption


# ---------------------------------------------------------------- how long it takes


def test_every_caption_stands_long_enough_to_be_read(bridge: Study) -> None:
    """15 characters a second: broadcasters ask for 15 to 17 (from memory)."""
    for cue in plan(bridge, UK).cues:
        assert cue.end - cue.start >= len(cue.text) / 15.0 - 0.05
        assert cue.end - cue.start >= 1.5


def test_a_film_takes_exactly_as_long_as_it_was_asked_to(bridge: Study) -> None:
    for seconds in (25.0, 40.0, 61.3, 120.0):
        board = plan(bridge, UK, seconds=seconds, rate=30)
        assert board.seconds == pytest.approx(seconds, abs=0.5 / 30)
        chapters = {shot.chapter for shot in board.shots}
        assert {"period", "closing"} <= chapters


def test_a_longer_film_has_more_chapters_and_all_of_them_by_itself(bridge: Study) -> None:
    short, long = ({shot.chapter for shot in plan(bridge, UK, seconds=s).shots} for s in (25.0, 50.0))
    assert short < long
    chapters = list(dict.fromkeys(shot.chapter for shot in plan(bridge, UK).shots))
    assert chapters == ["title", "stages", "circuit", "period", "load", "hand", "closing"]


def test_a_film_that_nobody_could_read_is_refused_with_the_length_it_needs(bridge: Study) -> None:
    with pytest.raises(TooShort, match=r"A film of 3 s is too short to read its captions in\. .* take (\d+) s") as told:
        plan(bridge, UK, seconds=3.0)
    least = float(re.findall(r"take (\d+) s", str(told.value))[0])
    assert plan(bridge, UK, seconds=least).seconds == pytest.approx(least, abs=0.02)


# ---------------------------------------------------------------- every harbour supply


@pytest.fixture(scope="module", params=EXAMPLES, ids=lambda path: path.stem)
def harbour(request: pytest.FixtureRequest) -> Study:
    return solve(read_sheet(request.param))


def test_the_period_is_shown_once_and_whole(harbour: Study) -> None:
    cursors = [shot.cursor for shot in plan(harbour, UK).shots if shot.cursor is not None]
    assert cursors[0][0] == 0.0
    assert cursors[-1][1] == pytest.approx(360.0 * harbour.network.mains_periods)
    # What is shorter than a frame has none: 8 s for 360 degrees at 30 frames a second are 1.5 degrees a frame.
    assert all(0.0 <= other[0] - one[1] < 1.5 for one, other in pairwise(cursors))


def test_each_caption_names_who_conducts_in_the_middle_of_its_stretch(harbour: Study) -> None:
    for shot in plan(harbour, UK).shots:
        if shot.cursor is None or shot.cursor[0] != shot.cursor[1]:
            continue
        currents = harbour.currents_at(shot.cursor[0])
        largest = max(abs(current) for current in currents.values())
        carrying = {name for name, amperes in currents.items() if name[0] == "D" and amperes > 0.005 * largest}
        who = re.split(r" conducts?\b", shot.caption)[0]
        named = set() if who == "No diode" else set(re.findall(r"D\d+", who))
        assert carrying <= named, shot.caption


def texts(scene: Scene) -> Iterator[Text]:
    for item in scene.items:
        for leaf in leaves(item):
            if isinstance(leaf, Text):
                yield leaf


def test_letters_can_be_read_from_afar_and_lie_inside_the_picture(harbour: Study) -> None:
    """28 px of 1080 is what we ask of words; those of a crowded circuit may be a little smaller, never below 22."""
    pictures = Pictures(harbour, UK)
    plain = [pictures.title_page(), pictures.stages_page(), pictures.closing_page(), pictures.waveforms_page()]
    plain += [page for page in (pictures.load_page(), pictures.hand_page(), pictures.stress_page()) if page]
    circuits = [pictures.circuit_page(), pictures.moment_page(0, with_curves=True, running=True)]
    for least, scenes in ((28.0, plain), (22.0, circuits)):
        for scene in scenes:
            assert scene.title and scene.description
            for text in texts(scene):
                assert text.size >= least - 0.1, (scene.title, text.text, text.size)
            box = bounds(Group(items=scene.items))
            assert box is not None
            assert box.left >= 20 and box.top >= 20 and box.right <= 1900 and box.bottom <= 1060, scene.title


# ---------------------------------------------------------------- when it doesn't come to an end


def test_a_film_that_is_cancelled_half_way_leaves_nothing(
    bridge: Study, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    heard: list[float] = []

    def report(done: float, words: str) -> None:
        heard.append(done)
        if done > 0.5:
            assert re.match(r"drawing frame \d+ of \d+", words)
            raise Cancelled

    with pytest.raises(Cancelled):
        film(bridge, UK, seconds=SECONDS, rate=RATE, report=report)
    assert list(tmp_path.iterdir()) == []
    assert heard == sorted(heard) and heard[0] == 0.0


def test_progress_reaches_the_end(bridge: Study) -> None:
    heard: list[tuple[float, str]] = []
    film(bridge, UK, seconds=SECONDS, rate=1, report=lambda done, words: heard.append((done, words)))
    assert heard[-1][0] == 1.0
    assert all(0.0 <= done <= 1.0 and words for done, words in heard)


def test_a_film_without_its_encoder_says_what_to_install(bridge: Study, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "av", None)
    with pytest.raises(MissingExtra) as told:
        film(bridge, UK)
    assert str(told.value).startswith("A film needs a part that is not installed")
    assert 'pip install "railwright[film]"' in str(told.value)
