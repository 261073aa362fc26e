"""The formulas of one job, recorded (``engine.jit``): limits over variants, and everything said of one pose.

Machine code runs on machines that nobody has tried it on, so each function is compared with the formulas on a few
variants before it is used; where it disagrees or cannot be made, NumPy or Python runs the recording.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np

from engine.base.geometry import Array
from engine.jit.machine_code import ArrayFunction, machine_functions
from engine.jit.python_code import array_function, float_function
from engine.jit.trace import CannotRecordError, Recorder
from engine.limits import balance
from engine.limits.all_limits import find_checks, find_checks_at_thin_end, leaned
from engine.limits.balance import Balance
from engine.rig.check import Check
from engine.rig.deflection import apply_bending, place_bent, with_bending
from engine.rig.figure_vector import filled, inputs_of, map_numbers
from engine.rig.kinematics import Figures, Placed, place
from engine.schema.model import Job
from engine.worst_case.corner_search_llvm import compiled_search
from engine.worst_case.nominal import RecordedNominalLimits


class EvaluatedPose(NamedTuple):
    """One pose with values as entered: figures with bending, the rig as drawn and as it hangs, balance, every limit."""

    numbers: Figures
    placed: Placed
    hanging: Placed
    balance: Balance
    checks: tuple[Check, ...]


def evaluate_pose(job: Job, numbers: Figures) -> EvaluatedPose:
    """The pose by the formulas themselves."""
    placed = place(job, numbers)
    numbers = with_bending(job, numbers)
    hanging = apply_bending(msgspec.structs.replace(placed, figures=numbers))
    return EvaluatedPose(numbers, placed, hanging, balance.weigh(hanging), tuple(find_checks(job, numbers)))


def values_of(job: Job, numbers: Figures) -> list[Any]:
    """Demand of every limit, allowed of every limit, the guides, and how the truck stands: of the rig's thin end.

    Every search for a worst case evaluates these and nothing else of the limits.
    """
    checks = find_checks_at_thin_end(job, numbers)
    values = [*(check.demand for check in checks), *(check.allowed for check in checks)]
    with_allowances = balance.weigh(place_bent(job, leaned(numbers, job.policy)), balance.allowances_of(job.policy))
    values += [-with_allowances.left_front_kg, -with_allowances.right_front_kg]
    plain = balance.weigh(place_bent(job, numbers))
    return [*values, plain.rear_kg, plain.light_front_kg, plain.tipping_load_kg, *(line.use for line in plain.lines)]


GUIDES = 2
"""Left and right front wheel, of which the lightest front wheel is one: each leads to a corner of its own."""

STANDING_VALUES = 3 + len(balance.LINES)
"""How the truck stands: rear weight, lightest front wheel, tipping load, and the use of each tipping line."""


class RecordedFormulas:
    """Functions made of the formulas of one job.

    ``values`` and ``evaluate_pose`` are `values_of` and `evaluate_pose` as functions of the figures in a row; the first
    takes figures with bending, the second figures without.
    """

    def __init__(self, job: Job, numbers: Figures, quick: bool = False) -> None:
        one = map_numbers(numbers, lambda number: float(np.ravel(number)[0]))  # any: only their places count
        self._job, self._quick = job, quick
        self.numbers = with_bending(job, one)
        self.straight = msgspec.structs.replace(self.numbers, bent_m=())
        """Figures of which the bending is still to be computed."""
        self.values = self.array_function_of(self.numbers, functools.partial(values_of, job))
        self.evaluate_pose = self._pose_function()
        self.compiled_search = compiled_search(self.values, GUIDES, STANDING_VALUES)
        """None where there is no machine code, or where it disagrees with the arrays."""

    @functools.cached_property
    def nominal(self) -> RecordedNominalLimits:
        """Values as entered over many poses."""
        return RecordedNominalLimits(self._job, self)

    def array_function_of(self, numbers: Figures, formula: Callable[[Figures], list[Any]]) -> ArrayFunction:
        """A formula over variants of some figures: machine code where it can be made and agrees with the formula."""
        return self._array_functions(numbers, formula, lambda values: [values])[0]

    def array_functions_of_each(self, numbers: Figures, formula: Callable[[Figures], list[Any]]) -> list[ArrayFunction]:
        """The same, a function for each of the formula's values."""
        return self._array_functions(numbers, formula, lambda values: [[value] for value in values])

    def _array_functions(
        self,
        numbers: Figures,
        formula: Callable[[Figures], list[Any]],
        parts_of: Callable[[list[Any]], list[list[Any]]],
    ) -> list[ArrayFunction]:
        recorder = Recorder()
        parts = parts_of(formula(_stand_ins(recorder, numbers)))
        shares = 1.0 + 0.01 * np.linspace(-1.0, 1.0, VERIFIED_VARIANTS)
        variants = map_numbers(numbers, lambda number: number * shares)
        functions: list[ArrayFunction] = []
        compiled = machine_functions(recorder, parts, quick=self._quick) or [None] * len(parts)
        for code, values, wanted in zip(compiled, parts, parts_of(formula(variants)), strict=True):
            if code is None or not _agree(code(inputs_of(variants), shares.shape), filled(wanted, shares.shape)):
                functions.append(_in_one_array(array_function(recorder, values)))
            else:
                functions.append(code)
        recorder.clear()
        return functions

    def _pose_function(self) -> Callable[[Sequence[float]], EvaluatedPose]:
        """As `evaluate_pose`, for floats."""
        recorder = Recorder()
        pose = evaluate_pose(self._job, _stand_ins(recorder, self.straight))
        function = float_function(recorder, pose)
        wanted = evaluate_pose(self._job, self.straight)
        if not _agree(_compared_numbers(function(inputs_of(self.straight))), _compared_numbers(wanted)):
            function = float_function(recorder, pose, machine=False)
        recorder.clear()
        return function


def recorded_formulas(job: Job, numbers: Figures, quick: bool = False) -> RecordedFormulas | None:
    """The formulas recorded; None where they cannot be."""
    try:
        return RecordedFormulas(job, numbers, quick)
    except CannotRecordError:
        return None


VERIFIED_VARIANTS = 7
"""Variants on which machine code is compared with the formulas before anything rests on it."""


def _stand_ins(recorder: Recorder, numbers: Figures) -> Figures:
    return map_numbers(numbers, lambda _: recorder.new_input())


def _in_one_array(replay: Callable[[Sequence[Any]], list[Any]]) -> ArrayFunction:
    return lambda inputs, shape: filled(replay(inputs), shape)


def _agree(values: Array, wanted: Array) -> bool:
    return np.allclose(values, wanted, rtol=1e-9, atol=1e-9, equal_nan=True)


def _compared_numbers(pose: EvaluatedPose) -> Array:
    """The numbers that show whether two evaluations of a pose are the same."""
    weighed = pose.balance
    values = [
        number for check in pose.checks for number in (check.demand, check.allowed, check.use, check.allowed_load_kg)
    ]
    values += [weighed.rear_kg, weighed.left_front_kg, weighed.right_front_kg, weighed.tipping_load_kg]
    return np.array([*values, *pose.placed.hook_m, *pose.hanging.hook_m], float)
