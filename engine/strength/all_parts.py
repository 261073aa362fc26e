"""Every strength limit of a placed pose, part by part from the hook inwards: the entry to this package."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from engine.rig.check import Check
from engine.rig.figure_vector import inputs_of, shape_among
from engine.rig.kinematics import Figures, Placed
from engine.rig.load_path import LoadPath, load_path, rig_parts
from engine.schema.model import Job
from engine.strength import (
    arms,
    boom,
    cross_weld,
    foot_weld,
    forks,
    hinges,
    hook_joint,
    jib_mast,
    rigging,
    saddle_bed,
    saddles,
    sleeves,
)
from engine.strength.cuts import Cuts, PullDirection, along_an_axis, calm_pull, cuts_of, pull_directions
from engine.strength.linear_in_load import worse_of, worst_along

FEW = 500
"""Poses up to which an array operation takes as long for one as for all."""


def checks(job: Job, placed: Placed) -> list[Check]:
    """Every limit of the rig's own parts and of the forks, each under the worst pull direction.

    Parameters
    ----------
    job : Job
    placed : Placed
        The pose, leaned by the policy's own lean already; one pose or arrays of poses (...).

    Returns
    -------
    list of Check
        From the hook inwards.  Always the same checks in the same order for one rig with the same arms fitted.
    """
    path = load_path(rig_parts(placed))
    directions = pull_directions(placed, job.policy)
    worst = _under_the_worst(job, placed, path, directions)
    if len(directions) == 1:
        return worst
    # With a contact in its play the base may be worse off between the corners than at them: heels just level.
    calm = _base_checks(job, placed, cuts_of(job, placed, path, calm_pull(placed, job.policy)))
    base = [worse_of(*pair) for pair in zip(worst[-len(calm) :], calm, strict=True)]
    return [*worst[: -len(calm)], *base]


def checks_off_plumb(job: Job, placed: Placed) -> list[Check]:
    """Every limit under one pull alone, off plumb forwards and to the left: for a search that learns what others add.

    Arguments as in `checks`, and the same checks in the same order.
    """
    path = load_path(rig_parts(placed))
    return checks_under(job, placed, cuts_of(job, placed, path, pull_directions(placed, job.policy)[0]))


def outer_checks(job: Job, placed: Placed, *, with_boom: bool) -> list[Check]:
    """Limits of the arms and their hinges, and maybe of boom and saddle straps, under every pull direction in turn.

    They depend on nothing nearer to the truck than the part they are of: for a search that chooses parts from the hook
    inwards.  Arguments as in `checks`; each limit comes once for each direction.
    """
    path = load_path(rig_parts(placed))
    found: list[Check] = []
    for direction in pull_directions(placed, job.policy):
        cuts = cuts_of(job, placed, path, direction)
        found += [*arms.checks(job, placed, cuts), *hinges.checks(job, placed, cuts)]
        if with_boom:
            found += [*boom.checks(job, placed, cuts), *saddles.checks(job, cuts)]
    return found


def _under_the_worst(job: Job, placed: Placed, path: LoadPath, directions: Sequence[PullDirection]) -> list[Check]:
    """Every limit under the worst of the directions: all at once for a few poses, else one after the other."""
    shape = _shape_of_few(placed.figures)
    if shape is not None and len(directions) > 1:
        every = checks_under(job, placed, cuts_of(job, placed, path, along_an_axis(directions, shape)))
        return [worst_along(check, len(directions), len(shape)) for check in every]
    worst = checks_under(job, placed, cuts_of(job, placed, path, directions[0]))
    for direction in directions[1:]:
        rivals = checks_under(job, placed, cuts_of(job, placed, path, direction))
        worst = [worse_of(*pair) for pair in zip(worst, rivals, strict=True)]
    return worst


def _shape_of_few(numbers: Figures) -> tuple[int, ...] | None:
    """Shape of a few poses, worth taking all pull directions at once; None for one pose, many, or a recording's."""
    inputs = inputs_of(numbers)
    if not all(isinstance(number, float | int | np.ndarray) for number in inputs):
        return None
    shape = shape_among(inputs)
    return shape if shape and math.prod(shape) <= FEW else None


def checks_under(job: Job, placed: Placed, cuts: Cuts) -> list[Check]:
    """Every limit under one pull direction."""
    return [
        *rigging.checks(job, cuts),
        *hook_joint.checks(job, cuts),
        *arms.checks(job, placed, cuts),
        *hinges.checks(job, placed, cuts),
        *boom.checks(job, placed, cuts),
        *saddles.checks(job, cuts),
        *saddle_bed.checks(job, cuts),
        *jib_mast.checks(job, cuts),
        *foot_weld.checks(job, cuts),
        *_base_checks(job, placed, cuts),
    ]


def _base_checks(job: Job, placed: Placed, cuts: Cuts) -> list[Check]:
    return [
        *sleeves.checks(job, cuts),
        *cross_weld.checks(job, cuts),
        *forks.checks(job, placed.figures.lift_m, cuts),
    ]
