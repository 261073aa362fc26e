"""Keeps finished edits when the program or the machine stops: one recovery record per window with unsaved work.

Every finished edit (an undo step, an undo, a redo) is written before the edit returns, into a file of its own in the
program's data folder: a new file beside the old record, then renamed over it, so that at every instant the record is
the old one or the new one, whole. That survives the end of the program, however it ends. Within ``FORCE_LAG_MS`` the
same record is written a second time and forced to disk, on a thread, so that it survives the end of the machine too,
and a slow disk never delays the user. A gesture writes nothing until it ends.

A record belongs to the window that holds its lock. After a restart only records whose lock nobody holds are offered.
Looking at one takes its lock, so that two starting programs never offer the same one. Saving, or closing the window
properly, removes the record.
"""

from __future__ import annotations

import contextlib
import errno
import os
import threading
import time
import uuid
from collections.abc import Iterator
from pathlib import Path

import msgspec
from PySide6.QtCore import QLockFile, QObject, QStandardPaths, QTimer, Signal

from app.documents import files
from app.documents.document import Document
from engine.base.errors import RigFileError, TailweightError
from engine.base.file_fault import FileFault, of_kind
from engine.explain import refusals
from engine.schema import rig_file
from engine.schema.model import Job

STATE_DIR = "TAILWEIGHT_STATE_DIR"
"""Environment variable that puts the program's data folder elsewhere."""

FORCE_LAG_MS = 1000
"""A record is forced to disk this long after the first edit that is not on disk."""

HALF_MADE_S = 5.0
"""A lock still without its holder's name after this long has no holder; writing the name takes under a millisecond."""

RECORD_VERSION = 1
NOT_WHOLE = "The record is damaged and cannot be read."
NEWER = "The record is of a newer Tailweight. Open it with that one."
NOW, KEPT, LOCK = ".now.recovery", ".kept.recovery", ".lock"


class Record(msgspec.Struct, kw_only=True, frozen=True):
    """What was open and not saved; ``job`` is the rig file as it would have been written."""

    record_version: int = RECORD_VERSION
    number: int
    when_s: float
    file: str | None
    stamp: str | None
    index: int
    job: msgspec.Raw


def folder() -> Path:
    """Folder of the records."""
    place = os.environ.get(STATE_DIR) or QStandardPaths.writableLocation(
        QStandardPaths.StandardLocation.AppDataLocation
    )
    return Path(place) / "recovery"


