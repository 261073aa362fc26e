"""The arms as members: each is checked where it is worst, at its hinge axis.

The outboard weights have their greatest lever at the hinge, and the tube is the same all along, so the hinge end
governs bending, twist and shear together.  The hinge axis itself is taken, though the tube begins a little outside it.
The last link is also checked at the hook pin, where the hole leaves a net section.
"""

from __future__ import annotations

from engine.base.geometry import Number
from engine.rig.check import Check
from engine.schema.model import Arm, Job, Policy
from engine.strength import members
from engine.strength.cuts import Cut, Cuts
from engine.strength.linear_in_load import CheckLabel, check_use
from engine.strength.members import CrossHole, Member
from engine.strength.unverified_values import BASE_PLATE_K


def checks(job: Job, cuts: Cuts) -> list[Check]:
    """Every fitted arm at its hinge, and the last link at the hook pin's hole."""
    at_hinges = [
        check for index, cut in cuts.arms for check in _at_hinge(job.rig.arms[index], cut, job.policy, cuts.load_kg)
    ]
    return [*at_hinges, _at_hook_hole(job, cuts)]


def _at_hinge(arm: Arm, cut: Cut, policy: Policy, load_kg: Number) -> list[Check]:
    return members.checks(arm.name, "at its hinge", cut.place_m, arm_member(arm, policy), cut.forces, load_kg)


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


def _at_hook_hole(job: Job, cuts: Cuts) -> Check:
    """Net section of the last link at the hook pin: all components together."""
    hole = CrossHole(job.rig.hook.pin.hole_m)
    if cuts.arms:
        arm = job.rig.arms[cuts.arms[-1][0]]
        name, member = arm.name, arm_member(arm, job.policy, hole)
    else:
        name, member = "boom", boom_end_member(job, hole)
    forces = cuts.hook.forces
    use = members.combined_use(member, forces)
    words = "shear {shear:N} and bending {up:Nm} in the walls beside the {hole:length} hook pin hole use {demand:share}"
    label = CheckLabel(name, "net section at the hook pin", cuts.hook.place_m, "", words, members.MEMBER_SOURCE)
    load = cuts.load_kg
    return check_use(
        label, use, load, shear=abs(forces.shear_up.at(load)), up=abs(forces.bend_up.at(load)), hole=hole.diameter_m
    )
