"""Play of sleeves and saddles: angles by hand, the rig turned as one body, and what that does to the balance."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest

from engine.base.formatting import fill
from engine.base.geometry import GRAVITY_M_S2, Vec
from engine.limits import balance, play
from engine.rig.check import Check
from engine.rig.deflection import place_bent, with_bending
from engine.rig.kinematics import Body, Placed, figures, place
from engine.schema.connections import HeelChain, HeelPin, NoHeelHold
from engine.schema.model import Job
from engine.schema.sections import RectTube
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace

HEEL_M, TIP_M, SPREAD_M = 0.0, 0.95, 0.6


def on_forks(job: Job, gap_m: float | None) -> Job:
    """Sleeves of 160 x 80 x 8 on blades of 100 x 35, not worn: 29 mm of room, with a heel pin that leaves a gap."""
    forks = REPLACE(job.truck.forks, width_m=0.1, thickness_m=0.035, worn_m=0.0, spread_m=SPREAD_M, length_m=TIP_M)
    hold = job.rig.sleeves.heel_hold
    assert isinstance(hold, HeelPin)
    sleeves = REPLACE(
        job.rig.sleeves,
        section=RectTube(width_m=0.16, depth_m=0.08, wall_m=0.008),
        heel_gap_m=HEEL_M,
        length_m=TIP_M,
        heel_hold=NoHeelHold() if gap_m is None else REPLACE(hold, below_m=gap_m),
    )
    saddles = REPLACE(job.rig.saddles, side_gap_m=None, top_gap_m=None)
    rig = REPLACE(job.rig, sleeves=sleeves, saddles=saddles)
    return REPLACE(job, truck=REPLACE(job.truck, forks=forks), rig=rig)


def standing(job: Job, at: int = 0, **changes: object) -> Placed:
    numbers = REPLACE(figures(job, job.poses[at]), **changes)
    return place_bent(job, with_bending(job, numbers))


def of_kind(found: list[Check], kind: str) -> Check:
    return next(check for check in found if check.kind == kind)


def test_angles_of_the_sleeves_by_hand(vineyard: Job) -> None:
    """joints.md section 4.3: 29 mm of room, and a pin 6 mm below the blade."""
    job = on_forks(vineyard, None)
    loose = play.play_of_rig(job.rig, job.truck.forks)
    assert loose.roll_rad == pytest.approx(0.04833, rel=1e-3)
    assert loose.pitch_rad == pytest.approx(0.03053, rel=1e-3)
    job = on_forks(vineyard, 0.006)
    pinned = play.play_of_rig(job.rig, job.truck.forks)
    assert pinned.pitch_rad == pytest.approx(0.006316, rel=1e-3)
    assert pinned.roll_rad == pytest.approx(0.010)


def test_a_pin_without_its_gap_stands_on_the_sleeve_s_bottom_and_a_chain_gives_its_slack(vineyard: Job) -> None:
    job = on_forks(vineyard, 0.0)
    hold = job.rig.sleeves.heel_hold
    assert isinstance(hold, HeelPin)
    for other, gap_m in (
        (REPLACE(hold, below_m=None), 0.029 - hold.pin.diameter_m),
        (HeelChain(wll_kg=1000.0), 0.029),
        (HeelChain(wll_kg=1000.0, slack_m=0.008), 0.008),
    ):
        rig = REPLACE(job.rig, sleeves=REPLACE(job.rig.sleeves, heel_hold=other))
        assert play.heel_gap_m(rig, job.truck.forks) == pytest.approx(gap_m)


def test_angles_of_the_boom_by_hand(vineyard: Job) -> None:
    """Straps 0.675 m apart; 150 x 150 x 6.4 has flats of 124.4 mm.  Without gaps entered, 3 mm: the top touches first.

    joints.md section 5.4 has 0.003810 rad for 2 mm over 0.525 m.
    """
    job = on_forks(vineyard, 0.0)
    found = play.play_of_rig(job.rig, job.truck.forks)
    assert found.boom_droop_rad == pytest.approx(0.003 / 0.675)
    assert found.boom_roll_rad == pytest.approx(0.003 / 0.1244)
    spacing = REPLACE(job.rig.saddles, rear_x_m=job.rig.saddles.front_x_m - 0.525, top_gap_m=0.002)
    droop = play.play_of_rig(REPLACE(job.rig, saddles=spacing), job.truck.forks).boom_droop_rad
    assert droop == pytest.approx(0.003810, rel=1e-3)
    close = REPLACE(job.rig.saddles, top_gap_m=0.003, side_gap_m=0.002, weld_shrink_m=0.001)
    rolled = play.play_of_rig(REPLACE(job.rig, saddles=close), job.truck.forks).boom_roll_rad
    assert rolled == pytest.approx(2.0 * 0.001 / 0.1244)


def test_a_pin_gap_of_6_mm_carries_what_stands_2_m_up_and_2_5_m_out(vineyard: Job) -> None:
    """joints.md section 4.3: 12.63 mm forward and 15.79 mm down (small angles; turned exactly 0.05 mm less forward)."""
    job = on_forks(vineyard, 0.006)
    placed = place(job, figures(job, job.poses[0]))
    forks = placed.frames["forks"]
    weight = Body(name="rig", group="rig", link="forks", mass_kg=1.0, position_m=forks.at(TIP_M + 2.5, 0.0, 2.0))
    (moved,) = play.settled_forward(job, REPLACE(placed, bodies=(weight,))).bodies
    shift = moved.position_m - weight.position_m
    assert float(shift.x) == pytest.approx(0.01263, rel=5e-3)
    assert float(-shift.z) == pytest.approx(0.01579, rel=5e-3)


def test_rolled_to_the_side_it_leans_to_about_the_near_sleeve(vineyard: Job) -> None:
    """A point h over the near sleeve goes h sin(roll) further out, and stays at its height; mirrored on the right."""
    job = on_forks(vineyard, 0.006)
    for at, side in ((0, 1.0), (3, -1.0)):
        placed = standing(job, at)
        forks = placed.frames["forks"]
        weight = Body(
            name="rig", group="rig", link="forks", mass_kg=1e6, position_m=forks.at(0.3, side * SPREAD_M / 2.0, 1.5)
        )
        (moved,) = (
            body
            for body in play.settled_aside(job, REPLACE(placed, bodies=(*placed.bodies, weight))).bodies
            if body.mass_kg == 1e6
        )
        shift = moved.position_m - weight.position_m
        assert float(shift.y) == pytest.approx(side * 1.5 * math.sin(0.010))
        assert float(shift.z) == pytest.approx(-1.5 * (1.0 - math.cos(0.010)))
        assert float(shift.x) == pytest.approx(0.0, abs=1e-9)


def test_the_boom_droops_over_its_front_strap_and_the_load_hangs_plumb(vineyard: Job) -> None:
    """Straight ahead, on the level: the hook goes down by the droop times its distance from the front strap."""
    job = on_forks(vineyard, 0.0)
    placed = place(job, REPLACE(figures(job, job.poses[2]), fall_along=0.0, fall_across=0.0))
    boom = placed.frames["boom"]
    settled = play.settled_forward(job, placed)
    out_m = float(placed.tip_m.x - boom.at(job.rig.saddles.front_x_m).x)
    assert float(placed.tip_m.z - settled.tip_m.z) == pytest.approx(out_m * 0.003 / 0.675, rel=0.01)
    for name in ("hook_m", "load_centre_m"):
        below = getattr(settled, name) - settled.tip_m
        before = getattr(placed, name) - placed.tip_m
        assert [float(part) for part in below] == pytest.approx([float(part) for part in before])
    hung = [body for body in settled.bodies if body.group in ("rigging", "load")]
    assert len(hung) == 2
    assert all(body.position_m == settled.hook_m for body in hung)


def test_the_front_line_has_the_moment_of_the_settled_weights(vineyard: Job) -> None:
    """Each weight turned with a matrix, boom and outboard first by the droop; level floor, no allowances."""
    job = on_forks(vineyard, 0.006)
    job = REPLACE(job, policy=REPLACE(job.policy, dynamic_factor=1.0))
    placed = standing(job, 2, fall_along=0.0, fall_across=0.0)
    forks, boom = placed.frames["forks"], placed.frames["boom"]
    pivot, strap = np.array([*forks.at(TIP_M)], float), np.array([*boom.at(job.rig.saddles.front_x_m)], float)

    def down(angle: float, about: np.ndarray, at: np.ndarray) -> np.ndarray:
        c, s = math.cos(angle), math.sin(angle)
        return about + np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]]) @ (at - about)

    def settled(at: Vec, outboard: bool) -> np.ndarray:
        here = np.array([*at], float)
        return down(0.006 / 0.95, pivot, down(0.003 / 0.675, strap, here) if outboard else here)

    moment = 0.0
    for body in placed.bodies:
        if body.group == "rig":
            moment += body.mass_kg * settled(body.position_m, body.link not in ("forks", "jib mast"))[0]
    hook_x = settled(placed.tip_m, True)[0] + float(placed.hook_m.x - placed.tip_m.x)
    moment += (placed.figures.load_kg + placed.figures.rigging_kg) * hook_x
    rigid = REPLACE(placed, figures=REPLACE(placed.figures, tyre_m_N=0.0))
    check = of_kind(play.checks(job, rigid), "tipping, front")
    assert check.demand == pytest.approx(moment * GRAVITY_M_S2, rel=1e-6)
    assert check.demand > 1.003 * of_kind(balance.checks(placed, job.policy), "tipping, front").demand


def test_play_never_helps_and_no_play_changes_nothing(sample: Job) -> None:
    for at in range(len(sample.poses)):
        placed = standing(sample, at)
        for plain, settled in zip(balance.checks(placed, sample.policy), play.checks(sample, placed), strict=True):
            assert settled.name == plain.name
            assert settled.use >= plain.use - 1e-12
            assert settled.allowed_load_kg <= plain.allowed_load_kg + 1e-9


def test_the_load_allowed_is_where_the_settled_rig_meets_the_limit(vineyard: Job) -> None:
    job = on_forks(vineyard, 0.006)
    most_kg = of_kind(play.checks(job, standing(job, 2)), "tipping, front").allowed_load_kg
    again = of_kind(play.checks(job, standing(job, 2, load_kg=most_kg)), "tipping, front")
    assert again.use == pytest.approx(1.0, abs=1e-5)  # the lean on the tyres lies on a chord


def test_arms_to_the_left_and_to_the_right_are_mirror_images(vineyard: Job) -> None:
    left, right = (play.checks(vineyard, standing(vineyard, at, fall_across=0.0)) for at in (0, 3))
    plain = balance.checks(standing(vineyard, 0, fall_across=0.0), vineyard.policy)
    at_limit_kg = [of_kind(found, "tipping, left side").allowed_load_kg for found in (left, plain)]
    assert at_limit_kg[0] < 0.999 * at_limit_kg[1] < 1e5
    for kind, mirrored in (
        ("tipping, left side", "tipping, right side"),
        ("lightest front wheel", "lightest front wheel"),
    ):
        assert of_kind(left, kind).use == pytest.approx(of_kind(right, mirrored).use)
        assert of_kind(left, kind).allowed_load_kg == pytest.approx(of_kind(right, mirrored).allowed_load_kg)


def test_arrays_of_poses_give_what_each_pose_gives(vineyard: Job) -> None:
    turns = np.array([-1.2, 0.0, 1.2])
    numbers = figures(vineyard, vineyard.poses[0])
    many = REPLACE(numbers, turns_rad=(turns, 0.0))
    swept = play.checks(vineyard, place_bent(vineyard, with_bending(vineyard, many)))
    for index, turn in enumerate(turns):
        one = REPLACE(numbers, turns_rad=(float(turn), 0.0))
        for check, among in zip(
            play.checks(vineyard, place_bent(vineyard, with_bending(vineyard, one))), swept, strict=True
        ):
            assert np.broadcast_to(among.use, turns.shape)[index] == pytest.approx(check.use)
            assert np.broadcast_to(among.allowed_load_kg, turns.shape)[index] == pytest.approx(check.allowed_load_kg)


def test_loose_sleeves_are_a_caution_and_close_ones_none(vineyard: Job) -> None:
    hold = vineyard.rig.sleeves.heel_hold
    assert isinstance(hold, HeelPin)
    sleeves = REPLACE(vineyard.rig.sleeves, heel_hold=REPLACE(hold, below_m=0.012))
    loose = REPLACE(vineyard, rig=REPLACE(vineyard.rig, sleeves=sleeves))
    (caution,) = play.cautions(loose)
    assert fill(caution.words, caution.numbers, "metric").startswith("The sleeves have 12 mm of play on the forks")
    assert caution in evaluate(loose, loose.poses[2]).cautions
    assert play.cautions(on_forks(vineyard, 0.003)) == ()
