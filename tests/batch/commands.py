"""Run a command of the batch in this process."""

from click.testing import CliRunner, Result

from batch.cli import main


def run(*arguments: object) -> Result:
    """Return how a command ended and what it printed."""
    return CliRunner().invoke(main, [str(each) for each in arguments])
