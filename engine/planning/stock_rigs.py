"""Rigs that can be cut from the rack for the jobs wanted: the pattern's rig with other tubes and lengths.

The rig of the given job is the pattern: its sleeves, saddles, hinges, hook and pins stay.  What varies is

* the tube of jib mast, boom and each arm, rectangular ones on edge or lying flat;
* how many of the arms are used, and how long each is: the pattern's lengths, and every split on a grid (`arm_step_m`);
* the boom's length, and its pin holes: one for each job, where it brings the hook to the job's distance.

With lengths chosen, the boom has to reach the rest of the way to each job, so a hole's place follows.  Two jobs whose
holes would stand nearer than holes may (3 diameters, ``rig.fits``) share one, or the nearer one's hole is set back.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import msgspec

from engine.base.formatting import M_PER_IN, System
from engine.planning.stock_tubes import Rack, Standing
from engine.rig.feasibility import boom_limits_m
from engine.rig.fits import PITCH_DIAMETERS
from engine.rig.kinematics import arm_link, drawn
from engine.rig.rig_masses import rig_masses, steel_masses
from engine.schema.model import Arm, Boom, JibMast, Job, Pose, Rig, Saddles, WantedJob
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.shop.cut_list import arm_tube_m, boom_tube_m, mast_tube_m
from engine.shop.pose_edits import straight_ahead

TAIL_SPARE_M = 0.05
"""Length of boom behind the rear saddle with the boom furthest out."""

HOOK_MISS_M = 0.05
"""What a hook may miss the distance and the height wanted by."""

CUT_STEP_M: dict[System, float] = {"metric": 0.01, "us": M_PER_IN / 2.0}
"""A boom is cut to the next multiple of this."""

MARK_M: dict[System, float] = {"metric": 0.001, "us": M_PER_IN / 32.0}
"""Holes are marked out to this."""

LEAST_ARM_M: dict[System, float] = {"metric": 0.2, "us": 8.0 * M_PER_IN}
ARM_STEP_M: dict[System, float] = {"metric": 0.1, "us": 4.0 * M_PER_IN}
"""Arms of a grid are no shorter than the one, and differ by multiples of the other where there are one or two."""

REPLACE = msgspec.structs.replace


class Shape(NamedTuple):
    """Lengths and pin holes of a rig: arms from the boom outwards, and the hole that does each job.

    The first hole is the nearest to the tail; ``steps_m`` are from each hole to the next.
    """

    arms_m: tuple[float, ...]
    boom_m: float
    first_hole_m: float
    steps_m: tuple[float, ...]
    hole_of_job: tuple[int, ...]


class Picks(NamedTuple):
    """The tubes of a rig, each the way it stands: arms from the boom outwards."""

    mast: Standing
    boom: Standing
    arms: tuple[Standing, ...]


def arm_step_m(arm_count: int, units: System) -> float:
    """Step of the grid of arms' lengths: coarser for three arms and more, or there would be thousands of splits."""
    return ARM_STEP_M[units] * max(1, arm_count - 1)


# ---------------------------------------------------------------- lengths and holes


def shapes(job: Job, jobs: tuple[WantedJob, ...]) -> Iterator[Shape]:
    """Every choice of arms' lengths that brings the hook to every job, with the boom and its holes that go with it."""
    for arm_count in range(len(job.rig.arms) + 1):
        reach = _reach(job, arm_count)
        for arms_m in _splits(job, reach, jobs):
            shape = _shape(job, reach, arms_m, jobs)
            if shape is not None:
                yield shape


class _Reach(NamedTuple):
    """How far the hook is ahead of the fork face: a fixed part, and what each metre of boom and arms adds.

    The boom's end is at least ``least_out_m`` ahead of the jib mast, and ``tail_m`` of boom stay behind the mast.
    """

    fixed_m: float
    boom: float
    arms: tuple[float, ...]
    least_out_m: float
    tail_m: float

    def out_m(self, arms_m: Sequence[float], ahead_m: float) -> float:
        """How far out the boom must be for the hook to be that far ahead."""
        arms = sum(each * length_m for each, length_m in zip(self.arms, arms_m, strict=True))
        return (ahead_m - self.fixed_m - arms) / self.boom


