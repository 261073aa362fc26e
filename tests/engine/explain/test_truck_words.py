"""A pose on two trucks in one sentence each: state, allowed load, what decides, and where the hook comes."""

from __future__ import annotations

import msgspec

from engine.base.formatting import fill
from engine.explain.truck_words import pose_words
from engine.planning.two_trucks import OnTruck, SideBySide
from engine.rig.check import Problem

REPLACE = msgspec.structs.replace
HOOK = "The hook is as high and as far from the front axle."

THIS = OnTruck(
    lift_m=0.7,
    hook_height_m=2.2,
    reach_m=2.9,
    state="WITHIN",
    allowed_kg=190.9,
    governing="boom: combined stress at the front saddle",
    uses={},
    rear_kg=900.0,
    light_kg=400.0,
    least_gap_m=None,
)
ON_THIS = "‘lid’: on this truck WITHIN, 190 kg allowed, limited by boom (combined stress at the front saddle). "


def said(new: OnTruck, **row: object) -> str:
    statement = pose_words(SideBySide(pose="lid", old=THIS, new=new, **row), "metric")  # type: ignore[arg-type]
    return fill(statement.words, statement.numbers, "metric")


def test_a_truck_that_allows_less_is_said_with_what_decides_there() -> None:
    new = REPLACE(THIS, state="OVER", allowed_kg=150.2, governing="truck: tipping forward")
    assert said(new) == (
        f"{ON_THIS}On the other OVER, 150 kg allowed, 40 kg less than on this truck, limited by truck (tipping "
        f"forward). {HOOK}"
    )


def test_a_gain_is_rounded_down_and_the_same_limit_is_not_said_twice() -> None:
    assert said(REPLACE(THIS, allowed_kg=201.0)) == (
        f"{ON_THIS}On the other WITHIN, 201 kg allowed, 10 kg more than on this truck, by the same limit. {HOOK}"
    )
    assert ", 190 kg allowed, as much as on this truck, by the same limit." in said(REPLACE(THIS, allowed_kg=190.95))


def test_a_refused_pose_has_the_first_sentence_of_the_reason_and_no_load() -> None:
    problem = Problem(
        kind="impossible",
        where="pose.lift_m",
        words="The forks cannot stand at {lift:length}. Lower them.",
        numbers={"lift": 0.05},
    )
    new = REPLACE(THIS, state="REFUSED", allowed_kg=None, governing="", problem=problem, hook_height_m=2.6, lift_m=0.05)
    assert said(new, keeps="fork_height") == (
        f"{ON_THIS}On the other REFUSED: The forks cannot stand at 50 mm. The hook is 400 mm higher."
    )


def test_what_leaves_a_pose_not_proven_is_said() -> None:
    left = Problem(
        kind="not_entered", where="rig.saddles.bed", words="", numbers={"part": "The saddle bed", "lacks": "entered"}
    )
    new = REPLACE(THIS, state="NOT PROVEN", left_out=left)
    assert "limited by boom (combined stress at the front saddle), NOT PROVEN because: The saddle bed is not" in said(
        new
    )


def test_forks_that_are_to_be_set_first_and_forks_that_stop_are_said() -> None:
    new = REPLACE(THIS, state="REFUSED", state_once_set="WITHIN")
    assert "On the other REFUSED until its forks stand 600 mm apart; then WITHIN, 190 kg allowed" in said(
        new, forks_to_m=0.6
    )
    low = REPLACE(THIS, lift_m=0.5, hook_height_m=2.0, reach_m=2.85)
    assert said(low).endswith("Its forks stop at 500 mm. The hook is 200 mm lower and 50 mm nearer to the front axle.")
