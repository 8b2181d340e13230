"""The desk served: requests in, the desk's answers out, and each thing done told to all who look on.

The desk's work is done in one thread, one thing after another, so that the others are never kept waiting for it. What
the interface takes and gives is told by `consist explain desk`.
"""

from __future__ import annotations

import asyncio
import json
import secrets
from collections.abc import AsyncIterator, Awaitable, Callable, Mapping
from importlib.resources import files
from typing import Any

from markupsafe import Markup
from sse_starlette import EventSourceResponse, ServerSentEvent
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.sessions import SessionMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route

from consist.desk.access import Guard, Role
from consist.desk.at_door import asked_at_door
from consist.desk.desk import Done, StaleError, Who
from consist.desk.logged import asked_to_log, logged_shown
from consist.desk.said import change_of
from consist.desk.save import SaveError
from consist.desk.served import Served
from consist.desk.shown import entry_shown, mark_of, state_text
from consist.errors import ConsistError, InputError
from consist.names import tidy
from consist.report.words import clean

__all__ = ["MOST_BODY", "app_of"]

MOST_BODY = 1_000_000
BODY_SECONDS = 10.0
WAITING_EVENTS = 50
"""Whoever is behind by more events than this is let go, and comes back for the state."""
HERE_SECONDS = 10.0
"""So often those who listen are told that the desk is still there, and of what revision."""
LONGEST_NAME = 40
COOKIE = "consist-desk"
PAGE: Mapping[str, str] = {
    "desk.js": "text/javascript",
    "desk.css": "text/css",
    "page.css": "text/css",
}


class _RefusedError(Exception):
    """A request that is refused, with its status and a sentence."""

    def __init__(self, status: int, sentence: str, **more: Any) -> None:
        super().__init__(sentence)
        self.status, self.more = status, more


def app_of(served: Served, hosts: frozenset[str]) -> Starlette:
    """The application that serves a desk to those who ask it by one of `hosts`."""

    def route(path: str, answer: Callable[[Served, Request], Awaitable[Response]], method: str = "GET") -> Route:
        async def answered(request: Request) -> Response:
            try:
                return await answer(served, request)
            except _RefusedError as refused:
                return JSONResponse({"error": str(refused), **refused.more}, refused.status)
            except SaveError as error:
                return JSONResponse({"error": str(error)}, 409)
            except StaleError as stale:
                since = [entry_shown(served.desk, entry) for entry in stale.since]
                return JSONResponse({"error": str(stale), "revision": stale.revision, "since": since}, 409)
            except InputError as error:
                return JSONResponse({"error": " ".join(map(str, error.problems))}, 422)
            except ConsistError as error:
                return JSONResponse({"error": str(error)}, 422)

        return Route(path, answered, methods=[method])

    async def unknown(request: Request, error: Exception) -> Response:
        status = error.status_code if isinstance(error, HTTPException) else 500
        return JSONResponse({"error": "there is nothing here of that name, or it is not asked for so"}, status)

    return Starlette(
        routes=[
            route("/", _page),
            *(route(f"/{name}", _file) for name in PAGE),
            route("/state", _state),
            route("/events", _events),
            route("/sheet", _sheet),
            route("/changes", _changes, "POST"),
            route("/undo", _undo, "POST"),
            route("/ticks", _tick, "POST"),
            route("/door", _door, "POST"),
            route("/log", _log, "POST"),
            route("/save", _save, "POST"),
            route("/name", _name, "POST"),
        ],
        middleware=[
            Middleware(Guard, hosts=hosts),
            Middleware(
                SessionMiddleware,
                secret_key=secrets.token_urlsafe(32),
                session_cookie=COOKIE,
                max_age=None,
                same_site="strict",
            ),
        ],
        exception_handlers={404: unknown, 405: unknown, 500: unknown},
    )


def _who(served: Served, request: Request, *, changing: bool) -> Who:
    """Who asks, by the cookie or by the code in the header. Raises where they may not."""
    told = request.headers.get("authorization", "")
    client = request.client.host if request.client else None
    role: Role | None = request.session.get("role")
    key, name = request.session.get("key", ""), request.session.get("name", "")
    if told.startswith("Bearer "):
        role = _role(served, told.removeprefix("Bearer ").strip(), client)
        key, name = "program", "a program"
    if role is None:
        raise _RefusedError(401, "open the desk by the link that consist desk printed; this one has no code")
    if changing and role == "reader":
        raise _RefusedError(403, "this link is for looking; ask the host for the other one to change things")
    return Who(key, name or {"host": "the host", "helper": "a helper", "reader": "a guest"}[role], role == "host")


def _role(served: Served, code: str, client: str | None) -> Role:
    if served.codes.waits:
        raise _RefusedError(429, "too many wrong codes were tried; wait a minute")
    role = served.codes.role(code, client)
    if role is None:
        raise _RefusedError(401, "this code is not that of the desk; open the link that consist desk printed last")
    return role


async def _said(request: Request) -> dict[str, Any]:
    """The object in a request's body. Raises where it is too large, too slow or none."""
    body = bytearray()
    try:
        async with asyncio.timeout(BODY_SECONDS):
            async for part in request.stream():
                body += part
                if len(body) > MOST_BODY:
                    raise _RefusedError(413, "this is too much at once; send at most 1 MB")
    except TimeoutError:
        raise _RefusedError(408, "this came too slowly; send it again") from None
    try:
        told = json.loads(bytes(body))
    except (ValueError, RecursionError):
        told = None
    if not isinstance(told, dict):
        raise _RefusedError(422, "found no object of JSON; send one")
    return told


def _whole(told: Mapping[str, Any], name: str, *, may_lack: bool = False) -> int:
    value = told.get(name)
    if value is None and may_lack:
        return -1
    if not isinstance(value, int) or isinstance(value, bool):
        raise _RefusedError(422, f"found no whole number as {name}; say it")
    return value


