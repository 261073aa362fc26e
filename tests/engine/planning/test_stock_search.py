"""From the rack to a rig: cuttable, lightest first, every job judged again."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.base.errors import RigFileError
from engine.planning.stock_rigs import arm_step_m, hole_outs_m, shapes
from engine.planning.stock_search import RackRig, StockSearch, search
from engine.planning.stock_tubes import tubes_of
from engine.planning.sweep import Stopped
from engine.rig.feasibility import boom_limits_m
from engine.rig.kinematics import figures, hole_out_m, place
from engine.schema import rig_file
from engine.schema.model import Approval, Job, NoGo, Rig, Stock, Surrounding, TrialLift, WantedJob
from engine.schema.quantities import Estimate
from engine.schema.sections import FlatBar, RectTube, SolidRound
from engine.shop.cut_list import pieces
from engine.shop.cutting_plan import cutting_plan
from engine.strength.all_parts import outer_checks
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
PATTERN = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")


def tube(name: str, side: float, wall: float, length: float = 6.0, condition: str = "good", **more: object) -> Stock:
    return Stock(
        name=name,
        section=RectTube(width_m=side, depth_m=side, wall_m=wall),
        length_m=length,
        condition=condition,
        **more,
    )


RACK = (
    tube("75 x 5", 0.075, 0.005),
    tube("100 x 6", 0.1, 0.006),
    tube("120 x 6", 0.12, 0.006, 1.5),
    tube("60 x 4 bent", 0.06, 0.004, condition="bent"),
    tube("100 x 8 rusty", 0.1, 0.008, condition="rusty"),
)


def want(name: str, kg: float, height: float, ahead: float) -> WantedJob:
    return WantedJob(
        name=name,
        load_kg=Estimate(best=kg, known="weighed"),
        rigging_kg=15.0,
        hook_height_m=height,
        ahead_of_face_m=ahead,
    )


WANTS = (want("lintel", 300.0, 2.5, 1.1), want("sill", 120.0, 2.9, 1.7))


def asked(rack: tuple[Stock, ...] = RACK, wants: tuple[WantedJob, ...] = WANTS, pattern: Job = PATTERN) -> Job:
    return msgspec.structs.replace(pattern, stock=rack, wanted=wants)


@pytest.fixture(scope="module")
def three() -> StockSearch:
    return search(asked(), enough=3)


def test_rigs_come_lightest_first_and_do_every_job(three: StockSearch):
    assert three.rigs
    weights = [rig.rig_kg for rig in three.rigs]
    assert weights == sorted(weights)
    for rig in three.rigs:
        assert [result.wanted for result in rig.results] == ["lintel", "sill"]
        assert all(result.works for result in rig.results)


def test_each_is_a_whole_job_that_can_be_saved_and_judged_again(three: StockSearch):
    for rig in three.rigs:
        job = rig_file.decode(rig_file.encode(rig.job))
        assert job.load.mass_kg.best == 300.0
        assert evaluate(job, job.poses[0]).state == "WITHIN"


def test_the_hook_comes_where_each_job_wants_it(three: StockSearch):
    for rig in three.rigs:
        for result, wanted in zip(rig.results, WANTS, strict=True):
            hook = place(rig.job, figures(rig.job, result.pose)).hook_m
            ahead = float(hook.x) - rig.job.truck.front_overhang_m.best
            assert wanted.ahead_of_face_m <= ahead <= wanted.ahead_of_face_m + 0.001, "holes are marked to a millimetre"
            assert float(hook.z) == pytest.approx(wanted.hook_height_m)


def test_nothing_lighter_on_the_rack_does_them(three: StockSearch):
    """Every rig judged before the first that works is lighter and fails."""
    everything = search(asked(), enough=1000)
    assert everything.rigs[0].rig_kg == three.rigs[0].rig_kg
    assert everything.looked_at == everything.of


def test_bent_and_too_short_tubes_are_not_used_and_lengths_are_not_used_twice(three: StockSearch):
    names = {cut.tube for rig in search(asked(), enough=1000).rigs for cut in rig.cuts}
    assert "60 x 4 bent" not in names
    short = search(asked((tube("only", 0.1, 0.006, 3.2),)))
    assert (short.cut, short.nearest, short.looked_at) == (0, None, short.of)


def test_what_is_too_much_for_the_rack_names_the_nearest():
    outcome = search(asked(RACK[:1], (want("too much", 3000.0, 2.0, 1.5),)))
    assert outcome.rigs == ()
    assert outcome.nearest is not None
    assert outcome.nearest.use > 1.0


def test_progress_is_told_and_the_search_can_be_stopped():
    told: list[float] = []
    handed: list[tuple[RackRig, ...]] = []
    outcome = search(
        asked(wants=WANTS[:1]), enough=1, tell=lambda share, _trying="", /: told.append(share), so_far=handed.append
    )
    assert told == sorted(told)
    assert handed == [outcome.rigs[:1]]
    with pytest.raises(Stopped):
        search(asked(), stop=lambda: True)


def test_between_two_jobs_of_one_rig_the_search_asks_whether_to_stop():
    asked = {1: 0, 2: 0}
    for count in asked:

        def stop(count: int = count) -> bool:
            asked[count] += 1
            return False

        found = search(msgspec.structs.replace(PATTERN, stock=RACK[1:2], wanted=WANTS[-count:]), stop=stop)
        assert (found.of, found.looked_at, found.cut) == (1, 1, 1), "the same one rig is looked at"
    # One asking for the same job as entered, and one for it by the whole verdict.
    assert asked[2] == asked[1] + 2


def test_one_to_three_jobs_are_wanted():
    with pytest.raises(ValueError, match="1 to 3"):
        search(asked(wants=()))
    with pytest.raises(RigFileError, match="wanted"):
        rig_file.decode(rig_file.encode(asked(wants=(*WANTS, *(want(f"more {n}", 1.0, 1.0, 1.0) for n in (1, 2))))))


def test_an_approval_and_trial_lifts_stay_with_the_rig_they_are_of():
    approval = Approval(reference="A-17", date="2026-01-05", allowed_kg=500.0, lift_max_m=3.0)
    lift = TrialLift(pose=PATTERN.poses[0], load_kg=100.0, rear_kg=1500.0)
    pattern = msgspec.structs.replace(PATTERN, approval=approval, trial_lifts=(lift,))
    made = search(asked(pattern=pattern), enough=1).rigs[0].job
    assert made.approval is None
    assert made.trial_lifts == ()


# ---------------------------------------------------------------- what lies there


def test_of_the_rack_only_usable_stretches_of_tube_are_offered():
    zone = NoGo(from_m=2.0, to_m=2.1)
    rack = (
        tube("long", 0.1, 0.006, no_go=(zone,)),
        tube("pair", 0.1, 0.006, 1.5, count=2),
        tube("bent", 0.1, 0.006, condition="bent"),
        tube("rusty", 0.08, 0.005, condition="rusty"),
        tube("rusted through", 0.08, 0.001, condition="rusty"),
        Stock(name="flat", section=FlatBar(width_m=0.1, depth_m=0.01), length_m=3.0),
        Stock(name="bar", section=SolidRound(diameter_m=0.03), length_m=3.0),
        tube("pair", 0.1, 0.006, 1.5, count=2),
    )
    tubes = tubes_of(rack)
    assert [(offered.name, round(offered.length_m, 9)) for offered in tubes] == [
        ("long, stretch 1", 2.0), ("long, stretch 2", 3.9), ("pair, 1 of 2", 1.5), ("pair, 2 of 2", 1.5),
        ("pair, 1 of 2 (line 8)", 1.5), ("pair, 2 of 2 (line 8)", 1.5), ("rusty", 6.0),
    ]  # fmt: skip
    rusty = next(offered for offered in tubes if offered.name == "rusty")
    assert (rusty.section.wall_m, rusty.section.wall_lost_m) == (0.005, 0.001)
    assert len({offered.name for offered in tubes}) == len(tubes)


def test_lengths_that_are_alike_are_one_choice_and_all_of_them_can_be_cut():
    """Mast and boom take 1.44 m and 2.03 m: one length of 2.5 m gives one of them, two or sixty give both."""
    one, two, sixty = (search(asked((tube("100 x 6", 0.1, 0.006, 2.5, count=count),))) for count in (1, 2, 60))
    assert one.of == two.of == sixty.of == 1
    assert not one.rigs and [rig.rig_kg for rig in two.rigs] == [rig.rig_kg for rig in sixty.rigs] != []
    assert {cut.tube for cut in two.rigs[0].cuts} == {"100 x 6, 1 of 2", "100 x 6, 2 of 2"}


def test_a_stretch_left_out_is_never_cut_into():
    """Whole, the tube gives mast and boom; with old holes in the middle of it neither half does."""
    whole = tube("only", 0.1, 0.006, 3.6)
    holed = msgspec.structs.replace(whole, no_go=(NoGo(from_m=1.2, to_m=2.4),))
    assert search(asked((whole,))).cut > 0
    assert search(asked((holed,))).cut == 0


def test_a_rig_from_the_rack_is_cut_from_the_rack(three: StockSearch):
    """What the search took the cutting plan takes too; a rusty tube goes only where it was counted as rusty."""
    for rig in three.rigs:
        planned = {part: bar for bar in cutting_plan(rig.job) for part, _, _ in bar.cuts}
        for cut in rig.cuts:
            assert not planned[cut.part].bought
            assert planned[cut.part].stock == cut.tube


def test_a_rusty_tube_is_never_cut_for_a_part_drawn_with_its_whole_wall():
    section = PATTERN.rig.boom.section
    rusted = msgspec.structs.replace(section, wall_lost_m=0.001)
    for drawn, bought in ((section, True), (rusted, False)):
        rig = msgspec.structs.replace(PATTERN.rig, boom=msgspec.structs.replace(PATTERN.rig.boom, section=drawn))
        rusty = Stock(name="old", section=section, length_m=6.0, condition="rusty")
        bars = cutting_plan(msgspec.structs.replace(PATTERN, rig=rig, stock=(rusty,)))
        assert next(bar for bar in bars if "boom" in [part for part, _, _ in bar.cuts]).bought is bought


def test_bent_steel_is_in_no_cutting_plan():
    bent = Stock(name="bent", section=PATTERN.rig.boom.section, length_m=6.0, condition="bent")
    assert all(bar.stock != "bent" for bar in cutting_plan(msgspec.structs.replace(PATTERN, stock=(bent,))))


def test_on_a_floor_whose_fall_is_not_known_no_rig_does_a_job_and_no_limit_is_blamed():
    floor = msgspec.structs.replace(PATTERN.floors[0], fall_along=None)
    outcome = search(
        asked(wants=WANTS[:1], pattern=msgspec.structs.replace(PATTERN, floors=(floor, *PATTERN.floors[1:])))
    )
    assert outcome.rigs == () and outcome.nearest is not None
    (result,) = outcome.nearest.results
    assert not result.works and result.governing == "" and not result.use <= 1.0
    assert [problem.where for problem in result.problems] == ["floors[0].fall_along"]
    assert result.pose.lift_m > 0.0, "the hook is as high as wanted, as the rig is drawn"


# ---------------------------------------------------------------- holes, splits, and what is left open


@pytest.mark.parametrize(
    ("wanted_m", "outs_m"),
    [
        ([1.2], [1.2]),
        ([0.7, 1.2, 0.9], [1.2, 0.9, 0.7]),
        ([1.2, 1.2004], [1.201]),  # the hole is marked at the next millimetre
        ([1.2, 1.18], [1.2]),  # 20 mm past is nearer than 42 mm short, a hole's 62 mm away
        ([1.2, 1.15], [1.2, 1.138]),  # 12 mm short is nearer than 50 mm past
        ([1.2, 1.15, 1.1], [1.2, 1.138, 1.076]),
        ([0.42, 0.38], [0.42]),  # a hole set back would put the boom's end into the front saddle
    ],
)
def test_each_job_has_the_hole_that_suits_it_best_no_two_nearer_than_three_diameters(
    wanted_m: list[float], outs_m: list[float]
):
    """Holes of 20.5 mm want 61.5 mm, which to the millimetre is 62."""
    assert hole_outs_m(wanted_m, 0.0615, 0.38) == pytest.approx(outs_m)


def test_what_the_outer_parts_carry_depends_on_nothing_nearer_to_the_truck():
    """To the bit: other tubes for mast, boom and inner arm leave the outer ones' limits as they are."""
    job = rig_file.read(SAMPLES / "skerry_point_boatyard.rig.json")
    pose = msgspec.structs.replace(job.poses[0], hole=4)
    section = RectTube(width_m=0.08, depth_m=0.12, wall_m=0.005)

    def uses(rig: Rig, parts: tuple[str, ...]) -> list[tuple[str, float]]:
        changed = msgspec.structs.replace(job, rig=rig)
        placed = place(changed, figures(changed, pose))
        checks = outer_checks(changed, placed, with_boom=True)
        return [(check.name, float(check.use)) for check in checks if check.part in parts]

    def other(link: str, **more: object) -> Rig:
        changed = msgspec.structs.replace(getattr(job.rig, link), section=section, mass_kg=None, **more)
        return msgspec.structs.replace(job.rig, **{link: changed})

    inner = msgspec.structs.replace(job.rig.arms[0], section=section, mass_kg=None)
    arm = msgspec.structs.replace(job.rig, arms=(inner, job.rig.arms[1]))
    all_but_mast = ("arm 1", "arm 2", "arm 1 hinge", "arm 2 hinge", "boom", "boom pin", "rear strap", "front strap")
    arms = ("arm 1", "arm 2", "arm 2 hinge")
    for rig, parts in ((other("jib_mast"), all_but_mast), (other("boom"), arms), (arm, ("arm 2",))):
        assert uses(rig, parts) == uses(job.rig, parts) != []
        assert len({name.partition(":")[0] for name, _ in uses(rig, parts)}) == len(parts)


