"""A thousand malformed and hostile requests against the app as a program: no 5xx, nothing told, still up."""

from __future__ import annotations

import json
import random
import socket
import time
from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from web.served import ROOT, Served

COUNT = 1000
SEED = 20
SHEET = (
    'title = "x"\n[mains]\nvoltage = "12 V"\nfrequency = "50 Hz"\nsource = "adapter"\n[rectifier]\n'
    'circuit = "bridge"\n[[filter]]\ncapacitor = "2200 uF"\n[load]\nresistance = "100 ohm"\n'
)
GOOD: dict[str, Any] = {"sheet": SHEET, "model": "textbook", "course": {"profile": "uk"}}
#: What would tell where the program lies or how it is made.
TELLTALES = ("Traceback", "site-packages", "railwright/web", 'File "', str(ROOT), "/usr/lib", '.py"', "line 1, in ")


def sheets() -> Iterator[str]:
    """Sheets that want too much, or make no sense."""
    many = "".join(f'[[filter]]\nresistor = "{k + 1} ohm"\n[[filter]]\ncapacitor = "{k + 1} uF"\n' for k in range(100))
    yield SHEET.replace('[[filter]]\ncapacitor = "2200 uF"\n', many)
    elements = "".join(
        f'[[element]]\nkind = "diode"\nname = "D{k + 1}"\nfrom = "n{k}"\nto = "n{k + 1}"\n' for k in range(500)
    )
    yield elements + '[network]\ncommon = "n0"\noutput = ["n1", "n0"]\n'
    yield SHEET.replace('"bridge"', '"multiplier"\nstages = 100\nstage_capacitor = "1 uF"\npump_capacitor = "1 uF"')
    yield "a = " + "[" * 5000
    yield "a = " + "{ a = " * 2000
    yield "x = 1\n" * 20000
    yield 'title = "' + "a" * 90000 + '"'
    yield SHEET.replace("100 ohm", "1e-300 ohm")
    yield SHEET.replace("100 ohm", "9" * 300 + " ohm")
    yield SHEET.replace("2200 uF", "1e300 F")
    yield SHEET.replace("50 Hz", "1e-9 Hz")
    yield SHEET.replace("12 V", "nan V")
    yield SHEET.replace("12 V", "inf V")
    yield SHEET + '[load]\nresistance = "1 ohm"\n'
    yield SHEET.replace("title", 'include = "/etc/passwd"\ntitle')
    yield SHEET.replace('"x"', '"../../../../etc/passwd"')
    yield SHEET.replace('"x"', '"<script>alert(1)</script>"')
    yield "\ufeff" + SHEET
    yield SHEET.replace("\n", "\r\n")
    yield 'kind = "course"\n'
    yield ""
    yield "\u202e" * 1000
    yield SHEET.replace("resistance", "power").replace("100 ohm", "100 kW")
    yield SHEET + '[[extra]]\nkind = "wire"\nname = "w"\nfrom = "positive"\nto = "negative"\nvalue = "0"\n'
    yield SHEET.replace("100 ohm", "0 ohm")


