"""A replay is the formulas themselves, or recording fails."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest

from engine.base.geometry import Vec, cos, least, most, ratio, sin, sqrt, where
from engine.jit.python_code import array_function, float_function
from engine.jit.trace import CannotRecordError, Recorder, needed
from engine.strength.linear_in_load import load_at_use


def formula(a, b):
    turned = cos(a) * b + 0.0 * a
    return [turned, where(a > b, ratio(a, b - 1.0), most(a, b, 0.0)), least(sqrt(a * a) * 1.0, turned), 3.0]


def recorded(formula, count=2):
    recorder = Recorder()
    return array_function(recorder, formula(*(recorder.new_input() for _ in range(count))))


@pytest.mark.parametrize(
    "inputs",
    [(np.array([0.3, 2.0, 1.0]), np.array([1.0, 1.0, 4.0])), (np.array([[0.5], [1.5]]), np.array([1.0, 2.0, 3.0]))],
    ids=["rows", "grid"],
)
def test_a_replay_equals_the_formulas_bit_for_bit(inputs):
    for replayed, direct in zip(recorded(formula)(inputs), formula(*inputs), strict=True):
        assert np.array_equal(*np.broadcast_arrays(replayed, direct))


def test_equal_steps_are_kept_once_and_unused_ones_dropped():
    def wasteful(a, b):
        _ = a / b
        return [(a * b) + (a * b)]

    recorder = Recorder()
    assert len(needed(recorder, wasteful(recorder.new_input(), recorder.new_input()))) == 2


def test_nothing_times_a_value_that_may_be_infinite_is_not_dropped():
    tape = recorded(lambda a, b: [0.0 * (a / b), 0.0 * (a * b)])
    lost, nothing = tape((1.0, np.array([0.0])))
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
def test_what_cannot_be_written_down_is_refused_while_recording(branching):
    with pytest.raises(CannotRecordError):
        recorded(branching)


def test_a_replay_wants_every_input():
    with pytest.raises(ValueError, match="Expected 2 inputs, got 1"):
        recorded(formula)((1.0,))


# ---------------------------------------------------------------- plain code for one pose


class Found(msgspec.Struct, frozen=True):
    name: str
    place: Vec
    numbers: dict[str, float | str]


def told(a, b):
    largest = most(a, b, 0.0)
    share = ratio(a, b - 1.0)
    numbers = {
        "largest": largest,
        "side": where(a > b, "left", "right"),
        "plain": 2.5,
        "far": math.inf,
        "square": (a * b) ** 2,
    }
    return (
        Found(name='it\'s "quoted" {and} braced', place=Vec(cos(a), sin(b), -0.0 - a), numbers=numbers),
        (share, least(a, b)),
        [abs(b)],
    )


@pytest.mark.parametrize("inputs", [(0.3, 1.0), (2.0, 1.0), (1.0, 4.0), (0.0, 1.0), (math.nan, 0.5), (-1.0, math.nan)])
def test_plain_code_makes_the_very_records_the_formulas_make(inputs):
    recorder = Recorder()
    written = float_function(recorder, told(recorder.new_input(), recorder.new_input()))
    assert repr(written(inputs)) == repr(told(*inputs))


def test_a_search_is_called_as_it_is_with_its_use_written_down():
    def rising(a, b):
        near = a + b
        return load_at_use(lambda load: abs(a * load + b) / 100.0, 10.0, abs(a * 10.0 + b) / 100.0) + near

    recorder = Recorder()
    written = float_function(recorder, rising(recorder.new_input(), recorder.new_input()))
    for inputs in ((1.0, 2.0), (0.25, -30.0), (3.0, 250.0)):
        assert written(inputs) == rising(*inputs)
    with pytest.raises(CannotRecordError):
        recorder = Recorder()
        array_function(recorder, [rising(recorder.new_input(), recorder.new_input())])


def test_what_has_no_plain_code_is_refused():
    recorder = Recorder()
    with pytest.raises(CannotRecordError, match="arctan2"):
        float_function(recorder, np.arctan2(recorder.new_input(), recorder.new_input()))
