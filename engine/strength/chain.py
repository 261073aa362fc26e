"""The load carried inwards: one wrench from the hook through every link, in space.

Method.  All of a rig's own weights pull along one acceleration (gravity, plus braking), and all that hangs on the
hook along another (the same with the dynamic factor, plus load swing).  Going inwards only two sums are kept, the
mass outboard and its first moment; at any place p the outboard weights then give

    force = M a,    moment about p = (S - M p) x a,    S = sum of mass times position,

and the hook load adds ``m h`` at the hook.  So a cut costs two vector products, any number of arms costs the same
each, and turned arms give twist and side bending without a special case.  Everything is linear in the load: a `Cut`
holds the fixed part and what each kilogram adds.

**Ways to pull.**  Without swing and braking there is one way.  Braking acts forwards or backwards (two ways).  Load
swing pulls the load sideways by ``tan(swing)`` of its felt weight in an unknown direction; it is taken along *and*
across at once, each in full, in the four sign combinations.  These four corners enclose the circle of all directions,
and every use is convex in the pull, so the worst corner is an upper bound: exact for one component alone, at most
1.41 times the swing's own part for two together.

A cut is named for the section looked at; its force and moment are what the outboard side does to the inboard side, in
the cut link's own axes (x along boom and arms, z along the jib mast).  Boom cuts stand at the middle of the front
strap: with an ideal, knife-edge saddle there the bending is never less than under a strap of some length.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec

from engine.base.geometry import GRAVITY_M_S2, Axes, Number, Vec, Wrench
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.schema.model import Job, Policy
from engine.strength.linear_in_load import Linear


class PullDirection(NamedTuple):
    """One way the weights pull (m/s2): ``own`` on the rig's masses, ``hung`` on rigging and load."""

    own: Vec
    hung: Vec


class Six(NamedTuple):
    """The six components of a cut as a member feels them, each linear in the load.

    ``axial`` pulls when positive.  ``up`` is in the plane of the section's depth, ``side`` across it.
    """

    axial: Linear
    shear_up: Linear
    shear_side: Linear
    twist: Linear
    bend_up: Linear
    bend_side: Linear


class Cut(msgspec.Struct, frozen=True):
    """What one section carries, as its member feels it and as a wrench.

    ``six`` is in the link's own ``axes``: along x with the depth in z, or (``standing``, the jib mast) along z with the
    depth in x; moments about ``place_m``, which is in the truck's frame.
    """

    name: str
    place_m: Vec
    axes: Axes
    six: Six
    standing: bool = False

    def wrench(self, load_kg: Number) -> Wrench:
        """The whole pull with a load, in the truck's frame."""
        axial, up, side, twist, bend_up, bend_side = (part.at(load_kg) for part in self.six)
        if self.standing:
            force, moment = (up, side, axial), (bend_side, bend_up, twist)
        else:
            force, moment = (axial, side, up), (twist, bend_up, bend_side)
        return Wrench(self.axes.out(*force), self.axes.out(*moment), self.place_m)


class Chain(msgspec.Struct, frozen=True):
    """Every cut of one pose, from the hook inwards.

    ``arms`` pairs the index of each fitted arm with the cut at its hinge axis (boom side first).  ``boom`` is what
    stands outboard of the front saddle; ``boom_whole`` adds the boom inboard of it, for the saddles' reactions.
    ``forks`` is the whole rig about the fork face at the top of the blades.
    """

    load_kg: Number
    rigging_kg: Number
    hook: Cut
    arms: tuple[tuple[int, Cut], ...]
    boom: Cut
    boom_whole: Cut
    mast_top: Cut
    mast_foot: Cut
    forks: Cut


def pull_directions(placed: Placed, policy: Policy) -> tuple[PullDirection, ...]:
    """Every way of pulling that the policy's allowances call for; one, when it has neither swing nor braking."""
    gravity = placed.gravity.times(GRAVITY_M_S2)
    sway = math.tan(policy.swing_rad) * GRAVITY_M_S2 * policy.dynamic_factor
    brake = policy.braking * GRAVITY_M_S2
    found = []
    for braking in (brake, -brake) if brake else (0.0,):
        own = gravity + Vec(braking, 0.0, 0.0) if braking else gravity
        hung = own.times(policy.dynamic_factor)
        for x, y in ((1, 1), (1, -1), (-1, 1), (-1, -1)) if sway else ((0, 0),):
            found.append(PullDirection(own, hung + Vec(x * sway, y * sway, 0.0) if sway else hung))
    return tuple(found)


