"""The app as a program of its own, started and stopped by a test."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, kw_only=True)
class Served:
    """A running app."""

    address: str  # with the token
    process: subprocess.Popen[str]
    log: Path

    @property
    def port(self) -> int:
        """The port that it listens on."""
        return urlsplit(self.address).port or 0

    @property
    def home(self) -> str:
        """The app's origin."""
        return f"http://127.0.0.1:{self.port}"

    @property
    def token(self) -> str:
        """The token of this start."""
        return parse_qs(urlsplit(self.address).query)["token"][0]

    @property
    def bearer(self) -> dict[str, str]:
        """Headers that a program may use in place of the cookie."""
        return {"Authorization": f"Bearer {self.token}"}


@contextmanager
def serving(folder: Path, port: int = 0) -> Iterator[Served]:
    """The app on a free port (or that one), until the block ends."""
    log = folder / "serve.log"
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src"), "PYTHONUTF8": "1"}
    with log.open("w") as errors:
        process = subprocess.Popen(
            [sys.executable, "-m", "railwright", "serve", "--no-browser", "--port", str(port)],
            stdout=subprocess.PIPE, stderr=errors, text=True, encoding="utf-8", env=environment, cwd=folder,
        )  # fmt: skip
    assert process.stdout is not None
    try:
        address = process.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:"), log.read_text(encoding="utf-8")
        yield Served(address=address, process=process, log=log)
    finally:
        process.terminate()
        process.wait(timeout=20)
        process.stdout.close()
