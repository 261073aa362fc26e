"""What the search calls the lightest is the lightest: every rig of small racks, each judged by the whole verdict.

Nothing of the search's order, bounds or laying out is used here: lengths of arms are counted out, the boom's place is
summed up by hand, tubes are laid out by trying every way, and each rig is weighed and judged anew.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import msgspec
import pytest

from engine.planning.stock_rigs import Picks, Shape, built
from engine.planning.stock_search import StockSearch, search
from engine.planning.stock_tubes import Standing
from engine.rig.boom_ends import at_front, at_tail_m
from engine.rig.kinematics import figures, place
from engine.rig.rig_masses import rig_masses
from engine.schema.model import Job, NoGo, Stock, WantedJob
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube
from engine.shop.cut_list import pieces
from engine.worst_case.verdict import evaluate
from tests.samples import read_once
from tests.thoroughness import every

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
REPLACE = msgspec.structs.replace
SPARE_M, STEP_M, LEAST_ARM_M = 0.05, 0.1, 0.2
HOLE_APART_M = 3.0 * 0.0205
"""Three diameters of the samples' boom pin holes."""


def rect(name: str, across_mm: float, upright_mm: float, wall_mm: float, length_m: float, **more: object) -> Stock:
    section = RectTube(width_m=across_mm / 1000, depth_m=upright_mm / 1000, wall_m=wall_mm / 1000)
    return Stock(name=name, section=section, length_m=length_m, **more)


def want(name: str, kg: float, height_m: float, ahead_m: float) -> WantedJob:
    load = Estimate(best=kg, known="weighed")
    return WantedJob(name=name, load_kg=load, rigging_kg=10.0, hook_height_m=height_m, ahead_of_face_m=ahead_m)


class Case(NamedTuple):
    pattern: str
    rack: tuple[Stock, ...]
    wanted: tuple[WantedJob, ...]


CASES = {
    "no arms, flat tubes": Case(
        "tarn_hollow_stone_yard",
        (
            rect("gate", 60, 120, 5, 6.0, no_go=(NoGo(from_m=2.5, to_m=3.0),)),
            rect("ramp", 120, 80, 5, 1.6, condition="rusty"),
            rect("post", 100, 100, 6, 2.1, count=2),
        ),
        (want("lintel", 300.0, 2.5, 1.1), want("sill", 120.0, 2.9, 1.7), want("cap", 150.0, 2.7, 1.43)),
    ),
    "one arm": Case(
        "brightlea_glasshouses",
        (rect("rail", 100, 100, 6, 3.0), rect("post", 100, 100, 8, 1.8), rect("offcut", 75, 75, 6.4, 1.0)),
        (want("pane", 90.0, 2.6, 1.75), want("vent", 60.0, 2.8, 1.9)),
    ),
    "two arms": Case(
        "skerry_point_boatyard",
        (rect("bow", 100, 100, 6.3, 4.5), rect("rail", 75, 75, 6.4, 0.9)),
        (want("motor", 90.0, 2.4, 1.55),),
    ),
}


def asked(case: Case) -> Job:
    job = read_once(SAMPLES / f"{case.pattern}.rig.json")
    return REPLACE(job, stock=case.rack, wanted=case.wanted, approval=None, trial_lifts=())


# ---------------------------------------------------------------- every rig


def every_shape(job: Job, arm_count: int) -> Iterator[Shape]:
    """Lengths of arms on the grid, and what boom and holes they leave; the samples' masts are plumb, arms straight."""
    rig = job.rig
    steps = [LEAST_ARM_M + STEP_M * number for number in range(15)]
    own = tuple(arm.length_m for arm in rig.arms[:arm_count])
    grid = {tuple(round(length, 6) for length in lengths) for lengths in itertools.product(steps, repeat=arm_count)}
    for arms_m in sorted({own, *grid}):
        straight = REPLACE(job.poses[0], hole=None, free_out_m=0.0, tilt_rad=0.0, arms=job.poses[0].arms[:arm_count])
        straight = REPLACE(straight, arms=tuple(REPLACE(arm, turn_rad=0.0, fitted=True) for arm in straight.arms))
        arms = tuple(REPLACE(arm, length_m=length) for arm, length in zip(rig.arms, arms_m, strict=False))
        made = REPLACE(job, rig=REPLACE(rig, arms=arms), poses=(straight,), moves=())
        hook = place(made, figures(made, straight)).hook_m
        outs_m = [wanted.ahead_of_face_m - float(hook.x) + job.truck.front_overhang_m.best for wanted in job.wanted]
        least_m = rig.saddles.front_x_m + rig.saddles.strap_length_m / 2.0 + front_end_m(made)
        if arm_count and min(outs_m) < least_m - SPARE_M:
            continue
        yield shape_at(job, arms_m, [max(out_m, least_m) for out_m in outs_m])


def front_end_m(job: Job) -> float:
    """How far the pieces at the boom's front end reach back, which the front strap stops at."""
    proud = at_front(job.rig)
    return 0.0 if proud is None else proud.reach_m


