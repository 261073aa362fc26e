"""What stands out of the boom stays out of the straps: how far the boom slides, by hand from the pieces' sizes."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.rig.boom_ends import at_front
from engine.rig.feasibility import boom_limits_m, impossibilities, usable_holes
from engine.schema.connections import Hoop, Weld, WeldedHoop
from engine.schema.model import Job
from tests.samples import by_hand, read_once

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
BOATYARD = read_once(SAMPLES / "skerry_point_boatyard.rig.json")
PUMPS = by_hand("osier_wharf_pumps")
SAWMILL = read_once(SAMPLES / "alder_fork_sawmill.rig.json")


def boom(job: Job, **changes: object) -> Job:
    return REPLACE(job, rig=REPLACE(job.rig, boom=REPLACE(job.rig.boom, **changes)))


@pytest.mark.parametrize(
    ("job", "name", "reach_m"),
    [
        # Lugs 200 along the boom, 50 past its end to the pin.
        (BOATYARD, "hinge", 0.25),
        # The turnbuckle's lug stands 450 behind the hinge and is 160 long.
        (PUMPS, "stay's lug", 0.53),
        # No arms: the hook pin of 30 is 50 from the end.
        (SAWMILL, "hook pin", 0.065),
    ],
)
def test_the_boom_slides_in_until_it_comes_to_the_front_strap(job: Job, name: str, reach_m: float) -> None:
    proud = at_front(job.rig)
    assert proud is not None and (proud.name, proud.reach_m) == (name, pytest.approx(reach_m))
    saddles = job.rig.saddles
    edge_m = saddles.front_x_m + saddles.strap_length_m / 2.0
    assert boom_limits_m(job)[0] == pytest.approx(edge_m + reach_m)


def test_a_pose_further_in_is_refused_and_says_what_stands_in_the_strap() -> None:
    """In hole 11 the boatyard's boom is 300 out: its lugs reach 50, ten millimetres into the strap's 60."""
    pose = REPLACE(BOATYARD.poses[0], hole=11)
    (problem,) = impossibilities(BOATYARD, pose)
    assert problem.where == "pose.hole" and problem.numbers["part"] == "hinge"
    assert problem.numbers["out"] == pytest.approx(0.3) and problem.numbers["back"] == pytest.approx(0.25)
    assert usable_holes(BOATYARD) == tuple(range(1, 11))
    assert impossibilities(BOATYARD, REPLACE(pose, hole=10)) == []
    shorter = REPLACE(BOATYARD.rig.arms[0].hinge.inner_end, on_face_m=0.185)
    arm = REPLACE(BOATYARD.rig.arms[0], hinge=REPLACE(BOATYARD.rig.arms[0].hinge, inner_end=shorter))
    job = REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, arms=(arm, BOATYARD.rig.arms[1])))
    assert impossibilities(job, pose) == [] and 11 in usable_holes(job)


def test_a_stop_at_the_tail_comes_to_the_rear_strap_first() -> None:
    rear = BOATYARD.rig.saddles
    free = boom_limits_m(boom(BOATYARD, stops="front"))[1]
    assert free == pytest.approx(2.4 + rear.rear_x_m - rear.strap_length_m / 2.0)
    assert boom_limits_m(BOATYARD)[1] == pytest.approx(free - 0.015)


def test_a_front_stop_and_a_hoop_count_where_they_are() -> None:
    assert at_front(boom(SAWMILL, stops="rear").rig) == at_front(SAWMILL.rig)
    hoop = WeldedHoop(
        hoop=Hoop(bar_m=0.02, bend_radius_m=0.04, leg_m=0.05, weld=Weld(leg_m=0.006)), edge_m=0.1, plane="along"
    )
    job = REPLACE(SAWMILL, rig=REPLACE(SAWMILL.rig, hook=REPLACE(SAWMILL.rig.hook, end=hoop)))
    proud = at_front(job.rig)
    assert proud is not None and proud == ("hook hoop", pytest.approx(0.15))
    across = REPLACE(job, rig=REPLACE(job.rig, hook=REPLACE(job.rig.hook, end=REPLACE(hoop, plane="across"))))
    assert at_front(across.rig) == ("hook hoop", pytest.approx(0.11))


def test_a_bare_boom_goes_in_to_its_end() -> None:
    bare = REPLACE(BOATYARD.rig.arms[0].hinge, inner_end=None, outer_end=None)
    arms = (REPLACE(BOATYARD.rig.arms[0], hinge=bare), BOATYARD.rig.arms[1])
    job = boom(REPLACE(BOATYARD, rig=REPLACE(BOATYARD.rig, arms=arms)), stops="rear")
    assert at_front(job.rig) is None
    assert boom_limits_m(job)[0] == pytest.approx(0.06)