class Slot:
    """The files of one window's record; whoever holds their lock may touch them."""

    def __init__(self, place: Path, name: str) -> None:
        self.place, self.name = place, name
        self._lock_path = place / f"{name}{LOCK}"
        self._lock = QLockFile(str(self._lock_path))
        self._lock.setStaleLockTime(0)  # a lock goes stale with its process, not with age

    def take(self) -> bool:
        """Take the lock; False when somebody else holds it."""
        if self._lock.isLocked() or self._lock.tryLock(0):
            return True
        if self._is_half_made():
            with contextlib.suppress(OSError):
                self._lock_path.unlink(missing_ok=True)
            return self._lock.tryLock(0)
        return False

    def _is_half_made(self) -> bool:
        """Whether the lock's maker stopped before it wrote its name into the lock; nobody else would ever free it."""
        try:
            status = self._lock_path.stat()
        except OSError:
            return False
        return status.st_size == 0 and time.time() - status.st_mtime > HALF_MADE_S

    def let_go(self) -> None:
        """Release the lock; the record stays."""
        self._lock.unlock()

    def write(self, ending: str, data: bytes, *, forced: bool) -> None:
        """Replace the record by ``data``, whole or not at all.

        Raises
        ------
        OSError
            When it cannot be written; the record before is then untouched.
        """
        final = self.place / f"{self.name}{ending}"
        new = final.with_name(f"{final.name}.new")
        try:
            handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
            try:
                _write_all(handle, data)
                if forced:
                    os.fsync(handle)
            finally:
                os.close(handle)
            new.replace(final)
        except OSError:
            with contextlib.suppress(OSError):
                new.unlink(missing_ok=True)
            raise

    def read(self) -> Record:
        """The newest record that is whole.

        Raises
        ------
        RigFileError
            When no record is whole.
        """
        records, wrong = [], None
        for ending in (NOW, KEPT):
            path = self.place / f"{self.name}{ending}"
            try:
                records.append(msgspec.json.decode(path.read_bytes(), type=Record))
            except FileNotFoundError:
                continue
            except OSError as error:
                wrong = FileFault(path, "a recovery file that can be read", error)
            except msgspec.MsgspecError as error:
                wrong = RigFileError(str(path), "a whole recovery file", str(error), plain=NOT_WHOLE)
        if not records:
            place = str(self.place / self.name)
            raise wrong or RigFileError(place, "a recovery file", "none", plain="There is no record any more.")
        return max(records, key=lambda record: record.number)

    def has_record(self) -> bool:
        """Whether there is anything to recover, whole or not; one that cannot be looked at just now counts."""
        faults = (files.fault_at(self.place / f"{self.name}{ending}") for ending in (NOW, KEPT))
        return any(fault is None or not fault.gone for fault in faults)

    def is_written(self) -> bool:
        """Whether the newest record is there and can be reached."""
        return files.fault_at(self.place / f"{self.name}{NOW}") is None

    def clear(self) -> None:
        """Remove the record and release the lock."""
        # The older record first: left alone, it would look like the last one.
        for ending in (KEPT, NOW, f"{NOW}.new", f"{KEPT}.new"):
            with contextlib.suppress(OSError):
                (self.place / f"{self.name}{ending}").unlink(missing_ok=True)
        self.let_go()


def _write_all(handle: int, data: bytes) -> None:
    view = memoryview(data)
    while view:
        view = view[os.write(handle, view) :]


class Recovery(QObject):
    """Keeps the record of one document."""

    failed = Signal(str)
    """Why finished edits are not being kept; emitted once until keeping them works again."""

    def __init__(self, document: Document, place: Path | None = None) -> None:
        super().__init__(document)
        self._document = document
        self._place = place
        self._slot: Slot | None = None
        self._number = 0
        self._held: tuple[object, ...] | None = None
        self._data = b""
        self._failing = False
        self._writing = threading.Lock()
        self._thread: threading.Thread | None = None
        self._force = QTimer(self, singleShot=True, interval=FORCE_LAG_MS)
        self._force.timeout.connect(self._start_forcing)
        document.undo_stack.indexChanged.connect(self._follow)
        document.filed.connect(self._follow)

    def _follow(self, _index: int = 0) -> None:
        if self._document.unsaved:
            self.keep()
        else:
            self.clear()

    @property
    def keeps(self) -> bool:
        """Whether the last finished edit is in a record now."""
        if self._slot is None or self._held is None or self._failing:
            return False
        return self._slot.is_written()

    def keep(self) -> None:
        """Write what the last finished edit made, unless it is written already."""
        document, content = self._document, self._document.finished
        held = (content, document.path, document.stamp)
        if self._held is not None and self._held[0] is content and self._held[1:] == held[1:]:
            return
        record = Record(
            number=self._number + 1,
            when_s=time.time(),
            file=None if document.path is None else str(document.path.absolute()),
            stamp=document.stamp,
            index=content.index,
            job=msgspec.Raw(msgspec.json.encode(content.job, enc_hook=float)),  # writes even a stray numpy number
        )
        data = msgspec.json.encode(record)
        try:
            self._own_slot().write(NOW, data, forced=False)
        except OSError as error:
            self._say_failed(error)
            return
        self._number, self._held, self._data, self._failing = record.number, held, data, False
        if not self._force.isActive():
            self._force.start()

    def clear(self) -> None:
        """Nothing is unsaved: remove the record."""
        self._force.stop()
        self._held = None
        if self._slot is not None:
            with self._writing:
                slot, self._slot = self._slot, None
                slot.clear()

    def close(self) -> None:
        """The window is closed properly: nothing is left to recover."""
        self._document.undo_stack.indexChanged.disconnect(self._follow)
        self._document.filed.disconnect(self._follow)
        self.clear()

    def _own_slot(self) -> Slot:
        if self._slot is None:
            place = self._place or folder()
            place.mkdir(parents=True, exist_ok=True, mode=0o700)
            slot = Slot(place, uuid.uuid4().hex)
            if not slot.take():
                raise of_kind(errno.EACCES)
            self._slot = slot
        return self._slot

    def _start_forcing(self) -> None:
        if self._thread is not None and self._thread.is_alive():
            self._force.start()  # the disk is slow; try again later
            return
        self._thread = threading.Thread(target=self._write_forced, args=(self._slot, self._data), daemon=True)
        self._thread.start()

    def _write_forced(self, slot: Slot | None, data: bytes) -> None:
        with self._writing:
            if slot is None or slot is not self._slot:
                return  # saved meanwhile
            try:
                slot.write(KEPT, data, forced=True)
            except OSError as error:
                self._say_failed(error)

    def _say_failed(self, error: OSError) -> None:
        if not self._failing:
            self._failing = True
            place = (self._place or folder()) / "record"
            fault = FileFault(place, "a place for the recovery record", error, writing=True)
            self.failed.emit(f"Unsaved changes are not being kept for recovery. {fault.words} Save the rig now.")


