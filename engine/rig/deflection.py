"""How the rig bends under its own weight and what hangs on it, for one pose or arrays of poses.

Method.  The load path is a chain of straight members of constant section.  Each bends as a cantilever from the member
before it under the force and moment at its outer end and its own even weight; end deflections and slopes are the exact
beam formulas

    y = F L^3/3EI, theta = F L^2/2EI,   y = M L^2/2EI, theta = M L/EI,   y = w L^4/8EI, theta = w L^3/6EI,

up and down and sideways alike, twist T L/GJ, stretch N L/EA (Gere & Timoshenko, Mechanics of Materials, app. G; read in a
secondary copy).  What lies outboard is carried along by slope and deflection (small angles).  The boom between its
saddles is a beam on two supports: the moment M over the front one turns it by M s/3EI, a moment M' at the rear one
(the tail's own weight) by -M' s/6EI, its own weight by -w s^3/24EI.  Twist is taken out of the boom at the front saddle.

Forks and sleeves come first and are often the softest of all: the sleeves bear on the fork tips and are held down at the
heels, so the nose-down moment bends the blades as cantilevers at the tip and the sleeves as a beam between.

Bending carries the weights forward, which bends a little more.  A round reckons with the weights where the round before
left them; each round's correction is smaller by the lean over the reach, one in thirty or less on any rig that holds.
`with_bending` takes two rounds, without anything on the hook and with all that the plate carries, and lays a straight line
between: the true curve bends upwards, so that between the two the line bends the rig a little too much and never too
little.  The line is the same whatever hangs there, and every moment is quadratic in the load: allowed loads stay closed
forms.
"""

from __future__ import annotations

from typing import NamedTuple

import msgspec

from engine.base.geometry import GRAVITY_M_S2, ZERO, Axes, Number, Vec
from engine.rig.kinematics import Body, Figures, Placed, arm_link, fitted_arms, mast_base_z_m, place, rig_bodies, walk
from engine.schema.model import Forks, Job
from engine.schema.sections import FlatBar, SectionProperties, properties
from engine.schema.steel import ELASTIC_MODULUS_PA, SHEAR_MODULUS_PA

HEAVY_KG = 1000.0
"""Where the straight line ends for a truck whose plate is not known."""

ROUNDS = 2

JIB_MAST, SADDLES, BOOM = 0, 1, 2
"""Riders: what is carried along by bending, from the forks outwards; arms and at last the hook follow."""


class BentMember(NamedTuple):
    """One bending part.  A point ``r`` outboard of it goes ``shift_m + turn_rad x r``; ``first`` is the innermost rider."""

    part: str
    turn_rad: Vec
    shift_m: Vec
    first: int

    def of(self, point_m: Vec) -> Vec:
        """How far it moves a point of the straight rig."""
        return self.shift_m + self.turn_rad.cross(point_m)


class _Weight(NamedTuple):
    """What some riders weigh, and their first moment."""

    mass_kg: Number
    first_kgm: Vec

    def pull_at(self, point_m: Vec, down_m_s2: Vec) -> tuple[Vec, Vec]:
        """Force (N), and moment (N m) about a point."""
        return down_m_s2.times(self.mass_kg), (self.first_kgm - point_m.times(self.mass_kg)).cross(down_m_s2)


def with_bending(job: Job, numbers: Figures) -> Figures:
    """The figures with the bending of the rig filled in, for whoever takes the balance.

    Fill it in last: it holds for the pose it was found in, and for the small doubts about it.

    Parameters
    ----------
    job : Job
        A rig that can be (``engine.rig.feasibility``).
    numbers : Figures
        Floats, arrays of poses or intervals.

    Returns
    -------
    Figures
        With ``bent_m``: for every rider how far it goes without and for each kilogram on the hook, in the truck's frame.
    """
    if numbers.bent_m:
        return numbers
    straight = walk(job, numbers)
    bodies = rig_bodies(job, numbers, straight)
    plate = job.truck.plate
    most_kg = max(row.rated_kg for row in plate.rows) if plate is not None else HEAVY_KG
    empty, full = (_shifts(job, straight, bodies, kg) for kg in (0.0, most_kg))
    found: list[Number] = []
    for without, loaded in zip(empty, full, strict=True):
        found += [*without, *(loaded - without).times(1.0 / most_kg)]
    return msgspec.structs.replace(numbers, bent_m=tuple(found))


