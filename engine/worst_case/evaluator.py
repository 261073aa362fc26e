"""Limits over many variants of one pose, soon and always the same: the formulas at first, then their tape.

A variant is a pose with some of its figures changed.  Doubt asks for some hundred at every move of the mouse, always of
the same truck, rig, load and allowances; so after a few times the formulas are written down (``engine.jit.trace``) and
replayed.
"""

from __future__ import annotations

import functools
import math
import threading
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np

from engine.base.geometry import Array
from engine.base.identity import IdentityKey
from engine.jit.machine_code import ArrayFunction, machine_functions, return_freed_memory
from engine.jit.python_code import array_function, float_function
from engine.jit.trace import CannotRecordError, Recorder
from engine.limits import balance
from engine.limits.all_limits import find_checks, leaned
from engine.limits.balance import Balance
from engine.rig.check import Check
from engine.rig.deflection import apply_bending, place_bent, with_bending
from engine.rig.figure_vector import filled, inputs_of, map_numbers
from engine.rig.kinematics import Figures, Placed, figures, fitted_arms, place
from engine.schema.model import Job, Pose
from engine.worst_case.corner_search_llvm import CornerCode, corner_code
from engine.worst_case.nominal import Extremes, NominalCode, NominalLimits, nominal_extremes, nominal_limits


class Evaluator:
    """Evaluates the limits of one job over variants; after a few times it writes the formulas down and replays them.

    It only remembers how to get the same answer sooner.
    """

    def __init__(self) -> None:
        self._names: tuple[str, ...] = ()
        self._worth_it = 0.0
        self._making = threading.Lock()
        self._tried = False
        self._written: RecordedFormulas | None = None

    def names(self, job: Job, numbers: Figures) -> tuple[str, ...]:
        """Names of the limits in their order, the same for every pose."""
        if not self._names:
            one = map_numbers(numbers, lambda number: float(np.ravel(number)[0]))
            self._names = tuple(check.name for check in find_checks(job, one))
        return self._names

    def values(self, job: Job, numbers: Figures, shape: tuple[int, ...]) -> Array:
        """Demand and allowed of every limit, the guides, then the standing; an array (values, *shape)."""
        written = self._ready(job, numbers, math.prod(shape))
        if written is None:
            return filled(values_of(job, numbers), shape)
        return written.values(inputs_of(numbers), shape)

    def nominal(self, job: Job, numbers: Figures, shape: tuple[int, ...]) -> NominalLimits:
        """Every limit at best values over poses that broadcast to a shape; figures without bending yet."""
        written = self._ready(job, numbers, math.prod(shape))
        return nominal_limits(job, numbers, shape) if written is None else written.best.nominal(numbers, shape)

    def extremes(self, job: Job, numbers: Figures, shape: tuple[int, ...]) -> Extremes:
        """Greatest use and smallest allowed load at best values, the same way."""
        written = self._ready(job, numbers, math.prod(shape))
        return (
            nominal_extremes(nominal_limits(job, numbers, shape))
            if written is None
            else written.best.extremes(numbers, shape)
        )

    def evaluate_pose(self, job: Job, numbers: Figures) -> EvaluatedPose:
        """One pose with everything best values say of it."""
        written = self._ready(job, numbers)
        return evaluate_pose(job, numbers) if written is None else written.evaluate_pose(inputs_of(numbers))

    @property
    def corner_code(self) -> CornerCode | None:
        """The search for the worst case in machine code, once the formulas are written down."""
        return None if self._written is None else self._written.corner_code

    def without_corner_code(self) -> None:
        """It does not say here what the formulas say: never use it again."""
        if self._written is not None:
            self._written.corner_code = None

    def make_ready(self, job: Job, numbers: Figures, quick: bool = False) -> None:
        """Write the formulas down, unless that is done or being done; ``quick`` when somebody waits for it."""
        if self._making.acquire(blocking=False):
            try:
                if not self._tried:
                    self._written, self._tried = recorded_for(job, numbers, quick), True
            finally:
                self._making.release()

    def _ready(self, job: Job, numbers: Figures, variants: int = 1) -> RecordedFormulas | None:
        self._worth_it += 1.0 + variants / VARIANTS_OF_A_LOOK
        if self._worth_it >= RECORD_AT and _on_the_spot:
            self.make_ready(job, numbers, quick=True)
        return self._written


RECORD_AT = 48.0
"""Writing formulas down costs some fifty looks: not worth it for a rig that is looked at once or edited at every move."""

_on_the_spot = True


def never_on_the_spot() -> None:
    """Formulas are written down by `ready` alone from now on: a hand that drags is not to wait for it, however long it drags."""
    global _on_the_spot
    _on_the_spot = False


VARIANTS_OF_A_LOOK = 1500.0
"""Variants in an array that take as long again as walking the formulas takes for one."""


def ready(job: Job, pose: Pose) -> None:
    """Write the formulas down before they are asked for, in a quiet moment: the pose's next verdicts come at once.

    May be called on a thread.
    """
    numbers = figures(job, pose)
    evaluator_of(job, numbers).make_ready(job, numbers)
    return_freed_memory()


def evaluator_of(job: Job, numbers: Figures) -> Evaluator:
    """The bench of this job with these arms fitted; the same one while truck, rig, load and allowances are the same."""
    return _kept(IdentityKey(job.truck, job.rig, job.load, job.policy, job.approval), fitted_arms(numbers))


