"""From the rack to a rig: the lightest rigs that do up to three jobs with the tubes that lie there.

Method.  Rigs that can be cut from the rack (``engine.planning.stock_rigs``) come lightest first
(``engine.planning.stock_tree``), each is judged in every job by the whole verdict, and the first that do every job are
the lightest: every lighter one has been looked at and does not.  Tubes are chosen from the hook inwards.  What a part
carries, and whether it fits on the part before it, depends on nothing nearer to the truck, so that a part which is too
weak as entered ends every rig that has it there (``_Trials``); the worst case is never better.

A search that is cut off after ``MOST_LOOKS`` says how many of all rigs were looked at, and what nothing among the rest
is lighter than: the least weight of steel in any of them.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence

import msgspec

from engine.limits import sideways
from engine.limits.all_limits import leaned
from engine.planning.stock_rigs import (
    HOOK_MISS_M,
    Part,
    PartsMade,
    Shape,
    arm_step_m,
    built,
    parts_of,
    picks_of,
    shapes,
    start_pose,
    weight_kg,
)
from engine.planning.stock_tree import LightestFirst, Node
from engine.planning.stock_tubes import Rack, Standing
from engine.planning.sweep import SoFar, Stop, Stopped, Tell, best_over, never, quiet, unheard
from engine.rig.check import Problem
from engine.rig.completeness import not_entered
from engine.rig.deflection import with_bending
from engine.rig.fits import misfits
from engine.rig.kinematics import drawn, figures, place
from engine.schema.model import JOBS_AT_MOST, Job, Pose, WantedJob
from engine.schema.quantities import Estimate
from engine.schema.sections import RectTube, RoundTube
from engine.strength import all_parts
from engine.worst_case.verdict import State, evaluate, find_problems, find_unsettled

REPLACE = msgspec.structs.replace

MOST_LOOKS = 15_000
"""Parts of rigs that are looked at before a search is cut off: a minute or two."""

WHOLE_RIG_LOOKS = 20
"""A rig judged whole takes as long as looking at so many parts."""


class JobResult(msgspec.Struct, kw_only=True, frozen=True):
    """How a rig does one of the jobs wanted; ``pose`` is the one that does it, or comes nearest.

    ``problems`` are why there is no verdict; ``unproven`` is what leaves a rig that does the job not proven, and it
    comes with the pattern.  ``off_m`` is how much further out than wanted the hook is, ``up_m`` how much higher.
    """

    wanted: str
    pose: Pose
    state: State
    use: float
    allowed_kg: float
    governing: str
    works: bool
    off_m: float
    up_m: float
    problems: tuple[Problem, ...] = ()
    unproven: tuple[Problem, ...] = ()


class RackCut(msgspec.Struct, kw_only=True, frozen=True):
    """A part of the rig and the tube it is cut from, with the section as it stands; ``cut_m`` is taken off the tube."""

    part: str
    tube: str
    section: RectTube | RoundTube
    cut_m: float


class RackRig(msgspec.Struct, kw_only=True, frozen=True):
    """A rig from the rack as a whole job with a pose for each job wanted; its load is the heaviest of theirs."""

    job: Job
    rig_kg: float
    cuts: tuple[RackCut, ...]
    results: tuple[JobResult, ...]

    @property
    def works(self) -> bool:
        """Whether the rig does every job wanted."""
        return all(result.works for result in self.results)

    @property
    def use(self) -> float:
        """Greatest use over the jobs."""
        return max((result.use for result in self.results), default=math.inf)

    @property
    def unproven(self) -> tuple[Problem, ...]:
        """What comes with the pattern and leaves the rig not proven, each once."""
        every = [problem for result in self.results for problem in result.unproven]
        return tuple(problem for index, problem in enumerate(every) if problem not in every[:index])


class StockSearch(msgspec.Struct, kw_only=True, frozen=True):
    """Rigs that do every job, lightest first; where none does, ``nearest`` is the one with the smallest use.

    ``looked_at`` counts the choices of tubes and lengths looked at, ``of`` all there are, on a grid of arms' lengths
    of ``arm_step_m``; ``cut`` those that can be cut from the rack and were judged whole.  No choice that was not looked
    at weighs less than ``bound_kg``.
    """

    rigs: tuple[RackRig, ...]
    nearest: RackRig | None
    looked_at: int
    of: int
    cut: int
    bound_kg: float | None
    was_cut_off: bool
    arm_step_m: float | None


def search(
    job: Job,
    enough: int = 3,
    stop: Stop = never,
    tell: Tell = quiet,
    most_looks: int = MOST_LOOKS,
    so_far: SoFar = unheard,
) -> StockSearch:
    """Lightest rigs from the rack that do every job wanted.

    Parameters
    ----------
    job : Job
        The pattern: truck, floor, allowances, and a rig whose parts other than tubes are kept; the rack (``stock``)
        and one to three jobs wanted (``wanted``).
    enough : int
        Stop after so many rigs that work.
    stop, tell
        Called between two rigs, and ``stop`` between two jobs of a rig too.
    most_looks : int
        Cut the search off after looking at so many parts of rigs.
    so_far
        Handed the rigs that do every job, lightest first, each time that another is found.

    Returns
    -------
    StockSearch

    Raises
    ------
    ValueError
        With no job wanted.
    Stopped
        When ``stop`` answers true.
    """
    if not job.wanted:
        raise ValueError(f"wanted: Expected 1 to {JOBS_AT_MOST} jobs, got none")
    # An approval and trial lifts are of the rig as it is, never of one made from the rack.
    pattern = REPLACE(job, approval=None, trial_lifts=())
    rack = Rack(job.stock, job.kerf_m)
    parts = PartsMade(pattern, rack)
    possible = list(shapes(pattern, job.wanted)) if rack.kinds else []
    trials = _Trials(pattern, rack, parts, most_looks, stop)
    tree = LightestFirst([_choices(pattern, parts, shape) for shape in possible], trials.can_be)
    trials.tell = lambda: tell(max(tree.looked_at / max(tree.of, 1), min(trials.looks / most_looks, 1.0)))
    rigs: list[RackRig] = []
    was_cut_off = False
    try:
        for node in tree:
            rig = trials.judged(node)
            if rig is not None:
                rigs.append(rig)
                so_far(tuple(rigs))
            if len(rigs) == enough:
                break
    except _CutOff:
        was_cut_off = True
    return StockSearch(
        rigs=tuple(rigs),
        nearest=None if rigs else trials.nearest(),
        looked_at=tree.looked_at,
        of=tree.of,
        cut=trials.cut,
        bound_kg=tree.bound_kg,
        was_cut_off=was_cut_off,
        arm_step_m=max((arm_step_m(len(shape.arms_m), job.units) for shape in possible if shape.arms_m), default=None),
    )


_Choices = Sequence[Sequence[tuple[float, Standing]]]


def _choices(pattern: Job, parts: PartsMade, shape: Shape) -> tuple[Shape, float, _Choices]:
    """What a rig of a shape weighs without its tubes' difference from the pattern, and the tubes for each part."""
    count = len(shape.arms_m)
    levels = [
        [(parts.made(part, tube, count).kg, tube) for tube in parts.tubes_for(part, count)]
        for part in parts_of(pattern, shape)
    ]
    return shape, parts.as_pattern_kg(count), levels


