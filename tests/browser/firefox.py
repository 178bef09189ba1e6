"""Firefox of the machine, driven by WebDriver BiDi over its own socket: a W3C protocol, no driver program between.

Only what the tests need: open, look, tap, type. https://www.w3.org/TR/webdriver-bidi/
"""

import asyncio
import json
import re
import shutil
import subprocess
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import Any

import aiohttp

FIREFOX = shutil.which("firefox-esr") or shutil.which("firefox")
SECONDS = 60
TRIES = 3

# in the page: bring the thing to the middle; whether it lay still for two frames and is what a finger would hit
_BRING = """
    if (!one || document.readyState !== 'complete' || document.fonts.status !== 'loaded') return false;
    one.scrollIntoView({block: 'center', behavior: 'instant'});
    const box = () => JSON.stringify(one.getBoundingClientRect());
    const frame = () => new Promise(requestAnimationFrame);
    const before = box(); await frame(); await frame();
    if (box() !== before) return false;
    const {x, y, width, height} = one.getBoundingClientRect();
    const hit = document.elementFromPoint(x + width / 2, y + height / 2);
    return one.contains(hit) || hit?.contains(one) || hit?.closest('label')?.control === one;
"""
_MIDDLE = "const {x, y, width, height} = one.getBoundingClientRect(); return [x + width / 2, y + height / 2];"
_FIELD = (
    "const one = [...document.querySelectorAll('label')].find("
    "one => one.innerText.trim() === words && one.offsetParent).control;"
)


class Firefox:
    """One page of a running Firefox, as a person uses it."""

    def __init__(self, socket: aiohttp.ClientWebSocketResponse, loop: asyncio.AbstractEventLoop) -> None:
        self._socket, self._loop, self._numbers = socket, loop, count(1)
        self.said: list[str] = []  # errors of the console
        self._context = ""

    def begin(self, width: int, height: int) -> None:
        self._send("session.new", {"capabilities": {}})
        self._context = self._send("browsingContext.getTree", {})["contexts"][0]["context"]
        self._send("session.subscribe", {"events": ["log.entryAdded"]})
        self._send(
            "browsingContext.setViewport", {"context": self._context, "viewport": {"width": width, "height": height}}
        )

    def open(self, address: str) -> None:
        self._send("browsingContext.navigate", {"context": self._context, "url": address, "wait": "complete"})

    def look(self, function: str, *values: str) -> Any:
        """The JSON of what a function in the page gives."""
        words = {
            "functionDeclaration": f"async (...values) => JSON.stringify(await ({function})(...values))",
            "arguments": [{"type": "string", "value": one} for one in values],
            "target": {"context": self._context},
            "awaitPromise": True,
        }
        got = self._send("script.callFunction", words)
        assert got["type"] == "success", got
        return json.loads(got["result"].get("value", "null"))

    def wait(self, function: str, *values: str) -> None:
        """Until the function in the page says yes."""
        for _ in range(SECONDS * 10):
            try:
                if self.look(function, *values):
                    return
            except (AssertionError, RuntimeError):  # the page is just being left
                pass
            self._loop.run_until_complete(asyncio.sleep(0.1))
        raise AssertionError(
            f"never so: {function} {values}; the page says {self.look('() => document.body.innerText')[:800]}"
        )

    def tap(self, function: str, *values: str) -> None:
        """Press the middle of the thing that a function finds, once it lies still and nothing lies on it."""
        self.wait(f"async (...values) => {{ const one = ({function})(...values); {_BRING} }}", *values)
        x, y = (
            round(one)
            for one in self.look(f"(...values) => {{ const one = ({function})(...values); {_MIDDLE} }}", *values)
        )
        self._point(
            [
                {"type": "pointerMove", "x": x, "y": y},
                {"type": "pointerDown", "button": 0},
                {"type": "pointerUp", "button": 0},
            ]
        )

    def press(self, words: str) -> None:
        """Tap the button or link of these words."""
        self.tap(
            "words => [...document.querySelectorAll('button, a, label.chip, summary')].find("
            "one => one.innerText?.trim().startsWith(words) && one.offsetParent)",
            words,
        )

    def type(self, label: str, text: str) -> None:
        """Type into the field of a label, over what is there; typed again where the browser dropped a key."""
        for _ in range(TRIES):
            self.tap(f"words => {{ {_FIELD} return one }}", label)
            self.look(f"words => {{ {_FIELD} one.focus(); one.select?.(); return true }}", label)
            keys = [{"type": kind, "value": sign} for sign in text for kind in ("keyDown", "keyUp")]
            self._act([{"type": "key", "id": "keys", "actions": keys}])
            if self.look(f"words => {{ {_FIELD} return one.value }}", label) == text:
                return
        raise AssertionError(f"{label}: {text!r} never stood in the field")

    def point(self, x: float, y: float) -> None:
        """Press at a place of the window [px]."""
        self.drag((x, y))

    def drag(self, *places: tuple[float, float]) -> None:
        """Press at a place, move over the others, let go at the last [px]."""
        moves = [{"type": "pointerMove", "x": round(x), "y": round(y), "duration": 60} for x, y in places]
        down, up = {"type": "pointerDown", "button": 0}, {"type": "pointerUp", "button": 0}
        self._point([moves[0], down, *moves[1:], up])

    def _point(self, actions: list[Mapping[str, Any]]) -> None:
        self._act([{"type": "pointer", "id": "finger", "parameters": {"pointerType": "mouse"}, "actions": actions}])

    def _act(self, actions: list[Mapping[str, Any]]) -> None:
        self._send("input.performActions", {"context": self._context, "actions": actions})

    def _send(self, method: str, params: Mapping[str, Any]) -> Mapping[str, Any]:
        return self._loop.run_until_complete(asyncio.wait_for(self._ask(method, params), SECONDS))

    async def _ask(self, method: str, params: Mapping[str, Any]) -> Mapping[str, Any]:
        number = next(self._numbers)
        await self._socket.send_json({"id": number, "method": method, "params": params})
        while True:
            got = await self._socket.receive_json()
            if got.get("method") == "log.entryAdded" and got["params"]["level"] == "error":
                self.said.append(got["params"]["text"] or "")
            if got.get("id") == number:
                if got["type"] == "error":
                    raise RuntimeError(f"{method}: {got['message']}")
                return got["result"]


