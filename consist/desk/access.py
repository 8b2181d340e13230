"""Who may come to the desk: codes in links, the hosts that it is asked by, and how often a wrong code is tried.

A link's code is shown once; it becomes a cookie, and leaves the address bar. The code of the desk lets its holder
change things, that of the guests' link lets them look. Whoever has the first on the machine where the desk runs is
the host, who may undo what others did.
"""

from __future__ import annotations

import ipaddress
import secrets
import socket
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Literal

from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["Codes", "Guard", "Role", "hosts_of", "own_address"]

Role = Literal["host", "helper", "reader"]
CODE_BYTES = 16
WRONG_A_MINUTE = 50
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""What the page may load; source: W3C CSP Level 3. A sheet's drawings carry styles of their own, and no script."""
HEADERS = {
    "content-security-policy": POLICY,
    "referrer-policy": "no-referrer",
    "x-content-type-options": "nosniff",
    "cache-control": "no-store",
    "cross-origin-resource-policy": "same-origin",
}


@dataclass
class Codes:
    """The codes of a desk's links, and the wrong ones tried in the last minute."""

    desk: str = field(default_factory=lambda: secrets.token_urlsafe(CODE_BYTES))
    guests: str | None = None

    def __post_init__(self) -> None:
        self._tries, self._most = MovingWindowRateLimiter(MemoryStorage()), RateLimitItemPerMinute(WRONG_A_MINUTE)

    @property
    def waits(self) -> bool:
        """Whether so many wrong codes were tried that no code is looked at for a while."""
        return not self._tries.test(self._most)

    def role(self, code: str, client: str | None) -> Role | None:
        """What whoever has a code may do, coming from an address; None for a wrong code, which counts."""
        if secrets.compare_digest(code.encode(), self.desk.encode()):
            return "host" if _is_here(client) else "helper"
        if self.guests is not None and secrets.compare_digest(code.encode(), self.guests.encode()):
            return "reader"
        self._tries.hit(self._most)
        return None


def _is_here(client: str | None) -> bool:
    with suppress(ValueError):
        return client is not None and ipaddress.ip_address(client).is_loopback
    return False


class Guard:
    """Refuses what comes under a foreign host or from a foreign page, and says what a page of the desk may load."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        self._app, self._hosts = app, hosts
        self._origins = frozenset(f"http://{host}" for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        headers = Headers(scope=scope)
        if headers.get("host", "") not in self._hosts or not self._own_page(headers):
            refused = JSONResponse({"error": "this desk is not open under that name, or to that page"}, 403)
            await refused(scope, receive, guarded)
            return
        await self._app(scope, receive, guarded)

    def _own_page(self, headers: Mapping[str, str]) -> bool:
        origin = headers.get("origin")
        return origin is None or origin in self._origins


def own_address() -> str | None:
    """The address of this machine in its network; None where it is in none. Nothing is sent."""
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("10.255.255.255", 1))
        address = str(probe.getsockname()[0])
        return None if ipaddress.ip_address(address).is_loopback else address
    return None


def hosts_of(port: int, address: str | None = None) -> frozenset[str]:
    """The hosts that a desk at a port is asked by: this machine, and its `address` where its network may reach it."""
    names = ("127.0.0.1", "localhost", *(() if address is None else (address,)))
    return frozenset(f"{name}:{port}" for name in names)
