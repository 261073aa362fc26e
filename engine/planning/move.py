"""A move: named poses joined one motion at a time, and the smallest margin on the whole way.

Order.  Between two poses a person raises first and lowers last, so that the load clears what it stands on; in between the
boom slides, then the arms turn from the boom outwards, then the upright tilts.  When the truck creeps to another place it
lowers first and raises last, and creeps with everything else set.  A load is set down before anything else moves and
picked up after everything has.  Arms are fitted or taken off with the hook empty.  Another order is had by naming a pose
in between.

Greatest use on the way.  One motion changes one joint from start to end, so every figure is known as a function of one
share s from 0 to 1; joints' limits are intervals, so a pose between two possible ones is possible as far as joints go.
The uses are not simple functions of s, and samples alone can step over a peak.  So samples give what *is* reached, and
intervals (``engine.base.interval``) give what *cannot be passed*:

1. evaluate the worst case at evenly spread s: the greatest found, ``peak``, is reached;
2. put each stretch [s_i, s_i+1] as an interval into the very same formulas, with every uncertain entry at each of the
   corners the worst case was found in: by the inclusion property the upper end is a use no pose in the stretch passes;
3. halve the stretches whose upper end is over peak + ``TOLERANCE`` (or over 1 while peak is not), sampling their middles,
   until none is left or they are ``NARROWEST`` wide; ``bound`` is the greatest upper end.  Where there is no question (all
   under ``EASY_USE``, or over 1 anyway) it is left coarser.

So  peak <= true maximum <= bound  over those corners, and a move is WITHIN only when *bound* is at most 1.  That the
worst corners all the way are among those at a few stances is doubt's own kind of assumption (``doubt.CORNER_TOLERANCE``).

Clearance from surroundings: every point of rig and load moves at most ``travel`` over a motion (a joint's turn times the
furthest distance, or its slide), so between n + 1 even samples nothing comes nearer than the samples show by more than
travel / 2n; that much is taken off.
"""

from __future__ import annotations

import math
from typing import Literal, assert_never

import msgspec
import numpy as np
from numpy.typing import NDArray

from engine.base.geometry import Array, Number
from engine.base.interval import Interval
from engine.handling.clearance import Gap, gaps
from engine.handling.hand_force import HIGH_HAND_N, arm_force
from engine.limits import balance
from engine.planning.sweep import Stop, Stopped, Tell, at_corners, corners_over, limits_over, never, quiet, upper_use
from engine.rig.check import Problem
from engine.rig.deflection import place_bent
from engine.rig.feasibility import impossibilities
from engine.rig.kinematics import Figures, boom_out_m, figures, place
from engine.schema.joints import swings
from engine.schema.model import Controls, Job, Move, Pose, find_floor, find_pose
from engine.worst_case.verdict import State, find_problems
from engine.worst_case.worst_case import Entry, entries_of

Kind = Literal["raise", "lower", "boom", "arm", "tilt", "creep", "pick up", "set down", "fit"]
BY_HAND: frozenset[Kind] = frozenset(("boom", "arm", "fit"))

SAMPLES = 65
"""Even samples of one motion: a ribbon's resolution, and the first guess at its peak."""

FIRST_STRETCHES = 8
"""Stretches every corner starts with; most corners are done with after these."""

CORNER_SAMPLES = 8
"""Evenly spread stances of a motion that say in which corners of the doubt it is held."""

PIECE = 4096
"""Stretches evaluated at once."""

LOOKED_AT = 12
"""Middles sampled in each round, where the upper ends are highest."""

TOLERANCE = 0.002
"""Use by which the proven bound may lie over the greatest use found: a fifth of a per cent."""

OVER_TOLERANCE = 0.01
"""The same once a step is over, as a share of it: how far over needs no such fineness."""

EASY_USE = 0.95
"""A step proven nowhere over this is not looked at more finely: there is no question about it."""

NARROWEST = 2.0**-22
"""Stretches are not halved past this share of a motion; what is left of the bound's width is then said."""

ROUND_OFF = 1e-9
"""Added to every bound for floating-point round-off, which intervals here do not direct outwards."""

JUST_CLEAR_M = 0.30
"""Highest a hung load travels: upper bound for rough-terrain trucks; 100-150 mm is customary (common practice)."""

