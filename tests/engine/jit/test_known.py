"""Numbers that are known while a formula is recorded: done again with others, or not at all."""

from __future__ import annotations

import math
import pickle
from collections.abc import Callable
from typing import Any, NamedTuple

import msgspec
import numpy as np
import pytest

from engine.base.geometry import atan2, cos, dist, hypot, least, log, most, one, ratio, sin, sqrt, tan, where
from engine.base.plain_call import plain_call, recording
from engine.jit.known import Call, Derivation, KnownNumber, KnownRecorder
from engine.jit.machine_code import machine_function
from engine.jit.python_code import array_function, float_function
from engine.jit.trace import CannotRecordError, Recorder

Formula = Callable[..., Any]


def derived(formula: Formula, *values: float) -> tuple[Derivation, Any]:
    recorder = KnownRecorder()
    result = formula(*(recorder.new_input(value) for value in values))
    assert isinstance(result, KnownNumber)
    return Derivation(recorder, [result.place]), result.value


FORMULAS: dict[str, Formula] = {
    "arithmetic": lambda a, b: (a + 2.0) * b - 3.0 / a + b**2 - -a,
    "the other way round": lambda a, b: 2.0 + (3.0 - a) * (5.0 * b) + 7.0 / b,
    "functions": lambda a, b: sqrt(a) + sin(b) * cos(a) + tan(b) + hypot(a, b, 1.0) + atan2(a, b) + log(a),
    "choices": lambda a, b: least(a, b, 1.5) + most(a, 2.0 * b) + abs(a - 3.0) + ratio(a, b) + one(a),
    "distance": lambda a, b: dist((a, 0.0), (b, 1.0)),
    "a branch": lambda a, b: a * b if a > b else a + b,
    "added up": lambda a, b: sum((a * k for k in range(4)), b),
}


@pytest.mark.parametrize("name", FORMULAS)
def test_a_formula_done_again_says_bit_for_bit_what_it_says_of_plain_numbers(name: str) -> None:
    formula = FORMULAS[name]
    derivation, value = derived(formula, 1.25, 0.5)
    assert value == formula(1.25, 0.5)
    for a, b in ((1.25, 0.5), (2.0, 0.3), (7.1, 1.9), (0.9, 0.1)):
        assert derivation.of([a, b]) == [formula(a, b)]


def test_a_formula_that_would_go_another_way_is_not_done_again() -> None:
    derivation, _ = derived(FORMULAS["a branch"], 1.25, 0.5)
    assert derivation.of([0.5, 1.25]) is None and derivation.of([1.0, 1.0]) is None
    assert derivation.of([1.0 + 1e-12, 1.0]) is not None


def test_what_has_no_result_is_not_done_again() -> None:
    root, _ = derived(lambda a: sqrt(a - 1.0), 2.0)
    assert root.of([0.5]) is None
    inverse, _ = derived(lambda a: 1.0 / (a - 1.0), 2.0)
    assert inverse.of([1.0]) is None


@pytest.mark.parametrize(
    "formula",
    [float, int, round, math.sqrt, lambda a: f"{a:.1f}", str, np.asarray, lambda a: [1, 2][a], math.floor],
    ids=["float", "int", "round", "math", "format", "str", "array", "index", "floor"],
)
def test_a_value_is_never_taken_out_unseen(formula: Formula) -> None:
    with pytest.raises(CannotRecordError):
        formula(KnownRecorder().new_input(2.0))


def both(a: Any, x: Any) -> Any:
    """A formula of a known number and of one that changes from variant to variant."""
    return where(x > a, x * a, a * a + sin(x)) + (0.0 if a > 3.0 else x)


@pytest.mark.parametrize("make", ["machine", "arrays", "floats"])
def test_code_takes_other_known_numbers(make: str) -> None:
    known, recorder = KnownRecorder(), Recorder()
    a, x = known.new_input(2.0), recorder.new_input()
    result = both(a, x)
    xs = np.linspace(-1.0, 5.0, 9)
    if make == "machine":
        function = machine_function(recorder, [result])
        if function is None:
            pytest.skip("there is no llvmlite for this Python")
    else:
        function = array_function(recorder, [result]) if make == "arrays" else float_function(recorder, result)
    derivation = Derivation(known, sorted(function.known))
    for other in (2.0, 1.0, 2.9):
        numbers = derivation.of([other])
        assert numbers is not None
        again = function.with_known(dict(zip(derivation.places, numbers, strict=True)))
        wanted = [both(other, float(value)) for value in xs]
        if make == "floats":
            assert [again([float(value)]) for value in xs] == wanted
        else:
            got = again([xs], xs.shape)[0] if make == "machine" else again([xs])[0]
            assert got.tolist() == wanted
    assert derivation.of([3.5]) is None


