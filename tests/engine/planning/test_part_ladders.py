"""The next sizes of parts, and what goes with a size.  Expected sizes are by hand or from the rig file."""

from __future__ import annotations

import msgspec
import pytest

from engine.planning.part_ladders import Ladder, ladders, larger_tubes, with_size
from engine.rig.completeness import not_entered
from engine.schema.connections import BasePlate, EndPlate, FaceLugs, OnCross, ThroughSleeve, Weld
from engine.schema.model import Job, Stock
from engine.schema.sections import RectTube
from engine.shop.edits import set_value, value_at
from tests.samples import sample

REPLACE = msgspec.structs.replace
STEEL_KG_M3 = 7850.0


def ladder_of(job: Job, path: str) -> Ladder:
    return next(ladder for ladder in ladders(job) if ladder.path == path)


def test_pins_come_in_the_sizes_of_the_persons_system_the_next_one_first() -> None:
    job = sample("greywether_memorials")
    pin = "rig.sleeves.heel_hold.pin.diameter_m"
    assert ladder_of(job, pin).was == 0.012
    assert ladder_of(job, pin).sizes[:3] == pytest.approx([0.016, 0.02, 0.025])
    us = ladder_of(REPLACE(job, units="us"), pin).sizes
    assert us[:3] == pytest.approx([0.0127, 0.015875, 0.01905])


def test_least_work_comes_first() -> None:
    tiers = [ladder.tier for ladder in ladders(sample("skerry_point_boatyard"))]
    assert tiers == sorted(tiers) and set(tiers) == {6, 7, 8}


def test_a_larger_pin_takes_its_hole_and_what_is_round_it_along() -> None:
    job = sample("skerry_point_boatyard")
    hinge = job.rig.arms[0].hinge
    made = with_size(job, "rig.arms[0].hinge.pin.diameter_m", hinge.pin.diameter_m + 0.005)
    assert made is not None
    larger = made.rig.arms[0].hinge
    assert larger.pin.hole_m - larger.pin.diameter_m == pytest.approx(hinge.pin.hole_m - hinge.pin.diameter_m)
    sleeve, was = larger.outer_end, hinge.outer_end
    assert isinstance(sleeve, ThroughSleeve) and isinstance(was, ThroughSleeve)
    assert sleeve.bore_m - was.bore_m == pytest.approx(0.005) == sleeve.outer_m - was.outer_m
    assert larger.lug_edge_m - larger.pin.hole_m / 2 == pytest.approx(hinge.lug_edge_m - hinge.pin.hole_m / 2)


def test_a_part_that_was_weighed_gets_the_steel_that_a_size_adds() -> None:
    """The base plate is weighed with the cross-member it is welded to."""
    job = sample("greywether_memorials")
    plate, weighed = job.rig.jib_mast.base, job.rig.sleeves.mass_kg
    assert isinstance(plate, BasePlate) and weighed is not None
    made = with_size(job, "rig.jib_mast.base.length_m", plate.length_m + 0.02)
    assert made is not None and made.rig.sleeves.mass_kg is not None
    added_kg = STEEL_KG_M3 * plate.thickness_m * plate.width_m * 0.02
    assert made.rig.sleeves.mass_kg.best - weighed.best == pytest.approx(added_kg, rel=1e-6)
    assert made.rig.boom == job.rig.boom and made.rig.jib_mast.mass_kg == job.rig.jib_mast.mass_kg


def test_tubes_get_thicker_before_they_get_larger_and_the_rack_counts() -> None:
    was = RectTube(width_m=0.1, depth_m=0.1, wall_m=0.005)
    job = REPLACE(sample("skerry_point_boatyard"), stock=())
    sizes = [size for size in larger_tubes(job, was) if isinstance(size, RectTube)]
    same = [size for size in sizes if size.width_m == size.depth_m == 0.1]
    assert [size.wall_m for size in same] == [0.006, 0.0063, 0.008] and sizes[:3] == same
    assert all(size.width_m >= 0.1 and size.depth_m >= 0.1 and size.wall_m >= 0.005 for size in sizes)
    own = Stock(name="offcut", section=RectTube(width_m=0.1, depth_m=0.1, wall_m=0.0055), length_m=3.0)
    assert next(larger_tubes(REPLACE(job, stock=(own,)), was)).wall_m == 0.0055


def test_a_wider_lever_takes_what_stands_at_the_hinge_along() -> None:
    job = sample("skerry_point_boatyard")
    end = job.rig.arms[1].hinge.inner_end
    assert isinstance(end, EndPlate)
    made = with_size(job, "rig.arms[1].hinge.spacing_m", job.rig.arms[1].hinge.spacing_m + 0.02)
    assert made is not None
    assert value_at(made, "rig.arms[1].hinge.inner_end.height_m") == pytest.approx(end.height_m + 0.02)


