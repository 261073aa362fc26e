"""A first rig from a few wishes, drawn whole, and refused where it cannot be drawn."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from engine.base.errors import EditError
from engine.base.formatting import System
from engine.limits.room import room_of
from engine.planning.first_rig_catalogue import Catalogue
from engine.planning.first_rig_sizing import Sizing
from engine.planning.new_rig import sketch
from engine.rig.completeness import not_entered
from engine.rig.feasibility import impossibilities
from engine.schema import rig_file
from engine.schema.connections import FaceLugs, HeelPin, StrapLapped
from engine.schema.model import Job, PlateRow
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube
from engine.schema.truck_class_ranges import TRUCK_CLASSES
from engine.shop import edits, first_joints
from engine.shop.assembly_order import assembly_steps
from engine.shop.first_joints import Make
from engine.shop.first_rig import Layout, Wish, draft
from engine.shop.piece_holes import piece_holes
from engine.shop.truck_classes import OFFERED, typical_truck
from engine.strength.bed_mount import mount_of
from engine.strength.cautions import cautions
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
    units: System = "metric",
    side: float = 0.0,
) -> Wish:
    return Wish(
        name="bench jib",
        truck=typical_truck(truck),
        hook_height_m=height,
        reach_m=reach,
        load=Estimate(best=load, known="guess"),
        arms=arms,
        plate=PLATES["2.5 t"] if plate else None,
        side_m=side,
        sling_rated_kg=2000.0,
        units=units,
    )


def made(one: Wish) -> Make:
    """Sizes well up in every list."""
    catalogue = Catalogue(one)
    start = Sizing(catalogue, Layout()).start()
    assert start is not None
    make = catalogue.make(start)
    assert make is not None
    return make


def drawn(one: Wish) -> Job:
    return draft(one, made(one), Layout(foot_x_m=0.65))


@given(
    units=st.sampled_from(("metric", "us")),
    truck=st.integers(0, 3),
    height=st.floats(0.8, 4.5),
    reach=st.floats(1.4, 3.5),
    load=st.floats(20.0, 900.0),
    arms=st.integers(0, 2),
)
def test_every_wish_gives_a_rig_that_can_be_and_can_be_saved(
    units: System, truck: int, height: float, reach: float, load: float, arms: int
) -> None:
    names = OFFERED[units]
    job = drawn(wish(names[truck * len(names) // 4], height, reach, load, arms, units=units))
    for pose in job.poses:
        assert not impossibilities(job, pose)
        assert not not_entered(job, pose)
    assert rig_file.decode(rig_file.encode(job)) == job


@pytest.mark.parametrize("arms", [1, 2])
@pytest.mark.parametrize("side_m", [-0.4, 0.35])
def test_the_hook_comes_to_the_side_where_it_is_wished(arms: int, side_m: float) -> None:
    job = drawn(structs.replace(wish(arms=arms), side_m=side_m))
    hook = evaluate(job, job.poses[0]).placed.hook_m
    assert hook.y == pytest.approx(side_m, abs=0.01)
    assert hook.x - job.truck.front_overhang_m.best == pytest.approx(2.0, abs=0.02)
    assert all(arm.turn_rad == 0.0 for arm in job.poses[1].arms), "home it goes straight"


def test_load_and_sling_are_as_wished() -> None:
    job = drawn(structs.replace(wish(), box_m=(1.2, 0.8, None), sling_m=0.7))
    load = job.load
    assert (load.length_m, load.width_m, load.height_m) == (1.2, 0.8, 0.5)
    assert load.rigging is not None and (load.sling_m, load.rigging.legs[0].length_m) == (0.7, 0.7)


def test_a_sling_that_nobody_rated_is_not_entered() -> None:
    job = drawn(structs.replace(wish(), sling_rated_kg=None))
    assert [problem.where for problem in not_entered(job, job.poses[0])] == ["load.rigging.tag"]


@pytest.mark.parametrize("arms", [0, 1, 2])
def test_the_hook_comes_where_it_is_wished(arms: int) -> None:
    job = drawn(wish(arms=arms))
    hook = evaluate(job, job.poses[0]).placed.hook_m
    assert hook.x - job.truck.front_overhang_m.best == pytest.approx(2.0, abs=0.02)
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


def test_a_sketch_stands_clear_of_the_truck() -> None:
    level = Estimate(best=0.0, known="measured")
    job = sketch(structs.replace(wish(), fall_along=level, fall_across=level))
    verdict = evaluate(job, job.poses[0])
    assert not room_of(job, job.poses[0], verdict.placed, verdict.hanging).short_at_worst


def test_the_persons_own_sizes_stay() -> None:
    metric = wish(arms=2)
    own = structs.replace(metric, arm_lengths_m=(0.5, 0.3), boom=made(metric).boom)
    job = drawn(own)
    assert [arm.length_m for arm in job.rig.arms] == [0.5, 0.3]
    assert job.rig.boom.section == own.boom and Catalogue(own).parts[0].sizes == (own.boom,)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_pieces_go_together_by_hand_sums(units: System) -> None:
    """A bed as wide as boom, packing and play; lugs that stand on their tube round the sleeve; a cap with ledges."""
    one = wish("2.5 t" if units == "metric" else "5,000 lb pneumatic", arms=2, units=units)
    job, make = drawn(one), made(one)
    saddles, rig = job.rig.saddles, job.rig
    assert saddles.bed_section is not None and saddles.cap is not None
    packed = rig.boom.section.width_m + 2.0 * (saddles.shim_side_m + (saddles.side_gap_m or 0.0))
    assert saddles.bed_section.width_m == pytest.approx(packed, abs=2e-6)
    assert saddles.seat_m == pytest.approx(
        saddles.bed_section.depth_m + saddles.cap.thickness_m + saddles.shim_top_m, abs=1e-6
    )
    assert saddles.cap.length_m >= rig.jib_mast.section.depth_m + 2.0 * make.sizes["weld of the mast's top"]
    assert rig.sleeves.cross_section.width_m == rig.jib_mast.section.depth_m
    tubes = (rig.boom.section, *(arm.section for arm in rig.arms))
    for before, arm in zip(tubes, rig.arms, strict=False):
        lugs, sleeve = arm.hinge.inner_end, arm.hinge.outer_end
        between = before.depth_m + 2.0 * lugs.packing_m
        assert between == pytest.approx(sleeve.length_m + 2.0 * arm.hinge.gap_m, abs=2e-6)
        assert arm.hinge.spacing_m == pytest.approx(between + lugs.thickness_m, abs=2e-6)
        assert lugs.width_m <= before.width_m


@pytest.mark.parametrize(("units", "truck"), [(units, name) for units, names in OFFERED.items() for name in names])
def test_a_heel_pin_has_a_diameter_and_a_half_below_its_middle_and_none_thicker_would(
    units: System, truck: str
) -> None:
    job = drawn(wish(truck, arms=0, units=units))
    tube, fork, hold = job.rig.sleeves.section, job.truck.forks, job.rig.sleeves.heel_hold
    assert isinstance(hold, HeelPin) and hold.below_m is not None
    assert 0.001 <= hold.below_m <= 0.003, "play under the fork"
    under_fork_m = tube.depth_m - tube.wall_m - fork.thickness_m - hold.below_m
    assert under_fork_m - hold.pin.diameter_m / 2.0 >= 1.5 * hold.pin.diameter_m - 1e-6
    mm, inch = (0.012, 0.016, 0.02, 0.025, 0.03, 0.035, 0.04, 0.05), (1 / 2, 5 / 8, 3 / 4, 7 / 8, 1, 1.25, 1.5, 2)
    thicker = [size for size in (mm if units == "metric" else [0.0254 * one for one in inch]) if size > hold.pin.hole_m]
    assert all(under_fork_m - size / 2.0 < 1.5 * size for size in thicker)
    (hole,) = (row for row in piece_holes(job) if row.piece.startswith("sleeve"))
    assert hole.from_edge_m == pytest.approx(under_fork_m - hold.pin.diameter_m / 2.0)


def told_of_lugs(job: Job) -> list[str]:
    return [one.where for one in cautions(job, job.poses[0]) if "lug_edge_m" in one.where]


@pytest.mark.parametrize("units", ["metric", "us"])
def test_lugs_keep_a_diameter_and_a_half_beside_the_pin_whatever_pin_is_asked_for(units: System) -> None:
    """A pin of 50 mm or 2 in is asked for; a 4 x 4 x 1/4 in tube has a flat of 3 in, which takes one of 1 in."""
    one = wish("2.5 t" if units == "metric" else "5,000 lb pneumatic", arms=2, units=units)
    thickest = dict.fromkeys(("pin of arm 1", "pin of arm 2"), 0.05 if units == "metric" else 2.0 * 0.0254)
    make = structs.replace(made(one), sizes=made(one).sizes | thickest)
    inch = 0.0254
    if units == "us":
        make = structs.replace(make, boom=RectTube(width_m=4 * inch, depth_m=4 * inch, wall_m=inch / 4))
    job = draft(one, make, Layout(foot_x_m=0.65))
    for before, arm in zip((make.boom, *make.arms), job.rig.arms, strict=False):
        lugs = arm.hinge.inner_end
        assert isinstance(lugs, FaceLugs)
        assert lugs.width_m <= before.width_m - 4.0 * before.wall_m + 1e-6
        assert min(arm.hinge.lug_edge_m, lugs.width_m / 2.0) >= 1.5 * arm.hinge.pin.diameter_m - 1e-6
    if units == "us":
        assert job.rig.arms[0].hinge.pin.diameter_m == pytest.approx(inch)
    assert not told_of_lugs(job)


def test_only_a_tube_that_the_person_chose_has_lugs_with_less_beside_the_pin() -> None:
    """60 x 60 x 4 mm has 44 mm of flat: 22 mm beside a pin of 16 mm, where 24 mm is wanted."""
    one, narrow = wish(arms=2), RectTube(width_m=0.06, depth_m=0.06, wall_m=0.004, wall_lost_m=None)
    own = structs.replace(one, boom=narrow)
    catalogue = Catalogue(own)
    assert narrow in catalogue.parts[catalogue.place["boom"]].sizes
    assert narrow not in catalogue.parts[catalogue.place["arm 1"]].sizes, "it would carry arm 2"
    assert narrow in catalogue.parts[catalogue.place["arm 2"]].sizes
    job = draft(own, structs.replace(made(one), boom=narrow), Layout(foot_x_m=0.65))
    assert job.rig.arms[0].hinge.pin.diameter_m == pytest.approx(0.016)
    assert told_of_lugs(job) == ["rig.arms[0].hinge.lug_edge_m"]


@pytest.mark.parametrize("units", ["metric", "us"])
def test_stops_are_drawn_at_the_last_whole_five_degrees_before_an_arms_side_meets_the_tube_before_it(
    units: System,
) -> None:
    """The corner stands at 180 degrees less atan(w/2 / reach); the arm's side meets it asin((own/2)/its way) sooner."""
    job = drawn(wish("2.5 t" if units == "metric" else "5,000 lb pneumatic", arms=2, units=units))
    before_m = job.rig.boom.section.width_m
    for arm in job.rig.arms:
        lugs, half_m = arm.hinge.inner_end, arm.section.width_m / 2.0
        assert isinstance(lugs, FaceLugs)
        corner_m = math.hypot(lugs.reach_m, before_m / 2.0)
        met_deg = 180.0 - math.degrees(math.atan2(before_m / 2.0, lugs.reach_m) + math.asin(half_m / corner_m))
        for stop_deg in (math.degrees(arm.turn_max_rad), -math.degrees(arm.turn_min_rad)):
            assert stop_deg == pytest.approx(5.0 * round(stop_deg / 5.0), abs=1e-9)
            assert met_deg - 5.0 < stop_deg <= met_deg
        assert 60.0 <= stop_deg < 120.0
        before_m = arm.section.width_m


