"""The steps of a move: named poses joined one motion at a time, and where the rig is part-way through a step.

Order.  Between two poses a person raises first and lowers last, so that the load clears what it stands on; in between
the boom slides, then the arms move from the boom outwards, then the upright tilts.  When the truck creeps to another
place it lowers first and raises last, and creeps with everything else set.  A load is set down before anything else
moves and picked up after everything has.  Arms are fitted or taken off with the hook empty.  To get another order, name
a pose in between.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Literal, NamedTuple

import msgspec

from engine.base.geometry import Number
from engine.base.interval import Interval
from engine.rig.kinematics import Figures, boom_out_m, figures
from engine.schema.model import ArmPose, Controls, Job, Move, Pose, find_pose

StepKind = Literal["raise", "lower", "boom", "arm", "tilt", "creep", "pick up", "set down", "fit"]
BY_HAND: frozenset[StepKind] = frozenset(("boom", "arm", "fit"))
AT_ONCE: frozenset[StepKind] = frozenset(("creep", "pick up", "set down", "fit"))
"""Steps with no pose in between: a pose names a floor of the file, and a load hangs or does not."""

REPLACE = msgspec.structs.replace


class MoveStep(msgspec.Struct, kw_only=True, frozen=True):
    """One motion: from one pose to another that differ in one thing, and who sits at the controls meanwhile."""

    leg: int
    kind: StepKind
    arm: int | None
    before: Pose
    after: Pose
    controls: Controls
    words: str
    numbers: dict[str, float | str]

    @property
    def by_hand(self) -> bool:
        """Whether somebody moves a part of the rig by hand."""
        return self.kind in BY_HAND


class _Motion(NamedTuple):
    """What one step changes in the pose, and its words."""

    kind: StepKind
    words: str
    numbers: dict[str, float | str]
    changes: dict[str, Any]
    arm: int | None = None


# ---------------------------------------------------------------- from pose to pose


def steps_of(job: Job, move: Move) -> tuple[MoveStep, ...]:
    """The steps of a move, one motion each, in the order given at the top of this module.

    Raises
    ------
    AssertionError
        When the steps from one pose to the next do not end in it: a pose differs in something no step changes.
    """
    seats = move.controls or ("nobody",) * (len(move.poses) - 1)
    poses = [find_pose(job, name) for name in move.poses]
    steps: list[MoveStep] = []
    for leg, (start, end, controls) in enumerate(zip(poses, poses[1:], seats, strict=False)):
        here = start
        for motion in _motions(job, start, end):
            after = REPLACE(here, **motion.changes)
            steps.append(_step(leg, motion, here, after, controls))
            here = after
        if not same_stance(here, end):
            raise AssertionError(f"The steps from {start.name!r} to {end.name!r} end in {here}, not in {end}")
    return tuple(steps)


def same_stance(one: Pose, other: Pose) -> bool:
    """Whether two poses have truck and rig in the same place; names, and the turns of arms left off, do not count."""
    return _bare(one) == _bare(other)


def _bare(pose: Pose) -> Pose:
    return REPLACE(pose, name="", arms=tuple(arm if arm.fitted else ArmPose(fitted=False) for arm in pose.arms))


def _step(leg: int, motion: _Motion, before: Pose, after: Pose, controls: Controls) -> MoveStep:
    seat = controls if motion.kind in BY_HAND else "driver" if controls == "nobody" else controls
    return MoveStep(
        leg=leg,
        kind=motion.kind,
        arm=motion.arm,
        before=before,
        after=after,
        controls=seat,
        words=motion.words,
        numbers=motion.numbers,
    )


def _motions(job: Job, start: Pose, end: Pose) -> Iterator[_Motion]:
    creeps = start.floor != end.floor
    raises = start.lift_m < end.lift_m
    lowers = not raises and start.lift_m != end.lift_m
    if start.loaded and not end.loaded:
        yield _Motion("set down", "Set the load down and unhook", {}, {"loaded": False})
    if lowers if creeps else raises:
        yield _lift(start, end)
    fitted = start.arms
    for index, arm in enumerate(job.rig.arms):
        if start.arms[index].fitted != end.arms[index].fitted:
            fitted = _with(fitted, index, end.arms[index])
            words = "Fit {arm}" if end.arms[index].fitted else "Take {arm} off"
            yield _Motion("fit", words, {"arm": arm.name}, {"arms": fitted}, index)
    if (start.hole, start.free_out_m) != (end.hole, end.free_out_m):
        yield _slide(job, start, end)
    yield from _turns(job, fitted, end)
    if start.tilt_rad != end.tilt_rad:
        numbers: dict[str, float | str] = {"from": start.tilt_rad, "to": end.tilt_rad}
        yield _Motion("tilt", "Tilt the upright from {from:deg} to {to:deg}", numbers, {"tilt_rad": end.tilt_rad})
    if creeps:
        places: dict[str, float | str] = {"from": start.floor, "to": end.floor}
        yield _Motion("creep", "Creep from {from} to {to}", places, {"floor": end.floor})
    if raises if creeps else lowers:
        yield _lift(start, end)
    if end.loaded and not start.loaded:
        yield _Motion("pick up", "Take up the slack, pick the load up just clear, stop and look", {}, {"loaded": True})


def _lift(start: Pose, end: Pose) -> _Motion:
    kind, verb = ("raise", "Raise") if start.lift_m < end.lift_m else ("lower", "Lower")
    numbers: dict[str, float | str] = {"from": start.lift_m, "to": end.lift_m}
    return _Motion(kind, verb + " the forks from {from:length} to {to:length}", numbers, {"lift_m": end.lift_m})


def _slide(job: Job, start: Pose, end: Pose) -> _Motion:
    pinned = "" if end.hole is None else ", hole {hole}, and pin it"
    words = f"Slide the boom from {{from:length}} out to {{to:length}} out{pinned}"
    ends_m = {"from": boom_out_m(job.rig, start), "to": boom_out_m(job.rig, end)}
    return _Motion("boom", words, {**ends_m, "hole": str(end.hole)}, {"hole": end.hole, "free_out_m": end.free_out_m})


def _turns(job: Job, arms: tuple[ArmPose, ...], end: Pose) -> Iterator[_Motion]:
    for index, arm in enumerate(job.rig.arms):
        was, turn = arms[index], end.arms[index].turn_rad
        if was.fitted and was.turn_rad != turn:
            numbers = {"arm": arm.name, "from": was.turn_rad, "to": turn}
            arms = _with(arms, index, REPLACE(was, turn_rad=turn))
            yield _Motion("arm", arm.joint.step_words, numbers, {"arms": arms}, index)


def _with(arms: tuple[ArmPose, ...], index: int, arm: ArmPose) -> tuple[ArmPose, ...]:
    return (*arms[:index], arm, *arms[index + 1 :])


# ---------------------------------------------------------------- part-way through a step


def figures_between(job: Job, step: MoveStep, share: Number | Interval) -> Figures:
    """Nominal figures at a share of the way through a step; ``share`` may be an array or an interval.

    A step that fits an arm or takes one off has nothing in between: it gives the figures after it.
    """
    before, after = figures(job, step.before), figures(job, step.after)
    if step.kind == "fit":
        return after

    def between(a: Any, b: Any) -> Any:
        if isinstance(a, tuple):
            return tuple(between(x, y) for x, y in zip(a, b, strict=True))
        return a if a is None or a == b else share * (b - a) + a

    names = Figures.__struct_fields__
    return Figures(**{name: between(getattr(before, name), getattr(after, name)) for name in names})


def pose_between(job: Job, step: MoveStep, share: float) -> Pose:
    """The pose at a share of the way through a step, to look at it or to correct it there.

    A boom half way is unpinned.  A step of `AT_ONCE` leaves the rig as before until its end.
    """
    before, after = step.before, step.after
    if share <= 0.0:
        return before
    if share >= 1.0:
        return after
    if step.kind in AT_ONCE:
        return before

    def between(a: float, b: float) -> float:
        return a + share * (b - a)

    arms = tuple(
        REPLACE(a, turn_rad=between(a.turn_rad, b.turn_rad)) for a, b in zip(before.arms, after.arms, strict=True)
    )
    slid: dict[str, Any] = {}
    if step.kind == "boom":
        slid = {"hole": None, "free_out_m": between(boom_out_m(job.rig, before), boom_out_m(job.rig, after))}
    return REPLACE(
        before,
        lift_m=between(before.lift_m, after.lift_m),
        tilt_rad=between(before.tilt_rad, after.tilt_rad),
        arms=arms,
        **slid,
    )


def pose_along(job: Job, steps: Sequence[MoveStep], place: float) -> Pose:
    """The pose at a place along the steps of a move, counted in steps: 2.25 is a quarter through the third step."""
    index = min(max(int(place), 0), len(steps) - 1)
    return pose_between(job, steps[index], place - index)
