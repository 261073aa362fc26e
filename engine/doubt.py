"""The worst case: every limit with all uncertain entries against it together, and which entry costs most.

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

The corner for the *allowed load* is found from the allowed load itself, since an entry may pull one way at a light
load and the other way at a heavy one.  It asks: how heavy may the load be, if its own weight were known exactly and
everything else were at its worst?  So a load of that weight, weighed, just meets the limit.

Exact where limits are monotone in every entry, which covers all products of weights and levers with steady signs.
What is left over are pairs of entries that change each other's sign inside their bands, and a limit that peaks inside
a band (a reach as the upright passes through plumb).  `CORNER_TOLERANCE` says how much that may be worth; the tests
hold random points of the box against it.  It is a small fraction of the bands themselves.

Left out: how far an arm may stand from the angle said (the pose is what is asked about), and walls, welds and steel,
whose doubt is in the design factor.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterable
from typing import Any

import msgspec
import numpy as np

from engine import bands, balance
from engine.bands import BEST_WAY, Kind, low_high
from engine.geometry import Array
from engine.limits import find_checks, leaned
from engine.model import Estimate, Job, Pose, find_floor
from engine.placing import Figures, fitted_arms, place
from engine.possible import boom_limits_m
from engine.tape import CannotTapeError, Recorder, Tape

CORNER_TOLERANCE = 0.01
"""Most by which any point of the box may exceed the worst use found: points of use, a share of it over 1 (held by
sampling; mostly it is under a tenth of this)."""

BLOCK = 60_000
"""Variants times poses evaluated at once: keeps every temporary inside the cache."""


class Entry(msgspec.Struct, kw_only=True, frozen=True):
    """One uncertain number: its place in `Figures`, its name for a person, how far it may be off each way.

    ``down`` and ``up`` are positive; ``measured_down`` and ``measured_up`` are what would be left after ``advice`` is
    followed.
    """

    field: str
    index: int | None = None
    name: str
    advice: str
    down: float
    up: float
    measured_down: float
    measured_up: float


class Worst(msgspec.Struct, kw_only=True, frozen=True):
    """Worst case of every limit, for one pose or arrays of poses: arrays of shape (limits, ...)."""

    use: Array
    allowed_load_kg: Array


class Standing(msgspec.Struct, kw_only=True, frozen=True):
    """How the truck stands at its worst, plain statics without allowances: the least of each over all corners."""

    rear_weight_left_kg: float
    light_front_wheel_kg: float
    tipping_load_kg: float
    tipping_use: dict[str, float]


class Doubt(msgspec.Struct, kw_only=True, frozen=True):
    """Worst case of one pose.

    ``use`` and ``allowed_load_kg`` have one entry for each check, in the checks' order.  ``costs`` says what each
    entry alone adds to the use of the check that is worst in the worst case, in the order of ``entries``.
    """

    entries: tuple[Entry, ...]
    use: tuple[float, ...]
    allowed_load_kg: tuple[float, ...]
    worst_index: int
    costs: tuple[float, ...]
    standing: Standing

    @property
    def passes(self) -> bool:
        """Whether every limit is met at its worst; a use that is not a number never passes."""
        return all(use <= 1.0 for use in self.use)


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


# ---------------------------------------------------------------- the uncertain entries


def entries_of(job: Job, pose: Pose, numbers: Figures) -> tuple[Entry, ...]:
    """Every number that may be off, with how far; those known exactly are left out.

    Parameters
    ----------
    job, pose : Job, Pose
    numbers : Figures
        Best values of the pose; for arrays of poses any one of them serves, since only weights of the rig are read.
    """
    found = _truck_entries(job) + _rig_entries(job, numbers) + _load_entries(job, pose) + _pose_entries(job, pose)
    return tuple(entry for entry in found if entry.down > 0.0 or entry.up > 0.0)


def _entry(field: str, name: str, advice: str, estimate: Estimate[float], kind: Kind, index: int | None = None) -> Entry:
    best = estimate.best
    low, high = low_high(estimate, kind)
    then = BEST_WAY[kind]
    return Entry(
        field=field,
        index=index,
        name=name,
        advice=advice,
        down=best - low,
        up=high - best,
        measured_down=min(best - low, best - then.low(best)),
        measured_up=min(high - best, then.high(best) - best),
    )


def _truck_entries(job: Job) -> list[Entry]:
    truck = job.truck
    found = [
        _entry("front_axle_kg", "truck's front axle weight", "Weigh the truck's front axle", truck.front_axle_kg, "mass"),
        _entry("rear_axle_kg", "truck's rear axle weight", "Weigh the truck's rear axle", truck.rear_axle_kg, "mass"),
        _entry("cg_height_m", "height of the truck's centre", "Weigh the truck with one axle raised", truck.cg_height_m, "centre"),
        _entry("wheelbase_m", "wheelbase", "Tape the wheelbase", truck.wheelbase_m, "length"),
        _entry("front_overhang_m", "front overhang", "Tape from front axle to fork face", truck.front_overhang_m, "length"),
        _entry("front_track_m", "front track", "Tape the front track", truck.front_track_m, "length"),
        _entry("pivot_height_m", "height of the rear axle pivot", "Tape the height of the rear axle pivot", truck.pivot_height_m, "length"),
        _entry("steer_axle_kg", "weight of the steer axle", "Ask the dealer for the steer axle's weight", truck.steer_axle_kg, "mass"),
    ]
    for index, body in enumerate(truck.aboard):
        if body.counted:
            found.append(_aboard_entry(body.name, body.mass_kg, index))
    return found


def _aboard_entry(name: str, mass_kg: Estimate[float], index: int) -> Entry:
    """What is aboard may be gone (the driver is off, the bottle is empty): its low side is nothing at all."""
    high = low_high(mass_kg, "mass")[1]
    return Entry(
        field="aboard_kg",
        index=index,
        name=name,
        advice=f"Leave {name} out of the sum",
        down=mass_kg.best,
        up=high - mass_kg.best,
        measured_down=mass_kg.best,
        measured_up=high - mass_kg.best,
    )


def _rig_entries(job: Job, numbers: Figures) -> list[Entry]:
    """Weights of the rig's parts: as weighed, else worked out from section and length."""
    rig = job.rig

    def part(field: str, name: str, weighed: Estimate[float] | None, steel_kg: float, index: int | None = None) -> Entry:
        estimate = weighed if weighed is not None else Estimate(best=steel_kg, known="worked_out")
        return _entry(field, f"weight of the {name}", f"Weigh the {name}", estimate, "mass", index)

    found = [
        part("sleeves_kg", "sleeves", rig.sleeves.mass_kg, numbers.sleeves_kg),
        part("jib_mast_kg", "jib mast", rig.jib_mast.mass_kg, numbers.jib_mast_kg),
        part("saddles_kg", "saddles", rig.saddles.mass_kg, numbers.saddles_kg),
        part("boom_kg", "boom", rig.boom.mass_kg, numbers.boom_kg),
        part("hook_kg", "hook", rig.hook.mass_kg, numbers.hook_kg),
    ]
    for index in fitted_arms(numbers):
        arm = rig.arms[index]
        found.append(part("arms_kg", arm.name, arm.mass_kg, numbers.arms_kg[index], index))
    return found


