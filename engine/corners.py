"""The worst case of every limit: the corners of the box of all bands, and how heavy the load may be in them.

Method.  Each uncertain entry (a weight, a dimension, a fall, a fork height) has a least and a most.  A limit is met
while ``demand - allowed <= 0``.  That difference is linear in every weight and very nearly linear, over so narrow a
band, in every dimension; so over the box of all bands it is greatest in a corner, and the corner is found entry by
entry.

1. Evaluate all limits once over an array of ``2 k + 1`` variants: best values, and each of the ``k`` entries at its
   least and at its most, alone.  The worse side of each entry, for each limit, names that limit's corners: the one
   where the limit is passed first (``demand - allowed``), and the one where the use is greatest, which may differ while
   the use is far from 1 (``demand - use x allowed``, the usual step towards the greatest of a ratio).  An entry that
   makes a limit easier both ways stays at best; one that makes no difference by itself is taken high, since it may when
   others stand at their worst (height on a falling floor).
2. Evaluate all limits once more over the few different corners, and over the same corners with what hangs on the hook
   at its other side.  The worst use of a limit is the greatest found in any: an exact value of the same formulas, not
   an extrapolation, so demand and allowed are never bounded apart.

The *allowed load* asks: how heavy may the load be, if its own weight were known exactly and everything else were at
its worst?  So a load of that weight, weighed, just meets the limit.  An entry may pull one way at a light load and the
other way at a heavy one, so corners are found at the load allowed by best values, from the variants at two loads, and
the corners at the load itself are tried too.  All limits are evaluated in all of them without load, at four fifths of
that load and at all of it; the worst corner at each of the three is taken and the load between is put on the chord.
``demand - allowed`` bends upwards with the load in every limit (it is nearly linear in balance and plate; a magnitude, a
resultant or a sum of them in strength), and so does the worst of several corners, so a chord can only allow too little.
That is done for the limit that governs, with the load it allows by best values: no other can allow less than what is
found.  What each of the others allows (`each_allowed`) is asked for less often, and found the same way at its own load.

Exact where limits are monotone in every entry, which covers all products of weights and levers with steady signs.
What is left over are pairs of entries that change each other's sign inside their bands, and a limit that peaks inside
a band (a reach as the upright passes through plumb).  `CORNER_TOLERANCE` says how much that may be worth; the tests
hold random points of the box against it.  It is a small fraction of the bands themselves.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Sequence
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.bench import GUIDES, STANDING_VALUES, Bench
from engine.checks import Check, use_of
from engine.geometry import Array
from engine.inputs import each_number, filled, shape_of
from engine.model import Job
from engine.placing import Figures
from engine.possible import boom_limits_m
from engine.uncertain import Entry

CORNER_TOLERANCE = 0.01
"""Most by which any point of the box may exceed the worst use found: points of use, a share of it over 1 (held by
sampling; mostly it is under a tenth of this)."""



# ---------------------------------------------------------------- the box of all bands


class Box(msgspec.Struct, kw_only=True, frozen=True):
    """Best, down and up of each entry, arrays (entries, poses); poses laid out in one row."""

    job: Job
    numbers: Figures
    entries: tuple[Entry, ...]
    best: Array
    down: Array
    up: Array

    @property
    def poses(self) -> int:
        return self.best.shape[1]

    def figures_at(self, sides: Array, load_kg: Array) -> Figures:
        """Figures with each entry at a side of its band: ``sides`` (entries, variants, poses or 1) of -1, 0, 1.

        ``load_kg`` (variants, poses) hangs loads of its own, whatever the load's side; NaN leaves it as it is.
        """
        values = self.best[:, None] + np.maximum(sides, 0) * self.up[:, None] + np.minimum(sides, 0) * self.down[:, None]
        numbers = _replaced(self.numbers, self.entries, values)
        return msgspec.structs.replace(numbers, load_kg=np.where(np.isnan(load_kg), numbers.load_kg, load_kg))

    def block(self, poses: slice) -> Box:
        """The same box for some of the poses."""
        part = {"best": self.best[:, poses], "down": self.down[:, poses], "up": self.up[:, poses]}
        return msgspec.structs.replace(self, numbers=each_number(self.numbers, lambda number: _part(number, poses)), **part)


def box_of(job: Job, numbers: Figures, entries: tuple[Entry, ...]) -> Box:
    poses = math.prod(shape_of(numbers))
    values = [_value(numbers, entry) for entry in entries]
    best = np.array(values, float)[:, None] if poses == 1 and not any(map(np.ndim, values)) else filled(values, (poses,))
    down = np.repeat(np.array([entry.down for entry in entries], float)[:, None], poses, axis=1)
    up = np.repeat(np.array([entry.up for entry in entries], float)[:, None], poses, axis=1)
    for row, entry in enumerate(entries):
        if entry.field in ("lift_m", "tilt_rad", "boom_out_m"):
            least, most = _stops(job, entry.field)
            down[row] = np.minimum(np.maximum(best[row] - least, 0.0), down[row])
            up[row] = np.minimum(np.maximum(most - best[row], 0.0), up[row])
    return Box(job=job, numbers=numbers, entries=entries, best=best, down=down, up=up)


def _stops(job: Job, field: str) -> tuple[float, float]:
    """What no band can pass: the truck's own stops, the boom in both saddles."""
    upright = job.truck.upright
    if field == "lift_m":
        return upright.lift_min_m, upright.lift_max_m
    if field == "tilt_rad":
        return -upright.tilt_forward_max_rad, upright.tilt_back_max_rad
    return boom_limits_m(job)


