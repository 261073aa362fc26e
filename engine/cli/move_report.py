"""A move and its smallest margin, as text for a person and as JSON for another program."""

from __future__ import annotations

import json

from engine.base.formatting import System, fill, show
from engine.cli.report_parts import heading, json_array, json_heading, json_number, json_problems, problem_lines
from engine.planning.move import Plan, StepResult
from engine.schema.model import Controls, Job
from engine.worst_case.verdict import STATE_WORDS

CONTROLS_WORDS: dict[Controls, str] = {
    "driver": "driver at the controls",
    "helper": "helper at the controls",
    "nobody": "nobody at the controls",
}


def as_json(job: Job, plan: Plan) -> str:
    """Steps in order with their samples, stretches and proven bounds."""
    values = {
        **json_heading(job),
        "move": plan.name,
        "state": plan.state,
        "problems": json_problems(plan.problems),
        "objections": [
            {
                "step": objection.step + 1,
                "stops": objection.stops,
                "words": fill(objection.words, objection.numbers, "metric"),
            }
            for objection in plan.objections
        ],
        "worst_step": None if plan.worst_step is None else plan.worst_step + 1,
        "steps": [_step_dict(result) for result in plan.steps],
    }
    return json.dumps(values, indent=2, ensure_ascii=False, allow_nan=False)


def _step_dict(result: StepResult) -> dict[str, object]:
    step = result.step
    return {
        "leg": step.leg + 1,
        "kind": step.kind,
        "words": fill(step.words, step.numbers, "metric"),
        "controls": step.controls,
        "peak_use": json_number(result.peak_use),
        "peak_at": result.peak_share,
        "bound_use": json_number(result.bound_use),
        "rules": [
            {
                "from": stretch.from_share,
                "to": stretch.to_share,
                "rules": stretch.rules,
                "use": json_number(stretch.use),
            }
            for stretch in result.stretches
        ],
        "fall_along": list(result.fall_along),
        "fall_across": list(result.fall_across),
        "push_N": result.push_N,
        "gaps": [
            {
                "part": gap.part,
                "object": gap.object,
                "clear_m": gap.clear_m,
                "required_m": gap.wanted_m,
                "at": gap.share,
            }
            for gap in result.gaps
        ],
        "at": json_array(result.share),
        "use": json_array(result.use),
        "rear_weight_left_kg": json_array(result.rear_kg),
        "light_front_wheel_kg": json_array(result.light_kg),
        "hook_m": json_array(result.hook_m),
    }


def as_text(job: Job, plan: Plan, system: System) -> str:
    """Step by step: what moves, who sits where, greatest use and its governing limit, objections."""
    lines = [*heading(job), f"Move {plan.name!r}", "", f"{plan.state}: {STATE_WORDS[plan.state]}"]
    lines += [f"REFUSED: {line}" for line in problem_lines(plan.problems, system)]
    for index, result in enumerate(plan.steps):
        words = fill(result.step.words, result.step.numbers, system)
        lines += ["", f"{index + 1}. {words} ({CONTROLS_WORDS[result.step.controls]})", *_margin_lines(result, system)]
        for objection in (objection for objection in plan.objections if objection.step == index):
            words = fill(objection.words, objection.numbers, system)
            lines.append(f"   {'STOP: ' if objection.stops else 'Mind: '}{words}")
    if plan.worst_step is not None:
        worst = plan.steps[plan.worst_step]
        at, use = show(worst.peak_share, "share", system), show(worst.peak_use, "use", system)
        lines += ["", f"Worst: step {plan.worst_step + 1}, {at} of the way, {use}"]
    return "\n".join(lines)


def _margin_lines(result: StepResult, system: System) -> list[str]:
    """Greatest use, which limit governs on which stretch, and the push by hand."""
    peak, bound = show(result.peak_use, "use", system), show(result.bound_use, "use", system)
    lines = [
        f"   greatest use {peak} at {show(result.peak_share, 'share', system)} of the way "
        f"(proven nowhere over {bound}); "
        f"rear weight left {show(float(result.rear_kg.min()), 'kg_down', system)}"
    ]
    for stretch in result.stretches:
        first, last = (show(share, "share", system) for share in (stretch.from_share, stretch.to_share))
        use = show(stretch.use, "use", system)
        lines.append(f"   {first:>6} to {last:>6}: {use}  {stretch.rules}")
    if result.push_N is not None:
        lines.append(f"   push at the arm's end up to {show(result.push_N, 'N', system)} (hinge dry)")
    return lines
