"""The state in one plain sentence."""

from __future__ import annotations

import pytest

from engine.explain import state_sentence
from engine.schema.model import Job
from engine.schema.quantities import Estimate
from engine.shop.edits import REPLACE
from engine.worst_case.verdict import evaluate
from tests.samples import sample


def heavier(job: Job, mass_kg: float) -> Job:
    return REPLACE(job, load=REPLACE(job.load, mass_kg=Estimate(best=mass_kg, known="weighed")))


@pytest.mark.parametrize(
    ("units", "words"),
    [
        ("metric", "over its limit with 300 kg at 2\u202f876 mm reach"),
        ("us", "over its limit with 662 lb at 9 ft 5-3/16 in reach"),
    ],
)
def test_over_names_the_limit_how_far_over_and_with_what(units: str, words: str) -> None:
    """Skerry's boom is used 96 % as entered with 197 kg on the hook."""
    job = REPLACE(heavier(sample("skerry_point_boatyard"), 300.0), units=units)
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "OVER"
    said = state_sentence.of_verdict(job, job.poses[0], verdict)
    most = max(verdict.checks, key=lambda check: float(check.use))
    part, rest = said.split(", ", 1)
    assert part.lower() == most.part and rest.startswith(f"{most.kind}: ") and rest.endswith(words)
    over = int(rest.removeprefix(f"{most.kind}: ").split(" %", maxsplit=1)[0])
    assert over - 1 < 100.0 * (float(most.use) - 1.0) <= over


def test_a_hook_that_is_over_its_limit_empty_is_said_to_be_empty() -> None:
    job = sample("skerry_point_boatyard")
    job = REPLACE(job, policy=REPLACE(job.policy, allowed_tipping_use=0.02))
    pose = REPLACE(job.poses[0], loaded=False)
    verdict = evaluate(job, pose)
    assert verdict.state == "OVER"
    assert "with the hook empty" in state_sentence.of_verdict(job, pose, verdict)


def test_not_proven_names_the_limit_of_the_worst_case() -> None:
    job = sample("dunmere_bell_hangers")
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "NOT PROVEN"
    said = state_sentence.of_verdict(job, job.poses[0], verdict)
    most, _ = max(verdict.worst_uses, key=lambda pair: pair[1])
    assert (
        said.startswith(f"Worst case: {most.part}, {most.kind}: ")
        and "% over its limit with 405 kg at 1\u202f802 mm reach" in said
    )
