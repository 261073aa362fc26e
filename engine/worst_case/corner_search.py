"""The worst case of every limit: the worst corner of the box of all bands, and the load allowed there.

Method.  Each uncertain entry (a weight, a dimension, a slope, a fork height) has a least and a most.  A limit is met
while its excess ``demand - allowed`` is at most 0.  The excess is linear in every weight and very nearly linear, over
so narrow a band, in every dimension.  Over the box of all bands it is therefore greatest in a corner, and the corner
can be found entry by entry.

1. Evaluate all limits over ``2 k + 1`` variants: as entered, and each of the ``k`` entries alone at its least and at
   its most.  The worse side of each entry, for each limit, names that limit's corners: the one where the limit is
   passed first (greatest excess), and the one where its use is greatest (greatest ``demand - use x allowed``, the usual
   step towards the greatest of a ratio), which may differ while the use is far from 1.  An entry that makes a limit
   easier both ways stays as entered.  One that makes no difference by itself is taken high, since it may when others
   are at their worst (height on a sloping floor).
2. Evaluate all limits in the few different corners, and in the same corners with what hangs on the hook at its other
   side.  The worst use of a limit is the greatest in any of them: an exact value of the same formulas, not an
   extrapolation, so demand and allowed are never bounded apart.

The *allowed load* answers: how heavy may the load be, if its own weight were known exactly and everything else were at
its worst?  An entry may pull one way at a light load and the other way at a heavy one.  So corners are found at the
load allowed by values as entered, from the variants at two loads, and the corners at the load itself are tried too.
All limits are evaluated in all these corners without load, at four fifths of that load and at all of it; the worst
corner at each of the three counts, and the load between is read off the chord.  The excess is convex in the load in
every limit (nearly linear in balance and plate; a magnitude, a resultant or a sum of them in strength), and so is the
worst of several corners, so a chord can only allow too little.  All this happens at the load of the limit that governs
as entered: no limit can allow less than what results.  What each of the others allows by itself is
asked less often, and is looked for on the formulas themselves (``engine.worst_case.each_limit``).

The method is exact where limits are monotone in every entry, which covers all products of weights and levers with
steady signs.  What remains are entries that change each other's sign inside their bands, and a limit that peaks inside
a band (a reach as the upright passes through plumb).  How much that may be is measured: of a straight limit, the
greatest excess is that as entered and the effects of all entries together; what it is off is the limit's *bend*.  A
limit that is far from straight, and in a pose that passes every limit that its bend might carry over 1, is climbed
(``engine.worst_case.corner_climb``): single entries are tried anew in the corner that was found.  So whether a pose
passes rests on climbs, while the other uses may be short by `CORNER_TOLERANCE`; lists of limits climb them all
(``engine.worst_case.each_limit``).  At a move of the mouse, of those that decide nothing only the governing limit,
those shown in figures and those that may be the most used are climbed; the others once somebody asks.  Random points of
the box are compared with both in the tests.

The search runs as arrays (`search_by_arrays`) or, once the formulas are recorded, as machine code
(``engine.worst_case.corner_search_llvm``), with the same rules (``engine.worst_case.corner_rules``).
"""

from __future__ import annotations

import functools
import operator
from collections.abc import Sequence
from typing import TypeVar

import msgspec
import numpy as np

from engine.base.geometry import Array, Indices
from engine.jit.llvm_code import WIDTH
from engine.rig.check import Check, use_of
from engine.worst_case.corner_climb import Climb, Climbers, climb, climb_from_every_turn, turned_entries, use_height
from engine.worst_case.corner_rules import (
    BENT,
    HUNG,
    NEAR,
    EntrySides,
    LimitAtTwoLoads,
    bend_of,
    entry_sides,
    guide_side,
    is_bent,
    load_to_look_at,
    may_pass,
    may_reach,
    second_load,
    worse_effect,
    worst_limit,
)
from engine.worst_case.corner_search_llvm import CompiledCornerSearch, CornerNumbers, SearchInput
from engine.worst_case.corner_variants import (
    Columns,
    evaluate_columns,
    numbers_of,
    place_values,
    sides_of,
)
from engine.worst_case.evaluator import Evaluator
from engine.worst_case.uncertain_inputs import Entry
from engine.worst_case.uncertainty_box import UncertaintyBox

