"""Remedy: for a pick that is not allowed, what to change, tried in the order a person at the truck would try it.

Each remedy is a changed job and pose, judged by the same engine in the worst case; nothing is assumed to help.  The
first that is within the limits is the answer.  Those tried before it are kept with their result, so that somebody who
asks "and if we just pull the boom in?" gets a number.

Order, cheapest first: the families of ``engine.planning.remedy_changes``, then the load on the bare forks, then a
bigger truck, or not at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import msgspec

from engine.limits import plate
from engine.planning.remedy_changes import FAMILIES, Change
from engine.planning.sweep import SoFar, Stop, Stopped, Tell, judge, never, quiet, unheard
from engine.rig.kinematics import figures, place
from engine.schema.model import Job, Pose
from engine.schema.plate_rows import rows_at
from engine.schema.uncertainty_bands import low_high


class RemedyTrial(msgspec.Struct, kw_only=True, frozen=True):
    """One remedy tried: what it is, in words and numbers, and how the changed job and pose stand in the worst case.

    ``result`` is a sentence on the outcome, filled from the same numbers.
    """

    kind: str
    words: str
    numbers: Mapping[str, float | str]
    job: Job
    pose: Pose
    use: float
    allowed_kg: float
    governing: str
    works: bool
    result: str


class Advice(msgspec.Struct, kw_only=True, frozen=True):
    """What to do about a pick: the answer if there is one, and all that was tried, in order.

    ``needed`` says, with ``numbers``, what it would take where nothing that was tried works; empty otherwise.
    """

    answer: RemedyTrial | None
    tried: tuple[RemedyTrial, ...]
    needed: str
    numbers: Mapping[str, float | str]


ENOUGH = "allows {allowed:kg_down}: enough for {load:kg_up}"
CLEAR = "is within the limits with the hook empty; {allowed:kg_down} might hang there"
NOT_ENOUGH = "allows {allowed:kg_down}: not enough for {load:kg_up} ({governing})"
UNLIKELY = "allows {allowed:kg_down} of a load weighed exactly, but {load:kg_up} is not known that well ({governing})"

NO_REMEDY = (
    "No remedy with this rig: the most that any of these would allow is {most:kg_down} of {load:kg_up} ({kind}). "
    "A truck and rig that allow {load:kg_up} with the hook {reach:m} ahead of the fork face are needed. "
    "Do not lift it with these."
)


def remedies(
    job: Job, pose: Pose, every: bool = False, stop: Stop = never, tell: Tell = quiet, so_far: SoFar = unheard
) -> Advice:
    """What to change so that a pick is within the limits; nothing for one that is, or that cannot be judged at all.

    Parameters
    ----------
    job : Job
    pose : Pose
    every : bool
        Try all remedies, so that a person may choose another than the first that works.
    stop, tell
        Called between two remedies.
    so_far
        Handed the remedies tried, a tuple of `RemedyTrial`, after each.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    now = judge(job, pose)
    tried: list[RemedyTrial] = []
    if not now.problems and not now.within:
        for trial in _trials(job, pose, tell):
            if stop():
                raise Stopped
            tried.append(trial)
            so_far(tuple(tried))
            if trial.works and not every:
                break
    answer = next((trial for trial in tried if trial.works), None)
    hopeless = bool(tried) and answer is None
    return Advice(
        answer=answer,
        tried=tuple(tried),
        needed=NO_REMEDY if hopeless else "",
        numbers=_needed_numbers(job, pose, tried) if hopeless else {},
    )


def _trials(job: Job, pose: Pose, tell: Tell) -> Iterator[RemedyTrial]:
    for number, (kind, changes) in enumerate(FAMILIES):
        tell(number / len(FAMILIES))
        for change in changes(job, pose):
            yield _judged(kind, change)
    on_forks = _on_bare_forks(job, pose)
    if on_forks is not None:
        yield on_forks


def _judged(kind: str, change: Change) -> RemedyTrial:
    judged = judge(change.job, change.pose)
    load_kg = change.job.load.mass_kg.best if change.pose.loaded else 0.0
    empty = not change.pose.loaded
    result = (CLEAR if empty else ENOUGH) if judged.within else UNLIKELY if judged.allowed_kg >= load_kg else NOT_ENOUGH
    return RemedyTrial(
        kind=kind,
        words=change.words,
        numbers={**change.numbers, "allowed": judged.allowed_kg, "load": load_kg, "governing": judged.worst},
        job=change.job,
        pose=change.pose,
        use=judged.use,
        allowed_kg=judged.allowed_kg,
        governing=judged.worst,
        works=judged.within,
        result=result,
    )


def _on_bare_forks(job: Job, pose: Pose) -> RemedyTrial | None:
    """The load carried on the bare forks, its middle half its length ahead of the fork face: the plate's own case."""
    if not pose.loaded or job.truck.plate is None:
        return None
    low_rows = rows_at(job.truck.plate, job.truck.upright.lift_min_m)
    if not low_rows:
        return None
    centre_m = max(job.load.length_m / 2.0, min(row.load_centre_m for row in low_rows))
    allowed_kg = min(float(plate.derated_kg(row.rated_kg, row.load_centre_m, centre_m)) for row in low_rows)
    high_kg = low_high(job.load.mass_kg, "mass")[1]
    works = high_kg <= allowed_kg
    return RemedyTrial(
        kind="forks",
        words=(
            "Take the rig off and lift it on the forks, low, its middle {centre:m} ahead of the fork face, "
            "if its underside lets the forks in"
        ),
        numbers={"centre": centre_m, "allowed": allowed_kg, "load": high_kg, "governing": "plate: rated load"},
        job=job,
        pose=pose,
        use=high_kg / allowed_kg,
        allowed_kg=allowed_kg,
        governing="plate: rated load",
        works=works,
        result=ENOUGH if works else NOT_ENOUGH,
    )


def _needed_numbers(job: Job, pose: Pose, tried: list[RemedyTrial]) -> dict[str, float | str]:
    """Numbers of `NO_REMEDY`: the best of what was tried, and what the load and its place ask for."""
    best = max(tried, key=lambda trial: trial.allowed_kg)
    hook = place(job, figures(job, pose)).hook_m
    return {
        "most": best.allowed_kg,
        "kind": best.kind,
        "load": low_high(job.load.mass_kg, "mass")[1],
        "reach": float(hook.x) - job.truck.front_overhang_m.best,
    }
