"""Bending in the balance: against the settled shape (itself held against a frame solver), and as closed forms."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from engine.base.interval import Interval, upper
from engine.handling.sag import sag_of
from engine.limits import balance, plate
from engine.limits.all_limits import find_checks, leaned
from engine.rig.check import load_at_limit
from engine.rig.deflection import apply_bending, place_bent, with_bending
from engine.rig.kinematics import Figures, figures, place
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.quantities import Estimate
from engine.strength.linear_in_load import FAR_KG
from engine.worst_case.verdict import evaluate
from engine.worst_case.worst_case import worst_values
from tests.samples import read_once

SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))
JOBS = {path.name.removesuffix(".rig.json"): read_once(path) for path in SAMPLES}
VINEYARD = JOBS["cold_spring_vineyard"]
BENDING_KINDS = (
    "tipping, front",
    "tipping, left side",
    "tipping, right side",
    "rear weight left",
    "lightest front wheel",
    "axle rule",
    "fork-face rule",
)
rigs = pytest.mark.parametrize("name", [name for name, job in JOBS.items() if evaluate(job, job.poses[0]).checks])


def with_load(job: Job, load_kg: float) -> Job:
    load = msgspec.structs.replace(job.load, mass_kg=Estimate(best=load_kg, known="weighed"))
    return msgspec.structs.replace(job, load=load)


def turned(job: Job, pose: Pose, turn_rad: float) -> Pose:
    return msgspec.structs.replace(pose, arms=tuple(ArmPose(turn_rad=turn_rad, fitted=arm.fitted) for arm in pose.arms))


@rigs
@pytest.mark.parametrize("turn_rad", [0.0, 0.9])
def test_every_weight_is_where_the_settled_shape_carries_it_or_a_hair_further(name: str, turn_rad: float) -> None:
    job = JOBS[name]
    pose = turned(job, job.poses[0], turn_rad)
    leaning = leaned(figures(job, pose), job.policy)
    settled, hanging = sag_of(job, pose), place_bent(job, leaning)
    straight = place(job, leaning)
    assert settled.settled
    for there, near, drawn in zip(settled.placed.bodies, hanging.bodies, straight.bodies, strict=True):
        gone = (there.position_m - drawn.position_m).length()
        # Arms aside on uneven forks lean further the further they lean: there the line is a little further off.
        assert (near.position_m - there.position_m).length() <= (0.12 if turn_rad else 0.1) * gone + 1e-9
    # The straight line through two loads bends it no less at the load itself.
    drop_m = float((hanging.hook_m - straight.hook_m).dot(straight.gravity))
    assert drop_m >= settled.hook_drop_m * (1.0 - 1e-3)


@rigs
def test_no_limit_over_the_front_is_used_less_than_on_the_stiff_rig(name: str) -> None:
    job = JOBS[name]
    numbers = figures(job, job.poses[0])
    stiff = place(job, numbers)
    hanging = place_bent(job, numbers)
    for checks in (
        lambda placed: balance.checks(placed, job.policy),
        lambda placed: plate.checks(placed, job.truck.plate, job.policy),
    ):
        for straight, limit in zip(checks(stiff), checks(hanging), strict=True):
            if straight.kind in ("tipping, front", "rear weight left", "axle rule", "fork-face rule"):
                assert straight.use < limit.use < 1.06 * straight.use
                assert limit.allowed_load_kg < straight.allowed_load_kg


@rigs
@pytest.mark.parametrize("turn_rad", [0.0, 0.7])
def test_the_load_allowed_is_where_the_bent_rig_just_meets_the_limit(name: str, turn_rad: float) -> None:
    """Each closed form against a bracketed root over whole evaluations."""
    job = JOBS[name]
    pose = turned(job, job.poses[0], turn_rad)

    def excess(load_kg: float, index: int) -> float:
        check = find_checks(job, msgspec.structs.replace(numbers, load_kg=load_kg))[index]
        return check.demand - check.allowed

    # On rigid tyres: what their lean adds lies on a chord (`tests.engine.limits.test_lean`).
    numbers = msgspec.structs.replace(with_bending(job, figures(job, pose)), tyre_m_N=0.0)
    for index, check in enumerate(find_checks(job, numbers)):
        if check.kind in BENDING_KINDS and 0.0 < check.allowed_load_kg < 5000.0:
            if not excess(20_000.0, index) > 0.0:
                continue  # a load far beyond any truck would help again; the closed form stops where that starts
            root = brentq(excess, 0.0, 20_000.0, args=(index,), xtol=1e-9)
            if root > 5000.0:
                assert check.allowed_load_kg < root
                continue
            assert check.allowed_load_kg == pytest.approx(root, rel=2e-4 if job.policy.swing_rad else 1e-5)


def test_more_load_uses_more_of_a_limit_that_bends() -> None:
    room, per_kg, bending = 1000.0, 9.0, 0.002
    load_kg = load_at_limit(room, per_kg, bending)
    assert per_kg * load_kg + bending * load_kg**2 == pytest.approx(room, rel=1e-12)
    helped = load_at_limit(room, per_kg, -bending)
    assert per_kg * helped - bending * helped**2 == pytest.approx(room, rel=1e-12)
    assert load_at_limit(1e6, per_kg, -bending) == pytest.approx(2e6 / per_kg)  # turns back before it gets there
    assert load_at_limit(-5.0, per_kg, bending) == load_at_limit(-5.0, per_kg)
    assert load_at_limit(room, -1.0, 0.0) == load_at_limit(room, -1.0, 1e-300) == math.inf
    assert math.isnan(load_at_limit(math.nan, per_kg, bending)) and math.isnan(load_at_limit(room, math.nan, bending))


@settings(max_examples=60, deadline=None)
@given(st.floats(0.1, 1e6), st.floats(-50.0, 50.0), st.floats(1e-9, 1.0))
def test_the_root_with_bending_solves_its_quadratic(room: float, per_kg: float, bending: float) -> None:
    load_kg = load_at_limit(room, per_kg, bending)
    assert load_kg > 0.0
    if load_kg <= FAR_KG:  # where more load helps at first, a root far beyond any load has lost its digits
        size = abs(per_kg) * load_kg + bending * load_kg**2
        assert per_kg * load_kg + bending * load_kg**2 == pytest.approx(room, abs=1e-6 * max(size, room))


def test_arrays_bend_as_single_poses_do() -> None:
    pose = VINEYARD.poses[1]
    lifts = np.linspace(0.1, 1.5, 4)[:, None]
    turns = np.linspace(-1.0, 1.2, 5)
    numbers = msgspec.structs.replace(figures(VINEYARD, pose), lift_m=lifts, turns_rad=(turns, -0.4))
    hook = place_bent(VINEYARD, numbers).hook_m
    for row in range(4):
        for column in range(5):
            one = msgspec.structs.replace(numbers, lift_m=float(lifts[row, 0]), turns_rad=(float(turns[column]), -0.4))
            there = place_bent(VINEYARD, one).hook_m
            for part, whole in zip(there, hook, strict=True):
                assert np.broadcast_to(whole, (4, 5))[row, column] == pytest.approx(part, abs=1e-12)


def test_intervals_hold_what_every_pose_inside_bends() -> None:
    pose = VINEYARD.poses[1]
    numbers = figures(VINEYARD, pose)
    low, high = 0.3, 0.34
    wide = msgspec.structs.replace(numbers, turns_rad=(Interval(np.array([low]), np.array([high])), -0.4))
    hook = apply_bending(place(VINEYARD, with_bending(VINEYARD, wide))).hook_m
    for turn in np.linspace(low, high, 5):
        there = place_bent(VINEYARD, msgspec.structs.replace(numbers, turns_rad=(float(turn), -0.4))).hook_m
        for part, whole in zip(there, hook, strict=True):
            assert -upper(-whole)[0] - 1e-12 <= part <= upper(whole)[0] + 1e-12


def test_a_filled_in_bending_is_kept() -> None:
    numbers = with_bending(VINEYARD, figures(VINEYARD, VINEYARD.poses[0]))
    assert with_bending(VINEYARD, numbers) is numbers
    assert isinstance(numbers, Figures) and len(numbers.bent_m) == 6 * (4 + 2)


def test_a_rig_that_bends_more_is_allowed_less() -> None:
    numbers = with_bending(VINEYARD, figures(VINEYARD, VINEYARD.poses[0]))
    soft = msgspec.structs.replace(numbers, give=1.25)
    for drawn, more in zip(find_checks(VINEYARD, numbers), find_checks(VINEYARD, soft), strict=True):
        if drawn.kind == "tipping, front":
            assert more.use > drawn.use and more.allowed_load_kg < drawn.allowed_load_kg


def test_the_verdict_counts_how_far_the_rig_bends_as_a_doubt() -> None:
    verdict = evaluate(VINEYARD, VINEYARD.poses[0])
    entry = next(index for index, entry in enumerate(verdict.worst_case.entries) if entry.field == "give")
    known = verdict.worst_case.entries[:entry] + verdict.worst_case.entries[entry + 1 :]
    numbers = figures(VINEYARD, VINEYARD.poses[0])
    sure, unsure = (
        worst_values(VINEYARD, VINEYARD.poses[0], numbers, entries) for entries in (known, verdict.worst_case.entries)
    )
    front = next(index for index, check in enumerate(verdict.checks) if check.kind == "tipping, front")
    assert sure.use[front] < unsure.use[front] < 1.02 * sure.use[front]


def test_figures_shown_are_of_the_bent_rig() -> None:
    verdict = evaluate(VINEYARD, VINEYARD.poses[0])
    stiff = balance.weigh(verdict.placed)
    assert verdict.balance.rear_kg < stiff.rear_kg
    assert verdict.balance.rear_kg == balance.weigh(verdict.hanging).rear_kg
    assert verdict.balance.rear_kg == pytest.approx(
        balance.weigh(sag_of(VINEYARD, VINEYARD.poses[0]).placed).rear_kg, rel=2e-3
    )
