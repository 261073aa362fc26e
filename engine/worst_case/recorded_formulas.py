"""The formulas of one job, recorded (``engine.jit``): limits over variants, and everything said of one pose.

Machine code runs on machines that nobody has tried it on, so each function is compared with the formulas on a few
variants before it is used; where it disagrees or cannot be made, NumPy or Python runs the recording.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np

from engine.base.geometry import Array
from engine.jit.machine_code import ArrayFunction, machine_functions
from engine.jit.python_code import PythonFunction, array_function, float_function
from engine.jit.trace import CannotRecordError, Recorder
from engine.limits import balance
from engine.limits.all_limits import find_checks, find_checks_at_thin_end, leaned
from engine.limits.balance import Balance
from engine.rig.check import Check
from engine.rig.deflection import apply_bending, place_bent, with_bending
from engine.rig.figure_vector import filled, inputs_of, map_numbers
from engine.rig.kinematics import Figures, Placed, fitted_arms, place
from engine.schema.model import Job
from engine.worst_case.corner_search_llvm import CompiledCornerSearch, compiled_search
from engine.worst_case.nominal import RecordedNominalLimits
from engine.worst_case.structure import Made, Structure


class EvaluatedPose(NamedTuple):
    """One pose with values as entered: figures with bending, the rig as drawn and as it hangs, every limit.

    ``balance`` is on rigid tyres, ``leaned`` with the truck leaning on its own.
    """

    numbers: Figures
    placed: Placed
    hanging: Placed
    balance: Balance
    leaned: Balance
    checks: tuple[Check, ...]


def evaluate_pose(job: Job, numbers: Figures) -> EvaluatedPose:
    """The pose by the formulas themselves."""
    placed = place(job, numbers)
    numbers = with_bending(job, numbers)
    hanging = apply_bending(msgspec.structs.replace(placed, figures=numbers))
    return EvaluatedPose(
        numbers,
        placed,
        hanging,
        balance.weigh(hanging),
        balance.on_its_tyres(hanging),
        tuple(find_checks(job, numbers)),
    )


def values_of(job: Job, numbers: Figures) -> list[Any]:
    """Demand of every limit, allowed of every limit, the guides, and how the truck stands: of the rig's thin end.

    Every search for a worst case evaluates these and nothing else of the limits.
    """
    checks = find_checks_at_thin_end(job, numbers)
    values = [*(check.demand for check in checks), *(check.allowed for check in checks)]
    with_allowances = balance.weigh(place_bent(job, leaned(numbers, job.policy)), balance.allowances_of(job.policy))
    values += [-with_allowances.left_front_kg, -with_allowances.right_front_kg]
    standing = balance.on_its_tyres(place_bent(job, numbers))
    figures = standing.rear_kg, standing.light_front_kg, standing.tipping_load_kg
    return [*values, *figures, *(line.use for line in standing.lines)]


GUIDES = 2
"""Left and right front wheel, of which the lightest front wheel is one: each leads to a corner of its own."""

STANDING_VALUES = 3 + len(balance.LINES)
"""How the truck stands: rear weight, lightest front wheel, tipping load, and the use of each tipping line."""


class RecordedFormulas:
    """Functions made of the formulas of one job.

    ``values`` and ``evaluate_pose`` are `values_of` and `evaluate_pose` as functions of the figures in a row; the first
    takes figures with bending, the second figures without.
    """

    def __init__(self, structure: Structure, numbers: Figures, functions: tuple[Any, ...]) -> None:
        self._structure, self._any = structure, numbers
        self.values: ArrayFunction
        self.evaluate_pose: Callable[[Sequence[float]], EvaluatedPose]
        self.values, self.evaluate_pose = functions

    @property
    def numbers(self) -> Figures:
        """Figures of one pose with bending; any, for only their places count."""
        return self._numbers

    @functools.cached_property
    def _numbers(self) -> Figures:
        return _one(self._structure.job, self._any)

    @property
    def straight(self) -> Figures:
        """Figures of which the bending is still to be computed."""
        return msgspec.structs.replace(self.numbers, bent_m=())

    @functools.cached_property
    def compiled_search(self) -> CompiledCornerSearch | None:
        """None where there is no machine code, or where it disagrees with the arrays."""
        return compiled_search(self.values, GUIDES, STANDING_VALUES)

    @functools.cached_property
    def nominal(self) -> RecordedNominalLimits:
        """Values as entered over many poses."""
        return RecordedNominalLimits(self)

    def functions_of(self, name: str, numbers: Figures, formula: PartsFormula) -> tuple[Any, tuple[ArrayFunction, ...]]:
        """What a formula says besides, and a function over variants for each group of its values.

        Machine code where it can be made and agrees with the formula; made quickly, for somebody waits for it.
        """
        job = self._structure.job
        return self._structure.recorded(
            name, lambda known: _array_functions(job, known, numbers, formula, quick=True), quick=True
        )


PartsFormula = Callable[[Job, Figures, Any], tuple[list[list[Any]], Any]]
"""Groups of values of a job's figures, and what it says besides: the same for all jobs of one structure.

