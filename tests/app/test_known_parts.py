"""The working process keeps the parts of a question that have not changed, as the very objects it had."""

from __future__ import annotations

import math
import pickle

import msgspec

from app.workers.known_parts import KnownParts
from engine.schema.model import Job, Move, Pose
from tests.samples import sample

REPLACE = msgspec.structs.replace


def arrived(*arguments: object) -> tuple[object, ...]:
    """A question's arguments as they come out of the pipe: copies."""
    return pickle.loads(pickle.dumps(arguments))


def test_parts_that_have_not_changed_are_the_last_questions_own() -> None:
    job, known = sample("skerry_point_boatyard"), KnownParts()
    pose = job.poses[0]
    first, first_pose = known.swapped(arrived(job, pose))
    assert isinstance(first, Job)
    assert first == job and first_pose is first.poses[0]
    lifted = REPLACE(pose, lift_m=pose.lift_m + 0.1)
    longer = REPLACE(job.rig, boom=REPLACE(job.rig.boom, length_m=job.rig.boom.length_m + 0.01))
    changed = REPLACE(job, rig=longer, poses=(lifted, *job.poses[1:]))
    second, second_pose = known.swapped(arrived(changed, lifted))
    assert isinstance(second, Job) and isinstance(second_pose, Pose)
    assert second == changed and second_pose == lifted, "the answers stay those of the question asked"
    assert second.rig is not first.rig and second.rig.boom is not first.rig.boom
    for part in ("truck", "load", "policy", "floors", "surroundings", "approval"):
        assert getattr(second, part) is getattr(first, part), part
    assert all(one is other for one, other in zip(second.rig.arms, first.rig.arms, strict=True))
    assert all(one is other for one, other in zip(second.poses[1:], first.poses[1:], strict=True))
    again, _ = known.swapped(arrived(changed, lifted))
    assert again is second, "nothing has changed"


def test_what_differs_by_a_sign_of_nothing_or_a_missing_part_is_not_swapped() -> None:
    job, known = sample("skerry_point_boatyard"), KnownParts()
    flat = REPLACE(job.poses[0], tilt_rad=0.0)
    known.swapped(arrived(job, flat))
    fewer = REPLACE(job, poses=job.poses[:1], moves=())
    job_now, pose_now = known.swapped(arrived(fewer, REPLACE(flat, tilt_rad=-0.0)))
    assert isinstance(job_now, Job) and isinstance(pose_now, Pose)
    assert math.copysign(1.0, pose_now.tilt_rad) == -1.0
    assert job_now == fewer and len(job_now.poses) == 1
    move = Move(name="over", poses=("a", "b"))
    assert known.swapped(arrived(move, 0.4, ("side", "plan"))) == (move, 0.4, ("side", "plan"))
