"""The worst case of a verdict and what the doubt costs, as plain values and in words."""

from __future__ import annotations

import math
from typing import Any

from engine.base.formatting import System, show
from engine.rig.check import Check
from engine.worst_case.verdict import STATE_WORDS, Verdict
from engine.worst_case.worst_case import Cost, WorstCase, rank, settling


def best_dict(verdict: Verdict) -> dict[str, Any] | None:
    """What best values alone would say; never what the person should go by."""
    if verdict.worst_case is None:
        return None
    return {
        "state": "WITHIN" if all(check.use <= 1.0 for check in verdict.checks) else "OVER",
        "allowed_load_kg": _number(verdict.nominal_allowed_load_kg),
        "governing": _name(verdict.nominal_governing),
        "rear_weight_left_kg": _number(verdict.balance.rear_kg),
        "light_front_wheel_kg": _number(verdict.balance.light_front_kg),
        "tipping_load_kg": _number(verdict.balance.tipping_load_kg),
    }


def worst_dict(verdict: Verdict) -> dict[str, Any] | None:
    """Every limit with all entries against it; the truck's standing in plain statics, without allowances."""
    worst = verdict.worst_case
    if worst is None:
        return None
    return {
        "state": verdict.state,
        "allowed_load_kg": _number(verdict.allowed_load_kg),
        "governing": _name(verdict.governing),
        "rear_weight_left_kg": _number(worst.standing.rear_weight_left_kg),
        "light_front_wheel_kg": _number(worst.standing.light_front_wheel_kg),
        "tipping_load_kg": _number(worst.standing.tipping_load_kg),
        "tipping_use": {line: _number(use) for line, use in worst.standing.tipping_use.items()},
        "checks": [
            {"part": check.part, "kind": check.kind, "use": _number(use), "allowed_load_kg": _number(load_kg)}
            for check, use, load_kg in zip(verdict.checks, worst.use, worst.allowed_load_kg, strict=True)
        ],
    }


def doubt_list(verdict: Verdict) -> list[dict[str, Any]]:
    """Entries by what they cost the worst limit, dearest first, each with what measuring it would buy."""
    worst = verdict.worst_case
    if worst is None:
        return []
    check = verdict.checks[worst.worst_index]
    return [
        {
            "entry": cost.entry.name,
            "cost": _number(cost.cost),
            "share": _number(cost.share),
            "on": _name(check),
            "buys": buys_words(cost, worst, check, verdict.state, "metric"),
        }
        for cost in rank(worst)
    ]


def buys_words(cost: Cost, worst: WorstCase, check: Check, state: str, system: System) -> str | None:
    """What measuring one entry would buy, in one sentence; None when it would buy nothing worth saying."""
    if cost.settles and state == "NOT PROVEN":
        return f"{cost.entry.advice}: {state} becomes WITHIN, if it comes out as entered."
    now, then = (show(use, "share", system) for use in (worst.use[worst.worst_index], cost.use_then))
    if now == then:
        return None
    return (
        f"{cost.entry.advice}: the use of {_name(check)} comes down from {now} to {then}, if it comes out as entered."
    )


def text(verdict: Verdict, system: System) -> list[str]:
    """Worst case and doubt in words, best values beside."""
    worst = verdict.worst_case
    if worst is None:
        return []
    check, use = verdict.checks[worst.worst_index], worst.use[worst.worst_index]
    standing = worst.standing
    lines = [
        f"  best values alone would allow {show(verdict.nominal_allowed_load_kg, 'kg_down', system)} ({_name(verdict.nominal_governing)})",
        "",
        "Worst case, every uncertain entry against it together:",
        f"  most used: {_name(check)}, {show(use, 'share', system)} (best values {show(float(check.use), 'share', system)})",
        f"  rear weight left {show(standing.rear_weight_left_kg, 'kg', system)}, light front wheel "
        f"{show(standing.light_front_wheel_kg, 'kg', system)}, tipping load {show(standing.tipping_load_kg, 'kg_down', system)} (plain statics)",
    ]
    return lines + _doubt_text(verdict, system)


def _doubt_text(verdict: Verdict, system: System) -> list[str]:
    worst = verdict.worst_case
    check = verdict.checks[worst.worst_index]
    lines = ["  what the doubt costs there:"]
    for cost in rank(worst):
        words = buys_words(cost, worst, check, verdict.state, system)
        line = f"    {show(100.0 * cost.cost, 'ratio', system)} points of use  {cost.entry.name}"
        lines.append(f"{line}. {words}" if words else line)
    if verdict.state == "NOT PROVEN":
        together = settling(worst)
        if len(together) > 1:
            advice = "; ".join(entry.advice for entry in together)
            lines.append(f"    Together these would make it WITHIN, if they come out as entered: {advice}.")
        elif not together:
            lines.append(f"    Measuring alone would not settle it. {STATE_WORDS['NOT PROVEN']}.")
    return lines


def _name(check: Check | None) -> str | None:
    return f"{check.part}: {check.kind}" if check is not None else None


def _number(value: Any) -> float | None:
    return float(value) if value is not None and math.isfinite(float(value)) else None
