"""The command group as an object, for the manual."""

from noonhold.command_line import command_group

group = command_group()
