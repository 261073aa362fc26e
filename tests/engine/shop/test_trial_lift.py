"""Trial lifts: a truck that is not as assumed is found out, and the corrected one predicts the readings."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.base.errors import EditError, RigFileError
from engine.base.formatting import fill
from engine.schema import rig_file
from engine.schema.model import Floor, Job, TrialLift
from engine.schema.quantities import Estimate
from engine.shop import edits, trial_lift
from engine.shop.truck_measurement import ReadingError
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace
SAMPLES = Path(__file__).resolve().parents[3] / "sample_rigs"


def moved_centre(job: Job, forward_m: float) -> Job:
    """The job with its truck's centre further forward than assumed, mass kept."""
    truck = job.truck
    kg = forward_m * (truck.front_axle_kg.best + truck.rear_axle_kg.best) / truck.wheelbase_m.best
    front, rear = truck.front_axle_kg, truck.rear_axle_kg
    truck = REPLACE(
        truck, front_axle_kg=REPLACE(front, best=front.best + kg), rear_axle_kg=REPLACE(rear, best=rear.best - kg)
    )
    return REPLACE(job, truck=truck)


def weighed_on(job: Job, *loads_kg: float, index: int = 0) -> tuple[TrialLift, ...]:
    """Readings a truck would give, taken from plain statics of that truck."""
    pose = job.poses[index]
    blank = [TrialLift(pose=pose, load_kg=kg, rigging_kg=10.0, rear_kg=1.0) for kg in loads_kg]
    return tuple(REPLACE(lift, rear_kg=trial_lift.compare(job, lift).predicted_kg) for lift in blank)


def said(fitted: object) -> str:
    return fill(fitted.words, fitted.numbers, "metric")


@given(st.floats(-0.15, 0.15).filter(lambda m: abs(m) > 0.01))
def test_a_centre_further_forward_than_assumed_is_found_out(forward_m):
    job = rig_file.read(SAMPLES / "tarn_hollow_stone_yard.rig.json")
    real = moved_centre(job, forward_m)
    fitted = trial_lift.fit(job, weighed_on(real, 200.0, 400.0, 600.0))
    # On the yard's 1 % fall a scale reads square to the floor: cos(0.57 deg) is 5e-5 short of 1.
    assert fitted.forward_m == pytest.approx(forward_m, rel=1e-4)
    assert max(map(abs, fitted.residuals_kg)) < 1e-6
    again = trial_lift.fit(REPLACE(job, truck=fitted.corrected), weighed_on(real, 200.0, 300.0))
    assert again.agrees and abs(again.rear_shift_kg) < 0.1


def test_it_says_so_in_plain_words(stone_yard: Job):
    fitted = trial_lift.fit(stone_yard, weighed_on(moved_centre(stone_yard, 0.040), 300.0, 500.0))
    assert "40 mm further forward than assumed" in said(fitted)


def test_readings_within_the_scale_offer_no_correction(stone_yard: Job):
    fitted = trial_lift.fit(stone_yard, weighed_on(moved_centre(stone_yard, 0.002), 300.0))
    assert fitted.agrees and fitted.corrected is None
    assert "within the 10 kg" in said(fitted)


def test_a_correction_is_offered_and_never_applied(stone_yard: Job):
    lifts = weighed_on(moved_centre(stone_yard, 0.06), 300.0, 500.0)
    with_readings = REPLACE(stone_yard, trial_lifts=lifts)
    fitted = trial_lift.fit(with_readings)
    assert fitted.corrected != stone_yard.truck
    assert (
        evaluate(with_readings, stone_yard.poses[0]).balance.rear_kg
        == evaluate(stone_yard, stone_yard.poses[0]).balance.rear_kg
    )
    assert fitted.corrected.rear_axle_kg.known == "weighed"


def test_a_corrected_truck_keeps_its_mass(stone_yard: Job):
    fitted = trial_lift.fit(stone_yard, weighed_on(moved_centre(stone_yard, -0.05), 300.0))
    was, now = stone_yard.truck, fitted.corrected
    assert now.front_axle_kg.best + now.rear_axle_kg.best == pytest.approx(
        was.front_axle_kg.best + was.rear_axle_kg.best
    )


def test_a_reading_that_does_not_fit_is_named(stone_yard: Job):
    lifts = list(weighed_on(stone_yard, 200.0, 300.0, 400.0, 500.0))
    lifts[2] = REPLACE(lifts[2], rear_kg=lifts[2].rear_kg + 90.0)
    fitted = trial_lift.fit(stone_yard, tuple(lifts))
    problems = trial_lift.contradictions(stone_yard, fitted)
    assert any("reading 3" in said(problem) for problem in problems)
    assert fitted.off_kg >= 60.0


def test_a_truck_far_from_what_was_entered_is_a_contradiction_with_both_numbers(stone_yard: Job):
    truck = REPLACE(stone_yard.truck, rear_axle_kg=Estimate(best=2940.0, known="weighed"))
    job = REPLACE(stone_yard, truck=truck)
    fitted = trial_lift.fit(job, weighed_on(moved_centre(job, 0.08), 300.0))
    (problem,) = trial_lift.contradictions(job, fitted)
    assert "2\u202f940 kg" in said(problem)


def test_a_shift_no_truck_could_have_offers_nothing(stone_yard: Job):
    lift = weighed_on(stone_yard, 300.0)[0]
    assert trial_lift.fit(stone_yard, (REPLACE(lift, rear_kg=lift.rear_kg + 4000.0),)).corrected is None


def test_no_readings_and_unknown_floors_are_refused(stone_yard: Job):
    with pytest.raises(ReadingError, match="at least one reading"):
        trial_lift.fit(stone_yard)
    unknown = Floor(name="yard", fall_along=None, fall_across=None)
    with pytest.raises(ReadingError, match="fall is known"):
        trial_lift.fit(
            REPLACE(stone_yard, floors=(unknown,)),
            (TrialLift(pose=stone_yard.poses[0], load_kg=100.0, rear_kg=2500.0),),
        )


def test_readings_are_kept_in_the_file(stone_yard: Job):
    job = REPLACE(stone_yard, trial_lifts=weighed_on(stone_yard, 300.0))
    assert rig_file.decode(rig_file.encode(job)) == job


def test_a_reading_on_a_floor_the_file_does_not_have_is_refused(stone_yard: Job):
    lift = weighed_on(stone_yard, 300.0)[0]
    elsewhere = REPLACE(lift, pose=REPLACE(lift.pose, floor="elsewhere"))
    with pytest.raises((RigFileError, ValueError), match="trial_lifts"):
        rig_file.encode(REPLACE(stone_yard, trial_lifts=(elsewhere,)))


def test_an_arm_added_later_is_left_off_in_earlier_readings(stone_yard: Job):
    before = REPLACE(stone_yard, trial_lifts=weighed_on(stone_yard, 300.0))
    after = edits.add_arm(before)
    assert not after.trial_lifts[0].pose.arms[0].fitted
    assert trial_lift.compare(after, after.trial_lifts[0]).over_kg == pytest.approx(0.0, abs=1e-9)
    assert edits.remove_arm(after, 0) == before


def test_an_arm_a_reading_was_made_with_stays(boatyard: Job):
    job = REPLACE(boatyard, trial_lifts=weighed_on(boatyard, 100.0))
    with pytest.raises(EditError, match="trial lift"):
        edits.remove_arm(job, 1)