class _CutOff(Exception):
    """As much was looked at as may be."""


# ---------------------------------------------------------------- looking at rigs


class _Trials:
    """Looks at rigs and parts of rigs, and remembers what it saw.

    A rig is tried from the hook inwards.  With some parts chosen, the others stand in as the lightest tubes there are;
    what is found out is asked only of the parts that are chosen (`_Decided`).
    """

    def __init__(self, pattern: Job, rack: Rack, parts: PartsMade, most_looks: int, stop: Stop) -> None:
        self._pattern, self._rack, self._parts = pattern, rack, parts
        self._most_looks, self._stop = most_looks, stop
        self._chains: dict[tuple[object, ...], float] = {}
        self._weakest: tuple[float, Node[Shape, Standing]] | None = None
        self._least_use: tuple[float, Node[Shape, Standing]] | None = None
        self._own = functools.cache(self._comes_with_the_pattern)
        jobs = enumerate(pattern.wanted)
        self._heaviest_first = sorted(jobs, key=lambda job: -job[1].load_kg.best - job[1].rigging_kg)
        self.tell = lambda: None
        self.looks, self.cut = 0, 0

    def can_be(self, node: Node[Shape, Standing]) -> bool:
        """Whether the parts chosen can be cut from the rack, fit together and carry the jobs, all as entered."""
        self._heed_stop()
        if self._tubes(node) is None:
            return False
        if len(node.chosen) == len(parts_of(self._pattern, node.tree)):
            self._look(WHOLE_RIG_LOOKS)
            return True  # judged whole
        use = self._chain_use(node)
        if not use > 1.0:
            return True
        if (self._weakest is None or use < self._weakest[0]) and self._completed(node) is not None:
            self._weakest = use, node
        return False

    def judged(self, node: Node[Shape, Standing]) -> RackRig | None:
        """A whole rig that does every job; None where it does not."""
        self.cut += 1
        use = self._use_as_entered(node)
        rig = None if use > 1.0 else self._rig(node)
        if rig is not None and rig.works:
            return rig
        use = use if rig is None else rig.use
        if self._least_use is None or use < self._least_use[0]:
            self._least_use = use, node
        return None

    def nearest(self) -> RackRig | None:
        """Of the rigs cut the one with the smallest use; the lightest with the least weak part where none was.

        The use is that of the worst case where a rig holds as entered.
        """
        if self._least_use is not None:
            return self._rig(self._least_use[1])
        node = None if self._weakest is None else self._completed(self._weakest[1])
        return None if node is None else self._rig(node)

    # ---- tubes

    def _tubes(self, node: Node[Shape, Standing]) -> tuple[str, ...] | None:
        """Name of the tube that each part chosen is cut from; None where they do not fit on the rack."""
        cuts = zip(parts_of(self._pattern, node.tree), node.chosen, strict=False)
        return self._rack.places(tuple((tube.kind, self._cut_m(node, part, tube)) for part, tube in cuts))

    def _cut_m(self, node: Node[Shape, Standing], part: Part, tube: Standing) -> float:
        return self._parts.made(part, tube, len(node.tree.arms_m)).cut_m

    def _completed(self, node: Node[Shape, Standing]) -> Node[Shape, Standing] | None:
        """A node with the lightest tubes for what is left that can be cut beside those chosen; None without any."""
        parts = parts_of(self._pattern, node.tree)
        if len(node.chosen) == len(parts):
            return node
        for tube in self._parts.tubes_for(parts[len(node.chosen)], len(node.tree.arms_m)):
            longer = node._replace(chosen=(*node.chosen, tube))
            whole = None if self._tubes(longer) is None else self._completed(longer)
            if whole is not None:
                return whole
        return None

    # ---- parts of rigs

    def _chain_use(self, node: Node[Shape, Standing]) -> float:
        """Greatest use of the parts chosen, over the jobs; infinite where they cannot be or would not be proven."""
        shape, chosen = node.tree, node.chosen
        count = len(shape.arms_m)
        with_boom = len(chosen) > count
        # The outer arms are the same whatever stands between them and the truck.
        key = (shape, chosen) if with_boom else (count, shape.arms_m[count - len(chosen) :], chosen)
        if key not in self._chains:
            self._look()
            parts = parts_of(self._pattern, shape)[len(chosen) :]
            others = tuple(self._parts.tubes_for(part, count)[0] for part in parts)
            whole = built(self._pattern, shape, picks_of((*chosen, *others)))
            decided = _Decided(count, count - len(chosen), with_boom)
            self._chains[key] = math.inf if whole is None else self._use_of(whole, shape, decided)
        return self._chains[key]

    def _use_of(self, job: Job, shape: Shape, decided: _Decided) -> float:
        own = self._own(len(shape.arms_m), 0)
        added = [problem for problem in not_entered(job, job.poses[0]) if problem not in own]
        if any(decided.is_about(problem) for problem in (*misfits(job.rig), *added)):
            return math.inf
        worst = 0.0
        for index, wanted in self._heaviest_first:
            loaded = with_load(job, wanted)
            pose = pose_for(loaded, shape, index, wanted)
            if decided.with_boom and not hook_is_there(loaded, pose, wanted):
                return math.inf
            worst = max(worst, decided.use(loaded, pose))
            if worst > 1.0:
                break
        return worst

    def _comes_with_the_pattern(self, arm_count: int, index: int) -> tuple[Problem, ...]:
        """What leaves the pattern itself not proven with so many arms in a job, whatever it is made of."""
        rig = REPLACE(self._pattern.rig, arms=self._pattern.rig.arms[:arm_count])
        wanted = self._pattern.wanted[index]
        pose = start_pose(self._pattern, arm_count)
        pattern = REPLACE(self._pattern, rig=rig, poses=(pose,), moves=(), drawn=None)
        return find_unsettled(with_load(pattern, wanted), pose)

    # ---- whole rigs

    def _jobs(self, job: Job, shape: Shape) -> list[tuple[Job, Pose]]:
        """A rig with the load and the pose of each job wanted."""
        loaded = [with_load(job, wanted) for wanted in self._pattern.wanted]
        return [
            (each, pose_for(each, shape, index, wanted))
            for index, (each, wanted) in enumerate(zip(loaded, self._pattern.wanted, strict=True))
        ]

    def _use_as_entered(self, node: Node[Shape, Standing]) -> float:
        """Greatest use over the jobs with values as entered: the worst case is never better."""
        job = built(self._pattern, node.tree, picks_of(node.chosen))
        if job is None:
            return math.inf
        jobs = zip(self._jobs(job, node.tree), self._pattern.wanted, strict=True)
        worst = 0.0
        for (loaded, pose), wanted in jobs:
            self._heed_stop()
            worst = max(worst, _use_as_entered(loaded, pose, wanted))
        return worst

    def _rig(self, node: Node[Shape, Standing]) -> RackRig | None:
        """The rig, judged in every job by the whole verdict; None where it cannot be made or cut."""
        job = built(self._pattern, node.tree, picks_of(node.chosen))
        tubes = self._tubes(node)
        if job is None or tubes is None:
            return None
        count = len(node.tree.arms_m)
        jobs = self._jobs(job, node.tree)
        results: list[JobResult] = []
        for index, ((loaded, pose), wanted) in enumerate(zip(jobs, self._pattern.wanted, strict=True)):
            self._heed_stop()
            results.append(_result(loaded, pose, wanted, self._own(count, index)))
        heaviest = max(self._pattern.wanted, key=lambda wanted: wanted.load_kg.best)
        whole = REPLACE(with_load(job, heaviest), poses=tuple(pose for _, pose in jobs))
        cuts = [
            RackCut(part=part.name, tube=name, section=tube.section, cut_m=self._cut_m(node, part, tube))
            for part, tube, name in zip(parts_of(self._pattern, node.tree), node.chosen, tubes, strict=True)
        ]
        return RackRig(job=whole, rig_kg=weight_kg(job), cuts=tuple(reversed(cuts)), results=tuple(results))

    def _heed_stop(self) -> None:
        if self._stop():
            raise Stopped

    def _look(self, looks: int = 1) -> None:
        if self.looks >= self._most_looks:
            raise _CutOff
        self.looks += looks
        self.tell()