def bodies() -> Iterator[tuple[str, bytes, dict[str, str]]]:
    """Path, body and headers of requests that are wrong in every way we could think of."""
    plain = {"Content-Type": "application/json"}

    def text(data: Any) -> bytes:
        return json.dumps(data).encode()

    for sheet in sheets():
        for path in ("answer", "readings", "sheet", "change"):
            yield (
                f"/api/{path}",
                text({**GOOD, "sheet": sheet} if path in ("answer", "readings") else {"sheet": sheet}),
                plain,
            )
    for value in (None, 1, [], "", {}, True, 1e308, -1, "x" * 200_000, [[[[[[]]]]]]):
        for key in ("sheet", "model", "course", "changes", "faults", "point", "mains", "detail", "degrees", "have"):
            yield "/api/answer", text({**GOOD, key: value}), plain
    for raw in (
        b"", b"{", b"nul", b"[1,2", b'{"sheet": NaN}', b'{"mains": Infinity}', b'{"mains": -Infinity}', b"\xff\xfe",
        b'{"sheet": "\\ud800"}', b'{"a":' * 5000, b"[" * 100_000, b'{"mains": 1e999}',
        b'{"mains": ' + b"9" * 5000 + b"}",
        b'{"sheet": "a", "sheet": "b"}', b'"text"', b"0", b'{"sheet": "\\u0000"}', b"\x00" * 100,
    ):  # fmt: skip
        for path in ("answer", "sheet", "change", "begin", "course", "jobs", "readings"):
            yield f"/api/{path}", raw, plain
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "application/json; x=1", ""):
        yield "/api/answer", text(GOOD), {"Content-Type": kind}
    yield "/api/answer", b"x" * 500_000, plain
    yield "/api/answer", text(GOOD), {**plain, "Content-Encoding": "gzip"}
    for key in (
        "../../etc/passwd",
        "load.resistance.x.y.z.a.b",
        "__class__",
        "load..x",
        "filter.99999999.capacitor",
        "a" * 500,
    ):
        yield "/api/answer", text({**GOOD, "changes": {key: "1 ohm"}}), plain
        yield "/api/change", text({"sheet": SHEET, "set": {key: "1"}, "remove": [key]}), plain
    for words in (
        "D1",
        "D99 open",
        "load=",
        "mains=1e300 V",
        "D1 leaky=-1 ohm",
        "wire a b",
        "\n",
        "C1 value=0 uF",
        "a" * 300,
    ):
        yield "/api/answer", text({**GOOD, "faults": [words]}), plain
    for factor in (0.1, 2, 1.0000001, 0.5):
        yield "/api/answer", text({**GOOD, "mains": factor}), plain
    for box in ("winding", "capacitor", "load"):
        for typed in ("", "-1", "1e999", "0", "nan", "٣", "½", "1" * 79, "1 2 3", "../x", "4k7k7", "12;rm"):
            yield "/api/change", text({"sheet": SHEET, "boxes": {box: typed}}), plain
    for course in (
        {"profile": "../uk"},
        {"profile": "uk", "diode_drop": "1e9 V"},
        {"profile": "uk", "symbols": {"load_mean": "}\\input{x}"}},
        {"profile": "uk", "title": "\n[symbols]\n"},
        {"profile": "uk", "symbols": {"nope": "V"}},
    ):
        yield "/api/course", text({"course": course}), plain
        yield "/api/answer", text({**GOOD, "course": course}), plain
    for product in ("lesson", "../lesson", "", "film2"):
        yield "/api/jobs", text({**GOOD, "product": product, "sheet": "nothing", "name": "../../x"}), plain


PATHS = (
    "/static/../app.py", "/static/..%2f..%2fapp.py", "/static/%2e%2e/app.py", "/static//etc/passwd", "/etc/passwd",
    "/static/circuits/../../app.py", "/%00", "/static/%00", "/api", "/api/", "/api/none", "/api/jobs/../../x",
    "/api/jobs/nothing", "/api/jobs/nothing/files/x", "/api/jobs/a/files/..%2f..%2fetc%2fpasswd", "/static/app.html",
    "//evil.example/", "/?token=wrong", "/?token=a&token=b", "/openapi.json/x", "/.git/config", "/static/texts/en.json",
)  # fmt: skip
HEADERS: tuple[dict[str, str], ...] = (
    {"Host": "evil.example"}, {"Host": "evil.example:80"}, {"Host": "127.0.0.1"}, {"Host": "127.0.0.1:1"},
    {"Host": "localhost.evil.example"}, {"Host": ""}, {"Origin": "http://evil.example"}, {"Origin": "null"},
    {"Origin": "https://127.0.0.1"}, {"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"},
    {"Authorization": "Bearer wrong"}, {"Authorization": "Bearer "}, {"Authorization": "Basic eDp5"},
    {"Cookie": "x=y"}, {"Cookie": '"=;;;='},
    {"Accept": "text/html"}, {"Range": "bytes=0-999999999999"}, {"X-Forwarded-Host": "evil.example"},
    {"X-Forwarded-For": "127.0.0.1"},
)  # fmt: skip


def judge(reply: httpx.Response) -> None:
    """No server error, and nothing about where and how the program lies."""
    assert reply.status_code < 500, (reply.request.url, reply.request.content[:200], reply.text[:300])
    told = reply.text
    for word in TELLTALES:
        assert word not in told or reply.headers["content-type"].startswith("text/javascript"), (word, told[:300])


