"""Outlines of truck and rig seen from the side, each a path in its own link's axes (mm, y down), built once per rig.

The truck is a plain box-and-guard figure scaled on the job's dimensions and on the usual sizes that its room is checked
with (`engine.rig.truck_solids`), so that it reads as a counterbalanced truck and as nobody's in particular.  What
nobody has measured of its shape is dashed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainterPath

from app.canvas.shapes import circle, line, polygon, rectangle
from app.canvas.transform import MM_PER_M, side
from engine.base.geometry import Axes
from engine.base.lazy import lazy
from engine.rig import strap_pieces
from engine.rig.boom_stops import STOP_M, made_stops, stop_size_m
from engine.rig.hinge_boxes import boom_short_m
from engine.rig.kinematics import FORK_SHANK_HEIGHT_M
from engine.rig.truck_solids import (
    CARRIAGE_X_M,
    CARRIAGE_Z_M,
    GUARD_AHEAD_M,
    GUARD_BACK_M,
    GUARD_HEIGHT_M,
    LEG_M,
    RAIL_FROM_M,
    RAIL_X_M,
    REAR_OVERHANG_M,
    ROOF_M,
    truck_boxes,
)
from engine.schema.connections import BasePlate, HeelChain, HeelPin
from engine.schema.model import Arm, Job, Truck, TruckRole, hinge_of
from engine.schema.sections import outer_depth_m

if TYPE_CHECKING:
    from engine.strength import gussets as strength_of_gussets
else:
    strength_of_gussets = lazy("engine.strength.gussets")

GROUND_STEP_M = 0.25
"""Between two ticks under the ground line."""

CHAIN_M = 0.05
"""How far ahead of the sleeve's end a heel chain is drawn."""

GUSSETS = ("gussets", "gussets not counted")
"""Parts that stand in the corners of the jib mast's foot."""

# ---------------------------------------------------------------- truck


def rear_end_m(truck: Truck) -> float:
    """Back of the counterweight."""
    behind = truck.rear_overhang_m.best if truck.rear_overhang_m else REAR_OVERHANG_M
    return -truck.wheelbase_m.best - behind


def body(truck: Truck) -> QPainterPath:
    """Chassis and counterweight in one outline."""
    base, rear = truck.wheelbase_m.best, rear_end_m(truck)
    front = truck.front_overhang_m.best - 0.30
    return polygon(
        (
            (front, 0.26),
            (front, 0.66),
            (-0.18 * base, 0.66),
            (-0.24 * base, 0.56),
            (-0.40 * base, 0.56),
            (-0.43 * base, 0.98),
            (rear + 0.10, 1.06),
            (rear + 0.03, 0.98),
            (rear, 0.62),
            (rear + 0.05, 0.34),
            (-base + 0.02, 0.22),
            (-0.5 * base, 0.20),
        )
    )


def counterweight(truck: Truck) -> QPainterPath:
    """The balance mass, shaded darker."""
    base, rear = truck.wheelbase_m.best, rear_end_m(truck)
    return polygon(
        (
            (-0.78 * base, 1.0),
            (rear + 0.10, 1.06),
            (rear + 0.03, 0.98),
            (rear, 0.62),
            (rear + 0.05, 0.34),
            (-0.86 * base, 0.28),
        )
    )


def guard(truck: Truck) -> QPainterPath:
    """Overhead guard, seat and steering column."""
    base, path = truck.wheelbase_m.best, QPainterPath()
    top = truck.guard_height_m.best if truck.guard_height_m else GUARD_HEIGHT_M
    under, rear, front = top - ROOF_M, GUARD_BACK_M - base, GUARD_AHEAD_M
    if truck.has_guard:
        path.addPath(polygon(((front, 0.66), (front - LEG_M, 0.66), (front - LEG_M, under), (front, under))))
        path.addPath(polygon(((rear, 1.02), (rear + LEG_M, 1.02), (rear + LEG_M, under), (rear, under))))
        path.addPath(rectangle(rear, front, under, top))
    path.addPath(polygon(((-0.74 * base, 0.99), (-0.48 * base, 0.98), (-0.47 * base, 1.06), (-0.74 * base, 1.08))))
    path.addPath(polygon(((-0.74 * base, 1.08), (-0.70 * base, 1.08), (-0.74 * base, 1.52), (-0.78 * base, 1.50))))
    path.addPath(polygon(((-0.25, 0.66), (-0.21, 0.66), (-0.36, 1.20), (-0.39, 1.19))))
    return path