SEAT_LOWERED_M = 0.05
"""Forks this near their lowest count as fully lowered."""


class MoveStep(msgspec.Struct, kw_only=True, frozen=True):
    """One motion: from one pose to another that differ in one thing, and who sits at the controls meanwhile."""

    leg: int
    kind: Kind
    arm: int | None
    before: Pose
    after: Pose
    controls: Controls
    words: str
    numbers: dict[str, float | str]

    @property
    def by_hand(self) -> bool:
        """Whether somebody moves a part of the rig by hand."""
        return self.kind in BY_HAND


class Objection(msgspec.Struct, kw_only=True, frozen=True):
    """What speaks against a step besides its limits; ``stops`` when the move must not be made so."""

    step: int
    stops: bool
    words: str
    numbers: dict[str, float | str]


class Stretch(msgspec.Struct, kw_only=True, frozen=True):
    """Part of a motion, in shares of it, ruled by one limit."""

    from_share: float
    to_share: float
    rules: str
    use: float


class StepResult(msgspec.Struct, kw_only=True, frozen=True):
    """One motion held against the limits.

    ``share`` (n) from 0 to 1; ``use`` (n) in the worst case and ``rules`` (n) naming the limit behind it; ``rear_kg`` and
    ``light_kg`` (n) are plain statics at best values, ``hook_m`` (n, 3) the hook's way.  ``peak_use`` is reached at
    ``peak_share``; ``bound_use`` is proven not to be passed anywhere on the motion.
    """

    step: MoveStep
    share: Array
    use: Array
    rules: tuple[str, ...]
    rear_kg: Array
    light_kg: Array
    hook_m: Array
    peak_use: float
    peak_share: float
    bound_use: float
    stretches: tuple[Stretch, ...]
    fall_along: tuple[float, float]
    fall_across: tuple[float, float]
    push_N: float | None
    gaps: tuple[Gap, ...]


class Plan(msgspec.Struct, kw_only=True, frozen=True):
    """A whole move: its steps, what speaks against it, where it is worst and by how much."""

    name: str
    state: State
    problems: tuple[Problem, ...]
    objections: tuple[Objection, ...]
    steps: tuple[StepResult, ...]

    @property
    def worst_step(self) -> int | None:
        """Index of the step with the greatest use reached, None when there is no step."""
        return max(range(len(self.steps)), key=lambda index: self.steps[index].peak_use, default=None)


# ---------------------------------------------------------------- steps


def steps_of(job: Job, move: Move) -> tuple[MoveStep, ...]:
    """The motions of a move, one joint at a time, in the order the module says."""
    controls = move.controls or ("nobody",) * (len(move.poses) - 1)
    found: list[MoveStep] = []
    for leg in range(len(move.poses) - 1):
        found += _leg(job, leg, find_pose(job, move.poses[leg]), find_pose(job, move.poses[leg + 1]), controls[leg])
    return tuple(found)


