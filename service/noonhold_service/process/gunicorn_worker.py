"""A worker of gunicorn's around the embedded server: gunicorn forks, watches and replaces it."""

from __future__ import annotations

import os
import threading
from contextlib import suppress
from queue import Empty, SimpleQueue
from types import FrameType

from flask import Flask
from gunicorn.workers.base import Worker

from noonhold_service.process.http_server import Server

_BEAT_S = 1.0


class ServerWorker(Worker):
    """Serves the listener of gunicorn's arbiter with :class:`Server`."""

    def init_process(self) -> None:
        """Make what belongs to this process alone; then run."""
        # A signal's handler may interrupt the very thread that waits: this queue is made for it.
        self.signals: SimpleQueue[int] = SimpleQueue()
        super().init_process()

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Finish the answers under way, then end."""
        self.alive = False
        self.signals.put(sig)

    def run(self) -> None:
        """Serve until the arbiter asks to stop."""
        app = self.wsgi
        if not isinstance(app, Flask):
            raise TypeError("this worker serves noonhold's application alone")
        settings = app.extensions["noonhold"].settings
        servers = [Server(app, settings, each.sock) for each in self.sockets]
        loops = [threading.Thread(target=each.run, daemon=True) for each in servers]
        for loop in loops:
            loop.start()
        while self.alive and self.ppid == os.getppid() and all(x.is_alive() for x in loops):
            self.notify()
            with suppress(Empty):
                self.signals.get(timeout=_BEAT_S)
        for server in servers:
            server.drain(self.notify)
