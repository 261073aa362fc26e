"""What a person at the truck can change about a pick that is not allowed, family by family, cheapest first.

Each family yields changed jobs and poses in growing steps; none of them is judged here (``engine.planning.remedy``).
The load stays over the same spot wherever that is possible: where the hook comes nearer the truck, the truck comes
closer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

import msgspec

from engine.base.formatting import M_PER_FT, System
from engine.base.geometry import Vec
from engine.planning.inverse_kinematics import likeliest
from engine.planning.sweep import judge
from engine.rig.feasibility import usable_holes
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import figures, fitted_arms, hole_out_m, place
from engine.schema.joints import swings
from engine.schema.model import Job, Pose, find_floor
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import low_high
from engine.shop.pose_edits import fit_arm, lift_to, turn_arm_to
from engine.worst_case.verdict import evaluate

CLEAR_M = 0.10
"""A load held just clear of the floor: 100-150 mm is customary (common practice, no source)."""

LOWER_STEP_M: dict[System, float] = {"metric": 0.3, "us": M_PER_FT}
CLEAR_STEP_M: dict[System, float] = {"metric": 0.15, "us": M_PER_FT / 2.0}
CLOSER_STEP_M: dict[System, float] = {"metric": 0.15, "us": M_PER_FT / 2.0}
CLOSEST_M: dict[System, float] = {"metric": 1.5, "us": 5.0 * M_PER_FT}
"""A truck is brought closer hand by hand; further than this it is another place."""

SHORT_SLING_M = 0.20
"""A sling shorter than this is a shackle (common practice, no source)."""

PARTS_AT_MOST = 4
"""Parts that a load is split into at most."""

NOTHING = 1e-6
"""A length (m), slope or tilt (rad) under this is none."""

REPLACE = msgspec.structs.replace


class Change(NamedTuple):
    """One change: a sentence as template and numbers, and the changed job and pose."""

    words: str
    numbers: Mapping[str, float | str]
    job: Job
    pose: Pose


def _clear(job: Job, pose: Pose) -> Iterator[Change]:
    """Ways out of what is in the way: hold the load still, slide the boom out, raise or lower the forks."""
    verdict = evaluate(job, pose)
    if not verdict.room.short_at_worst:
        return
    if pose.loaded:
        yield from _held(job, pose)
    now_m = float(figures(job, pose).boom_out_m)
    holes = [hole for hole in usable_holes(job) if float(hole_out_m(job.rig, hole)) > now_m + 1e-9]
    for count, hole in enumerate(reversed(holes), start=1):
        words = "Slide the boom out to hole {hole} ({by:mm})"
        if pose.loaded:
            words = "Set the load down, slide the boom out to hole {hole} ({by:mm}), the truck as much further back"
        numbers = {"count": str(count), "hole": str(hole), "by": float(hole_out_m(job.rig, hole)) - now_m}
        yield Change(words, numbers, job, REPLACE(pose, hole=hole, free_out_m=None))
    upright = job.truck.upright
    up_m, down_m = upright.lift_max_m - pose.lift_m, pose.lift_m - upright.lift_min_m
    step_m = CLEAR_STEP_M[job.units]
    for by_m in sorted((*_steps(up_m, step_m), *(-by for by in _steps(down_m, step_m))), key=abs):
        words = "Raise the forks by {by:m}" if by_m > 0.0 else "Lower the forks by {by:m}"
        yield Change(words, {"by": abs(by_m)}, job, lift_to(job, pose, pose.lift_m + by_m))


def _held(job: Job, pose: Pose) -> Iterator[Change]:
    """The load held by two tag lines, as it lies now and turned by a right angle."""
    held = job.load.hang in ("two_lines", "fixed")
    for heading in (job.load.heading_rad, 0.0, math.pi / 2.0):
        same = abs(heading - job.load.heading_rad) < NOTHING
        if held and same:
            continue
        along = abs(math.sin(heading)) < NOTHING
        words = "Hold the load by two tag lines" if not held else "Turn the load"
        if not same or not held:
            words += ", its length along the truck" if along else ", its length across the truck"
        load = REPLACE(job.load, hang=job.load.hang if held else "two_lines", heading_rad=heading)
        yield Change(words, {}, REPLACE(job, load=load), pose)


def _boom_in(job: Job, pose: Pose) -> Iterator[Change]:
    now_m = float(figures(job, pose).boom_out_m)
    holes = [hole for hole in usable_holes(job) if float(hole_out_m(job.rig, hole)) < now_m - 1e-9]
    for count, hole in enumerate(holes, start=1):
        words = "Pull the boom in {count} holes to hole {hole} ({by:mm}), the truck as much closer"
        if count == 1:
            words = "Pull the boom in one hole to hole {hole} ({by:mm}), the truck as much closer"
        numbers = {"count": str(count), "hole": str(hole), "by": now_m - float(hole_out_m(job.rig, hole))}
        yield Change(words, numbers, job, REPLACE(pose, hole=hole, free_out_m=None))


def _arms_off(job: Job, pose: Pose) -> Iterator[Change]:
    for index in reversed(fitted_arms(figures(job, pose))):
        pose = fit_arm(pose, index, False)
        yield Change("Take {arm} off, the truck as much closer", {"arm": job.rig.arms[index].name}, job, pose)


def _fold(job: Job, pose: Pose) -> Iterator[Change]:
    for index in reversed(fitted_arms(figures(job, pose))):
        arm = job.rig.arms[index]
        if not swings(arm.joint):
            continue
        folded = [turn_arm_to(job, pose, index, stop) for stop in reversed(joint_as_free(job.rig, index).stops)]
        best = min(folded, key=lambda stance: judge(job, stance).use)
        if best != pose:
            numbers = {"arm": arm.name, "turn": best.arms[index].turn_rad}
            yield Change("Fold {arm} back to {turn:deg}, the truck as much closer", numbers, job, best)


def _lower(job: Job, pose: Pose) -> Iterator[Change]:
    hook = place(job, figures(job, pose)).hook_m
    hangs_m = job.load.sling_m + job.load.height_m if pose.loaded else 0.0
    room_m = min(float(hook.z) - hangs_m - CLEAR_M, pose.lift_m - job.truck.upright.lift_min_m)
    for down_m in _steps(room_m, LOWER_STEP_M[job.units]):
        yield Change("Lower the hook by {by:m}", {"by": down_m}, job, lift_to(job, pose, pose.lift_m - down_m))


def _closer(job: Job, pose: Pose) -> Iterator[Change]:
    """The hook stays over the same spot: nearer the truck by as much as the truck comes closer."""
    hook = place(job, figures(job, pose)).hook_m
    step_m = CLOSER_STEP_M[job.units]
    for by_m in _steps(CLOSEST_M[job.units], step_m):
        stance = likeliest(job, pose, Vec(hook.x - by_m, hook.y, hook.z), step_m / 2.0)
        if stance is not None:
            yield Change("Bring the truck {by:mm} closer", {"by": by_m}, job, stance)


def _floor(job: Job, pose: Pose) -> Iterator[Change]:
    """The truck turned so that the floor's whole slope is along it, then a level floor."""
    floor = find_floor(job, pose)
    if floor.fall_along is None or floor.fall_across is None:
        return
    fall = math.hypot(floor.fall_along.best, floor.fall_across.best)
    if fall <= NOTHING:
        return
    if abs(floor.fall_across.best) > NOTHING:
        for along, words in (
            (fall, "Turn the truck so that the fall of {fall:fall} is along it, nose downhill"),
            (-fall, "Turn the truck so that the fall of {fall:fall} is along it, nose uphill"),
        ):
            yield Change(words, {"fall": fall}, _on_slope(job, pose, along), pose)
    yield Change("Level the truck, or park where the floor is level", {}, _on_slope(job, pose, 0.0), pose)


