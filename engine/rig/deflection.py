"""How the rig bends under its own weight and what hangs on it, for one pose or arrays of poses.

Method.  The load path is a chain of straight members of constant section.  Each bends as a cantilever from the member
before it, under the force and moment at its outer end and its own even weight; end deflections and slopes are the exact
beam formulas

    y = F L^3/3EI, theta = F L^2/2EI,   y = M L^2/2EI, theta = M L/EI,   y = w L^4/8EI, theta = w L^3/6EI,

up and down and sideways alike, twist T L/GJ, stretch N L/EA (Gere & Timoshenko, Mechanics of Materials, app. G; read
in a secondary copy).  Slope and deflection carry along what lies outboard (small angles).  The boom between its saddles
is a beam on two supports: the moment M over the front one turns it by M s/3EI, a moment M' at the rear one (the tail's
own weight) by -M' s/6EI, its own weight by -w s^3/24EI.  The front saddle takes the boom's twist.

Forks and sleeves come first and are often the softest of all: the sleeves bear on the fork tips and are held down at
the heels, so the nose-down moment bends the blades as cantilevers and the sleeves as a beam between heel and tip.  A
sideways moment bends one blade up and the other down, which rolls the rig about the fork line (`blades_roll_rad`).

Bending carries the weights forward, which bends the rig a little more.  Each round takes the weights where the round
before left them; its correction is smaller than the last by the lean over the reach, one in thirty or less on any rig
that holds.  `with_bending` takes two rounds, with nothing on the hook and with all that the plate carries, and lays a
straight line between.  The true curve is convex, so between the two the line bends the rig a little too much and never
too little.  The line is the same whatever hangs there, and every moment is quadratic in the load: allowed loads stay
closed forms.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import msgspec

from engine.base.geometry import GRAVITY_M_S2, ZERO, Axes, Number, Vec, Wrench, least, most
from engine.rig import hook_place
from engine.rig.kinematics import (
    Body,
    Figures,
    Placed,
    arm_link,
    fitted_arms,
    mast_base_z_m,
    place,
    rig_bodies,
    sleeves_x_m,
    walk,
)
from engine.rig.load_path import Outboard, load_path, rig_parts
from engine.schema.model import Forks, Job
from engine.schema.sections import FlatBar, SectionProperties, properties
from engine.schema.steel import ELASTIC_MODULUS_PA, SHEAR_MODULUS_PA

HEAVY_KG = 1000.0
"""Where the straight line ends for a truck whose plate is not known."""

ROUNDS = 2
"""Rounds that `with_bending` takes."""

JIB_MAST, SADDLES, BOOM = 0, 1, 2
"""Riders: the parts that bending carries along, numbered from the forks outwards; fitted arms and the hook follow."""


class BentMember(NamedTuple):
    """One bending part: a point ``r`` outboard of it moves by ``shift_m + turn_rad x r``.

    ``first`` is the innermost rider that it carries.
    """

    part: str
    turn_rad: Vec
    shift_m: Vec
    first: int

    def shift_of(self, point_m: Vec) -> Vec:
        """How far the part's bending moves a point of the straight rig."""
        return self.shift_m + self.turn_rad.cross(point_m)


def with_bending(job: Job, numbers: Figures) -> Figures:
    """The figures with the bending of the rig filled in, as the balance needs them.

    Fill it in last: it holds for the pose it was worked out in, and for small uncertainties about it.

    Parameters
    ----------
    job : Job
        A rig that can be (``engine.rig.feasibility``).
    numbers : Figures
        Floats, arrays of poses or intervals.

    Returns
    -------
    Figures
        With ``bent_m``: for every rider how far it moves with an empty hook, and how much further for each kilogram on
        the hook, in the truck's frame.
    """
    if numbers.bent_m:
        return numbers
    straight = walk(job, numbers)
    parts = rig_bodies(job, numbers, straight)
    plate = job.truck.plate
    most_kg = max(row.rated_kg for row in plate.rows) if plate is not None else HEAVY_KG
    empty, full = (_shifts_under(job, straight, parts, hung_kg) for hung_kg in (0.0, most_kg))
    bent_m: list[Number] = []
    for without, loaded in zip(empty, full, strict=True):
        bent_m += [*without, *(loaded - without).times(1.0 / most_kg)]
    return msgspec.structs.replace(numbers, bent_m=tuple(bent_m))


