"""An application behind a real socket of loopback, for those who must come in from outside."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from flask import Flask
from werkzeug.serving import make_server


@contextmanager
def listening(app: Flask) -> Iterator[str]:
    """ProjectionAnswer on a free port as long as the block lasts.

    Yields
    ------
    str
        Its address, for example ``http://127.0.0.1:40123``.
    """
    server = make_server("127.0.0.1", 0, app, threaded=True)
    loop = threading.Thread(target=server.serve_forever, daemon=True)
    loop.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        loop.join()
        server.server_close()
