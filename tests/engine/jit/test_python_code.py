"""A replay is the formula itself, bit for bit, records and all."""

from __future__ import annotations

import math

import msgspec
import numpy as np
import pytest
from formulas import root_by_halving, turned

from engine.base.geometry import Vec, cos, least, most, ratio, sin, where
from engine.jit.python_code import array_function, float_function
from engine.jit.trace import CannotRecordError, Recorder

# ---------------------------------------------------------------- arrays


def recorded(formula, count=2):
    recorder = Recorder()
    return array_function(recorder, formula(*(recorder.new_input() for _ in range(count))))


@pytest.mark.parametrize(
    "inputs",
    [(np.array([0.3, 2.0, 1.0]), np.array([1.0, 1.0, 4.0])), (np.array([[0.5], [1.5]]), np.array([1.0, 2.0, 3.0]))],
    ids=["rows", "grid"],
)
def test_a_replay_equals_the_formula_bit_for_bit(inputs):
    for replayed, direct in zip(recorded(turned)(inputs), turned(*inputs), strict=True):
        assert np.array_equal(*np.broadcast_arrays(replayed, direct))


def test_a_replay_wants_every_input():
    with pytest.raises(ValueError, match="Expected 2 inputs, got 1"):
        recorded(turned)((1.0,))


# ---------------------------------------------------------------- plain floats


class Record(msgspec.Struct, frozen=True):
    name: str
    place: Vec
    numbers: dict[str, float | str]


def records(a, b):
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
        Record(name='it\'s "quoted" {and} braced', place=Vec(cos(a), sin(b), -0.0 - a), numbers=numbers),
        (share, least(a, b)),
        [abs(b)],
    )


@pytest.mark.parametrize("machine", [True, False], ids=["machine code", "Python"])
@pytest.mark.parametrize("inputs", [(0.3, 1.0), (2.0, 1.0), (1.0, 4.0), (0.0, 1.0), (math.nan, 0.5), (-1.0, math.nan)])
def test_plain_code_makes_the_very_records_the_formula_makes(inputs, machine):
    recorder = Recorder()
    replay = float_function(recorder, records(recorder.new_input(), recorder.new_input()), machine)
    assert repr(replay(inputs)) == repr(records(*inputs))


@pytest.mark.parametrize("machine", [True, False], ids=["machine code", "Python"])
def test_a_search_is_called_as_it_is_with_its_function_recorded(machine):
    def formula(a, b):
        near = a + b
        return root_by_halving(lambda value: a * value + b - near, a - 100.0, 100.0) + near

    recorder = Recorder()
    replay = float_function(recorder, formula(recorder.new_input(), recorder.new_input()), machine)
    for inputs in ((1.0, 2.0), (0.25, -30.0), (3.0, 250.0)):
        assert replay(inputs) == formula(*inputs)
    with pytest.raises(CannotRecordError):
        recorder = Recorder()
        array_function(recorder, [formula(recorder.new_input(), recorder.new_input())])


def test_what_has_no_plain_code_is_refused():
    recorder = Recorder()
    with pytest.raises(CannotRecordError, match="arctan2"):
        float_function(recorder, np.arctan2(recorder.new_input(), recorder.new_input()))
