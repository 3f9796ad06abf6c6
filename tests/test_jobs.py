"""Writing whole files or none."""

from __future__ import annotations

import errno
import os
import sys
from pathlib import Path

import pytest

from railwright.jobs import CannotWrite, write_atomically


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