_SHOWN: tuple[TruckRole, ...] = ("driver", "crosshead", "backrest")
"""Roles that no part of the figure stands for."""


def shape(truck: Truck, frame: str, *, usual: bool) -> QPainterPath:
    """Boxes of the truck's shape on a frame: those measured, or the usual ones that the figure has no part for."""
    path = QPainterPath()
    for one in truck_boxes(truck):
        if one.frame == frame and one.usual is usual and (not usual or one.role in _SHOWN):
            x, _, z = one.box
            path.addPath(rectangle(*x, *z))
    return path


def wheel(radius_m: float) -> QPainterPath:
    """Tyre, rim and hub about the hub's centre."""
    path = circle(0.0, 0.0, radius_m)
    path.addPath(circle(0.0, 0.0, radius_m * 0.56))
    path.addPath(circle(0.0, 0.0, radius_m * 0.14))
    return path


def upright(truck: Truck, inner: bool) -> QPainterPath:
    """One frame of the upright, its foot at the upright's origin (fork face, floor)."""
    height = truck.upright.lowered_height_m
    rear, front = RAIL_X_M
    middle = (rear + front) / 2.0
    return rectangle(middle, front, RAIL_FROM_M, height) if inner else rectangle(rear, middle, RAIL_FROM_M, height)


def carriage() -> QPainterPath:
    """The plate the forks hang on."""
    return rectangle(*CARRIAGE_X_M, *CARRIAGE_Z_M)


def forks(truck: Truck) -> QPainterPath:
    """Blade and shank of the near fork."""
    thick, length = truck.forks.thickness_m, truck.forks.length_m
    return polygon(
        (
            (-thick, FORK_SHANK_HEIGHT_M),
            (0.0, FORK_SHANK_HEIGHT_M),
            (0.0, 0.0),
            (length, 0.0),
            (length, -0.012),
            (0.35 * length, -thick),
            (-thick, -thick),
        )
    )


# ---------------------------------------------------------------- rig


def sleeve(job: Job) -> QPainterPath:
    """The near sleeve over its fork, in the fork frame."""
    sleeves = job.rig.sleeves
    top = sleeves.section.wall_m
    return rectangle(sleeves.heel_gap_m, sleeves.heel_gap_m + sleeves.length_m, top - sleeves.section.depth_m, top)


def heel_hold(job: Job) -> QPainterPath:
    """The heel pin under the blade, or the chain from heel to truck, in the fork frame; its place means no size.

    Empty where nothing holds the heel.
    """
    sleeves, forks, hold = job.rig.sleeves, job.truck.forks, job.rig.sleeves.heel_hold
    match hold:
        case HeelPin():
            radius = hold.pin.diameter_m / 2.0
            under_m = forks.thickness_m + (hold.below_m or 0.0)
            return circle(sleeves.heel_gap_m + 2.0 * radius, -under_m - radius, radius)
        case HeelChain():
            to_m = (-0.06, -0.04) if hold.to == "carriage" else (-forks.thickness_m, -forks.thickness_m)
            return line((sleeves.heel_gap_m + CHAIN_M, sleeves.section.wall_m), to_m)
        case _:
            return QPainterPath()


def cross_member(job: Job) -> QPainterPath:
    """The cross-member between the sleeves, cut, and the base plate on it, in the fork frame."""
    sleeves, section, base = job.rig.sleeves, job.rig.sleeves.cross_section, job.rig.jib_mast.base
    foot, top = job.rig.jib_mast.foot_x_m, sleeves.section.wall_m
    path = rectangle(foot - section.width_m / 2.0, foot + section.width_m / 2.0, top - section.depth_m, top)
    if isinstance(base, BasePlate):
        half = base.length_m / 2.0
        path.addPath(rectangle(foot - half, foot + half, top, top + base.thickness_m))
    return path


def jib_mast(job: Job, width_m: float) -> QPainterPath:
    """The jib mast from its foot up."""
    return rectangle(-width_m / 2.0, width_m / 2.0, 0.0, job.rig.jib_mast.length_m)


