"""The one seam through which planning asks what is allowed: many poses at once, or every pose in between.

Planning never looks at a single check's formula.  It puts figures in (floats, arrays, or intervals) and gets back, pose
by pose, the greatest use in the worst case, the smallest allowed load, and the names of what is behind each.
"""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array
from engine.base.interval import upper
from engine.limits.all_limits import find_checks
from engine.rig.check import Problem, stacked
from engine.rig.deflection import with_bending
from engine.rig.feasibility import boom_limits_m
from engine.rig.figure_vector import shape_of
from engine.rig.kinematics import Figures
from engine.schema.model import Job, Pose
from engine.worst_case.evaluator import evaluator_of
from engine.worst_case.verdict import State, evaluate
from engine.worst_case.worst_case import Entry, worst_values

BLOCK = 8192
"""Poses evaluated at once: enough to hide the cost of each array operation, little enough to stop soon."""

Stop = Callable[[], bool]
"""Asked between blocks; long work ends early when it answers true."""

Tell = Callable[[float], None]
"""Told from 0 to 1 how far long work has come."""


class Stopped(Exception):
    """Long work was asked to stop before it had a result."""


def never() -> bool:
    """The default ``Stop``: carry on."""
    return False


def quiet(_: float) -> None:
    """The default ``Tell``: nobody listens."""


class Limits(msgspec.Struct, kw_only=True, frozen=True):
    """Limits pose by pose (...).

    ``use`` is the greatest use and ``worst`` the index of its check in ``names``; ``allowed_kg`` is the smallest
    allowed load (never negative) and ``governing`` the index of its check.  What is not a number counts as an infinite
    use and as nothing allowed.
    """

    names: tuple[str, ...]
    use: Array
    worst: NDArray[np.intp]
    allowed_kg: Array
    governing: NDArray[np.intp]


def limits_over(job: Job, pose: Pose, numbers: Figures) -> Limits:
    """Greatest use and smallest allowed load in the worst case, for one pose or arrays of poses.

    Parameters
    ----------
    job : Job
    pose : Pose
        Says which floor the poses stand on and whether the hook is loaded.
    numbers : Figures
        Best values, floats or arrays that broadcast to the poses' shape (...).
    """
    found = worst_values(job, pose, numbers)
    uses = np.where(np.isnan(found.use), np.inf, found.use)
    worst = uses.argmax(axis=0)
    return Limits(
        names=evaluator_of(job, numbers).names(job, numbers),
        use=np.take_along_axis(uses, worst[None], axis=0)[0],
        worst=worst,
        allowed_kg=np.maximum(found.allowed_kg, 0.0),
        governing=found.governing,
    )


def best_over(job: Job, numbers: Figures) -> Limits:
    """As ``limits_over`` with every entry at its best value: for choosing among stances, never for a verdict."""
    found = evaluator_of(job, numbers).extremes(job, numbers, shape_of(numbers))
    return Limits(
        names=evaluator_of(job, numbers).names(job, numbers),
        use=found.use,
        worst=found.worst,
        allowed_kg=np.maximum(found.allowed_load_kg, 0.0),
        governing=found.governing,
    )


def limits_in_blocks(
    evaluate: Callable[[Figures], Limits], numbers: Figures, count: int, stop: Stop = never, tell: Tell = quiet
) -> Limits:
    """Limits of ``count`` poses in a row, block by block.

    Parameters
    ----------
    evaluate : callable
        ``limits_over`` or ``best_over`` with the job put in.
    numbers : Figures
        Each field a float or an array of shape (count,).

    Raises
    ------
    Stopped
        When ``stop`` answers true between two blocks.
    """
    found, lengths = [], []
    for start in range(0, count, BLOCK):
        if stop():
            raise Stopped
        end = min(start + BLOCK, count)
        found.append(evaluate(cut(numbers, slice(start, end))))
        lengths.append(end - start)
        tell(end / count)
    if not found:
        none = np.zeros(0, np.intp)
        return Limits(names=(), use=np.zeros(0), worst=none, allowed_kg=np.zeros(0), governing=none)

    def joined(name: str) -> Array:
        parts = zip((getattr(part, name) for part in found), lengths, strict=True)
        return np.concatenate([np.broadcast_to(part, (length,)) for part, length in parts])

    return Limits(names=found[0].names, **{name: joined(name) for name in ("use", "worst", "allowed_kg", "governing")})


def cut(numbers: Figures, part: slice) -> Figures:
    """The figures of some poses out of many; what is the same for all stays as it is."""

    def one(value: object) -> object:
        if isinstance(value, tuple):
            return tuple(one(entry) for entry in value)
        return value[part] if isinstance(value, np.ndarray) and value.ndim else value

    return Figures(**{name: one(getattr(numbers, name)) for name in Figures.__struct_fields__})


