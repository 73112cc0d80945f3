"""The embedded server: threads over the application, a stop that loses no answer."""

from __future__ import annotations

import select
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

from flask import Flask
from waitress.server import create_server

from noonhold_service.settings import Settings

_DRAIN_S = 30.0
_SPEAK_S = 0.5  # a new connection has as long for its request to arrive


def listen(app: Flask, settings: Settings) -> Any:
    """Take the port, without answering yet.

    Parameters
    ----------
    app : flask.Flask
        Ready.
    settings : Settings
        Where to listen, with how many threads.

    Returns
    -------
    waitress server
        For :func:`serving`.

    Raises
    ------
    OSError
        Where the address or the port cannot be had.
    """
    return create_server(
        app,
        host="127.0.0.1" if settings.host == "localhost" else settings.host,
        port=settings.port,
        threads=settings.threads,
        ident=None,
        # Beyond this the server itself refuses, in plain text; up to it the application does.
        max_request_body_size=4 * settings.max_body_bytes,
        channel_timeout=30,
    )


@contextmanager
def serving(server: Any, settings: Settings) -> Iterator[str]:
    """ProjectionAnswer, and at the end of the block go on until SIGTERM or SIGINT.

    Parameters
    ----------
    server : waitress server
        From :func:`listen`.
    settings : Settings
        For the address as it is told.

    Yields
    ------
    str
        The address, once connections are taken.
    """
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    stop = threading.Event()

    def asked_to_stop(number: int, frame: FrameType | None) -> None:
        stop.set()

    for name in (signal.SIGTERM, signal.SIGINT):
        signal.signal(name, asked_to_stop)
    loop = threading.Thread(target=server.run, name="connections", daemon=True)
    loop.start()
    yield f"http://{host}:{server.effective_port}"
    stop.wait()
    _drain(server)


def _drain(server: Any) -> None:
    """Take no new connection, finish the answers under way, then close."""
    closed = threading.Event()

    def close_listener() -> None:
        # Who has connected has been told that it is heard, though nobody listened yet.
        while select.select([server.socket], [], [], 0.0)[0]:
            server.handle_accept()
        server.accepting = False
        server.del_channel()
        server.socket.close()
        closed.set()

    # The loop's own thread must do it: it may be waiting on that very socket.
    server.trigger.pull_trigger(close_listener)
    closed.wait(_DRAIN_S)
    until = time.monotonic() + _DRAIN_S
    while time.monotonic() < until and _busy(server):
        time.sleep(0.02)
    server.task_dispatcher.shutdown(cancel_pending=False, timeout=5)


def _busy(server: Any) -> bool:
    """Tell whether any connection has a request or an answer in it, or is too new to have one."""
    return any(
        channel.requests
        or channel.total_outbufs_len
        or channel.request is not None
        or time.time() - channel.creation_time < _SPEAK_S
        for channel in list(server.active_channels.values())
    )
