"""The app's routes: each parses, calls and renders, nothing more."""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections import OrderedDict
from collections.abc import AsyncIterator, Awaitable, Callable
from typing import Any
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from railwright import __version__
from railwright.web import openapi, page
from railwright.web.answering import ANSWERS, Refused
from railwright.web.crew import Busy, Crew, Lost, TookTooLong, TooLarge, Work
from railwright.web.gate import POLICY, App, Gate
from railwright.web.limits import ANSWER_SECONDS, KEPT_ANSWERS, WAITING, WORKERS
from railwright.web.making import Making, kind_of
from railwright.web.session import Session
from railwright.web.shape import Misshapen, check, parsed

Handler = Callable[[Request], Awaitable[Response]]

#: So much work waits for each worker that an answer leaves out what isn't seen while a slider moves.
_CROWDED = 2.0
_BUSY = "The app is busy with other work. It will take your question in a moment."


class Answers:
    """The last answers, by their question: a class that asks the same gets it at once."""

    def __init__(self, most: int) -> None:
        self._kept: OrderedDict[str, bytes] = OrderedDict()
        self._most = most

    def get(self, name: str) -> bytes | None:
        """An answer that was given before."""
        if name in self._kept:
            self._kept.move_to_end(name)
        return self._kept.get(name)

    def keep(self, name: str, answer: bytes) -> None:
        """Keep an answer; the oldest goes."""
        self._kept[name] = answer
        while len(self._kept) > self._most:
            self._kept.popitem(last=False)


