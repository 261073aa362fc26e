"""Where the stay of a level arm runs, by its two points alone: lengths, and the two ends in the truck's frame."""

from __future__ import annotations

import math
from typing import NamedTuple, TypeAlias

from engine.base.geometry import Frame, Vec, acos, atan2, cos, hypot, sin
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.schema.connections import StayLink, StayLug, StayPoint, StayStop
from engine.schema.model import Arm, Rig

LugBox: TypeAlias = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
"""From where to where a lug reaches along its link's own x, y and z (m)."""


class StayEnds(NamedTuple):
    """The point on the link before the arm and the one on the arm; a stop has one place for both."""

    inner_m: Vec
    arm_m: Vec


def stay_length_m(stay: StayLink, raised_rad: float) -> float:
    """Distance of a stay's two points with the arm raised by this angle."""
    c, s = cos(raised_rad), sin(raised_rad)
    x = stay.at_arm.x_m * c - stay.at_arm.z_m * s - stay.at_inner.x_m
    z = stay.at_arm.x_m * s + stay.at_arm.z_m * c - stay.at_inner.z_m
    return hypot(x, z)


def stay_turns_rad(stay: StayLink) -> tuple[tuple[float, float], ...]:
    """Ranges of the arm's raise in which the stay is between its two lengths: law of cosines about the hinge axis.

    A range that holds an angle within half a turn is among them; others, whole turns away, may be too.
    """
    inner, arm = stay.at_inner, stay.at_arm
    twice_m2 = 2.0 * hypot(inner.x_m, inner.z_m) * hypot(arm.x_m, arm.z_m)
    if twice_m2 == 0.0:
        same_m = stay_length_m(stay, 0.0)
        return ((-math.pi, math.pi),) if stay.length_min_m <= same_m <= stay.length_max_m else ()
    both_m2 = inner.x_m**2 + inner.z_m**2 + arm.x_m**2 + arm.z_m**2
    shortest, longest = ((both_m2 - length_m**2) / twice_m2 for length_m in (stay.length_min_m, stay.length_max_m))
    if shortest < -1.0 or longest > 1.0:
        return ()
    least, most = (acos(min(max(cosine, -1.0), 1.0)) for cosine in (shortest, longest))
    ahead = atan2(inner.z_m, inner.x_m) - atan2(arm.z_m, arm.x_m)
    return tuple(
        (low + ahead + whole, high + ahead + whole)
        for whole in (-2.0 * math.pi, 0.0, 2.0 * math.pi)
        for low, high in ((-most, -least), (least, most))
    )


def stay_lever_m(stay: StayLink, raised_rad: float) -> float:
    """Distance of the stay's line from the hinge axis; positive where a pull raises the arm."""
    c, s = cos(raised_rad), sin(raised_rad)
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


def stay_lug_boxes(arm: Arm, wall_m: float, *, outer: bool) -> tuple[LugBox, ...]:
    """The lug of an arm's stay on its own tube (``outer``) or on the link before it; empty without one.

    It stands on the wall, ``wall_m`` off the tube's middle, and reaches past the pin by the lug's edge.  The box is in
    the axes of its link, about the hinge at that tube's middle: along it, across it, up it (m).
    """
    stay = arm.stay
    if not isinstance(stay, StayLink) or stay.end_lug is None:
        return ()
    point, lug = (stay.at_arm, stay.end_lug) if outer else (stay.at_inner, stay.end_lug)
    return (_lug_box(point, lug, wall_m, 0.0 if outer else arm.stack_m),)


def _lug_box(point: StayPoint, lug: StayLug, wall_m: float, above_m: float) -> LugBox:
    half_m, thick_m, pin_m = lug.on_face_m / 2.0, lug.thickness_m / 2.0, point.z_m + above_m
    side = math.copysign(1.0, pin_m)
    low_m, high_m = sorted((side * wall_m, pin_m + side * lug.edge_m))
    return (point.x_m - half_m, point.x_m + half_m), (-thick_m, thick_m), (low_m, high_m)
