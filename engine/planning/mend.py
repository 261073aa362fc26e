"""Make it pass: the smallest changes of parts that bring a pose within its limits, each judged by a full verdict.

A part is cured by the next size on its ladder (`engine.planning.part_ladders`) that does.  One part alone is tried
first; where no one part does, up to four together; where no four do, as many as it takes.  No rule says which part
cures which limit: the next size of every part is tried where the limits are worst as the rig stands
(`engine.worst_case.foreseen`), which takes some milliseconds, and those that lower what is over are followed up.  At
the end the whole verdict is asked, and it alone decides.

What a part cures is the rig's own.  Where the truck itself is over (it tips, its plate, its forks) no part of the rig
cures it, and that is said.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

import msgspec

from engine.planning.part_ladders import Ladder, Size, Tier, ladders, with_size
from engine.planning.stock_rigs import weight_kg
from engine.planning.sweep import SoFar, Stop, Stopped, Tell, never, quiet, unheard
from engine.rig.check import Check, Problem
from engine.rig.feasibility import impossibilities
from engine.schema.model import Job, Pose
from engine.worst_case.evaluator import record_ahead
from engine.worst_case.foreseen import uses_foreseen, worst_corners
from engine.worst_case.verdict import Verdict, evaluate

PARTS_AT_MOST = 4
"""Parts changed together at most: a rig that needs more is another rig."""

MANY_AT_MOST = 16
"""Parts changed together where no four do it: more is to be known, if only to see that another rig is less work."""

NEAR = 0.12
"""How far from the truth the use foreseen for another size may be before the whole verdict is asked."""

FAR = 0.3
"""How far over a use foreseen for another size has to be for no verdict to be asked of it at all."""

HELPS = 1e-4
"""Use by which a size must lower a limit to count as a help."""

WAYS = 2
"""Parts that are followed up for each limit that is over, those with the least work first."""

CURES_AT_MOST = 12

ROUNDS = 5
"""How often a place where the cures found do not hold is added to those that must."""


def as_entered(job: Job) -> Job:
    """The job as it is."""
    return job


class Case(NamedTuple):
    """A pose that must hold.

    Attributes
    ----------
    pose : Pose
    on : callable
        What else is different there: the job it is judged on, from the job as entered (a load that swings, say).
    most : float
        How much of each limit it may use in the worst case.
    """

    pose: Pose
    on: Callable[[Job], Job] = as_entered
    most: float = 1.0


class Held(NamedTuple):
    """Whether a changed rig does all that was asked; where not, further cases that it must hold."""

    whole: bool
    more: tuple[Case, ...] = ()


def nothing_more(_job: Job) -> Held:
    """Where the cases are all that is asked."""
    return Held(whole=True)


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
        Allowed load with them and before: the least of the poses asked about.
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
    """Cures, least work first; or the limits over that no part of the rig cures, or why else there is none.

    ``left_out`` are the boom's holes that were asked about and that no part of the rig makes hold: the truck is over
    there, or something is in the way.  ``problems`` are those for which there is no verdict.
    """

    cures: tuple[Cure, ...]
    not_the_rig: tuple[str, ...] = ()
    why_not: str = ""
    left_out: tuple[int, ...] = ()
    problems: tuple[Problem, ...] = ()


NOTHING_OVER = "This pose is within its limits."
NOT_JUDGED = "There is no verdict yet: enter what is missing first."
NOT_ENTERED = "A part is not entered or an entry is in question: put that right first."
IN_THE_WAY = "Something is in the way: no size of a part cures that."
NONE_FOUND = "No change of parts of this rig brings it within its limits."


def mend(
    job: Job,
    poses: Sequence[Pose | Case],
    stop: Stop = never,
    tell: Tell = quiet,
    so_far: SoFar = unheard,
    held: Callable[[Job], Held] = nothing_more,
) -> Mending:
    """The smallest changes of parts that bring every one of these poses within its limits.

    Parameters
    ----------
    job : Job
    poses : sequence of Pose or Case
        One, or all that must hold with the same rig.
    stop, tell
        Called between two tries.
    so_far
        Handed the cures found, a tuple of `Cure`, after each.
    held
        Asked about the job of each cure before it counts.  Where no cure does all of it, the cases that it names are
        added to those that must hold, and the search begins again.

    Raises
    ------
    Stopped
        When ``stop`` answers true.
    """
    cases = [pose if isinstance(pose, Case) else Case(pose) for pose in poses]
    found: list[Cure] = []
    for _ in range(ROUNDS):
        verdicts = [evaluate(case.on(job), case.pose) for case in cases]
        blocked = _blocked(cases, verdicts)
        if blocked is not None:
            return blocked
        more: list[Case] = []
        for cure in _Search(job, cases, verdicts, stop, tell).cures():
            answer = held(cure.job)
            if answer.whole:
                found.append(cure)
                so_far(tuple(sorted(found, key=lambda one: one.cost)))
            else:
                more += [case for case in answer.more if case not in (*cases, *more)]
        if found or not more:
            break
        cases += more
    cures = tuple(sorted(found, key=lambda one: one.cost)[:CURES_AT_MOST])
    return Mending(cures=cures, why_not="" if cures else NONE_FOUND)


def _blocked(cases: Sequence[Case], verdicts: Sequence[Verdict]) -> Mending | None:
    """Why no part of the rig cures it, or why nothing is to be cured."""
    for verdict in verdicts:
        if verdict.worst_case is None:
            return Mending(cures=(), why_not=NOT_JUDGED, problems=verdict.problems)
    over = [check for case, verdict in zip(cases, verdicts, strict=True) for check in over_in(case, verdict)]
    if any(not verdict.proven for verdict in verdicts):
        return Mending(cures=(), why_not=NOT_ENTERED)
    if any(check.of == "room" for check in over):
        return Mending(cures=(), why_not=IN_THE_WAY)
    if not over:
        return Mending(cures=(), why_not=NOTHING_OVER)
    others = tuple(dict.fromkeys(check.name for check in over if check.of != "rig"))
    return Mending(cures=(), not_the_rig=others) if others else None


def over_in(case: Case, verdict: Verdict) -> list[Check]:
    """Limits that a case is over."""
    return [check for check, use in verdict.worst_uses if not use <= case.most]


# ---------------------------------------------------------------- the search


class _Tried(NamedTuple):
    """A job with some parts changed, and the uses foreseen of every limit in every pose, by pose and name."""

    job: Job
    uses: dict[tuple[int, str], float]

    def far_over(self) -> float:
        """How far all limits together are over, as logarithms; infinite where one cannot be judged."""
        return sum(math.log(use) if use == use else math.inf for use in self.uses.values() if not use <= 1.0)

    def over(self, margin: float = 0.0) -> list[tuple[int, str]]:
        """Limits that are over, the most used first."""
        found = [(limit, use) for limit, use in self.uses.items() if not use <= 1.0 + margin]
        return [limit for limit, _ in sorted(found, key=lambda pair: -pair[1] if pair[1] == pair[1] else -math.inf)]


class _Search:
    """The search for one job and its poses."""

    def __init__(self, job: Job, cases: Sequence[Case], verdicts: Sequence[Verdict], stop: Stop, tell: Tell) -> None:
        self._job, self._cases, self._stop, self._tell = job, tuple(cases), stop, tell
        self._weight_kg = weight_kg(job)
        self._before_kg = _least_allowed_kg(verdicts)
        self._verdicts = verdicts
        self._more: dict[tuple[int, str], float] = {}
        """What the whole worst case adds to each limit, as a factor."""
        self._learn(job, verdicts)
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
        for ladder in self._that_help(over):
            cure = self._alone(ladder)
            if cure is not None:
                alone = True
                yield cure
        if alone:
            return
        most = self._many()
        if most is None or len(most.steps) <= PARTS_AT_MOST:
            self._learn(self._job, self._verdicts)
            yield from self._together()
        if most is not None:
            yield most

    def _that_help(self, over: list[tuple[int, str]]) -> Iterator[Ladder]:
        """Ladders whose next size lowers every limit that is over, those of the part that is over first."""
        likely = tuple(_entries_of(self._job, limit) for _, limit in over)
        mine_first = sorted(self._ladders, key=lambda ladder: not ladder.path.startswith(likely))
        for number, ladder in enumerate(mine_first):
            self._ask(number / len(mine_first))
            first = self._least(ladder)
            if first is not None and all(first.uses[limit] < self._now.uses[limit] - HELPS for limit in over):
                yield ladder

    def _moves(self, ladder: Ladder, limit: tuple[int, str]) -> bool:
        """Whether the least possible change of a part lowers a limit."""
        first = self._least(ladder)
        return first is not None and first.uses[limit] < self._now.uses[limit] - HELPS

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
        over_at: list[Size] = []
        for index, size in enumerate(ladder.sizes):
            self._ask()
            tried = self._tried(self._job, ladder.path, size)
            if tried is None or tried.over(NEAR):
                if tried is not None and tried.over(FAR):
                    over_at.append(size)
                continue
            cure = self._verified(tried.job, (_step(ladder, size),))
            if cure is None:
                over_at.append(size)
                continue
            for smaller in reversed(ladder.sizes[:index]):
                made = None if smaller in over_at else with_size(self._job, ladder.path, smaller)
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
            cure = self._trimmed({step.path: step.now for step in steps})
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
            if any(step.path == ladder.path for step in steps) or not self._moves(ladder, limit):
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

    def _many(self) -> Cure | None:
        """As many parts as it takes, one after another, for what is over most each time.

        Where the whole verdict is over though nothing was foreseen to be, it is looked at in the rig changed so far.
        """
        at, sizes = self._now, dict[str, Size]()
        for _ in range(ROUNDS):
            while at.over() and len(sizes) <= MANY_AT_MOST:
                way = self._next(at, sizes)
                if way is None:
                    return None
                at, step = way
                sizes[step.path] = step.now
                self._record(at.job)
            cure = self._trimmed(sizes)
            if cure is not None or at.over():
                return cure
            verdicts = [evaluate(case.on(at.job), case.pose) for case in self._cases]
            if any(verdict.worst_case is None for verdict in verdicts):
                return None
            self._learn(at.job, verdicts)
            at = _Tried(at.job, self._uses(at.job) or {})
        return None

    def _next(self, at: _Tried, sizes: dict[str, Size]) -> tuple[_Tried, PartStep] | None:
        """The part that mends what is over most with least work, or lowers it furthest: one not changed yet, or more.

        Nothing is taken that does not bring down all that is over together.
        """
        limit = at.over()[0]
        best: tuple[tuple[float, ...], _Tried, PartStep] | None = None
        for ladder in self._ladders:
            found = self._on(ladder, at, limit, sizes.get(ladder.path)) if self._moves(ladder, limit) else None
            if found is None or not found[0].far_over() < at.far_over() - HELPS:
                continue
            mends, more_kg = found[0].uses[limit] <= 1.0, weight_kg(found[0].job) - weight_kg(at.job)
            rank = (0.0, ladder.tier, more_kg) if mends else (1.0, found[0].far_over(), more_kg)
            if best is None or rank < best[0]:
                best = rank, *found
        return None if best is None else best[1:]

    def _ladder(self, path: str) -> Ladder:
        return next(ladder for ladder in self._ladders if ladder.path == path)

    def _on(
        self, ladder: Ladder, at: _Tried, limit: tuple[int, str], now: Size | None = None
    ) -> tuple[_Tried, PartStep] | None:
        """The smallest size that mends a limit, or the one that lowers it most; only those over the one there is."""
        best: tuple[_Tried, PartStep] | None = None
        for size in ladder.sizes if now is None else ladder.sizes[ladder.sizes.index(now) + 1 :]:
            self._ask()
            tried = self._tried(at.job, ladder.path, size)
            if tried is not None and tried.uses[limit] < (at if best is None else best[0]).uses[limit]:
                best = tried, _step(ladder, size)
                if tried.uses[limit] <= 1.0:
                    break
        return best

    def _trimmed(self, sizes: dict[str, Size]) -> Cure | None:
        """The cure with each part as small as it may be beside the others."""
        sizes = dict(sizes)
        cure = self._grown(sizes)
        if cure is None:
            return None
        for path in list(sizes):
            ladder = self._ladder(path)
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
            over = [
                (at, check.name)
                for at, case in enumerate(self._cases)
                for check in over_in(case, evaluate(case.on(made), case.pose))
            ]
            if not over:
                return None
            best: tuple[float, str, Size] | None = None
            for path, size in sizes.items():
                ladder = self._ladder(path)
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
        steps = (_step(self._ladder(path), size) for path, size in sizes.items())
        return None if made is None or not sizes else self._verified(made, tuple(steps))

    def _made(self, sizes: dict[str, Size]) -> Job | None:
        made: Job | None = self._job
        for path, size in sizes.items():
            made = None if made is None else with_size(made, path, size)
        return made

    # -------------------------------------------------------- judging

    def _record(self, job: Job) -> None:
        """Have the limits of a rig and of those like it at hand: worth it where hundreds of sizes are tried."""
        for case in self._cases:
            record_ahead(case.on(job), case.pose)

    def _learn(self, job: Job, verdicts: Sequence[Verdict]) -> None:
        """Foresee uses from the verdicts of a rig: where its limits are worst, and what the whole worst case adds."""
        self._corners = [worst_corners(verdict.worst_case) for verdict in verdicts if verdict.worst_case is not None]
        self._more = {}
        foreseen = self._uses(job) or {}
        for at, (case, verdict) in enumerate(zip(self._cases, verdicts, strict=True)):
            for check, use in verdict.worst_uses:
                now = foreseen.get((at, check.name), 0.0)
                self._more[at, check.name] = use / now / case.most if now > 0.0 and math.isfinite(use / now) else 1.0

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
        """Uses foreseen: where the limits of the rig as it stands are worst, times what the whole worst case adds."""
        found: dict[tuple[int, str], float] = {}
        for at, ((pose, on, _), corners) in enumerate(zip(self._cases, self._corners, strict=True)):
            if impossibilities(job, pose):
                return None
            for name, use in uses_foreseen(on(job), pose, corners).items():
                found[at, name] = use * self._more.get((at, name), 1.0)
        return found

    def _verified(self, job: Job, steps: tuple[PartStep, ...]) -> Cure | None:
        """The cure, where the whole verdict says that every pose is within its limits."""
        verdicts: list[Verdict] = []
        for case in self._cases:
            verdicts.append(evaluate(case.on(job), case.pose))
            if verdicts[-1].state != "WITHIN" or (case.most < 1.0 and over_in(case, verdicts[-1])):
                return None
        check, use = max((_most_used(verdict) for verdict in verdicts), key=lambda pair: pair[1])
        return Cure(
            steps=steps,
            job=job,
            added_kg=weight_kg(job) - self._weight_kg,
            allowed_kg=_least_allowed_kg(verdicts),
            before_kg=self._before_kg,
            next_limit=check.name,
            next_use=use,
        )


def _most_used(verdict: Verdict) -> tuple[Check, float]:
    uses = verdict.worst_uses_at_once
    return max(((check, use) for check, use in uses if check.of != "room"), key=lambda pair: pair[1])


def _least_allowed_kg(verdicts: Sequence[Verdict]) -> float:
    return min(verdict.allowed_load_kg or 0.0 for verdict in verdicts)


ENTRIES_OF = {
    "boom": "rig.boom",
    "jib mast's cap": "rig.saddles",
    "jib mast": "rig.jib_mast",
    "saddle": "rig.saddles",
    "front strap": "rig.saddles",
    "rear strap": "rig.saddles",
    "cross-member": "rig.sleeves",
    "sleeves": "rig.sleeves",
    "hook": "rig.hook",
}
"""How the names of limits begin, and where the entries are that most likely cure them: only the order hangs on it."""


def _entries_of(job: Job, limit: str) -> str:
    """Where the entries begin that most likely cure a limit; all of the rig where nobody knows."""
    arms = {arm.name: f"rig.arms[{index}]" for index, arm in enumerate(job.rig.arms)}
    return next((path for begins, path in {**arms, **ENTRIES_OF}.items() if limit.startswith(begins)), "rig")


def _step(ladder: Ladder, size: Size) -> PartStep:
    return PartStep(path=ladder.path, tier=ladder.tier, kind=ladder.kind, was=ladder.was, now=size)


def _key(sizes: Iterable[tuple[str, Size]]) -> frozenset[tuple[str, str]]:
    """The same for the same parts at the same sizes, in whatever order."""
    return frozenset((path, repr(size)) for path, size in sizes)


def _same(one: Cure, other: Cure) -> bool:
    """Whether two cures change the same parts to the same sizes, in whatever order."""
    return all(step in other.steps for step in one.steps) and len(one.steps) == len(other.steps)
