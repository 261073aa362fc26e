"""Remedies: tried in order, each judged again from scratch, the first that works is the answer."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine.base.formatting import fill
from engine.limits.all_limits import find_checks
from engine.planning.remedy import remedies
from engine.planning.remedy_changes import FAMILIES
from engine.planning.sweep import Stopped
from engine.rig.kinematics import figures
from engine.schema import rig_file
from engine.schema.model import Surrounding
from engine.schema.quantities import Estimate
from engine.worst_case.verdict import evaluate
from tests.samples import by_hand, read_once

SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"
VINEYARD = read_once(Path(__file__).resolve().parents[2] / "rigs" / "cold_spring_vineyard.rig.json")


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
    for trial in every.tried:
        if trial.kind == "forks":
            continue
        verdict = evaluate(rig_file.decode(rig_file.encode(trial.job)), trial.pose)
        assert (verdict.state == "WITHIN") == trial.works
        if verdict.allowed_load_kg is not None:
            assert verdict.allowed_load_kg == pytest.approx(trial.allowed_kg, rel=1e-6, abs=1e-6)


def test_they_come_in_the_order_a_person_would_try_them(every):
    kinds = list(dict.fromkeys(trial.kind for trial in every.tried))
    order = [kind for kind, _ in FAMILIES] + ["forks"]
    assert kinds == sorted(kinds, key=order.index)
    assert kinds[0] == "boom in"
    assert {"arm off", "fold", "split", "forks"} <= set(kinds)


def test_without_asking_for_all_it_stops_at_the_first_that_works(every):
    advice = remedies(VINEYARD, VINEYARD.poses[2])
    assert advice.answer.words == every.answer.words
    assert advice.tried[-1].works
    assert not any(trial.works for trial in advice.tried[:-1])


def test_the_vineyards_remedies_on_the_fork_face_rule(every):
    """Demonstration figures, 300 kg on the hook straight ahead: boom in two holes 262 kg, four 314.

    Arm 2 folds by 138.7 degrees only, where its hinge stops it: the hook is 0.65 x 1.751 m nearer than the 2.75 m
    straight ahead, and arm 2's 12 kg half as much, so (750 - 139.5 + 6.8) / 1.612 = 383 kg (750 - 139.5 = 222 x 2.75).

    They lump the rig at the boom's height, and count the boom's and arms' own levers a little differently; within 3 %.
    ``allowed`` there counts the rigging of 15 kg, which the engine has taken off already.
    """

    def on_hook_kg(stance) -> float:
        checks = find_checks(VINEYARD, figures(VINEYARD, stance))
        rule = next(check for check in checks if check.kind == "fork-face rule")
        return float(rule.allowed_load_kg) + 15.0

    poses = {(trial.kind, trial.numbers.get("count", trial.numbers.get("arm"))): trial.pose for trial in every.tried}
    assert on_hook_kg(poses["boom in", "2"]) == pytest.approx(262.0, rel=0.03)
    assert on_hook_kg(poses["boom in", "4"]) == pytest.approx(314.0, rel=0.03)
    assert on_hook_kg(poses["fold", "arm 2"]) == pytest.approx(383.0, rel=0.03)
    assert on_hook_kg(poses["boom in", "2"]) < 300.0 < on_hook_kg(poses["boom in", "4"])


def test_words_are_plain_and_carry_their_number(every):
    for trial in every.tried:
        for system in ("metric", "us"):
            text = fill(f"{trial.words}: {trial.result}", trial.numbers, system)
            assert "{" not in text
    text = fill(f"{every.tried[1].words}: {every.tried[1].result}", every.tried[1].numbers, "metric")
    assert text.startswith("Pull the boom in 2 holes to hole 8 (300 mm), the truck as much closer: allows ")
    assert "not enough for 285 kg" in text


def test_a_pick_within_needs_no_remedy():
    advice = remedies(VINEYARD, VINEYARD.poses[0])
    assert (advice.answer, advice.tried, advice.needed) == (None, (), "")


def test_a_hopeless_pick_says_what_would_be_needed():
    job = loaded(VINEYARD, 4000.0)
    advice = remedies(job, job.poses[2])
    assert advice.answer is None
    text = fill(advice.needed, advice.numbers, "metric")
    assert text.startswith("No remedy with this rig")
    assert "4\u202f080 kg" in text


def test_a_pick_that_cannot_be_judged_has_no_remedy():
    bare = msgspec.structs.replace(VINEYARD, truck=msgspec.structs.replace(VINEYARD.truck, plate=None))
    advice = remedies(bare, bare.poses[0])
    assert (advice.answer, advice.tried, advice.needed) == (None, (), "")


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


# ---------------------------------------------------------------- something in the way


BOATYARD = read_once(SAMPLES / "skerry_point_boatyard.rig.json")
LINTEL = read_once(SAMPLES / "tarn_hollow_stone_yard.rig.json")


def test_a_boom_with_its_tail_at_the_driver_is_slid_out():
    """Hook empty, forks low: as far out as the tail clears the guard (hole 2 as entered, hole 1 at worst)."""
    advice = remedies(BOATYARD, BOATYARD.poses[3])
    answer = advice.answer
    assert answer.kind == "clear" and answer.pose.hole == 1
    assert answer.words.startswith("Slide the boom out to hole {hole}")
    assert answer.numbers["by"] == pytest.approx(9 * 0.150)
    assert fill(answer.result, answer.numbers, "metric").startswith("is within the limits with the hook empty")
    assert evaluate(answer.job, answer.pose).state == "WITHIN"


def test_a_load_that_turns_into_the_jib_mast_is_held():
    free = msgspec.structs.replace(LINTEL, load=msgspec.structs.replace(LINTEL.load, hang="free"))
    answer = remedies(free, free.poses[0]).answer
    assert answer.kind == "clear" and answer.job.load.hang == "two_lines"
    assert answer.words.startswith("Hold the load by two tag lines")


def test_a_ceiling_is_cleared_by_lowering_the_forks():
    """The glasshouse's boom has its middle at 3.50 m; a ceiling at 3.60 is lower than its hinge is tall."""
    gable = by_hand("brightlea_glasshouses")
    ceiling = Surrounding(
        name="the ceiling", known="measured", x0_m=-5.0, x1_m=8.0, y0_m=-5.0, y1_m=5.0, z0_m=3.6, z1_m=4.0
    )
    job = msgspec.structs.replace(gable, surroundings=(ceiling,))
    pose = job.poses[1]
    assert evaluate(job, pose).state == "OVER" and evaluate(gable, pose).state == "WITHIN"
    answer = remedies(job, pose).answer
    assert answer.kind == "clear" and answer.words.startswith("Lower the forks")
    assert answer.pose.lift_m < pose.lift_m and evaluate(job, answer.pose).room.short_at_worst == ()


def test_nothing_is_cleared_that_is_clear():
    assert not [trial for trial in remedies(VINEYARD, VINEYARD.poses[2], every=True).tried if trial.kind == "clear"]


STEPPED_IN = {"closer": 6.0, "lower": 12.0}


def test_in_us_units_the_truck_comes_closer_and_the_hook_lower_by_feet_and_half_feet():
    """A metric step would read 1 ft 11-5/8 in."""
    vineyard = msgspec.structs.replace(VINEYARD, units="us")
    for kind, step_in in STEPPED_IN.items():
        changes = dict(FAMILIES)[kind](vineyard, vineyard.poses[2])
        by_in = [float(change.numbers["by"]) / 0.0254 for change in changes]
        whole = [by for by in by_in if abs(by / step_in - round(by / step_in)) < 1e-9]
        assert whole and len(whole) >= len(by_in) - 1, by_in  # the last is as far as it goes