CORNER_TOLERANCE = 0.02
"""Most by which any point of the box may exceed the greatest worst use: points of use, or a share of the use over 1.

Held by sampling; mostly it is under a twentieth of this.  Of limits that neither decide a state nor are the most used
it may be more: arms held by hand, off their angle, help slopes and tilt to the same side.  Lists of limits climb them
all (``engine.worst_case.each_limit``), to 0.002.
"""


class NominalUses(msgspec.Struct, kw_only=True, frozen=True):
    """Every limit with values as entered, arrays (limits, poses)."""

    use: Array
    allowed_load_kg: Array

    def block(self, poses: slice) -> NominalUses:
        """The same for some of the poses."""
        return NominalUses(**{name: getattr(self, name)[:, poses] for name in NominalUses.__struct_fields__})


Kept = TypeVar("Kept", bound=msgspec.Struct)

_NOMINAL = operator.attrgetter(*NominalUses.__struct_fields__)


def nominal_uses(checks: Sequence[Check]) -> NominalUses:
    """The limits of one pose."""
    use, load_kg = np.array(list(map(_NOMINAL, checks)), float).T[:, :, None]
    return NominalUses(use=use, allowed_load_kg=load_kg)


class WorstOfPoses(msgspec.Struct, kw_only=True, frozen=True):
    """Worst case of poses in a row.

    ``use`` (limits, poses); ``allowed_kg`` and ``governing`` (poses) are the smallest allowed load and the index of its
    limit; ``bend`` and ``corner`` (limits, poses) are how far each limit is from straight (`corner_rules.bend_of`) and
    the corner where it is passed first; ``first`` says more of the first pose.
    """

    use: Array
    allowed_kg: Array
    governing: Indices
    bend: Array
    corner: CornerNumbers
    first: FirstPose

    def copied(self) -> WorstOfPoses:
        """The same in memory of its own: without the megabytes that the search worked in."""
        return _copied(self, first=_copied(self.first))


class FirstPose(msgspec.Struct, kw_only=True, frozen=True):
    """What the worst case of the first pose rests on.

    ``low_effect`` and ``high_effect`` (limits, entries): what each entry alone adds to the excess; ``allowed`` (limits)
    as entered; ``standing_least`` and ``standing_most`` (values): how the truck stands, over all corners.
    """

    low_effect: Array
    high_effect: Array
    allowed: Array
    standing_least: Array
    standing_most: Array


def _copied(arrays: Kept, **others: object) -> Kept:
    names = [name for name in arrays.__struct_fields__ if name not in others]
    return msgspec.structs.replace(arrays, **{name: np.array(getattr(arrays, name)) for name in names}, **others)


def worst_of_poses(box: UncertaintyBox, nominal: NominalUses, evaluator: Evaluator) -> WorstOfPoses:
    """Worst case of every limit; by machine code once there is some that agrees with the arrays.

    Of a pose that passes, every limit that may not is climbed (`engine.worst_case.corner_climb`), so that the uses tell
    whether the pose passes.
    """
    worst = _search(box, nominal, evaluator)
    bent = is_bent(worst.use, worst.bend, BENT)
    return _with_climbed(box, evaluator, worst, np.where(bent, -np.inf, _goal_of_deciding(worst)))


def worst_that_counts(
    box: UncertaintyBox, nominal: NominalUses, evaluator: Evaluator, shown: Sequence[Sequence[int]]
) -> tuple[WorstOfPoses, bool]:
    """As `worst_of_poses`, for the moves of a drag: fewer climbs; and whether uses that count for less were left out.

    State, governing limit, the limit most used, and the most used of each of the groups ``shown`` are those of
    `worst_of_poses`.
    """
    worst = _search(box, nominal, evaluator)
    most_used = np.repeat(worst.use.max(axis=0)[None], len(worst.use), axis=0)
    for group in filter(None, map(list, shown)):
        most_used[group] = np.minimum(most_used[group], worst.use[group].max(axis=0))
    most_used[worst.governing, np.arange(box.poses)] = -np.inf
    bent = np.asarray(is_bent(worst.use, worst.bend, BENT))
    goal = np.minimum(np.where(bent, most_used, np.inf), _goal_of_deciding(worst))
    return _with_climbed(box, evaluator, worst, goal), bool(bent.any())


def _search(box: UncertaintyBox, nominal: NominalUses, evaluator: Evaluator) -> WorstOfPoses:
    search = evaluator.compiled_search
    if search is None or not box.entries:
        return search_by_arrays(box, nominal, evaluator)
    worst = search_by_machine_code(box, nominal, search)
    if not search.verified:
        part = slice(0, VERIFIED_POSES)
        if not _agree(worst, search_by_arrays(box.block(part), nominal.block(part), evaluator)):
            evaluator.drop_compiled_search()
            return _search(box, nominal, evaluator)
        search.now_verified()
    return worst


