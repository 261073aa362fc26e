"""Exclusion zone: a circle about the front axle, where nobody stands, that a falling load or rig stays inside.

Its radius is the reach of the load from the middle of the front axle, plus half the load's diagonal in plan, plus the
height of the hook as room for rig and load to fall over (common practice, no source).  The circle holds for the pose
shown.  Arms that drift, or a load that swings out on its rigging, carry the load further, so the circle is the least to
keep clear and not a promise.
"""

from __future__ import annotations

import msgspec

from engine.base.geometry import ZERO, Number, Vec, most, sqrt
from engine.rig.kinematics import Placed
from engine.schema.model import Load


class ExclusionZone(msgspec.Struct, kw_only=True, frozen=True):
    """A circle on the floor, and the three lengths that add up to its radius."""

    centre_m: Vec
    radius_m: Number
    reach_m: Number
    half_load_m: Number
    height_m: Number


def exclusion_zone(placed: Placed, load: Load) -> ExclusionZone:
    """The circle to keep clear in a pose.

    Parameters
    ----------
    placed : Placed
        One pose or arrays of poses (...).
    load : Load
        For its size in plan.

    Returns
    -------
    ExclusionZone
    """
    hung = placed.load_centre_m
    reach_m = sqrt(hung.x * hung.x + hung.y * hung.y)
    half_load_m = sqrt(load.length_m**2 + load.width_m**2) / 2.0
    height_m = most(placed.hook_m.z, 0.0)
    return ExclusionZone(
        centre_m=ZERO,
        radius_m=reach_m + half_load_m + height_m,
        reach_m=reach_m,
        half_load_m=half_load_m,
        height_m=height_m,
    )