def _shifts_under(job: Job, straight: Placed, parts: Sequence[Body], hung_kg: Number) -> list[Vec]:
    """How far each rider moves with this on the hook."""
    members: list[BentMember] = []
    for _ in range(ROUNDS):
        members = bent_members(job, straight, parts, hung_kg, members)
    return rider_shifts(straight, parts, members)


def rider_shifts(straight: Placed, parts: Sequence[Body], members: Sequence[BentMember]) -> list[Vec]:
    """How far the members carry each rider; hook and load shift with the last link's end and do not turn."""
    _, *riders, _ = parts
    places = [*(part.position_m for part in riders), straight.tip_m]
    return [shift_at(members, rider, at_m) for rider, at_m in enumerate(places)]


def hook_shift(straight: Placed, members: Sequence[BentMember]) -> Vec:
    """How far the members carry the hook."""
    return shift_at(members, members[-1].first, straight.tip_m)


def shift_at(members: Sequence[BentMember], rider: int, at_m: Vec) -> Vec:
    """How far the members carry a point of a rider."""
    turn, shift = ZERO, ZERO
    for member in members:
        if member.first <= rider:
            turn, shift = turn + member.turn_rad, shift + member.shift_m
    return shift + turn.cross(at_m)


# ---------------------------------------------------------------- bodies carried along


def place_bent(job: Job, numbers: Figures) -> Placed:
    """The pose placed in space with every weight where the bent rig carries it; frames stay the straight rig's.

    Parameters
    ----------
    job : Job
    numbers : Figures
        The bending is worked out where it is not filled in.
    """
    return apply_bending(place(job, with_bending(job, numbers)))


def apply_bending(straight: Placed) -> Placed:
    """A placed pose with every weight where its figures say that bending carries it."""
    numbers = straight.figures
    hung_kg = numbers.rigging_kg + numbers.load_kg
    empty, per_kg = (
        [Vec(*numbers.bent_m[at : at + 3]).times(numbers.give) for at in range(start, len(numbers.bent_m), 6)]
        for start in (0, 3)
    )
    shifts = [still + more.times(hung_kg) for still, more in zip(empty, per_kg, strict=True)]
    _, *riders = rig_parts(straight)
    first_per_kg = ZERO
    for part, more in zip(riders, per_kg, strict=True):
        first_per_kg = first_per_kg + more.times(part.mass_kg)
    return msgspec.structs.replace(
        shift_bodies(straight, shifts), hook_per_kg_m=per_kg[-1], rig_per_kg_kgm=first_per_kg
    )


def shift_bodies(straight: Placed, shifts: Sequence[Vec]) -> Placed:
    """A placed pose with every rider shifted, and what hangs on the hook with the last."""
    truck = [body for body in straight.bodies if body.group == "truck"]
    hung = [body for body in straight.bodies if body.group in ("rigging", "load")]
    sleeves, *riders = rig_parts(straight)
    bodies = [*truck, sleeves, *map(_shifted, riders, shifts), *(_shifted(body, shifts[-1]) for body in hung)]
    return msgspec.structs.replace(
        straight,
        bodies=tuple(bodies),
        tip_m=straight.tip_m + shifts[-1],
        hook_m=straight.hook_m + shifts[-1],
        load_centre_m=straight.load_centre_m + shifts[-1],
    )


def _shifted(body: Body, shift_m: Vec) -> Body:
    return Body(
        name=body.name, group=body.group, link=body.link, mass_kg=body.mass_kg, position_m=body.position_m + shift_m
    )


# ---------------------------------------------------------------- members, from the forks outwards


def bent_members(
    job: Job, straight: Placed, parts: Sequence[Body], hung_kg: Number, before: Sequence[BentMember]
) -> list[BentMember]:
    """How each member bends under what hangs on it where the round before left it; axes are the straight rig's.

    Parameters
    ----------
    job : Job
    straight : Placed
        Frames of the straight rig.
    parts : sequence of Body
        The rig's own parts on the straight rig, as ``kinematics.rig_bodies`` gives them.
    hung_kg : Number
        What hangs on the hook.
    before : sequence of BentMember
        The round before; empty in the first.

    Returns
    -------
    list of BentMember
        Forks, sleeves, jib mast, boom between its saddles, its overhang, and the fitted arms.
    """
    bending = _Round(job, straight, parts, hung_kg, before)
    return [*bending.forks_and_sleeves(), bending.jib_mast(), *bending.boom(), *bending.arms()]


