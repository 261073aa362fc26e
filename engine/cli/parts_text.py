"""Every limit of one pose, worst first, each with its sum worked out: as text and as JSON."""

from __future__ import annotations

import json
from typing import Any

from engine.base.caution import CAUTION, NOT_APPROVED, SIGNAL_WORD
from engine.base.formatting import System, fill, show
from engine.cli import report
from engine.explain.phrases import pose_words
from engine.rig.check import Check
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import STATE_WORDS, Verdict

_SHOWN_UNIT = {"N": "N", "Nm": "Nm", "Pa": "Pa", "kg": "kg", "m": "length", "": "share"}


def by_use(verdict: Verdict) -> list[Check]:
    """The verdict's checks, the most used first; a use that is not a number comes before all."""
    return sorted(verdict.checks, key=lambda check: -float(check.use) if check.use == check.use else float("-inf"))


def as_json(job: Job, pose: Pose, verdict: Verdict) -> str:
    """Every limit as JSON in SI units, worst first; the keys are those of the verdict."""
    whole = report.as_dict(job, pose, verdict)
    kept = ("caution", "approval", "job", "pose", "state", "problems", "cautions", "governing", "allowed_load_kg")
    found: dict[str, Any] = {key: whole[key] for key in kept}
    found["checks"] = [report.check_dict(check) for check in by_use(verdict)]
    return json.dumps(found, indent=2, allow_nan=False)


def as_text(job: Job, pose: Pose, verdict: Verdict, system: System) -> str:
    """Every limit in words, worst first."""
    lines = [f"{SIGNAL_WORD}: {CAUTION}"]
    if job.approval is None:
        lines.append(NOT_APPROVED)
    lines += ["", job.name, f"Pose {pose.name!r}: {pose_words(job, pose, system)}"]
    lines += ["", f"{verdict.state}: {STATE_WORDS[verdict.state]}"]
    lines += [f"  {problem.where}: {fill(problem.words, problem.numbers, system)}" for problem in verdict.problems]
    for check in by_use(verdict):
        lines += ["", f"{show(float(check.use), 'share', system):>7}  {check.name}", *_worked(check, system)]
    lines += report.cautions_text(verdict, system)
    return "\n".join(lines)


def _worked(check: Check, system: System) -> list[str]:
    """The formula in words with its numbers, the quotient, the load at the limit, and the source."""
    kind = _SHOWN_UNIT[check.unit]
    demand, allowed = (show(float(value), kind, system) for value in (check.demand, check.allowed))
    return [
        f"         {fill(check.words, check.numbers, system)}",
        f"         {demand} / {allowed} = {show(float(check.use), 'share', system)}; "
        f"best values, load at this limit: {show(max(float(check.allowed_load_kg), 0.0), 'kg_down', system)}",
        f"         {check.source}",
    ]