class _Decided(msgspec.Struct, frozen=True):
    """What is decided of a rig with some parts chosen: the arms from ``first`` outwards, and maybe the boom.

    An arm's hinge is decided with the link that the arm is on.
    """

    arm_count: int
    first: int
    with_boom: bool

    def is_about(self, problem: Problem) -> bool:
        """Whether a problem is of decided parts alone."""
        hinges = range(0 if self.with_boom else self.first + 1, self.arm_count)
        about = [f"rig.arms[{index}]" for index in hinges]
        if self.with_boom:
            about += ["rig.boom", "rig.saddles.strap_foot", "rig.saddles.shim_side_m"]
        return problem.where.startswith(tuple(about))

    def use(self, job: Job, pose: Pose) -> float:
        """Greatest use of the decided parts as entered; what is not a number is used up."""
        arms = tuple(REPLACE(arm, name=_link_name(index)) for index, arm in enumerate(job.rig.arms))
        named = REPLACE(job, rig=REPLACE(job.rig, arms=arms))
        numbers = with_bending(named, leaned(figures(named, pose), named.policy))
        checks = all_parts.outer_checks(named, place(named, numbers), with_boom=self.with_boom)
        uses = [float(check.use) for check in checks if check.part in self._parts]
        return max((math.inf if math.isnan(use) else use for use in uses), default=0.0)

    @property
    def _parts(self) -> set[str]:
        links = range(0 if self.with_boom else self.first, self.arm_count)
        parts = {_link_name(index) for index in links}
        parts |= {f"{_link_name(index)} hinge" for index in links if self.with_boom or index > self.first}
        return parts | ({"boom", "boom pin", "front strap", "rear strap"} if self.with_boom else set())


