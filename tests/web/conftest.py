"""The app in this process with its work done in line, and the app as a program of its own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from railwright.web.app import make_app
from railwright.web.crew import Work
from railwright.web.session import Session
from web.served import Served, serving

PORT = 8437


class InLine:
    """A crew without processes: work is done where it is asked for."""

    load = 0.0

    async def do(self, work: Work, *, told: Any = None, stop: Any = None) -> Any:
        """Do it now."""
        more = {"report": told or (lambda done, words: None)} if work.reports else {}
        return work.call(*work.arguments, **more)

    def close(self) -> None:
        """Nothing to end."""


@pytest.fixture
def session() -> Session:
    """A session with a known token."""
    return Session(token="the-token-of-this-test", port=PORT)


@pytest.fixture
def anyio_backend() -> str:
    """One event loop is enough."""
    return "asyncio"


@pytest.fixture
def client(session: Session) -> httpx.AsyncClient:
    """A browser of the teacher's: it has the cookie."""
    return client_of(session, InLine())


def client_of(session: Session, crew: Any, makers: Any = None) -> httpx.AsyncClient:
    """A client of an app whose work is done by that crew."""
    app: Any = make_app(session, crew=crew, makers=makers or InLine())
    return httpx.AsyncClient(
        transport=httpx.ASGITransport(app=app), base_url=session.home, cookies={session.cookie: session.token}
    )


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The app as a program of its own."""
    with serving(tmp_path_factory.mktemp("serve")) as found:
        yield found
