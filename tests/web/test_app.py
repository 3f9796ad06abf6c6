"""The routes: each parses, calls and renders; what they refuse, they refuse in sentences."""

from __future__ import annotations

import asyncio
from typing import Any

import httpx
import pytest

from railwright.web.crew import Busy, Crew, Lost, TookTooLong, TooLarge, Work
from railwright.web.limits import MOST_JOBS
from railwright.web.making import Making
from railwright.web.session import Session
from web.conftest import InLine, client_of

pytestmark = pytest.mark.anyio
pytest.importorskip("schemdraw", reason="schemdraw isn't installed (extra: draw)")
pytest.importorskip("latex2mathml", reason="latex2mathml isn't installed (extra: web)")


async def begun(client: httpx.AsyncClient) -> dict[str, Any]:
    """A question about the bridge."""
    reply = await client.post("/api/begin", json={"circuit": "bridge", "title": "Bridge"})
    assert reply.status_code == 200
    return {"sheet": reply.json()["sheet"], "model": "textbook", "course": {"profile": "uk"}}


async def test_the_page_brings_everything_itself(client: httpx.AsyncClient) -> None:
    import re

    page = await client.get("/")
    linked = re.findall(r'(?:src|href)="(/[^"]*)"', page.text)
    assert len(linked) >= 9
    for path in linked:
        reply = await client.get(path)
        assert reply.status_code == 200, path
        assert "://" not in path
    assert "<script>" not in page.text
    assert " style=" not in page.text
    assert not re.search(r' on\w+="', page.text)


@pytest.mark.parametrize(
    "path", ["/static/../app.py", "/static/%2e%2e/app.py", "/static/app.html", "/static/none", "/etc/passwd"]
)
async def test_no_path_of_a_clients_is_opened(client: httpx.AsyncClient, path: str) -> None:
    reply = await client.get(path)
    assert reply.status_code == 404
    assert reply.json()["error"]


async def test_a_question_is_answered_and_the_same_one_from_memory(client: httpx.AsyncClient) -> None:
    question = await begun(client)
    first = await client.post("/api/answer", json=question)
    again = await client.post("/api/answer", json=question)
    assert first.status_code == 200
    assert first.content == again.content
    # 12 V RMS: the peak at the load is 12√2 less two drops of 0.7 V.
    assert first.json()["readings"]["load.voltage.peak"]["value"] == pytest.approx(12 * 2**0.5 - 1.4, abs=0.01)


async def test_a_refusal_has_its_faults(client: httpx.AsyncClient) -> None:
    question = await begun(client)
    question["sheet"] = question["sheet"].replace("bridge", "bridgee")
    reply = await client.post("/api/answer", json=question)
    assert reply.status_code == 422
    told = reply.json()
    assert told["kind"] == "sheet"
    assert {"key", "line", "problem", "text"} <= set(told["faults"][0])
    assert (await client.post("/api/answer", json={"sheet": ""})).status_code == 400


@pytest.mark.parametrize(
    ("error", "status", "words"),
    [
        (Busy(), 429, "busy"),
        (TookTooLong(), 422, "20 seconds"),
        (TooLarge(), 422, "memory"),
        (Lost(), 422, "unexpectedly"),
    ],
)
async def test_what_happens_to_a_worker_is_said_plainly(
    session: Session, error: Exception, status: int, words: str
) -> None:
    class Troubled(InLine):
        async def do(self, work: Work, *, told: Any = None, stop: Any = None) -> Any:
            raise error

    reply = await client_of(session, Troubled()).post("/api/sheet", json={"sheet": ""})
    assert reply.status_code == status
    assert words in reply.json()["error"]
    if status == 429:
        assert int(reply.headers["retry-after"]) >= 1


async def test_when_many_wait_an_answer_leaves_the_working_for_later(session: Session) -> None:
    class Crowded(InLine):
        load = 9.0

    question = {**await begun(client_of(session, InLine())), "detail": "moving"}
    assert "working" not in (await client_of(session, Crowded()).post("/api/answer", json=question)).json()
    assert "working" in (await client_of(session, InLine()).post("/api/answer", json=question)).json()


# ---------------------------------------------------------------- things in the making


async def made(client: httpx.AsyncClient, **asked: Any) -> dict[str, Any]:
    """A job, followed to its end."""
    reply = await client.post("/api/jobs", json={**await begun(client), "name": "Signal lamp!", **asked})
    assert reply.status_code == 202, reply.text
    job: dict[str, Any] = reply.json()
    while job["state"] in ("waiting", "working"):
        await asyncio.sleep(0.01)
        job = (await client.get(f"/api/jobs/{job['id']}")).json()
    return job


