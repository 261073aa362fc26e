"""The load placard's numbers: for every usable pin hole and arm pose the load that may hang there, at any hook height.

Each load is the least over all hook heights of the load chart, in the worst case, at the floor and tilt of one pose.
Where an approval is entered, the load is no more than it allows, and only fork heights that it covers count.  Loads are
always rounded down.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.limits.approval import LIFT_TOLERANCE_M, approved_load_kg
from engine.planning.load_chart import ArmSet, Chart, load_chart, usual_arm_sets, whole_down
from engine.rig.check import Problem
from engine.rig.free_turn import joint_as_free
from engine.schema.joints import swings
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.uncertainty_bands import TAPE_M

SQUARE_RAD = math.pi / 2.0
MOST_ARM_SETS = 7
"""Columns that can be read at arm's length."""


class Cell(msgspec.Struct, kw_only=True, frozen=True):
    """Allowed load (whole kg) and the governing limit; ``None`` where the hook cannot be at any height."""

    allowed_kg: int | None
    governing: str


class Placard(msgspec.Struct, kw_only=True, frozen=True):
    """Cells of shape (hole, arm set).

    ``hook_m`` is the lowest and highest hook height that the loads hold for, ``lift_max_m`` the greatest fork height.
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
    """The placard of a load chart."""
    top_m = min(job.truck.upright.lift_max_m, job.approval.lift_max_m if job.approval else math.inf)
    # A fork height is read with a tape: one nearer to the approval's than a tape's error may be above it.
    reading_error_m = TAPE_M if job.approval is not None and top_m < job.truck.upright.lift_max_m else 0.0
    holds = np.isfinite(chart.allowed_kg) & (chart.lift_m <= top_m - reading_error_m + LIFT_TOLERANCE_M)
    cells = tuple(
        tuple(_cell(job, chart, holds, (arm_set, hole)) for arm_set in range(len(chart.arm_sets)))
        for hole in range(len(chart.holes) if not chart.problems else 0)
    )
    heights_m = [height_m for row, height_m in enumerate(chart.hook_heights_m) if holds[:, :, row].any()]
    return Placard(
        problems=chart.problems,
        holes=chart.holes,
        out_m=chart.out_m,
        arm_sets=chart.arm_sets,
        cells=cells,
        hook_m=(min(heights_m), max(heights_m)) if heights_m else None,
        lift_max_m=top_m,
    )


def _cell(job: Job, chart: Chart, holds: NDArray[np.bool_], column: tuple[int, int]) -> Cell:
    """The least of one column of the chart (arm set, hole) over the hook heights at which it holds."""
    if not holds[column].any():
        return Cell(allowed_kg=None, governing="")
    row = int(np.where(holds[column], chart.allowed_kg[column], np.inf).argmin())
    allowed_kg = float(chart.allowed_kg[column][row])
    approved_kg = approved_load_kg(job, float(chart.lift_m[column][row]))
    if approved_kg is not None and approved_kg < allowed_kg:
        return Cell(allowed_kg=whole_down(approved_kg), governing="approval")
    return Cell(allowed_kg=whole_down(allowed_kg), governing=chart.names[chart.governing[column][row]])


def placard_arm_sets(job: Job) -> tuple[ArmSet, ...]:
    """Arms straight and left off one by one, square to each side, then the job's own up to what can be read."""
    usual = usual_arm_sets(job)
    plain = usual[: len(job.rig.arms) + 1]
    return (*plain, *square_arm_sets(job), *usual[len(plain) :])[:MOST_ARM_SETS]


def square_arm_sets(job: Job) -> tuple[ArmSet, ...]:
    """All arms out to one side: the first standing hinge turned a quarter turn, or as far as its stops let it."""
    if not job.rig.arms:
        return ()
    first = next((index for index, arm in enumerate(job.rig.arms) if swings(arm.joint)), None)

    def towards(side_rad: float) -> tuple[ArmPose, ...]:
        return tuple(
            ArmPose(turn_rad=joint_as_free(job.rig, index).stopped(side_rad if index == first else 0.0))
            for index, arm in enumerate(job.rig.arms)
        )

    return (
        ArmSet(name="arms square to the left", arms=towards(SQUARE_RAD)),
        ArmSet(name="arms square to the right", arms=towards(-SQUARE_RAD)),
    )
