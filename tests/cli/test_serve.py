"""`railwright serve`: its address on stdout, its port, its end."""

from __future__ import annotations

import re
import signal
import socket
from pathlib import Path

import httpx
import pytest

from typed_commands import Run
from web.served import serving

pytest.importorskip("starlette", reason="starlette isn't installed (extra: web)")
pytest.importorskip("uvicorn", reason="uvicorn isn't installed (extra: web)")


def test_it_prints_its_address_with_the_token_and_answers_there(tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?token=[A-Za-z0-9_-]{43}", served.address)
        with httpx.Client(follow_redirects=True) as browser:
            page = browser.get(served.address)
        assert page.status_code == 200
        assert "<title>railwright" in page.text
        assert httpx.get(served.home).status_code == 401


def test_it_listens_on_this_machine_alone(tmp_path: Path) -> None:
    """A socket bound to 127.0.0.1 takes nothing that comes to another address of the machine."""
    with serving(tmp_path) as served:
        others = {info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
        for address in others - {"127.0.0.1"}:
            with socket.socket() as line:
                line.settimeout(1.0)
                assert line.connect_ex((str(address), served.port)) != 0


def test_ctrl_c_ends_it_without_a_trace(tmp_path: Path) -> None:
    with serving(tmp_path) as served:
        served.process.send_signal(signal.SIGINT)
        assert served.process.wait(timeout=20) == 0
        assert "Traceback" not in served.log.read_text(encoding="utf-8")


def test_a_port_that_is_taken_is_bad_input_with_a_remedy(run: Run) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        done = run("serve", "--no-browser", "--port", str(port))
    assert done.code == 2
    assert f"Port {port} can't be used" in done.err
    assert "--port" in done.err


@pytest.mark.parametrize("port", ["-1", "70000", "many"])
def test_a_port_that_is_none_is_bad_input(run: Run, port: str) -> None:
    assert run("serve", "--no-browser", "--port", port).code == 2
