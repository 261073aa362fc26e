"""What one size up and one size down of a part would allow in a pose, each judged by a whole verdict.

The sizes are those that tube, bar, plate, welds and gear come in (`engine.planning.part_ladders.sold_sizes`).  Each is
put in alone, with what goes with it (a pin's hole, the weight of a tube); everything else stays as entered.
"""

from __future__ import annotations

import msgspec

from engine.planning.part_ladders import Size, sold_sizes, with_size
from engine.planning.sweep import SoFar, Stop, Stopped, Tell, never, quiet, unheard
from engine.rig.check import Problem
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import State, evaluate

SIZES_AT_MOST = 6
"""Sizes of a part that are looked at, those of the most steel first."""


class OtherSize(msgspec.Struct, kw_only=True, frozen=True):
    """One size in place of another, and the verdict on the pose with it.

    ``allowed_kg`` and ``limit`` are the allowed load and what gives first; without a verdict they are None and empty,
    and ``problem`` says why, unless such a part cannot be made at all.
    """

    size: Size
    state: State
    allowed_kg: float | None = None
    limit: str = ""
    problem: Problem | None = None


class Neighbours(msgspec.Struct, kw_only=True, frozen=True):
    """The entry's path, its size now, and the next sizes; None where there is no smaller or no larger one."""

    path: str
    was: Size
    smaller: OtherSize | None
    larger: OtherSize | None


def neighbour_sizes(
    job: Job,
    pose: Pose,
    roots: tuple[str, ...],
    *,
    stop: Stop = never,
    tell: Tell = quiet,
    so_far: SoFar = unheard,
) -> tuple[Neighbours, ...]:
    """The next sizes of the parts under some paths, each with its verdict.

    Parameters
    ----------
    job : Job
    pose : Pose
    roots : tuple of str
        Paths of parts, such as ``rig.boom``.
    stop, tell
        Called before each verdict.
    so_far
        Handed the sizes that are done, after each but the last.

    Returns
    -------
    tuple of Neighbours
        At most `SIZES_AT_MOST`.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    sizes = sold_sizes(job, roots)[:SIZES_AT_MOST]
    found: list[Neighbours] = []
    for number, each in enumerate(sizes):
        judged: list[OtherSize | None] = []
        for half, size in enumerate((each.smaller, each.larger)):
            if stop():
                raise Stopped
            tell((number + 0.5 * half) / len(sizes))
            judged.append(None if size is None else _judged(job, pose, each.path, size))
        found.append(Neighbours(path=each.path, was=each.was, smaller=judged[0], larger=judged[1]))
        if number + 1 < len(sizes):
            so_far(tuple(found))
    tell(1.0)
    return tuple(found)


def _judged(job: Job, pose: Pose, path: str, size: Size) -> OtherSize:
    made = with_size(job, path, size)
    if made is None:
        return OtherSize(size=size, state="REFUSED")
    verdict = evaluate(made, pose)
    governing = verdict.governing
    return OtherSize(
        size=size,
        state=verdict.state,
        allowed_kg=verdict.allowed_load_kg,
        limit="" if governing is None else governing.name,
        problem=verdict.problems[0] if verdict.problems else None,
    )
