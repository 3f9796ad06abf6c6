"""The gate: who may pass, and what every answer carries."""

from __future__ import annotations

import asyncio
from typing import Any

import httpx
import pytest

from railwright.web.gate import POLICY, Gate
from railwright.web.limits import LARGEST_BODY
from railwright.web.session import Session
from web.conftest import InLine, client_of

pytestmark = pytest.mark.anyio
JSON = {"content-type": "application/json"}


async def get(client: httpx.AsyncClient, **headers: str) -> httpx.Response:
    return await client.get("/", headers={name.replace("_", "-"): value for name, value in headers.items()})


async def test_the_teachers_own_browser_passes(client: httpx.AsyncClient) -> None:
    reply = await get(client, sec_fetch_site="same-origin", origin="http://127.0.0.1:8437")
    assert reply.status_code == 200
    assert (await get(client, sec_fetch_site="none")).status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8437", "127.0.0.1", "127.0.0.1:80", "127.0.0.1.evil.example:8437"]
)
async def test_a_name_bent_to_this_machine_is_refused(client: httpx.AsyncClient, host: str) -> None:
    """DNS rebinding: the browser believes to be at evil.example, the packet reaches us (from memory: OWASP)."""
    assert (await get(client, host=host)).status_code == 403


@pytest.mark.parametrize(
    "origin",
    ["http://evil.example", "null", "https://127.0.0.1:8437", "http://127.0.0.1:8438", "http://localhost:8437"],
)
async def test_another_pages_request_is_refused(client: httpx.AsyncClient, origin: str) -> None:
    reply = await client.post("/api/sheet", json={"sheet": ""}, headers={"origin": origin})
    assert reply.status_code == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site", "nonsense"])
async def test_the_browsers_own_word_is_heeded(client: httpx.AsyncClient, site: str) -> None:
    """Fetch Metadata Request Headers (W3C): Sec-Fetch-Site."""
    assert (await get(client, sec_fetch_site=site)).status_code == 403


async def test_without_the_cookie_there_is_nothing_but_a_sentence(session: Session) -> None:
    client = client_of(session, InLine())
    client.cookies.clear()
    for path in ("/", "/api/jobs", "/static/app.js"):
        reply = await client.get(path, headers={"accept": "text/html"})
        assert reply.status_code == 401
        assert "address that railwright serve printed" in reply.text
        assert session.token not in reply.text
    assert (await client.get("/openapi.json")).status_code == 200


async def test_the_address_gives_the_cookie_and_leaves_the_token_behind(session: Session) -> None:
    client = client_of(session, InLine())
    client.cookies.clear()
    reply = await client.get("/?token=the-token-of-this-test")
    assert (reply.status_code, reply.headers["location"]) == (303, "/")
    assert reply.headers["set-cookie"] == session.set_cookie()
    # The cookie of the reply is in the client now.
    assert (await client.get("/")).status_code == 200
    client.cookies.clear()
    assert (await client.get("/?token=wrong")).status_code == 401


@pytest.mark.parametrize(
    "kind",
    [
        "text/plain",
        "application/x-www-form-urlencoded",
        "multipart/form-data; boundary=x",
        "application/json; charset=latin-1",
    ],
)
async def test_what_a_foreign_form_could_send_is_refused(client: httpx.AsyncClient, kind: str) -> None:
    """A form sends three kinds without asking (Fetch standard: CORS-safelisted), none of them JSON."""
    reply = await client.post("/api/sheet", content=b'{"sheet": ""}', headers={"content-type": kind})
    assert reply.status_code == 415


async def test_too_large_a_request_is_refused_whether_it_says_so_or_not(client: httpx.AsyncClient) -> None:
    body = b'{"sheet": "' + b"a" * LARGEST_BODY + b'"}'
    assert (await client.post("/api/sheet", content=body, headers=JSON)).status_code == 413

    async def pieces() -> Any:
        for start in range(0, len(body), 50_000):
            yield body[start : start + 50_000]

    assert (await client.post("/api/sheet", content=pieces(), headers=JSON)).status_code == 413


async def test_every_answer_carries_its_guards(client: httpx.AsyncClient) -> None:
    for reply in (await client.get("/"), await client.get("/none"), await get(client, host="evil.example")):
        assert reply.headers["content-security-policy"] == POLICY
        assert reply.headers["x-content-type-options"] == "nosniff"
        assert reply.headers["referrer-policy"] == "no-referrer"
        assert reply.headers["cache-control"] == "no-store"
        assert reply.headers["cross-origin-resource-policy"] == "same-origin"


async def test_the_policy_lets_no_foreign_and_no_inline_script_run() -> None:
    """Content Security Policy Level 3 (W3C)."""
    rules = {name: words for name, *words in (rule.split() for rule in POLICY.split(";"))}
    assert rules["default-src"] == ["'none'"]
    assert rules["script-src"] == rules["style-src"] == rules["connect-src"] == ["'self'"]
    assert "unsafe" not in POLICY
    assert rules["frame-ancestors"] == rules["base-uri"] == rules["form-action"] == ["'none'"]


async def test_a_defect_behind_the_gate_shows_nothing_of_itself(session: Session) -> None:
    async def broken(scope: Any, receive: Any, send: Any) -> None:
        raise RuntimeError("/secret/path")

    sent: list[Any] = []

    async def send(message: Any) -> None:
        sent.append(message)

    async def receive() -> Any:
        await asyncio.sleep(0)
        return {"type": "http.request", "body": b"", "more_body": False}

    scope = {
        "type": "http", "method": "GET", "path": "/", "query_string": b"",
        "headers": [(b"host", b"127.0.0.1:8437"), (b"cookie", f"{session.cookie}={session.token}".encode())],
    }  # fmt: skip
    with pytest.raises(RuntimeError):
        await Gate(broken, session)(scope, receive, send)
    assert sent[0]["status"] == 500
    assert b"secret" not in sent[1]["body"]
