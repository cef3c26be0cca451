"""The page's server: it tells every open page what is published, and hands in what is entered there.

It lives in the daemon's event loop. Entries go through the same door as those of the broker, and are answered
once they are committed; drawing the sheet is left to a thread.
"""

import asyncio
import json
import socket
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import contextmanager
from typing import Protocol

import uvicorn
from sse_starlette.event import ServerSentEvent
from sse_starlette.sse import EventSourceResponse
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from middlewatch.links.page.assets import asset_route, assets
from middlewatch.links.page.gate import A_YEAR_S, COOKIE, Bucket, Gate, Tokens
from middlewatch.links.page.listeners import Listener, Listeners
from middlewatch.links.page.sheet_view import SheetImage, SheetView, sheet_view
from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel
from middlewatch.settings import PageSettings
from middlewatch.wire.page_messages import PRESENT, Role, Ship, beat_message, hello
from middlewatch.wire.topics import ENTRY_TOPICS

BEAT_S = 1.0
"""How often every page is told that we are there."""

ANSWER_WITHIN_S = 8.0
"""How long a page waits for an answer before it enters the same again."""

_COME_AGAIN_MS = 1000

Answered = Callable[[str], None]
"""Takes the answer to an entry, as JSON, in the event loop's thread."""

Door = Callable[[Channel, bytes, Answered], None]
"""Takes an entry as it came, and whom to answer."""


class SheetSource(Protocol):
    """Whoever draws the sheet; called in a thread of its own."""

    def image(self, view: SheetView) -> SheetImage:
        """Return the sheet as it stands."""

    def pencil(self) -> tuple[str, ...]:
        """Return what to pencil on the chart, a line each."""


