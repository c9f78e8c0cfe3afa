"""A headless Chromium driven over a pipe by its own DevTools protocol: enough to open a page and look at it.

Nothing is installed for it: commands and answers are JSON texts, each ended by a zero byte, on the browser's file
descriptors 3 and 4 (`--remote-debugging-pipe`).
"""

from __future__ import annotations

import base64
import fcntl
import json
import os
import select
import shutil
import subprocess
import time
from pathlib import Path
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run",
    "--disable-component-update", "--disable-sync", "--disable-quic", "--disable-dev-shm-usage",
    "--hide-scrollbars", "--force-color-profile=srgb", "--remote-debugging-pipe",
)  # fmt: skip
PATIENCE = 20.0  # s for an answer


def installed() -> str | None:
    """Path of a Chromium on this machine, if there is one."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


class BrowserError(Exception):
    """The browser answered with an error, or not at all."""


class Chromium:
    """One browser process with a profile of its own. Use as a context manager."""

    def __init__(self, profile: Path) -> None:
        program = installed()
        if program is None:
            raise BrowserError("no Chromium on this machine")
        to_browser, self._out = _pipe()
        self._in, from_browser = _pipe()
        # the shell puts the pipes' ends where the browser looks for them
        start = f'exec "$@" 3<&{to_browser} 4>&{from_browser}'
        self._process = subprocess.Popen(
            ["bash", "-c", start, "bash", program, *FLAGS, f"--user-data-dir={profile}", "about:blank"],
            pass_fds=(to_browser, from_browser),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_browser)
        os.close(from_browser)
        self._buffer = b""
        self._number = 0
        self._events: list[dict[str, Any]] = []

    def __enter__(self) -> Chromium:
        return self

    def __exit__(self, *_: object) -> None:
        try:
            self.send("Browser.close")
            self._process.wait(5)
        except (BrowserError, OSError, subprocess.TimeoutExpired):
            self._process.kill()
            self._process.wait()
        finally:
            os.close(self._out)
            os.close(self._in)

    def send(self, method: str, session: str | None = None, **params: Any) -> dict[str, Any]:
        """One command and its answer; events that come in between are kept.

        Raises:
            BrowserError: the command failed, or no answer came in time.
        """
        self._number += 1
        number = self._number
        message: dict[str, Any] = {"id": number, "method": method, "params": params}
        if session:
            message["sessionId"] = session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            answer = self._read(end - time.monotonic())
            if answer is None:
                continue
            if answer.get("id") == number:
                if "error" in answer:
                    raise BrowserError(f"{method}: {answer['error']['message']}")
                return dict(answer["result"])
            self._events.append(answer)
        raise BrowserError(f"{method}: no answer within {PATIENCE:g} s")

    def events(self, session: str) -> list[dict[str, Any]]:
        """What has happened in a session so far; each event is handed out once."""
        while (more := self._read(0.0)) is not None:
            self._events.append(more)
        mine = [event for event in self._events if event.get("sessionId") == session]
        self._events = [event for event in self._events if event.get("sessionId") != session]
        return mine

    def _read(self, wait: float) -> dict[str, Any] | None:
        """The next message, or None if none has come whole."""
        while b"\0" not in self._buffer:
            ready, _, _ = select.select([self._in], [], [], max(wait, 0.0))
            if not ready:
                return None
            piece = os.read(self._in, 1 << 20)
            if not piece:
                raise BrowserError("the browser has gone")
            self._buffer += piece
        first, self._buffer = self._buffer.split(b"\0", 1)
        return dict(json.loads(first))

    def page(self, width: int, height: int = 900, scripts: bool = True) -> Page:
        """A new empty page of that size, in CSS pixels."""
        target = self.send("Target.createTarget", url="about:blank")["targetId"]
        session = self.send("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        return Page(self, target, session, width, height, scripts)


def _pipe() -> tuple[int, int]:
    """A pipe (to read from, to write to) whose ends are none of the low numbers that the shell moves them to."""
    ends = os.pipe()
    high = [fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, 10) for end in ends]
    for end in ends:
        os.close(end)
    return high[0], high[1]


class Page:
    """One page, with every request and complaint since it was made."""

    def __init__(
        self, browser: Chromium, target: str, session: str, width: int, height: int, scripts: bool
    ) -> None:
        self._browser, self._target, self._session = browser, target, session
        self.requests: list[str] = []
        self.complaints: list[str] = []
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.send(f"{domain}.enable")
        phone = width < 600
        self.send(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=phone,
        )
        self.send("Emulation.setTouchEmulationEnabled", enabled=phone)
        if not scripts:
            self.send("Emulation.setScriptExecutionDisabled", value=True)

    def send(self, method: str, **params: Any) -> dict[str, Any]:
        """A command to this page."""
        return self._browser.send(method, self._session, **params)

    def open(self, file: Path) -> None:
        """Load a file and wait until it stands."""
        self.send("Page.navigate", url=file.resolve().as_uri())
        end = time.monotonic() + PATIENCE
        while not any(event["method"] == "Page.loadEventFired" for event in self._listen()):
            if time.monotonic() > end:
                raise BrowserError(f"{file} did not load")
            time.sleep(0.02)

    def _listen(self) -> list[dict[str, Any]]:
        events = self._browser.events(self._session)
        for event in events:
            method, said = event["method"], event["params"]
            if method == "Network.requestWillBeSent":
                self.requests.append(said["request"]["url"])
            elif method == "Runtime.exceptionThrown":
                details = said["exceptionDetails"]
                self.complaints.append(details.get("exception", {}).get("description") or details["text"])
            elif method == "Log.entryAdded" and said["entry"]["level"] in ("error", "warning"):
                self.complaints.append(said["entry"]["text"])
            elif method == "Runtime.consoleAPICalled" and said["type"] in ("error", "warning", "assert"):
                self.complaints.append(str(said["args"]))
        return events

    def heard(self) -> list[str]:
        """Errors and warnings so far: scripts, policy, parser."""
        self._listen()
        return self.complaints

    def asked(self) -> list[str]:
        """Addresses asked for so far."""
        self._listen()
        return self.requests

    def value(self, script: str) -> Any:
        """What a JavaScript expression gives, promises waited for.

        Raises:
            BrowserError: it threw.
        """
        answer = self.send("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in answer:
            raise BrowserError(answer["exceptionDetails"]["exception"].get("description", "thrown"))
        return answer["result"].get("value")

    def press(self, key: str, code: str = "", text: str = "") -> None:
        """One key down and up."""
        for kind in ("keyDown", "keyUp"):
            extra = {"text": text} if text and kind == "keyDown" else {}
            self.send("Input.dispatchKeyEvent", type=kind, key=key, code=code or key, **extra)

    def picture(self, path: Path, whole: bool = True) -> None:
        """A screenshot as PNG."""
        answer = self.send("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        path.write_bytes(base64.b64decode(answer["data"]))

    def print_to(self, path: Path) -> None:
        """The page as PDF, as a printer would get it."""
        answer = self.send("Page.printToPDF", preferCSSPageSize=True, printBackground=True)
        path.write_bytes(base64.b64decode(answer["data"]))

    def close(self) -> None:
        """Close it."""
        self._browser.send("Target.closeTarget", targetId=self._target)
