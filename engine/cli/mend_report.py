"""Cures of a pose as text and JSON, for a program or a person without a window."""

from __future__ import annotations

import json
from typing import Any

import msgspec

from engine.base.formatting import System, fill, show
from engine.cli.report_parts import heading, json_heading
from engine.explain.cure_words import cure_words, left_out_words, none_words
from engine.planning.mend import Cure, Mending
from engine.planning.mend_wanted import Wanted
from engine.schema.model import Job


def as_text(job: Job, wanted: Wanted, mending: Mending, system: System) -> str:
    """One line for each cure, least work first, or why there is none."""
    job = msgspec.structs.replace(job, units=system)
    lines = [*heading(job), "", f"Changes of parts that bring {_wanted_words(wanted, system)} within the limits:"]
    for number, cure in enumerate(mending.cures, start=1):
        statement = cure_words(cure, job)
        lines.append(f"  {number}. {fill(statement.words, statement.numbers, system)}")
    if not mending.cures:
        statement = none_words(mending)
        lines.append(f"  {fill(statement.words, statement.numbers, system)}")
    left_out = left_out_words(mending)
    return "\n".join([*lines, f" {left_out}"] if left_out else lines)


def _wanted_words(wanted: Wanted, system: System) -> str:
    """What was asked, as a noun."""
    load = "" if wanted.load_kg is None else f" with {show(wanted.load_kg, 'kg_up', system)}"
    if wanted.move is not None:
        return f"move ‘{wanted.move.name}’{load}"
    if wanted.every_hole:
        return f"every pin hole in pose ‘{wanted.pose.name}’{load}"
    hole = "" if wanted.pose.hole is None else f" in pin hole {wanted.pose.hole}"
    return f"pose ‘{wanted.pose.name}’{hole}{load}"


def as_json(job: Job, wanted: Wanted, mending: Mending) -> str:
    """The same with exact numbers in SI."""
    answer = {
        **json_heading(job),
        "pose": wanted.pose.name,
        "hole": wanted.pose.hole,
        "every_hole": wanted.every_hole,
        "move": None if wanted.move is None else wanted.move.name,
        "load_kg": wanted.load_kg,
        "cures": [_plain(cure) for cure in mending.cures],
        "not_the_rig": list(mending.not_the_rig),
        "left_out_holes": list(mending.left_out),
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