def _on_slope(job: Job, pose: Pose, along: float) -> Job:
    """The job with the floor's slope along the truck alone, each slope known as well as it is now."""
    floor = find_floor(job, pose)
    sloped = REPLACE(floor, fall_along=_moved(floor.fall_along, along), fall_across=_moved(floor.fall_across, 0.0))
    return REPLACE(job, floors=tuple(sloped if other == floor else other for other in job.floors))


def _moved(slope: Estimate[float] | None, best: float) -> Estimate[float] | None:
    """Another slope with the band of this one."""
    if slope is None:
        return None
    low, high = low_high(slope, "fall")
    return Estimate(best=best, known=slope.known, low=best - (slope.best - low), high=best + (high - slope.best))


def _tilt_out(job: Job, pose: Pose) -> Iterator[Change]:
    if abs(pose.tilt_rad) > NOTHING:
        yield Change("Take the tilt of {tilt:deg} out", {"tilt": pose.tilt_rad}, job, REPLACE(pose, tilt_rad=0.0))


def _sling(job: Job, pose: Pose) -> Iterator[Change]:
    spare_m = min(job.load.sling_m - SHORT_SLING_M, pose.lift_m - job.truck.upright.lift_min_m)
    for by_m in _steps(spare_m if pose.loaded else 0.0, LOWER_STEP_M[job.units]):
        sling_m = job.load.sling_m - by_m
        shorter = REPLACE(job, load=REPLACE(job.load, sling_m=sling_m))
        words = "Shorten the sling to {sling:m} and lower the hook by {by:m}, the load as high as before"
        yield Change(words, {"sling": sling_m, "by": by_m}, shorter, lift_to(job, pose, pose.lift_m - by_m))


def _calm(job: Job, pose: Pose) -> Iterator[Change]:
    """No swing where the policy allows for some, then no travel either."""
    if job.policy.swing_rad > 0.0:
        words = "Wait for the wind to drop and keep the load from swinging, two tag lines"
        yield Change(words, {}, REPLACE(job, policy=REPLACE(job.policy, swing_rad=0.0)), pose)
    if job.policy.braking > 0.0:
        still = REPLACE(job.policy, braking=0.0, swing_rad=0.0)
        yield Change("Do not travel with the load up", {}, REPLACE(job, policy=still), pose)


def _split(job: Job, pose: Pose) -> Iterator[Change]:
    if not pose.loaded:
        return
    whole = job.load.mass_kg
    low, high = low_high(whole, "mass")
    for parts in range(2, PARTS_AT_MOST + 1):
        part = Estimate(best=whole.best / parts, known=whole.known, low=low / parts, high=high / parts)
        lighter = REPLACE(job, load=REPLACE(job.load, mass_kg=part))
        yield Change("Split the load into {parts} and lift one at a time", {"parts": str(parts)}, lighter, pose)


def _steps(most: float, step: float) -> Iterator[float]:
    """Multiples of the step under ``most``, then ``most`` itself; none where that is nothing."""
    if most <= NOTHING:
        return
    for count in range(1, math.ceil(most / step - 1e-9)):
        yield count * step
    yield most


FAMILIES: tuple[tuple[str, Callable[[Job, Pose], Iterator[Change]]], ...] = (
    ("clear", _clear),
    ("boom in", _boom_in),
    ("arm off", _arms_off),
    ("fold", _fold),
    ("lower", _lower),
    ("closer", _closer),
    ("floor", _floor),
    ("tilt out", _tilt_out),
    ("sling", _sling),
    ("calm", _calm),
    ("split", _split),
)
"""Kinds of change in the order they are tried."""
