"""Make it pass: the smallest changes of parts that bring a pose within its limits, each judged by a full verdict.

A part is cured by the next size on its ladder (`engine.planning.part_ladders`) that does.  One part alone is tried
first; where no one part does, up to four together.  No rule says which part cures which limit: the next size of every
part is tried with values as entered, which takes some milliseconds, and those that lower what is over are followed up.
What the worst case adds to each limit is taken from the pose as it stands until the end; then the whole verdict is
asked, and it alone decides.

What a part cures is the rig's own.  Where the truck itself is over (it tips, its plate, its forks) no part of the rig
cures it, and that is said.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

import msgspec

from engine.limits.all_limits import find_checks
from engine.planning.part_ladders import Ladder, Size, Tier, ladders, with_size
from engine.planning.stock_rigs import weight_kg
from engine.planning.sweep import SoFar, Stop, Stopped, Tell, never, quiet, unheard
from engine.rig.check import Check
from engine.rig.deflection import with_bending
from engine.rig.feasibility import impossibilities
from engine.rig.kinematics import figures
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict, evaluate

PARTS_AT_MOST = 4
"""Parts changed together at most: a rig that needs more is another rig."""

NEAR = 0.12
"""How far from the truth the use foreseen for another size may be before the whole verdict is asked."""

HELPS = 1e-4
"""Use by which a size must lower a limit to count as a help."""

WAYS = 2
"""Parts that are followed up for each limit that is over, those with the least work first."""

CURES_AT_MOST = 12


class PartStep(msgspec.Struct, kw_only=True, frozen=True):
    """One part at another size: the entry's path, what it takes, its size before and after."""

    path: str
    tier: Tier
    kind: str
    was: Size
    now: Size


class Cure(msgspec.Struct, kw_only=True, frozen=True):
    """Changes of parts that bring every pose asked about within its limits.

    Attributes
    ----------
    steps : tuple of PartStep
    job : Job
        The job with all of them.
    added_kg : float
        What they add to the rig's weight.
    allowed_kg, before_kg : float
        Allowed load of the first pose with them and before.
    next_limit : str
        The limit that governs then.
    next_use : float
        Its use in the worst case.
    """

    steps: tuple[PartStep, ...]
    job: Job
    added_kg: float
    allowed_kg: float
    before_kg: float
    next_limit: str
    next_use: float

    @property
    def cost(self) -> tuple[int, int, int, float]:
        """What is less work: fewer parts, no welding before welding before a new tube, then the lighter."""
        tiers = [step.tier for step in self.steps]
        return len(self.steps), max(tiers), sum(tiers), self.added_kg


class Mending(msgspec.Struct, kw_only=True, frozen=True):
    """Cures, least work first; or the limits over that no part of the rig cures, or why else there is none."""

    cures: tuple[Cure, ...]
    not_the_rig: tuple[str, ...] = ()
    why_not: str = ""


NOTHING_OVER = "This pose is within its limits."
NOT_JUDGED = "There is no verdict yet: enter what is missing first."
NOT_ENTERED = "A part is not entered or an entry is in question: put that right first."
IN_THE_WAY = "Something is in the way: no size of a part cures that."
NONE_FOUND = f"No change of up to {PARTS_AT_MOST} parts of this rig brings it within its limits."