class _Round:
    """One round of bending, on the load path with every weight where the round before left it."""

    def __init__(
        self, job: Job, straight: Placed, parts: Sequence[Body], hung_kg: Number, before: Sequence[BentMember]
    ) -> None:
        self.job, self.rig, self.straight, self.before = job, job.rig, straight, before
        self.down = straight.gravity.times(GRAVITY_M_S2)
        if before:
            sleeves, *riders = parts
            parts = [sleeves, *map(_shifted, riders, rider_shifts(straight, parts, before))]
        self.path = load_path(parts, hung_kg)

    def _pull(self, outboard: Outboard, at_m: Vec, inner: int) -> Wrench:
        """Pull of what is outboard about the outer end of a member, which the ``inner`` members up to it carry along.

        In the order of `bent_members` these are 3 up to the jib mast's top, 5 up to the boom's end, and one more for
        each arm.
        """
        if self.before:
            at_m = at_m + shift_at(self.before[:inner], self.before[-1].first, at_m)
        return outboard.wrench(at_m, self.down)

    def forks_and_sleeves(self) -> tuple[BentMember, BentMember]:
        """How the jib mast's foot turns and sinks: blades bent by the sleeves, sleeves bent between heel and tip."""
        rig, frame = self.rig, self.straight.frames["forks"]
        sleeves = rig.sleeves
        heel_m, tip_m, foot_m = sleeves.heel_gap_m, sleeves.heel_gap_m + sleeves.length_m, rig.jib_mast.foot_x_m
        apart_m, before_m, after_m = tip_m - heel_m, foot_m - heel_m, tip_m - foot_m
        pull = self.path.jib_mast.wrench(frame.at(foot_m, 0.0, mast_base_z_m(rig)), self.down)
        nose_Nm, up_N = frame.axes.y.dot(pull.moment_Nm), frame.axes.z.dot(pull.force_N)
        sleeve_N = -frame.axes.z.dot(self.down) * self.straight.figures.sleeves_kg
        # Press of the sleeves on the blades, down positive, at tip and heel; the heel's is negative when it pries.
        tip_share = (sleeves_x_m(self.job) - heel_m) / apart_m
        tip_N = (nose_Nm - up_N * before_m) / apart_m + sleeve_N * tip_share
        heel_N = sleeve_N - up_N - tip_N
        blades = 2.0 * ELASTIC_MODULUS_PA * _blade(self.job.truck.forks).second_moment_up_m4
        heel_down_m = heel_N * _blade_m_N(heel_m, heel_m, blades) + tip_N * _blade_m_N(tip_m, heel_m, blades)
        tip_down_m = heel_N * _blade_m_N(heel_m, tip_m, blades) + tip_N * _blade_m_N(tip_m, tip_m, blades)
        fork_turn = (tip_down_m - heel_down_m) / apart_m
        fork_drop_m = heel_down_m + fork_turn * before_m
        steel = 2.0 * ELASTIC_MODULUS_PA * properties(sleeves.section).second_moment_up_m4
        uneven_m = before_m * after_m * (after_m - before_m)
        sleeve_turn = nose_Nm * ((before_m**3 + after_m**3) / (3.0 * steel * apart_m**2)) - up_N * (
            uneven_m / (3.0 * steel * apart_m)
        )
        sleeve_drop_m = nose_Nm * (uneven_m / (3.0 * steel * apart_m)) - up_N * (
            before_m**2 * after_m**2 / (3.0 * steel * apart_m)
        )
        # Both turn about the sleeves' own axis; the blades' axis is close to it.
        at_m = frame.at(foot_m, 0.0, sleeves.section.wall_m - sleeves.section.depth_m / 2.0)

        def member(part: str, turn: Number, drop_m: Number, roll: Number = 0.0) -> BentMember:
            turned = frame.axes.y.times(turn) + frame.axes.x.times(roll)
            return _member(part, turned, frame.axes.z.times(-drop_m), at_m, JIB_MAST)

        side_Nm = frame.axes.x.dot(pull.moment_Nm)
        roll = TAPERED * blades_roll_rad(self.job.truck.forks, (heel_m, foot_m, tip_m), side_Nm)
        return member("forks", fork_turn, fork_drop_m, roll), member("sleeves", sleeve_turn, sleeve_drop_m)

    def jib_mast(self) -> BentMember:
        """A standing cantilever: its own x axis runs up, saddles and boom sit at its top, the bed counts as stiff."""
        rig, frame = self.rig, self.straight.frames["jib mast"]
        length_m = rig.jib_mast.length_m
        axes = Axes(frame.axes.z, frame.axes.y, -frame.axes.x)
        top_m = frame.at(z_m=length_m)
        even = self.down.times(self.straight.figures.jib_mast_kg * (1.0 / length_m))
        pull = self._pull(self.path.saddles, top_m, 3)
        turn, shift = cantilever(axes, length_m, properties(rig.jib_mast.section), pull, even)
        return _member("jib mast", turn, shift, top_m, SADDLES)

    def boom(self) -> tuple[BentMember, BentMember]:
        """The part between the saddles, which turns the boom over the front one, and the overhang beyond it."""
        rig, frame, numbers = self.rig, self.straight.frames["boom"], self.straight.figures
        saddles, steel, out_m = rig.saddles, properties(rig.boom.section), numbers.boom_out_m
        stub_m = 0.0 if fitted_arms(numbers) else hook_place.back_m(rig, None)
        overhang_m, span_m = out_m - stub_m - saddles.front_x_m, saddles.front_x_m - saddles.rear_x_m
        tail_m = rig.boom.length_m - out_m + saddles.rear_x_m
        even = self.down.times(numbers.boom_kg * (1.0 / rig.boom.length_m))
        end_m, front_m = frame.at(out_m - stub_m), frame.at(saddles.front_x_m)
        pull = self._pull(self.path.beyond_boom, end_m, 5)
        if stub_m:
            stub_Nm = frame.axes.x.times(stub_m / 2.0).cross(even.times(stub_m))
            pull = Wrench(pull.force_N + even.times(stub_m), pull.moment_Nm + stub_Nm)
        turn, shift = cantilever(frame.axes, overhang_m, steel, pull, even)
        overhang = _member("boom", turn, shift, end_m, BOOM + 1)
        at_front = pull.moment_Nm + frame.axes.x.cross(
            pull.force_N.times(overhang_m) + even.times(overhang_m * overhang_m / 2.0)
        )
        weight_y, weight_z = frame.axes.y.dot(even), frame.axes.z.dot(even)
        up, side = ELASTIC_MODULUS_PA * steel.second_moment_up_m4, ELASTIC_MODULUS_PA * steel.second_moment_side_m4
        tail_m2 = tail_m * tail_m / 2.0
        turn_y = frame.axes.y.dot(at_front) * (span_m / 3.0 / up) - weight_z * (
            tail_m2 * (span_m / 6.0 / up) - span_m**3 / 24.0 / up
        )
        turn_z = frame.axes.z.dot(at_front) * (span_m / 3.0 / side) + weight_y * (
            tail_m2 * (span_m / 6.0 / side) - span_m**3 / 24.0 / side
        )
        over_saddle = frame.axes.y.times(turn_y) + frame.axes.z.times(turn_z)
        return _member("boom between saddles", over_saddle, ZERO, front_m, BOOM), overhang

    def arms(self) -> list[BentMember]:
        """Each fitted arm as a cantilever from its hinge."""
        members = []
        fitted = fitted_arms(self.straight.figures)
        for number, (index, beyond) in enumerate(zip(fitted, self.path.beyond_arms, strict=True)):
            arm, frame = self.rig.arms[index], self.straight.frames[arm_link(index)]
            end_m = frame.at(arm.length_m)
            even = self.down.times(self.straight.figures.arms_kg[index] * (1.0 / arm.length_m))
            pull = self._pull(beyond, end_m, 6 + number)
            turn, shift = cantilever(frame.axes, arm.length_m, properties(arm.section), pull, even)
            members.append(_member(arm.name, turn, shift, end_m, BOOM + 2 + number))
        return members


