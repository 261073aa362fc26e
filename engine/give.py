"""Give: how far hook, boom and jib mast move when the steel bends, and what that does to the balance.

Method.  The load path is a chain of straight members of constant section.  Each bends as a cantilever from the member
before it under the force and moment at its outer end and its own even weight; end deflections and slopes are the exact
beam formulas

    y = F L^3/3EI, theta = F L^2/2EI,   y = M L^2/2EI, theta = M L/EI,   y = w L^4/8EI, theta = w L^3/6EI,

up and down and sideways alike, twist T L/GJ, stretch N L/EA (Gere & Timoshenko, Mechanics of Materials, app. G; read in a
secondary copy).  What lies outboard is carried along by slope and deflection (small angles).  The boom between its
saddles is a beam on two supports: the moment M over the front one turns it by M s/3EI, a moment M' at the rear one
(the tail's own weight) by -M' s/6EI, its own weight by -w s^3/24EI.  Twist is taken out of the boom at the front saddle.

Forks and sleeves come first and are often the softest of all: the sleeves bear on the fork tips and are held down at the
heels, so the nose-down moment bends the blades as cantilevers at the tip and the sleeves as a beam between.  The taper
of a blade, play in straps, hinges and upright, and the tyres are not in these numbers: measure them (``softness``, and
the lean of the allowances).

Bending carries the weights forward, which bends a little more: repeated until it settles, then the balance is taken with
every body where it really hangs.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import msgspec

from engine import balance, plate
from engine.checks import Check
from engine.geometry import GRAVITY_M_S2, ZERO, Axes, Vec, Wrench
from engine.limits import leaned
from engine.model import Job, Pose
from engine.placing import Body, Placed, arm_link, figures, fitted_arms, mast_base_z_m, place
from engine.sections import FlatBar, SectionProperties, properties
from engine.steel import ELASTIC_MODULUS_PA, SHEAR_MODULUS_PA

SETTLED_M = 1e-7
ROUNDS = 50
"""Each round's correction is smaller by the lean over the reach, under one in ten."""


class PartGive(msgspec.Struct, kw_only=True, frozen=True):
    """What one part's bending does to the hook: how far down (positive) and forward it carries it."""

    part: str
    drop_m: float
    forward_m: float


class Give(msgspec.Struct, kw_only=True, frozen=True):
    """The bent rig: every body where it hangs, hook sag and travel forward, slope at the jib mast's top, part by part."""

    placed: Placed
    hook_drop_m: float
    hook_forward_m: float
    hook_aside_m: float
    mast_top_forward_m: float
    mast_top_lean_rad: float
    parts: tuple[PartGive, ...]
    settled: bool


class Softness(msgspec.Struct, kw_only=True, frozen=True):
    """How much softer than drawn one part would have to be, alone, to explain a measured sag (1: as drawn)."""

    part: str
    ratio: float


class _Motion(NamedTuple):
    """Small turn about, and shift of, the point ``at_m``; what is outboard rides on it."""

    turn_rad: Vec
    shift_m: Vec
    at_m: Vec

    def of(self, point_m: Vec) -> Vec:
        """Displacement it gives a point."""
        return self.shift_m + self.turn_rad.cross(point_m - self.at_m)


_Bent = Callable[[Vec, int], Vec]
"""Where a point on the straight rig has gone under the first so many members."""

MAST_MEMBERS, BOOM_MEMBERS = 3, 5
"""Forks, sleeves and jib mast; the boom in two parts beyond them: their number once the member itself has bent."""


class _Member(NamedTuple):
    """One bending part: its name, what it does to everything outboard, and the links that ride on it."""

    part: str
    motion: _Motion
    riders: frozenset[str]


def bend(job: Job, pose: Pose) -> Give:
    """Sag and lean of the rig in one pose.

    Parameters
    ----------
    job : Job
    pose : Pose
        Loaded or empty as it says.

    Returns
    -------
    Give
        ``settled`` is false for a rig so soft that bending does not come to rest; then nothing in it can be relied on.
    """
    straight = place(job, leaned(figures(job, pose), job.policy))
    bent, settled = straight, False
    members: list[_Member] = []
    for _ in range(ROUNDS):
        members = _members(job, bent, members)
        after = _moved(straight, members)
        step_m = float((after.hook_m - bent.hook_m).length())
        bent = after
        if not step_m < 1.0:
            break
        if step_m <= SETTLED_M:
            settled = True
            break
    return _told(straight, bent, members, settled)


def checks_when_bent(job: Job, pose: Pose) -> list[Check]:
    """The truck's balance and the plate's rules with every weight where the bent rig really carries it.

    Empty for a job without a plate, as there is no verdict either.
    """
    bent = bend(job, pose).placed
    if job.truck.plate is None:
        return []
    return balance.checks(bent, job.truck, job.policy) + plate.checks(bent, job.truck.plate, job.policy)