def test_a_known_zero_that_a_trace_leaves_out_stays_one() -> None:
    """Adding nothing is left out of a trace; with another number it would have to be there."""
    known, recorder = KnownRecorder(), Recorder()
    nothing, x = known.new_input(0.0, is_switch=True), recorder.new_input()
    assert x + nothing is x and x * nothing == 0.0
    assert Derivation(known, []).of([0.0]) == [] and Derivation(known, []).of([1e-9]) is None
    some = known_of(1.0)
    assert Derivation(some, []).of([2.0]) == [] and Derivation(some, []).of([0.0]) is None


def known_of(value: float) -> KnownRecorder:
    known, recorder = KnownRecorder(), Recorder()
    assert recorder.new_input() + known.new_input(value, is_switch=True) is not None
    return known


def test_a_zero_that_switches_nothing_off_is_no_condition() -> None:
    known, recorder = KnownRecorder(), Recorder()
    nothing, x = known.new_input(0.0), recorder.new_input()
    total = x + nothing
    assert total is not x and float_function(recorder, [total])([2.5]) == [2.5]
    assert Derivation(known, []).of([1e-9]) == []


# ---------------------------------------------------------------- functions called as they are


class Side(NamedTuple):
    """A part of what a rule says."""

    allowed: float
    words: str


class Rule(msgspec.Struct, frozen=True):
    """What a rule says of a wall."""

    sides: tuple[Side, ...]
    more: dict[str, float]
    holds: bool | None = None


class Wall(msgspec.Struct, frozen=True):
    """What a rule is about."""

    thick: float
    wide: float
    name: str = "wall"


@plain_call
def rule(walls: tuple[Wall, ...], factor: float, *, least_thick: float = 0.0) -> Rule:
    """Branches as it likes, and takes values out."""
    sides = []
    for wall in walls:
        thick = max(float(wall.thick), least_thick)
        slender = math.floor(wall.wide / thick) > 10
        sides.append(Side(thick * factor / (2.0 if slender else 1.0), "folds" if wall.thick < 1.0 else "yields"))
    return Rule(tuple(sides), {"all": sum(side.allowed for side in sides)}, None if factor > 2.0 else True)


def by_rule(a: Any, b: Any) -> Any:
    said = rule((Wall(a, 20.0), Wall(b, 30.0)), 1.5, least_thick=b / 4.0)
    return said.sides[0].allowed * 3.0 + said.sides[1].allowed + said.more["all"]


def called(a: float, b: float) -> tuple[KnownRecorder, Derivation]:
    recorder = KnownRecorder()
    with recording():
        result = by_rule(recorder.new_input(a), recorder.new_input(b))
        assert by_rule(KnownNumber(recorder, 0, a), KnownNumber(recorder, 1, b)).place == result.place
    return recorder, Derivation(recorder, [result.place])


def test_a_function_called_as_it_is_may_branch_and_says_the_same_bits() -> None:
    recorder, derivation = called(2.0, 2.5)
    assert sum(isinstance(step.function, Call) for step in recorder.steps) == 1  # the same once more is no step
    for a, b in ((2.0, 2.5), (1.5, 2.5), (1.0, 40.0), (3.7, 1.2)):
        assert derivation.of([a, b]) == [by_rule(a, b)]


def test_what_is_no_number_in_a_result_must_stay_as_it_was() -> None:
    _, derivation = called(2.0, 2.5)
    assert derivation.of([0.9, 2.5]) is None  # it "folds"
    assert derivation.of([2.0, 0.9]) is None


def test_what_a_function_refuses_is_not_done_again() -> None:
    _, derivation = called(2.0, 2.5)
    assert derivation.of([0.0, 0.0]) is None


def test_a_derivation_is_pickled_with_what_it_calls() -> None:
    _, derivation = called(2.0, 2.5)
    again = pickle.loads(pickle.dumps(derivation))
    assert again.of([1.5, 2.0]) == [by_rule(1.5, 2.0)] and again.places == derivation.places


def test_outside_a_recording_a_function_is_only_called() -> None:
    number = KnownRecorder().new_input(2.0)
    with pytest.raises(CannotRecordError):
        rule((Wall(number, 20.0),), 1.5)  # type: ignore[arg-type]


def test_a_number_that_changes_from_variant_to_variant_is_not_called_with() -> None:
    known, recorder = KnownRecorder(), Recorder()
    with recording(), pytest.raises(CannotRecordError, match="numbers that are known"):
        rule((Wall(known.new_input(2.0), recorder.new_input()),), 1.5)  # type: ignore[arg-type]
