"""gunicorn's settings: compile once and check, then fork.

``gunicorn -c python:noonhold_service.process.gunicorn_conf``; the address, the number of workers
and the like may be overruled on its command line.
"""

import os

from noonhold_service.http.request_log import log_to_stderr
from noonhold_service.settings import from_environment

_settings = from_environment()
wsgi_app = "noonhold_service.process.app:create_ready_app()"
bind = f"{_settings.host}:{_settings.port}"
# Threads take the connections that a worker has no core for yet: what only waits in the queue of
# the listener is lost when it closes, what a worker took is answered before it ends.
worker_class = "gthread"
threads = _settings.threads
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


def when_ready(server: object) -> None:
    """Let the lines of requests be seen; the workers that are forked after this inherit it."""
    log_to_stderr()
