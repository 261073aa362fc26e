"""Remedies: tried in order, each judged again from scratch, the first that works is the answer."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.base.formatting import fill
from engine.limits.all_limits import find_checks
from engine.planning.remedy import FAMILIES, remedies
from engine.planning.sweep import Stopped
from engine.rig.kinematics import figures
from engine.schema import rig_file
from engine.schema.model import Estimate
from engine.worst_case.verdict import evaluate

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
VINEYARD = rig_file.read(SAMPLES / "cold_spring_vineyard.rig.json")


def loaded(job, kg: float):
    mass = Estimate(best=kg, known="weighed")
    return msgspec.structs.replace(job, load=msgspec.structs.replace(job.load, mass_kg=mass))


@pytest.fixture(scope="module")
def every():
    return remedies(VINEYARD, VINEYARD.poses[2], every=True)


def test_the_answer_works_when_judged_again_from_the_file(every):
    answer = every.answer
    again = rig_file.decode(rig_file.encode(answer.job))
    verdict = evaluate(again, answer.pose)
    assert verdict.state == "WITHIN"
    assert verdict.allowed_load_kg == pytest.approx(answer.allowed_kg, rel=1e-6)


def test_every_result_told_is_what_a_fresh_verdict_says(every):
    for tried in every.tried:
        if tried.kind == "forks":
            continue
        verdict = evaluate(rig_file.decode(rig_file.encode(tried.job)), tried.pose)
        assert (verdict.state == "WITHIN") == tried.works
        if verdict.allowed_load_kg is not None:
            assert verdict.allowed_load_kg == pytest.approx(tried.allowed_kg, rel=1e-6, abs=1e-6)


def test_they_come_in_the_order_a_person_would_try_them(every):
    kinds = list(dict.fromkeys(tried.kind for tried in every.tried))
    order = [kind for kind, _ in FAMILIES] + ["forks"]
    assert kinds == sorted(kinds, key=order.index)
    assert kinds[0] == "boom in"
    assert {"arm off", "fold", "split", "forks"} <= set(kinds)


def test_without_asking_for_all_it_stops_at_the_first_that_works(every):
    found = remedies(VINEYARD, VINEYARD.poses[2])
    assert found.answer.words == every.answer.words
    assert found.tried[-1].works
    assert not any(tried.works for tried in found.tried[:-1])


def test_the_vineyards_remedies_on_the_fork_face_rule(every):
    """Demonstration figures for 300 kg on the hook straight ahead: boom in two holes 262 kg, four 314, arm 2 folded 411.

    They lump the rig at the boom's height, and count the boom's and arms' own levers a little differently; within 3 %.
    ``allowed`` there counts the rigging of 15 kg, which the engine has taken off already.
    """

    def on_hook_kg(stance) -> float:
        checks = find_checks(VINEYARD, figures(VINEYARD, stance))
        rule = next(check for check in checks if check.kind == "fork-face rule")
        return float(rule.allowed_load_kg) + 15.0

    found = {(tried.kind, tried.numbers.get("count", tried.numbers.get("arm"))): tried.pose for tried in every.tried}
    assert on_hook_kg(found["boom in", "2"]) == pytest.approx(262.0, rel=0.03)
    assert on_hook_kg(found["boom in", "4"]) == pytest.approx(314.0, rel=0.03)
    assert on_hook_kg(found["fold", "arm 2"]) == pytest.approx(411.0, rel=0.05)
    assert on_hook_kg(found["boom in", "2"]) < 300.0 < on_hook_kg(found["boom in", "4"])


def test_words_are_plain_and_carry_their_number(every):
    for tried in every.tried:
        for system in ("metric", "us"):
            text = fill(f"{tried.words}: {tried.result}", tried.numbers, system)
            assert "{" not in text
    text = fill(f"{every.tried[1].words}: {every.tried[1].result}", every.tried[1].numbers, "metric")
    assert text.startswith("Pull the boom in 2 holes to hole 8 (300 mm), the truck as much closer: allows ")
    assert "not enough for 285 kg" in text


def test_a_pick_within_needs_no_remedy():
    found = remedies(VINEYARD, VINEYARD.poses[0])
    assert found.already
    assert found.tried == ()


def test_a_hopeless_pick_says_what_would_be_needed():
    job = loaded(VINEYARD, 9000.0)
    found = remedies(job, job.poses[2])
    assert found.answer is None
    text = fill(found.needed, found.numbers, "metric")
    assert text.startswith("No remedy with this rig")
    assert "9\u202f180 kg" in text


def test_a_pick_that_cannot_be_judged_has_its_problem_and_no_remedy():
    bare = msgspec.structs.replace(VINEYARD, truck=msgspec.structs.replace(VINEYARD.truck, plate=None))
    found = remedies(bare, bare.poses[0])
    assert found.problems[0].where == "truck.plate"
    assert found.tried == ()
    assert not found.already


def test_a_guess_is_first_told_to_be_weighed():
    guess = Estimate(best=255.0, known="guess")
    job = msgspec.structs.replace(VINEYARD, load=msgspec.structs.replace(VINEYARD.load, mass_kg=guess))
    assert evaluate(job, job.poses[0]).state == "NOT PROVEN"
    assert remedies(job, job.poses[0]).settle == ("Weigh the load",)


def test_falls_tilt_swing_and_sling_are_tried_where_there_are_any():
    across = Estimate(best=0.03, known="measured")
    floor = msgspec.structs.replace(VINEYARD.floors[0], fall_across=across)
    policy = msgspec.structs.replace(VINEYARD.policy, swing_rad=0.1, braking=0.1)
    job = msgspec.structs.replace(VINEYARD, floors=(floor,), policy=policy)
    pose = msgspec.structs.replace(job.poses[2], tilt_rad=-0.03)
    kinds = {kind for kind, changes in FAMILIES if any(True for _ in changes(job, pose))}
    assert {"floor", "tilt out", "sling", "calm", "lower", "closer"} <= kinds


def test_remedies_can_be_stopped():
    with pytest.raises(Stopped):
        remedies(VINEYARD, VINEYARD.poses[2], stop=lambda: True)