def mend(job: Job, poses: Sequence[Pose], stop: Stop = never, tell: Tell = quiet, so_far: SoFar = unheard) -> Mending:
    """The smallest changes of parts that bring every one of these poses within its limits.

    Parameters
    ----------
    job : Job
    poses : sequence of Pose
        One, or all that must hold with the same rig.
    stop, tell
        Called between two tries.
    so_far
        Handed the cures found, a tuple of `Cure`, after each.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    verdicts = [evaluate(job, pose) for pose in poses]
    blocked = _blocked(verdicts)
    if blocked is not None:
        return blocked
    search = _Search(job, poses, verdicts, stop, tell)
    found: list[Cure] = []
    for cure in search.cures():
        found.append(cure)
        so_far(tuple(sorted(found, key=lambda one: one.cost)))
    cures = tuple(sorted(found, key=lambda one: one.cost)[:CURES_AT_MOST])
    return Mending(cures=cures, why_not="" if cures else NONE_FOUND)


def _blocked(verdicts: Sequence[Verdict]) -> Mending | None:
    """Why no part of the rig cures it, or why nothing is to be cured."""
    if any(verdict.worst_case is None for verdict in verdicts):
        return Mending(cures=(), why_not=NOT_JUDGED)
    over = [check for verdict in verdicts for check, use in verdict.worst_uses if not use <= 1.0]
    if any(not verdict.proven for verdict in verdicts):
        return Mending(cures=(), why_not=NOT_ENTERED)
    if any(check.of == "room" for check in over):
        return Mending(cures=(), why_not=IN_THE_WAY)
    if not over:
        return Mending(cures=(), why_not=NOTHING_OVER)
    others = tuple(dict.fromkeys(check.name for check in over if check.of != "rig"))
    return Mending(cures=(), not_the_rig=others) if others else None


# ---------------------------------------------------------------- the search


class _Tried(NamedTuple):
    """A job with some parts changed, and the uses foreseen of every limit in every pose, by pose and name."""

    job: Job
    uses: dict[tuple[int, str], float]

    def over(self, margin: float = 0.0) -> list[tuple[int, str]]:
        """Limits that are over, the most used first."""
        found = [(limit, use) for limit, use in self.uses.items() if not use <= 1.0 + margin]
        return [limit for limit, _ in sorted(found, key=lambda pair: -pair[1] if pair[1] == pair[1] else -math.inf)]


class _Search:
    """The search for one job and its poses."""

    def __init__(self, job: Job, poses: Sequence[Pose], verdicts: Sequence[Verdict], stop: Stop, tell: Tell) -> None:
        self._job, self._poses, self._stop, self._tell = job, tuple(poses), stop, tell
        self._weight_kg = weight_kg(job)
        self._before_kg = verdicts[0].allowed_load_kg or 0.0
        self._more: dict[tuple[int, str], float] = {}
        for at, verdict in enumerate(verdicts):
            for check, use in verdict.worst_uses:
                nominal = float(check.use)
                self._more[at, check.name] = use / nominal if nominal > 0.0 and math.isfinite(use) else 1.0
        self._now = _Tried(job, self._uses(job) or {})
        self._ladders = ladders(job)
        self._first: dict[str, _Tried] = {}
        """The least possible change of each ladder, by its path."""
        self._judged: dict[frozenset[tuple[str, str]], Cure | None] = {}

    def cures(self) -> Iterator[Cure]:
        """One part alone, every way there is; where there is none, several together."""
        over = self._now.over(-NEAR)
        over = [limit for limit in over if self._now.uses[limit] > 1.0] or over[:1]
        alone = False
        helping = list(self._that_help(over))
        for number, ladder in enumerate(helping):
            self._tell(0.5 + 0.5 * number / len(helping))
            cure = self._alone(ladder)
            if cure is not None:
                alone = True
                yield cure
        if not alone:
            yield from self._together()

    def _that_help(self, over: list[tuple[int, str]]) -> Iterator[Ladder]:
        """Ladders whose next size lowers every limit that is over."""
        for number, ladder in enumerate(self._ladders):
            self._ask(0.5 * number / len(self._ladders))
            first = self._least(ladder)
            if first is not None and all(first.uses[limit] < self._now.uses[limit] - HELPS for limit in over):
                yield ladder

    def _least(self, ladder: Ladder) -> _Tried | None:
        """The job with the least possible change of one part."""
        if ladder.path not in self._first:
            tries = (self._tried(self._job, ladder.path, size) for size in ladder.sizes)
            found = next((tried for tried in tries if tried is not None), None)
            if found is None:
                return None
            self._first[ladder.path] = found
        return self._first[ladder.path]

    def _alone(self, ladder: Ladder) -> Cure | None:
        """The smallest size of one part that cures everything, if one does."""
        for index, size in enumerate(ladder.sizes):
            self._ask()
            tried = self._tried(self._job, ladder.path, size)
            if tried is None or tried.over(NEAR):
                continue
            cure = self._verified(tried.job, (_step(ladder, size),))
            if cure is None:
                continue
            for smaller in reversed(ladder.sizes[:index]):
                made = with_size(self._job, ladder.path, smaller)
                less = None if made is None else self._verified(made, (_step(ladder, smaller),))
                if less is None:
                    break
                cure = less
            return cure
        return None

    # -------------------------------------------------------- several parts

    def _together(self) -> Iterator[Cure]:
        """Up to four parts: for the limit that is most over, the parts that mend it with least work, and so on."""
        found: list[Cure] = []
        seen: set[frozenset[tuple[str, str]]] = set()
        for steps in self._climb(self._now, ()):
            parts = _key((step.path, step.now) for step in steps)
            if parts in seen:
                continue
            seen.add(parts)
            cure = self._trimmed(steps)
            if cure is not None and not any(_same(cure, other) for other in found):
                found.append(cure)
                yield cure

    def _climb(self, at: _Tried, steps: tuple[PartStep, ...]) -> Iterator[tuple[PartStep, ...]]:
        over = at.over()
        if not over:
            yield steps
            return
        if len(steps) == PARTS_AT_MOST:
            return
        limit = over[0]
        whole: list[tuple[tuple[float, ...], _Tried, PartStep]] = []
        in_part: list[tuple[tuple[float, ...], _Tried, PartStep]] = []
        for ladder in self._ladders:
            first = self._least(ladder)
            changed = any(step.path == ladder.path for step in steps)
            if first is None or changed or not first.uses[limit] < self._now.uses[limit] - HELPS:
                continue
            found = self._on(ladder, at, limit)
            if found is not None:
                tried, step = found
                more_kg = weight_kg(tried.job) - weight_kg(at.job)
                if tried.uses[limit] <= 1.0:
                    whole.append(((ladder.tier, more_kg), tried, step))
                else:
                    in_part.append(((tried.uses[limit], ladder.tier, more_kg), tried, step))
        for _, tried, step in sorted(whole or in_part, key=lambda way: way[0])[:WAYS]:
            yield from self._climb(tried, (*steps, step))

    def _on(self, ladder: Ladder, at: _Tried, limit: tuple[int, str]) -> tuple[_Tried, PartStep] | None:
        """The smallest size that mends a limit, or the one that lowers it most."""
        best: tuple[_Tried, PartStep] | None = None
        for size in ladder.sizes:
            self._ask()
            tried = self._tried(at.job, ladder.path, size)
            if tried is not None and tried.uses[limit] < (at if best is None else best[0]).uses[limit]:
                best = tried, _step(ladder, size)
                if tried.uses[limit] <= 1.0:
                    break
        return best

    def _trimmed(self, steps: tuple[PartStep, ...]) -> Cure | None:
        """The cure with each part as small as it may be beside the others."""
        sizes = {step.path: step.now for step in steps}
        cure = self._grown(sizes)
        if cure is None:
            return None
        for path in list(sizes):
            ladder = next(ladder for ladder in self._ladders if ladder.path == path)
            less: list[Size | None] = [None, *ladder.sizes[: ladder.sizes.index(sizes[path])]]
            for size in reversed(less):
                self._ask()
                tried = {**sizes, path: size} if size is not None else {p: s for p, s in sizes.items() if p != path}
                smaller = self._with(tried)
                if smaller is None:
                    break
                sizes, cure = tried, smaller
        return cure

    def _grown(self, sizes: dict[str, Size]) -> Cure | None:
        """The cure with these sizes; where the verdict is not there yet, with the next of the part that helps most."""
        for _ in range(PARTS_AT_MOST):
            cure = self._with(sizes)
            if cure is not None:
                return cure
            made = self._made(sizes)
            if made is None:
                return None
            over = _over_in(made, self._poses)
            if not over:
                return None
            best: tuple[float, str, Size] | None = None
            for path, size in sizes.items():
                ladder = next(ladder for ladder in self._ladders if ladder.path == path)
                larger = ladder.sizes[ladder.sizes.index(size) + 1 :][:1]
                tried = self._tried(made, path, larger[0]) if larger else None
                if tried is not None:
                    use = max(tried.uses.get(limit, math.inf) for limit in over)
                    best = min(best or (math.inf, "", 0.0), (use, path, larger[0]), key=lambda one: one[0])
            if best is None or not math.isfinite(best[0]):
                return None
            sizes[best[1]] = best[2]
        return None

    def _with(self, sizes: dict[str, Size]) -> Cure | None:
        key = _key(sizes.items())
        if key not in self._judged:
            self._judged[key] = self._judged_now(sizes)
        return self._judged[key]

    def _judged_now(self, sizes: dict[str, Size]) -> Cure | None:
        made = self._made(sizes)
        steps = (
            _step(next(ladder for ladder in self._ladders if ladder.path == path), size) for path, size in sizes.items()
        )
        return None if made is None or not sizes else self._verified(made, tuple(steps))

    def _made(self, sizes: dict[str, Size]) -> Job | None:
        made: Job | None = self._job
        for path, size in sizes.items():
            made = None if made is None else with_size(made, path, size)
        return made

    # -------------------------------------------------------- judging

    def _ask(self, share: float | None = None) -> None:
        if self._stop():
            raise Stopped
        if share is not None:
            self._tell(share)

    def _tried(self, job: Job, path: str, size: Size) -> _Tried | None:
        """The job with one more part changed; None where there cannot be such a rig."""
        made = with_size(job, path, size)
        uses = None if made is None else self._uses(made)
        return None if made is None or uses is None else _Tried(made, uses)

    def _uses(self, job: Job) -> dict[tuple[int, str], float] | None:
        """Uses foreseen: as entered, times what the worst case adds in the pose as it stands."""
        found: dict[tuple[int, str], float] = {}
        for at, pose in enumerate(self._poses):
            if impossibilities(job, pose):
                return None
            for check in find_checks(job, with_bending(job, figures(job, pose))):
                found[at, check.name] = float(check.use) * self._more.get((at, check.name), 1.0)
        return found

    def _verified(self, job: Job, steps: tuple[PartStep, ...]) -> Cure | None:
        """The cure, where the whole verdict says that every pose is within its limits."""
        verdicts = [evaluate(job, pose) for pose in self._poses]
        if any(verdict.state != "WITHIN" for verdict in verdicts):
            return None
        check, use = max((_most_used(verdict) for verdict in verdicts), key=lambda pair: pair[1])
        return Cure(
            steps=steps,
            job=job,
            added_kg=weight_kg(job) - self._weight_kg,
            allowed_kg=verdicts[0].allowed_load_kg or 0.0,
            before_kg=self._before_kg,
            next_limit=check.name,
            next_use=use,
        )


def _most_used(verdict: Verdict) -> tuple[Check, float]:
    return max(((check, use) for check, use in verdict.worst_uses if check.of != "room"), key=lambda pair: pair[1])


def _over_in(job: Job, poses: Sequence[Pose]) -> list[tuple[int, str]]:
    """Limits over in the worst case."""
    return [
        (at, check.name)
        for at, pose in enumerate(poses)
        for check, use in evaluate(job, pose).worst_uses
        if not use <= 1.0
    ]


def _step(ladder: Ladder, size: Size) -> PartStep:
    return PartStep(path=ladder.path, tier=ladder.tier, kind=ladder.kind, was=ladder.was, now=size)


def _key(sizes: Iterable[tuple[str, Size]]) -> frozenset[tuple[str, str]]:
    """The same for the same parts at the same sizes, in whatever order."""
    return frozenset((path, repr(size)) for path, size in sizes)


def _same(one: Cure, other: Cure) -> bool:
    """Whether two cures change the same parts to the same sizes, in whatever order."""
    return all(step in other.steps for step in one.steps) and len(one.steps) == len(other.steps)
