"""The desk's web application: a page, its events, pictures by job number, and acts."""

from __future__ import annotations

import asyncio
import contextlib
import html
import json
import re
from collections.abc import AsyncIterator, Callable
from importlib.resources import files
from urllib.parse import parse_qs

import anyio
from starlette.applications import Starlette
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Route

from cutpath.desk.acts import JOB_ACTS, LANE_ACTS, Desk, lane_numbered
from cutpath.desk.entry import Answer, OneTimeCode
from cutpath.desk.guard import Door, Guard, let_in
from cutpath.desk.lines import lines_of
from cutpath.desk.live import BusyError, Live
from cutpath.desk.patience import PATIENCE_S
from cutpath.desk.telling import Teller
from cutpath.errors import CutpathError

_NUMBER = re.compile(r"[1-9][0-9]{0,14}")
_SCRIPTS = ("means.js", "lay.js", "desk.js")
_ASSETS = {
    "desk.css": "text/css",
    "icon.svg": "image/svg+xml",
    **dict.fromkeys(_SCRIPTS, "text/javascript"),
}
_SAID = {
    Answer.WRONG: "That is not the code on the terminal.",
    Answer.WAIT: "Too many wrong codes. Wait a minute, then use the code on the terminal.",
}


def make_app(desk: Desk, door: Door, code: OneTimeCode) -> Guard:
    """Give the application behind its guard; ``code`` is asked where ``door`` says so."""
    return Guard(_App(desk, door, code).starlette, door)


class _App:
    def __init__(self, desk: Desk, door: Door, code: OneTimeCode) -> None:
        self.desk = desk
        self.door = door
        self.code = code
        self.teller = Teller(desk.queue)
        self.live = Live(self.teller, desk.senders.faults)
        assets = files("cutpath.desk").joinpath("assets")
        self.texts = {
            name: assets.joinpath(name).read_text(encoding="utf-8")
            for name in (*_ASSETS, "desk.html", "enter.html")
        }
        self.starlette = Starlette(
            routes=[
                Route("/", self.page),
                Route("/enter", self.entrance),
                Route("/enter", self.enter, methods=["POST"]),
                *(Route(f"/{name}", self._asset(name)) for name in _ASSETS),
                Route("/events", self.events),
                Route("/jobs/{number}/lines", self.lines),
                Route("/jobs/{number}/{act}", self.act_on_job, methods=["POST"]),
                Route("/lanes/{number}/{act}", self.act_on_lane, methods=["POST"]),
            ],
            exception_handlers={
                404: _not_found,
                405: _not_found,
                CutpathError: _told,
                ClientDisconnect: _too_long,
                TimeoutError: _too_slow,
                Exception: _mistake,
            },
            lifespan=self._lifespan,
        )
        self.starlette.router.redirect_slashes = False

    @contextlib.asynccontextmanager
    async def _lifespan(self, _app: Starlette) -> AsyncIterator[None]:
        yield
        await self.live.close()

    async def page(self, request: Request) -> Response:
        """Give the page; on this machine itself, a session with it."""
        session = request.state.session
        sessions = self.door.sessions
        is_new = not sessions.is_known(session)
        if is_new:
            session = sessions.begin()
        text = self.texts["desk.html"].replace("<!--token-->", sessions.token(session))
        response = Response(text, media_type="text/html")
        return let_in(response, self.door, session) if is_new else response

    async def entrance(self, _request: Request) -> Response:
        """Ask for the code."""
        if not self.door.asks_code:
            return RedirectResponse("/", 303)
        return self._asked("")

    async def enter(self, request: Request) -> Response:
        """Judge a code."""
        if not self.door.asks_code:
            return RedirectResponse("/", 303)
        body = (await _body(request)).decode("ascii", errors="replace")
        try:
            said = parse_qs(body, max_num_fields=4)
        except ValueError:
            said = {}
        answer = self.code.tried(said.get("code", [""])[0])
        if answer is Answer.RIGHT:
            return let_in(RedirectResponse("/", 303), self.door, self.door.sessions.begin())
        return self._asked(_SAID[answer], 429 if answer is Answer.WAIT else 403)

    def _asked(self, words: str, status: int = 200) -> Response:
        text = self.texts["enter.html"].replace("<!--words-->", html.escape(words))
        return Response(text, status, media_type="text/html")

    def _asset(self, name: str) -> Callable[[Request], Response]:
        def asset(_request: Request) -> Response:
            return Response(self.texts[name], media_type=_ASSETS[name])

        return asset

    async def events(self, _request: Request) -> Response:
        """Give server-sent events for as long as the page is open."""
        stream = self.live.listen()
        try:
            first = await anext(stream)
        except BusyError:
            return JSONResponse({"error": "too many pages are open"}, 503)

        async def all_of() -> AsyncIterator[bytes]:
            async with contextlib.aclosing(stream):  # type: ignore[type-var]
                yield first
                async for frame in stream:
                    yield frame

        return StreamingResponse(all_of(), media_type="text/event-stream")

    def lines(self, request: Request) -> Response:
        """Give what a job draws. It never changes: a job's number is never used again."""
        number = _number(request)
        if number is None:
            return _no_such()
        try:
            run = self.teller.run(number)
        except CutpathError:
            return _no_such()
        headers = {"Cache-Control": "private, max-age=86400, immutable"}
        return Response(lines_of(run), media_type="application/json", headers=headers)

    async def act_on_lane(self, request: Request) -> Response:
        """Do what the page asks of a machine."""
        number, act = _number(request), LANE_ACTS.get(request.path_params["act"])
        if number is None or act is None:
            return _no_such()

        def done() -> None:
            return act(self.desk, lane_numbered(self.desk, number))

        return await self._done(done)

    async def act_on_job(self, request: Request) -> Response:
        """Do what the page asks of a job."""
        number, act = _number(request), JOB_ACTS.get(request.path_params["act"])
        if number is None or act is None:
            return _no_such()
        try:
            said = json.loads(await _body(request) or b"{}")
        except (ValueError, RecursionError):
            return JSONResponse({"error": "this is not JSON"}, 400)
        if not isinstance(said, dict):
            return JSONResponse({"error": "this is no JSON object"}, 400)
        return await self._done(lambda: act(self.desk, self.desk.queue.job(number), said))

    async def _done(self, what: Callable[[], str | None]) -> Response:
        words = await anyio.to_thread.run_sync(what)
        self.live.hurry()
        return JSONResponse({"words": words or ""})


async def _body(request: Request) -> bytes:
    async with asyncio.timeout(PATIENCE_S):
        return await request.body()


def _number(request: Request) -> int | None:
    said = request.path_params["number"]
    return int(said) if _NUMBER.fullmatch(said) else None


def _no_such() -> Response:
    return JSONResponse({"error": "there is nothing here"}, 404)


def _not_found(_request: Request, _error: Exception) -> Response:
    return _no_such()


def _told(_request: Request, error: Exception) -> Response:
    assert isinstance(error, CutpathError)
    return JSONResponse({"error": error.message, "remedy": error.remedy}, 409)


def _too_slow(_request: Request, _error: Exception) -> Response:
    return JSONResponse({"error": "the request did not come to its end"}, 408)


def _mistake(_request: Request, error: Exception) -> Response:
    words = f"cutpath made a mistake ({type(error).__name__}: {error})"
    return JSONResponse({"error": words, "remedy": "Please report it."}, 500)


def _too_long(_request: Request, _error: Exception) -> Response:
    return JSONResponse({"error": "that is too much"}, 413)