@contextmanager
def firefox(folder: Path, width: int = 1180, height: int = 820) -> Iterator[Firefox]:
    """A Firefox without a window and with a profile of its own, until the block ends."""
    assert FIREFOX
    profile = folder / "profile"
    profile.mkdir()
    quiet = {
        "app.update.enabled": False,
        "datareporting.policy.dataSubmissionEnabled": False,
        "browser.shell.checkDefaultBrowser": False,
    }
    (profile / "user.js").write_text(
        "".join(f"user_pref({json.dumps(k)}, {json.dumps(v)});\n" for k, v in quiet.items())
    )
    words = [FIREFOX, "--headless", "--no-remote", "--profile", str(profile), "--remote-debugging-port", "0"]
    process = subprocess.Popen(words, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True)
    loop = asyncio.new_event_loop()
    session = None
    try:
        address = _address(process)
        session = loop.run_until_complete(_session())
        socket = loop.run_until_complete(session.ws_connect(address + "/session", max_msg_size=0))
        page = Firefox(socket, loop)
        page.begin(width, height)
        yield page
    finally:
        if session:
            loop.run_until_complete(session.close())
        process.terminate()
        process.wait(SECONDS)
        assert process.stderr
        process.stderr.close()
        loop.close()


async def _session() -> aiohttp.ClientSession:
    return aiohttp.ClientSession()


def _address(process: subprocess.Popen) -> str:
    assert process.stderr
    for line in process.stderr:
        if found := re.search(r"WebDriver BiDi listening on (ws://\S+)", line):
            return found[1]
    raise RuntimeError("Firefox ended before it listened")
