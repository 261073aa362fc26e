"""Remedy: for a pick that is not allowed, what to change, tried in the order a person at the truck would try it.

Each remedy is a changed job and pose, judged by the very same engine in the worst case; nothing is assumed to help.  The
first that is within the limits is the answer.  Those tried before it are kept with their result, so that somebody who
asks "and if we just pull the boom in?" gets a number.

Order, from the cheapest: boom in; outer arm off; arm folded; hook lower; truck closer; level the truck or turn it so the
fall is along; tilt out; shorter sling; no swing; split the load; forks under it; a bigger truck; do not lift it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import msgspec

from engine.base.geometry import Vec
from engine.limits import plate
from engine.planning.inverse_kinematics import likeliest
from engine.planning.sweep import Stop, Stopped, judge, never
from engine.rig.check import Problem
from engine.rig.feasibility import usable_holes
from engine.rig.kinematics import figures, fitted_arms, hole_out_m, place
from engine.schema.joints import swings
from engine.schema.model import Estimate, Job, Policy, Pose, find_floor
from engine.schema.uncertainty_bands import low_high
from engine.shop.pose_edits import fit_arm, lift_to, turn_arm_to
from engine.worst_case.worst_case import settling, worst_case_of

CLEAR_M = 0.10
"""A load held just clear of the floor: 100-150 mm is customary (common practice, no source)."""

LOWER_STEP_M = 0.3
CLOSER_STEP_M = 0.15
CLOSEST_M = 1.5
"""A truck is brought closer hand by hand; further than this it is another place."""

SHORT_SLING_M = 0.20
"""A sling shorter than this is a shackle (common practice, no source)."""

PARTS_AT_MOST = 4


class Tried(msgspec.Struct, kw_only=True, frozen=True):
    """One remedy tried: what it is, in words and numbers, and how the changed job and pose stand in the worst case.

    ``result`` is a sentence on its outcome, filled from the same numbers.
    """

    kind: str
    words: str
    numbers: dict[str, float | str]
    job: Job
    pose: Pose
    use: float
    allowed_kg: float
    governing: str
    works: bool
    result: str


class Advice(msgspec.Struct, kw_only=True, frozen=True):
    """What to do about a pick: the answer if there is one, all that was tried in order, and what is needed if nothing works.

    ``already`` is true for a pick that is within the limits as it is; ``problems`` say why it cannot be judged at all.
    ``settle`` is what to weigh or measure first where best values pass and only the worst case does not.
    """

    already: bool
    problems: tuple[Problem, ...]
    settle: tuple[str, ...]
    answer: Tried | None
    tried: tuple[Tried, ...]
    needed: str
    numbers: dict[str, float | str]


ENOUGH = "allows {allowed:kg_down}: enough for {load:kg}"
NOT_ENOUGH = "allows {allowed:kg_down}: not enough for {load:kg} ({governing})"
UNLIKELY = "allows {allowed:kg_down} of a load weighed exactly, but {load:kg} is not known that well ({governing})"

NO_REMEDY = (
    "No remedy with this rig: the most that any of these would allow is {most:kg_down} of {load:kg} ({kind}). "
    "A truck and rig that allow {load:kg} with the hook {reach:m} ahead of the fork face are needed. Do not lift it with these."
)

Change = Callable[[Job, Pose], Iterator[tuple[str, dict[str, float | str], Job, Pose]]]


def remedies(job: Job, pose: Pose, every: bool = False, stop: Stop = never) -> Advice:
    """What to change so that a pick is within the limits.

    Parameters
    ----------
    job : Job
    pose : Pose
    every : bool
        Try all remedies, so that a person may choose another than the first that works.
    stop : callable
        Asked between two remedies.

    Raises
    ------
    Stopped
    """
    now = judge(job, pose)
    tried: list[Tried] = []
    if not now.problems and not now.within:
        for found in _tries(job, pose):
            if stop():
                raise Stopped
            tried.append(found)
            if found.works and not every:
                break
    answer = next((one for one in tried if one.works), None)
    hopeless = bool(tried) and answer is None
    return Advice(
        already=now.within,
        problems=now.problems,
        settle=_settling(job, pose) if now.state == "NOT PROVEN" else (),
        answer=answer,
        tried=tuple(tried),
        needed=NO_REMEDY if hopeless else "",
        numbers=_needs(job, pose, tried) if hopeless else {},
    )


def _tries(job: Job, pose: Pose) -> Iterator[Tried]:
    for kind, changes in FAMILIES:
        for words, numbers, other_job, other_pose in changes(job, pose):
            yield _try(kind, words, numbers, other_job, other_pose)
    forks = _forks(job, pose)
    if forks is not None:
        yield forks


def _settling(job: Job, pose: Pose) -> tuple[str, ...]:
    numbers = figures(job, pose)
    return tuple(entry.advice for entry in settling(worst_case_of(job, pose, numbers)))


def _try(kind: str, words: str, numbers: dict[str, float | str], job: Job, pose: Pose) -> Tried:
    judged = judge(job, pose)
    load_kg = job.load.mass_kg.best if pose.loaded else 0.0
    result = ENOUGH if judged.within else UNLIKELY if judged.allowed_kg >= load_kg else NOT_ENOUGH
    shown = {**numbers, "allowed": judged.allowed_kg, "load": load_kg, "governing": judged.worst}
    return Tried(
        kind=kind,
        words=words,
        numbers=shown,
        job=job,
        pose=pose,
        use=judged.use,
        allowed_kg=judged.allowed_kg,
        governing=judged.worst,
        works=judged.within,
        result=result,
    )


def _needs(job: Job, pose: Pose, tried: list[Tried]) -> dict[str, float | str]:
    best = max(tried, key=lambda one: one.allowed_kg, default=None)
    hook = place(job, figures(job, pose)).hook_m
    return {
        "most": best.allowed_kg if best else 0.0,
        "kind": best.kind if best else "nothing could be tried",
        "load": low_high(job.load.mass_kg, "mass")[1],
        "reach": float(hook.x) - job.truck.front_overhang_m.best,
    }


# ---------------------------------------------------------------- the remedies, cheapest first


def _boom_in(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    now_m = figures(job, pose).boom_out_m
    holes = [hole for hole in usable_holes(job) if float(hole_out_m(job.rig, hole)) < now_m - 1e-9]
    for count, hole in enumerate(holes, start=1):
        in_m = now_m - float(hole_out_m(job.rig, hole))
        words = "Pull the boom in {count} holes to hole {hole} ({by:mm}), the truck as much closer"
        if count == 1:
            words = "Pull the boom in one hole to hole {hole} ({by:mm}), the truck as much closer"
        yield (
            words,
            {"count": str(count), "hole": str(hole), "by": in_m},
            job,
            msgspec.structs.replace(pose, hole=hole, free_out_m=None),
        )


def _arms_off(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    for index in reversed(fitted_arms(figures(job, pose))):
        pose = fit_arm(pose, index, False)
        yield "Take {arm} off, the truck as much closer", {"arm": job.rig.arms[index].name}, job, pose


def _fold(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    for index in reversed(fitted_arms(figures(job, pose))):
        arm = job.rig.arms[index]
        if not swings(arm.joint):
            continue
        folded = [turn_arm_to(job, pose, index, stop) for stop in reversed(arm.joint.stops)]
        best = min(folded, key=lambda stance: judge(job, stance).use)
        if best != pose:
            turn = best.arms[index].turn_rad
            yield "Fold {arm} back to {turn:deg}, the truck as much closer", {"arm": arm.name, "turn": turn}, job, best


def _lower(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    hook = place(job, figures(job, pose)).hook_m
    hangs_m = job.load.sling_m + job.load.height_m if pose.loaded else 0.0
    room_m = min(float(hook.z) - hangs_m - CLEAR_M, pose.lift_m - job.truck.upright.lift_min_m)
    for down_m in _steps(room_m, LOWER_STEP_M):
        yield "Lower the hook by {by:m}", {"by": down_m}, job, lift_to(job, pose, pose.lift_m - down_m)


def _closer(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    """The hook stays over the same spot: nearer the truck by as much as the truck comes closer."""
    hook = place(job, figures(job, pose)).hook_m
    for by_m in _steps(CLOSEST_M, CLOSER_STEP_M):
        stance = likeliest(job, pose, Vec(hook.x - by_m, hook.y, hook.z), CLOSER_STEP_M / 2.0)
        if stance is not None:
            yield "Bring the truck {by:mm} closer", {"by": by_m}, job, stance


def _floor(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    floor = find_floor(job, pose)
    along, across = floor.fall_along.best, floor.fall_across.best
    fall = math.hypot(along, across)
    if fall <= 1e-6:
        return
    if abs(across) > 1e-6:
        for turned, words in (
            (fall, "Turn the truck so that the fall of {fall:fall} is along it, nose downhill"),
            (-fall, "Turn the truck so that the fall of {fall:fall} is along it, nose uphill"),
        ):
            yield words, {"fall": fall}, _on_floor(job, pose, turned, 0.0), pose
    yield "Level the truck, or park where the floor is level", {}, _on_floor(job, pose, 0.0, 0.0), pose


def _on_floor(job: Job, pose: Pose, along: float, across: float) -> Job:
    """The same place with other falls, known as well as they are now."""
    floor = find_floor(job, pose)

    def fall(best: float, was: Estimate) -> Estimate:
        low, high = low_high(was, "fall")
        return Estimate(best=best, known=was.known, low=best - (was.best - low), high=best + (high - was.best))

    changed = msgspec.structs.replace(
        floor, fall_along=fall(along, floor.fall_along), fall_across=fall(across, floor.fall_across)
    )
    return msgspec.structs.replace(job, floors=tuple(changed if one == floor else one for one in job.floors))


def _tilt_out(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    if abs(pose.tilt_rad) > 1e-6:
        yield (
            "Take the tilt of {tilt:deg} out",
            {"tilt": pose.tilt_rad},
            job,
            msgspec.structs.replace(pose, tilt_rad=0.0),
        )


def _sling(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    spare_m = min(job.load.sling_m - SHORT_SLING_M, pose.lift_m - job.truck.upright.lift_min_m)
    for by_m in _steps(spare_m if pose.loaded else 0.0, LOWER_STEP_M):
        sling_m = job.load.sling_m - by_m
        shorter = msgspec.structs.replace(job, load=msgspec.structs.replace(job.load, sling_m=sling_m))
        words = "Shorten the sling to {sling:m} and lower the hook by {by:m}, the load as high as before"
        yield words, {"sling": sling_m, "by": by_m}, shorter, lift_to(job, pose, pose.lift_m - by_m)


def _calm(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    def with_policy(**changes: float) -> Job:
        policy: Policy = msgspec.structs.replace(job.policy, **changes)
        return msgspec.structs.replace(job, policy=policy)

    if job.policy.swing_rad > 0.0:
        yield (
            "Wait for the wind to drop and keep the load from swinging, two tag lines",
            {},
            with_policy(swing_rad=0.0),
            pose,
        )
    if job.policy.braking > 0.0:
        yield "Do not travel with the load up", {}, with_policy(braking=0.0, swing_rad=0.0), pose


def _split(job: Job, pose: Pose) -> Iterator[tuple[str, dict[str, float | str], Job, Pose]]:
    if not pose.loaded:
        return
    for parts in range(2, PARTS_AT_MOST + 1):
        was = job.load.mass_kg
        low, high = low_high(was, "mass")
        part = Estimate(best=was.best / parts, known=was.known, low=low / parts, high=high / parts)
        lighter = msgspec.structs.replace(job, load=msgspec.structs.replace(job.load, mass_kg=part))
        yield "Split the load into {parts} and lift one at a time", {"parts": str(parts)}, lighter, pose


def _forks(job: Job, pose: Pose) -> Tried | None:
    """The load carried on the bare forks, its middle half its length ahead of the fork face: the plate's own case."""
    if not pose.loaded or job.truck.plate is None:
        return None
    low_rows = plate.rows_at(job.truck.plate, job.truck.upright.lift_min_m)
    if not low_rows:
        return None
    centre_m = max(job.load.length_m / 2.0, min(row.load_centre_m for row in low_rows))
    allowed_kg = min(float(plate.derated_kg(row.rated_kg, row.load_centre_m, centre_m)) for row in low_rows)
    high_kg = low_high(job.load.mass_kg, "mass")[1]
    numbers = {"centre": centre_m, "allowed": allowed_kg, "load": high_kg, "governing": "plate: rated load"}
    works = high_kg <= allowed_kg
    return Tried(
        kind="forks",
        words="Take the rig off and lift it on the forks, low, its middle {centre:m} ahead of the fork face, if its underside lets the forks in",
        numbers=numbers,
        job=job,
        pose=pose,
        use=high_kg / allowed_kg,
        allowed_kg=allowed_kg,
        governing="plate: rated load",
        works=works,
        result=ENOUGH if works else NOT_ENOUGH,
    )


def _steps(most: float, step: float) -> Iterator[float]:
    """Step by step up to the most, the most itself last."""
    if most <= 1e-6:
        return
    for count in range(1, math.ceil(most / step - 1e-9)):
        yield count * step
    yield most


FAMILIES: tuple[tuple[str, Change], ...] = (
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
"""Kinds of remedy in the order they are tried; after these the forks under it, and then there is none."""
