"""Cures of a pose as text and JSON, for a program or a person without a window."""

from __future__ import annotations

import json
from typing import Any

import msgspec

from engine.base.formatting import System, fill
from engine.cli.report_parts import heading, json_heading
from engine.explain.cure_words import cure_words, none_words
from engine.planning.mend import Cure, Mending
from engine.schema.model import Job, Pose


def as_text(job: Job, pose: Pose, mending: Mending, system: System) -> str:
    """One line for each cure, least work first, or why there is none."""
    job = msgspec.structs.replace(job, units=system)
    lines = [*heading(job), "", f"Changes of parts that bring pose ‘{pose.name}’ within its limits, least work first:"]
    for number, cure in enumerate(mending.cures, start=1):
        statement = cure_words(cure, job)
        lines.append(f"  {number}. {fill(statement.words, statement.numbers, system)}")
    if not mending.cures:
        statement = none_words(mending)
        lines.append(f"  {fill(statement.words, statement.numbers, system)}")
    return "\n".join(lines)


def as_json(job: Job, pose: Pose, mending: Mending) -> str:
    """The same with exact numbers in SI."""
    answer = {
        **json_heading(job),
        "pose": pose.name,
        "cures": [_plain(cure) for cure in mending.cures],
        "not_the_rig": list(mending.not_the_rig),
        "why_not": mending.why_not,
    }
    return json.dumps(answer, indent=2, ensure_ascii=False, allow_nan=False)


def _plain(cure: Cure) -> dict[str, Any]:
    return {
        "steps": [msgspec.to_builtins(step) for step in cure.steps],
        "added_kg": cure.added_kg,
        "allowed_load_kg": cure.allowed_kg,
        "allowed_before_kg": cure.before_kg,
        "governing": cure.next_limit,
        "governing_use": cure.next_use,
    }
