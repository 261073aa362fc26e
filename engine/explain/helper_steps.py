"""What a helper is told, one sentence at a time: what holds, what tips, what is left, what would make it hold.

The sentences speak of weights on wheels and of how many times heavier, never of moments: a helper understands those.
What holds and what tips are plain statics; what is left, and how much heavier, are the worst case.  The cautions depend
on the pose.

Sentences are templates with their numbers beside them (``engine.base.formatting.fill``).
"""

from __future__ import annotations

import msgspec

from engine.base.geometry import GRAVITY_M_S2, Number
from engine.explain.overturn import WAY_WORDS, overturning
from engine.explain.why import Statement, Why
from engine.handling.moment_balance import first_line_to_tip
from engine.limits.balance import Balance
from engine.rig.kinematics import Placed
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict
from engine.worst_case.worst_case import WorstStanding

LOW_HOOK_M = 1.8
"""Above this the hook's height is a caution of its own (common practice, no source)."""

TURNED_RAD = 0.05
"""An arm turned by less than about 3 degrees is straight ahead."""

ALWAYS = (
    "Nobody under, or reaching under, a raised part. Hands off: tag line. Keep fingers out of hinges and sleeves.",
    "If the rear feels light, it is already too late: stop well before a dial is low.",
)
"""Cautions that every pose needs."""


class HelperStep(msgspec.Struct, kw_only=True, frozen=True):
    """One step: its title, its sentence, and which groups of bodies it is about (none: all of them)."""

    title: str
    statement: Statement
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
    tuple of HelperStep
    """
    remedy = reason.remedy or Statement(words="A remedy is being looked for; this pick is not to be made like this.")
    title = "What keeps it so" if verdict.state == "WITHIN" else "What would make it hold"
    weighed, worst, allowed_kg = verdict.leaned, verdict.worst_case, verdict.allowed_load_kg
    if verdict.balance is None or weighed is None or worst is None or verdict.governing is None or allowed_kg is None:
        return (
            HelperStep(title="Why there is no answer", statement=reason.cause),
            HelperStep(title=title, statement=remedy),
        )
    front = verdict.balance.lines[0]
    bare_kg = float(front.restoring_Nm) / (GRAVITY_M_S2 * float(verdict.placed.figures.wheelbase_m))
    over = overturning(job, verdict)
    if over is not None:
        left = Statement(words="Nothing is left: it {over}.", numbers={"over": over.words})
    else:
        load_kg = job.load.mass_kg.best if pose.loaded else 0.0
        left = _left(weighed, worst.standing, load_kg, verdict.governing.part, allowed_kg)
    return (
        HelperStep(title="What holds", statement=_holds(bare_kg), groups=("truck",)),
        HelperStep(
            title="What tips", statement=_tips(bare_kg, weighed, verdict.placed), groups=("rig", "rigging", "load")
        ),
        HelperStep(title="What is left", statement=left),
        HelperStep(title=title, statement=remedy),
    )


def _holds(bare_kg: float) -> Statement:
    words = "The truck's own weight holds: without the rig, its back wheels carry {bare:kg_down}."
    return Statement(words=words, numbers={"bare": bare_kg})


def _tips(bare_kg: float, weighed: Balance, placed: Placed) -> Statement:
    taken_kg = bare_kg - float(weighed.rear_kg)
    numbers = {"taken": abs(taken_kg), "reach": float(placed.hook_m.x)}
    if taken_kg < 0.0:
        return Statement(
            words="Rig and load put {taken:kg_down} more on the back wheels; "
            "the hook is {reach:afar} from the front wheels.",
            numbers=numbers,
        )
    return Statement(
        words="Rig and load take {taken:kg_up} off the back wheels, "
        "with the hook {reach:afar} ahead of the front wheels.",
        numbers=numbers,
    )


def _left(weighed: Balance, standing: WorstStanding, load_kg: float, part: str, allowed_kg: float) -> Statement:
    """What stays on the wheels in the worst case, what the governing part allows, and how much heavier would tip."""
    words = (
        "Back wheels have {rear:kg_down} left, the lightest front wheel {light:kg_down}. "
        "Most load here: {allowed:kg_down}, limited by the {part}."
    )
    numbers: dict[str, Number | str] = {
        "rear": standing.rear_weight_left_kg,
        "light": standing.light_front_wheel_kg,
        "part": part,
        "allowed": allowed_kg,
    }
    if load_kg > 0.0:
        words += " At {times:ratio_down} times the load it goes over {way}."
        way = WAY_WORDS[first_line_to_tip(weighed).name]
        numbers |= {"times": standing.tipping_load_kg / load_kg, "way": way}
    return Statement(words=words, numbers=numbers)


def cautions(pose: Pose, verdict: Verdict) -> tuple[str, ...]:
    """Cautions for a helper: those that always show, then those of this pose."""
    figures, sentences = verdict.placed.figures, list[str](ALWAYS)
    turned = any(turn is not None and abs(turn) > TURNED_RAD for turn in figures.turns_rad)
    if turned or figures.fall_across != 0.0:
        sentences.append("Check the lightest front wheel and the sleeves, too.")
    if float(verdict.placed.hook_m.z) > LOW_HOOK_M:
        sentences.append("Stay low. Look up: beams, doors, lines.")
    if pose.loaded:
        sentences.append("The load must be down before leaving the seat. A helper must hold the controls.")
    return tuple(sentences)
