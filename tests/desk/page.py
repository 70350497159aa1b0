"""The desk's page in a headless browser: what a person sees and does."""

from __future__ import annotations

import time
from pathlib import Path

from tests.look.browser import Browser


class DeskPage(Browser):
    """A tablet that looks at the desk."""

    def __init__(self, profile: Path, width: int = 1180, height: int = 820) -> None:
        super().__init__(profile, width, height)

    def go(self, url: str) -> None:
        """Load the page and wait until it is live."""
        self.send("Page.navigate", url=url)
        while self._next().get("method") != "Page.loadEventFired":
            pass

    def text(self, selector: str) -> str:
        """Give the words of what is visible there."""
        return str(self.value(f"(document.querySelector({selector!r}) || {{}}).innerText || ''"))

    def until(self, script: str, seconds: float = 40) -> object:
        """Wait until ``script`` holds in the page."""
        end = time.monotonic() + seconds
        while not (found := self.asked(script)):
            assert time.monotonic() < end, f"never came: {script}\n{self.text('body')}"
            time.sleep(0.05)
        return found

    def asked(self, script: str) -> object:
        """Evaluate ``script``; None while another page is being loaded."""
        try:
            return self.value(script)
        except AssertionError as error:
            if "navigated" in str(error) or "context" in str(error):
                return None
            raise

    def until_says(self, selector: str, words: str) -> None:
        """Wait until these words stand there."""
        self.until(
            f"(document.querySelector({selector!r}) || {{innerText: ''}}).innerText"
            f".includes({words!r})"
        )

    def write(self, text: str) -> None:
        """Type a text where the focus is."""
        self.send("Input.insertText", text=text)

    def press_key(self, key: str, code: int) -> None:
        """Press a key that acts in the browser itself."""
        text = "\r" if key == "Enter" else ""
        for kind in ("keyDown", "keyUp"):
            self.send(
                "Input.dispatchKeyEvent", type=kind, key=key, code=key,
                windowsVirtualKeyCode=code, text=text if kind == "keyDown" else "",
            )  # fmt: skip

    def tap(self, act: str, within: str = "body") -> None:
        """Touch the middle of a button, by what it does."""
        button = f"document.querySelector({within!r}).querySelector('[data-act={act}]')"
        self.until(f"{button} && !{button}.disabled && {button}.offsetWidth > 0")
        self.until(f"performance.now() - {button}.dataset.since > SETTLES")
        x, y = self.value(
            f"(() => {{ const b = {button}; b.scrollIntoView({{block: 'center'}}); "
            "const r = b.getBoundingClientRect(); "
            "return [r.x + r.width / 2, r.y + r.height / 2]; })()"
        )
        self.click(x, y)