@functools.lru_cache(maxsize=8)
def _kept(_same: IdentityKey, _fitted: tuple[int, ...]) -> Evaluator:
    return Evaluator()


class EvaluatedPose(NamedTuple):
    """One pose at best values: figures with bending, the rig as drawn and as it hangs, its balance, every limit."""

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


class RecordedFormulas:
    """The formulas of one job, written down: limits over variants, and everything of one pose."""

    def __init__(self, job: Job, numbers: Figures, quick: bool = False) -> None:
        one = map_numbers(numbers, lambda number: float(np.ravel(number)[0]))  # any: only their places count
        self._job, self._quick = job, quick
        self.numbers = with_bending(job, one)
        self.bare = msgspec.structs.replace(self.numbers, bent_m=())
        self.values = self.over_variants(self.numbers, functools.partial(values_of, job))
        self.evaluate_pose = self._of_one_pose()
        self.corner_code = corner_code(self.values, GUIDES, STANDING_VALUES)
        """None where there is no machine code, or where it does not say what the formulas say."""

    @functools.cached_property
    def best(self) -> NominalCode:
        """Best values over many poses."""
        return NominalCode(self._job, self)

    def over_variants(self, numbers: Figures, values_of: Callable[[Figures], list[Any]]) -> ArrayFunction:
        """Values for variants: in machine code where that can be had and says what the formulas say."""
        return self._made(numbers, values_of, lambda values: [values])[0]

    def one_by_one(self, numbers: Figures, values_of: Callable[[Figures], list[Any]]) -> list[ArrayFunction]:
        """The same for each value by itself."""
        return self._made(numbers, values_of, lambda values: [[value] for value in values])

    def _made(
        self,
        numbers: Figures,
        values_of: Callable[[Figures], list[Any]],
        parts_of: Callable[[list[Any]], list[list[Any]]],
    ) -> list[ArrayFunction]:
        recorder = Recorder()
        parts = parts_of(values_of(self._stand_ins(recorder, numbers)))
        shares = 1.0 + 0.01 * np.linspace(-1.0, 1.0, TRIED)
        tried = map_numbers(numbers, lambda number: number * shares)
        found = []
        every = machine_functions(recorder, parts, quick=self._quick) or [None] * len(parts)
        for made, values, wanted in zip(every, parts, parts_of(values_of(tried)), strict=True):
            if made is None or not _right(made(inputs_of(tried), shares.shape), filled(wanted, shares.shape)):
                made = _as_arrays(array_function(recorder, values))
            found.append(made)
        recorder.clear()
        return found

    def _of_one_pose(self) -> Callable[[Sequence[float]], EvaluatedPose]:
        """As `evaluate_pose`, for floats."""
        recorder = Recorder()
        stand = evaluate_pose(self._job, self._stand_ins(recorder, self.bare))
        made = float_function(recorder, stand)
        if not _right(_told_by(made(inputs_of(self.bare))), _told_by(evaluate_pose(self._job, self.bare))):
            made = float_function(recorder, stand, machine=False)
        recorder.clear()
        return made

    @staticmethod
    def _stand_ins(recorder: Recorder, numbers: Figures) -> Figures:
        return map_numbers(numbers, lambda _: recorder.new_input())


def _as_arrays(replay: Callable[[Sequence[Any]], list[Any]]) -> ArrayFunction:
    return lambda inputs, shape: filled(replay(inputs), shape)


TRIED = 7
"""Variants on which machine code is held against the formulas before anything rests on it."""


def _right(found: Array, wanted: Array) -> bool:
    """Whether code says what the formulas say; it runs on machines that nobody has tried it on."""
    return np.allclose(found, wanted, rtol=1e-9, atol=1e-9, equal_nan=True)


def _told_by(stand: EvaluatedPose) -> Array:
    """The numbers that say whether two stands are the same."""
    weighed = stand.balance
    found = [
        number for check in stand.checks for number in (check.demand, check.allowed, check.use, check.allowed_load_kg)
    ]
    found += [weighed.rear_kg, weighed.left_front_kg, weighed.right_front_kg, weighed.tipping_load_kg]
    return np.array([*found, *stand.placed.hook_m, *stand.hanging.hook_m], float)


def recorded_for(job: Job, numbers: Figures, quick: bool = False) -> RecordedFormulas | None:
    """The formulas written down; None when they cannot be."""
    try:
        return RecordedFormulas(job, numbers, quick)
    except CannotRecordError:
        return None


def values_of(job: Job, numbers: Figures) -> list[Any]:
    checks = find_checks(job, numbers)
    found = [getattr(check, name) for name in ("demand", "allowed") for check in checks]
    felt = balance.weigh(place_bent(job, leaned(numbers, job.policy)), balance.allowances_of(job.policy))
    found += [-felt.left_front_kg, -felt.right_front_kg]
    weighed = balance.weigh(place_bent(job, numbers))
    return [
        *found,
        weighed.rear_kg,
        weighed.light_front_kg,
        weighed.tipping_load_kg,
        *(line.use for line in weighed.lines),
    ]


GUIDES = 2
"""Wheel by wheel, what the light front wheel is the lighter of: each shows the way to a corner of its own."""

STANDING_VALUES = 3 + len(balance.LINES)
