"""Climbs from the corners of the search to worse ones: finds what entries do together and none does alone.

The search (``engine.worst_case.corner_search``) takes the worse side of each entry by what that entry does alone.  Near
a moment of nothing, or where a part of a limit counts on one side only (lean and play count to the side the truck leans
to), an entry may pull the other way once the others have moved.  A climb starts in the limit's corner, tries every
other side of every entry there, goes to the best of those corners or to the one with every side that was better, and so
on until none is.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Indices, Number
from engine.rig.check import use_of
from engine.worst_case.corner_rules import may_reach
from engine.worst_case.corner_search_llvm import CornerNumbers
from engine.worst_case.corner_variants import Columns, evaluate_columns, place_values, sides_of
from engine.worst_case.evaluator import Evaluator
from engine.worst_case.uncertainty_box import UncertaintyBox

Height = Callable[[Array, Array], Array]
"""What is climbed: a value of demand and allowed."""

Climb = Callable[[UncertaintyBox, Evaluator, "Climbers", Height], "tuple[Climbers, Array]"]
"""A way to climb: `climb` or `climb_from_every_turn`."""

VARIANTS_AT_ONCE = 6_000
"""Variants evaluated at once: larger tables would fall out of the cache."""

MOST_STEPS = 24
"""Steps after which a climb ends wherever it is; most end after one or two."""

WORTH_A_STEP = 1e-9
"""A share of a height that is no round-off."""


TURNED = "turns_rad"
"""The field of an arm's angle."""

WIDE_TURN_RAD = math.radians(2.0)
"""How far off its angle an arm must be able to stand for both of its sides to be climbed from."""


class Climbers(msgspec.Struct, kw_only=True, frozen=True):
    """Limits to climb, each in a pose and from a corner of its own; arrays (climbers).

    ``load_kg`` hangs a load whose weight is known; NaN leaves the load as uncertain as it is.
    """

    limit: Indices
    pose: Indices
    corner: CornerNumbers
    load_kg: Array

    def some(self, chosen: Any) -> Climbers:
        """Some of them."""
        return Climbers(**{name: getattr(self, name)[chosen] for name in Climbers.__struct_fields__})

    def at(self, corner: CornerNumbers) -> Climbers:
        """The same in other corners."""
        return msgspec.structs.replace(self, corner=corner)

    def under(self, load_kg: Array) -> Climbers:
        """The same under other loads."""
        return msgspec.structs.replace(self, load_kg=load_kg)


def climb(
    box: UncertaintyBox,
    evaluator: Evaluator,
    climbers: Climbers,
    height: Height,
    held: Sequence[int] = (),
    *,
    towards: Array | None = None,
) -> tuple[Climbers, Array]:
    """The climbers where their climbs end, and the height there; what is not a number is infinitely high.

    Each goes its own way, whichever others climb with it.  Entries that are ``held`` stay at their sides.  A climb that
    is after nothing but whether a limit gets ``towards`` a height (climbers) ends where what single entries still add
    is far from leading there (`corner_rules.REACH`).
    """
    corner, top = climbers.corner.copy(), np.full(len(climbers.corner), -np.inf)
    going = np.arange(len(corner))
    for _ in range(MOST_STEPS):
        if not len(going):
            break
        goal = -math.inf if towards is None else towards[going]
        step = _step(box, evaluator, climbers.some(going).at(corner[going]), height, held, goal)
        top[going] = step.here
        higher = step.there > step.here + WORTH_A_STEP * np.abs(step.here)
        going = going[higher]
        corner[going], top[going] = step.to[higher], step.there[higher]
        going = going[step.hopeful[higher] & (top[going] < np.inf)]
    return climbers.at(corner), top


def use_height(demand: Array, allowed: Array) -> Array:
    """A limit's use; negative where the demand is, so that there is a way up even where nothing is used yet."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        if (allowed > 0.0).all():  # by far the most frequent
            return demand / allowed
        return np.where((allowed > 0.0) & (demand < 0.0), demand / allowed, np.asarray(use_of(demand, allowed)))


def excess_height(demand: Array, allowed: Array) -> Array:
    """A limit's excess."""
    with np.errstate(invalid="ignore"):
        return demand - allowed


