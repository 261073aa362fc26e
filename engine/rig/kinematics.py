"""From a job and a pose to weights in space, along the chain of floor, truck, upright, forks, rig, hook and load.

Method.  `figures` gathers every number of the mechanics into one record of floats or arrays.  `place` walks the chain
once, link by link, each link a frame (rotation and origin) carried on from the one before, and puts the bodies into
their frames.  All shapes broadcast: a pose is plain floats, a sweep is arrays along axes of their own, and nothing is
expanded before it must be.

The chassis is what remains of the weighed truck without axle, upright, carriage and forks, these taken at the height at
which they were weighed.  So the truck's own axle weights come out exactly, and lift and tilt move only what really
moves.
"""

from __future__ import annotations

import math
from typing import overload

import msgspec

from engine.base.geometry import LEVEL, ZERO, Array, Frame, Number, Vec, gravity_direction, ratio
from engine.base.lazy import np
from engine.rig import hook_place
from engine.rig.rig_masses import rig_masses
from engine.schema.connections import BasePlate
from engine.schema.friction import friction_of
from engine.schema.model import Job, Pose, Rig, find_floor
from engine.schema.sections import mass_per_length_kg_m, outer_depth_m
from engine.schema.uncertainty_bands import tyre_stiffness_N_m

FORK_SHANK_HEIGHT_M = 0.55
"""Height of a fork shank, used only to split the fork's weight between blade and shank (common practice, no source)."""

UPRIGHT_PLACE = 0.5
"""Upright's centre as a share of the front overhang: between axle and fork face (common practice, no source)."""

CARRIAGE_BACK_M = 0.08
CARRIAGE_UP_M = 0.25
"""Carriage's centre behind the fork face and over the blades (common practice, no source)."""

INNER_UPRIGHT_SHARE = 0.5
"""A two-stage upright's inner frame rises half as far as the carriage."""


class Figures(msgspec.Struct, kw_only=True, frozen=True):
    """Every number of the mechanics, each a float or an array; shapes broadcast against each other.

    ``turns_rad`` has ``None`` for an arm that is not fitted.  ``bent_m`` is how far bending moves the rig's parts,
    empty until `engine.rig.deflection` fills it in, and ``give`` a factor on it (1: as drawn).  ``pinned`` is 1
    where the boom's pin is in and 0 where the boom is free to slide.  ``tyre_m_N`` is how far a front tyre gives under
    each newton, ``side_play_rad`` the play of upright and carriage to either side, ``off_place`` how much of what forks
    and jib mast may be off to the side counts (0 to 1), ``friction`` that of the tyres on the floor.
    """

    lift_m: Number
    tilt_rad: Number
    boom_out_m: Number
    turns_rad: tuple[Number | None, ...]
    fall_along: Number
    fall_across: Number
    front_axle_kg: Number
    rear_axle_kg: Number
    cg_height_m: Number
    wheelbase_m: Number
    front_overhang_m: Number
    front_track_m: Number
    pivot_height_m: Number
    steer_axle_kg: Number
    aboard_kg: tuple[Number, ...]
    sleeves_kg: Number
    jib_mast_kg: Number
    saddles_kg: Number
    boom_kg: Number
    arms_kg: tuple[Number, ...]
    hook_kg: Number
    rigging_kg: Number
    load_kg: Number
    pinned: Number = 1.0
    tyre_m_N: Number = 0.0
    side_play_rad: Number = 0.0
    off_place: Number = 0.0
    friction: Number = friction_of(None)
    bent_m: tuple[Number, ...] = ()
    give: Number = 1.0


class Body(msgspec.Struct, kw_only=True, frozen=True):
    """A weight in space; ``group`` is truck, rig, rigging or load; ``link`` names the frame it rides on."""

    name: str
    group: str
    link: str
    mass_kg: Number
    position_m: Vec


