"""The worst case of a verdict, and what each uncertain entry costs, as plain values and in words."""

from __future__ import annotations

from engine.base.formatting import System, show
from engine.cli.report_parts import json_number
from engine.rig.check import Check
from engine.worst_case.entry_costs import EntryCost, costliest_entries, entries_to_measure
from engine.worst_case.verdict import STATE_WORDS, State, Verdict, nominal_state
from engine.worst_case.worst_case import WorstCase


def nominal_dict(verdict: Verdict) -> dict[str, object] | None:
    """What nominal values alone would say: for comparison, never to act on."""
    weighed = verdict.balance
    if verdict.worst_case is None or weighed is None:
        return None
    return {
        "state": nominal_state(verdict.checks),
        "allowed_load_kg": json_number(verdict.nominal_allowed_load_kg),
        "governing": _name(verdict.nominal_governing),
        "rear_weight_left_kg": json_number(weighed.rear_kg),
        "light_front_wheel_kg": json_number(weighed.light_front_kg),
        "tipping_load_kg": json_number(weighed.tipping_load_kg),
    }


def worst_dict(verdict: Verdict) -> dict[str, object] | None:
    """Every limit with all entries against it; the truck's balance as plain statics, without allowances."""
    worst = verdict.worst_case
    if worst is None:
        return None
    return {
        "state": verdict.state,
        "allowed_load_kg": json_number(verdict.allowed_load_kg),
        "governing": _name(verdict.governing),
        "rear_weight_left_kg": json_number(worst.standing.rear_weight_left_kg),
        "light_front_wheel_kg": json_number(worst.standing.light_front_wheel_kg),
        "tipping_load_kg": json_number(worst.standing.tipping_load_kg),
        "tipping_use": {line: json_number(use) for line, use in worst.standing.tipping_use.items()},
        "checks": [
            {"part": check.part, "kind": check.kind, "use": json_number(use), "allowed_load_kg": json_number(load_kg)}
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
            "buys": gain_words(cost, worst, check, verdict.state, "metric"),
        }
        for cost in costliest_entries(worst)
    ]


def gain_words(cost: EntryCost, worst: WorstCase, check: Check, state: State, system: System) -> str | None:
    """What measuring one entry would gain, in one sentence; ``None`` where it would change nothing that is shown."""
    if cost.settles and state == "NOT PROVEN":
        return f"{cost.entry.advice}: {state} becomes WITHIN, if it comes out as entered."
    now, then = (show(use, "share", system) for use in (worst.use[worst.worst_index], cost.use_then))
    if now == then:
        return None
    return f"{cost.entry.advice}: the use of {check.name} comes down from {now} to {then}, if it comes out as entered."


def text(verdict: Verdict, system: System) -> list[str]:
    """The worst case in words, the nominal result beside it, then what each uncertain entry costs."""
    worst = verdict.worst_case
    if worst is None:
        return []
    check, use = verdict.checks[worst.worst_index], worst.use[worst.worst_index]
    standing = worst.standing
    nominal_use, nominal = (
        show(float(check.use), "share", system),
        show(verdict.nominal_allowed_load_kg, "kg_down", system),
    )
    return [
        f"  best values alone would allow {nominal} ({_name(verdict.nominal_governing)})",
        "",
        "Worst case, every uncertain entry against it together:",
        f"  most used: {check.name}, {show(use, 'share', system)} (best values {nominal_use})",
        f"  rear weight left {show(standing.rear_weight_left_kg, 'kg', system)}, light front wheel "
        f"{show(standing.light_front_wheel_kg, 'kg', system)}, tipping load "
        f"{show(standing.tipping_load_kg, 'kg_down', system)} (plain statics)",
        *_cost_lines(verdict, worst, system),
    ]


def _cost_lines(verdict: Verdict, worst: WorstCase, system: System) -> list[str]:
    check = verdict.checks[worst.worst_index]
    lines = ["  what the doubt costs there:"]
    for cost in costliest_entries(worst):
        words = gain_words(cost, worst, check, verdict.state, system)
        line = f"    {show(100.0 * cost.cost, 'ratio', system)} points of use  {cost.entry.name}"
        lines.append(f"{line}. {words}" if words else line)
    if verdict.state == "NOT PROVEN":
        together = entries_to_measure(worst)
        if len(together) > 1:
            advice = "; ".join(entry.advice for entry in together)
            lines.append(f"    Together these would make it WITHIN, if they come out as entered: {advice}.")
        elif not together:
            lines.append(f"    Measuring alone would not settle it. {STATE_WORDS['NOT PROVEN']}.")
    return lines


def _name(check: Check | None) -> str | None:
    return check.name if check is not None else None