def _load_entries(job: Job, pose: Pose) -> list[Entry]:
    if not pose.loaded:
        return []
    return [
        _entry("rigging_kg", "weight of the rigging", "Weigh the rigging", job.load.rigging_kg, "mass"),
        _entry("load_kg", "weight of the load", "Weigh the load", job.load.mass_kg, "mass"),
    ]


def _pose_entries(job: Job, pose: Pose) -> list[Entry]:
    """Falls, fork height, tilt and reach; none may pass the truck's own stops or leave the saddles."""
    floor = find_floor(job, pose)
    found = []
    for field, way, fall in (("fall_along", "along", floor.fall_along), ("fall_across", "across", floor.fall_across)):
        if fall is not None:
            name, advice = f"floor's fall {way}", f"Measure the floor's fall {way} with a long level"
            found.append(_entry(field, name, advice, fall, "fall"))
    found.append(_read("lift_m", "fork height", "Tape the fork height", bands.TAPE_M, bands.TAPE_M))
    found.append(
        _read("tilt_rad", "tilt of the upright", "Set a level on the upright", bands.TILT_BY_EYE_RAD, bands.TILT_BY_LEVEL_RAD)
    )
    found.append(_read("boom_out_m", "reach of the boom", "Tape the reach", bands.TAPE_M, bands.TAPE_M))
    return found


