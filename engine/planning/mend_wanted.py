"""What a rig would need: the smallest changes of parts with which it does what is wanted of it.

Wanted is a load in a pose, in every pin hole of the boom, or on a whole move.  `engine.planning.mend` finds the changes
for the place where the rig is over most; each is then asked about everywhere else, and a place where it does not hold
is added to those that must.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import msgspec

from engine.planning.mend import NOT_ENTERED, NOT_JUDGED, NOTHING_OVER, Case, Held, Mending, mend, over_in
from engine.planning.move import Plan, job_on, plan
from engine.planning.move_steps import MoveStep, pose_between
from engine.planning.sweep import SoFar, Stop, Stopped, Tell, never, quiet, unheard
from engine.rig.feasibility import impossibilities, usable_holes
from engine.schema.model import Job, Move, Pose
from engine.schema.quantities import Estimate
from engine.worst_case.evaluator import record_ahead
from engine.worst_case.verdict import Verdict, evaluate

REPLACE = msgspec.structs.replace

MOVE_HOLDS = "The whole move is within its limits."
HOLES_HOLD = "The load is within the limits in every pin hole."
STOPPED_OTHERWISE = "Something besides the limits stops this move, which no size of a part cures: see the move itself."
NO_HOLE = "The boom can be pinned in no hole with these arms."
NO_HOLE_LEFT = "In every pin hole the truck is over or something is in the way: no part of the rig cures that."


class Wanted(msgspec.Struct, kw_only=True, frozen=True):
    """What a rig shall do.

    Attributes
    ----------
    pose : Pose
        Where the load hangs; its hole counts unless every one does.
    load_kg : float, optional
        The load; the one that is entered, with its doubt, where none is given.
    every_hole : bool
        Whether it shall hold the load in every pin hole, at the pose's fork height with its arms.
    move : Move, optional
        A whole move, in place of the pose.
    """

    pose: Pose
    load_kg: float | None = None
    every_hole: bool = False
    move: Move | None = None


def mend_wanted(job: Job, wanted: Wanted, stop: Stop = never, tell: Tell = quiet, so_far: SoFar = unheard) -> Mending:
    """The smallest changes of parts with which a rig does what is wanted.

    Parameters
    ----------
    job : Job
    wanted : Wanted
    stop, tell
        Called between two tries.
    so_far
        Handed the cures found, a tuple of `engine.planning.mend.Cure`, after each.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    job = with_load(job, wanted.load_kg)
    if wanted.move is not None:
        return _whole_move(job, wanted.move, stop, tell, so_far)
    pose = REPLACE(wanted.pose, loaded=True) if wanted.load_kg is not None or wanted.every_hole else wanted.pose
    if wanted.every_hole:
        return _every_hole(job, pose, stop, tell, so_far)
    record_ahead(job, pose)
    return mend(job, (pose,), stop, tell, so_far)


def with_load(job: Job, load_kg: float | None) -> Job:
    """The job with a load that weighs this much (kg), no less and no more."""
    if load_kg is None:
        return job
    mass_kg = Estimate(best=load_kg, low=load_kg, high=load_kg, known="weighed")
    return REPLACE(job, load=REPLACE(job.load, mass_kg=mass_kg))


# ---------------------------------------------------------------- every hole


def poses_of_holes(job: Job, pose: Pose) -> Iterator[Pose]:
    """The pose in each hole that the boom can be pinned in, the arms and the forks as they are."""
    for hole in usable_holes(job):
        there = REPLACE(pose, hole=hole, free_out_m=None)
        if not impossibilities(job, there):
            yield there


def _every_hole(job: Job, pose: Pose, stop: Stop, tell: Tell, so_far: SoFar) -> Mending:
    """Holes where the truck is over or something is in the way are left out, and said."""
    poses = list(poses_of_holes(job, pose))
    if not poses:
        return Mending(cures=(), why_not=NO_HOLE)
    record_ahead(job, poses[0])
    wanted: list[tuple[float, Pose]] = []
    left_out: list[int] = []
    for there in poses:
        if stop():
            raise Stopped
        verdict = evaluate(job, there)
        if verdict.worst_case is None:
            return Mending(cures=(), why_not=NOT_JUDGED, problems=verdict.problems)
        if any(check.of != "rig" for check in over_in(Case(there), verdict)):
            left_out.append(there.hole or 0)
        else:
            wanted.append((_most_used(verdict), there))
    if not wanted:
        return Mending(cures=(), why_not=NO_HOLE_LEFT, left_out=tuple(left_out))

    def held(changed: Job) -> Held:
        fails: list[tuple[float, Pose]] = []
        for _, there in wanted:
            verdict = evaluate(changed, there)
            if verdict.state != "WITHIN":
                fails.append((_most_used(verdict), there))
        return Held(not fails, (Case(_worst(fails)),) if fails else ())

    worst = _worst(wanted)
    found = mend(job, (worst,), stop, tell, so_far, held)
    why_not = HOLES_HOLD if found.why_not == NOTHING_OVER else found.why_not
    return REPLACE(found, left_out=tuple(left_out), why_not=why_not)


def _most_used(verdict: Verdict) -> float:
    return max(use for _, use in verdict.worst_uses_at_once)


def _worst(found: list[tuple[float, Pose]]) -> Pose:
    return max(found, key=lambda pair: pair[0])[1]


# ---------------------------------------------------------------- a whole move


def _whole_move(job: Job, move: Move, stop: Stop, tell: Tell, so_far: SoFar) -> Mending:
    planned = plan(job, move, stop)
    if planned.state == "REFUSED":
        return Mending(cures=(), why_not=NOT_JUDGED, problems=planned.problems)
    if planned.state == "WITHIN":
        return Mending(cures=(), why_not=MOVE_HOLDS)
    if any(objection.stops for objection in planned.objections):
        return Mending(cures=(), why_not=STOPPED_OTHERWISE)
    cases = _cases(job, move, planned)
    if any(objection.unproven for objection in planned.objections) or not cases:
        return Mending(cures=(), why_not=NOT_ENTERED)

    def held(changed: Job) -> Held:
        if stop():
            raise Stopped
        again = plan(changed, move, stop)
        return Held(again.state == "WITHIN", _cases(changed, move, again)[:1])

    record_ahead(cases[0].on(job), cases[0].pose)
    return mend(job, cases[:1], stop, tell, so_far, held)


class _OnStep(NamedTuple):
    """A job as a step of a move finds it."""

    move: Move
    step: MoveStep

    def __call__(self, job: Job) -> Job:
        return job_on(job, self.move, self.step)


def _cases(job: Job, move: Move, planned: Plan) -> tuple[Case, ...]:
    """Where each step that is over or not proven is used most, the most used first.

    Where only the proven bound is over, the limit may be used that much less.
    """
    found: list[tuple[float, Case]] = []
    for result in planned.steps:
        if result.bound_use <= 1.0:
            continue
        pose = pose_between(job, result.step, result.peak_share)
        most = 1.0 if result.peak_use > 1.0 else result.peak_use / result.bound_use
        found.append((result.bound_use, Case(pose, _OnStep(move, result.step), most)))
    return tuple(case for _, case in sorted(found, key=lambda pair: -pair[0]))
