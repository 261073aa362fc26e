"""Best values over many poses are those of the formulas, whatever governs."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.planning.sweep import best_over
from engine.rig.figure_vector import map_numbers
from engine.rig.kinematics import Figures, figures
from engine.schema.model import Job
from engine.worst_case.evaluator import evaluator_of, record_ahead
from engine.worst_case.nominal import nominal_extremes, nominal_limits
from engine.worst_case.recorded_formulas import RecordedFormulas, recorded_formulas
from tests.samples import read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"


def any_stances(job: Job, count: int = 400) -> Figures:
    """Poses all over, light and heavy loads: what governs changes from one to the next."""
    rng, upright = np.random.default_rng(3), job.truck.upright
    return msgspec.structs.replace(
        figures(job, job.poses[0]),
        lift_m=rng.uniform(upright.lift_min_m, upright.lift_max_m, count),
        tilt_rad=rng.uniform(-upright.tilt_forward_max_rad, upright.tilt_back_max_rad, count),
        turns_rad=tuple(rng.uniform(-1.5, 1.5, count) for _ in job.rig.arms),
        load_kg=rng.choice([0.0, 50.0, 400.0, 5000.0], count),
    )


def formulas_of(job: Job, poses: Figures) -> RecordedFormulas:
    recorded = recorded_formulas(job, poses, quick=True)
    assert recorded is not None
    return recorded


def searched_of(recorded: RecordedFormulas) -> tuple[int, ...]:
    """Limits whose allowed load takes a search."""
    return recorded.nominal._limits_function[0].searched


def agree(recorded: RecordedFormulas, job: Job, poses: Figures, count: int) -> None:
    limits, wanted = recorded.nominal.limits(poses, (count,)), nominal_limits(job, poses, (count,))
    assert np.allclose(limits.use, wanted.use, rtol=1e-12, atol=1e-12, equal_nan=True)
    for mine, theirs in zip(limits.numbers.bent_m, wanted.numbers.bent_m, strict=True):
        assert np.allclose(mine, theirs, rtol=1e-12, atol=1e-15)
    said = np.isfinite(limits.allowed_load_kg)
    assert np.allclose(limits.allowed_load_kg[said], wanted.allowed_load_kg[said], rtol=1e-9)
    smallest = nominal_extremes(wanted)
    for mine in (nominal_extremes(limits), recorded.nominal.extremes(poses, (count,))):
        assert np.array_equal(mine.worst, smallest.worst) and np.array_equal(mine.governing, smallest.governing)
        assert np.allclose(mine.use, smallest.use, rtol=1e-12) and np.allclose(
            mine.allowed_load_kg, smallest.allowed_load_kg, rtol=1e-9
        )


@pytest.mark.parametrize("name", ["cold_spring_vineyard", "tarn_hollow_stone_yard", "larkfield_carousel_works"])
def test_best_values_over_many_poses_are_those_of_the_formulas(name: str) -> None:
    """Two arms, none, and one that stops at a braking allowance and a swing."""
    job = read_once(SAMPLES / f"{name}.rig.json")
    poses = any_stances(job, 120)
    agree(formulas_of(job, poses), job, poses, 120)


@pytest.mark.parametrize("code", [True, False], ids=["machine code", "array calls"])
def test_a_search_is_made_where_it_governs(boatyard: Job, monkeypatch: pytest.MonkeyPatch, code: bool) -> None:
    """Thin boom tube: bending, push and twist together give first, and no closed form says at which load."""
    if not code:
        monkeypatch.setattr("engine.worst_case.recorded_formulas.machine_functions", lambda *_, **__: None)
    boom = boatyard.rig.boom
    thin = msgspec.structs.replace(
        boom, section=msgspec.structs.replace(boom.section, wall_m=0.3 * boom.section.wall_m)
    )
    job = msgspec.structs.replace(boatyard, rig=msgspec.structs.replace(boatyard.rig, boom=thin))
    poses = any_stances(job)
    recorded = formulas_of(job, poses)
    agree(recorded, job, poses, 400)
    governing = nominal_extremes(nominal_limits(job, poses, (400,))).governing
    assert np.isin(governing, searched_of(recorded)).any() and not np.isin(governing, searched_of(recorded)).all()


def test_one_pose_and_a_grid_have_answers_of_their_own_shape(boatyard: Job) -> None:
    boom = boatyard.rig.boom
    thin = msgspec.structs.replace(
        boom, section=msgspec.structs.replace(boom.section, wall_m=0.3 * boom.section.wall_m)
    )
    job = msgspec.structs.replace(boatyard, rig=msgspec.structs.replace(boatyard.rig, boom=thin))
    row = any_stances(job, 6)
    recorded = formulas_of(job, row)
    wanted = recorded.nominal.extremes(row, (6,))
    assert np.isin(wanted.governing, searched_of(recorded)).any()
    for shape in ((2, 3), (6, 1)):
        grid = map_numbers(
            row, lambda number, shape=shape: number.reshape(shape) if isinstance(number, np.ndarray) else number
        )
        for mine, theirs in zip(recorded.nominal.extremes(grid, shape), wanted, strict=True):
            assert np.array_equal(mine, theirs.reshape(shape))
    for place in range(6):
        one = map_numbers(
            row, lambda number, place=place: float(number[place]) if isinstance(number, np.ndarray) else number
        )
        for mine, theirs in zip(recorded.nominal.extremes(one, ()), wanted, strict=True):
            assert mine.shape == () and mine == pytest.approx(theirs[place], rel=1e-12)


def test_what_is_not_known_counts_as_over_and_allows_nothing(vineyard: Job) -> None:
    poses = msgspec.structs.replace(any_stances(vineyard, 9), load_kg=np.where(np.arange(9) % 2, np.nan, 100.0))
    extremes = formulas_of(vineyard, poses).nominal.extremes(poses, (9,))
    assert np.array_equal(np.isinf(extremes.use), np.arange(9) % 2 == 1)
    agree(formulas_of(vineyard, poses), vineyard, poses, 9)


@pytest.mark.usefixtures("no_evaluators")
def test_stances_are_chosen_by_the_same_numbers_whether_recorded_or_not(vineyard: Job) -> None:
    poses = any_stances(vineyard, 50)
    fresh = msgspec.structs.replace(vineyard, rig=msgspec.structs.replace(vineyard.rig))
    walked = best_over(fresh, fresh.poses[0], poses, "nothing")
    assert evaluator_of(fresh, poses)._recorded is None
    record_ahead(fresh, fresh.poses[0])
    replayed = best_over(fresh, fresh.poses[0], poses, "nothing")
    assert evaluator_of(fresh, poses)._recorded is not None
    assert walked.names == replayed.names and np.array_equal(walked.governing, replayed.governing)
    assert np.allclose(walked.allowed_kg, replayed.allowed_kg, rtol=1e-9) and np.allclose(
        walked.use, replayed.use, rtol=1e-12
    )
