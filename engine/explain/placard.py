"""The load placard's numbers: for every usable pin hole and arm pose the load that may hang there, at any hook height.

Each load is the least over the hook heights of the load chart, in the worst case, at the floor and tilt of one pose:
over those between which nothing is in the way of any arm pose in that hole, the longest stretch of them.
Where an approval is entered, the load is no more than it allows, and only fork heights that it covers count.  Loads are
always rounded down.  An arm pose whose load path is not wholly entered, or rests on an entry in question, has no load:
a placard is read by people who do not see what is missing.
"""

from __future__ import annotations

import math

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.limits.approval import LIFT_TOLERANCE_M, approved_load_kg
from engine.planning.load_chart import ArmSet, Chart, all_unsettled, load_chart, usual_arm_sets, whole_down
from engine.rig.check import Problem
from engine.rig.free_turn import joint_as_free
from engine.schema.joints import swings
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.uncertainty_bands import TAPE_M

SQUARE_RAD = math.pi / 2.0
MOST_ARM_SETS = 7
"""Columns that can be read at arm's length."""


class Cell(msgspec.Struct, kw_only=True, frozen=True):
    """Allowed load (whole kg) and the governing limit; ``None`` where no load may be printed."""

    allowed_kg: int | None
    governing: str


class Placard(msgspec.Struct, kw_only=True, frozen=True):
    """Cells of shape (hole, arm set).

    ``hook_m`` is the lowest and highest hook height that any load holds for, ``between_m`` those of each hole, None
    where no load does; ``lift_max_m`` is the greatest fork height.  ``unsettled`` is what leaves arm sets without a
    load (``proven`` False) because nothing says that they hold.
    """

    problems: tuple[Problem, ...]
    holes: tuple[int, ...]
    out_m: tuple[float, ...]
    arm_sets: tuple[ArmSet, ...]
    cells: tuple[tuple[Cell, ...], ...]
    between_m: tuple[tuple[float, float] | None, ...]
    hook_m: tuple[float, float] | None
    lift_max_m: float
    proven: tuple[bool, ...]
    unsettled: tuple[Problem, ...]


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
    holds &= ~chart.in_the_way & chart.proven[:, None, None]
    rows = [_hole(job, chart, holds, hole) for hole in range(len(chart.holes) if not chart.problems else 0)]
    ends = [between for between, _ in rows if between is not None]
    return Placard(
        problems=chart.problems,
        holes=chart.holes,
        out_m=chart.out_m,
        arm_sets=chart.arm_sets,
        cells=tuple(cells for _, cells in rows),
        between_m=tuple(between for between, _ in rows),
        hook_m=(min(low for low, _ in ends), max(high for _, high in ends)) if ends else None,
        lift_max_m=top_m,
        proven=tuple(bool(proven) for proven in chart.proven),
        unsettled=all_unsettled(chart),
    )


def _hole(
    job: Job, chart: Chart, holds: NDArray[np.bool_], hole: int
) -> tuple[tuple[float, float] | None, tuple[Cell, ...]]:
    """The hook heights of one hole, and its cells: of every arm pose that holds at all of those heights."""
    clear = np.asarray(holds[:, hole])  # (arm sets, heights)
    kept = [arm_set for arm_set in range(len(clear)) if clear[arm_set].any()]
    while kept and not clear[kept].all(axis=0).any():
        kept.remove(min(kept, key=lambda arm_set: int(clear[arm_set].sum())))
    nothing = Cell(allowed_kg=None, governing="")
    if not kept:
        return None, (nothing,) * len(chart.arm_sets)
    low, high = _longest_run(np.atleast_1d(clear[kept].all(axis=0)))
    cells = tuple(
        _cell(job, chart, (arm_set, hole), low, high) if arm_set in kept else nothing
        for arm_set in range(len(chart.arm_sets))
    )
    return (chart.hook_heights_m[low], chart.hook_heights_m[high]), cells


def _longest_run(true: NDArray[np.bool_]) -> tuple[int, int]:
    """First and last place of the longest run, the last of those as long."""
    best, start = (0, -1), 0
    for place, value in enumerate(true):
        if not value:
            start = place + 1
        elif place - start >= best[1] - best[0]:
            best = start, place
    return best


def _cell(job: Job, chart: Chart, column: tuple[int, int], low: int, high: int) -> Cell:
    """The least of one column of the chart (arm set, hole) over a stretch of hook heights."""
    row = low + int(chart.allowed_kg[column][low : high + 1].argmin())
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
