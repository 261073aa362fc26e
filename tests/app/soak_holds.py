"""What must hold after every step of a soak: invariants of the documents, and what the windows show."""

from __future__ import annotations

import msgspec
from hand import block_words
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from app.canvas.transform import side
from app.documents.document import Content
from app.documents.recovery import NOW, Record, folder
from app.shell.window import Window
from app.shell.windows import Windows
from engine.base.formatting import KG_PER_LB
from engine.schema import rig_file
from engine.schema.validation import checked
from engine.worst_case.verdict import Verdict, evaluate


def check(windows: Windows, used: Window, *, closely: bool) -> None:
    """Every window's invariants; those that take longer for the one just used, or for all when looking closely.

    Raises
    ------
    AssertionError
    """
    assert QApplication.activeModalWidget() is None, "a dialog is left open"
    assert QApplication.activePopupWidget() is None, "a menu is left open"
    assert QGuiApplication.overrideCursor() is None, "the waiting cursor is left"
    for window in windows.all:
        _job(window)
        _nothing_hangs(window)
        if window is used or closely:
            _undo(window)
        _unsaved(window)
        _shown(window)
        if closely:
            _verdict(window)
    _recovery(windows)


def _job(window: Window) -> None:
    document = window.document
    job = document.job
    assert checked(job) == job
    assert rig_file.decode(rig_file.encode(job)) == job, "the rig file does not hold what is open"
    assert 0 <= document.index < len(job.poses)
    assert document.pose is job.poses[document.index]
    names = [pose.name for pose in job.poses]
    assert len(set(names)) == len(names), f"two poses of one name: {names}"
    assert all(len(pose.arms) == len(job.rig.arms) for pose in job.poses), "a pose without a stance for each arm"


def _nothing_hangs(window: Window) -> None:
    document = window.document
    assert document.finished.same_as(Content(document.job, document.index)), "a preview is left hanging"
    for view in (window.views.side_view, window.views.plan_view):
        assert not view.holding, "a drag never ended"


def _undo(window: Window) -> None:
    """Undo and redo come back to the same job, with the same mark, and leave the stack as it was."""
    document, stack = window.document, window.document.undo_stack
    before = (document.job, document.unsaved, stack.index(), stack.count(), document.path)
    index = document.index
    for there, back, can in ((stack.undo, stack.redo, stack.canUndo()), (stack.redo, stack.undo, stack.canRedo())):
        if can:
            there()
            back()
            after = (document.job, document.unsaved, stack.index(), stack.count(), document.path)
            assert after == before, "undo and redo do not come back to the same"
    if document.index != index:
        document.show_pose(index)


def _unsaved(window: Window) -> None:
    document = window.document
    assert window.isWindowModified() == document.unsaved, "the title does not say what is unsaved"
    if not document.unsaved and document.path is not None:
        saved = msgspec.structs.replace(rig_file.read(document.path), units=document.units)  # a person's choice
        assert saved == document.job, "said to be saved, but the file holds another job"


def _shown(window: Window) -> None:
    """The drawing stands where the verdict says."""
    hook = window.views.side_view.handles["hook"].pos()
    wanted = side(window.document.verdict.placed.hook_m)
    assert abs(hook.x() - wanted.x()) + abs(hook.y() - wanted.y()) < 1e-6, "the drawing is not of the pose shown"
    assert window.views.side_view.handles is window.views.side_drawing.handles


def _verdict(window: Window) -> None:
    """The verdict shown is the one worked out from scratch."""
    document = window.document
    job, pose = rig_file.decode(rig_file.encode(document.job)), document.pose
    fresh, shown = evaluate(job, pose), document.verdict
    assert _figures(fresh) == _figures(shown), "a stale verdict"
    assert window.block.word.state == fresh.state
    most = block_words(window, "most")
    if not fresh.allowed_load_kg:
        instead = "none given" if fresh.allowed_load_kg is None else "nothing"
        assert most == f"most: {instead}", "the block shows another allowed load"
    else:
        shown_load = int(most.replace("\u202f", "").split(" load ")[1].split()[0])
        unit_kg = {"metric": 1.0, "us": KG_PER_LB}[job.units]
        exact = fresh.allowed_load_kg / unit_kg
        assert exact - 2.0 < shown_load <= exact + 1e-6, "the block shows another allowed load"
    if fresh.governing is not None:
        governs = [bar.side.lower() for bar in window.block.bars.bars if bar.governs]
        assert governs == [fresh.governing.side] or fresh.governing.of == "room", "the block names another side"


def _figures(verdict: Verdict) -> list[object]:
    """State, allowed loads, and every limit with both its uses; written as text, so that not-a-number equals itself."""
    worst = verdict.worst_case
    uses_at_worst = () if worst is None else worst.use
    uses = [(check.part, check.kind, repr(float(check.use))) for check in verdict.checks]
    return [
        verdict.state,
        repr(verdict.allowed_load_kg),
        repr(verdict.nominal_allowed_load_kg),
        uses,
        [repr(float(use)) for use in uses_at_worst],
    ]


def _recovery(windows: Windows) -> None:
    """One record for every window with unsaved work, holding just that work; none for the others."""
    records = [msgspec.json.decode(path.read_bytes(), type=Record) for path in folder().glob(f"*{NOW}")]
    kept = sorted(rig_file.encode(rig_file.decode(bytes(record.job))) for record in records)
    wanted = sorted(rig_file.encode(window.document.finished.job) for window in windows.all if window.document.unsaved)
    assert kept == wanted, f"{len(kept)} recovery records for {len(wanted)} windows with unsaved work, or of other work"