def test_a_search_cut_off_says_what_it_looked_at_and_nothing_left_is_lighter_than_it_says():
    everything = search(asked(), enough=1000)
    cut = search(asked(), enough=1000, most_looks=45)
    assert cut.was_cut_off and not everything.was_cut_off
    assert 0 < cut.looked_at < cut.of == everything.of == everything.looked_at
    seen = len(cut.rigs)
    assert 0 < seen < len(everything.rigs)
    assert [rig.rig_kg for rig in cut.rigs] == [rig.rig_kg for rig in everything.rigs[:seen]]
    assert cut.bound_kg is not None and everything.bound_kg is None
    assert cut.rigs[-1].rig_kg - 1e-9 <= cut.bound_kg <= everything.rigs[seen].rig_kg + 1e-9


def test_tube_on_edge_is_packed_out_in_the_patterns_saddles_and_cut_from_either_entry():
    """60 mm of tube where 100 mm stood, 8 mm of shim beside it: 28 mm of shim; the saddles gain that steel's weight."""
    section = RectTube(width_m=0.12, depth_m=0.06, wall_m=0.005, wall_known="caliper")
    lying = Stock(name="gate", section=section, length_m=6.0)
    (rig,) = search(asked((lying,)), enough=1).rigs
    made, saddles = rig.job.rig, PATTERN.rig.saddles
    assert (made.boom.section.width_m, made.boom.section.depth_m) == (0.06, 0.12)
    assert made.saddles.shim_side_m == pytest.approx(saddles.shim_side_m + 0.02)
    shim_kg = 4 * saddles.strap_length_m * 7850.0 * (0.028 * 0.12 - 0.008 * 0.1 + 0.001 * (0.06 - 0.1))
    # Either strap is as wide as it was, and each of its legs is 20 mm longer.
    leg_kg = 2 * 2 * 0.02 * saddles.strap_length_m * saddles.strap_thickness_m * 7850.0
    assert made.saddles.mass_kg.best == pytest.approx(saddles.mass_kg.best + shim_kg + leg_kg)
    notes = {piece.part: piece.note for piece in pieces(rig.job)}
    assert "on edge" in notes["boom"] and "deeper side along the truck" in notes["jib mast"]