def _member(part: str, turn_rad: Vec, shift_m: Vec, at_m: Vec, first: int) -> BentMember:
    """A member that turns about, and shifts, the point ``at_m``."""
    return BentMember(part, turn_rad, shift_m - turn_rad.cross(at_m), first)


def cantilever(
    axes: Axes, length_m: Number, steel: SectionProperties, pull: Wrench, weight_N_m: Vec
) -> tuple[Vec, Vec]:
    """Turn and shift of a member's outer end, from its own inner end, under a pull at its outer end and an even weight.

    ``axes.x`` runs along the member.  A force along z and a moment about y bend it up and down, a force along y and a
    moment about z sideways.
    """
    force, moment, even = axes.own(pull.force_N), axes.own(pull.moment_Nm), axes.own(weight_N_m)
    up = length_m * (1.0 / (ELASTIC_MODULUS_PA * steel.second_moment_up_m4))
    side = length_m * (1.0 / (ELASTIC_MODULUS_PA * steel.second_moment_side_m4))
    even_z, even_y = even.z * length_m, even.y * length_m
    # A turn about +y takes the end down, one about +z takes it to the left.
    turn_y = (moment.y - (force.z / 2.0 + even_z / 6.0) * length_m) * up
    shift_z = ((force.z / 3.0 + even_z / 8.0) * length_m - moment.y / 2.0) * length_m * up
    turn_z = (moment.z + (force.y / 2.0 + even_y / 6.0) * length_m) * side
    shift_y = ((force.y / 3.0 + even_y / 8.0) * length_m + moment.z / 2.0) * length_m * side
    turn_x = moment.x * length_m * (1.0 / (SHEAR_MODULUS_PA * steel.twist_m4))
    shift_x = (force.x + even.x * length_m / 2.0) * length_m * (1.0 / (ELASTIC_MODULUS_PA * steel.area_m2))
    return axes.out(turn_x, turn_y, turn_z), axes.out(shift_x, shift_y, shift_z)