def softness(job: Job, pose: Pose, measured_sag_m: float) -> tuple[Softness, ...]:
    """Which part, softer than drawn, would explain the sag measured between empty hook and the known load.

    Parameters
    ----------
    job : Job
        With the load as it hung in the test.
    pose : Pose
    measured_sag_m : float
        How much further down the hook's own end went when the load was put on.

    Returns
    -------
    tuple of Softness
        The part that needs the least softening to explain it first; ratios under 1 say it is stiffer than drawn.
    """
    loaded, empty = (bend(job, msgspec.structs.replace(pose, loaded=full)) for full in (True, False))
    bare = {part.part: part.drop_m for part in empty.parts}
    each = {part.part: part.drop_m - bare[part.part] for part in loaded.parts}
    unexplained_m = measured_sag_m - sum(each.values())
    found = [Softness(part=part, ratio=1.0 + unexplained_m / sag_m) for part, sag_m in each.items() if sag_m > 0.0]
    return tuple(sorted(found, key=lambda one: abs(one.ratio - 1.0)))


# ---------------------------------------------------------------- shape after bending


def _moved(straight: Placed, members: list[_Member]) -> Placed:
    """Every body carried along by the members it rides on."""

    def carried(link: str, at_m: Vec) -> Vec:
        for member in members:
            if link in member.riders:
                at_m = at_m + member.motion.of(at_m)
        return at_m

    # Hook and load hang plumb under the last link's end: they shift with it and do not turn with it.
    shift = carried("hook", straight.tip_m) - straight.tip_m

    def body(one: Body) -> Body:
        link = _rides_on(one)
        at_m = one.position_m + shift if link == "hook" else carried(link, one.position_m)
        return msgspec.structs.replace(one, position_m=at_m)

    return msgspec.structs.replace(
        straight,
        bodies=tuple(body(one) for one in straight.bodies),
        tip_m=straight.tip_m + shift,
        hook_m=straight.hook_m + shift,
        load_centre_m=straight.load_centre_m + shift,
    )


def _rides_on(one: Body) -> str:
    """Link a body is carried by; the hook's own weight hangs on the last link like the load."""
    return "hook" if one.name == "hook" and one.group == "rig" else one.link


def _told(straight: Placed, bent: Placed, members: list[_Member], settled: bool) -> Give:
    down, moved = straight.gravity, bent.hook_m - straight.hook_m
    parts: dict[str, PartGive] = {}
    for member in members:
        shift = member.motion.of(straight.tip_m)
        was = parts.get(member.part, PartGive(part=member.part, drop_m=0.0, forward_m=0.0))
        parts[member.part] = PartGive(
            part=member.part,
            drop_m=was.drop_m + float(shift.dot(down)),
            forward_m=was.forward_m + float(shift.x),
        )
    top = straight.frames["boom"].origin
    lean, forward = 0.0, 0.0
    for member in members:
        if "jib mast top" in member.riders:
            lean += float(member.motion.turn_rad.y)
            forward += float(member.motion.of(top).x)
    return Give(
        placed=bent,
        hook_drop_m=float(moved.dot(down)),
        hook_forward_m=float(moved.x),
        hook_aside_m=float(moved.y),
        mast_top_forward_m=forward,
        mast_top_lean_rad=lean,
        parts=tuple(parts.values()),
        settled=settled and all(map(math.isfinite, (*moved,))),
    )


# ---------------------------------------------------------------- members, from the forks outwards


def _members(job: Job, bent: Placed, before: list[_Member]) -> list[_Member]:
    """How each member bends under what hangs on it where it now hangs; axes and lengths are the straight rig's.

    ``before`` are the members of the round before: they tell where a member's own outer end has gone, so that only what
    hangs further out than that end bends it.
    """
    fitted = fitted_arms(bent.figures)
    arms = [arm_link(index) for index in fitted]
    on_mast = frozenset(("jib mast", "jib mast top", "boom", *arms, "hook"))
    on_boom = frozenset((*arms, "hook"))

    def bent_end(at_m: Vec, count: int) -> Vec:
        for member in before[:count]:
            at_m = at_m + member.motion.of(at_m)
        return at_m

    found = _forks_and_sleeves(job, bent, on_mast)
    found.append(_mast(job, bent, on_mast - {"jib mast"}, bent_end))
    found += _boom(job, bent, on_boom, bent_end)
    for number, index in enumerate(fitted):
        beyond = frozenset((*arms[number + 1 :], "hook"))
        found.append(_arm(job, bent, index, beyond, bent_end, len(found) + 1))
    return found