def upper_use(job: Job, numbers: Figures) -> Array:
    """A use that no pose inside the intervals in ``numbers`` exceeds (...)."""
    return np.max(np.stack(np.broadcast_arrays(*(upper(check.use) for check in find_checks(job, numbers)))), axis=0)


def corners_over(job: Job, entries: tuple[Entry, ...], numbers: Figures) -> Array:
    """Corners of the box of all uncertain entries in which each limit may be worst, over some poses.

    As in ``engine.worst_case.worst_case``: each entry alone at its least and most says which side is worse for each limit; what hangs on
    the hook is looked at on both sides.  The variants with one entry alone are corners too.

    Parameters
    ----------
    entries : tuple of Entry
    numbers : Figures
        Best values, each field a float or an array of shape (poses,).

    Returns
    -------
    Array
        Shape (corners, entries): -1 with an entry at its least, 1 at its most, 0 at best.
    """
    if not entries:
        return np.zeros((1, 0))
    each = np.eye(len(entries))
    alone = np.concatenate([np.zeros((1, len(entries))), -each, each])
    checks = find_checks(job, at_corners(job, entries, alone[:, None, :], numbers))
    excess = stacked([check.demand - check.allowed for check in checks])
    excess = np.where(np.isnan(excess), np.inf, excess).reshape(len(checks), len(alone), -1)
    with np.errstate(invalid="ignore"):
        effect = np.nan_to_num(excess[:, 1:] - excess[:, :1], nan=0.0)
    low, high = effect[:, : len(entries)], effect[:, len(entries) :]
    sides = np.where((low < 0.0) & (high < 0.0), 0.0, np.where(high >= low, 1.0, -1.0))
    sides = sides.transpose(0, 2, 1).reshape(-1, len(entries))
    flipped = sides * np.where([entry.field in ("load_kg", "rigging_kg") for entry in entries], -1.0, 1.0)
    return np.unique(np.concatenate([alone, sides, flipped]), axis=0)


def at_corners(job: Job, entries: tuple[Entry, ...], sides: Array, numbers: Figures) -> Figures:
    """The figures with each uncertain entry at a side of its band, no pose's own entry past its stops.

    Parameters
    ----------
    entries : tuple of Entry
    sides : Array
        Shape (..., entries) of -1, 0, 1.
    numbers : Figures
        Best values, each field a float, an array that broadcasts with (...), or an interval of such.
    """
    numbers = with_bending(job, numbers)  # at best values: the entries' own doubt is in its band
    fields = {name: getattr(numbers, name) for name in Figures.__struct_fields__}
    for index, entry in enumerate(entries):
        side = sides[..., index]
        off = np.where(side > 0, entry.up, np.where(side < 0, -entry.down, 0.0))
        if entry.index is None:
            fields[entry.field] = np.clip(fields[entry.field] + off, *_stops(job, entry.field))
        else:
            parts = list(fields[entry.field])
            parts[entry.index] = parts[entry.index] + off
            fields[entry.field] = tuple(parts)
    return Figures(**fields)


def _stops(job: Job, field: str) -> tuple[float, float]:
    """What no doubt about a pose can pass: the truck's own stops, the boom in both saddles."""
    upright = job.truck.upright
    match field:
        case "lift_m":
            return upright.lift_min_m, upright.lift_max_m
        case "tilt_rad":
            return -upright.tilt_forward_max_rad, upright.tilt_back_max_rad
        case "boom_out_m":
            return boom_limits_m(job)
        case _:
            return -np.inf, np.inf


# ---------------------------------------------------------------- one pose


class Judged(msgspec.Struct, kw_only=True, frozen=True):
    """One pose held against the limits: problems that refuse it, else its worst-case use, allowed load, what governs."""

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
    """The verdict on one pose in few words; a refused pose is allowed nothing."""
    verdict = evaluate(job, pose)
    if verdict.worst_case is None or verdict.governing is None:
        return Judged(
            state=verdict.state, problems=verdict.problems, use=np.inf, allowed_kg=0.0, worst="", governing=""
        )
    worst = verdict.checks[verdict.worst_case.worst_index]
    use = verdict.worst_case.use[verdict.worst_case.worst_index]
    return Judged(
        state=verdict.state,
        problems=(),
        use=np.inf if np.isnan(use) else use,
        allowed_kg=float(verdict.allowed_load_kg),
        worst=worst.name,
        governing=verdict.governing.name,
    )