def test_a_thicker_lug_on_a_tubes_face_keeps_its_place_on_the_sleeve() -> None:
    """Lugs of 25 mm round a sleeve of 178 with 1 mm of play are 205 apart, centre to centre; of 30 mm 210."""
    job = sample("skerry_point_boatyard")
    thicker = with_size(job, "rig.arms[0].hinge.inner_end.thickness_m", 0.03)
    assert job.rig.arms[0].hinge.spacing_m == pytest.approx(0.178 + 2 * 0.001 + 0.025)
    assert thicker is not None
    assert thicker.rig.arms[0].hinge.spacing_m == pytest.approx(0.178 + 2 * 0.001 + 0.03)
    assert not not_entered(thicker, job.poses[0])


def test_a_rig_that_cannot_be_is_none() -> None:
    job = sample("skerry_point_boatyard")
    assert with_size(job, "rig.boom.pin.diameter_m", 5.0) is None
    assert with_size(job, "rig.saddles.front_x_m", -3.0) is None


def test_a_weld_by_an_unknown_hand_may_be_made_by_a_qualified_one_and_a_tested_one_is_at_the_top() -> None:
    job = sample("skerry_point_boatyard")
    weld = job.rig.jib_mast.foot_weld
    tested = set_value(job, "rig.jib_mast.foot_weld", REPLACE(weld, quality="qualified_ndt"))
    unknown = set_value(job, "rig.jib_mast.foot_weld", REPLACE(weld, quality="unknown"))
    path = "rig.jib_mast.foot_weld.quality"
    assert path not in [ladder.path for ladder in ladders(tested)]
    assert ladder_of(unknown, path).sizes == ("qualified_visual", "qualified_ndt")


def test_a_plate_under_a_mast_that_stands_on_the_cross_member_leaves_room_for_its_weld() -> None:
    job = sample("skerry_point_boatyard")
    mast = job.rig.jib_mast
    assert isinstance(mast.section, RectTube)
    cross = RectTube(width_m=0.25, depth_m=0.08, wall_m=0.006)
    bare = set_value(set_value(job, "rig.jib_mast.base", OnCross()), "rig.sleeves.cross_section", cross)
    offered = ladder_of(bare, "rig.jib_mast.base").sizes
    assert offered
    for plate in offered:
        assert isinstance(plate, BasePlate) and isinstance(plate.weld_below, Weld)
        beside_m = 2.0 * mast.foot_weld.leg_m
        assert min(plate.width_m - mast.section.width_m, plate.length_m - mast.section.depth_m) >= beside_m
        assert plate.length_m + 2.0 * plate.weld_below.leg_m <= cross.width_m - 4.0 * cross.wall_m
    narrow = set_value(bare, "rig.sleeves.cross_section", REPLACE(cross, width_m=mast.section.depth_m))
    assert not any(ladder.kind == "base" for ladder in ladders(narrow))


def test_a_larger_boom_takes_shims_and_the_lugs_on_it_along() -> None:
    """The boatyard's boom, 100 mm to 120 mm: 20 mm wider and deeper."""
    job = sample("skerry_point_boatyard")
    boom, saddles, hinge = job.rig.boom, job.rig.saddles, job.rig.arms[0].hinge
    assert isinstance(boom.section, RectTube) and isinstance(hinge.inner_end, FaceLugs)
    assert saddles.shims != "none" and saddles.shim_side_m >= 0.01
    made = with_size(job, "rig.boom.section", REPLACE(boom.section, width_m=0.12, depth_m=0.12, wall_m=0.008))
    assert made is not None
    assert made.rig.saddles.shim_side_m == pytest.approx(saddles.shim_side_m - 0.01)
    larger = made.rig.arms[0].hinge
    thinner_m = min(hinge.inner_end.packing_m, 0.01)
    assert isinstance(larger.inner_end, FaceLugs)
    assert larger.inner_end.packing_m == pytest.approx(hinge.inner_end.packing_m - thinner_m)
    apart_m = 0.12 + larger.inner_end.thickness_m + 2.0 * larger.inner_end.packing_m
    beside_m = larger.spacing_m - apart_m
    assert beside_m == pytest.approx(
        hinge.spacing_m - 0.1 - hinge.inner_end.thickness_m - 2 * hinge.inner_end.packing_m
    )
    assert not_entered(made, made.poses[0]) == not_entered(job, job.poses[0])


def test_a_larger_arm_has_its_sleeve_over_the_whole_tube_and_the_lugs_before_it_clear() -> None:
    job = sample("skerry_point_boatyard")
    section, hinge = job.rig.arms[0].section, job.rig.arms[0].hinge
    assert isinstance(section, RectTube) and isinstance(hinge.outer_end, ThroughSleeve)
    wide = REPLACE(section, width_m=section.width_m + 0.04, depth_m=section.depth_m + 0.2)
    made = with_size(job, "rig.arms[0].section", wide)
    assert made is not None
    larger = made.rig.arms[0].hinge
    assert isinstance(larger.outer_end, ThroughSleeve) and isinstance(larger.inner_end, FaceLugs)
    assert isinstance(hinge.inner_end, FaceLugs)
    assert hinge.outer_end.length_m < wide.depth_m == pytest.approx(larger.outer_end.length_m)
    assert larger.spacing_m - hinge.spacing_m == pytest.approx(wide.depth_m - hinge.outer_end.length_m)
    assert larger.inner_end.reach_m == pytest.approx(hinge.inner_end.reach_m + 0.02)
