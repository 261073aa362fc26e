"""What each section of the load path carries: sums of the load path turned into cuts.

Method.  ``engine.rig.load_path`` says what the mass and first moment outboard of each part are.  At a cut through the
point p the outboard weights act with

    force = M a,    moment about p = (S - M p) x a,

and the hook load adds ``m h`` at the hook.  The rig's own weights pull along one acceleration a (gravity, plus
braking), all that hangs on the hook along another, h (the same times the dynamic factor, plus load swing).  Everything
is linear in the load: a `Cut` holds the fixed part and what each kilogram adds.

**In a turn** every weight is also pulled with the turn's field (`engine.rig.turning`), which differs from place to
place: each part at its middle, boom and arms as even rods about theirs, what hangs at the hook.

**Pull directions.**  Without swing and braking there is one.  Braking acts forwards or backwards (two).  Load swing
pulls the load sideways by ``tan(swing)`` of its felt weight in an unknown direction; it is taken along *and* across at
once, each in full, in the four sign combinations.  These four corners enclose the circle of all directions, and every
use is convex in the pull, so the worst corner is an upper bound: exact for one component alone, at most 1.41 times the
swing's own part for two together.  A turn has eight fields, each with every direction of the swing.

A cut is named for the section looked at.  Its force and moment are what the outboard side does to the inboard side, in
the link's own axes (x along boom and arms, z along the jib mast).  Boom cuts stand at the middle of the front strap:
with an ideal, knife-edge saddle there the bending is never less than under a strap of some length.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import msgspec
import numpy as np

from engine.base.geometry import GRAVITY_M_S2, Axes, Number, Vec, tan
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.rig.load_path import LoadPath, Outboard
from engine.rig.turning import HUNG, NO_PULL, Field, Pull, fields_of, pull_on_rod
from engine.schema.model import Job, Policy
from engine.strength.linear_in_load import Linear
from engine.strength.turned_path import TurnedPath, turned_path


class PullDirection(NamedTuple):
    """One way the weights may pull (m/s2): ``own`` on the rig's masses, ``hung`` on rigging and load.

    ``field`` is what a turn pulls the rig's masses with besides; what hangs has it in ``hung``.
    """

    own: Vec
    hung: Vec
    field: Field | None = None


class SectionForces(NamedTuple):
    """The six components of a cut as a member feels them, each linear in the load.

    ``axial`` is tension when positive.  ``up`` is in the plane of the section's depth, ``side`` across it.
    """

    axial: Linear
    shear_up: Linear
    shear_side: Linear
    twist: Linear
    bend_up: Linear
    bend_side: Linear


class Cut(msgspec.Struct, frozen=True):
    """What one section carries.

    ``forces`` is in the link's own ``axes``: along x with the depth in z, or (the jib mast) along z with the depth in
    x; moments about ``place_m``, which is in the truck's frame.
    """

    place_m: Vec
    axes: Axes
    forces: SectionForces


class Cuts(msgspec.Struct, frozen=True):
    """Every cut of one pose under one pull direction, from the hook inwards.

    ``arms`` pairs the index of each fitted arm with the cut at its hinge axis (boom side first).  ``boom`` is what
    stands outboard of the front saddle; ``boom_whole`` adds the boom inboard of it, for the saddles' reactions.
    ``forks`` is the whole rig about the fork face at the top of the blades.  ``idle`` pairs each link that carries an
    arm (None: the boom) with the cut at its own place for the hook, which stands empty meanwhile.  ``off_place``
    is as in the pose's figures.
    """

    load_kg: Number
    rigging_kg: Number
    pinned: Number
    hook: Cut
    arms: tuple[tuple[int, Cut], ...]
    boom: Cut
    boom_whole: Cut
    mast_top: Cut
    mast_foot: Cut
    forks: Cut
    idle: tuple[tuple[int | None, Cut], ...] = ()
    off_place: Number = 0.0


def pull_directions(placed: Placed, policy: Policy) -> tuple[PullDirection, ...]:
    """Every pull direction that the policy's allowances call for; one when it has neither swing nor braking."""
    gravity = placed.gravity.times(GRAVITY_M_S2)
    sway = tan(policy.swing_rad) * GRAVITY_M_S2 * policy.dynamic_factor
    brake = policy.braking * GRAVITY_M_S2
    directions = []
    for braking in (brake, -brake) if brake else (0.0,):
        own = gravity + Vec(braking, 0.0, 0.0) if braking else gravity
        hung = own.times(policy.dynamic_factor)
        for x, y in ((1, 1), (1, -1), (-1, 1), (-1, -1)) if sway else ((0, 0),):
            directions.append(PullDirection(own, hung + Vec(x * sway, y * sway, 0.0) if sway else hung))
    fields = fields_of(policy)
    if not fields:
        return tuple(directions)
    hook_m, hangs = placed.hook_m, HUNG * policy.dynamic_factor
    return tuple(
        PullDirection(own, hung + field.at(hook_m).times(hangs), field)
        for field in fields
        for own, hung, _ in directions
    )


