"""A headless Chromium, driven over its DevTools pipe: no driver and no library in between."""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
from pathlib import Path
from types import TracebackType
from typing import Any, Self

PROGRAM = next(
    (
        found
        for name in ("chromium", "chromium-browser", "google-chrome")
        if (found := shutil.which(name))
    ),
    None,
)
_MOUSE = "Input.dispatchMouseEvent"


class Browser:
    """One page of a headless browser. Messages are JSON ended by a zero byte (file 3 in, 4 out)."""

    def __init__(
        self, profile: Path, width: int = 1280, height: int = 800, *, dark: bool = False
    ) -> None:
        assert PROGRAM is not None
        read_in, self._out = os.pipe()
        self._in, write_out = os.pipe()

        # The shell puts the pipe's ends where the browser looks for them.
        hand_over = f'exec "$0" "$@" 3<&{read_in} 4>&{write_out}'
        self._process = subprocess.Popen(
            [
                "bash", "-c", hand_over,
                PROGRAM, "--headless=new", "--no-sandbox", "--disable-gpu", "--no-first-run",
                "--hide-scrollbars", "--remote-debugging-pipe", f"--user-data-dir={profile}",
                f"--window-size={width},{height}", "about:blank",
            ],
            pass_fds=(read_in, write_out),
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        os.close(read_in)
        os.close(write_out)
        self._buffer = b""
        self._number = 0
        self._session = ""
        self.complaints: list[str] = []
        targets = self.send("Target.getTargets")["targetInfos"]
        page = next(target for target in targets if target["type"] == "page")
        attached = self.send("Target.attachToTarget", targetId=page["targetId"], flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Runtime", "Log"):
            self.send(f"{domain}.enable")
        self.send(
            "Emulation.setDeviceMetricsOverride",
            width=width, height=height, deviceScaleFactor=1, mobile=False,
        )  # fmt: skip
        if dark:
            feature = {"name": "prefers-color-scheme", "value": "dark"}
            self.send("Emulation.setEmulatedMedia", features=[feature])

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._process.kill()
        self._process.wait()
        os.close(self._in)
        os.close(self._out)

    def send(self, method: str, **params: Any) -> dict[str, Any]:
        """Ask the browser and wait for its answer; complaints of the page are kept."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        while True:
            found = self._next()
            if found.get("id") == self._number:
                assert "error" not in found, found
                return dict(found["result"])

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._buffer:
            part = os.read(self._in, 1 << 20)
            assert part, "the browser went away"
            self._buffer += part
        text, _, self._buffer = self._buffer.partition(b"\0")
        message: dict[str, Any] = json.loads(text)
        self._note(message)
        return message

    def _note(self, message: dict[str, Any]) -> None:
        params = message.get("params", {})
        if message.get("method") == "Runtime.exceptionThrown":
            self.complaints.append(json.dumps(params["exceptionDetails"])[:400])
        elif message.get("method") == "Log.entryAdded" and params["entry"]["level"] == "error":
            self.complaints.append(params["entry"]["text"])
        elif message.get("method") == "Runtime.consoleAPICalled" and params["type"] == "error":
            self.complaints.append(json.dumps(params["args"])[:400])

    def open(self, page: Path) -> None:
        """Load a page from disk and wait until it is done."""
        self.send("Page.navigate", url=page.resolve().as_uri())
        while self._next().get("method") != "Page.loadEventFired":
            pass
        self.settle()

    def settle(self) -> None:
        """Wait for two frames, so that what was asked for is drawn."""
        self.value(
            "new Promise(r => requestAnimationFrame(() => requestAnimationFrame(() => r(1))))"
        )

    def value(self, script: str) -> Any:
        """Evaluate ``script`` in the page."""
        found = self.send(
            "Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True
        )
        assert "exceptionDetails" not in found, found
        return found["result"].get("value")

    def click(self, x: float, y: float) -> None:
        """Click at a place of the window."""
        for kind in ("mousePressed", "mouseReleased"):
            self.send(_MOUSE, type=kind, x=x, y=y, button="left", clickCount=1)
        self.settle()

    def point(self, x: float, y: float) -> None:
        """Move the pointer."""
        self.send(_MOUSE, type="mouseMoved", x=x, y=y)
        self.settle()

    def press(self, key: str) -> None:
        """Press a key."""
        text = key if len(key) == 1 else ""
        self.send("Input.dispatchKeyEvent", type="keyDown", key=key, text=text)
        self.send("Input.dispatchKeyEvent", type="keyUp", key=key)
        self.settle()

    def picture(self, file: Path) -> None:
        """Take a picture of the window."""
        file.write_bytes(base64.b64decode(self.send("Page.captureScreenshot")["data"]))