def _read(field: str, name: str, advice: str, off: float, measured_off: float) -> Entry:
    return Entry(
        field=field, name=name, advice=advice, down=off, up=off, measured_down=measured_off, measured_up=measured_off
    )


# ---------------------------------------------------------------- limits over many variants


class _Key:
    """Identity of what a tape holds for: the very same truck, rig, load and allowances, and the same arms fitted."""

    def __init__(self, job: Job, fitted: tuple[int, ...]) -> None:
        self.parts = (job.truck, job.rig, job.load, job.policy)
        self.fitted = fitted

    def __hash__(self) -> int:
        return hash((*map(id, self.parts), self.fitted))

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, _Key)
            and self.fitted == other.fitted
            and all(mine is theirs for mine, theirs in zip(self.parts, other.parts, strict=True))
        )


class _Bench:
    """Evaluates the limits of one job over variants; after a few times it writes the formulas down and replays them.

    It only ever remembers how to get the same answer sooner: the tapes, and which corners the last pose needed.
    """

    def __init__(self) -> None:
        self.corners: dict[bytes, int] = {}
        self._asked = 0
        self._tapes: dict[bool, Tape] | None = None

    def values(self, job: Job, numbers: Figures, standing: bool) -> list[Any]:
        """Demand, allowed, use and allowed load of every limit, the guides, then the standing if asked for."""
        self._asked += 1
        if self._asked == RECORD_AT:
            self._tapes = _tapes(job, numbers)
        if self._tapes is None:
            return _values(job, numbers, standing)
        return self._tapes[standing].replay(_inputs(numbers))


RECORD_AT = 3
"""Writing a tape costs some ten evaluations: not worth it for a rig being edited, which is new at every move."""


@functools.lru_cache(maxsize=8)
def _bench(_: _Key) -> _Bench:
    return _Bench()


def _tapes(job: Job, numbers: Figures) -> dict[bool, Tape] | None:
    """Tapes without and with the standing; None when the formulas cannot be taped."""
    recorder = Recorder()
    try:
        values = _values(job, _each_number(numbers, lambda _: recorder.new_input()), standing=True)
    except CannotTapeError:
        return None
    return {True: Tape(recorder, values), False: Tape(recorder, values[: len(values) - STANDING_VALUES])}


def _values(job: Job, numbers: Figures, standing: bool) -> list[Any]:
    checks = find_checks(job, numbers)
    found = [getattr(check, name) for name in ("demand", "allowed", "use", "allowed_load_kg") for check in checks]
    felt = balance.weigh(place(job, leaned(numbers, job.policy)), balance.allowances_of(job.policy))
    found += [-felt.left_front_kg, -felt.right_front_kg]
    if standing:
        weighed = balance.weigh(place(job, numbers))
        found += [weighed.rear_kg, weighed.light_front_kg, weighed.tipping_load_kg, *(line.use for line in weighed.lines)]
    return found


GUIDES = 2
"""Wheel by wheel, what the light front wheel is the lighter of: each shows the way to a corner of its own."""

STANDING_VALUES = 3 + len(balance.LINES)


def _inputs(numbers: Figures) -> list[Any]:
    """The figures in a row, arms that are not fitted left out."""
    found: list[Any] = []
    for field in Figures.__struct_fields__:
        value = getattr(numbers, field)
        found += [part for part in value if part is not None] if isinstance(value, tuple) else [value]
    return found


def _each_number(numbers: Figures, change: Callable[[Any], Any]) -> Figures:
    changed = {}
    for field in Figures.__struct_fields__:
        value = getattr(numbers, field)
        changed[field] = tuple(part if part is None else change(part) for part in value) if isinstance(value, tuple) else change(value)
    return Figures(**changed)


# ---------------------------------------------------------------- the box of all bands


class _Box(msgspec.Struct, kw_only=True, frozen=True):
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

    def figures_at(self, sides: Array) -> Figures:
        """Figures with each entry at a side of its band: ``sides`` (entries, variants, poses or 1) of -1, 0, 1."""
        values = self.best[:, None] + np.maximum(sides, 0) * self.up[:, None] + np.minimum(sides, 0) * self.down[:, None]
        return _replaced(self.numbers, self.entries, values)

    def block(self, poses: slice) -> _Box:
        """The same box for some of the poses."""
        part = {"best": self.best[:, poses], "down": self.down[:, poses], "up": self.up[:, poses]}
        return msgspec.structs.replace(self, numbers=_each_number(self.numbers, lambda number: _part(number, poses)), **part)