def _leg(job: Job, leg: int, start: Pose, end: Pose, controls: Controls) -> list[MoveStep]:
    found: list[MoveStep] = []
    here = start

    def go(
        kind: Kind, words: str, arm: int | None = None, numbers: dict[str, float | str] | None = None, **changes: object
    ) -> None:
        nonlocal here
        after = msgspec.structs.replace(here, **changes)
        who = controls if kind in BY_HAND else "driver" if controls == "nobody" else controls
        step = MoveStep(
            leg=leg, kind=kind, arm=arm, before=here, after=after, controls=who, words=words, numbers=numbers or {}
        )
        found.append(step)
        here = after

    def lift(way: Kind) -> None:
        if (here.lift_m < end.lift_m) if way == "raise" else (here.lift_m > end.lift_m):
            verb = "Raise" if way == "raise" else "Lower"
            go(
                way,
                verb + " the forks from {from:m} to {to:m}",
                None,
                {"from": here.lift_m, "to": end.lift_m},
                lift_m=end.lift_m,
            )

    creeps = start.floor != end.floor
    if here.loaded and not end.loaded:
        go("set down", "Set the load down and unhook", loaded=False)
    lift("lower" if creeps else "raise")
    _fit(job, lambda: here, end, go)
    out_m, to_m = boom_out_m(job.rig, here), boom_out_m(job.rig, end)
    if (here.hole, here.free_out_m) != (end.hole, end.free_out_m):
        words = "Slide the boom from {from:m} out to {to:m} out" + (
            "" if end.hole is None else ", hole {hole}, and pin it"
        )
        go(
            "boom",
            words,
            None,
            {"from": out_m, "to": to_m, "hole": str(end.hole)},
            hole=end.hole,
            free_out_m=end.free_out_m,
        )
    for index, arm in enumerate(job.rig.arms):
        turn = end.arms[index].turn_rad
        if here.arms[index].fitted and here.arms[index].turn_rad != turn:
            numbers = {"arm": arm.name, "from": here.arms[index].turn_rad, "to": turn}
            arms = (
                *here.arms[:index],
                msgspec.structs.replace(here.arms[index], turn_rad=turn),
                *here.arms[index + 1 :],
            )
            go("arm", arm.joint.step_words, index, numbers, arms=arms)
    if here.tilt_rad != end.tilt_rad:
        go(
            "tilt",
            "Tilt the upright from {from:deg} to {to:deg}",
            None,
            {"from": here.tilt_rad, "to": end.tilt_rad},
            tilt_rad=end.tilt_rad,
        )
    if creeps:
        go("creep", "Creep from {from} to {to}", None, {"from": here.floor, "to": end.floor}, floor=end.floor)
    lift("raise" if creeps else "lower")
    if end.loaded and not here.loaded:
        go("pick up", "Take up the slack, pick the load up just clear, stop and look", loaded=True)
    return found


def _fit(job: Job, here: object, end: Pose, go: object) -> None:
    for index, arm in enumerate(job.rig.arms):
        now = here()
        if now.arms[index].fitted != end.arms[index].fitted:
            arms = (*now.arms[:index], end.arms[index], *now.arms[index + 1 :])
            words = "Fit {arm}" if end.arms[index].fitted else "Take {arm} off"
            go("fit", words, index, {"arm": arm.name}, arms=arms)


def figures_between(job: Job, step: MoveStep, share: Number | Interval) -> Figures:
    """Best values at a share of the way through a step; ``share`` may be an array or an interval.

    A step that fits an arm or takes one off has no in-between: it is given as it is after.
    """
    before, after = figures(job, step.before), figures(job, step.after)
    if step.kind == "fit":
        return after

    def one(a: object, b: object) -> object:
        if isinstance(a, tuple):
            return tuple(one(x, y) for x, y in zip(a, b, strict=True))
        return a if a is None or a == b else share * (b - a) + a

    return Figures(**{name: one(getattr(before, name), getattr(after, name)) for name in Figures.__struct_fields__})


def pose_between(job: Job, step: MoveStep, share: float) -> Pose:
    """The pose at a share of the way through a step: to set up, look at and mend.

    A boom half way is unpinned.  A creep has no pose in between, since a pose stands at a place of the file: it gives the
    nearer end, as does a step without an in-between.
    """
    before, after = step.before, step.after
    if step.kind in ("creep", "pick up", "set down", "fit") or share in (0.0, 1.0):
        return before if share < 0.5 else after

    def one(a: float, b: float) -> float:
        return a + share * (b - a)

    arms = tuple(
        msgspec.structs.replace(a, turn_rad=one(a.turn_rad, b.turn_rad))
        for a, b in zip(before.arms, after.arms, strict=True)
    )
    slid = (
        {}
        if step.kind != "boom"
        else {"hole": None, "free_out_m": one(boom_out_m(job.rig, before), boom_out_m(job.rig, after))}
    )
    return msgspec.structs.replace(
        before,
        lift_m=one(before.lift_m, after.lift_m),
        tilt_rad=one(before.tilt_rad, after.tilt_rad),
        arms=arms,
        **slid,
    )


# ---------------------------------------------------------------- the whole plan