class _Uvicorn(uvicorn.Server):
    """The server, which leaves the signals to the daemon."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


def open_socket(settings: PageSettings) -> socket.socket:
    """Return the socket to serve on, bound; OSError, with what was wanted as its file, where it cannot be."""
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    opened = socket.socket(family)
    try:
        opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        opened.bind((settings.host, settings.port))
    except OSError as fault:
        opened.close()
        wanted = f"[page] {settings.host} port {settings.port}"
        raise OSError(fault.errno, fault.strerror, wanted) from fault
    return opened


class PageServer:
    """One daemon's page.

    `door` takes entries; `sheet` draws; `now` is the boat's UTC, None while only lines would tell it;
    `broker_up` whether the broker is there.
    """

    def __init__(  # noqa: PLR0913 - all named where it is made
        self,
        settings: PageSettings,
        ship: Ship,
        *,
        door: Door,
        sheet: SheetSource,
        now: Callable[[], Instant | None],
        broker_up: Callable[[], bool],
    ) -> None:
        self._ship = ship
        self._door = door
        self._sheet = sheet
        self._now = now
        self._broker_up = broker_up
        self._tokens = Tokens(*settings.tokens())
        self._entries = Bucket(60, 2.0)
        self._guesses = Bucket(5, 0.1)
        self._drawing = asyncio.Semaphore(1)
        self.listeners = Listeners()
        gate = Middleware(Gate, tokens=self._tokens, names=settings.names)
        config = uvicorn.Config(
            Starlette(routes=self._routes(), middleware=[gate]),
            http="h11",
            ws="none",
            lifespan="off",
            log_config=None,
            access_log=False,
            server_header=False,
            limit_concurrency=200,
            timeout_graceful_shutdown=1,
        )
        self._server = _Uvicorn(config)

    # --- its life -------------------------------------------------------------------------------------

    async def run(self, opened: socket.socket) -> None:
        """Serve until stopped."""
        beating = asyncio.create_task(self._beat(), name="page's beat")
        try:
            await self._server.serve([opened])
        finally:
            beating.cancel()

    def stop(self) -> None:
        """End in order: what waits is sent, then every page is let go."""
        self.listeners.end()
        self._server.should_exit = True

    async def _beat(self) -> None:
        while True:
            self.listeners.tell("beat", beat_message(self._now(), broker=self._broker_up()))
            await asyncio.sleep(BEAT_S)

    # --- what it serves -------------------------------------------------------------------------------

    def _routes(self) -> list[Route]:
        return [
            *(asset_route(asset) for asset in assets()),
            Route("/hello", self._hello),
            Route("/feed", self._feed),
            Route("/sheet.svg", self._sheet_image),
            Route("/pencil", self._pencil),
            Route("/entry/{channel}", self._enter, methods=["POST"]),
            Route("/token", self._token, methods=["POST"]),
        ]

    async def _hello(self, request: Request) -> Response:
        role = _role(request)
        if role is None:
            return _no(401, "a token opens this page")
        return Response(hello(self._ship, role), media_type="application/json", headers=_FRESH)

    async def _feed(self, request: Request) -> Response:
        if _role(request) is None:
            return _no(401, "a token opens this page")
        if self.listeners.full:
            return _no(503, "too many pages are open")
        return EventSourceResponse(self._told(), ping=15, send_timeout=10, sep="\n")

    async def _told(self) -> AsyncIterator[ServerSentEvent]:
        listener = self.listeners.admit(PRESENT)
        try:
            yield ServerSentEvent(beat_message(self._now(), broker=self._broker_up()), retry=_COME_AGAIN_MS)
            async for message in _one_by_one(listener):
                yield message
        finally:
            self.listeners.leave(listener)

    async def _sheet_image(self, request: Request) -> Response:
        if _role(request) is None:
            return _no(401, "a token opens this page")
        try:
            view = sheet_view(request.query_params)
        except ValueError as amiss:
            return _no(400, str(amiss))
        async with self._drawing:
            image = await asyncio.to_thread(self._sheet.image, view)
        about = {
            "sheet-north": f"{image.centre.latitude_deg:.7f}",
            "sheet-east": f"{image.centre.longitude_deg:.7f}",
            "sheet-scale": f"{image.scale:.0f}",
            "sheet-number": str(image.number),
            "sheet-of": str(image.of),
        }
        return Response(image.svg, media_type="image/svg+xml", headers={**_FRESH, **about})

    async def _pencil(self, request: Request) -> Response:
        if _role(request) is None:
            return _no(401, "a token opens this page")
        async with self._drawing:
            lines = await asyncio.to_thread(self._sheet.pencil)
        return JSONResponse({"lines": lines}, headers=_FRESH)

    async def _enter(self, request: Request) -> Response:
        channel = ENTRY_TOPICS.get(request.path_params["channel"])
        role = _role(request)
        if channel is None:
            return _no(404, "entries are sightings or orders")
        if role is None:
            return _no(401, "a token opens this page")
        if role != "skipper":
            return _no(403, "this view is for looking; the skipper's token enters")
        if not self._entries.takes():
            return _no(429, "too many entries at once; this one was not taken")
        answer = asyncio.get_running_loop().create_future()

        def answered(text: str) -> None:
            if not answer.done():
                answer.set_result(text)

        self._door(channel, await request.body(), answered)
        try:
            text = await asyncio.wait_for(answer, ANSWER_WITHIN_S)
        except TimeoutError:
            return _no(504, "taken, and not answered yet: enter the same again")
        return Response(text, media_type="application/json", headers=_FRESH)

    async def _token(self, request: Request) -> Response:
        if not self._guesses.takes():
            return _no(429, "too many tokens tried; wait ten seconds")
        role = self._tokens.role_by_token(_token_in(await request.body()))
        if role is None:
            return _no(401, "that is no token of this boat")
        response = JSONResponse({"role": role}, headers=_FRESH)
        response.set_cookie(
            COOKIE, self._tokens.sign(role), max_age=A_YEAR_S, httponly=True, samesite="strict"
        )
        return response


_FRESH = {"cache-control": "no-store"}


async def _one_by_one(listener: Listener) -> AsyncIterator[ServerSentEvent]:
    async for message in listener.messages():
        yield ServerSentEvent(message)


def _role(request: Request) -> Role | None:
    role: Role | None = request.state.role
    return role


def _no(status: int, why: str) -> Response:
    return JSONResponse({"problem": why}, status, headers=_FRESH)


def _token_in(body: bytes) -> str:
    try:
        token = json.loads(body)["token"]
    except (ValueError, KeyError, TypeError):
        return ""
    return token if isinstance(token, str) else ""