def _box(job: Job, numbers: Figures, entries: tuple[Entry, ...]) -> _Box:
    best = np.empty((len(entries), math.prod(_shape(numbers))))
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
    return _Box(job=job, numbers=numbers, entries=entries, best=best, down=down, up=up)


def _stops(job: Job, field: str) -> tuple[float, float]:
    """What no band can pass: the truck's own stops, the boom in both saddles."""
    upright = job.truck.upright
    if field == "lift_m":
        return upright.lift_min_m, upright.lift_max_m
    if field == "tilt_rad":
        return -upright.tilt_forward_max_rad, upright.tilt_back_max_rad
    return boom_limits_m(job)


def _shape(numbers: Figures) -> tuple[int, ...]:
    return np.broadcast_shapes(*map(np.shape, _inputs(numbers)))


def _flat(number: Any, shape: tuple[int, ...]) -> Any:
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


# ---------------------------------------------------------------- corners


class _Found(msgspec.Struct, kw_only=True, frozen=True):
    """Limits over variants, arrays (limits, variants, poses); guides and standing, (values, variants, poses)."""

    demand: Array
    allowed: Array
    use: Array
    allowed_load_kg: Array
    guides: Array
    standing: Array

    def some(self, variants: slice | list[int]) -> _Found:
        """Some of the variants."""
        return _Found(**{name: getattr(self, name)[:, variants] for name in _Found.__struct_fields__})

    def also(self, other: _Found) -> _Found:
        """These variants and others."""
        both = {name: np.concatenate([getattr(self, name), getattr(other, name)], axis=1) for name in _Found.__struct_fields__}
        return _Found(**both)


def _evaluate(box: _Box, bench: _Bench, sides: Array, standing: bool) -> _Found:
    values = bench.values(box.job, box.figures_at(sides), standing)
    table = np.empty((len(values), sides.shape[1], box.poses))
    for row, value in enumerate(values):
        table[row] = value
    limits = (len(values) - GUIDES - STANDING_VALUES * standing) // 4
    ends = [limits, 2 * limits, 3 * limits, 4 * limits, 4 * limits + GUIDES]
    return _Found(**dict(zip(_Found.__struct_fields__, np.split(table, ends), strict=True)))


@functools.lru_cache(maxsize=64)
def _alone(count: int) -> Array:
    """Sides (entries, 2 entries + 1, 1): all at best, then each low alone, then each high alone."""
    each = np.eye(count)
    return np.concatenate([np.zeros((count, 1)), -each, each], axis=1)[:, :, None]


def _effects(worth: Array, count: int) -> tuple[Array, Array]:
    """How much worse each entry's low and high alone make ``worth``: arrays (limits, entries, poses).

    A value that stops being a number is as bad as can be; one that is infinite either way makes no difference.
    """
    best = worth[:, :1]
    with np.errstate(invalid="ignore"):
        effects = worth[:, 1:] - best
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


class _Corners(msgspec.Struct, kw_only=True, frozen=True):
    """Different corners of the box, each its sides as bytes, and which of them each pose needs (corners, poses)."""

    names: dict[bytes, int]
    needed: Array


def _corners(*families: Array) -> _Corners:
    """The different corners among families of sides (limits, entries, poses)."""
    wanted = np.concatenate(families)
    limits, count, poses = wanted.shape
    data = np.ascontiguousarray(wanted.transpose(0, 2, 1)).tobytes()
    names: dict[bytes, int] = {}
    places = [names.setdefault(data[at : at + count], len(names)) for at in range(0, len(data), count)]
    needed = np.zeros((len(names), poses), bool)
    needed[np.array(places).reshape(limits, poses), np.arange(poses)] = True
    return _Corners(names=names, needed=needed)


def _sides(names: Iterable[bytes], count: int) -> Array:
    """Sides (entries, corners, 1) of named corners."""
    return np.frombuffer(b"".join(names), np.int8).reshape(-1, count).T[:, :, None]


class _Case(msgspec.Struct, kw_only=True, frozen=True):
    """Worst case of a block of poses with what it was found from; ``corners`` holds for a single pose only."""

    use: Array
    allowed_load_kg: Array
    low: Array
    high: Array
    allowed: Array
    corners: _Found


