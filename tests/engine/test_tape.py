"""A replay is the formulas themselves, or recording fails."""

from __future__ import annotations

import numpy as np
import pytest

from engine.geometry import cos, least, most, ratio, sqrt, where
from engine.tape import CannotTapeError, Recorder, Tape


def formula(a, b):
    turned = cos(a) * b + 0.0 * a
    return [turned, where(a > b, ratio(a, b - 1.0), most(a, b, 0.0)), least(sqrt(a * a) * 1.0, turned), 3.0]


def recorded(formula, count=2):
    recorder = Recorder()
    steps = formula(*(recorder.new_input() for _ in range(count)))
    return Tape(recorder, steps)


@pytest.mark.parametrize(
    "inputs",
    [(np.array([0.3, 2.0, 1.0]), np.array([1.0, 1.0, 4.0])), (np.array([[0.5], [1.5]]), np.array([1.0, 2.0, 3.0]))],
    ids=["rows", "grid"],
)
def test_a_replay_equals_the_formulas_bit_for_bit(inputs):
    for replayed, direct in zip(recorded(formula).replay(inputs), formula(*inputs), strict=True):
        assert np.array_equal(*np.broadcast_arrays(replayed, direct))


def test_equal_steps_are_kept_once_and_unused_ones_dropped():
    def wasteful(a, b):
        _ = a / b
        return [(a * b) + (a * b)]

    assert len(recorded(wasteful)) == 2


def test_nothing_times_a_value_that_may_be_infinite_is_not_dropped():
    tape = recorded(lambda a, b: [0.0 * (a / b), 0.0 * (a * b)])
    lost, nothing = tape.replay((1.0, np.array([0.0])))
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
    with pytest.raises(CannotTapeError):
        recorded(branching)


def test_a_replay_wants_every_input():
    with pytest.raises(ValueError, match="Expected 2 inputs, got 1"):
        recorded(formula).replay((1.0,))