def _pull(placed: Placed, links: frozenset[str], at_m: Vec) -> Wrench:
    """Pull of every body that rides on some links, taken at a point."""
    pull = Wrench(ZERO, ZERO, at_m)
    for body in placed.bodies:
        if body.group != "truck" and _rides_on(body) in links:
            pull = pull.plus(placed.gravity.times(GRAVITY_M_S2 * body.mass_kg), body.position_m)
    return pull


def _at(pull: Wrench, at_m: Vec) -> Wrench:
    """The same pull and moment, said of a point of the straight rig that has moved to where the pull was taken."""
    return Wrench(pull.force_N, pull.moment_Nm, at_m)


def _cantilever(
    axes: Axes, length_m: float, steel: SectionProperties, end: Wrench, weight_N_m: Vec = ZERO
) -> tuple[Vec, Vec]:
    """Turn and shift of a member's outer end under an end pull and an even weight, from its own inner end.

    ``axes.x`` runs along the member.  A force along z and a moment about y bend it up and down, a force along y and a
    moment about z sideways.
    """
    force, moment, even = axes.own(end.force_N), axes.own(end.moment_Nm), axes.own(weight_N_m)
    up, side = ELASTIC_MODULUS_PA * steel.second_moment_up_m4, ELASTIC_MODULUS_PA * steel.second_moment_side_m4
    one, two, three, four = length_m, length_m**2, length_m**3, length_m**4
    # A turn about +y takes the end down, one about +z takes it to the left.
    turn_y = (-force.z * two / 2.0 + moment.y * one - even.z * three / 6.0) / up
    shift_z = (force.z * three / 3.0 - moment.y * two / 2.0 + even.z * four / 8.0) / up
    turn_z = (force.y * two / 2.0 + moment.z * one + even.y * three / 6.0) / side
    shift_y = (force.y * three / 3.0 + moment.z * two / 2.0 + even.y * four / 8.0) / side
    turn_x = moment.x * one / (SHEAR_MODULUS_PA * steel.twist_m4)
    shift_x = (force.x * one + even.x * two / 2.0) / (ELASTIC_MODULUS_PA * steel.area_m2)
    return axes.out(turn_x, turn_y, turn_z), axes.out(shift_x, shift_y, shift_z)


def _arm(job: Job, bent: Placed, index: int, beyond: frozenset[str], bent_end: _Bent, count: int) -> _Member:
    arm, frame = job.rig.arms[index], bent.frames[arm_link(index)]
    end_m = frame.at(arm.length_m)
    end = _pull(bent, beyond, bent_end(end_m, count))
    even = bent.gravity.times(GRAVITY_M_S2 * bent.figures.arms_kg[index] / arm.length_m)
    turn, shift = _cantilever(frame.axes, arm.length_m, properties(arm.section), end, even)
    return _Member(arm.name, _Motion(turn, shift, end_m), beyond)


def _boom(job: Job, bent: Placed, beyond: frozenset[str], bent_end: _Bent) -> list[_Member]:
    """Turn over the front saddle from the part between the saddles, then the overhang beyond it."""
    rig, frame = job.rig, bent.frames["boom"]
    saddles, steel = rig.saddles, properties(rig.boom.section)
    out_m, span_m = float(bent.figures.boom_out_m), saddles.front_x_m - saddles.rear_x_m
    tip_m = out_m if fitted_arms(bent.figures) else out_m - rig.hook.edge_m
    overhang_m = tip_m - saddles.front_x_m
    tail_m = rig.boom.length_m - out_m + saddles.rear_x_m
    even = bent.gravity.times(GRAVITY_M_S2 * bent.figures.boom_kg / rig.boom.length_m)
    end_m, front_m = frame.at(tip_m), frame.at(saddles.front_x_m)
    end = _at(_pull(bent, beyond, bent_end(end_m, BOOM_MEMBERS)), end_m)
    stub_m = out_m - tip_m
    end = end.plus(even.times(stub_m), end_m + frame.axes.x.times(stub_m / 2.0))
    turn, shift = _cantilever(frame.axes, overhang_m, steel, end, even)
    overhang = _Member("boom", _Motion(turn, shift, end_m), beyond)
    at_front = end.moved(front_m).plus(even.times(overhang_m), frame.at(saddles.front_x_m + overhang_m / 2.0))
    moment, weight = frame.axes.own(at_front.moment_Nm), frame.axes.own(even)
    up, side = ELASTIC_MODULUS_PA * steel.second_moment_up_m4, ELASTIC_MODULUS_PA * steel.second_moment_side_m4
    tail_y, tail_z = weight.z * tail_m**2 / 2.0, -weight.y * tail_m**2 / 2.0
    turn_y = (moment.y * span_m / 3.0 - tail_y * span_m / 6.0 + weight.z * span_m**3 / 24.0) / up
    turn_z = (moment.z * span_m / 3.0 - tail_z * span_m / 6.0 - weight.y * span_m**3 / 24.0) / side
    over_saddle = _Motion(frame.axes.out(0.0, turn_y, turn_z), ZERO, front_m)
    return [_Member("boom between saddles", over_saddle, beyond | {"boom"}), overhang]


