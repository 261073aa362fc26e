"""Machine code says what the steps say, bit for bit, or is not used."""

from __future__ import annotations

import gc
import itertools
import math
import threading
import weakref
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.geometry import cos, least, most, ratio, sin, sqrt, where
from engine.jit import llvm_code
from engine.jit.llvm_code import machine_function, machine_functions
from engine.jit.python_code import array_function
from engine.jit.trace import CannotRecordError, Recorder
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import filled, inputs_of, map_numbers
from engine.rig.kinematics import figures
from engine.schema import rig_file
from engine.schema.model import Job
from engine.worst_case import evaluator
from engine.worst_case.evaluator import RecordedFormulas, values_of
from engine.worst_case.verdict import evaluate

pytest.importorskip("llvmlite", reason="there is no llvmlite for this Python")

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
ODD = (0.0, -0.0, 1.0, -2.5, 1e-300, 1e300, math.inf, -math.inf, math.nan)


def every_operation(a, b):
    over = (a > b) & ~(a == b) | (b >= 3.0)
    return [
        a + b,
        a - b,
        a * b,
        ratio(a, b),
        -a,
        abs(b),
        a**2,
        np.square(b),
        sqrt(a),
        least(a, b),
        most(a, b, 0.0),
        where(over, a, b),
        where(a < b, 1.5, where(a <= b, a, where(a != b, -1.0, b))),
        where(np.isfinite(a), a, 7.0),
        2.5,
        a,
    ]


def made(formula, count=2, **how):
    recorder = Recorder()
    results = formula(*(recorder.new_input() for _ in range(count)))
    return machine_function(recorder, results, **how), array_function(recorder, results)


@pytest.mark.parametrize("quick", [False, True])
def test_every_operation_is_that_of_numpy_whatever_the_numbers(quick: bool) -> None:
    a, b = np.array(list(itertools.product(ODD, ODD))).T
    code, replay = made(every_operation, quick=quick)
    found = code([a, b], a.shape)
    for mine, theirs in zip(found, replay([a, b]), strict=True):
        assert np.array_equal(mine, np.broadcast_to(theirs, a.shape), equal_nan=True)
        assert np.array_equal(np.signbit(mine), np.signbit(np.broadcast_to(theirs, a.shape))) or np.isnan(mine).any()


def test_sine_and_cosine_are_those_of_the_c_library() -> None:
    code, _ = made(lambda a: [sin(a), cos(a)], count=1)
    angles = np.random.default_rng(5).uniform(-7.0, 7.0, 401)
    wanted = [[math.sin(angle) for angle in angles], [math.cos(angle) for angle in angles]]
    assert np.array_equal(code([angles], angles.shape), wanted)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 7, 8, 9, 1001])
def test_any_number_of_variants_and_plain_numbers_among_them(count: int) -> None:
    code, replay = made(every_operation)
    a = np.linspace(-2.0, 5.0, count)
    assert np.array_equal(
        code([a, 1.25], (count,)),
        np.stack([np.broadcast_to(one, (count,)) for one in replay([a, 1.25])]),
        equal_nan=True,
    )
    assert np.array_equal(code([2.0, np.float64(1.25)], (count,))[:, -1], [float(one) for one in replay([2.0, 1.25])])


def test_arrays_that_broadcast_come_out_in_the_whole_shape() -> None:
    code, replay = made(every_operation)
    a, b = np.linspace(0.0, 3.0, 5)[:, None], np.linspace(-1.0, 4.0, 3)
    assert np.array_equal(
        code([a, b], (5, 3)), np.stack([np.broadcast_to(one, (5, 3)) for one in replay([a, b])]), equal_nan=True
    )
    assert code([a[:0], b], (0, 3)).shape == (16, 0, 3)
    assert np.array_equal(code([1.0, 2.0], ()), [float(one) for one in replay([1.0, 2.0])], equal_nan=True)


@pytest.mark.parametrize("count", [9, 4097, 8195])
@pytest.mark.parametrize("threads", [2, 3])
def test_threads_share_a_row_and_change_nothing(count: int, threads: int, monkeypatch: pytest.MonkeyPatch) -> None:
    code, _ = made(every_operation)
    a = np.random.default_rng(count).uniform(-2.0, 5.0, count)
    monkeypatch.setattr(llvm_code, "_threads", 1)
    wanted = code([a, 1.25], (count,))
    monkeypatch.setattr(llvm_code, "_threads", threads)
    monkeypatch.setattr(llvm_code, "VARIANTS_OF_A_THREAD", 4)
    assert np.array_equal(code([a, 1.25], (count,)), wanted, equal_nan=True)


