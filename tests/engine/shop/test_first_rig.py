"""A first rig from a few wishes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from engine.base.errors import EditError
from engine.limits.all_limits import find_checks
from engine.rig.kinematics import figures
from engine.schema import rig_file
from engine.schema.model import PlateRow
from engine.schema.quantities import Estimate
from engine.schema.truck_class_ranges import TRUCK_CLASSES
from engine.shop import edits
from engine.shop.first_rig import LADDER, Wish, draft, sketch
from engine.shop.truck_classes import typical_truck
from engine.worst_case.verdict import evaluate

PLATES = {
    name: PlateRow(rated_kg=c.rated_kg, load_centre_m=c.load_centre_m, lift_m=3.3) for name, c in TRUCK_CLASSES.items()
}


def wish(
    truck: str = "2.5 t",
    height: float = 2.4,
    reach: float = 2.0,
    load: float = 150.0,
    arms: int = 1,
    plate: bool = True,
) -> Wish:
    return Wish(
        name="bench jib",
        truck=typical_truck(truck),
        hook_height_m=height,
        reach_m=reach,
        load=Estimate(best=load, known="guess"),
        arms=arms,
        plate=PLATES[truck] if plate else None,
    )


@given(
    truck=st.sampled_from(sorted(TRUCK_CLASSES)),
    height=st.floats(0.8, 4.5),
    reach=st.floats(0.6, 3.5),
    load=st.floats(20.0, 900.0),
    arms=st.integers(0, 2),
)
def test_every_wish_gives_a_rig_that_can_be_and_can_be_saved(
    truck: str, height: float, reach: float, load: float, arms: int
) -> None:
    job = sketch(wish(truck, height, reach, load, arms))
    for pose in job.poses:
        problems = [p for p in evaluate(job, pose).problems if p.kind == "impossible"]
        assert not problems, (problems, pose)
    assert rig_file.decode(rig_file.encode(job)) == job


@pytest.mark.parametrize("arms", [0, 1, 2])
def test_the_hook_comes_within_half_a_hole_of_the_wish(arms: int) -> None:
    job = sketch(wish(arms=arms))
    hook = evaluate(job, job.poses[0]).placed.hook_m
    assert hook.x - job.truck.front_overhang_m.best == pytest.approx(2.0, abs=0.08)
    assert hook.z == pytest.approx(2.4, abs=0.01)


def test_a_floor_that_nobody_measured_is_refused_not_taken_as_level() -> None:
    job = sketch(wish())
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "REFUSED"
    assert {problem.where for problem in verdict.problems} == {"floors[0].fall_along", "floors[0].fall_across"}


def test_without_a_plate_there_is_no_allowed_load() -> None:
    job = sketch(wish(plate=False))
    assert job.truck.plate is None
    assert evaluate(job, job.poses[0]).allowed_load_kg is None


@pytest.mark.parametrize("load", [50.0, 200.0, 400.0])
def test_the_sketched_bed_carries_the_straps_legs_and_is_never_the_first_to_give(load: float) -> None:
    """Every tube that a sketch tries: legs within the bed's width, and another part used more than the bed."""
    level = Estimate(best=0.0, known="measured")
    for boom, arm in LADDER:
        job = draft(wish(load=load), boom, arm)
        floors = tuple(structs.replace(floor, fall_along=level, fall_across=level) for floor in job.floors)
        job = structs.replace(job, floors=floors)
        saddles, limits = job.rig.saddles, find_checks(job, figures(job, job.poses[0]))
        assert saddles.bed_section is not None
        assert saddles.bed_section.width_m >= boom.width_m + 2.0 * saddles.strap_thickness_m - 1e-9
        assert saddles.bed_section.depth_m == saddles.seat_m
        bed = [float(check.use) for check in limits if check.part == "saddle bed"]
        assert bed and max(bed) < max(float(check.use) for check in limits if check.of == "rig")


def test_a_heavier_wish_never_gets_a_lighter_boom() -> None:
    sections = [sketch(wish(load=load)).rig.boom.section for load in (50.0, 200.0, 400.0, 800.0)]
    areas = [section.depth_m * section.wall_m for section in sections]
    assert areas == sorted(areas)


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"reach": 0.2}, "reach"),
        ({"height": 9.0}, "hook height"),
        ({"height": 0.1}, "hook height"),
        ({"arms": 5}, "arms"),
    ],
)
def test_a_wish_that_cannot_be_drawn_is_refused_with_its_place(changes: dict[str, float], place: str) -> None:
    with pytest.raises(EditError) as refusal:
        sketch(wish(**changes))
    assert refusal.value.where == place


def test_arms_are_added_and_removed_with_their_poses() -> None:
    job = sketch(wish(arms=0))
    two = edits.add_arm(edits.add_arm(job))
    assert [arm.name for arm in two.rig.arms] == ["arm 1", "arm 2"]
    assert all(len(pose.arms) == 2 for pose in two.poses)
    one = edits.remove_arm(two, 0)
    assert [arm.name for arm in one.rig.arms] == ["arm 2"]
    again = edits.add_arm(one)
    assert len({arm.name for arm in again.rig.arms}) == 2
    with pytest.raises(EditError):
        edits.remove_arm(job, 0)


def test_no_more_arms_than_the_format_allows() -> None:
    job = sketch(wish(arms=2))
    with pytest.raises(ValueError, match="arms"):
        for _ in range(8):
            job = edits.add_arm(job)