def _reach(job: Job, arm_count: int) -> _Reach:
    """Read off the pattern drawn with some of its arms, straight ahead."""
    rig = REPLACE(job.rig, arms=job.rig.arms[:arm_count])
    pose = REPLACE(start_pose(job, arm_count), hole=None, free_out_m=0.0)
    drawn_job = REPLACE(job, rig=rig, poses=(pose,), moves=(), drawn=None)
    placed = drawn(drawn_job, pose)

    def along(link: str) -> float:
        return float(placed.frames[link].axes.out(1.0, 0.0, 0.0).x)

    boom, arms = along("boom"), tuple(along(arm_link(index)) for index in range(arm_count))
    reach_m = sum(each * arm.length_m for each, arm in zip(arms, rig.arms, strict=True))
    fixed_m = float(placed.hook_m.x) - job.truck.front_overhang_m.best - reach_m
    least_m, most_m = boom_limits_m(drawn_job)
    return _Reach(fixed_m, boom, arms, least_m, rig.boom.length_m - most_m + TAIL_SPARE_M)


def _splits(job: Job, reach: _Reach, jobs: tuple[WantedJob, ...]) -> Iterator[tuple[float, ...]]:
    """Lengths of the arms: the pattern's, then the grid; none so long that the boom cannot come in for the nearest job.

    Without arms the boom comes in as far as it goes.
    """
    count = len(reach.arms)
    if not count:
        yield ()
        return
    nearest_m = min(wanted.ahead_of_face_m for wanted in jobs)

    def comes_in(arms_m: tuple[float, ...]) -> bool:
        return reach.out_m(arms_m, nearest_m) >= reach.least_out_m - HOOK_MISS_M

    own_m = tuple(arm.length_m for arm in job.rig.arms[:count])
    if comes_in(own_m):
        yield own_m
    least_m, step_m = LEAST_ARM_M[job.units], arm_step_m(count, job.units)
    most = math.floor((_most_arms_m(reach, nearest_m) - count * least_m) / step_m + 1e-9)
    for steps in itertools.product(range(max(most, -1) + 1), repeat=count):
        arms_m = tuple(round(least_m + step * step_m, 6) for step in steps)
        if sum(steps) <= most and arms_m != own_m and comes_in(arms_m):
            yield arms_m


def _most_arms_m(reach: _Reach, nearest_m: float) -> float:
    """Most that the arms may be long together: with the boom right in they reach the nearest job."""
    left_m = nearest_m + HOOK_MISS_M - reach.fixed_m - reach.boom * reach.least_out_m
    return left_m / min(reach.arms) if min(reach.arms) > 0.0 else -1.0


def _shape(job: Job, reach: _Reach, arms_m: tuple[float, ...], jobs: tuple[WantedJob, ...]) -> Shape | None:
    """The boom and its holes for the arms' lengths; None where the holes do not fit on the boom."""
    rig, step_m = job.rig, CUT_STEP_M[job.units]
    wanted_m = [max(reach.out_m(arms_m, wanted.ahead_of_face_m), reach.least_out_m) for wanted in jobs]
    mark_m = MARK_M[job.units]
    outs_m = hole_outs_m(wanted_m, PITCH_DIAMETERS * rig.boom.pin.hole_m, reach.least_out_m, mark_m)
    saddles = rig.saddles
    pin_m = saddles.front_x_m if saddles.pin_at == "front" else saddles.rear_x_m
    length_m = round(step_m * math.ceil((outs_m[0] + reach.tail_m) / step_m - 1e-9), 6)
    holes_m = [round(pin_m + length_m - out_m, 6) for out_m in outs_m]
    if holes_m[0] <= 0.0 or holes_m[-1] >= length_m:
        return None
    steps_m = tuple(round(after - before, 6) for before, after in itertools.pairwise(holes_m))
    nearest = [min(range(len(outs_m)), key=lambda hole: abs(outs_m[hole] - out_m)) + 1 for out_m in wanted_m]
    return Shape(arms_m, length_m, holes_m[0], steps_m, tuple(nearest))