@pytest.mark.parametrize("shape", [(2, 3, 5), (1, 2, 17), (4, 1, 3), (3, 2, 4)])
def test_a_grid_says_what_every_pose_of_it_says(shape: tuple[int, ...]) -> None:
    """What changes along a row, from row to row, with both and with nothing is worked out apart."""

    def formula(row, column, same):
        along = sin(column) * same
        return [along * cos(row) + column, along, sin(row), same * 2.0, where(row > column, along, row), 0.5]

    code, replay = made(formula, count=3, along=(1,))
    row = np.linspace(0.1, 1.0, math.prod(shape[:-1])).reshape(*shape[:-1], 1)
    column = np.linspace(-1.0, 1.0, shape[-1])
    for inputs in ([row, column, 1.5], [row[:1], column, 1.5], [0.25, column, row], [row, 0.5, 2.0]):
        wanted = np.stack([np.broadcast_to(one, shape) for one in replay(inputs)])
        assert np.array_equal(code(inputs, shape), wanted)
    with pytest.raises(ValueError, match="does not change along a row"):
        code([row, column, np.ones(shape)], shape)


def test_what_has_no_code_is_refused() -> None:
    with pytest.raises(CannotRecordError, match="arctan2"):
        made(lambda a, b: [np.arctan2(a, b)])
    with pytest.raises(CannotRecordError, match="got a truth"):
        made(lambda a, b: [(a > b) + b])
    code, _ = made(lambda a, b: [a])
    with pytest.raises(ValueError, match="Expected 2 inputs, got 1"):
        code([1.0], ())


# ---------------------------------------------------------------- the limits


def variants(job: Job, count: int = 50):
    numbers = with_bending(job, figures(job, job.poses[0]))
    rng = np.random.default_rng(11)
    return map_numbers(numbers, lambda number: number * (1.0 + 0.02 * rng.uniform(-1.0, 1.0, count)))


@pytest.mark.parametrize("name", ["cold_spring_vineyard", "dunmere_bell_hangers", "larkfield_carousel_works"])
def test_limits_of_a_rig_are_those_of_the_formulas(name: str) -> None:
    job = rig_file.read(SAMPLES / f"{name}.rig.json")
    spread = variants(job)
    written = RecordedFormulas(job, figures(job, job.poses[0]), quick=True)
    wanted = filled(values_of(job, spread), (50,))
    found = written.values(inputs_of(spread), (50,))
    assert np.allclose(found, wanted, rtol=1e-12, atol=1e-12, equal_nan=True)


def test_formulas_first_asked_for_over_many_poses_are_made_code_of_too(boatyard: Job) -> None:
    spread = map_numbers(variants(boatyard), lambda number: number[:, None] * np.linspace(0.99, 1.0, 3))
    found = RecordedFormulas(boatyard, spread, quick=True).values(inputs_of(spread), (50, 3))
    assert np.allclose(found, filled(values_of(boatyard, spread), (50, 3)), rtol=1e-12, atol=1e-12, equal_nan=True)


