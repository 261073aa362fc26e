"""Rigs that can be cut from the rack for the jobs wanted: the pattern's rig with other tubes.

The rig of the given job is the pattern: its sleeves, saddles, hinges, hook, pin sizes and arm lengths stay.  What
varies is the tube of jib mast, boom and each arm, and how many of the arms are used.  The boom is as long as the
furthest job needs with its tail through the rear saddle, holes at the pattern's pitch.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import msgspec

from engine.planning.stock_tubes import Tube, tubes_of
from engine.rig.rig_masses import rig_masses
from engine.schema.model import Job, Pose, WantedJob
from engine.schema.sections import RectTube
from engine.shop.pose_edits import straight_ahead

HOLE_SPARE_M = 0.05
"""From the boom's outermost use to its end stop, and what a hook may lack of the distance wanted."""

CUT_STEP_M = 0.01
"""A boom is cut to the next multiple of this."""

REPLACE = msgspec.structs.replace


class RigChoice(msgspec.Struct, kw_only=True, frozen=True):
    """A rig that can be cut, as a whole job with a start pose; ``tubes`` pairs each part with the name of its tube."""

    job: Job
    rig_kg: float
    tubes: tuple[tuple[str, str], ...]


class _Cut(NamedTuple):
    """A part, and the tube it is cut from."""

    part: str
    tube: Tube
    length_m: float


class _BoomSize(NamedTuple):
    length_m: float
    first_hole_m: float
    holes: int


def rig_choices(job: Job, jobs: tuple[WantedJob, ...]) -> Iterator[RigChoice]:
    """Every rig that can be cut from the rack and is long enough for the jobs; kerfs counted, nothing cut twice."""
    tubes = tubes_of(job.stock, most_alike=2 + len(job.rig.arms))
    booms = [tube for tube in tubes if isinstance(tube.section, RectTube)]
    for arm_count in range(len(job.rig.arms) + 1):
        size = _boom_size(job, jobs, arm_count)
        if size is None:
            continue
        arms = job.rig.arms[:arm_count]
        for mast, boom, *arm_tubes in itertools.product(tubes, booms, *([tubes] * arm_count)):
            cuts = [_Cut("jib mast", mast, job.rig.jib_mast.length_m), _Cut("boom", boom, size.length_m)]
            cuts += [_Cut(arm.name, tube, arm.length_m) for arm, tube in zip(arms, arm_tubes, strict=True)]
            if _takes_first_alike(cuts) and _long_enough(cuts, job.kerf_m):
                choice = _choice(job, cuts, size)
                if choice is not None:
                    yield choice


def _boom_size(job: Job, jobs: tuple[WantedJob, ...], arm_count: int) -> _BoomSize | None:
    """Boom's length, its first hole from the tail and number of holes, for the furthest and the nearest job.

    Arms count straight ahead; some hole brings the hook to every job's distance or just beyond.  ``None`` where the
    holes do not fit on the boom.
    """
    rig = job.rig
    beyond_m = sum(arm.length_m for arm in rig.arms[:arm_count]) if arm_count else -rig.hook.edge_m
    outs_m = [wanted.ahead_of_face_m - rig.jib_mast.foot_x_m - beyond_m for wanted in jobs]
    saddles, pitch_m = rig.saddles, rig.boom.hole_pitch_m
    pin_m = saddles.front_x_m if saddles.pin_at == "front" else saddles.rear_x_m
    least_m = saddles.front_x_m + saddles.strap_length_m / 2.0
    out_m = max(*outs_m, least_m)
    tail_m = -saddles.rear_x_m + saddles.strap_length_m / 2.0 + HOLE_SPARE_M
    length_m = CUT_STEP_M * math.ceil((out_m + tail_m) / CUT_STEP_M - 1e-9)
    first_hole_m = pin_m + length_m - out_m
    holes = 1 + max(0, math.floor((out_m - max(min(outs_m), least_m)) / pitch_m + 1e-9))
    if first_hole_m <= 0.0 or first_hole_m + (holes - 1) * pitch_m >= length_m:
        return None
    return _BoomSize(length_m, first_hole_m, holes)


def _takes_first_alike(cuts: Sequence[_Cut]) -> bool:
    """Whether, of tubes that are alike, the first ones are taken: any others make the same rig."""
    taken: dict[object, int] = {}
    for _, tube, _ in cuts:
        if tube.alike > taken.get(tube.kind, 0):
            return False
        taken[tube.kind] = max(taken.get(tube.kind, 0), tube.alike + 1)
    return True


def _long_enough(cuts: Sequence[_Cut], kerf_m: float) -> bool:
    """Whether every tube is long enough for all that is cut from it, with a kerf between two cuts."""
    taken: dict[str, float] = {}
    for _, tube, length_m in cuts:
        taken[tube.name] = taken.get(tube.name, 0.0) + length_m + kerf_m
    return all(taken[tube.name] - kerf_m <= tube.length_m + 1e-9 for _, tube, _ in cuts)


def _choice(job: Job, cuts: Sequence[_Cut], size: _BoomSize) -> RigChoice | None:
    """The pattern with other tubes; ``None`` where they do not fit together (a wall rusted away, say)."""
    rig = job.rig
    (_, mast, _), (_, boom, _), *arm_cuts = cuts
    try:
        made = REPLACE(
            rig,
            jib_mast=REPLACE(rig.jib_mast, section=mast.section, steel=mast.steel, mass_kg=None),
            boom=REPLACE(
                rig.boom,
                section=boom.section,
                steel=boom.steel,
                mass_kg=None,
                length_m=size.length_m,
                first_hole_m=size.first_hole_m,
                hole_count=size.holes,
            ),
            arms=tuple(
                REPLACE(arm, section=cut.tube.section, steel=cut.tube.steel, mass_kg=None)
                for arm, cut in zip(rig.arms, arm_cuts, strict=False)
            ),
        )
        pose = _start_pose(job, len(arm_cuts))
        built = REPLACE(job, rig=made, poses=(pose,), moves=())
    except ValueError:
        return None
    masses = rig_masses(built.truck, built.rig)
    tubes_kg = masses["sleeves_kg"] + masses["jib_mast_kg"] + masses["saddles_kg"] + masses["boom_kg"]
    rig_kg = tubes_kg + sum(masses["arms_kg"]) + masses["hook_kg"]
    return RigChoice(job=built, rig_kg=rig_kg, tubes=tuple((cut.part, cut.tube.name) for cut in cuts))


def _start_pose(job: Job, arm_count: int) -> Pose:
    return REPLACE(
        job.poses[0],
        name="start",
        hole=1,
        free_out_m=None,
        tilt_rad=0.0,
        loaded=True,
        arms=straight_ahead(job)[:arm_count],
    )
