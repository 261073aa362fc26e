"""Where the stay of a level arm runs, by its two points alone: lengths, and the two ends in the truck's frame."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.base.geometry import Frame, Vec
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.schema.connections import StayLink, StayStop
from engine.schema.model import Rig


class StayEnds(NamedTuple):
    """The point on the link before the arm and the one on the arm; a stop has one place for both."""

    inner_m: Vec
    arm_m: Vec


def stay_length_m(stay: StayLink, raised_rad: float) -> float:
    """Distance of a stay's two points with the arm raised by this angle."""
    c, s = math.cos(raised_rad), math.sin(raised_rad)
    x = stay.at_arm.x_m * c - stay.at_arm.z_m * s - stay.at_inner.x_m
    z = stay.at_arm.x_m * s + stay.at_arm.z_m * c - stay.at_inner.z_m
    return math.hypot(x, z)


def stay_lever_m(stay: StayLink, raised_rad: float) -> float:
    """Distance of the stay's line from the hinge axis; positive where a pull raises the arm."""
    c, s = math.cos(raised_rad), math.sin(raised_rad)
    x, z = stay.at_arm.x_m * c - stay.at_arm.z_m * s, stay.at_arm.x_m * s + stay.at_arm.z_m * c
    return (x * stay.at_inner.z_m - z * stay.at_inner.x_m) / stay_length_m(stay, raised_rad)


def stay_ends(rig: Rig, placed: Placed, index: int) -> StayEnds | None:
    """Both ends of a fitted arm's stay; None where it has none that is placed."""
    fitted, stay = fitted_arms(placed.figures), rig.arms[index].stay
    if index not in fitted or not isinstance(stay, StayLink | StayStop):
        return None
    frame = placed.frames[arm_link(index)]
    if isinstance(stay, StayStop):
        point = frame.at(stay.at.x_m, 0.0, stay.at.z_m)
        return StayEnds(point, point)
    place = fitted.index(index)
    before = placed.frames["boom" if place == 0 else arm_link(fitted[place - 1])]
    at_hinge = Frame(before.axes, frame.origin)
    return StayEnds(
        at_hinge.at(stay.at_inner.x_m, 0.0, stay.at_inner.z_m), frame.at(stay.at_arm.x_m, 0.0, stay.at_arm.z_m)
    )
