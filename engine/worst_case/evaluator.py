"""Evaluates the limits of one job for many variants of a pose: by the formulas at first, then by their recording.

A variant is a pose with some of its figures changed.  The worst case asks for some hundred of them at every move of the
mouse, always of the same truck, rig, load and allowances.  After a few times the formulas are recorded
(``engine.worst_case.recorded_formulas``) and the recording runs instead, for every job of the same structure
(``engine.worst_case.structure``).  Both give the same bits.
"""

from __future__ import annotations

import functools
import math
import threading

import numpy as np

from engine.base.geometry import Array
from engine.base.identity import IdentityKey
from engine.jit.machine_code import MachineFunction, return_freed_memory
from engine.limits.all_limits import find_checks
from engine.rig.check import Side
from engine.rig.figure_vector import filled, inputs_of, map_numbers
from engine.rig.kinematics import Figures, figures, fitted_arms
from engine.schema.model import Approval, Job, Load, Policy, Pose, Rig, Truck
from engine.worst_case.corner_search_llvm import CompiledCornerSearch
from engine.worst_case.nominal import Extremes, NominalLimits, nominal_extremes, nominal_limits
from engine.worst_case.recorded_formulas import (
    EvaluatedPose,
    RecordedFormulas,
    evaluate_pose,
    found_formulas,
    recorded_formulas,
    values_of,
)
from engine.worst_case.structure import Structure, Walks


class Evaluator:
    """Evaluates the limits of one job; it only remembers how to get the same answer faster."""

    def __init__(self) -> None:
        self._limits: tuple[tuple[str, Side], ...] = ()
        self._walks: Walks | None = None
        """Of its structure, by every evaluator; None before the first."""
        self._recording = threading.Lock()
        self._tried = False
        self._recorded: RecordedFormulas | None = None

    def names(self, job: Job, numbers: Figures) -> tuple[str, ...]:
        """Names of the limits in their order, the same for every pose."""
        return tuple(name for name, _ in self._names_and_sides(job, numbers))

    def sides(self, job: Job, numbers: Figures) -> tuple[Side, ...]:
        """Whether each limit is of the rig or of the truck, in the same order."""
        return tuple(side for _, side in self._names_and_sides(job, numbers))

    def _names_and_sides(self, job: Job, numbers: Figures) -> tuple[tuple[str, Side], ...]:
        if not self._limits:
            one = map_numbers(numbers, lambda number: float(np.ravel(number)[0]))
            self._limits = tuple((check.name, check.side) for check in find_checks(job, one))
        return self._limits

    def values(self, job: Job, numbers: Figures, shape: tuple[int, ...]) -> Array:
        """`values_of` the variants, an array (values, *shape)."""
        recorded = self._recorded_if_worth_it(job, numbers, math.prod(shape))
        if recorded is None:
            return filled(values_of(job, numbers), shape)
        return recorded.values(inputs_of(numbers), shape)

    @property
    def machine_code(self) -> MachineFunction | None:
        """`values_of` as machine code, once the formulas are recorded and where there is some."""
        values = None if self._recorded is None else self._recorded.values
        return values if isinstance(values, MachineFunction) else None

    def nominal(self, job: Job, numbers: Figures, shape: tuple[int, ...]) -> NominalLimits:
        """Every limit with values as entered, over poses that broadcast to a shape; figures without bending yet."""
        recorded = self._recorded_if_worth_it(job, numbers, math.prod(shape))
        if recorded is None:
            return nominal_limits(job, numbers, shape)
        return recorded.nominal.limits(numbers, shape)

    def extremes(self, job: Job, numbers: Figures, shape: tuple[int, ...]) -> Extremes:
        """Greatest use and smallest allowed load with values as entered, the same way."""
        recorded = self._recorded_if_worth_it(job, numbers, math.prod(shape))
        if recorded is None:
            return nominal_extremes(nominal_limits(job, numbers, shape))
        return recorded.nominal.extremes(numbers, shape)

    def evaluate_pose(self, job: Job, numbers: Figures) -> EvaluatedPose:
        """Everything said of one pose with values as entered."""
        recorded = self._recorded_if_worth_it(job, numbers)
        return evaluate_pose(job, numbers) if recorded is None else recorded.evaluate_pose(inputs_of(numbers))

    @property
    def compiled_search(self) -> CompiledCornerSearch | None:
        """The search for the worst case in machine code, once the formulas are recorded."""
        return None if self._recorded is None else self._recorded.compiled_search

    def drop_compiled_search(self) -> None:
        """Never use it again: it disagrees with the arrays on this machine."""
        if self._recorded is not None:
            self._recorded.compiled_search = None

    def record(self, job: Job, numbers: Figures, quick: bool = False) -> None:
        """Record the formulas, unless that is done or being done; ``quick`` when somebody waits for it."""
        if self._recording.acquire(blocking=False):
            try:
                if not self._tried:
                    self._recorded, self._tried = recorded_formulas(job, numbers, quick), True
            finally:
                self._recording.release()

    def _recorded_if_worth_it(self, job: Job, numbers: Figures, variants: int = 1) -> RecordedFormulas | None:
        if self._recorded is not None:
            return self._recorded
        if self._walks is None:
            self._recorded = found_formulas(job, numbers)
            self._walks = Structure(job, fitted_arms(numbers)).walks
        if self._recorded is not None:
            return self._recorded
        self._walks.count += 1.0 + variants / VARIANTS_OF_A_WALK
        if self._walks.count >= RECORD_AFTER_WALKS and _Recording.while_asked:
            self._walks.count = 0.0  # numbers that take another way through the formulas are counted anew
            self.record(job, numbers, quick=True)
        return self._recorded


RECORD_AFTER_WALKS = 48.0
"""Recording takes as long as some fifty walks: not worth it for a structure evaluated once."""

VARIANTS_OF_A_WALK = 1500.0
"""Variants in an array that take as long again as walking the formulas takes for one."""


class _Recording:
    """Whether an evaluator may record while somebody waits for its answer."""

    while_asked = True


def record_ahead_only() -> None:
    """From now on formulas are recorded by `record_ahead` alone, so that a drag never waits for it."""
    _Recording.while_asked = False


def record_ahead(job: Job, pose: Pose) -> None:
    """Record the formulas before they are asked for, in a quiet moment; may run on a thread."""
    numbers = figures(job, pose)
    evaluator_of(job, numbers).record(job, numbers)
    return_freed_memory()


def evaluator_of(job: Job, numbers: Figures) -> Evaluator:
    """The evaluator of a job with these arms fitted; the same while truck, rig, load and allowances are the same."""
    return _evaluator_of(IdentityKey(job.truck, job.rig, job.load, job.policy, job.approval), fitted_arms(numbers))


@functools.lru_cache(maxsize=8)
def _evaluator_of(_same: IdentityKey[Truck, Rig, Load, Policy, Approval | None], _fitted: tuple[int, ...]) -> Evaluator:
    return Evaluator()