def _blade(forks: Forks) -> SectionProperties:
    """Section of one fork blade as worn."""
    return properties(FlatBar(width_m=forks.width_m, depth_m=forks.thickness_m - forks.wear_m))


TAPERED = 1.2
"""Blades thin out towards their tips: how much more they roll the rig than blades of full section would (ours)."""


def blades_roll_rad(forks: Forks, along_m: tuple[float, float, float], side_Nm: Number) -> Number:
    """How far the rig rolls about the fork line where a sideways moment bends one blade up and the other down.

    The moment M on blades a spread s apart presses F = M/s on each.  The sleeve passes it on at its two ends, as a beam
    does, and the foot moves with the straight line between them:  roll = 2 d/s.

    Parameters
    ----------
    forks : Forks
    along_m : tuple of float
        The sleeve's heel, the jib mast's foot and the sleeve's front end, ahead of the fork face.
    side_Nm : Number
        About the fork line at the foot.

    Returns
    -------
    Number
        The turn about the line, of blades of full section (rad).
    """
    heel_m, foot_m, tip_m = along_m
    share = (foot_m - heel_m) / (tip_m - heel_m)
    steel = ELASTIC_MODULUS_PA * _blade(forks).second_moment_up_m4
    heel_m_N, tip_m_N = (
        (1.0 - share) * _blade_m_N(heel_m, at_m, steel) + share * _blade_m_N(tip_m, at_m, steel)
        for at_m in (heel_m, tip_m)
    )
    foot_m_N = heel_m_N + (tip_m_N - heel_m_N) * share
    return side_Nm * (2.0 * foot_m_N / forks.spread_m**2)


def _blade_m_N(at_m: float, where_m: float, stiffness_Nm2: float) -> float:
    """How far (m) a cantilever blade sinks at ``where_m`` for each newton at ``at_m``, both from the shank."""
    near, far = least(at_m, where_m), most(at_m, where_m)
    return near**2 * (3.0 * far - near) / (6.0 * stiffness_Nm2)
