"""The worst case of a verdict, and what each uncertain entry costs, as plain values and in words."""

from __future__ import annotations

from engine.base.formatting import System, show
from engine.cli.report_parts import json_load, json_number
from engine.explain.shown import ShownFigures, figure_text
from engine.rig.check import Check
from engine.strength.cautions import thin_end_advice
from engine.worst_case.entry_costs import EntryCost, costliest_entries, entries_to_measure
from engine.worst_case.verdict import STATE_WORDS, Verdict, nominal_state
from engine.worst_case.worst_case import WorstCase


def nominal_dict(verdict: Verdict, figures: ShownFigures) -> dict[str, object] | None:
    """What nominal values alone would say: for comparison, never to act on."""
    settled = figures.settled
    if verdict.worst_case is None or settled is None:
        return None
    return {
        "state": nominal_state(verdict.checks),
        "allowed_load_kg": json_number(figures.allowed_as_entered_kg),
        "governing": _name(verdict.nominal_governing),
        "rear_weight_left_kg": json_number(settled.rear_left_kg),
        "light_front_wheel_kg": json_number(settled.light_wheel_kg),
        "tipping_load_kg": json_number(settled.tipping_load_kg),
    }


def worst_dict(verdict: Verdict, figures: ShownFigures) -> dict[str, object] | None:
    """Every limit with all entries against it; the truck's balance as plain statics, without allowances."""
    worst, wheels = verdict.worst_case, figures.worst
    if worst is None or wheels is None:
        return None
    return {
        "state": verdict.state,
        "allowed_load_kg": json_number(figures.allowed_load_kg),
        "governing": _name(verdict.governing),
        "rear_weight_left_kg": json_number(wheels.rear_left_kg),
        "light_front_wheel_kg": json_number(wheels.light_wheel_kg),
        "tipping_load_kg": json_number(wheels.tipping_load_kg),
        "tipping_use": {line: json_number(use) for line, use in worst.standing.tipping_use.items()},
        "checks": [
            {"part": check.part, "kind": check.kind, "use": json_number(use), **json_load(load_kg)}
            for check, use, load_kg in zip(verdict.checks, worst.use_of_each, worst.allowed_load_kg, strict=True)
        ],
    }


def cost_dicts(verdict: Verdict) -> list[dict[str, object]]:
    """Uncertain entries by what they cost the most used limit, dearest first, each with what measuring gains."""
    worst = verdict.worst_case
    if worst is None:
        return []
    check = verdict.checks[worst.worst_index]
    return [
        {
            "entry": cost.entry.name,
            "cost": json_number(cost.cost),
            "share": json_number(cost.share),
            "on": check.name,
            "buys": gain_words(cost, verdict, check, "metric"),
        }
        for cost in costliest_entries(worst)
    ]


def gain_words(cost: EntryCost, verdict: Verdict, check: Check, system: System) -> str | None:
    """What measuring one entry would gain, in one sentence; ``None`` where it would change nothing that is shown."""
    worst = verdict.worst_case
    assert worst is not None  # an entry costs something
    if cost.settles and verdict.doubt_alone:
        return f"{cost.entry.advice}: NOT PROVEN becomes WITHIN, if it comes out as entered."
    now, then = (show(use, "use", system) for use in (worst.use[worst.worst_index], cost.use_then))
    if now == then:
        return None
    return f"{cost.entry.advice}: the use of {check.name} comes down from {now} to {then}, if it comes out as entered."


def text(verdict: Verdict, figures: ShownFigures, system: System) -> list[str]:
    """The worst case in words, the result as entered beside it, then what each uncertain entry costs."""
    worst = verdict.worst_case
    if worst is None:
        return []
    check = verdict.checks[worst.worst_index]
    use, as_entered = (show(float(use), "use", system) for use in (worst.use[worst.worst_index], check.use))
    allowed = figure_text(figures, "allowed_as_entered_kg", system)
    rear, light, tipping = (
        figure_text(figures.worst, name, system) for name in ("rear_left_kg", "light_wheel_kg", "tipping_load_kg")
    )
    return [
        f"  as entered it would be a load of {allowed} ({_name(verdict.nominal_governing)})",
        "",
        "Worst case, every uncertain entry against it together, welds and walls at their thin end:",
        f"  most used: {check.name}, {use} (as entered {as_entered})",
        f"  rear weight left {rear}, lightest front wheel {light}, tipping load {tipping} (plain statics, load on)",
        *_cost_lines(verdict, worst, system),
    ]


def _cost_lines(verdict: Verdict, worst: WorstCase, system: System) -> list[str]:
    check = verdict.checks[worst.worst_index]
    lines = ["  what the doubt costs there:"]
    for cost in costliest_entries(worst):
        words = gain_words(cost, verdict, check, system)
        line = f"    {show(100.0 * cost.cost, 'ratio', system)} points of use  {cost.entry.name}"
        lines.append(f"{line}. {words}" if words else line)
    if verdict.doubt_alone:
        together = entries_to_measure(worst)
        if len(together) > 1:
            advice = "; ".join(entry.advice for entry in together)
            lines.append(f"    Together these would make it WITHIN, if they come out as entered: {advice}.")
        elif not together:
            advice = thin_end_advice(worst.job.rig)
            lines.append(f"    Measuring these alone is not enough.{advice} {STATE_WORDS['NOT PROVEN']}.")
    return lines


def _name(check: Check | None) -> str | None:
    return check.name if check is not None else None
