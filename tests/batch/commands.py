"""Run a command of the batch in this process."""

from click.testing import CliRunner, Result

from noonhold.command_line import command_group


def run(*arguments: object) -> Result:
    """Return how a command ended and what it printed."""
    return CliRunner().invoke(command_group(), [str(each) for each in arguments])
