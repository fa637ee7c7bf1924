"""A real browser without a screen, driven through its DevTools protocol over a pair of pipes.

Messages are JSON, parted by zero bytes: the browser reads file descriptor 3 and writes 4.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import threading
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Any, Self

_NAMES = ("chromium", "chromium-browser")
_FLAGS = (
    "--headless",
    "--remote-debugging-pipe",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--mute-audio",
)

_PATIENCE_S = 90

Answer = dict[str, Any]


def has_browser() -> bool:
    return _program() is not None


def _program() -> str | None:
    return next((found for name in _NAMES if (found := shutil.which(name))), None)


@dataclass
class Shown:
    """A page that is open: what it asked for, and what it complained about."""

    browser: Browser
    session: str
    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def call(self, method: str, **parameters: Any) -> Answer:
        return self.browser.call(method, self, **parameters)

    def run(self, script: str) -> Any:
        """What an expression gives in the page; a promise is waited for, as if a person had clicked."""
        wanted = {"expression": script, "awaitPromise": True, "returnByValue": True, "userGesture": True}
        answer = self.call("Runtime.evaluate", **wanted)
        if "exceptionDetails" in answer:
            raise AssertionError(answer["exceptionDetails"])
        return answer["result"].get("value")

    def size(self, width: int, height: int) -> None:
        """As wide as a phone, or a desk's screen."""
        metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 600}
        self.call("Emulation.setDeviceMetricsOverride", **metrics)

    def take(self, event: Answer) -> None:
        method, told = event["method"], event["params"]
        if method == "Network.requestWillBeSent":
            self.requests.append(told["request"]["url"])
        elif method == "Log.entryAdded":
            self.complaints.append(told["entry"]["text"])
        elif method == "Runtime.exceptionThrown":
            self.complaints.append(str(told["exceptionDetails"]))
        elif method == "Runtime.consoleAPICalled" and told["type"] in ("error", "warning", "assert"):
            self.complaints.append(str(told["args"]))


class Browser:
    """One process with a profile of its own."""

    def __init__(self, profile: Path) -> None:
        program = _program()
        assert program is not None
        to_browser, ours_out = os.pipe()
        ours_in, from_browser = os.pipe()

        def take_pipes() -> None:
            read, write = os.dup(to_browser), os.dup(from_browser)
            os.dup2(read, 3)
            os.dup2(write, 4)

        self._process = subprocess.Popen(
            [program, *_FLAGS, f"--user-data-dir={profile}", "about:blank"],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            close_fds=False,
            preexec_fn=take_pipes,
        )
        os.close(to_browser)
        os.close(from_browser)
        # A browser that hangs ends, and whoever waits for it hears so.
        self._watch = threading.Timer(_PATIENCE_S, self._process.kill)
        self._watch.daemon = True
        self._watch.start()
        self._out, self._in = os.fdopen(ours_out, "wb", 0), os.fdopen(ours_in, "rb")
        self._count = 0
        self._shown: dict[str, Shown] = {}
        self._loaded: set[str] = set()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._process.poll() is None:
            self._send({"id": 0, "method": "Browser.close"})
        self._process.wait(timeout=20)
        self._watch.cancel()
        self._out.close()
        self._in.close()

    def open(self, page: Path) -> Shown:
        """Opens a file and waits until all of it is there."""
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        shown = self._shown[session] = Shown(self, session)
        for room in ("Page", "Runtime", "Log", "Network"):
            shown.call(f"{room}.enable")
        self._loaded.discard(session)
        shown.call("Page.navigate", url=page.as_uri())
        while session not in self._loaded:
            self._take(self._receive())
        return shown

    def call(self, method: str, shown: Shown | None = None, **parameters: Any) -> Answer:
        self._count += 1
        number = self._count
        to_page = {"sessionId": shown.session} if shown is not None else {}
        self._send({"id": number, "method": method, "params": parameters, **to_page})
        while True:
            message = self._receive()
            if message.get("id") != number:
                self._take(message)
                continue
            if "error" in message:
                raise AssertionError(f"{method}: {message['error']}")
            return dict(message["result"])

    def _take(self, message: Answer) -> None:
        session = message.get("sessionId", "")
        if message.get("method") == "Page.loadEventFired":
            self._loaded.add(session)
        elif session in self._shown and "method" in message:
            self._shown[session].take(message)

    def _send(self, message: Answer) -> None:
        self._out.write(json.dumps(message).encode() + b"\0")

    def _receive(self) -> Answer:
        read = bytearray()
        while (byte := self._in.read(1)) != b"\0":
            if not byte:
                raise AssertionError("the browser went away")
            read += byte
        return dict(json.loads(read))
