"""Exit status of a command whose output goes nowhere: ``tailweight … | head``, or a drive that is full."""

from __future__ import annotations

import argparse
import errno
import os
import sys
from collections.abc import Callable
from typing import IO

EXIT_NO_OUTPUT = 3
"""What was asked for could not be printed, or no window can be opened."""

_NOWHERE = frozenset((errno.EPIPE, errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EBADF))


class Parser(argparse.ArgumentParser):
    """Prints its help as anything else is printed; the one it is made from keeps silent where nobody takes the help."""

    def print_help(self, file: IO[str] | None = None) -> None:
        """Print the help; an `OSError` where it goes nowhere."""
        print(self.format_help(), end="", file=file)


def of_printing(command: Callable[[], int]) -> int:
    """The exit status of a command that prints; `EXIT_NO_OUTPUT`, without a word, where nobody takes what it prints.

    Faults of files that a command reads or writes never come here: they are `engine.base.errors.TailweightError`.
    """
    try:
        try:
            return command()
        finally:
            _flush()
    except OSError as error:
        if error.errno not in _NOWHERE:
            raise
        _throw_the_rest_away()
        return EXIT_NO_OUTPUT


def _flush() -> None:
    if sys.stdout is not None:
        sys.stdout.flush()


def _throw_the_rest_away() -> None:
    """Let Python's own flush at the end find somewhere to write to."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            try:
                stream.flush()
            except OSError:
                os.dup2(nowhere, stream.fileno())
