"""Who may ask these pages: this computer's own browser, from these pages, with requests of a bounded size.

A page of somebody else's, open in the same browser, can send requests here and, by a name that it lets point to this
computer, read answers. So a request must name one of our hosts, and whatever changes something or opens a websocket
must come from a page of ours (RFC 6454 origin; RFC 6455, 10.2, from memory).
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any
from urllib.parse import urlsplit

__all__ = ["HOST", "MOST_SENT", "Guard"]

HOST = "127.0.0.1"
"""The only address that is listened on."""
MOST_SENT = 2_000_000
"""How many bytes a request may carry: a file of the largest size that is read, and what goes with it (our choice)."""

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Message, Receive, Send], Awaitable[None]]

_PAGES = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self'; frame-src 'self'; object-src 'none'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'self'"
)
"""What a page of ours may load: nothing of any other host. NiceGUI's scripts are made of text in the browser."""
_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
)


class Guard:
    """Passes on what the browser on this computer asks from our own pages, and refuses the rest."""

    def __init__(self, app: App, port: int) -> None:
        self._app = app
        self._hosts = {f"{name}:{port}" for name in (HOST, "localhost")}

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        """Answer or pass on one request."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        refused = self._refused(scope)
        if refused:
            await _refuse(scope, receive, send, *refused)
            return
        bounded = _Bounded(receive)
        await self._app(scope, bounded, _with_headers(send) if scope["type"] == "http" else send)

    def _refused(self, scope: Message) -> tuple[int, str] | None:
        """Give why a request is not passed on; None where it is."""
        headers = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]}
        host, origin = headers.get("host", ""), headers.get("origin")
        if host not in self._hosts:
            return 421, "These pages answer under their own address only."
        own = origin is not None and urlsplit(origin).netloc == host and urlsplit(origin).scheme == "http"
        if origin is not None and not own:
            return 403, "These pages answer their own pages only."
        if origin is None and headers.get("sec-fetch-site", "none") not in ("none", "same-origin"):
            return 403, "These pages answer their own pages only."
        changes = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        if changes and not own:
            return 403, "What changes something must come from these pages."
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > MOST_SENT:
            return 413, f"More than {MOST_SENT / 1e6:.0f} MB; files for these pages have a few kB."
        return None


class _Bounded:
    """Hands on what is received, and ends a request that carries more than it may without having said so."""

    def __init__(self, receive: Receive) -> None:
        self._receive, self._had = receive, 0

    async def __call__(self) -> Message:
        message = await self._receive()
        if message["type"] == "http.request":
            self._had += len(message.get("body", b""))
            if self._had > MOST_SENT:
                return {"type": "http.disconnect"}
        return message


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            given = list(message.get("headers", ()))
            names = {name.lower() for name, _ in given}
            own = [*_HEADERS, (b"content-security-policy", _PAGES.encode())]
            message = {**message, "headers": [*given, *(pair for pair in own if pair[0] not in names)]}
        await send(message)

    return sent


async def _refuse(scope: Message, receive: Receive, send: Send, status: int, words: str) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008, "reason": words})
        return
    body = words.encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
    headers.append((b"connection", b"close"))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
