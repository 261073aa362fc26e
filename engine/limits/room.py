"""Room: whether rig and load keep clear of truck, surroundings and floor, and of each other.

A pair is one moving part and one kind of thing it may run into (`engine.limits.room_rows`).  Each wants a free space
(`Gaps`, common practice).  A power line wants 3.05 m (10 ft) up to 50 kV and 0.10 m more for every 10 kV above, as
public rules ask (from memory).  A pose is looked at as drawn and as the loaded rig bends.

**State.**  A gap that is short with every value as entered makes the pose OVER and allows no load; one that is short
only once all that may be off is against it leaves it NOT PROVEN, and so does one to a part of the truck that differs
from truck to truck and that nobody has measured.  A box entered is 30 mm off where it was measured, 100 mm where it was
guessed, a usual one of the truck 50 mm (ours).

**Use.**  ``1 + (wanted - gap)/0.5 m``, never under 0: over 1 exactly where the gap is short.  The gap is shown, never
the use.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import msgspec

from engine.base.geometry import Array, Vec
from engine.base.lazy import np
from engine.limits import room_rows
from engine.limits.room_rows import FLOOR, Gaps, Row
from engine.rig import solids
from engine.rig.check import Check, Problem
from engine.rig.deflection import place_bent
from engine.rig.figure_vector import flat, map_numbers, shape_of
from engine.rig.kinematics import Figures, Placed, walk
from engine.schema.model import Job, Pose

USE_OVER_M = 0.5
"""A gap this much short of what is wanted has a use of 2 (ours)."""

ROOM_WORDS = "{the_part} has {gap:length} to {object}; {wanted:length} is wanted"
SHORT_WORDS = "{the_part} comes within {gap:length} of {object}; {wanted:length} is wanted"
INSIDE_WORDS = "{the_part} runs into {object} by {over:length_up}"
UNDER_WORDS = "{the_part} would be {over:length_up} below the floor"
USUAL_SHORT_WORDS = (
    "{the_part} comes within {gap:length} of {object}; {wanted:length} is wanted. Nobody has measured {unmeasured}: "
    "measure it, or say that there is none"
)
USUAL_INSIDE_WORDS = (
    "{the_part} runs {over:length_up} into {object}. Nobody has measured {unmeasured}; its usual place is taken. "
    "Measure it, or say that there is none"
)
SEVERAL = {"saddles", solids.FORKS, solids.HOOK}
"""Parts that are several things."""
SOURCE = "free space: common practice, no source; distance by separating axes"


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
        """Pairs whose gap is short as entered, the shortest first, but those to what nobody has measured."""
        found = [check for check in self.checks if not float(check.use) <= 1.0 and not check.leaves_unproven]
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
    gaps = room_rows.gaps_of(job, pose, placed, 1, hanging.tip_m - placed.tip_m)
    rows, starts = gaps.of.rows, gaps.of.starts.tolist()
    if not rows:
        return Room()
    least = gaps.gap.min(axis=1)
    # What is not a number is the shortest.
    room = np.where(np.isnan(least), -np.inf, least - gaps.of.wanted_m).tolist()
    at_worst = (gaps.worst.min(axis=1) - gaps.of.wanted_m).tolist()
    spans = list(zip(starts, (*starts[1:], len(rows)), strict=True))
    nearest = [_nearest(room, at_worst, start, end) for start, end in spans]
    shown = [rows[at] for at in nearest]
    places = room_rows.places_of(gaps, shown, gaps.gap[nearest].argmin(axis=1).tolist())
    checks = map(_check, shown, least[nearest].tolist(), places)
    worst_m = [min(at_worst[start:end]) + row.wanted_m for (start, end), row in zip(spans, shown, strict=True)]
    return Room(checks=tuple(checks), worst_m=tuple(worst_m))


def _nearest(room: list[float], at_worst: list[float], start: int, end: int) -> int:
    """The row of a group that says most: the shortest as entered, or the shortest at worst where none is short."""
    least = min(room[start:end])
    told = room if not least >= 0.0 else at_worst
    return start + told[start:end].index(min(told[start:end]))


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
        Whether what stands round the truck counts; without it truck, rig and floor do.
    """
    shape = shape_of(numbers)
    count, figures = math.prod(shape), map_numbers(numbers, lambda number: flat(number, shape))
    straight = walk(job, figures)
    sag_m = place_bent(job, figures).tip_m - straight.tip_m
    gaps = room_rows.gaps_of(job, pose, straight, count, sag_m, at_place=at_place)
    rows, starts = gaps.of.rows, gaps.of.starts.tolist()
    names = tuple(f"{rows[start].part}: {rows[start].kind}" for start in starts)
    best, worst = (_most(gaps, values, count).reshape(-1, *shape) for values in (gaps.gap, gaps.worst))
    return Uses(names, best, worst)


def _most(gaps: Gaps, values: Array, count: int) -> Array:
    """Greatest use of each pair, of the poses as drawn and bent."""
    most = gaps.group_most(use_of(values, gaps.of.wanted_m[:, None]))
    return most.reshape(len(most), 2, count).max(axis=1)


def use_of(gap_m: Array, wanted_m: Array) -> Array:
    """Use of gaps: over 1 exactly where they are short; infinite where a gap is not a number."""
    use = np.maximum(1.0 + (wanted_m - gap_m) / USE_OVER_M, 0.0)
    return np.where(np.isnan(use), np.inf, use)


def _use(gap_m: float, wanted_m: float) -> float:
    return math.inf if math.isnan(gap_m) else max(1.0 + (wanted_m - gap_m) / USE_OVER_M, 0.0)


def _check(row: Row, gap_m: float, place_m: Vec) -> Check:
    words = ROOM_WORDS
    if not gap_m >= row.wanted_m:
        inside = gap_m < 0.0
        if row.unmeasured:
            words = USUAL_INSIDE_WORDS if inside else USUAL_SHORT_WORDS
        else:
            words = (UNDER_WORDS if row.met == FLOOR else INSIDE_WORDS) if inside else SHORT_WORDS
    if row.part in SEVERAL:
        for one, many in (("has", "have"), ("comes", "come"), ("runs", "run")):
            words = words.replace(f"{{the_part}} {one} ", f"{{the_part}} {many} ")
    numbers: dict[str, float | str] = {"the_part": row.called, "object": row.met}
    if row.unmeasured:
        numbers["unmeasured"] = row.unmeasured
    numbers |= {"gap": gap_m, "wanted": row.wanted_m, "over": -gap_m}
    return Check(
        of="room",
        part=row.part,
        kind=row.kind,
        place_m=place_m,
        demand=row.wanted_m,
        allowed=gap_m,
        unit="m",
        use=_use(gap_m, row.wanted_m),
        allowed_load_kg=math.inf if gap_m >= row.wanted_m else 0.0,
        words=words,
        numbers=numbers,
        source=SOURCE,
        leaves_unproven=bool(row.unmeasured),
    )