def hole_outs_m(
    wanted_m: Sequence[float], least_apart_m: float, least_m: float, mark_m: float = MARK_M["metric"]
) -> list[float]:
    """How far out each hole puts the boom, furthest first, none nearer to the next than holes may be.

    Parameters
    ----------
    wanted_m : sequence of float
        How far out each job wants it.
    least_apart_m, least_m : float
        Two holes are at least so far apart, and the boom is at least so far out.
    """
    outs_m: list[float] = []
    for wanted in sorted(wanted_m, reverse=True):
        out_m = math.ceil(wanted / mark_m - 1e-6) * mark_m
        if outs_m and outs_m[-1] - out_m < least_apart_m:
            set_back_m = math.floor((outs_m[-1] - least_apart_m) / mark_m + 1e-6) * mark_m
            if wanted - set_back_m >= outs_m[-1] - wanted or set_back_m < least_m:
                continue  # the hole before is nearer to what is wanted
            out_m = set_back_m
        outs_m.append(round(out_m, 6))
    return outs_m


# ---------------------------------------------------------------- the rig


def start_pose(job: Job, arm_count: int) -> Pose:
    """The pose that every job's is made from: arms straight, upright plumb, loaded, pinned in the first hole."""
    return REPLACE(
        job.poses[0],
        name="start",
        hole=1,
        free_out_m=None,
        tilt_rad=0.0,
        loaded=True,
        arms=straight_ahead(job)[:arm_count],
    )


def built(job: Job, shape: Shape, picks: Picks) -> Job | None:
    """The pattern with other tubes and lengths, one pose and no moves; None where it cannot be, however it is judged.

    Saddles stay as wide as they are: a narrower boom is packed out at its sides where the pattern has shims.
    """
    rig = job.rig
    if not isinstance(picks.boom.section, RectTube):
        return None
    try:
        boom = REPLACE(
            rig.boom,
            section=picks.boom.section,
            steel=picks.boom.steel,
            mass_kg=None,
            length_m=shape.boom_m,
            first_hole_m=shape.first_hole_m,
            hole_steps_m=shape.steps_m,
            hole_count=len(shape.steps_m) + 1,
            hole_edge_m=rig.boom.hole_edge_m if picks.boom.section.depth_m == rig.boom.section.depth_m else None,
        )
        made = REPLACE(
            rig,
            jib_mast=REPLACE(rig.jib_mast, section=picks.mast.section, steel=picks.mast.steel, mass_kg=None),
            saddles=_packed(rig.saddles, rig.boom, boom),
            boom=boom,
            arms=tuple(
                REPLACE(arm, length_m=length_m, section=pick.section, steel=pick.steel, mass_kg=None)
                for arm, length_m, pick in zip(rig.arms, shape.arms_m, picks.arms, strict=False)
            ),
        )
        made = REPLACE(made, saddles=_weighed(job, made))
        return REPLACE(job, rig=made, poses=(start_pose(job, len(picks.arms)),), moves=(), drawn=None)
    except ValueError:
        return None


def _packed(saddles: Saddles, was: Boom, boom: Boom) -> Saddles:
    """The saddles with shims that fill them to their width beside another boom."""
    if saddles.shims == "none":
        return saddles
    side_m = saddles.shim_side_m + (was.section.width_m - boom.section.width_m) / 2.0
    return REPLACE(saddles, shim_side_m=round(max(side_m, 0.0), 6))


def _weighed(job: Job, made: Rig) -> Saddles:
    """Saddles that were weighed, with the steel that other straps and shims add."""
    saddles = job.rig.saddles
    if saddles.mass_kg is None:
        return made.saddles
    was_kg, now_kg = (steel_masses(job.truck, rig)["saddles_kg"] for rig in (job.rig, made))
    if abs(now_kg - was_kg) < 1e-9:
        return made.saddles
    mass = Estimate(best=max(saddles.mass_kg.best + now_kg - was_kg, 0.0), known="worked_out")
    return REPLACE(made.saddles, mass_kg=mass)