def plan(job: Job, move: Move, stop: Stop = never, tell: Tell = quiet) -> Plan:
    """A move held against every limit on its whole way.

    Parameters
    ----------
    job : Job
    move : Move
        One of the job's moves, or one being made up.
    stop, tell
        Asked and told between two steps.

    Returns
    -------
    Plan
        REFUSED with its problems where a pose on the way has no verdict.  WITHIN only when the proven bound of every step
        is at most 1, no object is touched and nothing stops it.

    Raises
    ------
    Stopped
    """
    steps = steps_of(job, move)
    stops = [find_pose(job, name) for name in move.poses] + [step.after for step in steps]
    problems = _different([problem for pose in stops for problem in find_problems(job, pose)])
    if problems:
        return Plan(name=move.name, state="REFUSED", problems=problems, objections=(), steps=())
    results: list[StepResult] = []
    for step in steps:
        if stop():
            raise Stopped
        results.append(run(job, step))
        tell(len(results) / len(steps))
    objections = tuple(found for index, result in enumerate(results) for found in _objections(job, index, result))
    return Plan(
        name=move.name, state=_state(results, objections), problems=(), objections=objections, steps=tuple(results)
    )


def _different(problems: list[Problem]) -> tuple[Problem, ...]:
    found: list[Problem] = []
    for problem in problems:
        if problem not in found:
            found.append(problem)
    return tuple(found)


def _state(results: list[StepResult], objections: tuple[Objection, ...]) -> State:
    if any(not result.peak_use <= 1.0 for result in results) or any(objection.stops for objection in objections):
        return "OVER"
    return "WITHIN" if results and all(result.bound_use <= 1.0 for result in results) else "NOT PROVEN"


def run(job: Job, step: MoveStep) -> StepResult:
    """One motion held against the limits: samples, the proven bound, wheels, hook's way, push and gaps."""
    share = np.linspace(0.0, 1.0, SAMPLES)
    numbers = figures_between(job, step, share)
    pose = _heavier(step)
    limits = limits_over(job, pose, numbers)
    use = np.broadcast_to(limits.use, share.shape)
    worst = np.broadcast_to(limits.worst, share.shape)
    entries = entries_of(job, pose, figures(job, pose))
    peak_use, peak_share, bound_use = bound(job, step, pose, share, use, entries)
    placed = place(job, numbers)
    weighed = balance.weigh(place_bent(job, numbers))
    rules = tuple(limits.names[index] for index in worst)
    start, end = figures(job, step.before), figures(job, step.after)
    return StepResult(
        step=step,
        share=share,
        use=use,
        rules=rules,
        rear_kg=np.broadcast_to(weighed.rear_kg, share.shape),
        light_kg=np.broadcast_to(weighed.light_front_kg, share.shape),
        hook_m=np.stack([np.broadcast_to(part, share.shape) for part in placed.hook_m], axis=-1),
        peak_use=peak_use,
        peak_share=peak_share,
        bound_use=bound_use,
        stretches=_stretches(share, use, rules),
        fall_along=(start.fall_along, end.fall_along),
        fall_across=(start.fall_across, end.fall_across),
        push_N=_push_N(job, step),
        gaps=gaps(job, step.before.floor, lambda at: figures_between(job, step, at), _travel_m(job, step), pose.loaded)
        if step.kind != "creep"
        else (),
    )


def _heavier(step: MoveStep) -> Pose:
    """The end of a step on which the load hangs, so that its doubt is counted on the whole of it."""
    return step.after if step.after.loaded else step.before


def _stretches(share: Array, use: Array, rules: tuple[str, ...]) -> tuple[Stretch, ...]:
    """Neighbouring samples ruled by the same limit taken together; stretches meet half way between samples."""
    found, first = [], 0
    for index in range(1, len(rules) + 1):
        if index == len(rules) or rules[index] != rules[first]:
            low = share[first] if first == 0 else (share[first - 1] + share[first]) / 2.0
            high = share[-1] if index == len(rules) else (share[index - 1] + share[index]) / 2.0
            found.append(
                Stretch(
                    from_share=float(low), to_share=float(high), rules=rules[first], use=float(use[first:index].max())
                )
            )
            first = index
    return tuple(found)


# ---------------------------------------------------------------- the proven bound


