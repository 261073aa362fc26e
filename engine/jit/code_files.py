"""Machine code kept in files between runs, so that a formula met before is ready at once.

Making code takes three quarters of the time from a formula to its first quick result. A file holds the code of one text
for one processor, after its own checksum: a file that was cut short or changed is not used, and a folder that cannot be
read or written is as good as none.
"""

from __future__ import annotations

import contextlib
import hashlib
import math
import os
from pathlib import Path

FOLDER = "TAILWEIGHT_CODE_DIR"
"""Environment variable that names the folder; without it no code is kept. Child processes find it there too."""

SUFFIX = ".code"

FILES_AT_MOST = 200
"""Of some 300 kB each; those unused for longest go first."""

_CHECKSUM_BYTES = hashlib.sha256().digest_size


def find(key: str) -> bytes | None:
    """The code kept under a key; None if there is none, or it is not as it was written."""
    folder = _folder()
    if folder is None:
        return None
    path = folder / f"{key}{SUFFIX}"
    try:
        whole = path.read_bytes()
    except OSError:
        return None
    code = whole[_CHECKSUM_BYTES:]
    if hashlib.sha256(code).digest() != whole[:_CHECKSUM_BYTES]:
        return None
    with contextlib.suppress(OSError):
        os.utime(path)
    return code


def are_kept() -> bool:
    """Whether a folder is named for them."""
    return _folder() is not None


def used(key: str) -> float:
    """When the code under a key was used last, in seconds since the epoch; minus infinity where there is none."""
    folder = _folder()
    try:
        return -math.inf if folder is None else (folder / f"{key}{SUFFIX}").stat().st_mtime
    except OSError:
        return -math.inf


def keep(key: str, code: bytes) -> None:
    """Keep code under a key, in one step; where that cannot be, it is made again next time."""
    folder = _folder()
    if folder is None:
        return
    with contextlib.suppress(OSError):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)  # what lies here is run: nobody else may write it
        unfinished = folder / f"{key}.{os.getpid()}.part"
        unfinished.write_bytes(hashlib.sha256(code).digest() + code)
        unfinished.replace(folder / f"{key}{SUFFIX}")
        _drop_the_oldest(folder)


def _folder() -> Path | None:
    named = os.environ.get(FOLDER)
    return Path(named) if named else None


def _drop_the_oldest(folder: Path) -> None:
    with os.scandir(folder) as entries:
        files = [entry for entry in entries if entry.name.endswith((SUFFIX, ".part"))]
    if len(files) <= FILES_AT_MOST:
        return
    used = []
    for file in files:
        with contextlib.suppress(OSError):  # gone already: another window is at work too
            used.append((file.stat().st_mtime, file.path))
    for _, path in sorted(used)[: len(used) - FILES_AT_MOST]:
        with contextlib.suppress(OSError):
            Path(path).unlink()
