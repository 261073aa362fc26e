"""Stopping with a hung load: the pull at the hook against an integrated pendulum, the wheels against a sum by hand."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
from scipy.integrate import solve_ivp

from engine.base.geometry import GRAVITY_M_S2
from engine.limits import balance
from engine.planning.stopping import (
    STOP_M,
    WALKING_PACE_M_S,
    braking,
    fastest,
    pendulum_m,
    slowing_and_pull,
    while_stopping,
)
from engine.planning.sweep import Stopped, judge
from engine.rig.deflection import place_bent
from engine.rig.kinematics import figures
from engine.schema.quantities import Estimate
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
VINEYARD = read_once(SAMPLES / "cold_spring_vineyard.rig.json")
STONE_YARD = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")


def greatest_side_pull(length_m: float, slowing: float, stop_s: float) -> float:
    """Greatest side pull at the hook, over the load's weight, of a real pendulum whose hook slows evenly to a stop."""

    def motion(time_s, state, push):
        angle, rate = state
        return [rate, -(GRAVITY_M_S2 * math.sin(angle) - push * math.cos(angle)) / length_m]

    during = solve_ivp(
        motion, (0.0, stop_s), [0.0, 0.0], args=(slowing,), rtol=1e-9, atol=1e-11, max_step=stop_s / 200.0
    )
    after = solve_ivp(motion, (0.0, 4.0), during.y[:, -1], args=(0.0,), rtol=1e-9, atol=1e-11, max_step=0.01)
    greatest = 0.0
    for swing, push in ((during, slowing), (after, 0.0)):
        angle, rate = swing.y
        sling = (GRAVITY_M_S2 * np.cos(angle) + push * np.sin(angle) + length_m * rate**2) / GRAVITY_M_S2
        greatest = max(greatest, float(np.max(np.abs(sling * np.sin(angle)))))
    return greatest


@pytest.mark.parametrize("speed", [0.3, 0.7, 1.0, 1.4])
@pytest.mark.parametrize("stop", [0.1, 0.3, 0.5, 1.0])
@pytest.mark.parametrize("sling", [0.2, 0.6, 2.0])
def test_the_pull_is_at_least_that_of_a_real_pendulum_and_not_far_over(speed, stop, sling):
    job = msgspec.structs.replace(STONE_YARD, load=msgspec.structs.replace(STONE_YARD.load, sling_m=sling))
    slowing, pull = slowing_and_pull(job, speed, stop)
    real = greatest_side_pull(pendulum_m(job), slowing, 2.0 * stop / speed)
    assert pull >= real
    if pull < 0.5:
        assert pull <= real * 1.20


def test_a_long_gentle_stop_pulls_twice_the_slowing_and_a_dead_one_by_its_speed():
    slowing, pull = slowing_and_pull(STONE_YARD, 1.0, 2.0)
    assert pull == pytest.approx(2.0 * slowing / GRAVITY_M_S2)
    _, dead = slowing_and_pull(STONE_YARD, 1.0, 1e-6)
    assert dead == pytest.approx(1.0 / math.sqrt(GRAVITY_M_S2 * pendulum_m(STONE_YARD)), rel=1e-4)


def test_standing_still_pulls_nothing():
    stop = braking(STONE_YARD, STONE_YARD.poses[0], 0.0)
    assert stop.pull == 0.0
    assert stop.rear_stopping_kg == pytest.approx(stop.rear_standing_kg)


def test_rear_weight_lost_is_the_moment_of_all_the_pushes_over_the_wheelbase():
    flat = {name: Estimate(best=0.0, known="measured") for name in ("fall_along", "fall_across")}
    job = msgspec.structs.replace(STONE_YARD, floors=(msgspec.structs.replace(STONE_YARD.floors[0], **flat),))
    pose = job.poses[0]
    stop = braking(job, pose)
    placed = place_bent(job, figures(job, pose))
    share = stop.slowing_m_s2 / GRAVITY_M_S2
    bodies_kgm = sum(
        body.mass_kg * body.position_m.z for body in placed.bodies if body.group != "load" and body.group != "rigging"
    )
    hung_kg = job.load.mass_kg.best + job.load.rigging_kg.best
    lever_m = float(placed.hook_m.z)
    by_hand = (share * bodies_kgm + max(stop.pull, share) * hung_kg * lever_m) / job.truck.wheelbase_m.best
    assert stop.rear_lost_kg == pytest.approx(by_hand, rel=1e-6)


def test_a_longer_sling_pulls_less_at_a_sudden_stop_but_wanders_further():
    short, long = (
        msgspec.structs.replace(STONE_YARD, load=msgspec.structs.replace(STONE_YARD.load, sling_m=sling))
        for sling in (0.4, 2.0)
    )
    pose = STONE_YARD.poses[0]
    quick, slow = (braking(job, pose, 1.0, 0.1) for job in (short, long))
    assert slow.pull < quick.pull
    assert slow.wander_m > quick.wander_m


def test_a_lower_hook_keeps_more_rear_weight_in_a_stop():
    pose = STONE_YARD.poses[0]
    high, low = (braking(STONE_YARD, msgspec.structs.replace(pose, lift_m=lift)) for lift in (1.5, 0.3))
    assert low.rear_stopping_kg > high.rear_stopping_kg


def test_walking_pace_and_its_stop_are_as_stated():
    assert (WALKING_PACE_M_S, STOP_M) == (1.4, 0.5)


def test_the_fastest_speed_keeps_every_limit_and_a_tenth_faster_does_not():
    pose = VINEYARD.poses[0]
    limit = fastest(VINEYARD, pose)
    assert 0.0 < limit.speed_m_s < 2.0
    assert judge(while_stopping(VINEYARD, limit.speed_m_s, STOP_M), pose).within
    assert not judge(while_stopping(VINEYARD, limit.speed_m_s * 1.1, STOP_M), pose).within


def test_a_pick_that_is_over_standing_has_no_speed():
    limit = fastest(VINEYARD, VINEYARD.poses[2])
    assert limit.speed_m_s == 0.0
    assert limit.governing


def test_what_the_wheels_keep_is_what_the_balance_says():
    pose = VINEYARD.poses[0]
    stop = braking(VINEYARD, pose, 0.5)
    policy = while_stopping(VINEYARD, 0.5, STOP_M).policy
    placed = place_bent(VINEYARD, figures(VINEYARD, pose))
    weighed = balance.weigh(placed, balance.Allowances(braking=policy.braking, swing_rad=policy.swing_rad))
    assert float(weighed.rear_kg) == pytest.approx(stop.rear_stopping_kg)


def test_looking_for_the_fastest_speed_can_be_stopped():
    with pytest.raises(Stopped):
        fastest(STONE_YARD, STONE_YARD.poses[0], stop=lambda: True)
