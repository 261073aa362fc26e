"""One rig on two trucks: every wanted pose side by side.

The rig is the same, so the hook is as far ahead of the fork face on both.  A pose keeps the height of its hook, the
forks raised or lowered for it as far as they go; or it keeps its fork height, and the hook may come elsewhere.
"""

from __future__ import annotations

import math
from typing import Literal

import msgspec

from engine.base.formatting import KG_PER_LB, System
from engine.planning.sweep import Stop, Stopped, Tell, never, quiet
from engine.rig.check import Problem
from engine.rig.kinematics import drawn
from engine.schema.model import Job, Pose, Truck
from engine.shop.another_truck import FitLine, fits_truck, on_another_truck, tail_line, with_forks_set
from engine.worst_case.verdict import State, Verdict, evaluate

REPLACE = msgspec.structs.replace

STEP_ROUNDS = 4
"""The hook rises with the forks but for the upright's tilt: so many corrections bring it to a tenth of a millimetre."""

SAME_HEIGHT_M = 0.002
"""A hook no further off its height is as high (the miss that aiming allows)."""

Keeps = Literal["hook_height", "fork_height"]
"""What of a pose stays on the other truck."""

TAIL = "boom: room"
"""How the names of the gaps from the boom, its tail with it, to the truck begin."""


class OnTruck(msgspec.Struct, kw_only=True, frozen=True):
    """A pose on one truck, in the worst case; None where there is no verdict.

    ``uses`` are those of the tipping lines by name, ``least_gap_m`` the shortest gap left over what is wanted there,
    ``tail_over_m`` that of the boom to the truck, ``tail_is_short`` whether it is short as entered.  Where the forks
    must first be set to the sleeves' spread, ``state`` is that of the truck as it stands; ``state_once_set`` and the
    figures are those with the forks set.  ``hook_height_m`` is above the floor, ``reach_m`` ahead of the front axle.
    ``problem`` is why there is no verdict, ``left_out`` what leaves the pose not proven.
    """

    lift_m: float
    hook_height_m: float
    reach_m: float
    state: State
    state_once_set: State | None = None
    allowed_kg: float | None
    governing: str
    uses: dict[str, float]
    rear_kg: float | None
    light_kg: float | None
    least_gap_m: float | None
    tail_over_m: float | None = None
    tail_is_short: bool = False
    problem: Problem | None = None
    left_out: Problem | None = None


class SideBySide(msgspec.Struct, kw_only=True, frozen=True):
    """One wanted pose on both trucks.

    ``forks_to_m`` is the spread that the other truck's forks must first be set to; None where they stand right.
    """

    pose: str
    old: OnTruck
    new: OnTruck
    keeps: Keeps = "hook_height"
    forks_to_m: float | None = None

    @property
    def rise_m(self) -> float:
        """How much higher above the floor the hook is on the other truck; 0 where it is as high."""
        return _told(self.new.hook_height_m - self.old.hook_height_m)

    @property
    def further_m(self) -> float:
        """How much further ahead of the front axle the hook is on the other truck; 0 where it is as far."""
        return _told(self.new.reach_m - self.old.reach_m)

    @property
    def forks_stop(self) -> bool:
        """Whether the hook was to stay as high, and the other truck's forks do not go there."""
        return self.keeps == "hook_height" and self.rise_m != 0.0

    def gain_kg(self, units: System) -> float | None:
        """What the other truck allows more (less than zero: less), in whole units rounded toward no gain.

        Loads are compared as they are printed, rounded down; a gain is never more than there is.
        """
        if self.old.allowed_kg is None or self.new.allowed_kg is None:
            return None
        unit_kg = 1.0 if units == "metric" else KG_PER_LB
        printed = math.floor(self.new.allowed_kg / unit_kg) - math.floor(self.old.allowed_kg / unit_kg)
        there_is = math.floor((self.new.allowed_kg - self.old.allowed_kg) / unit_kg)
        return unit_kg * (min(printed, max(there_is, 0)) if printed > 0 else printed)


def put_on(job: Job, truck: Truck, keeps: Keeps) -> Job:
    """The job with another truck under the same rig, every pose with the height of its hook or with its fork height.

    A hook that the other truck's forks cannot bring to its height is as near to it as they go.
    """
    other = on_another_truck(job, truck)
    if keeps == "fork_height":
        return other
    return REPLACE(other, poses=tuple(as_high(other, pose, float(drawn(job, pose).hook_m.z)) for pose in job.poses))