def _shifts(job: Job, straight: Placed, bodies: tuple[Body, ...], hung_kg: Number) -> list[Vec]:
    """How far each rider goes."""
    members: list[BentMember] = []
    for _ in range(ROUNDS):
        members = members_under(job, straight, bodies, hung_kg, members)
    return shifts_of(straight, bodies, members)


def shifts_of(straight: Placed, bodies: tuple[Body, ...], members: list[BentMember]) -> list[Vec]:
    """How far the members carry each rider."""
    return [moved_by(members, rider, at_m) for rider, at_m in enumerate(_riders_at(straight, bodies))]


def hook_shift(straight: Placed, members: list[BentMember]) -> Vec:
    """How far the members carry the hook."""
    return moved_by(members, members[-1].first, straight.tip_m)


def place_bent(job: Job, numbers: Figures) -> Placed:
    """The pose placed in space with every weight where the bent rig carries it; frames stay the straight rig's.

    Parameters
    ----------
    job : Job
    numbers : Figures
        The bending is found where it is not filled in.
    """
    return bent(place(job, with_bending(job, numbers)))


def bent(straight: Placed) -> Placed:
    """A placed pose with every weight where its figures say that bending carries it."""
    numbers = straight.figures
    hung_kg = numbers.rigging_kg + numbers.load_kg
    fixed = [Vec(*numbers.bent_m[at : at + 3]).times(numbers.give) for at in range(0, len(numbers.bent_m), 6)]
    per_kg = [Vec(*numbers.bent_m[at + 3 : at + 6]).times(numbers.give) for at in range(0, len(numbers.bent_m), 6)]
    shifts = [still + each.times(hung_kg) for still, each in zip(fixed, per_kg, strict=True)]
    first_per_kg = ZERO
    for rider, mass_kg in enumerate(_own_kg(numbers)):
        first_per_kg = first_per_kg + per_kg[rider].times(mass_kg)
    return msgspec.structs.replace(moved(straight, shifts), hook_per_kg_m=per_kg[-1], rig_per_kg_kgm=first_per_kg)


def moved(straight: Placed, shifts: list[Vec]) -> Placed:
    """A placed pose with every rider shifted."""
    truck = [body for body in straight.bodies if body.group == "truck"]
    rig = [body for body in straight.bodies if body.group == "rig"]
    hung = [body for body in straight.bodies if body.group in ("rigging", "load")]
    sleeves, *riders = rig
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


def _own_kg(numbers: Figures) -> list[Number]:
    """Own weight of each rider."""
    arms = [numbers.arms_kg[index] for index in fitted_arms(numbers)]
    return [numbers.jib_mast_kg, numbers.saddles_kg, numbers.boom_kg, *arms, numbers.hook_kg]


def _riders_at(straight: Placed, bodies: tuple[Body, ...]) -> list[Vec]:
    """Where each rider's weight is on the straight rig; hook and load shift with the last link's end and do not turn."""
    _, *riders = (body.position_m for body in bodies if body.group == "rig")
    return [*riders[:-1], straight.tip_m]


def moved_by(members: list[BentMember], rider: int, at_m: Vec) -> Vec:
    """How far the members carry a point that rides on ``rider``."""
    turn, shift = ZERO, ZERO
    for member in members:
        if member.first <= rider:
            turn, shift = turn + member.turn_rad, shift + member.shift_m
    return shift + turn.cross(at_m)


# ---------------------------------------------------------------- members, from the forks outwards