def _mast(job: Job, bent: Placed, riders: frozenset[str], bent_end: _Bent) -> _Member:
    """A standing cantilever: its own x axis runs up; the boom sits at its top, the bed counted as stiff."""
    rig, frame = job.rig, bent.frames["jib mast"]
    length_m = rig.jib_mast.length_m
    axes = Axes(frame.axes.z, frame.axes.y, -frame.axes.x)
    top_m = frame.at(z_m=length_m)
    end = _at(_pull(bent, riders, bent_end(top_m, MAST_MEMBERS)), top_m)
    for body in bent.bodies:
        if body.name == "saddles" and body.group == "rig":
            end = end.plus(bent.gravity.times(GRAVITY_M_S2 * body.mass_kg), body.position_m)
    even = bent.gravity.times(GRAVITY_M_S2 * bent.figures.jib_mast_kg / length_m)
    turn, shift = _cantilever(axes, length_m, properties(rig.jib_mast.section), end, even)
    return _Member("jib mast", _Motion(turn, shift, top_m), riders)


def _forks_and_sleeves(job: Job, bent: Placed, riders: frozenset[str]) -> list[_Member]:
    """Turn of the jib mast's foot: fork blades bent at the tips, sleeves bent between heel and tip."""
    rig, forks, frame = job.rig, job.truck.forks, bent.frames["forks"]
    sleeves = rig.sleeves
    heel_m, tip_m, foot_m = sleeves.heel_gap_m, sleeves.heel_gap_m + sleeves.length_m, rig.jib_mast.foot_x_m
    apart_m, before_m, after_m = tip_m - heel_m, foot_m - heel_m, tip_m - foot_m
    at_foot = _pull(bent, riders, frame.at(foot_m, 0.0, mast_base_z_m(rig)))
    own, force = frame.axes.own(at_foot.moment_Nm), frame.axes.own(at_foot.force_N)
    sleeve_N = -frame.axes.own(bent.gravity).z * GRAVITY_M_S2 * bent.figures.sleeves_kg
    # Press of the sleeves on the blades, down positive, at tip and heel; the heel's is negative when it pries.
    tip_N = (own.y - force.z * before_m) / apart_m + sleeve_N / 2.0
    heel_N = -force.z + sleeve_N - tip_N
    blade = properties(FlatBar(width_m=forks.width_m, depth_m=forks.thickness_m - forks.worn_m))
    blades = 2.0 * ELASTIC_MODULUS_PA * blade.second_moment_up_m4
    heel_down_m = _blade_m(heel_N, heel_m, heel_m, blades) + _blade_m(tip_N, tip_m, heel_m, blades)
    tip_down_m = _blade_m(heel_N, heel_m, tip_m, blades) + _blade_m(tip_N, tip_m, tip_m, blades)
    fork_turn = (tip_down_m - heel_down_m) / apart_m
    fork_drop_m = heel_down_m + fork_turn * before_m
    steel = 2.0 * ELASTIC_MODULUS_PA * properties(sleeves.section).second_moment_up_m4
    down_N = -force.z
    sleeve_turn = own.y * (before_m**3 + after_m**3) / (3.0 * steel * apart_m**2)
    sleeve_turn += down_N * before_m * after_m * (after_m - before_m) / (3.0 * steel * apart_m)
    sleeve_drop_m = down_N * before_m**2 * after_m**2 / (3.0 * steel * apart_m)
    sleeve_drop_m += own.y * before_m * after_m * (after_m - before_m) / (3.0 * steel * apart_m)
    # Both turn about the sleeves' own axis, near enough the blades' as well.
    at_m = frame.at(foot_m, 0.0, sleeves.section.wall_m - sleeves.section.depth_m / 2.0)
    return [
        _Member("forks", _Motion(frame.axes.out(0.0, fork_turn, 0.0), frame.axes.out(0.0, 0.0, -fork_drop_m), at_m), riders),
        _Member("sleeves", _Motion(frame.axes.out(0.0, sleeve_turn, 0.0), frame.axes.out(0.0, 0.0, -sleeve_drop_m), at_m), riders),
    ]


def _blade_m(press_N: float, at_m: float, where_m: float, stiffness_Nm2: float) -> float:
    """How far a cantilever blade goes down at ``where_m`` under a press at ``at_m``, both from the shank."""
    near, far = min(at_m, where_m), max(at_m, where_m)
    return press_N * near**2 * (3.0 * far - near) / (6.0 * stiffness_Nm2)
