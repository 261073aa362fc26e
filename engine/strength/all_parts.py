"""Every strength limit of a placed pose, part by part from the hook inwards: the entry to this package."""

from __future__ import annotations

from engine.rig.check import Check
from engine.rig.kinematics import Placed
from engine.rig.load_path import load_path, rig_parts
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
from engine.strength.cuts import Cuts, calm_pull, cuts_of, pull_directions
from engine.strength.linear_in_load import worse_of


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
    first, *others = pull_directions(placed, job.policy)
    worst = checks_under(job, placed, cuts_of(job, placed, path, first))
    for direction in others:
        rivals = checks_under(job, placed, cuts_of(job, placed, path, direction))
        worst = [worse_of(*pair) for pair in zip(worst, rivals, strict=True)]
    if others:
        # With a contact in its play the base may be worse off between the corners than at them: heels just level.
        calm = _base_checks(job, placed, cuts_of(job, placed, path, calm_pull(placed, job.policy)))
        base = [worse_of(*pair) for pair in zip(worst[-len(calm) :], calm, strict=True)]
        worst = [*worst[: -len(calm)], *base]
    return worst


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
