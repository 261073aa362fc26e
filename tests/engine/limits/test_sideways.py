"""The sideways moment against what plate and maker cover: by hand, and what it does to state, load and words."""

from __future__ import annotations

import functools
import math
from pathlib import Path

import msgspec
import numpy as np
import pytest

from engine.base.formatting import fill
from engine.base.geometry import GRAVITY_M_S2, Vec
from engine.explain.approval_request import greatest_sideways_moment
from engine.explain.why import why
from engine.limits import sideways
from engine.planning import move, reach, stopping, sweep
from engine.rig.check import Check
from engine.rig.deflection import place_bent, with_bending
from engine.rig.kinematics import Body, Placed, figures, place
from engine.schema.model import Approval, ArmPose, Job, Plate, PlateRow, Policy
from engine.worst_case.verdict import Verdict, evaluate
from tests.samples import read_once

REPLACE = msgspec.structs.replace

HUNG_M = 1.40
"""Arms of 0.75 and 0.65 m in line."""

ARMS_KGM = 15.0 * 0.375 + 12.0 * (0.75 + 0.325)
"""Both arms of the vineyard about hinge 1, each weight at its middle."""

TURNED = math.sin(1.396263)
"""Over the floor stand, 80 degrees to the left."""


def asked(job: Job, lateral_kgm: float | None, lift_max_m: float = 3.3) -> Job:
    """The job with the maker's answer on the sideways moment, or with an approval that does not say."""
    approval = Approval(
        reference="A", date="2026-01-02", allowed_kg=500.0, lift_max_m=lift_max_m, lateral_kgm=lateral_kgm
    )
    return REPLACE(job, approval=approval)


def check_of(verdict: Verdict) -> Check:
    return next(check for check in verdict.checks if check.name == sideways.NAME)


def only_check(placed: Placed, plate: Plate, policy: Policy | None = None, approval: Approval | None = None) -> Check:
    (check,) = sideways.checks(placed, plate, policy or Policy(dynamic_factor=1.0), approval)
    return check


def plate_of(rated_kg: float) -> Plate:
    return Plate(rows=(PlateRow(rated_kg=rated_kg, load_centre_m=0.5, lift_m=3.3),))


def carrying(job: Job, rig_kg: float, load_kg: float, aside_m: float) -> Placed:
    """A stiff rig that comes to one weight, and a load, both at one place beside the middle."""
    placed = place(job, figures(job, job.poses[0]))
    bodies = (Body(name="rig", group="rig", link="forks", mass_kg=rig_kg, position_m=Vec(1.0, aside_m, 1.0)),)
    numbers = REPLACE(placed.figures, rigging_kg=0.0, load_kg=load_kg)
    return REPLACE(placed, bodies=bodies, hook_m=Vec(1.5, aside_m, 1.0), figures=numbers)


@pytest.fixture
def vineyard() -> Job:
    """As the sums have it: arms of 15 and 12 kg, the boom pinned where they have it; on forks that hold it."""
    return sound()


@functools.cache
def sound() -> Job:
    job = read_once(Path(__file__).resolve().parents[2] / "rigs" / "cold_spring_vineyard.rig.json")
    return REPLACE(job, truck=REPLACE(job.truck, forks=REPLACE(job.truck.forks, rating_each_kg=1500.0)))


@pytest.mark.parametrize(
    ("rated_kg", "offset_m"),
    [(1500, 0.10), (4999, 0.10), (5000, 0.15), (9999, 0.15), (10000, 0.25), (19999, 0.25), (20000, 0.35)],
)
def test_the_offset_a_plate_covers_grows_with_the_truck(rated_kg: float, offset_m: float) -> None:
    """ISO 22915-10, scope."""
    assert sideways.offset_m(plate_of(rated_kg)) == offset_m
    assert sideways.plate_kgm(plate_of(rated_kg), 1.0) == pytest.approx(rated_kg * offset_m)


def test_the_row_of_the_fork_height_counts_and_nothing_above_the_highest(vineyard: Job) -> None:
    rows = (*plate_of(1500.0).rows, PlateRow(rated_kg=1000.0, load_centre_m=0.5, lift_m=4.5))
    lifts_m = np.array([1.0, 3.3, 3.4, 4.5, 4.6])
    assert sideways.plate_kgm(Plate(rows=rows), lifts_m).tolist() == pytest.approx([150.0, 150.0, 100.0, 100.0, 0.0])


def test_a_load_and_arms_beside_the_middle_of_a_larger_truck(vineyard: Job) -> None:
    """joints.md section 10: 125 kg 0.80 m aside of a 2,500 kg plate."""
    check = only_check(carrying(vineyard, 25.0, 100.0, 0.80), plate_of(2500.0))
    assert check.demand / GRAVITY_M_S2 == pytest.approx(100.0)
    assert check.allowed / GRAVITY_M_S2 == pytest.approx(250.0)
    assert check.use == pytest.approx(0.400)
    assert check.allowed_load_kg == pytest.approx(250.0 / 0.80 - 25.0)
    right = only_check(carrying(vineyard, 25.0, 100.0, -0.80), plate_of(2500.0))
    assert (right.use, right.allowed_load_kg) == pytest.approx((check.use, check.allowed_load_kg))
    assert (check.numbers["side"], right.numbers["side"]) == ("left", "right")


