"""What is recorded, what is left out, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from formulas import root_by_halving, turned

from engine.jit.python_code import array_function
from engine.jit.trace import CannotRecordError, Recorder, places_after_calls, places_needed


def recorded(formula, count=2):
    recorder = Recorder()
    return array_function(recorder, formula(*(recorder.new_input() for _ in range(count))))


def test_equal_steps_are_kept_once_and_unused_ones_dropped():
    def wasteful(a, b):
        _ = a / b
        return [(a * b) + (a * b)]

    recorder = Recorder()
    assert len(places_needed(recorder, wasteful(recorder.new_input(), recorder.new_input()))) == 2


def test_nothing_times_a_value_that_may_be_infinite_is_not_dropped():
    replay = recorded(lambda a, b: [0.0 * (a / b), 0.0 * (a * b)])
    lost, nothing = replay((1.0, np.array([0.0])))
    assert np.isnan(lost[0]) and nothing == 0.0


@pytest.mark.parametrize(
    "branching",
    [
        lambda a, b: [a if a > b else b],
        lambda a, b: [float(a) + b],
        lambda a, b: [np.asarray(a) + b],
        lambda a, b: [np.stack([a, b]).sum()],
        lambda a, b: [np.add.reduce(a)],
    ],
    ids=["branch", "float", "array", "stack", "reduce"],
)
def test_what_cannot_be_recorded_is_refused_while_recording(branching):
    with pytest.raises(CannotRecordError):
        recorded(branching)


def test_every_input_comes_before_the_first_step():
    recorder = Recorder()
    a = recorder.new_input()
    _ = a + 1.0
    with pytest.raises(CannotRecordError, match="every input before the first step"):
        recorder.new_input()


def test_a_trace_is_written_step_by_step():
    recorder = Recorder()
    turned(recorder.new_input(), recorder.new_input())
    assert str(recorder).splitlines()[:3] == ["v2 = cos(v0)", "v3 = multiply(v2, v1)", "v4 = greater(v0, v1)"]


def test_what_a_call_returns_and_what_reads_it_comes_after_calls():
    recorder = Recorder()
    a, b = recorder.new_input(), recorder.new_input()
    before = a * b
    root = root_by_halving(lambda value: value * b - before, a, 10.0)
    after = root + a
    assert places_after_calls(recorder) == {root.place, after.place}