def _link_name(index: int) -> str:
    """A name for an arm that no other part has."""
    return f"link {index + 1}"


# ---------------------------------------------------------------- one job


def with_load(job: Job, wanted: WantedJob) -> Job:
    """A rig with the load and the rigging of a job wanted."""
    rigging = Estimate(best=wanted.rigging_kg, known="weighed")
    load = REPLACE(job.load, name=wanted.name, mass_kg=wanted.load_kg, rigging_kg=rigging)
    return REPLACE(job, load=load)


def pose_for(job: Job, shape: Shape, index: int, wanted: WantedJob) -> Pose:
    """The boom in the job's hole, arms straight, the hook as high as wanted or as near as the forks go."""
    pose = REPLACE(job.poses[0], name=wanted.name, hole=shape.hole_of_job[index])
    upright = job.truck.upright
    lift_m = pose.lift_m + wanted.hook_height_m - float(drawn(job, pose).hook_m.z)
    return REPLACE(pose, lift_m=min(max(lift_m, upright.lift_min_m), upright.lift_max_m))


def _hook_off_m(job: Job, pose: Pose, wanted: WantedJob) -> tuple[float, float]:
    """How much further out and how much higher the hook is than wanted, as drawn."""
    hook = drawn(job, pose).hook_m
    ahead_m = float(hook.x) - job.truck.front_overhang_m.best
    return ahead_m - wanted.ahead_of_face_m, float(hook.z) - wanted.hook_height_m