VERIFIED_POSES = 4
"""Poses on which a rig's machine code is compared with the arrays before anything rests on it."""


def _agree(worst: WorstOfPoses, by_arrays: WorstOfPoses) -> bool:
    poses = len(by_arrays.allowed_kg)
    pairs = [(worst.use[:, :poses], by_arrays.use), (worst.allowed_kg[:poses], by_arrays.allowed_kg)]
    pairs += [(worst.bend[:, :poses], by_arrays.bend), (worst.corner[:, :poses], by_arrays.corner)]
    pairs += [(getattr(worst.first, name), getattr(by_arrays.first, name)) for name in FirstPose.__struct_fields__]
    return all(np.allclose(one, other, rtol=1e-9, atol=1e-9, equal_nan=True) for one, other in pairs)


def _with_climbed(box: UncertaintyBox, evaluator: Evaluator, worst: WorstOfPoses, goal: Array) -> WorstOfPoses:
    """With limits climbed, as far as it takes to tell whether their use gets to a goal; then from every turn.

    ``goal`` (limits, poses) is minus infinite where a climb is to go to its end, infinite where it does not matter.
    Arms' turns matter in poses that pass.
    """
    use = np.array(worst.use)
    goal = np.where(np.isnan(goal), -np.inf, goal)
    limit, pose = np.nonzero((goal < np.inf) & may_reach(use, worst.bend, goal))
    _climb_some(box, evaluator, worst, (limit, pose), use, functools.partial(climb, towards=goal[limit, pose]))
    if turned_entries(box):
        may = np.asarray((use <= 1.0).all(axis=0) & may_pass(use, worst.bend))
        _climb_some(box, evaluator, worst, np.nonzero(may), use, climb_from_every_turn)
    return msgspec.structs.replace(worst, use=use)


def _climb_some(
    box: UncertaintyBox,
    evaluator: Evaluator,
    worst: WorstOfPoses,
    chosen: tuple[Indices, ...],
    use: Array,
    way: Climb,
) -> None:
    """Put into ``use`` (limits, poses) what the ``chosen`` limits of poses come to."""
    limit, pose = chosen
    if len(limit):
        use[limit, pose] = np.maximum(use[limit, pose], climbed_uses(box, evaluator, worst, limit, pose, way))


def _goal_of_deciding(worst: WorstOfPoses) -> Array:
    """1 for limits (limits, poses) that alone may keep a pose from passing that the search passes, else infinite."""
    return np.where((worst.use <= 1.0).all(axis=0) & may_pass(worst.use, worst.bend), 1.0, np.inf)


def climbed_uses(
    box: UncertaintyBox,
    evaluator: Evaluator,
    worst: WorstOfPoses,
    limit: Indices,
    pose: Indices,
    way: Climb = climb,
) -> Array:
    """Worst use of some limits in some poses (climbs)."""
    climbers = Climbers(limit=limit, pose=pose, corner=worst.corner[limit, pose], load_kg=np.full(len(limit), np.nan))
    _, top = way(box, evaluator, climbers, use_height)
    return np.maximum(worst.use[limit, pose], top)


def _smallest(allowed_kg: Array) -> tuple[Array, Indices]:
    """Smallest of every limit's allowed load (limits, poses), and the index of its limit."""
    governing = allowed_kg.argmin(axis=0)
    return np.take_along_axis(allowed_kg, governing[None], axis=0)[0], governing


def search_by_machine_code(box: UncertaintyBox, nominal: NominalUses, search: CompiledCornerSearch) -> WorstOfPoses:
    """As `search_by_arrays`, in machine code."""
    result = search(
        SearchInput(
            entries=box.places,
            numbers=np.broadcast_to(box.inputs, (len(box.inputs), box.poses)).T,
            least=(box.nominal - box.down).T,
            most=(box.nominal + box.up).T,
            nominal_use=nominal.use,
            nominal_kg=nominal.allowed_load_kg,
        )
    )
    allowed_kg, governing = _smallest(result.allowed_kg)
    return WorstOfPoses(
        use=result.use,
        allowed_kg=allowed_kg,
        governing=governing,
        bend=result.bend,
        corner=result.corner,
        first=FirstPose(**{name: getattr(result, name) for name in FirstPose.__struct_fields__}),
    )