def gussets(job: Job, *, counted: bool) -> QPainterPath:
    """Gussets at the jib mast's foot that count, or that do not, in the mast's frame; those at its sides on edge."""
    path = QPainterPath()
    for row in gusset_rows(job):
        if (row.missing is None) is not counted:
            continue
        gusset, half = row.entered, outer_depth_m(job.rig.jib_mast.section) / 2.0
        if gusset.face in ("front", "back"):
            sign = 1.0 if gusset.face == "front" else -1.0
            corner = sign * half
            path.addPath(polygon(((corner, 0.0), (corner + sign * gusset.out_m, 0.0), (corner, gusset.up_m))))
            continue
        for offset in row.stands.offsets_m:
            thick = gusset.thickness_m / 2.0
            path.addPath(rectangle(offset - thick, offset + thick, 0.0, gusset.up_m))
    return path


def gusset_rows(job: Job) -> tuple[strength_of_gussets.Row, ...]:
    """Every row of gussets, and whether it counts."""
    rig = job.rig
    if not rig.jib_mast.gussets:
        return ()
    return strength_of_gussets.rows_of(rig.jib_mast, rig.sleeves, rig.sleeves.spread_on(job.truck.forks), job.policy)


def saddles(job: Job) -> QPainterPath:
    """The two straps as made and their shims, in the boom's frame (centreline of the boom over the mast axis)."""
    part, boom = job.rig.saddles, job.rig.boom
    half_boom, half_strap = boom.section.depth_m / 2.0, part.strap_length_m / 2.0
    inside_m = strap_pieces.inside_m(part, boom)[1] - half_boom
    top_m = inside_m + part.strap_thickness_m
    path = QPainterPath()
    shim_m = strap_pieces.shim_m(part)[1]
    for centre in (part.rear_x_m, part.front_x_m):
        along = centre - half_strap, centre + half_strap
        path.addPath(rectangle(*along, -half_boom - strap_pieces.below_m(part), top_m))
        if part.strap_make is not None:  # the underside of the strap's top, with the gap below it
            path.addPath(rectangle(*along, inside_m, top_m))
        if shim_m > 0.0:
            path.addPath(rectangle(*along, inside_m - shim_m, inside_m))
            path.addPath(rectangle(*along, -half_boom - shim_m, -half_boom))
    path.setFillRule(Qt.FillRule.WindingFill)  # a lapped leg lies over the bed: both are filled
    return path


def boom(job: Job) -> QPainterPath:
    """The boom with its pin holes, its end at the origin."""
    part = job.rig.boom
    half_depth = part.section.depth_m / 2.0
    path = rectangle(-part.length_m, -boom_short_m(job.rig), -half_depth, half_depth)
    for hole in range(1, part.hole_count + 1):
        x = part.hole_m(hole) - part.length_m
        path.addPath(circle(x, 0.0, part.pin.hole_m / 2.0))
    up_m = stop_size_m(job.rig)[1] - half_depth
    at_m = {"rear": -part.length_m - STOP_M, "front": -boom_short_m(job.rig)}
    for end in made_stops(job.rig):
        path.addPath(rectangle(at_m[end], at_m[end] + STOP_M, -half_depth, up_m))
    return path


def hinge_axis(arm: Arm, axes: Axes) -> QPainterPath:
    """Centre line of an arm's hinge pin about the arm's origin, in the truck's axes."""
    hinge = hinge_of(arm)
    reach = hinge.spacing_m / 2.0 + hinge.barrel_length_m
    end = arm.joint.pin(axes).times(reach)
    path = QPainterPath(side(end))
    path.lineTo(side(-end))
    return path


def hook(drop_m: float) -> QPainterPath:
    """Hanger and hook bow, the pin at the origin, bearing ``drop_m`` below."""
    radius = max(drop_m * 0.42, 0.03)
    path = QPainterPath(QPointF(0.0, 0.0))
    path.lineTo(0.0, (drop_m - 2.0 * radius) * MM_PER_M)
    path.addEllipse(QPointF(0.0, (drop_m - radius) * MM_PER_M), radius * MM_PER_M, radius * MM_PER_M)
    return path


# ---------------------------------------------------------------- floor


def ground(from_m: float, to_m: float) -> QPainterPath:
    """Ground line with short slanting ticks under it."""
    path = line((from_m, 0.0), (to_m, 0.0))
    for step in range(int((to_m - from_m) / GROUND_STEP_M)):
        x = from_m + step * GROUND_STEP_M
        path.addPath(line((x, -0.07), (x + 0.07, 0.0)))
    return path
