"""Who may speak to the app: a token made at each start, first in the opened address, then in a cookie."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """The token of one start, and the port that it is for."""

    token: str
    port: int

    @property
    def cookie(self) -> str:
        """The cookie's name: browsers keep cookies by host alone, so the port is part of it."""
        return f"railwright_{self.port}"

    @property
    def address(self) -> str:
        """What the browser is opened at."""
        return f"{self.home}/?token={self.token}"

    @property
    def home(self) -> str:
        """The app's own origin."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def hosts(self) -> tuple[str, ...]:
        """Names under which a browser on this machine may call the app."""
        return tuple(f"{name}:{self.port}" for name in ("127.0.0.1", "localhost", "[::1]"))

    def set_cookie(self) -> str:
        """The header that gives the browser its cookie; without an end, so it goes with the browser."""
        return f"{self.cookie}={self.token}; Path=/; HttpOnly; SameSite=Strict"

    def knows(self, given: str) -> bool:
        """Whether a token is the one of this start."""
        return hmac.compare_digest(given.encode("utf-8", "replace"), self.token.encode())

    def admits(self, cookies: Iterable[str], authorization: str) -> bool:
        """Whether a request with these headers may pass."""
        scheme, _, word = authorization.partition(" ")
        if scheme.lower() == "bearer" and self.knows(word.strip()):
            return True
        for header in cookies:
            try:
                jar = SimpleCookie(header)
            except CookieError:
                continue
            if self.cookie in jar and self.knows(jar[self.cookie].value):
                return True
        return False

    def token_in(self, query: bytes) -> bool:
        """Whether an address brings the right token."""
        try:
            found = parse_qs(query.decode("ascii", "replace"), max_num_fields=20).get("token", [])
        except ValueError:
            return False
        return len(found) == 1 and self.knows(found[0])


def new_session(port: int) -> Session:
    """A session with a fresh token of 256 bits."""
    return Session(token=secrets.token_urlsafe(32), port=port)
