"""A move held against every limit on its whole way: each step's greatest use, objections and clearances.

Ends and middle of every step come first, in a moment (`StepSamples`); then each step in turn is sampled finely and
proven (`StepResult`).

`engine.planning.move_steps` has the order of the steps, `engine.planning.use_bound` the proof that no peak is stepped
over. A move is WITHIN only when the *bound* of every step is at most 1.

Clearance from surroundings: every point of rig and load moves at most ``travel`` over a step (a turn times the furthest
distance, or a slide), so between n + 1 even samples nothing comes nearer than the samples show by more than travel /
2n; that much is taken off.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import assert_never

import msgspec
import numpy as np

from engine.base.geometry import Array
from engine.handling.clearance import Gap, gaps
from engine.handling.hand_force import HIGH_HAND_N, arm_force
from engine.limits import balance, sideways
from engine.planning.creep import (
    INCHING_M,
    INCHING_M_S,
    TURN_M,
    Creep,
    creep_of,
    creeping,
    fastest_m_s,
    least_radius_m,
)
from engine.planning.move_steps import MoveStep, figures_between, pose_between, steps_of
from engine.planning.rear_swing import PERSON_M, REAR_WANTED_M, rear_gaps, swing_out_m
from engine.planning.sweep import (
    SideUses,
    SoFar,
    Stop,
    Stopped,
    Tell,
    limits_over,
    never,
    quiet,
    sides_over,
    unheard,
)
from engine.planning.use_bound import bound
from engine.rig.check import Problem, different
from engine.rig.deflection import place_bent
from engine.rig.feasibility import impossibilities
from engine.rig.kinematics import boom_out_m, figures, place
from engine.schema.joints import swings
from engine.schema.model import Job, Move, Pose, find_pose
from engine.worst_case.uncertain_inputs import Entry, entries_of
from engine.worst_case.verdict import State, find_problems, find_unsettled

SAMPLES = 65
"""Evenly spaced samples of one motion: the ribbon's resolution, and the first estimate of its peak."""

JUST_CLEAR_M = 0.30
"""Highest a hung load travels: upper bound for rough-terrain trucks; 100-150 mm is customary (common practice)."""

SEAT_LOWERED_M = 0.05
"""Forks this close to their lowest count as fully lowered."""


FIRST_SAMPLES = 3
"""Samples of each step that are handed over before any step is examined: its ends and its middle."""

PUSHES = 9
"""Places of a turn at which the hand's force is worked out."""


class Objection(msgspec.Struct, kw_only=True, frozen=True):
    """An objection to a step besides its limits; ``stops`` when the move must not be made in this way.

    ``unproven`` is whether it only leaves the move not proven.
    """

    step: int
    stops: bool
    unproven: bool = False
    words: str
    numbers: dict[str, float | str]


class GovernedStretch(msgspec.Struct, kw_only=True, frozen=True):
    """Part of a motion, in shares of it, with one governing limit."""

    from_share: float
    to_share: float
    rules: str
    use: float

    @property
    def part(self) -> str:
        """The part that governs: the name of the limit without how it fails."""
        return self.rules.partition(": ")[0]


class StepSamples(msgspec.Struct, kw_only=True, frozen=True):
    """Samples of one motion, of which nothing is proven.

    ``share`` (n) runs from 0 to 1; ``use`` (n) is the worst case and ``rules`` (n) the name of its limit; ``sides``
    are the same of the rig and of the truck (`SideUses`, arrays (n)), and as entered.  ``peak_use`` is reached at
    ``peak_share``.
    """

    step: MoveStep
    share: Array
    use: Array
    rules: tuple[str, ...]
    sides: tuple[SideUses, SideUses]
    peak_use: float
    peak_share: float
    stretches: tuple[GovernedStretch, ...]


class StepResult(StepSamples, kw_only=True, frozen=True):
    """One motion held against the limits.

    ``rear_kg`` and ``light_kg`` (n) are plain statics at nominal values, ``hook_m`` (n, 3) the hook's path.
    ``bound_use`` is proven not to be exceeded anywhere on the motion.  ``over`` says whether the peak is over a limit
    that makes a pose OVER, and not only not proven.
    """

    rear_kg: Array
    light_kg: Array
    hook_m: Array
    bound_use: float
    over: bool
    fall_along: tuple[float, float]
    fall_across: tuple[float, float]
    push_N: float | None
    gaps: tuple[Gap, ...]


