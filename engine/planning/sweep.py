"""The one place through which planning asks what is allowed: of many poses at once, or of every pose in between.

Planning never reads a single check's formula.  It puts in figures (floats, arrays, or intervals) and gets, pose by
pose, the greatest use in the worst case, the smallest allowed load, and the names of both limits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, Literal, Protocol

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Indices
from engine.base.interval import upper
from engine.limits import room
from engine.limits.all_limits import find_checks_at_thin_end
from engine.rig.check import Problem, Side, stacked
from engine.rig.deflection import with_bending
from engine.rig.figure_vector import map_numbers, shape_of
from engine.rig.kinematics import Figures
from engine.schema.model import Job, Pose
from engine.worst_case.corner_rules import HUNG, worse_side
from engine.worst_case.evaluator import evaluator_of
from engine.worst_case.uncertain_inputs import Entry
from engine.worst_case.uncertainty_box import stops_of
from engine.worst_case.verdict import State, Verdict, evaluate
from engine.worst_case.worst_case import worst_values

BLOCK = 8192
"""Poses evaluated at once: enough to hide the cost of each array operation, few enough to stop soon."""

SLOW_BLOCK = 256
"""The same where a pose takes up to a millisecond: room, whose arrays would fall out of the cache, and worst case."""

Stop = Callable[[], bool]
"""Asked between blocks; long work ends early when it answers true."""


class Tell(Protocol):
    """Told from 0 to 1 how much of long work is done."""

    def __call__(self, share: float, trying: str = "", /) -> None:
        """Take the share and, in a few words, what is tried now; without words it is still the same."""
        ...


SoFar = Callable[[Any], None]
"""Handed all that long work has found, each time that something is added."""


class Stopped(Exception):
    """Long work was asked to stop before it had a result."""


def never() -> bool:
    """The default ``Stop``: carry on."""
    return False


def quiet(_share: float, _trying: str = "", /) -> None:
    """The default ``Tell``: nobody listens."""


def unheard(_: object) -> None:
    """The default ``SoFar``: nobody looks before the end."""


class Limits(msgspec.Struct, kw_only=True, frozen=True):
    """Limits pose by pose (...).

    ``use`` is the greatest use and ``worst`` the index of its check in ``names``; ``allowed_kg`` is the smallest
    allowed load (never negative) and ``governing`` the index of its check.  What is not a number counts as an infinite
    use and as nothing allowed.
    """

    names: tuple[str, ...]
    use: Array
    worst: Indices
    allowed_kg: Array
    governing: Indices


class SideUses(msgspec.Struct, kw_only=True, frozen=True):
    """The most used limit of the rig, or of the truck, pose by pose (...).

    ``use`` is its use in the worst case, infinite where that is not a number; ``as_entered`` the use of the same limit
    with values as entered, as in the verdict's bars; ``rules`` the limit's name.
    """

    side: Side
    use: Array
    as_entered: Array
    rules: NDArray[np.str_]


Around = Literal["place", "floor", "nothing"]
"""What room is asked for besides the limits: at this place, over the floor alone, or none."""


def limits_over(job: Job, pose: Pose, numbers: Figures, around: Around = "place") -> Limits:
    """Greatest use and smallest allowed load in the worst case, for one pose or arrays of poses.

    Parameters
    ----------
    job : Job
    pose : Pose
        Says which floor the poses stand on and whether the hook is loaded.
    numbers : Figures
        Values as entered, floats or arrays that broadcast to the poses' shape (...).
    around : Around
        Where room is short nothing is allowed.
    """
    values = worst_values(job, pose, numbers)
    uses = np.where(np.isnan(values.use), np.inf, values.use)
    worst = uses.argmax(axis=0)
    limits = Limits(
        names=evaluator_of(job, numbers).names(job, numbers),
        use=np.take_along_axis(uses, worst[None], axis=0)[0],
        worst=worst,
        allowed_kg=np.maximum(values.allowed_kg, 0.0),
        governing=values.governing,
    )
    if around == "nothing":
        return limits
    uses_of_room = room.uses_over(job, pose, numbers, at_place=around == "place")
    return _with_room(limits, uses_of_room.names, uses_of_room.worst)


def best_over(job: Job, pose: Pose, numbers: Figures, around: Around = "place") -> Limits:
    """As ``limits_over`` with values as entered: for choosing among stances, never for a verdict."""
    extremes = evaluator_of(job, numbers).extremes(job, numbers, shape_of(numbers))
    limits = Limits(
        names=evaluator_of(job, numbers).names(job, numbers),
        use=extremes.use,
        worst=extremes.worst,
        allowed_kg=np.maximum(extremes.allowed_load_kg, 0.0),
        governing=extremes.governing,
    )
    if around == "nothing":
        return limits
    uses_of_room = room.uses_over(job, pose, numbers, at_place=around == "place")
    return _with_room(limits, uses_of_room.names, uses_of_room.best)


def sides_over(job: Job, pose: Pose, numbers: Figures) -> tuple[SideUses, SideUses]:
    """The most used limit of rig and truck in the worst case, for one pose or arrays of poses; room is left out.

    Parameters
    ----------
    job : Job
    pose : Pose
        Says which floor the poses stand on and whether the hook is loaded.
    numbers : Figures
        Values as entered, floats or arrays that broadcast to the poses' shape (...).

    Returns
    -------
    tuple of SideUses
        Rig, truck.  The maker's approval stands on the truck's side (`Check.side`).
    """
    evaluator = evaluator_of(job, numbers)
    worst = worst_values(job, pose, numbers).use
    worst = np.where(np.isnan(worst), np.inf, worst)
    entered = evaluator.nominal(job, numbers, shape_of(numbers)).use
    names, sides = np.array(evaluator.names(job, numbers)), np.array(evaluator.sides(job, numbers))

    def most_used(side: Side) -> SideUses:
        of_side = np.flatnonzero(sides == side)
        most = of_side[worst[of_side].argmax(axis=0)]
        use, as_entered = (np.take_along_axis(uses, most[None], axis=0)[0] for uses in (worst, entered))
        return SideUses(side=side, use=use, as_entered=as_entered, rules=names[most])

    return most_used("rig"), most_used("truck")


def room_over(job: Job, pose: Pose, numbers: Figures) -> Array:
    """Greatest use of room in the worst case, for one pose or arrays of poses (...): over 1 where a gap is short."""
    return room.uses_over(job, pose, numbers).worst.max(axis=0, initial=0.0)


def _with_room(limits: Limits, names: tuple[str, ...], uses: Array) -> Limits:
    """The limits with the shortest gap among them where it is short; there it governs, and nothing is allowed."""
    if not names:
        return limits
    pair = uses.argmax(axis=0)
    use = np.take_along_axis(uses, pair[None], axis=0)[0]
    short, place = use > 1.0, len(limits.names) + pair
    return Limits(
        names=(*limits.names, *names),
        use=np.where(short, np.maximum(use, limits.use), limits.use),
        worst=np.where(short, place, limits.worst),
        allowed_kg=np.where(short, 0.0, limits.allowed_kg),
        governing=np.where(short, place, limits.governing),
    )


def limits_in_blocks(
    evaluate: Callable[[Figures], Limits],
    numbers: Figures,
    count: int,
    stop: Stop = never,
    tell: Tell = quiet,
    at_once: int = BLOCK,
) -> Limits:
    """Limits of ``count`` poses in a row, block by block.

    Parameters
    ----------
    evaluate : callable
        ``limits_over`` or ``best_over`` with the job put in.
    numbers : Figures
        Each field a float or an array of shape (count,).
    at_once : int
        Poses in a block.

    Raises
    ------
    Stopped
        When ``stop`` answers true between two blocks.
    """
    blocks: list[Limits] = []
    lengths: list[int] = []
    for start in range(0, count, at_once):
        if stop():
            raise Stopped
        end = min(start + at_once, count)
        blocks.append(evaluate(cut(numbers, slice(start, end))))
        lengths.append(end - start)
        tell(end / count)
    if not blocks:
        none = np.zeros(0, np.intp)
        return Limits(names=(), use=np.zeros(0), worst=none, allowed_kg=np.zeros(0), governing=none)

    def joined(parts: Sequence[NDArray[Any]]) -> NDArray[Any]:
        return np.concatenate([np.broadcast_to(part, (length,)) for part, length in zip(parts, lengths, strict=True)])

    return Limits(
        names=blocks[0].names,
        use=joined([block.use for block in blocks]),
        worst=joined([block.worst for block in blocks]),
        allowed_kg=joined([block.allowed_kg for block in blocks]),
        governing=joined([block.governing for block in blocks]),
    )


def cut(numbers: Figures, part: slice) -> Figures:
    """The figures of some poses out of many; what is the same for all stays as it is."""
    return map_numbers(
        numbers, lambda number: number[part] if isinstance(number, np.ndarray) and number.ndim else number
    )


def upper_use(job: Job, numbers: Figures) -> Array:
    """A use that no pose inside the intervals in ``numbers`` exceeds (...)."""
    return np.max(
        np.stack(np.broadcast_arrays(*(upper(check.use) for check in find_checks_at_thin_end(job, numbers)))), axis=0
    )


def corners_over(job: Job, entries: tuple[Entry, ...], numbers: Figures) -> Array:
    """Corners of the box of all uncertain entries in which each limit may be worst, over some poses.

    As in ``engine.worst_case.corner_search``: each entry alone at its least and most says which side is worse for each
    limit, and what hangs on the hook is tried on both sides.  The variants with one entry alone are corners too.

    Parameters
    ----------
    entries : tuple of Entry
    numbers : Figures
        Values as entered, each field a float or an array of shape (poses,).

    Returns
    -------
    Array
        Shape (corners, entries): -1 with an entry at its least, 1 at its most, 0 as entered.
    """
    count = len(entries)
    if not entries:
        return np.zeros((1, 0))
    single = np.eye(count)
    alone = np.concatenate([np.zeros((1, count)), -single, single])
    checks = find_checks_at_thin_end(job, at_corners(job, entries, alone[:, None, :], numbers))
    demand, allowed = stacked([check.demand for check in checks]), stacked([check.allowed for check in checks])
    demand, allowed = (values.reshape(len(checks), len(alone), -1) for values in (demand, allowed))
    size = np.abs(demand[:, :1]) + np.abs(allowed[:, :1])
    with np.errstate(invalid="ignore"):
        excess = demand - allowed
        low, high = excess[:, 1 : 1 + count], excess[:, 1 + count :]
        sides = np.asarray(worse_side(excess[:, :1], low, high, size).side)
    sides = sides.transpose(0, 2, 1).reshape(-1, count)
    flipped = sides * np.where([entry.field in HUNG for entry in entries], -1.0, 1.0)
    return np.unique(np.concatenate([alone, sides, flipped]), axis=0)


def at_corners(job: Job, entries: tuple[Entry, ...], sides: Array, numbers: Figures) -> Figures:
    """The figures with each uncertain entry at a side of its band, none past its stops.

    Parameters
    ----------
    entries : tuple of Entry
    sides : Array
        Shape (..., entries) of -1, 0, 1.
    numbers : Figures
        Values as entered, each field a float, an array that broadcasts with (...), or an interval of such.
    """
    numbers = with_bending(job, numbers)  # as entered: how far the bending may be off is an entry of its own
    changed: dict[str, Any] = {}
    for index, entry in enumerate(entries):
        side = sides[..., index]
        off = np.where(side > 0, entry.up, np.where(side < 0, -entry.down, 0.0))
        stops = stops_of(job, entry.field, entry.index)
        if entry.index is None:
            changed[entry.field] = np.clip(getattr(numbers, entry.field) + off, *stops)
        else:
            parts = list(changed.get(entry.field, getattr(numbers, entry.field)))
            off_by = parts[entry.index] + off
            parts[entry.index] = np.clip(off_by, *stops) if math.isfinite(stops[0]) else off_by
            changed[entry.field] = tuple(parts)
    return msgspec.structs.replace(numbers, **changed)


# ---------------------------------------------------------------- one pose


class Judged(msgspec.Struct, kw_only=True, frozen=True):
    """One pose and the limits: problems that refuse it, else its worst-case use, allowed load and governing limit."""

    state: State
    problems: tuple[Problem, ...]
    use: float
    allowed_kg: float
    worst: str
    governing: str

    @property
    def within(self) -> bool:
        """No problem, and every use a number of at most 1 in the worst case."""
        return self.state == "WITHIN"


def judge(job: Job, pose: Pose) -> Judged:
    """The verdict on one pose in few figures; a refused pose is allowed nothing."""
    return in_few_figures(evaluate(job, pose))


def in_few_figures(verdict: Verdict) -> Judged:
    """A verdict in the few figures that planning compares."""
    if verdict.worst_case is None or verdict.governing is None or verdict.allowed_load_kg is None:
        return Judged(
            state=verdict.state, problems=verdict.problems, use=np.inf, allowed_kg=0.0, worst="", governing=""
        )
    # Room that is wide enough is no part of how near a pose is to its limits.
    uses = [(check, use) for check, use in verdict.worst_uses if check.of != "room" or not use <= 1.0]
    worst, use = max(uses, key=lambda pair: pair[1])
    return Judged(
        state=verdict.state,
        problems=(),
        use=use,
        allowed_kg=verdict.allowed_load_kg,
        worst=worst.name,
        governing=verdict.governing.name,
    )