class _Outboard:
    """Running sum of what hangs outboard: mass and first moment (used only while a chain is being built)."""

    def __init__(self, way: PullDirection, hook_m: Vec, rigging_kg: Number) -> None:
        self.way, self.hook_m, self.rigging_kg = way, hook_m, rigging_kg
        self.mass_kg: Number = 0.0
        self.first_kgm = Vec(0.0, 0.0, 0.0)

    def add(self, mass_kg: Number, at_m: Vec) -> None:
        """One more weight outboard of the next cut."""
        self.mass_kg = self.mass_kg + mass_kg
        self.first_kgm = self.first_kgm + at_m.times(mass_kg)

    def cut(self, name: str, place_m: Vec, axes: Axes, standing: bool = False) -> Cut:
        """Force and moment of all that is outboard; written out, because a drag makes some eight cuts a frame."""
        (ox, oy, oz), (hx, hy, hz) = self.way
        mass, first, rigging = self.mass_kg, self.first_kgm, self.rigging_kg
        px, py, pz = place_m
        lx, ly, lz = first.x - mass * px, first.y - mass * py, first.z - mass * pz
        fx, fy, fz = _own(axes, ox * mass + hx * rigging, oy * mass + hy * rigging, oz * mass + hz * rigging)
        ux, uy, uz = _own(axes, hx, hy, hz)
        kx, ky, kz = self.hook_m.x - px, self.hook_m.y - py, self.hook_m.z - pz
        nx, ny, nz = _own(axes, ky * hz - kz * hy, kz * hx - kx * hz, kx * hy - ky * hx)
        mx, my, mz = _own(axes, ly * oz - lz * oy, lz * ox - lx * oz, lx * oy - ly * ox)
        along_x, along_y, along_z = Linear(fx, ux), Linear(fy, uy), Linear(fz, uz)
        about_x, about_y, about_z = (
            Linear(mx + nx * rigging, nx),
            Linear(my + ny * rigging, ny),
            Linear(mz + nz * rigging, nz),
        )
        if standing:
            return Cut(name, place_m, axes, Six(along_z, along_x, along_y, about_z, about_y, about_x), True)
        return Cut(name, place_m, axes, Six(along_x, along_z, along_y, about_x, about_y, about_z))


def _own(axes: Axes, x: Number, y: Number, z: Number) -> tuple[Number, Number, Number]:
    """Own components of a truck-frame vector."""
    (xx, xy, xz), (yx, yy, yz), (zx, zy, zz) = axes
    return xx * x + xy * y + xz * z, yx * x + yy * y + yz * z, zx * x + zy * y + zz * z


def chain(job: Job, placed: Placed, way: PullDirection) -> Chain:
    """Every cut of a placed pose under one way of pulling.

    Parameters
    ----------
    job : Job
    placed : Placed
        One pose or arrays of poses (...).
    way : Way
        From `pull_directions`.

    Returns
    -------
    Chain
    """
    rig, numbers, frames = job.rig, placed.figures, placed.frames
    outboard = _Outboard(way, placed.hook_m, numbers.rigging_kg)
    fitted = fitted_arms(numbers)
    boom_frame, mast_frame, forks_frame = frames["boom"], frames["jib mast"], frames["forks"]
    outboard.add(numbers.hook_kg, placed.hook_m)
    last = frames[arm_link(fitted[-1])] if fitted else boom_frame
    hook = outboard.cut("hook pin", placed.tip_m, last.axes)
    arms = []
    for index in reversed(fitted):
        frame = frames[arm_link(index)]
        outboard.add(numbers.arms_kg[index], frame.at(rig.arms[index].length_m / 2.0))
        arms.append((index, outboard.cut(arm_link(index), frame.origin, frame.axes)))
    front_x, out_m = rig.saddles.front_x_m, numbers.boom_out_m
    front_m = boom_frame.at(front_x)
    beyond_kg = numbers.boom_kg * (out_m - front_x) / rig.boom.length_m
    outboard.add(beyond_kg, boom_frame.at((out_m + front_x) / 2.0))
    boom = outboard.cut("boom at the front saddle", front_m, boom_frame.axes)
    tail_kg = numbers.boom_kg - beyond_kg
    outboard.add(tail_kg, boom_frame.at((out_m - rig.boom.length_m + front_x) / 2.0))
    boom_whole = outboard.cut("saddles", front_m, boom_frame.axes)
    middle_x = (front_x + rig.saddles.rear_x_m) / 2.0
    outboard.add(numbers.saddles_kg, boom_frame.at(middle_x, 0.0, -rig.boom.section.depth_m / 2.0))
    mast_length = rig.jib_mast.length_m
    mast_top = outboard.cut("jib mast top", mast_frame.at(z_m=mast_length), mast_frame.axes, True)
    outboard.add(numbers.jib_mast_kg, mast_frame.at(z_m=mast_length / 2.0))
    mast_foot = outboard.cut("jib mast foot", mast_frame.origin, mast_frame.axes, True)
    sleeves = rig.sleeves
    sleeve_z = sleeves.section.wall_m - sleeves.section.depth_m / 2.0
    outboard.add(numbers.sleeves_kg, forks_frame.at(sleeves.heel_gap_m + sleeves.length_m / 2.0, 0.0, sleeve_z))
    forks = outboard.cut("forks", forks_frame.origin, forks_frame.axes)
    return Chain(
        numbers.load_kg, numbers.rigging_kg, hook, tuple(reversed(arms)), boom, boom_whole, mast_top, mast_foot, forks
    )
