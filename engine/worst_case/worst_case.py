"""The worst case: every limit with all uncertain entries against it together.

``engine.worst_case.uncertain_inputs`` lists what may be off, ``engine.worst_case.corner_search`` finds the worst case
of every limit; here it is put together for one pose (`worst_case_of`) or arrays of poses (`worst_values`).
``engine.worst_case.entry_costs`` says which entry costs most.
"""

from __future__ import annotations

import functools
import math
import operator
from collections.abc import Sequence

import msgspec
import numpy as np

from engine.base.geometry import Array, Indices
from engine.base.identity import Uncompared
from engine.limits import balance
from engine.limits.all_limits import find_checks
from engine.rig.check import Check
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import flat, map_numbers, shape_of
from engine.rig.kinematics import Figures
from engine.schema.model import Job, Pose
from engine.worst_case.corner_search import (
    FirstPose,
    NominalUses,
    WorstOfPoses,
    nominal_uses,
    worst_of_poses,
    worst_that_counts,
)
from engine.worst_case.corner_search_llvm import CornerNumbers
from engine.worst_case.each_limit import allowed_by_each_limit, use_of_each_limit
from engine.worst_case.evaluator import Evaluator, evaluator_of
from engine.worst_case.uncertain_inputs import Entry, entries_of
from engine.worst_case.uncertainty_box import UncertaintyBox, box_around


class WorstValues(msgspec.Struct, kw_only=True, frozen=True):
    """Worst case for one pose or arrays of poses.

    ``use`` of every limit (limits, ...); ``allowed_kg`` (...) is the smallest allowed load, ``governing`` (...) the
    index of its limit.  A limit that is not a number allows nothing: minus infinity.
    """

    use: Array
    allowed_kg: Array
    governing: Indices


class WorstStanding(msgspec.Struct, kw_only=True, frozen=True):
    """How the truck stands in the worst case, plain statics without allowances: the least of each over all corners."""

    rear_weight_left_kg: float
    light_front_wheel_kg: float
    tipping_load_kg: float
    tipping_use: dict[str, float]


class WorstCase(msgspec.Struct, kw_only=True, frozen=True, dict=True):
    """Worst case of one pose.

    ``use_at_once`` has one entry for each check, in the checks' order: that of `use` for the limits that count
    (`corner_search.worst_that_counts`), and for the others where nothing was ``left_out``.  ``allowed_kg`` is the
    smallest allowed load, minus infinity where nothing is known, and ``governing_index`` its check.  ``costs`` says
    what each entry alone adds to the use of the check that is worst in the worst case, in the order of ``entries``.
    """

    job: Job
    numbers: Figures
    entries: tuple[Entry, ...]
    nominal: Uncompared[NominalUses]
    use_at_once: tuple[float, ...]
    left_out: bool
    allowed_kg: float
    governing_index: int
    worst_index: int
    costs: tuple[float, ...]
    standing: WorstStanding

    @property
    def passes(self) -> bool:
        """Whether every limit is met in the worst case; a use that is not a number never passes."""
        return all(use <= 1.0 for use in self.use_at_once)

    @functools.cached_property
    def use(self) -> tuple[float, ...]:
        """Worst use of every check; what was left out at first is worked out when asked for."""
        if not self.left_out:
            return self.use_at_once
        return tuple(np.maximum(self.use_at_once, self._asked_again.use[:, 0]).tolist())

    @functools.cached_property
    def use_of_each(self) -> tuple[float, ...]:
        """As ``use``, every limit climbed (`engine.worst_case.each_limit`): for lists, worked out when asked for."""
        use = use_of_each_limit(self._box, self._asked_again, self._evaluator)
        return tuple(np.maximum(self.use_at_once, use).tolist())

    @functools.cached_property
    def allowed_load_kg(self) -> tuple[float, ...]:
        """What each check by itself allows; worked out when first asked for, which takes tens of milliseconds."""
        loads_kg = allowed_by_each_limit(self._box, self.nominal.value, self._asked_again, self._evaluator)
        loads_kg = np.maximum(loads_kg, self.allowed_kg)
        loads_kg[self.governing_index] = self.allowed_kg
        return tuple(loads_kg.tolist())

    @functools.cached_property
    def _asked_again(self) -> WorstOfPoses:
        """The search with every climb: what all that is worked out later starts from."""
        return worst_of_poses(self._box, self.nominal.value, self._evaluator).copied()

    @property
    def corner_of_each(self) -> CornerNumbers:
        """The corner (checks) where every check is passed first."""
        return self._asked_again.corner[:, 0]

    @property
    def _box(self) -> UncertaintyBox:
        return box_around(self.job, self.numbers, self.entries)

    @property
    def _evaluator(self) -> Evaluator:
        return evaluator_of(self.job, self.numbers)


