"""Who may ask: the browser that was handed the key, on this machine, from this page, in small requests."""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable
from typing import Any

Scope = dict[str, Any]
Receive = Callable[[], Awaitable[dict[str, Any]]]
Send = Callable[[dict[str, Any]], Awaitable[None]]

TOO_LARGE = "This is more than the page ever sends."
LARGEST_BODY = 2_000_000  # bytes; a design is a short text
HEADERS = (
    (
        b"content-security-policy",
        b"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
        b"base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
)


class Guard:
    """An ASGI application around another: refuses a wrong key, host, origin or a body that is too large."""

    def __init__(self, app: Any, key: str, port: int) -> None:
        self.app, self.key = app, key
        self.hosts = {f"{name}:{port}".encode() for name in ("127.0.0.1", "localhost")}
        self.origins = {b"http://" + host for host in self.hosts}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        status = self._refused(scope)
        if status:
            await _answer(send, *status)
            return
        path = scope["path"][len(self.key) + 1 :] or "/"
        read = 0

        async def bounded() -> dict[str, Any]:
            nonlocal read
            message = await receive()
            read += len(message.get("body", b""))
            if read > LARGEST_BODY:
                raise TooLargeError
            return message

        async def guarded(message: dict[str, Any]) -> None:
            if message["type"] == "http.response.start":
                given = list(message.get("headers", []))
                names = {name for name, _ in given}
                message["headers"] = given + [header for header in HEADERS if header[0] not in names]
            await send(message)

        await self.app({**scope, "path": path, "raw_path": path.encode()}, bounded, guarded)

    def _refused(self, scope: Scope) -> tuple[int, str] | None:
        headers: dict[bytes, bytes] = dict(scope["headers"])
        if headers.get(b"host", b"") not in self.hosts:
            return 421, "This address is not the bench's own."
        given = scope["path"].split("/", 2)[1]
        if not secrets.compare_digest(given.encode(), self.key.encode()):
            return 403, "The key in the address is not the bench's. Open the address that drytank printed."
        origin = headers.get(b"origin")
        if origin is not None and origin not in self.origins:
            return 403, "Another page may not ask here."
        if scope["method"] == "POST" and origin is None:
            return 403, "Only the bench's own page may change anything."
        if int(headers.get(b"content-length", b"0") or 0) > LARGEST_BODY:
            return 413, TOO_LARGE
        return None


class TooLargeError(Exception):
    """A body larger than the page ever sends."""


async def _answer(send: Send, status: int, text: str) -> None:
    body = text.encode()
    await send(
        {
            "type": "http.response.start",
            "status": status,
            "headers": [
                (b"content-type", b"text/plain; charset=utf-8"),
                (b"content-length", str(len(body)).encode()),
                (b"connection", b"close"),
                *HEADERS,
            ],
        }
    )
    await send({"type": "http.response.body", "body": body})
