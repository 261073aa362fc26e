"""What a drag does: a gesture has start, move, finish and cancel, in metres and handle names, and no pixels.

Every move is worked out again from the pose at the start, by one engine edit, so a drag back is a drag undone.
"""

from __future__ import annotations

from app.documents.document import Document
from engine.rig.kinematics import arm_link, boom_out_m
from engine.schema.joints import View
from engine.schema.model import Job, Pose
from engine.shop import edits, hook_following, pose_edits

LENGTH = "length "
"""Handles that change a part instead of the pose have names that start so."""

END_ON = 0.05
"""An arm whose direction has less of its square than this in the side view is seen end-on: its length hardly shows."""


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
    if view == "plan":
        return pose_edits.arm_toward(job, start, index, at[0], y_m=at[1])
    if job.rig.arms[index].joint.plane == "side":
        return pose_edits.arm_toward(job, start, index, at[0], z_m=at[1])
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

    def move(self, at: tuple[float, float], free: bool) -> None:
        """Show the pose the drag has come to."""
        if not self.overtaken:
            job = self._document.job
            self._document.preview_pose(dragged(job, self._start, self.handle, self._view, self._grabbed, at, free))

    def finish(self) -> None:
        """Keep it, as one undo step."""
        self._keep(undo_text(self._began_from.job, self.handle))


class LengthGesture(_Drag):
    """One drag of a length handle: the part itself gets longer or shorter."""

    def __init__(self, document: Document, handle: str, grabbed: tuple[float, float]) -> None:
        super().__init__(document, handle)
        self._grabbed, self._start = grabbed, document.job
        self._direction = _length_direction(document, self._part)

    @property
    def _part(self) -> str:
        return self.handle.removeprefix(LENGTH)

    def move(self, at: tuple[float, float], _free: bool) -> None:
        """Show the part as long as the pull along it makes it."""
        if self.overtaken:
            return
        ahead, up = self._direction
        pulled_m = (at[0] - self._grabbed[0]) * ahead + (at[1] - self._grabbed[1]) * up
        self._document.preview_job(edits.stretched(self._start, self._part, pulled_m))

    def finish(self) -> None:
        """Keep it, as one undo step."""
        names = {"mast": "jib mast", "boom": "boom"}
        self._keep(f"Change the length of the {names.get(self._part, self._part)}")


def _length_direction(document: Document, part: str) -> tuple[float, float]:
    """Forward and up per metre of the part's length, seen from the side; an arm end-on is pulled forward."""
    frames = document.verdict.placed.frames
    if part == "mast":
        along = frames["jib mast"].axes.z
    elif part == "boom":
        along = -frames["boom"].axes.x
    else:
        along = frames[arm_link(int(part.split()[1]))].axes.x
    ahead, up = float(along.x), float(along.z)
    if part.startswith("arm ") and ahead * ahead + up * up <= END_ON:
        return 1.0, 0.0
    return ahead, up
