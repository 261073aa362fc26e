"""Room: whether rig and load keep clear of what stands round the truck, of the floor, and of each other.

A pair is one moving part and one kind of thing it may run into: boom, arms, jib mast, upright, forks and the sling
against the boxes entered; the load against those boxes, against the floor, and against rig, forks and upright.  Each
wants a free space (`Gaps`, common practice); a load that touches the rig is over, one that comes near it a caution
(`cautions`).  A power line wants 3.05 m (10 ft) up to 50 kV and 0.10 m more for every 10 kV above, as public rules ask
(from memory).  A pose is looked at as drawn and as the loaded rig bends.

**State.**  A gap that is short with every value as entered makes the pose OVER and allows no load; one that is short
only once all that may be off is against it leaves it NOT PROVEN.  How much may be off is a bound: what moves a point
straight counts whole, what turns it counts with the furthest point of the rig, and a box is 30 mm off where it was
measured, 100 mm where it was guessed (ours).  How high a load hangs over the floor is seen: that gap counts as it is.

**Use.**  ``1 + (wanted - gap)/0.5 m``, never under 0: over 1 exactly where the gap is short.  The gap is shown, never
the use.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

import msgspec

from engine.base.geometry import ZERO, Array, Vec
from engine.base.lazy import np
from engine.rig import solids
from engine.rig.check import Check, Problem
from engine.rig.deflection import place_bent
from engine.rig.figure_vector import flat, map_numbers, shape_of
from engine.rig.kinematics import Figures, Placed, walk
from engine.schema.model import Job, Pose, Surrounding, find_floor
from engine.schema.uncertainty_bands import TAPE_M, TILT_BY_EYE_RAD, low_high

FLOOR = "the floor"
TO_OBJECTS, TO_RIG = "room to what stands round the truck", "room to rig and upright"
HANGS = {
    "free": "free to turn",
    "one_line": "held by one tag line",
    "two_lines": "held by two tag lines",
    "fixed": "held as it is",
}
"""How a load hangs, in a sentence."""

USE_OVER_M = 0.5
"""A gap this much short of what is wanted has a use of 2 (ours)."""

OFF_M = {"measured": 0.03, "guess": 0.10}
"""How far a box may be from where it is entered (ours)."""

LINE_M, LINE_kV, LINE_M_PER_kV = 3.05, 50.0, 0.01

BEYOND_M = 0.3
"""Parts round the ends of boom and arms reach no further than this from them."""

ROOM_WORDS = "{the_part} has {gap:length} to {object}; {wanted:length} is wanted"
SHORT_WORDS = "{the_part} comes within {gap:length} of {object}; {wanted:length} is wanted"
INSIDE_WORDS = "{the_part} runs into {object} by {over:length}"
UNDER_WORDS = "{the_part} would be {over:length} below the floor"
SEVERAL = {"saddles", solids.FORKS, solids.HOOK}
"""Parts that are several things."""
SOURCE = "free space: common practice, no source; distance by separating axes"


class Pair(NamedTuple):
    """A moving part and one kind of thing it may run into, for poses (n).

    ``called`` is the part in a sentence.  ``objects`` names what it may meet and ``nearest`` (n) which of them leaves
    least room; ``gap`` (n) and ``wanted`` (n) are of that one, ``worst`` (n) the gap with all that may be off.
    """

    part: str
    called: str
    kind: str
    objects: tuple[str, ...]
    nearest: Array
    gap: Array
    wanted: Array
    worst: Array
    place_m: tuple[Array, Array, Array]


class Room(msgspec.Struct, kw_only=True, frozen=True):
    """Room round one pose: a check for each pair with values as entered, and the gap at worst (m) of each."""

    checks: tuple[Check, ...] = ()
    worst_m: tuple[float, ...] = ()

    @property
    def worst_uses(self) -> tuple[float, ...]:
        """Use of every pair at worst."""
        wanted = np.array([float(check.demand) for check in self.checks])
        return tuple(use_of(np.array(self.worst_m), wanted).tolist())

    @property
    def short(self) -> tuple[Check, ...]:
        """Pairs whose gap is short as entered, the shortest first."""
        found = [check for check in self.checks if not float(check.use) <= 1.0]
        return tuple(sorted(found, key=lambda check: -float(check.use)))

    @property
    def short_at_worst(self) -> tuple[Check, ...]:
        """Pairs whose gap is short with all that may be off against it, the shortest first; those of `short` too."""
        pairs = zip(self.checks, self.worst_m, strict=True)
        found = [(check, gap_m - float(check.demand)) for check, gap_m in pairs if not gap_m >= float(check.demand)]
        return tuple(check for check, _ in sorted(found, key=lambda pair: pair[1]))


def problems(job: Job, pose: Pose) -> list[Problem]:
    """Power lines whose voltage nobody has said."""
    words = (
        "The voltage of {line} is not entered: ask the power company, and lift nothing near it until they have said."
    )
    return [
        Problem(kind="missing", where=f"surroundings[{index}].line_kV", words=words, numbers={"line": box.name})
        for index, box in enumerate(job.surroundings)
        if box.kind == "line" and box.line_kV is None and box.floor in (None, pose.floor)
    ]


def room_of(job: Job, pose: Pose, placed: Placed, hanging: Placed) -> Room:
    """Room round one pose, as drawn (``placed``) and as the loaded rig bends (``hanging``)."""
    checks, worst_m = [], []
    for pair in _worse_of_both(job, pose, placed, hanging, 1, at_place=True):
        checks.append(_check(pair))
        worst_m.append(float(pair.worst[0]))
    return Room(checks=tuple(checks), worst_m=tuple(worst_m))


class Uses(NamedTuple):
    """Use of every pair (pairs, ...) of many poses: as entered and at worst; ``names`` of the pairs."""

    names: tuple[str, ...]
    best: Array
    worst: Array


def uses_over(job: Job, pose: Pose, numbers: Figures, *, at_place: bool = True) -> Uses:
    """Room round one pose or arrays of poses (...).

    Parameters
    ----------
    job : Job
    pose : Pose
        Says which floor the poses stand on, whether a load hangs, and whether it stands on something.
    numbers : Figures
        Values as entered, floats or arrays that broadcast to the poses' shape (...).
    at_place : bool
        Whether what stands round the truck counts; without it only the floor does.
    """
    shape = shape_of(numbers)
    count, row = math.prod(shape), map_numbers(numbers, lambda number: flat(number, shape))
    found = list(_worse_of_both(job, pose, walk(job, row), place_bent(job, row), count, at_place=at_place))
    if not found:
        return Uses((), np.zeros((0, *shape)), np.zeros((0, *shape)))
    return Uses(
        tuple(f"{pair.part}: {pair.kind}" for pair in found),
        np.stack([use_of(pair.gap, pair.wanted).reshape(shape) for pair in found]),
        np.stack([use_of(pair.worst, pair.wanted).reshape(shape) for pair in found]),
    )


def _worse_of_both(
    job: Job, pose: Pose, placed: Placed, hanging: Placed, count: int, *, at_place: bool
) -> Iterator[Pair]:
    """Every pair where it leaves less room, as drawn or bent; at worst the least of both."""
    sag_m = hanging.tip_m - placed.tip_m
    straight = pairs(job, pose, placed, count, at_place=at_place)
    bent = pairs(job, pose, hanging, count, at_place=at_place, sag_m=sag_m)
    for one, other in zip(straight, bent, strict=True):
        drawn = one.wanted - one.gap >= other.wanted - other.gap
        merged = (np.where(drawn, a, b) for a, b in ((one.nearest, other.nearest), (one.gap, other.gap)))
        nearest, gap = merged
        wanted = np.where(drawn, one.wanted, other.wanted)
        worst = np.minimum(one.worst - one.wanted, other.worst - other.wanted) + wanted
        x, y, z = (np.where(drawn, a, b) for a, b in zip(one.place_m, other.place_m, strict=True))
        yield Pair(one.part, one.called, one.kind, one.objects, nearest, gap, wanted, worst, (x, y, z))


def use_of(gap_m: Array, wanted_m: Array) -> Array:
    """Use of gaps: over 1 exactly where they are short; infinite where a gap is not a number."""
    use = np.maximum(1.0 + (wanted_m - gap_m) / USE_OVER_M, 0.0)
    return np.where(np.isnan(use), np.inf, use)


def _check(pair: Pair) -> Check:
    gap, wanted, name = float(pair.gap[0]), float(pair.wanted[0]), pair.objects[int(pair.nearest[0])]
    words = ROOM_WORDS
    if gap < 0.0:
        words = UNDER_WORDS if name == FLOOR else INSIDE_WORDS
    elif gap < wanted:
        words = SHORT_WORDS
    if pair.part in SEVERAL:
        words = words.replace(" has ", " have ").replace(" comes ", " come ").replace(" runs ", " run ")
    numbers: dict[str, float | str] = {"the_part": pair.called, "object": name}
    numbers |= {"gap": gap, "wanted": wanted, "over": -gap}
    return Check(
        of="room",
        part=pair.part,
        kind=pair.kind,
        place_m=Vec(*(float(values[0]) for values in pair.place_m)),
        demand=wanted,
        allowed=gap,
        unit="m",
        use=float(use_of(pair.gap, pair.wanted)[0]),
        allowed_load_kg=math.inf if gap >= wanted else 0.0,
        words=words,
        numbers=numbers,
        source=SOURCE,
    )


# ---------------------------------------------------------------- pairs


def pairs(job: Job, pose: Pose, placed: Placed, count: int, *, at_place: bool = True, sag_m: Vec = ZERO) -> list[Pair]:
    """Every pair of placed poses (n), always in the same order for a job, its floor and what is fitted and loaded.

    Parameters
    ----------
    job : Job
    pose : Pose
        Says which floor the poses stand on, whether a load hangs, and whether it stands on something.
    placed : Placed
        Frames and hook of the poses.
    count : int
        How many poses.
    at_place : bool
        Whether what stands round the truck counts; without it only the floor does.
    sag_m : Vec
        How far the rig's end goes under its load.
    """
    boxes = [box for box in job.surroundings if at_place and box.floor in (None, pose.floor)]
    off, found = _off(job, pose, placed, count), []
    if boxes:
        listed = solids.parts(job, placed, count, loaded=pose.loaded, sag_m=sag_m)
        found = list(_parts_to_boxes(job, listed, boxes, off.to_object))
    if not pose.loaded:
        return found
    load = hung_load(job, placed, count)
    middle = load.x, load.y, (load.under + load.top) / 2.0
    standing = pose.at != "between"
    met = [box for box in boxes if not (standing and box.sets_load)]
    gaps = job.policy.gaps
    if met:
        each = np.stack([solids.load_to_box(load, box) for box in met])
        wanted = np.stack([np.full(count, wanted_m(box, gaps.load_to_object_m)) for box in met])
        loose = np.array([OFF_M[box.known] for box in met])[:, None] + off.to_object
        found.append(
            _least(
                job.load.name,
                f"the {job.load.name}",
                TO_OBJECTS,
                [box.name for box in met],
                each,
                wanted,
                loose,
                middle,
            )
        )
    if not standing:
        low = (middle[0], middle[1], load.under)
        wanted = np.full((1, count), gaps.load_to_floor_m)
        under = load.under[None]
        found.append(
            _least(job.load.name, f"the {job.load.name}", "room to the floor", [FLOOR], under, wanted, 0.0 * under, low)
        )
    found.append(_load_to_rig(job, placed, load, 0.0, 0.0 * off.to_rig))
    return found


def _load_to_rig(job: Job, placed: Placed, load: solids.HungLoad, wanted_m: float, off: Array) -> Pair:
    """The load against rig, forks and upright, as it turns and swings."""
    rig = solids.parts(job, placed, off.size, loaded=False).without(solids.HOOK)
    each = solids.load_to_parts(load, rig)
    arms = {arm.name for arm in job.rig.arms}
    names = [part if part in arms else f"the {part}" for part in rig.parts]
    wanted, middle = np.full(each.shape, wanted_m), (load.x, load.y, (load.under + load.top) / 2.0)
    called = f"the {job.load.name}, {HANGS[job.load.hang]},"
    return _least(job.load.name, called, TO_RIG, names, each, wanted, off[None], middle)


def cautions(job: Job, pose: Pose, hanging: Placed) -> tuple[Problem, ...]:
    """The load that comes near rig, forks or upright without touching, as it may turn and swing on its hook."""
    if not pose.loaded:
        return ()
    load, off = hung_load(job, hanging, 1), _off(job, pose, hanging, 1).to_rig
    pair = _load_to_rig(job, hanging, load, job.policy.gaps.load_to_rig_m, off)
    gap, wanted = float(pair.gap[0]), float(pair.wanted[0])
    if gap < 0.0 or float(pair.worst[0]) >= wanted:
        return ()
    words = "{load}, {hangs}, swings to within {gap:length} of {object}; {wanted:length} is wanted."
    if gap >= wanted:
        words = "{load}, {hangs}, has {gap:length} to {object}, less than {wanted:length} once all is against it."
    held = job.load.hang in ("two_lines", "fixed")
    words += " Hang it further out." if held else " Hold it by two tag lines, or hang it further out."
    numbers: dict[str, float | str] = {"load": f"The {pair.part}", "hangs": HANGS[job.load.hang]}
    numbers |= {"object": pair.objects[int(pair.nearest[0])], "gap": gap, "wanted": wanted}
    return (Problem(kind="caution", where="load.hang", words=words, numbers=numbers),)


def _parts_to_boxes(job: Job, listed: solids.Boxes, boxes: list[Surrounding], off: Array) -> Iterator[Pair]:
    """Each part's nearest box: by part, what stands nearest to any of its solids."""
    each = np.stack([solids.gaps_to_box(listed, box) for box in boxes])  # (boxes, solids, n)
    wanted = np.array([wanted_m(box, job.policy.gaps.rig_to_object_m) for box in boxes])
    loose = np.array([OFF_M[box.known] for box in boxes])[:, None] + off
    names, arms = [box.name for box in boxes], {arm.name for arm in job.rig.arms}
    for part in dict.fromkeys(listed.parts):
        own = [index for index, name in enumerate(listed.parts) if name == part]
        gap = each[:, own].min(axis=1)
        place = tuple(listed.middle[own[0], axis] for axis in range(3))
        on = np.broadcast_to(wanted[:, None], gap.shape)
        called = part if part in arms else f"the {part}"
        yield _least(part, called, TO_OBJECTS, names, gap, on, loose, place)


