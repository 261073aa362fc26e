"""The worst case: every limit with all uncertain entries against it together, and which entry costs most.

``engine.worst_case.uncertain_inputs`` says what may be off, ``engine.worst_case.corner_search`` finds the worst case of every limit; here it is put
together for one pose (`worst_case_of`) or arrays of poses (`worst_checks`), the entries are ranked by what they cost
(`rank`), and each is tried as if it had been weighed or measured, to say what that would buy.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array
from engine.limits import balance
from engine.limits.all_limits import find_checks
from engine.rig.check import Check
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import flat, map_numbers, shape_of
from engine.rig.kinematics import Figures
from engine.schema.model import Job, Pose
from engine.worst_case.corner_search import First, NominalBlock, best_of, box_of, case_of, each_allowed
from engine.worst_case.evaluator import evaluator_of
from engine.worst_case.uncertain_inputs import Entry, entries_of


class WorstValues(msgspec.Struct, kw_only=True, frozen=True):
    """Worst case for one pose or arrays of poses.

    ``use`` of every limit (limits, ...); ``allowed_kg`` (...) is the smallest allowed load, ``governing`` (...) the index of
    its limit.  A limit that is not a number allows nothing: minus infinity.
    """

    use: Array
    allowed_kg: Array
    governing: NDArray[np.intp]


class WorstStanding(msgspec.Struct, kw_only=True, frozen=True):
    """How the truck stands at its worst, plain statics without allowances: the least of each over all corners."""

    rear_weight_left_kg: float
    light_front_wheel_kg: float
    tipping_load_kg: float
    tipping_use: dict[str, float]


class WorstCase(msgspec.Struct, kw_only=True, frozen=True, dict=True):
    """Worst case of one pose.

    ``use`` has one entry for each check, in the checks' order.  ``allowed_kg`` is the smallest allowed load, minus infinity
    where nothing is known, and ``governing_index`` its check.  ``costs`` says what each entry alone adds to the use of the
    check that is worst in the worst case, in the order of ``entries``.
    """

    job: Job
    numbers: Figures
    entries: tuple[Entry, ...]
    use: tuple[float, ...]
    allowed_kg: float
    governing_index: int
    worst_index: int
    costs: tuple[float, ...]
    standing: WorstStanding

    @property
    def passes(self) -> bool:
        """Whether every limit is met at its worst; a use that is not a number never passes."""
        return all(use <= 1.0 for use in self.use)

    @functools.cached_property
    def allowed_load_kg(self) -> tuple[float, ...]:
        """What each check by itself allows; worked out when it is first asked for."""
        best = best_of(find_checks(self.job, self.numbers))
        each = each_allowed(box_of(self.job, self.numbers, self.entries), best, evaluator_of(self.job, self.numbers))[
            :, 0
        ]
        each = np.maximum(np.where(np.isnan(each), -np.inf, each), self.allowed_kg)
        each[self.governing_index] = self.allowed_kg
        return tuple(each.tolist())


class Cost(msgspec.Struct, kw_only=True, frozen=True):
    """What one entry's doubt costs, and what measuring it would buy.

    ``cost`` is in points of use of the check that is worst (0.1: ten per cent of that limit), ``share`` of all the
    doubt in it.  ``settles`` is true when measuring this entry alone, if it comes out as entered, makes every limit
    pass at its worst.
    """

    entry: Entry
    cost: float
    share: float
    use_then: float
    settles: bool


def worst_checks(job: Job, pose: Pose, numbers: Figures, entries: tuple[Entry, ...] | None = None) -> WorstValues:
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
        Limits in the order of `limits.find_checks`.  Costs about as much as evaluating some two hundred poses for each pose.
    """
    entries = entries_of(job, pose, numbers) if entries is None else entries
    shape = shape_of(numbers)
    bench = evaluator_of(job, numbers)
    row, use, load_kg, allowed = bench.nominal(
        job, map_numbers(numbers, lambda number: flat(number, shape)), (math.prod(shape),)
    )
    box, best = box_of(job, row, entries), NominalBlock(use=use, allowed_load_kg=load_kg, allowed=allowed)
    case = case_of(box, best, bench)
    return WorstValues(
        use=case.use.reshape(-1, *shape),
        allowed_kg=case.allowed_kg.reshape(shape),
        governing=case.governing.reshape(shape),
    )


# ---------------------------------------------------------------- one pose: doubt, costs and what measuring buys


