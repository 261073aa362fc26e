"""Recorded formulas say what the formulas say, with machine code and without it, or are not used."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.geometry import Array
from engine.jit import machine_code
from engine.jit.machine_code import MachineFunction, machine_function, machine_functions
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import filled, inputs_of, map_numbers
from engine.rig.kinematics import Figures, figures, fitted_arms
from engine.schema.model import Job
from engine.worst_case import evaluator, recorded_formulas
from engine.worst_case.recorded_formulas import RecordedFormulas, values_of
from engine.worst_case.structure import Structure, forget_recordings
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

pytest.importorskip("llvmlite", reason="there is no llvmlite for this Python")

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"


def formulas_of(job: Job, numbers: Figures) -> RecordedFormulas:
    recorded = recorded_formulas.recorded_formulas(job, numbers, quick=True)
    assert recorded is not None
    return recorded


def variants(job: Job, count: int = 50):
    numbers = with_bending(job, figures(job, job.poses[0]))
    rng = np.random.default_rng(11)
    return map_numbers(numbers, lambda number: number * (1.0 + 0.02 * rng.uniform(-1.0, 1.0, count)))


@pytest.mark.parametrize("name", ["cold_spring_vineyard", "dunmere_bell_hangers", "larkfield_carousel_works"])
def test_limits_of_a_rig_are_those_of_the_formulas(name: str) -> None:
    job = read_once(SAMPLES / f"{name}.rig.json")
    spread = variants(job)
    recorded = formulas_of(job, figures(job, job.poses[0]))
    wanted = filled(values_of(job, spread), (50,))
    values = recorded.values(inputs_of(spread), (50,))
    assert np.allclose(values, wanted, rtol=1e-12, atol=1e-12, equal_nan=True)


def test_formulas_first_asked_for_over_many_poses_are_made_code_of_too(boatyard: Job) -> None:
    spread = map_numbers(variants(boatyard), lambda number: number[:, None] * np.linspace(0.99, 1.0, 3))
    values = formulas_of(boatyard, spread).values(inputs_of(spread), (50, 3))
    assert np.allclose(values, filled(values_of(boatyard, spread), (50, 3)), rtol=1e-12, atol=1e-12, equal_nan=True)


@pytest.mark.usefixtures("no_evaluators")
def test_the_verdict_is_the_same_without_machine_code(boatyard: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    evaluator._evaluator_of.cache_clear()
    evaluator.record_ahead(boatyard, boatyard.poses[0])
    with_code = evaluate(boatyard, boatyard.poses[0])
    evaluator._evaluator_of.cache_clear()
    forget_recordings()
    monkeypatch.setattr(machine_code, "_code_of", no_code)
    evaluator.record_ahead(boatyard, boatyard.poses[0])
    assert evaluate(boatyard, boatyard.poses[0]) == with_code


def no_code(*_: object) -> None:
    raise RuntimeError("no code may be made")


@pytest.mark.usefixtures("no_evaluators")
@pytest.mark.parametrize(
    "fault", [RuntimeError("no code may be made"), OSError("no C library"), ImportError("no llvmlite")]
)
def test_a_system_that_lets_no_program_make_code_gets_numpy(
    boatyard: Job, monkeypatch: pytest.MonkeyPatch, fault: Exception
) -> None:
    def refuse(*_: object) -> None:
        raise fault

    monkeypatch.setattr(machine_code, "_code_of", refuse)
    assert (
        formulas_of(boatyard, figures(boatyard, boatyard.poses[0]))
        .values(inputs_of(variants(boatyard)), (50,))
        .shape[1]
        == 50
    )


class Off:
    """Code whose results are a thousandth too great."""

    def __init__(self, run: MachineFunction) -> None:
        self.run, self.known, self.constants = run, run.known, run.constants

    def __call__(self, inputs: object, shape: tuple[int, ...]) -> Array:
        return self.run(inputs, shape) * 1.001

    tried_out = __call__


@pytest.mark.usefixtures("no_evaluators")
def test_code_that_says_something_else_than_the_formulas_is_not_used(
    boatyard: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    right = machine_functions

    def wrong(*given: object, **how: object) -> list[object]:
        return [Off(run) for run in right(*given, **how)]

    monkeypatch.setattr(recorded_formulas, "machine_functions", wrong)
    values = formulas_of(boatyard, figures(boatyard, boatyard.poses[0])).values(inputs_of(variants(boatyard)), (50,))
    assert np.array_equal(values, filled(values_of(boatyard, variants(boatyard)), (50,)), equal_nan=True)


@pytest.mark.usefixtures("no_evaluators")
def test_a_single_pose_is_held_against_the_formulas_too(boatyard: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    right = machine_function
    monkeypatch.setattr(
        "engine.jit.python_code.machine_function",
        lambda *given, **how: Off(right(*given, **how)),
    )
    bare = figures(boatyard, boatyard.poses[0])
    assert formulas_of(boatyard, bare).evaluate_pose(inputs_of(bare)) == recorded_formulas.evaluate_pose(boatyard, bare)


def longer_boom(job: Job, more_m: float) -> Job:
    boom = msgspec.structs.replace(job.rig.boom, length_m=job.rig.boom.length_m + more_m)
    return msgspec.structs.replace(job, rig=msgspec.structs.replace(job.rig, boom=boom))


def test_rigs_alike_but_for_their_numbers_share_one_recording(boatyard: Job) -> None:
    """Nothing is recorded or made for the longer boom, and every bit of its limits is the formulas' own."""
    one, longer = (longer_boom(boatyard, more_m) for more_m in (0.0, 0.0523))
    formulas_of(one, figures(one, one.poses[0]))
    spread = variants(longer)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(recorded_formulas, "Recorder", lambda: pytest.fail("recorded again"))
        values = formulas_of(longer, figures(longer, longer.poses[0])).values(inputs_of(spread), (50,))
    assert np.allclose(values, filled(values_of(longer, spread), (50,)), rtol=1e-12, atol=1e-12, equal_nan=True)


@pytest.mark.usefixtures("no_evaluators")
def test_walks_count_for_all_rigs_of_a_structure_and_anew_once_it_is_recorded(boatyard: Job) -> None:
    """Rigs alike but for their numbers, looked at once each: after 48 walks the structure is recorded for all."""
    made: list[bool] = []
    for at in range(50):
        job = longer_boom(boatyard, 0.001 * at)
        one = evaluator.evaluator_of(job, figures(job, job.poses[0]))
        one.evaluate_pose(job, figures(job, job.poses[0]))
        made.append(one._recorded is not None)
    assert made.index(True) == math.ceil(evaluator.RECORD_AFTER_WALKS / (1.0 + 1.0 / evaluator.VARIANTS_OF_A_WALK)) - 1
    assert all(made[made.index(True) :])
    bare = figures(boatyard, boatyard.poses[0])
    assert Structure(boatyard, fitted_arms(bare)).walks.count == 0.0
