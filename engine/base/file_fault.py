"""A file or a drive that refuses, in plain words: what happened and where, never the system's number."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from pathlib import Path

from engine.base.errors import RigFileError, readable

GONE = "This place is not there: {place}. It was removed or renamed, or its drive is gone."
NO_ANSWER = "The drive or network share does not answer: {place}."
FAULTY = "The drive reports a fault: {place}."
NO_PERMISSION = "You do not have permission to {use} {place}."
PROTECTED = "The drive is write-protected: {place}."
FULL = "The drive is full: {place}."
TOO_LONG = "The name is too long: {name}."
NO_FILE = "There is a folder or a device of this name: {name}."
IN_USE = "Another program is using this file: {name}."
NOT_USABLE = "This place cannot be used: {place}."


def _numbers(*names: str) -> Iterator[int]:
    """Error numbers by their names; not every system has every one."""
    return (getattr(errno, name) for name in names if hasattr(errno, name))


WORDS: dict[int, str] = {
    **dict.fromkeys(_numbers("ENOENT", "ENOTDIR"), GONE),
    **dict.fromkeys(_numbers("ESTALE", "ENOTCONN", "ETIMEDOUT", "EHOSTDOWN", "EHOSTUNREACH", "ENODEV"), NO_ANSWER),
    **dict.fromkeys(_numbers("ENETDOWN", "ENETUNREACH", "ENXIO", "ECONNRESET", "ECONNREFUSED"), NO_ANSWER),
    **dict.fromkeys(_numbers("ECONNABORTED", "ESHUTDOWN", "EREMOTEIO", "ENOLINK"), NO_ANSWER),
    **dict.fromkeys(_numbers("EIO"), FAULTY),
    **dict.fromkeys(_numbers("EACCES", "EPERM"), NO_PERMISSION),
    **dict.fromkeys(_numbers("EROFS"), PROTECTED),
    **dict.fromkeys(_numbers("ENOSPC", "EDQUOT", "EFBIG"), FULL),
    **dict.fromkeys(_numbers("ENAMETOOLONG"), TOO_LONG),
    **dict.fromkeys(_numbers("EISDIR"), NO_FILE),
    **dict.fromkeys(_numbers("EBUSY", "ETXTBSY", "EAGAIN"), IN_USE),
}
"""What to say of each of the system's error numbers; ``place`` is the file that is read, or the folder written to."""


class FileFault(RigFileError):
    """A file that the system does not let us read or write.

    Attributes
    ----------
    path : Path
        The file.
    gone : bool
        Whether there is no such file or folder.
    words : str
        What happened and where, in plain sentences.
    not_found : bool
        Whether a file to read has no such name, rather than a place that vanished.
    """

    def __init__(self, path: Path, expected: str, error: OSError, *, writing: bool = False) -> None:
        super().__init__(str(path), expected, error.strerror or "no reason given")
        self.path = path
        self.gone = WORDS.get(error.errno or 0) == GONE
        self.not_found = self.gone and not writing
        place, name = readable(str(path.parent if writing else path)), readable(path.name)
        use = "write to" if writing else "read"
        self.words = WORDS.get(error.errno or 0, NOT_USABLE).format(place=place, name=name, use=use)


def of_kind(number: int) -> OSError:
    """The system's error of this number."""
    return OSError(number, os.strerror(number))