def hook_is_there(job: Job, pose: Pose, wanted: WantedJob) -> bool:
    """Whether the hook is as high as wanted and no less far out; further out, the truck stands further back."""
    off_m, up_m = _hook_off_m(job, pose, wanted)
    return off_m >= -HOOK_MISS_M and abs(up_m) <= HOOK_MISS_M


def _use_as_entered(job: Job, pose: Pose, wanted: WantedJob) -> float:
    """Greatest use with values as entered; infinite where there is no verdict or the hook is not where it is wanted.

    A sideways moment that the plate does not cover is left to the verdict.
    """
    if find_problems(job, pose) or not hook_is_there(job, pose, wanted):
        return math.inf
    nominal = best_over(job, pose, figures(job, pose), "floor")
    return 1.0 if nominal.names[int(nominal.worst)] == sideways.NAME else float(nominal.use)


def _result(job: Job, pose: Pose, wanted: WantedJob, own: tuple[Problem, ...]) -> JobResult:
    """A job by the whole verdict: done within the limits, or where only ``own`` is open, as with the pattern."""
    verdict = evaluate(job, pose)
    off_m, up_m = _hook_off_m(job, pose, wanted)
    result = JobResult(
        wanted=wanted.name,
        pose=pose,
        state=verdict.state,
        use=math.inf,
        allowed_kg=0.0,
        governing="",
        works=False,
        off_m=off_m,
        up_m=up_m,
        problems=verdict.problems,
    )
    if not hook_is_there(job, pose, wanted):
        return REPLACE(result, governing="hook height" if abs(up_m) > HOOK_MISS_M else "reach")
    if verdict.worst_case is None or verdict.allowed_load_kg is None:
        return result
    # Room that is wide enough is no part of how near a pose is to its limits.
    uses = [(check, use) for check, use in verdict.worst_uses if check.of != "room" or not use <= 1.0]
    worst, use = max(uses, key=lambda pair: pair[1])
    added = tuple(problem for problem in verdict.not_entered if problem not in own)
    in_the_way = verdict.room.short or verdict.room.short_at_worst
    only_own = verdict.state == "NOT PROVEN" and verdict.worst_case.passes and not added and not in_the_way
    return REPLACE(
        result,
        use=use,
        allowed_kg=verdict.allowed_load_kg,
        governing=worst.name,
        works=verdict.state == "WITHIN" or only_own,
        problems=added,
        unproven=verdict.not_entered if only_own else (),
    )
