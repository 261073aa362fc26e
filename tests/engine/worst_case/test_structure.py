"""One recording for every rig of one structure: its limits are the formulas' own, whatever the numbers."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.jit.trace import CannotRecordError, Recorder
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import filled, inputs_of, map_numbers
from engine.rig.kinematics import Figures, figures, fitted_arms
from engine.schema import rig_file
from engine.schema.model import Job
from engine.worst_case import recorded_formulas, structure
from engine.worst_case.recorded_formulas import evaluate_pose, found_formulas, values_of
from engine.worst_case.structure import Structure
from engine.worst_case.verdict import evaluate, find_problems
from tests.samples import read_once
from tests.thoroughness import every, times

SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))
REPLACE = msgspec.structs.replace


def judged(path: Path) -> bool:
    job = read_once(path)
    return not find_problems(job, job.poses[0])


PATHS = [path for path in SAMPLES if judged(path)]


class Numbers:
    """In place of stand-ins: other numbers, in the order in which stand-ins are made."""

    def __init__(self, numbers: Iterator[float]) -> None:
        self._numbers = numbers

    def new_input(self, _: float, *, is_switch: bool) -> float:
        return next(self._numbers)


def numbers_of(job: Job) -> list[float]:
    return Structure(job, ())._numbers


def with_numbers(job: Job, numbers: list[float]) -> Job:
    """The job with other numbers, past the checks of its types, as stand-ins are put in."""
    return structure._with_stand_ins(job, Numbers(iter(numbers)))  # type: ignore[arg-type]


def variants(job: Job) -> Figures:
    rng = np.random.default_rng(5)
    numbers = with_bending(job, figures(job, job.poses[0]))
    return map_numbers(numbers, lambda number: number * (1.0 + 0.02 * rng.uniform(-1.0, 1.0, 9)))


def says_what_the_formulas_say(job: Job) -> bool:
    """Whether there is a recording for a job; if so, it must say what the formulas say."""
    bare = figures(job, job.poses[0])
    recorded = found_formulas(job, bare)
    if recorded is None:
        return False
    spread = variants(job)
    wanted = filled(values_of(job, spread), (9,))
    assert np.allclose(recorded.values(inputs_of(spread), (9,)), wanted, rtol=1e-11, atol=1e-9, equal_nan=True)
    mine, theirs = recorded.evaluate_pose(inputs_of(bare)), evaluate_pose(job, bare)
    assert [check.name for check in mine.checks] == [check.name for check in theirs.checks]
    for one, other in zip(mine.checks, theirs.checks, strict=True):
        assert one.numbers.keys() == other.numbers.keys()
        assert (one.demand, one.allowed) == pytest.approx((other.demand, other.allowed), rel=1e-11, nan_ok=True)
        assert one.allowed_load_kg == pytest.approx(other.allowed_load_kg, rel=1e-9, nan_ok=True)
    return True


@pytest.mark.parametrize("path", every(4, PATHS), ids=lambda path: path.name.removesuffix(".rig.json"))
def test_rigs_with_other_numbers_get_the_formulas_own_limits(path: Path) -> None:
    """One to forty numbers changed by up to a twentieth; most of the rigs with one number changed need no recording."""
    job = rig_file.read(path)
    assert recorded_formulas.recorded_formulas(job, figures(job, job.poses[0]), quick=True) is not None
    rng = np.random.default_rng(3)
    numbers, found, tries = numbers_of(job), 0, times(16, 200)
    for index in range(tries):
        changed = list(numbers)
        for at in rng.choice(len(numbers), 1 if index % 2 else rng.integers(2, 40), replace=False):
            changed[at] *= 1.0 + 0.05 * rng.uniform(-1.0, 1.0)
        with contextlib.suppress(ValueError):  # no such rig can be entered: a pin wider than its hole
            found += says_what_the_formulas_say(with_numbers(job, changed))
    assert found >= 0.3 * tries


def test_numbers_are_put_back_where_they_were() -> None:
    job = read_once(SAMPLES[0])
    again = with_numbers(job, numbers_of(job))
    assert again == job and again.rig is not job.rig
    doubled = [2.0 * number for number in numbers_of(job)]
    assert numbers_of(with_numbers(job, doubled)) == doubled


def test_every_sample_is_recorded() -> None:
    """What cannot be recorded is slow for ever: none of the samples is."""
    for path in every(3, PATHS, 1):
        job = read_once(path)
        bare = with_bending(job, figures(job, job.poses[0]))
        recorder = Recorder()
        known = structure._with_stand_ins(job, structure.KnownRecorder())
        assert len(values_of(known, map_numbers(bare, lambda _, into=recorder: into.new_input()))) > 40


@pytest.mark.usefixtures("no_evaluators")
def test_other_parts_names_or_choices_are_another_structure(boatyard: Job) -> None:
    fitted = fitted_arms(figures(boatyard, boatyard.poses[0]))

    def key(job: Job) -> object:
        return Structure(job, fitted)._key

    rig, boom = boatyard.rig, boatyard.rig.boom
    longer = REPLACE(boatyard, rig=REPLACE(rig, boom=REPLACE(boom, length_m=boom.length_m + 0.1)))
    assert key(longer) == key(boatyard)
    others = (
        REPLACE(boatyard, rig=REPLACE(rig, boom=REPLACE(boom, hole_count=boom.hole_count - 1))),
        REPLACE(boatyard, rig=REPLACE(rig, arms=(REPLACE(rig.arms[0], name="elbow"), *rig.arms[1:]))),
        REPLACE(boatyard, rig=REPLACE(rig, boom=REPLACE(boom, steel=rig.arms[0].steel + " of another name"))),
        REPLACE(boatyard, approval=None if boatyard.approval is not None else "one"),
    )
    assert all(key(other) != key(boatyard) for other in others)
    assert Structure(boatyard, fitted[:1])._key != key(boatyard)


@pytest.mark.usefixtures("no_evaluators")
def test_a_rig_that_takes_another_way_through_the_formulas_is_recorded_by_itself(boatyard: Job) -> None:
    """A front saddle ahead of the jib mast's face; then both recordings serve."""
    bare = figures(boatyard, boatyard.poses[0])
    other = REPLACE(boatyard, rig=REPLACE(boatyard.rig, saddles=REPLACE(boatyard.rig.saddles, front_x_m=0.2)))
    assert recorded_formulas.recorded_formulas(boatyard, bare, quick=True) is not None
    assert found_formulas(other, bare) is None
    assert recorded_formulas.recorded_formulas(other, bare, quick=True) is not None
    assert says_what_the_formulas_say(other) and says_what_the_formulas_say(boatyard)


