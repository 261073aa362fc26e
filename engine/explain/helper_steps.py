"""What a helper is told, one sentence at a time: what holds, what tips, what is left, what would make it hold.

Weights on wheels and times heavier, never moments: those are the words that land.  The sentences are plain statics;
what is left, and how much heavier, are the worst case.  The cautions that go with them depend on the pose.

Sentences are templates with their numbers beside them (``engine.base.formatting.fill``).
"""

from __future__ import annotations

import itertools
import math

import msgspec

from engine.base.geometry import GRAVITY_M_S2
from engine.explain.overturn import WAY_WORDS, overturning
from engine.explain.why import Statement, Why
from engine.handling.moment_balance import first_line_to_tip
from engine.rig.kinematics import Placed, arm_link, fitted_arms
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict

LOW_HOOK_M = 1.8
"""Above this the hook's height is a caution of its own (common practice, no source)."""

TURNED_RAD = 0.05
"""An arm turned by less than about 3 degrees is straight ahead."""

ALWAYS = (
    "Nobody under, or reaching under, a raised part. Hands off: tag line. Keep fingers out of hinges and sleeves.",
    "Feeling light at the rear is too late. Stop well before a dial is low.",
)


class HelperStep(msgspec.Struct, kw_only=True, frozen=True):
    """One step: its title, its sentence, and which groups of bodies it is about (none: all of them)."""

    title: str
    said: Statement
    groups: tuple[str, ...] = ()


def helper_steps(job: Job, pose: Pose, verdict: Verdict, reason: Why) -> tuple[HelperStep, ...]:
    """The steps through one verdict, the last one its remedy.

    Parameters
    ----------
    job, pose : Job, Pose
    verdict : Verdict
    reason : Why
        ``engine.explain.why.why`` of the same verdict.

    Returns
    -------
    tuple of Step
    """
    remedy = reason.remedy or Statement(words="A remedy is being looked for; this pick is not to be made like this.")
    title = "What keeps it so" if verdict.state == "WITHIN" else "What would make it hold"
    if verdict.balance is None or verdict.worst_case is None:
        return (HelperStep(title="Why there is no answer", said=reason.cause), HelperStep(title=title, said=remedy))
    return (
        HelperStep(title="What holds", said=_holds(verdict), groups=("truck",)),
        HelperStep(title="What tips", said=_tips(verdict), groups=("rig", "rigging", "load")),
        HelperStep(title="What is left", said=_left(job, pose, verdict)),
        HelperStep(title=title, said=remedy),
    )


def _bare_kg(verdict: Verdict) -> float:
    front = verdict.balance.lines[0]
    return float(front.restoring_Nm) / (GRAVITY_M_S2 * float(verdict.placed.figures.wheelbase_m))


def _holds(verdict: Verdict) -> Statement:
    words = "The truck's own weight holds: without the rig, its back wheels carry {bare:kg}."
    return Statement(words=words, numbers={"bare": _bare_kg(verdict)})


def _tips(verdict: Verdict) -> Statement:
    taken = _bare_kg(verdict) - float(verdict.balance.rear_kg)
    numbers = {"taken": abs(taken), "reach": float(verdict.placed.hook_m.x)}
    if taken < 0.0:
        return Statement(
            words="Rig and load put {taken:kg} more on the back wheels; the hook is {reach:m} from the front wheels.",
            numbers=numbers,
        )
    return Statement(
        words="Rig and load take {taken:kg} off the back wheels, with the hook {reach:m} ahead of the front wheels.",
        numbers=numbers,
    )


def _left(job: Job, pose: Pose, verdict: Verdict) -> Statement:
    over = overturning(job, verdict)
    if over is not None:
        return Statement(words="Nothing is left: it {over}.", numbers={"over": over.words})
    standing, load_kg = verdict.worst_case.standing, job.load.mass_kg.best
    numbers = {
        "rear": standing.rear_weight_left_kg,
        "light": standing.light_front_wheel_kg,
        "part": verdict.governing.part,
        "allowed": verdict.allowed_load_kg,
    }
    words = (
        "Back wheels have {rear:kg} left, the light front wheel {light:kg}; the {part} allows {allowed:kg_down} here."
    )
    if pose.loaded and load_kg > 0.0:
        numbers |= {
            "times": standing.tipping_load_kg / load_kg,
            "way": WAY_WORDS[first_line_to_tip(verdict.balance).name],
        }
        words += " It would go over {way} if the load were {times:ratio} times as heavy."
    return Statement(words=words, numbers=numbers)


def cautions(pose: Pose, verdict: Verdict) -> tuple[str, ...]:
    """Cautions for a helper: those that always show, then those of this pose."""
    found = list(ALWAYS)
    if _turned(verdict.placed) or verdict.placed.figures.fall_across != 0.0:
        found.append("Check the light front wheel and the sleeves, not just the rear.")
    if float(verdict.placed.hook_m.z) > LOW_HOOK_M:
        found.append("Hook height, not load height, costs margin. Stay low. Look up: beams, doors, lines.")
    if pose.loaded:
        found.append("The load must be down before leaving the seat. A helper must hold the controls.")
    return tuple(found)


def _turned(placed: Placed) -> bool:
    """Whether a fitted arm is turned out of the line of the link before it."""
    arms = [placed.frames[arm_link(index)] for index in fitted_arms(placed.figures)]
    links = itertools.pairwise([placed.frames["boom"], *arms])
    return any(inner.axes.x.dot(outer.axes.x) < math.cos(TURNED_RAD) for inner, outer in links)