class Placed(msgspec.Struct, kw_only=True, frozen=True):
    """A pose placed in space: gravity, the frame of every link, the bodies, hook and load's centre.

    ``tip_m`` is the hook pin at the end of the last link, ``hook_m`` the bearing point plumb below it.  With the rig's
    bending counted, each further kilogram on the hook moves the hook by ``hook_per_kg_m`` and the rig's own first
    moment by ``rig_per_kg_kgm``.
    """

    figures: Figures
    gravity: Vec
    frames: dict[str, Frame]
    bodies: tuple[Body, ...]
    tip_m: Vec
    hook_m: Vec
    load_centre_m: Vec
    hook_per_kg_m: Vec = ZERO
    rig_per_kg_kgm: Vec = ZERO


STEER_AXLE = "steer axle"
"""Name of the one body that does not count on a side line: the axle rocks on its pivot."""


# ---------------------------------------------------------------- figures


def figures(job: Job, pose: Pose) -> Figures:
    """Nominal value of every number of the mechanics, for one pose.

    A slope of the floor that is not known is NaN, so that nothing worked out from it can pass for a number.
    """
    truck, rig, floor = job.truck, job.rig, find_floor(job, pose)
    return Figures(
        lift_m=pose.lift_m,
        tilt_rad=pose.tilt_rad,
        boom_out_m=boom_out_m(rig, pose),
        turns_rad=tuple(arm.turn_rad if arm.fitted else None for arm in pose.arms),
        fall_along=floor.fall_along.best if floor.fall_along else math.nan,
        fall_across=floor.fall_across.best if floor.fall_across else math.nan,
        front_axle_kg=truck.front_axle_kg.best,
        rear_axle_kg=truck.rear_axle_kg.best,
        cg_height_m=truck.cg_height_m.best,
        wheelbase_m=truck.wheelbase_m.best,
        front_overhang_m=truck.front_overhang_m.best,
        front_track_m=truck.front_track_m.best,
        pivot_height_m=truck.pivot_height_m.best,
        steer_axle_kg=truck.steer_axle_kg.best,
        aboard_kg=tuple(body.mass_kg.best if body.counted else 0.0 for body in truck.aboard),
        load_kg=job.load.mass_kg.best if pose.loaded else 0.0,
        rigging_kg=job.load.rigging_kg.best if pose.loaded else 0.0,
        pinned=1.0 if pose.hole is not None else 0.0,
        tyre_m_N=1.0 / tyre_stiffness_N_m(truck.tyres).best,
        friction=friction_of(floor.surface),
        **rig_masses(truck, rig),
    )


def boom_out_m(rig: Rig, pose: Pose) -> float:
    """How far the boom's end is ahead of the jib mast axis in this pose."""
    if pose.free_out_m is not None:
        return pose.free_out_m
    assert pose.hole is not None  # a pose has one of the two
    return hole_out_m(rig, pose.hole)


@overload
def hole_out_m(rig: Rig, hole: int) -> float: ...
@overload
def hole_out_m(rig: Rig, hole: Array) -> Array: ...
def hole_out_m(rig: Rig, hole: int | Array) -> Number:
    """Boom end ahead of the jib mast axis with pin hole ``hole`` (1 nearest the tail) under the boom pin."""
    boom, saddles = rig.boom, rig.saddles
    pin_x_m = saddles.front_x_m if saddles.pin_at == "front" else saddles.rear_x_m
    if isinstance(hole, int):
        return pin_x_m + boom.length_m - boom.hole_m(hole)
    holes_m = np.array([boom.hole_m(number) for number in range(1, boom.hole_count + 1)])
    return pin_x_m + boom.length_m - holes_m[np.asarray(hole, np.intp) - 1]


# ---------------------------------------------------------------- the chain