def _part(number: Any, poses: slice) -> Any:
    return number[poses] if isinstance(number, np.ndarray) and number.ndim else number


def _value(numbers: Figures, entry: Entry) -> Any:
    value = getattr(numbers, entry.field)
    return value if entry.index is None else value[entry.index]


def _replaced(numbers: Figures, entries: tuple[Entry, ...], values: Array) -> Figures:
    changed: dict[str, Any] = {}
    for entry, value in zip(entries, values, strict=True):
        if entry.index is None:
            changed[entry.field] = value
        else:
            parts = list(changed.get(entry.field, getattr(numbers, entry.field)))
            parts[entry.index] = value
            changed[entry.field] = tuple(parts)
    return msgspec.structs.replace(numbers, **changed)


# ---------------------------------------------------------------- variants


class Found(msgspec.Struct, kw_only=True, frozen=True):
    """Limits over variants, arrays (limits, variants, poses); guides and standing, (values, variants, poses)."""

    demand: Array
    allowed: Array
    guides: Array
    standing: Array

    @property
    def excess(self) -> Array:
        """How far each limit is passed; negative while it is met."""
        return self.demand - self.allowed

    def some(self, variants: slice | list[int]) -> Found:
        """Some of the variants."""
        return Found(**{name: getattr(self, name)[:, variants] for name in Found.__struct_fields__})


def evaluate_columns(box: Box, bench: Bench, columns: Columns) -> Found:
    table = bench.values(box.job, box.figures_at(columns.sides, columns.load_kg), (columns.sides.shape[1], box.poses))
    limits = (len(table) - GUIDES - STANDING_VALUES) // 2
    ends = [0, limits, 2 * limits, 2 * limits + GUIDES, len(table)]
    parts = (table[start:end] for start, end in itertools.pairwise(ends))
    return Found(**dict(zip(Found.__struct_fields__, parts, strict=True)))


@functools.lru_cache(maxsize=64)
def _alone(count: int) -> Array:
    """Sides (entries, 2 entries + 1, 1): all at best, then each low alone, then each high alone."""
    each = np.eye(count)
    return np.concatenate([np.zeros((count, 1)), -each, each], axis=1)[:, :, None]


ROUND_OFF = 1e-11
"""An effect under this share of the largest value is round-off, not an effect."""


def _effects(worth: Array, count: int) -> tuple[Array, Array]:
    """How much worse each entry's low and high alone make ``worth``: arrays (limits, entries, poses).

    A value that stops being a number is as bad as can be; one that is infinite either way makes no difference.
    """
    best = worth[:, :1]
    with np.errstate(invalid="ignore"):
        effects = worth[:, 1:] - best
        effects[np.abs(effects) <= ROUND_OFF * np.abs(worth).max(axis=1, keepdims=True)] = 0.0
    lost = np.isnan(effects)
    if lost.any():
        effects[lost] = np.inf
        effects[lost & np.isinf(best) & np.isinf(worth[:, 1:])] = 0.0
    return effects[:, :count], effects[:, count:]


