"""From the rack to a rig: the lightest rigs that do up to three jobs with the tubes that lie there.

Method.  Every rig that can be cut from the rack (``engine.planning.stock_rigs``) is weighed.  They are judged lightest
first, each job in the worst case with its own load, until enough of them do every job.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import msgspec

from engine.limits import sideways
from engine.planning.stock_rigs import HOLE_SPARE_M, RigChoice, rig_choices
from engine.planning.sweep import Judged, Stop, Stopped, Tell, best_over, judge, never, quiet
from engine.rig.feasibility import boom_limits_m, usable_holes
from engine.rig.kinematics import drawn, figures, hole_out_m
from engine.schema.model import JOBS_AT_MOST, Job, Pose, WantedJob
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import find_problems

REPLACE = msgspec.structs.replace


class JobResult(msgspec.Struct, kw_only=True, frozen=True):
    """How a rig does one of the jobs wanted; ``pose`` is the one that does it, or comes nearest."""

    wanted: str
    pose: Pose
    use: float
    allowed_kg: float
    governing: str
    works: bool


class RackRig(msgspec.Struct, kw_only=True, frozen=True):
    """A rig from the rack as a whole job with a pose for each job wanted; its load is the heaviest of theirs."""

    job: Job
    rig_kg: float
    tubes: tuple[tuple[str, str], ...]
    results: tuple[JobResult, ...]

    @property
    def works(self) -> bool:
        """Whether the rig does every job wanted."""
        return all(result.works for result in self.results)

    @property
    def use(self) -> float:
        """Greatest use over the jobs."""
        return max((result.use for result in self.results), default=math.inf)


class StockSearch(msgspec.Struct, kw_only=True, frozen=True):
    """Rigs that do every job, lightest first; where none does, ``nearest`` is the one with the smallest use.

    ``looked_at`` counts the rigs judged, ``of`` those that can be cut.
    """

    rigs: tuple[RackRig, ...]
    nearest: RackRig | None
    looked_at: int
    of: int


def search(job: Job, enough: int = 3, stop: Stop = never, tell: Tell = quiet) -> StockSearch:
    """Lightest rigs from the rack that do every job wanted.

    Parameters
    ----------
    job : Job
        The pattern: truck, floor, allowances, and a rig whose parts other than tubes are kept; the rack (``stock``)
        and one to three jobs wanted (``wanted``).
    enough : int
        Stop after so many rigs that work.
    stop, tell
        Called between two rigs.

    Returns
    -------
    StockSearch

    Raises
    ------
    ValueError
        With no job wanted.
    Stopped
        When ``stop`` answers true.
    """
    if not job.wanted:
        raise ValueError(f"wanted: Expected 1 to {JOBS_AT_MOST} jobs, got none")
    # An approval and trial lifts are of the rig as it is, never of one made from the rack.
    pattern = REPLACE(job, approval=None, trial_lifts=())
    choices = sorted(_until(stop, rig_choices(pattern, job.wanted)), key=lambda choice: choice.rig_kg)
    rigs: list[RackRig] = []
    nearest: RackRig | None = None
    looked_at = 0
    for choice in _until(stop, iter(choices)):
        looked_at += 1
        rig = _judged(choice, job.wanted)
        if rig.works:
            rigs.append(rig)
        elif nearest is None or rig.use < nearest.use:
            nearest = rig
        tell(looked_at / len(choices))
        if len(rigs) == enough:
            break
    return StockSearch(rigs=tuple(rigs), nearest=None if rigs else nearest, looked_at=looked_at, of=len(choices))


def _until(stop: Stop, choices: Iterator[RigChoice]) -> Iterator[RigChoice]:
    """The choices one by one; `Stopped` as soon as ``stop`` answers true."""
    for choice in choices:
        if stop():
            raise Stopped
        yield choice


def _judged(choice: RigChoice, jobs: tuple[WantedJob, ...]) -> RackRig:
    results = tuple(_result(choice.job, wanted) for wanted in jobs)
    heaviest = max(jobs, key=lambda wanted: wanted.load_kg.best)
    whole = REPLACE(_with_load(choice.job, heaviest), poses=tuple(result.pose for result in results))
    return RackRig(job=whole, rig_kg=choice.rig_kg, tubes=choice.tubes, results=results)


def _with_load(job: Job, wanted: WantedJob) -> Job:
    rigging = Estimate(best=wanted.rigging_kg, known="weighed")
    load = REPLACE(job.load, name=wanted.name, mass_kg=wanted.load_kg, rigging_kg=rigging)
    return REPLACE(job, load=load)


def _result(job: Job, wanted: WantedJob) -> JobResult:
    """The job done with the nearest hole that reaches it, arms straight, the hook as high as wanted."""
    job = _with_load(job, wanted)
    pose, reaches = _reaching_pose(job, wanted)
    judged = _judge_if_hopeful(job, pose)
    return JobResult(
        wanted=wanted.name,
        pose=pose,
        use=judged.use if reaches else math.inf,
        allowed_kg=judged.allowed_kg if reaches else 0.0,
        governing=judged.worst if reaches else "reach",
        works=judged.within and reaches,
    )


def _reaching_pose(job: Job, wanted: WantedJob) -> tuple[Pose, bool]:
    """The pose in the nearest hole that reaches the job, and whether any does; else the furthest hole."""
    pose = REPLACE(job.poses[0], name=wanted.name)
    _, most_m = boom_limits_m(job)
    reaches = _reaches(job, pose, wanted)
    for hole in reversed(usable_holes(job)):
        pose = _at_height(job, REPLACE(pose, hole=hole), wanted.hook_height_m)
        reaches = _reaches(job, pose, wanted)
        if reaches and float(hole_out_m(job.rig, hole)) <= most_m:
            break
    return pose, reaches


def _reaches(job: Job, pose: Pose, wanted: WantedJob) -> bool:
    hook = drawn(job, pose).hook_m
    return float(hook.x) - job.truck.front_overhang_m.best >= wanted.ahead_of_face_m - HOLE_SPARE_M


def _at_height(job: Job, pose: Pose, height_m: float) -> Pose:
    placed = drawn(job, pose)
    return REPLACE(pose, lift_m=max(0.0, pose.lift_m + height_m - float(placed.hook_m.z)))


def _judge_if_hopeful(job: Job, pose: Pose) -> Judged:
    """The verdict; from nominal values alone where those fail, since the worst case is never better."""
    if not find_problems(job, pose):
        nominal = best_over(job, pose, figures(job, pose), "floor")
        if float(nominal.use) > 1.0 and nominal.names[int(nominal.worst)] != sideways.NAME:
            return Judged(
                state="OVER",
                problems=(),
                use=float(nominal.use),
                allowed_kg=float(nominal.allowed_kg),
                worst=nominal.names[int(nominal.worst)],
                governing=nominal.names[int(nominal.governing)],
            )
    return judge(job, pose)