@pytest.mark.parametrize(
    ("units", "boom", "beds"),
    [
        ("metric", 60, {75, 80}),
        ("metric", 75, {100}),
        ("metric", 80, {100}),
        ("metric", 100, {120}),
        ("metric", 120, {150}),  # 15 mm at each side: no tube of 126 to 145 mm is on the list
        ("metric", 150, {160}),
        ("us", 2, {2.5, 3}),
        ("us", 3, {4}),
        ("us", 4, {5}),
        ("us", 5, {6}),
        ("us", 6, {8}),  # 1 in at each side: no tube of 7 in is on the list
    ],
)
def test_a_bed_is_wider_than_its_boom_by_thin_shims_and_play(units: System, boom: float, beds: set[float]) -> None:
    """Side shim: (bed - boom)/2 less 2 mm or 1/16 in of play; 3 to 11 mm but for two booms."""
    unit, play = (0.001, 2.0) if units == "metric" else (0.0254, 1.0 / 16.0)
    one = wish("2.5 t" if units == "metric" else "5,000 lb pneumatic", arms=0, units=units)
    catalogue = Catalogue(one)
    booms, sizes = (catalogue.parts[catalogue.place[name]].sizes for name in ("boom", "bed"))
    at = next(index for index, tube in enumerate(booms) if tube.width_m == pytest.approx(boom * unit))
    choice = [0] * len(catalogue.parts)
    choice[catalogue.place["boom"]] = at
    fits = [tube for index, tube in enumerate(sizes) if catalogue.fits("bed", index, choice)]
    assert {round(tube.width_m / unit, 3) for tube in fits} == beds
    make = structs.replace(made(one), boom=booms[at], bed=fits[0])
    shim_m = first_joints.saddles(make, 0.5).shim_side_m
    assert shim_m == pytest.approx(((fits[0].width_m / unit - boom) / 2.0 - play) * unit, abs=1e-6)
    assert boom in (120, 6) or 0.003 - 1e-6 <= shim_m <= 0.0112


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_beds_sides_on_its_cap_are_filled_grooves_and_its_ends_fillets_on_its_flat(units: System) -> None:
    """The cap reaches past the bed's round corners, radius 2 t: AISC 360 Table J2.2 gives the groove 5/8 of that.

    By gas metal arc, from 10 mm of radius on, and never more than the thinner part: the bed's wall or the cap.
    """
    job = drawn(wish("2.5 t" if units == "metric" else "5,000 lb pneumatic", arms=1, units=units))
    saddles, bed = job.rig.saddles, job.rig.saddles.bed_section
    assert isinstance(bed, RectTube) and saddles.cap is not None and saddles.bed is not None
    assert saddles.cap.width_m > bed.width_m and bed.wall_m >= 0.005
    entered = saddles.bed.mount.weld_bed
    assert (entered.kind, entered.process) == ("flare_bevel", "gas_metal_arc")
    laid = mount_of(job.rig, job.policy).below_bed
    assert laid is not None and not laid.group.left_out
    assert {line.face: line.kind for line in laid.group.lines} == {
        "front": "fillet", "back": "fillet", "left": "flare_bevel", "right": "flare_bevel",
    }  # fmt: skip
    wall_m = bed.wall_m - 0.0005  # half a millimetre for rust where nobody has looked
    throat_m = min(5.0 / 8.0 * 2.0 * bed.wall_m, wall_m, saddles.cap.thickness_m)
    fused_Pa = 0.60 * 290e6  # a face as wide as the throat, of unknown steel: less than an E70 electrode is worth
    sides = [line for line in laid.group.lines if line.kind == "flare_bevel"]
    allowed = throat_m * fused_Pa * 0.70 / (1.20 * 3.0)
    assert [line.allowed_N_m for line in sides] == pytest.approx([allowed, allowed])
    bed_end_m = max(job.rig.jib_mast.section.depth_m / 2.0, saddles.strap_length_m / 2.0 + saddles.strap_weld.leg_m)
    touching_m = 2.0 * min(bed_end_m, saddles.cap.length_m / 2.0)
    assert [line.length_m for line in sides] == pytest.approx([touching_m, touching_m])


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("leg", [0, -1])
@pytest.mark.parametrize("thick", [0, -1])
def test_a_torch_gets_below_a_straps_foot_and_the_bed_is_welded_before_the_straps_go_on(
    units: System, leg: int, thick: int
) -> None:
    """20 mm are left between the toe of the weld below a leg and the cap; the groove of the bed lies behind."""
    one = wish("2.5 t" if units == "metric" else "5,000 lb pneumatic", arms=0, units=units)
    sizes, listed = made(one).sizes, first_joints.piece_sizes(units, 0)
    name = "weld at the straps' feet"
    make = structs.replace(made(one), sizes=sizes | {name: listed[name][leg], "strap": listed["strap"][thick]})
    job = draft(one, make, Layout(foot_x_m=0.65))
    saddles, bed = job.rig.saddles, job.rig.saddles.bed_section
    assert isinstance(bed, RectTube) and isinstance(saddles.strap_foot, StrapLapped)
    left_m = bed.depth_m - saddles.strap_foot.lap_m - saddles.strap_weld.leg_m
    assert left_m >= 0.020 - 1e-6
    assert left_m >= 2.0 * bed.wall_m - 1e-6, "the weld lies on the flat of the bed's side"
    steps = [step.words for step in assembly_steps(job)]
    (welded,) = (at for at, words in enumerate(steps) if words.startswith("Weld the saddle bed to the cap before"))
    (tacked,) = (at for at, words in enumerate(steps) if words.startswith("Tack the straps to the bed"))
    assert welded < tacked