class Plan(msgspec.Struct, kw_only=True, frozen=True):
    """A whole move: its steps, the objections to it, and its state."""

    name: str
    state: State
    problems: tuple[Problem, ...]
    objections: tuple[Objection, ...]
    steps: tuple[StepResult, ...]

    @property
    def worst_step(self) -> int | None:
        """Index of the step with the greatest use reached, None when there is no step."""
        return worst_step(self.steps)


def worst_step(steps: Sequence[StepSamples]) -> int | None:
    """Index of the step with the greatest use reached, None when there is no step."""
    return max(range(len(steps)), key=lambda index: steps[index].peak_use, default=None)


# ---------------------------------------------------------------- the whole plan


def plan(job: Job, move: Move, stop: Stop = never, tell: Tell = quiet, so_far: SoFar = unheard) -> Plan:
    """A move held against every limit on its whole way; a loaded creep as it stops, swings and rolls over a step.

    Parameters
    ----------
    job : Job
    move : Move
        One of the job's moves, or one being put together.
    stop, tell
        Called before each step, when its ends and middle are sampled and again when it is examined.
    so_far
        Handed all steps as a tuple: first the ends and the middle of each (`StepSamples`), then with one more of them
        examined (`StepResult`), up to the last but one.

    Returns
    -------
    Plan
        REFUSED with its problems when a pose on the way has no verdict.  WITHIN only when the proven bound of every
        step is at most 1, no objection stops it, and nothing on the load path is left out or in question.

    Raises
    ------
    Stopped
    """
    steps = steps_of(job, move)
    poses = [find_pose(job, name) for name in move.poses] + [step.after for step in steps]
    problems = different(problem for pose in poses for problem in find_problems(job, pose))
    if problems:
        return Plan(name=move.name, state="REFUSED", problems=problems, objections=(), steps=())
    jobs = [job_on(job, move, step) for step in steps]
    sampled: list[StepSamples] = []
    for number, (job_on_step, step) in enumerate(zip(jobs, steps, strict=True), start=1):
        tell(0.0, f"ends and middle of step {number} of {len(steps)}")
        if stop():
            raise Stopped
        sampled.append(samples(job_on_step, step, np.linspace(0.0, 1.0, FIRST_SAMPLES)))
    results: list[StepResult] = []
    for job_on_step, step in zip(jobs, steps, strict=True):
        so_far((*results, *sampled[len(results) :]))
        tell(len(results) / len(steps), f"step {len(results) + 1} of {len(steps)}")
        if stop():
            raise Stopped
        results.append(run(job_on_step, step))
    tell(1.0)
    unsettled = different(problem for pose in poses for problem in find_unsettled(job, pose))
    objections = (
        *(one for index, result in enumerate(results) for one in _objections(job, move, index, result)),
        *map(_unsettled, unsettled),
    )
    return Plan(
        name=move.name, state=_state(results, objections), problems=(), objections=objections, steps=tuple(results)
    )


def _unsettled(problem: Problem) -> Objection:
    """A part left out or an entry in question, which leaves the whole move not proven."""
    return Objection(step=0, stops=False, unproven=True, words=problem.words, numbers=dict(problem.numbers))


def _state(results: list[StepResult], objections: tuple[Objection, ...]) -> State:
    if any(result.over for result in results) or any(objection.stops for objection in objections):
        return "OVER"
    proven = results and all(result.bound_use <= 1.0 for result in results)
    return "WITHIN" if proven and not any(objection.unproven for objection in objections) else "NOT PROVEN"


def job_on(job: Job, move: Move, step: MoveStep) -> Job:
    """The job with what a step adds to its allowances: the load swings while the truck creeps."""
    hung = step.kind == "creep" and step.before.loaded
    return creeping(job, creep_of(move.on_leg(step.leg), job.truck)) if hung else job


def samples(job: Job, step: MoveStep, share: Array) -> StepSamples:
    """The worst case at some shares (n) of one motion."""
    sides = tuple(
        msgspec.structs.replace(
            side,
            use=np.broadcast_to(side.use, share.shape),
            as_entered=np.broadcast_to(side.as_entered, share.shape),
            rules=np.broadcast_to(side.rules, share.shape),
        )
        for side in sides_over(job, _heavier(step), figures_between(job, step, share))
    )
    rig, truck = sides
    use = np.maximum(rig.use, truck.use)
    rules = tuple(np.where(truck.use >= rig.use, truck.rules, rig.rules).tolist())
    at = int(np.argmax(use))
    return StepSamples(
        step=step,
        share=share,
        use=use,
        rules=rules,
        sides=(rig, truck),
        peak_use=float(use[at]),
        peak_share=float(share[at]),
        stretches=_stretches(share, use, rules),
    )