def _worse_side(low: Array, high: Array) -> Array:
    """-1, 0 or 1 for each limit, entry and pose: the side that is worse, 0 where best values are the worst."""
    return np.where((low < 0.0) & (high < 0.0), 0, np.where(high >= low, 1, -1)).astype(np.int8)


def _finite_use(use: Array) -> Array:
    """The use itself, or 1 where it is infinite or not a number."""
    return np.where(np.isfinite(use), use, 1.0)


class Columns(msgspec.Struct, kw_only=True, frozen=True):
    """Variants to evaluate: sides (entries, variants, poses or 1) and loads (variants, poses), NaN for the load's own."""

    sides: Array
    load_kg: Array


# A corner as one number: base 3, a digit for each entry, 0 at its least, 1 at best, 2 at its most.


@functools.lru_cache(maxsize=64)
def _digits(count: int) -> NDArray[np.int64]:
    """What a step of each entry's side adds to a corner's number."""
    if count > MOST_ENTRIES:
        raise ValueError(f"Expected at most {MOST_ENTRIES} uncertain entries, got {count}")
    return 3 ** np.arange(count, dtype=np.int64)


MOST_ENTRIES = 39
"""More would not fit into 64 bits."""


def _numbered(sides: NDArray[np.int8]) -> NDArray[np.int64]:
    """Numbers (..., poses) of corners given by their sides (..., entries, poses)."""
    return np.einsum("...ep,e->...p", sides + np.int64(1), _digits(sides.shape[-2]))


