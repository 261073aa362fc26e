"""No allowance helps: with more of any of them no pose of any sample is allowed more, and no limit is used less."""

from __future__ import annotations

import itertools
from pathlib import Path

import msgspec
import pytest

from engine.schema.model import Job, Pose
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import evaluate
from tests.samples import by_hand, read_once
from tests.thoroughness import every

REPLACE = msgspec.structs.replace
SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))

MISSED = 2e-4
"""Share of an allowed load that the search of corners may miss: between corners a limit may be a hair worse."""

MISSED_USE = 1e-3
"""The same share of a use: far over 1 the lean of the truck makes it climb steeply."""

FAINT = 0.1
"""A limit used less than this governs nothing."""

EASED = "sleeves: bearing at the heel"
"""A load ahead takes weight off the heel: this limit eases as the others tighten, and never governs."""


def worst(job: Job, pose: Pose, *, climbed: bool = False, **allowances: float) -> tuple[float, dict[str, float]]:
    """Allowed load and every limit's worst use, room left out; ``climbed``: each looked at by itself."""
    verdict = evaluate(REPLACE(job, policy=REPLACE(job.policy, **allowances)), pose)
    assert verdict.worst_case is not None
    found = verdict.worst_case.use_of_each if climbed else verdict.worst_case.use
    uses = zip(verdict.checks, found, strict=True)
    return max(verdict.worst_case.allowed_kg, 0.0), {check.name: float(use) for check, use in uses}


def allows(job: Job, pose: Pose, load_kg: float, **allowances: float) -> bool:
    """Whether a load whose weight is known passes every limit in the worst case; found without the chord."""
    weighed = Estimate(best=load_kg, low=load_kg, high=load_kg, known="weighed")
    job = REPLACE(job, load=REPLACE(job.load, mass_kg=weighed))
    return max(worst(job, pose, climbed=True, **allowances)[1].values()) <= 1.0


@pytest.mark.slow
@pytest.mark.parametrize("path", every(2, SAMPLES), ids=lambda path: path.name.split(".")[0])
@pytest.mark.parametrize(
    ("field", "values"),
    [
        ("dynamic_factor", (1.0, 1.25, 2.0)),
        ("swing_rad", (0.0, 0.05, 0.1)),
        ("braking", (0.0, 0.05, 0.2)),
        ("lean_rad", (0.0, 0.02, 0.05)),
    ],
)
def test_more_of_an_allowance_never_allows_more(path: Path, field: str, values: tuple[float, ...]) -> None:
    """In the first or the last pose, in turn by rig and allowance; in both with ``TAILWEIGHT_THOROUGH=1``."""
    job = read_once(path)
    ends = job.poses[:: max(1, len(job.poses) - 1)]
    for pose in every(len(ends), ends, SAMPLES.index(path) + len(field)):
        if evaluate(job, pose).state == "REFUSED":
            continue
        allowed, uses = worst(job, pose, **{field: values[0]})
        last = values[0]
        for value in values[1:]:
            now, used = worst(job, pose, **{field: value})
            # A chord leaves more or less of what is allowed; what more of an allowance allows, less of it must too.
            assert now <= allowed * (1.0 + MISSED) + 1e-9 or allows(job, pose, now, **{field: last})
            for name in (name for name in uses.keys() & used.keys() if uses[name] > FAINT and name != EASED):
                assert used[name] >= uses[name] * (1.0 - MISSED_USE) - 0.003, name
            allowed, uses, last = now, used, value


def test_lean_does_not_hold_up_a_load_that_tips_the_truck_sideways() -> None:
    """The vat lid out to the left: 1.25 degrees of forward lean take nothing off its side line's worst use."""
    job = read_once(next(path for path in SAMPLES if "pippin" in path.name))
    plain, leaned = (worst(job, job.poses[0], climbed=True, lean_rad=value) for value in (0.0, 0.0218))
    side = [name for name in plain[1] if "tipping, left" in name]
    assert side and all(leaned[1][name] >= plain[1][name] * (1.0 - MISSED_USE) for name in side)
    assert leaned[0] <= plain[0] + 1e-6
    front = next(name for name in plain[1] if "tipping, front" in name)
    assert leaned[1][front] > plain[1][front] * 1.01


def test_lean_does_not_help_at_the_stop_of_the_tilt_either() -> None:
    """Fully tilted back, and the design factor a hair up so that the boom is just over: it stays so with lean.

    To the gram: without any lean the tilt has one side only, and the search may settle in the corner next to it.
    """
    job = by_hand("brightlea_glasshouses")
    pose = REPLACE(job.poses[0], tilt_rad=job.truck.upright.tilt_back_max_rad)
    allowed = [worst(job, pose, lean_rad=value)[0] for value in (0.0, 0.01, 0.0175, 0.04)]
    assert all(later <= earlier + 0.001 for earlier, later in itertools.pairwise(allowed))