def run(job: Job, step: MoveStep) -> StepResult:
    """One motion held against the limits: samples, the proven bound, wheels, hook's path, push and gaps."""
    share = np.linspace(0.0, 1.0, SAMPLES)
    numbers = figures_between(job, step, share)
    pose = _heavier(step)
    sampled = samples(job, step, share)
    entries = entries_of(job, pose, figures(job, pose))
    peak_use, peak_share, bound_use = bound(job, step, pose, share, sampled.use, entries)
    placed = place(job, numbers)
    weighed = balance.on_its_tyres(place_bent(job, numbers))
    over = not peak_use <= 1.0 and (
        sideways.NAME not in sampled.rules or _over_otherwise(job, step, pose, share, entries)
    )
    floors = figures(job, step.before), figures(job, step.after)
    return StepResult(
        step=step,
        share=share,
        use=sampled.use,
        rules=sampled.rules,
        sides=sampled.sides,
        rear_kg=np.broadcast_to(weighed.rear_kg, share.shape),
        light_kg=np.broadcast_to(weighed.light_front_kg, share.shape),
        hook_m=np.stack([np.broadcast_to(part, share.shape) for part in placed.hook_m], axis=-1),
        peak_use=peak_use,
        peak_share=peak_share,
        bound_use=bound_use,
        over=over,
        stretches=sampled.stretches,
        fall_along=(float(floors[0].fall_along), float(floors[1].fall_along)),
        fall_across=(float(floors[0].fall_across), float(floors[1].fall_across)),
        push_N=_push_N(job, step),
        gaps=_gaps(job, step, pose.loaded),
    )


def _over_otherwise(job: Job, step: MoveStep, pose: Pose, share: Array, entries: tuple[Entry, ...]) -> bool:
    """Whether a step is over without the sideways moment, which alone leaves it only not proven."""
    job = sideways.left_out(job)
    use = np.broadcast_to(limits_over(job, pose, figures_between(job, step, share), "nothing").use, share.shape)
    return not bound(job, step, pose, share, use, entries)[0] <= 1.0


def _gaps(job: Job, step: MoveStep, loaded: bool) -> tuple[Gap, ...]:
    """How near each part comes to what it may run into; of a creep, where it starts and where it ends."""
    if step.kind == "creep":
        ends = ((step.before, 0.0), (step.after, 1.0))
        found = [
            gaps(job, pose, lambda at, end=end: figures_between(job, step, 0.0 * at + end), 0.0) for pose, end in ends
        ]
        return (*found[0], *found[1])
    pose = msgspec.structs.replace(step.before, loaded=loaded)
    return gaps(job, pose, lambda at: figures_between(job, step, at), _travel_m(job, step))


def _heavier(step: MoveStep) -> Pose:
    """The end of a step on which the load hangs, so that the load's uncertainty counts on all of it."""
    return step.after if step.after.loaded else step.before


def _stretches(share: Array, use: Array, rules: tuple[str, ...]) -> tuple[GovernedStretch, ...]:
    """Neighbouring samples with the same governing limit joined; stretches meet half way between samples."""
    stretches, first = [], 0
    for index in range(1, len(rules) + 1):
        if index == len(rules) or rules[index] != rules[first]:
            low = share[first] if first == 0 else (share[first - 1] + share[first]) / 2.0
            high = share[-1] if index == len(rules) else (share[index - 1] + share[index]) / 2.0
            stretches.append(
                GovernedStretch(
                    from_share=float(low), to_share=float(high), rules=rules[first], use=float(use[first:index].max())
                )
            )
            first = index
    return tuple(stretches)


# ---------------------------------------------------------------- objections besides the limits


