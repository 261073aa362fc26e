"""The one mutable object: the job, which of its poses is shown, its verdict, undo stack and file.

One edit is one evaluation and one signal. A gesture shows its edits with ``preview_pose`` or ``preview_job`` and ends
with ``commit_preview`` (one undo step) or ``restore`` (nothing happened).
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from app.documents import files
from engine.base.errors import EditError
from engine.base.formatting import System
from engine.base.lazy import lazy
from engine.schema import nominals
from engine.schema.model import Job, Pose

if TYPE_CHECKING:
    from engine.shop import edits, pose_edits
    from engine.worst_case import verdict as judging
    from engine.worst_case.verdict import Verdict
else:
    edits, pose_edits = lazy("engine.shop.edits"), lazy("engine.shop.pose_edits")
    judging = lazy("engine.worst_case.verdict")


class Content:
    """What undo goes back to: the job and which of its poses is shown. Never changed once made."""

    __slots__ = ("index", "job")

    def __init__(self, job: Job, index: int) -> None:
        self.job = job
        self.index = index

    @property
    def pose(self) -> Pose:
        return self.job.poses[self.index]

    def with_pose(self, pose: Pose) -> Content:
        return Content(edits.with_pose(self.job, self.index, pose), self.index)

    def in_units(self, units: System) -> Content:
        """The same shown in other units."""
        return self if self.job.units == units else Content(msgspec.structs.replace(self.job, units=units), self.index)

    def same_as(self, other: Content) -> bool:
        return self.index == other.index and self.job == other.job


class _Change(QUndoCommand):
    """The one undo command: before, after, text."""

    def __init__(self, document: Document, before: Content, after: Content, text: str) -> None:
        super().__init__(text)
        self._document, self._before, self._after = document, before, after

    def redo(self) -> None:
        self._document.show(self._after)

    def undo(self) -> None:
        self._document.show(self._before)


class Document(QObject):
    """Holds what is open; everything that paints listens to ``changed``."""

    changed = Signal(object)
    """The document itself, after every change of content (committed or previewed)."""

    filed = Signal()
    """The file name or the unsaved mark changed."""

    def __init__(self, job: Job, path: Path | None = None, stamp: str | None = None, index: int = 0) -> None:
        """Open a job; its verdict is worked out when it is first asked for, so that a window can paint before.

        ``stamp`` says what the file held when it was read, ``index`` which pose is shown.
        """
        super().__init__()
        self.undo_stack = QUndoStack(self)
        self.undo_stack.cleanChanged.connect(self._clean_changed)
        self.path = path
        self.stamp = stamp
        """What the file held when it was last read or written here; ``None`` when that is not known."""
        self.read_only = path is not None and files.is_read_only(path)
        self._content = Content(job, index)
        self._committed = self._content
        self._verdict: Verdict | None = None
        self._preferred_units: System | None = None
        self._evaluated: tuple[Content, Verdict] | None = None
        """The content about to be pushed, with its verdict."""

    def _clean_changed(self, _clean: bool) -> None:
        self.filed.emit()

    # -------------------------------------------------------- what is open

    @property
    def job(self) -> Job:
        return self._content.job

    @property
    def committed_job(self) -> Job:
        """The job without what a gesture, or a look along a move, is showing."""
        return self._committed.job

    @property
    def index(self) -> int:
        return self._content.index

    @property
    def pose(self) -> Pose:
        return self._content.pose

    @property
    def verdict(self) -> Verdict:
        verdict = self._verdict
        if verdict is None:
            verdict = self._verdict = judging.evaluate(self.job, self.pose)
        return verdict

    @property
    def units(self) -> System:
        return self.job.units

    @property
    def unsaved(self) -> bool:
        return not self.undo_stack.isClean()

    @property
    def finished(self) -> Content:
        """What the last finished edit made, without a gesture that is still going on."""
        return self._committed

    # -------------------------------------------------------- changing it

    def show(self, content: Content) -> None:
        """Take ``content`` as committed and tell everyone (undo and redo end here); the units stay as they are."""
        self._take(content.in_units(self.units), finished=True)

    def _take(self, content: Content, *, finished: bool = False) -> None:
        # Evaluated first: if that fails, nothing has changed.
        known, self._evaluated = self._evaluated, None
        verdict = known[1] if known and known[0] is content else judging.evaluate(content.job, content.pose)
        self._content, self._verdict = content, verdict
        if finished:
            self._committed = content
        self.changed.emit(self)

    def preview_pose(self, pose: Pose) -> None:
        """Show a pose while a gesture lasts; not on the undo stack."""
        if pose != self.pose:
            self._take(self._content.with_pose(pose))

    def preview_job(self, job: Job) -> None:
        """Show a changed job while a gesture lasts; not on the undo stack."""
        if job != self.job:
            self._take(Content(job, self._content.index))

    def commit_preview(self, text: str) -> None:
        """Put what a gesture has shown on the undo stack, as one step."""
        self._push(self._content, text)

    def restore(self) -> None:
        """Drop what a gesture has shown."""
        if not self._content.same_as(self._committed):
            self._take(self._committed)

    def set_pose(self, pose: Pose, text: str) -> None:
        """Change the shown pose as one undo step."""
        self._push(self._committed.with_pose(pose), text)

    def set_job(self, job: Job, text: str, index: int | None = None) -> None:
        """Change anything in the job as one undo step; ``index`` shows another pose."""
        shown = self._committed.index if index is None else index
        self._push(Content(job, min(shown, len(job.poses) - 1)), text)

    def set_value(self, path: str, value: object, text: str, name: str = "") -> None:
        """Change one entry by its path as one undo step.

        ``name`` is a length as it was typed, with its unit (`engine.schema.nominals`); none for a drag or a step.

        Raises
        ------
        TailweightError
            When the entry cannot have this value; nothing has changed then.
        """
        before = self._committed.job
        self.set_job(nominals.with_name(before, edits.set_value(before, path, value), path, name), text)

    def show_pose(self, index: int) -> None:
        """Show another of the named poses. That is no edit: no undo step, no unsaved mark."""
        if not 0 <= index < len(self.job.poses):
            raise EditError("pose", f"0 to {len(self.job.poses) - 1}", str(index), plain="There is no such pose.")
        self.show(Content(self._committed.job, index))

    def step_pose(self, steps: int) -> None:
        """Show the named pose so many further on; after the last comes the first."""
        self.show_pose((self.index + steps) % len(self.job.poses))

    def step_holes(self, holes: int) -> None:
        """Pull the boom in by so many pin holes (out if negative)."""
        self.set_pose(pose_edits.boom_by_holes(self.job, self.pose, holes), "Slide the boom")

    def set_units(self, units: System) -> None:
        """Show metric or US units: a person's choice, no change of the file and no undo step."""
        if self._preferred_units is not None:
            self._preferred_units = units
        if units != self.units:
            looked_at = None if self._content is self._committed else self._content.in_units(units)
            self._committed = self._committed.in_units(units)
            self._take(looked_at or self._committed)

    def prefer_units(self, units: System) -> None:
        """Show this job, and every other that is opened here, in these units."""
        self._preferred_units = units
        if units != self.units:
            self._content = self._committed = self._committed.in_units(units)
            self._verdict = None

    def _push(self, after: Content, text: str) -> None:
        self.set_units(after.job.units)
        kept = nominals.kept(after.job)  # a name lapses with the size it was typed for
        if kept is not after.job:
            after = Content(kept, after.index)
        if after.same_as(self._committed):
            self.restore()
            return
        # Before the push, so that an edit that cannot be evaluated never reaches the stack.
        self._evaluated = (after, self.verdict if after is self._content else judging.evaluate(after.job, after.pose))
        self.undo_stack.push(_Change(self, self._committed, after, text))

    # -------------------------------------------------------- files

    def replace(self, job: Job, path: Path | None, stamp: str | None = None) -> None:
        """Open another job in place of this one; the undo stack starts anew."""
        self._begin(Content(job, 0), path, stamp)
        self.undo_stack.setClean()
        self.filed.emit()

    def recover(self, job: Job, index: int, path: Path | None, stamp: str | None) -> None:
        """Open a job that was never saved: as ``replace``, but unsaved from the start."""
        self._begin(Content(job, min(max(index, 0), len(job.poses) - 1)), path, stamp)
        self.undo_stack.resetClean()
        self.filed.emit()

    def _begin(self, content: Content, path: Path | None, stamp: str | None) -> None:
        self._take(content.in_units(self._preferred_units or content.job.units), finished=True)
        self._refer_to(path, stamp)
        self.undo_stack.clear()

    def _refer_to(self, path: Path | None, stamp: str | None) -> None:
        self.path, self.stamp = path, stamp
        self.read_only = path is not None and files.is_read_only(path)

    def reload(self, job: Job, stamp: str | None) -> None:
        """Take what the file holds now, as one undo step: what was here is one undo away."""
        self.set_job(job, "Load the file again")
        self._refer_to(self.path, stamp)
        self.undo_stack.setClean()
        self.filed.emit()

    def mark_unsaved(self) -> None:
        """No file holds what is open: it is unsaved until it is saved."""
        self.undo_stack.resetClean()
        self.filed.emit()

    def look_at_file(self) -> None:
        """Look again whether the file may be written."""
        read_only = self.path is not None and files.is_read_only(self.path)
        if read_only != self.read_only:
            self.read_only = read_only
            self.filed.emit()

    def save(self, path: Path) -> None:
        """Write the job and take ``path`` as its file.

        Raises
        ------
        RigFileError
            When it cannot be written (a `FileFault` if the disk refuses); the document then stays as it was, unsaved.
        """
        self._refer_to(path, files.save(self._committed.job, path))
        self.undo_stack.setClean()
        self.filed.emit()

    def close(self) -> None:
        """Clear the undo stack without a signal: its listeners are about to go."""
        self.undo_stack.blockSignals(True)
        self.undo_stack.clear()
