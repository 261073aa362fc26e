"""The load placard's numbers: for every usable pin hole and arm pose the load that may hang there, at any hook height.

Each is the least over all hook heights of the load chart, in the worst case, at the floor and tilt of one pose; where an
approval is entered no more than it allows, and only at fork heights it covers.  Rounded down, always.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np

from engine.limits.approval import LIFT_TOLERANCE_M, approved_load_kg
from engine.planning.load_chart import ArmSet, Chart, load_chart, usual_arm_sets, whole_down
from engine.rig.check import Problem
from engine.schema.joints import swings
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.uncertainty_bands import TAPE_M

SQUARE_RAD = math.pi / 2.0
MOST_ARM_SETS = 7
"""Columns that can be read at arm's length."""


class Cell(msgspec.Struct, kw_only=True, frozen=True):
    """Allowed load (kg, whole) and what gives first; ``None`` where the hook cannot be at any height."""

    allowed_kg: int | None
    governing: str


class Placard(msgspec.Struct, kw_only=True, frozen=True):
    """Cells of shape (hole, arm set).

    ``hook_m`` is the lowest and highest hook height the loads hold for; ``lift_max_m`` the fork height they end at.
    """

    problems: tuple[Problem, ...]
    holes: tuple[int, ...]
    out_m: tuple[float, ...]
    arm_sets: tuple[ArmSet, ...]
    cells: tuple[tuple[Cell, ...], ...]
    hook_m: tuple[float, float] | None
    lift_max_m: float


def placard(job: Job, pose: Pose) -> Placard:
    """The placard of one rig on one truck, floor and tilt as in ``pose``.

    Returns
    -------
    Placard
        With ``problems`` and no cells where nothing can be allowed.
    """
    return placard_of(job, load_chart(job, pose, placard_arm_sets(job)))


def placard_of(job: Job, chart: Chart) -> Placard:
    """The placard of a chart that has been worked out already."""
    arm_sets = chart.arm_sets
    top_m = min(job.truck.upright.lift_max_m, job.approval.lift_max_m if job.approval else math.inf)
    # A fork height is only read to a tape's worth: nearer to the approval's than that it may be over it.
    read_m = TAPE_M if job.approval is not None and top_m < job.truck.upright.lift_max_m else 0.0
    holds = np.isfinite(chart.allowed_kg) & (chart.lift_m <= top_m - read_m + LIFT_TOLERANCE_M)
    rows = []
    for hole in range(len(chart.holes) if not chart.problems else 0):
        row = []
        for arms in range(len(arm_sets)):
            at_heights = np.where(holds[arms, hole], chart.allowed_kg[arms, hole], np.inf)
            index = int(at_heights.argmin()) if at_heights.size else 0
            if not at_heights.size or not np.isfinite(at_heights[index]):
                row.append(Cell(allowed_kg=None, governing=""))
                continue
            row.append(
                _cell(
                    job,
                    float(at_heights[index]),
                    float(chart.lift_m[arms, hole, index]),
                    chart.names[chart.governing[arms, hole, index]],
                )
            )
        rows.append(tuple(row))
    at_all = [height for index, height in enumerate(chart.hook_heights_m) if holds[:, :, index].any()]
    return Placard(
        problems=chart.problems,
        holes=chart.holes,
        out_m=chart.out_m,
        arm_sets=arm_sets,
        cells=tuple(rows),
        hook_m=(min(at_all), max(at_all)) if at_all else None,
        lift_max_m=top_m,
    )


def _cell(job: Job, allowed_kg: float, lift_m: float, governing: str) -> Cell:
    approved = approved_load_kg(job, lift_m)
    if approved is not None and approved < allowed_kg:
        return Cell(allowed_kg=whole_down(approved), governing="approval")
    return Cell(allowed_kg=whole_down(allowed_kg), governing=governing)


def placard_arm_sets(job: Job) -> tuple[ArmSet, ...]:
    """Arms straight and left off one by one, square to each side, then as many of the job's own as can be read."""
    usual = usual_arm_sets(job)
    plain = usual[: len(job.rig.arms) + 1]
    return (*plain, *square_arm_sets(job), *usual[len(plain) :])[:MOST_ARM_SETS]


def square_arm_sets(job: Job) -> tuple[ArmSet, ...]:
    """All arms out to one side, the first standing hinge turned a quarter as far as its stops let it."""
    found = []
    for way, sign in (("left", 1.0), ("right", -1.0)):
        first, arms = True, []
        for arm in job.rig.arms:
            turned = first and swings(arm.joint)
            first = first and not turned
            arms.append(ArmPose(turn_rad=arm.joint.stopped(sign * SQUARE_RAD if turned else 0.0)))
        if arms:
            found.append(ArmSet(name=f"arms square to the {way}", arms=tuple(arms)))
    return tuple(found)
