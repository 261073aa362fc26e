"""The one seam through which planning asks what is allowed: many poses at once, or every pose in between.

Planning never looks at a single check's formula.  It puts figures in (floats, arrays, or intervals) and gets back, pose
by pose, the greatest use, the smallest allowed load, and the names of what is behind each.  ``checks_over`` is the one
place that says which checks those are.
"""

from __future__ import annotations

from collections.abc import Callable

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.checks import Check, Problem, stacked
from engine.geometry import Array
from engine.interval import upper
from engine.limits import find_checks, smallest_allowed
from engine.model import Job, Pose
from engine.placing import Figures, figures
from engine.verdict import find_problems

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


def checks_over(job: Job, numbers: Figures) -> list[Check]:
    """Every limit that planning holds a pose against; floats, arrays or intervals in ``numbers``."""
    return find_checks(job, numbers)


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


def limits_over(job: Job, numbers: Figures) -> Limits:
    """Greatest use and smallest allowed load for one pose or arrays of poses."""
    checks = checks_over(job, numbers)
    uses = stacked([check.use for check in checks])
    uses = np.where(np.isnan(uses), np.inf, uses)
    worst = uses.argmax(axis=0)
    allowed_kg, governing = smallest_allowed(checks)
    return Limits(
        names=tuple(f"{check.part}: {check.kind}" for check in checks),
        use=np.take_along_axis(uses, worst[None], axis=0)[0],
        worst=worst,
        allowed_kg=allowed_kg,
        governing=governing,
    )


def limits_in_blocks(job: Job, numbers: Figures, count: int, stop: Stop = never, tell: Tell = quiet) -> Limits:
    """As ``limits_over`` for ``count`` poses in a row, block by block.

    Parameters
    ----------
    numbers : Figures
        Each field a float or an array of shape (count,).

    Raises
    ------
    Stopped
        When ``stop`` answers true between two blocks.
    """
    found = []
    for start in range(0, count, BLOCK):
        if stop():
            raise Stopped
        found.append(limits_over(job, cut(numbers, slice(start, min(start + BLOCK, count)))))
        tell(min(start + BLOCK, count) / count)
    if not found:
        empty = np.zeros(0)
        return Limits(names=(), use=empty, worst=empty.astype(np.intp), allowed_kg=empty, governing=empty.astype(np.intp))
    lengths = [min(BLOCK, count - start) for start in range(0, count, BLOCK)]

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
    return np.max(np.stack(np.broadcast_arrays(*(upper(check.use) for check in checks_over(job, numbers)))), axis=0)


# ---------------------------------------------------------------- one pose


class Judged(msgspec.Struct, kw_only=True, frozen=True):
    """One pose held against the limits: problems that refuse it, else its use, allowed load and what governs."""

    problems: tuple[Problem, ...]
    use: float
    allowed_kg: float
    worst: str
    governing: str

    @property
    def within(self) -> bool:
        """No problem, and every use a number of at most 1."""
        return not self.problems and self.use <= 1.0


def judge(job: Job, pose: Pose) -> Judged:
    """Problems, greatest use and allowed load of one pose; a refused pose is allowed nothing."""
    problems = tuple(find_problems(job, pose))
    if problems:
        return Judged(problems=problems, use=np.inf, allowed_kg=0.0, worst="", governing="")
    limits = limits_over(job, figures(job, pose))
    return Judged(
        problems=(),
        use=float(limits.use),
        allowed_kg=float(limits.allowed_kg),
        worst=limits.names[int(limits.worst)],
        governing=limits.names[int(limits.governing)],
    )
