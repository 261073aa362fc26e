"""Writes a file whole or not at all: a new file beside the old one, forced to disk, then renamed over it."""

from __future__ import annotations

import contextlib
import errno
import os
import tempfile
from collections.abc import Callable
from pathlib import Path


def write(path: Path, data: bytes, wanted: Callable[[], bool] = lambda: True) -> None:
    """Write a file; at every instant it is either the old one or the new one, whole. A link is followed.

    Parameters
    ----------
    path : Path
    data : bytes
    wanted : callable
        Asked last of all, before the new file takes the place of the old one.

    Raises
    ------
    OSError
        When the disk refuses, the path is a folder or a device, or the file is not wanted any more; what was there
        before is then untouched.
    """
    target = path.resolve()
    if target.exists() and not target.is_file():
        raise OSError(errno.EISDIR, os.strerror(errno.EISDIR))
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".new")
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(OSError):  # sticks and network folders without permissions still take the file
            temporary.chmod(target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask())
        if not wanted():
            raise OSError(errno.ECANCELED, os.strerror(errno.ECANCELED))
        temporary.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):  # the first fault is the one to tell
            temporary.unlink(missing_ok=True)
        raise
    _sync_folder(target.parent)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _sync_folder(folder: Path) -> None:
    """Force the rename itself to disk, where the system can; the new file is whole either way."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
