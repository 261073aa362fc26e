"""What holds for every strength limit of every rig and pose, whatever the part."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from rigs import BOATYARD, JOBS, REPLACE, VINEYARD, any_figures, any_job, at_loads, checks, stacked, without_weights

from engine.base.formatting import fill
from engine.rig.kinematics import figures, place
from engine.rig.load_path import load_path, rig_parts
from engine.strength import all_parts
from engine.strength.all_parts import checks_under
from engine.strength.cuts import PullDirection, cuts_of, pull_directions


@pytest.mark.parametrize("seed", range(12))
def test_a_sweep_gives_what_each_single_pose_gives(seed: int) -> None:
    dice = random.Random(seed)
    job = any_job(dice)
    first = any_figures(dice, job)
    singles = [first, *(_same_arms(any_figures(dice, job), first) for _ in range(3))]
    swept = checks(job, stacked(singles))
    for index, numbers in enumerate(singles):
        for one, many in zip(checks(job, numbers), swept, strict=True):
            assert (one.part, one.kind) == (many.part, many.kind)
            for field in ("use", "demand", "allowed", "allowed_load_kg"):
                there = np.broadcast_to(np.asarray(getattr(many, field), float), (4,))[index]
                assert there == pytest.approx(getattr(one, field), rel=1e-9, abs=1e-6), (one.part, one.kind, field)


def test_few_poses_under_all_pulls_at_once_are_as_many_under_one_after_the_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for seed in range(6):
        dice = random.Random(2000 + seed)
        job = any_job(dice)
        first = any_figures(dice, job)
        swept = stacked([first, *(_same_arms(any_figures(dice, job), first) for _ in range(3))])
        few = checks(job, swept)
        with monkeypatch.context() as patch:
            patch.setattr(all_parts, "FEW", 0)
            many = checks(job, swept)
        for a, b in zip(few, many, strict=True):
            for field in ("use", "demand", "allowed", "allowed_load_kg"):
                told = [np.broadcast_to(np.asarray(getattr(check, field)), (4,)) for check in (a, b)]
                np.testing.assert_array_equal(*told, err_msg=f"{a.name}: {field}")
            for key, value in a.numbers.items():
                told = [np.broadcast_to(np.asarray(shown), (4,)) for shown in (value, b.numbers[key])]
                np.testing.assert_array_equal(*told, err_msg=f"{a.name}: {key}")


def _same_arms(numbers: object, like: object) -> object:
    turns = tuple(
        None if kept is None else turn or 0.3 for turn, kept in zip(numbers.turns_rad, like.turns_rad, strict=True)
    )
    return REPLACE(numbers, turns_rad=turns)


@pytest.mark.parametrize("seed", range(25))
def test_the_allowed_load_is_where_the_use_passes_one(seed: int) -> None:
    dice = random.Random(1000 + seed)
    job = any_job(dice)
    numbers = any_figures(dice, job)
    limits = checks(job, numbers)
    allowed = np.array([check.allowed_load_kg for check in limits])
    there = np.isfinite(allowed) & (allowed > 0.0)
    loads = np.where(there, allowed, 1.0)
    at, above, below = (at_loads(job, numbers, loads * factor) for factor in (1.0, 1.0001, 0.5))
    empty, heavy = at_loads(job, numbers, 0.0 * loads), at_loads(job, numbers, 0.0 * loads + 1e5)
    for index, check in enumerate(limits):
        name = check.name
        if there[index] and "nothing holds" in check.kind:
            assert at[index] in (0.0, math.inf) and above[index] == math.inf and below[index] == 0.0, name
        elif there[index]:
            assert at[index] == pytest.approx(1.0, abs=1e-8), name
            assert above[index] > 1.0 and below[index] <= 1.0 and empty[index] <= 1.0, name
        elif allowed[index] > 0.0:
            assert heavy[index] <= 1.0, name
        else:
            assert empty[index] >= 1.0 - 1e-9, name


@pytest.mark.parametrize("seed", range(12))
def test_over_the_limit_more_load_is_never_better(seed: int) -> None:
    """Every use is convex in the load: between two loads it is never over the greater of both."""
    dice = random.Random(2000 + seed)
    job = any_job(dice)
    numbers = any_figures(dice, job)
    loads = np.array([0.0, 100.0, 200.0, 400.0, 800.0, 1600.0])
    swept = checks(job, REPLACE(numbers, load_kg=loads))
    for check in swept:
        use = np.broadcast_to(check.use, loads.shape)
        over = np.flatnonzero(use > 1.0)
        if over.size:
            rising = use[over[0] :]
            assert np.all(rising[1:] >= rising[:-1] - 1e-9), (check.part, check.kind)


def test_hanging_straight_out_more_load_uses_more_of_everything() -> None:
    """No limit of the boatyard's jib gets easier from 200 to 300 kg, save what the load presses down."""
    numbers = figures(BOATYARD, BOATYARD.poses[0])
    light, heavy = (checks(BOATYARD, REPLACE(numbers, load_kg=load)) for load in (200.0, 300.0))
    for less, more in zip(light, heavy, strict=True):
        assert more.use >= less.use - 1e-12, (more.part, more.kind)


@pytest.mark.parametrize("name", list(JOBS))
def test_without_any_weight_nothing_is_used(name: str) -> None:
    job = JOBS[name]
    for check in checks(job, without_weights(figures(job, job.poses[0]))):
        assert check.use == 0.0, (check.part, check.kind)
        assert check.allowed_load_kg >= 0.0


