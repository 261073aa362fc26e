"""Why not?  Cause, order and remedy in one plain sentence each, for any verdict.

The cause is the limit with the smallest allowed load in the worst case, with its own sum.  The order is which limits
are reached as the load grows, and at which loads: the allowed loads of all limits in the worst case, smallest first.
The remedy depends on the state: OVER takes the one that planning worked out (``engine.planning.remedy``), NOT PROVEN
asks for a measurement, REFUSED for the missing fact.

Sentences are templates with their numbers beside them (``engine.base.formatting.fill``).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import msgspec

from engine.base.geometry import Number, Text
from engine.planning.remedy import Advice, RemedyTrial
from engine.rig.check import Check, Problem
from engine.schema.model import Job, Pose
from engine.strength.cautions import thin_end_advice
from engine.worst_case.entry_costs import entries_to_measure
from engine.worst_case.verdict import Verdict
from engine.worst_case.worst_case import WorstCase

ORDER_NAMED = 3
"""Limits named in the order: with more, a listener has forgotten the first."""


class Statement(msgspec.Struct, kw_only=True, frozen=True):
    """One sentence as a template and the numbers to put in."""

    words: str
    numbers: Mapping[str, Number | Text] = {}


ASK_THE_MAKER = Statement(
    words="Ask the truck's maker: the approval request asks for the sideways moment. Enter the answer with the "
    "approval, or bring the load nearer to the truck's middle."
)
"""What settles a sideways moment that the plate does not cover."""


class Why(msgspec.Struct, kw_only=True, frozen=True):
    """Cause, order and remedy; ``remedy`` is ``None`` while none has been worked out yet."""

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
    remedy : Statement, optional
        What planning offers for a pose that is over a limit; used in that state alone.

    Returns
    -------
    Why
    """
    worst, governing, allowed_kg = verdict.worst_case, verdict.governing, verdict.allowed_load_kg
    if worst is None or governing is None or allowed_kg is None:
        return _refused(verdict)
    order = _order(verdict, worst, job.load.mass_kg.best if pose.loaded else 0.0)
    if verdict.room.short_at_worst:
        return Why(cause=_in_the_way(verdict), order=order, remedy=_clear(verdict, remedy))
    match verdict.state:
        case "WITHIN":
            return Why(cause=_all_met(verdict, worst), order=order, remedy=_nothing_to_mend(allowed_kg))
        case "NOT PROVEN" if (asked := _to_ask(verdict)) is not None:
            return Why(cause=_not_covered(asked), order=order, remedy=ASK_THE_MAKER)
        case "NOT PROVEN" if worst.passes:
            return Why(cause=_left_out(verdict.not_entered), order=order, remedy=_enter(verdict.not_entered))
        case "NOT PROVEN":
            return Why(cause=_not_proven(verdict, worst), order=order, remedy=_measure(worst))
        case _:
            return Why(cause=_over(_first_over(verdict, governing, worst), worst, verdict), order=order, remedy=remedy)


def remedy_of(advice: Advice) -> Statement | None:
    """The remedy planning offers, or what would be needed instead, in one sentence; ``None`` where it has neither."""
    if advice.answer is not None:
        return Statement(words=f"{advice.answer.words}; that {advice.answer.result}.", numbers=advice.answer.numbers)
    return Statement(words=advice.needed, numbers=advice.numbers) if advice.needed else None


def tried_words(trial: RemedyTrial) -> Statement:
    """One remedy that was tried, in one sentence with its outcome."""
    outcome = "holds" if trial.works else "does not hold"
    return Statement(words=f"{trial.words}: {outcome}, {trial.result}.", numbers=trial.numbers)


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
    """How many more problems there are, and the first sentence of as many as a listener remembers."""
    numbers: dict[str, Number | str] = {"count": float(len(problems))}
    sentences = []
    for place, problem in enumerate(problems[:ORDER_NAMED]):
        sentence = problem.words.split(". ")[0].removesuffix(".")
        # Problems may use the same names for their numbers: each name gets its problem's place.
        for name, value in problem.numbers.items():
            sentence = sentence.replace(f"{{{name}}}", f"{{{name}{place}}}").replace(f"{{{name}:", f"{{{name}{place}:")
            numbers[f"{name}{place}"] = value
        sentences.append(f"{sentence}.")
    return Statement(words=f"After that, {{count:count}} more to put right. {' '.join(sentences)}", numbers=numbers)


def _in_the_way(verdict: Verdict) -> Statement:
    check = verdict.room.short[0] if verdict.room.short else verdict.room.short_at_worst[0]
    words = f"Something is in the way: {check.words}."
    if check.leaves_unproven:
        words = f"Something may be in the way: {check.words}."
    elif not verdict.room.short:
        words = f"Something may be in the way: {check.words}, and what may be off takes it."
    return Statement(words=words, numbers=check.shown_numbers)


def _clear(verdict: Verdict, remedy: Statement | None) -> Statement | None:
    """The way out that planning found, and what the pose would allow in the open; to measure, if that settles it."""
    in_the_open = "In the open this pose would allow {clear:kg_down}."
    numbers: dict[str, Number | str] = {"clear": verdict.allowed_if_clear_kg or 0.0}
    if not verdict.room.short and all(check.leaves_unproven for check in verdict.room.short_at_worst):
        return Statement(words=f"Measure what the reason names, and enter it. {in_the_open}", numbers=numbers)
    if remedy is None:
        return None
    return Statement(words=f"{remedy.words} {in_the_open}", numbers={**remedy.numbers, **numbers})


