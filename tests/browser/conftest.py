"""A real Chromium for the pages, with the network off and every request written down."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import railwright
from browser.opened_pages import Open, Opened
from railwright.course import read_course
from railwright.documents.lesson import lesson_page
from railwright.study import Study, solve

_FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
_WITHOUT = "No Chromium is here: install it (Debian, Ubuntu: apt-get install chromium) to run the tests of pages."


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One browser for all tests."""
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright isn't installed (extra: test)")
    path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.skip(_WITHOUT)
    with sync_api.sync_playwright() as started:
        found = started.chromium.launch(executable_path=path, args=list(_FLAGS))
        yield found
        found.close()


@pytest.fixture
def open_page(browser: Any) -> Iterator[Open]:
    """Open a file with the network off; the test fails afterwards if the page asked for anything or had a fault."""
    contexts: list[Any] = []
    pages: list[Opened] = []

    def opened(path: Path, width: int = 1280, height: int = 800, **options: Any) -> Opened:
        context = browser.new_context(viewport={"width": width, "height": height}, offline=True, **options)
        contexts.append(context)
        one = Opened(page=context.new_page())
        one.page.on("request", lambda request: one.requests.append(request.url))
        one.page.on("pageerror", lambda error: one.faults.append(str(error)))
        one.page.on("console", lambda said: one.faults.append(said.text) if said.type == "error" else None)
        one.page.goto(path.as_uri())
        one.page.evaluate("window.railwrightReady")
        pages.append(one)
        return one

    yield opened
    for one in pages:
        outside = [url for url in one.requests if not url.startswith(("file:", "data:"))]
        assert outside == [], "the page asked the network for something"
        assert one.faults == []
    for context in contexts:
        context.close()


@pytest.fixture(scope="session")
def lamp(root: Path) -> Study:
    """The harbour's signal lamp, solved."""
    return solve(railwright.read_sheet(root / "examples" / "supplies" / "signal-lamp.toml"))


@pytest.fixture(scope="session")
def lamp_lesson(lamp: Study, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its lesson, as a teacher gets it."""
    path = tmp_path_factory.mktemp("lesson") / "lamp.html"
    path.write_text(lesson_page(lamp, read_course("uk"), edition="teacher"), encoding="utf-8")
    return path
