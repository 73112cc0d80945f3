"""HTTP over sockets: waitress with our problems as its errors, time-outs, health in no queue.

One server for ``noonhold serve`` and for gunicorn's workers, so that both answer the same to
whatever arrives. A request reaches a thread only when it has arrived whole, so slow clients hold
no thread; one that does not arrive in time is ended.
"""

from __future__ import annotations

import json
import select
import socket
import threading
import time
import uuid
from collections.abc import Callable
from http import HTTPStatus
from typing import Any, Final

from flask import Flask
from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer
from waitress.task import ErrorTask, ThreadedTaskDispatcher
from waitress.utilities import BadRequest

from noonhold_service.http.request_log import log_refused
from noonhold_service.http.response_headers import SAFETY
from noonhold_service.problems import BY_STATUS, MEDIA_TYPE, ProblemResponse, as_document
from noonhold_service.settings import Settings

HEALTH: Final = ("/healthz", "/readyz")
_LINGER_S: Final = 2.0
_DRAIN_S: Final = 30.0
_SPEAK_S: Final = 0.5  # a new connection has as long for its request to arrive


class _Late(BadRequest):
    """The request did not arrive in time."""

    code = 408
    reason = "Request Timeout"


class ProblemTask(ErrorTask):
    """What the server itself refuses, as a problem; then the connection ends."""

    def execute(self) -> None:
        """Write the problem."""
        error = self.request.error
        kind = BY_STATUS.get(error.code) or BY_STATUS[400 if error.code < 500 else 500]
        request_id = uuid.uuid4().hex
        detail = kind.meaning if error.code in (408, 413) or error.code >= 500 else error.body
        body = json.dumps(as_document(ProblemResponse(kind, str(detail)), request_id)).encode()
        self.status = f"{kind.status} {HTTPStatus(kind.status).phrase}"
        self.response_headers.extend(
            [
                ("Content-Type", MEDIA_TYPE),
                ("Cache-Control", "no-store"),
                ("X-Request-ID", request_id),
                *SAFETY.items(),
            ]
        )
        self.set_close_on_finish()
        self.channel.refused = True
        self.content_length = len(body)
        self.write(body)
        log_refused(kind.status, kind.slug, request_id, len(body))


class Channel(HTTPChannel):
    """A connection: whole requests in time, and after a refusal an end that loses no answer."""

    error_task_class = ProblemTask
    request: Any = None
    refused = False
    _answered = False
    _began: float | None = None
    _lingers_until: float | None = None

    def readable(self) -> bool:
        """Tell whether more is to be read; called at every turn of the loop."""
        now = time.monotonic()
        if self._lingers_until is not None:
            if now > self._lingers_until:
                self.will_close = True
            return not self.will_close
        if self.requests or (self.request is None and self._answered):
            self._began = None
        elif self._began is None:
            self._began = now
        elif now - self._began > self.server.read_s and not self.requests:
            self._end_late()
        return bool(super().readable())

    def _end_late(self) -> None:
        if self.request is None:
            # Nothing was asked: there is nobody to answer.
            self.will_close = True
            return
        with self.requests_lock:
            late, self.request = self.request, None
            late.error, late.completed = _Late(""), True
            self.requests.append(late)
            self.server.add_task(self)

    def handle_read(self) -> None:
        """Read; what still arrives after a refusal is thrown away."""
        if self._lingers_until is None:
            super().handle_read()
            return
        try:
            rest = self.recv(self.adj.recv_bytes)
        except OSError:
            rest = b""
        if not rest:
            self.will_close = True

    def handle_close(self) -> None:
        """Close; after a refusal only our side at first, lest a reset overtake the answer."""
        if self.refused and self.connected and self._lingers_until is None:
            try:
                self.socket.shutdown(socket.SHUT_WR)
            except OSError:
                pass
            else:
                self.will_close = self.close_when_flushed = False
                self._lingers_until = time.monotonic() + _LINGER_S
                return
        super().handle_close()

    def service(self) -> None:
        """Answer the next request; the last on this connection where the server stops."""
        if self.server.draining:
            self.end_after_answers()
        super().service()
        self._answered = True

    def end_after_answers(self) -> None:
        """Let every answer that is not begun yet announce the end of the connection."""
        for request in list(self.requests):
            request.headers["CONNECTION"] = "close"


class Server(TcpWSGIServer):
    """A listener, its connections and their threads.

    Parameters
    ----------
    app : flask.Flask
        Ready.
    settings : Settings
        Where to listen, how many threads and connections, how long a request may take to arrive.
    listener : socket.socket, optional
        One that listens already, as gunicorn's workers inherit it.
    """

    channel_class = Channel

    def __init__(
        self, app: Flask, settings: Settings, listener: socket.socket | None = None
    ) -> None:
        self.read_s = settings.read_s
        self.draining = False
        adjustments = Adjustments(
            host="127.0.0.1" if settings.host == "localhost" else settings.host,
            port=settings.port,
            threads=settings.threads,
            ident=None,
            # Beyond this the server itself refuses; up to it the application does.
            max_request_body_size=4 * settings.max_body_bytes,
            connection_limit=settings.max_connections,
            channel_timeout=settings.keep_alive_s,
            cleanup_interval=1,
            asyncore_use_poll=True,
        )
        threads = ThreadedTaskDispatcher()
        threads.set_thread_count(settings.threads)
        # Health stands in no queue: it has a thread of its own.
        self.health_dispatcher = ThreadedTaskDispatcher()
        self.health_dispatcher.set_thread_count(1)
        where = adjustments.listen[0]
        if listener is not None:
            where = (listener.family, listener.type, listener.proto, listener.getsockname())
        super().__init__(
            app,
            None,
            True,
            listener,
            dispatcher=threads,
            adj=adjustments,
            sockinfo=where,
            bind_socket=listener is None,
        )

    def add_task(self, task: Channel) -> None:
        """Queue a connection whose next request is whole."""
        path = getattr(task.requests[0], "path", "") if task.requests else ""
        dispatcher = self.health_dispatcher if path in HEALTH else self.task_dispatcher
        dispatcher.add_task(task)

    def drain(self, beat: Callable[[], None] = lambda: None) -> None:
        """Take no new connection, finish the answers under way, then close.

        Connections that are kept alive stay open for two seconds, for a request that may be on
        its way; its answer announces the end.

        Parameters
        ----------
        beat : callable, optional
            Called all the while, for who watches this process.
        """
        closed = threading.Event()

        def close_listener() -> None:
            # Who has connected counts as accepted, though nobody has read from it yet.
            while select.select([self.socket], [], [], 0.0)[0]:
                self.handle_accept()
            self.accepting = False
            self.draining = True
            for channel in list(self.active_channels.values()):
                channel.end_after_answers()
            self.del_channel()
            self.socket.close()
            closed.set()

        # The loop's own thread must do it: it may be waiting on that very socket.
        self.trigger.pull_trigger(close_listener)
        closed.wait(_DRAIN_S)
        now = time.monotonic()
        while time.monotonic() < now + _DRAIN_S:
            lingers = time.monotonic() < now + _LINGER_S and self.active_channels
            if not lingers and not self._busy():
                break
            beat()
            time.sleep(0.02)
        for dispatcher in (self.task_dispatcher, self.health_dispatcher):
            dispatcher.shutdown(cancel_pending=False, timeout=5)

    def _busy(self) -> bool:
        """Tell whether any connection has a request or an answer in it, or is too new."""
        return any(
            channel.requests
            or channel.total_outbufs_len
            or channel.request is not None
            or time.time() - channel.creation_time < _SPEAK_S
            for channel in list(self.active_channels.values())
        )
