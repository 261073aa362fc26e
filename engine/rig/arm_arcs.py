"""Where an arm's end can go: the arc between its stops, with nothing else moving."""

from __future__ import annotations

from engine.base.geometry import Vec
from engine.base.lazy import np
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import Placed, arm_link
from engine.schema.model import Job

ARC_POINTS = 33
"""The chords of a half turn then deviate from its arc by less than 0.2 % of the arm's length."""


def arm_arc(job: Job, placed: Placed, index: int) -> Vec | None:
    """Points (m) of the arc of an arm's end, from its right (or lower) stop to its left (or upper) one.

    Parameters
    ----------
    job : Job
    placed : Placed
        One pose.
    index : int
        Which arm, 0 nearest the boom.

    Returns
    -------
    Vec or None
        Each part of shape (points,); None when the arm is not fitted.
    """
    arm, now = job.rig.arms[index], placed.figures.turns_rad[index]
    if now is None:
        return None
    frame = placed.frames[arm_link(index)]
    least, most = joint_as_free(job.rig, index).stops
    return arm.joint.carried(frame, np.linspace(least - now, most - now, ARC_POINTS)).at(arm.length_m)