@pytest.mark.parametrize("seed", range(8))
def test_mirrored_arms_and_floor_use_the_same(seed: int) -> None:
    dice = random.Random(3000 + seed)
    job = any_job(dice)
    numbers = any_figures(dice, job)
    turns = tuple(None if turn is None else -turn for turn in numbers.turns_rad)
    mirrored = REPLACE(numbers, turns_rad=turns, fall_across=-numbers.fall_across)
    for one, other in zip(checks(job, numbers), checks(job, mirrored), strict=True):
        assert other.use == pytest.approx(one.use, rel=1e-9, abs=1e-12), (one.part, one.kind)
        assert other.allowed_load_kg == pytest.approx(one.allowed_load_kg, rel=1e-9, abs=1e-9)
        assert other.place_m.y == pytest.approx(-one.place_m.y, abs=1e-12)


@pytest.mark.parametrize("seed", range(8))
def test_the_rig_does_not_care_where_the_origin_is(seed: int) -> None:
    """Forks raised, or the truck's front overhang longer: the same rig in another place.

    Only what forks without a stamp are assumed to carry goes by the plate's row for the height.
    """
    dice = random.Random(4000 + seed)
    job = any_job(dice)
    numbers = any_figures(dice, job)
    elsewhere = REPLACE(numbers, lift_m=numbers.lift_m + 1.7, front_overhang_m=numbers.front_overhang_m + 0.4)
    for one, other in zip(checks(job, numbers), checks(job, elsewhere), strict=True):
        if one.of == "rig":
            assert other.use == pytest.approx(one.use, rel=1e-9, abs=1e-12), (one.part, one.kind)


@pytest.mark.parametrize("seed", range(8))
def test_swing_and_braking_never_help(seed: int) -> None:
    dice = random.Random(5000 + seed)
    job = any_job(dice, allowances=False)
    job = REPLACE(job, policy=REPLACE(job.policy, swing_rad=0.0, braking=0.0))
    numbers = any_figures(dice, job)
    calm = checks(job, numbers)
    for changes in ({"swing_rad": 0.05}, {"braking": 0.1}, {"swing_rad": 0.05, "braking": 0.1}):
        rough = checks(REPLACE(job, policy=REPLACE(job.policy, **changes)), numbers)
        for one, other in zip(calm, rough, strict=True):
            assert other.use >= one.use - 1e-9, (one.part, one.kind)
            assert other.allowed_load_kg <= one.allowed_load_kg + 1e-6


def test_swing_bounds_every_direction_of_the_pull() -> None:
    """The four corners are at least as bad as a swing in any one of many directions."""
    job = REPLACE(VINEYARD, policy=REPLACE(VINEYARD.policy, swing_rad=0.1))
    numbers = figures(job, job.poses[1])
    placed = place(job, numbers)
    path, bound = load_path(rig_parts(placed)), checks(job, numbers)
    calm = pull_directions(placed, VINEYARD.policy)[0]
    sway = math.tan(0.1) * 9.80665
    for degrees in range(0, 360, 15):
        angle = math.radians(degrees)
        hung = calm.hung + type(calm.hung)(sway * math.cos(angle), sway * math.sin(angle), 0.0)
        cuts = cuts_of(job, placed, path, PullDirection(calm.own, hung))
        for one, most in zip(checks_under(job, placed, cuts), bound, strict=True):
            assert one.use <= most.use + 1e-9, (one.part, one.kind, degrees)


def test_a_stricter_design_factor_never_allows_more() -> None:
    for job in JOBS.values():
        numbers = figures(job, job.poses[0])
        for low, high in ((1.5, 2.0), (2.0, 3.0), (3.0, 5.0)):
            easy, strict = (
                checks(REPLACE(job, policy=REPLACE(job.policy, design_factor=factor)), numbers)
                for factor in (low, high)
            )
            for one, other in zip(easy, strict, strict=True):
                assert other.allowed_load_kg <= one.allowed_load_kg + 1e-6, (one.part, one.kind)


def test_an_unknown_number_is_never_within() -> None:
    """A floor whose fall is not known makes every limit that feels it unknown, not small."""
    numbers = REPLACE(figures(BOATYARD, BOATYARD.poses[0]), fall_along=math.nan)
    for check in checks(BOATYARD, numbers):
        if check.kind not in ("wear at the heel", "hung without its pin"):
            assert not check.use <= 1.0, (check.part, check.kind)
            assert not check.allowed_load_kg > 0.0, (check.part, check.kind)


@pytest.mark.parametrize("name", list(JOBS))
@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_sentence_can_be_filled(name: str, system: str) -> None:
    job = JOBS[name]
    for pose in job.poses:
        for check in checks(job, figures(job, pose)):
            words = fill(check.words, check.numbers, system)
            assert "{" not in words and "not known" not in words, words
            assert check.source


def test_every_part_of_the_load_path_is_there() -> None:
    limits = checks(BOATYARD, figures(BOATYARD, BOATYARD.poses[0]))
    parts = {check.part for check in limits}
    expected = {
        "sling",
        "shackle",
        "hook",
        "hook pin",
        "arm 1",
        "arm 2",
        "arm 1 hinge",
        "arm 2 hinge",
        "boom",
        "boom pin",
    }
    expected |= {
        "front strap",
        "rear strap",
        "saddle bed",
        "jib mast's cap",
        "jib mast",
        "cross-member",
        "sleeves",
        "forks",
    }
    assert parts == expected
    assert len({(check.part, check.kind) for check in limits}) == len(limits)
