"""Run a page from its top to its end, in a folder of its own."""

from __future__ import annotations

import ast
import contextlib
import doctest
import io
import os
import re
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.manual.page_blocks import Block, pairs

CHECKOUT = Path(__file__).resolve().parents[2]
PORTS = ("8080", "8000")  # of the pages; a free one stands for each, as another may have it
_PATIENCE_S = 120.0
_LOOKS_LIKE = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE
_CHECKER = doctest.OutputChecker()


@dataclass
class PageRun:
    """What a page has made so far: a folder, a namespace, a service."""

    folder: Path
    ports: dict[str, str] = field(default_factory=lambda: {each: _free_port() for each in PORTS})
    namespace: dict[str, Any] = field(default_factory=lambda: {"__name__": "__main__"})
    services: list[subprocess.Popen[str]] = field(default_factory=list)

    def run(self, block: Block) -> str:
        """Return what a block prints."""
        text = block.text
        for on_page, taken in self.ports.items():
            text = text.replace(on_page, taken)
        if block.is_file:
            (self.folder / str(block.caption)).write_text(text, encoding="utf-8")
            return ""
        said = self._bash(text) if block.language == "bash" else self._python(text)
        for on_page, taken in self.ports.items():
            said = said.replace(taken, on_page)
        return said

    def _bash(self, text: str) -> str:
        if text.rstrip().endswith("&"):
            return self._serve(text.rstrip().removesuffix("&"))
        done = subprocess.run(
            ["bash", "-euo", "pipefail", "-c", text],  # noqa: S607 - the page's own shell
            cwd=self.folder, env=_environment(), text=True, capture_output=True, check=False,
        )  # fmt: skip
        if done.returncode:
            raise AssertionError(f"{text}exit code {done.returncode}\n{done.stdout}{done.stderr}")
        return done.stdout

    def _serve(self, command: str) -> str:
        is_ours = "noonhold serve" in command
        port = self.ports["8080" if is_ours else "8000"]
        words = command.replace("noonhold serve", "exec noonhold serve")
        with (self.folder / "service.log").open("a", encoding="utf-8") as log:
            service = subprocess.Popen(
                ["bash", "-c", words],  # noqa: S607 - the page's own shell
                cwd=self.folder, env=_environment() | {"NOONHOLD_PORT": port}, text=True,
                stdout=log, stderr=log,
            )  # fmt: skip
        self.services.append(service)
        until = time.monotonic() + _PATIENCE_S
        while time.monotonic() < until and service.poll() is None:
            with contextlib.suppress(OSError):
                path = "readyz" if is_ours else ""
                urllib.request.urlopen(f"http://127.0.0.1:{port}/{path}").close()
                return ""
            time.sleep(0.1)
        raise AssertionError((self.folder / "service.log").read_text(encoding="utf-8"))

    def _python(self, text: str) -> str:
        tree = ast.parse(text)
        last = tree.body.pop() if isinstance(tree.body[-1], ast.Expr) else None
        with contextlib.redirect_stdout(io.StringIO()) as said, contextlib.chdir(self.folder):
            exec(compile(tree, "<page>", "exec"), self.namespace)  # noqa: S102 - our own page
            if isinstance(last, ast.Expr):
                expression = compile(ast.Expression(last.value), "<page>", "eval")
                value = eval(expression, self.namespace)  # noqa: S307 - our own page
                if value is not None:
                    print(value if hasattr(value, "_repr_html_") else repr(value))
        return said.getvalue()

    def stop(self) -> None:
        """End the page's services."""
        for service in self.services:
            service.terminate()
            service.wait(_PATIENCE_S)


def _environment() -> dict[str, str]:
    scripts = Path(sys.executable).parent
    return os.environ | {
        "PATH": f"{scripts}{os.pathsep}{os.environ['PATH']}",
        "CHECKOUT": str(CHECKOUT),
        "COLUMNS": "100",
        "NO_COLOR": "1",
    }


def _free_port() -> str:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return str(found.getsockname()[1])


@contextlib.contextmanager
def page_run(folder: Path) -> Iterator[PageRun]:
    """Give a run of a page, and end what it started."""
    run = PageRun(folder)
    try:
        yield run
    finally:
        run.stop()


def differences(page: Path, folder: Path) -> list[tuple[Block, str]]:
    """Return the outputs of a page that are not what its blocks print, with what they print."""
    found = []
    with page_run(folder) as run:
        for block, shown in pairs(page):
            said = run.run(block)
            if shown is not None and not _CHECKER.check_output(shown.text, said, _LOOKS_LIKE):
                found.append((shown, said))
    return found


def renew(page: Path, folder: Path) -> int:
    """Write what a page's blocks print into the page, and return how many outputs changed."""
    found = differences(page, folder)
    lines = page.read_text(encoding="utf-8").splitlines()
    for block, said in reversed(found):
        kept = [re.sub(r"\s+$", "", line) for line in said.strip("\n").splitlines()]
        lines[block.first : block.last] = kept
    page.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return len(found)
