"""From the rack to a rig: cuttable, lightest first, every job judged again."""

from __future__ import annotations

from pathlib import Path

import msgspec
import pytest

from engine import rigfile
from engine.model import Approval, Estimate, TrialLift
from engine.placing import figures, place
from engine.rack import Tube, Want, search
from engine.sections import RectTube
from engine.sweep import Stopped
from engine.verdict import evaluate

SAMPLES = Path(__file__).resolve().parents[2] / "sample_rigs"
PATTERN = rigfile.read(SAMPLES / "tarn_hollow_stone_yard.rig.json")


def tube(name: str, side: float, wall: float, length: float = 6.0, condition: str = "good") -> Tube:
    return Tube(name=name, section=RectTube(width_m=side, depth_m=side, wall_m=wall), length_m=length, condition=condition)


RACK = (
    tube("75 x 5", 0.075, 0.005),
    tube("100 x 6", 0.1, 0.006),
    tube("120 x 6", 0.12, 0.006, 1.5),
    tube("60 x 4 bent", 0.06, 0.004, condition="bent"),
    tube("100 x 8 rusty", 0.1, 0.008, condition="rusty"),
)


def want(name: str, kg: float, height: float, ahead: float) -> Want:
    return Want(name=name, load_kg=Estimate(best=kg, known="weighed"), rigging_kg=15.0, hook_height_m=height, ahead_of_face_m=ahead)


WANTS = (want("lintel", 300.0, 2.0, 1.1), want("sill", 120.0, 2.6, 1.7))


@pytest.fixture(scope="module")
def found():
    return search(PATTERN, RACK, WANTS, enough=3)


def test_rigs_found_come_lightest_first_and_do_every_job(found):
    assert found.found
    weights = [rig.rig_kg for rig in found.found]
    assert weights == sorted(weights)
    for rig in found.found:
        assert [done.want for done in rig.done] == ["lintel", "sill"]
        assert all(done.works for done in rig.done)


def test_each_is_a_whole_job_that_can_be_saved_and_judged_again(found):
    for rig in found.found:
        job = rigfile.decode(rigfile.encode(rig.job))
        assert job.load.mass_kg.best == 300.0
        assert evaluate(job, job.poses[0]).state == "WITHIN"


def test_the_hook_comes_where_each_job_wants_it(found):
    for rig in found.found:
        for done, wanted in zip(rig.done, WANTS, strict=True):
            hook = place(rig.job, figures(rig.job, done.pose)).hook_m
            ahead = float(hook.x) - rig.job.truck.front_overhang_m.best
            assert wanted.ahead_of_face_m - 0.05 <= ahead <= wanted.ahead_of_face_m + rig.job.rig.boom.hole_pitch_m + 0.05
            assert float(hook.z) == pytest.approx(wanted.hook_height_m, abs=0.03)


def test_nothing_lighter_on_the_rack_does_them(found):
    """Every choice looked at before the first found is lighter and fails."""
    everything = search(PATTERN, RACK, WANTS, enough=1000)
    assert everything.found[0].rig_kg == found.found[0].rig_kg
    assert everything.looked_at == everything.of


def test_bent_and_too_short_tubes_are_not_used_and_lengths_are_not_used_twice(found):
    names = {tube for rig in search(PATTERN, RACK, WANTS, enough=1000).found for _, tube in rig.tubes}
    assert "60 x 4 bent" not in names
    short = (tube("only", 0.1, 0.006, 3.2),)
    assert search(PATTERN, short, WANTS).of == 0


def test_what_is_too_much_for_the_rack_names_the_nearest():
    found = search(PATTERN, RACK[:1], (want("too much", 3000.0, 2.0, 1.5),))
    assert found.found == ()
    assert found.nearest is not None
    assert found.nearest.use > 1.0


def test_progress_is_told_and_the_search_can_be_stopped():
    told: list[float] = []
    search(PATTERN, RACK, WANTS[:1], enough=1, tell=told.append)
    assert told == sorted(told)
    with pytest.raises(Stopped):
        search(PATTERN, RACK, WANTS, stop=lambda: True)


def test_one_to_three_jobs_are_wanted():
    with pytest.raises(ValueError, match="1 to 3"):
        search(PATTERN, RACK, ())


def test_an_approval_and_trial_lifts_stay_with_the_rig_they_are_of():
    approval = Approval(reference="A-17", date="2026-01-05", allowed_kg=500.0, lift_max_m=3.0)
    lift = TrialLift(pose=PATTERN.poses[0], load_kg=100.0, rear_kg=1500.0)
    pattern = msgspec.structs.replace(PATTERN, approval=approval, trial_lifts=(lift,))
    made = search(pattern, RACK, WANTS, enough=1).found[0].job
    assert made.approval is None
    assert made.trial_lifts == ()
