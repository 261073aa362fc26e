"""What the move panel says: each step, the verdict on the move, and what speaks against it."""

from __future__ import annotations

from engine.base.formatting import System, fill, show
from engine.planning.move import Plan, StepResult
from engine.schema.model import Controls

WHO: dict[Controls, str] = {
    "driver": "driver in the seat",
    "helper": "helper at the controls",
    "nobody": "NOBODY at the controls",
}


def step_words(number: int, result: StepResult, units: System) -> str:
    """One step: the motion, who is at the controls, and the worst of it."""
    motion = fill(result.step.words, result.step.numbers, units)
    use, rules = show(result.peak_use, "use", units), ruling_limit(result) or "no limit"
    return f"{number}. {motion}. {WHO[result.step.controls].capitalize()}. Worst {use}, {rules}"


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


def ruling_limit(result: StepResult) -> str:
    """The limit that is used most on a step; empty without one."""
    return max(result.stretches, key=lambda stretch: stretch.use).rules if result.stretches else ""
