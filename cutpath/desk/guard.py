"""What every request passes before the desk looks at it.

In order: not too many from one address; the Host is this machine's own, so that no foreign name can
be made to point here (DNS rebinding); a body is small; nothing but our own page may ask (Origin and
Sec-Fetch-Site); who asks has a session; a change carries the session's token. Each answer tells the
browser to run nothing but our own files and to show the page in no foreign frame.
"""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Awaitable, Callable, Iterable
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from cutpath.desk.entry import Sessions
from cutpath.desk.limits import RateLimit

TOKEN_HEADER = "x-cutpath-token"
MOST_BODY = 16_384
"""Bytes: the names of a few hundred pieces to cut again."""
_READS = {"GET", "HEAD"}
_OPEN = {"/enter", "/desk.css", "/icon.svg"}
"""What a device without a session may see."""
_HOST = re.compile(r"(\[[0-9a-fA-F:.]+\]|[A-Za-z0-9._-]+)(?::(\d{1,5}))?")
_HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
        "img-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",  # without one, browsers do not say the Origin of a form
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}


@dataclass(frozen=True)
class Door:
    """Where the desk is open: ``port``, ``names`` of this machine, whether a code is asked."""

    port: int
    names: frozenset[str]
    asks_code: bool
    sessions: Sessions = field(default_factory=Sessions)
    requests: RateLimit = field(default_factory=lambda: RateLimit(50, 300))

    @property
    def cookie(self) -> str:
        """Give the cookie's name: browsers keep one jar for all ports of a machine."""
        return f"cutpath-desk-{self.port}"

    def is_own_host(self, host: str) -> bool:
        """Tell whether ``host`` (a Host header) means this machine and port.

        Any address in numbers does when the network is let in: a name can be made to point
        anywhere, a number cannot.
        """
        found = _HOST.fullmatch(host)
        if found is None or int(found[2] or 80) != self.port:
            return False
        name = found[1].lower().strip("[]")
        if name in self.names:
            return True
        try:
            address = ipaddress.ip_address(name)
        except ValueError:
            return False
        return address.is_loopback or self.asks_code


class Guard:
    """The middleware; ``app`` sees only what passed, with ``session`` in its scope's state."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self.app = app
        self.door = door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # nothing of ours
        headers = Headers(scope=scope)
        session = session_of(headers, self.door.cookie)
        scope.setdefault("state", {})["session"] = session
        refusal = self._not_here(scope, headers) or self._not_you(scope, headers, session)
        told = _with_headers(send)
        if refusal is not None:
            await refusal(scope, receive, told)
            return
        await self.app(scope, _bounded(receive), told)

    def _not_here(self, scope: Scope, headers: Headers) -> Response | None:
        """Refuse what nobody may send."""
        door = self.door
        address = scope["client"][0] if scope.get("client") else ""
        if not door.requests.allows(address):
            return _refused(429, "too many requests", {"Retry-After": "2"})
        if not door.is_own_host(headers.get("host", "")):
            return _refused(421, "this name is not this machine's")
        if scope["method"] not in {*_READS, "POST"}:
            return _refused(405, "there is nothing to do that way", {"Allow": "GET, HEAD, POST"})
        if _body_size(headers) > MOST_BODY:
            return _refused(413, "that is too much")
        return None

    def _not_you(self, scope: Scope, headers: Headers, session: str) -> Response | None:
        """Refuse what this device, or this page, may not send."""
        sessions = self.door.sessions
        if not _is_ours(scope, headers):
            return _refused(403, "only the desk's own page may ask that")
        if scope["path"] in _OPEN:
            return None
        if not sessions.is_known(session):
            return self._stranger(scope)
        is_change = scope["method"] == "POST"
        if is_change and not sessions.is_token(session, headers.get(TOKEN_HEADER, "")):
            return _refused(403, "the page is of an earlier desk: load it anew")
        return None

    def _stranger(self, scope: Scope) -> Response | None:
        if scope["path"] == "/" and scope["method"] in _READS:
            return RedirectResponse("/enter", 303) if self.door.asks_code else None
        return _refused(401, "this device has not been let in")


def session_of(headers: Headers, cookie: str) -> str:
    """Give the session that the cookies tell; empty where they tell none."""
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(cookie)
    except CookieError:
        return ""
    return found.value if found is not None else ""


def let_in(response: Response, door: Door, session: str) -> Response:
    """Give the device its session with ``response``."""
    response.set_cookie(door.cookie, session, httponly=True, samesite="strict", path="/")
    return response


def own_names(more: Iterable[str] = ()) -> frozenset[str]:
    """Give the names that a request may call this machine by, in small letters."""
    return frozenset({"localhost", *(name.lower() for name in more)})


def _is_ours(scope: Scope, headers: Headers) -> bool:
    """Tell whether our own page asks; a person may open the first page from anywhere."""
    site = headers.get("sec-fetch-site")
    origin = headers.get("origin")
    own = f"http://{headers.get('host', '')}"
    if scope["method"] == "POST":
        return origin == own and site in {None, "same-origin"}
    if scope["path"] in {"/", "/enter"}:
        return True
    return origin in {None, own} and site in {None, "same-origin", "none"}


def _body_size(headers: Headers) -> int:
    try:
        return int(headers.get("content-length", "0"))
    except ValueError:
        return MOST_BODY + 1


def _bounded(receive: Receive) -> Receive:
    """Cut a body off that is longer than it may be, though it does not say so."""
    taken = 0

    async def bounded() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BODY:
            return {"type": "http.disconnect"}
        return message

    return bounded


def _with_headers(send: Send) -> Callable[[Message], Awaitable[None]]:
    async def told(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers[name] = value
            headers.setdefault("Cache-Control", "no-store")
        await send(message)

    return told


def _refused(status: int, words: str, headers: dict[str, str] | None = None) -> Response:
    return JSONResponse({"error": words}, status, headers)
