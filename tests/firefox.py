"""A headless Firefox over WebDriver BiDi, which it speaks itself: no driver beside it is needed."""

import itertools
import json
import re
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import websocket

from tests.browser import tool

_LISTENING = re.compile(r"WebDriver BiDi listening on (ws://\S+)")
_PATIENCE_S = 60.0


class Firefox:
    """One window.

    Parameters
    ----------
    address : str
        Of its BiDi socket.
    """

    def __init__(self, address: str) -> None:
        self._socket = websocket.create_connection(
            f"{address}/session", timeout=_PATIENCE_S, suppress_origin=True
        )
        self._numbers = itertools.count(1)
        self.send("session.new", {"capabilities": {}})
        tree = self.send("browsingContext.getTree", {})
        self._window = tree["contexts"][0]["context"]

    def send(self, method: str, parameters: dict[str, Any]) -> Any:
        """Send a command and return its result."""
        number = next(self._numbers)
        self._socket.send(json.dumps({"id": number, "method": method, "params": parameters}))
        while True:
            said = json.loads(self._socket.recv())
            if said.get("id") == number:
                assert said["type"] == "success", said
                return said["result"]

    def open(self, address: str) -> None:
        """Go to an address and wait until it is loaded."""
        self.send(
            "browsingContext.navigate",
            {"context": self._window, "url": address, "wait": "complete"},
        )

    def run(self, expression: str) -> Any:
        """Return what an expression gives, as JSON carries it."""
        result = self.send(
            "script.evaluate",
            {
                "expression": f"(async () => JSON.stringify((await ({expression})) ?? null))()",
                "target": {"context": self._window},
                "awaitPromise": True,
            },
        )
        assert result["type"] == "success", result
        return json.loads(result["result"]["value"])

    def wait(self, expression: str) -> Any:
        """Return the first value of an expression that counts as true."""
        end = time.monotonic() + _PATIENCE_S
        while not (found := self.run(expression)):
            assert time.monotonic() < end, f"waited in vain for {expression}"
            time.sleep(0.1)
        return found

    def close(self) -> None:
        """End the session."""
        self._socket.close()


@pytest.fixture(scope="session")
def firefox(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Firefox]:
    """Return a window with a profile of its own; its tests are left out where there is none."""
    program = tool("firefox-esr", "firefox")
    profile: Path = tmp_path_factory.mktemp("firefox")
    log = profile / "log"
    with log.open("wb") as stream:
        process = subprocess.Popen(
            [program, "--headless", "--profile", str(profile), "--remote-debugging-port", "0"],
            stdout=stream,
            stderr=stream,
        )
    try:
        end = time.monotonic() + _PATIENCE_S
        while not (found := _LISTENING.search(log.read_text("utf-8", "replace"))):
            assert process.poll() is None, log.read_text("utf-8", "replace")[-400:]
            assert time.monotonic() < end, "Firefox does not listen"
            time.sleep(0.2)
        window = Firefox(found[1])
        yield window
        window.close()
    finally:
        process.terminate()
        process.wait(30)