def test_what_the_pattern_leaves_open_is_said_of_every_rig_and_its_own_tubes_leave_nothing_open():
    open_rig = msgspec.structs.replace(PATTERN, load=msgspec.structs.replace(PATTERN.load, rigging=None))
    found, proven = search(asked(pattern=open_rig)), search(asked())
    assert [rig.rig_kg for rig in found.rigs] == [rig.rig_kg for rig in proven.rigs] != []
    for rig in found.rigs:
        assert [problem.where for problem in rig.unproven] == ["load.rigging"]
        assert evaluate(rig.job, rig.job.poses[0]).state == "NOT PROVEN"
    assert all(rig.unproven == () for rig in proven.rigs)
    wide = Stock(name="wide", section=RectTube(width_m=0.14, depth_m=0.14, wall_m=0.006), length_m=6.0)
    assert search(asked((wide,))).rigs == (), "straps round a wider boom stand beside the bed"


def test_no_rig_is_offered_with_something_in_the_way(three: StockSearch):
    beam = Surrounding(name="beam", x0_m=1.3, x1_m=2.5, y0_m=-2.0, y1_m=2.0, z0_m=2.6, z1_m=2.9, known="measured")
    assert search(asked(pattern=msgspec.structs.replace(PATTERN, surroundings=(beam,)))).rigs == ()
    for rig in three.rigs:
        assert evaluate(msgspec.structs.replace(rig.job, surroundings=(beam,)), rig.job.poses[0]).room.short


