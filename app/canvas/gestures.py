"""What a drag does: a gesture has start, move, finish and cancel, in metres and handle names, and no pixels.

Every move is worked out again from the pose at the start, by one engine edit, so a drag back is a drag undone.
"""

from __future__ import annotations

from app.canvas import live_words, size_handles
from app.documents.document import Document
from engine.rig.kinematics import boom_out_m
from engine.schema.joints import View
from engine.schema.model import Job, Pose
from engine.shop import hook_following, pose_edits, pulled_sizes


def undo_text(job: Job, handle: str) -> str:
    """What the undo menu calls a drag of this handle."""
    if handle.startswith("arm "):
        arm = job.rig.arms[int(handle.split()[1])]
        return f"{arm.joint.verb} {arm.name}"
    return {"lift": "Raise or lower", "tilt": "Tilt", "boom": "Slide the boom", "hook": "Move the hook"}[handle]


def dragged(
    job: Job, start: Pose, handle: str, view: View, grabbed: tuple[float, float], at: tuple[float, float], free: bool
) -> Pose:
    """The pose after pulling a handle from ``grabbed`` to ``at``.

    Points are (forward, up) in the side view and (forward, left) in the plan, in metres; ``free`` leaves the boom
    unpinned.
    """
    ahead, up_or_left = at[0] - grabbed[0], at[1] - grabbed[1]
    if handle == "lift":
        return pose_edits.lift_to(job, start, start.lift_m + up_or_left)
    if handle == "tilt":
        return pose_edits.tilt_toward(job, start, *grabbed, *at)
    if handle == "boom":
        return pose_edits.boom_to(job, start, boom_out_m(job.rig, start) + ahead, free)
    placed = hook_following.placed_at_start(job, start)
    if handle == "hook":
        hook = placed.hook_m
        x_m = float(hook.x) + ahead
        if view == "plan":
            return hook_following.hook_to(job, start, x_m, y_m=float(hook.y) + up_or_left, free=free)
        return hook_following.hook_to(job, start, x_m, z_m=float(hook.z) + up_or_left, free=free)
    index = int(handle.split()[1])
    turned_in_view = view == "plan" or job.rig.arms[index].joint.plane == "side"
    if turned_in_view:
        return pose_edits.arm_round(job, start, index, view, grabbed, at)
    return pose_edits.arm_toward(job, start, index, float(pose_edits.arm_end(placed, job, index).x) + ahead)


class _Drag:
    """What every drag has in common: it is void once something else has finished a change meanwhile.

    A key may undo or show another pose while the button is held; what the drag began from is then no longer there, and
    laying its pose over the new one would mix the two.
    """

    def __init__(self, document: Document, handle: str) -> None:
        self._document, self.handle = document, handle
        self._began_from = document.finished

    @property
    def overtaken(self) -> bool:
        """Something else has changed what the drag began from."""
        return self._document.finished is not self._began_from

    def _keep(self, text: str) -> None:
        if self.overtaken:
            self.cancel()
        else:
            self._document.commit_preview(text)

    def cancel(self) -> None:
        """Put back what was there before, or what something else has made of it since."""
        if self.overtaken:
            self._document.show(self._document.finished)  # also for those that follow only when a drag ends
        else:
            self._document.restore()


class Gesture(_Drag):
    """One drag of one handle: the pose changes."""

    def __init__(self, document: Document, handle: str, view: View, grabbed: tuple[float, float]) -> None:
        super().__init__(document, handle)
        self._view: View = view
        self._grabbed, self._start = grabbed, document.pose
        self._before = document.verdict.placed

    def move(self, at: tuple[float, float], free: bool) -> None:
        """Show the pose the drag has come to."""
        if not self.overtaken:
            job = self._document.job
            self._document.preview_pose(dragged(job, self._start, self.handle, self._view, self._grabbed, at, free))

    @property
    def words(self) -> str:
        """What it has come to, in a few words."""
        document = self._document
        if self.overtaken:
            return ""
        placed = document.verdict.placed
        return live_words.of_pose(document.job, self.handle, self._start, self._before, document.pose, placed)

    def finish(self) -> None:
        """Keep it, as one undo step."""
        self._keep(undo_text(self._began_from.job, self.handle))


class SizeGesture(_Drag):
    """One drag of a size's handle: a part itself changes."""

    def __init__(self, document: Document, handle: str, grabbed: tuple[float, float]) -> None:
        super().__init__(document, handle)
        self._grabbed, self._start = grabbed, document.job
        self._size = handle.removeprefix(size_handles.PREFIX)
        self._spot = size_handles.spots(document.job, document.verdict.placed)[handle]

    def move(self, at: tuple[float, float], _free: bool) -> None:
        """Show the part as the pull makes it."""
        if not self.overtaken:
            ahead_m, up_m = at[0] - self._grabbed[0], at[1] - self._grabbed[1]
            pull = size_handles.pulled_by(self._spot, ahead_m, up_m)
            self._document.preview_job(pulled_sizes.pulled(self._start, self._size, *pull))

    @property
    def words(self) -> str:
        """What it has come to, in a few words."""
        if self.overtaken:
            return ""
        name = size_handles.what(self._start.rig, self._size).removeprefix("the ")
        was_m, now_m = (pulled_sizes.size_m(job.rig, self._size) for job in (self._start, self._document.job))
        return live_words.of_length(name, was_m, now_m, self._document.units)

    def finish(self) -> None:
        """Keep it, as one undo step."""
        self._keep(f"Change {size_handles.what(self._start.rig, self._size)}")
