"""The service's commands under ``noonhold``, named without being imported."""

from __future__ import annotations

from typing import Final

from noonhold.command_line import LazyCommand

_IN: Final = "noonhold_service.process.service_commands:"
COMMANDS: Final = (
    LazyCommand("serve", _IN + "serve", "Start the HTTP service and the page."),
    LazyCommand("openapi", _IN + "openapi", "Write the API description and its examples."),
)
