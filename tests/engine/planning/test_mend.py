"""Make it pass: every cure brings its pose within its limits by a full verdict, and no smaller size of a part does."""

from __future__ import annotations

import msgspec
import pytest

from engine.planning import mend as planning_of_mending
from engine.planning.mend import FAR, IN_THE_WAY, NEAR, NOT_ENTERED, NOT_JUDGED, NOTHING_OVER, PARTS_AT_MOST, Cure, mend
from engine.planning.part_ladders import Size, ladders, with_size
from engine.planning.stock_rigs import weight_kg
from engine.planning.sweep import Stopped
from engine.schema.model import Job, Pose
from engine.shop.edits import set_value, value_at
from engine.worst_case.evaluator import record_ahead
from engine.worst_case.verdict import Verdict, evaluate
from tests.samples import sample

REPLACE = msgspec.structs.replace


def with_sizes(job: Job, sizes: dict[str, Size]) -> Job | None:
    made: Job | None = job
    for path, size in sizes.items():
        made = None if made is None else with_size(made, path, size)
    return made


def assert_it_cures_and_nothing_smaller_does(job: Job, pose: Pose, cure: Cure) -> None:
    assert evaluate(cure.job, pose).state == "WITHIN"
    assert cure.added_kg == pytest.approx(weight_kg(cure.job) - weight_kg(job))
    sizes: dict[str, Size] = {step.path: step.now for step in cure.steps}
    for step in cure.steps:
        ladder = next(ladder for ladder in ladders(job) if ladder.path == step.path)
        smaller = ladder.sizes[: ladder.sizes.index(step.now)][-1:]
        others = {path: size for path, size in sizes.items() if path != step.path}
        for tried in ({**others, step.path: smaller[0]} if smaller else others,):
            made = with_sizes(job, tried)
            assert made is None or evaluate(made, pose).state != "WITHIN", step


def test_one_part_alone_comes_first() -> None:
    """The boatyard's boom one hole further out: over at the front saddle alone."""
    job = sample("skerry_point_boatyard")
    pose = job.poses[1]
    record_ahead(job, pose)
    found: list[tuple[Cure, ...]] = []
    mending = mend(job, (pose,), so_far=found.append)
    assert mending.cures and found[-1] == mending.cures
    assert all(len(cure.steps) == 1 and cure.steps[0].path.startswith("rig.boom") for cure in mending.cures)
    for cure in mending.cures:
        assert_it_cures_and_nothing_smaller_does(job, pose, cure)
        assert cure.allowed_kg > cure.before_kg


def test_no_size_is_judged_twice_or_where_it_is_far_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """The boatyard's boom again: on the way down to the smallest size that holds, no verdict on what cannot."""
    job = sample("skerry_point_boatyard")
    record_ahead(job, job.poses[1])
    judged: list[tuple[bytes, float]] = []

    def judge(made: Job, pose: Pose) -> Verdict:
        verdict = evaluate(made, pose)
        judged.append((msgspec.json.encode(made.rig), max(use for _, use in verdict.worst_uses)))
        return verdict

    monkeypatch.setattr(planning_of_mending, "evaluate", judge)
    assert mend(job, job.poses[1:2]).cures
    assert len(judged) == len({rig for rig, _ in judged})
    assert all(use < 1.0 + FAR + NEAR for _, use in judged[1:])


@pytest.mark.slow
def test_several_parts_together_where_no_one_part_does() -> None:
    """The memorials' first pose: strap, foot weld and heel pin are all over."""
    job = sample("greywether_memorials")
    pose = job.poses[0]
    over = {check.part for check, use in evaluate(job, pose).worst_uses if use > 1.0}
    assert over == {"rear strap", "jib mast", "sleeves"}
    record_ahead(job, pose)
    mending = mend(job, (pose,))
    assert mending.cures
    for cure in mending.cures:
        assert 1 < len(cure.steps) <= PARTS_AT_MOST
        assert "rig.sleeves.heel_hold.pin.diameter_m" in [step.path for step in cure.steps]
        assert_it_cures_and_nothing_smaller_does(job, pose, cure)


@pytest.mark.parametrize(
    ("path", "weak"),
    [("rig.saddles.strap_thickness_m", 0.006), ("rig.jib_mast.foot_weld.leg_m", 0.003)],
)
def test_a_part_made_too_weak_is_found_and_put_right(path: str, weak: float) -> None:
    """A rig that is within its limits, one part of it spoiled: that part at its own size or less is among the cures."""
    job = sample("tarn_hollow_stone_yard")
    pose = job.poses[0]
    assert evaluate(job, pose).state == "WITHIN"
    spoiled = set_value(job, path, weak)
    record_ahead(spoiled, pose)
    assert evaluate(spoiled, pose).state != "WITHIN"
    mine = [cure for cure in mend(spoiled, (pose,)).cures if [step.path for step in cure.steps] == [path]]
    size, own = mine[0].steps[0].now, value_at(job, path)
    assert len(mine) == 1 and isinstance(size, float) and weak < size <= own
    assert_it_cures_and_nothing_smaller_does(spoiled, pose, mine[0])


def test_what_no_part_of_the_rig_cures_is_said() -> None:
    boatyard = sample("skerry_point_boatyard")
    assert mend(boatyard, boatyard.poses[:1]).why_not == NOTHING_OVER
    empty = next(pose for pose in boatyard.poses if not pose.loaded)
    assert mend(boatyard, (empty,)).why_not == IN_THE_WAY
    no_plate = REPLACE(boatyard, truck=REPLACE(boatyard.truck, plate=None))
    assert mend(no_plate, boatyard.poses[:1]).why_not == NOT_JUDGED
    no_hook = set_value(boatyard, "rig.hook.end", None)
    assert mend(no_hook, boatyard.poses[:1]).why_not == NOT_ENTERED
    sawmill = sample("alder_fork_sawmill")
    assert "truck balance: tipping, front" in mend(sawmill, sawmill.poses[:1]).not_the_rig


def test_it_stops_when_it_is_told_to() -> None:
    job = sample("skerry_point_boatyard")
    with pytest.raises(Stopped):
        mend(job, job.poses[1:2], stop=lambda: True)
