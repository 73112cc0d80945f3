"""gunicorn's settings: compile once and check, then fork.

``gunicorn -c python:noonhold_service.process.gunicorn_conf``; the address, the number of workers
and the like may be overruled on its command line.
"""

import os
import shutil
import tempfile
from typing import Any

# Before anything counts: one folder for the counts of all workers, so that each answers for all.
os.environ.setdefault("PROMETHEUS_MULTIPROC_DIR", tempfile.mkdtemp(prefix="noonhold-metrics-"))

from prometheus_client.multiprocess import mark_process_dead

from noonhold_service.http.request_log import log_to_stderr
from noonhold_service.process.app import reload_app
from noonhold_service.settings import from_environment

_settings = from_environment()
wsgi_app = "noonhold_service.process.app:create_ready_app()"
bind = f"{_settings.host}:{_settings.port}"
# gunicorn forks, watches and replaces; HTTP is spoken by the server that `noonhold serve` has too,
# so that both refuse alike, and a slow client holds no thread of either.
worker_class = "noonhold_service.process.gunicorn_worker.ServerWorker"
workers = int(os.environ.get("WEB_CONCURRENCY", os.cpu_count() or 1))
# The kernel is serial, so that forking after it was compiled and run is safe.
preload_app = True
graceful_timeout = 30
# A computation is ended by the application after NOONHOLD_COMPUTE_S, and answered; only a worker
# that hangs for longer than that is replaced.
timeout = int(_settings.compute_s + _settings.wait_s) + 30
# Its control socket wants to write to a home directory; nothing here uses it.
control_socket_disable = True
# Requests are logged by the application.
accesslog = None


def on_reload(server: Any) -> None:
    """Read the folders again at SIGHUP; the workers that are forked after this inherit it."""
    reload_app(server.app.wsgi())


def child_exit(server: object, worker: Any) -> None:
    """Forget what an ended worker had under way."""
    mark_process_dead(worker.pid)  # type: ignore[no-untyped-call]


def on_exit(server: object) -> None:
    """Take the counts away."""
    shutil.rmtree(os.environ["PROMETHEUS_MULTIPROC_DIR"], ignore_errors=True)


def when_ready(server: object) -> None:
    """Let the lines of requests be seen; the workers that are forked after this inherit it."""
    log_to_stderr()
