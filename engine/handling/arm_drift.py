"""Arm drift: which way each standing-axis arm runs when it is let go, and where it comes to rest.

Method.  Everything outboard of a hinge turns about its pin.  With the pin's unit axis n, a point o on it, and the first
moment L of the outboard weights about o (``engine.rig.load_path``), under gravity g

    torque = n . (L x g),

which is the slope of the potential energy: turned by d, the energy is ``const - (A cos d + torque sin d)`` with
``A = L_across . g`` (the part of L square to the pin).  So the lowest place of one arm is known in closed form,
d = atan2(torque, A), or the stop it meets first.  Several arms are let down one after the other, over and over, until
none moves: each step lowers the energy, so this ends, and in a place where no single arm wants to turn.

The pin leans with everything under it: floor slope, tilt, the jib mast's own lean and the lean allowed for tyres and
upright (``policy.lean_rad``).

Friction in the hinge (``friction_Nm``) holds an arm only until something shakes it.  It is worked out to tell the slope
at which an arm starts by itself, and is never counted as holding.

Sources: statics; pin in a sleeve torque = mu F r and flat collar at its mean radius, the usual approximations
(from memory; a flat-ended pivot under even pressure would give 2/3 of the outer radius, Housner & Hudson, Statics).
Friction of steel on steel: greased 0.12-0.35 starting, dry 0.12-0.60 (drive engineering guide A-32); 0.15 and 0.30 here
are inside both.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

import msgspec

from engine.base.geometry import GRAVITY_M_S2
from engine.limits.all_limits import leaned
from engine.rig.free_turn import joint_as_free
from engine.rig.hinge_pieces import as_built, sleeve_of
from engine.rig.kinematics import Figures, Placed, arm_link, figures, fitted_arms, place
from engine.rig.load_path import LoadPath, loaded_path
from engine.schema.joints import swings
from engine.schema.model import Arm, Job, Pose, hinge_of

GREASED, DRY = 0.15, 0.30
"""Friction of a greased and of a dry hinge."""

STILL_NM = 1e-6
"""Torque up to which an arm stands still: round-off, far below any bearing's friction."""

SETTLED_RAD = 1e-9
ROUNDS = 400
"""Letting several arms down in turn converges by a fixed share each round; this is far more than it takes."""


Direction = Literal["left", "right", "still", "not known"]


class ArmDrift(msgspec.Struct, kw_only=True, frozen=True):
    """How one standing-axis arm behaves when let go, the other arms held.

    ``torque_Nm`` turns it to the left (positive) or right; ``friction_greased_Nm`` and ``friction_dry_Nm`` are what its
    hinge resists with; ``starts_at_fall_greased`` (``_dry``) is the lean of the pin, rise over run, at which the arm
    starts from broadside on.  ``runs`` is the direction it goes: friction does not count as holding, so only an arm
    without torque is ``still``.  On a floor whose slope is not known every number is NaN, the direction is
    ``not known``, and the arm counts as starting by itself.
    """

    index: int
    name: str
    torque_Nm: float
    friction_greased_Nm: float
    friction_dry_Nm: float
    starts_at_fall_greased: float
    starts_at_fall_dry: float
    runs: Direction
    starts_by_itself: bool


class Drift(msgspec.Struct, kw_only=True, frozen=True):
    """All standing-axis arms of a pose, the lean of their pins, and the pose they come to rest in.

    ``downhill_rad`` is the direction that the pins lean towards (from the boom's line, left positive), None when plumb.
    On a floor whose slope is not known the lean is NaN, and direction and rest are None.
    """

    arms: tuple[ArmDrift, ...]
    lean: float
    downhill_rad: float | None
    rest: Pose | None


def drift(job: Job, pose: Pose) -> Drift:
    """Which way the arms run when let go, and where they come to rest.

    Parameters
    ----------
    job : Job
    pose : Pose
        Loaded or empty as it says.

    Returns
    -------
    Drift
        Without arms for a rig that has no standing axis.
    """
    placed = place(job, leaned(figures(job, pose), job.policy))
    down = placed.frames["boom"].axes.own(placed.gravity)
    x, y, z = map(float, down)
    sideways = math.hypot(x, y)
    return Drift(
        arms=_arm_drifts(job, placed),
        lean=math.inf if z >= 0.0 else sideways / -z,
        downhill_rad=math.atan2(y, x) if sideways > 1e-12 else None,
        rest=None if math.isnan(sideways) else _rest(job, pose),
    )


def arm_drifts(job: Job, pose: Pose) -> tuple[ArmDrift, ...]:
    """Which way each arm runs when let go, without where it comes to rest: quick enough for a drag."""
    return _arm_drifts(job, place(job, leaned(figures(job, pose), job.policy)))


def _arm_drifts(job: Job, placed: Placed) -> tuple[ArmDrift, ...]:
    path = loaded_path(placed)
    return tuple(
        _arm_drift(job.rig.arms[index], index, hinge_pull(job.rig.arms[index], placed, path, index))
        for index in standing_arms(job, placed.figures)
    )


def standing_arms(job: Job, numbers: Figures) -> tuple[int, ...]:
    """Indices of the fitted arms that turn about a standing axis, from the boom outwards."""
    return tuple(index for index in fitted_arms(numbers) if swings(job.rig.arms[index].joint))