def _first_over(verdict: Verdict, governing: Check, worst: WorstCase) -> Check:
    """The limit reached first of those that make a pose OVER."""
    if not governing.leaves_unproven:
        return governing
    pairs = zip(verdict.checks, worst.allowed_load_kg, strict=True)
    return min((pair for pair in pairs if not pair[0].leaves_unproven), key=lambda pair: pair[1])[0]


def _to_ask(verdict: Verdict) -> Check | None:
    """The limit that is over with values as entered and that only the truck's maker can lift."""
    return next((check for check in verdict.checks if check.leaves_unproven and not float(check.use) <= 1.0), None)


def _not_covered(check: Check) -> Statement:
    words = "No part gives, but nobody has said that the truck holds this: " + check.words + "."
    return Statement(words=words, numbers=check.shown_numbers)


def _over(check: Check, worst: WorstCase, verdict: Verdict) -> Statement:
    words = (
        "The {limit_part} gives first ({limit_kind}), used {limit_use:use} in the worst case. With every value as "
        "entered: " + check.words + "."
    )
    numbers = {**check.shown_numbers, **_named(check), "limit_use": worst.use[verdict.checks.index(check)]}
    return Statement(words=words, numbers=numbers)


def _left_out(problems: Sequence[Problem]) -> Statement:
    """The first part of the load path that is not entered, and how many more there are."""
    first, *others = problems
    lacks = "confirmed" if any(problem.kind == "asked" for problem in problems) else "entered"
    more = f" {{more:count}} more {'is' if len(others) == 1 else 'are'} not {lacks}." if others else ""
    words = f"Every limit that is checked is met, in the worst case too. {first.words}{more}"
    return Statement(words=words, numbers={**first.numbers, "more": float(len(others))})


def _enter(problems: Sequence[Problem]) -> Statement:
    """What to measure or read for every part that is not entered."""
    numbers = {f"measure{place}": problem.numbers["measure"] for place, problem in enumerate(problems)}
    advice = "; ".join(f"{{{name}}}" for name in numbers)
    right = " What is right as it stands, say so." if any(problem.kind == "asked" for problem in problems) else ""
    return Statement(words=f"To put it right: {advice}.{right}", numbers=numbers)


def _not_proven(verdict: Verdict, worst: WorstCase) -> Statement:
    dearest = max(range(len(worst.costs)), key=worst.costs.__getitem__)
    words = (
        "With every value as entered, every limit is met; in the worst case the {limit_part} ({limit_kind}) is used "
        "{limit_use:use}, and what is least sure is the {entry}."
    )
    return Statement(words=words, numbers={**_most_used(verdict, worst), "entry": worst.entries[dearest].name})


def _all_met(verdict: Verdict, worst: WorstCase) -> Statement:
    words = (
        "Every limit is met, even in the worst case; the nearest is the {limit_part} ({limit_kind}), "
        "used {limit_use:use}."
    )
    return Statement(words=words, numbers=_most_used(verdict, worst))


def _nothing_to_mend(allowed_kg: float) -> Statement:
    words = "Nothing needs to change for this load in this pose; {most:kg_down} is the most here."
    return Statement(words=words, numbers={"most": allowed_kg})


def _measure(worst: WorstCase) -> Statement:
    entries = entries_to_measure(worst)
    if not entries:
        words = "Measuring alone is not enough: lighten the load or bring it closer."
        return Statement(words=words + thin_end_advice(worst.job.rig))
    first, *others = (entry.advice for entry in entries)
    advice = ", and ".join([first, *(text[:1].lower() + text[1:] for text in others)])
    words = "{advice}: if it comes out as entered, every limit is met."
    return Statement(words=words, numbers={"advice": advice})


def _order(verdict: Verdict, worst: WorstCase, load_kg: float) -> Statement:
    """Which limits are reached, and at which load, smallest first; a limit that is not a number is reached at once."""
    by_load = sorted(
        (
            (-math.inf if math.isnan(allowed_kg) else allowed_kg, check)
            for allowed_kg, check in zip(worst.allowed_load_kg, verdict.checks, strict=True)
        ),
        key=lambda pair: pair[0],
    )
    named = [(allowed_kg, check) for allowed_kg, check in by_load if allowed_kg < math.inf][:ORDER_NAMED]
    if not named:
        return Statement(words="No limit here is met by more load.")
    numbers: dict[str, Number | str] = {"load": load_kg}
    limits = []
    for place, (allowed_kg, check) in enumerate(named):
        numbers |= {f"part{place}": check.part, f"kind{place}": check.kind, f"kg{place}": max(allowed_kg, 0.0)}
        at = f"at {{kg{place}:kg_down}}" if allowed_kg > 0.0 else "with no load at all"
        limits.append(f"{{part{place}}} ({{kind{place}}}) {at}")
    words = f"As the load grows ({{load:kg_up}} now) it gives in this order: {', then '.join(limits)}."
    return Statement(words=words, numbers=numbers)


def _most_used(verdict: Verdict, worst: WorstCase) -> dict[str, Number | str]:
    """Part, kind and use of the limit that is most used in the worst case."""
    return {**_named(verdict.checks[worst.worst_index]), "limit_use": worst.use[worst.worst_index]}


def _named(check: Check) -> dict[str, Number | str]:
    return {"limit_part": check.part, "limit_kind": check.kind}