def members_under(
    job: Job, straight: Placed, bodies: tuple[Body, ...], hung_kg: Number, before: list[BentMember]
) -> list[BentMember]:
    """How each member bends under what hangs on it where the round before left it; axes are the straight rig's.

    Parameters
    ----------
    job : Job
    straight : Placed
        The straight rig's chain.
    bodies : tuple of Body
        Weights of the rig's own parts on the straight rig, as ``placing.rig_bodies`` gives them.
    hung_kg : Number
        What hangs on the hook.
    before : list of Member
        The round before; empty in the first.

    Returns
    -------
    list of Member
        Forks, sleeves, jib mast, boom between its saddles, its overhang, and the fitted arms.
    """
    chain = _Chain(job, straight, bodies, hung_kg, before)
    return [*chain.forks_and_sleeves(), chain.jib_mast(), *chain.boom(), *chain.arms()]


class _Chain:
    """One round: the weights where they hang, summed from the hook inwards."""

    def __init__(
        self, job: Job, straight: Placed, bodies: tuple[Body, ...], hung_kg: Number, before: list[BentMember]
    ) -> None:
        self.job, self.rig, self.straight, self.before = job, job.rig, straight, before
        self.down = straight.gravity.times(GRAVITY_M_S2)
        self.masses = _own_kg(straight.figures)
        places = _riders_at(straight, bodies)
        hook_m, hook_kg = straight.hook_m, self.masses[-1] + hung_kg
        if before:
            hook_m = hook_m + moved_by(before, len(places) - 1, straight.tip_m)
            places = [at_m + moved_by(before, rider, at_m) for rider, at_m in enumerate(places)]
        sums = [_Weight(hook_kg, hook_m.times(hook_kg))]
        for mass_kg, at_m in zip(self.masses[-2::-1], places[-2::-1], strict=True):
            last = sums[-1]
            sums.append(_Weight(last.mass_kg + mass_kg, last.first_kgm + at_m.times(mass_kg)))
        self.beyond = sums[::-1]
        """For each rider: it and all that rides further out."""

    def _pull(self, rider: int, at_m: Vec, count: int) -> tuple[Vec, Vec]:
        """Pull of a rider and all beyond it, about a point of the straight rig carried along by the first ``count`` members."""
        if self.before:
            at_m = at_m + moved_by(self.before[:count], len(self.masses), at_m)
        return self.beyond[rider].pull_at(at_m, self.down)

    def forks_and_sleeves(self) -> tuple[BentMember, BentMember]:
        """Turn of the jib mast's foot: fork blades bent at the tips, sleeves bent between heel and tip."""
        rig, frame = self.rig, self.straight.frames["forks"]
        sleeves = rig.sleeves
        heel_m, tip_m, foot_m = sleeves.heel_gap_m, sleeves.heel_gap_m + sleeves.length_m, rig.jib_mast.foot_x_m
        apart_m, before_m, after_m = tip_m - heel_m, foot_m - heel_m, tip_m - foot_m
        force_N, moment_Nm = self.beyond[JIB_MAST].pull_at(frame.at(foot_m, 0.0, mast_base_z_m(rig)), self.down)
        nose_Nm, up_N = frame.axes.y.dot(moment_Nm), frame.axes.z.dot(force_N)
        sleeve_N = -frame.axes.z.dot(self.down) * self.straight.figures.sleeves_kg
        # Press of the sleeves on the blades, down positive, at tip and heel; the heel's is negative when it pries.
        tip_N = (nose_Nm - up_N * before_m) / apart_m + sleeve_N / 2.0
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
        # Both turn about the sleeves' own axis, near enough the blades' as well.
        at_m = frame.at(foot_m, 0.0, sleeves.section.wall_m - sleeves.section.depth_m / 2.0)

        def part(name: str, turn: Number, drop_m: Number) -> BentMember:
            return _member(name, frame.axes.y.times(turn), frame.axes.z.times(-drop_m), at_m, JIB_MAST)

        return part("forks", fork_turn, fork_drop_m), part("sleeves", sleeve_turn, sleeve_drop_m)

    def jib_mast(self) -> BentMember:
        """A standing cantilever: its own x axis runs up; saddles and boom sit at its top, the bed counted as stiff."""
        rig, frame = self.rig, self.straight.frames["jib mast"]
        length_m = rig.jib_mast.length_m
        axes = Axes(frame.axes.z, frame.axes.y, -frame.axes.x)
        top_m = frame.at(z_m=length_m)
        even = self.down.times(self.straight.figures.jib_mast_kg * (1.0 / length_m))
        turn, shift = cantilever(axes, length_m, properties(rig.jib_mast.section), *self._pull(SADDLES, top_m, 3), even)
        return _member("jib mast", turn, shift, top_m, SADDLES)

    def boom(self) -> tuple[BentMember, BentMember]:
        """Turn over the front saddle from the part between the saddles, then the overhang beyond it."""
        rig, frame, numbers = self.rig, self.straight.frames["boom"], self.straight.figures
        saddles, steel, out_m = rig.saddles, properties(rig.boom.section), numbers.boom_out_m
        stub_m = 0.0 if fitted_arms(numbers) else rig.hook.edge_m
        overhang_m, span_m = out_m - stub_m - saddles.front_x_m, saddles.front_x_m - saddles.rear_x_m
        tail_m = rig.boom.length_m - out_m + saddles.rear_x_m
        even = self.down.times(numbers.boom_kg * (1.0 / rig.boom.length_m))
        end_m, front_m = frame.at(out_m - stub_m), frame.at(saddles.front_x_m)
        force_N, moment_Nm = self._pull(BOOM + 1, end_m, 5)
        if stub_m:
            moment_Nm = moment_Nm + frame.axes.x.times(stub_m / 2.0).cross(even.times(stub_m))
            force_N = force_N + even.times(stub_m)
        turn, shift = cantilever(frame.axes, overhang_m, steel, force_N, moment_Nm, even)
        overhang = _member("boom", turn, shift, end_m, BOOM + 1)
        at_front = moment_Nm + frame.axes.x.cross(force_N.times(overhang_m) + even.times(overhang_m * overhang_m / 2.0))
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
        """Each a cantilever from its hinge."""
        found = []
        for number, index in enumerate(fitted_arms(self.straight.figures)):
            arm, frame = self.rig.arms[index], self.straight.frames[arm_link(index)]
            end_m, rider = frame.at(arm.length_m), BOOM + 2 + number
            even = self.down.times(self.straight.figures.arms_kg[index] * (1.0 / arm.length_m))
            pull = self._pull(rider, end_m, 6 + number)
            turn, shift = cantilever(frame.axes, arm.length_m, properties(arm.section), *pull, even)
            found.append(_member(arm.name, turn, shift, end_m, rider))
        return found


def _member(part: str, turn_rad: Vec, shift_m: Vec, at_m: Vec, first: int) -> BentMember:
    """A member that turns about, and shifts, the point ``at_m``."""
    return BentMember(part, turn_rad, shift_m - turn_rad.cross(at_m), first)


def cantilever(
    axes: Axes, length_m: Number, steel: SectionProperties, force_N: Vec, moment_Nm: Vec, weight_N_m: Vec
) -> tuple[Vec, Vec]:
    """Turn and shift of a member's outer end under an end pull and an even weight, from its own inner end.

    ``axes.x`` runs along the member.  A force along z and a moment about y bend it up and down, a force along y and a
    moment about z sideways.
    """
    force, moment, even = axes.own(force_N), axes.own(moment_Nm), axes.own(weight_N_m)
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
    return properties(FlatBar(width_m=forks.width_m, depth_m=forks.thickness_m - forks.worn_m))


def _blade_m_N(at_m: float, where_m: float, stiffness_Nm2: float) -> float:
    """How far a cantilever blade goes down at ``where_m`` for each newton at ``at_m``, both from the shank."""
    near, far = min(at_m, where_m), max(at_m, where_m)
    return near**2 * (3.0 * far - near) / (6.0 * stiffness_Nm2)
