"""`railwright lesson --film` and `--stills`: what they write and refuse, and that nothing is left half-made."""

from __future__ import annotations

import functools
import json
import sys
from pathlib import Path

import pytest

from railwright.documents import film as films
from typed_commands import Run


@pytest.fixture(autouse=True)
def few_frames(monkeypatch: pytest.MonkeyPatch) -> None:
    """One frame a second: the command is tested here, the film elsewhere."""
    monkeypatch.setattr(films, "film", functools.partial(films.film, rate=1))


def beside(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.suffix != ".toml")


def test_a_film_comes_with_its_subtitles_and_needs_no_page(run: Run, unfiltered: str, tmp_path: Path) -> None:
    answer = run("lesson", unfiltered, "--film", "pier.mp4", "--film-seconds", "30", "--course", "us")
    assert answer.code == 0
    assert beside(tmp_path) == ["pier.mp4", "pier.vtt"]
    assert "pier.mp4: film of 30 s" in answer.out and "pier.vtt" in answer.out
    # ISO/IEC 14496-12, 4.3: the first box says what the file is.
    assert (tmp_path / "pier.mp4").read_bytes()[4:8] == b"ftyp"
    assert (tmp_path / "pier.vtt").read_text(encoding="utf-8").startswith("WEBVTT - Workshop bridge [no filter]\n")


def test_film_stills_and_page_come_together_and_are_named_in_the_json(
    run: Run, unfiltered: str, tmp_path: Path
) -> None:
    answer = run("lesson", unfiltered, "-o", "a.html", "--film", "a.mp4", "--stills", "slides", "--json")
    assert answer.code == 0
    told = json.loads(answer.out)
    assert (told["file"], told["film"], told["subtitles"], told["stills"]) == ("a.html", "a.mp4", "a.vtt", "slides")
    assert beside(tmp_path) == ["a.html", "a.mp4", "a.vtt", "slides"]
    names = beside(tmp_path / "slides")
    assert names[0] == "01-title.png" and names[-1] == "stills.md" and len(names) == told["count"] + 1


def test_stills_of_an_earlier_time_make_room_and_other_files_stay(run: Run, unfiltered: str, tmp_path: Path) -> None:
    slides = tmp_path / "slides"
    slides.mkdir()
    for name in ("01-title.png", "12-earlier.png", "notes.png"):
        (slides / name).write_text("earlier")
    (slides / "stills.md").write_text("# Supply\n\n## 01-title.png: x\n\ny\n\n## 12-earlier.png: x\n\ny\n")
    assert run("lesson", unfiltered, "--stills", "slides").code == 0
    names = beside(slides)
    assert "12-earlier.png" not in names and (slides / "notes.png").read_text() == "earlier"
    assert (slides / "01-title.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ((), "Say what to write: -o F.html, --handout F.pdf, --film F.mp4 or --stills DIR."),
        (("--film", "a.avi"), "--film a.avi: a film is written as .mp4. Name a file that ends in it."),
        (("--stills", "s", "--film-seconds", "30"), "--film-seconds 30: it belongs to a film. Say --film F.mp4 too."),
        (("--film", "a.mp4", "--film-seconds", "2"), "--film-seconds 2: A film of 2 s is too short to read"),
        (("--film", "nowhere/a.mp4"), "there is no folder nowhere"),
        (("--stills", "nowhere/slides"), "there is no folder nowhere"),
        (("--stills", "unfiltered.toml"), "--stills unfiltered.toml: it is a file. Name a folder."),
    ],
)
def test_what_cannot_be_meant_is_refused_in_a_sentence(
    run: Run, unfiltered: str, tmp_path: Path, words: tuple[str, ...], sentence: str
) -> None:
    answer = run("lesson", unfiltered, *words)
    assert answer.code == 2
    assert sentence in answer.err
    assert beside(tmp_path) == []


def test_without_the_encoder_the_command_says_what_to_install(
    run: Run, unfiltered: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "av", None)
    answer = run("lesson", unfiltered, "-o", "a.html", "--film", "a.mp4")
    assert answer.code == 2
    assert 'A film needs a part that is not installed: run  pip install "railwright[film]"' in answer.err
    assert beside(tmp_path) == []


def test_a_key_that_stops_the_work_leaves_the_old_files(
    run: Run, unfiltered: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a.html").write_text("old page")
    (tmp_path / "a.mp4").write_text("old film")

    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(films, "film", stopped)
    answer = run("lesson", unfiltered, "-o", "a.html", "--film", "a.mp4", "--stills", "slides")
    assert answer.code == 130
    assert answer.err == "Stopped. Nothing was half written.\n"
    assert beside(tmp_path) == ["a.html", "a.mp4"]
    assert (tmp_path / "a.html").read_text() == "old page" and (tmp_path / "a.mp4").read_text() == "old film"
