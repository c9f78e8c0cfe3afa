"""Starts the page's server on the loopback and, if wanted, the browser."""

from __future__ import annotations

import asyncio
import secrets
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import Any

import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from sim.compiled import cache_folder
from sim.page.app import Page
from sim.page.guard import Guard
from sim.page.routes import application

HOST = "127.0.0.1"
MOST_REQUESTS = 64  # at once
MOST_SILENT = 40  # connections, of which some have not asked anything


def serve(
    page: Page,
    port: int = 0,
    say: Callable[[str], None] = print,
    browser: bool = True,
    key: str | None = None,
) -> None:
    """Serve a page until it is stopped.

    Args:
        port: 0 for any that is free.
        say: is handed the address once the server listens.
        browser: open the maker's own.
        key: the random part of the address; made anew if left out.

    Raises:
        OSError: the port is taken.
    """
    key = key or secrets.token_urlsafe(18)
    listener = socket.create_server((HOST, port))
    port = listener.getsockname()[1]
    address = f"http://{HOST}:{port}/{key}/"
    guarded = Guard(application(page), key, port)
    config = uvicorn.Config(
        guarded,
        log_level="error",
        access_log=False,
        server_header=False,
        http=_Crowded,
        limit_concurrency=MOST_REQUESTS,
        timeout_keep_alive=20,
        h11_max_incomplete_event_size=16_384,
        lifespan="on",
    )
    server = _Announcing(config, lambda: _announce(address, say, browser))
    try:
        asyncio.run(server.serve(sockets=[listener]))
    finally:
        page.close()


class _Crowded(H11Protocol):
    """Of many connections one that has asked nothing yet makes room for a new one, so that the page is served.

    What is written is sent at once: without, the second part of an answer waits 40 ms for word that the first has come.
    """

    def connection_made(self, transport: Any) -> None:
        """Take up a connection."""
        super().connection_made(transport)
        transport.get_extra_info("socket").setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        if len(self.connections) > MOST_SILENT:
            silent = (
                one for one in self.connections if one is not self and getattr(one, "cycle", None) is None
            )
            if (one := next(silent, None)) is not None:
                self.connections.discard(one)  # closing takes effect later, and many may come at once
                one.transport.close()


class _Announcing(uvicorn.Server):
    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets=sockets)
        self._ready()


def _announce(address: str, say: Callable[[str], None], browser: bool) -> None:
    say(address)
    if browser:
        webbrowser.open(address)


def drafts_folder() -> Path:
    """Where drafts are kept: beside the compiled code, for this user only."""
    return cache_folder().parent / "drafts"
