"""Every strength limit of a placed pose, part by part from the hook inwards.

The one entry to this package for verdict, doubt and planning.
"""

from __future__ import annotations

from engine.rig.check import Check
from engine.rig.kinematics import Placed
from engine.schema.model import Job
from engine.strength import arms, boom, foot_weld, forks, hinges, hook_pin, jib_mast, saddles, sleeves
from engine.strength.chain import Chain, chain, pull_directions
from engine.strength.linear_in_load import worse


def checks(job: Job, placed: Placed) -> list[Check]:
    """Every limit of the rig's own parts and of the forks, each under the worst way of pulling.

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
    found: list[Check] | None = None
    for way in pull_directions(placed, job.policy):
        under_way = under(job, placed, chain(job, placed, way))
        found = under_way if found is None else [worse(a, b) for a, b in zip(found, under_way, strict=True)]
    return found


def under(job: Job, placed: Placed, links: Chain) -> list[Check]:
    """Every limit under one way of pulling."""
    return [
        *hook_pin.checks(job, links),
        *arms.checks(job, links),
        *hinges.checks(job, placed, links),
        *boom.checks(job, links),
        *saddles.checks(job, links),
        *jib_mast.checks(job, links),
        *foot_weld.checks(job, links),
        *sleeves.checks(job, links),
        *forks.checks(job, links),
    ]