def _case(box: _Box, bench: _Bench, standing: bool = False) -> _Case:
    """Evaluate the entries one by one, then all together in the corners they point to.

    For a single pose the corners of the pose before are evaluated along with the entries, so that in a drag, where
    they seldom change, one evaluation does for both.
    """
    count = len(box.entries)
    guess = dict(bench.corners) if box.poses == 1 else {}
    if guess and len(next(iter(guess))) != count:
        guess = {}
    sides = np.concatenate([_alone(count), _sides(guess, count)], axis=1) if guess else _alone(count)
    found = _evaluate(box, bench, sides, standing)
    alone, tried = found.some(slice(0, 2 * count + 1)), found.some(slice(2 * count + 1, None))
    low, high = _effects(alone.demand - alone.allowed, count)
    corners = _corners_shown(alone, low, high, box.entries)
    if box.poses == 1:
        bench.corners = corners.names
    missing = [name for name in corners.names if name not in guess]
    at, places = tried, dict(guess)
    if missing:
        new = _evaluate(box, bench, _sides(missing, count), standing)
        at = tried.also(new) if guess else new
        places |= {name: len(guess) + index for index, name in enumerate(missing)}
    at = at.some([places[name] for name in corners.names])
    use = np.where(corners.needed, at.use, -np.inf).max(axis=1)
    load = np.where(corners.needed, at.allowed_load_kg, np.inf).min(axis=1)
    return _Case(
        use=np.maximum(use, alone.use.max(axis=1)),
        allowed_load_kg=np.minimum(load, alone.allowed_load_kg.min(axis=1)),
        low=low,
        high=high,
        allowed=alone.allowed[:, 0],
        corners=at,
    )


def _corners_shown(alone: _Found, low: Array, high: Array, entries: tuple[Entry, ...]) -> _Corners:
    """Corners that the entries one by one point to: for the use of every limit and for its allowed load."""
    count = len(entries)
    load_side = _worse_side(*_effects(-alone.allowed_load_kg, count))
    load_side[:, [entry.field == "load_kg" for entry in entries]] = 0
    near = alone.demand - _finite_use(alone.use[:, :1]) * alone.allowed
    use_side = np.concatenate([_worse_side(*_effects(worth, count)) for worth in (near, alone.guides)] + [_worse_side(low, high)])
    return _corners(use_side, _hung_flipped(use_side, entries), load_side)


def corners_used(job: Job, pose: Pose, numbers: Figures, entries: tuple[Entry, ...]) -> Array:
    """All variants among which `worst_checks` finds the worst of any limit over the same poses.

    Parameters
    ----------
    job, pose, numbers, entries
        As for `worst_checks`.

    Returns
    -------
    Array
        Shape (variants, entries): -1 with an entry at its least, 1 at its most, 0 at best; best values come first.
    """
    shape, count = _shape(numbers), len(entries)
    box = _box(job, _each_number(numbers, lambda number: _flat(number, shape)), entries)
    alone = _evaluate(box, _bench(_Key(job, fitted_arms(numbers))), _alone(count), standing=False)
    low, high = _effects(alone.demand - alone.allowed, count)
    names = _corners_shown(alone, low, high, entries).names
    return np.concatenate([_alone(count)[:, :, 0].T, _sides(names, count)[:, :, 0].T])


def stops(job: Job, field: str) -> tuple[float, float]:
    """What no band of an entry can pass: the pose's own stops, the whole line for every other entry."""
    return _stops(job, field) if field in ("lift_m", "tilt_rad", "boom_out_m") else (-math.inf, math.inf)


