"""What every test stands on: fresh machine code, no network, repeatable examples."""

import os
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import Phase, settings

# quick is the default everywhere, so a red test is red again on the next machine.
# HYPOTHESIS_PROFILE=full searches with fresh seeds. Compilation makes deadlines meaningless.
settings.register_profile("quick", max_examples=40, derandomize=True, deadline=None, database=None)
settings.register_profile("full", max_examples=2000, deadline=None, print_blob=True)
# For the mutation run: what fails is enough, the smallest example of it is not asked for.
settings.register_profile(
    "no_shrinking",
    settings.get_profile("quick"),
    phases=(Phase.explicit, Phase.generate),
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "quick"))

CHECKOUT = Path(__file__).resolve().parents[1]

LOOPBACK = ("localhost", "::1", "0.0.0.0", "::")  # noqa: S104 - compared with, never bound


def _refuse_unless_loopback(address: Any) -> None:
    """Let UNIX sockets and loopback through; a tuple's first item is the host."""
    if isinstance(address, tuple):
        host = str(address[0])
        if host not in LOOPBACK and not host.startswith("127."):
            raise RuntimeError(f"a test tried to reach {host}: tests use no network")


@pytest.fixture(scope="session", autouse=True)
def no_network() -> Iterator[None]:
    """Refuse every connection of this process that would leave the machine."""
    connect, connect_ex = socket.socket.connect, socket.socket.connect_ex

    def guarded_connect(self: socket.socket, address: Any) -> None:
        _refuse_unless_loopback(address)
        connect(self, address)

    def guarded_connect_ex(self: socket.socket, address: Any) -> int:
        _refuse_unless_loopback(address)
        return connect_ex(self, address)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", guarded_connect)
        patch.setattr(socket.socket, "connect_ex", guarded_connect_ex)
        yield


@pytest.fixture(scope="session")
def checkout() -> Path:
    """Return the folder that holds engine/, service/, batch/ and the sample data."""
    return CHECKOUT