def test_the_dynamic_factor_counts_on_what_hangs_alone(vineyard: Job) -> None:
    check = only_check(carrying(vineyard, 25.0, 100.0, 0.80), plate_of(2500.0), Policy(dynamic_factor=1.2))
    assert check.demand / GRAVITY_M_S2 == pytest.approx(0.80 * (25.0 + 1.2 * 100.0))


def test_over_the_floor_stand_by_hand(vineyard: Job) -> None:
    """joints.md section 10: 448.4 kg·m of 150.0, use 2.989, on a stiff rig (12 kg of hook, 15 of rigging)."""
    placed = place(vineyard, figures(vineyard, vineyard.poses[0]))
    check = only_check(placed, vineyard.truck.plate)
    by_hand = TURNED * (ARMS_KGM + (12.0 + 15.0 + 285.0) * HUNG_M)
    assert check.demand / GRAVITY_M_S2 == pytest.approx(by_hand, rel=1e-6)
    assert check.demand / GRAVITY_M_S2 == pytest.approx(448.4, abs=0.05)
    assert check.use == pytest.approx(2.989, abs=0.0005)
    most_kg = (150.0 - TURNED * (ARMS_KGM + 27.0 * HUNG_M)) / (TURNED * HUNG_M)
    assert check.allowed_load_kg == pytest.approx(most_kg, rel=1e-6)


def test_the_load_at_the_limit_is_where_the_bent_rig_reaches_it(vineyard: Job) -> None:
    """Found again by putting that very load on the hook; bent, the arms carry it a little further aside."""
    for pose in (vineyard.poses[0], vineyard.poses[3]):  # to the left and to the right
        numbers = figures(vineyard, pose)
        check = only_check(place_bent(vineyard, with_bending(vineyard, numbers)), vineyard.truck.plate)
        at_limit = REPLACE(numbers, load_kg=check.allowed_load_kg)
        again = only_check(place_bent(vineyard, with_bending(vineyard, at_limit)), vineyard.truck.plate)
        assert again.use == pytest.approx(1.0, abs=1e-9)
        assert check.allowed_load_kg < only_check(place(vineyard, numbers), vineyard.truck.plate).allowed_load_kg


def test_a_rig_that_is_aside_by_itself_is_not_helped_by_a_load_on_the_other_side(vineyard: Job) -> None:
    """The load is lifted from nothing."""
    placed = carrying(vineyard, 400.0, 100.0, 0.50)
    placed = REPLACE(placed, hook_m=Vec(1.5, -1.0, 1.0))
    check = only_check(placed, plate_of(1500.0))
    assert check.demand / GRAVITY_M_S2 == pytest.approx(200.0)  # the load brings it down to 100
    assert check.allowed_load_kg < 0.0


# ---------------------------------------------------------------- state


def test_not_covered_is_not_proven_whatever_the_number_and_the_makers_answer_settles_it(vineyard: Job) -> None:
    """A rig that is otherwise sound: NOT PROVEN without the answer or with too small a one, WITHIN with it."""
    pose = vineyard.poses[0]
    for job in (REPLACE(vineyard, approval=None), asked(vineyard, None), asked(vineyard, 440.0)):
        verdict = evaluate(job, pose)
        assert verdict.state == "NOT PROVEN"
        assert not verdict.not_entered
        assert check_of(verdict).use > 1.0
        assert [check.name for check in verdict.checks if not check.use <= 1.0] == [sideways.NAME]
        assert verdict.allowed_load_kg == pytest.approx(verdict.worst_case.allowed_kg)
        assert verdict.allowed_load_kg < 285.0
    settled = evaluate(asked(vineyard, 520.0), pose)
    assert settled.state == "WITHIN"
    assert check_of(settled).allowed == pytest.approx(520.0 * GRAVITY_M_S2)


def test_an_answer_holds_up_to_the_fork_height_of_the_approval(vineyard: Job) -> None:
    placed = place(vineyard, REPLACE(figures(vineyard, vineyard.poses[0]), lift_m=np.array([1.0, 2.0, 2.1])))
    check = only_check(placed, vineyard.truck.plate, approval=asked(vineyard, 520.0, lift_max_m=2.0).approval)
    assert (check.allowed / GRAVITY_M_S2).tolist() == pytest.approx([520.0, 520.0, 150.0])
    assert list(check.numbers["by"]) == ["the maker's answer", "the maker's answer", "the plate"]


