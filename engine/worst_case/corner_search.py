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
import operator
from collections.abc import Sequence
from typing import Any, NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array
from engine.base.identity import IdentityKey
from engine.rig.check import Check, use_of
from engine.rig.feasibility import boom_limits_m
from engine.rig.figure_vector import filled, inputs_of, map_numbers, places_of, shape_among
from engine.rig.kinematics import Figures, fitted_arms
from engine.schema.model import Job
from engine.worst_case.corner_rules import NEAR, Looked, Sides, guide_side, load_to_try, met, other_load, sides_of
from engine.worst_case.corner_search_llvm import Asked, CornerCode, Entries
from engine.worst_case.evaluator import GUIDES, STANDING_VALUES, Evaluator
from engine.worst_case.uncertain_inputs import Entry

CORNER_TOLERANCE = 0.01
"""Most by which any point of the box may exceed the worst use found: points of use, a share of it over 1 (held by
sampling; mostly it is under a tenth of this)."""


# ---------------------------------------------------------------- the box of all bands


class Box(msgspec.Struct, kw_only=True, frozen=True):
    """Best, down and up of each entry, arrays (entries, poses); poses laid out in one row.

    ``inputs`` are the figures as a table (inputs, poses), or (inputs, 1) where every pose has the same; ``spots`` says where the
    entries stand in it.
    """

    job: Job
    numbers: Figures
    entries: tuple[Entry, ...]
    inputs: Array
    spots: Entries
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
        values = (
            self.best[:, None] + np.maximum(sides, 0) * self.up[:, None] + np.minimum(sides, 0) * self.down[:, None]
        )
        numbers = _replaced(self.numbers, self.entries, values)
        return msgspec.structs.replace(numbers, load_kg=np.where(np.isnan(load_kg), numbers.load_kg, load_kg))

    def block(self, poses: slice) -> Box:
        """The same box for some of the poses."""
        part = {"best": self.best[:, poses], "down": self.down[:, poses], "up": self.up[:, poses]}
        part["inputs"] = self.inputs if self.inputs.shape[1] < self.poses else self.inputs[:, poses]
        return msgspec.structs.replace(
            self, numbers=map_numbers(self.numbers, lambda number: _part(number, poses)), **part
        )


def box_of(job: Job, numbers: Figures, entries: tuple[Entry, ...]) -> Box:
    """The box about some poses; no band passes a stop."""
    given = inputs_of(numbers)
    poses = math.prod(shape_among(given))
    inputs = filled(given, (poses,))
    bands = _bands(IdentityKey(entries, job.truck, job.rig, of=(job, numbers)), fitted_arms(numbers), len(given))
    best, down, up = inputs[bands.places], np.repeat(bands.down, poses, axis=1), np.repeat(bands.up, poses, axis=1)
    at, stopped = bands.stopped, best[bands.stopped]
    down[at] = np.minimum(np.maximum(stopped - bands.least, 0.0), down[at])
    up[at] = np.minimum(np.maximum(bands.most - stopped, 0.0), up[at])
    return Box(job=job, numbers=numbers, entries=entries, inputs=inputs, spots=bands.spots, best=best, down=down, up=up)


class _Bands(NamedTuple):
    """How far each entry may be off, arrays (entries, 1), and where it stands; which ones have stops, and at what values."""

    down: Array
    up: Array
    places: NDArray[np.intp]
    spots: Entries
    stopped: NDArray[np.intp]
    least: Array
    most: Array


