"""Serves the app on this machine alone: a port, an address with its token, a browser."""

from __future__ import annotations

import contextlib
import socket
from collections.abc import Callable, Iterator
from typing import Any

from railwright.web.limits import MAIN_PORT, PORTS_TRIED
from railwright.web.session import Session, new_session

#: Open connections; a browser has six.
_MOST_WAITING = 128


class PortTaken(Exception):
    """Nothing can listen on the port that was asked for."""

    def __init__(self, port: int, reason: str) -> None:
        super().__init__(port, reason)
        self.port, self.reason = port, reason

    def __str__(self) -> str:
        return (
            f"Port {self.port} can't be used: {self.reason}. Another railwright may be open; name another port with "
            "--port, or leave it out."
        )


def listening(port: int | None) -> socket.socket:
    """A socket that listens on this machine's loopback.

    Parameters
    ----------
    port : int or None
        The port; 0 for any that is free. None: the app's own, or one of those behind it.

    Raises
    ------
    PortTaken
        If it can't be had.
    """
    wanted = range(MAIN_PORT, MAIN_PORT + PORTS_TRIED) if port is None else (port,)
    reason = ""
    for number in wanted:
        # With the protocol named, the event loop sends each answer at once; otherwise the second half of an answer
        # waits some 40 ms for the first half's receipt.
        found = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            found.bind(("127.0.0.1", number))
            found.listen(_MOST_WAITING)
        except (OSError, OverflowError) as error:
            found.close()
            reason = (getattr(error, "strerror", None) or str(error)).lower()
            continue
        return found
    raise PortTaken(wanted[0], reason)


def serve(port: int | None, *, announce: Callable[[Session], None], browser: bool) -> None:
    """Serve until the terminal says stop.

    Parameters
    ----------
    port : int or None
        As `listening` takes it.
    announce : callable
        Told the session as soon as the address answers.
    browser : bool
        Whether the address is opened in the system's browser.

    Raises
    ------
    PortTaken
        If the port can't be had.
    """
    with listening(port) as found:
        session = new_session(found.getsockname()[1])
        server = _server(session, lambda: _opened(session, announce, browser))
        with _quiet_end():
            server.run(sockets=[found])


def _opened(session: Session, announce: Callable[[Session], None], browser: bool) -> None:
    announce(session)
    if browser:
        import threading
        import webbrowser

        # Some systems' browser commands don't return until the browser is closed.
        threading.Thread(target=webbrowser.open, args=(session.address,), daemon=True).start()


def _server(session: Session, started: Callable[[], None]) -> Any:
    import uvicorn

    from railwright.web.app import make_app

    class Server(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets=sockets)
            started()

    settings = uvicorn.Config(
        make_app(session), log_level="warning", access_log=False, server_header=False, proxy_headers=False,
        http="h11", ws="none", timeout_keep_alive=15, timeout_graceful_shutdown=2, backlog=_MOST_WAITING,
        h11_max_incomplete_event_size=32_768,
    )  # fmt: skip
    return Server(settings)


@contextlib.contextmanager
def _quiet_end() -> Iterator[None]:
    """Ctrl-C is how a server is stopped: nothing to be alarmed about."""
    with contextlib.suppress(KeyboardInterrupt):
        yield