@pytest.mark.usefixtures("no_evaluators")
def test_code_made_in_haste_is_made_better_in_a_quiet_moment(boatyard: Job) -> None:
    bare = figures(boatyard, boatyard.poses[0])
    asked: list[bool] = []
    right = recorded_formulas._values_and_pose

    def counted(job: Job, known: Job, numbers: Figures, quick: bool) -> object:
        asked.append(quick)
        return right(job, known, numbers, quick)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(recorded_formulas, "_values_and_pose", counted)
        for quick in (True, True, False, False, True):
            recorded_formulas.recorded_formulas(boatyard, bare, quick)
    assert asked == [True, False]


@pytest.mark.usefixtures("no_evaluators")
def test_code_that_somebody_waits_for_is_made_in_haste_though_the_limits_own_was_not(boatyard: Job) -> None:
    bare = figures(boatyard, boatyard.poses[0])
    recorded = recorded_formulas.recorded_formulas(boatyard, bare, quick=False)
    assert recorded is not None
    asked: list[bool] = []
    right = recorded_formulas.machine_functions

    def counted(recorder: Recorder, parts: list[list[object]], quick: bool = False) -> object:
        asked.append(quick)
        return right(recorder, parts, quick)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(recorded_formulas, "machine_functions", counted)
        recorded.nominal.extremes(bare, ())
    assert asked and all(asked)


@pytest.mark.usefixtures("no_evaluators")
def test_the_verdict_of_a_changed_rig_is_that_of_a_fresh_start(boatyard: Job) -> None:
    boom = boatyard.rig.boom
    longer = REPLACE(boatyard, rig=REPLACE(boatyard.rig, boom=REPLACE(boom, length_m=boom.length_m + 0.013)))
    walked = evaluate(longer, longer.poses[0])
    bare = figures(boatyard, boatyard.poses[0])
    assert recorded_formulas.recorded_formulas(boatyard, bare) is not None
    again = REPLACE(longer, rig=REPLACE(longer.rig))
    assert found_formulas(again, bare) is not None
    found = evaluate(again, again.poses[0])
    assert (found.state, found.governing.name) == (walked.state, walked.governing.name)
    assert found.allowed_load_kg == pytest.approx(walked.allowed_load_kg, rel=1e-9)
    assert [use for _, use in found.worst_uses] == pytest.approx([use for _, use in walked.worst_uses], rel=1e-9)


def test_what_cannot_be_recorded_is_left_to_the_formulas(boatyard: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    def cannot(*_: object) -> object:
        raise CannotRecordError("a value is branched on")

    monkeypatch.setattr(recorded_formulas, "values_of", cannot)
    assert recorded_formulas.recorded_formulas(boatyard, figures(boatyard, boatyard.poses[0])) is None
