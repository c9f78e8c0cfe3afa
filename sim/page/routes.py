"""The routes of a page, as an ASGI application: questions as JSON, its own modules, and files that were made.

A question that can be read is answered with 200, also where the answer is a refusal in words: that a lip cannot be so
long is no fault of the page, and a browser would write it down as one.
"""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager
from pathlib import Path
from threading import Thread
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, Response, StreamingResponse
from starlette.routing import Route

from sim.page import answers
from sim.page.app import Page
from sim.page.guard import TOO_LARGE, TooLargeError
from sim.page.refusal import RefusalError
from sim.page.workspace import StaleError

STATIC = Path(__file__).with_name("static")
SHOWN = {
    ".html": "text/html",
    ".js": "text/javascript",
    ".css": "text/css",
    ".svg": "image/svg+xml",
    ".pdf": "application/pdf",
}
ALONE = {
    ".html": "sandbox allow-scripts allow-modals; default-src 'none'; script-src 'unsafe-inline'; "
    "style-src 'unsafe-inline'; img-src data:; font-src data:",
    ".pdf": "frame-ancestors 'none'",  # browsers show none in a sandbox
}
"""What a file that was made may do: a report is a page of no place, which can ask this server nothing."""


SLOWEST = 20.0  # s for a request to arrive


def application(page: Page) -> Starlette:
    """The routes of a page."""
    calls = {
        "state": page.state,
        "begin": page.begin,
        "edit": page.edit,
        "attempt": page.attempt,
        "text": page.write_text,
        "step": page.step,
        "save": page.save,
        "settle": page.settle,
        "rest": page.rest,
        "behind": page.behind,
        "study": page.study,
        "take": page.take,
        "forms": page.offered,
    }

    told = {"swim": page.swim, "compiling": page.compiling}

    async def whole(call: Callable[..., Any], given: Mapping[str, Any]) -> Response:
        return _json(await run_in_threadpool(call, given))

    async def asked(request: Request) -> Response:
        name = request.path_params["name"]
        call = calls.get(name)
        if call is None and name not in told:
            return _json({"message": "There is nothing of that name."}, 404)
        try:
            given = await asyncio.wait_for(request.json(), SLOWEST)
        except TimeoutError:
            return _json({"message": "This took too long to arrive."}, 408)
        except ValueError:
            return _json({"message": "This is no JSON."}, 400)
        except TooLargeError:
            return _json({"message": TOO_LARGE}, 413)
        if not isinstance(given, dict):
            return _json({"message": "This is no JSON object."}, 400)
        try:
            return await (in_pieces(told[name], given) if call is None else whole(call, given))
        except StaleError:
            state = await run_in_threadpool(page.state, given)
            stale = RefusalError("Changed in another tab meanwhile.", 409)
            return _json(stale.as_data() | {"state": state})
        except RefusalError as refusal:
            return _json(refusal.as_data())
        except (TypeError, ValueError, KeyError, AttributeError) as error:
            return _json({"message": f"This request cannot be read: {error}"}, 400)

    async def static(request: Request) -> Response:
        name = request.path_params.get("name") or "index.html"
        file = (STATIC / name).resolve()
        if STATIC not in file.parents or not file.is_file() or file.suffix not in SHOWN:
            return Response("There is no such file.", 404, media_type="text/plain")
        return FileResponse(file, media_type=SHOWN[file.suffix])

    async def made(request: Request) -> Response:
        name = request.path_params["name"]
        ending = Path(name).suffix
        try:
            content = page.desk.made(request.path_params["number"], name)
        except RefusalError as refusal:
            return Response(str(refusal), refusal.status, media_type="text/plain")
        return Response(content, media_type=SHOWN[ending], headers={"content-security-policy": ALONE[ending]})

    @asynccontextmanager
    async def lifespan(_: Starlette) -> Any:
        Thread(target=page.compile, daemon=True).start()
        yield
        page.close()

    return Starlette(
        routes=[
            Route("/ask/{name}", asked, methods=["POST"]),
            Route("/made/{number:int}/{name}", made, methods=["GET"]),
            Route("/", static),
            Route("/{name:path}", static),
        ],
        lifespan=lifespan,
    )


async def in_pieces(call: Callable[..., Any], given: Mapping[str, Any]) -> Response:
    """The answer of a call that tells it piece by piece: each one a line of JSON, sent as soon as it is there.

    What the call raises before it has told anything is raised here.
    """
    loop, pieces = asyncio.get_running_loop(), asyncio.Queue[bytes | None]()

    def tell(piece: dict[str, Any]) -> None:
        loop.call_soon_threadsafe(pieces.put_nowait, answers.compact(piece) + b"\n")

    async def work() -> None:
        try:
            await run_in_threadpool(call, given, tell)
        finally:
            pieces.put_nowait(None)

    async def lines() -> AsyncIterator[bytes]:
        line = first
        while line is not None:
            yield line
            line = await pieces.get()
        await working

    working = asyncio.create_task(work())
    first = await pieces.get()
    if first is None:
        await working
    return StreamingResponse(lines(), media_type="application/x-ndjson")


def _json(data: Any, status: int = 200) -> Response:
    return Response(answers.compact(data), status, media_type="application/json")