def _travel_m(job: Job, step: MoveStep) -> float:
    """At least as far as any point of rig or load moves in a step: a slide, or a turn times the furthest distance."""
    before, after, rig, load = step.before, step.after, job.rig, job.load
    arms_m = sum(arm.reach_m + abs(arm.stack_m) for arm in rig.arms) + rig.hook.drop_m
    load_m = load.sling_m + load.height_m + load.length_m + load.width_m
    match step.kind:
        case "raise" | "lower":
            return abs(after.lift_m - before.lift_m)
        case "boom":
            return abs(boom_out_m(rig, after) - boom_out_m(rig, before))
        case "arm":
            # Only the arm that moves differs.
            return sum(
                arm.joint.most_travel_m(end.turn_rad - start.turn_rad, arms_m + load_m)
                for arm, start, end in zip(rig.arms, before.arms, after.arms, strict=True)
            )
        case "tilt":
            upright = job.truck.upright
            far_m = (
                abs(upright.tilt_pivot_x_m) + upright.tilt_pivot_z_m + job.truck.front_overhang_m.best + before.lift_m
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
    index = step.arm
    if step.kind != "arm" or index is None or not swings(job.rig.arms[index].joint):
        return None
    shares = np.linspace(0.0, 1.0, PUSHES)
    return max(arm_force(job, pose_between(job, step, float(share)), index).uphill_dry_N for share in shares)


SEAT = (
    "The load must be down before the seat is left: somebody must sit at the controls while {part} is moved by hand, "
    "or set the load down first and place the empty hook."
)
PINNED = "Set the load down before the boom pin is pulled: an unpinned boom is a free rod, and a hung load pulls it."
FITTED = "Set the load down before an arm is fitted or taken off."
LOWER = "Nobody is at the controls: lower the forks fully before getting down to move {part}; they stand {up:m} up."
PUSH = (
    "Pushing {part} takes up to {push:N}, over the {most:N} a person should start with hands at or above the "
    "shoulder: use a tag line or grease the hinge."
)
TRAVEL = (
    "Unsafe to travel raised: the load's underside would be {up:m} up. Lower it to just clear of the floor, then creep."
)
INCHING = (
    "The load is raised, its underside {up:m} up: inch it no more than {far:m}, no faster than {fast:speed}, nobody "
    "beside it."
)
STRAIGHT, ROUND = "straight", "round a turn of {radius:m}, to either side"
"""Which way it creeps; the radius is at the middle of the front axle."""

CREEP = "Creeping {way} at {speed:speed}, stopping within {stop:m}, over a step of {step:mm} under one front wheel."
CREEP_BLANK = (
    "Nobody has said how fast it creeps {way}: {pace} is taken, {speed:speed}, stopping within {stop:m}, over a step "
    "of {step:mm} under one front wheel."
)
ASK_RADIUS = (
    "The truck's turning radius is not entered, so nobody knows which turns it makes: take it from the truck's papers, "
    "or measure the circle of its outermost corner at full lock."
)
NO_TIGHTER = (
    "The truck may turn no tighter than {least:m} at the middle of its front axle; a turn of {radius:m} is taken all "
    "the same."
)
TIGHT = "Turning tighter than {usual:m} with a load hung, no faster than {fast:speed}."
REAR = (
    "Turning, the rear swings out {out:mm_up} beyond the path of the front wheel: stay {person:mm} clear of where "
    "anybody stands."
)
REAR_TOUCHES = "Turning, the rear runs into {object} by {short:mm_up}."
REAR_NEAR = "Turning, the rear comes within {gap:mm_down} of {object}; {wanted:mm} is wanted."
REAR_MAY_BE_NEAR = (
    "Turning, the rear would have {gap:mm_down} to {object}, less than the {wanted:mm} that is wanted once all that "
    "may be off is against it."
)
TOO_FAST = "At that speed a stop is over a limit; no faster than {fastest:speed_down}."
NO_SPEED = "At no speed does a stop keep every limit."
WAY = (
    "Between {here} and {there} the floor is taken to fall evenly from the one to the other, and what stands on the "
    "way is not known: walk it first, look up, and measure the floor where it looks steeper."
)
TOUCH = "{part} would run {short:mm} into {object}."
NEAR = "{part} would come within {gap:mm} of {object}; {wanted:mm} is wanted."
UNMEASURED = (
    "{part} would come within {gap:mm} of {object}; {wanted:mm} is wanted. Nobody has measured {unmeasured}: measure "
    "it, or say that there is none."
)
MAY_BE_NEAR = (
    "{part} would have {gap:mm} to {object}, less than the {wanted:mm} that is wanted once all that may be off is "
    "against it."
)
NARROW = (
    "The worst case cannot be told from the limit closely enough on this step: greatest use found {peak:share}, "
    "proven {bound:share}."
)


def _in_the_way(index: int, gap: Gap) -> Objection:
    called = gap.called[0].upper() + gap.called[1:]
    short = not gap.clear_m >= gap.wanted_m
    words = MAY_BE_NEAR if not short else UNMEASURED if gap.unmeasured else TOUCH if gap.clear_m < 0.0 else NEAR
    numbers: dict[str, float | str] = {"part": called, "object": gap.object}
    if words == TOUCH:
        numbers["short"] = -gap.clear_m
    else:
        numbers |= {"gap": max(gap.clear_m, 0.0), "wanted": gap.wanted_m}
    if gap.unmeasured:
        numbers["unmeasured"] = gap.unmeasured
    stops = short and not gap.unmeasured
    return Objection(step=index, stops=stops, unproven=not stops, words=words, numbers=numbers)


def _creeps(job: Job, creep: Creep, result: StepResult) -> Iterator[tuple[bool, str, dict[str, float | str]]]:
    """What speaks against a loaded creep: whether it stops the move, template and numbers."""
    numbers: dict[str, float | str] = {"speed": creep.speed_m_s, "stop": creep.stop_m, "step": creep.step_m}
    words, way, pace = CREEP if creep.said else CREEP_BLANK, STRAIGHT, "walking pace"
    if creep.radius_m is not None:
        way, pace = ROUND, "less than walking pace"
        numbers["radius"] = creep.radius_m
    yield False, words.replace("{way}", way).replace("{pace}", pace), numbers
    if creep.too_fast_for_its_turn:
        yield True, TIGHT, {"usual": TURN_M, "fast": INCHING_M_S}
    if result.over:
        limit_m_s = fastest_m_s(job, creep, result.step.before, result.step.after)
        yield True, TOO_FAST if limit_m_s > 0.0 else NO_SPEED, {"fastest": limit_m_s}
    under_m = float(result.hook_m[:, 2].max()) - job.load.sling_m - job.load.height_m
    if under_m > JUST_CLEAR_M:
        words = INCHING if creep.inching else TRAVEL
        yield not creep.inching, words, {"up": under_m, "far": INCHING_M, "fast": INCHING_M_S}


def _turns(
    job: Job, radius_m: float, distance_m: float | None, step: MoveStep
) -> Iterator[tuple[bool, bool, str, dict[str, float | str]]]:
    """What speaks against a turn, loaded or not: whether it stops the move or leaves it unproven, and the words."""
    truck = job.truck
    least_m = least_radius_m(truck)
    if least_m is None:
        yield False, True, ASK_RADIUS, {}
    elif radius_m < least_m:
        yield False, False, NO_TIGHTER, {"least": least_m, "radius": radius_m}
    yield False, False, REAR, {"out": swing_out_m(truck, radius_m), "person": PERSON_M}
    for gap in rear_gaps(job, radius_m, distance_m, (step.before.floor, step.after.floor)):
        if gap.worst_m >= REAR_WANTED_M:
            continue
        numbers: dict[str, float | str] = {"object": gap.object, "gap": gap.clear_m, "wanted": REAR_WANTED_M}
        if gap.clear_m >= REAR_WANTED_M:
            yield False, True, REAR_MAY_BE_NEAR, numbers
        elif gap.clear_m >= 0.0:
            yield True, False, REAR_NEAR, numbers
        else:
            yield True, False, REAR_TOUCHES, {"object": gap.object, "short": -gap.clear_m}


def _objections(job: Job, move: Move, index: int, result: StepResult) -> list[Objection]:
    step = result.step
    part = job.rig.arms[step.arm].name if step.arm is not None else "the boom"
    objections: list[Objection] = []

    def object_(stops: bool, words: str, **numbers: float | str) -> None:
        objections.append(Objection(step=index, stops=stops, words=words, numbers=numbers))

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
        creep = creep_of(move.on_leg(step.leg), job.truck)
        if loaded:
            for stops, words, numbers in _creeps(job, creep, result):
                object_(stops, words, **numbers)
        if creep.radius_m is not None:
            turns = _turns(job, creep.radius_m, creep.distance_m, step)
            objections += [
                Objection(step=index, stops=stops, unproven=unproven, words=words, numbers=numbers)
                for stops, unproven, words, numbers in turns
            ]
    objections += [_in_the_way(index, gap) for gap in result.gaps if not gap.worst_m >= gap.wanted_m]
    if result.peak_use <= 1.0 < result.bound_use:
        object_(False, NARROW, peak=result.peak_use, bound=result.bound_use)
    for share in np.linspace(0.0, 1.0, 17) if step.kind == "arm" else ():
        objections += [
            Objection(step=index, stops=True, words=problem.words, numbers=dict(problem.numbers))
            for problem in impossibilities(job, pose_between(job, step, float(share)))
        ]
    return objections
