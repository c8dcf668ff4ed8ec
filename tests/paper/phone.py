"""A phone for tests: headless Chromium spoken to over a pipe, by the DevTools protocol, without any package.

Messages are JSON with a zero byte behind each (`--remote-debugging-pipe`: it reads descriptor 3, writes 4).
"""

from __future__ import annotations

import base64
import contextlib
import fcntl
import json
import os
import select
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from types import TracebackType
from typing import Any

WIDTH, HEIGHT = 390, 844
"""CSS pixels of a common phone"""
NASTY = "</script><script>alert(1)</script><!-- <script> \" ' & {{plan}} {{title}} \u2028\u2029\x00 吧 ]]>"
"""a text that would break out of a page that took it for markup"""
PATIENCE = 60.0
"""seconds for one answer, on a slow machine"""
_NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
_FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--remote-debugging-pipe",
)
_LAUNCH = (
    "import os, sys; r, w = map(int, sys.argv[1:3]); os.dup2(r, 3); os.dup2(w, 4); os.execv(sys.argv[3], sys.argv[3:])"
)

_DRAWN = "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
_CLICKED = """new Promise((done) => {
    const end = performance.now() + 5000;
    (function look() {
        if (window.clicked || performance.now() > end) requestAnimationFrame(() => requestAnimationFrame(done));
        else setTimeout(look, 5);
    })();
})"""


def browser_path() -> str | None:
    """Return where a Chromium lies, or None."""
    return next(filter(None, map(shutil.which, _NAMES)), None)