class LeftBehind:
    """A record left behind by a program that stopped; holds its lock until the user decides."""

    def __init__(self, slot: Slot) -> None:
        self._slot = slot
        self.record: Record | None = None
        self.job: Job | None = None
        self.wrong = ""
        """Why the record cannot be opened; empty when it can."""
        try:
            self.record = slot.read()
            if self.record.record_version > RECORD_VERSION:
                raise RigFileError(
                    self.place, f"a record of version {RECORD_VERSION}", "one of a newer Tailweight", plain=NEWER
                )
            self.job = rig_file.decode(bytes(self.record.job), "recovery record")
        except FileFault as fault:
            self.wrong = fault.words
        except TailweightError as error:
            self.wrong = f"{self.place}: {refusals.sentence(error, refusals.units_of(error, 'metric'))}"

    @property
    def place(self) -> str:
        """Path of the record."""
        return str(self._slot.place / f"{self._slot.name}{NOW}")

    @property
    def file(self) -> Path | None:
        """The rig file that was open, if there was one."""
        return Path(self.record.file) if self.record and self.record.file else None

    def keep(self) -> None:
        """Leave the record for another time."""
        self._slot.let_go()

    def discard(self) -> None:
        """Remove the record."""
        self._slot.clear()

    def is_in_its_file(self) -> bool:
        """Whether the rig file holds the same job already: the program stopped just after saving."""
        if self.file is None or self.job is None:
            return False
        try:
            return rig_file.read(self.file) == self.job
        except TailweightError:
            return False


def left_behind(place: Path | None = None) -> list[LeftBehind]:
    """Records of programs that are no longer running, the newest first; each holds its lock."""
    records: list[LeftBehind] = []
    for slot in _slots(place or folder()):
        if not slot.take():
            continue  # its window is open
        if not slot.has_record():
            slot.clear()
            continue
        left = LeftBehind(slot)
        if left.is_in_its_file():
            left.discard()
        else:
            records.append(left)
    return sorted(records, key=lambda left: -left.record.when_s if left.record else 0.0)


def _slots(place: Path) -> Iterator[Slot]:
    """Every slot with at least one file."""
    endings = (NOW, KEPT, LOCK, f"{NOW}.new", f"{KEPT}.new")
    try:
        names = {path.name.removesuffix(ending) for ending in endings for path in place.glob(f"*{ending}")}
    except OSError:
        return
    for name in sorted(names):
        yield Slot(place, name)