def test_every_size_comes_from_a_list_that_grows() -> None:
    for units in ("metric", "us"):
        for sizes in first_joints.piece_sizes(units, 2).values():
            assert list(sizes) == sorted(set(sizes)) and len(sizes) >= 3


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"reach": 0.2}, "reach"),
        ({"height": 9.0}, "hook height"),
        ({"height": 0.1}, "hook height"),
        ({"arms": 5}, "arms"),
        ({"arms": 0, "side": 0.1}, "side"),
        ({"arms": 1, "side": 0.6}, "side"),
    ],
)
def test_a_wish_that_cannot_be_drawn_is_refused_with_its_place(changes: dict[str, float], place: str) -> None:
    with pytest.raises(EditError) as refusal:
        sketch(wish(**changes))
    assert refusal.value.where == place


def test_arms_are_added_and_removed_with_their_poses() -> None:
    job = drawn(wish(arms=0))
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
    job = drawn(wish(arms=2))
    with pytest.raises(ValueError, match="arms"):
        for _ in range(8):
            job = edits.add_arm(job)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_lug_is_as_wide_as_the_flat_in_steps_of_the_shop(units: System) -> None:
    inch = 0.0254
    tube = (
        RectTube(width_m=0.1, depth_m=0.1, wall_m=0.0063)
        if units == "metric"
        else RectTube(width_m=4 * inch, depth_m=4 * inch, wall_m=inch / 4)
    )
    expected_m = 0.074 if units == "metric" else 3 * inch  # 100 - 4 x 6.3 = 74.8 mm, whole; 4 in - 4 x 1/4 in
    assert first_joints.lug_width_m(tube, units) == pytest.approx(expected_m, abs=1e-9)


