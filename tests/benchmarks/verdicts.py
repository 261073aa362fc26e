"""One pose: the whole verdict, the verdict without doubt, and what each arm more costs.

Every call gets a pose it has not seen just before, as a drag does, so that nothing can be answered from memory.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import msgspec
import numpy as np

from engine.limits import balance
from engine.limits.all_limits import find_checks
from engine.rig.kinematics import Placed, figures, place
from engine.schema.model import Job, Pose
from engine.worst_case.evaluator import record_ahead
from engine.worst_case.verdict import evaluate
from tests.benchmarks.effort import Effort
from tests.benchmarks.rigs import largest, with_arms
from tests.benchmarks.table import Goal, Ratio, Row, no_longer_than, row_of
from tests.benchmarks.timing import Call, turn_by_turn

GROUP = "One verdict"
VERDICT_MS = 1.5
STRAIGHT_WITHIN = 0.10
"""No number of arms may cost more than a straight line through all of them says, by this share of it."""

DIFFERENT_POSES = 97


def poses_around(job: Job, count: int = DIFFERENT_POSES) -> tuple[Pose, ...]:
    """A pose of the job lifted and turned a little, each time otherwise."""
    pose, upright = job.poses[0], job.truck.upright
    room_m = min(0.3, upright.lift_max_m - pose.lift_m)
    return tuple(
        msgspec.structs.replace(
            pose,
            lift_m=pose.lift_m + room_m * share,
            arms=tuple(msgspec.structs.replace(arm, turn_rad=arm.turn_rad + 0.05 * share) for arm in pose.arms),
        )
        for share in np.linspace(0.0, 1.0, count).tolist()
    )


def measure(effort: Effort) -> Iterator[Row]:
    """Rows of this group."""
    name, job = largest()
    record_ahead(job, job.poses[0])  # as the window does by itself in a quiet moment
    times = turn_by_turn(calls_on(job), effort.verdicts, warm=2)
    whole, best, bare = times["whole"], times["best"], times["bare"]
    yield row_of(
        GROUP,
        f"whole verdict: balance, plate, strength, worst case ({name})",
        whole,
        [Ratio(whole.over(best), "verdict without doubt")],
        [no_longer_than(VERDICT_MS, whole)],
    )
    yield row_of(GROUP, "verdict without doubt", best, [Ratio(best.over(bare), "bare sum of the same moments")])
    edited = turn_by_turn(
        {"edited": _after_an_edit(job), "whole": calls_on(job)["whole"]}, max(effort.verdicts // 20, 3), warm=1
    )
    yield row_of(
        GROUP,
        "whole verdict on a rig just changed, nothing remembered",
        edited["edited"],
        [Ratio(edited["edited"].over(edited["whole"]), "whole verdict")],
    )
    yield from _by_arms(effort)


def calls_on(job: Job) -> dict[str, Call]:
    """The verdict with and without doubt, and the moments alone in the plainest Python there is."""
    poses = poses_around(job)
    turns = {name: itertools.cycle(poses) for name in ("whole", "best")}
    placed = place(job, figures(job, poses[0]))
    return {
        "whole": lambda: evaluate(job, next(turns["whole"])),
        "best": lambda: without_doubt(job, next(turns["best"])),
        "bare": lambda: bare_moments_Nm(placed),
    }


def without_doubt(job: Job, pose: Pose) -> tuple[object, object]:
    """Balance and every limit at best values."""
    numbers = figures(job, pose)
    return balance.weigh(place(job, numbers)), find_checks(job, numbers)


def bare_moments_Nm(placed: Placed) -> list[float]:
    """Moment of every weight over the four lines, without allowances: the least any reckoning of balance has to do."""
    pull, corners = placed.gravity, balance.corners_m(placed)
    moments = []
    for _, a, b, left_out in balance.LINES:
        start, along = corners[a], (corners[b] - corners[a]).unit()
        axis_x = along.y * pull.z - along.z * pull.y
        axis_y = along.z * pull.x - along.x * pull.z
        axis_z = along.x * pull.y - along.y * pull.x
        total = 0.0
        for body in placed.bodies:
            if body.link not in left_out:
                at = body.position_m
                total -= body.mass_kg * (
                    (at.x - start.x) * axis_x + (at.y - start.y) * axis_y + (at.z - start.z) * axis_z
                )
        moments.append(total * balance.GRAVITY_M_S2)
    return moments


def _after_an_edit(job: Job) -> Call:
    """A verdict on a rig that is another object each time, as after every edit of a part."""
    poses = itertools.cycle(poses_around(job))

    def call() -> object:
        return evaluate(msgspec.structs.replace(job, rig=msgspec.structs.replace(job.rig)), next(poses))

    return call


# ---------------------------------------------------------------- by number of arms


def _by_arms(effort: Effort) -> Iterator[Row]:
    jobs = with_arms()[:: effort.arms_apart]
    for job in jobs:
        record_ahead(job, job.poses[0])
    times = turn_by_turn({str(len(job.rig.arms)): calls_on(job)["whole"] for job in jobs}, effort.arm_rounds, warm=2)
    counts = np.array([len(job.rig.arms) for job in jobs])
    medians, leasts = (
        np.array([getattr(arm_times, name) for arm_times in times.values()]) * 1e3 for name in ("median_s", "least_s")
    )
    per_arm, none_ms, off = straight_line(counts, medians)
    for count, arm_times in times.items():
        yield row_of(
            GROUP,
            f"whole verdict, {count} arm{'' if count == '1' else 's'}",
            arm_times,
            [Ratio(arm_times.over(times["0"]), "no arm")],
        )
    goal = Goal(
        f"within {STRAIGHT_WITHIN:.0%} of a straight line",
        off / STRAIGHT_WITHIN,
        straight_line(counts, leasts)[2] / STRAIGHT_WITHIN,
        of_the_machine=False,
    )
    ratios = (
        Ratio(per_arm / none_ms, "verdict without arms, by a straight line"),
        Ratio(off, "the straight line, farthest from it"),
    )
    arms = int(counts[-1])
    each_ms = [
        (most - none) * 1e3 / arms for none, most in zip(times["0"].seconds, times[str(arms)].seconds, strict=True)
    ]
    p99 = sorted(each_ms)[min(len(each_ms) - 1, int(0.99 * len(each_ms)))]
    yield Row(group=GROUP, what="each arm more", median=per_arm, p99=p99, ratios=ratios, goals=(goal,))


def straight_line(counts: np.ndarray, values: np.ndarray) -> tuple[float, float, float]:
    """Slope and start of the straight line nearest to some values, and how far they go over it, as a share of it."""
    slope, start = np.polyfit(counts, values, 1)
    line = start + slope * counts
    return float(slope), float(start), float(np.max(np.abs(values - line) / line))
