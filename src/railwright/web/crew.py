"""A crew of worker processes: each does one piece of work at a time, within its time and memory.

Work may be told to end. A worker that takes too long, or dies, is replaced; whoever waits for it gets a sentence, and
nobody else notices.
"""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any, Final

from railwright.web.limits import CANCEL_SECONDS, FILE_BYTES, MEMORY

#: How often a waiting parent looks whether it should end the work. [s]
_LOOK_EVERY: Final = 0.1

Told = Callable[[float, str], None]


class Busy(Exception):
    """So much is waiting already that one more would only wait for nothing."""


class TookTooLong(Exception):
    """The work was not done in its time and was ended."""


class TooLarge(Exception):
    """The work needed more memory than one piece may have."""


class Lost(Exception):
    """The worker died at its work."""


class Ended(Exception):
    """The work was ended because somebody asked for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One piece of work: a function of a module's top level, and what it is given."""

    call: Callable[..., Any]
    arguments: tuple[Any, ...] = ()
    seconds: float
    reports: bool = False  # the function takes `report=` and tells how far it is


class Crew:
    """Workers, started when they are first needed and replaced when they are lost."""

    def __init__(self, count: int, *, waiting: int, memory: int = MEMORY) -> None:
        self._free: asyncio.Queue[_Worker] = asyncio.Queue()
        self._workers = [_Worker(memory) for _ in range(count)]
        for worker in self._workers:
            self._free.put_nowait(worker)
        self._threads = ThreadPoolExecutor(max_workers=count, thread_name_prefix="crew")
        self._most, self._asked = count + waiting, 0

    @property
    def load(self) -> float:
        """Pieces of work at hand and waiting, for each worker."""
        return self._asked / len(self._workers)

    async def do(self, work: Work, *, told: Told | None = None, stop: threading.Event | None = None) -> Any:
        """Have a piece of work done.

        Raises
        ------
        Busy, TookTooLong, TooLarge, Lost, Ended
            As they say; and whatever the work itself raises.
        """
        if self._asked >= self._most:
            raise Busy
        self._asked += 1
        try:
            worker = await self._free.get()
            try:
                if stop is not None and stop.is_set():
                    raise Ended
                loop = asyncio.get_running_loop()
                return await loop.run_in_executor(self._threads, worker.do, work, told, stop)
            finally:
                self._free.put_nowait(worker)
        finally:
            self._asked -= 1

    def close(self) -> None:
        """End all workers."""
        for worker in self._workers:
            worker.end()
        self._threads.shutdown(wait=False, cancel_futures=True)


class _Worker:
    """One process, seen from the parent."""

    def __init__(self, memory: int) -> None:
        self._memory = memory
        self._process: Any = None
        self._line: Connection | None = None

    def do(self, work: Work, told: Told | None, stop: threading.Event | None) -> Any:
        line = self._ready()
        try:
            line.send(work)
            return self._outcome(line, work, told, stop)
        except (EOFError, OSError):
            self.end()
            raise Lost from None

    def _outcome(self, line: Connection, work: Work, told: Told | None, stop: threading.Event | None) -> Any:
        deadline = time.monotonic() + work.seconds
        asked_to_end = False
        while True:
            if line.poll(max(0.0, min(_LOOK_EVERY, deadline - time.monotonic()))):
                kind, content = line.recv()
                if kind == "done":
                    return content
                if kind == "too large":
                    # What is left of its memory is not to be relied on.
                    self.end()
                    raise TooLarge
                if kind == "ended":
                    raise Ended
                if kind != "told":
                    raise content
                if told is not None:
                    told(*content)
            # Work that tells much must still be heard to take too long, or be ended.
            if stop is not None and stop.is_set() and not asked_to_end:
                asked_to_end = True
                line.send("end")
                deadline = min(deadline, time.monotonic() + CANCEL_SECONDS)
            if time.monotonic() >= deadline:
                self.end()
                raise Ended if asked_to_end else TookTooLong

    def _ready(self) -> Connection:
        if self._line is None or not self._process.is_alive():
            self.end()
            # A fresh interpreter: a fork would carry the server's sockets and threads along.
            context = multiprocessing.get_context("spawn")
            self._line, theirs = context.Pipe()
            self._process = context.Process(target=_work, args=(theirs, self._memory), daemon=True)
            self._process.start()
            theirs.close()
        return self._line

    def end(self) -> None:
        if self._line is not None:
            self._line.close()
            self._line = None
        if self._process is not None:
            self._process.kill()
            self._process.join(timeout=5.0)
            self._process = None


# ---------------------------------------------------------------- in the worker


def _work(line: Connection, memory: int) -> None:
    """The life of a worker: take a piece, do it, send what came of it."""
    # The terminal's Ctrl-C is for the parent, which ends its workers itself.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ[name] = "1"
    _bounded(memory)
    while True:
        try:
            work = line.recv()
        except (EOFError, OSError):
            return
        if work == "end":
            continue  # it came after the work was done
        with contextlib.suppress(BrokenPipeError):
            line.send(_outcome(work, line))


def _outcome(work: Work, line: Connection) -> tuple[str, Any]:
    from railwright.jobs import Cancelled

    def report(done: float, words: str) -> None:
        if line.poll() and line.recv() == "end":
            raise Cancelled
        line.send(("told", (done, words)))

    try:
        found = work.call(*work.arguments, report=report) if work.reports else work.call(*work.arguments)
        return "done", found
    except Cancelled:
        return "ended", None
    except MemoryError:
        return "too large", None
    except RecursionError:
        return "too large", None
    except Exception as error:
        return "raised", _sendable(error)


def _sendable(error: Exception) -> Exception:
    """The error itself where it survives the way to the parent, else its words alone."""
    import pickle

    try:
        back = pickle.loads(pickle.dumps(error))
    except Exception:
        return Defect(f"{type(error).__name__}: {error}")
    return error if type(back) is type(error) else Defect(f"{type(error).__name__}: {error}")


class Defect(Exception):
    """Something went wrong in a worker that nobody meant to raise."""


def _bounded(memory: int) -> None:
    try:
        import resource
    except ImportError:  # not on this system: the time limit alone must do
        return
    for which, most in ((resource.RLIMIT_AS, memory), (resource.RLIMIT_FSIZE, FILE_BYTES), (resource.RLIMIT_CORE, 0)):
        with contextlib.suppress(ValueError, OSError):
            _, hard = resource.getrlimit(which)
            limit = most if hard == resource.RLIM_INFINITY else min(most, hard)
            resource.setrlimit(which, (limit, hard))
