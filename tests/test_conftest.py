import os
import socket

import numba
import pytest
from hypothesis import settings


def test_numba_reads_the_cache_folder_that_the_tests_name() -> None:
    assert os.environ["NUMBA_CACHE_DIR"] == numba.config.CACHE_DIR


def test_a_connection_off_the_machine_is_refused() -> None:
    # 192.0.2.0/24 is reserved for documentation (RFC 5737): no host answers there.
    with socket.socket() as outward, pytest.raises(RuntimeError, match=r"192\.0\.2\.1"):
        outward.connect(("192.0.2.1", 80))
    with socket.socket() as outward, pytest.raises(RuntimeError, match=r"example\.org"):
        outward.connect_ex(("example.org", 80))


def test_loopback_connects() -> None:
    with (
        socket.create_server(("127.0.0.1", 0)) as server,
        socket.create_connection(server.getsockname(), timeout=5) as client,
    ):
        assert client.getpeername() == server.getsockname()


def test_examples_do_not_depend_on_a_clock() -> None:
    assert settings.default.deadline is None
