"""The longest reach with a load as text and JSON, for a program or a person without a window."""

from __future__ import annotations

import json
from typing import Any

from engine.base.formatting import System, fill, show
from engine.cli.report_parts import heading, json_heading
from engine.explain.reach_words import beyond_words, reached_words
from engine.planning.longest_reach import LongestReach, Reached
from engine.schema.model import Job, Pose


def as_text(job: Job, pose: Pose, answer: LongestReach, system: System) -> str:
    """One line for each arm pose, the longest reach first, and what ends the reach."""
    load, height = show(answer.load_kg, "kg_up", system), show(answer.height_m, "m", system)
    lines = [*heading(job), "", f"How far out {load} may hang, hook at {height} as in pose ‘{pose.name}’:"]
    for number, spot in enumerate(answer.found, start=1):
        said = reached_words(spot)
        lines.append(f"  {number}. {fill(said.words, said.numbers, system)}")
    said = beyond_words(answer)
    return "\n".join([*lines, f"  {fill(said.words, said.numbers, system)}"])


def as_json(job: Job, pose: Pose, answer: LongestReach) -> str:
    """The same with exact numbers in SI."""
    values = {
        **json_heading(job),
        "pose": pose.name,
        "load_kg": answer.load_kg,
        "hook_height_m": answer.height_m,
        "found": [_plain(spot) for spot in answer.found],
        "beyond": None if answer.beyond is None else _plain(answer.beyond),
        "why_not": answer.why_not,
    }
    return json.dumps(values, indent=2, ensure_ascii=False, allow_nan=False)


def _plain(spot: Reached) -> dict[str, Any]:
    return {
        "arms": spot.arm_set,
        "hole": spot.pose.hole,
        "lift_m": spot.pose.lift_m,
        "reach_m": spot.reach_m,
        "allowed_load_kg": max(spot.allowed_kg, 0.0),
        "governing": spot.limit,
    }