def test_no_weld_is_drawn_larger_than_the_next_leg_over_the_thinnest_part_it_stands_on() -> None:
    one = wish(arms=2)
    make = structs.replace(made(one), sizes=made(one).sizes | {"weld of the mast's foot": 0.012})
    rig = draft(one, make, Layout(foot_x_m=0.65)).rig
    thinner_m = min(make.mast.wall_m, make.cross.wall_m)
    assert rig.jib_mast.foot_weld.leg_m < thinner_m + 0.002
    assert rig.jib_mast.foot_weld.leg_m < 0.012


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("walls", [5, 6, 8])
def test_one_leg_is_right_for_a_lug_on_its_packing_and_for_the_packing_on_the_tube(units: System, walls: int) -> None:
    """The least of AISC 360 Table J2.4 for the thinner of lug and packing, and no more than the next leg over the wall.

    Above and below, both fillets lie on the packing's edge.
    """
    one = wish("2.5 t" if units == "metric" else "5,000 lb pneumatic", arms=1, units=units)
    most, inch = ({"lug of arm 1": 0.025, "weld of the lugs of arm 1": 0.012}, 0.0254)
    tube = {
        ("metric", 5): RectTube(width_m=0.1, depth_m=0.1, wall_m=0.005),
        ("metric", 6): RectTube(width_m=0.1, depth_m=0.1, wall_m=0.0063),
        ("metric", 8): RectTube(width_m=0.1, depth_m=0.1, wall_m=0.008),
        ("us", 5): RectTube(width_m=3 * inch, depth_m=3 * inch, wall_m=3 * inch / 16),
        ("us", 6): RectTube(width_m=4 * inch, depth_m=4 * inch, wall_m=inch / 4),
        ("us", 8): RectTube(width_m=4 * inch, depth_m=4 * inch, wall_m=3 * inch / 8),
    }[units, walls]
    make = structs.replace(made(one), sizes=made(one).sizes | most, boom=tube)
    end = draft(one, make, Layout(foot_x_m=0.65)).rig.arms[0].hinge.inner_end
    assert isinstance(end, FaceLugs) and end.weld is not None
    thinner_m = min(end.thickness_m, end.packing_m)
    asked_m = 0.008 if thinner_m > 0.0192 else 0.006 if thinner_m > 0.0128 else 0.0047
    assert asked_m - 0.0001 <= end.weld.leg_m < tube.wall_m + 0.001
    assert end.packing_m >= 2.0 * end.weld.leg_m