def _least(
    part: str,
    called: str,
    kind: str,
    names: list[str],
    each: Array,
    wanted: Array,
    off: Array,
    place_m: tuple[Array, ...],
) -> Pair:
    """The object that leaves least room, pose by pose: gaps, wanted and what may be off are (objects, n)."""
    nearest = (wanted - each).argmax(axis=0)
    at = np.arange(each.shape[1])
    worst = (each - off - wanted).min(axis=0) + wanted[nearest, at]
    x, y, z = place_m
    return Pair(part, called, kind, tuple(names), nearest, each[nearest, at], wanted[nearest, at], worst, (x, y, z))


def wanted_m(box: Surrounding, usual_m: float) -> float:
    """Free space wanted to a box (m): ``usual_m``, or what the voltage of a power line asks."""
    if box.kind != "line":
        return usual_m
    over_kV = max((box.line_kV or 0.0) - LINE_kV, 0.0)
    return LINE_M + math.ceil(over_kV / 10.0 - 1e-9) * 10.0 * LINE_M_PER_kV


def hung_load(job: Job, placed: Placed, count: int) -> solids.HungLoad:
    """The load of many poses as it may hang, swing counted."""
    wander_m = math.tan(job.policy.swing_rad) * (job.load.sling_m + job.load.height_m / 2.0)
    return solids.hung_load(job.load, placed, count, wander_m)


