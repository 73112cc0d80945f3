"""What a long command does on a signal to stop: end its workers, say so, and exit."""

from __future__ import annotations

import functools
import signal
import sys
import threading
from collections.abc import Callable
from types import FrameType
from typing import Any, NoReturn

import click

_SIGNALS = (signal.SIGINT, signal.SIGTERM)
_BY_SIGNAL = 128  # plus the signal's number: how shells report a program that a signal ended


class StoppedError(BaseException):
    """A signal asked for the end.

    No `Exception`, so that nothing which bears with a bad weather file bears with it, too.

    Parameters
    ----------
    number : int
        The signal's.
    """

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


def ends_on_signals(then: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Return a decorator of commands that end in order on SIGINT and SIGTERM.

    Parameters
    ----------
    then : str
        What a person can do afterwards, in words.

    Returns
    -------
    callable
        The command then leaves its blocks one by one, which ends the workers. A second signal ends
        the process at once; its workers notice that.
    """

    def decorated(command: Callable[..., None]) -> Callable[..., None]:
        @functools.wraps(command)
        def stoppable(*args: Any, **kwargs: Any) -> None:
            if threading.current_thread() is not threading.main_thread():
                command(*args, **kwargs)  # only the main thread may say what a signal does
                return
            # A signal that whoever started this lets be ignored (nohup, a job behind a script's
            # `&`) stays ignored.
            heard = [each for each in _SIGNALS if signal.getsignal(each) is not signal.SIG_IGN]
            before = {number: signal.signal(number, _stop) for number in heard}
            try:
                command(*args, **kwargs)
            except StoppedError as exc:
                name = signal.Signals(exc.number).name
                click.echo(f"stopped by {name}: {then}", err=True)
                sys.exit(_BY_SIGNAL + exc.number)
            finally:
                for number, handler in before.items():
                    signal.signal(number, handler)

        return stoppable

    return decorated


def _stop(number: int, _frame: FrameType | None) -> NoReturn:
    for each in _SIGNALS:
        signal.signal(each, signal.SIG_DFL)
    raise StoppedError(number)