def worst_case_of(job: Job, pose: Pose, numbers: Figures, checks: Sequence[Check] | None = None) -> WorstCase:
    """Worst case of one pose, how the truck then stands, and what each entry costs.

    Parameters
    ----------
    job, pose : Job, Pose
        A pose that has a verdict: plate and floor are known and the pose can be.
    numbers : Figures
        Best values of the pose, plain floats.
    checks : sequence of Check, optional
        Every limit at best values, if already at hand.
    """
    entries = entries_of(job, pose, numbers)
    numbers = with_bending(job, numbers)
    best = best_of(find_checks(job, numbers) if checks is None else checks)
    case = case_of(box_of(job, numbers, entries), best, evaluator_of(job, numbers))
    use = case.use[:, 0]
    worst_index = int(np.where(np.isnan(use), np.inf, use).argmax())
    return WorstCase(
        job=job,
        numbers=numbers,
        entries=entries,
        use=tuple(use.tolist()),
        allowed_kg=float(case.allowed_kg[0]),
        governing_index=int(case.governing[0]),
        worst_index=worst_index,
        costs=_costs(case.first, worst_index),
        standing=_standing(case.first),
    )


def _costs(first: First, index: int) -> tuple[float, ...]:
    """What each entry alone adds to the use of one limit, in points of use."""
    worse = np.maximum(np.maximum(first.low[index], first.high[index]), 0.0)
    allowed = float(first.allowed[index])
    return tuple((worse / allowed).tolist()) if allowed > 0.0 else (0.0,) * len(worse)


def _standing(first: First) -> WorstStanding:
    rear, light, tipping, *_ = first.least.tolist()
    uses = first.most[-len(balance.LINES) :].tolist()
    return WorstStanding(
        rear_weight_left_kg=rear,
        light_front_wheel_kg=light,
        tipping_load_kg=tipping,
        tipping_use={name: use for (name, *_), use in zip(balance.LINES, uses, strict=True)},
    )


def rank(worst: WorstCase) -> tuple[Cost, ...]:
    """The entries that cost most, dearest first, each with what measuring it would buy.

    What it buys is found by evaluating the worst case again with that entry's band shrunk about its best value; the
    few dearest entries only, since a cheap one cannot settle anything.
    """
    dearest = [index for index in _dearest(worst) if worst.costs[index] > LEAST_COST]
    if not dearest:
        return ()
    total = math.fsum(worst.costs)
    then = _worst_when_measured(worst, [(index,) for index in dearest])
    return tuple(
        Cost(
            entry=worst.entries[index],
            cost=worst.costs[index],
            share=worst.costs[index] / total,
            use_then=float(uses[worst.worst_index]),
            settles=not worst.passes and bool((uses <= 1.0).all()),
        )
        for index, uses in zip(dearest, then.T, strict=True)
    )


RANKED = 8
"""Entries worth naming: past these a person stops reading."""

LEAST_COST = 1e-6
"""Points of use under which an entry is not worth a line."""


def _dearest(worst: WorstCase) -> list[int]:
    return sorted(range(len(worst.entries)), key=lambda index: -worst.costs[index])[:RANKED]


def _worst_when_measured(worst: WorstCase, groups: list[tuple[int, ...]]) -> Array:
    """Worst use of every limit with each group of entries measured in turn, all groups at once: (limits, groups)."""
    job, numbers = worst.job, worst.numbers
    best = best_of(find_checks(job, numbers))
    boxes = [box_of(job, numbers, measured(worst.entries, group)) for group in groups]
    parts = {name: np.concatenate([getattr(box, name) for box in boxes], axis=1) for name in ("best", "down", "up")}
    box = msgspec.structs.replace(boxes[0], **parts)
    many = [np.repeat(getattr(best, name), len(groups), axis=1) for name in NominalBlock.__struct_fields__]
    return case_of(
        box, NominalBlock(**dict(zip(NominalBlock.__struct_fields__, many, strict=True))), evaluator_of(job, numbers)
    ).use


def measured(entries: tuple[Entry, ...], indices: tuple[int, ...]) -> tuple[Entry, ...]:
    """The entries with some of them weighed or measured as well as a shop can, coming out at their best values."""
    shrunk = {
        index: msgspec.structs.replace(entries[index], down=entries[index].measured_down, up=entries[index].measured_up)
        for index in indices
    }
    return tuple(shrunk.get(index, entry) for index, entry in enumerate(entries))


def settling(worst: WorstCase) -> tuple[Entry, ...]:
    """The fewest of the dearest entries that, measured together, would make every limit pass at its worst.

    Empty when the pose passes already or when all of them together would not do.
    """
    if worst.passes:
        return ()
    order = _dearest(worst)
    groups = [tuple(order[:many]) for many in range(1, len(order) + 1)]
    then = _worst_when_measured(worst, groups)
    enough = [group for group, uses in zip(groups, then.T, strict=True) if (uses <= 1.0).all()]
    return tuple(worst.entries[index] for index in enough[0]) if enough else ()