def along_an_axis(directions: Sequence[PullDirection], shape: tuple[int, ...]) -> PullDirection:
    """Several directions as one, along a new first axis before the poses' own (...)."""

    def stacked(vectors: list[Vec]) -> Vec:
        return Vec(
            *(np.stack([np.broadcast_to(part, shape) for part in parts]) for parts in zip(*vectors, strict=True))
        )

    own, hung = stacked([one.own for one in directions]), stacked([one.hung for one in directions])
    fields = [one.field for one in directions if one.field is not None]
    if not fields:
        return PullDirection(own, hung)
    each = (-1, *(1,) * len(shape))
    return PullDirection(own, hung, Field(*(np.array(parts).reshape(each) for parts in zip(*fields, strict=True))))


def calm_pull(placed: Placed, policy: Policy) -> PullDirection:
    """The pull without swing and braking."""
    gravity = placed.gravity.times(GRAVITY_M_S2)
    return PullDirection(gravity, gravity.times(policy.dynamic_factor))


def cuts_of(job: Job, placed: Placed, path: LoadPath, direction: PullDirection) -> Cuts:
    """Every cut of a placed pose under one pull direction.

    Parameters
    ----------
    job : Job
    placed : Placed
        One pose or arrays of poses (...).
    path : LoadPath
        The pose's own weights alone, rigging and load left out.
    direction : PullDirection
        One of `pull_directions`.
    """
    rig, numbers, frames = job.rig, placed.figures, placed.frames
    fitted = fitted_arms(numbers)
    boom, mast, forks = frames["boom"], frames["jib mast"], frames["forks"]
    last = frames[arm_link(fitted[-1])] if fitted else boom

    def cut(outboard: Outboard, pull: Pull, place_m: Vec, axes: Axes, standing: bool = False) -> Cut:
        return _cut(outboard, pull, path.hook_m, numbers.rigging_kg, direction, place_m, axes, standing)

    front_x, out_m = rig.saddles.front_x_m, numbers.boom_out_m
    front_m = boom.at(front_x)
    overhang_kg = numbers.boom_kg * (out_m - front_x) / rig.boom.length_m
    middle_m = boom.at((out_m + front_x) / 2.0)
    overhang = path.beyond_boom.plus(overhang_kg, middle_m)
    turned = turned_path(job, placed, direction.field)
    overhang_pull = turned.beyond_boom
    if direction.field is not None:
        length_m = out_m - front_x
        overhang_pull = overhang_pull.plus(pull_on_rod(direction.field, overhang_kg, middle_m, boom.axes.x, length_m))
    return Cuts(
        load_kg=numbers.load_kg,
        rigging_kg=numbers.rigging_kg,
        pinned=numbers.pinned,
        hook=cut(path.hook, turned.hook, placed.tip_m, last.axes),
        arms=tuple(
            (index, cut(outboard, pull, frames[arm_link(index)].origin, frames[arm_link(index)].axes))
            for index, outboard, pull in zip(fitted, path.arms, turned.arms, strict=True)
        ),
        boom=cut(overhang, overhang_pull, front_m, boom.axes),
        boom_whole=cut(path.boom, turned.boom, front_m, boom.axes),
        mast_top=cut(path.saddles, turned.saddles, mast.at(z_m=rig.jib_mast.length_m), mast.axes, standing=True),
        mast_foot=cut(path.jib_mast, turned.jib_mast, mast.origin, mast.axes, standing=True),
        forks=cut(path.sleeves, turned.sleeves, forks.origin, forks.axes),
        idle=_idle(job, placed, path, turned, direction.field, cut),
        off_place=numbers.off_place,
    )


