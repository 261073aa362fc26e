"""From the rack to a rig: cuttable, lightest first, every job judged again."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.base.errors import RigFileError
from engine.planning.stock_search import StockSearch, search
from engine.planning.stock_tubes import tubes_of
from engine.planning.sweep import Stopped
from engine.rig.kinematics import figures, place
from engine.schema import rig_file
from engine.schema.model import Approval, Job, NoGo, Stock, TrialLift, WantedJob
from engine.schema.quantities import Estimate
from engine.schema.sections import FlatBar, RectTube, SolidRound
from engine.shop.cutting_plan import cutting_plan
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
    search(asked(wants=WANTS[:1]), enough=1, tell=told.append)
    assert told == sorted(told)
    with pytest.raises(Stopped):
        search(asked(), stop=lambda: True)


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
