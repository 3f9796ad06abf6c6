"""Writing whole files or none."""

from __future__ import annotations

import errno
import os
import pickle
import sys
from pathlib import Path

import pytest

from railwright.jobs import (
    Cancelled,
    CannotWrite,
    make,
    part_of,
    refuse_unwritable,
    write_all_atomically,
    write_atomically,
)


def test_a_new_file_holds_exactly_what_was_given(tmp_path: Path) -> None:
    assert write_atomically(tmp_path / "a.csv", "Ω,µ\n").read_bytes() == "Ω,µ\n".encode()
    write_atomically(tmp_path / "b.png", b"\x89PNG\r\n")
    assert (tmp_path / "b.png").read_bytes() == b"\x89PNG\r\n"


def test_the_new_file_takes_the_old_ones_place_and_leaves_nothing_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")
    write_atomically(path, "new")
    assert path.read_text() == "new"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.txt"]


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_the_old_file_stands_when_writing_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")

    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, step, full)
    with pytest.raises(CannotWrite, match=r"a\.txt was not written: the system says: no space left on device\. "):
        write_atomically(path, "new")
    assert path.read_text() == "old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["a.txt"]


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match=r"there is no folder .*nowhere\. Make the folder first"):
        write_atomically(tmp_path / "nowhere" / "a.txt", "x")


def test_a_folder_is_not_overwritten(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="it is a folder. Name a file in it."):
        write_atomically(tmp_path, "x")


