"""Why not?  Cause, order and remedy in one plain sentence each, for any verdict.

The cause is the limit with the smallest allowed load in the worst case, with its own sum.  The order is what else
gives, and at which load, as the load grows: the allowed loads of all limits in the worst case, from the least up.  The
remedy for what is over a limit is worked out by planning and handed in; what is not proven is remedied by measuring,
and what is refused by finding out.

Sentences are templates with their numbers beside them (``engine.base.formatting.fill``).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import msgspec

from engine.base.geometry import Number
from engine.planning.remedy import Advice
from engine.rig.check import Check, Problem
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict
from engine.worst_case.worst_case import settling

ORDER_NAMED = 3
"""Limits named in the order: past these a listener has forgotten the first."""


class Statement(msgspec.Struct, kw_only=True, frozen=True):
    """One sentence as a template and the numbers to put in."""

    words: str
    numbers: Mapping[str, Number | str] = {}


class Why(msgspec.Struct, kw_only=True, frozen=True):
    """Cause, order and remedy; no remedy while none has been worked out yet."""

    cause: Statement
    order: Statement
    remedy: Statement | None


def why(job: Job, pose: Pose, verdict: Verdict, remedy: Statement | None = None) -> Why:
    """The three sentences on one verdict.

    Parameters
    ----------
    job, pose : Job, Pose
        What the verdict is about.
    verdict : Verdict
    remedy : Said, optional
        What planning found for a pose that is over a limit; used for that state alone.

    Returns
    -------
    Why
    """
    if verdict.governing is None or verdict.worst_case is None:
        return _refused(verdict)
    order = _order(job, pose, verdict)
    if verdict.state == "WITHIN":
        return Why(cause=_nearest(verdict), order=order, remedy=_nothing_to_mend(verdict))
    if verdict.state == "NOT PROVEN":
        return Why(cause=_doubted(verdict), order=order, remedy=_measure(job, pose, verdict))
    return Why(cause=_over(verdict.governing, verdict), order=order, remedy=remedy)


def remedy_of(advice: Advice) -> Statement | None:
    """The remedy planning found, or what would be needed instead, in one sentence; None where it has none to give."""
    if advice.answer is not None:
        return Statement(words=f"{advice.answer.words}; that {advice.answer.result}.", numbers=advice.answer.numbers)
    return Statement(words=advice.needed, numbers=advice.numbers) if advice.needed else None


def _refused(verdict: Verdict) -> Why:
    first, *others = verdict.problems
    order = Statement(words="Nothing else stands in the way of a verdict, and nothing is allowed until there is one.")
    if others:
        order = _after_that(others)
    words = "Put this right first; no number for a pose or rig that cannot be would mean anything."
    if first.kind == "missing":
        words = "Find this out and enter it; a guess must be entered as a guess."
    return Why(cause=Statement(words=first.words, numbers=first.numbers), order=order, remedy=Statement(words=words))


def _after_that(problems: Sequence[Problem]) -> Statement:
    """The first sentence of each of the others, as far as a person reads."""
    numbers: dict[str, Number | str] = {"count": float(len(problems))}
    parts = []
    for place, problem in enumerate(problems[:ORDER_NAMED]):
        first = problem.words.split(". ")[0].removesuffix(".")
        for name, value in problem.numbers.items():
            first = first.replace(f"{{{name}}}", f"{{{name}{place}}}").replace(f"{{{name}:", f"{{{name}{place}:")
            numbers[f"{name}{place}"] = value
        parts.append(f"{first}.")
    return Statement(words=f"After that, {{count:count}} more to put right. {' '.join(parts)}", numbers=numbers)


def _over(check: Check, verdict: Verdict) -> Statement:
    words = "The {limit_part} gives first ({limit_kind}), used {limit_use:share} at worst: " + check.words + "."
    return Statement(
        words=words, numbers={**check.numbers, **_named(check), "limit_use": _use_at_worst(verdict, check)}
    )


def _doubted(verdict: Verdict) -> Statement:
    index = verdict.worst_case.worst_index
    check, entry = verdict.checks[index], _dearest(verdict)
    words = "With best values every limit is met; at worst the {limit_part} ({limit_kind}) is used {limit_use:share}, and what is least sure is the {entry}."
    return Statement(words=words, numbers={**_named(check), "limit_use": verdict.worst_case.use[index], "entry": entry})


def _dearest(verdict: Verdict) -> str:
    worst = verdict.worst_case
    return worst.entries[max(range(len(worst.costs)), key=worst.costs.__getitem__)].name


def _nearest(verdict: Verdict) -> Statement:
    index = verdict.worst_case.worst_index
    words = "Every limit is met, at worst too; the nearest is the {limit_part} ({limit_kind}), used {limit_use:share} at worst."
    return Statement(words=words, numbers={**_named(verdict.checks[index]), "limit_use": verdict.worst_case.use[index]})


def _nothing_to_mend(verdict: Verdict) -> Statement:
    words = "Nothing needs to change for this load in this pose; {most:kg_down} is the most here."
    return Statement(words=words, numbers={"most": verdict.allowed_load_kg})


def _measure(job: Job, pose: Pose, verdict: Verdict) -> Statement:
    entries = settling(verdict.worst_case)
    if not entries:
        return Statement(words="No measuring would settle it alone: lighten the load or bring it closer.")
    first, *others = (entry.advice for entry in entries)
    advice = ", and ".join([first, *(text[:1].lower() + text[1:] for text in others)])
    words = "{advice}: if it comes out as entered, every limit is met."
    return Statement(words=words, numbers={"advice": advice})


def _order(job: Job, pose: Pose, verdict: Verdict) -> Statement:
    """Which limits give, and at which load, from the least up."""
    each = zip(verdict.worst_case.allowed_load_kg, verdict.checks, strict=True)
    finite = sorted(((-math.inf if math.isnan(kg) else kg, check) for kg, check in each), key=lambda pair: pair[0])
    named = [(kg, check) for kg, check in finite if kg < math.inf][:ORDER_NAMED]
    if not named:
        return Statement(words="No limit here is met by more load.")
    numbers: dict[str, Number | str] = {"load": job.load.mass_kg.best if pose.loaded else 0.0}
    parts = []
    for place, (kg, check) in enumerate(named):
        numbers |= {f"part{place}": check.part, f"kind{place}": check.kind, f"kg{place}": max(kg, 0.0)}
        parts.append(
            f"{{part{place}}} ({{kind{place}}}) " + (f"at {{kg{place}:kg_down}}" if kg > 0.0 else "with no load at all")
        )
    return Statement(
        words=f"As the load grows ({{load:kg}} now) it gives in this order: {', then '.join(parts)}.", numbers=numbers
    )


def _named(check: Check) -> dict[str, Number | str]:
    return {"limit_part": check.part, "limit_kind": check.kind}


def _use_at_worst(verdict: Verdict, check: Check) -> float:
    return verdict.worst_case.use[verdict.checks.index(check)]
