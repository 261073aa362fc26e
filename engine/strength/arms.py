"""The arms as members: each is checked where it is worst, at its hinge axis.

The outboard weights have their greatest lever at the hinge, and the tube is the same all along, so the hinge end
governs bending, twist and shear together.  The hinge axis itself is taken, though the tube begins a little outside it.
The last link is also checked where a hole holds the hook and leaves a net section, and so is every link that carries an
arm and has such a hole behind its hinge.
"""

from __future__ import annotations

import msgspec

from engine.base.geometry import Number
from engine.rig import hook_place
from engine.rig.check import Check
from engine.rig.kinematics import Placed
from engine.schema.connections import DropInPin, StayLink
from engine.schema.model import Arm, Job, Policy
from engine.schema.sections import RectTube
from engine.strength import hinges, members
from engine.strength.cuts import Cut, Cuts, SectionForces
from engine.strength.linear_in_load import CheckLabel, check_use
from engine.strength.members import CrossHole, Member
from engine.strength.unverified_values import BASE_PLATE_K


def checks(job: Job, placed: Placed, cuts: Cuts) -> list[Check]:
    """Every fitted arm at its hinge, and every link at its hole for the hook."""
    at_hinges = [
        check
        for index, cut in cuts.arms
        for check in _at_hinge(job.rig.arms[index], cut, placed.figures.turns_rad[index], job.policy, cuts.load_kg)
    ]
    last = cuts.arms[-1][0] if cuts.arms else None
    holes = ((last, cuts.hook), *cuts.idle)
    return [*at_hinges, *(check for link, cut in holes for check in _at_hook_hole(job, link, cut, cuts.load_kg))]


def _at_hinge(arm: Arm, cut: Cut, raised_rad: Number | None, policy: Policy, load_kg: Number) -> list[Check]:
    """At the hinge; a stay presses the arm between hinge and stay, and bends it there where it stands off its axis.

    The moment at the hinge is taken as if nothing held the arm: at the stay, further out, it is less.
    """
    member, forces = arm_member(arm, policy), cut.forces
    hold = None if raised_rad is None else hinges.hold_at(arm, cut, raised_rad)
    if hold is not None:
        along, _ = hold.on_arm
        forces = forces._replace(axial=forces.axial.plus(along))
    made = members.checks(arm.name, "at its hinge", cut.place_m, member, forces, load_kg)
    stay = arm.stay
    if hold is None or not isinstance(stay, StayLink):
        return made
    along, up = hold.on_arm
    x, z = stay.at_arm.x_m, stay.at_arm.z_m
    inside = forces._replace(
        shear_up=forces.shear_up.plus(up),
        bend_up=forces.bend_up.plus(forces.shear_up, x).plus(along, z),
    )
    place_m = cut.place_m + cut.axes.out(x, 0.0, 0.0)
    return [*made, *members.checks(arm.name, "at its stay", place_m, member, inside, load_kg)]


def arm_member(arm: Arm, policy: Policy, hole: CrossHole | None = None) -> Member:
    """An arm's tube as a member; free to buckle sideways over its length."""
    return members.member_of(
        arm.section, arm.steel, policy, unbraced_m=arm.length_m, column_m=BASE_PLATE_K * arm.length_m, hole=hole
    )


def boom_end_member(job: Job, hole: CrossHole) -> Member:
    """The boom's end with the hook pin's hole, when no arm is fitted."""
    boom = job.rig.boom
    return members.member_of(
        boom.section, boom.steel, job.policy, unbraced_m=boom.length_m, column_m=BASE_PLATE_K * boom.length_m, hole=hole
    )


def _at_hook_hole(job: Job, link: int | None, cut: Cut, load_kg: Number) -> list[Check]:
    """Net section of a link at the hole that holds the hook, or would: all components together.

    A standing pin's hole is through top and bottom: it costs the tube lying on its side what a cross hole would.
    """
    hook, forces, on = job.rig.hook, cut.forces, hook_place.link_of(job.rig, link)
    if hook.cross_pin is not None:
        hole, pin = CrossHole(hook.cross_pin.pin.hole_m), "hook pin"
        member = arm_member(on, job.policy, hole) if isinstance(on, Arm) else boom_end_member(job, hole)
    elif isinstance(hook.end, DropInPin) and isinstance(on.section, RectTube):
        hole, pin = CrossHole(hook.end.hole_m), "hook's standing pin"
        lying = msgspec.structs.replace(on.section, width_m=on.section.depth_m, depth_m=on.section.width_m)
        length_m = on.length_m
        member = members.member_of(
            lying, on.steel, job.policy, unbraced_m=length_m, column_m=BASE_PLATE_K * length_m, hole=hole
        )
        forces = SectionForces(
            forces.axial, forces.shear_side, forces.shear_up, forces.twist, forces.bend_side, forces.bend_up
        )
    else:
        return []
    use = members.combined_use(member, forces)
    words = (
        f"shear {{shear:N}} and bending {{up:Nm}} in the walls beside the {{hole:part}} {pin} hole use {{demand:share}}"
    )
    name = on.name if isinstance(on, Arm) else "boom"
    label = CheckLabel(name, f"net section at the {pin}", cut.place_m, "", words, members.MEMBER_SOURCE)
    shear, up = abs(cut.forces.shear_up.at(load_kg)), abs(cut.forces.bend_up.at(load_kg))
    return [check_use(label, use, load_kg, shear=shear, up=up, hole=hole.diameter_m)]
