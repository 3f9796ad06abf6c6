"""What is being made and what was: lesson, hand-out, film and the rest, each with its progress and its files."""

from __future__ import annotations

import asyncio
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from railwright.web.answering import Refused
from railwright.web.crew import Busy, Crew, Ended, Lost, TookTooLong, TooLarge, Work
from railwright.web.limits import KEPT_BYTES, KEPT_JOBS, MAKING_SECONDS, MOST_JOBS
from railwright.web.production import produce

State = Literal["waiting", "working", "done", "failed", "ended"]

_KINDS: Mapping[str, str] = {
    "html": "text/html; charset=utf-8", "pdf": "application/pdf", "svg": "image/svg+xml", "png": "image/png",
    "csv": "text/csv; charset=utf-8", "md": "text/markdown; charset=utf-8", "tex": "text/x-tex; charset=utf-8",
    "mp4": "video/mp4", "vtt": "text/vtt; charset=utf-8", "zip": "application/zip",
    "docx": "application/vnd.openxmlformats-officedocument.wordprocessingml.document",
}  # fmt: skip


def kind_of(name: str) -> str:
    """The media type of a file by its name's ending."""
    return _KINDS.get(name.rpartition(".")[2], "application/octet-stream")


@dataclass(kw_only=True)
class Job:
    """One thing in the making."""

    id: str
    product: str
    name: str
    state: State = "waiting"
    done: float = 0.0
    words: str = ""
    files: dict[str, bytes] = field(default_factory=dict)
    stop: threading.Event = field(default_factory=threading.Event)

    def to_json(self) -> dict[str, Any]:
        """How far it is, as plain data."""
        return {
            "id": self.id, "product": self.product, "state": self.state, "done": round(self.done, 4),
            "words": self.words,
            "files": [
                {"name": name, "bytes": len(content), "kind": kind_of(name)} for name, content in self.files.items()
            ],
        }  # fmt: skip


class Making:
    """The jobs of one start of the app."""

    def __init__(self, crew: Crew, product: Callable[..., dict[str, bytes]] = produce) -> None:
        self._crew, self._produce = crew, product
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._tasks: set[asyncio.Task[None]] = set()

    def begin(self, asked: Mapping[str, Any]) -> Job:
        """Begin to make what was asked for.

        Raises
        ------
        Busy
            If enough is being made already.
        """
        if sum(job.state in ("waiting", "working") for job in self._jobs.values()) >= MOST_JOBS:
            raise Busy
        job = Job(id=secrets.token_hex(8), product=asked["product"], name=asked.get("name", ""))
        self._jobs[job.id] = job
        self._forget_old()
        task = asyncio.get_running_loop().create_task(self._make(job, asked))
        # The loop itself keeps only a weak hold of its tasks.
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)
        return job

    def find(self, name: str) -> Job | None:
        """A job by its id."""
        return self._jobs.get(name)

    def all(self) -> list[Job]:
        """All jobs, the latest first."""
        return list(reversed(self._jobs.values()))

    def end(self, job: Job) -> None:
        """End a job, or forget one that is done."""
        job.stop.set()
        if job.state == "waiting":
            job.state, job.words = "ended", "ended"
        if job.state in ("done", "failed", "ended"):
            job.files = {}
            self._jobs.pop(job.id, None)

    async def _make(self, job: Job, asked: Mapping[str, Any]) -> None:
        def told(done: float, words: str) -> None:
            if job.state == "waiting":
                job.state = "working"
            job.done, job.words = min(max(done, 0.0), 1.0), words

        work = Work(call=self._produce, arguments=(dict(asked),), seconds=MAKING_SECONDS, reports=True)
        try:
            files = await self._crew.do(work, told=told, stop=job.stop)
        except Refused as refused:
            job.state, job.words = "failed", refused.sentence
        except Ended:
            job.state, job.words = "ended", "ended"
        except TookTooLong:
            job.state, job.words = "failed", f"It took longer than {MAKING_SECONDS / 60:.0f} minutes and was ended."
        except TooLarge:
            job.state, job.words = "failed", "It needs more memory than one piece of work may have here."
        except (Busy, Lost):
            job.state, job.words = "failed", "The work stopped unexpectedly. Try it once more."
        except Exception:
            job.state, job.words = "failed", "A defect in railwright, not in what you gave it, stopped this."
            raise
        else:
            job.files, job.done, job.state, job.words = files, 1.0, "done", "done"
        self._forget_old()

    def _forget_old(self) -> None:
        rested = [job for job in self._jobs.values() if job.state in ("done", "failed", "ended")]
        size = sum(len(content) for job in rested for content in job.files.values())
        for job in rested:
            if len(rested) <= KEPT_JOBS and size <= KEPT_BYTES or job is rested[-1]:
                break
            size -= sum(map(len, job.files.values()))
            rested = rested[1:]
            self._jobs.pop(job.id, None)