@functools.lru_cache(maxsize=32)
def _bands(same: IdentityKey, _fitted: tuple[int, ...], _inputs: int) -> _Bands:
    """What is the same in all poses of a rig with these arms fitted."""
    entries, job, numbers = same.parts[0], *same.of
    _digits(len(entries))  # more would not fit into a corner's number
    where = places_of(numbers)
    places = tuple(where[entry.field, entry.index] for entry in entries)
    names = [entry.field for entry in entries]
    spots = Entries(
        inputs=places,
        hung=tuple(index for index, name in enumerate(names) if name in HUNG),
        load=where["load_kg", None],
        load_entry=names.index("load_kg") if "load_kg" in names else None,
    )
    stopped = [index for index, name in enumerate(names) if name in STOPPED]
    stops = np.array([_stops(job, names[index]) for index in stopped], float).reshape(-1, 2)
    down, up = (np.array([getattr(entry, way) for entry in entries], float)[:, None] for way in ("down", "up"))
    return _Bands(down, up, np.array(places, np.intp), spots, np.array(stopped, np.intp), stops[:, :1], stops[:, 1:])


STOPPED = ("lift_m", "tilt_rad", "boom_out_m")
"""Entries that no band takes past a stop."""


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


class ColumnLimits(msgspec.Struct, kw_only=True, frozen=True):
    """Limits over variants, arrays (limits, variants, poses); guides and standing, (values, variants, poses)."""

    demand: Array
    allowed: Array
    guides: Array
    standing: Array

    def some(self, variants: slice | list[int]) -> ColumnLimits:
        """Some of the variants."""
        return ColumnLimits(**{name: getattr(self, name)[:, variants] for name in ColumnLimits.__struct_fields__})


def evaluate_columns(box: Box, bench: Evaluator, columns: Columns) -> ColumnLimits:
    table = bench.values(box.job, box.figures_at(columns.sides, columns.load_kg), (columns.sides.shape[1], box.poses))
    limits = (len(table) - GUIDES - STANDING_VALUES) // 2
    ends = [0, limits, 2 * limits, 2 * limits + GUIDES, len(table)]
    parts = (table[start:end] for start, end in itertools.pairwise(ends))
    return ColumnLimits(**dict(zip(ColumnLimits.__struct_fields__, parts, strict=True)))


@functools.lru_cache(maxsize=64)
def _alone(count: int) -> Array:
    """Sides (entries, 2 entries + 1, 1): all at best, then each low alone, then each high alone."""
    each = np.eye(count)
    return np.concatenate([np.zeros((count, 1)), -each, each], axis=1)[:, :, None]


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


def _numbered(sides: Array) -> NDArray[np.int64]:
    """Numbers (..., poses) of corners given by their sides (..., entries, poses)."""
    return np.einsum("...ep,e->...p", sides.astype(np.int64) + 1, _digits(sides.shape[-2]))


HUNG = ("load_kg", "rigging_kg")
"""Entries that hang on the hook."""


def _hung_flipped(numbers: NDArray[np.int64], entries: tuple[Entry, ...]) -> NDArray[np.int64]:
    """The same corners with load and rigging at their other side.

    What hangs on the hook has by far the widest bands, and helps or harms a side line depending on where the other
    entries stand; so both of its sides are looked at.
    """
    for digit, entry in zip(_digits(len(entries)), entries, strict=True):
        if entry.field in HUNG:
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


class NominalBlock(msgspec.Struct, kw_only=True, frozen=True):
    """Best values of every limit, arrays (limits, poses)."""

    use: Array
    allowed_load_kg: Array
    allowed: Array

    def block(self, poses: slice) -> NominalBlock:
        """The same for some of the poses."""
        return NominalBlock(**{name: getattr(self, name)[:, poses] for name in NominalBlock.__struct_fields__})


_BEST = operator.attrgetter("use", "allowed_load_kg", "allowed")


def best_of(checks: Sequence[Check]) -> NominalBlock:
    """Best values of one pose."""
    use, load_kg, allowed = np.array(list(map(_BEST, checks)), float).T[:, :, None]
    return NominalBlock(use=use, allowed_load_kg=load_kg, allowed=allowed)


# ---------------------------------------------------------------- the worst case