def encoded(name: str, asked: dict[str, Any]) -> bytes:
    """A worker's answer as JSON. Raises Refused."""
    from railwright.web.answering import guarded

    found = guarded(ANSWERS[name], asked)
    return json.dumps(found, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode("utf-8")


def make_app(session: Session, *, crew: Crew | None = None, makers: Crew | None = None) -> App:
    """The app of one start, behind its gate.

    Parameters
    ----------
    session : Session
        Who may speak to it.
    crew, makers : Crew, optional
        Workers for answers and for things in the making; two and one if not given.
    """
    answering = crew if crew is not None else Crew(WORKERS, waiting=WAITING)
    making = makers if makers is not None else Crew(1, waiting=WAITING)
    house = _House(session, answering, making)

    @contextlib.asynccontextmanager
    async def lifespan(app: Starlette) -> AsyncIterator[None]:
        # The first question must not wait for what every question needs; the page itself doesn't.
        work = Work(call=encoded, arguments=("warm", {}), seconds=60.0)
        warming = [asyncio.ensure_future(answering.do(work)) for _ in range(WORKERS)]
        yield
        for task in warming:
            task.cancel()
        answering.close()
        making.close()

    app = Starlette(routes=house.routes(), lifespan=lifespan, exception_handlers={HTTPException: _plain_error})
    return Gate(app, session)


async def _plain_error(request: Request, error: Exception) -> Response:
    """What the routes themselves refuse: no such place, no such method."""
    assert isinstance(error, HTTPException)
    sentences = {404: "There is no such thing here.", 405: "That can't be done here."}
    return JSONResponse(
        {"error": sentences.get(error.status_code, "That can't be done.")}, error.status_code, headers=error.headers
    )


def _refused(status: int, sentence: str, **more: Any) -> Response:
    headers = {"retry-after": "1"} if status == 429 else None
    return JSONResponse({"error": sentence, **more}, status, headers=headers)


def _sentence(error: Misshapen) -> str:
    words = str(error)
    return words[:1].upper() + words[1:]


class _House:
    def __init__(self, session: Session, crew: Crew, makers: Crew) -> None:
        self.session, self.crew = session, crew
        self.making = Making(makers)
        self.answers = Answers(KEPT_ANSWERS)
        texts = page.read_texts()
        self.texts = texts
        self.assets = page.assets(texts)
        self.page = page.page(texts, __version__)
        self.examples = page.examples()
        self.description = openapi.description(__version__)

    def routes(self) -> list[Route]:
        asked = [name for name in openapi.REQUESTS if name != "jobs"]
        return [
            Route("/", self.home, methods=["GET"]),
            Route("/openapi.json", self.openapi, methods=["GET"]),
            Route("/static/{name:path}", self.static, methods=["GET"]),
            Route("/api/examples", self.shipped, methods=["GET"]),
            *(Route(f"/api/{name}", self.asking(name), methods=["POST"]) for name in asked),
            Route("/api/jobs", self.jobs, methods=["GET"]),
            Route("/api/jobs", self.begin_job, methods=["POST"]),
            Route("/api/jobs/{job}", self.job, methods=["GET"]),
            Route("/api/jobs/{job}", self.end_job, methods=["DELETE"]),
            Route("/api/jobs/{job}/files/{file}", self.file, methods=["GET"]),
        ]

    # -- the page ---------------------------------------------------------

    async def home(self, request: Request) -> Response:
        if "token" in request.query_params:
            if not self.session.token_in(request.scope["query_string"]):
                return RedirectResponse("/", 303)
            # The token leaves the address, and so the history, as soon as it is in the cookie.
            return RedirectResponse("/", 303, headers={"set-cookie": self.session.set_cookie()})
        return Response(self.page, media_type="text/html; charset=utf-8")

    async def static(self, request: Request) -> Response:
        # A look-up among what was read at the start: no path is opened.
        asset = self.assets.get(request.path_params["name"])
        if asset is None:
            raise HTTPException(404)
        return Response(asset.content, media_type=asset.kind)

    async def openapi(self, request: Request) -> Response:
        return JSONResponse(self.description)

    async def shipped(self, request: Request) -> Response:
        return JSONResponse({"examples": [{"name": name, "sheet": text} for name, text in self.examples.items()]})

    # -- questions ---------------------------------------------------------

    def asking(self, name: str) -> Handler:
        async def asked(request: Request) -> Response:
            return await self.ask(name, request)

        return asked

    async def ask(self, name: str, request: Request) -> Response:
        try:
            question = parsed(await request.body())
            check(question, openapi.REQUESTS[name])
        except Misshapen as error:
            return _refused(400, _sentence(error))
        if name == "answer" and question.get("detail") == "moving" and self.crew.load > _CROWDED:
            question["detail"] = "light"
        known = json.dumps([name, question], sort_keys=True)
        kept = self.answers.get(known)
        if kept is not None:
            return Response(kept, media_type="application/json")
        work = Work(call=encoded, arguments=(name, question), seconds=ANSWER_SECONDS)
        try:
            found: bytes = await self.crew.do(work)
        except Refused as refused:
            return _refused(422, refused.sentence, kind=refused.kind, faults=list(refused.faults))
        except Busy:
            return _refused(429, _BUSY)
        except TookTooLong:
            sentence = f"This circuit was not solved within {ANSWER_SECONDS:.0f} seconds, so the work was ended."
            return _refused(422, f"{sentence} Try a simpler model, or fewer parts.", kind="too long", faults=[])
        except TooLarge:
            return _refused(422, "This circuit needs more memory than one question may have.", kind="too large",
                            faults=[])  # fmt: skip
        except Lost:
            return _refused(422, "The work on this circuit stopped unexpectedly. Change it, or try once more.",
                            kind="lost", faults=[])  # fmt: skip
        self.answers.keep(known, found)
        return Response(found, media_type="application/json")

    # -- things in the making ---------------------------------------------------------

    async def jobs(self, request: Request) -> Response:
        return JSONResponse({"jobs": [job.to_json() for job in self.making.all()]})

    async def begin_job(self, request: Request) -> Response:
        try:
            question = parsed(await request.body())
            check(question, openapi.REQUESTS["jobs"])
        except Misshapen as error:
            return _refused(400, _sentence(error))
        try:
            job = self.making.begin(question)
        except Busy:
            return _refused(429, "Enough is being made already. Wait for one of them, or end it.")
        return JSONResponse(job.to_json(), 202)

    async def job(self, request: Request) -> Response:
        job = self.making.find(request.path_params["job"])
        if job is None:
            raise HTTPException(404)
        return JSONResponse(job.to_json())

    async def end_job(self, request: Request) -> Response:
        job = self.making.find(request.path_params["job"])
        if job is None:
            raise HTTPException(404)
        self.making.end(job)
        return JSONResponse(job.to_json())

    async def file(self, request: Request) -> Response:
        job = self.making.find(request.path_params["job"])
        # The name is looked up among the files that were made; it is no path.
        content = None if job is None else job.files.get(request.path_params["file"])
        if content is None:
            raise HTTPException(404)
        name = request.path_params["file"]
        kind = kind_of(name)
        shown = request.query_params.get("show") == "1" and kind in ("application/pdf", "image/svg+xml", "image/png")
        place = "inline" if shown else "attachment"
        # What was made may hold scripts of its own (a lesson does): here it may run none.
        policy = POLICY.replace("frame-ancestors 'none'", "frame-ancestors 'self'")
        if kind != "application/pdf":
            policy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; sandbox"
        return Response(
            content,
            media_type=kind,
            headers={
                "content-disposition": f"{place}; filename*=UTF-8''{quote(name)}",
                "content-security-policy": policy,
                "x-frame-options": "SAMEORIGIN" if shown else "DENY",
            },
        )


__all__ = ["make_app"]