def test_a_hook_that_does_not_come_down_or_come_in_is_said():
    low = search(asked(wants=(want("sill", 100.0, 1.2, 1.5),)))
    assert low.rigs == () and low.nearest is not None
    (result,) = low.nearest.results
    assert result.governing == "hook height" and result.pose.lift_m == PATTERN.truck.upright.lift_min_m
    near = search(asked(wants=(want("near", 50.0, 2.5, 0.3),))).nearest
    assert near is not None
    (result,) = near.results
    assert hole_out_m(near.job.rig, 1) == pytest.approx(boom_limits_m(near.job)[0], abs=0.001), "the boom is right in"
    hook = place(near.job, figures(near.job, result.pose)).hook_m
    ahead_m = float(hook.x) - near.job.truck.front_overhang_m.best
    assert result.off_m == pytest.approx(ahead_m - 0.3) and result.off_m > 0.05


def test_in_us_units_arms_come_in_steps_of_four_inches_booms_of_half_an_inch_and_holes_of_a_thirty_second():
    pattern = msgspec.structs.replace(read_once(SAMPLES / "skerry_point_boatyard.rig.json"), units="us")
    wanted = (want("near", 100, 2.0, 1.6), want("far", 80, 2.0, 2.6))
    own_m = {arm.length_m for arm in pattern.rig.arms}
    found = list(shapes(pattern, wanted))
    lengths_in = {arm_m / 0.0254 for shape in found for arm_m in shape.arms_m if arm_m not in own_m}
    assert {8.0, 12.0, 16.0} <= {round(length, 3) for length in lengths_in}
    assert all(length == pytest.approx(4.0 * round(length / 4.0), abs=1e-4) for length in lengths_in)
    for shape in found:
        assert shape.boom_m / 0.0127 == pytest.approx(round(shape.boom_m / 0.0127), abs=1e-3)
        assert all(step / 0.00079375 == pytest.approx(round(step / 0.00079375), abs=0.01) for step in shape.steps_m)
    assert arm_step_m(2, "us") == pytest.approx(4 * 0.0254) and arm_step_m(2, "metric") == 0.1
