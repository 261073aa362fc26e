"""Lean of the truck on its tyres: against hand sums, and against settling step by step on a turned floor.

The second reference works apart from the engine's closed form: it turns gravity by the lean found so far, weighs the
truck as a rigid body, lets each tyre give by its own wheel load, and goes round until nothing moves.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import msgspec
import pytest

from engine.base.formatting import fill
from engine.base.geometry import GRAVITY_M_S2, Vec, gravity_direction
from engine.limits import balance, lean, play
from engine.rig.deflection import place_bent, with_bending
from engine.rig.kinematics import Body, Placed, figures
from engine.schema.model import Job, Pose
from engine.worst_case.verdict import evaluate
from tests.samples import read_once

REPLACE = msgspec.structs.replace
SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_rigs").glob("*.rig.json"))

SOFT, FIRM = 0.6e6, 1.2e6


def standing(job: Job, pose: Pose, **changes: object) -> Placed:
    numbers = REPLACE(figures(job, pose), fall_along=0.01, fall_across=-0.01, **changes)
    return place_bent(job, with_bending(job, numbers))


def reactions(job: Job, placed: Placed, pitch: float, roll: float) -> tuple[float, float, float]:
    """Left front, right front, and rear, on a floor turned by the lean."""
    numbers = placed.figures
    gravity = gravity_direction(numbers.fall_along + math.tan(pitch), numbers.fall_across + math.tan(roll))
    weighed = balance.weigh(REPLACE(placed, gravity=gravity))
    return float(weighed.left_front_kg), float(weighed.right_front_kg), float(weighed.rear_kg)


def settled(job: Job, placed: Placed, stiffness_N_m: float) -> tuple[float, float]:
    """Pitch and roll, step by step."""
    numbers, pitch, roll = placed.figures, 0.0, 0.0
    for _ in range(200):
        left, right, rear = reactions(job, placed, pitch, roll)
        give = GRAVITY_M_S2 / stiffness_N_m
        at_left, at_right = (give * (kg - numbers.front_axle_kg / 2.0) for kg in (left, right))
        at_rear = give * (rear - numbers.rear_axle_kg) / 2.0
        pitch = ((at_left + at_right) / 2.0 - at_rear) / numbers.wheelbase_m
        roll = (at_left - at_right) / numbers.front_track_m
    return pitch, roll


def weights(*bodies: tuple[float, Vec], job: Job) -> Placed:
    """Only these, on a level floor, on the sample's truck."""
    placed = standing(job, job.poses[0])
    made = tuple(
        Body(name=str(index), group="truck", link="chassis", mass_kg=kg, position_m=at)
        for index, (kg, at) in enumerate(bodies)
    )
    numbers = REPLACE(placed.figures, load_kg=0.0, rigging_kg=0.0)
    return REPLACE(placed, bodies=made, gravity=Vec(0.0, 0.0, -1.0), figures=numbers)


def test_pitch_of_a_two_and_a_half_tonne_truck_by_hand(vineyard: Job) -> None:
    """pick.md section 2.1: bare 799.5/799.5/2,301 kg, now 1,277/1,227/1,790 kg, wheelbase 1.6 m: 0.007232 rad.

    Everything on the floor, so that the lean adds nothing to itself.
    """
    placed = weights(
        (1277.0, Vec(0.0, 0.45, 0.0)), (1227.0, Vec(0.0, -0.45, 0.0)), (1790.0, Vec(-1.6, 0.0, 0.0)), job=vineyard
    )
    bare = {"front_axle_kg": 1599.0, "rear_axle_kg": 2301.0, "wheelbase_m": 1.6, "tyre_m_N": 1.0 / SOFT}
    pitch, _ = lean.now(REPLACE(placed, figures=REPLACE(placed.figures, **bare)))
    assert float(pitch) == pytest.approx(0.007232, abs=2e-6)


@pytest.mark.parametrize(
    ("stiffness", "high_Nm", "roll"), [(SOFT, 0.0, 0.03362), (FIRM, 0.0, 0.01681), (SOFT, 30e3, 0.03835)]
)
def test_roll_of_uneven_front_wheels_by_hand(vineyard: Job, stiffness: float, high_Nm: float, roll: float) -> None:
    """pick.md section 2.1: wheels of 1,976 and 125 kg, 0.90 m apart; with 30 kN·m of weight times height, more."""
    high_m = high_Nm / (2101.0 * GRAVITY_M_S2)
    placed = weights((1976.0, Vec(0.0, 0.45, high_m)), (125.0, Vec(0.0, -0.45, high_m)), job=vineyard)
    figures_ = REPLACE(placed.figures, front_track_m=0.9, tyre_m_N=1.0 / stiffness)
    assert float(lean.now(REPLACE(placed, figures=figures_))[1]) == pytest.approx(roll, abs=1e-5)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.split(".")[0])
@pytest.mark.parametrize("stiffness", [SOFT, FIRM])
def test_the_truck_leans_as_far_as_settling_step_by_step_says(path: Path, stiffness: float) -> None:
    job = read_once(path)
    for pose in job.poses:
        placed = standing(job, pose, tyre_m_N=1.0 / stiffness)
        for found, wanted in zip(lean.now(placed), settled(job, placed, stiffness), strict=True):
            assert float(found) == pytest.approx(wanted, rel=0.03, abs=1e-4)


