"""Rig files as the window sees them: the sample rigs, and stamps that tell whether a file on disk has changed."""

from __future__ import annotations

import contextlib
import errno
import glob
import os
import stat
import time
from collections.abc import Callable, Mapping
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from app.documents import patience
from engine.base import whole_file
from engine.base.errors import RigFileError, TailweightError
from engine.base.file_fault import FileFault, of_kind
from engine.base.lazy import lazy
from engine.schema import rig_file
from engine.schema.model import Job

if TYPE_CHECKING:
    import hashlib
else:
    hashlib = lazy("hashlib")  # not on the first paint of a sample rig

SAMPLES = {
    "tarn_hollow_stone_yard": "Stone yard: straight boom, lintel",
    "skerry_point_boatyard": "Boatyard: two arms, outboard motor",
    "cold_spring_vineyard": "Vineyard: press lid from stand to press",
    "brightlea_glasshouses": "Glasshouses: gable truss in the wind",
    "lantern_lane_scenery": "Theatre workshop: an arm that drifts",
    "dunmere_bell_hangers": "Bell hangers: a weight that is a guess",
    "pippin_and_rook_cider": "Cider works: over sideways",
    "halden_pipe_organs": "Organ builders: held by a hinge pin",
    "greywether_memorials": "Memorials: held by a weld",
    "alder_fork_sawmill": "Sawmill: a gearbox too heavy, too far out",
    "osier_wharf_pumps": "Pump works: an arm held up by a stay",
    "larkfield_carousel_works": "Carousel works: travelling with a load",
    "fernbank_tree_nursery": "Tree nursery: no plate, no allowed load",
}
"""File name and menu text, the plainest first."""

ANY_WRITE_BIT = 0o222

LOOKED_AT = "a file that can be looked at"

LEFT_BEHIND_S = 3600.0
"""A half-written file this old belongs to a save that was stopped; a save takes well under a second."""


def sample_rig(name: str) -> Job:
    """One of the sample rigs."""
    file = resources.files("sample_rigs") / f"{name}{rig_file.SUFFIX}"
    return rig_file.decode(file.read_bytes(), file.name)


def read(path: Path) -> tuple[Job, str | None]:
    """The job in a file and the stamp of what the file held.

    The stamp is taken first, so that a file changed between the two looks changed, never unchanged.

    Raises
    ------
    RigFileError
        When the file cannot be read or holds no rig.
    """
    try:
        return patience.within(path, patience.LOOK_S, lambda: _read(path))
    except OSError as error:
        raise FileFault(path, "a rig file that can be read", error) from None


def _read(path: Path) -> tuple[Job, str | None]:
    if _fault_at(path) is None and not path.is_file():
        what = "a folder" if path.is_dir() else "something that is no file"
        raise RigFileError(
            str(path), "a rig file", what, plain="This is {what}. Open a rig file.", numbers={"what": what}
        )
    seen = _look_at(path)
    return rig_file.read(path), seen if isinstance(seen, str) else None


def save(job: Job, path: Path) -> str:
    """Write a job into its file, whole or not at all, and return the stamp of what it holds now.

    A save that is given up writes nothing later: it asks before the new file takes the place of the old one.

    Raises
    ------
    RigFileError
        When the job is not valid or the disk refuses (then a `FileFault`); the old file is then untouched.
    """
    data = rig_file.encode(job)

    def work(wanted: Callable[[], bool]) -> None:
        whole_file.write(path, data, wanted)
        _sweep(path)

    try:
        patience.Call(path, work).result(patience.WRITE_S)
    except OSError as error:
        raise FileFault(path, "a place that can be written", error, writing=True) from None
    return stamp_of_bytes(data)


def changes_of(path: Path) -> tuple[str, ...]:
    """What opening a file changed to bring it up to the present format; nothing for one that cannot be read."""
    try:
        return patience.within(path, patience.LOOK_S, lambda: rig_file.read_with_changes(path).changes)
    except (TailweightError, OSError):
        return ()


def fault_at(path: Path) -> FileFault | None:
    """Why a file or folder cannot be looked at; None when it is there."""
    return faults_at([path], patience.LOOK_S)[0]


