"""Every limit of one pose, worst first, each with its sum worked out: as text and as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence

from engine.base.formatting import System, compared, fill, show
from engine.cli.verdict_report import caution_lines, check_dict, state_lines, summary
from engine.rig.check import Check, Unit
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import Verdict

_SHOWN_AS: dict[Unit, str] = {"N": "N", "Nm": "Nm", "Pa": "Pa", "kg": "kg", "m": "length", "": "share"}


def by_use(verdict: Verdict) -> list[Check]:
    """The verdict's checks, the most used first; a use that is not a number comes before all."""
    return sorted(verdict.checks, key=lambda check: -float(check.use) if check.use == check.use else float("-inf"))


def as_json(job: Job, pose: Pose, verdict: Verdict, changes: Sequence[str] = ()) -> str:
    """Every limit as JSON in SI units, worst first; the keys are those of the verdict."""
    checks = [check_dict(check) for check in by_use(verdict)]
    values = {**summary(job, pose, verdict), "checks": checks, "migration": list(changes)}
    return json.dumps(values, indent=2, allow_nan=False)


def as_text(job: Job, pose: Pose, verdict: Verdict, system: System) -> str:
    """Every limit in words, worst first."""
    lines = state_lines(job, pose, verdict, system)
    for check in by_use(verdict):
        lines += ["", f"{show(float(check.use), 'use', system):>7}  {check.name}", *_sum(check, system)]
    lines += caution_lines(verdict, system)
    return "\n".join(lines)


def _sum(check: Check, system: System) -> list[str]:
    """The formula in words with its numbers, the quotient, the load at the limit, and the source."""
    kind = _SHOWN_AS[check.unit]
    over = not float(check.use) <= 1.0
    demand, allowed = compared(float(check.demand), float(check.allowed), over=over, kind=kind, system=system)
    return [
        f"         {fill(check.words, check.shown_numbers, system)}",
        f"         {demand} / {allowed} = {show(float(check.use), 'use', system)}; "
        f"as entered, load at this limit: {show(max(float(check.allowed_load_kg), 0.0), 'kg_down', system)}",
        f"         {check.source}",
    ]