It is given what it said besides when it was recorded, before that None.
"""


def _array_functions(job: Job, known: Job, numbers: Figures, formula: PartsFormula, quick: bool) -> Made:
    """A function for each group of a formula's values; ``known`` is the job with stand-ins for its numbers."""
    recorder = Recorder()
    parts, besides = formula(known, _stand_ins(recorder, numbers), None)
    shares = 1.0 + 0.01 * np.linspace(-1.0, 1.0, VERIFIED_VARIANTS)
    variants = map_numbers(numbers, lambda number: number * shares)
    functions: list[Any] = []
    compiled = machine_functions(recorder, parts, quick=quick) or [None] * len(parts)
    for code, values, wanted in zip(compiled, parts, formula(job, variants, besides)[0], strict=True):
        if code is None or not _agree(code.tried_out(inputs_of(variants), shares.shape), filled(wanted, shares.shape)):
            functions.append(InOneArray(array_function(recorder, values)))
        else:
            functions.append(code)
    recorder.clear()
    return tuple(functions), besides


def _grouped_values(job: Job, numbers: Figures, _: None) -> tuple[list[list[Any]], None]:
    return [values_of(job, numbers)], None


def _values_and_pose(job: Job, known: Job, numbers: Figures, quick: bool) -> Made:
    """`values_of` and `evaluate_pose`; ``known`` is the job with stand-ins for its numbers."""
    (values,), _ = _array_functions(job, known, numbers, _grouped_values, quick)
    straight = msgspec.structs.replace(numbers, bent_m=())
    recorder = Recorder()
    pose = evaluate_pose(known, _stand_ins(recorder, straight))
    function, wanted = float_function(recorder, pose), evaluate_pose(job, straight)
    if not _agree(_compared_numbers(function.tried_out(inputs_of(straight))), _compared_numbers(wanted)):
        function = float_function(recorder, pose, machine=False)
    recorder.clear()
    return (values, function), None


def found_formulas(job: Job, numbers: Figures) -> RecordedFormulas | None:
    """The formulas, where they are recorded for some job of the same structure; takes about a millisecond."""
    structure = Structure(job, fitted_arms(numbers))
    found = structure.found(VALUES_AND_POSE)
    return None if found is None else RecordedFormulas(structure, numbers, found[1])


def recorded_formulas(job: Job, numbers: Figures, quick: bool = False) -> RecordedFormulas | None:
    """The formulas recorded; None where they cannot be."""
    structure = Structure(job, fitted_arms(numbers))
    try:
        _, functions = structure.recorded(
            VALUES_AND_POSE, lambda known: _values_and_pose(job, known, _one(job, numbers), quick), quick
        )
    except CannotRecordError:
        return None
    return RecordedFormulas(structure, numbers, functions)


VALUES_AND_POSE = "values and pose"


def _one(job: Job, numbers: Figures) -> Figures:
    """One of the poses, with bending."""
    return with_bending(job, map_numbers(numbers, lambda number: float(np.ravel(number)[0])))


VERIFIED_VARIANTS = 7
"""Variants on which machine code is compared with the formulas before anything rests on it."""


def _stand_ins(recorder: Recorder, numbers: Figures) -> Figures:
    return map_numbers(numbers, lambda _: recorder.new_input())


class InOneArray(NamedTuple):
    """A function in Python whose results are put in one array; an `ArrayFunction`."""

    function: PythonFunction

    def __call__(self, inputs: Sequence[Any], shape: tuple[int, ...]) -> Array:
        """Results (results, *shape) of inputs that broadcast to ``shape``."""
        return filled(self.function(inputs), shape)

    @property
    def known(self) -> tuple[int, ...]:
        """Places of the known numbers it reads."""
        return self.function.known

    def with_known(self, numbers: Mapping[int, float]) -> InOneArray:
        """The same code with other known numbers, by their places."""
        return InOneArray(self.function.with_known(numbers))


def _agree(values: Array, wanted: Array) -> bool:
    return np.allclose(values, wanted, rtol=1e-9, atol=1e-9, equal_nan=True)


def _compared_numbers(pose: EvaluatedPose) -> Array:
    """The numbers that show whether two evaluations of a pose are the same."""
    values = [
        number for check in pose.checks for number in (check.demand, check.allowed, check.use, check.allowed_load_kg)
    ]
    for weighed in (pose.balance, pose.leaned):
        values += [weighed.rear_kg, weighed.left_front_kg, weighed.right_front_kg, weighed.tipping_load_kg]
    return np.array([*values, *pose.placed.hook_m, *pose.hanging.hook_m], float)
