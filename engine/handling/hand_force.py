"""Hand force: what it takes to turn each arm at its end, loaded and empty, and to slide the empty boom.

Method.  A hand at an arm's end, square to it, must overcome hinge friction and, uphill, the torque of the arm's own
drift (``engine.handling.arm_drift``).  Downhill the drift helps; when it exceeds the friction the hand must hold back
instead.  The boom slides in two straps, with nothing on its hook: a loaded one is never slid.  Each strap carries its
share of the overhang up or down, V, and of the twist from turned arms, T, on two edges as far apart as the boom is
wide, b: the two press with ``max(|V|, 2 |T|/b)`` together.  How the straps share the twist is not known: all in the
front one, half each, all in the rear one are looked at, the most friction against the hand uphill and the least
downhill.  What presses sideways adds to it, and so does weight along a leaning boom.

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

NEVER_LOADED = "Sliding the boom with a load on it: never. Set the load down first."

TWIST_IN_FRONT = (1.0, 0.5, 0.0)
"""Share of the boom's twist that the front strap takes."""

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
    """Forces for every standing-axis arm with the hook loaded and empty, and for the boom with it empty.

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
    return (*forces, boom_force(job, pose))


def arm_force(job: Job, pose: Pose, index: int) -> HandForce:
    """Force square to an arm at its end that starts it turning; arms beyond it held as they are."""
    placed = place(job, leaned(figures(job, pose), job.policy))
    arm = job.rig.arms[index]
    pull = hinge_pull(arm, placed, loaded_path(placed), index)
    resists_N = [friction_Nm(arm, pull, mu) / arm.length_m for mu in (GREASED, DRY)]
    return _force(arm.name, pose.loaded, abs(pull.torque_Nm) / arm.length_m, resists_N)


def boom_force(job: Job, pose: Pose) -> HandForce:
    """Force along the boom that starts it sliding in its saddles, the hook empty."""
    empty = msgspec.structs.replace(pose, loaded=False)
    placed = place(job, leaned(figures(job, empty), job.policy))
    contacts_N, along_N = _saddles(job, placed)
    drives_N = abs(along_N)
    most_N, least_N = max(contacts_N), min(contacts_N)
    return HandForce(
        part="boom",
        loaded=False,
        uphill_greased_N=GREASED * most_N + drives_N,
        uphill_dry_N=DRY * most_N + drives_N,
        downhill_greased_N=GREASED * least_N - drives_N,
        downhill_dry_N=DRY * least_N - drives_N,
    )


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


def _saddles(job: Job, placed: Placed) -> tuple[list[float], float]:
    """Sum of the contact forces in both straps (N) for each way to share the twist, and the pull along the boom (N)."""
    rig, frame = job.rig, placed.frames["boom"]
    gravity = placed.gravity.times(GRAVITY_M_S2)
    pull = loaded_path(placed).boom.wrench(frame.at(rig.saddles.front_x_m), gravity)
    force, moment = frame.axes.own(pull.force_N), frame.axes.own(pull.moment_Nm)
    span_m = rig.saddles.front_x_m - rig.saddles.rear_x_m
    # Moments about the front strap: the rear one holds M/span, the front one the rest.
    rear_up, rear_side = -moment.y / span_m, moment.z / span_m
    front_up, couple_N = -force.z - rear_up, 2.0 * abs(moment.x) / rig.boom.section.width_m
    sides_N = abs(rear_side) + abs(-force.y - rear_side)
    contacts_N = [
        float(sides_N + max(abs(front_up), share * couple_N) + max(abs(rear_up), (1.0 - share) * couple_N))
        for share in TWIST_IN_FRONT
    ]
    return contacts_N, float(force.x)