def worst_checks(job: Job, pose: Pose, numbers: Figures, entries: tuple[Entry, ...] | None = None) -> Worst:
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
    Worst
        Arrays of shape (limits, ...), limits in the order of `limits.find_checks`.  Costs about as much as evaluating
        60 to 80 poses for each pose.
    """
    entries = entries_of(job, pose, numbers) if entries is None else entries
    shape = _shape(numbers)
    box = _box(job, _each_number(numbers, lambda number: _flat(number, shape)), entries)
    bench = _bench(_Key(job, fitted_arms(numbers)))
    step = max(1, BLOCK // (2 * len(entries) + 1))
    parts = [_case(box.block(slice(start, start + step)), bench) for start in range(0, box.poses, step)]
    use = np.concatenate([part.use for part in parts], axis=1)
    load = np.concatenate([part.allowed_load_kg for part in parts], axis=1)
    return Worst(use=use.reshape(-1, *shape), allowed_load_kg=load.reshape(-1, *shape))


# ---------------------------------------------------------------- one pose: doubt, costs and what measuring buys


def doubt_of(job: Job, pose: Pose, numbers: Figures) -> Doubt:
    """Worst case of one pose, how the truck then stands, and what each entry costs.

    Parameters
    ----------
    job, pose : Job, Pose
        A pose that has a verdict: plate and floor are known and the pose can be.
    numbers : Figures
        Best values of the pose, plain floats.
    """
    entries = entries_of(job, pose, numbers)
    case = _case(_box(job, numbers, entries), _bench(_Key(job, fitted_arms(numbers))), standing=True)
    use = case.use[:, 0]
    worst_index = int(np.where(np.isnan(use), np.inf, use).argmax())
    return Doubt(
        entries=entries,
        use=tuple(use.tolist()),
        allowed_load_kg=tuple(case.allowed_load_kg[:, 0].tolist()),
        worst_index=worst_index,
        costs=_costs(case, worst_index),
        standing=_standing(case.corners.standing[:, :, 0]),
    )


def _costs(case: _Case, index: int) -> tuple[float, ...]:
    """What each entry alone adds to the use of one limit, in points of use."""
    worse = np.maximum(np.maximum(case.low[index, :, 0], case.high[index, :, 0]), 0.0)
    allowed = float(case.allowed[index, 0])
    return tuple((worse / allowed).tolist()) if allowed > 0.0 else (0.0,) * len(worse)


def _standing(values: Array) -> Standing:
    rear, light, tipping, *uses = values
    return Standing(
        rear_weight_left_kg=float(rear.min()),
        light_front_wheel_kg=float(light.min()),
        tipping_load_kg=float(tipping.min()),
        tipping_use={name: float(use.max()) for (name, *_), use in zip(balance.LINES, uses, strict=True)},
    )


def rank(job: Job, pose: Pose, numbers: Figures, doubt: Doubt) -> tuple[Cost, ...]:
    """The entries that cost most, dearest first, each with what measuring it would buy.

    What it buys is found by evaluating the worst case again with that entry's band shrunk about its best value; the
    few dearest entries only, since a cheap one cannot settle anything.
    """
    order = sorted(range(len(doubt.entries)), key=lambda index: -doubt.costs[index])
    total = math.fsum(doubt.costs)
    return tuple(
        _cost(job, pose, numbers, doubt, index, total) for index in order[:RANKED] if doubt.costs[index] > LEAST_COST
    )


RANKED = 8
"""Entries worth naming: past these a person stops reading."""

LEAST_COST = 1e-6
"""Points of use under which an entry is not worth a line."""


def _cost(job: Job, pose: Pose, numbers: Figures, doubt: Doubt, index: int, total: float) -> Cost:
    entry = doubt.entries[index]
    then = worst_checks(job, pose, numbers, measured(doubt.entries, (index,)))
    return Cost(
        entry=entry,
        cost=doubt.costs[index],
        share=doubt.costs[index] / total,
        use_then=float(then.use[doubt.worst_index]),
        settles=not doubt.passes and bool((then.use <= 1.0).all()),
    )


def measured(entries: tuple[Entry, ...], indices: tuple[int, ...]) -> tuple[Entry, ...]:
    """The entries with some of them weighed or measured as well as a shop can, coming out at their best values."""
    shrunk = {
        index: msgspec.structs.replace(entries[index], down=entries[index].measured_down, up=entries[index].measured_up)
        for index in indices
    }
    return tuple(shrunk.get(index, entry) for index, entry in enumerate(entries))


def settling(job: Job, pose: Pose, numbers: Figures, doubt: Doubt) -> tuple[Entry, ...]:
    """The fewest of the dearest entries that, measured together, would make every limit pass at its worst.

    Empty when the pose passes already or when all of them together would not do.
    """
    if doubt.passes:
        return ()
    order = sorted(range(len(doubt.entries)), key=lambda index: -doubt.costs[index])[:RANKED]
    for many in range(1, len(order) + 1):
        then = worst_checks(job, pose, numbers, measured(doubt.entries, tuple(order[:many])))
        if bool((then.use <= 1.0).all()):
            return tuple(doubt.entries[index] for index in order[:many])
    return ()