def weight_kg(job: Job) -> float:
    """What the whole rig of a job weighs."""
    masses = rig_masses(job.truck, job.rig)
    tubes_kg = masses["sleeves_kg"] + masses["jib_mast_kg"] + masses["saddles_kg"] + masses["boom_kg"]
    return tubes_kg + sum(masses["arms_kg"]) + masses["hook_kg"]


# ---------------------------------------------------------------- part by part


class Part(NamedTuple):
    """A part to choose a tube for: ``arm`` is an arm's index, None for boom or mast."""

    name: str
    arm: int | None
    length_m: float


def parts_of(job: Job, shape: Shape) -> tuple[Part, ...]:
    """The parts of a rig from the hook inwards, the order in which tubes are chosen."""
    arms = [Part(job.rig.arms[index].name, index, length_m) for index, length_m in enumerate(shape.arms_m)]
    return (*reversed(arms), Part("boom", None, shape.boom_m), Part("jib mast", None, job.rig.jib_mast.length_m))


def picks_of(chosen: Sequence[Standing]) -> Picks:
    """Tubes chosen in the order of `parts_of`."""
    *arms, boom, mast = chosen
    return Picks(mast, boom, tuple(reversed(arms)))


class Made(NamedTuple):
    """A part cut from a tube: what it makes the rig weigh over the pattern (kg), and the length cut off the tube."""

    kg: float
    cut_m: float


class PartsMade:
    """What each part is from each tube, worked out once.

    What a rig weighs is the sum over its parts, for no part's weight or cut depends on another's tube.
    """

    def __init__(self, job: Job, rack: Rack) -> None:
        self._job = job
        self._standings = rack.standings()
        self.made = functools.cache(self._made)
        self.as_pattern_kg = functools.cache(self._as_pattern_kg)

    def tubes_for(self, part: Part, arm_count: int) -> tuple[Standing, ...]:
        """Tubes a part may be cut from, the lightest first; a boom is cut from rectangular ones alone."""
        boom = part.name == "boom" and part.arm is None
        usable = [each for each in self._standings if not boom or isinstance(each.section, RectTube)]
        return tuple(sorted(usable, key=lambda standing: self.made(part, standing, arm_count).kg))

    def _as_pattern_kg(self, arm_count: int) -> float:
        """What the pattern weighs with so many arms, jib mast, boom and arms weighed by their steel."""
        return weight_kg(self._with_part(None, None, arm_count))

    def _made(self, part: Part, standing: Standing, arm_count: int) -> Made:
        job = self._with_part(part, standing, arm_count)
        if part.arm is not None:
            cut_m = arm_tube_m(job.rig, part.arm)
        elif part.name == "boom":
            cut_m = boom_tube_m(job.rig)
        else:
            cut_m = mast_tube_m(job.rig.jib_mast)
        return Made(weight_kg(job) - self.as_pattern_kg(arm_count), cut_m)

    def _with_part(self, part: Part | None, standing: Standing | None, arm_count: int) -> Job:
        """The pattern with so many arms, its boom with one hole in the middle, and one part made otherwise."""
        rig = self._job.rig
        picks: dict[str | int, Standing] = {"jib mast": _own(rig.jib_mast), "boom": _own(rig.boom)}
        lengths_m: dict[str | int, float] = {"boom": rig.boom.length_m}
        for index, arm in enumerate(rig.arms[:arm_count]):
            picks[index], lengths_m[index] = _own(arm), arm.length_m
        if part is not None and standing is not None:
            place = part.name if part.arm is None else part.arm
            picks[place], lengths_m[place] = standing, part.length_m
        arms = range(arm_count)
        boom_m = lengths_m["boom"]
        shape = Shape(tuple(lengths_m[index] for index in arms), boom_m, boom_m / 2.0, (), ())
        chosen = Picks(picks["jib mast"], picks["boom"], tuple(picks[index] for index in arms))
        job = built(self._job, shape, chosen)
        assert job is not None  # one hole in the middle of the boom is always on it
        return job


def _own(link: JibMast | Boom | Arm) -> Standing:
    return Standing(-1, link.section, link.steel)