def _text(told: Mapping[str, Any], name: str, longest: int = 1000) -> str:
    value = told.get(name)
    if not isinstance(value, str) or not 0 < len(tidy(value)) <= longest:
        raise _RefusedError(422, f"found no {name}; say it, in at most {longest} letters")
    return tidy(value)


async def _page(served: Served, request: Request) -> Response:
    """The page; with a code in the address that becomes a cookie first."""
    code = request.query_params.get("code")
    if code is not None:
        client = request.client.host if request.client else None
        try:
            role = _role(served, code, client)
        except _RefusedError as refused:
            return HTMLResponse(_shut(str(refused)), refused.status)
        key = request.session.get("key") or secrets.token_urlsafe(12)
        request.session.update(role=role, key=key, name=request.session.get("name", ""))
        # a page of this desk goes on, not a redirect: a strict cookie is not sent along one from elsewhere
        return HTMLResponse(_resource("enter.html"))
    try:
        who = _who(served, request, changing=False)
    except _RefusedError as refused:
        return HTMLResponse(_shut(str(refused)), refused.status)
    page = _resource("desk.html").format(
        role=request.session.get("role", "reader"),
        mark=mark_of(who.key),
        name=request.session.get("name", ""),
        title=clean(served.desk.session.title),
    )
    return HTMLResponse(page)


def _shut(sentence: str) -> str:
    return _resource("shut.html").format(sentence=sentence)


def _resource(name: str) -> Markup:
    return Markup((files("consist.desk") / "page" / name).read_text(encoding="utf-8"))


async def _file(served: Served, request: Request) -> Response:
    """A file of the page; no other name leads anywhere."""
    _who(served, request, changing=False)
    name = request.url.path.removeprefix("/")
    of_report = files("consist.report.html") / name
    text = of_report.read_text(encoding="utf-8") if name == "page.css" else _resource(name)
    return Response(text, media_type=PAGE[name])


async def _state(served: Served, request: Request) -> Response:
    _who(served, request, changing=False)
    return Response(await served.do(served.state), media_type="application/json")


async def _sheet(served: Served, request: Request) -> Response:
    _who(served, request, changing=False)
    name = request.query_params.get("train", "")
    return HTMLResponse(await served.do(lambda: served.sheet(name)))


async def _events(served: Served, request: Request) -> Response:
    """What is done, as it is done; first of all the revision, so that whoever comes back sees what was missed."""
    _who(served, request, changing=False)
    if served.closed:
        raise _RefusedError(503, "the desk is closing; open it again")
    queue: asyncio.Queue[str | None] = asyncio.Queue(WAITING_EVENTS)
    served.listening.add(queue)

    async def told() -> AsyncIterator[ServerSentEvent]:
        try:
            text: str | None = _here(served)
            yield ServerSentEvent(text, event="here", retry=1000)
            while True:
                try:
                    text = await asyncio.wait_for(queue.get(), HERE_SECONDS)
                except TimeoutError:
                    yield ServerSentEvent(_here(served), event="here")
                    continue
                if text is None:
                    return
                yield ServerSentEvent(text, event="done")
        finally:
            served.listening.discard(queue)

    return EventSourceResponse(told(), send_timeout=BODY_SECONDS)


def _here(served: Served) -> str:
    return json.dumps({"revision": served.desk.revision})


async def _changes(served: Served, request: Request) -> Response:
    who, told = _who(served, request, changing=True), await _said(request)
    said = told.get("changes")
    if not isinstance(said, list):
        raise _RefusedError(422, "found no list of changes; say them")
    revision = _whole(told, "revision")
    changes = [change_of(each) for each in said]
    return await _answered(served, lambda: served.desk.change(who, revision, changes))


async def _undo(served: Served, request: Request) -> Response:
    who, told = _who(served, request, changing=True), await _said(request)
    of = _whole(told, "of", may_lack=True)
    return await _answered(served, lambda: served.desk.undo(who, None if of < 0 else of))


async def _tick(served: Served, request: Request) -> Response:
    who, told = _who(served, request, changing=True), await _said(request)
    task, done = _text(told, "task", longest=2000), told.get("done")
    if not isinstance(done, bool):
        raise _RefusedError(422, "found neither true nor false as done; say which")
    return await _answered(served, lambda: served.desk.tick(who, task, done))


async def _answered(served: Served, act: Callable[[], Done]) -> Response:
    """What was done: the new state with the trains that it changed."""

    def work() -> str:
        done = act()
        return state_text(served.desk, [one.train for one in done.trains])

    return Response(await served.do(work), media_type="application/json")


async def _door(served: Served, request: Request) -> Response:
    _who(served, request, changing=False)
    told = await _said(request)
    car, weight = _text(told, "car", longest=200), str(told.get("weight") or "")
    length = str(told.get("length") or "")
    return JSONResponse(await served.do(lambda: asked_at_door(served.desk.session, car, weight, length)))


async def _log(served: Served, request: Request) -> Response:
    _who(served, request, changing=True)
    run = asked_to_log(await _said(request))
    return JSONResponse({"logged": await served.do(lambda: logged_shown(served.desk.log(run)))})


async def _save(served: Served, request: Request) -> Response:
    who = _who(served, request, changing=True)
    await _said(request)
    await served.do(lambda: served.save(who))
    await served.do(lambda: served.all_anew(who.key))
    return Response(await served.do(served.state), media_type="application/json")


async def _name(served: Served, request: Request) -> Response:
    _who(served, request, changing=False)
    told = await _said(request)
    request.session["name"] = _text(told, "name", longest=LONGEST_NAME)
    return JSONResponse({"name": request.session["name"]})
