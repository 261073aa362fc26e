"""Every limit by itself in the worst case: no point of the box is worse, and the load it allows just meets it."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest
from any_pose import JOBS, REPLACE

from engine.limits.all_limits import find_checks
from engine.limits.balance import LINES, is_tipping
from engine.rig.check import use_of
from engine.rig.deflection import with_bending
from engine.rig.feasibility import boom_limits_m
from engine.rig.free_turn import joint_as_free
from engine.rig.kinematics import figures
from engine.schema.model import ArmPose, Job, Pose
from engine.schema.quantities import Estimate
from engine.worst_case import corner_climb, corner_rules, corner_search
from engine.worst_case.corner_rules import is_bent
from engine.worst_case.corner_variants import Columns, evaluate_columns, numbers_of, sides_of
from engine.worst_case.evaluator import Evaluator, evaluator_of
from engine.worst_case.uncertain_inputs import entries_of
from engine.worst_case.uncertainty_box import UncertaintyBox, box_around
from engine.worst_case.worst_case import WorstCase, worst_case_of
from tests.thoroughness import THOROUGH, every, times

BEYOND = 0.002
"""Points of use, or a share of the use over 1, by which a random point may be worse than what is reported."""

CHORD = 1.02
"""How much more than a governing limit's load is surely over it: its chord starts at the load allowed as entered, from
which thinner walls and smaller legs lie further away than other entries."""

POINTS = 2000

STARTS = 12
"""Corners picked at random to climb from: a climb from one of them may end on a lesser height."""

HEAVY_KG = 3000.0
"""Loads over this are past any of these trucks; there a load may lean a truck so far that it lifts itself."""


def any_poses(job: Job, rng: np.random.Generator, count: int) -> list[Pose]:
    """Any poses inside the stops."""
    upright = job.truck.upright
    turns = [joint_as_free(job.rig, index).stops for index in range(len(job.rig.arms))]
    return [
        REPLACE(
            job.poses[0],
            lift_m=float(rng.uniform(upright.lift_min_m, upright.lift_max_m)),
            tilt_rad=float(rng.uniform(-upright.tilt_forward_max_rad, upright.tilt_back_max_rad)),
            hole=None,
            free_out_m=float(rng.uniform(*boom_limits_m(job))),
            arms=tuple(ArmPose(turn_rad=float(rng.uniform(*stops)), fitted=True) for stops in turns),
        )
        for _ in range(count)
    ]


def with_guess(job: Job, load_kg: float) -> Job:
    """The job with a load that somebody guessed, which has the widest band."""
    return REPLACE(job, load=REPLACE(job.load, mass_kg=Estimate(best=load_kg, known="guess")))


def asked(job: Job, pose: Pose) -> tuple[WorstCase, UncertaintyBox, Evaluator]:
    numbers = with_bending(job, figures(job, pose))
    evaluator = evaluator_of(job, numbers)
    if evaluator.compiled_search is None:
        evaluator.record(job, numbers, quick=not THOROUGH)
    box = box_around(job, numbers, entries_of(job, pose, numbers))
    return worst_case_of(job, pose, numbers), box, evaluator


def in_points(box: UncertaintyBox, evaluator: Evaluator, rng: np.random.Generator, load_kg: float) -> np.ndarray:
    """Uses in random points of the box, most of them corners, (limits, points); NaN leaves the load uncertain."""
    sides = rng.uniform(-1.0, 1.0, (len(box.entries), POINTS, 1))
    sides[:, POINTS // 4 :] = np.sign(sides[:, POINTS // 4 :])
    limits = evaluate_columns(box, evaluator, Columns(sides=sides, load_kg=np.full((POINTS, 1), load_kg)))
    return np.asarray(use_of(limits.demand, limits.allowed))[:, :, 0]


@pytest.mark.slow
@pytest.mark.parametrize("job", every(3, JOBS, 1), ids=lambda job: job.name.split(":")[0])
def test_no_random_point_is_worse_than_what_a_list_of_limits_shows(job: Job) -> None:
    rng = np.random.default_rng(7)
    guessed = with_guess(job, 150.0)
    poses = [(job, pose) for pose in job.poses] + [(guessed, pose) for pose in any_poses(job, rng, times(4, 20))]
    for loaded, pose in poses:
        worst, box, evaluator = asked(loaded, pose)
        names = [check.name for check in find_checks(loaded, box.numbers)]
        sampled = in_points(box, evaluator, rng, math.nan).max(axis=1)
        for name, use, there in zip(names, worst.use_of_each, sampled, strict=True):
            assert math.isnan(use) or there <= use + BEYOND * max(use, 1.0), (pose.name, name, use, there)
        # The list never contradicts the verdict.
        assert worst.passes == all(use <= 1.0 for use in worst.use_of_each)


@pytest.mark.slow
@pytest.mark.parametrize("job", every(3, JOBS), ids=lambda job: job.name.split(":")[0])
def test_the_load_that_each_limit_allows_just_meets_it(job: Job) -> None:
    """Known exactly, that load is over the limit in no random point; a little more is over it in some corner."""
    rng = np.random.default_rng(8)
    for pose in job.poses:
        worst, box, evaluator = asked(job, pose)
        checks = find_checks(job, box.numbers)
        assert min(worst.allowed_load_kg) == worst.allowed_kg == worst.allowed_load_kg[worst.governing_index]
        for index, (check, load_kg) in enumerate(zip(checks, worst.allowed_load_kg, strict=True)):
            if not 1.0 < load_kg < HEAVY_KG:
                continue
            sampled = in_points(box, evaluator, rng, load_kg)[index].max()
            assert sampled <= 1.0 + BEYOND, (pose.name, check.name, load_kg)
            chord = index == worst.governing_index
            if not chord and load_kg >= float(check.allowed_load_kg):
                continue  # the closed form for values as entered allows no more
            starts = numbers_of(rng.choice((-1.0, 1.0), (len(box.entries), STARTS)))
            more = corner_climb.Climbers(
                limit=np.full(STARTS, index),
                pose=np.zeros(STARTS, int),
                corner=starts,
                load_kg=np.full(STARTS, load_kg * (CHORD if chord else 1.0 + BEYOND)),
            )
            _, use = corner_climb.climb(box, evaluator, more, corner_climb.use_height)
            assert use.max() > 1.0, (pose.name, check.name, load_kg)


def test_a_side_that_the_truck_leans_to_only_in_some_corners_is_found(boatyard: Job) -> None:
    """Straight ahead the load is over neither side; an arm a little off its mark leans the truck to one of them."""
    rng = np.random.default_rng(5)
    job, found = with_guess(boatyard, 150.0), 0
    for pose in any_poses(job, rng, 60):
        _, box, evaluator = asked(job, pose)
        nominal = corner_search.nominal_uses(find_checks(job, box.numbers))
        alone = corner_search.search_by_arrays(box, nominal, evaluator)
        climbed = corner_search.worst_of_poses(box, nominal, evaluator)
        finite = np.isfinite(alone.use)
        assert (climbed.use[finite] >= alone.use[finite]).all()
        bent = finite & is_bent(alone.use, alone.bend, corner_rules.BENT)
        found += int((climbed.use[bent] > alone.use[bent] + 5.0 * BEYOND).any())
    assert found, "no pose in which entries do together what none does alone"


def test_what_counts_in_a_drag_is_what_all_climbs_say(vineyard: Job) -> None:
    rng = np.random.default_rng(6)
    left_out = 0
    for pose in any_poses(vineyard, rng, 60):
        worst, box, evaluator = asked(vineyard, pose)
        at_once, use = np.array(worst.use_at_once), np.array(worst.use)
        left_out += worst.left_out
        assert (use == corner_search.worst_of_poses(box, worst.nominal.value, evaluator).use[:, 0]).all()
        assert (at_once <= use).all()
        assert worst.passes == bool((use <= 1.0).all())
        assert worst.worst_index == use.argmax()
        checks = find_checks(vineyard, box.numbers)
        tipping = [index for index, check in enumerate(checks) if is_tipping(check)]
        truck, rig = ([at for at, check in enumerate(checks) if check.side == side] for side in ("truck", "rig"))
        assert len(tipping) == len(LINES) and truck and rig
        assert at_once[worst.governing_index] == use[worst.governing_index]
        for group in (tipping, truck, rig):
            assert at_once[group].argmax() == use[group].argmax()
            assert at_once[group].max() == use[group].max()
    assert left_out, "no pose in which a climb is left out"


def test_a_climb_goes_its_own_way_whoever_climbs_with_it(vineyard: Job) -> None:
    worst, box, evaluator = asked(vineyard, vineyard.poses[0])
    rng = np.random.default_rng(2)
    limits = np.arange(len(worst.use))
    corner = numbers_of(rng.integers(-1, 2, (len(box.entries), len(limits))))
    climbers = corner_climb.Climbers(
        limit=limits, pose=limits * 0, corner=corner, load_kg=np.full(len(limits), math.nan)
    )
    together, top = corner_climb.climb(box, evaluator, climbers, corner_climb.use_height)
    for index in (0, 3, len(limits) - 1):
        alone, height = corner_climb.climb(box, evaluator, climbers.some([index]), corner_climb.use_height)
        assert alone.corner[0] == together.corner[index] and height[0] == top[index]


def test_columns_of_one_pose_are_the_same_by_machine_code_as_by_figures(vineyard: Job) -> None:
    pytest.importorskip("llvmlite", reason="there is no llvmlite for this Python")
    _, box, evaluator = asked(vineyard, vineyard.poses[0])
    known = tuple(entry for entry in box.entries if entry.field != "load_kg")
    rng = np.random.default_rng(4)
    for entries in (box.entries, known):
        some = box_around(vineyard, box.numbers, entries)
        sides = rng.integers(-1, 2, (len(entries), 7, 3)).astype(np.int8)
        loads_kg = np.where(rng.random((7, 3)) < 0.5, math.nan, rng.uniform(0.0, 500.0, (7, 3)))
        columns = Columns(sides=sides, load_kg=loads_kg)
        by_code = evaluate_columns(some, evaluator, columns)
        by_figures = evaluate_columns(some, Evaluator(), columns)
        assert evaluator.machine_code is not None
        for name in by_code.__struct_fields__:
            assert getattr(by_code, name) == pytest.approx(getattr(by_figures, name), rel=1e-9, nan_ok=True)


def test_where_a_climb_ends_no_entry_by_itself_is_worse(vineyard: Job) -> None:
    worst, box, evaluator = asked(vineyard, vineyard.poses[0])
    limits = np.arange(len(worst.use))
    middle = numbers_of(np.zeros((len(box.entries), len(limits))))
    climbers = corner_climb.Climbers(
        limit=limits, pose=limits * 0, corner=middle, load_kg=np.full(len(limits), math.nan)
    )
    ended, top = corner_climb.climb(box, evaluator, climbers, corner_climb.use_height)
    sides = sides_of(ended.corner[None], len(box.entries))[:, 0].astype(float)
    for entry in range(len(box.entries)):
        for side in (-1.0, 0.0, 1.0):
            changed = sides.copy()
            changed[entry] = side
            columns = Columns(sides=changed[:, :, None], load_kg=np.full((len(limits), 1), math.nan))
            there = evaluate_columns(box, evaluator, columns)
            use = corner_climb.use_height(there.demand[limits, limits, 0], there.allowed[limits, limits, 0])
            assert (use <= top + 1e-6 * np.abs(top)).all()


def test_a_straight_limit_has_no_bend_and_no_climb_finds_more(stone_yard: Job) -> None:
    """The rated load is a sum of weights: each entry counts by itself."""
    pose = stone_yard.poses[0]
    numbers = with_bending(stone_yard, figures(stone_yard, pose))
    box = box_around(stone_yard, numbers, entries_of(stone_yard, pose, numbers))
    checks = find_checks(stone_yard, numbers)
    evaluator = evaluator_of(stone_yard, numbers)
    worst = corner_search.search_by_arrays(box, corner_search.nominal_uses(checks), evaluator)
    index = next(index for index, check in enumerate(checks) if check.kind == "rated load")
    assert worst.bend[index, 0] == pytest.approx(0.0, abs=1e-12)
    climbed = corner_search.climbed_uses(box, evaluator, worst, np.array([index]), np.array([0]))
    assert climbed == pytest.approx(worst.use[index])


def test_what_is_not_a_number_anywhere_near_is_as_bad_as_can_be(vineyard: Job) -> None:
    worst, box, evaluator = asked(vineyard, vineyard.poses[0])
    lost = msgspec.structs.replace(box, up=np.where(np.arange(len(box.entries))[:, None] == 0, math.nan, box.up))
    climbers = corner_climb.Climbers(
        limit=np.array([0]),
        pose=np.array([0]),
        corner=numbers_of(np.ones((len(box.entries), 1))),
        load_kg=np.array([math.nan]),
    )
    _, top = corner_climb.climb(lost, evaluator, climbers, corner_climb.use_height)
    assert top[0] == math.inf and worst.use[0] < math.inf
