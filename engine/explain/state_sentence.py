"""The state in one plain sentence that names the reason."""

from __future__ import annotations

import math
from collections.abc import Sequence

from engine.base.formatting import fill, show
from engine.explain.guessed_entries import guessed_entries
from engine.explain.shown import load_texts
from engine.rig.check import Check
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict

FAR_OVER = 10.0
"""From ten times over a limit on nobody needs the figure."""

NOT_COVERED = "The plate does not cover the sideways moment: ask the maker"


def of_verdict(job: Job, pose: Pose, verdict: Verdict) -> str:
    """Why a pose has the state it has, at most two short lines; what is missing is told beside it.

    Parameters
    ----------
    job, pose : Job, Pose
        What the verdict is about.
    verdict : Verdict
    """
    words = _WORDS[verdict.state](job, pose, verdict)
    return words[:1].upper() + words[1:]


def _within(job: Job, pose: Pose, verdict: Verdict) -> str:
    guessed = guessed_entries(job, pose.floor)
    words = "within the limits entered"
    if not guessed:
        return words
    steel = ", steel of unknown grade" if any("steel" in caution.where for caution in verdict.cautions) else ""
    return f"{words}; {len(guessed)} guessed or typical{steel}"


def _not_proven(job: Job, pose: Pose, verdict: Verdict) -> str:
    if verdict.room.short_at_worst:
        check = verdict.room.short_at_worst[0]
        if not float(check.use) <= 1.0:
            return _filled(job, verdict)
        return fill("{the_part} may come too near {object}", check.numbers, job.units)
    if verdict.not_entered:
        return fill("{part} is not {lacks}", verdict.not_entered[0].numbers, job.units)
    over = [(check, use) for check, use in verdict.worst_uses_at_once if not use <= 1.0]
    if over and all(check.leaves_unproven for check, _ in over):
        return NOT_COVERED
    return f"Worst case: {_most_over(job, pose, verdict, over)}" if over else "the worst case does not pass"


def _over(job: Job, pose: Pose, verdict: Verdict) -> str:
    if verdict.room.short:
        return _filled(job, verdict)
    over = [(check, float(check.use)) for check in verdict.checks if not check.leaves_unproven]
    return _most_over(job, pose, verdict, over)


def _most_over(job: Job, pose: Pose, verdict: Verdict, uses: Sequence[tuple[Check, float]]) -> str:
    """The limit that is exceeded most, by how much, and with what hung how far out."""
    check, use = max(uses, key=lambda pair: math.inf if math.isnan(pair[1]) else pair[1])
    reach_m = float(verdict.placed.hook_m.x)
    by = show(use - 1.0, "share_up", job.units) if use - 1.0 < FAR_OVER else "far"
    words = "{part}, {kind}: {by} over its limit with {hung} at {reach:mm} reach"
    numbers = {"part": check.part, "kind": check.kind, "by": by, "hung": _hung(job, pose), "reach": reach_m}
    return fill(words, numbers, job.units)


def _hung(job: Job, pose: Pose) -> str:
    """What hangs, as the load table of the verdict has it."""
    if not pose.loaded:
        return "the hook empty"
    return load_texts(job.load.mass_kg.best, job.load.rigging_kg.best, job.units, "up").load


def _filled(job: Job, verdict: Verdict) -> str:
    """The shortest gap: what runs into what, and by how much."""
    check = (verdict.room.short or verdict.room.short_at_worst)[0]
    return fill(check.words, check.shown_numbers, job.units).partition(";")[0].partition(". ")[0]


def _refused(_job: Job, _pose: Pose, verdict: Verdict) -> str:
    missing = sum(problem.kind == "missing" for problem in verdict.problems)
    if missing < len(verdict.problems):
        return "no verdict: this cannot be"
    return f"no verdict: {missing} {'fact' if missing == 1 else 'facts'} missing"


_WORDS = {"WITHIN": _within, "NOT PROVEN": _not_proven, "OVER": _over, "REFUSED": _refused}