def place(job: Job, numbers: Figures) -> Placed:
    """A pose (or many) placed in space, with every body.

    Parameters
    ----------
    job : Job
        Gives the parts and the dimensions that are not in ``numbers``.
    numbers : Figures
        Floats or arrays that broadcast to the poses' shape (...).

    Returns
    -------
    Placed
    """
    chain = walk(job, numbers)
    bodies = (
        _truck_bodies(job, numbers, chain.frames) + rig_bodies(job, numbers, chain) + _hung(job, numbers, chain.hook_m)
    )
    return msgspec.structs.replace(chain, bodies=bodies)


def drawable(numbers: Figures) -> Figures:
    """Figures with an unknown floor taken as level; for drawing only, never for a verdict."""
    along, across = numbers.fall_along, numbers.fall_across
    if math.isfinite(along) and math.isfinite(across):
        return numbers
    level = {
        "fall_along": along if math.isfinite(along) else 0.0,
        "fall_across": across if math.isfinite(across) else 0.0,
    }
    return msgspec.structs.replace(numbers, **level)


def drawn(job: Job, pose: Pose) -> Placed:
    """One pose placed in space for drawing: a verdict's ``placed`` without the verdict."""
    return place(job, drawable(figures(job, pose)))


def walk(job: Job, numbers: Figures, inner: dict[str, Frame] | None = None) -> Placed:
    """The chain without its bodies: it gives hook and links at a fraction of the cost.

    ``inner`` are the frames up to the boom, if they are known already; only lift and tilt move them.
    """
    gravity = gravity_direction(numbers.fall_along, numbers.fall_across)
    frames = _frames(job, numbers, inner)
    last = frames[_last_link(numbers)]
    tip = last.at(_tip_x_m(job, numbers))
    hook = tip + gravity.times(job.rig.hook.drop_m)
    load = job.load
    return Placed(
        figures=numbers,
        gravity=gravity,
        frames=frames,
        bodies=(),
        tip_m=tip,
        hook_m=hook,
        load_centre_m=hook + gravity.times(load.sling_m + load.height_m / 2.0),
    )


def fitted_arms(numbers: Figures) -> tuple[int, ...]:
    """Indices of the arms fitted in this pose, from the boom outwards."""
    return tuple(index for index, turn in enumerate(numbers.turns_rad) if turn is not None)


def arm_link(index: int) -> str:
    """Frame name of the arm with this index (0 nearest the boom)."""
    return f"arm {index + 1}"


def _last_link(numbers: Figures) -> str:
    fitted = fitted_arms(numbers)
    return arm_link(fitted[-1]) if fitted else "boom"


def _tip_x_m(job: Job, numbers: Figures) -> Number:
    """Where the hook hangs along the last link (`hook_place`)."""
    fitted = fitted_arms(numbers)
    last = fitted[-1] if fitted else None
    end_m = numbers.boom_out_m if last is None else job.rig.arms[last].length_m
    return end_m - hook_place.back_m(job.rig, last)


def mast_base_z_m(rig: Rig) -> float:
    """Foot of the jib mast over the fork blades: on the sleeves' top face, or on a base plate over it."""
    base = rig.jib_mast.base
    return rig.sleeves.section.wall_m + (base.thickness_m if isinstance(base, BasePlate) else 0.0)


def boom_z_m(rig: Rig) -> float:
    """Boom's centreline over the jib mast's foot, along the jib mast."""
    return rig.jib_mast.length_m + rig.saddles.seat_m + outer_depth_m(rig.boom.section) / 2.0


def _frames(job: Job, numbers: Figures, inner: dict[str, Frame] | None = None) -> dict[str, Frame]:
    """Every link's frame, from the chassis outwards."""
    frames = dict(inner_frames(job, numbers) if inner is None else inner)
    link, end_m = frames["boom"], numbers.boom_out_m
    for index in fitted_arms(numbers):
        arm, turn_rad = job.rig.arms[index], numbers.turns_rad[index]
        assert turn_rad is not None  # the arm is fitted
        link = arm.joint.carried(Frame(link.axes, link.at(end_m, 0.0, arm.stack_m)), turn_rad)
        frames[arm_link(index)] = link
        end_m = arm.length_m
    return frames