def test_the_load_that_tips_a_leaning_truck_is_never_too_great_and_nearly_right() -> None:
    """The vat lid out to the left, on soft and on firm tyres, against settling anew at each load tried."""
    job = read_once(next(path for path in SAMPLES if "pippin" in path.name))
    for stiffness in (SOFT, FIRM):

        def left_at(load_kg: float, stiffness: float = stiffness) -> float:
            placed = standing(job, job.poses[0], tyre_m_N=1.0 / stiffness, load_kg=load_kg)
            return reactions(job, placed, *settled(job, placed, stiffness))[1]

        low, high = 0.0, 1000.0
        for _ in range(30):
            middle = (low + high) / 2.0
            low, high = (middle, high) if left_at(middle) > 0.0 else (low, middle)
        placed = standing(job, job.poses[0], tyre_m_N=1.0 / stiffness, load_kg=100.0)
        rigid_kg = float(balance.weigh(placed).tipping_load_kg)
        tips_kg = float(balance.weigh(placed, leaning="beyond").tipping_load_kg)
        assert rigid_kg * 0.5 < tips_kg < rigid_kg * 0.95
        assert low * 0.95 < tips_kg <= low * 1.001


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.split(".")[0])
def test_the_tipping_load_shown_is_where_the_leaning_truck_tips_or_a_little_less(path: Path) -> None:
    """By hanging more and more: the first load that leaves a line of the leaning truck nothing.

    Far over the pose's own load the lean on its chord says up to a tenth less.
    """
    job = read_once(path)
    for pose in [pose for pose in job.poses if pose.loaded][::2]:
        low, high = 0.0, 20_000.0
        for _ in range(28):
            middle = (low + high) / 2.0
            lines = balance.on_its_tyres(standing(job, pose, load_kg=middle)).lines
            low, high = (middle, high) if all(float(line.margin_Nm) > 0.0 for line in lines) else (low, middle)
        if high < 20_000.0:
            tips_kg = float(balance.on_its_tyres(standing(job, pose)).tipping_load_kg)
            assert low * (0.997 if low < 8.0 * job.load.mass_kg.best else 0.9) < tips_kg <= low * 1.0001


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name.split(".")[0])
def test_the_load_allowed_by_a_leaning_truck_just_uses_it_up(path: Path) -> None:
    """Whatever load hung when it was asked.  Of limits that allow more than others, it may allow less than it could."""
    job = read_once(path)
    for pose in (pose for pose in job.poses if pose.loaded):
        checks = play.checks(job, standing(job, pose))
        least_kg = min(float(check.allowed_load_kg) for check in checks)
        for check in checks:
            allowed_kg = float(check.allowed_load_kg)
            if 1.0 < allowed_kg < 2000.0:
                again = next(
                    one for one in play.checks(job, standing(job, pose, load_kg=allowed_kg)) if one.name == check.name
                )
                assert float(again.use) <= 1.002, check.name
                assert float(again.use) > (0.97 if allowed_kg == least_kg else 0.6), check.name


def test_softer_tyres_never_allow_more() -> None:
    for path in SAMPLES[::3]:
        job = read_once(path)
        if evaluate(job, job.poses[0]).state == "REFUSED":
            continue
        allowed = []
        for kind in ("press_on", "solid", "pneumatic", "pneumatic_soft"):
            worst = evaluate(REPLACE(job, truck=REPLACE(job.truck, tyres=kind)), job.poses[0]).worst_case
            assert worst is not None
            allowed.append(max(worst.allowed_kg, 0.0))
        assert all(later <= earlier * (1.0 + 2e-4) for earlier, later in itertools.pairwise(allowed))


def test_tyres_that_nobody_has_named_allow_no_more_than_any_pumped_up_kind() -> None:
    job = read_once(next(path for path in SAMPLES if "larkfield" in path.name))
    allowed = {}
    for kind in (None, "pneumatic", "solid", "press_on"):
        worst = evaluate(REPLACE(job, truck=REPLACE(job.truck, tyres=kind)), job.poses[0]).worst_case
        assert worst is not None
        allowed[kind] = worst.allowed_kg
    assert allowed[None] <= min(allowed.values()) * (1.0 + 2e-4)


def test_a_load_out_to_the_left_leans_the_truck_to_the_left_and_a_caution_says_so() -> None:
    job = read_once(next(path for path in SAMPLES if "pippin" in path.name))
    verdict = evaluate(job, job.poses[0])
    caution = next(one for one in verdict.cautions if one.where == "truck.tyres")
    words = fill(caution.words, caution.numbers, "metric")
    assert "to the left on its tyres" in words
    roll = float(lean.now(verdict.hanging)[1])
    assert f"{math.degrees(roll):.1f}°" in words
    bodies = tuple(REPLACE(body, position_m=mirrored_vec(body.position_m)) for body in verdict.hanging.bodies)
    gravity = mirrored_vec(verdict.hanging.gravity)
    other = REPLACE(verdict.hanging, bodies=bodies, gravity=gravity, hook_m=mirrored_vec(verdict.hanging.hook_m))
    assert float(lean.now(other)[1]) == pytest.approx(-roll, rel=1e-9)


def mirrored_vec(vector: Vec) -> Vec:
    """Mirrored left to right."""
    return Vec(vector.x, -vector.y, vector.z)


def test_a_truck_whose_tyres_give_faster_than_they_hold_is_over() -> None:
    """Tyres of a hundredth of any real stiffness under a raised load: it tips, and no number is lost."""
    job = read_once(next(path for path in SAMPLES if "pippin" in path.name))
    checks = play.checks(job, standing(job, job.poses[0], tyre_m_N=100.0 / SOFT))
    assert all(math.isfinite(float(check.demand)) for check in checks)
    assert max(float(check.use) for check in checks if "side" in check.kind) > 1.0