@pytest.mark.skipif(sys.platform == "win32", reason="Windows keeps permissions in another form")
def test_permissions_of_the_old_file_stay(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")
    path.chmod(0o640)
    write_atomically(path, "new")
    assert path.stat().st_mode & 0o777 == 0o640


@pytest.mark.skipif(sys.platform == "win32", reason="making a link needs a privilege on Windows")
def test_a_link_is_followed_not_replaced(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    link = tmp_path / "link.txt"
    link.symlink_to("real.txt")
    write_atomically(link, "new")
    assert link.is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


# ---------------------------------------------------------------- several files at once


def files_in(folder: Path) -> dict[str, str]:
    return {path.name: path.read_text() for path in folder.iterdir() if path.is_file()}


def test_several_files_come_together(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("old")
    paths = write_all_atomically(
        {tmp_path / "a.txt": "new", tmp_path / "b.bin": b"b", tmp_path / "made" / "c.txt": "c"},
        folders=[tmp_path / "made"],
    )
    assert paths == (tmp_path / "a.txt", tmp_path / "b.bin", tmp_path / "made" / "c.txt")
    assert files_in(tmp_path) == {"a.txt": "new", "b.bin": "b"}
    assert files_in(tmp_path / "made") == {"c.txt": "c"}


@pytest.mark.parametrize("failure", [OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)), KeyboardInterrupt()])
@pytest.mark.parametrize("call", [1, 2, 3])
@pytest.mark.parametrize("step", ["replace", "fsync"])
def test_all_old_files_stand_whenever_one_of_the_new_ones_fails(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, call: int, failure: BaseException
) -> None:
    (tmp_path / "a.txt").write_text("old a")
    (tmp_path / "c.txt").write_text("old c")
    (tmp_path / "gone.txt").write_text("earlier")
    calls, real = 0, getattr(os, step)

    def failing(*arguments: object, **named: object) -> object:
        nonlocal calls
        calls += 1
        if calls == call:
            raise failure
        return real(*arguments, **named)

    monkeypatch.setattr(os, step, failing)
    new = {tmp_path / "a.txt": "a", tmp_path / "made" / "b.txt": "b", tmp_path / "c.txt": "c"}
    with pytest.raises((CannotWrite, KeyboardInterrupt)):
        write_all_atomically(new, folders=[tmp_path / "made"], obsolete=[tmp_path / "gone.txt"])
    assert files_in(tmp_path) == {"a.txt": "old a", "c.txt": "old c", "gone.txt": "earlier"}
    assert not (tmp_path / "made").exists()


def test_files_of_an_earlier_time_go_when_the_new_ones_stand(tmp_path: Path) -> None:
    (tmp_path / "11-extra.png").write_text("earlier")
    (tmp_path / "01-title.png").write_text("earlier")
    (tmp_path / "mine.txt").write_text("mine")
    old = [tmp_path / "11-extra.png", tmp_path / "01-title.png", tmp_path / "never-there.png"]
    write_all_atomically({tmp_path / "01-title.png": "new"}, obsolete=old)
    assert files_in(tmp_path) == {"01-title.png": "new", "mine.txt": "mine"}


def test_nothing_is_written_where_one_place_cannot_be(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match=r"there is no folder .*nowhere\."):
        write_all_atomically({tmp_path / "a.txt": "a", tmp_path / "nowhere" / "b.txt": "b"})
    with pytest.raises(CannotWrite, match="are the same file"):
        write_all_atomically({tmp_path / "a.txt": "a", tmp_path / "x" / ".." / "a.txt": "b"})
    (tmp_path / "file").write_text("x")
    with pytest.raises(CannotWrite, match="it is a file. Name a folder"):
        write_all_atomically({tmp_path / "file" / "a.txt": "a"}, folders=[tmp_path / "file"])
    assert files_in(tmp_path) == {"file": "x"}


def test_an_impossible_place_is_found_before_the_work(tmp_path: Path) -> None:
    refuse_unwritable(tmp_path / "a.txt")
    with pytest.raises(CannotWrite, match="it is a folder"):
        refuse_unwritable(tmp_path)
    with pytest.raises(CannotWrite, match="there is no folder"):
        refuse_unwritable(tmp_path / "nowhere" / "a.txt")


# ---------------------------------------------------------------- progress, and products

SHEET = """\
title = "Pier lamp"
[mains]
voltage = "9 V"
frequency = "50 Hz"
source = "adapter"
[rectifier]
circuit = "bridge"
[load]
resistance = "100 ohm"
"""


def test_a_part_of_the_work_reports_its_share_of_the_whole() -> None:
    heard: list[tuple[float, str]] = []
    part = part_of(lambda done, words: heard.append((done, words)), 0.25, 0.75)
    part(0.0, "begun")
    part(0.5, "half")
    part(7.0, "more than done")
    assert heard == [(0.25, "begun"), (0.5, "half"), (0.75, "more than done")]
    part_of(None, 0.0, 1.0)(0.5, "nobody listens")


@pytest.mark.parametrize(
    ("product", "options", "begin"),
    [
        ("lesson", {"edition": "teacher"}, {"lesson.html": b"<!DOCTYPE html>"}),
        ("figure", {"kind": "waveforms", "form": "svg"}, {"figure.svg": b"<svg"}),
        ("figure", {"kind": "schematic", "form": "png"}, {"figure.png": b"\x89PNG\r\n"}),
        ("waveforms", {}, {"waveforms.csv": b"time (s),angle (deg),"}),
    ],
)
def test_a_product_is_made_from_the_text_of_a_sheet(
    product: str, options: dict[str, str], begin: dict[str, bytes]
) -> None:
    heard: list[float] = []
    made = make(product, SHEET, course="us", report=lambda done, words: heard.append(done), **options)
    assert {name: content[: len(begin[name])].lower() for name, content in made.items()} == {
        name: start.lower() for name, start in begin.items()
    }
    assert heard == sorted(heard) and heard[0] == 0.0 and heard[-1] == 1.0


def test_products_are_made_in_other_processes_too() -> None:
    again = pickle.loads(pickle.dumps(make))
    assert again is make
    for error in (Cancelled(), CannotWrite(Path("a"), "it is full", "Make room.")):
        assert str(pickle.loads(pickle.dumps(error))) == str(error)


@pytest.mark.parametrize("product", ["lesson", "handout", "film", "stills"])
def test_what_a_report_raises_ends_the_work(product: str) -> None:
    def report(done: float, words: str) -> None:
        assert words
        if done >= 0.1:
            raise Cancelled

    with pytest.raises(Cancelled):
        make(product, SHEET, report=report)


def test_an_unknown_product_is_named_with_those_that_are_known() -> None:
    with pytest.raises(ValueError, match='no product "poster". Allowed: lesson, handout, film'):
        make("poster", SHEET)