@pytest.mark.parametrize(
    ("asked", "names"),
    [
        ({"product": "working", "options": {"writing": "md"}}, ["signal-lamp-working.md"]),
        ({"product": "waveforms"}, ["signal-lamp-waveforms.csv"]),
        ({"product": "figure", "options": {"kind": "schematic", "form": "svg"}}, ["signal-lamp-figure.svg"]),
        ({"product": "table", "options": {"over": "load.resistance", "from": "50", "to": "200 ohm", "points": 3}},
         ["signal-lamp-table.csv", "signal-lamp-table.svg"]),
    ],
)  # fmt: skip
async def test_a_product_is_made_and_had(client: httpx.AsyncClient, asked: dict[str, Any], names: list[str]) -> None:
    job = await made(client, **asked)
    assert (job["state"], job["done"]) == ("done", 1.0), job["words"]
    assert [file["name"] for file in job["files"]] == names
    for file in job["files"]:
        reply = await client.get(f"/api/jobs/{job['id']}/files/{file['name']}")
        assert len(reply.content) == file["bytes"]
        assert reply.headers["content-disposition"].startswith("attachment")
        assert "sandbox" in reply.headers["content-security-policy"]
    assert (await client.get(f"/api/jobs/{job['id']}/files/..%2F..%2Fapp.py")).status_code == 404
    assert (await client.get("/api/jobs")).json()["jobs"][0]["id"] == job["id"]
    assert (await client.delete(f"/api/jobs/{job['id']}")).status_code == 200
    assert (await client.get(f"/api/jobs/{job['id']}")).status_code == 404


async def test_a_table_says_what_the_load_does(client: httpx.AsyncClient) -> None:
    job = await made(
        client, product="table", options={"over": "load.resistance", "from": "50", "to": "200", "points": 4}
    )
    text = (await client.get(f"/api/jobs/{job['id']}/files/signal-lamp-table.csv")).text
    rows = [line.split(",") for line in text.splitlines()]
    assert [float(row[0]) for row in rows[1:]] == pytest.approx([50.0, 100.0, 150.0, 200.0])
    means = [float(row[1]) for row in rows[1:]]
    # A lighter load lets less out of the capacitor: the mean rises towards the peak.
    assert means == sorted(means)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"product": "lesson", "sheet": "nothing"}, "sheet"),
        ({"product": "table", "options": {"over": "load.resistance", "from": "many", "to": "2"}}, "many"),
        ({"product": "table", "options": {"over": "title", "from": "1", "to": "2"}}, "title"),
        ({"product": "working", "course": {"profile": "uk", "diode_drop": "9 kV"}}, "diode_drop"),
    ],
)  # fmt: skip
async def test_what_cannot_be_made_says_why(client: httpx.AsyncClient, asked: dict[str, Any], words: str) -> None:
    job = await made(client, **asked)
    assert job["state"] == "failed"
    assert words in job["words"]
    assert "Traceback" not in job["words"]


async def test_more_than_enough_at_once_is_told_to_wait(session: Session) -> None:
    class Slow(InLine):
        async def do(self, work: Work, *, told: Any = None, stop: Any = None) -> Any:
            await asyncio.sleep(60)

    client = client_of(session, InLine(), Slow())
    asked = {**await begun(client), "product": "lesson"}
    for _ in range(MOST_JOBS):
        assert (await client.post("/api/jobs", json=asked)).status_code == 202
    reply = await client.post("/api/jobs", json=asked)
    assert reply.status_code == 429
    assert "end it" in reply.json()["error"]


def three(asked: Any, report: Any) -> dict[str, bytes]:
    """Work that tells three times and listens."""
    import time

    for k in range(200):
        report(k / 200, f"step {k}")
        time.sleep(0.02)
    return {"x.txt": b"x"}


async def test_a_job_in_a_real_worker_tells_and_ends() -> None:
    crew = Crew(1, waiting=4)
    try:
        making = Making(crew, three)
        job = making.begin({"product": "lesson"})
        while not job.words.startswith("step"):
            await asyncio.sleep(0.05)
        assert job.state == "working"
        making.end(job)
        while job.state == "working":
            await asyncio.sleep(0.05)
        assert job.state == "ended"
        assert job.files == {}
    finally:
        crew.close()
