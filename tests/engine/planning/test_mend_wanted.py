"""What a rig would need: a load in a hole, in every hole, on a move.  Every answer is judged again by verdicts."""

from __future__ import annotations

import msgspec
import pytest

from engine.planning.mend import Cure
from engine.planning.mend_wanted import (
    HOLES_HOLD,
    MOVE_HOLDS,
    STOPPED_OTHERWISE,
    Wanted,
    mend_wanted,
    poses_of_holes,
    with_load,
)
from engine.planning.move import plan
from engine.planning.part_ladders import ladders, with_size
from engine.rig.feasibility import usable_holes
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace


def smaller(job: Job, cure: Cure) -> Job | None:
    """The job with the last size before that of a cure of one part; the job itself where there is none between."""
    (step,) = cure.steps
    sizes = next(ladder for ladder in ladders(job) if ladder.path == step.path).sizes
    at = sizes.index(step.now)
    return with_size(job, step.path, sizes[at - 1]) if at else job


def over_of_the_truck(job: Job, pose: Pose) -> bool:
    """Whether the truck is over in a pose, or something is in the way."""
    return any(use > 1.0 and check.of != "rig" for check, use in evaluate(job, pose).worst_uses)


def test_a_load_in_another_hole_is_held_with_what_it_says_and_not_with_less() -> None:
    job = sample("tarn_hollow_stone_yard")
    pose = REPLACE(job.poses[0], hole=9)
    heavier = with_load(job, 600.0)
    assert evaluate(heavier, pose).state == "OVER"
    mending = mend_wanted(job, Wanted(pose=pose, load_kg=600.0))
    assert mending.cures
    for cure in mending.cures:
        assert evaluate(cure.job, pose).state == "WITHIN" and cure.job.load == heavier.load
        assert cure.allowed_kg >= 600.0
        less = smaller(heavier, cure)
        assert less is None or evaluate(less, pose).state != "WITHIN"


@pytest.mark.slow
def test_every_hole_holds_but_those_where_something_is_in_the_way() -> None:
    """240 kg in every hole of the stone yard's boom: over in holes 2 and 3; in 10 and 11 the lintel hits the truck."""
    job = sample("tarn_hollow_stone_yard")
    pose, heavier = job.poses[0], with_load(job, 240.0)
    mending = mend_wanted(job, Wanted(pose=pose, load_kg=240.0, every_hole=True))
    holes = {there.hole: there for there in poses_of_holes(heavier, pose)}
    assert set(holes) == set(usable_holes(job))
    assert set(mending.left_out) == {hole for hole, there in holes.items() if over_of_the_truck(heavier, there)}
    assert {hole for hole, there in holes.items() if evaluate(heavier, there).state == "OVER"} == {2, 3, 10, 11}
    assert mending.cures
    for cure in mending.cures:
        assert {hole for hole, there in holes.items() if evaluate(cure.job, there).state != "WITHIN"} == {10, 11}
        assert cure.allowed_kg >= 240.0 > cure.before_kg
    again = mend_wanted(mending.cures[0].job, Wanted(pose=pose, every_hole=True))
    assert not again.cures and again.why_not == HOLES_HOLD and again.left_out == mending.left_out


@pytest.mark.slow
def test_a_whole_move_holds_with_what_it_says_and_not_with_less() -> None:
    """The scenery frame a tenth heavier: the jib mast's foot weld is over while it is swung out."""
    job = sample("lantern_lane_scenery")
    (move,) = job.moves
    load_kg = 1.1 * job.load.mass_kg.best
    heavier = with_load(job, load_kg)
    assert plan(job, move).state == "WITHIN" and plan(heavier, move).state == "OVER"
    mending = mend_wanted(job, Wanted(pose=job.poses[0], move=move, load_kg=load_kg))
    cure = mending.cures[0]
    assert [step.path for step in cure.steps] == ["rig.jib_mast.foot_weld.leg_m"]
    assert plan(cure.job, move).state == "WITHIN"
    less = smaller(heavier, cure)
    assert less is not None and plan(less, move).state != "WITHIN"


def test_a_move_that_something_else_stops_or_that_holds_is_said() -> None:
    pumps = sample("osier_wharf_pumps")  # pulls the boom pin under load
    assert mend_wanted(pumps, Wanted(pose=pumps.poses[0], move=pumps.moves[0])).why_not == STOPPED_OTHERWISE
    scenery = sample("lantern_lane_scenery")
    assert mend_wanted(scenery, Wanted(pose=scenery.poses[0], move=scenery.moves[0])).why_not == MOVE_HOLDS


@pytest.mark.slow
def test_more_than_four_parts_are_changed_where_it_takes_more() -> None:
    """A quarter more on the boatyard's hook: boom, hinge pin, foot weld, bed weld and lug weld are all over."""
    job = sample("skerry_point_boatyard")
    pose, load_kg = job.poses[0], 1.25 * job.load.mass_kg.best
    over = {check.part for check, use in evaluate(with_load(job, load_kg), pose).worst_uses if use > 1.0}
    assert len(over) > 4
    (cure,) = mend_wanted(job, Wanted(pose=pose, load_kg=load_kg)).cures
    assert len(cure.steps) > 4
    assert evaluate(cure.job, pose).state == "WITHIN"
    for left_out in cure.steps:
        made: Job | None = with_load(job, load_kg)
        for step in cure.steps:
            made = made if made is None or step is left_out else with_size(made, step.path, step.now)
        assert made is None or evaluate(made, pose).state != "WITHIN", left_out.path