def _idle(
    job: Job,
    placed: Placed,
    path: LoadPath,
    turned: TurnedPath,
    field: Field | None,
    cut: Callable[[Outboard, Pull, Vec, Axes], Cut],
) -> tuple[tuple[int | None, Cut], ...]:
    """Cuts at the empty places for the hook, a short way behind the hinges of the arms that are fitted."""
    rig, numbers, behind_m = job.rig, placed.figures, job.rig.hook.behind_hinge_m
    fitted = fitted_arms(numbers)
    if behind_m is None or not fitted:
        return ()
    links: tuple[int | None, ...] = (None, *fitted[:-1])
    made = []
    for link, beyond, turned_beyond in zip(links, path.arms, turned.arms, strict=True):
        if link is None:
            frame, end_m, kg_m = placed.frames["boom"], numbers.boom_out_m, numbers.boom_kg / rig.boom.length_m
        else:
            frame, end_m = placed.frames[arm_link(link)], rig.arms[link].length_m
            kg_m = numbers.arms_kg[link] / end_m
        pull, stub_m = turned_beyond, frame.at(end_m - behind_m / 2.0)
        outboard = beyond.plus(kg_m * behind_m, stub_m)
        if field is not None:
            pull = pull.plus(pull_on_rod(field, kg_m * behind_m, stub_m, frame.axes.x, behind_m))
        made.append((link, cut(outboard, pull, frame.at(end_m - behind_m), frame.axes)))
    return tuple(made)


def _cut(
    outboard: Outboard,
    pull: Pull,
    hook_m: Vec,
    rigging_kg: Number,
    direction: PullDirection,
    place_m: Vec,
    axes: Axes,
    standing: bool,
) -> Cut:
    """Force and moment of all that is outboard; written out, because a drag makes some eight cuts a frame."""
    (ox, oy, oz), (hx, hy, hz), _ = direction
    mass, first = outboard
    px, py, pz = place_m
    lx, ly, lz = first.x - mass * px, first.y - mass * py, first.z - mass * pz
    fx, fy, fz = _own(axes, ox * mass + hx * rigging_kg, oy * mass + hy * rigging_kg, oz * mass + hz * rigging_kg)
    ux, uy, uz = _own(axes, hx, hy, hz)
    kx, ky, kz = hook_m.x - px, hook_m.y - py, hook_m.z - pz
    nx, ny, nz = _own(axes, ky * hz - kz * hy, kz * hx - kx * hz, kx * hy - ky * hx)
    mx, my, mz = _own(axes, ly * oz - lz * oy, lz * ox - lx * oz, lx * oy - ly * ox)
    if pull is not NO_PULL:
        (ex, ey, ez), (qx, qy, qz) = _own(axes, *pull.force_N), _own(axes, *pull.about(place_m))
        fx, fy, fz, mx, my, mz = fx + ex, fy + ey, fz + ez, mx + qx, my + qy, mz + qz
    along_x, along_y, along_z = Linear(fx, ux), Linear(fy, uy), Linear(fz, uz)
    about_x = Linear(mx + nx * rigging_kg, nx)
    about_y = Linear(my + ny * rigging_kg, ny)
    about_z = Linear(mz + nz * rigging_kg, nz)
    if standing:
        return Cut(place_m, axes, SectionForces(along_z, along_x, along_y, about_z, about_y, about_x))
    return Cut(place_m, axes, SectionForces(along_x, along_z, along_y, about_x, about_y, about_z))


def _own(axes: Axes, x: Number, y: Number, z: Number) -> tuple[Number, Number, Number]:
    """Own components of a truck-frame vector."""
    (xx, xy, xz), (yx, yy, yz), (zx, zy, zz) = axes
    return xx * x + xy * y + xz * z, yx * x + yy * y + yz * z, zx * x + zy * y + zz * z
