"""Bought gear and slings against their marks: the worked examples, hand sums, and what is not entered or refused."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from rigs import BOATYARD, REPLACE, STONE_YARD

from engine.rig.check import Check
from engine.rig.completeness import not_entered
from engine.rig.kinematics import figures, place
from engine.rig.sling_legs import (
    Hang,
    choke_factor,
    hang,
    impossible,
    in_two_legs,
    leg_rating_kg,
    level_lengths_m,
)
from engine.schema.connections import (
    ChainHoist,
    Gear,
    Rigging,
    RiggingPart,
    SlingLeg,
    SlingPoints,
    SlingTag,
    Spreader,
)
from engine.schema.migration import migrated
from engine.schema.model import Job
from engine.shop.gear_list import gear_list
from engine.strength import all_parts
from engine.strength.cautions import cautions
from engine.worst_case.verdict import evaluate

G = 9.80665
FOUR_FIGURES = 5e-4
TAG = SlingTag(vertical_kg=1000.0)
TWO = Rigging(hitch="two_leg", legs=(SlingLeg(length_m=1.0),) * 2, points=SlingPoints(a_m=0.6, b_m=0.6), tag=TAG)
HOOK = Gear(kind="hook", name="big hook", wll_kg=1000.0)


def with_rigging(rigging: Rigging | None, *gear: Gear, job: Job = STONE_YARD) -> Job:
    job = REPLACE(job, load=REPLACE(job.load, rigging=rigging))
    return REPLACE(job, rig=REPLACE(job.rig, hook=REPLACE(job.rig.hook, gear=gear or (HOOK,))))


def told(job: Job, load_kg: float | None = None) -> dict[tuple[str, str], Check]:
    numbers = figures(job, job.poses[0])
    if load_kg is not None:
        numbers = REPLACE(numbers, load_kg=load_kg)
    return {(check.part, check.kind): check for check in all_parts.checks(job, place(job, numbers))}


def hung_N(job: Job) -> float:
    return (job.load.mass_kg.best + job.load.rigging_kg.best) * G * job.policy.dynamic_factor


def of(rigging: Rigging) -> Hang:
    found = hang(rigging)
    assert found is not None
    return found


# ---------------------------------------------------------------- angles and pulls


@pytest.mark.parametrize(("level_deg", "share"), [(60.0, 0.5774), (45.0, 0.7071), (30.0, 1.0)])
def test_each_of_two_legs_pulls_more_the_flatter_it_is(level_deg: float, share: float) -> None:
    half = math.cos(math.radians(level_deg))
    legs = of(REPLACE(TWO, points=SlingPoints(a_m=half, b_m=half))).legs
    assert [leg.share for leg in legs] == pytest.approx([share] * 2, rel=FOUR_FIGURES)
    assert [math.degrees(leg.from_level_rad) for leg in legs] == pytest.approx([level_deg] * 2)


def test_two_legs_of_a_metre_over_a_metre_twenty() -> None:
    """340 kg: 53.13 degrees from level, 212.5 kg in each."""
    legs = of(TWO).legs
    assert math.degrees(legs[0].from_level_rad) == pytest.approx(53.13, rel=FOUR_FIGURES)
    assert 340.0 * legs[0].share == pytest.approx(212.5)


def test_a_centre_that_is_not_in_the_middle_tips_the_load() -> None:
    """a 0.4, b 0.8, above 0.3, legs of 1.0: 10.31 degrees, 259.8 and 158.4 of 340 kg, 63.4 and 42.8 degrees."""
    rigging = REPLACE(TWO, points=SlingPoints(a_m=0.4, b_m=0.8, above_m=0.3))
    hung = of(rigging)
    assert math.degrees(hung.tipped_rad) == pytest.approx(10.31, rel=FOUR_FIGURES)
    assert [340.0 * leg.share for leg in hung.legs] == pytest.approx([259.8, 158.4], rel=FOUR_FIGURES)
    assert [math.degrees(leg.from_level_rad) for leg in hung.legs] == pytest.approx([63.4, 42.8], abs=0.05)
    level = tuple(SlingLeg(length_m=length) for length in (0.8944, 1.1314))
    hung = of(REPLACE(rigging, legs=level))
    assert abs(math.degrees(hung.tipped_rad)) < 0.01
    assert [340.0 * leg.share for leg in hung.legs] == pytest.approx([253.4, 160.3], rel=FOUR_FIGURES)
    assert [math.degrees(leg.from_level_rad) for leg in hung.legs] == pytest.approx([63.43, 45.0], rel=FOUR_FIGURES)


def test_pulls_balance_the_weight_whatever_the_legs() -> None:
    """In the turned shape: what both legs hold up is the whole, and what they pull aside cancels."""
    for first, second, a, b, above in (
        (1.0, 1.0, 0.4, 0.8, 0.3),
        (0.7, 1.3, 0.5, 0.4, -0.2),
        (2.0, 1.6, 0.1, 0.9, 0.0),
    ):
        hung = in_two_legs(first, second, SlingPoints(a_m=a, b_m=b, above_m=above))
        assert hung is not None
        one, other = hung.legs
        assert one.share * math.sin(one.from_level_rad) + other.share * math.sin(other.from_level_rad) == (
            pytest.approx(1.0)
        )
        assert one.share * math.cos(one.from_level_rad) == pytest.approx(other.share * math.cos(other.from_level_rad))


def test_of_four_legs_two_carry_all() -> None:
    assert of(REPLACE(TWO, legs=TWO.legs * 2)) == of(TWO)


@pytest.mark.parametrize(
    ("degrees", "factor"),
    [(135.0, 1.0), (120.1, 1.0), (120.0, 0.87), (90.0, 0.87), (89.0, 0.74), (60.0, 0.74), (30.0, 0.62), (29.0, 0.49)],
)
def test_a_choker_is_rated_by_its_angle_of_choke(degrees: float, factor: float) -> None:
    assert choke_factor(math.radians(degrees)) == factor


def test_ratings_of_a_leg_by_hitch() -> None:
    """800 kg choked at 100 degrees: 696, two legs at 60: 1,205.5; a basket of 1,000 at 60: 1,732."""
    choker = REPLACE(
        TWO,
        hitch="choker",
        tag=SlingTag(choker_kg=800.0),
        choke_angle_rad=math.radians(100.0),
        points=SlingPoints(a_m=0.5, b_m=0.5),
    )
    rated_kg = leg_rating_kg(choker)
    assert rated_kg == pytest.approx(696.0)
    assert rated_kg is not None and rated_kg / of(choker).legs[0].share == pytest.approx(1205.5, rel=FOUR_FIGURES)
    basket = REPLACE(TWO, hitch="basket", legs=TWO.legs[:1], points=SlingPoints(a_m=0.5, b_m=0.5))
    assert 1000.0 / of(basket).legs[0].share == pytest.approx(1732.0, rel=FOUR_FIGURES)
    assert leg_rating_kg(REPLACE(basket, tag=SlingTag(vertical_kg=1000.0, basket_kg=1800.0))) == 900.0
    # A set rated 2,000 kg at 45 degrees: 2,000 / (2 sin 45) in each leg.
    of_set = REPLACE(TWO, tag=SlingTag(vertical_kg=2000.0, legs_at_rad=math.radians(45.0)))
    assert leg_rating_kg(of_set) == pytest.approx(1414.2, rel=FOUR_FIGURES)


def test_top_legs_of_a_spreader() -> None:
    """0.9 m to the ends of a 1.2 m beam: 48.19 degrees, 238.1 kg of 355."""
    beam = Rigging(
        hitch="spreader", legs=(SlingLeg(length_m=0.9),), spreader=Spreader(length_m=1.2, wll_kg=500.0), tag=TAG
    )
    leg = of(beam).legs[0]
    assert math.degrees(leg.from_level_rad) == pytest.approx(48.19, rel=FOUR_FIGURES)
    assert 355.0 * leg.share == pytest.approx(238.1, rel=FOUR_FIGURES)


# ---------------------------------------------------------------- checks


def test_gear_carries_the_hook_load_as_felt() -> None:
    chain = Gear(kind="chain", name="chain", wll_kg=600.0, legs=2, angle_rad=math.radians(45.0))
    checks = told(with_rigging(TWO, HOOK, chain))
    assert float(checks["big hook", "mark"].demand) == pytest.approx(hung_N(STONE_YARD), rel=1e-3)
    assert float(checks["big hook", "mark"].allowed) == pytest.approx(1000.0 * G)
    assert float(checks["chain", "mark"].allowed) == pytest.approx(2.0 * 600.0 * G * math.cos(math.radians(45.0)))
    assert not [key for key in checks if key[1] == "angle of the legs"]


def test_each_leg_is_held_against_its_tag() -> None:
    checks = told(with_rigging(TWO))
    for leg in ("sling leg 1", "sling leg 2"):
        assert float(checks[leg, "tag"].demand) == pytest.approx(0.625 * hung_N(STONE_YARD), rel=1e-3)
        assert float(checks[leg, "tag"].allowed) == pytest.approx(1000.0 * G)


def test_parts_hoist_and_spreader_each_carry_everything() -> None:
    rigging = REPLACE(TWO, parts=(RiggingPart(name="ring", wll_kg=1500.0),), hoist=ChainHoist(wll_kg=500.0))
    checks = told(with_rigging(rigging))
    assert float(checks["ring", "mark"].use) == pytest.approx(hung_N(STONE_YARD) / (1500.0 * G), rel=1e-3)
    assert float(checks["chain hoist", "mark"].use) == pytest.approx(hung_N(STONE_YARD) / (500.0 * G), rel=1e-3)


@pytest.mark.parametrize("key", [("big hook", "mark"), ("sling leg 1", "tag")])
def test_the_allowed_load_by_bisection(key: tuple[str, str]) -> None:
    job = with_rigging(TWO)
    low, high = 0.0, 1e5
    for _ in range(80):
        middle = (low + high) / 2.0
        low, high = (middle, high) if float(told(job, middle)[key].use) <= 1.0 else (low, middle)
    assert low == pytest.approx(float(told(job)[key].allowed_load_kg), rel=1e-9)


def test_a_sling_too_weak_is_over_and_a_stronger_one_is_not() -> None:
    weak = with_rigging(REPLACE(TWO, tag=SlingTag(vertical_kg=250.0)))
    verdict = evaluate(weak, weak.poses[0])
    assert verdict.state == "OVER" and verdict.governing is not None and verdict.governing.kind == "tag"
    strong = with_rigging(TWO)
    assert evaluate(strong, strong.poses[0]).state == "WITHIN"


@pytest.mark.parametrize(
    ("level_deg", "over", "told_of"),
    [(60.5, False, False), (59.0, False, True), (30.1, False, True), (29.9, True, False)],
)
def test_flat_legs_are_cautioned_and_under_thirty_degrees_over(level_deg: float, over: bool, told_of: bool) -> None:
    half = math.cos(math.radians(level_deg))
    rigging = REPLACE(TWO, points=SlingPoints(a_m=half, b_m=half), tag=SlingTag(vertical_kg=5000.0))
    job = with_rigging(rigging)
    flat = [check for key, check in told(job).items() if key[1] == "angle of the legs"]
    assert [math.isinf(float(check.use)) for check in flat] == [True, True] * over
    assert all(float(check.allowed_load_kg) <= 0.0 for check in flat)
    assert (evaluate(job, job.poses[0]).state == "OVER") == over
    raised = [caution for caution in cautions(job, job.poses[0]) if caution.where == "load.rigging.legs"]
    assert bool(raised) == told_of
    empty = REPLACE(job.poses[0], loaded=False)
    assert evaluate(job, empty).state == "WITHIN"


def test_flat_legs_of_gear_on_the_hook_are_over_too() -> None:
    chain = Gear(kind="chain", name="chain", wll_kg=5000.0, legs=2, angle_rad=math.radians(61.0))
    job = with_rigging(TWO, chain)
    assert evaluate(job, job.poses[0]).state == "OVER"
    single = REPLACE(chain, legs=1)
    assert evaluate(with_rigging(TWO, single), job.poses[0]).state == "WITHIN"


def test_a_load_out_of_level_is_over_and_level_legs_put_it_right() -> None:
    bad = REPLACE(TWO, points=SlingPoints(a_m=0.4, b_m=0.8, above_m=0.3), tag=SlingTag(vertical_kg=5000.0))
    job = with_rigging(bad)
    check = told(job)["rigging", "load out of level"]
    assert evaluate(job, job.poses[0]).state == "OVER"
    lengths = check.numbers["first"], check.numbers["second"]
    assert lengths == pytest.approx((0.8944, 1.1314), rel=FOUR_FIGURES)
    assert level_lengths_m(bad) == lengths
    good = with_rigging(REPLACE(bad, legs=tuple(SlingLeg(length_m=float(length)) for length in lengths)))
    assert ("rigging", "load out of level") not in told(good)
    long = REPLACE(good, load=REPLACE(good.load, sling_m=0.8))
    assert evaluate(long, long.poses[0]).state == "WITHIN"


# ---------------------------------------------------------------- not entered, refused


@pytest.mark.parametrize(
    ("change", "where"),
    [
        (lambda r: None, "load.rigging"),
        (lambda r: REPLACE(r, points=None), "load.rigging.points"),
        (lambda r: REPLACE(r, tag=None), "load.rigging.tag"),
        (lambda r: REPLACE(r, tag=SlingTag()), "load.rigging.tag.vertical_kg"),
        (lambda r: REPLACE(r, hitch="choker"), "load.rigging.tag.choker_kg"),
        (lambda r: REPLACE(r, hitch="spreader"), "load.rigging.spreader"),
        (lambda r: REPLACE(r, hitch="spreader", spreader=Spreader(length_m=1.0)), "load.rigging.spreader.wll_kg"),
        (lambda r: REPLACE(r, hoist=ChainHoist()), "load.rigging.hoist.wll_kg"),
        (lambda r: REPLACE(r, parts=(RiggingPart(name="ring"),)), "load.rigging.parts[0].wll_kg"),
    ],
)
def test_what_is_not_said_of_the_rigging_is_not_proven(change: Callable[[Rigging], Rigging | None], where: str) -> None:
    job = with_rigging(change(TWO))
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "NOT PROVEN"
    assert [problem.where for problem in verdict.not_entered] == [where]
    assert not not_entered(job, REPLACE(job.poses[0], loaded=False))


def test_an_unrated_hook_and_an_empty_list_are_not_proven() -> None:
    for gear, where in (((), "rig.hook.gear"), ((REPLACE(HOOK, wll_kg=None),), "rig.hook.gear[0].wll_kg")):
        job = REPLACE(STONE_YARD, rig=REPLACE(STONE_YARD.rig, hook=REPLACE(STONE_YARD.rig.hook, gear=gear)))
        verdict = evaluate(job, job.poses[0])
        assert (verdict.state, [problem.where for problem in verdict.not_entered]) == ("NOT PROVEN", [where])
        assert not not_entered(job, REPLACE(job.poses[0], loaded=False))


def test_no_tag_no_lift() -> None:
    job = with_rigging(REPLACE(TWO, tag=SlingTag(legible=False)))
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "REFUSED" and "No tag, no lift." in verdict.problems[0].words
    assert evaluate(job, REPLACE(job.poses[0], loaded=False)).state == "WITHIN"


@pytest.mark.parametrize(
    ("legs", "points"),
    [
        ((0.5, 0.5), SlingPoints(a_m=0.6, b_m=0.6)),
        ((0.7, 0.7), SlingPoints(a_m=0.3, b_m=0.3, above_m=-0.8)),
        ((0.3, 2.0), SlingPoints(a_m=0.3, b_m=0.3)),
    ],
)
def test_legs_that_do_not_meet_above_the_load_are_refused(legs: tuple[float, float], points: SlingPoints) -> None:
    rigging = REPLACE(TWO, legs=tuple(SlingLeg(length_m=length) for length in legs), points=points)
    assert impossible(rigging)[0].where == "load.rigging.legs"
    job = with_rigging(rigging)
    assert evaluate(job, job.poses[0]).state == "REFUSED"
    assert impossible(TWO) == () and impossible(REPLACE(TWO, points=None)) == ()


def test_the_mark_of_version_1_becomes_a_hook_in_the_list() -> None:
    job, _ = migrated({"format_version": 1, "rig": {"hook": {"rated_kg": 750.0}}})
    assert job["rig"]["hook"]["gear"] == [{"kind": "hook", "name": "hook", "wll_kg": 750.0}]
    job, _ = migrated({"format_version": 1, "rig": {"hook": {"rated_kg": None}}})
    assert job["rig"]["hook"]["gear"] == [] and "rated_kg" not in job["rig"]["hook"]


def test_the_gear_list_runs_from_the_rig_down() -> None:
    rows = [(row.name, row.rated_kg) for row in gear_list(BOATYARD)]
    assert rows == [("shackle", 2000.0), ("hook", 1000.0), ("sling, single", 1000.0)]
    rows = gear_list(with_rigging(REPLACE(TWO, parts=(RiggingPart(name="ring"),))))
    assert [row.name for row in rows] == ["big hook", "ring", "sling leg 1, two leg", "sling leg 2, two leg"]
    assert rows[1].rated_kg is None
    assert rows[2].angle_rad == pytest.approx(math.radians(53.13), rel=FOUR_FIGURES)