@pytest.mark.long
def test_a_thousand_hostile_requests_are_refused_in_sentences_and_harm_nobody(served: Served) -> None:
    chance = random.Random(SEED)
    planned = list(bodies())
    with httpx.Client(base_url=served.home, headers=served.bearer, timeout=60) as client:
        done = 0
        for path, body, headers in planned:
            judge(client.post(path, content=body, headers=headers))
            done += 1
        for path in PATHS:
            for method in ("GET", "POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"):
                judge(client.request(method, path))
                done += 1
        for headers in HEADERS:
            for path in ("/", "/api/answer", "/openapi.json"):
                with httpx.Client(base_url=served.home, timeout=60) as stranger:
                    try:
                        judge(stranger.request("POST" if "api" in path else "GET", path, headers=headers))
                    except (httpx.LocalProtocolError, httpx.RemoteProtocolError):
                        # The client itself, or the server at once, will have nothing of it.
                        assert served.process.poll() is None
                    done += 1
        # And right requests, each with one letter or byte changed.
        right = json.dumps({**GOOD, "changes": {"load.resistance": "90 ohm"}}).encode()
        while done < COUNT:
            broken = bytearray(right)
            for _ in range(chance.randint(1, 3)):
                broken[chance.randrange(len(broken))] = chance.randrange(256)
            judge(client.post("/api/answer", content=bytes(broken), headers={"Content-Type": "application/json"}))
            done += 1
        assert done >= COUNT
        assert served.process.poll() is None
        good = client.post("/api/answer", json=GOOD)
        assert good.status_code == 200
        # Bridge, 12 V RMS, two drops of 0.7 V: 12√2 − 1.4 V at the peak, less a little ripple.
        assert good.json()["readings"]["load.voltage.peak"]["value"] == pytest.approx(12 * 2**0.5 - 1.4, abs=0.01)
    assert "Traceback" not in served.log.read_text(encoding="utf-8")


def raw(port: int, data: bytes, wait: float = 5.0) -> bytes:
    """Bytes sent as they are, and what comes back."""
    with socket.create_connection(("127.0.0.1", port), timeout=wait) as line:
        line.sendall(data)
        line.settimeout(wait)
        found = b""
        try:
            while piece := line.recv(65536):
                found += piece
        except (TimeoutError, ConnectionError):
            pass
        return found


@pytest.mark.parametrize(
    "data",
    [
        b"\x00\xff\x16\x03\x01 garbage\r\n\r\n",
        b"GET / HTTP/9.9\r\nHost: 127.0.0.1\r\n\r\n",
        b"GET /\r\n\r\n",
        b"POST /api/answer HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\nnot a size\r\n",
        b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: " + b"a" * 200_000 + b"\r\n\r\n",
        b"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\n\r\n",
        b"POST /api/answer HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: -1\r\n\r\n",
        b"POST /api/answer HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99999999999999999999\r\n\r\nx",
        b"POST /api/answer HTTP/1.1\r\nHost: 127.0.0.1\r\nTransfer-Encoding: gzip\r\n\r\nx",
        b"GET / HTTP/1.1\r\n\r\n",
    ],
)
def test_bytes_that_are_no_http_are_refused(served: Served, data: bytes) -> None:
    reply = raw(served.port, data, wait=1.5)
    assert b"200 OK" not in reply
    assert b" 5" not in reply[:14]
    assert b"Traceback" not in reply


def test_a_garbled_chunk_in_a_right_request_is_refused(served: Served) -> None:
    head = (
        f"POST /api/answer HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\nAuthorization: Bearer {served.token}\r\n"
        "Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
    ).encode()
    reply = raw(served.port, head + b"zz\r\nnot a size\r\n", wait=2.0)
    assert b" 200 " not in reply[:20]
    assert b" 5" not in reply[:14]


def test_a_slow_request_keeps_nobody_waiting_and_is_given_up(served: Served) -> None:
    head = (
        f"POST /api/answer HTTP/1.1\r\nHost: 127.0.0.1:{served.port}\r\nAuthorization: Bearer {served.token}\r\n"
        "Content-Type: application/json\r\nContent-Length: 1000\r\n\r\n{"
    ).encode()
    slow = [socket.create_connection(("127.0.0.1", served.port)) for _ in range(20)]
    try:
        for line in slow:
            line.sendall(head)
        began = time.monotonic()
        reply = httpx.post(f"{served.home}/api/sheet", json={"sheet": SHEET}, headers=served.bearer, timeout=30)
        assert reply.status_code == 200
        assert time.monotonic() - began < 8.0
        slow[0].settimeout(15.0)
        assert b" 408 " in slow[0].recv(4096)
    finally:
        for line in slow:
            line.close()


def test_a_sheet_that_takes_too_long_is_ended_and_the_next_is_answered(served: Served) -> None:
    """A multiplier of many stages is slow to solve; the page takes no more parts than it can answer for."""
    sheet = SHEET.replace(
        'circuit = "bridge"', 'circuit = "multiplier"\nstages = 13\nstage_capacitor = "1 uF"\npump_capacitor = "1 uF"'
    )
    with httpx.Client(base_url=served.home, headers=served.bearer, timeout=60) as client:
        began = time.monotonic()
        reply = client.post("/api/answer", json={**GOOD, "sheet": sheet, "model": "physical"})
        assert reply.status_code in (200, 422)
        assert time.monotonic() - began < 30.0
        assert client.post("/api/answer", json=GOOD).status_code == 200