def inner_frames(job: Job, numbers: Figures) -> dict[str, Frame]:
    """The frames up to the boom, as `walk` takes them."""
    rig, upright = job.rig, job.truck.upright
    tilted = LEVEL.raised(numbers.tilt_rad)
    pivot = Vec(upright.tilt_pivot_x_m, 0.0, upright.tilt_pivot_z_m)

    def on_upright(up_m: Number) -> Frame:
        ahead_m = numbers.front_overhang_m - upright.tilt_pivot_x_m
        return Frame(tilted, pivot + tilted.out(ahead_m, 0.0, up_m - upright.tilt_pivot_z_m))

    forks = on_upright(numbers.lift_m)
    leaned = tilted.raised(rig.jib_mast.lean_rad)
    mast = Frame(leaned, forks.at(rig.jib_mast.foot_x_m, 0.0, mast_base_z_m(rig)))
    return {
        "chassis": Frame(LEVEL, ZERO),
        "upright outer": on_upright(0.0),
        "upright inner": on_upright(INNER_UPRIGHT_SHARE * numbers.lift_m),
        "forks": forks,
        "jib mast": mast,
        "boom": Frame(leaned, mast.at(0.0, 0.0, boom_z_m(rig))),
    }


def _truck_bodies(job: Job, numbers: Figures, frames: dict[str, Frame]) -> tuple[Body, ...]:
    """The chassis by difference, the parts that move with the upright, and what is aboard."""
    truck = job.truck
    moving = _moving_parts(job, numbers)
    left_kg, chassis = chassis_left(job, numbers)
    axle = Vec(-numbers.wheelbase_m, 0.0, truck.rear_tyre_radius_m)
    bodies = [
        Body(name="chassis", group="truck", link="chassis", mass_kg=left_kg, position_m=chassis),
        Body(name=STEER_AXLE, group="truck", link=STEER_AXLE, mass_kg=numbers.steer_axle_kg, position_m=axle),
    ]
    bodies += [
        Body(name=name, group="truck", link=link, mass_kg=mass_kg, position_m=frames[link].at(x_m, 0.0, z_m))
        for name, mass_kg, link, x_m, z_m, _ in moving
    ]
    bodies += [
        Body(name=a.name, group="truck", link="chassis", mass_kg=kg, position_m=Vec(a.x_m, a.y_m, a.z_m))
        for a, kg in zip(truck.aboard, numbers.aboard_kg, strict=True)
        if a.counted
    ]
    return tuple(bodies)


def _moving_parts(job: Job, numbers: Figures) -> tuple[tuple[str, float, str, Number, float, float], ...]:
    """Name, mass, link, place on it (x, z) and how high the link was when weighed, of what rides on the upright."""
    truck, upright, forks = job.truck, job.truck.upright, job.truck.forks
    overhang, lift_was = numbers.front_overhang_m, truck.weighed_lift_m
    upright_x = -(1.0 - UPRIGHT_PLACE) * overhang
    upright_z = upright.lowered_height_m / 2.0
    blade_share = forks.length_m / (forks.length_m + FORK_SHANK_HEIGHT_M)
    fork_x = blade_share * forks.length_m / 2.0
    fork_z = (1.0 - blade_share) * FORK_SHANK_HEIGHT_M / 2.0
    return (
        ("upright outer", upright.outer_kg, "upright outer", upright_x, upright_z, 0.0),
        ("upright inner", upright.inner_kg, "upright inner", upright_x, upright_z, INNER_UPRIGHT_SHARE * lift_was),
        ("carriage", truck.carriage_kg, "forks", -CARRIAGE_BACK_M, CARRIAGE_UP_M, lift_was),
        ("forks", forks.mass_kg, "forks", fork_x, fork_z, lift_was),
    )


