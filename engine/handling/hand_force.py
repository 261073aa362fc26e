"""Hand force: what it takes to turn each arm at its end and to slide the boom, loaded and empty.

Method.  A hand at an arm's end, square to it, must overcome hinge friction and, uphill, the torque of the arm's own
drift (``engine.handling.arm_drift``).  Downhill the drift helps; when it exceeds the friction the hand must hold back
instead.  The boom slides in two straps.  Friction acts on every contact force (the overhang's reactions up and down,
the same sideways, and the twist from turned arms between the strap's sides), and weight along a leaning boom adds to
it.

Hands at or above the shoulder, or arms fully out, should start no more than 110 N (24 lbf): psychophysical tables for
pushing and pulling, read in a secondary copy.  A jib's arm is nearly always that high.  Friction resists; it never
counts as holding anything.
"""

from __future__ import annotations

import msgspec

from engine.base.geometry import GRAVITY_M_S2
from engine.handling.arm_drift import DRY, GREASED, friction_Nm, hinge_pull, standing_arms
from engine.limits.all_limits import leaned
from engine.rig.kinematics import Placed, figures, place
from engine.rig.load_path import loaded_path
from engine.schema.model import Job, Pose

HIGH_HAND_N = 110.0
"""Most a person should start with hands at or above the shoulder, or arms fully out."""


class HandForce(msgspec.Struct, kw_only=True, frozen=True):
    """Force to move one part by hand, in N.

    ``uphill_...`` starts it the hard way, ``downhill_...`` the easy way (negative: it runs by itself and must be held
    back with that force); each for a greased and a dry hinge or saddle.  ``too_much`` flags the dry uphill force.
    """

    part: str
    loaded: bool
    uphill_greased_N: float
    uphill_dry_N: float
    downhill_greased_N: float
    downhill_dry_N: float

    @property
    def too_much(self) -> bool:
        """Over what a person should start with hands at or above the shoulder."""
        return not self.uphill_dry_N <= HIGH_HAND_N


def hand_forces(job: Job, pose: Pose) -> tuple[HandForce, ...]:
    """Forces for every standing-axis arm and the boom, with the hook loaded and empty.

    Parameters
    ----------
    job : Job
    pose : Pose

    Returns
    -------
    tuple of HandForce
    """
    forces = []
    for loaded in (True, False):
        stance = msgspec.structs.replace(pose, loaded=loaded)
        forces += [arm_force(job, stance, index) for index in standing_arms(job, figures(job, stance))]
        forces.append(boom_force(job, stance))
    return tuple(forces)


def arm_force(job: Job, pose: Pose, index: int) -> HandForce:
    """Force square to an arm at its end that starts it turning; arms beyond it held as they are."""
    placed = place(job, leaned(figures(job, pose), job.policy))
    arm = job.rig.arms[index]
    pull = hinge_pull(arm, placed, loaded_path(placed), index)
    resists_N = [friction_Nm(arm, pull, mu) / arm.length_m for mu in (GREASED, DRY)]
    return _force(arm.name, pose.loaded, abs(pull.torque_Nm) / arm.length_m, resists_N)


def boom_force(job: Job, pose: Pose) -> HandForce:
    """Force along the boom that starts it sliding in its saddles."""
    placed = place(job, leaned(figures(job, pose), job.policy))
    contact_N, along_N = _saddles(job, placed)
    return _force("boom", pose.loaded, abs(along_N), [mu * contact_N for mu in (GREASED, DRY)])


def _force(part: str, loaded: bool, drives_N: float, resists_N: list[float]) -> HandForce:
    greased, dry = resists_N
    return HandForce(
        part=part,
        loaded=loaded,
        uphill_greased_N=greased + drives_N,
        uphill_dry_N=dry + drives_N,
        downhill_greased_N=greased - drives_N,
        downhill_dry_N=dry - drives_N,
    )


def _saddles(job: Job, placed: Placed) -> tuple[float, float]:
    """Sum of all contact forces in both straps (N), and the pull along the boom (N)."""
    rig, frame = job.rig, placed.frames["boom"]
    gravity = placed.gravity.times(GRAVITY_M_S2)
    pull = loaded_path(placed).boom.wrench(frame.at(rig.saddles.front_x_m), gravity)
    force, moment = frame.axes.own(pull.force_N), frame.axes.own(pull.moment_Nm)
    span_m = rig.saddles.front_x_m - rig.saddles.rear_x_m
    # Moments about the front strap: the rear one holds M/span, the front one the rest.
    rear_up, rear_side = -moment.y / span_m, moment.z / span_m
    contact_N = abs(rear_up) + abs(-force.z - rear_up) + abs(rear_side) + abs(-force.y - rear_side)
    contact_N += 2.0 * abs(moment.x) / rig.boom.section.width_m
    return float(contact_N), float(force.x)
