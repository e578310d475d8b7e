"""What stands before every request: only this machine's own page may ask, and only what is small enough.

Any web site can make a browser knock at a loopback address. So the Host must be the address the server printed, an
Origin must be the server's own (or that of a development page named at the start), and whatever changes something
carries a header that a foreign page cannot send without asking first, which is refused.
"""

from __future__ import annotations

from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from planewright.web.api import Refusal

OWN_HEADER = b"x-planewright"
CHANGING = ("POST", "PUT", "PATCH", "DELETE")
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "font-src 'self'; connect-src 'self'; worker-src 'self' blob:; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'none'"
)
HEADERS: tuple[tuple[bytes, bytes], ...] = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
LARGEST = 6_000_000
UPLOAD = 4_000_000


def own_hosts(port: int) -> frozenset[str]:
    """The names under which the server may be asked."""
    return frozenset({f"127.0.0.1:{port}", f"localhost:{port}"})


class LocalOnly:
    """Refuses every request that does not come from the server's own page."""

    def __init__(self, app: ASGIApp, port: int, pages: Iterable[str] = ()) -> None:
        """``port``: of the server. ``pages``: further origins (host:port) a developer named."""
        self.app, self.hosts = app, own_hosts(port)
        self.origins = self.hosts | frozenset(pages)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request or socket."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        why = self.refused(scope)
        if why:
            await (close_socket(receive, send) if scope["type"] == "websocket" else answer(send, 403, why))
            return
        await self.app(scope, receive, with_headers(send) if scope["type"] == "http" else send)

    def refused(self, scope: Scope) -> str:
        """Why a request is refused; "" when it is not."""
        headers: dict[bytes, bytes] = dict(scope["headers"])
        host = headers.get(b"host", b"").decode("latin-1")
        origin = headers.get(b"origin")
        if host not in self.hosts and host not in self.origins:
            return "This server answers its own page only."
        if origin is not None and urlsplit(origin.decode("latin-1")).netloc not in self.origins:
            return "Another page may not ask this server."
        if scope["type"] == "websocket" and origin is None:
            return "A page names its origin."
        if scope["type"] == "http":
            return self._by_another_page(scope, headers)
        return ""

    @staticmethod
    def _by_another_page(scope: Scope, headers: dict[bytes, bytes]) -> str:
        """Why a plain request is refused: asked by another page's script or picture, or a change without the header."""
        site = headers.get(b"sec-fetch-site", b"same-origin")
        if site not in (b"same-origin", b"none") and scope["path"].startswith("/api/"):
            return "Another page may not ask this server."
        if scope["method"] in CHANGING and headers.get(OWN_HEADER) != b"1":
            return "Only the page itself changes something."
        return ""


def with_headers(send: Send) -> Send:
    """Every answer carries the policy: no script but the page's own, nothing from outside."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            given = {name for name, _ in message["headers"]}
            message = {
                **message,
                "headers": [*message["headers"], *(one for one in HEADERS if one[0] not in given)],
            }
        await send(message)

    return sending


async def answer(send: Send, status: int, says: str) -> None:
    """A refusal as JSON."""
    body = Refusal(says=says).model_dump_json().encode()
    head = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode()), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": head})
    await send({"type": "http.response.body", "body": body})


async def close_socket(receive: Receive, send: Send) -> None:
    """Refuse a socket before it is opened."""
    await receive()
    await send({"type": "websocket.close", "code": 1008})
