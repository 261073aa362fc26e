"""What the proof plan hangs, expects to read, and whether the truck may hold it."""

from __future__ import annotations

import math

import msgspec
import pytest
from approvals import approved

from engine.explain.proof_load import PROOF_SHARE, proof_load
from engine.limits import balance
from engine.limits.balance import on_its_tyres
from engine.limits.lean import Loads
from engine.rig.check import Check
from engine.rig.deflection import place_bent
from engine.rig.kinematics import Placed, figures
from engine.schema.model import Job, Policy
from engine.worst_case.verdict import evaluate

REPLACE = msgspec.structs.replace


def test_proof_load_hangs_125_per_cent_of_all_that_may_hang(sample: Job) -> None:
    pose = sample.poses[0]
    plan = proof_load(sample, pose)
    allowed_kg = evaluate(sample, pose).allowed_load_kg
    assert plan is not None
    assert allowed_kg is not None
    assert plan.placard_kg == math.floor(allowed_kg)
    assert plan.test_hung_kg == pytest.approx(PROOF_SHARE * (plan.placard_kg + sample.load.rigging_kg.best))
    assert plan.test_load_kg == pytest.approx(plan.test_hung_kg - sample.load.rigging_kg.best)


def test_expected_rear_weight_is_the_balance_s_with_the_test_load_on(sample: Job) -> None:
    pose = sample.poses[0]
    plan = proof_load(sample, pose)
    assert plan is not None
    numbers = REPLACE(figures(sample, pose), load_kg=plan.test_load_kg)
    assert plan.rear_kg == pytest.approx(float(on_its_tyres(place_bent(sample, numbers)).rear_kg))
    assert plan.rear_kg < plan.rear_empty_kg
    assert plan.sag_m is not None
    assert plan.sag_m > 0.0


def test_a_test_the_truck_may_not_hold_is_sent_to_a_frame(vineyard: Job) -> None:
    """The truck's balance limits this pose, so 125 % of what it allows exceeds it."""
    pose = next(pose for pose in vineyard.poses if pose.name == "straight ahead")
    governing = evaluate(vineyard, pose).governing
    assert governing is not None
    assert governing.of == "truck"
    plan = proof_load(vineyard, pose)
    assert plan is not None
    assert plan.on_a_frame
    assert f"{governing.part}: {governing.kind}" in plan.over


@pytest.mark.parametrize(("most_kg", "over"), [(240.0, ("lift chains: weight on the hook",)), (275.0, ())])
def test_a_new_limit_of_the_truck_sends_the_test_to_a_frame_once_the_test_exceeds_it(
    boatyard: Job, monkeypatch: pytest.MonkeyPatch, most_kg: float, over: tuple[str, ...]
) -> None:
    """The boatyard's first pose allows 191 kg, 190 on paper, with 12 kg of rigging; the test hangs 252.5 kg."""
    known_checks = balance.checks

    def with_lift_chains(placed: Placed, policy: Policy, leaning: Loads | None = None) -> list[Check]:
        hung_kg = placed.figures.load_kg + placed.figures.rigging_kg
        chains = Check(
            of="truck",
            part="lift chains",
            kind="weight on the hook",
            place_m=placed.frames["forks"].origin,
            demand=hung_kg,
            allowed=most_kg,
            unit="kg",
            use=hung_kg / most_kg,
            allowed_load_kg=most_kg - placed.figures.rigging_kg,
            words="{hung:kg} hangs; the chains hold {most:kg}",
            numbers={"hung": hung_kg, "most": most_kg},
            source="invented for this test",
        )
        return [*known_checks(placed, policy, leaning), chains]

    monkeypatch.setattr(balance, "checks", with_lift_chains)
    plan = proof_load(boatyard, boatyard.poses[0])
    assert plan is not None
    assert (plan.placard_kg, plan.test_hung_kg) == (190.0, 252.5)
    assert plan.over == over
    assert plan.on_a_frame == bool(over)


def test_fork_arms_count_as_the_truck_not_as_the_rig(boatyard: Job) -> None:
    """A stamp low enough to limit the pose: the test exceeds it and belongs on a frame."""
    forks = REPLACE(boatyard.truck.forks, rating_each_kg=500.0, rating_centre_m=0.5)
    job = REPLACE(boatyard, truck=REPLACE(boatyard.truck, forks=forks))
    governing = evaluate(job, job.poses[0]).governing
    assert governing is not None
    assert (governing.part, governing.of) == ("forks", "truck")
    plan = proof_load(job, job.poses[0])
    assert plan is not None
    assert "forks: moment at the heel" in plan.over


def test_a_test_beyond_the_maker_s_approval_belongs_on_a_frame_and_leaves_the_rig_s_own_use_alone(
    boatyard: Job,
) -> None:
    """150 kg approved where the rig allows 190 kg: the test hangs 125 % of what is approved, which the steel holds."""
    plan = proof_load(approved(boatyard, 150.0, lift_max_m=5.0), boatyard.poses[0])
    assert plan is not None
    assert plan.test_hung_kg > 150.0
    assert plan.over == ("approval: load on the hook",)
    assert plan.heaviest_use < 1.0


def test_nothing_allowed_is_nothing_to_test(sample: Job) -> None:
    assert proof_load(REPLACE(sample, truck=REPLACE(sample.truck, plate=None)), sample.poses[0]) is None
