"""How far an arm turns before its hinge's pieces meet: hand sums, and a search of another kind on every sample."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.rig.feasibility import impossibilities
from engine.rig.free_turn import Jam, free_turn_rad, jam, joint_as_free
from engine.rig.hinge_boxes import Round, boom_short_m, end_solids, tube_span_m
from engine.rig.hinge_pieces import link_ends
from engine.schema.connections import HingeEnd
from engine.schema.model import Job, Pose, Rig
from engine.schema.sections import outer_depth_m, outer_width_m
from engine.shop import pose_edits
from engine.worst_case.verdict import evaluate
from tests.samples import by_hand, read_once

REPLACE = msgspec.structs.replace
SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))
JOBS = {path.name.partition(".")[0]: read_once(path) for path in SAMPLES}
BOATYARD = JOBS["skerry_point_boatyard"]
HINGES = [(name, index) for name, job in JOBS.items() for index in range(len(job.rig.arms))]


def with_end(job: Job, index: int, side: str, **sizes: object) -> Job:
    """The job with sizes of one hinge's piece changed."""
    arm = job.rig.arms[index]
    end: HingeEnd = REPLACE(getattr(arm.hinge, side), **sizes)
    return with_hinge(job, index, **{side: end})


def with_hinge(job: Job, index: int, **sizes: object) -> Job:
    arm = REPLACE(job.rig.arms[index], hinge=REPLACE(job.rig.arms[index].hinge, **sizes))
    arms = tuple(arm if at == index else other for at, other in enumerate(job.rig.arms))
    return REPLACE(job, rig=REPLACE(job.rig, arms=arms))


def turned(pose: Pose, index: int, degrees: float) -> Pose:
    arms = tuple(
        REPLACE(stance, turn_rad=math.radians(degrees)) if at == index else stance
        for at, stance in enumerate(pose.arms)
    )
    return REPLACE(pose, arms=arms)


@pytest.mark.parametrize(
    ("name", "index", "corner_m", "half_m"),
    [
        # Boom 100 wide ends 50 short of the pin; arm 1 is 90 wide.
        ("skerry_point_boatyard", 0, (0.05, 0.05), 0.045),
        # An end plate 120 wide, 40 off the pin; arm 2 is 75 wide.
        ("skerry_point_boatyard", 1, (0.04, 0.06), 0.0375),
        # Arm 1, 120 wide, ends 125 short of the pin; arm 2 is 75 wide.
        ("cold_spring_vineyard", 1, (0.125, 0.06), 0.0375),
    ],
)
def test_an_arms_side_meets_the_corner_of_the_link_before_it(
    name: str, index: int, corner_m: tuple[float, float], half_m: float
) -> None:
    """The corner c stands at 180 degrees less atan(w/2 / a); the arm's side reaches it asin((w2/2)/|c|) before that."""
    back, aside = corner_m
    hand = math.pi - math.atan2(aside, back) - math.asin(half_m / math.hypot(back, aside))
    least, most = free_turn_rad(JOBS[name].rig, index)
    # Pieces may stand a tenth of a millimetre in each other before they count as met.
    assert most == pytest.approx(hand, abs=0.0002 / half_m) and most >= hand
    assert least == pytest.approx(-most, abs=1e-6)


REACH_M = 0.3
"""How much of each tube the grid below holds."""

SPANS = tuple[tuple[float, float], ...]


def boxes(rig: Rig, index: int, *, outer: bool) -> list[SPANS]:
    """Tube and flat pieces of one link, from the pin's middle."""
    arm, end = rig.arms[index], link_ends(rig, index, index - 1 if index else None)[1 if outer else 0]
    before = rig.arms[index - 1] if index else rig.boom
    if outer:
        tube, section = (tube_span_m(rig, index)[0], REACH_M), arm.section
    else:
        short_m = before.length_m - tube_span_m(rig, index - 1)[1] if index else boom_short_m(rig)
        tube, section = (-REACH_M, -short_m), before.section
    half_wide, half_deep = outer_width_m(section) / 2.0, outer_depth_m(section) / 2.0
    flat = [solid for solid in end_solids(arm.hinge, end, outer=outer) if not isinstance(solid, Round)]
    return [(tube, (-half_wide, half_wide), (-half_deep, half_deep)), *flat]