def worst_values(job: Job, pose: Pose, numbers: Figures, entries: tuple[Entry, ...] | None = None) -> WorstValues:
    """Worst case of every limit for one pose or arrays of poses.

    Parameters
    ----------
    job : Job
    pose : Pose
        Says which floor the poses stand on and whether the hook is loaded.
    numbers : Figures
        Floats or arrays that broadcast to the poses' shape (...).
    entries : tuple of Entry, optional
        The uncertain entries; by default all of `entries_of`.

    Returns
    -------
    WorstValues
        Limits in the order of `find_checks`.  Each pose takes about as long as evaluating two hundred of them.
    """
    entries = entries_of(job, pose, numbers) if entries is None else entries
    shape = shape_of(numbers)
    evaluator = evaluator_of(job, numbers)
    in_a_row = map_numbers(numbers, lambda number: flat(number, shape))
    row, use, load_kg = evaluator.nominal(job, in_a_row, (math.prod(shape),))
    nominal = NominalUses(use=use, allowed_load_kg=load_kg)
    worst = worst_of_poses(box_around(job, row, entries), nominal, evaluator)
    return WorstValues(
        use=worst.use.reshape(-1, *shape),
        allowed_kg=worst.allowed_kg.reshape(shape),
        governing=worst.governing.reshape(shape),
    )


def worst_case_of(job: Job, pose: Pose, numbers: Figures, checks: Sequence[Check] | None = None) -> WorstCase:
    """Worst case of one pose, how the truck then stands, and what each entry costs.

    Parameters
    ----------
    job, pose : Job, Pose
        A pose that has a verdict: plate and floor are known and the pose is possible.
    numbers : Figures
        The pose as entered, plain floats.
    checks : sequence of Check, optional
        Every limit with values as entered, if already at hand.
    """
    entries = entries_of(job, pose, numbers)
    numbers = with_bending(job, numbers)
    checks = find_checks(job, numbers) if checks is None else checks
    nominal, box = nominal_uses(checks), box_around(job, numbers, entries)
    shown = _shown_together(tuple(map(_OF_AND_KIND, checks)))
    worst, left_out = worst_that_counts(box, nominal, evaluator_of(job, numbers), shown)
    use = worst.use[:, 0]
    worst_index = int(np.where(np.isnan(use), np.inf, use).argmax())
    return WorstCase(
        job=job,
        numbers=numbers,
        entries=entries,
        nominal=Uncompared(nominal),
        use_at_once=tuple(use.tolist()),
        left_out=left_out,
        allowed_kg=float(worst.allowed_kg[0]),
        governing_index=int(worst.governing[0]),
        worst_index=worst_index,
        costs=_costs(worst.first, worst_index),
        standing=_standing(worst.first),
    )


_OF_AND_KIND = operator.attrgetter("of", "kind")


@functools.lru_cache(maxsize=64)
def _shown_together(limits: tuple[tuple[str, str], ...]) -> tuple[tuple[int, ...], ...]:
    """Groups of limits whose most used is shown at every move: those of the rig, of the truck, the tipping lines."""
    of_rig = tuple(at for at, (of, _) in enumerate(limits) if of == "rig")
    of_truck = tuple(at for at, (of, _) in enumerate(limits) if of != "rig")
    return of_rig, of_truck, tuple(at for at, (_, kind) in enumerate(limits) if kind.startswith(balance.TIPPING))


def _costs(first: FirstPose, index: int) -> tuple[float, ...]:
    """What each entry alone adds to the use of one limit, in points of use."""
    worse = np.maximum(np.maximum(first.low_effect[index], first.high_effect[index]), 0.0)
    allowed = float(first.allowed[index])
    return tuple((worse / allowed).tolist()) if allowed > 0.0 else (0.0,) * len(worse)


def _standing(first: FirstPose) -> WorstStanding:
    rear, light, tipping, *_ = first.standing_least.tolist()
    uses = first.standing_most[-len(balance.LINES) :].tolist()
    return WorstStanding(
        rear_weight_left_kg=rear,
        light_front_wheel_kg=light,
        tipping_load_kg=tipping,
        tipping_use={name: use for (name, *_), use in zip(balance.LINES, uses, strict=True)},
    )
