"""Allowances are facts: a file that leaves one out is refused, or takes the typical one and says so."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import msgspec
import pytest

from engine.base.errors import RigFileError
from engine.base.formatting import fill
from engine.schema import rig_file
from engine.shop import assumptions
from engine.worst_case.verdict import evaluate

SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))
GABLE = next(path for path in SAMPLES if "brightlea" in path.name)

OLDER = Path(__file__).resolve().parents[2] / "data" / "version1" / "brightlea_glasshouses.rig.json"
TYPICAL_BY_HAND = {"dynamic_factor": 1.25, "swing_rad": math.pi / 36.0, "lean_rad": math.pi / 180.0}


def raw_of(path: Path = GABLE) -> dict[str, Any]:
    return json.loads(path.read_text(encoding="utf-8"))


def decoded(raw: dict[str, Any]) -> rig_file.Job:
    return rig_file.decode(json.dumps(raw).encode())


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.split(".")[0])
@pytest.mark.parametrize("key", ["dynamic_factor", "swing_rad"])
def test_a_file_without_dynamic_factor_or_swing_is_refused(path: Path, key: str) -> None:
    raw = raw_of(path)
    del raw["policy"][key]
    with pytest.raises(RigFileError, match=f"policy.{key}: expected a number") as told:
        decoded(raw)
    assert "got nothing" in str(told.value)


def test_a_file_without_any_allowance_is_refused() -> None:
    raw = raw_of()
    del raw["policy"]
    with pytest.raises(RigFileError, match="dynamic_factor"):
        decoded(raw)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.split(".")[0])
def test_lean_left_out_is_typical_told_and_never_allows_more(path: Path) -> None:
    raw = raw_of(path)
    entered = decoded(raw)
    assert entered.policy.still_typical == ()
    del raw["policy"]["lean_rad"]
    left_out = decoded(raw)
    assert left_out.policy.lean_rad == pytest.approx(math.radians(1.0))
    assert left_out.policy.still_typical == ("lean_rad",)
    pose = entered.poses[0]
    was, now = evaluate(entered, pose), evaluate(left_out, pose)
    assert (now.allowed_load_kg or 0.0) <= (was.allowed_load_kg or 0.0) * (1.0 + 2e-4)
    told = [one for one in now.cautions if one.where == "policy.lean_rad"]
    if now.state != "REFUSED":
        assert fill(told[0].words, told[0].numbers, "metric") == "Taken as typical, not set: forward lean 1.0°."
    printed = [fill(one.words, one.numbers, "metric") for one in assumptions.allowances(left_out)]
    assert "Taken as typical, not set: forward lean 1.0°." in printed


def test_what_is_set_since_is_no_longer_called_typical() -> None:
    raw = raw_of()
    del raw["policy"]["lean_rad"]
    policy = decoded(raw).policy
    assert msgspec.structs.replace(policy, lean_rad=0.0).still_typical == ()


def test_it_is_still_called_typical_once_saved() -> None:
    raw = raw_of()
    del raw["policy"]["lean_rad"]
    again = rig_file.decode(rig_file.encode(decoded(raw)))
    assert again.policy.still_typical == ("lean_rad",)


@pytest.mark.parametrize(
    ("policy", "taken"),
    [
        ({}, {"dynamic_factor", "swing_rad", "lean_rad"}),
        ({"dynamic_factor": 1.0, "swing_rad": 0.0, "lean_rad": 0.0}, {"dynamic_factor", "swing_rad", "lean_rad"}),
        ({"dynamic_factor": 1.5, "swing_rad": 0.0, "lean_rad": 0.05}, {"swing_rad"}),
        ({"dynamic_factor": 1.5, "swing_rad": 0.2, "lean_rad": 0.05}, set()),
    ],
)
def test_an_older_file_takes_what_is_typical_where_that_is_more(policy: dict[str, float], taken: set[str]) -> None:
    raw = {**raw_of(OLDER), "policy": policy}
    opened = rig_file.decode_with_changes(json.dumps(raw).encode())
    now = opened.job.policy
    for name in ("dynamic_factor", "swing_rad", "lean_rad"):
        assert getattr(now, name) == pytest.approx(max(TYPICAL_BY_HAND[name], policy.get(name, 0.0)))
    assert set(now.still_typical) == taken
    assert any("start values that nobody had to look at" in words for words in opened.changes) == bool(taken)