def faults_at(paths: list[Path], limit_s: float) -> list[FileFault | None]:
    """The same of several, all within one limit of time."""
    found = patience.within_all(paths, limit_s, _fault_at)
    return [
        FileFault(path, LOOKED_AT, fault) if isinstance(fault, OSError) else fault
        for path, fault in zip(paths, found, strict=True)
    ]


def _fault_at(path: Path) -> FileFault | None:
    try:
        path.stat()
    except OSError as error:
        return FileFault(path, LOOKED_AT, error)
    return None


def look_at(path: Path) -> str | FileFault:
    """Stamp of what a file holds, the same for the same bytes; the fault when it cannot be read."""
    try:
        return patience.within(path, patience.LOOK_S, lambda: _look_at(path))
    except OSError as error:
        return FileFault(path, "a rig file that can be read", error)


def _look_at(path: Path) -> str | FileFault:
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            raise of_kind(errno.EISDIR)
        with path.open("rb") as file:
            return stamp_of_bytes(file.read(rig_file.MAX_BYTES + 1))
    except OSError as error:
        return FileFault(path, "a rig file that can be read", error)


def stamp_of(path: Path) -> str | None:
    """Stamp of what a file holds; None when the file cannot be read."""
    seen = look_at(path)
    return seen if isinstance(seen, str) else None


def stamp_of_bytes(data: bytes) -> str:
    """Stamp of a file that holds these bytes."""
    return hashlib.blake2b(data, digest_size=16).hexdigest()


def is_read_only(path: Path) -> bool:
    """Whether an existing file may not be written over; False for one that is not there or cannot be looked at.

    A file without any write permission counts as read-only even where this user could override it. So does a file in
    a folder that takes no new files, because saving writes a new file beside the old one.
    """
    try:
        return patience.within(path, patience.LOOK_S, lambda: _is_read_only(path))
    except OSError:
        return False


def _is_read_only(path: Path) -> bool:
    mode = path.stat().st_mode
    return not (mode & ANY_WRITE_BIT and os.access(path, os.W_OK) and os.access(path.resolve().parent, os.W_OK))


def refuse_place(path: Path) -> None:
    """Refuse a place where `write_out` cannot write, before the work for it is done.

    Raises
    ------
    FileFault
        When the file is read-only, its folder is not there or its name cannot be.
    """
    try:
        if is_read_only(path):
            raise of_kind(errno.EACCES)
        patience.within(path, patience.LOOK_S, lambda: _look_for(path))
    except OSError as error:
        raise FileFault(path, "a file that can be written", error, writing=True) from None


def _look_for(path: Path) -> None:
    """Raises an `OSError` where no file of that name can be."""
    with contextlib.suppress(FileNotFoundError):
        path.lstat()
    path.parent.stat()


def write_out(path: Path, data: bytes) -> None:
    """Write a paper, a picture or a table, whole or not at all; a read-only file is not written over.

    Raises
    ------
    FileFault
        When it cannot be written; a file that is there already is then untouched.
    """
    try:
        if is_read_only(path):
            raise of_kind(errno.EACCES)
        patience.Call(path, lambda wanted: whole_file.write(path, data, wanted)).result(patience.WRITE_S)
    except OSError as error:
        raise FileFault(path, "a file that can be written", error, writing=True) from None


def write_folder(folder: Path, written: Mapping[str, bytes]) -> None:
    """Write files by their names into a folder, which is made where it is not there; each is written whole.

    Raises
    ------
    FileFault
        When one cannot be written; those before it are written, and no file is written in part.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileFault(folder, "a folder that can be written to", error, writing=True) from None
    for name, data in written.items():
        write_out(folder / name, data)


def _sweep(path: Path) -> None:
    """Remove half-written files that a program stopped in the middle of a save left beside this one."""
    with contextlib.suppress(OSError):
        path = path.resolve()
        for left in path.parent.glob(f".{glob.escape(path.name)}.????????.new"):
            if time.time() - left.stat().st_mtime > LEFT_BEHIND_S:
                left.unlink(missing_ok=True)


def same_file(one: Path, other: Path) -> bool:
    """Whether two paths lead to one file, whether it exists or not; by their names alone where a drive hangs."""
    if one == other:
        return True
    try:
        places = [patience.within(path, patience.LOOK_S, path.resolve) for path in (one, other)]
    except OSError:
        return False
    return places[0] == places[1]