def chassis_left(job: Job, numbers: Figures) -> tuple[Number, Vec]:
    """Mass (kg) and place of the weighed truck without steer axle, upright, carriage and forks."""
    truck, overhang = job.truck, numbers.front_overhang_m
    left_kg = numbers.front_axle_kg + numbers.rear_axle_kg
    moment_x = -numbers.wheelbase_m * numbers.rear_axle_kg
    moment_z = left_kg * numbers.cg_height_m
    left_kg = left_kg - numbers.steer_axle_kg
    moment_x = moment_x + numbers.wheelbase_m * numbers.steer_axle_kg
    moment_z = moment_z - truck.rear_tyre_radius_m * numbers.steer_axle_kg
    for _, mass_kg, _, x_m, z_m, raised_m in _moving_parts(job, numbers):
        left_kg = left_kg - mass_kg
        moment_x = moment_x - mass_kg * (overhang + x_m)
        moment_z = moment_z - mass_kg * (raised_m + z_m)
    return left_kg, Vec(ratio(moment_x, left_kg), 0.0, ratio(moment_z, left_kg))


def sleeves_x_m(job: Job) -> float:
    """Centre of gravity of sleeves and cross-member together, ahead of the fork face.

    The cross-member is under the jib mast's foot.  If that is behind the sleeves' middle, the cross-member is counted
    at the middle: weights taken too far forward err on the safe side.
    """
    sleeves = job.rig.sleeves
    middle_m, foot_m = sleeves.heel_gap_m + sleeves.length_m / 2.0, job.rig.jib_mast.foot_x_m
    if foot_m <= middle_m:
        return middle_m
    pair_kg = 2.0 * mass_per_length_kg_m(sleeves.section) * sleeves.length_m
    cross_m = sleeves.spread_on(job.truck.forks) - sleeves.section.width_m
    cross_kg = mass_per_length_kg_m(sleeves.cross_section) * cross_m
    return middle_m + (foot_m - middle_m) * cross_kg / (pair_kg + cross_kg)


def rig_bodies(job: Job, numbers: Figures, chain: Placed) -> tuple[Body, ...]:
    """Weights of the rig's own parts on a chain: sleeves, jib mast, saddles, boom, fitted arms, hook."""
    rig, frames = job.rig, chain.frames
    sleeves, saddles, boom = rig.sleeves, rig.saddles, rig.boom
    sleeve_z = sleeves.section.wall_m - sleeves.section.depth_m / 2.0
    sleeve_x = sleeves_x_m(job)
    half_depth = outer_depth_m(boom.section) / 2.0
    saddle_x = (saddles.front_x_m + saddles.rear_x_m) / 2.0

    def body(name: str, link: str, mass_kg: Number, position_m: Vec) -> Body:
        return Body(name=name, group="rig", link=link, mass_kg=mass_kg, position_m=position_m)

    bodies = [
        body("sleeves", "forks", numbers.sleeves_kg, frames["forks"].at(sleeve_x, 0.0, sleeve_z)),
        body("jib mast", "jib mast", numbers.jib_mast_kg, frames["jib mast"].at(z_m=rig.jib_mast.length_m / 2.0)),
        body("saddles", "jib mast", numbers.saddles_kg, frames["boom"].at(saddle_x, 0.0, -half_depth)),
        body("boom", "boom", numbers.boom_kg, frames["boom"].at(numbers.boom_out_m - boom.length_m / 2.0)),
    ]
    for index in fitted_arms(numbers):
        link = arm_link(index)
        at = frames[link].at(rig.arms[index].length_m / 2.0)
        bodies.append(body(rig.arms[index].name, link, numbers.arms_kg[index], at))
    bodies.append(body("hook", _last_link(numbers), numbers.hook_kg, chain.hook_m))
    return tuple(bodies)


def _hung(job: Job, numbers: Figures, hook_m: Vec) -> tuple[Body, ...]:
    return (
        Body(name="rigging", group="rigging", link="hook", mass_kg=numbers.rigging_kg, position_m=hook_m),
        Body(name=job.load.name, group="load", link="hook", mass_kg=numbers.load_kg, position_m=hook_m),
    )