class _Off(NamedTuple):
    """At least as far as a point may be from where it is placed (n): against what stands still, and against the rig."""

    to_object: Array
    to_rig: Array


def _off(job: Job, pose: Pose, placed: Placed, count: int) -> _Off:
    floor, numbers, upright = find_floor(job, pose), placed.figures, job.truck.upright
    overhang = job.truck.front_overhang_m
    low, high = low_high(overhang, "length")
    ahead = max(overhang.best - low, high - overhang.best)
    pivot, boom = Vec(upright.tilt_pivot_x_m, 0.0, upright.tilt_pivot_z_m), placed.frames["boom"]
    ends = placed.tip_m, boom.at(numbers.boom_out_m - job.rig.boom.length_m)
    far = np.maximum(*(np.broadcast_to(np.asarray((end - pivot).length(), float), (count,)) for end in ends)) + BEYOND_M
    hung_m = job.rig.hook.drop_m + job.load.sling_m + job.load.height_m
    known = [fall for fall in (floor.fall_along, floor.fall_across) if fall is not None]
    plumb_rad = sum(max(fall.best - low_high(fall, "fall")[0], low_high(fall, "fall")[1] - fall.best) for fall in known)
    turned_rad = TILT_BY_EYE_RAD + job.policy.lean_rad
    hangs_m = (plumb_rad + turned_rad) * hung_m
    # Fork height and the boom's reach are taped.
    return _Off(ahead + 2.0 * TAPE_M + turned_rad * far + hangs_m, np.full(count, TAPE_M + hangs_m))
