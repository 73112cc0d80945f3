"""The embedded server: threads over the application, a stop that loses no answer."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from queue import SimpleQueue
from types import FrameType

from flask import Flask

from noonhold_service.process.http_server import Server
from noonhold_service.settings import Settings


def listen(app: Flask, settings: Settings) -> Server:
    """Take the port; connections wait until :func:`serving` begins.

    Parameters
    ----------
    app : flask.Flask
        Ready.
    settings : Settings
        Where to listen, with how many threads.

    Returns
    -------
    Server
        For :func:`serving`.

    Raises
    ------
    OSError
        Where the address or the port cannot be had.
    """
    return Server(app, settings)


@contextmanager
def serving(
    server: Server, settings: Settings, reload: Callable[[], object] | None = None
) -> Iterator[str]:
    """Answer, and at the end of the block go on until SIGTERM or SIGINT.

    Parameters
    ----------
    server : Server
        From :func:`listen`.
    settings : Settings
        For the address as it is printed.
    reload : callable, optional
        What SIGHUP does; without it SIGHUP is ignored.

    Yields
    ------
    str
        The address, once connections are taken.
    """
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    # A signal's handler may interrupt this very thread: SimpleQueue is made for that.
    signals: SimpleQueue[int] = SimpleQueue()

    def asked(number: int, frame: FrameType | None) -> None:
        signals.put(number)

    for name in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(name, asked)
    loop = threading.Thread(target=server.run, name="connections", daemon=True)
    loop.start()
    yield f"http://{host}:{server.effective_port}"
    while signals.get() == signal.SIGHUP:
        if reload is not None:
            reload()
    server.drain()