def test_a_smaller_answer_of_the_maker_counts_too(vineyard: Job) -> None:
    placed = place(vineyard, figures(vineyard, vineyard.poses[0]))
    check = only_check(placed, vineyard.truck.plate, approval=asked(vineyard, 60.0).approval)
    assert check.allowed / GRAVITY_M_S2 == pytest.approx(60.0)


def test_a_pose_over_another_limit_stays_over(vineyard: Job) -> None:
    job = REPLACE(
        vineyard, approval=None, load=REPLACE(vineyard.load, mass_kg=REPLACE(vineyard.load.mass_kg, best=900.0))
    )
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "OVER"
    cause = why(job, job.poses[0], verdict).cause
    assert "sideways moment" not in fill(cause.words, cause.numbers, "metric")


def test_as_a_caution_the_sentence_stays_and_the_state_does_not_change(vineyard: Job) -> None:
    covered = evaluate(asked(vineyard, 520.0), vineyard.poses[0])
    job = REPLACE(vineyard, approval=None, policy=REPLACE(vineyard.policy, lateral_rule="caution"))
    verdict = evaluate(job, job.poses[0])
    assert verdict.state == "WITHIN"
    assert verdict.allowed_load_kg == pytest.approx(covered.allowed_load_kg)
    (caution,) = (one for one in verdict.cautions if one.where == sideways.WHERE)
    words = "the plate covers 150 kg·m sideways; this pose has 458 kg·m to the left: ask the maker."
    assert fill(caution.words, caution.numbers, "metric") == words
    straight = evaluate(job, job.poses[2])
    assert not [one for one in straight.cautions if one.where == sideways.WHERE]


def test_the_words_name_numbers_side_and_whom_to_ask(vineyard: Job) -> None:
    job = REPLACE(vineyard, approval=None)
    for pose, side in ((job.poses[0], "left"), (job.poses[3], "right")):
        verdict = evaluate(job, pose)
        check, reason = check_of(verdict), why(job, pose, verdict)
        words = f"the plate covers 150 kg·m sideways; this pose has 458 kg·m to the {side}: ask the maker"
        assert fill(check.words, check.numbers, "metric") == words
        assert words in fill(reason.cause.words, reason.cause.numbers, "metric")
        assert "approval request" in reason.remedy.words
    inside = check_of(evaluate(job, job.poses[4]))
    assert fill(inside.words, inside.numbers, "metric").endswith("to the left")


def test_in_the_worst_case_the_heaviest_rig_and_load_count(vineyard: Job) -> None:
    """An answer that covers the entries as entered, and not the worst of them, does not prove the pose."""
    job = asked(vineyard, 460.0)
    verdict = evaluate(job, job.poses[0])
    assert check_of(verdict).use <= 1.0
    assert verdict.worst_case.use[verdict.checks.index(check_of(verdict))] > 1.0
    assert verdict.state == "NOT PROVEN"


# ---------------------------------------------------------------- planning and papers


def test_no_plan_gives_a_figure_that_nothing_covers(vineyard: Job) -> None:
    """Reach map and stopping speed with the arms to one side, without the maker's answer; every figure is a limit's."""
    job = REPLACE(vineyard, approval=None)
    pose = job.poses[0]
    assert sweep.judge(job, pose).state == "NOT PROVEN"
    map_ = reach.reach_map(job, pose, "plan", cell_m=0.5)
    aside = np.abs(map_.across_m) > 1.0
    assert map_.reachable[aside].any()
    assert not map_.allowed[aside].any()
    assert map_.allowed_kg[aside].max() < 285.0
    assert stopping.fastest(job, pose, 0.5).speed_m_s == 0.0


def test_a_move_with_the_arms_aside_is_not_proven_rather_than_over(vineyard: Job) -> None:
    stand = vineyard.poses[0]
    further = REPLACE(stand, name="a little further", arms=(ArmPose(turn_rad=1.41), ArmPose()))
    job = REPLACE(vineyard, poses=(stand, further), moves=(), approval=None)
    asked_for = move.Move(name="m", poses=(stand.name, further.name), controls=("driver",))
    planned = move.plan(job, asked_for)
    assert planned.state == "NOT PROVEN"
    assert planned.steps[0].peak_use > 1.0 and not planned.steps[0].over
    assert move.plan(asked(job, 520.0), asked_for).state == "WITHIN"


def test_the_request_asks_for_the_greatest_moment_there_can_be(vineyard: Job) -> None:
    """Both arms square to one side: by hand 455.3 kg·m, and what bending and the uneven forks add."""
    found = greatest_sideways_moment(REPLACE(vineyard, approval=None), vineyard.poses[0])
    by_hand = ARMS_KGM + 312.0 * HUNG_M
    assert by_hand < abs(found.moment_kgm) < 1.025 * by_hand
    assert found.covered_kgm == pytest.approx(150.0)
    assert found.to_ask
