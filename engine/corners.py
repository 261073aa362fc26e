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
other way at a heavy one, so this corner is found at the load allowed by best values, from the variants at two loads, and
the corner at the load itself is tried too.  In both the limit is evaluated without load, at four fifths of that load and
at all of it, and the load between is put on the chord.  ``demand - allowed`` bends upwards with the load in every limit (it is linear in balance and plate; a
magnitude, a resultant or a sum of them in strength; a light wheel's is straight to a thousandth), so a chord can only
allow too little.

Exact where limits are monotone in every entry, which covers all products of weights and levers with steady signs.
What is left over are pairs of entries that change each other's sign inside their bands, and a limit that peaks inside
a band (a reach as the upright passes through plumb).  `CORNER_TOLERANCE` says how much that may be worth; the tests
hold random points of the box against it.  It is a small fraction of the bands themselves.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Sequence
from typing import Any

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.bench import GUIDES, STANDING_VALUES, Bench, each_number, inputs_of
from engine.checks import Check, use_of
from engine.geometry import Array
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
    best = np.empty((len(entries), math.prod(shape_of(numbers))))
    for row, entry in enumerate(entries):
        best[row] = _value(numbers, entry)
    down = np.empty_like(best)
    up = np.empty_like(best)
    down[:] = np.array([entry.down for entry in entries])[:, None]
    up[:] = np.array([entry.up for entry in entries])[:, None]
    for row, entry in enumerate(entries):
        if entry.field in ("lift_m", "tilt_rad", "boom_out_m"):
            least, most = _stops(job, entry.field)
            down[row] = np.clip(best[row] - least, 0.0, down[row])
            up[row] = np.clip(most - best[row], 0.0, up[row])
    return Box(job=job, numbers=numbers, entries=entries, best=best, down=down, up=up)


def _stops(job: Job, field: str) -> tuple[float, float]:
    """What no band can pass: the truck's own stops, the boom in both saddles."""
    upright = job.truck.upright
    if field == "lift_m":
        return upright.lift_min_m, upright.lift_max_m
    if field == "tilt_rad":
        return -upright.tilt_forward_max_rad, upright.tilt_back_max_rad
    return boom_limits_m(job)


def shape_of(numbers: Figures) -> tuple[int, ...]:
    return np.broadcast_shapes(*map(np.shape, inputs_of(numbers)))


def flat(number: Any, shape: tuple[int, ...]) -> Any:
    """A number for each pose in one row; a plain number stays one."""
    return np.broadcast_to(number, shape).ravel() if isinstance(number, np.ndarray) and number.ndim else number


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


def evaluate_columns(box: Box, bench: Bench, columns: Columns, standing: bool) -> Found:
    values = bench.values(box.job, box.figures_at(columns.sides, columns.load_kg), standing)
    table = np.empty((len(values), columns.sides.shape[1], box.poses))
    for row, value in enumerate(values):
        table[row] = value
    limits = (len(values) - GUIDES - STANDING_VALUES * standing) // 2
    ends = [limits, 2 * limits, 2 * limits + GUIDES]
    return Found(**dict(zip(Found.__struct_fields__, np.split(table, ends), strict=True)))


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


def _hung_flipped(sides: Array, entries: tuple[Entry, ...]) -> Array:
    """The same corners with load and rigging at their other side.

    What hangs on the hook has by far the widest bands, and helps or harms a side line depending on where the other
    entries stand; so both of its sides are looked at.
    """
    flipped = sides.copy()
    flipped[:, [entry.field in ("load_kg", "rigging_kg") for entry in entries]] *= -1
    return flipped


class Columns(msgspec.Struct, kw_only=True, frozen=True):
    """Variants to evaluate: sides (entries, variants, poses or 1) and loads (variants, poses), NaN for the load's own."""

    sides: Array
    load_kg: Array

    def also(self, other: Columns) -> Columns:
        """These and others."""
        return Columns(
            sides=np.concatenate([self.sides, other.sides], axis=1), load_kg=np.concatenate([self.load_kg, other.load_kg])
        )


class Corners(msgspec.Struct, kw_only=True, frozen=True):
    """Different corners of the box, each its sides as bytes; which of them each pose needs (corners, poses); and each
    limit's own corners for its allowed load, at that load and at the load itself (2, limits, entries, poses)."""

    names: dict[bytes, int]
    needed: NDArray[np.bool_]
    own: NDArray[np.int8]

    def fits(self, count: int, limits: int) -> bool:
        """Whether they were found for as many entries and limits."""
        return self.own.shape[1:3] == (limits, count)

    def same_as(self, other: Corners) -> bool:
        """Whether the very same columns have to be evaluated."""
        return list(self.names) == list(other.names) and np.array_equal(self.own, other.own)


def corners_of(wanted: Array, own: Array) -> Corners:
    """The different corners among sides (limits, entries, poses)."""
    limits, count, poses = wanted.shape
    data = np.ascontiguousarray(wanted.transpose(0, 2, 1)).tobytes()
    names: dict[bytes, int] = {}
    places = [names.setdefault(data[at : at + count], len(names)) for at in range(0, len(data), count)]
    needed = np.zeros((len(names), poses), bool)
    needed[np.array(places).reshape(limits, poses), np.arange(poses)] = True
    return Corners(names=names, needed=needed, own=own)


def _sides(names: Iterable[bytes], count: int) -> Array:
    """Sides (entries, corners, 1) of named corners."""
    return np.frombuffer(b"".join(names), np.int8).reshape(-1, count).T[:, :, None]


class Best(msgspec.Struct, kw_only=True, frozen=True):
    """Best values of every limit, arrays (limits, poses)."""

    use: Array
    allowed_load_kg: Array
    idle: NDArray[np.bool_]

    def block(self, poses: slice) -> Best:
        """The same for some of the poses."""
        return Best(**{name: getattr(self, name)[:, poses] for name in Best.__struct_fields__})


def best_of(checks: Sequence[Check], poses: int) -> Best:
    table = np.empty((3, len(checks), poses))
    for row, check in enumerate(checks):
        table[0, row] = check.use
        table[1, row] = check.allowed_load_kg
        table[2, row] = check.allowed
    use, load_kg, allowed = table
    # A limit with nothing demanded of it (``never`` over) has no use and allows nothing: it is no limit at all.
    return Best(use=use, allowed_load_kg=load_kg, idle=(allowed == 0.0) & (use == 0.0))


class Case(msgspec.Struct, kw_only=True, frozen=True):
    """Worst case of a block of poses with what it was found from: effects (limits, entries, poses) and corners."""

    use: Array
    allowed_load_kg: Array
    low: Array
    high: Array
    allowed: Array
    corners: Found


FAR_KG = 20_000.0
"""Where a limit that best values never reach is looked at instead."""

NEAR = 0.8
"""Share of the load allowed by best values at which the chord starts, if the worst case still allows that much."""


def case_of(box: Box, best: Best, bench: Bench, standing: bool = False) -> Case:
    """Evaluate the entries one by one, then all together in the corners they point to.

    For a single pose the corners of the pose before are evaluated along with the entries: in a drag they seldom change,
    and then one evaluation does for both.
    """
    count = len(box.entries)
    variants = 2 * count + 1
    load_kg = np.broadcast_to(np.asarray(box.numbers.load_kg, float), (box.poses,))
    limit_kg = _loads_to_try(best)
    other_kg = _second_load_kg(load_kg, limit_kg)
    columns = Columns(
        sides=np.concatenate([_alone(count)] * 2, axis=1),
        load_kg=np.concatenate([np.full((variants, box.poses), np.nan), np.broadcast_to(other_kg, (variants, box.poses))]),
    )
    guess = bench.guess if box.poses == 1 and bench.guess is not None and bench.guess.fits(count, len(limit_kg)) else None
    with np.errstate(invalid="ignore", divide="ignore"):
        guessed = _corner_columns(guess, limit_kg) if guess else None
        found = evaluate_columns(box, bench, columns.also(guessed) if guessed else columns, standing)
        alone, second = found.some(slice(0, variants)), found.some(slice(variants, 2 * variants))
        low, high = _effects(alone.excess, count)
        near = alone.demand - _finite_use(best.use)[:, None] * alone.allowed
        use_side = np.concatenate([_worse_side(*_effects(worth, count)) for worth in (near, alone.guides)] + [_worse_side(low, high)])
        at_limit = second.excess + (limit_kg - other_kg)[:, None] * _slopes(alone, second, box.entries, load_kg - other_kg)
        own = np.stack([_worse_side(*_effects(at_limit, count)), _worse_side(low, high)])
        corners = corners_of(np.concatenate([use_side, _hung_flipped(use_side, box.entries)]), own)
        if guess is not None and corners.same_as(guess):
            there = found.some(slice(2 * variants, None))
        else:
            there = evaluate_columns(box, bench, _corner_columns(corners, limit_kg), standing)
            bench.guess = corners if box.poses == 1 else bench.guess
        at = there.some(slice(0, len(corners.names)))
        use = np.where(corners.needed, use_of(at.demand, at.allowed), -np.inf).max(axis=1)
        use = np.maximum(np.maximum(use, best.use), use_of(alone.demand, alone.allowed).max(axis=1))
        tried = _own(there.excess[:, len(corners.names) :], len(limit_kg))
        allowed_kg = np.minimum(_chord_kg(tried, limit_kg, best).min(axis=0), best.allowed_load_kg)
    return Case(
        use=np.where(best.idle, 0.0, use),
        allowed_load_kg=np.where(best.idle, np.inf, allowed_kg),
        low=low,
        high=high,
        allowed=alone.allowed[:, 0],
        corners=at,
    )


def _loads_to_try(best: Best) -> Array:
    """Load allowed by best values (limits, poses), somewhere far where there is no such load, 0 where it is over."""
    allowed_kg = np.where(np.isnan(best.allowed_load_kg), 0.0, best.allowed_load_kg)
    return np.clip(allowed_kg, 0.0, FAR_KG)


def _second_load_kg(load_kg: Array, limit_kg: Array) -> Array:
    """The load at which the variants are looked at again (poses): the smallest that best values allow.

    So the corner of the limit that governs is found at the very load in question.  Where that is the load itself, none
    at all, or half of it again.
    """
    governing_kg = limit_kg.min(axis=0)
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


def _corner_columns(corners: Corners, limit_kg: Array) -> Columns:
    """The different corners under the load itself, then each limit's own corner under three loads."""
    limits, poses = limit_kg.shape
    count, many = corners.own.shape[2], len(corners.names)
    own = [each.transpose(1, 0, 2) for each in corners.own for _ in range(3)]
    loads = [np.zeros((limits, poses)), NEAR * limit_kg, limit_kg]
    return Columns(
        sides=np.concatenate([np.broadcast_to(_sides(corners.names, count), (count, many, poses)), *own], axis=1),
        load_kg=np.concatenate([np.full((many, poses), np.nan), *loads, *loads]),
    )


def _own(excess: Array, limits: int) -> Array:
    """Each limit's excess in its own corners, (three loads, two corners, limits, poses)."""
    row = np.arange(limits)
    parts = np.stack([excess[row, part * limits + row] for part in range(6)])
    return parts.reshape(2, 3, *parts.shape[1:]).swapaxes(0, 1)


def _chord_kg(tried: Array, limit_kg: Array, best: Best) -> Array:
    """Load at which each limit is met in its own corners (two corners, limits, poses), by chords that never allow too much.

    ``tried`` is the excess without load, at four fifths of the load allowed by best values, and at all of it.
    """
    none, near, full = tried
    ends = (
        (none > 0.0, -np.inf),
        (near > 0.0, NEAR * limit_kg * none / (none - near)),
        (full > 0.0, limit_kg * (NEAR + (1.0 - NEAR) * near / (near - full))),
    )
    met = np.select([condition for condition, _ in ends], [value for _, value in ends], best.allowed_load_kg)
    met = np.where(np.isfinite(best.allowed_load_kg) | (full > 0.0), met, best.allowed_load_kg)
    return np.where(np.isnan(none + near + full), np.nan, met)
