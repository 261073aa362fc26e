"""Recording and comparing: one file a sample rig, each pose's ``check --json`` under the pose's name."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

from engine.cli import verdict_report
from engine.schema import rig_file
from engine.worst_case.verdict import evaluate
from tests.samples import sample

SAMPLES = Path(__file__).resolve().parents[2] / "sample_rigs"
FOLDER = Path(__file__).resolve().parent

RELATIVE = 1e-11
"""Numbers may differ by this: maths libraries round their last digits differently, and some roots are searched for."""

SENTENCES = frozenset({"words", "source", "caution", "approval"})
"""Keys whose values are sentences: other tests read those, and they are written anew more often than numbers change."""


def names() -> list[str]:
    """Names of the sample rigs."""
    return sorted(path.name.removesuffix(rig_file.SUFFIX) for path in SAMPLES.glob(f"*{rig_file.SUFFIX}"))


def said(name: str) -> dict[str, Any]:
    """What is said of each pose of a sample rig."""
    job = sample(name)
    answers = {pose.name: verdict_report.as_json(job, pose, evaluate(job, pose)) for pose in job.poses}
    return {name: _numbers(json.loads(answer)) for name, answer in answers.items()}


def _numbers(answer: Any) -> Any:
    """The answer without its sentences."""
    if isinstance(answer, dict):
        return {key: _numbers(value) for key, value in answer.items() if key not in SENTENCES}
    return [_numbers(value) for value in answer] if isinstance(answer, list) else answer


def recorded(name: str) -> dict[str, Any]:
    """What was said when it was last recorded."""
    return json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))


def record(name: str) -> None:
    """Record what is said now; what is said as it was, but for the last digits, stays as it was recorded."""
    if (FOLDER / f"{name}.json").exists() and not difference(recorded(name), said(name)):
        return
    rows = (f" {json.dumps(pose)}: {{\n{_rows(answer)}\n }}" for pose, answer in said(name).items())
    (FOLDER / f"{name}.json").write_text("{\n" + ",\n".join(rows) + "\n}\n", encoding="utf-8")


def _rows(answer: dict[str, Any]) -> str:
    """One line for each key, and for each entry of a list of objects, so that a difference reads well."""
    rows = []
    for key, value in answer.items():
        text = json.dumps(value)
        if isinstance(value, list) and value and isinstance(value[0], dict):
            text = "[\n" + ",\n".join(f"   {json.dumps(entry)}" for entry in value) + "\n  ]"
        rows.append(f"  {json.dumps(key)}: {text}")
    return ",\n".join(rows)


def difference(then: Any, now: Any, place: str = "") -> str:
    """First place where two answers differ, in words; empty where they agree."""
    if isinstance(then, dict) and isinstance(now, dict):
        if list(then) != list(now):
            return f"{place}: keys {list(then)} became {list(now)}"
        return next(filter(None, (difference(then[key], now[key], f"{place}.{key}") for key in then)), "")
    if isinstance(then, list) and isinstance(now, list):
        if len(then) != len(now):
            return f"{place}: {len(then)} entries became {len(now)}"
        return next(
            filter(None, (difference(*pair, f"{place}[{at}]") for at, pair in enumerate(zip(then, now, strict=True)))),
            "",
        )
    if isinstance(then, float) and isinstance(now, float):
        same = math.isclose(then, now, rel_tol=RELATIVE, abs_tol=RELATIVE)
    else:
        same = type(then) is type(now) and then == now
    return "" if same else f"{place}: {then!r} became {now!r}"