def test_the_verdict_is_the_same_without_machine_code(boatyard: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    evaluator._kept.cache_clear()
    evaluator.ready(boatyard, boatyard.poses[0])
    with_code = evaluate(boatyard, boatyard.poses[0])
    evaluator._kept.cache_clear()
    monkeypatch.setattr(llvm_code, "_compiled", no_code)
    evaluator.ready(boatyard, boatyard.poses[0])
    assert evaluate(boatyard, boatyard.poses[0]) == with_code
    evaluator._kept.cache_clear()


def no_code(*_: object) -> None:
    raise RuntimeError("no code may be made")


@pytest.mark.parametrize(
    "fault", [RuntimeError("no code may be made"), OSError("no C library"), ImportError("no llvmlite")]
)
def test_a_system_that_lets_no_program_make_code_gets_numpy(
    boatyard: Job, monkeypatch: pytest.MonkeyPatch, fault: Exception
) -> None:
    def refuse(*_: object) -> None:
        raise fault

    monkeypatch.setattr(llvm_code, "_compiled", refuse)
    assert made(every_operation)[0] is None
    assert (
        RecordedFormulas(boatyard, figures(boatyard, boatyard.poses[0]))
        .values(inputs_of(variants(boatyard)), (50,))
        .shape[1]
        == 50
    )


def test_code_that_says_something_else_than_the_formulas_is_not_used(
    boatyard: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    right = machine_functions

    def wrong(*given: object, **how: object) -> list[object]:
        return [lambda inputs, shape, run=run: run(inputs, shape) * 1.001 for run in right(*given, **how)]

    monkeypatch.setattr(evaluator, "machine_functions", wrong)
    found = RecordedFormulas(boatyard, figures(boatyard, boatyard.poses[0])).values(
        inputs_of(variants(boatyard)), (50,)
    )
    assert np.array_equal(found, filled(values_of(boatyard, variants(boatyard)), (50,)), equal_nan=True)


def test_a_single_pose_is_held_against_the_formulas_too(boatyard: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    right = machine_function
    monkeypatch.setattr(
        "engine.jit.python_code.machine_function",
        lambda *given, **how: lambda inputs, shape: right(*given, **how)(inputs, shape) * 1.001,
    )
    bare = figures(boatyard, boatyard.poses[0])
    assert RecordedFormulas(boatyard, bare, quick=True).evaluate_pose(inputs_of(bare)) == evaluator.evaluate_pose(
        boatyard, bare
    )


def test_rigs_alike_but_for_their_numbers_share_one_code(boatyard: Job, monkeypatch: pytest.MonkeyPatch) -> None:
    RecordedFormulas(boatyard, figures(boatyard, boatyard.poses[0]), quick=True)
    monkeypatch.setattr(llvm_code, "_make", lambda *_: pytest.fail("made again"))
    boom = msgspec.structs.replace(boatyard.rig.boom, length_m=boatyard.rig.boom.length_m + 0.05)
    longer = msgspec.structs.replace(boatyard, rig=msgspec.structs.replace(boatyard.rig, boom=boom))
    spread = variants(longer)
    found = RecordedFormulas(longer, figures(longer, longer.poses[0]), quick=True).values(inputs_of(spread), (50,))
    assert np.allclose(found, filled(values_of(longer, spread), (50,)), rtol=1e-12, atol=1e-12, equal_nan=True)


def test_codes_of_other_rigs_are_forgotten_in_the_end() -> None:
    for power in range(llvm_code.MOST_KEPT + 3):
        code, _ = made(lambda a, b, power=power: [added_up(a, b, power)])
        assert code([1.0, 2.0], ())[0] == 1.0 + 2.0 * (power + 1)
    assert len(llvm_code._latest) == llvm_code.MOST_KEPT


def test_code_that_somebody_holds_is_found_again_however_many_were_made_since(monkeypatch: pytest.MonkeyPatch) -> None:
    held, _ = made(lambda a, b: [added_up(a, b, 40)])
    gone, _ = made(lambda a, b: [added_up(a, b, 41)])
    there, key = weakref.ref(gone.compiled.made), len(llvm_code._alive)
    del gone
    for power in range(50, 50 + llvm_code.MOST_KEPT):
        made(lambda a, b, power=power: [added_up(a, b, power)])
    gc.collect()
    assert there() is None and len(llvm_code._alive) <= key + llvm_code.MOST_KEPT
    monkeypatch.setattr(llvm_code, "_make", lambda *_: pytest.fail("made again"))
    again, _ = made(lambda a, b: [added_up(a, b, 40)])
    assert again.compiled.made is held.compiled.made and again([1.0, 2.0], ())[0] == held([1.0, 2.0], ())[0]


def added_up(a, b, power):
    total = a + b
    for _ in range(power):
        total = total + b
    return total


def test_code_may_run_on_two_threads_at_once() -> None:
    code, replay = made(every_operation)
    a, b = np.linspace(-3.0, 3.0, 20_001), np.linspace(2.0, -2.0, 20_001)
    wanted = code([a, b], a.shape)
    found: list[bool] = []

    def run() -> None:
        found.extend(np.array_equal(code([a, b], a.shape), wanted, equal_nan=True) for _ in range(50))

    threads = [threading.Thread(target=run) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 150 and all(found)


def test_functions_made_together_say_what_each_says_alone_and_live_as_long_as_one_of_them() -> None:
    recorder = Recorder()
    a, b = (recorder.new_input() for _ in range(2))
    parts = [[a * b, a + 2.0], [np.sin(a) / b], [3.0]]
    together, alone = machine_functions(recorder, parts), [machine_function(recorder, part) for part in parts]
    inputs = [np.linspace(0.1, 2.0, 11), np.linspace(1.0, 3.0, 11)]
    wanted = [made(inputs, (11,)) for made in alone]
    last = together[1]
    llvm_code._latest.clear()
    del together, alone
    gc.collect()
    assert np.array_equal(last(inputs, (11,)), wanted[1])
    assert all(
        np.array_equal(made(inputs, (11,)), values)
        for made, values in zip(machine_functions(recorder, parts), wanted, strict=True)
    )
    assert machine_functions(recorder, []) == []