def _hung_flipped(numbers: NDArray[np.int64], entries: tuple[Entry, ...]) -> NDArray[np.int64]:
    """The same corners with load and rigging at their other side.

    What hangs on the hook has by far the widest bands, and helps or harms a side line depending on where the other
    entries stand; so both of its sides are looked at.
    """
    for digit, entry in zip(_digits(len(entries)), entries, strict=True):
        if entry.field in ("load_kg", "rigging_kg"):
            numbers = numbers + (2 - 2 * (numbers // digit % 3)) * digit
    return numbers


def _different(numbers: NDArray[np.int64]) -> NDArray[np.int64]:
    """The different corners of each pose (corners, poses); a pose that has fewer than another repeats one of its own."""
    ordered = np.sort(numbers, axis=0)
    new = np.ones(ordered.shape, bool)
    new[1:] = ordered[1:] != ordered[:-1]
    if ordered.shape[1] == 1:
        return ordered[new[:, 0]]
    rank = new.cumsum(axis=0) - 1
    found = np.repeat(ordered[:1], rank[-1].max() + 1, axis=0)
    found[rank, np.arange(ordered.shape[1])] = ordered
    return found


def _sides(numbers: NDArray[np.int64], count: int) -> NDArray[np.int8]:
    """Sides (entries, corners, poses) of numbered corners (corners, poses)."""
    return (numbers // _digits(count)[:, None, None] % 3 - 1).astype(np.int8)


class Corners(msgspec.Struct, kw_only=True, frozen=True):
    """Corners of each pose as numbers (corners, poses): those for the uses, and those for the allowed load."""

    count: int
    use: NDArray[np.int64]
    load: NDArray[np.int64]

    def columns(self, at_kg: Array) -> Columns:
        """The first under the load itself, then the second without load, near ``at_kg`` (poses) and at it."""
        loads = _sides(self.load, self.count)
        shape = self.load.shape
        own = np.full(self.use.shape, np.nan)
        parts = [own, np.zeros(shape), np.broadcast_to(NEAR * at_kg, shape), np.broadcast_to(at_kg, shape)]
        return Columns(
            sides=np.concatenate([_sides(self.use, self.count), loads, loads, loads], axis=1),
            load_kg=np.concatenate(parts),
        )


class Best(msgspec.Struct, kw_only=True, frozen=True):
    """Best values of every limit, arrays (limits, poses)."""

    use: Array
    allowed_load_kg: Array
    idle: NDArray[np.bool_]

    def block(self, poses: slice) -> Best:
        """The same for some of the poses."""
        return Best(**{name: getattr(self, name)[:, poses] for name in Best.__struct_fields__})


def best_of(checks: Sequence[Check]) -> Best:
    """Best values of one pose."""
    use, load_kg, allowed = np.array([(check.use, check.allowed_load_kg, check.allowed) for check in checks], float).T[:, :, None]
    return best_from(use, load_kg, allowed)


def best_from(use: Array, load_kg: Array, allowed: Array) -> Best:
    """Best values of poses in a row, arrays (limits, poses)."""
    # A limit with nothing demanded of it (``never`` over) has no use and allows nothing: it is no limit at all.
    return Best(use=use, allowed_load_kg=load_kg, idle=(allowed == 0.0) & (use == 0.0))


class Case(msgspec.Struct, kw_only=True, frozen=True):
    """Worst case of a block of poses with what it was found from.

    ``use`` (limits, poses); ``allowed_kg`` and ``governing`` (poses), the smallest allowed load and the index of its limit;
    effects of each entry (limits, entries, poses); the corners evaluated.
    """

    use: Array
    allowed_kg: Array
    governing: NDArray[np.intp]
    low: Array
    high: Array
    allowed: Array
    corners: Found


FAR_KG = 20_000.0
"""Where a limit that best values never reach is looked at instead."""

NEAR = 0.8
"""Share of the load allowed by best values at which the chord starts, if the worst case still allows that much."""


def case_of(box: Box, best: Best, bench: Bench) -> Case:
    """Evaluate the entries one by one, then all together in the corners they point to."""
    count = len(box.entries)
    limit_kg = _loads_to_try(best)
    at_kg = limit_kg.min(axis=0)
    columns, other_kg = _one_by_one(box, at_kg)
    variants = 2 * count + 1
    with np.errstate(invalid="ignore", divide="ignore"):
        found = evaluate_columns(box, bench, columns)
        alone, second = found.some(slice(0, variants)), found.some(slice(variants, 2 * variants))
        near = alone.demand - _finite_use(best.use)[:, None] * alone.allowed
        worths = (alone.excess, near, alone.guides, _excess_at(box, alone, second, at_kg, other_kg))
        low, high = _effects(np.concatenate(worths), count)
        numbers = _numbered(_worse_side(low, high))
        own, near, guides, at_load = np.split(numbers, np.cumsum([len(worth) for worth in worths[:-1]]))
        low, high = low[: len(own)], high[: len(own)]
        uses = np.concatenate([near, guides, own])
        uses = np.concatenate([uses, _hung_flipped(uses, box.entries)])
        corners = Corners(count=count, use=_different(uses), load=_different(np.concatenate([at_load, own])))
        there = evaluate_columns(box, bench, corners.columns(at_kg))
        at = there.some(slice(0, len(corners.use)))
        use = use_of(at.demand, at.allowed).max(axis=1)
        use = np.maximum(np.maximum(use, best.use), use_of(alone.demand, alone.allowed).max(axis=1))
        tried = there.excess[:, len(corners.use) :]
        tried = tried.reshape(len(tried), 3, -1, box.poses).max(axis=2)
        allowed_kg = np.minimum(_chord_kg(tried.swapaxes(0, 1), at_kg, best), best.allowed_load_kg)
    allowed_kg = np.where(best.idle, np.inf, np.where(np.isnan(allowed_kg), -np.inf, allowed_kg))
    governing = allowed_kg.argmin(axis=0)
    return Case(
        use=np.where(best.idle, 0.0, use),
        allowed_kg=np.take_along_axis(allowed_kg, governing[None], axis=0)[0],
        governing=governing,
        low=low,
        high=high,
        allowed=alone.allowed[:, 0],
        corners=at,
    )


def each_allowed(box: Box, best: Best, bench: Bench) -> Array:
    """What every limit by itself allows in the worst case (limits, poses), each looked at where best values allow it."""
    limit_kg = _loads_to_try(best)
    columns, other_kg = _one_by_one(box, limit_kg.min(axis=0))
    variants = 2 * len(box.entries) + 1
    with np.errstate(invalid="ignore", divide="ignore"):
        found = evaluate_columns(box, bench, columns)
        alone, second = found.some(slice(0, variants)), found.some(slice(variants, 2 * variants))
        worths = (_excess_at(box, alone, second, limit_kg, other_kg), alone.excess)
        sides = [_worse_side(*_effects(worth, len(box.entries))) for worth in worths]
        there = evaluate_columns(box, bench, _own_columns(np.stack(sides), limit_kg))
        tried = _own(there.excess, len(limit_kg)).max(axis=1)
        allowed_kg = np.minimum(_chord_kg(tried, limit_kg, best), best.allowed_load_kg)
    return np.where(best.idle, np.inf, allowed_kg)


def _one_by_one(box: Box, at_kg: Array) -> tuple[Columns, Array]:
    """Every entry alone at its least and most, under the load itself and under another (poses)."""
    variants = 2 * len(box.entries) + 1
    load_kg = np.broadcast_to(np.asarray(box.numbers.load_kg, float), (box.poses,))
    other_kg = _second_load_kg(load_kg, at_kg)
    sides = np.concatenate([_alone(len(box.entries))] * 2, axis=1)
    loads = [np.full((variants, box.poses), np.nan), np.broadcast_to(other_kg, (variants, box.poses))]
    return Columns(sides=sides, load_kg=np.concatenate(loads)), other_kg


def _excess_at(box: Box, alone: Found, second: Found, at_kg: Array, other_kg: Array) -> Array:
    """How far every limit is passed under a load (poses, or limits and poses), in each variant."""
    load_kg = np.broadcast_to(np.asarray(box.numbers.load_kg, float), (box.poses,))
    apart_kg = np.broadcast_to(at_kg - other_kg, (len(second.excess), box.poses))
    return second.excess + apart_kg[:, None] * _slopes(alone, second, box.entries, load_kg - other_kg)


def _loads_to_try(best: Best) -> Array:
    """Load allowed by best values (limits, poses), somewhere far where there is no such load, 0 where it is over."""
    allowed_kg = np.where(np.isnan(best.allowed_load_kg), 0.0, best.allowed_load_kg)
    return np.clip(allowed_kg, 0.0, FAR_KG)


def _second_load_kg(load_kg: Array, governing_kg: Array) -> Array:
    """The load at which the variants are looked at again (poses): the smallest that best values allow.

    So the corner of the limit that governs is found at the very load in question.  Where that is the load itself, none
    at all, or half of it again.
    """
    alike = np.abs(governing_kg - load_kg) < 0.02 * (load_kg + 1.0)
    return np.where(alike, np.where(load_kg > 1.0, 0.5 * load_kg, load_kg + FIRST_TRY_KG), governing_kg)


FIRST_TRY_KG = 500.0
"""Where to look when neither the hook nor the limits say."""


def _slopes(alone: Found, second: Found, entries: tuple[Entry, ...], apart_kg: Array) -> Array:
    """What each kilogram of load adds to the excess, in every variant (limits, variants, poses).

    The variants of the load itself hang other loads; for them the slope of best values is taken.
    """
    slope = (alone.excess - second.excess) / apart_kg
    count = len(entries)
    for index, entry in enumerate(entries):
        if entry.field == "load_kg":
            slope[:, [1 + index, 1 + count + index]] = slope[:, :1]
    return slope


def _own_columns(own: NDArray[np.int8], limit_kg: Array) -> Columns:
    """Each limit's own corners (2, limits, entries, poses) under three loads of its own."""
    limits, poses = limit_kg.shape
    sides = [each.transpose(1, 0, 2) for each in own for _ in range(3)]
    loads = [np.zeros((limits, poses)), NEAR * limit_kg, limit_kg]
    return Columns(sides=np.concatenate(sides, axis=1), load_kg=np.concatenate([*loads, *loads]))


def _own(excess: Array, limits: int) -> Array:
    """Each limit's excess in its own corners, (three loads, two corners, limits, poses)."""
    row = np.arange(limits)
    parts = np.stack([excess[row, part * limits + row] for part in range(6)])
    return parts.reshape(2, 3, *parts.shape[1:]).swapaxes(0, 1)


def _chord_kg(tried: Array, limit_kg: Array, best: Best) -> Array:
    """Load at which each limit is met (limits, poses), by chords that never allow too much.

    ``tried`` (three loads, limits, poses) is the worst excess without load, at four fifths of ``limit_kg``, and at it.
    """
    none, near, full = tried
    met = np.where(full > 0.0, limit_kg * (NEAR + (1.0 - NEAR) * near / (near - full)), best.allowed_load_kg)
    met = np.where(near > 0.0, NEAR * limit_kg * none / (none - near), met)
    met = np.where(none > 0.0, -np.inf, met)
    met = np.where(np.isfinite(best.allowed_load_kg) | (full > 0.0), met, best.allowed_load_kg)
    return np.where(np.isnan(none + near + full), np.nan, met)