def _arm_drift(arm: Arm, index: int, pull: HingePull) -> ArmDrift:
    greased, dry = (friction_Nm(arm, pull, mu) for mu in (GREASED, DRY))
    return ArmDrift(
        index=index,
        name=arm.name,
        torque_Nm=pull.torque_Nm,
        friction_greased_Nm=greased,
        friction_dry_Nm=dry,
        starts_at_fall_greased=_fall_at(greased, pull.broadside_Nm),
        starts_at_fall_dry=_fall_at(dry, pull.broadside_Nm),
        runs=_direction(pull.torque_Nm),
        starts_by_itself=not abs(pull.torque_Nm) <= greased,
    )


def _direction(torque_Nm: float) -> Direction:
    if math.isnan(torque_Nm):
        return "not known"
    return "still" if abs(torque_Nm) <= STILL_NM else "left" if torque_Nm > 0.0 else "right"


def _fall_at(friction_Nm: float, broadside_Nm: float) -> float:
    """Lean (rise over run) at which weight x lever x sin(lean) equals the friction; infinite where it never does."""
    if math.isnan(friction_Nm):
        return math.nan
    sine = friction_Nm / broadside_Nm if broadside_Nm > 0.0 else math.inf
    return math.tan(math.asin(sine)) if sine < 1.0 else math.inf


class HingePull(NamedTuple):
    """What everything outboard of a hinge does to its pin.

    ``torque_Nm`` turns the arm about the pin (left or up positive) and ``hanging_Nm`` is A of the module's method: how
    firmly it hangs.  ``tilting_Nm`` is the moment square to the pin; ``along_N`` and ``across_N`` are the force along
    and square to it.  ``broadside_Nm`` is the torque that the same weights would have with the pin lying level.
    """

    torque_Nm: float
    hanging_Nm: float
    tilting_Nm: float
    along_N: float
    across_N: float
    broadside_Nm: float


def hinge_pull(arm: Arm, placed: Placed, path: LoadPath, index: int) -> HingePull:
    """Pull of everything outboard of an arm's hinge, taken at the middle of its pin.

    Parameters
    ----------
    placed : Placed
        One pose.
    path : LoadPath
        Of that pose, with rigging and load counted in (`loaded_path`).
    index : int
        Of a fitted arm.
    """
    frame = placed.frames[arm_link(index)]
    axis, gravity = arm.joint.pin(frame.axes), placed.gravity.times(GRAVITY_M_S2)
    outboard = path.arms[fitted_arms(placed.figures).index(index)]
    pull, first = outboard.wrench(frame.origin, gravity), outboard.first_about(frame.origin)
    first_across = first - axis.times(axis.dot(first))
    torque_Nm, along_N = axis.dot(pull.moment_Nm), axis.dot(pull.force_N)
    return HingePull(
        torque_Nm=float(torque_Nm),
        hanging_Nm=float(first_across.dot(gravity)),
        tilting_Nm=float((pull.moment_Nm - axis.times(torque_Nm)).length()),
        along_N=float(along_N),
        across_N=float((pull.force_N - axis.times(along_N)).length()),
        broadside_Nm=GRAVITY_M_S2 * float(first_across.length()),
    )


def friction_Nm(arm: Arm, pull: HingePull, mu: float) -> float:
    """Torque with which a hinge resists turning: pin in both barrels, and the collar the weight rests on.

    The moment square to the pin is a couple of forces M/h on the barrels, h apart, or on a sleeve's ends, its length
    and a gap apart; the pull square to the pin is shared by them; the pull along it rests on the collar between barrel
    and lug, at its mean radius.
    """
    hinge = hinge_of(arm)
    sleeve = sleeve_of(hinge)
    lever_m = hinge.spacing_m if sleeve is None else sleeve.length_m + hinge.gap_m
    barrels_N = 2.0 * pull.tilting_Nm / lever_m + pull.across_N
    return mu * (barrels_N * hinge.pin.diameter_m / 2.0 + abs(pull.along_N) * collar_radius_m(arm))


def collar_radius_m(arm: Arm) -> float:
    """Mean radius of the face between barrel and lug."""
    hinge = as_built(hinge_of(arm))
    return (hinge.barrel_outer_m + hinge.pin.hole_m) / 4.0


def _rest(job: Job, pose: Pose) -> Pose:
    """Where the arms come to rest without friction: each let down in turn to its lowest place or its stop."""
    order = standing_arms(job, figures(job, pose))
    for _ in range(ROUNDS):
        before = pose
        for index in order:
            pose = _let_go(job, pose, index)
        moved = max((abs(a.turn_rad - b.turn_rad) for a, b in zip(pose.arms, before.arms, strict=True)), default=0.0)
        if moved <= SETTLED_RAD:
            break
    return pose


def _let_go(job: Job, pose: Pose, index: int) -> Pose:
    """The pose with one arm at its lowest place or its stop."""
    placed = place(job, leaned(figures(job, pose), job.policy))
    arm, was = job.rig.arms[index], pose.arms[index]
    pull = hinge_pull(arm, placed, loaded_path(placed), index)
    if abs(pull.torque_Nm) <= STILL_NM and pull.hanging_Nm >= -STILL_NM:
        return pose
    turned = joint_as_free(job.rig, index).stopped(was.turn_rad + math.atan2(pull.torque_Nm, pull.hanging_Nm))
    arms = tuple(msgspec.structs.replace(was, turn_rad=turned) if i == index else a for i, a in enumerate(pose.arms))
    return msgspec.structs.replace(pose, arms=arms)