def meet(rig: Rig, index: int, turn_rad: float) -> bool:
    """Whether a point of a fine grid in one link's pieces is in a piece of the other."""
    level = rig.arms[index].axis == "level"
    inner, own = boxes(rig, index, outer=False), boxes(rig, index, outer=True)
    return any(
        _points_in(holds, asked, way * turn_rad, level)
        for holds, asks, way in ((inner, own, 1.0), (own, inner, -1.0))
        for asked in asks
    )


def _points_in(holds: list[SPANS], asked: SPANS, turn_rad: float, level: bool) -> bool:
    points = np.stack(np.meshgrid(*(np.linspace(*span, 61) for span in asked), indexing="ij"), -1).reshape(-1, 3)
    x, aside = points[:, 0].copy(), points[:, 2 if level else 1].copy()
    points[:, 0] = x * math.cos(turn_rad) - aside * math.sin(turn_rad)
    points[:, 2 if level else 1] = x * math.sin(turn_rad) + aside * math.cos(turn_rad)
    return any(
        bool(
            np.all(
                [(points[:, at] > low + 5e-4) & (points[:, at] < high - 5e-4) for at, (low, high) in enumerate(box)], 0
            ).any()
        )
        for box in holds
    )


@pytest.mark.parametrize(("name", "index"), HINGES)
def test_no_point_of_one_link_is_in_the_other_short_of_the_stop_and_one_is_past_it(name: str, index: int) -> None:
    rig = JOBS[name].rig
    for stop in free_turn_rad(rig, index):
        assert not meet(rig, index, 0.0) and not meet(rig, index, stop)
        assert meet(rig, index, stop + math.copysign(0.08, stop))


def test_a_pose_turned_past_it_is_refused_and_one_short_of_it_is_not() -> None:
    pose = BOATYARD.poses[0]
    (problem,) = impossibilities(BOATYARD, turned(pose, 0, 96.0))
    assert problem.where == "pose.arms[0].turn_rad" and "runs into the end of the {link}" in problem.words
    assert problem.numbers["most"] == pytest.approx(math.radians(95.6), abs=0.001)
    assert impossibilities(BOATYARD, turned(pose, 0, 95.0)) == []
    assert evaluate(BOATYARD, turned(pose, 0, -96.0)).state == "REFUSED"
    # Longer lugs let it fold further.
    longer = with_end(BOATYARD, 0, "inner_end", reach_m=0.1)
    assert impossibilities(longer, turned(pose, 0, 120.0)) == []


def test_the_persons_own_stops_hold_where_they_come_first() -> None:
    arm = REPLACE(BOATYARD.rig.arms[0], turn_max_rad=1.0)
    job = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, arms=(arm, BOATYARD.rig.arms[1])))
    least, most = joint_as_free(job.rig, 0).stops
    assert most == 1.0 and least == free_turn_rad(job.rig, 0)[0]


def test_dragging_typing_and_ways_to_a_point_end_where_the_pieces_meet() -> None:
    most = free_turn_rad(BOATYARD.rig, 0)[1]
    pose = BOATYARD.poses[0]
    assert pose_edits.turn_arm_to(BOATYARD, pose, 0, 2.2).arms[0].turn_rad == most
    assert pose_edits.arm_stopped_at(BOATYARD, pose, 0, 2.2).arms[0].turn_rad == most
    assert BOATYARD.rig.arms[0].turn_max_rad > 2.2


def test_a_round_end_that_reaches_the_plate_is_refused_at_every_turn() -> None:
    """Arm 1 of the organ builders is 90 wide, so its end is rounded to 45; with the plate 44 off it stands in it."""
    organs = by_hand("halden_pipe_organs")
    tight = with_hinge(organs, 0, lug_edge_m=0.044)
    assert jam(organs.rig, 0) is None
    assert jam(tight.rig, 0) == Jam(True, pytest.approx(0.045), pytest.approx(0.044))
    assert [problem.where for problem in impossibilities(tight, tight.poses[0])] == ["rig.arms[0].hinge.lug_edge_m"]
    # Coped half, the tube ends at the pin: at 0 degrees it clears, turned its corners meet the plate.
    half = with_end(tight, 0, "outer_end", coped="half")
    assert jam(half.rig, 0) is None and 0.5 < free_turn_rad(half.rig, 0)[1] < math.radians(80.0)


def test_a_hinge_not_entered_says_nothing_of_its_turn() -> None:
    bare = with_hinge(BOATYARD, 0, inner_end=None)
    assert free_turn_rad(bare.rig, 0) == (-math.inf, math.inf) and jam(bare.rig, 0) is None
    assert joint_as_free(bare.rig, 0) == bare.rig.arms[0].joint