class Phone:
    """One page on one phone; every request that it makes is kept in `requests`."""

    def __init__(self, path: str) -> None:
        self._home = tempfile.TemporaryDirectory(prefix="phone-")
        there, self._write = os.pipe()
        self._read, back = os.pipe()
        high = [fcntl.fcntl(fd, fcntl.F_DUPFD, 20) for fd in (there, back)]
        command = [sys.executable, "-c", _LAUNCH, *map(str, high), path, *_FLAGS]
        self._process = subprocess.Popen(
            [*command, f"--user-data-dir={self._home.name}", "about:blank"],
            pass_fds=high,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        for fd in (there, back, *high):
            os.close(fd)
        self._buffer = b""
        self._count = 0
        self._attached: str | None = None
        self._context: str | None = None
        self.requests: list[str] = []
        self.complaints: list[str] = []
        self._document = ""
        """which document the page shows"""
        self._loaded: set[str] = set()
        """documents whose load event came"""

    def __enter__(self) -> Phone:
        self.forget()
        return self

    def forget(self) -> None:
        """Begin again with a phone that keeps nothing and shows nothing.

        A new context, not `localStorage.clear()` in the page: the browser may carry that out only after what
        the next load of the page has written, and wipe it.
        """
        self._attached = None
        if self._context is not None:
            self.ask("Target.disposeBrowserContext", browserContextId=self._context)
        self._context = self.ask("Target.createBrowserContext")["browserContextId"]
        target = self.ask("Target.createTarget", url="about:blank", browserContextId=self._context)["targetId"]
        self._attached = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Network", "Log"):
            self.ask(f"{domain}.enable")
        self.ask("Page.setLifecycleEventsEnabled", enabled=True)
        self.ask("Emulation.setDeviceMetricsOverride", width=WIDTH, height=HEIGHT, deviceScaleFactor=2, mobile=True)
        script = 'addEventListener("click", () => { window.clicked = true; }, true);'
        self.ask("Page.addScriptToEvaluateOnNewDocument", source=script)
        self.ask("Emulation.setTouchEmulationEnabled", enabled=True, maxTouchPoints=2)
        self.requests.clear()
        self.complaints.clear()

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        with contextlib.suppress(Exception):
            self._attached = None
            self.ask("Browser.close")
        for fd in (self._write, self._read):
            os.close(fd)
        try:
            self._process.wait(10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait(10)
        for _ in range(20):  # its children may still be writing
            with contextlib.suppress(OSError):
                self._home.cleanup()
                break
            time.sleep(0.2)

    def ask(self, method: str, **params: Any) -> dict[str, Any]:
        """Send a command and return its result; events that come before it are noted."""
        return self._result(method, self._send(method, **params))

    def _send(self, method: str, **params: Any) -> int:
        self._count += 1
        message = {"id": self._count, "method": method, "params": params}
        if self._attached:
            message["sessionId"] = self._attached
        os.write(self._write, json.dumps(message).encode() + b"\0")
        return self._count

    def _result(self, method: str, count: int) -> dict[str, Any]:
        while True:
            found = self._next()
            if found.get("id") == count:
                if "error" in found:
                    raise RuntimeError(f"{method}: {found['error']}")
                return dict(found["result"])
            self._note(found)

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._buffer:
            ready, _, _ = select.select([self._read], [], [], PATIENCE)
            part = os.read(self._read, 1 << 16) if ready else b""
            if not part:
                raise RuntimeError("the browser says nothing more")
            self._buffer += part
        one, _, self._buffer = self._buffer.partition(b"\0")
        return dict(json.loads(one))

    def _note(self, event: dict[str, Any]) -> None:
        params = event.get("params", {})
        match event.get("method"):
            case "Network.requestWillBeSent":
                self.requests.append(params["request"]["url"])
            case "Page.frameNavigated" if "parentId" not in params["frame"]:
                self._document = params["frame"]["loaderId"]
            case "Page.lifecycleEvent" if params["name"] == "load":
                self._loaded.add(params["loaderId"])
            case "Runtime.exceptionThrown":
                self.complaints.append(str(params["exceptionDetails"]))
            case "Log.entryAdded":
                self.complaints.append(params["entry"]["text"])

    def open(self, page: Path) -> None:
        """Open a file and wait until it has loaded."""
        self._loading("Page.navigate", url=page.as_uri())

    def reload(self) -> None:
        """Load the page again."""
        self._loading("Page.reload")

    def _loading(self, method: str, **params: Any) -> None:
        """Wait for the load of the next document, not for that of one before it, which may come late."""
        before = self._document
        self.ask(method, **params)
        while self._document == before or self._document not in self._loaded:
            self._note(self._next())
        self.run(_DRAWN)

    def run(self, script: str) -> Any:
        """Return what a script in the page comes to."""
        found = self.ask("Runtime.evaluate", expression=script, returnByValue=True, awaitPromise=True)
        if "exceptionDetails" in found:
            raise RuntimeError(str(found["exceptionDetails"]))
        return found["result"].get("value")

    def tap(self, x: float, y: float) -> None:
        """Touch a place with one finger, and wait for the click that follows."""
        self.run("window.clicked = false")
        # Both are sent before either is answered: on a busy machine half a second may go by between the answers,
        # and a finger that rests so long is no tap.
        kinds = (("touchStart", [{"x": x, "y": y}]), ("touchEnd", []))
        for count in [self._send("Input.dispatchTouchEvent", type=kind, touchPoints=at) for kind, at in kinds]:
            self._result("Input.dispatchTouchEvent", count)
        # The click follows in its own time: on a busy machine late.
        self.run(_CLICKED)

    def tap_on(self, selector: str) -> None:
        """Touch the middle of an element."""
        self.tap(
            *self.run(
                f"(() => {{ const b = document.querySelector({json.dumps(selector)}); "
                "b.scrollIntoView({block: 'center'}); const r = b.getBoundingClientRect(); "
                "return [r.x + r.width / 2, r.y + r.height / 2]; })()"
            )
        )

    def pinch(self, middle: tuple[float, float], start: float, end: float) -> None:
        """Spread or close two fingers about a place, from one distance to another, px."""
        x, y = middle

        def fingers(apart: float) -> list[dict[str, float]]:
            return [{"x": x - apart / 2, "y": y, "id": 0}, {"x": x + apart / 2, "y": y, "id": 1}]

        self.ask("Input.dispatchTouchEvent", type="touchStart", touchPoints=fingers(start))
        for step in range(1, 6):
            apart = start + (end - start) * step / 5
            self.ask("Input.dispatchTouchEvent", type="touchMove", touchPoints=fingers(apart))
        self.ask("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])
        self.run(_DRAWN)

    def drag(self, start: tuple[float, float], across: float) -> None:
        """Draw one finger from a place to the right, px, and rest before it lifts."""
        x, y = start
        self.ask("Input.dispatchTouchEvent", type="touchStart", touchPoints=[{"x": x, "y": y}])
        for step in range(1, 6):
            self.ask("Input.dispatchTouchEvent", type="touchMove", touchPoints=[{"x": x + across * step / 5, "y": y}])
        time.sleep(0.3)  # lifted in motion it would fling, and the next tap would only stop that
        self.ask("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])
        self.run(_DRAWN)

    def picture(self, path: Path) -> None:
        """Keep what the phone shows as a PNG file."""
        path.write_bytes(base64.b64decode(self.ask("Page.captureScreenshot")["data"]))
