"""Edits of a job: a job in, a new one out, every entry checked again.

A value that the model does not allow is refused with a sentence, and nothing changes.  A dragged length (`stretched`)
stops where the rig could no longer be made.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

import msgspec

from engine.base.errors import ContradictionError, EditError
from engine.rig.hinge_pieces import drawn_at_hinge
from engine.schema import nominals
from engine.schema.connections import EndPlate, FaceLugs, Pin, ThroughSleeve, Weld
from engine.schema.model import Approval, Arm, ArmPose, Hinge, Job, LogEntry, Pose
from engine.schema.sections import RectTube
from engine.schema.validation import checked

REPLACE = msgspec.structs.replace

NOT_THERE = "The rig has no such part any more."
LAST_POSE = "The last pose cannot be removed."

# ---------------------------------------------------------------- single entries


def is_under(path: str, roots: Sequence[str]) -> bool:
    """Whether a path is one of some paths or leads to something in what stands there."""
    return any(path == root or path.startswith((f"{root}.", f"{root}[")) for root in roots)


def set_value(job: Job, path: str, value: Any) -> Job:
    """The job with one entry changed, every entry checked again.

    Parameters
    ----------
    path : str
        As in error messages, e.g. ``truck.wheelbase_m.best`` or ``rig.arms[1].length_m``.
    value : Any
        New value in SI.

    Raises
    ------
    EditError
        When there is no such entry.
    RigFileError
        When the value is outside what the model allows.
    """
    steps = path.replace("[", ".[").split(".")
    return checked(_set(job, steps, value, path))


def value_at(job: Job, path: str) -> Any:
    """What stands at a path of the job, as `set_value` takes it.

    Raises
    ------
    EditError
        When there is no such entry.
    """
    node: Any = job
    for step in path.replace("[", ".[").split("."):
        try:
            node = node[int(step[1:-1])] if step.startswith("[") else getattr(node, step)
        except (AttributeError, IndexError, ValueError, TypeError) as error:
            raise EditError(path, "an entry of the rig", f"no {step!r}", str(error), plain=NOT_THERE) from None
    return node


def _set(node: Any, steps: list[str], value: Any, path: str) -> Any:
    if not steps:
        return value
    step, rest = steps[0], steps[1:]
    try:
        if step.startswith("["):
            index = int(step[1:-1])
            return (*node[:index], _set(node[index], rest, value, path), *node[index + 1 :])
        return _replaced(node, step, _set(getattr(node, step), rest, value, path), path)
    except (AttributeError, IndexError, ValueError, TypeError) as error:
        if isinstance(error, EditError):
            raise
        raise EditError(path, "an entry of the rig", f"no {step!r}", str(error), plain=NOT_THERE) from None


def _replaced(node: Any, key: str, value: Any, path: str) -> Any:
    try:
        return REPLACE(node, **{key: value})
    except ContradictionError as error:
        raise EditError(
            path, "a rig that can be", f"{value!r}", str(error), plain=error.words, numbers=error.numbers
        ) from None


# ---------------------------------------------------------------- joints


def drawn_in(job: Job, path: str, joint: object) -> object:
    """A joint as it is drawn in at a path: what stands at a hinge gets the sizes that follow from that hinge.

    Its weld stays open, so that it counts as not entered until somebody has entered that too.  The cross-member's weld
    gets the thinner of the two walls as its leg.
    """
    if path == "rig.sleeves.cross_weld" and isinstance(joint, Weld):
        sleeves = job.rig.sleeves
        return REPLACE(joint, leg_m=min(sleeves.section.wall_m, sleeves.cross_section.wall_m))
    place = _HINGE_END.fullmatch(path)
    if place is None or not isinstance(joint, ThroughSleeve | EndPlate | FaceLugs):
        return joint
    index, side = int(place["index"]), place["side"]
    return drawn_at_hinge(job.rig, index, joint, outer=side == "outer")


_HINGE_END = re.compile(r"rig\.arms\[(?P<index>\d+)\]\.hinge\.(?P<side>inner|outer)_end")


# ---------------------------------------------------------------- arms


def new_arm(index: int) -> Arm:
    """A plain arm to start from: standing joint, steel unknown, named by its place."""
    weld = Weld(leg_m=0.006, origin="typical")
    hinge = Hinge(
        pin=Pin(diameter_m=0.03, hole_m=0.0305),
        spacing_m=0.2,
        barrel_outer_m=0.06,
        barrel_length_m=0.05,
        lug_thickness_m=0.012,
        lug_edge_m=0.045,
        weld=weld,
    )
    section = RectTube(width_m=0.075, depth_m=0.075, wall_m=0.0064, wall_lost_m=None)
    reach = 5.0 * math.pi / 6.0
    return Arm(
        name=f"arm {index + 1}", section=section, length_m=0.6, hinge=hinge, turn_min_rad=-reach, turn_max_rad=reach
    )


def add_arm(job: Job) -> Job:
    """The job with one more arm at the end, like the last one; every pose has it fitted and straight.

    Earlier trial lifts had no such arm: in them it is left off.

    Raises
    ------
    RigFileError
        When the rig has as many arms as it may.
    """
    arms = job.rig.arms
    like = arms[-1] if arms else new_arm(0)
    # Nobody has made the new one's ends yet, nor measured its weld.
    hinge = REPLACE(like.hinge, inner_end=None, outer_end=None, weld=REPLACE(like.hinge.weld, origin="typical"))
    section = REPLACE(like.section, wall_lost_m=None)  # nor looked into its tube
    arm = REPLACE(
        like, section=section, name=_free_name(f"arm {len(arms) + 1}", [arm.name for arm in arms]), hinge=hinge
    )
    stance = ArmPose(turn_rad=arm.joint.stopped(0.0))
    poses = tuple(REPLACE(pose, arms=(*pose.arms, stance)) for pose in job.poses)
    off = REPLACE(stance, fitted=False)
    lifts = tuple(REPLACE(lift, pose=REPLACE(lift.pose, arms=(*lift.pose.arms, off))) for lift in job.trial_lifts)
    names = nominals.with_arm_copied(job.nominals, len(arms) - 1)
    changed = {
        "rig": REPLACE(job.rig, arms=(*arms, arm)),
        "poses": poses,
        "trial_lifts": lifts,
        "nominals": names,
    }
    return nominals.kept(checked(Job(**{**_entries(job), **changed})))


def remove_arm(job: Job, index: int) -> Job:
    """The job without one of its arms; every pose loses it too.

    Raises
    ------
    EditError
        When there is no such arm, or a trial lift was made with it.
    """
    if not 0 <= index < len(job.rig.arms):
        raise EditError("rig.arms", f"an arm from 1 to {len(job.rig.arms)}", str(index + 1), plain=NOT_THERE)

    def without(entries: tuple[Any, ...]) -> tuple[Any, ...]:
        return (*entries[:index], *entries[index + 1 :])

    if any(lift.pose.arms[index].fitted for lift in job.trial_lifts):
        raise EditError(
            "rig.arms",
            "an arm that no trial lift was made with",
            job.rig.arms[index].name,
            "Take the trial lift out first.",
            plain="A trial lift was made with {arm} fitted. Take the trial lift out first.",
            numbers={"arm": job.rig.arms[index].name},
        )
    poses = tuple(REPLACE(pose, arms=without(pose.arms)) for pose in job.poses)
    lifts = tuple(REPLACE(lift, pose=REPLACE(lift.pose, arms=without(lift.pose.arms))) for lift in job.trial_lifts)
    names = nominals.without_arm(job.nominals, index)
    changed = {
        "rig": REPLACE(job.rig, arms=without(job.rig.arms)),
        "poses": poses,
        "trial_lifts": lifts,
        "nominals": names,
    }
    return checked(Job(**{**_entries(job), **changed}))


def _entries(job: Job) -> dict[str, Any]:
    return {name: getattr(job, name) for name in job.__struct_fields__}


def _free_name(name: str, taken: list[str]) -> str:
    count, free = 2, name
    while free in taken:
        free, count = f"{name} ({count})", count + 1
    return free


# ---------------------------------------------------------------- named poses


def with_pose(job: Job, index: int, pose: Pose) -> Job:
    """The job with its pose at ``index`` replaced; whether the pose is possible is not checked."""
    return REPLACE(job, poses=(*job.poses[:index], pose, *job.poses[index + 1 :]))


def add_pose(job: Job, pose: Pose, name: str) -> Job:
    """The job with a copy of ``pose`` added at the end under a new name.

    Raises
    ------
    EditError
        When the name is empty or taken.
    """
    _refuse_taken(job, name)
    return checked(REPLACE(job, poses=(*job.poses, REPLACE(pose, name=name))))


def rename_pose(job: Job, index: int, name: str) -> Job:
    """The job with one pose renamed, in its moves too."""
    was = job.poses[index].name
    if was == name:
        return job
    _refuse_taken(job, name)
    moves = tuple(
        REPLACE(move, poses=tuple(name if stop == was else stop for stop in move.poses)) for move in job.moves
    )
    poses = (*job.poses[:index], REPLACE(job.poses[index], name=name), *job.poses[index + 1 :])
    return checked(REPLACE(job, poses=poses, moves=moves))


def remove_pose(job: Job, index: int) -> Job:
    """The job without one pose; neither the only one nor one of a move can be removed."""
    if len(job.poses) == 1:
        raise EditError("poses", "at least one pose", "none", LAST_POSE, plain=LAST_POSE)
    for move in job.moves:
        if job.poses[index].name in move.poses:
            raise EditError(
                "poses",
                "a pose that no move passes",
                f"one on the move {move.name!r}",
                "Take it out of the move first.",
                plain="The move ‘{move}’ passes this pose. Take it out of the move first.",
                numbers={"move": move.name},
            )
    return REPLACE(job, poses=(*job.poses[:index], *job.poses[index + 1 :]))


def _refuse_taken(job: Job, name: str) -> None:
    if not name.strip():
        raise EditError("poses", "a name for the pose", "nothing", plain="The pose needs a name.")
    if name in (pose.name for pose in job.poses):
        raise EditError(
            "poses",
            "a name not taken yet",
            repr(name),
            plain="There is a pose called ‘{name}’ already. Give this one another name.",
            numbers={"name": name},
        )


# ---------------------------------------------------------------- records


def with_approval(job: Job, approval: Approval | None) -> Job:
    """The job with the maker's approval entered, or with none."""
    return checked(REPLACE(job, approval=approval))


def with_log_entry(job: Job, entry: LogEntry) -> Job:
    """The job with one more line in the rig's log.

    Raises
    ------
    EditError
        When the log is full.
    """
    return checked(REPLACE(job, log=(*job.log, entry)))