def side_by_side(
    job: Job, truck: Truck, keeps: Keeps = "hook_height", stop: Stop = never, tell: Tell = quiet
) -> tuple[SideBySide, ...]:
    """Every pose of a job on its own truck, and as `put_on` puts it on another.

    ``stop`` and ``tell`` are called between two poses.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    other = put_on(job, truck, keeps)
    rows: list[SideBySide] = []
    for number, (pose, there) in enumerate(zip(job.poses, other.poses, strict=True)):
        tell(number / len(job.poses), pose.name)
        if stop():
            raise Stopped
        rows.append(
            SideBySide(
                pose=pose.name,
                old=_on(job, pose),
                new=_once_set(other, there),
                forks_to_m=None if with_forks_set(other) is other else other.rig.sleeves.welded_spread_m,
                keeps=keeps,
            )
        )
    return tuple(rows)


def what_fits(job: Job, truck: Truck, rows: tuple[SideBySide, ...]) -> tuple[FitLine, ...]:
    """Every line of what has to fit, with the boom's room in the poses compared; without rows nothing is said of it."""
    lines = fits_truck(job, truck)
    if not rows:
        return lines
    known = [(row.new.tail_over_m, row.pose) for row in rows if row.new.tail_over_m is not None]
    over_m, pose = min(known, default=(None, ""))
    tail = tail_line(truck, over_m, pose, is_short=any(row.new.tail_is_short for row in rows))
    return (*lines[:-1], tail, lines[-1])


def as_high(job: Job, pose: Pose, height_m: float) -> Pose:
    """The pose with its hook at a height, as near as the forks go."""
    upright = job.truck.upright
    for _ in range(STEP_ROUNDS):
        lift_m = pose.lift_m + height_m - float(drawn(job, pose).hook_m.z)
        pose = REPLACE(pose, lift_m=min(max(lift_m, upright.lift_min_m), upright.lift_max_m))
    return pose


def _on(job: Job, pose: Pose) -> OnTruck:
    verdict = evaluate(job, pose)
    worst, hook_m = verdict.worst_case, drawn(job, pose).hook_m
    standing = None if worst is None else worst.standing
    return OnTruck(
        lift_m=pose.lift_m,
        hook_height_m=float(hook_m.z),
        reach_m=float(hook_m.x),
        state=verdict.state,
        allowed_kg=None if worst is None else verdict.allowed_load_kg,
        governing=_governing(verdict),
        uses={} if standing is None else dict(standing.tipping_use),
        rear_kg=None if standing is None else standing.rear_weight_left_kg,
        light_kg=None if standing is None else standing.light_front_wheel_kg,
        least_gap_m=_least_m(_left_over_m(verdict)),
        tail_over_m=_least_m(_left_over_m(verdict, TAIL)),
        tail_is_short=any(check.name.startswith(TAIL) for check in verdict.room.short),
        problem=next(iter(verdict.problems), None),
        left_out=next(iter(verdict.not_entered), None),
    )


def _once_set(job: Job, pose: Pose) -> OnTruck:
    """A pose with the forks set to the sleeves' spread, and the state while they are not."""
    job_set = with_forks_set(job)
    on = _on(job_set, pose)
    return on if job_set is job else REPLACE(on, state=evaluate(job, pose).state, state_once_set=on.state)


def _governing(verdict: Verdict) -> str:
    """What allows no more: a limit, or what is in the way."""
    if verdict.worst_case is None:
        return ""
    short = verdict.room.short_at_worst
    return short[0].name if short else verdict.checks[verdict.worst_case.governing_index].name


def _left_over_m(verdict: Verdict, of: str = "") -> list[float]:
    """Gaps at worst left over what is wanted, of the pairs whose name begins so (all if left out)."""
    pairs = zip(verdict.room.checks, verdict.room.worst_m, strict=True)
    return [gap_m - float(check.demand) for check, gap_m in pairs if check.name.startswith(of)]


def _told(shift_m: float) -> float:
    """A shift of the hook, 0 where it is too little to say."""
    return shift_m if abs(shift_m) > SAME_HEIGHT_M else 0.0


def _least_m(gaps_m: list[float]) -> float | None:
    return min(gaps_m, default=None)