def bound(
    job: Job, step: MoveStep, pose: Pose, share: Array, use: Array, entries: tuple[Entry, ...]
) -> tuple[float, float, float]:
    """Greatest use reached on a step, where, and a use proven not to be passed; see the module for the proof.

    Parameters
    ----------
    pose : Pose
        Says which floor and whether loaded, for the uncertain entries.
    share, use : Array
        Samples (n) and the worst case there.
    entries : tuple of Entry
        The uncertain entries; with none, best values are bounded.

    Returns
    -------
    tuple of float
        Peak, its share, bound.
    """
    at = int(np.argmax(use))
    peak, peak_share = float(use[at]), float(share[at])
    if not math.isfinite(peak):
        return peak, peak_share, math.inf
    sides = corners_over(job, entries, figures_between(job, step, share[:: share.size // CORNER_SAMPLES]))
    cuts = np.linspace(0.0, 1.0, FIRST_STRETCHES + 1)
    corner = np.repeat(np.arange(len(sides)), FIRST_STRETCHES)
    low, high = np.tile(cuts[:-1], len(sides)), np.tile(cuts[1:], len(sides))
    proven = -math.inf
    while low.size:
        try:
            upper = _uppers(job, step, entries, sides, corner, low, high)
        except TypeError:
            # A formula that cannot be enclosed: nothing is proven, and so nothing passes.
            return peak, peak_share, math.inf
        middle = (low + high) / 2.0
        limit = peak * (1.0 + OVER_TOLERANCE) if peak > 1.0 else min(max(peak + TOLERANCE, EASY_USE), 1.0)
        open_ = upper > limit
        if open_.any():
            highest = np.argsort(upper[open_])[-LOOKED_AT:]
            reached, place_ = _reached(job, step, pose, middle[open_][highest])
            if reached > peak:
                peak, peak_share = reached, place_
        narrow = open_ & (high - low <= NARROWEST)
        proven = max(proven, float(np.max(upper[~open_ | narrow], initial=-math.inf)))
        split = open_ & ~narrow
        corner = np.concatenate([corner[split], corner[split]])
        low, high = np.concatenate([low[split], middle[split]]), np.concatenate([middle[split], high[split]])
    return peak, peak_share, max(proven, peak)


def _uppers(
    job: Job,
    step: MoveStep,
    entries: tuple[Entry, ...],
    sides: Array,
    corner: NDArray[np.intp],
    low: Array,
    high: Array,
) -> Array:
    """For each stretch in its corner a use that is not passed in it."""
    found = []
    for start in range(0, low.size, PIECE):
        part = slice(start, start + PIECE)
        numbers = figures_between(job, step, Interval(low[part], high[part]))
        found.append(
            np.broadcast_to(upper_use(job, at_corners(job, entries, sides[corner[part]], numbers)), low[part].shape)
        )
    return np.concatenate(found) + ROUND_OFF


def _reached(job: Job, step: MoveStep, pose: Pose, share: Array) -> tuple[float, float]:
    """Greatest worst-case use at some shares, and where."""
    share = np.unique(share)
    use = np.broadcast_to(limits_over(job, pose, figures_between(job, step, share)).use, share.shape)
    at = int(np.argmax(use))
    return float(use[at]), float(share[at])


# ---------------------------------------------------------------- besides limits


def _travel_m(job: Job, step: MoveStep) -> float:
    """More than any point of rig or load moves in a step: a slide, or a turn times the furthest distance there is."""
    before, after = figures(job, step.before), figures(job, step.after)
    rig, load = job.rig, job.load
    arms_m = sum(arm.length_m + abs(arm.stack_m) for arm in rig.arms) + rig.hook.drop_m
    load_m = load.sling_m + load.height_m + load.length_m + load.width_m
    match step.kind:
        case "raise" | "lower":
            return abs(after.lift_m - before.lift_m)
        case "boom":
            return abs(after.boom_out_m - before.boom_out_m)
        case "arm":
            change = step.after.arms[step.arm].turn_rad - step.before.arms[step.arm].turn_rad
            return rig.arms[step.arm].joint.most_travel_m(change, arms_m + load_m)
        case "tilt":
            upright = job.truck.upright
            far_m = (
                abs(upright.tilt_pivot_x_m) + upright.tilt_pivot_z_m + before.front_overhang_m + before.lift_m
                + upright.lowered_height_m + rig.jib_mast.foot_x_m + rig.jib_mast.length_m + rig.saddles.seat_m
                + rig.boom.length_m + arms_m + load_m
            )  # fmt: skip
            return abs(after.tilt_rad - before.tilt_rad) * far_m
        case "creep" | "pick up" | "set down" | "fit":
            return 0.0
        case _:
            assert_never(step.kind)


def _push_N(job: Job, step: MoveStep) -> float | None:
    """Greatest force a hand needs at the arm's end on the way, hinge dry; None when nothing is turned by hand."""
    if step.kind != "arm" or not swings(job.rig.arms[step.arm].joint):
        return None
    turns = np.linspace(step.before.arms[step.arm].turn_rad, step.after.arms[step.arm].turn_rad, 9)
    arms = step.before.arms
    stances = [
        msgspec.structs.replace(
            step.before,
            arms=(
                *arms[: step.arm],
                msgspec.structs.replace(arms[step.arm], turn_rad=float(turn)),
                *arms[step.arm + 1 :],
            ),
        )
        for turn in turns
    ]
    return max(arm_force(job, stance, step.arm).uphill_dry_N for stance in stances)


SEAT = (
    "The load must be down before the seat is left: somebody must sit at the controls while {part} is moved by hand, "
    "or set the load down first and place the empty hook."
)
PINNED = "Set the load down before the boom pin is pulled: an unpinned boom is a free rod, and a hung load pulls it."
FITTED = "Set the load down before an arm is fitted or taken off."
LOWER = "Nobody is at the controls: lower the forks fully before getting down to move {part}; they stand {up:m} up."
PUSH = "Pushing {part} takes up to {push:N}, over the {most:N} a person should start with hands at or above the shoulder: use a tag line or grease the hinge."
TRAVEL = "The load would travel with its underside {up:m} up: walking pace, load just clear of the floor, no turning with the load up."
WAY = (
    "Between {here} and {there} the floor is taken to fall evenly from the one to the other, and what stands on the way is not known: "
    "walk it first, look up, and measure the floor where it looks steeper."
)
TOUCH = "{part} would run {short:mm} into {object}."
NARROW = "The worst case cannot be told from the limit closely enough on this step: greatest use found {peak:share}, proven {bound:share}."


def _objections(job: Job, index: int, result: StepResult) -> list[Objection]:
    step = result.step
    part = job.rig.arms[step.arm].name if step.arm is not None else "the boom"
    found: list[Objection] = []

    def object_(stops: bool, words: str, **numbers: float | str) -> None:
        found.append(Objection(step=index, stops=stops, words=words, numbers=numbers))

    loaded = step.before.loaded and step.after.loaded
    if step.kind == "fit" and loaded:
        object_(True, FITTED)
    if step.kind == "boom" and loaded:
        object_(True, PINNED)
    if step.by_hand and step.controls == "nobody":
        if loaded:
            object_(True, SEAT, part=part)
        elif step.before.lift_m > job.truck.upright.lift_min_m + SEAT_LOWERED_M:
            object_(False, LOWER, part=part, up=step.before.lift_m)
    if result.push_N is not None and not result.push_N <= HIGH_HAND_N:
        object_(False, PUSH, part=part, push=result.push_N, most=HIGH_HAND_N)
    if step.kind == "creep":
        object_(False, WAY, here=step.before.floor, there=step.after.floor)
    if step.kind == "creep" and loaded:
        under_m = float(result.hook_m[:, 2].max()) - job.load.sling_m - job.load.height_m
        if under_m > JUST_CLEAR_M:
            object_(False, TRAVEL, up=under_m)
    for gap in result.gaps:
        if gap.clear_m < 0.0:
            object_(True, TOUCH, part=gap.part, object=gap.object, short=-gap.clear_m)
    if result.peak_use <= 1.0 < result.bound_use:
        object_(False, NARROW, peak=result.peak_use, bound=result.bound_use)
    for share in np.linspace(0.0, 1.0, 17) if step.kind == "arm" else ():
        found += [
            Objection(step=index, stops=True, words=problem.words, numbers=dict(problem.numbers))
            for problem in impossibilities(job, pose_between(job, step, float(share)))
        ]
    return found


def floors_on(job: Job, move: Move) -> tuple[str, ...]:
    """Places the truck stands at, in order, each once in a row."""
    names = [find_floor(job, find_pose(job, name)).name for name in move.poses]
    return tuple(name for index, name in enumerate(names) if index == 0 or name != names[index - 1])