# ---------------------------------------------------------------- by arrays

VARIANTS_AT_ONCE = 6_000
"""Variants times poses evaluated at once as arrays: larger tables would fall out of the cache."""


def search_by_arrays(box: UncertaintyBox, nominal: NominalUses, evaluator: Evaluator) -> WorstOfPoses:
    """As `worst_of_poses`, by arrays of many poses together."""
    step = max(1, VARIANTS_AT_ONCE // (2 * len(nominal.use) + 4 * len(box.entries)))
    blocks = [slice(start, start + step) for start in range(0, box.poses, step)]
    parts = [_search_block(box.block(block), nominal.block(block), evaluator) for block in blocks]
    if len(parts) == 1:
        return parts[0]
    of_poses = ("use", "allowed_kg", "governing", "bend", "corner")
    joined = {name: np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in of_poses}
    return WorstOfPoses(**joined, first=parts[0].first)


def _search_block(box: UncertaintyBox, nominal: NominalUses, evaluator: Evaluator) -> WorstOfPoses:
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        at_kg = np.asarray(load_to_look_at(nominal.allowed_load_kg)).min(axis=0)
        single = _SingleEntryVariants(box, evaluator, at_kg)
        sides = single.entry_sides(nominal.use, at_kg)
        corners = _corners_to_try(box, sides, single.guide_sides())
        limits = evaluate_columns(box, evaluator, corners.columns(at_kg))
        own_load, alone = limits.some(slice(0, len(corners.use))), single.own_load
        use = np.maximum(
            np.asarray(use_of(own_load.demand, own_load.allowed)).max(axis=1),
            np.asarray(use_of(alone.demand, alone.allowed)).max(axis=1),
        )
        nominal_excess = alone.demand[:, 0] - alone.allowed[:, 0]
        own_excess = (own_load.demand - own_load.allowed).max(axis=1)
        effects = _sum_over_entries(np.asarray(worse_effect(sides.low_effect, sides.high_effect)))
        bend = np.asarray(bend_of(own_excess, nominal_excess, effects, alone.allowed[:, 0]))
        other_loads = (limits.demand - limits.allowed)[:, len(corners.use) :]
        empty, near, full = other_loads.reshape(len(use), 3, -1, box.poses).max(axis=2).swapaxes(0, 1)
        worst = worst_limit(use, empty, near, full, at_kg, nominal.use, nominal.allowed_load_kg)
    shape = np.shape(sides.passed_first)
    first = FirstPose(
        low_effect=np.broadcast_to(sides.low_effect, shape)[:, :, 0],
        high_effect=np.broadcast_to(sides.high_effect, shape)[:, :, 0],
        allowed=alone.allowed[:, 0, 0],
        standing_least=own_load.standing[:, :, 0].min(axis=1),
        standing_most=own_load.standing[:, :, 0].max(axis=1),
    )
    allowed_kg, governing = _smallest(np.asarray(worst.allowed_kg))
    return WorstOfPoses(
        use=np.asarray(worst.use),
        allowed_kg=allowed_kg,
        governing=governing,
        bend=bend,
        corner=numbers_of(np.asarray(sides.passed_first)),
        first=first,
    )


def _sum_over_entries(values: Array) -> Array:
    """Sum over the entries of values (limits, entries, poses), in the order in which machine code sums four at once."""
    limits, entries, poses = values.shape
    filled_up = np.zeros((limits, -(-entries // WIDTH) * WIDTH, poses))
    filled_up[:, :entries] = values
    totals = np.zeros((limits, WIDTH, poses))
    for start in range(0, entries, WIDTH):
        totals = totals + filled_up[:, start : start + WIDTH]
    return (totals[:, 0] + totals[:, 2]) + (totals[:, 1] + totals[:, 3])


# ---------------------------------------------------------------- corners to try


class _SingleEntryVariants:
    """Every entry alone at its least and most, under the load itself (``own_load``) and under a second load."""

    def __init__(self, box: UncertaintyBox, evaluator: Evaluator, at_kg: Array) -> None:
        poses, variants = box.poses, 2 * len(box.entries) + 1
        self._box = box
        self._load_kg = np.broadcast_to(np.asarray(box.numbers.load_kg, float), (poses,))
        self._second_kg = np.asarray(second_load(self._load_kg, at_kg))
        loads = [np.full((variants, poses), np.nan), np.broadcast_to(self._second_kg, (variants, poses))]
        sides = np.concatenate([single_entry_sides(len(box.entries))] * 2, axis=1)
        limits = evaluate_columns(box, evaluator, Columns(sides=sides, load_kg=np.concatenate(loads)))
        self.own_load, self._second = limits.some(slice(0, variants)), limits.some(slice(variants, 2 * variants))

    def entry_sides(self, use: Array, at_kg: Array) -> EntrySides:
        """The worse side of each entry, arrays (limits, entries, poses); ``at_kg`` (poses), or (limits, poses)."""
        four = (self.own_load.demand, self.own_load.allowed, self._second.demand, self._second.allowed)
        nominal, low, high = (
            LimitAtTwoLoads(*values) for values in zip(*map(self._nominal_low_high, four), strict=True)
        )
        on_kg = np.broadcast_to(at_kg - self._second_kg, use.shape)[:, None]
        is_load = np.array([float(entry.field == "load_kg") for entry in self._box.entries])[:, None]
        return entry_sides(nominal, low, high, use[:, None], self._load_kg - self._second_kg, on_kg, is_load)

    def guide_sides(self) -> Array:
        """The side of each entry that makes each guide greater (guides, entries, poses)."""
        return np.asarray(guide_side(*self._nominal_low_high(self.own_load.guides)))

    def _nominal_low_high(self, values: Array) -> tuple[Array, Array, Array]:
        """Values as entered, with each entry alone at its least, and at its most."""
        count = len(self._box.entries)
        return values[:, :1], values[:, 1 : 1 + count], values[:, 1 + count :]


@functools.lru_cache(maxsize=64)
def single_entry_sides(count: int) -> Array:
    """Sides (entries, 2 entries + 1, 1): all as entered, then each low alone, then each high alone."""
    single = np.eye(count)
    return np.concatenate([np.zeros((count, 1)), -single, single], axis=1)[:, :, None]


class Corners(msgspec.Struct, kw_only=True, frozen=True):
    """Corners of each pose as numbers (corners, poses): those for the uses, and those for the allowed load."""

    entries: int
    use: CornerNumbers
    load: CornerNumbers

    def columns(self, at_kg: Array) -> Columns:
        """The first under the load itself, then the second without load, near ``at_kg`` (poses) and at it."""
        loads = sides_of(self.load, self.entries)
        shape = self.load.shape
        own = np.full(self.use.shape, np.nan)
        parts = [own, np.zeros(shape), np.broadcast_to(NEAR * at_kg, shape), np.broadcast_to(at_kg, shape)]
        return Columns(
            sides=np.concatenate([sides_of(self.use, self.entries), loads, loads, loads], axis=1),
            load_kg=np.concatenate(parts),
        )


def _corners_to_try(box: UncertaintyBox, sides: EntrySides, guides: Array) -> Corners:
    """The different corners that the entries' sides lead to."""
    passed_first, greatest_use, at_load, guide = (
        numbers_of(np.asarray(side)) for side in (sides.passed_first, sides.greatest_use, sides.at_load, guides)
    )
    uses = np.concatenate([greatest_use, guide, passed_first])
    uses = np.concatenate([uses, _with_hung_flipped(uses, box.entries)])
    loads = np.concatenate([at_load, passed_first])
    return Corners(entries=len(box.entries), use=_different(uses), load=_different(loads))


def _with_hung_flipped(numbers: CornerNumbers, entries: tuple[Entry, ...]) -> CornerNumbers:
    """The same corners with load and rigging at their other side.

    What hangs on the hook has by far the widest bands, and helps or harms a side line depending on where the other
    entries stand, so both of its sides are evaluated.
    """
    for place_value, entry in zip(place_values(len(entries)), entries, strict=True):
        if entry.field in HUNG:
            numbers = numbers + (2 - 2 * (numbers // place_value % 3)) * place_value
    return numbers


def _different(numbers: CornerNumbers) -> CornerNumbers:
    """The different corners of each pose (corners, poses); a pose with fewer than another repeats one of its own."""
    ordered = np.sort(numbers, axis=0)
    new = np.ones(ordered.shape, bool)
    new[1:] = ordered[1:] != ordered[:-1]
    if ordered.shape[1] == 1:
        return ordered[new[:, 0]]
    rank = new.cumsum(axis=0) - 1
    corners = np.repeat(ordered[:1], rank[-1].max() + 1, axis=0)
    corners[rank, np.arange(ordered.shape[1])] = ordered
    return corners