class Case(msgspec.Struct, kw_only=True, frozen=True):
    """Worst case of poses in a row.

    ``use`` (limits, poses); ``allowed_kg`` and ``governing`` (poses), the smallest allowed load and the index of its limit;
    ``first`` says more of the first pose.
    """

    use: Array
    allowed_kg: Array
    governing: NDArray[np.intp]
    first: First


class First(msgspec.Struct, kw_only=True, frozen=True):
    """What one pose's worst case was found from.

    Effects of each entry's low and high alone (limits, entries), what is ``allowed`` at best (limits), the least and the
    most of how the truck stands (values) over the corners.
    """

    low: Array
    high: Array
    allowed: Array
    least: Array
    most: Array


def case_of(box: Box, best: NominalBlock, bench: Evaluator) -> Case:
    """Evaluate the entries one by one, then all together in the corners they point to."""
    code = bench.corner_code
    if code is None or not box.entries:
        return walked(box, best, bench)
    case = by_code(box, best, code)
    if not code.held:
        part = slice(0, HELD_AGAINST)
        wanted = walked(box.block(part), best.block(part), bench)
        if not _alike(case, wanted):
            bench.without_corner_code()
            return case_of(box, best, bench)
        code.held = True
    return case


HELD_AGAINST = 4
"""Poses on which the code of a rig is held against the formulas before anything rests on it."""


def _alike(case: Case, wanted: Case) -> bool:
    poses = len(wanted.allowed_kg)
    told = [
        (case.use[:, :poses], wanted.use),
        (case.allowed_kg[:poses], wanted.allowed_kg),
        (case.first.low, wanted.first.low),
    ]
    told += [(getattr(case.first, name), getattr(wanted.first, name)) for name in ("high", "allowed", "least", "most")]
    return all(np.allclose(one, other, rtol=1e-9, atol=1e-9, equal_nan=True) for one, other in told)


def by_code(box: Box, best: NominalBlock, code: CornerCode) -> Case:
    """As `walked`, in machine code."""
    asked = Asked(
        entries=box.spots,
        numbers=np.broadcast_to(box.inputs, (len(box.inputs), box.poses)).T,
        least=(box.best - box.down).T,
        most=(box.best + box.up).T,
        best_use=best.use,
        best_kg=best.allowed_load_kg,
        best_allowed=best.allowed,
    )
    found = code.search(asked)
    first = First(
        low=found.low, high=found.high, allowed=found.allowed, least=found.standing_least, most=found.standing_most
    )
    return case_from(found.use, found.allowed_kg, first)


BLOCK = 6_000
"""Variants times poses evaluated at once as arrays: tables of more would fall out of the cache."""


