"""The gate before every request: who calls, from where, with how much, and what every answer carries.

Loopback alone is no wall: any page in the same browser can send requests to it. So the host is checked (a name that
was bent to 127.0.0.1 isn't ours), the origin, the browser's own word on where a request comes from, the cookie, and
that what changes anything is JSON, which no foreign form can send.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final

from railwright.web.limits import BODY_SECONDS, DISCARD_SECONDS, DISCARDED, LARGEST_BODY
from railwright.web.session import Session

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self' data:; "
    "connect-src 'self'; frame-src 'self' blob:; manifest-src 'none'; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
_HEADERS: Final = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=(), usb=(), serial=()"),
    (b"cache-control", b"no-store"),
)
#: What may be had without the cookie: nothing of anybody's work is in it.
_OPEN_TO_ALL: Final = ("/openapi.json",)
_READING: Final = ("GET", "HEAD")
_OWN_FRAMES: Final = ("same-origin", "none")


class Gate:
    """ASGI middleware: lets pass what may pass, and says in a sentence why the rest may not."""

    def __init__(self, app: App, session: Session) -> None:
        self.app, self.session = app, session

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Check one request, then hand it on."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            # Web sockets aren't spoken here.
            await receive()
            await send({"type": "websocket.close", "code": 1008})
            return
        guarded = _Guarded(send)
        refusal = self._refusal(scope)
        if refusal is not None:
            await _let_pass_by(scope, receive)
            await refuse(guarded, scope, *refusal)
            return
        if scope["method"] not in _READING:
            try:
                body = await asyncio.wait_for(_body(receive), BODY_SECONDS)
            except TimeoutError:
                await refuse(guarded, scope, 408, "The request took too long to arrive.")
                return
            except _TooMuch:
                await _let_pass_by(scope, receive)
                await refuse(guarded, scope, 413, f"The request is larger than {LARGEST_BODY} bytes.")
                return
            except _Gone:
                return
            receive = _again(body, receive)
        try:
            await self.app(scope, receive, guarded)
        except Exception:
            if guarded.has_begun:
                raise
            # Whatever it was, it stays here: a trace would tell paths.
            await refuse(guarded, scope, 500, "A defect in railwright, not in what you gave it, stopped this.")
            raise

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        headers = _values(scope)
        hosts = headers.get("host", [])
        if len(hosts) != 1 or hosts[0].lower() not in self.session.hosts:
            return 403, "This address isn't the app's own. Open the address that railwright serve printed."
        origins = headers.get("origin", [])
        if origins and (len(origins) != 1 or origins[0].lower() != f"http://{hosts[0].lower()}"):
            return 403, "Another page asked for this, so it isn't done."
        if any(site.lower() not in _OWN_FRAMES for site in headers.get("sec-fetch-site", [])):
            return 403, "Another page asked for this, so it isn't done."
        path = scope["path"]
        if path in _OPEN_TO_ALL and scope["method"] in _READING:
            return None
        by_address = path == "/" and scope["method"] == "GET" and self.session.token_in(scope["query_string"])
        if not by_address and not self.session.admits(
            headers.get("cookie", []), (headers.get("authorization") or [""])[0]
        ):
            return 401, (
                "This page opens from the address that railwright serve printed when it was started. After a new "
                "start there is a new address: open that one, and your work is here again."
            )
        if scope["method"] in _READING:
            return None
        return self._refused_body(headers, scope)

    @staticmethod
    def _refused_body(headers: dict[str, list[str]], scope: Scope) -> tuple[int, str] | None:
        if scope["method"] == "POST":
            kinds = headers.get("content-type", [])
            if len(kinds) != 1 or not _is_json(kinds[0]):
                return 415, "A request must be application/json."
        lengths = headers.get("content-length", [])
        if any(not length.isdecimal() or len(length) > 12 or int(length) > LARGEST_BODY for length in lengths):
            return 413, f"The request is larger than {LARGEST_BODY} bytes."
        if headers.get("content-encoding"):
            return 415, "A request must come as it is, not packed."
        return None


class _TooMuch(Exception):
    """More bytes came than may come."""


class _Gone(Exception):
    """Whoever asked has left."""


class _Guarded:
    """Adds to every answer what every answer carries."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self.has_begun = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.has_begun = True
            own = {name.lower() for name, _ in message.get("headers", [])}
            message["headers"] = [
                *message.get("headers", []), *(header for header in _HEADERS if header[0] not in own)
            ]  # fmt: skip
        await self._send(message)


def _values(scope: Scope) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, value in scope["headers"]:
        found.setdefault(name.decode("latin-1").lower(), []).append(value.decode("latin-1").strip())
    return found


def _is_json(kind: str) -> bool:
    essence, *parameters = (piece.strip().lower() for piece in kind.split(";"))
    return essence == "application/json" and all(one in ("charset=utf-8", 'charset="utf-8"') for one in parameters)


async def _body(receive: Receive) -> bytes:
    pieces: list[bytes] = []
    size = 0
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            raise _Gone
        piece = message.get("body", b"")
        size += len(piece)
        if size > LARGEST_BODY:
            raise _TooMuch
        pieces.append(piece)
        if not message.get("more_body", False):
            return b"".join(pieces)


async def _let_pass_by(scope: Scope, receive: Receive) -> None:
    """Take in what a refused request still sends, within reason: whoever is cut off never hears why."""
    if scope["method"] in _READING:
        return

    async def through() -> None:
        passed = 0
        while passed < DISCARDED:
            message = await receive()
            passed += len(message.get("body", b""))
            if message["type"] != "http.request" or not message.get("more_body", False):
                return

    with contextlib.suppress(TimeoutError):
        await asyncio.wait_for(through(), DISCARD_SECONDS)


def _again(body: bytes, receive: Receive) -> Receive:
    """A `receive` that gives the body that was read already, then what comes after it."""
    pending = [body]

    async def received() -> Message:
        if pending:
            return {"type": "http.request", "body": pending.pop(), "more_body": False}
        return await receive()

    return received


async def refuse(send: Send, scope: Scope, status: int, sentence: str) -> None:
    """Answer with a sentence: as a page where a browser wants one, else as JSON."""
    wants_page = any(
        name.lower() == b"accept" and b"text/html" in value for name, value in scope["headers"]
    ) and scope["path"] in ("/", "")
    if wants_page:
        content = (
            '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" '
            'content="width=device-width, initial-scale=1"><title>railwright</title></head><body><main>'
            f"<h1>railwright</h1><p>{sentence}</p></main></body></html>"
        ).encode()
        kind = b"text/html; charset=utf-8"
    else:
        content, kind = json.dumps({"error": sentence}).encode(), b"application/json"
    headers = [(b"content-type", kind), (b"content-length", str(len(content)).encode())]
    if status in (408, 413):
        # What is still on its way must not be taken for a new request.
        headers.append((b"connection", b"close"))
    if status == 401:
        headers.append((b"www-authenticate", b"Bearer"))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": content if scope["method"] != "HEAD" else b""})
