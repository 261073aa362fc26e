"""Where an arm's end can go: the arc between its stops, everything else standing as it does."""

from __future__ import annotations

from engine.base.geometry import Vec
from engine.base.lazy import np
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.schema.model import Job

ARC_POINTS = 33
"""Chords of a half turn then stray from its arc by less than 0.2 % of the arm."""


def arm_arc(job: Job, placed: Placed, index: int) -> Vec | None:
    """Points (m) of the arc an arm's end runs on from its right (or lower) stop to its left (or upper) one.

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
    if index not in fitted_arms(placed.figures):
        return None
    arm, now = job.rig.arms[index], placed.figures.turns_rad[index]
    frame = placed.frames[arm_link(index)]
    least, most = arm.joint.stops
    return arm.joint.carried(frame, np.linspace(least - now, most - now, ARC_POINTS)).at(arm.length_m)
