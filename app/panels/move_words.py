"""What the move panel says: each step, the verdict on the move, and what speaks against it."""

from __future__ import annotations

from collections.abc import Sequence

from engine.base.formatting import System, fill, show
from engine.planning.move import Plan, StepResult, StepSamples
from engine.schema.model import Controls

WHO: dict[Controls, str] = {
    "driver": "driver in the seat",
    "helper": "helper at the controls",
    "nobody": "NOBODY at the controls",
}


def step_words(number: int, step: StepSamples, units: System) -> str:
    """One step: the motion, who is at the controls, and the worst of it, or the worst so far."""
    use, rules = show(step.peak_use, "use", units), ruling_limit(step) or "no limit"
    worst = "Worst" if isinstance(step, StepResult) else "Ends and middle: worst so far"
    return f"{number}. {motion_words(step, units)} {worst} {use}, {rules}"


def motion_words(step: StepSamples, units: System) -> str:
    """One step: the motion and who is at the controls."""
    motion = fill(step.step.words, step.step.numbers, units)
    return f"{motion}. {WHO[step.step.controls].capitalize()}."


def step_name(step: StepSamples, units: System) -> str:
    """A step in two or three words: what is done, without how far."""
    words = step.step.words.partition(" from ")[0].partition(",")[0]
    return fill(words, step.step.numbers, units)


def ribbon_words(number: int, step: StepSamples, units: System) -> str:
    """One step as the ribbon reads it: as in the list, and the worst of rig and truck beside each other."""
    worst = []
    for side in step.sides:
        at = int(side.use.argmax())
        worst.append(f"{side.side.upper()} {show(float(side.use[at]), 'use', units)} ({side.rules[at]})")
    return f"{number}. {motion_words(step, units)} In the worst case {', '.join(worst)}"


CREEPS = "The ribbon counts the stop and the swing of a creep; the verdict is of the truck standing."


def place_words(steps: Sequence[StepSamples], place: float, units: System) -> str:
    """The place where a move is looked at: its step, and how far through it."""
    index = min(int(place), len(steps) - 1)
    step = steps[index]
    through = show(place - index, "share", units)
    words = f"Here: step {index + 1} of {len(steps)}, {through} through. {motion_words(step, units)}"
    hung = step.step.kind == "creep" and step.step.before.loaded
    return f"{words} {CREEPS}" if hung else words


def verdict_words(plan: Plan, units: System) -> str:
    """The move's state with its worst step, or what stands in the way of a verdict."""
    if plan.problems:
        return "\n".join(fill(problem.words, problem.numbers, units) for problem in plan.problems)
    if plan.worst_step is None:
        return plan.state
    worst = plan.steps[plan.worst_step]
    use = show(worst.peak_use, "use", units)
    bound = show(max(step.bound_use for step in plan.steps), "use", units)
    return (
        f"{plan.state}: worst in step {plan.worst_step + 1}, {use} used ({ruling_limit(worst)}); "
        f"proven nowhere over {bound}."
    )


def objection_words(plan: Plan, units: System) -> str:
    """What speaks against the steps, each once with the steps it is said of, what stops the move first."""
    steps_of: dict[tuple[bool, str], list[int]] = {}
    for objection in plan.objections:
        words = fill(objection.words, objection.numbers, units)
        steps_of.setdefault((objection.stops, words), []).append(objection.step + 1)
    lines = []
    for (stops, words), steps in sorted(steps_of.items(), key=lambda item: (not item[0][0], item[1][0])):
        named = ", ".join(str(step) for step in dict.fromkeys(steps))
        lines.append(f"Step{'s' if len(steps) > 1 else ''} {named}{': STOP' if stops else ''}: {words}")
    return "\n".join(lines)


def ruling_limit(result: StepSamples) -> str:
    """The limit that is used most on a step; empty without one."""
    return max(result.stretches, key=lambda stretch: stretch.use).rules if result.stretches else ""
