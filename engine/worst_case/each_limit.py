"""What every limit by itself comes to in the worst case: for lists of limits, where more than the verdict is shown.

The verdict needs no more than whether a pose passes and which limit allows least
(``engine.worst_case.corner_search``).  Here every limit is climbed (``engine.worst_case.corner_climb``): its use under
the load itself, and its excess under the load it allows, which is found on the formulas and not on a chord.
"""

from __future__ import annotations

import numpy as np

from engine.base.geometry import Array
from engine.worst_case.corner_climb import (
    Climbers,
    climb_from_both_ends,
    excess_height,
    heights_in,
    turned_entries,
)
from engine.worst_case.corner_rules import STRAIGHT, is_bent, load_to_look_at
from engine.worst_case.corner_search import NominalUses, WorstOfPoses, climbed_uses
from engine.worst_case.evaluator import Evaluator
from engine.worst_case.uncertainty_box import UncertaintyBox


def use_of_each_limit(box: UncertaintyBox, worst: WorstOfPoses, evaluator: Evaluator) -> Array:
    """Worst use of every limit of one pose (limits), from what `worst_of_poses` says of it.

    Where arms may be off their angle each limit is climbed: one that looks straight from the corner that was found may
    be worse with the arms to their other side.
    """
    use = np.array(worst.use[:, 0])
    turns = bool(turned_entries(box))
    limit = np.arange(len(use)) if turns else np.flatnonzero(is_bent(use, worst.bend[:, 0], STRAIGHT))
    if len(limit):
        use[limit] = climbed_uses(box, evaluator, worst, limit, np.zeros(len(limit), int), climb_from_both_ends)
    return use


MOST_ROUNDS = 6
"""Climbs to a load that is allowed: each starts at the load that the corner of the last one allows."""


def allowed_by_each_limit(
    box: UncertaintyBox, nominal: NominalUses, worst: WorstOfPoses, evaluator: Evaluator
) -> Array:
    """The load that every limit of one pose allows by itself (limits), from what `worst_of_poses` says of it.

    Minus infinite where the limit is over without a load or not known, infinite where no load is too much.  Where the
    worst corner at a load is over, less is allowed: as much as that corner allows.  There the worst corner may be
    another, and so on.
    """
    nominal_kg = nominal.allowed_load_kg[:, 0]
    allowed_kg = np.where(np.isnan(nominal_kg), -np.inf, nominal_kg)
    count = len(nominal_kg)
    # Without a load and under the load as entered: both at once, since formulas take about as long for both as for one.
    both = Climbers(
        limit=np.tile(np.arange(count), 2),
        pose=np.zeros(2 * count, int),
        corner=np.tile(worst.corner[:, 0], 2),
        load_kg=np.concatenate([np.zeros(count), np.asarray(load_to_look_at(nominal_kg), float)]),
    )
    ended, top = climb_from_both_ends(box, evaluator, both, excess_height)
    allowed_kg[top[:count] > 0.0] = -np.inf
    going = count + np.flatnonzero(allowed_kg > -np.inf)
    going, excess = _with_less_where_over(box, evaluator, ended.some(going), top[going])
    for nth in range(MOST_ROUNDS):
        if nth:
            going, excess = climb_from_both_ends(box, evaluator, going, excess_height)
        over = excess > 0.0
        if not over.any():
            break
        going = going.some(over)
        going = going.under(_load_met_at(box, evaluator, going, excess[over]))
        allowed_kg[going.limit] = going.load_kg
    return np.minimum(allowed_kg, np.where(np.isnan(nominal_kg), -np.inf, nominal_kg))


LESS = (0.1, 0.2, 0.4, 0.7)
"""Shares of a load under which a limit is looked at that is not over at the load itself."""


def _with_less_where_over(
    box: UncertaintyBox, evaluator: Evaluator, climbers: Climbers, excess: Array
) -> tuple[Climbers, Array]:
    """Limits that are over at less load and no longer at more, at the less: a load of tonnes may lift itself."""
    load_kg, excess = climbers.load_kg.copy(), excess.copy()
    still = np.flatnonzero(excess <= 0.0)
    here = climbers.some(still)
    loads_kg = np.array(LESS)[:, None] * here.load_kg
    values = _excess_under(box, evaluator, here, loads_kg)
    first, each = (values > 0.0).argmax(axis=0), np.arange(len(still))
    over = values[first, each] > 0.0
    load_kg[still[over]], excess[still[over]] = loads_kg[first, each][over], values[first, each][over]
    return climbers.under(load_kg), excess


ROOT_STEPS = 30
"""More than any root takes: most take four, and the middle alone brings twenty."""

ROOT_TOLERANCE = 1e-5
"""How near a root is found, as a share of it: grams."""

ABOUT = (0.0, -0.1 * ROOT_TOLERANCE, 0.9 * ROOT_TOLERANCE, -1e-3, 1e-3)
"""Where a step looks besides, as shares of the load that the secant leads to: many loads cost little more than one."""


def _load_met_at(box: UncertaintyBox, evaluator: Evaluator, climbers: Climbers, over: Array) -> Array:
    """The load at which each limit is met in its corner, between none and one that is ``over``; never more than that.

    Every step looks where the secant leads, beside that, and in the middle, and keeps the nearest on each side.
    """
    low, high = np.zeros(len(over)), climbers.load_kg.copy()
    at_low, at_high = _excess_under(box, evaluator, climbers, low[None])[0], over.copy()
    for _ in range(ROOT_STEPS):
        open_ = np.flatnonzero(high - low > ROOT_TOLERANCE * np.maximum(high, 1.0))
        if not len(open_):
            break
        start, end, at_start, at_end = low[open_], high[open_], at_low[open_], at_high[open_]
        with np.errstate(invalid="ignore", divide="ignore"):
            secant = end - at_end * (end - start) / (at_end - at_start)
        middle = 0.5 * (start + end)
        loads = np.stack([*(secant * (1.0 + share) for share in ABOUT), middle])
        loads = np.where((loads > start) & (loads < end), loads, middle)
        excess = _excess_under(box, evaluator, climbers.some(open_), loads)
        order, each = loads.argsort(axis=0), np.arange(len(open_))
        loads = np.concatenate([start[None], loads[order, each], end[None]])
        excess = np.concatenate([at_start[None], excess[order, each], at_end[None]])
        is_over = excess > 0.0
        is_over[0] = False
        first = is_over.argmax(axis=0)
        low[open_], at_low[open_] = loads[first - 1, each], excess[first - 1, each]
        high[open_], at_high[open_] = loads[first, each], excess[first, each]
    return low


def _excess_under(box: UncertaintyBox, evaluator: Evaluator, climbers: Climbers, loads_kg: Array) -> Array:
    """The excess of each climber's limit in its corner under several loads, (loads, climbers)."""
    many = climbers.some(np.tile(np.arange(len(climbers.limit)), len(loads_kg))).under(loads_kg.reshape(-1))
    return heights_in(box, evaluator, many, many.corner[None], excess_height).reshape(loads_kg.shape)
