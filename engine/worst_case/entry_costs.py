"""Which uncertain entries cost most in the worst case, and what measuring them would buy."""

from __future__ import annotations

import math

import msgspec
import numpy as np

from engine.base.geometry import Array
from engine.limits.all_limits import find_checks
from engine.worst_case.corner_search import NominalUses, nominal_uses, worst_of_poses
from engine.worst_case.evaluator import evaluator_of
from engine.worst_case.uncertain_inputs import Entry
from engine.worst_case.uncertainty_box import box_around
from engine.worst_case.worst_case import WorstCase


class EntryCost(msgspec.Struct, kw_only=True, frozen=True):
    """What one entry's uncertainty costs, and what measuring it would buy.

    ``cost`` is in points of use of the check that is worst (0.1: ten per cent of that limit), ``share`` the part of
    what all entries cost it.  ``use_then`` is that check's worst use with this entry measured; ``settles`` is true when
    measuring this entry alone, if it comes out as entered, makes every limit pass in the worst case.
    """

    entry: Entry
    cost: float
    share: float
    use_then: float
    settles: bool


RANKED = 8
"""Entries worth naming: past these a person stops reading."""

LEAST_COST = 1e-6
"""Points of use under which an entry is not worth a line."""


def costliest_entries(worst: WorstCase) -> tuple[EntryCost, ...]:
    """The entries that cost most, costliest first, each with what measuring it would buy.

    The worst case is evaluated again with that entry's band shrunk about what was entered; only for the few costliest,
    since a cheap one cannot settle anything.
    """
    costliest = [index for index in _costliest(worst) if worst.costs[index] > LEAST_COST]
    if not costliest:
        return ()
    total = math.fsum(worst.costs)
    uses_then = uses_when_measured(worst, [(index,) for index in costliest])
    return tuple(
        EntryCost(
            entry=worst.entries[index],
            cost=worst.costs[index],
            share=worst.costs[index] / total,
            use_then=float(uses[worst.worst_index]),
            settles=not worst.passes and bool((uses <= 1.0).all()),
        )
        for index, uses in zip(costliest, uses_then.T, strict=True)
    )


def entries_to_measure(worst: WorstCase) -> tuple[Entry, ...]:
    """The fewest of the costliest entries that, measured together, would make every limit pass in the worst case.

    Empty when the pose passes already or when all of them together would not do.
    """
    if worst.passes:
        return ()
    order = _costliest(worst)
    groups = [tuple(order[:count]) for count in range(1, len(order) + 1)]
    uses_then = uses_when_measured(worst, groups)
    enough = [group for group, uses in zip(groups, uses_then.T, strict=True) if (uses <= 1.0).all()]
    return tuple(worst.entries[index] for index in enough[0]) if enough else ()


def _costliest(worst: WorstCase) -> list[int]:
    return sorted(range(len(worst.entries)), key=lambda index: -worst.costs[index])[:RANKED]


def uses_when_measured(worst: WorstCase, groups: list[tuple[int, ...]]) -> Array:
    """Worst use of every limit with each group of entries measured in turn, all groups at once: (limits, groups)."""
    job, numbers = worst.job, worst.numbers
    boxes = [box_around(job, numbers, measured(worst.entries, group)) for group in groups]
    box = msgspec.structs.replace(
        boxes[0],
        nominal=np.concatenate([box.nominal for box in boxes], axis=1),
        down=np.concatenate([box.down for box in boxes], axis=1),
        up=np.concatenate([box.up for box in boxes], axis=1),
    )
    one = nominal_uses(find_checks(job, numbers))
    nominal = NominalUses(
        use=np.repeat(one.use, len(groups), axis=1),
        allowed_load_kg=np.repeat(one.allowed_load_kg, len(groups), axis=1),
    )
    return worst_of_poses(box, nominal, evaluator_of(job, numbers)).use


def measured(entries: tuple[Entry, ...], indices: tuple[int, ...]) -> tuple[Entry, ...]:
    """The entries with some of them weighed or measured as well as a shop can, coming out as entered."""
    shrunk = {
        index: msgspec.structs.replace(entries[index], down=entries[index].measured_down, up=entries[index].measured_up)
        for index in indices
    }
    return tuple(shrunk.get(index, entry) for index, entry in enumerate(entries))
