"""Machine code says what the steps say, bit for bit."""

from __future__ import annotations

import gc
import itertools
import math
import threading
import weakref

import numpy as np
import pytest
from formulas import every_operation

from engine.base.geometry import cos, sin
from engine.jit import machine_code
from engine.jit.machine_code import machine_function, machine_functions
from engine.jit.python_code import array_function
from engine.jit.trace import CannotRecordError, Recorder

pytest.importorskip("llvmlite", reason="there is no llvmlite for this Python")

ODD = (0.0, -0.0, 1.0, -2.5, 1e-300, 1e300, math.inf, -math.inf, math.nan)


def made(formula, count=2, **how):
    recorder = Recorder()
    results = formula(*(recorder.new_input() for _ in range(count)))
    return machine_function(recorder, results, **how), array_function(recorder, results)


@pytest.mark.parametrize("quick", [False, True])
def test_every_operation_is_that_of_numpy_whatever_the_numbers(quick: bool) -> None:
    a, b = np.array(list(itertools.product(ODD, ODD))).T
    code, replay = made(every_operation, quick=quick)
    results = code([a, b], a.shape)
    for mine, theirs in zip(results, replay([a, b]), strict=True):
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


@pytest.mark.parametrize("count", [1, 3, 4, 9, 4100])
def test_rows_among_plain_numbers_say_what_inputs_say(count: int) -> None:
    code, _ = made(lambda a, b, c: [a * b - c, b / c], count=3)
    b, a = np.linspace(-2.0, 5.0, count), np.linspace(3.0, 4.0, count)
    results = code.of_rows(np.array([0.0, 0.0, 1.25]), (1, 0), np.stack([b, a]))
    assert np.array_equal(results, code([a, b, 1.25], (count,)))


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
    monkeypatch.setattr(machine_code._Threads, "count", 1)
    wanted = code([a, 1.25], (count,))
    monkeypatch.setattr(machine_code._Threads, "count", threads)
    monkeypatch.setattr(machine_code, "VARIANTS_WORTH_A_THREAD", 4)
    assert np.array_equal(code([a, 1.25], (count,)), wanted, equal_nan=True)


def test_what_has_no_code_is_refused() -> None:
    with pytest.raises(CannotRecordError, match="arctan2"):
        made(lambda a, b: [np.arctan2(a, b)])
    with pytest.raises(CannotRecordError, match="got a truth"):
        made(lambda a, b: [(a > b) + b])
    code, _ = made(lambda a, b: [a])
    with pytest.raises(ValueError, match="Expected 2 inputs, got 1"):
        code([1.0], ())


# ---------------------------------------------------------------- memory and threads


def test_formulas_alike_but_for_their_constants_share_one_code(monkeypatch: pytest.MonkeyPatch) -> None:
    first, _ = made(lambda a, b: [a * b + 0.75, cos(a)])
    monkeypatch.setattr(machine_code, "_made", lambda *_: pytest.fail("made again"))
    other, replay = made(lambda a, b: [a * b + 12.5, cos(a)])
    assert other.compiled.code is first.compiled.code
    assert np.array_equal(other([2.0, 3.0], ()), [float(one) for one in replay([2.0, 3.0])])
    assert first([2.0, 3.0], ())[0] == 6.75


@pytest.mark.parametrize(
    "fault", [RuntimeError("no code may be made"), OSError("no C library"), ImportError("no llvmlite")]
)
def test_a_system_that_lets_no_program_make_code_gets_none(fault: Exception, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise fault

    monkeypatch.setattr(machine_code, "_code_of", refuse)
    assert made(every_operation)[0] is None


def test_codes_of_other_formulas_are_forgotten_in_the_end() -> None:
    for power in range(machine_code.KEPT_AT_MOST + 3):
        code, _ = made(lambda a, b, power=power: [added_up(a, b, power)])
        assert code([1.0, 2.0], ())[0] == 1.0 + 2.0 * (power + 1)
    assert len(machine_code._cache.latest) == machine_code.KEPT_AT_MOST


def test_code_that_somebody_holds_is_found_again_however_many_were_made_since(monkeypatch: pytest.MonkeyPatch) -> None:
    held, _ = made(lambda a, b: [added_up(a, b, 40)])
    gone, _ = made(lambda a, b: [added_up(a, b, 41)])
    there, key = weakref.ref(gone.compiled.code), len(machine_code._cache.held)
    del gone
    for power in range(50, 50 + machine_code.KEPT_AT_MOST):
        made(lambda a, b, power=power: [added_up(a, b, power)])
    gc.collect()
    assert there() is None and len(machine_code._cache.held) <= key + machine_code.KEPT_AT_MOST
    monkeypatch.setattr(machine_code, "_made", lambda *_: pytest.fail("made again"))
    again, _ = made(lambda a, b: [added_up(a, b, 40)])
    assert again.compiled.code is held.compiled.code and again([1.0, 2.0], ())[0] == held([1.0, 2.0], ())[0]


def added_up(a, b, power):
    total = a + b
    for _ in range(power):
        total = total + b
    return total


def test_code_may_run_on_two_threads_at_once() -> None:
    code, _ = made(every_operation)
    a, b = np.linspace(-3.0, 3.0, 20_001), np.linspace(2.0, -2.0, 20_001)
    wanted = code([a, b], a.shape)
    equal: list[bool] = []

    def run() -> None:
        equal.extend(np.array_equal(code([a, b], a.shape), wanted, equal_nan=True) for _ in range(50))

    threads = [threading.Thread(target=run) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(equal) == 150 and all(equal)


def test_functions_made_together_say_what_each_says_alone_and_live_as_long_as_one_of_them() -> None:
    recorder = Recorder()
    a, b = (recorder.new_input() for _ in range(2))
    parts = [[a * b, a + 2.0], [np.sin(a) / b], [3.0]]
    together, alone = machine_functions(recorder, parts), [machine_function(recorder, part) for part in parts]
    inputs = [np.linspace(0.1, 2.0, 11), np.linspace(1.0, 3.0, 11)]
    wanted = [made(inputs, (11,)) for made in alone]
    last = together[1]
    machine_code._cache.latest.clear()
    del together, alone
    gc.collect()
    assert np.array_equal(last(inputs, (11,)), wanted[1])
    assert all(
        np.array_equal(made(inputs, (11,)), values)
        for made, values in zip(machine_functions(recorder, parts), wanted, strict=True)
    )
    assert machine_functions(recorder, []) == []