def shape_at(job: Job, arms_m: tuple[float, ...], outs_m: list[float]) -> Shape:
    """The wanted places of the boom's end, to the next millimetre; no two are nearer than holes may be here."""
    saddles = job.rig.saddles
    outs_m = [-(-round(out_m * 1e3, 6) // 1) / 1e3 for out_m in outs_m]
    far_first = sorted(set(outs_m), reverse=True)
    assert all(one - other >= HOLE_APART_M for one, other in itertools.pairwise(far_first))
    tail_m = -saddles.rear_x_m + saddles.strap_length_m / 2.0 + at_tail_m(job.rig) + SPARE_M
    length_m = -(-round((far_first[0] + tail_m) * 100, 6) // 1) / 100
    pin_m = saddles.front_x_m if saddles.pin_at == "front" else saddles.rear_x_m
    holes_m = [pin_m + length_m - out_m for out_m in far_first]
    steps_m = tuple(round(after - before, 6) for before, after in itertools.pairwise(holes_m))
    return Shape(arms_m, length_m, round(holes_m[0], 6), steps_m, tuple(far_first.index(out) + 1 for out in outs_m))


def every_tube(stock: tuple[Stock, ...]) -> list[tuple[Standing, list[float]]]:
    """Each tube either way up, with the stretches it may be cut from; ``kind`` is the line of the rack."""
    tubes = []
    for line, bar in enumerate(stock):
        section = bar.section
        if bar.condition == "rusty":
            section = REPLACE(section, wall_lost_m=0.001)
        ends = [0.0, *(place for zone in bar.no_go for place in (zone.from_m, zone.to_m)), bar.length_m]
        stretches = [to - start for start, to in zip(ends[::2], ends[1::2], strict=True)] * bar.count
        tubes.append((Standing(line, section, bar.steel), stretches))
        if isinstance(section, RectTube) and section.width_m != section.depth_m:
            turned = REPLACE(section, width_m=section.depth_m, depth_m=section.width_m)
            tubes.append((Standing(line, turned, bar.steel), stretches))
    return tubes


def can_be_cut(job: Job, picks: Picks, stretches: dict[int, list[float]], kerf_m: float) -> bool:
    """Whether some way of laying the pieces out on the stretches leaves a kerf between any two."""
    lengths = {piece.part: piece.length_m for piece in pieces(job)}
    cuts = [(picks.mast, lengths["jib mast"]), (picks.boom, lengths["boom"])]
    cuts += [(pick, lengths[f"{arm.name} tube"]) for arm, pick in zip(job.rig.arms, picks.arms, strict=True)]
    for line in {tube.kind for tube, _ in cuts}:
        mine = [length for tube, length in cuts if tube.kind == line]
        for places in itertools.product(range(len(stretches[line])), repeat=len(mine)):
            laid = [[cut for cut, place in zip(mine, places, strict=True) if place == at] for at in set(places)]
            free = [stretches[line][at] for at in set(places)]
            if all(sum(cut) + kerf_m * (len(cut) - 1) <= room + 1e-9 for cut, room in zip(laid, free, strict=True)):
                break
        else:
            return False
    return True


def does(job: Job, shape: Shape, index: int, wanted: WantedJob) -> bool:
    """Whether the whole verdict on the job's own pose is within the limits, the hook being where it is wanted."""
    rigging = Estimate(best=wanted.rigging_kg, known="weighed")
    job = REPLACE(job, load=REPLACE(job.load, name=wanted.name, mass_kg=wanted.load_kg, rigging_kg=rigging))
    pose = REPLACE(job.poses[0], hole=shape.hole_of_job[index], lift_m=0.5)
    hook = place(job, figures(job, pose)).hook_m
    pose = REPLACE(pose, lift_m=0.5 + wanted.hook_height_m - float(hook.z))
    assert float(hook.x) - job.truck.front_overhang_m.best >= wanted.ahead_of_face_m - 1e-6
    return evaluate(job, pose).state == "WITHIN"


def weights_by_brute_force(job: Job) -> tuple[list[float], int]:
    """What every rig weighs that does all jobs, lightest first, and how many rigs there are."""
    tubes, weights, count = every_tube(job.stock), [], 0
    stretches = {tube.kind: free for tube, free in tubes}
    booms = [tube for tube, _ in tubes if not isinstance(tube.section, RoundTube)]
    every = [tube for tube, _ in tubes]
    for arm_count in range(len(job.rig.arms) + 1):
        for shape in every_shape(job, arm_count):
            for mast, boom, *arms in itertools.product(every, booms, *([every] * arm_count)):
                picks = Picks(mast, boom, tuple(arms))
                made = built(job, shape, picks)
                count += 1
                if (
                    made is not None
                    and can_be_cut(made, picks, stretches, job.kerf_m)
                    and all(does(made, shape, index, wanted) for index, wanted in enumerate(job.wanted))
                ):
                    masses = rig_masses(made.truck, made.rig)
                    weights.append(sum(kg for part, kg in masses.items() if part != "arms_kg") + sum(masses["arms_kg"]))
    return sorted(weights), count


@pytest.mark.slow
@pytest.mark.parametrize("name", every(2, list(CASES)))
def test_what_is_called_the_lightest_is_the_lightest_by_brute_force(name: str):
    job = asked(CASES[name])
    weights, count = weights_by_brute_force(job)
    found = search(job, enough=100_000, most_looks=10**9)
    assert weights, "a case in which nothing works shows nothing"
    assert [rig.rig_kg for rig in found.rigs] == pytest.approx(weights, abs=1e-9)
    assert found.looked_at == found.of == count
    first: StockSearch = search(job, enough=1, most_looks=10**9)
    assert first.rigs[0].rig_kg == pytest.approx(weights[0], abs=1e-9)
    if first.looked_at == first.of:
        assert first.bound_kg is None, "nothing is left to be lighter"
    else:
        assert first.bound_kg is not None and first.bound_kg <= weights[min(1, len(weights) - 1)] + 1e-9