def heights_in(
    box: UncertaintyBox, evaluator: Evaluator, climbers: Climbers, corners: CornerNumbers, height: Height
) -> Array:
    """Heights of climbers in several corners each, (corners, climbers).

    Where climbers share pose, load and first corner, they share the others too.
    """
    result = np.empty(corners.shape)
    first, group = _groups(climbers, corners[0])
    step = max(1, VARIANTS_AT_ONCE // len(corners))
    for start in range(0, len(first), step):
        chosen = first[start : start + step]
        columns = Columns(
            sides=sides_of(corners[:, chosen], len(box.entries)),
            load_kg=np.broadcast_to(climbers.load_kg[chosen], (len(corners), len(chosen))),
        )
        poses = box if box.poses == 1 else box.block(climbers.pose[chosen])
        limits = evaluate_columns(poses, evaluator, columns)
        members = np.flatnonzero((group >= start) & (group < start + step))
        at = (climbers.limit[members], slice(None), group[members] - start)
        values = height(limits.demand[at].T, limits.allowed[at].T)
        result[:, members] = np.where(np.isnan(values), np.inf, values)
    return result


def _groups(climbers: Climbers, corner: CornerNumbers) -> tuple[Indices, Indices]:
    """The first climber of every group with the same pose, corner and load, and every climber's group."""
    keys = zip(climbers.pose.tolist(), corner.tolist(), climbers.load_kg.view(np.int64).tolist(), strict=True)
    groups: dict[tuple[int, int, int], int] = {}
    group = np.array([groups.setdefault(key, len(groups)) for key in keys], np.intp)
    first = np.empty(len(groups), np.intp)
    first[group[::-1]] = np.arange(len(group))[::-1]
    return first, group


class _Step(NamedTuple):
    """One step of each climber: the height where it stands, the corner it may go to, and the height there.

    ``hopeful`` is whether what the entries add, each by its better side, may lead to the goal.
    """

    here: Array
    to: CornerNumbers
    there: Array
    hopeful: NDArray[np.bool_]


def _step(
    box: UncertaintyBox,
    evaluator: Evaluator,
    climbers: Climbers,
    height: Height,
    held: Sequence[int],
    goal: Number,
) -> _Step:
    """To the best corner with one entry at another side, or to that with every entry that was better so."""
    free = _but(len(box.entries), tuple(held))
    changes = _changes(climbers.corner, len(box.entries), free)
    corners = np.concatenate([climbers.corner[None], climbers.corner + changes.reshape(-1, len(climbers.corner))])
    heights = heights_in(box, evaluator, climbers, corners, height)
    here, (first, second) = heights[0], heights[1:].reshape(changes.shape)
    best = np.maximum(first, second)
    change = np.where(second > first, changes[1], changes[0])
    entry, each = best.argmax(axis=0), np.arange(len(here))
    to, there = climbers.corner + change[entry, each], best[entry, each]
    better = best > here + WORTH_A_STEP * np.abs(here)
    gains = np.where(better, best, 0.0) - np.where(better, here, 0.0)
    hopeful = np.asarray(may_reach(here, gains.sum(axis=0), goal))
    several = np.flatnonzero(hopeful & (better.sum(axis=0) > 1))
    if len(several):
        every = climbers.corner[several] + np.where(better, change, 0).sum(axis=0)[several]
        every_there = heights_in(box, evaluator, climbers.some(several), every[None], height)[0]
        higher = every_there > there[several]
        to[several[higher]], there[several[higher]] = every[higher], every_there[higher]
    return _Step(here, to, there, hopeful)


def turned_entries(box: UncertaintyBox) -> tuple[int, ...]:
    """Which entries are angles of arms that may be far off: a pinned arm's other side adds next to nothing."""
    return tuple(
        index
        for index, entry in enumerate(box.entries)
        if entry.field == TURNED and max(entry.down, entry.up) > WIDE_TURN_RAD
    )


def climb_from_every_turn(
    box: UncertaintyBox, evaluator: Evaluator, climbers: Climbers, height: Height
) -> tuple[Climbers, Array]:
    """As `climb`, and from every combination of the arms' sides besides.

    About an arm that stands straight both of its sides are as bad, each together with others: a slope to the left with
    the arm to the left, a slope to the right with the arm to the right.  So the others are climbed with the arms held
    at each of their sides, and then all of them.
    """
    turned = turned_entries(box)
    if not turned:
        return climb(box, evaluator, climbers, height)
    digits = sides_of(climbers.corner[None], len(box.entries))[list(turned), 0].astype(np.int64)
    value = place_values(len(box.entries))[list(turned)]
    ways = np.array(list(itertools.product((-1, 1), repeat=len(turned))))
    corner = climbers.corner + ((ways[:, :, None] - digits) * value[:, None]).sum(axis=1)
    many = climbers.some(np.tile(np.arange(len(climbers.corner)), len(ways)))
    held, top = climb(box, evaluator, many.at(corner.reshape(-1)), height, turned)
    each = np.arange(len(climbers.corner))
    best = held.corner.reshape(corner.shape)[top.reshape(corner.shape).argmax(axis=0), each]
    starts = np.stack([climbers.corner, best])
    ended, top = climb(box, evaluator, climbers.some(np.tile(each, 2)).at(starts.reshape(-1)), height)
    tops = top.reshape(starts.shape)
    first = tops.argmax(axis=0)
    return climbers.at(ended.corner.reshape(starts.shape)[first, each]), tops[first, each]


def climb_from_both_ends(
    box: UncertaintyBox, evaluator: Evaluator, climbers: Climbers, height: Height
) -> tuple[Climbers, Array]:
    """As `climb_from_every_turn`, and from the opposite corner besides: a limit of sizes has a peak on each side."""
    opposite = int(2 * place_values(len(box.entries)).sum()) - climbers.corner
    starts = np.stack([climbers.corner, opposite])
    each = np.arange(len(climbers.corner))
    both = climbers.some(np.tile(each, 2)).at(starts.reshape(-1))
    ended, top = climb_from_every_turn(box, evaluator, both, height)
    tops = top.reshape(starts.shape)
    first = tops.argmax(axis=0)
    return climbers.at(ended.corner.reshape(starts.shape)[first, each]), tops[first, each]


@functools.lru_cache(maxsize=64)
def _but(entries: int, held: tuple[int, ...]) -> Indices:
    """The entries that are not held."""
    return np.delete(np.arange(entries), held)


def _changes(corner: CornerNumbers, entries: int, free: Indices) -> CornerNumbers:
    """What the two other sides of each free entry add to a corner's number, (2, free entries, climbers)."""
    value = place_values(entries)[free]
    digits = corner // value[:, None] % 3
    turned = np.stack([(digits + 1) % 3, (digits + 2) % 3])
    return (turned - digits) * value[:, None]
