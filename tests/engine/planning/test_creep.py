"""Creeping with a load hung: what is taken where nothing is entered, and what a stop, a swing and a step do."""

from __future__ import annotations

import re
from pathlib import Path

import msgspec
import pytest

from engine.base.formatting import fill
from engine.planning.creep import creep_of, creeping, fastest_m_s, over_step
from engine.planning.move import Plan, plan
from engine.schema import uncertainty_bands
from engine.schema.model import Job, Move
from engine.schema.quantities import Estimate
from engine.schema.uncertainty_bands import low_high
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

REPLACE = msgspec.structs.replace
CAROUSEL = read_once(Path(__file__).resolve().parents[3] / "sample_rigs" / "larkfield_carousel_works.rig.json")
RAISED, LOWERED = CAROUSEL.moves


def said(planned: Plan) -> str:
    return " ".join(fill(one.words, one.numbers, "metric") for one in planned.objections)


def test_walking_pace_and_the_brakes_are_taken_where_nothing_is_entered() -> None:
    """1.4 m/s at 0.2 g stops in 1.4 squared over 2 x 1.96 m/s2; nobody stops in less than 0.10 m."""
    blank = creep_of(RAISED)
    assert (blank.speed_m_s, blank.said, blank.step_m) == (1.4, False, 0.020)
    assert blank.stop_m == pytest.approx(1.96 / (2 * 0.2 * 9.80665), abs=1e-9) == pytest.approx(0.4997, abs=1e-4)
    slow = creep_of(REPLACE(RAISED, speed_m_s=0.3))
    assert slow.stop_m == 0.10 and slow.said


def test_a_stop_counts_in_every_limit_and_a_gentler_one_counts_less() -> None:
    """0.2 g of the truck; the load swings through and pulls as far again at most (pendulum of 1.0 m: 0.36 g)."""
    hard = creeping(CAROUSEL, creep_of(RAISED)).policy
    assert hard.braking == pytest.approx(0.2, abs=1e-9)
    assert 0.0 < hard.swing_rad < 0.2
    gentle = creeping(CAROUSEL, creep_of(LOWERED)).policy
    assert gentle.braking == pytest.approx(1.4**2 / 2.0 / 9.80665, abs=1e-9)
    entered = REPLACE(CAROUSEL, policy=REPLACE(CAROUSEL.policy, braking=0.3, swing_rad=0.4))
    assert creeping(entered, creep_of(LOWERED)).policy == entered.policy, "more is entered already"


def test_a_step_under_one_wheel_rolls_the_truck_by_its_height_over_the_track() -> None:
    """20 mm over a front track of 0.90 m is 2.2 %, either way, on top of what the fall may be off."""
    assert CAROUSEL.truck.front_track_m.best == 0.90
    for was, now in zip(CAROUSEL.floors, over_step(CAROUSEL, creep_of(RAISED)).floors, strict=True):
        (low, high), (least, most) = low_high(was.fall_across, "fall"), low_high(now.fall_across, "fall")
        assert now.fall_across.best == was.fall_across.best
        assert low - least == pytest.approx(0.0222, abs=1e-4) and most - high == pytest.approx(0.0222, abs=1e-4)


def test_the_carousel_horse_is_unsafe_to_travel_raised_from_the_move_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """All poses hold standing.  Stopping in 0.5 m no faster than 0.82 m/s raised (0.827 by hand), 1.07 low.

    By hand its tyres are rigid; the ones it has make it slower.
    """
    assert all(evaluate(CAROUSEL, pose).state == "WITHIN" for pose in CAROUSEL.poses)
    raised = plan(CAROUSEL, RAISED)
    assert raised.state == "OVER" and raised.steps[0].over
    words = said(raised)
    assert "Unsafe to travel raised: the load's underside would be 1.63 m up" in words
    assert "Nobody has said how fast it creeps: walking pace is taken" in words
    (fastest_km_h,) = re.findall(r"no faster than (\d\.\d) km/h", words)
    assert 2.4 <= float(fastest_km_h) < 2.9
    level = creep_of(REPLACE(RAISED, stop_m=0.5, step_m=0.0))
    on_its_tyres = [fastest_m_s(CAROUSEL, level, CAROUSEL.poses[at]) for at in (0, 2)]
    rigid = Estimate(best=1e12, known="typical", low=1e12, high=1e12)
    monkeypatch.setitem(uncertainty_bands._TYRES_N_M, "solid", rigid)  # pyright: ignore[reportPrivateUsage]
    anew = REPLACE(CAROUSEL, truck=REPLACE(CAROUSEL.truck))
    by_hand = [fastest_m_s(anew, level, CAROUSEL.poses[at]) for at in (0, 2)]
    assert by_hand == pytest.approx([0.827, 1.071], abs=0.05)
    assert all(0.9 * rigid < soft < rigid for soft, rigid in zip(on_its_tyres, by_hand, strict=True))


def test_lowered_it_may_be_crept_at_walking_pace_if_it_stops_gently() -> None:
    assert (LOWERED.speed_m_s, LOWERED.stop_m) == (1.4, 1.0)
    lowered = plan(CAROUSEL, LOWERED)
    assert lowered.state == "WITHIN"
    assert "Creeping at 5 km/h, stopping within 1.00 m" in said(lowered)
    hard = plan(CAROUSEL, REPLACE(LOWERED, stop_m=0.5))
    assert hard.state == "OVER" and "no faster than" in said(hard)
    assert plan(CAROUSEL, REPLACE(LOWERED, stop_m=None)).state == "OVER", "the brakes stop it in 0.5 m"


def test_a_raised_load_may_be_inched_into_its_place() -> None:
    inch = REPLACE(RAISED, speed_m_s=0.3, stop_m=0.3, distance_m=1.5)
    planned = plan(CAROUSEL, inch)
    assert planned.state == "WITHIN" and "inch it no more than" in said(planned)
    for further in (REPLACE(inch, distance_m=2.5), REPLACE(inch, distance_m=None), REPLACE(inch, speed_m_s=0.5)):
        assert plan(CAROUSEL, further).state == "OVER"


def test_an_empty_hook_creeps_as_it_stands() -> None:
    poses = tuple(REPLACE(pose, loaded=False) for pose in CAROUSEL.poses)
    empty: Job = REPLACE(CAROUSEL, poses=poses)
    planned = plan(empty, Move(name="empty", poses=RAISED.poses))
    assert "Unsafe to travel raised" not in said(planned) and "creeps" not in said(planned)