def walked(box: Box, best: NominalBlock, bench: Evaluator) -> Case:
    """As `case_of`, by arrays of many poses together."""
    step = max(1, BLOCK // (2 * len(best.use) + 4 * len(box.entries)))
    blocks = [slice(start, start + step) for start in range(0, box.poses, step)]
    parts = [_walked(box.block(block), best.block(block), bench) for block in blocks]
    if len(parts) == 1:
        return parts[0]
    joined = {
        name: np.concatenate([getattr(part, name) for part in parts], axis=-1)
        for name in ("use", "allowed_kg", "governing")
    }
    return Case(**joined, first=parts[0].first)


def _walked(box: Box, best: NominalBlock, bench: Evaluator) -> Case:
    count = len(box.entries)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        at_kg = load_to_try(best.allowed_load_kg).min(axis=0)
        alone = _Alone(box, bench, at_kg)
        sides = alone.sides(best.use, at_kg)
        found = alone.found
        guides = guide_side(found.guides[:, :1], *_low_high(found.guides, count))
        own, near, at_load, guides = (_numbered(side) for side in (sides.own, sides.near, sides.at_load, guides))
        uses = np.concatenate([near, guides, own])
        uses = np.concatenate([uses, _hung_flipped(uses, box.entries)])
        corners = Corners(count=count, use=_different(uses), load=_different(np.concatenate([at_load, own])))
        there = evaluate_columns(box, bench, corners.columns(at_kg))
        at = there.some(slice(0, len(corners.use)))
        use = np.maximum(use_of(at.demand, at.allowed).max(axis=1), use_of(found.demand, found.allowed).max(axis=1))
        tried = (there.demand - there.allowed)[:, len(corners.use) :]
        none, close, full = tried.reshape(len(tried), 3, -1, box.poses).max(axis=2).swapaxes(0, 1)
        use, allowed_kg = met(use, none, close, full, at_kg, best.use, best.allowed_load_kg, best.allowed)
    first = First(
        low=np.broadcast_to(sides.low, sides.own.shape)[:, :, 0],
        high=np.broadcast_to(sides.high, sides.own.shape)[:, :, 0],
        allowed=found.allowed[:, 0, 0],
        least=at.standing[:, :, 0].min(axis=1),
        most=at.standing[:, :, 0].max(axis=1),
    )
    return case_from(use, allowed_kg, first)


def case_from(use: Array, allowed_kg: Array, first: First) -> Case:
    """A case of every limit's use and allowed load (limits, poses)."""
    governing = allowed_kg.argmin(axis=0)
    smallest_kg = np.take_along_axis(allowed_kg, governing[None], axis=0)[0]
    return Case(use=use, allowed_kg=smallest_kg, governing=governing, first=first)


def each_allowed(box: Box, best: NominalBlock, bench: Evaluator) -> Array:
    """What every limit by itself allows in the worst case (limits, poses), each looked at where best values allow it."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        limit_kg = load_to_try(best.allowed_load_kg)
        sides = _Alone(box, bench, limit_kg.min(axis=0)).sides(best.use, limit_kg)
        both = np.stack([sides.at_load, sides.own]).astype(np.int8)
        there = evaluate_columns(box, bench, _own_columns(both, limit_kg))
        tried = _own(there.demand - there.allowed, len(limit_kg)).max(axis=1)
        return met(best.use, *tried, limit_kg, best.use, best.allowed_load_kg, best.allowed).allowed_kg


class _Alone:
    """Every entry alone at its least and most, under the load itself (``found``) and under another one."""

    def __init__(self, box: Box, bench: Evaluator, at_kg: Array) -> None:
        count, poses = len(box.entries), box.poses
        self._box = box
        self._load_kg = np.broadcast_to(np.asarray(box.numbers.load_kg, float), (poses,))
        self._other_kg = other_load(self._load_kg, at_kg)
        variants = 2 * count + 1
        loads = [np.full((variants, poses), np.nan), np.broadcast_to(self._other_kg, (variants, poses))]
        sides = np.concatenate([_alone(count)] * 2, axis=1)
        both = evaluate_columns(box, bench, Columns(sides=sides, load_kg=np.concatenate(loads)))
        self.found, self._then = both.some(slice(0, variants)), both.some(slice(variants, 2 * variants))

    def sides(self, use: Array, at_kg: Array) -> Sides:
        """The worse side of each entry, arrays (limits, entries, poses); ``at_kg`` (poses), or (limits, poses)."""
        entries = self._box.entries
        four = (self.found.demand, self.found.allowed, self._then.demand, self._then.allowed)
        low, high = zip(*(_low_high(values, len(entries)) for values in four), strict=True)
        best = Looked(*(values[:, :1] for values in four))
        on_kg = np.broadcast_to(at_kg - self._other_kg, use.shape)[:, None]
        is_load = np.array([float(entry.field == "load_kg") for entry in entries])[:, None]
        return sides_of(best, Looked(*low), Looked(*high), use[:, None], self._load_kg - self._other_kg, on_kg, is_load)


def _low_high(values: Array, count: int) -> tuple[Array, Array]:
    """Values with each entry alone at its least, and at its most."""
    return values[:, 1 : 1 + count], values[:, 1 + count :]


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
